//! The suites that every backend runs: on a record file with a folder, and on a database server with an
//! object store.

mod servers;

use servers::servers;
use std::sync::Arc;
use store::Store;
use store_sql::SqlStore;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_record_file_keeps_every_promise_and_still_does_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    for seed in [1, 2] {
        let store = Arc::new(SqlStore::open_folder(folder.path()).await.unwrap());
        let kept = store::conformance::every_promise(store.clone(), seed).await
            + store::conformance::every_promise_of_jobs(store.clone(), seed).await;
        println!("{kept} promises kept");
        let written = store.journal(0, u32::MAX).await.unwrap();
        store.close().await;
        drop(store);
        let again = SqlStore::open_folder(folder.path()).await.unwrap();
        assert_eq!(
            again.notes(),
            Vec::<String>::new(),
            "what was refused leaves no file behind"
        );
        assert_eq!(again.journal(0, u32::MAX).await.unwrap(), written);
        again.close().await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_database_server_with_an_object_store_keeps_every_promise_and_still_does_after_a_restart()
 {
    let Some(servers) = servers("every promise on PostgreSQL and S3") else {
        return;
    };
    let fresh = servers.fresh().await;
    for seed in [1, 2] {
        let store = Arc::new(fresh.store().await);
        let kept = store::conformance::every_promise(store.clone(), seed).await
            + store::conformance::every_promise_of_jobs(store.clone(), seed).await;
        println!("{kept} promises kept");
        let written = store.journal(0, u32::MAX).await.unwrap();
        store.close().await;
        drop(store);
        let again = fresh.store().await;
        assert_eq!(again.notes(), Vec::<String>::new());
        assert_eq!(again.journal(0, u32::MAX).await.unwrap(), written);
        again.close().await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_act_that_was_begun_runs_to_its_end_when_the_caller_hangs_up() {
    let folder = tempfile::tempdir().unwrap();
    runs_to_its_end(SqlStore::open_folder(folder.path()).await.unwrap()).await;
    if let Some(servers) = servers("a caller that hangs up, on PostgreSQL") {
        runs_to_its_end(servers.fresh().await.store().await).await;
    }
}

async fn runs_to_its_end(store: SqlStore) {
    let id = |n| uuid::Uuid::from_u128(n);
    let stamp = record::Stamp {
        act: record::ActId::new(id(1)),
        at: time::macros::datetime!(2026-11-24 08:00 UTC),
        by: record::ClinicianId::new(id(2)),
    };
    let mut saving = store.save_practice(
        stamp,
        record::Practice {
            name: "Invented Practice".into(),
            ..Default::default()
        },
    );
    // Begun, then dropped as when a browser goes away.
    std::future::poll_fn(|context| {
        assert!(
            saving.as_mut().poll(context).is_pending(),
            "it cannot be done at once"
        );
        std::task::Poll::Ready(())
    })
    .await;
    drop(saving);
    for _ in 0..500 {
        if store.practice().await.unwrap().is_some() {
            assert_eq!(store.journal(0, 9).await.unwrap().len(), 1);
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(10)).await;
    }
    panic!("the act was dropped with its caller");
}

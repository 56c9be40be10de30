//! The suite that every backend runs, on SQLite.

use std::sync::Arc;
use store::Store;
use store_sqlite::SqliteStore;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_sqlite_store_keeps_every_promise_and_still_does_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    for seed in [1, 2] {
        let store = Arc::new(SqliteStore::open(folder.path()).await.unwrap());
        assert_eq!(
            store.notes(),
            Vec::<String>::new(),
            "a closed store leaves nothing to tidy"
        );
        let kept = store::conformance::every_promise(store.clone(), seed).await;
        println!("{kept} promises kept");
        let written = store.journal(0, u32::MAX).await.unwrap();
        store.close().await;
        drop(store);
        let again = SqliteStore::open(folder.path()).await.unwrap();
        assert_eq!(again.journal(0, u32::MAX).await.unwrap(), written);
        again.close().await;
    }
}

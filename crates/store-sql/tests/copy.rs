//! Does a copy hold everything, on whichever backend, and is a bad one refused with nothing kept?

mod servers;

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "shared with the tests on a folder")]
mod acts;

use rand::{Rng, SeedableRng, rngs::StdRng};
use record::{
    ActId, ArrivalId, ArrivalRecord, ArrivalState, ArrivalWay, ClinicianId, ContentHash, FilmSays,
    Stamp,
};
use servers::servers;
use store::exports::{ExportFile, Exports, KIND};
use store::jobs::{JobId, Jobs, NewJob};
use store::{Arrivals, Store};
use store_sql::SqlStore;
use store_sql::copy::{Copied, dump, equality, restore};
use tempfile::TempDir;
use time::macros::datetime;
use uuid::Uuid;

/// So many with all that is kept of a visit; the bytes of the first two are the same.
const PATIENTS: u64 = 3;

/// The patients, a film that waits and a job.
async fn fill(store: &SqlStore) {
    for n in 0..=acts::STEPS * PATIENTS {
        acts::perform(store, acts::Act { run: 1, n }).await.unwrap();
    }
    let at = datetime!(2026-11-24 08:00 UTC);
    let job = NewJob {
        id: JobId(Uuid::from_u128(1)),
        kind: "invented".into(),
        key: "one".into(),
        payload: serde_json::json!({"of": "nobody"}),
        at,
        due_at: at,
        most_tries: 2,
    };
    store.enqueue(job).await.unwrap();
    let bytes = b"an invented film that waits".to_vec();
    let arrival = ArrivalRecord {
        id: ArrivalId::new(Uuid::from_u128(2)),
        instance: "2.25.2".into(),
        content: ContentHash::of(&bytes),
        came_at: at,
        way: ArrivalWay::Folder,
        file_name: "IMG 1".into(),
        says: FilmSays::default(),
        other_bytes: false,
        state: ArrivalState::Waiting,
    };
    let stamp = Stamp {
        act: ActId::new(Uuid::from_u128(3)),
        at,
        by: ClinicianId::PROGRAM,
    };
    store.keep_arrival(stamp, arrival, bytes).await.unwrap();
    export(store).await;
}

/// An export with a file: in no copy, since it can be made again.
async fn export(store: &SqlStore) {
    let at = datetime!(2026-11-24 08:00 UTC);
    let job = NewJob {
        id: JobId(Uuid::from_u128(4)),
        kind: KIND.into(),
        key: "one".into(),
        payload: serde_json::json!({}),
        at,
        due_at: at,
        most_tries: 2,
    };
    store.enqueue(job).await.unwrap();
    let (taker, until) = (Uuid::from_u128(5), at + time::Duration::HOUR);
    let job = store.take_job(vec![KIND.into()], taker, at, until).await;
    let job = job.unwrap().expect("a job");
    let bytes = b"invented lines".to_vec();
    let file = ExportFile {
        name: "Patient.ndjson".into(),
        holds: "Patient".into(),
        lines: 1,
        bytes: bytes.len() as u64,
        content: ContentHash::of(&bytes),
    };
    let lease = job.lease().expect("in hand");
    store.keep_export_file(lease, file, bytes).await.unwrap();
    assert_eq!(store.export_files(job.id).await.unwrap().len(), 1);
}

async fn in_a_folder() -> (TempDir, SqlStore) {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    (folder, store)
}

async fn copied(store: &SqlStore) -> (Vec<u8>, Copied) {
    let mut copy = Vec::new();
    let what = dump(store, &mut copy).await.unwrap();
    (copy, what)
}

const NONE: Vec<String> = Vec::new();

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_copy_put_back_into_another_folder_is_equal_and_goes_on_from_there() {
    let ((_one, one), (_two, two)) = (in_a_folder().await, in_a_folder().await);
    fill(&one).await;
    let (copy, what) = copied(&one).await;
    assert_eq!(
        what.files, 11,
        "film, paper, scan, sheet and solids, twice, and a film that waits"
    );
    assert!(what.tables > 20 && what.rows > 60, "{what:?}");
    assert_eq!(restore(&mut &copy[..], &two).await.unwrap(), what);
    assert_eq!(equality(&one, &two).await.unwrap(), NONE);
    assert_eq!(two.verify().await.unwrap(), NONE);
    assert_eq!(copied(&two).await.0, copy, "one state has one stream");
    let made = JobId(Uuid::from_u128(4));
    assert_eq!(two.job(made).await.unwrap(), one.job(made).await.unwrap());
    assert_eq!(two.export_files(made).await.unwrap(), []);
    goes_on(&two).await;
    let off = equality(&one, &two).await.unwrap();
    assert!(
        off.iter()
            .any(|o| o.contains("the table patient different: 3 rows")),
        "{off:?}"
    );
}

/// Numbers go on, rules hold, lists are kept.
async fn goes_on(store: &SqlStore) {
    let before = store.journal(0, u32::MAX).await.unwrap().len() as u64;
    let first = acts::STEPS * PATIENTS + 1;
    for n in first..=first + 5 {
        acts::perform(store, acts::Act { run: 1, n }).await.unwrap();
    }
    let after = store.journal(0, u32::MAX).await.unwrap();
    assert_eq!(after.last().unwrap().number, before + 6);
    assert_eq!(store.verify().await.unwrap(), NONE);
    assert_eq!(acts::faults(store, 1, first + 6).await.unwrap(), NONE);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn from_a_folder_to_a_server_and_back_every_table_and_every_file_is_equal() {
    let Some(servers) = servers("a copy from a folder to PostgreSQL and S3 and back") else {
        return;
    };
    let ((_one, one), (_two, two)) = (in_a_folder().await, in_a_folder().await);
    fill(&one).await;
    let (copy, what) = copied(&one).await;
    let fresh = servers.fresh().await;
    let server = fresh.store().await;
    assert_eq!(restore(&mut &copy[..], &server).await.unwrap(), what);
    assert_eq!(equality(&one, &server).await.unwrap(), NONE);
    assert_eq!(server.verify().await.unwrap(), NONE);
    let (from_server, _) = copied(&server).await;
    assert!(
        from_server == copy,
        "one state has one stream, whatever the backend"
    );
    restore(&mut &from_server[..], &two).await.unwrap();
    assert_eq!(equality(&one, &two).await.unwrap(), NONE);
    assert_eq!(equality(&server, &two).await.unwrap(), NONE);
    goes_on(&server).await;
    // The triggers of the database are awake again.
    assert!(
        servers::say(&fresh.address, "DELETE FROM journal")
            .await
            .is_err()
    );
    println!("{what:?}, {} bytes", copy.len());
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn both_databases_have_the_same_tables_columns_and_keys() {
    let Some(servers) = servers("the same tables on both") else {
        return;
    };
    // An empty store's stream holds every table with its columns and their kinds.
    let (_folder, file) = in_a_folder().await;
    let server = servers.fresh().await.store().await;
    assert_eq!(copied(&file).await, copied(&server).await);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_flipped_bit_anywhere_is_found_named_and_nothing_is_kept() {
    let (_one, one) = in_a_folder().await;
    for n in 0..=2 {
        acts::perform(&one, acts::Act { run: 1, n }).await.unwrap();
    }
    let (copy, _) = copied(&one).await;
    let (_two, two) = in_a_folder().await;
    let mut dice = StdRng::seed_from_u64(20_261_127);
    let mut named = 0;
    for _ in 0..300 {
        let mut bad = copy.clone();
        let at = dice.random_range(0..bad.len());
        bad[at] ^= 1 << dice.random_range(0..8);
        let refused = restore(&mut &bad[..], &two).await.unwrap_err().to_string();
        assert!(
            refused.contains("in the copy; expected a whole one"),
            "byte {at}: {refused}"
        );
        named += u32::from(refused.contains(" part "));
    }
    assert!(named > 280, "{named} of 300 name the part");
    assert_eq!(equality(&two, &in_a_folder().await.1).await.unwrap(), NONE);
    assert_eq!(two.unnamed_files().await.unwrap(), NONE);
    // The same store takes the whole copy.
    restore(&mut &copy[..], &two).await.unwrap();
    assert_eq!(equality(&one, &two).await.unwrap(), NONE);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_copy_that_is_cut_off_lengthened_or_another_file_is_refused() {
    let (_one, one) = in_a_folder().await;
    for n in 0..=3 {
        acts::perform(&one, acts::Act { run: 1, n }).await.unwrap();
    }
    let (copy, _) = copied(&one).await;
    let (_two, two) = in_a_folder().await;
    let refused = async |bad: &[u8]| restore(&mut &bad[..], &two).await.unwrap_err().to_string();
    for end in (0..copy.len())
        .step_by(copy.len() / 60 + 1)
        .chain([copy.len() - 1])
    {
        let said = refused(&copy[..end]).await;
        assert!(said.contains("an end in the middle"), "{end}: {said}");
    }
    let said = refused(&[&copy[..], b"x"].concat()).await;
    assert!(said.contains("missing, moved or added"), "{said}");
    let said = refused(b"a letter to nobody").await;
    assert!(said.contains("another file"), "{said}");
    let said = refused(&with_part(&copy, 0, |body| body[0] = 9)).await;
    assert!(
        said.contains("version 9 where this program reads 1"),
        "{said}"
    );
    let said = refused(&with_part(&copy, 0, |body| body[4] = 99)).await;
    assert!(said.contains("layout 99"), "{said}");
    // A length that claims more than there is claims no memory.
    for length in [u64::MAX, 5 << 30, 3 << 30] {
        let mut bad = copy.clone();
        bad[9..17].copy_from_slice(&length.to_le_bytes());
        let said = refused(&bad).await;
        assert!(said.contains("part 1"), "{length}: {said}");
    }
    assert_eq!(two.journal(0, 9).await.unwrap(), []);
    assert_eq!(two.unnamed_files().await.unwrap(), NONE);
}

/// The stream with the body of one part changed and all digests made right again.
fn with_part(copy: &[u8], which: usize, change: impl FnOnce(&mut Vec<u8>)) -> Vec<u8> {
    let digest = |bytes: &[u8]| {
        let text = record::ContentHash::of(bytes).to_string();
        (0..32)
            .map(|n| u8::from_str_radix(&text[n * 2..n * 2 + 2], 16).unwrap())
            .collect::<Vec<u8>>()
    };
    let mut change = Some(change);
    let (mut made, mut at, mut number) = (copy[..8].to_vec(), 8, 0);
    while at < copy.len() {
        let length = u64::from_le_bytes(copy[at + 1..at + 9].try_into().unwrap()) as usize;
        let mut body = copy[at + 9..at + 9 + length].to_vec();
        if number == which {
            change.take().unwrap()(&mut body);
        }
        if copy[at] == 5 {
            let all = digest(&made);
            body.truncate(16);
            body.extend(all);
        }
        let mut part = vec![copy[at]];
        part.extend((body.len() as u64).to_le_bytes());
        part.extend(body);
        part.extend(digest(&part));
        made.extend(part);
        (at, number) = (at + 9 + length + 32, number + 1);
    }
    made
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_copy_made_to_deceive_is_refused_by_the_rules_of_the_records() {
    let (_one, one) = in_a_folder().await;
    for n in 0..=3 {
        acts::perform(&one, acts::Act { run: 1, n }).await.unwrap();
    }
    let (copy, _) = copied(&one).await;
    assert_eq!(
        with_part(&copy, 0, |_| {}),
        copy,
        "the test writes the same stream"
    );
    let (mut at, mut parts) = (8, 0);
    while at < copy.len() {
        at += 9 + u64::from_le_bytes(copy[at + 1..at + 9].try_into().unwrap()) as usize + 32;
        parts += 1;
    }
    let mut dice = StdRng::seed_from_u64(20_261_128);
    let (_two, mut two) = in_a_folder().await;
    let (mut folders, mut refusals) = (Vec::new(), 0);
    for round in 0..400 {
        let bad = with_part(&copy, dice.random_range(0..parts), |body| {
            let at = dice.random_range(0..body.len());
            body[at] = dice.random();
            if dice.random_range(0..4) == 0 {
                body.truncate(at);
            }
        });
        match restore(&mut &bad[..], &two).await {
            Err(refused) => {
                let said = refused.to_string();
                assert!(said.contains("in the copy; expected a whole one"), "{said}");
                assert_eq!(two.journal(0, 9).await.unwrap(), []);
                refusals += 1;
            }
            // Another letter in a name makes a copy as good as any; what does not read back is told.
            Ok(_) => {
                if let Ok(faults) = two.verify().await {
                    println!("round {round}: taken, {} faults told", faults.len());
                }
                let (folder, next) = in_a_folder().await;
                folders.push(folder);
                two = next;
            }
        }
    }
    assert!(refusals > 200, "{refusals} of 400 refused");
    println!("{refusals} of 400 refused");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_store_that_holds_something_takes_no_copy() {
    let (_one, one) = in_a_folder().await;
    acts::perform(&one, acts::Act { run: 1, n: 0 })
        .await
        .unwrap();
    let (copy, _) = copied(&one).await;
    let refused = restore(&mut &copy[..], &one).await.unwrap_err();
    assert!(
        matches!(refused, store::StoreError::Taken { .. }),
        "{refused}"
    );
    assert_eq!(one.journal(0, 9).await.unwrap().len(), 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_copy_without_one_of_its_files_is_not_made() {
    let (folder, one) = in_a_folder().await;
    for n in 0..=3 {
        acts::perform(&one, acts::Act { run: 1, n }).await.unwrap();
    }
    std::fs::remove_dir_all(folder.path().join("files")).unwrap();
    let refused = dump(&one, &mut Vec::new()).await.unwrap_err();
    assert!(
        matches!(refused, store::StoreError::Damaged { .. }),
        "{refused}"
    );
}

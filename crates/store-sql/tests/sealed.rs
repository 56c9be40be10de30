//! Does a sealed practice open for its keyring alone, show nothing on the disk, and get a new key whole?

mod servers;

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;

use acts::Act;
use rand::{Rng, RngCore, SeedableRng, rngs::StdRng};
use servers::servers;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::{Store, StoreError};
use store_sql::{Seal, Shelf, SqlStore};
use tempfile::TempDir;
use vault::{KeyFile, Keyring, WayIn};

const ACTS: u64 = 3 * acts::STEPS;
const NONE: Vec<String> = Vec::new();

/// The same bytes in each run.
struct Invented(StdRng);

impl vault::Entropy for Invented {
    fn fill(&mut self, into: &mut [u8]) -> Result<(), vault::NoEntropy> {
        self.0.fill_bytes(into);
        Ok(())
    }
}

fn invented(seed: u64) -> Invented {
    Invented(StdRng::seed_from_u64(seed))
}

struct Locked {
    folder: TempDir,
    ring: Keyring,
    way: WayIn,
    seal: vault::Seal,
}

fn keyring(seed: u64) -> (Keyring, WayIn, vault::Seal) {
    let mut entropy = invented(seed);
    let way = WayIn::from(KeyFile::fresh(&mut entropy).unwrap());
    let (ring, seal) = Keyring::make(&way, "a key file", &mut entropy).unwrap();
    (ring, way, seal)
}

async fn opened(folder: &Path, seal: &vault::Seal) -> Result<SqlStore, StoreError> {
    SqlStore::open_sealed_folder(folder, Arc::new(seal.clone())).await
}

/// A closed sealed practice with three patients' visits in it.
async fn a_practice() -> Locked {
    let folder = tempfile::tempdir().unwrap();
    let (ring, way, seal) = keyring(1);
    let store = opened(folder.path(), &seal).await.unwrap();
    for n in 0..=ACTS {
        acts::perform(&store, Act { run: 1, n }).await.unwrap();
    }
    store.close().await;
    Locked {
        folder,
        ring,
        way,
        seal,
    }
}

fn records(folder: &Path) -> PathBuf {
    folder.join("records.sqlite3")
}

fn all_files(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => all.extend(all_files(&path)),
            false => all.push(path),
        }
    }
    all.sort();
    all
}

fn holds(bytes: &[u8], words: &[u8]) -> bool {
    bytes.windows(words.len()).any(|window| window == words)
}

#[tokio::test]
async fn nothing_that_was_typed_or_taken_in_can_be_read_off_the_disk_and_names_say_nothing() {
    let locked = a_practice().await;
    // One that is still open, with its log beside it.
    let store = opened(locked.folder.path(), &locked.seal).await.unwrap();
    acts::perform(&store, Act { run: 2, n: 0 }).await.unwrap();
    let (film, bytes) = Act { run: 1, n: 3 }.film_and_bytes();
    let kept = store.find_patients(String::new(), 10).await.unwrap();
    let mut words: Vec<Vec<u8>> = vec![
        b"SQLite format 3".into(),
        b"CREATE TABLE".into(),
        bytes[..32.min(bytes.len())].into(),
    ];
    for patient in &kept {
        words.push(patient.family_name.clone().into());
        words.push(patient.id.to_string().into());
    }
    assert!(kept.len() >= 3 && words.iter().all(|w| w.len() > 5));
    let files = all_files(locked.folder.path());
    assert!(files.iter().any(|f| f.ends_with("records.sqlite3-wal")));
    assert!(files.len() > 8, "{files:?}");
    for file in &files {
        let there = fs::read(file).unwrap();
        for word in &words {
            assert!(
                !holds(&there, word),
                "{} in {}",
                file.display(),
                hex::encode(word)
            );
        }
        let name = file.display().to_string();
        assert!(!name.contains(&film.content.to_string()), "{name}");
    }
    store.close().await;

    // The same look at an open practice finds them: the look is not blind.
    let plain = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(plain.path()).await.unwrap();
    for n in 0..=ACTS {
        acts::perform(&store, Act { run: 1, n }).await.unwrap();
    }
    store.close().await;
    let all: Vec<Vec<u8>> = all_files(plain.path())
        .iter()
        .map(|f| fs::read(f).unwrap())
        .collect();
    let found = words.iter().filter(|w| all.iter().any(|a| holds(a, w)));
    assert!(found.count() >= 5);
}

#[tokio::test]
async fn only_its_own_keyring_opens_a_sealed_practice_and_a_sealed_one_is_told_from_an_open_one() {
    let locked = a_practice().await;
    let before = fs::read(records(locked.folder.path())).unwrap();
    let (.., other) = keyring(2);
    let refused = opened(locked.folder.path(), &other).await.unwrap_err();
    assert!(matches!(refused, StoreError::Sealed { .. }), "{refused}");
    assert!(refused.to_string().contains("nobody, also not the makers"));
    let refused = SqlStore::open_folder(locked.folder.path())
        .await
        .unwrap_err();
    assert!(matches!(refused, StoreError::NotOurs { .. }), "{refused}");
    assert!(refused.to_string().contains("sealed"), "{refused}");
    assert_eq!(fs::read(records(locked.folder.path())).unwrap(), before);

    let plain = tempfile::tempdir().unwrap();
    let open = SqlStore::open_folder(plain.path()).await.unwrap();
    acts::perform(&open, Act { run: 1, n: 0 }).await.unwrap();
    open.close().await;
    drop(open);
    let refused = opened(plain.path(), &locked.seal).await.unwrap_err();
    assert!(matches!(refused, StoreError::NotSealed { .. }), "{refused}");

    let store = opened(locked.folder.path(), &locked.seal).await.unwrap();
    for n in 1..=ACTS {
        assert!(acts::is_there(&store, Act { run: 1, n }).await.unwrap());
    }
    assert_eq!(store.verify().await.unwrap(), NONE);
}

#[tokio::test]
async fn a_new_key_closes_records_and_files_anew_and_the_old_one_opens_neither() {
    let mut locked = a_practice().await;
    let old = locked.seal.clone();
    let files = |folder: &Path| {
        let all = all_files(&folder.join("files"));
        let read = all.into_iter().map(|f| (fs::read(&f).unwrap(), f));
        read.collect::<Vec<_>>()
    };
    let before = files(locked.folder.path());
    let new = locked
        .ring
        .rotate(&old, std::slice::from_ref(&locked.way), &mut invented(3))
        .unwrap();
    // What was sealed before still opens, with the records closed anew at once.
    let store = opened(locked.folder.path(), &new).await.unwrap();
    assert_eq!(store.verify().await.unwrap(), NONE);
    let anew = store.seal_anew().await.unwrap();
    assert_eq!(anew, before.len() as u64);
    assert_eq!(store.seal_anew().await.unwrap(), 0, "once is enough");
    assert_eq!(store.verify().await.unwrap(), NONE);
    store.close().await;
    drop(store);
    let after = files(locked.folder.path());
    for ((was, name), (is, name_after)) in before.iter().zip(&after) {
        assert!(was != is && name == name_after);
    }
    let refused = opened(locked.folder.path(), &old).await.unwrap_err();
    assert!(matches!(refused, StoreError::Sealed { .. }), "{refused}");
    // Nothing needs the old key any more.
    let only_new = locked.ring.forget(&new, 1).unwrap();
    let store = opened(locked.folder.path(), &only_new).await.unwrap();
    assert_eq!(store.verify().await.unwrap(), NONE);
    for n in 1..=ACTS {
        assert!(acts::is_there(&store, Act { run: 1, n }).await.unwrap());
    }
    store.close().await;
}

#[tokio::test]
async fn a_change_of_key_that_was_broken_off_goes_on_at_the_next_start() {
    let mut locked = a_practice().await;
    let old = locked.seal.clone();
    let way = std::slice::from_ref(&locked.way);
    let new = locked.ring.rotate(&old, way, &mut invented(4)).unwrap();
    // The keyring was written and nothing else: the records still have the old key.
    let store = opened(locked.folder.path(), &new).await.unwrap();
    acts::perform(&store, Act { run: 2, n: 0 }).await.unwrap();
    acts::perform(&store, Act { run: 2, n: 1 }).await.unwrap();
    drop(store);
    // Files of both keys lie beside each other; a second new key before the first was through.
    let newest = locked.ring.rotate(&new, way, &mut invented(5)).unwrap();
    let store = opened(locked.folder.path(), &newest).await.unwrap();
    assert_eq!(store.verify().await.unwrap(), NONE);
    assert!(store.seal_anew().await.unwrap() > 0);
    assert_eq!(
        newest.database_keys().len(),
        3,
        "today's and two older ones"
    );
}

#[tokio::test]
async fn every_flipped_bit_of_a_sealed_record_file_is_told_or_lies_where_nothing_was() {
    let locked = a_practice().await;
    let file = records(locked.folder.path());
    let whole = fs::read(&file).unwrap();
    let mut dice = StdRng::seed_from_u64(20_261_127);
    let (mut at_the_start, mut by_verify) = (0, 0);
    for number in 0..120 {
        let mut bytes = whole.clone();
        let at = dice.random_range(0..bytes.len());
        bytes[at] ^= 1 << dice.random_range(0..8);
        fs::write(&file, bytes).unwrap();
        match opened(locked.folder.path(), &locked.seal).await {
            Err(StoreError::Damaged { .. } | StoreError::Sealed { .. }) => at_the_start += 1,
            Err(other) => panic!("bit {number}: {other}"),
            Ok(store) => {
                let told = match store.verify().await {
                    Ok(faults) => !faults.is_empty(),
                    Err(said) => matches!(said, StoreError::Damaged { .. }),
                };
                assert!(told, "bit {number} at {at} was read as good");
                by_verify += 1;
            }
        }
        for beside in ["sqlite3-wal", "sqlite3-shm"] {
            let _ = fs::remove_file(file.with_extension(beside));
        }
    }
    println!(
        "120 flipped bits: {at_the_start} told at the start, {by_verify} by verify, 0 read as good"
    );
    fs::write(&file, &whole).unwrap();
    let store = opened(locked.folder.path(), &locked.seal).await.unwrap();
    assert_eq!(store.verify().await.unwrap(), NONE);
}

#[tokio::test]
async fn files_in_an_object_store_are_sealed_and_get_a_new_key() {
    let Some(servers) = servers("sealed files in an object store") else {
        return;
    };
    let fresh = servers.fresh().await;
    let (mut ring, way, seal) = keyring(6);
    let open = async |seal: &vault::Seal| {
        let shelf = Shelf::objects(fresh.bucket.clone(), Arc::new(seal.clone())).unwrap();
        SqlStore::open_postgres(&fresh.address, shelf)
            .await
            .unwrap()
    };
    let store = open(&seal).await;
    for n in 0..=acts::STEPS {
        acts::perform(&store, Act { run: 1, n }).await.unwrap();
    }
    assert_eq!(store.verify().await.unwrap(), NONE);
    assert_eq!(store.unnamed_files().await.unwrap(), NONE);
    store.close().await;
    // Without the keyring the same bucket holds none of the files, only things that nothing names.
    let stranger = fresh.store().await;
    assert!(stranger.verify().await.unwrap().len() >= 4);
    assert!(stranger.unnamed_files().await.unwrap().len() >= 4);
    stranger.close().await;
    let new = ring
        .rotate(&seal, std::slice::from_ref(&way), &mut invented(7))
        .unwrap();
    let store = open(&new).await;
    assert!(store.seal_anew().await.unwrap() >= 4);
    store.close().await;
    let store = open(&ring.forget(&new, 1).unwrap()).await;
    assert_eq!(store.verify().await.unwrap(), NONE);
    store.close().await;
}

//! Does a backup that is made while people work come back whole, and is a bad one refused with nothing kept?

use backup::{BackupError, Target, kept_in, keyring_of, make, restore};
use rand::{Rng, RngCore, SeedableRng, rngs::StdRng};
use std::fs;
use std::path::Path;
use std::sync::Arc;
use store::Store;
use store::conformance::every_promise;
use store_sql::copy::{dump, equality};
use store_sql::{SqlStore, Unsealed};
use tempfile::TempDir;
use time::macros::datetime;
use time::{Duration, OffsetDateTime};
use vault::{KeyFile, Keyring, VaultError, WayIn};

const AT: OffsetDateTime = datetime!(2026-11-27 03:00 UTC);
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

struct Keys {
    ring: Keyring,
    way: WayIn,
    seal: vault::Seal,
}

fn keys(seed: u64) -> Keys {
    let mut entropy = invented(seed);
    let way = WayIn::from(KeyFile::fresh(&mut entropy).unwrap());
    let (ring, seal) = Keyring::make(&way, "a key file", &mut entropy).unwrap();
    Keys { ring, way, seal }
}

fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}

async fn sealed(at: &Path, keys: &Keys) -> Arc<SqlStore> {
    let seal = Arc::new(keys.seal.clone());
    Arc::new(SqlStore::open_sealed_folder(at, seal).await.unwrap())
}

fn into_folder(at: &Path, keys: &Keys) -> Target {
    Target::Folder {
        folder: at.to_owned(),
        seal: Arc::new(keys.seal.clone()),
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_holds_one_moment_of_a_practice_that_goes_on_and_comes_back_the_same() {
    let (practice, shelf, back) = (folder(), folder(), folder());
    let keys = keys(1);
    let store = sealed(practice.path(), &keys).await;
    every_promise(store.clone(), 1).await;
    let before = store.journal(0, u32::MAX).await.unwrap().len();

    // Somebody works on while it is made.
    let working = tokio::spawn({
        let store = store.clone();
        async move { every_promise(store, 2).await }
    });
    let mut entropy = invented(2);
    let mut made = Vec::new();
    for n in 0..3 {
        let at = AT + Duration::hours(n);
        let backup = make(
            &store,
            &keys.ring,
            &keys.seal,
            shelf.path(),
            at,
            &mut entropy,
        );
        made.push(backup.await.unwrap());
    }
    assert!(working.await.unwrap() > 60, "the practice goes on");
    let after = store.journal(0, u32::MAX).await.unwrap().len();

    let kept = kept_in(shelf.path()).unwrap();
    assert_eq!(kept.len(), 3);
    assert_eq!(
        fs::read_dir(shelf.path()).unwrap().count(),
        3,
        "nothing else stays"
    );
    assert!(
        made.iter()
            .zip(&kept)
            .all(|(m, k)| m.path == k.path && m.bytes == k.bytes)
    );
    let between = |backup: &backup::Made| backup.copied.rows > 100 && backup.copied.files > 3;
    assert!(made.iter().all(between), "{made:?}");

    // The keyring comes out of the backup itself.
    let ring = keyring_of(&made[2].path).unwrap();
    let seal = ring.open(&keys.way).unwrap();
    let target = into_folder(back.path(), &keys);
    let (restored, copied) = restore(&made[2].path, &seal, &target).await.unwrap();
    assert_eq!(copied, made[2].copied);
    assert_eq!(restored.verify().await.unwrap(), NONE);
    let there = restored.journal(0, u32::MAX).await.unwrap().len();
    assert!(
        (before..=after).contains(&there),
        "{before} {there} {after}"
    );
    let all = store.journal(0, u32::MAX).await.unwrap();
    assert_eq!(restored.journal(0, u32::MAX).await.unwrap(), all[..there]);

    // One of the practice as it is now is equal to it.
    let last = make(
        &store,
        &keys.ring,
        &keys.seal,
        shelf.path(),
        AT + Duration::days(1),
        &mut entropy,
    );
    let last = last.await.unwrap();
    let another = folder();
    let target = into_folder(another.path(), &keys);
    let (restored, _) = restore(&last.path, &seal, &target).await.unwrap();
    assert_eq!(equality(&store, &restored).await.unwrap(), NONE);
    // Into a place that holds something nothing is put.
    let taken = restore(&last.path, &seal, &into_folder(practice.path(), &keys)).await;
    assert!(taken.is_err());
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_that_was_cut_changed_or_is_of_another_keyring_is_refused_and_nothing_is_made() {
    let (practice, shelf) = (folder(), folder());
    let keys = keys(3);
    let store = sealed(practice.path(), &keys).await;
    every_promise(store.clone(), 3).await;
    let mut entropy = invented(4);
    let made = make(
        &store,
        &keys.ring,
        &keys.seal,
        shelf.path(),
        AT,
        &mut entropy,
    )
    .await
    .unwrap();
    let whole = fs::read(&made.path).unwrap();
    let bad = shelf.path().join("bad");
    let mut dice = StdRng::seed_from_u64(5);
    for number in 0..60 {
        let mut bytes = whole.clone();
        let at = dice.random_range(0..bytes.len());
        match number % 3 {
            0 => bytes[at] ^= 1 << dice.random_range(0..8),
            1 => bytes.truncate(at),
            _ => bytes.extend_from_slice(&whole[..at]),
        }
        fs::write(&bad, &bytes).unwrap();
        let back = folder();
        let nowhere = back.path().join("practice");
        let refused = restore(&bad, &keys.seal, &into_folder(&nowhere, &keys)).await;
        assert!(refused.is_err(), "{number} at {at}");
        assert!(!nowhere.exists(), "{number} at {at}");
    }
    let other = self::keys(6);
    let back = folder();
    let refused = restore(&made.path, &other.seal, &into_folder(back.path(), &other)).await;
    assert!(
        matches!(refused, Err(BackupError::Vault(VaultError::OtherKeyring))),
        "another keyring"
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_damaged_practice_gives_no_backup_and_leaves_nothing_that_looks_like_one() {
    let (practice, shelf) = (folder(), folder());
    let keys = keys(7);
    let store = sealed(practice.path(), &keys).await;
    every_promise(store.clone(), 4).await;
    let mut hit = 0;
    for sub in fs::read_dir(practice.path().join("files")).unwrap() {
        for file in fs::read_dir(sub.unwrap().path()).unwrap() {
            let path = file.unwrap().path();
            let mut bytes = fs::read(&path).unwrap();
            let last = bytes.len() - 1;
            bytes[last] ^= 1;
            fs::write(&path, bytes).unwrap();
            hit += 1;
        }
    }
    assert!(hit > 3);
    let mut entropy = invented(8);
    let refused = make(
        &store,
        &keys.ring,
        &keys.seal,
        shelf.path(),
        AT,
        &mut entropy,
    )
    .await
    .unwrap_err();
    assert!(
        refused.to_string().contains("its content changed"),
        "{refused}"
    );
    assert_eq!(fs::read_dir(shelf.path()).unwrap().count(), 0);
    // Where no folder can be, a sentence.
    let file = shelf.path().join("a file");
    fs::write(&file, "in the way").unwrap();
    let refused = make(&store, &keys.ring, &keys.seal, &file, AT, &mut entropy)
        .await
        .unwrap_err();
    assert!(
        refused.to_string().contains("expected a folder"),
        "{refused}"
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_of_an_earlier_layout_is_put_back_and_brought_up_to_date() {
    let keys = keys(9);
    for layout in [1, 3, 6] {
        let (old, back, shelf) = (folder(), folder(), folder());
        let plain = Arc::new(Unsealed);
        let store = SqlStore::open_folder_as_of(old.path(), plain, layout)
            .await
            .unwrap();
        let path = shelf.path().join("old");
        let file = fs::File::create(&path).unwrap();
        let mut entropy = invented(10);
        let mut sealer =
            vault::stream::Sealer::start(file, &keys.seal, &keys.ring, &mut entropy).unwrap();
        let copied = dump(&store, &mut sealer).await.unwrap();
        sealer.finish().unwrap();
        let (restored, came) = restore(&path, &keys.seal, &into_folder(back.path(), &keys))
            .await
            .unwrap();
        assert_eq!(came, copied, "layout {layout}");
        assert!(restored.notes()[0].contains(&format!("from layout {layout} to")));
        // Everything works on it.
        assert!(every_promise(Arc::new(restored), 11).await > 60);
    }
}

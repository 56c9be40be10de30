//! Is a disk that fills up one clear sentence, with nothing half-written and nothing lost?
#![cfg(unix)]

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;

use rand::{Rng, SeedableRng, rngs::StdRng};
use std::path::Path;
use std::process::Command;
use store_sql::SqlStore;

const SENTENCE: &str = "found no room to write in";

/// Counts the acknowledged acts and sees that everything else the actor said is as it should be.
fn acknowledged(said: &str, at: &str) -> u64 {
    let mut done = 0;
    let mut refused = 0;
    for line in said.lines() {
        if line == format!("did {done}") {
            done += 1;
        } else if let Some(sentence) = line.strip_prefix("refused ") {
            assert!(sentence.starts_with(SENTENCE), "{at}: {sentence}");
            assert!(
                sentence.contains("free some disk space"),
                "{at}: {sentence}"
            );
            refused += 1;
        } else {
            assert_eq!(line, "read everything", "{at}: {said}");
        }
    }
    assert!(
        refused > 0,
        "{at}: the disk was full, and nobody was told: {said}"
    );
    done
}

/// No file may grow beyond `blocks` × 512 bytes (the unit that POSIX gives `ulimit -f`). The
/// signal that comes with the limit is ignored, so that the write fails as on a full disk.
fn act_with_small_files(folder: &Path, blocks: u64) -> String {
    let output = Command::new("sh")
        .args([
            "-c",
            r#"trap "" XFSZ; ulimit -f "$1"; exec "$2" act "$3" 1"#,
            "sh",
        ])
        .arg(blocks.to_string())
        .arg(env!("CARGO_BIN_EXE_store-actor"))
        .arg(folder)
        .output()
        .unwrap();
    assert!(
        output.status.code().is_some(),
        "{blocks} blocks: it ended by a signal"
    );
    String::from_utf8(output.stdout).unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn writes_that_fail_at_any_size_are_one_sentence_and_lose_nothing_confirmed() {
    let mut dice = StdRng::seed_from_u64(20_261_125);
    let (mut total, mut at_start) = (0, 0);
    let mut sizes: Vec<u64> = (0..10).map(|_| dice.random_range(1..500)).collect();
    // A record file begins with some hundred blocks: those above it get to the acts.
    sizes.extend((0..24).map(|_| dice.random_range(500..4000)));
    for blocks in &sizes {
        let at = format!("{blocks} blocks");
        let folder = tempfile::tempdir().unwrap();
        let done = acknowledged(&act_with_small_files(folder.path(), *blocks), &at);
        let store = SqlStore::open_folder(folder.path()).await.unwrap();
        let faults = acts::faults(&store, 1, done).await.unwrap();
        assert_eq!(faults, Vec::<String>::new(), "{at}");
        // With room again the refused act goes through.
        acts::perform(&store, acts::Act { run: 1, n: done })
            .await
            .unwrap();
        store.close().await;
        total += done;
        at_start += u64::from(done == 0);
    }
    println!(
        "{} limits ({at_start} before the first act): {total} acknowledged acts, 0 lost, 0 torn",
        sizes.len()
    );
    assert!(total > 200, "the test must get to the acts: {total}");
}

/// A real small file system that runs full. Needs Linux and the right to mount one privately.
#[cfg(target_os = "linux")]
#[test]
fn a_file_system_without_room_is_one_sentence_and_loses_nothing_confirmed() {
    const IN_A_SMALL_FILE_SYSTEM: &str = r#"
        mount -t tmpfs -o "size=$1k" tmpfs "$2" || exit 99
        "$3" act "$2" 1 > "$2.said"
        mount -o remount,size=64m "$2" || exit 99
        done=$(grep -c '^did ' "$2.said")
        "$3" check "$2" 1 "$done" && ls "$2/incoming" && exec cat "$2.said"
    "#;
    let unshare = || {
        let mut command = Command::new("unshare");
        command.args(["--user", "--map-root-user", "--mount"]);
        command
    };
    if !unshare()
        .arg("true")
        .status()
        .is_ok_and(|status| status.success())
    {
        println!("not tried: this machine does not let a small file system be mounted");
        return;
    }
    let mut dice = StdRng::seed_from_u64(20_261_126);
    let mut total = 0;
    for _ in 0..8 {
        let kib = dice.random_range(300..6000);
        let outside = tempfile::tempdir().unwrap();
        let folder = outside.path().join("data");
        std::fs::create_dir(&folder).unwrap();
        let output = unshare()
            .args(["sh", "-c", IN_A_SMALL_FILE_SYSTEM, "sh", &kib.to_string()])
            .arg(&folder)
            .arg(env!("CARGO_BIN_EXE_store-actor"))
            .output()
            .unwrap();
        let said = String::from_utf8(output.stdout).unwrap();
        let complained = String::from_utf8_lossy(&output.stderr);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{kib} KiB: {said} {complained}"
        );
        total += acknowledged(&said, &format!("{kib} KiB"));
    }
    println!("8 small file systems: {total} acknowledged acts, 0 lost, 0 torn");
    assert!(total > 50, "the test must get to the acts: {total}");
}

//! Is a disk that fails at any single step, or from any step on, one sentence and no loss?
//!
//! Beside `full_disk.rs`, which fills real file systems: here each write, flush, rename or new name can be
//! the one that fails, once, three times or from then on, and the first write that fails is half done.
#![cfg(target_os = "linux")]

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;
mod harsh;

use harsh::{BAD_DISK, Break, NO_SPACE, Tracer};
use rand::{Rng, SeedableRng, rngs::StdRng};
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use store_sql::SqlStore;

const SEED: u64 = 20_261_130;
const TRIES: usize = 60;
const QUOTA: i32 = 122;

/// Confirmed acts and refusals of the actor, which is ended after `most` acts.
fn said(tracer: &Tracer, folder: &Path, broken: Break, most: u64) -> (u64, Vec<String>) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_store-actor"));
    command.args(["act"]).arg(folder).arg("1");
    let mut child = tracer
        .around(&mut command, folder, Some(broken))
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut done, mut refused) = (0, Vec::new());
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut hear = |line: String| {
        if line == format!("did {done}") {
            done += 1;
        } else if let Some(sentence) = line.strip_prefix("refused ") {
            refused.push(sentence.to_owned());
        } else {
            assert_eq!(line, "read everything", "{broken:?}");
        }
        done < most
    };
    let go_on = lines.by_ref().map_while(Result::ok).all(&mut hear);
    if !go_on {
        child.kill().unwrap();
    }
    let end = child.wait().unwrap();
    assert!(
        end.code().is_some() || !go_on,
        "{broken:?}: it ended by a signal"
    );
    lines.map_while(Result::ok).for_each(|line| {
        hear(line);
    });
    (done, refused)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_step_that_fails_anywhere_is_one_sentence_and_loses_nothing_confirmed() {
    println!("seed {SEED}");
    let mut dice = StdRng::seed_from_u64(SEED);
    let tracer = Tracer::compiled();
    let (mut total, mut refusals, mut unnoticed, mut at_start) = (0, 0, 0, 0);
    for number in 0..TRIES {
        let broken = Break {
            at: dice.random_range(1..700),
            steps: [1, 3, 1_000_000][number % 3],
            error: [NO_SPACE, NO_SPACE, QUOTA, BAD_DISK][number % 4],
        };
        let folder = harsh::quick_folder();
        let (done, refused) = said(&tracer, folder.path(), broken, 40);
        for sentence in &refused {
            let of_space = sentence.starts_with("found no room to write in")
                && sentence.contains("free some disk space");
            let of_a_bad_disk = broken.error == BAD_DISK && sentence.starts_with("found ");
            assert!(of_space || of_a_bad_disk, "{broken:?}: {sentence}");
        }
        let store = SqlStore::open_folder(folder.path()).await.unwrap();
        let faults = acts::faults(&store, 1, done).await.unwrap();
        assert_eq!(faults, Vec::<String>::new(), "{broken:?}");
        let next = acts::Act { run: 1, n: done };
        if !acts::is_there(&store, next).await.unwrap() {
            acts::perform(&store, next).await.unwrap();
        }
        store.close().await;
        total += done;
        refusals += refused.len();
        unnoticed += usize::from(refused.is_empty());
        at_start += usize::from(done == 0);
        tracer.forget();
    }
    println!(
        "{TRIES} failing disks ({at_start} before the first act, {unnoticed} where what failed was not needed): \
         {refusals} refusals, {total} acknowledged acts, 0 lost, 0 torn"
    );
    assert!(
        total > 500 && refusals > 40,
        "{total} acts, {refusals} refusals"
    );
}

//! Is anything confirmed lost when the process is killed while several writers are at work?
#![cfg(unix)]

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;
mod harsh;

use acts::Act;
use rand::{Rng, SeedableRng, rngs::StdRng};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write, stdout};
use std::path::Path;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;
use store::Store;
use store_sql::SqlStore;

const SEED: u64 = 20_261_128;
const KILLS: u64 = 200;
const KILLS_PER_FOLDER: u64 = 10;
const WRITERS: u64 = 4;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "a process for the test below to start and kill"]
async fn several_writers() {
    let (folder, first) = (
        std::env::var("FOLDER").unwrap(),
        std::env::var("RUN").unwrap(),
    );
    let first: u64 = first.parse().unwrap();
    // Ends the line that the test runner has begun.
    println!();
    let store = Arc::new(SqlStore::open_folder(folder).await.unwrap());
    let writers: Vec<_> = (first..first + WRITERS)
        .map(|run| {
            let store = store.clone();
            tokio::spawn(async move {
                for n in 0.. {
                    acts::perform(&*store, Act { run, n }).await.unwrap();
                    // One short write: it is in the pipe whole or not at all.
                    let line = format!("did {run} {n}\n");
                    stdout().lock().write_all(line.as_bytes()).unwrap();
                }
            })
        })
        .collect();
    for writer in writers {
        writer.await.unwrap();
    }
}

/// How many acts of each run were confirmed before the process was killed.
fn act_and_kill(folder: &Path, first: u64, acts: usize, pause: Duration) -> BTreeMap<u64, u64> {
    let mut child = harsh::process("several_writers")
        .env("FOLDER", folder)
        .env("RUN", first.to_string())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut done: BTreeMap<u64, u64> = (first..first + WRITERS).map(|run| (run, 0)).collect();
    let mut count = |line: &str| {
        let Some(said) = line.strip_prefix("did ") else {
            return 0;
        };
        let (run, n) = said.split_once(' ').unwrap();
        let next = done.get_mut(&run.parse().unwrap()).unwrap();
        assert_eq!(n.parse(), Ok(*next), "the acts of a writer come in order");
        *next += 1;
        1
    };
    let mut seen = 0;
    while seen < acts {
        seen += count(
            &lines
                .next()
                .expect("it goes on until it is killed")
                .unwrap(),
        );
    }
    std::thread::sleep(pause);
    child.kill().unwrap();
    assert_eq!(
        child.wait().unwrap().code(),
        None,
        "it did not end by itself"
    );
    for line in lines.map_while(Result::ok) {
        count(&line);
    }
    done
}

/// Every confirmed act is there, the next of each writer whole or not at all, and nothing after it.
async fn faults(store: &SqlStore, runs: &BTreeMap<u64, u64>) -> Vec<String> {
    let mut faults = store.verify().await.unwrap();
    let journal = store.journal(0, u32::MAX).await.unwrap();
    let mut entries: BTreeMap<u64, Vec<_>> = BTreeMap::new();
    for entry in &journal {
        entries
            .entry(entry.id.uuid().as_u64_pair().0)
            .or_default()
            .push(entry.id);
    }
    for (&run, &done) in runs {
        let of_run = entries.remove(&run).unwrap_or_default();
        for n in 0..=done {
            let act = Act { run, n };
            let there = acts::is_there(store, act).await.unwrap();
            let entry = of_run.contains(&act.journal_id());
            if there != entry || (n < done && !there) {
                faults.push(format!(
                    "run {run} act {n} of {done}: effect {there}, entry {entry}"
                ));
            }
        }
        if of_run.len() as u64 > done + 1 {
            faults.push(format!(
                "run {run}: {} entries for {done} acts",
                of_run.len()
            ));
        }
    }
    faults.extend(
        entries
            .keys()
            .map(|run| format!("entries of an unknown run {run}")),
    );
    faults
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_confirmed_is_lost_in_two_hundred_kills_under_four_writers() {
    println!("seed {SEED}");
    let mut dice = StdRng::seed_from_u64(SEED);
    let (mut kills, mut confirmed, mut under_way, mut tidied) = (0, 0, 0, 0);
    while kills < KILLS {
        let folder = tempfile::tempdir().unwrap();
        let mut runs = BTreeMap::new();
        for kill in 0..KILLS_PER_FOLDER {
            // Some fall into the making of the folder or into the start after a kill.
            let (acts, micros) = match kill % 5 {
                0 => (0, dice.random_range(0..80_000)),
                _ => (dice.random_range(0..40), dice.random_range(0..15_000)),
            };
            let first = 1 + kill * WRITERS;
            let new = act_and_kill(folder.path(), first, acts, Duration::from_micros(micros));
            kills += 1;
            confirmed += new.values().sum::<u64>();
            let store = SqlStore::open_folder(folder.path()).await.unwrap();
            tidied += store.notes().len();
            let mut all = runs.clone();
            all.extend(new);
            assert_eq!(
                faults(&store, &all).await,
                Vec::<String>::new(),
                "kill {kills}"
            );
            let entries = store.journal(0, u32::MAX).await.unwrap().len() as u64;
            // What was under way and became whole is from now on as good as confirmed.
            let whole = entries - all.values().sum::<u64>();
            under_way += whole;
            for (run, done) in &mut all {
                let next = Act {
                    run: *run,
                    n: *done,
                };
                *done += u64::from(acts::is_there(&store, next).await.unwrap());
            }
            runs = all;
        }
    }
    println!(
        "{kills} kills under {WRITERS} writers: {confirmed} acknowledged acts, 0 lost, 0 torn; {under_way} more \
         were whole though not yet acknowledged; {tidied} starts had files to tidy"
    );
    assert!(
        confirmed > 2000,
        "the test must get to the acts: {confirmed}"
    );
}

//! A process for the crash tests to start, kill and starve.
//!
//! `store-actor act FOLDER RUN` performs acts one after the other and prints `did N` after each
//! is confirmed; at the first refusal it prints `refused SENTENCE`, tries twice more, says whether
//! it can still read, and ends.
//! `store-actor hold FOLDER` opens the folder and waits until its input is closed.
//! `store-actor check FOLDER RUN ACKNOWLEDGED` prints every fault, and ends with 1 where there
//! are any.

#[allow(dead_code, reason = "shared with the tests")]
mod acts;

use acts::{Act, faults, is_there, perform};
use std::io::{Read, Write, stdin, stdout};
use std::process::ExitCode;
use store_sql::SqlStore;

#[tokio::main(flavor = "multi_thread", worker_threads = 2)]
async fn main() -> ExitCode {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let given: Vec<&str> = given.iter().map(String::as_str).collect();
    match given.as_slice() {
        ["act", folder, run] => act(folder, number(run)).await,
        ["hold", folder] => hold(folder).await,
        ["check", folder, run, acknowledged] => {
            check(folder, number(run), number(acknowledged)).await
        }
        _ => {
            say("expected: act FOLDER RUN, hold FOLDER, or check FOLDER RUN ACKNOWLEDGED");
            ExitCode::from(2)
        }
    }
}

fn number(text: &str) -> u64 {
    text.parse().expect("the tests pass numbers")
}

fn say(line: &str) {
    // The test may have gone away; then there is nobody to tell.
    let mut out = stdout().lock();
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

async fn act(folder: &str, run: u64) -> ExitCode {
    let store = match acts::opened(folder.as_ref()).await {
        Ok(store) => store,
        Err(refused) => {
            say(&format!("refused {refused}"));
            return ExitCode::from(3);
        }
    };
    for n in 0.. {
        let mut outcome = perform(&store, Act { run, n }).await;
        let mut tries = 1;
        while let Err(refused) = &outcome {
            say(&format!("refused {refused}"));
            if tries == 3 {
                return still_reads(&store, run, n).await;
            }
            tries += 1;
            outcome = perform(&store, Act { run, n }).await;
        }
        say(&format!("did {n}"));
    }
    ExitCode::SUCCESS
}

/// What was confirmed before can be read although nothing can be written.
async fn still_reads(store: &SqlStore, run: u64, refused: u64) -> ExitCode {
    for n in 0..refused {
        match is_there(store, Act { run, n }).await {
            Ok(true) => {}
            Ok(false) => say(&format!("lost {n}")),
            Err(error) => say(&format!("unreadable {n}: {error}")),
        }
    }
    say("read everything");
    store.close().await;
    ExitCode::SUCCESS
}

async fn hold(folder: &str) -> ExitCode {
    let store = acts::opened(folder.as_ref()).await;
    say(if store.is_ok() { "open" } else { "refused" });
    let mut rest = Vec::new();
    let _ = stdin().read_to_end(&mut rest);
    ExitCode::SUCCESS
}

async fn check(folder: &str, run: u64, acknowledged: u64) -> ExitCode {
    let store = acts::opened(folder.as_ref())
        .await
        .expect("the folder opens again");
    let faults = faults(&store, run, acknowledged)
        .await
        .expect("the store can be read");
    for fault in &faults {
        say(fault);
    }
    if faults.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

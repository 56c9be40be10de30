//! Another program, run for a limited time: found in absolute folders of PATH, its words kept short.

use anyhow::{Context, Result, anyhow};
use std::env;
use std::ffi::OsString;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

/// Of what a program says only the beginning is kept.
const MOST_WORDS: u64 = 8192;
const BETWEEN_LOOKS: Duration = Duration::from_millis(5);

/// Relative folders of PATH are passed over: nobody's folder of clips brings the program.
pub fn found(name: &str) -> Option<PathBuf> {
    let name = format!("{name}{}", env::consts::EXE_SUFFIX);
    let path = env::var_os("PATH")?;
    env::split_paths(&path)
        .filter(|folder| folder.is_absolute())
        .map(|folder| folder.join(&name))
        .find(|file| file.is_file())
}

/// What is left of a run.
#[derive(Debug, Default)]
pub struct Ran {
    /// The beginning of what it wrote to standard error.
    pub said: String,
    pub well: bool,
}

impl Ran {
    /// Its first line, printable and short.
    pub fn first_words(&self) -> Option<String> {
        let line = self.said.lines().map(str::trim).find(|l| !l.is_empty())?;
        // `[mov,mp4 @ 0x55d0] moov atom not found`: what stands in brackets differs from run to run.
        let line = match line.split_once("] ") {
            Some((head, rest)) if head.starts_with('[') => rest,
            _ => line,
        };
        let clean = line.chars().filter(|c| !c.is_control());
        Some(clean.take(120).collect())
    }

    /// For the middle of a sentence.
    pub fn said_so(&self) -> String {
        self.first_words()
            .map_or(String::new(), |words| format!(" ({words})"))
    }
}

pub struct Run {
    command: Command,
    name: String,
    limit: Duration,
}

impl Run {
    pub fn new(program: &Path, arguments: Vec<OsString>, limit: Duration) -> Run {
        let mut command = Command::new(program);
        command
            .args(arguments)
            // It would write a log file of its own.
            .env_remove("FFREPORT")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let name = program
            .file_stem()
            .map(|n| n.to_string_lossy().into_owned());
        Run {
            command,
            name: name.unwrap_or_default(),
            limit,
        }
    }

    /// Runs it and hands over what it writes; it is stopped when the time is over or `take` fails.
    ///
    /// # Errors
    /// It does not start, takes too long, or `take` fails.
    pub fn through(mut self, take: &mut dyn FnMut(&mut dyn Read) -> Result<()>) -> Result<Ran> {
        let unstarted = || format!("the program {} could not be started", self.name);
        let mut child = self.command.spawn().with_context(unstarted)?;
        let (out, err) = (child.stdout.take(), child.stderr.take());
        let (mut out, err) = out.zip(err).with_context(unstarted)?;
        let words = thread::spawn(move || words_of(err));
        let child = Arc::new(Mutex::new(child));
        let (ended, watch) = channel::<()>();
        let (watched, limit) = (child.clone(), self.limit);
        let watch = thread::spawn(move || {
            let late = watch.recv_timeout(limit) == Err(RecvTimeoutError::Timeout);
            if late {
                stop(&watched);
            }
            late
        });
        let taken = take(&mut out);
        drop(out);
        if taken.is_err() {
            stop(&child);
        }
        let well = wait(&child);
        let _ = ended.send(());
        let late = watch.join().unwrap_or(false);
        let said = words.join().unwrap_or_default();
        if late {
            return Err(anyhow!(
                "{} took longer than {} seconds and was stopped; expected a clip of a few minutes; cut it to the rises themselves, or give more time with --time-limit",
                self.name,
                self.limit.as_secs()
            ));
        }
        taken?;
        Ok(Ran { said, well })
    }
}

fn stop(child: &Mutex<Child>) {
    let _ = child.lock().unwrap_or_else(PoisonError::into_inner).kill();
}

/// Looks again and again, so that whoever watches the time can stop it meanwhile.
fn wait(child: &Mutex<Child>) -> bool {
    loop {
        let seen = child
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .try_wait();
        match seen {
            Ok(Some(status)) => return status.success(),
            Ok(None) => thread::sleep(BETWEEN_LOOKS),
            Err(_) => return false,
        }
    }
}

fn words_of(mut from: impl Read) -> String {
    let mut first = Vec::new();
    let _ = (&mut from).take(MOST_WORDS).read_to_end(&mut first);
    // The rest is read and forgotten: a full pipe would hold the program up.
    let _ = std::io::copy(&mut from, &mut std::io::sink());
    String::from_utf8_lossy(&first).into_owned()
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    fn shell(script: &str, limit: Duration) -> Run {
        Run::new(
            Path::new("/bin/sh"),
            vec!["-c".into(), script.into()],
            limit,
        )
    }

    fn all_of(run: Run) -> (Result<Ran>, Vec<u8>) {
        let mut got = Vec::new();
        let ran = run.through(&mut |pipe| {
            pipe.read_to_end(&mut got)?;
            Ok(())
        });
        (ran, got)
    }

    #[test]
    fn what_it_writes_comes_through_and_its_words_are_kept_short() {
        let script = "printf frames; printf '[mov @ 0x1] first\\nsecond' >&2; exit 3";
        let (ran, got) = all_of(shell(script, Duration::from_secs(20)));
        let ran = ran.expect("it ran");
        assert_eq!(got, b"frames");
        assert!(!ran.well);
        assert_eq!(ran.first_words().as_deref(), Some("first"));
        let loud = "i=0; while [ $i -lt 3000 ]; do echo 0123456789012345678901234567890123456789 >&2; i=$((i+1)); done";
        let (ran, _) = all_of(shell(loud, Duration::from_secs(20)));
        assert!(ran.expect("it ran").said.len() <= MOST_WORDS as usize);
    }

    #[test]
    fn a_program_that_does_not_end_is_stopped_also_where_it_has_closed_its_output() {
        for script in ["exec sleep 600", "exec >&- 2>&-; exec sleep 600"] {
            let (ran, _) = all_of(shell(script, Duration::from_millis(300)));
            let told = ran.expect_err("too long").to_string();
            assert!(told.contains("was stopped"), "{told}");
        }
    }

    #[test]
    fn a_failure_of_whoever_takes_the_bytes_stops_the_program() {
        let ran = shell("exec yes", Duration::from_secs(60)).through(&mut |pipe| {
            let mut some = [0; 8];
            pipe.read_exact(&mut some)?;
            Err(anyhow!("enough"))
        });
        assert_eq!(ran.expect_err("stopped").to_string(), "enough");
    }
}

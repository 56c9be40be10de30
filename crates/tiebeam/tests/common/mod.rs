//! The binary from outside, for every test here.
#![allow(dead_code)]

pub mod filmed;
pub mod served;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub fn command() -> Command {
    Command::new(env!("CARGO_BIN_EXE_tiebeam"))
}

pub fn tiebeam(arguments: &[&str]) -> Output {
    command().args(arguments).output().expect("the binary runs")
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

pub fn folder(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).expect("a folder for the test");
    dir
}

/// What a command that goes well writes to standard output.
pub fn said(arguments: &[&str]) -> String {
    let done = tiebeam(arguments);
    assert!(
        done.status.success(),
        "{arguments:?}: {}",
        text(&done.stderr)
    );
    text(&done.stdout)
}

pub fn json(arguments: &[&str]) -> serde_json::Value {
    serde_json::from_str(&said(arguments)).expect("JSON")
}

/// The one sentence on standard error of a command that fails with exit status 2.
pub fn refused(arguments: &[&str]) -> String {
    refusal(&tiebeam(arguments))
}

pub fn refusal(done: &Output) -> String {
    let sentence = text(&done.stderr).trim().to_owned();
    assert_eq!(done.status.code(), Some(2), "{sentence}");
    assert_eq!(sentence.lines().count(), 1, "{sentence}");
    assert!(sentence.starts_with("tiebeam: "), "{sentence}");
    assert!(text(&done.stdout).is_empty(), "{sentence}");
    sentence
}

pub fn put(dir: &Path, name: &str, bytes: &[u8]) -> String {
    let path = dir.join(name);
    fs::write(&path, bytes).expect("a file");
    path.display().to_string()
}

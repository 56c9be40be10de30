//! What the harsh tests share: a traced process, the disk it leaves, and how both are checked.
#![allow(dead_code, reason = "each test file uses what it needs")]

pub mod disk;

use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// Where flushing costs nothing, if there is such a place: images are many, and what the real disk does
/// with them proves nothing more.
pub fn quick_folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    match tempfile::tempdir_in(memory) {
        Ok(folder) => folder,
        Err(_) => tempfile::tempdir().unwrap(),
    }
}

/// The tracing layer, compiled with the compiler that builds SQLite.
pub struct Tracer {
    folder: TempDir,
}

/// Which changing step breaks, how many after it, and with which error; error 0 ends the process.
#[derive(Debug, Clone, Copy)]
pub struct Break {
    pub at: u64,
    pub steps: u64,
    pub error: i32,
}

pub const NO_SPACE: i32 = 28;
pub const BAD_DISK: i32 = 5;
pub const KILLED: i32 = 0;

impl Tracer {
    pub fn compiled() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/harsh/trace.c");
        let done = Command::new("cc")
            .args(["-shared", "-fPIC", "-O1", "-o"])
            .arg(folder.path().join("trace.so"))
            .arg(source)
            .args(["-ldl", "-lpthread"])
            .status()
            .unwrap();
        assert!(done.success(), "the tracing layer compiles");
        Tracer { folder }
    }

    pub fn log(&self) -> PathBuf {
        self.folder.path().join("log")
    }

    /// Sets a process up to be traced in `folder`; the log of an earlier one goes on.
    pub fn around<'c>(
        &self,
        command: &'c mut Command,
        folder: &Path,
        broken: Option<Break>,
    ) -> &'c mut Command {
        command
            .env("LD_PRELOAD", self.folder.path().join("trace.so"))
            .env("TRACE_FOLDER", folder)
            .env("TRACE_LOG", self.log());
        if let Some(Break { at, steps, error }) = broken {
            command
                .env("TRACE_BREAK_AT", at.to_string())
                .env("TRACE_BREAK_FOR", steps.to_string())
                .env("TRACE_BREAK_HOW", error.to_string());
        }
        command
    }

    pub fn steps(&self) -> Vec<disk::Step> {
        disk::steps(&std::fs::read(self.log()).unwrap_or_default())
    }

    pub fn forget(&self) {
        let _ = std::fs::remove_file(self.log());
    }
}

/// This test program once more, running nothing but the one ignored test of that name.
pub fn process(name: &str) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args([
        "--ignored",
        "--exact",
        name,
        "--nocapture",
        "--test-threads=1",
    ]);
    command
}

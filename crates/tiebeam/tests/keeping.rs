//! A practice is sealed, backed up and put back by commands, as somebody who runs it would.

mod common;

use common::{command, folder, said, text};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::time::{Duration, Instant};

const PASSPHRASE: &str = "seven herons on the weir";

fn with(passphrase: &str, arguments: &[&str]) -> Command {
    let mut command = command();
    command
        .args(arguments)
        .env("TIEBEAM_PASSPHRASE", passphrase);
    command
}

fn does(passphrase: &str, arguments: &[&str]) -> String {
    let done = with(passphrase, arguments)
        .output()
        .expect("the binary runs");
    assert!(
        done.status.success(),
        "{arguments:?}: {}",
        text(&done.stderr)
    );
    text(&done.stdout)
}

/// The one sentence of a command that fails.
fn sentence(done: &Output) -> String {
    let said = text(&done.stderr).trim().to_owned();
    assert!(!done.status.success(), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    said
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

fn backups(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut all: Vec<PathBuf> = entries
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "backup"))
        .collect();
    all.sort();
    all
}

/// The open practice of the demo, made once.
fn demo() -> String {
    static MADE: OnceLock<String> = OnceLock::new();
    let made = MADE.get_or_init(|| {
        let out = folder("keeping-demo");
        said(&["demo", "--no-serve", "--out", &out.display().to_string()]);
        path(&out, "practice")
    });
    made.clone()
}

/// A sealed copy of the demo; answers with the recovery code that was printed.
fn sealed(dir: &Path) -> String {
    let (open, sealed) = (demo(), path(dir, "sealed"));
    let made = command()
        .args(["key", "--data", &sealed, "make"])
        .env("TIEBEAM_NEW_PASSPHRASE", PASSPHRASE)
        .output()
        .expect("the binary runs");
    assert!(made.status.success(), "{}", text(&made.stderr));
    let told = text(&made.stdout);
    let code = told
        .lines()
        .find(|line| line.starts_with("    "))
        .expect("a recovery code")
        .trim()
        .to_owned();
    assert_eq!(code.split(' ').count(), 8, "{code}");
    // One process at a time in the demo's folder.
    static TURN: Mutex<()> = Mutex::new(());
    let turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let moved = does(PASSPHRASE, &["move", "--data", &open, "--to-data", &sealed]);
    drop(turn);
    assert!(moved.contains("both places hold the same"), "{moved}");
    code
}

#[test]
fn a_sealed_practice_is_backed_up_put_back_given_a_new_key_and_put_back_again() {
    let dir = folder("keeping");
    let code = sealed(&dir);
    let (data, shelf) = (path(&dir, "sealed"), path(&dir, "backups"));

    // What is wrong gets one sentence.
    let wrong = with("another passphrase", &["verify", "--data", &data]);
    let wrong = sentence(&{ wrong }.output().expect("the binary runs"));
    assert!(wrong.contains("nobody, also not the makers"), "{wrong}");
    let keyed = command()
        .args(["key", "--data", &demo(), "make"])
        .env("TIEBEAM_NEW_PASSPHRASE", PASSPHRASE)
        .output()
        .expect("the binary runs");
    assert!(
        sentence(&keyed).contains("tiebeam move"),
        "{}",
        sentence(&keyed)
    );
    let none = ["backup", "--data", &demo(), "--to", &shelf];
    let none = sentence(&common::tiebeam(&none));
    assert!(none.contains("found no keyring"), "{none}");

    let told = does(PASSPHRASE, &["verify", "--data", &data]);
    assert!(told.contains("everything is whole"), "{told}");
    let told = does(PASSPHRASE, &["backup", "--data", &data, "--to", &shelf]);
    assert!(told.contains("holds the same"), "{told}");
    let [first] = &backups(Path::new(&shelf))[..] else {
        panic!("one backup");
    };
    let first = first.display().to_string();
    for named in ["Invented", "PATIENT", "SQLite format"] {
        let bytes = fs::read(&first).expect("the backup");
        assert!(!text(&bytes).contains(named), "{named} is readable");
    }

    // Back with the code on paper, into a new place; nowhere else.
    let back = path(&dir, "back");
    let mut restore = command();
    restore
        .args([
            "restore",
            "--from",
            &first,
            "--data",
            &back,
            "--recovery-code",
        ])
        .env("TIEBEAM_RECOVERY_CODE", &code);
    let done = restore.output().expect("the binary runs");
    assert!(done.status.success(), "{}", text(&done.stderr));
    assert!(text(&done.stdout).contains("everything is whole"));
    let again = sentence(&restore.output().expect("the binary runs"));
    assert!(again.contains("expected an empty place"), "{again}");
    does(PASSPHRASE, &["verify", "--data", &back]);

    // A new key; the backup of before still opens with the passphrase of before.
    let listed = does("", &["key", "--data", &data, "list"]);
    assert!(
        listed.contains("passphrase") && listed.contains("on paper"),
        "{listed}"
    );
    assert!(listed.contains("sealed with key 1"), "{listed}");
    let rotated = with(PASSPHRASE, &["key", "--data", &data, "rotate"])
        .env("TIEBEAM_RECOVERY_CODE", &code)
        .output()
        .expect("the binary runs");
    assert!(rotated.status.success(), "{}", text(&rotated.stderr));
    assert!(text(&rotated.stdout).contains("sealed with key 2"));
    let listed = does("", &["key", "--data", &data, "list"]);
    assert!(!listed.contains("older keys"), "{listed}");
    does(PASSPHRASE, &["verify", "--data", &data]);
    let id = listed
        .lines()
        .find(|l| l.contains("passphrase"))
        .and_then(|l| l.split(' ').next())
        .expect("an id");
    let changed = with(PASSPHRASE, &["key", "--data", &data, "change", id])
        .env("TIEBEAM_NEW_PASSPHRASE", "nine otters under the bridge")
        .output()
        .expect("the binary runs");
    assert!(changed.status.success(), "{}", text(&changed.stderr));
    assert!(
        !with(PASSPHRASE, &["verify", "--data", &data])
            .output()
            .expect("the binary runs")
            .status
            .success()
    );
    does("nine otters under the bridge", &["verify", "--data", &data]);
    let third = path(&dir, "third");
    let told = does(
        PASSPHRASE,
        &["restore", "--from", &first, "--data", &third, "--unsealed"],
    );
    assert!(told.contains("put back"), "{told}");
    said(&["verify", "--data", &third]);

    // A backup that was changed is refused, and nothing is made.
    let mut bytes = fs::read(&first).expect("the backup");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let bad = path(&dir, "bad.backup");
    fs::write(&bad, bytes).expect("a file");
    let nowhere = path(&dir, "nowhere");
    let refused = with(PASSPHRASE, &["restore", "--from", &bad, "--data", &nowhere]);
    let refused = sentence(&{ refused }.output().expect("the binary runs"));
    assert!(refused.contains("altered"), "{refused}");
    assert!(!Path::new(&nowhere).exists());
}

#[test]
fn served_with_a_folder_for_backups_a_proved_one_appears_without_anybody_asking() {
    let dir = folder("by-the-clock");
    sealed(&dir);
    let shelf = dir.join("backups");
    let mut serving = with(
        PASSPHRASE,
        &[
            "serve",
            "--data",
            &path(&dir, "sealed"),
            "--port",
            "0",
            "--backup-to",
            &shelf.display().to_string(),
        ],
    )
    .stdout(Stdio::piped())
    .spawn()
    .expect("the program starts");
    let mut line = String::new();
    BufReader::new(serving.stdout.take().expect("its words"))
        .read_line(&mut line)
        .expect("a line");
    let begun = Instant::now();
    while backups(&shelf).is_empty() && begun.elapsed() < Duration::from_secs(120) {
        std::thread::sleep(Duration::from_millis(200));
    }
    serving.kill().expect("the program stops");
    serving.wait().expect("the program ends");
    assert_eq!(backups(&shelf).len(), 1, "{line}");
    let first = backups(&shelf)[0].display().to_string();
    let back = path(&dir, "back");
    let told = does(PASSPHRASE, &["restore", "--from", &first, "--data", &back]);
    assert!(told.contains("everything is whole"), "{told}");
}

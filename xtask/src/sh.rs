//! Running other programs: what is run is printed, what fails is said in one sentence.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

pub type Outcome<T = ()> = Result<T, String>;

/// The folder of the workspace, whatever folder the command was given in.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .map(Path::to_path_buf)
        .unwrap_or_else(|| PathBuf::from("."))
}

/// Prints a heading with the seconds since the start.
pub fn heading(words: &str) {
    println!("\n── {words}");
}

/// Runs a program in the workspace folder with its output shown.
pub fn run(program: &str, args: &[&str]) -> Outcome {
    run_in(&root(), program, args)
}

/// The same with settings of the environment beside those that are there.
pub fn run_with(program: &str, args: &[&str], settings: &[(&str, &str)]) -> Outcome {
    run_all(&root(), program, args, settings)
}

pub fn run_in(folder: &Path, program: &str, args: &[&str]) -> Outcome {
    run_all(folder, program, args, &[])
}

fn run_all(folder: &Path, program: &str, args: &[&str], settings: &[(&str, &str)]) -> Outcome {
    println!("   $ {program} {}", args.join(" "));
    let start = Instant::now();
    let status = Command::new(program)
        .args(args)
        .current_dir(folder)
        .envs(settings.iter().copied())
        .status()
        .map_err(|e| {
            format!("`{program}` could not be started ({e}); install it or put it on the PATH")
        })?;
    if !status.success() {
        return Err(format!(
            "`{program} {}` ended with {status}; its own words are above",
            args.join(" ")
        ));
    }
    println!("   ✓ {:.0} s", start.elapsed().as_secs_f64());
    Ok(())
}

/// Runs a program and gives back what it printed; its errors are shown.
pub fn output(program: &str, args: &[&str]) -> Outcome<String> {
    let done = Command::new(program)
        .args(args)
        .current_dir(root())
        .stderr(Stdio::inherit())
        .output()
        .map_err(|e| {
            format!("`{program}` could not be started ({e}); install it or put it on the PATH")
        })?;
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    if done.status.success() {
        Ok(text)
    } else {
        print!("{text}");
        Err(format!(
            "`{program} {}` ended with {}",
            args.join(" "),
            done.status
        ))
    }
}

/// Whether a program is on the PATH.
pub fn have(program: &str) -> bool {
    std::env::var_os("PATH")
        .map(|paths| std::env::split_paths(&paths).any(|p| p.join(program).is_file()))
        .unwrap_or(false)
}

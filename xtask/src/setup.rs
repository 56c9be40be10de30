//! Brings in what the commands need beside Rust and Node: Debian packages, Python libraries and npm
//! packages. Each step looks first and does nothing when the thing is there.

use crate::sh::{Outcome, have, heading, root, run, run_in};
use std::fs;
use std::path::PathBuf;

/// Programs and the Debian packages that bring them.
const PROGRAMS: &[(&str, &str, &str)] = &[
    ("cc", "gcc", "SQLite is built with it"),
    ("chromium", "chromium", "the browser tests drive it"),
    (
        "dciodvfy",
        "dicom3tools",
        "it checks the DICOM files we write",
    ),
    ("dcmdump", "dcmtk", "it reads the DICOM files we write"),
    (
        "pdftoppm",
        "poppler-utils",
        "it turns letters into pictures to look at",
    ),
    ("qpdf", "qpdf", "it checks the PDF files we write"),
];

/// What building needs.
pub fn for_build() -> Outcome {
    debian(&["cc"])?;
    page()
}

/// What tests and measurements need: all that any command does.
pub fn for_tests() -> Outcome {
    debian(&PROGRAMS.iter().map(|p| p.0).collect::<Vec<_>>())?;
    page()?;
    browser_tests()?;
    database_server()?;
    fhir_readers()?;
    python()
}

fn debian(programs: &[&str]) -> Outcome {
    let missing: Vec<_> = PROGRAMS
        .iter()
        .filter(|p| programs.contains(&p.0) && !have(p.0))
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    let packages: Vec<&str> = missing.iter().map(|p| p.1).collect();
    heading(&format!("installing {}", packages.join(", ")));
    if !have("apt-get") {
        let list: Vec<String> = missing
            .iter()
            .map(|p| format!("{} ({}; Debian package {})", p.0, p.2, p.1))
            .collect();
        return Err(format!(
            "found no {} and no apt-get to install it with; install it with this system's package manager and run the command again",
            list.join(", ")
        ));
    }
    debian_install(&packages)
}

fn debian_install(packages: &[&str]) -> Outcome {
    let (program, first): (&str, &[&str]) = if is_root() {
        ("apt-get", &[])
    } else {
        ("sudo", &["apt-get"])
    };
    run(program, &[first, &["update", "-qq"]].concat())?;
    run(
        program,
        &[
            first,
            &["install", "-y", "-qq", "--no-install-recommends"],
            packages,
        ]
        .concat(),
    )
}

pub fn is_root() -> bool {
    fs::read_to_string("/proc/self/status")
        .ok()
        .and_then(|s| {
            s.lines()
                .find(|l| l.starts_with("Uid:"))
                .map(|l| l.contains("\t0\t"))
        })
        .unwrap_or(false)
}

/// The folder with the programs of a database server; Debian keeps them off the PATH.
pub fn database_server() -> Outcome<PathBuf> {
    if let Some(folder) = programs_of_a_database_server() {
        return Ok(folder);
    }
    if !have("apt-get") {
        return Err("found no PostgreSQL and no apt-get to install it with; install PostgreSQL 15 or newer with this system's package manager and run the command again".into());
    }
    heading("installing postgresql");
    debian_install(&["postgresql"])?;
    programs_of_a_database_server()
        .ok_or_else(|| "found no initdb after installing the package postgresql".into())
}

fn programs_of_a_database_server() -> Option<PathBuf> {
    let versions = fs::read_dir("/usr/lib/postgresql").into_iter().flatten();
    let debian = versions.flatten().map(|version| version.path().join("bin"));
    let paths = std::env::var_os("PATH").unwrap_or_default();
    let mut all: Vec<PathBuf> = std::env::split_paths(&paths).chain(debian).collect();
    all.reverse();
    let programs = ["initdb", "pg_ctl", "postgres"];
    all.into_iter()
        .find(|folder| programs.iter().all(|p| folder.join(p).is_file()))
}

/// npm packages and the bundle of the pages' scripts and styles.
pub fn page() -> Outcome {
    if !have("npm") {
        return Err(
            "found no npm; Node 20.19 or newer is needed for the pages' scripts, see the README"
                .into(),
        );
    }
    let ui = root().join("crates/web/ui");
    if !ui.join("package.json").is_file() {
        return Ok(());
    }
    npm_ci(&ui)?;
    heading("pages' scripts and styles");
    run_in(&ui, "npm", &["run", "--silent", "build"])
}

fn browser_tests() -> Outcome {
    let folder = root().join("e2e");
    if folder.join("package.json").is_file() {
        npm_ci(&folder)
    } else {
        Ok(())
    }
}

/// Other readers of health records in the open format.
fn fhir_readers() -> Outcome {
    npm_ci(&root().join("checks/fhir"))
}

/// `npm ci`, once for each state of the lock file.
fn npm_ci(folder: &std::path::Path) -> Outcome {
    let lock = fs::read(folder.join("package-lock.json")).unwrap_or_default();
    let stamp = folder.join("node_modules/.installed-lock");
    if fs::read(&stamp).is_ok_and(|old| old == lock) {
        return Ok(());
    }
    heading(&format!(
        "npm packages of {}",
        folder.strip_prefix(root()).unwrap_or(folder).display()
    ));
    run_in(
        folder,
        "npm",
        &["ci", "--no-audit", "--no-fund", "--loglevel=error"],
    )?;
    fs::write(&stamp, lock).map_err(|e| format!("could not write {}: {e}", stamp.display()))
}

/// The Python interpreter of the reference libraries.
pub fn python_path() -> String {
    root().join(".venv/bin/python").display().to_string()
}

/// A virtual environment with the reference libraries, once for each state of their list.
pub fn python() -> Outcome {
    let list = |name: &str| {
        let path = root().join("checks").join(name);
        fs::read(&path).map_err(|e| format!("could not read {}: {e}", path.display()))
    };
    let wanted = [list("requirements.txt")?, list("requirements-alone.txt")?].concat();
    let stamp = root().join(".venv/.installed-requirements");
    if fs::read(&stamp).is_ok_and(|old| old == wanted) {
        return Ok(());
    }
    heading("Python reference libraries");
    if !have("python3") {
        return Err("found no python3; the second implementations need Python 3.11 or newer with its venv module".into());
    }
    // Debian keeps the module that a virtual environment is made with in a package of its own.
    let makes_venvs = std::process::Command::new("python3")
        .args(["-c", "import ensurepip"])
        .output()
        .is_ok_and(|done| done.status.success());
    if !makes_venvs && have("apt-get") {
        debian_install(&["python3-venv"])?;
    }
    run("python3", &["-m", "venv", ".venv"])?;
    let pip = ["-m", "pip", "install", "-q", "--disable-pip-version-check"];
    let with = |more: &[&str]| run(&python_path(), &[&pip[..], more].concat());
    with(&["-r", "checks/requirements.txt"])?;
    with(&["--no-deps", "-r", "checks/requirements-alone.txt"])?;
    fs::write(&stamp, wanted).map_err(|e| format!("could not write {}: {e}", stamp.display()))
}

//! The architecture page says which crates exist and who may use whom; this holds it against the manifests.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("xtask lies in the workspace")
        .to_path_buf()
}

/// Crates by folder, each with the crates of ours under `[dependencies]`.
fn in_manifests() -> BTreeMap<String, BTreeSet<String>> {
    let crates: BTreeSet<String> = fs::read_dir(root().join("crates"))
        .expect("crates/ is there")
        .filter_map(|e| {
            e.ok()
                .filter(|e| e.path().join("Cargo.toml").is_file())
                .map(|e| e.file_name().to_string_lossy().into_owned())
        })
        .collect();
    crates
        .iter()
        .map(|name| {
            let text = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml"))
                .expect("a manifest");
            let section = text
                .split("\n[dependencies]")
                .nth(1)
                .unwrap_or_default()
                .split("\n[")
                .next()
                .unwrap_or_default();
            let used = section
                .lines()
                .filter_map(|l| l.split(['.', ' ', '=']).next())
                .filter(|d| crates.contains(*d))
                .map(str::to_owned)
                .collect();
            (name.clone(), used)
        })
        .collect()
}

/// The table of the page: crate, and what it may use.
fn on_the_page() -> BTreeMap<String, BTreeSet<String>> {
    let text = fs::read_to_string(root().join("docs/ARCHITECTURE.md")).expect("the page is there");
    let all: Vec<String> = in_manifests().into_keys().collect();
    text.lines()
        .filter_map(|line| {
            let mut cells = line.strip_prefix("| `")?.split('|').map(str::trim);
            let name = cells.next()?.trim_end_matches('`').to_owned();
            let uses = cells.nth(1)?;
            let set = if uses == "everything above" {
                all.iter().filter(|c| **c != name).cloned().collect()
            } else if let Some(but) = uses.strip_prefix("everything above except ") {
                let not: BTreeSet<&str> = but
                    .split([',', ' '])
                    .filter(|w| all.iter().any(|c| c == w))
                    .collect();
                all.iter()
                    .filter(|c| **c != name && !not.contains(c.as_str()) && *c != "tiebeam")
                    .cloned()
                    .collect()
            } else {
                uses.split(',')
                    .map(|w| w.trim().to_owned())
                    .filter(|w| w != "–")
                    .collect()
            };
            Some((name, set))
        })
        .collect()
}

#[test]
fn the_page_names_every_crate_and_no_other() {
    let there: BTreeSet<String> = in_manifests().into_keys().collect();
    let named: BTreeSet<String> = on_the_page().into_keys().collect();
    assert_eq!(named, there);
}

#[test]
fn no_crate_uses_another_that_the_page_does_not_allow() {
    let allowed = on_the_page();
    for (name, used) in in_manifests() {
        let may = allowed.get(&name).cloned().unwrap_or_default();
        let more: Vec<&String> = used.difference(&may).collect();
        assert!(
            more.is_empty(),
            "{name} uses {more:?}; allow it in docs/ARCHITECTURE.md with a reason, or take it out"
        );
    }
}

#[test]
fn sql_and_pixels_stay_where_the_page_says() {
    let with = |dependency: &str| -> BTreeSet<String> {
        in_manifests()
            .into_keys()
            .filter(|name| {
                let text = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml"))
                    .expect("a manifest");
                text.lines().any(|l| l.starts_with(dependency))
            })
            .collect()
    };
    assert_eq!(with("sqlx"), BTreeSet::from(["store-sql".to_owned()]));
    let dicom = BTreeSet::from(["film".to_owned(), "exchange-dicom".to_owned()]);
    assert!(with("dicom-object").is_subset(&dicom));
    assert!(with("dicom-ul").is_subset(&BTreeSet::from(["exchange-dicom".to_owned()])));
    let lower = in_manifests();
    for name in ["stage", "care", "reading", "exam"] {
        assert!(
            !lower[name].contains("film"),
            "{name} must never see pixels"
        );
    }
}

#[test]
fn the_ci_script_runs_the_test_command_of_the_readme_and_nothing_else() {
    let script = fs::read_to_string(root().join(".ci/run")).expect(".ci/run");
    let readme = fs::read_to_string(root().join("README.md")).expect("README.md");
    assert!(readme.contains("cargo xtask test"));
    let commands: Vec<&str> = script
        .lines()
        .map(str::trim)
        .filter(|l| {
            let settles = ["#", "set ", "cd ", "export CARGO_INCREMENTAL="];
            !l.is_empty() && !settles.iter().any(|s| l.starts_with(s))
        })
        .collect();
    assert_eq!(commands, ["exec cargo xtask test"]);
}

//! `figures` and `bench`: run the measuring programs, collect the lines they print and write them down
//! with command, date and machine. A figure program prints lines `FIGURE {json}`, a bench program
//! `BENCH {json}`; everything else it prints is shown as it is. The files are never edited by hand.

use crate::setup;
use crate::sh::{Outcome, heading, output, root, run};
use crate::steps;
use serde_json::{Map, Value, json};
use std::fs;
use std::time::{SystemTime, UNIX_EPOCH};

/// How a measuring program is started.
enum Program {
    /// An example of one of our crates, built with the workspace's one feature set.
    Example(&'static str, &'static [&'static str]),
    /// A script run by the Python of the reference libraries.
    Python(&'static str, &'static [&'static str]),
    /// A script run by Node.
    Node(&'static str, &'static [&'static str]),
}

struct Measuring {
    name: &'static str,
    words: &'static str,
    program: Program,
}

/// What `cargo xtask figures` computes.
const FIGURES: &[Measuring] = &[
    Measuring {
        name: "accuracy",
        words: "readings against the phantom's truth",
        program: Program::Example("phantom_figures", &["accuracy"]),
    },
    Measuring {
        name: "coverage",
        words: "coverage of the stated interval",
        program: Program::Example("phantom_figures", &["coverage"]),
    },
    Measuring {
        name: "turned",
        words: "what a turned foot does",
        program: Program::Example("phantom_figures", &["turned"]),
    },
    Measuring {
        name: "second",
        words: "readings and agreement in numpy and scipy",
        program: Program::Python("checks/figures.py", &["second"]),
    },
    Measuring {
        name: "change",
        words: "mixed models, rates and verdicts in statsmodels and scipy",
        program: Program::Python("checks/figures.py", &["change"]),
    },
    Measuring {
        name: "change",
        words: "verdicts and rates on invented series of known truth",
        program: Program::Example("change_figures", &[]),
    },
    Measuring {
        name: "pydicom",
        words: "films against pydicom",
        program: Program::Python("checks/figures.py", &["pydicom"]),
    },
    Measuring {
        name: "bones",
        words: "the phantom's bones against outside meshes",
        program: Program::Python("checks/figures.py", &["bones"]),
    },
    Measuring {
        name: "solids",
        words: "surfaces against trimesh and manifold3d",
        program: Program::Python("checks/figures.py", &["solids"]),
    },
    Measuring {
        name: "landmarks",
        words: "points on invented foot scans",
        program: Program::Python("checks/figures.py", &["landmarks"]),
    },
    Measuring {
        name: "body",
        words: "an outside body surface, cut at the ankle",
        program: Program::Python("checks/figures.py", &["body_mesh"]),
    },
    Measuring {
        name: "elements",
        words: "published cases of shell elements",
        program: Program::Example("benchmarks", &[]),
    },
    Measuring {
        name: "strength",
        words: "a shell in another library's elements",
        program: Program::Python("checks/figures.py", &["strength"]),
    },
    Measuring {
        name: "shells",
        words: "random prescriptions on invented scans, and another library's eyes on the files",
        program: Program::Python("checks/figures.py", &["shells"]),
    },
    Measuring {
        name: "dicom",
        words: "written films against the DICOM validator",
        program: Program::Python("checks/figures.py", &["dicom"]),
    },
    Measuring {
        name: "exchange",
        words: "objects, receiver and copies without names against pydicom, highdicom and dcmtk",
        program: Program::Python("checks/figures.py", &["exchange"]),
    },
    Measuring {
        name: "motion",
        words: "heel rises in invented clips of known truth",
        program: Program::Example("motion_figures", &[]),
    },
    Measuring {
        name: "motion-fresh",
        words: "heel rises in clips that no setting was chosen on",
        program: Program::Example("motion_figures", &["50", "1000"]),
    },
    Measuring {
        name: "prints-hard",
        words: "prints under lamps and shadows, and prints that touch",
        program: Program::Example("print_figures", &[]),
    },
    Measuring {
        name: "markers",
        words: "marker files in two other readers",
        program: Program::Python("checks/figures.py", &["markers"]),
    },
    Measuring {
        name: "follow",
        words: "followed points against OpenCV",
        program: Program::Python("checks/figures.py", &["follow"]),
    },
    Measuring {
        name: "records",
        words: "nothing lost by a kill or a full disk",
        program: Program::Python("checks/figures.py", &["records"]),
    },
    Measuring {
        name: "vault",
        words: "sealed files and keyrings in other libraries, both ways",
        program: Program::Python("checks/figures.py", &["vault"]),
    },
    Measuring {
        name: "papers",
        words: "letters as tagged PDF",
        program: Program::Python("checks/figures.py", &["papers"]),
    },
    Measuring {
        name: "letters",
        words: "every kind of paper against PDF/UA, in every language",
        program: Program::Python("checks/figures.py", &["letters"]),
    },
    Measuring {
        name: "prints",
        words: "prints in scikit-image",
        program: Program::Python("checks/figures.py", &["prints"]),
    },
    Measuring {
        name: "walks",
        words: "six hundred recorded walks over a pressure plate",
        program: Program::Python("checks/figures.py", &["walks"]),
    },
    Measuring {
        name: "fhir",
        words: "health records against the standard's schema and another reader",
        program: Program::Node("checks/fhir/check.mjs", &[]),
    },
    Measuring {
        name: "table",
        words: "a study's tables in four engines",
        program: Program::Python("checks/table/queries.py", &[]),
    },
];

/// What `cargo xtask bench` measures.
const BENCHES: &[Measuring] = &[
    Measuring {
        name: "film",
        words: "film to display against pydicom and numpy",
        program: Program::Python("checks/figures.py", &["bench-film"]),
    },
    Measuring {
        name: "reading",
        words: "readings against a numpy Monte Carlo",
        program: Program::Python("checks/figures.py", &["bench-reading"]),
    },
    Measuring {
        name: "phantom",
        words: "a phantom film",
        program: Program::Python("checks/figures.py", &["bench-phantom"]),
    },
    Measuring {
        name: "shell",
        words: "scan to foot to shell against trimesh and manifold3d",
        program: Program::Python("checks/figures.py", &["bench-shell"]),
    },
    Measuring {
        name: "solve",
        words: "sparse solves against CHOLMOD",
        program: Program::Python("checks/figures.py", &["bench-solve"]),
    },
    Measuring {
        name: "strength",
        words: "strength of a device",
        program: Program::Python("checks/figures.py", &["bench-strength"]),
    },
    Measuring {
        name: "follow",
        words: "points followed through large frames against OpenCV",
        program: Program::Python("checks/figures.py", &["follow"]),
    },
    Measuring {
        name: "letter",
        words: "a letter, warm",
        program: Program::Example("letter_speed", &[]),
    },
    Measuring {
        name: "practice",
        words: "the day's pages of a large practice",
        program: Program::Node("e2e/bench-practice.mjs", &[]),
    },
    Measuring {
        name: "load",
        words: "a hundred clinicians at once for five minutes",
        program: Program::Node("e2e/bench-load.mjs", &[]),
    },
    Measuring {
        name: "bench",
        words: "the shell bench in the browser",
        program: Program::Node("e2e/bench-page.mjs", &[]),
    },
    Measuring {
        name: "desk",
        words: "the film desk in the browser",
        program: Program::Node("e2e/bench.mjs", &[]),
    },
    Measuring {
        name: "print",
        words: "a picture of a print to its indices",
        program: Program::Example("print_speed", &[]),
    },
    Measuring {
        name: "vault",
        words: "files and backups sealed and opened",
        program: Program::Example("vault_speed", &[]),
    },
];

/// Second implementations that are quick enough for every test run.
const CHECKS: &[Measuring] = &[
    Measuring {
        name: "second",
        words: "readings and agreement in numpy and scipy",
        program: Program::Python("checks/figures.py", &["second"]),
    },
    Measuring {
        name: "change",
        words: "mixed models, rates and verdicts in statsmodels and scipy",
        program: Program::Python("checks/figures.py", &["change"]),
    },
    Measuring {
        name: "pydicom",
        words: "films against pydicom",
        program: Program::Python("checks/figures.py", &["pydicom"]),
    },
    Measuring {
        name: "exchange",
        words: "objects, receiver and copies without names against pydicom, highdicom and dcmtk",
        program: Program::Python("checks/figures.py", &["exchange"]),
    },
    Measuring {
        name: "letters",
        words: "every kind of paper against PDF/UA, in every language",
        program: Program::Python("checks/figures.py", &["letters"]),
    },
    Measuring {
        name: "prints",
        words: "prints in scikit-image",
        program: Program::Python("checks/figures.py", &["prints"]),
    },
    Measuring {
        name: "vault",
        words: "sealed files and keyrings in other libraries, both ways",
        program: Program::Python("checks/figures.py", &["vault"]),
    },
    Measuring {
        name: "fhir",
        words: "health records against the standard's schema and another reader",
        program: Program::Node("checks/fhir/check.mjs", &[]),
    },
    Measuring {
        name: "table",
        words: "a study's tables in four engines",
        program: Program::Python("checks/table/queries.py", &[]),
    },
];

pub fn figures(wanted: &[&str]) -> Outcome {
    let rows = collect(FIGURES, "FIGURE ", wanted)?;
    let path = merge("bench/figures.json", rows)?;
    report(&path, wanted)
}

pub fn bench(wanted: &[&str]) -> Outcome {
    let rows = collect(BENCHES, "BENCH ", wanted)?;
    let path = merge("bench/results.json", rows)?;
    let table = readable(&path)?;
    fs::write(root().join("bench/RESULTS.md"), table)
        .map_err(|e| format!("could not write bench/RESULTS.md: {e}"))?;
    report(&path, wanted)
}

/// Runs the quick checks; one that prints a figure which does not hold fails.
pub fn python_checks() -> Outcome {
    let rows = collect(CHECKS, "FIGURE ", &[])?;
    let bad: Vec<String> = rows
        .iter()
        .filter(|r| r["holds"] == json!(false))
        .map(|r| r["name"].to_string())
        .collect();
    if bad.is_empty() {
        Ok(())
    } else {
        Err(format!("these checks do not hold: {}", bad.join(", ")))
    }
}

fn collect(all: &[Measuring], mark: &str, wanted: &[&str]) -> Outcome<Vec<Value>> {
    if let Some(unknown) = wanted.iter().find(|w| !all.iter().any(|m| m.name == **w)) {
        let names: Vec<&str> = all.iter().map(|m| m.name).collect();
        return Err(format!(
            "found the name {unknown:?}; expected one of {}",
            names.join(" ")
        ));
    }
    setup::for_tests()?;
    heading("build");
    run("cargo", &["build", "--workspace", "--bins", "--examples"])?;
    let mut rows = Vec::new();
    for m in all
        .iter()
        .filter(|m| wanted.is_empty() || wanted.contains(&m.name))
    {
        heading(m.words);
        let (command, text) = start(&m.program)?;
        for line in text.lines() {
            match line.strip_prefix(mark) {
                Some(row) => rows.push(complete(m.name, row, &command)?),
                None => println!("   {line}"),
            }
        }
    }
    Ok(rows)
}

fn start(program: &Program) -> Outcome<(String, String)> {
    match program {
        Program::Example(name, args) => {
            let path = std::path::Path::new(&steps::binary())
                .with_file_name("examples")
                .join(name);
            let shown = format!("target/debug/examples/{name} {}", args.join(" "));
            Ok((
                shown.trim_end().into(),
                output(&path.display().to_string(), args)?,
            ))
        }
        Program::Python(script, args) => {
            let all = [&[*script], *args].concat();
            Ok((
                format!(".venv/bin/python {}", all.join(" ")),
                output(&setup::python_path(), &all)?,
            ))
        }
        Program::Node(script, args) => {
            let all = [&[*script], *args].concat();
            Ok((format!("node {}", all.join(" ")), output("node", &all)?))
        }
    }
}

/// Adds what the program need not say itself.
fn complete(group: &str, row: &str, command: &str) -> Outcome<Value> {
    let mut row: Map<String, Value> = serde_json::from_str(row)
        .map_err(|e| format!("`{command}` printed a row that is not JSON ({e}): {row}"))?;
    for key in ["name", "value", "unit", "goal", "holds"] {
        if !row.contains_key(key) {
            return Err(format!(
                "`{command}` printed a row without {key:?}: {}",
                Value::Object(row)
            ));
        }
    }
    row.insert("group".into(), json!(group));
    row.insert("command".into(), json!(command));
    row.insert("date".into(), json!(today()));
    row.insert("machine".into(), json!(machine()));
    Ok(Value::Object(row))
}

/// Writes the rows over the older ones of the same name; others stay.
fn merge(file: &str, rows: Vec<Value>) -> Outcome<std::path::PathBuf> {
    let path = root().join(file);
    let old: Vec<Value> = fs::read(&path)
        .ok()
        .and_then(|text| serde_json::from_slice(&text).ok())
        .unwrap_or_default();
    let groups: Vec<&Value> = rows.iter().map(|r| &r["group"]).collect();
    let mut all: Vec<Value> = old
        .into_iter()
        .filter(|o| !groups.contains(&&o["group"]))
        .collect();
    all.extend(rows);
    all.sort_by_key(|r| (r["group"].to_string(), r["name"].to_string()));
    let text = serde_json::to_string_pretty(&all).map_err(|e| e.to_string())?;
    fs::create_dir_all(root().join("bench")).map_err(|e| format!("could not make bench/: {e}"))?;
    fs::write(&path, text + "\n")
        .map_err(|e| format!("could not write {}: {e}", path.display()))?;
    Ok(path)
}

fn read_rows(path: &std::path::Path) -> Outcome<Vec<Value>> {
    let text = fs::read(path).map_err(|e| format!("could not read {}: {e}", path.display()))?;
    serde_json::from_slice(&text)
        .map_err(|e| format!("{} is not a list of rows: {e}", path.display()))
}

fn report(path: &std::path::Path, wanted: &[&str]) -> Outcome {
    let rows = read_rows(path)?;
    heading(&format!(
        "{}",
        path.strip_prefix(root()).unwrap_or(path).display()
    ));
    let mut short = Vec::new();
    for r in rows
        .iter()
        .filter(|r| wanted.is_empty() || wanted.iter().any(|w| r["group"] == json!(w)))
    {
        let holds = r["holds"] == json!(true);
        println!(
            "   {} {} = {} {} (goal {})",
            if holds { "✓" } else { "✗" },
            plain(&r["name"]),
            plain(&r["value"]),
            plain(&r["unit"]),
            plain(&r["goal"])
        );
        if !holds {
            short.push(plain(&r["name"]));
        }
    }
    if short.is_empty() {
        Ok(())
    } else {
        Err(format!("short of the goal: {}", short.join(", ")))
    }
}

fn readable(path: &std::path::Path) -> Outcome<String> {
    let mut text = String::from(
        "# Speed, side by side\n\nWritten by `cargo xtask bench`; not edited by hand. Ours and the reference run on the same input in the same run.\n\n| what | ours | reference | ratio | goal | holds | date | machine |\n|---|---|---|---|---|---|---|---|\n",
    );
    for r in read_rows(path)? {
        let cell = |key: &str| r.get(key).map(plain).unwrap_or_else(|| "–".into());
        text += &format!(
            "| {} | {} {} | {} | {} | {} | {} | {} | {} |\n",
            cell("name"),
            // What is measured alone is called its value.
            r.get("ours").map_or_else(|| cell("value"), plain),
            cell("unit"),
            cell("reference"),
            cell("ratio"),
            cell("goal"),
            if r["holds"] == json!(true) {
                "yes"
            } else {
                "no"
            },
            cell("date"),
            cell("machine")
        );
    }
    Ok(text)
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(s) => s.clone(),
        Value::Number(n) => match n.as_f64() {
            Some(x) if n.is_f64() => {
                let digits = if x.abs() >= 100.0 { 1 } else { 4 };
                format!("{x:.digits$}")
                    .trim_end_matches('0')
                    .trim_end_matches('.')
                    .to_string()
            }
            _ => n.to_string(),
        },
        Value::Null => "–".into(),
        other => other.to_string(),
    }
}

/// Today as year-month-day, UTC.
fn today() -> String {
    let days = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map(|d| d.as_secs() / 86_400)
        .unwrap_or(0) as i64;
    // Days to civil date: H. Hinnant, "chrono-compatible low-level date algorithms", civil_from_days.
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1_460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let (d, m) = (
        doy - (153 * mp + 2) / 5 + 1,
        if mp < 10 { mp + 3 } else { mp - 9 },
    );
    format!("{:04}-{m:02}-{d:02}", yoe + era * 400 + i64::from(m <= 2))
}

fn machine() -> String {
    let cpu = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = cpu
        .lines()
        .find_map(|l| l.strip_prefix("model name"))
        .map(|l| l.trim_start_matches([' ', '\t', ':']).to_string());
    let cores = std::thread::available_parallelism()
        .map(|n| n.get())
        .unwrap_or(1);
    format!(
        "{}, {cores} cores, {}",
        model.unwrap_or_else(|| std::env::consts::ARCH.into()),
        std::env::consts::OS
    )
}

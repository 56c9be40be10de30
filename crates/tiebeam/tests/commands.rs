//! The commands from outside: what they print, what they leave behind, how they fail.

mod common;

use common::{folder, text, tiebeam};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// One lateral phantom film with its true points, made once.
fn phantom() -> &'static Path {
    static DIR: OnceLock<PathBuf> = OnceLock::new();
    DIR.get_or_init(|| {
        let dir = folder("phantom");
        let done = tiebeam(&[
            "phantom",
            "--out",
            &dir.display().to_string(),
            "--view",
            "lateral",
            "--collapse",
            "0.5",
        ]);
        assert!(done.status.success(), "{}", text(&done.stderr));
        dir
    })
}

fn film() -> String {
    phantom().join("right-lateral.dcm").display().to_string()
}

/// Runs `read` and gives exit status and the sentence on standard error.
fn refused(arguments: &[&str]) -> (i32, String) {
    let done = tiebeam(&[&["read"], arguments].concat());
    (
        done.status.code().unwrap_or(-1),
        text(&done.stderr).trim().to_owned(),
    )
}

#[test]
fn help_of_every_command_says_what_it_does() {
    for command in [
        "serve", "demo", "phantom", "read", "print", "rise", "shell", "letter", "check",
    ] {
        let done = tiebeam(&[command, "--help"]);
        assert!(done.status.success());
        let page = text(&done.stdout);
        assert!(
            page.contains("Usage:") && page.lines().count() > 6,
            "{command}: {page}"
        );
        // What the list of commands says of it stands on top, and not what its options say of themselves.
        let first: Vec<&str> = page.split_whitespace().take(4).collect();
        let list = text(&tiebeam(&["--help"]).stdout);
        let list: Vec<&str> = list.split_whitespace().collect();
        assert!(
            list.windows(5)
                .any(|w| w[0] == command && w[1..] == first[..]),
            "{command}: {first:?}"
        );
    }
    assert!(text(&tiebeam(&["--help"]).stdout).contains("the clinician"));
}

#[test]
fn the_built_in_knowledge_is_whole_and_a_broken_folder_names_file_and_line() {
    let whole = tiebeam(&["check"]);
    assert!(whole.status.success());
    assert!(text(&whole.stdout).contains("yardsticks"));
    let dir = folder("broken-knowledge");
    fs::create_dir_all(dir.join("yardsticks")).expect("a folder");
    fs::write(
        dir.join("yardsticks/x.toml"),
        "[[yardstick]]\nkey = \"a\"\n",
    )
    .expect("a file");
    let broken = tiebeam(&["check", &dir.display().to_string()]);
    assert_eq!(broken.status.code(), Some(1));
    let said = text(&broken.stderr);
    assert!(
        said.contains("yardsticks/x.toml, line ") && said.contains("expected"),
        "{said}"
    );
}

#[test]
fn a_criterion_that_changes_nothing_is_told_and_the_shipped_folder_has_none() {
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../knowledge");
    let check = |dir: &Path| {
        let said = tiebeam(&["check", &dir.display().to_string()]);
        assert!(said.status.success(), "{}", text(&said.stderr));
        text(&said.stdout)
    };
    assert_eq!(check(&shipped).lines().count(), 1, "{}", check(&shipped));
    let own = folder("own-knowledge");
    copy_folder(&shipped, &own);
    let file = own.join("criteria/child.toml");
    let more = r#"
[[criterion]]
key = "ch_left_alone"
words = "A question that no stage asks"
scheme = "child"
level = "amber"
kind = "finding"
finding = "no_such_question"
answer = "yes"
decides = false
provenance = "read"
sources = ["RCHflat"]
"#;
    let text_of = fs::read_to_string(&file).expect("the file");
    fs::write(&file, text_of + more).expect("a file");
    let said = check(&own);
    assert!(said.contains("ch_left_alone is part of no stage"), "{said}");
    assert!(said.contains("asks for 'no_such_question'"), "{said}");
}

fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("the folder") {
        let path = entry.expect("an entry").path();
        let there = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy_folder(&path, &there);
        } else {
            fs::copy(&path, &there).expect("a copy");
        }
    }
}

#[test]
fn a_film_with_its_points_is_read_as_table_json_and_csv() {
    let table = tiebeam(&["read", &film()]);
    assert!(table.status.success(), "{}", text(&table.stderr));
    assert!(text(&table.stdout).contains("taken standing"));
    let json: serde_json::Value =
        serde_json::from_slice(&tiebeam(&["read", &film(), "--format", "json"]).stdout)
            .expect("JSON");
    let readings = json[0]["readings"].as_array().expect("readings");
    assert!(readings.len() >= 12, "{} readings", readings.len());
    for r in readings {
        assert!(
            r["standard_error"].as_f64().is_some_and(|e| e > 0.0)
                && r["method_version"].is_u64()
                && r["unit"].is_string(),
            "{r}"
        );
    }
    let csv = text(&tiebeam(&["read", &film(), "--format", "csv"]).stdout);
    assert_eq!(csv.lines().count(), readings.len() + 1);
    assert_eq!(
        text(&tiebeam(&["read", &film(), "--format", "csv"]).stdout),
        csv,
        "same input, same output"
    );
}

#[test]
fn a_folder_goes_on_after_a_failure_and_says_so_with_its_exit_status() {
    let dir = folder("mixed");
    for end in ["dcm", "points.json"] {
        fs::copy(
            phantom().join(format!("right-lateral.{end}")),
            dir.join(format!("a.{end}")),
        )
        .expect("a copy");
        fs::copy(
            phantom().join(format!("right-lateral.{end}")),
            dir.join(format!("b.{end}")),
        )
        .expect("a copy");
    }
    fs::write(dir.join("b.dcm"), "no film").expect("a file");
    let done = tiebeam(&["read", &dir.display().to_string()]);
    assert_eq!(done.status.code(), Some(1));
    assert!(text(&done.stdout).contains("a.dcm") && text(&done.stderr).contains("b.dcm"));
    fs::write(dir.join("a.dcm"), "no film either").expect("a file");
    assert_eq!(
        tiebeam(&["read", &dir.display().to_string()]).status.code(),
        Some(2)
    );
}

#[test]
fn every_bad_film_and_points_file_gets_one_sentence() {
    let dir = folder("bad");
    let good_points =
        fs::read_to_string(phantom().join("right-lateral.points.json")).expect("points");
    let good_film = fs::read(film()).expect("a film");
    let put = |name: &str, bytes: &[u8]| {
        let path = dir.join(name);
        fs::write(&path, bytes).expect("a file");
        path.display().to_string()
    };
    let points = put("good.points.json", good_points.as_bytes());
    let bad_films: [(&str, Vec<u8>); 4] = [
        ("empty.dcm", Vec::new()),
        ("text.dcm", b"this is a letter, not a film".to_vec()),
        ("truncated.dcm", good_film[..good_film.len() / 2].to_vec()),
        ("half-a-header.dcm", good_film[..200].to_vec()),
    ];
    for (name, bytes) in bad_films {
        let (status, said) = refused(&[&put(name, &bytes), "--points", &points]);
        println!("{name}: {said}");
        assert_eq!(status, 2, "{name}");
        assert_eq!(said.lines().count(), 1, "{name}: {said}");
        assert!(
            said.len() > 40 && !said.contains("panicked"),
            "{name}: {said}"
        );
    }
    let edited = |from: &str, to: &str| good_points.replacen(from, to, 1);
    let bad_points = [
        ("not-json.json", "points: none".to_owned()),
        (
            "other-format.json",
            edited("tiebeam-points", "something-else"),
        ),
        ("newer.json", edited("\"version\": 1", "\"version\": 99")),
        (
            "nan.json",
            edited("\"x_px\": ", "\"x_px\": \"NaN\", \"was\": "),
        ),
        ("wrong-view.json", edited("\"lateral\"", "\"dorsoplantar\"")),
        ("other-side.json", edited("\"right\"", "\"left\"")),
    ];
    for (name, content) in bad_points {
        let (status, said) = refused(&[&film(), "--points", &put(name, content.as_bytes())]);
        println!("{name}: {said}");
        assert_eq!(status, 2, "{name}: {said}");
        assert_eq!(said.lines().count(), 1, "{name}: {said}");
    }
    let (status, said) = refused(&[
        &film(),
        "--points",
        &dir.join("nowhere.json").display().to_string(),
    ]);
    println!("no points file: {said}");
    assert!(status == 2 && said.contains("could not be read"), "{said}");
}

#[test]
fn points_that_cannot_serve_refuse_their_readings_and_leave_the_others() {
    let dir = folder("odd-points");
    let set: serde_json::Value = serde_json::from_str(
        &fs::read_to_string(phantom().join("right-lateral.points.json")).expect("points"),
    )
    .expect("JSON");
    let with = |name: &str, change: &dyn Fn(&mut serde_json::Value)| {
        let mut changed = set.clone();
        change(&mut changed);
        let path = dir.join(format!("{name}.json"));
        fs::write(&path, changed.to_string()).expect("a file");
        let done = tiebeam(&["read", &film(), "--points", &path.display().to_string()]);
        assert!(done.status.success(), "{name}: {}", text(&done.stderr));
        let page = text(&done.stdout);
        println!("{name}:\n{page}");
        page
    };
    let missing = with("missing", &|s| {
        drop(
            s["points"]
                .as_object_mut()
                .map(|p| p.remove("calc_plantar_front")),
        )
    });
    assert!(
        missing.contains("calc_plantar_front")
            && missing.contains("Meary")
                | missing.contains("first-metatarsal")
                | missing.contains('°')
    );
    let outside = with("outside", &|s| {
        s["points"]["calc_plantar_front"]["x_px"] = serde_json::json!(99_999.0)
    });
    assert!(outside.contains("outside the film"), "{outside}");
    let same = with("same-spot", &|s| {
        s["points"]["calc_plantar_front"] = s["points"]["calc_plantar_tuber"].clone()
    });
    assert!(same.contains("same spot"), "{same}");
    let no_floor = with("no-floor", &|s| {
        for key in ["floor_back", "floor_front"] {
            drop(s["points"].as_object_mut().map(|p| p.remove(key)));
        }
    });
    assert!(no_floor.contains("floor"), "{no_floor}");
}

#[test]
fn a_second_process_on_the_same_practice_is_refused_with_a_sentence() {
    let dir = folder("practice");
    let data = dir.display().to_string();
    let mut first = Command::new(env!("CARGO_BIN_EXE_tiebeam"))
        .args(["serve", "--data", &data, "--port", "0"])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("the first starts");
    let mut line = String::new();
    std::io::BufRead::read_line(
        &mut std::io::BufReader::new(first.stdout.take().expect("its words")),
        &mut line,
    )
    .expect("a line");
    assert!(line.contains("127.0.0.1"), "{line}");
    let second = tiebeam(&["serve", "--data", &data, "--port", "0"]);
    let said = text(&second.stderr);
    first.kill().expect("the first stops");
    first.wait().expect("the first ends");
    println!("second process: {said}");
    assert!(
        !second.status.success() && said.contains("in use"),
        "{said}"
    );
    assert_eq!(said.trim().lines().count(), 1, "{said}");
}

#[test]
fn the_same_phantom_options_give_the_same_files() {
    let again = folder("phantom-again");
    let done = tiebeam(&[
        "phantom",
        "--out",
        &again.display().to_string(),
        "--view",
        "lateral",
        "--collapse",
        "0.5",
    ]);
    assert!(done.status.success());
    for end in ["dcm", "png", "points.json", "truth.json"] {
        let name = format!("right-lateral.{end}");
        assert_eq!(
            fs::read(phantom().join(&name)).expect("first"),
            fs::read(again.join(&name)).expect("second"),
            "{name}"
        );
    }
}

#[test]
fn a_letter_is_set_in_the_language_that_is_asked_for_and_one_without_words_is_refused() {
    let dir = folder("letter-language");
    fs::create_dir_all(&dir).expect("a folder");
    let document = dir.join("letter.json");
    let body = serde_json::json!({
        "title": "Carta", "language": "en", "practice": ["Consulta de ejemplo (inventada)"],
        "recipient": [], "date": "27 de noviembre de 2026", "head": [],
        "blocks": [{ "kind": "paragraph", "text": "Un texto inventado." }],
        "foot": "", "draft": true, "compact": false,
    });
    fs::write(&document, body.to_string()).expect("a document");
    let out = dir.join("letter.pdf");
    let (from, to) = (document.display().to_string(), out.display().to_string());
    let language = |tag: &str| {
        tiebeam(&[
            "letter",
            "--document",
            &from,
            "--language",
            tag,
            "--out",
            &to,
        ])
    };
    let done = language("es");
    assert!(done.status.success(), "{}", text(&done.stderr));
    let pdf = String::from_utf8_lossy(&fs::read(&out).expect("a letter")).into_owned();
    assert!(pdf.contains("/Lang(es)") || pdf.contains("<rdf:li>es</rdf:li>"));
    for command in ["letter", "shell", "demo"] {
        let refused = tiebeam(&[command, "--language", "xx"]);
        assert_eq!(refused.status.code(), Some(2), "{command}");
        let said = text(&refused.stderr);
        assert!(
            said.contains("expected one of en (English), es (Español)"),
            "{command}: {said}"
        );
    }
}

//! Films that come in by themselves, into the running program: over the network from another implementation (dcmtk), and
//! out of a watched folder. Every person is invented.

mod common;

use common::served::{Served, certificates, film_of};
use common::{folder, put, text, tiebeam};
use std::path::Path;
use std::process::Command;
use std::time::Instant;

#[test]
fn a_film_known_by_its_number_lands_in_its_visit_and_an_unknown_one_waits() {
    let dir = folder("films-in");
    let data = dir.join("practice");
    let known = put(
        &dir,
        "known.dcm",
        &film_of("t-0042 ", "Person^Invented", 1, 0),
    );
    let changed = put(
        &dir,
        "changed.dcm",
        &film_of("T-0042", "Person^Invented", 1, 9),
    );
    let unknown = put(&dir, "unknown.dcm", &film_of("X-1", "Other^Somebody", 2, 1));
    let other_name = put(
        &dir,
        "other-name.dcm",
        &film_of("T-0042", "Strange^Quite", 3, 2),
    );
    let served = Served::start(&data, &["--dicom-allow", "XRAY@127.0.0.1"]);
    let visit = served.begin();

    let port = served.films.to_string();
    let echo = Command::new("echoscu")
        .args(["-aet", "XRAY", "-aec", "TIEBEAM", "127.0.0.1", &port])
        .output()
        .expect("echoscu; install dcmtk");
    assert!(echo.status.success(), "{}", text(&echo.stderr));
    let stranger = served.storescu("STRANGER", &[&known]);
    assert!(!stranger.status.success());
    let why = text(&stranger.stderr) + &text(&stranger.stdout);
    assert!(why.contains("Calling AE Title Not Recognized"), "{why}");
    assert_eq!((served.films_of(&visit), served.waiting()), (0, 0));

    let begun = Instant::now();
    served.sends(&[&known]);
    println!(
        "known film confirmed after {} ms",
        begun.elapsed().as_millis()
    );
    assert_eq!((served.films_of(&visit), served.waiting()), (1, 0));
    served.sends(&[&unknown]);
    assert_eq!((served.films_of(&visit), served.waiting()), (1, 1));
    served.sends(&[&known, &unknown]);
    assert_eq!(
        (served.films_of(&visit), served.waiting()),
        (1, 1),
        "sent twice"
    );
    served.sends(&[&other_name, &changed]);
    assert_eq!((served.films_of(&visit), served.waiting()), (1, 3));
    let page = served.get("/arrivals");
    for words in [
        "No patient has the number that the film carries",
        "the film carries another name",
        "here before with other bytes",
        "over the network from XRAY",
        "Other Somebody",
        "X-1",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    // The trail says that the program itself took it.
    assert!(served.get("/practice").contains("the program itself"));
    let film = page.split("action=\"/arrival/").nth(1).expect("a form");
    let id = film.split('/').next().expect("an id");
    let png = served.ask("GET", &format!("/arrival/{id}/picture.png"), "");
    assert!(
        png.starts_with("HTTP/1.1 200") && png.contains("image/png"),
        "{id}"
    );
    drop(served);
    let whole = tiebeam(&["verify", "--data", &data.display().to_string()]);
    assert!(
        whole.status.success(),
        "{}",
        text(&whole.stderr) + &text(&whole.stdout)
    );
}

#[test]
fn what_was_confirmed_is_there_after_the_program_was_killed() {
    let dir = folder("films-in-killed");
    let data = dir.join("practice");
    let mut served = Served::start(&data, &[]);
    let visit = served.begin();
    let rounds = 4;
    for round in 0..rounds {
        let known = put(
            &dir,
            "a.dcm",
            &film_of("T-0042", "Person^Invented", 10 + round, 0),
        );
        let unknown = put(&dir, "b.dcm", &film_of("X-1", "", 50 + round, 1));
        // Any title from this machine itself, where nobody else was named.
        let done = served.storescu(&format!("ROUND{round}"), &[&known, &unknown]);
        assert!(done.status.success(), "{}", text(&done.stderr));
        served.kill();
        served = Served::start(&data, &[]);
        let there = served.films_of(&visit) + served.waiting();
        assert_eq!(there, 2 * (round as usize + 1), "round {round}");
        assert_eq!(served.waiting(), round as usize + 1);
    }
    println!("{rounds} kills, {} films confirmed, all there", rounds * 2);
    served.kill();
    let whole = tiebeam(&["verify", "--data", &data.display().to_string()]);
    assert!(
        whole.status.success(),
        "{}",
        text(&whole.stderr) + &text(&whole.stdout)
    );
}

#[test]
fn films_come_out_of_a_watched_folder_by_the_same_rules() {
    let dir = folder("films-in-watched");
    let (data, watched) = (dir.join("practice"), dir.join("in"));
    std::fs::create_dir(&watched).expect("a folder");
    let watch = watched.display().to_string();
    let served = Served::start(&data, &["--watch", &watch]);
    let visit = served.begin();
    let known = film_of("T-0042", "Person^Invented", 1, 0);
    put(&watched, "IMG 1", &known);
    put(&watched, "IMG 2", &film_of("X-1", "Other^Somebody", 2, 1));
    put(&watched, "notes.txt", b"no film at all");
    served.comes_to("films of the visit", 1, |s| s.films_of(&visit));
    served.comes_to("films that wait", 1, Served::waiting);
    served.comes_to("files left", 0, |_| files_in(&watched));
    assert_eq!(files_in(&watched.join("taken")), 2);
    // The file and its sentence.
    assert_eq!(files_in(&watched.join("refused")), 2);
    put(&watched, "IMG 3", &known);
    served.comes_to("files left", 0, |_| files_in(&watched));
    assert_eq!(
        (served.films_of(&visit), served.waiting()),
        (1, 1),
        "once more"
    );
    let page = served.get("/arrivals");
    assert!(
        page.contains("from the watched folder") && page.contains("IMG 2"),
        "{page}"
    );
}

fn files_in(folder: &Path) -> usize {
    let entries = std::fs::read_dir(folder).expect("a folder");
    entries
        .filter(|e| e.as_ref().is_ok_and(|e| e.path().is_file()))
        .count()
}

#[test]
fn every_wrong_option_gets_one_sentence() {
    let dir = folder("films-in-options");
    let data = dir.join("practice").display().to_string();
    let none = dir.join("nowhere").display().to_string();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let pem = put(&dir, "a.pem", b"no certificate");
    let (_, certificate, key) = certificates(&dir);
    let other_key = format!("Clinic={pem}");
    let two_words = format!("Hospital={pem}");
    let cases: [(&[&str], &str); 19] = [
        (
            &["--dicom-port", "0", "--dicom-allow", "XRAY"],
            "expected TITLE@ADDRESS",
        ),
        (
            &["--dicom-port", "0", "--dicom-allow", "XRAY@somewhere"],
            "as addresses; expected",
        ),
        (
            &[
                "--dicom-port",
                "0",
                "--dicom-title",
                "A TITLE BEYOND SIXTEEN",
            ],
            "1 to 16",
        ),
        (&["--watch", &none], "found no folder"),
        (&["--dicom-port", &port], "could not be taken"),
        (
            &[
                "--dicom-port",
                "0",
                "--dicom-certificate",
                &pem,
                "--dicom-private-key",
                &pem,
            ],
            "expected",
        ),
        (
            &["--dicom-peer", "Hospital=ARCHIVE"],
            "expected NAME=TITLE@HOST:PORT",
        ),
        (
            &["--dicom-peer", "=ARCHIVE@10.0.0.1:104"],
            "expected NAME=TITLE@HOST:PORT",
        ),
        (
            &["--stow-peer", "Hospital=http://images.example.org"],
            "begins with https://",
        ),
        (
            &[
                "--dicom-peer",
                "Hospital=A@10.0.0.1:104",
                "--stow-peer",
                "Hospital=https://images.example.org",
            ],
            "two systems of the name",
        ),
        (
            &["--dicom-peer", "Hospital=ARCHIVE@127.0.0.1:104+tsl"],
            "with +tls at its end for a sealed line",
        ),
        (
            &["--dicom-peer", "Hospital=ARCHIVE@127.0.0.1:104+tls"],
            "expected --dicom-peer-authority",
        ),
        (
            &[
                "--dicom-peer",
                "Hospital=ARCHIVE@127.0.0.1:104",
                "--dicom-peer-authority",
                &pem,
            ],
            "no system with +tls",
        ),
        (
            &[
                "--dicom-peer",
                "Hospital=ARCHIVE@127.0.0.1:104+tls",
                "--dicom-peer-authority",
                &pem,
            ],
            "found no certificate in the PEM text",
        ),
        (
            &[
                "--dicom-peer",
                "Hospital=ARCHIVE@127.0.0.1:104+tls",
                "--dicom-peer-authority",
                &none,
            ],
            "could not be read",
        ),
        (
            &["--dicom-certificate", &pem, "--dicom-private-key", &pem],
            "no sealed line",
        ),
        (
            &[
                "--dicom-port",
                "0",
                "--dicom-certificate",
                &certificate,
                "--dicom-private-key",
                &key,
                "--dicom-allow-authority",
                &pem,
            ],
            "found no certificate in the PEM text",
        ),
        (
            &[
                "--stow-peer",
                "Hospital=https://images.example.org",
                "--stow-key",
                &other_key,
            ],
            "expected one --stow-peer of this name",
        ),
        (
            &[
                "--stow-peer",
                "Hospital=https://images.example.org",
                "--stow-key",
                &two_words,
            ],
            "expected one word",
        ),
    ];
    for (options, words) in cases {
        let done = tiebeam(&[&["serve", "--port", "0", "--data", &data], options].concat());
        let said = text(&done.stderr);
        assert!(!done.status.success(), "{options:?}");
        assert_eq!(said.trim().lines().count(), 1, "{options:?}: {said}");
        assert!(said.contains(words), "{options:?}: {said}");
    }
}

#[test]
fn over_tls_a_film_comes_in_and_in_the_open_none_does() {
    let dir = folder("films-in-tls");
    let (root, certificate, key) = certificates(&dir);
    let film = put(&dir, "a.dcm", &film_of("X-1", "", 1, 0));
    let options = [
        "--dicom-certificate",
        &certificate,
        "--dicom-private-key",
        &key,
    ];
    let served = Served::start(&dir.join("practice"), &options);
    served.begin();
    let open = served.storescu("XRAY", &[&film]);
    assert!(!open.status.success(), "in the open");
    assert_eq!(served.waiting(), 0);
    let port = served.films.to_string();
    let sealed = Command::new("storescu")
        .args(["+tla", "+cf", &root, "-aet", "XRAY", "-aec", "TIEBEAM"])
        .args(["127.0.0.1", &port, &film])
        .output()
        .expect("storescu; install dcmtk");
    assert!(
        sealed.status.success(),
        "{}",
        text(&sealed.stderr) + &text(&sealed.stdout)
    );
    assert_eq!(served.waiting(), 1);
}

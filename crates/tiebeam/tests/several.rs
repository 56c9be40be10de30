//! Two programs on one database: what is confirmed on one is there on the other, and nothing is lost between them.

mod common;

use common::{command, folder, text};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};

const PEOPLE: usize = 60;

/// A database of its own, and its address; `None` where no server was started.
fn database() -> Option<String> {
    let server = std::env::var("TIEBEAM_TEST_POSTGRES")
        .ok()
        .filter(|v| !v.is_empty());
    let Some(server) = server else {
        println!(
            "NOT RUN: two programs on one database; cargo xtask test rust starts the server it needs"
        );
        return None;
    };
    let name = format!("tiebeam_several_{}", std::process::id());
    let made = Command::new("psql")
        .args([&server, "-qc", &format!("CREATE DATABASE {name}")])
        .output()
        .expect("psql of PostgreSQL is there");
    assert!(made.status.success(), "{}", text(&made.stderr));
    let (host, _) = server.rsplit_once('/').expect("the name of a database");
    Some(format!("{host}/{name}"))
}

struct Serving {
    program: Child,
    host: String,
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

fn serve(address: &str, files: &str) -> Serving {
    let mut program = command()
        .args(["serve", "--data", address, "--files", files, "--port", "0"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut line = String::new();
    BufReader::new(program.stdout.take().expect("its words"))
        .read_line(&mut line)
        .expect("a line");
    let host = line
        .split("http://")
        .nth(1)
        .and_then(|l| l.split(' ').next())
        .expect("an address");
    Serving {
        program,
        host: host.to_owned(),
    }
}

impl Serving {
    fn asked(&self, method: &str, path: &str, body: &str) -> String {
        let kind = "application/x-www-form-urlencoded";
        self.sent(method, path, kind, body.as_bytes())
    }

    fn sent(&self, method: &str, path: &str, kind: &str, body: &[u8]) -> String {
        let mut stream = TcpStream::connect(&self.host).expect("it answers");
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nContent-Type: {kind}\r\nContent-Length: {1}\r\nConnection: close\r\n\r\n",
            self.host,
            body.len()
        )
        .and_then(|()| stream.write_all(body))
        .expect("it listens");
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).expect("it answers");
        text(&answer)
    }

    /// Where the answer leads to.
    fn leads(&self, path: &str, kind: &str, body: &[u8]) -> String {
        let answer = self.sent("POST", path, kind, body);
        let place = answer
            .lines()
            .find_map(|line| line.strip_prefix("location: "));
        let place = place.unwrap_or_else(|| panic!("{path} leads nowhere: {answer}"));
        place
            .split('#')
            .next()
            .unwrap_or_default()
            .trim()
            .to_owned()
    }

    fn adds(&self, number: usize) {
        let form = format!("given_name=Invented&family_name=Person{number}&chart_number=N{number}");
        let answer = self.asked("POST", "/patients/new", &form);
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    }

    fn finds(&self, name: &str) -> bool {
        let answer = self.asked("POST", "/patients/find", &format!("query={name}"));
        answer.contains(name) || answer.contains("/patient/")
    }
}

#[test]
fn what_one_program_confirmed_the_other_has_and_both_together_lose_nothing() {
    let Some(address) = database() else {
        return;
    };
    let files = folder("several-files").display().to_string();
    let one = serve(&address, &files);
    let begun = one.asked(
        "POST",
        "/start",
        "practice=Invented+Practice&name=Dr+Ada+Invented&qualification=Podiatrist",
    );
    assert!(begun.starts_with("HTTP/1.1 303"), "{begun}");
    let two = serve(&address, &files);
    std::thread::scope(|scope| {
        for (serving, start) in [(&one, 0), (&two, 1), (&one, 2), (&two, 3)] {
            scope.spawn(move || (start..PEOPLE).step_by(4).for_each(|n| serving.adds(n)));
        }
    });
    for number in 0..PEOPLE {
        let name = format!("Person{number}");
        assert!(one.finds(&name) && two.finds(&name), "{name}");
    }
    a_film_is_the_same_on_both(&one, &two);
    // One goes on when the other dies.
    drop(one);
    two.adds(PEOPLE);
    assert!(two.finds(&format!("Person{PEOPLE}")));
    drop(two);
    let verified = command()
        .args(["verify", "--data", &address, "--files", &files])
        .output()
        .expect("the binary runs");
    assert!(verified.status.success(), "{}", text(&verified.stderr));
    assert!(text(&verified.stdout).contains("everything is whole"));
}

/// What one program changes of a film that the other has at hand, the other says at once.
fn a_film_is_the_same_on_both(one: &Serving, two: &Serving) {
    const FORM: &str = "application/x-www-form-urlencoded";
    let person = b"given_name=Mae&family_name=Invented&chart_number=F-1";
    let patient = one.leads("/patients/new", FORM, person);
    let visit = one.leads(&format!("{patient}/visits"), FORM, b"reason=sore");
    let grey: Vec<u8> = (0..120_u32 * 80).map(|i| (i % 251) as u8).collect();
    let mut body = b"--edge\r\nContent-Disposition: form-data; name=\"view\"\r\n\r\nlateral\r\n--edge\r\nContent-Disposition: form-data; name=\"film\"; filename=\"x.png\"\r\nContent-Type: image/png\r\n\r\n".to_vec();
    body.extend(film::encode_png8(&grey, 120, 80).expect("a picture"));
    body.extend(b"\r\n--edge--\r\n");
    let kind = "multipart/form-data; boundary=edge";
    let film = one.leads(&format!("{visit}/films"), kind, &body);
    let meta = |serving: &Serving| serving.asked("GET", &format!("{film}/meta"), "");
    assert!(meta(one).contains("\"quarter_turns\":0"), "{}", meta(one));
    assert!(meta(two).contains("\"quarter_turns\":0"));
    let turn = br#"{"quarter_turns":1,"mirrored":false}"#;
    let turned = one.sent("POST", &format!("{film}/turn"), "application/json", turn);
    assert!(turned.starts_with("HTTP/1.1 200"), "{turned}");
    assert!(meta(one).contains("\"quarter_turns\":1"));
    assert!(
        meta(two).contains("\"quarter_turns\":1"),
        "the other says what was"
    );
}

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
        let mut stream = TcpStream::connect(&self.host).expect("it answers");
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {1}\r\nConnection: close\r\n\r\n{body}",
            self.host,
            body.len()
        )
        .expect("it listens");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("it answers");
        answer
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

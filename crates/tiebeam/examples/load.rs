//! Many clinicians at once: how long do pages, films and moved points take, and does memory stay flat?
//!
//! `load TIEBEAM PRACTICE CLINICIANS SECONDS [SERVE-OPTION...]` adds that many invented people with sessions to the
//! practice (a copy it may change), serves it with the program named first, and asks as they would on a clinic day,
//! each twice a second on a beat of their own. A request counts from its beat and not from when it could be sent, so
//! that a slow answer is not hidden by the ones that waited behind it. Prints `BENCH` lines.
#![allow(
    clippy::disallowed_methods,
    reason = "a program of its own, measured by the clock"
)]

use account::token;
use record::{
    Account, AccountId, Clinician, ClinicianId, ContentHash, FilmId, FilmRecord, Noted, Patient,
    PatientId, Role, Session, Stamp, ToNote, Visit, VisitId, VisitState,
};
use std::collections::BTreeMap;
use std::error::Error;
use std::fs;
use std::process::Stdio;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use store::{Access, Store};
use store_sql::SqlStore;
use time::OffsetDateTime;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::TcpStream;
use uuid::Uuid;

type Outcome<T = ()> = Result<T, Box<dyn Error + Send + Sync>>;

const BEAT: Duration = Duration::from_millis(500);
const TURNS: usize = 40;
/// Asked before anything is counted, so that the films of the day are decoded as in any clinic.
const WARM: Duration = Duration::from_secs(15);

/// What a clinician asks for in turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Page,
    Film,
    Moved,
    Saved,
}

impl Kind {
    fn words(self) -> &'static str {
        match self {
            Kind::Page => "pages",
            Kind::Film => "films and pictures",
            Kind::Moved => "readings for a moved point",
            Kind::Saved => "answers kept",
        }
    }
}

struct Ask {
    kind: Kind,
    path: String,
    /// A form or JSON.
    body: Option<(&'static str, String)>,
}

/// What there is to ask about.
struct Practice {
    visits: Vec<(String, String)>,
    /// With a message for a moved point on it.
    films: Vec<(String, String)>,
    /// Each clinician's own, to write into.
    own: Vec<String>,
}

#[tokio::main(flavor = "current_thread")]
async fn main() -> Outcome {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [program, practice, clinicians, seconds, options @ ..] = args.as_slice() else {
        return Err("expected TIEBEAM PRACTICE CLINICIANS SECONDS".into());
    };
    let (clinicians, seconds): (usize, u64) = (clinicians.parse()?, seconds.parse()?);
    let store = SqlStore::open_folder(practice).await?;
    let people = people(&store, clinicians).await?;
    let there = Arc::new(gathered(&store, people.own, people.films).await?);
    store.close().await;
    drop(store);
    println!(
        "{clinicians} clinicians, {} visits, {} films",
        there.visits.len(),
        there.films.len()
    );
    let mut server = Server(
        std::process::Command::new(program)
            .args(["serve", "--data", practice, "--port", "0"])
            .args(options)
            .stdout(Stdio::piped())
            .spawn()?,
    );
    let mut line = String::new();
    let out = server.0.stdout.take().ok_or("no words")?;
    std::io::BufRead::read_line(&mut std::io::BufReader::new(out), &mut line)?;
    let host = line
        .split("http://")
        .nth(1)
        .and_then(|l| l.split(' ').next())
        .ok_or("no address")?
        .to_owned();
    let pid = server.0.id();

    let told = Arc::new(Mutex::new(Told::default()));
    let begun = Instant::now();
    let ends = begun + WARM + Duration::from_secs(seconds);
    let mut hands = Vec::new();
    for (n, cookie) in people.cookies.into_iter().enumerate() {
        let (there, told, host) = (there.clone(), told.clone(), host.clone());
        hands.push(tokio::spawn(async move {
            let done = clinician(n, &cookie, &host, &there, &told, begun, ends).await;
            if let Err(fault) = done {
                told.lock()
                    .unwrap_or_else(|e| e.into_inner())
                    .fault(fault.to_string());
            }
        }));
    }
    let mut memory = Vec::new();
    while Instant::now() < ends {
        tokio::time::sleep(Duration::from_secs(5)).await;
        if Instant::now() > begun + WARM {
            memory.push(resident(pid)?);
        }
    }
    for hand in hands {
        hand.await?;
    }
    let cpu = cpu_seconds(pid)?;
    drop(server);
    tell(
        &told.lock().unwrap_or_else(|e| e.into_inner()),
        &memory,
        cpu,
        seconds,
        clinicians,
    );
    Ok(())
}

/// Stopped however this ends.
struct Server(std::process::Child);

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

struct People {
    /// What their browsers would send.
    cookies: Vec<String>,
    /// A visit each.
    own: Vec<String>,
    /// A film each, with a message for a moved point on it.
    films: Vec<(String, String)>,
}

/// Adds the people with accounts, a session, a visit and a film each.
async fn people(store: &SqlStore, many: usize) -> Outcome<People> {
    let by = store
        .clinicians()
        .await?
        .first()
        .ok_or("nobody works here")?
        .id;
    let at = OffsetDateTime::now_utc();
    let note = |kind, account| ToNote {
        at,
        account,
        person: None,
        kind,
        patient: None,
        detail: "invented for a measurement".into(),
    };
    let template = template(store).await?;
    let (mut cookies, mut own, mut films) = (Vec::new(), Vec::new(), Vec::new());
    for n in 0..many {
        let clinician = Clinician {
            id: ClinicianId::new(Uuid::now_v7()),
            name: format!("Invented Clinician {n}"),
            qualification: String::new(),
            active: true,
        };
        let stamp = Stamp {
            act: record::ActId::new(Uuid::now_v7()),
            at,
            by,
        };
        store.save_clinician(stamp, clinician.clone()).await?;
        let account = Account {
            id: AccountId::new(Uuid::now_v7()),
            person: clinician.id,
            login: format!("invented-{n}"),
            roles: vec![Role::Clinician],
            active: true,
            passphrase: None,
            must_choose: false,
            one_time: None,
            recovery: Vec::new(),
            failures: 0,
            failed_at: None,
            revision: 0,
        };
        let account = store
            .save_account(note(Noted::AccountSaved, None), account)
            .await?;
        let mut random = [0; token::BYTES];
        rand::TryRngCore::try_fill_bytes(&mut rand::rngs::OsRng, &mut random)?;
        let cookie = token::in_cookie(&random);
        let session = Session {
            token: token::kept(&cookie).unwrap_or_default(),
            account: account.id,
            begun_at: at,
            seen_at: at,
            ended_at: None,
        };
        store
            .begin_session(note(Noted::SignedIn, Some(account.id)), session)
            .await?;
        cookies.push(format!("tiebeam_session={cookie}"));
        let (visit, film) = visit(store, by, n, &template).await?;
        own.push(visit);
        films.push((film, template.moved.clone()));
    }
    Ok(People {
        cookies,
        own,
        films,
    })
}

/// A film that was read, with its bytes and a message for a moved point on it.
struct Template {
    film: FilmRecord,
    bytes: Vec<u8>,
    moved: String,
}

async fn template(store: &SqlStore) -> Outcome<Template> {
    for patient in store.find_patients(String::new(), 200).await? {
        for film in store.films_of(patient.id).await? {
            let placings = store.points_of(film.id).await?;
            if let Some(placing) = placings.iter().find(|p| p.finished) {
                let points = web::desk::live::points_of(placing);
                return Ok(Template {
                    bytes: store.film_bytes(film.id).await?,
                    moved: serde_json::json!({"points": points, "pen": 2.0}).to_string(),
                    film,
                });
            }
        }
    }
    Err("no film of the practice was read".into())
}

/// Of an invented patient of their own, with a film that no other has: answers with both.
async fn visit(
    store: &SqlStore,
    by: ClinicianId,
    n: usize,
    template: &Template,
) -> Outcome<(String, String)> {
    let stamp = || Stamp {
        act: record::ActId::new(Uuid::now_v7()),
        at: OffsetDateTime::now_utc(),
        by,
    };
    let patient = Patient {
        id: PatientId::new(Uuid::now_v7()),
        chart_number: format!("load-{n}"),
        given_name: "Invented".into(),
        family_name: format!("Person {n}"),
        born_on: None,
        sex: None,
        note: String::new(),
    };
    store.add_patient(stamp(), patient.clone()).await?;
    let visit = Visit {
        id: VisitId::new(Uuid::now_v7()),
        patient: patient.id,
        on: OffsetDateTime::now_utc().date(),
        reason: "invented".into(),
        state: VisitState::Open,
    };
    store.open_visit(stamp(), visit.clone()).await?;
    let mut bytes = template.bytes.clone();
    let last = bytes.len() - 2 * (n + 1);
    bytes[last] ^= 1;
    let film = FilmRecord {
        id: FilmId::new(Uuid::now_v7()),
        patient: patient.id,
        visit: visit.id,
        content: ContentHash::of(&bytes),
        ..template.film.clone()
    };
    store.import_film(stamp(), film.clone(), bytes).await?;
    Ok((visit.id.to_string(), film.id.to_string()))
}

async fn gathered(
    store: &SqlStore,
    own: Vec<String>,
    films: Vec<(String, String)>,
) -> Outcome<Practice> {
    let mut visits = Vec::new();
    for patient in store.find_patients(String::new(), 200).await? {
        for visit in store.visits_of(patient.id).await? {
            visits.push((patient.id.to_string(), visit.id.to_string()));
        }
    }
    Ok(Practice { visits, films, own })
}

/// A clinic day in small, twenty seconds of it: today's list, a patient, the visit, its film at the size of the screen, points
/// placed and moved on it with answers kept in between, what has become of it, and the list again.
fn ask(there: &Practice, who: usize, turn: usize) -> Ask {
    let (film, moved) = &there.films[(who + turn / TURNS) % there.films.len()];
    let (patient, visit) = &there.visits[(who * 7 + turn / TURNS) % there.visits.len()];
    let get = |kind, path| Ask {
        kind,
        path,
        body: None,
    };
    match turn % TURNS {
        0 | 38 => get(Kind::Page, "/".into()),
        1 => get(Kind::Page, format!("/patient/{patient}")),
        2 | 36 => get(Kind::Page, format!("/visit/{visit}")),
        3 => get(Kind::Page, format!("/film/{film}")),
        4 => get(Kind::Film, format!("/film/{film}/meta")),
        5 => get(Kind::Film, format!("/film/{film}/grey16?for=1440x900")),
        35 => get(Kind::Film, format!("/film/{film}/picture.png?width=900")),
        37 => get(Kind::Page, format!("/patient/{patient}/course")),
        39 => get(Kind::Page, "/letters".into()),
        12 | 20 | 28 => Ask {
            kind: Kind::Saved,
            path: format!("/visit/{}/exam/right", there.own[who]),
            body: Some((
                "application/x-www-form-urlencoded",
                format!("q.heel_line={}", ["slight", "clear"][turn / 4 % 2]),
            )),
        },
        _ => Ask {
            kind: Kind::Moved,
            path: format!("/film/{film}/overlay"),
            body: Some(("application/json", moved.clone())),
        },
    }
}

#[derive(Default)]
struct Told {
    took: BTreeMap<Kind, Vec<f64>>,
    bytes: u64,
    faults: BTreeMap<String, u64>,
}

impl Told {
    fn fault(&mut self, said: String) {
        *self.faults.entry(said).or_default() += 1;
    }
}

async fn clinician(
    who: usize,
    cookie: &str,
    host: &str,
    there: &Practice,
    told: &Mutex<Told>,
    begun: Instant,
    ends: Instant,
) -> Outcome {
    let mut line: Option<BufReader<TcpStream>> = None;
    // Beats spread over the half second.
    let mut due = begun + BEAT.mul_f64((who % 100) as f64 / 100.0);
    for turn in 0.. {
        if due >= ends {
            break;
        }
        tokio::time::sleep_until(due.into()).await;
        // Everybody is at another point of their twenty seconds.
        let ask = ask(there, who, turn + who * 7);
        let answer = match &mut line {
            Some(open) => asked(open, cookie, host, &ask).await,
            none => {
                let stream = TcpStream::connect(host).await?;
                stream.set_nodelay(true)?;
                asked(none.insert(BufReader::new(stream)), cookie, host, &ask).await
            }
        };
        let took = due.elapsed();
        let mut told = told.lock().unwrap_or_else(|e| e.into_inner());
        match answer {
            Ok((status, bytes)) => {
                told.bytes += bytes;
                if !(200..400).contains(&status) {
                    let first = ask.path.split('/').nth(1).unwrap_or_default();
                    let last = ask.path.rsplit('/').next().unwrap_or_default();
                    let last = if last.len() == 36 { "{id}" } else { last };
                    told.fault(format!("{status} of /{first}/…/{last}"));
                } else if due > begun + WARM {
                    told.took
                        .entry(ask.kind)
                        .or_default()
                        .push(took.as_secs_f64() * 1000.0);
                }
            }
            Err(fault) => {
                line = None;
                told.fault(fault.to_string());
            }
        }
        drop(told);
        due += BEAT;
    }
    Ok(())
}

/// Status and bytes of one answer over a connection that stays open.
async fn asked(
    line: &mut BufReader<TcpStream>,
    cookie: &str,
    host: &str,
    ask: &Ask,
) -> Outcome<(u16, u64)> {
    let (method, kind, body) = match &ask.body {
        Some((kind, body)) => ("POST", format!("Content-Type: {kind}\r\n"), body.as_str()),
        None => ("GET", String::new(), ""),
    };
    let request = format!(
        "{method} {} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\n{kind}Content-Length: {}\r\n\r\n{body}",
        ask.path,
        body.len()
    );
    line.get_mut().write_all(request.as_bytes()).await?;
    let mut text = String::new();
    line.read_line(&mut text).await?;
    let status: u16 = text.split(' ').nth(1).ok_or("cut off")?.parse()?;
    let (mut length, mut chunked) = (0_u64, false);
    loop {
        text.clear();
        line.read_line(&mut text).await?;
        let head = text.trim_end().to_ascii_lowercase();
        if head.is_empty() {
            break;
        }
        if let Some(n) = head.strip_prefix("content-length:") {
            length = n.trim().parse()?;
        }
        chunked |= head == "transfer-encoding: chunked";
    }
    let mut all = 0;
    loop {
        if chunked {
            text.clear();
            line.read_line(&mut text).await?;
            length = u64::from_str_radix(text.trim(), 16)?;
        }
        let mut left = length;
        let mut bytes = [0; 16_384];
        while left > 0 {
            let most = bytes.len().min(usize::try_from(left)?);
            let n = line.read(&mut bytes[..most]).await?;
            if n == 0 {
                return Err("an answer was cut off".into());
            }
            left -= n as u64;
        }
        all += length;
        if !chunked {
            return Ok((status, all));
        }
        text.clear();
        line.read_line(&mut text).await?;
        if length == 0 {
            return Ok((status, all));
        }
    }
}

/// Of the process, in MB.
fn resident(pid: u32) -> Outcome<f64> {
    let status = fs::read_to_string(format!("/proc/{pid}/status"))?;
    let line = status.lines().find(|l| l.starts_with("VmRSS:"));
    let kb: f64 = line
        .and_then(|l| l.split_whitespace().nth(1))
        .ok_or("no memory told")?
        .parse()?;
    Ok(kb / 1024.0)
}

/// That the process has worked, on all its threads.
fn cpu_seconds(pid: u32) -> Outcome<f64> {
    let stat = fs::read_to_string(format!("/proc/{pid}/stat"))?;
    let after = stat.rsplit(')').next().unwrap_or_default();
    let fields: Vec<f64> = after
        .split_whitespace()
        .skip(11)
        .take(2)
        .map(str::parse)
        .collect::<Result<_, _>>()?;
    // Ticks of a hundredth of a second on every Linux this runs on.
    Ok(fields.iter().sum::<f64>() / 100.0)
}

fn quantile(sorted: &[f64], q: f64) -> f64 {
    let at = (q * (sorted.len().saturating_sub(1)) as f64).round() as usize;
    sorted.get(at).copied().unwrap_or(f64::NAN)
}

fn tell(told: &Told, memory: &[f64], cpu: f64, seconds: u64, clinicians: usize) {
    let row = |name: &str, value: f64, unit: &str, goal: Option<f64>, n: usize| {
        let holds = goal.is_none_or(|goal| value < goal);
        let goal = goal.map_or("told beside".to_owned(), |g| format!("under {g}"));
        let value = (value * 10.0).round() / 10.0;
        let row = serde_json::json!({"name": name, "value": value, "unit": unit, "goal": goal, "holds": holds, "n": n});
        println!("BENCH {row}");
    };
    let mut all = 0;
    for (kind, took) in &told.took {
        let mut took = took.clone();
        took.sort_by(f64::total_cmp);
        all += took.len();
        let name = format!("{clinicians} clinicians, {}", kind.words());
        let goal = (*kind == Kind::Page).then_some(300.0);
        row(
            &format!("{name}, median"),
            quantile(&took, 0.5),
            "ms",
            None,
            took.len(),
        );
        row(
            &format!("{name}, 99th"),
            quantile(&took, 0.99),
            "ms",
            goal,
            took.len(),
        );
        row(
            &format!("{name}, longest"),
            quantile(&took, 1.0),
            "ms",
            None,
            took.len(),
        );
    }
    let faults: u64 = told.faults.values().sum();
    for (fault, n) in &told.faults {
        println!("{n} times: {fault}");
    }
    row(
        &format!("{clinicians} clinicians, errors"),
        faults as f64,
        "",
        Some(1.0),
        all,
    );
    row(
        &format!("{clinicians} clinicians, answers a second"),
        all as f64 / seconds as f64,
        "1/s",
        None,
        all,
    );
    let third = memory.len() / 3;
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len().max(1) as f64;
    let (first, last) = (
        mean(&memory[..third]),
        mean(&memory[memory.len() - third..]),
    );
    row("memory in the first third", first, "MB", None, third);
    row(
        "memory in the last third, grown by",
        (last / first - 1.0) * 100.0,
        "%",
        Some(5.0),
        third,
    );
    row(
        "work of the program for one answer",
        cpu * 1000.0 / all.max(1) as f64,
        "ms",
        None,
        all,
    );
    row(
        "sent for one answer",
        told.bytes as f64 / 1000.0 / all.max(1) as f64,
        "kB",
        None,
        all,
    );
}

//! Any bytes as the body of any address that takes one: an answer, never a fault of the program, and no page that the bytes
//! have taken apart.
//!
//! The first two bytes of an input choose the address ([`row_of`]), the third says how it is asked ([`Asking`]), the rest is
//! the body. Every input meets the same invented practice: where one was taken in, the next meets a fresh copy of it.

use crate::common::{
    self, Practice, SORE_FOOT, film_of, html, ink_print, lateral_points, plain_film, written,
};
use account::token;
use axum::{
    body::{Body, Bytes},
    http::{Request, StatusCode, header},
};
use motion::frames::packed::packed;
use record::{Account, AccountId, KeyId, MachineKey, MachineMay, Noted, Role, Session, ToNote};
use serde_json::json;
use std::{cell::RefCell, collections::BTreeMap};
use tokio::runtime::Runtime;
use uuid::Uuid;
use web::access::table::{Method, Needs, Row, TABLE};

/// What every session and every key of this practice holds; of these tests alone.
const TOKEN: [u8; token::BYTES] = [7; token::BYTES];
pub const EDGE: &str = "an-invented-edge";
/// These read no body, and what they begin keeps every core busy long after its practice was thrown away.
const BEGIN_WORK: [&str; 2] = ["/order/{id}/final", "/capture/{id}/follow"];
/// Of one copy: a session does not last for ever.
const MOST_ASKED: u32 = 500;

pub fn comes_in(bytes: &[u8]) {
    thread_local! {
        static HOUSE: RefCell<Option<House>> = const { RefCell::new(None) };
    }
    let Some((&[high, low, how], body)) = bytes.split_first_chunk::<3>() else {
        return;
    };
    let row = row_of(u16::from_be_bytes([high, low]));
    HOUSE.with_borrow_mut(|house| {
        let house = house.get_or_insert_with(House::default);
        house.asked(row, &Asking(how), body);
    });
}

/// The number of a row: the same however many rows there are beside it.
pub fn number_of(row: &Row) -> u16 {
    // FNV-1a, folded.
    let hash = row.path.bytes().fold(0x811c_9dc5_u32, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    });
    (hash >> 16) as u16 ^ hash as u16
}

/// The row whose number is next above, round the whole circle.
fn row_of(number: u16) -> &'static Row {
    TABLE
        .iter()
        .filter(|row| row.method == Method::Post && !BEGIN_WORK.contains(&row.path))
        .min_by_key(|row| number_of(row).wrapping_sub(number))
        .expect("an address that takes a body")
}

/// How a body is sent, and to which of several things.
pub struct Asking(pub u8);

impl Asking {
    fn media_type(&self) -> String {
        match self.0 & 3 {
            0 => "application/x-www-form-urlencoded".to_owned(),
            1 => "application/json".to_owned(),
            2 => format!("multipart/form-data; boundary={EDGE}"),
            _ => format!("multipart/related; type=\"application/dicom\"; boundary={EDGE}"),
        }
    }

    fn by_script(&self) -> bool {
        self.0 & 4 != 0
    }

    fn of<'t>(&self, several: &'t [impl AsRef<str>]) -> &'t str {
        several[usize::from(self.0 >> 3) % several.len()].as_ref()
    }

    fn path(&self, row: &Row, things: &Things) -> String {
        let kind = row.path.split('/').find(|part| things.contains_key(part));
        let id = kind.map_or("", |kind| self.of(&things[kind]));
        row.path
            .replace("{id}", id)
            .replace("{of}", self.of(&["left", "person", "left-leg", "right"]))
            .replace("{side}", self.of(&["left", "right"]))
            .replace("{kind}", self.of(&["Patient", "Observation", "Provenance"]))
            .replace("{study}", self.of(&["2.25.1", "2.25.2"]))
    }
}

/// The ids of what is there, by the word before them in an address.
type Things = BTreeMap<&'static str, Vec<String>>;

struct Copied {
    practice: Practice,
    /// How many entries its trail had when it was made.
    acts: u64,
    asked: u32,
}

struct House {
    copy: Option<Copied>,
    prepared: Practice,
    things: Things,
    runtime: Runtime,
}

impl Default for House {
    fn default() -> Self {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let (prepared, things) = runtime.block_on(prepared());
        Self {
            copy: None,
            prepared,
            things,
            runtime,
        }
    }
}

impl House {
    fn asked(&mut self, row: &Row, asking: &Asking, body: &[u8]) {
        let path = asking.path(row, &self.things);
        let (kept, answer) = self.runtime.block_on(async {
            let mut copied = match self.copy.take() {
                Some(copied) => copied,
                None => Copied::of(&self.prepared).await,
            };
            let again = || request(row, asking, &path, body);
            let mut answer = copied.practice.send(again()).await;
            if answer.status == StatusCode::GATEWAY_TIMEOUT {
                // On a machine that is busy with other things the first may have waited too long; the second shows it.
                answer = copied.practice.send(again()).await;
            }
            copied.asked += 1;
            let still = copied.asked < MOST_ASKED && acts(&copied.practice).await == copied.acts;
            (still.then_some(copied), answer)
        });
        self.copy = kept;
        let status = answer.status;
        assert!(!status.is_server_error(), "{} answers {status}", row.path);
        if answer.bytes.starts_with(b"<!doctype html>") {
            let faults = html::faults(&answer.text());
            assert_eq!(faults, Vec::<String>::new(), "{}", row.path);
        }
    }
}

impl Copied {
    async fn of(prepared: &Practice) -> Self {
        let practice = prepared.copied().await;
        let acts = acts(&practice).await;
        Self {
            practice,
            acts,
            asked: 0,
        }
    }
}

/// Every change, and every look that is noted, is one more.
async fn acts(practice: &Practice) -> u64 {
    let last = practice.state.store.trail_end().await.expect("the trail");
    last.map_or(0, |entry| entry.number)
}

fn request(row: &Row, asking: &Asking, path: &str, body: &[u8]) -> Request<Body> {
    let token = token::in_cookie(&TOKEN);
    let mut request = Request::post(path)
        .header(header::HOST, "localhost:8321")
        .header("sec-fetch-site", "same-origin")
        .header(header::CONTENT_TYPE, asking.media_type());
    if asking.by_script() {
        request = request.header(header::ACCEPT, "application/json");
    }
    request = match row.needs {
        Needs::Key(_) => request.header(header::AUTHORIZATION, format!("Bearer {token}")),
        _ => request.header(header::COOKIE, format!("tiebeam_session={token}")),
    };
    let body = Bytes::copy_from_slice(body);
    request.body(Body::from(body)).expect("a request")
}

/// A practice in which there is something behind every address.
async fn prepared() -> (Practice, Things) {
    let practice = Practice::started().await;
    let mut things = Things::new();
    let mut there = |kind: &'static str, place: &str| {
        let place = place.split(['?', '#']).next().unwrap_or_default();
        let id = place.rsplit('/').next().unwrap_or_default();
        things.entry(kind).or_default().push(id.to_owned());
    };
    let patient = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    let child = practice
        .add_patient("Bo", "Invented", "C-8", "2017-05-06", "male")
        .await;
    let visit = practice.start_visit(&patient, "sore inner ankle").await;
    let of_child = practice.start_visit(&child, "flat feet").await;
    for place in [&patient, &child] {
        there("patient", place);
    }
    for place in [&visit, &of_child] {
        there("visit", place);
    }
    practice.answer(&visit, "left", SORE_FOOT).await;
    practice
        .answer(&visit, "person", &[("weight_kg", "78")])
        .await;

    let facts = [
        ("view", "lateral"),
        ("side", "left"),
        ("stance", "standing"),
    ];
    let read = upload(&practice, &visit, &plain_film(1), &facts).await;
    let body = json!({"points": lateral_points(), "finished": true});
    let saved = practice.json(&format!("{read}/points"), &body).await;
    assert!(saved.status.is_success(), "{}", saved.text());
    let sent = upload(&practice, &visit, &film_of("C-7", "Invented^Mae", 1), &[]).await;
    let unknown = upload(&practice, &of_child, &plain_film(2), &[]).await;
    for place in [&read, &sent, &unknown] {
        there("film", place);
    }
    common::comes_in(&practice, film_of("C-9", "Invented^Cy", 2)).await;
    for arrival in practice
        .state
        .store
        .arrivals_waiting()
        .await
        .expect("arrivals")
    {
        there("arrival", &arrival.id.to_string());
    }

    for (bytes, fields) in captures() {
        let path = format!("{visit}/captures");
        let taken = practice
            .send_file(&path, ("file", "a"), &bytes, &fields)
            .await;
        there("capture", &taken.place());
    }
    let measured = [
        ("foot", "measured"),
        ("side", "left"),
        ("foot_length", "248"),
        ("ball_width", "96"),
        ("heel_width", "64"),
        ("navicular_height", "34"),
    ];
    let order = practice.form(&format!("{visit}/orders"), &measured).await;
    there("order", &order.place());
    let boot = [("kind", "boot"), ("side", "left"), ("began", "2026-11-24")];
    let care = practice
        .form(&format!("{patient}/care"), &boot)
        .await
        .place();
    there("care", care.rsplit("#c-").next().unwrap_or_default());
    let mut letters = Vec::new();
    for kind in ["to-referrer", "to-patient"] {
        let wish = [("kind", kind), ("recipient", "Dr Invented")];
        let letter = practice.form(&format!("{visit}/letters"), &wish).await;
        letters.push(letter.place());
        there("letter", &letters[letters.len() - 1]);
    }
    let signed = [("act", "sign"), ("revision", "1")];
    practice.form(&letters[1], &signed).await.place();
    there("scan", &Uuid::nil().to_string());
    lets_in(&practice).await;
    (practice, things)
}

async fn upload(practice: &Practice, visit: &str, bytes: &[u8], fields: &[(&str, &str)]) -> String {
    practice.upload(visit, bytes, "a.png", fields).await.place()
}

type Captured = (Vec<u8>, Vec<(&'static str, &'static str)>);

/// A print, a photograph, a clip and a marker file.
fn captures() -> [Captured; 4] {
    let grey = plain_film(3);
    let clip = packed((0..8).map(|n| (grey.as_slice(), f64::from(n) / 15.0))).expect("a clip");
    let content = written::Content {
        labels: &written::LABELS,
        places: &written::rising(200, 100.0),
        rate: 100.0,
        unit: "mm",
        scale: 0.05,
    };
    let markers = written::written(written::Order::Intel, true, &content);
    [
        (
            ink_print(60.0),
            vec![("medium", "ink"), ("doing", "standing")],
        ),
        (grey, vec![("kind", "from-behind")]),
        (clip, vec![("kind", "heel-rise"), ("doing", "one-leg")]),
        (markers, vec![("kind", "markers"), ("doing", "both-legs")]),
    ]
}

/// An account of every role with a session, and a key for everything, without the time that a passphrase takes.
async fn lets_in(practice: &Practice) {
    let state = &practice.state;
    let people = state.store.clinicians().await.expect("people");
    let (person, at) = (people[0].id, state.clock.now());
    let account = AccountId::new(state.ids.fresh());
    let note = |kind| ToNote {
        at,
        account: None,
        person: Some(person),
        kind,
        patient: None,
        detail: String::new(),
    };
    let known = Account {
        id: account,
        person,
        login: "ada".into(),
        roles: Role::ALL.to_vec(),
        active: true,
        passphrase: None,
        must_choose: false,
        one_time: None,
        recovery: Vec::new(),
        failures: 0,
        failed_at: None,
        revision: 0,
    };
    let kept = token::kept(&token::in_cookie(&TOKEN)).expect("a token");
    let session = Session {
        token: kept.clone(),
        account,
        begun_at: at,
        seen_at: at,
        ended_at: None,
    };
    let key = MachineKey {
        id: KeyId::new(state.ids.fresh()),
        label: "invented".into(),
        token: kept,
        may: MachineMay::ALL.to_vec(),
        closed_too: None,
        made_at: at,
        made_by: person,
        last_used: None,
        taken_back: None,
    };
    let store = &state.store;
    let saved = store.save_account(note(Noted::AccountSaved), known).await;
    saved.expect("an account");
    let begun = store.begin_session(note(Noted::SignedIn), session).await;
    begun.expect("a session");
    let made = store.make_key(note(Noted::KeyMade), key).await;
    made.expect("a key");
}

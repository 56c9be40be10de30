//! Who gets in, what each role may do, and what is written down of it.

use super::common::{Answer, Practice};
use account::{Action, may, one_time};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use record::Role;
use web::access::table::{Needs, TABLE};

const PASSPHRASE: &str = "heron under grey slate";

/// A request with the cookies of one browser.
pub(super) async fn asks(
    practice: &Practice,
    cookie: &str,
    method: &str,
    path: &str,
    body: &str,
) -> Answer {
    let mut request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "127.0.0.1:8321")
        .header(header::ORIGIN, "http://127.0.0.1:8321");
    if !cookie.is_empty() {
        request = request.header(header::COOKIE, cookie);
    }
    if method == "POST" {
        request = request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    }
    practice
        .send(request.body(Body::from(body.to_owned())).unwrap())
        .await
}

pub(super) async fn sees(practice: &Practice, cookie: &str, path: &str) -> Answer {
    asks(practice, cookie, "GET", path, "").await
}

pub(super) async fn does(
    practice: &Practice,
    cookie: &str,
    path: &str,
    fields: &[(&str, &str)],
) -> Answer {
    let body: Vec<String> = fields
        .iter()
        .map(|(k, v)| {
            format!(
                "{k}={}",
                v.replace('&', "%26").replace('+', "%2B").replace(' ', "+")
            )
        })
        .collect();
    asks(practice, cookie, "POST", path, &body.join("&")).await
}

/// The cookie that an answer sets for the session.
pub(super) fn cookie_of(answer: &Answer) -> String {
    let set = answer.headers.get(header::SET_COOKIE).expect("a cookie");
    let set = set.to_str().unwrap();
    assert!(
        set.contains("HttpOnly") && set.contains("SameSite=Strict"),
        "{set}"
    );
    set.split(';').next().unwrap().to_owned()
}

pub fn place(answer: &Answer) -> &str {
    answer
        .headers
        .get(header::LOCATION)
        .and_then(|v| v.to_str().ok())
        .unwrap_or_default()
}

async fn signs_in(practice: &Practice, login: &str, passphrase: &str, code: &str) -> Answer {
    let fields = [("login", login), ("passphrase", passphrase), ("code", code)];
    does(practice, "", "/sign-in", &fields).await
}

/// Dr Ada turns signing in on; answers with her cookie.
pub(super) async fn with_accounts() -> (Practice, String) {
    let practice = Practice::started().await;
    let first = [
        ("login", "ada"),
        ("passphrase", PASSPHRASE),
        ("again", PASSPHRASE),
    ];
    let begun = does(&practice, "", "/people/first", &first).await;
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text());
    let cookie = cookie_of(&begun);
    (practice, cookie)
}

/// A new account with a role of its own, whose passphrase was chosen; answers with its cookie.
pub(super) async fn somebody(practice: &Practice, ada: &str, login: &str, role: Role) -> String {
    let first = "a first one to change";
    let fields = [
        ("login", login),
        ("name", login),
        ("passphrase", first),
        (role.key(), "yes"),
    ];
    let added = does(practice, ada, "/people", &fields).await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.text());
    let cookie = cookie_of(&signs_in(practice, login, first, "").await);
    let own = format!("{login} crosses the wet sand");
    let changed = [("new", own.as_str()), ("again", own.as_str())];
    let done = does(practice, &cookie, "/account/passphrase", &changed).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text());
    cookie
}

pub(super) fn filled(path: &str) -> String {
    path.replace("{id}", "01890000-0000-7000-8000-000000000001")
        .replace("{of}", "left")
        .replace("{side}", "left")
        .replace("{name}", "device.3mf")
        .replace("{frame}", "1")
        .replace("{view}", "plan.svg")
        .replace("{kind}", "Observation")
        .replace("{job}", "01890000-0000-7000-8000-000000000009")
        .replace("{file}", "Patient.ndjson")
        .replace("{study}", "2.25.1001")
        .replace("{series}", "2.25.1002")
        .replace("{instance}", "2.25.1003")
}

#[tokio::test]
async fn every_address_asks_every_role_what_the_table_says() {
    let (practice, ada) = with_accounts().await;
    let mut asked = 0;
    for role in Role::ALL {
        let cookie = somebody(&practice, &ada, &format!("one-{}", role.key()), role).await;
        for row in TABLE {
            // Leaving would end the session that asks.
            if row.path == "/sign-out" {
                continue;
            }
            let method = row.method.name();
            let answer = asks(&practice, &cookie, method, &filled(row.path), "").await;
            let told = format!("{} {method} {}: {}", role.key(), row.path, answer.status);
            asked += 1;
            let allowed = match row.needs {
                Needs::Nothing => true,
                Needs::Of(action) | Needs::OrReader(action) => may(&[role], action),
                // No session opens an address for machines.
                Needs::Key(_) => {
                    assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{told}");
                    continue;
                }
            };
            if row.path == "/" && !allowed {
                assert_eq!(answer.status, StatusCode::SEE_OTHER, "{told}");
                assert!(
                    !place(&answer).contains("sign-in") && place(&answer) != "/",
                    "{told}"
                );
            } else {
                assert_eq!(answer.status == StatusCode::FORBIDDEN, !allowed, "{told}");
            }
            assert!(!answer.status.is_server_error(), "{told}");
            assert_ne!(place(&answer), "/sign-in", "{told}");
        }
    }
    println!(
        "{asked} of {} rows x {} roles asked",
        TABLE.len(),
        Role::ALL.len()
    );
    assert!(asked > 500);
}

#[tokio::test]
async fn nobody_gets_in_without_signing_in_once_there_is_an_account() {
    let (practice, _) = with_accounts().await;
    for row in TABLE {
        let method = row.method.name();
        let answer = asks(&practice, "", method, &filled(row.path), "").await;
        let told = format!(
            "{method} {}: {} {}",
            row.path,
            answer.status,
            place(&answer)
        );
        match row.needs {
            Needs::Nothing => assert!(!answer.text().contains("Dr Ada"), "{told}"),
            Needs::Key(_) => assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{told}"),
            _ => assert_eq!(
                (answer.status, place(&answer)),
                (StatusCode::SEE_OTHER, "/sign-in"),
                "{told}"
            ),
        }
    }
    let request = Request::get("/film/01890000-0000-7000-8000-000000000001/meta")
        .header(header::HOST, "127.0.0.1")
        .header(header::ACCEPT, "application/json")
        .body(Body::empty())
        .unwrap();
    assert_eq!(
        practice.send(request).await.status,
        StatusCode::UNAUTHORIZED
    );
    // The cookie of 'who is working' and a token that nobody was given are worth nothing.
    for forged in [
        "tiebeam_worker=01890000-0000-7000-8000-000000000001".to_owned(),
        format!("tiebeam_session={}", "ab".repeat(32)),
        "tiebeam_session=".to_owned(),
    ] {
        assert_eq!(
            place(&sees(&practice, &forged, "/").await),
            "/sign-in",
            "{forged}"
        );
    }
}

#[tokio::test]
async fn wrong_attempts_are_told_alike_and_make_one_wait() {
    let (practice, ada) = with_accounts().await;
    let wrong = signs_in(&practice, "ada", "heron under blue slate", "").await;
    let nobody = signs_in(&practice, "nobody", "heron under blue slate", "").await;
    assert_eq!(wrong.status, StatusCode::UNAUTHORIZED);
    let without_name =
        |a: &Answer, login: &str| a.text().replace(&format!("value=\"{login}\""), "");
    assert_eq!(without_name(&wrong, "ada"), without_name(&nobody, "nobody"));
    for _ in 0..3 {
        signs_in(&practice, "ada", "heron under blue slate", "").await;
    }
    let waits = signs_in(&practice, "ada", PASSPHRASE, "").await;
    assert_eq!(waits.status, StatusCode::TOO_MANY_REQUESTS);
    assert!(
        waits.text().contains("expected a pause of"),
        "{}",
        waits.text()
    );
    // Whoever is in stays in.
    assert_eq!(sees(&practice, &ada, "/").await.status, StatusCode::OK);
    let trail = sees(&practice, &ada, "/trail").await.text();
    assert!(
        trail.contains("was not let in") && !trail.contains("heron"),
        "{trail}"
    );
}

#[tokio::test]
async fn a_first_passphrase_must_be_changed_before_anything_else() {
    let (practice, ada) = with_accounts().await;
    let fields = [
        ("login", "bob"),
        ("name", "Bo Invented"),
        ("passphrase", "a first one to change"),
        ("assistant", "yes"),
    ];
    does(&practice, &ada, "/people", &fields).await;
    let cookie = cookie_of(&signs_in(&practice, "bob", "a first one to change", "").await);
    for path in ["/", "/letters", "/sources"] {
        assert_eq!(
            place(&sees(&practice, &cookie, path).await),
            "/account",
            "{path}"
        );
    }
    assert_eq!(
        sees(&practice, &cookie, "/account").await.status,
        StatusCode::OK
    );
    let short = [("new", "short"), ("again", "short")];
    let refused = does(&practice, &cookie, "/account/passphrase", &short).await;
    assert!(
        refused.text().contains("expected at least 12"),
        "{}",
        refused.text()
    );
    let own = [
        ("new", "otter by the old weir"),
        ("again", "otter by the old weir"),
    ];
    does(&practice, &cookie, "/account/passphrase", &own).await;
    assert_eq!(sees(&practice, &cookie, "/").await.status, StatusCode::OK);
    let old = signs_in(&practice, "bob", "a first one to change", "").await;
    assert_eq!(old.status, StatusCode::UNAUTHORIZED);
    // Barred: the session ends at once and nothing lets them in.
    let people = sees(&practice, &ada, "/people").await.text();
    let row = people
        .split("account-row")
        .find(|r| r.contains("value=\"bob\""))
        .unwrap();
    let value = |name: &str| {
        let from = row
            .split(&format!("name=\"{name}\" value=\""))
            .nth(1)
            .unwrap();
        from.split('"').next().unwrap().to_owned()
    };
    let (id, revision) = (value("id"), value("revision"));
    let bar = [
        ("id", id.as_str()),
        ("revision", revision.as_str()),
        ("login", "bob"),
        ("assistant", "yes"),
        ("barred", "yes"),
    ];
    does(&practice, &ada, "/people", &bar).await;
    assert_eq!(place(&sees(&practice, &cookie, "/").await), "/sign-in");
    let barred = signs_in(&practice, "bob", "otter by the old weir", "").await;
    assert_eq!(barred.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn the_last_administrator_stays() {
    let (practice, ada) = with_accounts().await;
    let people = sees(&practice, &ada, "/people").await.text();
    let from = people.split("name=\"id\" value=\"").nth(1).unwrap();
    let id = from.split('"').next().unwrap();
    let from = people.split("name=\"revision\" value=\"").nth(1).unwrap();
    let revision = from.split('"').next().unwrap();
    let fields = [
        ("id", id),
        ("revision", revision),
        ("login", "ada"),
        ("clinician", "yes"),
    ];
    let refused = does(&practice, &ada, "/people", &fields).await;
    assert_eq!(refused.status, StatusCode::CONFLICT);
    assert!(
        refused.text().contains("the last administrator"),
        "{}",
        refused.text()
    );
}

/// Bytes of base32 letters.
fn unlettered(letters: &str) -> Vec<u8> {
    let (mut bits, mut held, mut bytes) = (0u32, 0, Vec::new());
    for letter in letters.bytes() {
        let value = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'2'..=b'7' => letter - b'2' + 26,
            _ => continue,
        };
        bits = (bits << 5) | u32::from(value);
        held += 5;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
        }
    }
    bytes
}

#[tokio::test]
async fn one_time_codes_are_asked_for_and_a_recovery_code_lets_in_once() {
    let (practice, ada) = with_accounts().await;
    does(&practice, &ada, "/account/codes", &[]).await;
    let page = sees(&practice, &ada, "/account").await.text();
    assert!(page.contains("<svg class=\"square-code\""), "{page}");
    let letters = page.split("<code class=\"breakable\">").nth(1).unwrap();
    let secret = unlettered(letters.split('<').next().unwrap());
    assert_eq!(secret.len(), 20);
    // The clock of these tests stands at 09:30 on 24 November 2026, an hour east of Greenwich.
    let step = 1_795_509_000 / one_time::STEP_SECONDS;
    let code = |step| one_time::code_at(&secret, step).unwrap();
    let wrong = does(
        &practice,
        &ada,
        "/account/codes/confirm",
        &[("code", "000000")],
    )
    .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let on = does(
        &practice,
        &ada,
        "/account/codes/confirm",
        &[("code", &code(step))],
    )
    .await;
    assert_eq!(on.status, StatusCode::OK, "{}", on.text());
    let codes: Vec<String> = on
        .text()
        .split("<li><code>")
        .skip(1)
        .map(|c| c.split('<').next().unwrap().to_owned())
        .collect();
    assert_eq!(codes.len(), 10);
    for missing in ["", "000000", &code(step)] {
        let refused = signs_in(&practice, "ada", PASSPHRASE, missing).await;
        assert_eq!(
            refused.status,
            StatusCode::UNAUTHORIZED,
            "{missing}: no code, or one used already"
        );
    }
    let next = signs_in(&practice, "ada", PASSPHRASE, &code(step + 1)).await;
    assert_eq!(next.status, StatusCode::SEE_OTHER, "{}", next.text());
    let recovered = signs_in(&practice, "ada", "", &codes[0]).await;
    assert_eq!(
        recovered.status,
        StatusCode::SEE_OTHER,
        "{}",
        recovered.text()
    );
    let cookie = cookie_of(&recovered);
    assert_eq!(place(&sees(&practice, &cookie, "/").await), "/account");
    let again = signs_in(&practice, "ada", "", &codes[0]).await;
    assert_eq!(again.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_closed_record_is_nameless_for_others_until_they_open_it_with_a_reason() {
    let (practice, ada) = with_accounts().await;
    let fields = [
        ("given_name", "Xanthe"),
        ("family_name", "Quuxworth"),
        ("chart_number", "C-77"),
        ("born_on", "1961-02-03"),
        ("sex", "female"),
    ];
    let patient = place(&does(&practice, &ada, "/patients/new", &fields).await).to_owned();
    let visit = does(
        &practice,
        &ada,
        &format!("{patient}/visits"),
        &[("reason", "a private matter")],
    )
    .await;
    let visit = place(&visit).to_owned();
    let bo = somebody(&practice, &ada, "bob", Role::Clinician).await;
    assert!(
        sees(&practice, &bo, &patient)
            .await
            .text()
            .contains("Quuxworth")
    );
    does(
        &practice,
        &ada,
        &format!("{patient}/closure"),
        &[("closed", "yes")],
    )
    .await;

    for list in ["/", "/letters"] {
        let page = sees(&practice, &bo, list).await.text();
        assert!(
            !page.contains("Quuxworth") && !page.contains("private matter"),
            "{list}"
        );
    }
    assert!(
        sees(&practice, &bo, "/")
            .await
            .text()
            .contains("Closed record")
    );
    let found = does(&practice, &bo, "/patients/find", &[("words", "quux")])
        .await
        .text();
    assert!(
        found.contains("Closed record") && !found.contains("Quuxworth"),
        "{found}"
    );
    let closed = format!("{patient}/closed");
    for page in [
        &patient,
        &visit,
        &format!("{patient}/course"),
        &format!("{patient}/details"),
    ] {
        assert_eq!(place(&sees(&practice, &bo, page).await), closed, "{page}");
    }
    let save = does(&practice, &bo, &format!("{visit}/exam/left"), &[]).await;
    assert_eq!(save.status, StatusCode::FORBIDDEN);
    assert!(
        sees(&practice, &ada, &patient)
            .await
            .text()
            .contains("Quuxworth")
    );

    let silent = does(&practice, &bo, &closed, &[("reason", "because")]).await;
    assert_eq!(silent.status, StatusCode::UNPROCESSABLE_ENTITY);
    let reason = "Fell in the waiting room and nobody else is here";
    let opened = does(&practice, &bo, &closed, &[("reason", reason)]).await;
    assert_eq!(place(&opened), patient);
    assert!(
        sees(&practice, &bo, &patient)
            .await
            .text()
            .contains("Quuxworth")
    );
    let trail = sees(&practice, &ada, "/trail").await.text();
    assert!(
        trail.contains(reason) && trail.contains("opened a closed record"),
        "{trail}"
    );
    assert!(!trail.contains("Quuxworth"), "the trail names no patient");
    let checked = sees(&practice, &ada, "/trail?check=yes").await.text();
    assert!(checked.contains("Everything is whole"), "{checked}");
}

#[tokio::test]
async fn an_assistant_drafts_a_letter_and_cannot_sign_it_by_any_form() {
    let (practice, ada) = with_accounts().await;
    let fields = [("family_name", "Quuxworth"), ("chart_number", "C-79")];
    let patient = place(&does(&practice, &ada, "/patients/new", &fields).await).to_owned();
    let visit = does(
        &practice,
        &ada,
        &format!("{patient}/visits"),
        &[("reason", "pain")],
    )
    .await;
    let visit = place(&visit).to_owned();
    let bob = somebody(&practice, &ada, "bob", Role::Assistant).await;
    let wish = [("kind", "to-referrer"), ("recipient", "Dr Invented")];
    let begun = does(&practice, &bob, &format!("{visit}/letters"), &wish).await;
    let letter = place(&begun).split(['?', '#']).next().unwrap().to_owned();
    assert!(
        letter.starts_with("/letter/"),
        "{} {}",
        begun.status,
        begun.text()
    );
    for act in ["sign", "save"] {
        let answer = does(&practice, &bob, &letter, &[("act", act), ("revision", "1")]).await;
        assert_eq!(
            answer.status == StatusCode::FORBIDDEN,
            act == "sign",
            "{act}: {}",
            answer.text()
        );
    }
    let trail = sees(&practice, &ada, "/trail").await.text();
    assert!(
        trail.contains("letter-drafted") && !trail.contains("letter-signed"),
        "{trail}"
    );
    assert!(trail.contains("sign letters"), "{trail}");
}

#[tokio::test]
async fn every_look_at_a_record_is_in_the_trail_before_the_page_is() {
    let (practice, ada) = with_accounts().await;
    let fields = [("family_name", "Quuxworth"), ("chart_number", "C-78")];
    let patient = place(&does(&practice, &ada, "/patients/new", &fields).await).to_owned();
    let looks = async || {
        let trail = sees(&practice, &ada, "/trail").await.text();
        trail.matches("/patient/{id} ").count()
    };
    let before = looks().await;
    sees(&practice, &ada, &patient).await;
    sees(&practice, &ada, &patient).await;
    assert_eq!(looks().await, before + 2);
}

#[tokio::test]
async fn from_outside_nobody_works_before_the_first_account_and_that_needs_the_code() {
    let reached = web::Reached {
        from_outside: true,
        set_up_code: Some("63P3-ZFHR-NPVF-AK1G".into()),
        ..web::Reached::default()
    };
    let practice = Practice::reached(reached).await;
    for path in ["/", "/letters", "/people", "/trail"] {
        assert_eq!(place(&sees(&practice, "", path).await), "/start", "{path}");
    }
    let page = sees(&practice, "", "/start").await.text();
    assert!(page.contains("Code printed at the start"), "{page}");
    let set_up = |code: &'static str, passphrase: &'static str| {
        [
            ("code", code),
            ("practice", "Invented Foot Practice"),
            ("name", "Dr Ada Invented"),
            ("login", "ada"),
            ("passphrase", passphrase),
            ("again", passphrase),
        ]
    };
    for code in ["", "63P3-ZFHR-NPVF-AK1H"] {
        let refused = does(&practice, "", "/start", &set_up(code, PASSPHRASE)).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{code}");
    }
    let weak = does(
        &practice,
        "",
        "/start",
        &set_up("63P3-ZFHR-NPVF-AK1G", "short"),
    )
    .await;
    assert_eq!(weak.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        place(&sees(&practice, "", "/").await),
        "/start",
        "nothing was kept"
    );
    let begun = does(
        &practice,
        "",
        "/start",
        &set_up("63p3 zfhr npvf ak1g", PASSPHRASE),
    )
    .await;
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text());
    let ada = cookie_of(&begun);
    assert_eq!(sees(&practice, &ada, "/").await.status, StatusCode::OK);
    // The code is good for the first account alone.
    let again = does(
        &practice,
        "",
        "/start",
        &set_up("63P3-ZFHR-NPVF-AK1G", PASSPHRASE),
    )
    .await;
    assert_eq!(place(&again), "/");
    assert_eq!(place(&sees(&practice, "", "/").await), "/sign-in");
    assert_eq!(
        place(&does(&practice, "", "/who", &[("worker", "x")]).await),
        "/sign-in"
    );
}

#[test]
fn the_actions_that_change_what_leaves_the_practice_are_the_clinicians() {
    for action in [
        Action::TakeOut,
        Action::Erase,
        Action::SendOrders,
        Action::SignLetters,
    ] {
        assert_eq!(action.roles(), [Role::Clinician], "{action:?}");
    }
}

#[tokio::test]
async fn a_session_does_not_let_anybody_guess_the_passphrase_or_a_code_at_leisure() {
    let (practice, ada) = with_accounts().await;
    let mut seen = Vec::new();
    for n in 0..12 {
        let (path, field) = match n % 2 {
            0 => ("/account/recovery", "old"),
            _ => ("/account/codes/off", "code"),
        };
        let answer = does(&practice, &ada, path, &[(field, "123456")]).await;
        seen.push(answer.status);
    }
    assert_eq!(seen[0], StatusCode::UNPROCESSABLE_ENTITY);
    assert!(seen.contains(&StatusCode::TOO_MANY_REQUESTS), "{seen:?}");
    // The same count as at the door, so that nobody changes from one to the other.
    let account = practice.state.store.account_named("ada".into()).await;
    let account = account.unwrap().expect("an account");
    assert!((4..12).contains(&account.failures), "{}", account.failures);
    // The right one waits too, and then forgets the wrong ones.
    let mut done = StatusCode::TOO_MANY_REQUESTS;
    for _ in 0..600 {
        let right = [("old", PASSPHRASE)];
        done = does(&practice, &ada, "/account/recovery", &right)
            .await
            .status;
        if done == StatusCode::OK {
            break;
        }
        assert_eq!(done, StatusCode::TOO_MANY_REQUESTS);
    }
    assert_eq!(done, StatusCode::OK);
    let account = practice.state.store.account_named("ada".into()).await;
    assert_eq!(account.unwrap().expect("an account").failures, 0);
    let trail = sees(&practice, &ada, "/trail").await.text();
    assert!(
        trail.contains("wrong passphrase or code, signed in"),
        "{trail}"
    );
}

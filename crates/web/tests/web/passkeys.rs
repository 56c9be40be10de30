//! Ceremonies that are refused. One that succeeds needs an authenticator: `e2e/tests/passkey.test.mjs`.

use super::access::with_accounts;
use super::common::{Answer, Practice};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use serde_json::{Value, json};

const PASSPHRASE: &str = "heron under grey slate";

async fn sends(practice: &Practice, host: &str, cookie: &str, path: &str, body: &Value) -> Answer {
    let mut request = Request::post(path)
        .header(header::HOST, host)
        .header(header::ORIGIN, format!("http://{host}"))
        .header(header::CONTENT_TYPE, "application/json")
        .header(header::ACCEPT, "application/json");
    if !cookie.is_empty() {
        request = request.header(header::COOKIE, cookie);
    }
    practice
        .send(request.body(Body::from(body.to_string())).unwrap())
        .await
}

const NAMED: &str = "localhost:8321";

fn new_passkey(label: &str, passphrase: &str) -> Value {
    json!({"label": label, "passphrase": passphrase})
}

/// An answer of the right form that nobody's authenticator gave.
fn forged(ceremony: &Value) -> Value {
    json!({
        "ceremony": ceremony,
        "credential": {
            "id": "AAAA",
            "rawId": "AAAA",
            "type": "public-key",
            "extensions": {},
            "response": {"attestationObject": "oA", "clientDataJSON": "e30", "authenticatorData": "AAAA", "signature": "AAAA"},
        },
    })
}

#[tokio::test]
async fn a_passkey_is_added_only_by_a_name_with_the_passphrase_and_a_true_answer() {
    let (practice, ada) = with_accounts().await;
    let begin = "/account/passkeys/begin";
    let good = new_passkey("blue key", PASSPHRASE);
    let number = sends(&practice, "127.0.0.1:8321", &ada, begin, &good).await;
    assert_eq!(number.status, StatusCode::CONFLICT, "{}", number.text());
    for (label, passphrase) in [
        ("", PASSPHRASE),
        ("blue key", "another one altogether"),
        (&"x".repeat(65), PASSPHRASE),
    ] {
        let refused = sends(
            &practice,
            NAMED,
            &ada,
            begin,
            &new_passkey(label, passphrase),
        )
        .await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{label}");
    }
    let nobody = sends(&practice, NAMED, "", begin, &good).await;
    assert_eq!(nobody.status, StatusCode::UNAUTHORIZED);

    let asked = sends(&practice, NAMED, &ada, begin, &good).await;
    assert_eq!(asked.status, StatusCode::OK, "{}", asked.text());
    let asked = asked.json();
    let wanted = &asked["options"]["publicKey"];
    assert_eq!(wanted["rp"]["id"], "localhost");
    assert_eq!(
        wanted["authenticatorSelection"]["userVerification"],
        "required"
    );
    let finish = "/account/passkeys/finish";
    let answer = forged(&asked["ceremony"]);
    let refused = sends(&practice, NAMED, &ada, finish, &answer).await;
    assert_eq!(
        refused.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        refused.text()
    );
    let again = sends(&practice, NAMED, &ada, finish, &answer).await;
    assert_eq!(again.status, StatusCode::CONFLICT, "good for one answer");
    let other = sends(&practice, NAMED, &ada, finish, &forged(&json!("none"))).await;
    assert_eq!(other.status, StatusCode::CONFLICT);
    // A question to come in is none to add a key by.
    let coming = sends(
        &practice,
        NAMED,
        "",
        "/sign-in/passkey/begin",
        &json!({"login": "ada"}),
    )
    .await;
    let crossed = forged(&coming.json()["ceremony"]);
    let crossed = sends(&practice, NAMED, &ada, finish, &crossed).await;
    assert_eq!(crossed.status, StatusCode::CONFLICT);
    let page = super::access::sees(&practice, &ada, "/account")
        .await
        .text();
    assert!(!page.contains("blue key"), "nothing was kept");
}

#[tokio::test]
async fn somebody_without_a_passkey_is_asked_as_somebody_with_one_and_not_let_in() {
    let (practice, _) = with_accounts().await;
    let begin = async |login: &str| {
        let path = "/sign-in/passkey/begin";
        let body = json!({"login": login});
        let asked = sends(&practice, NAMED, "", path, &body).await;
        assert_eq!(asked.status, StatusCode::OK, "{login}: {}", asked.text());
        asked.json()
    };
    let keys = |value: &Value| -> Vec<String> {
        value["options"]["publicKey"]
            .as_object()
            .unwrap()
            .keys()
            .cloned()
            .collect()
    };
    let (ada, nobody) = (begin("ada").await, begin("nobody").await);
    assert_eq!(keys(&ada), keys(&nobody));
    let allowed = |asked: &Value| asked["options"]["publicKey"]["allowCredentials"].clone();
    assert_eq!(allowed(&nobody).as_array().unwrap().len(), 1);
    assert_eq!(
        allowed(&nobody),
        allowed(&begin("Nobody").await),
        "the same every time, capitals aside"
    );
    assert_ne!(allowed(&nobody), allowed(&ada));
    assert_ne!(
        nobody["options"]["publicKey"]["challenge"],
        begin("nobody").await["options"]["publicKey"]["challenge"]
    );
    let finish = "/sign-in/passkey/finish";
    for asked in [&ada, &nobody] {
        let answer = forged(&asked["ceremony"]);
        let refused = sends(&practice, NAMED, "", finish, &answer).await;
        assert_eq!(
            refused.status,
            StatusCode::UNAUTHORIZED,
            "{}",
            refused.text()
        );
        assert!(!refused.headers.contains_key(header::SET_COOKIE));
        let again = sends(&practice, NAMED, "", finish, &answer).await;
        assert_eq!(again.status, StatusCode::CONFLICT, "good for one answer");
    }
    let broken = sends(&practice, NAMED, "", finish, &json!({"ceremony": "x"})).await;
    assert!(broken.status.is_client_error());
}

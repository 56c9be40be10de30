//! From a foot to an order for a device, through the pages alone.

use crate::common::Practice;
use axum::http::StatusCode;
use serde_json::json;

/// A practice, a visit, and an order built from measurements.
async fn ordered(side: &str) -> (Practice, String, String) {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Wilma", "Invented", "B-1", "1968-03-04", "female")
        .await;
    let visit = practice.start_visit(&patient, "device").await;
    practice
        .answer(&visit, "right", crate::common::SORE_FOOT)
        .await;
    practice
        .answer(&visit, "person", &[("weight_kg", "78")])
        .await;
    let order = practice
        .form(&format!("{visit}/orders"), &measured(side))
        .await
        .place();
    (practice, visit, order)
}

fn measured(side: &str) -> [(&str, &str); 6] {
    [
        ("foot", "measured"),
        ("side", side),
        ("foot_length", "248"),
        ("ball_width", "96"),
        ("heel_width", "64"),
        ("navicular_height", "34"),
    ]
}

/// The JSON head of an answer with triangles.
fn head(bytes: &[u8]) -> serde_json::Value {
    let length = u32::from_le_bytes(bytes[..4].try_into().unwrap()) as usize;
    serde_json::from_slice(&bytes[4..4 + length]).unwrap()
}

fn field<'p>(page: &'p str, name: &str) -> &'p str {
    let at = page
        .find(&format!("name=\"{name}\" value=\""))
        .unwrap_or_else(|| panic!("no field {name}"));
    let from = at + name.len() + 15;
    page[from..].split('"').next().unwrap()
}

#[tokio::test]
async fn a_device_is_begun_from_measurements_and_its_page_says_so_without_script() {
    let (practice, visit, order) = ordered("right").await;
    let page = practice.get(&order).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    let page = page.text();
    assert!(page.contains("Built from measurements, not scanned"));
    for part in ["Surface", "Corrections", "Shell", "Post", "Edges", "Check"] {
        assert!(page.contains(part), "{part}");
    }
    assert_eq!(field(&page, "revision"), "1");
    let listed = practice.get(&visit).await.text();
    assert!(listed.contains("from measurements, draft"), "{listed}");
    // No name stands in the address or on the device.
    assert!(!order.contains("Invented"));
    let plan = practice.get(&format!("{order}/drawn/plan.svg")).await;
    assert_eq!(plan.headers["content-type"], "image/svg+xml");
    assert!(plan.text().starts_with("<svg") && !plan.text().contains("Invented"));
}

#[tokio::test]
async fn a_preview_has_triangles_for_the_change_and_stores_nothing() {
    let (practice, _, order) = ordered("left").await;
    let texts = json!({"texts": {"post": "4", "trim.0.80": "3"}, "page": "a"});
    let answer = practice.json(&format!("{order}/preview"), &texts).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let head = head(&answer.bytes);
    let shell = &head["bodies"][0];
    assert!(shell["triangles"].as_u64().unwrap() > 2000, "{shell}");
    // The ground falls away under the raised inner side: to the right of a left foot.
    let up = head["ground"]["up"].as_array().unwrap();
    assert!(up[1].as_f64().unwrap() < -0.05, "{up:?}");
    let handle = head["handles"]
        .as_array()
        .unwrap()
        .iter()
        .find(|h| h["station"] == 0.8)
        .unwrap();
    assert_eq!(handle["moved"], 3.0);
    assert!(head["rim"].as_array().unwrap().len() > 100);
    let page = practice.get(&order).await.text();
    assert_eq!(field(&page, "trim.0.80"), "");
    assert_eq!(field(&page, "revision"), "1");
}

#[tokio::test]
async fn a_moving_hand_is_answered_with_sheets_on_the_same_border() {
    let (practice, _, order) = ordered("left").await;
    let asked = async |led: bool| {
        let texts = json!({"texts": {"trim.0.80": "3"}, "page": "a", "led": led});
        head(
            &practice
                .json(&format!("{order}/preview"), &texts)
                .await
                .bytes,
        )
    };
    let (sheets, solid) = (asked(true).await, asked(false).await);
    assert_eq!(
        (&sheets["led"], &solid["led"]),
        (&json!(true), &json!(false))
    );
    assert!(sheets["sizes"].is_null() && solid["sizes"].is_object());
    let triangles = |head: &serde_json::Value| head["bodies"][0]["triangles"].as_u64().unwrap();
    assert!(
        3 * triangles(&sheets) < triangles(&solid),
        "{}",
        triangles(&sheets)
    );
    let places = |head: &serde_json::Value| -> Vec<[f64; 3]> {
        serde_json::from_value(head["rim"].clone()).unwrap()
    };
    // Corners of the line lie up to 2.5 mm apart along it, so that nearest corners are at most half as far.
    let border = places(&solid);
    for p in places(&sheets) {
        let away = |q: &[f64; 3]| (0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>().sqrt();
        let least = border.iter().map(away).fold(f64::INFINITY, f64::min);
        assert!(least < 1.5, "{p:?} lies {least} mm off");
    }
}

#[tokio::test]
async fn a_value_that_cannot_be_made_is_one_sentence_at_its_field_and_nothing_is_lost() {
    let (practice, _, order) = ordered("right").await;
    for (name, text, says) in [
        ("thickness", "0.5", "0.5 mm as the shell's thickness"),
        ("post", "40", "40° as the rearfoot post"),
        ("heel_cup", "deep", "\"deep\""),
        ("point.first_head.x", "9000", "First metatarsal head"),
        ("trim.0.50", "900", "a trim edit"),
    ] {
        let texts = json!({"texts": {name: text}});
        let answer = practice.json(&format!("{order}/preview"), &texts).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        let said = answer.json();
        assert!(said["error"].as_str().unwrap().contains(says), "{said}");
        if name != "trim.0.50" {
            assert_eq!(said["field"], name, "{said}");
        }
        let saved = practice
            .form(&format!("{order}/save"), &[("revision", "1"), (name, text)])
            .await;
        assert_eq!(
            saved.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{name}: {}",
            saved.text()
        );
    }
    assert_eq!(field(&practice.get(&order).await.text(), "revision"), "1");
}

#[tokio::test]
async fn changes_are_revisions_that_can_be_taken_back_and_never_overwrite_each_other() {
    let (practice, _, order) = ordered("right").await;
    let before = practice.get(&order).await.text();
    let cup = field(&before, "heel_cup").to_owned();
    let save = [
        ("revision", "1"),
        ("heel_cup", "21.5"),
        ("point.navicular.x", "118"),
    ];
    practice.form(&format!("{order}/save"), &save).await.place();
    let page = practice.get(&order).await.text();
    assert_eq!(field(&page, "heel_cup"), "21.5");
    assert!(page.contains("by hand"));
    let stale = practice
        .form(
            &format!("{order}/save"),
            &[("revision", "1"), ("heel_cup", "18")],
        )
        .await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    practice
        .form(&format!("{order}/undo"), &[("revision", "2")])
        .await
        .place();
    let page = practice.get(&order).await.text();
    assert_eq!(field(&page, "heel_cup"), cup);
    assert_eq!(field(&page, "revision"), "3");
    assert!(!page.contains("by hand</span>"));
}

#[tokio::test]
async fn the_same_values_go_to_the_other_foot_only_where_there_is_a_foot() {
    let (practice, visit, order) = ordered("right").await;
    let refused = practice.form(&format!("{order}/mirror"), &[]).await;
    assert_eq!(refused.status, StatusCode::CONFLICT, "{}", refused.text());
    let other = practice
        .form(&format!("{visit}/orders"), &measured("left"))
        .await
        .place();
    practice
        .form(
            &format!("{order}/save"),
            &[("revision", "1"), ("post", "3.5")],
        )
        .await
        .place();
    let place = practice.form(&format!("{order}/mirror"), &[]).await.place();
    assert_eq!(place, other);
    let page = practice.get(&other).await.text();
    assert_eq!(field(&page, "post"), "3.5");
    assert_eq!(field(&page, "revision"), "2");
}

#[tokio::test]
async fn files_are_made_checked_and_measured_and_given_out_while_the_order_stays_as_it_is() {
    let (practice, _, order) = ordered("right").await;
    practice
        .form(
            &format!("{order}/save"),
            &[("revision", "1"), ("material", "pa12-laser"), ("post", "4")],
        )
        .await
        .place();
    let early = practice.get(&format!("{order}/files/shell.stl")).await;
    assert_eq!(early.status, StatusCode::CONFLICT);
    let now = with_files(&practice, &order).await;
    assert_eq!(now["state"], "done", "{now}");
    assert_eq!(now["done"]["sound"], true, "{now}");
    let off: Vec<_> = now["done"]["dimensions"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|d| d["state"] == "off")
        .collect();
    assert!(off.is_empty(), "{off:?}");
    let stl = practice.get(&format!("{order}/files/shell.stl")).await;
    assert_eq!(stl.status, StatusCode::OK);
    let read = mesh::read(&stl.bytes).unwrap();
    assert!(mesh::check::closed(&read.mesh).is_none());
    let solids = practice.get(&format!("{order}/files/device.3mf")).await;
    assert!(solids.bytes.starts_with(b"PK"));
    assert!(
        !solids.headers["content-disposition"]
            .to_str()
            .unwrap()
            .contains("Invented")
    );
    practice
        .form(
            &format!("{order}/save"),
            &[("revision", "2"), ("post", "5")],
        )
        .await
        .place();
    let late = practice.get(&format!("{order}/files/shell.stl")).await;
    assert_eq!(
        late.status,
        StatusCode::CONFLICT,
        "files of another prescription are not given out"
    );
}

/// Makes the files of an order and waits for them.
async fn with_files(practice: &Practice, order: &str) -> serde_json::Value {
    let ask = async || {
        practice
            .json(&format!("{order}/final"), &json!({}))
            .await
            .json()
    };
    let mut now = ask().await;
    for _ in 0..1200 {
        if now["state"] != "running" {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        now = ask().await;
    }
    now
}

/// As the paper's own data tell it.
fn language_of(pdf: &[u8]) -> String {
    let data = String::from_utf8_lossy(pdf);
    let from = data.find("<dc:language>").expect("a language");
    let told = &data[from..];
    let item = told.split("<rdf:li>").nth(1).expect("an item");
    item.split('<').next().unwrap_or_default().to_owned()
}

#[tokio::test]
async fn the_papers_of_an_order_speak_the_language_that_is_asked_for_and_what_is_sent_keeps_its_own()
 {
    let (practice, _, order) = ordered("right").await;
    let page = practice.get(&order).await.text();
    for link in [
        format!("{order}/break-in.pdf?language=es"),
        format!("{order}/sheet.pdf?language=es"),
    ] {
        assert!(
            page.contains(&format!("href=\"{link}\" hreflang=\"es\"")),
            "{link}"
        );
    }
    assert!(page.contains("<label for=\"send-language\">Language of the order sheet</label>"));
    for (query, language, name) in [
        ("", "en", "break-in.pdf"),
        ("?language=en", "en", "break-in.pdf"),
        ("?language=es", "es", "break-in-es.pdf"),
    ] {
        let paper = practice.get(&format!("{order}/break-in.pdf{query}")).await;
        assert_eq!(paper.status, StatusCode::OK, "{query}");
        assert_eq!(language_of(&paper.bytes), language, "{query}");
        let shown = paper.headers["content-disposition"].to_str().unwrap();
        assert!(shown.ends_with(&format!("filename=\"{name}\"")), "{shown}");
    }
    for paper in ["break-in.pdf", "sheet.pdf"] {
        let unknown = practice.get(&format!("{order}/{paper}?language=xx")).await;
        assert_eq!(unknown.status, StatusCode::UNPROCESSABLE_ENTITY, "{paper}");
        assert!(
            unknown.text().contains("No such language for letters")
                || unknown.text().contains("no such language for letters"),
            "{}",
            unknown.text()
        );
    }
    practice
        .form(
            &format!("{order}/save"),
            &[("revision", "1"), ("material", "pa12-laser"), ("post", "4")],
        )
        .await
        .place();
    assert_eq!(with_files(&practice, &order).await["state"], "done");
    let draft = practice
        .get(&format!("{order}/sheet.pdf?language=es"))
        .await;
    assert_eq!(draft.status, StatusCode::OK, "{}", draft.text());
    assert_eq!(language_of(&draft.bytes), "es");
    let send = format!("{order}/send");
    let unknown = [("revision", "2"), ("agreed", "yes"), ("language", "xx")];
    let refused = practice.form(&send, &unknown).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let spanish = [("revision", "2"), ("agreed", "yes"), ("language", "es")];
    practice.form(&send, &spanish).await.place();
    let sent = practice.get(&format!("{order}/sent/sheet.pdf")).await;
    assert_eq!(sent.status, StatusCode::OK);
    assert_eq!(language_of(&sent.bytes), "es");
}

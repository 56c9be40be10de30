//! The film desk's answers: the picture, the readings for points in hand, proposals, saving.

use crate::common::{Practice, lateral_points, plain_film};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use serde_json::{Value, json};

async fn at_a_film() -> (Practice, String) {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Anna", "Example", "A-1", "1968-03-02", "female")
        .await;
    let visit = practice.start_visit(&patient, "").await;
    let facts = [
        ("view", "lateral"),
        ("side", "left"),
        ("stance", "standing"),
    ];
    let film = practice
        .upload(&visit, &plain_film(5), "a.png", &facts)
        .await
        .place();
    (practice, film)
}

fn measures(answer: &Value, list: &str) -> Vec<String> {
    let rows = answer[list].as_array().expect("a list");
    rows.iter()
        .map(|r| r["measure"].as_str().expect("a measure").to_owned())
        .collect()
}

#[tokio::test]
async fn the_picture_comes_as_little_endian_levels_once_and_is_not_sent_again() {
    let (practice, film) = at_a_film().await;
    let first = practice.get(&format!("{film}/grey16")).await;
    assert_eq!(first.bytes.len(), 620 * 400 * 2);
    let level = |x: usize, y: usize| {
        let at = 2 * (y * 620 + x);
        u16::from_le_bytes([first.bytes[at], first.bytes[at + 1]])
    };
    // The film rises to the right and downwards; read the other way round it would jump about.
    assert!(
        level(0, 0) < level(300, 0) && level(300, 0) < level(619, 0) && level(0, 0) < level(0, 399)
    );
    let tag = first.headers[header::ETAG].to_str().unwrap().to_owned();
    let again = Request::get(format!("{film}/grey16"))
        .header(header::HOST, "127.0.0.1:8000")
        .header(header::IF_NONE_MATCH, tag)
        .body(Body::empty())
        .unwrap();
    let again = practice.send(again).await;
    assert_eq!(
        (again.status, again.bytes.len()),
        (StatusCode::NOT_MODIFIED, 0)
    );
}

#[tokio::test]
async fn points_give_readings_with_error_and_place_and_nothing_is_stored_by_asking() {
    let (practice, film) = at_a_film().await;
    let body = json!({"points": lateral_points(), "pen": 2.0, "active": "nav_low"});
    let answer = practice
        .json(&format!("{film}/overlay"), &body)
        .await
        .json();
    let pitch = answer["rows"]
        .as_array()
        .unwrap()
        .iter()
        .find(|r| r["measure"] == "calc_pitch")
        .expect("a pitch");
    // tan⁻¹(24 px / 100 px) against a level floor.
    assert!(
        pitch["value"].as_str().unwrap().starts_with("13.5°\u{a0}±")
            || pitch["value"].as_str().unwrap().starts_with("13.5° ±"),
        "{pitch}"
    );
    assert!(answer["svg"].as_str().unwrap().starts_with("<svg"));
    let meta = practice.get(&format!("{film}/meta")).await.json();
    assert_eq!(meta["points"], json!({}));
    assert_eq!(
        (meta["width"].as_u64(), meta["height"].as_u64()),
        (Some(620), Some(400))
    );
    assert!(meta["landmarks"].as_array().unwrap().iter().all(|l| {
        l["drawing_svg"]
            .as_str()
            .is_some_and(|s| s.contains("<svg"))
    }));
}

#[tokio::test]
async fn the_rates_of_a_held_point_foretell_its_next_drawing() {
    let (practice, film) = at_a_film().await;
    let (practice, film) = (&practice, &film);
    let drawn = async |points: &serde_json::Value, turn: &serde_json::Value| {
        let body = json!({"points": points, "active": "calc_plantar_front", "turn": turn,
            "lines_only": true, "rates": true});
        practice
            .json(&format!("{film}/overlay"), &body)
            .await
            .json()
    };
    let moved = |by: [f64; 2]| {
        let mut points = lateral_points();
        let at = points.get_mut("calc_plantar_front").unwrap();
        *at = [at[0] + by[0], at[1] + by[1]];
        json!(points)
    };
    for turn in [
        json!({"quarter_turns": 0, "mirrored": false}),
        json!({"quarter_turns": 1, "mirrored": true}),
    ] {
        let here = drawn(&moved([0.0, 0.0]), &turn).await;
        let rates = here["rates"].as_object().unwrap();
        // The points of the first ray move with no point of the heel bone.
        assert!(rates.contains_key("calc_pitch") && !rates.contains_key("mt1_decl"));
        for by in [[2.0, 0.0], [0.0, 2.0], [-1.0, 1.5]] {
            let there = drawn(&moved(by), &turn).await;
            let mut checked = 0;
            for (measure, rates) in rates {
                let svg = |of: &serde_json::Value| line_ends(of["svg"].as_str().unwrap(), measure);
                let (from, to) = (svg(&here), svg(&there));
                assert!(!from.is_empty(), "{measure}");
                let led: Vec<f64> = from
                    .iter()
                    .zip(rates.as_array().unwrap())
                    .map(|(v, rate)| {
                        v + by[0] * rate[0].as_f64().unwrap() + by[1] * rate[1].as_f64().unwrap()
                    })
                    .collect();
                // A line may end at another bone than before; what is led lies on the line all the same.
                for (led, to) in led.chunks(4).zip(to.chunks(4)) {
                    for end in led.chunks(2) {
                        let off = beside(to, end);
                        // Second order over two pixels; written to a hundredth.
                        assert!(off < 0.5, "{measure}: {end:?} lies {off} px beside {to:?}");
                        checked += 1;
                    }
                }
            }
            assert!(checked >= 8, "{checked}");
        }
    }
}

/// How far a point lies beside the line through two ends.
fn beside(line: &[f64], point: &[f64]) -> f64 {
    let [dx, dy] = [line[2] - line[0], line[3] - line[1]];
    ((dx * (point[1] - line[1]) - dy * (point[0] - line[0])) / dx.hypot(dy)).abs()
}

/// The ends of a measure's lines, each drawn once.
fn line_ends(svg: &str, measure: &str) -> Vec<f64> {
    let start = svg
        .find(&format!("data-measure=\"{measure}\""))
        .unwrap_or(svg.len());
    let figure = &svg[start..];
    // The next reading's lines, or after the last one what leads labels to their arcs.
    let next = ["class=\"figure", "class=\"leader"]
        .iter()
        .filter_map(|next| figure.find(next))
        .min()
        .unwrap_or(figure.len());
    let attribute = |line: &str, name: &str| -> f64 {
        let value = line.split_once(&format!(" {name}=\"")).unwrap().1;
        value.split('"').next().unwrap().parse().unwrap()
    };
    figure[..next]
        .split("<line")
        .skip(1)
        .step_by(2)
        .flat_map(|line| ["x1", "y1", "x2", "y2"].map(|name| attribute(line, name)))
        .collect()
}

#[tokio::test]
async fn a_point_that_is_missing_takes_only_its_own_readings_away() {
    let (practice, film) = at_a_film().await;
    let mut points = lateral_points();
    points.remove("calc_plantar_front");
    let answer = practice
        .json(&format!("{film}/overlay"), &json!({"points": points}))
        .await
        .json();
    assert!(measures(&answer, "refused").contains(&"calc_pitch".to_owned()));
    assert!(measures(&answer, "rows").contains(&"meary_lat".to_owned()));
}

#[tokio::test]
async fn a_placing_is_saved_until_it_is_finished_and_a_second_one_starts_from_nothing() {
    let (practice, film) = at_a_film().await;
    let first = practice
        .json(
            &format!("{film}/points"),
            &json!({"points": {"calc_back": [70.0, 300.0]}}),
        )
        .await
        .json();
    let id = first["points_id"].as_str().unwrap().to_owned();
    let whole = json!({"points": lateral_points(), "points_id": id, "finished": true});
    let done = practice.json(&format!("{film}/points"), &whole).await;
    assert_eq!(done.json()["points_id"], id.as_str());
    assert!(
        done.json()["words"]
            .as_str()
            .unwrap()
            .starts_with("Finished 09:3"),
        "{}",
        done.text()
    );
    let frozen = practice.json(&format!("{film}/points"), &whole).await;
    assert_eq!(frozen.status, StatusCode::CONFLICT, "{}", frozen.text());
    let shown = practice.get(&format!("{film}/meta")).await.json();
    assert_eq!(
        (
            shown["finished"].as_bool(),
            shown["points"].as_object().unwrap().len()
        ),
        (Some(true), lateral_points().len())
    );
    let blind = practice.get(&format!("{film}/meta?again=yes")).await.json();
    assert_eq!(
        (
            blind["finished"].as_bool(),
            blind["points"].as_object().unwrap().len()
        ),
        (Some(false), 0)
    );
    let page = practice.get(&format!("{film}?again=yes")).await.text();
    assert!(
        !page.contains("annotated.png"),
        "a second reading shows the first one's lines"
    );
}

#[tokio::test]
async fn placing_the_same_film_again_changes_the_stated_error_of_this_reader() {
    let (practice, film) = at_a_film().await;
    let scale = [
        ("from", "length"),
        ("length_mm", "100"),
        ("x1", "10"),
        ("y1", "10"),
        ("x2", "210"),
        ("y2", "10"),
    ];
    practice
        .form(&format!("{film}/scale-form"), &scale)
        .await
        .place();
    let error = async || {
        let answer = practice
            .json(
                &format!("{film}/overlay"),
                &json!({"points": lateral_points()}),
            )
            .await
            .json();
        let row = answer["rows"]
            .as_array()
            .unwrap()
            .iter()
            .find(|r| r["measure"] == "calc_pitch")
            .unwrap()
            .clone();
        row["value"].as_str().unwrap().to_owned()
    };
    let before = error().await;
    for shift in [0.0, 4.0, -4.0, 3.0, -3.0, 2.0] {
        let mut points = lateral_points();
        points.get_mut("calc_plantar_tuber").unwrap()[1] += shift;
        let saved = practice
            .json(
                &format!("{film}/points"),
                &json!({"points": points, "finished": true}),
            )
            .await;
        assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    }
    assert_ne!(before, error().await);
}

#[tokio::test]
async fn the_table_of_numbers_saves_the_same_points_without_script() {
    let (practice, film) = at_a_film().await;
    let texts: Vec<(String, String)> = lateral_points()
        .iter()
        .flat_map(|(key, [x, y])| {
            [
                (format!("x-{key}"), x.to_string()),
                (format!("y-{key}"), y.to_string().replace('.', ",")),
            ]
        })
        .collect();
    let mut fields: Vec<(&str, &str)> = texts
        .iter()
        .map(|(k, v)| (k.as_str(), v.as_str()))
        .collect();
    fields.push(("act", "finish"));
    practice
        .form(&format!("{film}/points-table"), &fields)
        .await
        .place();
    let meta = practice.get(&format!("{film}/meta")).await.json();
    assert_eq!(meta["points"], json!(lateral_points()));
    let half = practice
        .form(
            &format!("{film}/points-table"),
            &[("x-calc_back", "70"), ("y-calc_back", "")],
        )
        .await;
    assert_eq!(half.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn turning_the_display_moves_no_point() {
    let (practice, film) = at_a_film().await;
    practice
        .json(
            &format!("{film}/points"),
            &json!({"points": lateral_points()}),
        )
        .await;
    let before = practice.get(&format!("{film}/meta")).await.json();
    let turned = practice
        .json(
            &format!("{film}/turn"),
            &json!({"quarter_turns": 1, "mirrored": true}),
        )
        .await;
    assert_eq!(turned.status, StatusCode::OK, "{}", turned.text());
    let after = practice.get(&format!("{film}/meta")).await.json();
    assert_eq!(before["points"], after["points"]);
    assert_eq!(after["turn"], json!({"quarter_turns": 1, "mirrored": true}));
    let wrong = practice
        .json(
            &format!("{film}/turn"),
            &json!({"quarter_turns": 7, "mirrored": false}),
        )
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn a_circle_is_proposed_with_its_centre_and_marks_on_a_line_give_a_sentence() {
    let (practice, film) = at_a_film().await;
    let rim = json!({"points": [[110.0, 100.0], [100.0, 110.0], [90.0, 100.0], [100.0, 90.0]]});
    let answer = practice.json(&format!("{film}/circle"), &rim).await.json();
    let centre = answer["points"]["point"].as_array().unwrap();
    assert!(
        (centre[0].as_f64().unwrap() - 100.0).abs() < 1e-6
            && (centre[1].as_f64().unwrap() - 100.0).abs() < 1e-6
    );
    let line = json!({"points": [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]});
    let refused = practice.json(&format!("{film}/circle"), &line).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.json()["error"]
            .as_str()
            .unwrap()
            .contains("no circle")
    );
}

#[tokio::test]
async fn wear_is_graded_per_joint_and_an_old_page_does_not_overwrite_a_newer_one() {
    let (practice, film) = at_a_film().await;
    let saved = practice
        .form(
            &format!("{film}/wear"),
            &[("revision", "0"), ("talonavicular", "2"), ("ankle", "")],
        )
        .await;
    assert!(saved.status.is_redirection());
    let page = practice.get(&film).await.text();
    assert!(page.contains("name=\"talonavicular\" value=\"2\" checked"));
    assert!(page.contains("name=\"ankle\" value=\"\" checked"));
    let stale = practice
        .form(
            &format!("{film}/wear"),
            &[("revision", "0"), ("talonavicular", "4")],
        )
        .await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    let wrong = practice
        .form(
            &format!("{film}/wear"),
            &[("revision", "1"), ("ankle", "5")],
        )
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
}

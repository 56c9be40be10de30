//! The pages with invented people and rendered films, for looking at them while they are worked on:
//! `cargo run -p web --example preview -- [PORT]`.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{Practice, QUIET_FOOT, SORE_FOOT};
use phantom::{
    FootSpec, Pose, build,
    expose::{Exposure, dicom::Paper, expose},
};
use serde_json::json;
use std::error::Error;
use terms::{Side, View};
use time::macros::datetime;

#[tokio::main]
async fn main() -> Result<(), Box<dyn Error>> {
    let port: u16 = std::env::args().nth(1).map_or(Ok(8123), |p| p.parse())?;
    let practice = Practice::started().await;
    seed(&practice).await?;
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", port)).await?;
    println!("http://127.0.0.1:{port}");
    axum::serve(listener, practice.app.clone()).await?;
    Ok(())
}

async fn seed(practice: &Practice) -> Result<(), Box<dyn Error>> {
    practice
        .form(
            "/practice/people",
            &[
                ("name", "Dr Ben Fiction"),
                ("qualification", "Orthopaedic surgeon"),
            ],
        )
        .await;
    let who = practice.store.clinicians().await?;
    // Nobody has to choose a name while pages are looked at.
    practice
        .form(
            "/practice/people",
            &[
                ("id", &who[1].id.to_string()),
                ("name", &who[1].name),
                ("left", "yes"),
            ],
        )
        .await;

    let anna = practice
        .add_patient("Anna", "Example", "A-1043", "1968-03-02", "female")
        .await;
    practice.days_back(371);
    let earlier = practice
        .start_visit(&anna, "Sore behind the left inner ankle since the summer")
        .await;
    practice
        .answer(
            &earlier,
            "left",
            &[
                ("pain_level", "4"),
                ("heel_rise_single", "able"),
                ("heel_rise_count", "9"),
            ],
        )
        .await;
    film(practice, &earlier, Side::Left, View::Lateral, 0.45, 1, true).await?;
    practice
        .form(
            &format!("{earlier}/decision/left"),
            &[("revision", "0"), ("chosen", "I"), ("reason", "")],
        )
        .await;
    practice
        .form(
            &format!("{earlier}/plan"),
            &[
                ("revision", "0"),
                ("worn_left", "Ankle boot with removable liner"),
                ("review_on", "2026-02-01"),
                ("words", "Boot for six weeks, then a support."),
            ],
        )
        .await;
    practice
        .form(&format!("{earlier}/state"), &[("state", "closed")])
        .await;

    practice.days_back(0);
    let now = practice
        .start_visit(
            &anna,
            "Worse since the spring; cannot stand on tiptoe on the left",
        )
        .await;
    practice.answer(&now, "left", SORE_FOOT).await;
    practice.answer(&now, "right", QUIET_FOOT).await;
    film(practice, &now, Side::Left, View::Lateral, 0.85, 2, true).await?;
    film(
        practice,
        &now,
        Side::Left,
        View::Dorsoplantar,
        0.85,
        3,
        true,
    )
    .await?;
    film(practice, &now, Side::Right, View::Lateral, 0.15, 4, true).await?;
    film(
        practice,
        &now,
        Side::Left,
        View::HindfootAlignment,
        0.85,
        5,
        false,
    )
    .await?;
    practice
        .form(
            &format!("{now}/letters"),
            &[
                ("kind", "to-referrer"),
                ("recipient", "Dr Charles Madeup\n1 Nowhere Lane"),
            ],
        )
        .await;

    let ben = practice
        .add_patient("Ben", "Sample", "A-1101", "2018-01-20", "male")
        .await;
    practice
        .start_visit(&ben, "Flat feet, parents worried; no pain")
        .await;
    let cora = practice
        .add_patient("Cora", "Specimen", "A-0871", "", "female")
        .await;
    practice.days_back(200);
    let old = practice.start_visit(&cora, "Support check").await;
    practice
        .form(
            &format!("{old}/plan"),
            &[
                ("revision", "0"),
                ("review_on", "2026-10-01"),
                ("words", "Back in autumn."),
            ],
        )
        .await;
    practice
        .form(&format!("{old}/state"), &[("state", "closed")])
        .await;
    practice.days_back(0);
    println!("{anna}\n{now}");
    for visit in practice
        .store
        .visits_on(datetime!(2026-11-24 00:00 UTC).date())
        .await?
    {
        for f in practice.store.films_of_visit(visit.0.id).await? {
            println!("/film/{} {:?} {:?}", f.id, f.view, f.side);
        }
    }
    Ok(())
}

/// A rendered film of a foot whose arch has come down so far; its true points are placed a little off.
async fn film(
    practice: &Practice,
    visit: &str,
    side: Side,
    view: View,
    collapse: f64,
    number: u64,
    read: bool,
) -> Result<(), Box<dyn Error>> {
    let spec = FootSpec {
        side,
        pose: Pose::arch_collapse(collapse),
        ..FootSpec::adult()
    };
    let film = expose(&build(&spec)?, &Exposure::usual(view))?;
    let mut paper = Paper::invented(datetime!(2026-11-24 08:10), number);
    paper.person.id = "A-1043".into();
    let at = practice
        .upload(visit, &film.dicom(&paper)?, "standing.dcm", &[])
        .await
        .place();
    let points: serde_json::Map<String, serde_json::Value> = film
        .landmarks_px
        .iter()
        .enumerate()
        .map(|(i, (key, p))| {
            let off = |k: usize| 3.0 * ((i * 7 + k * 3 + number as usize) as f64).sin();
            (key.to_string(), json!([p[0] + off(1), p[1] + off(2)]))
        })
        .collect();
    let answer = practice
        .json(
            &format!("{at}/points"),
            &json!({ "points": points, "finished": read }),
        )
        .await;
    println!(
        "{} {side:?} {}: {}",
        view.key(),
        answer.status,
        answer.text().chars().take(120).collect::<String>()
    );
    Ok(())
}

//! What a letter tells besides its visit: care given, the programme, legs measured for a brace.

use super::super::kept::KeptLetter;
use super::over_a_store::Practiced;
use axum::http::StatusCode;

async fn written(p: &Practiced, kind: &str) -> String {
    let address = format!("/visit/{}/letters", p.visit.id);
    let begun = p.post(&address, &format!("kind={kind}&recipient=A")).await;
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text());
    let record = p.letter(&begun.place).await;
    KeptLetter::of(&record).unwrap().document.text()
}

async fn given(p: &Practiced, form: &str) -> String {
    let address = format!("/patient/{}/care", p.visit.patient);
    let kept = p.post(&address, form).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    kept.place.split("#c-").nth(1).unwrap().to_owned()
}

#[tokio::test]
async fn exercises_go_home_as_they_were_prescribed_and_to_the_therapist_with_what_was_tried() {
    let p = Practiced::new().await;
    assert!(
        written(&p, "home-sheet")
            .await
            .contains("No exercises are written down.")
    );
    let boot = "kind=boot&side=left&began=2026-09-01&ended=2026-10-10&q.boot_kind=walking_boot";
    given(&p, boot).await;
    let programme = given(
        &p,
        "kind=therapy&side=left&began=2026-10-12&q.therapy_phase=build&q.therapy_band_sets=2\
         &q.therapy_band_repetitions=12&q.therapy_band_times=1&q.therapy_pain_limit=3",
    )
    .await;
    let check = format!("kind=check&about={programme}&began=2026-11-01&q.check_rises=7");
    given(&p, &check).await;
    let home = written(&p, "home-sheet").await;
    for said in [
        "Turn the foot in and down against a band, left foot",
        "2 rounds of 12, once a day.",
        "up to 3 of 10",
    ] {
        assert!(home.contains(said), "{said}: {home}");
    }
    assert!(
        !home.contains("15") && !home.contains("Stretch the calf"),
        "{home}"
    );
    let therapist = written(&p, "to-therapist").await;
    for said in [
        "Walking boot, left | 1 September 2026 | 10 October 2026 | not recorded",
        "| goes on | Checked on 1 November 2026: single heel rises: 7 rises",
    ] {
        assert!(therapist.contains(said), "{said}: {therapist}");
    }
    // What was begun after the visit is not told in its letters.
    given(
        &p,
        "kind=wrap&side=left&began=2026-11-24&q.wrap_kind=zinc_paste",
    )
    .await;
    let after = written(&p, "to-therapist").await;
    let told = p.visit.on >= time::macros::date!(2026 - 11 - 24);
    assert_eq!(after.contains("Zinc-paste wrap, left"), told, "{after}");
}

#[tokio::test]
async fn an_order_for_the_lab_carries_the_leg_that_was_measured_and_no_other() {
    let p = Practiced::new().await;
    let bare = written(&p, "to-lab").await;
    assert!(bare.contains("No leg is measured"), "{bare}");
    let address = format!("/visit/{}/exam/left-leg", p.visit.id);
    let form = "revision=0&q.girth_ankle=231&q.height_ankle=95&q.relief_from_heel=105\
                &q.relief_above_floor=28&q.relief_length=26&q.relief_height=18";
    let kept = p.post(&address, form).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let order = written(&p, "to-lab").await;
    for said in [
        "Looked at | Left\n",
        "Round the ankle | 231 mm",
        "leave free: 26 mm long, 18 mm high; 105 mm from the heel, 28 mm up",
        "one hour on the first day",
    ] {
        assert!(order.contains(said), "{said}: {order}");
    }
    // The page of the leg leads to its order, with the kind chosen.
    let leg = p
        .get(&format!("/visit/{}/leg/left", p.visit.id))
        .await
        .text();
    let there = format!("/visit/{}/letters/new?kind=to-lab", p.visit.id);
    assert!(leg.contains(&there), "{leg}");
    let begin = p.get(&there).await.text();
    assert!(begin.contains("value=\"to-lab\" selected"), "{begin}");
}

#[tokio::test]
async fn a_new_programme_can_take_the_protocol_s_amounts_and_a_check_asks_what_belongs_to_it() {
    let p = Practiced::new().await;
    let address = format!(
        "/patient/{}/care/new?kind=therapy&side=left",
        p.visit.patient
    );
    let empty = p.get(&address).await.text();
    assert!(empty.contains("amounts=usual") && !empty.contains("value=\"15\""));
    let filled = p.get(&format!("{address}&amounts=usual")).await.text();
    assert!(filled.contains("value=\"15\"") && filled.contains("value=\"30\""));
    let programme = given(&p, "kind=therapy&side=left&began=2026-10-12").await;
    let check = format!(
        "/patient/{}/care/new?kind=check&about={programme}",
        p.visit.patient
    );
    let asked = p.get(&check).await.text();
    assert!(
        asked.contains("q.check_settled") && !asked.contains("q.check_hours"),
        "{asked}"
    );
}

#[tokio::test]
async fn a_brace_has_a_sheet_for_getting_used_to_it_and_a_shoe_has_none() {
    let p = Practiced::new().await;
    for (device, there) in [("gauntlet", true), ("hinged_afo", true), ("shoe", false)] {
        let form = format!("kind=device&side=left&began=2026-10-12&q.device_kind={device}");
        let id = given(&p, &form).await;
        for (query, wanted) in [
            ("", there),
            ("?language=es", there),
            ("?language=xx", false),
        ] {
            let sheet = p.get(&format!("/care/{id}/break-in.pdf{query}")).await;
            assert_eq!(sheet.status == StatusCode::OK, wanted, "{device} {query}");
            assert_eq!(sheet.bytes.starts_with(b"%PDF"), wanted, "{device} {query}");
        }
        let page = p
            .get(&format!("/patient/{}/care", p.visit.patient))
            .await
            .text();
        assert_eq!(
            page.contains(&format!("/care/{id}/break-in.pdf")),
            there,
            "{device}"
        );
    }
}

//! The web services as pure functions: what is asked, what is answered, and what is refused.

mod common;

use common::film_file;
use dicom_dictionary_std::tags;
use exchange_dicom::send::multipart::{body, boundary, parts};
use exchange_dicom::send::web::{
    Level, MOST_ANSWERS, Outcome, Query, WebError, described, json, paper, stow, stowed,
};
use exchange_dicom::tree::Limits;
use serde_json::Value;
use time::macros::date;

fn found(query: &str) -> Option<Value> {
    let query = Query::read(query).unwrap();
    let answer = described(&film_file(1), Level::Instances, &query).unwrap()?;
    let text = json(&[answer]).unwrap();
    Some(serde_json::from_slice::<Value>(&text).unwrap()[0].clone())
}

#[test]
fn a_film_is_found_by_number_study_day_and_modality_and_not_by_others() {
    for query in [
        "",
        "PatientID=T-0042",
        "00100020=T%2D0042&Modality=DX",
        "StudyInstanceUID=2.25.1",
        "StudyDate=20260517",
        "StudyDate=20260501-20260531",
        "StudyDate=-20260517",
        "StudyDate=20260517-",
        "AccessionNumber=A1&limit=5&offset=0",
        "ModalitiesInStudy=DX",
        "PatientID=",
    ] {
        assert!(found(query).is_some(), "{query}");
    }
    for query in [
        "PatientID=T-0043",
        "PatientID=T-*",
        "StudyInstanceUID=2.25.2",
        "StudyDate=20260518-",
        "Modality=CR",
    ] {
        assert!(found(query).is_none(), "{query}");
    }
}

#[test]
fn an_answer_is_dicom_json_with_what_was_asked_for_and_nothing_of_the_picture() {
    let answer = found("includefield=BodyPartExamined,00181164").unwrap();
    assert_eq!(answer["00100020"]["Value"][0], "T-0042");
    assert_eq!(
        answer["00100010"]["Value"][0]["Alphabetic"],
        "Invented^Person"
    );
    assert_eq!(answer["00180015"]["Value"][0], "FOOT");
    assert_eq!(answer["00181164"]["vr"], "DS");
    assert_eq!(answer["00280010"]["Value"][0], 48);
    assert_eq!(answer["7FE00010"], Value::Null);
    assert_eq!(found("").unwrap()["00180015"], Value::Null);
    let all = found("includefield=all").unwrap();
    assert_eq!(
        all["00181164"]["Value"][0].to_string().trim_matches('"'),
        "0.15"
    );
    assert_eq!(all["7FE00010"], Value::Null);
}

#[test]
fn a_query_that_is_none_is_refused_with_what_is_expected_and_without_its_value() {
    let bad = [
        "PatientName=Secret",
        "limit=-1",
        "limit=1e9",
        "offset=x",
        "StudyDate=2026",
        "StudyDate=-",
        "StudyInstanceUID=../x",
        "StudyInstanceUID=1.2,1.3",
        "includefield=Secret",
        "PatientID=%zz",
        "PatientID=%ff",
        "fuzzymatching=true",
        "PatientID=a%0d%0aSecret",
    ];
    for query in bad {
        let error = Query::read(query).unwrap_err();
        assert_eq!(error.status(), 400, "{query}");
        assert!(!error.to_string().contains("Secret"), "{error}");
    }
    assert!(matches!(
        Query::read(&"a=b&".repeat(5000)),
        Err(WebError::TooMuch { .. })
    ));
    let many = "limit=1&".repeat(40);
    assert!(matches!(Query::read(&many), Err(WebError::TooMuch { .. })));
}

#[test]
fn limit_and_offset_cut_the_answers_and_never_ask_for_more_than_a_thousand() {
    let query = Query::read("limit=3&offset=2").unwrap();
    assert_eq!(query.page(0..10), [2, 3, 4]);
    let query = Query::read("limit=999999").unwrap();
    assert_eq!(query.page(0..5000).len(), MOST_ANSWERS);
    assert_eq!(query.study_date, (None, None));
    let one = Query::read("StudyDate=20260517").unwrap().study_date;
    assert_eq!(
        one,
        (Some(date!(2026 - 05 - 17)), Some(date!(2026 - 05 - 17)))
    );
}

#[test]
fn objects_sent_in_one_body_come_out_whole_and_broken_ones_are_named() {
    let (first, second) = (film_file(1), film_file(2));
    let (content_type, bytes) = body("b-7f", &[&first, b"rubbish", &second]).unwrap();
    let stored = stow(&content_type, &bytes, &Limits::default()).unwrap();
    assert_eq!(stored.objects.len(), 2);
    assert_eq!(stored.refused.len(), 1);
    assert_eq!(stored.objects[1].file, second);
    assert_eq!(stored.refused[0].named, None);
    // Of a kind that is not taken, but an object: the answer can name it.
    let report = common::sheet::all(&first).remove(0).1;
    let (content_type, bytes) = body("b-7f", &[&report.file]).unwrap();
    let other = stow(&content_type, &bytes, &Limits::default()).unwrap();
    let named = (report.class_uid, report.instance_uid);
    assert_eq!(other.refused[0].named, Some(named));

    let outcomes: Vec<Outcome<'_>> = stored
        .objects
        .iter()
        .zip([None, Some(0xA700)])
        .map(|(o, failed)| Outcome {
            sop_class: &o.sop_class,
            sop_instance: &o.sop_instance,
            failed,
        })
        .collect();
    let (status, answer) = stowed(&outcomes, stored.refused.len()).unwrap();
    assert_eq!(status, 202);
    let answer: Value = serde_json::from_slice(&answer).unwrap();
    assert_eq!(answer["00081199"]["Value"].as_array().unwrap().len(), 1);
    let failed = answer["00081198"]["Value"].as_array().unwrap();
    assert_eq!(failed[0]["00081197"]["Value"][0], 0xA700);
    assert_eq!(failed[1]["00081197"]["Value"][0], 0xC000);
    assert_eq!(stowed(&outcomes[..1], 0).unwrap().0, 200);
    assert_eq!(stowed(&outcomes[1..], 0).unwrap().0, 409);
}

#[test]
fn a_body_of_another_kind_is_refused() {
    let film = film_file(1);
    let (_, bytes) = body("b", &[&film]).unwrap();
    let kind = "multipart/related; type=\"application/dicom+json\"; boundary=b";
    assert_eq!(
        stow(kind, &bytes, &Limits::default())
            .err()
            .map(|e| e.status()),
        Some(415)
    );
}

#[test]
fn whole_objects_go_out_in_one_body_and_a_letter_also_as_its_paper() {
    let film = film_file(1);
    let (content_type, bytes) = body("b", &[&film]).unwrap();
    let back = parts(&boundary(&content_type).unwrap(), &bytes).unwrap();
    assert_eq!(back[0].bytes, film);
    let letter = common::sheet::all(&film).remove(3).1.file;
    assert_eq!(
        paper(&letter).unwrap().as_deref(),
        Some(common::sheet::PAPER)
    );
    assert_eq!(paper(&film), Ok(None));
    let _ = tags::PATIENT_ID;
}

//! A chart read back through its kept payloads.

use exchange::invented::invented;
use exchange::{Opened, Origin};
use record::Kept;
use serde_json::json;

#[test]
fn a_rich_chart_reads_back_whole() {
    for person in 0..8 {
        let made = invented(person);
        let opened = Opened::of(&made.chart);
        assert_eq!(opened.unreadable, [], "person {person}");
        assert!(opened.sheets.iter().all(|s| s.unreadable == 0));
        assert!(opened.readings().count() > 20);
        assert!(opened.care.iter().all(|(_, entry)| entry.is_some()));
        for file in made.chart.files() {
            assert!(made.files.contains_key(&file.content), "{}", file.what);
        }
        assert_eq!(made.chart.files().len(), made.files.len());
    }
}

#[test]
fn the_same_number_makes_the_same_chart_and_another_number_another_person() {
    assert_eq!(invented(3).chart, invented(3).chart);
    assert_ne!(invented(3).chart.patient.id, invented(4).chart.patient.id);
}

#[test]
fn what_a_newer_program_wrote_is_named_and_left_out_and_the_rest_stays() {
    let mut chart = invented(1).chart;
    chart.plans[0].plan.version = 99;
    chart.exams[0].exam = Kept {
        format: "another".into(),
        version: 1,
        body: json!("a name that must not be told"),
    };
    let opened = Opened::of(&chart);
    assert_eq!(opened.unreadable.len(), 2);
    let said = format!("{:?}", opened.unreadable);
    assert!(!said.contains("a name that must not be told"), "{said}");
    assert_eq!(opened.plans.len(), chart.plans.len() - 1);
}

#[test]
fn a_reading_without_a_number_or_with_a_negative_error_is_counted_and_left_out() {
    let mut chart = invented(1).chart;
    let before = Opened::of(&chart).readings().count();
    chart.points[0].sheet.body["readings"][0]["estimate"]["value"] = json!(null);
    chart.steps[0].readings.body["readings"][0]["estimate"]["standard_error"] = json!(-1.0);
    let opened = Opened::of(&chart);
    assert_eq!(opened.readings().count(), before - 2);
    let lost: usize = opened.sheets.iter().map(|s| s.unreadable).sum();
    assert_eq!(lost, 2);
}

#[test]
fn the_last_finished_placing_stands_for_its_film() {
    let chart = invented(1).chart;
    let opened = Opened::of(&chart);
    for film in &chart.films {
        let standing: Vec<_> = opened
            .sheets
            .iter()
            .filter(|s| s.stands && matches!(s.origin, Origin::Film(f, _) if f.id == film.id))
            .collect();
        assert_eq!(standing.len(), 1);
        assert!(standing[0].origin.finished());
    }
}

#[test]
fn readings_of_a_newer_version_are_counted_and_left_out() {
    let mut chart = invented(1).chart;
    let before = Opened::of(&chart).readings().count();
    chart.points[0].sheet.version = 2;
    chart.steps[0].readings.version = 2;
    let opened = Opened::of(&chart);
    let lost: usize = opened.sheets.iter().map(|s| s.unreadable).sum();
    assert!(lost > 5);
    assert_eq!(opened.readings().count(), before - lost);
}

//! Letters as the clinician meets them: an invented visit, drafted, changed, signed, added to.

use super::asked::Asked;
use super::draft::{Writing, composed};
use super::films::PaperFilm;
use super::kept::KeptLetter;
use super::list::{LetterLine, LettersPage};
use super::page::{LetterPage, State};
use super::preview::Preview;
use crate::adapt::person::{PersonSheet, person_on};
use crate::adapt::plan::KeptPlan;
use crate::assets::Assets;
use crate::layout::{Shell, Theme};
use crate::visit::gather::{Gathered, VisitFoot, fill_in_person};
use askama::Template;
use care::CareInput;
use exam::Examination;
use knowledge::{Knowledge, yardstick::Person};
use letter::{Block, Document, Notice, ReadingRow};
use reading::{FilmFacts, PlacedPoint, PointSet, read_all};
use record::{
    Clinician, ClinicianId, ContentHash, DecisionRecord, DisplayTurn, FilmId, FilmRecord, Kept,
    LetterId, LetterKind, LetterRecord, LetterState, Patient, PatientId, Practice, Visit, VisitId,
    VisitState,
};
use stage::StageInput;
use std::sync::Arc;
use terms::{LandmarkKey, Side, Stance, View};
use time::macros::{date, datetime};
use uuid::Uuid;

/// One of every kind of block.
pub fn document() -> Document {
    let text = |s: &str| s.to_owned();
    Document {
        title: text("Findings of an invented visit"),
        language: text("en"),
        practice: vec![text("Invented Practice"), text("1 Example Lane")],
        recipient: vec![text("Dr A. Example"), text("2 Example Lane")],
        date: text("24 November 2026"),
        head: vec![(text("Patient"), text("Invented Person"))],
        blocks: vec![
            Block::Heading {
                text: text("Story"),
            },
            Block::Paragraph {
                text: text("A woman of 58 years.\nIt crept in."),
            },
            Block::Heading {
                text: text("Examination"),
            },
            Block::Table {
                caption: text("Only what was recorded"),
                header: vec![text("Looked at"), text("Left"), text("Right")],
                rows: vec![
                    vec![text("Standing")],
                    vec![text("Heel line"), text("outwards"), text("not looked at")],
                ],
            },
            Block::List {
                items: vec![text("First item"), text("Second item")],
            },
            Block::Notice {
                notice: Notice::Caution,
                title: text("Before anything is done"),
                lines: vec![text("The clinician decides.")],
            },
            Block::Pairs {
                caption: text("Asked and answered"),
                header: (text("About"), text("Answer")),
                rows: vec![(text("Fever"), text("no"))],
            },
            Block::Readings {
                caption: text("Lateral foot, left"),
                rows: vec![ReadingRow {
                    name: text("Pitch of the heel bone"),
                    value: text("14.2° ± 1.8°"),
                    sign: text("plus is up"),
                    place: text("outside"),
                    yardstick: text("20.9 ± 3.4"),
                    strip_svg: figure::svg::Svg::new(100.0, 20.0, "strip", "a strip").finish(),
                }],
            },
            Block::Figure {
                picture: text("film-1.png"),
                alt: text("Film, lateral foot, left side"),
                caption: text("Points and lines as placed."),
                width_percent: 62.0,
            },
            super::kept::unsigned(
                letter::Words::english(),
                vec![text("Ann Invented"), text("Invented Practice")],
            ),
            Block::Small {
                text: text("[1] A source."),
            },
        ],
        foot: text("The clinician decides."),
        draft: true,
        compact: false,
    }
}

pub fn draft_record(kept: &KeptLetter) -> LetterRecord {
    LetterRecord {
        id: LetterId::new(Uuid::from_u128(7)),
        visit: VisitId::new(Uuid::from_u128(2)),
        kind: LetterKind::ToReferrer,
        title: "Letter to the referring doctor".into(),
        facts: kept.facts().unwrap(),
        addendum_to: None,
        drafted_at: datetime!(2026-11-24 12:00 UTC),
        revision: 3,
        state: LetterState::Draft,
    }
}

pub fn film_record() -> FilmRecord {
    FilmRecord {
        id: FilmId::new(Uuid::from_u128(5)),
        patient: PatientId::new(Uuid::from_u128(1)),
        visit: VisitId::new(Uuid::from_u128(2)),
        view: None,
        side: None,
        stance: Stance::Standing,
        worn: None,
        taken_on: None,
        file_name: "film.png".into(),
        content: ContentHash::of(b"film"),
        media_type: "image/png".into(),
        width_px: 3000,
        height_px: 2400,
        scale_wish: None,
        scale_answer: None,
        turn: DisplayTurn::default(),
        note: String::new(),
    }
}

/// The heel bone's two points, so that its pitch is read.
fn points(side: Side, unit_px: f64) -> PointSet {
    let mut set = PointSet::new(View::Lateral, Some(side));
    for (key, x, y) in [
        ("calc_plantar_tuber", 10.0, 20.0),
        ("calc_plantar_front", 16.0, 19.0),
    ] {
        let key = LandmarkKey::new(key).unwrap();
        set.points
            .insert(key, PlacedPoint::at(x * unit_px, y * unit_px));
    }
    set
}

/// A lateral film of which the pitch of the heel bone was read.
pub fn read_film(side: Side) -> PaperFilm {
    let facts = FilmFacts {
        stance: Stance::Standing,
        ..FilmFacts::of_size(3000, 2400)
    };
    let sheet = read_all(Knowledge::built_in(), &points(side, 100.0), &facts);
    assert_eq!(sheet.readings.len(), 1, "the heel's pitch");
    PaperFilm {
        title: format!("Lateral foot, {}", side.word()),
        side: Some(side),
        taken_on: Some("24 November 2026".into()),
        scale: None,
        person: Person {
            age_years: Some(58.0),
            sex: None,
        },
        sheet,
        picture: None,
    }
}

pub fn not_standing(mut film: PaperFilm) -> PaperFilm {
    film.sheet.stance = Stance::NotStanding;
    film
}

fn invented_patient() -> Patient {
    Patient {
        id: PatientId::new(Uuid::from_u128(1)),
        chart_number: "A-1".into(),
        given_name: "Invented".into(),
        family_name: "Person".into(),
        born_on: Some(date!(1968 - 03 - 02)),
        sex: Some(terms::Sex::Female),
        note: String::new(),
    }
}

/// A visit on which `answers` were recorded of the left foot, and nothing else.
fn invented_visit(answers: &[(&str, &str)]) -> Gathered {
    let patient = invented_patient();
    let visit = Visit {
        id: VisitId::new(Uuid::from_u128(2)),
        patient: patient.id,
        on: date!(2026 - 11 - 24),
        reason: String::new(),
        state: VisitState::Open,
    };
    let mut sheet = PersonSheet::default();
    fill_in_person(&mut sheet, &patient, &visit);
    let feet = Side::BOTH.map(|side| {
        let mut exam = Examination::new();
        for (key, answer) in answers.iter().filter(|_| side == Side::Left) {
            exam.set(key, answer).unwrap();
        }
        let report = stage::stage(&StageInput {
            knowledge: Knowledge::built_in(),
            person: &sheet.story,
            side,
            exam: &exam,
            sheets: &[],
            flags: &sheet.flags,
        });
        let asked = CareInput {
            person: &sheet.story,
            exam: &exam,
            flags: &sheet.flags,
        };
        let proposal = care::propose(&report, &asked);
        VisitFoot {
            side,
            exam,
            revision: 0,
            report,
            proposal,
            decision: None,
        }
    });
    Gathered {
        person: person_on(&patient, visit.on),
        kept_plan: KeptPlan::default(),
        visit,
        patient,
        sheet,
        sheet_revision: 0,
        feet,
        films: Vec::new(),
        plan: None,
    }
}

const DEMO: &str = "Demo: every person and every number here is invented.";

fn write(visit: &Gathered, films: &[PaperFilm], kind: LetterKind, demo: bool) -> Document {
    write_in(
        letter::Words::english(),
        visit,
        films,
        kind,
        demo,
        &Asked::default(),
    )
}

fn write_in(
    words: &letter::Words,
    visit: &Gathered,
    films: &[PaperFilm],
    kind: LetterKind,
    demo: bool,
    asked: &Asked,
) -> Document {
    let practice = Practice {
        name: "Invented Practice".into(),
        address: vec!["1 Example Lane".into()],
        telephone: None,
        demo,
    };
    let clinician = Clinician {
        id: ClinicianId::new(Uuid::from_u128(3)),
        name: "Ann Invented".into(),
        qualification: String::new(),
        active: true,
    };
    composed(&Writing {
        knowledge: Knowledge::built_in(),
        practice: &practice,
        clinician: &clinician,
        today: date!(2026 - 11 - 25),
        visit,
        films,
        kind,
        words,
        recipient: &["Dr A. Example".to_owned()],
        asked,
        beside: &super::beside::Beside::default(),
    })
    .document
}

fn examined(document: &Document) -> Vec<Vec<String>> {
    let tables = document.blocks.iter().filter_map(|b| match b {
        Block::Table { header, rows, .. } if header[0] == "Looked at" => Some(rows.clone()),
        _ => None,
    });
    tables.flatten().filter(|row| row.len() > 1).collect()
}

#[test]
fn a_visit_on_which_nothing_was_recorded_gives_a_letter_that_finds_nothing() {
    let letter = write(&invented_visit(&[]), &[], LetterKind::ToReferrer, false);
    assert!(examined(&letter).is_empty());
    let text = letter.text();
    for said in [
        "No finding is recorded.",
        "No film was read at this visit.",
        "not signed",
    ] {
        assert!(text.contains(said), "{said}");
    }
    assert!(!text.contains("Decision:") && !text.contains("Next visit:"));
    assert!(!text.contains("Stage decided on"));
}

#[test]
fn a_letter_tells_the_one_finding_that_was_recorded_and_no_other() {
    let visit = invented_visit(&[("heel_rise_single", "unable")]);
    let letter = write(&visit, &[], LetterKind::ToReferrer, false);
    let rows = examined(&letter);
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert_eq!(
        rows[0][0],
        exam::question("heel_rise_single").unwrap().words
    );
    assert_eq!(rows[0][2], "not looked at");
}

#[test]
fn a_letter_tells_readings_of_the_films_it_was_given_and_no_others() {
    let film = read_film(Side::Left);
    let letter = write(&invented_visit(&[]), &[film], LetterKind::ToReferrer, false);
    let readings = letter.blocks.iter().filter_map(|b| match b {
        Block::Readings { rows, .. } => Some(rows.len()),
        _ => None,
    });
    assert_eq!(readings.sum::<usize>(), 1);
}

#[test]
fn the_plan_is_told_in_the_words_of_the_clinician_and_a_stage_to_doctors_only() {
    let mut visit = invented_visit(&[]);
    visit.kept_plan.words = "Wear it daily".into();
    visit.kept_plan.worn_left = "a firm insole".into();
    visit.feet[0].decision = Some(DecisionRecord {
        visit: visit.visit.id,
        side: Side::Left,
        report: Kept::of("report", 1, &()).unwrap(),
        chosen: Some("IIA".into()),
        overruled_reason: None,
        revision: 1,
        saved_at: datetime!(2026-11-24 12:00 UTC),
    });
    let doctor = write(&visit, &[], LetterKind::ToReferrer, false).text();
    let patient = write(&visit, &[], LetterKind::ToPatient, false).text();
    for said in [
        "Wear it daily.",
        "Worn on the left foot until the next visit: a firm insole.",
    ] {
        assert!(doctor.contains(said) && patient.contains(said), "{said}");
    }
    assert!(doctor.contains("Stage decided on for the left foot: IIA."));
    assert!(
        patient.contains("the heel has moved outwards, and it can still be brought back"),
        "{patient}"
    );
    assert!(!patient.contains("Stage decided on"));
}

#[test]
fn a_letter_of_invented_data_says_so_at_its_head_and_on_every_page() {
    let letter = write(&invented_visit(&[]), &[], LetterKind::ToPatient, true);
    assert!(letter.practice.iter().any(|l| l == DEMO));
    assert!(letter.foot.starts_with(DEMO));
    let real = write(&invented_visit(&[]), &[], LetterKind::ToPatient, false);
    assert!(!real.text().contains("invented."));
}

#[test]
fn what_a_person_says_never_becomes_markup_in_the_letter_shown() {
    let bad = "<script>alert(1)</script> & \"quoted\"";
    let mut visit = invented_visit(&[]);
    visit.sheet.story.set("complaint", bad).unwrap();
    visit.patient.family_name = bad.into();
    visit.kept_plan.words = bad.into();
    for kind in [LetterKind::ToReferrer, LetterKind::ToPatient] {
        let letter = write(&visit, &[], kind, false);
        assert!(letter.text().contains("<script>"), "kept word for word");
        let html = Preview {
            document: &letter,
            letter: "7",
        }
        .render()
        .unwrap();
        assert!(!html.contains("<script"), "{html}");
        assert!(html.contains("alert(1)"));
    }
}

fn shell(title: &str) -> Shell {
    Shell::bare(title, Theme::System, Arc::new(Assets::found()))
}

fn letter_page(state: State) -> LetterPage {
    let document = document();
    LetterPage {
        may_send: false,
        shell: shell("A letter"),
        id: "7".into(),
        title: "Letter to the referring doctor".into(),
        visit: "2".into(),
        visit_day: "24 November 2026".into(),
        patient: "1".into(),
        name: "Invented \"<b>Person".into(),
        state,
        note: Some("The draft is saved."),
        problem: None,
        revision: 4,
        fields: super::edit::fields(&Document {
            recipient: vec!["</textarea><script>alert(1)</script>".into()],
            ..document.clone()
        }),
        document,
        adds_to: None,
        addenda: vec![("9".into(), "Addendum, draft".into())],
    }
}

#[test]
fn a_draft_can_be_changed_and_signed_and_a_signed_letter_only_added_to() {
    let draft = letter_page(State::Draft {
        since: "today".into(),
    })
    .render()
    .unwrap();
    for part in [
        "name=\"revision\" value=\"4\"",
        "value=\"sign\"",
        "/letter/7/again",
        "/letter/7/away",
        "/letter/7/pdf",
        "/letter/9",
    ] {
        assert!(draft.contains(part), "{part}");
    }
    assert!(!draft.contains("/letter/7/addendum"));
    assert_eq!(
        draft.matches("<textarea").count(),
        draft.matches("</textarea>").count()
    );
    assert!(!draft.contains("<script>alert") && !draft.contains("<b>Person"));
    let signed = |holds| State::Signed {
        when: "24 November 2026, 12:00".into(),
        who: "Ann Invented".into(),
        seal: "0123456789ab".into(),
        holds,
    };
    let away = letter_page(State::TakenAway {
        when: "24 November 2026, 12:00".into(),
        who: "Ann Invented".into(),
    })
    .render()
    .unwrap();
    assert!(away.contains("/letter/7/back") && away.contains("Ann Invented took this draft away"));
    assert!(!away.contains("<textarea") && !away.contains("/letter/7/away"));
    let whole = letter_page(signed(true)).render().unwrap();
    assert!(!whole.contains("/letter/7/away"));
    assert!(whole.contains("/letter/7/addendum") && whole.contains("0123456789ab"));
    assert!(!whole.contains("<textarea") && !whole.contains("seal does not hold"));
    let broken = letter_page(signed(false)).render().unwrap();
    assert!(broken.contains("The seal does not hold."));
}

/// A draft's page after a form that came too late, with hostile words in it.
fn late_page(state: State) -> String {
    let mut page = letter_page(state);
    let typed = "</textarea><script>alert(2)</script>\nTyped";
    let story = page.fields[2].name.clone();
    page.fields = super::edit::fields_with_typed(
        &page.document,
        &[(story, typed.to_owned()), ("own".into(), "My own".into())].into(),
    );
    page.problem = Some("Found <b>this</b>.".into());
    page.render().unwrap()
}

#[test]
fn words_that_came_too_late_stand_beside_the_kept_ones_in_every_state_of_the_letter() {
    let draft = late_page(State::Draft {
        since: "today".into(),
    });
    for part in [
        "role=\"alert\"",
        "<strong>Story: paragraph 1, as it is kept now</strong></p><p>A woman of 58 years.<br>It crept in.</p>",
        "Story: paragraph 1, as you typed it</label>",
        "Typed</textarea>",
        "My own</textarea>",
        "<details open><summary>Change the words</summary>",
        "name=\"revision\" value=\"4\"",
    ] {
        assert!(draft.contains(part), "{part}: {draft}");
    }
    assert_eq!(draft.matches("as it is kept now</strong>").count(), 1);
    let away = late_page(State::TakenAway {
        when: "now".into(),
        who: "Ann".into(),
    });
    let signed = late_page(State::Signed {
        when: "now".into(),
        who: "Ann".into(),
        seal: "01".into(),
        holds: true,
    });
    for page in [&away, &signed] {
        assert!(page.contains("Typed</textarea>") && page.contains("My own</textarea>"));
        assert!(page.contains("It crept in.") && !page.contains("value=\"sign\""));
    }
    for page in [draft, away, signed] {
        assert!(
            !page.contains("<script>alert") && !page.contains("<b>this"),
            "{page}"
        );
    }
}

#[test]
fn every_field_of_the_form_has_a_label() {
    let html = letter_page(State::Draft {
        since: "today".into(),
    })
    .render()
    .unwrap();
    assert!(html.matches("<textarea id=\"").count() > 3);
    for start in ["<textarea id=\"", "<input type=\"text\" id=\""] {
        for field in html.split(start).skip(1) {
            let id = field.split('"').next().unwrap();
            assert!(html.contains(&format!("<label for=\"{id}\">")), "{id}");
        }
    }
}

#[test]
fn the_list_of_letters_tells_what_waits_and_what_was_signed() {
    let line = || LetterLine {
        id: "7".into(),
        title: "Letter <to> the patient".into(),
        patient: "1".into(),
        name: "Person, Invented".into(),
        visit: "2".into(),
        visit_day: "24 Nov 2026".into(),
        when: "24 November 2026, 12:00".into(),
        revision: 3,
    };
    let page = |waiting, signed| LettersPage {
        shell: shell("Letters"),
        waiting,
        signed,
        taken_away: Vec::new(),
        just_away: None,
    };
    let empty = page(Vec::new(), Vec::new()).render().unwrap();
    assert!(!empty.contains("Taken away"));
    assert!(empty.contains("No draft waits.") && empty.contains("No letter was signed yet."));
    let full = page(vec![line()], vec![line()]).render().unwrap();
    assert_eq!(full.matches("href=\"/letter/7\"").count(), 2);
    assert_eq!(
        full.matches("action=\"/letter/7/away\"").count(),
        1,
        "only the draft"
    );
    let mut away = page(Vec::new(), Vec::new());
    (away.taken_away, away.just_away) = (vec![line()], Some(line()));
    let away = away.render().unwrap();
    assert_eq!(away.matches("action=\"/letter/7/back\"").count(), 2);
    assert!(!full.contains("<to>") && !away.contains("<to>"));
}

mod beside_a_visit;
mod over_a_store;

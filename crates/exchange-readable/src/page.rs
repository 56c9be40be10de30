//! What does the page say? Everything of the chart in plain words, the newest visit first.

use crate::folder::{Exported, ExportedFile, FileState};
use crate::html::{Page, escaped, link};
use exam::{Answer, Kind, Question};
use exchange::taken::SheetFacts;
use exchange::{Opened, Origin, measure};
use knowledge::{Knowledge, Person};
use quantity::written;
use reading::against;
use record::{ClinicianId, ContentHash, LetterState, Visit, VisitState};
use terms::{Sex, Side, sentence};

/// The whole page.
pub fn page(opened: &Opened<'_>, exported: &Exported) -> String {
    let chart = opened.chart;
    let mut page = Page::default();
    let name = format!("{} {}", chart.patient.given_name, chart.patient.family_name);
    let title = format!("Record of {}", name.trim());
    page.heading(1, "top", &title);
    let mut nav = vec![
        ("person".to_owned(), "Person".to_owned()),
        ("folder".to_owned(), "What is in this folder".to_owned()),
    ];
    page.section("person", |p| person(p, opened));
    page.section("folder", |p| folder(p, opened, exported));
    for visit in opened.visits.iter().rev() {
        let id = format!("visit-{}", visit.id);
        nav.push((id.clone(), format!("Visit of {}", visit.on)));
        page.section(&id, |p| one_visit(p, opened, exported, visit, &id));
    }
    nav.push(("care".into(), "Care given".into()));
    page.section("care", |p| care(p, opened));
    nav.push(("acts".into(), "Who did what".into()));
    page.section("acts", |p| acts(p, opened));
    page.finished(&title, &nav)
}

fn person(p: &mut Page, opened: &Opened<'_>) {
    let (chart, patient) = (opened.chart, &opened.chart.patient);
    p.heading(2, "person", "Person");
    if chart
        .practice
        .as_ref()
        .is_some_and(|practice| practice.demo)
    {
        p.paragraph("Everything here is invented: these are the data of a demonstration.");
    }
    let row = |head: &str, words: &str| vec![escaped(head), escaped(words)];
    let mut rows = vec![row("Chart number", &patient.chart_number)];
    let missing = "not recorded".to_owned();
    rows.push(row(
        "Born on",
        &patient.born_on.map_or(missing.clone(), |d| d.to_string()),
    ));
    let sex = patient.sex.map(|s| match s {
        Sex::Female => "female".to_owned(),
        Sex::Male => "male".to_owned(),
    });
    rows.push(row("Sex", &sex.unwrap_or(missing)));
    if !patient.note.trim().is_empty() {
        rows.push(row("Note", &patient.note));
    }
    if let Some(practice) = &chart.practice {
        rows.push(row(
            "Practice",
            &format!("{}, {}", practice.name, practice.address.join(", ")),
        ));
    }
    p.table("Who this is about", &["What", "Recorded"], &rows);
}

fn folder(p: &mut Page, opened: &Opened<'_>, exported: &Exported) {
    p.heading(2, "folder", "What is in this folder");
    p.list(&[
        format!(
            "{}: everything of the record, word for word, for another program",
            link("chart.json", "chart.json")
        ),
        format!(
            "{}: the same in an open format for health records (FHIR R4)",
            link("fhir-bundle.json", "fhir-bundle.json")
        ),
        format!(
            "{}: all readings as a table",
            link("readings.csv", "readings.csv")
        ),
        format!(
            "{}: the files below with the fingerprint (SHA-256) of each",
            link("files.json", "files.json")
        ),
    ]);
    let rows: Vec<Vec<String>> = exported
        .files
        .iter()
        .map(|f| {
            let state = match f.state {
                FileState::Whole => "whole",
                FileState::Missing => "missing: the record names it, its bytes were not found",
                FileState::Changed => "changed: its bytes are not the ones that were kept",
            };
            vec![
                shown(f),
                escaped(f.what),
                escaped(f.came_as.as_deref().unwrap_or("")),
                escaped(state),
            ]
        })
        .collect();
    p.table("Files", &["File", "What", "Came as", "State"], &rows);
    let faults: Vec<String> = opened
        .unreadable
        .iter()
        .map(|u| escaped(&format!("{}: {}", u.what, u.why)))
        .collect();
    if !faults.is_empty() {
        p.paragraph("These parts are kept in a way that this program does not read; they stand in chart.json:");
        p.list(&faults);
    }
}

fn shown(file: &ExportedFile) -> String {
    match file.state {
        FileState::Missing => escaped(&file.path),
        _ => link(&file.path, &file.path),
    }
}

fn by_content(exported: &Exported, content: &ContentHash) -> String {
    let found = exported.files.iter().find(|f| f.content == *content);
    found.map_or_else(|| "not in the folder".to_owned(), shown)
}

fn one_visit(p: &mut Page, opened: &Opened<'_>, exported: &Exported, visit: &Visit, id: &str) {
    p.heading(2, id, &format!("Visit of {}", visit.on));
    let state = match visit.state {
        VisitState::Open => "The visit is open.",
        VisitState::Closed => "The visit is closed.",
    };
    p.paragraph(state);
    p.paragraph(&sentence(&format!("Reason: {}", visit.reason)));
    findings(p, opened, visit);
    pictures(p, opened, exported, visit);
    readings(p, opened, visit);
    wear(p, opened, visit);
    decisions(p, opened, visit);
    plan(p, opened, visit);
    orders(p, opened, exported, visit);
    letters(p, opened, exported, visit);
}

fn in_words(question: &Question, answer: &Answer) -> String {
    match (answer, question.kind) {
        (Answer::Choice { choice }, Kind::Choice { choices }) => choices
            .iter()
            .find(|c| c.key == choice)
            .map_or_else(|| choice.clone(), |c| c.words.to_owned()),
        (Answer::Number { .. }, Kind::Number { unit, .. }) => {
            format!("{} {unit}", answer.as_text()).trim_end().to_owned()
        }
        _ => answer.as_text(),
    }
}

fn answer_rows<'a>(
    answered: impl Iterator<Item = (&'static Question, &'a Answer)>,
) -> Vec<Vec<String>> {
    answered
        .map(|(q, a)| {
            vec![
                escaped(q.words),
                escaped(&in_words(q, a)),
                escaped(q.section),
            ]
        })
        .collect()
}

const ANSWERS: [&str; 3] = ["Question", "Answer", "Heading"];

fn findings(p: &mut Page, opened: &Opened<'_>, visit: &Visit) {
    p.heading(3, "", "What was told and found");
    let mut any = false;
    if let Some(sheet) = opened.persons.get(&visit.id) {
        p.table(
            "Whole person",
            &ANSWERS,
            &answer_rows(sheet.story.answered()),
        );
        p.table(
            "Alarm signs asked about",
            &ANSWERS,
            &answer_rows(sheet.flags.answered()),
        );
        any = true;
    }
    for side in Side::BOTH {
        if let Some(sheet) = opened.feet.get(&(visit.id, side)) {
            let caption = format!("{} foot", side_head(side));
            p.table(&caption, &ANSWERS, &answer_rows(sheet.answered()));
            any = true;
        }
        if let Some(sheet) = opened.legs.get(&(visit.id, side)) {
            let caption = format!("{} leg, measured for a brace", side_head(side));
            p.table(&caption, &ANSWERS, &answer_rows(sheet.answered()));
            any = true;
        }
    }
    p.paragraph(match any {
        true => "A question that is not listed was not asked or not looked at.",
        false => "Nothing was written down.",
    });
}

fn side_head(side: Side) -> &'static str {
    match side {
        Side::Left => "Left",
        Side::Right => "Right",
    }
}

fn side_word(side: Option<Side>) -> &'static str {
    side.map_or("side not said", Side::word)
}

fn pictures(p: &mut Page, opened: &Opened<'_>, exported: &Exported, visit: &Visit) {
    let chart = opened.chart;
    let day = |d: Option<time::Date>| d.map_or("day not recorded".to_owned(), |d| d.to_string());
    let mut rows = Vec::new();
    for f in chart.films.iter().filter(|f| f.visit == visit.id) {
        let words = format!("film, {}", f.view.map_or("view not said", |v| v.words()));
        let how = format!("{}, {}. {}", side_word(f.side), f.stance.words(), f.note);
        rows.push((words, day(f.taken_on), how, f.content));
    }
    for s in chart.scans.iter().filter(|s| s.visit == visit.id) {
        let load = s.load.map_or("weight not said", |l| l.words());
        let how = format!("{}, {load}. {}", side_word(s.side), s.note);
        rows.push(("foot scan".into(), day(s.taken_on), how, s.content));
    }
    for c in chart.captures.iter().filter(|c| c.visit == visit.id) {
        let doing = c.doing.map_or("", |d| d.words());
        let how = format!("{doing} {}", c.note);
        rows.push((c.kind.words().into(), day(c.taken_on), how, c.content));
    }
    let rows: Vec<Vec<String>> = rows
        .into_iter()
        .map(|(what, day, how, content)| {
            vec![
                escaped(&what),
                escaped(&day),
                escaped(how.trim()),
                by_content(exported, &content),
            ]
        })
        .collect();
    if !rows.is_empty() {
        p.heading(3, "", "Films, scans, prints, photographs and clips");
        p.table(
            "Pictures of the visit",
            &["What", "Taken on", "How", "File"],
            &rows,
        );
    }
}

/// `12.3° (95 % interval 10.1 to 14.5°)`.
fn value(estimate: &quantity::Estimate) -> String {
    let (d, s) = (estimate.unit.decimals(), estimate.unit.suffix());
    let (low, high) = estimate.interval_95();
    format!(
        "{}{s} (95 % interval {} to {}{s})",
        written(estimate.value, d),
        written(low, d),
        written(high, d)
    )
}

fn readings(p: &mut Page, opened: &Opened<'_>, visit: &Visit) {
    let sheets: Vec<&SheetFacts<'_>> = opened
        .sheets
        .iter()
        .filter(|s| s.origin.visit() == visit.id)
        .collect();
    if sheets.is_empty() {
        return;
    }
    p.heading(3, "", "Readings");
    p.paragraph("Each reading has an error: in 95 of 100 cases the true value lies in the interval beside it.");
    let person = Person {
        age_years: opened.chart.patient.age_years_on(visit.on),
        sex: opened.chart.patient.sex,
    };
    let knowledge = Knowledge::built_in();
    for sheet in sheets {
        let caption = match &sheet.origin {
            Origin::Film(film, points) => format!(
                "Film, {}, {}, read by {} on {}, {} of this reader{}{}",
                film.view.map_or("view not said", |v| v.words()),
                side_word(film.side),
                points.reader_name,
                points.placed_at.date(),
                format_args!("placing {}", points.attempt),
                if points.finished {
                    ""
                } else {
                    "; still in hand"
                },
                if sheet.stands {
                    "; these stand for the film"
                } else {
                    ""
                },
            ),
            Origin::Capture(capture, steps) => {
                format!(
                    "{}, read on {}",
                    capture.kind.words(),
                    steps.saved_at.date()
                )
            }
        };
        let rows: Vec<Vec<String>> = sheet
            .readings
            .iter()
            .map(|r| {
                let name =
                    measure(knowledge, &r.measure).map_or_else(|| r.measure.clone(), |m| m.name);
                let place = r
                    .film_reading
                    .as_ref()
                    .map(|reading| against(knowledge, reading, &person).summary.words());
                vec![
                    escaped(&name),
                    escaped(side_word(r.side)),
                    escaped(&value(&r.estimate)),
                    escaped(place.unwrap_or("")),
                    escaped(&r.method_version.to_string()),
                    escaped(&r.notes.join(" ")),
                ]
            })
            .collect();
        let head = [
            "Measure",
            "Side",
            "Value",
            "Against published limits",
            "Method version",
            "Notes",
        ];
        p.table(&caption, &head, &rows);
        if rows.is_empty() {
            p.paragraph(&format!("{caption}: nothing could be read."));
        }
        let said: Vec<String> = sheet
            .refused
            .iter()
            .map(|r| {
                let name = measure(knowledge, r.measure.as_str()).map(|m| m.name);
                escaped(&format!(
                    "{}: {}",
                    name.as_deref().unwrap_or(r.measure.as_str()),
                    r.sentence
                ))
            })
            .chain(sheet.warnings.iter().map(|w| escaped(&w.sentence)))
            .collect();
        p.list(&said);
    }
}

fn wear(p: &mut Page, opened: &Opened<'_>, visit: &Visit) {
    let mut rows = Vec::new();
    for wear in &opened.chart.wear {
        let films = opened.chart.films.iter();
        let mut of_visit = films.filter(|f| f.visit == visit.id);
        let Some(film) = of_visit.find(|f| f.id == wear.film) else {
            continue;
        };
        for (joint, grade) in &wear.grades {
            rows.push(vec![
                escaped(joint.words()),
                escaped(side_word(film.side)),
                grade.get().to_string(),
            ]);
        }
    }
    if !rows.is_empty() {
        p.heading(3, "", "Joint wear");
        p.table(
            "Grades on films, 0 (none) to 4 (bone on bone)",
            &["Joint", "Side", "Grade"],
            &rows,
        );
    }
}

fn decisions(p: &mut Page, opened: &Opened<'_>, visit: &Visit) {
    for side in Side::BOTH {
        let Some((decision, report)) = opened.decisions.get(&(visit.id, side)) else {
            continue;
        };
        p.heading(3, "", &format!("Decision, {} foot", side.word()));
        p.paragraph(&match &decision.chosen {
            Some(stage) => format!("The stage decided on: {stage}."),
            None => "No stage was decided on.".to_owned(),
        });
        if let Some(why) = &decision.overruled_reason {
            p.paragraph(&sentence(&format!(
                "Decided otherwise than the report: {why}"
            )));
        }
        if let Some(report) = report {
            p.details("The report of stages as it was shown", &report.text());
        }
    }
}

fn plan(p: &mut Page, opened: &Opened<'_>, visit: &Visit) {
    let Some((record, plan)) = opened.plans.get(&visit.id) else {
        return;
    };
    p.heading(3, "", "Plan");
    let steps: Vec<String> = plan
        .rungs()
        .map(|(side, key)| {
            let title = care::Ladder::built_in()
                .rung(key)
                .map_or(key, |r| r.title.as_str());
            escaped(&match side {
                Some(side) => format!("{title}, {} foot", side.word()),
                None => title.to_owned(),
            })
        })
        .collect();
    p.list(&steps);
    for side in Side::BOTH {
        let worn = plan.worn(side);
        if !worn.trim().is_empty() {
            p.paragraph(&sentence(&format!(
                "Worn on the {} foot until the next visit: {worn}",
                side.word()
            )));
        }
    }
    p.paragraph(&plan.words);
    if let Some(day) = record.review_on {
        p.paragraph(&format!("To be seen again on {day}."));
    }
}

fn orders(p: &mut Page, opened: &Opened<'_>, exported: &Exported, visit: &Visit) {
    let rows: Vec<Vec<String>> = opened
        .chart
        .orders
        .iter()
        .filter(|o| o.visit == visit.id)
        .map(|o| {
            let (state, files) = match &o.sent {
                Some(sent) => (
                    format!("sent on {}", sent.at.date()),
                    format!(
                        "{} {}",
                        by_content(exported, &sent.sheet),
                        by_content(exported, &sent.solids)
                    ),
                ),
                None => ("draft".to_owned(), String::new()),
            };
            vec![
                escaped(&o.code),
                escaped(o.side.word()),
                escaped(&state),
                files,
            ]
        })
        .collect();
    if !rows.is_empty() {
        p.heading(3, "", "Devices ordered");
        p.table(
            "Orders; each prescription stands in chart.json",
            &["Code", "Side", "State", "Files"],
            &rows,
        );
    }
}

fn letters(p: &mut Page, opened: &Opened<'_>, exported: &Exported, visit: &Visit) {
    let rows: Vec<Vec<String>> = opened
        .chart
        .letters
        .iter()
        .filter(|l| l.visit == visit.id)
        .map(|l| {
            let (state, file) = match &l.state {
                LetterState::Signed { at, by, pdf, .. } => {
                    let who = opened.clinician(*by).map_or("", |c| c.name.as_str());
                    let holds = match l.seal_holds() {
                        Some(true) => "its seal holds",
                        _ => "its seal does not hold: it is not what was signed",
                    };
                    (
                        format!("signed on {} by {who}; {holds}", at.date()),
                        by_content(exported, pdf),
                    )
                }
                LetterState::Draft => ("draft".into(), String::new()),
                LetterState::TakenAway { .. } => ("draft, taken away".into(), String::new()),
            };
            vec![
                escaped(&l.title),
                escaped(l.kind.words()),
                escaped(&state),
                file,
            ]
        })
        .collect();
    if !rows.is_empty() {
        p.heading(3, "", "Letters");
        p.table(
            "Letters of the visit",
            &["Title", "Kind", "State", "File"],
            &rows,
        );
    }
}

fn care(p: &mut Page, opened: &Opened<'_>) {
    p.heading(2, "care", "Care given");
    let mut rows = Vec::new();
    for (record, entry) in &opened.care {
        let words = entry
            .as_ref()
            .map_or_else(|| record.kind.clone(), care::log::name);
        let answers: Vec<String> = entry
            .iter()
            .flat_map(|e| e.answers.answered())
            .map(|(q, a)| format!("{}: {}", q.words, in_words(q, a)))
            .collect();
        let until = match record.ended_on {
            Some(end) => format!("{} to {end}", record.began_on),
            None => record.began_on.to_string(),
        };
        let state = if record.taken_away {
            "written down in error"
        } else {
            ""
        };
        rows.push(vec![
            escaped(&words),
            escaped(&until),
            escaped(side_word(record.side)),
            escaped(&answers.join("; ")),
            escaped(state),
        ]);
    }
    p.table(
        "Everything given or done",
        &["What", "When", "Side", "Answers", "State"],
        &rows,
    );
    if rows.is_empty() {
        p.paragraph("Nothing was written down.");
    }
}

/// Day and time of day, in universal time.
fn moment(at: time::OffsetDateTime) -> String {
    let at = at.to_offset(time::UtcOffset::UTC);
    format!("{} {:02}:{:02} UTC", at.date(), at.hour(), at.minute())
}

fn acts(p: &mut Page, opened: &Opened<'_>) {
    p.heading(2, "acts", "Who did what");
    let rows: Vec<Vec<String>> = opened
        .chart
        .acts
        .iter()
        .map(|a| {
            let who = match opened.clinician(a.by) {
                Some(known) => known.name.as_str(),
                None if a.by == ClinicianId::PROGRAM => ClinicianId::PROGRAM_WORDS,
                None => "somebody who is not in this chart",
            };
            vec![
                a.number.to_string(),
                escaped(&moment(a.at)),
                escaped(who),
                escaped(a.kind.words()),
                escaped(&format!("{} {}", a.on.key(), a.on.uuid())),
            ]
        })
        .collect();
    p.table(
        "The journal of this record",
        &["Number", "When", "Who", "What", "On"],
        &rows,
    );
}

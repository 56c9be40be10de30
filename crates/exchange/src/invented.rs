//! What does a rich chart of nobody look like?
//!
//! For tests and examples: everything in it is made up, the readings are made from made-up points by `reading`, and
//! the stage reports by `stage`. A number makes a person; the same number makes the same chart.

use crate::formats::{
    FOOT, GIVEN, KeptPlan, LEG, PERSON, PLAN, POINTS, PersonSheet, REPORT, SHEET,
};
use care::CareInput;
use exam::{Examination, Given, Kind, Leg, Question, Sheet};
use knowledge::Knowledge;
use reading::figures::{Draws, invented_cases};
use reading::{ReadingSheet, read_all};
use record::{
    Act, ActId, ActKind, CaptureId, CaptureKind, CaptureRecord, CareId, CareRecord, Chart,
    Clinician, ClinicianId, ContentHash, DecisionRecord, DisplayTurn, Doing, ExamRecord, ExamineOf,
    FilmId, FilmRecord, Kept, LetterId, LetterKind, LetterRecord, LetterState, OrderId,
    OrderRecord, OrderSource, Patient, PatientId, PlanRecord, PointsId, PointsRecord, Practice,
    ScanId, ScanRecord, Sent, StepsRecord, Subject, Visit, VisitId, VisitState, WearGrade,
    WearRecord,
};
use serde_json::{Value, json};
use stage::{StageInput, StageReport};
use std::collections::BTreeMap;
use terms::{Joint, Load, Sex, Side, Stance, View, Worn};
use time::{Date, Duration, OffsetDateTime, macros::date, macros::datetime};
use uuid::Uuid;

/// A chart and the bytes of the files it names.
#[derive(Debug, Clone)]
pub struct Invented {
    pub chart: Chart,
    pub files: BTreeMap<ContentHash, Vec<u8>>,
}

const FIRST_DAY: Date = date!(2024 - 02 - 12);
const FIRST_MOMENT: OffsetDateTime = datetime!(2024-02-12 09:00 UTC);
const GIVEN_NAMES: [&str; 6] = ["Quilla", "Bo", "Zéphyrine", "Ulf", "Mirjam", "Taavi"];
const FAMILY_NAMES: [&str; 5] = [
    "Ausgedacht",
    "Inventsson",
    "O’Madeup",
    "Fictiveanu",
    "Nobodyova",
];

/// Everything a maker needs on its way.
struct Maker {
    person: u64,
    next: u128,
    draws: Draws,
    files: BTreeMap<ContentHash, Vec<u8>>,
    acts: Vec<Act>,
    readers: [ClinicianId; 2],
}

impl Maker {
    fn uuid(&mut self) -> Uuid {
        self.next += 1;
        let mut bytes = ((u128::from(self.person) << 64) | self.next).to_be_bytes();
        bytes[6] = 0x70 | (bytes[6] & 0x0f);
        bytes[8] = 0x80 | (bytes[8] & 0x3f);
        Uuid::from_bytes(bytes)
    }

    fn file(&mut self, words: &str) -> ContentHash {
        let bytes = format!(
            "Invented {words} number {} of person {}.\n",
            self.next, self.person
        );
        let hash = ContentHash::of(bytes.as_bytes());
        self.files.insert(hash, bytes.into_bytes());
        hash
    }

    fn act(&mut self, at: OffsetDateTime, by: ClinicianId, kind: ActKind, on: Subject) {
        let id = ActId::new(self.uuid());
        self.acts.push(Act {
            number: self.acts.len() as u64 + 1,
            id,
            at,
            by,
            kind,
            on,
            summary: kind.words().into(),
        });
    }

    fn whole(&mut self, below: u32) -> u32 {
        (self.draws.uniform() * f64::from(below)).floor() as u32 % below.max(1)
    }

    /// An answer that the question takes; numbers in the middle of what can be.
    fn answer(&mut self, question: &Question) -> String {
        match question.kind {
            Kind::Choice { choices } => {
                let at = self.whole(choices.len() as u32) as usize;
                choices.get(at).map_or(String::new(), |c| c.key.into())
            }
            Kind::Number {
                min, max, whole, ..
            } => {
                let at = min + (max - min) * (0.3 + 0.3 * self.draws.uniform());
                match whole {
                    true => format!("{}", at.round()),
                    false => format!("{:.1}", at.clamp(min, max)),
                }
            }
            Kind::Text { .. } => "Invented words, \"quoted\", with a comma.".into(),
        }
    }

    /// Answers to `share` of the questions of a sheet.
    fn answers(&mut self, sheet: Sheet, share: f64, mut set: impl FnMut(&str, &str)) {
        for question in exam::form().iter().filter(|q| q.sheet == sheet) {
            if self.draws.uniform() < share {
                let text = self.answer(question);
                set(question.key, &text);
            }
        }
    }
}

fn kept<T: serde::Serialize>((format, version): (&str, u32), value: &T) -> Kept {
    Kept {
        format: format.into(),
        version,
        body: serde_json::to_value(value).unwrap_or(Value::Null),
    }
}

fn clinicians() -> Vec<Clinician> {
    ["Dr Imaginary Footreader", "Sam Placeholder"]
        .into_iter()
        .zip([1_u128, 2])
        .map(|(name, n)| Clinician {
            id: ClinicianId::new(Uuid::from_u128(
                0x0190_0000_0000_7000_8000_0000_0000_0000 | n,
            )),
            name: name.into(),
            qualification: "invented".into(),
            active: n == 1,
        })
        .collect()
}

/// The chart of the invented person of this number: one to four visits, the later ones less complete.
pub fn invented(person: u64) -> Invented {
    let clinicians = clinicians();
    let mut m = Maker {
        person: person.wrapping_add(0x0191_0000_0000_0000),
        next: 0,
        draws: Draws::new(person),
        files: BTreeMap::new(),
        acts: Vec::new(),
        readers: [clinicians[0].id, clinicians[1].id],
    };
    let child = person % 4 == 3;
    let patient = Patient {
        id: PatientId::new(m.uuid()),
        chart_number: format!("INV-{person:05}"),
        given_name: GIVEN_NAMES[person as usize % GIVEN_NAMES.len()].into(),
        family_name: FAMILY_NAMES[person as usize % FAMILY_NAMES.len()].into(),
        born_on: (person % 7 != 5).then(|| {
            let years = if child { 9 } else { 41 + (person % 50) as i64 };
            FIRST_DAY - Duration::days(years * 365 + 100 + (person % 90) as i64)
        }),
        sex: match person % 5 {
            0 | 2 => Some(Sex::Female),
            1 | 3 => Some(Sex::Male),
            _ => None,
        },
        note: "Invented person.".into(),
    };
    let mut chart = Chart {
        practice: Some(Practice {
            name: "Invented practice".into(),
            address: vec!["1 Nowhere Lane".into()],
            telephone: None,
            demo: true,
        }),
        clinicians,
        visits: Vec::new(),
        films: Vec::new(),
        points: Vec::new(),
        wear: Vec::new(),
        exams: Vec::new(),
        decisions: Vec::new(),
        plans: Vec::new(),
        letters: Vec::new(),
        scans: Vec::new(),
        orders: Vec::new(),
        captures: Vec::new(),
        steps: Vec::new(),
        care: Vec::new(),
        acts: Vec::new(),
        patient,
    };
    let on = Subject::Patient(chart.patient.id);
    m.act(FIRST_MOMENT, m.readers[0], ActKind::PatientAdded, on);
    let visits = 1 + person % 4;
    for number in 0..visits {
        let days = (person % 40) as i64 + number as i64 * (170 + (person % 30) as i64);
        one_visit(&mut m, &mut chart, number, days, number + 1 == visits);
    }
    given_care(&mut m, &mut chart);
    chart.visits.reverse();
    chart.acts = m.acts;
    Invented {
        chart,
        files: m.files,
    }
}

fn one_visit(m: &mut Maker, chart: &mut Chart, number: u64, days: i64, last: bool) {
    let (knowledge, by) = (Knowledge::built_in(), m.readers[number as usize % 2]);
    let day = FIRST_DAY + Duration::days(days);
    let at = FIRST_MOMENT + Duration::days(days);
    let visit = Visit {
        id: VisitId::new(m.uuid()),
        patient: chart.patient.id,
        on: day,
        reason: "Invented reason: the arch aches & the heel <tilts>.".into(),
        state: if last {
            VisitState::Open
        } else {
            VisitState::Closed
        },
    };
    let id = visit.id;
    chart.visits.push(visit);
    m.act(at, by, ActKind::VisitOpened, Subject::Visit(id));
    let share = if number == 0 { 0.9 } else { 0.35 };
    let mut sheet = PersonSheet::default();
    m.answers(Sheet::Person, share, |k, t| drop(sheet.story.set(k, t)));
    m.answers(Sheet::Flags, share, |k, _| drop(sheet.flags.set(k, "no")));
    match chart.patient.age_years_on(day) {
        Some(years) => drop(sheet.story.set("age_years", &format!("{years:.1}"))),
        None => drop(sheet.story.clear("age_years")),
    }
    let mut exams = vec![(ExamineOf::Person, kept(PERSON, &sheet))];
    let mut feet = Vec::new();
    for side in Side::BOTH {
        let mut foot = Examination::new();
        m.answers(Sheet::Foot, share, |k, t| drop(foot.set(k, t)));
        exams.push((ExamineOf::Foot(side), kept(FOOT, &foot)));
        feet.push((side, foot));
    }
    let mut leg = Leg::new();
    m.answers(Sheet::Leg, share, |k, t| drop(leg.set(k, t)));
    exams.push((ExamineOf::Leg(Side::Left), kept(LEG, &leg)));
    for (of, exam) in exams {
        chart.exams.push(ExamRecord {
            visit: id,
            of,
            exam,
            revision: 1,
            content_of: 1,
            saved_at: at + Duration::minutes(5),
        });
        m.act(
            at + Duration::minutes(5),
            by,
            ActKind::ExamSaved,
            Subject::Visit(id),
        );
    }
    let sheets = films(m, chart, id, day, at, number);
    captures(m, chart, id, day, at);
    scan_and_order(m, chart, id, at);
    let mut plan = KeptPlan {
        words: "Invented plan: wear the device, see again.".into(),
        worn_left: "an invented inlay".into(),
        ..KeptPlan::default()
    };
    let mut proposed = Vec::new();
    for (side, foot) in &feet {
        let report = stage::stage(&StageInput {
            knowledge,
            person: &sheet.story,
            side: *side,
            exam: foot,
            sheets: &sheets,
            flags: &sheet.flags,
        });
        let input = CareInput {
            person: &sheet.story,
            exam: foot,
            flags: &sheet.flags,
        };
        let proposal = care::propose(&report, &input);
        let rungs = proposal.rungs.iter().take(2);
        plan.taken
            .extend(rungs.map(|r| format!("{}:{}", side.word(), r.key)));
        proposed.push(serde_json::to_value(&proposal).unwrap_or(Value::Null));
        if *side == Side::Left || number == 0 {
            let saved_at = at + Duration::minutes(30);
            m.act(saved_at, by, ActKind::DecisionSaved, Subject::Visit(id));
            chart.decisions.push(DecisionRecord {
                visit: id,
                side: *side,
                chosen: chosen(&report),
                report: kept(REPORT, &report),
                overruled_reason: (number == 1).then(|| "Invented: it felt stiffer.".into()),
                revision: 1,
                saved_at,
            });
        }
    }
    let mut body = serde_json::to_value(&plan).unwrap_or(Value::Null);
    body["proposed"] = Value::Array(proposed);
    let saved_at = at + Duration::minutes(35);
    chart.plans.push(PlanRecord {
        visit: id,
        plan: Kept {
            format: PLAN.0.into(),
            version: PLAN.1,
            body,
        },
        review_on: Some(day + Duration::days(84)),
        revision: 1,
        saved_at,
    });
    m.act(saved_at, by, ActKind::PlanSaved, Subject::Visit(id));
    letters(m, chart, id, at, by);
    if !last {
        let closed = at + Duration::hours(1);
        m.act(closed, by, ActKind::VisitClosed, Subject::Visit(id));
    }
}

/// What holds, else what is possible; nothing where the report says nothing.
fn chosen(report: &StageReport) -> Option<String> {
    let scheme = report.tendon.as_ref().or(report.child.as_ref())?;
    let first = scheme.holding().into_iter().chain(scheme.possible()).next();
    first.map(str::to_owned)
}

fn films(
    m: &mut Maker,
    chart: &mut Chart,
    visit: VisitId,
    day: Date,
    at: OffsetDateTime,
    number: u64,
) -> Vec<ReadingSheet> {
    let mut sheets = Vec::new();
    for (place, view) in View::ALL
        .into_iter()
        .enumerate()
        .take(if number == 0 { 4 } else { 2 })
    {
        let seed = m.person ^ (number << 8) ^ place as u64;
        for (points, facts) in invented_cases(view, 2, seed) {
            let side = points.side;
            let film = FilmId::new(m.uuid());
            let content = m.file("film");
            chart.films.push(FilmRecord {
                id: film,
                patient: chart.patient.id,
                visit,
                view: Some(view),
                side,
                stance: Stance::Standing,
                worn: Some(Worn::Bare),
                taken_on: (place != 3).then_some(day),
                file_name: format!("../{}/film {place}.dcm", chart.patient.family_name),
                content,
                media_type: "application/dicom".into(),
                width_px: 3000,
                height_px: 3000,
                scale_wish: None,
                scale_answer: None,
                turn: DisplayTurn::default(),
                note: "Invented film.".into(),
            });
            m.act(at, m.readers[0], ActKind::FilmImported, Subject::Film(film));
            let sheet = read_all(Knowledge::built_in(), &points, &facts);
            // Two placings by two readers; of the last view one still in hand.
            for attempt in 0..2_u8 {
                let finished = attempt == 0 || place != 1;
                let reader = usize::from(attempt);
                let placed_at = at + Duration::minutes(10 + i64::from(attempt));
                let id = PointsId::new(m.uuid());
                chart.points.push(PointsRecord {
                    id,
                    film,
                    reader: m.readers[reader],
                    reader_name: chart.clinicians[reader].name.clone(),
                    attempt: 1,
                    placed_at,
                    finished,
                    points: kept(POINTS, &points),
                    sheet: kept(SHEET, &sheet),
                });
                let kind = match finished {
                    true => ActKind::PointsFinished,
                    false => ActKind::PointsSaved,
                };
                m.act(placed_at, m.readers[reader], kind, Subject::Points(id));
            }
            if place == 0 {
                let grade = |g| WearGrade::new(g).ok();
                let grades = [(Joint::Talonavicular, 2), (Joint::Subtalar, 0)];
                chart.wear.push(WearRecord {
                    film,
                    grades: grades
                        .into_iter()
                        .filter_map(|(j, g)| Some((j, grade(g)?)))
                        .collect(),
                    revision: 1,
                    saved_at: at,
                });
                m.act(at, m.readers[0], ActKind::WearSaved, Subject::Film(film));
            }
            sheets.push(sheet);
        }
    }
    sheets
}

fn captures(m: &mut Maker, chart: &mut Chart, visit: VisitId, day: Date, at: OffsetDateTime) {
    let reading = |measure: &str, side: Side, value: f64, error: f64, unit: &str| {
        json!({
            "measure": measure, "side": side, "method_version": 1,
            "estimate": {"value": value, "standard_error": error, "unit": unit},
        })
    };
    let drawn = m.draws.normal();
    let all = [
        (
            CaptureKind::Print,
            Some(Doing::Standing),
            "image/png",
            vec![
                reading(
                    "arch_index",
                    Side::Left,
                    0.28 + 0.01 * drawn,
                    0.006,
                    "ratio",
                ),
                reading("foot_length", Side::Left, 251.5, 0.8, "mm"),
                reading("contact_area", Side::Left, 96.25, 1.5, "cm2"),
            ],
        ),
        (
            CaptureKind::FromBehind,
            None,
            "image/jpeg",
            vec![
                reading("heel_to_upright", Side::Left, 9.5 + drawn, 1.25, "deg"),
                reading("heel_to_upright", Side::Right, 4.0, 1.25, "deg"),
            ],
        ),
        (
            CaptureKind::HeelRise,
            Some(Doing::OneLeg),
            "application/zip",
            vec![
                reading("heel_rise_best_height", Side::Left, 62.0, 3.0, "mm"),
                reading("heel_rise_mean_height", Side::Right, 0.41, 0.02, "ratio"),
            ],
        ),
    ];
    for (kind, doing, media_type, readings) in all {
        let id = CaptureId::new(m.uuid());
        let content = m.file("capture");
        chart.captures.push(CaptureRecord {
            id,
            patient: chart.patient.id,
            visit,
            kind,
            doing,
            side: None,
            taken_on: Some(day),
            file_name: "capture: one?.png".into(),
            content,
            media_type: media_type.into(),
            note: "Invented.".into(),
        });
        m.act(
            at,
            m.readers[0],
            ActKind::CaptureImported,
            Subject::Capture(id),
        );
        chart.steps.push(StepsRecord {
            capture: id,
            steps: kept(("invented-steps", 1), &json!({})),
            readings: kept(("invented-readings", 1), &json!({ "readings": readings })),
            revision: 1,
            content_of: 1,
            saved_at: at,
        });
        m.act(at, m.readers[0], ActKind::StepsSaved, Subject::Capture(id));
    }
}

fn scan_and_order(m: &mut Maker, chart: &mut Chart, visit: VisitId, at: OffsetDateTime) {
    let scan = ScanId::new(m.uuid());
    let content = m.file("scan");
    chart.scans.push(ScanRecord {
        id: scan,
        patient: chart.patient.id,
        visit,
        side: Some(Side::Left),
        load: Some(Load::Partial),
        unit: Some("mm".into()),
        taken_on: Some(at.date()),
        file_name: "scan.stl".into(),
        content,
        media_type: "model/stl".into(),
        note: String::new(),
    });
    m.act(at, m.readers[0], ActKind::ScanImported, Subject::Scan(scan));
    for sent in [true, false] {
        let id = OrderId::new(m.uuid());
        let (sheet, solids) = (m.file("order sheet"), m.file("solids"));
        let prescription = json!({
            "corrections": {"inversion": {"angle": 4.0, "about": {"axis": "long"}}},
            "shell": {
                "material": "invented",
                "thickness": {"kind": "uniform", "all": 3.0},
                "heel_cup_depth": 16.0,
                "behind_heads": 8.0,
            },
            "order_code": "INV-1",
        });
        chart.orders.push(OrderRecord {
            id,
            patient: chart.patient.id,
            visit,
            side: Side::Left,
            code: format!("I{}-{}", m.person % 1000, m.next % 1000),
            source: OrderSource::Scan { scan },
            points: None,
            prescription: kept(("tiebeam-prescription", 1), &prescription),
            sent: sent.then_some(Sent { at, sheet, solids }),
            revision: 1,
            content_of: 1,
            saved_at: at,
        });
        if !sent {
            m.files.remove(&sheet);
            m.files.remove(&solids);
        }
        let kind = if sent {
            ActKind::OrderSent
        } else {
            ActKind::OrderSaved
        };
        m.act(at, m.readers[0], kind, Subject::Order(id));
    }
}

fn letters(m: &mut Maker, chart: &mut Chart, visit: VisitId, at: OffsetDateTime, by: ClinicianId) {
    let mut before = None;
    for (kind, signed) in [
        (LetterKind::ToReferrer, true),
        (LetterKind::ToReferrer, true),
        (LetterKind::ToPatient, false),
    ] {
        let mut letter = LetterRecord {
            id: LetterId::new(m.uuid()),
            visit,
            kind,
            title: "An invented letter".into(),
            facts: kept(("tiebeam-letter", 1), &json!({"words": "Invented."})),
            addendum_to: before,
            drafted_at: at + Duration::minutes(40),
            revision: 1,
            state: LetterState::Draft,
        };
        let drafted = letter.drafted_at;
        m.act(
            drafted,
            by,
            ActKind::LetterDrafted,
            Subject::Letter(letter.id),
        );
        if signed {
            let (signed_at, pdf) = (at + Duration::minutes(50), m.file("letter"));
            let seal = letter.seal(signed_at, by, pdf);
            letter.state = LetterState::Signed {
                at: signed_at,
                by,
                pdf,
                seal,
            };
            m.act(
                signed_at,
                by,
                ActKind::LetterSigned,
                Subject::Letter(letter.id),
            );
            before = Some(letter.id);
        }
        chart.letters.push(letter);
    }
}

fn given_care(m: &mut Maker, chart: &mut Chart) {
    let Some(first) = chart.visits.first().map(|v| v.on) else {
        return;
    };
    let mut boot = None;
    for kind in care::log::Kind::ALL {
        let mut answers = Given::new();
        for q in exam::form().iter().filter(|q| q.section == kind.section()) {
            if q.sheet == Sheet::Given {
                let text = m.answer(q);
                let _ = answers.set(q.key, &text);
            }
        }
        let id = CareId::new(m.uuid());
        let is_check = kind == care::log::Kind::Check;
        let ended = kind.lasts() && kind != care::log::Kind::Device;
        chart.care.push(CareRecord {
            id,
            patient: chart.patient.id,
            visit: chart.visits.first().map(|v| v.id),
            about: if is_check { boot } else { None },
            kind: kind.key().into(),
            side: (kind != care::log::Kind::Medicine).then_some(Side::Left),
            began_on: first,
            ended_on: ended.then_some(first + Duration::days(30)),
            review_on: None,
            answers: kept(GIVEN, &answers),
            taken_away: kind == care::log::Kind::Wrap,
            revision: 1,
            content_of: 1,
            saved_at: FIRST_MOMENT + Duration::days(60),
        });
        boot = boot.or(Some(id));
        let at = FIRST_MOMENT + Duration::days(60);
        m.act(at, m.readers[0], ActKind::CareSaved, Subject::Care(id));
    }
}

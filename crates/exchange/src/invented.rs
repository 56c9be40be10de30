//! What does a rich chart of nobody look like?
//!
//! For tests and examples: everything in it is made up, the readings are made from made-up points by `reading`, and
//! the stage reports by `stage`. A number makes a person; the same number makes the same chart.

mod beside;

use crate::formats::{FOOT, KeptPlan, LEG, PERSON, PLAN, POINTS, PersonSheet, REPORT, SHEET};
use care::CareInput;
use exam::{Examination, Kind, Leg, Question, Sheet};
use knowledge::Knowledge;
use reading::figures::{Draws, invented_cases};
use reading::{ReadingSheet, read_all};
use record::{
    Act, ActId, ActKind, Chart, Clinician, ClinicianId, ContentHash, DecisionRecord, DisplayTurn,
    ExamRecord, ExamineOf, FilmId, FilmRecord, Kept, Patient, PatientId, PlanRecord, PointsId,
    PointsRecord, Practice, Subject, Visit, VisitId, VisitState, WearGrade, WearRecord,
};
use serde_json::Value;
use stage::{StageInput, StageReport};
use std::collections::BTreeMap;
use terms::{Joint, Sex, Side, Stance, View, Worn};
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
    let practice = Practice {
        name: "Invented practice".into(),
        address: vec!["1 Nowhere Lane".into()],
        telephone: None,
        demo: true,
    };
    let mut chart = Chart::of(Some(practice), clinicians, patient);
    let on = Subject::Patient(chart.patient.id);
    m.act(FIRST_MOMENT, m.readers[0], ActKind::PatientAdded, on);
    let visits = 1 + person % 4;
    for number in 0..visits {
        let days = (person % 40) as i64 + number as i64 * (170 + (person % 30) as i64);
        one_visit(&mut m, &mut chart, number, days, number + 1 == visits);
    }
    beside::given_care(&mut m, &mut chart);
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
    beside::captures(m, chart, id, day, at);
    beside::scan_and_order(m, chart, id, at);
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
    beside::letters(m, chart, id, at, by);
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
                let mut points = points.clone();
                for point in points.points.values_mut().filter(|_| attempt > 0) {
                    point.x_px += 4.0 * m.draws.normal();
                    point.y_px += 4.0 * m.draws.normal();
                }
                let again = read_all(Knowledge::built_in(), &points, &facts);
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
                    sheet: kept(SHEET, &again),
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

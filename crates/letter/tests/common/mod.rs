//! Invented visits for the tests and the examples. Nobody's foot, nobody's story.
#![allow(dead_code, reason = "every test and example uses its own part")]

use care::{CareInput, Proposal};
use exam::{Examination, RedFlags, Story};
use knowledge::Knowledge;
use letter::compose::MeasuredOn;
use letter::{Film, Foot, LetterFacts, PatientLine, Picture, SheetFacts};
use reading::figures::{invented_film, invented_points};
use reading::{FilmFacts, Person, PointSet, ReadingSheet, read_all};
use stage::{StageInput, StageReport};
use terms::{Sex, Side, View};

pub mod golden;
pub mod kinds;
pub mod order;

pub type Answers = &'static [(&'static str, &'static str)];

/// Everything recorded at one invented visit.
pub struct Visit {
    pub words: &'static letter::Words,
    pub practice: Vec<String>,
    pub recipient: Vec<String>,
    pub name: String,
    pub born: String,
    pub chart: String,
    pub story: Story,
    pub flags: RedFlags,
    pub person: Person,
    pub feet: Vec<FootOfVisit>,
    pub sheets: Vec<(String, ReadingSheet)>,
    pub picture: Vec<u8>,
    pub decision: String,
    pub measured_on: Vec<(String, MeasuredOn)>,
}

pub struct FootOfVisit {
    pub side: Side,
    pub exam: Examination,
    pub report: StageReport,
    pub proposal: Proposal,
    pub chosen: Vec<String>,
}

/// Sorts each answer to the sheet that takes it.
pub fn sheets(answers: &[(&str, &str)]) -> (Story, RedFlags, Examination) {
    let (mut story, mut flags, mut exam) = (Story::new(), RedFlags::new(), Examination::new());
    for (key, text) in answers {
        let taken = [
            story.set(key, text),
            flags.set(key, text),
            exam.set(key, text),
        ];
        assert!(taken.iter().any(Result::is_ok), "{key} {text}: {taken:?}");
    }
    (story, flags, exam)
}

/// An invented woman with a sore, weak tendon and a heel that drifts and still corrects.
pub const ADULT: Answers = &[
    ("age_years", "58"),
    ("sex", "female"),
    ("weight_kg", "82"),
    (
        "complaint",
        "The inner ankle aches on stairs and my shoe wears down on one side.",
    ),
    ("duration_weeks", "30"),
    ("onset", "gradual"),
    ("course", "worse"),
    ("trauma", "no"),
    ("tried", "Ready-made inserts for six weeks, little gain."),
    ("tried_weeks", "6"),
    ("goal", "Walk the dog for an hour."),
    ("inflammatory_disease", "no"),
    ("diabetes", "no"),
    ("known_neuropathy", "no"),
    ("high_blood_pressure", "yes"),
    ("takes_ace_or_arb", "yes"),
    ("fever", "no"),
    ("hot_red_swollen", "no"),
    ("cannot_bear_weight", "no"),
    ("sudden_collapse", "no"),
    ("rest_pain", "no"),
    ("night_pain", "no"),
    ("mass", "no"),
];

pub const ADULT_LEFT: Answers = &[
    ("pain_level", "6"),
    ("pain_inner_ankle", "itself"),
    ("pain_outer", "no"),
    ("swelling_inner", "slight"),
    ("toes_seen", "4"),
    ("heel_line", "clear"),
    ("heel_angle_deg", "about 11"),
    ("forefoot_drifts_out", "yes"),
    ("heel_rise_single", "unable"),
    ("heel_rise_count", "0"),
    ("heel_rise_stopped_by", "weakness"),
    ("heel_rise_double", "able"),
    ("heel_corrects", "fully"),
    ("forefoot_varus", "yes"),
    ("forefoot_varus_corrects", "fully"),
    ("first_ray", "usual"),
    ("forefoot_drift_corrects", "fully"),
    ("ankle_tilt_seen", "no"),
    ("impinges_under_fibula", "no"),
    ("pain_under_fibula", "no"),
    ("subtalar_subluxed", "no"),
    ("tmt_gap", "no"),
    ("tp_strength", "3"),
    ("dorsiflexion_straight_deg", "4"),
    ("dorsiflexion_bent_deg", "14"),
    ("pulse_dorsal", "strong"),
    ("pulse_tibial", "strong"),
    ("filament_great_toe", "felt"),
    ("filament_mt1", "felt"),
    ("filament_mt5", "felt"),
    ("skin_ulcer", "no"),
    ("skin_infection", "no"),
    ("posture_talar_head", "+2"),
    ("posture_malleolar_curves", "+1"),
    ("posture_heel", "+2"),
    ("posture_bulge", "+1"),
    ("posture_arch", "+1"),
    ("posture_forefoot", "+2"),
];

pub const ADULT_RIGHT: Answers = &[
    ("pain_level", "0"),
    ("pain_inner_ankle", "no"),
    ("toes_seen", "2"),
    ("heel_line", "usual"),
    ("heel_rise_single", "able"),
    ("heel_rise_turns_in", "yes"),
    ("heel_rise_count", "18"),
];

/// An invented girl whose flat feet come back on tiptoe and hurt after sport.
pub const CHILD: Answers = &[
    ("age_years", "9"),
    ("sex", "female"),
    ("complaint", "Her feet hurt after sport."),
    ("duration_weeks", "20"),
    ("course", "same"),
    ("plays_like_others", "yes"),
    ("tires_early", "yes"),
    ("family_flat", "yes"),
    ("fever", "no"),
    ("night_pain", "no"),
    ("skills_lost", "no"),
    ("reflexes_changed", "no"),
    ("was_high_arched", "no"),
    ("rocker_at_birth", "no"),
    ("new_on_one_side", "no"),
    ("spasticity", "no"),
    ("severe_local_pain", "no"),
    ("cannot_bear_weight", "no"),
    ("hot_red_swollen", "no"),
];

pub const CHILD_FOOT: Answers = &[
    ("pain_level", "4"),
    ("pain_inner_ankle", "pressed"),
    ("swelling_inner", "none"),
    ("heel_line", "clear"),
    ("arch_standing", "flat"),
    ("arch_sitting", "appears"),
    ("arch_on_tiptoe", "appears"),
    ("sides_differ", "no"),
    ("subtalar_motion", "free"),
    ("dorsiflexion_straight_deg", "3"),
    ("coalition_seen", "no"),
];

pub fn adult() -> Visit {
    let lateral = invented_points(View::Lateral);
    let dorsoplantar = invented_points(View::Dorsoplantar);
    visit(
        ADULT,
        &[(Side::Left, ADULT_LEFT), (Side::Right, ADULT_RIGHT)],
        &[(lateral, invented_film()), (dorsoplantar, invented_film())],
        &["calm", "therapy", "orthosis"],
    )
}

pub fn child() -> Visit {
    let lateral = invented_points(View::Lateral);
    visit(
        CHILD,
        &[(Side::Left, CHILD_FOOT), (Side::Right, CHILD_FOOT)],
        &[(lateral, invented_film())],
        &["child-help"],
    )
}

/// A visit from answers and points; the films are of the first foot.
pub fn visit(
    person: &[(&str, &str)],
    feet: &[(Side, &[(&str, &str)])],
    films: &[(PointSet, FilmFacts)],
    chosen: &[&str],
) -> Visit {
    let knowledge = Knowledge::built_in();
    let (story, flags, _) = sheets(person);
    let first = feet.first().map(|f| f.0);
    let sheets_read: Vec<ReadingSheet> = films
        .iter()
        .map(|(points, film)| {
            let mut points = points.clone();
            points.side = first;
            let mut sheet = read_all(knowledge, &points, film);
            // The invented points are of a right foot; the side warning belongs to the reading's tests.
            sheet
                .warnings
                .retain(|w| w.kind != reading::WarningKind::SideContradiction);
            sheet
        })
        .collect();
    let feet = feet
        .iter()
        .enumerate()
        .map(|(i, (side, answers))| {
            let (_, _, exam) = sheets(answers);
            let report = stage::stage(&StageInput {
                knowledge,
                person: &story,
                side: *side,
                exam: &exam,
                sheets: &sheets_read,
                flags: &flags,
            });
            let proposal = care::propose(
                &report,
                &CareInput {
                    person: &story,
                    exam: &exam,
                    flags: &flags,
                },
            );
            let chosen = if i == 0 { chosen } else { &[] };
            FootOfVisit {
                side: *side,
                exam,
                report,
                proposal,
                chosen: chosen.iter().map(|c| (*c).to_owned()).collect(),
            }
        })
        .collect();
    let person = Person {
        age_years: story.number("age_years").value(),
        sex: match story.choice("sex").value() {
            Some("female") => Some(Sex::Female),
            Some("male") => Some(Sex::Male),
            _ => None,
        },
    };
    let lines = |all: &[&str]| all.iter().map(|l| (*l).to_owned()).collect();
    Visit {
        words: letter::Words::english(),
        practice: lines(&[
            "Example Foot Practice (invented)",
            "1 Example Lane, 00000 Sampleton",
            "Telephone 000 000 000",
        ]),
        recipient: lines(&["Dr A. Example", "2 Sample Street", "00000 Sampleton"]),
        name: "Sample Person (invented)".into(),
        born: if story.number("age_years").value() < Some(18.0) {
            "1 February 2017".into()
        } else {
            "1 February 1968".into()
        },
        chart: "0042".into(),
        sheets: sheets_read.into_iter().map(|s| (title(&s), s)).collect(),
        story,
        flags,
        person,
        feet,
        picture: drawn_film(),
        decision: "Calm it, hold it from below, build strength; see again in six weeks".into(),
        measured_on: Vec::new(),
    }
}

fn title(sheet: &ReadingSheet) -> String {
    let words = sheet.view.words();
    let side = sheet.side.map_or("side not known", Side::word);
    format!("{}{}, {side}", words[..1].to_uppercase(), &words[1..])
}

/// Stands in for a film: a dark picture of the usual shape.
pub fn drawn_film() -> Vec<u8> {
    drawn_film_of(300.0, 220.0)
}

pub fn drawn_film_of(width: f64, height: f64) -> Vec<u8> {
    let mut svg = figure::svg::Svg::new(width, height, "Film", "");
    svg.rect([0.0, 0.0], [width, height], "#0c0e11");
    svg.circle([120.0, 120.0], 60.0, "#c8c8c8", "none", 0.0);
    figure::png(&svg.finish(), 600).unwrap()
}

impl Visit {
    pub fn patient(&self) -> PatientLine<'_> {
        PatientLine {
            name: Some(&self.name),
            born: Some(&self.born),
            chart: Some(&self.chart),
        }
    }

    pub fn film(&self, at: usize) -> Film<'_> {
        let (title, sheet) = &self.sheets[at];
        let mut film = Film::held_against(Knowledge::built_in(), &self.person, title, sheet);
        film.taken_on = Some("24 November 2026");
        film.scale = Some("0.100 mm per pixel in the foot, ± 2 %, from the ball");
        if at == 0 {
            film.picture = Some(Picture {
                name: "film.png",
                bytes: &self.picture,
            });
        }
        film
    }

    pub fn sheet_facts(&self, at: usize) -> SheetFacts<'_> {
        SheetFacts {
            words: self.words,
            knowledge: Knowledge::built_in(),
            practice: &self.practice,
            patient: self.patient(),
            date: "25 November 2026",
            reader: Some("R. Reader (invented)"),
            person: self.person,
            film: self.film(at),
        }
    }

    pub fn letter_facts(&self) -> LetterFacts<'_> {
        let feet = self
            .feet
            .iter()
            .map(|f| Foot {
                side: f.side,
                exam: &f.exam,
                stage: Some(&f.report),
                decided: None,
                proposal: Some(&f.proposal),
                chosen: &f.chosen,
                measured_on: &self.measured_on,
            })
            .collect();
        LetterFacts {
            words: self.words,
            knowledge: Knowledge::built_in(),
            practice: &self.practice,
            recipient: &self.recipient,
            patient: self.patient(),
            date: "25 November 2026",
            clinician: "Dr C. Clinician (invented)",
            signed: None,
            story: &self.story,
            flags: &self.flags,
            feet,
            films: (0..self.sheets.len()).map(|i| self.film(i)).collect(),
            decision: &self.decision,
            next_visit: Some("6 January 2027, 10:00"),
            further: letter::Further::default(),
        }
    }
}

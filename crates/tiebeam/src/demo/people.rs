//! The invented practice: who comes, what they tell, what is found. Nobody here exists.

use phantom::{Age, FootSpec, Pose};
use terms::{Sex, Side, View};
use time::Date;
use time::macros::date;

/// One invented person with one or two visits.
pub struct Invented {
    pub chart: &'static str,
    pub given: &'static str,
    pub family: &'static str,
    pub born: Date,
    pub sex: Sex,
    pub visits: &'static [InventedVisit],
}

pub struct InventedVisit {
    /// Days before the day of the demo.
    pub days_ago: i64,
    pub reason: &'static str,
    pub story: &'static [(&'static str, &'static str)],
    /// Alarm signs asked about.
    pub flags: &'static [(&'static str, &'static str)],
    pub left: &'static [(&'static str, &'static str)],
    pub right: &'static [(&'static str, &'static str)],
    pub films: &'static [InventedFilm],
    pub decision: Option<Decision>,
    pub review_days: Option<i64>,
}

pub struct InventedFilm {
    pub side: Side,
    pub view: View,
    /// How far the arch is down on this film.
    pub collapse: f64,
    /// Were points placed?
    pub placed: bool,
}

pub struct Decision {
    pub side: Side,
    pub chosen: &'static str,
    pub rungs: &'static [&'static str],
    pub words: &'static str,
    pub worn_left: &'static str,
    pub worn_right: &'static str,
}

pub const PRACTICE: &str = "Foot and Ankle Rooms at Larkmoor (invented)";
pub const ADDRESS: [&str; 2] = ["3 Ropewalk, Larkmoor", "an invented town"];
pub const CLINICIANS: [(&str, &str); 2] = [
    ("Dr Imre Salter (invented)", "foot and ankle clinician"),
    (
        "Nell Okoro-Finch (invented)",
        "podiatric colleague, second reader",
    ),
];
pub const REFERRER: [&str; 2] = ["Dr Ana Wendt (invented)", "General practice, Larkmoor"];

/// The feet behind a person's films.
pub fn foot(person: &Invented, side: Side, collapse: f64, age_years: f64) -> FootSpec {
    let seed = person.chart.bytes().map(u64::from).sum();
    let (age, length) = if age_years < 15.0 {
        (
            Age::Child { years: age_years },
            phantom::child::foot_length_mm(age_years, person.sex),
        )
    } else {
        (
            Age::Adult,
            if person.sex == Sex::Female {
                244.0
            } else {
                268.0
            },
        )
    };
    FootSpec {
        side,
        foot_length_mm: length,
        age,
        pose: Pose::arch_collapse(collapse),
        seed,
    }
}

pub const PEOPLE: &[Invented] = &[
    Invented {
        chart: "L-0107",
        given: "Maren",
        family: "Quillfeather",
        born: date!(1968 - 03 - 14),
        sex: Sex::Female,
        visits: &[
            InventedVisit {
                days_ago: 196,
                reason: "Sore inner ankle on the left since the spring, shoe worn down on the inside.",
                story: &[
                    ("weight_kg", "82"),
                    ("height_cm", "166"),
                    (
                        "complaint",
                        "Sore inner ankle on the left after walking; the shoe wears down on the inside.",
                    ),
                    ("duration_weeks", "14"),
                    ("onset", "gradual"),
                    ("course", "worse"),
                ],
                flags: &[],
                left: &[
                    ("pain_level", "5"),
                    ("pain_inner_ankle", "itself"),
                    ("heel_rise_single", "partly"),
                    ("heel_rise_count", "6"),
                    ("heel_corrects", "fully"),
                    ("toes_seen", "3"),
                ],
                right: &[
                    ("pain_level", "0"),
                    ("heel_rise_single", "able"),
                    ("heel_rise_count", "19"),
                    ("toes_seen", "2"),
                ],
                films: &[InventedFilm {
                    side: Side::Left,
                    view: View::Lateral,
                    collapse: 0.7,
                    placed: true,
                }],
                decision: Some(Decision {
                    side: Side::Left,
                    chosen: "II",
                    rungs: &["calm", "therapy", "orthosis"],
                    words: "Boot for four weeks, then the posted insole; exercises once the pain is at most 3.",
                    worn_left: "posted foot orthosis",
                    worn_right: "",
                }),
                review_days: Some(90),
            },
            InventedVisit {
                days_ago: 0,
                reason: "Review: inner ankle better in the insole, tires after half an hour.",
                story: &[
                    ("weight_kg", "83"),
                    ("height_cm", "166"),
                    (
                        "complaint",
                        "Inner ankle better in the insole, tires after half an hour; wants to walk the coast path again.",
                    ),
                    ("duration_weeks", "42"),
                    ("onset", "gradual"),
                    ("course", "better"),
                    (
                        "tried",
                        "Boot four weeks, posted insole since, exercises most days.",
                    ),
                    ("tried_weeks", "28"),
                    ("goal", "Two hours on the coast path."),
                ],
                flags: &[
                    ("fever", "no"),
                    ("cannot_bear_weight", "no"),
                    ("hot_red_swollen", "no"),
                    ("severe_local_pain", "no"),
                    ("sudden_collapse", "no"),
                    ("rest_pain", "no"),
                    ("night_pain", "no"),
                    ("mass", "no"),
                    ("weight_loss", "no"),
                    ("new_weakness", "no"),
                    ("foot_drop", "no"),
                    ("morning_stiffness", "no"),
                    ("several_joints", "no"),
                ],
                left: &[
                    ("pain_level", "4"),
                    ("pain_inner_ankle", "pressed"),
                    ("pain_navicular", "pressed"),
                    ("pain_sole", "no"),
                    ("pain_outer", "no"),
                    ("pain_under_fibula", "no"),
                    ("pain_ankle_joint", "no"),
                    ("swelling_inner", "slight"),
                    ("swelling_leg", "none"),
                    ("toes_seen", "4"),
                    ("heel_line", "clear"),
                    ("heel_angle_deg", "12"),
                    ("arch_standing", "flat"),
                    ("arch_sitting", "appears"),
                    ("forefoot_drifts_out", "yes"),
                    ("heel_rise_single", "able"),
                    ("heel_rise_turns_in", "no"),
                    ("heel_rise_count", "4"),
                    ("heel_rise_pain", "5"),
                    ("heel_rise_stopped_by", "weakness"),
                    ("heel_rise_double", "able"),
                    ("first_metatarsal_rise", "lifts"),
                    ("heel_corrects", "fully"),
                    ("forefoot_varus", "yes"),
                    ("forefoot_varus_corrects", "fully"),
                    ("forefoot_varus_left_deg", "2"),
                    ("forefoot_drift_corrects", "fully"),
                    ("subtalar_motion", "free"),
                    ("first_ray", "usual"),
                    ("ankle_tilt_seen", "no"),
                    ("impinges_sinus_tarsi", "no"),
                    ("impinges_under_fibula", "no"),
                    ("tp_strength", "3"),
                    ("dorsiflexion_straight_deg", "2"),
                    ("dorsiflexion_bent_deg", "12"),
                    ("navicular_drop_mm", "13"),
                    ("pulse_dorsal", "strong"),
                    ("pulse_tibial", "strong"),
                    ("filament_great_toe", "felt"),
                    ("filament_mt1", "felt"),
                    ("filament_mt5", "felt"),
                    ("skin_ulcer", "no"),
                    ("skin_infection", "no"),
                    ("skin_weeping", "no"),
                    ("skin_fragile", "no"),
                    ("tmt_gap", "no"),
                    ("subtalar_subluxed", "no"),
                    ("tendon_image", "inflamed"),
                ],
                right: &[
                    ("pain_level", "0"),
                    ("pain_inner_ankle", "no"),
                    ("pain_navicular", "no"),
                    ("pain_sole", "no"),
                    ("pain_outer", "no"),
                    ("pain_under_fibula", "no"),
                    ("pain_ankle_joint", "no"),
                    ("swelling_inner", "none"),
                    ("swelling_leg", "none"),
                    ("toes_seen", "2"),
                    ("heel_line", "usual"),
                    ("heel_angle_deg", "5"),
                    ("arch_standing", "normal"),
                    ("forefoot_drifts_out", "no"),
                    ("heel_rise_single", "able"),
                    ("heel_rise_turns_in", "yes"),
                    ("heel_rise_count", "18"),
                    ("heel_rise_pain", "0"),
                    ("heel_rise_double", "able"),
                    ("first_metatarsal_rise", "stays_down"),
                    ("heel_corrects", "fully"),
                    ("forefoot_varus", "no"),
                    ("subtalar_motion", "free"),
                    ("first_ray", "usual"),
                    ("ankle_tilt_seen", "no"),
                    ("impinges_sinus_tarsi", "no"),
                    ("impinges_under_fibula", "no"),
                    ("tp_strength", "5"),
                    ("dorsiflexion_straight_deg", "6"),
                    ("dorsiflexion_bent_deg", "14"),
                    ("pulse_dorsal", "strong"),
                    ("pulse_tibial", "strong"),
                    ("filament_great_toe", "felt"),
                    ("filament_mt1", "felt"),
                    ("filament_mt5", "felt"),
                    ("skin_ulcer", "no"),
                    ("skin_infection", "no"),
                    ("skin_weeping", "no"),
                    ("skin_fragile", "no"),
                    ("tmt_gap", "no"),
                    ("subtalar_subluxed", "no"),
                ],
                films: &[
                    InventedFilm {
                        side: Side::Left,
                        view: View::Lateral,
                        collapse: 0.9,
                        placed: true,
                    },
                    InventedFilm {
                        side: Side::Left,
                        view: View::Dorsoplantar,
                        collapse: 0.9,
                        placed: true,
                    },
                    InventedFilm {
                        side: Side::Left,
                        view: View::HindfootAlignment,
                        collapse: 0.9,
                        placed: true,
                    },
                    InventedFilm {
                        side: Side::Left,
                        view: View::AnkleFront,
                        collapse: 0.9,
                        placed: true,
                    },
                    InventedFilm {
                        side: Side::Right,
                        view: View::Lateral,
                        collapse: 0.12,
                        placed: true,
                    },
                ],
                decision: Some(Decision {
                    side: Side::Left,
                    chosen: "II",
                    rungs: &["calm", "therapy", "orthosis"],
                    words: "Posted insole with a deeper heel cup; calf stretching with the heel held straight; strengthening goes on.",
                    worn_left: "posted foot orthosis, deep heel cup ordered",
                    worn_right: "",
                }),
                review_days: Some(84),
            },
        ],
    },
    Invented {
        chart: "L-0112",
        given: "Osric",
        family: "Pennywhistle",
        born: date!(1954 - 11 - 02),
        sex: Sex::Male,
        visits: &[InventedVisit {
            days_ago: 0,
            reason: "Stiff flat right foot for years, now pain on the outer side.",
            story: &[
                ("weight_kg", "97"),
                ("height_cm", "178"),
                ("duration_weeks", "160"),
                ("onset", "gradual"),
                ("course", "worse"),
            ],
            flags: &[],
            left: &[("pain_level", "0")],
            right: &[
                ("pain_level", "6"),
                ("pain_outer", "itself"),
                ("heel_line", "clear"),
                ("heel_rise_single", "unable"),
                ("heel_corrects", "not"),
                ("subtalar_motion", "none"),
                ("toes_seen", "5"),
            ],
            films: &[InventedFilm {
                side: Side::Right,
                view: View::Lateral,
                collapse: 0.95,
                placed: false,
            }],
            decision: None,
            review_days: None,
        }],
    },
    Invented {
        chart: "L-0118",
        given: "Tilly",
        family: "Brackenbury",
        born: date!(2018 - 06 - 21),
        sex: Sex::Female,
        visits: &[InventedVisit {
            days_ago: 0,
            reason: "Parents worry about flat feet; she runs and jumps like the others.",
            story: &[
                ("weight_kg", "27"),
                ("height_cm", "129"),
                ("onset", "always"),
            ],
            flags: &[],
            left: &[
                ("pain_level", "0"),
                ("arch_standing", "flat"),
                ("arch_on_tiptoe", "appears"),
                ("subtalar_motion", "free"),
            ],
            right: &[
                ("pain_level", "0"),
                ("arch_standing", "flat"),
                ("arch_on_tiptoe", "appears"),
                ("subtalar_motion", "free"),
            ],
            films: &[],
            decision: None,
            review_days: None,
        }],
    },
    Invented {
        chart: "L-0093",
        given: "Casimir",
        family: "Thistlewood",
        born: date!(2013 - 01 - 30),
        sex: Sex::Male,
        visits: &[InventedVisit {
            days_ago: 120,
            reason: "Third ankle sprain in a year, stiff foot, pain after football.",
            story: &[("onset", "gradual"), ("course", "worse")],
            flags: &[],
            left: &[
                ("pain_level", "5"),
                ("arch_standing", "flat"),
                ("arch_on_tiptoe", "stays_flat"),
                ("subtalar_motion", "none"),
                ("heel_corrects", "not"),
            ],
            right: &[("pain_level", "0"), ("arch_standing", "normal")],
            films: &[],
            decision: None,
            review_days: Some(30),
        }],
    },
];

//! The invented practice: who comes, what they tell, what is found. Nobody here exists.

use care::log::Kind;
use phantom::{Age, FootSpec, Pose};
use terms::{Sex, Side, View};
use time::Date;
use time::macros::date;

/// One invented person with their visits.
pub struct Invented {
    pub chart: &'static str,
    pub given: &'static str,
    pub family: &'static str,
    pub born: Date,
    pub sex: Sex,
    pub visits: &'static [InventedVisit],
    /// What was given or done, in the order it began.
    pub care: &'static [InventedCare],
}

/// A thing given, or a check of the one with that place in the list.
pub struct InventedCare {
    pub days_ago: i64,
    pub until_days_ago: Option<i64>,
    /// The next look, so many days before the day of the demo.
    pub look_days_ago: Option<i64>,
    pub kind: care::log::Kind,
    pub side: Option<Side>,
    pub about: Option<usize>,
    pub answers: &'static [(&'static str, &'static str)],
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
                days_ago: 98,
                reason: "Check after three months: boot off, insole worn, exercises begun.",
                story: &[
                    ("weight_kg", "82"),
                    ("height_cm", "166"),
                    ("course", "better"),
                    ("does_walk_ten", "as_before"),
                    ("does_stairs", "with_effort"),
                    ("does_uneven", "with_effort"),
                ],
                flags: &[],
                left: &[
                    ("pain_level", "3"),
                    ("pain_inner_ankle", "pressed"),
                    ("heel_rise_single", "able"),
                    ("heel_rise_count", "9"),
                    ("heel_corrects", "fully"),
                    ("toes_seen", "3"),
                ],
                right: &[
                    ("pain_level", "0"),
                    ("heel_rise_single", "able"),
                    ("heel_rise_count", "18"),
                ],
                films: &[InventedFilm {
                    side: Side::Left,
                    view: View::Lateral,
                    collapse: 0.8,
                    placed: true,
                }],
                decision: Some(Decision {
                    side: Side::Left,
                    chosen: "II",
                    rungs: &["therapy", "orthosis"],
                    words: "Go on with insole and exercises.",
                    worn_left: "posted foot orthosis",
                    worn_right: "",
                }),
                review_days: Some(98),
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
        care: &[
            InventedCare {
                days_ago: 196,
                until_days_ago: Some(168),
                look_days_ago: None,
                kind: Kind::Boot,
                side: Some(Side::Left),
                about: None,
                answers: &[
                    ("boot_kind", "walking_boot"),
                    ("boot_weeks", "4"),
                    ("boot_arch", "yes"),
                    ("boot_lift", "yes"),
                    ("boot_clot_asked", "yes"),
                ],
            },
            InventedCare {
                days_ago: 189,
                until_days_ago: None,
                look_days_ago: None,
                kind: Kind::Check,
                side: Some(Side::Left),
                about: Some(0),
                answers: &[
                    ("check_hours", "14"),
                    ("check_pain", "4"),
                    ("check_skin", "sound"),
                    ("check_fits", "well"),
                    ("check_outcome", "goes_on"),
                ],
            },
            InventedCare {
                days_ago: 168,
                until_days_ago: None,
                look_days_ago: None,
                kind: Kind::Therapy,
                side: Some(Side::Left),
                about: None,
                answers: &[
                    ("therapy_phase", "build"),
                    ("therapy_led", "home"),
                    ("therapy_band_sets", "3"),
                    ("therapy_band_repetitions", "15"),
                    ("therapy_band_times", "2"),
                    ("therapy_stretch_sets", "3"),
                    ("therapy_stretch_seconds", "30"),
                    ("therapy_stretch_times", "2"),
                    ("therapy_rise_repetitions", "20"),
                    ("therapy_pain_limit", "5"),
                ],
            },
            InventedCare {
                days_ago: 160,
                until_days_ago: None,
                look_days_ago: Some(146),
                kind: Kind::Device,
                side: Some(Side::Left),
                about: None,
                answers: &[
                    ("device_kind", "foot_orthosis"),
                    ("device_hours", "9"),
                    ("device_shoe_depth", "yes"),
                    ("device_shoe_counter", "yes"),
                    ("device_break_in_told", "yes"),
                ],
            },
            InventedCare {
                days_ago: 145,
                until_days_ago: None,
                look_days_ago: Some(0),
                kind: Kind::Check,
                side: Some(Side::Left),
                about: Some(3),
                answers: &[
                    ("check_hours", "7"),
                    ("check_pain", "4"),
                    ("check_skin", "red"),
                    ("check_where", "inner arch, first week only"),
                    ("check_fits", "well"),
                    ("check_outcome", "goes_on"),
                ],
            },
            InventedCare {
                days_ago: 98,
                until_days_ago: None,
                look_days_ago: Some(-14),
                kind: Kind::Check,
                side: Some(Side::Left),
                about: Some(2),
                answers: &[
                    ("check_pain", "3"),
                    ("check_rises", "9"),
                    ("check_load", "3"),
                    ("check_during", "3"),
                    ("check_settled", "yes"),
                    ("check_easy", "yes"),
                    ("check_outcome", "goes_on"),
                ],
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
        care: &[],
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
        care: &[],
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
        care: &[],
    },
];

//! The cuts a number is held against, each with who says so and how much of it was read.
//!
//! A cut known from memory only never decides; it is told as 'would be'. Where confirmed cuts differ, a
//! number between them decides nothing either.

use crate::report::Cite;
use serde::Serialize;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    Above,
    AtLeast,
    Below,
    AtMost,
}

impl Direction {
    pub fn words(self) -> &'static str {
        match self {
            Above => "above",
            AtLeast => "at least",
            Below => "below",
            AtMost => "at most",
        }
    }
}

/// One published cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Threshold {
    /// Criterion it speaks for.
    pub criterion: &'static str,
    /// Measure or question the number comes from.
    pub subject: &'static str,
    pub direction: Direction,
    pub cut: f64,
    pub cite: Cite,
    /// What the source says about the cut.
    pub says: &'static str,
}

impl Threshold {
    /// May it decide alone?
    pub fn confirmed(&self) -> bool {
        self.cite.letter != 'u'
    }

    /// Does the criterion hold for this number?
    pub fn holds(&self, value: f64) -> bool {
        match self.direction {
            Above => value > self.cut,
            AtLeast => value >= self.cut,
            Below => value < self.cut,
            AtMost => value <= self.cut,
        }
    }
}

const fn row(
    criterion: &'static str,
    subject: &'static str,
    direction: Direction,
    cut: f64,
    source: (&'static str, char),
    says: &'static str,
) -> Raw {
    Raw {
        criterion,
        subject,
        direction,
        cut,
        source,
        says,
    }
}

struct Raw {
    criterion: &'static str,
    subject: &'static str,
    direction: Direction,
    cut: f64,
    source: (&'static str, char),
    says: &'static str,
}

use Direction::{Above, AtLeast, AtMost, Below};

const ROWS: &[Raw] = &[
    // Hindfoot valgus
    row(
        "heel_valgus",
        "hma",
        Above,
        8.0,
        ("SaltzmanElKhoury1995", 'a'),
        "80 % of healthy adults lie within 8 mm",
    ),
    row(
        "heel_valgus",
        "hma",
        Above,
        15.0,
        ("SaltzmanElKhoury1995", 'a'),
        "95 % of healthy adults lie within 15 mm",
    ),
    row(
        "heel_valgus",
        "haa",
        Above,
        5.0,
        ("HFVALGUS_MDPI2025", 'r'),
        "above 5° is called valgus",
    ),
    row(
        "heel_valgus",
        "haa",
        Above,
        6.0,
        ("PMC6408994", 'r'),
        "2° to 6° outwards is healthy",
    ),
    row(
        "heel_valgus",
        "heel_angle_deg",
        Above,
        5.0,
        ("HFVALGUS_MDPI2025", 'r'),
        "above 5° is called valgus",
    ),
    row(
        "heel_valgus",
        "heel_angle_deg",
        Above,
        6.0,
        ("PMC6408994", 'r'),
        "2° to 6° outwards is healthy",
    ),
    // Arch line
    row(
        "arch_line_broken",
        "meary_lat",
        Above,
        4.0,
        ("RADLINES", 'r'),
        "above 4° with the apex to the sole is flat",
    ),
    row(
        "arch_line_broken",
        "meary_lat",
        Above,
        6.0,
        ("RYU2022", 'a'),
        "6° to 15° is mild",
    ),
    // Forefoot abduction
    row(
        "forefoot_abducted",
        "toes_seen",
        AtLeast,
        3.0,
        ("Wheeless", 'r'),
        "one or two toes are usual",
    ),
    row(
        "forefoot_abducted",
        "tnca",
        Above,
        7.0,
        ("RADLINES", 'r'),
        "above 7° is abducted",
    ),
    row(
        "forefoot_abducted",
        "tnca",
        Above,
        12.3,
        ("AAFD_LOGREG_CN", 'a'),
        "upper end of healthy adults, mean 8.0° and 1.96 standard deviations of 2.2°",
    ),
    row(
        "forefoot_abducted",
        "tn_uncov",
        Above,
        20.0,
        ("MSK_MCO", 'r'),
        "20 % to 40 % is a middle band",
    ),
    row(
        "forefoot_abducted",
        "tn_uncov",
        Above,
        40.0,
        ("Thordarson2020", 'a'),
        "more than 40 % asks for the outer column",
    ),
    row(
        "forefoot_abducted",
        "t1mt_dp",
        Above,
        12.1,
        ("AAFD_LOGREG_CN", 'a'),
        "upper end of healthy adults, mean 7.8° and 1.96 standard deviations of 2.2°",
    ),
    // Ankle
    row(
        "ankle_valgus",
        "talar_tilt",
        Above,
        4.0,
        ("PCFDvalgus2023", 'r'),
        "more than 4° outwards is the class's definition in that study",
    ),
    row(
        "ankle_tilted",
        "talar_tilt",
        Above,
        1.5,
        ("WHEELESS_TILT", 'r'),
        "healthy ankles lie within 1.5°",
    ),
    row(
        "ankle_tilt_over_5",
        "talar_tilt",
        Above,
        5.0,
        ("Raikin2012", 'u'),
        "5° divides the ankle column",
    ),
    // Three columns, known from memory only
    row(
        "uncovered_over_40",
        "tn_uncov",
        Above,
        40.0,
        ("Raikin2012", 'u'),
        "40 % divides a from b",
    ),
    row(
        "arch_line_over_30",
        "meary_lat",
        Above,
        30.0,
        ("Raikin2012", 'u'),
        "30° divides a from b",
    ),
    row(
        "incongruent_over_45",
        "lia",
        Above,
        45.0,
        ("Raikin2012", 'u'),
        "45° divides a from b",
    ),
    // Tight cord
    row(
        "cord_tight",
        "dorsiflexion_straight_deg",
        AtMost,
        0.0,
        ("Barouk2014", 'r'),
        "0° or less with the knee straight",
    ),
    row(
        "cord_tight",
        "dorsiflexion_straight_deg",
        Below,
        10.0,
        ("PrePod", 'r'),
        "less than 10° is taught as tight",
    ),
    row(
        "cord_tight",
        "dorsiflexion_straight_deg",
        Below,
        5.0,
        ("DiGiovanni2002", 'u'),
        "less than 5° with the knee straight",
    ),
    // Child
    row(
        "posture_pronated",
        "posture_total",
        Above,
        6.0,
        ("Banwell2018", 'a'),
        "over +6 counts as flat in children",
    ),
    row(
        "posture_beyond_age",
        "posture_total",
        AtLeast,
        10.0,
        ("Gijon2019", 'a'),
        "+10 or more in 3.9 % of children",
    ),
    row(
        "painful",
        "pain_level",
        AtLeast,
        1.0,
        ("common_practice", 'c'),
        "1 of 10 or more counts as pain",
    ),
    // Wear, as graded in the trade
    row(
        "wear_ankle",
        "wear_ankle",
        AtLeast,
        2.0,
        ("common_practice", 'c'),
        "grade 2 or more counts as worn",
    ),
    row(
        "wear_subtalar",
        "wear_subtalar",
        AtLeast,
        2.0,
        ("common_practice", 'c'),
        "grade 2 or more counts as worn",
    ),
    row(
        "wear_medial_column",
        "wear_naviculocuneiform",
        AtLeast,
        2.0,
        ("common_practice", 'c'),
        "grade 2 or more counts as worn",
    ),
    row(
        "wear_medial_column",
        "wear_first_tarsometatarsal",
        AtLeast,
        2.0,
        ("common_practice", 'c'),
        "grade 2 or more counts as worn",
    ),
    row(
        "wear_middle_column",
        "wear_lesser_tarsometatarsal",
        AtLeast,
        2.0,
        ("common_practice", 'c'),
        "grade 2 or more counts as worn",
    ),
    row(
        "tendon_weak",
        "tp_strength",
        Below,
        5.0,
        ("Wheeless", 'r'),
        "less than full strength",
    ),
    // Alarm signs
    row(
        "warmer_by_2",
        "temperature_difference_c",
        AtLeast,
        2.0,
        ("CharcotAFP", 'u'),
        "2 °C or more above the other foot",
    ),
    row(
        "pressure_critical",
        "ankle_brachial_index",
        Below,
        0.5,
        ("common_practice", 'u'),
        "below 0.5 is critical",
    ),
    row(
        "clot_likely",
        "clot_total",
        AtLeast,
        2.0,
        ("Wells", 'u'),
        "two points or more",
    ),
    row(
        "crps_symptoms",
        "crps_symptom_groups",
        AtLeast,
        3.0,
        ("Budapest", 'r'),
        "three of four groups complained of",
    ),
    row(
        "crps_signs",
        "crps_sign_groups",
        AtLeast,
        2.0,
        ("Budapest", 'r'),
        "two of four groups seen",
    ),
];

/// The cuts as published.
pub fn published() -> &'static [Threshold] {
    static ALL: std::sync::LazyLock<Vec<Threshold>> = std::sync::LazyLock::new(|| {
        ROWS.iter()
            .map(|r| Threshold {
                criterion: r.criterion,
                subject: r.subject,
                direction: r.direction,
                cut: r.cut,
                cite: Cite::new(r.source.0, r.source.1),
                says: r.says,
            })
            .collect()
    });
    &ALL
}

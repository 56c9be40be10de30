//! The cuts a number is held against, each with who says so and how much of it was read.
//!
//! The numbers stand in the knowledge folder; this file only says which of its rows speaks for which
//! criterion. A cut known from memory only never decides; it is told as 'would be'. Where confirmed cuts differ, a
//! number between them decides nothing either.

use crate::report::Cite;
use knowledge::{CriterionKind, Cut, Knowledge, Yardstick, YardstickKind};
use quantity::{Unit, written_short};
use serde::Serialize;
use terms::YardstickKey;

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
            Above => "more than",
            AtLeast => "at least",
            Below => "less than",
            AtMost => "at most",
        }
    }

    /// For a number on the other side.
    pub fn words_not(self) -> &'static str {
        match self {
            Above => "at most",
            AtLeast => "less than",
            Below => "at least",
            AtMost => "more than",
        }
    }
}

/// One cut, as the knowledge folder has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Threshold {
    /// Criterion it speaks for.
    pub criterion: &'static str,
    /// Measure or question the number comes from.
    pub subject: &'static str,
    pub direction: Direction,
    pub cut: f64,
    /// The cut as printed, with its unit: `11.4°`.
    pub shown: String,
    pub cite: Cite,
    /// May it decide?
    pub confirmed: bool,
    /// Whom or what the source speaks about.
    pub says: String,
}

impl Threshold {
    pub fn confirmed(&self) -> bool {
        self.confirmed
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

/// Where a cut is found.
enum From {
    /// A yardstick: its cut, the upper end of its band or norm, or where its grade begins.
    Yardstick(&'static str),
    /// The same, but a row that is too narrow to judge by is let in to hold others back.
    HoldsBack(&'static str),
    /// A criterion of the folder with a number in it.
    Criterion(&'static str),
    /// A count that the rule itself is made of, with who says so.
    Rule(f64, &'static str, char, &'static str),
}

struct Row(&'static str, &'static str, Direction, From);

use Direction::{Above, AtLeast, AtMost, Below};
use From::{Criterion, HoldsBack, Rule};

const ROWS: &[Row] = &[
    // Hindfoot valgus. Inside the narrow band is a no, outside the wide one a yes, between them open.
    Row(
        "heel_valgus",
        "hma",
        Above,
        From::Yardstick("hma-eight-in-ten"),
    ),
    Row(
        "heel_valgus",
        "hma",
        Above,
        From::Yardstick("hma-nineteen-in-twenty"),
    ),
    Row("heel_valgus", "haa", Above, From::Yardstick("haa-valgus")),
    Row(
        "heel_valgus",
        "haa",
        Above,
        From::Yardstick("haa-healthy-review"),
    ),
    Row(
        "heel_valgus",
        "heel_angle_deg",
        Above,
        From::Yardstick("heel_angle-imaging-review"),
    ),
    Row(
        "heel_valgus",
        "heel_angle_deg",
        Above,
        From::Yardstick("heel_angle-adults"),
    ),
    // Arch line
    Row(
        "arch_line_broken",
        "meary_lat",
        Above,
        From::Yardstick("meary_lat-lines-flat"),
    ),
    Row(
        "arch_line_broken",
        "meary_lat",
        Above,
        From::Yardstick("meary_lat-conscripts-flat"),
    ),
    // Forefoot abduction. The coverage angle's one limit would call half of healthy arches flat, so the
    // spread of those holds it back, narrow as it is.
    Row(
        "forefoot_abducted",
        "toes_seen",
        Above,
        From::Yardstick("toes_seen-usual"),
    ),
    Row(
        "forefoot_abducted",
        "tnca",
        Above,
        From::Yardstick("tnca-lines-flat"),
    ),
    Row(
        "forefoot_abducted",
        "tnca",
        Above,
        HoldsBack("tnca-young-normal"),
    ),
    Row(
        "forefoot_abducted",
        "tn_uncov",
        Above,
        From::Yardstick("tn_uncov-slide"),
    ),
    Row(
        "forefoot_abducted",
        "tn_uncov",
        Above,
        From::Yardstick("tn_uncov-lengthening"),
    ),
    Row(
        "forefoot_abducted",
        "t1mt_dp",
        Above,
        From::Yardstick("t1mt_dp-china-normal"),
    ),
    // Ankle
    Row(
        "ankle_valgus",
        "talar_tilt",
        Above,
        From::Yardstick("talar_tilt-class-e"),
    ),
    Row(
        "ankle_tilted",
        "talar_tilt",
        Above,
        From::Yardstick("talar_tilt-page"),
    ),
    Row(
        "ankle_tilt_over_5",
        "talar_tilt",
        Above,
        Criterion("tc_ankle_tilt_5"),
    ),
    // Three columns
    Row(
        "uncovered_over_40",
        "tn_uncov",
        Above,
        Criterion("tc_uncov_high"),
    ),
    Row(
        "arch_line_over_30",
        "meary_lat",
        Above,
        Criterion("tc_meary_high"),
    ),
    Row(
        "incongruent_over_45",
        "lia",
        Above,
        Criterion("tc_lia_high"),
    ),
    // Tight cord
    Row(
        "cord_tight",
        "dorsiflexion_straight_deg",
        AtMost,
        From::Yardstick("dorsiflexion-straight-barouk"),
    ),
    Row(
        "cord_tight",
        "dorsiflexion_straight_deg",
        Below,
        From::Yardstick("dorsiflexion-teaching"),
    ),
    Row(
        "cord_tight",
        "dorsiflexion_straight_deg",
        Below,
        From::Yardstick("dorsiflexion-straight-limit"),
    ),
    // Child
    Row(
        "posture_pronated",
        "posture_total",
        Above,
        From::Yardstick("posture_index-child-flat"),
    ),
    Row(
        "posture_beyond_age",
        "posture_total",
        AtLeast,
        Rule(10.0, "Gijon2019", 'a', "3.9 % of healthy children"),
    ),
    Row("painful", "pain_level", AtLeast, Criterion("ch_pain")),
    // Wear and strength
    Row(
        "wear_ankle",
        "wear_ankle",
        AtLeast,
        Criterion("ts_ankle_worn"),
    ),
    Row(
        "wear_subtalar",
        "wear_subtalar",
        AtLeast,
        Criterion("tc_subtalar_worn"),
    ),
    Row(
        "wear_medial_column",
        "wear_naviculocuneiform",
        AtLeast,
        Criterion("tc_nc_worn"),
    ),
    Row(
        "wear_medial_column",
        "wear_first_tarsometatarsal",
        AtLeast,
        Criterion("tc_tmt1_worn"),
    ),
    Row(
        "wear_middle_column",
        "wear_lesser_tarsometatarsal",
        AtLeast,
        Criterion("tc_middle_column_worn"),
    ),
    Row(
        "tendon_weak",
        "tp_strength",
        Below,
        Rule(5.0, "Wheeless", 'r', "less than full strength"),
    ),
    // Alarm signs
    Row(
        "warmer_by_2",
        "temperature_difference_c",
        AtLeast,
        Rule(2.0, "CharcotAFP", 'u', "warmer than the other foot"),
    ),
    Row(
        "pressure_critical",
        "ankle_brachial_index",
        Below,
        Rule(0.5, "common-practice", 'u', "critical flow"),
    ),
    Row(
        "clot_likely",
        "clot_total",
        AtLeast,
        Rule(2.0, "Wells", 'u', "points of the rule"),
    ),
    Row(
        "crps_symptoms",
        "crps_symptom_groups",
        AtLeast,
        Rule(3.0, "Budapest", 'r', "groups complained of"),
    ),
    Row(
        "crps_signs",
        "crps_sign_groups",
        AtLeast,
        Rule(2.0, "Budapest", 'r', "groups seen"),
    ),
];

/// The cuts of a knowledge folder, and the rows it ought to have and has not.
pub(crate) fn of_folder(knowledge: &Knowledge) -> (Vec<Threshold>, Vec<&'static str>) {
    let (mut found, mut lacking) = (Vec::new(), Vec::new());
    for row in ROWS {
        match threshold(knowledge, row) {
            Ok(threshold) => found.push(threshold),
            Err(key) => lacking.push(key),
        }
    }
    (found, lacking)
}

fn threshold(knowledge: &Knowledge, row: &Row) -> Result<Threshold, &'static str> {
    let Row(criterion, subject, direction, from) = row;
    let whole = |cut, unit, cite, confirmed, says| Threshold {
        criterion,
        subject,
        direction: *direction,
        cut,
        shown: shown(cut, unit),
        cite,
        confirmed,
        says,
    };
    match *from {
        Rule(cut, source, letter, says) => Ok(whole(
            cut,
            None,
            Cite::new(source, letter),
            letter != 'u',
            says.to_owned(),
        )),
        Criterion(key) => {
            let c = knowledge.criterion(key).ok_or(key)?;
            let cut = cut_of_criterion(&c.kind).ok_or(key)?;
            let source = c.sources.first().map_or("", |s| s.as_str());
            let confirmed = c.provenance.may_decide_alone();
            let unit = match &c.kind {
                CriterionKind::Reading { measure, .. } => knowledge.measure(measure),
                _ => None,
            };
            Ok(whole(
                cut,
                unit.map(|m| m.unit),
                Cite::new(source, c.provenance.letter()),
                confirmed,
                c.words.trim_end_matches('.').to_owned(),
            ))
        }
        From::Yardstick(key) | HoldsBack(key) => {
            let y = YardstickKey::new(key)
                .ok()
                .and_then(|k| knowledge.yardstick(&k))
                .ok_or(key)?;
            let cut = cut_of_yardstick(&y.kind).ok_or(key)?;
            let held = matches!(from, HoldsBack(_)) && y.provenance.may_decide_alone();
            Ok(whole(
                cut,
                Some(y.unit),
                Cite::new(y.source.as_str(), y.provenance.letter()),
                y.may_decide() || held,
                words_of(y),
            ))
        }
    }
}

/// A cut as far as its unit is worth printing, without empty decimals.
fn shown(cut: f64, unit: Option<Unit>) -> String {
    let decimals = unit.map_or(2, Unit::decimals);
    format!(
        "{}{}",
        written_short(cut, decimals),
        unit.map_or("", Unit::suffix)
    )
}

fn cut_of_criterion(kind: &CriterionKind) -> Option<f64> {
    match kind {
        CriterionKind::Reading {
            cut: Cut::Above(cut) | Cut::Below(cut),
            ..
        } => Some(*cut),
        CriterionKind::Finding { answer, .. } => {
            answer.trim_start_matches(['>', '<', '=']).parse().ok()
        }
        _ => None,
    }
}

/// Only the side above a norm or band is asked for here.
fn cut_of_yardstick(kind: &YardstickKind) -> Option<f64> {
    match *kind {
        YardstickKind::AbnormalAbove { cut } | YardstickKind::AbnormalBelow { cut } => Some(cut),
        YardstickKind::Band { upper, .. } => Some(upper),
        YardstickKind::Norm { mean, sd } => Some(mean + quantity::Z_975 * sd),
        YardstickKind::Grade { lower, .. } => lower,
        _ => None,
    }
}

fn words_of(y: &Yardstick) -> String {
    let what = match (&y.kind, y.share, &y.calls) {
        (YardstickKind::Band { .. }, Some(share), _) => {
            format!(", {:.0} % of them within", share * 100.0)
        }
        (YardstickKind::Grade { name, .. }, ..) => format!(": {name}"),
        (YardstickKind::Norm { .. }, ..) => ", mean and 1.96 standard deviations".to_owned(),
        (_, _, Some(calls)) => format!(": {calls}"),
        _ => String::new(),
    };
    format!("{}{what}", y.population)
}

/// The limit of the loose-joint total: more than this counts.
pub(crate) fn laxity_limit(knowledge: &Knowledge, key: &str) -> Option<f64> {
    let y = YardstickKey::new(key)
        .ok()
        .and_then(|k| knowledge.yardstick(&k))?;
    cut_of_yardstick(&y.kind)
}

/// The cuts of the built-in folder.
pub(crate) fn built_in() -> &'static [Threshold] {
    static ALL: std::sync::LazyLock<Vec<Threshold>> =
        std::sync::LazyLock::new(|| of_folder(Knowledge::built_in()).0);
    &ALL
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cut_is_found_in_the_built_in_folder_with_its_source() {
        let (found, lacking) = of_folder(Knowledge::built_in());
        assert_eq!(lacking, [""; 0]);
        for t in &found {
            let key = terms::SourceKey::new(t.cite.key.clone()).unwrap();
            assert!(
                Knowledge::built_in().source(&key).is_some(),
                "{}: {}",
                t.criterion,
                t.cite.key
            );
            assert!(t.cut.is_finite());
        }
    }

    #[test]
    fn a_derived_cut_is_printed_as_far_as_its_unit_goes() {
        assert_eq!(shown(11.381_502_398, Some(Unit::Degree)), "11.4°");
        assert_eq!(shown(15.0, Some(Unit::Millimetre)), "15 mm");
        assert_eq!(shown(-4.0, Some(Unit::Degree)), "−4°");
        assert_eq!(shown(0.5, None), "0.5");
    }

    #[test]
    fn a_row_known_from_memory_never_decides() {
        for t in of_folder(Knowledge::built_in()).0 {
            assert!(
                t.cite.letter != 'u' || !t.confirmed,
                "{} by {}",
                t.criterion,
                t.cite.key
            );
        }
    }

    #[test]
    fn a_folder_without_a_row_says_which() {
        let (found, lacking) = of_folder(&Knowledge::default());
        assert!(lacking.contains(&"hma-eight-in-ten"));
        assert!(found.iter().all(|t| t.criterion != "heel_valgus"));
    }
}

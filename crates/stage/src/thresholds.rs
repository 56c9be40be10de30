//! The cuts a number is held against, each with who says so and how much of it was read.
//!
//! The numbers stand in the knowledge folder: in its criteria, and for the signs in its yardsticks, where this
//! file says which row speaks for which sign. A cut known from memory only never decides, nor does any cut
//! of a reading whose construction is; both are told as 'would be'. Where confirmed cuts differ, a number
//! between them decides nothing either.

use crate::report::Cite;
use knowledge::{Answer, CriterionKind, Cut, Knowledge, Yardstick, YardstickKind};
use quantity::{Unit, written_short};
use serde::Serialize;
use terms::{MeasureKey, YardstickKey};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    Above,
    AtLeast,
    Below,
    AtMost,
    /// Above the cut and below `upper`.
    Between,
}

impl Direction {
    pub fn words(self) -> &'static str {
        match self {
            Above => "more than",
            AtLeast => "at least",
            Below => "less than",
            AtMost => "at most",
            Between => "between",
        }
    }

    /// For a number on the other side.
    pub fn words_not(self) -> &'static str {
        match self {
            Above => "at most",
            AtLeast => "less than",
            Below => "at least",
            AtMost => "more than",
            Between => "not between",
        }
    }
}

/// One cut, as the knowledge folder has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Threshold {
    /// Criterion or sign it speaks for.
    pub criterion: String,
    /// Measure or question the number comes from.
    pub subject: String,
    pub direction: Direction,
    pub cut: f64,
    /// The other end, where there is one.
    pub upper: Option<f64>,
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
            Between => value > self.cut && self.upper.is_none_or(|upper| value < upper),
        }
    }

    /// Where its answer changes.
    pub(crate) fn edges(&self) -> impl Iterator<Item = f64> {
        [Some(self.cut), self.upper].into_iter().flatten()
    }
}

impl Threshold {
    /// `more than 8 mm (Saltzman1995 a)`.
    pub fn words(&self) -> String {
        format!("{} {}", self.direction.words(), self.shown_with_source())
    }

    /// `at most 8 mm (Saltzman1995 a)` for a cut above 8 mm that is not passed.
    pub fn words_not(&self) -> String {
        format!(
            "{} {}",
            self.direction.words_not(),
            self.shown_with_source()
        )
    }

    fn shown_with_source(&self) -> String {
        format!("{} ({} {})", self.shown, self.cite.key, self.cite.letter)
    }
}

/// Where a cut is found.
enum From {
    /// A yardstick: its cut, the upper end of its band or norm, or where its grade begins.
    Yardstick(&'static str),
    /// The same, but a row that is too narrow to judge by is let in to hold others back.
    HoldsBack(&'static str),
    /// A count that the rule itself is made of, with who says so.
    Rule(f64, &'static str, char, &'static str),
}

struct Row(&'static str, &'static str, Direction, From);

use Direction::{Above, AtLeast, AtMost, Below, Between};
use From::{HoldsBack, Rule};

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
    // Posture
    Row(
        "posture_pronated",
        "posture_total",
        Above,
        From::Yardstick("posture_index-child-flat"),
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
        criterion: (*criterion).to_owned(),
        subject: (*subject).to_owned(),
        direction: *direction,
        cut,
        upper: None,
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
        From::Yardstick(key) | HoldsBack(key) => {
            let y = YardstickKey::new(key)
                .ok()
                .and_then(|k| knowledge.yardstick(&k))
                .ok_or(key)?;
            let cut = cut_of_yardstick(&y.kind).ok_or(key)?;
            let held = matches!(from, HoldsBack(_)) && y.provenance.may_decide_alone();
            let constructed = y.measure.as_ref().is_none_or(|m| settled(knowledge, m));
            Ok(whole(
                cut,
                Some(y.unit),
                Cite::new(y.source.as_str(), y.provenance.letter()),
                (y.may_decide() || held) && constructed,
                words_of(y),
            ))
        }
    }
}

/// Is it known how the reading is drawn?
fn settled(knowledge: &Knowledge, measure: &MeasureKey) -> bool {
    knowledge
        .measure(measure)
        .is_some_and(|m| m.provenance.may_decide_alone())
}

/// The cut of a reading criterion, or of a finding that compares a number.
pub(crate) fn of_criterion(c: &knowledge::Criterion, knowledge: &Knowledge) -> Option<Threshold> {
    let (subject, direction, cut, upper, unit, constructed) = match &c.kind {
        CriterionKind::Reading { measure, cut } => {
            let (direction, cut, upper) = match *cut {
                Cut::Above(cut) => (Above, cut, None),
                Cut::Below(cut) => (Below, cut, None),
                Cut::Between(low, high) => (Between, low, Some(high)),
            };
            let unit = knowledge.measure(measure).map(|m| m.unit);
            let constructed = settled(knowledge, measure);
            (measure.as_str(), direction, cut, upper, unit, constructed)
        }
        CriterionKind::Finding {
            finding, answer, ..
        } => {
            let (op, cut) = Answer::parse(answer).ok()?.comparison()?;
            let direction = match op {
                ">=" => AtLeast,
                "<=" => AtMost,
                ">" => Above,
                _ => Below,
            };
            (finding.as_str(), direction, cut, None, None, true)
        }
        CriterionKind::Composite { .. } => return None,
    };
    let source = c.sources.first().map_or("", |s| s.as_str());
    let ends: Vec<String> = [Some(cut), upper]
        .into_iter()
        .flatten()
        .map(|end| shown(end, unit))
        .collect();
    Some(Threshold {
        criterion: c.key.clone(),
        subject: subject.to_owned(),
        direction,
        cut,
        upper,
        shown: ends.join(" and "),
        cite: Cite::new(source, c.provenance.letter()),
        confirmed: c.provenance.may_decide_alone() && constructed,
        says: c.words.trim_end_matches('.').to_owned(),
    })
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

//! Under which names and versions are sheets, plans and reports kept?
//!
//! The pages write them; a test holds these names against the pages' own.

use exam::{RedFlags, Story};
use serde::{Deserialize, Serialize};
use terms::Side;

pub const PERSON: (&str, u32) = ("tiebeam-person", 1);
pub const FOOT: (&str, u32) = ("tiebeam-examination", 1);
pub const LEG: (&str, u32) = ("tiebeam-leg", 1);
pub const GIVEN: (&str, u32) = ("tiebeam-given", 1);
pub const PLAN: (&str, u32) = ("tiebeam-plan", 1);
pub const REPORT: (&str, u32) = ("tiebeam-stage-report", 1);
pub const SHEET: (&str, u32) = ("tiebeam-reading-sheet", 1);
pub const POINTS: (&str, u32) = ("tiebeam-points", 1);
/// Of the readings kept beside the steps of a capture, whatever its kind.
pub const OF_CAPTURES_VERSION: u32 = 1;

/// Story and alarm questions of one visit, kept as one sheet.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PersonSheet {
    pub story: Story,
    pub flags: RedFlags,
}

/// What was agreed at a visit until the next one; the proposals that were shown are not read back here.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptPlan {
    /// Rungs the clinician took, each `side:key`.
    #[serde(default)]
    pub taken: Vec<String>,
    /// What the patient wears on each foot until the next visit, in the clinician's words.
    #[serde(default)]
    pub worn_left: String,
    #[serde(default)]
    pub worn_right: String,
    /// The plan in the clinician's words.
    #[serde(default)]
    pub words: String,
}

impl KeptPlan {
    pub fn worn(&self, side: Side) -> &str {
        match side {
            Side::Left => &self.worn_left,
            Side::Right => &self.worn_right,
        }
    }

    /// Rungs taken, with their side where one stands before them; what is no rung of the ladder stays as it is.
    pub fn rungs(&self) -> impl Iterator<Item = (Option<Side>, &str)> {
        self.taken.iter().map(|taken| match taken.split_once(':') {
            Some(("left", key)) => (Some(Side::Left), key),
            Some(("right", key)) => (Some(Side::Right), key),
            _ => (None, taken.as_str()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_names_of_formats_are_the_ones_that_the_pages_write() {
        let page = |file: &str| {
            let path = format!("{}/../web/src/{file}", env!("CARGO_MANIFEST_DIR"));
            std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
        };
        for (file, name, (format, version)) in [
            ("adapt/person.rs", "PERSON", PERSON),
            ("adapt/person.rs", "FOOT", FOOT),
            ("care/leg.rs", "LEG", LEG),
            ("care/log.rs", "GIVEN", GIVEN),
            ("adapt/plan.rs", "PLAN", PLAN),
            ("visit/decide.rs", "REPORT", REPORT),
            ("desk/live.rs", "SHEET", SHEET),
            ("desk/live.rs", "POINTS", POINTS),
        ] {
            let text = page(file);
            assert!(
                text.contains(&format!("{name}_FORMAT: &str = \"{format}\"")),
                "{file}: {name}"
            );
            assert!(
                text.contains(&format!("VERSION: u32 = {version};")),
                "{file}"
            );
        }
    }

    #[test]
    fn a_rung_comes_apart_into_side_and_key() {
        let plan = KeptPlan {
            taken: vec!["left:orthosis".into(), "therapy".into()],
            ..KeptPlan::default()
        };
        let rungs: Vec<_> = plan.rungs().collect();
        assert_eq!(rungs, [(Some(Side::Left), "orthosis"), (None, "therapy")]);
    }
}

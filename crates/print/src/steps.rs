//! What was done to a sheet, as data: each step found or set by hand.
//!
//! Places are cells of the sheet as it came. A hand's correction changes a step; numbers are computed anew.

use crate::PrintError;
use crate::divide::Divide;
use crate::level::Level;
use crate::light::Light;
use crate::sheet::{Medium, Seen, Sheet};
use serde::{Deserialize, Serialize};
use terms::Side;

pub const FORMAT: &str = "tiebeam-print";
pub const VERSION: u32 = 1;

/// A place on the sheet: cells from the left, cells from the top, whole numbers at cell centres.
pub type Place = [f64; 2];

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    Found,
    ByHand,
}

/// One step and who took it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step<T> {
    pub by: By,
    pub is: T,
}

impl<T> Step<T> {
    pub fn found(is: T) -> Step<T> {
        Step { by: By::Found, is }
    }
    pub fn by_hand(is: T) -> Step<T> {
        Step { by: By::ByHand, is }
    }
    pub fn is_by_hand(&self) -> bool {
        self.by == By::ByHand
    }
}

/// Which foot, with how far the shape speaks for it: 0.5 not at all, 1 wholly.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Told {
    pub side: Side,
    pub confidence: f64,
}

/// Below this the side is asked for.
pub const SURE: f64 = 0.9;

/// The foot's long axis.
///
/// The heel's centre lies at 15 % of the toeless length from the rearmost print; across, it is the mean of the
/// midpoints between the print's borders from 5 to 10 %, where the heel is round and no arch has begun. The second toe is the centre of its print. Both hang on
/// the axis they make, so they are found in turns until they stay.
///
/// # Uncertainty
/// `turn_error_deg`, one standard deviation of the axis' direction: 1 % of the axis' length at the heel's centre
/// and 2 % at the second toe (4 % where no second toe was told and the ball stood in for it). Common practice,
/// unconfirmed: no source says how far readers differ.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    pub heel_centre: Place,
    pub second_toe: Place,
    pub turn_error_deg: f64,
}

/// The line before which print counts as toes, from the inner side to the outer; a function of the place across.
///
/// # Uncertainty
/// `error_share`: one standard deviation of its place along the foot, in shares of the foot's length: 0.6 %, about
/// half the gap between ball and toes (common practice, unconfirmed).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToeLine {
    pub places: Vec<Place>,
    pub error_share: f64,
}

/// What the person at the desk should look at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Doubt {
    NoScale,
    MediumGuessed,
    SideUnsure,
    BothTheSameSide,
    DirectionUnsure,
    ToesNotTold,
    SecondToeNotTold,
    LeftOutAtTheEdge,
    LightEvened,
    PartedByALine,
    BroadForOneFoot,
}

impl Doubt {
    pub fn words(self) -> &'static str {
        match self {
            Doubt::NoScale => "the scale is not known: ratios and angles only",
            Doubt::MediumGuessed => {
                "the kind of print is a guess; check it, for it decides which side is which"
            }
            Doubt::SideUnsure => {
                "the shape does not say surely whether it is the left or the right foot; say which"
            }
            Doubt::BothTheSameSide => "both prints look like the same side; say which is which",
            Doubt::DirectionUnsure => "heel and toes could be the other way round; check the axis",
            Doubt::ToesNotTold => {
                "no toes were told apart from the ball; set the toe line by hand if there are any"
            }
            Doubt::SecondToeNotTold => {
                "the second toe was not told; the axis runs to the ball instead; check it"
            }
            Doubt::LeftOutAtTheEdge => "a print that runs over the edge of the sheet was left out",
            Doubt::LightEvened => {
                "the light on the paper was uneven and was evened out; check the outline"
            }
            Doubt::BroadForOneFoot => {
                "the print is broad for one foot; if two prints touch there, set a line between them"
            }
            Doubt::PartedByALine => {
                "the two prints touch and were parted by a straight line; check it, and breadths beside it"
            }
        }
    }
}

/// The steps of one foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FootSteps {
    /// One place well inside each part that belongs to the foot.
    pub parts: Step<Vec<Place>>,
    pub side: Step<Told>,
    pub axis: Step<Axis>,
    pub toe_line: Step<ToeLine>,
    /// Heel end and ball end; `None` where the print gives none. Found ones follow the print when it is read.
    pub inner_tangent: Step<Option<[Place; 2]>>,
    pub outer_tangent: Step<Option<[Place; 2]>>,
    /// On the axis: where the toeless print begins and ends, and its thirds between. As the tangents.
    pub thirds: Step<[Place; 4]>,
    pub doubts: Vec<Doubt>,
}

/// All steps of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Steps {
    pub format: String,
    pub version: u32,
    pub medium: Step<Medium>,
    pub seen: Step<Seen>,
    /// Steps that say nothing of it were taken as it came.
    #[serde(default = "as_it_came")]
    pub light: Step<Light>,
    pub level: Step<Level>,
    /// The line between two prints that touch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub divide: Option<Step<Divide>>,
    /// One or two, from the left of the sheet.
    pub feet: Vec<FootSteps>,
}

fn as_it_came() -> Step<Light> {
    Step::found(Light::AsItCame)
}

impl Steps {
    /// # Errors
    /// Text that is not such steps.
    pub fn from_json(text: &str) -> Result<Steps, PrintError> {
        let steps: Steps = serde_json::from_str(text).map_err(|e| PrintError::BadSteps {
            found: crate::error::quote(&e.to_string()),
            expected: "steps of a print",
        })?;
        steps.checked()?;
        Ok(steps)
    }

    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    fn checked(&self) -> Result<(), PrintError> {
        let bad = |found: String, expected| Err(PrintError::BadSteps { found, expected });
        if self.format != FORMAT || self.version != VERSION {
            let found = format!("{} {}", crate::error::quote(&self.format), self.version);
            return bad(found, "tiebeam-print of version 1");
        }
        if !(1..=2).contains(&self.feet.len()) {
            return bad(format!("{} feet", self.feet.len()), "one or two feet");
        }
        let level = self.level.is;
        if !level.at.is_finite() || !(0.0..1e9).contains(&level.standard_error) {
            return bad(format!("the level {}", level.at), "a finite level");
        }
        if let Some(Divide {
            line: [a, b],
            standard_error_cells: error,
        }) = self.divide.as_ref().map(|d| d.is)
        {
            let apart = (a[0] - b[0]).hypot(a[1] - b[1]);
            let near = a.iter().chain(&b).all(|c| c.abs() <= 1e6);
            if !near || apart < 1.0 || !(0.0..=1e5).contains(&error) {
                return bad(
                    "a dividing line of no length".into(),
                    "two places apart on the sheet",
                );
            }
        }
        let places = self.feet.iter().flat_map(|f| {
            let axis = [f.axis.is.heel_centre, f.axis.is.second_toe];
            let tangents = [f.inner_tangent.is, f.outer_tangent.is];
            f.parts
                .is
                .iter()
                .copied()
                .chain(axis)
                .chain(f.toe_line.is.places.iter().copied())
                .chain(tangents.into_iter().flatten().flatten())
                .chain(f.thirds.is)
        });
        let far = |p: Place| p.iter().any(|c| !c.is_finite() || c.abs() > 1e6);
        if places.clone().any(far) || places.count() > 100_000 {
            return bad("a place far off the sheet".into(), "places on the sheet");
        }
        for f in &self.feet {
            let (a, b) = (f.axis.is.heel_centre, f.axis.is.second_toe);
            if (a[0] - b[0]).hypot(a[1] - b[1]) < 1.0 {
                return bad("an axis of no length".into(), "heel and second toe apart");
            }
            let errors = [f.axis.is.turn_error_deg, f.toe_line.is.error_share];
            if errors.iter().any(|e| !(0.0..=45.0).contains(e)) {
                return bad(format!("errors {errors:?}"), "errors of at least 0");
            }
            if f.toe_line.is.places.len() < 2 || f.parts.is.is_empty() {
                return bad("no toe line or no parts".into(), "both in each foot");
            }
        }
        Ok(())
    }

    /// # Errors
    /// As [`Steps::from_json`], for steps that were changed in memory.
    pub fn check(&self, _sheet: &Sheet) -> Result<(), PrintError> {
        self.checked()
    }
}

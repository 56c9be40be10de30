//! Which device could be ordered for this foot, value by value, and why each?
//!
//! * [`propose`] answers whether a device can be proposed at all, and drafts a prescription;
//! * [`limits`] holds any prescription against what is known of the person;
//! * [`expected_effect`] tells what a post was seen to do, as a band.
//!
//! Geometry and making are judged in `shell`, strength in `strength`. Everything stays editable: a value
//! says whether it was published, or only its direction, or is a workshop convention.
//!
//! One surprise: the rearfoot's tilt is made of two parts, the positive's inversion and the post. Their sum
//! is what the heel has to follow, so the sum is held against what the heel passively does.

mod around;
mod draft;
mod effect;
mod gate;
mod input;
pub mod limits;
mod rearfoot;
mod reason;
mod text;
mod thickness;
mod values;

pub use draft::Draft;
pub use effect::{ExpectedEffect, expected_effect};
pub use input::{Asked, FootSize, Making, OrthosisInput, ShoeRoom};
pub use limits::{Bone, EdgeAtBone, Limit, LimitFacts, Severity, limits};
pub use reason::{About, Alternative, Footing, Proposal, Reason};
pub use thickness::{Change, equally_stiff_mm};

use crate::propose::Standing;
use gate::Path;
use input::Facts;
use knowledge::Knowledge;
use serde::{Deserialize, Serialize};
use terms::Side;

/// Why something could not be answered. One sentence.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OrthosisError {
    #[error(
        "found a post of {found}°; expected one of {from}° to {to}°, for which the effect was studied; no effect is told for others"
    )]
    NotStudied { found: String, from: f64, to: f64 },
}

/// A first proposal of a device for one foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OrthosisProposal {
    pub side: Side,
    pub standing: Standing,
    /// Why it is proposed, waits, or is not proposed.
    pub because: Vec<Reason>,
    /// `None` where no device is proposed.
    pub draft: Option<Draft>,
    /// What is not known, and what it would change.
    pub unknown: Vec<Unknown>,
    /// What holds for the device as a whole.
    pub cautions: Vec<Reason>,
    /// What the proposed post was seen to do; `None` without a post, and for children.
    pub effect: Option<ExpectedEffect>,
}

/// One thing that nobody recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unknown {
    pub what: String,
    /// Questions of the examination, or fields of the order form, that would answer it.
    pub ask: Vec<String>,
    pub would_change: String,
}

impl OrthosisProposal {
    /// The proposal as plain text.
    pub fn text(&self) -> String {
        text::proposal(self)
    }
}

/// Proposes a device from the built-in knowledge, or says why none is proposed.
pub fn propose(input: &OrthosisInput<'_>) -> OrthosisProposal {
    let facts = Facts::of(input);
    let gate = gate::gate(input, &facts);
    let mut unknown = gate.unknown;
    let mut cautions = Vec::new();
    let draft = gate.path.map(|path| {
        let mut values = values::Values::new(&facts, path);
        let draft = values.draft();
        unknown.extend(values.unknown);
        cautions = values.cautions;
        draft
    });
    let post = draft
        .as_ref()
        .and_then(|d| d.rearfoot_post.value)
        .map(|p| p.angle.to_degrees());
    let grown_up = gate.path.is_some_and(|p| p != Path::Child);
    OrthosisProposal {
        side: input.report.side,
        standing: gate.standing,
        because: gate.because,
        effect: post
            .filter(|_| grown_up)
            .and_then(|degrees| expected_effect(degrees).ok()),
        draft,
        unknown,
        cautions,
    }
}

/// Rows of the built-in knowledge by key.
///
/// # Panics
/// If the built-in knowledge lacks the row, which the tests of this crate rule out.
mod row {
    use super::Knowledge;
    use knowledge::orthosis::{Advice, Agreement, Effect, Ordered, Parameter, Setting, When};

    pub(crate) fn setting(key: &str) -> &'static Setting {
        let found = Knowledge::built_in().orthosis().setting(key);
        found.unwrap_or_else(|| panic!("the built-in knowledge lacks the setting {key}"))
    }

    pub(crate) fn agreement(parameter: Parameter, choice: &str, when: When) -> &'static Agreement {
        let found = Knowledge::built_in()
            .orthosis()
            .agreement(parameter, choice, when);
        found.unwrap_or_else(|| {
            panic!("the built-in knowledge lacks the agreement {choice} {when:?}")
        })
    }

    pub(crate) fn ordered(key: &str) -> &'static Ordered {
        let found = Knowledge::built_in().orthosis().ordered(key);
        found.unwrap_or_else(|| panic!("the built-in knowledge lacks the order {key}"))
    }

    pub(crate) fn effect(key: &str) -> &'static Effect {
        let found = Knowledge::built_in().orthosis().effect(key);
        found.unwrap_or_else(|| panic!("the built-in knowledge lacks the effect {key}"))
    }

    pub(crate) fn advice(key: &str) -> &'static Advice {
        let all = &Knowledge::built_in().orthosis().advice;
        let found = all.iter().find(|a| a.key == key);
        found.unwrap_or_else(|| panic!("the built-in knowledge lacks the advice {key}"))
    }

    /// The usual amount of a setting, in its unit.
    pub(crate) fn usual(key: &str) -> f64 {
        let found = setting(key).amount.usual();
        found.unwrap_or_else(|| panic!("the setting {key} has no amount"))
    }

    /// Lower and upper end of a setting.
    pub(crate) fn band(key: &str) -> [f64; 2] {
        let found = setting(key).amount.band();
        found.unwrap_or_else(|| panic!("the setting {key} has no band"))
    }
}

//! What the answers add up to, with bounds where an item was not looked at.
//!
//! A total is given as the lowest and the highest it can be; it is one number only when every item
//! was answered. Nothing here decides anything: limits and yardsticks belong to `stage`.

use crate::{Examination, RedFlags, Story};

/// A sum of items, some of which may be open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Total {
    /// Lowest the total can be.
    pub low: i32,
    /// Highest the total can be.
    pub high: i32,
    pub answered: usize,
    pub items: usize,
}

impl Total {
    /// The total, when every item was answered.
    pub fn exact(&self) -> Option<i32> {
        (self.low == self.high).then_some(self.low)
    }

    fn of(items: impl IntoIterator<Item = (Option<i32>, i32, i32)>) -> Total {
        items.into_iter().fold(
            Total {
                low: 0,
                high: 0,
                answered: 0,
                items: 0,
            },
            |t, (value, min, max)| Total {
                low: t.low + value.unwrap_or(min),
                high: t.high + value.unwrap_or(max),
                answered: t.answered + usize::from(value.is_some()),
                items: t.items + 1,
            },
        )
    }

    /// `7 of 9`, or `3 to 6 (2 of 9 items open)`.
    pub fn words(&self) -> String {
        match self.exact() {
            Some(total) if self.answered == self.items => format!("{total}"),
            _ if self.answered == 0 => "not looked at".to_owned(),
            _ => format!(
                "{} to {} ({} of {} items open)",
                self.low,
                self.high,
                self.items - self.answered,
                self.items
            ),
        }
    }
}

/// Keys of the six posture items.
pub const POSTURE_ITEMS: [&str; 6] = [
    "posture_talar_head",
    "posture_malleolar_curves",
    "posture_heel",
    "posture_bulge",
    "posture_arch",
    "posture_forefoot",
];

/// Keys of the nine laxity items.
pub const LAXITY_ITEMS: [&str; 9] = [
    "laxity_little_finger_left",
    "laxity_little_finger_right",
    "laxity_thumb_left",
    "laxity_thumb_right",
    "laxity_elbow_left",
    "laxity_elbow_right",
    "laxity_knee_left",
    "laxity_knee_right",
    "laxity_palms",
];

/// The nine items that add a point to the clot rule; `dvt_other_likely` takes two off.
pub const CLOT_ITEMS: [&str; 9] = [
    "dvt_cancer",
    "dvt_cast",
    "dvt_bed",
    "dvt_tender",
    "dvt_whole_leg",
    "dvt_calf",
    "dvt_pitting",
    "dvt_collateral",
    "dvt_before",
];

/// The six-item posture total, −12 to +12.
///
/// # Sources
/// Redmond2006, Redmond2008 (items and range; words of our own).
pub fn posture_total(exam: &Examination) -> Total {
    Total::of(POSTURE_ITEMS.iter().map(|key| {
        let points = exam
            .choice(key)
            .value()
            .and_then(|c| c.trim_start_matches('+').parse().ok());
        (points, -2, 2)
    }))
}

/// The nine-point laxity total.
///
/// # Sources
/// BMJBeighton.
pub fn laxity_total(story: &Story) -> Total {
    Total::of(
        LAXITY_ITEMS
            .iter()
            .map(|key| (story.yes(key).map(i32::from), 0, 1)),
    )
}

/// The clot rule's points, −2 to 9.
///
/// # Sources
/// Wells.
pub fn clot_total(flags: &RedFlags) -> Total {
    let plus = CLOT_ITEMS
        .iter()
        .map(|key| (flags.yes(key).map(i32::from), 0, 1));
    let minus = (
        flags
            .yes("dvt_other_likely")
            .map(|y| if y { -2 } else { 0 }),
        -2,
        0,
    );
    Total::of(plus.chain([minus]))
}

/// Body-mass index in kg/m², where weight and height are both known.
pub fn body_mass_index(story: &Story) -> Option<f64> {
    let (kg, cm) = (
        story.number("weight_kg").value()?,
        story.number("height_cm").value()?,
    );
    Some(kg / (cm / 100.0).powi(2))
}

/// Heel rises of this foot over those of the other; the other leg is a fair yardstick if healthy.
///
/// # Sources
/// SleeswijkVisser2025 (no difference between sides in healthy people).
pub fn heel_rise_side_ratio(this: &Examination, other: &Examination) -> Option<f64> {
    let (a, b) = (
        this.number("heel_rise_count").value()?,
        other.number("heel_rise_count").value()?,
    );
    (b > 0.0).then(|| a / b)
}

/// What the ankle gains when the knee bends, in degrees.
pub fn silfverskiold_gain(exam: &Examination) -> Option<f64> {
    Some(
        exam.number("dorsiflexion_bent_deg").value()?
            - exam.number("dorsiflexion_straight_deg").value()?,
    )
}

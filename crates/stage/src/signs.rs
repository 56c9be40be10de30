//! Signs: what several questions and readings witness together.
//!
//! The knowledge folder says which answers and cuts count and how criteria add up to a stage. What it has no
//! words for stays here: that witnesses of one thing have to agree, that published limits which differ
//! leave a number between them open, and that a limit changes with age. A criterion of the folder takes a
//! sign in by its name, as if it were a question answered with yes or no.

use crate::evidence::Ask::{self, Against, Film, Laxity, Number, Of, Total};

/// One sign and its witnesses. An answer speaks through a criterion of the folder, a number through the cuts
/// that `thresholds` finds for the sign.
pub(crate) struct Sign {
    pub key: &'static str,
    /// One yes is enough and a no needs them all; otherwise they have to agree, and who disagrees leaves
    /// nothing known.
    pub any_of: bool,
    pub asks: &'static [Ask],
}

const fn sign(key: &'static str, asks: &'static [Ask]) -> Sign {
    Sign {
        key,
        any_of: false,
        asks,
    }
}

pub(crate) const SIGNS: &[Sign] = &[
    sign(
        "heel_valgus",
        &[
            Of("heel_clearly_out"),
            Number("heel_angle_deg"),
            Film("hma"),
            Film("haa"),
        ],
    ),
    // A joint that does not move speaks against; one that moves says nothing of how far the heel comes.
    sign(
        "heel_flexible",
        &[Of("heel_comes_to_neutral"), Against("subtalar_stiff")],
    ),
    sign("arch_line_broken", &[Film("meary_lat")]),
    sign(
        "forefoot_abducted",
        &[
            Of("forefoot_seen_to_drift"),
            Number("toes_seen"),
            Film("tnca"),
            Film("tn_uncov"),
            Film("t1mt_dp"),
        ],
    ),
    sign("ankle_valgus", &[Of("ankle_seen_to_tilt"), Of("co_E_tilt")]),
    sign("cord_tight", &[Number("dorsiflexion_straight_deg")]),
    sign("posture_pronated", &[Total("posture_total")]),
    sign("loose_joints", &[Laxity]),
];

pub(crate) fn sign_named(key: &str) -> Option<&'static Sign> {
    SIGNS.iter().find(|s| s.key == key)
}

impl Sign {
    /// The criteria of the folder that witness it.
    pub fn criteria(&self) -> impl Iterator<Item = &'static str> {
        self.asks.iter().filter_map(|ask| match ask {
            Of(key) | Against(key) => Some(*key),
            _ => None,
        })
    }
}

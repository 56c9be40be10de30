//! Which landmarks tell how the foot lies on the film: forward, up, outer side.
//!
//! These pairs follow from the definitions of the landmarks, not from any norm: the head of the first
//! metatarsal is in front of the heel in every foot, the upper corner of a bone above the lower one.
//! Without them a film that was flipped or turned would read with the wrong sign.

use terms::View;

/// A pair of landmarks, the second further along than the first.
pub(crate) type Pair = (&'static str, &'static str);

/// What the frame of a view is found from.
pub(crate) struct Witnesses {
    /// Along the view's x axis: forward on the lateral view, to the outer side on the others.
    pub x: &'static [Pair],
    /// Along the view's y axis: up, or towards the toes on the dorsoplantar view.
    pub y: &'static [Pair],
    /// Pairs of the x axis that outweigh the others, where they are placed.
    pub x_first: &'static [Pair],
    /// The axis that is long on the film and so gives the direction; the other gives the hand.
    pub long_axis: LongAxis,
    /// What to place when the x axis cannot be told.
    pub x_help: &'static str,
    /// What to place when the y axis cannot be told.
    pub y_help: &'static str,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum LongAxis {
    X,
    Y,
}

pub(crate) fn witnesses(view: View) -> &'static Witnesses {
    match view {
        View::Lateral => &LATERAL,
        View::Dorsoplantar => &DORSOPLANTAR,
        View::HindfootAlignment => &HINDFOOT,
        View::AnkleFront => &ANKLE,
    }
}

static LATERAL: Witnesses = Witnesses {
    x: &[
        ("calc_back", "mt1_head_centre"),
        ("calc_plantar_tuber", "calc_plantar_front"),
        ("talus_back_low", "talus_head_low"),
        ("talus_dome_top", "talus_head_top"),
        ("mt1_base_low", "mt1_head_centre"),
        ("mt5_base_low", "mt5_head_low"),
        ("calc_back", "mt1_head_front"),
        ("calc_back", "hallux_tip"),
        ("calc_back", "nav_low"),
    ],
    y: &[
        ("calc_plantar_tuber", "talus_dome_top"),
        ("talus_back_low", "talus_dome_top"),
        ("talus_head_low", "talus_head_top"),
        ("mt1_base_low", "mt1_base_top"),
        ("cuboid_low", "calc_cuboid_top"),
        ("calc_plantar_tuber", "calc_cuboid_top"),
    ],
    x_first: &[],
    long_axis: LongAxis::X,
    x_help: "place calc_back and mt1_head_centre, or calc_plantar_tuber and calc_plantar_front",
    y_help: "place talus_dome_top and talus_back_low",
};

static DORSOPLANTAR: Witnesses = Witnesses {
    x: &[
        ("dp_talus_neck_med", "dp_talus_neck_lat"),
        ("dp_talus_head_med", "dp_talus_head_lat"),
        ("dp_nav_med", "dp_nav_lat"),
        ("dp_calc_front_med", "dp_calc_front_lat"),
        ("dp_mt1_base_med", "dp_mt1_base_lat"),
        ("dp_mt2_base_med", "dp_mt2_base_lat"),
        ("dp_cun1_front_med", "dp_cuboid_lat_front"),
    ],
    y: &[
        ("dp_calc_back", "dp_mt2_head_centre"),
        ("dp_talus_neck_med", "dp_talus_head_med"),
        ("dp_talus_neck_lat", "dp_talus_head_lat"),
        ("dp_talus_head_med", "dp_mt1_head_centre"),
        ("dp_talus_head_lat", "dp_mt2_head_centre"),
        ("dp_mt1_base_med", "dp_mt1_head_centre"),
        ("dp_mt2_base_lat", "dp_mt2_head_centre"),
        ("dp_calc_back", "dp_calc_front_lat"),
        ("dp_calc_lat_back", "dp_calc_front_lat"),
        ("dp_cuboid_lat_back", "dp_cuboid_lat_front"),
        ("dp_talus_head_med", "dp_nav_med"),
        ("dp_talus_head_lat", "dp_nav_lat"),
    ],
    x_first: &[("dp_mt1_head_centre", "dp_mt5_head_centre")],
    long_axis: LongAxis::Y,
    x_help: "place dp_mt1_head_centre and dp_mt5_head_centre, or say the side",
    y_help: "place dp_calc_back and dp_mt2_head_centre",
};

static HINDFOOT: Witnesses = Witnesses {
    x: &[
        ("hf_tibia_high_med", "hf_tibia_high_lat"),
        ("hf_tibia_low_med", "hf_tibia_low_lat"),
        ("hf_calc_upper_med", "hf_calc_upper_lat"),
        ("hf_calc_lower_med", "hf_calc_lower_lat"),
    ],
    y: &[
        ("hf_tibia_low_med", "hf_tibia_high_med"),
        ("hf_tibia_low_lat", "hf_tibia_high_lat"),
        ("hf_calc_low", "hf_tibia_low_med"),
        ("hf_calc_low", "hf_tibia_low_lat"),
    ],
    x_first: &[
        ("hf_tibia_low_med", "hf_lat_mall"),
        ("hf_tibia_low_lat", "hf_lat_mall"),
    ],
    long_axis: LongAxis::Y,
    x_help: "place hf_lat_mall and the borders of the shin bone, or say the side",
    y_help: "place the borders of the shin bone at two levels",
};

static ANKLE: Witnesses = Witnesses {
    x: &[
        ("an_tibia_high_med", "an_tibia_high_lat"),
        ("an_tibia_low_med", "an_tibia_low_lat"),
        ("an_plafond_med", "an_plafond_lat"),
        ("an_dome_med", "an_dome_lat"),
    ],
    y: &[
        ("an_tibia_low_med", "an_tibia_high_med"),
        ("an_tibia_low_lat", "an_tibia_high_lat"),
        ("an_plafond_med", "an_tibia_high_med"),
        ("an_plafond_lat", "an_tibia_high_lat"),
        ("an_dome_med", "an_tibia_low_med"),
        ("an_dome_lat", "an_tibia_low_lat"),
        ("an_dome_med", "an_plafond_med"),
        ("an_dome_lat", "an_plafond_lat"),
    ],
    x_first: &[
        ("an_tibia_low_med", "an_lat_mall"),
        ("an_tibia_low_lat", "an_lat_mall"),
    ],
    long_axis: LongAxis::Y,
    x_help: "place an_lat_mall and the borders of the shin bone, or say the side",
    y_help: "place the borders of the shin bone at two levels",
};

#[cfg(test)]
mod tests {
    use super::*;
    use knowledge::Knowledge;
    use terms::LandmarkKey;

    #[test]
    fn every_witness_is_a_landmark_of_its_view() {
        for view in View::ALL {
            let w = witnesses(view);
            for (a, b) in w.x.iter().chain(w.y).chain(w.x_first) {
                for key in [a, b] {
                    let key = LandmarkKey::new(*key).expect("a good key");
                    let landmark = Knowledge::built_in().landmark(&key);
                    assert_eq!(landmark.map(|l| l.view), Some(view), "{key}");
                }
            }
        }
    }
}

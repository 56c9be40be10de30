//! How does the foot stand? Clinical quantities in, one rigid motion for each bone out.
//!
//! The chain starts at the upright tibia: the talus dips, tilts and turns inwards with the leg; the
//! calcaneus turns under it about the subtalar axis; the midfoot hangs on the talar head and turns out
//! with its abduction; the forefoot is set down on its outer and inner ray. Bones stay rigid, so a joint
//! far from its plain position no longer fits exactly: the cuboid is let down with the calcaneus to keep
//! its own joint, and gives a little against its inner neighbours.

use crate::bones::plan;
use crate::bones::solid::P;
use crate::foot::BadSpec;
use nalgebra::{Isometry3, Rotation3, Translation3, Unit, UnitQuaternion};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::Joint;

/// A stance in clinical quantities, each a change from the plain foot.
///
/// # Units
/// Degrees and millimetres.
///
/// # Sign
/// Plus is always the way of a collapsing foot, save for the calcaneal pitch, which falls.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(default, deny_unknown_fields)]
pub struct Pose {
    /// + = heel to the outer side, leg upright.
    pub hindfoot_valgus_deg: f64,
    /// + = front of the heel bone higher.
    pub calcaneal_pitch_deg: f64,
    /// + = head of the talus lower.
    pub talar_declination_deg: f64,
    /// Navicular (and all before it) to the outer side of the talar head is plus; beyond what the talus
    /// turns inwards over the heel bone by itself.
    pub talonavicular_abduction_deg: f64,
    /// + = inner border of the forefoot higher.
    pub forefoot_varus_deg: f64,
    /// First metatarsal turned up in its joint with the cuneiform is plus; its head stays on the floor, so
    /// the inner column sags.
    pub first_ray_elevation_deg: f64,
    /// + = talus leans into valgus under the tibia.
    pub ankle_tilt_deg: f64,
    /// How much of its space a joint has lost, mm.
    pub narrowing_mm: BTreeMap<Joint, f64>,
}

/// Largest loss of joint space: about half a millimetre stays, so that bones never touch by this alone.
pub const MOST_NARROWING_MM: f64 = 2.0;

impl Pose {
    /// The plain foot: its angles are those of a normal adult standing film.
    pub fn neutral() -> Pose {
        Pose::default()
    }

    /// A collapsing flatfoot, from 0 (plain) to 1 (as far as this foot goes), all parts in proportion.
    /// The proportions are chosen by hand so that at 1 the readings lie at the far end of published
    /// patient groups; they are not a fit to patients.
    pub fn arch_collapse(degree: f64) -> Pose {
        let c = degree.clamp(0.0, 1.0);
        Pose {
            hindfoot_valgus_deg: 9.0 * c,
            calcaneal_pitch_deg: -8.0 * c,
            talar_declination_deg: 14.0 * c,
            talonavicular_abduction_deg: 13.0 * c,
            forefoot_varus_deg: 1.0 * c,
            first_ray_elevation_deg: 5.0 * c,
            ankle_tilt_deg: 0.0,
            narrowing_mm: BTreeMap::new(),
        }
    }

    /// Refuses numbers that are not numbers or beyond what the rigid bones can follow.
    pub fn check(&self) -> Result<(), BadSpec> {
        let angles = [
            ("hindfoot valgus in degrees", self.hindfoot_valgus_deg, 20.0),
            ("calcaneal pitch in degrees", self.calcaneal_pitch_deg, 20.0),
            (
                "talar declination in degrees",
                self.talar_declination_deg,
                25.0,
            ),
            (
                "talonavicular abduction in degrees",
                self.talonavicular_abduction_deg,
                35.0,
            ),
            ("forefoot varus in degrees", self.forefoot_varus_deg, 15.0),
            (
                "first-ray elevation in degrees",
                self.first_ray_elevation_deg,
                15.0,
            ),
            ("ankle tilt in degrees", self.ankle_tilt_deg, 15.0),
        ];
        for (what, found, most) in angles {
            if !found.is_finite() || found.abs() > most {
                return Err(BadSpec {
                    what,
                    found,
                    expected: "a change from the plain foot of at most 15 to 35° (20° for the heel); give a smaller one",
                });
            }
        }
        for &found in self.narrowing_mm.values() {
            if !(0.0..=MOST_NARROWING_MM).contains(&found) {
                return Err(BadSpec {
                    what: "loss of joint space in mm",
                    found,
                    expected: "0 to 2 mm; give a number within it",
                });
            }
        }
        Ok(())
    }

    fn narrowing(&self, joint: Joint) -> f64 {
        self.narrowing_mm.get(&joint).copied().unwrap_or(0.0)
    }
}

/// One person's plain skeleton: the plan, stretched a little along the axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Skeleton {
    pub stretch: P,
}

impl Skeleton {
    pub fn at(&self, plan: P) -> P {
        plan.component_mul(&self.stretch)
    }
}

/// Subtalar axis: 42° up and 16° to the inner side of the foot's length.
///
/// # Sources
/// Manter 1941, 16 cadaver feet (means read in an excerpt).
pub(crate) fn subtalar_axis() -> Unit<P> {
    let (up, inner) = (42f64.to_radians(), 16f64.to_radians());
    Unit::new_normalize(P::new(
        up.cos() * inner.cos(),
        up.sin(),
        -up.cos() * inner.sin(),
    ))
}

/// The motion of every group of bones from the (stretched) plan to the standing foot.
#[derive(Debug, Clone)]
pub(crate) struct Stance {
    leg: Isometry3<f64>,
    talus: Isometry3<f64>,
    calcaneus: Isometry3<f64>,
    navicular: Isometry3<f64>,
    cuneiforms: Isometry3<f64>,
    first_ray: Isometry3<f64>,
    middle_rays: Isometry3<f64>,
    cuboid: Isometry3<f64>,
    outer_rays: Isometry3<f64>,
    toes: [Isometry3<f64>; 5],
}

impl Stance {
    /// Where the bone of this name goes.
    pub fn of(&self, bone: &str) -> Isometry3<f64> {
        match bone {
            "tibia" | "fibula" => self.leg,
            "talus" => self.talus,
            "calcaneus" => self.calcaneus,
            "navicular" => self.navicular,
            "cuboid" => self.cuboid,
            "metatarsal 1" | "medial sesamoid" | "lateral sesamoid" => self.first_ray,
            "metatarsal 2" | "metatarsal 3" => self.middle_rays,
            "metatarsal 4" | "metatarsal 5" => self.outer_rays,
            toe if toe.starts_with("toe ") => {
                let n = toe
                    .as_bytes()
                    .get(4)
                    .map_or(0, |d| usize::from(d.wrapping_sub(b'1')));
                self.toes[n.min(4)]
            }
            _ => self.cuneiforms,
        }
    }

    /// Sets the foot up: hindfoot first, heel on the floor, then the forefoot.
    pub fn of_pose(pose: &Pose, skeleton: &Skeleton, calcaneus: &CalcaneusPoints) -> Stance {
        let (talus, calcaneus_motion, inwards) = hindfoot(pose, skeleton, calcaneus);
        // Down or up until the heel is as high as in the plain foot, and as far back.
        let lowest = |m: &Isometry3<f64>| {
            calcaneus
                .heel
                .iter()
                .map(|&q| move_point(m, q).y)
                .fold(f64::INFINITY, f64::min)
        };
        let back = |m: &Isometry3<f64>| {
            calcaneus
                .heel
                .iter()
                .map(|&q| move_point(m, q).x)
                .fold(f64::INFINITY, f64::min)
        };
        let still = Isometry3::identity();
        let settle = Translation3::new(
            back(&still) - back(&calcaneus_motion),
            lowest(&still) - lowest(&calcaneus_motion),
            0.0,
        );
        let talus = settle * talus;
        let calcaneus_motion = settle * calcaneus_motion;
        let turn = Rotation3::from_axis_angle(&P::y_axis(), inwards.to_radians());
        let ankle = skeleton.at(plan::ankle());
        let above = move_point(&talus, ankle) - P::y() * pose.narrowing(Joint::Ankle);
        let leg = about(ankle, turn, above);
        forefoot(pose, skeleton, leg, talus, calcaneus_motion)
    }
}

/// Points of the calcaneus in the stretched plan by which it is set up.
#[derive(Debug, Clone)]
pub(crate) struct CalcaneusPoints {
    /// Those that may touch the floor or lie rearmost.
    pub heel: Vec<P>,
    /// Ends of the pitch line.
    pub tuber: P,
    pub front: P,
}

fn move_point(m: &Isometry3<f64>, q: P) -> P {
    (m * nalgebra::Point3::from(q)).coords
}

/// Turns about `pivot` and carries it to `to`.
fn about(pivot: P, turn: Rotation3<f64>, to: P) -> Isometry3<f64> {
    Isometry3::from_parts(
        Translation3::from(to - turn * pivot),
        UnitQuaternion::from_rotation_matrix(&turn),
    )
}

fn shift(by: P, m: &Isometry3<f64>) -> Isometry3<f64> {
    Translation3::from(by) * m
}

/// How far the talus slips forward over the heel bone for each degree that this turns outwards.
const SLIP_MM_A_DEGREE: f64 = 0.5;

/// Talus in the ankle, calcaneus under the talus, and by how much leg and talus turn inwards (degrees).
fn hindfoot(
    pose: &Pose,
    skeleton: &Skeleton,
    points: &CalcaneusPoints,
) -> (Isometry3<f64>, Isometry3<f64>, f64) {
    let about_axis = |axis: &Unit<P>, deg: f64| Rotation3::from_axis_angle(axis, deg.to_radians());
    let ankle = skeleton.at(plan::ankle());
    // The heel bone keeps its direction; leg and talus turn in over it, and the forefoot turns out before it.
    let inwards = |evert: f64| evert * subtalar_axis().y;
    let talus_of = |evert: f64| {
        let talus_turn = about_axis(&P::y_axis(), inwards(evert))
            * about_axis(&P::x_axis(), -pose.ankle_tilt_deg)
            * about_axis(&P::z_axis(), -pose.talar_declination_deg);
        about(ankle, talus_turn, ankle)
    };
    // Turning outwards the heel bone also slides back under the talus: 0.15 mm a degree along the axis (a
    // screw; Manter 1941, from memory, unconfirmed), and as the foot collapses the talus slips forward on
    // the slope of the posterior facet, so that the line of the midtarsal joints breaks forwards (common
    // practice; how far is chosen by eye). The subtalar axis runs through the neck, a little above the head's centre; pitch is adjusted about
    // the middle of the posterior facet's bend.
    let hub = skeleton.at(plan::head() + P::new(-6.0, 4.0, 3.0));
    let bend = skeleton.at(plan::facet_centre());
    let motion = |evert: f64, pitch: f64| {
        let talus = talus_of(evert);
        let slide = subtalar_axis().into_inner() * (-0.15 * evert)
            + -P::x() * (SLIP_MM_A_DEGREE * evert.max(0.0));
        let evert = about(hub, about_axis(&subtalar_axis(), -evert), hub + slide);
        let pitch = about(bend, about_axis(&P::z_axis(), pitch), bend);
        talus * evert * pitch
    };
    // What the calcaneus then shows: pitch of its line against the floor, lean of its upright.
    let shown = |m: &Isometry3<f64>| {
        let line = m.rotation * (points.front - points.tuber);
        let upright = m.rotation * P::y();
        (
            line.y.atan2(line.x.hypot(line.z)).to_degrees(),
            (-upright.z).atan2(upright.y).to_degrees(),
        )
    };
    let plain = shown(&Isometry3::identity());
    let want = (
        plain.0 + pose.calcaneal_pitch_deg,
        plain.1 + pose.hindfoot_valgus_deg,
    );
    let (mut evert, mut pitch) = (pose.hindfoot_valgus_deg, pose.calcaneal_pitch_deg);
    for _ in 0..20 {
        let now = shown(&motion(evert, pitch));
        let by_evert = shown(&motion(evert + 0.1, pitch));
        let by_pitch = shown(&motion(evert, pitch + 0.1));
        let (a, b) = ((by_evert.0 - now.0) / 0.1, (by_pitch.0 - now.0) / 0.1);
        let (c, d) = ((by_evert.1 - now.1) / 0.1, (by_pitch.1 - now.1) / 0.1);
        let (e, f) = (want.0 - now.0, want.1 - now.1);
        let det = a * d - b * c;
        if det.abs() < 1e-9 {
            break;
        }
        evert += (e * d - b * f) / det;
        pitch += (a * f - e * c) / det;
    }
    // Lost joint space: the heel bone comes up against the talus.
    let talus = talus_of(evert);
    let closer = talus.rotation * P::new(-0.35, 0.94, 0.0) * pose.narrowing(Joint::Subtalar);
    (talus, shift(closer, &motion(evert, pitch)), inwards(evert))
}

/// How much of the way the cuboid follows the calcaneus rather than the navicular.
const CUBOID_FOLLOWS_CALCANEUS: f64 = 0.85;

/// Midfoot on the talar head, forefoot down to the floor.
fn forefoot(
    pose: &Pose,
    skeleton: &Skeleton,
    leg: Isometry3<f64>,
    talus: Isometry3<f64>,
    calcaneus: Isometry3<f64>,
) -> Stance {
    let rays = plan::rays();
    let head = skeleton.at(plan::head());
    let cuboid_joint = skeleton.at(plan::calcaneocuboid());
    let (first, fifth) = (skeleton.at(rays[0].head), skeleton.at(rays[4].head));
    let head_now = move_point(&talus, head);
    let cuboid_joint_now = move_point(&calcaneus, cuboid_joint);
    // A turn about the upright axis carries forward to the inner side.
    let outwards =
        Rotation3::from_axis_angle(&P::y_axis(), -pose.talonavicular_abduction_deg.to_radians());
    let turn = |roll: f64, pitch: f64| {
        outwards
            * Rotation3::from_axis_angle(&P::z_axis(), pitch)
            * Rotation3::from_axis_angle(&P::x_axis(), roll)
    };
    // Inner block about the talar head; outer block shifted towards the calcaneus.
    let blocks = |roll: f64, pitch: f64| {
        let inner = about(head, turn(roll, pitch), head_now);
        let gap = cuboid_joint_now - move_point(&inner, cuboid_joint);
        (inner, shift(gap * CUBOID_FOLLOWS_CALCANEUS, &inner))
    };
    let base = skeleton.at(rays[0].base);
    let raise = Rotation3::from_axis_angle(&P::z_axis(), pose.first_ray_elevation_deg.to_radians());
    let raised = about(base, raise, base);
    let first_want =
        first.y + (fifth.z - first.z).abs() * pose.forefoot_varus_deg.to_radians().sin();
    let (mut roll, mut pitch) = (0.0f64, 0.0f64);
    for _ in 0..20 {
        let heights = |roll: f64, pitch: f64| {
            let (inner, outer) = blocks(roll, pitch);
            (
                move_point(&(inner * raised), first).y - first_want,
                move_point(&outer, fifth).y - fifth.y,
            )
        };
        let step = 1e-4;
        let (now, by_roll, by_pitch) = (
            heights(roll, pitch),
            heights(roll + step, pitch),
            heights(roll, pitch + step),
        );
        let (a, b) = ((by_roll.0 - now.0) / step, (by_pitch.0 - now.0) / step);
        let (c, d) = ((by_roll.1 - now.1) / step, (by_pitch.1 - now.1) / step);
        let det = a * d - b * c;
        if det.abs() < 1e-9 {
            break;
        }
        roll -= (now.0 * d - b * now.1) / det;
        pitch -= (a * now.1 - now.0 * c) / det;
    }
    let (inner, outer) = blocks(roll, pitch);
    let back = |joint: Joint| inner.rotation * P::new(-0.95, 0.31, 0.0) * pose.narrowing(joint);
    let navicular = shift(back(Joint::Talonavicular), &inner);
    let cuneiforms = shift(back(Joint::Naviculocuneiform), &navicular);
    let lesser = back(Joint::LesserTarsometatarsal);
    let cuboid = shift(back(Joint::Calcaneocuboid), &outer);

    let first_ray = shift(back(Joint::FirstTarsometatarsal), &cuneiforms) * raised;
    let middle_rays = shift(lesser, &cuneiforms);
    let outer_rays = shift(lesser, &cuboid);
    let carried = [
        &first_ray,
        &middle_rays,
        &middle_rays,
        &outer_rays,
        &outer_rays,
    ];
    // Toes lie on the floor whatever the metatarsals do: carried along, turned only outwards.
    let toes = [0, 1, 2, 3, 4].map(|n| {
        let at = skeleton.at(rays[n].head);
        about(at, outwards, move_point(carried[n], at))
    });
    Stance {
        leg,
        talus,
        calcaneus,
        navicular,
        cuneiforms,
        first_ray,
        middle_rays,
        cuboid,
        outer_rays,
        toes,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_subtalar_axis_rises_42_degrees_and_turns_16_inwards() {
        let a = subtalar_axis();
        assert!((a.y.asin().to_degrees() - 42.0).abs() < 1e-9);
        assert!(((-a.z).atan2(a.x).to_degrees() - 16.0).abs() < 1e-9);
    }

    #[test]
    fn a_pose_beyond_reach_or_not_a_number_is_refused() {
        assert!(
            Pose {
                hindfoot_valgus_deg: 40.0,
                ..Pose::neutral()
            }
            .check()
            .is_err()
        );
        assert!(
            Pose {
                ankle_tilt_deg: f64::NAN,
                ..Pose::neutral()
            }
            .check()
            .is_err()
        );
        let tight = Pose {
            narrowing_mm: [(Joint::Ankle, 2.5)].into(),
            ..Pose::neutral()
        };
        assert!(tight.check().is_err());
        assert!(Pose::arch_collapse(1.0).check().is_ok());
    }
}

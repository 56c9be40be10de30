//! How does a person's arch and load change the stance, and how long is the plain foot then?

use super::Load;
use super::build::Build;
use super::flesh::Flesh;
use crate::bones::solid::P;
use crate::foot::{FootSpec, Standing};
use crate::pose::Pose;

/// The stance with the person's arch and the load put in.
///
/// # Sources
/// Without load the arch rises by 3 to 6 mm: from memory, unconfirmed. How the joints share it is chosen by
/// eye.
pub(super) fn posed(pose: &Pose, build: &Build, load: Load) -> Pose {
    let rise = build.arch
        + if load == Load::Hanging {
            HANGING_RISE
        } else {
            0.0
        };
    let mut posed = pose.clone();
    posed.calcaneal_pitch_deg += 3.0 * rise;
    posed.talar_declination_deg -= 4.0 * rise;
    posed.talonavicular_abduction_deg -= 1.5 * rise;
    posed.hindfoot_valgus_deg -= 1.5 * rise;
    posed
}

/// How much of a clearly high arch the foot regains when it hangs.
const HANGING_RISE: f64 = 0.2;

/// Length of the plain standing foot of this build in plan millimetres: heel to the longest toe, along the
/// line from the heel's middle to the second metatarsal head.
pub(super) fn plain_length(foot: &FootSpec, build: &Build) -> f64 {
    let neutral = FootSpec {
        pose: posed(&Pose::neutral(), build, Load::Standing),
        ..foot.clone()
    };
    let standing = Standing::new(&neutral, crate::bones::plan_bones());
    let flesh = Flesh::new(&standing, build, true);
    let heel = flesh.heel();
    let second = flesh.carried(
        &standing,
        "metatarsal 2",
        crate::bones::plan::rays()[1].head,
    );
    let axis = P::new(second.x - heel.x, 0.0, second.z - heel.z).normalize();
    let reach = |from: P, dir: P| {
        let mut t = 0.0;
        for _ in 0..200 {
            let d = flesh.at(from + dir * t);
            t -= d * 0.7;
            if d.abs() < 1e-4 {
                break;
            }
        }
        (from + dir * t).dot(&axis)
    };
    let back = [8.0, 4.0, 0.0, -4.0]
        .map(|up| reach(heel + P::y() * up, -axis))
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let front = flesh
        .tips()
        .map(|tip| reach(tip, axis))
        .into_iter()
        .fold(f64::NEG_INFINITY, f64::max);
    front - back
}

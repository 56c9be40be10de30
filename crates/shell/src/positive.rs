//! What is the foot turned into before a shell is laid on it?
//!
//! The corrections of a prescription, in the order a maker works: the whole skin is moved (heel widened,
//! rearfoot inverted, forefoot balanced), its lower envelope taken, and then material is put on or cut off
//! (arch fill, skive). Groove and relief move the surface along its normal and wait for the layout.
//!
//! One surprise: turning the rearfoot would lift or sink the heel, so the turned part is set down on the
//! ground again, and the lift fades out with the turn.

use crate::prescription::{ArchFill, Corrections, Inversion, InversionAxis, Skive};
use mesh::Mesh;
use nalgebra::{Rotation3, Unit, Vector3};
use surface::{Foot, Points, Sole};

/// A corrected sole in the foot frame, its lowest places on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Positive {
    pub sole: Sole,
    /// The foot's points, moved with the skin they lie on.
    pub points: Points,
    /// Rearmost heel to the longest toe, as captured.
    pub foot_length_mm: f64,
    /// Breadth of the heel on the corrected sole, at its middle.
    pub heel_breadth_mm: f64,
    /// Lowest place of the heel after fill and skive, above the ground.
    pub heel_floor_mm: f64,
    /// Where the skive plane lies, if there is one.
    pub skive: Option<SkivePlane>,
    /// The sole before fill and skive, to measure both against.
    pub captured: Sole,
}

/// z = `at_axis` + (y − `axis_y`) · tan(angle), in the foot frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkivePlane {
    pub axis_y: f64,
    pub at_axis: f64,
    pub slope: f64,
    pub clipped: bool,
}

impl SkivePlane {
    pub fn height(&self, y: f64) -> f64 {
        self.at_axis + (y - self.axis_y) * self.slope
    }
}

/// 0 below `from`, 1 above `to`, smooth between.
pub(crate) fn ramp(x: f64, from: f64, to: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Applies the corrections that move or reshape the foot; `step` is the grid of the sole in mm.
pub fn correct(foot: &Foot, wanted: &Corrections, step: f64) -> Positive {
    let length = foot.points.foot_length_mm();
    let heel = Heel::of(foot, length);
    // Only a skin that is moved needs a new envelope.
    let moves = wanted.heel_expansion.is_some()
        || wanted.inversion.is_some()
        || wanted.forefoot_balance.is_some();
    let mut moved = Moved {
        skin: moves.then(|| match &foot.skin {
            Some(skin) => skin.clone(),
            None => as_mesh(&foot.sole.resampled(step)),
        }),
        points: foot.points,
    };
    if let Some(widening) = wanted.heel_expansion {
        let factor = widening.to_mm() / heel.breadth;
        moved.carry(|p| {
            let share = 1.0 - ramp(p[0], heel.front, heel.front + 0.2 * length);
            [p[0], p[1] + (p[1] - heel.y) * factor * share, p[2]]
        });
    }
    if let Some(inversion) = wanted.inversion {
        let end = foot.points.first_head.at[0].min(foot.points.fifth_head.at[0]) - 0.04 * length;
        let turn = Turn::inversion(&inversion, &heel, end);
        let sunk = moved.lowest(|x| x < heel.front, |p| turn.of(p));
        moved.carry(|p| {
            let [x, y, z] = turn.of(p);
            [x, y, z - sunk * turn.share(p[0])]
        });
    }
    if let Some(balance) = wanted.forefoot_balance {
        let middle = (moved.points.first_head.at[1] + moved.points.fifth_head.at[1]) / 2.0;
        let (first, fifth) = (moved.points.first_head.at[0], moved.points.fifth_head.at[0]);
        let heads = first.max(fifth);
        let turn = Turn {
            axis: Vector3::x_axis(),
            centre: Vector3::new(0.0, middle, 0.0),
            angle: balance.to_radians(),
            from: heel.front + 0.1 * length,
            to: first.min(fifth) - 0.04 * length,
            rising: true,
        };
        let near = |x: f64| x > turn.to && x < heads + 0.04 * length;
        let sunk = moved.lowest(near, |p| turn.of(p));
        moved.carry(|p| {
            let [x, y, z] = turn.of(p);
            [x, y, z - sunk * turn.share(p[0])]
        });
    }
    let Moved { skin, points } = moved;
    let captured = match skin {
        Some(skin) => Sole::of(&skin, step),
        None => foot.sole.resampled(step),
    };
    let mut sole = captured.clone();
    fill_arch(&mut sole, wanted.arch_fill, &heel, &points, length);
    let skive = wanted
        .skive
        .and_then(|s| cut_skive(&mut sole, &s, &heel, length));
    let breadth = breadth_at(&sole, heel.x, heel.y).unwrap_or(heel.breadth);
    let floor = floor_of(&sole, heel.front);
    Positive {
        sole,
        points,
        foot_length_mm: length,
        heel_breadth_mm: breadth,
        heel_floor_mm: floor,
        skive,
        captured,
    }
}

/// The skin on its way to the positive, and the points that lie on it.
struct Moved {
    skin: Option<Mesh>,
    points: Points,
}

impl Moved {
    /// Least height that part of the skin will have.
    fn lowest(&self, at: impl Fn(f64) -> bool, to: impl Fn([f64; 3]) -> [f64; 3]) -> f64 {
        self.skin
            .iter()
            .flat_map(|skin| &skin.vertices)
            .filter(|p| at(p[0]))
            .map(|&p| to(p)[2])
            .fold(f64::INFINITY, f64::min)
            .clamp(-60.0, 60.0)
    }

    fn carry(&mut self, to: impl Fn([f64; 3]) -> [f64; 3]) {
        self.skin = self.skin.as_ref().map(|skin| skin.map(&to));
        let points = &mut self.points;
        for mark in [
            &mut points.first_head,
            &mut points.fifth_head,
            &mut points.heel_centre,
            &mut points.navicular,
            &mut points.toe_tip,
        ] {
            mark.at = to(mark.at);
        }
    }
}

/// The heel's middle and how far forward it goes.
struct Heel {
    x: f64,
    y: f64,
    breadth: f64,
    /// Where the heel ends and the arch begins.
    front: f64,
}

/// The heel reaches this share of the foot's length forward (common practice: the pad's length is about a
/// quarter of the foot).
const HEEL_SHARE: f64 = 0.26;

impl Heel {
    fn of(foot: &Foot, length: f64) -> Heel {
        let [x, y, _] = foot.points.heel_centre.at;
        Heel {
            x,
            y,
            breadth: breadth_at(&foot.sole, x, y).unwrap_or(0.27 * length),
            front: HEEL_SHARE * length,
        }
    }
}

/// Least height behind `front`; 0 where there is none.
fn floor_of(sole: &Sole, front: f64) -> f64 {
    let columns = (((front - sole.origin[0]) / sole.step).max(0.0) as usize).min(sole.size[0]);
    let least = (0..sole.size[1])
        .flat_map(|j| (0..columns).filter_map(move |i| sole.value(i, j)))
        .fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}

/// Width of the sole across x, about y.
fn breadth_at(sole: &Sole, x: f64, y: f64) -> Option<f64> {
    sole.height(x, y)?;
    let reach = |sign: f64| {
        let mut r = 0.0;
        while r < 80.0 && sole.height(x, y + sign * (r + 0.25)).is_some() {
            r += 0.25;
        }
        r
    };
    Some(reach(1.0) + reach(-1.0))
}

/// A turn that is whole on one end of the foot and fades to nothing at the other.
struct Turn {
    axis: Unit<Vector3<f64>>,
    centre: Vector3<f64>,
    angle: f64,
    from: f64,
    to: f64,
    rising: bool,
}

impl Turn {
    fn inversion(wanted: &Inversion, heel: &Heel, end: f64) -> Turn {
        let axis = match wanted.about {
            InversionAxis::Long => Vector3::x_axis(),
            InversionAxis::Oblique {
                inclination,
                inward,
            } => {
                let (i, d) = (inclination.to_radians(), inward.to_radians());
                Unit::new_normalize(Vector3::new(i.cos() * d.cos(), i.cos() * d.sin(), i.sin()))
            }
        };
        Turn {
            axis,
            centre: Vector3::new(heel.x, heel.y, 0.0),
            angle: wanted.angle.to_radians(),
            from: heel.front,
            to: end.max(heel.front + 1.0),
            rising: false,
        }
    }

    fn share(&self, x: f64) -> f64 {
        let up = ramp(x, self.from, self.to);
        if self.rising { up } else { 1.0 - up }
    }

    fn of(&self, p: [f64; 3]) -> [f64; 3] {
        let turn = Rotation3::from_axis_angle(&self.axis, self.angle * self.share(p[0]));
        (self.centre + turn * (Vector3::from(p) - self.centre)).into()
    }
}

/// Share of the captured height that is filled, and the most in mm (own judgement; no published figure:
/// makers fill "little", "some" or "much" by eye).
fn fill_of(fill: ArchFill) -> (f64, f64) {
    match fill {
        ArchFill::Minimal => (0.04, 1.0),
        ArchFill::Standard => (0.15, 3.0),
        ArchFill::Maximal => (0.32, 8.0),
    }
}

fn fill_arch(sole: &mut Sole, fill: ArchFill, heel: &Heel, points: &Points, length: f64) {
    let (share, most) = fill_of(fill);
    let heads = points.first_head.at[0];
    let (nx, step, origin) = (sole.size[0], sole.step, sole.origin);
    for (at, z) in sole.heights.iter_mut().enumerate() {
        if !z.is_finite() || *z <= 0.0 {
            continue;
        }
        let x = origin[0] + (at % nx) as f64 * step;
        let along = ramp(x, heel.front - 0.04 * length, heel.front + 0.12 * length)
            * (1.0 - ramp(x, heads - 0.22 * length, heads - 0.02 * length));
        *z -= along * most * (share * *z / most).tanh();
    }
}

/// A skive is whole up to this share of the foot's length, and fades out in front of it.
pub(crate) const SKIVE_WHOLE: f64 = HEEL_SHARE - 0.02;

/// Cuts the inner side of the heel flat; the plane is set so that the deepest cut, square to the plane,
/// is the prescribed depth.
///
/// # Sources
/// Kirby 1992 describes the 15° plane on the inner third of the heel (known from memory only).
fn cut_skive(sole: &mut Sole, skive: &Skive, heel: &Heel, length: f64) -> Option<SkivePlane> {
    let slope = skive.angle.to_radians().tan();
    let cos = skive.angle.to_radians().cos();
    let (nx, step, origin) = (sole.size[0], sole.step, sole.origin);
    let place = |at: usize| {
        (
            origin[0] + (at % nx) as f64 * step,
            origin[1] + (at / nx) as f64 * step,
        )
    };
    let fades = (SKIVE_WHOLE * length, (HEEL_SHARE + 0.08) * length);
    // Depth at a place is (plane − z) · cos; the deepest is where z − y · slope is least.
    let least = sole
        .heights
        .iter()
        .enumerate()
        .filter(|(at, z)| {
            let (x, y) = place(*at);
            z.is_finite() && x < fades.0 && !(skive.clipped && y < heel.y)
        })
        .map(|(at, z)| z - (place(at).1 - heel.y) * slope)
        .fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return None;
    }
    let plane = SkivePlane {
        axis_y: heel.y,
        at_axis: least + skive.depth.to_mm() / cos,
        slope,
        clipped: skive.clipped,
    };
    for at in 0..sole.heights.len() {
        let (x, y) = place(at);
        let share = 1.0 - ramp(x, fades.0, fades.1);
        let clip = if skive.clipped {
            ramp(y, heel.y - 1.0, heel.y + 1.0)
        } else {
            1.0
        };
        let z = &mut sole.heights[at];
        let raised = plane.height(y) - *z;
        if z.is_finite() && raised > 0.0 {
            *z += raised * share * clip;
        }
    }
    Some(plane)
}

/// The sole as a sheet of triangles, for feet that have no skin.
fn as_mesh(sole: &Sole) -> Mesh {
    let [nx, ny] = sole.size;
    let mut numbers = vec![u32::MAX; nx * ny];
    let mut sheet = Mesh::default();
    for j in 0..ny {
        for i in 0..nx {
            if let Some(z) = sole.value(i, j) {
                numbers[j * nx + i] = sheet.vertices.len() as u32;
                sheet.vertices.push([
                    sole.origin[0] + i as f64 * sole.step,
                    sole.origin[1] + j as f64 * sole.step,
                    z,
                ]);
            }
        }
    }
    for j in 0..ny.saturating_sub(1) {
        for i in 0..nx.saturating_sub(1) {
            let [a, b, c, d] =
                [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)].map(|(i, j)| numbers[j * nx + i]);
            // Seen from below, clockwise from above.
            for t in [[a, c, b], [a, d, c]] {
                if t.iter().all(|&n| n != u32::MAX) {
                    sheet.triangles.push(t);
                }
            }
        }
    }
    sheet
}

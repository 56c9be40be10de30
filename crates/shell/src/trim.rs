//! Where does the shell end on its sides?
//!
//! For every ray a length along the surface. At the heel the rim is as high as the cup is deep; along the
//! inner side it comes down to the middle of the first head, or climbs to a flange over the arch; along the
//! outer side it runs low to the fifth head. Hand edits are added last.
//!
//! Heights are those of the finished rim: its rounded top, not the line on the skin.

use crate::layout::{Front, Layout, RayPlace, V, Walk};
use crate::positive::{Positive, ramp};
use crate::prescription::Prescription;
use rayon::prelude::*;

/// An edit fades to nothing over this share of the rim to each side.
const EDIT_REACH: f64 = 0.07;
/// No rim lies nearer to the spine than this.
const NEAREST_MM: f64 = 8.0;
/// A border is looked for beyond this share of the way to the plan's border (own judgement).
const OUTER_FROM: f64 = 0.45;
/// A rim without a flange is not carried higher than this at the arch, however narrow the foot.
const HIGHEST_PLAIN_MM: f64 = 32.0;

/// 1 at 0, falling to 0 at ±1.
pub(crate) fn fade(s: f64) -> f64 {
    let s = s.abs();
    if s < 1.0 { (1.0 - s * s).powi(2) } else { 0.0 }
}

/// Rounding radius that an edge of this thickness can have.
pub(crate) fn edge_radius(wanted: &Prescription, thickness: f64) -> f64 {
    wanted.edges.radius.to_mm().clamp(0.0, thickness / 2.0)
}

/// Rim lengths for rays, in their order.
pub(crate) fn rims(
    places: &[RayPlace],
    walks: &[Walk],
    positive: &Positive,
    front: &Front,
    wanted: &Prescription,
) -> Vec<Trimmed> {
    let rim = Rim {
        length: positive.foot_length_mm,
        heel: [
            positive.points.heel_centre.at[0],
            positive.points.heel_centre.at[1],
        ],
        half_heel: positive.heel_breadth_mm / 2.0,
        navicular: positive.points.navicular.at[0],
        front,
        floor: positive.heel_floor_mm,
        cup: positive.heel_floor_mm + wanted.shell.heel_cup_depth.to_mm(),
        medial_flange: wanted.shell.medial_flange.map(|l| l.to_mm()),
        lateral_flange: wanted.shell.lateral_flange.map(|l| l.to_mm()),
        radius: edge_radius(wanted, wanted.shell.thickness.thinnest().to_mm()),
    };
    let mut out: Vec<f64> = places
        .par_iter()
        .zip(walks)
        .map(|(&p, w)| rim.plain(p, w))
        .collect();
    smooth_sides(places, &mut out);
    out.par_iter_mut()
        .zip(places)
        .zip(walks)
        .for_each(|((length, place), walk)| {
            // A flange's height is asked for as it is: smoothing its lengths would change it.
            if let Some((high, share)) = rim.flange(*place, walk) {
                *length = *length * (1.0 - share) + high * share;
            }
        });
    out.into_iter()
        .zip(places)
        .zip(walks)
        .map(|((length, place), walk)| {
            let station = place.station();
            let edited: f64 = wanted
                .shell
                .trim
                .iter()
                .filter(|edit| edit.station <= 1.0)
                .map(|e| e.outward.to_mm() * fade((station - e.station) / EDIT_REACH))
                .sum();
            let most = (walk.longest() - 1.0).max(NEAREST_MM);
            Trimmed {
                length: (length + edited).clamp(NEAREST_MM, most),
                edited,
                level: rim.level(*place, walk),
            }
        })
        .collect()
}

/// Where a ray ends.
pub(crate) struct Trimmed {
    pub length: f64,
    /// What a hand has added to it.
    pub edited: f64,
    pub level: Option<Level>,
}

/// A height that is asked for.
#[derive(Clone, Copy)]
pub(crate) struct Level {
    /// Above the ground, mm.
    pub height: f64,
    /// For a cup, its depth: what is asked for is a height above the lowest place in it.
    pub over_floor: Option<f64>,
    /// Its share in the rim.
    pub share: f64,
}

/// Moves rims of an asked height to that height on the surface as it was laid out: smoothing and reliefs have
/// moved it, and a rim is rounded square to itself, not along its ray.
pub(crate) fn level(layout: &mut Layout, trimmed: &[Trimmed], radius: f64) {
    for _ in 0..2 {
        let (from, to) = (1, layout.rays.len().saturating_sub(1));
        let shifts: Vec<f64> = (from..to)
            .into_par_iter()
            .map(|i| {
                let Some(Level { height, share, .. }) = trimmed[i].level else {
                    return 0.0;
                };
                let rim = |n: usize| layout.rays[n].rim - trimmed[n].edited;
                let ends = [i - 1, i + 1].map(|n| layout.at(n as f64, rim(n)).0);
                let (inner, outer) = (
                    layout.at(i as f64, rim(i) - 1.0).0,
                    layout.at(i as f64, rim(i) + 1.0).0,
                );
                let along = (outer - inner).try_normalize(1e-9).unwrap_or_else(V::z);
                let border = (ends[1] - ends[0]).try_normalize(1e-9).unwrap_or_else(V::x);
                let square = along.cross(&border).norm().max(0.5);
                let (back, normal) = layout.at(i as f64, rim(i) - radius / square);
                let top = back.z + normal.z * radius + radius;
                // A rim on level skin has no height that its length could change.
                let rise = along.z.max(0.35);
                share * ((height - top) / rise).clamp(-LEVELLED_BY_MM, LEVELLED_BY_MM)
            })
            .collect();
        for (ray, shift) in layout.rays[from..to].iter_mut().zip(shifts) {
            ray.rim = (ray.rim + shift).max(NEAREST_MM);
        }
    }
}

/// A rim is moved no farther than this by [`level`], each time.
const LEVELLED_BY_MM: f64 = 1.5;

struct Rim<'a> {
    length: f64,
    heel: [f64; 2],
    half_heel: f64,
    navicular: f64,
    front: &'a Front,
    /// Lowest place under the heel.
    floor: f64,
    cup: f64,
    medial_flange: Option<f64>,
    lateral_flange: Option<f64>,
    radius: f64,
}

impl Rim<'_> {
    /// The rim without a flange.
    fn plain(&self, place: RayPlace, walk: &Walk) -> f64 {
        let cup = self.at_height(walk, self.cup);
        let RayPlace::Across { inner, .. } = place else {
            return cup;
        };
        let x = walk.at(0.0).x;
        let (from, to) = (
            self.heel[0] + 0.10 * self.length,
            self.heel[0] + 0.26 * self.length,
        );
        let plan = self.at_plan(walk, inner, x);
        let side = if inner {
            plan.min(self.at_height(walk, HIGHEST_PLAIN_MM))
        } else {
            self.outer(walk, plan)
        };
        let share = ramp(x, from, to);
        cup * (1.0 - share) + side * share
    }

    /// The height that is asked for on a ray, and its share in the rim.
    fn level(&self, place: RayPlace, walk: &Walk) -> Option<Level> {
        let of_cup = |share| Level {
            height: self.cup,
            over_floor: Some(self.cup - self.floor),
            share,
        };
        let RayPlace::Across { inner, .. } = place else {
            return Some(of_cup(1.0));
        };
        let height = if inner {
            self.medial_flange
        } else {
            self.lateral_flange
        };
        let (share, x) = (self.flange_share(walk), walk.at(0.0).x);
        let cup = 1.0 - ramp(x, self.heel[0], self.heel[0] + 0.10 * self.length);
        match height {
            Some(height) if share > 0.0 => Some(Level {
                height,
                over_floor: None,
                share,
            }),
            _ if cup > 0.0 => Some(of_cup(cup)),
            _ => None,
        }
    }

    /// Share of a flange in a side's rim.
    fn flange_share(&self, walk: &Walk) -> f64 {
        let x = walk.at(0.0).x;
        let from = ramp(
            x,
            self.navicular - 0.22 * self.length,
            self.navicular - 0.06 * self.length,
        );
        let to = ramp(
            x,
            self.navicular + 0.06 * self.length,
            self.navicular + 0.20 * self.length,
        );
        from * (1.0 - to)
    }

    /// Length of a flange that is asked for, and its share in the rim there.
    fn flange(&self, place: RayPlace, walk: &Walk) -> Option<(f64, f64)> {
        let RayPlace::Across { inner, .. } = place else {
            return None;
        };
        let height = if inner {
            self.medial_flange
        } else {
            self.lateral_flange
        }?;
        let along = self.flange_share(walk);
        // What is asked for is kept where the plan would end higher, too; an arch above a low flange ends nothing.
        (along > 0.0).then(|| {
            let plan = self.at_plan(walk, inner, walk.at(0.0).x);
            let from = if inner {
                OUTER_FROM * plan
            } else {
                self.lowest(walk, plan).0
            };
            (self.at_height_beyond(walk, height, from), along)
        })
    }

    /// The outer border's lowest skin, and the length to it.
    fn lowest(&self, walk: &Walk, plan: f64) -> (f64, V) {
        walk.steps(0.5)
            .filter(|(w, _)| (OUTER_FROM * plan..=plan).contains(w))
            .min_by(|a, b| a.1.z.total_cmp(&b.1.z))
            .unwrap_or_else(|| (plan, walk.at(plan)))
    }

    /// Low along the outer side: so much above the lowest skin of the outer border.
    ///
    /// Counted from that lowest place outward. An unloaded foot may rise between its middle and its outer
    /// border; a rim that ended at the first such rise would bite into the shell.
    fn outer(&self, walk: &Walk, plan: f64) -> f64 {
        let (from, p) = self.lowest(walk, plan);
        let rise = (0.45 * self.cup).max(5.0);
        plan.min(self.at_height_beyond(walk, p.z + rise, from))
    }

    /// First length at which the top of a rounded rim reaches a height above the ground.
    ///
    /// The rim's top is the top of its inner rounding, whose middle lies a radius outside the skin and a
    /// radius back from the cut.
    fn at_height(&self, walk: &Walk, height: f64) -> f64 {
        self.at_height_beyond(walk, height, 0.0)
    }

    /// [`Rim::at_height`], looked for from a length outward.
    fn at_height_beyond(&self, walk: &Walk, height: f64, from: f64) -> f64 {
        const SPACING: f64 = 1.0;
        let radius = self.radius;
        let top = |w: f64| {
            let back = (w - radius).max(0.0);
            let (a, b) = (walk.at((back - 0.75).max(0.0)), walk.at(back + 0.75));
            let along = (b - a).try_normalize(1e-9).unwrap_or(V::z());
            // The outward normal lies in the ray's upright plane: down where the surface is level.
            let level = along.x.hypot(along.y);
            walk.at(back).z - level * radius + radius
        };
        let mut before = from;
        for (w, _) in walk.steps(SPACING).filter(|(w, _)| *w >= from) {
            if top(w) >= height {
                let (mut low, mut high) = (before, w);
                for _ in 0..20 {
                    let middle = 0.5 * (low + high);
                    if top(middle) < height {
                        low = middle
                    } else {
                        high = middle
                    }
                }
                return high;
            }
            before = w;
        }
        walk.longest()
    }

    /// Length at which the ray passes the plan's border, or where the wall begins if that is nearer.
    fn at_plan(&self, walk: &Walk, inner: bool, x: f64) -> f64 {
        let head = if inner {
            self.front.first_head()
        } else {
            self.front.fifth_head()
        };
        let sign = if inner { 1.0 } else { -1.0 };
        let behind = [self.heel[0], self.heel[1] + sign * self.half_heel];
        let t = ((x - behind[0]) / (head[0] - behind[0]).max(1.0)).clamp(0.0, 1.2);
        let border = behind[1] + (head[1] - behind[1]) * t;
        for (w, p) in walk.steps(0.5) {
            if sign * (p.y - border) >= 0.0 {
                return w;
            }
        }
        walk.longest()
    }
}

/// Takes the scan's roughness out of the sides' rims; the heel's is level already and stays.
fn smooth_sides(places: &[RayPlace], rims: &mut [f64]) {
    let across = |n: usize| matches!(places[n], RayPlace::Across { .. });
    for _ in 0..12 {
        let before = rims.to_vec();
        for n in 1..rims.len().saturating_sub(1) {
            if across(n) {
                rims[n] = 0.25 * before[n - 1] + 0.5 * before[n] + 0.25 * before[n + 1];
            }
        }
    }
}

//! Where does the foot press on the shell?
//!
//! Each region of the sole is a smooth patch in the plan, fading to nothing at its border; the patch is
//! scaled until its resultant is the region's share to round-off. Foot presses straight down on the ground,
//! however the shell leans under it: skin slides, and what it holds by friction is left out.
//!
//! Regions, sizes and the forefoot's part are our own choice (common practice has no figures for them).

use fem::{Load, Mesh};
use nalgebra::Vector3;
use shell::{Device, Positive};

use crate::error::StrengthError;
use crate::net::Net;

type V = Vector3<f64>;

/// Half-length of the forefoot's patch along the foot, as a share of the foot's length.
const FOREFOOT_REACH: f64 = 0.10;
/// A round stamp touches a shell over about this share of its radius.
const STAMP_SHARE: f64 = 0.4;
/// The place whose drop is the arch's: a patch of this radius, mm.
const ARCH_PLACE_MM: f64 = 6.0;
/// The arch's place lies this far from spine to rim.
const ARCH_OUTWARD: f64 = 0.5;

/// 1 at 0, 0 from 1 on, level at both.
fn bump(squared: f64) -> f64 {
    if squared < 1.0 {
        (1.0 - squared) * (1.0 - squared)
    } else {
        0.0
    }
}

/// Loads of one newton on each region, in the order of [`crate::input::Shares`].
pub(crate) struct Presses {
    pub heel: Load,
    pub medial_arch: Load,
    pub lateral_midfoot: Load,
    pub forefoot: Load,
    /// Part of the forefoot's patch that lies on the shell; the rest stands in front of it.
    pub forefoot_on_shell: f64,
    /// Weights of the nodes around the arch's place; they add up to one.
    pub arch_nodes: Vec<(usize, f64)>,
}

struct Ellipse {
    middle: [f64; 2],
    half: [f64; 2],
}

impl Ellipse {
    fn at(&self, p: &V) -> f64 {
        let [u, v] = [0, 1].map(|k| (p[k] - self.middle[k]) / self.half[k]);
        bump(u * u + v * v)
    }
}

impl Presses {
    pub fn on(device: &Device, net: &Net, mesh: &Mesh) -> Result<Self, StrengthError> {
        let positive = &device.positive;
        let length = positive.foot_length_mm;
        let points = &positive.points;
        let heel = points.heel_centre.at;
        let outer = points.fifth_head.at[1];
        let under_heel = Ellipse {
            middle: [heel[0], heel[1]],
            half: [0.45 * positive.heel_breadth_mm; 2],
        };
        let arch = arch_place(device);
        let medial = Ellipse {
            middle: [arch.x, arch.y],
            half: [0.17 * length, 0.10 * length],
        };
        let lateral = Ellipse {
            middle: [0.42 * length, 0.5 * (heel[1] + outer)],
            half: [0.16 * length, 0.09 * length],
        };
        let front = Front::of(positive, length);
        let forefoot_on_shell = front.share_behind(device);
        Ok(Self {
            heel: one_newton(net, mesh, "heel", |p| under_heel.at(p))?,
            medial_arch: one_newton(net, mesh, "inner arch", |p| medial.at(p))?,
            lateral_midfoot: one_newton(net, mesh, "outer midfoot", |p| lateral.at(p))?,
            forefoot: if forefoot_on_shell > 0.0 {
                one_newton(net, mesh, "forefoot", |p| front.at(p.x, p.y))?
            } else {
                Load::none(net.nodes.len())
            },
            forefoot_on_shell,
            arch_nodes: around(net, &arch, ARCH_PLACE_MM.max(1.5 * net.spacing_mm))?,
        })
    }
}

/// One newton of a stamp on the inner arch.
pub(crate) fn stamp(
    device: &Device,
    net: &Net,
    mesh: &Mesh,
    radius_mm: f64,
) -> Result<Load, StrengthError> {
    let arch = arch_place(device);
    let reach = (STAMP_SHARE * radius_mm).max(1.5 * net.spacing_mm);
    one_newton(net, mesh, "stamp", |p| {
        bump((p - arch).norm_squared() / (reach * reach))
    })
}

/// The inner arch at the navicular's station: on the inner ray that passes it there, halfway to the rim.
fn arch_place(device: &Device) -> V {
    let layout = &device.layout;
    let station = device.positive.points.navicular.at[0];
    let mut best = (f64::INFINITY, V::zeros());
    for (i, ray) in layout.rays.iter().enumerate() {
        if !matches!(
            ray.place,
            shell::layout::RayPlace::Across { inner: true, .. }
        ) {
            continue;
        }
        let (p, _) = layout.at(i as f64, ARCH_OUTWARD * ray.rim);
        let off = (p.x - station).abs();
        if off < best.0 {
            best = (off, p);
        }
    }
    best.1
}

/// Nodes around a place with smooth weights that add up to one.
fn around(net: &Net, place: &V, reach: f64) -> Result<Vec<(usize, f64)>, StrengthError> {
    let mut found: Vec<(usize, f64)> = net
        .nodes
        .iter()
        .enumerate()
        .map(|(n, node)| {
            (
                n,
                bump((node.skin - place).norm_squared() / (reach * reach)),
            )
        })
        .filter(|(_, w)| *w > 0.0)
        .collect();
    let sum: f64 = found.iter().map(|(_, w)| w).sum();
    if !sum.is_normal() {
        return Err(StrengthError::Region {
            region: "arch at the navicular",
        });
    }
    found.iter_mut().for_each(|(_, w)| *w /= sum);
    Ok(found)
}

/// A patch of pressure straight down whose resultant is one newton; `weight` is over the skin's place in the
/// plan, force per area of the plan.
fn one_newton(
    net: &Net,
    mesh: &Mesh,
    region: &'static str,
    weight: impl Fn(&V) -> f64,
) -> Result<Load, StrengthError> {
    let at: Vec<f64> = net
        .nodes
        .iter()
        .map(|node| weight(&node.skin) * node.down.z.abs())
        .collect();
    let mut shaped = Load::none(net.nodes.len());
    shaped.traction(mesh, |triangle| {
        mesh.triangles()[triangle].map(|node| V::new(0.0, 0.0, -at[node]))
    })?;
    let whole: f64 = -shaped
        .entries()
        .chunks_exact(6)
        .map(|six| six[2])
        .sum::<f64>();
    if !whole.is_finite() || whole <= 1e-9 {
        return Err(StrengthError::Region { region });
    }
    let mut load = Load::none(net.nodes.len());
    load.add_scaled(&shaped, 1.0 / whole)?;
    Ok(load)
}

/// The forefoot's patch: about the line of the heads, fading out forward and backward.
struct Front {
    first: [f64; 3],
    fifth: [f64; 3],
    reach: f64,
}

impl Front {
    fn of(positive: &Positive, length: f64) -> Self {
        Self {
            first: positive.points.first_head.at,
            fifth: positive.points.fifth_head.at,
            reach: FOREFOOT_REACH * length,
        }
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        let width = self.first[1] - self.fifth[1];
        let share = (self.first[1] - y) / width;
        let middle = self.first[0] + (self.fifth[0] - self.first[0]) * share.clamp(0.0, 1.0);
        let along = (x - middle) / self.reach;
        // Across: even from head to head, fading out over a fifth of the width beyond them.
        let beyond = (share - share.clamp(0.0, 1.0)) / 0.2;
        bump(along * along) * bump(beyond * beyond)
    }

    /// Part of the patch behind the shell's front edge.
    fn share_behind(&self, device: &Device) -> f64 {
        let (mut behind, mut whole) = (0.0, 0.0);
        let steps = 120;
        let width = self.first[1] - self.fifth[1];
        let (low, high) = (
            self.fifth[0].min(self.first[0]) - self.reach,
            self.fifth[0].max(self.first[0]) + self.reach,
        );
        for j in 0..steps {
            let y =
                self.fifth[1] - 0.2 * width + 1.4 * width * (f64::from(j) + 0.5) / f64::from(steps);
            let edge = device.layout.front.x(y);
            for i in 0..steps {
                let x = low + (high - low) * (f64::from(i) + 0.5) / f64::from(steps);
                let weight = self.at(x, y);
                whole += weight;
                if x < edge {
                    behind += weight;
                }
            }
        }
        if whole > 0.0 { behind / whole } else { 0.0 }
    }
}

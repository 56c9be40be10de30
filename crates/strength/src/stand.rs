//! What does the shell stand on?
//!
//! Under a standing foot the shell lies on a flat floor that presses and never pulls; every low place of its
//! underside may touch. A post is taken as stiff: over it the shell's underside touches as soon as the post's
//! own base would. On the bench (case L4) heel and front edge are fixed to a plate instead.
//!
//! A post of the shell's own material yields a few thousandths of a millimetre under a body's weight;
//! [`post_yield_mm`] tells it, so that a soft post shows how far the assumption falls short.

use std::collections::BTreeMap;

use fem::contact::Candidate;
use fem::{Freedom, Mesh, Supports, Thickness};
use nalgebra::Vector3;
use shell::{Device, Part};

use crate::error::StrengthError;
use crate::input::Held;
use crate::net::Net;

/// Without a post the heel's base is the skin within this distance of its lowest place, mm.
const HEEL_BASE_MM: f64 = 12.0;
/// The front edge is held in a strip of this width, mm, or one row of nodes where that is wider.
const FRONT_STRIP_MM: f64 = 4.0;
/// Nodes of the front edge that hover higher than this over the floor are not held along it, mm.
const NEAR_FLOOR_MM: f64 = 3.0;
/// Nothing higher than this over the floor comes down to it, mm.
const HIGHEST_CONTACT_MM: f64 = 12.0;
/// One node stands for a square of this width, mm: over a post the one nearest its middle (a post is flat,
/// more tell nothing new), elsewhere the lowest.
const POST_SQUARE_MM: f64 = 5.0;
const SHELL_SQUARE_MM: f64 = 3.0;
/// A heel ends and the arch begins at this share of the foot's length.
pub(crate) const HEEL_END: f64 = 0.30;

/// Places of the shell that stand on something.
#[derive(Debug, Clone)]
pub(crate) struct Standing {
    /// Nodes that may touch the floor, by themselves or through a post.
    pub candidates: Vec<Candidate>,
    /// For every candidate the post it stands over.
    pub over: Vec<Option<Part>>,
    pub heel_base: Vec<usize>,
    pub front_strip: Vec<usize>,
    /// Area over separate or joined posts with their mean height: (part, area mm², height mm).
    pub columns: Vec<(Part, f64, f64)>,
}

impl Standing {
    pub fn of(device: &Device, net: &Net, mesh: &Mesh) -> Self {
        let posts = &device.posts;
        let heel_end = HEEL_END * device.positive.foot_length_mm;
        let to_foot = |n: usize| {
            let node = &net.nodes[n];
            node.skin + (net.frame.to_foot(&node.down)) * node.thickness
        };
        let area = tributary(mesh, net.nodes.len());
        let mut candidates = Vec::new();
        let mut over = Vec::new();
        let mut heel_base = Vec::new();
        let mut columns: Vec<(Part, f64, f64)> = posts.iter().map(|p| (p.part, 0.0, 0.0)).collect();
        let mut squares = BTreeMap::new();
        for (n, node) in net.nodes.iter().enumerate() {
            if node.down.z > -0.2 {
                continue;
            }
            let under = to_foot(n);
            if let Some(number) = posts.iter().position(|p| p.holds(under)) {
                let base = posts[number].base();
                let foot = Vector3::new(under.x, under.y, base.height(under.x, under.y));
                let gap = device.ground.above(foot).max(0.0);
                let height = base.above(under);
                columns[number].1 += area[n];
                columns[number].2 += area[n] * height;
                if posts[number].part == Part::RearfootPost {
                    heel_base.push(n);
                }
                let key = square(number + 1, &under, POST_SQUARE_MM);
                let off = |at: f64| at / POST_SQUARE_MM - (at / POST_SQUARE_MM).floor() - 0.5;
                keep_least(
                    &mut squares,
                    key,
                    (off(under.x).hypot(off(under.y)), n, gap),
                );
            } else if node.under.z < HIGHEST_CONTACT_MM {
                let gap = node.under.z.max(0.0);
                let key = square(0, &under, SHELL_SQUARE_MM.max(net.spacing_mm));
                keep_least(&mut squares, key, (gap, n, gap));
            }
        }
        for (&(number, _, _), &(_, node, gap)) in &squares {
            candidates.push(Candidate { node, gap });
            over.push(number.checked_sub(1).map(|n| posts[n].part));
        }
        for column in &mut columns {
            if column.1 > 0.0 {
                column.2 /= column.1;
            }
        }
        if heel_base.is_empty() {
            heel_base = heel_without_post(net, heel_end);
        }
        let strip = FRONT_STRIP_MM.max(1.1 * net.spacing_mm);
        let front = &device.layout.front;
        let front_strip = (0..net.nodes.len())
            .filter(|&n| {
                let p = net.nodes[n].skin;
                p.x > heel_end && front.x(p.y) - p.x < strip
            })
            .collect();
        Self {
            candidates,
            over,
            heel_base,
            front_strip,
            columns,
        }
    }

    /// What is held; springs and anchors are the solver's.
    pub fn supports(&self, net: &Net, held: Held, on_plate: bool) -> Supports {
        use Freedom::{Ux, Uy, Uz};
        let mut supports = Supports::none(net.nodes.len());
        match (on_plate, held) {
            (false, Held::Slides) => {}
            (false, _) => {
                for &n in &self.heel_base {
                    supports.hold(n, &[Ux, Uy]);
                }
                for &n in &self.front_strip {
                    if net.nodes[n].under.z < NEAR_FLOOR_MM {
                        supports.hold(n, &[Ux, Uy]);
                    }
                }
            }
            (true, Held::Slides) => {
                for &n in &self.heel_base {
                    supports.hold_all(n);
                }
                for &n in &self.front_strip {
                    supports.hold(n, &[Uz]);
                }
            }
            (true, _) => {
                for &n in self.heel_base.iter().chain(&self.front_strip) {
                    supports.hold_all(n);
                }
            }
        }
        supports
    }
}

/// A post's number from 1 (0 for the shell itself), and a square of the plan.
type Square = (usize, i64, i64);

fn square(number: usize, at: &Vector3<f64>, width: f64) -> Square {
    let cell = |v: f64| (v / width).floor() as i64;
    (number, cell(at.x), cell(at.y))
}

/// Keeps for a square what measures least: (measure, node, gap).
fn keep_least(
    squares: &mut BTreeMap<Square, (f64, usize, f64)>,
    key: Square,
    offered: (f64, usize, f64),
) {
    let kept = squares.entry(key).or_insert(offered);
    if offered.0 < kept.0 {
        *kept = offered;
    }
}

/// The mid-surface as elements.
pub(crate) fn elements(net: &Net) -> Result<Mesh, StrengthError> {
    let thickness: Vec<f64> = net.nodes.iter().map(|n| n.thickness).collect();
    Ok(Mesh::new(
        net.nodes.iter().map(|n| n.middle.into()).collect(),
        net.triangles.clone(),
        Thickness::PerNode(&thickness),
    )?)
}

fn heel_without_post(net: &Net, heel_end: f64) -> Vec<usize> {
    let lowest = net
        .nodes
        .iter()
        .enumerate()
        .filter(|(_, node)| node.skin.x < heel_end)
        .min_by(|a, b| a.1.under.z.total_cmp(&b.1.under.z))
        .map_or(0, |(n, _)| n);
    let middle = net.nodes[lowest].under;
    (0..net.nodes.len())
        .filter(|&n| (net.nodes[n].under - middle).norm() < HEEL_BASE_MM)
        .collect()
}

/// Area that each node stands for.
fn tributary(mesh: &Mesh, nodes: usize) -> Vec<f64> {
    let mut out = vec![0.0; nodes];
    for (t, corners) in mesh.triangles().iter().enumerate() {
        if let Some((area, _)) = mesh.area_and_normal(t) {
            for &n in corners {
                out[n] += area / 3.0;
            }
        }
    }
    out
}

/// How far a post shortens under a force spread evenly over it.
pub fn post_yield_mm(force_n: f64, area_mm2: f64, height_mm: f64, modulus_mpa: f64) -> Option<f64> {
    let stiffness = modulus_mpa * area_mm2 / height_mm;
    (height_mm > 0.0 && stiffness.is_finite() && stiffness > 0.0).then(|| force_n / stiffness)
}

//! How does a surface look from afar?
//!
//! Points spread evenly over a surface, whatever its triangles are, with lids laid over its borders, so that an
//! open scan can be looked at as a body. The same surface always gives the same points.
//!
//! One surprise: a lid is a fan about the border's middle. Over a leg's opening that is a flat cover; over the
//! border of a sole scanned alone it is the missing upper half.

use mesh::Mesh;
use mesh::mend::{Hole, holes};
use mesh::topology::Topology;
use nalgebra::Vector3;
use rayon::prelude::*;

pub(crate) type V = Vector3<f64>;

/// Points of skin and lids.
#[derive(Debug, Clone)]
pub(crate) struct Sample {
    pub points: Vec<V>,
    /// 0 on skin, otherwise one more than the number of the lid.
    pub lid: Vec<u16>,
    /// Skin and lids together, in the mesh's unit squared.
    pub area: f64,
    pub lids: Vec<Lid>,
}

#[derive(Debug, Clone)]
pub(crate) struct Lid {
    pub area: f64,
    /// Out of the body, unit length.
    pub facing: V,
    pub middle: V,
    pub across: f64,
}

impl Sample {
    /// About `count` points on the surface and its lids.
    pub fn of(mesh: &Mesh, topology: &Topology, count: usize) -> Sample {
        let borders = holes(mesh, topology);
        let lids: Vec<Lid> = borders.iter().map(|b| lid(mesh, b)).collect();
        let areas = areas_of(mesh);
        let skin_area = areas.iter().sum::<f64>();
        let area = skin_area + lids.iter().map(|l| l.area).sum::<f64>();
        let mut spread = Spread::new(area / count.max(1) as f64);
        spread.skin(mesh, &areas);
        for (i, (border, lid)) in borders.iter().zip(&lids).enumerate() {
            let number = (i + 1).min(u16::MAX as usize) as u16;
            each_side(mesh, border, |a, b| {
                spread.triangle([b, a, lid.middle], number)
            });
        }
        Sample {
            points: spread.points,
            lid: spread.lid,
            area,
            lids,
        }
    }

    /// About `count` points on the surface alone.
    pub fn of_skin(mesh: &Mesh, count: usize) -> Vec<V> {
        let areas = areas_of(mesh);
        let mut spread = Spread::new(areas.iter().sum::<f64>() / count.max(1) as f64);
        spread.skin(mesh, &areas);
        spread.points
    }

    /// Points of the skin alone.
    pub fn skin(&self) -> impl Iterator<Item = &V> {
        self.points
            .iter()
            .zip(&self.lid)
            .filter(|(_, l)| **l == 0)
            .map(|(p, _)| p)
    }
}

/// The area of every triangle.
pub(crate) fn areas_of(mesh: &Mesh) -> Vec<f64> {
    (0..mesh.triangles.len())
        .into_par_iter()
        .with_min_len(4096)
        .map(|t| mesh.area_of(t))
        .collect()
}

fn each_side(mesh: &Mesh, border: &Hole, mut visit: impl FnMut(V, V)) {
    let count = border.vertices.len();
    let at = |i: usize| V::from(mesh.vertices[border.vertices[i % count] as usize]);
    let sides = if border.closed {
        count
    } else {
        count.saturating_sub(1)
    };
    for i in 0..sides {
        visit(at(i), at(i + 1));
    }
}

fn lid(mesh: &Mesh, border: &Hole) -> Lid {
    let middle = V::from(border.middle);
    let mut area = 0.0;
    each_side(mesh, border, |a, b| {
        area += 0.5 * (b - middle).cross(&(a - middle)).norm()
    });
    Lid {
        area,
        facing: V::from(border.facing)
            .try_normalize(0.0)
            .unwrap_or_else(V::zeros),
        middle,
        across: border.across,
    }
}

/// Points so that each stands for the same area; the rest of a triangle is carried over to the next.
struct Spread {
    each: f64,
    owed: f64,
    turn: f64,
    points: Vec<V>,
    lid: Vec<u16>,
}

impl Spread {
    fn new(each: f64) -> Spread {
        Spread {
            each,
            owed: 0.5,
            turn: 0.5,
            points: Vec::new(),
            lid: Vec::new(),
        }
    }

    fn skin(&mut self, mesh: &Mesh, areas: &[f64]) {
        for (n, &area) in areas.iter().enumerate() {
            self.part(|| mesh.corners(n).map(V::from), area, 0);
        }
    }

    fn triangle(&mut self, [a, b, c]: [V; 3], lid: u16) {
        let area = 0.5 * (b - a).cross(&(c - a)).norm();
        self.part(|| [a, b, c], area, lid);
    }

    /// Most triangles are too small for a point, so that their corners are not even looked up.
    #[inline]
    fn part(&mut self, corners: impl FnOnce() -> [V; 3], area: f64, lid: u16) {
        if self.each <= 0.0 || !area.is_finite() {
            return;
        }
        self.owed += area / self.each;
        if self.owed < 1.0 {
            return;
        }
        let [a, b, c] = corners();
        while self.owed >= 1.0 {
            self.owed -= 1.0;
            // Two steps of irrational length fill a square evenly; its far half is folded back.
            self.turn = (self.turn + 1.0) % 1e9;
            let (mut s, mut t) = (
                (self.turn * 0.754_877_666_2) % 1.0,
                (self.turn * 0.569_840_290_9) % 1.0,
            );
            if s + t > 1.0 {
                (s, t) = (1.0 - s, 1.0 - t);
            }
            self.points.push(a + (b - a) * s + (c - a) * t);
            self.lid.push(lid);
        }
    }
}

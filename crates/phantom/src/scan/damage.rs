//! What is torn, bent, doubled and lost on the way from skin to file.
//!
//! Everything is drawn from the spec's dice in a fixed order. Parts are taken away first, on the clean
//! surface, so that what is missing does not depend on the noise.

use super::density::without_unused;
use super::{Part, Place, ScanSpec};
use crate::Mesh;
use crate::skin::build::{Dice, mixed};
use crate::skin::{Mark, Skin};
use rayon::prelude::*;

pub(super) struct Damage<'a> {
    spec: &'a ScanSpec,
    dice: &'a mut Dice,
}

impl<'a> Damage<'a> {
    pub fn new(spec: &'a ScanSpec, dice: &'a mut Dice) -> Damage<'a> {
        Damage { spec, dice }
    }

    /// The surface as the scanner gives it, still in the world.
    pub fn done(mut self, mut mesh: Mesh, skin: Option<&Skin>) -> Mesh {
        if self.spec.plate_cut_mm > 0.0 {
            let glass = self.spec.plate_cut_mm;
            mesh.vertices
                .iter_mut()
                .for_each(|v| v[1] = v[1].max(glass));
        }
        if let Some(skin) = skin {
            mesh = self.part(mesh, skin);
        }
        mesh = self.torn(mesh, skin);
        mesh = noisy(mesh, self.spec, self.dice);
        self.spiked(&mut mesh);
        self.strayed(&mut mesh);
        self.doubled(&mut mesh);
        self.flipped(&mut mesh);
        without_unused(&mesh)
    }

    /// Only what the spec's part and lid leave.
    fn part(&self, mesh: Mesh, skin: &Skin) -> Mesh {
        if matches!(self.spec.ground, super::Ground::FoamBox { .. }) {
            return mesh;
        }
        let top = mesh
            .vertices
            .iter()
            .map(|v| v[1])
            .fold(f64::NEG_INFINITY, f64::max);
        let length = skin.sizes.foot_length_mm;
        let frame = skin.marks.frame;
        let lid_from = top - 0.008 * length;
        let keep = |i: usize| {
            let c = mesh.corners(i);
            let up = upward(c);
            let middle = centre(c);
            let at = frame.local(middle);
            let lid = !self.spec.lid && middle[1] > lid_from && up > 0.5;
            let part = match self.spec.part {
                Part::Upper => {
                    middle[1] > 0.035 * length && !(up < -0.15 && middle[1] < 0.16 * length)
                }
                Part::Rear => at[0] < 0.46 * length,
                Part::Front => at[0] > 0.5 * length,
                Part::Whole | Part::BothFeet | Part::Hand => true,
            };
            !lid && part
        };
        kept(mesh.clone(), keep)
    }

    fn torn(&mut self, mesh: Mesh, skin: Option<&Skin>) -> Mesh {
        let mut centres: Vec<([f64; 3], f64)> = Vec::new();
        for holes in &self.spec.holes {
            for n in 0..holes.count {
                let at = match (holes.place, skin) {
                    (Place::BetweenToes, Some(skin)) => Some(skin.webs[n % skin.webs.len()]),
                    (Place::Arch, Some(skin)) => Some(self.near_arch(skin)),
                    _ => self.anywhere(&mesh),
                };
                centres.extend(at.map(|at| (at, 0.5 * holes.diameter_mm)));
            }
        }
        if centres.is_empty() {
            return mesh;
        }
        let seed = self.dice.next();
        let keep = |i: usize| {
            let middle = centre(mesh.corners(i));
            centres.iter().all(|&(at, radius)| {
                let away = distance(at, middle);
                // Edges of holes are ragged.
                away > 1.4 * radius
                    || away > radius * (1.0 + 0.35 * swell(middle, radius.max(2.0), seed))
            })
        };
        kept(mesh.clone(), keep)
    }

    /// A place in the hollow of the arch.
    fn near_arch(&mut self, skin: &Skin) -> [f64; 3] {
        let (heel, head) = (
            skin.marks.at(Mark::HeelCentre),
            skin.marks.at(Mark::FirstHead),
        );
        let inwards = skin.marks.frame.medial;
        let (along, across) = (self.dice.between(0.35, 0.6), self.dice.between(-8.0, 12.0));
        let at = [0, 1, 2].map(|k| heel[k] + (head[k] - heel[k]) * along + inwards[k] * across);
        // Up from the ground to the skin.
        let mut height = 0.0;
        while height < 60.0 && skin.distance_mm([at[0], height, at[2]]) > 0.0 {
            height += 0.5;
        }
        [at[0], height, at[2]]
    }

    fn anywhere(&mut self, mesh: &Mesh) -> Option<[f64; 3]> {
        let n = self.dice.below(mesh.vertices.len());
        mesh.vertices.get(n).copied()
    }

    fn spiked(&mut self, mesh: &mut Mesh) {
        if self.spec.spikes == 0 || mesh.vertices.is_empty() {
            return;
        }
        let normals = normals(mesh);
        for _ in 0..self.spec.spikes {
            let n = self.dice.below(mesh.vertices.len());
            let by = self.dice.between(3.0, 18.0);
            let way = [0, 1, 2].map(|k| normals[n][k] + 0.4 * self.dice.between(-1.0, 1.0));
            (0..3).for_each(|k| mesh.vertices[n][k] += by * way[k]);
        }
    }

    fn strayed(&mut self, mesh: &mut Mesh) {
        if self.spec.strays == 0 || mesh.vertices.is_empty() {
            return;
        }
        let normals = normals(mesh);
        for _ in 0..self.spec.strays {
            let n = self.dice.below(mesh.vertices.len());
            let radius = self.dice.between(2.5, 9.0);
            let by = self.dice.between(12.0, 45.0);
            let shift = normals[n].map(|c| c * by);
            let patch = patch(mesh, mesh.vertices[n], radius);
            copied(mesh, &patch, shift);
        }
    }

    fn doubled(&mut self, mesh: &mut Mesh) {
        for n in 0..self.spec.doubled {
            let Some(at) = self.anywhere(mesh) else {
                return;
            };
            let patch = patch(mesh, at, self.dice.between(6.0, 14.0));
            if n % 2 == 0 {
                let again: Vec<[u32; 3]> = patch.iter().map(|&i| mesh.triangles[i]).collect();
                mesh.triangles.extend(again);
            } else {
                copied(
                    mesh,
                    &patch,
                    [0, 1, 2].map(|_| self.dice.between(-0.15, 0.15)),
                );
            }
        }
    }

    fn flipped(&mut self, mesh: &mut Mesh) {
        for _ in 0..self.spec.flipped {
            let Some(at) = self.anywhere(mesh) else {
                return;
            };
            for i in patch(mesh, at, self.dice.between(3.0, 10.0)) {
                mesh.triangles[i].swap(1, 2);
            }
        }
    }
}

/// Every vertex moved along its normal by noise of the spec's strength and reach.
pub(super) fn noisy(mut mesh: Mesh, spec: &ScanSpec, dice: &mut Dice) -> Mesh {
    let seed = dice.next();
    if spec.noise_mm <= 0.0 || mesh.vertices.is_empty() {
        return mesh;
    }
    let normals = normals(&mesh);
    let raw: Vec<f64> = mesh
        .vertices
        .par_iter()
        .map(|&v| {
            let reach = spec.noise_reach_mm;
            swell(v, reach, seed) + 0.4 * swell(v, reach * 0.5, mixed(seed))
        })
        .collect();
    let count = raw.len() as f64;
    let mean = raw.iter().sum::<f64>() / count;
    let sd = (raw.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / count)
        .sqrt()
        .max(1e-9);
    for ((v, n), r) in mesh.vertices.iter_mut().zip(&normals).zip(&raw) {
        let by = (r - mean) / sd * spec.noise_mm;
        (0..3).for_each(|k| v[k] += by * n[k]);
    }
    mesh
}

/// Smooth noise between −1 and 1 that changes over `reach`.
fn swell(at: [f64; 3], reach: f64, seed: u64) -> f64 {
    let cell = at.map(|c| (c / reach).floor());
    let t = [0, 1, 2].map(|k| {
        let t = at[k] / reach - cell[k];
        t * t * (3.0 - 2.0 * t)
    });
    let corner = |c: usize| {
        let place = [0, 1, 2].map(|k| (cell[k] as i64 + (c as i64 >> k & 1)) as u64);
        let bits =
            mixed(mixed(mixed(seed ^ place[0]).wrapping_add(place[1])).wrapping_add(place[2]));
        (bits >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    (0..8)
        .map(|c| {
            let weight: f64 = (0..3)
                .map(|k| if c >> k & 1 == 1 { t[k] } else { 1.0 - t[k] })
                .product();
            weight * corner(c)
        })
        .sum()
}

/// Unit normals of the vertices, each triangle counting by its area.
fn normals(mesh: &Mesh) -> Vec<[f64; 3]> {
    let mut sums = vec![[0.0; 3]; mesh.vertices.len()];
    for (i, t) in mesh.triangles.iter().enumerate() {
        let n = cross(mesh.corners(i));
        for &v in t {
            (0..3).for_each(|k| sums[v as usize][k] += n[k]);
        }
    }
    for n in &mut sums {
        let length = n.iter().map(|c| c * c).sum::<f64>().sqrt().max(1e-12);
        *n = n.map(|c| c / length);
    }
    sums
}

fn cross([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    let u = [0, 1, 2].map(|k| b[k] - a[k]);
    let v = [0, 1, 2].map(|k| c[k] - a[k]);
    [
        u[1] * v[2] - u[2] * v[1],
        u[2] * v[0] - u[0] * v[2],
        u[0] * v[1] - u[1] * v[0],
    ]
}

/// How far a triangle looks up: 1 straight up.
fn upward(corners: [[f64; 3]; 3]) -> f64 {
    let n = cross(corners);
    n[1] / n.iter().map(|c| c * c).sum::<f64>().sqrt().max(1e-12)
}

fn centre(c: [[f64; 3]; 3]) -> [f64; 3] {
    [0, 1, 2].map(|k| (c[0][k] + c[1][k] + c[2][k]) / 3.0)
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt()
}

/// Only the triangles that are kept; vertices stay.
fn kept(mut mesh: Mesh, keep: impl Fn(usize) -> bool) -> Mesh {
    mesh.triangles = mesh
        .triangles
        .iter()
        .enumerate()
        .filter(|&(i, _)| keep(i))
        .map(|(_, &t)| t)
        .collect();
    mesh
}

/// Triangles whose middle lies within `radius` of `at`.
fn patch(mesh: &Mesh, at: [f64; 3], radius: f64) -> Vec<usize> {
    (0..mesh.triangles.len())
        .filter(|&i| distance(centre(mesh.corners(i)), at) < radius)
        .collect()
}

/// Adds the same triangles again on vertices of their own.
fn copied(mesh: &mut Mesh, triangles: &[usize], shift: [f64; 3]) {
    let piece = without_unused(&Mesh {
        vertices: mesh.vertices.clone(),
        triangles: triangles.iter().map(|&i| mesh.triangles[i]).collect(),
    });
    let first = mesh.vertices.len() as u32;
    mesh.vertices.extend(
        piece
            .vertices
            .iter()
            .map(|v| [0, 1, 2].map(|k| v[k] + shift[k])),
    );
    mesh.triangles
        .extend(piece.triangles.iter().map(|t| t.map(|v| v + first)));
}

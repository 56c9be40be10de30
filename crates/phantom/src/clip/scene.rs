//! What stands behind the leg: a floor of boards and a plain wall with a skirting board, drawn once.

use super::spec::ClipSpec;
use super::texture::{Grain, Texture};
use super::view::View;
use nalgebra::Vector3;
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use rayon::prelude::*;

/// How much larger than the frame the drawn scene is, so that an unsteady hand never sees its edge.
const MARGIN_PX: usize = 48;
/// Points of the drawn scene in a pixel each way: what is read between them is not blurred twice.
const FINE: usize = 2;
const WALL_MM: f64 = 900.0;

pub(crate) struct Scene {
    width: usize,
    height: usize,
    values: Vec<f32>,
}

impl Scene {
    pub(crate) fn drawn(spec: &ClipSpec, view: &View, feet: &[f64]) -> Self {
        let mut boards = Texture::flat(1800.0, 2600.0, 0.5, 132.0);
        let mut plaster = Texture::flat(2400.0, 1400.0, 0.4, 168.0);
        for (k, (size, strength, stretch)) in [(3.0, 9.0, 0.25), (9.0, 10.0, 0.2), (60.0, 8.0, 0.5)]
            .into_iter()
            .enumerate()
        {
            let grain = Grain {
                size,
                strength,
                stretch,
            };
            boards.grain(&grain, spec.seed ^ (0xB0A2D + k as u64));
        }
        for (k, (size, strength)) in [(6.0, 5.0), (22.0, 7.0), (140.0, 9.0)]
            .into_iter()
            .enumerate()
        {
            let grain = Grain {
                size,
                strength,
                stretch: 1.0,
            };
            plaster.grain(&grain, spec.seed ^ (0x91A5 + k as u64));
        }
        // Sheets of paper pinned to the wall, and the holes older ones left.
        let mut lot = StdRng::seed_from_u64(spec.seed ^ 0x9A9E5);
        for k in 0..8 {
            let side = if k % 2 == 0 { -1.0 } else { 1.0 };
            let at = (
                1200.0 + side * lot.random_range(170.0..420.0),
                lot.random_range(760.0..1290.0),
            );
            let (w, h) = (lot.random_range(20.0..75.0), lot.random_range(25.0..95.0));
            let dark = lot.random_range(-60.0..50.0f32);
            plaster.paint(at, (w, h), |dx, dy, v| {
                let line = ((dy / 9.0).fract().abs() < 0.3 && dx.abs() < 0.75 * w) as u8;
                v + dark - 18.0 * f32::from(line)
            });
        }
        let (width, height) = (
            FINE * (spec.width + 2 * MARGIN_PX),
            FINE * (spec.height + 2 * MARGIN_PX),
        );
        let back = view.turn.transpose();
        let mut values = vec![0f32; width * height];
        values
            .par_chunks_mut(width)
            .enumerate()
            .for_each(|(j, row)| {
                let y = j as f64 / FINE as f64 - MARGIN_PX as f64;
                for (i, o) in row.iter_mut().enumerate() {
                    let x = i as f64 / FINE as f64 - MARGIN_PX as f64;
                    let ray = back * view.own_ray(x, y);
                    *o = seen(view.eye, ray, &boards, &plaster, feet);
                }
            });
        Self {
            width,
            height,
            values,
        }
    }

    /// Brightness at a pixel of the steady view.
    pub(crate) fn at(&self, x: f64, y: f64) -> f32 {
        let fine =
            |v: f64, n: usize| (FINE as f64 * (v + MARGIN_PX as f64)).clamp(0.0, (n - 2) as f64);
        let (x, y) = (fine(x, self.width), fine(y, self.height));
        let (ix, iy) = (x as usize, y as usize);
        let (fx, fy) = ((x - ix as f64) as f32, (y - iy as f64) as f32);
        let at = iy * self.width + ix;
        let v = &self.values;
        let top = v[at] + fx * (v[at + 1] - v[at]);
        let low = v[at + self.width] + fx * (v[at + self.width + 1] - v[at + self.width]);
        top + fy * (low - top)
    }
}

fn seen(
    eye: Vector3<f64>,
    ray: Vector3<f64>,
    boards: &Texture,
    plaster: &Texture,
    feet: &[f64],
) -> f32 {
    let wall = (WALL_MM - eye.z) / ray.z.max(1e-9);
    let on_wall = eye + ray * wall;
    if on_wall.y < 0.0 {
        let floor = -eye.y / ray.y.min(-1e-9);
        let p = eye + ray * floor;
        // Boards 130 mm wide run forward; each has its own shade and a dark joint.
        let board = (p.x / 130.0).floor();
        let across = p.x - 130.0 * board;
        let shade = 13.0 * (board * 12.9898).sin() as f32;
        let joint = 40.0 * (-((across.min(130.0 - across)) / 2.2).powi(2)).exp() as f32;
        let shadow: f64 = feet
            .iter()
            .map(|x| {
                let (dx, dz) = ((p.x - x) / 75.0, (p.z - 90.0) / 150.0);
                (-(dx * dx + dz * dz)).exp()
            })
            .sum();
        let far = 1.0 - 0.16 * (p.z / WALL_MM).clamp(-1.0, 1.0) as f32;
        let wood = boards.at(p.x + 900.0, p.z + 1300.0);
        return (wood + shade - joint) * far * (1.0 - 0.55 * shadow.min(1.0) as f32);
    }
    let paint = plaster.at(on_wall.x + 1200.0, 1400.0 - on_wall.y);
    if on_wall.y < 70.0 {
        let edge = 46.0 * (-((on_wall.y - 66.0) / 2.5).powi(2)).exp() as f32;
        return paint + 34.0 - edge - 50.0 * (-(on_wall.y / 5.0)).exp() as f32;
    }
    paint - 14.0 + 0.03 * (on_wall.y - 70.0).min(900.0) as f32
}

//! The skin of a lower leg, a heel, a foot and its toes as triangles, with what is painted on it.

use super::pose::Pose;
use super::spec::{LegSpec, MARKS};
use super::texture::{Grain, Texture};
use nalgebra::Vector3;
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};

/// What moves a vertex.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Part {
    Leg,
    Foot,
    Toe,
}

pub(crate) struct Skin {
    rest: Vec<Vector3<f64>>,
    part: Vec<Part>,
    /// Where a vertex lies on the texture, mm.
    pub(crate) on_texture: Vec<(f64, f64)>,
    pub(crate) triangles: Vec<[u32; 3]>,
    pub(crate) texture: Texture,
    marks: [Vector3<f64>; 4],
}

/// Height over the floor; half width; centre forward; reach backward; reach forward; pinch of the back.
const PROFILE: &[[f64; 6]] = &[
    [0.0, 0.5, 33.0, 0.5, 0.5, 0.0],
    [0.5, 12.0, 32.0, 16.0, 22.0, 0.0],
    [2.5, 23.0, 31.0, 26.0, 32.0, 0.0],
    [8.0, 30.5, 30.0, 32.5, 40.0, 0.0],
    [16.0, 33.0, 30.0, 35.0, 45.0, 0.0],
    [28.0, 32.5, 30.0, 35.5, 48.0, 0.05],
    [42.0, 30.0, 31.0, 34.5, 48.0, 0.12],
    [54.0, 28.5, 33.0, 33.0, 46.0, 0.22],
    [66.0, 31.0, 35.0, 32.0, 42.0, 0.42],
    [78.0, 35.0, 36.0, 31.0, 38.0, 0.6],
    [90.0, 34.0, 36.0, 31.0, 36.0, 0.62],
    [104.0, 30.0, 35.0, 30.5, 33.0, 0.52],
    [125.0, 27.5, 34.0, 31.0, 32.0, 0.36],
    [150.0, 28.0, 33.0, 33.0, 33.0, 0.22],
    [185.0, 32.5, 31.0, 39.0, 36.0, 0.1],
    [225.0, 41.0, 29.0, 48.0, 41.0, 0.03],
    [270.0, 50.0, 27.0, 57.0, 46.0, 0.0],
    [315.0, 55.0, 27.0, 61.0, 49.0, 0.0],
    [355.0, 54.5, 28.0, 59.0, 50.0, 0.0],
    [400.0, 50.0, 31.0, 52.0, 50.0, 0.0],
    [440.0, 47.5, 33.0, 47.0, 52.0, 0.0],
    [480.0, 49.0, 33.0, 49.0, 55.0, 0.0],
    [560.0, 58.0, 32.0, 60.0, 62.0, 0.0],
];

/// Between the rows of the profile: cubic, so that the light shows no rings.
fn profile(y: f64) -> [f64; 5] {
    let last = PROFILE.len() - 1;
    let i = (1..last).find(|i| PROFILE[*i][0] > y).unwrap_or(last) - 1;
    let (a, b) = (PROFILE[i], PROFILE[i + 1]);
    let (before, after) = (PROFILE[i.saturating_sub(1)], PROFILE[(i + 2).min(last)]);
    let h = b[0] - a[0];
    let t = ((y - a[0]) / h).clamp(0.0, 1.0);
    let slope = |p: &[f64; 6], q: &[f64; 6], k: usize| {
        if q[0] > p[0] {
            (q[k] - p[k]) / (q[0] - p[0])
        } else {
            0.0
        }
    };
    let mut out = [0.0; 5];
    for (k, o) in out.iter_mut().enumerate() {
        let k = k + 1;
        let (m0, m1) = (slope(&before, &b, k) * h, slope(&a, &after, k) * h);
        let (t2, t3) = (t * t, t * t * t);
        *o = (2.0 * t3 - 3.0 * t2 + 1.0) * a[k]
            + (t3 - 2.0 * t2 + t) * m0
            + (3.0 * t2 - 2.0 * t3) * b[k]
            + (t3 - t2) * m1;
    }
    out
}

/// A point of the right leg's skin, x outward: `u` around from the back (0), outward positive.
fn leg_at(u: f64, y: f64) -> Vector3<f64> {
    let [half, centre, back, front, pinch] = profile(y);
    let (s, c) = u.sin_cos();
    // The hollows beside the Achilles tendon.
    let narrow = 1.0 - pinch * c.max(0.0).powf(0.7) * s.abs().sqrt();
    let bump = |height: f64, at: f64, wide: f64, tall: f64, from: f64| {
        let turn = (u - at) / wide;
        let up = (y - height) / tall;
        from * (-turn * turn - up * up).exp()
    };
    // Outer ankle low and behind, inner ankle higher; calf fuller inside.
    let grown = bump(70.0, 1.45, 0.5, 13.0, 5.0)
        + bump(80.0, -1.55, 0.5, 14.0, 4.0)
        + bump(305.0, -0.75, 0.6, 55.0, 5.0)
        + bump(330.0, 0.7, 0.6, 50.0, 2.5);
    let reach = if c >= 0.0 { back } else { front };
    Vector3::new(
        half * s * narrow + grown * s,
        y,
        centre - (reach + grown * c.max(0.0)) * c,
    )
}

const AROUND: usize = 72;
const UP: usize = 150;
/// The texture is as wide as it needs to be for the widest round.
const ROUND_MM: f64 = 48.0;
const TEXTURE_WIDTH: f64 = ROUND_MM * std::f64::consts::TAU;
const TEXTURE_HEIGHT: f64 = 560.0;

fn on_leg_texture(u: f64, y: f64) -> (f64, f64) {
    (TEXTURE_WIDTH / 2.0 + u * ROUND_MM, TEXTURE_HEIGHT - y)
}

impl Skin {
    pub(crate) fn new(leg: &LegSpec, seed: u64, stickers: bool) -> Self {
        let mut skin = Self {
            rest: Vec::new(),
            part: Vec::new(),
            on_texture: Vec::new(),
            triangles: Vec::new(),
            texture: skin_texture(seed, stickers),
            marks: MARKS.map(|(_, y)| leg_at(0.0, y)),
        };
        skin.add_leg();
        let out = leg.abducted_deg.to_radians().tan();
        skin.add_foot(out);
        skin.add_toes(out);
        skin
    }

    fn sheet(
        &mut self,
        part: Part,
        rows: usize,
        columns: usize,
        at: impl Fn(usize, usize) -> (Vector3<f64>, (f64, f64)),
    ) {
        let first = self.rest.len() as u32;
        for j in 0..rows {
            for i in 0..columns {
                let (p, on) = at(i, j);
                self.rest.push(p);
                self.part.push(part);
                self.on_texture.push(on);
            }
        }
        let n = columns as u32;
        for j in 0..rows as u32 - 1 {
            for i in 0..n - 1 {
                let a = first + j * n + i;
                // Counter-clockwise seen from outside.
                self.triangles.push([a, a + 1, a + n + 1]);
                self.triangles.push([a, a + n + 1, a + n]);
            }
        }
    }

    fn add_leg(&mut self) {
        self.sheet(Part::Leg, UP + 1, AROUND + 1, |i, j| {
            let u = (i as f64 / AROUND as f64 - 0.5) * std::f64::consts::TAU;
            // Denser below, where the heel is round.
            let y = 560.0 * (j as f64 / UP as f64).powf(1.6);
            (leg_at(u, y), on_leg_texture(u, y))
        });
    }

    /// From the heel to the ball, outward by `out` for each millimetre forward.
    fn add_foot(&mut self, out: f64) {
        self.sheet(Part::Foot, 31, 33, |i, j| {
            let t = j as f64 / 30.0;
            let z = 20.0 + t * 165.0;
            let u = i as f64 / 32.0 * std::f64::consts::TAU;
            let half = 27.0 + 17.0 * (t * 1.4).min(1.0);
            let tall = 62.0 - 44.0 * (t * 1.15).min(1.0);
            let (s, c) = u.sin_cos();
            let end = (1.0 - (2.0 * (t - 0.5)).abs().powi(8)).sqrt().max(0.02);
            let x = half * s * end + out * (z - 60.0).max(0.0) * 0.8;
            let y = (tall * 0.5 * (1.0 - c * end)).max(0.0);
            (Vector3::new(x, y, z), (40.0 + u * 25.0, 60.0 + z))
        });
    }

    fn add_toes(&mut self, out: f64) {
        // Great toe inside (minus), little toe outside.
        for (k, (x, z, r, l)) in [
            (-26.0, 206.0, 12.0, 27.0),
            (-6.0, 208.0, 8.5, 26.0),
            (10.0, 200.0, 8.0, 24.0),
            (25.0, 190.0, 7.5, 22.0),
            (38.0, 176.0, 8.0, 20.0),
        ]
        .into_iter()
        .enumerate()
        {
            let shift = out * (z - 60.0) * 0.8;
            self.sheet(Part::Toe, 13, 17, |i, j| {
                let v = (j as f64 / 12.0 - 0.5) * std::f64::consts::PI;
                let u = i as f64 / 16.0 * std::f64::consts::TAU;
                let p = Vector3::new(
                    x + shift + r * v.cos() * u.sin(),
                    r * 0.9 - r * 0.9 * v.cos() * u.cos(),
                    z + l * v.sin(),
                );
                (p, (60.0 + 40.0 * k as f64 + 6.0 * u, 300.0 + 10.0 * v))
            });
        }
    }

    /// Every vertex in the world.
    pub(crate) fn placed(&self, pose: &Pose) -> Vec<Vector3<f64>> {
        self.rest
            .iter()
            .zip(&self.part)
            .map(|(p, part)| match part {
                Part::Leg => pose.place(*p),
                Part::Foot => pose.place_foot(*p),
                Part::Toe => pose.place_toe(*p),
            })
            .collect()
    }

    pub(crate) fn marks(&self, pose: &Pose) -> [Vector3<f64>; 4] {
        self.marks.map(|m| pose.place(m))
    }
}

fn skin_texture(seed: u64, stickers: bool) -> Texture {
    let mut texture = Texture::flat(TEXTURE_WIDTH, TEXTURE_HEIGHT, 2.5, 176.0);
    for (k, (size, strength, stretch)) in [
        (28.0, 8.0, 0.7),
        (9.0, 8.0, 0.8),
        (3.2, 7.0, 1.0),
        (1.3, 5.0, 0.8),
    ]
    .into_iter()
    .enumerate()
    {
        let grain = Grain {
            size,
            strength,
            stretch,
        };
        texture.grain(&grain, seed.wrapping_mul(31).wrapping_add(k as u64));
    }
    let mut lot = StdRng::seed_from_u64(seed ^ 0x5EED);
    let dab = |d2: f64, dark: f32, v: f32| v - dark * (-d2).exp() as f32;
    for _ in 0..260 {
        let at = (
            lot.random_range(0.0..TEXTURE_WIDTH),
            lot.random_range(0.0..TEXTURE_HEIGHT),
        );
        let (radius, dark) = (lot.random_range(0.7..1.7), lot.random_range(8.0..42.0f32));
        texture.paint(at, (3.0 * radius, 3.0 * radius), |dx, dy, v| {
            dab((dx * dx + dy * dy) / (radius * radius), dark, v)
        });
    }
    // Creases over the tendon and at the edge of the heel's pad.
    for (height, deep) in [
        (98.0, 20.0),
        (104.0, 12.0),
        (72.0, 16.0),
        (9.0, 22.0),
        (6.0, 14.0),
    ] {
        let (middle, y) = on_leg_texture(lot.random_range(-0.2..0.2), height);
        let bow = lot.random_range(-0.004..0.004);
        texture.paint((middle, y), (60.0, 8.0), |dx, dy, v| {
            let away = (dy - bow * dx * dx) / 0.9;
            let fade = (-(dx / 38.0) * (dx / 38.0)).exp();
            dab(away * away, (deep * fade) as f32, v)
        });
    }
    // Veins.
    for _ in 0..5 {
        let (x, y) = (
            lot.random_range(60.0..TEXTURE_WIDTH - 60.0),
            lot.random_range(150.0..420.0),
        );
        let lean = lot.random_range(-0.4..0.4);
        texture.paint((x, y), (30.0, 60.0), |dx, dy, v| {
            let away = (dx - lean * dy - 4.0 * (dy / 17.0).sin()) / 2.2;
            let fade = (-(dy / 40.0) * (dy / 40.0)).exp();
            dab(away * away, (9.0 * fade) as f32, v)
        });
    }
    for (_, height) in MARKS {
        let at = on_leg_texture(0.0, height);
        // Millimetres of skin across for a millimetre of texture, at the back of the leg.
        let across = (leg_at(0.02, height).x - leg_at(-0.02, height).x) / (0.04 * ROUND_MM);
        let seed = lot.random_range(0.0..std::f64::consts::TAU);
        texture.paint(at, (14.0 / across.max(0.2), 9.0), |dx, dy, v| {
            let (x, y) = (dx * across, dy);
            let r = x.hypot(y);
            if stickers {
                // A white dot with a dark cross-shaped half, its rim soft.
                let inside = ((6.0 - r) / 0.5).clamp(0.0, 1.0) as f32;
                let quarter = (y.atan2(x) + seed).sin() * (y.atan2(x) + seed).cos();
                let dark = (0.5 + 4.0 * quarter * (r / 2.5).min(1.0)).clamp(0.0, 1.0) as f32;
                v + inside * (238.0 - 190.0 * dark - v)
            } else {
                // A small cross of a skin pen.
                let line = |a: f64, b: f64| {
                    (-(a / 0.8).powi(2)).exp() * ((4.5 - b.abs()) / 0.8).clamp(0.0, 1.0)
                };
                v - (95.0 * line(x, y).max(line(y, x))) as f32
            }
        });
    }
    texture
}

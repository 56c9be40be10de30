//! A clip: its truth, and its frames drawn one at a time.

use super::pose::{Pose, rises};
use super::scene::Scene;
use super::skin::Skin;
use super::spec::ClipSpec;
use super::view::{Hand, View};
use super::{ClipTruth, LegTruth};
use geometry::Vec2;
use nalgebra::{Matrix3, Vector3};
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use rand_distr::StandardNormal;
use terms::Side;

/// Samples in a pixel each way where skin is drawn: its rim is soft as a camera shows it.
const FINE: usize = 2;
/// Feet of two legs stand this far from the middle, mm.
const STANCE_MM: f64 = 95.0;
const NOISE_POINTS: usize = 1 << 17;

/// A clip that draws its frames when asked; at most some 100 000 pixels wide.
pub struct Clip {
    spec: ClipSpec,
    skins: Vec<(Skin, f64)>,
    scene: Scene,
    hand: Hand,
    steady: View,
    noise: Vec<f32>,
    truth: ClipTruth,
}

impl Clip {
    pub fn new(spec: ClipSpec) -> Self {
        let steady = View::steady(&spec);
        let hand = Hand::new(&spec);
        let offsets: Vec<f64> = spec
            .legs
            .iter()
            .map(|leg| match (spec.legs.len(), leg.side) {
                (1, _) => 0.0,
                (_, Side::Left) => -STANCE_MM,
                (_, Side::Right) => STANCE_MM,
            })
            .collect();
        let scene = Scene::drawn(&spec, &steady, &offsets);
        let skins: Vec<(Skin, f64)> = spec
            .legs
            .iter()
            .zip(&offsets)
            .enumerate()
            .map(|(i, (leg, offset))| {
                (
                    Skin::new(leg, spec.seed ^ (77 + i as u64), spec.stickers),
                    *offset,
                )
            })
            .collect();
        let mut lot = StdRng::seed_from_u64(spec.seed ^ 0x0153);
        let noise = (0..NOISE_POINTS)
            .map(|_| lot.sample(StandardNormal))
            .collect();
        let count = (spec.length_s() * spec.rate).floor() as usize;
        let times_s: Vec<f64> = (0..count)
            .map(|i| (i as f64 + spec.jitter * lot.random_range(-1.0..1.0)) / spec.rate)
            .map(|t| (t * 1e5).round() / 1e5)
            .collect();
        let legs = (0..spec.legs.len())
            .map(|i| leg_truth(&spec, i, &skins[i], &times_s, &steady, &hand))
            .collect();
        Self {
            truth: ClipTruth {
                times_s,
                legs,
                px_per_mm: spec.px_per_mm,
            },
            spec,
            skins,
            scene,
            hand,
            steady,
            noise,
        }
    }

    pub fn spec(&self) -> &ClipSpec {
        &self.spec
    }

    pub fn truth(&self) -> &ClipTruth {
        &self.truth
    }

    pub fn count(&self) -> usize {
        self.truth.times_s.len()
    }

    /// Grey bytes in rows; black beyond the last frame.
    pub fn frame(&self, index: usize) -> Vec<u8> {
        let (width, height) = (self.spec.width, self.spec.height);
        let Some(time) = self.truth.times_s.get(index).copied() else {
            return vec![0; width * height];
        };
        let turn = self.hand.turn(time);
        let view = self.steady.turned(turn);
        let mut picture = self.background(turn);
        for (i, (skin, offset)) in self.skins.iter().enumerate() {
            let pose = Pose::at(&self.spec, &self.spec.legs[i], time, *offset);
            draw_skin(&mut picture, width, height, skin, &pose, &view);
        }
        self.hide(&mut picture, index, time);
        blur(&mut picture, width, height, self.spec.blur_px);
        self.expose(&picture, index, time)
    }

    fn background(&self, turn: Matrix3<f64>) -> Vec<f32> {
        let (width, height) = (self.spec.width, self.spec.height);
        let back = turn.transpose();
        let mut out = Vec::with_capacity(width * height);
        let (cx, cy) = self.steady.middle;
        let f = self.steady.focal;
        for y in 0..height {
            for x in 0..width {
                let d = back * self.steady.own_ray(x as f64, y as f64);
                out.push(self.scene.at(cx + f * d.x / d.z, cy - f * d.y / d.z));
            }
        }
        out
    }

    /// A sleeve that hangs in front of a mark.
    fn hide(&self, picture: &mut [f32], index: usize, time: f64) {
        let Some(hidden) = self.spec.hidden else {
            return;
        };
        let Some(leg) = self.truth.legs.get(hidden.leg) else {
            return;
        };
        if !(hidden.from_s..hidden.until_s).contains(&time) || hidden.mark > 3 {
            return;
        }
        let (cx, cy) = leg.spots[index][hidden.mark];
        let (width, height) = (self.spec.width as f64, self.spec.height as f64);
        let half = 17.0 * self.spec.px_per_mm;
        let rows = (cy - half).max(0.0) as usize..(cy + half).clamp(0.0, height) as usize;
        let until = (cx + 1.5 * half).clamp(0.0, width) as usize;
        for y in rows {
            for x in 0..until {
                let (u, v) = (x as f64 - cx, y as f64 - cy);
                let weave =
                    6.0 * (0.9 * u).sin() * (0.9 * v).sin() + 10.0 * (0.05 * u + 0.02 * v).sin();
                picture[y * self.spec.width + x] = (62.0 + weave) as f32;
            }
        }
    }

    fn expose(&self, picture: &[f32], index: usize, time: f64) -> Vec<u8> {
        let width = self.spec.width;
        let swell = (1.3 * time).sin() + 0.6 * (0.37 * time + 1.0).sin();
        let gain = 1.0 + (self.spec.flicker * swell / 1.6) as f32;
        let strength = self.spec.noise as f32;
        let mut lot = StdRng::seed_from_u64(self.spec.seed ^ ((index as u64) << 20) ^ 0xF00D);
        let mut out = Vec::with_capacity(picture.len());
        for row in picture.chunks_exact(width) {
            let from = lot.random_range(0..NOISE_POINTS - width);
            let noise = &self.noise[from..from + width];
            out.extend(
                row.iter()
                    .zip(noise)
                    .map(|(v, n)| (gain * v + strength * n).round().clamp(0.0, 255.0) as u8),
            );
        }
        out
    }
}

/// Angle of the heel against the leg, eversion plus, from upper and lower marks (x right, y up).
fn outward_deg(side: Side, p: &[(f64, f64); 4]) -> f64 {
    let down = |a: (f64, f64), b: (f64, f64)| Vec2::new(b.0 - a.0, b.1 - a.1);
    let turn = down(p[0], p[1]).turn_to(down(p[2], p[3])).to_degrees();
    match side {
        Side::Right => turn,
        Side::Left => -turn,
    }
}

fn leg_truth(
    spec: &ClipSpec,
    index: usize,
    (skin, offset): &(Skin, f64),
    times: &[f64],
    steady: &View,
    hand: &Hand,
) -> LegTruth {
    let leg = &spec.legs[index];
    let marks = |t: f64| skin.marks(&Pose::at(spec, leg, t, *offset));
    let across = |m: &[Vector3<f64>; 4]| outward_deg(leg.side, &m.map(|p| (p.x, p.y)));
    let standing = marks(0.0);
    let mut truth = LegTruth {
        side: leg.side,
        front_deg: Vec::new(),
        seen_deg: Vec::new(),
        height_mm: Vec::new(),
        spots: Vec::new(),
        rises: rises(spec, leg, |t| {
            let m = marks(t);
            (across(&m), m[3].y)
        }),
    };
    for time in times {
        let now = marks(*time);
        let view = steady.turned(hand.turn(*time));
        let spots = now.map(|p| view.pixel(p).map_or((f64::NAN, f64::NAN), |s| (s.0, s.1)));
        truth.front_deg.push(across(&now));
        truth
            .seen_deg
            .push(outward_deg(leg.side, &spots.map(|s| (s.0, -s.1))));
        truth.height_mm.push(now[3].y - standing[3].y);
        truth.spots.push(spots);
    }
    truth
}

/// Light from above and beside the camera, and what comes back from the room.
fn shades(
    places: &[Vector3<f64>],
    triangles: &[[u32; 3]],
    mirrored: bool,
    view: &View,
) -> Vec<f32> {
    let mut normals = vec![Vector3::zeros(); places.len()];
    for t in triangles {
        let [a, b, c] = t.map(|i| places[i as usize]);
        let n = (b - a).cross(&(c - a));
        for i in t {
            normals[*i as usize] += n;
        }
    }
    let sign = if mirrored { -1.0 } else { 1.0 };
    let lamp = Vector3::new(-0.45, 0.65, -0.8).normalize();
    normals
        .iter()
        .zip(places)
        .map(|(n, p)| {
            let n = n.try_normalize(1e-12).unwrap_or(-lamp) * sign;
            let to_eye = (view.eye - p).normalize();
            // Whichever way the triangles run, the side that is seen is the outer one.
            let n = if n.dot(&to_eye) < 0.0 { -n } else { n };
            let lit = n.dot(&lamp).max(0.0);
            let sky = 0.5 + 0.5 * n.y;
            // Near the floor the foot keeps the room's light away.
            let near_floor = 1.0 - 0.35 * (-(p.y.max(0.0) / 14.0)).exp();
            ((0.36 + 0.2 * sky + 0.56 * lit) * near_floor) as f32
        })
        .collect()
}

fn draw_skin(
    picture: &mut [f32],
    width: usize,
    height: usize,
    skin: &Skin,
    pose: &Pose,
    view: &View,
) {
    let places = skin.placed(pose);
    let shades = shades(&places, &skin.triangles, pose.mirrored(), view);
    let fine = FINE as f64;
    // Sample k of pixel i lies at i + (k + ½)/FINE − ½.
    let pixels: Vec<Option<(f64, f64, f64)>> = places
        .iter()
        .map(|p| {
            let (x, y, z) = view.pixel(*p)?;
            Some((fine * (x + 0.5) - 0.5, fine * (y + 0.5) - 0.5, z))
        })
        .collect();
    let (fw, fh) = (width * FINE, height * FINE);
    let edge = |pick: fn(&(f64, f64, f64)) -> f64, most: usize| {
        let all = || pixels.iter().flatten().map(pick);
        let low = all()
            .fold(f64::INFINITY, f64::min)
            .floor()
            .clamp(0.0, most as f64);
        let high = all()
            .fold(0.0, f64::max)
            .ceil()
            .clamp(0.0, (most - 1) as f64);
        (low as usize / FINE * FINE, high as usize)
    };
    let ((x0, x1), (y0, y1)) = (edge(|p| p.0, fw), edge(|p| p.1, fh));
    if x1 <= x0 || y1 <= y0 {
        return;
    }
    let (w, h) = (
        (x1 - x0) / FINE * FINE + FINE,
        (y1 - y0) / FINE * FINE + FINE,
    );
    let mut depth = vec![f32::INFINITY; w * h];
    let mut value = vec![0f32; w * h];
    for t in &skin.triangles {
        let i = t.map(|k| k as usize);
        let (Some(a), Some(b), Some(c)) = (pixels[i[0]], pixels[i[1]], pixels[i[2]]) else {
            continue;
        };
        let area = (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0);
        if area.abs() < 1e-9 {
            continue;
        }
        let lo = |p: f64, q: f64, r: f64, from: usize| {
            (p.min(q).min(r).ceil().max(from as f64)) as usize
        };
        let hi = |p: f64, q: f64, r: f64, to: usize| p.max(q).max(r).floor().min(to as f64 - 1.0);
        let (bx, by) = (hi(a.0, b.0, c.0, x0 + w), hi(a.1, b.1, c.1, y0 + h));
        if bx < x0 as f64 || by < y0 as f64 {
            continue;
        }
        let on = i.map(|k| skin.on_texture[k]);
        let light = i.map(|k| f64::from(shades[k]));
        for y in lo(a.1, b.1, c.1, y0)..=by as usize {
            for x in lo(a.0, b.0, c.0, x0)..=bx as usize {
                let (px, py) = (x as f64, y as f64);
                let wb = ((px - a.0) * (c.1 - a.1) - (py - a.1) * (c.0 - a.0)) / area;
                let wc = ((b.0 - a.0) * (py - a.1) - (b.1 - a.1) * (px - a.0)) / area;
                let wa = 1.0 - wb - wc;
                if wa < -1e-9 || wb < -1e-9 || wc < -1e-9 {
                    continue;
                }
                let z = (wa * a.2 + wb * b.2 + wc * c.2) as f32;
                let at = (y - y0) * w + x - x0;
                if z >= depth[at] {
                    continue;
                }
                depth[at] = z;
                let u = wa * on[0].0 + wb * on[1].0 + wc * on[2].0;
                let v = wa * on[0].1 + wb * on[1].1 + wc * on[2].1;
                let shade = wa * light[0] + wb * light[1] + wc * light[2];
                value[at] = skin.texture.at(u, v) * shade as f32;
            }
        }
    }
    let part = 1.0 / (FINE * FINE) as f32;
    for j in 0..h / FINE {
        for i in 0..w / FINE {
            let at = (y0 / FINE + j) * width + x0 / FINE + i;
            let Some(pixel) = picture.get_mut(at) else {
                continue;
            };
            let (mut sum, mut covered) = (0f32, 0f32);
            for k in 0..FINE * FINE {
                let s = (j * FINE + k / FINE) * w + i * FINE + k % FINE;
                if depth[s].is_finite() {
                    sum += value[s];
                    covered += 1.0;
                }
            }
            *pixel = part * sum + (1.0 - part * covered) * *pixel;
        }
    }
}

fn blur(picture: &mut [f32], width: usize, height: usize, sigma: f64) {
    if sigma < 0.2 {
        return;
    }
    let reach = (3.0 * sigma).ceil() as usize;
    let raw: Vec<f64> = (0..=reach)
        .map(|k| (-0.5 * (k as f64 / sigma).powi(2)).exp())
        .collect();
    let total = raw[0] + 2.0 * raw[1..].iter().sum::<f64>();
    let weights: Vec<f32> = raw.iter().map(|w| (w / total) as f32).collect();
    let mut line = vec![0f32; width + 2 * reach];
    for row in picture.chunks_exact_mut(width) {
        line[..reach].fill(row[0]);
        line[reach..reach + width].copy_from_slice(row);
        line[reach + width..].fill(row[width - 1]);
        for (x, o) in row.iter_mut().enumerate() {
            let c = x + reach;
            let sides: f32 = (1..=reach)
                .map(|k| weights[k] * (line[c - k] + line[c + k]))
                .sum();
            *o = weights[0] * line[c] + sides;
        }
    }
    let source = picture.to_vec();
    let row = |y: isize| {
        let y = y.clamp(0, height as isize - 1) as usize;
        &source[y * width..(y + 1) * width]
    };
    for (y, out) in picture.chunks_exact_mut(width).enumerate() {
        let y = y as isize;
        for (o, v) in out.iter_mut().zip(row(y)) {
            *o = weights[0] * v;
        }
        for (k, weight) in weights.iter().enumerate().skip(1) {
            let k = k as isize;
            for ((o, a), b) in out.iter_mut().zip(row(y - k)).zip(row(y + k)) {
                *o += weight * (a + b);
            }
        }
    }
}

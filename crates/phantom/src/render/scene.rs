//! Which solids does the beam meet, and how much does each hold back?
//!
//! Attenuation does not depend on energy here. Along a ray, skin adds fat, the muscle within it adds
//! what muscle has more; a bone takes the place of muscle: cortex between its two surfaces, spongy
//! bone with its texture inside, a thin dense plate where another bone lies close by (subchondral).
//! The values are chosen by eye, so that the film reads as one; they are not a tissue table.

use super::blur::Grey;
use super::camera::{Camera, V};
use super::raster::{BAND, BehindSource, Projected, ball_mm};
use super::texture::Grain;
use mesh::Mesh;
use rayon::prelude::*;

/// What one millimetre holds back, and how uneven spongy bone is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tissue {
    pub cortex_per_mm: f64,
    pub spongy_per_mm: f64,
    pub muscle_per_mm: f64,
    pub fat_per_mm: f64,
    pub steel_per_mm: f64,
    /// Standard deviation of spongy bone's sum after 1 mm; grows with the root of the length.
    pub grain: f64,
    /// A subchondral plate's extra attenuation straight through it, where the joint is closest.
    pub plate: f64,
}

impl Default for Tissue {
    fn default() -> Tissue {
        Tissue {
            cortex_per_mm: 0.066,
            spongy_per_mm: 0.0357,
            muscle_per_mm: 0.0203,
            fat_per_mm: 0.0166,
            steel_per_mm: 0.9,
            grain: 0.0062,
            plate: 0.0185,
        }
    }
}

/// One bone in the beam.
#[derive(Debug, Clone)]
pub struct Body<'a> {
    pub outer: &'a Mesh,
    pub inner: Option<&'a Mesh>,
    /// Beside an adult tarsal bone (1).
    pub density: f64,
    /// Main directions of its trabeculae.
    pub lines: Vec<[f64; 3]>,
}

/// Anything else of one material: platform, wire, splint.
#[derive(Debug, Clone)]
pub struct Filler {
    pub mesh: Mesh,
    pub per_mm: f64,
}

/// A steel ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    pub centre_mm: [f64; 3],
    pub diameter_mm: f64,
}

/// Everything in the beam.
#[derive(Debug, Clone, Default)]
pub struct Scene<'a> {
    pub bodies: Vec<Body<'a>>,
    pub skin: Option<&'a Mesh>,
    pub muscle: Option<Mesh>,
    pub fillers: Vec<Filler>,
    pub balls: Vec<Ball>,
    pub tissue: Tissue,
    pub seed: u64,
}

/// A bone as seen, with what its texture needs.
struct SeenBody<'a> {
    outer: Projected<'a>,
    inner: Option<Projected<'a>>,
    plates: Vec<f32>,
    density: f32,
    grains: Vec<GrainFrame>,
}

/// From film pixels to millimetres along and across one set of trabeculae.
struct GrainFrame {
    along: [f64; 2],
    offset: [f64; 2],
    weight: f32,
}

/// Attenuation along the ray to every pixel (natural logarithm of what is held back), row by row.
///
/// # Errors
/// A solid that does not lie wholly before the source.
pub(crate) fn attenuation_grey(camera: &Camera, scene: &Scene<'_>) -> Result<Grey, BehindSource> {
    let t = scene.tissue;
    let grain = Grain::tile();
    let plates = super::plates::closeness(&scene.bodies);
    let bodies = scene
        .bodies
        .par_iter()
        .zip(plates)
        .enumerate()
        .map(|(i, (body, plates))| {
            Ok(SeenBody {
                outer: Projected::new(camera, body.outer)?,
                inner: body.inner.map(|m| Projected::new(camera, m)).transpose()?,
                plates,
                density: body.density as f32,
                grains: grain_frames(camera, body, i, scene.seed),
            })
        })
        .collect::<Result<Vec<_>, BehindSource>>()?;
    let mut plain: Vec<(Projected<'_>, f32)> = Vec::new();
    if let Some(skin) = scene.skin {
        plain.push((Projected::new(camera, skin)?, t.fat_per_mm as f32));
    }
    if let Some(muscle) = &scene.muscle {
        plain.push((
            Projected::new(camera, muscle)?,
            (t.muscle_per_mm - t.fat_per_mm) as f32,
        ));
    }
    for filler in &scene.fillers {
        plain.push((Projected::new(camera, &filler.mesh)?, filler.per_mm as f32));
    }

    let width = camera.width;
    let mut values = vec![0.0f32; width * camera.height];
    values
        .par_chunks_mut(BAND * width)
        .enumerate()
        .for_each(|(band, out)| {
            let ray_mm = ray_lengths(camera, band, out.len() / width);
            let mut sums = vec![0.0f32; out.len()];
            let mut inner = vec![0.0f32; out.len()];
            let mut shell = vec![0.0f32; out.len()];
            for (solid, per_mm) in plain.iter().filter(|(s, _)| s.touches(band)) {
                solid.add_to_band(band, width, &mut sums);
                each_pixel(solid, band, width, out.len() / width, |at| {
                    out[at] += per_mm * (sums[at] * ray_mm[at]).max(0.0);
                    sums[at] = 0.0;
                });
            }
            for body in bodies.iter().filter(|b| b.outer.touches(band)) {
                body.outer.add_to_band(band, width, &mut sums);
                body.outer
                    .add_shell_to_band(band, camera, &body.plates, &mut shell);
                if let Some(within) = &body.inner {
                    within.add_to_band(band, width, &mut inner);
                }
                let first_row = band * BAND;
                each_pixel(&body.outer, band, width, out.len() / width, |at| {
                    let whole = (sums[at] * ray_mm[at]).max(0.0);
                    if whole > 0.0 {
                        let spongy = (inner[at] * ray_mm[at]).clamp(0.0, whole);
                        let texture = if spongy > 0.2 {
                            let (x, y) = ((at % width) as f64, (first_row + at / width) as f64);
                            body.grains
                                .iter()
                                .map(|g| g.value(grain, x, y))
                                .sum::<f32>()
                                * t.grain as f32
                                * spongy.sqrt()
                        } else {
                            0.0
                        };
                        out[at] += body.density
                            * (t.cortex_per_mm as f32 * (whole - spongy)
                                + t.spongy_per_mm as f32 * spongy
                                + texture
                                + t.plate as f32 * shell[at])
                            - t.muscle_per_mm as f32 * whole;
                    }
                    (sums[at], inner[at], shell[at]) = (0.0, 0.0, 0.0);
                });
            }
            for ball in &scene.balls {
                add_ball(camera, ball, t, band, out);
            }
        });
    Ok(Grey {
        width,
        height: camera.height,
        values,
    })
}

/// [`attenuation_grey`] as plain numbers.
///
/// # Errors
/// A solid that does not lie wholly before the source.
pub fn attenuation(camera: &Camera, scene: &Scene<'_>) -> Result<Vec<f32>, BehindSource> {
    Ok(attenuation_grey(camera, scene)?.values)
}

fn ray_lengths(camera: &Camera, band: usize, rows: usize) -> Vec<f32> {
    let mut lengths = Vec::with_capacity(rows * camera.width);
    for row in 0..rows {
        let first = camera.ray_to(0.0, (band * BAND + row) as f64);
        let step = camera.columns * camera.pixel_mm;
        // |first + k·step|² is a quadratic in k.
        let (a, b, c) = (step.dot(step), 2.0 * first.dot(step), first.dot(first));
        lengths.extend((0..camera.width).map(|k| {
            let k = k as f64;
            (a * k * k + b * k + c).sqrt() as f32
        }));
    }
    lengths
}

fn each_pixel(
    solid: &Projected<'_>,
    band: usize,
    width: usize,
    rows: usize,
    mut work: impl FnMut(usize),
) {
    let first_row = band * BAND;
    let y0 = solid.rows.0.saturating_sub(first_row).min(rows);
    let y1 = solid.rows.1.saturating_sub(first_row).min(rows);
    for y in y0..y1 {
        for x in solid.columns.0..solid.columns.1 {
            work(y * width + x);
        }
    }
}

fn add_ball(camera: &Camera, ball: &Ball, tissue: Tissue, band: usize, out: &mut [f32]) {
    let [cx, cy] = camera.project(ball.centre_mm);
    // Oblique detectors draw a ball as an ellipse: 1.3 covers every angle used.
    let reach =
        0.65 * ball.diameter_mm * camera.magnification(ball.centre_mm) / camera.pixel_mm + 2.0;
    let first_row = band * BAND;
    for (row, line) in out.chunks_mut(camera.width).enumerate() {
        let y = (first_row + row) as f64;
        if (y - cy).abs() > reach {
            continue;
        }
        for (x, value) in line.iter_mut().enumerate() {
            if (x as f64 - cx).abs() <= reach {
                let ray = camera.ray_to(x as f64, y);
                let mm = ball_mm(
                    camera.source,
                    ray,
                    V(ball.centre_mm),
                    ball.diameter_mm / 2.0,
                );
                *value += (mm * tissue.steel_per_mm) as f32;
            }
        }
    }
}

impl GrainFrame {
    fn value(&self, grain: &Grain, x: f64, y: f64) -> f32 {
        let [ax, ay] = self.along;
        self.weight
            * grain.at(
                ax * x + ay * y + self.offset[0],
                -ay * x + ax * y + self.offset[1],
            )
    }
}

/// Lays the grain over a bone: scaled to the bone's own plane, along its lines, anchored at its middle.
fn grain_frames(camera: &Camera, body: &Body<'_>, index: usize, seed: u64) -> Vec<GrainFrame> {
    let Some((low, high)) = body.outer.bounds() else {
        return Vec::new();
    };
    let middle: [f64; 3] = std::array::from_fn(|k| (low[k] + high[k]) / 2.0);
    let [mx, my] = camera.project(middle);
    let mm_per_px = camera.pixel_mm / camera.magnification(middle);
    let share = 1.0 / (body.lines.len().max(1) as f32).sqrt();
    body.lines
        .iter()
        .enumerate()
        .map(|(k, line)| {
            let [ex, ey] = camera.project((V(middle) + V(*line) * 5.0).0);
            let (dx, dy) = (ex - mx, ey - my);
            let seen = dx.hypot(dy);
            let [ux, uy] = if seen > 1e-6 {
                [dx / seen, dy / seen]
            } else {
                [1.0, 0.0]
            };
            let along = [ux * mm_per_px, uy * mm_per_px];
            // Every bone, every set of lines and every seed takes another part of the tile.
            let part = index as f64 + (seed % 1024) as f64 * 0.618_034;
            let shift = [7.3 * part + 23.0 * k as f64, 11.9 * part + 17.0 * k as f64];
            GrainFrame {
                along,
                offset: [
                    shift[0] - along[0] * mx - along[1] * my,
                    shift[1] + along[1] * mx - along[0] * my,
                ],
                weight: share,
            }
        })
        .collect()
}

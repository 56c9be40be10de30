//! The middle line of a leg or heel from the edges of its skin to both sides.
//!
//! At several heights along a rough line brightness is read across; steep changes to each side may be the edge, and
//! that path down the limb is taken which is steep throughout and does not jump: floor, skirting board and the other
//! foot have steep changes too. The line through the middles is fitted without those that stand out.

use crate::MotionError;
use crate::steps::Spot;
use geometry::Vec2;
use geometry::fit::line_through;
use picture::Grey;

/// Heights at which edges are looked for.
pub const HEIGHTS: usize = 15;
/// Of these at least so many must show both edges.
pub const LEAST_HEIGHTS: usize = 8;
/// Width of the smoothing across the edge, pixels: that of a sharp photograph's own blur.
const SIGMA_PX: f64 = 1.5;
const STEP_PX: f64 = 0.5;
/// Rows to either side that are averaged along the edge.
const ALONG: i32 = 2;
/// An edge is steeper than this, in brightness per pixel.
const LEAST_SLOPE: f64 = 2.5;
/// Middles that scatter more than this part of the width come from edges of something else: the outer edge of a heel
/// in front of a foot turned out is hardly seen, and a line through such middles errs by ten degrees.
const MOST_SCATTER: f64 = 0.0125;
/// Marks on the skin have edges too: nothing nearer to the rough line than this part of the reach is one.
const NEAREST: f64 = 0.2;
/// An edge that moves by this from one height to the next costs as much as one without any slope.
const JUMP_PX: f64 = 12.0;

/// A middle line found from edges.
#[derive(Debug, Clone, PartialEq)]
pub struct Middle {
    pub upper: Spot,
    pub lower: Spot,
    /// Standard error of the direction, from how the middles scatter about the line, degrees.
    pub direction_sd_deg: f64,
    /// Left and right edge at each height where both were found.
    pub edges: Vec<(Spot, Spot)>,
}

/// Looks to both sides of the rough line, up to `reach_px`.
///
/// # Errors
/// Too few heights with both edges, or middles that lie on no line.
pub fn middle_of(
    grey: &Grey,
    upper: Spot,
    lower: Spot,
    reach_px: f64,
) -> Result<Middle, MotionError> {
    if !(4.0..=4096.0).contains(&reach_px) {
        return Err(MotionError::OutOfRange {
            what: "the reach of the search for edges in pixels",
            found: reach_px,
            expected: "4 to 4096",
        });
    }
    let (from, to) = (Vec2::new(upper.x, upper.y), Vec2::new(lower.x, lower.y));
    let down = to.minus(from).unit();
    let right = Vec2::new(down.y, -down.x);
    let centres: Vec<Vec2> = (0..HEIGHTS)
        .map(|k| from.plus(to.minus(from).scaled(k as f64 / (HEIGHTS - 1) as f64)))
        .collect();
    let side = |way: f64| -> Vec<Option<f64>> {
        let all: Vec<Vec<Steep>> = centres
            .iter()
            .map(|at| steep_places(grey, *at, right.scaled(way), down, reach_px))
            .collect();
        path(&all)
    };
    let found: Vec<(Vec2, Vec2)> = centres
        .iter()
        .zip(side(-1.0).into_iter().zip(side(1.0)))
        .filter_map(|(at, (l, r))| Some((at.plus(right.scaled(-l?)), at.plus(right.scaled(r?)))))
        .collect();
    let kept = consistent(found, right);
    let few = |found| MotionError::EdgesNotFound {
        found,
        of: HEIGHTS,
        least: LEAST_HEIGHTS,
    };
    if kept.len() < LEAST_HEIGHTS {
        return Err(few(kept.len()));
    }
    let middles: Vec<Vec2> = kept.iter().map(|(l, r)| l.midpoint(*r)).collect();
    let fit = line_through(&middles).ok_or(few(0))?;
    let along = fit.line.along.unit();
    let shares: Vec<f64> = middles
        .iter()
        .map(|m| m.minus(fit.line.through).dot(along))
        .collect();
    let spread: f64 = shares.iter().map(|s| s * s).sum();
    let n = middles.len() as f64;
    // Two numbers were fitted from the middles.
    let scatter = fit.rms * (n / (n - 2.0)).sqrt();
    let width = kept.iter().map(|(l, r)| r.minus(*l).length()).sum::<f64>() / n;
    if scatter > MOST_SCATTER * width {
        return Err(MotionError::EdgesUnsteady {
            scatter,
            most: MOST_SCATTER * width,
        });
    }
    let end = |share: f64| {
        let p = fit.line.through.plus(along.scaled(share));
        Spot::new(p.x, p.y)
    };
    let low = shares.iter().copied().fold(f64::INFINITY, f64::min);
    let high = shares.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (a, b) = (end(low), end(high));
    let (upper, lower) = if a.y < b.y { (a, b) } else { (b, a) };
    Ok(Middle {
        upper,
        lower,
        direction_sd_deg: (scatter / spread.sqrt()).to_degrees(),
        edges: kept
            .iter()
            .map(|(l, r)| (Spot::new(l.x, l.y), Spot::new(r.x, r.y)))
            .collect(),
    })
}

/// A steep change: how far from the rough line and how steep.
#[derive(Debug, Clone, Copy)]
struct Steep {
    away: f64,
    slope: f64,
}

/// The path down the limb with the steepest changes and the smallest jumps; heights without any are passed over.
fn path(all: &[Vec<Steep>]) -> Vec<Option<f64>> {
    let rows: Vec<usize> = (0..all.len()).filter(|k| !all[*k].is_empty()).collect();
    let mut costs: Vec<Vec<(f64, usize)>> = Vec::with_capacity(rows.len());
    for (n, row) in rows.iter().enumerate() {
        let here = &all[*row];
        let steepest = here.iter().fold(0.0, |m: f64, s| m.max(s.slope));
        costs.push(
            here.iter()
                .map(|s| {
                    let own = 1.0 - s.slope / steepest;
                    let Some(before) = n.checked_sub(1) else {
                        return (own, 0);
                    };
                    let last = &all[rows[before]];
                    (0..last.len())
                        .map(|i| {
                            let jump = ((s.away - last[i].away) / JUMP_PX).powi(2).min(4.0);
                            (costs[before][i].0 + own + jump, i)
                        })
                        .min_by(|a, b| a.0.total_cmp(&b.0))
                        .unwrap_or((own, 0))
                })
                .collect(),
        );
    }
    let mut out = vec![None; all.len()];
    let end = costs
        .last()
        .and_then(|c| (0..c.len()).min_by(|a, b| c[*a].0.total_cmp(&c[*b].0)));
    let mut at = end.unwrap_or(0);
    for (n, row) in rows.iter().enumerate().rev() {
        out[*row] = Some(all[*row][at].away);
        at = costs[n][at].1;
    }
    out
}

/// The steepest changes from `at` along `way`, strongest first.
fn steep_places(grey: &Grey, at: Vec2, way: Vec2, down: Vec2, reach: f64) -> Vec<Steep> {
    slopes_across(grey, at, way, down, reach).map_or_else(Vec::new, |slopes| {
        let mut found: Vec<Steep> = slopes
            .windows(3)
            .enumerate()
            .filter(|(_, w)| w[1] >= w[0] && w[1] > w[2] && w[1] >= LEAST_SLOPE)
            .map(|(i, w)| {
                let curve = w[0] - 2.0 * w[1] + w[2];
                let between = if curve < 0.0 {
                    0.5 * (w[0] - w[2]) / curve
                } else {
                    0.0
                };
                Steep {
                    away: (i as f64 + 1.0 + between) * STEP_PX,
                    slope: w[1],
                }
            })
            .filter(|s| s.away >= NEAREST * reach)
            .collect();
        found.sort_by(|a, b| b.slope.total_cmp(&a.slope));
        found.truncate(6);
        found
    })
}

/// Steepness at each step from `at` along `way`; `None` where the picture ends.
fn slopes_across(grey: &Grey, at: Vec2, way: Vec2, down: Vec2, reach: f64) -> Option<Vec<f64>> {
    let margin = 3.0 * SIGMA_PX;
    let count = ((reach + 2.0 * margin) / STEP_PX).ceil() as usize;
    let mut profile = Vec::with_capacity(count);
    for k in 0..count {
        let away = k as f64 * STEP_PX - margin;
        let mut sum = 0.0;
        for row in -ALONG..=ALONG {
            let p = at.plus(way.scaled(away)).plus(down.scaled(f64::from(row)));
            sum += brightness(grey, p.x, p.y)?;
        }
        profile.push(sum / f64::from(2 * ALONG + 1));
    }
    let half = (margin / STEP_PX).round() as usize;
    let kernel: Vec<f64> = (0..=2 * half)
        .map(|k| {
            let t = (k as f64 - half as f64) * STEP_PX / SIGMA_PX;
            t * (-0.5 * t * t).exp()
        })
        .collect();
    // So that a ramp of one grey value a pixel has the slope one.
    let unit: f64 = kernel
        .iter()
        .enumerate()
        .map(|(k, w)| w * (k as f64 - half as f64) * STEP_PX)
        .sum();
    Some(
        profile
            .windows(kernel.len())
            .map(|w| (w.iter().zip(&kernel).map(|(v, k)| v * k).sum::<f64>() / unit).abs())
            .collect(),
    )
}

/// `None` outside the picture.
fn brightness(grey: &Grey, x: f64, y: f64) -> Option<f64> {
    if !(x >= 0.0 && y >= 0.0) {
        return None;
    }
    let (ix, iy) = (x.floor() as usize, y.floor() as usize);
    let at = |x: usize, y: usize| grey.at(x, y).map(f64::from);
    let (fx, fy) = (x - x.floor(), y - y.floor());
    let a = at(ix, iy)?;
    let b = at(ix + 1, iy).unwrap_or(a);
    let c = at(ix, iy + 1).unwrap_or(a);
    let d = at(ix + 1, iy + 1).unwrap_or(a);
    Some((1.0 - fy) * ((1.0 - fx) * a + fx * b) + fy * ((1.0 - fx) * c + fx * d))
}

/// Heights whose width agrees with that of their neighbours: an edge that jumped to something else is left out.
fn consistent(found: Vec<(Vec2, Vec2)>, right: Vec2) -> Vec<(Vec2, Vec2)> {
    let widths: Vec<f64> = found.iter().map(|(l, r)| r.minus(*l).dot(right)).collect();
    found
        .iter()
        .enumerate()
        .filter(|(i, _)| {
            let from = i.saturating_sub(3);
            let near = &widths[from..(i + 4).min(widths.len())];
            let mut sorted = near.to_vec();
            sorted.sort_by(f64::total_cmp);
            let middle = sorted[sorted.len() / 2];
            (widths[*i] - middle).abs() < 0.15 * middle.abs() + 2.0
        })
        .map(|(_, pair)| *pair)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bright bar on dark ground, leaning by `deg`, with soft edges.
    fn bar(deg: f64, half: f64) -> Grey {
        let (width, height) = (240, 300);
        let lean = deg.to_radians().tan();
        let values = (0..width * height)
            .map(|i| {
                let (x, y) = ((i % width) as f64, (i / width) as f64);
                let away = (x - 120.0 - lean * (y - 150.0)).abs() - half;
                let speckle = 3.0 * ((x * 12.9 + y * 78.2).sin() * 43758.5).fract();
                (70.0 + 90.0 / (1.0 + (away / 0.8).exp()) + speckle) as f32
            })
            .collect();
        Grey::new(width, height, values).unwrap()
    }

    #[test]
    fn the_middle_of_a_leaning_bar_is_found_to_a_tenth_of_a_degree_from_a_crooked_guess() {
        for deg in [-7.0, 0.0, 5.5] {
            let found = middle_of(
                &bar(deg, 34.0),
                Spot::new(117.0, 60.0),
                Spot::new(124.0, 240.0),
                70.0,
            )
            .unwrap();
            let got = (found.lower.x - found.upper.x)
                .atan2(found.lower.y - found.upper.y)
                .to_degrees();
            assert!((got - deg).abs() < 0.1, "{deg}: {got}");
            assert!(found.direction_sd_deg < 0.1);
        }
    }

    #[test]
    fn a_plain_wall_and_a_line_out_of_the_picture_show_no_edges() {
        let wall = Grey::new(100, 100, vec![80.0; 10_000]).unwrap();
        for (a, b) in [
            (Spot::new(50.0, 20.0), Spot::new(50.0, 80.0)),
            (Spot::new(-50.0, 20.0), Spot::new(-50.0, 80.0)),
        ] {
            let error = middle_of(&wall, a, b, 20.0).unwrap_err();
            assert!(error.to_string().contains("by hand"), "{error}");
        }
    }
}

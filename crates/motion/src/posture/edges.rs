//! The middle line of a leg or heel from the edges of its skin to both sides.
//!
//! At several heights along a rough line brightness is read across; the steepest change to each side is the edge,
//! found between pixels; the line through the middles is fitted without those that stand out.

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
/// Too few heights with both edges.
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
    let mut found: Vec<(Vec2, Vec2)> = Vec::new();
    for k in 0..HEIGHTS {
        let share = k as f64 / (HEIGHTS - 1) as f64;
        let at = from.plus(to.minus(from).scaled(share));
        let side = |way: f64| edge(grey, at, right.scaled(way), down, reach_px);
        if let (Some(l), Some(r)) = (side(-1.0), side(1.0)) {
            found.push((at.plus(right.scaled(-l)), at.plus(right.scaled(r))));
        }
    }
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

/// Distance of the steepest change from `at` along `way`; `None` where nothing is steep.
fn edge(grey: &Grey, at: Vec2, way: Vec2, down: Vec2, reach: f64) -> Option<f64> {
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
    let slopes: Vec<f64> = profile
        .windows(kernel.len())
        .map(|w| w.iter().zip(&kernel).map(|(v, k)| v * k).sum::<f64>() / unit)
        .map(f64::abs)
        .collect();
    let (best, slope) = slopes
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1))?;
    if *slope < LEAST_SLOPE || best == 0 || best + 1 >= slopes.len() {
        return None;
    }
    let (a, b, c) = (slopes[best - 1], slopes[best], slopes[best + 1]);
    let curve = a - 2.0 * b + c;
    let between = if curve < 0.0 {
        0.5 * (a - c) / curve
    } else {
        0.0
    };
    Some((best as f64 + between) * STEP_PX)
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

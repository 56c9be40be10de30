//! Where is the nearest strong edge? Gaussian derivatives in 32-bit floats, in the small region asked.
//!
//! The filters work on all 16 bits: a film's cortex can be a few hundred levels out of 65,536.
//! Canny's conditions for an edge point (a maximum of the gradient along its own direction) are used
//! with a parabola for the part of a pixel.

/// A grey picture to look at, usually [`crate::Film::display16`].
#[derive(Debug, Clone, Copy)]
pub struct Grey<'a> {
    pixels: &'a [u16],
    width: usize,
    height: usize,
}

impl<'a> Grey<'a> {
    /// `None` when the number of pixels is not `width × height`, or there are none.
    pub fn new(pixels: &'a [u16], width: u32, height: u32) -> Option<Grey<'a>> {
        let (width, height) = (width as usize, height as usize);
        let good = !pixels.is_empty() && width.checked_mul(height) == Some(pixels.len());
        good.then_some(Grey {
            pixels,
            width,
            height,
        })
    }

    /// The level at a pixel; beyond the border the border's level goes on.
    fn at(&self, x: i64, y: i64) -> f32 {
        let clamp = |v: i64, n: usize| v.clamp(0, n as i64 - 1) as usize;
        let index = clamp(y, self.height) * self.width + clamp(x, self.width);
        self.pixels.get(index).map_or(0.0, |v| f32::from(*v))
    }

    fn contains(&self, [x, y]: [f64; 2]) -> bool {
        x >= -0.5 && y >= -0.5 && x < self.width as f64 - 0.5 && y < self.height as f64 - 0.5
    }
}

/// A proposed edge point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    pub point_px: [f64; 2],
    /// Unit vector across the edge, from dark to bright.
    pub towards_bright: [f64; 2],
    /// Steepness in levels for each pixel, after smoothing.
    pub strength: f64,
    /// Steepness over what noise alone gives; at least [`LEAST_SIGNAL`].
    pub over_noise: f64,
}

/// An edge must be this many times steeper than noise alone. A few hundred smoothed pixels of pure
/// noise reach 3.5 standard deviations; six leaves room for grain that is not quite independent.
pub const LEAST_SIGNAL: f64 = 6.0;
/// An edge counts as strong from this share of the steepest one within reach.
const STRONG_SHARE: f64 = 0.5;
/// Largest region searched, in pixels to each side.
const MAX_REACH: f64 = 400.0;

/// The strong edge nearest to `near` within `reach_px`, on the scale `sigma_px` (1.5 suits cortices);
/// `None` where there is nothing steeper than noise.
pub fn snap_to_edge(grey: &Grey<'_>, near: [f64; 2], reach_px: f64, sigma_px: f64) -> Option<Edge> {
    let good = near.iter().all(|v| v.is_finite())
        && grey.contains(near)
        && (0.5..=MAX_REACH).contains(&reach_px)
        && (0.5..=10.0).contains(&sigma_px);
    if !good {
        return None;
    }
    let slopes = Slopes::around(grey, near, reach_px + 2.0, sigma_px);
    let noise = slopes.noise.max(1e-3);
    let candidates = slopes.maxima(near, reach_px);
    let steepest = candidates.iter().map(|(_, s)| *s).fold(0.0, f64::max);
    let least = (LEAST_SIGNAL * noise).max(STRONG_SHARE * steepest);
    let distance = |p: &[f64; 2]| (p[0] - near[0]).hypot(p[1] - near[1]);
    let (point_px, strength) = candidates
        .into_iter()
        .filter(|(point, strength)| *strength >= least && distance(point) <= reach_px)
        .min_by(|a, b| distance(&a.0).total_cmp(&distance(&b.0)))?;
    let [gx, gy] = slopes.at(point_px);
    let length = gx.hypot(gy).max(1e-12);
    Some(Edge {
        point_px,
        towards_bright: [gx / length, gy / length],
        strength,
        over_noise: strength / noise,
    })
}

/// Smoothed first derivatives over a region.
pub(super) struct Slopes {
    left: i64,
    top: i64,
    width: usize,
    height: usize,
    gx: Vec<f32>,
    gy: Vec<f32>,
    /// What noise alone gives as the standard deviation of one derivative, in levels for each pixel.
    pub noise: f64,
}

impl Slopes {
    pub fn around(grey: &Grey<'_>, centre: [f64; 2], reach: f64, sigma: f64) -> Slopes {
        let reach = reach.ceil() as i64;
        let (cx, cy) = (centre[0].round() as i64, centre[1].round() as i64);
        Slopes::over(
            grey,
            [cx - reach, cy - reach],
            [cx + reach, cy + reach],
            sigma,
        )
    }

    /// Both corners belong to the region.
    pub fn over(grey: &Grey<'_>, from: [i64; 2], to: [i64; 2], sigma: f64) -> Slopes {
        let half = (3.0 * sigma).ceil() as i64;
        let (smooth, derive) = kernels(sigma, half);
        let width = (to[0] - from[0] + 1).max(1) as usize;
        let height = (to[1] - from[1] + 1).max(1) as usize;
        let tall = height + 2 * half as usize;
        // Rows first, over a region taller by the kernel; then columns.
        let mut row_smooth = Vec::with_capacity(width * tall);
        let mut row_derive = Vec::with_capacity(width * tall);
        for y in 0..tall as i64 {
            let line: Vec<f32> = (0..width as i64 + 2 * half)
                .map(|x| grey.at(from[0] - half + x, from[1] - half + y))
                .collect();
            row_smooth.extend(line.windows(smooth.len()).map(|w| dot(w, &smooth)));
            row_derive.extend(line.windows(derive.len()).map(|w| dot(w, &derive)));
        }
        let down = |rows: &[f32], kernel: &[f32]| {
            let mut out = vec![0.0_f32; width * height];
            for (y, line) in out.chunks_exact_mut(width).enumerate() {
                for (k, weight) in kernel.iter().enumerate() {
                    let source = rows.get((y + k) * width..).unwrap_or_default();
                    line.iter_mut()
                        .zip(source)
                        .for_each(|(o, v)| *o += weight * v);
                }
            }
            out
        };
        let gx = down(&row_derive, &smooth);
        let gy = down(&row_smooth, &derive);
        // Variance of a Gaussian derivative of white noise: s²/(8πσ⁴).
        let grain = grain(grey, from, to);
        let noise = grain / ((8.0 * std::f64::consts::PI).sqrt() * sigma * sigma);
        Slopes {
            left: from[0],
            top: from[1],
            width,
            height,
            gx,
            gy,
            noise,
        }
    }

    fn value(&self, x: i64, y: i64) -> [f64; 2] {
        let x = x.clamp(0, self.width as i64 - 1) as usize;
        let y = y.clamp(0, self.height as i64 - 1) as usize;
        let at = |v: &[f32]| v.get(y * self.width + x).map_or(0.0, |g| f64::from(*g));
        [at(&self.gx), at(&self.gy)]
    }

    /// Both derivatives at a film position, between pixels by bilinear weights.
    pub fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (x, y) = (x - self.left as f64, y - self.top as f64);
        let (x0, y0) = (x.floor(), y.floor());
        let (fx, fy) = (x - x0, y - y0);
        let (x0, y0) = (x0 as i64, y0 as i64);
        let mut out = [0.0; 2];
        for (dx, dy, weight) in [
            (0, 0, (1.0 - fx) * (1.0 - fy)),
            (1, 0, fx * (1.0 - fy)),
            (0, 1, (1.0 - fx) * fy),
            (1, 1, fx * fy),
        ] {
            let value = self.value(x0 + dx, y0 + dy);
            out[0] += weight * value[0];
            out[1] += weight * value[1];
        }
        out
    }

    fn steepness(&self, point: [f64; 2]) -> f64 {
        let [gx, gy] = self.at(point);
        gx.hypot(gy)
    }

    /// Edge points within reach: maxima of the steepness along the gradient, to a part of a pixel.
    fn maxima(&self, near: [f64; 2], reach: f64) -> Vec<([f64; 2], f64)> {
        let mut found = Vec::new();
        for y in 0..self.height as i64 {
            for x in 0..self.width as i64 {
                let point = [(self.left + x) as f64, (self.top + y) as f64];
                // A pixel more: the part of a pixel may bring it back within reach.
                if (point[0] - near[0]).hypot(point[1] - near[1]) > reach + 1.0 {
                    continue;
                }
                let [gx, gy] = self.value(x, y);
                let here = gx.hypot(gy);
                if here <= 0.0 {
                    continue;
                }
                let n = [gx / here, gy / here];
                let step = |t: f64| [point[0] + t * n[0], point[1] + t * n[1]];
                let (before, after) = (self.steepness(step(-1.0)), self.steepness(step(1.0)));
                if before >= here || after > here {
                    continue;
                }
                let offset = peak(before, here, after);
                found.push((step(offset), here));
            }
        }
        found
    }
}

/// Where a parabola through three values one apart has its top, from the middle one.
pub(super) fn peak(before: f64, here: f64, after: f64) -> f64 {
    let bend = before - 2.0 * here + after;
    if bend < 0.0 {
        (0.5 * (before - after) / bend).clamp(-1.0, 1.0)
    } else {
        0.0
    }
}

fn kernels(sigma: f64, half: i64) -> (Vec<f32>, Vec<f32>) {
    let bell: Vec<f64> = (-half..=half)
        .map(|i| (-0.5 * (i as f64 / sigma).powi(2)).exp())
        .collect();
    let sum: f64 = bell.iter().sum();
    let slope: Vec<f64> = (-half..=half)
        .zip(&bell)
        .map(|(i, b)| i as f64 * b)
        .collect();
    // So that a ramp of one level for each pixel gives one.
    let unit: f64 = (-half..=half).zip(&slope).map(|(i, s)| i as f64 * s).sum();
    (
        bell.iter().map(|b| (b / sum) as f32).collect(),
        slope.iter().map(|s| (s / unit) as f32).collect(),
    )
}

fn dot(a: &[f32], b: &[f32]) -> f32 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Standard deviation of the grain, from a mask that is blind to planes and edges along the axes
/// (Immerkær, Computer Vision and Image Understanding 64 (1996) 300), by the median so that
/// structure counts little.
fn grain(grey: &Grey<'_>, from: [i64; 2], to: [i64; 2]) -> f64 {
    let step = (((to[0] - from[0]).max(to[1] - from[1])) / 64).max(1);
    let mut all = Vec::new();
    let mut y = from[1];
    while y <= to[1] {
        let mut x = from[0];
        while x <= to[0] {
            if grey.contains([x as f64, y as f64]) {
                let at = |dx: i64, dy: i64| grey.at(x + dx, y + dy);
                let value = at(-1, -1) + at(1, -1) + at(-1, 1) + at(1, 1)
                    - 2.0 * (at(0, -1) + at(-1, 0) + at(1, 0) + at(0, 1))
                    + 4.0 * at(0, 0);
                all.push(value.abs());
            }
            x += step;
        }
        y += step;
    }
    if all.is_empty() {
        return 0.0;
    }
    let middle = all.len() / 2;
    let (_, median, _) = all.select_nth_unstable_by(middle, f32::total_cmp);
    // The mask's weights have a root sum of squares of six; a normal's median of |v| is 0.6745 s.
    f64::from(*median) / 0.674_49 / 6.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::SQRT_2;

    /// A bright half plane, its edge smooth over about two pixels.
    fn half_plane(angle: f64, offset: f64) -> Vec<u16> {
        let mut out = Vec::new();
        for y in 0..120 {
            for x in 0..140 {
                let d = (f64::from(x) - 70.0) * angle.cos() + (f64::from(y) - 60.0) * angle.sin()
                    - offset;
                out.push((20_000.0 + 8_000.0 / (1.0 + (-d / 1.2).exp())) as u16);
            }
        }
        out
    }

    /// A small generator, so that the grain is the same everywhere.
    fn noisy(pixels: &mut [u16], amplitude: f64) {
        let mut state = 7_u64;
        for p in pixels {
            let mut sum = 0.0;
            for _ in 0..4 {
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                sum += (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5;
            }
            *p = (f64::from(*p) + amplitude * sum * 3_f64.sqrt()).clamp(0.0, 65_535.0) as u16;
        }
    }

    #[test]
    fn a_point_beside_a_slanted_edge_is_drawn_onto_it_to_a_part_of_a_pixel() {
        for (angle, offset) in [(0.0, 0.37), (0.4, -1.24), (1.1, 2.71), (2.5, 0.0)] {
            let pixels = half_plane(angle, offset);
            let grey = Grey::new(&pixels, 140, 120).unwrap();
            let edge = snap_to_edge(&grey, [72.0, 57.0], 12.0, 1.5).unwrap();
            let [x, y] = edge.point_px;
            let off = (x - 70.0) * angle.cos() + (y - 60.0) * angle.sin() - offset;
            assert!(off.abs() < 0.1, "{angle} {offset}: {off}");
            let along = edge.towards_bright[0] * angle.cos() + edge.towards_bright[1] * angle.sin();
            assert!(along > 0.999, "{along}");
        }
    }

    #[test]
    fn the_nearest_of_two_strong_edges_is_taken() {
        let pixels: Vec<u16> = (0..100 * 100)
            .map(|i| {
                if (40..60).contains(&(i % 100)) {
                    30_000
                } else {
                    10_000
                }
            })
            .collect();
        let grey = Grey::new(&pixels, 100, 100).unwrap();
        let edge = snap_to_edge(&grey, [43.0, 50.0], 25.0, 1.0).unwrap();
        assert!((edge.point_px[0] - 39.5).abs() < 0.1, "{:?}", edge.point_px);
        let edge = snap_to_edge(&grey, [57.0, 50.0], 25.0, 1.0).unwrap();
        assert!((edge.point_px[0] - 59.5).abs() < 0.1, "{:?}", edge.point_px);
    }

    #[test]
    fn noise_alone_gives_no_edge_and_an_edge_in_noise_is_found() {
        let mut flat = vec![20_000_u16; 140 * 120];
        noisy(&mut flat, 600.0);
        let grey = Grey::new(&flat, 140, 120).unwrap();
        for x in [20.0, 50.0, 80.0, 110.0] {
            assert!(snap_to_edge(&grey, [x, 60.0], 15.0, 1.5).is_none());
        }
        let mut edged = half_plane(0.6, 0.5);
        noisy(&mut edged, 300.0);
        let grey = Grey::new(&edged, 140, 120).unwrap();
        let edge = snap_to_edge(&grey, [72.0, 63.0], 15.0, 1.5).unwrap();
        let off = (edge.point_px[0] - 70.0) * 0.6_f64.cos()
            + (edge.point_px[1] - 60.0) * 0.6_f64.sin()
            - 0.5;
        assert!(off.abs() < 0.5, "{off}");
    }

    #[test]
    fn the_grain_of_white_noise_is_measured() {
        let mut flat = vec![20_000_u16; 140 * 120];
        noisy(&mut flat, 600.0);
        let grey = Grey::new(&flat, 140, 120).unwrap();
        let measured = grain(&grey, [0, 0], [139, 119]);
        // Four even numbers of variance 1/12, times 3: the standard deviation is the amplitude.
        assert!((measured / 600.0 - 1.0).abs() < 0.05, "{measured}");
    }

    #[test]
    fn a_ramp_has_its_own_slope() {
        let pixels: Vec<u16> = (0..60 * 60)
            .map(|i| (1000 + 7 * (i % 60) + 7 * (i / 60)) as u16)
            .collect();
        let grey = Grey::new(&pixels, 60, 60).unwrap();
        let slopes = Slopes::around(&grey, [30.0, 30.0], 5.0, 1.5);
        assert!((slopes.steepness([30.0, 30.0]) - 7.0 * SQRT_2).abs() < 1e-2);
    }

    #[test]
    fn a_point_outside_the_film_or_a_senseless_reach_gives_none() {
        let pixels = half_plane(0.0, 0.0);
        let grey = Grey::new(&pixels, 140, 120).unwrap();
        assert!(snap_to_edge(&grey, [-20.0, 5.0], 10.0, 1.5).is_none());
        assert!(snap_to_edge(&grey, [f64::NAN, 5.0], 10.0, 1.5).is_none());
        assert!(snap_to_edge(&grey, [70.0, 60.0], f64::INFINITY, 1.5).is_none());
        assert!(Grey::new(&pixels, 141, 120).is_none());
    }
}

//! The axis of a bone's shaft from points on both of its borders.

use super::edge::{Grey, Slopes, peak};

/// A proposed axis: halfway between the two borders.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    pub from_px: [f64; 2],
    pub to_px: [f64; 2],
    /// Root mean square distance of the border points from their straight borders.
    pub residual_px: f64,
    /// Angle between the two borders: how much the shaft tapers.
    pub taper_degrees: f64,
    pub border_points: Vec<[f64; 2]>,
}

/// Borders that meet at a wider angle than this are no shaft.
const MOST_TAPER_DEGREES: f64 = 40.0;

struct Line {
    middle: [f64; 2],
    direction: [f64; 2],
    squares: f64,
}

/// The axis halfway between two borders, each given by two or more points; `None` where the points
/// give no two borders (too few, not finite, all in one place, borders that cross at a wide angle).
pub fn axis_from_edges(one: &[[f64; 2]], other: &[[f64; 2]]) -> Option<Axis> {
    let (a, b) = (fit(one)?, fit(other)?);
    let same_way = a.direction[0] * b.direction[0] + a.direction[1] * b.direction[1];
    let turned = if same_way < 0.0 {
        [-b.direction[0], -b.direction[1]]
    } else {
        b.direction
    };
    let taper_degrees = same_way.abs().min(1.0).acos().to_degrees();
    if taper_degrees > MOST_TAPER_DEGREES {
        return None;
    }
    let direction = unit([a.direction[0] + turned[0], a.direction[1] + turned[1]])?;
    let station = |p: &[f64; 2]| p[0] * direction[0] + p[1] * direction[1];
    let stations = || one.iter().chain(other).map(station);
    let first = stations().fold(f64::INFINITY, f64::min);
    let last = stations().fold(f64::NEG_INFINITY, f64::max);
    // Between the borders at the middle station: where each line crosses the perpendicular there.
    let half = (first + last) / 2.0;
    let crossing = |line: &Line, towards: [f64; 2]| {
        let along = towards[0] * direction[0] + towards[1] * direction[1];
        let t = (half - station(&line.middle)) / along;
        [
            line.middle[0] + t * towards[0],
            line.middle[1] + t * towards[1],
        ]
    };
    let (p, q) = (crossing(&a, a.direction), crossing(&b, turned));
    let middle = [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
    let at = |s: f64| {
        let t = s - half;
        [middle[0] + t * direction[0], middle[1] + t * direction[1]]
    };
    let n = (one.len() + other.len()) as f64;
    Some(Axis {
        from_px: at(first),
        to_px: at(last),
        residual_px: ((a.squares + b.squares) / n).sqrt(),
        taper_degrees,
        border_points: one.iter().chain(other).copied().collect(),
    })
}

/// Total least squares: the direction in which the points spread most.
fn fit(points: &[[f64; 2]]) -> Option<Line> {
    if points.len() < 2 || points.iter().flatten().any(|v| !v.is_finite()) {
        return None;
    }
    let n = points.len() as f64;
    let mean = |k: usize| points.iter().map(|p| p[k]).sum::<f64>() / n;
    let middle = [mean(0), mean(1)];
    let sum = |f: fn(f64, f64) -> f64| {
        points
            .iter()
            .map(|p| f(p[0] - middle[0], p[1] - middle[1]))
            .sum::<f64>()
    };
    let (xx, xy, yy) = (sum(|x, _| x * x), sum(|x, y| x * y), sum(|_, y| y * y));
    if xx + yy < 1e-9 {
        return None;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let direction = [angle.cos(), angle.sin()];
    let squares = points
        .iter()
        .map(|p| ((p[1] - middle[1]) * direction[0] - (p[0] - middle[0]) * direction[1]).powi(2))
        .sum();
    Some(Line {
        middle,
        direction,
        squares,
    })
}

fn unit([x, y]: [f64; 2]) -> Option<[f64; 2]> {
    let length = x.hypot(y);
    (length > 1e-12).then(|| [x / length, y / length])
}

/// An axis from two rough points inside a shaft: looks outwards on both sides, at eleven stations, for
/// the steepest fall from bright bone to darker surroundings within `half_width_px`.
///
/// `None` where fewer than five stations show a border on each side, or the borders are not straight.
pub fn axis_near(
    grey: &Grey<'_>,
    from: [f64; 2],
    to: [f64; 2],
    half_width_px: f64,
    sigma_px: f64,
) -> Option<Axis> {
    const STATIONS: usize = 11;
    let good = from
        .iter()
        .chain(&to)
        .all(|v| v.is_finite() && v.abs() < 1e6)
        && (3.0..=400.0).contains(&half_width_px)
        && (0.5..=10.0).contains(&sigma_px);
    if !good {
        return None;
    }
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    if !(10.0..=4000.0).contains(&length) {
        return None;
    }
    let direction = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
    let across = [-direction[1], direction[0]];
    let reach = half_width_px.ceil() + 2.0;
    let mut borders = [Vec::new(), Vec::new()];
    for i in 0..STATIONS {
        let s = length * i as f64 / (STATIONS - 1) as f64;
        let centre = [from[0] + s * direction[0], from[1] + s * direction[1]];
        let slopes = Slopes::around(grey, centre, reach, sigma_px);
        for (border, sign) in borders.iter_mut().zip([1.0, -1.0]) {
            let out = [sign * across[0], sign * across[1]];
            border.extend(fall(&slopes, centre, out, [1.0, half_width_px]));
        }
    }
    let [one, other] = borders.map(|points| without_strays(&points));
    if one.len() < 5 || other.len() < 5 {
        return None;
    }
    axis_from_edges(&one, &other)
}

/// The steepest fall of brightness along a ray, at least six times what noise gives.
pub(super) fn fall(
    slopes: &Slopes,
    from: [f64; 2],
    direction: [f64; 2],
    [nearest, farthest]: [f64; 2],
) -> Option<[f64; 2]> {
    const STEP: f64 = 0.5;
    let at = |t: f64| [from[0] + t * direction[0], from[1] + t * direction[1]];
    let count = ((farthest - nearest) / STEP).floor().max(0.0) as usize;
    let falls: Vec<f64> = (0..=count)
        .map(|i| {
            let [gx, gy] = slopes.at(at(nearest + STEP * i as f64));
            -(gx * direction[0] + gy * direction[1])
        })
        .collect();
    let inner = 1..falls.len().saturating_sub(1);
    let best = inner.max_by(|a, b| falls[*a].total_cmp(&falls[*b]))?;
    let [before, here, after] = [falls[best - 1], falls[best], falls[best + 1]];
    let good = here >= super::edge::LEAST_SIGNAL * slopes.noise.max(1e-3)
        && here >= before
        && here >= after;
    good.then(|| at(nearest + STEP * (best as f64 + peak(before, here, after))))
}

/// Drops points farther from the common line than three times the median distance (at least a pixel).
fn without_strays(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut kept = points.to_vec();
    for _ in 0..3 {
        let Some(line) = fit(&kept) else { break };
        let off = |p: &[f64; 2]| {
            ((p[1] - line.middle[1]) * line.direction[0]
                - (p[0] - line.middle[0]) * line.direction[1])
                .abs()
        };
        let mut all: Vec<f64> = kept.iter().map(off).collect();
        all.sort_unstable_by(f64::total_cmp);
        let limit = 3.0
            * all
                .get(all.len() / 2)
                .copied()
                .unwrap_or(0.0)
                .max(1.0 / 3.0);
        let before = kept.len();
        kept.retain(|p| off(p) <= limit);
        if kept.len() == before {
            break;
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_of_a_tapering_shaft_lies_halfway_between_its_borders() {
        // Borders at y = 50 ± (10 + 0.1 x): the axis is y = 50.
        let at = |sign: f64| -> Vec<[f64; 2]> {
            [0.0, 20.0, 45.0, 90.0]
                .iter()
                .map(|x| [*x, 50.0 + sign * (10.0 + 0.1 * x)])
                .collect()
        };
        let axis = axis_from_edges(&at(1.0), &at(-1.0)).unwrap();
        assert!((axis.from_px[1] - 50.0).abs() < 1e-9 && (axis.to_px[1] - 50.0).abs() < 1e-9);
        assert!((axis.taper_degrees - 2.0 * 0.1_f64.atan().to_degrees()).abs() < 1e-9);
        assert!(axis.residual_px < 1e-9);
    }

    #[test]
    fn unequal_points_on_both_borders_do_not_tilt_the_axis() {
        let one = [[0.0, 10.0], [100.0, 10.0]];
        let other = [[40.0, -10.0], [50.0, -10.0], [60.0, -10.0]];
        let axis = axis_from_edges(&one, &other).unwrap();
        assert!(axis.from_px[1].abs() < 1e-9 && axis.to_px[1].abs() < 1e-9);
    }

    #[test]
    fn a_single_point_coincident_points_or_crossing_borders_give_none() {
        let line = [[0.0, 0.0], [50.0, 0.0]];
        assert!(axis_from_edges(&line, &[[3.0, 3.0]]).is_none());
        assert!(axis_from_edges(&line, &[[3.0, 3.0], [3.0, 3.0]]).is_none());
        assert!(axis_from_edges(&line, &[[20.0, -30.0], [20.0, 30.0]]).is_none());
    }

    #[test]
    fn the_axis_of_a_bright_slanted_shaft_is_found_from_two_rough_points() {
        let (angle, offset, half) = (0.3_f64, 2.0, 14.0);
        let pixels: Vec<u16> = (0..200 * 160)
            .map(|i| {
                let (x, y) = (f64::from(i % 200) - 100.0, f64::from(i / 200) - 80.0);
                let d = (-x * angle.sin() + y * angle.cos() - offset).abs() - half;
                (15_000.0 + 12_000.0 / (1.0 + (d / 1.2).exp())) as u16
            })
            .collect();
        let grey = Grey::new(&pixels, 200, 160).unwrap();
        let axis = axis_near(&grey, [60.0, 64.0], [140.0, 96.0], 25.0, 1.5).unwrap();
        let slope = (axis.to_px[1] - axis.from_px[1]).atan2(axis.to_px[0] - axis.from_px[0]);
        assert!((slope - angle).abs() < 0.005, "{slope}");
        let off = -(axis.from_px[0] - 100.0) * angle.sin() + (axis.from_px[1] - 80.0) * angle.cos()
            - offset;
        assert!(off.abs() < 0.3, "{off}");
    }
}

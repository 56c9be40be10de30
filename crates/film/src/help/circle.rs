//! A circle through points: the talar dome, a calibration ball.

/// A fitted circle, in pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    pub centre_px: [f64; 2],
    pub radius_px: f64,
    /// Root mean square distance of the points from the circle.
    pub residual_px: f64,
    /// One standard error of the radius.
    pub radius_se_px: f64,
}

/// The circle with the least squared distances to three or more points; `None` where the points give
/// none (too few, not finite, on a line).
///
/// # Uncertainty
/// Each point is taken to have at least the error `point_se_px` across the edge; where the residual
/// is larger, the residual counts. A short arc gives a large error by itself.
pub fn circle_through(points: &[[f64; 2]], point_se_px: f64) -> Option<Circle> {
    if points.len() < 3 || points.iter().flatten().any(|v| !v.is_finite()) {
        return None;
    }
    let n = points.len() as f64;
    let mean = |k: usize| points.iter().map(|p| p[k]).sum::<f64>() / n;
    let middle = [mean(0), mean(1)];
    let local: Vec<[f64; 2]> = points
        .iter()
        .map(|p| [p[0] - middle[0], p[1] - middle[1]])
        .collect();
    let size = local.iter().map(|[x, y]| x.hypot(*y)).fold(0.0, f64::max);
    if size < 1e-9 {
        return None;
    }
    let mut guess = algebraic(&local)?;
    let mut normal = [[0.0; 3]; 3];
    for _ in 0..50 {
        let (matrix, right) = normal_equations(&local, guess);
        normal = matrix;
        let step = solve(matrix, right)?;
        guess = [guess[0] + step[0], guess[1] + step[1], guess[2] + step[2]];
        if !guess.iter().all(|v| v.is_finite()) {
            return None;
        }
        if step.iter().map(|s| s.abs()).fold(0.0, f64::max) < 1e-10 * size {
            break;
        }
    }
    let [x, y, radius] = guess;
    // A 'circle' a hundred times larger than its points is a line.
    if !(radius > 0.0 && radius < 100.0 * size) {
        return None;
    }
    let squares: f64 = local
        .iter()
        .map(|[px, py]| ((px - x).hypot(py - y) - radius).powi(2))
        .sum();
    let scatter = if n > 3.0 {
        (squares / (n - 3.0)).sqrt()
    } else {
        0.0
    };
    let se = point_se_px.max(scatter);
    let radius_variance = solve(normal, [0.0, 0.0, 1.0])?[2];
    Some(Circle {
        centre_px: [x + middle[0], y + middle[1]],
        radius_px: radius,
        residual_px: (squares / n).sqrt(),
        radius_se_px: se * radius_variance.max(0.0).sqrt(),
    })
}

/// First guess: least squares on `x² + y² = 2ax + 2by + c`.
fn algebraic(points: &[[f64; 2]]) -> Option<[f64; 3]> {
    let mut matrix = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    for [x, y] in points {
        let row = [2.0 * x, 2.0 * y, 1.0];
        accumulate(&mut matrix, &mut right, row, x * x + y * y);
    }
    let [a, b, c] = solve(matrix, right)?;
    let square = c + a * a + b * b;
    (square > 0.0).then(|| [a, b, square.sqrt()])
}

/// Gauss–Newton for the geometric distance: residual `|p − centre| − radius`.
fn normal_equations(points: &[[f64; 2]], [x, y, radius]: [f64; 3]) -> ([[f64; 3]; 3], [f64; 3]) {
    let mut matrix = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    for [px, py] in points {
        let (dx, dy) = (px - x, py - y);
        let distance = dx.hypot(dy).max(1e-12);
        accumulate(
            &mut matrix,
            &mut right,
            [dx / distance, dy / distance, 1.0],
            distance - radius,
        );
    }
    (matrix, right)
}

fn accumulate(matrix: &mut [[f64; 3]; 3], right: &mut [f64; 3], row: [f64; 3], value: f64) {
    for i in 0..3 {
        for j in 0..3 {
            matrix[i][j] += row[i] * row[j];
        }
        right[i] += row[i] * value;
    }
}

/// Three equations by elimination with pivoting; `None` where they are (nearly) dependent.
fn solve(mut m: [[f64; 3]; 3], mut b: [f64; 3]) -> Option<[f64; 3]> {
    let scale = m
        .iter()
        .flatten()
        .fold(0.0_f64, |most, v| most.max(v.abs()));
    for column in 0..3 {
        let pivot =
            (column..3).max_by(|a, b| m[*a][column].abs().total_cmp(&m[*b][column].abs()))?;
        if m[pivot][column].abs() <= 1e-13 * scale || m[pivot][column] == 0.0 {
            return None;
        }
        m.swap(column, pivot);
        b.swap(column, pivot);
        for row in column + 1..3 {
            let factor = m[row][column] / m[column][column];
            let above = m[column];
            m[row]
                .iter_mut()
                .zip(above)
                .for_each(|(v, a)| *v -= factor * a);
            b[row] -= factor * b[column];
        }
    }
    let mut out = [0.0; 3];
    for row in (0..3).rev() {
        let known: f64 = (row + 1..3).map(|k| m[row][k] * out[k]).sum();
        out[row] = (b[row] - known) / m[row][row];
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arc(centre: [f64; 2], radius: f64, from: f64, to: f64, n: usize) -> Vec<[f64; 2]> {
        (0..n)
            .map(|i| from + (to - from) * i as f64 / (n - 1) as f64)
            .map(|t| [centre[0] + radius * t.cos(), centre[1] + radius * t.sin()])
            .collect()
    }

    #[test]
    fn points_on_a_circle_give_that_circle() {
        for span in [0.6, 1.5, 6.0] {
            let circle =
                circle_through(&arc([820.5, 411.25], 93.0, 0.3, 0.3 + span, 9), 0.5).unwrap();
            assert!((circle.centre_px[0] - 820.5).abs() < 1e-6);
            assert!((circle.centre_px[1] - 411.25).abs() < 1e-6);
            assert!((circle.radius_px - 93.0).abs() < 1e-6);
            assert!(circle.residual_px < 1e-6);
        }
    }

    #[test]
    fn a_shorter_arc_has_a_larger_error() {
        let long = circle_through(&arc([0.0, 0.0], 90.0, 0.0, 3.0, 12), 0.5).unwrap();
        let short = circle_through(&arc([0.0, 0.0], 90.0, 0.0, 0.8, 12), 0.5).unwrap();
        assert!(short.radius_se_px > 5.0 * long.radius_se_px);
    }

    #[test]
    fn a_full_circle_of_points_has_the_error_of_their_mean() {
        // For points even around the circle the radius is their mean distance: se/√n.
        let points = arc(
            [5.0, 5.0],
            40.0,
            0.0,
            std::f64::consts::TAU * 15.0 / 16.0,
            16,
        );
        let circle = circle_through(&points, 0.8).unwrap();
        assert!((circle.radius_se_px - 0.8 / 4.0).abs() < 1e-9);
    }

    #[test]
    fn points_on_a_line_too_few_or_not_finite_give_none() {
        assert!(circle_through(&[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [3.0, 3.0]], 0.5).is_none());
        assert!(circle_through(&[[0.0, 0.0], [1.0, 1.0]], 0.5).is_none());
        assert!(circle_through(&[[0.0, 0.0], [1.0, f64::NAN], [2.0, 0.0]], 0.5).is_none());
        assert!(circle_through(&[[4.0, 4.0]; 5], 0.5).is_none());
    }
}

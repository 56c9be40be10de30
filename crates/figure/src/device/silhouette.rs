//! What is the outline of a solid, seen from one side?
//!
//! All triangles are laid on the drawing plane; what they cover together is summed exactly along fine
//! lines, taken into cells, and the line along which half a cell is covered is the outline. It needs no
//! sound mesh and holds for a solid of any shape; it is true to about a tenth of a cell.

use super::level;

pub(crate) type P = [f64; 2];

/// Width of a cell, mm.
const CELL_MM: f64 = 0.5;
/// Fine lines in a cell.
const LINES: usize = 4;
/// Outlines are thinned to this, mm.
const THINNED_MM: f64 = 0.04;
/// Nothing wider than this is drawn: a device is a third of it.
const WIDEST_MM: f64 = 1200.0;

/// Closed outlines of what the triangles cover, holes turning the other way; the largest first.
pub(crate) fn outlines(triangles: &[[P; 3]]) -> Vec<Vec<P>> {
    let Some(grid) = Grid::over(triangles) else {
        return Vec::new();
    };
    let covered = grid.covered(triangles);
    let mut out: Vec<Vec<P>> = level::lines(
        grid.size[0],
        grid.size[1],
        |i, j| f64::from(covered[j * grid.size[0] + i]),
        0.5,
    )
    .into_iter()
    .filter(|line| line.closed && line.points.len() > 3)
    .map(|line| {
        let places = line.points.iter().map(|p| grid.place(*p)).collect();
        thinned(places, THINNED_MM)
    })
    .collect();
    out.sort_by(|a, b| area(b).abs().total_cmp(&area(a).abs()));
    out
}

struct Grid {
    low: P,
    size: [usize; 2],
}

impl Grid {
    fn over(triangles: &[[P; 3]]) -> Option<Grid> {
        let (low, high) = triangles.iter().flatten().filter(|p| finite(p)).fold(
            ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]),
            |(low, high), p| {
                (
                    [low[0].min(p[0]), low[1].min(p[1])],
                    [high[0].max(p[0]), high[1].max(p[1])],
                )
            },
        );
        let wide = [high[0] - low[0], high[1] - low[1]];
        if !wide.iter().all(|w| (0.0..WIDEST_MM).contains(w)) {
            return None;
        }
        Some(Grid {
            low: low.map(|v| v - 2.0 * CELL_MM),
            size: wide.map(|w| (w / CELL_MM).ceil() as usize + 4),
        })
    }

    /// The share of every cell that is covered.
    fn covered(&self, triangles: &[[P; 3]]) -> Vec<f32> {
        let [nx, ny] = self.size;
        let fine = CELL_MM / LINES as f64;
        let mut spans: Vec<Vec<[f32; 2]>> = vec![Vec::new(); nx * LINES];
        for t in triangles.iter().filter(|t| t.iter().all(finite)) {
            let (left, right) = (
                t[0][0].min(t[1][0]).min(t[2][0]),
                t[0][0].max(t[1][0]).max(t[2][0]),
            );
            let first = ((left - self.low[0]) / fine - 0.5).ceil().max(0.0) as usize;
            for (n, line) in spans.iter_mut().enumerate().skip(first) {
                let x = self.low[0] + (n as f64 + 0.5) * fine;
                if x > right {
                    break;
                }
                if let Some([a, b]) = span(t, x) {
                    line.push([(a - self.low[1]) as f32, (b - self.low[1]) as f32]);
                }
            }
        }
        let mut covered = vec![0f32; nx * ny];
        for (n, line) in spans.iter_mut().enumerate() {
            line.sort_by(|a, b| a[0].total_cmp(&b[0]));
            let mut reached = f32::NEG_INFINITY;
            for &[a, b] in line.iter() {
                let from = a.max(reached);
                if b > from {
                    self.add(&mut covered, n / LINES, [from, b]);
                    reached = b;
                }
            }
        }
        covered
    }

    /// Adds a piece of one fine line to its cells.
    fn add(&self, covered: &mut [f32], i: usize, [from, to]: [f32; 2]) {
        let [nx, ny] = self.size;
        let (from, to) = (f64::from(from) / CELL_MM, f64::from(to) / CELL_MM);
        for j in (from.max(0.0) as usize)..ny.min(to.max(0.0) as usize + 1) {
            let inside = (to.min(j as f64 + 1.0) - from.max(j as f64)).max(0.0);
            covered[j * nx + i] += (inside / LINES as f64) as f32;
        }
    }

    /// Middle of a cell, between cells too.
    fn place(&self, p: P) -> P {
        [0, 1].map(|k| self.low[k] + (p[k] + 0.5) * CELL_MM)
    }
}

fn finite(p: &P) -> bool {
    p.iter().all(|v| v.is_finite())
}

/// The part of an upright line that lies in a triangle.
fn span(t: &[P; 3], x: f64) -> Option<[f64; 2]> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for n in 0..3 {
        let (a, b) = (t[n], t[(n + 1) % 3]);
        if (a[0] <= x) != (b[0] <= x) {
            let y = a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]);
            low = low.min(y);
            high = high.max(y);
        }
    }
    (low <= high).then_some([low, high])
}

/// Signed area; positive where the outline turns from x to y.
pub(crate) fn area(outline: &[P]) -> f64 {
    (0..outline.len())
        .map(|n| {
            let (a, b) = (outline[n], outline[(n + 1) % outline.len()]);
            (a[0] * b[1] - a[1] * b[0]) / 2.0
        })
        .sum()
}

/// The same closed outline from fewer places, none farther off than `tolerance`.
pub(crate) fn thinned(mut places: Vec<P>, tolerance: f64) -> Vec<P> {
    if places.len() < 8 {
        return places;
    }
    // Begin at the leftmost place, which stays.
    let begin = (0..places.len())
        .min_by(|&a, &b| places[a][0].total_cmp(&places[b][0]))
        .unwrap_or(0);
    places.rotate_left(begin);
    let far = (0..places.len())
        .max_by(|&a, &b| apart(places[a], places[0]).total_cmp(&apart(places[b], places[0])))
        .unwrap_or(0);
    let closing = places[0];
    let mut out = thinned_line(&places[..=far], tolerance);
    let mut rest: Vec<P> = places[far..].to_vec();
    rest.push(closing);
    let rest = thinned_line(&rest, tolerance);
    out.extend_from_slice(&rest[1..rest.len() - 1]);
    out
}

/// The same open line from fewer places (Douglas and Peucker).
pub(crate) fn thinned_line(line: &[P], tolerance: f64) -> Vec<P> {
    if line.len() < 3 {
        return line.to_vec();
    }
    let mut keep = vec![false; line.len()];
    keep[0] = true;
    keep[line.len() - 1] = true;
    let mut open = vec![(0, line.len() - 1)];
    while let Some((from, to)) = open.pop() {
        let farthest = (from + 1..to)
            .map(|n| (n, off(line[n], line[from], line[to])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((n, away)) = farthest
            && away > tolerance
        {
            keep[n] = true;
            open.push((from, n));
            open.push((n, to));
        }
    }
    line.iter()
        .zip(&keep)
        .filter(|(_, k)| **k)
        .map(|(p, _)| *p)
        .collect()
}

fn apart(a: P, b: P) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Distance of a place from a stretch of line.
fn off(p: P, a: P, b: P) -> f64 {
    let (e, w) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let long = e[0] * e[0] + e[1] * e[1];
    let t = if long > 0.0 {
        ((w[0] * e[0] + w[1] * e[1]) / long).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (w[0] - e[0] * t).hypot(w[1] - e[1] * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fan(radius: f64, count: usize) -> Vec<[P; 3]> {
        let at = |n: usize| {
            let turn = std::f64::consts::TAU * n as f64 / count as f64;
            [7.0 + radius * turn.cos(), -3.0 + radius * turn.sin()]
        };
        (0..count)
            .map(|n| [[7.0, -3.0], at(n), at(n + 1)])
            .collect()
    }

    #[test]
    fn the_outline_of_a_disc_is_its_circle_to_a_twentieth_of_a_millimetre() {
        let found = outlines(&fan(20.0, 400));
        assert_eq!(found.len(), 1);
        for p in &found[0] {
            let r = (p[0] - 7.0).hypot(p[1] + 3.0);
            assert!((r - 20.0).abs() < 0.08, "{r}");
        }
        let exact = std::f64::consts::PI * 400.0;
        assert!((area(&found[0]).abs() - exact).abs() < 0.004 * exact);
    }

    #[test]
    fn what_lies_behind_changes_no_outline() {
        let mut twice = fan(20.0, 400);
        twice.extend(fan(9.0, 100));
        twice.extend(fan(20.0, 400));
        assert_eq!(outlines(&twice), outlines(&fan(20.0, 400)));
    }

    #[test]
    fn a_hole_has_an_outline_of_its_own_that_turns_the_other_way() {
        let quad = |a: P, b: P, c: P, d: P| [[a, b, c], [a, c, d]];
        let (o, i) = (
            [[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]],
            [[10.0, 10.0], [20.0, 10.0], [20.0, 20.0], [10.0, 20.0]],
        );
        let ring: Vec<[P; 3]> = (0..4)
            .flat_map(|n| quad(o[n], o[(n + 1) % 4], i[(n + 1) % 4], i[n]))
            .collect();
        let found = outlines(&ring);
        assert_eq!(found.len(), 2);
        assert!(area(&found[0]) * area(&found[1]) < 0.0);
        assert!(
            (area(&found[0]).abs() - 900.0).abs() < 2.0
                && (area(&found[1]).abs() - 100.0).abs() < 2.0
        );
    }

    #[test]
    fn triangles_that_are_no_numbers_or_boundless_are_left_out() {
        assert!(outlines(&[]).is_empty());
        assert!(outlines(&[[[f64::NAN, 0.0], [1.0, 0.0], [0.0, 1.0]]]).is_empty());
        assert!(outlines(&[[[0.0, 0.0], [1e9, 0.0], [0.0, 1.0]]]).is_empty());
    }
}

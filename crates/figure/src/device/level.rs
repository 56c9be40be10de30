//! Where does a sampled field pass a level?
//!
//! Lines on a lattice of samples, in lattice coordinates: closed where the field closes them, open where
//! samples are missing. What is above the level lies on the left of a line.

use std::collections::BTreeMap;

/// A line in lattice coordinates.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub points: Vec<[f64; 2]>,
    pub closed: bool,
}

/// Lines where `value` passes `level` on `nx` by `ny` samples; squares with a sample that is no number are
/// left out.
pub(crate) fn lines(
    nx: usize,
    ny: usize,
    value: impl Fn(usize, usize) -> f64,
    level: f64,
) -> Vec<Line> {
    let mut next: BTreeMap<usize, usize> = BTreeMap::new();
    for j in 0..ny.saturating_sub(1) {
        for i in 0..nx.saturating_sub(1) {
            // Round the square; its edges are named by the sample they start at and their direction.
            let corners = [
                value(i, j),
                value(i + 1, j),
                value(i + 1, j + 1),
                value(i, j + 1),
            ];
            if corners.iter().any(|v| !v.is_finite()) {
                continue;
            }
            let edges = [
                2 * (j * nx + i),
                2 * (j * nx + i + 1) + 1,
                2 * ((j + 1) * nx + i),
                2 * (j * nx + i) + 1,
            ];
            let above = corners.map(|v| v >= level);
            let full = corners.iter().sum::<f64>() / 4.0 >= level;
            for (from, to) in segments(above, full) {
                next.insert(edges[from], edges[to]);
            }
        }
    }
    let place = |edge: usize| -> [f64; 2] {
        let (at, upward) = (edge / 2, edge % 2 == 1);
        let (i, j) = (at % nx, at / nx);
        let (a, b) = if upward {
            (value(i, j), value(i, j + 1))
        } else {
            (value(i, j), value(i + 1, j))
        };
        let t = if a == b {
            0.5
        } else {
            ((level - a) / (b - a)).clamp(0.0, 1.0)
        };
        if upward {
            [i as f64, j as f64 + t]
        } else {
            [i as f64 + t, j as f64]
        }
    };
    chained(next)
        .into_iter()
        .map(|(edges, closed)| Line {
            points: edges.into_iter().map(place).collect(),
            closed,
        })
        .collect()
}

/// Edges (0 bottom, 1 right, 2 top, 3 left) that a line enters and leaves by, what is above on its left.
fn segments(above: [bool; 4], full: bool) -> Vec<(usize, usize)> {
    let enters = |n: usize| above[n] && !above[(n + 1) % 4];
    let leaves = |n: usize| !above[n] && above[(n + 1) % 4];
    let ins: Vec<usize> = (0..4).filter(|&n| enters(n)).collect();
    let outs: Vec<usize> = (0..4).filter(|&n| leaves(n)).collect();
    match (ins.as_slice(), outs.as_slice()) {
        ([a], [b]) => vec![(*a, *b)],
        ([a, b], [_, _]) => {
            // A saddle: what lies above is one piece through the middle, or two corners.
            let after = |n: usize| if full { (n + 1) % 4 } else { (n + 3) % 4 };
            vec![(*a, after(*a)), (*b, after(*b))]
        }
        _ => Vec::new(),
    }
}

/// Follows 'from → to' into chains, closed ones and open ones, in the order of their smallest member.
pub(crate) fn chained<K: Copy + Ord>(mut next: BTreeMap<K, K>) -> Vec<(Vec<K>, bool)> {
    let mut out = Vec::new();
    // Open ones first: they start where nothing leads to.
    let led_to: std::collections::BTreeSet<K> = next.values().copied().collect();
    let starts: Vec<K> = next
        .keys()
        .filter(|k| !led_to.contains(k))
        .copied()
        .collect();
    for start in starts {
        let mut chain = vec![start];
        let mut at = start;
        while let Some(to) = next.remove(&at) {
            chain.push(to);
            at = to;
        }
        out.push((chain, false));
    }
    while let Some((&start, _)) = next.first_key_value() {
        let mut chain = vec![start];
        let mut at = start;
        while let Some(to) = next.remove(&at) {
            if to == start {
                break;
            }
            chain.push(to);
            at = to;
        }
        out.push((chain, true));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twice the signed area of a closed line.
    fn area(points: &[[f64; 2]]) -> f64 {
        (0..points.len())
            .map(|n| {
                let (a, b) = (points[n], points[(n + 1) % points.len()]);
                a[0] * b[1] - a[1] * b[0]
            })
            .sum()
    }

    #[test]
    fn the_level_of_a_cone_is_one_circle_turning_round_what_is_above() {
        let cone = |i: usize, j: usize| 10.0 - (i as f64 - 12.3).hypot(j as f64 - 11.8);
        let found = lines(25, 25, cone, 3.0);
        assert_eq!(found.len(), 1);
        assert!(found[0].closed);
        for p in &found[0].points {
            let r = (p[0] - 12.3).hypot(p[1] - 11.8);
            assert!((r - 7.0).abs() < 0.03, "{r}");
        }
        let area = area(&found[0].points) / 2.0;
        assert!((area - std::f64::consts::PI * 49.0).abs() < 1.5, "{area}");
    }

    #[test]
    fn a_line_that_meets_missing_samples_stays_open() {
        let field = |i: usize, j: usize| if i > 6 { f64::NAN } else { j as f64 };
        let found = lines(10, 10, field, 4.5);
        assert_eq!(found.len(), 1);
        assert!(!found[0].closed);
        assert_eq!(found[0].points.len(), 7);
    }

    #[test]
    fn two_corners_above_make_two_lines_and_no_tangle() {
        let saddle = |i: usize, j: usize| {
            if (i + j).is_multiple_of(2) && i > 0 && j > 0 && i < 3 && j < 3 {
                1.0
            } else {
                0.0
            }
        };
        let found = lines(4, 4, saddle, 0.6);
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(|l| l.closed && area(&l.points) > 0.0));
    }
}

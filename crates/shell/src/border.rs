//! Where does a field on the layout change its sign? The shell's border as one line, for picture and plan.

use crate::Device;
use std::collections::BTreeMap;

/// The longest line on which the values are zero, through the points of a grid (`rows` of `columns`),
/// between neighbours in proportion to their values.
pub(crate) fn zero_line(
    rows: usize,
    columns: usize,
    value: impl Fn(usize, usize) -> f64,
    point: impl Fn(usize, usize) -> [f64; 3],
) -> Vec<[f64; 3]> {
    let values: Vec<f64> = (0..rows * columns)
        .map(|at| value(at / columns, at % columns))
        .collect();
    let inside = |i: usize, j: usize| values[i * columns + j] < 0.0;
    // An edge leads from a node to the next row (0) or the next column (1).
    let name = |i: usize, j: usize, way: usize| (i * columns + j) * 2 + way;
    let mut beside: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in 0..rows.saturating_sub(1) {
        for j in 0..columns.saturating_sub(1) {
            let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)];
            let edges = [
                name(i, j, 0),
                name(i + 1, j, 1),
                name(i, j + 1, 0),
                name(i, j, 1),
            ];
            let crossed: Vec<usize> = (0..4)
                .filter(|&n| {
                    let (a, b) = (corners[n], corners[(n + 1) % 4]);
                    inside(a.0, a.1) != inside(b.0, b.1)
                })
                .map(|n| edges[n])
                .collect();
            for pair in crossed.chunks_exact(2) {
                beside.entry(pair[0]).or_default().push(pair[1]);
                beside.entry(pair[1]).or_default().push(pair[0]);
            }
        }
    }
    let place = |edge: usize| {
        let node = edge / 2;
        let (i, j) = (node / columns, node % columns);
        let (k, l) = if edge.is_multiple_of(2) {
            (i + 1, j)
        } else {
            (i, j + 1)
        };
        let (a, b) = (values[i * columns + j], values[k * columns + l]);
        let t = if a == b {
            0.5
        } else {
            (a / (a - b)).clamp(0.0, 1.0)
        };
        let (p, q) = (point(i, j), point(k, l));
        [0, 1, 2].map(|n| p[n] + t * (q[n] - p[n]))
    };
    let mut longest = Vec::new();
    // Open lines begin at their ends; what is left are rings.
    let ends: Vec<usize> = beside
        .iter()
        .filter(|(_, next)| next.len() == 1)
        .map(|(edge, _)| *edge)
        .collect();
    for start in ends {
        let line = walk(&mut beside, start);
        if line.len() > longest.len() {
            longest = line;
        }
    }
    while let Some(start) = beside.keys().next().copied() {
        let line = walk(&mut beside, start);
        if line.len() > longest.len() {
            longest = line;
        }
    }
    longest.into_iter().map(place).collect()
}

fn walk(beside: &mut BTreeMap<usize, Vec<usize>>, start: usize) -> Vec<usize> {
    let mut line = Vec::new();
    let mut at = Some(start);
    while let Some(edge) = at {
        let Some(next) = beside.remove(&edge) else {
            break;
        };
        line.push(edge);
        at = next.into_iter().find(|n| beside.contains_key(n));
    }
    line
}

/// The border of the shell on the foot's skin, once around; empty where there is none.
pub fn border(device: &Device) -> Vec<[f64; 3]> {
    let layout = &device.layout;
    let point = |i: usize, j: usize| -> [f64; 3] { layout.point(i, j).into() };
    let outline = |i: usize, j: usize| layout.outside_at(i, j);
    zero_line(layout.rays.len(), layout.samples, outline, point)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_border_of_a_disc_is_one_ring_at_its_radius() {
        let at = |i: usize, j: usize| [i as f64 - 20.0, j as f64 - 20.0, 0.0];
        let radius = |p: [f64; 3]| p[0].hypot(p[1]);
        let line = zero_line(41, 41, |i, j| radius(at(i, j)) - 12.3, at);
        assert!(line.len() > 60, "{}", line.len());
        assert!(line.iter().all(|&p| (radius(p) - 12.3).abs() < 0.05));
        // Neighbours on the line are neighbours in space.
        assert!(line.windows(2).all(|w| {
            let d = [w[1][0] - w[0][0], w[1][1] - w[0][1]];
            d[0].hypot(d[1]) < 1.5
        }));
    }

    #[test]
    fn a_field_without_change_of_sign_has_no_border() {
        assert!(zero_line(5, 5, |_, _| 1.0, |_, _| [0.0; 3]).is_empty());
        assert!(zero_line(0, 0, |_, _| 1.0, |_, _| [0.0; 3]).is_empty());
    }
}

//! What is the line around a print?
//!
//! Of a picture: where the values, straight between neighbouring cells, pass the level; an edge that a cell only
//! half covers is found within the cell. Of a pressure grid: the sides of the cells, for a sensor is loaded or not.
//! Rings keep the print on one side: outer ones have a positive area, holes a negative one (x right, y down).

use crate::field::Field;
use crate::level::Level;
use crate::spots::Mask;
use geometry::Vec2;
use std::collections::HashMap;

pub(crate) type Ring = Vec<Vec2>;

/// Positive clockwise as seen with y down.
pub(crate) fn signed_area(ring: &[Vec2]) -> f64 {
    let Some(last) = ring.last() else {
        return 0.0;
    };
    let mut sum = 0.0;
    let mut before = *last;
    for p in ring {
        sum += before.cross(*p);
        before = *p;
    }
    0.5 * sum
}

/// The convex hull, positive area, first point not repeated.
pub(crate) fn hull(points: &[Vec2]) -> Vec<Vec2> {
    let mut sorted: Vec<Vec2> = points.iter().copied().filter(|p| p.is_finite()).collect();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |points: &mut dyn Iterator<Item = Vec2>| {
        let mut out: Vec<Vec2> = Vec::new();
        for p in points {
            while let [.., a, b] = out[..]
                && b.minus(a).cross(p.minus(b)) <= 0.0
            {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut lower = half(&mut sorted.iter().copied());
    lower.extend(half(&mut sorted.iter().rev().copied()));
    lower
}

/// Rings of a picture's print, in worked cells.
pub(crate) fn between_cells(field: &Field, mask: &Mask, level: Level) -> Vec<Ring> {
    let (w, h) = (mask.width, mask.height);
    let ground = if level.dark { 1.0 } else { -1.0 };
    // How far above the level the print is, positive inside; `None` for print of another part.
    let over = |x: usize, y: usize| -> Option<f64> {
        let (fx, fy) = (x as i64 + mask.left, y as i64 + mask.top);
        let inside = mask.inside[y * w + x];
        let there = fx >= 0 && fy >= 0 && fx < field.width as i64 && fy < field.height as i64;
        let value = if there {
            f64::from(field.values[fy as usize * field.width + fx as usize])
        } else {
            level.at + ground
        };
        let over = if level.dark {
            level.at - value
        } else {
            value - level.at
        };
        let off = |o: &Vec<bool>| there && o[fy as usize * field.width + fx as usize];
        let outside = field.outside.as_ref().is_some_and(off);
        match inside {
            true => Some(over.max(1e-9)),
            // What lies off the paper is ground here.
            false if over <= 0.0 || outside => Some(over.min(-1e-9)),
            // Beyond a dividing line.
            false => None,
        }
    };
    // An edge is named by its cell and direction: 0 to the right, 1 down.
    let id = |x: usize, y: usize, down: usize| (((y * w + x) << 1) | down) as u32;
    let mut next: HashMap<u32, u32> = HashMap::new();
    for y in 0..h - 1 {
        for x in 0..w - 1 {
            let at = y * w + x;
            let [a, b, c, d] = [at, at + 1, at + w + 1, at + w].map(|i| mask.inside[i]);
            if a == b && b == c && c == d {
                continue;
            }
            let (top, right, bottom, left) =
                (id(x, y, 0), id(x + 1, y, 1), id(x, y + 1, 0), id(x, y, 1));
            // Walking clockwise about the print: in where print ends, out where it begins again.
            let sides = [(a, b, top), (b, c, right), (c, d, bottom), (d, a, left)];
            let enters: Vec<u32> = sides.iter().filter(|s| s.0 && !s.1).map(|s| s.2).collect();
            let leaves: Vec<u32> = sides.iter().filter(|s| !s.0 && s.1).map(|s| s.2).collect();
            match (&enters[..], &leaves[..]) {
                ([from], [to]) => {
                    next.insert(*from, *to);
                }
                // Two corners that only touch are kept apart.
                ([e0, e1], [l0, l1]) => {
                    let after = |e: u32| {
                        let at = sides.iter().position(|s| s.2 == e).unwrap_or(0);
                        let to = sides[(at + 3) % 4].2;
                        if to == *l0 { *l0 } else { *l1 }
                    };
                    next.insert(*e0, after(*e0));
                    next.insert(*e1, after(*e1));
                }
                _ => {}
            }
        }
    }
    let place = |edge: u32| {
        let (cell, down) = ((edge >> 1) as usize, edge & 1);
        let (x, y) = (cell % w, cell / w);
        let (dx, dy) = if down == 1 { (0, 1) } else { (1, 0) };
        let t = match (over(x, y), over(x + dx, y + dy)) {
            (Some(a), Some(b)) => (a / (a - b)).clamp(0.0, 1.0),
            _ => 0.5,
        };
        Vec2::new(
            x as f64 + mask.left as f64 + t * dx as f64,
            y as f64 + mask.top as f64 + t * dy as f64,
        )
    };
    walked(next, place)
}

/// Rings along the sides of cells, in worked cells.
pub(crate) fn along_cells(mask: &Mask) -> Vec<Ring> {
    let w = mask.width + 1;
    let inside = |x: i64, y: i64| {
        x >= 0
            && y >= 0
            && (x as usize) < mask.width
            && (y as usize) < mask.height
            && mask.inside[y as usize * mask.width + x as usize]
    };
    // A side is named by the corner it starts from and its direction: right, down, left, up.
    const STEPS: [(i64, i64); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];
    let mut starts: HashMap<u32, [bool; 4]> = HashMap::new();
    let corner = |x: i64, y: i64| (y * w as i64 + x) as u32;
    for (at, _) in mask.inside.iter().enumerate().filter(|(_, i)| **i) {
        let (x, y) = ((at % mask.width) as i64, (at / mask.width) as i64);
        for (dir, (nx, ny), (cx, cy)) in [
            (0, (x, y - 1), (x, y)),
            (1, (x + 1, y), (x + 1, y)),
            (2, (x, y + 1), (x + 1, y + 1)),
            (3, (x - 1, y), (x, y + 1)),
        ] {
            if !inside(nx, ny) {
                starts.entry(corner(cx, cy)).or_default()[dir] = true;
            }
        }
    }
    let mut next: HashMap<u32, u32> = HashMap::new();
    for (from, dirs) in &starts {
        for dir in (0..4).filter(|d| dirs[*d]) {
            let (x, y) = (i64::from(*from) % w as i64, i64::from(*from) / w as i64);
            let to = corner(x + STEPS[dir].0, y + STEPS[dir].1);
            // At a corner that two cells share, turn back to the same cell.
            let turn = [(dir + 1) % 4, dir, (dir + 3) % 4]
                .into_iter()
                .find(|d| starts.get(&to).is_some_and(|s| s[*d]));
            if let Some(turn) = turn {
                next.insert(from * 4 + dir as u32, to * 4 + turn as u32);
            }
        }
    }
    walked(next, |side| {
        let at = i64::from(side / 4);
        let (x, y) = (at % w as i64, at / w as i64);
        Vec2::new((x + mask.left) as f64 - 0.5, (y + mask.top) as f64 - 0.5)
    })
}

/// Follows every edge to the next until it comes round; the order does not hang on the map's.
fn walked(mut next: HashMap<u32, u32>, place: impl Fn(u32) -> Vec2) -> Vec<Ring> {
    let mut firsts: Vec<u32> = next.keys().copied().collect();
    firsts.sort_unstable();
    let mut rings = Vec::new();
    for first in firsts {
        let mut ring = Vec::new();
        let mut at = first;
        while let Some(to) = next.remove(&at) {
            ring.push(place(at));
            at = to;
        }
        if ring.len() >= 3 {
            rings.push(ring);
        }
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spots::Spots;

    fn level() -> Level {
        Level {
            at: 0.5,
            standard_error: 0.0,
            dark: false,
        }
    }

    fn field(rows: &[&str]) -> Field {
        let values = rows.iter().flat_map(|r| r.bytes());
        let values = values.map(|b| f32::from(b == b'#')).collect();
        Field::new(rows[0].len(), rows.len(), values)
    }

    fn rings(rows: &[&str], cells: bool) -> Vec<f64> {
        let field = field(rows);
        let spots = Spots::of(&field, level(), None);
        let parts: Vec<usize> = spots
            .parts(&field, 1, 99)
            .iter()
            .map(|p| p.number)
            .collect();
        let mask = spots.mask(&parts).unwrap();
        let rings = if cells {
            along_cells(&mask)
        } else {
            between_cells(&field, &mask, level())
        };
        rings.iter().map(|r| signed_area(r)).collect()
    }

    #[test]
    fn rings_along_cells_hold_as_many_cells_as_there_are() {
        let rows = ["#####", "#...#", "##.##", "#####", "....."];
        assert_eq!(rings(&rows, true), [20.0, -4.0]);
    }

    #[test]
    fn two_cells_that_touch_by_a_corner_are_two_rings() {
        let rows = ["#..", ".#.", "..."];
        assert_eq!(rings(&rows, true), [1.0, 1.0]);
        assert_eq!(rings(&rows, false).len(), 2);
    }

    #[test]
    fn a_dividing_line_parts_a_square_into_two_that_share_it() {
        let field = field(&["......", ".####.", ".####.", ".####.", ".####.", "......"]);
        let spots = Spots::of(&field, level(), Some([[2.5, 0.0], [2.5, 5.0]]));
        let parts = spots.parts(&field, 1, 9);
        assert_eq!(parts.iter().map(|p| p.cells).collect::<Vec<_>>(), [8, 8]);
        let whole = rings(
            &["......", ".####.", ".####.", ".####.", ".####.", "......"],
            false,
        )[0];
        let each = parts.iter().map(|p| {
            let mask = spots.mask(&[p.number]).unwrap();
            between_cells(&field, &mask, level())
                .iter()
                .map(|r| signed_area(r))
                .sum::<f64>()
        });
        let each: Vec<f64> = each.collect();
        // Only the corners at the seam are cut, half a cell each way.
        assert!((each[0] - each[1]).abs() < 1e-9, "{each:?}");
        assert!(
            (each[0] + each[1] - whole).abs() <= 0.5,
            "{each:?} of {whole}"
        );
    }

    #[test]
    fn a_print_at_the_rim_of_the_grid_has_a_closed_ring() {
        let areas = rings(&["##", "##"], false);
        assert_eq!(areas.len(), 1);
        assert!(areas[0] > 1.0);
    }
}

//! Which cells hang together? Parts by their sides (not by their corners), counted in runs of a row. No part crosses
//! a dividing line.

use crate::field::Field;
use crate::level::Level;
use crate::outline::hull;
use geometry::Vec2;

#[derive(Debug, Clone, Copy)]
struct Run {
    y: u32,
    from: u32,
    to: u32,
    part: u32,
    /// Beyond the dividing line.
    beyond: bool,
}

/// One part of the print.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    pub number: usize,
    /// Worked cells.
    pub cells: usize,
    /// A cell well inside, in worked cells.
    pub seed: [f64; 2],
    pub at_rim: bool,
    /// Beyond the dividing line.
    pub beyond: bool,
    /// Convex hull of its cells' centres, worked cells.
    pub hull: Vec<Vec2>,
}

/// All parts at one level.
pub(crate) struct Spots {
    runs: Vec<Run>,
    row_start: Vec<usize>,
    roots: Vec<u32>,
}

fn root(of: &mut [u32], mut at: u32) -> u32 {
    while of[at as usize] != at {
        of[at as usize] = of[of[at as usize] as usize];
        at = of[at as usize];
    }
    at
}

/// Does the row begin beyond the line, and which is the first cell on its other side?
fn crossed([a, b]: [[f64; 2]; 2], y: usize, width: usize) -> (bool, usize) {
    let beyond = |x: usize| {
        let (dx, dy) = (x as f64 - a[0], y as f64 - a[1]);
        (b[0] - a[0]) * dy - (b[1] - a[1]) * dx > 0.0
    };
    let first = beyond(0);
    let (mut low, mut high) = (0, width);
    while low < high {
        let middle = low + (high - low) / 2;
        if beyond(middle) == first {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    (first, low)
}

impl Spots {
    /// `line`: two worked places that the dividing line runs through.
    pub fn of(field: &Field, level: Level, line: Option<[[f64; 2]; 2]>) -> Spots {
        let mut runs: Vec<Run> = Vec::new();
        let mut row_start = Vec::with_capacity(field.height + 1);
        let mut of: Vec<u32> = Vec::new();
        for y in 0..field.height {
            row_start.push(runs.len());
            let row = &field.values[y * field.width..][..field.width];
            let outside = field.outside.as_ref().map(|o| &o[y * field.width..]);
            let inside = |x: usize| level.holds(row[x]) && !outside.is_some_and(|o| o[x]);
            // A line is crossed once in a row at most.
            let (first, turn) = line.map_or((false, field.width), |l| crossed(l, y, field.width));
            let mut x = 0;
            let mut above = if y > 0 { row_start[y - 1] } else { runs.len() };
            let above_end = row_start[y];
            while x < field.width {
                if !inside(x) {
                    x += 1;
                    continue;
                }
                let from = x;
                let side = first != (x >= turn);
                let end = if x < turn { turn } else { field.width };
                while x < end && inside(x) {
                    x += 1;
                }
                let (from, to) = (from as u32, x as u32);
                let own = of.len() as u32;
                of.push(own);
                while above < above_end && runs[above].to <= from {
                    above += 1;
                }
                let mut k = above;
                while k < above_end && runs[k].from < to {
                    if runs[k].beyond == side {
                        let (a, b) = (root(&mut of, runs[k].part), root(&mut of, own));
                        let (low, high) = (a.min(b), a.max(b));
                        of[high as usize] = low;
                    }
                    k += 1;
                }
                runs.push(Run {
                    y: y as u32,
                    from,
                    to,
                    part: own,
                    beyond: side,
                });
            }
        }
        row_start.push(runs.len());
        for i in 0..of.len() as u32 {
            of[i as usize] = root(&mut of, i);
        }
        Spots {
            runs,
            row_start,
            roots: of,
        }
    }

    /// Parts of at least so many cells, the largest first, at most `most` of them.
    pub fn parts(&self, field: &Field, least: usize, most: usize) -> Vec<Part> {
        let mut cells = vec![0_usize; self.roots.len()];
        for run in &self.runs {
            cells[self.roots[run.part as usize] as usize] += (run.to - run.from) as usize;
        }
        let mut wanted: Vec<usize> = (0..cells.len())
            .filter(|i| cells[*i] >= least.max(1))
            .collect();
        wanted.sort_by_key(|i| (std::cmp::Reverse(cells[*i]), *i));
        wanted.truncate(most);
        let mut place = vec![usize::MAX; cells.len()];
        for (k, i) in wanted.iter().enumerate() {
            place[*i] = k;
        }
        let mut ends: Vec<Vec<Vec2>> = vec![Vec::new(); wanted.len()];
        let mut longest = vec![(0_u32, [0.0; 2]); wanted.len()];
        let mut at_rim = vec![false; wanted.len()];
        let mut beyond = vec![false; wanted.len()];
        for run in &self.runs {
            let k = place[self.roots[run.part as usize] as usize];
            if k == usize::MAX {
                continue;
            }
            beyond[k] = run.beyond;
            let (y, last) = (run.y as usize, run.to as usize - 1);
            ends[k].push(Vec2::new(f64::from(run.from), y as f64));
            ends[k].push(Vec2::new(last as f64, y as f64));
            if run.to - run.from > longest[k].0 {
                let mid = ((run.from + run.to - 1) / 2) as f64;
                longest[k] = (run.to - run.from, [mid, y as f64]);
            }
            at_rim[k] |= field.at_rim(run.from as usize, y) || field.at_rim(last, y);
            let edge_row = y == 0 || y + 1 == field.height;
            at_rim[k] |= edge_row;
        }
        wanted
            .iter()
            .enumerate()
            .map(|(k, number)| Part {
                number: *number,
                cells: cells[*number],
                seed: longest[k].1,
                at_rim: at_rim[k],
                beyond: beyond[k],
                hull: hull(&ends[k]),
            })
            .collect()
    }

    /// The part that a worked cell belongs to, and whether that lies beyond the dividing line.
    pub fn part_at(&self, x: usize, y: usize) -> Option<(usize, bool)> {
        let (from, to) = (*self.row_start.get(y)?, *self.row_start.get(y + 1)?);
        let row = self.runs.get(from..to)?;
        let k = row.partition_point(|r| r.to as usize <= x);
        let run = row.get(k)?;
        let number = self.roots[run.part as usize] as usize;
        (run.from as usize <= x).then_some((number, run.beyond))
    }

    /// The cells of some parts as a mask over a box, with one empty cell around.
    pub fn mask(&self, parts: &[usize]) -> Option<Mask> {
        let mine = |r: &&Run| parts.contains(&(self.roots[r.part as usize] as usize));
        let (mut x0, mut x1, mut y0, mut y1) = (u32::MAX, 0, u32::MAX, 0);
        for r in self.runs.iter().filter(mine) {
            x0 = x0.min(r.from);
            x1 = x1.max(r.to);
            y0 = y0.min(r.y);
            y1 = y1.max(r.y + 1);
        }
        if x0 >= x1 {
            return None;
        }
        let (width, height) = ((x1 - x0 + 2) as usize, (y1 - y0 + 2) as usize);
        let mut mask = Mask {
            left: i64::from(x0) - 1,
            top: i64::from(y0) - 1,
            width,
            height,
            inside: vec![false; width * height],
        };
        for r in self.runs.iter().filter(mine) {
            let at = (r.y - y0 + 1) as usize * width + (r.from - x0 + 1) as usize;
            mask.inside[at..at + (r.to - r.from) as usize].fill(true);
        }
        Some(mask)
    }
}

/// Cells of some parts in a box that has an empty rim.
pub(crate) struct Mask {
    /// Worked cell of its first column and row; may be -1.
    pub left: i64,
    pub top: i64,
    pub width: usize,
    pub height: usize,
    pub inside: Vec<bool>,
}

impl Mask {
    pub fn cells(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.inside
            .iter()
            .enumerate()
            .filter(|(_, i)| **i)
            .map(|(at, _)| {
                let (x, y) = (at % self.width, at / self.width);
                (
                    (x as i64 + self.left) as usize,
                    (y as i64 + self.top) as usize,
                )
            })
    }
}

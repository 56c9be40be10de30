//! How is a print read where a lamp, a shadow or the lens lights the paper unevenly?
//!
//! Paper is taken for equally bright everywhere, so that whatever changes slowly on it is light: it is told from nodes
//! of some two millimetres that no sharp edge parts, carried on under the print, and divided out before print and
//! ground are parted. A picture whose parting would gain nothing from it is left as it came.
//!
//! One surprise: a shadow with a sharp edge is not told from ink of that brightness and stays.

use crate::field::Field;
use crate::level::otsu;
use serde::{Deserialize, Serialize};

/// What was done about the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Light {
    /// The greys of the file.
    #[default]
    AsItCame,
    /// Divided by the light on the paper, so that paper is equally bright everywhere.
    Evened,
}

/// Nodes along the longer side: on A4 two millimetres each.
const NODES: usize = 150;
/// Natural logarithm of the change over two nodes above which an edge is sharp: a wet print's, then ink's. A shadow
/// that takes two fifths of the light is soft up to the first where it takes 27 mm, up to the second where it takes 9.
const SHARP: [f32; 2] = [0.12, 0.35];
/// Light that varies by less than this does no harm: the level lies within a few hundredths of a cell.
const UNEVEN: f32 = 1.08;
/// Evened values have to part better by so much of the variance, or nothing is done,
const GAIN: f64 = 0.02;
/// but where so much of the paper reaches from the picture's rim into the dark, light and shade part well by themselves:
/// then evened values only have to part into two (grain alone gives 0.64, an even spread 0.75).
const SHADED: f64 = 0.03;
const TWO: f64 = 0.8;
/// A paper that leaves less than this share out holds the print too.
const PRINT: f64 = 0.005;
/// A print of so much of its paper's brightness is pale, as a wet one is; flat regions of fewer nodes tell nothing.
const PALE: std::ops::RangeInclusive<f32> = 0.6..=0.97;
const LEAST_REGION: usize = 8;
/// Nodes from a print's border within which its darkness is told: the border itself is never flat.
const BORDER: usize = 4;
const PASSES: usize = 4;
const SWEEPS: usize = 140;
const RELAXED: f32 = 1.88;

pub(crate) struct Evened {
    pub field: Field,
    /// Means over nodes, evened, and the paper's brightness among them.
    pub nodes: Vec<f32>,
    pub paper: f32,
}

/// `None` where the light is even enough, or no paper is told.
pub(crate) fn evened(field: &Field) -> Option<Evened> {
    let nodes = Nodes::of(field);
    let raw_values = nodes.known_values(&nodes.means);
    let (raw, dark) = (
        parting(&raw_values)?,
        otsu(&raw_values).ok()?.threshold as f32,
    );
    let mut best: Option<(f64, bool, Surface, Vec<f32>)> = None;
    for sharp in SHARP {
        let flat = nodes.flat(sharp);
        let Some(paper) = nodes.largest(&flat) else {
            continue;
        };
        let share = |of: &[bool]| of.iter().filter(|p| **p).count() as f64 / of.len() as f64;
        if share(&paper) > share(&nodes.known) - PRINT {
            continue;
        }
        let shaded: Vec<bool> = (0..paper.len())
            .map(|i| paper[i] && nodes.means[i] < dark)
            .collect();
        let shaded = share(&nodes.from_the_rim(&shaded)) > SHADED;
        // What parts from the print by its value is paper too, also where print surrounds it; and a pale print tells
        // of the light as well as paper does.
        let mut known: Vec<Option<f32>> = (0..paper.len())
            .map(|i| paper[i].then_some(nodes.means[i]))
            .collect();
        let regions = nodes.regions(&flat);
        for _ in 0..PASSES {
            let Some(surface) = nodes.surface(&known, &paper) else {
                break;
            };
            let values = nodes.divided(&surface);
            let looked = nodes.known_values(&values);
            let (Some(parts), Ok(parted)) = (parting(&looked), otsu(&looked)) else {
                break;
            };
            let level = parted.level(true).at as f32;
            for (i, light) in known.iter_mut().enumerate() {
                *light = (flat[i] && values[i] > level).then_some(nodes.means[i]);
            }
            nodes.add_pale_prints(&mut known, &regions, &surface, &values, level);
            if best.as_ref().is_none_or(|(b, ..)| parts > *b) {
                best = Some((parts, shaded, surface, values));
            }
        }
    }
    let (parts, shaded, surface, values) = best?;
    let better = parts > raw + GAIN || shaded && parts > TWO;
    if !better || surface.spread < UNEVEN {
        return None;
    }
    Some(Evened {
        field: nodes.even(field, &surface),
        nodes: nodes.known_values(&values),
        paper: surface.paper,
    })
}

/// Share of the variance that lies between the two classes; for grain alone it is 0.64.
fn parting(values: &[f32]) -> Option<f64> {
    let parted = otsu(values).ok()?;
    let n = values.len() as f64;
    let mean = values.iter().map(|v| f64::from(*v)).sum::<f64>() / n;
    let all: f64 = values.iter().map(|v| (f64::from(*v) - mean).powi(2)).sum();
    let above = values
        .iter()
        .filter(|v| f64::from(**v) > parted.threshold)
        .count() as f64;
    let between = above * (n - above) / n * (parted.high_mean - parted.low_mean).powi(2);
    (all > 0.0).then(|| between / all)
}

/// The light at every node, and how it varies over the paper.
struct Surface {
    light: Vec<f32>,
    paper: f32,
    /// The 98th of the paper's hundred parts over the 2nd.
    spread: f32,
}

struct Nodes {
    width: usize,
    height: usize,
    /// Worked cells in a node, each way.
    side: usize,
    means: Vec<f32>,
    /// Is any of it looked at?
    known: Vec<bool>,
}

impl Nodes {
    fn of(field: &Field) -> Nodes {
        let side = field.width.max(field.height).div_ceil(NODES).max(1);
        let (width, height) = (field.width.div_ceil(side), field.height.div_ceil(side));
        let (mut sums, mut counts) = (vec![0.0_f32; width * height], vec![0.0_f32; width * height]);
        for (y, row) in field.values.chunks_exact(field.width).enumerate() {
            let at = y / side * width;
            let outside = field.outside.as_ref().map(|o| &o[y * field.width..]);
            for (k, cells) in row.chunks(side).enumerate() {
                match outside {
                    None => {
                        sums[at + k] += cells.iter().sum::<f32>();
                        counts[at + k] += cells.len() as f32;
                    }
                    Some(out) => {
                        for (v, _) in cells.iter().zip(&out[k * side..]).filter(|(_, o)| !**o) {
                            sums[at + k] += v;
                            counts[at + k] += 1.0;
                        }
                    }
                }
            }
        }
        let known: Vec<bool> = counts.iter().map(|c| *c > 0.0).collect();
        // A grey of nought has no logarithm.
        let means = sums
            .iter()
            .zip(&counts)
            .map(|(s, c)| (s / c.max(1.0)).max(1.0))
            .collect();
        Nodes {
            width,
            height,
            side,
            means,
            known,
        }
    }

    fn known_values(&self, values: &[f32]) -> Vec<f32> {
        let both = values.iter().zip(&self.known);
        both.filter(|(_, k)| **k).map(|(v, _)| *v).collect()
    }

    fn beside(&self, i: usize) -> impl Iterator<Item = usize> {
        let (x, y, w, h) = (i % self.width, i / self.width, self.width, self.height);
        let all = [
            (x > 0).then(|| i - 1),
            (x + 1 < w).then(|| i + 1),
            (y > 0).then(|| i - w),
            (y + 1 < h).then(|| i + w),
        ];
        all.into_iter().flatten()
    }

    /// Nodes with no sharp change from one side of them to the other: over two nodes an edge shows its whole step.
    fn flat(&self, sharp: f32) -> Vec<bool> {
        let logs: Vec<f32> = self.means.iter().map(|m| m.ln()).collect();
        let (w, h) = (self.width, self.height);
        let soft = |i: usize, j: usize| {
            !self.known[i] || !self.known[j] || (logs[i] - logs[j]).abs() <= sharp
        };
        (0..logs.len())
            .map(|i| {
                let (x, y) = (i % w, i / w);
                // At the rim one side is the node itself.
                let (left, right) = (i - usize::from(x > 0), i + usize::from(x + 1 < w));
                let above = if y > 0 { i - w } else { i };
                let below = if y + 1 < h { i + w } else { i };
                self.known[i] && soft(left, right) && soft(above, below)
            })
            .collect()
    }

    /// Regions of flat nodes, which no sharp edge crosses.
    fn regions(&self, flat: &[bool]) -> Vec<Vec<usize>> {
        let mut left = flat.to_vec();
        (0..left.len())
            .map(|i| self.region(&mut left, i))
            .filter(|r| r.len() >= LEAST_REGION)
            .collect()
    }

    fn largest(&self, flat: &[bool]) -> Option<Vec<bool>> {
        let largest = self.regions(flat).into_iter().max_by_key(Vec::len)?;
        Some(self.only(&largest))
    }

    /// Where a whole region is darker than paper, but not much, its own changes are the light's: it is taken for
    /// paper of the darkness that it has along its border.
    fn add_pale_prints(
        &self,
        known: &mut [Option<f32>],
        regions: &[Vec<usize>],
        surface: &Surface,
        values: &[f32],
        level: f32,
    ) {
        let near = |i: usize, known: &[Option<f32>]| {
            let (x, y) = (i % self.width, i / self.width);
            let rows = y.saturating_sub(BORDER)..(y + BORDER + 1).min(self.height);
            let columns = x.saturating_sub(BORDER)..(x + BORDER + 1).min(self.width);
            rows.into_iter()
                .any(|y| columns.clone().any(|x| known[y * self.width + x].is_some()))
        };
        let mut more: Vec<(usize, f32)> = Vec::new();
        for region in regions {
            let dark = region.iter().filter(|i| values[**i] < level).count();
            if 2 * dark < region.len() {
                continue;
            }
            let beside = region.iter().filter(|i| near(**i, known));
            let mut shares: Vec<f32> = beside.map(|i| values[*i] / surface.paper).collect();
            shares.sort_by(f32::total_cmp);
            if let Some(share) = shares.get(shares.len() / 2)
                && PALE.contains(share)
            {
                more.extend(region.iter().map(|i| (*i, self.means[*i] / share)));
            }
        }
        for (i, light) in more {
            known[i] = Some(light);
        }
    }

    /// What of some nodes hangs together with the rim of the picture.
    fn from_the_rim(&self, nodes: &[bool]) -> Vec<bool> {
        let mut left = nodes.to_vec();
        let rim = |i: &usize| self.beside(*i).count() < 4;
        let firsts = (0..left.len()).filter(rim);
        let all: Vec<usize> = firsts.flat_map(|i| self.region(&mut left, i)).collect();
        self.only(&all)
    }

    fn only(&self, nodes: &[usize]) -> Vec<bool> {
        let mut out = vec![false; self.means.len()];
        nodes.iter().for_each(|i| out[*i] = true);
        out
    }

    /// Takes from `left` what hangs together with one node.
    fn region(&self, left: &mut [bool], first: usize) -> Vec<usize> {
        if !left[first] {
            return Vec::new();
        }
        left[first] = false;
        let mut region = vec![first];
        let mut at = 0;
        while at < region.len() {
            for j in self.beside(region[at]) {
                if left[j] {
                    left[j] = false;
                    region.push(j);
                }
            }
            at += 1;
        }
        region
    }

    /// Light where it is known, elsewhere a skin stretched between; `None` for hardly any paper.
    fn surface(&self, known: &[Option<f32>], paper: &[bool]) -> Option<Surface> {
        let mut told: Vec<f32> = (0..paper.len())
            .filter(|i| paper[*i])
            .map(|i| self.means[i])
            .collect();
        if told.len() < 16.max(self.means.len() / 20) {
            return None;
        }
        told.sort_by(f32::total_cmp);
        let at = |percent: usize| told[(told.len() - 1) * percent / 100];
        let middle = at(50);
        let mut light: Vec<f32> = known.iter().map(|k| k.unwrap_or(middle)).collect();
        let open: Vec<usize> = (0..light.len()).filter(|i| known[*i].is_none()).collect();
        for _ in 0..SWEEPS {
            for i in &open {
                let (mut sum, mut count) = (0.0, 0.0);
                for j in self.beside(*i) {
                    sum += light[j];
                    count += 1.0;
                }
                light[*i] += RELAXED * (sum / count - light[*i]);
            }
        }
        // A light of nought lights nothing; over-relaxing may leave a trace of it.
        let floor = 0.1 * middle;
        light.iter_mut().for_each(|l| *l = l.max(floor));
        Some(Surface {
            light,
            paper: middle,
            spread: at(98) / at(2),
        })
    }

    fn divided(&self, surface: &Surface) -> Vec<f32> {
        let both = self.means.iter().zip(&surface.light);
        both.map(|(m, l)| m * surface.paper / l).collect()
    }

    /// Every cell divided by the light at its place, straight between nodes.
    fn even(&self, field: &Field, surface: &Surface) -> Field {
        let side = self.side as f32;
        // Node before a place and the share of the next one.
        let between = |at: usize, count: usize| {
            let place = ((at as f32 + 0.5) / side - 0.5).clamp(0.0, (count - 1) as f32);
            let node = (place as usize).min(count.saturating_sub(2));
            (node, (place - node as f32).min(1.0))
        };
        let across: Vec<(usize, f32)> = (0..field.width).map(|x| between(x, self.width)).collect();
        let mut line = vec![0.0_f32; self.width];
        let mut values = Vec::with_capacity(field.values.len());
        for (y, row) in field.values.chunks_exact(field.width).enumerate() {
            let (node, share) = between(y, self.height);
            let here = &surface.light[node * self.width..][..self.width];
            let below = &surface.light[(node + 1).min(self.height - 1) * self.width..];
            for ((to, a), b) in line.iter_mut().zip(here).zip(below) {
                *to = (a + share * (b - a)) / surface.paper;
            }
            for (v, (node, share)) in row.iter().zip(&across) {
                let (a, b) = (line[*node], line[(node + 1).min(self.width - 1)]);
                values.push(v / (a + share * (b - a)));
            }
        }
        Field {
            values,
            outside: field.outside.clone(),
            ..*field
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(light: impl Fn(f32, f32) -> f32, print: f32) -> Field {
        let values = (0..300 * 400).map(|i| {
            let (x, y) = ((i % 300) as f32, (i / 300) as f32);
            let printed = ((x - 150.0) / 55.0).hypot((y - 200.0) / 120.0) < 1.0;
            light(x, y) * if printed { print } else { 230.0 }
        });
        Field::new(300, 400, values.collect())
    }

    #[test]
    fn even_light_is_left_as_it_came() {
        assert!(evened(&sheet(|_, _| 1.0, 40.0)).is_none());
        assert!(evened(&sheet(|x, _| 1.0 - 0.0001 * x, 180.0)).is_none());
    }

    #[test]
    fn light_that_halves_across_the_paper_is_divided_out_under_the_print_too() {
        for print in [40.0, 185.0] {
            let even = evened(&sheet(|x, _| 1.0 - 0.5 * x / 300.0, print)).unwrap();
            let share = print / 230.0;
            for (i, v) in even.field.values.iter().enumerate() {
                let (x, y) = ((i % 300) as f32, (i / 300) as f32);
                let d = ((x - 150.0) / 55.0).hypot((y - 200.0) / 120.0);
                let rim = !(4..296).contains(&(i % 300));
                if (0.9..1.1).contains(&d) || rim {
                    continue;
                }
                let wanted = even.paper * if d < 1.0 { share } else { 1.0 };
                assert!((v / wanted - 1.0).abs() < 0.02, "{x} {y}: {v} for {wanted}");
            }
        }
    }

    #[test]
    fn a_sheet_of_one_brightness_or_of_nought_has_no_light_to_even() {
        assert!(evened(&Field::new(90, 120, vec![200.0; 90 * 120])).is_none());
        assert!(evened(&Field::new(90, 120, vec![0.0; 90 * 120])).is_none());
    }
}

//! How is a print read where a lamp, a shadow or the lens lights the paper unevenly?
//!
//! Paper is taken for equally bright everywhere, so that whatever changes slowly on it is light: it is told from nodes
//! of some two millimetres that no sharp edge parts, carried on under the print, and divided out before print and
//! ground are parted. A picture whose parting would gain nothing from it is left as it came.
//!
//! Every limit here was set on invented prints; none was read, and no photograph of known truth was at hand.
//!
//! One surprise: a shadow with a sharp edge is not told from ink of that brightness and stays.

use crate::field::Field;
use crate::level::otsu;
use crate::nodes::Nodes;
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

/// Natural logarithm of the change over two nodes above which an edge is sharp: a wet print's, then ink's. A shadow
/// that takes two fifths of the light is soft up to the first where it takes 27 mm, up to the second where it takes 9.
const SHARP: [f32; 2] = [0.12, 0.35];
/// Less of a change than this anywhere is no print's edge.
const BLANK: f32 = 0.06;
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
/// A print of so much of its paper's brightness is pale, as a wet one is.
const PALE: std::ops::RangeInclusive<f32> = 0.6..=0.97;
/// Nodes from a print's border within which its darkness is told: the border itself is never flat.
const BORDER: usize = 4;
const PASSES: usize = 4;
/// A pass that parts the values no better than by this is the last.
const STILL: f64 = 0.001;
/// Over a first guess, and over what the pass before found.
const SWEEPS: [usize; 2] = [120, 60];

pub(crate) struct Evened {
    pub field: Field,
    /// Means over nodes, evened, and the paper's brightness among them.
    pub nodes: Vec<f32>,
    pub paper: f32,
}

/// What the light on a sheet is.
pub(crate) enum Lit {
    /// Nothing on it has a sharp edge: whatever changes is light.
    Blank,
    /// Even enough, or no paper is told.
    Even,
    Unevenly(Evened),
}

impl Lit {
    pub fn of(field: &Field) -> Lit {
        let nodes = Nodes::of(field);
        let flat = nodes.flat(BLANK).iter().filter(|f| **f).count();
        let known = nodes.known.iter().filter(|k| **k).count();
        if flat as f64 > (1.0 - PRINT) * known as f64 {
            return Lit::Blank;
        }
        evened(field, &nodes).map_or(Lit::Even, Lit::Unevenly)
    }

    pub fn evened(self) -> Option<Evened> {
        match self {
            Lit::Unevenly(evened) => Some(evened),
            _ => None,
        }
    }
}

fn evened(field: &Field, nodes: &Nodes) -> Option<Evened> {
    let raw = nodes.known_values(&nodes.means);
    let dark = otsu(&raw).ok()?.threshold as f32;
    let raw = parting(&raw)?;
    let best = SHARP
        .iter()
        .filter_map(|sharp| Paper::of(nodes, *sharp, dark))
        .filter_map(|paper| paper.surface(nodes))
        .max_by(|a, b| a.parts.total_cmp(&b.parts))?;
    let better = best.parts > raw + GAIN || best.shaded && best.parts > TWO;
    better.then(|| Evened {
        field: nodes.even(field, &best.light, best.paper),
        nodes: nodes.known_values(&best.values),
        paper: best.paper,
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

/// Flat nodes, and which of them are surely paper.
struct Paper {
    flat: Vec<bool>,
    regions: Vec<Vec<usize>>,
    nodes: Vec<bool>,
    /// Its usual brightness.
    middle: f32,
    /// Does it reach from the picture's rim into the dark?
    shaded: bool,
}

/// The light at every node.
struct Surface {
    light: Vec<f32>,
    paper: f32,
    /// What the light leaves of the nodes, and how well that parts.
    values: Vec<f32>,
    parts: f64,
    shaded: bool,
}

impl Paper {
    /// `None` where hardly anything is flat, nearly all is, or the light on it is even.
    fn of(nodes: &Nodes, sharp: f32, dark: f32) -> Option<Paper> {
        let flat = nodes.flat(sharp);
        let regions = nodes.regions(&flat);
        let paper = nodes.only(regions.iter().max_by_key(|r| r.len())?);
        let share = |of: &[bool]| of.iter().filter(|p| **p).count() as f64 / of.len() as f64;
        let own = share(&paper);
        if !(0.05..=share(&nodes.known) - PRINT).contains(&own) {
            return None;
        }
        let lit = (0..paper.len()).filter(|i| paper[*i]);
        let mut told: Vec<f32> = lit.map(|i| nodes.means[i]).collect();
        told.sort_by(f32::total_cmp);
        // The 98th of its hundred parts beside the 2nd.
        let at = |percent: usize| told[(told.len() - 1) * percent / 100];
        if at(98) < UNEVEN * at(2) {
            return None;
        }
        let middle = at(50);
        let both = paper.iter().zip(&nodes.means);
        let shaded: Vec<bool> = both.map(|(p, m)| *p && *m < dark).collect();
        Some(Paper {
            shaded: share(&nodes.reaching_the_rim(&shaded)) > SHADED,
            flat,
            regions,
            nodes: paper,
            middle,
        })
    }

    /// What parts from the print by its value is paper too, also where print surrounds it; and a pale print tells of
    /// the light as well as paper does.
    fn surface(&self, nodes: &Nodes) -> Option<Surface> {
        let both = self.nodes.iter().zip(&nodes.means);
        let mut known: Vec<Option<f32>> = both.map(|(p, m)| p.then_some(*m)).collect();
        let mut best: Option<Surface> = None;
        for pass in 0..PASSES {
            let light = match &best {
                None => nodes.stretched(&known, &vec![self.middle; known.len()], SWEEPS[0]),
                Some(before) => nodes.stretched(&known, &before.light, SWEEPS[1]),
            };
            // A light of nought lights nothing; over-relaxing may leave a trace of it.
            let light: Vec<f32> = light.iter().map(|l| l.max(0.1 * self.middle)).collect();
            let both = nodes.means.iter().zip(&light);
            let values: Vec<f32> = both.map(|(m, l)| m * self.middle / l).collect();
            let looked = nodes.known_values(&values);
            let (Some(parts), Ok(parted)) = (parting(&looked), otsu(&looked)) else {
                break;
            };
            let last = best.as_ref().map_or(0.0, |b| b.parts);
            if parts > last {
                best = Some(Surface {
                    light,
                    paper: self.middle,
                    values,
                    parts,
                    shaded: self.shaded,
                });
            }
            let Some(now) = &best else { break };
            if parts < last + STILL || pass + 1 == PASSES {
                break;
            }
            let level = parted.level(true).at as f32;
            for (i, light) in known.iter_mut().enumerate() {
                *light = (self.flat[i] && now.values[i] > level).then_some(nodes.means[i]);
            }
            self.add_pale_prints(nodes, &mut known, &now.values, level);
        }
        best
    }

    /// Where a whole region is darker than paper, but not much, its own changes are the light's: it is taken for
    /// paper of the darkness that it has along its border.
    fn add_pale_prints(
        &self,
        nodes: &Nodes,
        known: &mut [Option<f32>],
        values: &[f32],
        level: f32,
    ) {
        let near = |i: usize, known: &[Option<f32>]| {
            let (x, y) = (i % nodes.width, i / nodes.width);
            let rows = y.saturating_sub(BORDER)..(y + BORDER + 1).min(nodes.height);
            let columns = x.saturating_sub(BORDER)..(x + BORDER + 1).min(nodes.width);
            rows.into_iter().any(|y| {
                columns
                    .clone()
                    .any(|x| known[y * nodes.width + x].is_some())
            })
        };
        let mut more: Vec<(usize, f32)> = Vec::new();
        for region in &self.regions {
            let dark = region.iter().filter(|i| values[**i] < level).count();
            if 2 * dark < region.len() {
                continue;
            }
            let beside = region.iter().filter(|i| near(**i, known));
            let mut shares: Vec<f32> = beside.map(|i| values[*i] / self.middle).collect();
            shares.sort_by(f32::total_cmp);
            if let Some(share) = shares.get(shares.len() / 2)
                && PALE.contains(share)
            {
                more.extend(region.iter().map(|i| (*i, nodes.means[*i] / share)));
            }
        }
        for (i, light) in more {
            known[i] = Some(light);
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
        for even in [
            sheet(|_, _| 1.0, 40.0),
            sheet(|x, _| 1.0 - 0.0001 * x, 180.0),
        ] {
            assert!(matches!(Lit::of(&even), Lit::Even));
        }
    }

    #[test]
    fn light_that_halves_across_the_paper_is_divided_out_under_the_print_too() {
        for print in [40.0, 185.0] {
            let lit = Lit::of(&sheet(|x, _| 1.0 - 0.5 * x / 300.0, print));
            let even = lit.evened().unwrap();
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
    fn a_sheet_of_one_brightness_of_nought_or_of_light_alone_is_blank() {
        let blank = |f: &Field| matches!(Lit::of(f), Lit::Blank);
        assert!(blank(&Field::new(90, 120, vec![200.0; 90 * 120])));
        assert!(blank(&Field::new(90, 120, vec![0.0; 90 * 120])));
        assert!(blank(&sheet(
            |x, y| 1.0 - 0.3 * x / 300.0 - 0.2 * y / 400.0,
            230.0
        )));
    }
}

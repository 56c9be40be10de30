//! What does a sheet look like on a coarse grid: means of many cells, regions without sharp edges, a skin over gaps?

use crate::field::Field;

/// Nodes along the longer side: on A4 two millimetres each.
const NODES: usize = 150;
const LEAST_REGION: usize = 8;
const RELAXED: f32 = 1.88;

pub(crate) struct Nodes {
    pub width: usize,
    pub height: usize,
    /// Worked cells in a node, each way.
    side: usize,
    pub means: Vec<f32>,
    /// Is any of it looked at?
    pub known: Vec<bool>,
}

impl Nodes {
    pub fn of(field: &Field) -> Nodes {
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

    pub fn known_values(&self, values: &[f32]) -> Vec<f32> {
        let both = values.iter().zip(&self.known);
        both.filter(|(_, k)| **k).map(|(v, _)| *v).collect()
    }

    pub fn beside(&self, i: usize) -> impl Iterator<Item = usize> {
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
    pub fn flat(&self, sharp: f32) -> Vec<bool> {
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
    pub fn regions(&self, flat: &[bool]) -> Vec<Vec<usize>> {
        let mut left = flat.to_vec();
        (0..left.len())
            .map(|i| self.region(&mut left, i))
            .filter(|r| r.len() >= LEAST_REGION)
            .collect()
    }

    /// What of some nodes hangs together with the rim of the picture.
    pub fn reaching_the_rim(&self, nodes: &[bool]) -> Vec<bool> {
        let mut left = nodes.to_vec();
        let rim = |i: &usize| self.beside(*i).count() < 4;
        let firsts = (0..left.len()).filter(rim);
        let all: Vec<usize> = firsts.flat_map(|i| self.region(&mut left, i)).collect();
        self.only(&all)
    }

    pub fn only(&self, nodes: &[usize]) -> Vec<bool> {
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

    /// Values where they are known, elsewhere a skin stretched between; begun from `start`.
    pub fn stretched(&self, known: &[Option<f32>], start: &[f32], sweeps: usize) -> Vec<f32> {
        let both = known.iter().zip(start);
        let mut out: Vec<f32> = both.map(|(k, s)| k.unwrap_or(*s)).collect();
        let open: Vec<usize> = (0..out.len()).filter(|i| known[*i].is_none()).collect();
        for _ in 0..sweeps {
            for i in &open {
                let (mut sum, mut count) = (0.0, 0.0);
                for j in self.beside(*i) {
                    sum += out[j];
                    count += 1.0;
                }
                out[*i] += RELAXED * (sum / count - out[*i]);
            }
        }
        out
    }

    /// Every cell divided by the light at its place, straight between nodes, in shares of the paper's brightness.
    pub fn even(&self, field: &Field, light: &[f32], paper: f32) -> Field {
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
            let here = &light[node * self.width..][..self.width];
            let below = &light[(node + 1).min(self.height - 1) * self.width..];
            for ((to, a), b) in line.iter_mut().zip(here).zip(below) {
                *to = (a + share * (b - a)) / paper;
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

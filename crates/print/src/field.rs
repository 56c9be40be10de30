//! Values on a grid as they are worked on: reduced by whole steps, smoothed once, read between cells.

/// Row by row from the top.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Field {
    pub width: usize,
    pub height: usize,
    /// Cells of what came in one worked cell, each way.
    pub step: usize,
    pub values: Vec<f32>,
    /// Not looked at, where there is such a part: off the paper.
    pub outside: Option<Vec<bool>>,
}

impl Field {
    pub fn new(width: usize, height: usize, values: Vec<f32>) -> Field {
        Field {
            width,
            height,
            step: 1,
            values,
            outside: None,
        }
    }

    /// Means of `step` × `step` pixels: of their brightness, or of their darkest colour where any ink counts.
    pub fn of_rgb(
        rgb: &[u8],
        width: usize,
        height: usize,
        step: usize,
        ink: bool,
    ) -> Option<Field> {
        let (w, h) = (width / step, height / step);
        let least = crate::sheet::LEAST_CELLS;
        if w < least || h < least || rgb.len() < 3 * width * height {
            return None;
        }
        let mut values = Vec::with_capacity(w * h);
        let mut sums = vec![0_u32; w];
        for y in 0..h {
            sums.fill(0);
            for row in y * step..(y + 1) * step {
                let line = &rgb[3 * row * width..3 * (row * width + w * step)];
                for (sum, cells) in sums.iter_mut().zip(line.chunks_exact(3 * step)) {
                    for [r, g, b] in cells.as_chunks::<3>().0 {
                        *sum += if ink {
                            256 * u32::from(*r.min(g).min(b))
                        } else {
                            77 * u32::from(*r) + 150 * u32::from(*g) + 29 * u32::from(*b)
                        };
                    }
                }
            }
            let share = 1.0 / (256.0 * (step * step) as f32);
            values.extend(sums.iter().map(|s| *s as f32 * share));
        }
        Some(Field {
            step,
            ..Field::new(w, h, values)
        })
    }

    /// Sets what is not looked at to the commonest of the rest, so that no edge stands there.
    pub fn set_outside(&mut self, outside: Vec<bool>) {
        let mut inside: Vec<f32> = self
            .values
            .iter()
            .zip(&outside)
            .step_by(7)
            .filter(|(_, out)| !**out)
            .map(|(v, _)| *v)
            .collect();
        inside.sort_by(f32::total_cmp);
        let ground = inside.get(inside.len() / 2).copied().unwrap_or(0.0);
        for (v, out) in self.values.iter_mut().zip(&outside) {
            if *out {
                *v = ground;
            }
        }
        self.outside = Some(outside);
    }

    /// Is the cell at the rim of what is looked at?
    pub fn at_rim(&self, x: usize, y: usize) -> bool {
        if x == 0 || y == 0 || x + 1 >= self.width || y + 1 >= self.height {
            return true;
        }
        self.outside.as_ref().is_some_and(|out| {
            let at = y * self.width + x;
            [at, at - 1, at + 1, at - self.width, at + self.width]
                .iter()
                .any(|i| out.get(*i).copied().unwrap_or(true))
        })
    }

    /// From a worked place to cells of what came.
    pub fn to_cells(&self, worked: [f64; 2]) -> [f64; 2] {
        let step = self.step as f64;
        worked.map(|c| (c + 0.5) * step - 0.5)
    }

    pub fn to_worked(&self, cell: [f64; 2]) -> [f64; 2] {
        let step = self.step as f64;
        cell.map(|c| (c + 0.5) / step - 0.5)
    }
}

/// Grain above this share of the picture's span is smoothed.
const GRAIN: f32 = 0.02;

/// One pass of 1-2-1 each way against the grain of paper and chip, where there is some. An edge keeps its place to
/// a few hundredths of a cell as long as it bends over more than ten cells; sharp corners lose about half a cell,
/// so a clean picture is left as it is.
pub(crate) fn smoothed(mut field: Field) -> Field {
    let (w, h) = (field.width, field.height);
    let ends = |(l, h): (f32, f32), v: &f32| (l.min(*v), h.max(*v));
    let (low, high) = field
        .values
        .iter()
        .fold((f32::INFINITY, f32::NEG_INFINITY), ends);
    let pairs = field.values.chunks_exact(2).step_by(5);
    let mut steps: Vec<f32> = pairs.map(|p| (p[0] - p[1]).abs()).collect();
    steps.sort_by(f32::total_cmp);
    // Half of all neighbours differ by less than 0.95 of a normal grain's standard deviation.
    let grain = steps.get(steps.len() / 2).copied().unwrap_or(0.0) / 0.954;
    if grain <= GRAIN * (high - low) {
        return field;
    }
    let mut across = vec![0.0_f32; w * h];
    for (from, to) in field.values.chunks_exact(w).zip(across.chunks_exact_mut(w)) {
        to[0] = from[0];
        to[w - 1] = from[w - 1];
        for x in 1..w - 1 {
            to[x] = 0.25 * (from[x - 1] + from[x + 1]) + 0.5 * from[x];
        }
    }
    for y in 0..h {
        let above = &across[y.saturating_sub(1) * w..][..w];
        let here = &across[y * w..][..w];
        let below = &across[(y + 1).min(h - 1) * w..][..w];
        let to = &mut field.values[y * w..][..w];
        for x in 0..w {
            to[x] = 0.25 * (above[x] + below[x]) + 0.5 * here[x];
        }
    }
    field
}

//! Which lead marks lie on the film, and where?
//!
//! Letters are strokes of lead wire laid on the detector, drawn as the reader sees the stored film:
//! they read the right way round on every view and side.

/// A stroke from one point to another, in letter heights: x to the right, y down from the top.
type Stroke = [[f64; 2]; 2];

/// Strokes of the characters that a marker may carry; `None` for any other.
fn strokes(letter: char) -> Option<(&'static [Stroke], f64)> {
    const L: &[Stroke] = &[[[0.0, 0.0], [0.0, 1.0]], [[0.0, 1.0], [0.55, 1.0]]];
    const R: &[Stroke] = &[
        [[0.0, 0.0], [0.0, 1.0]],
        [[0.0, 0.0], [0.42, 0.0]],
        [[0.42, 0.0], [0.58, 0.13]],
        [[0.58, 0.13], [0.58, 0.37]],
        [[0.58, 0.37], [0.42, 0.5]],
        [[0.42, 0.5], [0.0, 0.5]],
        [[0.3, 0.5], [0.6, 1.0]],
    ];
    const S: &[Stroke] = &[
        [[0.56, 0.1], [0.42, 0.0]],
        [[0.42, 0.0], [0.16, 0.0]],
        [[0.16, 0.0], [0.0, 0.13]],
        [[0.0, 0.13], [0.0, 0.35]],
        [[0.0, 0.35], [0.14, 0.48]],
        [[0.14, 0.48], [0.42, 0.52]],
        [[0.42, 0.52], [0.56, 0.65]],
        [[0.56, 0.65], [0.56, 0.87]],
        [[0.56, 0.87], [0.42, 1.0]],
        [[0.42, 1.0], [0.14, 1.0]],
        [[0.14, 1.0], [0.0, 0.9]],
    ];
    const T: &[Stroke] = &[[[0.0, 0.0], [0.6, 0.0]], [[0.3, 0.0], [0.3, 1.0]]];
    const A: &[Stroke] = &[
        [[0.0, 1.0], [0.32, 0.0]],
        [[0.32, 0.0], [0.64, 1.0]],
        [[0.11, 0.66], [0.53, 0.66]],
    ];
    const N: &[Stroke] = &[
        [[0.0, 1.0], [0.0, 0.0]],
        [[0.0, 0.0], [0.58, 1.0]],
        [[0.58, 1.0], [0.58, 0.0]],
    ];
    const D: &[Stroke] = &[
        [[0.0, 0.0], [0.0, 1.0]],
        [[0.0, 0.0], [0.36, 0.0]],
        [[0.36, 0.0], [0.58, 0.25]],
        [[0.58, 0.25], [0.58, 0.75]],
        [[0.58, 0.75], [0.36, 1.0]],
        [[0.36, 1.0], [0.0, 1.0]],
    ];
    const I: &[Stroke] = &[[[0.1, 0.0], [0.1, 1.0]]];
    const G: &[Stroke] = &[
        [[0.56, 0.15], [0.42, 0.0]],
        [[0.42, 0.0], [0.16, 0.0]],
        [[0.16, 0.0], [0.0, 0.2]],
        [[0.0, 0.2], [0.0, 0.8]],
        [[0.0, 0.8], [0.16, 1.0]],
        [[0.16, 1.0], [0.42, 1.0]],
        [[0.42, 1.0], [0.56, 0.85]],
        [[0.56, 0.85], [0.56, 0.55]],
        [[0.56, 0.55], [0.34, 0.55]],
    ];
    /// Down to the floor: the foot carried weight.
    const ARROW: &[Stroke] = &[
        [[0.25, 0.0], [0.25, 0.95]],
        [[0.25, 0.95], [0.0, 0.65]],
        [[0.25, 0.95], [0.5, 0.65]],
    ];
    Some(match letter {
        'L' => (L, 0.55),
        'R' => (R, 0.6),
        'S' => (S, 0.56),
        'T' => (T, 0.6),
        'A' => (A, 0.64),
        'N' => (N, 0.58),
        'D' => (D, 0.58),
        'I' => (I, 0.2),
        'G' => (G, 0.56),
        '↓' => (ARROW, 0.5),
        _ => return None,
    })
}

/// One line of lead letters on the detector, in film pixels.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LeadText {
    pub text: String,
    /// Top left corner.
    pub at: [f64; 2],
    pub height_px: f64,
    /// Width of the wire.
    pub wire_px: f64,
    /// Attenuation of the wire; about 3 lets one part in twenty through.
    pub attenuation: f64,
}

impl LeadText {
    pub fn width_px(text: &str, height_px: f64) -> f64 {
        text.chars()
            .filter_map(strokes)
            .map(|(_, w)| (w + 0.3) * height_px)
            .sum::<f64>()
            - 0.3 * height_px
    }

    /// Adds the lead to the attenuation of a picture.
    pub fn draw(&self, width: usize, height: usize, attenuation: &mut [f32]) {
        let mut left = self.at[0];
        let half = self.wire_px / 2.0;
        let mut lines: Vec<[[f64; 2]; 2]> = Vec::new();
        for (shape, advance) in self.text.chars().filter_map(strokes) {
            for stroke in shape {
                lines
                    .push(stroke.map(|[x, y]| {
                        [left + x * self.height_px, self.at[1] + y * self.height_px]
                    }));
            }
            left += (advance + 0.3) * self.height_px;
        }
        let x = (
            clamp(self.at[0] - half - 1.0, width),
            clamp(left + half + 2.0, width),
        );
        let y = (
            clamp(self.at[1] - half - 1.0, height),
            clamp(self.at[1] + self.height_px + half + 2.0, height),
        );
        for py in y.0..y.1 {
            for px in x.0..x.1 {
                let p = [px as f64, py as f64];
                let nearest = lines
                    .iter()
                    .map(|l| distance(p, *l))
                    .fold(f64::INFINITY, f64::min);
                let cover = (half - nearest + 0.5).clamp(0.0, 1.0);
                attenuation[py * width + px] += (cover * self.attenuation) as f32;
            }
        }
    }
}

fn clamp(v: f64, limit: usize) -> usize {
    v.clamp(0.0, limit as f64) as usize
}

fn distance(p: [f64; 2], [a, b]: [[f64; 2]; 2]) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let t = (((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]))
        .clamp(0.0, 1.0);
    (p[0] - a[0] - t * d[0]).hypot(p[1] - a[1] - t * d[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_letter_l_has_its_foot_at_the_right() {
        let mut picture = vec![0.0; 40 * 40];
        let text = LeadText {
            text: "L".into(),
            at: [10.0, 5.0],
            height_px: 30.0,
            wire_px: 4.0,
            attenuation: 3.0,
        };
        text.draw(40, 40, &mut picture);
        assert!(
            picture[34 * 40 + 22] > 2.9
                && picture[20 * 40 + 22] == 0.0
                && picture[20 * 40 + 10] > 2.9
        );
    }
}

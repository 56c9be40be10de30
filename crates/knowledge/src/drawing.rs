//! Small drawings that show where a point belongs.
//!
//! Each view has one drawing of its bones in millimetres of an invented foot (x to the right, y down;
//! `knowledge/drawings/`). A landmark names its place on it and how wide a window to show; the
//! window is cut out here and scaled to a 100 × 100 box.
//!
//! Paths use the absolute commands M, L, C, Q and Z only, so that scaling them is exact.

use serde::{Deserialize, Serialize};
use terms::View;

/// One outline of the view's drawing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bone {
    pub view: View,
    pub name: String,
    /// SVG path data in millimetres of the drawing.
    pub path: String,
}

/// What a landmark's little picture shows, in a 100 × 100 box with y down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Drawing {
    /// SVG path data of every outline that reaches into the window (clip to the box when drawing).
    pub outlines: Vec<String>,
    /// Where the point belongs.
    pub point: [f64; 2],
}

/// Path data taken apart: the command letter and its numbers.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Path {
    steps: Vec<(char, Vec<f64>)>,
}

impl Path {
    /// Reads path data with absolute M, L, C, Q and Z.
    ///
    /// # Errors
    /// What stood where something else was expected, in words.
    pub(crate) fn parse(data: &str) -> Result<Path, String> {
        let mut steps: Vec<(char, Vec<f64>)> = Vec::new();
        let spaced: String = data
            .chars()
            .flat_map(|c| {
                if c.is_ascii_alphabetic() {
                    vec![' ', c, ' ']
                } else {
                    vec![c]
                }
            })
            .map(|c| if c == ',' { ' ' } else { c })
            .collect();
        for word in spaced.split_whitespace() {
            match word.chars().next() {
                Some(c) if c.is_ascii_alphabetic() => {
                    if arity(c).is_none() {
                        return Err(format!("the path command {c:?}"));
                    }
                    steps.push((c, Vec::new()));
                }
                _ => {
                    let number: f64 = word.parse().map_err(|_| format!("{word:?} in a path"))?;
                    if !number.is_finite() {
                        return Err(format!("{word:?} in a path"));
                    }
                    match steps.last_mut() {
                        Some((_, numbers)) => numbers.push(number),
                        None => return Err(format!("the number {word} before any path command")),
                    }
                }
            }
        }
        match steps.first() {
            None => return Err("an empty path".into()),
            Some(('M', _)) => {}
            Some((c, _)) => return Err(format!("a path that starts with {c:?}")),
        }
        for (c, numbers) in &steps {
            let want = arity(*c).unwrap_or(0);
            let fits = if want == 0 {
                numbers.is_empty()
            } else {
                !numbers.is_empty() && numbers.len() % want == 0
            };
            if !fits {
                return Err(format!(
                    "{} numbers behind the path command {c:?}",
                    numbers.len()
                ));
            }
        }
        Ok(Path { steps })
    }

    /// Smallest and largest x and y of all points, control points included.
    fn extent(&self) -> [f64; 4] {
        let mut e = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        for (_, numbers) in &self.steps {
            for p in numbers.chunks_exact(2) {
                e = [
                    e[0].min(p[0]),
                    e[1].min(p[1]),
                    e[2].max(p[0]),
                    e[3].max(p[1]),
                ];
            }
        }
        e
    }

    /// Path data after `x' = (x − left) · scale`, `y' = (y − top) · scale`, to a hundredth.
    fn box_from_view(&self, left: f64, top: f64, scale: f64) -> String {
        let mut words = Vec::new();
        for (c, numbers) in &self.steps {
            words.push(c.to_string());
            for p in numbers.chunks_exact(2) {
                words.push(number((p[0] - left) * scale));
                words.push(number((p[1] - top) * scale));
            }
        }
        words.join(" ")
    }
}

fn arity(command: char) -> Option<usize> {
    match command {
        'M' | 'L' => Some(2),
        'Q' => Some(4),
        'C' => Some(6),
        'Z' => Some(0),
        _ => None,
    }
}

fn number(v: f64) -> String {
    let rounded = (v * 100.0).round() / 100.0;
    // `-0` would print with its sign.
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
}

/// Cuts the window of `width` millimetres around `point` out of the view's drawing.
pub(crate) fn cut_out(bones: &[(Bone, Path)], view: View, point: [f64; 2], width: f64) -> Drawing {
    let (left, top) = (point[0] - width / 2.0, point[1] - width / 2.0);
    let scale = 100.0 / width;
    let outlines = bones
        .iter()
        .filter(|(bone, _)| bone.view == view)
        .filter(|(_, path)| {
            let e = path.extent();
            e[2] >= left && e[0] <= left + width && e[3] >= top && e[1] <= top + width
        })
        .map(|(_, path)| path.box_from_view(left, top, scale))
        .collect();
    Drawing {
        outlines,
        point: [50.0, 50.0],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bone(path: &str) -> (Bone, Path) {
        let bone = Bone {
            view: View::Lateral,
            name: "test".into(),
            path: path.into(),
        };
        (bone, Path::parse(path).unwrap())
    }

    #[test]
    fn a_window_of_fifty_millimetres_doubles_the_drawing() {
        let bones = [
            bone("M 10 10 L 30 10 C 30 20 20 30 10 30 Z"),
            bone("M 500 500 L 510 500"),
        ];
        let drawing = cut_out(&bones, View::Lateral, [25.0, 25.0], 50.0);
        assert_eq!(drawing.outlines, ["M 20 20 L 60 20 C 60 40 40 60 20 60 Z"]);
        assert_eq!(drawing.point, [50.0, 50.0]);
    }

    #[test]
    fn path_data_outside_the_small_language_is_refused_with_its_reason() {
        for (data, why) in [
            ("", "an empty path"),
            ("L 1 2", "a path that starts with 'L'"),
            ("M 1 2 l 3 4", "the path command 'l'"),
            ("M 1", "1 numbers behind the path command 'M'"),
            ("M 1 2 C 1 2 3 4", "4 numbers behind the path command 'C'"),
            ("M 1 two", "the path command 't'"),
            ("1 2 M", "the number 1 before any path command"),
        ] {
            assert_eq!(Path::parse(data), Err(why.to_string()), "{data:?}");
        }
    }
}

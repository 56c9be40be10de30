//! Where do a view's words stand?
//!
//! Three kinds: words that have their place, figures on their dimension lines, and words near what they
//! name. The first two are set as they come; the last are placed together when everything is known.

use super::board::TYPE_MM;
use super::silhouette::P;
use crate::colour::{INK, PAPER, QUIET};
use crate::labels::{self, Around, Placed, Wanted, overlap, through, width_of};
use crate::svg::{Svg, Text, number};

type Area = [f64; 4];

struct Near {
    name: String,
    value: String,
    anchor: P,
    colour: &'static str,
}

/// Words with their place.
struct Fixed {
    words: String,
    /// Where the base line begins, or ends, or has its middle.
    at: P,
    anchor: &'static str,
    turned: bool,
    colour: &'static str,
    area: Area,
}

#[derive(Default)]
pub(crate) struct Words {
    near: Vec<Near>,
    fixed: Vec<Fixed>,
    pub lines: Vec<(P, P)>,
    pub crosses: Vec<P>,
}

/// All words of a view with their places.
pub(crate) struct Written {
    fixed: Vec<Fixed>,
    placed: Vec<(Placed, &'static str)>,
}

impl Words {
    pub fn near(&mut self, name: &str, value: &str, anchor: P, colour: &'static str) {
        if anchor.iter().all(|v| v.is_finite()) {
            self.near.push(Near {
                name: name.to_owned(),
                value: value.to_owned(),
                anchor,
                colour,
            });
        }
    }

    pub fn at(&mut self, words: &str, at: P, from_right: bool, colour: &'static str) {
        let wide = width_of(words, TYPE_MM);
        let left = if from_right { at[0] - wide } else { at[0] };
        self.fixed.push(Fixed {
            words: words.to_owned(),
            at,
            anchor: if from_right { "end" } else { "start" },
            turned: false,
            colour,
            area: [
                left,
                at[1] - 0.8 * TYPE_MM,
                left + wide,
                at[1] + 0.25 * TYPE_MM,
            ],
        });
    }

    /// With their middle at a place; along an upright line they are turned, to be read from the right.
    pub fn centred(&mut self, words: &str, at: P, way: P, colour: &'static str) {
        let turned = way[1].abs() > way[0].abs();
        let half = [width_of(words, TYPE_MM) / 2.0, 0.55 * TYPE_MM];
        let [w, h] = if turned { [half[1], half[0]] } else { half };
        let base = 0.36 * TYPE_MM;
        self.fixed.push(Fixed {
            words: words.to_owned(),
            at: if turned {
                [at[0] + base, at[1]]
            } else {
                [at[0], at[1] + base]
            },
            anchor: "middle",
            turned,
            colour,
            area: [at[0] - w, at[1] - h, at[0] + w, at[1] + h],
        });
    }

    /// Sets a figure on a line (`on` gives its places) and answers how far along its middle stands.
    pub fn on_line(
        &mut self,
        words: &str,
        on: impl Fn(f64) -> P,
        long: f64,
        figure: f64,
        way: P,
    ) -> f64 {
        // Upright lines carry their figures upright, to be read from the right.
        let turned = way[1].abs() > way[0].abs();
        let half = [figure / 2.0, 0.55 * TYPE_MM];
        let [half_w, half_h] = if turned { [half[1], half[0]] } else { half };
        let area = |s: f64| {
            let [x, y] = on(s);
            [x - half_w, y - half_h, x + half_w, y + half_h]
        };
        let slack = 0.5 * (long - figure) - 2.0;
        let free = |s: &f64| {
            let area = area(*s);
            let clear = self
                .lines
                .iter()
                .filter(|(a, b)| through(area, *a, *b))
                .count()
                == 0;
            clear && self.fixed.iter().all(|f| !overlap(area, f.area))
        };
        let along = [0.0, 0.35, -0.35, 0.7, -0.7, 1.0, -1.0]
            .map(|part| 0.5 * long + part * slack.max(0.0))
            .into_iter()
            .find(|s| free(s))
            .unwrap_or(0.5 * long);
        self.centred(words, on(along), way, INK);
        along
    }

    pub fn written(self, area: Area) -> Written {
        let wanted: Vec<Wanted<'_>> = self
            .near
            .iter()
            .map(|l| Wanted {
                name: &l.name,
                value: &l.value,
                anchor: l.anchor,
                size: TYPE_MM,
            })
            .collect();
        let fixed: Vec<Area> = self.fixed.iter().map(|f| f.area).collect();
        let around = Around {
            area,
            crosses: self.crosses,
            reach: 1.4,
            lines: self.lines,
            ground: None,
        };
        let placed = labels::place_beside(&fixed, &wanted, &around);
        let colours = self.near.iter().map(|l| l.colour);
        Written {
            placed: placed.into_iter().zip(colours).collect(),
            fixed: self.fixed,
        }
    }
}

pub(crate) fn draw(svg: &mut Svg, written: &Written) {
    for (label, _) in &written.placed {
        if let Some((from, to)) = label.leader {
            svg.line(from, to, QUIET, 0.13);
            svg.circle(to, 0.35, QUIET, "none", 0.0);
        }
    }
    for f in &written.fixed {
        let mut look = Text::new(TYPE_MM, f.colour).halo(PAPER);
        look.anchor = f.anchor;
        if f.turned {
            let turn = format!("rotate(-90 {} {})", number(f.at[0]), number(f.at[1]));
            svg.open("g", &[("transform", &turn)]);
            svg.text(f.at, &f.words, look);
            svg.close();
        } else {
            svg.text(f.at, &f.words, look);
        }
    }
    for (label, colour) in &written.placed {
        for (line, at) in &label.lines {
            let look = Text::new(label.size, colour).halo(PAPER);
            svg.text(*at, line, if label.from_right { look.end() } else { look });
        }
    }
}

#[cfg(test)]
impl Written {
    /// Words and where they lie.
    pub fn areas(&self) -> Vec<(String, Area)> {
        let placed = self.placed.iter().map(|(w, _)| {
            let words: Vec<&str> = w.lines.iter().map(|(l, _)| l.as_str()).collect();
            (words.join(" "), w.area)
        });
        let fixed = self.fixed.iter().map(|f| (f.words.clone(), f.area));
        fixed.chain(placed).collect()
    }
}

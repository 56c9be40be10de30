//! One view on paper: lines, dimensions and words in millimetres of paper.
//!
//! A board knows how large a millimetre of the device is drawn and where the view's corner lies. Figures go
//! onto their dimension lines where they fit; all other words are placed last and together, so that none
//! covers another (see [`crate::labels`]).

use super::Speaks;
use super::bench::{Bench, Place, View};
use super::parts::Parts;
use super::silhouette::{P, thinned_line};
use super::words::{self, Words, Written};
use crate::colour::{INK, KELP, QUIET};
use crate::labels::width_of;
use crate::svg::{Svg, Text, number, polyline};

/// Size of names and values: 7.4 pt.
pub(crate) const TYPE_MM: f64 = 2.6;
const TITLE_MM: f64 = 3.1;
/// Width of a view's title on paper.
pub(crate) fn title_width(title: &str) -> f64 {
    width_of(title, TITLE_MM)
}

/// Kept above a view for its title.
pub(crate) const TITLE_STRIP_MM: f64 = 5.2;
/// Widths of lines.
pub(crate) const BOLD: f64 = 0.35;
pub(crate) const THIN: f64 = 0.18;
const ARROW_MM: f64 = 1.9;

/// How a line looks.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ink {
    pub fill: &'static str,
    pub stroke: &'static str,
    pub width: f64,
    pub dash: Option<&'static str>,
    /// Words keep off it.
    pub kept: bool,
}

impl Ink {
    pub const fn line(stroke: &'static str, width: f64) -> Ink {
        Ink {
            fill: "none",
            stroke,
            width,
            dash: None,
            kept: true,
        }
    }
    pub const fn filled(mut self, fill: &'static str) -> Ink {
        self.fill = fill;
        self
    }
    pub const fn dashed(mut self, dash: &'static str) -> Ink {
        self.dash = Some(dash);
        self
    }
    /// So faint that words may lie over it.
    pub const fn faint(mut self) -> Ink {
        self.kept = false;
        self
    }
}

/// Dashes of what is hidden, of an axis, and dots of what is not the device.
pub(crate) const HIDDEN: &str = "1.6 0.9";
pub(crate) const AXIS: &str = "5 0.9 0.9 0.9";
pub(crate) const DOTTED: &str = "0.05 0.8";

pub(crate) struct Stroke {
    pub d: String,
    pub ink: Ink,
}

/// The part of a view that is drawn (as seen, mm of the device) and the paper left round it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Frame {
    pub view: View,
    low: P,
    high: P,
    /// Left, top, right, bottom; millimetres of paper.
    margin: [f64; 4],
}

impl Frame {
    /// Holds two opposite places of the bench.
    pub fn of(bench: &Bench, view: View, places: [Place; 2], margin: [f64; 4]) -> Frame {
        let [a, b] = places.map(|p| bench.seen(view, p));
        Frame {
            view,
            low: [0, 1].map(|k| a[k].min(b[k])),
            high: [0, 1].map(|k| a[k].max(b[k])),
            margin,
        }
    }

    /// From the frame's top down to a place, on paper.
    pub fn down_to(&self, bench: &Bench, place: Place, scale: f64) -> f64 {
        let seen = bench.seen(self.view, place);
        (seen[1] - self.low[1]) * scale + self.margin[1] + TITLE_STRIP_MM
    }

    /// Width and height on paper.
    pub fn size(&self, scale: f64) -> P {
        let m = self.margin;
        [
            (self.high[0] - self.low[0]) * scale + m[0] + m[2],
            (self.high[1] - self.low[1]) * scale + m[1] + m[3] + TITLE_STRIP_MM,
        ]
    }
}

pub(crate) struct Board<'a> {
    bench: &'a Bench,
    view: View,
    scale: f64,
    corner: P,
    title: String,
    /// Width and height.
    pub size: P,
    strokes: Vec<Stroke>,
    words: Words,
    spoken: Option<&'a dyn Speaks>,
}

/// A view with its words placed.
pub(crate) struct Drawn {
    pub size: P,
    pub title: String,
    strokes: Vec<Stroke>,
    pub written: Written,
}

impl<'a> Board<'a> {
    /// The title as it is to be read.
    pub fn new(parts: &'a Parts<'_>, frame: &Frame, scale: f64, title: String) -> Board<'a> {
        let top = frame.margin[1] + TITLE_STRIP_MM;
        Board {
            bench: &parts.bench,
            view: frame.view,
            scale,
            corner: [
                frame.low[0] - frame.margin[0] / scale,
                frame.low[1] - top / scale,
            ],
            title,
            size: frame.size(scale),
            strokes: Vec::new(),
            words: Words::default(),
            spoken: parts.model.spoken,
        }
    }

    /// On paper, from a place as seen.
    pub fn paper(&self, seen: P) -> P {
        [0, 1].map(|k| (seen[k] - self.corner[k]) * self.scale)
    }

    /// On paper, from a place on the bench.
    pub fn at(&self, place: Place) -> P {
        self.paper(self.bench.seen(self.view, place))
    }

    /// Closed outlines, as seen; even and odd make holes.
    pub fn shape(&mut self, outlines: &[Vec<P>], ink: Ink) {
        let mut d = String::new();
        for outline in outlines {
            let mut places: Vec<P> = outline.iter().map(|p| self.paper(*p)).collect();
            d.push_str(&polyline(&places));
            d.push('Z');
            places.extend(places.first().copied());
            self.keep(&places, ink);
        }
        if !d.is_empty() {
            self.strokes.push(Stroke { d, ink });
        }
    }

    /// An open line through places on paper.
    pub fn line(&mut self, places: &[P], ink: Ink) {
        if places.len() > 1 {
            self.keep(places, ink);
            let d = polyline(places);
            self.strokes.push(Stroke { d, ink });
        }
    }

    fn keep(&mut self, places: &[P], ink: Ink) {
        if ink.kept {
            // A long outline is asked about for every place of every word: a third of a millimetre is fine enough.
            let places = thinned_line(places, 0.3);
            self.words
                .lines
                .extend(places.windows(2).map(|w| (w[0], w[1])));
        }
    }

    /// A small cross at a place on paper.
    pub fn cross(&mut self, at: P) {
        let reach = 1.7;
        for (dx, dy) in [(reach, 0.0), (0.0, reach)] {
            let ends = [[at[0] - dx, at[1] - dy], [at[0] + dx, at[1] + dy]];
            self.line(&ends, Ink::line(INK, 0.22).faint());
        }
        self.words.crosses.push(at);
    }

    fn said(&self, english: &str) -> String {
        // A letter beside a mark is the same in every language.
        let spoken = self.spoken.filter(|_| english.chars().count() > 1);
        spoken.map_or_else(|| english.to_owned(), |s| s.said(english))
    }

    fn figures(&self, text: &str) -> String {
        self.spoken
            .map_or_else(|| text.to_owned(), |s| s.figures(text))
    }

    /// A figure near a place on paper.
    pub fn figure(&mut self, text: &str, anchor: P) {
        let text = self.figures(text);
        self.words.near("", &text, anchor, INK);
    }

    /// Words near a place on paper.
    pub fn label(&mut self, name: &str, value: &str, anchor: P) {
        self.label_in(INK, name, value, anchor);
    }

    pub fn label_in(&mut self, colour: &'static str, name: &str, value: &str, anchor: P) {
        let (name, value) = (self.said(name), self.said(value));
        self.words.near(&name, &value, anchor, colour);
    }

    /// Words at a place on paper, whatever lies there; they begin there, or end there.
    pub fn word(&mut self, words: &str, at: P, from_right: bool) {
        self.words.at(&self.said(words), at, from_right, INK);
    }

    /// Words with their middle at a place on paper, along a line that runs `way`.
    pub fn along(&mut self, words: &str, at: P, way: P) {
        self.words.centred(&self.said(words), at, way, INK);
    }

    /// A dimension between two places on paper, its line shifted by `off`. The figure stands on the line,
    /// or beside one too short for it; where not even the arrows fit, it goes beyond `to`.
    pub fn dimension(&mut self, from: P, to: P, off: P, words: &str) {
        let words = &self.figures(words);
        let ink = Ink::line(QUIET, THIN);
        let shift = |p: P, by: f64| [p[0] + off[0] * by, p[1] + off[1] * by];
        let far = off[0].hypot(off[1]);
        if far > 1.5 {
            for p in [from, to] {
                self.line(&[shift(p, 0.8 / far), shift(p, 1.0 + 1.2 / far)], ink);
            }
        }
        let (a, b) = (shift(from, 1.0), shift(to, 1.0));
        let long = (b[0] - a[0]).hypot(b[1] - a[1]);
        if long.is_nan() || long <= 1e-6 {
            return;
        }
        let way = [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
        let on = |s: f64| [a[0] + way[0] * s, a[1] + way[1] * s];
        // Where there is no room between, the heads stand outside and point inward.
        let inside = long > 3.2 * ARROW_MM;
        let sign = if inside { 1.0 } else { -1.0 };
        self.arrow(a, [way[0] * sign, way[1] * sign], QUIET);
        self.arrow(b, [-way[0] * sign, -way[1] * sign], QUIET);
        if !inside {
            let tail = 2.2 * ARROW_MM;
            self.line(&[on(-tail), a], ink);
            self.line(&[b, on(long + tail)], ink);
            self.words.near("", words, on(long + tail), INK);
            return;
        }
        let figure = width_of(words, TYPE_MM) + 1.2;
        if long < figure + 2.0 * ARROW_MM {
            self.line(&[a, b], ink);
            self.words.near("", words, on(long / 2.0), INK);
            return;
        }
        // The line leaves a gap for its figure.
        let gap = self.words.on_line(words, on, long, figure, way);
        self.line(&[a, on(gap - figure / 2.0)], ink);
        self.line(&[on(gap + figure / 2.0), b], ink);
    }

    /// A filled head whose tip is at a place; `way` leads from the tip along its shaft.
    pub fn arrow(&mut self, tip: P, way: P, colour: &'static str) {
        let (back, half) = (ARROW_MM, 0.22 * ARROW_MM);
        let at = |s: f64| {
            [
                tip[0] + way[0] * back - way[1] * half * s,
                tip[1] + way[1] * back + way[0] * half * s,
            ]
        };
        self.strokes.push(Stroke {
            d: format!("{}Z", polyline(&[tip, at(1.0), at(-1.0)])),
            ink: Ink::line(colour, 0.05).filled(colour),
        });
    }

    /// The ground: a line with strokes leaning away under it, between two places on paper.
    pub fn ground(&mut self, from: P, to: P, down: P) {
        self.line(&[from, to], Ink::line(INK, 0.3));
        let way = [to[0] - from[0], to[1] - from[1]];
        let long = way[0].hypot(way[1]);
        let count = (long / 2.6).floor().max(0.0) as usize;
        let mut d = String::new();
        for n in 0..count {
            let t = (n as f64 + 0.5) / count as f64;
            let at = [from[0] + way[0] * t, from[1] + way[1] * t];
            let lean = [0, 1].map(|k| at[k] + 1.1 * (down[k] - way[k].abs() / long));
            d.push_str(&polyline(&[at, lean]));
        }
        let ink = Ink::line(QUIET, 0.13);
        self.strokes.push(Stroke { d, ink });
        let under = |p: P| [0, 1].map(|k| p[k] + 0.8 * down[k]);
        self.words.lines.push((under(from), under(to)));
    }

    /// Which side is which, under the ground's ends.
    pub fn sides(&mut self, left: P, right: P) {
        let [l, r] = if self.bench.inner_is_left() {
            ["inner side", "outer side"]
        } else {
            ["outer side", "inner side"]
        };
        self.words.at(&self.said(l), left, false, KELP);
        self.words.at(&self.said(r), right, true, KELP);
    }

    /// Places all words.
    pub fn drawn(self) -> Drawn {
        let area = [0.0, TITLE_STRIP_MM, self.size[0], self.size[1]];
        Drawn {
            size: self.size,
            title: self.title,
            strokes: self.strokes,
            written: self.words.written(area),
        }
    }
}

impl Drawn {
    /// Draws the view with its upper left corner at a place.
    pub fn draw(&self, svg: &mut Svg, corner: P) {
        let moved = format!("translate({} {})", number(corner[0]), number(corner[1]));
        svg.open("g", &[("transform", &moved)]);
        svg.text(
            [0.0, TITLE_MM],
            &self.title,
            Text::new(TITLE_MM, KELP).bold(),
        );
        for Stroke { d, ink } in &self.strokes {
            let width = number(ink.width);
            let mut look = vec![
                ("d", d.as_str()),
                ("fill", ink.fill),
                ("fill-rule", "evenodd"),
                ("stroke", ink.stroke),
                ("stroke-width", &width),
                ("stroke-linejoin", "round"),
                ("stroke-linecap", "round"),
            ];
            if let Some(dash) = ink.dash {
                look.push(("stroke-dasharray", dash));
            }
            svg.element("path", &look);
        }
        words::draw(svg, &self.written);
        svg.close();
    }
}

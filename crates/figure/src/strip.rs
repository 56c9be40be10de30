//! One value against its yardsticks: a short strip with bands, a mark and a whisker for the 95 %
//! interval. The place is told by the mark's shape as well as by its word.

use crate::colour::*;
use crate::labels::width_of;
use crate::svg::{Svg, Text};

/// Where the value lies; the caller has decided it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    Inside,
    Outside,
    Straddles,
    SourcesDiffer,
    /// There is a yardstick, but none that may judge.
    NotJudged,
    NoYardstick,
}

impl Place {
    pub fn word(self) -> &'static str {
        match self {
            Place::Inside => "inside",
            Place::Outside => "outside",
            Place::Straddles => "straddles",
            Place::SourcesDiffer => "sources differ",
            Place::NotJudged => "not judged",
            Place::NoYardstick => "no yardstick",
        }
    }
}

#[derive(Debug, Clone)]
pub struct StripModel {
    pub title: String,
    pub value: f64,
    pub interval_95: (f64, f64),
    /// Bands from norms, drawn on top of each other: lower, upper (`None` = open end).
    pub bands: Vec<(Option<f64>, Option<f64>)>,
    /// Printed cut-offs.
    pub cuts: Vec<f64>,
    pub place: Place,
    /// Drawing width and height.
    pub size: (f64, f64),
}

/// Draws the strip; its scale is chosen so that bands, cuts, value and whisker all fit.
pub fn strip_svg(model: &StripModel) -> String {
    let (width, height) = model.size;
    let mut svg = Svg::new(width, height, &model.title, model.place.word());
    let (low, high) = domain(model);
    let x = |v: f64| 8.0 + (v - low) / (high - low) * (width - 16.0);
    let middle = height * 0.5;
    svg.line([4.0, middle], [width - 4.0, middle], RULE, 1.0);
    for (lower, upper) in &model.bands {
        let (from, to) = (lower.map_or(4.0, x), upper.map_or(width - 4.0, x));
        svg.element(
            "rect",
            &[
                ("x", &crate::svg::number(from.min(to))),
                ("y", &crate::svg::number(middle - height * 0.24)),
                ("width", &crate::svg::number((to - from).abs().max(1.0))),
                ("height", &crate::svg::number(height * 0.48)),
                ("fill", KELP_PALE),
                ("fill-opacity", "0.75"),
                ("stroke", KELP),
                ("stroke-opacity", "0.45"),
                ("stroke-width", "0.6"),
            ],
        );
    }
    for cut in &model.cuts {
        svg.line(
            [x(*cut), middle - height * 0.34],
            [x(*cut), middle + height * 0.34],
            QUIET,
            1.0,
        );
    }
    let (a, b) = (x(model.interval_95.0), x(model.interval_95.1));
    svg.line([a, middle], [b, middle], INK, 1.6);
    svg.line([a, middle - 3.0], [a, middle + 3.0], INK, 1.2);
    svg.line([b, middle - 3.0], [b, middle + 3.0], INK, 1.2);
    mark(&mut svg, [x(model.value), middle], model.place, 4.6);
    svg.finish()
}

/// Inside: filled dot. Outside: filled diamond. Straddles: half-filled diamond. Sources differ: split
/// dot. Not judged, or no yardstick: open ring.
pub fn mark(svg: &mut Svg, at: [f64; 2], place: Place, r: f64) {
    let [x, y] = at;
    let n = crate::svg::number;
    let diamond = |r: f64| {
        format!(
            "M{} {}L{} {}L{} {}L{} {}Z",
            n(x),
            n(y - r),
            n(x + r),
            n(y),
            n(x),
            n(y + r),
            n(x - r),
            n(y)
        )
    };
    match place {
        Place::Inside => {
            svg.circle(at, r * 0.86, INK, PAPER, 1.0);
        }
        Place::Outside => {
            svg.path(&diamond(r * 1.2), BRICK, PAPER, 1.0);
        }
        Place::Straddles => {
            svg.path(&diamond(r * 1.2), PAPER, OCHRE, 1.4);
            svg.path(
                &format!(
                    "M{} {}L{} {}L{} {}Z",
                    n(x),
                    n(y - r * 1.2),
                    n(x),
                    n(y + r * 1.2),
                    n(x - r * 1.2),
                    n(y)
                ),
                OCHRE,
                "none",
                0.0,
            );
        }
        Place::SourcesDiffer => {
            svg.circle(at, r * 0.86, PAPER, OCHRE, 1.4);
            svg.line([x, y - r * 0.86], [x, y + r * 0.86], OCHRE, 1.4);
        }
        Place::NotJudged | Place::NoYardstick => {
            svg.circle(at, r * 0.86, PAPER, INK, 1.4);
        }
    }
}

fn domain(model: &StripModel) -> (f64, f64) {
    let mut all = vec![model.value, model.interval_95.0, model.interval_95.1];
    all.extend(model.bands.iter().flat_map(|b| [b.0, b.1]).flatten());
    all.extend(&model.cuts);
    all.retain(|v| v.is_finite());
    let low = all.iter().copied().fold(f64::INFINITY, f64::min);
    let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !(high - low).is_finite() {
        return (0.0, 1.0);
    }
    let margin = ((high - low) * 0.12).max(0.5);
    (low - margin, high + margin)
}

/// The key to the marks, for the foot of a sheet.
pub fn legend_svg(width: f64) -> String {
    legend_svg_in(
        width,
        "Key to the marks: dot inside, filled diamond outside, half-filled diamond straddles, split dot sources differ, ring not judged or no yardstick",
        [
            Place::Inside.word(),
            Place::Outside.word(),
            Place::Straddles.word(),
            Place::SourcesDiffer.word(),
            "not judged, or no yardstick",
        ],
    )
}

/// The same in the words of another language: what it is, and the five places in their order.
pub fn legend_svg_in(width: f64, title: &str, words: [&str; 5]) -> String {
    let mut svg = Svg::new(width, 18.0, title, "");
    // One after the other, with the room that is left shared between them: words differ in length by language.
    let taken = words.map(|w| 9.0 + width_of(w, 10.0));
    let left = width - 16.0 - taken.iter().sum::<f64>();
    let gap = (left / 4.0).clamp(6.0, 40.0);
    let mut x = 8.0;
    for (i, place) in [
        Place::Inside,
        Place::Outside,
        Place::Straddles,
        Place::SourcesDiffer,
        Place::NoYardstick,
    ]
    .into_iter()
    .enumerate()
    {
        mark(&mut svg, [x, 9.0], place, 4.6);
        svg.text([x + 9.0, 12.5], words[i], Text::new(10.0, INK));
        x += taken[i] + gap;
    }
    svg.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model(place: Place) -> StripModel {
        StripModel {
            title: "Calcaneal pitch".into(),
            value: 14.0,
            interval_95: (12.0, 16.0),
            bands: vec![(Some(17.0), Some(30.0)), (None, Some(18.0))],
            cuts: vec![18.0],
            place,
            size: (180.0, 22.0),
        }
    }

    #[test]
    fn every_place_has_its_own_shape() {
        let all = [
            Place::Inside,
            Place::Outside,
            Place::Straddles,
            Place::SourcesDiffer,
            Place::NoYardstick,
        ];
        let mut drawn: Vec<String> = all
            .iter()
            .map(|p| strip_svg(&model(*p)).replace(p.word(), ""))
            .collect();
        drawn.sort();
        drawn.dedup();
        assert_eq!(drawn.len(), all.len());
    }

    #[test]
    fn a_value_that_is_no_number_still_gives_a_drawing() {
        let mut m = model(Place::NoYardstick);
        m.value = f64::NAN;
        m.interval_95 = (f64::NEG_INFINITY, f64::INFINITY);
        assert!(!strip_svg(&m).contains("NaN"));
    }
}

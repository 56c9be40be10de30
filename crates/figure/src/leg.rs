//! A leg and foot seen from the inner side, drawn to its own measures: where each girth was taken, and
//! where the bony prominence lies that a brace has to leave free.
//!
//! Only what was measured is labelled; the outline between is drawn as legs usually are and says so.

use crate::colour::*;
use crate::svg::{Svg, Text, number};

/// Lengths in millimetres; heights above the floor; a missing one is not drawn as if it were known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LegModel {
    pub title: String,
    pub foot_length: Option<f64>,
    pub navicular_height: Option<f64>,
    /// Name, height above the floor, and what was measured there in words.
    pub levels: Vec<LegLevel>,
    pub prominence: Option<Prominence>,
    pub words: LegWords,
}

/// What stands on the drawing besides names and measures.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LegWords {
    pub inner_ankle: String,
    /// Where the foot's length is not recorded.
    pub outline_only: String,
    pub nothing: String,
}

impl LegModel {
    /// The same in words, for those who cannot see it.
    pub fn spoken(&self) -> String {
        spoken(self, self.prominence.as_ref())
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct LegLevel {
    pub words: String,
    pub height: f64,
}

/// Where bone pushes out on the inner side.
#[derive(Debug, Clone, PartialEq)]
pub struct Prominence {
    /// From the rearmost point of the heel forwards.
    pub from_heel: f64,
    /// Of its middle above the floor.
    pub above_floor: f64,
    pub length: f64,
    pub height: f64,
    /// How large it is and how far it stands out; and where it is: a line of words each.
    pub words: [String; 2],
}

/// Drawn where nothing says how long the foot is; the drawing then says that it is no measure.
const USUAL_LENGTH: f64 = 250.0;
const LEG_TOP: f64 = 400.0;

pub fn leg_svg(m: &LegModel) -> String {
    let m = &drawable(m);
    let long = m.foot_length.filter(|l| (80.0..=400.0).contains(l));
    let length = long.unwrap_or(USUAL_LENGTH);
    let k = length / USUAL_LENGTH;
    let top = m
        .levels
        .iter()
        .map(|l| l.height + 40.0)
        .fold(LEG_TOP * k, f64::max)
        .min(700.0);
    // The heel's rearmost point is 0, the floor is 0, up is plus.
    let (left, right, below) = (-40.0, length + 190.0, -45.0);
    let prominence = m.prominence.as_ref().filter(|p| inside(p, length, top));
    let mut svg = Svg::with_view(
        [left, -top - 24.0, right, -below],
        &m.title,
        &spoken(m, prominence),
    );
    let y = |up: f64| -up;
    svg.line([left, 0.0], [length + 30.0, 0.0], QUIET, 1.2);
    svg.path(&outline(k, top), KELP_PALE, INK, 1.4);
    // The inner ankle bone, for the eye to find its way.
    svg.circle([62.0 * k, y(82.0 * k)], 11.0 * k, "none", QUIET, 1.0);
    svg.text(
        [62.0 * k, y(100.0 * k)],
        &m.words.inner_ankle,
        Text::new(8.0, QUIET).middle(),
    );
    for level in m.levels.iter().filter(|l| (0.0..top).contains(&l.height)) {
        let at = y(level.height);
        svg.line([4.0, at], [length * 0.62, at], OCHRE, 1.0);
        svg.text(
            [length * 0.62 + 6.0, at + 3.0],
            &level.words,
            Text::new(9.0, INK),
        );
    }
    if let Some(height) = m.navicular_height.filter(|h| (0.0..200.0).contains(h)) {
        let at = [length * 0.42, y(height)];
        svg.line([at[0], 0.0], at, QUIET, 0.8);
        svg.circle(at, 2.4, INK, INK, 0.5);
    }
    if let Some(p) = prominence {
        svg.element(
            "ellipse",
            &[
                ("cx", &number(p.from_heel)),
                ("cy", &number(y(p.above_floor))),
                ("rx", &number((p.length / 2.0).max(2.0))),
                ("ry", &number((p.height / 2.0).max(2.0))),
                ("fill", BRICK),
                ("fill-opacity", "0.25"),
                ("stroke", BRICK),
                ("stroke-width", "1.6"),
            ],
        );
        let (x, at) = (p.from_heel, y(p.above_floor));
        svg.line([x, at], [x, 16.0], BRICK, 0.8);
        for (line, words) in p.words.iter().enumerate() {
            let down = 26.0 + 11.0 * line as f64;
            svg.text([left + 2.0, down], words, Text::new(9.0, BRICK).bold());
        }
    }
    if long.is_none() {
        svg.text(
            [left + 2.0, -top - 10.0],
            &m.words.outline_only,
            Text::new(9.0, QUIET),
        );
    }
    svg.finish()
}

/// Without levels whose height is no number.
fn drawable(m: &LegModel) -> LegModel {
    let mut m = m.clone();
    m.levels.retain(|l| l.height.is_finite());
    m
}

fn inside(p: &Prominence, length: f64, top: f64) -> bool {
    (0.0..=length).contains(&p.from_heel)
        && (0.0..=top).contains(&p.above_floor)
        && (0.0..=150.0).contains(&p.length)
        && (0.0..=150.0).contains(&p.height)
}

fn spoken(m: &LegModel, prominence: Option<&Prominence>) -> String {
    let mut said: Vec<String> = m.levels.iter().map(|l| l.words.clone()).collect();
    said.extend(prominence.map(|p| p.words.join("; ")));
    if said.is_empty() {
        said.push(m.words.nothing.clone());
    }
    said.join("; ")
}

/// An invented leg and foot, 250 mm long at `k` = 1.
fn outline(k: f64, top: f64) -> String {
    let p = |x: f64, up: f64| format!("{} {}", number(x * k), number(-up * k));
    let edge = |x: f64| format!("{} {}", number(x * k), number(-top));
    [
        format!("M {}", edge(6.0)),
        format!(
            "C {}, {}, {}",
            p(-8.0, 270.0),
            p(8.0, 190.0),
            p(14.0, 120.0)
        ),
        format!("C {}, {}, {}", p(14.0, 80.0), p(-4.0, 60.0), p(0.0, 26.0)),
        format!("C {}, {}, {}", p(1.0, 8.0), p(12.0, 0.0), p(30.0, 0.0)),
        format!("C {}, {}, {}", p(66.0, 0.0), p(84.0, 14.0), p(112.0, 15.0)),
        format!("C {}, {}, {}", p(140.0, 15.0), p(156.0, 0.0), p(186.0, 0.0)),
        format!(
            "C {}, {}, {}",
            p(214.0, 0.0),
            p(252.0, -2.0),
            p(250.0, 14.0)
        ),
        format!(
            "C {}, {}, {}",
            p(248.0, 26.0),
            p(216.0, 32.0),
            p(196.0, 42.0)
        ),
        format!(
            "C {}, {}, {}",
            p(150.0, 64.0),
            p(116.0, 92.0),
            p(106.0, 130.0)
        ),
        format!(
            "C {}, {}, {} Z",
            p(100.0, 190.0),
            p(116.0, 270.0),
            edge(112.0)
        ),
    ]
    .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model() -> LegModel {
        LegModel {
            title: "Left leg".into(),
            foot_length: Some(262.0),
            navicular_height: Some(31.0),
            levels: vec![LegLevel {
                words: "ankle girth 231 mm, 95 mm up".into(),
                height: 95.0,
            }],
            prominence: Some(Prominence {
                from_heel: 105.0,
                above_floor: 28.0,
                length: 26.0,
                height: 18.0,
                words: [
                    "leave free: 26 × 18 mm, 7 mm out".into(),
                    "105 mm from the heel, 28 mm up".into(),
                ],
            }),
            words: LegWords {
                inner_ankle: "inner ankle".into(),
                outline_only: "the foot's length is not recorded".into(),
                nothing: "nothing measured".into(),
            },
        }
    }

    #[test]
    fn a_prominence_lies_where_it_was_measured() {
        let svg = leg_svg(&model());
        assert!(
            svg.contains(r#"<ellipse cx="105" cy="-28" rx="13" ry="9""#),
            "{svg}"
        );
        for words in [
            "leave free: 26 × 18 mm, 7 mm out",
            "105 mm from the heel, 28 mm up",
        ] {
            assert!(svg.contains(&format!(">{words}<")), "{svg}");
        }
        assert!(svg.contains("ankle girth 231 mm"));
    }

    #[test]
    fn what_was_not_measured_is_not_drawn_and_an_unknown_length_is_said() {
        let svg = leg_svg(&LegModel {
            words: model().words,
            ..LegModel::default()
        });
        assert!(!svg.contains("<ellipse") && svg.contains("length is not recorded"));
        assert!(!leg_svg(&model()).contains("length is not recorded"));
    }

    #[test]
    fn numbers_that_are_none_leave_a_drawing_that_holds_none() {
        let mut odd = model();
        odd.foot_length = Some(f64::NAN);
        odd.levels[0].height = f64::INFINITY;
        if let Some(p) = &mut odd.prominence {
            p.from_heel = f64::NAN;
        }
        let svg = leg_svg(&odd);
        assert!(!svg.contains("NaN") && !svg.contains("inf") && !svg.contains("<ellipse"));
    }
}

//! What sole is drawn where there is no scan?
//!
//! A smooth sole from a few measurements, and from the outline of a print where there is one. It is marked as
//! built ([`Origin::Built`]) and says nothing about this foot beyond the numbers it was given: where the arch
//! rises, how round the heel is and where the toes lie are usual proportions.
//!
//! # Sources
//! Proportions along the foot: ball-of-foot length is 0.74 of foot length (ANSUR II, computed from the public
//! survey). Everything else that is not asked for is own judgement: the arch's top at 0.47 of the length, the
//! fifth head at 0.64, a clearance of 0.4 of the navicular's height.

use crate::foot::{Foot, Mark, Origin, Placed, Points};
use crate::sole::Sole;
use serde::{Deserialize, Serialize};
use terms::Side;

/// What was measured on the foot, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measures {
    /// Heel to the longest toe.
    pub foot_length: f64,
    /// Across the heads, inner to outer border.
    pub ball_width: f64,
    /// Across the heel.
    pub heel_width: f64,
    /// Navicular tuberosity above the ground.
    pub navicular_height: f64,
    /// Length of the heel pad on the ground; `None` takes a usual share of the foot's length.
    #[serde(default)]
    pub heel_pad_length: Option<f64>,
    /// Outline of a print, in the foot frame: x from the rearmost heel, y inward from the long axis.
    #[serde(default)]
    pub print: Vec<[f64; 2]>,
}

/// Measurements that no foot has.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("found {found} as {what}; expected {expected}: measure again in mm")]
pub struct BadMeasure {
    pub what: &'static str,
    pub found: String,
    pub expected: &'static str,
}

/// Where along the foot, as shares of its length.
const FIRST_HEAD: f64 = 0.74;
const FIFTH_HEAD: f64 = 0.64;
const ARCH_TOP: f64 = 0.47;
const HEEL_MIDDLE: f64 = 0.13;
/// Usual length of the heel pad on the ground.
const HEEL_PAD: f64 = 0.26;
/// Skin under the arch above the ground, as a share of the navicular's height.
const CLEARANCE: f64 = 0.40;
/// Grid of a built sole.
const STEP_MM: f64 = 0.5;
/// Most corners of a print that are looked at.
const MOST_CORNERS: usize = 20_000;

/// Draws a sole.
///
/// # Errors
/// A measurement outside what feet from a small child's to the largest have, or a print that is no outline.
pub fn built(measures: &Measures, side: Side) -> Result<Foot, BadMeasure> {
    check(measures)?;
    let shape = Shape::new(measures);
    let length = measures.foot_length;
    let size = [
        (length / STEP_MM).ceil() as usize + 9,
        (1.2 * measures.ball_width / STEP_MM).ceil() as usize + 9,
    ];
    let origin = [
        -4.0 * STEP_MM,
        ((shape.outer_most - 0.1 * measures.ball_width) / STEP_MM).floor() * STEP_MM,
    ];
    let heights = (0..size[0] * size[1])
        .map(|at| {
            let x = origin[0] + (at % size[0]) as f64 * STEP_MM;
            let y = origin[1] + (at / size[0]) as f64 * STEP_MM;
            shape.height(x, y).unwrap_or(f64::NAN)
        })
        .collect();
    let mark = |x: f64, y: f64, z: Option<f64>| Mark {
        at: [x, y, z.or_else(|| shape.height(x, y)).unwrap_or(0.0)],
        placed: Placed::Built,
    };
    let (first, fifth) = (FIRST_HEAD * length, FIFTH_HEAD * length);
    let (_, inner) = shape.borders(first).unwrap_or_default();
    let (outer, _) = shape.borders(fifth).unwrap_or_default();
    let top = ARCH_TOP * length;
    let (_, beside) = shape.borders(top).unwrap_or_default();
    Ok(Foot {
        side,
        skin: None,
        sole: Sole {
            origin,
            step: STEP_MM,
            size,
            heights,
        },
        points: Points {
            first_head: mark(first, inner - 0.15 * measures.ball_width, None),
            fifth_head: mark(fifth, outer + 0.10 * measures.ball_width, None),
            heel_centre: mark(HEEL_MIDDLE * length, 0.0, None),
            navicular: mark(top, beside, Some(measures.navicular_height)),
            toe_tip: mark(length, shape.tip, Some(0.05 * length)),
        },
        origin: Origin::Built {
            with_print: !measures.print.is_empty(),
        },
    })
}

fn check(m: &Measures) -> Result<(), BadMeasure> {
    let range = |what, value: f64, (low, high): (f64, f64), expected| {
        if (low..=high).contains(&value) {
            Ok(())
        } else {
            Err(BadMeasure {
                what,
                found: format!("{value} mm"),
                expected,
            })
        }
    };
    range(
        "the foot's length",
        m.foot_length,
        (110.0, 340.0),
        "110 to 340 mm",
    )?;
    let share = |value: f64| value / m.foot_length;
    range(
        "the ball's width",
        m.ball_width,
        (0.26 * m.foot_length, 0.55 * m.foot_length),
        "26 to 55 % of the foot's length",
    )?;
    range(
        "the heel's width",
        m.heel_width,
        (0.16 * m.foot_length, 0.40 * m.foot_length),
        "16 to 40 % of the foot's length",
    )?;
    if share(m.heel_width) > share(m.ball_width) {
        return Err(BadMeasure {
            what: "the heel's width",
            found: format!("{} mm, more than the ball's", m.heel_width),
            expected: "less than the ball's width",
        });
    }
    range(
        "the navicular's height",
        m.navicular_height,
        (5.0, 0.35 * m.foot_length),
        "5 mm to 35 % of the foot's length",
    )?;
    if let Some(pad) = m.heel_pad_length {
        range(
            "the heel pad's length",
            pad,
            (0.15 * m.foot_length, 0.40 * m.foot_length),
            "15 to 40 % of the foot's length",
        )?;
    }
    let inside = |p: &[f64; 2]| {
        p[0] > -0.1 * m.foot_length
            && p[0] < 1.1 * m.foot_length
            && p[1].abs() < 0.6 * m.foot_length
    };
    if !m.print.is_empty()
        && (m.print.len() < 3 || m.print.len() > MOST_CORNERS || !m.print.iter().all(inside))
    {
        return Err(BadMeasure {
            what: "the print",
            found: format!("{} corners, or one beside the foot", m.print.len()),
            expected: "an outline of 3 to 20,000 corners on the foot, from the heel's back along its long axis",
        });
    }
    Ok(())
}

/// Borders, arch and walls as functions of the place.
struct Shape<'a> {
    of: &'a Measures,
    inner: Curve,
    outer: Curve,
    outer_most: f64,
    tip: f64,
}

impl Shape<'_> {
    fn new(of: &Measures) -> Shape<'_> {
        let half_heel = of.heel_width / 2.0;
        // The ball lies a little inward of the heel's axis.
        let outer_ball = -0.50 * of.ball_width;
        let inner_ball = of.ball_width + outer_ball;
        let tip = 0.12 * of.ball_width;
        let waist = |heel: f64, ball: f64| heel + 0.35 * (ball - heel);
        let inner = Curve::through(&[
            (0.0, half_heel),
            (HEEL_MIDDLE, half_heel),
            (0.40, waist(half_heel, inner_ball) * 0.98),
            (FIRST_HEAD, inner_ball),
            (0.90, 0.86 * inner_ball),
            (1.0, 0.80 * inner_ball),
        ]);
        let outer = Curve::through(&[
            (0.0, -half_heel),
            (HEEL_MIDDLE, -half_heel),
            (0.40, waist(-half_heel, outer_ball)),
            (FIFTH_HEAD, outer_ball),
            (0.85, 0.80 * outer_ball),
            (1.0, 0.62 * outer_ball),
        ]);
        Shape {
            of,
            inner,
            outer,
            outer_most: outer_ball,
            tip,
        }
    }

    /// Outer and inner border over x; `None` beyond both ends of the foot.
    fn borders(&self, x: f64) -> Option<(f64, f64)> {
        let share = x / self.of.foot_length;
        if !(0.0..=1.0).contains(&share) {
            return None;
        }
        // Both ends are round: a quarter of an ellipse behind the heel's middle and over the toes.
        let rear = ((HEEL_MIDDLE - share) / HEEL_MIDDLE).clamp(0.0, 1.0);
        let front = ((share - 0.80) / 0.20).clamp(0.0, 1.0);
        let round = (1.0 - rear * rear).sqrt() * (1.0 - front.powi(3)).sqrt();
        let middle = self.tip * ((share - 0.80) / 0.20).clamp(0.0, 1.0);
        let toward = |y: f64| middle + (y - middle) * round;
        let (outer, inner) = (toward(self.outer.at(share)), toward(self.inner.at(share)));
        (inner - outer > 0.2).then_some((outer, inner))
    }

    fn height(&self, x: f64, y: f64) -> Option<f64> {
        let (outer, inner) = self.borders(x)?;
        if y <= outer || y >= inner {
            return None;
        }
        let length = self.of.foot_length;
        let share = x / length;
        let u = (2.0 * y - inner - outer) / (inner - outer);
        let wall = 0.085 * length * (1.0 - (1.0 - u.abs().powi(3)).sqrt());
        let rear = ((0.10 - share) / 0.10).max(0.0);
        let back = 0.055 * length * (1.0 - (1.0 - rear.powi(3)).max(0.0).sqrt());
        let toes = ((share - 0.80) / 0.20).max(0.0);
        let spring = 0.03 * length * toes * toes;
        Some(self.arch(x, y, inner, outer) + wall + back + spring)
    }

    /// Skin under the arch: nothing on the outer border, most on the inner one at the arch's top.
    fn arch(&self, x: f64, y: f64, inner: f64, outer: f64) -> f64 {
        let length = self.of.foot_length;
        let begins = self.of.heel_pad_length.unwrap_or(HEEL_PAD * length);
        let ends = (FIRST_HEAD - 0.06) * length;
        let top = ARCH_TOP * length;
        let along = if x < top {
            (x - begins) / (top - begins)
        } else {
            (ends - x) / (ends - top)
        }
        .clamp(0.0, 1.0);
        let along = along * along * (3.0 - 2.0 * along);
        let foot_of_arch = self
            .print_border(x)
            .unwrap_or(outer + 0.36 * (inner - outer))
            .clamp(outer, inner - 2.0);
        let across = ((y - foot_of_arch) / (inner - foot_of_arch)).clamp(0.0, 1.0);
        CLEARANCE * self.of.navicular_height * along * across * across * (2.0 - across)
    }

    /// Innermost place of the print over x.
    fn print_border(&self, x: f64) -> Option<f64> {
        let print = &self.of.print;
        let mut innermost = None;
        for (n, a) in print.iter().enumerate() {
            let b = print[(n + 1) % print.len()];
            if (a[0] > x) != (b[0] > x) {
                let y = a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]);
                innermost = Some(innermost.map_or(y, |i: f64| i.max(y)));
            }
        }
        innermost
    }
}

/// A smooth curve through knots that does not overshoot them (Fritsch and Carlson's slopes, written from
/// memory; the tests hold that it stays between neighbouring knots).
struct Curve {
    knots: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl Curve {
    fn through(knots: &[(f64, f64)]) -> Curve {
        let rise: Vec<f64> = knots
            .windows(2)
            .map(|w| (w[1].1 - w[0].1) / (w[1].0 - w[0].0))
            .collect();
        let slopes = (0..knots.len())
            .map(|n| match (n.checked_sub(1).map(|m| rise[m]), rise.get(n)) {
                (Some(a), Some(&b)) if a * b > 0.0 => 2.0 * a * b / (a + b),
                _ => 0.0,
            })
            .collect();
        Curve {
            knots: knots.to_vec(),
            slopes,
        }
    }

    fn at(&self, x: f64) -> f64 {
        let last = self.knots.len() - 1;
        let n = self.knots.partition_point(|k| k.0 <= x).clamp(1, last) - 1;
        let ((x0, y0), (x1, y1)) = (self.knots[n], self.knots[n + 1]);
        let (h, t) = (x1 - x0, ((x - x0) / (x1 - x0)).clamp(0.0, 1.0));
        let (t2, t3) = (t * t, t * t * t);
        y0 * (2.0 * t3 - 3.0 * t2 + 1.0)
            + self.slopes[n] * h * (t3 - 2.0 * t2 + t)
            + y1 * (3.0 * t2 - 2.0 * t3)
            + self.slopes[n + 1] * h * (t3 - t2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measures() -> Measures {
        Measures {
            foot_length: 250.0,
            ball_width: 98.0,
            heel_width: 66.0,
            navicular_height: 42.0,
            heel_pad_length: None,
            print: Vec::new(),
        }
    }

    fn width_over(sole: &Sole, from: f64, to: f64) -> f64 {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for j in 0..sole.size[1] {
            for i in 0..sole.size[0] {
                let x = sole.origin[0] + i as f64 * sole.step;
                if (from..to).contains(&x) && sole.value(i, j).is_some() {
                    let y = sole.origin[1] + j as f64 * sole.step;
                    low = low.min(y);
                    high = high.max(y);
                }
            }
        }
        // Each border lies up to a step beyond the last value inside it: half of one on the average.
        high - low + sole.step
    }

    #[test]
    fn a_built_sole_has_the_dimensions_it_was_built_from() {
        for (length, ball, heel) in [
            (250.0, 98.0, 66.0),
            (150.0, 62.0, 45.0),
            (310.0, 104.0, 72.0),
        ] {
            let m = Measures {
                foot_length: length,
                ball_width: ball,
                heel_width: heel,
                navicular_height: 0.17 * length,
                ..measures()
            };
            let foot = built(&m, Side::Left).unwrap();
            let ball_found = width_over(&foot.sole, 0.5 * length, 0.85 * length);
            let heel_found = width_over(&foot.sole, 0.0, 0.14 * length);
            assert!((ball_found - ball).abs() < 1.0, "{ball_found} for {ball}");
            assert!((heel_found - heel).abs() < 1.0, "{heel_found} for {heel}");
            let tips: Vec<f64> = (0..foot.sole.size[0])
                .filter(|&i| (0..foot.sole.size[1]).any(|j| foot.sole.value(i, j).is_some()))
                .map(|i| foot.sole.origin[0] + i as f64 * foot.sole.step)
                .collect();
            assert!(tips[0].abs() < 1.0 && (tips[tips.len() - 1] - length).abs() < 1.0);
            assert_eq!(foot.points.navicular.at[2], 0.17 * length);
            assert!(matches!(foot.origin, Origin::Built { with_print: false }));
        }
    }

    #[test]
    fn a_print_says_where_the_arch_begins() {
        let narrow: Vec<[f64; 2]> =
            vec![[20.0, -30.0], [200.0, -35.0], [200.0, -20.0], [20.0, -15.0]];
        let broad = narrow
            .iter()
            .map(|p| [p[0], p[1] + if p[1] > -25.0 { 40.0 } else { 0.0 }])
            .collect();
        let arch = |print| {
            let foot = built(
                &Measures {
                    print,
                    ..measures()
                },
                Side::Right,
            )
            .unwrap();
            foot.sole.height(0.47 * 250.0, 5.0).unwrap()
        };
        assert!(arch(narrow) > arch(broad) + 1.0);
    }

    #[test]
    fn measures_that_no_foot_has_are_refused_in_one_sentence() {
        let said = |change: &dyn Fn(&mut Measures)| {
            let mut m = measures();
            change(&mut m);
            built(&m, Side::Right).unwrap_err().to_string()
        };
        assert_eq!(
            said(&|m| m.foot_length = 25.0),
            "found 25 mm as the foot's length; expected 110 to 340 mm: measure again in mm"
        );
        assert!(said(&|m| m.ball_width = f64::NAN).contains("NaN"));
        assert!(said(&|m| m.heel_width = 99.0).contains("more than the ball's"));
        assert!(said(&|m| m.print = vec![[0.0, 0.0]]).contains("1 corners"));
    }

    #[test]
    fn a_curve_stays_between_its_knots() {
        let curve = Curve::through(&[(0.0, 0.0), (0.3, 4.0), (0.5, 4.0), (1.0, 1.0)]);
        for n in 0..=100 {
            let x = f64::from(n) / 100.0;
            let y = curve.at(x);
            let (low, high) = if x < 0.3 {
                (0.0, 4.0)
            } else if x < 0.5 {
                (4.0, 4.0)
            } else {
                (1.0, 4.0)
            };
            assert!((low - 1e-12..=high + 1e-12).contains(&y), "{x}: {y}");
        }
    }
}

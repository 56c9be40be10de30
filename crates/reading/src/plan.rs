//! A measure compiled to indices: which points it takes and what is computed from them.
//!
//! The same code computes the bare value (`f64`) and the value with its exact gradient
//! ([`geometry::Dual`]), so that the two can never drift apart.

use crate::sheet::Refusal;
use geometry::{Dual, Line, Real, Vec2};
use knowledge::{LineExpr, Measure, PointExpr, ProjectionModel, Value};
use quantity::Unit;
use std::collections::BTreeMap;
use terms::{LandmarkKey, MeasureKey, View};

/// Shorter than this a line has no direction.
///
/// # Units
/// Pixels or millimetres; both are far below what a hand can place.
const NO_LENGTH: f64 = 1e-6;

/// A point as positions in the plan's own list of inputs.
#[derive(Debug, Clone, Copy)]
pub(crate) enum PointIx {
    One(usize),
    Mid(usize, usize),
}

#[derive(Debug, Clone, Copy)]
pub(crate) enum LineIx {
    Through(PointIx, PointIx),
    Bisector([PointIx; 2], [PointIx; 2]),
}

#[derive(Debug, Clone, Copy)]
pub(crate) enum ValueIx {
    Turn {
        from: LineIx,
        to: LineIx,
        sign: f64,
        offset: f64,
    },
    Elevation {
        line: LineIx,
        sign: f64,
    },
    Height {
        point: PointIx,
    },
    HeightDifference {
        point: PointIx,
        minus: PointIx,
    },
    HeightRatio {
        point: PointIx,
        back: PointIx,
        front: PointIx,
    },
    Along {
        from: PointIx,
        to: PointIx,
    },
    Uncovered {
        chord: [PointIx; 2],
        edge: PointIx,
    },
    HorizontalOffset {
        line: LineIx,
        point: PointIx,
    },
}

/// One measure, ready to be evaluated on any film.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    pub key: MeasureKey,
    pub unit: Unit,
    pub version: u32,
    /// The landmarks it takes, in the order of `inputs`.
    pub landmarks: Vec<LandmarkKey>,
    /// Where each landmark sits in the reader's table of the view.
    pub inputs: Vec<usize>,
    pub value: ValueIx,
    /// The direction of the floor moves the value.
    pub uses_tilt: bool,
    /// The level of the floor moves the value.
    pub uses_level: bool,
    /// The rotation of the foot is modelled for it.
    pub rotation: bool,
    /// A turned foot may move it, and that is not modelled: said on the reading, with these words.
    pub rotation_note: Option<String>,
    /// Nobody here has read where the construction comes from: said on the reading.
    pub from_memory: bool,
}

/// The value with its gradient by the frame coordinates of each input.
pub(crate) struct Evaluated {
    pub value: f64,
    /// One entry for each input of the plan; the rest is zero.
    pub gradient: [[f64; 2]; MOST_INPUTS],
}

impl Plan {
    /// Compiles a measure against the reader's table of landmarks.
    ///
    /// # Errors
    /// A sentence, where the measure names a line it does not define or a landmark that the view lacks.
    pub fn new(measure: &Measure, table: &BTreeMap<LandmarkKey, usize>) -> Result<Self, String> {
        let mut builder = Builder {
            measure,
            table,
            landmarks: Vec::new(),
        };
        let value = builder.value()?;
        let landmarks = builder.landmarks;
        let inputs = landmarks
            .iter()
            .filter_map(|k| table.get(k).copied())
            .collect();
        // Rotation about the upright axis turns a dorsoplantar film in its own plane: no angle moves.
        let modelled = measure.projection.model != ProjectionModel::NotModelled;
        let upright_in_film = measure.view != View::Dorsoplantar;
        Ok(Self {
            key: measure.key.clone(),
            unit: measure.unit,
            version: measure.version,
            landmarks,
            inputs,
            value,
            uses_tilt: !matches!(value, ValueIx::Turn { .. } | ValueIx::Uncovered { .. }),
            uses_level: matches!(value, ValueIx::Height { .. } | ValueIx::HeightRatio { .. }),
            from_memory: !measure.provenance.may_decide_alone(),
            rotation: modelled && upright_in_film,
            rotation_note: (!modelled).then(|| {
                format!(
                    "The error does not hold what a turned foot or beam does: {}",
                    measure.projection.words
                )
            }),
        })
    }

    /// The value at the frame coordinates `points` of the inputs, with its exact gradient.
    pub fn evaluate(&self, points: &[Vec2]) -> Evaluated {
        // The arrays fit the constructions of the trade (2 to 7 points); larger ones go in turns.
        match points.len() {
            0..=4 => self.gradient_by::<8, 4>(points),
            5..=7 => self.gradient_by::<14, 7>(points),
            _ => self.gradient_by::<16, MOST_INPUTS>(points),
        }
    }

    /// `N` partial derivatives at a time, `M` points at most.
    fn gradient_by<const N: usize, const M: usize>(&self, points: &[Vec2]) -> Evaluated {
        let mut out = Evaluated {
            value: f64::NAN,
            gradient: [[0.0; 2]; MOST_INPUTS],
        };
        let still = Vec2::new(Dual::<N>::constant(0.0), Dual::constant(0.0));
        let mut seeded = [still; M];
        for first in (0..points.len()).step_by(N / 2) {
            for (i, (p, seed)) in points.iter().zip(&mut seeded).enumerate() {
                let slot = if i < first { N } else { 2 * (i - first) };
                *seed = Vec2::new(Dual::variable(p.x, slot), Dual::variable(p.y, slot + 1));
            }
            let result = self.value_of(&seeded[..points.len()]);
            out.value = result.value;
            let filled = out.gradient[first..].iter_mut();
            for (g, pair) in filled.zip(result.gradient.chunks_exact(2)) {
                *g = [pair[0], pair[1]];
            }
        }
        out
    }

    /// The measure itself, in its unit.
    pub fn value_of<T: Real>(&self, points: &[Vec2<T>]) -> T {
        let at = |p: PointIx| point(p, points);
        match self.value {
            ValueIx::Turn {
                from,
                to,
                sign,
                offset,
            } => {
                let turn = line(from, points).along.turn_to(line(to, points).along);
                wrapped(degrees(turn).scaled(sign) + T::constant(offset), offset)
            }
            ValueIx::Elevation { line: l, sign } => {
                degrees(line(l, points).along.direction()).scaled(sign)
            }
            ValueIx::Height { point } => at(point).y,
            ValueIx::HeightDifference { point, minus } => at(point).y - at(minus).y,
            ValueIx::HeightRatio { point, back, front } => at(point).y / (at(front).x - at(back).x),
            ValueIx::Along { from, to } => at(to).x - at(from).x,
            ValueIx::Uncovered { chord, edge } => {
                Line::share_of_chord(at(chord[0]), at(chord[1]), at(edge)).scaled(100.0)
            }
            ValueIx::HorizontalOffset { line: l, point } => {
                let p = at(point);
                p.x - line(l, points).x_at(p.y)
            }
        }
    }

    /// Where the points allow no value, the reason.
    pub fn fault(&self, points: &[Vec2]) -> Option<Refusal> {
        let at = |p: PointIx| point(p, points);
        match self.value {
            ValueIx::Turn { from, to, .. } => self
                .line_fault(from, points)
                .or_else(|| self.line_fault(to, points)),
            ValueIx::Elevation { line, .. } => self.line_fault(line, points),
            ValueIx::HeightRatio { back, front, .. } => ((at(front).x - at(back).x) < NO_LENGTH)
                .then(|| {
                    self.no_angle(
                        "the front of the length does not lie before its back",
                        &[back, front],
                    )
                }),
            ValueIx::Uncovered { chord, .. } => self.span_fault(chord[0], chord[1], points),
            ValueIx::HorizontalOffset { line: l, .. } => {
                self.line_fault(l, points).or_else(|| {
                    let along = line(l, points).along;
                    // Prolonging a line that runs within 20° of the floor multiplies its error by 3.
                    let level = along.y.abs() < 20_f64.to_radians().sin() * along.length();
                    level.then(|| {
                        self.no_angle("the axis that has to be prolonged runs level", &ends(l))
                    })
                })
            }
            ValueIx::Height { .. } | ValueIx::HeightDifference { .. } | ValueIx::Along { .. } => {
                None
            }
        }
    }

    fn line_fault(&self, l: LineIx, points: &[Vec2]) -> Option<Refusal> {
        match l {
            LineIx::Through(from, to) => self.span_fault(from, to, points),
            LineIx::Bisector(upper, lower) => self
                .span_fault(upper[0], upper[1], points)
                .or_else(|| self.span_fault(lower[0], lower[1], points))
                .or_else(|| {
                    // Half the sum of two unit vectors: below 0.5 they open by more than 120°.
                    let apart = line(l, points).along.length() < 1.0;
                    apart.then(|| {
                        self.no_angle(
                            "the upper and lower margin do not run the same way",
                            &ends(l),
                        )
                    })
                }),
        }
    }

    fn span_fault(&self, from: PointIx, to: PointIx, points: &[Vec2]) -> Option<Refusal> {
        let length = point(to, points).minus(point(from, points)).length();
        (length < NO_LENGTH)
            .then(|| self.no_angle("the two ends of a line lie on the same spot", &[from, to]))
    }

    fn no_angle(&self, what: &str, at: &[PointIx]) -> Refusal {
        let points = at
            .iter()
            .flat_map(|p| match *p {
                PointIx::One(i) => vec![i],
                PointIx::Mid(i, j) => vec![i, j],
            })
            .filter_map(|i| self.landmarks.get(i).cloned())
            .collect();
        Refusal::NoAngle {
            what: what.into(),
            points,
        }
    }

    /// The lines to judge for length and to draw.
    pub fn lines(&self) -> Vec<LineIx> {
        match self.value {
            ValueIx::Turn { from, to, .. } => vec![from, to],
            ValueIx::Elevation { line, .. } | ValueIx::HorizontalOffset { line, .. } => vec![line],
            ValueIx::Uncovered { chord, .. } => vec![LineIx::Through(chord[0], chord[1])],
            _ => Vec::new(),
        }
    }
}

/// No construction of the trade takes more; a measure that does is refused when it is compiled.
pub(crate) const MOST_INPUTS: usize = 24;

fn ends(l: LineIx) -> Vec<PointIx> {
    match l {
        LineIx::Through(a, b) => vec![a, b],
        LineIx::Bisector([a, b], [c, d]) => vec![a, b, c, d],
    }
}

#[inline]
pub(crate) fn point<T: Real>(p: PointIx, points: &[Vec2<T>]) -> Vec2<T> {
    match p {
        PointIx::One(i) => points[i],
        PointIx::Mid(i, j) => points[i].midpoint(points[j]),
    }
}

#[inline]
pub(crate) fn line<T: Real>(l: LineIx, points: &[Vec2<T>]) -> Line<T> {
    match l {
        LineIx::Through(from, to) => Line::between(point(from, points), point(to, points)),
        LineIx::Bisector(upper, lower) => Line::bisector(
            [point(upper[0], points), point(upper[1], points)],
            [point(lower[0], points), point(lower[1], points)],
        ),
    }
}

fn degrees<T: Real>(radians: T) -> T {
    radians.scaled(180.0 / std::f64::consts::PI)
}

/// Into (−180°, 180°], unless the construction counts from a straight line (offset 180).
fn wrapped<T: Real>(angle: T, offset: f64) -> T {
    if offset == 180.0 {
        return angle;
    }
    match angle.value() {
        v if v > 180.0 => angle - T::constant(360.0),
        v if v <= -180.0 => angle + T::constant(360.0),
        _ => angle,
    }
}

struct Builder<'m> {
    measure: &'m Measure,
    table: &'m BTreeMap<LandmarkKey, usize>,
    landmarks: Vec<LandmarkKey>,
}

impl Builder<'_> {
    fn landmark(&mut self, key: &LandmarkKey) -> Result<usize, String> {
        if let Some(i) = self.landmarks.iter().position(|k| k == key) {
            return Ok(i);
        }
        if !self.table.contains_key(key) {
            return Err(format!(
                "the measure {} takes the point {key}, which is not a landmark of the {} view",
                self.measure.key,
                self.measure.view.words()
            ));
        }
        if self.landmarks.len() == MOST_INPUTS {
            return Err(format!(
                "the measure {} takes more than {MOST_INPUTS} points",
                self.measure.key
            ));
        }
        self.landmarks.push(key.clone());
        Ok(self.landmarks.len() - 1)
    }

    fn point(&mut self, expr: &PointExpr) -> Result<PointIx, String> {
        Ok(match expr {
            PointExpr::Landmark(key) => PointIx::One(self.landmark(key)?),
            PointExpr::Midpoint { mid: [a, b] } => {
                PointIx::Mid(self.landmark(a)?, self.landmark(b)?)
            }
        })
    }

    fn pair(&mut self, exprs: &[PointExpr; 2]) -> Result<[PointIx; 2], String> {
        Ok([self.point(&exprs[0])?, self.point(&exprs[1])?])
    }

    fn line(&mut self, name: &str) -> Result<LineIx, String> {
        match self.measure.lines.get(name) {
            Some(LineExpr::Through { from, to }) => {
                Ok(LineIx::Through(self.point(from)?, self.point(to)?))
            }
            Some(LineExpr::Bisector { upper, lower }) => {
                Ok(LineIx::Bisector(self.pair(upper)?, self.pair(lower)?))
            }
            None => Err(format!(
                "the measure {} names the line {name:?} that it does not define",
                self.measure.key
            )),
        }
    }

    fn value(&mut self) -> Result<ValueIx, String> {
        let measure = self.measure;
        Ok(match &measure.value {
            Value::Turn {
                from,
                to,
                sign,
                offset,
            } => ValueIx::Turn {
                from: self.line(from)?,
                to: self.line(to)?,
                sign: *sign,
                offset: *offset,
            },
            Value::Elevation { line, sign } => ValueIx::Elevation {
                line: self.line(line)?,
                sign: *sign,
            },
            Value::Height { point } => ValueIx::Height {
                point: self.point(point)?,
            },
            Value::HeightDifference { point, minus } => ValueIx::HeightDifference {
                point: self.point(point)?,
                minus: self.point(minus)?,
            },
            Value::HeightRatio { point, back, front } => ValueIx::HeightRatio {
                point: self.point(point)?,
                back: self.point(back)?,
                front: self.point(front)?,
            },
            Value::Along { from, to } => ValueIx::Along {
                from: self.point(from)?,
                to: self.point(to)?,
            },
            Value::Uncovered { chord, edge } => ValueIx::Uncovered {
                chord: self.pair(chord)?,
                edge: self.point(edge)?,
            },
            Value::HorizontalOffset { line, point } => ValueIx::HorizontalOffset {
                line: self.line(line)?,
                point: self.point(point)?,
            },
        })
    }
}

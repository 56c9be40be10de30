//! What of a reading is drawn over the sheet: lines and points in its cells.

use crate::index::Index;
use crate::loads::Loads;
use crate::measure::{Laid, Shape};
use crate::read::Drawn;
use crate::rings::Section;
use crate::sheet::Sheet;
use geometry::Vec2;

pub(crate) fn drawn(
    index: Index,
    sheet: &Sheet,
    laid: &Laid,
    shape: &Shape,
    loads: Option<&Loads>,
) -> Drawn {
    let cells = |p: Vec2| sheet.scale.in_cells(laid.frame.ground(p));
    let line = |a: Vec2, b: Vec2| [cells(a), cells(b)];
    let at = Vec2::new;
    let span = |s: &Section| match s.outer().zip(s.inner()) {
        Some((o, i)) => vec![line(at(s.x, o), at(s.x, i))],
        None => Vec::new(),
    };
    let (outer, inner) = shape
        .ball
        .outer()
        .zip(shape.ball.inner())
        .unwrap_or_default();
    let over = 0.1 * (inner - outer);
    let across = |x: f64| line(at(x, outer - over), at(x, inner + over));
    let mut out = Drawn::default();
    match index {
        Index::ArchIndex => {
            out.lines = shape.thirds.iter().map(|x| across(*x)).collect();
            out.lines
                .push(line(at(shape.thirds[0], 0.0), at(shape.thirds[3], 0.0)));
        }
        Index::ChippauxSmirak => {
            out.lines = [span(&shape.waist), span(&shape.ball)].concat();
        }
        Index::StaheliIndex => out.lines = [span(&shape.waist), span(&shape.heel)].concat(),
        Index::ClarkeAngle => {
            if let (Some([heel, ball]), Some(deepest)) = (shape.tangent, shape.deepest) {
                out.lines = vec![line(heel, ball), line(ball, deepest)];
                out.points = vec![cells(ball), cells(deepest)];
            }
        }
        Index::TruncatedLength => {
            out.lines = vec![
                across(shape.thirds[0]),
                across(shape.thirds[3]),
                line(at(shape.thirds[0], 0.0), at(shape.thirds[3], 0.0)),
            ];
        }
        Index::FootLength => {
            let (a, b) = shape.length;
            out.lines = vec![across(a), across(b), line(at(a, 0.0), at(b, 0.0))];
        }
        Index::BallWidth => out.lines = span(&shape.ball),
        Index::HeelWidth => out.lines = span(&shape.heel),
        Index::MidfootWidth => out.lines = span(&shape.waist),
        Index::ContactArea => {}
        Index::ExcursionIndex => {
            if let Some([first, last, far]) = loads.and_then(|l| l.chord) {
                out.lines = vec![line(first, last)];
                out.points = vec![cells(far)];
            }
        }
        Index::RearLoad => {
            let (a, b) = shape.length;
            out.lines = vec![across(0.5 * (a + b))];
        }
    }
    out
}

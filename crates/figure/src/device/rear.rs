//! The heel part from behind: how wide the cup is, how deep, and how far the post turns it.
//!
//! One surprise: the dashed line across the heel is level in the foot; the ground is level in the drawing.
//! The angle between both is what the post does.

use super::bench::{View, extent};
use super::board::{BOLD, Board, Frame, HIDDEN, Ink, THIN};
use super::parts::Parts;
use super::plan::tilt_words;
use super::posts;
use super::{degrees, mm};
use crate::colour::{INK, KELP, KELP_PALE, QUIET};
use shell::Part;

/// Corners of the box round the heel part.
fn corners(parts: &Parts<'_>) -> ([f64; 3], [f64; 3]) {
    let end = parts.cup_end();
    let all = parts.bodies.iter().flat_map(|(_, m)| &m.vertices).copied();
    extent(all.filter(|p| p[0] < end)).unwrap_or((parts.low, parts.high))
}

pub(crate) fn frame(parts: &Parts<'_>) -> Frame {
    let (low, high) = corners(parts);
    let places = [[0.0, low[1], low[2].min(0.0)], [0.0, high[1], high[2]]];
    // The cup's depth stands on the outer side.
    let (outer, inner) = (9.0, 5.0);
    let sides = if parts.bench.inner_is_left() {
        [inner, outer]
    } else {
        [outer, inner]
    };
    Frame::of(
        &parts.bench,
        View::Behind,
        places,
        [sides[0], 6.0, sides[1], 9.4],
    )
}

/// The post's angle, as measured or as it stands.
pub(crate) fn tilt(parts: &Parts<'_>) -> f64 {
    let stands = parts.device().ground.raised_inner_side().to_degrees();
    if parts.model.wanted.rearfoot_post.is_some() {
        parts.measured("rearfoot post", stands)
    } else {
        stands
    }
}

pub(crate) fn title(parts: &Parts<'_>) -> String {
    parts.said(&format!("Heel from behind, {}", tilt_words(tilt(parts))))
}

pub(crate) fn board<'a>(parts: &'a Parts<'_>, scale: f64) -> Board<'a> {
    let (low, high) = corners(parts);
    let end = parts.cup_end();
    let mut board = Board::new(parts, &frame(parts), scale, title(parts));
    ground(&mut board, [low[1] - 3.0 / scale, high[1] + 3.0 / scale]);
    let heel = parts.outline(View::Behind, |p| p[0] < end);
    board.shape(&heel, Ink::line(INK, BOLD).filled(KELP_PALE));
    let inside: Vec<Vec<_>> = parts
        .section(parts.heel()[0])
        .iter()
        .map(|l| {
            l.iter()
                .map(|p| parts.bench.seen(View::Behind, *p))
                .collect()
        })
        .collect();
    board.shape(&inside, Ink::line(INK, THIN).dashed(HIDDEN));
    for base in posts::bases(parts)
        .iter()
        .filter(|b| b.part == Part::RearfootPost)
    {
        let ends = [base.low[1], base.high[1]].map(|i| board.at([0.0, i, 0.0]));
        board.line(&ends, Ink::line(KELP, 0.6));
        board.dimension(
            ends[0],
            ends[1],
            [0.0, 3.9],
            &mm(base.high[1] - base.low[1]),
        );
    }
    board.dimension(
        board.at([0.0, low[1], high[2]]),
        board.at([0.0, high[1], high[2]]),
        [0.0, -4.5],
        &mm(parts.measured("width at the heel", high[1] - low[1])),
    );
    level(&mut board, parts, [low[1], high[1]]);
    let bottom = board.size[1] - 0.8;
    let right = board.size[0] - 0.3;
    board.sides([0.3, bottom], [right, bottom]);
    board
}

/// The ground between two places across.
pub(crate) fn ground(board: &mut Board<'_>, across: [f64; 2]) {
    let ends = across.map(|i| board.at([0.0, i, 0.0]));
    board.ground(ends[0], ends[1], [0.0, 1.0]);
}

/// The foot's own level through the lowest place of the cup, the depth above it, its angle to the ground.
fn level(board: &mut Board<'_>, parts: &Parts<'_>, across: [f64; 2]) {
    let Some((bottom, rim)) = parts.cup() else {
        return;
    };
    let foot_y = |i: f64| parts.bench.foot([0.0, i, 0.0])[1];
    let (outer, inner) = (foot_y(across[0]) - 5.0, foot_y(across[1]) + 3.0);
    let at = |y: f64, z: f64| {
        let [_, i, h] = parts.bench.place([bottom[0], y, z]);
        [0.0, i, h]
    };
    let ends = [
        board.at(at(outer - 1.5, bottom[2])),
        board.at(at(inner, bottom[2])),
    ];
    board.line(&ends, Ink::line(QUIET, THIN).dashed(HIDDEN));
    let depth = parts.measured("heel cup's depth", rim[2] - bottom[2]);
    board.line(
        &[
            board.at(at(outer + 6.0, rim[2])),
            board.at(at(outer - 1.5, rim[2])),
        ],
        Ink::line(QUIET, THIN),
    );
    let (from, to) = (board.at(at(outer, bottom[2])), board.at(at(outer, rim[2])));
    board.dimension(from, to, [0.0, 0.0], &mm(depth));
    let angle = tilt(parts);
    if angle.abs() < 0.05 {
        return;
    }
    // A line level in the drawing through the lower end, and an arc from it to the foot's own level.
    let (low, high) = if ends[0][1] > ends[1][1] {
        (ends[0], ends[1])
    } else {
        (ends[1], ends[0])
    };
    let way = (high[0] - low[0]).signum();
    let turn = ((low[1] - high[1]) / (high[0] - low[0]).abs().max(1e-9)).atan();
    let radius = (high[0] - low[0]).hypot(high[1] - low[1]);
    board.line(
        &[low, [low[0] + way * radius, low[1]]],
        Ink::line(QUIET, THIN),
    );
    let arc: Vec<[f64; 2]> = (0..=12)
        .map(|n| {
            let a = turn * f64::from(n) / 12.0;
            let r = radius - 1.0;
            [low[0] + way * r * a.cos(), low[1] - r * a.sin()]
        })
        .collect();
    let middle = arc[arc.len() / 2];
    board.line(&arc, Ink::line(INK, THIN));
    board.figure(&degrees(angle.abs()), [middle[0] + 0.8 * way, middle[1]]);
}

//! The device from its inner side: rim, cup, posts and the ground it stands on.
//!
//! Lying on a page, or standing beside the plan on a sheet: what is under or behind is told by two
//! directions on paper, down and back.

use super::bench::{Place, View};
use super::board::{BOLD, Board, Frame, HIDDEN, Ink, THIN};
use super::mm;
use super::parts::{Parts, Rim};
use super::posts;
use super::silhouette::P;
use crate::colour::{INK, KELP, KELP_PALE, PAPER, QUIET};
use shell::Part;
use shell::layout::RayPlace;

/// The ground reaches so far beyond the device.
const GROUND_MM: f64 = 4.0;
/// Paper under the ground, behind the heel, in front and above.
const ROOM_MM: [f64; 4] = [6.0, 5.0, 1.0, 1.5];

/// Directions on paper.
struct Ways {
    down: P,
    back: P,
}

fn ways(parts: &Parts<'_>, view: View) -> Ways {
    let step = |place: Place| {
        let [a, b] = [[0.0; 3], place].map(|p| parts.bench.seen(view, p));
        [b[0] - a[0], b[1] - a[1]]
    };
    Ways {
        down: step([0.0, 0.0, -1.0]),
        back: step([-1.0, 0.0, 0.0]),
    }
}

pub(crate) fn frame(parts: &Parts<'_>, view: View, scale: f64) -> Frame {
    let (low, high) = (parts.low, parts.high);
    let places = [
        [low[0] - GROUND_MM, 0.0, low[2].min(0.0)],
        [high[0] + GROUND_MM, 0.0, high[2]],
    ];
    let Ways { down, back } = ways(parts, view);
    let [under, behind, front, over] = ROOM_MM;
    // Drawn small, the cup's depth has no room on its line and stands behind it.
    let behind = if scale < 1.0 { behind + 3.5 } else { behind };
    // Left, top, right, bottom: which of the four directions each is.
    let margin = [[-1.0, 0.0], [0.0, -1.0], [1.0, 0.0], [0.0, 1.0]].map(|side: P| {
        let along = |way: P| side[0] * way[0] + side[1] * way[1];
        if along(down) > 0.5 {
            under
        } else if along(down) < -0.5 {
            over
        } else if along(back) > 0.5 {
            behind
        } else {
            front
        }
    });
    Frame::of(&parts.bench, view, places, margin)
}

/// Half of the word "ground", the letter beside its mark, and some air.
const CLEAR_OF_LETTER_MM: f64 = 7.0;

pub(crate) fn board<'a>(parts: &'a Parts<'_>, view: View, scale: f64, station: f64) -> Board<'a> {
    let (low, high) = (parts.low, parts.high);
    let mut board = Board::new(
        parts,
        &frame(parts, view, scale),
        scale,
        parts.said("From the inner side"),
    );
    let Ways { down, back } = ways(parts, view);
    let beside =
        |at: P, under: f64, behind: f64| [0, 1].map(|k| at[k] + down[k] * under + back[k] * behind);
    board.ground(
        board.at([low[0] - GROUND_MM, 0.0, 0.0]),
        board.at([high[0] + GROUND_MM, 0.0, 0.0]),
        down,
    );
    let outline = parts.outline(view, |_| true);
    board.shape(&outline, Ink::line(INK, BOLD).filled(KELP_PALE));
    rims(&mut board, parts, view);
    if let Some((bottom, rim)) = parts.cup() {
        cup(&mut board, parts, bottom, rim);
    }
    if let Some(top) = parts.inner_rim() {
        board.dimension(
            board.at([top[0], 0.0, 0.0]),
            board.at([top[0], 0.0, top[2]]),
            [0.0, 0.0],
            &mm(top[2]),
        );
    }
    for base in posts::bases(parts) {
        let ends = [
            board.at([base.low[0], 0.0, base.low[2]]),
            board.at([base.high[0], 0.0, base.high[2]]),
        ];
        board.line(&ends, Ink::line(KELP, 0.6));
        let name = if base.part == Part::ForefootPost {
            "forefoot post"
        } else {
            "rearfoot post"
        };
        let middle = board.at([0.5 * (base.low[0] + base.high[0]), 0.0, 0.0]);
        board.along(name, beside(middle, 3.2, 0.0), back);
    }
    let mark = board.at([station, 0.0, 0.0]);
    board.line(
        &[beside(mark, 1.4, 0.0), beside(mark, 4.4, 0.0)],
        Ink::line(INK, 0.5),
    );
    board.along("A", beside(mark, 3.4, 1.8), back);
    // Between the posts, where there are any, and clear of the section's letter; else in front of it.
    let post_ends = parts
        .model
        .wanted
        .rearfoot_post
        .map_or(parts.heel()[0], |p| p.length.to_mm());
    let front = parts
        .model
        .wanted
        .forefoot_post
        .map_or(high[0], |p| high[0] - p.length.to_mm());
    let clear = [
        0.5 * (station + post_ends.min(station)),
        0.5 * (station + front.max(station)),
    ]
    .map(|x| board.at([x, 0.0, 0.0]))
    .into_iter()
    .find(|at| (at[0] - mark[0]).hypot(at[1] - mark[1]) > CLEAR_OF_LETTER_MM);
    if let Some(at) = clear {
        board.along("ground", beside(at, 3.2, 0.0), back);
    }
    board
}

/// The near rim as a band as thick as the wall, the far one hidden.
fn rims(board: &mut Board<'_>, parts: &Parts<'_>, view: View) {
    let rims = parts.rims();
    let inner = |r: &&Rim| match r.ray {
        RayPlace::Across { inner, .. } => inner,
        RayPlace::Heel { angle } => angle <= std::f64::consts::PI,
    };
    let far: Vec<_> = rims
        .iter()
        .filter(|r| !inner(r))
        .map(|r| board.at(r.foot_side))
        .collect();
    board.line(&far, Ink::line(QUIET, THIN).dashed(HIDDEN).faint());
    let near: Vec<&Rim> = rims.iter().filter(inner).collect();
    let mut band: Vec<P> = near
        .iter()
        .map(|r| parts.bench.seen(view, r.foot_side))
        .collect();
    band.extend(near.iter().rev().map(|r| parts.bench.seen(view, r.outer)));
    if band.len() > 3 {
        board.shape(&[band], Ink::line(INK, THIN).filled(PAPER));
    }
}

/// The cup's depth, square to the foot's own level through its lowest place.
fn cup(board: &mut Board<'_>, parts: &Parts<'_>, bottom: Place, rim: Place) {
    let depth = parts.measured("heel cup's depth", rim[2] - bottom[2]);
    let rear = parts.bench.foot([parts.low[0], 0.0, 0.0])[0];
    let level = |x: f64, z: f64| parts.bench.place([x, bottom[1], z]);
    let x = rear - GROUND_MM - 1.0;
    let ends = [
        board.at(level(x - 1.0, bottom[2])),
        board.at(level(bottom[0] + 14.0, bottom[2])),
    ];
    board.line(&ends, Ink::line(QUIET, THIN).dashed(HIDDEN));
    board.line(
        &[
            board.at(level(rim[0] - 2.0, rim[2])),
            board.at(level(x - 1.0, rim[2])),
        ],
        Ink::line(QUIET, THIN),
    );
    board.dimension(
        board.at(level(x, bottom[2])),
        board.at(level(x, rim[2])),
        [0.0, 0.0],
        &mm(depth),
    );
}

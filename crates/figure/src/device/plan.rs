//! The device from above, toes up: outline, rim, heights, posts, front edge and points.

use super::bench::View;
use super::board::{AXIS, BOLD, Board, Frame, HIDDEN, Ink, THIN};
use super::parts::Parts;
use super::posts::{self, Base};
use super::{degrees, mm};
use crate::colour::{INK, KELP, KELP_PALE, QUIET};
use shell::Part;

/// Heights on the side of the foot are drawn this far apart.
const HEIGHTS_MM: f64 = 5.0;
/// Lines of equal height, lighter than any other.
const HEIGHT_INK: &str = "#8fb0a6";

pub(crate) fn frame(parts: &Parts<'_>) -> Frame {
    let (first, fifth) = (parts.first_head()[0], parts.fifth_head()[0]);
    let front = parts.high[0].max(first + 2.0).max(fifth + 2.0);
    let places = [
        [parts.low[0], parts.low[1], 0.0],
        [front, parts.high[1], 0.0],
    ];
    // The length stands on the outer side, the section's letter on both.
    let (outer, inner) = (9.0, 7.0);
    let sides = if parts.bench.inner_is_left() {
        [inner, outer]
    } else {
        [outer, inner]
    };
    Frame::of(
        &parts.bench,
        View::Plan,
        places,
        [sides[0], 1.5, sides[1], 2.5],
    )
}

pub(crate) fn board<'a>(parts: &'a Parts<'_>, scale: f64, station: f64) -> Board<'a> {
    let mut board = Board::new(
        parts,
        &frame(parts),
        scale,
        parts.said("From above, toes up"),
    );
    let outline = parts.outline(View::Plan, |_| true);
    board.shape(&outline, Ink::line(INK, BOLD).filled(KELP_PALE));
    for (line, closed) in parts.height_lines(HEIGHTS_MM) {
        let mut places: Vec<_> = line.iter().map(|p| board.paper(*p)).collect();
        if closed {
            places.extend(places.first().copied());
        }
        board.line(&places, Ink::line(HEIGHT_INK, 0.13).faint());
    }
    let rim: Vec<_> = parts.rims().iter().map(|r| board.at(r.foot_side)).collect();
    board.line(&rim, Ink::line(INK, THIN));
    let bases = posts::bases(parts);
    for base in &bases {
        board.shape(
            std::slice::from_ref(&base.outline),
            Ink::line(KELP, 0.28).dashed(HIDDEN),
        );
    }
    axis(&mut board, parts);
    section_marks(&mut board, parts, station);
    dimensions(&mut board, parts);
    points(&mut board, parts);
    for base in &bases {
        let (name, size) = base_words(parts, base);
        let share = if base.part == Part::ForefootPost {
            0.5
        } else {
            0.75
        };
        let middle = [
            base.low[0] + share * (base.high[0] - base.low[0]),
            0.65 * base.low[1] + 0.35 * base.high[1],
            0.0,
        ];
        board.label_in(KELP, &name, &size, board.at(middle));
    }
    board
}

/// `rearfoot post 4°, inner side raised`, and the size of a rearfoot post's flat base.
pub(crate) fn base_words(parts: &Parts<'_>, base: &Base) -> (String, String) {
    let wanted = parts.model.wanted;
    let (name, angle) = match base.part {
        Part::ForefootPost => ("forefoot post", wanted.forefoot_post.map(|p| p.angle)),
        _ => ("rearfoot post", wanted.rearfoot_post.map(|p| p.angle)),
    };
    let measured = parts.measured(name, angle.map_or(0.0, |a| a.to_degrees()));
    // A forefoot post runs aslant: the box round it says nothing.
    let size = if base.part == Part::ForefootPost {
        String::new()
    } else {
        format!(
            "base {} × {}",
            quantity::written_short(base.high[0] - base.low[0], 0),
            mm((base.high[1] - base.low[1]).round())
        )
    };
    (format!("{name} {}", tilt_words(measured)), size)
}

/// Which side an angle raises.
pub(crate) fn tilt_words(angle: f64) -> String {
    let size = degrees(angle.abs());
    if angle.abs() < 0.05 {
        "level".to_owned()
    } else if angle > 0.0 {
        format!("{size}, inner side raised")
    } else {
        format!("{size}, outer side raised")
    }
}

fn dimensions(board: &mut Board<'_>, parts: &Parts<'_>) {
    let (low, high) = (parts.low, parts.high);
    // Over all, on the outer side.
    let off = if parts.bench.inner_is_left() {
        [6.0, 0.0]
    } else {
        [-6.0, 0.0]
    };
    board.dimension(
        board.at([low[0], low[1], 0.0]),
        board.at([high[0], low[1], 0.0]),
        off,
        &mm(parts.length()),
    );
    // How wide in front: square across where the front edge meets its outer side.
    let fifth = parts.fifth_head()[0];
    let at = (fifth - 22.0).max(parts.cup_end() + 10.0);
    if let Some([from, to]) = Parts::width_of(&parts.section(at)) {
        let ends = [board.at([at, from, 0.0]), board.at([at, to, 0.0])];
        board.dimension(ends[0], ends[1], [0.0, 0.0], &mm(to - from));
    }
}

fn points(board: &mut Board<'_>, parts: &Parts<'_>) {
    let (first, fifth) = (parts.first_head(), parts.fifth_head());
    // The figure between line and front edge needs room: words may lie over the line's middle.
    let ink = Ink::line(QUIET, THIN).dashed(HIDDEN);
    let on = |t: f64| {
        let [a, b] = [board.at(first), board.at(fifth)];
        [0, 1].map(|k| a[k] + (b[k] - a[k]) * t)
    };
    let [a, b, c, d] = [0.0, 0.3, 0.7, 1.0].map(on);
    board.line(&[a, b], ink);
    board.line(&[b, c], ink.faint());
    board.line(&[c, d], ink);
    let middle = [0, 1, 2].map(|k| (first[k] + fifth[k]) / 2.0);
    // The front edge on the same line, from the solid.
    let edge = parts
        .shell()
        .vertices
        .iter()
        .filter(|p| (p[1] - middle[1]).abs() < 1.0)
        .map(|p| p[0])
        .fold(f64::NEG_INFINITY, f64::max);
    if edge.is_finite() && middle[0] > edge {
        let behind = parts.measured("front edge behind the heads", middle[0] - edge);
        board.dimension(
            board.at([edge, middle[1], 0.0]),
            board.at(middle),
            [0.0, 0.0],
            &mm(behind),
        );
    }
    for (name, place) in [
        ("first head", first),
        ("fifth head", fifth),
        ("navicular", parts.navicular()),
        ("heel’s middle", parts.heel()),
    ] {
        let at = board.at(place);
        board.cross(at);
        board.label(name, "", at);
    }
}

/// The long axis, and which side is which, beside the heel where the device is narrow.
fn axis(board: &mut Board<'_>, parts: &Parts<'_>) {
    let on = |along: f64| {
        let p = parts.bench.foot([along, 0.0, 0.0]);
        parts.bench.place([p[0], 0.0, p[2]])
    };
    let ends = [
        board.at(on(parts.low[0] - 2.0)),
        board.at(on(parts.high[0] + 3.0)),
    ];
    board.line(&ends, Ink::line(QUIET, 0.13).dashed(AXIS).faint());
    let (left, right) = (0.3, board.size[0] - 0.3);
    let bottom = board.size[1] - 1.2;
    let clear = if parts.bench.inner_is_left() {
        [left, right - 6.5]
    } else {
        [left + 6.5, right]
    };
    board.sides([clear[0], bottom], [clear[1], bottom]);
}

/// Where the section is taken: a bold stroke on either side with an arrow along the look, and its letter.
fn section_marks(board: &mut Board<'_>, parts: &Parts<'_>, station: f64) {
    let Some([low, high]) = Parts::width_of(&parts.section(station)) else {
        return;
    };
    for (edge, out) in [(low, -1.0), (high, 1.0)] {
        let (a, b) = (
            board.at([station, edge, 0.0]),
            board.at([station, edge + out, 0.0]),
        );
        // One millimetre of paper outward, whatever the scale.
        let way = (b[0] - a[0]).signum();
        let (from, to) = ([a[0] + 1.2 * way, a[1]], [a[0] + 3.6 * way, a[1]]);
        board.line(&[from, to], Ink::line(INK, 0.5));
        let ahead = [to[0], to[1] - 3.2];
        board.line(&[to, ahead], Ink::line(INK, THIN));
        board.arrow(ahead, [0.0, 1.0], INK);
        board.word(
            "A",
            [to[0] + if way > 0.0 { 1.2 } else { -2.2 }, to[1] + 0.9],
            false,
        );
    }
    let across = [
        board.at([station, low, 0.0]),
        board.at([station, high, 0.0]),
    ];
    board.line(&across, Ink::line(INK, 0.13).dashed(AXIS));
}

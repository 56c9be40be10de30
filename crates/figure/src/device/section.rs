//! The device cut across, seen from behind: the foot's line, the shell under it, and the ground.

use super::bench::{Place, View, extent};
use super::board::{BOLD, Board, DOTTED, Frame, Ink};
use super::mm;
use super::parts::Parts;
use super::rear::ground;
use crate::colour::{INK, KELP_PALE};

/// The foot's line is drawn so far above the device.
const FOOT_ABOVE_MM: f64 = 6.0;

/// The section with its place.
pub(crate) struct Section {
    pub along: f64,
    pub at_navicular: bool,
    loops: Vec<Vec<Place>>,
}

impl Section {
    pub fn of(parts: &Parts<'_>, along: f64) -> Section {
        Section {
            along,
            at_navicular: (along - parts.navicular()[0]).abs() < 0.5,
            loops: parts.section(along),
        }
    }

    /// Least and greatest place across, and the greatest height.
    fn extent(&self, parts: &Parts<'_>) -> ([f64; 2], f64) {
        match extent(self.loops.iter().flatten().copied()) {
            Some((low, high)) => ([low[1], high[1]], high[2]),
            None => ([parts.low[1], parts.high[1]], parts.high[2]),
        }
    }

    pub fn frame(&self, parts: &Parts<'_>) -> Frame {
        let ([low, high], highest) = self.extent(parts);
        let places = [[0.0, low, 0.0], [0.0, high, highest + FOOT_ABOVE_MM]];
        // The rim's height stands on the inner side.
        let (outer, inner) = (5.0, 9.0);
        let sides = if parts.bench.inner_is_left() {
            [inner, outer]
        } else {
            [outer, inner]
        };
        Frame::of(
            &parts.bench,
            View::Behind,
            places,
            [sides[0], 1.5, sides[1], 6.0],
        )
    }

    pub fn title(&self, parts: &Parts<'_>) -> String {
        let place = if self.at_navicular { "navicular, " } else { "" };
        parts.said(&format!(
            "Section A–A, {place}{} from the rear",
            mm(self.along.round())
        ))
    }

    pub fn board<'a>(&self, parts: &'a Parts<'_>, scale: f64) -> Board<'a> {
        let bench = &parts.bench;
        let ([low, high], highest) = self.extent(parts);
        let top = highest + FOOT_ABOVE_MM;
        let mut board = Board::new(parts, &self.frame(parts), scale, self.title(parts));
        ground(&mut board, [low - 3.0 / scale, high + 3.0 / scale]);
        let seen: Vec<Vec<_>> = self
            .loops
            .iter()
            .map(|l| l.iter().map(|p| bench.seen(View::Behind, *p)).collect())
            .collect();
        board.shape(&seen, Ink::line(INK, BOLD).filled(KELP_PALE));
        foot(&mut board, parts, self.along, top);
        if let Some([i, h]) = room_under(&self.loops, [low, high]).filter(|p| p[1] > 1.0) {
            board.dimension(
                board.at([0.0, i, 0.0]),
                board.at([0.0, i, h]),
                [0.0, 0.0],
                &mm(h),
            );
        }
        let rim = self
            .loops
            .iter()
            .flatten()
            .filter(|p| p[1] > 0.5 * (low + high))
            .max_by(|a, b| a[2].total_cmp(&b[2]));
        if let Some(rim) = rim {
            let off = if bench.inner_is_left() { -5.0 } else { 5.0 };
            board.dimension(
                board.at([0.0, high, 0.0]),
                board.at([0.0, high, rim[2]]),
                [off, 0.0],
                &mm(rim[2]),
            );
        }
        for inner in [true, false] {
            if let Some(wall) = parts.wall(self.along, inner) {
                let (above, under) = (board.at(flat(wall.from)), board.at(flat(wall.to)));
                // The figure goes to the foot's side, where the paper is free.
                board.dimension(under, above, [0.0, 0.0], &mm(wall.mm));
            }
        }
        let under = board.at([0.0, low, 0.0])[1] + 4.3;
        let right = board.size[0] - 0.3;
        board.sides([0.3, under], [right, under]);
        // Between both sides' names where there is room; the hatching says it too.
        if board.size[0] > THREE_WORDS_MM {
            board.along("ground", [0.5 * board.size[0], under - 1.0], [1.0, 0.0]);
        }
        board
    }
}

/// "outer side", "ground" and "inner side" beside each other.
const THREE_WORDS_MM: f64 = 38.0;

/// A place of the section, without its way along.
fn flat(p: Place) -> Place {
    [0.0, p[1], p[2]]
}

fn foot(board: &mut Board<'_>, parts: &Parts<'_>, station: f64, top: f64) {
    for line in parts.foot_line(station) {
        let places: Vec<_> = line
            .iter()
            .filter(|p| p[2] <= top)
            .map(|p| board.at(flat(*p)))
            .collect();
        board.line(&places, Ink::line(INK, 0.3).dashed(DOTTED));
        if let Some(p) = line.get(line.len() / 2) {
            board.label("foot", "", board.at([0.0, p[1], p[2].min(top) + 1.0]));
        }
    }
}

/// Where the room between ground and shell is highest over the inner half: place across, and room.
fn room_under(loops: &[Vec<Place>], [low, high]: [f64; 2]) -> Option<[f64; 2]> {
    let from = 0.5 * (low + high);
    let count = 60;
    (0..count)
        .filter_map(|n| {
            let i = from + (high - 5.0 - from) * f64::from(n) / f64::from(count);
            lowest_at(loops, i).map(|h| [i, h])
        })
        .max_by(|a, b| a[1].total_cmp(&b[1]))
}

/// Lowest place of the section over a place across.
fn lowest_at(loops: &[Vec<Place>], i: f64) -> Option<f64> {
    let mut lowest: Option<f64> = None;
    for l in loops {
        for n in 0..l.len() {
            let (a, b) = (l[n], l[(n + 1) % l.len()]);
            if (a[1] <= i) != (b[1] <= i) {
                let h = a[2] + (b[2] - a[2]) * (i - a[1]) / (b[1] - a[1]);
                lowest = Some(lowest.map_or(h, |known| known.min(h)));
            }
        }
    }
    lowest
}

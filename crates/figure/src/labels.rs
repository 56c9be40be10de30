//! Where does a value go, so that it can be read and covers nothing that matters?
//!
//! Every label is tried at many places around its arc, on one line or several. A place costs what it
//! covers: other labels most, then crosses and measured lines, then bright bone; and it costs its way to
//! the arc. The cheapest place is taken; where it lies apart, a thin line leads to the arc.

use crate::ground::{Area, Ground};

/// Mean width of a letter by the size of its type, on the safe side for the carried bold font (measured
/// 0.46 to 0.50 on the names of the measures).
const LETTER: f64 = 0.52;
/// From one line of a label to the next, by size.
const LEADING: f64 = 1.16;
const DIRECTIONS: usize = 24;
/// Steps across the picture that are tried as well where it is known what is dark.
const GRID: usize = 32;
/// Gaps between arc and label that are tried, by size.
const GAPS: [f64; 12] = [
    0.5, 1.0, 1.6, 2.4, 3.4, 4.6, 6.0, 8.0, 10.5, 13.5, 17.0, 21.0,
];
/// A label this far from its arc gets a line to it, by size.
const LED: f64 = 0.9;

/// Kept free along the picture's edge, by size.
const MARGIN: f64 = 0.3;

const COST_CROSS: f64 = 5.0;
const COST_LINE: f64 = 6.0;
const COST_BRIGHT: f64 = 26.0;
const COST_GAP: f64 = 0.16;
const COST_LEAD_OVER_LABEL: f64 = 16.0;
const COST_LEAD_OVER_LINE: f64 = 3.5;
const COST_MORE_LINES: f64 = 0.15;

/// A label to place.
pub(crate) struct Wanted<'a> {
    pub name: &'a str,
    pub value: &'a str,
    /// The middle of the arc, or of the line where there is none.
    pub anchor: [f64; 2],
    pub size: f64,
}

/// A placed label: its lines with the end of each base line that is set first.
pub(crate) struct Placed {
    pub lines: Vec<(String, [f64; 2])>,
    /// The lines end at the right edge, because the arc lies on that side.
    pub from_right: bool,
    pub size: f64,
    pub area: Area,
    pub leader: Option<([f64; 2], [f64; 2])>,
}

/// What labels keep clear of.
pub(crate) struct Around<'a> {
    pub area: Area,
    pub crosses: Vec<[f64; 2]>,
    /// How far a cross reaches from its middle.
    pub reach: f64,
    pub lines: Vec<([f64; 2], [f64; 2])>,
    pub ground: Option<&'a Ground>,
}

/// Places all labels, the first ones first.
pub(crate) fn place(wanted: &[Wanted<'_>], around: &Around<'_>) -> Vec<Placed> {
    place_beside(&[], wanted, around)
}

/// Places all labels beside words that lie where they are.
pub(crate) fn place_beside(
    fixed: &[Area],
    wanted: &[Wanted<'_>],
    around: &Around<'_>,
) -> Vec<Placed> {
    let mut out: Vec<Placed> = fixed
        .iter()
        .map(|area| Placed {
            lines: Vec::new(),
            from_right: false,
            size: 0.0,
            area: *area,
            leader: None,
        })
        .collect();
    for label in wanted.iter().filter(|w| finite(w.anchor) && w.size > 0.0) {
        let placed = best(label, around, &out);
        out.push(placed);
    }
    out.split_off(fixed.len())
}

/// Width of words on one line, on the safe side.
pub(crate) fn width_of(words: &str, size: f64) -> f64 {
    words.chars().count() as f64 * LETTER * size
}

fn finite(p: [f64; 2]) -> bool {
    p.iter().all(|v| v.is_finite())
}

fn best(label: &Wanted<'_>, around: &Around<'_>, taken: &[Placed]) -> Placed {
    let room = around.area[2] - around.area[0];
    let mut best: Option<(f64, Placed)> = None;
    for lines in wordings(label, room) {
        let (w, h) = size_of(&lines, label.size);
        let wordy = COST_MORE_LINES * (lines.len() - 1) as f64;
        for middle in middles(label, around, w, h) {
            let area = [
                middle[0] - 0.5 * w,
                middle[1] - 0.5 * h,
                middle[0] + 0.5 * w,
                middle[1] + 0.5 * h,
            ];
            if !within(area, around.area, MARGIN * label.size) {
                continue;
            }
            let least = best.as_ref().map_or(f64::INFINITY, |(least, _)| *least);
            let way = wordy + COST_GAP * gap(area, label) / label.size;
            // What a place covers only adds to its way; most places are far, and never looked at closer.
            if way >= least {
                continue;
            }
            let leader = leader(area, label);
            if let Some(covers) = cost(area, leader, label, around, taken, least - way) {
                best = Some((covers + way, set(&lines, area, label.size, leader)));
            }
        }
    }
    best.map_or_else(|| squeezed(label, around), |(_, placed)| placed)
}

/// Middles of the places that are tried: around the arc, and over a known ground everywhere.
fn middles(label: &Wanted<'_>, around: &Around<'_>, w: f64, h: f64) -> Vec<[f64; 2]> {
    let mut out = Vec::with_capacity(GAPS.len() * DIRECTIONS);
    for gap in GAPS {
        for turn in 0..DIRECTIONS {
            let angle = std::f64::consts::TAU * turn as f64 / DIRECTIONS as f64;
            let (ux, uy) = (angle.cos(), angle.sin());
            // From the label's middle to its edge in this direction.
            let half = (0.5 * w / ux.abs()).min(0.5 * h / uy.abs());
            let far = gap * label.size + half;
            out.push([label.anchor[0] + ux * far, label.anchor[1] + uy * far]);
        }
    }
    if around.ground.is_some() {
        let edge = 1.01 * MARGIN * label.size;
        let [left, top, right, bottom] = grown(around.area, -edge);
        let across = |from: f64, to: f64, i: usize| from + (to - from) * i as f64 / GRID as f64;
        for i in 0..=GRID {
            let x = across(left + 0.5 * w, right - 0.5 * w, i);
            out.extend((0..=GRID).map(|k| [x, across(top + 0.5 * h, bottom - 0.5 * h, k)]));
        }
    }
    out
}

/// From the arc to the nearest edge of the label.
fn gap(area: Area, label: &Wanted<'_>) -> f64 {
    let [x, y] = label.anchor;
    (x.clamp(area[0], area[2]) - x).hypot(y.clamp(area[1], area[3]) - y)
}

/// Where nothing fits: at the arc, pushed into the picture.
fn squeezed(label: &Wanted<'_>, around: &Around<'_>) -> Placed {
    let room = around.area[2] - around.area[0];
    let lines = wordings(label, room).pop().unwrap_or_default();
    let (w, h) = size_of(&lines, label.size);
    let push = |v: f64, low: f64, high: f64| if high > low { v.clamp(low, high) } else { low };
    let x = push(label.anchor[0], around.area[0], around.area[2] - w);
    let y = push(label.anchor[1], around.area[1], around.area[3] - h);
    set(&lines, [x, y, x + w, y + h], label.size, None)
}

/// On one line, name over value, and a long name on two lines.
fn wordings(label: &Wanted<'_>, room: f64) -> Vec<Vec<String>> {
    let fits = |text: &str| width_of(text, label.size) < 0.6 * room;
    let whole = format!("{} {}", label.name, label.value);
    let whole = whole.trim().to_owned();
    let mut out = Vec::new();
    if fits(&whole) {
        out.push(vec![whole]);
    }
    if label.name.is_empty() || label.value.is_empty() {
        return if out.is_empty() {
            vec![vec![format!("{}{}", label.name, label.value)]]
        } else {
            out
        };
    }
    if fits(label.name) || !label.name.contains(BREAKS) {
        out.push(vec![label.name.to_owned(), label.value.to_owned()]);
    }
    if label.name.chars().count() > LONG_NAME
        && let Some((a, b)) = broken(label.name)
    {
        out.push(vec![a, b, label.value.to_owned()]);
    }
    out
}

/// Where a name may be broken: at a space, or behind a dash.
const BREAKS: [char; 3] = [' ', '-', '–'];
/// Names longer than this are tried on two lines as well.
const LONG_NAME: usize = 15;

/// A name in two, as near its middle as it can be broken.
fn broken(name: &str) -> Option<(String, String)> {
    let middle = name.len() / 2;
    let cut = name
        .match_indices(BREAKS)
        .map(|(at, mark)| at + mark.len())
        .filter(|at| *at < name.len())
        .min_by_key(|at| at.abs_diff(middle))?;
    let (a, b) = name.split_at(cut);
    Some((a.trim_end().to_owned(), b.to_owned()))
}

fn size_of(lines: &[String], size: f64) -> (f64, f64) {
    let longest = lines.iter().map(|l| l.chars().count()).max().unwrap_or(0);
    (
        longest as f64 * LETTER * size,
        (lines.len() as f64 - 1.0) * LEADING * size + 1.15 * size,
    )
}

fn set(lines: &[String], area: Area, size: f64, leader: Option<([f64; 2], [f64; 2])>) -> Placed {
    let from_right = leader.is_some_and(|(_, to)| to[0] > area[2]);
    let x = if from_right { area[2] } else { area[0] };
    let lines = lines
        .iter()
        .enumerate()
        .map(|(i, l)| {
            let y = area[1] + 0.9 * size + i as f64 * LEADING * size;
            (l.clone(), [x, y])
        })
        .collect();
    Placed {
        lines,
        from_right,
        size,
        area,
        leader,
    }
}

/// From the nearest edge of the label to its arc.
fn leader(area: Area, label: &Wanted<'_>) -> Option<([f64; 2], [f64; 2])> {
    let [x, y] = label.anchor;
    let from = [x.clamp(area[0], area[2]), y.clamp(area[1], area[3])];
    let long = (from[0] - x).hypot(from[1] - y);
    (long > LED * label.size).then_some((from, label.anchor))
}

fn within(area: Area, all: Area, margin: f64) -> bool {
    area[0] >= all[0] + margin
        && area[1] >= all[1] + margin
        && area[2] <= all[2] - margin
        && area[3] <= all[3] - margin
}

fn grown(area: Area, by: f64) -> Area {
    [area[0] - by, area[1] - by, area[2] + by, area[3] + by]
}

pub(crate) fn overlap(a: Area, b: Area) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// What a place covers; `None` where it covers another label, or as much as `limit` or more.
fn cost(
    area: Area,
    leader: Option<([f64; 2], [f64; 2])>,
    label: &Wanted<'_>,
    around: &Around<'_>,
    taken: &[Placed],
    limit: f64,
) -> Option<f64> {
    let padded = grown(area, 0.35 * label.size);
    if taken.iter().any(|t| overlap(padded, t.area)) {
        return None;
    }
    let mut cost = 0.0;
    let crosses = grown(area, around.reach + 0.1 * label.size);
    let covered = around
        .crosses
        .iter()
        .filter(|c| inside(**c, crosses))
        .count();
    cost += COST_CROSS * covered as f64;
    for (a, b) in &around.lines {
        if cost >= limit {
            return None;
        }
        if through(padded, *a, *b) {
            cost += COST_LINE;
        }
    }
    if taken
        .iter()
        .filter_map(|t| t.leader)
        .any(|(a, b)| through(padded, a, b))
    {
        cost += COST_LEAD_OVER_LABEL;
    }
    if let Some(ground) = around.ground {
        cost += COST_BRIGHT * ground.brightness(padded);
    }
    if let Some((from, to)) = leader {
        let over = taken.iter().filter(|t| through(t.area, from, to)).count();
        cost += COST_LEAD_OVER_LABEL * over as f64;
        // The last stretch may touch the label's own arc and lines.
        let near = [
            from[0] + 0.92 * (to[0] - from[0]),
            from[1] + 0.92 * (to[1] - from[1]),
        ];
        let crossed = around
            .lines
            .iter()
            .filter(|(a, b)| cross(from, near, *a, *b))
            .count();
        cost += COST_LEAD_OVER_LINE * crossed as f64;
    }
    (cost < limit).then_some(cost)
}

fn inside(p: [f64; 2], area: Area) -> bool {
    p[0] > area[0] && p[0] < area[2] && p[1] > area[1] && p[1] < area[3]
}

/// Does a stretch of line pass through an area?
pub(crate) fn through(area: Area, a: [f64; 2], b: [f64; 2]) -> bool {
    if a[0].max(b[0]) < area[0]
        || a[0].min(b[0]) > area[2]
        || a[1].max(b[1]) < area[1]
        || a[1].min(b[1]) > area[3]
    {
        return false;
    }
    // Liang and Barsky: the part of the stretch that lies between each pair of edges.
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (d, low, high) in [
        (dx, area[0] - a[0], area[2] - a[0]),
        (dy, area[1] - a[1], area[3] - a[1]),
    ] {
        if d == 0.0 {
            if low > 0.0 || high < 0.0 {
                return false;
            }
        } else {
            let (one, two) = (low / d, high / d);
            from = from.max(one.min(two));
            to = to.min(one.max(two));
        }
    }
    from <= to
}

/// Do two stretches cross?
fn cross(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn around(lines: Vec<([f64; 2], [f64; 2])>, crosses: Vec<[f64; 2]>) -> Around<'static> {
        Around {
            area: [0.0, 0.0, 1000.0, 800.0],
            crosses,
            reach: 7.0,
            lines,
            ground: None,
        }
    }

    fn label(anchor: [f64; 2]) -> Wanted<'static> {
        Wanted {
            name: "Calcaneal pitch",
            value: "16.0° ± 2.5°",
            anchor,
            size: 20.0,
        }
    }

    #[test]
    fn a_label_keeps_off_lines_and_crosses_and_stays_in_the_picture() {
        let lines = vec![
            ([0.0, 400.0], [1000.0, 380.0]),
            ([0.0, 300.0], [1000.0, 520.0]),
        ];
        let crosses = vec![[520.0, 330.0], [480.0, 470.0], [990.0, 10.0]];
        let around = around(lines, crosses);
        for anchor in [[500.0, 395.0], [3.0, 395.0], [998.0, 4.0], [998.0, 797.0]] {
            let placed = place(&[label(anchor)], &around);
            let area = placed[0].area;
            assert!(within(area, around.area, 0.0), "{area:?}");
            assert!(
                around.lines.iter().all(|(a, b)| !through(area, *a, *b)),
                "{area:?}"
            );
            assert!(
                around.crosses.iter().all(|c| !inside(*c, grown(area, 7.0))),
                "{area:?}"
            );
        }
    }

    #[test]
    fn many_labels_at_one_arc_all_find_their_own_place() {
        let around = around(Vec::new(), Vec::new());
        let wanted: Vec<Wanted<'_>> = (0..6).map(|_| label([500.0, 400.0])).collect();
        let placed = place(&wanted, &around);
        for (i, a) in placed.iter().enumerate() {
            for b in &placed[i + 1..] {
                assert!(!overlap(a.area, b.area), "{:?} {:?}", a.area, b.area);
            }
        }
    }

    #[test]
    fn a_label_that_lies_apart_is_led_to_its_arc() {
        let blocked: Vec<_> = (0..40)
            .map(|i| {
                (
                    [300.0, 300.0 + 5.0 * f64::from(i)],
                    [700.0, 300.0 + 5.0 * f64::from(i)],
                )
            })
            .collect();
        let placed = place(&[label([500.0, 400.0])], &around(blocked, Vec::new()));
        let (_, to) = placed[0].leader.expect("a line to the arc");
        assert_eq!(to, [500.0, 400.0]);
    }

    #[test]
    fn a_label_wider_than_the_picture_is_broken_and_never_lost() {
        let narrow = Around {
            area: [0.0, 0.0, 260.0, 800.0],
            ..around(Vec::new(), Vec::new())
        };
        let long = Wanted {
            name: "Talo–first-metatarsal, dp",
            value: "17.3° ± 12.8°",
            anchor: [130.0, 400.0],
            size: 20.0,
        };
        let placed = place(&[long], &narrow);
        let words: Vec<&str> = placed[0].lines.iter().map(|(l, _)| l.as_str()).collect();
        assert_eq!(
            words.concat().replace(' ', ""),
            "Talo–first-metatarsal,dp17.3°±12.8°"
        );
        assert!(words.len() > 1);
    }

    #[test]
    fn a_label_goes_to_the_dark_side_of_a_film() {
        let mut film = crate::svg::Svg::new(1000.0, 800.0, "f", "");
        film.rect([0.0, 0.0], [1000.0, 800.0], "#101010");
        film.rect([0.0, 0.0], [620.0, 800.0], "#c0c0c0");
        let png = crate::png(&film.finish(), 500).unwrap();
        let ground = Ground::of_png(&png, [1000.0, 800.0]).unwrap();
        let around = Around {
            ground: Some(&ground),
            ..around(Vec::new(), Vec::new())
        };
        let placed = place(&[label([400.0, 400.0])], &around);
        assert!(placed[0].area[0] >= 615.0, "{:?}", placed[0].area);
    }

    #[test]
    fn a_place_that_is_no_number_is_left_out() {
        let placed = place(&[label([f64::NAN, 1.0])], &around(Vec::new(), Vec::new()));
        assert!(placed.is_empty());
    }
}

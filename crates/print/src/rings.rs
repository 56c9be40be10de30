//! Areas, sections and tangents of rings in the foot's own frame: x from the heel forwards, y to the inner side.

use crate::outline::{Ring, hull, signed_area};
use geometry::Vec2;

/// Keeps what of a ring lies where `keep` is not negative; `keep` is linear.
fn cut(ring: &[Vec2], keep: impl Fn(Vec2) -> f64) -> Ring {
    let mut out = Ring::with_capacity(ring.len() + 4);
    let Some(last) = ring.last() else {
        return out;
    };
    let (mut before, mut d0) = (*last, keep(*last));
    for p in ring {
        let d1 = keep(*p);
        if (d0 < 0.0) != (d1 < 0.0) {
            let t = d0 / (d0 - d1);
            out.push(before.plus(p.minus(before).scaled(t)));
        }
        if d1 >= 0.0 {
            out.push(*p);
        }
        (before, d0) = (*p, d1);
    }
    if out.len() < 3 { Ring::new() } else { out }
}

/// Area of rings between two places along the foot.
pub(crate) fn area_between(rings: &[Ring], from: f64, to: f64) -> f64 {
    rings
        .iter()
        .map(|r| {
            let front = cut(r, |p| p.x - from);
            signed_area(&cut(&front, |p| to - p.x))
        })
        .sum()
}

pub(crate) fn area(rings: &[Ring]) -> f64 {
    rings.iter().map(|r| signed_area(r)).sum()
}

/// The toe line in the foot's frame: how far forward the print counts as toeless, by the place across.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ToeEdge {
    /// Ordered by y, each y once.
    points: Vec<Vec2>,
}

impl ToeEdge {
    /// `None` for fewer than two points that differ across the foot.
    pub fn of(points: &[Vec2]) -> Option<ToeEdge> {
        let mut sorted: Vec<Vec2> = points.iter().copied().filter(|p| p.is_finite()).collect();
        sorted.sort_by(|a, b| a.y.total_cmp(&b.y));
        sorted.dedup_by(|a, b| a.y - b.y < 1e-9);
        (sorted.len() >= 2).then_some(ToeEdge { points: sorted })
    }

    pub fn moved(&self, forwards: f64) -> ToeEdge {
        let on = Vec2::new(forwards, 0.0);
        ToeEdge {
            points: self.points.iter().map(|p| p.plus(on)).collect(),
        }
    }

    pub fn at(&self, y: f64) -> f64 {
        let k = self.points.partition_point(|p| p.y <= y);
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else {
            return f64::INFINITY;
        };
        if k == 0 {
            return first.x;
        }
        if k == self.points.len() {
            return last.x;
        }
        let (a, b) = (self.points[k - 1], self.points[k]);
        a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y)
    }

    /// The part of the rings behind the line, and the part before it. Pieces of a cut ring share their seams.
    pub fn parted(&self, rings: &[Ring]) -> (Vec<Ring>, Vec<Ring>) {
        let (mut behind, mut before) = (Vec::new(), Vec::new());
        for ring in rings {
            let is_behind = |p: &Vec2| p.x <= self.at(p.y);
            let count = ring.iter().filter(|p| is_behind(p)).count();
            if count == ring.len() {
                behind.push(ring.clone());
            } else if count == 0 {
                before.push(ring.clone());
            } else {
                self.cut_in_strips(ring, &mut behind, &mut before);
            }
        }
        (behind, before)
    }

    fn cut_in_strips(&self, ring: &Ring, behind: &mut Vec<Ring>, before: &mut Vec<Ring>) {
        let n = self.points.len();
        let mut rest = ring.clone();
        for k in 0..=n {
            let strip = if k < n {
                let y = self.points[k].y;
                let strip = cut(&rest, |p| y - p.y);
                rest = cut(&rest, |p| p.y - y);
                strip
            } else {
                std::mem::take(&mut rest)
            };
            if strip.is_empty() {
                continue;
            }
            let (a, b) = match k {
                0 => (self.points[0], self.points[0].plus(Vec2::new(0.0, 1.0))),
                k if k == n => (
                    self.points[n - 1],
                    self.points[n - 1].plus(Vec2::new(0.0, 1.0)),
                ),
                k => (self.points[k - 1], self.points[k]),
            };
            let slope = (b.x - a.x) / (b.y - a.y);
            let beyond = |p: Vec2| p.x - a.x - slope * (p.y - a.y);
            for (piece, to) in [
                (cut(&strip, |p| -beyond(p)), &mut *behind),
                (cut(&strip, beyond), &mut *before),
            ] {
                if !piece.is_empty() {
                    to.push(piece);
                }
            }
        }
    }
}

/// Least and greatest x.
pub(crate) fn extent(rings: &[Ring]) -> Option<(f64, f64)> {
    let xs = rings.iter().flatten().map(|p| p.x);
    let (low, high) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
        (l.min(x), h.max(x))
    });
    (low < high).then_some((low, high))
}

/// What of the print lies on a line across the foot.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Section {
    pub x: f64,
    /// Ends of what is printed, outer side first.
    pub spans: Vec<(f64, f64)>,
}

impl Section {
    pub fn width(&self) -> f64 {
        self.spans.iter().map(|(a, b)| b - a).sum()
    }
    pub fn outer(&self) -> Option<f64> {
        self.spans.first().map(|s| s.0)
    }
    pub fn inner(&self) -> Option<f64> {
        self.spans.last().map(|s| s.1)
    }
}

/// Sections at `count` even places from `from` to `to`, half a step within the ends.
pub(crate) fn sections(rings: &[Ring], from: f64, to: f64, count: usize) -> Vec<Section> {
    let step = (to - from) / count as f64;
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); count];
    for ring in rings {
        let Some(last) = ring.last() else { continue };
        let mut a = *last;
        for b in ring {
            let (low, high) = (a.x.min(b.x), a.x.max(b.x));
            let first = ((low - from) / step - 0.5).ceil().max(0.0) as usize;
            for (k, found) in crossings.iter_mut().enumerate().skip(first) {
                let x = from + (k as f64 + 0.5) * step;
                if x >= high {
                    break;
                }
                if x >= low {
                    found.push(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
                }
            }
            a = *b;
        }
    }
    crossings
        .into_iter()
        .enumerate()
        .map(|(k, mut ys)| {
            ys.sort_by(f64::total_cmp);
            let mut spans: Vec<(f64, f64)> = Vec::new();
            for pair in ys.chunks_exact(2) {
                match spans.last_mut() {
                    Some(last) if pair[0] - last.1 < 1e-6 => last.1 = pair[1],
                    _ if pair[1] - pair[0] < 1e-9 => {}
                    _ => spans.push((pair[0], pair[1])),
                }
            }
            Section {
                x: from + (k as f64 + 0.5) * step,
                spans,
            }
        })
        .collect()
}

/// The line that touches the print on one side at the heel and at the ball: the edge of its hull that spans the
/// middle of its length. `inner` chooses the side. Heel end first.
pub(crate) fn tangent(rings: &[Ring], middle: f64, inner: bool) -> Option<[Vec2; 2]> {
    let points: Vec<Vec2> = rings.iter().flatten().copied().collect();
    let hull = hull(&points);
    let mut before = *hull.last()?;
    for p in &hull {
        // A hull of positive area runs backwards on the side of positive y.
        let (a, b) = if inner { (*p, before) } else { (before, *p) };
        if a.x <= middle && middle < b.x {
            return Some([a, b]);
        }
        before = *p;
    }
    None
}

/// Moves every ring outwards by `by` (inwards where negative): each corner along the mean of its sides' normals.
pub(crate) fn grown(rings: &[Ring], by: f64) -> Vec<Ring> {
    let one = |ring: &Ring| -> Ring {
        let n = ring.len();
        (0..n)
            .map(|i| {
                let (a, p, b) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
                let d = b.minus(a);
                let length = d.length();
                if length < 1e-12 {
                    return p;
                }
                // Positive area: the outside lies at (dy, -dx).
                p.plus(Vec2::new(d.y, -d.x).scaled(by / length))
            })
            .collect()
    };
    rings.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, w: f64, h: f64) -> Ring {
        [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]
            .map(|(dx, dy)| Vec2::new(x + dx, y + dy))
            .to_vec()
    }

    #[test]
    fn a_line_of_toes_parts_a_square_into_its_two_areas() {
        let ring = square(0.0, 0.0, 10.0, 4.0);
        let line = ToeEdge::of(&[Vec2::new(6.0, 1.0), Vec2::new(8.0, 3.0)]).unwrap();
        let (behind, before) = line.parted(&[ring]);
        // 6 × 1 + 7 × 2 + 8 × 1
        assert!((area(&behind) - 28.0).abs() < 1e-9, "{}", area(&behind));
        assert!((area(&before) - 12.0).abs() < 1e-9);
        assert_eq!(extent(&behind), Some((0.0, 8.0)));
        assert!((area_between(&behind, 2.0, 5.0) - 12.0).abs() < 1e-9);
    }

    #[test]
    fn a_section_over_pieces_that_share_a_seam_is_one_span() {
        let pieces = [square(0.0, 0.0, 10.0, 2.0), square(0.0, 2.0, 10.0, 3.0)];
        let cuts = sections(&pieces, 0.0, 10.0, 5);
        assert!(cuts.iter().all(|c| c.spans == [(0.0, 5.0)]), "{cuts:?}");
    }

    #[test]
    fn the_inner_tangent_spans_the_arch() {
        let heel = square(0.0, -20.0, 50.0, 40.0);
        let waist = square(50.0, -20.0, 80.0, 15.0);
        let ball = square(130.0, -25.0, 50.0, 55.0);
        let inner = tangent(&[heel, waist, ball], 90.0, true).unwrap();
        assert_eq!(inner, [Vec2::new(0.0, 20.0), Vec2::new(130.0, 30.0)]);
    }

    #[test]
    fn a_ring_grows_by_its_border() {
        let grown = grown(&[square(0.0, 0.0, 10.0, 10.0)], 0.1);
        assert!((area(&grown) - 102.8).abs() < 0.5, "{}", area(&grown));
    }
}

//! Where do toes begin? Toes apart from the ball are rings of their own; joined ones are cut at their necks.

use crate::outline::{Ring, signed_area};
use crate::rings::{area, extent};
use geometry::Vec2;

/// One toe's print in a frame that runs from heel to toes along x.
#[derive(Debug, Clone)]
pub(crate) struct Toe {
    pub centre: Vec2,
    pub area: f64,
    pub ring: Ring,
}

#[derive(Debug, Clone)]
pub(crate) struct Toes {
    pub toes: Vec<Toe>,
    /// The print without them.
    pub body: Vec<Ring>,
}

fn centroid(ring: &[Vec2]) -> Vec2 {
    let (mut sum, mut twice) = (Vec2::new(0.0, 0.0), 0.0);
    let Some(origin) = ring.first().copied() else {
        return sum;
    };
    let Some(last) = ring.last() else { return sum };
    let mut a = last.minus(origin);
    for p in ring {
        let b = p.minus(origin);
        let cross = a.cross(b);
        sum = sum.plus(a.plus(b).scaled(cross));
        twice += cross;
        a = b;
    }
    origin.plus(sum.scaled(1.0 / (3.0 * twice)))
}

/// Toes lie before this share of the length (common practice: the ball ends at about 0.8 on the inner and 0.7 on
/// the outer side), and none is larger than this share of the print.
const BEGINS: f64 = 0.62;
const LARGEST: f64 = 0.12;
const SMALLEST: f64 = 0.002;
/// A neck's breadth beside the root of the area before it; a disc cut through its middle has 1.6.
const NECK: f64 = 0.8;

pub(crate) fn told(rings: &[Ring]) -> Option<Toes> {
    let (back, front) = extent(rings)?;
    let length = front - back;
    let total = area(rings);
    let begins = back + BEGINS * length;
    let mut toes: Vec<Toe> = Vec::new();
    let mut body: Vec<Ring> = Vec::new();
    for ring in rings {
        let own = signed_area(ring);
        let centre = centroid(ring);
        let least = ring.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        if own > SMALLEST * total
            && own < LARGEST * total
            && least > begins - 0.05 * length
            && centre.x > begins + 0.05 * length
        {
            toes.push(Toe {
                centre,
                area: own,
                ring: ring.clone(),
            });
        } else {
            body.push(ring.clone());
        }
    }
    if toes.len() < 5 {
        necks(&mut body, &mut toes, begins, length, total);
    }
    toes.sort_by(|a, b| a.centre.y.total_cmp(&b.centre.y));
    Some(Toes { toes, body })
}

/// Cuts lobes off the largest ring, the narrowest neck first.
fn necks(body: &mut [Ring], toes: &mut Vec<Toe>, begins: f64, length: f64, total: f64) {
    let Some(main) = (0..body.len()).max_by(|a, b| {
        let size = |k: &usize| signed_area(&body[*k]);
        size(a).total_cmp(&size(b))
    }) else {
        return;
    };
    while toes.len() < 5 {
        let Some((lobe, rest)) = neck(&body[main], begins, length, total) else {
            return;
        };
        toes.push(Toe {
            centre: centroid(&lobe),
            area: signed_area(&lobe),
            ring: lobe,
        });
        body[main] = rest;
    }
}

fn neck(ring: &Ring, begins: f64, length: f64, total: f64) -> Option<(Ring, Ring)> {
    let n = ring.len();
    let tip = (0..n).max_by(|a, b| ring[*a].x.total_cmp(&ring[*b].x))?;
    if ring[tip].x < begins {
        return None;
    }
    let ahead = |k: usize| ring[k % n].x > begins;
    let before = (1..n).take_while(|k| ahead(tip + n - k)).count();
    let after = (1..n - before).take_while(|k| ahead(tip + k)).count();
    let first = tip + n - before;
    let span = before + after + 1;
    // About a millimetre of an adult's foot between tried points.
    let mut tried: Vec<usize> = Vec::new();
    let mut walked = f64::INFINITY;
    for k in 0..span {
        if k > 0 {
            walked += ring[(first + k) % n]
                .minus(ring[(first + k - 1) % n])
                .length();
        }
        if walked >= length / 260.0 {
            tried.push(first + k);
            walked = 0.0;
        }
    }
    let mut sums = vec![0.0; span + 1];
    for k in 0..span {
        sums[k + 1] = sums[k] + ring[(first + k) % n].cross(ring[(first + k + 1) % n]);
    }
    let mut best: Option<(f64, usize, usize)> = None;
    for (i, a) in tried.iter().enumerate() {
        for b in &tried[i + 1..] {
            let (p, q) = (ring[a % n], ring[b % n]);
            let own = 0.5 * (sums[b - first] - sums[a - first] + q.cross(p));
            if own < SMALLEST * total || own > 0.09 * total {
                continue;
            }
            let ratio = q.minus(p).length() / own.sqrt();
            if ratio < NECK && best.is_none_or(|(r, _, _)| ratio < r) {
                best = Some((ratio, *a, *b));
            }
        }
    }
    let (_, a, b) = best?;
    let lobe: Ring = (a..=b).map(|k| ring[k % n]).collect();
    let rest: Ring = (b..=a + n).map(|k| ring[k % n]).collect();
    // A lobe that does not point forwards is the arch's or the heel's.
    let mid = ring[a % n].midpoint(ring[b % n]);
    (centroid(&lobe).x > mid.x && rest.len() >= 3).then_some((lobe, rest))
}

/// Least or greatest x of rings at each of some places across.
fn front_at(rings: &[&Ring], ys: &[f64], greatest: bool) -> Vec<Option<f64>> {
    let mut out: Vec<Option<f64>> = vec![None; ys.len()];
    for ring in rings {
        let Some(last) = ring.last() else { continue };
        let mut a = *last;
        for b in ring.iter() {
            let (low, high) = (a.y.min(b.y), a.y.max(b.y));
            let first = ys.partition_point(|y| *y < low);
            for k in first..ys.len() {
                if ys[k] >= high {
                    break;
                }
                let x = a.x + (b.x - a.x) * (ys[k] - a.y) / (b.y - a.y);
                let kept = out[k].is_none_or(|o| (x > o) == greatest);
                if kept {
                    out[k] = Some(x);
                }
            }
            a = *b;
        }
    }
    out
}

/// The toe line: midway between ball and toe where both lie on a line along the foot; straight on between, but before
/// the ball; a little before the ball, or behind the toe, at the sides.
pub(crate) fn line(toes: &Toes, length: f64) -> Option<Vec<Vec2>> {
    let rings: Vec<&Ring> = toes.body.iter().collect();
    let of_toes: Vec<&Ring> = toes.toes.iter().map(|t| &t.ring).collect();
    let ys = rings
        .iter()
        .chain(&of_toes)
        .flat_map(|r| r.iter())
        .map(|p| p.y);
    let (low, high) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| {
        (l.min(y), h.max(y))
    });
    if low >= high {
        return None;
    }
    const COLUMNS: usize = 72;
    let ys: Vec<f64> = (0..COLUMNS)
        .map(|k| low + (high - low) * (k as f64 + 0.5) / COLUMNS as f64)
        .collect();
    let ball = front_at(&rings, &ys, true);
    let behind_toes = front_at(&of_toes, &ys, false);
    let (back, _) = extent(&toes.body)?;
    let margin = 0.008 * length;
    // A heel broader than the ball says nothing of the ball's front.
    let ball: Vec<Option<f64>> = ball
        .into_iter()
        .map(|x| x.filter(|x| x - back > 0.5 * length))
        .collect();
    // The rearmost of each toe, over the columns beside it too, so that the line does not climb a toe's side.
    let beside = |k: usize| {
        let near = &behind_toes[k.saturating_sub(5)..(k + 6).min(COLUMNS)];
        near.iter().flatten().copied().fold(f64::INFINITY, f64::min)
    };
    let between = |k: usize| -> Option<f64> {
        let (b, t) = (ball[k]?, behind_toes[k]?);
        let low = beside(k);
        Some(0.5 * (b + if low > b { low } else { t }))
    };
    let told: Vec<(usize, f64)> = (0..COLUMNS)
        .filter_map(|k| Some((k, between(k)?)))
        .collect();
    let across = |k: usize| -> Option<f64> {
        let next = told.iter().position(|(j, _)| *j > k)?;
        let (i, a) = *told.get(next.checked_sub(1)?)?;
        let (j, b) = told[next];
        Some(a + (b - a) * (k - i) as f64 / (j - i) as f64)
    };
    let mut points: Vec<Vec2> = Vec::new();
    for (k, y) in ys.iter().enumerate() {
        let x = match (between(k), ball[k], behind_toes[k]) {
            (Some(x), _, _) => x,
            (_, Some(b), None) => across(k).unwrap_or(b + margin).max(b + 0.4 * margin),
            (_, None, Some(t)) => across(k).unwrap_or(t - margin).min(t - 0.4 * margin),
            _ => continue,
        };
        points.push(Vec2::new(x, *y));
    }
    Some(thinned(&points, 0.0015 * length))
}

/// Fewer points, none further from the line than `off` (along the foot).
fn thinned(points: &[Vec2], off: f64) -> Vec<Vec2> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let miss = |p: &Vec2| {
        let t = (p.y - first.y) / (last.y - first.y);
        (p.x - first.x - (last.x - first.x) * t).abs()
    };
    let worst = (1..points.len().saturating_sub(1))
        .max_by(|a, b| miss(&points[*a]).total_cmp(&miss(&points[*b])));
    match worst {
        Some(k) if miss(&points[k]) > off => {
            let mut out = thinned(&points[..=k], off);
            out.pop();
            out.extend(thinned(&points[k..], off));
            out
        }
        _ if points.len() < 2 => points.to_vec(),
        _ => vec![*first, *last],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn disc(x: f64, y: f64, r: f64) -> Ring {
        (0..120)
            .map(|k| f64::from(k) * std::f64::consts::TAU / 120.0)
            .map(|a| Vec2::new(x + r * a.cos(), y + r * a.sin()))
            .collect()
    }

    fn ball() -> Ring {
        [
            (0.0, -30.0),
            (190.0, -45.0),
            (200.0, 0.0),
            (195.0, 45.0),
            (0.0, 30.0),
        ]
        .map(|(x, y)| Vec2::new(x, y))
        .to_vec()
    }

    #[test]
    fn toes_apart_from_the_ball_are_told_and_the_line_runs_between() {
        let rings = vec![ball(), disc(225.0, 30.0, 11.0), disc(222.0, 5.0, 7.0)];
        let toes = told(&rings).unwrap();
        assert_eq!(toes.toes.len(), 2);
        assert!((toes.toes[0].centre.y - 5.0).abs() < 1e-6);
        let line = line(&toes, 236.0).unwrap();
        let edge = crate::rings::ToeEdge::of(&line).unwrap();
        let (behind, before) = edge.parted(&rings);
        assert!((area(&behind) - area(&toes.body)).abs() < 1e-9);
        assert!((area(&before) - toes.toes.iter().map(|t| t.area).sum::<f64>()).abs() < 1e-9);
    }

    #[test]
    fn a_joined_toe_is_cut_at_its_neck() {
        let mut ring: Ring = vec![Vec2::new(0.0, -30.0), Vec2::new(190.0, -45.0)];
        for k in 0..40 {
            ring.push(Vec2::new(
                190.0 + f64::from(k) * 0.2,
                -45.0 + f64::from(k) * 1.6,
            ));
        }
        // Neck from y 20 to 28 at x 198, then a disc of 11 around (215, 24).
        ring.push(Vec2::new(199.0, 20.0));
        ring.extend((0..60).map(|k| {
            let a = -2.75 + 5.5 * f64::from(k) / 59.0;
            Vec2::new(215.0 + 11.0 * a.cos(), 24.0 + 11.0 * a.sin())
        }));
        ring.push(Vec2::new(199.0, 28.0));
        ring.extend([Vec2::new(198.0, 45.0), Vec2::new(0.0, 30.0)]);
        let toes = told(&[ring]).unwrap();
        assert_eq!(toes.toes.len(), 1);
        let found = toes.toes[0].area;
        assert!((330.0..480.0).contains(&found), "{found}");
    }
}

//! Where are the flat undersides of the posts?
//!
//! Found on the solid: triangles that lie together on a plane tilted as the post was asked for. The outline
//! that is drawn is their convex hull; a post's base is convex but for fractions of a millimetre.

use super::bench::{Place, View, extent};
use super::parts::Parts;
use super::silhouette::{P, area};
use mesh::Mesh;
use shell::Part;
use std::collections::BTreeMap;

/// The flat underside of a post.
pub(crate) struct Base {
    pub part: Part,
    /// As seen from above.
    pub outline: Vec<P>,
    pub low: Place,
    pub high: Place,
}

/// A corner this near to a plane lies on it.
const ON_PLANE_MM: f64 = 0.05;
/// What is smaller is no base, but a place where the shell rests, mm².
const LEAST_MM2: f64 = 60.0;

/// The bases of a device's posts, as far as the solid has them.
pub(crate) fn bases(parts: &Parts<'_>) -> Vec<Base> {
    let wanted = parts.model.wanted;
    let layout = &parts.device().layout;
    let mut out = Vec::new();
    if let Some(post) = wanted.rearfoot_post {
        let end = post.length.to_mm() + 0.3;
        let on = |p: Place| p[0] < end && p[2].abs() < ON_PLANE_MM;
        out.extend(
            body(parts, Part::RearfootPost, post.separate)
                .and_then(|b| base(parts, Part::RearfootPost, b, on)),
        );
    }
    if let Some(post) = wanted.forefoot_post {
        let length = post.length.to_mm() + 0.5;
        let slope = post.angle.to_radians().tan();
        // Over a plane through the foot frame's origin that is tilted as the post is.
        let over = |v: [f64; 3]| (v[2] + slope * v[1]) / slope.hypot(1.0);
        let front = |v: [f64; 3]| v[0] > layout.front.x(v[1]) - length;
        if let Some(b) = body(parts, Part::ForefootPost, post.separate)
            && let Some(plane) = widest_plane(parts, b, [0.0, slope, 1.0], over, front)
        {
            let on = |p: Place| {
                let v = parts.bench.foot(p);
                front(v) && (over(v) - plane).abs() < ON_PLANE_MM
            };
            out.extend(base(parts, Part::ForefootPost, b, on));
        }
    }
    out
}

fn body<'p>(parts: &'p Parts<'_>, part: Part, separate: bool) -> Option<&'p Mesh> {
    if separate {
        parts.body(part)
    } else {
        Some(parts.shell())
    }
}

fn base(parts: &Parts<'_>, part: Part, body: &Mesh, on: impl Fn(Place) -> bool) -> Option<Base> {
    let flat: Vec<bool> = body.vertices.iter().map(|v| on(*v)).collect();
    let lies = |n: u32| flat.get(n as usize).copied().unwrap_or(false);
    let places: Vec<Place> = (0..body.triangles.len())
        .filter(|&t| body.triangles[t].iter().all(|&n| lies(n)))
        .flat_map(|t| body.corners(t))
        .collect();
    let outline = hull(
        places
            .iter()
            .map(|p| parts.bench.seen(View::Plan, *p))
            .collect(),
    );
    let (low, high) = extent(places.into_iter())?;
    (area(&outline).abs() > LEAST_MM2).then_some(Base {
        part,
        outline,
        low,
        high,
    })
}

/// The height at which most of the underside lies square to a direction of the foot frame.
fn widest_plane(
    parts: &Parts<'_>,
    body: &Mesh,
    up: [f64; 3],
    over: impl Fn([f64; 3]) -> f64,
    within: impl Fn([f64; 3]) -> bool,
) -> Option<f64> {
    let origin = parts.bench.place([0.0; 3]);
    let tip = parts.bench.place(up);
    let up = [0, 1, 2].map(|k| tip[k] - origin[k]);
    let long = up.iter().map(|c| c * c).sum::<f64>().sqrt();
    let mut areas = BTreeMap::new();
    for t in 0..body.triangles.len() {
        let corner = parts.bench.foot(body.corners(t)[0]);
        let Some(normal) = body.normal_of(t) else {
            continue;
        };
        let down = -(0..3).map(|k| normal[k] * up[k]).sum::<f64>() / long;
        if down > 0.9998 && within(corner) {
            let sum = areas
                .entry((over(corner) * 20.0).round() as i64)
                .or_insert((0.0, 0.0));
            let area = body.area_of(t);
            sum.0 += area;
            sum.1 += area * over(corner);
        }
    }
    let (area, sum) = areas.into_values().max_by(|a, b| a.0.total_cmp(&b.0))?;
    (area > 0.0).then(|| sum / area)
}

/// Convex hull, turning from x to y (Andrew's two chains).
fn hull(mut places: Vec<P>) -> Vec<P> {
    places.retain(|p| p.iter().all(|v| v.is_finite()));
    places.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    places.dedup();
    if places.len() < 3 {
        return places;
    }
    let chain = |order: &mut dyn Iterator<Item = &P>| {
        let mut out: Vec<P> = Vec::new();
        for p in order {
            while let [.., a, b] = out.as_slice() {
                let turn = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
                if turn > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(*p);
        }
        out.pop();
        out
    };
    let mut out = chain(&mut places.iter());
    out.extend(chain(&mut places.iter().rev()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hull_of_a_square_full_of_places_is_its_corners() {
        let mut places: Vec<P> = (0..36)
            .map(|n| [f64::from(n % 6), f64::from(n / 6)])
            .collect();
        places.push([f64::NAN, 1.0]);
        let found = hull(places);
        assert_eq!(found.len(), 4);
        assert!((area(&found) - 25.0).abs() < 1e-12);
        assert!(hull(vec![[1.0, 1.0]; 5]).len() < 3);
    }
}

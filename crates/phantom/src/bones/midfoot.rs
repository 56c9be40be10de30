//! Navicular, cuboid and the three cuneiforms.

use super::grid::Grid;
use super::plan;
use super::solid::*;
use super::{GAP_MM, Sculpt};
use std::sync::Arc;

/// Joint space between the small bones that hardly move on each other.
const TIGHT_MM: f64 = 2.0;

/// A disc hollow behind and convex in front, with its tuberosity on the inner and lower side.
pub(crate) fn navicular(talus: Arc<Grid>) -> Sculpt {
    let disc = Frame::new(p(105.0, 57.2, -14.0), 6.0, -20.0, 28.0);
    let field = move |q: P| {
        let l = disc.local(q);
        let rim = ((l.y / 13.2).abs().powf(2.3) + (l.z / 13.0).abs().powf(2.3)).powf(1.0 / 2.3);
        let mut d = meet((rim - 1.0) * 13.0, l.x.abs() - 9.5, 5.0);
        // Front: a large sphere around the head.
        d = meet(d, ball(q, plan::head() + p(-6.0, 0.0, 0.0), 32.0), 3.0);
        d = join(
            d,
            horn(q, p(103.5, 53.0, -23.0), p(101.5, 47.0, -29.5), 6.3, 4.8),
            4.0,
        );
        carve(d, talus.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new(
        "navicular",
        p(84.0, 36.0, -42.0),
        p(124.0, 80.0, 12.0),
        field,
    )
    .cortex(1.1)
}

/// Six-sided, its inner length greater than its outer, with the ridge and groove of the long tendon below.
pub(crate) fn cuboid(calcaneus: Arc<Grid>, navicular: Arc<Grid>) -> Sculpt {
    let body = Frame::new(p(104.0, 37.5, 18.5), -11.0, -10.0, 14.0);
    let front = p(0.93, -0.26, 0.18).normalize();
    let field = move |q: P| {
        let l = body.local(q);
        // Thinner to the outer side.
        let half_y = 11.2 - 0.16 * l.z;
        let mut d = meet(l.x.abs() - 19.0, l.y.abs() - half_y, 5.0);
        d = meet(d, l.z.abs() - 11.6, 6.0);
        d = meet(
            d,
            plane(q, p(92.5, 27.0, 17.0), p(-0.93, -0.35, -0.05).normalize()),
            4.0,
        );
        // The front face runs backwards to the outer side.
        d = meet(d, plane(q, p(119.0, 36.0, 16.0), front), 3.0);
        // Groove and ridge on the sole side.
        d = carve(
            d,
            horn(q, p(117.0, 21.5, 8.0), p(106.0, 23.0, 36.0), 4.0, 4.0),
            3.0,
        );
        d = join(
            d,
            horn(q, p(107.0, 28.0, 9.0), p(101.0, 28.5, 25.0), 4.0, 3.6),
            4.0,
        );
        d = carve(d, navicular.at(q) - TIGHT_MM, 2.0);
        carve(d, calcaneus.at(q) - GAP_MM, 1.8)
    };
    Sculpt::new("cuboid", p(80.0, 14.0, 0.0), p(132.0, 60.0, 42.0), field).cortex(1.0)
}

/// The largest, its broad edge to the sole.
pub(crate) fn medial_cuneiform(navicular: Arc<Grid>) -> Sculpt {
    let frame = Frame::new(p(126.0, 43.5, -22.5), 8.0, -17.0, 8.0);
    let face = p(0.93, -0.35, -0.13).normalize();
    let field = move |q: P| {
        let l = frame.local(q);
        // A wedge: broad below, an edge above; hollowed a little on both sides.
        let half_z = 8.0 - 0.13 * l.y - 0.8 * (1.0 - (l.x / 11.0).powi(2)).max(0.0);
        let half_y = 15.2 - 0.6 * (1.0 - (l.x / 11.0).powi(2)).max(0.0);
        let mut d = meet(l.x.abs() - 15.0, l.y.abs() - half_y, 6.0);
        d = meet(d, l.z.abs() - half_z, 6.5);
        d = meet(
            d,
            plane(q, plan::rays()[0].base + p(-3.2, 0.0, 0.0), face),
            2.0,
        );
        carve(d, navicular.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new(
        "medial cuneiform",
        p(104.0, 18.0, -44.0),
        p(150.0, 70.0, -4.0),
        field,
    )
    .cortex(1.0)
}

/// The smallest; a wedge with its edge to the sole, shorter than its neighbours.
pub(crate) fn intermediate_cuneiform(navicular: Arc<Grid>, medial: Arc<Grid>) -> Sculpt {
    let frame = Frame::new(p(122.0, 52.0, -8.5), 4.0, -17.0, 0.0);
    let face = p(0.94, -0.34, 0.0).normalize();
    let field = move |q: P| {
        let l = frame.local(q);
        let half_z = 6.9 + 0.26 * l.y;
        let mut d = meet(l.x.abs() - 14.0, l.y.abs() - 11.0, 5.0);
        d = meet(d, l.z.abs() - half_z, 4.0);
        d = meet(
            d,
            plane(q, plan::rays()[1].base + p(-3.2, 0.0, 0.0), face),
            2.0,
        );
        d = carve(d, medial.at(q) - TIGHT_MM, 1.5);
        carve(d, navicular.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new(
        "intermediate cuneiform",
        p(104.0, 30.0, -26.0),
        p(142.0, 74.0, 8.0),
        field,
    )
    .cortex(0.9)
}

/// A wedge between the intermediate cuneiform and the cuboid.
pub(crate) fn lateral_cuneiform(
    navicular: Arc<Grid>,
    intermediate: Arc<Grid>,
    cuboid: Arc<Grid>,
) -> Sculpt {
    let frame = Frame::new(p(120.0, 45.5, 3.0), 0.0, -16.0, -8.0);
    let face = p(0.95, -0.30, 0.1).normalize();
    let field = move |q: P| {
        let l = frame.local(q);
        let half_z = 7.8 + 0.18 * l.y;
        let mut d = meet(l.x.abs() - 16.0, l.y.abs() - 12.0, 5.0);
        d = meet(d, l.z.abs() - half_z, 4.0);
        d = meet(
            d,
            plane(q, plan::rays()[2].base + p(-3.2, 0.0, 0.0), face),
            2.0,
        );
        d = carve(d, intermediate.at(q) - TIGHT_MM, 1.5);
        d = carve(d, cuboid.at(q) - TIGHT_MM, 1.5);
        carve(d, navicular.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new(
        "lateral cuneiform",
        p(100.0, 26.0, -12.0),
        p(142.0, 68.0, 22.0),
        field,
    )
    .cortex(0.9)
}

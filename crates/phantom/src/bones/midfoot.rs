//! Navicular, cuboid and the three cuneiforms.

use super::grid::Grid;
use super::plan;
use super::solid::*;
use super::{GAP_MM, Sculpt};
use std::sync::Arc;

/// A disc hollow behind and convex in front, with its tuberosity on the inner and lower side.
pub(crate) fn navicular(talus: Arc<Grid>) -> Sculpt {
    let disc = Frame::new(p(105.0, 57.0, -14.0), 10.0, -20.0, 25.0);
    let field = move |q: P| {
        let l = disc.local(q);
        let rim = ((l.y / 14.5).abs().powf(2.4) + (l.z / 18.5).abs().powf(2.4)).powf(1.0 / 2.4);
        let mut d = meet((rim - 1.0) * 14.5, l.x.abs() - 9.5, 4.0);
        // Front: a large sphere around the head.
        d = meet(d, ball(q, plan::head() + p(-6.0, 1.0, 0.0), 32.5), 2.5);
        d = join(
            d,
            horn(q, p(103.0, 52.0, -26.0), p(100.0, 46.5, -32.5), 7.0, 5.0),
            5.0,
        );
        carve(d, talus.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new(
        "navicular",
        p(84.0, 34.0, -42.0),
        p(124.0, 80.0, 14.0),
        field,
    )
    .cortex(1.1)
}

/// Six-sided, its inner length greater than its outer, with the ridge and groove of the long tendon below.
pub(crate) fn cuboid(calcaneus: Arc<Grid>, navicular: Arc<Grid>) -> Sculpt {
    let body = Frame::new(p(104.0, 39.0, 17.0), -8.0, -8.0, 12.0);
    let field = move |q: P| {
        let mut d = block(q, &body, p(19.0, 13.0, 13.5), 4.5);
        // Front face runs backwards to the outer side.
        d = meet(
            d,
            plane(q, p(120.0, 36.0, 16.0), p(0.90, -0.28, 0.33).normalize()),
            2.0,
        );
        // Ridge and groove on the sole side.
        d = carve(
            d,
            horn(q, p(118.0, 23.0, 8.0), p(108.0, 23.5, 34.0), 4.0, 4.0),
            3.0,
        );
        d = join(
            d,
            horn(q, p(108.0, 28.5, 8.0), p(102.0, 29.0, 25.0), 4.5, 4.0),
            4.0,
        );
        d = carve(d, navicular.at(q) - GAP_MM, 1.5);
        carve(d, calcaneus.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new("cuboid", p(80.0, 16.0, -4.0), p(132.0, 62.0, 40.0), field).cortex(1.0)
}

/// The largest, its broad edge to the sole.
pub(crate) fn medial_cuneiform(navicular: Arc<Grid>) -> Sculpt {
    let frame = Frame::new(p(126.0, 43.0, -22.5), 8.0, -16.0, 8.0);
    let field = move |q: P| {
        let l = frame.local(q);
        // A wedge: half width from 9 below to 6 above.
        let half_z = 7.6 - 0.11 * l.y;
        let mut d = meet(l.x.abs() - 15.0, l.y.abs() - 16.5, 5.0);
        d = meet(d, l.z.abs() - half_z, 5.0);
        d = meet(
            d,
            plane(
                q,
                plan::rays()[0].base + p(-3.2, 0.0, 0.0),
                p(0.93, -0.34, -0.13).normalize(),
            ),
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
    let frame = Frame::new(p(121.0, 51.0, -8.5), 4.0, -16.0, 0.0);
    let field = move |q: P| {
        let l = frame.local(q);
        let half_z = 6.8 + 0.2 * l.y;
        let mut d = meet(l.x.abs() - 14.0, l.y.abs() - 11.5, 4.0);
        d = meet(d, l.z.abs() - half_z, 3.0);
        d = meet(
            d,
            plane(
                q,
                plan::rays()[1].base + p(-3.0, 0.0, 0.0),
                p(0.94, -0.34, 0.0).normalize(),
            ),
            1.5,
        );
        d = carve(d, medial.at(q) - GAP_MM * 0.75, 1.5);
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
    let frame = Frame::new(p(120.0, 46.0, 3.5), 0.0, -15.0, -8.0);
    let field = move |q: P| {
        let l = frame.local(q);
        let half_z = 7.6 + 0.15 * l.y;
        let mut d = meet(l.x.abs() - 16.0, l.y.abs() - 13.0, 4.0);
        d = meet(d, l.z.abs() - half_z, 3.0);
        d = meet(
            d,
            plane(
                q,
                plan::rays()[2].base + p(-3.0, 0.0, 0.0),
                p(0.95, -0.30, 0.1).normalize(),
            ),
            1.5,
        );
        d = carve(d, intermediate.at(q) - GAP_MM * 0.75, 1.5);
        d = carve(d, cuboid.at(q) - GAP_MM * 0.75, 1.5);
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

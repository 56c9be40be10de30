//! The talus and the calcaneus.

use super::grid::Grid;
use super::plan;
use super::solid::*;
use super::{GAP_MM, Sculpt};
use std::sync::Arc;

/// Trochlea, neck, head, posterior and lateral process; its underside carries the facets that the
/// calcaneus is cut to.
pub(crate) fn talus() -> Sculpt {
    let ankle = plan::ankle();
    let head = plan::head();
    let head_frame = Frame::new(head, 18.0, -20.0, 35.0);
    let body_frame = Frame::new(p(59.6, 68.0, -3.0), 6.0, -10.0, 0.0);
    let facet_axis = p(0.30, 0.10, 0.95).normalize();
    let field = move |q: P| {
        // The trochlea: a pulley, wider in front, its two shoulders a little higher than its groove.
        let z = q.z - ankle.z;
        let radius = plan::TROCHLEA_RADIUS + 0.9 * (z / 13.0).powi(2).min(2.0);
        let wheel = (q.x - ankle.x).hypot(q.y - ankle.y) - radius;
        let half_width = 14.5 + 0.10 * (q.x - ankle.x);
        let wheel = meet(wheel, z.abs() - half_width, 2.5);
        // Only the upper part is wheel; in front it gives way to the neck.
        let wheel = meet(
            wheel,
            plane(q, p(64.0, 70.0, 0.0), p(0.10, -1.0, 0.0).normalize()),
            5.0,
        );
        let body = block(q, &body_frame, p(15.4, 12.5, 14.0), 9.0);
        let mut d = join(wheel, body, 7.0);
        // Processes.
        d = join(
            d,
            horn(q, p(56.0, 69.0, -4.0), p(45.0, 69.0, -5.0), 10.0, 5.5),
            6.0,
        );
        d = join(
            d,
            horn(q, p(64.0, 69.0, 6.0), p(65.0, 60.0, 15.0), 8.0, 3.5),
            6.0,
        );
        // Neck and head.
        let waist = p(76.0, 66.0, -8.2);
        d = join(d, horn(q, p(69.0, 69.0, -6.2), waist, 11.0, 8.8), 4.0);
        d = join(d, horn(q, waist, p(86.0, 62.5, -11.0), 8.8, 9.8), 3.0);
        d = join(d, egg(q, &head_frame, p(12.8, 12.5, 14.8)), 3.0);
        // Posterior facet, and the groove of the sinus tarsi before it.
        d = carve(
            d,
            cylinder(
                q,
                plan::facet_centre(),
                facet_axis,
                plan::FACET_RADIUS + GAP_MM,
            ),
            1.6,
        );
        d = carve(
            d,
            horn(q, p(75.0, 50.0, 13.0), p(66.0, 54.0, -12.0), 9.5, 3.0),
            3.0,
        );
        d
    };
    Sculpt::new("talus", p(30.0, 40.0, -36.0), p(106.0, 94.0, 26.0), field).cortex(1.1)
}

/// Tuberosity, posterior facet, sustentaculum tali, anterior process, plantar tubercles.
pub(crate) fn calcaneus(talus: Arc<Grid>) -> Sculpt {
    let tuber = Frame::new(p(26.0, 36.0, -1.5), -4.0, 18.0, -11.5);
    let middle = Frame::new(p(52.0, 42.0, 3.5), -6.0, 16.0, 0.0);
    let front = Frame::new(p(77.0, 44.0, 10.0), -8.0, 8.0, 0.0);
    let shelf = Frame::new(p(64.0, 53.0, -13.0), 8.0, -16.0, -12.0);
    let facet_axis = p(0.30, 0.10, 0.95).normalize();
    let field = move |q: P| {
        let mut d = block(q, &tuber, p(16.5, 21.5, 13.0), 10.0);
        d = join(d, block(q, &middle, p(22.0, 14.5, 11.5), 8.0), 9.0);
        d = join(d, block(q, &front, p(16.0, 10.5, 11.0), 6.0), 8.0);
        // The hump under the posterior facet, bent to a cylinder.
        let hump = meet(
            cylinder(q, plan::facet_centre(), facet_axis, plan::FACET_RADIUS),
            egg(
                q,
                &Frame::new(p(54.0, 52.0, 4.0), 20.0, -30.0, 0.0),
                p(20.0, 21.0, 14.5),
            ),
            2.0,
        );
        d = join(d, hump, 4.0);
        d = join(d, egg(q, &shelf, p(11.0, 5.0, 12.0)), 5.0);
        // Anterior process.
        d = join(
            d,
            horn(q, p(72.0, 47.0, 8.0), p(86.0, 53.5, 8.0), 6.0, 3.5),
            5.0,
        );
        // Plantar tubercles: medial (large), lateral (small), anterior.
        d = join(
            d,
            horn(q, p(20.0, 22.0, -3.0), p(26.0, 17.5, -5.0), 6.0, 5.0),
            7.0,
        );
        d = join(
            d,
            horn(q, p(22.0, 23.0, 6.0), p(29.0, 20.0, 8.0), 5.0, 3.5),
            6.0,
        );
        d = join(d, ball(q, p(74.0, 36.0, 7.0), 5.0), 6.0);
        // The floor of the sinus tarsi.
        d = carve(
            d,
            horn(q, p(71.0, 62.0, 17.0), p(66.0, 60.0, 0.0), 9.0, 6.0),
            4.0,
        );
        // The hollow of the inner wall.
        d = carve(d, ball(q, p(46.0, 36.0, -31.0), 23.0), 5.0);
        // The facet for the cuboid: gently convex.
        d = meet(d, ball(q, p(52.0, 40.0, 7.0), 39.2), 2.0);
        // Room for the talus.
        carve(d, talus.at(q) - GAP_MM, 1.2)
    };
    Sculpt::new("calcaneus", p(4.0, 7.0, -34.0), p(96.0, 74.0, 32.0), field).cortex(1.2)
}

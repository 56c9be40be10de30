//! Where do the joints of the plain foot lie? The skeleton that bones are sculpted around and posed by.
//!
//! A right adult foot 270 mm long, standing: x forward from the back of the heel's skin, y up from the
//! floor, z to the outer side. Proportions: floor to dome, ball length and breadth follow the means of
//! ANSUR II (2012) men; angles the means of normal standing films (see the tests).

use super::solid::{P, p};

/// Foot length that the plan is drawn for.
pub(crate) const PLAN_LENGTH_MM: f64 = 270.0;

/// Middle of the trochlea's axis, and the axis (towards the outer side).
pub(crate) fn ankle() -> P {
    p(64.0, 66.0, -4.0)
}
pub(crate) const TROCHLEA_RADIUS: f64 = 21.0;

/// Centre of the talar head.
pub(crate) fn head() -> P {
    p(86.5, 62.3, -11.0)
}

/// Cylinder on which the posterior facet of the calcaneus is bent.
pub(crate) fn facet_centre() -> P {
    p(44.0, 39.0, 4.0)
}
pub(crate) const FACET_RADIUS: f64 = 27.0;

/// Middle of the calcaneocuboid joint.
pub(crate) fn calcaneocuboid() -> P {
    p(90.5, 45.0, 13.0)
}

/// One ray of the forefoot: where the shaft's axis starts and where the head's centre lies.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ray {
    pub base: P,
    pub head: P,
    pub head_radius: f64,
}

/// The five rays, great toe first.
pub(crate) fn rays() -> [Ray; 5] {
    let ray = |base: P, head: P, head_radius: f64| Ray {
        base,
        head,
        head_radius,
    };
    [
        ray(p(142.1, 45.0, -24.0), p(194.6, 24.0, -32.4), 10.2),
        ray(p(134.5, 47.5, -11.1), p(203.5, 18.0, -8.4), 6.8),
        ray(p(131.0, 42.0, 3.0), p(197.0, 16.0, 6.0), 6.4),
        ray(p(125.0, 34.5, 14.5), p(188.5, 15.5, 20.4), 6.3),
        ray(p(117.0, 27.5, 25.0), p(176.0, 15.0, 34.5), 6.6),
    ]
}

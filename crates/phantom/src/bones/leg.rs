//! The lower ends of tibia and fibula.

use super::grid::Grid;
use super::plan;
use super::solid::*;
use super::{GAP_MM, Sculpt};
use std::sync::Arc;

/// Height at which both bones of the leg are cut.
pub(crate) const LEG_TOP_MM: f64 = 250.0;

/// Shaft, plafond and inner malleolus.
pub(crate) fn tibia(talus: Arc<Grid>) -> Sculpt {
    let ankle = plan::ankle();
    // The loft runs up the leg: its x is the height.
    let shaft = Loft::new(
        2.0,
        &[
            section(66.0, 17.0, 15.0).square(2.8).mid(61.0, -4.5),
            section(92.0, 18.5, 16.5).square(2.8).mid(61.0, -4.5),
            section(102.0, 18.0, 17.5).square(2.6).mid(60.5, -4.5),
            section(118.0, 15.0, 15.5).square(2.3).mid(59.5, -5.5),
            section(145.0, 12.6, 12.6).mid(59.5, -5.2),
            section(190.0, 12.2, 11.4).mid(60.0, -4.4),
            section(LEG_TOP_MM, 13.2, 11.6).mid(60.5, -3.4),
        ],
    );
    let field = move |q: P| {
        let mut d = shaft.at(p(q.y, q.x, q.z));
        // Plafond: concentric with the trochlea.
        let hollow = (q.x - ankle.x).hypot(q.y - ankle.y) - (plan::TROCHLEA_RADIUS - 0.5 + GAP_MM);
        d = carve(d, hollow, 1.5);
        d = meet(
            d,
            plane(q, p(60.0, ankle.y + 13.0, 0.0), p(0.0, -1.0, 0.0)),
            2.0,
        );
        // Inner malleolus.
        let malleolus = join(
            horn(q, p(62.0, 101.0, -20.5), p(66.5, 77.0, -27.0), 12.5, 6.8),
            horn(q, p(56.0, 99.0, -19.0), p(57.0, 80.0, -25.5), 10.5, 6.0),
            5.0,
        );
        d = join(d, malleolus, 4.0);
        carve(d, talus.at(q) - GAP_MM, 1.2)
    };
    Sculpt::new(
        "tibia",
        p(36.0, 64.0, -38.0),
        p(86.0, LEG_TOP_MM + 3.0, 18.0),
        field,
    )
    .step(1.0)
    .cortex_by(|q| 1.2 + 3.0 * ((q.y - 105.0) / 70.0).clamp(0.0, 1.0))
}

/// Shaft and outer malleolus, its tip lower and further back than the inner one.
pub(crate) fn fibula(talus: Arc<Grid>, tibia: Arc<Grid>, calcaneus: Arc<Grid>) -> Sculpt {
    let shaft = Loft::new(
        3.0,
        &[
            section(63.5, 3.2, 2.8).mid(57.0, 20.5),
            section(69.5, 7.0, 5.6).mid(57.5, 20.6),
            section(82.0, 10.0, 7.6).mid(56.5, 20.8),
            section(96.0, 8.8, 7.0).mid(55.0, 20.4),
            section(115.0, 6.6, 5.6).mid(54.0, 18.6),
            section(150.0, 5.4, 5.0).mid(51.0, 17.0),
            section(LEG_TOP_MM, 6.0, 5.2).mid(46.0, 18.0),
        ],
    );
    let field = move |q: P| {
        let d = shaft.at(p(q.y, q.x, q.z));
        let d = carve(d, tibia.at(q) - 2.0, 1.5);
        let d = carve(d, calcaneus.at(q) - 4.0, 1.5);
        carve(d, talus.at(q) - GAP_MM, 1.5)
    };
    Sculpt::new(
        "fibula",
        p(36.0, 58.0, 6.0),
        p(72.0, LEG_TOP_MM + 3.0, 32.0),
        field,
    )
    .step(0.9)
    .cortex_by(|q| 1.1 + 1.2 * ((q.y - 95.0) / 40.0).clamp(0.0, 1.0))
}

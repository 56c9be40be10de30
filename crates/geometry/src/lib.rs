//! Points, lines, fits and exact derivatives, without a clinical word.
//!
//! # Architecture invariant
//! Nothing here knows what a bone or a film is, and nothing here knows pixels from millimetres: every
//! function keeps the unit it is given. Angles are in radians here and become degrees above.
//!
//! * [`dual`]: numbers that carry their exact gradient, and the [`Real`] trait shared with `f64`;
//! * [`plane`]: directions, turns, bisectors, feet of perpendiculars in the plane;
//! * [`fit`]: a line and a circle through measured points;
//! * [`covariance`]: 2 × 2 covariances, checked and turned.

pub mod covariance;
pub mod dual;
pub mod fit;
pub mod plane;

pub use covariance::{BadCovariance, Covariance2};
pub use dual::{Dual, Real};
pub use plane::{Line, Vec2};

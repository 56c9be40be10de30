//! How is a foot drawn through a point source?
//!
//! * [`camera`]: where a point falls; [`raster`]: how much of a solid each ray crosses;
//! * [`scene`]: which solids there are and how much each holds back; [`texture`]: how uneven spongy bone is;
//! * `plates`: where joints are, and so dense subchondral bone;
//! * [`detector`]: scatter, blur, counts, and the grey levels that come out; [`marks`]: lead letters;
//! * [`offset`]: a surface moved inwards or outwards; [`shapes`]: boxes, rods and balls beside the foot.
//!
//! Nothing here knows a landmark or a reading.

pub(crate) mod blur;
pub mod camera;
pub mod detector;
pub(crate) mod marks;
pub mod offset;
pub(crate) mod plates;
pub mod raster;
pub mod scene;
pub mod shapes;
pub(crate) mod texture;

pub use camera::{Beam, Camera, Setup};
pub use raster::{BehindSource, thickness_mm};
pub use scene::{Ball, Body, Filler, Scene, attenuation};

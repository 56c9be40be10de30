//! How does a footprint, or a grid of pressures, become indices of the arch with their error?
//!
//! * [`Sheet`]: a picture or a grid as it came, with [`Scale`] and [`Medium`]; [`recording`] reads a text of pressures;
//! * [`Work`] is what is kept beside the file: how it was taken and its steps;
//! * [`find`] makes [`Steps`]: light, level, a line between feet that touch, feet, side, axis, toe line, each found or set by hand;
//! * [`read`] makes [`PrintReadings`] of a sheet and its steps: pure, the same for the same input.
//!
//! One surprise: nothing is turned or resampled. The outline is found within the cells where the values pass the
//! level, and every index is worked out on that line, in the foot's own frame on the ground.

mod divide;
mod draw;
mod error;
mod feet;
mod field;
mod find;
mod foot;
mod index;
mod level;
mod light;
mod loads;
mod measure;
mod nodes;
mod outline;
mod pressure_text;
mod printed;
mod read;
mod rings;
mod scale;
mod shape;
mod sheet;
mod spots;
mod steps;
mod toes;
mod work;

pub use divide::Divide;
pub use error::PrintError;
pub use find::{Wish, find, printed_cells};
pub use index::{Index, Region};
pub use level::{Level, Parted, otsu};
pub use light::Light;
pub use loads::{PathPoint, PressureReading, RegionLoad};
pub use pressure_text::{PressureUnit, Recording, recording};
pub use read::{
    Drawn, ErrorParts, FootReadings, IndexReading, Missing, PrintReadings, Split, read,
};
pub use scale::{POINTING_PX, Paper, Pitch, SCANNER_ERROR, Scale, Scaling};
pub use sheet::{LEAST_CELLS, MOST_CELLS, Medium, Seen, Sheet};
pub use steps::{
    Axis, By, Doubt, FORMAT, FootSteps, Place, SURE, Step, Steps, ToeLine, Told, VERSION,
};
pub use work::{METHOD_VERSION, Taken, WORK_FORMAT, WORK_VERSION, Work, kept_readings, opened};

//! How do a scan and a prescription become files, a strength table and papers?
//!
//! The same for the pages, for the command line and for the demo: nothing here knows a screen, a store or a
//! clock.
//!
//! * [`foot`]: what came in becomes a foot; [`facts`]: what a foot tells `care`;
//! * [`sheet`]: what an order keeps; [`sizes`]: how large the foot is;
//! * [`files`]: STL and 3MF, checked, read back and measured;
//! * [`strength`]: how far it bends, and whether it lasts;
//! * [`paper`]: the order sheet.

pub mod facts;
pub mod files;
pub mod foot;
pub mod paper;
pub mod sheet;
pub mod sizes;
pub mod strength;

pub use files::{Files, MadeFile, Product, make};
pub use foot::{Asked, Measures, OpenFoot, of_measures, of_scan, of_scan_told};
pub use sheet::{Sheet, Wish};
pub use strength::Computed;

use knowledge::Knowledge;
use shell::{Making, Prescription};

/// Thinnest loaded wall and smallest rounding of a material's process, as far as the knowledge folder has
/// them.
///
/// # Sources
/// The walls of the folder's materials. Where a process has none (sheets are bought, not grown), nothing is
/// made under [`LEAST_WALL_MM`]: common practice.
pub fn making(knowledge: &Knowledge, wanted: &Prescription) -> Making {
    let material = knowledge.material(&wanted.shell.material);
    let making = material.map(|m| &m.making);
    let figure = |f: Option<&knowledge::Figure>| f.and_then(|f| f.usual());
    Making {
        least_wall_mm: making
            .and_then(|m| figure(m.min_wall_loaded.as_ref()).or(figure(m.min_wall.as_ref())))
            .unwrap_or(LEAST_WALL_MM),
        least_radius_mm: making
            .and_then(|m| figure(m.min_fillet.as_ref()))
            .unwrap_or(0.5),
    }
}

const LEAST_WALL_MM: f64 = 1.0;

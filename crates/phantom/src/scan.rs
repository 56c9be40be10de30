//! What does a scanner make of an invented foot?
//!
//! A [`ScanSpec`] names a skin and everything that goes wrong between it and a file: noise, holes, spikes,
//! stray pieces, a plate or a foam box, doubled and flipped faces, another unit, any direction. A [`Scan`]
//! is the surface in the file's own coordinates with the truth about it.
//!
//! * [`density`]: as many triangles as asked; [`damage`]: what is torn and bent; [`around`]: what else was in
//!   the picture; [`hand`]: what is no foot at all; [`presets`]: scans with names.
//!
//! One surprise: an impression in foam is a height field seen from above; its faces look up, into the foot.

mod around;
mod damage;
mod density;
mod hand;
pub mod presets;

pub use presets::{Refusal, presets, refused};

use crate::Mesh;
use crate::foot::{BadSpec, FootSpec};
use crate::skin::build::Dice;
use crate::skin::{Frame, Load, Mark, Sizes, Skin, SkinSpec, build_skin};
use damage::Damage;
use nalgebra::{Matrix3, Rotation3, Vector3};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::Side;

/// The unit of a file's numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    Millimetre,
    Centimetre,
    Metre,
    Inch,
}

impl Unit {
    pub fn mm(self) -> f64 {
        match self {
            Unit::Millimetre => 1.0,
            Unit::Centimetre => 10.0,
            Unit::Metre => 1000.0,
            Unit::Inch => 25.4,
        }
    }
}

/// What of the subject is in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    Whole,
    /// Scanned from above only: the sole is missing.
    Upper,
    /// Ends in the arch; heel kept.
    Rear,
    /// Begins in the arch; toes kept.
    Front,
    /// The other foot stands beside it in the same file.
    BothFeet,
    /// No foot: a hand.
    Hand,
}

/// What stands or lies around the foot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub enum Ground {
    Nothing,
    /// A flat plate so far below the lowest skin, seen around the foot.
    Plate {
        below_mm: f64,
    },
    /// The sole pressed so deep into a block; the block's top with the impression is all that is seen.
    FoamBox {
        depth_mm: f64,
    },
}

/// Where holes are torn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    BetweenToes,
    Arch,
    Anywhere,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Holes {
    pub place: Place,
    pub count: usize,
    pub diameter_mm: f64,
}

/// Everything a scan is made from; the same spec always gives the same bytes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct ScanSpec {
    /// What this scan is there for.
    pub name: String,
    pub skin: SkinSpec,
    pub part: Part,
    /// Triangles of the whole closed surface, before anything is taken from it or added.
    pub triangles: usize,
    pub seed: u64,
    /// Standard deviation of the noise along the surface's normal.
    pub noise_mm: f64,
    /// Over what distance noise is alike.
    pub noise_reach_mm: f64,
    pub holes: Vec<Holes>,
    /// Single vertices thrown far out.
    pub spikes: usize,
    /// Pieces of surface that float beside the foot.
    pub strays: usize,
    /// Patches that are there twice, some exactly, some a little apart.
    pub doubled: usize,
    /// Patches turned inside out.
    pub flipped: usize,
    /// The whole surface turned inside out.
    pub inside_out: bool,
    pub ground: Ground,
    /// Everything below this height is pressed flat, as on a glass plate.
    pub plate_cut_mm: f64,
    /// The leg's cut is closed with a lid.
    pub lid: bool,
    pub unit: Unit,
    /// Turned about x, then y, then z of the world.
    pub turn_deg: [f64; 3],
    pub shift_mm: [f64; 3],
    /// The file shows the mirror image: the other side, as far as anybody can see.
    pub mirrored: bool,
    /// A wrong scale on top of the unit; 1 is true.
    pub scale: f64,
}

impl Default for ScanSpec {
    /// A clean scan of the plain foot, hanging free.
    fn default() -> ScanSpec {
        ScanSpec {
            name: "plain foot".into(),
            skin: SkinSpec::of(FootSpec::adult(), Load::Hanging),
            part: Part::Whole,
            triangles: 100_000,
            seed: 1,
            noise_mm: 0.0,
            noise_reach_mm: 4.0,
            holes: vec![],
            spikes: 0,
            strays: 0,
            doubled: 0,
            flipped: 0,
            inside_out: false,
            ground: Ground::Nothing,
            plate_cut_mm: 0.0,
            lid: false,
            unit: Unit::Millimetre,
            turn_deg: [0.0; 3],
            shift_mm: [0.0; 3],
            mirrored: false,
            scale: 1.0,
        }
    }
}

/// `file = linear · world + shift`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Transform {
    /// Row by row.
    pub linear: [[f64; 3]; 3],
    pub shift: [f64; 3],
}

impl Transform {
    pub fn point(&self, q: [f64; 3]) -> [f64; 3] {
        let turned = self.direction(q);
        [0, 1, 2].map(|k| turned[k] + self.shift[k])
    }

    /// The linear part alone; lengths change with the unit.
    pub fn direction(&self, q: [f64; 3]) -> [f64; 3] {
        self.linear
            .map(|row| row[0] * q[0] + row[1] * q[1] + row[2] * q[2])
    }

    /// The way back; itself where there is none, which no spec leads to.
    pub fn inverse(&self) -> Transform {
        let m = Matrix3::from_fn(|i, j| self.linear[i][j]);
        let Some(back) = m.try_inverse() else {
            return *self;
        };
        let shift = back * -Vector3::from(self.shift);
        Transform {
            linear: [0, 1, 2].map(|i| [0, 1, 2].map(|j| back[(i, j)])),
            shift: shift.into(),
        }
    }
}

/// What is true of a scan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// Whose foot it is.
    pub side: Side,
    /// Which foot it looks like: the other one where the file is mirrored.
    pub shown_side: Side,
    pub load: Load,
    pub unit: Unit,
    /// World: mm, x forward, y up, z to the person's right.
    pub file_from_world: Transform,
    /// In the file's coordinates, also where the scan has lost the place.
    pub marks: BTreeMap<Mark, [f64; 3]>,
    /// The foot's own frame, in the world.
    pub frame_in_world: Frame,
    /// Of the clean skin, in true millimetres.
    pub sizes: Sizes,
}

impl Truth {
    /// A point of the file in the foot's frame: mm along the long axis from the rearmost heel, to the inner
    /// side, and up from the ground.
    pub fn in_foot_frame(&self, file: [f64; 3]) -> [f64; 3] {
        self.frame_in_world
            .local(self.file_from_world.inverse().point(file))
    }

    pub fn mark_in_foot_frame(&self, mark: Mark) -> Option<[f64; 3]> {
        self.marks.get(&mark).map(|&q| self.in_foot_frame(q))
    }
}

/// A scan as a file would hold it.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    pub spec: ScanSpec,
    /// In the file's coordinates.
    pub mesh: Mesh,
    /// Nothing is true of what is no foot.
    pub truth: Option<Truth>,
}

/// How far the other foot stands beside this one.
const STANCE_MM: f64 = 190.0;

/// Makes the scan that the spec asks for.
///
/// # Errors
/// A foot that cannot be built, or a number outside what a scan can have.
pub fn make(spec: &ScanSpec) -> Result<Scan, BadSpec> {
    check(spec)?;
    let file_from_world = file_from_world(spec);
    let mut dice = Dice::new(spec.seed);
    let (mesh, truth) = if spec.part == Part::Hand {
        let mesh = density::with(&hand::mesh(), spec.triangles, |q| q);
        (Damage::new(spec, &mut dice).done(mesh, None), None)
    } else {
        let skin = build_skin(&spec.skin)?;
        let truth = truth(spec, &skin, file_from_world);
        let mesh = match spec.ground {
            Ground::FoamBox { depth_mm } => {
                let block = around::impression(&skin.mesh, depth_mm, spec.triangles);
                Damage::new(spec, &mut dice).done(block, Some(&skin))
            }
            _ => {
                let mut mesh = foot(spec, &skin, &mut dice)?;
                if let Ground::Plate { below_mm } = spec.ground {
                    let plate = around::plate(&skin.mesh, -below_mm);
                    mesh = around::beside(mesh, &damage::noisy(plate, spec, &mut dice));
                }
                mesh
            }
        };
        (mesh, Some(truth))
    };
    let mut mesh = mesh.map(|v| file_from_world.point(v));
    // A mirror image turns a surface over; two turns leave it as it was.
    if spec.mirrored != spec.inside_out {
        mesh = mesh.turned_inside_out();
    }
    Ok(Scan {
        spec: spec.clone(),
        mesh,
        truth,
    })
}

fn foot(spec: &ScanSpec, skin: &Skin, dice: &mut Dice) -> Result<Mesh, BadSpec> {
    if spec.part == Part::BothFeet {
        let one = density::with(&skin.mesh, spec.triangles / 2, |q| skin.settled(q));
        let other_skin = build_skin(&spec.skin.mirrored())?;
        let other = density::with(&other_skin.mesh, spec.triangles / 2, |q| {
            other_skin.settled(q)
        });
        let across = if spec.skin.foot.side == Side::Right {
            -STANCE_MM
        } else {
            STANCE_MM
        };
        let one = Damage::new(spec, dice).done(one, Some(skin));
        let other = Damage::new(spec, dice).done(other, Some(&other_skin));
        return Ok(around::beside(
            one,
            &other.map(|v| [v[0], v[1], v[2] + across]),
        ));
    }
    let mesh = density::with(&skin.mesh, spec.triangles, |q| skin.settled(q));
    Ok(Damage::new(spec, dice).done(mesh, Some(skin)))
}

fn truth(spec: &ScanSpec, skin: &Skin, file_from_world: Transform) -> Truth {
    let side = spec.skin.foot.side;
    Truth {
        side,
        shown_side: if spec.mirrored { side.other() } else { side },
        load: spec.skin.load,
        unit: spec.unit,
        file_from_world,
        marks: skin
            .marks
            .points
            .iter()
            .map(|(&m, &q)| (m, file_from_world.point(q)))
            .collect(),
        frame_in_world: skin.marks.frame,
        sizes: skin.sizes.clone(),
    }
}

fn file_from_world(spec: &ScanSpec) -> Transform {
    let [x, y, z] = spec.turn_deg.map(f64::to_radians);
    let turn = Rotation3::from_axis_angle(&Vector3::z_axis(), z)
        * Rotation3::from_axis_angle(&Vector3::y_axis(), y)
        * Rotation3::from_axis_angle(&Vector3::x_axis(), x);
    let mirror = if spec.mirrored { -1.0 } else { 1.0 };
    let mut linear = *turn.matrix() * Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, mirror));
    let scale = spec.scale / spec.unit.mm();
    linear *= scale;
    Transform {
        linear: [0, 1, 2].map(|i| [0, 1, 2].map(|j| linear[(i, j)])),
        shift: spec.shift_mm.map(|s| s * scale),
    }
}

fn check(spec: &ScanSpec) -> Result<(), BadSpec> {
    let foam = match spec.ground {
        Ground::FoamBox { depth_mm } => depth_mm,
        _ => 25.0,
    };
    let below = match spec.ground {
        Ground::Plate { below_mm } => below_mm,
        _ => 0.0,
    };
    let largest_hole = spec.holes.iter().map(|h| h.diameter_mm).fold(1.0, f64::max);
    let most_holes = spec.holes.iter().map(|h| h.count).max().unwrap_or(0);
    let numbers = [
        ("number of triangles", spec.triangles as f64, 200.0, 2e6),
        ("noise in mm", spec.noise_mm, 0.0, 5.0),
        ("reach of the noise in mm", spec.noise_reach_mm, 0.5, 50.0),
        ("hole diameter in mm", largest_hole, 0.1, 100.0),
        ("holes of one kind", most_holes as f64, 0.0, 200.0),
        ("spikes", spec.spikes as f64, 0.0, 10_000.0),
        ("stray pieces", spec.strays as f64, 0.0, 200.0),
        ("doubled patches", spec.doubled as f64, 0.0, 200.0),
        ("flipped patches", spec.flipped as f64, 0.0, 200.0),
        ("depth of the foam impression in mm", foam, 3.0, 80.0),
        (
            "distance of the plate below the foot in mm",
            below,
            0.0,
            100.0,
        ),
        (
            "height of the glass plate in mm",
            spec.plate_cut_mm,
            0.0,
            30.0,
        ),
        ("scale", spec.scale, 1e-6, 1e6),
    ];
    let places = spec
        .turn_deg
        .into_iter()
        .chain(spec.shift_mm)
        .map(|v| ("turn or shift", v, -1e6, 1e6));
    for (what, found, low, high) in numbers.into_iter().chain(places) {
        if !(low..=high).contains(&found) {
            return Err(BadSpec {
                what,
                found,
                expected: "a number that a scan can have; give a smaller or larger one",
            });
        }
    }
    Ok(())
}

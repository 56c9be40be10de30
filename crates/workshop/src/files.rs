//! How are the files made: the device at full detail, simplified, checked, written, read back and measured?

use crate::foot::OpenFoot;
use crate::sheet::Wish;
use knowledge::{Knowledge, Material};
use mesh::check::{self, Options, WallOptions, wall_where};
use mesh::near::Tree;
use mesh::simplify::{Target, simplify};
use mesh::write::{self, Model};
use rayon::prelude::*;
use serde::Serialize;
use shell::measured::{Dimension, dimensions};
use shell::{Body, Detail, Device, Making, Part, solid};
use std::sync::Arc;
use terms::{Side, sentence};

/// Told how far the work is (0 to 1) and what comes next; answers `None` to stop it.
pub type Step<'a> = &'a mut dyn FnMut(f64, &'static str) -> Option<()>;

/// What is made of an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Product {
    /// The shell and its posts, to be printed.
    Shell,
    /// The corrected positive, to form a sheet over.
    Positive,
}

impl Product {
    pub fn of(material: Option<&Material>) -> Product {
        match material {
            Some(m) if !m.process.is_printed() => Product::Positive,
            _ => Product::Shell,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Product::Shell => "shell to print",
            Product::Positive => "corrected positive to form a sheet over",
        }
    }
}

/// One body as it was written and read back.
#[derive(Debug, Clone, Serialize)]
pub struct BodyFacts {
    pub name: &'static str,
    pub triangles: usize,
    pub volume_cm3: f64,
    /// Thinnest wall of more than a speck, mm, where it was looked for.
    pub thinnest_mm: Option<f64>,
    /// Where that is, foot frame, mm: on one face and across from it.
    pub thinnest_at: Option<[[f64; 3]; 2]>,
    /// Why it is no sound solid; empty for one that is.
    pub faults: Vec<String>,
}

/// One file, ready to be given out.
pub struct MadeFile {
    /// Its name in the address: `shell.stl`.
    pub name: String,
    pub words: String,
    pub media_type: &'static str,
    pub bytes: Vec<u8>,
}

/// Everything that was made.
pub struct Files {
    pub product: Product,
    pub bodies: Vec<BodyFacts>,
    pub dimensions: Vec<Dimension>,
    pub cautions: Vec<String>,
    pub files: Vec<MadeFile>,
    pub device: Arc<Device>,
    pub wish: Wish,
}

impl Files {
    pub fn is_sound(&self) -> bool {
        self.bodies.iter().all(|b| b.faults.is_empty())
    }

    pub fn file(&self, name: &str) -> Option<&MadeFile> {
        self.files.iter().find(|f| f.name == name)
    }
}

impl BodyFacts {
    /// Size and soundness in one line.
    pub fn words(&self) -> String {
        let mut words = format!(
            "{} triangles, {} cm³",
            self.triangles,
            quantity::written(self.volume_cm3, 1)
        );
        if let Some(thin) = self.thinnest_mm {
            words.push_str(&format!(
                ", thinnest wall {} mm",
                quantity::written(thin, 2)
            ));
        }
        if self.faults.is_empty() {
            words.push_str("; closed, and clear of itself");
        }
        words
    }
}

/// Makes everything of an order; `None` where `step` stopped it.
///
/// # Errors
/// What `shell` refuses, and what cannot be written, in one sentence.
pub fn make(
    open: &OpenFoot,
    wish: Wish,
    making: Making,
    knowledge: &Knowledge,
    step: Step<'_>,
) -> Option<Result<Files, String>> {
    let wanted = &wish.sheet.prescription;
    let material = knowledge.material(&wanted.shell.material);
    let product = Product::of(material);
    step(0.05, "Shaping the device at full detail")?;
    let device = match shell::build(&wish.foot(&open.foot), wanted, &making, Detail::FINAL) {
        Ok(device) => device,
        Err(fault) => return Some(Err(fault.to_string())),
    };
    let mut full: Vec<Body> = device.bodies.clone();
    if product == Product::Positive {
        step(0.35, "Shaping the corrected positive")?;
        full.push(positive(&device));
    }
    step(
        0.4,
        "Leaving out triangles that flat places do not need, and checking every body",
    )?;
    let (bodies, facts): (Vec<Body>, Vec<BodyFacts>) = full
        .into_par_iter()
        .map(|body| simplified(body, &device))
        .unzip();
    if let Some(thin) = facts.iter().find_map(|f| too_thin(f, &making, &device)) {
        return Some(Err(thin));
    }
    step(0.7, "Writing STL and 3MF")?;
    let files = match written(&bodies, device.side, &wish, product, material) {
        Ok(files) => files,
        Err(fault) => return Some(Err(fault)),
    };
    step(0.85, "Reading the files back and measuring them")?;
    let read = match read_back(&files, &bodies, device.side) {
        Ok(read) => read,
        Err(fault) => return Some(Err(fault)),
    };
    let dimensions = dimensions(&device, wanted, &read);
    let cautions: Vec<String> = device.cautions.iter().map(|c| sentence(&c.0)).collect();
    step(0.99, "Done")?;
    Some(Ok(Files {
        product,
        bodies: facts,
        dimensions,
        cautions,
        files,
        device: Arc::new(device),
        wish,
    }))
}

/// To which dimensions are kept: a wall asked for as thin as the process makes is not refused for a hair.
const KEPT_MM: f64 = 0.1;

/// A wall under what the process makes, and where it is; `None` where all walls are thick enough.
fn too_thin(body: &BodyFacts, making: &Making, device: &Device) -> Option<String> {
    let (thin, at) = (body.thinnest_mm?, body.thinnest_at?);
    if thin >= making.least_wall_mm - KEPT_MM {
        return None;
    }
    let number = |v: f64| quantity::written_short(v, 1);
    let side = if at[0][1] > device.layout.heel[1] {
        "inner"
    } else {
        "outer"
    };
    Some(format!(
        "found the {} only {} mm thick {} mm in front of the heel's back, on the {side} side; expected at least {} mm everywhere: move the trim line there, or change the correction that ends there",
        body.name,
        number(thin),
        number(at[0][0]),
        number(making.least_wall_mm)
    ))
}

/// How far a written body may lie from the shaped one: a fifth of what the dimensions are held to.
pub const SIMPLIFIED_BY_MM: f64 = 0.02;

/// The body with fewer triangles where that leaves it sound, else as it was shaped.
fn simplified(body: Body, device: &Device) -> (Body, BodyFacts) {
    let target = Target {
        deviation: Some(SIMPLIFIED_BY_MM),
        triangles: None,
    };
    let fewer = Body {
        part: body.part,
        mesh: simplify(&body.mesh, &target).mesh,
    };
    let fact = checked(&fewer, device);
    if fact.faults.is_empty() {
        return (fewer, fact);
    }
    let fact = checked(&body, device);
    (body, fact)
}

/// Faces that lean more than this are an edge's, not a wall's (own judgement; at 45° every slanted rim counts as a
/// wall that ends thin).
const WALLS: WallOptions = WallOptions {
    spacing_mm: 1.0,
    parallel_within_deg: 25.0,
};

fn checked(body: &Body, device: &Device) -> BodyFacts {
    let options = Options {
        crossings: true,
        wall: None,
    };
    let report = check::check(&body.mesh, &options);
    let wall = (body.part == Part::Shell && report.is_sound())
        .then(|| {
            let tree = Tree::of(&body.mesh);
            wall_where(&body.mesh, &tree, &WALLS, |p| device.on_wall(p))
        })
        .flatten();
    BodyFacts {
        name: body.part.words(),
        triangles: report.triangles,
        volume_cm3: report.volume.unwrap_or(0.0) / 1000.0,
        thinnest_mm: wall.map(|w| w.least_of_size),
        thinnest_at: wall.map(|w| w.least_of_size_at),
        faults: report
            .faults
            .iter()
            .map(|f| sentence(&f.to_string()))
            .collect(),
    }
}

/// Room above the shell's rim on a positive, so that a sheet can be drawn past it (common practice).
const ABOVE_RIM_MM: f64 = 10.0;

fn positive(device: &Device) -> Body {
    let layout = &device.layout;
    let highest = (0..layout.rays.len())
        .map(|i| layout.at(i as f64, layout.rim(i as f64)).0.z)
        .fold(0.0, f64::max);
    solid::positive_block(
        &device.positive,
        Detail::FINAL.layout_mm,
        highest + ABOVE_RIM_MM,
    )
}

/// How bodies are shown in a 3MF; it says nothing of what they are made of.
fn colour(part: Part) -> [u8; 3] {
    match part {
        Part::Shell => [47, 107, 94],
        Part::RearfootPost => [138, 87, 13],
        Part::ForefootPost => [92, 98, 95],
        Part::Positive => [216, 210, 196],
    }
}

fn written(
    bodies: &[Body],
    side: Side,
    wish: &Wish,
    product: Product,
    material: Option<&Material>,
) -> Result<Vec<MadeFile>, String> {
    let code = &wish.sheet.prescription.order_code;
    let mut files = Vec::new();
    let in_hand: Vec<(Part, mesh::Mesh)> =
        bodies.iter().map(|b| (b.part, b.in_hand(side))).collect();
    for (part, mesh) in &in_hand {
        let title = format!("{code} {} {}", side.word(), part.words());
        files.push(MadeFile {
            name: format!("{}.stl", part.key()),
            words: format!("{}, STL, millimetres", part.words()),
            media_type: "model/stl",
            bytes: write::stl(mesh, &title).map_err(|e| e.to_string())?,
        });
    }
    let name = material.map_or("not said", |m| m.name.as_str());
    let parts: Vec<write::Body<'_>> = in_hand
        .iter()
        .filter(|(part, _)| (*part == Part::Positive) == (product == Product::Positive))
        .map(|(part, mesh)| write::Body {
            name: part.words(),
            mesh,
            material: write::Material {
                name: if product == Product::Positive {
                    "to be milled"
                } else {
                    name
                },
                colour: colour(*part),
            },
        })
        .collect();
    let title = format!("{code} {}", side.word());
    files.push(MadeFile {
        name: "device.3mf".to_owned(),
        words: format!("{}, 3MF with names, material and unit", product.words()),
        media_type: "model/3mf",
        bytes: write::three_mf(&Model {
            title: &title,
            description: None,
            bodies: &parts,
        })
        .map_err(|e| e.to_string())?,
    });
    Ok(files)
}

/// The bodies as the STL files hold them, back in the foot frame.
fn read_back(
    files: &[MadeFile],
    bodies: &[Body],
    side: Side,
) -> Result<Vec<(Part, mesh::Mesh)>, String> {
    bodies
        .iter()
        .filter(|b| b.part != Part::Positive)
        .map(|b| {
            let name = format!("{}.stl", b.part.key());
            let file = files.iter().find(|f| f.name == name);
            let bytes = file.map_or(&[][..], |f| &f.bytes);
            let read = mesh::read(bytes).map_err(|e| e.to_string())?;
            let body = Body {
                part: b.part,
                mesh: read.mesh,
            };
            // Mirroring twice is none.
            Ok((b.part, body.in_hand(side)))
        })
        .collect()
}

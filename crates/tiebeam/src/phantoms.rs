//! `tiebeam phantom`: films of an invented foot, or of bones from files, with the truth beside them.

use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use phantom::expose::dicom::Paper;
use phantom::expose::{
    BallWish, Exposure, MadeOf, MeshBone, MeshFoot, PhantomFilm, expose, expose_meshes,
};
use phantom::meshfile::{self, Axes, Axis, Holes, Told, bone_name};
use phantom::{Age, FootSpec, Pose};
use reading::PointSet;
use serde_json::json;
use std::fs;
use std::path::{Path, PathBuf};
use terms::{Side, View};
use time::macros::datetime;

#[derive(clap::Args)]
pub struct Args {
    /// Where the files go; made where it is not there
    #[arg(long, default_value = "phantom")]
    out: PathBuf,
    /// One view only; all four without it
    #[arg(long, value_enum)]
    view: Option<ViewWord>,
    /// Right without it; for bones from files, the side that they show
    #[arg(long, value_enum)]
    side: Option<SideWord>,
    /// How far the arch is down, 0 (plain foot) to 1
    #[arg(long, default_value_t = 0.0)]
    collapse: f64,
    /// Foot length in millimetres; an adult's 255 or the usual one of the child's age without it
    #[arg(long)]
    length: Option<f64>,
    /// A child of this age in years
    #[arg(long)]
    child: Option<f64>,
    /// Toes turned to the outer side, degrees
    #[arg(long, default_value_t = 0.0)]
    rotation: f64,
    /// A 30 mm steel ball beside the foot
    #[arg(long)]
    ball: bool,
    /// Small variations of the bones between people, and of noise and texture
    #[arg(long, default_value_t = 0)]
    seed: u64,
    /// A whole foot as a JSON specification instead of the options above
    #[arg(long)]
    spec: Option<PathBuf>,
    /// Draw the bones of this folder of mesh files (STL, OBJ, PLY, VTP, 3MF) instead of our own; a file named
    /// after its bone ("metatarsal-1.stl") gives that bone's points
    #[arg(long, conflicts_with_all = ["spec", "child", "collapse", "length"])]
    meshes: Option<PathBuf>,
    /// Which of the files' axes runs forward (x, -y, ...); found from the bones without it
    #[arg(long, requires_all = ["meshes", "up"], allow_hyphen_values = true)]
    forward: Option<Axis>,
    /// Which of the files' axes runs up
    #[arg(long, requires_all = ["meshes", "forward"], allow_hyphen_values = true)]
    up: Option<Axis>,
    /// How high the floor lies in the files' frame, mm; 9 mm below the lowest bone without it
    #[arg(long, requires = "meshes", allow_hyphen_values = true)]
    floor: Option<f64>,
    /// Write an invented foot scan (STL) instead of films: its number in the list, from 1; 0 writes all. The
    /// numbers after the feet are scans that must be refused: cut through, a hand, and so on
    #[arg(long, conflicts_with_all = ["meshes", "spec", "view"])]
    scan: Option<usize>,
}

#[derive(Clone, Copy, ValueEnum)]
enum ViewWord {
    Lateral,
    Dorsoplantar,
    HindfootAlignment,
    AnkleFront,
}

#[derive(Clone, Copy, ValueEnum)]
enum SideWord {
    Left,
    Right,
}

/// Invented foot scans, each with what went wrong with it as its name.
fn scans(out: &Path, number: usize) -> Result<()> {
    let mut presets = phantom::scan::presets();
    if number > presets.len() {
        presets.extend(phantom::scan::refused().into_iter().map(|(spec, _)| spec));
    }
    if number > presets.len() {
        return Err(anyhow!(
            "found the number {number}; expected 1 to {}, or 0 for all",
            presets.len()
        ));
    }
    for (n, spec) in presets.iter().enumerate() {
        if number != 0 && number != n + 1 {
            continue;
        }
        let scan = phantom::scan::make(spec)?;
        let bytes = mesh::write::stl(&scan.mesh, &spec.name)?;
        let path = out.join(format!("scan-{:02}.stl", n + 1));
        fs::write(&path, bytes)
            .with_context(|| format!("{} could not be written", path.display()))?;
        println!("{}: {}", path.display(), spec.name);
    }
    Ok(())
}

pub fn run(args: &Args) -> Result<()> {
    fs::create_dir_all(&args.out)
        .with_context(|| format!("the folder {} could not be made", args.out.display()))?;
    if let Some(number) = args.scan {
        return scans(&args.out, number);
    }
    let side = args.side.map(|side| match side {
        SideWord::Left => Side::Left,
        SideWord::Right => Side::Right,
    });
    let views = match args.view {
        None => View::ALL.to_vec(),
        Some(ViewWord::Lateral) => vec![View::Lateral],
        Some(ViewWord::Dorsoplantar) => vec![View::Dorsoplantar],
        Some(ViewWord::HindfootAlignment) => vec![View::HindfootAlignment],
        Some(ViewWord::AnkleFront) => vec![View::AnkleFront],
    };
    let exposure = |usual: Exposure| Exposure {
        foot_rotation_deg: args.rotation,
        ball: args.ball.then_some(BallWish {
            diameter_mm: 30.0,
            centre_mm: None,
        }),
        seed: args.seed + 1,
        ..usual
    };
    if let Some(folder) = &args.meshes {
        let told = Told {
            axes: args
                .forward
                .zip(args.up)
                .map(|(forward, up)| Axes { forward, up }),
            side,
            floor_mm: args.floor,
        };
        let foot = mesh_foot(folder, &told)?;
        for view in views {
            let film = expose_meshes(&foot, &exposure(foot.usual_exposure(view)))?;
            write(
                &args.out,
                &film,
                args.seed,
                &json!({ "meshes": foot.bones.len() }),
            )?;
        }
        return Ok(());
    }
    let spec = match &args.spec {
        Some(path) => {
            let text = fs::read_to_string(path).with_context(|| {
                format!("the specification {} could not be read", path.display())
            })?;
            serde_json::from_str(&text)
                .with_context(|| format!("{} is no foot specification", path.display()))?
        }
        None => spec_of(args, side.unwrap_or(Side::Right)),
    };
    let foot = phantom::build(&spec)?;
    for view in views {
        let film = expose(&foot, &exposure(Exposure::usual(view)))?;
        write(&args.out, &film, args.seed, &serde_json::to_value(&spec)?)?;
    }
    Ok(())
}

fn spec_of(args: &Args, side: Side) -> FootSpec {
    let age = args.child.map_or(Age::Adult, |years| Age::Child { years });
    let usual = match age {
        Age::Adult => 255.0,
        Age::Child { years } => phantom::child::foot_length_mm(years, terms::Sex::Female),
    };
    FootSpec {
        side,
        foot_length_mm: args.length.unwrap_or(usual),
        age,
        pose: Pose::arch_collapse(args.collapse),
        seed: args.seed,
    }
}

/// The points file of a phantom film: its true points.
pub fn true_points(film: &PhantomFilm) -> PointSet {
    PointSet::at_places(film.exposure.view, Some(film.side), &film.landmarks_px)
}

fn write(out: &Path, film: &PhantomFilm, number: u64, spec: &serde_json::Value) -> Result<()> {
    let name = format!("{}-{}", film.side.word(), film.exposure.view.key());
    let view_number = View::ALL
        .iter()
        .position(|v| *v == film.exposure.view)
        .unwrap_or(0) as u64;
    // A fixed invented day, so that the same options give the same file.
    let paper = Paper::invented(
        datetime!(2026-01-01 12:00),
        number * 8 + view_number * 2 + u64::from(film.side == Side::Left),
    );
    let dicom = film.dicom(&paper)?;
    let opened = film::open(&dicom, &film::Limits::default())?;
    let picture = film::encode_png8(
        &opened.display8(opened.default_window()),
        opened.width,
        opened.height,
    )?;
    let set = true_points(film);
    let truth = json!({
        "invented": film.made_of == MadeOf::InventedFoot,
        "spec": spec,
        "film": film.facts(),
    });
    let put = |suffix: &str, bytes: &[u8]| {
        let path = out.join(format!("{name}{suffix}"));
        fs::write(&path, bytes).with_context(|| format!("{} could not be written", path.display()))
    };
    put(".dcm", &dicom)?;
    put(".png", &picture)?;
    put(".points.json", set.to_json().as_bytes())?;
    put(
        ".truth.json",
        serde_json::to_string_pretty(&truth)?.as_bytes(),
    )?;
    println!(
        "{}: {} × {} pixels, {} true points",
        out.join(name).display(),
        film.width,
        film.height,
        set.points.len()
    );
    Ok(())
}

/// The bones of a folder, standing; says which names carry no points and how the bones were stood.
fn mesh_foot(folder: &Path, told: &Told) -> Result<MeshFoot> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .with_context(|| format!("the folder {} could not be read", folder.display()))?
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| {
            p.extension().is_some_and(|e| {
                ["stl", "obj", "ply", "vtp", "3mf"]
                    .iter()
                    .any(|x| e.eq_ignore_ascii_case(x))
            })
        })
        .collect();
    files.sort();
    let mut meshes: Vec<(String, phantom::Mesh)> = Vec::new();
    for file in &files {
        let bytes =
            fs::read(file).with_context(|| format!("{} could not be read", file.display()))?;
        let read = meshfile::read(&bytes, None, Holes::Refuse)
            .with_context(|| format!("{}", file.display()))?;
        let stem = file
            .file_stem()
            .map(|n| n.to_string_lossy().into_owned())
            .unwrap_or_default();
        let name = match bone_name(&stem) {
            Some(name) if meshes.iter().any(|(n, _)| n == name) => {
                return Err(anyhow!(
                    "found two files for the {name} in {}; expected one: take one away",
                    folder.display()
                ));
            }
            Some(name) => name.to_owned(),
            None => {
                println!(
                    "{}: no known bone is called that; it is drawn and carries no points",
                    file.display()
                );
                stem
            }
        };
        meshes.push((name, read.mesh));
    }
    if meshes.is_empty() {
        return Err(anyhow!(
            "found no mesh in {}; expected STL, OBJ, PLY, VTP or 3MF files",
            folder.display()
        ));
    }
    let stood = meshfile::stand(&mut meshes, told)?;
    println!(
        "{} bones of a {} foot: forward is the files' {}, up {}, the floor at {:.1} mm",
        meshes.len(),
        stood.side.word(),
        stood.axes.forward,
        stood.axes.up,
        stood.floor_mm
    );
    let mut bones = Vec::new();
    for (name, mesh) in meshes {
        let told = format!("the bone {name}");
        bones.push(MeshBone::from_surface(name, &mesh).context(told)?);
    }
    Ok(MeshFoot {
        side: stood.side,
        bones,
        skin: None,
    })
}

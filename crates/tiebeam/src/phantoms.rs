//! `tiebeam phantom`: films of an invented foot, with the truth beside them.

use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use phantom::expose::dicom::Paper;
use phantom::expose::{BallWish, Exposure, MeshBone, MeshFoot, PhantomFilm, expose, expose_meshes};
use phantom::meshfile::{self, BoneRecipe, Holes, bone_from};
use phantom::{Age, FootSpec, Pose};
use reading::{PlacedPoint, PointSet};
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
    #[arg(long, value_enum, default_value = "right")]
    side: SideWord,
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
    /// Draw the bones of this folder of mesh files (STL, OBJ, PLY, VTP) instead of our own
    #[arg(long, conflicts_with_all = ["spec", "child", "collapse", "length"])]
    meshes: Option<PathBuf>,
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

pub fn run(args: &Args) -> Result<()> {
    fs::create_dir_all(&args.out)
        .with_context(|| format!("the folder {} could not be made", args.out.display()))?;
    let side = match args.side {
        SideWord::Left => Side::Left,
        SideWord::Right => Side::Right,
    };
    let views = match args.view {
        None => View::ALL.to_vec(),
        Some(ViewWord::Lateral) => vec![View::Lateral],
        Some(ViewWord::Dorsoplantar) => vec![View::Dorsoplantar],
        Some(ViewWord::HindfootAlignment) => vec![View::HindfootAlignment],
        Some(ViewWord::AnkleFront) => vec![View::AnkleFront],
    };
    let exposure = |view| Exposure {
        foot_rotation_deg: args.rotation,
        ball: args.ball.then_some(BallWish {
            diameter_mm: 30.0,
            centre_mm: None,
        }),
        seed: args.seed + 1,
        ..Exposure::usual(view)
    };
    if let Some(folder) = &args.meshes {
        let foot = mesh_foot(folder, side)?;
        for view in views {
            let film = expose_meshes(&foot, &exposure(view))?;
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
        None => spec_of(args, side),
    };
    let foot = phantom::build(&spec)?;
    for view in views {
        let film = expose(&foot, &exposure(view))?;
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
    let mut set = PointSet::new(film.exposure.view, Some(film.side));
    set.points = film
        .landmarks_px
        .iter()
        .map(|(k, p)| (k.clone(), PlacedPoint::at(p[0], p[1])))
        .collect();
    set
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
        "invented": true,
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

fn mesh_foot(folder: &Path, side: Side) -> Result<MeshFoot> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .with_context(|| format!("the folder {} could not be read", folder.display()))?
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| {
            p.extension().is_some_and(|e| {
                ["stl", "obj", "ply", "vtp"]
                    .iter()
                    .any(|x| e.eq_ignore_ascii_case(x))
            })
        })
        .collect();
    files.sort();
    let mut bones = Vec::new();
    for file in &files {
        let bytes =
            fs::read(file).with_context(|| format!("{} could not be read", file.display()))?;
        let read = meshfile::read(&bytes, None, Holes::Refuse)
            .with_context(|| format!("{}", file.display()))?;
        let name = file
            .file_stem()
            .map(|n| n.to_string_lossy().into_owned())
            .unwrap_or_default();
        let (outer, inner) = bone_from(&read.mesh, BoneRecipe::default())?;
        bones.push(MeshBone {
            name,
            outer,
            inner,
            density: 1.0,
        });
    }
    if bones.is_empty() {
        return Err(anyhow!(
            "found no mesh in {}; expected STL, OBJ, PLY or VTP files",
            folder.display()
        ));
    }
    Ok(MeshFoot {
        side,
        bones,
        skin: None,
    })
}

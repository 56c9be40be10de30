//! A marker file's own labels, and which of them is which point.

use super::{Args, ReadRises, doing};
use crate::person::SideWord;
use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use motion::marker::c3d::MarkerFile;
use motion::marker::plane::Up;
use motion::marker::{Roles, open};
use motion::work::MarkerWork;
use std::fs;
use std::path::Path;

// Of a marker file: which label is which point. Each once, or once for each `--side` in the same order. (A `///` here
// would become the help of the whole command.)
#[derive(clap::Args)]
pub struct Labels {
    /// Of a marker file: label low on the back of the heel
    #[arg(long, value_name = "LABEL")]
    heel: Vec<String>,
    /// Label higher on the back of the heel; without it there are heights and no angles
    #[arg(long, value_name = "LABEL")]
    heel_upper: Vec<String>,
    /// Label low on the leg's middle line, or a malleolus
    #[arg(long, value_name = "LABEL")]
    leg_lower: Vec<String>,
    /// Label high on the leg's middle line
    #[arg(long, value_name = "LABEL")]
    leg_upper: Vec<String>,
    /// Label at the head of the second metatarsal, for the foot's own direction
    #[arg(long, value_name = "LABEL")]
    metatarsal: Vec<String>,
    /// Which axis of the file points up [without it: z]
    #[arg(long, value_enum)]
    up: Option<UpWord>,
}

#[derive(Clone, Copy, ValueEnum)]
enum UpWord {
    X,
    Y,
    Z,
}

impl Labels {
    fn all(&self) -> [(&'static str, &Vec<String>); 5] {
        [
            ("--heel", &self.heel),
            ("--heel-upper", &self.heel_upper),
            ("--leg-lower", &self.leg_lower),
            ("--leg-upper", &self.leg_upper),
            ("--metatarsal", &self.metatarsal),
        ]
    }

    /// # Errors
    /// Labels where there are none to choose.
    pub fn none_given(&self) -> Result<()> {
        let given = self
            .all()
            .into_iter()
            .find(|(_, labels)| !labels.is_empty());
        match given.map(|(name, _)| name).or(self.up.map(|_| "--up")) {
            None => Ok(()),
            Some(name) => Err(anyhow!(
                "found {name} without a marker file; expected it with a C3D file alone; leave it out, or give the file"
            )),
        }
    }

    fn none_chosen(&self) -> bool {
        self.all().into_iter().all(|(_, labels)| labels.is_empty())
    }

    /// # Errors
    /// A side without its labels, or labels without a side.
    fn roles(&self, sides: &[SideWord]) -> Result<Vec<Roles>> {
        if sides.is_empty() {
            return Err(anyhow!(
                "found labels and no side; a marker file does not say which leg they are on; give --side left or --side right"
            ));
        }
        for (name, labels) in self.all() {
            let needed = matches!(name, "--heel" | "--metatarsal");
            if labels.len() != sides.len() && (needed || !labels.is_empty()) {
                return Err(anyhow!(
                    "found {name} {} times for {} of --side; expected it once for each side; give it as often",
                    labels.len(),
                    sides.len()
                ));
            }
        }
        let at = |labels: &[String], i: usize| labels.get(i).cloned();
        let roles = sides.iter().enumerate().map(|(i, side)| {
            Some(Roles {
                side: side.side(),
                heel: at(&self.heel, i)?,
                heel_upper: at(&self.heel_upper, i),
                leg_lower: at(&self.leg_lower, i),
                leg_upper: at(&self.leg_upper, i),
                metatarsal: at(&self.metatarsal, i)?,
            })
        });
        roles
            .collect::<Option<Vec<Roles>>>()
            .ok_or_else(|| anyhow!("give --heel and --metatarsal for each side"))
    }
}

/// A marker file with labels chosen, or without.
pub enum Chosen {
    Listed(String),
    Read(Box<ReadRises>),
}

const MOST_BYTES: u64 = 1 << 30;

/// # Errors
/// No marker file, or labels that do not fit.
pub fn chosen(args: &Args, path: &Path) -> Result<Chosen> {
    let named = || path.display().to_string();
    let wrong = [
        ("--marks", args.marks.is_some()),
        ("--steps", args.steps.is_some()),
        ("--still", args.still.is_some()),
        ("--rate", args.rate.is_some()),
        ("--beat", args.beat.is_some()),
    ];
    if let Some((name, _)) = wrong.into_iter().find(|(_, given)| *given) {
        return Err(anyhow!(
            "found {name} with a marker file; its places and their rate stand in the file; leave {name} out"
        ));
    }
    let about = fs::metadata(path).with_context(|| format!("{} could not be read", named()))?;
    if !about.is_file() || about.len() > MOST_BYTES {
        return Err(anyhow!(
            "found {}, which is no file of at most {} MB; expected a marker file (C3D); choose another",
            named(),
            MOST_BYTES >> 20
        ));
    }
    let bytes = fs::read(path).with_context(|| format!("{} could not be read", named()))?;
    let file = open(&bytes).with_context(named)?;
    if args.markers.none_chosen() {
        return Ok(Chosen::Listed(list(&crate::read::name_of(path), &file)));
    }
    let roles = args.markers.roles(&args.side)?;
    let up = match args.markers.up {
        Some(UpWord::X) => Up::X,
        Some(UpWord::Y) => Up::Y,
        Some(UpWord::Z) | None => Up::Z,
    };
    let work = MarkerWork {
        roles,
        up,
        rule: args.rule.unwrap_or_default(),
        ..MarkerWork::default()
    };
    let readings = work.read(&file).with_context(named)?;
    Ok(Chosen::Read(Box::new(ReadRises {
        name: crate::read::name_of(path),
        doing: doing(args),
        readings,
        beat_per_min: None,
        notes: Vec::new(),
    })))
}

/// Every label with how often it was seen.
fn list(name: &str, file: &MarkerFile) -> String {
    let frames = file.frames();
    let unit = match file.mm_per_unit {
        Some(_) => file.unit.clone(),
        None => format!("unit '{}' not known", file.unit),
    };
    let mut text = format!(
        "{name}: {frames} frames, {} a second, {unit}; choose with --side, --heel, --heel-upper, --leg-lower, --leg-upper, --metatarsal\n",
        quantity::written_short(file.rate, 3)
    );
    for (label, places) in file.labels.iter().zip(&file.places) {
        let seen = places.iter().flatten().count();
        text += &format!("  {label:<24} seen in {seen} of {frames} frames\n");
    }
    text
}

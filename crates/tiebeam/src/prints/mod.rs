//! `tiebeam print`: a picture of a print, or a grid of pressures, to indices with their error.
//!
//! * what no file says, from words of the command line: [`words`]; what is written out: [`show`]
//!
//! The same sheets, steps and readings as on the page of a print; nothing is computed here.

mod show;
mod words;

use crate::person::{PersonWords, SideWord};
use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use knowledge::Knowledge;
use print::{Paper, Place, PressureUnit, PrintReadings, Scaling, Sheet, Taken, Wish, Work, opened};
use record::Doing;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use words::{MediumWord, UnitWord};

#[derive(clap::Args)]
pub struct Args {
    /// A picture of a print (PNG, JPEG, TIFF), or a grid of pressures (CSV, TSV)
    file: PathBuf,
    /// What made the print; guessed from the picture without it, and the guess is told
    #[arg(long, value_enum)]
    medium: Option<MediumWord>,
    /// Two marks of a ruler that lies in the plane of the print, in pixels, and the millimetres between them
    #[arg(long, value_name = "X,Y;X,Y;MM", value_parser = words::ruler, conflicts_with_all = ["paper", "pitch"])]
    ruler: Option<Scaling>,
    /// A sheet of known size under the foot: a4, letter, or its long and short side in mm; undoes a camera's tilt
    #[arg(long, value_name = "a4|letter|MM,MM", value_parser = words::paper, requires = "corners", conflicts_with = "pitch")]
    paper: Option<Paper>,
    /// The four corners of that sheet, in pixels, in any order
    #[arg(long, value_name = "X,Y;X,Y;X,Y;X,Y", value_parser = words::corners, requires = "paper")]
    corners: Option<[Place; 4]>,
    /// Of a grid: millimetres from one sensor to the next, across and along where they differ
    #[arg(long, value_name = "MM[,MM]", value_parser = words::pitch)]
    pitch: Option<[f64; 2]>,
    /// Of a grid: the unit of its numbers [without it: kpa]
    #[arg(long, value_enum, requires = "pitch")]
    unit: Option<UnitWord>,
    /// Of a series of grids: how many a second
    #[arg(long, value_name = "HZ", requires = "pitch")]
    rate: Option<f64>,
    /// Which foot; of two feet, the one further to the left. Told from the shape without it
    #[arg(long, value_enum)]
    side: Option<SideWord>,
    /// Was the print taken standing or walking? No file says it, and no norm is chosen without it
    #[arg(long, value_enum)]
    doing: Option<DoingWord>,
    #[command(flatten)]
    person: PersonWords,
    /// Everything as JSON, with the steps that the numbers come from
    #[arg(long)]
    json: bool,
    /// Where a drawing goes (SVG): the print with what was found on it
    #[arg(long, value_name = "FILE.svg")]
    drawing: Option<PathBuf>,
}

#[derive(Clone, Copy, ValueEnum)]
enum DoingWord {
    Standing,
    Walking,
}

/// A print as it was read.
struct ReadPrint {
    name: String,
    doing: Option<Doing>,
    sheet: Sheet,
    work: Work,
    readings: PrintReadings,
}

pub fn run(args: &Args) -> ExitCode {
    match written(args) {
        Ok(text) => {
            // A reader that closed the pipe early has what it wanted.
            let _ = std::io::stdout().lock().write_all(text.as_bytes());
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("tiebeam: {fault:#}");
            ExitCode::from(2)
        }
    }
}

fn written(args: &Args) -> Result<String> {
    let bytes = bytes_of(&args.file)?;
    let taken = taken(args, &bytes)?;
    let wish = Wish {
        side: args.side.map(SideWord::side),
        ..Wish::default()
    };
    let named = || args.file.display().to_string();
    let (taken, sheet) = first_opened(&bytes, taken).with_context(named)?;
    let work = Work::begun(&sheet, taken, &wish).with_context(named)?;
    let readings = work.read(&sheet).with_context(named)?;
    let read = ReadPrint {
        name: crate::read::name_of(&args.file),
        doing: args.doing.map(|d| match d {
            DoingWord::Standing => Doing::Standing,
            DoingWord::Walking => Doing::Walking,
        }),
        sheet,
        work,
        readings,
    };
    if let Some(path) = &args.drawing {
        fs::write(path, show::drawing(&read)?)
            .with_context(|| format!("the drawing {} could not be written", path.display()))?;
    }
    let person = args.person.person();
    let knowledge = Knowledge::built_in();
    if args.json {
        let whole = show::json(knowledge, &read, &person);
        return Ok(serde_json::to_string_pretty(&whole)? + "\n");
    }
    Ok(show::table(knowledge, &read, &person))
}

/// Looked at before it is read, so that what is no file and what is far too large is told at once.
fn bytes_of(path: &Path) -> Result<Vec<u8>> {
    let about = fs::metadata(path)
        .with_context(|| format!("the print {} could not be read", path.display()))?;
    if !about.is_file() {
        return Err(anyhow!(
            "found {}, which is no file; expected a picture of a print or a grid of pressures; give one of them",
            path.display()
        ));
    }
    let most = picture::Limits::default().max_file_bytes;
    if about.len() > most {
        return Err(anyhow!(
            "found {} MB in {}; expected at most {} MB; save the picture at a smaller size, or the grid with fewer frames",
            about.len() >> 20,
            path.display(),
            most >> 20
        ));
    }
    fs::read(path).with_context(|| format!("the print {} could not be read", path.display()))
}

/// What a grid's maker says of the distance of its sensors is taken to be this sure (common practice).
const PITCH_ERROR: f64 = 0.01;

fn taken(args: &Args, bytes: &[u8]) -> Result<Taken> {
    let medium = args.medium.map(MediumWord::medium);
    let grid = match medium {
        Some(m) => m == print::Medium::Pressure,
        None => args.pitch.is_some(),
    };
    if !grid {
        if args.pitch.is_some() {
            return Err(anyhow!(
                "found --pitch with a picture; expected it with a grid of pressures alone; give the scale of a picture with --ruler or --paper"
            ));
        }
        if medium.is_none() && is_text(bytes) {
            return Err(anyhow!(
                "{} is text; expected a picture, or a grid of pressures with the distance of its sensors; give --pitch, such as --pitch 8.5",
                args.file.display()
            ));
        }
        let scaling = match (args.ruler, args.paper.zip(args.corners)) {
            (Some(ruler), _) => ruler,
            (None, Some((paper, corners))) => Scaling::Corners { corners, paper },
            (None, None) => Scaling::FileDensity,
        };
        return Ok(Taken::Picture { medium, scaling });
    }
    let [x, y] = args.pitch.ok_or_else(|| {
        anyhow!("found a grid of pressures without the distance of its sensors; no grid says it; give --pitch, such as --pitch 8.5")
    })?;
    if args.ruler.is_some() || args.paper.is_some() {
        return Err(anyhow!(
            "found the scale of a picture with a grid of pressures; expected --pitch alone; leave --ruler and --paper out"
        ));
    }
    Ok(Taken::Grid {
        unit: args
            .unit
            .map_or(PressureUnit::Kilopascal, UnitWord::pressure),
        pitch: print::Pitch::new(x, y, PITCH_ERROR)?,
        rate_hz: args.rate.map(words::rate).transpose()?,
    })
}

fn is_text(bytes: &[u8]) -> bool {
    !bytes.is_empty() && !bytes.contains(&0) && std::str::from_utf8(bytes).is_ok()
}

/// A picture that does not say its scale is read without one.
fn first_opened(bytes: &[u8], taken: Taken) -> Result<(Taken, Sheet)> {
    let limits = picture::Limits::default();
    let plain = matches!(
        taken,
        Taken::Picture {
            scaling: Scaling::FileDensity,
            ..
        }
    );
    match opened(bytes, &taken, &limits) {
        Err(print::PrintError::BadScale { .. }) if plain => {
            let Taken::Picture { medium, .. } = taken else {
                return Err(anyhow!("a grid has no density"));
            };
            let scaling = Scaling::Unknown;
            let taken = Taken::Picture { medium, scaling };
            Ok((taken, opened(bytes, &taken, &limits)?))
        }
        sheet => Ok((taken, sheet?)),
    }
}

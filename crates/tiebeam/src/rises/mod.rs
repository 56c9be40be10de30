//! `tiebeam rise`: heel rises filmed from behind, or a marker file, to heights, angles and counts with their error.
//!
//! * points set by hand, as a file: [`marks`]; a clip's frames through other programs: [`clip`]
//! * markers chosen by their labels: [`markers`]; what is written out: [`show`] and [`table`]
//!
//! Nothing is measured here: `motion` follows the points and reads them, by the same steps as the pages.

mod clip;
mod markers;
mod marks;
mod show;
mod table;

use crate::person::{PersonWords, SideWord};
use crate::progress::Progress;
use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use knowledge::Knowledge;
use motion::frames::folder::Folder;
use motion::frames::{Frames, times};
use motion::rise::{RiseReadings, Rule, read};
use motion::steps::Steps;
use record::Doing;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Duration;

#[derive(clap::Args)]
pub struct Args {
    /// A folder of numbered pictures, a clip, or a marker file (C3D)
    #[arg(required_unless_present_any = ["example", "from_steps"])]
    source: Option<PathBuf>,
    /// The points set by hand in one frame (JSON); `--example` prints such a file
    #[arg(long, value_name = "MARKS.json")]
    marks: Option<PathBuf>,
    /// Of a folder without times.csv: pictures a second
    #[arg(long, value_name = "HZ")]
    rate: Option<f64>,
    /// Which rises count: any, share:0.8 (of the highest of the first three), mm:50 (at least so high)
    /// [without it: any]
    #[arg(long, value_parser = rule)]
    rule: Option<Rule>,
    /// Rises a minute that a metronome asked for
    #[arg(long, value_name = "PER_MINUTE")]
    beat: Option<f64>,
    /// Were the rises done on one leg or on both? No norm is chosen without it
    #[arg(long, value_enum)]
    doing: Option<DoingWord>,
    #[command(flatten)]
    markers: markers::Labels,
    /// Of a marker file: which leg; twice for both, then every label twice in the same order
    #[arg(long, value_enum)]
    side: Vec<SideWord>,
    #[command(flatten)]
    person: PersonWords,
    /// Everything as JSON, with the curves
    #[arg(long)]
    json: bool,
    /// Where the curves go (CSV): angle and height in every frame
    #[arg(long, value_name = "FILE.csv")]
    curve: Option<PathBuf>,
    /// Where the steps go (JSON): marks and followed points, from which the numbers can be made again
    #[arg(long, value_name = "FILE.json")]
    steps: Option<PathBuf>,
    /// Read kept steps again instead of a clip; --rule and --beat overrule theirs
    #[arg(long, value_name = "FILE.json", conflicts_with_all = ["source", "marks", "rate", "steps", "still"])]
    from_steps: Option<PathBuf>,
    /// Write one frame as a picture (PNG) to place the points on, and do nothing else
    #[arg(long, value_name = "FILE.png")]
    still: Option<PathBuf>,
    /// Which frame for --still, from 0
    #[arg(long, value_name = "N", default_value_t = 0, requires = "still")]
    frame: usize,
    /// Seconds that reading a clip's frames may take
    #[arg(long, value_name = "SECONDS", default_value_t = 600, value_parser = clap::value_parser!(u64).range(1..=86_400))]
    time_limit: u64,
    /// Print a file of marks to start from, and do nothing else
    #[arg(long)]
    example: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum DoingWord {
    OneLeg,
    BothLegs,
}

/// `any`, `share:0.8`, `mm:50`; whether the number can be is said when rises are read.
fn rule(text: &str) -> Result<Rule, String> {
    let number = |n: &str| n.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    let read = match text.split_once(':') {
        None if text == "any" => Some(Rule::AnyRise),
        Some(("share", n)) => number(n).map(|share| Rule::ShareOfFirst { share }),
        Some(("mm", n)) => number(n).map(|mm| Rule::Height { mm }),
        _ => None,
    };
    read.ok_or_else(|| "expected any, share:0.8 or mm:50".to_owned())
}

/// Rises as they were read.
struct ReadRises {
    name: String,
    doing: Option<Doing>,
    readings: RiseReadings,
    beat_per_min: Option<f64>,
    /// What the way to the frames had to say.
    notes: Vec<String>,
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
    if args.example {
        return Ok(marks::example() + "\n");
    }
    let read = match (&args.from_steps, &args.source) {
        (Some(path), _) => of_steps(args, path)?,
        (None, Some(source)) if is_marker_file(source) => match markers::chosen(args, source)? {
            markers::Chosen::Listed(text) => return Ok(text),
            markers::Chosen::Read(read) => *read,
        },
        (None, Some(source)) => {
            args.markers.none_given()?;
            let (mut frames, notes) = frames_of(args, source)?;
            if let Some(path) = &args.still {
                return still(frames.as_mut(), args.frame, path);
            }
            followed(args, source, frames.as_mut(), notes)?
        }
        (None, None) => return Err(anyhow!("give a folder, a clip or a marker file")),
    };
    if let Some(path) = &args.curve {
        put(path, &show::curve(&read.readings))?;
    }
    let (knowledge, person) = (Knowledge::built_in(), args.person.person());
    if args.json {
        let whole = show::json(knowledge, &read, &person)?;
        return Ok(serde_json::to_string_pretty(&whole)? + "\n");
    }
    Ok(table::table(knowledge, &read, &person))
}

fn is_marker_file(path: &Path) -> bool {
    let end = path.extension().and_then(|e| e.to_str()).unwrap_or("");
    end.eq_ignore_ascii_case("c3d")
}

fn doing(args: &Args) -> Option<Doing> {
    args.doing.map(|d| match d {
        DoingWord::OneLeg => Doing::OneLeg,
        DoingWord::BothLegs => Doing::BothLegs,
    })
}

fn put(path: &Path, text: &str) -> Result<()> {
    fs::write(path, text).with_context(|| format!("{} could not be written", path.display()))
}

/// Grey frames with what there is to say of them.
fn frames_of(args: &Args, source: &Path) -> Result<(Box<dyn Frames>, Vec<String>)> {
    let named = || source.display().to_string();
    let about = fs::metadata(source).with_context(|| format!("{} could not be read", named()))?;
    if about.is_dir() {
        let folder = Folder::open(source, args.rate).with_context(named)?;
        return Ok((Box::new(folder), Vec::new()));
    }
    if !about.is_file() {
        return Err(anyhow!(
            "found {}, which is neither a file nor a folder; expected a folder of pictures, a clip or a marker file; give one of them",
            named()
        ));
    }
    if args.rate.is_some() {
        return Err(anyhow!(
            "found --rate with a clip; a clip brings a time with every frame; leave --rate out"
        ));
    }
    let limit = Duration::from_secs(args.time_limit);
    let (clip, said) = clip::frames(source, limit, &mut Progress::new()).with_context(named)?;
    Ok((Box::new(clip), said.into_iter().collect()))
}

fn still(frames: &mut dyn Frames, frame: usize, path: &Path) -> Result<String> {
    let picture = frames.frame(frame)?;
    let side = |px: usize| u32::try_from(px).unwrap_or(u32::MAX);
    let png = film::encode_png8(
        picture.bytes(),
        side(picture.width()),
        side(picture.height()),
    )?;
    fs::write(path, png).with_context(|| format!("{} could not be written", path.display()))?;
    Ok(format!(
        "{}: frame {frame} of {}, {} × {} pixels\n",
        path.display(),
        frames.count(),
        picture.width(),
        picture.height()
    ))
}

fn followed(
    args: &Args,
    source: &Path,
    frames: &mut dyn Frames,
    notes: Vec<String>,
) -> Result<ReadRises> {
    let path = args.marks.as_ref().ok_or_else(|| {
        anyhow!("found no points; expected --marks with four points on each leg; --example prints such a file and --still writes the frame to place them on")
    })?;
    let set = marks::open(path)?;
    let mut progress = Progress::new();
    let named = || source.display().to_string();
    let track = motion::track::follow_with(frames, &set.marks, &mut |done, of| {
        progress.tell("Following the points", done as u64, of as u64)
    })
    .with_context(named)?;
    drop(progress);
    let first = frames.frame(set.marks.frame)?;
    let size = (first.width(), first.height());
    let mut steps = Steps::new(size, times(frames)?, set.marks, track);
    steps.known_length = set.known_length;
    steps.setup = set.setup;
    steps.rule = args.rule.unwrap_or_default();
    steps.beat_per_min = args.beat;
    let readings = read(&steps).with_context(|| path.display().to_string())?;
    if let Some(path) = &args.steps {
        put(path, &serde_json::to_string(&steps)?)?;
    }
    Ok(ReadRises {
        name: crate::read::name_of(source),
        doing: doing(args),
        readings,
        beat_per_min: steps.beat_per_min,
        notes,
    })
}

/// A clip of ten minutes with two legs takes some 30 MB.
const MOST_STEPS_BYTES: u64 = 512 << 20;

fn of_steps(args: &Args, path: &Path) -> Result<ReadRises> {
    args.markers.none_given()?;
    let text = marks::text_of(path, "steps", MOST_STEPS_BYTES)?;
    let mut steps: Steps = serde_json::from_str(&text).map_err(|e| {
        anyhow!(
            "{} holds no steps of a clip ({e}); expected a file that --steps wrote; give such a file",
            path.display()
        )
    })?;
    steps.rule = args.rule.unwrap_or(steps.rule);
    steps.beat_per_min = args.beat.or(steps.beat_per_min);
    let readings = read(&steps).with_context(|| path.display().to_string())?;
    Ok(ReadRises {
        name: crate::read::name_of(path),
        doing: doing(args),
        readings,
        beat_per_min: steps.beat_per_min,
        notes: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rule_is_read_as_it_is_written_and_everything_else_is_told() {
        assert_eq!(rule("any"), Ok(Rule::AnyRise));
        assert_eq!(rule("share:0.8"), Ok(Rule::ShareOfFirst { share: 0.8 }));
        assert_eq!(rule("mm: 50"), Ok(Rule::Height { mm: 50.0 }));
        for bad in ["", "all", "share", "share:", "mm:x", "mm:NaN", "any:1"] {
            assert!(rule(bad).is_err_and(|e| e.contains("expected")), "{bad:?}");
        }
    }
}

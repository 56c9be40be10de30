//! `tiebeam read`: films with their points to readings, one film or a folder.

use crate::filmwork::{CSV_HEAD, ReadFilm, read_files};
use crate::person::PersonWords;
use clap::ValueEnum;
use figure::of_reading;
use knowledge::Knowledge;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use terms::Stance;

#[derive(clap::Args)]
pub struct Args {
    /// A film (DICOM, PNG, JPEG, TIFF), or a folder of films
    film: PathBuf,
    /// The points file; without it, the file of the same name with `.points.json`
    #[arg(long)]
    points: Option<PathBuf>,
    /// How the readings are written
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
    /// Was the film taken standing? Overrules what the file says
    #[arg(long, value_enum)]
    standing: Option<Standing>,
    #[command(flatten)]
    person: PersonWords,
    /// A knowledge folder instead of the built-in one
    #[arg(long)]
    knowledge: Option<PathBuf>,
}

#[derive(Clone, Copy, ValueEnum)]
enum Format {
    Table,
    Json,
    Csv,
}

#[derive(Clone, Copy, ValueEnum)]
enum Standing {
    Yes,
    No,
}

pub fn run(args: &Args) -> ExitCode {
    let loaded;
    let knowledge = match &args.knowledge {
        None => Knowledge::built_in(),
        Some(folder) => match Knowledge::load(folder) {
            Ok(k) => {
                loaded = k;
                &loaded
            }
            Err(faults) => {
                faults.iter().for_each(|f| eprintln!("{f}"));
                return ExitCode::from(2);
            }
        },
    };
    let pairs = match pairs(args) {
        Ok(pairs) => pairs,
        Err(sentence) => {
            eprintln!("tiebeam: {sentence}");
            return ExitCode::from(2);
        }
    };
    let stance = args.standing.map(|s| match s {
        Standing::Yes => Stance::Standing,
        Standing::No => Stance::NotStanding,
    });
    let person = args.person.person();
    let progress = pairs.len() > 1 && std::io::stderr().is_terminal();
    let mut read = Vec::new();
    for (i, (film, points)) in pairs.iter().enumerate() {
        if progress {
            eprint!("\r{} of {}", i + 1, pairs.len());
        }
        match read_files(knowledge, film, points, stance, &person) {
            Ok(done) => read.push((name_of(film), done)),
            Err(fault) => eprintln!("{}tiebeam: {fault:#}", if progress { "\r" } else { "" }),
        }
    }
    if progress {
        eprintln!();
    }
    // A reader that closed the pipe early has what it wanted.
    let _ = write_all(knowledge, args.format, &read);
    match (read.len(), pairs.len()) {
        (0, _) => ExitCode::from(2),
        (r, n) if r == n => ExitCode::SUCCESS,
        _ => ExitCode::FAILURE,
    }
}

pub fn name_of(path: &Path) -> String {
    path.file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default()
}

fn points_beside(film: &Path) -> PathBuf {
    film.with_extension("points.json")
}

/// Films with their points files, in the order of their names.
fn pairs(args: &Args) -> Result<Vec<(PathBuf, PathBuf)>, String> {
    if !args.film.is_dir() {
        let points = args
            .points
            .clone()
            .unwrap_or_else(|| points_beside(&args.film));
        return Ok(vec![(args.film.clone(), points)]);
    }
    if args.points.is_some() {
        return Err("found a folder of films and one points file; leave --points out and put a points file beside each film".into());
    }
    let list = std::fs::read_dir(&args.film)
        .map_err(|e| format!("the folder {} could not be read: {e}", args.film.display()))?;
    let mut films: Vec<PathBuf> = list
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|p| {
            p.extension().is_some_and(|e| {
                ["dcm", "png", "jpg", "jpeg", "tif", "tiff"]
                    .iter()
                    .any(|x| e.eq_ignore_ascii_case(x))
            })
        })
        .filter(|p| points_beside(p).is_file())
        .collect();
    films.sort();
    if films.is_empty() {
        return Err(format!(
            "found no film with a points file in {}; expected NAME.dcm (or png, jpg, tif) with NAME.points.json beside it",
            args.film.display()
        ));
    }
    Ok(films
        .into_iter()
        .map(|f| (f.clone(), points_beside(&f)))
        .collect())
}

fn write_all(
    knowledge: &Knowledge,
    format: Format,
    read: &[(String, ReadFilm)],
) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    match format {
        Format::Json => {
            let all: Vec<_> = read
                .iter()
                .map(|(name, r)| r.json(knowledge, name))
                .collect();
            writeln!(
                out,
                "{}",
                serde_json::to_string_pretty(&all).unwrap_or_default()
            )
        }
        Format::Csv => {
            write!(out, "{CSV_HEAD}")?;
            read.iter()
                .try_for_each(|(name, r)| write!(out, "{}", r.csv_rows(name)))
        }
        Format::Table => read
            .iter()
            .try_for_each(|(name, r)| write!(out, "{}", table(knowledge, name, r))),
    }
}

/// The readings of one film as a table for the eye.
pub fn table(knowledge: &Knowledge, name: &str, read: &ReadFilm) -> String {
    let side = read.sheet.side.map_or("side not said", |s| s.word());
    let mut text = format!(
        "{name}: {side}, {}, {}\n",
        read.sheet.view.words(),
        read.sheet.stance.words()
    );
    for (r, c) in read.sheet.readings.iter().zip(&read.comparisons) {
        let name = knowledge
            .measure(&r.measure)
            .map_or_else(|| r.measure.to_string(), |m| m.name.clone());
        let why = of_reading::not_judged_because(c).map_or(String::new(), |(_, why)| {
            format!(": {}", why.trim_end_matches('.'))
        });
        text += &format!(
            "  {name:<44} {:>20}  {}{why}\n",
            r.estimate.to_string(),
            of_reading::place_of(c).word()
        );
    }
    for r in &read.sheet.refused {
        text += &format!(
            "  {:<44} {}\n",
            knowledge
                .measure(&r.measure)
                .map_or_else(|| r.measure.to_string(), |m| m.name.clone()),
            r.sentence
        );
    }
    for w in &read.sheet.warnings {
        text += &format!("  note: {}\n", w.sentence);
    }
    text
}

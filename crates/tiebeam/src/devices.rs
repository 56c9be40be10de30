//! `tiebeam shell`: foot scans and a prescription to files that can be made, one scan or a folder of them.

use crate::person::SideWord;
use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use knowledge::{Knowledge, Person};
use letter::{Language, Words};
use record::Kept;
use serde_json::json;
use shell::{Device, Prescription};
use std::fs;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use surface::measure::Dimensions;
use terms::Load;
use workshop::paper::Heading;
use workshop::sheet::{Moved, PRESCRIPTION_FORMAT, VERSION};
use workshop::{Asked, Files, OpenFoot, Sheet, Wish, sizes};

#[derive(clap::Args)]
pub struct Args {
    /// A foot scan (STL, OBJ, PLY, VTP, 3MF), a file of measurements (JSON), or a folder of either
    #[arg(required_unless_present = "example")]
    scan: Option<PathBuf>,
    /// The prescription (JSON); without it, the file of the same name with `.prescription.json`
    #[arg(long)]
    prescription: Option<PathBuf>,
    /// How was the foot loaded while it was scanned? No file says it
    #[arg(long, value_enum, required_unless_present = "example")]
    load: Option<LoadWord>,
    /// Which foot; found from the surface without it, and checked against it
    #[arg(long, value_enum)]
    side: Option<SideWord>,
    /// The file's unit of length; found from the size without it
    #[arg(long, value_parser = unit_word)]
    unit: Option<String>,
    /// Body weight in kilograms; without it nothing is said of strength
    #[arg(long)]
    weight: Option<f64>,
    /// Age in years: tells the unit of small feet, and shoe sizes
    #[arg(long)]
    age: Option<f64>,
    /// Where the files go: a folder for each scan, named after it
    #[arg(long, default_value = "shells")]
    out: PathBuf,
    /// Language of the order sheet, such as es
    #[arg(long, default_value = "en", value_parser = crate::letters::language)]
    language: Language,
    /// Print a prescription to start from, and do nothing else
    #[arg(long)]
    example: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum LoadWord {
    /// Hanging free
    None,
    /// Sitting, or half the weight
    Partial,
    /// Standing on it
    Full,
}

fn unit_word(text: &str) -> Result<String, String> {
    let units = workshop::foot::units();
    if units.iter().any(|(key, _)| *key == text) {
        return Ok(text.to_owned());
    }
    let known: Vec<&str> = units.iter().map(|u| u.0).collect();
    Err(format!("expected one of {}", known.join(", ")))
}

/// Everything asked for with one scan.
pub struct Wanted<'k> {
    pub prescription: Prescription,
    pub asked: Asked,
    pub weight_kg: Option<f64>,
    pub person: Person,
    pub knowledge: &'k Knowledge,
    /// The language of the order sheet.
    pub words: &'static Words,
    /// What the order sheet says on top, without the side and the other foot.
    pub practice: Vec<String>,
    pub clinician: String,
    pub patient_code: Option<String>,
    pub invented: bool,
    pub date: String,
}

/// What was made of one scan.
pub struct DoneShell {
    pub open: OpenFoot,
    pub files: Files,
    pub strength: Option<workshop::Computed>,
    pub sheet: Vec<u8>,
}

pub fn run(args: &Args) -> ExitCode {
    if args.example {
        println!("{}", example());
        return ExitCode::SUCCESS;
    }
    let Some(source) = &args.scan else {
        return ExitCode::from(2);
    };
    let scans = match scans_of(source) {
        Ok(scans) => scans,
        Err(fault) => {
            eprintln!("tiebeam: {fault:#}");
            return ExitCode::from(2);
        }
    };
    let bar = std::io::stderr().is_terminal();
    let mut made = 0;
    for (n, scan) in scans.iter().enumerate() {
        let before = if scans.len() > 1 {
            format!("{} of {}, ", n + 1, scans.len())
        } else {
            String::new()
        };
        let name = name_of(scan);
        let mut tell = |share: f64, doing: &str| {
            if bar {
                eprint!("\r\x1b[2K{before}{name}: {:3.0} %  {doing}", 100.0 * share);
            }
        };
        let done = one(args, scan, &mut tell);
        if bar {
            eprint!("\r\x1b[2K");
        }
        match done {
            Ok(summary) => {
                made += 1;
                print!("{before}{summary}");
            }
            Err(fault) => eprintln!("tiebeam: {before}{name}: {fault:#}"),
        }
    }
    match (made, scans.len()) {
        (0, _) => ExitCode::from(2),
        (m, n) if m == n => ExitCode::SUCCESS,
        _ => ExitCode::FAILURE,
    }
}

/// Whole statements, so that every fault of a folder can stand by itself.
fn one(args: &Args, scan: &Path, tell: &mut dyn FnMut(f64, &str)) -> Result<String> {
    let path = match &args.prescription {
        Some(path) => path.clone(),
        None => scan.with_extension("prescription.json"),
    };
    let prescription = prescription_of(&path)?;
    let load = match args.load {
        Some(LoadWord::None) => Load::None,
        Some(LoadWord::Partial) => Load::Partial,
        Some(LoadWord::Full) => Load::Full,
        None => return Err(anyhow!("say how the foot was loaded with --load")),
    };
    let wanted = Wanted {
        prescription,
        asked: Asked {
            unit: args.unit.clone(),
            side: args.side.map(SideWord::side),
            load,
            age_years: args.age,
        },
        weight_kg: args.weight,
        person: Person {
            age_years: args.age,
            sex: None,
        },
        knowledge: Knowledge::built_in(),
        words: Words::of(args.language),
        practice: Vec::new(),
        clinician: String::new(),
        patient_code: None,
        invented: false,
        date: web::words::day(crate::clock::now().date()),
    };
    let bytes = fs::read(scan).with_context(|| format!("{} could not be read", scan.display()))?;
    let open = open_foot(&bytes, &wanted.asked, tell)?;
    let done = made(open, &wanted, &|_, _| Vec::new(), tell)?;
    if !done.files.is_sound() {
        let faults: Vec<&str> = done
            .files
            .bodies
            .iter()
            .flat_map(|b| b.faults.iter().map(String::as_str))
            .collect();
        return Err(anyhow!(
            "found a body that is no sound solid; no file was written: change the prescription ({})",
            faults.join(" ")
        ));
    }
    let folder = args.out.join(stem_of(scan));
    write(&done, &wanted, &folder)?;
    Ok(summary(&done, &folder))
}

/// The way from a foot to everything that is written; `stands` says what stands against the made device.
///
/// # Errors
/// A prescription that cannot be made, a device that cannot be computed; one sentence each.
pub fn made(
    open: OpenFoot,
    wanted: &Wanted<'_>,
    stands: &dyn Fn(&OpenFoot, &Device) -> Vec<String>,
    tell: &mut dyn FnMut(f64, &str),
) -> Result<DoneShell> {
    let side = open.foot.side;
    let mut sheet = Sheet::of(wanted.prescription.clone());
    sheet.set_on = open.scanned.as_ref().map(|s| s.alignment.clone());
    let wish = Wish {
        sheet,
        moved: Moved::default(),
    };
    let making = workshop::making(wanted.knowledge, &wanted.prescription);
    let mut step = |share: f64, doing: &'static str| {
        tell(0.4 + 0.3 * share, doing);
        Some(())
    };
    let files = workshop::make(&open, wish, making, wanted.knowledge, &mut step)
        .unwrap_or_else(|| Err("stopped".to_owned()))
        .map_err(|e| anyhow!(e))?;
    tell(0.7, "Computing how far it bends");
    let strength = match wanted.weight_kg {
        None => None,
        Some(weight) => Some(
            workshop::strength::computed(&files.device, &files.wish, weight, wanted.knowledge)
                .map_err(|e| anyhow!(e))?,
        ),
    };
    tell(0.95, "Setting the order sheet");
    let heading = Heading {
        words: wanted.words,
        practice: wanted.practice.clone(),
        invented: wanted.invented,
        date: wanted.date.clone(),
        patient_code: wanted.patient_code.clone(),
        side,
        other_foot_length_mm: None,
        cautions: stands(&open, &files.device),
        clinician: wanted.clinician.clone(),
        signed: None,
    };
    let sheet =
        workshop::paper::order_sheet(&heading, &open, &files, strength.as_ref(), wanted.knowledge)?
            .bytes;
    Ok(DoneShell {
        open,
        files,
        strength,
        sheet,
    })
}

/// The foot of a scan, or of measurements.
///
/// # Errors
/// No foot; measurements without a side.
pub fn open_foot(bytes: &[u8], asked: &Asked, tell: &mut dyn FnMut(f64, &str)) -> Result<OpenFoot> {
    // Measurements are the only input that is JSON.
    if bytes.trim_ascii_start().first() == Some(&b'{') {
        let kept: Kept = serde_json::from_slice(bytes)
            .map_err(|e| anyhow!("found no file of measurements: {e}"))?;
        let measures = kept.read(
            workshop::foot::MEASURES_FORMAT,
            workshop::foot::MEASURES_VERSION,
        )?;
        let side = asked
            .side
            .ok_or_else(|| anyhow!("measurements do not tell the side; say it with --side"))?;
        return workshop::of_measures(side, &measures).map_err(|e| anyhow!(e));
    }
    let mut progress = |share: f64, doing: &'static str| tell(0.4 * share, doing);
    workshop::of_scan_told(bytes, asked, &mut progress).map_err(|e| anyhow!(e))
}

/// Writes everything that was made into a folder; its name says whose it is.
pub fn write(done: &DoneShell, wanted: &Wanted<'_>, folder: &Path) -> Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("{} could not be made", folder.display()))?;
    let put = crate::demo::put;
    for file in &done.files.files {
        put(folder, &file.name, &file.bytes)?;
    }
    put(folder, "order-sheet.pdf", &done.sheet)?;
    if let Some(strength) = &done.strength {
        put(folder, "strength.csv", strength.csv().as_bytes())?;
    }
    let foot = &done.open.foot;
    let sizes_of = Dimensions::of(foot);
    let told = json!({
        "format": "tiebeam-shell-report",
        "version": 1,
        "foot": {
            "side": foot.side,
            "origin": foot.origin,
            "points_mm": foot.points,
            "sizes": sizes::lines(&sizes_of, &wanted.person, wanted.knowledge),
            "arch_profile_mm": sizes_of.arch_profile_mm,
            "shoe_sizes": sizes::shoes(
                sizes_of.foot_length_mm,
                &wanted.person,
                wanted.knowledge,
            ),
            "found": done.open.found,
            "scan": done.open.scanned,
        },
        "product": done.files.product.words(),
        "bodies": done.files.bodies,
        "dimensions": done.files.dimensions,
        "cautions": done.files.cautions,
        "sound": done.files.is_sound(),
        "strength": done.strength.as_ref().map(workshop::Computed::rows),
    });
    put(
        folder,
        "report.json",
        serde_json::to_string_pretty(&told)?.as_bytes(),
    )
}

/// A few lines of what was made.
pub fn summary(done: &DoneShell, folder: &Path) -> String {
    let files = &done.files;
    let mut out = format!("{}\n", folder.display());
    for line in done.open.found.iter().take(3) {
        out += &format!("  {line}\n");
    }
    for body in &files.bodies {
        out += &format!("  {}: {}\n", body.name, body.words());
        for fault in &body.faults {
            out += &format!("    {fault}\n");
        }
    }
    let kept = files.dimensions.iter().filter(|d| d.kept()).count();
    out += &format!(
        "  dimensions read back from the file: {kept} of {} as prescribed\n",
        files.dimensions.len()
    );
    for d in files.dimensions.iter().filter(|d| !d.kept()) {
        out += &format!(
            "    {}: {} for {}\n",
            d.what,
            quantity::written(d.found, 2),
            d.asked.map_or(String::new(), |a| quantity::written(a, 2))
        );
    }
    for caution in &files.cautions {
        out += &format!("  {caution}\n");
    }
    if let Some(strength) = &done.strength {
        out += &strength.text();
    }
    out
}

fn prescription_of(path: &Path) -> Result<Prescription> {
    let text = fs::read_to_string(path).with_context(|| {
        format!(
            "the prescription {} could not be read; `tiebeam shell --example` prints one to start from",
            path.display()
        )
    })?;
    let kept: Kept = serde_json::from_str(&text)
        .map_err(|e| anyhow!("{} is no prescription: {e}", path.display()))?;
    kept.read(PRESCRIPTION_FORMAT, VERSION)
        .with_context(|| format!("{} is no prescription", path.display()))
}

/// A shell of usual values, to be changed.
fn example() -> String {
    let body = json!({
        "corrections": {
            "inversion": null,
            "arch_fill": "standard",
            "skive": { "depth": 4.0, "angle": 15.0, "clipped": false },
        },
        "shell": {
            "material": "pa12-laser",
            "thickness": { "kind": "uniform", "all": 3.0 },
            "heel_cup_depth": 14.0,
            "behind_heads": 8.0,
            "medial_flange": 24.0,
        },
        "rearfoot_post": { "angle": 4.0, "length": 45.0, "separate": true },
        "order_code": "EXAMPLE",
    });
    let whole = json!({ "format": PRESCRIPTION_FORMAT, "version": VERSION, "body": body });
    serde_json::to_string_pretty(&whole).unwrap_or_default()
}

const MESHES: [&str; 5] = ["stl", "obj", "ply", "vtp", "3mf"];

/// The scans of a folder by name, or the one file.
fn scans_of(source: &Path) -> Result<Vec<PathBuf>> {
    if !source.is_dir() {
        return Ok(vec![source.to_owned()]);
    }
    let mut all: Vec<PathBuf> = fs::read_dir(source)
        .with_context(|| format!("the folder {} could not be read", source.display()))?
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|path| {
            let end = path
                .extension()
                .map(|e| e.to_string_lossy().to_ascii_lowercase());
            let measured = name_of(path).ends_with(".measures.json");
            measured || end.is_some_and(|e| MESHES.contains(&e.as_str()))
        })
        .collect();
    all.sort();
    if all.is_empty() {
        return Err(anyhow!(
            "the folder {} holds no scan; expected files that end in {}, or .measures.json",
            source.display(),
            MESHES.join(", ")
        ));
    }
    Ok(all)
}

fn name_of(path: &Path) -> String {
    path.file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default()
}

fn stem_of(path: &Path) -> String {
    path.file_stem()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_else(|| "scan".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_example_is_a_prescription_that_can_be_made() {
        let kept: Kept = serde_json::from_str(&example()).expect("JSON");
        let wanted: Prescription = kept
            .read(PRESCRIPTION_FORMAT, VERSION)
            .expect("a prescription");
        let making = workshop::making(Knowledge::built_in(), &wanted);
        assert_eq!(shell::limits::check(&wanted, &making), Ok(()));
    }
}

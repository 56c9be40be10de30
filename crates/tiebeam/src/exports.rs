//! `tiebeam export`: what leaves a practice in open formats, for many patients at once.

use crate::clock::now;
use crate::place::Place;
use anyhow::{Context, Result, bail};
use exchange_table::{Study, StudyKey};
use record::{Noted, Patient, ToNote};
use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use store::{Access, Store};
use store_sql::SqlStore;

#[derive(clap::Args)]
pub struct Args {
    #[command(flatten)]
    place: Place,
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// Health records of all patients as FHIR R4, one file of lines for each type of resource
    ///
    /// With names: hand them over in a way that suits them.
    Fhir {
        /// A new or empty folder
        #[arg(long)]
        to: PathBuf,
    },
    /// A study without names: one table of feet and one of readings, as Parquet and CSV, with a dictionary
    ///
    /// Pseudonyms come from the key file: the same key gives the same pseudonyms, and whoever has it and the practice
    /// can find the persons again. Small groups are told in the manifest: look at them before you pass the study on.
    Study {
        /// A new or empty folder
        #[arg(long)]
        to: PathBuf,
        /// Random bytes, 16 to 64, that only the practice has
        #[arg(long)]
        key: PathBuf,
    },
}

pub fn run(args: &Args) -> Result<()> {
    crate::serve::runtime()?.block_on(async {
        let store = args.place.open().await?;
        let said = match &args.what {
            What::Fhir { to } => fhir(&store, to).await?,
            What::Study { to, key } => study(&store, to, key).await?,
        };
        println!("{said}");
        store.close().await;
        Ok(())
    })
}

fn empty_folder(to: &Path) -> Result<()> {
    fs::create_dir_all(to)
        .with_context(|| format!("the folder {} could not be made", to.display()))?;
    if fs::read_dir(to)?.next().is_some() {
        bail!(
            "found something in {}; expected a new or empty folder",
            to.display()
        );
    }
    Ok(())
}

async fn everybody(store: &SqlStore) -> Result<Vec<Patient>> {
    Ok(store.find_patients(String::new(), u32::MAX).await?)
}

async fn noted(store: &SqlStore, patient: Option<&Patient>, detail: &str) -> Result<()> {
    let note = ToNote {
        at: now(),
        account: None,
        person: None,
        kind: Noted::TookOut,
        patient: patient.map(|p| p.id),
        detail: detail.to_owned(),
    };
    store.note(note).await?;
    Ok(())
}

async fn fhir(store: &SqlStore, to: &Path) -> Result<String> {
    empty_folder(to)?;
    let mut bulk = exchange_fhir::Bulk::new(|kind| {
        File::create(to.join(exchange_fhir::bulk::file_name(kind))).map(BufWriter::new)
    });
    let people = everybody(store).await?;
    for patient in &people {
        noted(store, Some(patient), "health record, by command").await?;
        bulk.add(&store::chart(store, patient.id).await?)?;
    }
    let at = now().format(&time::format_description::well_known::Rfc3339)?;
    let manifest = bulk.finish(&at, "tiebeam export fhir", ".")?;
    let mut out = BufWriter::new(File::create(to.join("manifest.json"))?);
    serde_json::to_writer_pretty(&mut out, &manifest)?;
    out.flush()?;
    let lines: u64 = manifest.output.iter().map(|o| o.count).sum();
    Ok(format!(
        "{} patients, {lines} resources of {} types in {}",
        people.len(),
        manifest.output.len(),
        to.display()
    ))
}

/// # Errors
/// No such file, or a key that is too short or too long.
pub fn study_key(path: &Path) -> Result<StudyKey> {
    let bytes =
        fs::read(path).with_context(|| format!("the key {} could not be read", path.display()))?;
    Ok(StudyKey::new(&bytes)?)
}

async fn study(store: &SqlStore, to: &Path, key: &Path) -> Result<String> {
    empty_folder(to)?;
    let mut study = Study::new(study_key(key)?);
    let people = everybody(store).await?;
    for patient in &people {
        study.add(&store::chart(store, patient.id).await?);
    }
    noted(store, None, "a study without names, by command").await?;
    let written = study.write(|path| {
        let file = to.join(path);
        if let Some(folder) = file.parent() {
            fs::create_dir_all(folder)?;
        }
        File::create(file).map(BufWriter::new)
    })?;
    Ok(format!(
        "{} patients, {} files in {}; read the note on small groups before you pass it on",
        people.len(),
        written.len(),
        to.display()
    ))
}

//! The one binary. It alone reads the clock and makes ids; everything below is given both.
#![allow(clippy::disallowed_methods)]

mod arrivals;
mod backups;
mod check;
mod clock;
mod demo;
mod devices;
mod exports;
mod filmwork;
mod keys;
mod letters;
mod moving;
mod peers;
mod person;
mod phantoms;
mod place;
mod prints;
mod progress;
mod read;
mod rises;
mod sealing;
mod serve;
mod tls;
mod verify;
mod yards;

use clap::{Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// From a standing film of a collapsing foot to readings, a stage with reasons, a plan and a letter.
///
/// Everything runs on this machine; nothing leaves it unless you send it. The tool gives findings,
/// reasons and what would tip them the other way. It does not diagnose or prescribe: the clinician
/// decides, and local codes and licensed practice come first. It is not a certified medical device.
#[derive(Parser)]
#[command(
    name = "tiebeam",
    version,
    propagate_version = true,
    max_term_width = 100
)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Open a practice in the browser: on this machine only, or over TLS for others
    ///
    /// The data folder is made where it is not there yet. A second process on the same folder is
    /// refused; several may work on one database on a server. Stop with Ctrl-C; everything confirmed on
    /// a page is on disk already. With `--listen` on another address than this machine's own, `--name`,
    /// `--certificate` and `--private-key` are needed, and nobody works without an account.
    ///
    /// With `--dicom-port` films come in over the network, with `--watch` out of a folder: into the visit of the
    /// day they were taken on where it is clear whose they are, else onto the page of films that wait.
    Serve(Box<serve::Args>),
    /// Prove that a practice is whole: every record, every file, every seal, the journal and the trail
    ///
    /// Exit status: 0 when everything is whole, 1 when something is not, 2 when it could not be looked at.
    Verify(verify::Args),
    /// Seal a practice: make its keyring, change the ways into it, give it a new key
    Key(sealing::Args),
    /// Make a sealed backup while people work, and prove it by putting it back beside itself
    ///
    /// The file holds everything of one moment, sealed under the practice's keyring, which it carries. Old ones go by
    /// the rule of `--keep`. `tiebeam serve --backup-to` does the same by the clock.
    Backup(backups::BackupArgs),
    /// Put a backup back into an empty place
    ///
    /// Opened with a way in of the time it was made. A backup of an earlier layout is brought up to date. Whoever was
    /// erased since it was made comes back with it: look through the list of the erased, and erase them again.
    Restore(backups::RestoreArgs),
    /// Write what leaves the practice in open formats: health records (FHIR), a study without names (Parquet, CSV)
    Export(exports::Args),
    /// Copy a whole practice to another place, and prove that both hold the same
    ///
    /// From a folder to a database on a server with its files, or back. The place it goes to must be empty;
    /// the first place stays as it was.
    Move(moving::Args),
    /// Make an invented practice, run the whole job for its first patient, then serve it
    ///
    /// Writes the films (DICOM), the readings (CSV and JSON), the annotated films (SVG and PNG), the
    /// reading sheet and the letters (PDF) into the folder and prints a short table of what was found.
    Demo(demo::Args),
    /// Compute standing films of an invented foot whose true angles are known
    ///
    /// For each view: the film as DICOM and PNG, its true points as a points file and the true values
    /// as JSON. The same options always give the same files.
    Phantom(phantoms::Args),
    /// Read one film with its points, or a whole folder of them
    ///
    /// A folder is searched for films with a points file beside each: `NAME.dcm` with
    /// `NAME.points.json`. Every failure is one sentence on standard error.
    ///
    /// Exit status: 0 when everything was read, 1 when some film was not, 2 when none was.
    Read(read::Args),
    /// Read a print of the foot, or a grid of pressures: indices of the arch with their error
    ///
    /// A picture of an ink, wet or scanned print (PNG, JPEG, TIFF), or a text of pressures (CSV, TSV) with `--pitch`.
    /// Without a scale only ratios and angles are read. Norms of standing and of walking prints are never mixed:
    /// say `--doing`. Every failure is one sentence on standard error.
    ///
    /// Exit status: 0 when it was read, 2 when not.
    Print(prints::Args),
    /// Read heel rises filmed from behind, or from a marker file: heights, angles, counts with their error
    ///
    /// The source is a folder of numbered pictures (with `times.csv`, or `--rate`), a clip (MP4, MOV, WebM, Matroska, AVI;
    /// needs the programs ffmpeg and ffprobe), or a marker file (C3D). Pictures and clips need `--marks`: a file
    /// with four points on each leg in one frame, in pixels; `--example` prints one, `--still` writes the frame
    /// to place them on. A marker file without `--heel` has its labels listed.
    ///
    /// What was followed can be kept with `--steps` and read again with `--from-steps`: the same steps give the same
    /// numbers. A count is only worth something beside the rule it was counted by: `--rule`.
    ///
    /// Exit status: 0 when it was read, 2 when not.
    Rise(rises::Args),
    /// Set a letter: from a document file, or from a letter kept in a data folder
    Letter(letters::Args),
    /// Make shells from foot scans and a prescription: STL, 3MF, order sheet and strength table
    ///
    /// A folder is searched for scans; each may have a prescription beside it, `NAME.prescription.json`.
    /// Every failure is one sentence on standard error.
    ///
    /// Exit status: 0 when all were made, 1 when some was not, 2 when none was.
    Shell(devices::Args),
    /// Check a knowledge folder: every fault with file, line, what was found and what was expected
    ///
    /// Without a folder the knowledge that is built in is checked and counted.
    ///
    /// Exit status: 0 without a fault, 1 with any.
    Check {
        /// The folder with sources, landmarks, measures, yardsticks and criteria
        folder: Option<PathBuf>,
    },
}

fn main() -> ExitCode {
    tracing_subscriber::fmt()
        .with_env_filter(
            tracing_subscriber::EnvFilter::try_from_env("TIEBEAM_LOG")
                .unwrap_or_else(|_| "warn".into()),
        )
        .with_writer(std::io::stderr)
        .init();
    let done = match Cli::parse().command {
        Command::Serve(args) => serve::run(&args),
        Command::Verify(args) => return verify::run(&args),
        Command::Move(args) => moving::run(&args),
        Command::Key(args) => sealing::run(&args),
        Command::Backup(args) => backups::backup(&args),
        Command::Restore(args) => backups::restore(&args),
        Command::Export(args) => exports::run(&args),
        Command::Demo(args) => demo::run(&args),
        Command::Phantom(args) => phantoms::run(&args),
        Command::Read(args) => return read::run(&args),
        Command::Print(args) => return prints::run(&args),
        Command::Rise(args) => return rises::run(&args),
        Command::Shell(args) => return devices::run(&args),
        Command::Letter(args) => letters::run(&args),
        Command::Check { folder } => return check::run(folder.as_deref()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("tiebeam: {fault:#}");
            ExitCode::FAILURE
        }
    }
}

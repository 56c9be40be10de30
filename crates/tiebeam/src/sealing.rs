//! `tiebeam key`: which ways lead into a practice's keyring, and how does it get a new key?

use crate::check::plural;
use crate::keys::{SystemEntropy, chosen_passphrase, read_ring, write_ring};
use crate::place::Place;
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use store_sql::disk;
use vault::{KeyFile, Keyring, RecoveryCode, WayIn, WayKind};

#[derive(clap::Args)]
pub struct Args {
    #[command(flatten)]
    place: Place,
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// Make a keyring for a new practice; what is kept there from then on is sealed
    ///
    /// The place must hold nothing yet: a practice that is open today is copied into the sealed place with `tiebeam
    /// move`. A recovery code is printed once, to be kept on paper elsewhere.
    Make {
        /// Make a key file here instead of asking for a passphrase
        #[arg(long)]
        new_key_file: Option<PathBuf>,
        /// For backups of a practice that is not sealed itself; say where with --keyring
        #[arg(long)]
        for_backups: bool,
    },
    /// List the ways in and the keys; shows no secret
    List,
    /// Add a passphrase, a key file or a recovery code
    Add {
        /// What people call it
        #[arg(long)]
        label: String,
        #[command(flatten)]
        new: New,
    },
    /// Put a new secret in the place of one, as after somebody saw it
    Change {
        /// Of the list
        id: String,
        #[command(flatten)]
        new: New,
    },
    /// Take a way in away; make a new key as well where it was stolen
    Remove {
        /// Of the list
        id: String,
    },
    /// Make a new key and seal everything anew with it
    ///
    /// Every way in must be shown; files go on being readable meanwhile. If it is broken off, start it again with
    /// `--go-on`.
    Rotate {
        /// Make no further key: finish sealing with the last one
        #[arg(long)]
        go_on: bool,
    },
}

#[derive(clap::Args)]
#[group(multiple = false)]
struct New {
    /// A key file, made here
    #[arg(long)]
    new_key_file: Option<PathBuf>,
    /// A recovery code, printed once
    #[arg(long)]
    new_recovery_code: bool,
}

impl New {
    /// A passphrase unless something else is asked for.
    fn kind(&self) -> WayKind {
        match (&self.new_key_file, self.new_recovery_code) {
            (Some(_), _) => WayKind::KeyFile,
            (_, true) => WayKind::RecoveryCode,
            _ => WayKind::Passphrase,
        }
    }
}

pub fn run(args: &Args) -> Result<()> {
    let path = args.place.keyring_path()?;
    match &args.what {
        What::Make {
            new_key_file,
            for_backups,
        } => {
            if !for_backups {
                holds_nothing(&args.place)?;
            } else if args
                .place
                .folder()
                .is_some_and(|f| path == f.join("keyring"))
            {
                bail!(
                    "found the practice's own folder for a keyring of backups; expected another place, with --keyring"
                );
            }
            make(&path, new_key_file.as_deref())
        }
        What::List => {
            list(&read_ring(&path)?);
            Ok(())
        }
        What::Rotate { go_on } => crate::serve::runtime()?.block_on(rotate(args, &path, *go_on)),
        change => changed(args, &path, change),
    }
}

/// A practice that is open today cannot be sealed where it lies.
fn holds_nothing(place: &Place) -> Result<()> {
    let Some(folder) = place.folder() else {
        return Ok(());
    };
    if folder.join("records.sqlite3").exists() {
        bail!(
            "found a practice that is not sealed in {}; expected a new folder: make the keyring there and copy the practice into it with `tiebeam move`",
            folder.display()
        );
    }
    disk::private_folder(folder)
        .with_context(|| format!("the folder {} could not be made", folder.display()))
}

fn make(path: &Path, new_key_file: Option<&Path>) -> Result<()> {
    if path.exists() {
        bail!(
            "found a keyring at {}; expected none: add ways in with `tiebeam key add`, make a new key with `tiebeam key rotate`",
            path.display()
        );
    }
    let mut entropy = SystemEntropy;
    let (way, label, key) = match new_key_file {
        None => (WayIn::from(chosen_passphrase()?), "passphrase", None),
        Some(file) => {
            let key = KeyFile::fresh(&mut entropy)?;
            (key.clone().into(), "key file", Some((file, key)))
        }
    };
    let (mut ring, seal) = Keyring::make(&way, label, &mut entropy)?;
    let code = RecoveryCode::fresh(&mut entropy)?;
    ring.add(&seal, &code.clone().into(), "on paper", &mut entropy)?;
    if let Some((file, key)) = key {
        // The way in before what it opens.
        write_key_file(file, &key, &ring)?;
    }
    write_ring(path, &ring)?;
    tell_code(&code);
    println!("The keyring {} is at {}.", ring.id(), path.display());
    println!(
        "Keep a copy of it elsewhere; each backup carries one. Without one of its ways in nobody, also not the makers, can open what is sealed."
    );
    Ok(())
}

fn tell_code(code: &RecoveryCode) {
    println!("Recovery code, shown this once; write it down and keep it away from this machine:");
    println!("    {}", *code.text());
}

fn write_key_file(path: &Path, key: &KeyFile, ring: &Keyring) -> Result<()> {
    disk::write_new(path, key.text(ring.id()).as_bytes())
        .with_context(|| format!("the key file {} could not be made new", path.display()))
}

fn list(ring: &Keyring) {
    println!("keyring {}", ring.id());
    for way in ring.ways() {
        println!("{}  {}  {}", way.id(), way.kind(), way.label());
    }
    println!("sealed with key {}", ring.current());
    let retired: Vec<String> = ring.retired().iter().map(u32::to_string).collect();
    if !retired.is_empty() {
        println!(
            "older keys that something may still need: {}; `tiebeam key rotate --go-on` seals that anew",
            retired.join(", ")
        );
    }
}

fn changed(args: &Args, path: &Path, what: &What) -> Result<()> {
    let mut ring = read_ring(path)?;
    let seal = args.place.ways().open(&ring, "the keyring")?;
    let mut entropy = SystemEntropy;
    let done = match what {
        What::Add { label, new } => {
            let way = fresh(&ring, new, &mut entropy)?;
            let id = ring.add(&seal, &way.0, label, &mut entropy)?;
            (format!("added {id}"), way.1)
        }
        What::Change { id, new } => {
            let way = fresh(&ring, new, &mut entropy)?;
            let id = ring.replace(&seal, id.parse()?, &way.0, &mut entropy)?;
            (format!("changed; it is {id} now"), way.1)
        }
        What::Remove { id } => {
            ring.remove(&seal, id.parse()?)?;
            (
                "taken away; where it was stolen make a new key as well".to_owned(),
                None,
            )
        }
        What::Make { .. } | What::List | What::Rotate { .. } => return Ok(()),
    };
    write_ring(path, &ring)?;
    if let Some(code) = &done.1 {
        tell_code(code);
    }
    println!("{}", done.0);
    Ok(())
}

/// A new way in; a key file is on disk before the keyring asks for it.
fn fresh(
    ring: &Keyring,
    new: &New,
    entropy: &mut SystemEntropy,
) -> Result<(WayIn, Option<RecoveryCode>)> {
    Ok(match (new.kind(), &new.new_key_file) {
        (WayKind::KeyFile, Some(path)) => {
            let key = KeyFile::fresh(entropy)?;
            write_key_file(path, &key, ring)?;
            (key.into(), None)
        }
        (WayKind::RecoveryCode, _) => {
            let code = RecoveryCode::fresh(entropy)?;
            (code.clone().into(), Some(code))
        }
        _ => (chosen_passphrase()?.into(), None),
    })
}

/// The keyring with the new key is on disk before anything is sealed with it; the old one goes when nothing needs it.
async fn rotate(args: &Args, path: &Path, go_on: bool) -> Result<()> {
    let mut ring = read_ring(path)?;
    let shown = match go_on {
        true => Vec::new(),
        false => args.place.ways().every(&ring)?,
    };
    let first = match shown.first() {
        Some(first) => ring.open(first)?,
        None => args.place.ways().open(&ring, "the keyring")?,
    };
    let mut seal = first;
    // Alone with the practice before the keyring changes.
    let store = args.place.open_with(Some(seal.clone())).await?;
    if !go_on {
        seal = ring.rotate(&seal, &shown, &mut SystemEntropy)?;
        write_ring(path, &ring)?;
    }
    store.close().await;
    drop(store);
    let store = args.place.open_with(Some(seal.clone())).await?;
    let anew = store.seal_anew().await?;
    store.close().await;
    println!(
        "the records and {} are sealed with key {}",
        plural(anew, "file"),
        ring.current()
    );
    if let Some(left_over) = args.place.folder().map(|f| f.join("left-over"))
        && left_over.exists()
    {
        println!(
            "Older keys stay in the keyring for the files in {}.",
            left_over.display()
        );
        return Ok(());
    }
    for old in ring.retired() {
        seal = ring.forget(&seal, old)?;
    }
    write_ring(path, &ring)?;
    println!("Older keys are gone from the keyring: nothing here needs them.");
    println!(
        "Backups made before carry the keyring of their time and open with the ways in of that time."
    );
    Ok(())
}

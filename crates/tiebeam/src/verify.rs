//! `tiebeam verify`: is everything of a practice whole, and is an end of the trail noted earlier still in it?

use crate::place::Place;
use anyhow::{Context, Result, anyhow, bail};
use std::io::Write;
use std::process::ExitCode;
use store::{Access, Store};

#[derive(clap::Args)]
pub struct Args {
    #[command(flatten)]
    place: Place,
    /// An end of the trail noted earlier, as NUMBER:HASH; must still be in it
    #[arg(long)]
    holds: Option<String>,
}

pub fn run(args: &Args) -> ExitCode {
    match crate::serve::runtime().and_then(|r| r.block_on(told(args))) {
        Ok(faults) if faults.is_empty() => ExitCode::SUCCESS,
        Ok(faults) => {
            for fault in &faults {
                eprintln!("{fault}");
            }
            eprintln!("{} found", crate::check::plural(faults.len(), "fault"));
            ExitCode::FAILURE
        }
        Err(fault) => {
            eprintln!("tiebeam: {fault:#}");
            ExitCode::from(2)
        }
    }
}

async fn told(args: &Args) -> Result<Vec<String>> {
    let store = args.place.open().await?;
    for note in store.notes() {
        eprintln!("tiebeam: {note}");
    }
    let mut faults = store.verify().await?;
    if let Some(noted) = &args.holds {
        faults.extend(missing(&store, noted).await?);
    }
    if faults.is_empty() {
        let told = match store.trail_end().await? {
            Some(end) => format!(
                "everything is whole; the trail ends at {0}:{1}\nnote that down elsewhere: `tiebeam verify --holds {0}:{1}` shows later that nothing up to there was changed",
                end.number, end.hash
            ),
            None => "everything is whole; the trail is empty".to_owned(),
        };
        // Whoever reads only the first line has read what they wanted.
        let _ = writeln!(std::io::stdout(), "{told}");
    }
    store.close().await;
    Ok(faults)
}

/// A sentence where the trail no longer holds what was noted.
async fn missing(store: &dyn Access, noted: &str) -> Result<Option<String>> {
    let (number, hash) = noted
        .split_once(':')
        .ok_or_else(|| anyhow!("found {noted:?} after --holds; expected NUMBER:HASH"))?;
    let number: u64 = number.parse().with_context(|| {
        format!("found {number:?} as a number of the trail; expected a whole number")
    })?;
    if hash.len() != 64 || number == 0 {
        bail!("found {noted:?} after --holds; expected a number from 1 and a hash of 64 digits");
    }
    let there = store.trail(number - 1, 1).await?;
    let holds = there
        .first()
        .is_some_and(|e| e.number == number && e.hash == hash);
    Ok((!holds).then(|| {
        format!("found another trail up to entry {number} than the one noted; expected the same: entries were changed, or this is an older copy of the practice")
    }))
}

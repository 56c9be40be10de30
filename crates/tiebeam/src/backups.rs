//! `tiebeam backup`, `tiebeam restore`, and the backups that `tiebeam serve` makes by the clock.

use crate::check::plural;
use crate::clock::{WallClock, now};
use crate::keys::{SystemEntropy, write_ring};
use crate::place::{Opened, Place};
use anyhow::{Context, Result, bail};
use backup::{Made, Rule, retention};
use record::{Noted, ToNote};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration as Pause;
use store::jobs::{JobId, Jobs, NewJob};
use store::{Access, Store};
use store_sql::SqlStore;
use time::{Duration, OffsetDateTime};
use uuid::Uuid;

// For a practice that is not sealed itself. (A `///` here would become the help of the whole command.)
#[derive(clap::Args, Clone)]
struct OwnKeyring {
    /// Seal backups under this keyring instead of the practice's own
    #[arg(long, env = "TIEBEAM_BACKUP_KEYRING")]
    backup_keyring: Option<PathBuf>,
}

impl OwnKeyring {
    /// What backups are sealed with, given what the practice is sealed with.
    fn opened(&self, place: &Place, practice: Option<&Opened>) -> Result<Opened> {
        match (&self.backup_keyring, practice) {
            (Some(path), _) => place.opened_at(path, "the keyring of the backups"),
            (None, Some(opened)) => Ok(opened.clone()),
            (None, None) => bail!(NO_KEYRING),
        }
    }
}

#[derive(clap::Args)]
pub struct BackupArgs {
    #[command(flatten)]
    place: Place,
    #[command(flatten)]
    keyring: OwnKeyring,
    /// The folder of the backups, best on another disk
    #[arg(long)]
    to: PathBuf,
    /// How many days, weeks and months keep their newest; `all` removes none
    #[arg(long, default_value = "14,9,24", value_parser = rule)]
    keep: Keep,
}

#[derive(clap::Args)]
pub struct RestoreArgs {
    /// The backup
    #[arg(long)]
    from: PathBuf,
    #[command(flatten)]
    to: Place,
    /// Do not seal what is put back
    #[arg(long)]
    unsealed: bool,
}

// What `serve` needs to make backups by itself. (A `///` here would become the help of the whole command.)
#[derive(clap::Args, Clone)]
pub struct ByTheClock {
    /// Make sealed backups into this folder, best on another disk
    #[arg(long = "backup-to", env = "TIEBEAM_BACKUP_TO")]
    to: Option<PathBuf>,
    #[command(flatten)]
    keyring: OwnKeyring,
    /// Hours between two of them
    #[arg(long = "backup-every", default_value_t = 24, value_parser = clap::value_parser!(u32).range(1..=168))]
    every: u32,
    /// How many days, weeks and months keep their newest; `all` removes none
    #[arg(long = "backup-keep", default_value = "14,9,24", value_parser = rule)]
    keep: Keep,
}

/// `None` keeps all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keep(Option<Rule>);

fn rule(text: &str) -> Result<Keep, String> {
    if text == "all" {
        return Ok(Keep(None));
    }
    let numbers: Result<Vec<usize>, _> = text.split(',').map(|n| n.trim().parse()).collect();
    match numbers.as_deref() {
        Ok([days, weeks, months]) => Ok(Keep(Some(Rule {
            days: *days,
            weeks: *weeks,
            months: *months,
        }))),
        _ => Err("expected three whole numbers such as 14,9,24, or all".to_owned()),
    }
}

const NO_KEYRING: &str = "found no keyring; expected one, for a backup is sealed: make one with `tiebeam key make`; for a practice that is not sealed itself make one elsewhere with `tiebeam key --keyring FILE make --for-backups` and name it with --backup-keyring";

pub fn backup(args: &BackupArgs) -> Result<()> {
    let practice = args.place.opened()?;
    let opened = args.keyring.opened(&args.place, practice.as_ref())?;
    crate::serve::runtime()?.block_on(async {
        let store = args.place.open_with(practice.map(|p| p.seal)).await?;
        let made = made(&store, &opened, &args.to, args.keep).await?;
        println!("{}", told(&made));
        store.close().await;
        Ok(())
    })
}

fn told(made: &Made) -> String {
    format!(
        "{}: {}, {}, {} MB; it was put back beside itself and holds the same",
        made.path.display(),
        plural(made.copied.rows, "row"),
        plural(made.copied.files, "file"),
        made.bytes.div_ceil(1_000_000)
    )
}

/// Makes it, notes it, and lets go of what may go.
async fn made(store: &SqlStore, opened: &Opened, to: &Path, keep: Keep) -> Result<Made> {
    let note = |detail: String| ToNote {
        at: now(),
        account: None,
        person: None,
        kind: Noted::BackedUp,
        patient: None,
        detail,
    };
    let made = {
        let (store, opened, to) = (store.clone(), opened.clone(), to.to_owned());
        // Reading and sealing hold a thread for as long as they take.
        let hold = tokio::runtime::Handle::current();
        tokio::task::spawn_blocking(move || {
            hold.block_on(backup::make(
                &store,
                &opened.ring,
                &opened.seal,
                &to,
                now(),
                &mut SystemEntropy,
            ))
        })
        .await
        .context("the backup was broken off")??
    };
    let mut detail = format!("{} rows, {} files", made.copied.rows, made.copied.files);
    if let Keep(Some(rule)) = keep {
        // The backup is good whatever becomes of older ones.
        match retention::tidy(to, rule) {
            Ok(gone) if gone.is_empty() => {}
            Ok(gone) => detail.push_str(&format!("; {} went", plural(gone.len(), "old one"))),
            Err(fault) => tracing::warn!(%fault, "old backups stay"),
        }
    }
    store.note(note(detail)).await?;
    Ok(made)
}

pub fn restore(args: &RestoreArgs) -> Result<()> {
    let ring = backup::keyring_of(&args.from)?;
    let seal = args.to.ways().open(&ring, "the backup")?;
    crate::serve::runtime()?.block_on(async {
        let target = args.to.target((!args.unsealed).then(|| seal.clone()))?;
        let path = (!args.unsealed).then(|| args.to.keyring_path()).transpose()?;
        if let Some(path) = path.as_ref().filter(|path| path.exists()) {
            bail!(
                "found a keyring at {}; expected an empty place to put the backup into: name another",
                path.display()
            );
        }
        let (store, copied) = backup::restore(&args.from, &seal, &target).await?;
        if let Some(path) = &path {
            write_ring(path, &ring)?;
        }
        for note in store.notes() {
            eprintln!("tiebeam: {note}");
        }
        let faults = store.verify().await?;
        for fault in &faults {
            eprintln!("{fault}");
        }
        let note = ToNote {
            at: now(),
            account: None,
            person: None,
            kind: Noted::Restored,
            patient: None,
            detail: format!("{} rows, {} files", copied.rows, copied.files),
        };
        store.note(note).await?;
        store.close().await;
        if !faults.is_empty() {
            bail!("found {} in what was put back", plural(faults.len(), "fault"));
        }
        println!(
            "{} and {} put back; everything is whole",
            plural(copied.rows, "row"),
            plural(copied.files, "file")
        );
        Ok(())
    })
}

const KIND: &str = "backup";

/// What the pages can say of the backups, and the worker that makes them.
pub struct Keeper {
    store: SqlStore,
    opened: Opened,
    to: PathBuf,
    every: Duration,
    keep: Keep,
}

impl ByTheClock {
    /// `None` where no folder was named.
    ///
    /// # Errors
    /// There is no keyring to seal them under.
    pub fn keeper(
        &self,
        place: &Place,
        store: &SqlStore,
        practice: Option<&Opened>,
    ) -> Result<Option<Keeper>> {
        let Some(to) = &self.to else {
            return Ok(None);
        };
        let opened = self.keyring.opened(place, practice)?;
        Ok(Some(Keeper {
            store: store.clone(),
            opened,
            to: to.clone(),
            every: Duration::hours(i64::from(self.every)),
            keep: self.keep,
        }))
    }
}

impl web::Backups for Keeper {
    fn folder(&self) -> String {
        self.to.display().to_string()
    }

    fn hours(&self) -> u32 {
        u32::try_from(self.every.whole_hours()).unwrap_or(u32::MAX)
    }

    fn kept(&self) -> Result<Vec<web::KeptBackup>, String> {
        let kept = backup::kept_in(&self.to)
            .map_err(|e| format!("found the folder of the backups unreadable ({}); expected it to be there: see whether its disk is connected", e.kind()))?;
        Ok(kept
            .into_iter()
            .map(|k| web::KeptBackup {
                at: k.at,
                bytes: k.bytes,
            })
            .collect())
    }
}

impl Keeper {
    /// Until the program ends: sees to it that there is a job for each span of time, and does what is to be done. Of
    /// several servers on one database one does it.
    pub async fn work(self: Arc<Self>) {
        let taker = Uuid::now_v7();
        loop {
            if let Err(fault) = self.once(taker).await {
                tracing::warn!("backup: {fault:#}");
            }
            tokio::time::sleep(Pause::from_secs(20)).await;
        }
    }

    async fn once(self: &Arc<Self>, taker: Uuid) -> Result<()> {
        self.store.enqueue(self.due(now())).await?;
        let keeper = self.clone();
        let work = |_, _, _| async move {
            let done = made(&keeper.store, &keeper.opened, &keeper.to, keeper.keep).await;
            done.map(drop).map_err(|fault| {
                tracing::warn!("backup: {fault:#}");
                fault.to_string()
            })
        };
        web::jobs::one(&self.store, &WallClock, KIND, taker, work).await?;
        Ok(())
    }

    /// The span of time that the moment lies in has one job, whoever asks for it and however often.
    fn due(&self, at: OffsetDateTime) -> NewJob {
        let span = self.every.whole_seconds().max(1);
        let number = at.unix_timestamp().div_euclid(span);
        NewJob {
            id: JobId(Uuid::now_v7()),
            kind: KIND.to_owned(),
            key: format!("every {} h, number {number}", self.every.whole_hours()),
            payload: serde_json::json!({}),
            at,
            due_at: at,
            most_tries: 5,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rule_of_what_is_kept_is_three_numbers_or_all() {
        assert_eq!(rule("all"), Ok(Keep(None)));
        let three = Rule {
            days: 7,
            weeks: 4,
            months: 12,
        };
        assert_eq!(rule("7, 4,12"), Ok(Keep(Some(three))));
        for bad in ["", "7", "7,4", "7,4,x", "7,4,12,1", "-1,2,3"] {
            assert!(rule(bad).is_err(), "{bad}");
        }
    }
}

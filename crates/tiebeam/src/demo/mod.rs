//! `tiebeam demo`: an invented practice, the whole job for its first patient, then the pages.
//!
//! Every person, finding and film here is invented; the films are computed from a foot whose true angles
//! are known, and the points on them are the true ones moved by the usual placing error.

mod captures;
mod job;
mod people;
mod shells;

pub use job::{DoneFilm, DoneVisit, put};
pub use people::REFERRER;

use anyhow::{Context, Result};
use std::fs;
use std::path::PathBuf;
use store_sql::SqlStore;

#[derive(clap::Args)]
pub struct Args {
    /// Where the practice and the files go
    #[arg(long, default_value = "demo")]
    out: PathBuf,
    /// Stop after the files
    #[arg(long)]
    no_serve: bool,
    /// Language of the papers among the files, such as es
    #[arg(long, default_value = "en", value_parser = crate::letters::language)]
    language: letter::Language,
    /// Port on 127.0.0.1; 0 takes any free one
    #[arg(long, default_value_t = 8321)]
    port: u16,
}

pub fn run(args: &Args) -> Result<()> {
    let practice = args.out.join("practice");
    if practice.exists() {
        // Only what an earlier demo made is taken away; anything else in the folder stays.
        fs::remove_dir_all(&practice).with_context(|| {
            format!(
                "the earlier demo practice {} could not be taken away",
                practice.display()
            )
        })?;
    }
    fs::create_dir_all(&args.out)
        .with_context(|| format!("the folder {} could not be made", args.out.display()))?;
    crate::serve::runtime()?.block_on(async {
        let store = SqlStore::open_folder(&practice).await?;
        job::whole(&store, &args.out, letter::Words::of(args.language)).await?;
        if args.no_serve {
            return Ok(());
        }
        crate::serve::serve_store(store, args.port).await
    })
}

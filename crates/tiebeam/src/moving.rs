//! `tiebeam move`: a whole practice from one place to another, and proof that both hold the same.

use crate::check::plural;
use crate::place::{Other, Place};
use anyhow::{Result, anyhow, bail};
use std::fs::File;
use std::io::{BufReader, BufWriter, Seek, Write};
use store_sql::copy;

#[derive(clap::Args)]
pub struct Args {
    #[command(flatten)]
    from: Place,
    #[command(flatten)]
    to: Other,
}

pub fn run(args: &Args) -> Result<()> {
    crate::serve::runtime()?.block_on(moved(args))
}

async fn moved(args: &Args) -> Result<()> {
    let from = args.from.open().await?;
    let to = args.to.beside(&args.from).open().await?;
    // Without a name in any folder: gone when the program ends, however it ends.
    let mut between = tempfile::tempfile().map_err(|e| {
        anyhow!("found no room for a copy on its way ({e}); expected a folder for temporary files")
    })?;
    let mut out = BufWriter::new(&mut between);
    let copied = copy::dump(&from, &mut out).await?;
    out.flush()?;
    drop(out);
    between.rewind()?;
    copy::restore(&mut BufReader::new(&between as &File), &to).await?;
    let differences = copy::equality(&from, &to).await?;
    for difference in &differences {
        eprintln!("{difference}");
    }
    if !differences.is_empty() {
        bail!(
            "found {} between the two places after the move; expected none: keep working in the first one",
            plural(differences.len(), "difference")
        );
    }
    println!(
        "{} of {} and {} moved; both places hold the same, row by row and file by file",
        plural(copied.rows, "row"),
        plural(copied.tables, "table"),
        plural(copied.files, "file")
    );
    println!(
        "The first place was left as it is. Work in the second from now on, and put the first away."
    );
    from.close().await;
    to.close().await;
    Ok(())
}

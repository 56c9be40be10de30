//! `tiebeam letter`: a letter without the pages.

use anyhow::{Context, Result, anyhow};
use letter::{Document, Pictures};
use record::{LetterId, LetterState};
use std::fs;
use std::path::PathBuf;
use store::Store;
use store_sqlite::SqliteStore;

#[derive(clap::Args)]
pub struct Args {
    /// A document file (JSON) to set
    #[arg(long, required_unless_present = "data")]
    document: Option<PathBuf>,
    /// Pictures of the document, each as NAME=FILE
    #[arg(long = "picture", value_name = "NAME=FILE")]
    pictures: Vec<String>,
    /// A practice's data folder to take a signed letter from
    #[arg(long, requires = "id", conflicts_with = "document")]
    data: Option<PathBuf>,
    /// The letter's id, as its address on the page shows it
    #[arg(long)]
    id: Option<String>,
    /// Where the PDF goes
    #[arg(long, short)]
    out: PathBuf,
}

pub fn run(args: &Args) -> Result<()> {
    let bytes = match (&args.document, &args.data, &args.id) {
        (Some(path), _, _) => set(path, &args.pictures)?,
        (None, Some(data), Some(id)) => {
            let id: LetterId = id.parse()?;
            crate::serve::runtime()?.block_on(async {
                let store = SqliteStore::open(data).await?;
                let letter = store.letter(id).await?;
                if letter.state == LetterState::Draft {
                    return Err(anyhow!("this letter is a draft; open it on its page, look at it and sign it first"));
                }
                Ok(store.letter_pdf(id).await?)
            })?
        }
        _ => return Err(anyhow!("give --document FILE, or --data FOLDER with --id")),
    };
    fs::write(&args.out, &bytes).with_context(|| format!("{} could not be written", args.out.display()))?;
    println!("{}: {} kB", args.out.display(), bytes.len() / 1024);
    Ok(())
}

fn set(path: &PathBuf, pictures: &[String]) -> Result<Vec<u8>> {
    let text = fs::read_to_string(path).with_context(|| format!("the document {} could not be read", path.display()))?;
    let document: Document = serde_json::from_str(&text).with_context(|| format!("{} is no letter document", path.display()))?;
    let mut all = Pictures::new();
    for pair in pictures {
        let (name, file) = pair.split_once('=').ok_or_else(|| anyhow!("found the picture {pair:?}; expected NAME=FILE"))?;
        all.insert(name.to_owned(), fs::read(file).with_context(|| format!("the picture {file} could not be read"))?);
    }
    Ok(letter::render(&document, &all)?.bytes)
}

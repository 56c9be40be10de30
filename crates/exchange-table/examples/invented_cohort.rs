//! Writes an invented study into a folder: sixty people that do not exist.
//!
//!     cargo run -p exchange-table --example invented_cohort -- FOLDER

use exchange::invented::invented;
use exchange_table::{Study, StudyKey};
use std::error::Error;
use std::fs::{File, create_dir_all};
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args()
        .nth(1)
        .map(PathBuf::from)
        .ok_or("found no folder; expected one to write into")?;
    let mut study = Study::new(StudyKey::new(b"an invented key that keeps nothing")?);
    for person in 0..60 {
        study.add(&invented(person).chart);
    }
    let written = study.write(|path| {
        let path = folder.join(path);
        if let Some(parent) = path.parent() {
            create_dir_all(parent)?;
        }
        File::create(path)
    })?;
    for file in written {
        println!("{} {}", file.rows, file.path);
    }
    Ok(())
}

//! How is a backup made and proved?

use crate::BackupError;
use crate::shelf::name_of;
use sha2::{Digest, Sha256};
use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::Store;
use store_sql::copy::{self, Copied};
use store_sql::{SqlStore, disk};
use time::{Duration, OffsetDateTime};
use vault::stream::{Opener, Sealer};
use vault::{Entropy, Keyring};

/// A backup that was put back and found the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    pub path: PathBuf,
    pub copied: Copied,
    /// Of the file.
    pub bytes: u64,
}

const WRITE: &str = "write the backup";
/// How the folder of a proof begins.
const PROOF: &str = "proof-";

/// Writes the practice of one moment into the folder, sealed, and proves it. People go on working meanwhile.
///
/// Room for the practice twice is needed: once sealed, once put back for the proof. Reading and sealing hold the
/// thread: call it on one of its own.
///
/// # Errors
/// A damaged file in the practice; no room; a proof that fails. What was begun is removed then.
pub async fn make(
    store: &SqlStore,
    ring: &Keyring,
    seal: &vault::Seal,
    folder: &Path,
    at: OffsetDateTime,
    entropy: &mut (dyn Entropy + Send),
) -> Result<Made, BackupError> {
    disk::private_folder(folder)
        .and_then(|()| left_lying(folder, at))
        .map_err(BackupError::folder("make the folder of the backups"))?;
    let name = name_of(at);
    let part = folder.join(format!("{name}.part"));
    let done = made(store, ring, seal, (folder, &part), &name, entropy).await;
    if done.is_err() {
        // Whatever stays behind has no name that is taken for a backup.
        let _ = fs::remove_file(&part);
    }
    done
}

async fn made(
    store: &SqlStore,
    ring: &Keyring,
    seal: &vault::Seal,
    (folder, part): (&Path, &Path),
    name: &str,
    entropy: &mut (dyn Entropy + Send),
) -> Result<Made, BackupError> {
    let file = disk::private_file(part, false).map_err(BackupError::folder(WRITE))?;
    let sealer = Sealer::start(BufWriter::new(file), seal, ring, entropy)?;
    let mut out = Hashed::over(sealer);
    let copied = copy::dump(store, &mut out).await?;
    let (sealer, hash) = out.ended();
    let (buffered, summary) = sealer.finish()?;
    let file = buffered
        .into_inner()
        .map_err(|e| BackupError::folder(WRITE)(e.into_error()))?;
    file.sync_all().map_err(BackupError::folder(WRITE))?;
    drop(file);
    prove(seal, folder, part, &copied, hash).await?;
    let path = folder.join(name);
    fs::rename(part, &path)
        .and_then(|()| disk::flush_folder(folder))
        .map_err(BackupError::folder(WRITE))?;
    Ok(Made {
        path,
        copied,
        bytes: summary.sealed_bytes,
    })
}

/// Removes what backups left that were cut off more than a day ago; a younger one may still be under way.
fn left_lying(folder: &Path, at: OffsetDateTime) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let (proof, part) = (name.starts_with(PROOF), name.ends_with(".backup.part"));
        let changed = OffsetDateTime::from(entry.metadata()?.modified()?);
        match at - changed > Duration::DAY {
            true if proof => fs::remove_dir_all(entry.path())?,
            true if part => fs::remove_file(entry.path())?,
            _ => {}
        }
    }
    Ok(())
}

/// Puts the backup back beside it, has that verified, writes it once more and sees that the same comes out.
async fn prove(
    seal: &vault::Seal,
    folder: &Path,
    part: &Path,
    copied: &Copied,
    hash: [u8; 32],
) -> Result<(), BackupError> {
    const PROVE: &str = "put the backup back for its proof";
    let not_the_same = |detail: String| BackupError::NotTheSame { detail };
    let source = File::open(part).map_err(BackupError::folder(PROVE))?;
    let mut opener = Opener::verified(BufReader::new(source), seal)?;
    let beside = tempfile::Builder::new()
        .prefix(PROOF)
        .tempdir_in(folder)
        .map_err(BackupError::folder(PROVE))?;
    let again = SqlStore::open_sealed_folder(beside.path(), Arc::new(seal.clone())).await?;
    let back = copy::restore(&mut opener, &again).await?;
    if back != *copied {
        return Err(not_the_same("another number of rows or files".into()));
    }
    if let Some(first) = again.verify().await?.into_iter().next() {
        return Err(not_the_same(first));
    }
    let mut out = Hashed::over(io::sink());
    copy::dump(&again, &mut out).await?;
    again.close().await;
    match out.ended().1 == hash {
        true => Ok(()),
        false => Err(not_the_same("another content".into())),
    }
}

/// Hashes what goes through.
struct Hashed<W> {
    out: W,
    hash: Sha256,
}

impl<W: Write> Hashed<W> {
    fn over(out: W) -> Self {
        Self {
            out,
            hash: Sha256::new(),
        }
    }

    fn ended(self) -> (W, [u8; 32]) {
        (self.out, self.hash.finalize().into())
    }
}

impl<W: Write> Write for Hashed<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.out.write(bytes)?;
        self.hash.update(&bytes[..taken]);
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

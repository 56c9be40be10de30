//! How do a file's bytes get to disk so that they are there whole or not at all?
//!
//! Written under another name, flushed, renamed, and the folder flushed: a file under its final
//! name is whole. It is named by the SHA-256 of its bytes, so the same film taken in twice lies
//! there once, and a changed bit is noticed when it is read.

use crate::disk::flush_folder;
use crate::fault::{Fault, damaged};
use crate::shelf::{Incoming, Seal, Swept, is_name, names_of, whole};
use record::ContentHash;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::StoreError;

/// Where record files are kept as they were before an update.
pub const BEFORE_UPDATE: &str = "before-update";

#[derive(Debug, Clone)]
pub struct Files {
    folder: PathBuf,
    seal: Arc<dyn Seal>,
}

impl Files {
    pub fn in_folder(folder: &Path, seal: Arc<dyn Seal>) -> io::Result<Self> {
        let files = Self {
            folder: folder.to_owned(),
            seal,
        };
        for name in ["files", "incoming"] {
            fs::create_dir_all(folder.join(name))?;
        }
        flush_folder(folder)?;
        Ok(files)
    }

    fn place(&self, hash: ContentHash) -> PathBuf {
        let name = self.seal.name(hash);
        self.folder.join("files").join(&name[..2]).join(name)
    }

    /// Puts all in place; where `alone`, or none that was not there before. Answers with those that are new.
    pub fn put_all(
        &self,
        incoming: &[Incoming],
        act: &str,
        alone: bool,
    ) -> io::Result<Vec<ContentHash>> {
        let mut new = Vec::new();
        for file in incoming {
            match self.put(file.content, &file.bytes, act) {
                Ok(true) => new.push(file.content),
                Ok(false) => {}
                Err(failed) => {
                    if alone {
                        self.take_back(&new);
                    }
                    return Err(failed);
                }
            }
        }
        Ok(new)
    }

    /// Puts the bytes in place. True where they were not there before.
    fn put(&self, hash: ContentHash, bytes: &[u8], act: &str) -> io::Result<bool> {
        let place = self.place(hash);
        if fs::read(&place).is_ok_and(|there| whole(&*self.seal, hash, there).is_some()) {
            // An earlier act may have been broken off before it flushed what it had put here.
            self.flush_names(&place)?;
            return Ok(false);
        }
        let incoming = self.folder.join("incoming").join(format!("{act}.part"));
        let closed = self.seal.close(hash, bytes).map_err(io::Error::other)?;
        let put = self.write_and_rename(&incoming, &place, &closed);
        if put.is_err() {
            // Whatever stays behind is swept at the next start.
            let _ = fs::remove_file(&incoming);
        }
        put.map(|()| true)
    }

    /// Closes the file anew where it was closed with an older key.
    pub fn seal_anew(&self, hash: ContentHash) -> Result<bool, Fault> {
        let place = self.place(hash);
        if self.seal.is_current(&fs::read(&place)?) {
            return Ok(false);
        }
        let closed = self.seal.close(hash, &self.get(hash)?)?;
        let incoming = self.folder.join("incoming").join(format!("{hash}.part"));
        self.write_and_rename(&incoming, &place, &closed)?;
        Ok(true)
    }

    fn write_and_rename(&self, incoming: &Path, place: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = File::create(incoming)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        drop(file);
        if let Some(shelf) = place.parent() {
            fs::create_dir_all(shelf)?;
            fs::rename(incoming, place)?;
        }
        self.flush_names(place)
    }

    /// Makes the file's name and its shelf's survive a power cut. The shelf's each time: that it is there
    /// does not say that whoever made it came to flushing it.
    fn flush_names(&self, place: &Path) -> io::Result<()> {
        if let Some(shelf) = place.parent() {
            flush_folder(shelf)?;
        }
        flush_folder(&self.folder.join("files"))
    }

    /// Takes back files whose record could not be written. Failing is harmless: the next start
    /// moves them away.
    pub fn take_back(&self, new: &[ContentHash]) {
        for hash in new {
            let _ = fs::remove_file(self.place(*hash));
        }
    }

    /// For good; also what a start moved away because nothing named it.
    pub fn erase(&self, gone: &[ContentHash]) -> io::Result<()> {
        for hash in gone {
            let place = self.place(*hash);
            let moved = self.folder.join("left-over").join(self.seal.name(*hash));
            for file in [&place, &moved] {
                match fs::remove_file(file) {
                    Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
                    _ => {}
                }
            }
            if let Some(shelf) = place.parent().filter(|shelf| shelf.exists()) {
                flush_folder(shelf)?;
            }
        }
        Ok(())
    }

    pub fn forget_older_states(&self) -> io::Result<()> {
        match fs::remove_dir_all(self.folder.join(BEFORE_UPDATE)) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
            _ => flush_folder(&self.folder),
        }
    }

    pub fn get(&self, hash: ContentHash) -> Result<Vec<u8>, StoreError> {
        let bytes = fs::read(self.place(hash))
            .map_err(|e| damaged(format!("the file {hash}"), format!("not readable: {e}")))?;
        whole(&*self.seal, hash, bytes)
            .ok_or_else(|| damaged(format!("the file {hash}"), "its content changed"))
    }

    /// Clears what a cut-off act left behind. `named` are the files that records name.
    pub fn sweep(&self, named: &BTreeSet<ContentHash>) -> io::Result<Swept> {
        let mut swept = Swept::default();
        for entry in fs::read_dir(self.folder.join("incoming"))? {
            fs::remove_file(entry?.path())?;
            swept.unfinished += 1;
        }
        let mut missing = names_of(&*self.seal, named);
        for name in self.names()? {
            if missing.remove(&name).is_none() {
                self.move_away(&name)?;
                swept.left_over += 1;
            }
        }
        swept.missing = missing.into_values().collect();
        Ok(swept)
    }

    /// All names that lie here. What is not a file of ours is left alone.
    pub fn names(&self) -> io::Result<BTreeSet<String>> {
        let mut names = BTreeSet::new();
        for shelf in fs::read_dir(self.folder.join("files"))? {
            let shelf = shelf?;
            if !shelf.path().is_dir() {
                continue;
            }
            for entry in fs::read_dir(shelf.path())? {
                let name = entry?.file_name();
                let ours = name.to_str().filter(|n| is_name(n));
                if let Some(ours) = ours
                    && shelf.file_name().to_str() == ours.get(..2)
                {
                    names.insert(ours.to_owned());
                }
            }
        }
        Ok(names)
    }

    /// Not deleted: should the record file have been exchanged for an older one, these are films.
    fn move_away(&self, name: &str) -> io::Result<()> {
        let left_over = self.folder.join("left-over");
        fs::create_dir_all(&left_over)?;
        let shelf = self.folder.join("files").join(&name[..2]);
        fs::rename(shelf.join(name), left_over.join(name))
    }
}

/// Is any file kept here? Asked before anything is opened or made.
pub fn any_kept(folder: &Path) -> io::Result<bool> {
    let shelves = match fs::read_dir(folder.join("files")) {
        Ok(shelves) => shelves,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(e) => return Err(e),
    };
    for shelf in shelves {
        let shelf = shelf?.path();
        if shelf.is_dir() && fs::read_dir(shelf)?.next().is_some() {
            return Ok(true);
        }
    }
    Ok(false)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shelf::Unsealed;

    fn files(folder: &tempfile::TempDir) -> Files {
        Files::in_folder(folder.path(), Arc::new(Unsealed)).unwrap()
    }

    #[test]
    fn a_file_put_in_twice_lies_there_once_and_comes_back() {
        let folder = tempfile::tempdir().unwrap();
        let files = files(&folder);
        let hash = ContentHash::of(b"film");
        assert!(files.put(hash, b"film", "1").unwrap());
        assert!(!files.put(hash, b"film", "2").unwrap());
        assert_eq!(files.get(hash).unwrap(), b"film");
    }

    #[test]
    fn where_one_of_two_files_cannot_be_put_the_other_is_taken_back_unless_it_was_there() {
        let folder = tempfile::tempdir().unwrap();
        let files = files(&folder);
        let two = [
            Incoming::of(b"sheet".into()),
            Incoming::of(b"solids".into()),
        ];
        let [sheet, solids] = [two[0].content, two[1].content];
        // A file where the shelf of the second should be.
        let shelf = files.place(solids).parent().unwrap().to_owned();
        fs::write(&shelf, "in the way").unwrap();
        assert!(files.put_all(&two, "1", true).is_err());
        assert!(matches!(files.get(sheet), Err(StoreError::Damaged { .. })));
        files.put(sheet, b"sheet", "2").unwrap();
        assert!(files.put_all(&two, "3", true).is_err());
        assert_eq!(files.get(sheet).unwrap(), b"sheet", "another act's file");
        fs::remove_file(&shelf).unwrap();
        assert_eq!(files.put_all(&two, "4", true).unwrap(), [solids]);
        assert_eq!(files.get(solids).unwrap(), b"solids");
    }

    #[test]
    fn a_changed_bit_is_noticed_and_mended_when_the_film_comes_in_again() {
        let folder = tempfile::tempdir().unwrap();
        let files = files(&folder);
        let hash = ContentHash::of(b"film");
        files.put(hash, b"film", "1").unwrap();
        fs::write(files.place(hash), b"filn").unwrap();
        assert!(matches!(files.get(hash), Err(StoreError::Damaged { .. })));
        assert!(files.put(hash, b"film", "2").unwrap());
        assert_eq!(files.get(hash).unwrap(), b"film");
    }

    #[test]
    fn a_sweep_removes_the_unfinished_moves_the_unnamed_and_tells_the_missing() {
        let folder = tempfile::tempdir().unwrap();
        let files = files(&folder);
        let (kept, unnamed) = (ContentHash::of(b"kept"), ContentHash::of(b"unnamed"));
        let missing = ContentHash::of(b"missing");
        files.put(kept, b"kept", "1").unwrap();
        files.put(unnamed, b"unnamed", "2").unwrap();
        fs::write(folder.path().join("incoming/cut-off.part"), b"ha").unwrap();
        let swept = files.sweep(&[kept, missing].into()).unwrap();
        assert_eq!(
            swept,
            Swept {
                unfinished: 1,
                left_over: 1,
                missing: vec![missing]
            }
        );
        assert_eq!(files.get(kept).unwrap(), b"kept");
        let moved = folder.path().join("left-over").join(unnamed.to_string());
        assert_eq!(fs::read(moved).unwrap(), b"unnamed");
    }
}

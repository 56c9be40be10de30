//! A disk that keeps only what was flushed, rebuilt from the steps of a real run.
//!
//! A file keeps the bytes of its last flush; a folder keeps its entries of its own last flush. Whatever
//! came after may be kept, lost, or (a write) kept in part, each by itself and in any order: harsher than
//! any file system in use, which is what the promise of POSIX allows.

use rand::{Rng, rngs::StdRng};
use std::collections::BTreeMap;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::Path;

#[derive(Debug, Clone)]
pub enum Step {
    Made(String),
    Written(String, u64, Vec<u8>),
    Cut(String, u64),
    Flushed(String),
    Renamed(String, String),
    Removed(String),
    Folder(String),
    /// A line on the standard output: from here on its act is confirmed.
    Said(String),
}

/// Of the notes of `trace.c`.
pub fn steps(log: &[u8]) -> Vec<Step> {
    let mut rest = log;
    let mut take = |n: usize| {
        let (head, tail) = rest.split_at_checked(n)?;
        rest = tail;
        Some(head)
    };
    let mut steps = Vec::new();
    // A process that was killed may have left half a note at the end.
    while let Some(step) = (|| {
        let kind = take(1)?[0];
        let length = u32::from_le_bytes(take(4)?.try_into().ok()?);
        let path = String::from_utf8(take(length as usize)?.to_vec()).ok()?;
        let at = u64::from_le_bytes(take(8)?.try_into().ok()?);
        let length = u32::from_le_bytes(take(4)?.try_into().ok()?);
        let more = take(length as usize)?.to_vec();
        let text = |more| String::from_utf8(more).ok();
        Some(match kind {
            b'C' => Step::Made(path),
            b'W' => Step::Written(path, at, more),
            b'T' => Step::Cut(path, at),
            b'S' => Step::Flushed(path),
            b'R' => Step::Renamed(path, text(more)?),
            b'U' => Step::Removed(path),
            b'M' => Step::Folder(path),
            b'D' => Step::Said(text(more)?),
            other => panic!("a note of an unknown kind {other}"),
        })
    })() {
        steps.push(step);
    }
    steps
}

#[derive(Debug, Clone)]
enum Change {
    Write(usize, Vec<u8>),
    Cut(usize),
}

#[derive(Debug, Clone)]
enum Entry {
    Add(String, usize),
    Gone(String),
}

#[derive(Debug, Clone)]
enum Node {
    File {
        kept: Vec<u8>,
        since: Vec<Change>,
    },
    Folder {
        kept: BTreeMap<String, usize>,
        since: Vec<Entry>,
    },
}

/// What is lost of the changes that were not flushed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Loss {
    Nothing,
    All,
    Bytes,
    Entries,
    /// Each is kept with this chance in ten; writes may be torn at a sector.
    Some(u32),
}

#[derive(Debug, Clone)]
pub struct Disk {
    nodes: Vec<Node>,
}

/// Paths and bytes; folders have none.
pub type Image = BTreeMap<String, Option<Vec<u8>>>;

fn split(path: &str) -> (&str, &str) {
    path.rsplit_once('/').unwrap_or(("", path))
}

fn changed(bytes: &mut Vec<u8>, change: &Change) {
    match change {
        Change::Write(at, more) => {
            if bytes.len() < at + more.len() {
                bytes.resize(at + more.len(), 0);
            }
            bytes[*at..at + more.len()].copy_from_slice(more);
        }
        Change::Cut(length) => bytes.resize(*length, 0),
    }
}

fn entered(entries: &mut BTreeMap<String, usize>, entry: &Entry) {
    match entry {
        Entry::Add(name, node) => {
            entries.insert(name.clone(), *node);
        }
        Entry::Gone(name) => {
            entries.remove(name);
        }
    }
}

impl Disk {
    /// An empty folder that is itself safe.
    pub fn new() -> Self {
        Disk {
            nodes: vec![Node::Folder {
                kept: BTreeMap::new(),
                since: Vec::new(),
            }],
        }
    }

    /// As programs see it now.
    fn find(&self, path: &str) -> Option<usize> {
        let mut at = 0;
        for part in path.split('/').filter(|part| !part.is_empty()) {
            let Node::Folder { kept, since } = &self.nodes[at] else {
                return None;
            };
            let mut entries = kept.clone();
            since.iter().for_each(|entry| entered(&mut entries, entry));
            at = *entries.get(part)?;
        }
        Some(at)
    }

    fn enter(&mut self, folder: &str, entry: Entry) {
        let at = self.find(folder).expect("the folder is there");
        match &mut self.nodes[at] {
            Node::Folder { since, .. } => since.push(entry),
            Node::File { .. } => panic!("{folder} is a file"),
        }
    }

    fn add(&mut self, path: &str, node: Node) {
        self.nodes.push(node);
        let (folder, name) = split(path);
        let entry = Entry::Add(name.into(), self.nodes.len() - 1);
        self.enter(folder, entry);
    }

    fn change(&mut self, path: &str, change: Change) {
        // A file that was removed and is still open: no image shows it.
        let Some(at) = self.find(path) else { return };
        match &mut self.nodes[at] {
            Node::File { since, .. } => since.push(change),
            Node::Folder { .. } => panic!("{path} is a folder"),
        }
    }

    pub fn take(&mut self, step: &Step) {
        match step {
            Step::Made(path) => {
                let (kept, since) = (Vec::new(), Vec::new());
                self.add(path, Node::File { kept, since });
            }
            Step::Folder(path) => {
                let (kept, since) = (BTreeMap::new(), Vec::new());
                self.add(path, Node::Folder { kept, since });
            }
            Step::Written(path, at, bytes) => {
                self.change(path, Change::Write(*at as usize, bytes.clone()));
            }
            Step::Cut(path, length) => self.change(path, Change::Cut(*length as usize)),
            Step::Flushed(path) => {
                let Some(at) = self.find(path) else { return };
                match &mut self.nodes[at] {
                    Node::File { kept, since } => {
                        since.drain(..).for_each(|one| changed(kept, &one));
                    }
                    Node::Folder { kept, since } => {
                        since.drain(..).for_each(|one| entered(kept, &one));
                    }
                }
            }
            Step::Renamed(from, to) => {
                let node = self.find(from).expect("what is renamed is there");
                let ((from_folder, from), (to_folder, to)) = (split(from), split(to));
                self.enter(to_folder, Entry::Add(to.into(), node));
                self.enter(from_folder, Entry::Gone(from.into()));
            }
            Step::Removed(path) => {
                let (folder, name) = split(path);
                self.enter(folder, Entry::Gone(name.into()));
            }
            Step::Said(_) => {}
        }
    }

    /// What a start finds after the power was cut.
    pub fn after(&self, loss: Loss, dice: &mut StdRng) -> Image {
        let mut image = Image::new();
        self.gather(0, "", loss, dice, &mut image);
        image
    }

    fn gather(&self, at: usize, path: &str, loss: Loss, dice: &mut StdRng, image: &mut Image) {
        match &self.nodes[at] {
            Node::File { kept, since } => {
                let mut bytes = kept.clone();
                for change in since {
                    match loss {
                        Loss::Nothing | Loss::Entries => changed(&mut bytes, change),
                        Loss::All | Loss::Bytes => {}
                        Loss::Some(tenths) => {
                            if dice.random_range(0..10) < tenths {
                                changed(&mut bytes, &torn(change, dice));
                            }
                        }
                    }
                }
                image.insert(path.into(), Some(bytes));
            }
            Node::Folder { kept, since } => {
                let mut entries = kept.clone();
                for entry in since {
                    let stays = match loss {
                        Loss::Nothing | Loss::Bytes => true,
                        Loss::All | Loss::Entries => false,
                        Loss::Some(tenths) => dice.random_range(0..10) < tenths,
                    };
                    if stays {
                        entered(&mut entries, entry);
                    }
                }
                image.insert(path.into(), None);
                for (name, node) in entries {
                    let below = if path.is_empty() {
                        name
                    } else {
                        format!("{path}/{name}")
                    };
                    self.gather(node, &below, loss, dice, image);
                }
            }
        }
    }
}

/// One write in four ends at a sector of 512 bytes.
fn torn(change: &Change, dice: &mut StdRng) -> Change {
    match change {
        Change::Write(at, bytes) if dice.random_range(0..4) == 0 => {
            let end = dice.random_range(*at..=at + bytes.len()) / 512 * 512;
            Change::Write(*at, bytes[..end.saturating_sub(*at)].to_vec())
        }
        whole => whole.clone(),
    }
}

pub fn sum_of(image: &Image) -> u64 {
    let mut sum = DefaultHasher::new();
    image.hash(&mut sum);
    sum.finish()
}

pub fn write(image: &Image, folder: &Path) {
    for (path, bytes) in image {
        let path = folder.join(path);
        match bytes {
            None => fs::create_dir_all(path).unwrap(),
            Some(bytes) => fs::write(path, bytes).unwrap(),
        }
    }
}

/// What lies in a real folder, shared memory left out.
pub fn read(folder: &Path) -> Image {
    fn gather(folder: &Path, path: &str, image: &mut Image) {
        image.insert(path.into(), None);
        for entry in fs::read_dir(folder).unwrap() {
            let entry = entry.unwrap();
            let name = entry.file_name().into_string().unwrap();
            let below = match path {
                "" => name,
                path => format!("{path}/{name}"),
            };
            if entry.path().is_dir() {
                gather(&entry.path(), &below, image);
            } else if !below.ends_with("-shm") {
                image.insert(below, Some(fs::read(entry.path()).unwrap()));
            }
        }
    }
    let mut image = Image::new();
    gather(folder, "", &mut image);
    image
}

//! Which files stand in the folder, and is it whole?

use crate::{name, page, sheet};
use exchange::Opened;
use exchange_fhir::{Base, bundle};
use record::{Chart, ContentHash};
use serde::Serialize;
use std::io::{self, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

#[derive(Debug, thiserror::Error)]
pub enum ReadableError {
    #[error("the folder was not written: {0}")]
    File(#[from] io::Error),
    #[error("the folder was not packed: {0}")]
    Zip(#[from] zip::result::ZipError),
    #[error("a part of the chart could not be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
}

/// How a file of the chart came into the folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FileState {
    Whole,
    /// The record names it and its bytes are not there.
    Missing,
    /// There, but its bytes are not the ones that were kept.
    Changed,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ExportedFile {
    /// In the folder; where it is missing, the name it would have.
    pub path: String,
    pub content: ContentHash,
    pub what: &'static str,
    pub came_as: Option<String>,
    pub state: FileState,
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Exported {
    pub files: Vec<ExportedFile>,
}

impl Exported {
    /// Every file that the chart names is there, with the bytes that were kept.
    pub fn is_whole(&self) -> bool {
        self.files.iter().all(|f| f.state == FileState::Whole)
    }
}

/// Writes everything of a chart as one ZIP. `fetch` gives a file's bytes, or `None` where there are none; what is
/// missing or changed is told on the page and in what comes back, and the rest is written all the same.
///
/// # Errors
/// A writer that takes no more, or a fault of `fetch` itself.
pub fn export<W: Write>(
    chart: &Chart,
    out: W,
    mut fetch: impl FnMut(&ContentHash) -> io::Result<Option<Vec<u8>>>,
) -> Result<Exported, ReadableError> {
    let opened = Opened::of(chart);
    let mut zip = ZipWriter::new_stream(out);
    let plain = SimpleFileOptions::default().last_modified_time(DateTime::default());
    let packed = plain.compression_method(CompressionMethod::Deflated);
    // Pictures and clips are packed already.
    let stored = plain.compression_method(CompressionMethod::Stored);
    let mut exported = Exported { files: Vec::new() };
    for (place, file) in chart.files().into_iter().enumerate() {
        let path = name::path(place, &file);
        let state = match fetch(&file.content)? {
            None => FileState::Missing,
            Some(bytes) => {
                zip.start_file(
                    path.as_str(),
                    stored.large_file(bytes.len() > u32::MAX as usize),
                )?;
                zip.write_all(&bytes)?;
                match ContentHash::of(&bytes) == file.content {
                    true => FileState::Whole,
                    false => FileState::Changed,
                }
            }
        };
        exported.files.push(ExportedFile {
            path,
            content: file.content,
            what: file.what,
            came_as: file.came_as,
            state,
        });
    }
    let mut put = |path: &str, bytes: &[u8]| -> Result<(), ReadableError> {
        zip.start_file(path, packed)?;
        zip.write_all(bytes)?;
        Ok(())
    };
    put("index.html", page::page(&opened, &exported).as_bytes())?;
    put("chart.json", &serde_json::to_vec_pretty(chart)?)?;
    let whole = bundle(chart, &Base::nowhere());
    put("fhir-bundle.json", &serde_json::to_vec_pretty(&whole)?)?;
    put("readings.csv", sheet::readings(&opened).as_bytes())?;
    put("files.json", &serde_json::to_vec_pretty(&exported)?)?;
    zip.finish()?;
    Ok(exported)
}

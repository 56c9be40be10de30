//! Frames as numbered pictures in one ZIP with their times beside them: how a clip is kept once it was unpacked.

use super::folder::{TIMES_FILE, is_picture, last_number, times_of};
use super::{Frame, Frames, MOST_FRAMES};
use crate::MotionError;
use std::io::{Cursor, Read, Write};
use std::path::Path;
use std::sync::Arc;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// Largest single picture in the file, bytes.
const MOST_PICTURE: u64 = 64 << 20;
/// A line of the table of times is shorter than this.
const TIME_LINE: u64 = 64;

/// A file of frames, held as it came in.
#[derive(Clone)]
pub struct Packed {
    archive: ZipArchive<Cursor<Arc<[u8]>>>,
    /// In the order of the numbers in their names.
    places: Vec<usize>,
    times_s: Vec<f64>,
    limits: picture::Limits,
}

impl Packed {
    /// # Errors
    /// No ZIP, no numbered picture, no times, times that do not fit.
    pub fn open(bytes: Arc<[u8]>) -> Result<Self, MotionError> {
        let not_packed = |found: String| MotionError::NotPacked { found };
        let mut archive =
            ZipArchive::new(Cursor::new(bytes)).map_err(|e| not_packed(e.to_string()))?;
        let mut found: Vec<(u64, usize)> = Vec::new();
        let mut times = None;
        for at in 0..archive.len() {
            let name = match archive.name_for_index(at) {
                Some(Ok(name)) => name.into_owned(),
                Some(Err(damaged)) => return Err(not_packed(damaged.to_string())),
                None => continue,
            };
            let path = Path::new(&name);
            if path.file_name().is_some_and(|n| n == TIMES_FILE) {
                times = Some(at);
            } else if is_picture(path)
                && let Some(number) = path.file_stem().and_then(|s| last_number(s.to_str()?))
            {
                found.push((number, at));
            }
        }
        found.sort_unstable();
        match found.len() {
            0 => return Err(MotionError::NoPictures),
            count if count > MOST_FRAMES => {
                return Err(MotionError::TooManyFrames {
                    count,
                    most: MOST_FRAMES,
                });
            }
            _ => {}
        }
        let table = times.ok_or(MotionError::NoTimes)?;
        let most = (found.len() as u64 + 1) * TIME_LINE;
        let text = unpacked(&mut archive, table, most).map_err(not_packed)?;
        let times_s = times_of(&String::from_utf8_lossy(&text), found.len())?;
        Ok(Self {
            archive,
            places: found.into_iter().map(|(_, at)| at).collect(),
            times_s,
            limits: picture::Limits::default(),
        })
    }

    /// The picture of a frame, as it was packed.
    ///
    /// # Errors
    /// No such frame, or a damaged one.
    pub fn picture(&mut self, frame: usize) -> Result<Vec<u8>, MotionError> {
        let count = self.places.len();
        let at = *self
            .places
            .get(frame)
            .ok_or(MotionError::NoSuchFrame { frame, count })?;
        unpacked(&mut self.archive, at, MOST_PICTURE)
            .map_err(|found| MotionError::FrameDamaged { frame, found })
    }
}

/// One file of frames: pictures as they are, numbered in their order, with their times.
///
/// # Errors
/// More than a ZIP without its extensions can hold.
pub fn packed<'p>(
    pictures: impl IntoIterator<Item = (&'p [u8], f64)>,
) -> Result<Vec<u8>, MotionError> {
    let fault = |e: &dyn std::fmt::Display| MotionError::NotPacked {
        found: e.to_string(),
    };
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    // Pictures are packed already.
    let as_is = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let mut times = String::new();
    for (n, (picture, second)) in pictures.into_iter().enumerate() {
        let end = match picture {
            [0x89, b'P', ..] => "png",
            _ => "jpg",
        };
        writer
            .start_file(format!("{n:05}.{end}"), as_is)
            .map_err(|e| fault(&e))?;
        writer.write_all(picture).map_err(|e| fault(&e))?;
        times.push_str(&format!("{second:.6}\n"));
    }
    writer
        .start_file(TIMES_FILE, as_is)
        .map_err(|e| fault(&e))?;
    writer.write_all(times.as_bytes()).map_err(|e| fault(&e))?;
    let whole = writer.finish().map_err(|e| fault(&e))?;
    Ok(whole.into_inner())
}

fn unpacked(
    archive: &mut ZipArchive<Cursor<Arc<[u8]>>>,
    at: usize,
    most: u64,
) -> Result<Vec<u8>, String> {
    let file = archive.by_index(at).map_err(|e| e.to_string())?;
    let mut bytes = Vec::new();
    let read = file
        .take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| e.to_string())?;
    match read as u64 > most {
        true => Err(format!("more than {most} bytes in one part")),
        false => Ok(bytes),
    }
}

impl Frames for Packed {
    fn count(&self) -> usize {
        self.places.len()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.times_s.get(frame).copied()
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        let bytes = self.picture(frame)?;
        let open = picture::open(&bytes, &self.limits).map_err(|e| MotionError::FrameDamaged {
            frame,
            found: e.to_string(),
        })?;
        Ok(Frame::of_grey(&open.grey()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{GrayImage, ImageFormat, Luma};

    fn picture(grey: u8) -> Vec<u8> {
        let mut out = Cursor::new(Vec::new());
        GrayImage::from_pixel(80, 96, Luma([grey]))
            .write_to(&mut out, ImageFormat::Png)
            .unwrap();
        out.into_inner()
    }

    fn zipped(parts: &[(&str, &[u8])]) -> Arc<[u8]> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in parts {
            writer
                .start_file(*name, SimpleFileOptions::default())
                .unwrap();
            writer.write_all(bytes).unwrap();
        }
        writer.finish().unwrap().into_inner().into()
    }

    #[test]
    fn pictures_come_in_the_order_of_their_numbers_with_their_times() {
        let (dark, light) = (picture(20), picture(220));
        let file = zipped(&[
            ("00010.png", &light),
            ("times.csv", b"0.0\n0.041\n"),
            ("00009.png", &dark),
        ]);
        let mut clip = Packed::open(file).unwrap();
        assert_eq!(clip.count(), 2);
        assert_eq!(clip.time_s(1), Some(0.041));
        assert_eq!(clip.frame(0).unwrap().bytes()[0], 20);
        assert_eq!(clip.frame(1).unwrap().bytes()[0], 220);
        assert_eq!(clip.picture(0).unwrap(), dark);
        assert!(clip.frame(2).is_err());
    }

    #[test]
    fn what_is_packed_is_the_same_when_unpacked() {
        let (dark, light) = (picture(20), picture(220));
        let file = packed([(dark.as_slice(), 0.0), (light.as_slice(), 0.0334)]).unwrap();
        let mut clip = Packed::open(file.into()).unwrap();
        assert_eq!(clip.picture(1).unwrap(), light);
        assert_eq!(crate::frames::times(&clip), Ok(vec![0.0, 0.0334]));
    }

    #[test]
    fn files_that_are_no_clip_get_a_sentence_each() {
        let one = picture(1);
        for (file, said) in [
            (Arc::from(&b"RIFF no zip"[..]), "no file of frames"),
            (zipped(&[("times.csv", b"0\n")]), "no numbered picture"),
            (zipped(&[("0.png", &one)]), "gives no times"),
            (
                zipped(&[("0.png", &one), ("times.csv", b"soon\n")]),
                "times beside the frames",
            ),
            (
                zipped(&[("0.png", &one), ("times.csv", &[b'1'; 4000])]),
                "more than",
            ),
        ] {
            let error = Packed::open(file).err().unwrap().to_string();
            assert!(error.contains(said), "{error}");
        }
        let mut bad = Packed::open(zipped(&[("0.png", b"PNG?"), ("times.csv", b"0\n")])).unwrap();
        assert!(bad.frame(0).unwrap_err().to_string().contains("frame 0"));
    }
}

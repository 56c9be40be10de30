//! Frames as numbered pictures in a folder, with `times.csv` beside them or a rate given.

use super::{Frame, Frames, MOST_FRAMES, checked_rate};
use crate::MotionError;
use crate::error::quote;
use std::path::{Path, PathBuf};

/// The file of times: a line `frame,seconds` for each picture in the order of their numbers; a first line of
/// words is passed over.
pub const TIMES_FILE: &str = "times.csv";

/// A folder of pictures in the order of the last number in their names.
#[derive(Debug, Clone)]
pub struct Folder {
    pictures: Vec<PathBuf>,
    times_s: Vec<f64>,
    limits: picture::Limits,
}

impl Folder {
    /// `rate` in frames a second; what `times.csv` says goes before it.
    ///
    /// # Errors
    /// No numbered picture, a file of times that does not fit, neither times nor a rate.
    pub fn open(folder: &Path, rate: Option<f64>) -> Result<Self, MotionError> {
        let entries = std::fs::read_dir(folder).map_err(|_| MotionError::NoPictures)?;
        let mut found: Vec<(u64, PathBuf)> = entries
            .flatten()
            .map(|e| e.path())
            .filter(|p| is_picture(p))
            .filter_map(|p| Some((last_number(p.file_stem()?.to_str()?)?, p)))
            .collect();
        found.sort();
        if found.is_empty() {
            return Err(MotionError::NoPictures);
        }
        if found.len() > MOST_FRAMES {
            return Err(MotionError::TooManyFrames {
                count: found.len(),
                most: MOST_FRAMES,
            });
        }
        let pictures: Vec<PathBuf> = found.into_iter().map(|(_, p)| p).collect();
        let times_s = match std::fs::read_to_string(folder.join(TIMES_FILE)) {
            Ok(text) => times_of(&text, pictures.len())?,
            Err(_) => {
                let rate = checked_rate(rate.ok_or(MotionError::NoTimes)?)?;
                (0..pictures.len()).map(|i| i as f64 / rate).collect()
            }
        };
        Ok(Self {
            pictures,
            times_s,
            limits: picture::Limits::default(),
        })
    }

    /// The picture of a frame.
    pub fn path(&self, frame: usize) -> Option<&Path> {
        self.pictures.get(frame).map(PathBuf::as_path)
    }
}

impl Frames for Folder {
    fn count(&self) -> usize {
        self.pictures.len()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.times_s.get(frame).copied()
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        let count = self.pictures.len();
        let path = self
            .pictures
            .get(frame)
            .ok_or(MotionError::NoSuchFrame { frame, count })?;
        let damaged = |found: String| MotionError::FrameDamaged { frame, found };
        let bytes = std::fs::read(path).map_err(|e| damaged(e.kind().to_string()))?;
        let open = picture::open(&bytes, &self.limits).map_err(|e| damaged(e.to_string()))?;
        Ok(Frame::of_grey(&open.grey()))
    }
}

pub(super) fn is_picture(path: &Path) -> bool {
    let end = path.extension().and_then(|e| e.to_str()).unwrap_or("");
    ["png", "jpg", "jpeg", "tif", "tiff"]
        .iter()
        .any(|known| end.eq_ignore_ascii_case(known))
}

/// `frame_0012` → 12; `None` without a digit.
pub(super) fn last_number(stem: &str) -> Option<u64> {
    let end = stem.rfind(|c: char| c.is_ascii_digit())?;
    let head = stem.get(..=end)?;
    let from = head.rfind(|c: char| !c.is_ascii_digit()).map_or(0, |at| {
        at + head[at..].chars().next().map_or(1, char::len_utf8)
    });
    head.get(from..)?.parse().ok()
}

/// # Errors
/// A line that is no time, or another count of lines than of pictures.
pub fn times_of(text: &str, count: usize) -> Result<Vec<f64>, MotionError> {
    let bad = |found: String| MotionError::TimesFile {
        found,
        expected: "one line 'frame,seconds' for each picture",
    };
    let mut out = Vec::with_capacity(count.min(MOST_FRAMES));
    for (number, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() {
            continue;
        }
        let last = line.rsplit([',', ';']).next().unwrap_or(line).trim();
        match last.parse::<f64>() {
            Ok(seconds) if seconds.is_finite() => out.push(seconds),
            _ if number == 0 => {}
            _ => return Err(bad(format!("line {} is {}", number + 1, quote(line)))),
        }
        if out.len() > count {
            break;
        }
    }
    if out.len() == count {
        Ok(out)
    } else {
        Err(bad(format!("{} times for {count} pictures", out.len())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_are_sorted_by_number_and_not_by_letter() {
        assert_eq!(last_number("frame_0012"), Some(12));
        assert_eq!(last_number("clip2-9"), Some(9));
        assert_eq!(last_number("é7x"), Some(7));
        assert_eq!(last_number("frame"), None);
        assert_eq!(last_number("99999999999999999999999"), None);
    }

    #[test]
    fn times_of_another_count_are_refused_and_a_heading_is_passed_over() {
        assert_eq!(
            times_of("frame,seconds\n0,0.0\n1,0.033\n2,0.071\n", 3),
            Ok(vec![0.0, 0.033, 0.071])
        );
        assert!(times_of("0.0\n0.1\n", 3).is_err());
        assert!(times_of("0.0\nsoon\n0.2\n", 3).is_err());
    }

    #[test]
    fn a_folder_of_numbered_pictures_is_read_in_order_with_its_own_times() {
        let folder = tempfile::tempdir().unwrap();
        for n in [10u8, 2, 1] {
            let picture = image::GrayImage::from_pixel(64, 64, image::Luma([n * 10]));
            picture
                .save(folder.path().join(format!("f{n}.png")))
                .unwrap();
        }
        assert_eq!(
            Folder::open(folder.path(), None).err(),
            Some(MotionError::NoTimes)
        );
        std::fs::write(folder.path().join(TIMES_FILE), "0\n0.03\n0.07\n").unwrap();
        let mut frames = Folder::open(folder.path(), Some(30.0)).unwrap();
        let first: Vec<u8> = (0..3)
            .map(|i| frames.frame(i).unwrap().bytes()[0])
            .collect();
        assert_eq!(first, [10, 20, 100]);
        assert_eq!(frames.time_s(2), Some(0.07));
        assert!(frames.frame(3).is_err());
    }
}

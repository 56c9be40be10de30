//! Frames as grey bytes after a line that says their size and rate, as a converter can write them.
//!
//! Form: one line `tiebeam-grey WIDTH HEIGHT RATE`, ended by a newline, then the bytes of one whole frame after
//! the other. A pipe cannot be read twice; it is first written to a file with [`spool`].

use super::{Frame, Frames, MOST_FRAMES, checked_rate, checked_size};
use crate::MotionError;
use crate::error::quote;
use std::io::{Read, Seek, SeekFrom, Write};

const WORD: &str = "tiebeam-grey";
/// A first line longer than this is none.
const LONGEST_LINE: usize = 80;

/// What the first line says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    pub width: usize,
    pub height: usize,
    pub rate: f64,
    /// Bytes of the line itself.
    length: usize,
}

impl Head {
    /// # Errors
    /// A size or a rate that no clip has.
    pub fn new(width: usize, height: usize, rate: f64) -> Result<Self, MotionError> {
        checked_size(width, height)?;
        let rate = checked_rate(rate)?;
        let mut head = Self {
            width,
            height,
            rate,
            length: 0,
        };
        head.length = head.line().len();
        Ok(head)
    }

    /// The line as it is written, with its newline.
    pub fn line(&self) -> String {
        format!("{WORD} {} {} {}\n", self.width, self.height, self.rate)
    }

    /// # Errors
    /// Bytes that do not begin with such a line.
    pub fn read(bytes: &[u8]) -> Result<Self, MotionError> {
        let no = |found: String| MotionError::NotGreyFrames { found };
        let start = bytes.get(..bytes.len().min(LONGEST_LINE)).unwrap_or(bytes);
        let end = start
            .iter()
            .position(|b| *b == b'\n')
            .ok_or_else(|| no("no first line".into()))?;
        let line = std::str::from_utf8(&start[..end]).map_err(|_| no("no text".into()))?;
        let words: Vec<&str> = line.split_ascii_whitespace().collect();
        let [WORD, width, height, rate] = words[..] else {
            return Err(no(quote(line)));
        };
        let whole = |word: &str| word.parse::<usize>().map_err(|_| no(quote(line)));
        let (width, height) = (whole(width)?, whole(height)?);
        let rate: f64 = rate.parse().map_err(|_| no(quote(line)))?;
        checked_size(width, height)?;
        Ok(Self {
            width,
            height,
            rate: checked_rate(rate)?,
            length: end + 1,
        })
    }

    fn frame_bytes(&self) -> usize {
        self.width * self.height
    }
}

/// Grey frames in a file, read one at a time.
#[derive(Debug)]
pub struct Raw<R> {
    source: R,
    head: Head,
    count: usize,
}

impl<R: Read + Seek> Raw<R> {
    /// # Errors
    /// No such first line, a last frame that is cut short, or too many frames.
    pub fn open(mut source: R) -> Result<Self, MotionError> {
        let broken = |e: std::io::Error| MotionError::NotGreyFrames {
            found: e.kind().to_string(),
        };
        let mut start = Vec::new();
        source.seek(SeekFrom::Start(0)).map_err(broken)?;
        (&mut source)
            .take(LONGEST_LINE as u64)
            .read_to_end(&mut start)
            .map_err(broken)?;
        let head = Head::read(&start)?;
        let all = source.seek(SeekFrom::End(0)).map_err(broken)?;
        let rest = all.saturating_sub(head.length as u64);
        let size = head.frame_bytes() as u64;
        if rest % size != 0 {
            return Err(MotionError::NotGreyFrames {
                found: format!("{} bytes after the last whole frame", rest % size),
            });
        }
        let count = usize::try_from(rest / size).unwrap_or(usize::MAX);
        if count > MOST_FRAMES {
            return Err(MotionError::TooManyFrames {
                count,
                most: MOST_FRAMES,
            });
        }
        Ok(Self {
            source,
            head,
            count,
        })
    }

    pub fn head(&self) -> Head {
        self.head
    }
}

impl<R: Read + Seek> Frames for Raw<R> {
    fn count(&self) -> usize {
        self.count
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        (frame < self.count).then(|| frame as f64 / self.head.rate)
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        let count = self.count;
        if frame >= count {
            return Err(MotionError::NoSuchFrame { frame, count });
        }
        let damaged = |e: std::io::Error| MotionError::FrameDamaged {
            frame,
            found: e.kind().to_string(),
        };
        let from = self.head.length as u64 + frame as u64 * self.head.frame_bytes() as u64;
        self.source.seek(SeekFrom::Start(from)).map_err(damaged)?;
        let mut bytes = vec![0; self.head.frame_bytes()];
        self.source.read_exact(&mut bytes).map_err(damaged)?;
        Frame::new(self.head.width, self.head.height, bytes).ok_or(MotionError::FrameDamaged {
            frame,
            found: "an empty frame".into(),
        })
    }
}

/// Writes a pipe to a file that can be read twice; at most `most_bytes`.
///
/// # Errors
/// A pipe that breaks, or holds more.
pub fn spool(pipe: impl Read, into: &mut impl Write, most_bytes: u64) -> Result<u64, MotionError> {
    let mut limited = pipe.take(most_bytes.saturating_add(1));
    let copied = std::io::copy(&mut limited, into).map_err(|e| MotionError::NotGreyFrames {
        found: e.kind().to_string(),
    })?;
    if copied > most_bytes {
        return Err(MotionError::NotGreyFrames {
            found: format!("more than {most_bytes} bytes"),
        });
    }
    Ok(copied)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn frames_written_by_a_converter_come_back_with_times_from_their_rate() {
        let head = Head::new(64, 64, 25.0).unwrap();
        let mut bytes = head.line().into_bytes();
        for n in 0..3u8 {
            bytes.extend(vec![n; 64 * 64]);
        }
        let mut frames = Raw::open(Cursor::new(bytes.clone())).unwrap();
        assert_eq!(frames.count(), 3);
        assert_eq!(frames.time_s(2), Some(0.08));
        assert_eq!(frames.frame(2).unwrap().bytes()[5], 2);
        assert!(frames.frame(3).is_err());
        bytes.pop();
        assert!(Raw::open(Cursor::new(bytes)).is_err());
    }

    #[test]
    fn a_first_line_of_another_kind_is_refused_with_a_sentence() {
        for line in [
            "",
            "P5 64 64\n",
            "tiebeam-grey 64 64\n",
            "tiebeam-grey 9 9 30\n",
            "tiebeam-grey 64 64 NaN\n",
            "tiebeam-grey 64 64 -1\n",
            "tiebeam-grey 64 64 30",
            "tiebeam-grey 99999999999999999999 64 30\n",
        ] {
            let error = Head::read(line.as_bytes()).unwrap_err().to_string();
            assert!(error.contains("expected"), "{line:?}: {error}");
        }
    }

    #[test]
    fn a_pipe_longer_than_the_limit_is_refused() {
        let mut out = Vec::new();
        assert_eq!(spool(&[1u8; 10][..], &mut out, 10), Ok(10));
        assert!(spool(&[1u8; 11][..], &mut Vec::new(), 10).is_err());
    }
}

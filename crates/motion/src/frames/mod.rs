//! Where do grey frames and their times come from?
//!
//! No clip is decoded here: frames come as pictures in a folder ([`folder`]) or in one file ([`packed`]), as
//! grey bytes of a converter ([`raw`]), or from whoever holds them. A time comes with every frame and is never worked out from its number,
//! since phones film at a rate that varies.

pub mod folder;
pub mod packed;
pub mod raw;

use crate::MotionError;
use picture::Grey;

/// Least pixels each way of a frame that is followed.
pub const LEAST_PX: usize = 64;
/// Most pixels each way.
pub const MOST_PX: usize = 8192;
/// Most frames: ten minutes at 60 a second.
pub const MOST_FRAMES: usize = 36_000;
/// Fewest frames of a clip.
pub const LEAST_FRAMES: usize = 2;
/// Fastest camera taken at its word, frames a second.
pub const MOST_RATE: f64 = 1000.0;

/// A grey frame, rows from the top, each from the left; 0 black to 255 white.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    width: usize,
    height: usize,
    bytes: Vec<u8>,
}

impl Frame {
    /// `None` where `bytes` does not hold `width` times `height` of them, or the frame is empty.
    pub fn new(width: usize, height: usize, bytes: Vec<u8>) -> Option<Self> {
        (width > 0 && height > 0 && width.checked_mul(height) == Some(bytes.len())).then_some(
            Self {
                width,
                height,
                bytes,
            },
        )
    }

    /// Brightness rounded to whole values.
    pub fn of_grey(grey: &Grey) -> Self {
        Self {
            width: grey.width(),
            height: grey.height(),
            bytes: grey
                .values()
                .iter()
                .map(|v| v.round().clamp(0.0, 255.0) as u8)
                .collect(),
        }
    }

    pub fn grey(&self) -> Grey {
        Grey::of_bytes(self.width, self.height, &self.bytes)
            .expect("a frame holds a byte for each pixel")
    }

    pub fn width(&self) -> usize {
        self.width
    }

    pub fn height(&self) -> usize {
        self.height
    }

    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Empty below the last row.
    pub fn row(&self, y: usize) -> &[u8] {
        let from = y.saturating_mul(self.width);
        self.bytes
            .get(from..from.saturating_add(self.width))
            .unwrap_or_default()
    }

    /// Means over squares of `by` pixels; what does not fill a square at the right and lower edge is left out.
    pub fn shrunk(&self, by: usize) -> Frame {
        if by <= 1 || self.width < by || self.height < by {
            return self.clone();
        }
        let (width, height) = (self.width / by, self.height / by);
        let area = (by * by) as u32;
        let mut bytes = Vec::with_capacity(width * height);
        let mut sums = vec![0u32; width];
        for y in 0..height {
            sums.fill(0);
            for k in 0..by {
                let row = self.row(y * by + k);
                for (sum, square) in sums.iter_mut().zip(row.chunks_exact(by)) {
                    *sum += square.iter().map(|b| u32::from(*b)).sum::<u32>();
                }
            }
            bytes.extend(sums.iter().map(|s| ((s + area / 2) / area) as u8));
        }
        Frame {
            width,
            height,
            bytes,
        }
    }
}

/// Grey frames with their times.
pub trait Frames {
    fn count(&self) -> usize;

    /// Seconds from any beginning; `None` past the last frame.
    fn time_s(&self, frame: usize) -> Option<f64>;

    /// # Errors
    /// A frame that is not there or cannot be read.
    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError>;

    /// # Errors
    /// As [`Frames::frame`].
    fn grey(&mut self, frame: usize) -> Result<Grey, MotionError> {
        self.frame(frame).map(|f| f.grey())
    }
}

/// The times of all frames.
///
/// # Errors
/// No frame, one frame, too many, or times that do not grow.
pub fn times(frames: &dyn Frames) -> Result<Vec<f64>, MotionError> {
    let count = frames.count();
    match count {
        0 => {
            return Err(MotionError::NoFrames {
                least: LEAST_FRAMES,
            });
        }
        1 => {
            return Err(MotionError::OneFrame {
                least: LEAST_FRAMES,
            });
        }
        n if n > MOST_FRAMES => {
            return Err(MotionError::TooManyFrames {
                count,
                most: MOST_FRAMES,
            });
        }
        _ => {}
    }
    let mut out: Vec<f64> = Vec::with_capacity(count);
    for frame in 0..count {
        let time = frames.time_s(frame).filter(|t| t.is_finite());
        match time {
            Some(t) if out.last().is_none_or(|before| t > *before) => out.push(t),
            _ => return Err(MotionError::TimesDoNotGrow { frame }),
        }
    }
    Ok(out)
}

/// # Errors
/// A rate that no camera has.
pub(crate) fn checked_rate(rate: f64) -> Result<f64, MotionError> {
    if rate > 0.0 && rate <= MOST_RATE {
        Ok(rate)
    } else {
        Err(MotionError::Rate {
            found: rate,
            most: MOST_RATE,
        })
    }
}

/// # Errors
/// A frame too small or too large to be followed.
pub(crate) fn checked_size(width: usize, height: usize) -> Result<(), MotionError> {
    let good = LEAST_PX..=MOST_PX;
    if good.contains(&width) && good.contains(&height) {
        Ok(())
    } else {
        Err(MotionError::FrameSize {
            width,
            height,
            least: LEAST_PX,
            most: MOST_PX,
        })
    }
}

/// Frames held in memory with their times.
#[derive(Debug, Clone)]
pub struct Held {
    pub frames: Vec<Frame>,
    pub times_s: Vec<f64>,
}

impl Frames for Held {
    fn count(&self) -> usize {
        self.frames.len()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.times_s.get(frame).copied()
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        let count = self.frames.len();
        let found = self.frames.get(frame).cloned();
        found.ok_or(MotionError::NoSuchFrame { frame, count })
    }
}

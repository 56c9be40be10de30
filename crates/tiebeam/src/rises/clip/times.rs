//! When each frame of a clip is shown, as its container says.

use super::program::Run;
use super::{checked_count, input};
use crate::progress::Progress;
use anyhow::{Result, anyhow};
use std::ffi::OsString;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::time::Duration;

/// One line for a frame: no more than this, or it is no time.
const LONGEST_LINE: usize = 200;

/// Seconds of every frame, in the order they are shown.
///
/// # Errors
/// No picture in the clip, a frame without a time, too many frames, nothing that can be read.
pub fn of_clip(
    ffprobe: &Path,
    clip: &Path,
    limit: Duration,
    progress: &mut Progress,
) -> Result<Vec<f64>> {
    let mut all = input(clip);
    all.extend(
        [
            "-select_streams",
            "V:0",
            "-show_entries",
            "frame=best_effort_timestamp_time",
            "-of",
            "default=noprint_wrappers=1:nokey=1",
        ]
        .map(OsString::from),
    );
    let mut times = Vec::new();
    let ran = Run::new(ffprobe, all, limit).through(&mut |pipe| {
        for line in BufReader::new(pipe).lines() {
            if let Some(time) = time_of(&line?, times.len())? {
                times.push(time);
                checked_count(times.len())?;
                progress.tell("Times of the clip's frames", times.len() as u64, 0);
            }
        }
        Ok(())
    })?;
    if !times.is_empty() {
        return Ok(times);
    }
    if ran.well {
        return Err(anyhow!(
            "found no picture in the clip, only sound or nothing; expected a film of the rises; choose another"
        ));
    }
    Err(anyhow!(
        "the clip could not be read{}; expected MP4, MOV, WebM, Matroska or AVI; export it again",
        ran.said_so()
    ))
}

/// `None` for a line that is about something else than a frame.
fn time_of(line: &str, frame: usize) -> Result<Option<f64>> {
    let word = line.trim().trim_end_matches(',');
    if word.is_empty() {
        return Ok(None);
    }
    match word.parse::<f64>().ok().filter(|t| t.is_finite()) {
        Some(time) if word.len() < LONGEST_LINE => Ok(Some(time)),
        _ => Err(anyhow!(
            "frame {frame} of the clip has no time; expected a time with every frame; export the clip again"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_without_a_time_is_told_by_its_number_and_never_given_one() {
        assert_eq!(time_of("0.033333", 1).expect("a time"), Some(0.033_333));
        assert_eq!(time_of("", 1).expect("nothing"), None);
        for bad in ["N/A", "nan", "inf", "soon"] {
            let told = time_of(bad, 7).expect_err("no time").to_string();
            assert!(told.starts_with("frame 7"), "{told}");
        }
    }
}

//! How does a clip become grey frames with their times? Through two other programs, where they are installed.
//!
//! `ffprobe` says when each frame is shown, so that a rate that varies is kept; `ffmpeg` gives the frames upright and
//! with square pixels, as grey bytes through a pipe into a file without a name. A clip's name never passes a shell and
//! is always a file's; what a clip refers to elsewhere is not opened.

mod program;
mod times;

use crate::progress::Progress;
use anyhow::{Context, Result, anyhow};
use motion::MotionError;
use motion::frames::raw::{Head, Raw};
use motion::frames::{Frame, Frames, MOST_FRAMES, MOST_RATE};
use program::{Ran, Run, found};
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The most that a clip's frames may take on the disk.
const MOST_BYTES: u64 = 8 << 30;
/// Containers that phones and cameras write; playlists and lists of other files are none of them.
const CONTAINERS: &str = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi";
/// First frames are asked for as a picture whose head says its size.
const LONGEST_HEAD: usize = 64;

/// A clip's frames in a file that goes away with them.
pub struct ClipFrames {
    raw: Raw<File>,
    times_s: Vec<f64>,
}

impl Frames for ClipFrames {
    fn count(&self) -> usize {
        self.raw.count()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.times_s.get(frame).copied()
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        self.raw.frame(frame)
    }
}

/// The frames of a clip, and what the converter said of it that was no failure.
///
/// # Errors
/// No converter, nothing to see in the clip, too long, too large; one sentence each.
pub fn frames(
    clip: &Path,
    limit: Duration,
    progress: &mut Progress,
) -> Result<(ClipFrames, Option<String>)> {
    if fs::metadata(clip)?.len() == 0 {
        return Err(anyhow!(
            "the file is empty; expected a clip; copy it from the camera again"
        ));
    }
    let (ffprobe, ffmpeg) = (program_of("ffprobe")?, program_of("ffmpeg")?);
    let times_s = times::of_clip(&ffprobe, clip, limit, progress)?;
    let (width, height) = size(&ffmpeg, clip, limit)?;
    let whole = times_s.len() as u64 * (width * height) as u64;
    if whole > MOST_BYTES {
        return Err(anyhow!(
            "found {} frames of {width} × {height} pixels, which take {} GB; expected at most {} GB; cut the clip to the rises themselves",
            times_s.len(),
            whole >> 30,
            MOST_BYTES >> 30
        ));
    }
    // The times stand beside the frames; the rate of the head is only what they come to.
    let (first, last) = (times_s.first(), times_s.last());
    let lasts = last.zip(first).map_or(0.0, |(l, f)| l - f);
    let rate = (times_s.len() as f64 / lasts.max(1e-3)).clamp(1e-3, MOST_RATE);
    let head = Head::new(width, height, rate)?;
    let mut file = tempfile::tempfile().context("no file could be made for the clip's frames")?;
    file.write_all(head.line().as_bytes())?;
    let ran = converted(&ffmpeg, clip, limit, &mut |pipe| {
        spooled(pipe, &mut file, whole, progress)
    })?;
    let (written, ran) = ran;
    let all = whole.checked_div((width * height) as u64).unwrap_or(0);
    if written != whole {
        return Err(anyhow!(
            "found {:.1} frames where the clip counts {all}{}; expected a frame for each time; export the clip again",
            written as f64 / (width * height) as f64,
            ran.said_so()
        ));
    }
    let raw = Raw::open(file)?;
    let said = ran.first_words().map(|words| {
        format!("ffmpeg found something wrong in the clip ({words}); look at the frames")
    });
    Ok((ClipFrames { raw, times_s }, said))
}

fn program_of(name: &str) -> Result<PathBuf> {
    found(name).ok_or_else(|| {
        anyhow!("found a clip and no program {name}; clips are read by ffmpeg and ffprobe; install them, or write the frames as numbered pictures with a times.csv and give that folder")
    })
}

/// What both programs are told of a clip: only files, only containers of clips, never an option.
fn input(clip: &Path) -> Vec<OsString> {
    let mut name = OsString::from("file:");
    name.push(clip);
    let mut all: Vec<OsString> = [
        "-hide_banner",
        "-v",
        "error",
        "-protocol_whitelist",
        "file,pipe",
        "-format_whitelist",
        CONTAINERS,
        "-i",
    ]
    .map(OsString::from)
    .to_vec();
    all.push(name);
    all
}

/// Upright by the clip's own mark, square pixels, grey.
const UPRIGHT: [&str; 6] = [
    "-map",
    "0:V:0",
    "-vf",
    "scale=iw*sar:ih,setsar=1,format=gray",
    "-pix_fmt",
    "gray",
];

fn arguments(clip: &Path, more: &[&str]) -> Vec<OsString> {
    let mut all: Vec<OsString> = vec!["-nostdin".into()];
    all.extend(input(clip));
    all.extend(UPRIGHT.iter().chain(more).map(OsString::from));
    all
}

/// The first frame's own head says how large frames are once they stand upright.
fn size(ffmpeg: &Path, clip: &Path, limit: Duration) -> Result<(usize, usize)> {
    let one = [
        "-frames:v",
        "1",
        "-c:v",
        "pgm",
        "-f",
        "image2pipe",
        "pipe:1",
    ];
    let run = Run::new(ffmpeg, arguments(clip, &one), limit);
    let mut head = Vec::new();
    let ran = run.through(&mut |pipe| {
        Read::take(&mut *pipe, LONGEST_HEAD as u64).read_to_end(&mut head)?;
        std::io::copy(pipe, &mut std::io::sink())?;
        Ok(())
    })?;
    size_of_head(&head).ok_or_else(|| {
        anyhow!(
            "no frame of the clip could be read{}; expected an MP4, MOV, WebM, Matroska or AVI clip; export it again",
            ran.said_so()
        )
    })
}

/// `P5`, width, height, white, each after blanks.
fn size_of_head(bytes: &[u8]) -> Option<(usize, usize)> {
    let text: String = bytes
        .iter()
        .take(LONGEST_HEAD)
        .map(|b| *b as char)
        .collect();
    let mut words = text.split_ascii_whitespace();
    (words.next()? == "P5").then_some(())?;
    let (width, height): (usize, usize) =
        (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
    (width > 0 && height > 0 && width < 1 << 16 && height < 1 << 16).then_some((width, height))
}

/// Every frame as it comes: none twice, none left out. Older programs name the wish otherwise.
fn converted(
    ffmpeg: &Path,
    clip: &Path,
    limit: Duration,
    take: &mut dyn FnMut(&mut dyn Read) -> Result<u64>,
) -> Result<(u64, Ran)> {
    let mut last = None;
    for (option, value) in [("-fps_mode", "passthrough"), ("-vsync", "0")] {
        let all = arguments(clip, &[option, value, "-f", "rawvideo", "pipe:1"]);
        let mut written = 0;
        let ran = Run::new(ffmpeg, all, limit).through(&mut |pipe| {
            written = take(pipe)?;
            Ok(())
        })?;
        if written > 0 || !ran.said.contains("fps_mode") {
            return Ok((written, ran));
        }
        last = Some((written, ran));
    }
    last.ok_or_else(|| anyhow!("the converter was not asked"))
}

/// Bytes of frames into the file; more than was counted is as wrong as less.
fn spooled(
    pipe: &mut dyn Read,
    file: &mut File,
    whole: u64,
    progress: &mut Progress,
) -> Result<u64> {
    let mut chunk = vec![0; 1 << 20];
    let mut written = 0;
    loop {
        let n = pipe.read(&mut chunk).context("the converter broke off")?;
        if n == 0 {
            return Ok(written);
        }
        written += n as u64;
        if written > whole {
            return Err(anyhow!(
                "found more frames than the clip has times; expected a frame for each time; export the clip again"
            ));
        }
        file.write_all(&chunk[..n]).context(
            "the frames could not be written to a file for a while; make room on the disk",
        )?;
        progress.tell("Reading the clip's frames", written, whole);
    }
}

/// # Errors
/// More frames than are followed.
fn checked_count(count: usize) -> Result<()> {
    if count > MOST_FRAMES {
        let most = MOST_FRAMES;
        return Err(MotionError::TooManyFrames { count, most }.into());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frames_head_says_its_size_and_anything_else_says_nothing() {
        assert_eq!(
            size_of_head(b"P5\n480 640\n255\n\x00\xff"),
            Some((480, 640))
        );
        for bad in [
            &b""[..],
            b"P6\n480 640\n255\n",
            b"P5\n0 640\n255\n",
            b"P5\n-1 9",
            b"P5\n99999999999999999999 2",
        ] {
            assert_eq!(size_of_head(bad), None, "{bad:?}");
        }
    }

    #[test]
    fn a_name_is_always_a_files_and_never_an_option_or_an_address() {
        for name in [
            "-version",
            "http://example.org/a.mp4",
            "concat:a|b",
            "a b;rm c.mp4",
        ] {
            let all = arguments(Path::new(name), &[]);
            let at = all.iter().position(|a| a == "-i").expect("an input");
            assert_eq!(all[at + 1], OsString::from(format!("file:{name}")));
            assert_eq!(
                all.iter()
                    .filter(|a| a.to_string_lossy().contains(name))
                    .count(),
                1
            );
            let only = all
                .iter()
                .position(|a| a == "-protocol_whitelist")
                .expect("a list");
            assert!(only < at && all[only + 1] == "file,pipe");
        }
    }
}

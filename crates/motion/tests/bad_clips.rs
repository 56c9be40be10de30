//! Clips as they come from phones and folders: each fault in one sentence, what can be put right put right.

#[path = "../examples/shared/mod.rs"]
mod shared;

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, GrayImage, ImageEncoder, Luma};
use motion::frames::folder::{Folder, TIMES_FILE, times_of};
use motion::frames::{Frame, Frames, Held, times};
use motion::rise::Note;
use motion::steps::{How, Point, Steps};
use motion::{MotionError, follow, read};
use phantom::clip::{Clip, ClipSpec};
use std::path::Path;
use terms::Side;

fn short(seed: u64) -> ClipSpec {
    let mut spec = ClipSpec::plain(seed);
    (spec.width, spec.height, spec.rate) = (400, 560, 24.0);
    spec.px_per_mm = 1.35;
    spec.period_s = 1.6;
    spec.legs[0].rises = 1;
    spec
}

fn drawn(clip: &Clip) -> Vec<Frame> {
    (0..clip.count())
        .map(|i| Frame::new(400, 560, clip.frame(i)).unwrap())
        .collect()
}

/// One sentence that says what was expected or what to do.
fn is_a_sentence(error: &MotionError) {
    let words = error.to_string();
    assert_eq!(words.matches(". ").count(), 0, "{words}");
    assert!(words.contains("; "), "{words}");
}

fn write(folder: &Path, number: usize, grey: u8) {
    GrayImage::from_pixel(64, 64, Luma([grey]))
        .save(folder.join(format!("frame_{number:04}.png")))
        .unwrap();
}

#[test]
fn a_folder_with_a_text_named_like_a_picture_names_the_frame_and_one_named_otherwise_is_passed_over()
 {
    let folder = tempfile::tempdir().unwrap();
    for n in 1..=3 {
        write(folder.path(), n, 90);
    }
    std::fs::write(folder.path().join("notes 7.txt"), "stood well").unwrap();
    let mut frames = Folder::open(folder.path(), Some(30.0)).unwrap();
    assert_eq!(frames.count(), 3);
    std::fs::write(folder.path().join("frame_0002.png"), "no picture").unwrap();
    let error = frames.frame(1).unwrap_err();
    assert!(matches!(error, MotionError::FrameDamaged { frame: 1, .. }));
    is_a_sentence(&error);
    assert!(frames.frame(0).is_ok() && frames.frame(2).is_ok());
    let empty = tempfile::tempdir().unwrap();
    for missing in [empty.path().to_owned(), empty.path().join("nowhere")] {
        is_a_sentence(&Folder::open(&missing, Some(30.0)).unwrap_err());
    }
}

#[test]
fn a_file_of_times_with_words_in_it_or_with_too_few_is_refused_and_one_that_goes_back_is_not_followed()
 {
    for text in [
        "0\nsoon\n0.2\n",
        "0\n0.1\n",
        "0\n0.1\nNaN\n",
        "0\n0.1\ninf\n",
        "",
    ] {
        let error = times_of(text, 3).unwrap_err();
        assert!(matches!(error, MotionError::TimesFile { .. }), "{text:?}");
        is_a_sentence(&error);
    }
    let folder = tempfile::tempdir().unwrap();
    for n in 1..=3 {
        write(folder.path(), n, 90);
    }
    std::fs::write(
        folder.path().join(TIMES_FILE),
        "frame,seconds\n1,0\n2,0.2\n3,0.1\n",
    )
    .unwrap();
    let frames = Folder::open(folder.path(), None).unwrap();
    let error = times(&frames).unwrap_err();
    assert_eq!(error, MotionError::TimesDoNotGrow { frame: 2 });
    is_a_sentence(&error);
    std::fs::write(folder.path().join(TIMES_FILE), "0\n0\n0.1\n").unwrap();
    let frames = Folder::open(folder.path(), None).unwrap();
    assert_eq!(
        times(&frames),
        Err(MotionError::TimesDoNotGrow { frame: 1 })
    );
}

#[test]
fn frames_from_a_phone_held_sideways_are_set_upright_by_their_mark() {
    let folder = tempfile::tempdir().unwrap();
    let side = GrayImage::from_fn(96, 64, |x, _| Luma([if x < 48 { 30 } else { 220 }]));
    for n in 1..=2 {
        let mut bytes = Vec::new();
        let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 95);
        // 6: what lay to the left comes to the top.
        let mut mark = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        mark.extend([6, 0, 0, 0, 0, 0, 0]);
        encoder.set_exif_metadata(mark).unwrap();
        encoder
            .write_image(&side, 96, 64, ExtendedColorType::L8)
            .unwrap();
        std::fs::write(folder.path().join(format!("{n}.jpg")), bytes).unwrap();
    }
    let frame = Folder::open(folder.path(), Some(25.0))
        .unwrap()
        .frame(1)
        .unwrap();
    assert_eq!((frame.width(), frame.height()), (64, 96));
    assert!(frame.row(10)[32] < 60 && frame.row(85)[32] > 190);
}

#[test]
fn a_folder_whose_pictures_change_their_size_is_refused_at_the_frame_where_they_do() {
    let clip = Clip::new(short(3));
    let mut frames = Held {
        frames: drawn(&clip)[..4].to_vec(),
        times_s: vec![0.0, 0.04, 0.08, 0.12],
    };
    frames.frames[3] = Frame::new(560, 400, vec![90; 400 * 560]).unwrap();
    let error = follow(&mut frames, &shared::marks(&clip, 0, &[])).unwrap_err();
    assert!(matches!(error, MotionError::SizeChanged { frame: 3, .. }));
    is_a_sentence(&error);
}

#[test]
fn the_times_a_phone_wrote_are_taken_as_they_are_however_uneven() {
    let clip = Clip::new(short(3));
    let marks = shared::marks(&clip, 0, &[]);
    // From the twelfth frame on the phone wrote half as many.
    let times_s: Vec<f64> = (0..clip.count())
        .map(|i| (i as f64 + (i as f64 - 12.0).max(0.0)) / 24.0)
        .collect();
    let mut frames = Held {
        frames: drawn(&clip),
        times_s: times_s.clone(),
    };
    let track = follow(&mut frames, &marks).unwrap();
    let readings = read(&Steps::new((400, 560), times_s.clone(), marks, track)).unwrap();
    let rise = &readings.legs[0].rises[0];
    assert_eq!(rise.top_s, times_s[rise.top_frame]);
    let true_top = clip.truth().legs[0].rises[0].top_s;
    assert!((clip.truth().times_s[rise.top_frame] - true_top).abs() < 0.3);
    assert!(rise.top_s > true_top + 0.3);
}

#[test]
fn where_another_person_steps_in_front_of_the_first_the_points_are_told_as_lost() {
    // Whose leg it is cannot be known from a picture, and marks alike in the same place are taken for the same; that
    // the marked skin is no longer seen can be known.
    let (first, second) = (Clip::new(short(3)), Clip::new(short(41)));
    let mut frames = drawn(&first);
    let change = 12;
    for (frame, other) in frames.iter_mut().zip(drawn(&second)).skip(change) {
        // The other stands 130 pixels further right: nearer, marks alike would be within a step.
        let mut bytes = other.bytes().to_vec();
        bytes
            .chunks_exact_mut(400)
            .for_each(|row| row.rotate_right(130));
        *frame = Frame::new(400, 560, bytes).unwrap();
    }
    let marks = shared::marks(&first, 0, &[]);
    let mut held = Held {
        frames,
        times_s: first.truth().times_s.clone(),
    };
    let track = follow(&mut held, &marks).unwrap();
    let seen_after = Point::ALL
        .into_iter()
        .flat_map(|p| (change + 1..first.count()).map(move |f| (p, f)))
        .filter(|(p, f)| {
            track
                .place(Side::Right, *p, *f)
                .is_some_and(|p| p.how == How::Followed)
        })
        .count();
    let steps = Steps::new((400, 560), held.times_s.clone(), marks, track);
    let leg = &read(&steps).unwrap().legs[0];
    let told = |point: Point| {
        leg.notes
            .iter()
            .any(|n| matches!(n, Note::PointLost { point: p, .. } if *p == point))
    };
    assert!(Point::ALL.into_iter().all(told), "{:?}", leg.notes);
    assert_eq!(seen_after, 0);
    assert_eq!(leg.count, None);
}

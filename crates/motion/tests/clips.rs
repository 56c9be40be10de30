//! Invented clips of known truth, followed and read.

#[path = "../examples/shared/mod.rs"]
mod shared;

use motion::frames::{Frame, Held};
use motion::rise::leg::Note;
use motion::rise::{Rule, Verdict, read};
use motion::steps::{Correction, How, Marks, Point, Spot, Steps};
use motion::{MotionError, follow};
use phantom::clip::{Clip, ClipSpec, Hidden};
use quantity::Unit;
use terms::Side;

/// A short clip on few pixels, so that many fit into a test run.
fn short() -> ClipSpec {
    let mut spec = ClipSpec::plain(3);
    (spec.width, spec.height, spec.rate) = (400, 560, 24.0);
    spec.px_per_mm = 1.35;
    spec.period_s = 1.6;
    spec.legs[0].rises = 2;
    spec
}

fn read_clip(spec: ClipSpec) -> (Clip, Steps) {
    let clip = Clip::new(spec);
    let steps = shared::steps(&clip, shared::marks(&clip, 0, &[]));
    (clip, steps)
}

#[test]
fn a_heel_that_turns_inward_and_tires_is_read_as_it_was_made() {
    let mut spec = short();
    spec.legs[0].rises = 3;
    spec.legs[0].decay = 0.1;
    spec.shake_px = 3.0;
    let (clip, mut steps) = read_clip(spec);
    steps.setup.yaw_sd_deg = 2.0;
    let readings = read(&steps).unwrap();
    let (leg, truth) = (&readings.legs[0], &clip.truth().legs[0]);
    assert_eq!(
        (readings.height_unit, leg.count),
        (Unit::Millimetre, Some(3))
    );
    let mut square = 0.0;
    for (instant, seen) in leg.curve.iter().zip(&truth.seen_deg) {
        square += (instant.angle.unwrap().deg - seen).powi(2);
    }
    let rms = (square / leg.curve.len() as f64).sqrt();
    assert!(rms < 0.25, "{rms}");
    for (rise, t) in leg.rises.iter().zip(&truth.rises) {
        assert!((rise.height.value / t.height_mm - 1.0).abs() < 0.03);
        assert!((rise.top_s - t.top_s).abs() < 0.2);
    }
    let turn = leg.turn.unwrap();
    assert_eq!(turn.verdict, Verdict::Inverts);
    assert!((turn.change.value + 9.0).abs() < 0.6, "{turn:?}");
    assert!((leg.decay.unwrap().value - 10.0).abs() < 2.0);
    assert!((leg.tempo_per_min.unwrap() - 37.5).abs() < 2.0);
    assert_eq!(leg.beat_lost, None);
    let beaten = |beat| {
        let mut on = steps.clone();
        on.beat_per_min = Some(beat);
        read(&on).map(|r| (r.legs[0].beat_lost, r.legs[0].rises[2].off_beat))
    };
    assert_eq!(beaten(36.0), Ok((None, Some(false))));
    assert_eq!(beaten(20.0), Ok((Some(2), Some(true))));
    assert!(beaten(0.0).is_err());
    assert_eq!(leg.best.as_ref().map(|s| s.rise), Some(1));
    assert_eq!(leg.worst.as_ref().map(|s| s.rise), Some(3));
    let frames = &leg.best.as_ref().unwrap().frames;
    assert!(frames.len() == 5 && frames.is_sorted());
}

#[test]
fn a_left_heel_that_stays_out_does_not_turn_inward() {
    let mut spec = short();
    spec.legs[0].side = Side::Left;
    (spec.legs[0].standing_deg, spec.legs[0].turn_deg) = (9.0, 3.5);
    let (_, mut steps) = read_clip(spec);
    steps.setup.yaw_sd_deg = 2.0;
    let readings = read(&steps).unwrap();
    let turn = readings.legs[0].turn.unwrap();
    assert_eq!(turn.verdict, Verdict::DoesNot, "{turn:?}");
    assert!((readings.legs[0].standing.unwrap().value - 9.0).abs() < 0.5);
}

#[test]
fn a_point_hidden_for_half_a_second_is_missing_for_that_time_and_found_again() {
    let mut spec = short();
    spec.hidden = Some(Hidden {
        leg: 0,
        mark: 0,
        from_s: 1.2,
        until_s: 1.8,
    });
    let (clip, steps) = read_clip(spec);
    let truth = &clip.truth().legs[0];
    let track = steps.track.of(Side::Right, Point::LegUpper).unwrap();
    for (i, (place, t)) in track.places.iter().zip(&clip.truth().times_s).enumerate() {
        match place {
            Some(p) if p.how == How::Followed => {
                assert!(!(1.25..1.8).contains(t), "seen behind a sleeve at {t}");
                let (x, y) = truth.spots[i][0];
                assert!((p.x - x).hypot(p.y - y) < 0.8, "{t}");
            }
            Some(_) => assert!((1.15..1.4).contains(t)),
            None => assert!((1.3..2.0).contains(t), "lost at {t}"),
        }
    }
    assert!(track.places.last().unwrap().is_some());
    let leg = &read(&steps).unwrap().legs[0];
    assert_eq!(leg.count, Some(2));
    assert!(leg.notes.iter().any(|n| matches!(
        n,
        Note::PointLost {
            point: Point::LegUpper,
            ..
        }
    )));
}

#[test]
fn both_legs_of_a_double_rise_are_read_apart_and_held_against_each_other() {
    let mut spec = short();
    (spec.width, spec.px_per_mm) = (560, 1.2);
    let mut left = spec.legs[0].clone();
    left.side = Side::Left;
    left.height_mm = 60.0;
    left.turn_deg = 2.0;
    spec.legs.push(left);
    let (_, mut steps) = read_clip(spec);
    steps.setup.yaw_sd_deg = 1.0;
    let readings = read(&steps).unwrap();
    let between = readings.between.unwrap();
    assert_eq!(between.count, Some(0));
    assert!((between.mean_height.unwrap().value + 30.0).abs() < 4.0);
    assert!(between.change.unwrap().value > 8.0);
}

#[test]
fn following_may_start_in_any_frame_and_twice_gives_the_same_steps() {
    let clip = Clip::new(short());
    let from_middle = shared::steps(&clip, shared::marks(&clip, 40, &[]));
    assert_eq!(
        from_middle,
        shared::steps(&clip, shared::marks(&clip, 40, &[]))
    );
    let readings = read(&from_middle).unwrap();
    assert_eq!(readings.legs[0].count, Some(2));
    let again: Steps = serde_json::from_str(&serde_json::to_string(&from_middle).unwrap()).unwrap();
    assert_eq!(read(&again).unwrap(), readings);
}

#[test]
fn without_a_known_length_heights_are_in_distances_of_the_leg_and_millimetres_are_not_judged() {
    let (_, mut steps) = read_clip(short());
    steps.known_length = None;
    steps.rule = Rule::Height { mm: 50.0 };
    let readings = read(&steps).unwrap();
    let leg = &readings.legs[0];
    assert_eq!(readings.height_unit, Unit::Ratio);
    assert_eq!((leg.rises.len(), leg.count), (2, None));
    let best = leg.best_height.unwrap();
    // 92 mm of a heel against 120 mm between the leg's marks.
    assert!((best.value - 92.0 / 120.0).abs() < 0.04, "{best:?}");
    assert!(readings.notes.contains(&Note::NoKnownLength));
}

#[test]
fn a_correction_by_hand_is_followed_on_from_and_stands_in_the_readings() {
    let clip = Clip::new(short());
    let mut marks = shared::marks(&clip, 0, &[]);
    let (x, y) = clip.truth().legs[0].spots[30][3];
    marks.corrections.push(Correction {
        frame: 30,
        side: Side::Right,
        point: Point::HeelLower,
        at: Spot::new(x + 3.0, y),
    });
    let steps = shared::steps(&clip, marks);
    let place = |f| steps.track.place(Side::Right, Point::HeelLower, f).unwrap();
    assert_eq!(place(30).how, How::Hand);
    let later = clip.truth().legs[0].spots[31][3].0;
    assert!((place(31).x - later - 3.0).abs() < 0.6);
    assert!(place(31).sd_x >= 1.0);
    assert!(read(&steps).is_ok());
}

fn still(sizes: &[(usize, usize)]) -> Held {
    Held {
        frames: sizes
            .iter()
            .map(|(w, h)| Frame::new(*w, *h, vec![90; w * h]).unwrap())
            .collect(),
        times_s: (0..sizes.len()).map(|i| i as f64 / 30.0).collect(),
    }
}

#[test]
fn clips_without_frames_with_one_with_a_changed_size_or_without_a_leg_are_refused_in_a_sentence() {
    let clip = Clip::new(short());
    let marks = shared::marks(&clip, 0, &[]);
    let refused = |frames: &mut Held, marks: &Marks| follow(frames, marks).unwrap_err();
    let cases = [
        refused(&mut still(&[]), &marks),
        refused(&mut still(&[(400, 560)]), &marks),
        refused(&mut still(&[(400, 560), (560, 400)]), &marks),
        refused(&mut still(&[(20, 20); 3]), &marks),
        refused(
            &mut still(&[(400, 560); 3]),
            &Marks {
                legs: vec![],
                ..marks.clone()
            },
        ),
        refused(&mut still(&[(100, 100); 3]), &marks),
        refused(
            &mut still(&[(400, 560); 3]),
            &Marks {
                frame: 9,
                ..marks.clone()
            },
        ),
    ];
    for error in &cases {
        let words = error.to_string();
        assert!(
            words.contains("expected") || words.contains("choose"),
            "{words}"
        );
        assert_eq!(words.matches(". ").count(), 0, "{words}");
    }
    assert!(matches!(
        cases[2],
        MotionError::SizeChanged { frame: 1, .. }
    ));
    let mut back = still(&[(400, 560); 3]);
    back.times_s[2] = 0.0;
    assert!(matches!(
        refused(&mut back, &marks),
        MotionError::TimesDoNotGrow { frame: 2 }
    ));
}

#[test]
fn a_clip_of_a_plain_wall_loses_every_point_and_its_count_stays_missing() {
    let clip = Clip::new(short());
    let marks = shared::marks(&clip, 0, &[]);
    let mut frames = still(&[(400, 560); 30]);
    let track = follow(&mut frames, &marks).unwrap();
    assert_eq!(track.corners, 0);
    let steps = Steps::new((400, 560), frames.times_s.clone(), marks, track);
    let readings = read(&steps).unwrap();
    let leg = &readings.legs[0];
    assert_eq!((leg.count, leg.turn, leg.best_height), (None, None, None));
    assert!(leg.notes.contains(&Note::NoRise));
    assert!(leg.curve[29].height.is_none());
}

#[test]
fn a_clip_of_four_thousand_pixels_is_averaged_first_and_told_in_its_own_pixels() {
    let clip = Clip::new(short());
    let (w, h) = (400, 560);
    // Every pixel fourfold each way: 1600 by 2240 of the finer kind.
    let fine = |bytes: &[u8]| -> Vec<u8> {
        (0..4 * h)
            .flat_map(|y| (0..4 * w).map(move |x| (x, y)))
            .map(|(x, y)| bytes[(y / 4) * w + x / 4])
            .collect()
    };
    let frames = (20..28)
        .map(|i| Frame::new(4 * w, 4 * h, fine(&clip.frame(i))).unwrap())
        .collect();
    let mut held = Held {
        frames,
        times_s: clip.truth().times_s[20..28].to_vec(),
    };
    let mut marks = shared::marks(&clip, 20, &[]);
    marks.frame = 0;
    let finer = |s: Spot| Spot::new(4.0 * s.x + 1.5, 4.0 * s.y + 1.5);
    for leg in &mut marks.legs {
        for s in [
            &mut leg.leg_upper,
            &mut leg.leg_lower,
            &mut leg.heel_upper,
            &mut leg.heel_lower,
        ] {
            *s = finer(*s);
        }
    }
    let track = follow(&mut held, &marks).unwrap();
    let last = track.place(Side::Right, Point::HeelLower, 7).unwrap();
    let (x, y) = clip.truth().legs[0].spots[27][3];
    let off = (last.x - 4.0 * x - 1.5).hypot(last.y - 4.0 * y - 1.5);
    assert!(off < 1.6, "{off}");
}

#[test]
fn steps_of_another_clip_or_of_another_form_are_refused() {
    let (_, steps) = read_clip(short());
    let refused = |change: fn(&mut Steps)| {
        let mut other = steps.clone();
        change(&mut other);
        read(&other).unwrap_err().to_string()
    };
    for words in [
        refused(|s| s.version = 2),
        refused(|s| s.times_s.truncate(5)),
        refused(|s| s.track.points.truncate(2)),
        refused(|s| s.track.points[0].places[3].as_mut().unwrap().x = f64::NAN),
        refused(|s| s.setup.yaw_sd_deg = -1.0),
        refused(|s| s.known_length.as_mut().unwrap().mm = 0.0),
        refused(|s| s.rule = Rule::ShareOfFirst { share: f64::NAN }),
        refused(|s| s.track.camera[1].as_mut().unwrap().a = f64::INFINITY),
    ] {
        assert!(words.contains("expected"), "{words}");
    }
}

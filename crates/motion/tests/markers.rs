//! Marker files: written in every form, read back, damaged, and turned into readings.

mod written;

use motion::MotionError;
use motion::marker::plane::Up;
use motion::marker::{Roles, c3d, read_markers};
use motion::rise::Rule;
use motion::rise::turn::Verdict;
use motion::steps::Setup;
use proptest::prelude::*;
use terms::Side;
use written::{Content, LABELS, Order, rising, written};

fn content(places: &[Vec<c3d::Place>]) -> Content<'_> {
    Content {
        labels: &LABELS,
        places,
        rate: 100.0,
        unit: "mm",
        scale: 0.05,
    }
}

fn roles() -> Roles {
    Roles {
        side: Side::Right,
        heel: "RHEE".into(),
        heel_upper: Some("rheu".into()),
        leg_lower: Some("RLEG".into()),
        leg_upper: Some("RCAL".into()),
        metatarsal: "RMT2".into(),
    }
}

#[test]
fn whole_and_floating_places_in_all_three_byte_orders_come_back_as_written() {
    let places = rising(120, 100.0);
    for order in Order::ALL {
        for floating in [true, false] {
            let file = c3d::open(&written(order, floating, &content(&places))).unwrap();
            assert_eq!(file.labels, LABELS, "{order:?}");
            assert_eq!((file.rate, file.mm_per_unit), (100.0, Some(1.0)));
            assert_eq!(file.frames(), 120);
            for (got, put) in file.places.iter().flatten().zip(places.iter().flatten()) {
                match (got, put) {
                    (Some(g), Some(p)) => {
                        let near = if floating { 1e-3 } else { 0.026 };
                        assert!(
                            g.iter().zip(p).all(|(a, b)| (a - b).abs() < near),
                            "{order:?} {g:?} {p:?}"
                        );
                    }
                    (None, None) => {}
                    other => panic!("{order:?}: {other:?}"),
                }
            }
        }
    }
}

#[test]
fn markers_give_the_rises_heights_and_the_turn_they_were_made_with_whatever_way_the_foot_points() {
    let places = rising(720, 100.0);
    let file = c3d::open(&written(Order::Intel, true, &content(&places))).unwrap();
    let setup = Setup {
        yaw_sd_deg: 1.0,
        ..Setup::default()
    };
    let read = read_markers(&file, &[roles()], Up::Z, &setup, Rule::AnyRise).unwrap();
    let leg = &read.legs[0];
    assert_eq!(leg.count, Some(3));
    assert!((leg.best_height.unwrap().value - 85.0).abs() < 0.5);
    let turn = leg.turn.unwrap();
    // The heel's lower marker swings by tan 6° and tan 3° of 40 mm.
    assert!((turn.change.value + 9.0).abs() < 0.4, "{turn:?}");
    assert_eq!(turn.verdict, Verdict::Inverts);
    assert!((leg.tempo_per_min.unwrap() - 30.0).abs() < 0.2);
    // A frame in which the heel's upper marker was not seen has a height and no angle.
    assert!(leg.curve[57].angle.is_none() && leg.curve[57].height.is_some());
}

#[test]
fn a_heel_marker_alone_gives_heights_and_no_angle() {
    let places = rising(720, 100.0);
    let file = c3d::open(&written(Order::Mips, false, &content(&places))).unwrap();
    let only = Roles {
        heel_upper: None,
        leg_lower: None,
        leg_upper: None,
        ..roles()
    };
    let read = read_markers(&file, &[only], Up::Z, &Setup::default(), Rule::AnyRise).unwrap();
    assert_eq!(read.legs[0].count, Some(3));
    assert_eq!(read.legs[0].turn, None);
    assert_eq!(read.legs[0].standing, None);
}

#[test]
fn labels_that_are_not_there_markers_never_seen_and_unknown_units_are_told_in_a_sentence() {
    let places = rising(60, 100.0);
    let file = c3d::open(&written(Order::Intel, true, &content(&places))).unwrap();
    let wrong = |change: fn(&mut Roles)| {
        let mut r = roles();
        change(&mut r);
        read_markers(&file, &[r], Up::Z, &Setup::default(), Rule::AnyRise).unwrap_err()
    };
    assert!(matches!(
        wrong(|r| r.heel = "elbow".into()),
        MotionError::NoSuchMarker { .. }
    ));
    assert!(
        wrong(|r| r.metatarsal = "LHEE".into())
            .to_string()
            .contains("never seen together")
    );
    let mut inches = content(&places);
    inches.unit = "inch";
    let file = c3d::open(&written(Order::Intel, true, &inches)).unwrap();
    assert_eq!(file.mm_per_unit, None);
    assert!(read_markers(&file, &[roles()], Up::Z, &Setup::default(), Rule::AnyRise).is_err());
}

#[test]
fn a_file_cut_anywhere_is_refused_or_read_and_never_read_as_longer_than_it_is() {
    let places = rising(40, 100.0);
    let whole = written(Order::Intel, true, &content(&places));
    // The last block is filled up with zeros after the last frame.
    let needed = 512 * 3 + 40 * LABELS.len() * 16;
    for length in (0..whole.len()).step_by(37) {
        match c3d::open(&whole[..length]) {
            Ok(file) => assert!(length >= needed && file.frames() == 40, "{length}"),
            Err(error) => assert!(error.to_string().contains("expected"), "{error}"),
        }
    }
}

#[test]
fn bytes_of_another_kind_are_no_c3d_file() {
    for bytes in [&b""[..], b"PK\x03\x04", &[2u8; 600], &[0, 80], &[255; 40]] {
        let error = c3d::open(bytes).unwrap_err().to_string();
        assert!(error.contains("C3D"), "{error}");
    }
}

proptest! {
    #[test]
    fn changed_bytes_are_refused_or_read_without_a_panic(
        changes in proptest::collection::vec((0usize..1536, any::<u8>()), 1..12),
        order in 0usize..3,
        floating: bool,
    ) {
        let places = rising(12, 100.0);
        let mut bytes = written(Order::ALL[order], floating, &content(&places));
        for (at, value) in changes {
            bytes[at] = value;
        }
        if let Ok(file) = c3d::open(&bytes) {
            prop_assert_eq!(file.labels.len(), file.places.len());
            let _ = read_markers(&file, &[roles()], Up::Z, &Setup::default(), Rule::AnyRise);
        }
    }
}

//! Bad input: every one gets a sentence that says what was found, what was expected and what to do.

use knowledge::{Knowledge, Measure};
use quantity::PixelScale;
use reading::figures::{invented_film, invented_points};
use reading::{
    FilmFacts, PlacedPoint, PointSet, Reader, ReadingSheet, Refusal, WarningKind, read_all,
};
use terms::{LandmarkKey, MeasureKey, Stance, View};

fn key(name: &str) -> LandmarkKey {
    LandmarkKey::new(name).expect("a good key")
}

fn read(set: &PointSet, film: &FilmFacts) -> ReadingSheet {
    read_all(Knowledge::built_in(), set, film)
}

fn refusal(sheet: &ReadingSheet, measure: &str) -> String {
    let key = MeasureKey::new(measure).expect("a good key");
    sheet
        .refusal(&key)
        .unwrap_or_else(|| panic!("{measure} was read"))
        .sentence
        .clone()
}

fn is_read(sheet: &ReadingSheet, measure: &str) -> bool {
    sheet
        .reading(&MeasureKey::new(measure).expect("a good key"))
        .is_some()
}

fn warning(sheet: &ReadingSheet, kind: WarningKind) -> String {
    let found = sheet.warnings.iter().find(|w| w.kind == kind);
    found
        .unwrap_or_else(|| panic!("no {kind:?} in {:?}", sheet.warnings))
        .sentence
        .clone()
}

/// The invented lateral points after `change`.
fn lateral(change: impl Fn(&mut PointSet)) -> ReadingSheet {
    let mut set = invented_points(View::Lateral);
    change(&mut set);
    read(&set, &invented_film())
}

fn put(set: &mut PointSet, name: &str, point: PlacedPoint) {
    set.points.insert(key(name), point);
}

#[test]
fn missing_points_are_named() {
    let sheet = lateral(|s| {
        s.points.remove(&key("talus_dome_top"));
        s.points.remove(&key("talus_head_top"));
        s.points.remove(&key("nav_low"));
    });
    assert_eq!(
        refusal(&sheet, "talar_decl"),
        "not read: talus_dome_top and talus_head_top are not placed; place them"
    );
    assert_eq!(
        refusal(&sheet, "nav_height"),
        "not read: nav_low is not placed; place it"
    );
    assert!(is_read(&sheet, "calc_pitch"));
}

#[test]
fn no_points_at_all_refuse_every_measure_and_nothing_else() {
    for view in View::ALL {
        let sheet = read(&PointSet::new(view, None), &invented_film());
        assert!(sheet.readings.is_empty() && sheet.frame.is_none());
        assert_eq!(
            sheet.refused.len(),
            Knowledge::built_in().measures(view).len()
        );
    }
}

#[test]
fn a_coordinate_that_is_no_number_refuses_the_measures_that_need_it() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let sheet = lateral(|s| put(s, "calc_plantar_tuber", PlacedPoint::at(bad, 5.0)));
        assert_eq!(
            refusal(&sheet, "calc_pitch"),
            "not read: the point calc_plantar_tuber has a coordinate that is not a number; place it again"
        );
        assert!(is_read(&sheet, "meary_lat"));
    }
}

#[test]
fn a_point_outside_the_film_is_refused_and_told() {
    let sheet = lateral(|s| put(s, "nav_low", PlacedPoint::at(3200.0, 5.0)));
    assert_eq!(
        refusal(&sheet, "nav_height"),
        "not read: the point nav_low lies outside the film of 3000 × 3000 pixels; place it again or check that the points belong to this film"
    );
    assert!(warning(&sheet, WarningKind::OutsideFilm).contains("nav_low"));
}

#[test]
fn two_points_on_one_spot_are_refused_and_told() {
    let sheet = lateral(|s| {
        let back = s.points[&key("calc_plantar_tuber")];
        put(s, "calc_plantar_front", back);
    });
    let sentence =
        "calc_plantar_tuber and calc_plantar_front lie on the same spot; move one of them";
    assert_eq!(
        refusal(&sheet, "calc_pitch"),
        format!("not read: {sentence}")
    );
    assert!(warning(&sheet, WarningKind::SameSpot).contains("lie on the same spot"));
    let sheet = lateral(|s| {
        let back = s.points[&key("floor_back")];
        put(s, "floor_front", back);
    });
    assert!(refusal(&sheet, "calc_pitch").contains("floor_back and floor_front lie on the same"));
    assert!(
        is_read(&sheet, "meary_lat"),
        "an angle between bones needs no floor"
    );
}

#[test]
fn a_covariance_that_is_none_is_refused() {
    let broken = [
        [[1.0, 5.0], [5.0, 1.0]],
        [[1.0, f64::NAN], [0.0, 1.0]],
        [[-1.0, 0.0], [0.0, 1.0]],
    ];
    for matrix in broken {
        let sheet = lateral(|s| {
            let mut p = s.points[&key("nav_low")];
            p.covariance_px2 = Some(matrix);
            put(s, "nav_low", p);
        });
        assert!(
            refusal(&sheet, "nav_height").contains("covariance"),
            "{matrix:?}"
        );
    }
}

#[test]
fn points_of_another_view_are_left_aside_and_told() {
    let sheet = lateral(|s| {
        put(s, "dp_nav_med", PlacedPoint::at(1.0, 1.0));
        put(s, "hand_made", PlacedPoint::at(1.0, 1.0));
    });
    let told: Vec<&str> = sheet
        .warnings
        .iter()
        .filter(|w| w.kind == WarningKind::ForeignPoints)
        .map(|w| w.sentence.as_str())
        .collect();
    assert_eq!(
        told,
        [
            "1 point found that no view knows (hand_made), left aside; check their names",
            "1 point of the dorsoplantar foot view found among those of the lateral foot view (dp_nav_med), left aside; choose the right view or remove them",
        ]
    );
    let reader = Reader::new(Knowledge::built_in(), View::AnkleFront);
    let sheet = reader.read(&invented_points(View::Lateral), &invented_film());
    assert!(refusal(&sheet, "talar_tilt").contains("the points are of the lateral foot view"));
}

#[test]
fn without_a_scale_angles_and_ratios_work_and_millimetres_are_refused_with_the_reason() {
    let film = FilmFacts {
        scale: None,
        no_scale_reason: Some("PNG files carry no pixel size".into()),
        ..invented_film()
    };
    let sheet = read(&invented_points(View::Lateral), &film);
    assert_eq!(
        refusal(&sheet, "nav_height"),
        "not read: no scale for millimetres (PNG files carry no pixel size); give a ball, a known length or the pixel size"
    );
    for measure in ["calc_pitch", "meary_lat", "nav_height_truncated"] {
        assert!(is_read(&sheet, measure), "{measure}");
    }
    assert!(warning(&sheet, WarningKind::GuessedError).contains("300 mm"));
}

#[test]
fn a_scale_of_zero_or_no_number_is_no_scale() {
    for bad in [0.0, -0.1, f64::NAN, f64::INFINITY] {
        let scale = PixelScale {
            mm_per_px_x: bad,
            mm_per_px_y: 0.1,
            relative_standard_error: 0.01,
        };
        let film = FilmFacts {
            scale: Some(scale),
            ..invented_film()
        };
        let sheet = read(&invented_points(View::Lateral), &film);
        assert!(refusal(&sheet, "nav_height").contains("expected two positive numbers"));
        assert!(is_read(&sheet, "calc_pitch"));
    }
}

#[test]
fn a_film_not_taken_standing_is_marked_on_every_reading() {
    let film = FilmFacts {
        stance: Stance::NotStanding,
        ..invented_film()
    };
    let sheet = read(&invented_points(View::Lateral), &film);
    assert!(!sheet.readings.is_empty());
    for reading in &sheet.readings {
        assert_eq!(reading.stance, Stance::NotStanding);
        assert!(
            reading.notes[0].starts_with("Not taken standing"),
            "{:?}",
            reading.notes
        );
    }
    assert!(warning(&sheet, WarningKind::NotStanding).contains("repeat it standing"));
}

#[test]
fn without_an_outer_side_the_side_is_asked_for() {
    let mut set = PointSet::new(View::Dorsoplantar, None);
    for (name, x, y) in [
        ("dp_cuboid_lat_back", 900.0, 1500.0),
        ("dp_cuboid_lat_front", 950.0, 1200.0),
        ("dp_calc_lat_back", 800.0, 2000.0),
        ("dp_calc_front_lat", 850.0, 1600.0),
    ] {
        put(&mut set, name, PlacedPoint::at(x, y));
    }
    let sheet = read(&set, &invented_film());
    assert!(
        refusal(&sheet, "cc_abd").contains("or say the side"),
        "{}",
        refusal(&sheet, "cc_abd")
    );
    set.side = Some(terms::Side::Right);
    let right = read(&set, &invented_film());
    set.side = Some(terms::Side::Left);
    let left = read(&set, &invented_film());
    let value = |s: &ReadingSheet| s.readings.first().expect("read").estimate.value;
    assert!(
        (value(&right) + value(&left)).abs() < 1e-9,
        "a mirrored foot turns the sign"
    );
    assert!(warning(&right, WarningKind::Assumed).contains("not mirrored"));
}

#[test]
fn an_axis_that_cannot_be_prolonged_is_refused() {
    let mut set = invented_points(View::HindfootAlignment);
    for (name, x, y) in [
        ("hf_tibia_high_med", 2300.0, 1300.0),
        ("hf_tibia_high_lat", 2300.0, 1500.0),
        ("hf_tibia_low_med", 1500.0, 1400.0),
        ("hf_tibia_low_lat", 1500.0, 1600.0),
    ] {
        put(&mut set, name, PlacedPoint::at(x, y));
    }
    let sheet = read(&set, &invented_film());
    let told = sheet
        .refusal(&MeasureKey::new("hma").expect("a good key"))
        .expect("refused");
    assert!(
        matches!(told.why, Refusal::NoAngle { .. } | Refusal::NoFrame { .. }),
        "{told:?}"
    );
}

#[test]
fn a_measure_that_names_an_unknown_line_is_refused_with_its_fault() {
    let knowledge = Knowledge::built_in();
    let mut measure: Measure = knowledge.measures(View::Lateral)[0].clone();
    measure.lines.clear();
    let landmarks = knowledge.landmarks(View::Lateral);
    let reader = Reader::from_parts(View::Lateral, &landmarks, &[&measure]);
    let sheet = reader.read(&invented_points(View::Lateral), &invented_film());
    assert!(
        sheet.refused[0].sentence.contains("names the line"),
        "{:?}",
        sheet.refused
    );
}

/// Every point in turn on hostile coordinates: no panic, no number that is not finite.
#[test]
fn hostile_coordinates_never_give_a_value_that_is_not_finite() {
    let hostile = [
        0.0,
        -0.0,
        1e-300,
        1e300,
        -1e300,
        f64::MAX,
        f64::MIN_POSITIVE,
        2999.4,
        -0.5,
    ];
    for view in View::ALL {
        let reader = Reader::new(Knowledge::built_in(), view);
        let clean = invented_points(view);
        for name in clean.points.keys() {
            for x in hostile {
                for y in hostile {
                    for wide in [false, true] {
                        let mut set = clean.clone();
                        let covariance_px2 = wide.then_some([[1e300, 0.0], [0.0, 1e300]]);
                        let point = PlacedPoint {
                            x_px: x,
                            y_px: y,
                            covariance_px2,
                        };
                        set.points.insert(name.clone(), point);
                        for r in reader.read(&set, &invented_film()).readings {
                            let e = r.estimate;
                            assert!(e.value.is_finite() && e.standard_error.is_finite(), "{r:?}");
                        }
                    }
                }
            }
        }
    }
}

/// Found by the fuzz target of the points file.
#[test]
fn a_line_break_in_the_points_file_does_not_break_the_sentence() {
    let text = "{ \"view\": \"dorso\\nplantar\", \"side\": \"left\", \"points\": {} }";
    let fault = PointSet::from_json(text).expect_err("there is no such view");
    let sentence = fault.to_string();
    assert!(!sentence.contains('\n'), "{sentence}");
    assert!(sentence.contains("dorso plantar"), "{sentence}");
}

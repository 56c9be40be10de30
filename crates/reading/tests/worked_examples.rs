//! Readings against examples worked by hand, and the identities that hold between them.
//!
//! Origin of the examples: constructed coordinates, worked with a pocket calculator; no paper with
//! published landmark coordinates for any foot angle was found. Millimetres, y up.

use knowledge::Knowledge;
use quantity::PixelScale;
use reading::{FilmFacts, PlacedPoint, PointSet, Reader};
use terms::{LandmarkKey, MeasureKey, Side, Stance, View};

/// A film of 1 mm per pixel with exact scale and no rotation.
fn film() -> FilmFacts {
    let scale = PixelScale {
        mm_per_px_x: 1.0,
        mm_per_px_y: 1.0,
        relative_standard_error: 0.0,
    };
    FilmFacts {
        scale: Some(scale),
        stance: Stance::Standing,
        yaw_sd_deg: 0.0,
        ..FilmFacts::of_size(1000, 1000)
    }
}

/// Points of a right foot given in the view's frame, put on the film with y down.
fn placed(view: View, points: &[(&str, f64, f64)]) -> PointSet {
    let mut set = PointSet::new(view, Some(Side::Right));
    for (name, x, y) in points {
        let key = LandmarkKey::new(*name).expect("a good key");
        set.points
            .insert(key, PlacedPoint::at(400.0 + x, 600.0 - y));
    }
    set
}

fn check(set: &PointSet, expected: &[(&str, f64)]) {
    let sheet = Reader::new(Knowledge::built_in(), set.view).read(set, &film());
    for (measure, value) in expected {
        let key = MeasureKey::new(*measure).expect("a good key");
        let reading = sheet
            .reading(&key)
            .unwrap_or_else(|| panic!("{:?}", sheet.refusal(&key)));
        // The examples are printed with three decimals.
        assert!(
            (reading.estimate.value - value).abs() < 6e-4,
            "{measure}: found {}, expected {value}",
            reading.estimate.value
        );
    }
}

#[test]
fn the_lateral_angles_agree_with_a_foot_worked_by_hand() {
    // Both margins of the talus run along (30, 72)–(60, 60), so that their bisector is that line; the
    // base of the first metatarsal is (105, 38).
    let set = placed(
        View::Lateral,
        &[
            ("floor_back", 0.0, 0.0),
            ("floor_front", 150.0, 0.0),
            ("talus_dome_top", 30.0, 82.0),
            ("talus_head_top", 60.0, 70.0),
            ("talus_back_low", 30.0, 62.0),
            ("talus_head_low", 60.0, 50.0),
            ("mt1_base_top", 105.0, 50.0),
            ("mt1_base_low", 105.0, 26.0),
            ("mt1_head_centre", 160.0, 14.0),
            ("calc_plantar_tuber", 12.0, 6.0),
            ("calc_plantar_front", 75.0, 28.0),
            ("mt5_base_low", 98.0, 22.0),
            ("mt5_head_low", 150.0, 10.0),
        ],
    );
    check(
        &set,
        &[
            ("talar_decl", 21.801),
            ("mt1_decl", 23.575),
            ("calc_pitch", 19.250),
            ("meary_lat", -1.773),
            ("tca_lat", 41.051),
            ("c1ma_lat", 137.176),
            ("c5ma_lat", 147.756),
        ],
    );
}

#[test]
fn the_dorsoplantar_angles_agree_with_a_right_foot_worked_by_hand() {
    // Middles of the pairs: talus (0, 0)–(−10, 40), first metatarsal (−8, 95)–(−20, 155), calcaneus
    // (10, −40)–(16, 20).
    let set = placed(
        View::Dorsoplantar,
        &[
            ("dp_talus_neck_med", -9.0, -2.0),
            ("dp_talus_neck_lat", 9.0, 2.0),
            ("dp_talus_head_med", -24.0, 36.0),
            ("dp_talus_head_lat", 4.0, 44.0),
            ("dp_mt1_base_med", -16.0, 94.0),
            ("dp_mt1_base_lat", 0.0, 96.0),
            ("dp_mt1_head_centre", -20.0, 155.0),
            ("dp_mt5_head_centre", 50.0, 140.0),
            ("dp_calc_back", 10.0, -40.0),
            ("dp_calc_front_med", 6.0, 18.0),
            ("dp_calc_front_lat", 26.0, 22.0),
        ],
    );
    check(&set, &[("t1mt_dp", 2.726), ("tca_dp", 19.747)]);
}

#[test]
fn coverage_and_uncoverage_agree_with_chords_worked_by_hand() {
    let set = placed(
        View::Dorsoplantar,
        &[
            ("dp_talus_head_med", -25.0, 44.0),
            ("dp_talus_head_lat", 7.0, 48.0),
            ("dp_nav_med", -17.0, 56.0),
            ("dp_nav_lat", 15.0, 52.0),
        ],
    );
    check(&set, &[("tnca", 14.250), ("tn_uncov", 29.231)]);
}

#[test]
fn the_moment_arm_agrees_with_a_shin_bone_worked_by_hand() {
    // Middles of the shaft (0, 250) and (2, 120), heel (12, 0): 8.154 mm along the floor.
    let set = placed(
        View::HindfootAlignment,
        &[
            ("hf_tibia_high_med", -12.0, 250.0),
            ("hf_tibia_high_lat", 12.0, 250.0),
            ("hf_tibia_low_med", -10.0, 120.0),
            ("hf_tibia_low_lat", 14.0, 120.0),
            ("hf_calc_low", 12.0, 0.0),
        ],
    );
    check(&set, &[("hma", 8.154)]);
}

/// With all lines against one floor: talocalcaneal = talar declination + pitch; talo-first-metatarsal =
/// talar declination − first-metatarsal declination; calcaneal-first-metatarsal = 180 − pitch −
/// first-metatarsal declination. Derived; they hold to rounding on any foot.
#[test]
fn the_lateral_identities_hold_on_two_hundred_invented_feet() {
    let reader = Reader::new(Knowledge::built_in(), View::Lateral);
    for (points, film) in reading::figures::invented_cases(View::Lateral, 200, 11) {
        let sheet = reader.read(&points, &film);
        let value = |name: &str| {
            let key = MeasureKey::new(name).expect("a good key");
            sheet.reading(&key).map(|r| r.estimate.value).expect(name)
        };
        let (decl, pitch, mt1) = (value("talar_decl"), value("calc_pitch"), value("mt1_decl"));
        for (found, expected) in [
            (value("tca_lat"), decl + pitch),
            (value("meary_lat"), decl - mt1),
            (value("c1ma_lat"), 180.0 - pitch - mt1),
        ] {
            assert!(
                (found - expected).abs() < 1e-9,
                "found {found}, expected {expected}"
            );
        }
    }
}

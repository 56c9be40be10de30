//! Is what `reading` gives what the record asks for, and does it come back to the last bit?

use knowledge::Knowledge;
use reading::{FilmFacts, PlacedPoint, PointSet, ReadingSheet, read_all};
use record::{ClinicianId, FilmId, Kept, PointsId, PointsToSave};
use serde_json::Value;
use terms::{LandmarkKey, Side, View};
use uuid::Uuid;

/// An invented heel: two points that make one reading.
fn points_and_sheet() -> (PointSet, ReadingSheet) {
    let placed = |x_px, y_px| PlacedPoint {
        x_px,
        y_px,
        covariance_px2: Some([[1.1, 0.1], [0.1, 0.9]]),
    };
    let points = [
        ("calc_plantar_tuber", placed(2000.3, 2500.7)),
        ("calc_plantar_front", placed(1400.1, 2301.9)),
    ];
    let set = PointSet {
        view: View::Lateral,
        side: Some(Side::Left),
        points: points
            .map(|(key, point)| (LandmarkKey::new(key).unwrap(), point))
            .into(),
    };
    let sheet = read_all(Knowledge::built_in(), &set, &FilmFacts::of_size(3000, 3000));
    assert!(
        !sheet.readings.is_empty(),
        "the pitch of the heel bone can be read"
    );
    (set, sheet)
}

fn to_save(points: &PointSet, sheet: &ReadingSheet) -> PointsToSave {
    PointsToSave {
        id: PointsId::new(Uuid::from_u128(1)),
        film: FilmId::new(Uuid::from_u128(2)),
        reader: ClinicianId::new(Uuid::from_u128(3)),
        finished: true,
        points: Kept::of("points", 1, points).unwrap(),
        sheet: Kept::of("reading-sheet", 1, sheet).unwrap(),
    }
}

#[test]
fn a_sheet_from_the_reader_may_be_stored_and_not_without_what_a_reading_needs() {
    let (points, sheet) = points_and_sheet();
    let whole = to_save(&points, &sheet);
    assert_eq!(whole.check(), Ok(()));
    for field in ["estimate", "method_version", "points_used"] {
        let mut lacking = whole.clone();
        let reading = lacking.sheet.body["readings"][0].as_object_mut().unwrap();
        assert!(reading.remove(field).is_some(), "the reader gives {field}");
        assert!(lacking.check().is_err(), "{field}");
    }
}

#[test]
fn points_and_sheet_come_back_from_text_to_the_last_bit() {
    let (points, sheet) = points_and_sheet();
    let saved = to_save(&points, &sheet);
    let again = |kept: &Kept| -> Kept {
        serde_json::from_str(&serde_json::to_string(kept).unwrap()).unwrap()
    };
    assert_eq!(
        again(&saved.points).read::<PointSet>("points", 1).unwrap(),
        points
    );
    assert_eq!(
        again(&saved.sheet)
            .read::<ReadingSheet>("reading-sheet", 1)
            .unwrap(),
        sheet
    );
}

#[test]
fn a_hundred_thousand_numbers_come_back_from_text_to_the_last_bit() {
    // xorshift64, Marsaglia 2003: numbers that use all their bits. Without serde_json's
    // `float_roundtrip` some may come back one bit off.
    let mut state: u64 = 1;
    for _ in 0..100_000 {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        let number = (state >> 11) as f64 / (1_u64 << 53) as f64 * 3000.0;
        let back: Value = serde_json::from_str(&Value::from(number).to_string()).unwrap();
        assert_eq!(back.as_f64(), Some(number));
    }
}

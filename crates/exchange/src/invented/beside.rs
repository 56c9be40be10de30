//! What stands beside the films of an invented visit: captures, scan, orders, letters, and the care given.

use super::{FIRST_MOMENT, Maker, kept};
use crate::formats::GIVEN;
use exam::{Given, Sheet};
use record::{
    ActKind, CaptureId, CaptureKind, CaptureRecord, CareId, CareRecord, Chart, ClinicianId, Doing,
    LetterId, LetterKind, LetterRecord, LetterState, OrderId, OrderRecord, OrderSource, ScanId,
    ScanRecord, Sent, StepsRecord, Subject, VisitId,
};
use serde_json::json;
use terms::{Load, Side};
use time::{Date, Duration, OffsetDateTime};

pub(super) fn captures(
    m: &mut Maker,
    chart: &mut Chart,
    visit: VisitId,
    day: Date,
    at: OffsetDateTime,
) {
    let reading = |measure: &str, side: Side, value: f64, error: f64, unit: &str| {
        json!({
            "measure": measure, "side": side, "method_version": 1,
            "estimate": {"value": value, "standard_error": error, "unit": unit},
        })
    };
    let drawn = m.draws.normal();
    let all = [
        (
            CaptureKind::Print,
            Some(Doing::Standing),
            "image/png",
            vec![
                reading(
                    "arch_index",
                    Side::Left,
                    0.28 + 0.01 * drawn,
                    0.006,
                    "ratio",
                ),
                reading("foot_length", Side::Left, 251.5, 0.8, "mm"),
                reading("contact_area", Side::Left, 96.25, 1.5, "cm2"),
            ],
        ),
        (
            CaptureKind::FromBehind,
            None,
            "image/jpeg",
            vec![
                reading("heel_to_upright", Side::Left, 9.5 + drawn, 1.25, "deg"),
                reading("heel_to_upright", Side::Right, 4.0, 1.25, "deg"),
            ],
        ),
        (
            CaptureKind::HeelRise,
            Some(Doing::OneLeg),
            "application/zip",
            vec![
                reading("heel_rise_best_height", Side::Left, 62.0, 3.0, "mm"),
                reading("heel_rise_mean_height", Side::Right, 0.41, 0.02, "ratio"),
            ],
        ),
    ];
    for (kind, doing, media_type, readings) in all {
        let id = CaptureId::new(m.uuid());
        let content = m.file("capture");
        chart.captures.push(CaptureRecord {
            id,
            patient: chart.patient.id,
            visit,
            kind,
            doing,
            side: None,
            taken_on: Some(day),
            file_name: "capture: one?.png".into(),
            content,
            media_type: media_type.into(),
            note: "Invented.".into(),
        });
        m.act(
            at,
            m.readers[0],
            ActKind::CaptureImported,
            Subject::Capture(id),
        );
        chart.steps.push(StepsRecord {
            capture: id,
            steps: kept(("invented-steps", 1), &json!({})),
            readings: kept(("invented-readings", 1), &json!({ "readings": readings })),
            revision: 1,
            content_of: 1,
            saved_at: at,
        });
        m.act(at, m.readers[0], ActKind::StepsSaved, Subject::Capture(id));
    }
}

pub(super) fn scan_and_order(m: &mut Maker, chart: &mut Chart, visit: VisitId, at: OffsetDateTime) {
    let scan = ScanId::new(m.uuid());
    let content = m.file("scan");
    chart.scans.push(ScanRecord {
        id: scan,
        patient: chart.patient.id,
        visit,
        side: Some(Side::Left),
        load: Some(Load::Partial),
        unit: Some("mm".into()),
        taken_on: Some(at.date()),
        file_name: "scan.stl".into(),
        content,
        media_type: "model/stl".into(),
        note: String::new(),
    });
    m.act(at, m.readers[0], ActKind::ScanImported, Subject::Scan(scan));
    for sent in [true, false] {
        let id = OrderId::new(m.uuid());
        let (sheet, solids) = (m.file("order sheet"), m.file("solids"));
        let prescription = json!({
            "corrections": {"inversion": {"angle": 4.0, "about": {"axis": "long"}}},
            "shell": {
                "material": "invented",
                "thickness": {"kind": "uniform", "all": 3.0},
                "heel_cup_depth": 16.0,
                "behind_heads": 8.0,
            },
            "order_code": "INV-1",
        });
        chart.orders.push(OrderRecord {
            id,
            patient: chart.patient.id,
            visit,
            side: Side::Left,
            code: format!("I{}-{}", m.person % 1000, m.next % 1000),
            source: OrderSource::Scan { scan },
            points: None,
            prescription: kept(("tiebeam-prescription", 1), &prescription),
            sent: sent.then_some(Sent { at, sheet, solids }),
            revision: 1,
            content_of: 1,
            saved_at: at,
        });
        if !sent {
            m.files.remove(&sheet);
            m.files.remove(&solids);
        }
        let kind = if sent {
            ActKind::OrderSent
        } else {
            ActKind::OrderSaved
        };
        m.act(at, m.readers[0], kind, Subject::Order(id));
    }
}

pub(super) fn letters(
    m: &mut Maker,
    chart: &mut Chart,
    visit: VisitId,
    at: OffsetDateTime,
    by: ClinicianId,
) {
    let mut before = None;
    for (kind, signed) in [
        (LetterKind::ToReferrer, true),
        (LetterKind::ToReferrer, true),
        (LetterKind::ToPatient, false),
    ] {
        let mut letter = LetterRecord {
            id: LetterId::new(m.uuid()),
            visit,
            kind,
            title: "An invented letter".into(),
            facts: kept(("tiebeam-letter", 1), &json!({"words": "Invented."})),
            addendum_to: before,
            drafted_at: at + Duration::minutes(40),
            revision: 1,
            state: LetterState::Draft,
        };
        let drafted = letter.drafted_at;
        m.act(
            drafted,
            by,
            ActKind::LetterDrafted,
            Subject::Letter(letter.id),
        );
        if signed {
            let (signed_at, pdf) = (at + Duration::minutes(50), m.file("letter"));
            let seal = letter.seal(signed_at, by, pdf);
            letter.state = LetterState::Signed {
                at: signed_at,
                by,
                pdf,
                seal,
            };
            m.act(
                signed_at,
                by,
                ActKind::LetterSigned,
                Subject::Letter(letter.id),
            );
            before = Some(letter.id);
        }
        chart.letters.push(letter);
    }
}

pub(super) fn given_care(m: &mut Maker, chart: &mut Chart) {
    let Some(first) = chart.visits.first().map(|v| v.on) else {
        return;
    };
    let mut boot = None;
    for kind in care::log::Kind::ALL {
        let mut answers = Given::new();
        for q in exam::form().iter().filter(|q| q.section == kind.section()) {
            if q.sheet == Sheet::Given {
                let text = m.answer(q);
                let _ = answers.set(q.key, &text);
            }
        }
        let id = CareId::new(m.uuid());
        let is_check = kind == care::log::Kind::Check;
        let ended = kind.lasts() && kind != care::log::Kind::Device;
        chart.care.push(CareRecord {
            id,
            patient: chart.patient.id,
            visit: chart.visits.first().map(|v| v.id),
            about: if is_check { boot } else { None },
            kind: kind.key().into(),
            side: (kind != care::log::Kind::Medicine).then_some(Side::Left),
            began_on: first,
            ended_on: ended.then_some(first + Duration::days(30)),
            review_on: None,
            answers: kept(GIVEN, &answers),
            taken_away: kind == care::log::Kind::Wrap,
            revision: 1,
            content_of: 1,
            saved_at: FIRST_MOMENT + Duration::days(60),
        });
        boot = boot.or(Some(id));
        let at = FIRST_MOMENT + Duration::days(60);
        m.act(at, m.readers[0], ActKind::CareSaved, Subject::Care(id));
    }
}

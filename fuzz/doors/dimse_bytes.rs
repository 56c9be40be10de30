//! Whatever a caller of the receiver says: no panic, no endless loop, never more held than the limits allow.

use exchange_dicom::inbox::Refusal;
use exchange_dicom::receive::{Association, Caller, ReceiverLimits, Room, Rules, Step};
use std::sync::Arc;

/// A request that is let in: verification and digital radiographs, under the contexts 1 and 3.
fn request() -> Vec<u8> {
    let item = |kind: u8, value: &[u8]| {
        let mut out = vec![kind, 0];
        out.extend((value.len() as u16).to_be_bytes());
        out.extend(value);
        out
    };
    let mut body = vec![0, 1, 0, 0];
    body.extend(b"TIEBEAM         XRAY            ");
    body.extend([0; 32]);
    body.extend(item(0x10, b"1.2.840.10008.3.1.1.1"));
    for (id, class) in [
        (1, &b"1.2.840.10008.1.1"[..]),
        (3, b"1.2.840.10008.5.1.4.1.1.1.1"),
    ] {
        let mut context = vec![id, 0, 0, 0];
        context.extend(item(0x30, class));
        context.extend(item(0x40, b"1.2.840.10008.1.2.1"));
        body.extend(item(0x20, &context));
    }
    body.extend(item(0x50, &item(0x51, &16384_u32.to_be_bytes())));
    let mut out = vec![1, 0];
    out.extend((body.len() as u32).to_be_bytes());
    out.extend(body);
    out
}

pub fn comes_in(data: &[u8]) {
    let Some((how, rest)) = data.split_first() else {
        return;
    };
    let rules = Arc::new(Rules {
        called: "TIEBEAM".into(),
        callers: vec![Caller {
            title: "XRAY".into(),
            from: vec!["127.0.0.0/8".parse().expect("a range")],
        }],
        any_title_from: Vec::new(),
        limits: ReceiverLimits {
            object_bytes: 20_000,
            bytes_in_hand: 30_000,
            ..ReceiverLimits::default()
        },
    });
    let room = Room::of(30_000);
    let address = [127, 0, 0, 1].into();
    let mut association = Association::new(rules, address, how & 8 != 0, room.clone());
    let mut bytes = Vec::new();
    if how & 1 == 0 {
        bytes.extend(request());
    }
    bytes.extend(rest);
    let chunk = if how & 2 == 0 { 7 } else { 4096 };
    'all: for part in bytes.chunks(chunk) {
        association.feed(part);
        loop {
            let mut step = association.step();
            if let Step::Keep(received) = step {
                assert!(received.file.len() < 25_000);
                step = association.kept(if how & 4 == 0 {
                    Ok(())
                } else {
                    Err(Refusal::NoRoom("full".into()))
                });
            }
            assert!(room.used() <= 30_000);
            match step {
                Step::More => break,
                Step::Send(_) | Step::Keep(_) => {}
                Step::Close(..) => break 'all,
            }
        }
    }
    drop(association);
    assert_eq!(room.used(), 0);
}

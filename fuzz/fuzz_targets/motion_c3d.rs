//! Any bytes as a file of markers: as they are, and after a sound header and parameters of each byte order.
#![no_main]

use libfuzzer_sys::fuzz_target;
use motion::marker::plane::Up;
use motion::marker::{Roles, open, read_markers};
use motion::rise::Rule;
use motion::steps::Setup;

fn look(bytes: &[u8]) {
    let Ok(file) = open(bytes) else { return };
    assert_eq!(file.labels.len(), file.places.len());
    let first = file.labels.first().cloned().unwrap_or_default();
    let last = file.labels.last().cloned().unwrap_or_default();
    let roles = Roles {
        side: terms::Side::Left,
        heel: first.clone(),
        heel_upper: Some(last.clone()),
        leg_lower: Some(first.clone()),
        leg_upper: Some(last.clone()),
        metatarsal: last,
    };
    let _ = read_markers(&file, &[roles], Up::Z, &Setup::default(), Rule::AnyRise);
}

fuzz_target!(|bytes: &[u8]| {
    look(bytes);
    for order in [84u8, 85, 86] {
        // Two blocks of header and parameters; what was given overwrites a part of them and goes on as places.
        let mut whole = vec![0u8; 1024];
        (whole[0], whole[1]) = (2, 80);
        (whole[512 + 2], whole[512 + 3]) = (1, order);
        let small = |v: u16| if order == 86 { v.to_be_bytes() } else { v.to_le_bytes() };
        for (word, value) in [(2u16, 2u16), (4, 1), (5, 4), (9, 3)] {
            let at = 2 * (usize::from(word) - 1);
            whole[at..at + 2].copy_from_slice(&small(value));
        }
        let head = bytes.len().min(400);
        whole[516..516 + head].copy_from_slice(&bytes[..head]);
        whole.extend(bytes);
        look(&whole);
    }
});

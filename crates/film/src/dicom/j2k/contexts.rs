//! Which context a decision is made in, by what is known of the samples around (T.800 tables D.1 to D.3).

/// Which of the four kinds of sub-band, for the contexts of table D.1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    LowLow,
    HighLow,
    LowHigh,
    HighHigh,
}

/// Table D.1 for the eight significances around a sample (its own bit does not count).
const fn zero_context(around: usize, kind: Kind) -> u8 {
    let (mut h, mut v, d) = (
        bit_at(around, 3) + bit_at(around, 5),
        bit_at(around, 1) + bit_at(around, 7),
        bit_at(around, 0) + bit_at(around, 2) + bit_at(around, 6) + bit_at(around, 8),
    );
    if matches!(kind, Kind::HighLow) {
        (h, v) = (v, h);
    }
    if matches!(kind, Kind::HighHigh) {
        return match (d, h + v) {
            (0, 0) => 0,
            (0, 1) => 1,
            (0, _) => 2,
            (1, 0) => 3,
            (1, 1) => 4,
            (1, _) => 5,
            (2, 0) => 6,
            (2, _) => 7,
            _ => 8,
        };
    }
    match (h, v, d) {
        (2, _, _) => 8,
        (1, 0, 0) => 5,
        (1, 0, _) => 6,
        (1, _, _) => 7,
        (0, 2, _) => 4,
        (0, 1, _) => 3,
        (0, 0, 0) => 0,
        (0, 0, 1) => 1,
        _ => 2,
    }
}

const fn bit_at(word: usize, at: usize) -> usize {
    word >> at & 1
}

const fn zero_contexts(kind: Kind) -> [u8; 512] {
    let mut out = [0; 512];
    let mut around = 0;
    while around < 512 {
        out[around] = zero_context(around, kind);
        around += 1;
    }
    out
}

static ZERO_VERTICAL: [u8; 512] = zero_contexts(Kind::LowLow);
static ZERO_HORIZONTAL: [u8; 512] = zero_contexts(Kind::HighLow);
static ZERO_DIAGONAL: [u8; 512] = zero_contexts(Kind::HighHigh);

/// Table D.1 by the nine bits of a sample and those around it.
pub(super) fn zero_contexts_of(kind: Kind) -> &'static [u8; 512] {
    match kind {
        Kind::LowLow | Kind::LowHigh => &ZERO_VERTICAL,
        Kind::HighLow => &ZERO_HORIZONTAL,
        Kind::HighHigh => &ZERO_DIAGONAL,
    }
}

/// Tables D.2 and D.3: the context, and in bit 7 whether the decision is turned. Bits of the index: signs
/// of west 0, east 2, north 4, south 6; significance of north 1, west 3, east 5, south 7.
pub(super) static SIGN_CONTEXTS: [u8; 256] = {
    const fn part(significant: usize, negative: usize) -> i32 {
        if significant == 0 {
            0
        } else if negative == 0 {
            1
        } else {
            -1
        }
    }
    const fn sum(a: i32, b: i32) -> i32 {
        let both = a + b;
        if both > 1 {
            1
        } else if both < -1 {
            -1
        } else {
            both
        }
    }
    let mut out = [0; 256];
    let mut i = 0;
    while i < 256 {
        let h = sum(
            part(bit_at(i, 3), bit_at(i, 0)),
            part(bit_at(i, 5), bit_at(i, 2)),
        );
        let v = sum(
            part(bit_at(i, 1), bit_at(i, 4)),
            part(bit_at(i, 7), bit_at(i, 6)),
        );
        let turned = h < 0 || (h == 0 && v < 0);
        let (h, v) = if turned { (-h, -v) } else { (h, v) };
        let context = match (h, v) {
            (1, 1) => 13,
            (1, 0) => 12,
            (1, _) => 11,
            (_, 1) => 10,
            _ => 9,
        };
        out[i] = context | if turned { 0x80 } else { 0 };
        i += 1;
    }
    out
};

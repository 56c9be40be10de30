//! The binary arithmetic decoder of JPEG 2000 (T.800 annex C).
//!
//! A decision waits for the one before it, so that what counts is how soon its outcome is known: there is
//! no branch on the way, and bytes are fetched several at a time.

use std::hint::select_unpredictable;

/// Number of contexts, rounded up so that five bits never point outside.
const CONTEXTS: usize = 32;
/// Refinement of a sample that was refined before (table D.4); the two before it are for the others.
pub(super) const AGAIN: usize = 16;
/// The run-length and the uniform context (table D.7).
pub(super) const RUN: usize = 17;
pub(super) const UNIFORM: usize = 18;

/// Qe, next state after the likelier and the less likely symbol, and whether the symbols change places
/// (table C.2).
const STATES: [(u32, u32, u32, u32); 47] = [
    (0x5601, 1, 1, 1),
    (0x3401, 2, 6, 0),
    (0x1801, 3, 9, 0),
    (0x0AC1, 4, 12, 0),
    (0x0521, 5, 29, 0),
    (0x0221, 38, 33, 0),
    (0x5601, 7, 6, 1),
    (0x5401, 8, 14, 0),
    (0x4801, 9, 14, 0),
    (0x3801, 10, 14, 0),
    (0x3001, 11, 17, 0),
    (0x2401, 12, 18, 0),
    (0x1C01, 13, 20, 0),
    (0x1601, 29, 21, 0),
    (0x5601, 15, 14, 1),
    (0x5401, 16, 14, 0),
    (0x5101, 17, 15, 0),
    (0x4801, 18, 16, 0),
    (0x3801, 19, 17, 0),
    (0x3401, 20, 18, 0),
    (0x3001, 21, 19, 0),
    (0x2801, 22, 19, 0),
    (0x2401, 23, 20, 0),
    (0x2201, 24, 21, 0),
    (0x1C01, 25, 22, 0),
    (0x1801, 26, 23, 0),
    (0x1601, 27, 24, 0),
    (0x1401, 28, 25, 0),
    (0x1201, 29, 26, 0),
    (0x1101, 30, 27, 0),
    (0x0AC1, 31, 28, 0),
    (0x09C1, 32, 29, 0),
    (0x08A1, 33, 30, 0),
    (0x0521, 34, 31, 0),
    (0x0441, 35, 32, 0),
    (0x02A1, 36, 33, 0),
    (0x0221, 37, 34, 0),
    (0x0141, 38, 35, 0),
    (0x0111, 39, 36, 0),
    (0x0085, 40, 37, 0),
    (0x0049, 41, 38, 0),
    (0x0025, 42, 39, 0),
    (0x0015, 43, 40, 0),
    (0x0009, 44, 41, 0),
    (0x0005, 45, 42, 0),
    (0x0001, 45, 43, 0),
    (0x5601, 46, 46, 0),
];

/// A state in one word: Qe at the place where it is compared, from bit 12 how far an interval of Qe must be
/// shifted, from bit 5 the state's number, and the likelier symbol twice below: once to be read, once as part
/// of the number by which [`TURNS`] is asked.
const fn word(state: u32, likely: u32) -> u64 {
    let qe = STATES[state as usize].0;
    let rest = ((qe.leading_zeros() - 16) << 12) | (state << 5) | (likely << 4) | likely;
    (qe as u64) << UNIT | rest as u64
}

/// What to turn in a state's word, by its number and symbol: to have the state after the likelier symbol,
/// and from there to the one after the other. Both are at hand before it is known which came.
const TURNS: [[u64; 2]; 128] = {
    let mut turns = [[0; 2]; 128];
    let mut at = 0;
    while at < 2 * STATES.len() {
        let (state, likely) = (at / 2, (at % 2) as u32);
        let (_, after_likely, after_other, changes) = STATES[state];
        let after = word(after_likely, likely);
        turns[at] = [
            word(state as u32, likely) ^ after,
            after ^ word(after_other, likely ^ changes),
        ];
        at += 1;
    }
    turns
};

/// The lowest of the sixteen bits that are compared; those below were fetched ahead.
const UNIT: u32 = 47;
/// Where Qe stands in a state's word.
const QE: u64 = 0xFFFF << UNIT;
/// The interval is doubled until it is at least this long.
const LEAST: u64 = 1 << 62;

/// The decoder's registers. Small and copied, so that a pass keeps them in the processor's.
#[derive(Clone, Copy)]
pub(super) struct Mq {
    interval: u64,
    code: u64,
    /// Bits fetched ahead; negative for an instant between a shift and the bytes that follow.
    ahead: i32,
}

/// The bytes and where they are being read.
#[derive(Clone, Copy)]
pub(super) struct Supply<'a> {
    bytes: &'a [u8],
    at: usize,
    after_ff: bool,
}

/// What is asked for seldom, or by place: kept apart from the registers.
pub(super) struct Memory<'a> {
    pub contexts: Contexts,
    pub supply: Supply<'a>,
}

type Contexts = [u64; CONTEXTS];

/// All contexts as they stand before a code-block (table D.7).
fn fresh_contexts() -> Contexts {
    let mut contexts = [word(0, 0); CONTEXTS];
    contexts[0] = word(4, 0);
    contexts[RUN] = word(3, 0);
    contexts[UNIFORM] = word(46, 0);
    contexts
}

/// A decoder before its first decision (C.3.5).
pub(super) fn start(bytes: &[u8]) -> (Mq, Memory<'_>) {
    let mut memory = Memory {
        contexts: fresh_contexts(),
        supply: Supply {
            bytes,
            at: 0,
            after_ff: false,
        },
    };
    // The first byte lies one bit below the top of the sixteen.
    let (code, ahead) = refilled(0, -15, &mut memory.supply);
    let mq = Mq {
        interval: LEAST,
        code,
        ahead,
    };
    (mq, memory)
}

impl Mq {
    /// One decision (C.3.2), 0 or 1.
    #[inline(always)]
    pub fn decide(&mut self, memory: &mut Memory<'_>, context: usize) -> u32 {
        let Memory { contexts, supply } = memory;
        self.decide_in(supply, &mut contexts[context & (CONTEXTS - 1)])
    }

    /// One decision in the context whose state is given: figures C.15 to C.17 without branches, as none of
    /// their questions can be foretold in the noise that most of a film's bits are.
    #[inline(always)]
    pub fn decide_in(&mut self, supply: &mut Supply<'_>, state: &mut u64) -> u32 {
        let word = *state;
        let [likely, other] = TURNS[(word >> 4 & 0x7F) as usize];
        let qe = word & QE;
        let above = self.interval.wrapping_sub(qe);
        let left = self.code.wrapping_sub(qe);
        // All ones where the less likely symbol came: the code value lies below, or the interval left above is
        // shorter than Qe and both change places, but not both.
        let less_likely = (left ^ above.wrapping_sub(qe)) as i64 >> 63;
        // All ones where the interval must be lengthened; only then a state changes.
        let lengthened = (left | above.wrapping_sub(LEAST)) as i64 >> 63;
        let turn = likely ^ (other & less_likely as u64);
        *state = word ^ (turn & lengthened as u64);
        // What is left above Qe is at least a quarter of the full interval: by its two highest bits it is
        // shifted by 2, 1, 0 or 0.
        let above_shift = 0b0000_0110_u32.wrapping_shr((above >> 60) as u32 & 6) & 3;
        let below = (left as i64) < 0;
        let code = select_unpredictable(below, self.code, left);
        let interval = select_unpredictable(below, qe, above);
        let shift = select_unpredictable(below, (word >> 12) as u32, above_shift);
        self.interval = interval.wrapping_shl(shift);
        self.code = code.wrapping_shl(shift);
        self.ahead = self.ahead.wrapping_sub(shift as i32);
        if self.ahead < 0 {
            (self.code, self.ahead) = refilled(self.code, self.ahead, supply);
        }
        (word as u32 ^ less_likely as u32) & 1
    }
}

/// As many bytes as there is room for (C.3.4). The bit stuffed after 0xFF may carry into it, which is why
/// bytes are added; behind a marker, or the end, ones are fed.
#[inline(never)]
fn refilled(mut code: u64, mut ahead: i32, supply: &mut Supply<'_>) -> (u64, i32) {
    // Mostly four bytes can be had at once.
    let next = supply
        .bytes
        .get(supply.at..)
        .and_then(|b| b.first_chunk::<4>());
    if let Some(four) = next.filter(|four| !supply.after_ff && !four.contains(&0xFF)) {
        let value = u64::from(u32::from_be_bytes(*four));
        // There is room for that: nothing is ahead when this is called.
        code = code.wrapping_add(value.wrapping_shl((UNIT as i32 - 32 - ahead) as u32));
        ahead = ahead.wrapping_add(32);
        supply.at = supply.at.wrapping_add(4);
    }
    while ahead <= UNIT as i32 - 8 {
        let byte = supply.bytes.get(supply.at).copied().unwrap_or(0xFF);
        let ended = supply.after_ff && byte > 0x8F;
        let (value, width) = match (ended, supply.after_ff) {
            (true, _) => (0xFF, 8),
            (false, true) => (byte, 7),
            (false, false) => (byte, 8),
        };
        if !ended {
            supply.at = supply.at.wrapping_add(1);
            supply.after_ff = byte == 0xFF;
        }
        let place = (UNIT as i32).wrapping_sub(ahead).wrapping_sub(width) as u32;
        code = code.wrapping_add(u64::from(value).wrapping_shl(place));
        ahead = ahead.wrapping_add(width);
    }
    (code, ahead)
}

//! One code-block: bit-planes in three passes (T.800 annex D).
//!
//! Four samples above each other share a word of flags: which of the eighteen around them are
//! significant, the signs of those above, among and below them, which were refined and which were
//! visited in this plane.

use super::contexts::{Kind, SIGN_CONTEXTS, zero_contexts_of};
use super::mq::{self, AGAIN, Memory, Mq, RUN, UNIFORM};

/// Significance of the 3 × 6 samples around a column of four, row by row from the upper left: bit
/// `3·row + column`. The column's own samples are the middle ones of rows 1 to 4.
const OWN: u32 = 1 << 4;
const WEST: u32 = 1 << 3;
const EAST: u32 = 1 << 5;
/// The eight around the column's first sample.
const AROUND: u32 = 0x1EF;
/// Signs: of the sample above the column, of its first and (three bits each further) next ones, of the one
/// below.
const SIGN_ABOVE: u32 = 18;
const SIGN: u32 = 19;
const SIGN_BELOW: u32 = 31;
const REFINED: u32 = 1 << 20;
const VISITED: u32 = 1 << 21;
const ALL_VISITED: u32 = VISITED | VISITED << 3 | VISITED << 6 | VISITED << 9;

/// One bit for each of the column's samples, three bits apart.
const EACH: u32 = 0o1111;
/// The last of them.
const LAST: u32 = 9;

/// Which of the column's samples are significant.
#[inline(always)]
fn significant(flags: u32) -> u32 {
    flags >> 4 & EACH
}

/// Which of them have been visited in this plane.
#[inline(always)]
fn visited(flags: u32) -> u32 {
    flags >> 21 & EACH
}

/// Which of them have been refined.
#[inline(always)]
fn refined(flags: u32) -> u32 {
    flags >> 20 & EACH
}

/// Which of them have a significant one around them.
#[inline(always)]
fn touched(flags: u32) -> u32 {
    let any_of_row = flags | flags >> 1 | flags >> 2;
    let beside = flags >> 3 | flags >> 5;
    (any_of_row | any_of_row >> 6 | beside) & EACH
}

/// Four samples above each other: magnitude with half a step below, the sign in the top bit.
pub(super) type Column = [u32; 4];
pub(super) const NEGATIVE: u32 = 1 << 31;
/// More planes than this do not fit a [`Column`].
pub(super) const MOST_PLANES: u32 = 29;

/// Room for one code-block after the other.
#[derive(Default)]
pub(super) struct Coder {
    /// A column more on either side, a stripe more above and below.
    flags: Vec<u32>,
    columns: Vec<Column>,
    width: usize,
    height: usize,
}

/// What a pass needs beside the flags. The decoder's registers are handed along beside it, so that they
/// stay in the processor's.
struct Pass<'a> {
    memory: Memory<'a>,
    zero: &'static [u8; 512],
    /// One in this plane, with half a step below it.
    one: u32,
}

/// Three stripes of flags: above, the one being read, below.
struct Stripes<'a> {
    above: &'a mut [u32],
    here: &'a mut [u32],
    below: &'a mut [u32],
}

impl Stripes<'_> {
    /// Tells the neighbours of a sample of column `x` that it is significant; `flags` are its own column's.
    #[inline(always)]
    fn mark(&mut self, flags: &mut u32, x: usize, at: u32, negative: u32) {
        let around = |row: &mut [u32], west: u32, middle: u32, east: u32| {
            if let Some([w, m, e]) = row.get_mut(x - 1..x + 2) {
                *w |= west;
                *m |= middle;
                *e |= east;
            }
        };
        around(self.here, EAST << at, 0, WEST << at);
        *flags |= (OWN | negative << SIGN) << at;
        if at == 0 {
            let middle = 1 << 16 | negative << SIGN_BELOW;
            around(self.above, 1 << 17, middle, 1 << 15);
        }
        if at == LAST {
            let middle = 1 << 1 | negative << SIGN_ABOVE;
            around(self.below, 1 << 2, middle, 1 << 0);
        }
    }

    /// Where to look for the sign's context (D.3.2): an index into [`SIGN_CONTEXTS`].
    #[inline(always)]
    fn signs(&self, flags: u32, x: usize, at: u32) -> usize {
        let beside = |x: usize| self.here.get(x).copied().unwrap_or(0) >> (SIGN + at) & 1;
        // The sign above the column stands apart from those within.
        let north = flags >> (SIGN - 3 + at + 2 * u32::from(at == 0)) & 1;
        let south = flags >> (SIGN + 3 + at) & 1;
        let significant = flags >> at & 0xAA;
        (significant | beside(x - 1) | beside(x + 1) << 2 | north << 4 | south << 6) as usize
    }
}

impl Pass<'_> {
    /// D.3.1: does the sample become significant?
    #[inline(always)]
    fn asks(&mut self, mq: &mut Mq, flags: u32, at: u32) -> bool {
        let around = (flags >> at & AROUND) as usize & 0x1FF;
        mq.decide(&mut self.memory, usize::from(self.zero[around])) == 1
    }

    /// D.3.2: it does; its sign follows.
    #[inline(always)]
    fn found(
        &mut self,
        mq: &mut Mq,
        stripes: &mut Stripes<'_>,
        flags: &mut u32,
        column: &mut Column,
        (x, at): (usize, u32),
    ) {
        // Mostly a sample does not; the processor's registers are for that case.
        std::hint::cold_path();
        let entry = SIGN_CONTEXTS[stripes.signs(*flags, x, at) & 0xFF];
        let turned = u32::from(entry >> 7);
        let negative = mq.decide(&mut self.memory, usize::from(entry & 0x7F)) ^ turned;
        column[row(at)] = self.one | self.one >> 1 | negative << 31;
        stripes.mark(flags, x, at, negative);
    }
}

/// The sample's number in its column: 0, 1, 2 or 3 for 0, 3, 6 or 9.
#[inline(always)]
fn row(at: u32) -> usize {
    ((at * 3) >> 3) as usize & 3
}

/// Takes the lowest of the samples out of those wanted.
#[inline(always)]
fn next(wanted: &mut u32) -> u32 {
    let at = wanted.trailing_zeros() % 32;
    *wanted &= wanted.wrapping_sub(1);
    at
}

impl Coder {
    /// Decodes the given passes of a block of `width` × `height` from its highest plane down.
    pub fn decode(
        &mut self,
        bytes: &[u8],
        (width, height): (usize, usize),
        kind: Kind,
        planes: u32,
        passes: u32,
    ) {
        let stripes = height.div_ceil(4);
        (self.width, self.height) = (width, height);
        self.flags.clear();
        self.flags.resize((width + 2) * (stripes + 2), 0);
        self.columns.clear();
        self.columns.resize(width * stripes, [0; 4]);
        let (mut mq, memory) = mq::start(bytes);
        let mut pass = Pass {
            memory,
            zero: zero_contexts_of(kind),
            one: 0,
        };
        let mut plane = planes;
        // The highest plane has a clean-up pass only (D.3).
        for number in 2..passes + 2 {
            if number % 3 == 0 || number == 2 {
                plane = plane.saturating_sub(1);
                pass.one = 2 << plane.min(MOST_PLANES);
            }
            match number % 3 {
                0 => self.propagate(&mut pass, &mut mq),
                1 => self.refine(&mut pass, &mut mq),
                _ => self.clean(&mut pass, &mut mq),
            }
        }
    }

    /// The decoded columns of each stripe, from the top.
    pub fn stripes(&self) -> impl Iterator<Item = &[Column]> {
        self.columns.chunks_exact(self.width.max(1))
    }

    /// The stripes from the top, and which samples of a column there are.
    fn each_stripe(&mut self, mut work: impl FnMut(&mut Stripes<'_>, &mut [Column], u32)) {
        let row = self.width + 2;
        let columns = self.columns.chunks_exact_mut(self.width.max(1));
        for (stripe, columns) in columns.enumerate() {
            let there = EACH >> (12 - 3 * (self.height - 4 * stripe).min(4));
            let Some(flags) = self.flags.get_mut(stripe * row..(stripe + 3) * row) else {
                return;
            };
            let (above, flags) = flags.split_at_mut(row);
            let (here, below) = flags.split_at_mut(row);
            work(&mut Stripes { above, here, below }, columns, there);
        }
    }

    /// D.3.1: the first bit of samples with a significant neighbour.
    fn propagate(&mut self, pass: &mut Pass<'_>, registers: &mut Mq) {
        self.each_stripe(|stripes, columns, there| {
            let mut mq = *registers;
            for (i, column) in columns.iter_mut().enumerate() {
                let x = i + 1;
                let mut flags = stripes.here[x];
                let mut wanted = touched(flags) & !significant(flags) & there;
                if wanted == 0 {
                    continue;
                }
                while wanted != 0 {
                    let at = next(&mut wanted);
                    if pass.asks(&mut mq, flags, at) {
                        pass.found(&mut mq, stripes, &mut flags, column, (x, at));
                        // Now the one below has a significant neighbour, if there is one.
                        wanted |= 8 << at & !significant(flags) & there;
                    }
                    flags |= VISITED << at;
                }
                stripes.here[x] = flags;
            }
            *registers = mq;
        });
    }

    /// D.3.3: one bit more of samples that became significant in an earlier plane.
    fn refine(&mut self, pass: &mut Pass<'_>, registers: &mut Mq) {
        self.each_stripe(|stripes, columns, _| {
            let mut mq = *registers;
            let one = pass.one;
            let take = |sample: &mut u32, bit: u32| {
                *sample = sample
                    .wrapping_sub(one >> 1)
                    .wrapping_add(one & bit.wrapping_neg());
            };
            let memory = &mut pass.memory;
            for (place, column) in stripes.here[1..].iter_mut().zip(columns) {
                let flags = *place;
                let mut wanted = significant(flags) & !visited(flags);
                // Below the first few planes most columns are of the second kind.
                if wanted == 0 {
                    continue;
                }
                if wanted & refined(flags) == EACH {
                    let mut state = memory.contexts[AGAIN];
                    for sample in column {
                        take(sample, mq.decide_in(&mut memory.supply, &mut state));
                    }
                    memory.contexts[AGAIN] = state;
                    continue;
                }
                *place = flags | wanted << REFINED.trailing_zeros();
                while wanted != 0 {
                    let at = next(&mut wanted);
                    // Table D.4: with nothing around it, with something, refined before.
                    let alone = usize::from(flags & AROUND << at == 0);
                    let before = flags & REFINED << at != 0;
                    let context = if before { AGAIN } else { AGAIN - 1 - alone };
                    take(&mut column[row(at)], mq.decide(memory, context));
                }
            }
            *registers = mq;
        });
    }

    /// D.3.4: the first bit of whatever neither pass visited.
    fn clean(&mut self, pass: &mut Pass<'_>, registers: &mut Mq) {
        self.each_stripe(|stripes, columns, there| {
            let mut mq = *registers;
            for (i, column) in columns.iter_mut().enumerate() {
                let x = i + 1;
                let mut flags = stripes.here[x];
                let mut wanted = !significant(flags) & !visited(flags) & there;
                // Four with nothing around them share one decision; then the first significant one is told.
                if flags == 0 && there == EACH {
                    if mq.decide(&mut pass.memory, RUN) == 0 {
                        continue;
                    }
                    let first = mq.decide(&mut pass.memory, UNIFORM) << 1;
                    let at = 3 * (first | mq.decide(&mut pass.memory, UNIFORM));
                    pass.found(&mut mq, stripes, &mut flags, column, (x, at));
                    wanted = EACH & !0 << (at + 3);
                }
                while wanted != 0 {
                    let at = next(&mut wanted);
                    if pass.asks(&mut mq, flags, at) {
                        pass.found(&mut mq, stripes, &mut flags, column, (x, at));
                    }
                }
                stripes.here[x] = flags & !ALL_VISITED;
            }
            *registers = mq;
        });
    }
}

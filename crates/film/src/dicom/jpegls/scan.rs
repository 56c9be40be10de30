//! One line of a JPEG-LS scan after the other (T.87 A.3 to A.7). Letters are the standard's.
//!
//! Two thirds of a pixel's context lie in the line above, which is known: they are worked out for a
//! whole line at once, and kept beside the sample above. A context keeps the code length it will need next, so that only its place has to
//! be waited for.

use super::Coding;
use super::bits::{Bits, Fault};

/// A place of the line: the sample above until it is read, its own afterwards.
#[derive(Debug, Clone, Copy, Default)]
struct Place {
    sample: u16,
    /// The part of the context's number that the line above decides.
    known: i16,
}

/// The line above, overwritten from left to right by the one being read.
pub(super) struct Line {
    places: Vec<Place>,
    /// What lies over the left border: beside the line being read and beside the one above (A.2.1).
    border: i32,
    border_above: i32,
}

impl Line {
    pub fn new(width: usize) -> Line {
        Line {
            places: vec![Place::default(); width],
            border: 0,
            border_above: 0,
        }
    }

    /// Works out what the line above decides.
    pub fn start(&mut self, coding: &Coding) {
        self.border_above = self.border;
        self.border = self.places.first().map_or(0, |p| i32::from(p.sample));
        // The region of the gradient from the left, which was the one to the right a place before.
        let mut left = coding.region(self.border.wrapping_sub(self.border_above));
        let cells = std::cell::Cell::from_mut(self.places.as_mut_slice()).as_slice_of_cells();
        for pair in cells.windows(2) {
            let (here, right) = (pair[0].get(), pair[1].get());
            let region =
                coding.region(i32::from(right.sample).wrapping_sub(i32::from(here.sample)));
            let known = region.wrapping_mul(81).wrapping_add(left.wrapping_mul(9)) as i16;
            pair[0].set(Place { known, ..here });
            left = region;
        }
        // Over the right border the last sample is repeated: no gradient.
        if let Some(last) = self.places.last_mut() {
            last.known = left.wrapping_mul(9) as i16;
        }
    }

    pub fn samples(&self) -> impl Iterator<Item = u16> {
        self.places.iter().map(|place| place.sample)
    }
}

/// The two neighbours that move along: left and above left.
#[derive(Debug, Clone, Copy)]
struct Beside {
    ra: i32,
    rc: i32,
}

/// What one context has learnt.
#[derive(Debug, Clone, Copy)]
struct Context {
    a: i64,
    b: i32,
    c: i32,
    n: i32,
    /// The Golomb parameter that `a` and `n` ask for (not kept for run interruptions).
    k: u32,
}

/// A.5.1: the least k with `n·2^k ≥ a`, looked for from the one before: it seldom moves.
#[inline(always)]
fn golomb_parameter(n: i32, a: i64, mut k: u32) -> u32 {
    let n = i64::from(n);
    let enough = |k: u32| n.wrapping_shl(k) >= a;
    while !enough(k) {
        k = k.wrapping_add(1);
    }
    while k > 0 && enough(k.wrapping_sub(1)) {
        k = k.wrapping_sub(1);
    }
    k
}

/// A.7.1: lengths of runs, as powers of two.
const J: [u32; 32] = [
    0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 9, 10, 11, 12, 13,
    14, 15,
];

/// Contexts by number, 365 of them, and room so that nine bits never point outside.
const PLACES: usize = 512;

pub(super) struct Scan {
    coding: Coding,
    limit: u32,
    qbpp: u32,
    contexts: Box<[Context; PLACES]>,
    /// The two contexts of run interruptions: a and n as above, b counts negative errors.
    interruptions: [Context; 2],
    run_index: usize,
}

impl Scan {
    pub fn new(coding: Coding) -> Scan {
        let range = coding.range();
        let bits_for = |values: i32| 32 - (values - 1).max(0).leading_zeros();
        let bpp = bits_for(coding.max + 1).max(2);
        let a = i64::from(((range + 32) / 64).max(2));
        let first = Context {
            a,
            b: 0,
            c: 0,
            n: 1,
            k: golomb_parameter(1, a, 0),
        };
        Scan {
            coding,
            limit: 2 * (bpp + bpp.max(8)),
            qbpp: bits_for(range),
            contexts: Box::new([first; PLACES]),
            interruptions: [first; 2],
            run_index: 0,
        }
    }

    /// `WRAPS`: see [`Coding::wraps`].
    pub fn line<const WRAPS: bool>(
        &mut self,
        bits: &mut Bits<'_>,
        line: &mut Line,
    ) -> Result<(), Fault> {
        let mut beside = Beside {
            ra: line.border,
            rc: line.border_above,
        };
        let mut left = line.places.as_mut_slice();
        while !left.is_empty() {
            let read;
            (read, beside) = self.stretch::<WRAPS>(bits, left, beside)?;
            left = left.get_mut(read..).unwrap_or_default();
            if !left.is_empty() {
                let read;
                (read, beside) = self.run(bits, left, beside.ra)?;
                left = left.get_mut(read..).unwrap_or_default();
            }
        }
        Ok(())
    }

    /// Reads up to where a run begins (A.4 to A.6); hands back how many places that were.
    #[inline(always)]
    fn stretch<const WRAPS: bool>(
        &mut self,
        bits: &mut Bits<'_>,
        places: &mut [Place],
        beside: Beside,
    ) -> Result<(usize, Beside), Fault> {
        let coding = self.coding;
        let (escape, qbpp) = (self.limit.saturating_sub(self.qbpp + 1), self.qbpp);
        let contexts: &mut [Context; PLACES] = &mut self.contexts;
        let Beside { mut ra, mut rc } = beside;
        let mut reader = *bits;
        let (mut passed, mut fault) = (0_usize, None);
        for place in places {
            let rb = i32::from(place.sample);
            let number = i32::from(place.known).wrapping_add(coding.region(rc.wrapping_sub(ra)));
            if number == 0 {
                break;
            }
            // -1 for a context whose mirror is kept, else 0.
            let sign = number >> 31;
            let context = &mut contexts[turn(number, sign) as usize & (PLACES - 1)];
            // A.4.1: the middle one of the three.
            let (low, high) = (ra.min(rb), ra.max(rb));
            let median = ra.wrapping_add(rb).wrapping_sub(rc).max(low).min(high);
            let predicted = median.wrapping_add(turn(context.c, sign));
            let predicted = predicted.max(0).min(coding.max);
            let k = context.k;
            let mapped = match reader.golomb(k, escape, qbpp) {
                Ok(mapped) => mapped,
                Err(found) => {
                    fault = Some(found);
                    break;
                }
            };
            // A.5.2: even codes are errors from 0 up, odd ones from -1 down, or turned.
            let turned = (WRAPS || coding.near == 0)
                && k == 0
                && context.b.wrapping_mul(2) <= context.n.wrapping_neg();
            let flip = ((mapped & 1) ^ u32::from(turned)).wrapping_neg();
            let error = ((mapped >> 1) ^ flip) as i32;
            ra = coding.sample::<WRAPS>(predicted, turn(error, sign));
            place.sample = ra as u16;
            rc = rb;
            let step = if WRAPS { 1 } else { coding.step() };
            learn(context, error, step, coding.reset);
            passed = passed.wrapping_add(1);
        }
        *bits = reader;
        fault.map_or(Ok((passed, Beside { ra, rc })), Err)
    }

    /// A.7: a run of like samples, and the sample that ends it. Hands back how many places that were.
    fn run(
        &mut self,
        bits: &mut Bits<'_>,
        places: &mut [Place],
        value: i32,
    ) -> Result<(usize, Beside), Fault> {
        let width = places.len();
        let fill = |run: Option<&mut [Place]>| {
            let run = run.unwrap_or_default();
            run.iter_mut().for_each(|place| place.sample = value as u16);
        };
        let mut x = 0;
        while bits.take(1)? == 1 {
            let length = 1_usize << J[self.run_index];
            let end = (x + length).min(width);
            fill(places.get_mut(x..end));
            if x + length <= width {
                self.run_index = (self.run_index + 1).min(31);
            }
            x = end;
            if x == width {
                // The next place is over the border; nothing is asked of what lies beside it.
                return Ok((
                    x,
                    Beside {
                        ra: value,
                        rc: value,
                    },
                ));
            }
        }
        let end = x + bits.take(J[self.run_index])? as usize;
        fill(places.get_mut(x..end));
        let Some(place) = places.get_mut(end) else {
            return Err("a run beyond the end of its line");
        };
        let rb = i32::from(place.sample);
        let ra = self.interruption(bits, value, rb)?;
        place.sample = ra as u16;
        self.run_index = self.run_index.saturating_sub(1);
        Ok((end + 1, Beside { ra, rc: rb }))
    }

    /// A.7.2.
    fn interruption(&mut self, bits: &mut Bits<'_>, ra: i32, rb: i32) -> Result<i32, Fault> {
        let alike = (ra - rb).abs() <= self.coding.near;
        let kind = i32::from(alike);
        let mut context = self.interruptions[usize::from(alike)];
        let (predicted, sign) = match (alike, ra > rb) {
            (true, _) => (ra, 1),
            (false, true) => (rb, -1),
            (false, false) => (rb, 1),
        };
        let wanted = context.a + i64::from(kind * (context.n >> 1));
        let k = golomb_parameter(context.n, wanted, 0);
        let limit = self.limit.saturating_sub(J[self.run_index] + 1);
        let escape = limit.saturating_sub(self.qbpp + 1);
        let coded = bits.golomb(k, escape, self.qbpp)? as i32;
        let doubled = coded + kind;
        let odd = doubled & 1;
        let size = (doubled + odd) / 2;
        let mostly_negative = k != 0 || 2 * context.b >= context.n;
        let error = if mostly_negative == (odd == 1) {
            -size
        } else {
            size
        };
        if error < 0 {
            context.b += 1;
        }
        context.a += i64::from((coded + 1 - kind) >> 1);
        if context.n >= self.coding.reset {
            context.a >>= 1;
            context.b >>= 1;
            context.n >>= 1;
        }
        context.n += 1;
        self.interruptions[usize::from(alike)] = context;
        Ok(self.coding.sample::<false>(predicted, sign * error))
    }
}

/// The value with its sign turned where `sign` is -1, as it is where it is 0.
#[inline(always)]
fn turn(value: i32, sign: i32) -> i32 {
    (value ^ sign).wrapping_sub(sign)
}

/// A.6.1 and A.6.2. Which way the bias goes cannot be foretold, so nothing here jumps over it.
/// Sums wrap silently: an error is at most 2^16, `n` at most 2^16, and `a` has 64 bits for them.
#[inline(always)]
fn learn(context: &mut Context, error: i32, step: i32, reset: i32) {
    let Context { a, b, c, n, k } = *context;
    let halve = u32::from(n >= reset);
    let a = a
        .wrapping_add(i64::from(error.unsigned_abs()))
        .wrapping_shr(halve);
    let b = b.wrapping_add(error.wrapping_mul(step)).wrapping_shr(halve);
    let n = n.wrapping_shr(halve).wrapping_add(1);
    let (low, high) = (b <= n.wrapping_neg(), b > 0);
    let below = b.wrapping_add(n).max(1_i32.wrapping_sub(n));
    let over = b.wrapping_sub(n).min(0);
    let b = if low { below } else { b };
    let b = if high { over } else { b };
    let c = c.wrapping_sub(i32::from(low)).wrapping_add(i32::from(high));
    *context = Context {
        a,
        b,
        c: c.clamp(-128, 127),
        n,
        k: golomb_parameter(n, a, k),
    };
}

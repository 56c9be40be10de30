//! JPEG-LS (ITU-T T.87), one grey component, lossless or near-lossless.
//!
//! Our own decoder because films come from outside: the common C++ one was seen to count past the end
//! of a damaged film for seconds (an unbounded unary code). Here every code is bounded by the
//! standard's own LIMIT, and nothing is indexed beyond what was read. Letters are the standard's.

use super::codestream::Head;

/// Samples of a JPEG-LS stream, row by row.
///
/// # Errors
/// What was found, in words that complete "the picture data are damaged (…)".
pub(super) fn decode(stream: &[u8], head: Head) -> Result<Vec<u16>, String> {
    let (coding, scan_at) = read_markers(stream, head)?;
    let (width, height) = (head.width as usize, head.height as usize);
    let mut bits = Bits::new(stream.get(scan_at..).unwrap_or_default());
    let mut state = State::new(coding);
    let mut out = Vec::with_capacity(width * height);
    // One place before the line and one behind it (A.2.1: what lies over the border).
    let mut above = vec![0_i32; width + 2];
    let mut line = vec![0_i32; width + 2];
    for y in 0..height {
        line[0] = above[1];
        above[width + 1] = above[width];
        state
            .line(&mut bits, &above, &mut line, width)
            .map_err(|e| format!("line {y}: {e}"))?;
        out.extend(line[1..=width].iter().map(|v| *v as u16));
        std::mem::swap(&mut above, &mut line);
    }
    Ok(out)
}

/// Parameters of a scan (C.2.3, C.2.4.1).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Coding {
    max: i32,
    near: i32,
    t: [i32; 3],
    reset: i64,
}

/// The parameters, and where the coded data start.
fn read_markers(stream: &[u8], head: Head) -> Result<(Coding, usize), String> {
    let word = |at: usize| {
        stream
            .get(at..)
            .and_then(|b| b.first_chunk::<2>())
            .map(|b| i32::from(u16::from_be_bytes(*b)))
    };
    let short = || "a marker is cut off".to_owned();
    let mut preset = [0_i32; 5];
    let mut at = 2;
    loop {
        let marker = word(at).ok_or_else(short)?;
        match marker {
            0xFFFF => {
                at += 1;
                continue;
            }
            0xFFF8 if stream.get(at + 4) == Some(&1) => {
                for (i, p) in preset.iter_mut().enumerate() {
                    *p = word(at + 5 + 2 * i).ok_or_else(short)?;
                }
            }
            0xFFF8 => return Err("mapping tables, which no grey film has".to_owned()),
            0xFFDD => return Err("restart intervals, which are not read".to_owned()),
            0xFFDA => break,
            0xFF00..=0xFFFE => {}
            _ => return Err("no marker where one belongs".to_owned()),
        }
        at += 2 + word(at + 2).ok_or_else(short)?.max(2) as usize;
    }
    // Ls, Ns, (Cs, Tm), NEAR, ILV, point transform.
    let byte = |i: usize| stream.get(at + i).copied().map(i32::from).ok_or_else(short);
    let (components, mapping, near, transform) = (byte(4)?, byte(6)?, byte(7)?, byte(9)?);
    if components != 1 || mapping != 0 || transform != 0 {
        return Err("several components, a mapping table or a point transform".to_owned());
    }
    let after = at + 2 + word(at + 2).ok_or_else(short)?.max(2) as usize;
    Ok((Coding::new(head.precision, preset, near)?, after))
}

impl Coding {
    fn new(precision: u16, preset: [i32; 5], near: i32) -> Result<Coding, String> {
        if !(2..=16).contains(&precision) {
            return Err(format!("{precision} bits for each sample"));
        }
        let top = (1_i32 << precision) - 1;
        let max = if preset[0] == 0 { top } else { preset[0] };
        if max > top || near > (max / 2).min(255) {
            return Err(format!(
                "a largest value of {max} with an error of {near} in {precision} bits"
            ));
        }
        let usual = usual_thresholds(max, near);
        let mut t = [0; 3];
        let mut least = near + 1;
        for i in 0..3 {
            t[i] = if preset[i + 1] == 0 {
                usual[i]
            } else {
                preset[i + 1]
            };
            if t[i] < least || t[i] > max.max(least) {
                return Err(format!("a threshold of {}", t[i]));
            }
            least = t[i];
        }
        let reset = if preset[4] == 0 {
            64
        } else {
            i64::from(preset[4])
        };
        if reset < 3 {
            return Err(format!("a reset after {reset} samples"));
        }
        Ok(Coding {
            max,
            near,
            t,
            reset,
        })
    }

    fn step(&self) -> i32 {
        2 * self.near + 1
    }

    fn range(&self) -> i32 {
        if self.near == 0 {
            self.max + 1
        } else {
            (self.max + 2 * self.near) / self.step() + 1
        }
    }

    /// A gradient's region (A.3.3).
    fn region(&self, d: i32) -> i32 {
        let [t1, t2, t3] = self.t;
        let size = d.abs();
        let q = if size >= t3 {
            4
        } else if size >= t2 {
            3
        } else if size >= t1 {
            2
        } else {
            i32::from(size > self.near)
        };
        if d < 0 { -q } else { q }
    }

    /// Prediction plus error, brought back into range (A.4.5, A.5.4).
    fn sample(&self, predicted: i32, error: i32) -> i32 {
        let mut value = i64::from(predicted) + i64::from(error) * i64::from(self.step());
        let turn = i64::from(self.range()) * i64::from(self.step());
        if value < -i64::from(self.near) {
            value += turn;
        } else if value > i64::from(self.max + self.near) {
            value -= turn;
        }
        value.clamp(0, i64::from(self.max)) as i32
    }
}

/// Figure C.3.
fn usual_thresholds(max: i32, near: i32) -> [i32; 3] {
    let clamp = |i: i32, j: i32| if i > max || i < j { j } else { i };
    let basic = if max >= 128 {
        let factor = (max.min(4095) + 128) / 256;
        [
            factor + 2 + 3 * near,
            factor * 4 + 3 + 5 * near,
            factor * 17 + 4 + 7 * near,
        ]
    } else {
        let factor = 256 / (max + 1);
        [
            (3 / factor + 3 * near).max(2),
            (7 / factor + 5 * near).max(3),
            (21 / factor + 7 * near).max(4),
        ]
    };
    let t1 = clamp(basic[0], near + 1);
    let t2 = clamp(basic[1], t1);
    [t1, t2, clamp(basic[2], t2)]
}

/// Bits after bits; a zero is stuffed after every 0xFF byte, a marker ends them (A.1).
struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    cache: u64,
    held: u32,
    after_ff: bool,
}

/// What is wrong with the data; a plain text, so that the inner loop hands back two words.
type Fault = &'static str;

const ENDED: Fault = "the coded data end too early";

impl<'a> Bits<'a> {
    fn new(bytes: &'a [u8]) -> Bits<'a> {
        Bits {
            bytes,
            at: 0,
            cache: 0,
            held: 0,
            after_ff: false,
        }
    }

    /// Keeps at least 48 bits in hand while there are any. The cache holds them at its top.
    fn fill(&mut self) {
        while self.held <= 48 {
            let Some(byte) = self.bytes.get(self.at).copied() else {
                return;
            };
            let width = if self.after_ff {
                if byte & 0x80 != 0 {
                    return;
                }
                7
            } else {
                8
            };
            self.cache |= u64::from(byte) << (64 - width - self.held);
            self.held += width;
            self.after_ff = byte == 0xFF;
            self.at += 1;
        }
    }

    fn take(&mut self, count: u32) -> Result<u32, Fault> {
        if count == 0 {
            return Ok(0);
        }
        if self.held < count {
            self.fill();
        }
        if count > 32 || self.held < count {
            return Err(ENDED);
        }
        let value = (self.cache >> (64 - count)) as u32;
        self.cache <<= count;
        self.held -= count;
        Ok(value)
    }

    /// How many zeros before the next one; at most `most`.
    fn zeros(&mut self, most: u32) -> Result<u32, Fault> {
        let mut count = 0;
        loop {
            if self.held < 32 {
                self.fill();
            }
            let run = self.cache.leading_zeros().min(self.held);
            count += run;
            if count > most {
                return Err("a code longer than the standard allows");
            }
            if run < self.held {
                // The one itself goes too. A shift by 64 is impossible: at most 63 zeros precede it.
                self.cache = (self.cache << run) << 1;
                self.held -= run + 1;
                return Ok(count);
            }
            self.cache = 0;
            self.held = 0;
            self.fill();
            if self.held == 0 {
                return Err(ENDED);
            }
        }
    }
}

/// What one context has learnt.
#[derive(Debug, Clone, Copy)]
struct Context {
    a: i64,
    b: i64,
    c: i32,
    n: i64,
}

impl Context {
    /// The Golomb parameter (A.5.1): the least k with `n·2^k ≥ a`.
    fn k(n: i64, a: i64) -> u32 {
        if a <= n {
            return 0;
        }
        // With the same top bit, n·2^k is either enough or half of what is.
        let k = a.ilog2() - n.ilog2();
        if n << k >= a { k } else { k + 1 }
    }
}

/// A.7.1: lengths of runs, as powers of two.
const J: [u32; 32] = [
    0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 9, 10, 11, 12, 13,
    14, 15,
];

struct State {
    coding: Coding,
    limit: u32,
    qbpp: u32,
    contexts: Vec<Context>,
    /// The two contexts of run interruptions: a and n as above, b counts negative errors.
    interruptions: [Context; 2],
    run_index: usize,
}

impl State {
    fn new(coding: Coding) -> State {
        let range = coding.range();
        let bits_for = |values: i32| 32 - (values - 1).max(0).leading_zeros();
        let bpp = bits_for(coding.max + 1).max(2);
        let first = Context {
            a: i64::from(((range + 32) / 64).max(2)),
            b: 0,
            c: 0,
            n: 1,
        };
        State {
            coding,
            limit: 2 * (bpp + bpp.max(8)),
            qbpp: bits_for(range),
            contexts: vec![first; 365],
            interruptions: [first; 2],
            run_index: 0,
        }
    }

    /// One line; `above` and `line` have one place before and one behind the pixels.
    fn line(
        &mut self,
        bits: &mut Bits<'_>,
        above: &[i32],
        line: &mut [i32],
        width: usize,
    ) -> Result<(), Fault> {
        let mut x = 1;
        while x <= width {
            let (ra, rb, rc, rd) = (line[x - 1], above[x], above[x - 1], above[x + 1]);
            let q = [rd - rb, rb - rc, rc - ra].map(|d| self.coding.region(d));
            if q == [0; 3] {
                x = self.run(bits, above, line, x, width)?;
            } else {
                line[x] = self.regular(bits, q, ra, rb, rc)?;
                x += 1;
            }
        }
        Ok(())
    }

    /// A.4 to A.6.
    fn regular(
        &mut self,
        bits: &mut Bits<'_>,
        q: [i32; 3],
        ra: i32,
        rb: i32,
        rc: i32,
    ) -> Result<i32, Fault> {
        let number = 81 * q[0] + 9 * q[1] + q[2];
        let sign = if number < 0 { -1 } else { 1 };
        let index = number.unsigned_abs() as usize;
        let mut context = *self
            .contexts
            .get(index)
            .ok_or("a context beyond the last")?;
        let median = if rc >= ra.max(rb) {
            ra.min(rb)
        } else if rc <= ra.min(rb) {
            ra.max(rb)
        } else {
            ra + rb - rc
        };
        let predicted = (median + sign * context.c).clamp(0, self.coding.max);
        let k = Context::k(context.n, context.a);
        let mapped = self.golomb(bits, k, self.limit)?;
        let odd = mapped & 1 == 1;
        let half = (mapped >> 1) as i32;
        let turned = self.coding.near == 0 && k == 0 && 2 * context.b <= -context.n;
        let error = match (turned, odd) {
            (false, false) | (true, true) => half,
            (false, true) | (true, false) => -half - 1,
        };
        self.learn(&mut context, error);
        if let Some(place) = self.contexts.get_mut(index) {
            *place = context;
        }
        Ok(self.coding.sample(predicted, sign * error))
    }

    /// A.6.1 and A.6.2.
    fn learn(&self, context: &mut Context, error: i32) {
        context.b += i64::from(error) * i64::from(self.coding.step());
        context.a += i64::from(error.unsigned_abs());
        if context.n >= self.coding.reset {
            context.a >>= 1;
            context.b >>= 1;
            context.n >>= 1;
        }
        context.n += 1;
        if context.b <= -context.n {
            context.b = (context.b + context.n).max(1 - context.n);
            context.c = (context.c - 1).max(-128);
        } else if context.b > 0 {
            context.b = (context.b - context.n).min(0);
            context.c = (context.c + 1).min(127);
        }
    }

    /// A.7: a run of like samples, and the sample that ends it. Returns the next place.
    fn run(
        &mut self,
        bits: &mut Bits<'_>,
        above: &[i32],
        line: &mut [i32],
        start: usize,
        width: usize,
    ) -> Result<usize, Fault> {
        let value = line[start - 1];
        let mut x = start;
        while bits.take(1)? == 1 {
            let length = 1_usize << J[self.run_index];
            let left = width + 1 - x;
            line[x..x + length.min(left)].fill(value);
            if length <= left {
                self.run_index = (self.run_index + 1).min(31);
            }
            x += length.min(left);
            if x > width {
                return Ok(x);
            }
        }
        let length = bits.take(J[self.run_index])? as usize;
        if x + length > width {
            return Err("a run beyond the end of its line");
        }
        line[x..x + length].fill(value);
        x += length;
        line[x] = self.interruption(bits, value, above[x])?;
        self.run_index = self.run_index.saturating_sub(1);
        Ok(x + 1)
    }

    /// A.7.2.
    fn interruption(&mut self, bits: &mut Bits<'_>, ra: i32, rb: i32) -> Result<i32, Fault> {
        let alike = (ra - rb).abs() <= self.coding.near;
        let kind = i64::from(alike);
        let mut context = self.interruptions[usize::from(alike)];
        let (predicted, sign) = match (alike, ra > rb) {
            (true, _) => (ra, 1),
            (false, true) => (rb, -1),
            (false, false) => (rb, 1),
        };
        let k = Context::k(context.n, context.a + kind * (context.n >> 1));
        let coded = i64::from(self.golomb(bits, k, self.limit - J[self.run_index] - 1)?);
        let doubled = coded + kind;
        let odd = doubled & 1;
        let size = ((doubled + odd) / 2) as i32;
        let mostly_negative = k != 0 || 2 * context.b >= context.n;
        let error = if mostly_negative == (odd == 1) {
            -size
        } else {
            size
        };
        if error < 0 {
            context.b += 1;
        }
        context.a += (coded + 1 - kind) >> 1;
        if context.n >= self.coding.reset {
            context.a >>= 1;
            context.b >>= 1;
            context.n >>= 1;
        }
        context.n += 1;
        self.interruptions[usize::from(alike)] = context;
        Ok(self.coding.sample(predicted, sign * error))
    }

    /// The limited-length Golomb code (A.5.3).
    fn golomb(&self, bits: &mut Bits<'_>, k: u32, limit: u32) -> Result<u32, Fault> {
        let escape = limit.saturating_sub(self.qbpp + 1);
        let zeros = bits.zeros(escape)?;
        if zeros == escape {
            return Ok(bits.take(self.qbpp)? + 1);
        }
        if k > 24 {
            return Err("a code wider than any sample");
        }
        Ok((zeros << k) | bits.take(k)?)
    }
}

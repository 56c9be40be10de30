//! JPEG-LS (ITU-T T.87), one grey component, lossless or near-lossless.
//!
//! Our own decoder because films come from outside: the common C++ one was seen to count past the end
//! of a damaged film for seconds (an unbounded unary code). Here every code is bounded by the
//! standard's own LIMIT, and nothing is indexed beyond what was read. Letters are the standard's.

mod bits;
mod scan;

use super::codestream::Head;
use bits::Bits;
use scan::{Line, Scan};

/// Samples of a JPEG-LS stream, row by row.
///
/// # Errors
/// What was found, in words that complete "the picture data are damaged (…)".
pub(super) fn decode(stream: &[u8], head: Head) -> Result<Vec<u16>, String> {
    let (coding, scan_at) = read_markers(stream, head)?;
    let (width, height) = (head.width as usize, head.height as usize);
    let (data, coded_bits) = bits::unstuffed(stream.get(scan_at..).unwrap_or_default());
    let mut bits = Bits::new(&data, coded_bits);
    let mut scan = Scan::new(coding);
    let mut out = Vec::with_capacity(width * height);
    let mut line = Line::new(width);
    for y in 0..height {
        line.start(&coding);
        // A lossless scan of whole bits, which nearly every film is, needs no division of its range.
        let done = if coding.wraps() {
            scan.line::<true>(&mut bits, &mut line)
        } else {
            scan.line::<false>(&mut bits, &mut line)
        };
        // Zeros stand behind the last coded bit, so that the inner loop need not ask; what was read from
        // them is no picture.
        let done = if bits.overrun() {
            Err(bits::ENDED)
        } else {
            done
        };
        done.map_err(|fault| format!("line {y}: {fault}"))?;
        out.extend(line.samples());
    }
    Ok(out)
}

/// Parameters of a scan (C.2.3, C.2.4.1).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Coding {
    max: i32,
    near: i32,
    t: [i32; 3],
    reset: i32,
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
        let reset = if preset[4] == 0 { 64 } else { preset[4] };
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

    /// A gradient's region (A.3.3), without a branch: what lies beyond no threshold counts nothing.
    #[inline(always)]
    fn region(&self, d: i32) -> i32 {
        let [t1, t2, t3] = self.t;
        let size = d.wrapping_abs();
        // -1 where the size lies beyond: the sign bit of what is missing.
        let beyond = |t: i32| t.wrapping_sub(size) >> 31;
        let q = beyond(self.near)
            .wrapping_add(beyond(t1.wrapping_sub(1)))
            .wrapping_add(beyond(t2.wrapping_sub(1)))
            .wrapping_add(beyond(t3.wrapping_sub(1)));
        // q is negative here: turned for what is not below zero.
        let above = !(d >> 31);
        (q ^ above).wrapping_sub(above)
    }

    /// Lossless, and a range of whole bits: then a mask brings a sample back into range.
    fn wraps(&self) -> bool {
        self.near == 0 && (self.max + 1).count_ones() == 1
    }

    /// Prediction plus error, brought back into range (A.4.5, A.5.4).
    #[inline(always)]
    fn sample<const WRAPS: bool>(&self, predicted: i32, error: i32) -> i32 {
        if WRAPS {
            return predicted.wrapping_add(error) & self.max;
        }
        let mut value = predicted + error * self.step();
        let turn = self.range() * self.step();
        if value < -self.near {
            value += turn;
        } else if value > self.max + self.near {
            value -= turn;
        }
        value.clamp(0, self.max)
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

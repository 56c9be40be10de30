//! The coded bits of a JPEG-LS scan and the code they are written in (T.87 A.1, A.5.3).
//!
//! The stuffed bits are taken out once, before anything is read: then eight bytes can be fetched at a
//! time. Zeros stand behind the end; whoever reads asks [`Bits::overrun`] now and then.

/// What is wrong with the data; a plain text, so that the inner loop hands back two words.
pub(super) type Fault = &'static str;

pub(super) const ENDED: Fault = "the coded data end too early";
const TOO_LONG: Fault = "a code longer than the standard allows";
/// No sample's error is mapped beyond twice the largest range (A.5.2).
const LARGEST_CODE: u32 = 1 << 17;
const PADDING: usize = 16;

/// Bytes up to the marker that ends them, without the zero bit after each 0xFF (A.1), and how many
/// bits they are.
pub(super) fn unstuffed(bytes: &[u8]) -> (Vec<u8>, usize) {
    let mut out = Vec::with_capacity(bytes.len() + PADDING);
    // Bits at the bottom of `held` that make no whole byte yet; always fewer than eight.
    let (mut held, mut count) = (0_u32, 0_u32);
    let mut rest = bytes;
    while !rest.is_empty() {
        // Whole bytes until the next 0xFF, that byte included.
        let next = rest.iter().position(|b| *b == 0xFF);
        let (plain, after) = rest.split_at(next.map_or(rest.len(), |at| at + 1));
        match plain {
            _ if count == 0 => out.extend_from_slice(plain),
            [first, .., last] => {
                out.push(((held << 8 | u32::from(*first)) >> count) as u8);
                let both = plain.iter().zip(&plain[1..]);
                out.extend(both.map(|(a, b)| a.wrapping_shl(8 - count) | b.wrapping_shr(count)));
                held = u32::from(*last);
            }
            short => {
                for byte in short {
                    held = (held << 8) | u32::from(*byte);
                    out.push((held >> count) as u8);
                }
            }
        }
        match after.split_first() {
            Some((byte, after)) if byte & 0x80 == 0 => {
                held = (held << 7) | u32::from(*byte);
                match count {
                    0 => count = 7,
                    _ => {
                        count -= 1;
                        out.push((held >> count) as u8);
                    }
                }
                rest = after;
            }
            // A marker, or nothing: the end.
            _ => break,
        }
    }
    let bits = out.len() * 8 + count as usize;
    if count > 0 {
        out.push((held << (8 - count)) as u8);
    }
    out.extend([0; PADDING]);
    (out, bits)
}

/// Bits after bits. The cache holds the next ones at its top. Small and copied, so that a loop can keep
/// it in registers; arithmetic wraps where no value from outside can make it, which the loop would
/// otherwise ask about at every pixel.
#[derive(Clone, Copy)]
pub(super) struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    cache: u64,
    held: u32,
    end: usize,
}

impl<'a> Bits<'a> {
    /// `bytes` carry padding behind the `end`.
    pub fn new(bytes: &'a [u8], end: usize) -> Bits<'a> {
        Bits {
            bytes,
            at: 0,
            cache: 0,
            held: 0,
            end,
        }
    }

    /// Whether more was read than there was.
    pub fn overrun(&self) -> bool {
        self.at * 8 > self.end + self.held as usize
    }

    /// At least 56 bits in hand; behind the padding nothing is added.
    #[inline(always)]
    fn fill(&mut self) -> Result<(), Fault> {
        let Some(next) = self.bytes.get(self.at..).and_then(|b| b.first_chunk::<8>()) else {
            return Err(ENDED);
        };
        self.cache |= u64::from_be_bytes(*next).wrapping_shr(self.held);
        let bytes = (63 - (self.held & 63)) >> 3;
        self.at = self.at.wrapping_add(bytes as usize);
        self.held |= 56;
        // Bits below those counted came along; the next fill brings the same ones again.
        Ok(())
    }

    #[inline(always)]
    fn drop(&mut self, count: u32) {
        self.cache = self.cache.wrapping_shl(count);
        self.held = self.held.wrapping_sub(count);
    }

    /// Up to 32 bits.
    #[inline]
    pub fn take(&mut self, count: u32) -> Result<u32, Fault> {
        if self.held < 32 {
            self.fill()?;
        }
        // Two shifts, so that taking nothing is no shift by 64.
        let value = (self.cache >> 1 >> (63 - count.min(32))) as u32;
        self.drop(count.min(32));
        Ok(value)
    }

    /// The limited-length Golomb code (A.5.3): so many zeros as `escape` announce a plain number.
    #[inline(always)]
    pub fn golomb(&mut self, k: u32, escape: u32, qbpp: u32) -> Result<u32, Fault> {
        // Asking whether it is needed costs more than doing it.
        self.fill()?;
        let zeros = self.cache.leading_zeros();
        let length = zeros.wrapping_add(1).wrapping_add(k);
        if length > self.held || zeros >= escape {
            // A copy, so that only it has to lie in memory.
            let mut copy = *self;
            let code = copy.long_golomb(k, escape, qbpp);
            *self = copy;
            return code;
        }
        // The leading one stands above the k bits; it makes room for the count of zeros.
        let tail = self.cache.wrapping_shr(length.wrapping_neg()) as u32;
        self.drop(length);
        let code = tail.wrapping_add(zeros.wrapping_sub(1).wrapping_shl(k));
        if code > LARGEST_CODE {
            return Err("a code wider than any sample");
        }
        Ok(code)
    }

    /// The same where the code is longer than what is in hand, or the escape.
    #[cold]
    #[inline(never)]
    fn long_golomb(&mut self, k: u32, escape: u32, qbpp: u32) -> Result<u32, Fault> {
        let mut zeros = 0;
        while self.take(1)? == 0 {
            zeros += 1;
            if zeros > escape {
                return Err(TOO_LONG);
            }
        }
        if zeros == escape {
            return Ok(self.take(qbpp)? + 1);
        }
        if zeros > escape || k > 24 {
            return Err("a code wider than any sample");
        }
        let code = (zeros << k) | self.take(k)?;
        if code > LARGEST_CODE {
            return Err("a code wider than any sample");
        }
        Ok(code)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bits_of(bytes: &[u8]) -> Vec<u32> {
        let (data, end) = unstuffed(bytes);
        let mut bits = Bits::new(&data, end);
        (0..end).map(|_| bits.take(1).unwrap()).collect()
    }

    #[test]
    fn the_bit_stuffed_after_each_full_byte_is_taken_out() {
        let plain =
            |byte: u8, from: u32| (0..8 - from).rev().map(move |i| u32::from(byte >> i & 1));
        let wanted: Vec<u32> = plain(0xFF, 0)
            .chain(plain(0x7F, 1))
            .chain(plain(0xFF, 0))
            .chain(plain(0x01, 1))
            .chain(plain(0xA5, 0))
            .collect();
        assert_eq!(bits_of(&[0xFF, 0x7F, 0xFF, 0x01, 0xA5]), wanted);
        // A marker ends the data.
        assert_eq!(
            bits_of(&[0xFF, 0x7F, 0xFF, 0x01, 0xA5, 0xFF, 0xD9, 0x12]).len(),
            wanted.len() + 8
        );
    }

    #[test]
    fn reading_behind_the_end_is_noticed() {
        let (data, end) = unstuffed(&[0x12, 0x34]);
        let mut bits = Bits::new(&data, end);
        assert_eq!(bits.take(16), Ok(0x1234));
        assert!(!bits.overrun());
        assert_eq!(bits.take(1), Ok(0));
        assert!(bits.overrun());
        assert!((0..100).any(|_| bits.take(32).is_err()));
    }
}

//! What a compressed picture says about itself, read before a decoder is let near it: size, depth and
//! number of components must agree with the header, or nothing is allocated.
//!
//! JPEG and JPEG-LS: ITU-T T.81 B.2.2 and T.87 C.2.2 (frame header). JPEG 2000: T.800 A.5.1 (SIZ).

/// The head of a code stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Head {
    pub width: u64,
    pub height: u64,
    pub components: u16,
    pub precision: u16,
    /// JPEG 2000 only: samples are signed.
    pub signed: bool,
    /// The JPEG frame marker (0xC0 baseline, 0xC1 extended, 0xC3 lossless, 0xF7 JPEG-LS).
    pub frame: u8,
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    bytes
        .get(at..)?
        .first_chunk::<2>()
        .map(|b| u16::from_be_bytes(*b))
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes
        .get(at..)?
        .first_chunk::<4>()
        .map(|b| u32::from_be_bytes(*b))
}

/// JPEG or JPEG-LS: the first frame header.
pub(super) fn jpeg(bytes: &[u8]) -> Option<Head> {
    if u16_at(bytes, 0)? != 0xFFD8 {
        return None;
    }
    let mut at = 2;
    loop {
        if *bytes.get(at)? != 0xFF {
            return None;
        }
        let marker = *bytes.get(at + 1)?;
        match marker {
            0xFF => at += 1,
            0x01 | 0xD0..=0xD8 => at += 2,
            0xD9 | 0xDA => return None,
            0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF | 0xF7 => {
                return Some(Head {
                    precision: u16::from(*bytes.get(at + 4)?),
                    height: u64::from(u16_at(bytes, at + 5)?),
                    width: u64::from(u16_at(bytes, at + 7)?),
                    components: u16::from(*bytes.get(at + 9)?),
                    signed: false,
                    frame: marker,
                });
            }
            _ => at += 2 + usize::from(u16_at(bytes, at + 2)?),
        }
    }
}

/// Where the JPEG 2000 code stream starts (some writers wrap it in a JP2 file), and its head.
pub(super) fn jpeg2000(bytes: &[u8]) -> Option<Head> {
    // SOC followed by SIZ, at the start or inside a JP2 box near the start.
    let start = bytes
        .windows(4)
        .take(4096)
        .position(|w| w == [0xFF, 0x4F, 0xFF, 0x51])?;
    let at = start + 2;
    let (x1, y1) = (u32_at(bytes, at + 6)?, u32_at(bytes, at + 10)?);
    let (x0, y0) = (u32_at(bytes, at + 14)?, u32_at(bytes, at + 18)?);
    let depth = *bytes.get(at + 40)?;
    Some(Head {
        width: u64::from(x1.checked_sub(x0)?),
        height: u64::from(y1.checked_sub(y0)?),
        components: u16_at(bytes, at + 38)?,
        precision: u16::from(depth & 0x7F) + 1,
        signed: depth & 0x80 != 0,
        frame: 0,
    })
}

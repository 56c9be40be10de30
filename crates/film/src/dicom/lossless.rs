//! Lossless JPEG (ITU-T T.81 annex H), one grey component, Huffman coded, all seven predictors.
//!
//! Our own for speed: this is the commonest packing of archived radiographs.

use super::codestream::Head;

/// Samples of a lossless JPEG stream, row by row.
///
/// # Errors
/// What was found, in words that complete "the picture data are damaged (…)".
pub(super) fn decode(stream: &[u8], head: Head) -> Result<Vec<u16>, String> {
    let scan = Scan::read(stream)?;
    if !(2..=16).contains(&head.precision) || scan.point_transform >= u32::from(head.precision) {
        return Err(format!(
            "{} bits with a shift of {}",
            head.precision, scan.point_transform
        ));
    }
    let (width, height) = (head.width as usize, head.height as usize);
    let mut bits = Bits {
        bytes: scan.data,
        at: 0,
        cache: 0,
        held: 0,
    };
    // H.1.2.1: the first sample of a scan or restart interval is predicted as half of the range.
    let half = 1_u16 << (u32::from(head.precision) - scan.point_transform - 1);
    let mut out = vec![0_u16; width * height];
    let mut above: &[u16] = &[];
    let mut rest = out.as_mut_slice();
    for y in 0..height {
        let (line, below) = std::mem::take(&mut rest).split_at_mut(width);
        rest = below;
        // Restart intervals of whole lines alone are in use; they begin like a picture.
        let restart = scan.restart_lines(width)?;
        if restart > 0 && y > 0 && y % restart == 0 {
            bits.restart().map_err(|e| format!("line {y}: {e}"))?;
            above = &[];
        }
        scan.line(&mut bits, above, line, half)
            .map_err(|e| format!("line {y}: {e}"))?;
        above = line;
    }
    if scan.point_transform > 0 {
        out.iter_mut().for_each(|v| *v <<= scan.point_transform);
    }
    Ok(out)
}

/// What is wrong with the data; a plain text, so that the inner loop hands back two words.
type Fault = &'static str;

const ENDED: Fault = "the coded data end too early";

struct Scan<'a> {
    table: Huffman,
    predictor: u8,
    point_transform: u32,
    restart: usize,
    data: &'a [u8],
}

impl<'a> Scan<'a> {
    fn read(stream: &'a [u8]) -> Result<Scan<'a>, String> {
        let short = || "a marker is cut off".to_owned();
        let word = |at: usize| {
            stream
                .get(at..)
                .and_then(|b| b.first_chunk::<2>())
                .map(|b| u16::from_be_bytes(*b))
        };
        let mut tables: [Option<Huffman>; 4] = [None, None, None, None];
        let mut restart = 0;
        let mut at = 2;
        loop {
            let marker = word(at).ok_or_else(short)?;
            if marker == 0xFFFF {
                at += 1;
                continue;
            }
            let length = usize::from(word(at + 2).ok_or_else(short)?).max(2);
            let body = stream.get(at + 4..at + 2 + length).ok_or_else(short)?;
            match marker {
                0xFFC4 => Huffman::read_all(body, &mut tables)?,
                0xFFDD => restart = usize::from(word(at + 4).ok_or_else(short)?),
                0xFFDA => {
                    // Ns, (Cs, Td and Ta), Ss = predictor, Se, Ah and Al = point transform.
                    let [components, _, selector, predictor, _, shift, ..] = *body else {
                        return Err(short());
                    };
                    if components != 1 || !(1..=7).contains(&predictor) {
                        return Err(format!(
                            "{components} components with predictor {predictor}"
                        ));
                    }
                    let table = tables
                        .get_mut(usize::from(selector >> 4))
                        .and_then(Option::take)
                        .ok_or("a code table that was never given")?;
                    let data = stream.get(at + 2 + length..).unwrap_or_default();
                    let point_transform = u32::from(shift & 15);
                    return Ok(Scan {
                        table,
                        predictor,
                        point_transform,
                        restart,
                        data,
                    });
                }
                0xFF00..=0xFFFE => {}
                _ => return Err("no marker where one belongs".to_owned()),
            }
            at += 2 + length;
        }
    }

    fn restart_lines(&self, width: usize) -> Result<usize, String> {
        if self.restart.is_multiple_of(width) {
            Ok(self.restart / width)
        } else {
            Err("restart intervals that are no whole lines".to_owned())
        }
    }

    /// Table H.1: the predictors; the first line and the first column have their own (H.1.2.1).
    fn line(
        &self,
        bits: &mut Bits<'_>,
        above: &[u16],
        line: &mut [u16],
        half: u16,
    ) -> Result<(), Fault> {
        let mut left = above.first().copied().unwrap_or(half);
        let mut corner = left;
        let mut lines = line.iter_mut();
        if let Some(first) = lines.next() {
            left = left.wrapping_add(self.table.difference(bits)?);
            *first = left;
        }
        if above.is_empty() || self.predictor == 1 {
            for sample in lines {
                left = left.wrapping_add(self.table.difference(bits)?);
                *sample = left;
            }
            return Ok(());
        }
        for (sample, up) in lines.zip(above.iter().skip(1)) {
            let (a, b, c) = (i32::from(left), i32::from(*up), i32::from(corner));
            let predicted = match self.predictor {
                2 => b,
                3 => c,
                4 => a + b - c,
                5 => a + ((b - c) >> 1),
                6 => b + ((a - c) >> 1),
                _ => (a + b) >> 1,
            };
            // Modulo 2^16 (H.1.2.1).
            left = (predicted as u16).wrapping_add(self.table.difference(bits)?);
            *sample = left;
            corner = *up;
        }
        Ok(())
    }
}

/// A code table (annex C): for the next nine bits the length of the code and its size category;
/// longer codes by their first code of each length.
struct Huffman {
    short: Vec<(u8, u8)>,
    /// For each length: one past its largest code (left-aligned to 16 bits), and the offset of its values.
    limits: [u32; 17],
    offsets: [i32; 17],
    values: Vec<u8>,
}

const SHORT: u32 = 9;

impl Huffman {
    fn read_all(mut body: &[u8], tables: &mut [Option<Huffman>; 4]) -> Result<(), String> {
        while let Some((class, rest)) = body.split_first() {
            let Some((counts, rest)) = rest.split_first_chunk::<16>() else {
                return Err("a code table that is cut off".to_owned());
            };
            let total: usize = counts.iter().map(|n| usize::from(*n)).sum();
            let Some((values, rest)) = rest.split_at_checked(total) else {
                return Err("a code table that is cut off".to_owned());
            };
            if let Some(place) = tables.get_mut(usize::from(class & 15)) {
                *place = Some(Huffman::new(counts, values)?);
            }
            body = rest;
        }
        Ok(())
    }

    fn new(counts: &[u8; 16], values: &[u8]) -> Result<Huffman, String> {
        if values.iter().any(|v| *v > 16) {
            return Err("a difference of more than 16 bits".to_owned());
        }
        let mut table = Huffman {
            short: vec![(0, 0); 1 << SHORT],
            limits: [0; 17],
            offsets: [0; 17],
            values: values.to_vec(),
        };
        let (mut code, mut taken) = (0_u32, 0_usize);
        for (length, count) in (1_u32..).zip(counts) {
            table.offsets[length as usize] = taken as i32 - code as i32;
            for value in values.iter().skip(taken).take(usize::from(*count)) {
                if length <= SHORT {
                    let from = (code << (SHORT - length)) as usize;
                    let span = 1_usize << (SHORT - length);
                    let places = table.short.get_mut(from..from + span);
                    places
                        .ok_or("more codes than fit their length")?
                        .fill((length as u8, *value));
                }
                code += 1;
            }
            taken += usize::from(*count);
            if code > 1 << length {
                return Err("more codes than fit their length".to_owned());
            }
            table.limits[length as usize] = code << (16 - length);
            code <<= 1;
        }
        Ok(table)
    }

    /// The next difference (H.1.2.2), modulo 2^16.
    #[inline]
    fn difference(&self, bits: &mut Bits<'_>) -> Result<u16, Fault> {
        // A code and its extra bits: at most 32.
        if bits.held < 32 {
            bits.fill();
        }
        let peek = (bits.cache >> (64 - SHORT)) as usize;
        let (length, size) = match self.short.get(peek) {
            Some((length, size)) if *length > 0 => (u32::from(*length), u32::from(*size)),
            _ => self.long(bits)?,
        };
        if bits.held < length {
            return Err(ENDED);
        }
        bits.drop(length);
        match size {
            0 => Ok(0),
            16 => Ok(1 << 15),
            _ => {
                if bits.held < size {
                    return Err(ENDED);
                }
                let extra = (bits.cache >> (64 - size)) as u32;
                bits.drop(size);
                // F.2.2.1 EXTEND: a leading zero means a negative difference.
                let negative = extra >> (size - 1) == 0;
                let value = if negative {
                    extra as i32 - (1 << size) + 1
                } else {
                    extra as i32
                };
                Ok(value as u16)
            }
        }
    }

    #[cold]
    fn long(&self, bits: &Bits<'_>) -> Result<(u32, u32), Fault> {
        let next = (bits.cache >> 48) as u32;
        for length in SHORT + 1..=16 {
            if next < self.limits[length as usize] {
                let code = (next >> (16 - length)) as i32;
                let index = usize::try_from(code + self.offsets[length as usize]).ok();
                let size = index
                    .and_then(|i| self.values.get(i))
                    .ok_or("a code of no meaning")?;
                return Ok((length, u32::from(*size)));
            }
        }
        Err("a code of no meaning")
    }
}

/// Bits after bits; a zero byte is stuffed after every 0xFF, a marker ends them (F.1.2.3).
struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Filled from the top.
    cache: u64,
    held: u32,
}

impl Bits<'_> {
    #[inline]
    fn drop(&mut self, count: u32) {
        self.cache <<= count;
        self.held -= count;
    }

    #[inline]
    fn fill(&mut self) {
        // Four bytes at once where none of them is 0xFF.
        if let Some(four) = self.bytes.get(self.at..).and_then(|b| b.first_chunk::<4>())
            && !four.contains(&0xFF)
        {
            self.cache |= u64::from(u32::from_be_bytes(*four)) << (32 - self.held);
            self.held += 32;
            self.at += 4;
            return;
        }
        while self.held <= 56 {
            let (byte, taken) = match self.bytes.get(self.at..) {
                Some([0xFF, 0x00, ..]) => (0xFF, 2),
                Some([0xFF, ..] | []) | None => return,
                Some([byte, ..]) => (*byte, 1),
            };
            self.cache |= u64::from(byte) << (56 - self.held);
            self.held += 8;
            self.at += taken;
        }
    }

    /// Skips to behind the next restart marker.
    fn restart(&mut self) -> Result<(), String> {
        self.cache = 0;
        self.held = 0;
        match self.bytes.get(self.at..) {
            Some([0xFF, 0xD0..=0xD7, ..]) => {
                self.at += 2;
                Ok(())
            }
            _ => Err("no restart marker where one belongs".to_owned()),
        }
    }
}

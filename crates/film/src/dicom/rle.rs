//! RLE Lossless (DICOM PS3.5 annex G): byte planes, each packed by runs.

use crate::FilmError;

/// Unpacks `pixels` samples of `bytes_each` bytes; little-endian samples come back.
pub(super) fn unpack(
    fragment: &[u8],
    pixels: usize,
    bytes_each: usize,
) -> Result<Vec<u8>, FilmError> {
    let damaged = |found: String| FilmError::Damaged {
        found,
        expected: "RLE",
    };
    let word = |i: usize| {
        let bytes = fragment.get(i * 4..)?.first_chunk::<4>()?;
        Some(u32::from_le_bytes(*bytes) as usize)
    };
    let planes = word(0).ok_or_else(|| damaged("no segment table".to_owned()))?;
    if planes != bytes_each {
        return Err(damaged(format!(
            "{planes} byte planes where {bytes_each} belong"
        )));
    }
    let mut out = vec![0; pixels * bytes_each];
    for plane in 0..planes {
        let start = word(plane + 1).unwrap_or(0);
        let end = match word(plane + 2) {
            Some(next) if plane + 1 < planes => next,
            _ => fragment.len(),
        };
        let packed = fragment
            .get(start..end.min(fragment.len()))
            .ok_or_else(|| damaged("a byte plane that starts beyond the data".to_owned()))?;
        // The most significant byte comes first (G.2).
        let place = bytes_each - 1 - plane;
        let filled = unpack_plane(packed, &mut out, place, bytes_each);
        if filled < pixels {
            return Err(damaged(format!("{filled} of {pixels} samples")));
        }
    }
    Ok(out)
}

/// Unpacks one plane into every `step`-th byte from `place` and returns how many it filled.
fn unpack_plane(packed: &[u8], out: &mut [u8], place: usize, step: usize) -> usize {
    let wanted = out.len() / step;
    let Some(out) = out.get_mut(place..) else {
        return 0;
    };
    let mut slots = out.iter_mut().step_by(step);
    let (mut at, mut filled) = (0, 0);
    while filled < wanted {
        let Some(control) = packed.get(at) else { break };
        let control = *control as i8;
        at += 1;
        if control >= 0 {
            let count = (control as usize + 1).min(wanted - filled);
            let Some(run) = packed.get(at..(at + count).min(packed.len())) else {
                break;
            };
            slots
                .by_ref()
                .zip(run)
                .for_each(|(slot, byte)| *slot = *byte);
            filled += run.len();
            at += control as usize + 1;
        } else if control != -128 {
            let count = (1 - isize::from(control)) as usize;
            let count = count.min(wanted - filled);
            let Some(byte) = packed.get(at) else { break };
            slots.by_ref().take(count).for_each(|slot| *slot = *byte);
            filled += count;
            at += 1;
        }
    }
    filled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn literal_and_repeated_runs_come_back_in_little_endian() {
        let mut fragment = vec![0_u8; 64];
        fragment[0] = 2;
        fragment[4] = 64;
        fragment[8] = 66;
        fragment.extend([(-2_i8) as u8, 0x12]); // high byte, three times
        fragment.extend([2, 1, 2, 3]); // low bytes
        let out = unpack(&fragment, 3, 2).unwrap();
        assert_eq!(out, [1, 0x12, 2, 0x12, 3, 0x12]);
    }

    #[test]
    fn a_plane_that_runs_dry_is_refused() {
        let mut fragment = vec![0_u8; 64];
        fragment[0] = 1;
        fragment[4] = 64;
        fragment.extend([0, 7]);
        assert!(matches!(
            unpack(&fragment, 4, 1),
            Err(FilmError::Damaged { .. })
        ));
    }
}

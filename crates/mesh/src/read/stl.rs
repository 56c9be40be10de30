//! STL, text and binary: triangles without shared corners, which are joined where they agree exactly.

use super::{FARTHEST, Gathered, MOST_TRIANGLES, number_in, words_of};
use crate::MeshError;
use std::hash::{BuildHasher, RandomState};

const HEAD: usize = 84;
const FACET: usize = 50;

fn announced(bytes: &[u8]) -> Option<u64> {
    let count = bytes.get(HEAD - 4..HEAD)?.try_into().ok()?;
    Some(u64::from(u32::from_le_bytes(count)))
}

/// Are these bytes, which are no text, a binary STL, though perhaps cut off or with something behind it?
///
/// The length alone decides where it is exactly right. Otherwise the first facets must look like facets: finite
/// corners, and a normal of length 1 or 0; where not even one facet is there, the header must be plain words.
pub(super) fn looks_binary(bytes: &[u8]) -> bool {
    let Some(count) = announced(bytes) else {
        return bytes.starts_with(b"solid");
    };
    let body = &bytes[HEAD..];
    if count > 0 && body.len() as u64 == count * FACET as u64 {
        return true;
    }
    let facets = body.chunks_exact(FACET).take(20);
    if facets.len() == 0 {
        let words = |b: &u8| matches!(b, 0 | b'\t' | b'\n' | b'\r' | 32..=126);
        return bytes[..HEAD - 4].iter().all(words);
    }
    let some = facets.len();
    let sound = facets
        .filter(|f| {
            let v = numbers(f);
            let length = v[..3].iter().map(|c| f64::from(*c).powi(2)).sum::<f64>();
            v.iter().all(|c| f64::from(c.abs()) <= FARTHEST)
                && (length < 1e-6 || (length - 1.0).abs() < 0.1)
        })
        .count();
    sound * 10 >= some * 9
}

#[inline]
fn numbers(facet: &[u8]) -> [f32; 12] {
    let mut values = [0.0; 12];
    for (value, bytes) in values.iter_mut().zip(facet.chunks_exact(4)) {
        *value = f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]);
    }
    values
}

pub(super) fn binary(bytes: &[u8], gathered: &mut Gathered) -> Result<(), MeshError> {
    let Some(count) = announced(bytes) else {
        return Err(gathered.cut_off("within its header"));
    };
    let body = &bytes[HEAD..];
    let present = (body.len() / FACET) as u64;
    if present < count {
        return Err(MeshError::Truncated {
            format: gathered.format,
            present,
            announced: count,
        });
    }
    if count > MOST_TRIANGLES as u64 {
        return Err(gathered.too_large("triangles", count));
    }
    let length = count as usize * FACET;
    gathered.dropped.trailing_bytes = body.len() - length;
    let mut places = Places::new(count as usize / 2);
    for facet in body[..length].chunks_exact(FACET) {
        let v = numbers(facet);
        let a = places.of([v[3], v[4], v[5]], gathered)?;
        let b = places.of([v[6], v[7], v[8]], gathered)?;
        let c = places.of([v[9], v[10], v[11]], gathered)?;
        gathered.triangle([a, b, c])?;
    }
    Ok(())
}

pub(super) fn text(bytes: &[u8], gathered: &mut Gathered) -> Result<(), MeshError> {
    let mut places = Places::new(bytes.len() / 500);
    let mut facet = [0u32; 3];
    let mut corners = 0;
    let mut ended = false;
    for line in bytes.split(|&b| b == b'\n' || b == b'\r') {
        let mut words = words_of(line);
        while let Some(word) = words.next() {
            let is = |what: &str| word.eq_ignore_ascii_case(what.as_bytes());
            if is("vertex") {
                let mut next = || number_in(gathered, words.next());
                let at = [next()?, next()?, next()?];
                // Told as it stands in the file, not as it is rounded.
                gathered.placed(at)?;
                let place = places.of(at.map(|c| c as f32), gathered)?;
                if let Some(corner) = facet.get_mut(corners) {
                    *corner = place;
                }
                corners += 1;
            } else if is("endloop") {
                if corners != 3 {
                    let found = format!("a facet with {corners} corners");
                    return Err(gathered.broken(found, "three"));
                }
                gathered.triangle(facet)?;
                corners = 0;
            } else if is("solid") || is("endsolid") {
                // What follows on the line is a name, whatever its words.
                ended = is("endsolid");
                break;
            }
        }
    }
    if corners != 0 || !ended {
        return Err(gathered.cut_off("without an 'endsolid'"));
    }
    Ok(())
}

/// The vertices already met, by their exact place as `f32`.
///
/// A table of chance: each place is looked for from a slot that follows from its digits and two numbers drawn anew
/// each time, so that no file can be made for which all fall on one slot. The table is only ever asked, never
/// walked, so its own order is in no result.
struct Places {
    /// Numbers of vertices, or [`FREE`]; a power of two of them, at most half of them taken.
    slots: Vec<u32>,
    keys: Vec<[u32; 3]>,
    seeds: [u64; 2],
}

const FREE: u32 = u32::MAX;

impl Places {
    fn new(expected: usize) -> Places {
        let expected = expected.clamp(16, MOST_TRIANGLES / 2);
        let drawn = RandomState::new();
        Places {
            slots: vec![FREE; (2 * expected).next_power_of_two()],
            keys: Vec::with_capacity(expected),
            seeds: [1u8, 2].map(|n| drawn.hash_one(n) | 1),
        }
    }

    #[inline]
    fn slot(&self, [x, y, z]: [u32; 3]) -> usize {
        let first = (u64::from(x) | u64::from(y) << 32) ^ self.seeds[0];
        let second = (u64::from(z) | u64::from(x ^ y) << 32) ^ self.seeds[1];
        let product = u128::from(first) * u128::from(second);
        ((product >> 64) as u64 ^ product as u64) as usize & (self.slots.len() - 1)
    }

    #[inline]
    fn of(&mut self, at: [f32; 3], gathered: &mut Gathered) -> Result<u32, MeshError> {
        // Adding nothing turns minus zero into zero.
        let place = at.map(|c| c + 0.0);
        let key = place.map(f32::to_bits);
        let mut slot = self.slot(key);
        loop {
            let known = self.slots[slot];
            if known == FREE {
                break;
            }
            if self.keys[known as usize] == key {
                return Ok(known);
            }
            slot = (slot + 1) & (self.slots.len() - 1);
        }
        gathered.vertex(place.map(f64::from))?;
        let number = self.keys.len() as u32;
        self.slots[slot] = number;
        self.keys.push(key);
        if 2 * self.keys.len() > self.slots.len() {
            self.grow();
        }
        Ok(number)
    }

    fn grow(&mut self) {
        self.slots = vec![FREE; 2 * self.slots.len()];
        for (number, &key) in (0..).zip(&self.keys) {
            let mut slot = self.slot(key);
            while self.slots[slot] != FREE {
                slot = (slot + 1) & (self.slots.len() - 1);
            }
            self.slots[slot] = number;
        }
    }
}

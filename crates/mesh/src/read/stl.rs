//! STL, text and binary: triangles without shared corners, which are joined where they agree exactly.

use super::{FARTHEST, Gathered, MOST_TRIANGLES, number_in, words_of};
use crate::MeshError;
use std::collections::HashMap;

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
            let length = v[..3].iter().map(|c| c * c).sum::<f64>();
            v.iter().all(|c| c.abs() <= FARTHEST) && (length < 1e-6 || (length - 1.0).abs() < 0.1)
        })
        .count();
    sound * 10 >= some * 9
}

fn numbers(facet: &[u8]) -> [f64; 12] {
    let mut values = [0.0; 12];
    for (value, bytes) in values.iter_mut().zip(facet.chunks_exact(4)) {
        *value = f64::from(f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]));
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
                let place = places.of(at, gathered)?;
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
/// The table is only ever asked, never walked, so its own order is in no result.
struct Places(HashMap<[u32; 3], u32>);

impl Places {
    fn new(expected: usize) -> Places {
        Places(HashMap::with_capacity(expected.min(MOST_TRIANGLES / 2)))
    }

    fn of(&mut self, at: [f64; 3], gathered: &mut Gathered) -> Result<u32, MeshError> {
        // Adding nothing turns minus zero into zero.
        let rounded = at.map(|c| c as f32 + 0.0);
        match self.0.entry(rounded.map(f32::to_bits)) {
            std::collections::hash_map::Entry::Occupied(known) => Ok(*known.get()),
            std::collections::hash_map::Entry::Vacant(new) => {
                gathered.placed(at)?;
                gathered.vertex(rounded.map(f64::from))?;
                Ok(*new.insert(gathered.vertices.len() as u32 - 1))
            }
        }
    }
}

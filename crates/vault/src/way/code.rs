//! What is a recovery code?
//!
//! 160 random bits for paper: 8 groups of 5 signs, four that carry and one that checks. The signs are digits
//! and capitals without I, L, O and U; read back, I and L are 1, O is 0, U is V, small is capital, and
//! anything between the groups is passed over. The check of a group is a sum over the field of 32
//! elements (x⁵ + x² + 1) with a weight for each place and a number for each group: one wrong sign, two
//! neighbours changed about and two groups changed about are always found, and in which group.

use crate::entropy::fresh;
use crate::{Entropy, VaultError};
use zeroize::{Zeroize, ZeroizeOnDrop, Zeroizing};

const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const GROUPS: usize = 8;
const MOST_BYTES: usize = 512;

#[derive(Clone, Zeroize, ZeroizeOnDrop)]
pub struct RecoveryCode {
    secret: [u8; 20],
}

impl RecoveryCode {
    pub fn fresh(entropy: &mut dyn Entropy) -> Result<Self, VaultError> {
        Ok(RecoveryCode {
            secret: fresh(entropy)?,
        })
    }

    pub(crate) fn bytes(&self) -> &[u8; 20] {
        &self.secret
    }

    /// The eight groups, with a blank between them.
    pub fn text(&self) -> Zeroizing<String> {
        let mut text = Zeroizing::new(String::with_capacity(GROUPS * 6));
        for group in 0..GROUPS {
            if group > 0 {
                text.push(' ');
            }
            let mut places = Zeroizing::new([0u8; 4]);
            for (i, place) in places.iter_mut().enumerate() {
                *place = self.five_bits(group * 4 + i);
            }
            for place in places.iter().chain([&check(group, &*places)]) {
                text.push(char::from(SIGNS[usize::from(*place)]));
            }
        }
        text
    }

    fn five_bits(&self, at: usize) -> u8 {
        (0..5).fold(0, |value, bit| {
            let bit = at * 5 + bit;
            (value << 1) | ((self.secret[bit / 8] >> (7 - bit % 8)) & 1)
        })
    }

    /// Of what somebody typed.
    pub fn read(typed: &str) -> Result<Self, VaultError> {
        let mut places = Zeroizing::new([0u8; GROUPS * 5]);
        let mut found = 0;
        for sign in typed.chars().take(MOST_BYTES) {
            if !sign.is_alphanumeric() {
                continue;
            }
            if let Some(place) = places.get_mut(found) {
                *place = value(sign).ok_or(VaultError::CodeGroup {
                    group: found / 5 + 1,
                })?;
            }
            found += 1;
        }
        if found != GROUPS * 5 {
            return Err(VaultError::CodeLength { found });
        }
        let mut code = RecoveryCode { secret: [0; 20] };
        for (group, signs) in places.chunks_exact(5).enumerate() {
            if check(group, &signs[..4]) != signs[4] {
                return Err(VaultError::CodeGroup { group: group + 1 });
            }
            for (i, place) in signs[..4].iter().enumerate() {
                for bit in 0..5 {
                    let at = (group * 4 + i) * 5 + bit;
                    code.secret[at / 8] |= ((place >> (4 - bit)) & 1) << (7 - at % 8);
                }
            }
        }
        Ok(code)
    }
}

fn value(sign: char) -> Option<u8> {
    let sign = match sign.to_ascii_uppercase() {
        'O' => b'0',
        'I' | 'L' => b'1',
        'U' => b'V',
        other => u8::try_from(other).ok()?,
    };
    let at = SIGNS.iter().position(|s| *s == sign)?;
    u8::try_from(at).ok()
}

/// The places with the weights α, α², α³ and α⁴ (the check itself has 1), and the group's own number, so that
/// a group in another's place does not fit.
fn check(group: usize, places: &[u8]) -> u8 {
    let number = u8::try_from(group + 1).unwrap_or(0);
    let mut weighted = 0;
    for place in places.iter().rev() {
        weighted = twice(weighted ^ place);
    }
    weighted ^ number
}

/// Times α in the field.
fn twice(x: u8) -> u8 {
    let x = x << 1;
    if x & 0b10_0000 == 0 { x } else { x ^ 0b10_0101 }
}

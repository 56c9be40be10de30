//! Which codes let somebody in who has lost the rest?
//!
//! Ten codes of sixteen letters and digits (80 bits), each good once. Only their SHA-256 is kept: a code is random, so a slow
//! hash would add nothing.

use sha2::{Digest, Sha256};

pub const HOW_MANY: usize = 10;
/// Random bytes of one code.
pub const BYTES: usize = 10;

/// No I, L, O or U: nothing to confuse when read from paper.
const LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// As printed: four groups of four.
pub fn printed(random: &[u8; BYTES]) -> String {
    let mut bits = 0u32;
    let (mut held, mut text) = (0, String::with_capacity(19));
    for byte in random {
        bits = (bits << 8) | u32::from(*byte);
        held += 8;
        while held >= 5 {
            held -= 5;
            let letter = LETTERS[(bits >> held) as usize & 31];
            if text.len() % 5 == 4 {
                text.push('-');
            }
            text.push(char::from(letter));
        }
    }
    text
}

/// What is kept of a code: the same for every way it may be typed.
pub fn kept(typed: &str) -> String {
    let plain: String = typed
        .chars()
        .filter(|c| c.is_alphanumeric())
        .take(64)
        .map(|c| match c.to_ascii_uppercase() {
            'I' | 'L' => '1',
            'O' => '0',
            other => other,
        })
        .collect();
    hex::encode(Sha256::digest(plain.as_bytes()))
}

/// Takes the code out of those that are left. False where it is none of them.
pub fn spend(left: &mut Vec<String>, typed: &str) -> bool {
    let typed = kept(typed);
    match left.iter().position(|kept| *kept == typed) {
        Some(place) => {
            left.remove(place);
            true
        }
        None => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_good_once_however_it_is_typed() {
        let code = printed(&[0x84, 0x21, 0x08, 0, 0xff, 0xff, 1, 2, 3, 4]);
        assert_eq!(code.len(), 19);
        let mut left = vec![kept(&code), kept(&printed(&[7; 10]))];
        let sloppy = code
            .to_lowercase()
            .replace('-', " ")
            .replace('0', "o")
            .replace('1', "l");
        assert!(spend(&mut left, &sloppy));
        assert!(!spend(&mut left, &code));
        assert_eq!(left.len(), 1);
        assert!(!spend(&mut left, ""));
    }

    #[test]
    fn every_bit_of_the_random_bytes_is_in_the_code() {
        let zero = printed(&[0; BYTES]);
        for bit in 0..BYTES * 8 {
            let mut random = [0; BYTES];
            random[bit / 8] = 1 << (bit % 8);
            assert_ne!(printed(&random), zero, "{bit}");
        }
    }
}

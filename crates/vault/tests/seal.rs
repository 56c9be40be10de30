//! Does a sealed file open as it was, and not at all when anything about it changed?

mod dice;

use dice::{Dice, content};
use proptest::prelude::*;
use vault::{Seal, VaultError};

const LENGTHS: [usize; 9] = [0, 1, 15, 65_535, 65_536, 65_537, 131_072, 131_073, 200_000];
/// Header and tag of the format: 48 bytes, 64 KiB chunks, 16 bytes of tag.
const HEADER: usize = 48;
const SEALED_CHUNK: usize = 65_536 + 16;

fn is_refused(seal: &Seal, name: &[u8; 32], sealed: &[u8], what: &str) {
    match seal.open(name, sealed) {
        Ok(_) => panic!("{what}: it opened"),
        Err(
            VaultError::Altered { .. }
            | VaultError::NotSealed { .. }
            | VaultError::TooNew { .. }
            | VaultError::OtherKeyring
            | VaultError::LostKey { .. },
        ) => {}
        Err(other) => panic!("{what}: {other}"),
    }
}

#[test]
fn a_file_of_any_length_comes_back_as_it_was_and_is_as_long_as_foretold() {
    let mut dice = Dice::of(1);
    let (_, seal) = dice::ring(&mut dice);
    for length in LENGTHS {
        let plain = dice.bytes(length);
        let name = content(&plain);
        let sealed = seal.seal(&name, &plain).unwrap();
        assert_eq!(sealed.len() as u64, Seal::sealed_length(length as u64));
        assert_eq!(seal.open(&name, &sealed).unwrap(), plain);
        assert_eq!(seal.number_of(&sealed), Ok(1));
    }
}

#[test]
fn the_same_file_is_always_sealed_to_the_same_bytes_and_another_shares_no_block_with_it() {
    let mut dice = Dice::of(2);
    let (_, seal) = dice::ring(&mut dice);
    let plain = dice.bytes(100_000);
    let mut other = plain.clone();
    other[99_999] ^= 1;
    let first = seal.seal(&content(&plain), &plain).unwrap();
    assert_eq!(first, seal.seal(&content(&plain), &plain).unwrap());
    let second = seal.seal(&content(&other), &other).unwrap();
    let blocks: std::collections::BTreeSet<&[u8]> = first[29..].windows(16).collect();
    assert!(!second[29..].windows(16).any(|w| blocks.contains(w)));
}

#[test]
fn a_file_is_not_sealed_under_the_hash_of_another() {
    let mut dice = Dice::of(3);
    let (_, seal) = dice::ring(&mut dice);
    assert_eq!(
        seal.seal(&content(b"one"), b"two"),
        Err(VaultError::NotThisContent)
    );
}

#[test]
fn no_bit_of_a_small_sealed_file_can_be_flipped() {
    let mut dice = Dice::of(4);
    let (_, seal) = dice::ring(&mut dice);
    for length in [0, 1, 40] {
        let plain = dice.bytes(length);
        let name = content(&plain);
        let mut sealed = seal.seal(&name, &plain).unwrap();
        for bit in 0..sealed.len() * 8 {
            sealed[bit / 8] ^= 1 << (bit % 8);
            is_refused(&seal, &name, &sealed, &format!("bit {bit}"));
            sealed[bit / 8] ^= 1 << (bit % 8);
        }
        seal.open(&name, &sealed).unwrap();
    }
}

#[test]
fn a_sealed_file_cut_off_at_any_length_or_made_longer_is_refused() {
    let mut dice = Dice::of(5);
    let (_, seal) = dice::ring(&mut dice);
    let plain = dice.bytes(150_000);
    let name = content(&plain);
    let sealed = seal.seal(&name, &plain).unwrap();
    let mut lengths: Vec<usize> = (0..200).map(|_| dice.below(sealed.len())).collect();
    // Where a chunk ends is where a cut would show least.
    lengths.extend((0..3).map(|n| HEADER + n * SEALED_CHUNK));
    lengths.extend(0..HEADER + 20);
    for length in lengths {
        is_refused(&seal, &name, &sealed[..length], &format!("cut at {length}"));
    }
    for more in [1, 15, 16, 17, SEALED_CHUNK] {
        let mut longer = sealed.clone();
        longer.extend(dice.bytes(more));
        is_refused(&seal, &name, &longer, &format!("{more} more"));
    }
    // A whole number of chunks, then an empty last one: the shape another writer might give it.
    let plain = dice.bytes(65_536);
    let name = content(&plain);
    let mut longer = seal.seal(&name, &plain).unwrap();
    longer.extend([0; 16]);
    is_refused(&seal, &name, &longer, "an empty chunk more");
}

#[test]
fn chunks_cannot_be_moved_doubled_left_out_or_taken_from_another_file() {
    let mut dice = Dice::of(6);
    let (_, seal) = dice::ring(&mut dice);
    let plain = dice.bytes(65_536 * 3);
    let other = dice.bytes(65_536 * 3);
    let (name, other_name) = (content(&plain), content(&other));
    let sealed = seal.seal(&name, &plain).unwrap();
    let other = seal.seal(&other_name, &other).unwrap();
    let chunk = |file: &[u8], n: usize| {
        file[HEADER + n * SEALED_CHUNK..HEADER + (n + 1) * SEALED_CHUNK].to_vec()
    };
    let built = |chunks: &[Vec<u8>]| [sealed[..HEADER].to_vec(), chunks.concat()].concat();
    let [a, b, c] = [0, 1, 2].map(|n| chunk(&sealed, n));
    assert_eq!(built(&[a.clone(), b.clone(), c.clone()]), sealed);
    for (what, chunks) in [
        ("two changed about", vec![b.clone(), a.clone(), c.clone()]),
        (
            "one doubled",
            vec![a.clone(), a.clone(), b.clone(), c.clone()],
        ),
        ("one left out", vec![a.clone(), c.clone()]),
        ("the first left out", vec![b.clone(), c.clone()]),
        ("the last left out", vec![a.clone(), b.clone()]),
        (
            "one of another file",
            vec![a.clone(), chunk(&other, 1), c.clone()],
        ),
        (
            "the last of another file",
            vec![a.clone(), b.clone(), chunk(&other, 2)],
        ),
    ] {
        is_refused(&seal, &name, &built(&chunks), what);
    }
    is_refused(&seal, &name, &other, "the whole of another file");
    is_refused(&seal, &other_name, &sealed, "the whole under another name");
}

#[test]
fn nothing_of_the_file_stands_in_what_was_sealed() {
    let mut dice = Dice::of(7);
    let (ring, seal) = dice::ring(&mut dice);
    let plain = "Invented Patient, left foot, 12 degrees. "
        .repeat(5000)
        .into_bytes();
    let name = content(&plain);
    let sealed = seal.seal(&name, &plain).unwrap();
    for part in [&b"Invented"[..], b"Patient", b"degrees", &name[..8]] {
        assert!(!sealed.windows(part.len()).any(|w| w == part));
    }
    // Text of a small alphabet must not leave its mark on how often each byte comes.
    let mut often = [0u32; 256];
    for byte in &sealed[HEADER..] {
        often[usize::from(*byte)] += 1;
    }
    let mean = (sealed.len() - HEADER) as f64 / 256.0;
    let spread: f64 = often
        .iter()
        .map(|n| (f64::from(*n) - mean).powi(2) / mean)
        .sum();
    // Chi-square with 255 degrees of freedom: beyond 355 by chance once in 25,000 keys; the seed is fixed.
    assert!(spread < 355.0, "{spread}");
    for secret in [
        seal.database_key(),
        seal.derive("cookie"),
        seal.derive_lasting("x"),
    ] {
        assert!(
            !ring
                .bytes()
                .windows(64)
                .any(|w| w == secret.hex().as_bytes())
        );
    }
}

#[test]
fn names_and_derived_keys_differ_by_purpose_and_by_keyring() {
    let mut dice = Dice::of(8);
    let (_, seal) = dice::ring(&mut dice);
    let (_, other) = dice::ring(&mut dice);
    let name = content(b"a known file");
    assert_eq!(seal.name_of(&name).len(), 64);
    assert_eq!(seal.name_of(&name), seal.clone().name_of(&name));
    assert_ne!(seal.name_of(&name), hex::encode(name));
    assert_ne!(seal.name_of(&name), other.name_of(&name));
    let keys = [
        seal.database_key(),
        seal.derive("backup"),
        seal.derive("cookie"),
        seal.derive("database"),
        seal.derive_lasting("cookie"),
        other.database_key(),
    ];
    for (i, a) in keys.iter().enumerate() {
        assert!(keys[..i].iter().all(|b| a != b), "key {i}");
    }
    assert_eq!(
        format!("{:?} {:?}", keys[0], seal)
            .matches("not shown")
            .count(),
        2
    );
}

#[test]
fn what_was_never_sealed_or_is_too_new_is_told_so() {
    let mut dice = Dice::of(9);
    let (ring, seal) = dice::ring(&mut dice);
    let (_, other) = dice::ring(&mut dice);
    let name = content(b"x");
    let said = |sealed: &[u8]| seal.open(&name, sealed).unwrap_err().to_string();
    assert!(said(b"").contains("fewer bytes"));
    assert!(said(&[0; 100]).contains("never sealed"));
    let mut newer = seal.seal(&name, b"x").unwrap();
    newer[7] = 2;
    assert!(said(&newer).contains("format 2; this program knows up to 1"));
    assert!(said(&other.seal(&name, b"x").unwrap()).contains("another keyring"));
    let mut stream = Vec::new();
    let sealer = vault::stream::Sealer::start(&mut stream, &seal, &ring, &mut dice).unwrap();
    sealer.finish().unwrap();
    assert!(said(&stream).contains("found a sealed backup; expected a sealed file"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_file_comes_back_and_any_flipped_bit_is_refused(
        seed in any::<u64>(), length in 0usize..140_000, at in any::<prop::sample::Index>(), bit in 0u8..8,
    ) {
        let mut dice = Dice(rand::SeedableRng::seed_from_u64(seed));
        let (_, seal) = KEYS.with(Clone::clone);
        let plain = dice.bytes(length);
        let name = content(&plain);
        let mut sealed = seal.seal(&name, &plain).unwrap();
        prop_assert_eq!(seal.open(&name, &sealed).unwrap(), plain);
        let at = at.index(sealed.len());
        sealed[at] ^= 1 << bit;
        prop_assert!(seal.open(&name, &sealed).is_err());
    }

    #[test]
    fn no_bytes_from_outside_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300), keep in 0usize..60) {
        let (ring, seal) = KEYS.with(Clone::clone);
        let mut whole = seal.seal(&content(b"x"), b"x").unwrap();
        whole.truncate(keep);
        whole.extend(&bytes);
        prop_assert!(seal.open(&content(b"x"), &whole).is_err());
        prop_assert!(vault::stream::verify(&whole[..], &seal).is_err());
        let mut text = ring.bytes();
        text.truncate(keep * 20);
        text.extend(&bytes);
        let _ = vault::Keyring::read(&text);
        let _ = vault::KeyFile::read(&bytes);
        let _ = vault::RecoveryCode::read(&String::from_utf8_lossy(&bytes));
    }
}

thread_local! {
    static KEYS: (vault::Keyring, Seal) = dice::ring(&mut Dice::of(10));
}

//! Is a sealed backup verified whole, opened with the keyring it carries, and refused when anything changed?

mod dice;

use dice::{Dice, WORDS, quick};
use std::io::{Cursor, Read, Write};
use vault::stream::{self, Opener, Sealer};
use vault::{Keyring, Seal, VaultError};

fn sealed(plain: &[u8], seal: &Seal, ring: &Keyring, dice: &mut Dice) -> Vec<u8> {
    let mut sealer = Sealer::start(Vec::new(), seal, ring, dice).unwrap();
    // In pieces of any size, as a writer of rows and files gives them.
    let mut rest = plain;
    while !rest.is_empty() {
        let (piece, after) = rest.split_at(rest.len().min(1 + dice.below(100_000)));
        sealer.write_all(piece).unwrap();
        rest = after;
    }
    let (out, summary) = sealer.finish().unwrap();
    assert_eq!(summary.plain_bytes, plain.len() as u64);
    assert_eq!(summary.sealed_bytes, out.len() as u64);
    out
}

#[test]
fn a_backup_of_any_length_comes_back_with_nothing_but_itself_and_a_passphrase() {
    let mut dice = Dice::of(21);
    let (ring, seal) = dice::ring(&mut dice);
    for length in [0, 1, 65_535, 65_536, 65_537, 131_072, 500_000] {
        let plain = dice.bytes(length);
        let backup = sealed(&plain, &seal, &ring, &mut dice);
        let carried = stream::keyring(&backup[..]).unwrap();
        assert_eq!(carried, ring);
        let opened = carried.open(&quick(WORDS)).unwrap();
        let summary = stream::verify(&backup[..], &opened).unwrap();
        assert_eq!(summary.plain_bytes, length as u64);
        assert_eq!(summary.sealed_bytes, backup.len() as u64);
        let mut back = Vec::new();
        let mut opener = Opener::verified(Cursor::new(&backup), &opened).unwrap();
        opener.read_to_end(&mut back).unwrap();
        assert_eq!(back, plain);
    }
}

#[test]
fn a_backup_cut_off_anywhere_made_longer_or_flipped_anywhere_is_never_trusted() {
    let mut dice = Dice::of(22);
    let (ring, seal) = dice::ring(&mut dice);
    let plain = dice.bytes(65_536 * 2 + 100);
    let mut backup = sealed(&plain, &seal, &ring, &mut dice);
    let head = backup.len() - (plain.len() + 3 * 16);
    let mut cuts: Vec<usize> = (0..150).map(|_| dice.below(backup.len())).collect();
    cuts.extend([
        0,
        48,
        52,
        head,
        head + 65_552,
        head + 2 * 65_552,
        backup.len() - 1,
    ]);
    for cut in cuts {
        assert!(stream::verify(&backup[..cut], &seal).is_err(), "cut {cut}");
        assert!(Opener::verified(Cursor::new(&backup[..cut]), &seal).is_err());
    }
    for _ in 0..600 {
        let (at, bit) = (dice.below(backup.len()), dice.below(8));
        backup[at] ^= 1 << bit;
        assert!(
            stream::verify(&backup[..], &seal).is_err(),
            "bit {bit} of {at}"
        );
        backup[at] ^= 1 << bit;
    }
    backup.push(0);
    assert!(stream::verify(&backup[..], &seal).is_err(), "one more byte");
    backup.pop();
    stream::verify(&backup[..], &seal).unwrap();
}

#[test]
fn what_comes_out_before_a_fault_is_a_true_beginning_and_then_the_fault_stays() {
    let mut dice = Dice::of(23);
    let (ring, seal) = dice::ring(&mut dice);
    let plain = dice.bytes(65_536 * 3);
    let mut backup = sealed(&plain, &seal, &ring, &mut dice);
    let at = backup.len() - 65_552 - 10;
    backup[at] ^= 1;
    let mut opener = Opener::start(&backup[..], &seal).unwrap();
    let mut back = Vec::new();
    let said = opener.read_to_end(&mut back).unwrap_err();
    assert_eq!(back, plain[..65_536]);
    assert!(said.to_string().contains("altered, cut short"), "{said}");
    assert!(opener.read(&mut [0; 9]).is_err());
}

#[test]
fn a_backup_of_before_a_new_key_still_opens_and_one_of_a_forgotten_key_opens_by_its_own_keyring() {
    let mut dice = Dice::of(24);
    let (mut ring, seal) = dice::ring(&mut dice);
    let backup = sealed(b"of before", &seal, &ring, &mut dice);
    let newer = ring.rotate(&seal, &[quick(WORDS)], &mut dice).unwrap();
    stream::verify(&backup[..], &newer).unwrap();
    let newest = ring.forget(&newer, 1).unwrap();
    let said = stream::verify(&backup[..], &newest).unwrap_err();
    assert_eq!(said, VaultError::LostKey { number: 1 });
    let own = stream::keyring(&backup[..])
        .unwrap()
        .open(&quick(WORDS))
        .unwrap();
    stream::verify(&backup[..], &own).unwrap();
}

#[test]
fn the_keyring_in_a_backup_cannot_be_changed_for_another() {
    let mut dice = Dice::of(25);
    let (mut ring, seal) = dice::ring(&mut dice);
    let before = ring.clone();
    ring.add(&seal, &quick("a second invented one"), "", &mut dice)
        .unwrap();
    let backup = sealed(b"rows and files", &seal, &ring, &mut dice);
    let (old, text) = (ring.bytes(), before.bytes());
    let length = u32::try_from(text.len()).unwrap().to_be_bytes();
    let changed = [&backup[..48], &length, &text, &backup[52 + old.len()..]].concat();
    assert_eq!(stream::keyring(&changed[..]).unwrap(), before);
    assert!(stream::verify(&changed[..], &seal).is_err());
}

struct Full {
    room: usize,
}

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let taken = bytes.len().min(self.room);
        self.room -= taken;
        match taken {
            0 => Err(std::io::ErrorKind::StorageFull.into()),
            taken => Ok(taken),
        }
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_disk_that_fills_up_stops_the_backup_for_good_and_says_why() {
    let mut dice = Dice::of(26);
    let (ring, seal) = dice::ring(&mut dice);
    for room in [10, 3_000, 70_000, 150_000] {
        let said = match Sealer::start(Full { room }, &seal, &ring, &mut dice) {
            Err(said) => said,
            Ok(mut sealer) => {
                let first = sealer.write_all(&[7; 300_000]);
                assert!(first.is_err(), "{room}");
                // A caller that tries again must not get a backup with a hole.
                assert!(sealer.write_all(&[7; 100]).is_err());
                sealer.finish().map(|_| ()).unwrap_err()
            }
        };
        let kind = std::io::Error::from(said.clone()).kind();
        assert_eq!(kind, std::io::ErrorKind::StorageFull, "{said}");
    }
}

#[test]
fn a_sealer_refuses_a_keyring_that_is_not_the_seals_or_has_changed_since() {
    let mut dice = Dice::of(27);
    let (mut ring, seal) = dice::ring(&mut dice);
    let (other, _) = dice::ring(&mut dice);
    let start = |ring: &Keyring, dice: &mut Dice| {
        Sealer::start(Vec::new(), &seal, ring, dice)
            .map(|_| ())
            .unwrap_err()
    };
    assert_eq!(start(&other, &mut dice), VaultError::OtherKeyring);
    ring.rotate(&seal, &[quick(WORDS)], &mut dice).unwrap();
    assert_eq!(start(&ring, &mut dice), VaultError::Stale);
}

#[test]
fn memory_stays_small_however_large_the_backup() {
    struct Zeros(u64);
    impl Read for Zeros {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let taken = into
                .len()
                .min(usize::try_from(self.0).unwrap_or(usize::MAX));
            into[..taken].fill(0);
            self.0 -= taken as u64;
            Ok(taken)
        }
    }
    // What is written is opened at once at the other end of a pipe.
    let mut dice = Dice::of(28);
    let (ring, seal) = dice::ring(&mut dice);
    let (read, write) = std::io::pipe().unwrap();
    let opener = std::thread::spawn({
        let seal = seal.clone();
        move || stream::verify(read, &seal).unwrap()
    });
    let mut sealer = Sealer::start(write, &seal, &ring, &mut dice).unwrap();
    let size = 200 * 1024 * 1024;
    std::io::copy(&mut Zeros(size), &mut sealer).unwrap();
    let (pipe, summary) = sealer.finish().unwrap();
    drop(pipe);
    assert_eq!(opener.join().unwrap(), summary);
    assert_eq!(summary.plain_bytes, size);
    #[cfg(target_os = "linux")]
    {
        let status = std::fs::read_to_string("/proc/self/status").unwrap();
        let peak = status
            .lines()
            .find_map(|l| l.strip_prefix("VmHWM:"))
            .unwrap();
        let kib: u64 = peak.trim().trim_end_matches(" kB").trim().parse().unwrap();
        assert!(
            kib < 128 * 1024,
            "{kib} KiB at most, with other tests beside it"
        );
    }
}

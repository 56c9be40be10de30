//! Does every way in open everything, and nothing else anything?

mod dice;

use dice::{Dice, WORDS, content, quick};
use vault::{
    Cost, Entropy, KeyFile, Keyring, NoEntropy, Passphrase, RecoveryCode, VaultError, WayIn,
    WayKind,
};

fn said<T>(result: Result<T, VaultError>) -> String {
    match result {
        Ok(_) => panic!("it was not refused"),
        Err(said) => said.to_string(),
    }
}

#[test]
fn each_way_in_opens_the_same_keys_also_after_the_file_was_written_and_read() {
    let mut dice = Dice::of(41);
    let (mut ring, seal) = dice::ring(&mut dice);
    let file = KeyFile::fresh(&mut dice).unwrap();
    let code = RecoveryCode::fresh(&mut dice).unwrap();
    ring.add(&seal, &file.clone().into(), "stick in the safe", &mut dice)
        .unwrap();
    ring.add(&seal, &code.clone().into(), "paper", &mut dice)
        .unwrap();
    let again = Keyring::read(&ring.bytes()).unwrap();
    assert_eq!(again, ring);
    let file = KeyFile::read(file.text(ring.id()).as_bytes()).unwrap();
    let code = RecoveryCode::read(&code.text()).unwrap();
    for way in [quick(WORDS), file.into(), code.into()] {
        let opened = again.open(&way).unwrap();
        assert_eq!(opened.database_key(), seal.database_key());
        assert_eq!(opened.derive_lasting("x"), seal.derive_lasting("x"));
    }
    let kinds: Vec<WayKind> = again.ways().iter().map(|way| way.kind()).collect();
    assert_eq!(kinds, WayKind::ALL);
    assert_eq!(again.ways()[1].label(), "stick in the safe");
}

#[test]
fn a_wrong_secret_of_each_kind_gets_one_plain_sentence() {
    let mut dice = Dice::of(42);
    let (mut ring, seal) = dice::ring(&mut dice);
    let wrong = said(ring.open(&quick("another passphrase")));
    assert_eq!(
        wrong,
        "found that this passphrase does not open the keyring; expected one it was closed with: try again, \
         or use another way in, for nobody, also not the makers, can open this without one"
    );
    let stranger: WayIn = KeyFile::fresh(&mut dice).unwrap().into();
    assert!(said(ring.open(&stranger)).contains("found no key file among the ways"));
    let file = KeyFile::fresh(&mut dice).unwrap().into();
    ring.add(&seal, &file, "", &mut dice).unwrap();
    assert!(said(ring.open(&stranger)).contains("this key file does not open"));
}

#[test]
fn the_same_letters_typed_on_another_keyboard_are_the_same_passphrase() {
    let mut dice = Dice::of(43);
    let composed = quick("M\u{fc}hle am gro\u{df}en Bach");
    let (ring, _) = Keyring::make(&composed, "", &mut dice).unwrap();
    ring.open(&quick("Mu\u{308}hle am gro\u{df}en Bach\r\n"))
        .unwrap();
    assert!(ring.open(&quick("Muhle am gro\u{df}en Bach")).is_err());
}

#[test]
fn a_changed_passphrase_opens_the_same_keys_and_the_old_one_no_longer_does() {
    let mut dice = Dice::of(44);
    let (mut ring, seal) = dice::ring(&mut dice);
    let old = ring.ways()[0].id();
    let new = ring
        .replace(&seal, old, &quick("a newer passphrase"), &mut dice)
        .unwrap();
    assert_ne!(old, new);
    assert_eq!(ring.ways()[0].label(), "front desk");
    let opened = ring.open(&quick("a newer passphrase")).unwrap();
    assert_eq!(opened.database_key(), seal.database_key());
    assert_eq!(
        said(ring.open(&quick(WORDS))),
        said::<()>(Err(VaultError::WrongWay(WayKind::Passphrase)))
    );
    let code = RecoveryCode::fresh(&mut dice).unwrap().into();
    assert_eq!(
        ring.replace(&seal, new, &code, &mut dice),
        Err(VaultError::NoSuchWay)
    );
    assert_eq!(
        ring.replace(&seal, old, &quick(WORDS), &mut dice),
        Err(VaultError::NoSuchWay)
    );
}

#[test]
fn the_last_way_in_stays_and_a_taken_one_no_longer_opens() {
    let mut dice = Dice::of(45);
    let (mut ring, seal) = dice::ring(&mut dice);
    let first = ring.ways()[0].id();
    assert_eq!(ring.remove(&seal, first), Err(VaultError::LastWay));
    let file: WayIn = KeyFile::fresh(&mut dice).unwrap().into();
    ring.add(&seal, &file, "", &mut dice).unwrap();
    assert_eq!(
        ring.add(&seal, &file, "", &mut dice),
        Err(VaultError::SameWay(WayKind::KeyFile))
    );
    ring.remove(&seal, first).unwrap();
    assert_eq!(ring.remove(&seal, first), Err(VaultError::NoSuchWay));
    assert!(said(ring.open(&quick(WORDS))).contains("found no passphrase among"));
    ring.open(&file).unwrap();
}

#[test]
fn a_new_key_seals_what_comes_and_the_old_one_opens_what_was_until_it_is_forgotten() {
    let mut dice = Dice::of(46);
    let (mut ring, first) = dice::ring(&mut dice);
    let file: WayIn = KeyFile::fresh(&mut dice).unwrap().into();
    ring.add(&first, &file, "", &mut dice).unwrap();
    let name = content(b"a film");
    let before = first.seal(&name, b"a film").unwrap();

    assert_eq!(
        ring.rotate(&first, &[quick(WORDS)], &mut dice).unwrap_err(),
        VaultError::NotShown(WayKind::KeyFile)
    );
    assert_eq!(ring.current(), 1);
    let second = ring
        .rotate(&first, &[file.clone(), quick(WORDS)], &mut dice)
        .unwrap();
    assert_eq!((ring.current(), ring.retired()), (2, vec![1]));
    let after = second.seal(&name, b"a film").unwrap();
    assert_ne!(before, after);
    assert_eq!(
        (second.number_of(&before), second.number_of(&after)),
        (Ok(1), Ok(2))
    );
    let reopened = Keyring::read(&ring.bytes()).unwrap().open(&file).unwrap();
    for sealed in [&before, &after] {
        assert_eq!(reopened.open(&name, sealed).unwrap(), b"a film");
    }
    assert_eq!(
        first.open(&name, &after),
        Err(VaultError::LostKey { number: 2 })
    );
    assert_eq!(
        reopened.name_of(&name),
        first.name_of(&name),
        "a file keeps its name"
    );
    assert_eq!(
        reopened.derive_lasting("pseudonyms"),
        first.derive_lasting("pseudonyms")
    );
    assert_ne!(reopened.database_key(), first.database_key());
    assert_eq!(reopened.database_key_of(1).unwrap(), first.database_key());
    assert_ne!(reopened.derive("cookie"), first.derive("cookie"));

    assert_eq!(
        ring.remove(&first, ring.ways()[0].id()),
        Err(VaultError::Stale)
    );
    assert_eq!(
        ring.forget(&second, 2).unwrap_err(),
        VaultError::InUse { number: 2 }
    );
    assert_eq!(
        ring.forget(&second, 0).unwrap_err(),
        VaultError::InUse { number: 0 }
    );
    assert_eq!(
        ring.forget(&second, 9).unwrap_err(),
        VaultError::LostKey { number: 9 }
    );
    let third = ring.forget(&second, 1).unwrap();
    let reopened = Keyring::read(&ring.bytes())
        .unwrap()
        .open(&quick(WORDS))
        .unwrap();
    for seal in [third, reopened] {
        assert!(
            said(seal.open(&name, &before)).contains("key 1, which this keyring does not hold")
        );
        assert_eq!(seal.open(&name, &after).unwrap(), b"a film");
    }
}

#[test]
fn a_stolen_key_file_beside_an_old_keyring_opens_nothing_sealed_after_a_new_key() {
    let mut dice = Dice::of(47);
    let (mut ring, seal) = dice::ring(&mut dice);
    let stolen: WayIn = KeyFile::fresh(&mut dice).unwrap().into();
    let id = ring.add(&seal, &stolen, "", &mut dice).unwrap();
    let old_copy = ring.clone();
    ring.remove(&seal, id).unwrap();
    let newer = ring.rotate(&seal, &[quick(WORDS)], &mut dice).unwrap();
    let name = content(b"a later film");
    let sealed = newer.seal(&name, b"a later film").unwrap();
    assert!(ring.open(&stolen).is_err());
    let thief = old_copy.open(&stolen).unwrap();
    assert_eq!(
        thief.open(&name, &sealed),
        Err(VaultError::LostKey { number: 2 })
    );
}

#[test]
fn no_bit_of_a_keyring_file_can_be_flipped_unseen() {
    let mut dice = Dice::of(48);
    let file = KeyFile::fresh(&mut dice).unwrap();
    let way = file.clone().into();
    let (ring, _) = Keyring::make(&way, "label", &mut dice).unwrap();
    let mut bytes = ring.bytes();
    for bit in 0..bytes.len() * 8 {
        bytes[bit / 8] ^= 1 << (bit % 8);
        match Keyring::read(&bytes) {
            Err(VaultError::KeyringDamaged { .. } | VaultError::TooNew { .. }) => {}
            // Blanks at the very end are nothing.
            Ok(same) => assert_eq!(same, ring, "bit {bit} of byte {}", bit / 8),
            Err(other) => panic!("bit {bit}: {other}"),
        }
        bytes[bit / 8] ^= 1 << (bit % 8);
    }
    for cut in 0..bytes.len() - 2 {
        assert!(Keyring::read(&bytes[..cut]).is_err(), "cut at {cut}");
    }
}

#[test]
fn a_keyring_changed_by_somebody_who_cannot_open_it_is_refused_though_its_check_fits() {
    let mut dice = Dice::of(49);
    let (mut ring, seal) = dice::ring(&mut dice);
    ring.add(
        &seal,
        &KeyFile::fresh(&mut dice).unwrap().into(),
        "safe",
        &mut dice,
    )
    .unwrap();
    let text = String::from_utf8(ring.bytes()).unwrap();
    let fitted = |text: &str| {
        let body = &text[..text.rfind("text = \"").unwrap()];
        format!(
            "{body}text = \"{}\"\n",
            hex::encode(content(body.as_bytes()))
        )
    };
    assert_eq!(fitted(&text), text);
    let relabelled = Keyring::read(fitted(&text.replace("safe", "till")).as_bytes()).unwrap();
    assert!(said(relabelled.open(&quick(WORDS))).contains("could not open it"));
    // The second way in left out.
    let (start, end) = (
        text.rfind("\n[[way]]").unwrap(),
        text.rfind("\n[check]").unwrap(),
    );
    let fewer = format!("{}{}", &text[..start], &text[end..]);
    let fewer = Keyring::read(fitted(&fewer).as_bytes()).unwrap();
    assert_eq!(fewer.ways().len(), 1);
    assert!(said(fewer.open(&quick(WORDS))).contains("could not open it"));
    // One wrapped key put in the place of another.
    let digits: Vec<&str> = text.split("nonce = ").skip(1).take(2).collect();
    let (a, b) = (
        &digits[0][..digits[0].find('}').unwrap()],
        &digits[1][..digits[1].find('}').unwrap()],
    );
    let swapped = text
        .replacen(a, "@", 1)
        .replacen(b, a, 1)
        .replacen('@', b, 1);
    let swapped = Keyring::read(fitted(&swapped).as_bytes()).unwrap();
    assert!(swapped.open(&quick(WORDS)).is_err());
}

#[test]
fn line_ends_may_change_on_the_way_and_nothing_else() {
    let mut dice = Dice::of(50);
    let (ring, _) = dice::ring(&mut dice);
    let text = String::from_utf8(ring.bytes()).unwrap();
    let windows = format!("\u{feff}{}", text.replace('\n', "\r\n"));
    assert_eq!(Keyring::read(windows.as_bytes()).unwrap(), ring);
    let damaged = said(Keyring::read(text.replace("front", "Front").as_bytes()));
    assert!(
        damaged.contains("the keyring file is damaged")
            && damaged.contains("each backup carries one")
    );
}

#[test]
fn a_newer_keyring_file_names_both_formats() {
    let mut dice = Dice::of(51);
    let (ring, _) = dice::ring(&mut dice);
    let text = String::from_utf8(ring.bytes()).unwrap();
    let newer = text.replace("format = 1", "format = 7");
    assert!(said(Keyring::read(newer.as_bytes())).contains("format 7; this program knows up to 1"));
}

#[test]
fn a_hostile_keyring_cannot_ask_for_memory_or_hours() {
    let mut dice = Dice::of(52);
    let (ring, _) = dice::ring(&mut dice);
    let text = String::from_utf8(ring.bytes()).unwrap();
    let fitted = |from: &str, to: &str| {
        let text = text.replace(from, to);
        let body = &text[..text.rfind("text = \"").unwrap()];
        let whole = format!(
            "{body}text = \"{}\"\n",
            hex::encode(content(body.as_bytes()))
        );
        said(Keyring::read(whole.as_bytes()))
    };
    for (from, to) in [
        ("memory_kib = 8192", "memory_kib = 4194304"),
        ("memory_kib = 8192", "memory_kib = 1"),
        ("passes = 1", "passes = 1000000"),
        ("passes = 1", "passes = 0"),
        ("lanes = 1", "lanes = 64"),
    ] {
        let said = fitted(from, to);
        assert!(
            said.contains("in the keyring file; expected"),
            "{to}: {said}"
        );
    }
    assert!(fitted("passes = 1", "passes = -1").contains("damaged"));
    assert!(fitted("keys = [0, 1]", "keys = [0, 1, 2]").contains("damaged"));
    let way = &text[text.find("\n[[way]]").unwrap()..text.find("\n[check]").unwrap()];
    let many: String = (0..5u64)
        .map(|n| {
            let id = ring.ways()[0].id().to_string();
            way.replace(&id, &format!("{n:016x}"))
        })
        .collect();
    assert!(fitted(way, &many).contains("up to 4 passphrases"));
    assert!(said(Keyring::read(&vec![b'#'; 600_000])).contains("larger than any keyring"));
    assert!(said(Keyring::read(&[0xff; 9])).contains("not text"));
    assert!(said(Keyring::read("x = ".repeat(9).as_bytes())).contains("damaged"));
    assert!(
        said(Keyring::read(
            format!("format = 1\nx = {}", "[".repeat(100_000)).as_bytes()
        ))
        .contains("damaged")
    );
    assert!(Cost::new(64 * 1024, 3, 1) == Ok(Cost::default()));
}

#[test]
fn a_new_passphrase_has_twelve_letters_and_a_label_fits_on_a_line() {
    let mut dice = Dice::of(53);
    let (mut ring, seal) = dice::ring(&mut dice);
    assert_eq!(
        said(Passphrase::chosen("too short")),
        "found a passphrase of 9 characters; expected at least 12: choose another"
    );
    assert!(Passphrase::given("").is_err());
    assert!(Passphrase::given(&"x".repeat(2000)).is_err());
    let file: WayIn = KeyFile::fresh(&mut dice).unwrap().into();
    for label in [
        "a \"quoted\" one",
        "two\nlines",
        "back\\slash",
        &"long".repeat(20),
    ] {
        assert_eq!(
            ring.add(&seal, &file, label, &mut dice),
            Err(VaultError::Label)
        );
    }
    for n in 0..3 {
        ring.add(
            &seal,
            &quick(&format!("invented passphrase {n}")),
            "",
            &mut dice,
        )
        .unwrap();
    }
    assert_eq!(
        ring.add(&seal, &quick("one passphrase more"), "", &mut dice),
        Err(VaultError::TooManyWays { most: 4 })
    );
}

#[test]
fn a_key_file_with_a_slip_is_told_from_a_file_of_another_kind() {
    let mut dice = Dice::of(54);
    let (ring, _) = dice::ring(&mut dice);
    let file = KeyFile::fresh(&mut dice).unwrap();
    let text = file.text(ring.id());
    let way = |bytes: &[u8]| said(KeyFile::read(bytes));
    KeyFile::read(format!("\u{feff}{}\n\n", text.replace('\n', " \r\n")).as_bytes()).unwrap();
    let at = text.find("\nkey ").unwrap() + 9;
    let mut slip = text.as_bytes().to_vec();
    slip[at] = if slip[at] == b'0' { b'1' } else { b'0' };
    assert!(way(&slip).contains("its check line does not fit"));
    assert!(way(&text.as_bytes()[..text.len() - 30]).contains("its last line is missing"));
    assert!(way(b"a shopping list").contains("does not begin as one"));
    assert!(way(text.replacen("file 1", "file 2", 1).as_bytes()).contains("another format"));
    assert!(way(&[0xff, 0xfe]).contains("not text"));
    assert!(way(&[b'x'; 5000]).contains("too large"));
}

#[test]
fn a_recovery_code_is_read_as_people_write_it() {
    let mut dice = Dice::of(55);
    for _ in 0..200 {
        let code = RecoveryCode::fresh(&mut dice).unwrap();
        let text = code.text();
        assert_eq!(text.len(), 47);
        let sloppy = text
            .to_lowercase()
            .replace(' ', " - \n")
            .replace('0', "o")
            .replace('1', "l")
            .replace('v', "u");
        assert_eq!(*RecoveryCode::read(&sloppy).unwrap().text(), *text);
        assert_eq!(
            *RecoveryCode::read(&text.replace(' ', "")).unwrap().text(),
            *text
        );
    }
}

#[test]
fn every_wrong_sign_and_every_change_of_neighbours_in_a_recovery_code_is_found_in_its_group() {
    const SIGNS: &[u8] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    let mut dice = Dice::of(56);
    let text = RecoveryCode::fresh(&mut dice).unwrap().text();
    let groups: Vec<&str> = text.split(' ').collect();
    let mut tried = 0;
    let mut is_found = |text: &[u8], at: usize| {
        let text = std::str::from_utf8(text).unwrap();
        let group = at / 6 + 1;
        assert_eq!(
            RecoveryCode::read(text).map(|_| ()),
            Err(VaultError::CodeGroup { group }),
            "{text}"
        );
        tried += 1;
    };
    for at in (0..47).filter(|at| at % 6 != 5) {
        for sign in SIGNS {
            let mut wrong = text.as_bytes().to_vec();
            if wrong[at] != *sign {
                wrong[at] = *sign;
                is_found(&wrong, at);
            }
        }
        let mut changed = text.as_bytes().to_vec();
        if at % 6 < 4 && changed[at] != changed[at + 1] {
            changed.swap(at, at + 1);
            is_found(&changed, at);
        }
    }
    assert!(tried > 40 * 31);
    for a in 0..8 {
        for b in 0..a {
            let mut changed = groups.clone();
            changed.swap(a, b);
            let expected = Err(VaultError::CodeGroup { group: b + 1 });
            assert_eq!(RecoveryCode::read(&changed.join(" ")).map(|_| ()), expected);
        }
    }
    assert_eq!(
        said(RecoveryCode::read("12345 abcde")),
        said::<()>(Err(VaultError::CodeLength { found: 10 }))
    );
    assert_eq!(
        RecoveryCode::read(&text.replacen(&text[..1], "é", 1)).map(|_| ()),
        Err(VaultError::CodeGroup { group: 1 })
    );
}

#[test]
fn without_random_bytes_nothing_is_made() {
    struct Dead(bool);
    impl Entropy for Dead {
        fn fill(&mut self, _: &mut [u8]) -> Result<(), NoEntropy> {
            if self.0 { Ok(()) } else { Err(NoEntropy) }
        }
    }
    for says_it_did in [true, false] {
        let made = Keyring::make(&quick(WORDS), "", &mut Dead(says_it_did));
        assert_eq!(made.map(|_| ()), Err(VaultError::NoEntropy));
        assert!(KeyFile::fresh(&mut Dead(says_it_did)).is_err());
        assert!(RecoveryCode::fresh(&mut Dead(says_it_did)).is_err());
    }
}

#[test]
fn the_keyring_file_shows_no_secret_and_neither_does_any_debugging_text() {
    let mut dice = Dice::of(57);
    let (mut ring, seal) = dice::ring(&mut dice);
    let file = KeyFile::fresh(&mut dice).unwrap();
    let code = RecoveryCode::fresh(&mut dice).unwrap();
    let (key_text, code_text) = (file.text(ring.id()), code.text());
    let ways: [WayIn; 3] = [quick(WORDS), file.into(), code.into()];
    ring.add(&seal, &ways[1], "", &mut dice).unwrap();
    ring.add(&seal, &ways[2], "", &mut dice).unwrap();
    let shown = format!(
        "{}{ways:?}{seal:?}",
        String::from_utf8(ring.bytes()).unwrap()
    );
    let key = key_text
        .split("\nkey ")
        .nth(1)
        .unwrap()
        .lines()
        .next()
        .unwrap();
    assert_eq!(key.len(), 64);
    for secret in [WORDS, key, &code_text, &seal.database_key().hex()] {
        assert!(!shown.contains(secret));
    }
}

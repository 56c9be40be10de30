//! Writes a keyring, sealed files and a backup for `checks/vault/second.py`, and opens what that wrote.
//!
//! `vault_cases` prints cases as JSON; `vault_cases open FILE` reads the JSON of the other implementation
//! and fails where something does not open as it says. Everything sealed is invented.

use rand::{RngCore, SeedableRng, rngs::StdRng};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::io::Write;
use vault::stream::{self, Sealer};
use vault::{Entropy, KeyFile, Keyring, NoEntropy, Passphrase, RecoveryCode, Seal, WayIn};

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

struct Dice(StdRng);

impl Entropy for Dice {
    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        self.0.fill_bytes(bytes);
        Ok(())
    }
}

fn main() -> Outcome<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match args.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => println!("{}", cases()?),
        ["open", file] => println!(
            "opened {}",
            opened(&serde_json::from_slice(&std::fs::read(file)?)?)?
        ),
        _ => return Err("expected nothing, or: open FILE".into()),
    }
    Ok(())
}

fn sealed(seal: &Seal, plain: &[u8]) -> Outcome<Value> {
    let content: [u8; 32] = Sha256::digest(plain).into();
    Ok(json!({
        "content": hex::encode(content),
        "name": seal.name_of(&content),
        "length": plain.len(),
        "sealed": hex::encode(seal.seal(&content, plain)?),
    }))
}

fn cases() -> Outcome<Value> {
    const PASSPHRASE: &str = "an invented Passphrase with a\u{308} and ß";
    let mut dice = Dice(StdRng::seed_from_u64(20_261_127));
    let passphrase: WayIn = Passphrase::chosen(PASSPHRASE)?.into();
    let (mut ring, first) = Keyring::make(&passphrase, "front desk", &mut dice)?;
    let file = KeyFile::fresh(&mut dice)?;
    let code = RecoveryCode::fresh(&mut dice)?;
    ring.add(&first, &file.clone().into(), "stick", &mut dice)?;
    ring.add(&first, &code.clone().into(), "paper", &mut dice)?;
    let of_before = sealed(&first, b"sealed before the new key")?;
    let shown = [passphrase, file.clone().into(), code.clone().into()];
    let seal = ring.rotate(&first, &shown, &mut dice)?;
    let mut files = vec![of_before];
    for length in [0, 1, 65_535, 65_536, 65_537, 200_000] {
        let mut plain = vec![0; length];
        dice.0.fill_bytes(&mut plain);
        files.push(sealed(&seal, &plain)?);
    }
    let mut plain = vec![0; 150_000];
    dice.0.fill_bytes(&mut plain);
    let mut sealer = Sealer::start(Vec::new(), &seal, &ring, &mut dice)?;
    sealer.write_all(&plain)?;
    let (backup, _) = sealer.finish()?;
    Ok(json!({
        "keyring": String::from_utf8(ring.bytes())?,
        "passphrase": PASSPHRASE,
        "key_file": *file.text(ring.id()),
        "recovery_code": *code.text(),
        "current": ring.current(),
        "database_key": *seal.database_key().hex(),
        "cookie_key": *seal.derive("cookie").hex(),
        "lasting_key": *seal.derive_lasting("pseudonyms").hex(),
        "files": files,
        "backup": hex::encode(&backup),
        "backup_content": hex::encode(Sha256::digest(&plain)),
    }))
}

/// How many things the other implementation wrote and this one opened.
fn opened(theirs: &Value) -> Outcome<usize> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let ring = Keyring::read(text(&theirs["keyring"]).as_bytes())?;
    let ways: [WayIn; 3] = [
        Passphrase::given(&text(&theirs["passphrase"]))?.into(),
        KeyFile::read(text(&theirs["key_file"]).as_bytes())?.into(),
        RecoveryCode::read(&text(&theirs["recovery_code"]))?.into(),
    ];
    let mut done = 0;
    for way in &ways {
        let seal = ring.open(way)?;
        for file in theirs["files"].as_array().into_iter().flatten() {
            let mut content = [0; 32];
            hex::decode_to_slice(text(&file["content"]), &mut content)?;
            seal.open(&content, &hex::decode(text(&file["sealed"]))?)?;
            done += 1;
        }
        stream::verify(&hex::decode(text(&theirs["backup"]))?[..], &seal)?;
        done += 1;
    }
    Ok(done)
}

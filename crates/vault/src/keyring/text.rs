//! What stands in the keyring file?
//!
//! TOML of one fixed form. Its last section checks it twice: `text` is the SHA-256 of everything above and
//! tells damage before any secret is shown; `keys` is an HMAC under the current data key over the same,
//! and tells a change by somebody who could not open it. Line ends may change on the way, nothing else.

use super::{
    Keyring, MOST_KEYS, MOST_PASSPHRASES, MOST_WAYS, RingId, Way, WayId, Wrapped, can_be_kept,
};
use crate::key::sha256;
use crate::{Cost, VaultError, WayKind};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

const FORMAT: u64 = 1;
pub const MOST_BYTES: usize = 512 * 1024;
const TEXT: &str = "text = \"";

/// Everything but the two checks.
pub fn body(ring: &Keyring) -> String {
    let mut out = String::from(
        "# Tiebeam keyring. Keep a copy apart from the data: without it and one of the ways in below\n\
         # nobody, also not the makers, can open what was sealed.\n",
    );
    let keys: Vec<String> = ring.keys.iter().map(u32::to_string).collect();
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "format = {FORMAT}\nid = \"{}\"\nkeys = [{}]\ncurrent = {}",
        ring.id,
        keys.join(", "),
        ring.current()
    );
    for way in &ring.ways {
        let _ = writeln!(
            out,
            "\n[[way]]\nid = \"{}\"\nkind = \"{}\"\nlabel = \"{}\"\nsalt = \"{}\"",
            way.id,
            way.kind,
            way.label,
            hex::encode(way.salt)
        );
        if let Some(cost) = way.cost {
            let _ = writeln!(
                out,
                "memory_kib = {}\npasses = {}\nlanes = {}",
                cost.memory_kib(),
                cost.passes(),
                cost.lanes()
            );
        }
        out.push_str("wrapped = [\n");
        for (number, wrapped) in &way.wrapped {
            let _ = writeln!(
                out,
                "  {{ key = {number}, nonce = \"{}\", sealed = \"{}\" }},",
                hex::encode(wrapped.nonce),
                hex::encode(wrapped.sealed)
            );
        }
        out.push_str("]\n");
    }
    out
}

pub fn whole(ring: &Keyring) -> String {
    let mut out = body(ring);
    let _ = writeln!(out, "\n[check]\nkeys = \"{}\"", hex::encode(ring.proof));
    let check = hex::encode(sha256(out.as_bytes()));
    let _ = writeln!(out, "{TEXT}{check}\"");
    out
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RingText {
    #[serde(rename = "format")]
    _format: u64,
    id: String,
    keys: Vec<u32>,
    current: u32,
    way: Vec<WayText>,
    check: CheckText,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WayText {
    id: String,
    kind: String,
    label: String,
    salt: String,
    memory_kib: Option<u32>,
    passes: Option<u32>,
    lanes: Option<u32>,
    wrapped: Vec<WrappedText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrappedText {
    key: u32,
    nonce: String,
    sealed: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CheckText {
    keys: String,
    #[serde(rename = "text")]
    _text: String,
}

fn damaged(detail: &'static str) -> VaultError {
    VaultError::KeyringDamaged { detail }
}

pub fn read(bytes: &[u8]) -> Result<Keyring, VaultError> {
    if bytes.len() > MOST_BYTES {
        return Err(damaged("it is larger than any keyring"));
    }
    let text = std::str::from_utf8(bytes).map_err(|_| damaged("it is not text"))?;
    let text = text.trim_start_matches('\u{feff}').replace('\r', "");
    let table: toml::Table = text
        .parse()
        .map_err(|_| damaged("it does not read as a keyring"))?;
    match table.get("format").and_then(toml::Value::as_integer) {
        Some(format) if u64::try_from(format).is_ok_and(|f| f > FORMAT) => {
            return Err(VaultError::TooNew {
                what: "a keyring file",
                found: u64::try_from(format).unwrap_or(u64::MAX),
                known: FORMAT,
            });
        }
        Some(1) => {}
        _ => return Err(damaged("it does not say its format")),
    }
    whole_as_written(&text)?;
    let ring: RingText = table
        .try_into()
        .map_err(|_| damaged("something is missing in it or does not belong there"))?;
    typed(ring)
}

fn whole_as_written(text: &str) -> Result<(), VaultError> {
    let at = text
        .rfind(TEXT)
        .ok_or_else(|| damaged("its last line is missing"))?;
    let said = text[at + TEXT.len()..].trim_end().trim_end_matches('"');
    if said != hex::encode(sha256(&text.as_bytes()[..at])) {
        return Err(damaged("its check does not fit its text"));
    }
    Ok(())
}

fn typed(text: RingText) -> Result<Keyring, VaultError> {
    let keys = text.keys;
    if keys.len() > MOST_KEYS {
        return Err(VaultError::BeyondLimits {
            what: "a number of keys of",
            found: keys.len() as u64,
            allowed: "2 to 64",
        });
    }
    if keys.first() != Some(&0) || keys.len() < 2 || !keys.is_sorted_by(|a, b| a < b) {
        return Err(damaged("its keys are not in order"));
    }
    if keys.last() != Some(&text.current) {
        return Err(damaged("its current key is not its newest"));
    }
    let passphrase = |way: &&WayText| way.kind == WayKind::Passphrase.words();
    let passphrases = text.way.iter().filter(passphrase).count();
    if text.way.len() > MOST_WAYS || passphrases > MOST_PASSPHRASES {
        return Err(VaultError::BeyondLimits {
            what: "a number of ways in of",
            found: text.way.len() as u64,
            allowed: "1 to 16, of them up to 4 passphrases",
        });
    }
    let ways: Vec<Way> = text
        .way
        .into_iter()
        .map(|way| typed_way(way, &keys))
        .collect::<Result<_, _>>()?;
    let ids: BTreeSet<WayId> = ways.iter().map(|way| way.id).collect();
    if ids.len() != ways.len() || ways.is_empty() {
        return Err(damaged("its ways in cannot be told apart"));
    }
    Ok(Keyring {
        id: RingId(digits(&text.id)?),
        keys,
        ways,
        proof: digits(&text.check.keys)?,
    })
}

fn typed_way(text: WayText, keys: &[u32]) -> Result<Way, VaultError> {
    let kind = WayKind::from_words(&text.kind)
        .ok_or_else(|| damaged("it has a way in of an unknown kind"))?;
    let cost = match (kind, text.memory_kib, text.passes, text.lanes) {
        (WayKind::Passphrase, Some(memory), Some(passes), Some(lanes)) => {
            Some(Cost::new(memory, passes, lanes)?)
        }
        (WayKind::KeyFile | WayKind::RecoveryCode, None, None, None) => None,
        _ => return Err(damaged("it does not say what a passphrase costs")),
    };
    if !can_be_kept(&text.label) {
        return Err(damaged("it has a label that cannot be kept"));
    }
    let mut wrapped = BTreeMap::new();
    for one in text.wrapped {
        let kept = Wrapped {
            nonce: digits(&one.nonce)?,
            sealed: digits(&one.sealed)?,
        };
        wrapped.insert(one.key, kept);
    }
    if !wrapped.keys().eq(keys) {
        return Err(damaged("a way in does not lead to every key"));
    }
    Ok(Way {
        id: WayId(digits(&text.id)?),
        kind,
        label: text.label,
        salt: digits(&text.salt)?,
        cost,
        wrapped,
    })
}

fn digits<const N: usize>(text: &str) -> Result<[u8; N], VaultError> {
    let mut out = [0; N];
    hex::decode_to_slice(text, &mut out).map_err(|_| damaged("some of its digits are missing"))?;
    Ok(out)
}

//! With what is a practice's keyring opened: a passphrase, a key file, a recovery code?
//!
//! Secrets come from a file, from the environment or from the keyboard; never from the command line, where others on the
//! machine could read them.

use crate::clock::fresh_bytes;
use anyhow::{Context, Result, anyhow, bail};
use std::fs;
use std::path::{Path, PathBuf};
use store_sql::disk;
use vault::{Entropy, KeyFile, Keyring, NoEntropy, Passphrase, RecoveryCode, Seal, WayIn, WayKind};
use zeroize::Zeroizing;

/// The system's own random bytes.
pub struct SystemEntropy;

impl Entropy for SystemEntropy {
    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        fresh_bytes(bytes);
        Ok(())
    }
}

// How the keyring is opened. (A `///` here would become the help of the whole command.)
#[derive(clap::Args, Clone, Default)]
pub struct Unlocking {
    /// Open the keyring with this key file; may be given more than once. Otherwise with the passphrase in
    /// TIEBEAM_PASSPHRASE, or one that is asked for
    #[arg(long = "key-file", env = "TIEBEAM_KEY_FILE", value_delimiter = ':')]
    key_files: Vec<PathBuf>,
    /// Open the keyring with a recovery code, in TIEBEAM_RECOVERY_CODE or asked for
    #[arg(long)]
    recovery_code: bool,
}

impl Unlocking {
    /// Opened by what was shown, or by a passphrase that is asked for.
    pub fn open(&self, ring: &Keyring, of: &str) -> Result<Seal> {
        let mut refused = None;
        for shown in self.shown(ring, of)? {
            match ring.open(&shown) {
                Ok(seal) => return Ok(seal),
                Err(said) => refused = Some(said),
            }
        }
        match refused {
            Some(said) => Err(said.into()),
            None => bail!(
                "found no way to open {of}; expected a key file, a passphrase or a recovery code"
            ),
        }
    }

    fn shown(&self, ring: &Keyring, of: &str) -> Result<Vec<WayIn>> {
        let mut shown = Vec::new();
        for path in &self.key_files {
            shown.push(key_file(path)?.into());
        }
        if self.recovery_code {
            shown.push(asked_code(of)?.into());
        }
        if shown.is_empty() && has(ring, WayKind::Passphrase) {
            shown.push(asked_passphrase(of)?.into());
        }
        if shown.is_empty() {
            bail!("found {of} without a passphrase; expected --key-file or --recovery-code");
        }
        Ok(shown)
    }

    /// One for each way in, for a new data key is closed under each.
    pub fn every(&self, ring: &Keyring) -> Result<Vec<WayIn>> {
        let mut shown = Vec::new();
        for path in &self.key_files {
            shown.push(key_file(path)?.into());
        }
        for way in ring.ways() {
            let of = format!("“{}”", way.label());
            match way.kind() {
                WayKind::Passphrase => shown.push(asked_passphrase(&of)?.into()),
                WayKind::RecoveryCode => shown.push(asked_code(&of)?.into()),
                WayKind::KeyFile => {}
            }
        }
        Ok(shown)
    }
}

fn has(ring: &Keyring, kind: WayKind) -> bool {
    ring.ways().iter().any(|way| way.kind() == kind)
}

fn key_file(path: &Path) -> Result<KeyFile> {
    let bytes = fs::read(path)
        .map(Zeroizing::new)
        .with_context(|| format!("the key file {} could not be read", path.display()))?;
    Ok(KeyFile::read(&bytes)?)
}

/// From the environment, or typed without being shown.
fn asked(variable: &str, question: &str) -> Result<Zeroizing<String>> {
    if let Ok(given) = std::env::var(variable) {
        return Ok(Zeroizing::new(given));
    }
    rpassword::prompt_password(question)
        .map(Zeroizing::new)
        .map_err(|e| anyhow!("found no keyboard to ask at ({e}); expected one, or {variable}"))
}

fn asked_passphrase(of: &str) -> Result<Passphrase> {
    let typed = asked("TIEBEAM_PASSPHRASE", &format!("Passphrase of {of}: "))?;
    Ok(Passphrase::given(&typed)?)
}

fn asked_code(of: &str) -> Result<RecoveryCode> {
    let typed = asked("TIEBEAM_RECOVERY_CODE", &format!("Recovery code of {of}: "))?;
    Ok(RecoveryCode::read(&typed)?)
}

/// Typed twice.
pub fn chosen_passphrase() -> Result<Passphrase> {
    const VARIABLE: &str = "TIEBEAM_NEW_PASSPHRASE";
    let once = asked(VARIABLE, "New passphrase, 12 letters or more: ")?;
    let chosen = Passphrase::chosen(&once)?;
    let twice = asked(VARIABLE, "The same once more: ")?;
    if *once != *twice {
        bail!("found two different passphrases; expected the same twice");
    }
    Ok(chosen)
}

/// The keyring of a practice.
pub fn read_ring(path: &Path) -> Result<Keyring> {
    let bytes = fs::read(path)
        .with_context(|| format!("the keyring {} could not be read", path.display()))?;
    Ok(Keyring::read(&bytes)?)
}

/// In one piece, or as it was before.
pub fn write_ring(path: &Path, ring: &Keyring) -> Result<()> {
    disk::write_over(path, &ring.bytes())
        .with_context(|| format!("the keyring {} could not be written", path.display()))
}

//! What stands in a key file?
//!
//! Four lines of text: what it is, which keyring it opens, 32 random bytes in hexadecimal digits, and a
//! check over the lines before, so that a slip in copying is told from a wrong file.

use crate::entropy::fresh;
use crate::key::{same, sha256};
use crate::{Entropy, RingId, VaultError};
use zeroize::{Zeroize, ZeroizeOnDrop, Zeroizing};

const TITLE: &str = "Tiebeam key file 1";
const MOST_BYTES: usize = 2048;

#[derive(Clone, Zeroize, ZeroizeOnDrop)]
pub struct KeyFile {
    secret: [u8; 32],
}

impl KeyFile {
    pub fn fresh(entropy: &mut dyn Entropy) -> Result<Self, VaultError> {
        Ok(KeyFile {
            secret: fresh(entropy)?,
        })
    }

    pub(crate) fn bytes(&self) -> &[u8; 32] {
        &self.secret
    }

    /// The text of the file. `ring` tells a person which keyring it opens; opening does not need it.
    pub fn text(&self, ring: RingId) -> Zeroizing<String> {
        let mut text = Zeroizing::new(String::with_capacity(512));
        text.push_str(TITLE);
        text.push_str("\nkeyring ");
        text.push_str(&ring.to_string());
        text.push_str("\nkey ");
        text.push_str(&Zeroizing::new(hex::encode(self.secret)));
        text.push('\n');
        let check = check(&text);
        text.push_str("check ");
        text.push_str(&check);
        text.push('\n');
        text
    }

    /// Of a file from outside; line ends and blanks may have changed on the way.
    pub fn read(bytes: &[u8]) -> Result<Self, VaultError> {
        let not = |detail| VaultError::KeyFile { detail };
        if bytes.len() > MOST_BYTES {
            return Err(not("it is too large"));
        }
        let text = std::str::from_utf8(bytes).map_err(|_| not("it is not text"))?;
        let text = text.trim_start_matches('\u{feff}');
        let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
        let title = lines.next().unwrap_or_default();
        if title != TITLE {
            return Err(not(if title.starts_with("Tiebeam key file ") {
                "it is of another format"
            } else {
                "it does not begin as one"
            }));
        }
        let mut line = |start: &str, missing| {
            let line = lines.next().and_then(|line| line.strip_prefix(start));
            line.map(str::trim).ok_or_else(|| not(missing))
        };
        let ring = line("keyring ", "its second line is missing")?;
        let digits = line("key ", "its third line is missing")?;
        let said = line("check ", "its last line is missing")?;
        let mut again = Zeroizing::new(String::with_capacity(512));
        for part in [TITLE, "\nkeyring ", ring, "\nkey ", digits, "\n"] {
            again.push_str(part);
        }
        if !same(
            check(&again).as_bytes(),
            said.to_ascii_lowercase().as_bytes(),
        ) {
            return Err(not("its check line does not fit: it was changed or cut"));
        }
        let mut file = KeyFile { secret: [0; 32] };
        hex::decode_to_slice(digits, &mut file.secret)
            .map_err(|_| not("its key is not 64 hexadecimal digits"))?;
        Ok(file)
    }
}

fn check(text: &str) -> String {
    hex::encode(&sha256(text.as_bytes())[..8])
}

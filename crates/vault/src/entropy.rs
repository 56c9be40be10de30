//! Where do random bytes come from?
//!
//! From the caller: the program hands in the system's generator, a test a seeded one.

pub trait Entropy {
    /// Fills all of `bytes` with bytes nobody can foretell.
    ///
    /// # Errors
    /// Where the system has none to give; nothing is made then.
    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), NoEntropy>;
}

/// The system gave no random bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoEntropy;

/// `N` fresh bytes.
pub(crate) fn fresh<const N: usize>(entropy: &mut dyn Entropy) -> Result<[u8; N], NoEntropy> {
    let mut bytes = [0; N];
    entropy.fill(&mut bytes)?;
    // A generator that says it did and did nothing is the one fault of it that shows.
    if N >= 16 && bytes.iter().all(|b| *b == 0) {
        return Err(NoEntropy);
    }
    Ok(bytes)
}

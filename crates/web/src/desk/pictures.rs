//! Which small pictures of films were made lately, so that the next one who looks need not wait for them?
//!
//! Each lies under all that it hangs on (the file's hash, how it is turned, the window, the size), so that none can be out
//! of step; the ones looked at longest ago go first.

use axum::body::Bytes;
use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

/// Of all together.
const MOST_BYTES: usize = 96 * 1024 * 1024;

#[derive(Default)]
pub struct Pictures(Mutex<VecDeque<(String, Bytes)>>);

impl Pictures {
    pub fn known(&self, key: &str) -> Option<Bytes> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(known, _)| known == key)?;
        let found = kept.remove(at)?;
        let bytes = found.1.clone();
        kept.push_front(found);
        Some(bytes)
    }

    pub fn keep(&self, key: String, bytes: Bytes) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|(known, _)| *known != key);
        kept.push_front((key, bytes));
        let mut all = 0;
        let mut within = |(_, bytes): &(String, Bytes)| {
            all += bytes.len();
            all <= MOST_BYTES
        };
        let stay = kept.iter().take_while(|entry| within(entry)).count();
        kept.truncate(stay);
    }

    pub fn forget_all(&self) {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_looked_at_stay_and_all_together_stay_small() {
        let pictures = Pictures::default();
        let large = Bytes::from(vec![0; MOST_BYTES / 3]);
        for name in ["a", "b", "c"] {
            pictures.keep(name.into(), large.clone());
        }
        assert!(pictures.known("a").is_some());
        pictures.keep("d".into(), large.clone());
        let there = ["a", "b", "c", "d"].map(|n| pictures.known(n).is_some());
        assert_eq!(there, [true, false, true, true]);
        pictures.keep("e".into(), Bytes::from(vec![0; MOST_BYTES + 1]));
        assert!(pictures.known("e").is_none(), "larger than all together");
        pictures.forget_all();
        assert!(pictures.known("a").is_none());
    }
}

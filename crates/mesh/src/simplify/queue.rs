//! Which edge is next?

/// An edge that waits, as it was when it was put there.
#[derive(Clone, Copy)]
pub(super) struct Entry {
    pub half_edge: u32,
    /// Of both ends together.
    pub age: u32,
}

/// Edges by their cost, a quarter of an octave to a list; each list in the order in which it was filled.
///
/// Finer order would not show in the result. This one needs no sorting, and goes through memory in order.
pub(super) struct Queue {
    lists: Vec<Vec<Entry>>,
    list: usize,
    at: usize,
}

impl Queue {
    pub fn new() -> Queue {
        Queue {
            lists: vec![Vec::new(); (u32::MAX >> 21) as usize + 1],
            list: 0,
            at: 0,
        }
    }

    pub fn push(&mut self, (cost, entry): (f64, Entry)) {
        // The bits of positive numbers rise with them.
        let list = ((cost as f32).max(0.0).to_bits() >> 21) as usize;
        self.lists[list.max(self.list)].push(entry);
    }

    pub fn pop(&mut self) -> Option<Entry> {
        loop {
            if let Some(&entry) = self.lists.get(self.list)?.get(self.at) {
                self.at += 1;
                return Some(entry);
            }
            self.lists[self.list] = Vec::new();
            self.list += 1;
            self.at = 0;
        }
    }
}

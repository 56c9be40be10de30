//! True, false or unknown, and how they combine (strong Kleene logic).
//!
//! Learning more can turn unknown into true or false; it can never turn true into false by itself.

use serde::{Deserialize, Serialize};
use std::ops::Not;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Truth {
    True,
    False,
    Unknown,
}

use Truth::{False, True, Unknown};

impl Truth {
    pub fn and(self, other: Truth) -> Truth {
        match (self, other) {
            (False, _) | (_, False) => False,
            (True, True) => True,
            _ => Unknown,
        }
    }

    pub fn or(self, other: Truth) -> Truth {
        !(!self).and(!other)
    }

    /// Two witnesses of the same thing: they agree, one is silent, or they disagree and nothing is known.
    pub fn agree(self, other: Truth) -> Truth {
        match (self, other) {
            (Unknown, t) | (t, Unknown) => t,
            (a, b) if a == b => a,
            _ => Unknown,
        }
    }

    pub fn is_true(self) -> bool {
        self == True
    }

    pub fn is_false(self) -> bool {
        self == False
    }

    pub fn is_unknown(self) -> bool {
        self == Unknown
    }

    pub fn word(self) -> &'static str {
        match self {
            True => "yes",
            False => "no",
            Unknown => "not known",
        }
    }
}

impl Not for Truth {
    type Output = Truth;
    fn not(self) -> Truth {
        match self {
            True => False,
            False => True,
            Unknown => Unknown,
        }
    }
}

impl From<bool> for Truth {
    fn from(b: bool) -> Truth {
        if b { True } else { False }
    }
}

impl From<Option<bool>> for Truth {
    fn from(b: Option<bool>) -> Truth {
        b.map_or(Unknown, Truth::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Truth; 3] = [True, False, Unknown];

    #[test]
    fn knowing_more_never_overturns_a_settled_and_or_or() {
        for a in ALL {
            for b in [True, False] {
                for settled in [a.and(Unknown), a.or(Unknown)]
                    .into_iter()
                    .zip([a.and(b), a.or(b)])
                {
                    assert!(
                        settled.0.is_unknown() || settled.0 == settled.1,
                        "{a:?} {b:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn witnesses_that_disagree_leave_nothing_known() {
        assert_eq!(True.agree(False), Unknown);
        assert_eq!(True.agree(Unknown), True);
        assert_eq!(Unknown.agree(False), False);
    }
}

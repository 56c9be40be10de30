//! Who may send, and how much?

use std::net::IpAddr;
use std::str::FromStr;
use std::time::Duration;

/// How much the receiver takes on at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceiverLimits {
    /// Associations at once.
    pub associations: usize,
    /// Of them, from one address.
    pub per_address: usize,
    /// Largest PDU that is taken, and named as the largest when an association is accepted.
    pub pdu_bytes: u32,
    /// Largest data set of one object, counted as it comes in.
    pub object_bytes: u64,
    /// Of all objects that are coming in, together.
    pub bytes_in_hand: u64,
    /// Presentation contexts in one request; the standard has 128 numbers for them.
    pub contexts: usize,
    /// Objects over one association.
    pub objects: u64,
    /// Longest silence.
    pub idle: Duration,
    /// Longest association.
    pub whole: Duration,
    /// Longest that a caller may take over its first request, TLS included.
    pub first: Duration,
}

impl Default for ReceiverLimits {
    fn default() -> Self {
        Self {
            associations: 8,
            per_address: 4,
            pdu_bytes: 128 * 1024,
            object_bytes: 256 * 1024 * 1024,
            bytes_in_hand: 1024 * 1024 * 1024,
            contexts: 128,
            objects: 10_000,
            idle: Duration::from_secs(60),
            whole: Duration::from_secs(60 * 60),
            first: Duration::from_secs(20),
        }
    }
}

/// A text that is no rule.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadRule {
    #[error("found {found:?} as addresses; expected one like 192.168.4.0/24, 10.0.0.7 or fd00::/8")]
    Net { found: String },
    #[error("found {found:?} as a caller; expected TITLE@ADDRESS, such as XRAY@192.168.4.20")]
    Caller { found: String },
    #[error(
        "found the title {found:?}; an application entity title has 1 to 16 plain letters, digits or signs and no backslash"
    )]
    Title { found: String },
}

/// A range of addresses: an address and how many of its first bits count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Net {
    address: IpAddr,
    bits: u8,
}

impl Net {
    pub fn holds(&self, address: IpAddr) -> bool {
        // An IPv4 caller at an IPv6 socket shows as ::ffff:a.b.c.d.
        match (self.address, address.to_canonical()) {
            (IpAddr::V4(net), IpAddr::V4(a)) => {
                let mask = u32::MAX.checked_shl(32 - u32::from(self.bits)).unwrap_or(0);
                net.to_bits() & mask == a.to_bits() & mask
            }
            (IpAddr::V6(net), IpAddr::V6(a)) => {
                let mask = u128::MAX
                    .checked_shl(128 - u32::from(self.bits))
                    .unwrap_or(0);
                net.to_bits() & mask == a.to_bits() & mask
            }
            _ => false,
        }
    }
}

impl Net {
    /// Does it hold nothing but this machine itself?
    pub fn is_this_machine(&self) -> bool {
        let own = if self.address.is_ipv4() { 8 } else { 128 };
        self.address.is_loopback() && self.bits >= own
    }

    pub fn is_ipv6(&self) -> bool {
        self.address.is_ipv6()
    }
}

impl FromStr for Net {
    type Err = BadRule;

    fn from_str(text: &str) -> Result<Self, BadRule> {
        let bad = || BadRule::Net {
            found: text.chars().take(50).collect(),
        };
        let (address, bits) = match text.trim().split_once('/') {
            Some((address, bits)) => (address, Some(bits)),
            None => (text.trim(), None),
        };
        let address: IpAddr = address.parse().map_err(|_| bad())?;
        let most = if address.is_ipv4() { 32 } else { 128 };
        let bits = match bits {
            None => most,
            Some(bits) if bits.bytes().all(|b| b.is_ascii_digit()) => {
                bits.parse().map_err(|_| bad())?
            }
            Some(_) => return Err(bad()),
        };
        if bits > most {
            return Err(bad());
        }
        Ok(Net { address, bits })
    }
}

/// Checks an application entity title (AE of PS3.5 table 6.2-1).
///
/// # Errors
/// Empty, longer than 16, or with a backslash or control character.
pub fn checked_title(text: &str) -> Result<String, BadRule> {
    let title = text.trim_matches(' ');
    let good = (1..=16).contains(&title.len())
        && title
            .bytes()
            .all(|b| (0x20..0x7F).contains(&b) && b != b'\\');
    if good {
        Ok(title.to_owned())
    } else {
        Err(BadRule::Title {
            found: text.chars().take(40).collect(),
        })
    }
}

/// One caller that may send: its title AND the addresses it may call from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caller {
    pub title: String,
    pub from: Vec<Net>,
}

impl FromStr for Caller {
    type Err = BadRule;

    /// `TITLE@ADDRESS`, the address or range of addresses after the last `@`.
    fn from_str(text: &str) -> Result<Self, BadRule> {
        let (title, from) = text.rsplit_once('@').ok_or_else(|| BadRule::Caller {
            found: text.chars().take(60).collect(),
        })?;
        Ok(Caller {
            title: checked_title(title)?,
            from: vec![from.parse()?],
        })
    }
}

/// Who may send to whom, and how much.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rules {
    /// Our own title.
    pub called: String,
    /// Whoever stands here is let in from the addresses of the line.
    pub callers: Vec<Caller>,
    /// From these addresses a caller is let in whatever it calls itself. Where both lists are empty, nobody is.
    pub any_title_from: Vec<Net>,
    pub limits: ReceiverLimits,
}

impl Rules {
    pub fn lets_in(&self, calling: &str, address: IpAddr) -> bool {
        self.any_title_from.iter().any(|n| n.holds(address))
            || self
                .callers
                .iter()
                .any(|c| c.title == calling && c.from.iter().any(|n| n.holds(address)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn holds(net: &str, address: &str) -> bool {
        net.parse::<Net>().unwrap().holds(address.parse().unwrap())
    }

    #[test]
    fn a_range_holds_its_addresses_and_no_others() {
        assert!(holds("192.168.4.0/24", "192.168.4.255"));
        assert!(!holds("192.168.4.0/24", "192.168.5.0"));
        assert!(holds("0.0.0.0/0", "8.8.8.8"));
        assert!(!holds("0.0.0.0/0", "::1"));
        assert!(holds("10.0.0.7", "10.0.0.7"));
        assert!(!holds("10.0.0.7", "10.0.0.8"));
        assert!(holds("10.0.0.0/8", "::ffff:10.1.2.3"));
        assert!(holds("fd00::/8", "fd12::1"));
        assert!(!holds("fd00::/8", "fe80::1"));
        for (net, own) in [
            ("127.0.0.1", true),
            ("::1", true),
            ("127.0.0.0/7", false),
            ("10.0.0.1", false),
        ] {
            assert_eq!(net.parse::<Net>().unwrap().is_this_machine(), own, "{net}");
        }
    }

    #[test]
    fn a_caller_is_a_title_at_an_address() {
        let caller: Caller = "X RAY@192.168.4.0/24".parse().unwrap();
        assert_eq!(caller.title, "X RAY");
        assert!(caller.from[0].holds("192.168.4.9".parse().unwrap()));
        for bad in [
            "XRAY",
            "@10.0.0.1",
            "XRAY@",
            "XRAY@host",
            "A TITLE BEYOND SIXTEEN@::1",
        ] {
            assert!(bad.parse::<Caller>().is_err(), "{bad}");
        }
    }

    #[test]
    fn a_text_that_is_no_range_is_refused() {
        for bad in [
            "",
            "10.0.0.0/33",
            "fd00::/129",
            "10.0.0.0/",
            "10.0.0.0/+8",
            "host",
        ] {
            assert!(bad.parse::<Net>().is_err(), "{bad}");
        }
    }

    #[test]
    fn without_a_list_of_callers_only_the_addresses_for_every_title_are_let_in() {
        let mut rules = Rules {
            called: "TIEBEAM".into(),
            callers: Vec::new(),
            any_title_from: vec!["127.0.0.0/8".parse().unwrap(), "::1".parse().unwrap()],
            limits: ReceiverLimits::default(),
        };
        for address in ["127.0.0.1", "::1", "::ffff:127.0.0.1"] {
            assert!(rules.lets_in("ANY", address.parse().unwrap()), "{address}");
        }
        assert!(!rules.lets_in("ANY", "192.0.2.1".parse().unwrap()));
        rules.any_title_from.clear();
        assert!(!rules.lets_in("ANY", "127.0.0.1".parse().unwrap()));
    }

    #[test]
    fn both_the_title_and_the_address_must_fit() {
        let rules = Rules {
            called: "TIEBEAM".into(),
            callers: vec![Caller {
                title: "XRAY".into(),
                from: vec!["10.0.0.0/8".parse().unwrap()],
            }],
            any_title_from: Vec::new(),
            limits: ReceiverLimits::default(),
        };
        assert!(rules.lets_in("XRAY", "10.1.1.1".parse().unwrap()));
        assert!(!rules.lets_in("XRAY", "11.1.1.1".parse().unwrap()));
        assert!(!rules.lets_in("xray", "10.1.1.1".parse().unwrap()));
    }
}

//! One entry of the log, and of which kind.

use exam::Given;
use serde::{Deserialize, Serialize};
use terms::Side;
use time::Date;

/// What an entry is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    Injection,
    Boot,
    Wrap,
    Medicine,
    Therapy,
    Device,
    Operation,
    /// A look at one of the others.
    Check,
}

impl Kind {
    pub const ALL: [Kind; 8] = [
        Kind::Boot,
        Kind::Wrap,
        Kind::Injection,
        Kind::Therapy,
        Kind::Device,
        Kind::Medicine,
        Kind::Operation,
        Kind::Check,
    ];

    pub fn key(self) -> &'static str {
        match self {
            Kind::Injection => "injection",
            Kind::Boot => "boot",
            Kind::Wrap => "wrap",
            Kind::Medicine => "medicine",
            Kind::Therapy => "therapy",
            Kind::Device => "device",
            Kind::Operation => "operation",
            Kind::Check => "check",
        }
    }

    pub fn from_key(key: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|k| k.key() == key)
    }

    pub fn words(self) -> &'static str {
        match self {
            Kind::Injection => "injection",
            Kind::Boot => "boot or cast",
            Kind::Wrap => "wrap",
            Kind::Medicine => "medicine",
            Kind::Therapy => "therapy programme",
            Kind::Device => "device",
            Kind::Operation => "operation",
            Kind::Check => "check",
        }
    }

    /// The heading of its questions on the sheet of what was given.
    pub fn section(self) -> &'static str {
        match self {
            Kind::Injection => "Injection",
            Kind::Boot => "Boot or cast",
            Kind::Wrap => "Wrap",
            Kind::Medicine => "Medicine",
            Kind::Therapy => "Therapy programme",
            Kind::Device => "Device",
            Kind::Operation => "Operation",
            Kind::Check => "Check",
        }
    }

    /// Has a last day, rather than being over once it is done.
    pub fn lasts(self) -> bool {
        !matches!(self, Kind::Injection | Kind::Operation | Kind::Check)
    }

    /// Worn on the foot, so that two of them at once are one too many.
    pub fn is_worn(self) -> bool {
        matches!(self, Kind::Boot | Kind::Wrap | Kind::Device)
    }
}

/// One thing given or done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    pub id: String,
    /// A check is about another entry.
    pub about: Option<String>,
    pub kind: Kind,
    pub side: Option<Side>,
    pub began: Date,
    /// `None` while it goes on, or where it is over once done.
    pub ended: Option<Date>,
    pub answers: Given,
}

impl Entry {
    pub(crate) fn choice(&self, key: &str) -> Option<&str> {
        self.answers.choice(key).value()
    }

    /// The rung of the ladder it belongs to; `None` for an operation, a check, or a device of no said kind.
    pub fn rung(&self) -> Option<&'static str> {
        match self.kind {
            Kind::Injection => Some("injection"),
            Kind::Boot => Some("boot"),
            Kind::Wrap => Some("wrap"),
            Kind::Medicine => Some("tablets"),
            Kind::Therapy => Some("therapy"),
            Kind::Device => match self.choice("device_kind")? {
                "foot_orthosis" => Some("orthosis"),
                "hinged_afo" => Some("hinged-afo"),
                "solid_afo" => Some("solid-afo"),
                "gauntlet" => Some("gauntlet"),
                _ => Some("footwear"),
            },
            Kind::Operation | Kind::Check => None,
        }
    }

    /// On or around a day.
    pub(crate) fn overlaps(&self, other: &Entry) -> bool {
        let begins_before_end = |a: &Entry, b: &Entry| b.ended.is_none_or(|end| a.began < end);
        begins_before_end(self, other) && begins_before_end(other, self)
    }
}

/// `walking boot`, `lace-up gauntlet`, `injection, tendon sheath`: as exact as what was recorded.
pub fn name(entry: &Entry) -> String {
    let said = |key: &str| {
        let question = exam::question(key)?;
        let chosen = entry.choice(key)?;
        let exam::Kind::Choice { choices } = question.kind else {
            return None;
        };
        choices.iter().find(|c| c.key == chosen).map(|c| c.words)
    };
    let exact = match entry.kind {
        Kind::Boot => said("boot_kind"),
        Kind::Wrap => said("wrap_kind"),
        Kind::Device => said("device_kind"),
        Kind::Medicine => said("medicine_class"),
        Kind::Injection => {
            return match said("injection_site") {
                Some(site) => format!("injection, {site}"),
                None => "injection".to_owned(),
            };
        }
        Kind::Therapy | Kind::Operation | Kind::Check => None,
    };
    exact.unwrap_or(entry.kind.words()).to_owned()
}

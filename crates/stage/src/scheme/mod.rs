//! The schemes: which stages there are. What makes each of them stands in the knowledge folder.

pub mod consensus;

use crate::book::{Book, cites};
use crate::report::Cite;
use crate::rule::Rule;
use crate::witness::confirmed;
use knowledge::Knowledge;
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scheme {
    /// Four stages of the failing tendon, with substages.
    Tendon,
    /// Hindfoot, ankle and midfoot side by side.
    ThreeColumn,
    /// Classes A to E, flexible or rigid, of 2020.
    Consensus,
    /// Flexible or rigid, painful or not, in children.
    Child,
    /// Green, amber or red, in children.
    TrafficLight,
}

impl Scheme {
    pub const ALL: [Scheme; 5] = [
        Scheme::Tendon,
        Scheme::ThreeColumn,
        Scheme::Consensus,
        Scheme::Child,
        Scheme::TrafficLight,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Scheme::Tendon => "Four stages of the failing tendon",
            Scheme::ThreeColumn => "Three columns",
            Scheme::Consensus => "Consensus of 2020",
            Scheme::Child => "Child's flat foot",
            Scheme::TrafficLight => "Child's traffic light",
        }
    }

    /// Each stage by its name on page and paper, and the criterion of the folder that makes it.
    fn stages(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Scheme::Tendon => &[
                ("I", "ts_I"),
                ("II", "ts_II"),
                ("III", "ts_III"),
                ("IV", "ts_IV"),
                ("IA", "ts_IA"),
                ("IB", "ts_IB"),
                ("IC", "ts_IC"),
                ("IIA1", "ts_IIA1"),
                ("IIA2", "ts_IIA2"),
                ("IIB", "ts_IIB"),
                ("IIC", "ts_IIC"),
                ("IIIA", "ts_IIIA"),
                ("IIIB", "ts_IIIB"),
                ("IVA", "ts_IVA"),
                ("IVB", "ts_IVB"),
            ],
            Scheme::ThreeColumn => &[
                ("R-Ia", "tc_rearfoot_Ia"),
                ("R-Ib", "tc_rearfoot_Ib"),
                ("R-IIa", "tc_rearfoot_IIa"),
                ("R-IIb", "tc_rearfoot_IIb"),
                ("R-IIIa", "tc_rearfoot_IIIa"),
                ("R-IIIb", "tc_rearfoot_IIIb"),
                ("A-Ia", "tc_ankle_Ia"),
                ("A-Ib", "tc_ankle_Ib"),
                ("A-IIa", "tc_ankle_IIa"),
                ("A-IIb", "tc_ankle_IIb"),
                ("A-IIIa", "tc_ankle_IIIa"),
                ("A-IIIb", "tc_ankle_IIIb"),
                ("M-Ia", "tc_midfoot_Ia"),
                ("M-Ib", "tc_midfoot_Ib"),
                ("M-IIa", "tc_midfoot_IIa"),
                ("M-IIb", "tc_midfoot_IIb"),
                ("M-IIIa", "tc_midfoot_IIIa"),
                ("M-IIIb", "tc_midfoot_IIIb"),
            ],
            Scheme::Consensus => &[
                ("A", "co_A"),
                ("B", "co_B"),
                ("C", "co_C"),
                ("D", "co_D"),
                ("E", "co_E"),
            ],
            Scheme::Child => &[
                ("not-flat", "ch_not_flat"),
                ("flexible-painless", "ch_flexible_painless"),
                ("flexible-painful", "ch_flexible_painful"),
                ("rigid-painless", "ch_rigid_painless"),
                ("rigid-painful", "ch_rigid_painful"),
            ],
            Scheme::TrafficLight => &[
                ("green", "ch_green"),
                ("amber", "ch_amber"),
                ("red", "ch_red"),
            ],
        }
    }
}

/// One stage as the folder defines it.
pub(crate) struct Stage<'k> {
    pub key: &'static str,
    pub words: &'k str,
    pub rule: Rule<'k>,
    /// The definition was read somewhere; without it the stage is told as 'would be' only.
    pub confirmed: bool,
    pub cites: Vec<Cite>,
}

pub(crate) fn stages<'k>(scheme: Scheme, book: &Book<'k>) -> Vec<Stage<'k>> {
    let stage = |&(key, criterion): &(&'static str, &'static str)| {
        let own = book.criterion(criterion);
        // A stage that the folder lost stays open under the words it had.
        let told = own.or_else(|| Knowledge::built_in().criterion(criterion));
        Stage {
            key,
            words: told.map_or(key, |c| c.words.trim_end_matches('.')),
            rule: book.level(criterion),
            confirmed: told.is_none_or(confirmed),
            cites: own.map_or_else(Vec::new, |c| cites(c, book.knowledge())),
        }
    };
    scheme.stages().iter().map(stage).collect()
}

/// Keys of every criterion that makes a stage or a class, or makes a class flexible.
pub(crate) fn keys() -> Vec<&'static str> {
    let stages = Scheme::ALL.iter().flat_map(|s| s.stages());
    stages
        .map(|(_, criterion)| *criterion)
        .chain(consensus::FLEXIBLE)
        .collect()
}

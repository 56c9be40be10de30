//! The values themselves: which, how much, and why, one function for each part of a prescription. What tilts
//! the heel stands in [`super::rearfoot`], room and rims in [`super::around`].
//!
//! Experts' agreement gives directions, settings give amounts, and both stand beside each value. One
//! surprise: the positive is inverted only as far as the heel is known to go beyond the post, so a heel
//! whose range nobody measured gets a post alone.

use super::draft::Draft;
use super::gate::Path;
use super::input::{Corrects, Facts, Making};
use super::reason::{About, Proposal, Reason};
use super::{Unknown, row, thickness};
use knowledge::orthosis::{Parameter, When};
use knowledge::{Knowledge, Provenance};
use quantity::Length;
use shell::prescription::ArchFill;

pub(crate) struct Values<'f> {
    pub(super) facts: &'f Facts<'f>,
    pub(super) path: Path,
    pub unknown: Vec<Unknown>,
    pub cautions: Vec<Reason>,
}

/// Experts' agreement on a choice, as a reason for the direction.
pub(super) fn experts(words: &str, parameter: Parameter, choice: &str, when: When) -> Reason {
    let a = row::agreement(parameter, choice, when);
    let percent = quantity::written_short(a.percent, 1);
    Reason::direction(format!("{words}: {percent} % of {} experts.", a.experts), a)
}

/// The same where the choice is the whole value.
pub(super) fn experts_value(words: &str, parameter: Parameter, choice: &str, when: When) -> Reason {
    Reason {
        about: About::Value,
        ..experts(words, parameter, choice, when)
    }
}

/// A setting as a reason for the amount.
pub(super) fn setting(words: &str, key: &str) -> Reason {
    let s = row::setting(key);
    Reason {
        opinion: s.opinion,
        ..Reason::value(format!("{words}: {}.", s.amount.words()), &s.amount)
    }
}

pub(super) fn advice(key: &str) -> Reason {
    Reason::value(row::advice(key).words.clone(), row::advice(key))
}

impl<'f> Values<'f> {
    pub fn new(facts: &'f Facts<'f>, path: Path) -> Values<'f> {
        Values {
            facts,
            path,
            unknown: Vec::new(),
            cautions: Vec::new(),
        }
    }

    pub(super) fn ask(&mut self, what: &str, ask: &[&str], would_change: impl Into<String>) {
        self.unknown.push(Unknown {
            what: what.to_owned(),
            ask: ask.iter().map(|a| (*a).to_owned()).collect(),
            would_change: would_change.into(),
        });
    }

    pub(super) fn grown_up(&self) -> bool {
        self.path != Path::Child
    }

    pub fn draft(&mut self) -> Draft {
        let material = self.material();
        let printed = Knowledge::built_in()
            .material(&material.value)
            .is_some_and(|m| m.process.is_printed());
        let thickness = self.thickness(&material.value);
        let rearfoot_post = self.rearfoot_post(!printed);
        let post_deg = rearfoot_post.value.map_or(0.0, |p| p.angle.to_degrees());
        let inversion = self.inversion(post_deg);
        let skive = self.skive();
        let skive_mm = skive.value.map_or(0.0, |s| s.depth.to_mm());
        let inversion_deg = inversion.value.map_or(0.0, |i| i.angle.to_degrees());
        let draft = Draft {
            heel_cup_depth: self.heel_cup(skive_mm, inversion_deg),
            forefoot_balance: Proposal::of(
                None,
                vec![Reason::own("The forefoot stays as it was captured.")],
            ),
            arch_fill: self.arch_fill(),
            heel_expansion: self.heel_expansion(),
            fascia_groove: Proposal::of(
                None,
                vec![Reason::own(
                    "Only where the fascia stands out as a cord when the great toe is lifted; that was not asked.",
                )],
            ),
            navicular_relief: self.navicular_relief(),
            first_ray_cut_out: Proposal::of(
                false,
                vec![Reason::own(
                    "No source that was read asks for one here; it weakens the shell.",
                )],
            ),
            behind_heads: Proposal::of(
                Length::mm(8.0),
                vec![setting(
                    "Just behind the heads, so that the toes bend free",
                    "front-edge",
                )],
            ),
            medial_flange: self.medial_flange(),
            lateral_flange: Proposal::of(
                None,
                vec![Reason::own("Not asked for; it takes room in the shoe.")],
            ),
            edge_radius: Proposal::of(
                Length::mm(1.2),
                vec![setting("Every edge is rounded, at least", "edge-rounding")],
            ),
            forefoot_post: self.forefoot_post(!printed),
            material,
            thickness,
            rearfoot_post,
            inversion,
            skive,
        };
        self.for_the_whole(&draft);
        draft
    }

    fn material(&mut self) -> Proposal<String> {
        let polyolefin = Reason::cited(
            "24 experts agreed on polyolefin shells.",
            About::Value,
            "BanwellDelphi2014",
            Provenance::Read,
        );
        let ordered = row::ordered("ordered-polypropylene");
        let ordered = Reason::value(
            format!(
                "{} % of what laboratories are asked for is {}.",
                ordered.percent, ordered.what
            ),
            ordered,
        );
        let printed = Reason::own(
            "Of the printed materials it is the one whose fatigue was read; experts were not asked about printing.",
        );
        match self.facts.asked.making {
            Some(Making::Printed) => Proposal::of("pa12-laser".to_owned(), vec![printed])
                .or(
                    "pa12-multi-jet".to_owned(),
                    Reason::own("As strong where it was measured; no fatigue figure was found."),
                )
                .or(
                    "pa11-powder".to_owned(),
                    Reason::own("Tougher; its elastic figures are recalled."),
                )
                .or("pp-homopolymer".to_owned(), polyolefin)
                .beware(advice("powder")),
            making => {
                if making.is_none() {
                    self.ask(
                        "How the device is made",
                        &["making"],
                        "printed, it would be PA12 in the thickness that bends alike, with the post in one piece",
                    );
                }
                Proposal::of("pp-homopolymer".to_owned(), vec![polyolefin, ordered])
                    .or(
                        "pp-copolymer".to_owned(),
                        Reason::own("Tougher and over a quarter less stiff."),
                    )
                    .or("pa12-laser".to_owned(), printed)
                    .beware(advice("hot-car"))
            }
        }
    }

    fn thickness(&mut self, material: &str) -> Proposal<shell::prescription::Thickness> {
        if self.facts.weight_kg.is_none() {
            self.ask(
                "Weight",
                &["weight_kg"],
                "from 75 kg on the shell gets thicker; strength cannot be computed without it",
            );
        }
        let known = Knowledge::built_in();
        let found = known
            .material(material)
            .or_else(|| known.material("pp-homopolymer"));
        let found = found.unwrap_or_else(|| panic!("the built-in knowledge lacks polypropylene"));
        thickness::propose(found, self.facts.weight_kg, !self.grown_up()).beware(advice("stiff"))
    }

    fn heel_cup(&mut self, skive_mm: f64, inversion_deg: f64) -> Proposal<Length> {
        let short = self.facts.shoe.short_of_room == Some(true);
        let ordinary = setting("Ordinary depths", "cup-ordinary");
        let deep = setting(
            "When skive in millimetres and inversion in degrees add up to more than five",
            "cup-deep",
        );
        let least = setting("With a skive at least", "cup-with-skive");
        if skive_mm + inversion_deg > 5.0 {
            let [low, high] = row::band("cup-deep");
            return Proposal::of(Length::mm(low), vec![deep.clone()])
                .or(Length::mm(high), deep)
                .beware(advice("skive-cup"));
        }
        if skive_mm > 0.0 {
            let depth = if short {
                row::usual("cup-with-skive")
            } else {
                16.0
            };
            let least = Reason {
                about: if short {
                    About::Value
                } else {
                    About::Direction
                },
                ..least
            };
            return Proposal::of(Length::mm(depth), vec![least, ordinary])
                .beware(advice("skive-cup"));
        }
        if short {
            return Proposal::of(
                Length::mm(10.0),
                vec![setting("A low device for a tight shoe", "cup-low-profile")],
            );
        }
        let depth = if self.grown_up() { 15.0 } else { 12.0 };
        Proposal::of(Length::mm(depth), vec![ordinary])
    }

    fn arch_fill(&mut self) -> Proposal<ArchFill> {
        let facts = self.facts;
        if facts.asked.cuneiform_on_floor == Some(true) {
            return Proposal::of(
                ArchFill::Maximal,
                vec![experts_value(
                    "The inner cuneiform stands on the floor, so a full fill",
                    Parameter::ArchFill,
                    "maximal",
                    When::SevereFlat,
                )],
            );
        }
        if facts.asked.cuneiform_on_floor.is_none() && facts.is("arch_standing", "flat") {
            self.ask(
                "Does the inner cuneiform stand on the floor",
                &["cuneiform_on_floor"],
                "then the arch would be filled fully (86.4 % of 24 experts)",
            );
        }
        if !self.grown_up() {
            return Proposal::of(
                ArchFill::Standard,
                vec![Reason::own(
                    "A simple support: experts were asked about adults.",
                )],
            );
        }
        match facts.corrects {
            Some(Corrects::Fully) => Proposal::of(
                ArchFill::Minimal,
                vec![
                    experts_value(
                        "The range allows full correction, so little fill",
                        Parameter::ArchFill,
                        "minimal",
                        When::FullCorrectionInRange,
                    ),
                    experts(
                        "To hold the captured shape",
                        Parameter::ArchFill,
                        "minimal",
                        When::HoldCapturedShape,
                    ),
                ],
            )
            .or(
                ArchFill::Standard,
                Reason::value(
                    row::effect("arch-height-alone").words.clone(),
                    row::effect("arch-height-alone"),
                ),
            )
            .beware(advice("running")),
            Some(Corrects::Partly | Corrects::Not) => Proposal::of(
                ArchFill::Maximal,
                vec![experts_value(
                    "The range is limited, so a full fill",
                    Parameter::ArchFill,
                    "maximal",
                    When::LimitedRange,
                )],
            ),
            None => Proposal::of(
                ArchFill::Standard,
                vec![Reason::own(
                    "Whether the foot comes back is not known: neither little nor full.",
                )],
            ),
        }
    }
}

//! Room, rims and the front of the device, and what holds for it as a whole.

use super::draft::{Draft, deg, mm};
use super::gate::Path;
use super::reason::{About, Proposal, Reason};
use super::row;
use super::values::{Values, advice, setting};
use crate::checks::CheckState;
use knowledge::anthropometry::Dimension;
use knowledge::{Knowledge, Provenance};
use quantity::{Angle, Length};
use shell::prescription::{ForefootPost, NavicularRelief};

impl Values<'_> {
    pub(super) fn heel_expansion(&mut self) -> Proposal<Option<Length>> {
        match self.facts.foot.captured_with_weight {
            Some(false) => Proposal::of(
                Some(Length::mm(3.0)),
                vec![setting(
                    "Captured without weight; the pad spreads under it",
                    "heel-expansion",
                )],
            ),
            Some(true) => Proposal::of(
                None,
                vec![Reason::own(
                    "Captured under full weight: the pad has spread.",
                )],
            ),
            None => {
                self.ask(
                    "Was the foot captured with weight on it",
                    &["captured_with_weight"],
                    "without weight the heel is widened by 2 to 4 mm",
                );
                Proposal::of(
                    None,
                    vec![Reason::own("Not known whether weight was on the foot.")],
                )
            }
        }
    }

    pub(super) fn navicular_relief(&mut self) -> Proposal<Option<NavicularRelief>> {
        let room = NavicularRelief {
            depth: Length::mm(row::usual("navicular-relief-depth")),
            radius: Length::mm(row::usual("navicular-relief-radius")),
            forward: None,
            upward: None,
        };
        if self.facts.tuberosity_tender() {
            return Proposal::of(
                Some(room),
                vec![
                    setting(
                        "The tuberosity is tender or prominent: room of",
                        "navicular-relief-depth",
                    ),
                    setting("Radius", "navicular-relief-radius"),
                ],
            )
            .beware(advice("bone"));
        }
        if self.facts.exam.choice("pain_navicular").value().is_none() {
            self.ask(
                "Pain at the navicular tuberosity",
                &[
                    "pain_navicular",
                    "accessory_navicular",
                    "skin_callus_medial",
                ],
                "a tender tuberosity gets room of 2 to 3 mm",
            );
        }
        Proposal::of(
            None,
            vec![Reason::own(
                "Nothing tender or prominent was recorded there.",
            )],
        )
        .or(
            Some(room),
            setting("If it turns out tender", "navicular-relief-depth"),
        )
    }

    pub(super) fn medial_flange(&mut self) -> Proposal<Option<Length>> {
        let facts = self.facts;
        let bulges = facts
            .exam
            .choice("posture_talar_head")
            .value()
            .is_some_and(|c| c == "+1" || c == "+2")
            || facts
                .exam
                .choice("posture_bulge")
                .value()
                .is_some_and(|c| c == "+1" || c == "+2");
        if !bulges || !self.grown_up() {
            return Proposal::of(
                None,
                vec![Reason::own(
                    "No head of the talus pushing inwards was recorded.",
                )],
            );
        }
        let recalled = Reason::cited(
            "The head of the talus pushes inwards: an inner flange holds it.",
            About::Value,
            "Recalled",
            Provenance::Unconfirmed,
        );
        let below = row::usual("edge-to-bone");
        let height = facts
            .foot
            .navicular_height
            .map(Length::to_mm)
            .filter(|h| h.is_finite())
            .map(|h| (h - below).floor());
        match height {
            Some(mm) if mm >= 12.0 => Proposal::of(
                Some(Length::mm(mm.min(60.0))),
                vec![
                    recalled,
                    setting("Its rim stays below the tuberosity by", "edge-to-bone"),
                ],
            )
            .beware(advice("bone")),
            Some(_) => Proposal::of(
                None,
                vec![Reason::own(
                    "The tuberosity lies so low that every rim would end on it.",
                )],
            )
            .beware(advice("bone")),
            None => {
                self.ask(
                    "Height of the navicular",
                    &["navicular_height"],
                    "an inner flange would be drawn up to just below it",
                );
                Proposal::of(
                    None,
                    vec![Reason::own("Height of the navicular not known.")],
                )
            }
        }
    }

    pub(super) fn forefoot_post(&mut self, separate: bool) -> Proposal<Option<ForefootPost>> {
        let facts = self.facts;
        let left = facts.exam.number("forefoot_varus_left_deg").value();
        let post = |degrees: f64| {
            Some(ForefootPost {
                angle: Angle::degrees(degrees),
                length: Length::mm(20.0),
                separate,
            })
        };
        let none = |words: &str| Proposal::of(None, vec![Reason::own(words)]);
        if !self.grown_up() {
            return none("A simple support first.");
        }
        match (facts.exam.yes("forefoot_varus"), left) {
            (Some(true), Some(left)) if left >= 1.0 => {
                let [_, start] = row::band("forefoot-post-start");
                let mut out = Proposal::of(
                    post(left.min(start).floor()),
                    vec![setting(
                        &format!(
                            "{}° of forefoot varus are left with the heel neutral; to begin with",
                            quantity::written_short(left, 1)
                        ),
                        "forefoot-post-start",
                    )],
                );
                if left > start {
                    out = out.or(
                        post(left.min(10.0).floor()),
                        Reason::cited(
                            "To the whole of what is left.",
                            About::Value,
                            "Recalled",
                            Provenance::Unconfirmed,
                        ),
                    );
                }
                out
            }
            (Some(true), None) => {
                self.ask(
                    "Forefoot varus that is left with the heel neutral, in degrees",
                    &["forefoot_varus_left_deg"],
                    "what stays turned up is posted",
                );
                none("How much of the varus is left is not known.")
            }
            (None, _) => {
                self.ask(
                    "Is the forefoot turned up once the heel is held neutral",
                    &["forefoot_varus", "forefoot_varus_left_deg"],
                    "what stays turned up is posted",
                );
                none("Not recorded whether the forefoot is turned up.")
            }
            _ => none("No varus is left once the heel is neutral."),
        }
    }

    /// Cautions on the device as a whole.
    pub(super) fn for_the_whole(&mut self, draft: &Draft) {
        let facts = self.facts;
        if facts.feeling_lost() {
            self.cautions.push(advice("numb"));
            self.cautions.push(advice("numb-never-barefoot"));
        }
        if facts.oedema.state == CheckState::Caution {
            self.cautions.push(advice("swelling"));
        }
        if facts.skin.state == CheckState::Caution {
            self.cautions.push(advice("fragile-skin"));
        }
        if self.path == Path::Child {
            self.cautions.push(advice("child-no-arch"));
            self.cautions.push(advice("child-outgrows"));
        }
        for key in ["round-edges", "skin-contact", "harm-not-counted"] {
            self.cautions.push(advice(key));
        }
        let foot = &facts.foot;
        for (what, size, dimension) in [
            ("The foot's length", foot.length, Dimension::FootLength),
            (
                "The breadth at the ball",
                foot.ball_breadth,
                Dimension::FootBreadth,
            ),
            (
                "The breadth of the heel",
                foot.heel_breadth,
                Dimension::HeelBreadth,
            ),
        ] {
            let Some(size) = size else { continue };
            let found = Knowledge::built_in().spread_for(dimension, &facts.person);
            if let Some(row) = found
                && let Some(place) = row.place_words(size.to_mm())
                && place.contains("95")
            {
                self.cautions.push(Reason::value(
                    format!(
                        "{what} of {} lies {place} ({}): check unit and points.",
                        mm(size),
                        row.population
                    ),
                    row,
                ));
            }
        }
        if let (Some(inside), Some(heel)) = (facts.shoe.inside, foot.heel_breadth) {
            let wall = 2.0 * draft.thickness.value.thinnest().to_mm();
            let device = heel.to_mm() + wall;
            if device > inside.heel_width.to_mm() {
                self.cautions.push(Reason::own(format!(
                    "Heel and shell are {} wide, the shoe {} inside: take a wider shoe or a thinner shell.",
                    mm(Length::mm(device)),
                    mm(inside.heel_width)
                )));
            }
        }
        if let (Some(post), Some(inversion)) = (draft.rearfoot_post.value, draft.inversion.value) {
            self.cautions.push(Reason::own(format!(
                "The heel is tilted by {} from the positive and {} from the post.",
                deg(inversion.angle),
                deg(post.angle)
            )));
        }
    }
}

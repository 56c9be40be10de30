//! What tilts the heel: post, inversion of the positive, skive.
//!
//! All three turn the heel inwards. Post and inversion add up and are held to what the heel passively does;
//! a skive only shifts where it is pressed.

use super::gate::Path;
use super::input::Corrects;
use super::reason::{About, Proposal, Reason};
use super::row;
use super::values::{Values, advice, experts, experts_value, setting};
use knowledge::orthosis::{Parameter, When};
use knowledge::{Knowledge, Provenance};
use quantity::{Angle, Length};
use shell::prescription::{Inversion, InversionAxis, RearfootPost, Skive};

impl Values<'_> {
    /// How far the post goes: the amount that is common, no further than the heel.
    pub(super) fn rearfoot_post(&mut self, separate: bool) -> Proposal<Option<RearfootPost>> {
        let facts = self.facts;
        if self.path == Path::Child {
            return Proposal::of(
                None,
                vec![Reason::own(
                    "A simple support first: no study of posts in children was read.",
                )],
            );
        }
        let length = self.post_length();
        let post = |degrees: f64| {
            Some(RearfootPost {
                angle: Angle::degrees(degrees),
                length,
                bevel: RearfootPost::usual_bevel(),
                separate,
                lift: RearfootPost::no_lift(),
            })
        };
        if facts.shoe.short_of_room == Some(true) {
            return Proposal::of(
                None,
                vec![experts_value(
                    "The shoe has no room under the heel, so no post",
                    Parameter::RearfootPost,
                    "none",
                    When::NoRoomInShoe,
                )],
            )
            .or(
                post(2.0),
                setting("In a roomier shoe a usual post", "post-usual"),
            );
        }
        if facts.shoe.short_of_room.is_none() {
            self.ask(
                "Room in the shoe under the heel",
                &["shoe"],
                "without room there would be a skive and no post",
            );
        }
        let common = row::usual("post-common");
        let [least, _] = row::band("post-usual");
        let tilted = experts(
            "The tibialis posterior fails, so the post is tilted inwards",
            Parameter::RearfootPost,
            "inverted",
            When::TendonDysfunction,
        );
        let whole = setting("The post that is common", "post-common");
        let usual = setting("Usual posts", "post-usual");
        let stage = setting("Recalled for stages I and II", "post-stage-one-two");
        let no_further = |degrees: f64, range: f64| {
            Reason::cited(
                format!(
                    "The heel turns in by {}° by hand, so no more than {}°: a post never goes beyond it.",
                    quantity::written_short(range, 1),
                    quantity::written_short(degrees, 1)
                ),
                About::Value,
                "Recalled",
                Provenance::Unconfirmed,
            )
        };
        let proposal = match (facts.passive_inversion_deg(), facts.corrects) {
            (Some(range), _) if range < 1.0 => {
                Proposal::of(None, vec![no_further(0.0, range.max(0.0))])
            }
            (Some(range), _) if range < common => {
                let degrees = range.floor();
                Proposal::of(
                    post(degrees),
                    vec![tilted, no_further(degrees, range), usual],
                )
            }
            (Some(_), _) => Proposal::of(post(common), vec![tilted, whole, stage])
                .or(post(least), usual)
                .or(
                    post(6.0_f64.min(facts.passive_inversion_deg().unwrap_or(6.0))),
                    setting(
                        "Upper end recalled for stages I and II",
                        "post-stage-one-two",
                    ),
                ),
            (None, Some(Corrects::Partly)) => Proposal::of(
                post(least),
                vec![
                    tilted,
                    Reason::own(
                        "The heel comes back only in part: the lower end of the usual posts.",
                    ),
                    usual,
                ],
            ),
            (None, _) => {
                Proposal::of(post(common), vec![tilted, whole, stage]).or(post(least), usual)
            }
        };
        if facts.passive_inversion_deg().is_none() {
            self.ask(
                "How far the heel turns in by hand, in degrees",
                &["passive_inversion", "heel_corrects", "heel_angle_deg"],
                format!(
                    "below {common}° the post comes down to it; beyond it the positive could be inverted as well"
                ),
            );
        }
        if proposal.value.is_none() {
            return proposal;
        }
        proposal.beware(advice("knee")).beware(Reason::cited(
            row::effect("tissue-wedge-4").words.clone(),
            About::Direction,
            "Sweeney2015",
            Provenance::Abstract,
        ))
    }

    /// Under the heel's pad, which is a share of the foot's length.
    pub(super) fn post_length(&self) -> Length {
        let share = Knowledge::built_in()
            .size("heel-pad-length")
            .map(|s| s.kind);
        let share = match share {
            Some(knowledge::SizeKind::Range { upper, .. }) => upper,
            _ => 0.28,
        };
        let length = self.facts.foot.length.map_or(250.0, Length::to_mm);
        let mm = if length.is_finite() {
            share * length
        } else {
            70.0
        };
        Length::mm(mm.round().clamp(30.0, 90.0))
    }

    pub(super) fn inversion(&mut self, post_deg: f64) -> Proposal<Option<Inversion>> {
        let facts = self.facts;
        let asked = &facts.asked;
        let turned = |degrees: f64| {
            Some(Inversion {
                angle: Angle::degrees(degrees),
                about: InversionAxis::Long,
            })
        };
        let zero = row::ordered("ordered-correction-zero");
        let zero = Reason::value(
            format!("What is ordered most often is 0° ({} %).", zero.percent),
            zero,
        );
        if asked.turning_in_tolerated == Some(false) {
            return Proposal::of(
                None,
                vec![experts_value(
                    "Turning in is not tolerated, so neutral",
                    Parameter::Pour,
                    "neutral",
                    When::InversionNotTolerated,
                )],
            );
        }
        let more = asked.more_control == Some(true);
        let wanted = self.path == Path::StageTwo || (more && self.grown_up());
        if !wanted {
            let enough = experts_value(
                "While the control is enough, neutral",
                Parameter::Pour,
                "neutral",
                When::ControlEnough,
            );
            return Proposal::of(None, vec![enough, zero]);
        }
        let mut why = Vec::new();
        if self.path == Path::StageTwo {
            why.push(experts(
                "The tibialis posterior fails, so inverted",
                Parameter::Pour,
                "inverted",
                When::TendonDysfunction,
            ));
        }
        for (said, words, when) in [
            (
                asked.more_control,
                "More control is wanted, so inverted",
                When::MoreControl,
            ),
            (
                asked.axis_far_inward,
                "The axis lies far inward, so inverted",
                When::MedialAxis,
            ),
            (
                asked.resists_turning_in,
                "The foot resists, so inverted",
                When::HighResistance,
            ),
        ] {
            if said == Some(true) {
                why.push(experts(words, Parameter::Pour, "inverted", when));
            }
        }
        let usual = row::usual("pour-degrees");
        let Some(range) = facts.passive_inversion_deg() else {
            let mut out = vec![Reason::own(
                "How far the heel goes is not measured: the post alone tilts it, and what is beyond it waits.",
            )];
            out.push(zero);
            return Proposal::of(None, out).or(
                turned(usual),
                Reason {
                    words: format!(
                        "{} Where the heel goes at least {}° in.",
                        why.first().map_or("", |w| w.words.as_str()),
                        quantity::written_short(post_deg + usual, 1)
                    ),
                    ..why
                        .first()
                        .cloned()
                        .unwrap_or_else(|| setting("Inverted", "pour-degrees"))
                },
            );
        };
        let room = (range - post_deg).floor().min(usual);
        if room < 1.0 {
            return Proposal::of(
                None,
                vec![
                    Reason::cited(
                        format!(
                            "The post already takes the {}° that the heel goes in by hand.",
                            quantity::written_short(range, 1)
                        ),
                        About::Value,
                        "Recalled",
                        Provenance::Unconfirmed,
                    ),
                    zero,
                ],
            );
        }
        why.push(setting("How far is ours", "pour-degrees"));
        Proposal::of(turned(room), why)
            .or(None, zero)
            .beware(Reason::own(format!(
                "Post and inversion add up to {}°; the heel goes {}°.",
                quantity::written_short(room + post_deg, 1),
                quantity::written_short(range, 1)
            )))
    }

    pub(super) fn skive(&mut self) -> Proposal<Option<Skive>> {
        let facts = self.facts;
        let asked = &facts.asked;
        let cut = |depth: f64| {
            Some(Skive {
                depth: Length::mm(depth),
                angle: Angle::degrees(row::usual("skive-angle")),
                clipped: true,
            })
        };
        let four = Reason::value(row::effect("skive-4").words.clone(), row::effect("skive-4"));
        let six = Reason::value(row::effect("skive-6").words.clone(), row::effect("skive-6"));
        let two = Reason::value(row::effect("skive-2").words.clone(), row::effect("skive-2"));
        if !self.grown_up() {
            return Proposal::of(
                None,
                vec![Reason::own(
                    "A simple support first: no study of skives in children was read.",
                )],
            );
        }
        let mut why = Vec::new();
        for (there, words, when) in [
            (
                asked.more_control == Some(true),
                "More control is wanted, so a skive",
                When::MoreControl,
            ),
            (
                asked.axis_far_inward == Some(true),
                "The axis lies far inward, so a skive",
                When::MedialAxis,
            ),
            (
                asked.resists_turning_in == Some(true),
                "The foot resists, so a skive",
                When::HighResistance,
            ),
            (
                facts.shoe.short_of_room == Some(true),
                "No bulk is possible, so a skive",
                When::NoRoomInShoe,
            ),
            (
                self.path == Path::StageTwo,
                "The tibialis posterior fails, so a skive",
                When::TendonDysfunction,
            ),
        ] {
            if there {
                why.push(experts(words, Parameter::Skive, "skive", when));
            }
        }
        if why.is_empty() {
            return Proposal::of(
                None,
                vec![Reason::own(
                    "The heel is in line and no more control was asked for.",
                )],
            )
            .or(cut(4.0), four);
        }
        why.push(four);
        why.push(setting("Angle of the cut", "skive-angle"));
        let mut out = Proposal::of(cut(4.0), why)
            .or(cut(6.0), six)
            .or(cut(2.0), two)
            .or(None, Reason::own("Post and shape alone."));
        let sore = facts
            .exam
            .choice("pain_sole")
            .value()
            .is_some_and(|c| c != "no");
        if sore || asked.thin_heel_pad == Some(true) {
            out = out.beware(advice("skive-heel"));
        }
        if asked.thin_heel_pad.is_none() {
            self.ask(
                "Thickness of the heel pad",
                &["thin_heel_pad"],
                "a thin pad may not bear a skive",
            );
        }
        out
    }
}

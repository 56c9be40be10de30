//! Invented feet to propose devices for, and their parts.

use care::orthosis::{
    Asked, Draft, FootSize, Making, OrthosisInput, OrthosisProposal, ShoeRoom, propose,
};
use exam::{Examination, RedFlags, Sheet, Story};
use quantity::{Angle, Length};
use stage::{Facts, StageReport, stage_from};
use terms::Side;

#[derive(Clone, Default)]
pub struct Foot {
    pub story: Story,
    pub exam: Examination,
    pub flags: RedFlags,
    pub foot: FootSize,
    pub shoe: ShoeRoom,
    pub asked: Asked,
}

impl Foot {
    pub fn and(mut self, answers: &[(&str, &str)]) -> Foot {
        for (key, text) in answers {
            let done = match exam::question(key)
                .unwrap_or_else(|| panic!("no question {key}"))
                .sheet
            {
                Sheet::Foot => self.exam.set(key, text),
                Sheet::Person => self.story.set(key, text),
                Sheet::Flags => self.flags.set(key, text),
                Sheet::Leg | Sheet::Given => panic!("{key} is no finding"),
            };
            done.unwrap_or_else(|e| panic!("{e}"));
        }
        self
    }

    pub fn asked(mut self, change: impl FnOnce(&mut Asked)) -> Foot {
        change(&mut self.asked);
        self
    }

    pub fn report(&self) -> StageReport {
        stage_from(&Facts::new(
            Side::Right,
            &self.story,
            &self.exam,
            &self.flags,
        ))
    }

    pub fn device(&self) -> OrthosisProposal {
        self.device_in(&self.report())
    }

    pub fn device_in(&self, report: &StageReport) -> OrthosisProposal {
        propose(&OrthosisInput {
            report,
            person: &self.story,
            exam: &self.exam,
            flags: &self.flags,
            foot: self.foot,
            shoe: self.shoe,
            asked: self.asked,
        })
    }

    pub fn draft(&self) -> Draft {
        let device = self.device();
        device
            .draft
            .clone()
            .unwrap_or_else(|| panic!("no draft in {}", device.text()))
    }
}

const NO: &[&str] = &[
    "skin_ulcer",
    "skin_infection",
    "skin_weeping",
    "skin_fragile",
    "known_neuropathy",
    "hot_red_swollen",
    "inflammatory_disease",
];

/// An invented woman whose tendon is sore, everything looked at, nothing against a device.
pub fn stage_one() -> Foot {
    let mut foot = Foot::default().and(&[
        ("age_years", "58"),
        ("sex", "female"),
        ("weight_kg", "70"),
        ("pain_inner_ankle", "pressed"),
        ("pain_navicular", "no"),
        ("pain_sole", "no"),
        ("heel_line", "usual"),
        ("heel_corrects", "fully"),
        ("forefoot_drifts_out", "no"),
        ("forefoot_varus", "no"),
        ("ankle_tilt_seen", "no"),
        ("subtalar_motion", "free"),
        ("filament_great_toe", "felt"),
        ("filament_mt1", "felt"),
        ("filament_mt5", "felt"),
        ("swelling_leg", "none"),
        ("tendon_image", "inflamed"),
        ("arch_standing", "lowered"),
        ("posture_talar_head", "+1"),
    ]);
    for key in NO {
        foot = foot.and(&[(key, "no")]);
    }
    foot.foot = FootSize {
        length: Some(Length::mm(245.0)),
        ball_breadth: Some(Length::mm(94.0)),
        heel_breadth: Some(Length::mm(66.0)),
        navicular_height: Some(Length::mm(38.0)),
        captured_with_weight: Some(false),
    };
    foot.shoe.short_of_room = Some(false);
    foot.asked(|a| {
        a.making = Some(Making::Formed);
        a.passive_inversion = Some(Angle::degrees(12.0));
        a.thin_heel_pad = Some(false);
    })
}

pub fn stage_two() -> Foot {
    stage_one().and(&[("heel_line", "clear")])
}

pub fn child() -> Foot {
    let mut foot = Foot::default().and(&[
        ("age_years", "7"),
        ("sex", "male"),
        ("weight_kg", "24"),
        ("pain_level", "0"),
        ("pain_inner_ankle", "no"),
        ("pain_navicular", "no"),
        ("pain_sole", "no"),
        ("pain_outer", "no"),
        ("swelling_inner", "none"),
        ("arch_standing", "flat"),
        ("arch_sitting", "appears"),
        ("arch_on_tiptoe", "appears"),
        ("sides_differ", "no"),
        ("heel_corrects", "fully"),
        ("dorsiflexion_straight_deg", "15"),
        ("plays_like_others", "yes"),
        ("tires_early", "no"),
        ("poor_skills", "no"),
        ("weight_high_for_age", "no"),
        ("coalition_seen", "no"),
        ("filament_great_toe", "felt"),
        ("filament_mt1", "felt"),
        ("filament_mt5", "felt"),
        ("posture_talar_head", "+1"),
        ("posture_malleolar_curves", "+1"),
        ("posture_heel", "+1"),
        ("posture_bulge", "+1"),
        ("posture_arch", "+1"),
        ("posture_forefoot", "0"),
    ]);
    for key in NO.iter().chain(&[
        "night_pain",
        "fever",
        "severe_local_pain",
        "spasticity",
        "child_new_or_one_sided",
        "child_skills_lost",
        "child_reflexes",
        "child_high_arch_before",
        "child_rocker_sole",
    ]) {
        if exam::question(key).is_some() {
            foot = foot.and(&[(key, "no")]);
        }
    }
    for key in exam::score::LAXITY_ITEMS {
        foot = foot.and(&[(key, "no")]);
    }
    // The flags' own keys for a child, whatever they are called.
    for q in exam::form()
        .iter()
        .filter(|q| q.sheet == Sheet::Flags && q.section == "Child")
    {
        foot = foot.and(&[(q.key, "no")]);
    }
    foot
}

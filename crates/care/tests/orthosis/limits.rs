//! Limits that only knowledge of the person can tell, each with its severity and its sentence.

use crate::foot::{Foot, child, stage_two};
use care::orthosis::{Bone, EdgeAtBone, LimitFacts, OrthosisInput, Severity, limits};
use quantity::{Angle, Length};
use shell::prescription::{Prescription, Thickness};

fn usual(foot: &Foot) -> (Prescription, LimitFacts<'_>) {
    let report = foot.report();
    let told = LimitFacts::of(&OrthosisInput {
        report: &report,
        person: &foot.story,
        exam: &foot.exam,
        flags: &foot.flags,
        foot: foot.foot,
        shoe: foot.shoe,
        asked: foot.asked,
    });
    let facts = LimitFacts {
        exam: Some(&foot.exam),
        weight_kg: told.weight_kg,
        age_years: told.age_years,
        passive_inversion: told.passive_inversion,
        feels: told.feels,
        pressure_checked: told.pressure_checked,
        edges: &[],
    };
    (foot.draft().prescription(None, "D-1"), facts)
}

fn found(p: &Prescription, facts: &LimitFacts<'_>) -> Vec<(String, Severity)> {
    limits(p, facts)
        .into_iter()
        .map(|l| {
            assert!(!l.why.is_empty(), "{} has no reason", l.key);
            (l.key, l.severity)
        })
        .collect()
}

#[test]
fn the_proposed_prescription_oversteps_no_limit() {
    let foot = stage_two();
    let (p, facts) = usual(&foot);
    assert_eq!(found(&p, &facts), []);
}

#[test]
fn what_is_proposed_for_a_child_oversteps_no_limit_and_a_thinner_shell_is_told() {
    let foot = child().and(&[("pain_level", "4")]);
    let (mut p, facts) = usual(&foot);
    assert_eq!(found(&p, &facts), []);
    p.shell.thickness = Thickness::Uniform {
        all: Length::mm(2.0),
    };
    assert_eq!(
        found(&p, &facts),
        [("too-thin-for-weight".to_owned(), Severity::Caution)]
    );
}

#[test]
fn a_post_beyond_the_range_is_held_back_and_an_unmeasured_range_is_asked_for() {
    let foot = stage_two();
    let (mut p, mut facts) = usual(&foot);
    p.rearfoot_post.as_mut().unwrap().angle = Angle::degrees(40.0);
    assert_eq!(
        found(&p, &facts),
        [("post-beyond-range".to_owned(), Severity::HoldsBack)]
    );
    let told = limits(&p, &facts).remove(0);
    assert_eq!(
        told.words,
        "Post and inversion turn the heel in by 42°, by hand it goes 12°: take 12° or less together."
    );
    facts.passive_inversion = None;
    assert_eq!(
        found(&p, &facts),
        [("range-not-measured".to_owned(), Severity::LookFirst)]
    );
    // without anything that turns it in the range does not matter
    p.rearfoot_post = None;
    p.corrections.inversion = None;
    assert_eq!(found(&p, &facts), []);
}

#[test]
fn a_thin_shell_is_held_back_where_both_rules_ask_for_more_and_told_where_they_disagree() {
    let foot = stage_two();
    let (mut p, mut facts) = usual(&foot);
    let uniform = |mm: f64| Thickness::Uniform {
        all: Length::mm(mm),
    };
    p.shell.thickness = uniform(0.5);
    assert_eq!(
        found(&p, &facts),
        [("too-thin-for-weight".to_owned(), Severity::HoldsBack)]
    );
    // 80 kg: the trial's 4.5 mm, the workshop's 4; 4.0 is under one of them.
    p.shell.thickness = uniform(4.0);
    facts.weight_kg = Some(80.0);
    assert_eq!(
        found(&p, &facts),
        [("too-thin-for-weight".to_owned(), Severity::Caution)]
    );
    facts.weight_kg = None;
    assert_eq!(
        found(&p, &facts),
        [("weight-not-recorded".to_owned(), Severity::LookFirst)]
    );
    // PA12 of 3.8 mm bends like polypropylene of 4.05
    facts.weight_kg = Some(70.0);
    p.shell.material = "pa12-laser".into();
    p.shell.thickness = uniform(3.8);
    assert_eq!(found(&p, &facts), []);
    p.shell.thickness = uniform(3.0);
    let told = limits(&p, &facts).remove(0);
    assert_eq!(told.severity, Severity::HoldsBack);
    assert!(
        told.words
            .contains("3 mm, which bends like 3.2 mm of polypropylene"),
        "{}",
        told.words
    );
    p.shell.material = "carbon-woven".into();
    assert_eq!(
        found(&p, &facts),
        [("thickness-by-strength".to_owned(), Severity::Caution)]
    );
    p.shell.material = "chocolate".into();
    assert_eq!(
        found(&p, &facts),
        [("unknown-material".to_owned(), Severity::HoldsBack)]
    );
}

#[test]
fn a_skive_without_its_cup_is_held_back_and_a_shallow_one_is_told() {
    let foot = stage_two();
    let (mut p, facts) = usual(&foot);
    p.shell.heel_cup_depth = Length::mm(13.0);
    assert_eq!(
        found(&p, &facts),
        [("skive-without-cup".to_owned(), Severity::HoldsBack)]
    );
    p.shell.heel_cup_depth = Length::mm(f64::NAN);
    assert_eq!(
        found(&p, &facts)[0],
        ("skive-without-cup".to_owned(), Severity::HoldsBack)
    );
    p.shell.heel_cup_depth = Length::mm(15.0);
    assert_eq!(
        found(&p, &facts),
        [("cup-shallow".to_owned(), Severity::Caution)]
    );
    p.corrections.skive = None;
    p.shell.heel_cup_depth = Length::mm(10.0);
    assert_eq!(found(&p, &facts), []);
}

#[test]
fn numbness_is_held_back_checked_or_asked_for() {
    let foot = stage_two();
    let (p, mut facts) = usual(&foot);
    facts.feels = Some(false);
    assert_eq!(
        found(&p, &facts),
        [("numb-foot".to_owned(), Severity::HoldsBack)]
    );
    facts.pressure_checked = Some(true);
    assert_eq!(
        found(&p, &facts),
        [("numb-foot".to_owned(), Severity::Caution)]
    );
    facts.feels = None;
    assert_eq!(
        found(&p, &facts),
        [("feeling-not-recorded".to_owned(), Severity::LookFirst)]
    );
}

#[test]
fn an_edge_on_bone_is_told_and_on_a_tender_one_held_back() {
    let foot = stage_two();
    let (p, mut facts) = usual(&foot);
    let near = [
        EdgeAtBone {
            bone: Bone::Navicular,
            distance: Length::mm(3.0),
        },
        EdgeAtBone {
            bone: Bone::FifthBase,
            distance: Length::mm(20.0),
        },
    ];
    facts.edges = &near;
    assert_eq!(
        found(&p, &facts),
        [("bone-under-edge".to_owned(), Severity::Caution)]
    );
    let tender = stage_two().and(&[("accessory_navicular", "yes")]);
    facts.exam = Some(&tender.exam);
    assert_eq!(
        found(&p, &facts),
        [("bone-under-edge".to_owned(), Severity::HoldsBack)]
    );
}

#[test]
fn a_fixed_heel_is_not_turned_in_by_any_prescription() {
    let foot = stage_two();
    let (mut p, mut facts) = usual(&foot);
    let fixed = stage_two().and(&[("heel_corrects", "not")]);
    facts.exam = Some(&fixed.exam);
    assert_eq!(
        found(&p, &facts),
        [("fixed-deformity".to_owned(), Severity::HoldsBack)]
    );
    p.rearfoot_post = None;
    p.corrections.inversion = None;
    p.corrections.skive = None;
    assert_eq!(found(&p, &facts), []);
}

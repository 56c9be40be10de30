//! What is built in for shells: complete, and the worked-out rows agree with the rows they come from.

use knowledge::anthropometry::{Bearing, Dimension, SizeKind};
use knowledge::figure::FigureUnit;
use knowledge::load::{Bears, Held, ShareOf};
use knowledge::material::{Process, Role};
use knowledge::orthosis::{Outcome, Parameter, RuleFoot, ThicknessRule, When};
use knowledge::{Knowledge, Person, Provenance, Sourced};
use terms::Sex;

fn k() -> &'static Knowledge {
    Knowledge::built_in()
}

fn man() -> Person {
    Person {
        age_years: Some(40.0),
        sex: Some(Sex::Male),
    }
}

fn woman() -> Person {
    Person {
        age_years: Some(40.0),
        sex: Some(Sex::Female),
    }
}

#[test]
fn the_folder_holds_what_shells_need() {
    let counts = k().counts();
    assert_eq!(counts.materials, 14);
    assert_eq!(counts.load_cases, 6);
    assert!(counts.sizes >= 65, "{counts:?}");
    assert!(counts.prescribing >= 80, "{counts:?}");
    let cases: Vec<&str> = k().load_cases().iter().map(|c| c.key.as_str()).collect();
    assert_eq!(cases, ["L1", "L2", "L3", "L4", "L5", "L6"]);
}

#[test]
fn every_shell_material_can_be_computed_with_and_says_how_firm_its_figures_are() {
    let shells: Vec<&str> = k()
        .materials_for(Role::Shell)
        .iter()
        .map(|m| m.key.as_str())
        .collect();
    assert_eq!(
        shells,
        [
            "carbon-woven",
            "pp-homopolymer",
            "pp-copolymer",
            "hdpe",
            "pa12-laser",
            "pa12-multi-jet",
            "pa11-powder"
        ]
    );
    for material in k().materials_for(Role::Shell) {
        let modulus = material.bending_modulus();
        assert_eq!(
            modulus.is_some(),
            material.orthotropic.is_none(),
            "{}",
            material.key
        );
        if let Some(modulus) = modulus {
            assert_eq!(modulus.unit, FigureUnit::MegaPascal);
            let [low, high] = modulus.band().unwrap();
            assert!(
                low >= 500.0 && low < high && high <= 3000.0,
                "{}: {low} to {high} MPa",
                material.key
            );
        }
    }
    // Only polypropylene's modulus was read; a strength that rests on another one has to say so.
    let firm: Vec<&str> = k()
        .materials_for(Role::Shell)
        .iter()
        .filter(|m| {
            m.bending_modulus()
                .is_some_and(|f| f.provenance.may_decide_alone())
        })
        .map(|m| m.key.as_str())
        .collect();
    assert_eq!(firm, ["pp-homopolymer", "pp-copolymer"]);
}

#[test]
fn no_laminate_is_ever_bent_by_one_modulus_that_was_pulled() {
    for material in k().materials() {
        if material.process == Process::Laminate {
            assert!(material.bending_modulus().is_none(), "{}", material.key);
        }
    }
}

#[test]
fn fatigue_of_sintered_pa12_is_judged_by_the_lowest_figure_that_was_read() {
    let pa12 = k().material("pa12-laser").unwrap();
    let fatigue = pa12.fatigue_at(1e6).unwrap();
    assert_eq!(fatigue.stress.value, Some(15.0));
    assert_eq!(fatigue.r_ratio, -1.0);
    assert_eq!(fatigue.stress.provenance, Provenance::Abstract);
    // the recalled figure of polypropylene is there, and known to be recalled
    let pp = k().material("pp-homopolymer").unwrap();
    let recalled = pp.fatigue_at(1e6).unwrap();
    assert!(!recalled.stress.provenance.may_decide_alone());
    assert!(
        k().material("pa12-multi-jet")
            .unwrap()
            .fatigue_at(1e6)
            .is_none()
    );
}

#[test]
fn our_own_allowables_are_marked_and_below_every_strength_and_fatigue_figure_read() {
    for material in k().materials() {
        let Some(allowable) = &material.allowable else {
            continue;
        };
        assert!(allowable.judgement, "{}", material.key);
        let allowed = allowable.usual().unwrap();
        for fatigue in material
            .fatigue
            .iter()
            .filter(|f| f.stress.provenance.may_decide_alone())
        {
            let borne = fatigue.stress.usual().or(fatigue.stress.upper).unwrap();
            assert!(allowed <= borne, "{}: {allowed} over {borne}", material.key);
        }
        if let Some([weakest, _]) = material.tensile_strength.as_ref().and_then(|s| s.band()) {
            assert!(allowed < weakest / 2.0, "{}", material.key);
        }
    }
}

#[test]
fn polypropylene_warm_is_under_a_quarter_as_stiff() {
    let pp = k().material("pp-homopolymer").unwrap();
    let cold = pp.flexural_modulus.as_ref().unwrap().usual().unwrap();
    let warm = pp
        .heat
        .iter()
        .find(|h| h.at_celsius == 93.0)
        .unwrap()
        .modulus
        .usual()
        .unwrap();
    assert!(warm / cold < 0.25, "{}", warm / cold);
}

/// AnsurTwo: a least-squares line passes through both means; the printed figures are rounded to 4 places,
/// which at a length of 270 mm is 0.05 mm, and the means to 0.1 mm.
#[test]
fn each_line_of_the_survey_passes_through_the_means_it_was_drawn_from() {
    let mut lines = 0;
    for person in [man(), woman()] {
        for dimension in [
            Dimension::BallLength,
            Dimension::FootBreadth,
            Dimension::BallGirth,
            Dimension::HeelBreadth,
            Dimension::BimalleolarBreadth,
            Dimension::LateralMalleolusHeight,
            Dimension::FootLength,
        ] {
            let through = if dimension == Dimension::FootLength {
                Dimension::Stature
            } else {
                Dimension::FootLength
            };
            let mean = |d| match k().spread_for(d, &person).unwrap().kind {
                SizeKind::Spread { mean, .. } => mean,
                _ => unreachable!(),
            };
            let line = k().line_for(dimension, through, &person).unwrap();
            let guess = line.guess_mm(mean(through)).unwrap();
            assert!(
                (guess.value - mean(dimension)).abs() < 0.2,
                "{}: {} against {}",
                line.key,
                guess.value,
                mean(dimension)
            );
            // r and the standard error belong together: SEE = SD · sqrt(1 − r²)
            let SizeKind::Line {
                correlation,
                standard_error,
                ..
            } = line.kind
            else {
                unreachable!()
            };
            let SizeKind::Spread { sd, .. } = k().spread_for(dimension, &person).unwrap().kind
            else {
                unreachable!()
            };
            let expected = sd * (1.0 - correlation * correlation).sqrt();
            assert!(
                (standard_error - expected).abs() < 0.06 * expected,
                "{}: {standard_error} against {expected}",
                line.key
            );
            lines += 1;
        }
    }
    assert_eq!(lines, 14);
}

#[test]
fn percentiles_of_the_survey_are_those_of_a_bell_within_a_few_millimetres() {
    for person in [man(), woman()] {
        for dimension in [
            Dimension::FootLength,
            Dimension::BallLength,
            Dimension::FootBreadth,
            Dimension::HeelBreadth,
        ] {
            let SizeKind::Spread {
                mean,
                sd,
                percentiles: Some([low, _, high]),
            } = k().spread_for(dimension, &person).unwrap().kind
            else {
                panic!()
            };
            // counted whole millimetres against mean ± 1.645 SD
            assert!((low - (mean - 1.645 * sd)).abs() < 2.0, "{dimension:?}");
            assert!((high - (mean + 1.645 * sd)).abs() < 2.0, "{dimension:?}");
        }
    }
}

#[test]
fn a_long_foot_is_told_as_such_and_an_unknown_sex_matches_no_row() {
    let row = k().spread_for(Dimension::FootLength, &man()).unwrap();
    assert_eq!(row.place_words(300.0), Some("above 95 in 100"));
    assert_eq!(row.place_words(271.0), Some("in the upper half"));
    assert!((row.deviations(284.3).unwrap() - 1.0).abs() < 1e-9);
    assert!(
        k().spread_for(Dimension::FootLength, &Person::default())
            .is_none()
    );
    let unknown_sex = Person {
        age_years: Some(40.0),
        sex: None,
    };
    assert!(
        k().spread_for(Dimension::FootLength, &unknown_sex)
            .is_none()
    );
}

#[test]
fn the_growth_of_a_year_is_what_the_two_ends_of_the_table_give() {
    let mean = |key: &str| match k().size(key).unwrap().kind {
        SizeKind::Spread { mean, .. } => mean,
        _ => panic!(),
    };
    for (rate, low, high, years) in [
        (
            "foot-length-growth-boys",
            "foot-length-boys-3",
            "foot-length-boys-18",
            15.0,
        ),
        (
            "foot-length-growth-girls",
            "foot-length-girls-3",
            "foot-length-girls-17",
            14.0,
        ),
    ] {
        let SizeKind::PerYear { rate: printed } = k().size(rate).unwrap().kind else {
            panic!()
        };
        let worked = (mean(high) - mean(low)) / years;
        // printed to a tenth
        assert!(
            (printed - worked).abs() < 0.05 + 1e-9,
            "{printed} against {worked}"
        );
    }
}

#[test]
fn the_arch_is_never_scaled_from_length_and_its_starting_values_are_ours() {
    let none = k().size("arch-by-length-none").unwrap();
    assert!(matches!(
        none.kind,
        SizeKind::Unrelated {
            to: Dimension::FootLength
        }
    ));
    let standing = k()
        .sizes(Dimension::ArchClearance)
        .into_iter()
        .find(|s| s.bearing == Some(Bearing::Standing))
        .unwrap();
    assert!(standing.judgement());
    assert!(standing.provenance() >= Provenance::CommonPractice);
}

/// Worked by hand. 265 mm foot: last 275 to 285 mm; Paris 41.25 and 42.75; UK 3·(275/25.4) − 25 = 7.48,
/// 3·(285/25.4) − 25 = 8.66.
#[test]
fn a_foot_of_265_mm_has_its_sizes_in_four_systems() {
    let size = |key: &str| {
        k().shoe_rules()
            .iter()
            .find(|r| r.key == key)
            .unwrap()
            .sizes(265.0)
            .unwrap()
    };
    assert_eq!(size("mondopoint"), [265.0, 265.0]);
    assert_eq!(size("paris-point"), [41.0, 43.0]);
    assert_eq!(size("uk-adult"), [7.5, 8.5]);
    assert_eq!(size("us-men"), [8.5, 9.5]);
    for rule in k().shoe_rules() {
        for none in [f64::NAN, -1.0, 0.0, f64::INFINITY] {
            assert!(rule.sizes(none).is_none(), "{}", rule.key);
        }
    }
}

#[test]
fn a_person_of_80_kg_stands_on_a_case_with_so_many_newtons() {
    let newtons = |key: &str| k().load_case(key).unwrap().newtons(80.0);
    let close = |a: f64, b: f64| (a - b).abs() < 0.01;
    // 80 · 9.80665 = 784.532 N
    assert!(close(newtons("L1").unwrap()[0], 392.266));
    let [usual, low, high] = newtons("L2").unwrap();
    assert!(close(usual, 784.532) && close(low, 588.399) && close(high, 862.985));
    assert!(close(newtons("L6").unwrap()[0], 1961.33));
    assert!(newtons("L4").is_none(), "a ramp has no total");
    assert!(
        k().load_case("L1").unwrap().newtons(f64::NAN).is_none()
            && k().load_case("L1").unwrap().newtons(-3.0).is_none()
    );
}

#[test]
fn every_case_is_our_own_and_what_stands_on_the_floor_is_held_in_two_ways() {
    for case in k().load_cases() {
        assert!(case.judgement, "{}", case.key);
        if case.bears == Bears::HeelAndFrontEdge {
            assert_eq!(case.held, [Held::Slides, Held::Pinned], "{}", case.key);
        }
    }
}

#[test]
fn shares_of_a_standing_foot_add_up_in_each_study() {
    let sum = |keys: &[&str]| -> f64 {
        keys.iter()
            .map(|key| {
                let row = k().region_shares().iter().find(|s| s.key == *key).unwrap();
                assert_eq!(row.of, ShareOf::FootLoad);
                row.share.value.unwrap()
            })
            .sum()
    };
    // means over people, each rounded to a tenth
    assert!(
        (sum(&[
            "standing-heel-1987",
            "standing-midfoot-1987",
            "standing-forefoot-1987",
            "standing-toes-1987"
        ]) - 100.0)
            .abs()
            < 0.2
    );
    for side in ["left", "right"] {
        let heel = format!("standing-heel-{side}");
        let fore = format!("standing-forefoot-{side}");
        let sum = sum(&[&heel, &fore]);
        assert!((sum - 100.0).abs() < 1.0, "{side}: {sum}");
    }
}

/// BanwellDelphi2014, table 5.
#[test]
fn experts_agree_on_posting_and_inverting_a_foot_whose_tendon_fails() {
    let o = k().orthosis();
    let percent = |parameter, choice, when| {
        let row = o.agreement(parameter, choice, when).unwrap();
        assert!(row.reached && row.experts == 24);
        row.percent
    };
    assert_eq!(
        percent(Parameter::RearfootPost, "inverted", When::TendonDysfunction),
        90.9
    );
    assert_eq!(
        percent(Parameter::Pour, "inverted", When::TendonDysfunction),
        79.1
    );
    assert_eq!(percent(Parameter::Skive, "skive", When::MoreControl), 100.0);
    let heel_pain = o
        .agreement(Parameter::Skive, "none", When::HeelPain)
        .unwrap();
    assert!(!heel_pain.reached);
    assert_eq!(o.ordered("ordered-polypropylene").unwrap().percent, 92.0);
}

#[test]
fn both_thickness_rules_cover_every_weight_once_and_do_not_agree() {
    let o = k().orthosis();
    let at = |rule, kg| {
        let rows = o
            .thicknesses
            .iter()
            .filter(|t| t.rule == rule && t.foot != RuleFoot::Cavoid && t.is_for(kg))
            .count();
        assert_eq!(rows, 1, "{rule:?} at {kg} kg");
        let row = o.thickness(rule, RuleFoot::NeutralOrPronated, kg).unwrap();
        row.thickness.value.unwrap()
    };
    for kg in [
        20.0, 59.9, 60.0, 74.9, 75.0, 84.9, 85.0, 109.9, 110.0, 200.0,
    ] {
        at(ThicknessRule::Trial, kg);
        at(ThicknessRule::Workshop, kg);
    }
    assert_eq!(at(ThicknessRule::Trial, 74.0), 4.0);
    assert_eq!(at(ThicknessRule::Trial, 75.0), 4.5);
    assert_eq!(at(ThicknessRule::Workshop, 75.0), 4.0);
    assert_eq!(at(ThicknessRule::Workshop, 115.0), 6.0);
    let trial = o
        .thickness(ThicknessRule::Trial, RuleFoot::NeutralOrPronated, 74.0)
        .unwrap();
    assert_eq!(trial.thickness.provenance, Provenance::Read);
    let workshop = o
        .thickness(ThicknessRule::Workshop, RuleFoot::Any, 74.0)
        .unwrap();
    assert_eq!(workshop.thickness.provenance, Provenance::Unconfirmed);
    assert!(
        o.thickness(ThicknessRule::Trial, RuleFoot::NeutralOrPronated, f64::NAN)
            .is_none()
    );
}

/// Telfer2013: 2 to 2.5° over 16° of post. Sinclair2017: eversion −10.75, −12.37, −14.11° at 5° medial,
/// none and 5° lateral.
#[test]
fn published_slopes_are_what_their_studies_printed_figures_give() {
    let slope = |key: &str| {
        let row = k().orthosis().effect(key).unwrap();
        assert!(row.derived, "{key}");
        [row.lower.unwrap(), row.upper.unwrap()]
    };
    let [steep, shallow] = slope("post-slope-walking");
    assert!((steep + 2.5 / 16.0).abs() < 0.005 && (shallow + 2.0 / 16.0).abs() < 0.006);
    let [steep, shallow] = slope("post-slope-running");
    assert!((steep + (14.11 - 12.37) / 5.0).abs() < 0.005);
    assert!((shallow + (12.37 - 10.75) / 5.0).abs() < 0.005);
}

#[test]
fn a_posts_effect_is_a_band_that_widens_with_the_post_is_capped_and_ends_where_nobody_looked() {
    let guidance = k()
        .orthosis()
        .guidance(Outcome::PeakRearfootEversion)
        .unwrap();
    let mut last = [0.0, 0.0];
    for post in 0..=10 {
        let [low, high] = guidance.mean_band(f64::from(post)).unwrap();
        assert!(low < high, "a point at {post}°");
        assert!(low >= last[0] && high >= last[1]);
        assert!(low <= 4.0 && high <= 5.0);
        last = [low, high];
    }
    // what was seen at the top of the posts tried lies inside
    let [low, high] = guidance.mean_band(10.0).unwrap();
    assert!((low..=high).contains(&4.0));
    for outside in [-0.1, 10.1, f64::NAN, 40.0] {
        assert!(guidance.mean_band(outside).is_none(), "{outside}");
    }
}

#[test]
fn the_break_in_starts_with_an_hour_and_every_warning_says_what_to_do() {
    let o = k().orthosis();
    assert_eq!(o.wear[0].day, 1);
    assert_eq!(o.wear[0].hours, Some(1.0));
    assert!(o.wear.windows(2).all(|w| w[0].day <= w[1].day));
    assert!(o.warnings.len() >= 5);
    assert!(o.warnings.iter().all(|w| !w.action.is_empty()));
}

//! Shells on an invented foot: balance, order of thickness, posts, refinement, bands.

#[path = "../../shell/tests/common/mod.rs"]
mod common;

use quantity::Length;
use shell::prescription::{Prescription, Thickness};
use shell::{Detail, Device};
use strength::input::Presses;
use strength::{
    Band, Bench, Case, Demand, Found, Held, Material, Question, Report, Shares, Stiffness,
    StrengthError, Thicken, Walls, compute, search_thickness,
};
use terms::Side;

fn device(wanted: &Prescription) -> Device {
    let foot = common::foot(255.0, 18.0, Side::Right);
    shell::build(&foot, wanted, &common::POWDER, Detail::PREVIEW).unwrap()
}

fn plastic() -> Material {
    Material {
        name: "invented plastic".into(),
        stiffness: Stiffness::Alike {
            modulus_mpa: Band {
                low: 700.0,
                usual: 1400.0,
                high: 2100.0,
            },
            poisson: 0.4,
        },
        density: Some(0.9),
        allowable_mpa: Some(10.0),
        fatigue: None,
    }
}

fn cases() -> Vec<Case> {
    strength::from_knowledge::cases(knowledge::Knowledge::built_in().load_cases()).unwrap()
}

fn ask(wanted: &Prescription, cases: &[Case], unknowns: usize) -> Result<Report, StrengthError> {
    let device = device(wanted);
    compute(&Question {
        device: &device,
        wanted,
        shell: &plastic(),
        post: None,
        weight_kg: 75.0,
        cases,
        unknowns,
    })
}

fn thick(mm: f64) -> Prescription {
    let mut wanted = common::plain();
    wanted.shell.thickness = Thickness::Uniform {
        all: Length::mm(mm),
    };
    wanted
}

fn only(key: &str) -> Vec<Case> {
    cases().into_iter().filter(|c| c.key == key).collect()
}

fn stiffness(wanted: &Prescription, held: Held, unknowns: usize) -> f64 {
    let report = ask(wanted, &only("L4"), unknowns).unwrap();
    let outcome = report.outcomes.iter().find(|o| o.held == held).unwrap();
    outcome.stiffness_n_per_mm.unwrap()
}

#[test]
fn every_case_is_in_balance_and_the_floor_never_pulls() {
    for wanted in [common::plain(), common::posted(4.0)] {
        let report = ask(&wanted, &cases(), 8_000).unwrap();
        assert_eq!(report.outcomes.len(), 11);
        for outcome in &report.outcomes {
            let name = format!("{} {:?}", outcome.case, outcome.held);
            assert!(
                outcome.unbalanced_share < 1e-9,
                "{name}: {}",
                outcome.unbalanced_share
            );
            assert!(outcome.residual < 1e-9, "{name}: {}", outcome.residual);
            assert!(outcome.worst.stress_mpa > 0.0, "{name}");
            assert!(
                outcome.arch_drop_mm > 0.0 || outcome.case == "L3",
                "{name}: {}",
                outcome.arch_drop_mm
            );
            if let Some(floor) = &outcome.floor {
                assert!(floor.deepest_mm < 1e-6, "{name}: {}", floor.deepest_mm);
                assert!(floor.places.iter().all(|p| p.force_n > 0.0), "{name}");
                let sum = floor.heel_n + floor.between_n + floor.front_n;
                assert!(
                    (sum / outcome.on_shell_n - 1.0).abs() < 1e-9,
                    "{name}: {sum}"
                );
            }
        }
    }
}

#[test]
fn more_weight_drops_the_arch_further() {
    let report = ask(&common::posted(4.0), &cases(), 5_000).unwrap();
    let drop = |key: &str| {
        let of = report
            .outcomes
            .iter()
            .find(|o| o.case == key && o.held == Held::Slides);
        of.unwrap().arch_drop_mm
    };
    assert!(drop("L1") < drop("L2") && drop("L2") < drop("L5") && drop("L5") < drop("L6"));
}

#[test]
fn a_pinned_front_edge_bends_no_more_than_a_sliding_one_and_takes_thrust() {
    let report = ask(&common::posted(4.0), &only("L2"), 8_000).unwrap();
    let of = |held| report.outcomes.iter().find(|o| o.held == held).unwrap();
    assert!(of(Held::Pinned).arch_drop_mm <= of(Held::Slides).arch_drop_mm);
    assert!(of(Held::Pinned).thrust_n.unwrap() > 1.0);
}

/// Bending alone would give the third power of the thickness (2.24 from 2.6 to 3.4 mm), stretching alone the
/// first. A clamped arch carries much of a stamp by thrust, a sliding one less: its power must be higher. How
/// the power follows from the share of stretching is shown in `arch_action.rs`.
/// The bench study (mechanics of PA11 shells, abstract) found thicker stiffer; its figures were not seen.
#[test]
fn thicker_is_stiffer_with_a_power_between_stretching_and_bending() {
    let mut powers = Vec::new();
    for held in [Held::Clamped, Held::Slides] {
        let [thin, middle, full] = [2.6, 3.0, 3.4].map(|t| stiffness(&thick(t), held, 6_000));
        assert!(
            thin < middle && middle < full,
            "{held:?}: {thin} {middle} {full}"
        );
        let power = (full / thin).ln() / (3.4f64 / 2.6).ln();
        println!("{held:?}: {thin:.2} {middle:.2} {full:.2} N/mm, power {power:.3}");
        powers.push(power);
    }
    assert!(
        1.0 < powers[0] && powers[0] < powers[1] && powers[1] < 3.0,
        "{powers:?}"
    );
}

#[test]
fn a_posted_shell_is_stiffer_on_the_bench_than_an_unposted_one() {
    let [plain, posted] =
        [common::plain(), common::posted(6.0)].map(|w| stiffness(&w, Held::Clamped, 10_000));
    println!("plain {plain:.2}, posted {posted:.2} N/mm");
    assert!(posted > plain, "{plain} {posted}");
}

#[test]
fn half_the_modulus_under_half_the_load_moves_the_same() {
    // The band's ends are computed as other loads; a second material must say the same.
    let wanted = common::posted(4.0);
    let device = device(&wanted);
    let cases = only("L2");
    let run = |modulus: Band, banded: bool| {
        let material = Material {
            stiffness: Stiffness::Alike {
                modulus_mpa: modulus,
                poisson: 0.4,
            },
            ..plastic()
        };
        let bench = Bench::new(Question {
            device: &device,
            wanted: &wanted,
            shell: &material,
            post: None,
            weight_kg: 75.0,
            cases: &cases,
            unknowns: 5_000,
        })
        .unwrap();
        let told = if banded {
            bench.sensitivity().unwrap()
        } else {
            Vec::new()
        };
        (bench.report().unwrap(), told)
    };
    let (_, banded) = run(
        Band {
            low: 700.0,
            usual: 1400.0,
            high: 2100.0,
        },
        true,
    );
    for (end, modulus) in [(0, 700.0), (1, 1400.0), (2, 2100.0)] {
        let (alone, _) = run(Band::exactly(modulus), false);
        for (told, outcome) in banded.iter().zip(&alone.outcomes) {
            assert_eq!((&told.case, told.held), (&outcome.case, outcome.held));
            let drop = told.arch_drop_mm[end] / outcome.arch_drop_mm - 1.0;
            let stress = told.stress_mpa[end] / outcome.worst.stress_mpa - 1.0;
            assert!(
                drop.abs() < 1e-6 && stress.abs() < 1e-6,
                "{modulus}: {drop} {stress}"
            );
        }
    }
}

/// Which nodes lie in the clamped strips changes with the net, so that no order can be read off here; that is
/// read off a panel with exact borders in `net`. The strips' border moves by up to a spacing of the coarse
/// net, 4 mm of a free span of some 110 mm, and stiffness goes with up to its third power: 5 %.
#[test]
fn a_finer_net_changes_little() {
    let [coarse, fine] = [5_000, 30_000].map(|n| stiffness(&common::plain(), Held::Clamped, n));
    println!("{coarse:.3} {fine:.3} N/mm");
    assert!((coarse / fine - 1.0).abs() < 0.05);
}

/// Vertical motion at the arch hardly depends on whether the post is cut from the shell's own plastic.
#[test]
fn a_post_of_the_shell_s_plastic_yields_next_to_nothing_and_a_foam_one_visibly() {
    let wanted = common::posted(4.0);
    let report = ask(&wanted, &only("L2"), 3_000).unwrap();
    let post = &report.posts[0];
    assert!(post.yield_mm.unwrap() < 0.01);
    let soft = strength::stand::post_yield_mm(570.0, post.area_mm2, post.height_mm, 2.0).unwrap();
    assert!(soft > 0.1, "{soft}");
    assert_eq!(
        strength::stand::post_yield_mm(570.0, 3000.0, 0.0, 2.0),
        None
    );
}

#[test]
fn a_search_finds_the_thinnest_wall_or_says_what_the_thickest_reaches() {
    let wanted = common::posted(4.0);
    let device = device(&wanted);
    let cases = only("L2");
    let material = plastic();
    let question = Question {
        device: &device,
        wanted: &wanted,
        shell: &material,
        post: None,
        weight_kg: 75.0,
        cases: &cases,
        unknowns: 2_500,
    };
    let search = |demand, walls: &Walls| {
        search_thickness(&question, 2.0, demand, Thicken::All, walls).unwrap()
    };
    let drop = |most: f64| Demand {
        arch_drop_mm: Some(most),
        safety: None,
    };
    let sheets = Walls::Sheets(vec![4.8, 3.2, 4.0, 6.4]);
    let Found::Beyond {
        reached,
        arch_drop,
        safety,
    } = search(drop(0.01), &sheets)
    else {
        panic!("no sheet is that stiff");
    };
    assert!(arch_drop && !safety && reached.thickness_mm == 6.4);
    // Between what two sheets reach, the thicker of them is the answer.
    let Found::Meets { reached: thin, .. } = search(drop(1e3), &sheets) else {
        panic!("every sheet is stiff enough");
    };
    assert!(thin.thickness_mm == 3.2);
    let wish = drop(thin.arch_drop_mm * 0.999);
    let Found::Meets {
        reached: next,
        thickness,
    } = search(wish, &sheets)
    else {
        panic!("a thicker sheet is stiffer");
    };
    assert!(next.thickness_mm == 4.0 && next.arch_drop_mm < thin.arch_drop_mm);
    assert_eq!(
        thickness,
        Thickness::Uniform {
            all: Length::mm(4.0)
        }
    );
    let fault = search_thickness(
        &question,
        2.0,
        wish,
        Thicken::Arch,
        &Walls::Sheets(vec![f64::NAN]),
    );
    assert!(fault.is_err());
}

#[test]
fn large_motion_of_the_arch_agrees_with_small_motion_where_the_load_is_small() {
    let wanted = common::posted(4.0);
    let device = device(&wanted);
    let material = plastic();
    let drops = |weight_kg: f64| {
        let cases = only("L2");
        let bench = Bench::new(Question {
            device: &device,
            wanted: &wanted,
            shell: &material,
            post: None,
            weight_kg,
            cases: &cases,
            unknowns: 30_000,
        })
        .unwrap();
        let told = bench.large_motion("L2", Held::Slides).unwrap();
        // On the net that was asked for, where rounding once kept it from coming into balance.
        assert!(told.unknowns > 28_000, "{}", told.unknowns);
        println!(
            "{weight_kg} kg: small {:.4}, large {:.4} mm, {:?}",
            told.small_mm, told.large_mm, told.corrections
        );
        (told.small_mm, told.large_mm)
    };
    let (small, large) = drops(75.0);
    assert!(
        large > 0.0 && (large / small - 1.0).abs() < 0.25,
        "{small} {large}"
    );
}

#[test]
fn figures_that_cannot_be_are_refused_in_one_sentence() {
    let wanted = common::plain();
    let device = device(&wanted);
    let refuse = |change: &dyn Fn(&mut Material, &mut f64, &mut Vec<Case>)| {
        let (mut material, mut weight_kg, mut cases) = (plastic(), 75.0, only("L2"));
        change(&mut material, &mut weight_kg, &mut cases);
        let fault = compute(&Question {
            device: &device,
            wanted: &wanted,
            shell: &material,
            post: None,
            weight_kg,
            cases: &cases,
            unknowns: 3_000,
        });
        let words = fault.unwrap_err().to_string();
        assert!(
            words.contains("expected") && !words.ends_with('.'),
            "{words}"
        );
    };
    refuse(&|_, weight, _| *weight = f64::NAN);
    refuse(&|_, weight, _| *weight = 0.0);
    refuse(&|material, _, _| {
        material.stiffness = Stiffness::Alike {
            modulus_mpa: Band::exactly(0.0),
            poisson: 0.4,
        };
    });
    refuse(&|material, _, _| {
        material.stiffness = Stiffness::Alike {
            modulus_mpa: Band::exactly(1e3),
            poisson: 0.5,
        };
    });
    refuse(&|material, _, _| material.density = Some(f64::INFINITY));
    refuse(&|_, _, cases| {
        cases[0].presses = Presses::Foot {
            body_weights: 1.0,
            shares: Shares {
                heel: 0.9,
                medial_arch: 0.2,
                lateral_midfoot: 0.0,
                forefoot: 0.0,
            },
        };
    });
    refuse(&|_, _, cases| cases[0].held.clear());
}

#[test]
fn every_prescription_of_a_varied_set_is_computed_or_refused_in_one_sentence() {
    use quantity::Angle;
    use shell::prescription::{ForefootPost, TrimEdit};
    let mut set = vec![common::plain(), common::posted(0.0), common::posted(8.0)];
    let mut change = |change: &dyn Fn(&mut Prescription)| {
        let mut wanted = common::posted(4.0);
        change(&mut wanted);
        set.push(wanted);
    };
    change(&|w| w.shell.medial_flange = Some(Length::mm(35.0)));
    change(&|w| {
        w.shell.lateral_flange = Some(Length::mm(25.0));
        w.shell.heel_cup_depth = Length::mm(22.0);
    });
    change(&|w| w.corrections.first_ray_cut_out = true);
    change(&|w| {
        w.shell.thickness = Thickness::ThickerArch {
            arch: Length::mm(5.0),
            rest: Length::mm(2.5),
        };
    });
    change(&|w| {
        w.forefoot_post = Some(ForefootPost {
            angle: Angle::degrees(4.0),
            length: Length::mm(25.0),
            separate: true,
        });
    });
    change(&|w| {
        w.shell.trim = vec![
            TrimEdit {
                station: 0.7,
                outward: Length::mm(-12.0),
            },
            TrimEdit {
                station: 1.5,
                outward: Length::mm(6.0),
            },
        ];
    });
    let mut computed = 0;
    for (number, wanted) in set.iter().enumerate() {
        for length in [160.0, 255.0, 300.0] {
            let foot = common::foot(length, 0.07 * length, Side::Left);
            let Ok(device) = shell::build(&foot, wanted, &common::POWDER, Detail::PREVIEW) else {
                continue;
            };
            let material = plastic();
            let told = compute(&Question {
                device: &device,
                wanted,
                shell: &material,
                post: None,
                weight_kg: 60.0,
                cases: &cases(),
                unknowns: 1_500,
            });
            match told {
                Ok(report) => {
                    computed += 1;
                    for outcome in &report.outcomes {
                        let words = outcome.line();
                        assert!(
                            outcome.unbalanced_share < 1e-9,
                            "{number} {length}: {words}"
                        );
                        assert!(
                            outcome.worst.stress_mpa.is_finite(),
                            "{number} {length}: {words}"
                        );
                    }
                }
                Err(fault) => {
                    let words = fault.to_string();
                    println!("{number} {length}: {words}");
                    assert!(
                        words.starts_with("found") && words.contains("expected"),
                        "{words}"
                    );
                }
            }
        }
    }
    println!("{computed} computed");
    assert!(computed >= 24, "{computed}");
}

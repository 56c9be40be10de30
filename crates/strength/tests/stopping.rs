//! A computation that is stopped on the way: counted in steps, not by a clock.

#[path = "../../shell/tests/common/mod.rs"]
mod common;

use std::sync::atomic::{AtomicUsize, Ordering};

use shell::Detail;
use strength::{Band, Bench, Held, Material, Question, Stiffness, StrengthError};

/// Steps that were let through when everything after the first `most` was stopped, how often it was asked
/// whether to go on, and what came out.
struct Ran {
    steps: usize,
    asked: usize,
    outcome: Result<usize, StrengthError>,
}

fn run(
    bench: Bench<'_>,
    most: usize,
    work: impl Fn(&Bench<'_>) -> Result<usize, StrengthError> + Sync,
) -> Ran {
    let (steps, asked) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let stop = || {
        asked.fetch_add(1, Ordering::SeqCst);
        let one_more = |done: usize| (done < most).then_some(done + 1);
        steps
            .fetch_update(Ordering::SeqCst, Ordering::SeqCst, one_more)
            .is_err()
    };
    let outcome = work(&bench.stopped_by(&stop));
    Ran {
        steps: steps.load(Ordering::SeqCst),
        asked: asked.load(Ordering::SeqCst),
        outcome,
    }
}

#[test]
fn nothing_is_computed_after_a_stop() {
    let foot = common::foot(255.0, 18.0, terms::Side::Right);
    let wanted = common::plain();
    let device = shell::build(&foot, &wanted, &common::POWDER, Detail::PREVIEW).unwrap();
    let material = Material {
        name: "invented".into(),
        stiffness: Stiffness::Alike {
            modulus_mpa: Band::exactly(1400.0),
            poisson: 0.4,
        },
        density: None,
        allowable_mpa: None,
        fatigue: None,
    };
    let cases = strength::from_knowledge::cases(knowledge::Knowledge::built_in().load_cases());
    let cases = cases.unwrap();
    let bench = || {
        Bench::new(Question {
            device: &device,
            wanted: &wanted,
            shell: &material,
            post: None,
            weight_kg: 75.0,
            cases: &cases,
            unknowns: 2_500,
        })
        .unwrap()
    };
    let table = |bench: &Bench<'_>| Ok(bench.report()?.outcomes.len());

    // On the floor: a factor and the settling for each way of holding, then each case; on a plate one step.
    let whole = run(bench(), usize::MAX, table);
    let ways = |on_plate: bool| cases.iter().filter(move |c| c.key.eq("L4") == on_plate);
    let on_floor: usize = ways(false).map(|c| c.held.len()).sum();
    let on_plate: usize = ways(true).map(|c| c.held.len()).sum();
    assert_eq!(whole.outcome.unwrap(), on_floor + on_plate);
    assert_eq!(whole.steps, 2 + 2 + on_floor + on_plate);
    assert_eq!(whole.asked, whole.steps);

    // One thread goes through the steps in order: the first case is done after the third.
    let alone = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .unwrap();
    let first = alone.install(|| run(bench(), 3, table));
    assert_eq!(first.outcome, Err(StrengthError::Stopped));
    assert_eq!(first.steps, 3);
    // Every later case and way of holding is asked about once more, and left at that.
    assert_eq!(first.asked, 3 + (5 - 1) + 1 + on_plate);

    // Wherever it is stopped and on however many threads, no step more is taken.
    for most in 0..whole.steps {
        let stopped = run(bench(), most, table);
        assert_eq!(stopped.outcome, Err(StrengthError::Stopped), "{most}");
        assert_eq!(stopped.steps, most);
    }
}

#[test]
fn large_motion_is_stopped_between_its_two_loads() {
    let foot = common::foot(255.0, 18.0, terms::Side::Right);
    let wanted = common::plain();
    let device = shell::build(&foot, &wanted, &common::POWDER, Detail::PREVIEW).unwrap();
    let known = knowledge::Knowledge::built_in();
    let cases = strength::from_knowledge::cases(known.load_cases()).unwrap();
    let material = known.material("pp-homopolymer").unwrap();
    let material = strength::from_knowledge::material(material, 1e6).unwrap();
    let bench = Bench::new(Question {
        device: &device,
        wanted: &wanted,
        shell: &material,
        post: None,
        weight_kg: 75.0,
        cases: &cases,
        unknowns: 1_500,
    })
    .unwrap();
    let motion = |bench: &Bench<'_>| Ok(bench.large_motion("L2", Held::Pinned)?.unknowns);
    let stopped = run(bench, 1, motion);
    assert_eq!(stopped.outcome, Err(StrengthError::Stopped));
    assert_eq!((stopped.steps, stopped.asked), (1, 2));
}

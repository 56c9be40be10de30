//! Is anything confirmed lost when the power is cut, on a disk that keeps only what was flushed?
//!
//! A real run is traced step by step; then the disk is cut after every step, with all that was not flushed
//! lost, or its bytes alone, or its names alone, or each of it by chance, and the store opened on what is left.
#![cfg(target_os = "linux")]

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;
mod harsh;

use acts::Act;
use harsh::disk::{self, Disk, Image, Loss, Step};
use harsh::{Break, KILLED, NO_SPACE, Tracer};
use rand::{Rng, SeedableRng, rngs::StdRng};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Stdio;
use store_sql::SqlStore;

const SEED: u64 = 20_261_129;
const RUN: u64 = 1;

#[tokio::test]
#[ignore = "a process for the tests below to trace"]
async fn acting() {
    let given = |name| std::env::var(name).unwrap();
    let number = |name| given(name).parse::<u64>().unwrap();
    println!();
    let store = SqlStore::open_folder(given("FOLDER")).await.unwrap();
    for n in number("FROM")..number("TO") {
        let act = Act { run: RUN, n };
        // What was confirmed or whole before a break is not done twice; what was refused is tried again.
        let mut tries = 0;
        while !acts::is_there(&store, act).await.unwrap() && tries < 3 {
            tries += 1;
            if let Err(refused) = acts::perform(&store, act).await {
                println!("refused {refused}");
            }
        }
        assert!(acts::is_there(&store, act).await.unwrap(), "act {n}");
        println!("did {n}");
    }
    if given("CLOSE") == "1" {
        store.close().await;
    }
}

/// Runs the process above over acts `from` to before `to`. True where it came to its own end.
fn act(
    tracer: &Tracer,
    traced: &Path,
    folder: &Path,
    acts: [u64; 2],
    broken: Option<Break>,
    close: bool,
) -> bool {
    let mut process = harsh::process("acting");
    process
        .env("FOLDER", folder)
        .env("FROM", acts[0].to_string())
        .env("TO", acts[1].to_string())
        .env("CLOSE", if close { "1" } else { "0" })
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    tracer
        .around(&mut process, traced, broken)
        .status()
        .unwrap()
        .success()
}

/// Opens what the power cut left; each line is a fault.
async fn faults(image: &Image, below: &str, confirmed: u64) -> Vec<String> {
    let folder = harsh::quick_folder();
    disk::write(image, folder.path());
    let store = match SqlStore::open_folder(folder.path().join(below)).await {
        Ok(store) => store,
        Err(refused) => return vec![format!("it does not open: {refused}")],
    };
    let mut faults: Vec<String> = store
        .notes()
        .iter()
        .filter(|note| note.contains("is not there"))
        .cloned()
        .collect();
    match acts::faults(&store, RUN, confirmed).await {
        Ok(more) => faults.extend(more),
        Err(refused) => faults.push(format!("it cannot be read: {refused}")),
    }
    if faults.is_empty() {
        // And it goes on: the next act, unless it was whole already, then the one after it.
        for n in confirmed..confirmed + 2 {
            let act = Act { run: RUN, n };
            if !acts::is_there(&store, act).await.unwrap()
                && let Err(refused) = acts::perform(&store, act).await
            {
                faults.push(format!("act {n} after the cut: {refused}"));
            }
        }
    }
    faults
}

#[derive(Default)]
struct Cuts {
    seen: BTreeSet<(u64, u64)>,
    cuts: usize,
    images: usize,
}

impl Cuts {
    /// Cuts the power here with this loss, unless the same was left before with as much confirmed.
    async fn cut(
        &mut self,
        disk: &Disk,
        loss: Loss,
        confirmed: u64,
        dice: &mut StdRng,
        below: &str,
    ) -> Vec<String> {
        self.cuts += 1;
        let image = disk.after(loss, dice);
        if !self.seen.insert((disk::sum_of(&image), confirmed)) {
            return Vec::new();
        }
        self.images += 1;
        faults(&image, below, confirmed).await
    }
}

/// Cuts after every step from `first` on with the losses that need no dice, and after some by chance.
async fn cut_everywhere(
    steps: &[Step],
    first: usize,
    by_chance: u32,
    below: &str,
    dice: &mut StdRng,
) -> (Cuts, u64) {
    let (mut disk, mut cuts, mut confirmed) = (Disk::new(), Cuts::default(), 0);
    for (n, step) in steps.iter().enumerate() {
        disk.take(step);
        if let Step::Said(line) = step {
            let act: u64 = line.trim().strip_prefix("did ").unwrap().parse().unwrap();
            confirmed = confirmed.max(act + 1);
        }
        if n < first {
            continue;
        }
        let mut losses = vec![Loss::All];
        // Between two bytes written nothing new can be lost but bytes.
        if !matches!(step, Step::Written(..)) {
            losses.extend([Loss::Nothing, Loss::Bytes, Loss::Entries]);
        }
        if dice.random_range(0..1000) < by_chance {
            losses.extend([2, 5, 8].map(Loss::Some));
        }
        for loss in losses {
            let faults = cuts.cut(&disk, loss, confirmed, dice, below).await;
            assert_eq!(
                faults,
                Vec::<String>::new(),
                "power cut after step {n} ({:.200}), {confirmed} acts confirmed, {loss:?} of the unflushed lost",
                format!("{step:?}")
            );
        }
    }
    (cuts, confirmed)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_confirmed_is_lost_wherever_the_power_is_cut() {
    println!("seed {SEED}");
    let mut dice = StdRng::seed_from_u64(SEED);
    let tracer = Tracer::compiled();
    let folder = harsh::quick_folder();
    // Killed and started again on its way: what the first left unflushed is still so under the second.
    let broken = Break {
        at: 330,
        steps: 1,
        error: KILLED,
    };
    assert!(!act(
        &tracer,
        folder.path(),
        folder.path(),
        [0, 20],
        Some(broken),
        false
    ));
    assert!(act(
        &tracer,
        folder.path(),
        folder.path(),
        [0, 20],
        None,
        true
    ));
    let steps = tracer.steps();
    let mut disk = Disk::new();
    steps.iter().for_each(|step| disk.take(step));
    let (rebuilt, there) = (
        disk.after(Loss::Nothing, &mut dice),
        disk::read(folder.path()),
    );
    let off: Vec<_> = rebuilt
        .keys()
        .chain(there.keys())
        .filter(|path| rebuilt.get(*path) != there.get(*path))
        .collect();
    assert!(
        off.is_empty(),
        "the trace has every step, so that it rebuilds the folder byte for byte: {off:?}"
    );
    let (cuts, confirmed) = cut_everywhere(&steps, 0, 250, "", &mut dice).await;
    println!(
        "{} power cuts over {} steps ({} different disks): {confirmed} acknowledged acts, 0 lost, 0 torn",
        cuts.cuts,
        steps.len(),
        cuts.images
    );
    assert!(confirmed == 20 && cuts.images > 200);
}

/// Steps that change names or flush them: where a break leaves something half done.
fn is_of_the_shelf(step: &Step) -> bool {
    !matches!(step, Step::Said(_) | Step::Written(..) | Step::Cut(..))
}

/// Breaks the taking in of a film at each step in turn, has it taken in again, then cuts the power.
async fn broken_then_cut(error: i32) {
    println!("seed {SEED}");
    let mut dice = StdRng::seed_from_u64(SEED);
    let tracer = Tracer::compiled();
    let whole = harsh::quick_folder();
    assert!(act(
        &tracer,
        whole.path(),
        whole.path(),
        [0, 4],
        None,
        false
    ));
    let steps = tracer.steps();
    let mut counted = 0;
    let mut points = Vec::new();
    let mut said = 0;
    for step in &steps {
        said += usize::from(matches!(step, Step::Said(_)));
        // Removing is not counted as a step that can break.
        counted += u64::from(!matches!(step, Step::Said(_) | Step::Removed(_)));
        if said == 3 && is_of_the_shelf(step) {
            points.push(counted);
        }
    }
    assert!(points.len() >= 6, "{points:?}");
    let (mut cuts, mut images) = (0, 0);
    for at in &points {
        tracer.forget();
        let folder = harsh::quick_folder();
        let broken = Break {
            at: *at,
            steps: 1,
            error,
        };
        let ended = act(
            &tracer,
            folder.path(),
            folder.path(),
            [0, 4],
            Some(broken),
            false,
        );
        assert_eq!(ended, error != KILLED, "broken at {at}");
        let before = tracer.steps().len();
        if !ended {
            assert!(act(
                &tracer,
                folder.path(),
                folder.path(),
                [0, 4],
                None,
                false
            ));
        }
        let steps = tracer.steps();
        let first = if ended {
            steps.len() - 3
        } else {
            before.min(steps.len() - 3)
        };
        let (done, confirmed) = cut_everywhere(&steps, first, 0, "", &mut dice).await;
        assert_eq!(confirmed, 4);
        (cuts, images) = (cuts + done.cuts, images + done.images);
    }
    println!(
        "{} breaks (error {error}) and {cuts} power cuts after them ({images} different disks): 0 lost, 0 torn",
        points.len()
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_film_taken_in_again_after_a_kill_at_any_step_survives_the_next_power_cut() {
    broken_then_cut(KILLED).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_film_taken_in_again_after_any_step_failed_survives_the_next_power_cut() {
    broken_then_cut(NO_SPACE).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_data_folder_made_by_the_first_start_survives_a_power_cut_after_the_first_act() {
    let mut dice = StdRng::seed_from_u64(SEED);
    let tracer = Tracer::compiled();
    let outside = harsh::quick_folder();
    let folder = outside.path().join("practice/data");
    assert!(act(&tracer, outside.path(), &folder, [0, 2], None, false));
    let (_, confirmed) = cut_everywhere(&tracer.steps(), 0, 0, "practice/data", &mut dice).await;
    assert_eq!(confirmed, 2);
}

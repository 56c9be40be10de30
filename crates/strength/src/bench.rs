//! How does the shell answer to its load cases?
//!
//! A shell is meshed and factored once for each way it is held; every case is then a few solutions. A case
//! is settled twice, hardly loaded and loaded, because a shell that hovers on one side first comes down
//! without bending: only what follows is told as bending. One surprise: both are needed even where the load is
//! one number times another, because a floor that only presses makes no answer proportional.

use fem::{Contact, Displacement, Load, Mesh, Model, Recovery, System};
use nalgebra::Vector3;
use rayon::prelude::*;
use shell::{Device, Prescription};

use crate::error::StrengthError;
use crate::input::{Case, Held, Material, NEWTON_PER_KILOGRAM, Presses as Pressing};
use crate::net::Net;
use crate::outcome::{Mass, Outcome, PostYield, Sensitivity};
use crate::press::{Presses, stamp};
use crate::stand::{Standing, elements};
use crate::told::{highest, masses, pressed};

type V = Vector3<f64>;

/// What is computed, and with how many unknowns.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    pub device: &'a Device,
    pub wanted: &'a Prescription,
    pub shell: &'a Material,
    /// Material of separate posts; joined posts are of the shell's.
    pub post: Option<&'a Material>,
    pub weight_kg: f64,
    pub cases: &'a [Case],
    /// About so many; see [`PAGE_UNKNOWNS`].
    pub unknowns: usize,
}

/// Asked before every step of a computation, from any thread: `true` stops it there. A step is a factor, the
/// settling of the cases that share it, or the stresses of one case.
pub type Stop<'a> = &'a (dyn Fn() -> bool + Sync);

/// For a page and its sheet.
pub const PAGE_UNKNOWNS: usize = 30_000;
/// While a value is being moved.
pub const PREVIEW_UNKNOWNS: usize = 5_000;

/// Stresses are averaged among triangles within this angle of each other.
const FOLD: f64 = std::f64::consts::FRAC_PI_6;

/// Hardly loaded: this part of the load.
pub(crate) const HARDLY: f64 = 0.01;

/// Everything that comes out.
#[derive(Debug, Clone)]
pub struct Report {
    pub net: Net,
    pub unknowns: usize,
    pub outcomes: Vec<Outcome>,
    pub masses: Vec<Mass>,
    pub posts: Vec<PostYield>,
    /// Part of the forefoot's load that stands on the shell.
    pub forefoot_on_shell: f64,
}

/// A shell ready to be loaded.
pub struct Bench<'a> {
    pub(crate) question: Question<'a>,
    pub(crate) net: Net,
    pub(crate) mesh: Mesh,
    pub(crate) presses: Presses,
    pub(crate) standing: Standing,
    /// The shell with nothing held; whoever holds it shares its elements.
    pub(crate) recovery: Recovery,
    stop: Option<Stop<'a>>,
}

/// A case in one way of holding.
pub(crate) struct Run<'a> {
    pub case: &'a Case,
    pub held: Held,
    pub load: Load,
    pub whole_n: f64,
}

/// Outcomes and, where asked for, what the modulus band's ends say.
type Told = (Vec<Outcome>, Vec<Sensitivity>);

/// Runs that share a model: on a plate or not, and how held.
type Groups<'a> = Vec<((bool, Held), Vec<Run<'a>>)>;

/// A run's two states.
#[derive(Clone)]
pub(crate) struct Settled {
    pub hardly: Displacement,
    pub loaded: fem::Settled,
}

/// Meshes, solves and sums up.
///
/// # Errors
/// Figures that cannot be, a shell that cannot be meshed, or one that tips over.
pub fn compute(question: &Question<'_>) -> Result<Report, StrengthError> {
    Bench::new(*question)?.report()
}

impl<'a> Bench<'a> {
    /// # Errors
    /// Figures that cannot be, or a shell that cannot be meshed.
    pub fn new(question: Question<'a>) -> Result<Self, StrengthError> {
        let weight = question.weight_kg;
        if !(5.0..=350.0).contains(&weight) {
            return Err(StrengthError::Value {
                what: "a body weight in kilograms",
                found: quantity::written_short(weight, 1),
                expected: "5 to 350",
            });
        }
        question.shell.check()?;
        if let Some(post) = question.post {
            post.check()?;
        }
        for case in question.cases {
            case.check()?;
        }
        let net = Net::of(question.device, question.wanted, question.unknowns)?;
        let mesh = elements(&net)?;
        let presses = Presses::on(question.device, &net, &mesh)?;
        let standing = Standing::of(question.device, &net, &mesh);
        let free = Model::new(mesh.clone(), question.shell.section()?);
        let recovery = Recovery::of(free, FOLD);
        Ok(Self {
            question,
            net,
            mesh,
            presses,
            standing,
            recovery,
            stop: None,
        })
    }

    /// The same, stopped as soon as somebody says so; what was computed until then is dropped.
    #[must_use]
    pub fn stopped_by(mut self, stop: Stop<'a>) -> Self {
        self.stop = Some(stop);
        self
    }

    /// One step, unless the computation has been stopped before it.
    pub(crate) fn step<T>(
        &self,
        work: impl FnOnce() -> Result<T, StrengthError>,
    ) -> Result<T, StrengthError> {
        if self.stop.is_some_and(|stop| stop()) {
            return Err(StrengthError::Stopped);
        }
        work()
    }

    pub fn net(&self) -> &Net {
        &self.net
    }

    /// # Errors
    /// A shell that tips over, no answer, or a stop.
    pub fn report(&self) -> Result<Report, StrengthError> {
        Ok(self.answered(false)?.0)
    }

    /// The report and the ends of the modulus band, from the same factors.
    ///
    /// # Errors
    /// As [`Bench::report`].
    pub fn report_and_sensitivity(&self) -> Result<(Report, Vec<Sensitivity>), StrengthError> {
        self.answered(true)
    }

    fn answered(&self, banded: bool) -> Result<(Report, Vec<Sensitivity>), StrengthError> {
        let groups = self.groups()?;
        let solved: Vec<Result<Told, StrengthError>> = groups
            .par_iter()
            .map(|((on_plate, held), runs)| {
                if *on_plate {
                    self.on_plate(*held, runs, banded)
                } else {
                    self.on_floor(*held, runs, banded)
                }
            })
            .collect();
        let (mut outcomes, mut bands) = (Vec::new(), Vec::new());
        for group in solved {
            let (group, band) = group?;
            outcomes.extend(group);
            bands.extend(band);
        }
        outcomes.sort_by_key(|o| self.place_of(&o.case, o.held));
        bands.sort_by_key(|s| self.place_of(&s.case, s.held));
        let hardest = outcomes.iter().map(|o| o.on_shell_n).fold(0.0, f64::max);
        let report = Report {
            unknowns: 6 * self.net.nodes.len(),
            masses: masses(&self.question),
            posts: self.post_yields(hardest),
            forefoot_on_shell: self.presses.forefoot_on_shell,
            net: self.net.clone(),
            outcomes,
        };
        Ok((report, bands))
    }

    /// As the cases were given, each with its ways of holding.
    pub(crate) fn place_of(&self, case: &str, held: Held) -> (Option<usize>, Option<usize>) {
        let cases = self.question.cases;
        let number = cases.iter().position(|c| c.key == case);
        let way = number.and_then(|n| cases[n].held.iter().position(|h| *h == held));
        (number, way)
    }

    /// Runs by the model that they need.
    pub(crate) fn groups(&self) -> Result<Groups<'a>, StrengthError> {
        let mut out: Groups<'a> = Vec::new();
        for case in self.question.cases {
            for &held in &case.held {
                let (load, whole_n, on_plate) = match case.presses {
                    Pressing::Foot {
                        body_weights,
                        shares,
                    } => {
                        let whole = body_weights * self.question.weight_kg * NEWTON_PER_KILOGRAM;
                        let p = &self.presses;
                        let mut load = Load::none(self.net.nodes.len());
                        for (part, share) in [
                            (&p.heel, shares.heel),
                            (&p.medial_arch, shares.medial_arch),
                            (&p.lateral_midfoot, shares.lateral_midfoot),
                            (&p.forefoot, shares.forefoot * p.forefoot_on_shell),
                        ] {
                            load.add_scaled(part, share * whole)?;
                        }
                        (load, whole, false)
                    }
                    Pressing::Stamp { radius_mm, force_n } => {
                        let one = stamp(self.question.device, &self.net, &self.mesh, radius_mm)?;
                        let mut load = Load::none(self.net.nodes.len());
                        load.add_scaled(&one, force_n)?;
                        (load, force_n, true)
                    }
                };
                let run = Run {
                    case,
                    held,
                    load,
                    whole_n,
                };
                match out.iter_mut().find(|(key, _)| *key == (on_plate, held)) {
                    Some((_, runs)) => runs.push(run),
                    None => out.push(((on_plate, held), vec![run])),
                }
            }
        }
        Ok(out)
    }

    pub(crate) fn model(&self, held: Held, on_plate: bool) -> Result<Model, StrengthError> {
        let free = self.recovery.model().clone();
        let supports = self.standing.supports(&self.net, held, on_plate);
        Ok(free.with_supports(supports)?)
    }

    /// Settles parts of every run's load: for each run, for each part, hardly loaded and loaded.
    pub(crate) fn settled(
        &self,
        floor: &Contact,
        runs: &[Run<'_>],
        parts: &[f64],
    ) -> Result<Vec<Vec<Settled>>, StrengthError> {
        let loads: Vec<&Load> = runs.iter().map(|run| &run.load).collect();
        let both: Vec<f64> = parts.iter().flat_map(|p| [HARDLY * p, *p]).collect();
        let rests = floor.settle_parts(&loads, &both)?;
        let mut out = Vec::new();
        for (run, rests) in runs.iter().zip(rests) {
            let in_case = |fault| StrengthError::in_case(&run.case.key, fault);
            let mut rests = rests.into_iter();
            let mut states = Vec::new();
            while let (Some(hardly), Some(loaded)) = (rests.next(), rests.next()) {
                states.push(Settled {
                    hardly: hardly.map_err(in_case)?.displacement,
                    loaded: loaded.map_err(in_case)?,
                });
            }
            out.push(states);
        }
        Ok(out)
    }

    pub(crate) fn contact(&self, held: Held) -> Result<Contact, StrengthError> {
        let model = self.model(held, false)?;
        Ok(Contact::new(
            model,
            V::z(),
            self.standing.candidates.clone(),
        )?)
    }

    /// The outcomes, and with `banded` the modulus band's ends: another modulus is another load, see
    /// [`crate::further`].
    fn on_floor(&self, held: Held, runs: &[Run<'_>], banded: bool) -> Result<Told, StrengthError> {
        let floor = self.step(|| self.contact(held))?;
        let ends = self.question.shell.stiffness_factors();
        let parts: Vec<f64> = if banded {
            vec![1.0, 1.0 / ends[0], 1.0 / ends[1]]
        } else {
            vec![1.0]
        };
        let settled = self.step(|| self.settled(&floor, runs, &parts))?;
        let told: Vec<Result<(Outcome, Option<Sensitivity>), StrengthError>> = runs
            .par_iter()
            .zip(settled)
            .map(|(run, states)| self.step(|| self.told(&floor, run, states, ends)))
            .collect();
        let (mut outcomes, mut bands) = (Vec::new(), Vec::new());
        for one in told {
            let (outcome, band) = one?;
            outcomes.push(outcome);
            bands.extend(band);
        }
        Ok((outcomes, bands))
    }

    fn told(
        &self,
        floor: &Contact,
        run: &Run<'_>,
        states: Vec<Settled>,
        ends: [f64; 2],
    ) -> Result<(Outcome, Option<Sensitivity>), StrengthError> {
        let moved: Vec<&Displacement> = states.iter().map(|s| &s.loaded.displacement).collect();
        let mut stresses = self.recovery.von_mises(&moved)?.into_iter();
        let mut states = states.into_iter();
        let (Some(usual), Some(stress)) = (states.next(), stresses.next()) else {
            return Err(StrengthError::in_case(
                &run.case.key,
                fem::FemError::NoCandidates,
            ));
        };
        let rest = floor.rest(usual.loaded)?;
        let outcome = self.floor_outcome(run, &usual.hardly, &rest, stress);
        let mut others = states.zip(stresses);
        let (Some(soft), Some(stiff)) = (others.next(), others.next()) else {
            return Ok((outcome, None));
        };
        let end = |(state, stress): (Settled, Vec<[f64; 3]>), factor: f64| {
            let stress = highest(&stress).map_or(0.0, |h| h.2);
            let drop = self.arch_drop(&state.hardly, &state.loaded.displacement);
            (drop, stress * factor)
        };
        let (low, high) = (end(soft, ends[0]), end(stiff, ends[1]));
        let band = Sensitivity {
            case: run.case.key.clone(),
            held: run.held,
            arch_drop_mm: [low.0, outcome.arch_drop_mm, high.0],
            stress_mpa: [low.1, outcome.worst.stress_mpa, high.1],
        };
        Ok((outcome, Some(band)))
    }

    /// Without contact everything is in proportion, the modulus band's ends too.
    fn on_plate(&self, held: Held, runs: &[Run<'_>], banded: bool) -> Result<Told, StrengthError> {
        let system = self.step(|| Ok(System::new(self.model(held, true)?)?))?;
        let nothing = Load::none(self.net.nodes.len());
        let still = system.solve(&[&nothing])?.remove(0);
        let loads: Vec<&Load> = runs.iter().map(|r| &r.load).collect();
        let solved = system.solve(&loads)?;
        let motions: Vec<&Displacement> = solved.iter().collect();
        let balances = system.balance(&loads, &motions)?;
        let stresses = self.recovery.von_mises(&motions)?;
        let mut out = Vec::new();
        let told = runs.iter().zip(&solved).zip(&balances).zip(stresses);
        for (((run, motion), balance), stress) in told {
            let held_up: f64 = balance.reactions.chunks_exact(6).map(|six| six[2]).sum();
            let on_shell = pressed(&run.load);
            let mut outcome = self.outcome(run, &still, motion, stress);
            if let Pressing::Stamp { radius_mm, .. } = run.case.presses {
                outcome.stiffness_n_per_mm =
                    self.stamp_way(radius_mm, motion).map(|way| on_shell / way);
            }
            // A bench is no walking.
            outcome.safety = None;
            outcome.residual = balance.residual;
            outcome.unbalanced_share = (held_up - on_shell).abs() / on_shell;
            out.push(outcome);
        }
        let [soft, stiff] = self.question.shell.stiffness_factors();
        let band = |outcome: &Outcome| Sensitivity {
            case: outcome.case.clone(),
            held,
            arch_drop_mm: [1.0 / soft, 1.0, 1.0 / stiff].map(|f| f * outcome.arch_drop_mm),
            stress_mpa: [outcome.worst.stress_mpa; 3],
        };
        let bands = if banded {
            out.iter().map(band).collect()
        } else {
            Vec::new()
        };
        Ok((out, bands))
    }
}

impl Report {
    /// One line for each case and way of holding.
    pub fn table(&self) -> Vec<String> {
        self.outcomes.iter().map(Outcome::line).collect()
    }
}

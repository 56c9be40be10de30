//! What else can be asked of a shell: another modulus, large motion, a second computation.
//!
//! One surprise: another modulus needs no new factors. Under the same load a shell of half the stiffness
//! moves as this one does under twice the load, contact included, since gaps are lengths; stresses follow
//! with the factor.

use fem::{Contact, Load, Model};
use nalgebra::Vector3;

use crate::bench::{Bench, HARDLY};
use crate::error::StrengthError;
use crate::input::{Case, Held, Presses as Pressing};
use crate::outcome::Sensitivity;
use crate::press::stamp;

impl Bench<'_> {
    /// Arch drop and highest stress at the ends of the modulus band.
    ///
    /// # Errors
    /// As [`Bench::report`].
    pub fn sensitivity(&self) -> Result<Vec<Sensitivity>, StrengthError> {
        Ok(self.report_and_sensitivity()?.1)
    }
}

/// A linear case for whoever computes it a second time.
#[derive(Debug, Clone)]
pub struct PlateCase {
    pub model: Model,
    pub load: Load,
}

impl Bench<'_> {
    /// The first stamp's case with heel and front edge clamped; `None` where no case has a stamp.
    ///
    /// # Errors
    /// A stamp that lies off the shell.
    pub fn clamped_stamp(&self) -> Result<Option<PlateCase>, StrengthError> {
        let stamp_of = |case: &Case| match case.presses {
            Pressing::Stamp { radius_mm, force_n } => Some((radius_mm, force_n)),
            Pressing::Foot { .. } => None,
        };
        let Some((radius_mm, force_n)) = self.question.cases.iter().find_map(stamp_of) else {
            return Ok(None);
        };
        let one = stamp(self.question.device, &self.net, &self.mesh, radius_mm)?;
        let mut load = Load::none(self.net.nodes.len());
        load.add_scaled(&one, force_n)?;
        Ok(Some(PlateCase {
            model: self.model(Held::Clamped, true)?,
            load,
        }))
    }
}

/// The arch in large motion beside small motion.
#[derive(Debug, Clone, PartialEq)]
pub struct LargeMotion {
    pub case: String,
    pub held: Held,
    /// Of the net that both were computed on.
    pub unknowns: usize,
    pub small_mm: f64,
    pub large_mm: f64,
    /// Corrections of each load step, hardly loaded and loaded.
    pub corrections: [Vec<usize>; 2],
}

impl LargeMotion {
    /// In one sentence, with the size of the net.
    pub fn line(&self) -> String {
        let number = |mm: f64| quantity::written_short(mm, 2);
        format!(
            "{} ({}): in large motion the arch drops {} mm, in small motion {} mm, both on a net of {} unknowns",
            self.case,
            self.held.words(),
            number(self.large_mm),
            number(self.small_mm),
            self.unknowns
        )
    }
}

impl Bench<'_> {
    /// The arch's drop under a standing foot's case in large motion, contact with the floor included.
    ///
    /// At the page's size it takes some thirty factors and many seconds; whoever has less time asks for a
    /// coarser net. Small motion is told on the same net.
    ///
    /// # Errors
    /// A case that is not of this question or not on the floor, no balance, or a stop.
    pub fn large_motion(&self, key: &str, held: Held) -> Result<LargeMotion, StrengthError> {
        let groups = self.groups()?;
        let run = groups
            .iter()
            .filter(|((on_plate, way), _)| !on_plate && *way == held)
            .flat_map(|(_, runs)| runs)
            .find(|run| run.case.key == key)
            .ok_or(StrengthError::Value {
                what: "a case for large motion",
                found: key.into(),
                expected: "one of the question's cases on the floor",
            })?;
        let model = self.model(held, false)?;
        let candidates = self.standing.candidates.clone();
        let floor = fem::Floor {
            normal: Vector3::z(),
            candidates: candidates.clone(),
        };
        let contact = Contact::new(model.clone(), Vector3::z(), candidates)?;
        let in_case = |fault| StrengthError::in_case(key, fault);
        let mut small = Vec::new();
        let mut large = Vec::new();
        let mut corrections = Vec::new();
        for part in [HARDLY, 1.0] {
            let mut load = Load::none(self.net.nodes.len());
            load.add_scaled(&run.load, part)?;
            small.push(contact.settle(&load).map_err(in_case)?.displacement);
            let bend = || fem::bend(&model, &load, Some(&floor), &fem::Steps::default());
            let bent = self.step(|| bend().map_err(in_case))?;
            large.push(bent.displacement);
            corrections.push(bent.corrections);
        }
        let loaded = corrections.pop().unwrap_or_default();
        let hardly = corrections.pop().unwrap_or_default();
        Ok(LargeMotion {
            case: key.into(),
            held,
            unknowns: 6 * self.net.nodes.len(),
            small_mm: self.arch_drop(&small[0], &small[1]),
            large_mm: self.arch_drop(&large[0], &large[1]),
            corrections: [hardly, loaded],
        })
    }
}

//! What counts as print on a sheet: under one light, at one level, parted by a line or not.

use crate::divide::Divide;
use crate::field::Field;
use crate::level::Level;
use crate::light::Light;
use crate::outline::{Ring, along_cells, between_cells, signed_area};
use crate::sheet::{Medium, Sheet};
use crate::spots::{Mask, Spots};
use crate::steps::Place;
use geometry::Vec2;

/// Smaller parts, beside the foot, are specks; smaller holes are the skin's own lines.
pub(crate) const SPECK: f64 = 0.0015;
const HOLE: f64 = 0.004;

pub(crate) struct Printed<'s> {
    pub sheet: &'s Sheet,
    pub field: &'s Field,
    pub level: Level,
    pub spots: Spots,
}

impl<'s> Printed<'s> {
    pub fn on(
        sheet: &'s Sheet,
        light: Light,
        level: Level,
        divide: Option<&Divide>,
    ) -> Printed<'s> {
        let field = sheet.field(light);
        let line = divide.map(|d| d.line.map(|p| field.to_worked(p)));
        Printed {
            sheet,
            field,
            level,
            spots: Spots::of(field, level, line),
        }
    }

    /// The outline of some parts on the ground, with its specks dropped and its small holes filled.
    pub fn outline(&self, mask: &Mask) -> Vec<Ring> {
        let rings = match self.sheet.medium {
            Medium::Pressure => along_cells(mask),
            _ => between_cells(self.field, mask, self.level),
        };
        let total: f64 = rings.iter().map(|r| signed_area(r).max(0.0)).sum();
        rings
            .into_iter()
            .filter(|r| {
                let own = signed_area(r);
                if own > 0.0 {
                    own > 0.5 * SPECK * total
                } else {
                    -own > HOLE * total
                }
            })
            .map(|r| r.iter().map(|p| self.on_ground(*p)).collect())
            .collect()
    }

    /// From a worked place.
    pub fn on_ground(&self, p: Vec2) -> Vec2 {
        self.sheet.scale.on_ground(self.field.to_cells([p.x, p.y]))
    }

    /// The cells of the parts in which these places lie; places that lie in none, or across the dividing line from
    /// the first, are passed over.
    pub fn mask_of(&self, seeds: &[Place]) -> Option<Mask> {
        let mut parts: Vec<usize> = Vec::new();
        let mut side = None;
        for seed in seeds {
            let at = self.field.to_worked(*seed).map(f64::round);
            if at.iter().all(|c| (0.0..1e6).contains(c))
                && let Some((part, beyond)) = self.spots.part_at(at[0] as usize, at[1] as usize)
                && *side.get_or_insert(beyond) == beyond
                && !parts.contains(&part)
            {
                parts.push(part);
            }
        }
        self.spots.mask(&parts)
    }
}

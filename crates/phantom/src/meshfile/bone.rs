//! What turns a rough mesh into a bone with cortex, and bare bones into a foot with soft tissue?

use super::MeshFileError;
use crate::render::offset::DistanceGrid;
use mesh::Mesh;

/// How a rough mesh becomes a bone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoneRecipe {
    pub grid_mm: f64,
    /// Rounds off the facets of a coarse mesh; 0 keeps them.
    pub smooth_mm: f64,
    pub cortex_mm: f64,
}

impl BoneRecipe {
    /// The usual recipe; a coarser grid for the long bones of the leg, which would be too large for the fine one.
    pub fn for_bone(name: &str) -> BoneRecipe {
        let leg = matches!(name, "tibia" | "fibula");
        let usual = BoneRecipe::default();
        BoneRecipe {
            grid_mm: if leg { 1.0 } else { usual.grid_mm },
            ..usual
        }
    }
}

impl Default for BoneRecipe {
    fn default() -> BoneRecipe {
        BoneRecipe {
            grid_mm: 0.6,
            smooth_mm: 1.2,
            cortex_mm: 1.3,
        }
    }
}

/// Outer surface and inside of the cortex of a closed mesh; no inside where the bone is thinner than
/// twice its cortex.
///
/// # Errors
/// A mesh too large for the grid, or without volume.
pub fn bone_from(mesh: &Mesh, recipe: BoneRecipe) -> Result<(Mesh, Option<Mesh>), MeshFileError> {
    let grid = DistanceGrid::of(&[mesh], recipe.grid_mm, 1.5, recipe.smooth_mm)?;
    let inner = grid.surface(-recipe.cortex_mm);
    let inner = (!inner.triangles.is_empty()).then_some(inner);
    Ok((grid.surface(0.0), inner))
}

/// A smooth hull some millimetres outside a set of bones, cut flat at the floor.
///
/// # Errors
/// As [`bone_from`].
pub fn skin_around(bones: &[&Mesh], out_mm: f64) -> Result<Mesh, MeshFileError> {
    let mut grid = DistanceGrid::of(bones, 2.0, 3.0 * out_mm, 0.0)?;
    // Farther out first and back again: hollows between bones are filled over.
    let wide = grid.surface(2.2 * out_mm);
    let mut hull = DistanceGrid::of(&[&wide], 2.0, 4.0, 4.0)?;
    hull.change(|[_, y, _], d| (d + 1.2 * out_mm as f32).max(-y as f32));
    grid = hull;
    Ok(grid.surface(0.0))
}

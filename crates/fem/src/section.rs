//! What a thickness of material answers to being stretched, bent and sheared.
//!
//! Leaves the single layer's stiffness to [`material`](crate::material). One surprise: a section is kept for
//! thickness 1 and scaled (A with t, B with t², D with t³), because a shell's thickness varies from node to
//! node while its layers keep their shares.

use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};

use crate::FemError;
use crate::material::{Isotropic, Orthotropic, shear_turn, strain_turn};

/// One layer of a section, counted from the underside to the top (the side the normal points to).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Its part of the thickness; the parts of a section sum to 1.
    pub share: f64,
    /// From the model's material axis to the layer's first direction, in radians about the normal.
    pub angle: f64,
    pub material: Orthotropic,
}

/// A section of thickness 1: scale it with the thickness at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    plies: Vec<Ply>,
    offset: f64,
    pub(crate) stretch: Matrix3<f64>,
    pub(crate) coupling: Matrix3<f64>,
    pub(crate) bending: Matrix3<f64>,
    pub(crate) shear: Matrix2<f64>,
    pub(crate) higher_order: f64,
    pub(crate) same_in_every_direction: bool,
    flow: [Flow; 2],
}

#[derive(Debug, Clone, PartialEq)]
struct Ply {
    bottom: f64,
    top: f64,
    cosine: f64,
    sine: f64,
    material: Orthotropic,
    in_section: Matrix3<f64>,
}

/// How shear runs through the thickness when the section is bent about one axis.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Flow {
    neutral: f64,
    bending: f64,
}

impl Section {
    /// One material, alike in every direction, through the whole thickness.
    ///
    /// # Errors
    /// A material that cannot be.
    pub fn isotropic(material: Isotropic) -> Result<Self, FemError> {
        material.check()?;
        let mut section = Self::layered(&[Layer {
            share: 1.0,
            angle: 0.0,
            material: material.into(),
        }])?;
        section.same_in_every_direction = true;
        Ok(section)
    }

    /// Layers from the underside to the top.
    ///
    /// # Assumptions
    /// First-order shear: the stiffness across is corrected so that, bent into a cylinder about each axis,
    /// the section stores the energy of the shear stress that balance along the layers asks for. One
    /// homogeneous layer gives 5/6. Shear that couples the two axes takes the geometric mean.
    ///
    /// # Errors
    /// Shares that do not sum to 1, or a material that cannot be.
    pub fn layered(layers: &[Layer]) -> Result<Self, FemError> {
        let mut plies = Vec::with_capacity(layers.len());
        let mut height = -0.5;
        for layer in layers {
            layer.material.check()?;
            if !(layer.share.is_finite() && layer.share > 0.0) {
                return Err(FemError::Shares { total: layer.share });
            }
            if !layer.angle.is_finite() {
                return Err(FemError::Material {
                    what: "a layer's angle",
                    value: layer.angle,
                    expected: "a finite number",
                });
            }
            let (sine, cosine) = layer.angle.sin_cos();
            let turn = strain_turn(cosine, sine);
            plies.push(Ply {
                bottom: height,
                top: height + layer.share,
                cosine,
                sine,
                material: layer.material,
                in_section: turn.transpose() * layer.material.in_plane() * turn,
            });
            height += layer.share;
        }
        if (height - 0.5).abs() > 1e-9 {
            return Err(FemError::Shares {
                total: height + 0.5,
            });
        }
        let mut stretch = Matrix3::zeros();
        let mut coupling = Matrix3::zeros();
        let mut bending = Matrix3::zeros();
        let mut across = Matrix2::zeros();
        for ply in &plies {
            let (a, b) = (ply.bottom, ply.top);
            stretch += ply.in_section * (b - a);
            coupling += ply.in_section * ((b * b - a * a) / 2.0);
            bending += ply.in_section * ((b * b * b - a * a * a) / 3.0);
            let turn = shear_turn(ply.cosine, ply.sine);
            across += turn.transpose() * ply.material.across() * turn * (b - a);
        }
        let flow = [0, 1].map(|axis| flow(&plies, axis));
        let correction =
            [0, 1].map(|axis| corrected_shear(&plies, axis, &flow[axis]) / across[(axis, axis)]);
        let mean = (correction[0] * correction[1]).sqrt();
        let shear = Matrix2::new(
            across[(0, 0)] * correction[0],
            across[(0, 1)] * mean,
            across[(1, 0)] * mean,
            across[(1, 1)] * correction[1],
        );
        Ok(Self {
            plies,
            offset: 0.0,
            stretch,
            coupling: clean(coupling, &stretch),
            bending,
            shear,
            higher_order: higher_order(&stretch),
            same_in_every_direction: false,
            flow,
        })
    }

    /// Moves the mid-surface off the mesh: it lies `offset` thicknesses above it (towards the normal).
    ///
    /// # Errors
    /// An offset that is not a finite number.
    pub fn with_offset(mut self, offset: f64) -> Result<Self, FemError> {
        if !offset.is_finite() {
            return Err(FemError::Value {
                what: "an offset",
                value: offset,
                expected: "a finite number",
            });
        }
        let step = offset - self.offset;
        self.bending += self.coupling * (2.0 * step) + self.stretch * (step * step);
        self.coupling = clean(self.coupling + self.stretch * step, &self.stretch);
        self.offset = offset;
        Ok(self)
    }

    /// The mid-surface's height above the mesh, in thicknesses.
    #[must_use]
    pub fn offset(&self) -> f64 {
        self.offset
    }

    /// Force from stretch, per length: the matrix A at this thickness, in the material axes.
    #[must_use]
    pub fn stretch_stiffness(&self, thickness: f64) -> Matrix3<f64> {
        self.stretch * thickness
    }

    /// Force from curvature and moment from stretch: the matrix B.
    #[must_use]
    pub fn coupling_stiffness(&self, thickness: f64) -> Matrix3<f64> {
        self.coupling * (thickness * thickness)
    }

    /// Moment from curvature: the matrix D, about the mesh's surface.
    #[must_use]
    pub fn bending_stiffness(&self, thickness: f64) -> Matrix3<f64> {
        self.bending * (thickness * thickness * thickness)
    }

    /// Shear force from shear, corrected.
    #[must_use]
    pub fn shear_stiffness(&self, thickness: f64) -> Matrix2<f64> {
        self.shear * thickness
    }

    #[must_use]
    pub fn layer_count(&self) -> usize {
        self.plies.len()
    }

    /// Stress 11, 22, 12 in the section's axes at a height between -0.5 (underside) and 0.5 (top) of the
    /// thickness. On a boundary between layers the outer one answers; at the very middle the upper one.
    #[must_use]
    pub fn stress(
        &self,
        height: f64,
        thickness: f64,
        strain: &Vector3<f64>,
        curvature: &Vector3<f64>,
    ) -> Vector3<f64> {
        self.ply_at(height).map_or_else(Vector3::zeros, |ply| {
            ply.in_section * self.strain_at(height, thickness, strain, curvature)
        })
    }

    /// Stress in one layer's own directions (11, 22, 12), at its underside, middle and top.
    ///
    /// `None` when there is no such layer.
    #[must_use]
    pub fn layer_stress(
        &self,
        layer: usize,
        thickness: f64,
        strain: &Vector3<f64>,
        curvature: &Vector3<f64>,
    ) -> Option<[Vector3<f64>; 3]> {
        let ply = self.plies.get(layer)?;
        let stiffness = ply.material.in_plane();
        let turn = strain_turn(ply.cosine, ply.sine);
        Some(
            [ply.bottom, (ply.bottom + ply.top) / 2.0, ply.top].map(|height| {
                stiffness * turn * self.strain_at(height, thickness, strain, curvature)
            }),
        )
    }

    /// Shear stress across the thickness at the mid-surface, from the shear forces; 1.5 times the mean for
    /// one homogeneous layer.
    #[must_use]
    pub fn shear_stress_at_middle(&self, thickness: f64, force: &Vector2<f64>) -> Vector2<f64> {
        let share = |axis: usize| {
            let flow = &self.flow[axis];
            let below: f64 = self
                .plies
                .iter()
                .map(|ply| first_moment(ply, axis, flow, ply.bottom, ply.top.min(0.0)))
                .sum();
            -below / flow.bending
        };
        Vector2::new(force.x * share(0), force.y * share(1)) / thickness
    }

    fn strain_at(
        &self,
        height: f64,
        thickness: f64,
        strain: &Vector3<f64>,
        curvature: &Vector3<f64>,
    ) -> Vector3<f64> {
        strain + curvature * ((height + self.offset) * thickness)
    }

    fn ply_at(&self, height: f64) -> Option<&Ply> {
        if height < 0.0 {
            self.plies.iter().find(|ply| height <= ply.top + 1e-12)
        } else {
            self.plies
                .iter()
                .rev()
                .find(|ply| height >= ply.bottom - 1e-12)
        }
    }
}

/// Round-off is not coupling: a symmetric stack stays exactly uncoupled.
fn clean(coupling: Matrix3<f64>, stretch: &Matrix3<f64>) -> Matrix3<f64> {
    let floor = stretch.amax() * 1e-14;
    coupling.map(|entry| if entry.abs() < floor { 0.0 } else { entry })
}

fn flow(plies: &[Ply], axis: usize) -> Flow {
    let modulus = |ply: &Ply| ply.in_section[(axis, axis)];
    let sum: f64 = plies
        .iter()
        .map(|ply| modulus(ply) * (ply.top - ply.bottom))
        .sum();
    let first: f64 = plies
        .iter()
        .map(|ply| modulus(ply) * (ply.top.powi(2) - ply.bottom.powi(2)) / 2.0)
        .sum();
    let neutral = first / sum;
    let bending = plies
        .iter()
        .map(|ply| {
            modulus(ply) * ((ply.top - neutral).powi(3) - (ply.bottom - neutral).powi(3)) / 3.0
        })
        .sum();
    Flow { neutral, bending }
}

/// Integral of modulus times lever over a part of one layer; nothing where the part is empty.
fn first_moment(ply: &Ply, axis: usize, flow: &Flow, from: f64, to: f64) -> f64 {
    if to <= from {
        return 0.0;
    }
    ply.in_section[(axis, axis)] * ((to - flow.neutral).powi(2) - (from - flow.neutral).powi(2))
        / 2.0
}

/// The stiffness that stores the energy of the balanced shear stress; exact, the stress being quadratic in
/// each layer and three Gauss points taking its square without error.
fn corrected_shear(plies: &[Ply], axis: usize, flow: &Flow) -> f64 {
    const POINTS: [(f64, f64); 3] = [
        (-0.774_596_669_241_483_4, 5.0 / 9.0),
        (0.0, 8.0 / 9.0),
        (0.774_596_669_241_483_4, 5.0 / 9.0),
    ];
    let mut below = 0.0;
    let mut flexibility = 0.0;
    for ply in plies {
        let turn = shear_turn(ply.cosine, ply.sine);
        let modulus = (turn.transpose() * ply.material.across() * turn)[(axis, axis)];
        let half = (ply.top - ply.bottom) / 2.0;
        for (place, weight) in POINTS {
            let height = ply.bottom + half * (1.0 + place);
            let stress = (below + first_moment(ply, axis, flow, ply.bottom, height)) / flow.bending;
            flexibility += weight * half * stress * stress / modulus;
        }
        below += first_moment(ply, axis, flow, ply.bottom, ply.top);
    }
    1.0 / flexibility
}

/// How strongly the membrane element's higher-order strains count.
///
/// For an isotropic sheet (1 - 4 nu²) / 2, the value at which a rectangle made of triangles bends exactly in
/// its plane whatever its sides; in general 2 / mean(E11 C11) - 3/2 over all directions, at least 0.01.
///
/// # Sources
/// Felippa, A study of optimal membrane triangles with drilling freedoms, 2003; written from memory of the
/// paper's formula, proven here by the beam and Cook tests.
fn higher_order(stretch: &Matrix3<f64>) -> f64 {
    let Some(compliance) = stretch.try_inverse() else {
        return 0.01;
    };
    // The product has harmonics up to the eighth of the angle: 16 places over half a turn sum it exactly.
    let mean = (0..16)
        .map(|step| {
            let (s, c) = (f64::from(step) * std::f64::consts::PI / 16.0).sin_cos();
            let stress = Vector3::new(c * c, s * s, c * s);
            let strain = Vector3::new(c * c, s * s, 2.0 * c * s);
            // A unit stretch along the direction gives E11 turned, a unit pull C11 turned.
            strain.dot(&(stretch * strain)) * stress.dot(&(compliance * stress))
        })
        .sum::<f64>()
        / 16.0;
    (2.0 / mean - 1.5).max(0.01)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, expected: f64) {
        assert!(
            (found - expected).abs() <= 1e-12 * expected.abs().max(1.0),
            "{found} is not {expected}"
        );
    }

    fn carbon() -> Orthotropic {
        Orthotropic {
            e1: 130e3,
            e2: 9e3,
            nu12: 0.29,
            g12: 4.5e3,
            g13: 4.5e3,
            g23: 3.2e3,
        }
    }

    #[test]
    fn one_homogeneous_layer_has_the_shear_correction_five_sixths_and_a_parabola_of_stress() {
        let section = Section::isotropic(Isotropic {
            modulus: 1400.0,
            poisson: 0.42,
        })
        .unwrap();
        let shear = 1400.0 / (2.0 * 1.42);
        close(
            section.shear_stiffness(4.0)[(0, 0)],
            5.0 / 6.0 * shear * 4.0,
        );
        close(
            section.bending_stiffness(4.0)[(0, 0)],
            1400.0 * 64.0 / (12.0 * (1.0 - 0.42 * 0.42)),
        );
        close(
            section
                .shear_stress_at_middle(4.0, &Vector2::new(8.0, -4.0))
                .x,
            1.5 * 2.0,
        );
        close(
            section
                .shear_stress_at_middle(4.0, &Vector2::new(8.0, -4.0))
                .y,
            -1.5,
        );
        assert_eq!(section.coupling_stiffness(4.0), Matrix3::zeros());
    }

    #[test]
    fn the_higher_order_weight_of_an_isotropic_sheet_is_half_of_one_less_four_nu_squared() {
        for poisson in [-0.3, 0.0, 0.2, 0.3, 0.42, 0.49] {
            let section = Section::isotropic(Isotropic {
                modulus: 7.0,
                poisson,
            })
            .unwrap();
            close(
                section.higher_order,
                (0.5 * (1.0 - 4.0 * poisson * poisson)).max(0.01),
            );
        }
    }

    #[test]
    fn a_symmetric_cross_ply_is_uncoupled_and_has_the_textbook_stiffness() {
        let quarter = std::f64::consts::FRAC_PI_2;
        let layers: Vec<Layer> = [0.0, quarter, quarter, 0.0]
            .iter()
            .map(|&angle| Layer {
                share: 0.25,
                angle,
                material: carbon(),
            })
            .collect();
        let section = Section::layered(&layers).unwrap();
        assert_eq!(section.coupling, Matrix3::zeros());
        let q = carbon().in_plane();
        let (inner, outer) = (
            0.25_f64.powi(3) * 2.0 / 3.0,
            (0.5_f64.powi(3) - 0.25_f64.powi(3)) * 2.0 / 3.0,
        );
        close(
            section.bending[(0, 0)],
            q[(0, 0)] * outer + q[(1, 1)] * inner,
        );
        close(
            section.bending[(1, 1)],
            q[(1, 1)] * outer + q[(0, 0)] * inner,
        );
        close(section.stretch[(0, 0)], (q[(0, 0)] + q[(1, 1)]) / 2.0);
    }

    #[test]
    fn moving_the_mesh_to_the_underside_keeps_the_stress_of_the_same_bent_plate() {
        let plain = Section::isotropic(Isotropic {
            modulus: 10.0,
            poisson: 0.3,
        })
        .unwrap();
        let moved = plain.clone().with_offset(0.5).unwrap();
        let curvature = Vector3::new(0.1, -0.02, 0.03);
        let (thickness, strain) = (2.0, Vector3::new(0.01, 0.0, 0.004));
        // The mid-surface of the moved section lies one unit above its mesh.
        let at_mesh = strain - curvature * 1.0;
        let one = plain.stress(0.5, thickness, &strain, &curvature);
        let two = moved.stress(0.5, thickness, &at_mesh, &curvature);
        assert!((one - two).norm() < 1e-14);
        let force = plain.stretch_stiffness(thickness) * strain;
        let same = moved.stretch_stiffness(thickness) * at_mesh
            + moved.coupling_stiffness(thickness) * curvature;
        assert!((force - same).norm() < 1e-13);
    }

    #[test]
    fn layers_that_do_not_fill_the_thickness_are_refused() {
        let layer = Layer {
            share: 0.4,
            angle: 0.0,
            material: carbon(),
        };
        assert!(matches!(
            Section::layered(&[layer, layer]),
            Err(FemError::Shares { .. })
        ));
        assert!(matches!(
            Section::layered(&[]),
            Err(FemError::Shares { .. })
        ));
    }

    #[test]
    fn a_sandwich_shears_softly_because_its_core_takes_the_shear() {
        let face = Orthotropic::from(Isotropic {
            modulus: 70e3,
            poisson: 0.3,
        });
        let core = Orthotropic {
            e1: 1.0,
            e2: 1.0,
            nu12: 0.0,
            g12: 0.5,
            g13: 20.0,
            g23: 20.0,
        };
        let layers = [(0.05, face), (0.9, core), (0.05, face)].map(|(share, material)| Layer {
            share,
            angle: 0.0,
            material,
        });
        let section = Section::layered(&layers).unwrap();
        // Textbook sandwich: G core times (distance of the faces)² / core; faces thin, so within 1 %.
        let expected = 20.0 * 0.95 * 0.95 / 0.9;
        assert!(
            (section.shear[(0, 0)] / expected - 1.0).abs() < 0.01,
            "{}",
            section.shear[(0, 0)]
        );
    }
}

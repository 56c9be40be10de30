//! How stiff a material is in its own plane and across it.
//!
//! Leaves the stacking of layers to [`section`](crate::section). Any consistent set of units may be used;
//! with millimetres and newtons a modulus is in megapascals. One surprise: an orthotropic material is given
//! in plane stress, so the modulus through the thickness is not asked for.

use nalgebra::{Matrix2, Matrix3};

use crate::FemError;

/// A material that is alike in every direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Isotropic {
    /// Young's modulus.
    pub modulus: f64,
    /// Poisson's ratio, above -1 and below 0.5.
    pub poisson: f64,
}

/// A material with two stiff directions in the plane of the layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Orthotropic {
    /// Modulus along the first direction (the fibres).
    pub e1: f64,
    /// Modulus along the second direction.
    pub e2: f64,
    /// Contraction along the second direction when pulled along the first.
    pub nu12: f64,
    /// Shear modulus in the plane.
    pub g12: f64,
    /// Shear modulus through the thickness along the first direction.
    pub g13: f64,
    /// Shear modulus through the thickness along the second direction.
    pub g23: f64,
}

impl From<Isotropic> for Orthotropic {
    fn from(material: Isotropic) -> Self {
        let shear = material.modulus / (2.0 * (1.0 + material.poisson));
        Self {
            e1: material.modulus,
            e2: material.modulus,
            nu12: material.poisson,
            g12: shear,
            g13: shear,
            g23: shear,
        }
    }
}

impl Isotropic {
    /// # Errors
    /// A modulus that is not positive, or a Poisson's ratio outside -1 to 0.5.
    pub fn check(&self) -> Result<(), FemError> {
        positive("a modulus", self.modulus)?;
        if self.poisson > -1.0 && self.poisson < 0.5 {
            Ok(())
        } else {
            Err(FemError::Material {
                what: "a Poisson's ratio",
                value: self.poisson,
                expected: "a number between -1 and 0.5",
            })
        }
    }
}

impl Orthotropic {
    /// # Errors
    /// A modulus that is not positive, or a contraction for which no material keeps its energy positive
    /// (nu12 squared must stay below E1 / E2).
    pub fn check(&self) -> Result<(), FemError> {
        for (what, value) in [
            ("E1", self.e1),
            ("E2", self.e2),
            ("G12", self.g12),
            ("G13", self.g13),
            ("G23", self.g23),
        ] {
            positive(what, value)?;
        }
        if self.nu12.is_finite() && self.nu12 * self.nu12 < self.e1 / self.e2 {
            Ok(())
        } else {
            Err(FemError::Material {
                what: "nu12",
                value: self.nu12,
                expected: "a square below E1 / E2",
            })
        }
    }

    /// Plane-stress stiffness in the layer's own directions: stress 11, 22, 12 from strain 11, 22, gamma 12.
    #[must_use]
    pub fn in_plane(&self) -> Matrix3<f64> {
        let nu21 = self.nu12 * self.e2 / self.e1;
        let share = 1.0 - self.nu12 * nu21;
        let q12 = self.nu12 * self.e2 / share;
        Matrix3::new(
            self.e1 / share,
            q12,
            0.0,
            q12,
            self.e2 / share,
            0.0,
            0.0,
            0.0,
            self.g12,
        )
    }

    /// Stiffness of shear across the layer, in its own directions.
    #[must_use]
    pub fn across(&self) -> Matrix2<f64> {
        Matrix2::new(self.g13, 0.0, 0.0, self.g23)
    }
}

fn positive(what: &'static str, value: f64) -> Result<(), FemError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(FemError::Material {
            what,
            value,
            expected: "a finite number greater than zero",
        })
    }
}

/// Turns strain (11, 22, gamma 12) in one pair of axes into the axes turned by an angle from them.
#[must_use]
pub(crate) fn strain_turn(cosine: f64, sine: f64) -> Matrix3<f64> {
    let (c, s) = (cosine, sine);
    Matrix3::new(
        c * c,
        s * s,
        c * s,
        s * s,
        c * c,
        -c * s,
        -2.0 * c * s,
        2.0 * c * s,
        c * c - s * s,
    )
}

/// Turns a pair of shears across the surface into the axes turned by an angle from them.
#[must_use]
pub(crate) fn shear_turn(cosine: f64, sine: f64) -> Matrix2<f64> {
    Matrix2::new(cosine, sine, -sine, cosine)
}

//! A mesh with its sections, supports and springs: everything but the load.
//!
//! Leaves loads to [`load`](crate::load) and the equations to [`system`](crate::system). One surprise: there
//! are six freedoms at every node, the turn about the normal included; nothing needs to be held for its sake.

use std::borrow::Cow;
use std::sync::Arc;

use nalgebra::Vector3;
use rayon::prelude::*;

use crate::FemError;
use crate::facet::{Facet, Stiffness};
use crate::mesh::Mesh;
use crate::section::Section;

/// The freedoms of a node, in the axes of the mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Freedom {
    Ux,
    Uy,
    Uz,
    Rx,
    Ry,
    Rz,
}

impl Freedom {
    pub const ALL: [Self; 6] = [Self::Ux, Self::Uy, Self::Uz, Self::Rx, Self::Ry, Self::Rz];
    pub const SHIFTS: [Self; 3] = [Self::Ux, Self::Uy, Self::Uz];
    pub const TURNS: [Self; 3] = [Self::Rx, Self::Ry, Self::Rz];

    #[must_use]
    pub const fn index(self) -> usize {
        match self {
            Self::Ux => 0,
            Self::Uy => 1,
            Self::Uz => 2,
            Self::Rx => 3,
            Self::Ry => 4,
            Self::Rz => 5,
        }
    }

    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ux => "x",
            Self::Uy => "y",
            Self::Uz => "z",
            Self::Rx => "turn about x",
            Self::Ry => "turn about y",
            Self::Rz => "turn about z",
        }
    }
}

/// A plane in which model and load are mirror images of themselves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mirror {
    /// The plane across x.
    AcrossX,
    AcrossY,
    AcrossZ,
}

/// Which freedoms are held, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Supports {
    held: Vec<[Option<f64>; 6]>,
    /// The first node named that is not there.
    missing: Option<usize>,
}

impl Supports {
    #[must_use]
    pub fn none(nodes: usize) -> Self {
        Self {
            held: vec![[None; 6]; nodes],
            missing: None,
        }
    }

    /// Holds some freedoms of a node at zero. A node that is not there is refused by the model.
    pub fn hold(&mut self, node: usize, freedoms: &[Freedom]) -> &mut Self {
        for &freedom in freedoms {
            self.prescribe(node, freedom, 0.0);
        }
        self
    }

    pub fn hold_all(&mut self, node: usize) -> &mut Self {
        self.hold(node, &Freedom::ALL)
    }

    /// Moves one freedom of a node by a given amount.
    pub fn prescribe(&mut self, node: usize, freedom: Freedom, value: f64) -> &mut Self {
        match self.held.get_mut(node) {
            Some(held) => held[freedom.index()] = Some(value),
            None => self.missing = self.missing.or(Some(node)),
        }
        self
    }

    /// Puts a node on a plane of symmetry: no motion across it, no turn within it.
    pub fn mirror(&mut self, node: usize, mirror: Mirror) -> &mut Self {
        use Freedom::{Rx, Ry, Rz, Ux, Uy, Uz};
        let freedoms = match mirror {
            Mirror::AcrossX => [Ux, Ry, Rz],
            Mirror::AcrossY => [Uy, Rx, Rz],
            Mirror::AcrossZ => [Uz, Rx, Ry],
        };
        self.hold(node, &freedoms)
    }

    #[must_use]
    pub fn held(&self) -> &[[Option<f64>; 6]] {
        &self.held
    }
}

/// A spring, linear and always along its first direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spring {
    /// From a node to fixed ground along a unit direction.
    ToGround {
        node: usize,
        direction: Vector3<f64>,
        stiffness: f64,
    },
    /// Against the turn of a node about a unit direction.
    AgainstTurn {
        node: usize,
        direction: Vector3<f64>,
        stiffness: f64,
    },
    /// Between two nodes, answering their difference along a unit direction.
    Between {
        nodes: [usize; 2],
        direction: Vector3<f64>,
        stiffness: f64,
    },
}

/// A structure ready to be loaded.
#[derive(Debug, Clone)]
pub struct Model {
    mesh: Mesh,
    sections: Vec<Section>,
    section_of: Vec<usize>,
    axis: Vector3<f64>,
    pub(crate) supports: Supports,
    springs: Vec<Spring>,
    prepared: Option<Arc<Elements>>,
}

/// What supports and springs do not change.
#[derive(Debug)]
struct Elements {
    facets: Vec<Option<Facet>>,
    stiffness: Vec<Option<Stiffness>>,
}

impl Model {
    /// One section everywhere, the material axis along x, nothing held.
    #[must_use]
    pub fn new(mesh: Mesh, section: Section) -> Self {
        let section_of = vec![0; mesh.triangles().len()];
        let supports = Supports::none(mesh.nodes().len());
        Self {
            mesh,
            sections: vec![section],
            section_of,
            axis: Vector3::x(),
            supports,
            springs: Vec::new(),
            prepared: None,
        }
    }

    /// Computes every element once, for this model and those made from it by other supports or springs;
    /// otherwise each is computed whenever it is asked for. Costs five kilobytes a triangle.
    #[must_use]
    pub fn prepared(mut self) -> Self {
        if self.prepared.is_none() {
            let all = 0..self.mesh.triangles().len();
            let facets: Vec<Option<Facet>> = all
                .into_par_iter()
                .map(|triangle| self.facet(triangle).map(Cow::into_owned))
                .collect();
            let stiffness = facets
                .par_iter()
                .map(|facet| facet.as_ref().map(Facet::stiffness))
                .collect();
            self.prepared = Some(Arc::new(Elements { facets, stiffness }));
        }
        self
    }

    /// # Errors
    /// A section number that is not there, or not one for each triangle.
    pub fn with_sections(
        mut self,
        sections: Vec<Section>,
        section_of: Vec<usize>,
    ) -> Result<Self, FemError> {
        if section_of.len() != self.mesh.triangles().len() {
            return Err(FemError::Count {
                what: "the sections of the triangles",
                found: section_of.len(),
                expected: self.mesh.triangles().len(),
            });
        }
        if let Some((triangle, &section)) = section_of
            .iter()
            .enumerate()
            .find(|(_, s)| **s >= sections.len())
        {
            return Err(FemError::SectionMissing {
                triangle,
                section,
                sections: sections.len(),
            });
        }
        self.sections = sections;
        self.section_of = section_of;
        self.prepared = None;
        Ok(self)
    }

    /// The direction from which layers' angles are counted, laid onto each triangle.
    ///
    /// # Errors
    /// A direction without length.
    pub fn with_axis(mut self, axis: Vector3<f64>) -> Result<Self, FemError> {
        let length = axis.norm();
        if !(length.is_finite() && length > 0.0) {
            return Err(FemError::Value {
                what: "the length of the material axis",
                value: length,
                expected: "a finite length greater than zero",
            });
        }
        self.axis = axis / length;
        self.prepared = None;
        Ok(self)
    }

    /// # Errors
    /// A node that is not there, or a value that is not finite.
    pub fn with_supports(mut self, supports: Supports) -> Result<Self, FemError> {
        let nodes = self.mesh.nodes().len();
        let beyond = (supports.held.len() > nodes).then_some(nodes);
        if let Some(node) = supports.missing.or(beyond) {
            return Err(FemError::NodeUnknown {
                what: "a support",
                node,
                nodes,
            });
        }
        let mut values = supports.held.iter().flatten().flatten();
        if let Some(&value) = values.find(|value| !value.is_finite()) {
            return Err(FemError::Value {
                what: "a prescribed motion",
                value,
                expected: "a finite number",
            });
        }
        self.supports = supports;
        self.supports.held.resize(nodes, [None; 6]);
        Ok(self)
    }

    /// # Errors
    /// A node that is not there, or a stiffness or direction that is not fit.
    pub fn with_springs(mut self, springs: Vec<Spring>) -> Result<Self, FemError> {
        let nodes = self.mesh.nodes().len();
        for spring in &springs {
            let (ends, direction, stiffness) = match spring {
                Spring::ToGround {
                    node,
                    direction,
                    stiffness,
                }
                | Spring::AgainstTurn {
                    node,
                    direction,
                    stiffness,
                } => ([*node; 2], direction, *stiffness),
                Spring::Between {
                    nodes,
                    direction,
                    stiffness,
                } => (*nodes, direction, *stiffness),
            };
            if let Some(&node) = ends.iter().find(|node| **node >= nodes) {
                return Err(FemError::NodeUnknown {
                    what: "a spring",
                    node,
                    nodes,
                });
            }
            let length = direction.norm();
            if (length - 1.0).abs() > 1e-9 || !length.is_finite() {
                return Err(FemError::Value {
                    what: "the length of a spring's direction",
                    value: length,
                    expected: "1",
                });
            }
            if !(stiffness.is_finite() && stiffness >= 0.0) {
                return Err(FemError::Value {
                    what: "a spring's stiffness",
                    value: stiffness,
                    expected: "a finite number not below zero",
                });
            }
        }
        self.springs = springs;
        Ok(self)
    }

    #[must_use]
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    #[must_use]
    pub fn supports(&self) -> &Supports {
        &self.supports
    }

    #[must_use]
    pub fn springs(&self) -> &[Spring] {
        &self.springs
    }

    #[must_use]
    pub fn axis(&self) -> &Vector3<f64> {
        &self.axis
    }

    #[must_use]
    pub fn section(&self, triangle: usize) -> Option<&Section> {
        self.sections.get(*self.section_of.get(triangle)?)
    }

    /// One element. The mesh has refused triangles without area, so this is `None` only out of range.
    #[must_use]
    pub fn facet(&self, triangle: usize) -> Option<Cow<'_, Facet>> {
        if let Some(prepared) = &self.prepared {
            return prepared.facets.get(triangle)?.as_ref().map(Cow::Borrowed);
        }
        let thickness = *self.mesh.thickness().get(triangle)?;
        let facet = Facet::new(
            &self.mesh.corners(triangle),
            thickness,
            self.section(triangle)?,
            &self.axis,
            self.mesh.normals().get(triangle),
        )?;
        Some(Cow::Owned(facet))
    }

    /// Stiffness of one element in the axes of the mesh; `None` only out of range.
    #[must_use]
    pub fn stiffness(&self, triangle: usize) -> Option<Cow<'_, Stiffness>> {
        match &self.prepared {
            Some(prepared) => prepared
                .stiffness
                .get(triangle)?
                .as_ref()
                .map(Cow::Borrowed),
            None => Some(Cow::Owned(self.facet(triangle)?.stiffness())),
        }
    }
}

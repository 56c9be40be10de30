//! Where each stiffness goes in the equations.
//!
//! Leaves the order of elimination to [`order`](crate::order) and the numbers' factorisation to
//! [`factor`](crate::factor). One surprise: equations are numbered in the order of elimination from the
//! start, so nothing is permuted later.

use std::borrow::Cow;

use nalgebra::{Matrix3, Vector3};

use crate::FemError;
use crate::facet::{Freedoms18, Stiffness};
use crate::model::{Model, Spring};
use crate::order::{Graph, nested_dissection};

/// Marks a freedom without an equation.
const HELD: u32 = u32::MAX;
/// Pairs of corners, the later one first.
const PAIRS: [(usize, usize); 6] = [(0, 0), (1, 0), (1, 1), (2, 0), (2, 1), (2, 2)];

/// The places of the entries of the lower triangle, column by column.
#[derive(Debug, Clone)]
pub struct Pattern {
    /// Equation of each freedom of each node.
    equation: Vec<[u32; 6]>,
    equations: usize,
    pub(crate) column_start: Vec<usize>,
    pub(crate) rows: Vec<usize>,
    /// Per pair of neighbouring nodes, by the earlier one: how far into its columns the later one's rows lie.
    slot_start: Vec<usize>,
    slot_node: Vec<u32>,
    slot_offset: Vec<u32>,
    position: Vec<u32>,
    triangles: Vec<[usize; 3]>,
    /// Nodes that a triangle touches; the others take no part.
    touched: Vec<bool>,
    triangle_slots: Vec<[u32; 6]>,
}

/// The numbers in a pattern, and the push of prescribed motions on the free equations.
#[derive(Debug, Clone)]
pub struct Matrix {
    pub(crate) values: Vec<f64>,
    pub(crate) push: Vec<f64>,
}

impl Matrix {
    /// Entries of the lower triangle, column by column.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }
}

impl Pattern {
    /// # Errors
    /// A model in which nothing is free.
    pub fn of(model: &Model) -> Result<Self, FemError> {
        let mesh = model.mesh();
        let nodes = mesh.nodes().len();
        // Equations and slots are numbered in 32 bits.
        if nodes.max(mesh.triangles().len()) > (u32::MAX / 64) as usize {
            return Err(FemError::Memory);
        }
        let mut touched = vec![false; nodes];
        let mut pairs = Vec::with_capacity(3 * mesh.triangles().len());
        for &[a, b, c] in mesh.triangles() {
            for (p, q) in [(a, b), (b, c), (c, a)] {
                pairs.push((p as u32, q as u32));
                touched[p] = true;
            }
        }
        for spring in model.springs() {
            if let Spring::Between { nodes: [a, b], .. } = *spring {
                pairs.push((a as u32, b as u32));
            }
        }
        let held = model.supports().held();
        let free = |node: usize| touched[node] && held[node].iter().any(Option::is_none);
        let graph = Graph::of_pairs(nodes, pairs);
        let among: Vec<u32> = (0..nodes)
            .filter(|&node| free(node))
            .map(|node| node as u32)
            .collect();
        if among.is_empty() {
            return Err(FemError::NothingFree);
        }
        let order = nested_dissection(mesh.nodes(), &graph, among);

        let mut position = vec![HELD; nodes];
        let mut equation = vec![[HELD; 6]; nodes];
        let mut count = vec![0_u32; nodes];
        let mut equations = 0_u32;
        for (place, &node) in order.iter().enumerate() {
            position[node as usize] = place as u32;
            for (freedom, number) in equation[node as usize].iter_mut().enumerate() {
                if held[node as usize][freedom].is_none() {
                    *number = equations;
                    equations += 1;
                    count[node as usize] += 1;
                }
            }
        }

        // Every neighbour is later once, and each node has itself.
        let slots = graph.to.len() / 2 + order.len();
        let mut slot_start = Vec::with_capacity(order.len() + 1);
        slot_start.push(0);
        let mut slot_node = Vec::with_capacity(slots);
        let mut slot_offset = Vec::with_capacity(slots);
        let mut column_start = Vec::with_capacity(equations as usize + 1);
        column_start.push(0);
        let mut rows = Vec::with_capacity(36 * slots - 15 * order.len());
        let mut all: Vec<usize> = Vec::new();
        let mut later: Vec<u32> = Vec::new();
        for (place, &node) in order.iter().enumerate() {
            later.clear();
            later.push(node);
            later.extend(graph.near(node).iter().filter(|&&near| {
                let there = position[near as usize];
                there != HELD && there > place as u32
            }));
            later[1..].sort_unstable_by_key(|&near| position[near as usize]);
            let mut offset = 0;
            for &near in &later {
                slot_node.push(position[near as usize]);
                slot_offset.push(offset);
                offset += count[near as usize];
            }
            slot_start.push(slot_node.len());
            all.clear();
            for &near in &later {
                let free = equation[near as usize].iter().filter(|&&n| n != HELD);
                all.extend(free.map(|&number| number as usize));
            }
            for skip in 0..count[node as usize] as usize {
                rows.extend_from_slice(&all[skip..]);
                column_start.push(rows.len());
            }
        }

        let mut pattern = Self {
            equation,
            equations: equations as usize,
            column_start,
            rows,
            slot_start,
            slot_node,
            slot_offset,
            position,
            triangles: mesh.triangles().to_vec(),
            touched,
            triangle_slots: Vec::new(),
        };
        pattern.triangle_slots = mesh
            .triangles()
            .iter()
            .map(|corners| PAIRS.map(|(i, j)| pattern.slot(corners[i], corners[j])))
            .collect();
        Ok(pattern)
    }

    #[must_use]
    pub fn equations(&self) -> usize {
        self.equations
    }

    #[must_use]
    pub fn nodes(&self) -> usize {
        self.equation.len()
    }

    /// Entries in the lower triangle.
    #[must_use]
    pub fn entries(&self) -> usize {
        self.rows.len()
    }

    /// Starts of the columns and rows of the entries of the lower triangle.
    #[must_use]
    pub fn lower(&self) -> (&[usize], &[usize]) {
        (&self.column_start, &self.rows)
    }

    /// The equation of a freedom; `None` where it is held.
    #[must_use]
    pub fn equation(&self, node: usize, freedom: usize) -> Option<usize> {
        let number = *self.equation.get(node)?.get(freedom)?;
        (number != HELD).then_some(number as usize)
    }

    /// A full list of nodal entries brought to the equations.
    pub(crate) fn gather(&self, full: &[f64], free: &mut [f64]) {
        for (six, numbers) in full.chunks_exact(6).zip(&self.equation) {
            for (value, &number) in six.iter().zip(numbers) {
                if number != HELD {
                    free[number as usize] = *value;
                }
            }
        }
    }

    /// Values of the equations brought to a full list; held freedoms are left as they are.
    pub(crate) fn scatter(&self, free: &[f64], full: &mut [f64]) {
        for (six, numbers) in full.chunks_exact_mut(6).zip(&self.equation) {
            for (value, &number) in six.iter_mut().zip(numbers) {
                if number != HELD {
                    *value = free[number as usize];
                }
            }
        }
    }

    fn slot(&self, one: usize, other: usize) -> u32 {
        let (a, b) = (self.position[one], self.position[other]);
        if a == HELD || b == HELD {
            return HELD;
        }
        let (first, second) = (a.min(b), a.max(b));
        let range = self.slot_start[first as usize]..self.slot_start[first as usize + 1];
        // The own node comes first, the others in order of elimination; its position is the least of all.
        self.slot_node[range.clone()]
            .binary_search(&second)
            .map_or(HELD, |found| (range.start + found) as u32)
    }

    /// Sums the elements and springs of a model.
    ///
    /// # Errors
    /// A model whose triangles or supports are not those of this pattern.
    pub fn assemble(&self, model: &Model) -> Result<Matrix, FemError> {
        let mut matrix = Matrix {
            values: Vec::new(),
            push: Vec::new(),
        };
        self.assemble_again(model, &mut matrix)?;
        Ok(matrix)
    }

    /// As [`Pattern::assemble`], into the numbers of an earlier time.
    ///
    /// # Errors
    /// As [`Pattern::assemble`].
    pub fn assemble_again(&self, model: &Model, matrix: &mut Matrix) -> Result<(), FemError> {
        self.sum(model, matrix, |triangle| model.stiffness(triangle))
    }

    pub(crate) fn sum<'a>(
        &self,
        model: &Model,
        matrix: &mut Matrix,
        stiffness: impl Fn(usize) -> Option<Cow<'a, Stiffness>>,
    ) -> Result<(), FemError> {
        let held = model.supports().held();
        let as_before = |held: &[Option<f64>; 6], numbers: &[u32; 6]| {
            held.iter()
                .zip(numbers)
                .all(|(held, &number)| held.is_none() == (number != HELD))
        };
        let same = held.len() == self.equation.len()
            && model.mesh().triangles() == self.triangles
            && held
                .iter()
                .zip(&self.equation)
                .zip(&self.touched)
                .all(|((held, numbers), touched)| !touched || as_before(held, numbers));
        if !same {
            return Err(FemError::PatternChanged);
        }
        matrix.values.clear();
        matrix.values.resize(self.rows.len(), 0.0);
        matrix.push.clear();
        matrix.push.resize(self.equations, 0.0);
        for (triangle, corners) in model.mesh().triangles().iter().enumerate() {
            let Some(stiffness) = stiffness(triangle) else {
                return Err(FemError::NoArea { triangle });
            };
            for (&slot, &(i, j)) in self.triangle_slots[triangle].iter().zip(&PAIRS) {
                if slot != HELD {
                    // Seen from the earlier node's column, whichever of the two it is.
                    let (late, early) = if self.position[corners[i]] >= self.position[corners[j]] {
                        (i, j)
                    } else {
                        (j, i)
                    };
                    self.add_block(
                        matrix,
                        slot,
                        [corners[late], corners[early]],
                        |row, column| stiffness[(6 * late + row, 6 * early + column)],
                    );
                }
            }
            for (corner, &node) in corners.iter().enumerate() {
                for (freedom, value) in held[node].iter().enumerate() {
                    let Some(value) = value.filter(|value| *value != 0.0) else {
                        continue;
                    };
                    for (row_corner, &row_node) in corners.iter().enumerate() {
                        for (row, &number) in self.equation[row_node].iter().enumerate() {
                            if number != HELD {
                                matrix.push[number as usize] -=
                                    stiffness[(6 * row_corner + row, 6 * corner + freedom)] * value;
                            }
                        }
                    }
                }
            }
        }
        for spring in model.springs() {
            self.add_spring(model, matrix, spring);
        }
        Ok(())
    }

    fn add_spring(&self, model: &Model, matrix: &mut Matrix, spring: &Spring) {
        let (parts, shift): (&[(usize, usize, f64)], usize) = match spring {
            Spring::ToGround { node, .. } => (&[(*node, *node, 1.0)], 0),
            Spring::AgainstTurn { node, .. } => (&[(*node, *node, 1.0)], 3),
            Spring::Between { nodes: [a, b], .. } if a == b => (&[], 0),
            Spring::Between { nodes: [a, b], .. } => {
                (&[(*a, *a, 1.0), (*b, *b, 1.0), (*a, *b, -1.0)], 0)
            }
        };
        let (direction, stiffness) = match spring {
            Spring::ToGround {
                direction,
                stiffness,
                ..
            }
            | Spring::AgainstTurn {
                direction,
                stiffness,
                ..
            }
            | Spring::Between {
                direction,
                stiffness,
                ..
            } => (direction, *stiffness),
        };
        let block = direction * direction.transpose() * stiffness;
        for &(one, other, sign) in parts {
            self.add_triple(matrix, one, other, shift, &(block * sign));
            for (a, b) in if one == other {
                vec![(one, one)]
            } else {
                vec![(one, other), (other, one)]
            } {
                let held = model.supports().held()[b];
                for row in 0..3 {
                    let number = self.equation[a][shift + row];
                    for column in 0..3 {
                        if let (true, Some(value)) = (number != HELD, held[shift + column]) {
                            matrix.push[number as usize] -= block[(row, column)] * sign * value;
                        }
                    }
                }
            }
        }
    }

    /// Adds a symmetric 3 × 3 block between two nodes' shifts (`shift` 0) or turns (`shift` 3).
    pub(crate) fn add_triple(
        &self,
        matrix: &mut Matrix,
        one: usize,
        other: usize,
        shift: usize,
        block: &Matrix3<f64>,
    ) {
        let slot = self.slot(one, other);
        if slot == HELD {
            return;
        }
        let (late, early) = if self.position[one] >= self.position[other] {
            (one, other)
        } else {
            (other, one)
        };
        self.add_block(matrix, slot, [late, early], |row, column| {
            if (shift..shift + 3).contains(&row) && (shift..shift + 3).contains(&column) {
                block[(row - shift, column - shift)]
            } else {
                0.0
            }
        });
    }

    fn add_block(
        &self,
        matrix: &mut Matrix,
        slot: u32,
        [late, early]: [usize; 2],
        entry: impl Fn(usize, usize) -> f64,
    ) {
        let offset = self.slot_offset[slot as usize] as usize;
        let free = |node: usize| self.equation[node].iter().all(|&number| number != HELD);
        if late != early && free(late) && free(early) {
            for (column, &number) in self.equation[early].iter().enumerate() {
                let base = self.column_start[number as usize] + offset - column;
                for (row, value) in matrix.values[base..base + 6].iter_mut().enumerate() {
                    *value += entry(row, column);
                }
            }
            return;
        }
        let mut column_in_node = 0;
        for (column, &column_number) in self.equation[early].iter().enumerate() {
            if column_number == HELD {
                continue;
            }
            let base = self.column_start[column_number as usize] + offset;
            let mut row_in_node = 0;
            for (row, &row_number) in self.equation[late].iter().enumerate() {
                if row_number == HELD {
                    continue;
                }
                // A column starts at its own row: earlier rows of its node are missing.
                if row_number >= column_number {
                    matrix.values[base + row_in_node - column_in_node] += entry(row, column);
                }
                row_in_node += 1;
            }
            column_in_node += 1;
        }
    }

    /// Product of the matrix with a vector over the equations.
    #[must_use]
    pub fn product(&self, matrix: &Matrix, vector: &[f64]) -> Vec<f64> {
        let mut product = vec![0.0; self.equations];
        for column in 0..self.equations.min(vector.len()) {
            let range = self.column_start[column]..self.column_start[column + 1];
            let mut own = 0.0;
            for (&row, &value) in self.rows[range.clone()].iter().zip(&matrix.values[range]) {
                own += value * vector[row];
                if row != column {
                    product[row] += value * vector[column];
                }
            }
            product[column] += own;
        }
        product
    }
}

impl Pattern {
    /// Product of the matrix's absolute entries with a vector's: what round-off in a product is measured by.
    #[must_use]
    pub fn sizes(&self, matrix: &Matrix, vector: &[f64]) -> Vec<f64> {
        let absolute = Matrix {
            values: matrix.values.iter().map(|value| value.abs()).collect(),
            push: Vec::new(),
        };
        self.product(
            &absolute,
            &vector.iter().map(|value| value.abs()).collect::<Vec<f64>>(),
        )
    }
}

/// Forces at all nodes that keep each of some displacements, element by element, springs included.
pub(crate) fn internal_forces(model: &Model, displacements: &[&[f64]]) -> Vec<Vec<f64>> {
    let all = 0..model.mesh().triangles().len();
    internal_forces_of(model, all, displacements)
}

/// As [`internal_forces`], of some of the triangles and all springs.
pub(crate) fn internal_forces_of(
    model: &Model,
    some: impl Iterator<Item = usize>,
    displacements: &[&[f64]],
) -> Vec<Vec<f64>> {
    let mut forces: Vec<Vec<f64>> = displacements
        .iter()
        .map(|full| vec![0.0; full.len()])
        .collect();
    for triangle in some {
        let (Some(stiffness), corners) = (
            model.stiffness(triangle),
            model.mesh().triangles()[triangle],
        ) else {
            continue;
        };
        let stiffness: &Stiffness = &stiffness;
        for (full, forces) in displacements.iter().zip(&mut forces) {
            let moved = Freedoms18::from_fn(|i, _| full[6 * corners[i / 6] + i % 6]);
            let answer = stiffness * moved;
            for i in 0..18 {
                forces[6 * corners[i / 6] + i % 6] += answer[i];
            }
        }
    }
    for (full, forces) in displacements.iter().zip(&mut forces) {
        spring_forces(model, full, forces);
    }
    forces
}

pub(crate) fn spring_forces(model: &Model, full: &[f64], forces: &mut [f64]) {
    let triple = |first: usize| Vector3::new(full[first], full[first + 1], full[first + 2]);
    for spring in model.springs() {
        let (parts, pull): ([(usize, f64); 2], Vector3<f64>) = match spring {
            Spring::ToGround {
                node,
                direction,
                stiffness,
            } => (
                [(6 * node, 1.0), (0, 0.0)],
                direction * (stiffness * direction.dot(&triple(6 * node))),
            ),
            Spring::AgainstTurn {
                node,
                direction,
                stiffness,
            } => (
                [(6 * node + 3, 1.0), (0, 0.0)],
                direction * (stiffness * direction.dot(&triple(6 * node + 3))),
            ),
            Spring::Between {
                nodes: [a, b],
                direction,
                stiffness,
            } => (
                [(6 * a, 1.0), (6 * b, -1.0)],
                direction * (stiffness * direction.dot(&(triple(6 * a) - triple(6 * b)))),
            ),
        };
        for (first, sign) in parts {
            for part in 0..3 {
                forces[first + part] += sign * pull[part];
            }
        }
    }
}

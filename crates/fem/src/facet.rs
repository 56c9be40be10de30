//! One flat three-cornered shell element with six freedoms a corner: how it lies, how stiff it is, what it
//! feels.
//!
//! Joins `membrane` and `plate` through the section. One surprise: every
//! strain of the element is linear over it, so three points at the middles of the sides integrate everything
//! exactly, and a corner's strain is two middles less the third.

use std::borrow::Cow;

use nalgebra::{Matrix2, Matrix3, Point3, SMatrix, SVector, Vector2, Vector3};

use crate::lean::Lean;
use crate::material::{shear_turn, strain_turn};
use crate::membrane::{self, Strain9};
use crate::plate::{self, Curvature9, Shear9};
use crate::section::Section;

/// Stiffness of one element.
pub type Stiffness = SMatrix<f64, 18, 18>;
/// Freedoms of one element: (u, v, w, turn x, turn y, turn z) at each corner.
pub type Freedoms18 = SVector<f64, 18>;

/// The element's freedoms that stretch it, in its own axes.
const STRETCH: [usize; 9] = [0, 1, 5, 6, 7, 11, 12, 13, 17];
/// The element's freedoms that bend it.
const BEND: [usize; 9] = [2, 3, 4, 8, 9, 10, 14, 15, 16];

/// How a triangle lies in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Rows: first axis along the first side, second in the plane, third the normal.
    pub axes: Matrix3<f64>,
    pub centre: Point3<f64>,
    /// Corners in the plane, from the centre.
    pub xy: [[f64; 2]; 3],
    pub area: f64,
}

impl Frame {
    /// `None` when the triangle has no area.
    #[must_use]
    pub fn of(corners: &[Point3<f64>; 3]) -> Option<Self> {
        let first = corners[1] - corners[0];
        let second = corners[2] - corners[0];
        let normal = first.cross(&second);
        let longest = first
            .norm_squared()
            .max(second.norm_squared())
            .max((second - first).norm_squared());
        let twice = normal.norm();
        if !(twice.is_finite() && twice > 1e-10 * longest) {
            return None;
        }
        let x = first.normalize();
        let z = normal / twice;
        let y = z.cross(&x);
        let axes = Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]);
        let centre =
            Point3::from((corners[0].coords + corners[1].coords + corners[2].coords) / 3.0);
        let xy = corners.map(|corner| {
            let arm = corner - centre;
            [x.dot(&arm), y.dot(&arm)]
        });
        Some(Self {
            axes,
            centre,
            xy,
            area: twice / 2.0,
        })
    }

    #[must_use]
    pub fn normal(&self) -> Vector3<f64> {
        self.axes.row(2).transpose()
    }

    /// Cosine and sine from the first axis to a direction laid onto the triangle; a direction that stands on
    /// the triangle is replaced by the coordinate axis that follows its largest part.
    pub(crate) fn angle_to(&self, direction: &Vector3<f64>) -> (f64, f64) {
        let flat = |direction: &Vector3<f64>| {
            let local = self.axes * direction;
            (local.x, local.y, local.x.hypot(local.y))
        };
        let (x, y, length) = flat(direction);
        if length > 1e-6 * direction.norm() && length > 0.0 {
            return (x / length, y / length);
        }
        let mut next = Vector3::zeros();
        next[(self.normal().iamax() + 1) % 3] = 1.0;
        let (x, y, length) = flat(&next);
        (x / length, y / length)
    }
}

/// One element ready to be summed or read.
#[derive(Debug, Clone)]
pub struct Facet {
    pub frame: Frame,
    pub thickness: [f64; 3],
    cosine: f64,
    sine: f64,
    stretch: Matrix3<f64>,
    coupling: Matrix3<f64>,
    bending: Matrix3<f64>,
    shear: Matrix2<f64>,
    coupled: bool,
    strain: [Strain9; 3],
    curvature: [Curvature9; 3],
    slip: [Shear9; 3],
    lean: Option<Lean>,
}

/// What one corner of one element feels, in the element's material axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feeling {
    pub thickness: f64,
    /// Strain of the mesh's surface: 11, 22, gamma 12.
    pub strain: Vector3<f64>,
    /// Curvature: 11, 22, twice 12.
    pub curvature: Vector3<f64>,
    /// Force per length in the surface: 11, 22, 12.
    pub force: Vector3<f64>,
    /// Moment per length: 11, 22, 12. Positive pulls the side the normal points to.
    pub moment: Vector3<f64>,
    /// Shear force per length across the surface: 13, 23.
    pub shear: Vector2<f64>,
}

impl Facet {
    /// `None` when the triangle has no area.
    ///
    /// `axis` is the material direction, laid onto the triangle.
    #[must_use]
    pub fn new(
        corners: &[Point3<f64>; 3],
        thickness: [f64; 3],
        section: &Section,
        axis: &Vector3<f64>,
        normals: Option<&[Vector3<f64>; 3]>,
    ) -> Option<Self> {
        let frame = Frame::of(corners)?;
        let (cosine, sine) = frame.angle_to(axis);
        let (mut stretch, mut coupling, mut bending, mut shear) = (
            section.stretch,
            section.coupling,
            section.bending,
            section.shear,
        );
        if !section.same_in_every_direction {
            let turn = strain_turn(cosine, sine);
            let back = turn.transpose();
            stretch = back * stretch * turn;
            coupling = back * coupling * turn;
            bending = back * bending * turn;
            let turn = shear_turn(cosine, sine);
            shear = turn.transpose() * shear * turn;
        }
        let mean = (thickness[0] + thickness[1] + thickness[2]) / 3.0;
        let coupled = section.coupling.amax() > 0.0;
        // What bends alone when the surface is free to stretch, whatever the mesh's offset.
        let free_bending = if coupled {
            bending - coupling * stretch.try_inverse()? * coupling
        } else {
            bending
        } * (mean * mean);
        let strain = membrane::strain_at_middles(&frame.xy, frame.area, section.higher_order);
        let (curvature, slip) =
            plate::strain_at_middles(&frame.xy, frame.area, &free_bending, &shear);
        Some(Self {
            frame,
            thickness,
            cosine,
            sine,
            stretch,
            coupling,
            bending,
            shear,
            coupled,
            strain,
            curvature,
            slip,
            lean: normals.and_then(|normals| Lean::of(&frame, normals)),
        })
    }

    fn thickness_at_middles(&self) -> [f64; 3] {
        let [a, b, c] = self.thickness;
        [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0]
    }

    /// Stiffness in the element's own axes.
    #[must_use]
    pub fn local_stiffness(&self) -> Stiffness {
        let upright = self.upright_stiffness();
        self.lean
            .as_ref()
            .map_or(upright, |lean| lean.stiffness(&upright))
    }

    fn upright_stiffness(&self) -> Stiffness {
        let mut stretch = SMatrix::<f64, 9, 9>::zeros();
        let mut bend = SMatrix::<f64, 9, 9>::zeros();
        let mut mixed = SMatrix::<f64, 9, 9>::zeros();
        for (point, thickness) in self.thickness_at_middles().into_iter().enumerate() {
            let weight = self.frame.area / 3.0 * thickness;
            let (strain, curvature, slip) = (
                &self.strain[point],
                &self.curvature[point],
                &self.slip[point],
            );
            stretch += strain.transpose() * (self.stretch * weight * strain);
            bend += curvature.transpose()
                * (self.bending * (weight * thickness * thickness) * curvature);
            bend += slip.transpose() * (self.shear * weight * slip);
            if self.coupled {
                mixed += strain.transpose() * (self.coupling * (weight * thickness) * curvature);
            }
        }
        let mut all = Stiffness::zeros();
        for (i, (&si, &bi)) in STRETCH.iter().zip(&BEND).enumerate() {
            for (j, (&sj, &bj)) in STRETCH.iter().zip(&BEND).enumerate() {
                all[(si, sj)] = stretch[(i, j)];
                all[(bi, bj)] = bend[(i, j)];
                if self.coupled {
                    all[(si, bj)] = mixed[(i, j)];
                    all[(bj, si)] = mixed[(i, j)];
                }
            }
        }
        all
    }

    /// Stiffness in the axes of the mesh.
    #[must_use]
    pub fn stiffness(&self) -> Stiffness {
        to_mesh(&self.frame.axes, &self.local_stiffness())
    }

    /// Freedoms in the element's axes from those in the axes of the mesh.
    #[must_use]
    pub fn to_local(&self, freedoms: &Freedoms18) -> Freedoms18 {
        turn(&self.frame.axes, freedoms)
    }

    /// Strain and curvature at the corners in the material axes, from freedoms in the element's own.
    pub(crate) fn strains(&self, local: &Freedoms18) -> [[Vector3<f64>; 2]; 3] {
        let (strain, curvature) = self.own_strains(&self.leant(local));
        let turn = strain_turn(self.cosine, self.sine);
        [0, 1, 2].map(|corner| [turn * strain[corner], turn * curvature[corner]])
    }

    /// Freedoms of the flat triangle that the element leans on.
    fn leant<'a>(&self, local: &'a Freedoms18) -> Cow<'a, Freedoms18> {
        match &self.lean {
            Some(lean) => Cow::Owned(lean.freedoms(local)),
            None => Cow::Borrowed(local),
        }
    }

    /// Strain and curvature at the corners in the element's own axes.
    fn own_strains(&self, leant: &Freedoms18) -> ([Vector3<f64>; 3], [Vector3<f64>; 3]) {
        let (mut strain, mut curvature) = ([Vector3::zeros(); 3], [Vector3::zeros(); 3]);
        for (i, (&si, &bi)) in STRETCH.iter().zip(&BEND).enumerate() {
            for point in 0..3 {
                strain[point].axpy(leant[si], &self.strain[point].column(i), 1.0);
                curvature[point].axpy(leant[bi], &self.curvature[point].column(i), 1.0);
            }
        }
        (at_corners(strain), at_corners(curvature))
    }

    /// What the corners feel, from freedoms in the element's own axes.
    #[must_use]
    pub fn feel(&self, local: &Freedoms18) -> [Feeling; 3] {
        let local = self.leant(local);
        let (strain, curvature) = self.own_strains(&local);
        let bend = SVector::<f64, 9>::from_fn(|i, _| local[BEND[i]]);
        let slip = at_corners([0, 1, 2].map(|point| self.slip[point] * bend));
        let turn_strain = strain_turn(self.cosine, self.sine);
        let turn_shear = shear_turn(self.cosine, self.sine);
        // Forces turn like strains with the halves taken out.
        let turn_force = strain_turn(self.cosine, -self.sine).transpose();
        [0, 1, 2].map(|corner| {
            let t = self.thickness[corner];
            let force =
                self.stretch * strain[corner] * t + self.coupling * curvature[corner] * (t * t);
            let moment = self.coupling * strain[corner] * (t * t)
                + self.bending * curvature[corner] * (t * t * t);
            Feeling {
                thickness: t,
                strain: turn_strain * strain[corner],
                curvature: turn_strain * curvature[corner],
                force: turn_force * force,
                moment: turn_force * moment,
                shear: turn_shear * (self.shear * slip[corner] * t),
            }
        })
    }

    /// Rows: the two material axes on the triangle and the normal.
    #[must_use]
    pub fn material_axes(&self) -> Matrix3<f64> {
        self.material_axes_in(&self.frame.axes)
    }

    /// As [`Facet::material_axes`], when the facet's own axes have moved to these.
    pub(crate) fn material_axes_in(&self, axes: &Matrix3<f64>) -> Matrix3<f64> {
        let (c, s) = (self.cosine, self.sine);
        Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0) * axes
    }
}

/// Two middles less the third: a linear field at the corners.
fn at_corners<const N: usize>(middles: [SVector<f64, N>; 3]) -> [SVector<f64, N>; 3] {
    let [a, b, c] = middles;
    [a + c - b, a + b - c, b + c - a]
}

/// Turns the six triples of an element's freedoms.
pub(crate) fn turn(axes: &Matrix3<f64>, freedoms: &Freedoms18) -> Freedoms18 {
    let mut turned = Freedoms18::zeros();
    for triple in 0..6 {
        let part: Vector3<f64> = freedoms.fixed_rows::<3>(3 * triple).into_owned();
        turned
            .fixed_rows_mut::<3>(3 * triple)
            .copy_from(&(axes * part));
    }
    turned
}

/// Turns a stiffness from the element's axes (rows of `axes`) to those of the mesh.
pub(crate) fn to_mesh(axes: &Matrix3<f64>, local: &Stiffness) -> Stiffness {
    let back = axes.transpose();
    let mut turned = Stiffness::zeros();
    for i in 0..6 {
        for j in 0..=i {
            let block: Matrix3<f64> = local.fixed_view::<3, 3>(3 * i, 3 * j).into_owned();
            let block = back * block * axes;
            turned
                .fixed_view_mut::<3, 3>(3 * i, 3 * j)
                .copy_from(&block);
            if i != j {
                turned
                    .fixed_view_mut::<3, 3>(3 * j, 3 * i)
                    .copy_from(&block.transpose());
            }
        }
    }
    turned
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Isotropic;
    use nalgebra::{Rotation3, SymmetricEigen};

    fn corners() -> [Point3<f64>; 3] {
        [
            Point3::new(0.1, -0.2, 0.3),
            Point3::new(2.0, 0.4, -0.1),
            Point3::new(0.6, 1.7, 0.5),
        ]
    }

    /// Normals of a surface curved both ways.
    fn leaning() -> [Vector3<f64>; 3] {
        let normal = Frame::of(&corners()).unwrap().normal();
        let lean = [
            Vector3::new(0.1, -0.05, 0.02),
            Vector3::new(-0.2, 0.1, 0.0),
            Vector3::new(0.02, 0.15, 0.1),
        ];
        lean.map(|lean| (normal + lean).normalize())
    }

    fn section() -> Section {
        Section::isotropic(Isotropic {
            modulus: 1000.0,
            poisson: 0.3,
        })
        .unwrap()
    }

    #[test]
    fn exactly_six_motions_cost_no_energy_whatever_the_thickness_and_offset() {
        for (thickness, offset) in [(0.5, 0.0), (0.05, 0.0), (0.002, 0.0), (0.1, 0.5)] {
            let section = section().with_offset(offset).unwrap();
            let facet = Facet::new(
                &corners(),
                [thickness; 3],
                &section,
                &Vector3::x(),
                Some(&leaning()),
            )
            .unwrap();
            let mut found: Vec<f64> = SymmetricEigen::new(facet.local_stiffness())
                .eigenvalues
                .iter()
                .copied()
                .collect();
            found.sort_by(f64::total_cmp);
            let largest = found[17];
            assert!(
                found[..6].iter().all(|value| value.abs() < 1e-13 * largest),
                "{found:?}"
            );
            // The seventh is a bending motion and falls with the cube of the thickness.
            assert!(
                found[6] > 1e-3 * largest * (thickness * thickness),
                "{thickness}: {found:?}"
            );
        }
    }

    #[test]
    fn a_turned_triangle_has_the_turned_stiffness_and_its_corners_may_be_counted_from_any() {
        let section = section();
        let thickness = [0.1, 0.13, 0.09];
        let here = Facet::new(&corners(), thickness, &section, &Vector3::x(), None)
            .unwrap()
            .stiffness();
        let spin = Rotation3::from_euler_angles(0.4, -1.1, 2.3);
        let there = Facet::new(
            &corners().map(|c| spin * c),
            thickness,
            &section,
            &(spin * Vector3::x()),
            None,
        )
        .unwrap()
        .stiffness();
        let turned = to_mesh(&spin.inverse().into_inner(), &here);
        assert!((there - turned).amax() < 1e-12 * here.amax());
        let [a, b, c] = corners();
        let [ta, tb, tc] = thickness;
        let shifted = Facet::new(&[b, c, a], [tb, tc, ta], &section, &Vector3::x(), None)
            .unwrap()
            .stiffness();
        for i in 0..18 {
            for j in 0..18 {
                let (k, l) = ((i + 6) % 18, (j + 6) % 18);
                assert!((shifted[(i, j)] - here[(k, l)]).abs() < 1e-12 * here.amax());
            }
        }
    }

    #[test]
    fn a_triangle_on_a_line_is_no_element() {
        let line = [
            Point3::origin(),
            Point3::new(1.0, 1.0, 1.0),
            Point3::new(2.0, 2.0, 2.0),
        ];
        assert!(Frame::of(&line).is_none());
        assert!(Frame::of(&[Point3::new(f64::NAN, 0.0, 0.0), line[1], line[2]]).is_none());
    }

    #[test]
    fn a_layered_triangle_feels_the_same_force_whichever_corner_comes_first() {
        use crate::material::Orthotropic;
        use crate::section::Layer;
        let material = Orthotropic {
            e1: 130.0,
            e2: 9.0,
            nu12: 0.29,
            g12: 4.5,
            g13: 4.5,
            g23: 3.2,
        };
        let layers = [(0.3, 0.4), (0.7, -0.9)].map(|(share, angle)| Layer {
            share,
            angle,
            material,
        });
        let section = Section::layered(&layers).unwrap();
        let axis = Vector3::new(0.3, 1.0, -0.2);
        let [a, b, c] = corners();
        let moved = Freedoms18::from_fn(|i, _| (i as f64 * 1.7).sin());
        let one = Facet::new(&[a, b, c], [0.1; 3], &section, &axis, None).unwrap();
        let two = Facet::new(&[b, c, a], [0.1; 3], &section, &axis, None).unwrap();
        let shifted = Freedoms18::from_fn(|i, _| moved[(i + 6) % 18]);
        let feel_one = one.feel(&one.to_local(&moved));
        let feel_two = two.feel(&two.to_local(&shifted));
        for corner in 0..3 {
            let (p, q) = (&feel_one[(corner + 1) % 3], &feel_two[corner]);
            assert!((p.force - q.force).norm() < 1e-10 * p.force.norm());
            assert!((p.moment - q.moment).norm() < 1e-10 * p.moment.norm());
            assert!((p.shear - q.shear).norm() < 1e-9 * p.shear.norm());
            let from_section = section.stretch_stiffness(0.1) * p.strain
                + section.coupling_stiffness(0.1) * p.curvature;
            assert!((from_section - p.force).norm() < 1e-10 * p.force.norm());
        }
    }
}

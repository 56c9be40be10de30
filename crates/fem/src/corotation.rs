//! One element carried along by large motion: what is left of its corners' motion in its own moving axes, the
//! force that keeps it, and how that force changes.
//!
//! Leaves the element's own stiffness to [`facet`](crate::facet), which knows nothing of large motion. One
//! surprise: the moving axes are those against which the corners, taken together, have not turned in the
//! plane, so that nothing depends on which corner is counted first.
//!
//! # Sources
//! Nour-Omid & Rankin 1991; Felippa & Haugen, A unified formulation of small-strain corotational finite
//! elements, Comput. Methods Appl. Mech. Engrg. 194 (2005) 2285. Written from memory of the method; proven
//! here against finite differences and exact solutions.

use nalgebra::{Matrix3, Point3, SMatrix, Vector3};

use crate::facet::{Frame, Freedoms18, Stiffness};
use crate::rotation::{slope, slope_of_moment, spin, vector_of};

/// An element as it was before it moved.
#[derive(Debug, Clone)]
pub(crate) struct Resting {
    pub frame: Frame,
    pub stiffness: Stiffness,
}

/// An element as it has moved.
#[derive(Debug, Clone)]
pub(crate) struct Carried {
    /// What is left of the corners' motion in the moving axes.
    pub left: Freedoms18,
    /// Rows: the moving axes.
    pub axes: Matrix3<f64>,
    /// Force and moment at the corners, in the axes of the mesh.
    pub force: Freedoms18,
    /// Change of that force with shifts and small following turns, in the axes of the mesh; symmetric part.
    pub stiffness: Stiffness,
}

impl Resting {
    /// `None` when the element has been squeezed flat or its corners have turned by a half turn against it.
    pub fn carry(
        &self,
        corners: &[Point3<f64>; 3],
        turns: &[Matrix3<f64>; 3],
        with_stiffness: bool,
    ) -> Option<Carried> {
        let moved = Frame::of(corners)?;
        let at_rest = self.frame.xy;
        // Turn the axes in the plane until the corners have no mean turn against them.
        let (mut across, mut with) = (0.0, 0.0);
        for ([x0, y0], [x, y]) in at_rest.iter().zip(&moved.xy) {
            across += x0 * y - y0 * x;
            with += x0 * x + y0 * y;
        }
        let size = across.hypot(with);
        let (s, c) = (across / size, with / size);
        let axes = Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0) * moved.axes;
        let place = moved
            .xy
            .map(|[x, y]| Vector3::new(c * x + s * y, c * y - s * x, 0.0));

        let mut left = Freedoms18::zeros();
        for i in 0..3 {
            let shift = place[i] - Vector3::new(at_rest[i][0], at_rest[i][1], 0.0);
            let turn = vector_of(&(axes * turns[i] * self.frame.axes.transpose()));
            if turn.norm() > 3.0 {
                return None;
            }
            left.fixed_rows_mut::<3>(6 * i).copy_from(&shift);
            left.fixed_rows_mut::<3>(6 * i + 3).copy_from(&turn);
        }
        let inner = self.stiffness * left;

        // The axes' own small turn from the corners' shifts.
        let own = [0, 1, 2].map(|i| {
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            let dx = (place[j].y - place[k].y) / (2.0 * moved.area);
            let dy = (place[k].x - place[j].x) / (2.0 * moved.area);
            let [x0, y0] = at_rest[i];
            Matrix3::new(0.0, 0.0, dy, 0.0, 0.0, -dx, -y0 / size, x0 / size, 0.0)
        });
        // What is left changes with what remains of a small motion when the axes' is taken out.
        let mut remains = Stiffness::identity();
        for (i, place) in place.iter().enumerate() {
            for (j, own) in own.iter().enumerate() {
                let mut block = remains.fixed_view_mut::<3, 3>(6 * i, 6 * j);
                block -= Matrix3::identity() / 3.0;
                block += spin(place) * own;
                let mut block = remains.fixed_view_mut::<3, 3>(6 * i + 3, 6 * j);
                block -= own;
            }
        }
        let slopes = [0, 1, 2].map(|i| slope(&left.fixed_rows::<3>(6 * i + 3).into_owned()));
        let mut pulled = inner;
        for (i, slope) in slopes.iter().enumerate() {
            let moment: Vector3<f64> = inner.fixed_rows::<3>(6 * i + 3).into_owned();
            pulled
                .fixed_rows_mut::<3>(6 * i + 3)
                .copy_from(&(slope.transpose() * moment));
        }
        let local = remains.transpose() * pulled;
        let force = crate::facet::turn(&axes.transpose(), &local);
        let stiffness = if with_stiffness {
            self.change(&axes, &left, &inner, &local, &remains, &slopes, &own)
        } else {
            Stiffness::zeros()
        };
        Some(Carried {
            left,
            axes,
            force,
            stiffness,
        })
    }

    #[allow(clippy::too_many_arguments)]
    fn change(
        &self,
        axes: &Matrix3<f64>,
        left: &Freedoms18,
        inner: &Freedoms18,
        local: &Freedoms18,
        remains: &Stiffness,
        slopes: &[Matrix3<f64>; 3],
        own: &[Matrix3<f64>; 3],
    ) -> Stiffness {
        // Stiffness of the element seen through the slopes, and the slopes' own change.
        let mut seen = self.stiffness;
        for (i, slope) in slopes.iter().enumerate() {
            let columns: SMatrix<f64, 18, 3> = seen.fixed_columns::<3>(6 * i + 3) * slope;
            seen.fixed_columns_mut::<3>(6 * i + 3).copy_from(&columns);
        }
        for (i, slope) in slopes.iter().enumerate() {
            let rows: SMatrix<f64, 3, 18> = slope.transpose() * seen.fixed_rows::<3>(6 * i + 3);
            seen.fixed_rows_mut::<3>(6 * i + 3).copy_from(&rows);
        }
        for i in 0..3 {
            let turn = left.fixed_rows::<3>(6 * i + 3).into_owned();
            let moment = inner.fixed_rows::<3>(6 * i + 3).into_owned();
            let mut block = seen.fixed_view_mut::<3, 3>(6 * i + 3, 6 * i + 3);
            block += slope_of_moment(&turn, &moment);
        }
        let mut all = remains.transpose() * seen * remains;
        // The forces turn with the axes, and the arms in what remains change with the shifts.
        let mut own_row = SMatrix::<f64, 3, 18>::zeros();
        let mut forces = SMatrix::<f64, 18, 3>::zeros();
        let mut pulls = SMatrix::<f64, 18, 3>::zeros();
        for (i, own) in own.iter().enumerate() {
            own_row.fixed_columns_mut::<3>(6 * i).copy_from(own);
            let pull = spin(&local.fixed_rows::<3>(6 * i).into_owned());
            forces.fixed_rows_mut::<3>(6 * i).copy_from(&pull);
            forces
                .fixed_rows_mut::<3>(6 * i + 3)
                .copy_from(&spin(&local.fixed_rows::<3>(6 * i + 3).into_owned()));
            pulls.fixed_rows_mut::<3>(6 * i).copy_from(&pull);
        }
        all -= forces * own_row;
        all -= own_row.transpose() * (pulls.transpose() * remains);
        crate::facet::to_mesh(axes, &((all + all.transpose()) * 0.5))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facet::Facet;
    use crate::material::Isotropic;
    use crate::rotation::turn_by;
    use crate::section::Section;

    fn resting() -> ([Point3<f64>; 3], Resting) {
        let corners = [
            Point3::new(0.1, -0.2, 0.3),
            Point3::new(2.0, 0.4, -0.1),
            Point3::new(0.6, 1.7, 0.5),
        ];
        let section = Section::isotropic(Isotropic {
            modulus: 1000.0,
            poisson: 0.3,
        })
        .unwrap();
        let facet = Facet::new(&corners, [0.1; 3], &section, &Vector3::x(), None).unwrap();
        (
            corners,
            Resting {
                frame: facet.frame,
                stiffness: facet.local_stiffness(),
            },
        )
    }

    fn shaken(corners: &[Point3<f64>; 3], size: f64) -> ([Point3<f64>; 3], [Matrix3<f64>; 3]) {
        let whole = turn_by(&Vector3::new(0.9, -1.4, 0.6));
        let noise = |k: usize| ((k * k + 3 * k) as f64 * 1.3).sin() * size;
        let places = [0, 1, 2].map(|i| {
            Point3::from(
                whole * (corners[i].coords + Vector3::new(noise(i), noise(i + 3), noise(i + 6))),
            ) + Vector3::new(5.0, -2.0, 1.0)
        });
        let turns = [0, 1, 2]
            .map(|i| whole * turn_by(&Vector3::new(noise(i + 9), noise(i + 12), noise(i + 15))));
        (places, turns)
    }

    #[test]
    fn a_motion_of_the_whole_leaves_nothing_however_large() {
        let (corners, resting) = resting();
        let (places, turns) = shaken(&corners, 0.0);
        let carried = resting.carry(&places, &turns, false).unwrap();
        assert!(carried.left.amax() < 1e-14 && carried.force.amax() < 1e-10);
    }

    #[test]
    fn the_force_is_in_balance_and_its_change_is_that_of_finite_differences() {
        let (corners, resting) = resting();
        for size in [0.02, 0.2] {
            let (places, turns) = shaken(&corners, size);
            let carried = resting.carry(&places, &turns, true).unwrap();
            let (mut sum, mut moment) = (Vector3::zeros(), Vector3::zeros());
            for (i, place) in places.iter().enumerate() {
                let pull: Vector3<f64> = carried.force.fixed_rows::<3>(6 * i).into_owned();
                sum += pull;
                moment += place.coords.cross(&pull) + carried.force.fixed_rows::<3>(6 * i + 3);
            }
            assert!(
                sum.norm() < 1e-10 * carried.force.norm()
                    && moment.norm() < 1e-9 * carried.force.norm()
            );
            let mut differences = Stiffness::zeros();
            let step = 1e-6;
            for freedom in 0..18 {
                let at = |sign: f64| {
                    let (mut places, mut turns) = (places, turns);
                    let mut way = Vector3::zeros();
                    way[freedom % 3] = sign * step;
                    if freedom % 6 < 3 {
                        places[freedom / 6] += way;
                    } else {
                        turns[freedom / 6] = turn_by(&way) * turns[freedom / 6];
                    }
                    resting.carry(&places, &turns, false).unwrap().force
                };
                differences.set_column(freedom, &((at(1.0) - at(-1.0)) / (2.0 * step)));
            }
            let symmetric = (differences + differences.transpose()) * 0.5;
            let off = (symmetric - carried.stiffness).amax() / symmetric.amax();
            assert!(off < 1e-7, "{size}: {off}");
        }
    }
}

//! How thick is a solid?
//!
//! From places all over the surface a ray runs straight inward. Where it leaves the solid again, the length run
//! is the **wall** there, provided both faces lie against each other: the ray meets the second within
//! [`WallOptions::parallel_within_deg`] of its normal.
//!
//! One surprise: that angle is what keeps edges out. Just beside a sharp edge any solid is as thin as one likes,
//! but its faces there stand across each other and are no wall. On a rounded edge rays run through the middle
//! of the rounding and measure no less than its diameter. A wedge sharper than the angle is a wall that ends
//! thin, and is told as such.

use crate::Mesh;
use crate::near::{Ray, Tree};
use rayon::prelude::*;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallOptions {
    /// Places are at most about this far from each other.
    pub spacing_mm: f64,
    /// Faces that stand farther from parallel are no wall.
    pub parallel_within_deg: f64,
}

impl Default for WallOptions {
    fn default() -> WallOptions {
        WallOptions {
            spacing_mm: 1.0,
            parallel_within_deg: 45.0,
        }
    }
}

/// Thickness over the surface, in millimetres. Shares are of the area that is a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    pub least: f64,
    /// The place on the surface, and the one across from it, where the wall is least.
    pub least_at: [[f64; 3]; 2],
    /// All thinner places together are smaller than [`SPECK_MM2`]: what a ray finds in a crease between two
    /// triangles is no wall that anything could break at.
    pub least_of_size: f64,
    /// Where that is.
    pub least_of_size_at: [[f64; 3]; 2],
    /// One percent of the area is thinner.
    pub percent_1: f64,
    pub percent_5: f64,
    pub median: f64,
    pub percent_95: f64,
    /// The share of the whole area that is a wall.
    pub share: f64,
}

/// A wall that thin over less than this is a speck, mm² (own judgement: about the tip of a rounded pencil).
pub const SPECK_MM2: f64 = 1.0;

/// The most places asked, so that a huge surface ends too.
const MOST_PLACES: f64 = 1_000_000.0;

/// The walls of a closed surface; `tree` is the mesh's own. `None` where nothing is a wall.
pub fn wall(mesh: &Mesh, tree: &Tree, options: &WallOptions) -> Option<Wall> {
    wall_where(mesh, tree, options, |_| true)
}

/// [`wall`] of the places that are to be looked at.
pub fn wall_where(
    mesh: &Mesh,
    tree: &Tree,
    options: &WallOptions,
    looked_at: impl Fn([f64; 3]) -> bool + Sync,
) -> Option<Wall> {
    let looked_at = &looked_at;
    let limit = options.parallel_within_deg.to_radians().cos();
    let area: f64 = (0..mesh.triangles.len()).map(|t| mesh.area_of(t)).sum();
    let spacing = options.spacing_mm.max((area / MOST_PLACES).sqrt());
    if !(area > 0.0 && spacing > 0.0) {
        return None;
    }
    // Far below any wall, far above the rounding of a place.
    let (low, high) = mesh.bounds()?;
    let reach = (0..3).map(|k| high[k] - low[k]).fold(0.0, f64::max);
    let start = reach * 1e-9;
    let mut measured: Vec<Measured> = (0..mesh.triangles.len())
        .into_par_iter()
        .flat_map_iter(|t| {
            let corners = mesh.corners(t);
            let normal = mesh.normal_of(t);
            let cuts = cuts(&corners, spacing);
            let share = mesh.area_of(t) / (cuts * cuts) as f64;
            places(corners, cuts)
                .filter(move |p| looked_at(*p))
                .filter_map(move |place| {
                    let inward = normal?.map(|c| -c);
                    let ray = Ray::new(place, inward).between(start, f64::INFINITY);
                    let hit =
                        tree.first_hit_where(&ray, |h| h.triangle as usize != t && !h.entering)?;
                    let across = mesh.normal_of(hit.triangle as usize)?;
                    let cosine: f64 = (0..3).map(|k| inward[k] * across[k]).sum();
                    (cosine >= limit).then(|| Measured {
                        thickness: hit.along,
                        share,
                        ends: [place, ray.at(hit.along)],
                    })
                })
        })
        .collect();
    measured.sort_by(|a, b| a.thickness.total_cmp(&b.thickness));
    let least = *measured.first()?;
    let whole: f64 = measured.iter().map(|m| m.share).sum();
    let mut passed = 0.0;
    let of_size = measured
        .iter()
        .find(|m| {
            passed += m.share;
            passed >= SPECK_MM2.min(whole)
        })
        .copied()
        .unwrap_or(least);
    let percentile = |part: f64| {
        let mut passed = 0.0;
        for m in &measured {
            passed += m.share;
            if passed >= part * whole {
                return m.thickness;
            }
        }
        measured.last().map_or(least.thickness, |m| m.thickness)
    };
    Some(Wall {
        least: least.thickness,
        least_at: least.ends,
        least_of_size: of_size.thickness,
        least_of_size_at: of_size.ends,
        percent_1: percentile(0.01),
        percent_5: percentile(0.05),
        median: percentile(0.5),
        percent_95: percentile(0.95),
        share: whole / area,
    })
}

#[derive(Clone, Copy)]
struct Measured {
    thickness: f64,
    share: f64,
    ends: [[f64; 3]; 2],
}

/// Into how many parts each side is cut.
fn cuts(corners: &[[f64; 3]; 3], spacing: f64) -> usize {
    let longest = (0..3)
        .map(|k| {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            (0..3).map(|i| (b[i] - a[i]).powi(2)).sum::<f64>()
        })
        .fold(0.0, f64::max)
        .sqrt();
    ((longest / spacing).ceil() as usize).clamp(1, 300)
}

/// The middles of the n² equal parts of a triangle.
fn places(corners: [[f64; 3]; 3], n: usize) -> impl Iterator<Item = [f64; 3]> {
    let step = 1.0 / (3.0 * n as f64);
    let at = move |u: f64, v: f64| {
        let w = 1.0 - u - v;
        [0, 1, 2].map(|k| corners[0][k] * w + corners[1][k] * u + corners[2][k] * v)
    };
    (0..n).flat_map(move |i| {
        (0..n - i).flat_map(move |j| {
            let (u, v) = ((3 * i + 1) as f64 * step, (3 * j + 1) as f64 * step);
            let upright = std::iter::once(at(u, v));
            let turned = (i + j + 1 < n).then(|| at(u + step, v + step));
            upright.chain(turned)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{ball, beside, cuboid, quartered};

    fn of(mesh: &Mesh) -> Wall {
        wall(mesh, &Tree::of(mesh), &WallOptions::default()).expect("a wall")
    }

    #[test]
    fn a_plate_is_as_thick_as_it_is() {
        let plate = of(&cuboid([0.0; 3], [60.0, 40.0, 3.0]));
        for value in [plate.least, plate.percent_1, plate.median] {
            assert!((value - 3.0).abs() < 1e-9, "{plate:?}");
        }
        assert!((plate.share - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_ball_measures_its_diameter_and_a_dent_from_within_is_found() {
        let plain = of(&ball(10.0, 4));
        assert!(plain.least > 19.7 && plain.median < 20.01, "{plain:?}");
        // A hollow that leaves 1.5 mm below it; inside out, as a hollow is.
        let hollow = ball(3.0, 3)
            .map(|v| [v[0], v[1], v[2] - 5.5])
            .turned_inside_out();
        let dented = of(&beside(&ball(10.0, 4), &hollow));
        assert!((dented.least - 1.5).abs() < 0.06, "{dented:?}");
        assert!(dented.least_at[0][2] < -8.0);
    }

    #[test]
    fn a_sharp_edge_is_no_thin_wall_and_a_long_wedge_is() {
        // A roof whose three edges have 60 degrees, and a wedge of 10.
        let prism = |ridge: f64, height: f64| Mesh {
            vertices: vec![
                [0.0, 0.0, 0.0],
                [0.0, 30.0, 0.0],
                [30.0, 0.0, 0.0],
                [30.0, 30.0, 0.0],
                [ridge, 0.0, height],
                [ridge, 30.0, height],
            ],
            triangles: vec![
                [0, 1, 3],
                [0, 3, 2],
                [0, 4, 5],
                [0, 5, 1],
                [2, 3, 5],
                [2, 5, 4],
                [0, 2, 4],
                [1, 5, 3],
            ],
        };
        let roof = prism(15.0, 15.0 * 60f64.to_radians().tan());
        assert_eq!(crate::check::closed(&roof), None);
        // Its sides face each other nowhere; only its two ends do.
        assert!((of(&roof).least - 30.0).abs() < 1e-9, "{:?}", of(&roof));
        let wedge = prism(30.0, 30.0 * 10f64.to_radians().tan());
        assert!(of(&wedge).least < 0.1);
    }

    #[test]
    fn places_share_the_area_evenly() {
        let mesh = quartered(&cuboid([0.0; 3], [4.0; 3]), 1);
        let corners = mesh.corners(0);
        for n in [1, 2, 5] {
            let all: Vec<[f64; 3]> = places(corners, n).collect();
            assert_eq!(all.len(), n * n);
            for k in 0..3 {
                let mean = all.iter().map(|p| p[k]).sum::<f64>() / all.len() as f64;
                let middle = (corners[0][k] + corners[1][k] + corners[2][k]) / 3.0;
                assert!((mean - middle).abs() < 1e-12);
            }
        }
    }
}

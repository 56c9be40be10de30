//! Invented points of an adult foot on the four views, in round numbers. Nobody's foot.

use super::draws::Draws;
use crate::points::{FilmFacts, PlacedPoint, PointSet};
use quantity::PixelScale;
use terms::{LandmarkKey, Side, Stance, View};

/// Millimetres per pixel of the invented film.
const MM_PER_PX: f64 = 0.1;
const SIZE_PX: u32 = 3000;

type Spot = (&'static str, f64, f64);

/// x forward from the back of the heel, y above the floor, in mm.
const LATERAL: &[Spot] = &[
    ("floor_back", 5.0, 0.0),
    ("floor_front", 235.0, 0.0),
    ("calc_plantar_tuber", 22.0, 8.0),
    ("calc_plantar_front", 88.0, 30.0),
    ("calc_back", 8.0, 32.0),
    ("talus_dome_top", 75.0, 88.0),
    ("talus_head_top", 112.0, 72.0),
    ("talus_back_low", 58.0, 66.0),
    ("talus_head_low", 108.0, 48.0),
    ("nav_low", 122.0, 40.0),
    ("cuneiform1_low", 142.0, 30.0),
    ("cuboid_low", 105.0, 16.0),
    ("calc_cuboid_top", 92.0, 56.0),
    ("mt1_base_top", 158.0, 52.0),
    ("mt1_base_low", 155.0, 24.0),
    ("mt1_head_centre", 212.0, 17.0),
    ("mt1_head_front", 222.0, 18.0),
    ("mt5_base_low", 112.0, 8.0),
    ("mt5_head_low", 180.0, 5.0),
    ("hallux_tip", 248.0, 10.0),
];

/// x to the outer side, y from the heel to the toes, in mm.
const DORSOPLANTAR: &[Spot] = &[
    ("dp_calc_back", 5.0, 0.0),
    ("dp_calc_front_med", 12.0, 62.0),
    ("dp_calc_front_lat", 34.0, 66.0),
    ("dp_calc_lat_back", 28.0, 30.0),
    ("dp_cuboid_lat_back", 36.0, 70.0),
    ("dp_cuboid_lat_front", 42.0, 100.0),
    ("dp_talus_neck_med", -14.0, 55.0),
    ("dp_talus_neck_lat", 10.0, 58.0),
    ("dp_talus_head_med", -24.0, 72.0),
    ("dp_talus_head_lat", 8.0, 78.0),
    ("dp_nav_med", -20.0, 80.0),
    ("dp_nav_lat", 14.0, 84.0),
    ("dp_cun1_front_med", -22.0, 115.0),
    ("dp_mt1_base_med", -22.0, 118.0),
    ("dp_mt1_base_lat", -4.0, 118.0),
    ("dp_mt1_head_centre", -24.0, 178.0),
    ("dp_mt2_base_med", -2.0, 112.0),
    ("dp_mt2_base_lat", 12.0, 113.0),
    ("dp_mt2_head_centre", 6.0, 186.0),
    ("dp_mt5_head_centre", 46.0, 160.0),
];

/// x to the outer side, y up, in mm.
const HINDFOOT: &[Spot] = &[
    ("hf_tibia_high_med", -13.0, 220.0),
    ("hf_tibia_high_lat", 13.0, 221.0),
    ("hf_tibia_low_med", -11.0, 140.0),
    ("hf_tibia_low_lat", 14.0, 140.0),
    ("hf_calc_low", 10.0, 5.0),
    ("hf_calc_upper_med", -12.0, 45.0),
    ("hf_calc_upper_lat", 16.0, 46.0),
    ("hf_calc_lower_med", -6.0, 18.0),
    ("hf_calc_lower_lat", 22.0, 18.0),
    ("hf_lat_mall", 32.0, 75.0),
];

const ANKLE: &[Spot] = &[
    ("an_tibia_high_med", -13.0, 180.0),
    ("an_tibia_high_lat", 13.0, 181.0),
    ("an_tibia_low_med", -14.0, 110.0),
    ("an_tibia_low_lat", 16.0, 110.0),
    ("an_plafond_med", -14.0, 80.0),
    ("an_plafond_lat", 14.0, 79.0),
    ("an_dome_med", -14.0, 76.0),
    ("an_dome_lat", 14.0, 76.0),
    ("an_lat_mall", 28.0, 62.0),
];

/// A standing film of 30 × 30 cm at 0.1 mm per pixel, scale good to 1 %.
pub fn invented_film() -> FilmFacts {
    let scale = PixelScale {
        mm_per_px_x: MM_PER_PX,
        mm_per_px_y: MM_PER_PX,
        relative_standard_error: 0.01,
    };
    FilmFacts {
        scale: Some(scale),
        stance: Stance::Standing,
        ..FilmFacts::of_size(SIZE_PX, SIZE_PX)
    }
}

/// Points of a right foot on that film, without covariances.
pub fn invented_points(view: View) -> PointSet {
    let (spots, x0_mm, floor_mm, mirrored) = match view {
        View::Lateral => (LATERAL, 20.0, 200.0, false),
        View::Dorsoplantar => (DORSOPLANTAR, 140.0, 250.0, false),
        View::HindfootAlignment => (HINDFOOT, 140.0, 260.0, false),
        // From the front the outer side of a right foot is on the left.
        View::AnkleFront => (ANKLE, 150.0, 250.0, true),
    };
    let mut set = PointSet::new(view, Some(Side::Right));
    for (name, x, y) in spots {
        let x = if mirrored { -x } else { *x };
        let at = PlacedPoint::at((x0_mm + x) / MM_PER_PX, (floor_mm - y) / MM_PER_PX);
        if let Ok(key) = LandmarkKey::new(*name) {
            set.points.insert(key, at);
        }
    }
    set
}

/// `count` point sets of a view with 3 mm of individual shape each, some films mirrored or with tall
/// pixels: input for the second implementation and the speed measurement.
pub fn invented_cases(view: View, count: usize, seed: u64) -> Vec<(PointSet, FilmFacts)> {
    let mut draws = Draws::new(seed);
    (0..count)
        .map(|i| {
            let mut film = invented_film();
            let mut set = invented_points(view);
            let tall = i % 4 == 3;
            if let (true, Some(scale)) = (tall, film.scale.as_mut()) {
                scale.mm_per_px_y = 0.125;
            }
            for point in set.points.values_mut() {
                point.x_px += 30.0 * draws.normal();
                point.y_px += 30.0 * draws.normal();
                if i % 2 == 1 {
                    point.x_px = f64::from(SIZE_PX) - 1.0 - point.x_px;
                }
                if tall {
                    point.y_px *= MM_PER_PX / 0.125;
                }
                let (sx, sy, r) = (
                    4.0 + 8.0 * draws.uniform(),
                    4.0 + 8.0 * draws.uniform(),
                    draws.uniform() - 0.5,
                );
                point.covariance_px2 = Some([[sx * sx, r * sx * sy], [r * sx * sy, sy * sy]]);
            }
            if i % 2 == 1 {
                set.side = Some(Side::Left);
            }
            (set, film)
        })
        .collect()
}

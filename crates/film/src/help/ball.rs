//! A calibration ball near a click.

use super::axis::fall;
use super::circle::{Circle, circle_through};
use super::edge::{Grey, Slopes};

const RAYS: usize = 72;

/// Looks from a click inside a bright ball outwards for its edge and fits a circle; `None` where
/// fewer than 60 % of the directions agree on one.
///
/// The radius must lie in `radius_px` (least, most). Sigma 1.5 suits a metal ball.
pub fn ball_near(grey: &Grey<'_>, click: [f64; 2], radius_px: [f64; 2]) -> Option<Circle> {
    const SIGMA: f64 = 1.5;
    let [least, most] = radius_px;
    let good = click.iter().all(|v| v.is_finite() && v.abs() < 1e6)
        && least >= 2.0
        && most > least
        && most <= 300.0;
    if !good {
        return None;
    }
    // The click may lie anywhere in the ball, so that the far edge is a diameter away.
    let slopes = Slopes::around(grey, click, 3.0 * most + 3.0, SIGMA);
    let mut centre = click;
    let mut reach = [1.0, 2.0 * most];
    let mut found = None;
    for _ in 0..4 {
        let points = rays(&slopes, centre, reach);
        let circle = agreed(points)?;
        centre = circle.centre_px;
        // Around its own centre the edge lies at the radius: look there alone.
        reach = [0.7 * circle.radius_px, 1.3 * circle.radius_px];
        found = Some(circle);
    }
    found.filter(|c| {
        (least..=most).contains(&c.radius_px)
            && (c.centre_px[0] - click[0]).hypot(c.centre_px[1] - click[1]) <= c.radius_px
    })
}

fn rays(slopes: &Slopes, centre: [f64; 2], reach: [f64; 2]) -> Vec<[f64; 2]> {
    (0..RAYS)
        .map(|i| std::f64::consts::TAU * i as f64 / RAYS as f64)
        .filter_map(|t| fall(slopes, centre, [t.cos(), t.sin()], reach))
        .collect()
}

/// Fits and drops strays until the rest agrees within a pixel or 3 % of the radius.
fn agreed(mut points: Vec<[f64; 2]>) -> Option<Circle> {
    let enough = RAYS * 6 / 10;
    for _ in 0..12 {
        if points.len() < enough {
            return None;
        }
        let circle = circle_through(&points, 0.3)?;
        let off = |p: &[f64; 2]| {
            let [x, y] = circle.centre_px;
            ((p[0] - x).hypot(p[1] - y) - circle.radius_px).abs()
        };
        let close = (0.03 * circle.radius_px).max(1.0);
        if points.iter().all(|p| off(p) <= close) {
            return Some(circle);
        }
        let mut all: Vec<f64> = points.iter().map(off).collect();
        all.sort_unstable_by(f64::total_cmp);
        let limit = (2.5 * all.get(all.len() / 2).copied().unwrap_or(0.0)).max(close);
        let before = points.len();
        points.retain(|p| off(p) <= limit);
        if points.len() == before {
            return None;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ball_picture(centre: [f64; 2], radius: f64) -> Vec<u16> {
        (0..200 * 180)
            .map(|i| {
                let (x, y) = (
                    f64::from(i % 200) - centre[0],
                    f64::from(i / 200) - centre[1],
                );
                let d = x.hypot(y) - radius;
                // A slanted background, as the soft tissue's border gives.
                let back = 12_000.0 + 20.0 * f64::from(i % 200);
                (back + 25_000.0 / (1.0 + (d / 0.9).exp())) as u16
            })
            .collect()
    }

    #[test]
    fn a_ball_is_found_from_a_click_off_its_centre() {
        let (centre, radius) = ([92.4, 81.7], 31.3);
        let pixels = ball_picture(centre, radius);
        let grey = Grey::new(&pixels, 200, 180).unwrap();
        for click in [[92.0, 82.0], [105.0, 90.0], [80.0, 70.0]] {
            let circle = ball_near(&grey, click, [10.0, 45.0]).unwrap();
            assert!((circle.centre_px[0] - centre[0]).abs() < 0.1, "{circle:?}");
            assert!((circle.centre_px[1] - centre[1]).abs() < 0.1, "{circle:?}");
            assert!((circle.radius_px - radius).abs() < 0.15, "{circle:?}");
        }
    }

    #[test]
    fn a_click_where_no_ball_is_gives_none() {
        let pixels = ball_picture([92.4, 81.7], 31.3);
        let grey = Grey::new(&pixels, 200, 180).unwrap();
        assert!(ball_near(&grey, [170.0, 20.0], [10.0, 45.0]).is_none());
        assert!(ball_near(&grey, [92.0, 82.0], [40.0, 60.0]).is_none());
    }
}

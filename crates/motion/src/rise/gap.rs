//! What may have happened while the heel was not seen?

/// Share of a rise's height that may be hidden before the rise is told to be one whose height was not seen whole.
pub(crate) const HIDDEN_SHARE: f64 = 0.03;

/// How much further the heel may have gone in the gap beside a frame than it was seen to go; 0 where no gap is.
///
/// # Assumptions
/// A heel that goes up with a speed into a gap and comes out of it going down as fast rose between by a quarter of
/// speed times gap (a parabola).
///
/// # Units
/// As the heights.
pub(crate) fn hidden_beside(heights: &[Option<f64>], times_s: &[f64], frame: usize) -> f64 {
    let seen_here = heights.get(frame).copied().flatten();
    let (Some(_), Some(here_s)) = (seen_here, times_s.get(frame).copied()) else {
        return 0.0;
    };
    let time = |f: usize| times_s.get(f).copied();
    // Speed between a frame and the one before or after it, where both were seen.
    let speed = |f: usize, g: Option<usize>| -> f64 {
        let seen = |f: usize| Some((heights.get(f).copied().flatten()?, time(f)?));
        match (seen(f), g.and_then(seen)) {
            (Some(a), Some(b)) if a.1 != b.1 => ((a.0 - b.0) / (a.1 - b.1)).abs(),
            _ => 0.0,
        }
    };
    let hidden = |edge: Option<usize>, behind: Option<usize>, beyond: Option<usize>, until: f64| {
        let fastest = speed(frame, behind).max(edge.map_or(0.0, |e| speed(e, beyond)));
        0.25 * fastest * (until - here_s).abs()
    };
    let mut most: f64 = 0.0;
    if heights.get(frame + 1).is_some_and(Option::is_none) {
        let edge = (frame + 1..heights.len()).find(|f| heights[*f].is_some());
        let until = edge.or(heights.len().checked_sub(1)).and_then(time);
        let until = until.unwrap_or(here_s);
        most = most.max(hidden(
            edge,
            frame.checked_sub(1),
            edge.map(|e| e + 1),
            until,
        ));
    }
    if frame > 0 && heights[frame - 1].is_none() {
        let edge = (0..frame).rev().find(|f| heights[*f].is_some());
        let until = time(edge.unwrap_or(0)).unwrap_or(here_s);
        let beyond = edge.and_then(|e| e.checked_sub(1));
        most = most.max(hidden(edge, Some(frame + 1), beyond, until));
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parabola(hidden: std::ops::Range<usize>) -> (Vec<Option<f64>>, Vec<f64>) {
        let times: Vec<f64> = (0..41).map(|i| f64::from(i) * 0.025).collect();
        let heights = times
            .iter()
            .enumerate()
            .map(|(i, t)| (!hidden.contains(&i)).then(|| 90.0 * (1.0 - (2.0 * t - 1.0).powi(2))))
            .collect();
        (heights, times)
    }

    #[test]
    fn the_hidden_top_of_a_rise_is_a_quarter_of_speed_times_gap_above_what_was_seen() {
        let (heights, times) = parabola(13..28);
        // The last frame seen is the 13th, at 0.3 s: 14.4 mm are hidden.
        let hidden = hidden_beside(&heights, &times, 12);
        let true_rest = 90.0 - heights[12].unwrap();
        assert!(
            (hidden / true_rest - 1.0).abs() < 0.1,
            "{hidden} {true_rest}"
        );
        assert!((hidden_beside(&heights, &times, 28) / true_rest - 1.0).abs() < 0.1);
    }

    #[test]
    fn beside_no_gap_nothing_is_hidden_and_a_gap_of_one_frame_at_the_top_hides_a_hundredth() {
        let (heights, times) = parabola(0..0);
        assert_eq!(hidden_beside(&heights, &times, 20), 0.0);
        let (heights, times) = parabola(20..21);
        assert!(hidden_beside(&heights, &times, 19) < 0.9);
        assert_eq!(hidden_beside(&heights, &times, 20), 0.0);
        assert_eq!(hidden_beside(&[], &[], 3), 0.0);
        assert_eq!(hidden_beside(&[None, Some(3.0)], &[0.0, 0.1], 1), 0.0);
    }
}

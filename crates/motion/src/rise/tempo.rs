//! How fast do rises follow each other, and is a beat held?

use super::leg::{Rise, median};

/// Off the beat by more than this part of it. Our own choice; `SVthesis` (read) leaves it to the eye.
const OFF_BEAT: f64 = 0.25;

/// The first of two rises in a row that are off the beat, by its number; marks every rise that is.
pub(crate) fn beat_lost(rises: &mut [Rise], beat_per_min: Option<f64>) -> Option<usize> {
    let beat = 60.0 / beat_per_min?;
    for i in 1..rises.len() {
        let between = rises[i].top_s - rises[i - 1].top_s;
        rises[i].off_beat = Some((between - beat).abs() > OFF_BEAT * beat);
    }
    rises
        .windows(2)
        .find(|w| w.iter().all(|r| r.off_beat == Some(true)))
        .map(|w| w[0].number)
}

/// Rises a minute from the median time between tops, and the spread of these times, % of their mean.
pub(crate) fn tempo(rises: &[Rise]) -> (Option<f64>, Option<f64>) {
    let between: Vec<f64> = rises.windows(2).map(|w| w[1].top_s - w[0].top_s).collect();
    let per_min = median(between.clone()).map(|m| 60.0 / m);
    let n = between.len() as f64;
    let spread = (between.len() > 1).then(|| {
        let mean = between.iter().sum::<f64>() / n;
        let square = between.iter().map(|b| (b - mean).powi(2)).sum::<f64>() / (n - 1.0);
        100.0 * square.sqrt() / mean
    });
    (per_min, spread)
}

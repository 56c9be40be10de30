//! Where does a rise begin, where is its top, where does it end?
//!
//! Hysteresis on the heel's height: a rise has begun when the heel stands higher than its last low point by the
//! least rise, and is over when it has come down by half of what it rose. Small bounces at the top and tremor
//! below the least rise make no second rise. Nothing is smoothed; frames without a height are passed over.

use serde::{Deserialize, Serialize};

/// Least rise of a heel that has left the ground, mm.
///
/// # Sources
/// Our own choice: the wobble of a standing foot stays below it, the lowest rise worth the name is above it.
pub const LEAST_RISE_MM: f64 = 10.0;
/// The same without a known length, in distances of the leg's two points (some 120 mm apart).
pub const LEAST_RISE_LEG: f64 = 0.08;

/// Which rises count. What is written beside a count has to say which rule it is by: sources differ several times
/// over for this reason alone.
///
/// # Sources
/// `SVthesis` (read) stops the endurance form when the heel no longer leaves the board, the beat is lost, knee or
/// trunk give way, or more than fingertips hold; of these the heel and the beat can be seen here. Stricter
/// rules of height give far lower counts (`Jan2005`, unconfirmed); which share was asked there was not read.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "rule")]
pub enum Rule {
    /// Every rise by which the heel leaves the ground.
    #[default]
    AnyRise,
    /// Rises of at least this share of the highest of the first three.
    ShareOfFirst { share: f64 },
    /// Rises of at least this height; without a known length none can be judged.
    Height { mm: f64 },
}

impl Rule {
    pub fn words(self) -> String {
        match self {
            Rule::AnyRise => "every rise by which the heel leaves the ground".into(),
            Rule::ShareOfFirst { share } => format!(
                "rises of at least {:.0} % of the highest of the first three",
                100.0 * share
            ),
            Rule::Height { mm } => format!("rises of at least {mm:.0} mm"),
        }
    }
}

/// A rise by its frames.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    /// Last frame at the low point before.
    pub(crate) start: usize,
    pub(crate) top: usize,
    /// First low point after; `None` where the clip ends before the heel came down by half.
    pub(crate) end: Option<usize>,
    /// Height of the top over the low point before.
    pub(crate) height: f64,
}

/// Rises in a series of heights; `least` in its unit.
pub(crate) fn spans(heights: &[Option<f64>], least: f64) -> Vec<Span> {
    let mut out: Vec<Span> = Vec::new();
    let mut low: Option<(usize, f64)> = None;
    let mut up: Option<((usize, f64), (usize, f64))> = None;
    for (frame, height) in heights.iter().enumerate() {
        let Some(h) = *height else { continue };
        match up {
            None => match low {
                // Equal heights move the low point on: a rise begins at the end of standing.
                Some((_, l)) if h > l + least => {
                    let start = low.unwrap_or((frame, h));
                    up = Some((start, (frame, h)));
                }
                Some((_, l)) if h > l => {}
                _ => low = Some((frame, h)),
            },
            Some((start, top)) => {
                if h > top.1 {
                    up = Some((start, (frame, h)));
                } else if h < start.1 + 0.5 * (top.1 - start.1) {
                    out.push(Span {
                        start: start.0,
                        top: top.0,
                        end: Some(frame),
                        height: top.1 - start.1,
                    });
                    up = None;
                    low = Some((frame, h));
                }
            }
        }
    }
    if let Some((start, top)) = up {
        out.push(Span {
            start: start.0,
            top: top.0,
            end: None,
            height: top.1 - start.1,
        });
    }
    settle_ends(&mut out, heights);
    out
}

/// The end of a rise is the first frame at the low point that follows, the start the last one at the low point
/// before, both within a twentieth of the rise.
fn settle_ends(spans: &mut [Span], heights: &[Option<f64>]) {
    let tops: Vec<usize> = spans.iter().map(|s| s.top).collect();
    for (i, span) in spans.iter_mut().enumerate() {
        let near = 0.05 * span.height;
        let from = if i == 0 { 0 } else { tops[i - 1] };
        let until = tops.get(i + 1).copied().unwrap_or(heights.len());
        let least = |range: std::ops::Range<usize>| {
            heights[range]
                .iter()
                .flatten()
                .fold(f64::INFINITY, |m, h| m.min(*h))
        };
        let before = least(from..span.top);
        if let Some(frame) = (from..span.top)
            .rev()
            .find(|f| heights[*f].is_some_and(|h| h <= before + near))
        {
            span.start = frame;
        }
        if span.end.is_some() {
            let after = least(span.top..until);
            span.end = (span.top..until).find(|f| heights[*f].is_some_and(|h| h <= after + near));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(tops: &[f64], frames_each: usize) -> Vec<Option<f64>> {
        tops.iter()
            .flat_map(|top| {
                (0..frames_each).map(move |i| {
                    let phase = i as f64 / frames_each as f64 * std::f64::consts::TAU;
                    Some(top * 0.5 * (1.0 - phase.cos()))
                })
            })
            .chain([Some(0.0)])
            .collect()
    }

    #[test]
    fn tiring_rises_are_all_counted_down_to_the_least_rise() {
        let heights = wave(&[90.0, 80.0, 60.0, 40.0, 20.0, 11.0, 8.0], 40);
        let found = spans(&heights, LEAST_RISE_MM);
        assert_eq!(found.len(), 6);
        for (i, span) in found.iter().enumerate() {
            assert_eq!(span.top, 40 * i + 20);
        }
    }

    #[test]
    fn a_bounce_at_the_top_and_tremor_at_the_bottom_are_no_rises() {
        let mut heights = wave(&[80.0], 60);
        for (i, h) in heights.iter_mut().enumerate() {
            let bounce = if (24..36).contains(&i) { 18.0 } else { 4.0 };
            *h = h.map(|v| v + bounce * (i as f64 * 1.9).sin());
        }
        assert_eq!(spans(&heights, LEAST_RISE_MM).len(), 1);
    }

    #[test]
    fn a_rise_whose_middle_was_not_seen_is_one_rise_and_a_clip_cut_at_the_top_leaves_its_end_open()
    {
        let mut heights = wave(&[80.0, 80.0], 60);
        for h in &mut heights[20..32] {
            *h = None;
        }
        let found = spans(&heights, LEAST_RISE_MM);
        assert_eq!(found.len(), 2);
        let cut = spans(&wave(&[80.0], 60)[..35], LEAST_RISE_MM);
        assert_eq!(cut.len(), 1);
        assert_eq!(cut[0].end, None);
        assert!(spans(&[None, None], LEAST_RISE_MM).is_empty());
    }
}

//! Points that something hides for a while: lost meanwhile, back in their place, and what was hidden is not measured.

#[path = "../examples/shared/mod.rs"]
mod shared;

use motion::read;
use motion::rise::Note;
use motion::steps::{How, Point};
use phantom::clip::{Clip, ClipSpec, Hidden};
use terms::Side;

/// A child's heel with a pen's crosses: the lowest lies near the shadow under the heel.
fn child(from_s: f64, until_s: f64) -> ClipSpec {
    let mut spec = ClipSpec::plain(11);
    (spec.width, spec.height, spec.rate) = (400, 520, 24.0);
    (spec.px_per_mm, spec.period_s, spec.stickers) = (1.4, 1.6, false);
    (spec.blur_px, spec.noise) = (1.0, 3.0);
    let leg = &mut spec.legs[0];
    (leg.rises, leg.size, leg.height_mm) = (3, 0.7, 52.0);
    spec.hidden = Some(Hidden {
        leg: 0,
        mark: 3,
        from_s,
        until_s,
    });
    spec
}

#[test]
fn a_cross_low_on_a_childs_heel_is_followed_through_the_rise_and_comes_back_in_its_place() {
    let clip = Clip::new(child(2.2, 2.6));
    let steps = shared::steps(&clip, shared::marks(&clip, 0, &[]));
    let track = steps.track.of(Side::Right, Point::HeelLower).unwrap();
    let truth = clip.truth();
    let mut seen = 0;
    for (i, place) in track.places.iter().enumerate() {
        let Some(p) = place.filter(|p| p.how != How::Foreseen) else {
            continue;
        };
        assert!(
            !(2.2..2.6).contains(&truth.times_s[i]),
            "seen behind a sleeve"
        );
        let (x, y) = truth.legs[0].spots[i][3];
        let off = (p.x - x).hypot(p.y - y);
        assert!(off < 1.0, "{off} in frame {i}");
        seen += 1;
    }
    // All but the ten hidden frames and a few beside them.
    assert!(seen + 14 >= clip.count(), "{seen} of {}", clip.count());
    assert_eq!(read(&steps).unwrap().legs[0].count, Some(3));
}

#[test]
fn a_rise_whose_top_was_hidden_counts_and_its_height_is_told_as_a_least() {
    // The second top is at 0.8 + 1.6 · 1.51 s.
    let clip = Clip::new(child(2.85, 3.6));
    let steps = shared::steps(&clip, shared::marks(&clip, 0, &[]));
    let leg = &read(&steps).unwrap().legs[0];
    let truth = &clip.truth().legs[0].rises;
    assert_eq!(leg.count, Some(3));
    let whole: Vec<bool> = leg.rises.iter().map(|r| !r.not_seen_whole).collect();
    assert_eq!(whole, [true, false, true]);
    assert!(leg.notes.contains(&Note::HeightIsALeast { rises: vec![2] }));
    let hidden = &leg.rises[1];
    assert!(hidden.change.is_none() && hidden.top.is_none());
    let short_of = truth[1].height_mm - hidden.height.value;
    assert!(short_of > 0.0 && short_of < 3.0 * hidden.height.standard_error);
    // Neither the mean nor the turn rests on it.
    assert_eq!(leg.turn.unwrap().rises, 2);
    let mean = 0.5 * (truth[0].height_mm + truth[2].height_mm);
    assert!((leg.mean_height.unwrap().value / mean - 1.0).abs() < 0.03);
    assert_ne!(leg.worst.as_ref().map(|s| s.rise), Some(2));
}

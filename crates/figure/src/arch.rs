//! What sags in a flat foot: two feet from the inner side, one whose arch holds and one whose arch is down.
//!
//! Drawn for people who read no films; nobody's foot, and not to scale. Every word on it is handed in.

use crate::colour::{INK, KELP, QUIET};
use crate::svg::{Svg, Text};

/// The words of the drawing in the language of the paper.
#[derive(Debug, Clone)]
pub struct ArchWords {
    /// For those who cannot see it.
    pub title: String,
    pub sound: String,
    pub sagging: String,
    pub tendon: String,
    pub arch: String,
}

const WIDTH: f64 = 440.0;
const HEIGHT: f64 = 176.0;
const FLOOR: f64 = 136.0;
/// From the left foot of the drawing to the right one.
const STEP: f64 = 222.0;

pub fn side_view(words: &ArchWords) -> String {
    let mut svg = Svg::new(WIDTH, HEIGHT, &words.title, "");
    for (x, sags, under) in [(0.0, false, &words.sound), (STEP, true, &words.sagging)] {
        foot(&mut svg, x, sags);
        svg.line([x + 12.0, FLOOR], [x + 208.0, FLOOR], QUIET, 1.2);
        svg.text([x + 30.0, 166.0], under, Text::new(13.0, INK).bold());
    }
    svg.line([104.0, 40.0], [78.0, 46.0], KELP, 0.9);
    svg.text([107.0, 43.0], &words.tendon, Text::new(11.0, KELP));
    svg.line([116.0, 127.0], [116.0, 148.0], QUIET, 0.9);
    svg.text([120.0, 151.0], &words.arch, Text::new(11.0, QUIET));
    svg.finish()
}

fn foot(svg: &mut Svg, x: f64, sags: bool) {
    // How far the arch and what stands on it come down.
    let (arch, instep, bump) = if sags {
        (133.0, 7.0, 8.0)
    } else {
        (112.0, 0.0, 0.0)
    };
    let at = |px: f64, py: f64| format!("{} {}", x + px, py);
    let outline = format!(
        "M{} C{} {} {} C{} {} {} L{} C{} {} {} C{} {} {} C{} {} {} C{} {} {} C{} {} {}",
        at(44.0, 8.0),
        // The back of the leg and the heel.
        at(46.0, 60.0),
        at(44.0, 84.0),
        at(36.0, 104.0),
        at(32.0, 122.0),
        at(36.0, 134.0),
        at(50.0, 135.5),
        at(72.0, 135.5),
        // The arch.
        at(92.0, arch),
        at(130.0, arch),
        at(150.0, 135.0),
        // The ball and the great toe.
        at(160.0, 136.0),
        at(190.0, 136.5),
        at(203.0, 134.0),
        at(210.0, 126.0),
        at(204.0, 116.0),
        at(192.0, 115.0),
        // The back of the foot and the front of the leg.
        at(164.0, 110.0 + 0.5 * instep),
        at(128.0, 92.0 + instep),
        at(112.0, 74.0 + instep),
        at(100.0, 58.0 + 0.6 * instep),
        at(98.0, 36.0),
        at(98.0, 8.0),
    );
    svg.path(&outline, "none", INK, 2.0);
    // The inner ankle bone.
    svg.circle([x + 84.0, 66.0 + bump * 0.5], 9.0, "none", INK, 1.4);
    // The tendon behind it, to the bone at the top of the arch.
    let slack = if sags { 10.0 } else { 0.0 };
    let tendon = format!(
        "M{} C{} {} {} C{} {} {}",
        at(64.0, 10.0),
        at(68.0, 40.0),
        at(66.0, 62.0),
        at(72.0, 78.0 + bump),
        at(80.0, 92.0 + bump + slack),
        at(98.0, 94.0 + bump + slack),
        at(116.0, 96.0 + 1.6 * bump),
    );
    svg.path(&tendon, "none", KELP, if sags { 2.2 } else { 3.4 });
    if sags {
        // Down goes the arch.
        svg.line([x + 112.0, 84.0], [x + 112.0, 100.0], INK, 1.6);
        let head = format!(
            "M{} L{} L{} Z",
            at(107.0, 98.0),
            at(117.0, 98.0),
            at(112.0, 106.0)
        );
        svg.path(&head, INK, INK, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawing_says_its_words_and_no_others() {
        let words = ArchWords {
            title: "T".into(),
            sound: "Uno".into(),
            sagging: "Dos".into(),
            tendon: "tres".into(),
            arch: "cuatro".into(),
        };
        let svg = side_view(&words);
        for word in ["Uno", "Dos", "tres", "cuatro"] {
            assert!(svg.contains(&format!(">{word}<")), "{word}");
        }
        assert_eq!(svg.matches("<text").count(), 4);
        assert!(!svg.contains("NaN") && !svg.contains(" style="));
    }
}

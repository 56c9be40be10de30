//! Exercises as plain line drawings without a word on them: what moves is drawn in colour, with an arrow.
//!
//! Nobody's leg, and not to scale; how often and how much stands beside the drawing.

use crate::colour::{INK, KELP, QUIET};
use crate::svg::Svg;

/// An exercise that has a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exercise {
    /// The pointed foot turns in and down against a band, and comes back slowly.
    BandInAndDown,
    /// Hands on the wall, the heel of the hind leg on the floor and held straight.
    CalfStretch,
    HeelRise,
    ToeWalk,
}

impl Exercise {
    pub const ALL: [Exercise; 4] = [
        Exercise::BandInAndDown,
        Exercise::CalfStretch,
        Exercise::HeelRise,
        Exercise::ToeWalk,
    ];

    pub fn key(self) -> &'static str {
        match self {
            Exercise::BandInAndDown => "band-in-and-down",
            Exercise::CalfStretch => "calf-stretch",
            Exercise::HeelRise => "heel-rise",
            Exercise::ToeWalk => "toe-walk",
        }
    }

    pub fn from_key(key: &str) -> Option<Exercise> {
        Exercise::ALL.into_iter().find(|e| e.key() == key)
    }
}

const WIDTH: f64 = 200.0;
const HEIGHT: f64 = 150.0;
const FLOOR: f64 = 138.0;

/// The drawing, with words for those who cannot see it.
pub fn exercise_svg(exercise: Exercise, title: &str) -> String {
    let mut svg = Svg::new(WIDTH, HEIGHT, title, "");
    match exercise {
        Exercise::BandInAndDown => band(&mut svg),
        Exercise::CalfStretch => stretch(&mut svg),
        Exercise::HeelRise => rise(&mut svg),
        Exercise::ToeWalk => walk(&mut svg),
    }
    svg.finish()
}

/// Seen from above: the leg, the foot as it starts and as it ends, and the band to a table's leg.
fn band(svg: &mut Svg) {
    svg.path("M34 44 L96 56 M34 92 L96 82", "none", INK, 2.0);
    // Where the foot starts, straight ahead of the leg.
    svg.path(
        "M96 56 C120 50 158 46 168 56 C176 66 172 80 160 86 C140 92 116 88 96 82",
        "none",
        QUIET,
        1.3,
    );
    // Where it ends: turned in.
    svg.path(
        "M96 56 C118 60 144 78 152 94 C156 106 148 116 136 114 C120 108 106 96 96 82",
        "none",
        KELP,
        2.2,
    );
    // The band pulls it out, from a post above.
    svg.circle([128.0, 14.0], 7.0, "none", INK, 2.0);
    svg.path("M123 19 L112 66 L137 115 L134 19", "none", INK, 1.3);
    arrow(
        svg,
        "M182 62 C186 84 178 104 164 116",
        [164.0, 116.0],
        [-0.75, 0.66],
    );
}

/// Seen from the side: somebody leans on a wall, one leg behind the other.
fn stretch(svg: &mut Svg) {
    svg.line([184.0, 8.0], [184.0, FLOOR], INK, 2.4);
    floor(svg);
    head(svg, [136.0, 26.0]);
    // Trunk, arms on the wall, leg in front with its knee bent.
    svg.path("M130 38 L104 82", "none", INK, 2.4);
    svg.path("M127 46 L182 44", "none", INK, 2.0);
    svg.path("M104 82 L136 100 L132 134 L152 137", "none", INK, 2.0);
    // The leg behind: knee straight, heel down.
    svg.path("M104 82 L46 134 L68 137", "none", KELP, 2.6);
    arrow(svg, "M34 104 L34 128", [34.0, 130.0], [0.0, 1.0]);
    svg.path("M40 138 L52 138", "none", KELP, 3.2);
}

/// Seen from the side: a hand on the wall, heel on the floor and heel lifted.
fn rise(svg: &mut Svg) {
    svg.line([184.0, 8.0], [184.0, FLOOR], INK, 2.4);
    floor(svg);
    head(svg, [116.0, 22.0]);
    svg.path("M116 34 L114 78", "none", INK, 2.4);
    svg.path("M116 46 L146 56 L182 48", "none", INK, 2.0);
    svg.path("M114 78 L112 106 L110 122", "none", KELP, 2.6);
    svg.path(
        "M110 122 C104 120 100 124 102 128 L124 137 L136 137",
        "none",
        KELP,
        2.6,
    );
    // The foot as it starts.
    svg.path("M106 126 L102 137 L136 137", "none", QUIET, 1.2);
    // The other leg is bent.
    svg.path("M114 78 L124 106 L98 112", "none", INK, 1.6);
    arrow(svg, "M82 134 L82 112", [82.0, 110.0], [0.0, -1.0]);
}

/// Seen from the side: somebody walks with both heels off the floor.
fn walk(svg: &mut Svg) {
    floor(svg);
    head(svg, [96.0, 22.0]);
    svg.path("M96 34 L94 78", "none", INK, 2.4);
    svg.path(
        "M96 46 L78 66 L84 80 M96 46 L114 64 L122 58",
        "none",
        INK,
        1.8,
    );
    svg.path("M94 78 L112 102 L118 122", "none", KELP, 2.6);
    svg.path(
        "M118 122 C112 122 110 126 113 129 L130 137 L140 137",
        "none",
        KELP,
        2.6,
    );
    svg.path("M94 78 L84 104 L66 122", "none", KELP, 2.6);
    svg.path(
        "M66 122 C60 120 57 125 60 128 L74 137 L84 137",
        "none",
        KELP,
        2.6,
    );
    arrow(svg, "M150 70 L176 70", [178.0, 70.0], [1.0, 0.0]);
}

fn floor(svg: &mut Svg) {
    svg.line([10.0, FLOOR], [190.0, FLOOR], QUIET, 1.2);
}

fn head(svg: &mut Svg, at: [f64; 2]) {
    svg.circle(at, 11.0, "none", INK, 2.0);
}

/// A line that ends in a head, which points the given way.
fn arrow(svg: &mut Svg, line: &str, tip: [f64; 2], way: [f64; 2]) {
    svg.path(line, "none", INK, 1.6);
    let (long, half) = (8.0, 4.0);
    let back = [tip[0] - long * way[0], tip[1] - long * way[1]];
    let side = [-way[1] * half, way[0] * half];
    let d = format!(
        "M{} {} L{} {} L{} {} Z",
        tip[0],
        tip[1],
        back[0] + side[0],
        back[1] + side[1],
        back[0] - side[0],
        back[1] - side[1]
    );
    svg.path(&d, INK, INK, 0.8);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_exercise_has_a_drawing_of_its_own_without_a_word_on_it() {
        let drawn: Vec<String> = Exercise::ALL
            .iter()
            .map(|e| exercise_svg(*e, "words"))
            .collect();
        for (i, svg) in drawn.iter().enumerate() {
            assert!(svg.contains("<title>words</title>") && !svg.contains("<text"));
            assert!(!svg.contains("NaN") && !svg.contains(" style="));
            assert!(drawn.iter().skip(i + 1).all(|other| other != svg));
        }
    }

    #[test]
    fn an_exercise_comes_back_from_its_key() {
        for e in Exercise::ALL {
            assert_eq!(Exercise::from_key(e.key()), Some(e));
        }
        assert_eq!(Exercise::from_key("another"), None);
    }
}

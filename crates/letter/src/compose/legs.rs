//! A leg measured for a brace: its sizes as a form, and the drawing that shows where each was taken.

use super::words;
use crate::document::{Block, Pictures};
use crate::words::{Words, say};
use exam::{Leg, Sheet};
use figure::{LegLevel, LegModel, LegWords, Prominence, leg_svg};
use terms::Side;

/// What of a leg's sheet can be drawn, in words of a language; for page and paper alike.
pub fn leg_model(w: &Words, side: Side, leg: &Leg) -> LegModel {
    let number = |key: &str| leg.number(key).value();
    let mm = |value: f64| words::number(w, value, "mm");
    let level = |height: &str, name: &str, girth: &str| {
        let up = number(height)?;
        let name = say!(w, name);
        let words = match number(girth) {
            Some(round) => say!(w, "leg-level", name = name, round = mm(round), up = mm(up)),
            None => say!(w, "leg-level-bare", name = name, up = mm(up)),
        };
        Some(LegLevel { words, height: up })
    };
    let prominence = || {
        let (from_heel, above_floor) = (number("relief_from_heel")?, number("relief_above_floor")?);
        let (length, height) = (number("relief_length")?, number("relief_height")?);
        let out = number("relief_out");
        let size = say!(w, "leg-free-size", long = mm(length), high = mm(height));
        let out = out.map(|out| say!(w, "leg-free-out", out = mm(out)));
        let size: Vec<String> = std::iter::once(size).chain(out).collect();
        Some(Prominence {
            from_heel,
            above_floor,
            length,
            height,
            words: [
                say!(w, "leg-free", size = size.join(", ")),
                say!(
                    w,
                    "leg-free-place",
                    heel = mm(from_heel),
                    up = mm(above_floor)
                ),
            ],
        })
    };
    LegModel {
        title: say!(w, "leg-drawing", side = side.word()),
        foot_length: number("leg_foot_length"),
        navicular_height: number("height_navicular"),
        levels: [
            level("height_ankle", "leg-at-ankle", "girth_ankle"),
            level("height_calf", "leg-at-calf", "girth_calf"),
            level("height_below_knee", "leg-below-knee", "girth_below_knee"),
        ]
        .into_iter()
        .flatten()
        .collect(),
        prominence: prominence(),
        words: LegWords {
            inner_ankle: say!(w, "leg-inner-ankle"),
            outline_only: say!(w, "leg-outline-only"),
            nothing: say!(w, "leg-nothing"),
        },
    }
}

/// The sizes of each measured leg, part by part; what nobody measured says so.
pub(super) fn table(w: &Words, legs: &[(Side, &Leg)]) -> Block {
    let cell = |leg: &Leg, question: &exam::Question| {
        leg.get(question.key).map_or_else(
            || say!(w, "not-measured"),
            |answer| words::answer(w, question, answer),
        )
    };
    let asked: Vec<&exam::Question> = exam::form()
        .iter()
        .filter(|q| q.sheet == Sheet::Leg && q.key != "leg_words")
        .collect();
    let mut sections: Vec<&'static str> = Vec::new();
    for question in &asked {
        if !sections.contains(&question.section) {
            sections.push(question.section);
        }
    }
    let rows = sections
        .into_iter()
        .flat_map(|section| {
            let head = vec![w.known(&format!("section-{}", crate::words::slug(section)), section)];
            let of_section = asked.iter().filter(move |q| q.section == section);
            std::iter::once(head).chain(of_section.map(|q| {
                let cells = legs.iter().map(|(_, leg)| cell(leg, q));
                std::iter::once(words::question(w, q))
                    .chain(cells)
                    .collect()
            }))
        })
        .collect();
    let sides = legs
        .iter()
        .map(|(side, _)| words::capital(&words::side(w, *side)));
    Block::Table {
        caption: say!(w, "legs-caption"),
        header: std::iter::once(say!(w, "head-looked-at"))
            .chain(sides)
            .collect(),
        rows,
    }
}

/// The drawing of a measured leg, and what was written down for whoever makes the brace.
pub(super) fn drawing(w: &Words, side: Side, leg: &Leg, pictures: &mut Pictures) -> Vec<Block> {
    let model = leg_model(w, side, leg);
    let name = format!("leg-{}.svg", side.word());
    pictures.insert(name.clone(), leg_svg(&model).into_bytes());
    let mut out = vec![Block::Figure {
        picture: name,
        alt: model.spoken(),
        caption: model.title,
        width_percent: 85.0,
    }];
    if let Some(text) = leg.text_of("leg_words") {
        let foot = words::capital(&words::foot(w, side));
        let said = words::quoted(w, &text);
        out.push(Block::Paragraph {
            text: say!(w, "labelled", label = foot, value = said),
        });
    }
    out
}

//! The steps as texts, one field for each, and back. A text that was not touched leaves its step as it is; one
//! that was makes it a step by hand.

use crate::captures::base::{BadField, Texts};
use crate::captures::take_in::{MEDIA, medium_of, side_of};
use print::{
    Axis, By, FootSteps, Medium, Paper, Place, Scaling, Seen, Step, Taken, ToeLine, Told, Work,
};

/// Of one foot, in the order of the work: key, label, and what it wants.
pub const FOOT_FIELDS: [(&str, &str, &str); 7] = [
    ("heel", "Heel centre", "a place: x, y"),
    ("toe", "Second toe", "a place: x, y"),
    (
        "line",
        "Toe line",
        "places from the inner side to the outer, parted by semicolons",
    ),
    (
        "parts",
        "Parts of the foot",
        "a place in each part, parted by semicolons",
    ),
    (
        "inner",
        "Inner tangent",
        "its heel end and its ball end, or nothing",
    ),
    (
        "outer",
        "Outer tangent",
        "its heel end and its ball end, or nothing",
    ),
    ("thirds", "Thirds", "four places along the axis, heel first"),
];

/// The two ends of the line between feet that touch.
pub const DIVIDE: [&str; 2] = ["divide-a", "divide-b"];

/// The line as typed, where it is another than the one that stands; the feet are then found anew.
///
/// # Errors
/// One end without the other, or a text that is no place.
pub fn divide(work: &Work, typed: &Texts) -> Result<Option<Option<[Place; 2]>>, BadField> {
    let own = texts(work);
    let get = |key: &str| typed.get(key).or(own.get(key)).map_or("", |t| t.trim());
    let [a, b] = DIVIDE.map(get);
    if DIVIDE
        .iter()
        .all(|key| get(key) == own.get(*key).map_or("", String::as_str))
    {
        return Ok(None);
    }
    match (a, b) {
        ("", "") => Ok(Some(None)),
        _ => Ok(Some(Some([place(DIVIDE[0], a)?, place(DIVIDE[1], b)?]))),
    }
}

fn place_text(place: Place) -> String {
    format!("{:.1}, {:.1}", place[0] + 0.0, place[1] + 0.0)
}

fn places_text<'p>(places: impl IntoIterator<Item = &'p Place>) -> String {
    let all: Vec<String> = places.into_iter().map(|p| place_text(*p)).collect();
    all.join("; ")
}

fn number(field: &str, text: &str, expected: &str) -> Result<f64, BadField> {
    let read = text.trim().parse::<f64>().ok();
    let read = read.or_else(|| text.trim().replace(',', ".").parse().ok());
    read.filter(|n| n.is_finite())
        .ok_or_else(|| BadField::new(field, text, expected))
}

fn place(field: &str, text: &str) -> Result<Place, BadField> {
    let expected = "a place as two numbers such as 812.5, 1204.0";
    let (x, y) = text
        .split_once(',')
        .ok_or_else(|| BadField::new(field, text, expected))?;
    Ok([number(field, x, expected)?, number(field, y, expected)?])
}

fn places(field: &str, text: &str) -> Result<Vec<Place>, BadField> {
    text.split(';')
        .map(str::trim)
        .filter(|t| !t.is_empty())
        .map(|t| place(field, t))
        .collect()
}

/// Every step as its field shows it.
pub fn texts(work: &Work) -> Texts {
    let steps = &work.steps;
    let mut all = Texts::new();
    all.insert("level".into(), format!("{:.1}", steps.level.is.at));
    all.insert("medium".into(), medium_key(steps.medium.is).into());
    all.insert("seen".into(), seen_key(steps.seen.is).into());
    let line = steps.divide.as_ref().map(|d| d.is.line);
    for (key, end) in DIVIDE.iter().zip([0, 1]) {
        let text = line.map(|l| place_text(l[end])).unwrap_or_default();
        all.insert((*key).into(), text);
    }
    scale_texts(&work.taken, &mut all);
    for (at, foot) in steps.feet.iter().enumerate() {
        let axis = foot.axis.is;
        let line = |pair: &Option<[Place; 2]>| places_text(pair.iter().flatten());
        for (key, text) in [
            ("side", foot.side.is.side.word().to_owned()),
            ("heel", place_text(axis.heel_centre)),
            ("toe", place_text(axis.second_toe)),
            ("line", places_text(&foot.toe_line.is.places)),
            ("parts", places_text(&foot.parts.is)),
            ("inner", line(&foot.inner_tangent.is)),
            ("outer", line(&foot.outer_tangent.is)),
            ("thirds", places_text(&foot.thirds.is)),
        ] {
            all.insert(format!("{key}-{at}"), text);
        }
    }
    all
}

pub fn medium_key(medium: Medium) -> &'static str {
    MEDIA
        .iter()
        .find(|(_, m)| *m == medium)
        .map_or("", |(key, _)| key)
}

pub fn seen_key(seen: Seen) -> &'static str {
    match seen {
        Seen::FromAbove => "above",
        Seen::FromBelow => "below",
    }
}

fn scale_texts(taken: &Taken, all: &mut Texts) {
    let mut put = |key: &str, text: String| all.insert(key.to_owned(), text);
    let Taken::Picture { scaling, .. } = taken else {
        return;
    };
    put("scale", scale_key(scaling).to_owned());
    for key in [
        "ruler_from",
        "ruler_to",
        "ruler_mm",
        "corners",
        "paper_long",
        "paper_short",
    ] {
        put(key, String::new());
    }
    put("paper", "a4".to_owned());
    match scaling {
        Scaling::Unknown | Scaling::FileDensity => {}
        Scaling::Ruler { from, to, mm } => {
            put("ruler_from", place_text(*from));
            put("ruler_to", place_text(*to));
            put("ruler_mm", mm.to_string());
        }
        Scaling::Corners { corners, paper } => {
            put("corners", places_text(corners));
            match paper {
                Paper::A4 => {}
                Paper::Letter => {
                    put("paper", "letter".to_owned());
                }
                Paper::Given { long_mm, short_mm } => {
                    put("paper", "given".to_owned());
                    put("paper_long", long_mm.to_string());
                    put("paper_short", short_mm.to_string());
                }
            }
        }
    }
}

fn scale_key(scaling: &Scaling) -> &'static str {
    match scaling {
        Scaling::Unknown => "none",
        Scaling::FileDensity => "file",
        Scaling::Ruler { .. } => "ruler",
        Scaling::Corners { .. } => "paper",
    }
}

/// How the file is opened, as the fields say.
///
/// # Errors
/// A scale without its points.
pub fn taken(work: &Work, typed: &Texts) -> Result<Taken, BadField> {
    let Taken::Picture { medium, .. } = work.taken else {
        return Ok(work.taken);
    };
    let own = texts(work);
    let get = |key: &str| typed.get(key).or(own.get(key)).map_or("", |t| t.trim());
    let medium = match get("medium") {
        key if key == medium_key(work.steps.medium.is) => medium,
        key => medium_of(key).filter(|m| *m != Medium::Pressure),
    };
    let scaling = match get("scale") {
        "none" => Scaling::Unknown,
        "ruler" => Scaling::Ruler {
            from: place("ruler_from", get("ruler_from"))?,
            to: place("ruler_to", get("ruler_to"))?,
            mm: number(
                "ruler_mm",
                get("ruler_mm"),
                "the ruler's length in mm, such as 100",
            )?,
        },
        "paper" => {
            let found = places("corners", get("corners"))?;
            let corners: [Place; 4] = found.try_into().map_err(|_| {
                BadField::new(
                    "corners",
                    get("corners"),
                    "the four corners of the sheet as places",
                )
            })?;
            let side = |key: &str| number(key, get(key), "a side of the sheet in mm, such as 297");
            Scaling::Corners {
                corners,
                paper: match get("paper") {
                    "letter" => Paper::Letter,
                    "given" => Paper::Given {
                        long_mm: side("paper_long")?,
                        short_mm: side("paper_short")?,
                    },
                    _ => Paper::A4,
                },
            }
        }
        _ => Scaling::FileDensity,
    };
    Ok(Taken::Picture { medium, scaling })
}

/// The steps with what was typed; a medium that was changed needs them found anew instead.
///
/// # Errors
/// The first text that is no such step.
pub fn applied(work: &Work, typed: &Texts) -> Result<Work, BadField> {
    let own = texts(work);
    let changed = |key: &str| {
        let (is, was) = (typed.get(key)?, own.get(key)?);
        (is.trim() != was).then(|| is.trim())
    };
    let mut work = Work {
        taken: taken(work, typed)?,
        steps: work.steps.clone(),
    };
    let steps = &mut work.steps;
    if let Some(text) = changed("level") {
        let at = number("level", text, "a grey from 0 to 255, or a pressure in kPa")?;
        steps.level = Step::by_hand(print::Level {
            at,
            ..steps.level.is
        });
    }
    if let Some(text) = changed("seen") {
        steps.seen = Step::by_hand(match text {
            "below" => Seen::FromBelow,
            _ => Seen::FromAbove,
        });
    }
    for (at, foot) in steps.feet.iter_mut().enumerate() {
        apply_foot(foot, at, &changed)?;
    }
    Ok(work)
}

fn apply_foot<'t>(
    foot: &mut FootSteps,
    at: usize,
    changed: &impl Fn(&str) -> Option<&'t str>,
) -> Result<(), BadField> {
    let key = |name: &str| format!("{name}-{at}");
    if let Some(side) = changed(&key("side")).and_then(side_of) {
        foot.side = Step::by_hand(Told {
            side,
            confidence: 1.0,
        });
    }
    let (heel, toe) = (key("heel"), key("toe"));
    if let Some(text) = changed(&heel) {
        let heel_centre = place(&heel, text)?;
        foot.axis = Step::by_hand(Axis {
            heel_centre,
            ..foot.axis.is
        });
    }
    if let Some(text) = changed(&toe) {
        let second_toe = place(&toe, text)?;
        foot.axis = Step::by_hand(Axis {
            second_toe,
            ..foot.axis.is
        });
    }
    let line = key("line");
    if let Some(text) = changed(&line) {
        let places = places(&line, text)?;
        foot.toe_line = Step::by_hand(ToeLine {
            places,
            ..foot.toe_line.is
        });
    }
    let parts = key("parts");
    if let Some(text) = changed(&parts) {
        foot.parts = Step::by_hand(places(&parts, text)?);
    }
    for (name, step) in [
        ("inner", &mut foot.inner_tangent),
        ("outer", &mut foot.outer_tangent),
    ] {
        let key = key(name);
        if let Some(text) = changed(&key) {
            *step = Step::by_hand(match places(&key, text)?.as_slice() {
                [] => None,
                [heel, ball] => Some([*heel, *ball]),
                _ => return Err(BadField::new(&key, text, "two places, or nothing")),
            });
        }
    }
    let thirds = key("thirds");
    if let Some(text) = changed(&thirds) {
        let found: Result<[Place; 4], _> = places(&thirds, text)?.try_into();
        foot.thirds =
            Step::by_hand(found.map_err(|_| BadField::new(&thirds, text, "four places"))?);
    }
    Ok(())
}

/// What the page says of who took a step.
pub fn by_words(by: By) -> &'static str {
    match by {
        By::Found => "found",
        By::ByHand => "set by hand",
    }
}

//! Points over a picture as fields: each a place in pixels, set by hand over the picture or typed.

use super::base::{BadField, Texts};
use motion::steps::{Setup, Spot};
use motion::work::{Spots, Wanted};
use terms::Side;

/// The points of one foot, or of the picture.
pub struct Group {
    pub head: &'static str,
    pub fields: Vec<Field>,
}

pub struct Field {
    pub key: String,
    pub label: &'static str,
    pub hint: &'static str,
    pub text: String,
    pub many: bool,
    pub optional: bool,
    /// What its handle is called aloud.
    pub aloud: String,
}

/// What a field holds where none of its kind is to be seen.
const NONE: &str = "none";

pub fn groups(wanted: &[Wanted], texts: &Texts) -> Vec<Group> {
    let mut groups: Vec<(Option<Side>, Group)> = Vec::new();
    for w in wanted {
        let head = match w.side {
            Some(Side::Left) => "Left foot",
            Some(Side::Right) => "Right foot",
            None => "Known length",
        };
        if groups.last().is_none_or(|(side, _)| *side != w.side) {
            let fields = Vec::new();
            groups.push((w.side, Group { head, fields }));
        }
        if let Some((_, group)) = groups.last_mut() {
            group.fields.push(Field {
                key: w.key.clone(),
                label: w.name,
                hint: w.hint,
                text: texts.get(&w.key).cloned().unwrap_or_default(),
                many: w.many,
                optional: w.optional,
                aloud: match w.side {
                    Some(_) => format!("{}, {}", w.name, head.to_lowercase()),
                    None => w.name.to_owned(),
                },
            });
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

pub fn spot_text(spot: Spot) -> String {
    format!("{:.1}, {:.1}", spot.x + 0.0, spot.y + 0.0)
}

/// Every point as its field shows it.
pub fn texts_of(spots: &Spots, wanted: &[Wanted]) -> Texts {
    let text = |w: &Wanted| match spots.get(&w.key).map(Vec::as_slice) {
        None => String::new(),
        Some([]) => NONE.to_owned(),
        Some(all) => {
            let all: Vec<String> = all.iter().map(|s| spot_text(*s)).collect();
            all.join("; ")
        }
    };
    wanted.iter().map(|w| (w.key.clone(), text(w))).collect()
}

/// `None` for an empty field.
///
/// # Errors
/// A text that is no place, or several where one is asked for.
pub fn parsed(w: &Wanted, text: &str) -> Result<Option<Vec<Spot>>, BadField> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    if w.many && text.eq_ignore_ascii_case(NONE) {
        return Ok(Some(Vec::new()));
    }
    let expected = match w.many {
        true => "places such as 812.5, 1204.0; 830.0, 1190.5, or none",
        false => "a place as two numbers such as 812.5, 1204.0",
    };
    let all: Option<Vec<Spot>> = text
        .split(';')
        .map(str::trim)
        .filter(|t| !t.is_empty())
        .map(spot)
        .collect();
    match all {
        Some(all) if w.many || all.len() == 1 => Ok(Some(all)),
        _ => Err(BadField::new(&w.key, text, expected)),
    }
}

fn spot(text: &str) -> Option<Spot> {
    let (x, y) = text.split_once(',')?;
    let number = |t: &str| t.trim().parse::<f64>().ok().filter(|v| v.is_finite());
    Some(Spot::new(number(x)?, number(y)?))
}

/// `None` for an empty text.
///
/// # Errors
/// A text that is no number.
pub fn number(field: &str, text: &str, expected: &str) -> Result<Option<f64>, BadField> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let read = text.replace(',', ".").parse::<f64>().ok();
    match read.filter(|n| n.is_finite()) {
        Some(number) => Ok(Some(number)),
        None => Err(BadField::new(field, text, expected)),
    }
}

/// As short as it is exact.
pub fn number_text(value: Option<f64>) -> String {
    value.map(|v| v.to_string()).unwrap_or_default()
}

/// The parts of the set-up that a page asks for.
pub fn setup_texts(setup: &Setup, length_mm: Option<f64>) -> Texts {
    [
        ("length_mm", number_text(length_mm)),
        ("yaw", number_text(Some(setup.yaw_sd_deg))),
        ("placing", quantity::written(setup.placing_sd_px, 1)),
    ]
    .into_iter()
    .map(|(key, text)| (key.to_owned(), text))
    .collect()
}

/// Set-up and known length with what was typed.
///
/// # Errors
/// The first text that is no number, or none that a set-up can have.
pub fn setup_applied<'t>(
    setup: &mut Setup,
    length_mm: &mut Option<f64>,
    changed: &impl Fn(&str) -> Option<&'t str>,
) -> Result<(), BadField> {
    if let Some(text) = changed("length_mm") {
        *length_mm = number("length_mm", text, "a length in mm such as 100")?;
        let good = |mm: f64| (1.0..=5000.0).contains(&mm);
        if length_mm.is_some_and(|mm| !good(mm)) {
            return Err(BadField::new("length_mm", text, "a length of 1 to 5000 mm"));
        }
    }
    let usual = Setup::default();
    if let Some(text) = changed("yaw") {
        let typed = number("yaw", text, "degrees such as 5")?;
        setup.yaw_sd_deg = typed.unwrap_or(usual.yaw_sd_deg);
        setup.checked().map_err(|e| BadField::said("yaw", &e))?;
    }
    if let Some(text) = changed("placing") {
        let typed = number("placing", text, "pixels such as 2")?;
        setup.placing_sd_px = typed.unwrap_or(usual.placing_sd_px);
        setup.checked().map_err(|e| BadField::said("placing", &e))?;
    }
    Ok(())
}

/// A text that differs from what the page showed.
pub fn changed<'t>(typed: &'t Texts, own: &Texts, key: &str) -> Option<&'t str> {
    let is = typed.get(key)?.trim();
    (own.get(key).map_or("", String::as_str) != is).then_some(is)
}

#[cfg(test)]
mod tests {
    use super::*;
    use motion::work::{PhotoWork, View};

    fn wanted(key: &str) -> Wanted {
        let all = PhotoWork::new(View::Behind, 100, 100).wanted();
        all.into_iter().find(|w| w.key == key).unwrap()
    }

    #[test]
    fn toes_are_many_none_or_not_looked_for_and_other_points_are_one() {
        let toes = wanted("left-toes");
        assert_eq!(parsed(&toes, " "), Ok(None));
        assert_eq!(parsed(&toes, "None"), Ok(Some(vec![])));
        let two = parsed(&toes, "1, 2; 3.5, 4").unwrap().unwrap();
        assert_eq!(two, [Spot::new(1.0, 2.0), Spot::new(3.5, 4.0)]);
        let heel = wanted("left-heel-upper");
        assert_eq!(parsed(&heel, "7, 8").unwrap().unwrap().len(), 1);
        for bad in ["7, 8; 9, 10", "none", "7", "x, y", "NaN, 2", "1, inf"] {
            let said = parsed(&heel, bad).unwrap_err();
            assert!(said.sentence.contains("expected a place"), "{said:?}");
        }
    }

    #[test]
    fn what_a_field_shows_comes_back_as_the_same_points() {
        let all = PhotoWork::new(View::Behind, 100, 100).wanted();
        let mut spots = Spots::new();
        spots.insert("left-toes".into(), vec![]);
        spots.insert("right-toes".into(), vec![Spot::new(1.5, 2.5); 2]);
        spots.insert("left-leg-upper".into(), vec![Spot::new(50.0, 7.5)]);
        let texts = texts_of(&spots, &all);
        let mut back = Spots::new();
        for w in &all {
            if let Some(list) = parsed(w, &texts[&w.key]).unwrap() {
                back.insert(w.key.clone(), list);
            }
        }
        assert_eq!(back, spots);
    }
}

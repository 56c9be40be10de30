//! Points, corrections, the known length and the rule change, and the rises are read again.

use super::page;
use crate::captures::base::{Answer, BadField, Base, Texts, answered, refused};
use crate::captures::points::{
    self, changed, number, number_text, parsed, setup_applied, setup_texts, spot_text,
};
use crate::context::Context;
use crate::error::PageError;
use axum::response::Response;
use motion::RiseReadings;
use motion::rise::Rule;
use motion::steps::Point;
use motion::work::clip::{CLIP_FORMAT, CLIP_VERSION};
use motion::work::{ClipWork, kept_rises, point_key};
use record::Kept;
use terms::Side;

pub const READINGS_FORMAT: &str = "tiebeam-rise-readings";

/// A clip as its page needs it.
pub struct OpenClip {
    pub base: Base,
    pub work: ClipWork,
    /// `None` before anything was followed, and while the points are newer than what was followed.
    pub readings: Option<RiseReadings>,
}

/// What was done, without reading it: enough for a frame and its points.
///
/// # Errors
/// Steps that another program wrote.
pub fn work_of(base: &Base) -> Result<ClipWork, PageError> {
    Ok(base.kept.steps.read(CLIP_FORMAT, CLIP_VERSION)?)
}

/// # Errors
/// Steps that another program wrote.
pub fn open(base: Base) -> Result<OpenClip, PageError> {
    let work = work_of(&base)?;
    let readings = work
        .read()
        .map_err(|e| PageError::input(crate::error::sentence(&e.to_string())))?;
    Ok(OpenClip {
        base,
        work,
        readings,
    })
}

/// # Errors
/// Never for points that could be read.
pub fn kept(work: &ClipWork, readings: Option<&RiseReadings>) -> Result<(Kept, Kept), PageError> {
    let readings = readings.map_or_else(|| serde_json::json!({ "readings": [] }), kept_rises);
    Ok((
        Kept::of(CLIP_FORMAT, CLIP_VERSION, work)?,
        Kept::of(READINGS_FORMAT, 1, &readings)?,
    ))
}

const LEGS: [Side; 2] = [Side::Left, Side::Right];

/// Every step as its field shows it in a frame.
pub fn texts(work: &ClipWork, frame: usize) -> Texts {
    let mut all = points::texts_of(&work.spots, &work.wanted());
    for side in LEGS {
        for point in Point::ALL {
            let at = work.place(side, point, frame);
            all.insert(
                point_key(side, point),
                at.map(spot_text).unwrap_or_default(),
            );
        }
    }
    all.extend(setup_texts(&work.setup, work.length_mm));
    all.insert("beat".into(), number_text(work.beat_per_min));
    all.extend(rule_texts(work.rule));
    all
}

/// The work with what was typed at a frame.
///
/// # Errors
/// The first text that is no such step.
pub fn applied(work: &ClipWork, frame: usize, typed: &Texts) -> Result<ClipWork, BadField> {
    let own = texts(work, frame);
    let changed = |key: &str| changed(typed, &own, key);
    let mut new = work.clone();
    for wanted in work.wanted() {
        let Some(text) = changed(&wanted.key) else {
            continue;
        };
        let spots = parsed(&wanted, text)?;
        let leg = LEGS
            .into_iter()
            .flat_map(|s| Point::ALL.map(|p| (s, p)))
            .find(|(s, p)| point_key(*s, *p) == wanted.key);
        match (leg, spots) {
            (Some((side, point)), spots) => {
                let at = spots.and_then(|s| s.first().copied());
                new.set_point(side, point, frame, at);
            }
            (None, Some(spots)) => {
                new.spots.insert(wanted.key, spots);
            }
            (None, None) => {
                new.spots.remove(&wanted.key);
            }
        }
    }
    setup_applied(&mut new.setup, &mut new.length_mm, &changed)?;
    if let Some(text) = changed("beat") {
        new.beat_per_min = number("beat", text, "rises a minute such as 30")?;
        if new
            .beat_per_min
            .is_some_and(|b| !(5.0..=120.0).contains(&b))
        {
            return Err(BadField::new("beat", text, "5 to 120 rises a minute"));
        }
    }
    if ["rule", "rule_share", "rule_mm"]
        .iter()
        .any(|k| changed(k).is_some())
    {
        new.rule = rule(typed, &own)?;
    }
    Ok(new)
}

/// The rule as its fields show it.
pub fn rule_texts(rule: Rule) -> Texts {
    let (rule, share, mm) = match rule {
        Rule::AnyRise => ("any", None, None),
        Rule::ShareOfFirst { share } => ("share", Some(100.0 * share), None),
        Rule::Height { mm } => ("height", None, Some(mm)),
    };
    let texts = [rule.to_owned(), number_text(share), number_text(mm)];
    ["rule", "rule_share", "rule_mm"]
        .map(str::to_owned)
        .into_iter()
        .zip(texts)
        .collect()
}

/// # Errors
/// A rule without its number.
pub fn rule(typed: &Texts, own: &Texts) -> Result<Rule, BadField> {
    let get = |key: &str| {
        let text = typed.get(key).or(own.get(key));
        text.map_or("", |t| t.trim())
    };
    Ok(match get("rule") {
        "share" => {
            let expected = "a share of 5 to 100 %";
            let typed = number("rule_share", get("rule_share"), expected)?;
            let good = typed.filter(|s| (5.0..=100.0).contains(s));
            let percent =
                good.ok_or_else(|| BadField::new("rule_share", get("rule_share"), expected))?;
            Rule::ShareOfFirst {
                share: percent / 100.0,
            }
        }
        "height" => {
            let expected = "a height of 1 to 300 mm";
            let typed = number("rule_mm", get("rule_mm"), expected)?;
            let good = typed.filter(|mm| (1.0..=300.0).contains(mm));
            let mm = good.ok_or_else(|| BadField::new("rule_mm", get("rule_mm"), expected))?;
            Rule::Height { mm }
        }
        _ => Rule::AnyRise,
    })
}

/// The frame a form or an address is about.
pub fn frame_of(work: &ClipWork, text: Option<&str>) -> usize {
    let last = work.times_s.len().saturating_sub(1);
    let asked = text.and_then(|t| t.trim().parse::<usize>().ok());
    // People count from one.
    asked.map_or(work.frame, |n| n.saturating_sub(1)).min(last)
}

/// The texts of the page, at the frame it shows.
///
/// # Errors
/// Another revision than the one seen.
pub async fn save(
    context: &Context,
    base: Base,
    texts: &Texts,
    seen: u32,
) -> Result<Response, PageError> {
    let mut opened = open(base)?;
    let frame = frame_of(&opened.work, texts.get("frame").map(String::as_str));
    let work = match applied(&opened.work, frame, texts) {
        Ok(work) => work,
        Err(bad) => return refused(context, bad),
    };
    if work != opened.work {
        let readings = match work.read() {
            Ok(readings) => readings,
            Err(fault) => return refused(context, BadField::said("", &fault)),
        };
        let kept = kept(&work, readings.as_ref())?;
        opened = OpenClip {
            base: opened.base.save(context, kept, seen).await?,
            work,
            readings,
        };
    }
    answer(context, &opened, frame).await
}

/// What the page or its script gets of what stands now.
///
/// # Errors
/// No such visit.
pub async fn answer(
    context: &Context,
    opened: &OpenClip,
    frame: usize,
) -> Result<Response, PageError> {
    let base = &opened.base;
    answered(context, base.record.id, async {
        Ok(Answer {
            revision: base.kept.revision,
            can_undo: base.can_undo,
            svg: page::drawing(&opened.work, frame),
            readings: page::readings(context, opened).await?,
            texts: texts(&opened.work, frame),
        })
    })
    .await
}

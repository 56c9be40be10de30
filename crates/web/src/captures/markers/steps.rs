//! Labels and the rule change, and the rises are read again.

use super::page;
use crate::bench::preview::blocking;
use crate::captures::base::{Answer, BadField, Base, Texts, answered, refused};
use crate::captures::clip::steps::{READINGS_FORMAT, rule, rule_texts};
use crate::captures::points::changed;
use crate::context::Context;
use crate::error::PageError;
use axum::response::Response;
use motion::RiseReadings;
use motion::marker::{MarkerFile, Roles, plane::Up};
use motion::work::markers::{MARKERS_FORMAT, MARKERS_VERSION};
use motion::work::{MarkerWork, kept_rises};
use record::{CaptureRecord, Kept};
use std::sync::Arc;
use terms::Side;

/// A marker file as its page needs it.
pub struct OpenMarkers {
    pub base: Base,
    pub file: Arc<MarkerFile>,
    pub work: MarkerWork,
    pub readings: Option<RiseReadings>,
    /// Why there are none, where labels are chosen.
    pub refused: Option<String>,
}

/// The points of a leg as fields: key, label, and whether there are no readings without it.
pub const ROLES: [(&str, &str, bool); 5] = [
    ("heel", "Heel, lower", true),
    ("metatarsal", "Head of the second metatarsal", true),
    ("heel-upper", "Heel, upper", false),
    ("leg-lower", "Leg, lower, or a malleolus", false),
    ("leg-upper", "Leg, upper", false),
];

pub const LEGS: [Side; 2] = [Side::Left, Side::Right];

pub fn key(side: Side, role: &str) -> String {
    format!("{}-{role}", side.word())
}

/// # Errors
/// The file is not there or no longer what it was.
async fn file(context: &Context, record: &CaptureRecord) -> Result<Arc<MarkerFile>, PageError> {
    let bytes = context.state.store.capture_bytes(record.id).await?;
    let file = blocking(move || motion::marker::open(&bytes)).await?;
    file.map(Arc::new)
        .map_err(|e| PageError::input(crate::error::sentence(&e.to_string())))
}

fn read(work: &MarkerWork, file: &MarkerFile) -> (Option<RiseReadings>, Option<String>) {
    if work.roles.is_empty() {
        return (None, None);
    }
    match work.read(file) {
        Ok(readings) => (Some(readings), None),
        Err(why) => (None, Some(crate::error::sentence(&why.to_string()))),
    }
}

/// # Errors
/// Steps that another program wrote.
pub async fn open(context: &Context, base: Base) -> Result<OpenMarkers, PageError> {
    let work: MarkerWork = base.kept.steps.read(MARKERS_FORMAT, MARKERS_VERSION)?;
    let file = file(context, &base.record).await?;
    let (readings, refused) = read(&work, &file);
    Ok(OpenMarkers {
        base,
        file,
        work,
        readings,
        refused,
    })
}

/// # Errors
/// Never for a file that could be read.
pub fn kept(work: &MarkerWork, readings: Option<&RiseReadings>) -> Result<(Kept, Kept), PageError> {
    let readings = readings.map_or_else(|| serde_json::json!({ "readings": [] }), kept_rises);
    Ok((
        Kept::of(MARKERS_FORMAT, MARKERS_VERSION, work)?,
        Kept::of(READINGS_FORMAT, 1, &readings)?,
    ))
}

/// Every step as its field shows it.
pub fn texts(work: &MarkerWork) -> Texts {
    let mut all = Texts::new();
    for side in LEGS {
        let roles = work.roles.iter().find(|r| r.side == side);
        for (role, _, _) in ROLES {
            let label = roles.and_then(|r| match role {
                "heel" => Some(&r.heel),
                "metatarsal" => Some(&r.metatarsal),
                "heel-upper" => r.heel_upper.as_ref(),
                "leg-lower" => r.leg_lower.as_ref(),
                _ => r.leg_upper.as_ref(),
            });
            all.insert(key(side, role), label.cloned().unwrap_or_default());
        }
    }
    let up = match work.up {
        Up::X => "x",
        Up::Y => "y",
        Up::Z => "z",
    };
    all.insert("up".to_owned(), up.to_owned());
    all.extend(rule_texts(work.rule));
    all
}

/// The work with what was chosen.
///
/// # Errors
/// A leg with a label and no heel, a rule without its number.
pub fn applied(work: &MarkerWork, typed: &Texts) -> Result<MarkerWork, BadField> {
    let own = texts(work);
    let mut new = work.clone();
    new.roles = Vec::new();
    for side in LEGS {
        let get = |role: &str| {
            let key = key(side, role);
            let text = typed.get(&key).or(own.get(&key));
            text.map(|t| t.trim().to_owned()).filter(|t| !t.is_empty())
        };
        if ROLES.iter().all(|(role, _, _)| get(role).is_none()) {
            continue;
        }
        let must = |role: &str, what: &str| {
            let expected = format!("the label of the {what}, which every leg needs");
            get(role).ok_or_else(|| BadField::new(&key(side, role), "nothing", &expected))
        };
        new.roles.push(Roles {
            side,
            heel: must("heel", "lower heel")?,
            metatarsal: must("metatarsal", "metatarsal head")?,
            heel_upper: get("heel-upper"),
            leg_lower: get("leg-lower"),
            leg_upper: get("leg-upper"),
        });
    }
    match changed(typed, &own, "up") {
        Some("x") => new.up = Up::X,
        Some("y") => new.up = Up::Y,
        Some(_) => new.up = Up::Z,
        None => {}
    }
    let rules = ["rule", "rule_share", "rule_mm"];
    if rules.iter().any(|k| changed(typed, &own, k).is_some()) {
        new.rule = rule(typed, &own)?;
    }
    Ok(new)
}

/// The choices of the page.
///
/// # Errors
/// Another revision than the one seen.
pub async fn save(
    context: &Context,
    base: Base,
    texts: &Texts,
    seen: u32,
) -> Result<Response, PageError> {
    let mut opened = open(context, base).await?;
    let work = match applied(&opened.work, texts) {
        Ok(work) => work,
        Err(bad) => return refused(context, bad),
    };
    if work != opened.work {
        let (readings, why) = read(&work, &opened.file);
        let kept = kept(&work, readings.as_ref())?;
        opened = OpenMarkers {
            base: opened.base.save(context, kept, seen).await?,
            work,
            readings,
            refused: why,
            ..opened
        };
    }
    answer(context, &opened).await
}

/// What the page or its script gets of what stands now.
///
/// # Errors
/// No such visit.
pub async fn answer(context: &Context, opened: &OpenMarkers) -> Result<Response, PageError> {
    let base = &opened.base;
    answered(context, base.record.id, async {
        Ok(Answer {
            revision: base.kept.revision,
            can_undo: base.can_undo,
            svg: String::new(),
            readings: page::readings(context, opened).await?,
            texts: texts(&opened.work),
        })
    })
    .await
}

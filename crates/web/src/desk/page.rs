//! The film desk's page. With script the desk takes over the film and the list of points; without it
//! the same film stands as a picture, the points as a table of numbers and the readings below it.

use crate::{
    access::readings,
    adapt::rows::{self, RefusedRow, Row},
    context::Context,
    desk::{
        cache::{self, OpenFilm},
        live::{self, Wanted, in_hand, keep_points, points_of, read_again},
        own_error,
    },
    error::PageError,
    layout::{Nav, Shell, page},
    today::film_words,
    words,
};
use askama::Template;
use axum::{
    extract::{Form, Path, Query},
    response::{Redirect, Response},
};
use film::{
    ScaleWish,
    scale::{self, ObjectDistance},
};
use record::{FilmId, FilmRecord, WearGrade, WearGrades};
use serde::Deserialize;
use std::collections::BTreeMap;
use terms::{Joint, Side, Stance, View, Worn};

#[derive(Template)]
#[template(path = "desk/desk.html")]
pub struct DeskPage {
    pub shell: Shell,
    pub id: String,
    /// Tag and own name of each language of the reading sheet but English.
    pub languages: Vec<(&'static str, String)>,
    pub again: bool,
    /// Tables instead of the desk.
    pub plain: bool,
    pub title: String,
    pub patient: String,
    pub name: String,
    /// Neither whose film it is nor what others read.
    pub blinded: bool,
    /// May take it, or what was read from it, out of the practice.
    pub may_take_out: bool,
    /// Who can be asked to read it a second time: account, name, asked already.
    pub readers: Vec<(String, String, bool)>,
    pub visit: String,
    pub taken: String,
    pub file: FileFacts,
    pub notes: Vec<String>,
    pub facts: Facts,
    pub scale_words: String,
    pub scale_from: &'static str,
    pub placing: Placing,
    pub points: Vec<PointRow>,
    pub rows: Vec<Row>,
    pub refused: Vec<RefusedRow>,
    pub warnings: Vec<String>,
    pub wear: Vec<WearRow>,
    pub wear_revision: u32,
    pub placings: Vec<PlacingRow>,
}

pub struct FileFacts {
    pub name: String,
    pub size: String,
    pub packing: String,
}

/// View, side, stance and what was worn as radio groups: key, words, chosen.
pub struct Facts {
    pub views: Vec<Pick>,
    pub sides: Vec<Pick>,
    pub stances: Vec<Pick>,
    pub worn: Vec<Pick>,
    pub taken_on: String,
    pub told: Vec<String>,
    /// Something is not said yet; the form stands open.
    pub open: bool,
    /// Points wait until the view is known.
    pub view_known: bool,
}

pub struct Pick {
    pub key: &'static str,
    pub words: &'static str,
    pub chosen: bool,
}

pub struct Placing {
    pub id: Option<String>,
    pub finished: bool,
    pub who: String,
}

pub struct PointRow {
    pub key: String,
    pub name: String,
    pub definition: String,
    pub drawing: String,
    pub optional: bool,
    pub x: String,
    pub y: String,
}

pub struct WearRow {
    pub key: String,
    pub words: &'static str,
    pub grade: Option<u8>,
}

impl WearRow {
    fn has(&self, grade: &u8) -> bool {
        self.grade == Some(*grade)
    }
}

pub struct PlacingRow {
    pub who: String,
    pub when: String,
    pub attempt: u32,
    pub finished: bool,
}

/// `GET /film/{id}`
pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let again = !wanted.again.is_empty();
    let store = &context.state.store;
    let visit = store.visit(open.record.visit).await?;
    let mut placings = store.points_of(open.record.id).await?;
    if context.blinded {
        placings.retain(|p| p.reader == context.worker.id);
    }
    let wear = store.wear(open.record.id).await?;
    let hand = if open.record.view.is_some() {
        in_hand(&context, &open, again).await?
    } else {
        None
    };
    let points = hand.as_ref().map(points_of).unwrap_or_default();
    let (mut reading_rows, mut refused, mut warnings) = (Vec::new(), Vec::new(), Vec::new());
    if !points.is_empty() {
        let set = open.point_set(&points)?;
        let reader = own_error::reader(&context.state, context.worker.id, set.view).await?;
        let sheet = open.read(&reader, &set);
        reading_rows = rows::rows(context.state.knowledge, &sheet, &open.person);
        refused = rows::refused(context.state.knowledge, &sheet, open.person.age_years);
        warnings = sheet
            .warnings
            .iter()
            .map(|w| {
                crate::error::sentence(&rows::with_names(context.state.knowledge, &w.sentence))
            })
            .collect();
    }
    let name = match context.blinded {
        true => "A film to read".to_owned(),
        false => words::full_name(&open.patient),
    };
    let title = format!("{name}, {}", film_words(&open.record));
    let readers = readings::view(&context, open.record.id).await?.readers;
    let mut shell = context.shell(title, Nav::Inside);
    shell.desk = true;
    let offset = context.now.offset();
    page(&DeskPage {
        shell,
        id: open.record.id.to_string(),
        languages: crate::letters::spoken::others(),
        again,
        plain: !wanted.plain.is_empty(),
        title: film_words(&open.record),
        patient: open.patient.id.to_string(),
        name,
        blinded: context.blinded,
        may_take_out: !context.blinded && context.who.may(account::Action::TakeOut),
        readers,
        visit: visit.id.to_string(),
        taken: open.record.taken_on.map_or_else(
            || "day not said".to_owned(),
            |d| format!("taken {}", words::short_day(d)),
        ),
        file: FileFacts {
            name: open.record.file_name.clone(),
            size: format!("{} × {} px", open.record.width_px, open.record.height_px),
            packing: open.plate.header.packing.clone(),
        },
        notes: open.notes(),
        facts: facts(&open),
        scale_words: open.scale_words(),
        scale_from: match cache::wish_of(&open.record) {
            ScaleWish::File { .. } => "file",
            ScaleWish::Ball { .. } => "ball",
            ScaleWish::KnownLength { .. } => "length",
            ScaleWish::None => "none",
        },
        placing: Placing {
            id: hand.as_ref().map(|p| p.id.to_string()),
            finished: hand.as_ref().is_some_and(|p| p.finished),
            who: hand
                .as_ref()
                .map_or_else(|| context.worker.name.clone(), |p| p.reader_name.clone()),
        },
        points: point_rows(&context, &open, &points),
        rows: reading_rows,
        refused,
        warnings,
        wear: Joint::ALL
            .into_iter()
            .map(|joint| WearRow {
                key: joint_key(joint),
                words: joint.words(),
                grade: wear
                    .as_ref()
                    .and_then(|w| w.grades.get(&joint))
                    .map(|g| g.get()),
            })
            .collect(),
        wear_revision: wear.as_ref().map_or(0, |w| w.revision),
        placings: placings
            .iter()
            .map(|p| PlacingRow {
                who: p.reader_name.clone(),
                when: words::moment(p.placed_at, offset),
                attempt: p.attempt,
                finished: p.finished,
            })
            .collect(),
    })
}

fn point_rows(
    context: &Context,
    open: &OpenFilm,
    points: &BTreeMap<String, [f64; 2]>,
) -> Vec<PointRow> {
    let Some(view) = open.record.view else {
        return Vec::new();
    };
    let text = |v: f64| format!("{v:.1}");
    context
        .state
        .knowledge
        .landmarks(view)
        .into_iter()
        .map(|l| {
            let at = points.get(l.key.as_str());
            PointRow {
                key: l.key.to_string(),
                name: l.name.clone(),
                definition: match l.at_age(open.person.age_years) {
                    Some(age) => format!("{} {age}", l.definition),
                    None => l.definition.clone(),
                },
                drawing: live::landmark_svg(l),
                optional: l.optional,
                x: at.map(|p| text(p[0])).unwrap_or_default(),
                y: at.map(|p| text(p[1])).unwrap_or_default(),
            }
        })
        .collect()
}

fn facts(open: &OpenFilm) -> Facts {
    let r = &open.record;
    let header = &open.plate.header;
    let told = [
        ("View", header.view.is_some().then_some(&header.view_told)),
        ("Side", header.side.is_some().then_some(&header.side_told)),
        (
            "Standing",
            (header.stance != Stance::Unknown).then_some(&header.stance_told),
        ),
    ];
    Facts {
        views: View::ALL
            .into_iter()
            .map(|v| Pick {
                key: v.key(),
                words: v.words(),
                chosen: r.view == Some(v),
            })
            .collect(),
        sides: Side::BOTH
            .into_iter()
            .map(|s| Pick {
                key: s.word(),
                words: s.word(),
                chosen: r.side == Some(s),
            })
            .collect(),
        stances: [
            (Stance::Standing, "yes, standing"),
            (Stance::NotStanding, "no, not standing"),
            (Stance::Unknown, "not known"),
        ]
        .into_iter()
        .map(|(s, words)| Pick {
            key: stance_key(s),
            words,
            chosen: r.stance == s,
        })
        .collect(),
        worn: Worn::ALL
            .into_iter()
            .map(|w| Pick {
                key: w.key(),
                words: w.words(),
                chosen: r.worn == Some(w),
            })
            .chain([Pick {
                key: "unknown",
                words: "not known",
                chosen: r.worn.is_none(),
            }])
            .collect(),
        taken_on: r.taken_on.map(words::iso_day).unwrap_or_default(),
        told: told
            .into_iter()
            .filter_map(|(what, told)| Some(format!("{what}: {}.", told?.as_ref()?.words())))
            .collect(),
        open: r.view.is_none() || r.side.is_none() || r.stance == Stance::Unknown,
        view_known: r.view.is_some(),
    }
}

fn stance_key(stance: Stance) -> &'static str {
    match stance {
        Stance::Standing => "standing",
        Stance::NotStanding => "not-standing",
        Stance::Unknown => "unknown",
    }
}

fn joint_key(joint: Joint) -> String {
    serde_json::to_value(joint)
        .ok()
        .and_then(|v| v.as_str().map(str::to_owned))
        .unwrap_or_default()
}

#[derive(Debug, Default, Deserialize)]
pub struct FactsForm {
    #[serde(default)]
    view: String,
    #[serde(default)]
    side: String,
    #[serde(default)]
    stance: String,
    #[serde(default)]
    worn: String,
    #[serde(default)]
    taken_on: String,
}

/// `POST /film/{id}/facts`: view, side, stance, what was worn and day, as the clinician says.
pub async fn save_facts(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<FactsForm>,
) -> Result<Redirect, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let view = View::from_key(&form.view);
    if view != open.record.view
        && !context
            .state
            .store
            .points_of(open.record.id)
            .await?
            .is_empty()
    {
        return Err(PageError::NotNow {
            sentence: "points were placed on this film as another view; take the film in once more to read it as this view".to_owned(),
        });
    }
    let taken_on = match form.taken_on.trim() {
        "" => None,
        text => Some(words::parse_day(text).ok_or_else(|| {
            PageError::input(
                "the day the film was taken is no day of the calendar; expected year-month-day",
            )
        })?),
    };
    if let Some(day) = taken_on {
        let patient = context.state.store.patient(open.record.patient).await?;
        words::check_day("the day the film was taken", day, &patient, context.today())?;
    }
    let record = FilmRecord {
        view,
        side: Side::BOTH.into_iter().find(|s| s.word() == form.side),
        stance: match form.stance.as_str() {
            "standing" => Stance::Standing,
            "not-standing" => Stance::NotStanding,
            _ => Stance::Unknown,
        },
        worn: Worn::from_key(&form.worn),
        taken_on,
        ..open.record.clone()
    };
    let changed = record.side != open.record.side || record.stance != open.record.stance;
    let open = cache::save_record(&context.state, context.stamp(), &open, record).await?;
    if changed {
        read_again(&context, &open).await?;
    }
    Ok(Redirect::to(&format!("/film/{}", open.record.id)))
}

/// `POST /film/{id}/points-table`: the points as numbers, for pages without script.
pub async fn save_table(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let mut points = BTreeMap::new();
    for (name, text) in &form {
        let Some(key) = name.strip_prefix("x-") else {
            continue;
        };
        let y = form.get(&format!("y-{key}")).map_or("", |t| t.trim());
        match (text.trim(), y) {
            ("", "") => {}
            (x, y) => {
                let number = |t: &str| {
                    t.replace(',', ".")
                        .parse::<f64>()
                        .ok()
                        .filter(|v| v.is_finite())
                };
                let (Some(x), Some(y)) = (number(x), number(y)) else {
                    return Err(PageError::input(
                        "found a point with one number missing or not a number; expected x and y in film pixels, or both left open",
                    ));
                };
                points.insert(key.to_owned(), [x, y]);
            }
        }
    }
    let known = form
        .get("points_id")
        .map(|t| t.trim())
        .filter(|t| !t.is_empty())
        .map(str::parse)
        .transpose()?;
    let finished = form.get("act").is_some_and(|act| act == "finish");
    keep_points(&context, &open, &points, finished, known).await?;
    let plain = if form.contains_key("plain") {
        "?plain=yes"
    } else {
        ""
    };
    Ok(Redirect::to(&format!(
        "/film/{}{plain}#readings",
        open.record.id
    )))
}

#[derive(Debug, Default, Deserialize)]
pub struct ScaleForm {
    #[serde(default)]
    from: String,
    #[serde(default)]
    length_mm: String,
    #[serde(default)]
    diameter_mm: String,
    #[serde(default)]
    object_mm: String,
    #[serde(default)]
    x1: String,
    #[serde(default)]
    y1: String,
    #[serde(default)]
    x2: String,
    #[serde(default)]
    y2: String,
    #[serde(default)]
    x3: String,
    #[serde(default)]
    y3: String,
}

impl ScaleForm {
    fn wish(&self) -> Result<ScaleWish, PageError> {
        let number = |text: &str, what: &str| {
            let value = text
                .trim()
                .replace(',', ".")
                .parse::<f64>()
                .ok()
                .filter(|v| v.is_finite());
            value.ok_or_else(|| {
                PageError::input(format!(
                    "found no number for {what}; expected one such as 25.4"
                ))
            })
        };
        let mark = |x: &str, y: &str, what: &str| -> Result<[f64; 2], PageError> {
            Ok([number(x, what)?, number(y, what)?])
        };
        Ok(match self.from.as_str() {
            "length" => ScaleWish::KnownLength {
                length_mm: number(&self.length_mm, "the length in millimetres")?,
                length_se_mm: scale::LENGTH_SE_MM,
                from_px: mark(&self.x1, &self.y1, "the first mark")?,
                to_px: mark(&self.x2, &self.y2, "the second mark")?,
                point_se_px: scale::MARK_SE_PX,
            },
            "ball" => ScaleWish::Ball {
                diameter_mm: number(&self.diameter_mm, "the ball's diameter in millimetres")?,
                diameter_se_mm: scale::BALL_SE_MM,
                edge_points_px: vec![
                    mark(&self.x1, &self.y1, "the first mark")?,
                    mark(&self.x2, &self.y2, "the second mark")?,
                    mark(&self.x3, &self.y3, "the third mark")?,
                ],
                point_se_px: scale::MARK_SE_PX,
            },
            "none" => ScaleWish::None,
            _ => ScaleWish::File {
                object: match self.object_mm.trim() {
                    "" => None,
                    text => Some(ObjectDistance {
                        mm: number(text, "the distance of the foot's middle from the detector")?,
                        se_mm: scale::OBJECT_SE_MM,
                    }),
                },
            },
        })
    }
}

/// `POST /film/{id}/scale-form`
pub async fn save_scale(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<ScaleForm>,
) -> Result<Redirect, PageError> {
    let id: FilmId = id.parse()?;
    live::wish_scale(&context, id, &form.wish()?).await?;
    Ok(Redirect::to(&format!("/film/{id}#scale")))
}

/// `POST /film/{id}/turn-form`: a quarter turn, a mirror, or as stored.
pub async fn save_turn(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let now = crate::desk::drawing::film_turn(open.record.turn);
    let next = match form.get("turn").map(String::as_str) {
        Some("quarter") => now.clockwise(),
        Some("mirror") => now.mirror(),
        _ => film::Turn::NONE,
    };
    let turn = record::DisplayTurn {
        quarter_turns: next.quarters % 4,
        mirrored: next.mirrored,
    };
    let record = FilmRecord {
        turn,
        ..open.record.clone()
    };
    cache::save_record(&context.state, context.stamp(), &open, record).await?;
    Ok(Redirect::to(&format!("/film/{}", open.record.id)))
}

/// `POST /film/{id}/wear`: joint wear 0 to 4; a joint left open stays ungraded.
pub async fn save_wear(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let id: FilmId = id.parse()?;
    let seen = form
        .get("revision")
        .and_then(|r| r.parse().ok())
        .unwrap_or(0);
    let mut grades = WearGrades::new();
    for joint in Joint::ALL {
        let text = form.get(&joint_key(joint)).map_or("", |t| t.trim());
        if text.is_empty() {
            continue;
        }
        let grade = text.parse::<u8>().map_err(|_| {
            PageError::input("found a wear grade that is no number; expected 0 to 4")
        })?;
        grades.insert(
            joint,
            WearGrade::new(grade).map_err(|bad| PageError::input(bad.to_string()))?,
        );
    }
    context
        .state
        .store
        .save_wear(context.stamp(), id, grades, seen)
        .await?;
    Ok(Redirect::to(&format!("/film/{id}#wear")))
}

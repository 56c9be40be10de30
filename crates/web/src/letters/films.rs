//! Which films of a visit go on paper, and which of them with a picture?
//!
//! Every film with readings is told. A picture takes half a page, so only the most telling have one.

use crate::adapt::person::person_on;
use crate::adapt::readings::standing;
use crate::context::Context;
use crate::desk::cache::{self, OpenFilm};
use crate::desk::drawing::{DrawWish, film_turn, overlay_model};
use crate::desk::live::points_of;
use crate::desk::picture::{Look, small_png};
use crate::error::PageError;
use crate::visit::gather::{Gathered, VisitFilm};
use crate::words;
use knowledge::{Knowledge, yardstick::Person};
use letter::{Film, Picture, Words};
use reading::{ReadingSheet, Summary, against};
use record::{FilmRecord, PointsRecord};
use std::cmp::Reverse;
use std::sync::Arc;
use terms::{Side, Stance};

/// Pictures in one letter.
const MOST_PICTURES: usize = 2;
/// Across about 13 cm of paper this is more than 200 dots an inch.
const PICTURE_WIDTH: u32 = 1200;

/// A film with all that is printed of it.
pub struct PaperFilm {
    pub title: String,
    pub side: Option<Side>,
    pub taken_on: Option<String>,
    pub scale: Option<String>,
    pub person: Person,
    pub sheet: ReadingSheet,
    /// Its name within the letter, and the PNG file.
    pub picture: Option<(String, Vec<u8>)>,
}

impl PaperFilm {
    pub fn film<'a>(&'a self, knowledge: &Knowledge) -> Film<'a> {
        let mut film = Film::held_against(knowledge, &self.person, &self.title, &self.sheet);
        film.side = self.side;
        film.taken_on = self.taken_on.as_deref();
        film.scale = self.scale.as_deref();
        film.picture = self
            .picture
            .as_ref()
            .map(|(name, bytes)| Picture { name, bytes });
        film
    }
}

/// The films of a visit that were read, left before right, the most telling with their pictures.
///
/// # Errors
/// A film whose file cannot be opened any more.
pub async fn of_visit(
    context: &Context,
    g: &Gathered,
    in_words: &'static Words,
) -> Result<Vec<PaperFilm>, PageError> {
    let read: Vec<(&VisitFilm, &PointsRecord, &ReadingSheet)> = g
        .films
        .iter()
        .filter_map(|f| Some((f, f.placing.as_ref()?, f.sheet.as_ref()?)))
        .collect();
    let mut films = Vec::new();
    for (film, placing, sheet) in &read {
        let day = film.record.taken_on.unwrap_or(g.visit.on);
        films.push(PaperFilm {
            title: title(&film.record, placing.finished),
            side: film.record.side,
            taken_on: film.record.taken_on.map(words::day),
            scale: None,
            person: person_on(&g.patient, day),
            sheet: (*sheet).clone(),
            picture: None,
        });
    }
    for (number, place) in telling(context.state.knowledge, &films)
        .into_iter()
        .enumerate()
    {
        let (film, placing, sheet) = read[place];
        let open = cache::open(&context.state, film.record.id).await?;
        let png = annotated(context, &open, placing, sheet, in_words).await?;
        films[place].scale = Some(open.scale_words());
        films[place].picture = Some((format!("film-{}.png", number + 1), png));
    }
    films.sort_by_key(|f| (f.side, f.sheet.view));
    Ok(films)
}

/// `Lateral foot, left`, and what a reader has to know before trusting its readings.
pub fn title(record: &FilmRecord, finished: bool) -> String {
    let said = crate::today::film_words(record);
    let mut letters = said.chars();
    let first: String = letters
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    let rest = letters.as_str();
    let open = if finished {
        ""
    } else {
        ", points not finished"
    };
    format!("{first}{rest}{open}")
}

/// Places of the films with a picture: standing ones first, then those with most readings outside, one
/// of each view and side.
fn telling(knowledge: &Knowledge, films: &[PaperFilm]) -> Vec<usize> {
    let outside = |f: &PaperFilm| {
        let readings = f.sheet.readings.iter();
        readings
            .filter(|r| {
                matches!(
                    against(knowledge, r, &f.person).summary,
                    Summary::Outside(_)
                )
            })
            .count()
    };
    let mut order: Vec<usize> = (0..films.len())
        .filter(|i| !films[*i].sheet.readings.is_empty())
        .collect();
    order.sort_by_key(|i| {
        let film = &films[*i];
        let standing = film.sheet.stance == Stance::Standing;
        (
            Reverse(standing),
            Reverse(outside(film)),
            film.sheet.view,
            *i,
        )
    });
    let mut chosen: Vec<usize> = Vec::new();
    for i in order {
        let same = |c: &usize| {
            (films[*c].side, films[*c].sheet.view) == (films[i].side, films[i].sheet.view)
        };
        if chosen.len() < MOST_PICTURES && !chosen.iter().any(same) {
            chosen.push(i);
        }
    }
    chosen
}

/// The film with the points and lines of a placing, and the readings that were kept with it.
///
/// # Errors
/// Points that cannot be read back, or a picture that cannot be drawn.
pub async fn annotated(
    context: &Context,
    open: &Arc<OpenFilm>,
    placing: &PointsRecord,
    sheet: &ReadingSheet,
    in_words: &'static Words,
) -> Result<Vec<u8>, PageError> {
    let set = open.point_set(&points_of(placing))?;
    let picture = cache::picture(&context.state, open).await?;
    let (open, sheet, knowledge) = (open.clone(), sheet.clone(), context.state.knowledge);
    tokio::task::spawn_blocking(move || {
        let look: Look = serde_json::from_value(serde_json::json!({ "width": PICTURE_WIDTH }))
            .map_err(|e| PageError::ours("drawing the film", e))?;
        let (png, full_width) = small_png(&open, &picture, &look)?;
        let width = full_width.min(PICTURE_WIDTH);
        let (w, h) = (open.record.width_px, open.record.height_px);
        let shown = film_turn(open.record.turn).shown_size(w, h).0;
        let wish = DrawWish {
            turn: open.record.turn,
            pen: f64::from(shown) / f64::from(width) * 1.2,
            active: None,
            with_points: true,
        };
        let mut model = overlay_model(knowledge, &open, &set, &sheet, &wish);
        letter::compose::overlay_in(in_words, knowledge, &mut model);
        figure::annotated_film_png(&png, &model, width)
            .map_err(|e| PageError::ours("drawing over the film", e))
    })
    .await
    .map_err(|e| PageError::ours("drawing the film", e))?
}

/// A film with the placing that stands for it, ready for its sheet.
///
/// # Errors
/// No points yet, or a sheet that an older program kept in another way.
pub async fn for_sheet(
    context: &Context,
    open: &Arc<OpenFilm>,
    in_words: &'static Words,
) -> Result<(PaperFilm, PointsRecord), PageError> {
    let not_now = |sentence: &str| PageError::NotNow {
        sentence: sentence.to_owned(),
    };
    let placings = context.state.store.points_of(open.record.id).await?;
    let placing = standing(&placings).cloned().ok_or_else(|| {
        not_now("no points are placed on this film yet; place them, then ask for the sheet")
    })?;
    let sheet: ReadingSheet = serde_json::from_value(placing.sheet.body.clone()).map_err(|_| {
        not_now("these readings were kept in another way by an older program; place the points once more to read the film again")
    })?;
    let png = annotated(context, open, &placing, &sheet, in_words).await?;
    let film = PaperFilm {
        title: title(&open.record, placing.finished),
        side: open.record.side,
        taken_on: open.record.taken_on.map(words::day),
        scale: Some(open.scale_words()),
        person: open.person,
        sheet,
        picture: Some(("film-1.png".into(), png)),
    };
    Ok((film, placing))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{not_standing, read_film};
    use super::*;
    use terms::View;

    #[test]
    fn a_standing_film_is_shown_before_one_taken_lying_and_each_view_once() {
        let films = [
            not_standing(read_film(Side::Left)),
            read_film(Side::Left),
            read_film(Side::Left),
            read_film(Side::Right),
        ];
        assert_eq!(telling(Knowledge::built_in(), &films), [1, 3]);
    }

    #[test]
    fn a_film_from_which_nothing_was_read_has_no_picture() {
        let mut film = read_film(Side::Left);
        film.sheet.readings.clear();
        assert!(telling(Knowledge::built_in(), &[film]).is_empty());
    }

    #[test]
    fn a_title_says_when_points_are_not_finished() {
        let mut record = super::super::tests::film_record();
        record.view = Some(View::Lateral);
        record.side = Some(Side::Left);
        assert_eq!(title(&record, true), "Lateral foot, left");
        assert_eq!(
            title(&record, false),
            "Lateral foot, left, points not finished"
        );
    }
}

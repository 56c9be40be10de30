//! Known sets through the tables of the page: the numbers must be those of the papers and of
//! [`reading::agreement`].

use super::{
    film,
    numbers::{FEWEST_FOR_OWN_CHANGE, Section, section},
    pool::{self, Feet, FilmPlacings, Kind, OneReading, Placing, Readers},
    practice::{self, Wish},
};
use crate::{
    assets::Assets,
    error::PageError,
    layout::{Shell, Theme},
};
use askama::Template;
use knowledge::Knowledge;
use quantity::{Estimate, Unit};
use reading::agreement::{bland_altman, icc, repeatability, sem, smallest_detectable_change};
use record::{ClinicianId, FilmId, PatientId};
use std::sync::Arc;
use terms::{MeasureKey, Side, Stance, View};
use time::OffsetDateTime;
use uuid::Uuid;

/// Peak flow of 17 people, large meter, first and second reading: Bland and Altman, Lancet
/// 1986;327:307, table 1.
const FIRST: [f64; 17] = [
    494., 395., 516., 434., 476., 557., 413., 442., 650., 433., 417., 656., 267., 478., 178., 423.,
    427.,
];
const SECOND: [f64; 17] = [
    490., 397., 512., 401., 470., 611., 415., 431., 638., 429., 420., 633., 275., 492., 165., 372.,
    421.,
];
/// Six subjects, four judges: Shrout and Fleiss, Psychol Bull 1979;86:420.
const JUDGES: [[f64; 4]; 6] = [
    [9., 2., 5., 8.],
    [6., 1., 3., 2.],
    [8., 4., 6., 8.],
    [7., 1., 2., 6.],
    [10., 5., 6., 9.],
    [6., 2., 4., 7.],
];

const STANDING: Kind = Kind {
    view: View::Lateral,
    stance: Stance::Standing,
    method: 1,
    unit: Unit::Degree,
};

fn pitch() -> MeasureKey {
    MeasureKey::new("calc_pitch").unwrap()
}

fn one(kind: Kind, side: Side, value: f64) -> OneReading {
    OneReading {
        measure: pitch(),
        kind,
        side: Some(side),
        estimate: Estimate::new(value, 1.0, kind.unit),
        placing_error: Some(0.5),
    }
}

fn placing(reader: u128, attempt: u32, reading: OneReading) -> Placing {
    Placing {
        reader: ClinicianId::new(Uuid::from_u128(reader)),
        reader_name: format!("Reader {reader}"),
        attempt,
        at: OffsetDateTime::UNIX_EPOCH,
        readings: vec![reading],
        unreadable: 0,
    }
}

/// A film of its own person; left and right by turns.
fn film_of(n: usize, placings: Vec<Placing>) -> FilmPlacings {
    FilmPlacings {
        film: FilmId::new(Uuid::from_u128(n as u128 + 1)),
        patient: PatientId::new(Uuid::from_u128(n as u128 + 1)),
        words: format!("film {n}"),
        placings,
    }
}

fn side(n: usize) -> Side {
    if n.is_multiple_of(2) {
        Side::Left
    } else {
        Side::Right
    }
}

fn read_twice() -> Vec<FilmPlacings> {
    FIRST
        .iter()
        .zip(SECOND)
        .enumerate()
        .map(|(n, (a, b))| {
            let by = |attempt, v| placing(1, attempt, one(STANDING, side(n), v));
            film_of(n, vec![by(1, *a), by(2, b)])
        })
        .collect()
}

fn judged() -> Vec<FilmPlacings> {
    JUDGES
        .iter()
        .enumerate()
        .map(|(n, row)| {
            let by = |(r, v): (usize, &f64)| placing(r as u128 + 1, 1, one(STANDING, side(n), *v));
            film_of(n, row.iter().enumerate().map(by).collect())
        })
        .collect()
}

fn said<'s>(section: &'s Section, name: &str) -> &'s str {
    let line = section.lines.iter().find(|l| l.name == name);
    &line.unwrap_or_else(|| panic!("no line {name}")).value
}

/// Origin: the paper's within-subject SD 15.31 and repeatability; the rest by `reading::agreement`,
/// which is itself held against the papers and a second implementation.
#[test]
fn repeats_of_one_reader_give_the_numbers_of_bland_and_altman_1986() {
    let pool = pool::pool(&read_twice(), &pitch(), STANDING, Feet::Both);
    assert_eq!(pool.repeats.len(), 1);
    assert!(pool.between.is_empty() && pool.left_out.is_empty());
    let table = &pool.repeats[0];
    assert_eq!(
        table.values(),
        FIRST
            .iter()
            .zip(SECOND)
            .map(|(a, b)| vec![*a, b])
            .collect::<Vec<_>>()
    );
    let s = section("x".into(), "Calcaneal pitch", Unit::Degree, table);
    assert_eq!(said(&s, "SD within a film"), "15.31°");
    let b = bland_altman(&FIRST, &SECOND).unwrap();
    let expected = format!(
        "{:.2}° (95 % −{:.2}° to {:.2}°)",
        b.bias, -b.bias_interval[0], b.bias_interval[1]
    );
    assert_eq!(said(&s, "Bias"), expected);
    let found = icc(&table.values()).unwrap();
    let error = sem(&found).agreement;
    assert_eq!(said(&s, "SEM, bias counted"), format!("{error:.2}°"));
    assert_eq!(
        said(&s, "Smallest detectable change"),
        format!("{:.2}°", smallest_detectable_change(error))
    );
    let coefficient = repeatability(&FIRST, &SECOND).unwrap().coefficient;
    assert!(
        s.lines[0].means.contains(&format!("{coefficient:.2}°")),
        "{}",
        s.lines[0].means
    );
    assert!(
        s.about.contains("17 films of 17 people: 9 left, 8 right"),
        "{}",
        s.about
    );
    assert!(s.figure.unwrap().contains("17 pairs"));
}

/// Origin: Shrout and Fleiss's printed .17 .29 .71 .44 .62 .91.
#[test]
fn readers_of_the_same_films_give_the_six_forms_of_shrout_and_fleiss() {
    let pool = pool::pool(&judged(), &pitch(), STANDING, Feet::Both);
    assert!(pool.repeats.is_empty());
    assert_eq!(
        pool.between.len(),
        7,
        "six pairs of four readers, and all four together"
    );
    let all = pool.between.last().unwrap();
    assert!(matches!(&all.readers, Readers::Several(names) if names.len() == 4));
    let s = section("x".into(), "Calcaneal pitch", Unit::Degree, all);
    let start = |text: &str, expected: &str| {
        assert!(text.starts_with(expected), "{text}, expected {expected}")
    };
    for (line, single, average) in [
        (0, "0.17", "0.44"),
        (1, "0.29", "0.62"),
        (2, "0.71", "0.91"),
    ] {
        start(
            &s.correlations[line].single,
            &format!("ICC({},1) = {single} (", line + 1),
        );
        start(
            &s.correlations[line].average,
            &format!("ICC({},4) = {average} (", line + 1),
        );
    }
    // McGraw and Wong's limits, recomputed outside: 0.01879 and 0.76108.
    assert_eq!(s.correlations[1].single, "ICC(2,1) = 0.29 (0.02 to 0.76)");
    assert!(s.figure.is_none(), "differences of pairs only");
}

#[test]
fn a_smallest_change_waits_for_ten_films() {
    let few = read_twice()[..FEWEST_FOR_OWN_CHANGE - 1].to_vec();
    let value_of = |films: &[FilmPlacings]| {
        let pool = pool::pool(films, &pitch(), STANDING, Feet::Both);
        said(
            &section("x".into(), "n", Unit::Degree, &pool.repeats[0]),
            "Smallest detectable change",
        )
        .to_owned()
    };
    assert_eq!(value_of(&few), "not given yet: 9 of 10 films");
    assert!(value_of(&read_twice()[..FEWEST_FOR_OWN_CHANGE]).ends_with('°'));
}

#[test]
fn one_film_read_twice_says_its_difference_and_no_correlation() {
    let pool = pool::pool(&read_twice()[..1], &pitch(), STANDING, Feet::Both);
    let s = section("x".into(), "n", Unit::Degree, &pool.repeats[0]);
    assert_eq!(s.rows[0].difference.as_deref(), Some("4.00°"));
    assert!(s.correlations.is_empty() && s.figure.is_none());
    assert_eq!(said(&s, "Difference"), "4.00°");
    assert!(s.lines.iter().all(|l| !l.means.contains("in 95 of 100")));
    assert!(
        s.no_correlation
            .unwrap()
            .starts_with("One film cannot tell")
    );
}

#[test]
fn stances_methods_and_contradicting_sides_are_never_paired_and_are_counted() {
    let lying = Kind {
        stance: Stance::NotStanding,
        ..STANDING
    };
    let newer = Kind {
        method: 2,
        ..STANDING
    };
    let films = vec![
        film_of(
            0,
            vec![
                placing(1, 1, one(STANDING, Side::Left, 10.)),
                placing(1, 2, one(lying, Side::Left, 20.)),
            ],
        ),
        film_of(
            1,
            vec![
                placing(1, 1, one(STANDING, Side::Left, 10.)),
                placing(1, 2, one(newer, Side::Left, 20.)),
            ],
        ),
        film_of(
            2,
            vec![
                placing(1, 1, one(STANDING, Side::Left, 10.)),
                placing(1, 2, one(STANDING, Side::Right, 20.)),
            ],
        ),
        film_of(
            3,
            vec![
                placing(1, 1, one(STANDING, Side::Left, 11.)),
                placing(1, 2, one(STANDING, Side::Left, 12.)),
            ],
        ),
        film_of(
            4,
            vec![
                placing(1, 1, one(newer, Side::Left, 13.)),
                placing(1, 2, one(newer, Side::Left, 14.)),
            ],
        ),
    ];
    let pool = pool::pool(&films, &pitch(), STANDING, Feet::Both);
    assert_eq!(pool.repeats[0].values(), vec![vec![11., 12.]]);
    assert_eq!(pool.left_out.len(), 2);
    assert!(pool.left_out[0].starts_with("2 × a second placing of another stance or method"));
    assert!(pool.left_out[1].starts_with("1 × placings that name different sides"));
    let kinds = pool::kinds(&films, &pitch());
    assert_eq!(
        kinds,
        vec![(newer, 1), (STANDING, 2)],
        "the newest method first"
    );
}

#[test]
fn one_foot_alone_can_be_asked_for_and_the_other_is_said_to_be_left_out() {
    let pool = pool::pool(&read_twice(), &pitch(), STANDING, Feet::Only(Side::Right));
    assert_eq!(pool.repeats[0].rows.len(), 8);
    assert!(pool.left_out[0].starts_with("9 × the other foot"));
}

#[test]
fn a_third_reading_does_not_enter_the_pair() {
    let by = |attempt, v| placing(1, attempt, one(STANDING, Side::Left, v));
    let pool = pool::pool(
        &[film_of(0, vec![by(1, 1.), by(2, 2.), by(3, 9.)])],
        &pitch(),
        STANDING,
        Feet::Both,
    );
    assert_eq!(pool.repeats[0].values(), vec![vec![1., 2.]]);
    assert!(pool.left_out[0].starts_with("1 × a third"));
}

#[test]
fn a_difference_beyond_placing_error_is_said_to_be_so() {
    let by = |reader, attempt, v| placing(reader, attempt, one(STANDING, Side::Left, v));
    // Placing errors 0.5 and 0.5: 1.96 · √0.5 = 1.386.
    let rows = film::rows(
        Knowledge::built_in(),
        &[by(1, 1, 10.0), by(1, 2, 11.3), by(2, 1, 11.5)],
    );
    let same = rows[0].same.as_ref().unwrap();
    let between = rows[0].between.as_ref().unwrap();
    assert_eq!(
        (same.difference.as_str(), same.judged),
        ("1.3°", "within placing error")
    );
    assert_eq!(
        (between.difference.as_str(), between.judged),
        ("1.5°", "more than placing error explains")
    );
    assert_eq!(rows[0].kind, None, "one kind only needs no word");
}

fn shell() -> Shell {
    Shell::bare("Agreement", Theme::Light, Arc::new(Assets::found()))
}

fn practice_page(films: &[FilmPlacings], wish: &Wish) -> Result<String, PageError> {
    Ok(practice::of(Knowledge::built_in(), films, wish, shell())?
        .render()
        .unwrap())
}

#[test]
fn the_page_names_the_kind_carries_no_style_and_refuses_what_it_does_not_know() {
    let html = practice_page(&read_twice(), &Wish::default()).unwrap();
    for part in [
        "lateral foot",
        "taken standing, method version 1",
        "15.31°",
        "<svg",
        "Calcaneal pitch",
        "17 films",
    ] {
        assert!(
            html.to_lowercase().contains(&part.to_lowercase()),
            "no {part}"
        );
    }
    assert!(!html.contains("style=") && !html.contains("<style"));
    let unknown = |measure: &str, feet: &str| {
        practice_page(
            &read_twice(),
            &Wish {
                measure: measure.into(),
                feet: feet.into(),
                ..Wish::default()
            },
        )
        .is_err()
    };
    assert!(unknown("no_such_measure", ""));
    assert!(unknown("calc_pitch", "third"));
    assert!(
        !unknown("meary_lat", ""),
        "a measure without pairs has a page that says so"
    );
}

#[test]
fn without_any_second_reading_the_page_says_what_to_do() {
    let html = practice_page(&[], &Wish::default()).unwrap();
    assert!(html.contains("No film has two finished placings yet."));
}

#[test]
fn a_reader_s_name_is_never_markup() {
    let mut films = read_twice();
    for p in films.iter_mut().flat_map(|f| &mut f.placings) {
        p.reader_name = "<b onclick=x>R & Co".to_owned();
    }
    let html = practice_page(&films, &Wish::default()).unwrap();
    assert!(!html.contains("<b onclick"));
}

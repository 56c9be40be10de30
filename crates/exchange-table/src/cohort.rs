//! Which columns has a row of one foot at one visit?

use crate::column::{Cell, Column, Field, Kind};
use crate::foot::{FootVisit, answer};
use exam::{Answer, Kind as Asked, Question, Sheet, function, score};
use exchange::measures::measures;
use knowledge::Knowledge;
use stage::Scheme;
use terms::{Joint, Sex};

type FootField = Field<FootVisit>;

/// All columns with how they are filled, in the order of the files.
pub fn fields(knowledge: &Knowledge) -> Vec<FootField> {
    let mut all = who();
    all.extend(stages());
    all.extend(plan());
    all.extend(scores());
    all.extend(wear());
    all.extend(of_measures(knowledge));
    all.extend(
        exam::form()
            .iter()
            .filter(|q| goes_in(q))
            .flat_map(of_question),
    );
    all
}

fn who() -> Vec<FootField> {
    let column = Column::new;
    vec![
        Field::new(
            column(
                "person",
                Kind::Text,
                "The person under the study's key; the same in both tables.",
            ),
            |f: &FootVisit| Cell::text(f.person.as_str()),
        ),
        Field::new(
            column(
                "visit_year",
                Kind::Whole,
                "Year of the visit; in Parquet it stands in the folder's name.",
            ),
            |f: &FootVisit| Cell::Whole(f.year),
        ),
        Field::new(
            column(
                "visit_number",
                Kind::Whole,
                "1 for the person's first visit.",
            ),
            |f: &FootVisit| Cell::Whole(f.visit_number),
        ),
        Field::new(
            column(
                "day_offset",
                Kind::Whole,
                "Days since the person's first visit.",
            )
            .unit("days"),
            |f: &FootVisit| Cell::Whole(f.day_offset),
        ),
        Field::new(
            column("side", Kind::Text, "Which foot.").coding("left; right"),
            |f: &FootVisit| Cell::text(f.side.word()),
        ),
        Field::new(
            column("sex", Kind::Text, "Sex as the yardsticks use it.").coding("female; male"),
            |f: &FootVisit| {
                Cell::word(f.sex.map(|s| match s {
                    Sex::Female => "female",
                    Sex::Male => "male",
                }))
            },
        ),
        Field::new(
            column(
                "age_years",
                Kind::Whole,
                "Completed years at the visit; 90 for everybody older.",
            )
            .unit("years"),
            |f: &FootVisit| Cell::whole(f.age_years),
        ),
    ]
}

fn stages() -> Vec<FootField> {
    let mut all = vec![
        Field::new(
            Column::new(
                "stage_decided",
                Kind::Text,
                "The stage the clinician decided on.",
            )
            .coding("a stage of one of the schemes; other = in words of their own, which stay out"),
            |f: &FootVisit| Cell::word(f.decided.as_deref()),
        ),
        Field::new(
            Column::new(
                "stage_overruled",
                Kind::Truth,
                "A reason was written down for deciding otherwise than the report.",
            ),
            |f: &FootVisit| f.overruled.map_or(Cell::Missing, Cell::Truth),
        ),
        Field::new(
            Column::new(
                "stage_proposed_consensus_2020",
                Kind::Text,
                "Classes of 2020 as the report shown had them; missing while one is open.",
            )
            .source("Myerson2020")
            .coding("1 = flexible, 2 = rigid, each before its classes A to E; no class"),
            |f: &FootVisit| {
                let consensus = f.report.as_ref().and_then(|r| r.consensus.as_ref());
                Cell::word(consensus.and_then(|c| c.string.as_deref()))
            },
        ),
    ];
    for (scheme, key) in [
        (Scheme::Tendon, "tendon"),
        (Scheme::ThreeColumn, "three_column"),
        (Scheme::Child, "child"),
        (Scheme::TrafficLight, "traffic_light"),
    ] {
        for (holds, what) in [(true, "holds"), (false, "possible")] {
            let meaning = format!(
                "{}: stages that {} by the report that was shown, parted by blanks.",
                scheme.words(),
                if holds { "hold" } else { "are not ruled out" }
            );
            all.push(Field::new(
                Column::new(format!("stage_proposed_{key}_{what}"), Kind::Text, meaning),
                move |f: &FootVisit| {
                    let Some(report) = &f.report else {
                        return Cell::Missing;
                    };
                    let found = report.schemes().into_iter().find(|s| s.scheme == scheme);
                    let stages = found.map(|s| if holds { s.holding() } else { s.possible() });
                    Cell::words(stages.unwrap_or_default())
                },
            ));
        }
    }
    all
}

fn plan() -> Vec<FootField> {
    let rungs: Vec<String> = care::Ladder::built_in()
        .rungs()
        .iter()
        .map(|r| format!("{} = {}", r.key, r.title))
        .collect();
    let coding = rungs.join("; ");
    vec![
        Field::new(
            Column::new(
                "rungs",
                Kind::Text,
                "Steps of care taken for this foot in the visit's plan, parted by blanks.",
            )
            .source("knowledge/ladder")
            .coding(coding.clone()),
            |f: &FootVisit| Cell::words(f.rungs.iter().map(String::as_str)),
        ),
        Field::new(
            Column::new(
                "worn",
                Kind::Text,
                "What the log of care says was worn on this foot on that day, parted by blanks.",
            )
            .source("knowledge/ladder")
            .coding(coding),
            |f: &FootVisit| Cell::words(f.worn.iter().map(String::as_str)),
        ),
    ]
}

fn scores() -> Vec<FootField> {
    let number = |name: &str, unit: &str, meaning: &str, source: &str| {
        Column::new(name, Kind::Number, meaning)
            .unit(unit)
            .source(source)
    };
    let ffi = |at: usize| {
        move |f: &FootVisit| {
            let index = function::foot_function(&f.sheet.story);
            Cell::number(index.and_then(|i| i.parts.get(at).copied().flatten()))
        }
    };
    vec![
        Field::new(
            Column::new(
                "posture_total",
                Kind::Whole,
                "Six-item posture total, −12 to 12; missing unless every item was looked at.",
            )
            .unit("points")
            .source("Redmond2006 Redmond2008"),
            |f: &FootVisit| Cell::whole(score::posture_total(&f.exam).exact().map(i64::from)),
        ),
        Field::new(
            Column::new(
                "laxity_total",
                Kind::Whole,
                "Nine-point laxity total; missing unless every item was looked at.",
            )
            .unit("points")
            .source("BMJBeighton"),
            |f: &FootVisit| Cell::whole(score::laxity_total(&f.sheet.story).exact().map(i64::from)),
        ),
        Field::new(
            number(
                "body_mass_index",
                "kg/m2",
                "Weight by height squared.",
                "common-practice",
            ),
            |f: &FootVisit| Cell::number(score::body_mass_index(&f.sheet.story)),
        ),
        Field::new(
            number(
                "foot_function_pain",
                "of 100",
                "Foot Function Index, pain; 0 is best.",
                "FFIrehab",
            ),
            ffi(0),
        ),
        Field::new(
            number(
                "foot_function_disability",
                "of 100",
                "Foot Function Index, disability; 0 is best.",
                "FFIrehab",
            ),
            ffi(1),
        ),
        Field::new(
            number(
                "foot_function_limitation",
                "of 100",
                "Foot Function Index, limitation; 0 is best.",
                "FFIrehab",
            ),
            ffi(2),
        ),
        Field::new(
            number(
                "foot_function_total",
                "of 100",
                "Foot Function Index, all sums over all that was possible; 0 is best.",
                "FFIrehab",
            ),
            |f: &FootVisit| {
                Cell::number(function::foot_function(&f.sheet.story).and_then(|i| i.total))
            },
        ),
        Field::new(
            number(
                "heel_rise_side_ratio",
                "",
                "Heel rises of this foot over those of the other.",
                "SleeswijkVisser2025",
            ),
            |f: &FootVisit| Cell::number(score::heel_rise_side_ratio(&f.exam, &f.other_exam)),
        ),
        Field::new(
            number(
                "dorsiflexion_gain",
                "deg",
                "What the ankle gains when the knee bends.",
                "common-practice",
            ),
            |f: &FootVisit| Cell::number(score::silfverskiold_gain(&f.exam)),
        ),
    ]
}

fn wear() -> Vec<FootField> {
    Joint::ALL
        .into_iter()
        .map(|joint| {
            let name = format!("wear_{}", joint.words().replace(' ', "_"));
            let meaning = format!(
                "Joint wear, {}: the highest grade on the visit's films of the foot.",
                joint.words()
            );
            Field::new(
                Column::new(name, Kind::Whole, meaning)
                    .unit("grade")
                    .source("common-practice")
                    .coding("0 = none to 4 = bone on bone"),
                move |f: &FootVisit| Cell::whole(f.wear.get(&joint).map(|g| i64::from(*g))),
            )
        })
        .collect()
}

/// Value, standard error, method version and reader of each measure. A reading kept in another unit stays out here
/// and stands in the long table with its own.
fn of_measures(knowledge: &Knowledge) -> Vec<FootField> {
    let mut all = Vec::new();
    for m in measures(knowledge) {
        let source = match m.sources.is_empty() {
            true => "method of the program".to_owned(),
            false => m.sources.join(" "),
        };
        let (key, unit) = (m.key.clone(), m.unit);
        let of = move |f: &FootVisit| f.measured.get(&key).filter(|v| v.unit == unit).cloned();
        let named = |what: &str, kind, meaning: String| {
            Column::new(format!("m_{}{what}", m.key), kind, meaning).source(source.clone())
        };
        let value = named("", Kind::Number, format!("{}. {}", m.name, m.words)).unit(unit.key());
        let error = named(
            "_se",
            Kind::Number,
            format!("{}: standard error of the reading.", m.name),
        )
        .unit(unit.key());
        let method = named(
            "_method",
            Kind::Whole,
            format!("{}: version of the construction.", m.name),
        );
        let get = of.clone();
        all.push(Field::new(value, move |f| {
            Cell::number(get(f).map(|v| v.value))
        }));
        let get = of.clone();
        all.push(Field::new(error, move |f| {
            Cell::number(get(f).map(|v| v.standard_error))
        }));
        let get = of.clone();
        all.push(Field::new(method, move |f| {
            Cell::whole(get(f).map(|v| i64::from(v.method_version)))
        }));
        if m.of_film {
            let reader = named(
                "_reader",
                Kind::Text,
                format!("{}: the reader under the study's key.", m.name),
            );
            all.push(Field::new(reader, move |f| {
                Cell::word(of(f).and_then(|v| v.reader).as_deref())
            }));
        }
    }
    all
}

/// Free words stay out; age and sex have columns of their own, coarser than the sheet has them.
pub fn goes_in(question: &Question) -> bool {
    question.sheet != Sheet::Given
        && !matches!(question.kind, Asked::Text { .. })
        && !matches!(question.key, "age_years" | "sex")
}

fn of_question(question: &'static Question) -> Vec<FootField> {
    let of = |sheet| match sheet {
        Sheet::Foot => "foot",
        Sheet::Person => "person",
        Sheet::Flags => "alarm signs of the visit",
        Sheet::Leg => "leg",
        Sheet::Given => "care",
    };
    let name = format!("q_{}", question.key);
    let meaning = format!(
        "{} ({}, {}).",
        question.words,
        of(question.sheet),
        question.section
    );
    let source = question.sources.join(" ");
    let get = move |f: &FootVisit| answer(f, question.sheet, question.key).cloned();
    match question.kind {
        Asked::Number { unit, .. } => vec![
            Field::new(
                Column::new(name.as_str(), Kind::Number, meaning)
                    .unit(unit)
                    .source(source.as_str()),
                move |f| match get(f) {
                    Some(Answer::Number { number, .. }) => Cell::number(Some(number)),
                    _ => Cell::Missing,
                },
            ),
            Field::new(
                Column::new(
                    format!("{name}_by_eye"),
                    Kind::Truth,
                    format!("{}: judged by eye and not measured.", question.words),
                )
                .source(source),
                move |f| match get(f) {
                    Some(Answer::Number { by_eye, .. }) => Cell::Truth(by_eye),
                    _ => Cell::Missing,
                },
            ),
        ],
        Asked::Choice { choices } => {
            let coding: Vec<String> = choices
                .iter()
                .map(|c| format!("{} = {}", c.key, c.words))
                .collect();
            vec![Field::new(
                Column::new(name, Kind::Text, meaning)
                    .source(source)
                    .coding(coding.join("; ")),
                move |f| match get(f) {
                    // A key that the question does not have is no answer to it.
                    Some(Answer::Choice { choice }) => {
                        Cell::word(choices.iter().find(|c| c.key == choice).map(|c| c.key))
                    }
                    _ => Cell::Missing,
                },
            )]
        }
        Asked::Text { .. } => Vec::new(),
    }
}

//! `tiebeam letter`: a letter without the pages.

use anyhow::{Context, Result, anyhow};
use letter::{Document, Language, Pictures, Words};
use record::{LetterId, LetterState};
use std::fs;
use std::path::PathBuf;
use store::Store;
use store_sql::SqlStore;

#[derive(clap::Args)]
pub struct Args {
    /// A document file (JSON) to set
    #[arg(long, required_unless_present = "data")]
    document: Option<PathBuf>,
    /// Pictures of the document, each as NAME=FILE
    #[arg(long = "picture", value_name = "NAME=FILE")]
    pictures: Vec<String>,
    /// A practice's data folder to take a signed letter from
    #[arg(long, requires = "id", conflicts_with = "document")]
    data: Option<PathBuf>,
    /// The letter's id, as its address on the page shows it
    #[arg(long)]
    id: Option<String>,
    /// Language of the document's words, such as es: what stands around them (page numbers, the mark of a draft) is
    /// set in it. A signed letter keeps its own
    #[arg(long, value_parser = language, conflicts_with = "data")]
    language: Option<Language>,
    /// Where the PDF goes
    #[arg(long, short)]
    out: PathBuf,
}

pub fn run(args: &Args) -> Result<()> {
    let bytes = match (&args.document, &args.data, &args.id) {
        (Some(path), _, _) => set(path, &args.pictures, args.language)?,
        (None, Some(data), Some(id)) => {
            let id: LetterId = id.parse()?;
            crate::serve::runtime()?.block_on(async {
                let store = SqlStore::open_folder(data).await?;
                let letter = store.letter(id).await?;
                if letter.state == LetterState::Draft {
                    return Err(anyhow!(
                        "this letter is a draft; open it on its page, look at it and sign it first"
                    ));
                }
                Ok(store.letter_pdf(id).await?)
            })?
        }
        _ => return Err(anyhow!("give --document FILE, or --data FOLDER with --id")),
    };
    fs::write(&args.out, &bytes)
        .with_context(|| format!("{} could not be written", args.out.display()))?;
    println!("{}: {} kB", args.out.display(), bytes.len() / 1024);
    Ok(())
}

/// A language of papers, for `--language`.
pub fn language(tag: &str) -> Result<Language, String> {
    Language::from_tag(tag).ok_or_else(|| {
        let known: Vec<String> = Language::ALL
            .iter()
            .map(|l| format!("{} ({})", l.tag(), l.name()))
            .collect();
        format!("expected one of {}", known.join(", "))
    })
}

fn set(path: &PathBuf, pictures: &[String], language: Option<Language>) -> Result<Vec<u8>> {
    let text = fs::read_to_string(path)
        .with_context(|| format!("the document {} could not be read", path.display()))?;
    let mut document: Document = serde_json::from_str(&text)
        .with_context(|| format!("{} is no letter document", path.display()))?;
    if let Some(language) = language {
        document.language = language.tag().to_owned();
    }
    let mut all = Pictures::new();
    for pair in pictures {
        let (name, file) = pair
            .split_once('=')
            .ok_or_else(|| anyhow!("found the picture {pair:?}; expected NAME=FILE"))?;
        all.insert(
            name.to_owned(),
            fs::read(file).with_context(|| format!("the picture {file} could not be read"))?,
        );
    }
    Ok(letter::render(&document, &all)?.bytes)
}

/// The first demo patient's papers: the reading sheet of the first film, and two letters.
pub async fn of_demo(
    store: &SqlStore,
    me: record::ClinicianId,
    done: &crate::demo::DoneVisit,
    out: &std::path::Path,
    words: &'static Words,
) -> Result<()> {
    let knowledge = knowledge::Knowledge::built_in();
    let practice = store.practice().await?.unwrap_or_default();
    let lines: Vec<String> = std::iter::once(practice.name.clone())
        .chain(practice.address.clone())
        .collect();
    let clinician = store.clinician(me).await?.name;
    let day = web::words::day(done.visit.on);
    let name = web::words::full_name(&done.patient);
    let born = done.patient.born_on.map(web::words::day);
    let person = reading::Person {
        age_years: done.patient.age_years_on(done.visit.on),
        sex: done.patient.sex,
    };
    let read: Vec<(&crate::demo::DoneFilm, &crate::filmwork::ReadFilm)> = done
        .films
        .iter()
        .filter_map(|f| Some((f, f.read.as_ref()?)))
        .collect();
    let mut pictures = Vec::new();
    for (film, work) in &read {
        let title = format!(
            "{} {}",
            work.sheet.side.map_or("", |s| s.word()),
            work.sheet.view.words()
        );
        let mut model = work.overlay(knowledge, &title, 1200);
        letter::compose::overlay_in(words, knowledge, &mut model);
        pictures.push((
            format!("{}.png", film.name),
            title,
            figure::annotated_film_png(&work.picture_png()?, &model, 1200)?,
        ));
    }
    let patient = letter::PatientLine {
        name: Some(&name),
        born: born.as_deref(),
        chart: Some(&done.patient.chart_number),
    };
    let scales: Vec<String> = read.iter().map(|(_, w)| scale_words(&w.scale)).collect();
    let film = |i: usize| letter::Film {
        title: &pictures[i].1,
        side: read[i].1.sheet.side,
        taken_on: Some(&day),
        scale: Some(&scales[i]),
        sheet: &read[i].1.sheet,
        comparisons: read[i].1.comparisons.clone(),
        picture: Some(letter::Picture {
            name: &pictures[i].0,
            bytes: &pictures[i].2,
        }),
    };
    if read.is_empty() {
        return Err(anyhow!("the demo's first patient has no read film"));
    }
    let sheet = letter::reading_sheet(&letter::SheetFacts {
        words,
        knowledge,
        practice: &lines,
        patient,
        date: &day,
        reader: Some(&clinician),
        person,
        film: film(0),
    })?;
    crate::demo::put(out, "reading-sheet.pdf", &sheet.bytes)?;
    let taken: Vec<Vec<String>> = done
        .reports
        .iter()
        .map(|r| {
            done.taken
                .iter()
                .filter_map(|t| t.strip_prefix(&format!("{}:", r.0.word())))
                .map(str::to_owned)
                .collect()
        })
        .collect();
    let facts = |recipient: &'static [&'static str], films: usize| {
        let recipient: Vec<String> = recipient.iter().map(|l| (*l).to_owned()).collect();
        (recipient, films)
    };
    let (to_referrer, films) = facts(&crate::demo::REFERRER, 2.min(read.len()));
    let letter_facts = letter::LetterFacts {
        words,
        knowledge,
        practice: &lines,
        recipient: &to_referrer,
        patient: letter::PatientLine {
            name: Some(&name),
            born: born.as_deref(),
            chart: Some(&done.patient.chart_number),
        },
        date: &day,
        clinician: &clinician,
        signed: None,
        story: &done.person.story,
        flags: &done.person.flags,
        feet: done
            .reports
            .iter()
            .zip(&taken)
            .zip(&done.exams)
            .map(|((r, chosen), e)| letter::Foot {
                side: r.0,
                exam: &e.1,
                stage: Some(&r.1),
                decided: done
                    .decided
                    .as_ref()
                    .filter(|(side, _)| *side == r.0)
                    .map(|(_, stage)| stage.as_str()),
                proposal: Some(&r.2),
                chosen,
                measured_on: &[],
            })
            .collect(),
        films: (0..films).map(film).collect(),
        decision: &done.decision,
        next_visit: done.review.as_deref(),
        further: letter::Further::default(),
    };
    let referrer = letter::compose::referrer_letter(&letter_facts);
    let own = letter::compose::patient_letter(&letter::LetterFacts {
        recipient: &[],
        ..letter_facts
    });
    for (file, kind, composed) in [
        (
            "letter-to-referrer.pdf",
            record::LetterKind::ToReferrer,
            referrer,
        ),
        ("letter-to-patient.pdf", record::LetterKind::ToPatient, own),
    ] {
        let pdf = letter::render(&composed.document, &composed.pictures)?;
        crate::demo::put(out, file, &pdf.bytes)?;
        println!("{file}: {} pages", pdf.pages);
        let _ = kind;
    }
    Ok(())
}

fn scale_words(answer: &film::ScaleAnswer) -> String {
    match answer {
        film::ScaleAnswer::Known { words, .. } => words.clone(),
        film::ScaleAnswer::Unknown { reason, .. } => format!("no scale: {reason}"),
    }
}

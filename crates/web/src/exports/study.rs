//! A study without names, as tables for a statistics program.

use super::make::{About, Failed, Making, aside, left_out};
use exchange_table::Study;
use std::io::{self, Write};
use std::sync::{Arc, Mutex, PoisonError};

const DOING: &str = "writing the tables of a study";
pub const NO_KEY: &str = "found no key for studies; expected the program to be started with --study-key FILE: 16 to 64 random bytes that only the practice has";

type Named = (String, Vec<u8>);

#[derive(Clone, Default)]
struct Files(Arc<Mutex<Vec<Named>>>);

struct Last(Files);

impl Write for Last {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut files = self.0.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, file)) = files.last_mut() {
            file.extend_from_slice(bytes);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

pub async fn make(making: &Making) -> Result<About, Failed> {
    let state = &making.state;
    let Some(key) = &state.outside.study_key else {
        return Err(Failed::Said(NO_KEY.to_owned()));
    };
    let (people, closed) = making.wanted.people(state).await?;
    let mut study = Study::new(key.clone());
    for (n, patient) in people.iter().enumerate() {
        making.is(n, people.len()).await;
        let chart = store::chart(&*state.store, patient.id).await?;
        study = aside(DOING, move || {
            study.add(&chart);
            study
        })
        .await?;
    }
    let files = Files::default();
    let into = files.clone();
    let (written, small) = aside(DOING, move || {
        let written = study.write(|path| {
            let mut files = into.0.lock().unwrap_or_else(PoisonError::into_inner);
            files.push((path.to_owned(), Vec::new()));
            drop(files);
            Ok(Last(into.clone()))
        });
        (written, study.small_cells().note)
    })
    .await?;
    let written = written.map_err(|_| Failed::Ours { doing: DOING })?;
    let made = std::mem::take(&mut *files.0.lock().unwrap_or_else(PoisonError::into_inner));
    for (name, bytes) in made {
        let rows = written
            .iter()
            .find(|w| w.path == name)
            .map_or(1, |w| w.rows);
        making.keep(&name, "row", rows, bytes).await?;
    }
    let mut says = vec![
        format!(
            "{} under pseudonyms that the practice's key gives; no name, no date, no free words.",
            crate::words::count(people.len(), "patient", "patients")
        ),
        small,
    ];
    says.extend(left_out(closed));
    Ok(About { says })
}

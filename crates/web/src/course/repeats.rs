//! How far apart do this practice's readers read one and the same film?
//!
//! Gone through once and kept until somebody finishes a second placing.

use crate::AppState;
use crate::agreement::pool::FilmPlacings;
use crate::agreement::practice::read_twice;
use crate::error::PageError;
use change::{OwnRepeats, Reader};
use record::ClinicianId;
use std::collections::BTreeMap;
use std::sync::Arc;
use terms::{MeasureKey, Stance};

/// # Errors
/// The record cannot be read.
pub async fn own_repeats(state: &AppState) -> Result<Arc<Vec<OwnRepeats>>, PageError> {
    if let Some(known) = state.films.repeats() {
        return Ok(known);
    }
    let found = Arc::new(of(&read_twice(state).await?));
    state.films.keep_repeats(found.clone());
    Ok(found)
}

type Key = (ClinicianId, MeasureKey, u32);

/// From the first two placings of each standing film by one reader.
///
/// # Units
/// Each spread in the unit of its measure: √(Σd² / 2n) over the differences of n films.
pub fn of(films: &[FilmPlacings]) -> Vec<OwnRepeats> {
    let mut names: BTreeMap<ClinicianId, String> = BTreeMap::new();
    let mut squares: BTreeMap<Key, Vec<f64>> = BTreeMap::new();
    for film in films {
        let mut by_reader: BTreeMap<ClinicianId, Vec<&crate::agreement::pool::Placing>> =
            BTreeMap::new();
        for p in &film.placings {
            names.insert(p.reader, p.reader_name.clone());
            by_reader.entry(p.reader).or_default().push(p);
        }
        for (reader, mut placings) in by_reader {
            placings.sort_by_key(|p| p.attempt);
            let [first, second, ..] = placings.as_slice() else {
                continue;
            };
            for a in &first.readings {
                let Some(b) = second.reading(&a.measure) else {
                    continue;
                };
                if a.kind != b.kind || a.side != b.side || a.kind.stance != Stance::Standing {
                    continue;
                }
                let d = a.estimate.value - b.estimate.value;
                squares
                    .entry((reader, a.measure.clone(), a.kind.method))
                    .or_default()
                    .push(d * d);
            }
        }
    }
    squares
        .into_iter()
        .map(|((reader, measure, method_version), squares)| OwnRepeats {
            reader: Reader {
                key: reader.to_string(),
                name: names.get(&reader).cloned().unwrap_or_default(),
            },
            measure,
            method_version,
            films: u32::try_from(squares.len()).unwrap_or(u32::MAX),
            within_sd: (squares.iter().sum::<f64>() / (2.0 * squares.len() as f64)).sqrt(),
        })
        .collect()
}

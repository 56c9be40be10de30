//! How is what came in kept, and taken where it is clear whose it is?
//!
//! The sender is told 'kept' only after the bytes and the entry that names them are on disk. What comes after that, the
//! taking into a visit, may fail: then the film waits for a person, and nothing is lost.

use super::judge::{Judged, judge};
use crate::{
    AppState,
    desk::cache::{self, Picture},
    error::PageError,
    intake::{Brought, Said, film_record, kept_already, media_type},
    words,
};
use exchange_dicom::{
    facts::HeaderFacts,
    inbox::{Inbox, Origin, Received, Refusal},
};
use record::{
    ActId, ArrivalId, ArrivalRecord, ArrivalState, ArrivalWay, ClinicianId, ContentHash, FilmId,
    FilmSays, Stamp, Visit, arrival::MOST_LETTERS,
};
use store::StoreError;

/// Where receiver and watched folder hand in what they got.
pub struct FilmInbox {
    state: AppState,
}

impl FilmInbox {
    pub fn new(state: AppState) -> Self {
        Self { state }
    }

    fn stamp(&self) -> Stamp {
        Stamp {
            act: ActId::new(self.state.ids.fresh()),
            at: self.state.clock.now(),
            by: ClinicianId::PROGRAM,
        }
    }

    async fn take_where_clear(&self, arrival: &ArrivalRecord, picture: Option<&Picture>) {
        let done = async {
            let Judged::Into(visit) = judge(&self.state, arrival).await? else {
                return Ok(());
            };
            let opened;
            let picture = match picture {
                Some(picture) => picture,
                None => {
                    opened = open(&self.state, arrival).await?;
                    &opened
                }
            };
            into_visit(&self.state, self.stamp(), arrival, &visit, picture).await?;
            Ok::<(), PageError>(())
        };
        if let Err(fault) = done.await {
            // It is kept and waits; the page says why.
            tracing::warn!(%fault, "a film that came in waits, because it could not be taken by itself");
        }
    }
}

impl Inbox for FilmInbox {
    async fn keep(&self, received: Received) -> Result<(), Refusal> {
        // One film is unpacked at a time, however many senders there are and by whichever way.
        let _turn = self.state.taking_in.lock().await;
        // A picture that cannot be unpacked is kept all the same: its sender may have no other copy.
        let picture = cache::decode(received.file.clone()).await.ok();
        let arrival = ArrivalRecord {
            id: ArrivalId::new(self.state.ids.fresh()),
            instance: received.sop_instance,
            content: ContentHash::of(&received.file),
            came_at: self.state.clock.now(),
            file_name: match &received.origin {
                Origin::Folder { file_name } => words::file_name(Some(file_name)),
                Origin::Network { .. } | Origin::Handed => String::new(),
            },
            way: way(received.origin),
            says: says(&received.facts, picture.as_ref()),
            other_bytes: false,
            state: ArrivalState::Waiting,
        };
        let kept = self
            .state
            .store
            .keep_arrival(self.stamp(), arrival, received.file)
            .await
            .map_err(refusal)?;
        if kept.state == ArrivalState::Waiting {
            self.take_where_clear(&kept, picture.as_ref()).await;
        }
        Ok(())
    }
}

fn refusal(error: StoreError) -> Refusal {
    tracing::error!(%error, "a film that came in could not be kept");
    match error {
        StoreError::DiskFull { .. } => Refusal::NoRoom("there is no room to write".into()),
        StoreError::Refused(_) => Refusal::NotUnderstood("its head does not read".into()),
        _ => Refusal::Failed("the store did not keep it".into()),
    }
}

fn way(origin: Origin) -> ArrivalWay {
    match origin {
        Origin::Network { calling, .. } => ArrivalWay::Network { title: calling },
        Origin::Folder { .. } => ArrivalWay::Folder,
        Origin::Handed => ArrivalWay::Web,
    }
}

fn says(facts: &HeaderFacts, picture: Option<&Picture>) -> FilmSays {
    let facts = match picture {
        Some(picture) => facts.clone().told_by(&picture.film.header),
        None => facts.clone(),
    };
    let taken_on = picture.and_then(|p| p.film.header.taken_on);
    FilmSays {
        chart_number: plain(facts.patient_id),
        issuer: plain(facts.issuer),
        name: plain(facts.name),
        born_on: facts.birth_date,
        modality: plain(facts.modality),
        view: facts.view,
        side: facts.side,
        taken_on: taken_on.or(facts.study_date),
    }
}

/// A text of a head as it may be kept and shown.
fn plain(text: Option<String>) -> Option<String> {
    let text: String = text?
        .chars()
        .filter(|c| !c.is_control())
        .take(MOST_LETTERS)
        .collect();
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// Unpacks a film that waits.
///
/// # Errors
/// `Input` where its picture cannot be opened.
pub async fn open(state: &AppState, arrival: &ArrivalRecord) -> Result<Picture, PageError> {
    cache::decode(state.store.arrival_bytes(arrival.id).await?).await
}

/// Makes a film of the visit of it. Where somebody brought the same file by hand, it is that film.
///
/// # Errors
/// The file is another patient's, or the film does not wait any more.
pub async fn into_visit(
    state: &AppState,
    stamp: Stamp,
    arrival: &ArrivalRecord,
    visit: &Visit,
    picture: &Picture,
) -> Result<FilmId, PageError> {
    let film = match kept_already(state, visit.patient, arrival.content).await? {
        Some(there) => there,
        None => {
            let brought = Brought {
                file_name: match arrival.file_name.as_str() {
                    "" => format!("{}.dcm", arrival.instance),
                    name => name.to_owned(),
                },
                content: arrival.content,
                // Nothing else comes in by itself.
                media_type: media_type(&[]),
            };
            film_record(state, visit, brought, picture, Said::default())?
        }
    };
    let id = film.id;
    state.store.take_arrival(stamp, arrival.id, film).await?;
    Ok(id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_of_a_head_are_cut_and_cleaned_and_blank_ones_are_missing() {
        assert_eq!(plain(Some("  a\u{1b}b ".into())).as_deref(), Some("ab"));
        assert_eq!(plain(Some(" \n ".into())), None);
        let long = plain(Some("x".repeat(1000)));
        assert_eq!(long.map(|t| t.len()), Some(MOST_LETTERS));
    }
}

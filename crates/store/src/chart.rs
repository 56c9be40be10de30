//! How is everything of one patient gathered, whatever the backend?

use crate::{Store, StoreError};
use record::{Act, Chart, ContentHash, LetterState, PatientId, Subject};
use std::collections::BTreeSet;

/// Everything of one patient as it stands now.
///
/// # Errors
/// `Missing` where there is no such patient; whatever a question of the store fails with.
pub async fn chart(store: &dyn Store, id: PatientId) -> Result<Chart, StoreError> {
    let patient = store.patient(id).await?;
    let visits = store.visits_of(id).await?;
    let films = store.films_of(id).await?;
    let (mut points, mut wear) = (Vec::new(), Vec::new());
    for film in &films {
        points.extend(store.points_of(film.id).await?);
        wear.extend(store.wear(film.id).await?);
    }
    let mut letters = Vec::new();
    for head in store.letters_of(id).await? {
        letters.push(store.letter(head.id).await?);
    }
    let mut chart = Chart {
        practice: store.practice().await?,
        clinicians: store.clinicians().await?,
        exams: store.exams_of(id).await?,
        decisions: store.decisions_of(id).await?,
        plans: store.plans_of(id).await?,
        scans: store.scans_of(id).await?,
        orders: store.orders_of(id).await?,
        captures: store.captures_of(id).await?,
        steps: store.steps_of(id).await?,
        care: store.care_of(id).await?,
        acts: Vec::new(),
        patient,
        visits,
        films,
        points,
        wear,
        letters,
    };
    chart.acts = acts_on(store, &chart).await?;
    Ok(chart)
}

/// The bytes of a file that a chart names; `None` where the chart names no such file.
///
/// # Errors
/// `Damaged` where the bytes no longer have their hash.
pub async fn file_bytes(
    store: &dyn Store,
    chart: &Chart,
    content: ContentHash,
) -> Result<Option<Vec<u8>>, StoreError> {
    if let Some(film) = chart.films.iter().find(|f| f.content == content) {
        return store.film_bytes(film.id).await.map(Some);
    }
    if let Some(scan) = chart.scans.iter().find(|s| s.content == content) {
        return store.scan_bytes(scan.id).await.map(Some);
    }
    if let Some(capture) = chart.captures.iter().find(|c| c.content == content) {
        return store.capture_bytes(capture.id).await.map(Some);
    }
    for letter in &chart.letters {
        if matches!(letter.state, LetterState::Signed { pdf, .. } if pdf == content) {
            return store.letter_pdf(letter.id).await.map(Some);
        }
    }
    for order in &chart.orders {
        match &order.sent {
            Some(sent) if sent.sheet == content => {
                return store.order_sheet(order.id).await.map(Some);
            }
            Some(sent) if sent.solids == content => {
                return store.order_solids(order.id).await.map(Some);
            }
            _ => {}
        }
    }
    Ok(None)
}

async fn acts_on(store: &dyn Store, chart: &Chart) -> Result<Vec<Act>, StoreError> {
    let mut subjects = BTreeSet::from([Subject::Patient(chart.patient.id)]);
    subjects.extend(chart.visits.iter().map(|v| Subject::Visit(v.id)));
    subjects.extend(chart.films.iter().map(|f| Subject::Film(f.id)));
    subjects.extend(chart.points.iter().map(|p| Subject::Points(p.id)));
    subjects.extend(chart.letters.iter().map(|l| Subject::Letter(l.id)));
    subjects.extend(chart.scans.iter().map(|s| Subject::Scan(s.id)));
    subjects.extend(chart.orders.iter().map(|o| Subject::Order(o.id)));
    subjects.extend(chart.captures.iter().map(|c| Subject::Capture(c.id)));
    subjects.extend(chart.care.iter().map(|c| Subject::Care(c.id)));
    let mut acts = Vec::new();
    for on in subjects {
        acts.extend(store.journal_of(on).await?);
    }
    acts.sort_by_key(|a| a.number);
    Ok(acts)
}

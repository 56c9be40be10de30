//! Asked as a browser asks, over a real store: from a visit to a frozen letter and back to its bytes.

use super::super::kept::KeptLetter;
use super::{film_record, invented_patient, points};
use crate::{AppState, Clock, Ids, app};
use axum::{
    body::{Body, to_bytes},
    http::{Request, StatusCode, header},
};
use knowledge::Knowledge;
use letter::render;
use reading::{FilmFacts, read_all};
use record::{
    ActId, Clinician, ClinicianId, ContentHash, FilmId, FilmRecord, Kept, LetterRecord, PointsId,
    PointsToSave, Practice, Stamp, Visit, VisitId, VisitState,
};
use std::sync::{
    Arc,
    atomic::{AtomicU64, Ordering},
};
use store::Store;
use store_sql::SqlStore;
use terms::{Side, Stance, View};
use time::{OffsetDateTime, macros::datetime};
use tower::ServiceExt;
use uuid::Uuid;

struct Noon;

impl Clock for Noon {
    fn now(&self) -> OffsetDateTime {
        datetime!(2026-11-24 12:00 +1)
    }
}

struct Counted(AtomicU64);

impl Ids for Counted {
    fn fresh(&self) -> Uuid {
        Uuid::from_u128(u128::from(self.0.fetch_add(1, Ordering::Relaxed)) + 1)
    }
}

pub(super) struct Practiced {
    ids: Arc<Counted>,
    store: Arc<SqlStore>,
    ann: ClinicianId,
    pub(super) visit: Visit,
    _folder: tempfile::TempDir,
}

pub(super) struct Answered {
    pub(super) status: StatusCode,
    pub(super) place: String,
    disposition: String,
    pub(super) bytes: Vec<u8>,
}

impl Answered {
    pub(super) fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }
}

impl Practiced {
    pub(super) async fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Arc::new(SqlStore::open_folder(folder.path()).await.unwrap());
        let ids = Arc::new(Counted(AtomicU64::new(100)));
        let patient = invented_patient();
        let visit = Visit {
            id: VisitId::new(Uuid::from_u128(2)),
            patient: patient.id,
            on: Noon.now().date(),
            reason: String::new(),
            state: VisitState::Open,
        };
        let ann = ClinicianId::new(ids.fresh());
        let clinician = Clinician {
            id: ann,
            name: "Ann Invented".into(),
            qualification: "Foot and ankle".into(),
            active: true,
        };
        let practice = Practice {
            name: "Invented Practice".into(),
            ..Practice::default()
        };
        let it = Self {
            ids,
            store,
            ann,
            visit: visit.clone(),
            _folder: folder,
        };
        it.store
            .save_clinician(it.stamp(), clinician)
            .await
            .unwrap();
        it.store.save_practice(it.stamp(), practice).await.unwrap();
        it.store.add_patient(it.stamp(), patient).await.unwrap();
        it.store.open_visit(it.stamp(), visit).await.unwrap();
        it
    }

    fn stamp(&self) -> Stamp {
        Stamp {
            act: ActId::new(self.ids.fresh()),
            at: Noon.now(),
            by: self.ann,
        }
    }

    async fn ask(&self, request: Request<Body>) -> Answered {
        let store: Arc<dyn Store> = self.store.clone();
        let state = AppState::new(
            store,
            Knowledge::built_in(),
            Arc::new(Noon),
            self.ids.clone(),
        );
        let response = app(state).oneshot(request).await.unwrap();
        let head = |name| {
            let value = response.headers().get(name);
            value
                .and_then(|v| v.to_str().ok())
                .unwrap_or_default()
                .to_owned()
        };
        Answered {
            status: response.status(),
            place: head(header::LOCATION),
            disposition: head(header::CONTENT_DISPOSITION),
            bytes: to_bytes(response.into_body(), usize::MAX)
                .await
                .unwrap()
                .to_vec(),
        }
    }

    pub(super) async fn get(&self, address: &str) -> Answered {
        let request = Request::get(address).header(header::HOST, "127.0.0.1");
        self.ask(request.body(Body::empty()).unwrap()).await
    }

    pub(super) async fn post(&self, address: &str, form: &str) -> Answered {
        let request = Request::post(address)
            .header(header::HOST, "127.0.0.1")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.ask(request.body(Body::from(form.to_owned())).unwrap())
            .await
    }

    async fn draft(&self) -> String {
        let address = format!("/visit/{}/letters", self.visit.id);
        let answer = self
            .post(&address, "kind=to-referrer&recipient=Dr+A.+Example")
            .await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        answer.place
    }

    pub(super) async fn letter(&self, place: &str) -> LetterRecord {
        self.store
            .letter(place.trim_start_matches("/letter/").parse().unwrap())
            .await
            .unwrap()
    }

    /// A standing lateral film, grey all over, with the heel bone's points placed.
    async fn film(&self, placed: bool) -> FilmId {
        let (w, h) = (60u32, 48u32);
        let grey: Vec<u8> = (0..w * h).map(|i| (i % 251) as u8).collect();
        let bytes = film::encode_png8(&grey, w, h).unwrap();
        let film = FilmRecord {
            view: Some(View::Lateral),
            side: Some(Side::Left),
            visit: self.visit.id,
            content: ContentHash::of(&bytes),
            width_px: w,
            height_px: h,
            ..film_record()
        };
        let id = film.id;
        self.store
            .import_film(self.stamp(), film, bytes)
            .await
            .unwrap();
        if placed {
            let facts = FilmFacts {
                stance: Stance::Standing,
                ..FilmFacts::of_size(w, h)
            };
            let set = points(Side::Left, 2.0);
            let sheet = read_all(Knowledge::built_in(), &set, &facts);
            let points = PointsToSave {
                id: PointsId::new(self.ids.fresh()),
                film: id,
                reader: self.ann,
                finished: true,
                points: Kept::of("tiebeam-points", 1, &set).unwrap(),
                sheet: Kept::of("tiebeam-reading-sheet", 1, &sheet).unwrap(),
            };
            self.store.save_points(self.stamp(), points).await.unwrap();
        }
        id
    }
}

#[tokio::test]
async fn a_signed_letter_is_frozen_and_can_be_set_again_to_the_same_bytes() {
    let p = Practiced::new().await;
    p.film(true).await;
    let place = p.draft().await;
    let shown = p.get(&place).await;
    assert_eq!(shown.status, StatusCode::OK);
    assert!(shown.text().contains("Draft, not signed"));
    let picture = p.get(&format!("{place}/picture/film-1.png")).await;
    assert!(picture.bytes.starts_with(b"\x89PNG"));
    let draft = p.get(&format!("{place}/pdf")).await;
    assert!(draft.bytes.starts_with(b"%PDF-"));
    assert_eq!(
        draft.disposition,
        "inline; filename=\"letter-to-referrer-draft.pdf\""
    );

    let signed = p.post(&place, "revision=1&act=sign").await;
    assert_eq!(
        (signed.status, signed.place.as_str()),
        (StatusCode::SEE_OTHER, place.as_str())
    );
    let record = p.letter(&place).await;
    assert_eq!(record.seal_holds(), Some(true));
    let kept = KeptLetter::of(&record).unwrap();
    assert!(!kept.document.draft);
    let text = kept.document.text();
    for said in [
        "Ann Invented",
        "Foot and ankle",
        "Signed 24 November 2026, 12:00",
    ] {
        assert!(text.contains(said), "{said}");
    }
    assert!(!text.contains("not signed"));
    let frozen = p.get(&format!("{place}/pdf")).await;
    assert_eq!(
        frozen.disposition,
        "inline; filename=\"letter-to-referrer.pdf\""
    );
    assert_eq!(
        render(&kept.document, &kept.pictures).unwrap().bytes,
        frozen.bytes
    );
    assert!(p.get(&place).await.text().contains("Frozen."));

    let late = p.post(&place, "revision=1&own=more").await;
    assert_eq!(late.status, StatusCode::CONFLICT);
    assert!(
        p.get("/letters")
            .await
            .text()
            .contains("signed 24 November 2026, 12:00")
    );
}

#[tokio::test]
async fn words_changed_with_the_signature_are_saved_and_shown_before_anything_is_signed() {
    let p = Practiced::new().await;
    let place = p.draft().await;
    let answer = p.post(&place, "revision=1&act=sign&own=Call+me").await;
    assert_eq!(answer.place, format!("{place}?told=read-again"));
    assert!(!p.letter(&place).await.is_signed());
    let shown = p.get(&answer.place).await.text();
    assert!(shown.contains("Call me") && shown.contains("nothing is signed yet"));
    let stale = p.post(&place, "revision=1&act=sign").await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    p.post(&place, "revision=2&act=sign").await;
    assert!(p.letter(&place).await.is_signed());
}

/// The value of a hidden field, or the words in a text area or box, as the page shows it.
fn shown_in(page: &str, name: &str) -> String {
    let (_, from) = page.split_once(&format!("name=\"{name}\"")).expect(name);
    match from.split_once('>') {
        Some((tag, _)) if tag.contains("value=\"") => {
            let (_, value) = tag.split_once("value=\"").unwrap();
            value.split('"').next().unwrap().to_owned()
        }
        Some((_, words)) => words.split('<').next().unwrap().trim_start().to_owned(),
        None => panic!("{name}"),
    }
}

#[tokio::test]
async fn two_windows_on_one_draft_lose_nothing_that_was_kept_and_nothing_that_was_typed() {
    let p = Practiced::new().await;
    let place = p.draft().await;
    let page = p.get(&place).await.text();
    let (title, seen) = (shown_in(&page, "title"), shown_in(&page, "seen-title"));
    // The first window writes another title and is kept.
    let first = p.post(&place, "revision=1&title=Kept+title").await;
    assert_eq!(first.place, format!("{place}?told=saved"));
    // The second one still shows the first title.
    let late = format!(
        "revision=1&title=Typed+title&seen-title={seen}&own=My+own+%3Cwords%3E&seen-own={}",
        shown_in(&page, "seen-own")
    );
    for act in ["save", "sign"] {
        let stale = p.post(&place, &format!("{late}&act={act}")).await;
        assert_eq!(stale.status, StatusCode::CONFLICT);
        let text = stale.text();
        assert!(
            text.contains("Found this letter at save 2, expected save 1"),
            "{text}"
        );
        assert!(text.contains("<p>Kept title</p>"), "the kept words: {text}");
        assert_eq!(shown_in(&text, "title"), "Typed title");
        assert_eq!(shown_in(&text, "own"), "My own &#60;words&#62;");
        assert_eq!(shown_in(&text, "revision"), "2");
        let kept = p.letter(&place).await;
        assert_eq!((kept.revision, kept.is_signed()), (2, false));
        let document = KeptLetter::of(&kept).unwrap().document;
        assert_eq!(document.title, "Kept title");
        assert!(!document.text().contains("My own"));
    }
    // Having read both, the person saves what shall stand.
    let both = p
        .post(&place, "revision=2&title=Both+titles&own=My+own")
        .await;
    assert_eq!(both.place, format!("{place}?told=saved"));
    let document = KeptLetter::of(&p.letter(&place).await).unwrap().document;
    assert_eq!(document.title, "Both titles");
    assert!(document.text().contains("My own"));
    assert_ne!(title, document.title);
    // The same form sent twice: all of it is kept already, and the page says so.
    let twice = p
        .post(&place, "revision=2&title=Both+titles&own=My+own")
        .await;
    assert_eq!(twice.status, StatusCode::CONFLICT);
    assert!(
        twice
            .text()
            .contains("Nothing that you typed is missing from the letter below.")
    );
}

#[tokio::test]
async fn words_for_a_letter_that_was_signed_or_taken_away_meanwhile_are_given_back() {
    let p = Practiced::new().await;
    let signed = p.draft().await;
    p.post(&signed, "revision=1&act=sign").await;
    let away = p.draft().await;
    p.post(&format!("{away}/away"), "revision=1").await;
    for (place, why) in [
        (&signed, "Found this letter signed"),
        (&away, "Found this draft taken away"),
    ] {
        let before = p.letter(place).await;
        let late = p.post(place, "revision=1&own=Typed+late").await;
        assert_eq!(late.status, StatusCode::CONFLICT);
        let text = late.text();
        assert!(
            text.contains(why) && text.contains("Typed late</textarea>"),
            "{text}"
        );
        assert_eq!(p.letter(place).await, before);
    }
}

#[tokio::test]
async fn a_title_that_cannot_be_used_is_told_beside_everything_that_was_typed() {
    let p = Practiced::new().await;
    let place = p.draft().await;
    let bad = p.post(&place, "revision=1&title=+&own=Typed+words").await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    let text = bad.text();
    assert!(text.contains("Found a title that is empty"), "{text}");
    assert_eq!(shown_in(&text, "own"), "Typed words");
    assert_eq!(p.letter(&place).await.revision, 1);
}

#[tokio::test]
async fn a_draft_is_taken_away_and_put_back_from_the_list_and_from_its_page() {
    let p = Practiced::new().await;
    p.film(true).await;
    let place = p.draft().await;
    let before = p.letter(&place).await;
    for from in ["/letters", place.as_str()] {
        let form = format!("action=\"{place}/away\"");
        let shown = p.get(from).await.text();
        let (_, form) = shown.split_once(&form).expect("a form to take it away");
        let revision = shown_in(form, "revision");
        let away = p
            .post(&format!("{place}/away"), &format!("revision={revision}"))
            .await;
        assert_eq!(away.status, StatusCode::SEE_OTHER, "{}", away.text());
        let list = p.get(&away.place).await.text();
        assert!(list.contains("is taken away.") && list.contains("No draft waits."));
        assert_eq!(list.matches(&format!("{place}/back")).count(), 2);
        for elsewhere in ["/".to_owned(), format!("/visit/{}", p.visit.id)] {
            assert!(
                !p.get(&elsewhere).await.text().contains(&place),
                "{elsewhere}"
            );
        }
        let page = p.get(&place).await.text();
        assert!(page.contains("Ann Invented took this draft away on 24 November 2026, 12:00"));
        for refused in ["away", "again"] {
            let answer = p.post(&format!("{place}/{refused}"), "revision=1").await;
            assert_eq!(answer.status, StatusCode::CONFLICT, "{refused}");
        }
        let back = p.post(&format!("{place}/back"), "").await;
        assert_eq!(back.place, format!("{place}?told=back"));
        assert!(
            p.get(&back.place)
                .await
                .text()
                .contains("put back as it was")
        );
        assert_eq!(p.letter(&place).await, before);
    }
    let acts = p
        .store
        .journal_of(record::Subject::Letter(before.id))
        .await
        .unwrap();
    let kinds: Vec<&str> = acts.iter().map(|a| a.kind.key()).collect();
    let round = ["letter-taken-away", "letter-put-back"];
    assert_eq!(
        kinds,
        [&["letter-drafted"], &round[..], &round[..]].concat()
    );
}

#[tokio::test]
async fn a_signed_letter_or_a_draft_changed_meanwhile_is_not_taken_away() {
    let p = Practiced::new().await;
    let place = p.draft().await;
    p.post(&place, "revision=1&own=More").await;
    for form in ["revision=1", "revision=rubbish", ""] {
        let stale = p.post(&format!("{place}/away"), form).await;
        assert_eq!(stale.status, StatusCode::CONFLICT, "{form}");
    }
    let nothing = p.post(&format!("{place}/back"), "").await;
    assert_eq!(nothing.status, StatusCode::CONFLICT);
    p.post(&place, "revision=2&act=sign").await;
    let signed = p.letter(&place).await;
    assert!(signed.is_signed());
    for revision in 1..=4 {
        let answer = p
            .post(&format!("{place}/away"), &format!("revision={revision}"))
            .await;
        assert_eq!(answer.status, StatusCode::CONFLICT);
    }
    assert_eq!(p.letter(&place).await, signed);
    assert!(!p.get(&place).await.text().contains("/away"));
    let gone = p.post("/letter/rubbish/away", "revision=1").await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_draft_made_again_holds_what_the_visit_holds_now_and_keeps_its_reader() {
    let p = Practiced::new().await;
    let place = p.draft().await;
    p.post(&place, "revision=1&own=Lost+words").await;
    p.film(true).await;
    let again = p.post(&format!("{place}/again"), "revision=2").await;
    assert_eq!(again.place, place);
    let text = KeptLetter::of(&p.letter(&place).await)
        .unwrap()
        .document
        .text();
    assert!(text.contains("Dr A. Example") && text.contains("Lateral foot, left"));
    assert!(!text.contains("Lost words"));
}

#[tokio::test]
async fn an_addendum_names_the_signed_letter_and_needs_words() {
    let p = Practiced::new().await;
    let place = p.draft().await;
    let early = p.post(&format!("{place}/addendum"), "").await;
    assert_eq!(early.status, StatusCode::CONFLICT);
    p.post(&place, "revision=1&act=sign").await;
    let first = p.letter(&place).await;
    let added = p.post(&format!("{place}/addendum"), "").await.place;
    let empty = p.post(&added, "revision=1&act=sign").await;
    assert_eq!(empty.status, StatusCode::CONFLICT);
    p.post(
        &added,
        "revision=1&own=The+film+of+the+right+foot+came+later.",
    )
    .await;
    p.post(&added, "revision=2&act=sign").await;
    let record = p.letter(&added).await;
    assert!(record.is_signed());
    assert_eq!(record.addendum_to, Some(first.id));
    let text = KeptLetter::of(&record).unwrap().document.text();
    assert!(text.contains("letter signed 24 November 2026, seal "));
    assert!(
        p.get(&place).await.text().contains(&added),
        "the first letter leads to it"
    );
}

#[tokio::test]
async fn a_film_has_its_sheet_once_points_are_placed() {
    let p = Practiced::new().await;
    let film = p.film(true).await;
    let sheet = p.get(&format!("/film/{film}/sheet.pdf")).await;
    assert_eq!(sheet.status, StatusCode::OK, "{}", sheet.text());
    assert!(sheet.bytes.starts_with(b"%PDF-"));
    assert_eq!(sheet.disposition, "inline; filename=\"reading-sheet.pdf\"");
    let spanish = p.get(&format!("/film/{film}/sheet.pdf?language=es")).await;
    assert_eq!(spanish.status, StatusCode::OK, "{}", spanish.text());
    assert_eq!(
        spanish.disposition,
        "inline; filename=\"reading-sheet-es.pdf\""
    );
    assert_ne!(spanish.bytes, sheet.bytes);
    let unknown = p.get(&format!("/film/{film}/sheet.pdf?language=xx")).await;
    assert_eq!(unknown.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unknown.text().contains("no such language for letters"));
    let q = Practiced::new().await;
    let bare = q.film(false).await;
    let none = q.get(&format!("/film/{bare}/sheet.pdf")).await;
    assert_eq!(none.status, StatusCode::CONFLICT);
    assert!(
        none.text()
            .contains("No points are placed on this film yet")
    );
}

#[tokio::test]
async fn letters_that_cannot_be_written_get_a_sentence_without_anybodys_name() {
    let p = Practiced::new().await;
    let visit = format!("/visit/{}/letters", p.visit.id);
    for form in [
        "kind=to-parents",
        "kind=to-school",
        "kind=reading-sheet",
        "kind=to-patient&language=xx",
        "kind=rubbish",
        "recipient=x",
    ] {
        let answer = p.post(&visit, form).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{form}");
        assert!(!answer.text().contains("Person"), "{form}");
    }
    for address in [
        "/letter/rubbish",
        "/letter/rubbish/pdf",
        "/film/rubbish/sheet.pdf",
    ] {
        assert_eq!(
            p.get(address).await.status,
            StatusCode::NOT_FOUND,
            "{address}"
        );
    }
    let place = p.draft().await;
    let nothing = p.get(&format!("{place}/picture/..%2F..%2Fetc")).await;
    assert_eq!(nothing.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_letter_is_begun_on_its_page_in_the_language_that_was_chosen_and_keeps_it() {
    let p = Practiced::new().await;
    let begin = p.get(&format!("/visit/{}/letters/new", p.visit.id)).await;
    assert_eq!(begin.status, StatusCode::OK, "{}", begin.text());
    let page = begin.text();
    for part in [
        "value=\"to-therapist\"",
        "value=\"to-employer\"",
        "value=\"home-sheet\"",
        "<option value=\"es\" lang=\"es\">Español</option>",
        "name=\"reason\"",
    ] {
        assert!(page.contains(part), "{part}");
    }
    // Nobody writes to the parents or the school of a grown person.
    assert!(!page.contains("to-parents") && !page.contains("to-school"));
    let address = format!("/visit/{}/letters", p.visit.id);
    let form = "kind=to-employer&language=es&recipient=A&can=sentarse&until=6+January+2027";
    let place = p.post(&address, form).await.place;
    let kept = KeptLetter::of(&p.letter(&place).await).unwrap();
    let text = kept.document.text();
    assert_eq!(kept.document.language, "es");
    for said in [
        "Nota para la empresa",
        "- sentarse.",
        "6 de enero de 2027",
        "24 de noviembre de 2026",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    assert!(!text.contains("A-1"), "no chart number: {text}");
    let shown = p.get(&place).await.text();
    assert!(shown.contains("<article class=\"letter-text\" lang=\"es\""));
    let again = p.post(&format!("{place}/again"), "revision=1").await;
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    let after = KeptLetter::of(&p.letter(&place).await).unwrap();
    assert_eq!(after.document.text(), text);
    p.post(&place, "revision=2&act=sign").await;
    let record = p.letter(&place).await;
    assert_eq!(record.seal_holds(), Some(true));
    let signed = KeptLetter::of(&record).unwrap().document.text();
    assert!(
        signed.contains("Firmado el 24 de noviembre de 2026, 12:00"),
        "{signed}"
    );
    let addendum = p.post(&format!("{place}/addendum"), "").await.place;
    let addendum = KeptLetter::of(&p.letter(&addendum).await).unwrap().document;
    assert_eq!(addendum.title, "Adenda: Nota para la empresa");
    assert_eq!(addendum.language, "es");
}

#[tokio::test]
async fn every_kind_that_is_offered_can_be_drafted_and_set_in_every_language() {
    let p = Practiced::new().await;
    p.film(true).await;
    let address = format!("/visit/{}/letters", p.visit.id);
    for kind in crate::letters::draft::kinds_for(Some(58.0)) {
        for (tag, _) in crate::letters::begin::languages() {
            let form = format!("kind={}&language={tag}&recipient=A", kind.key());
            let begun = p.post(&address, &form).await;
            assert_eq!(
                begun.status,
                StatusCode::SEE_OTHER,
                "{form}: {}",
                begun.text()
            );
            let pdf = p.get(&format!("{}/pdf", begun.place)).await;
            assert!(pdf.bytes.starts_with(b"%PDF-"), "{form}");
            assert_eq!(p.get(&begun.place).await.status, StatusCode::OK);
        }
    }
}

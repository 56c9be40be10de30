//! Which action does each address need, and whose record is behind it?
//!
//! Every address of the program stands here once for each method. What is missing here answers nobody; a test holds the
//! table against the addresses in the sources, another asks every row with every role.

use account::Action;
use record::{
    ArrivalId, CaptureId, CareId, FilmId, LetterId, MachineMay, OrderId, PatientId, ScanId,
    Subject, VisitId, id::BadId,
};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    Get,
    Post,
    Delete,
}

impl Method {
    pub fn name(self) -> &'static str {
        match self {
            Method::Get => "GET",
            Method::Post => "POST",
            Method::Delete => "DELETE",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Nothing: also somebody who has not signed in.
    Nothing,
    Of(Action),
    /// This action, or reading blinded where the film is one the reader was asked to read.
    OrReader(Action),
    /// A machine's key that opens this; no session does.
    Key(MachineMay),
}

/// What the `{id}` of an address names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    Nothing,
    Patient,
    Visit,
    Film,
    Letter,
    Scan,
    Order,
    Care,
    Capture,
    Arrival,
}

impl Names {
    /// # Errors
    /// A text that is no id.
    pub fn subject(self, id: &str) -> Result<Option<Subject>, BadId> {
        Ok(Some(match self {
            Names::Nothing => return Ok(None),
            Names::Patient => Subject::Patient(id.parse::<PatientId>()?),
            Names::Visit => Subject::Visit(id.parse::<VisitId>()?),
            Names::Film => Subject::Film(id.parse::<FilmId>()?),
            Names::Letter => Subject::Letter(id.parse::<LetterId>()?),
            Names::Scan => Subject::Scan(id.parse::<ScanId>()?),
            Names::Order => Subject::Order(id.parse::<OrderId>()?),
            Names::Care => Subject::Care(id.parse::<CareId>()?),
            Names::Arrival => Subject::Arrival(id.parse::<ArrivalId>()?),
            Names::Capture => Subject::Capture(id.parse::<CaptureId>()?),
        }))
    }
}

#[derive(Debug, Clone, Copy)]
pub struct Row {
    pub method: Method,
    pub path: &'static str,
    pub needs: Needs,
    pub names: Names,
    /// A look at it is an entry of the trail: pages and papers, not the pieces a page fetches for itself.
    pub noted: bool,
    /// It answers data, not a page: always, or where a script asks (`openapi` describes it).
    pub data: bool,
}

const fn row(method: Method, path: &'static str, needs: Needs, names: Names) -> Row {
    Row {
        method,
        path,
        needs,
        names,
        noted: false,
        data: false,
    }
}

const fn get(path: &'static str, needs: Action, names: Names) -> Row {
    row(Method::Get, path, Needs::Of(needs), names)
}

const fn post(path: &'static str, needs: Action, names: Names) -> Row {
    row(Method::Post, path, Needs::Of(needs), names)
}

/// A page or a paper about somebody: a look at it is noted.
const fn look(path: &'static str, needs: Action, names: Names) -> Row {
    Row {
        noted: true,
        ..get(path, needs, names)
    }
}

const fn data(row: Row) -> Row {
    Row { data: true, ..row }
}

const fn free(method: Method, path: &'static str) -> Row {
    row(method, path, Needs::Nothing, Names::Nothing)
}

/// An address for machines: what is looked at is noted where it is known whose it is.
const fn machine(method: Method, path: &'static str, may: MachineMay) -> Row {
    data(row(method, path, Needs::Key(may), Names::Nothing))
}

const fn desk(method: Method, path: &'static str, needs: Action) -> Row {
    row(method, path, Needs::OrReader(needs), Names::Film)
}

const fn desk_look(path: &'static str, needs: Action) -> Row {
    Row {
        noted: true,
        ..desk(Method::Get, path, needs)
    }
}

use Action::*;
use MachineMay::{ReadFilms, ReadRecords, SendFilms};
use Method::{Delete, Get, Post};
use Names::{Arrival, Capture, Care, Film, Letter, Nothing, Order, Patient, Scan, Visit};

pub const TABLE: &[Row] = &[
    // Before anybody signed in
    free(Get, "/assets/{name}"),
    free(Get, "/start"),
    free(Post, "/start"),
    free(Get, "/sign-in"),
    free(Post, "/sign-in"),
    data(free(Post, "/sign-in/passkey/begin")),
    data(free(Post, "/sign-in/passkey/finish")),
    free(Post, "/light"),
    free(Get, "/who"),
    free(Post, "/who"),
    // One's own account
    post("/sign-out", UseOwnAccount, Nothing),
    get("/account", UseOwnAccount, Nothing),
    post("/account/passphrase", UseOwnAccount, Nothing),
    post("/account/codes", UseOwnAccount, Nothing),
    post("/account/codes/confirm", UseOwnAccount, Nothing),
    post("/account/codes/off", UseOwnAccount, Nothing),
    post("/account/recovery", UseOwnAccount, Nothing),
    post("/account/elsewhere", UseOwnAccount, Nothing),
    data(post("/account/passkeys/begin", UseOwnAccount, Nothing)),
    data(post("/account/passkeys/finish", UseOwnAccount, Nothing)),
    post("/account/passkeys/back", UseOwnAccount, Nothing),
    get("/sources", SeeSources, Nothing),
    data(get("/openapi.json", UseOwnAccount, Nothing)),
    // The practice and its people
    get("/practice", SeePractice, Nothing),
    post("/practice", ChangePractice, Nothing),
    post("/practice/people", ManagePeople, Nothing),
    get("/people", ManagePeople, Nothing),
    post("/people", ManagePeople, Nothing),
    post("/people/first", ManagePeople, Nothing),
    post("/people/again", ManagePeople, Nothing),
    get("/people/keys", ManagePeople, Nothing),
    post("/people/keys", ManagePeople, Nothing),
    post("/people/keys/back", ManagePeople, Nothing),
    get("/trail", SeeTrail, Nothing),
    get("/backups", KeepBackups, Nothing),
    post("/backups", KeepBackups, Nothing),
    get("/erased", SeeTrail, Nothing),
    // Patients
    get("/", SeePatients, Nothing),
    post("/patients/find", SeePatients, Nothing),
    get("/patients/new", ChangePatients, Nothing),
    post("/patients/new", ChangePatients, Nothing),
    look("/patient/{id}", SeePatients, Patient),
    look("/patient/{id}/details", ChangePatients, Patient),
    post("/patient/{id}/details", ChangePatients, Patient),
    post("/patient/{id}/visits", ChangePatients, Patient),
    look("/patient/{id}/course", SeePatients, Patient),
    get("/patient/{id}/closed", BreakGlass, Nothing),
    post("/patient/{id}/closed", BreakGlass, Nothing),
    post("/patient/{id}/closure", CloseRecord, Patient),
    post("/patient/{id}/take-out", TakeOut, Patient),
    look("/patient/{id}/erase", Erase, Patient),
    post("/patient/{id}/erase", Erase, Patient),
    // Many records at once
    get("/exports", TakeOut, Nothing),
    post("/exports", TakeOut, Nothing),
    post("/exports/{job}/stop", TakeOut, Nothing),
    post("/exports/{job}/away", TakeOut, Nothing),
    get("/exports/{job}/all.zip", TakeOut, Nothing),
    // Visits
    look("/visit/{id}", SeePatients, Visit),
    get("/visit/{id}/standing", SeePatients, Visit),
    data(post("/visit/{id}/exam/{of}", Examine, Visit)),
    post("/visit/{id}/exam/{of}/undo", Examine, Visit),
    post("/visit/{id}/decision/{side}", Decide, Visit),
    post("/visit/{id}/plan", Decide, Visit),
    post("/visit/{id}/state", ChangePatients, Visit),
    post("/visit/{id}/films", TakeFiles, Visit),
    // Films
    desk_look("/film/{id}", SeePatients),
    post("/film/{id}/facts", PlacePoints, Film),
    desk(Post, "/film/{id}/points-table", PlacePoints),
    post("/film/{id}/scale-form", PlacePoints, Film),
    post("/film/{id}/turn-form", PlacePoints, Film),
    post("/film/{id}/wear", PlacePoints, Film),
    data(desk(Get, "/film/{id}/meta", SeePatients)),
    desk(Get, "/film/{id}/grey16", SeePatients),
    desk(Get, "/film/{id}/picture.png", SeePatients),
    get("/film/{id}/annotated.png", SeePatients, Film),
    data(desk(Post, "/film/{id}/overlay", SeePatients)),
    data(desk(Post, "/film/{id}/points", PlacePoints)),
    data(desk(Post, "/film/{id}/snap", SeePatients)),
    data(desk(Post, "/film/{id}/circle", SeePatients)),
    data(desk(Post, "/film/{id}/axis", SeePatients)),
    data(post("/film/{id}/turn", PlacePoints, Film)),
    data(post("/film/{id}/scale", PlacePoints, Film)),
    look("/film/{id}/sheet.pdf", SeePatients, Film),
    look("/film/{id}/send", TakeOut, Film),
    post("/film/{id}/send", TakeOut, Film),
    look("/film/{id}/object/{name}", TakeOut, Film),
    look("/film/{id}/agreement", CompareReaders, Film),
    post("/film/{id}/ask", AskSecondReading, Film),
    look("/film/{id}/nameless", TakeOut, Film),
    post("/film/{id}/nameless", TakeOut, Film),
    get("/film/{id}/nameless/picture.png", TakeOut, Film),
    get("/agreement", CompareReaders, Nothing),
    get("/second-readings", ReadBlinded, Nothing),
    // Films that came in by themselves
    get("/arrivals", TakeFiles, Nothing),
    get("/arrival/{id}/picture.png", TakeFiles, Arrival),
    post("/arrival/{id}/find", TakeFiles, Arrival),
    post("/arrival/{id}/take", TakeFiles, Arrival),
    post("/arrival/{id}/away", TakeFiles, Arrival),
    post("/arrival/{id}/back", TakeFiles, Arrival),
    // Prints, photographs, clips, markers
    post("/visit/{id}/captures", TakeFiles, Visit),
    look("/capture/{id}", SeePatients, Capture),
    post("/capture/{id}", TakeFiles, Capture),
    get("/capture/{id}/picture.png", SeePatients, Capture),
    data(post("/capture/{id}/steps", Examine, Capture)),
    data(post("/capture/{id}/undo", Examine, Capture)),
    post("/capture/{id}/examine", Examine, Capture),
    get("/capture/{id}/frame/{frame}", SeePatients, Capture),
    data(get("/capture/{id}/at/{frame}", SeePatients, Capture)),
    data(get("/capture/{id}/follow", SeePatients, Capture)),
    data(post("/capture/{id}/follow", Examine, Capture)),
    data(post("/capture/{id}/follow/stop", Examine, Capture)),
    // Care that was given
    look("/patient/{id}/care", SeePatients, Patient),
    post("/patient/{id}/care", Treat, Patient),
    look("/patient/{id}/care/new", Treat, Patient),
    look("/care/{id}", SeePatients, Care),
    post("/care/{id}", Treat, Care),
    post("/care/{id}/undo", Treat, Care),
    post("/care/{id}/gone", Treat, Care),
    look("/care/{id}/break-in.pdf", SeePatients, Care),
    look("/visit/{id}/leg/{side}", SeePatients, Visit),
    // Letters
    get("/letters", SeePatients, Nothing),
    post("/visit/{id}/letters", DraftLetters, Visit),
    look("/visit/{id}/letters/new", DraftLetters, Visit),
    look("/letter/{id}", SeePatients, Letter),
    post("/letter/{id}", DraftLetters, Letter),
    post("/letter/{id}/again", DraftLetters, Letter),
    post("/letter/{id}/away", DraftLetters, Letter),
    post("/letter/{id}/back", DraftLetters, Letter),
    post("/letter/{id}/addendum", DraftLetters, Letter),
    look("/letter/{id}/pdf", SeePatients, Letter),
    look("/letter/{id}/send", TakeOut, Letter),
    post("/letter/{id}/send", TakeOut, Letter),
    look("/letter/{id}/object/{name}", TakeOut, Letter),
    get("/letter/{id}/picture/{name}", SeePatients, Letter),
    // Scans and orders
    post("/visit/{id}/scans", TakeFiles, Visit),
    look("/scan/{id}", SeePatients, Scan),
    post("/scan/{id}", TakeFiles, Scan),
    post("/visit/{id}/orders", DraftOrders, Visit),
    look("/order/{id}", SeePatients, Order),
    data(post("/order/{id}/save", DraftOrders, Order)),
    data(post("/order/{id}/undo", DraftOrders, Order)),
    post("/order/{id}/mirror", DraftOrders, Order),
    get("/order/{id}/foot", SeePatients, Order),
    post("/order/{id}/preview", SeePatients, Order),
    data(post("/order/{id}/section", SeePatients, Order)),
    get("/order/{id}/drawn/{view}", SeePatients, Order),
    post("/order/{id}/strength", SeePatients, Order),
    data(post("/order/{id}/thinnest", SeePatients, Order)),
    data(get("/order/{id}/thinnest", SeePatients, Order)),
    data(post("/order/{id}/thinnest/stop", SeePatients, Order)),
    look("/order/{id}/sheet.pdf", SeePatients, Order),
    look("/order/{id}/break-in.pdf", SeePatients, Order),
    data(get("/order/{id}/final", SeePatients, Order)),
    data(post("/order/{id}/final", DraftOrders, Order)),
    data(post("/order/{id}/final/stop", DraftOrders, Order)),
    look("/order/{id}/files/{name}", SeePatients, Order),
    post("/order/{id}/send", SendOrders, Order),
    look("/order/{id}/sent/{name}", SeePatients, Order),
    post("/order/{id}/release", ReleaseOrders, Order),
    get("/lab", SeeReleasedOrders, Nothing),
    get("/lab/order/{id}", SeeReleasedOrders, Nothing),
    get("/lab/order/{id}/{name}", SeeReleasedOrders, Nothing),
    // Machines
    machine(Get, "/fhir/metadata", ReadRecords),
    machine(Get, "/fhir/$export", ReadRecords),
    machine(Get, "/fhir/Patient/$export", ReadRecords),
    machine(Get, "/fhir/$export/{job}", ReadRecords),
    machine(Delete, "/fhir/$export/{job}", ReadRecords),
    machine(Get, "/fhir/$export/{job}/{file}", ReadRecords),
    machine(Get, "/fhir/{kind}", ReadRecords),
    machine(Post, "/fhir/{kind}/_search", ReadRecords),
    machine(Get, "/fhir/{kind}/{id}", ReadRecords),
    machine(Post, "/dicomweb/studies", SendFilms),
    machine(Post, "/dicomweb/studies/{study}", SendFilms),
    machine(Get, "/dicomweb/studies", ReadFilms),
    machine(Get, "/dicomweb/series", ReadFilms),
    machine(Get, "/dicomweb/instances", ReadFilms),
    machine(Get, "/dicomweb/studies/{study}", ReadFilms),
    machine(Get, "/dicomweb/studies/{study}/metadata", ReadFilms),
    machine(Get, "/dicomweb/studies/{study}/series", ReadFilms),
    machine(Get, "/dicomweb/studies/{study}/instances", ReadFilms),
    machine(Get, "/dicomweb/studies/{study}/series/{series}", ReadFilms),
    machine(
        Get,
        "/dicomweb/studies/{study}/series/{series}/metadata",
        ReadFilms,
    ),
    machine(
        Get,
        "/dicomweb/studies/{study}/series/{series}/instances",
        ReadFilms,
    ),
    machine(
        Get,
        "/dicomweb/studies/{study}/series/{series}/instances/{instance}",
        ReadFilms,
    ),
    machine(
        Get,
        "/dicomweb/studies/{study}/series/{series}/instances/{instance}/metadata",
        ReadFilms,
    ),
];

/// The row of an address as the router matched it.
pub fn row_of(method: &axum::http::Method, path: &str) -> Option<&'static Row> {
    let method = match *method {
        axum::http::Method::GET | axum::http::Method::HEAD => Get,
        axum::http::Method::POST => Post,
        axum::http::Method::DELETE => Delete,
        _ => return None,
    };
    TABLE.iter().find(|r| r.method == method && r.path == path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::path::Path;

    /// Every address that stands behind `.route(` in the sources of the pages.
    fn addresses_in(folder: &Path, found: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                addresses_in(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                for part in text.split(".route(").skip(1) {
                    if let Some(address) = part.trim_start().strip_prefix('"') {
                        let address = address.split('"').next();
                        found.extend(address.filter(|a| a.starts_with('/')).map(str::to_owned));
                    }
                }
            }
        }
    }

    #[test]
    fn the_table_has_every_address_of_the_sources_and_no_other() {
        let mut there = BTreeSet::new();
        addresses_in(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
            &mut there,
        );
        let told: BTreeSet<String> = TABLE.iter().map(|r| r.path.to_owned()).collect();
        let missing: Vec<_> = there.difference(&told).collect();
        let more: Vec<_> = told.difference(&there).collect();
        assert!(
            missing.is_empty() && more.is_empty(),
            "not told: {missing:?}; gone: {more:?}"
        );
        assert!(there.len() > 80, "{}", there.len());
    }

    #[test]
    fn no_address_stands_twice_and_what_names_somebody_needs_something() {
        let mut seen = BTreeSet::new();
        for r in TABLE {
            assert!(seen.insert((r.path, r.method.name())), "{}", r.path);
            if r.names != Nothing {
                assert!(r.path.contains("{id}"), "{}", r.path);
                assert_ne!(r.needs, Needs::Nothing, "{}", r.path);
            }
            assert!(!r.noted || r.names != Nothing, "{}", r.path);
            assert_eq!(
                matches!(r.needs, Needs::Key(_)),
                crate::machines::is_machines(r.path),
                "{}",
                r.path
            );
        }
    }

    #[test]
    fn an_address_with_the_id_of_a_record_has_that_record_behind_it() {
        for r in TABLE {
            let expected = match r.path.split('/').nth(1) {
                Some("patient") if !r.path.ends_with("/closed") => Patient,
                Some("visit") => Visit,
                Some("film") => Film,
                Some("letter") => Letter,
                Some("scan") => Scan,
                Some("order") => Order,
                Some("care") => Care,
                Some("capture") => Capture,
                Some("arrival") => Arrival,
                _ => continue,
            };
            assert_eq!(r.names, expected, "{}", r.path);
        }
    }
}

//! What does each address that answers data take and give?

use crate::access::table::Method::{self, Delete, Get, Post};

pub struct Address {
    pub method: Method,
    pub path: &'static str,
    pub words: &'static str,
    pub body: Body,
    pub answers: Answers,
    /// What may stand behind the question mark: name and words.
    pub asked: &'static [(&'static str, &'static str)],
}

/// What is sent.
pub enum Body {
    None,
    /// The name of a form.
    Json(&'static str),
    /// Fields of a form by their names.
    Texts,
    /// Whole DICOM objects in parts.
    Objects,
}

/// What comes back where all is well.
pub enum Answers {
    /// The name of a form.
    Json(&'static str),
    Fhir(&'static str),
    /// It is done later.
    Accepted,
    /// The name of a form, once it is done.
    WhenReady(&'static str),
    /// One resource on each line.
    Lines,
    /// Attributes of DICOM objects.
    Attributes,
    /// Whole DICOM objects.
    Films,
    /// What became of objects that were sent.
    Stored,
}

const fn ask(path: &'static str, words: &'static str, form: &'static str) -> Address {
    Address {
        method: Get,
        path,
        words,
        body: Body::None,
        answers: Answers::Json(form),
        asked: &[],
    }
}

const fn send(path: &'static str, words: &'static str, body: Body, form: &'static str) -> Address {
    Address {
        method: Post,
        body,
        ..ask(path, words, form)
    }
}

const fn fhir(path: &'static str, words: &'static str, form: &'static str) -> Address {
    Address {
        answers: Answers::Fhir(form),
        ..ask(path, words, form)
    }
}

const FOUND: &[(&str, &str)] = &[
    ("_count", "resources on one page"),
    ("_summary", "count: only the number of matches"),
    ("_format", "json"),
    ("patient", "the id of one patient, where the type has one"),
];

const EXPORTED: &[(&str, &str)] = &[
    ("_type", "types of resources, parted by commas"),
    ("_outputFormat", "application/fhir+ndjson"),
];

const FILMS: &[(&str, &str)] = &[
    ("PatientID", "a whole number of a chart"),
    ("StudyDate", "20260517 or a range, 20260501-20260531"),
    ("AccessionNumber", "a whole number"),
    ("Modality", "DX, CR; SR, OT, PR, DOC of what was made here"),
    ("limit", "answers at most"),
    ("offset", "answers left out first"),
    ("includefield", "attributes beyond the usual ones, or all"),
];

const fn qido(path: &'static str, words: &'static str) -> Address {
    Address {
        answers: Answers::Attributes,
        asked: FILMS,
        ..ask(path, words, "")
    }
}

const fn heads(path: &'static str, words: &'static str) -> Address {
    Address {
        answers: Answers::Attributes,
        ..ask(path, words, "")
    }
}

const fn films(path: &'static str, words: &'static str) -> Address {
    Address {
        answers: Answers::Films,
        ..ask(path, words, "")
    }
}

const fn stow(path: &'static str, words: &'static str) -> Address {
    Address {
        method: Post,
        body: Body::Objects,
        answers: Answers::Stored,
        ..ask(path, words, "")
    }
}

pub const ADDRESSES: &[Address] = &[
    ask("/openapi.json", "this description", "Description"),
    // Passkeys
    send(
        "/sign-in/passkey/begin",
        "a question for an authenticator, to come in",
        Body::Json("Login"),
        "Question",
    ),
    send(
        "/sign-in/passkey/finish",
        "the authenticator's answer",
        Body::Json("Answer"),
        "Done",
    ),
    send(
        "/account/passkeys/begin",
        "a question for an authenticator, to add a passkey",
        Body::Json("NewPasskey"),
        "Question",
    ),
    send(
        "/account/passkeys/finish",
        "the authenticator's answer",
        Body::Json("Answer"),
        "Done",
    ),
    // Visits
    send(
        "/visit/{id}/exam/{of}",
        "keep answers of the examination of a foot, a leg or the person",
        Body::Texts,
        "SavedExam",
    ),
    // Films
    Address {
        asked: &[(
            "again",
            "anything: a second reading, without earlier points",
        )],
        ..ask(
            "/film/{id}/meta",
            "what the film desk knows of a film",
            "Film",
        )
    },
    send(
        "/film/{id}/overlay",
        "readings and drawing of points in hand; nothing is kept",
        Body::Json("PointsInHand"),
        "Overlay",
    ),
    send(
        "/film/{id}/points",
        "keep a placing of points",
        Body::Json("PointsToKeep"),
        "SavedPoints",
    ),
    send(
        "/film/{id}/snap",
        "the nearest strong edge",
        Body::Json("OnePoint"),
        "Proposal",
    ),
    send(
        "/film/{id}/circle",
        "the circle through marks",
        Body::Json("Marks"),
        "Proposal",
    ),
    send(
        "/film/{id}/axis",
        "the middle line between marks on two borders",
        Body::Json("Marks"),
        "Proposal",
    ),
    send(
        "/film/{id}/turn",
        "keep how a film is shown",
        Body::Json("Turn"),
        "Said",
    ),
    send(
        "/film/{id}/scale",
        "keep where millimetres come from",
        Body::Json("Scale"),
        "Said",
    ),
    // Prints, photographs, clips, markers
    send(
        "/capture/{id}/steps",
        "keep what was done to a capture",
        Body::Texts,
        "Capture",
    ),
    send(
        "/capture/{id}/undo",
        "take the last step back",
        Body::Texts,
        "Capture",
    ),
    ask(
        "/capture/{id}/at/{frame}",
        "drawing and points of one frame of a clip",
        "Frame",
    ),
    ask(
        "/capture/{id}/follow",
        "how far the following of a clip is",
        "Far",
    ),
    send(
        "/capture/{id}/follow",
        "follow the points of a clip",
        Body::Texts,
        "Far",
    ),
    send(
        "/capture/{id}/follow/stop",
        "stop following",
        Body::None,
        "Far",
    ),
    // Orders
    send(
        "/order/{id}/save",
        "keep a draft of an order",
        Body::Texts,
        "SavedOrder",
    ),
    send(
        "/order/{id}/undo",
        "take the last save back",
        Body::Texts,
        "SavedOrder",
    ),
    send(
        "/order/{id}/section",
        "a section of the device in hand; nothing is kept",
        Body::Json("SectionWanted"),
        "Drawing",
    ),
    ask(
        "/order/{id}/thinnest",
        "how far the search for the thinnest wall is",
        "FarOff",
    ),
    send(
        "/order/{id}/thinnest",
        "the thinnest wall that holds",
        Body::Json("WallWanted"),
        "Wall",
    ),
    send(
        "/order/{id}/thinnest/stop",
        "stop the search",
        Body::None,
        "Nothing",
    ),
    ask(
        "/order/{id}/final",
        "how far the making of the files is",
        "Made",
    ),
    send(
        "/order/{id}/final",
        "make the files of the order as saved",
        Body::None,
        "Made",
    ),
    send("/order/{id}/final/stop", "stop making", Body::None, "Made"),
    // Machines: health records
    fhir("/fhir/metadata", "the server's statement", "Resource"),
    Address {
        asked: EXPORTED,
        answers: Answers::Accepted,
        ..fhir(
            "/fhir/$export",
            "ask for everybody's records, with Prefer: respond-async",
            "",
        )
    },
    Address {
        asked: EXPORTED,
        answers: Answers::Accepted,
        ..fhir("/fhir/Patient/$export", "the same", "")
    },
    Address {
        answers: Answers::WhenReady("Exported"),
        ..fhir(
            "/fhir/$export/{job}",
            "how far it is, and its files when it is ready",
            "",
        )
    },
    Address {
        method: Delete,
        answers: Answers::Accepted,
        ..fhir("/fhir/$export/{job}", "stop it, or take its files away", "")
    },
    Address {
        answers: Answers::Lines,
        ..fhir("/fhir/$export/{job}/{file}", "one file", "")
    },
    Address {
        asked: FOUND,
        ..fhir("/fhir/{kind}", "search one type of resource", "Bundle")
    },
    Address {
        method: Post,
        body: Body::Texts,
        ..fhir(
            "/fhir/{kind}/_search",
            "search one type of resource, asked in the body",
            "Bundle",
        )
    },
    fhir("/fhir/{kind}/{id}", "one resource", "Resource"),
    // Machines: films
    qido("/dicomweb/studies", "search studies"),
    qido("/dicomweb/series", "search series"),
    qido("/dicomweb/instances", "search objects"),
    qido(
        "/dicomweb/studies/{study}/series",
        "search series of a study",
    ),
    qido(
        "/dicomweb/studies/{study}/instances",
        "search objects of a study",
    ),
    qido(
        "/dicomweb/studies/{study}/series/{series}/instances",
        "search objects of a series",
    ),
    heads(
        "/dicomweb/studies/{study}/metadata",
        "heads of the objects of a study",
    ),
    heads(
        "/dicomweb/studies/{study}/series/{series}/metadata",
        "heads of the objects of a series",
    ),
    heads(
        "/dicomweb/studies/{study}/series/{series}/instances/{instance}/metadata",
        "head of an object",
    ),
    films("/dicomweb/studies/{study}", "whole objects of a study"),
    films(
        "/dicomweb/studies/{study}/series/{series}",
        "whole objects of a series",
    ),
    films(
        "/dicomweb/studies/{study}/series/{series}/instances/{instance}",
        "a whole object",
    ),
    stow("/dicomweb/studies", "send films"),
    stow("/dicomweb/studies/{study}", "send films of one study"),
];

//! What went wrong, and what the person can do: the one match from an error to status and sentence.
//!
//! A handler returns a [`PageError`]; its response carries status and [`Told`], and
//! [`crate::shell`] turns that into a page or, where the script asked, into JSON. Nothing personal is
//! ever put into it.

use axum::{
    http::{HeaderValue, StatusCode, header},
    response::{IntoResponse, Redirect, Response},
};
use record::id::BadId;
use store::StoreError;

/// Everything a handler may fail with.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    #[error("there is no such {what} here")]
    NotFound { what: &'static str },
    /// Something on the page was filled in so that it cannot be used.
    #[error("{sentence}")]
    Input { sentence: String },
    /// Somebody else, or another window, saved in between.
    #[error("this was changed in another window or by somebody else since you opened it")]
    Stale,
    /// The person may not, or not yet, do this.
    #[error("{sentence}")]
    NotNow { sentence: String },
    /// Who they are does not let them.
    #[error("{sentence}")]
    MayNot { sentence: String },
    /// A machine came without a good key.
    #[error("a machine came without a key of this practice")]
    NoKey,
    /// More than is answered at a time.
    #[error("{sentence}")]
    TooMany { sentence: String, seconds: u64 },
    /// What somebody showed at the door does not let them in.
    #[error("{sentence}")]
    NotLetIn { sentence: String },
    /// Nobody is signed in, or the session has ended.
    #[error("nobody is signed in here, or the session has ended")]
    NotIn,
    #[error("{sentence}")]
    Storage { sentence: String },
    /// Our own fault; the detail goes to the log, not to the page.
    #[error("{doing} failed")]
    Ours { doing: &'static str, detail: String },
    /// Not an error to the person: another page has to come first.
    #[error("another page comes first")]
    GoTo { place: String },
}

/// What a page or a script is told about an error.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    pub title: &'static str,
    pub happened: String,
    pub todo: &'static str,
}

impl PageError {
    pub fn input(sentence: impl Into<String>) -> Self {
        Self::Input {
            sentence: sentence.into(),
        }
    }

    pub fn ours(doing: &'static str, detail: impl std::fmt::Display) -> Self {
        Self::Ours {
            doing,
            detail: detail.to_string(),
        }
    }

    fn parts(&self) -> (StatusCode, &'static str, &'static str) {
        match self {
            PageError::NotFound { .. } => (
                StatusCode::NOT_FOUND,
                "Not found",
                "Go back to Today and open it from there; the address may be old or mistyped.",
            ),
            PageError::Input { .. } => (
                StatusCode::UNPROCESSABLE_ENTITY,
                "This could not be used",
                "Go back, correct it and try again; nothing was changed.",
            ),
            PageError::Stale => (
                StatusCode::CONFLICT,
                "Changed meanwhile",
                "Load the page again to see the newest state, then make your change; nothing was overwritten.",
            ),
            PageError::NotNow { .. } => (
                StatusCode::CONFLICT,
                "Not possible now",
                "Nothing was changed.",
            ),
            PageError::MayNot { .. } => (
                StatusCode::FORBIDDEN,
                "Not for you",
                "Nothing was changed. Ask an administrator of the practice if you should be able to do this.",
            ),
            PageError::NotIn => (
                StatusCode::UNAUTHORIZED,
                "Signed out",
                "Sign in again in another window, then try again; what you typed is still here.",
            ),
            PageError::NoKey => (
                StatusCode::UNAUTHORIZED,
                "No key",
                "Send a key made under People, Keys for machines, as Authorization: Bearer.",
            ),
            PageError::NotLetIn { .. } => (
                StatusCode::UNAUTHORIZED,
                "Not let in",
                "Try again, or sign in another way.",
            ),
            PageError::TooMany { .. } => (
                StatusCode::TOO_MANY_REQUESTS,
                "Too much at once",
                "Wait a moment, then try again; nothing was changed.",
            ),
            PageError::Storage { .. } => (
                StatusCode::INSUFFICIENT_STORAGE,
                "Could not be stored",
                "What was confirmed before is safe. Make room or free the data folder, then try again.",
            ),
            PageError::GoTo { .. } => (StatusCode::SEE_OTHER, "", ""),
            PageError::Ours { .. } => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "Our fault",
                "What was confirmed before is safe. Try again; if it happens again, report what you did.",
            ),
        }
    }
}

/// What this program kept and cannot read back or write is its own fault.
impl From<record::kept::KeptError> for PageError {
    fn from(fault: record::kept::KeptError) -> Self {
        PageError::ours("reading or keeping an order", fault)
    }
}

impl From<StoreError> for PageError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Missing { what, .. } => PageError::NotFound { what },
            StoreError::ChangedMeanwhile { .. } => PageError::Stale,
            StoreError::Refused(bad) => PageError::input(bad.to_string()),
            StoreError::Taken { .. } => PageError::input(error.to_string()),
            StoreError::Frozen { .. }
            | StoreError::NothingToUndo { .. }
            | StoreError::NotSigned
            | StoreError::NotSent
            | StoreError::NotTakenAway => PageError::NotNow {
                sentence: error.to_string(),
            },
            StoreError::DiskFull { .. }
            | StoreError::InUse { .. }
            | StoreError::NoAnswer { .. }
            | StoreError::Sealed { .. }
            | StoreError::NotSealed { .. }
            | StoreError::NotLetIn { .. }
            | StoreError::CutOff { .. } => PageError::Storage {
                sentence: error.to_string(),
            },
            StoreError::NotOurs { .. }
            | StoreError::TooNew { .. }
            | StoreError::Damaged { .. }
            | StoreError::NotOurDatabase { .. }
            | StoreError::BadCopy { .. }
            | StoreError::LeaseOver
            | StoreError::Failed { .. } => PageError::ours("reading or writing the record", error),
        }
    }
}

impl From<BadId> for PageError {
    fn from(bad: BadId) -> Self {
        PageError::NotFound { what: bad.what }
    }
}

impl From<askama::Error> for PageError {
    fn from(error: askama::Error) -> Self {
        PageError::ours("writing the page", error)
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        if let PageError::GoTo { place } = &self {
            return Redirect::to(place).into_response();
        }
        let (status, title, todo) = self.parts();
        if let PageError::Ours { doing, detail } = &self {
            tracing::error!(doing, detail, "a page failed");
        }
        let told = Told {
            title,
            happened: sentence(&self.to_string()),
            todo,
        };
        let mut response = status.into_response();
        response.extensions_mut().insert(told);
        match self {
            PageError::TooMany { seconds, .. } => {
                let seconds = HeaderValue::from(seconds.max(1));
                response.headers_mut().insert(header::RETRY_AFTER, seconds);
            }
            PageError::NoKey => {
                let scheme = HeaderValue::from_static("Bearer");
                response
                    .headers_mut()
                    .insert(header::WWW_AUTHENTICATE, scheme);
            }
            _ => {}
        }
        response
    }
}

/// What to say where a layer answered with a bare status.
pub fn told_of(status: StatusCode) -> Told {
    let (title, happened, todo) = match status {
        StatusCode::NOT_FOUND => (
            "Not found",
            "There is no page at this address.",
            "Go back to Today and open it from there; the address may be old or mistyped.",
        ),
        StatusCode::METHOD_NOT_ALLOWED => (
            "Not found",
            "This address does not take what was sent to it.",
            "Go back to Today and start again from there.",
        ),
        StatusCode::FORBIDDEN => (
            "Refused",
            "The request came from another site and was refused, so that no other page can act in your name.",
            "Open Tiebeam in its own tab and do it there.",
        ),
        StatusCode::MISDIRECTED_REQUEST => (
            "Refused",
            "The request was addressed to another host name than this program's own.",
            "Use the address that the program printed when it started.",
        ),
        StatusCode::PAYLOAD_TOO_LARGE => (
            "Too large",
            "What was sent is larger than this page takes.",
            "Send one film of at most 256 MB, one foot scan of at most 64 MB, or one print of at most 128 MB, at a time.",
        ),
        StatusCode::REQUEST_TIMEOUT
        | StatusCode::SERVICE_UNAVAILABLE
        | StatusCode::GATEWAY_TIMEOUT => (
            "Took too long",
            "The answer took too long and was given up.",
            "Try again; if it happens again, try a smaller film.",
        ),
        s if s.is_client_error() => (
            "This could not be used",
            "What was sent could not be read as this page's form.",
            "Load the page again and repeat the change; nothing was changed.",
        ),
        _ => (
            "Our fault",
            "Something went wrong inside the program.",
            "What was confirmed before is safe. Try again; if it happens again, report what you did.",
        ),
    };
    Told {
        title,
        happened: happened.to_owned(),
        todo,
    }
}

pub use terms::sentence;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_starts_large_and_ends_with_one_full_stop() {
        assert_eq!(sentence("the file is empty"), "The file is empty.");
        assert_eq!(sentence("Örtlich geprüft."), "Örtlich geprüft.");
    }

    #[test]
    fn our_own_fault_does_not_show_its_detail() {
        let response = PageError::ours("drawing the film", "secret detail").into_response();
        let told = response.extensions().get::<Told>().unwrap();
        assert_eq!(response.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert_eq!(told.happened, "Drawing the film failed.");
    }
}

//! With which key does a machine come in, and what is written down of it?
//!
//! A key that is not there, one that is none and one that was taken back are told alike. Attempts with a wrong key are
//! limited for each address as attempts to sign in are, in a count of their own.

use crate::{
    AppState,
    access::{doors::KNOCK_EVERY, table::Row},
    error::PageError,
};
use account::token;
use axum::{
    extract::{ConnectInfo, FromRequestParts},
    http::{Extensions, HeaderMap, header, request::Parts},
};
use record::{MachineKey, MachineMay, Noted, PatientId, ToNote};
use std::{collections::BTreeSet, net::SocketAddr, sync::Arc};
use time::OffsetDateTime;

/// A machine that was let in.
#[derive(Clone)]
pub struct Machine {
    pub state: AppState,
    pub key: Arc<MachineKey>,
    pub now: OffsetDateTime,
    /// This program's own address as the machine called it, without a slash at its end.
    pub address: String,
}

/// Put into the request by [`let_in`].
#[derive(Clone)]
struct LetIn(Arc<MachineKey>, OffsetDateTime);

/// The token of `Authorization: Bearer`; `None` where nothing of this form is there.
pub fn bearer(headers: &HeaderMap) -> Option<&str> {
    let mut all = headers.get_all(header::AUTHORIZATION).iter();
    let value = all.next()?.to_str().ok()?;
    if all.next().is_some() {
        return None;
    }
    let (scheme, token) = value.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| token.trim())
}

/// # Errors
/// `NoKey`, `TooMany` after many wrong keys from one address, `MayNot` for a good key that opens something else.
pub async fn let_in(
    state: &AppState,
    row: &Row,
    may: MachineMay,
    headers: &HeaderMap,
    extensions: &mut Extensions,
) -> Result<Arc<MachineKey>, PageError> {
    let now = state.clock.now();
    let from = extensions
        .get::<ConnectInfo<SocketAddr>>()
        .map(|ConnectInfo(address)| address.ip());
    if !state.doors.key_knocks.has_left(from, now) {
        return Err(PageError::TooMany {
            sentence: "many wrong keys came from this address".to_owned(),
            seconds: KNOCK_EVERY.whole_seconds().unsigned_abs(),
        });
    }
    let found = match bearer(headers).and_then(token::kept) {
        Some(kept) => state.store.key_of(kept).await?,
        None => None,
    };
    let Some(key) = found.filter(MachineKey::is_good) else {
        state.doors.key_knocks.take(from, now);
        let detail = format!("key for a machine at {}", row.path);
        state
            .store
            .note(note_of(now, None, Noted::Refused, None, detail))
            .await?;
        return Err(PageError::NoKey);
    };
    if !key.opens(may) {
        let detail = row.path.to_owned();
        let note = note_of(now, Some(&key), Noted::Denied, None, detail);
        state.store.note(note).await?;
        return Err(PageError::MayNot {
            sentence: format!("this key does not let a machine {}", may.words()),
        });
    }
    if key.last_used != Some(now.date()) {
        state.store.key_used(key.id, now.date()).await?;
    }
    state.pace.asked(now);
    let key = Arc::new(key);
    extensions.insert(LetIn(key.clone(), now));
    Ok(key)
}

fn note_of(
    at: OffsetDateTime,
    key: Option<&MachineKey>,
    kind: Noted,
    patient: Option<PatientId>,
    detail: String,
) -> ToNote {
    ToNote {
        at,
        account: None,
        person: None,
        kind,
        patient,
        detail: match key {
            Some(key) => format!("key '{}' {}: {detail}", key.label, key.id),
            None => detail,
        },
    }
}

impl Machine {
    /// An entry of the trail that names the key.
    ///
    /// # Errors
    /// Whatever the store fails with: what is not written down is not given.
    pub async fn note(
        &self,
        kind: Noted,
        patient: Option<PatientId>,
        detail: impl Into<String>,
    ) -> Result<(), PageError> {
        let note = self.to_note(kind, patient, detail);
        self.state.store.note(note).await?;
        Ok(())
    }

    pub fn to_note(
        &self,
        kind: Noted,
        patient: Option<PatientId>,
        detail: impl Into<String>,
    ) -> ToNote {
        note_of(self.now, Some(&self.key), kind, patient, detail.into())
    }

    /// A look at each of these records; one without any is written down as well.
    ///
    /// # Errors
    /// As for one.
    pub async fn saw(
        &self,
        patients: impl IntoIterator<Item = PatientId>,
        detail: &str,
    ) -> Result<(), PageError> {
        let mut any = false;
        for patient in patients {
            any = true;
            self.note(Noted::MachineSaw, Some(patient), detail).await?;
        }
        match any {
            true => Ok(()),
            false => {
                let detail = format!("{detail}: nobody's");
                self.note(Noted::MachineSaw, None, detail).await
            }
        }
    }

    /// Whose records this key is not given.
    ///
    /// # Errors
    /// Whatever the store fails with.
    pub async fn hidden(&self) -> Result<BTreeSet<PatientId>, PageError> {
        if self.key.closed_too.is_some() {
            return Ok(BTreeSet::new());
        }
        let closed = self.state.store.closures().await?;
        Ok(closed.into_iter().map(|c| c.patient).collect())
    }
}

impl FromRequestParts<AppState> for Machine {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, PageError> {
        let LetIn(key, now) = parts
            .extensions
            .get::<LetIn>()
            .cloned()
            .ok_or(PageError::NoKey)?;
        Ok(Self {
            state: state.clone(),
            key,
            now,
            address: own_address(state, parts),
        })
    }
}

/// As the request names it; the host was held against this program's own names before.
fn own_address(state: &AppState, parts: &Parts) -> String {
    let scheme = match state.doors.reached.secure {
        true => "https",
        false => "http",
    };
    let host = parts.uri.authority().map(|a| a.as_str()).or_else(|| {
        parts
            .headers
            .get(header::HOST)
            .and_then(|h| h.to_str().ok())
    });
    format!("{scheme}://{}", host.unwrap_or("localhost"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_token_is_found_behind_the_word_bearer_alone() {
        let with = |value: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert(header::AUTHORIZATION, HeaderValue::from_static(value));
            bearer(&headers).map(str::to_owned)
        };
        assert_eq!(with("Bearer ab"), Some("ab".into()));
        assert_eq!(with("bearer  ab "), Some("ab".into()));
        for other in ["Basic ab", "Bearer", "ab", ""] {
            assert_eq!(with(other), None, "{other}");
        }
        let mut twice = HeaderMap::new();
        for value in ["Bearer ab", "Bearer cd"] {
            twice.append(header::AUTHORIZATION, HeaderValue::from_static(value));
        }
        assert_eq!(bearer(&twice), None, "two tokens are none");
    }
}

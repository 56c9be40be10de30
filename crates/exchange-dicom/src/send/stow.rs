//! How do objects go to another program over the web? STOW-RS (PS3.18 section 10.5), the sender's side.
//!
//! One surprise: nothing is followed elsewhere. A redirect would carry a patient's pictures to an address that nobody
//! entered.

use super::multipart;
use super::scu::{SendError, Sent};
use crate::tree::{self, Limits};
use dicom_dictionary_std::tags;
use reqwest::header::{AUTHORIZATION, HeaderValue};
use serde_json::Value;
use std::time::Duration;

/// Longest answer that is read.
const MOST_ANSWER: usize = 1024 * 1024;
/// Longest wait for a line, and for the whole.
const FIRST: Duration = Duration::from_secs(20);
const WHOLE: Duration = Duration::from_secs(300);

/// The other side.
#[derive(Clone)]
pub struct Stow {
    studies: reqwest::Url,
    client: reqwest::Client,
    key: Option<HeaderValue>,
}

/// An address that is none to send to.
#[derive(Debug, thiserror::Error)]
pub enum BadAddress {
    #[error(
        "found another address; expected one that begins with https://, such as https://images.example.org/dicom-web"
    )]
    Form,
    #[error("found {what} in PEM that could not be used; expected the authority's certificate")]
    Authority { what: &'static str },
    #[error(
        "found a key that cannot stand in a request; expected one word of letters, digits and signs, as the other side gave it"
    )]
    Key,
    #[error("the web client could not be made ({0})")]
    Client(String),
}

impl Stow {
    /// The address of the service; `/studies` is added where it does not end so. `authority`: certificates (PEM) that are
    /// trusted beside those of the system.
    ///
    /// # Errors
    /// Anything but https, or http to this machine itself.
    pub fn to(address: &str, authority: Option<&[u8]>) -> Result<Self, BadAddress> {
        let mut studies: reqwest::Url = address.parse().map_err(|_| BadAddress::Form)?;
        let loopback = match studies.host_str() {
            Some(host) => {
                let bare = host.trim_start_matches('[').trim_end_matches(']');
                bare.parse::<std::net::IpAddr>()
                    .is_ok_and(|ip| ip.is_loopback())
            }
            None => false,
        };
        let sealed = studies.scheme() == "https" || (studies.scheme() == "http" && loopback);
        let plain = studies.query().is_none() && studies.fragment().is_none();
        if !sealed || !plain || studies.host_str().is_none() {
            return Err(BadAddress::Form);
        }
        let path = studies.path().trim_end_matches('/').to_owned();
        studies.set_path(&match path.ends_with("/studies") {
            true => path,
            false => format!("{path}/studies"),
        });
        let mut client = reqwest::Client::builder()
            .redirect(reqwest::redirect::Policy::none())
            .no_proxy()
            .connect_timeout(FIRST)
            .timeout(WHOLE);
        if let Some(pem) = authority {
            let bad = |_| BadAddress::Authority {
                what: "a certificate",
            };
            for certificate in reqwest::Certificate::from_pem_bundle(pem).map_err(bad)? {
                client = client.add_root_certificate(certificate);
            }
        }
        let client = client
            .build()
            .map_err(|e| BadAddress::Client(e.without_url().to_string()))?;
        Ok(Self {
            studies,
            client,
            key: None,
        })
    }

    /// With a key that is shown in every request (`Authorization: Bearer`, RFC 6750 section 2.1).
    ///
    /// # Errors
    /// A key with signs that cannot stand there.
    pub fn with_key(mut self, key: &str) -> Result<Self, BadAddress> {
        let good = !key.is_empty() && key.bytes().all(|b| b.is_ascii_graphic());
        let shown = HeaderValue::try_from(format!("Bearer {key}"));
        let mut shown = shown.ok().filter(|_| good).ok_or(BadAddress::Key)?;
        // Stands in no log.
        shown.set_sensitive(true);
        self.key = Some(shown);
        Ok(self)
    }

    /// Sends files in one request; one answer each. `boundary` must stand in none of them.
    ///
    /// # Errors
    /// When the request as a whole fails.
    pub async fn store(&self, files: &[Vec<u8>], boundary: &str) -> Result<Vec<Sent>, SendError> {
        let instances: Vec<String> = files
            .iter()
            .map(|f| instance_of(f))
            .collect::<Result<_, _>>()?;
        let objects: Vec<&[u8]> = files.iter().map(Vec::as_slice).collect();
        let (content_type, body) =
            multipart::body(boundary, &objects).map_err(|_| SendError::Write { what: "a body" })?;
        let mut request = self
            .client
            .post(self.studies.clone())
            .header("content-type", content_type)
            .header("accept", "application/dicom+json");
        if let Some(key) = &self.key {
            request = request.header(AUTHORIZATION, key);
        }
        let mut answer = request.body(body).send().await.map_err(line)?;
        let status = answer.status().as_u16();
        if !matches!(status, 200 | 202 | 409) {
            return Err(SendError::Status { status });
        }
        let mut said = Vec::new();
        while let Some(chunk) = answer.chunk().await.map_err(line)? {
            if said.len() + chunk.len() > MOST_ANSWER {
                return Err(SendError::Answer {
                    found: "more than a mebibyte",
                });
            }
            said.extend(&chunk);
        }
        Ok(answers(status, &said, &instances))
    }
}

fn line(fault: reqwest::Error) -> SendError {
    SendError::Line(std::io::Error::other(fault.without_url()))
}

fn instance_of(file: &[u8]) -> Result<String, SendError> {
    let mut inflated = Vec::new();
    let object = tree::file(file, &mut inflated, &Limits::default())?;
    object
        .set
        .uid(tags::SOP_INSTANCE_UID)
        .ok_or(SendError::Nameless)
}

/// What became of each, by status and the list of failed objects. Where the other side names nobody as failed but
/// does not say 200, or 409, or says that something failed but not what, nothing is believed to be kept.
fn answers(status: u16, said: &[u8], instances: &[String]) -> Vec<Sent> {
    let failed = failed_of(said);
    let unnamed = failed.iter().find(|f| f.instance.is_none());
    instances
        .iter()
        .map(|instance| {
            let own = failed
                .iter()
                .find(|f| f.instance.as_ref() == Some(instance))
                .or(unnamed);
            match (status, own) {
                (_, Some(own)) => Sent::Refused { status: own.reason },
                (200, None) => Sent::Kept { warning: None },
                (202, None) if !failed.is_empty() => Sent::Kept { warning: None },
                // 202 without a list: kept with a warning about the whole.
                (202, None) => Sent::Kept {
                    warning: Some(0xB000),
                },
                _ => Sent::Refused { status: 0x0110 },
            }
        })
        .collect()
}

struct Failed {
    instance: Option<String>,
    reason: u16,
}

/// Failed SOP Sequence (0008,1198): identifiers and reasons.
fn failed_of(said: &[u8]) -> Vec<Failed> {
    let Ok(said) = serde_json::from_slice::<Value>(said) else {
        return Vec::new();
    };
    let root = said.get(0).unwrap_or(&said);
    let items = root
        .pointer("/00081198/Value")
        .and_then(Value::as_array)
        .map(Vec::as_slice)
        .unwrap_or_default();
    items
        .iter()
        .take(1000)
        .map(|item| {
            let instance = item.pointer("/00081155/Value/0").and_then(Value::as_str);
            let reason = item
                .pointer("/00081197/Value/0")
                .and_then(Value::as_u64)
                .and_then(|n| u16::try_from(n).ok());
            Failed {
                instance: instance.map(str::to_owned),
                reason: reason.unwrap_or(0x0110),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_https_or_this_machine_itself_is_sent_to() {
        for good in [
            "https://images.example.org/dicom-web",
            "https://images.example.org/dicom-web/studies/",
            "http://127.0.0.1:8042",
            "http://[::1]:8042/x",
        ] {
            let to = Stow::to(good, None).unwrap();
            assert!(to.studies.path().ends_with("/studies"), "{good}");
            assert_eq!(to.studies.path().matches("studies").count(), 1, "{good}");
        }
        for bad in [
            "http://images.example.org",
            "http://localhost.example.org",
            "images.example.org",
            "file:///etc/passwd",
            "https://images.example.org/x?token=1",
        ] {
            assert!(Stow::to(bad, None).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_key_is_one_word_and_stands_in_nothing_that_is_written_down() {
        let to = || Stow::to("https://images.example.org", None).unwrap();
        let with = to().with_key("an-invented-key.1").unwrap();
        assert!(!format!("{:?}", with.key).contains("invented"));
        for bad in ["", "two words", "a\r\nhost: b", "ü"] {
            assert!(to().with_key(bad).is_err(), "{bad:?}");
        }
    }

    #[test]
    fn what_the_other_side_did_not_keep_is_not_believed_to_be_kept() {
        let instances = ["2.25.1".to_owned(), "2.25.2".to_owned()];
        let kept = Sent::Kept { warning: None };
        assert_eq!(answers(200, b"", &instances), [kept.clone(), kept.clone()]);
        let one = br#"{"00081198":{"vr":"SQ","Value":[{"00081155":{"vr":"UI","Value":["2.25.2"]},"00081197":{"vr":"US","Value":[42752]}}]}}"#;
        let refused = Sent::Refused { status: 42752 };
        assert_eq!(answers(202, one, &instances), [kept, refused]);
        let nameless =
            br#"{"00081198":{"vr":"SQ","Value":[{"00081197":{"vr":"US","Value":[49152]}}]}}"#;
        let refused = Sent::Refused { status: 0xC000 };
        assert_eq!(
            answers(202, nameless, &instances),
            [refused.clone(), refused],
            "one of them failed, and nobody says which"
        );
        let all = answers(409, b"no JSON", &instances);
        assert!(
            all.iter().all(|s| matches!(s, Sent::Refused { .. })),
            "{all:?}"
        );
    }
}

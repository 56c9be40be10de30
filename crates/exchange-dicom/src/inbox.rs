//! Who keeps what came in? The callback that receiver and watched folder hand their objects to.

use crate::classes;
use crate::facts::HeaderFacts;
use crate::tree::{self, Limits, TreeError};
use dicom_dictionary_std::tags;
use std::future::Future;
use std::net::IpAddr;

/// Where an object came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    Network {
        calling: String,
        address: IpAddr,
    },
    Folder {
        file_name: String,
    },
    /// Handed over by a page or a command.
    Handed,
}

/// One whole, well-formed object.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Received {
    /// As a file: preamble, meta group and the data set untouched.
    pub file: Vec<u8>,
    pub sop_class: String,
    pub sop_instance: String,
    pub transfer_syntax: String,
    pub facts: HeaderFacts,
    pub origin: Origin,
}

/// Why an object was not kept.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// No room, or too much at once: worth another try later.
    #[error("not kept: {0}")]
    NoRoom(String),
    /// Not understood: another try is of no use.
    #[error("not kept: {0}")]
    NotUnderstood(String),
    /// Something else failed.
    #[error("not kept: {0}")]
    Failed(String),
}

impl Refusal {
    /// The status of a C-STORE response (PS3.4 table B.2-1, PS3.7 annex C).
    pub fn status(&self) -> u16 {
        match self {
            Refusal::NoRoom(_) => 0xA700,
            Refusal::NotUnderstood(_) => 0xC000,
            Refusal::Failed(_) => 0x0110,
        }
    }
}

/// Keeps what came in.
pub trait Inbox: Send + Sync {
    /// Answers once the object lies where a power cut does not take it away, or says why it does not.
    fn keep(&self, received: Received) -> impl Future<Output = Result<(), Refusal>> + Send;
}

/// An object that is not handed on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotTaken {
    #[error("{0}")]
    Tree(#[from] TreeError),
    #[error("found an object without {what}; expected a film or document; export it again")]
    Lacks { what: &'static str },
    #[error("found a kind of object that is not taken ({class}); expected a film")]
    Class { class: String },
    #[error("found a way of writing that is not read ({syntax}); export it uncompressed")]
    Syntax { syntax: String },
}

/// Reads a file to its end and checks that it is one whole object of a kind that is taken.
///
/// # Errors
/// One sentence for everything else.
pub fn well_formed(file: Vec<u8>, origin: Origin, limits: &Limits) -> Result<Received, NotTaken> {
    let mut inflated = Vec::new();
    let object = tree::file(&file, &mut inflated, limits)?;
    let set = &object.set;
    let facts = HeaderFacts::of(set);
    let lacks = |what| NotTaken::Lacks { what };
    let sop_class = facts.class_uid.clone().ok_or(lacks("a class"))?;
    let sop_instance = facts.instance_uid.clone().ok_or(lacks("an identifier"))?;
    if !classes::is_taken(&sop_class) {
        return Err(NotTaken::Class { class: sop_class });
    }
    let transfer_syntax = object.transfer_syntax.clone();
    if !classes::is_read(&transfer_syntax) {
        return Err(NotTaken::Syntax {
            // Never more of a stranger's text than an identifier.
            syntax: if crate::uids::is_uid(&transfer_syntax) {
                transfer_syntax
            } else {
                "no identifier".into()
            },
        });
    }
    if facts.study_uid.is_none() {
        return Err(lacks("a study"));
    }
    let empty = match set.get(tags::PIXEL_DATA).map(|e| &e.value) {
        Some(tree::Value::Bytes(bytes)) => bytes.is_empty(),
        Some(tree::Value::Fragments(fragments)) => fragments.len() < 2,
        _ => true,
    };
    if empty {
        return Err(lacks("a picture"));
    }
    drop(object);
    Ok(Received {
        file,
        sop_class,
        sop_instance,
        transfer_syntax,
        facts,
        origin,
    })
}

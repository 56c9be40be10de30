//! How do objects go out over the network? C-ECHO and C-STORE to one other side, plain or under TLS.

use crate::classes;
use crate::dimse::{self, Command};
use crate::receive::{APPLICATION_CONTEXT, ours};
use crate::tls::Connector;
use crate::tree::{self, Limits, TreeError};
use dicom_dictionary_std::tags;
use dicom_ul::pdu::{
    AbortRQServiceProviderReason, AbortRQSource, AssociationRQ, PDataValue, PDataValueType, Pdu,
    PresentationContextProposed, PresentationContextResultReason as Reason, UserVariableItem,
    read_pdu, write_pdu,
};
use std::collections::BTreeMap;
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;

/// Largest PDU taken from the other side: it only answers.
const ANSWER_BYTES: u32 = 64 * 1024;
/// Largest PDU sent, whatever the other side would take.
const SENT_BYTES: u32 = 128 * 1024;

/// The other side.
#[derive(Clone)]
pub struct Peer {
    /// `host:port`.
    pub address: String,
    /// Its title.
    pub called: String,
    /// Our title.
    pub calling: String,
    pub tls: Option<Connector>,
    /// Longest silence.
    pub idle: Duration,
}

/// Why nothing could be sent. Nothing personal stands in it.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SendError {
    #[error("could not reach the other side ({0}); check address, port and network")]
    Line(#[from] std::io::Error),
    #[error("the other side said nothing for {seconds} s; try again or ask its keeper")]
    Silence { seconds: u64 },
    #[error("the other side refused the association ({why}); have title and address entered there")]
    Rejected { why: String },
    #[error("the other side broke off the association; try again or ask its keeper")]
    Aborted,
    #[error("the other side answered {found}, which is no answer to what was sent")]
    Answer { found: &'static str },
    #[error(
        "the other side answered with status {status}; have this address and its rights looked at there"
    )]
    Status { status: u16 },
    #[error("found more than 128 kinds of objects in one sending; send fewer at once")]
    TooManyKinds,
    #[error("an object to be sent is not whole: {0}")]
    Object(#[from] TreeError),
    #[error("an object to be sent lacks class or identifier; make it again")]
    Nameless,
    #[error("a message could not be written ({what})")]
    Write { what: &'static str },
}

/// What became of one object.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sent {
    /// Kept by the other side; a warning status (0xBxxx) stands beside it.
    Kept {
        warning: Option<u16>,
    },
    Refused {
        status: u16,
    },
    /// The other side does not take its class or way of writing.
    NotAgreed,
}

/// A file cut into what the association needs.
struct Ready {
    class: String,
    instance: String,
    syntax: String,
    data: std::ops::Range<usize>,
}

impl Ready {
    fn of(file: &[u8]) -> Result<Ready, SendError> {
        let mut inflated = Vec::new();
        let object = tree::file(file, &mut inflated, &Limits::default())?;
        let class = object.set.uid(tags::SOP_CLASS_UID);
        let instance = object.set.uid(tags::SOP_INSTANCE_UID);
        let syntax = object.transfer_syntax.clone();
        drop(object);
        let (Some(class), Some(instance)) = (class, instance) else {
            return Err(SendError::Nameless);
        };
        let start = tree::data_set_start(file)?;
        Ok(Ready {
            class,
            instance,
            syntax,
            data: start..file.len(),
        })
    }
}

impl Peer {
    /// Is the other side there, and does it let us in?
    ///
    /// # Errors
    /// One sentence for what stands in the way.
    pub async fn echo(&self) -> Result<(), SendError> {
        let kind = (
            classes::VERIFICATION.uid.to_owned(),
            classes::WRITTEN.uid.to_owned(),
        );
        let mut line = self.open(&[kind]).await?;
        let (context, _) = line.agreed(0).ok_or(SendError::Answer {
            found: "that it knows no echo",
        })?;
        let request = Command {
            field: dimse::ECHO,
            message_id: 1,
            sop_class: Some(classes::VERIFICATION.uid.into()),
            sop_instance: None,
            has_data: false,
            status: None,
        };
        let status = line.ask(context, &request, &[]).await?;
        line.release().await;
        if status == dimse::SUCCESS {
            Ok(())
        } else {
            Err(SendError::Answer {
                found: "an echo with a fault",
            })
        }
    }

    /// Sends files over one association, in their order; one answer each.
    ///
    /// # Errors
    /// When the association as a whole fails; objects that were kept before that are kept.
    pub async fn store(&self, files: &[Vec<u8>]) -> Result<Vec<Sent>, SendError> {
        let ready = files
            .iter()
            .map(|f| Ready::of(f))
            .collect::<Result<Vec<_>, _>>()?;
        let mut kinds: Vec<(String, String)> = Vec::new();
        for r in &ready {
            let kind = (r.class.clone(), r.syntax.clone());
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
        }
        if kinds.len() > 128 {
            return Err(SendError::TooManyKinds);
        }
        let mut line = self.open(&kinds).await?;
        let mut answers = Vec::with_capacity(ready.len());
        for (r, file) in ready.iter().zip(files) {
            let place = kinds
                .iter()
                .position(|(class, syntax)| *class == r.class && *syntax == r.syntax);
            let Some((context, _)) = place.and_then(|p| line.agreed(p)) else {
                answers.push(Sent::NotAgreed);
                continue;
            };
            let request = Command {
                field: dimse::STORE,
                message_id: (answers.len() % 65_535) as u16 + 1,
                sop_class: Some(r.class.clone()),
                sop_instance: Some(r.instance.clone()),
                has_data: true,
                status: None,
            };
            let data = file.get(r.data.clone()).unwrap_or_default();
            answers.push(match line.ask(context, &request, data).await? {
                dimse::SUCCESS => Sent::Kept { warning: None },
                warning @ 0xB000..=0xBFFF => Sent::Kept {
                    warning: Some(warning),
                },
                status => Sent::Refused { status },
            });
        }
        line.release().await;
        Ok(answers)
    }

    async fn open(&self, kinds: &[(String, String)]) -> Result<Line, SendError> {
        let silence = SendError::Silence {
            seconds: self.idle.as_secs(),
        };
        let all = async {
            let stream = TcpStream::connect(&self.address).await?;
            stream.set_nodelay(true)?;
            let boxed: Box<dyn Stream> = match &self.tls {
                None => Box::new(stream),
                Some(connector) => Box::new(connector.connect(stream).await?),
            };
            Ok::<_, std::io::Error>(boxed)
        };
        let stream = timeout(self.idle, all).await.map_err(|_| silence)??;
        let mut line = Line {
            stream,
            idle: self.idle,
            agreed: BTreeMap::new(),
            pdu_bytes: 16_384,
            buffer: Vec::new(),
            parts: Vec::new(),
        };
        let request = AssociationRQ {
            protocol_version: 1,
            calling_ae_title: self.calling.clone(),
            called_ae_title: self.called.clone(),
            application_context_name: APPLICATION_CONTEXT.into(),
            presentation_contexts: kinds
                .iter()
                .zip((1..=255_u8).step_by(2))
                .map(|((class, syntax), id)| PresentationContextProposed {
                    id,
                    abstract_syntax: class.clone(),
                    transfer_syntaxes: vec![syntax.clone()],
                })
                .collect(),
            user_variables: ours(ANSWER_BYTES),
        };
        line.send(&request.into()).await?;
        match line.pdu().await? {
            Pdu::AssociationAC(accepted) => {
                line.agreed = accepted
                    .presentation_contexts
                    .into_iter()
                    .filter(|c| c.reason == Reason::Acceptance)
                    .map(|c| (c.id, c.transfer_syntax))
                    .collect();
                let most = accepted.user_variables.iter().find_map(|v| match v {
                    UserVariableItem::MaxLength(n) if *n != 0 => Some(*n),
                    _ => None,
                });
                line.pdu_bytes = most.unwrap_or(SENT_BYTES).clamp(1024, SENT_BYTES);
                Ok(line)
            }
            Pdu::AssociationRJ(rejection) => Err(SendError::Rejected {
                why: rejection.source.to_string(),
            }),
            Pdu::AbortRQ { .. } => Err(SendError::Aborted),
            _ => Err(SendError::Answer {
                found: "something else than yes or no",
            }),
        }
    }
}

trait Stream: AsyncRead + AsyncWrite + Unpin + Send {}
impl<T: AsyncRead + AsyncWrite + Unpin + Send> Stream for T {}

/// An open association.
struct Line {
    stream: Box<dyn Stream>,
    idle: Duration,
    agreed: BTreeMap<u8, String>,
    pdu_bytes: u32,
    buffer: Vec<u8>,
    parts: Vec<PDataValue>,
}

impl Line {
    /// The number of the kind at this place of the request, if it was agreed.
    fn agreed(&self, place: usize) -> Option<(u8, &str)> {
        let id = u8::try_from(place * 2 + 1).ok()?;
        self.agreed.get(&id).map(|syntax| (id, syntax.as_str()))
    }

    fn silence(&self) -> SendError {
        SendError::Silence {
            seconds: self.idle.as_secs(),
        }
    }

    async fn send(&mut self, pdu: &Pdu) -> Result<(), SendError> {
        let mut bytes = Vec::new();
        write_pdu(&mut bytes, pdu).map_err(|_| SendError::Write {
            what: "a title or identifier that is too long",
        })?;
        let silence = self.silence();
        let all = async {
            self.stream.write_all(&bytes).await?;
            self.stream.flush().await
        };
        timeout(self.idle, all).await.map_err(|_| silence)??;
        Ok(())
    }

    async fn pdu(&mut self) -> Result<Pdu, SendError> {
        loop {
            if let Some([_, _, a, b, c, d]) = self.buffer.first_chunk::<6>() {
                let length = u32::from_be_bytes([*a, *b, *c, *d]);
                if length > ANSWER_BYTES {
                    return Err(SendError::Answer {
                        found: "more than an answer needs",
                    });
                }
                let whole = 6 + length as usize;
                if self.buffer.len() >= whole {
                    let bytes: Vec<u8> = self.buffer.drain(..whole).collect();
                    return match read_pdu(bytes.as_slice(), ANSWER_BYTES, true) {
                        Ok(Some(pdu)) => Ok(pdu),
                        _ => Err(SendError::Answer {
                            found: "something malformed",
                        }),
                    };
                }
            }
            let mut chunk = [0; 8192];
            let silence = self.silence();
            let n = timeout(self.idle, self.stream.read(&mut chunk))
                .await
                .map_err(|_| silence)??;
            if n == 0 {
                return Err(SendError::Aborted);
            }
            self.buffer.extend(chunk.get(..n).unwrap_or_default());
        }
    }

    /// Sends a request with its data and waits for the status.
    async fn ask(&mut self, context: u8, request: &Command, data: &[u8]) -> Result<u16, SendError> {
        let part = |value_type, is_last, data: &[u8]| Pdu::PData {
            data: vec![PDataValue {
                presentation_context_id: context,
                value_type,
                is_last,
                data: data.to_vec(),
            }],
        };
        self.send(&part(PDataValueType::Command, true, &request.write()))
            .await?;
        if request.has_data {
            // Six bytes of each PDU name the part; an even number is left (PS3.8 9.3.5.1).
            let room = ((self.pdu_bytes - 6) & !1) as usize;
            let mut rest = data;
            loop {
                let (now, later) = rest.split_at(rest.len().min(room));
                self.send(&part(PDataValueType::Data, later.is_empty(), now))
                    .await?;
                rest = later;
                if rest.is_empty() {
                    break;
                }
            }
        }
        let mut command = Vec::new();
        loop {
            while self.parts.is_empty() {
                match self.pdu().await? {
                    Pdu::PData { data } => self.parts = data,
                    Pdu::AbortRQ { .. } => return Err(SendError::Aborted),
                    _ => {
                        return Err(SendError::Answer {
                            found: "something out of turn",
                        });
                    }
                }
            }
            let part = self.parts.remove(0);
            command.extend(part.data);
            if command.len() > ANSWER_BYTES as usize {
                return Err(SendError::Answer {
                    found: "more than an answer needs",
                });
            }
            if part.is_last {
                break;
            }
        }
        Command::read(&command)
            .filter(|c| {
                c.field == request.field | dimse::ANSWER && c.message_id == request.message_id
            })
            .and_then(|c| c.status)
            .ok_or(SendError::Answer {
                found: "another request's answer",
            })
    }

    /// Ends the association; what was sent stands whatever the other side says to that.
    async fn release(mut self) {
        if self.send(&Pdu::ReleaseRQ).await.is_err() {
            return;
        }
        if !matches!(self.pdu().await, Ok(Pdu::ReleaseRP)) {
            let source =
                AbortRQSource::ServiceProvider(AbortRQServiceProviderReason::UnexpectedPdu);
            let _ = self.send(&Pdu::AbortRQ { source }).await;
        }
        let _ = timeout(self.idle, self.stream.shutdown()).await;
    }
}

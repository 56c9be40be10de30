//! One caller's association as a machine that is fed bytes: no socket, no clock, no store.
//!
//! [`Association::feed`] takes what came in, [`Association::step`] says what to do next. The network part and the
//! fuzzer drive the same machine. PS3.8 section 9 (PDUs, states), PS3.7 sections 6 and 9 (commands).
//!
//! One surprise: an object that is too large is read on and thrown away, so that its sender gets a status it can
//! show, up to twice the limit; beyond that the association is aborted.

use super::negotiate::{self, Agreed};
use super::rules::Rules;
use crate::dimse::{self, Command};
use crate::inbox::{self, NotTaken, Origin, Received, Refusal};
use crate::tree::{self, Limits};
use dicom_ul::pdu::{
    AbortRQServiceProviderReason as Why, AbortRQSource, PDataValue, PDataValueType, Pdu, read_pdu,
    write_pdu,
};
use std::collections::{BTreeMap, VecDeque};
use std::net::IpAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// Largest association request: 128 contexts with a few dozen ways of writing each.
const REQUEST_BYTES: u32 = 256 * 1024;
/// Largest command; a real one has about 200 bytes.
const COMMAND_BYTES: usize = 16 * 1024;
/// Parts of one PDU; an empty part costs six bytes.
const PARTS: usize = 4096;

/// What to do next.
#[derive(Debug)]
pub enum Step {
    /// Feed more bytes.
    More,
    /// Send these.
    Send(Vec<u8>),
    /// Keep this, then call [`Association::kept`].
    Keep(Box<Received>),
    /// Send these and close; the association is over.
    Close(Vec<u8>, Ending),
}

/// How an association ended, in words for a log: nothing personal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    Released,
    Refused(&'static str),
    AbortedByCaller,
    AbortedHere(&'static str),
}

/// What was done, for the log line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    pub kept: u64,
    pub refused: u64,
    pub echoes: u64,
    pub bytes: u64,
}

/// Bytes that all associations hold together.
#[derive(Debug, Clone)]
pub struct Room {
    used: Arc<AtomicU64>,
    most: u64,
}

impl Room {
    pub fn of(most: u64) -> Self {
        Self {
            used: Arc::default(),
            most,
        }
    }

    fn take(&self, bytes: u64) -> bool {
        self.used
            .try_update(Ordering::AcqRel, Ordering::Acquire, |used| {
                used.checked_add(bytes).filter(|sum| *sum <= self.most)
            })
            .is_ok()
    }

    fn give(&self, bytes: u64) {
        self.used.fetch_sub(bytes, Ordering::AcqRel);
    }

    pub fn used(&self) -> u64 {
        self.used.load(Ordering::Acquire)
    }
}

enum State {
    /// Nothing has been asked yet.
    New,
    Open {
        contexts: BTreeMap<u8, Agreed>,
        calling: String,
        their_pdu_bytes: u32,
    },
    Over,
}

/// A request whose parts are coming in.
struct Incoming {
    context: u8,
    command: Vec<u8>,
    /// Once the command is whole.
    request: Option<Command>,
    data: Vec<u8>,
    data_bytes: u64,
    /// Why the data are thrown away.
    spilled: Option<u16>,
}

pub struct Association {
    rules: Arc<Rules>,
    address: IpAddr,
    full: bool,
    room: Room,
    held: u64,
    state: State,
    buffer: VecDeque<u8>,
    parts: VecDeque<PDataValue>,
    incoming: Option<Incoming>,
    /// The request that [`Association::kept`] answers.
    waiting: Option<(u8, Command)>,
    counts: Counts,
}

impl Drop for Association {
    fn drop(&mut self) {
        self.room.give(self.held);
    }
}

impl Association {
    /// `full`: there are too many already, and this one is told so.
    pub fn new(rules: Arc<Rules>, address: IpAddr, full: bool, room: Room) -> Self {
        Self {
            rules,
            address,
            full,
            room,
            held: 0,
            state: State::New,
            buffer: VecDeque::new(),
            parts: VecDeque::new(),
            incoming: None,
            waiting: None,
            counts: Counts::default(),
        }
    }

    pub fn counts(&self) -> Counts {
        self.counts
    }

    pub fn is_open(&self) -> bool {
        matches!(self.state, State::Open { .. })
    }

    /// The caller's title once it was let in.
    pub fn calling(&self) -> Option<&str> {
        match &self.state {
            State::Open { calling, .. } => Some(calling),
            _ => None,
        }
    }

    /// Takes bytes as they come. Never holds more than one PDU and what was fed beyond it.
    pub fn feed(&mut self, bytes: &[u8]) {
        if !matches!(self.state, State::Over) {
            self.buffer.extend(bytes);
        }
    }

    /// What to do next; call it until it says [`Step::More`] or [`Step::Close`].
    pub fn step(&mut self) -> Step {
        loop {
            if matches!(self.state, State::Over) {
                return Step::Close(Vec::new(), Ending::AbortedHere("it was over"));
            }
            if self.waiting.is_some() {
                return Step::More;
            }
            if let Some(part) = self.parts.pop_front() {
                match self.part(part) {
                    Some(step) => return step,
                    None => continue,
                }
            }
            match self.pdu() {
                Ok(None) => return Step::More,
                Ok(Some(pdu)) => {
                    if let Some(step) = self.take(pdu) {
                        return step;
                    }
                }
                Err((why, words)) => return self.abort(why, words),
            }
        }
    }

    /// The answer to the object that [`Step::Keep`] handed out.
    pub fn kept(&mut self, result: Result<(), Refusal>) -> Step {
        let Some((context, request)) = self.waiting.take() else {
            return Step::More;
        };
        let status = match result {
            Ok(()) => dimse::SUCCESS,
            Err(refusal) => refusal.status(),
        };
        self.answer(context, &request, status)
    }

    /// Ends it from our side, for instance after a silence.
    pub fn stop(&mut self, words: &'static str) -> Step {
        self.abort(Why::ReasonNotSpecified, words)
    }

    /// The next whole PDU. Its length is judged before its bytes are waited for.
    fn pdu(&mut self) -> Result<Option<Pdu>, (Why, &'static str)> {
        let head: Vec<u8> = self.buffer.iter().take(6).copied().collect();
        let [kind, _, a, b, c, d] = *head.as_slice() else {
            // A first byte of no PDU is not waited on.
            return match head.first() {
                Some(0) | Some(8..) => Err((Why::UnrecognizedPdu, "no PDU")),
                _ => Ok(None),
            };
        };
        let length = u32::from_be_bytes([a, b, c, d]);
        let most = match kind {
            1 if matches!(self.state, State::New) => REQUEST_BYTES,
            4 if self.is_open() => self.rules.limits.pdu_bytes,
            5 | 6 if self.is_open() => 4,
            7 => 4,
            1..=6 => return Err((Why::UnexpectedPdu, "a PDU out of turn")),
            _ => return Err((Why::UnrecognizedPdu, "no PDU")),
        };
        if length > most {
            return Err((Why::InvalidPduParameter, "a PDU that is too long"));
        }
        let whole = 6 + length as usize;
        if self.buffer.len() < whole {
            return Ok(None);
        }
        let bytes: Vec<u8> = self.buffer.drain(..whole).collect();
        if kind == 1 && self.counted_contexts(&bytes) > self.rules.limits.contexts {
            return Err((Why::InvalidPduParameter, "too many contexts"));
        }
        match read_pdu(bytes.as_slice(), most.max(1024), true) {
            Ok(Some(pdu)) => Ok(Some(pdu)),
            _ => Err((Why::InvalidPduParameter, "a malformed PDU")),
        }
    }

    /// Presentation contexts of a request, counted before they are read.
    fn counted_contexts(&self, request: &[u8]) -> usize {
        let (mut at, mut count) = (74, 0);
        while let Some([kind, _, high, low]) = request.get(at..).and_then(|b| b.first_chunk::<4>())
        {
            count += usize::from(*kind == 0x20);
            at += 4 + usize::from(u16::from_be_bytes([*high, *low]));
        }
        count
    }

    fn take(&mut self, pdu: Pdu) -> Option<Step> {
        match pdu {
            Pdu::AssociationRQ(request) => {
                match negotiate::answer(&request, &self.rules, self.address, self.full) {
                    Ok(accepted) => {
                        self.state = State::Open {
                            contexts: accepted.contexts,
                            calling: request.calling_ae_title,
                            their_pdu_bytes: accepted.their_pdu_bytes,
                        };
                        Some(match written(&accepted.reply.into()) {
                            Some(bytes) => Step::Send(bytes),
                            None => self.abort(Why::ReasonNotSpecified, "an answer without form"),
                        })
                    }
                    Err(refusal) => {
                        self.state = State::Over;
                        let words = rejected(&refusal);
                        let bytes = written(&refusal.into()).unwrap_or_default();
                        Some(Step::Close(bytes, Ending::Refused(words)))
                    }
                }
            }
            Pdu::PData { data } if data.len() > PARTS => {
                Some(self.abort(Why::InvalidPduParameter, "too many parts in a PDU"))
            }
            Pdu::PData { data } => {
                self.parts.extend(data);
                None
            }
            Pdu::ReleaseRQ => {
                self.state = State::Over;
                let bytes = written(&Pdu::ReleaseRP).unwrap_or_default();
                Some(Step::Close(bytes, Ending::Released))
            }
            Pdu::AbortRQ { .. } => {
                self.state = State::Over;
                Some(Step::Close(Vec::new(), Ending::AbortedByCaller))
            }
            _ => Some(self.abort(Why::UnexpectedPdu, "a PDU out of turn")),
        }
    }

    /// One part of a request.
    fn part(&mut self, part: PDataValue) -> Option<Step> {
        let State::Open { contexts, .. } = &self.state else {
            return Some(self.abort(Why::UnexpectedPdu, "data before an association"));
        };
        let id = part.presentation_context_id;
        if !contexts.contains_key(&id) {
            return Some(self.abort(Why::InvalidPduParameter, "a context that was not agreed"));
        }
        let incoming = self.incoming.get_or_insert_with(|| Incoming {
            context: id,
            command: Vec::new(),
            request: None,
            data: Vec::new(),
            data_bytes: 0,
            spilled: None,
        });
        if incoming.context != id {
            return Some(self.abort(Why::InvalidPduParameter, "two requests at once"));
        }
        match (&part.value_type, &incoming.request) {
            (PDataValueType::Command, None) => {
                if incoming.command.len() + part.data.len() > COMMAND_BYTES {
                    return Some(
                        self.abort(Why::InvalidPduParameter, "a command that is too long"),
                    );
                }
                incoming.command.extend(part.data);
                if !part.is_last {
                    return None;
                }
                let Some(command) = Command::read(&incoming.command) else {
                    return Some(self.abort(Why::InvalidPduParameter, "no command"));
                };
                if command.has_data {
                    if command.field != dimse::STORE {
                        incoming.spilled = Some(dimse::UNRECOGNISED_OPERATION);
                    }
                    incoming.request = Some(command);
                    None
                } else {
                    self.incoming = None;
                    self.without_data(id, command)
                }
            }
            (PDataValueType::Data, Some(_)) => self.data(part),
            _ => Some(self.abort(Why::UnexpectedPduParameter, "command and data out of turn")),
        }
    }

    fn without_data(&mut self, context: u8, command: Command) -> Option<Step> {
        match command.field {
            dimse::ECHO => {
                self.counts.echoes += 1;
                Some(self.answer(context, &command, dimse::SUCCESS))
            }
            dimse::CANCEL => None,
            dimse::STORE => {
                Some(self.abort(Why::InvalidPduParameter, "an object without its data"))
            }
            field if field & dimse::ANSWER != 0 => {
                Some(self.abort(Why::UnexpectedPduParameter, "an answer to no question"))
            }
            _ => Some(self.answer(context, &command, dimse::UNRECOGNISED_OPERATION)),
        }
    }

    fn data(&mut self, part: PDataValue) -> Option<Step> {
        let limit = self.rules.limits.object_bytes;
        let incoming = self.incoming.as_mut()?;
        let more = part.data.len() as u64;
        incoming.data_bytes = incoming.data_bytes.saturating_add(more);
        self.counts.bytes = self.counts.bytes.saturating_add(more);
        if incoming.data_bytes > limit.saturating_mul(2) {
            return Some(self.abort(Why::InvalidPduParameter, "an object that does not end"));
        }
        if incoming.spilled.is_none() && (incoming.data_bytes > limit || !self.room.take(more)) {
            incoming.spilled = Some(dimse::OUT_OF_RESOURCES);
            incoming.data = Vec::new();
            self.room.give(std::mem::take(&mut self.held));
        } else if incoming.spilled.is_none() {
            self.held += more;
            incoming.data.extend(part.data);
        }
        if !part.is_last {
            return None;
        }
        let incoming = self.incoming.take()?;
        let step = self.whole(incoming);
        if self.waiting.is_none() {
            self.room.give(std::mem::take(&mut self.held));
        }
        Some(step)
    }

    /// A request with all its data.
    fn whole(&mut self, incoming: Incoming) -> Step {
        let context = incoming.context;
        let Some(request) = incoming.request else {
            return self.abort(Why::UnexpectedPduParameter, "data without a command");
        };
        if let Some(status) = incoming.spilled {
            return self.answer(context, &request, status);
        }
        if self.counts.kept + self.counts.refused >= self.rules.limits.objects {
            return self.answer(context, &request, dimse::OUT_OF_RESOURCES);
        }
        match self.object(context, &request, &incoming.data) {
            Ok(received) => {
                self.waiting = Some((context, request));
                Step::Keep(Box::new(received))
            }
            Err(status) => self.answer(context, &request, status),
        }
    }

    fn object(&self, context: u8, request: &Command, data: &[u8]) -> Result<Received, u16> {
        let State::Open {
            contexts, calling, ..
        } = &self.state
        else {
            return Err(dimse::CANNOT_UNDERSTAND);
        };
        let agreed = contexts.get(&context).ok_or(dimse::CANNOT_UNDERSTAND)?;
        let (Some(class), Some(instance)) = (&request.sop_class, &request.sop_instance) else {
            return Err(dimse::CANNOT_UNDERSTAND);
        };
        if !crate::classes::is_taken(&agreed.abstract_syntax) {
            return Err(dimse::CLASS_NOT_SUPPORTED);
        }
        if *class != agreed.abstract_syntax {
            return Err(dimse::OTHER_CLASS);
        }
        let file = tree::write_file(class, instance, &agreed.transfer_syntax, data);
        let origin = Origin::Network {
            calling: calling.clone(),
            address: self.address,
        };
        let limits = Limits {
            inflated_bytes: self.rules.limits.object_bytes,
            ..Limits::default()
        };
        let received = inbox::well_formed(file, origin, &limits).map_err(|e| match e {
            NotTaken::Class { .. } => dimse::OTHER_CLASS,
            _ => dimse::CANNOT_UNDERSTAND,
        })?;
        if received.sop_class != *class || received.sop_instance != *instance {
            return Err(dimse::OTHER_CLASS);
        }
        Ok(received)
    }

    fn answer(&mut self, context: u8, request: &Command, status: u16) -> Step {
        if request.field == dimse::STORE {
            if status == dimse::SUCCESS {
                self.counts.kept += 1;
            } else {
                self.counts.refused += 1;
            }
        }
        self.room.give(std::mem::take(&mut self.held));
        let pdu = Pdu::PData {
            data: vec![PDataValue {
                presentation_context_id: context,
                value_type: PDataValueType::Command,
                is_last: true,
                data: request.answer(status).write(),
            }],
        };
        match (written(&pdu), &self.state) {
            (
                Some(bytes),
                State::Open {
                    their_pdu_bytes, ..
                },
            ) if bytes.len() as u64 <= u64::from(*their_pdu_bytes) + 6 => Step::Send(bytes),
            _ => self.abort(
                Why::ReasonNotSpecified,
                "an answer longer than the caller takes",
            ),
        }
    }

    fn abort(&mut self, why: Why, words: &'static str) -> Step {
        self.state = State::Over;
        self.buffer.clear();
        self.parts.clear();
        self.incoming = None;
        self.waiting = None;
        let pdu = Pdu::AbortRQ {
            source: AbortRQSource::ServiceProvider(why),
        };
        Step::Close(
            written(&pdu).unwrap_or_default(),
            Ending::AbortedHere(words),
        )
    }
}

fn written(pdu: &Pdu) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    write_pdu(&mut bytes, pdu).ok()?;
    Some(bytes)
}

fn rejected(refusal: &dicom_ul::pdu::AssociationRJ) -> &'static str {
    use dicom_ul::pdu::{AssociationRJServiceUserReason as User, AssociationRJSource as Source};
    match &refusal.source {
        Source::ServiceUser(User::CalledAETitleNotRecognized) => "another title was called",
        Source::ServiceUser(User::CallingAETitleNotRecognized) => {
            "title and address of the caller are on no list"
        }
        Source::ServiceUser(_) => "another application context",
        Source::ServiceProviderASCE(_) => "another protocol version",
        Source::ServiceProviderPresentation(_) => "too much at once",
    }
}

//! How do films come in over the network? A storage receiver: C-ECHO and C-STORE, plain or under TLS.
//!
//! | file | question |
//! |---|---|
//! | `rules` | who may send, and how much? |
//! | `negotiate` | is this caller let in, and what may it send? |
//! | `association` | what do a caller's bytes mean? |
//!
//! The PDUs are read and written by `dicom-ul`; its own association server is not used, because it counts neither
//! bytes nor contexts and knows no time-outs for the whole.

mod association;
mod negotiate;
mod rules;

pub(crate) use negotiate::{APPLICATION_CONTEXT, ours};

pub use association::{Association, Counts, Ending, Room, Step};
pub use rules::{BadRule, Caller, Net, ReceiverLimits, Rules, checked_title};

use crate::inbox::{Inbox, Refusal};
use crate::tls::Acceptor;
use std::collections::HashMap;
use std::future::Future;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::TcpListener;
use tokio::task::JoinSet;
use tokio::time::{Instant, timeout, timeout_at};

/// Bytes read at once.
const CHUNK: usize = 64 * 1024;

/// A storage receiver.
pub struct Receiver<I> {
    rules: Arc<Rules>,
    inbox: Arc<I>,
    tls: Option<Acceptor>,
    room: Room,
    open: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

/// One place among the associations; given back when dropped.
struct Place {
    open: Arc<Mutex<HashMap<IpAddr, usize>>>,
    address: IpAddr,
    full: bool,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                open.remove(&self.address);
            }
        }
    }
}

impl<I: Inbox + 'static> Receiver<I> {
    pub fn new(rules: Rules, inbox: Arc<I>, tls: Option<Acceptor>) -> Self {
        Self {
            room: Room::of(rules.limits.bytes_in_hand),
            rules: Arc::new(rules),
            inbox,
            tls,
            open: Arc::default(),
        }
    }

    /// Takes callers until `stop` is ready, then lets those that are sending come to an end, up to the silence
    /// that is allowed.
    ///
    /// # Errors
    /// Only when the listener itself fails for good.
    pub async fn run(
        &self,
        listener: TcpListener,
        stop: impl Future<Output = ()>,
    ) -> std::io::Result<()> {
        let mut at_work = JoinSet::new();
        tokio::pin!(stop);
        loop {
            tokio::select! {
                () = &mut stop => break,
                Some(_) = at_work.join_next() => {}
                called = listener.accept() => match called {
                    Ok((stream, from)) => {
                        let address = from.ip().to_canonical();
                        let Some(place) = self.place(address) else { continue };
                        let _ = stream.set_nodelay(true);
                        at_work.spawn(serve(
                            self.rules.clone(),
                            self.inbox.clone(),
                            self.tls.clone(),
                            self.room.clone(),
                            place,
                            stream,
                        ));
                    }
                    // One caller that went away, or no handles left: neither ends the receiver.
                    Err(_) => tokio::time::sleep(std::time::Duration::from_millis(50)).await,
                },
            }
        }
        drop(listener);
        let _ = timeout(self.rules.limits.idle, async {
            while at_work.join_next().await.is_some() {}
        })
        .await;
        at_work.shutdown().await;
        Ok(())
    }

    /// A place for this caller; one that is beyond the limits is told so as long as there are not twice as many,
    /// after that it is dropped unheard.
    fn place(&self, address: IpAddr) -> Option<Place> {
        let limits = &self.rules.limits;
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = open.values().sum();
        let here = open.get(&address).copied().unwrap_or(0);
        if all >= limits.associations * 2 || here >= limits.per_address * 2 {
            return None;
        }
        open.insert(address, here + 1);
        Some(Place {
            open: self.open.clone(),
            address,
            full: all >= limits.associations || here >= limits.per_address,
        })
    }
}

async fn serve<I: Inbox>(
    rules: Arc<Rules>,
    inbox: Arc<I>,
    tls: Option<Acceptor>,
    room: Room,
    place: Place,
    stream: tokio::net::TcpStream,
) {
    let mut association = Association::new(rules.clone(), place.address, place.full, room);
    let ending = match tls {
        None => converse(&mut association, &rules, &*inbox, stream).await,
        Some(acceptor) => match timeout(rules.limits.first, acceptor.accept(stream)).await {
            Ok(Ok(stream)) => converse(&mut association, &rules, &*inbox, stream).await,
            _ => Ending::Refused("no TLS"),
        },
    };
    let counts = association.counts();
    // No title, no address, no identifier: who sends what is in the inbox's own books.
    tracing::info!(
        ending = ?ending,
        kept = counts.kept,
        refused = counts.refused,
        echoes = counts.echoes,
        bytes = counts.bytes,
        "association over"
    );
}

/// Drives one association over a stream to its end.
pub async fn converse<I: Inbox>(
    association: &mut Association,
    rules: &Rules,
    inbox: &I,
    mut stream: impl AsyncRead + AsyncWrite + Unpin,
) -> Ending {
    let limits = &rules.limits;
    let end = Instant::now() + limits.whole;
    let mut chunk = vec![0; CHUNK];
    let mut ending = None;
    while ending.is_none() {
        let mut step = association.step();
        if let Step::Keep(received) = step {
            let result = match timeout_at(end, inbox.keep(*received)).await {
                Ok(result) => result,
                Err(_) => Err(Refusal::Failed("it took too long".into())),
            };
            step = association.kept(result);
        }
        match step {
            Step::More => {
                let wait = if association.is_open() {
                    limits.idle
                } else {
                    limits.first
                };
                let until = end.min(Instant::now() + wait);
                match timeout_at(until, stream.read(&mut chunk)).await {
                    Ok(Ok(0)) => ending = Some(Ending::AbortedByCaller),
                    Ok(Ok(n)) => association.feed(chunk.get(..n).unwrap_or_default()),
                    Ok(Err(_)) => ending = Some(Ending::AbortedByCaller),
                    Err(_) => {
                        let words = if Instant::now() >= end {
                            "it took too long"
                        } else {
                            "a silence that was too long"
                        };
                        if let Step::Close(bytes, how) = association.stop(words) {
                            say(&mut stream, &bytes, limits).await;
                            ending = Some(how);
                        }
                    }
                }
            }
            Step::Send(bytes) => {
                if !say(&mut stream, &bytes, limits).await {
                    ending = Some(Ending::AbortedByCaller);
                }
            }
            Step::Close(bytes, how) => {
                say(&mut stream, &bytes, limits).await;
                ending = Some(how);
            }
            Step::Keep(_) => {}
        }
    }
    let _ = timeout(limits.first, stream.shutdown()).await;
    linger(&mut stream, &mut chunk, limits).await;
    ending.unwrap_or(Ending::AbortedByCaller)
}

/// Sends within the silence that is allowed.
async fn say(
    stream: &mut (impl AsyncWrite + Unpin),
    bytes: &[u8],
    limits: &ReceiverLimits,
) -> bool {
    if bytes.is_empty() {
        return true;
    }
    let all = async {
        stream.write_all(bytes).await?;
        stream.flush().await
    };
    matches!(timeout(limits.idle, all).await, Ok(Ok(())))
}

/// Reads what the caller still sends, so that our last words are not lost to a reset; a moment and a mebibyte.
async fn linger(stream: &mut (impl AsyncRead + Unpin), chunk: &mut [u8], limits: &ReceiverLimits) {
    let a_moment = limits.first.min(std::time::Duration::from_secs(1));
    let _ = timeout(a_moment, async {
        for _ in 0..16 {
            match stream.read(chunk).await {
                Ok(0) | Err(_) => break,
                Ok(_) => {}
            }
        }
    })
    .await;
}

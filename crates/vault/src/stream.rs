//! How is a backup of any size sealed and verified whole?
//!
//! Header, length and text of the keyring (still closed: the backup can be opened by itself with any way
//! in), then the chunks of [`crate::seal`]. The hash of the keyring text is the binding, so that another
//! keyring cannot be put in its place. Memory stays at a few chunks whatever the size.
//!
//! A chunk is given out only when its tag holds, but that the end is there is known only at the end: what
//! is restored from must have been [`verify`]ed whole, which [`Opener::verified`] does.

use crate::chunk::{CHUNK, Chunks, HEADER, Header, Kind, PREFIX, SEALED_CHUNK};
use crate::entropy::fresh;
use crate::key::sha256;
use crate::{Entropy, Keyring, Seal, VaultError};
use std::io::{self, Read, Seek, Write};
use zeroize::Zeroizing;

const MOST_KEYRING: u32 = 512 * 1024;
const WRITING: &str = "write the sealed backup";
const READING: &str = "read the sealed backup";

/// How much went in and came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Summary {
    pub plain_bytes: u64,
    pub sealed_bytes: u64,
}

/// Takes plain bytes, writes sealed ones. Without [`Sealer::finish`] what was written does not open.
pub struct Sealer<W: Write> {
    out: W,
    chunks: Chunks,
    /// At most one chunk; sealed when more comes, for only the last one is marked as last.
    waiting: Zeroizing<Vec<u8>>,
    done: Summary,
    /// After a write that failed nobody knows what of the chunk arrived: nothing more is written.
    broken: Option<VaultError>,
}

impl<W: Write> Sealer<W> {
    /// Writes the header. `ring` is the keyring that `seal` was opened from.
    pub fn start(
        mut out: W,
        seal: &Seal,
        ring: &Keyring,
        entropy: &mut dyn Entropy,
    ) -> Result<Self, VaultError> {
        if seal.ring() != ring.id() {
            return Err(VaultError::OtherKeyring);
        }
        if seal.current() != ring.current() {
            return Err(VaultError::Stale);
        }
        let prefix: [u8; PREFIX] = fresh(entropy)?;
        let header = Header {
            kind: Kind::Stream,
            ring: seal.ring(),
            key: seal.current(),
            prefix,
        };
        let text = ring.bytes();
        let length = u32::try_from(text.len()).map_err(|_| VaultError::TooLarge)?;
        let head = [&header.bytes()[..], &length.to_be_bytes(), &text].concat();
        out.write_all(&head)
            .map_err(|e| VaultError::io(WRITING, &e))?;
        Ok(Sealer {
            out,
            chunks: Chunks::new(&seal.stream_key(header.key)?, &header, &sha256(&text)),
            waiting: Zeroizing::new(Vec::with_capacity(CHUNK)),
            done: Summary {
                plain_bytes: 0,
                sealed_bytes: head.len() as u64,
            },
            broken: None,
        })
    }

    fn send(&mut self, last: bool) -> Result<(), VaultError> {
        if let Some(said) = &self.broken {
            return Err(said.clone());
        }
        let sent = self.send_whole(last);
        self.broken = sent.clone().err();
        sent
    }

    fn send_whole(&mut self, last: bool) -> Result<(), VaultError> {
        self.done.plain_bytes += self.waiting.len() as u64;
        let tag = self.chunks.seal(&mut self.waiting, last)?;
        for part in [&self.waiting[..], &tag] {
            self.out
                .write_all(part)
                .map_err(|e| VaultError::io(WRITING, &e))?;
            self.done.sealed_bytes += part.len() as u64;
        }
        self.waiting.clear();
        Ok(())
    }

    /// Writes the last chunk and gives the writer back, flushed but not yet safe from a power cut.
    pub fn finish(mut self) -> Result<(W, Summary), VaultError> {
        self.send(true)?;
        self.out.flush().map_err(|e| VaultError::io(WRITING, &e))?;
        Ok((self.out, self.done))
    }
}

impl<W: Write> Write for Sealer<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if bytes.is_empty() {
            return Ok(0);
        }
        if self.waiting.len() == CHUNK {
            self.send(false)?;
        }
        let taken = bytes.len().min(CHUNK - self.waiting.len());
        self.waiting.extend_from_slice(&bytes[..taken]);
        Ok(taken)
    }

    /// Whole chunks are written already; a chunk in hand waits for its end.
    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// The keyring a backup carries, for opening it where its own keyring is not at hand. Reads the head only.
pub fn keyring(mut source: impl Read) -> Result<Keyring, VaultError> {
    head(&mut source).map(|head| head.ring)
}

struct Head {
    header: Header,
    ring: Keyring,
    binding: [u8; 32],
    length: u64,
}

fn head(source: &mut impl Read) -> Result<Head, VaultError> {
    let mut start = [0; HEADER + 4];
    let found = fill(source, &mut start)?;
    let header = Header::read(&start[..found], Kind::Stream)?;
    let altered = VaultError::Altered {
        what: Kind::Stream.words(),
    };
    let mut length = [0; 4];
    length.copy_from_slice(&start[HEADER..]);
    let length = u32::from_be_bytes(length);
    if found < start.len() || length > MOST_KEYRING {
        return Err(altered);
    }
    let mut text = vec![0; length as usize];
    if fill(source, &mut text)? < text.len() {
        return Err(altered);
    }
    let ring = Keyring::read(&text)?;
    if ring.id() != header.ring || ring.current() != header.key {
        return Err(altered);
    }
    Ok(Head {
        header,
        ring,
        binding: sha256(&text),
        length: (start.len() + text.len()) as u64,
    })
}

/// Gives out plain bytes of a sealed stream, chunk by chunk.
pub struct Opener<R: Read> {
    source: R,
    chunks: Chunks,
    plain: Zeroizing<Vec<u8>>,
    given: usize,
    /// Sealed bytes read ahead: whether any follow says whether a chunk is the last.
    ahead: Vec<u8>,
    ended: bool,
    broken: Option<VaultError>,
    done: Summary,
}

impl<R: Read> Opener<R> {
    /// Opens without knowing whether the end is there: for [`verify`], and for what can be thrown away.
    pub fn start(mut source: R, seal: &Seal) -> Result<Self, VaultError> {
        let head = head(&mut source)?;
        if head.header.ring != seal.ring() {
            return Err(VaultError::OtherKeyring);
        }
        let mut opener = Opener {
            chunks: Chunks::new(
                &seal.stream_key(head.header.key)?,
                &head.header,
                &head.binding,
            ),
            source,
            plain: Zeroizing::new(Vec::new()),
            given: 0,
            ahead: Vec::new(),
            ended: false,
            broken: None,
            done: Summary {
                plain_bytes: 0,
                sealed_bytes: head.length,
            },
        };
        opener.ahead = opener.read_ahead()?;
        Ok(opener)
    }

    fn read_ahead(&mut self) -> Result<Vec<u8>, VaultError> {
        let mut ahead = vec![0; SEALED_CHUNK];
        let found = fill(&mut self.source, &mut ahead)?;
        ahead.truncate(found);
        self.done.sealed_bytes += found as u64;
        Ok(ahead)
    }

    /// Opens the next chunk; false at the end.
    fn next(&mut self) -> Result<bool, VaultError> {
        if let Some(said) = &self.broken {
            return Err(said.clone());
        }
        if self.ended {
            return Ok(false);
        }
        let opened = self.open_next();
        if let Err(said) = &opened {
            self.plain.clear();
            self.broken = Some(said.clone());
        }
        opened.map(|()| true)
    }

    fn open_next(&mut self) -> Result<(), VaultError> {
        let next = self.read_ahead()?;
        self.ended = next.is_empty();
        self.plain = Zeroizing::new(std::mem::replace(&mut self.ahead, next));
        self.given = 0;
        let length = self.chunks.open(&mut self.plain, self.ended)?;
        self.plain.truncate(length);
        self.done.plain_bytes += length as u64;
        Ok(())
    }

    pub fn summary(&self) -> Summary {
        self.done
    }
}

impl<R: Read + Seek> Opener<R> {
    /// Reads the whole stream once and opens it from its start only if all of it holds. What comes out
    /// then is checked a second time as it comes.
    pub fn verified(mut source: R, seal: &Seal) -> Result<Self, VaultError> {
        let start = source
            .stream_position()
            .map_err(|e| VaultError::io(READING, &e))?;
        verify(&mut source, seal)?;
        source
            .seek(io::SeekFrom::Start(start))
            .map_err(|e| VaultError::io(READING, &e))?;
        Opener::start(source, seal)
    }
}

impl<R: Read> Read for Opener<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if into.is_empty() {
            return Ok(0);
        }
        while self.given == self.plain.len() {
            if !self.next()? {
                return Ok(0);
            }
        }
        let rest = &self.plain[self.given..];
        let taken = rest.len().min(into.len());
        into[..taken].copy_from_slice(&rest[..taken]);
        self.given += taken;
        Ok(taken)
    }
}

/// Reads a sealed stream to its end and keeps nothing.
pub fn verify(source: impl Read, seal: &Seal) -> Result<Summary, VaultError> {
    let mut opener = Opener::start(source, seal)?;
    while opener.next()? {}
    Ok(opener.summary())
}

/// Reads until full or at the end; answers with how many bytes there were.
fn fill(source: &mut impl Read, into: &mut [u8]) -> Result<usize, VaultError> {
    let mut found = 0;
    while found < into.len() {
        match source.read(&mut into[found..]) {
            Ok(0) => break,
            Ok(more) => found += more,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(VaultError::io(READING, &e)),
        }
    }
    Ok(found)
}

//! To whom are results sent? `--dicom-peer` and `--stow-peer` of `tiebeam serve`.

use crate::tls::read;
use anyhow::{Context, Result, bail};
use exchange_dicom::receive::checked_title;
use exchange_dicom::send::{Peer as Association, Stow};
use exchange_dicom::tls::Connector;
use std::net::IpAddr;
use std::path::PathBuf;
use std::time::Duration;
use web::{Peer, Way};

/// Longest silence of another system.
const IDLE: Duration = Duration::from_secs(60);
const LONGEST_NAME: usize = 40;
/// At the end of a peer's address: the line is sealed.
const SEALED: &str = "+tls";

// (A `///` here would become the help of the whole command.)
#[derive(clap::Args, Clone)]
pub struct Peers {
    /// Another system that results can be sent to over the network (DICOM storage), over TLS with `+tls` at the end; may
    /// be given more than once
    #[arg(long = "dicom-peer", value_name = "NAME=TITLE@HOST:PORT[+tls]")]
    dicom: Vec<String>,
    /// Certificates (PEM) of the authority under which those with `+tls` must show who they are, by the name or address
    /// in HOST; `--dicom-certificate` is shown to them where they ask
    #[arg(long, value_name = "FILE", requires = "dicom")]
    dicom_peer_authority: Option<PathBuf>,
    /// The same over the web (STOW-RS)
    #[arg(long = "stow-peer", value_name = "NAME=https://...")]
    stow: Vec<String>,
    /// Certificates (PEM) that are trusted beside those of the system when sending over the web
    #[arg(long, value_name = "FILE", requires = "stow")]
    stow_authority: Option<PathBuf>,
    /// Key that a system on the web wants to see (Authorization: Bearer), alone in a file; may be given more than once
    #[arg(long = "stow-key", value_name = "NAME=FILE", requires = "stow")]
    stow_keys: Vec<String>,
}

/// Certificate and private key (PEM) that this program shows.
pub type Own = (Vec<u8>, Vec<u8>);

impl Peers {
    /// Is any line over the DICOM network sealed?
    pub fn any_sealed(&self) -> bool {
        self.dicom.iter().any(|text| text.trim().ends_with(SEALED))
    }

    /// `calling`: our own title.
    pub fn read(&self, calling: &str, own: Option<&Own>) -> Result<Vec<Peer>> {
        let mut peers: Vec<Peer> = Vec::new();
        let authority = self.dicom_peer_authority.as_deref().map(read).transpose()?;
        if authority.is_some() && !self.any_sealed() {
            bail!(
                "found --dicom-peer-authority and no system with +tls; expected --dicom-peer NAME=TITLE@HOST:PORT+tls for each that is reached over TLS"
            );
        }
        for text in &self.dicom {
            let peer = association(text, calling, authority.as_deref(), own)?;
            peers.push(peer);
        }
        peers.extend(self.over_the_web()?);
        for (n, peer) in peers.iter().enumerate() {
            if peers.iter().take(n).any(|p| p.name == peer.name) {
                bail!(
                    "found two systems of the name {:?} to send to; expected a name of its own for each",
                    peer.name
                );
            }
        }
        Ok(peers)
    }

    fn over_the_web(&self) -> Result<Vec<Peer>> {
        let authority = self.stow_authority.as_deref().map(read).transpose()?;
        let mut keys = Vec::new();
        for text in &self.stow_keys {
            let (name, file) = named(text, "FILE")?;
            let key = std::fs::read_to_string(file)
                .with_context(|| format!("the file {file} could not be read as text"))?;
            keys.push((name, key.trim().to_owned()));
        }
        let mut peers = Vec::new();
        for text in &self.stow {
            let (name, address) = named(text, "https://...")?;
            let mine = keys.iter().position(|(of, _)| *of == name);
            let key = mine.map(|at| keys.remove(at).1);
            let mut there = Stow::to(address, authority.as_deref())?;
            if let Some(key) = key {
                there = there.with_key(&key)?;
            }
            peers.push(Peer {
                name,
                way: Way::Stow(there),
            });
        }
        if let Some((name, _)) = keys.first() {
            bail!(
                "found a key for {name:?} too much; expected one --stow-peer of this name for each --stow-key"
            );
        }
        Ok(peers)
    }
}

/// Those to whom results travel readable over a network.
pub fn in_the_open(peers: &[Peer]) -> impl Iterator<Item = &str> {
    let open = |peer: &&Peer| match &peer.way {
        Way::Dicom(there) => there.tls.is_none() && !is_this_machine(host_of(&there.address)),
        Way::Stow(_) => false,
    };
    peers.iter().filter(open).map(|peer| peer.name.as_str())
}

fn is_this_machine(host: &str) -> bool {
    host.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback())
}

/// An address of version 6 stands in brackets before its port, and without them in a certificate.
fn host_of(address: &str) -> &str {
    let host = address.rsplit_once(':').map_or(address, |(host, _)| host);
    host.trim_start_matches('[').trim_end_matches(']')
}

fn association(
    text: &str,
    calling: &str,
    authority: Option<&[u8]>,
    own: Option<&Own>,
) -> Result<Peer> {
    let (name, there) = named(text, "TITLE@HOST:PORT")?;
    let (there, sealed) = match there.strip_suffix(SEALED) {
        Some(there) => (there, true),
        None => (there, false),
    };
    let at = there.rsplit_once('@').and_then(|(title, address)| {
        let (host, port) = address.rsplit_once(':')?;
        (!host.is_empty() && port.parse::<u16>().is_ok_and(|p| p > 0)).then_some((title, address))
    });
    let Some((title, address)) = at else {
        bail!(
            "found {text:?} as somebody to send to; expected NAME=TITLE@HOST:PORT, such as Hospital=ARCHIVE@192.168.4.9:11112, with +tls at its end for a sealed line"
        );
    };
    let tls = match (sealed, authority) {
        (false, _) => None,
        (true, None) => bail!(
            "found {text:?}, a sealed line, and nobody to vouch for the other side; expected --dicom-peer-authority with the certificate (PEM) of its authority"
        ),
        (true, Some(authority)) => {
            let own = own.map(|(certificate, key)| (certificate.as_slice(), key.as_slice()));
            Some(Connector::of_pem(authority, host_of(address), own)?)
        }
    };
    Ok(Peer {
        name,
        way: Way::Dicom(Association {
            address: address.to_owned(),
            called: checked_title(title)?,
            calling: checked_title(calling)?,
            tls,
            idle: IDLE,
        }),
    })
}

fn named<'t>(text: &'t str, there: &str) -> Result<(String, &'t str)> {
    let (name, rest) = text.split_once('=').unwrap_or(("", text));
    let name = name.trim();
    if name.is_empty() || name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control)
    {
        bail!(
            "found {text:?} as somebody to send to; expected NAME={there} with a name of 1 to {LONGEST_NAME} letters"
        );
    }
    Ok((name.to_owned(), rest.trim()))
}

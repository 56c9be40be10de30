//! To whom are results sent? `--dicom-peer` and `--stow-peer` of `tiebeam serve`.

use anyhow::{Context, Result, bail};
use exchange_dicom::receive::checked_title;
use exchange_dicom::send::{Peer as Association, Stow};
use std::path::PathBuf;
use std::time::Duration;
use web::{Peer, Way};

/// Longest silence of another system.
const IDLE: Duration = Duration::from_secs(60);
const LONGEST_NAME: usize = 40;

// (A `///` here would become the help of the whole command.)
#[derive(clap::Args, Clone)]
pub struct Peers {
    /// Another system that results can be sent to over the network (DICOM storage); may be given more than once
    #[arg(long = "dicom-peer", value_name = "NAME=TITLE@HOST:PORT")]
    dicom: Vec<String>,
    /// The same over the web (STOW-RS)
    #[arg(long = "stow-peer", value_name = "NAME=https://...")]
    stow: Vec<String>,
    /// Certificates (PEM) that are trusted beside those of the system when sending over the web
    #[arg(long, value_name = "FILE", requires = "stow")]
    stow_authority: Option<PathBuf>,
}

impl Peers {
    /// `calling`: our own title.
    pub fn read(&self, calling: &str) -> Result<Vec<Peer>> {
        let authority = match &self.stow_authority {
            Some(path) => Some(
                std::fs::read(path)
                    .with_context(|| format!("the file {} could not be read", path.display()))?,
            ),
            None => None,
        };
        let mut peers: Vec<Peer> = Vec::new();
        for text in &self.dicom {
            let (name, there) = named(text, "TITLE@HOST:PORT")?;
            let at = there.rsplit_once('@').and_then(|(title, address)| {
                let (host, port) = address.rsplit_once(':')?;
                (!host.is_empty() && port.parse::<u16>().is_ok_and(|p| p > 0))
                    .then_some((title, address))
            });
            let Some((title, address)) = at else {
                bail!(
                    "found {text:?} as somebody to send to; expected NAME=TITLE@HOST:PORT, such as Hospital=ARCHIVE@192.168.4.9:11112"
                );
            };
            peers.push(Peer {
                name,
                way: Way::Dicom(Association {
                    address: address.to_owned(),
                    called: checked_title(title)?,
                    calling: checked_title(calling)?,
                    tls: None,
                    idle: IDLE,
                }),
            });
        }
        for text in &self.stow {
            let (name, address) = named(text, "https://...")?;
            peers.push(Peer {
                name,
                way: Way::Stow(Stow::to(address, authority.as_deref())?),
            });
        }
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

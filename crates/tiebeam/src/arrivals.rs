//! `tiebeam serve --dicom-port … --watch … --dicom-peer …`: films come in and results go out beside the pages, in the
//! same process and store.

use crate::peers::{Own, Peers, in_the_open};
use crate::serve::stopped;
use crate::tls::read;
use anyhow::{Result, anyhow, bail};
use exchange_dicom::receive::{Caller, Net, Receiver, ReceiverLimits, Rules, checked_title};
use exchange_dicom::tls::Acceptor;
use exchange_dicom::watch::{Watch, WatchLimits};
use exchange_dicom::who::NumberRules;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use time::OffsetDateTime;
use tokio::net::TcpListener;
use tokio::task::JoinSet;
use web::outgoing::post::deliver;
use web::{AppState, FilmInbox, Outside, Peer};

/// Between two looks into the watched folder.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// Longest wait for senders when the program stops; what was confirmed is on disk whatever happens.
const LAST_WORDS: Duration = Duration::from_secs(5);

// (A `///` here would become the help of the whole command.)
#[derive(clap::Args, Clone)]
pub struct Ways {
    /// Port on which films come in over the network (DICOM storage); 0 takes any free one
    #[arg(long)]
    dicom_port: Option<u16>,
    /// Title under which films are sent here and results sent out (AE title)
    #[arg(long, default_value = "TIEBEAM")]
    dicom_title: String,
    /// Who may send films: title and address, or range of addresses; may be given more than once. Without any
    /// only this machine itself
    #[arg(long, value_name = "TITLE@ADDRESS", requires = "dicom_port")]
    dicom_allow: Vec<String>,
    /// Certificates (PEM) of the authority under which senders of films must show who they are; needs
    /// `--dicom-certificate`
    #[arg(long, value_name = "FILE", requires_all = ["dicom_port", "dicom_certificate"])]
    dicom_allow_authority: Option<PathBuf>,
    /// Certificate (PEM) for films over TLS, with the whole chain; also shown to systems with `+tls` that ask for one
    #[arg(long, requires = "dicom_private_key")]
    dicom_certificate: Option<PathBuf>,
    /// Private key of that certificate (PEM)
    #[arg(long, requires = "dicom_certificate")]
    dicom_private_key: Option<PathBuf>,
    /// Who else gives this practice's chart numbers (Issuer of Patient ID); may be given more than once
    #[arg(long, value_name = "NAME")]
    dicom_issuer: Vec<String>,
    /// Folder out of which films are taken in; each is moved to `taken` or `refused` in it
    #[arg(long, value_name = "FOLDER")]
    watch: Option<PathBuf>,
    #[command(flatten)]
    peers: Peers,
}

/// The ways in and out, checked before anything is opened.
#[derive(Default)]
pub struct WaysIn {
    network: Option<Network>,
    watch: Option<PathBuf>,
    numbers: NumberRules,
    peers: Vec<Peer>,
}

struct Network {
    address: SocketAddr,
    rules: Rules,
    tls: Option<Acceptor>,
}

impl WaysIn {
    pub fn of(ways: &Ways) -> Result<Self> {
        let own = match (&ways.dicom_certificate, &ways.dicom_private_key) {
            (Some(certificate), Some(key)) => Some((read(certificate)?, read(key)?)),
            _ => None,
        };
        if own.is_some() && ways.dicom_port.is_none() && !ways.peers.any_sealed() {
            bail!(
                "found --dicom-certificate and no sealed line; expected --dicom-port, or a --dicom-peer with +tls at its end"
            );
        }
        let network = match ways.dicom_port {
            Some(port) => Some(Network::of(port, ways, own.as_ref())?),
            None => None,
        };
        if let Some(folder) = &ways.watch
            && !folder.is_dir()
        {
            bail!(
                "found no folder {} to watch; expected one that is there: make it first",
                folder.display()
            );
        }
        Ok(Self {
            network,
            watch: ways.watch.clone(),
            peers: ways.peers.read(&ways.dicom_title, own.as_ref())?,
            numbers: NumberRules {
                issuers: ways.dicom_issuer.clone(),
            },
        })
    }

    /// For the pages.
    pub fn outside(&self) -> Outside {
        let network = self
            .network
            .as_ref()
            .map(|n| format!("over the network as {}", n.rules.called));
        let watch = self
            .watch
            .as_ref()
            .map(|_| "out of the watched folder".to_owned());
        Outside {
            ways_in: network.into_iter().chain(watch).collect(),
            numbers: self.numbers.clone(),
            peers: self.peers.clone(),
            study_key: None,
        }
    }

    /// Takes the port and begins; nothing is answered before the inbox is there.
    pub async fn open(self, state: AppState) -> Result<Films> {
        let mut films = Films::default();
        for name in in_the_open(&self.peers) {
            eprintln!(
                "tiebeam: what is sent to {name} travels readable; put +tls behind its port where it can use TLS"
            );
        }
        if !self.peers.is_empty() {
            films.at_work.spawn(deliver(state.clone(), stopped()));
        }
        if self.network.is_none() && self.watch.is_none() {
            return Ok(films);
        }
        let inbox = Arc::new(FilmInbox::new(state));
        if let Some(network) = self.network {
            let sealed = network.tls.is_some();
            let listener = TcpListener::bind(network.address).await.map_err(|e| {
                anyhow!(
                    "the port {} for films on {} could not be taken ({e}); give another with --dicom-port",
                    network.address.port(),
                    network.address.ip()
                )
            })?;
            let port = listener.local_addr()?.port();
            films.lines.push(format!(
                "Films come in on port {port} as {}{}.",
                network.rules.called,
                if sealed { ", over TLS" } else { "" }
            ));
            if !sealed && !network.address.ip().is_loopback() {
                eprintln!(
                    "tiebeam: films from other machines travel readable; give --dicom-certificate and --dicom-private-key where senders can use TLS"
                );
            }
            let receiver = Receiver::new(network.rules, inbox.clone(), network.tls);
            films.at_work.spawn(async move {
                if let Err(fault) = receiver.run(listener, stopped()).await {
                    eprintln!("tiebeam: films no longer come in over the network ({fault})");
                }
            });
        }
        if let Some(folder) = self.watch {
            films
                .lines
                .push(format!("Films come in out of {}.", folder.display()));
            films.at_work.spawn(watched(folder, inbox));
        }
        Ok(films)
    }
}

impl Network {
    fn of(port: u16, ways: &Ways, own: Option<&Own>) -> Result<Self> {
        let callers: Vec<Caller> = ways
            .dicom_allow
            .iter()
            .map(|text| Ok(text.parse()?))
            .collect::<Result<_>>()?;
        let nets: Vec<&Net> = callers.iter().flat_map(|c| &c.from).collect();
        let from_outside: Vec<&&Net> = nets.iter().filter(|n| !n.is_this_machine()).collect();
        let ip = match (
            from_outside.is_empty(),
            from_outside.iter().any(|n| n.is_ipv6()),
        ) {
            (true, _) => IpAddr::V4(Ipv4Addr::LOCALHOST),
            (_, false) => IpAddr::V4(Ipv4Addr::UNSPECIFIED),
            (_, true) => IpAddr::V6(Ipv6Addr::UNSPECIFIED),
        };
        let any_title_from = match callers.is_empty() {
            true => vec!["127.0.0.0/8".parse()?, "::1".parse()?],
            false => Vec::new(),
        };
        let tls = match own {
            Some((certificate, key)) => {
                let senders = ways
                    .dicom_allow_authority
                    .as_deref()
                    .map(read)
                    .transpose()?;
                Some(Acceptor::of_pem(certificate, key, senders.as_deref())?)
            }
            None => None,
        };
        Ok(Self {
            address: SocketAddr::new(ip, port),
            rules: Rules {
                called: checked_title(&ways.dicom_title)?,
                callers,
                any_title_from,
                limits: ReceiverLimits::default(),
            },
            tls,
        })
    }
}

/// The ways in, at work.
#[derive(Default)]
pub struct Films {
    lines: Vec<String>,
    at_work: JoinSet<()>,
}

impl Films {
    /// What to say at the start, a sentence each.
    pub fn lines(&self) -> &[String] {
        &self.lines
    }

    /// After the program was told to stop.
    pub async fn ended(mut self) {
        let all = async { while self.at_work.join_next().await.is_some() {} };
        let _ = tokio::time::timeout(LAST_WORDS, all).await;
        self.at_work.shutdown().await;
    }
}

async fn watched(folder: PathBuf, inbox: Arc<FilmInbox>) {
    let mut watch = Watch::new(folder, WatchLimits::default());
    let mut well = true;
    let stop = stopped();
    tokio::pin!(stop);
    loop {
        match watch.look(OffsetDateTime::now_utc(), &*inbox).await {
            Ok(_) => well = true,
            // Told once, not at every look.
            Err(fault) if well => {
                well = false;
                eprintln!(
                    "tiebeam: the watched folder could not be looked at ({fault}); expected to read it and to move files in it: it is tried again"
                );
            }
            Err(_) => {}
        }
        tokio::select! {
            () = &mut stop => return,
            () = tokio::time::sleep(LOOK_EVERY) => {}
        }
    }
}

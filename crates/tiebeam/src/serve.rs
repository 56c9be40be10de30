//! `tiebeam serve`: the pages, on this machine alone or, over TLS, for others.

use crate::arrivals::{Ways, WaysIn};
use crate::backups::ByTheClock;
use crate::clock::{FreshIds, WallClock, fresh_bytes};
use crate::place::Place;
use anyhow::{Context, Result, anyhow, bail};
use axum::serve::ListenerExt;
use exchange_table::StudyKey;
use knowledge::Knowledge;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use store::Access;
use store_sql::SqlStore;
use tokio::net::{TcpListener, TcpStream};
use web::{AppState, Backups, Doors, Outside, Reached, Safety};

#[derive(clap::Args)]
pub struct Args {
    #[command(flatten)]
    place: Place,
    /// Port; 0 takes any free one
    #[arg(long, default_value_t = 8321)]
    port: u16,
    /// Address to answer on; any but this machine's own needs a certificate and accounts
    #[arg(long, default_value = "127.0.0.1")]
    listen: IpAddr,
    /// A name this program is reached by, beside localhost; may be given more than once
    #[arg(long = "name")]
    names: Vec<String>,
    /// Certificate (PEM), with the whole chain
    #[arg(long, requires = "private_key")]
    certificate: Option<PathBuf>,
    /// Private key of the certificate (PEM)
    #[arg(long, requires = "certificate")]
    private_key: Option<PathBuf>,
    #[command(flatten)]
    backups: ByTheClock,
    /// Random bytes, 16 to 64, that only the practice has: people stand under them in a study without names
    #[arg(long, value_name = "FILE")]
    study_key: Option<PathBuf>,
    #[command(flatten)]
    ways: Ways,
}

pub fn run(args: &Args) -> Result<()> {
    runtime()?.block_on(async {
        let listening = Listening::of(args)?;
        let opened = args.place.opened()?;
        let store = args
            .place
            .open_with(opened.as_ref().map(|o| o.seal.clone()))
            .await?;
        for note in store.notes() {
            eprintln!("tiebeam: {note}");
        }
        let keeper = args.backups.keeper(&args.place, &store, opened.as_ref())?;
        let keeper = keeper.map(Arc::new);
        if let Some(keeper) = &keeper {
            tokio::spawn(keeper.clone().work());
        }
        let safety = Safety {
            sealed: opened.is_some(),
            copies: opened
                .as_ref()
                .map(|o| *o.seal.derive_lasting("copies without names").bytes()),
            backups: keeper.map(|k| k as Arc<dyn Backups>),
        };
        listening.serve(store, safety).await
    })
}

pub fn runtime() -> Result<tokio::runtime::Runtime> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("the program could not start its workers")
}

/// On this machine alone.
pub async fn serve_store(store: SqlStore, port: u16) -> Result<()> {
    let address = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), port);
    let listening = Listening {
        address,
        names: Vec::new(),
        tls: None,
        study_key: None,
        ways: WaysIn::default(),
    };
    listening.serve(store, Safety::default()).await
}

struct Listening {
    address: SocketAddr,
    names: Vec<String>,
    tls: Option<tokio_rustls::TlsAcceptor>,
    study_key: Option<StudyKey>,
    ways: WaysIn,
}

impl Listening {
    fn of(args: &Args) -> Result<Self> {
        let tls = match (&args.certificate, &args.private_key) {
            (Some(certificate), Some(key)) => Some(crate::tls::acceptor(certificate, key)?),
            _ => None,
        };
        if !args.listen.is_loopback() && tls.is_none() {
            bail!(
                "found the address {}, which others can reach, and no certificate; expected --certificate and --private-key: without them passphrases and films would travel readable",
                args.listen
            );
        }
        if !args.listen.is_loopback() && args.names.is_empty() {
            bail!(
                "found the address {} and no name; expected --name with the name that browsers use, such as --name foot.example.org",
                args.listen
            );
        }
        Ok(Self {
            address: SocketAddr::new(args.listen, args.port),
            names: args.names.clone(),
            tls,
            study_key: args
                .study_key
                .as_deref()
                .map(crate::exports::study_key)
                .transpose()?,
            ways: WaysIn::of(&args.ways)?,
        })
    }

    async fn serve(self, store: SqlStore, safety: Safety) -> Result<()> {
        let from_outside = !self.address.ip().is_loopback();
        let secure = self.tls.is_some();
        let set_up_code = match from_outside && !store.has_accounts().await? {
            true => Some(set_up_code()),
            false => None,
        };
        let reached = Reached {
            names: self.names.clone(),
            secure,
            from_outside,
            set_up_code: set_up_code.clone(),
        };
        let state = AppState::new(
            Arc::new(store),
            Knowledge::built_in(),
            Arc::new(WallClock),
            Arc::new(FreshIds),
            Doors::new(reached, Box::new(fresh_bytes)),
        )
        .with_safety(safety)
        .with_outside(Outside {
            study_key: self.study_key,
            ..self.ways.outside()
        });
        // Taken before anything is promised: a port that is in use ends the start.
        let films = self.ways.open(state.clone()).await?;
        let exports = tokio::spawn(web::exports::make::work(state.clone(), stopped()));
        let port = self.address.port();
        let listener = TcpListener::bind(self.address).await.map_err(|e| {
            anyhow!(
                "the port {port} on {} could not be taken ({e}); give another with --port",
                self.address.ip()
            )
        })?;
        let at = listener.local_addr()?;
        let shown = match self.names.first() {
            Some(name) if from_outside => format!("{name}:{}", at.port()),
            _ => at.to_string(),
        };
        let scheme = if secure { "https" } else { "http" };
        println!("Open {scheme}://{shown} in a browser; stop with Ctrl-C.");
        if let Some(code) = set_up_code {
            println!("First start: the page asks for the code {code}");
        }
        for line in films.lines() {
            println!("{line}");
        }
        let app = web::app(state).into_make_service_with_connect_info::<SocketAddr>();
        // Small answers must leave at once: while a point is dragged every millisecond counts.
        let no_delay = |stream: &mut TcpStream| {
            let _ = stream.set_nodelay(true);
        };
        let done = match self.tls {
            None => {
                axum::serve(listener.tap_io(no_delay), app)
                    .with_graceful_shutdown(stopped())
                    .await
            }
            Some(acceptor) => {
                let sealed = crate::tls::Sealed::over(listener, acceptor);
                // Tapped, because a tapped listener tells where a connection comes from.
                axum::serve(sealed.tap_io(|_| {}), app)
                    .with_graceful_shutdown(stopped())
                    .await
            }
        };
        let done = done.context("the server stopped");
        exports.abort();
        films.ended().await;
        done
    }
}

/// Typed once at the first start; nobody else can have seen it.
fn set_up_code() -> String {
    let mut random = [0; account::recovery::BYTES];
    fresh_bytes(&mut random);
    account::recovery::printed(&random)
}

pub async fn stopped() {
    let _ = tokio::signal::ctrl_c().await;
}

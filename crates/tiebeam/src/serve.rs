//! `tiebeam serve`: the pages, on the loopback address only.

use crate::clock::{FreshIds, WallClock};
use anyhow::{Context, Result, anyhow};
use knowledge::Knowledge;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store_sql::SqlStore;
use web::AppState;

#[derive(clap::Args)]
pub struct Args {
    /// The practice's data folder
    #[arg(long, env = "TIEBEAM_DATA")]
    data: PathBuf,
    /// Port on 127.0.0.1; 0 takes any free one
    #[arg(long, default_value_t = 8321)]
    port: u16,
}

pub fn run(args: &Args) -> Result<()> {
    runtime()?.block_on(serve(&args.data, args.port))
}

pub fn runtime() -> Result<tokio::runtime::Runtime> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("the program could not start its workers")
}

pub async fn serve(data: &Path, port: u16) -> Result<()> {
    let store = SqlStore::open_folder(data).await?;
    for note in store.notes() {
        eprintln!("tiebeam: {note}");
    }
    serve_store(store, port).await
}

pub async fn serve_store(store: SqlStore, port: u16) -> Result<()> {
    let state = AppState::new(
        Arc::new(store),
        Knowledge::built_in(),
        Arc::new(WallClock),
        Arc::new(FreshIds),
    );
    let address = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), port);
    let listener = tokio::net::TcpListener::bind(address).await.map_err(|e| {
        anyhow!(
            "the port {port} on this machine could not be taken ({e}); give another with --port"
        )
    })?;
    println!(
        "Open http://{} in a browser; stop with Ctrl-C.",
        listener.local_addr()?
    );
    axum::serve(tap_nodelay(listener), web::app(state))
        .with_graceful_shutdown(stopped())
        .await
        .context("the server stopped")
}

/// Small answers must leave at once: while a point is dragged every millisecond counts.
fn tap_nodelay(
    listener: tokio::net::TcpListener,
) -> impl axum::serve::Listener<Io = tokio::net::TcpStream, Addr = SocketAddr> {
    use axum::serve::ListenerExt;
    listener.tap_io(|stream| {
        let _ = stream.set_nodelay(true);
    })
}

async fn stopped() {
    let _ = tokio::signal::ctrl_c().await;
}

//! How is the line to a browser sealed? TLS 1.2 and 1.3 by rustls.

use anyhow::{Context, Result};
use axum::serve::Listener;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use std::fs;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, mpsc};
use tokio_rustls::{TlsAcceptor, server::TlsStream};

/// Handshakes at once; a caller who only opens connections holds up nobody else's for longer than [`PATIENCE`].
const AT_ONCE: usize = 256;
const PATIENCE: Duration = Duration::from_secs(10);

/// The bytes of a file that was named.
pub fn read(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("the file {} could not be read", path.display()))
}

pub fn acceptor(certificate: &Path, key: &Path) -> Result<TlsAcceptor> {
    let chain: Vec<CertificateDer<'static>> = CertificateDer::pem_slice_iter(&read(certificate)?)
        .collect::<Result<_, _>>()
        .ok()
        .filter(|chain: &Vec<_>| !chain.is_empty())
        .with_context(|| {
            format!(
                "found no certificate in {}; expected PEM text",
                certificate.display()
            )
        })?;
    let key = PrivateKeyDer::from_pem_slice(&read(key)?)
        .ok()
        .with_context(|| {
            format!(
                "found no private key in {}; expected PEM text",
                key.display()
            )
        })?;
    let provider = Arc::new(rustls::crypto::aws_lc_rs::default_provider());
    let mut config = rustls::ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .context("no safe protocol is known")?
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .context("certificate and private key cannot be used together; make a new pair")?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(TlsAcceptor::from(Arc::new(config)))
}

/// A listener whose connections have shaken hands already.
pub struct Sealed {
    ready: mpsc::Receiver<(TlsStream<TcpStream>, SocketAddr)>,
    address: SocketAddr,
}

impl Sealed {
    pub fn over(listener: TcpListener, acceptor: TlsAcceptor) -> Self {
        let address = listener
            .local_addr()
            .unwrap_or_else(|_| SocketAddr::from(([0, 0, 0, 0], 0)));
        let (hand_over, ready) = mpsc::channel(AT_ONCE);
        tokio::spawn(async move {
            let turns = Arc::new(Semaphore::new(AT_ONCE));
            while !hand_over.is_closed() {
                let Ok(turn) = turns.clone().acquire_owned().await else {
                    return;
                };
                let Ok((stream, from)) = listener.accept().await else {
                    // Too many open files, or a caller who went away: a moment later it may do.
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                };
                let (acceptor, hand_over) = (acceptor.clone(), hand_over.clone());
                tokio::spawn(async move {
                    let _turn = turn;
                    let _ = stream.set_nodelay(true);
                    if let Ok(Ok(sealed)) =
                        tokio::time::timeout(PATIENCE, acceptor.accept(stream)).await
                    {
                        let _ = hand_over.send((sealed, from)).await;
                    }
                });
            }
        });
        Self { ready, address }
    }
}

impl Listener for Sealed {
    type Io = TlsStream<TcpStream>;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Self::Io, Self::Addr) {
        match self.ready.recv().await {
            Some(ready) => ready,
            // The task above ends only with this listener.
            None => std::future::pending().await,
        }
    }

    fn local_addr(&self) -> std::io::Result<SocketAddr> {
        Ok(self.address)
    }
}

//! How is the line sealed? TLS 1.2 and 1.3 by rustls; certificates and keys are handed in as PEM.

use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, ServerName};
use rustls::server::WebPkiClientVerifier;
use rustls::{ClientConfig, RootCertStore, ServerConfig};
use std::sync::Arc;
use tokio::net::TcpStream;
use tokio_rustls::{TlsAcceptor, TlsConnector};

/// A certificate or key that cannot be used. Never repeats a byte of it.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    #[error("found no {what} in the PEM text; expected {what} between BEGIN and END lines")]
    Pem { what: &'static str },
    #[error("found a {what} that cannot be used ({why}); make a new pair of certificate and key")]
    Unusable { what: &'static str, why: String },
    #[error("found {found:?} as the name of the other side; expected a host name or an address")]
    Name { found: String },
}

/// The receiver's side.
#[derive(Clone)]
pub struct Acceptor(TlsAcceptor);

/// The sender's side.
#[derive(Clone)]
pub struct Connector(TlsConnector, ServerName<'static>);

fn certificates(pem: &[u8]) -> Result<Vec<CertificateDer<'static>>, TlsError> {
    let none = TlsError::Pem {
        what: "certificate",
    };
    let all: Result<Vec<_>, _> = CertificateDer::pem_slice_iter(pem).collect();
    match all {
        Ok(all) if !all.is_empty() => Ok(all),
        _ => Err(none),
    }
}

fn key(pem: &[u8]) -> Result<PrivateKeyDer<'static>, TlsError> {
    PrivateKeyDer::from_pem_slice(pem).map_err(|_| TlsError::Pem {
        what: "private key",
    })
}

fn roots(pem: &[u8]) -> Result<RootCertStore, TlsError> {
    let mut store = RootCertStore::empty();
    for certificate in certificates(pem)? {
        store
            .add(certificate)
            .map_err(unusable("certificate of the authority"))?;
    }
    Ok(store)
}

fn unusable<E: std::fmt::Display>(what: &'static str) -> impl Fn(E) -> TlsError {
    move |e| TlsError::Unusable {
        what,
        why: e.to_string(),
    }
}

impl Acceptor {
    /// `callers`: the authorities whose certificates a caller must show; `None` asks for none.
    ///
    /// # Errors
    /// PEM without what it should hold, or a key that does not belong to the certificate.
    pub fn of_pem(
        certificate: &[u8],
        private_key: &[u8],
        callers: Option<&[u8]>,
    ) -> Result<Self, TlsError> {
        let provider = Arc::new(rustls::crypto::aws_lc_rs::default_provider());
        let builder = ServerConfig::builder_with_provider(provider.clone())
            .with_safe_default_protocol_versions()
            .map_err(unusable("set of ciphers"))?;
        let builder = match callers {
            None => builder.with_no_client_auth(),
            Some(pem) => builder.with_client_cert_verifier(
                WebPkiClientVerifier::builder_with_provider(Arc::new(roots(pem)?), provider)
                    .build()
                    .map_err(unusable("certificate of the authority"))?,
            ),
        };
        let config = builder
            .with_single_cert(certificates(certificate)?, key(private_key)?)
            .map_err(unusable("certificate or key"))?;
        Ok(Self(TlsAcceptor::from(Arc::new(config))))
    }

    pub(crate) async fn accept(
        &self,
        stream: TcpStream,
    ) -> std::io::Result<tokio_rustls::server::TlsStream<TcpStream>> {
        self.0.accept(stream).await
    }
}

impl Connector {
    /// `authority`: whose certificates the other side must show, under `name`; `own`: certificate and key that we
    /// show if asked.
    ///
    /// # Errors
    /// PEM without what it should hold, or a name that is none.
    pub fn of_pem(
        authority: &[u8],
        name: &str,
        own: Option<(&[u8], &[u8])>,
    ) -> Result<Self, TlsError> {
        let provider = Arc::new(rustls::crypto::aws_lc_rs::default_provider());
        let builder = ClientConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .map_err(unusable("set of ciphers"))?
            .with_root_certificates(roots(authority)?);
        let config = match own {
            None => builder.with_no_client_auth(),
            Some((certificate, private_key)) => builder
                .with_client_auth_cert(certificates(certificate)?, key(private_key)?)
                .map_err(unusable("certificate or key"))?,
        };
        let name = ServerName::try_from(name.to_owned()).map_err(|_| TlsError::Name {
            found: name.chars().take(80).collect(),
        })?;
        Ok(Self(TlsConnector::from(Arc::new(config)), name))
    }

    pub(crate) async fn connect(
        &self,
        stream: TcpStream,
    ) -> std::io::Result<tokio_rustls::client::TlsStream<TcpStream>> {
        self.0.connect(self.1.clone(), stream).await
    }
}

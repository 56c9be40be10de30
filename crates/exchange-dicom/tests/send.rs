//! The sender against another implementation (dcmtk `storescp`) and against our own receiver under TLS.

mod common;

use common::{Memory, Running, film_file, rules, text};
use exchange_dicom::send::{Peer, SendError, Sent};
use exchange_dicom::tls::{Acceptor, Connector};
use std::net::TcpListener;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

struct Storescp(Child);

impl Drop for Storescp {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn peer(port: u16, tls: Option<Connector>) -> Peer {
    Peer {
        address: format!("127.0.0.1:{port}"),
        called: "TIEBEAM".into(),
        calling: "XRAY".into(),
        tls,
        idle: Duration::from_secs(20),
    }
}

#[tokio::test]
async fn films_go_out_to_another_implementation_unchanged() {
    let folder = tempfile::tempdir().unwrap();
    let port = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap()
        .port();
    let child = Command::new("storescp")
        .args([
            "-aet",
            "TIEBEAM",
            "-od",
            text(folder.path()),
            "--bit-preserving",
        ])
        .arg(port.to_string())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("storescp; Debian package dcmtk");
    let _scp = Storescp(child);
    let there = peer(port, None);
    let mut answer = there.echo().await;
    for _ in 0..100 {
        if answer.is_ok() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
        answer = there.echo().await;
    }
    answer.unwrap();
    let files: Vec<Vec<u8>> = (0..3).map(film_file).collect();
    let sent = there.store(&files).await.unwrap();
    assert_eq!(sent, vec![Sent::Kept { warning: None }; 3]);
    let mut came: Vec<Vec<u8>> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|e| std::fs::read(e.unwrap().path()).unwrap())
        .collect();
    assert_eq!(came.len(), 3);
    let data = |f: &Vec<u8>| f[exchange_dicom::tree::data_set_start(f).unwrap()..].to_vec();
    came = came.iter().map(data).collect();
    for file in &files {
        assert!(came.contains(&data(file)));
    }
}

struct Pair {
    certificate: String,
    key: String,
}

/// An authority and what it signs for `name`.
fn authority(name: &str) -> (String, Pair) {
    use rcgen::{BasicConstraints, CertificateParams, IsCa, Issuer, KeyPair};
    let mut params = CertificateParams::new(Vec::<String>::new()).unwrap();
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let key = KeyPair::generate().unwrap();
    let root = params.self_signed(&key).unwrap();
    let issuer = Issuer::new(params, key);
    let own = KeyPair::generate().unwrap();
    let signed = CertificateParams::new(vec![name.to_owned()])
        .unwrap()
        .signed_by(&own, &issuer)
        .unwrap();
    (
        root.pem(),
        Pair {
            certificate: signed.pem(),
            key: own.serialize_pem(),
        },
    )
}

#[tokio::test]
async fn under_tls_a_caller_with_a_certificate_gets_in_and_others_do_not() {
    let (root, server) = authority("films.invalid");
    let (client_root, client) = authority("xray.invalid");
    let acceptor = Acceptor::of_pem(
        server.certificate.as_bytes(),
        server.key.as_bytes(),
        Some(client_root.as_bytes()),
    )
    .unwrap();
    let receiver = Running::start(rules(), Memory::default(), Some(acceptor));
    let own = (client.certificate.as_bytes(), client.key.as_bytes());
    let known = Connector::of_pem(root.as_bytes(), "films.invalid", Some(own)).unwrap();
    let sent = peer(receiver.port, Some(known))
        .store(&[film_file(1)])
        .await
        .unwrap();
    assert_eq!(sent, [Sent::Kept { warning: None }]);

    let without = Connector::of_pem(root.as_bytes(), "films.invalid", None).unwrap();
    assert!(peer(receiver.port, Some(without)).echo().await.is_err());
    let other_name = Connector::of_pem(root.as_bytes(), "other.invalid", Some(own)).unwrap();
    assert!(matches!(
        peer(receiver.port, Some(other_name)).echo().await,
        Err(SendError::Line(_))
    ));
    assert!(peer(receiver.port, None).echo().await.is_err());
    assert_eq!(receiver.inbox.count(), 1);
}

#[test]
fn a_key_of_another_certificate_is_refused_without_repeating_it() {
    let (_, one) = authority("a.invalid");
    let (_, other) = authority("b.invalid");
    let error = Acceptor::of_pem(one.certificate.as_bytes(), other.key.as_bytes(), None)
        .err()
        .expect("a refusal")
        .to_string();
    assert!(error.contains("make a new pair"), "{error}");
    let error = Acceptor::of_pem(b"nothing", one.key.as_bytes(), None)
        .err()
        .expect("a refusal")
        .to_string();
    assert!(error.contains("no certificate"), "{error}");
}

#[tokio::test]
async fn a_rejection_comes_back_with_its_reason_and_a_broken_file_is_not_sent() {
    let receiver = Running::plain();
    let mut stranger = peer(receiver.port, None);
    stranger.calling = "STRANGER".into();
    let error = stranger.echo().await.unwrap_err().to_string();
    assert!(error.contains("calling AE title not recognized"), "{error}");
    let mut broken = film_file(1);
    broken.truncate(2000);
    assert!(matches!(
        peer(receiver.port, None).store(&[broken]).await,
        Err(SendError::Object(_))
    ));
}

//! Do the ciphers and hashes under the vault give the published answers?
//!
//! `vectors.json` names the document of each; `checks/vault/second.py` holds the same file against other
//! libraries.

use chacha20poly1305::aead::{Aead, Payload};
use chacha20poly1305::{ChaCha20Poly1305, KeyInit, XChaCha20Poly1305, XNonce};
use hmac::Mac;
use serde_json::Value;
use sha2::Sha256;

fn vector(name: &str) -> impl Fn(&str) -> Vec<u8> {
    let all: Value = serde_json::from_str(include_str!("vectors.json")).unwrap();
    let one = all[name].clone();
    println!("{name}: {}", one["source"]);
    move |part| hex::decode(one[part].as_str().unwrap()).unwrap()
}

#[test]
fn chacha20_poly1305_as_in_rfc_8439() {
    let of = vector("chacha20_poly1305");
    let cipher = ChaCha20Poly1305::new_from_slice(&of("key")).unwrap();
    let nonce: [u8; 12] = of("nonce").try_into().unwrap();
    let (plain, beside) = (of("plain"), of("beside"));
    let payload = Payload {
        msg: &plain,
        aad: &beside,
    };
    assert_eq!(
        cipher.encrypt(&nonce.into(), payload).unwrap(),
        of("sealed")
    );
}

#[test]
fn xchacha20_poly1305_as_in_its_draft() {
    let of = vector("xchacha20_poly1305");
    let cipher = XChaCha20Poly1305::new_from_slice(&of("key")).unwrap();
    let nonce: [u8; 24] = of("nonce").try_into().unwrap();
    let (plain, beside) = (of("plain"), of("beside"));
    let payload = Payload {
        msg: &plain,
        aad: &beside,
    };
    let sealed = cipher.encrypt(&XNonce::from(nonce), payload).unwrap();
    assert_eq!(sealed, of("sealed"));
}

#[test]
fn argon2id_as_in_rfc_9106() {
    let of = vector("argon2id");
    let params = argon2::ParamsBuilder::new()
        .m_cost(32)
        .t_cost(3)
        .p_cost(4)
        .data(argon2::AssociatedData::new(&of("beside")).unwrap())
        .build()
        .unwrap();
    let secret = of("secret");
    let (algorithm, version) = (argon2::Algorithm::Argon2id, argon2::Version::V0x13);
    let argon = argon2::Argon2::new_with_secret(&secret, algorithm, version, params).unwrap();
    let mut out = [0; 32];
    argon
        .hash_password_into(&of("password"), &of("salt"), &mut out)
        .unwrap();
    assert_eq!(out.to_vec(), of("tag"));
}

#[test]
fn hmac_sha256_as_in_rfc_4231() {
    let of = vector("hmac_sha256");
    let mut mac = <hmac::Hmac<Sha256> as hmac::KeyInit>::new_from_slice(&of("key")).unwrap();
    mac.update(&of("data"));
    assert_eq!(mac.finalize().into_bytes().to_vec(), of("mac"));
}

#[test]
fn hkdf_sha256_as_in_rfc_5869() {
    let of = vector("hkdf_sha256");
    let mut out = [0; 42];
    hkdf::Hkdf::<Sha256>::new(Some(&of("salt")), &of("secret"))
        .expand(&of("info"), &mut out)
        .unwrap();
    assert_eq!(out.to_vec(), of("out"));
}

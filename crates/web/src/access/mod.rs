//! Who comes in, what they may do, and what is written down of it.
//!
//! | file | question |
//! |---|---|
//! | [`table`] | which action does each address need, and whose record is behind it? |
//! | [`gate`] | may this request pass? |
//! | [`doors`] | on which addresses does the program answer, and must everybody sign in? |
//! | [`sign_in`] | how does somebody come in and leave? |
//! | [`owner`] | is whoever is signed in the owner of the account? |
//! | [`own`] | how does somebody change their passphrase, set up one-time codes and recovery codes? |
//! | [`keys`] | with which keys do other programs come in? |
//! | [`passkey`] | how does somebody come in with a passkey?
//! | [`limits`] | how much may one session, or one key, ask for at a time?
//! | [`people`] | who has an account, with which roles? |
//! | [`closed`] | whose record is closed, and how is it opened with a reason? |
//! | [`trail`] | who saw and did what? |
//! | [`lab`] | which orders does a lab see? |
//! | [`take_out`] | how does everything of one patient leave the practice, readable? |
//! | [`readings`] | which films was a reader asked to read? |
//!
//! Architecture invariant: every request passes [`gate`]; an address that is not in [`table`] answers nobody.

pub mod backups;
pub mod closed;
pub mod doors;
pub mod erase;
pub mod gate;
pub mod keys;
pub mod lab;
pub mod limits;
pub mod nameless;
pub mod own;
pub mod owner;
pub mod passkey;
pub mod people;
pub mod readings;
pub mod sign_in;
pub mod table;
pub mod take_out;
pub mod trail;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/sign-in", get(sign_in::show).post(sign_in::come_in))
        .route("/sign-in/passkey/begin", post(passkey::begin_coming_in))
        .route("/sign-in/passkey/finish", post(passkey::finish_coming_in))
        .route("/account/passkeys/begin", post(passkey::begin_adding))
        .route("/account/passkeys/finish", post(passkey::finish_adding))
        .route("/account/passkeys/back", post(passkey::take_back))
        .route("/sign-out", post(sign_in::leave))
        .route("/account", get(own::show))
        .route("/account/passphrase", post(own::change_passphrase))
        .route("/account/codes", post(own::begin_codes))
        .route("/account/codes/confirm", post(own::confirm_codes))
        .route("/account/codes/off", post(own::codes_off))
        .route("/account/recovery", post(own::new_recovery))
        .route("/account/elsewhere", post(own::end_elsewhere))
        .route("/people", get(people::show).post(people::save))
        .route("/people/first", post(people::first))
        .route("/people/again", post(people::new_passphrase))
        .route("/backups", get(backups::show).post(backups::ask))
        .route("/erased", get(erase::list))
        .route("/patient/{id}/erase", get(erase::show).post(erase::erase))
        .route(
            "/film/{id}/nameless",
            get(nameless::show).post(nameless::give),
        )
        .route("/film/{id}/nameless/picture.png", get(nameless::picture))
        .route("/people/keys", get(keys::show).post(keys::make))
        .route("/people/keys/back", post(keys::take_back))
        .route("/trail", get(trail::show))
        .route(
            "/patient/{id}/closed",
            get(closed::show).post(closed::break_glass),
        )
        .route("/patient/{id}/closure", post(closed::save))
        .route("/patient/{id}/take-out", post(take_out::take_out))
        .route("/lab", get(lab::show))
        .route("/lab/order/{id}", get(lab::order))
        .route("/lab/order/{id}/{name}", get(lab::give))
        .route("/order/{id}/release", post(lab::release))
        .route("/second-readings", get(readings::show))
        .route("/film/{id}/ask", post(readings::ask))
}

//! Bodies that a search found worth keeping, sent once more to the addresses that they were made for.

#[path = "../../../../fuzz/doors/kept.rs"]
mod kept;

use super::page_bodies::{comes_in, number_of};
use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use web::access::table::{Method, TABLE};

#[test]
fn what_was_kept_is_answered_at_every_address_that_takes_a_body() {
    for (name, bytes) in kept::inputs("page_bodies") {
        let fine = catch_unwind(AssertUnwindSafe(|| comes_in(&bytes)));
        assert!(fine.is_ok(), "a fault at {name} of the kept bodies");
    }
}

#[test]
fn no_two_addresses_that_take_a_body_have_one_number() {
    let rows = TABLE.iter().filter(|row| row.method == Method::Post);
    let numbers: Vec<u16> = rows.map(number_of).collect();
    let different: BTreeSet<u16> = numbers.iter().copied().collect();
    assert_eq!(different.len(), numbers.len());
    assert!(numbers.len() > 70, "{}", numbers.len());
}

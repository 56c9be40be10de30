//! The pages, asked as a browser asks. One program for all: each would carry the whole of paper and knowledge.

mod access;
mod agreement;
mod arrivals;
mod bench;
mod captures;
mod clips;
mod colours;
mod common;
mod day;
mod desk;
mod exports;
mod kept_bodies;
mod machines;
mod outgoing;
mod pages;
mod passkeys;
mod refusals;
mod results;
mod safety;

#[path = "../../../../fuzz/doors/page_bodies.rs"]
mod page_bodies;

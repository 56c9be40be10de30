//! The pages, asked as a browser asks. One program for all: each would carry the whole of paper and knowledge.

mod access;
mod agreement;
mod bench;
mod captures;
mod clips;
mod colours;
mod common;
mod day;
mod desk;
mod machines;
mod pages;
mod passkeys;
mod refusals;

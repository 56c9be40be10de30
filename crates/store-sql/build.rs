//! A new migration is picked up by the next build.
fn main() {
    println!("cargo::rerun-if-changed=migrations");
}

//! Copies a film without names, for the check in Python.
//!
//!     dicom_nameless FILM COPY PATIENT

use exchange_dicom::nameless::{Secret, nameless};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut all = std::env::args().skip(1);
    let (Some(film), Some(copy), Some(patient)) = (all.next(), all.next(), all.next()) else {
        return Err("expected FILM COPY PATIENT".into());
    };
    // A secret for checks alone.
    let made = nameless(&std::fs::read(film)?, &patient, &Secret::new([9; 32]), &[])?;
    std::fs::write(copy, made.file)?;
    for look in made.looks {
        println!("{}", look.sentence());
    }
    Ok(())
}

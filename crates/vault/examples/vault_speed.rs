//! How fast are files and backups sealed and opened, and how long does a passphrase take?
//!
//! One thread, memory to memory, 64 MiB of random bytes, the median of seven runs after one that is not
//! counted. Sealing and opening a file include the SHA-256 of its content, which both check.

use rand::{RngCore, SeedableRng, rngs::StdRng};
use sha2::{Digest, Sha256};
use std::io::Write;
use std::time::Instant;
use vault::stream::{self, Sealer};
use vault::{Entropy, Keyring, NoEntropy, Passphrase, WayIn};

const SIZE: usize = 64 * 1024 * 1024;
const RUNS: usize = 7;

struct Dice(StdRng);

impl Entropy for Dice {
    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        self.0.fill_bytes(bytes);
        Ok(())
    }
}

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// Median seconds of a run.
fn median(mut run: impl FnMut() -> Outcome<()>) -> Outcome<f64> {
    run()?;
    let mut times = Vec::new();
    for _ in 0..RUNS {
        let begun = Instant::now();
        run()?;
        times.push(begun.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    Ok(times[RUNS / 2])
}

fn say(name: &str, value: f64, unit: &str, goal: &str, holds: bool) {
    println!(
        r#"BENCH {{"name":"{name}","value":{value:.0},"ours":{value:.0},"unit":"{unit}","reference":null,"ratio":null,"goal":"{goal}","holds":{holds}}}"#
    );
}

fn main() -> Outcome<()> {
    let mut dice = Dice(StdRng::seed_from_u64(1));
    let way: WayIn = Passphrase::chosen("an invented passphrase")?.into();
    let (ring, seal) = Keyring::make(&way, "", &mut dice)?;
    let mut plain = vec![0; SIZE];
    dice.0.fill_bytes(&mut plain);
    let content: [u8; 32] = Sha256::digest(&plain).into();
    let sealed = seal.seal(&content, &plain)?;
    let rate = |seconds: f64| SIZE as f64 / 1e6 / seconds;

    let hashing = rate(median(|| {
        std::hint::black_box(Sha256::digest(&plain));
        Ok(())
    })?);
    println!("SHA-256 alone: {hashing:.0} MB/s");
    let rates = [
        (
            "a file sealed",
            rate(median(|| {
                std::hint::black_box(seal.seal(&content, &plain)?);
                Ok(())
            })?),
        ),
        (
            "a file opened",
            rate(median(|| {
                std::hint::black_box(seal.open(&content, &sealed)?);
                Ok(())
            })?),
        ),
        (
            "a backup sealed",
            rate(median(|| {
                let mut sealer = Sealer::start(std::io::sink(), &seal, &ring, &mut dice)?;
                sealer.write_all(&plain)?;
                sealer.finish()?;
                Ok(())
            })?),
        ),
    ];
    let mut sealer = Sealer::start(Vec::new(), &seal, &ring, &mut dice)?;
    sealer.write_all(&plain)?;
    let (backup, _) = sealer.finish()?;
    let verified = rate(median(|| {
        stream::verify(&backup[..], &seal)?;
        Ok(())
    })?);
    for (name, rate) in rates.into_iter().chain([("a backup verified", verified)]) {
        say(name, rate, "MB/s", "> 200 MB/s", rate > 200.0);
    }
    let opening_ms = 1e3
        * median(|| {
            std::hint::black_box(ring.open(&way)?);
            Ok(())
        })?;
    say(
        "a keyring opened by passphrase",
        opening_ms,
        "ms",
        "50 to 1000 ms: slow to guess, quick to use",
        (50.0..1000.0).contains(&opening_ms),
    );
    Ok(())
}

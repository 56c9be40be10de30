//! Where is work done that keeps every core busy for seconds?
//!
//! Devices and clips are computed on threads of their own. On those that everything else shares, a film that somebody opens
//! would wait until a device is finished.

use rayon::{ThreadPool, ThreadPoolBuilder};
use std::sync::OnceLock;

fn threads() -> Option<&'static ThreadPool> {
    static THREADS: OnceLock<Option<ThreadPool>> = OnceLock::new();
    let made = THREADS.get_or_init(|| {
        let named = ThreadPoolBuilder::new().thread_name(|n| format!("heavy-{n}"));
        named
            .build()
            .inspect_err(|fault| tracing::warn!(%fault, "heavy work has no threads of its own"))
            .ok()
    });
    made.as_ref()
}

/// Does the work there and waits for it; where there are no such threads, here.
pub fn done<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    match threads() {
        Some(threads) => threads.install(work),
        None => work(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rayon::prelude::*;
    use std::sync::mpsc;
    use std::time::Duration;

    #[test]
    fn while_heavy_work_holds_all_its_threads_other_work_goes_on() {
        let (begun, wait) = mpsc::channel();
        let (end, ends) = mpsc::channel::<()>();
        let ends = std::sync::Mutex::new(ends);
        let heavy = std::thread::spawn(move || {
            done(|| {
                (0..rayon::current_num_threads())
                    .into_par_iter()
                    .for_each(|n| {
                        let _ = begun.send(n);
                        // The first holds the others up, as long work does.
                        let _ = ends.lock().unwrap().recv_timeout(Duration::from_secs(60));
                    });
            });
        });
        wait.recv().unwrap();
        let sum: u64 = (0..10_000_u64).into_par_iter().sum();
        assert_eq!(sum, 49_995_000);
        assert!(!heavy.is_finished(), "it was still at work");
        drop(end);
        heavy.join().unwrap();
    }
}

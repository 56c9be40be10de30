//! A receiver on the loopback address that keeps what it is sent in a folder, for the check in Python.
//!
//!     dicom_receiver FOLDER
//!
//! Prints its port, and ends when its standard input is closed.

use exchange_dicom::inbox::{Inbox, Received, Refusal};
use exchange_dicom::receive::{Caller, Receiver, ReceiverLimits, Rules};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

struct Folder(PathBuf, AtomicU64);

impl Inbox for Folder {
    async fn keep(&self, received: Received) -> Result<(), Refusal> {
        let number = self.1.fetch_add(1, Ordering::Relaxed);
        std::fs::write(self.0.join(format!("{number:05}.dcm")), received.file)
            .map_err(|e| Refusal::Failed(e.to_string()))
    }
}

#[tokio::main]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args()
        .nth(1)
        .ok_or("found no folder; expected one to keep films in")?;
    let rules = Rules {
        called: "TIEBEAM".into(),
        callers: vec![Caller {
            title: "XRAY".into(),
            from: vec!["127.0.0.0/8".parse()?],
        }],
        any_title_from: Vec::new(),
        limits: ReceiverLimits::default(),
    };
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    println!("{}", listener.local_addr()?.port());
    let closed = tokio::task::spawn_blocking(|| {
        let mut line = String::new();
        while std::io::stdin().read_line(&mut line).is_ok_and(|n| n > 0) {}
    });
    let inbox = Arc::new(Folder(folder.into(), AtomicU64::new(0)));
    Receiver::new(rules, inbox, None)
        .run(listener, async {
            let _ = closed.await;
        })
        .await?;
    Ok(())
}

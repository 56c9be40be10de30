//! The database server and the object store that the test command has started, if it has.
//!
//! `TIEBEAM_TEST_POSTGRES` is the address of a server on which databases may be made,
//! `TIEBEAM_TEST_S3` the endpoint of an object store that takes any key.

use sqlx::{AssertSqlSafe, Connection, PgConnection};
use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use store_sql::{Bucket, Seal, Shelf, SqlStore, Unsealed};

const BUCKET: &str = "tiebeam-test";
static NEXT: AtomicU32 = AtomicU32::new(1);

pub struct Servers {
    pub postgres: String,
    pub s3: String,
}

/// A database and a place in the bucket that nothing else has.
pub struct Fresh {
    pub address: String,
    pub bucket: Bucket,
}

impl Fresh {
    pub fn shelf(&self) -> Shelf {
        let seal: Arc<dyn Seal> = Arc::new(Unsealed);
        Shelf::objects(self.bucket.clone(), seal).unwrap()
    }

    pub async fn store(&self) -> SqlStore {
        SqlStore::open_postgres(&self.address, self.shelf())
            .await
            .unwrap()
    }
}

/// `None`, and a line that says so, where nobody has started them.
pub fn servers(test: &str) -> Option<Servers> {
    let said = |name| std::env::var(name).ok().filter(|v| !v.is_empty());
    match (said("TIEBEAM_TEST_POSTGRES"), said("TIEBEAM_TEST_S3")) {
        (Some(postgres), Some(s3)) => {
            make_bucket(&s3);
            Some(Servers { postgres, s3 })
        }
        (None, None) => {
            println!("NOT RUN: {test}; cargo xtask test rust starts the servers it needs");
            None
        }
        _ => panic!("TIEBEAM_TEST_POSTGRES and TIEBEAM_TEST_S3 are given together or not at all"),
    }
}

/// The same bucket again is no fault.
fn make_bucket(endpoint: &str) {
    let host = endpoint
        .strip_prefix("http://")
        .expect("an endpoint of plain HTTP on this machine");
    let mut stream = TcpStream::connect(host).expect("the object store answers");
    write!(
        stream,
        "PUT /{BUCKET} HTTP/1.1\r\nHost: {host}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    let made = answer.starts_with("HTTP/1.1 200") || answer.contains("BucketAlreadyOwnedByYou");
    assert!(made, "{answer}");
}

impl Servers {
    pub async fn fresh(&self) -> Fresh {
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("tiebeam_{}_{number}", std::process::id());
        let mut server = PgConnection::connect(&self.postgres).await.unwrap();
        for sql in [
            format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)"),
            format!("CREATE DATABASE {name}"),
        ] {
            let sql = AssertSqlSafe(sql);
            sqlx::raw_sql(sql).execute(&mut server).await.unwrap();
        }
        server.close().await.unwrap();
        let (server, _) = self
            .postgres
            .rsplit_once('/')
            .expect("the name of a database");
        Fresh {
            address: format!("{server}/{name}"),
            bucket: Bucket {
                endpoint: Some(self.s3.clone()),
                region: "us-east-1".into(),
                bucket: BUCKET.into(),
                prefix: name,
                key_id: "invented".into(),
                secret: "invented".into(),
                plain_http: true,
            },
        }
    }
}

#[allow(dead_code, reason = "not every test speaks past the store")]
pub async fn say(address: &str, sql: &str) -> Result<(), sqlx::Error> {
    let mut db = PgConnection::connect(address).await?;
    let said = sqlx::raw_sql(AssertSqlSafe(sql)).execute(&mut db).await;
    db.close().await?;
    said.map(drop)
}

//! How do a file's bytes get to an object store so that they are there whole or not at all?
//!
//! An object store shows a file whole or not at all by itself. Each is put on condition that none lies
//! under its name: of two servers that put the same file one wins and the other finds it there. One that is
//! there and is not whole is put again. Nothing is ever removed.

use crate::fault::{Fault, damaged};
use crate::shelf::{Incoming, Seal, is_name, whole};
use futures_util::TryStreamExt;
use object_store::aws::{AmazonS3, AmazonS3Builder};
use object_store::path::Path;
use object_store::{
    ClientOptions, Error, ObjectStore, ObjectStoreExt, PutMode, PutOptions, RetryConfig,
};
use record::ContentHash;
use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;
use std::time::Duration;
use store::StoreError;

/// More than any file that is taken in, and than an object store takes at once.
const MOST: u64 = 4 << 30;

/// Where the bucket is and how it is entered.
#[derive(Clone, Default)]
pub struct Bucket {
    /// Like `https://objects.example.org:9000`; none for the provider whose protocol it is.
    pub endpoint: Option<String>,
    pub region: String,
    pub bucket: String,
    /// Put before every name, so that several practices may share a bucket; may be empty.
    pub prefix: String,
    pub key_id: String,
    pub secret: String,
    /// Without it an endpoint of plain HTTP is refused: files would travel readable.
    pub plain_http: bool,
}

/// Without the secret.
impl fmt::Debug for Bucket {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Bucket")
            .field("endpoint", &self.endpoint)
            .field("bucket", &self.bucket)
            .field("prefix", &self.prefix)
            .finish_non_exhaustive()
    }
}

#[derive(Debug, Clone)]
pub struct Objects {
    store: Arc<AmazonS3>,
    files: Path,
    /// As a sentence names it.
    place: Arc<str>,
    seal: Arc<dyn Seal>,
}

impl Objects {
    pub fn new(bucket: Bucket, seal: Arc<dyn Seal>) -> Result<Self, StoreError> {
        let place: Arc<str> = match &bucket.endpoint {
            Some(endpoint) => format!("the bucket {} at {endpoint}", bucket.bucket).into(),
            None => format!("the bucket {}", bucket.bucket).into(),
        };
        let bad = || StoreError::Failed {
            doing: "read the settings of the object store",
            detail: format!(
                "{place}: expected an address, a region, a bucket, a key and its secret"
            ),
        };
        let files = Path::parse(bucket.prefix.trim_matches('/'))
            .map_err(|_| bad())?
            .join("files");
        let retry = RetryConfig {
            max_retries: 4,
            retry_timeout: Duration::from_secs(30),
            ..Default::default()
        };
        // A clip over a slow line takes its time.
        let client = ClientOptions::new()
            .with_connect_timeout(Duration::from_secs(10))
            .with_timeout(Duration::from_secs(15 * 60));
        let mut builder = AmazonS3Builder::new()
            .with_bucket_name(&bucket.bucket)
            .with_region(&bucket.region)
            .with_access_key_id(&bucket.key_id)
            .with_secret_access_key(&bucket.secret)
            .with_client_options(client)
            .with_allow_http(bucket.plain_http)
            .with_retry(retry);
        if let Some(endpoint) = &bucket.endpoint {
            builder = builder.with_endpoint(endpoint);
        }
        let store = builder.build().map_err(|_| bad())?;
        Ok(Self {
            store: Arc::new(store),
            files,
            place,
            seal,
        })
    }

    fn place(&self, content: ContentHash) -> Path {
        let name = self.seal.name(content);
        self.files.clone().join(&name[..2]).join(name)
    }

    pub async fn put(&self, file: Incoming) -> Result<(), Fault> {
        let at = self.place(file.content);
        let kept = self.seal.close(file.content, &file.bytes)?;
        let create = PutOptions::from(PutMode::Create);
        let put = self.store.put_opts(&at, kept.into(), create).await;
        match put {
            Ok(_) => Ok(()),
            Err(Error::AlreadyExists { .. }) if self.get(file.content).await.is_ok() => Ok(()),
            Err(Error::AlreadyExists { .. }) => {
                self.put_over(&at, self.seal.close(file.content, &file.bytes)?)
                    .await
            }
            Err(error) => Err(self.said("write the file", &error).into()),
        }
    }

    async fn put_over(&self, at: &Path, kept: Vec<u8>) -> Result<(), Fault> {
        match self.store.put(at, kept.into()).await {
            Ok(_) => Ok(()),
            Err(error) => Err(self.said("write the file", &error).into()),
        }
    }

    /// Closes the file anew where it was closed with an older key.
    pub async fn seal_anew(&self, content: ContentHash) -> Result<bool, Fault> {
        let kept = self.kept(content).await?;
        if self.seal.is_current(&kept) {
            return Ok(false);
        }
        let bytes = self.opened(content, kept)?;
        let closed = self.seal.close(content, &bytes)?;
        self.put_over(&self.place(content), closed).await?;
        Ok(true)
    }

    pub async fn get(&self, content: ContentHash) -> Result<Vec<u8>, StoreError> {
        self.opened(content, self.kept(content).await?)
    }

    fn opened(&self, content: ContentHash, kept: Vec<u8>) -> Result<Vec<u8>, StoreError> {
        whole(&*self.seal, content, kept)
            .ok_or_else(|| damaged(format!("the file {content}"), "its content changed"))
    }

    /// As it lies there.
    async fn kept(&self, content: ContentHash) -> Result<Vec<u8>, StoreError> {
        let read = async {
            let found = self.store.get(&self.place(content)).await?;
            match found.meta.size {
                0..=MOST => found.bytes().await.map(Some),
                _ => Ok(None),
            }
        };
        match read.await {
            Ok(None) => Err(damaged(
                format!("the file {content}"),
                "larger than any that is taken in",
            )),
            Ok(Some(kept)) => Ok(kept.into()),
            Err(Error::NotFound { .. }) => Err(damaged(
                format!("the file {content}"),
                "not readable: it is not there",
            )),
            Err(error) => Err(self.said("read the file", &error)),
        }
    }

    /// For good.
    pub async fn erase(&self, gone: &[ContentHash]) -> Result<(), Fault> {
        for content in gone {
            match self.store.delete(&self.place(*content)).await {
                Ok(()) | Err(Error::NotFound { .. }) => {}
                Err(error) => return Err(self.said("erase the file", &error).into()),
            }
        }
        Ok(())
    }

    /// All names that lie here. What is not a file of ours is left alone.
    pub async fn names(&self) -> Result<BTreeSet<String>, Fault> {
        let listed = self.store.list(Some(&self.files));
        let names = listed.try_fold(BTreeSet::new(), async |mut names, object| {
            if let Some(name) = object.location.filename().filter(|n| is_name(n)) {
                names.insert(name.to_owned());
            }
            Ok(names)
        });
        names
            .await
            .map_err(|error| self.said("list the files", &error).into())
    }

    /// Messages of an object store may repeat whole answers: only what is known of them is told.
    fn said(&self, doing: &'static str, error: &Error) -> StoreError {
        let server = self.place.to_string();
        match error {
            Error::PermissionDenied { .. } | Error::Unauthenticated { .. } => {
                StoreError::NotLetIn { server }
            }
            Error::NotFound { .. } => StoreError::Failed {
                doing,
                detail: format!("{server} is not there"),
            },
            Error::Generic { .. } => StoreError::NoAnswer {
                server,
                detail: format!("could not {doing}"),
            },
            _ => StoreError::Failed {
                doing,
                detail: format!("{server} does not do what is asked of it"),
            },
        }
    }
}

//! How does the practice's keyring close what lies on the shelf and in the record file?

use crate::SqlStore;
use crate::fault::Fault;
use crate::shelf::{DatabaseKey, Seal};
use crate::verify::named_files;
use record::ContentHash;
use store::StoreError;

impl Seal for vault::Seal {
    fn name(&self, content: ContentHash) -> String {
        self.name_of(content.bytes())
    }

    fn close(&self, content: ContentHash, bytes: &[u8]) -> Result<Vec<u8>, StoreError> {
        self.seal(content.bytes(), bytes)
            .map_err(|said| StoreError::Failed {
                doing: "seal a file",
                detail: said.to_string(),
            })
    }

    fn open(&self, content: ContentHash, kept: Vec<u8>) -> Option<Vec<u8>> {
        vault::Seal::open(self, content.bytes(), &kept).ok()
    }

    fn is_current(&self, kept: &[u8]) -> bool {
        self.number_of(kept)
            .is_ok_and(|number| number == self.current())
    }

    fn database_keys(&self) -> Vec<DatabaseKey> {
        let newest_first = self.numbers().into_iter().rev();
        newest_first
            .filter_map(|number| self.database_key_of(number).ok())
            .map(|key| key.hex())
            .collect()
    }
}

impl SqlStore {
    /// Closes every file anew that was closed with an older key, and answers with how many were. The record file
    /// gets today's key when it is opened. Breaking off harms nothing: go on with it later.
    ///
    /// # Errors
    /// A file that does not open: it is left as it is. Whatever reading and writing fails with.
    pub async fn seal_anew(&self) -> Result<u64, StoreError> {
        let said = |fault: Fault| fault.said(&self.place, "seal the files anew");
        let _turn = self.file_turn.lock().await;
        let named = self.read(async |db| named_files(db).await).await?;
        let mut anew = 0;
        for content in named {
            anew += u64::from(self.shelf.seal_anew(content).await.map_err(said)?);
        }
        Ok(anew)
    }
}

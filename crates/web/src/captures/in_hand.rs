//! What stays in memory between two answers: sheets of prints, frames of clips, and what is being followed.

use super::clip::follow::Jobs;
use super::clip::hand::Clips;
use super::print::hand::Sheets;

#[derive(Default)]
pub struct InHand {
    pub sheets: Sheets,
    pub clips: Clips,
    pub jobs: Jobs,
}

impl InHand {
    /// Nothing of anybody's captures stays.
    pub fn forget_all(&self) {
        self.sheets.forget_all();
        self.clips.forget_all();
        self.jobs.forget_all();
    }
}

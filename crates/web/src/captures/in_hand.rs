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

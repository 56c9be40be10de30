//! Which placing do a film's readings come from?

use record::PointsRecord;

/// The readings that stand for a film: of the last finished placing, else of the last one in hand.
pub fn standing(placings: &[PointsRecord]) -> Option<&PointsRecord> {
    placings
        .iter()
        .filter(|p| p.finished)
        .max_by_key(|p| p.placed_at)
        .or_else(|| placings.iter().max_by_key(|p| p.placed_at))
}

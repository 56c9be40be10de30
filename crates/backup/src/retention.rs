//! Which backups are kept, and which may go?
//!
//! Of each of the last days, weeks and months that have one, the newest. Days are counted by backups and not by the
//! calendar: a practice that was closed for a month loses none.

use crate::BackupError;
use crate::shelf::{Kept, kept_in};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use time::OffsetDateTime;

/// How many days, weeks and months keep their newest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    pub days: usize,
    pub weeks: usize,
    pub months: usize,
}

impl Default for Rule {
    /// Two weeks of days, two months of weeks, two years of months (our own choice; local rules on keeping records
    /// come first).
    fn default() -> Self {
        Rule {
            days: 14,
            weeks: 9,
            months: 24,
        }
    }
}

impl Rule {
    /// The moments that stay; the newest always does.
    pub fn stay(&self, all: &[OffsetDateTime]) -> BTreeSet<OffsetDateTime> {
        let mut newest_first = all.to_vec();
        newest_first.sort_unstable();
        newest_first.reverse();
        let mut stay: BTreeSet<_> = newest_first.first().copied().into_iter().collect();
        stay.extend(newest_of(&newest_first, self.days, |at| {
            (at.year(), u32::from(at.ordinal()))
        }));
        stay.extend(newest_of(&newest_first, self.weeks, |at| {
            let (year, week, _) = at.to_iso_week_date();
            (year, u32::from(week))
        }));
        stay.extend(newest_of(&newest_first, self.months, |at| {
            (at.year(), u32::from(u8::from(at.month())))
        }));
        stay
    }
}

fn newest_of(
    newest_first: &[OffsetDateTime],
    many: usize,
    of: impl Fn(&OffsetDateTime) -> (i32, u32),
) -> Vec<OffsetDateTime> {
    let mut seen = BTreeSet::new();
    let first = newest_first.iter().filter(|at| seen.insert(of(at)));
    first.copied().take(many).collect()
}

/// Removes those that may go and answers with them.
///
/// # Errors
/// The folder cannot be read, or one of them not removed.
pub fn tidy(folder: &Path, rule: Rule) -> Result<Vec<PathBuf>, BackupError> {
    let kept: Vec<Kept> =
        kept_in(folder).map_err(BackupError::folder("look through the backups"))?;
    let stay = rule.stay(&kept.iter().map(|k| k.at).collect::<Vec<_>>());
    let mut gone = Vec::new();
    for old in kept.into_iter().filter(|k| !stay.contains(&k.at)) {
        fs::remove_file(&old.path).map_err(BackupError::folder("remove an old backup"))?;
        gone.push(old.path);
    }
    Ok(gone)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shelf;
    use time::Duration;
    use time::macros::datetime;

    fn every(hours: i64, many: i64) -> Vec<OffsetDateTime> {
        let last = datetime!(2026-11-27 03:00 UTC);
        (0..many)
            .map(|n| last - Duration::hours(hours * n))
            .collect()
    }

    #[test]
    fn of_three_years_of_nights_two_weeks_of_days_nine_weeks_and_two_years_of_months_stay() {
        let all = every(24, 3 * 365);
        let stay = Rule::default().stay(&all);
        assert!(all[..14].iter().all(|at| stay.contains(at)), "each day");
        // The newest of a week is its Sunday's; of a month its last day's.
        assert!(stay.contains(&datetime!(2026-10-04 03:00 UTC)));
        assert!(!stay.contains(&datetime!(2026-09-28 03:00 UTC)));
        assert!(stay.contains(&datetime!(2025-01-31 03:00 UTC)));
        assert!(!stay.contains(&datetime!(2024-11-30 03:00 UTC)));
        assert_eq!(stay.len(), 14 + 7 + 22, "{stay:?}");
    }

    #[test]
    fn of_several_on_one_day_the_newest_stays_and_an_old_one_stays_where_nothing_came_after() {
        let hourly = every(1, 30);
        let stay = Rule {
            days: 2,
            weeks: 0,
            months: 0,
        }
        .stay(&hourly);
        assert_eq!(stay.len(), 2);
        assert!(stay.contains(&hourly[0]) && stay.contains(&hourly[4]));
        let old = [datetime!(2019-01-01 0:00 UTC)];
        let nothing = Rule {
            days: 0,
            weeks: 0,
            months: 0,
        };
        assert_eq!(nothing.stay(&old).len(), 1, "the newest always stays");
        assert!(Rule::default().stay(&[]).is_empty());
    }

    #[test]
    fn what_may_go_is_removed_and_what_is_not_ours_stays() {
        let folder = tempfile::tempdir().unwrap();
        for at in every(24, 40) {
            fs::write(folder.path().join(shelf::name_of(at)), "sealed").unwrap();
        }
        fs::write(folder.path().join("holiday.backup"), "theirs").unwrap();
        let gone = tidy(folder.path(), Rule::default()).unwrap();
        let left = kept_in(folder.path()).unwrap();
        assert_eq!(gone.len() + left.len(), 40);
        assert!((14..22).contains(&left.len()), "{}", left.len());
        assert!(folder.path().join("holiday.backup").exists());
        let last = left.last().map(|k| k.at);
        assert_eq!(last, Some(datetime!(2026-11-27 03:00 UTC)));
    }
}

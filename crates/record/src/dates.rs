//! How a calendar date stands in JSON: `2026-11-24`.

pub(crate) mod iso {
    time::serde::format_description!(iso_day, Date, "[year]-[month]-[day]");
    pub use iso_day::{deserialize, option, serialize};
}

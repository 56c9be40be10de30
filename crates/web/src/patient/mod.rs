//! A patient: one line per foot on top, then the readings over the visits, visits and films.

mod forms;
mod view;

pub use forms::{add, edit, find, new_form, save, start_visit};
pub use view::show;

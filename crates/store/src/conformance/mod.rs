//! Does a backend keep every promise of the trait?
//!
//! One suite for all backends: a test of the backend hands in a store and the suite panics, with
//! the sentence of the promise, at the first one that is broken. Every person in it is invented.

mod access;
mod arrivals;
mod captures;
mod care;
mod desk;
mod exports;
mod films;
mod findings;
mod jobs;
mod journal;
mod keys;
mod letters;
mod orders;
mod people;
mod scans;

pub use jobs::every_promise_of_jobs;

use crate::Store;
use desk::Desk;
use std::{future::Future, pin::Pin, sync::Arc};

type Promise = fn(Desk) -> Pin<Box<dyn Future<Output = ()> + Send>>;

macro_rules! promises {
    ($($module:ident :: $promise:ident),+ $(,)?) => {
        &[$((stringify!($promise), |desk| Box::pin($module::$promise(desk)))),+]
    };
}

const PROMISES: &[(&str, Promise)] = promises![
    people::the_last_save_of_the_practice_stands,
    people::a_patient_comes_back_as_saved_and_a_change_stands,
    people::a_chart_number_belongs_to_one_patient,
    people::a_patient_without_a_name_is_refused_and_not_kept,
    people::a_text_with_the_character_zero_is_refused_and_not_kept,
    people::a_patient_is_found_without_accents_and_by_the_beginning_of_every_word,
    people::the_list_of_a_day_holds_its_visits_in_the_order_they_were_opened,
    people::a_visit_keeps_its_patient_and_is_closed_and_opened_again,
    people::a_patient_is_due_from_the_planned_day_until_they_come,
    people::what_is_not_there_is_missing,
    films::a_film_comes_back_with_every_byte_and_every_field,
    films::a_film_whose_bytes_do_not_match_or_whose_patient_is_another_is_not_kept,
    films::what_is_known_of_a_film_changes_and_the_film_itself_does_not,
    films::the_same_file_taken_in_twice_is_two_films_of_one_content,
    films::points_are_saved_in_hand_until_finished_and_earlier_placings_stay,
    films::a_film_waits_until_no_placing_on_it_is_open_however_old_it_is,
    films::films_read_twice_come_with_their_finished_placings,
    films::a_reading_without_its_error_is_refused_and_not_kept,
    films::joint_wear_has_revisions,
    findings::an_examination_has_revisions_and_the_last_one_stands,
    findings::undo_walks_back_to_the_first_save_and_keeps_what_it_left,
    findings::two_pages_cannot_overwrite_each_other,
    findings::many_saves_at_once_all_get_their_own_revision,
    findings::a_decision_and_a_plan_come_back_as_saved,
    findings::what_stands_of_all_visits_comes_at_once_newest_visit_first,
    findings::what_an_undo_would_bring_back_is_told_before,
    letters::a_draft_changes_until_it_is_signed_and_then_never,
    letters::two_pages_cannot_overwrite_each_others_draft,
    letters::a_draft_is_taken_away_and_put_back_as_it_was,
    letters::a_signed_letter_is_never_taken_away,
    letters::the_letters_signed_last_come_first,
    letters::a_signed_letter_gives_its_paper_back_and_its_seal_holds,
    letters::an_addendum_needs_a_signed_letter_of_the_same_patient,
    scans::a_scan_comes_back_with_every_byte_and_every_field,
    scans::a_scan_whose_bytes_do_not_match_or_whose_patient_is_another_is_not_kept,
    scans::what_is_known_of_a_scan_changes_and_the_scan_itself_does_not,
    scans::the_file_of_a_film_stays_when_the_same_file_is_refused_as_a_scan,
    orders::an_order_has_revisions_and_the_last_one_stands,
    orders::undo_walks_an_order_back_to_its_first_save_and_tells_before_what_it_brings,
    orders::patient_visit_side_and_code_of_an_order_stay,
    orders::a_code_belongs_to_one_order,
    orders::an_order_is_shaped_on_a_scan_of_its_own_patient,
    orders::an_order_and_its_scan_are_of_one_foot,
    orders::a_scan_under_a_sent_order_keeps_its_side_load_and_unit,
    orders::two_pages_cannot_overwrite_each_others_order,
    orders::an_order_changes_until_it_is_sent_and_then_never,
    orders::an_order_is_sent_with_a_sheet_and_solids_or_not_at_all,
    orders::of_saving_and_sending_at_once_one_wins,
    orders::orders_in_hand_come_oldest_first_with_their_patient,
    captures::a_capture_comes_back_with_every_byte_and_every_field,
    captures::a_capture_whose_bytes_do_not_match_or_whose_patient_is_another_is_not_kept,
    captures::what_is_known_of_a_capture_changes_and_the_capture_itself_does_not,
    captures::steps_have_revisions_and_undo_walks_back_to_the_first_save,
    care::an_entry_has_revisions_and_the_last_one_stands,
    care::undo_walks_an_entry_back_and_a_taking_away_can_be_undone,
    care::patient_visit_kind_and_what_it_is_about_stay,
    care::an_entry_belongs_to_its_patient_alone,
    care::what_is_due_comes_longest_first_and_what_was_taken_away_does_not,
    care::of_an_entry_and_its_checks_the_last_says_when_until_it_ends,
    care::two_pages_cannot_overwrite_each_others_entry,
    access::an_account_comes_back_as_saved_and_its_name_belongs_to_it_alone,
    access::a_session_is_its_accounts_until_it_is_ended,
    access::the_trail_counts_on_and_every_entry_holds_the_one_before,
    access::an_act_and_its_entry_in_the_trail_come_together,
    access::a_closed_record_names_whom_it_is_open_to_until_it_is_opened,
    access::a_lab_is_shown_sent_orders_alone_and_a_reader_the_films_asked_for,
    keys::a_key_is_found_by_what_is_kept_of_its_token_until_and_after_it_is_taken_back,
    keys::a_key_has_a_label_of_its_own_and_something_that_it_may,
    keys::every_change_of_keys_and_passkeys_is_in_the_trail_and_their_use_is_not,
    keys::a_passkey_is_its_accounts_until_it_is_taken_back,
    arrivals::a_film_that_came_in_comes_back_with_every_byte_and_every_field,
    arrivals::the_same_film_twice_waits_once_and_with_other_bytes_it_waits_and_says_so,
    arrivals::many_sends_of_one_film_at_once_leave_one,
    arrivals::a_film_that_waits_is_taken_into_a_visit_once_and_its_entry_is_of_that_film,
    arrivals::a_film_that_somebody_brought_by_hand_is_named_and_not_doubled,
    arrivals::a_film_is_put_away_with_a_reason_and_put_back,
    arrivals::a_chart_number_finds_its_patient_whatever_its_capitals,
    exports::an_export_keeps_its_files_in_order_and_begins_anew_with_a_second_try,
    exports::the_files_of_an_export_go_and_those_that_a_record_names_stay,
    exports::exports_are_withdrawn_and_those_in_hand_come_to_nothing,
    exports::nothing_of_the_erased_stays_in_an_export,
    journal::acts_stand_in_the_order_they_were_confirmed_without_a_gap,
    journal::a_refused_act_leaves_no_entry,
    journal::an_act_is_kept_once,
    journal::the_journal_names_nobody,
    journal::everything_verifies,
];

/// Runs the whole suite; answers with the number of promises kept.
///
/// The store may hold other data, but nothing made from the same `seed` (1 to 1,000).
///
/// # Panics
/// At the first broken promise, with its name: this is a test kit.
pub async fn every_promise(store: Arc<dyn Store>, seed: u64) -> usize {
    // Else the days of one seed would run into those of the next.
    assert!(PROMISES.len() as i64 * desk::DAYS_OF_PROMISE <= desk::DAYS_OF_SEED);
    for (number, (name, promise)) in PROMISES.iter().enumerate() {
        println!("{}", name.replace('_', " "));
        promise(Desk::new(store.clone(), seed, number as u64)).await;
    }
    PROMISES.len()
}

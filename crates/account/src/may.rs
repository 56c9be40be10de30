//! Which role may do which action?
//!
//! One table. An account with several roles may do what any of them may. Local rules on who may examine, expose, sign or
//! prescribe come first; the table can only be narrower than they are if the practice gives fewer roles.

use record::Role;

macro_rules! actions {
    ($($name:ident = $words:literal, [$($role:ident),*];)+) => {
        /// What a page or a command is for.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Action { $($name),+ }

        impl Action {
            pub const ALL: &[Action] = &[$(Action::$name),+];

            /// In the words of 'you may not …'.
            pub fn words(self) -> &'static str {
                match self { $(Action::$name => $words),+ }
            }

            /// The roles that may.
            pub fn roles(self) -> &'static [Role] {
                match self { $(Action::$name => &[$(Role::$role),*]),+ }
            }
        }
    };
}

actions! {
    UseOwnAccount = "use your own account", [Clinician, Assistant, Lab, Reader, Administrator];
    SeeSources = "look up sources", [Clinician, Assistant, Lab, Reader, Administrator];
    SeePatients = "see patients and their records", [Clinician, Assistant];
    ChangePatients = "add patients, change their details or open visits", [Clinician, Assistant];
    Examine = "write down what was examined", [Clinician, Assistant];
    TakeFiles = "take in films, scans, prints and clips", [Clinician, Assistant];
    PlacePoints = "place points on films", [Clinician, Assistant];
    Decide = "decide on a stage or a plan", [Clinician];
    Treat = "write down care that was given", [Clinician];
    DraftLetters = "draft letters", [Clinician, Assistant];
    SignLetters = "sign letters", [Clinician];
    DraftOrders = "draft orders of devices", [Clinician, Assistant];
    SendOrders = "send orders to be made", [Clinician];
    ReleaseOrders = "release orders to a lab", [Clinician];
    SeeReleasedOrders = "see orders released to you", [Lab];
    AskSecondReading = "ask for a second reading", [Clinician];
    ReadBlinded = "read films that you were asked to read, without names", [Reader];
    CompareReaders = "compare readers", [Clinician];
    CloseRecord = "close a record to all but some", [Clinician];
    BreakGlass = "open a closed record with a reason", [Clinician, Assistant];
    TakeOut = "take a patient's record out of the practice", [Clinician];
    Erase = "erase a patient", [Clinician];
    SeePractice = "see the page of the practice", [Clinician, Assistant, Administrator];
    ChangePractice = "change the practice's name and address", [Administrator];
    ManagePeople = "manage people and their roles", [Administrator];
    SeeTrail = "see who did and saw what", [Administrator];
    KeepBackups = "make and check backups", [Administrator];
}

/// May somebody with these roles do this? Nobody without a role may do anything.
pub fn may(roles: &[Role], action: Action) -> bool {
    roles.iter().any(|role| action.roles().contains(role))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all_of(role: Role) -> Vec<Action> {
        Action::ALL
            .iter()
            .copied()
            .filter(|a| may(&[role], *a))
            .collect()
    }

    #[test]
    fn an_administrator_sees_no_clinical_content() {
        use Action::*;
        assert_eq!(
            all_of(Role::Administrator),
            [
                UseOwnAccount,
                SeeSources,
                SeePractice,
                ChangePractice,
                ManagePeople,
                SeeTrail,
                KeepBackups
            ]
        );
    }

    #[test]
    fn an_assistant_signs_decides_and_sends_nothing() {
        for action in [
            Action::SignLetters,
            Action::Decide,
            Action::SendOrders,
            Action::Treat,
            Action::TakeOut,
            Action::Erase,
            Action::ManagePeople,
        ] {
            assert!(!may(&[Role::Assistant], action), "{action:?}");
        }
        assert!(may(&[Role::Assistant], Action::Examine));
        assert!(may(&[Role::Assistant], Action::TakeFiles));
    }

    #[test]
    fn a_lab_sees_its_orders_and_a_reader_its_films_and_nothing_else_of_patients() {
        use Action::*;
        assert_eq!(
            all_of(Role::Lab),
            [UseOwnAccount, SeeSources, SeeReleasedOrders]
        );
        assert_eq!(
            all_of(Role::Reader),
            [UseOwnAccount, SeeSources, ReadBlinded]
        );
    }

    #[test]
    fn every_action_is_somebodys_and_nobody_without_a_role_may_anything() {
        for action in Action::ALL {
            assert!(!action.roles().is_empty(), "{action:?}");
            assert!(!may(&[], *action), "{action:?}");
        }
    }

    #[test]
    fn several_roles_may_what_any_of_them_may() {
        let both = [Role::Clinician, Role::Administrator];
        assert!(may(&both, Action::SignLetters) && may(&both, Action::KeepBackups));
    }
}

//! How is a refusal told?
//!
//! One sentence: what was found, what was expected, what to do. The content of a query is never repeated, since it may
//! name a person; a parameter's name is, shortened and stripped to plain letters.

use serde::Serialize;

/// What kind of fault it is, as the standard names it, and the status a server answers with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum IssueCode {
    /// The query cannot be understood.
    Invalid,
    /// Understood, and not offered.
    NotSupported,
    NotFound,
    TooLong,
    TooCostly,
    Processing,
    /// Nobody has shown who they are.
    Login,
    Forbidden,
    Throttled,
    /// Worth another try later.
    Transient,
    Timeout,
    Exception,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Issue {
    /// `error` or `warning`.
    pub severity: &'static str,
    pub code: IssueCode,
    pub diagnostics: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct OperationOutcome {
    pub resource_type: &'static str,
    pub issue: Vec<Issue>,
}

impl OperationOutcome {
    pub fn error(code: IssueCode, sentence: impl Into<String>) -> Self {
        Self::one("error", code, sentence)
    }

    pub fn warning(code: IssueCode, sentence: impl Into<String>) -> Self {
        Self::one("warning", code, sentence)
    }

    fn one(severity: &'static str, code: IssueCode, sentence: impl Into<String>) -> Self {
        OperationOutcome {
            resource_type: "OperationOutcome",
            issue: vec![Issue {
                severity,
                code,
                diagnostics: sentence.into(),
            }],
        }
    }

    /// The status that a server answers a refusal with.
    pub fn http_status(&self) -> u16 {
        match self.issue.first().map(|i| i.code) {
            Some(IssueCode::NotFound) => 404,
            Some(IssueCode::TooLong) => 414,
            _ => 400,
        }
    }
}

/// A name from outside, fit to be told: plain letters, at most 40.
pub(crate) fn told(name: &str) -> String {
    let plain = |c: &char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | ':' | '.');
    let shown: String = name.chars().filter(plain).take(40).collect();
    if shown.is_empty() {
        "(no plain name)".into()
    } else {
        shown
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_from_outside_is_told_short_and_plain() {
        assert_eq!(told("na<b>me\n"), "nabme");
        assert_eq!(told(&"a".repeat(100)).len(), 40);
        assert_eq!(told("\u{0}é"), "(no plain name)");
    }

    #[test]
    fn an_outcome_is_written_as_the_standard_names_it() {
        let outcome = OperationOutcome::error(IssueCode::NotFound, "none");
        let json = serde_json::to_string(&outcome).unwrap();
        assert_eq!(
            json,
            r#"{"resourceType":"OperationOutcome","issue":[{"severity":"error","code":"not-found","diagnostics":"none"}]}"#
        );
        assert_eq!(outcome.http_status(), 404);
    }
}

//! What does an address ask for?
//!
//! Read by the table; anything longer than the limits is refused before it is looked at. A parameter that is not in
//! the table is left out with a warning, or refused where the asker wants strict handling. A value is never repeated
//! in a refusal: it may name a person.

pub mod dates;

use crate::ids::is_id;
use crate::outcome::{Issue, IssueCode, OperationOutcome, told};
use crate::table::{Param, ParamKind, param};
use crate::types::ResourceType;
use dates::{Prefix, Span, span};

pub const LONGEST_QUERY: usize = 8_192;
pub const MOST_PARAMETERS: usize = 32;
pub const MOST_VALUES: usize = 64;
pub const LONGEST_VALUE: usize = 256;
/// Resources on one page, asked for or not.
pub const MOST_ON_A_PAGE: usize = 500;
pub const USUAL_PAGE: usize = 50;
const MOST_INCLUDES: usize = 8;
/// No practice has more; the token stays short.
const FARTHEST: usize = 1_000_000_000;

/// What to do with a parameter that is not in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Handling {
    /// Leave it out and say so.
    #[default]
    Lenient,
    Strict,
}

/// One value asked for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Wanted {
    /// `None`: any system. An empty system: none.
    Token(Option<String>, Option<String>),
    Date(Prefix, Span),
    /// `TYPE/ID`, or an id alone.
    Reference(String),
    /// Folded.
    Text(String),
    Exact(String),
    /// Folded, anywhere in the text.
    Within(String),
    Missing(bool),
}

/// One parameter: any of its values will do.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Filter {
    pub param: &'static Param,
    /// None of the values may be there.
    pub not: bool,
    pub any_of: Vec<Wanted>,
}

/// A search of one type.
#[derive(Debug, Clone, PartialEq)]
pub struct Query {
    pub kind: ResourceType,
    pub count: usize,
    pub offset: usize,
    /// Only the number of matches.
    pub count_only: bool,
    pub(crate) filters: Vec<Filter>,
    /// Reference parameters of the type that are followed.
    pub(crate) includes: Vec<&'static Param>,
    pub(crate) warnings: Vec<Issue>,
    /// What was understood, as it came, for links; without page and count.
    pub(crate) understood: Vec<(String, String)>,
}

type Refusal = OperationOutcome;

impl Query {
    /// Reads what stands behind the question mark.
    ///
    /// # Errors
    /// What cannot be understood, is not offered, or is too much; in one sentence.
    pub fn parse(kind: ResourceType, query: &str, handling: Handling) -> Result<Query, Refusal> {
        if query.len() > LONGEST_QUERY {
            return Err(OperationOutcome::error(
                IssueCode::TooLong,
                format!(
                    "found a query of {} bytes; expected at most {LONGEST_QUERY}; ask for less",
                    query.len()
                ),
            ));
        }
        let mut parsed = Query {
            kind,
            count: USUAL_PAGE,
            offset: 0,
            count_only: false,
            filters: Vec::new(),
            includes: Vec::new(),
            warnings: Vec::new(),
            understood: Vec::new(),
        };
        let pairs: Vec<&str> = query.split('&').filter(|p| !p.is_empty()).collect();
        if pairs.len() > MOST_PARAMETERS {
            return Err(OperationOutcome::error(
                IssueCode::TooCostly,
                format!(
                    "found {} parameters; expected at most {MOST_PARAMETERS}; ask for less",
                    pairs.len()
                ),
            ));
        }
        let mut values = 0;
        for pair in pairs {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            let (name, value) = (decoded(name)?, decoded(value)?);
            parsed.take(&name, &value, handling)?;
            values += value.split(',').count();
            if values > MOST_VALUES {
                return Err(OperationOutcome::error(
                    IssueCode::TooCostly,
                    format!("found more than {MOST_VALUES} values; ask for less"),
                ));
            }
        }
        Ok(parsed)
    }

    /// The only patient the answer can be of, where the query says so: nobody else's chart need be opened.
    pub fn only_patient(&self) -> Option<&str> {
        let of_patient = |f: &&Filter| {
            let own_id = self.kind == ResourceType::Patient && f.param.name == "_id";
            !f.not && (own_id || matches!(f.param.name, "patient" | "subject"))
        };
        let filter = self.filters.iter().find(of_patient)?;
        match filter.any_of.as_slice() {
            [Wanted::Reference(to)] => Some(to.strip_prefix("Patient/").unwrap_or(to)),
            [Wanted::Token(_, Some(id))] => Some(id),
            _ => None,
        }
    }

    fn take(&mut self, name: &str, value: &str, handling: Handling) -> Result<(), Refusal> {
        let (bare, modifier) = match name.split_once(':') {
            Some((bare, modifier)) => (bare, Some(modifier)),
            None => (name, None),
        };
        match (bare, modifier) {
            ("_count", None) => self.count = whole(value, "_count")?.min(MOST_ON_A_PAGE),
            ("_page", None) => {
                let token = value.strip_prefix('o').unwrap_or_default();
                self.offset = whole(token, "_page")?.min(FARTHEST);
            }
            ("_summary", None) if value == "count" => self.count_only = true,
            ("_summary", None) if value == "false" => {}
            ("_total", None) if matches!(value, "accurate" | "none" | "estimate") => {}
            ("_format", None) => {
                let json = [
                    "json",
                    "application/json",
                    "application/fhir+json",
                    "application/fhir json",
                ];
                if !json.contains(&value) {
                    return Err(OperationOutcome::error(
                        IssueCode::NotSupported,
                        "found another format in _format; expected json; ask for application/fhir+json",
                    ));
                }
            }
            ("_include", None) => self.include(value, handling)?,
            _ => {
                let Some(known) = param(self.kind, bare) else {
                    return self.unknown(name, handling);
                };
                let filter = filter(known, modifier, value)?;
                self.filters.push(filter);
                self.understood.push((name.to_owned(), value.to_owned()));
            }
        }
        Ok(())
    }

    fn unknown(&mut self, name: &str, handling: Handling) -> Result<(), Refusal> {
        let sentence = format!(
            "found the parameter {} on {}; expected one that the server's statement lists; it was left out",
            told(name),
            self.kind.name()
        );
        match handling {
            Handling::Strict => Err(OperationOutcome::error(IssueCode::NotSupported, sentence)),
            Handling::Lenient => {
                let warning = OperationOutcome::warning(IssueCode::NotSupported, sentence);
                self.warnings.extend(warning.issue);
                Ok(())
            }
        }
    }

    fn include(&mut self, value: &str, handling: Handling) -> Result<(), Refusal> {
        let mut parts = value.split(':');
        let of_this = parts.next() == Some(self.kind.name());
        let wanted = parts.next().and_then(|name| param(self.kind, name));
        let target = parts.next().map(ResourceType::from_name);
        let known = wanted.filter(|p| {
            let to_target = match target {
                None => true,
                Some(to) => to.is_some_and(|t| p.target.contains(&t)),
            };
            of_this && p.kind == ParamKind::Reference && to_target
        });
        match known {
            Some(p) if parts.next().is_none() => {
                if self.includes.len() >= MOST_INCLUDES {
                    return Err(OperationOutcome::error(
                        IssueCode::TooCostly,
                        format!("found more than {MOST_INCLUDES} _include; ask for less"),
                    ));
                }
                if !self.includes.contains(&p) {
                    self.includes.push(p);
                }
                self.understood.push(("_include".into(), value.to_owned()));
                Ok(())
            }
            _ => self.unknown("_include", handling),
        }
    }
}

fn bad(param: &str, expected: &str) -> Refusal {
    OperationOutcome::error(
        IssueCode::Invalid,
        format!("found another value in {param}; expected {expected}; correct it and ask again"),
    )
}

fn whole(text: &str, name: &str) -> Result<usize, Refusal> {
    let plain = (1..=9).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    let number = if plain { text.parse().ok() } else { None };
    number.ok_or_else(|| {
        bad(
            name,
            "a whole number of at most nine digits, or the server's own token",
        )
    })
}

fn filter(param: &'static Param, modifier: Option<&str>, value: &str) -> Result<Filter, Refusal> {
    let mut not = false;
    let values = parts_of(value);
    if values.iter().any(|v| v.len() > LONGEST_VALUE) {
        return Err(OperationOutcome::error(
            IssueCode::TooLong,
            format!(
                "found a long value in {}; expected at most {LONGEST_VALUE} bytes; shorten it",
                param.name
            ),
        ));
    }
    let any_of = match (modifier, param.kind) {
        (Some("missing"), _) => match value {
            "true" => vec![Wanted::Missing(true)],
            "false" => vec![Wanted::Missing(false)],
            _ => return Err(bad(param.name, "true or false behind :missing")),
        },
        (Some("not"), ParamKind::Token) => {
            not = true;
            each(&values, |v| token(param, v))?
        }
        (Some("exact"), ParamKind::String) => each(&values, |v| Ok(Wanted::Exact(unescaped(v))))?,
        (Some("contains"), ParamKind::String) => {
            each(&values, |v| text(param, v).map(Wanted::Within))?
        }
        (Some(other), ParamKind::Reference) if ResourceType::from_name(other).is_some() => {
            let of_type = |v: &str| match is_id(v) {
                true => Ok(Wanted::Reference(format!("{other}/{v}"))),
                false => Err(bad(param.name, "an id behind the type")),
            };
            each(&values, of_type)?
        }
        (Some(other), _) => {
            return Err(OperationOutcome::error(
                IssueCode::NotSupported,
                format!(
                    "found the modifier {} on {}; expected none, :missing, :not on codes, or :exact or :contains on texts",
                    told(other),
                    param.name
                ),
            ));
        }
        (None, ParamKind::Token) => each(&values, |v| token(param, v))?,
        (None, ParamKind::String) => each(&values, |v| text(param, v).map(Wanted::Text))?,
        (None, ParamKind::Reference) => each(&values, |v| reference(param, v))?,
        (None, ParamKind::Date) => each(&values, |v| date(param, v))?,
    };
    Ok(Filter { param, not, any_of })
}

fn each(
    values: &[&str],
    make: impl Fn(&str) -> Result<Wanted, Refusal>,
) -> Result<Vec<Wanted>, Refusal> {
    values.iter().map(|v| make(v)).collect()
}

/// Parted by commas that no backslash stands before.
fn parts_of(value: &str) -> Vec<&str> {
    let (mut parts, mut from, mut escaped) = (Vec::new(), 0, false);
    for (at, c) in value.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            ',' => {
                parts.push(&value[from..at]);
                from = at + 1;
            }
            _ => {}
        }
    }
    parts.push(&value[from..]);
    parts
}

fn unescaped(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    let mut escaped = false;
    for c in value.chars() {
        match c {
            '\\' if !escaped => escaped = true,
            _ => {
                out.push(c);
                escaped = false;
            }
        }
    }
    out
}

fn token(param: &Param, value: &str) -> Result<Wanted, Refusal> {
    // The bar that parts system and code has no backslash before it.
    let bar = value
        .char_indices()
        .find(|(at, c)| *c == '|' && !value[..*at].ends_with('\\'))
        .map(|(at, _)| at);
    let (system, code) = match bar {
        Some(at) => (Some(unescaped(&value[..at])), unescaped(&value[at + 1..])),
        None => (None, unescaped(value)),
    };
    if code.is_empty() && system.as_deref().unwrap_or("").is_empty() {
        return Err(bad(
            param.name,
            "a code, or a system and a code parted by |",
        ));
    }
    if param.name == "_id" && !is_id(&code) {
        return Err(bad(
            "_id",
            "1 to 64 letters, digits, hyphens and full stops",
        ));
    }
    Ok(Wanted::Token(system, (!code.is_empty()).then_some(code)))
}

fn text(param: &Param, value: &str) -> Result<String, Refusal> {
    let folded = record::fold(&unescaped(value));
    match folded.is_empty() {
        true => Err(bad(param.name, "at least one letter or digit")),
        false => Ok(folded),
    }
}

fn reference(param: &Param, value: &str) -> Result<Wanted, Refusal> {
    let mut parts = value.rsplit('/');
    let (id, kind) = (parts.next().unwrap_or(""), parts.next());
    let known = kind.map(ResourceType::from_name);
    let fits = match known {
        None => true,
        Some(kind) => kind.is_some_and(|k| param.target.contains(&k)),
    };
    if !is_id(id) || !fits {
        return Err(bad(
            param.name,
            "an id, or a type it may point to and an id parted by /",
        ));
    }
    Ok(Wanted::Reference(match kind {
        Some(kind) => format!("{kind}/{id}"),
        None => id.to_owned(),
    }))
}

fn date(param: &Param, value: &str) -> Result<Wanted, Refusal> {
    let (prefix, rest) = Prefix::split(value).map_err(|_| {
        OperationOutcome::error(
            IssueCode::NotSupported,
            format!(
                "found another prefix in {}; expected eq, ne, gt, lt, ge, le, sa or eb",
                param.name
            ),
        )
    })?;
    match span(rest) {
        Some(span) => Ok(Wanted::Date(prefix, span)),
        None => Err(bad(
            param.name,
            "a date such as 2026, 2026-11, 2026-11-27 or 2026-11-27T10:00:00Z",
        )),
    }
}

/// Percent signs and pluses of an address as the bytes they stand for.
fn decoded(text: &str) -> Result<String, Refusal> {
    let broken = || {
        OperationOutcome::error(
            IssueCode::Invalid,
            "found a query that is not escaped as addresses are; expected UTF-8 behind percent signs; escape it and ask again",
        )
    };
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(b) = rest.next() {
        match b {
            b'+' => bytes.push(b' '),
            b'%' => {
                let mut digit = || char::from(rest.next()?).to_digit(16);
                let (high, low) = (digit(), digit());
                let (Some(high), Some(low)) = (high, low) else {
                    return Err(broken());
                };
                bytes.push((high * 16 + low) as u8);
            }
            _ => bytes.push(b),
        }
    }
    let text = String::from_utf8(bytes).map_err(|_| broken())?;
    match text.contains('\0') {
        true => Err(broken()),
        false => Ok(text),
    }
}

/// A text as it may stand in an address.
pub(crate) fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for b in text.bytes() {
        match b {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b':' => {
                out.push(char::from(b));
            }
            _ => out.push_str(&format!("%{b:02X}")),
        }
    }
    out
}

//! Is this caller let in, and what may it send? The answer to an association request (PS3.8 sections 7 and 9).

use super::rules::Rules;
use crate::classes;
use dicom_ul::pdu::{
    AssociationAC, AssociationRJ, AssociationRJResult, AssociationRJServiceProviderASCEReason,
    AssociationRJServiceProviderPresentationReason, AssociationRJServiceUserReason,
    AssociationRJSource, AssociationRQ, PresentationContextProposed, PresentationContextResult,
    PresentationContextResultReason as Reason, UserVariableItem,
};
use std::collections::BTreeMap;
use std::net::IpAddr;

/// PS3.7 annex A.
pub(crate) const APPLICATION_CONTEXT: &str = "1.2.840.10008.3.1.1.1";

/// What was agreed under one number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Agreed {
    pub abstract_syntax: String,
    pub transfer_syntax: String,
}

/// An association that is let in.
#[derive(Debug)]
pub(super) struct Accepted {
    pub reply: AssociationAC,
    pub contexts: BTreeMap<u8, Agreed>,
    /// Largest PDU that the caller takes.
    pub their_pdu_bytes: u32,
}

/// The answer to a request.
pub(super) fn answer(
    request: &AssociationRQ,
    rules: &Rules,
    address: IpAddr,
    full: bool,
) -> Result<Accepted, AssociationRJ> {
    let user = |reason| permanent(AssociationRJSource::ServiceUser(reason));
    if request.protocol_version & 1 == 0 {
        return Err(permanent(AssociationRJSource::ServiceProviderASCE(
            AssociationRJServiceProviderASCEReason::ProtocolVersionNotSupported,
        )));
    }
    if full {
        return Err(AssociationRJ {
            result: AssociationRJResult::Transient,
            source: AssociationRJSource::ServiceProviderPresentation(
                AssociationRJServiceProviderPresentationReason::LocalLimitExceeded,
            ),
        });
    }
    let context = request.application_context_name.trim_matches(['\0', ' ']);
    if context != APPLICATION_CONTEXT {
        return Err(user(
            AssociationRJServiceUserReason::ApplicationContextNameNotSupported,
        ));
    }
    if request.called_ae_title != rules.called {
        return Err(user(
            AssociationRJServiceUserReason::CalledAETitleNotRecognized,
        ));
    }
    if !rules.lets_in(&request.calling_ae_title, address) {
        return Err(user(
            AssociationRJServiceUserReason::CallingAETitleNotRecognized,
        ));
    }
    if request.presentation_contexts.len() > rules.limits.contexts {
        return Err(permanent(AssociationRJSource::ServiceProviderPresentation(
            AssociationRJServiceProviderPresentationReason::LocalLimitExceeded,
        )));
    }
    let mut contexts = BTreeMap::new();
    let mut results = Vec::new();
    for proposed in &request.presentation_contexts {
        let (reason, syntax) = judged(proposed, &contexts);
        if reason == Reason::Acceptance {
            contexts.insert(
                proposed.id,
                Agreed {
                    abstract_syntax: uid(&proposed.abstract_syntax).to_owned(),
                    transfer_syntax: syntax.to_owned(),
                },
            );
        }
        results.push(PresentationContextResult {
            id: proposed.id,
            reason,
            transfer_syntax: syntax.to_owned(),
        });
    }
    let their_pdu_bytes = request
        .user_variables
        .iter()
        .find_map(|v| match v {
            UserVariableItem::MaxLength(n) => Some(*n),
            _ => None,
        })
        .filter(|n| *n != 0)
        .unwrap_or(u32::MAX)
        .clamp(1024, rules.limits.pdu_bytes.max(1024));
    Ok(Accepted {
        reply: AssociationAC {
            protocol_version: 1,
            calling_ae_title: request.calling_ae_title.clone(),
            called_ae_title: request.called_ae_title.clone(),
            application_context_name: APPLICATION_CONTEXT.into(),
            presentation_contexts: results,
            user_variables: ours(rules.limits.pdu_bytes),
        },
        contexts,
        their_pdu_bytes,
    })
}

/// What we say of ourselves.
pub(crate) fn ours(pdu_bytes: u32) -> Vec<UserVariableItem> {
    vec![
        UserVariableItem::MaxLength(pdu_bytes),
        UserVariableItem::ImplementationClassUID(crate::IMPLEMENTATION_UID.into()),
        UserVariableItem::ImplementationVersionName(crate::IMPLEMENTATION_NAME.into()),
    ]
}

fn permanent(source: AssociationRJSource) -> AssociationRJ {
    AssociationRJ {
        result: AssociationRJResult::Permanent,
        source,
    }
}

fn uid(text: &str) -> &str {
    text.trim_matches(['\0', ' '])
}

/// The first way of writing that the caller offers and that is read here.
fn judged(
    proposed: &PresentationContextProposed,
    taken: &BTreeMap<u8, Agreed>,
) -> (Reason, &'static str) {
    let none = classes::WRITTEN.uid;
    // Numbers are odd and stand once (PS3.8 9.3.2.2).
    if proposed.id.is_multiple_of(2) || taken.contains_key(&proposed.id) {
        return (Reason::NoReason, none);
    }
    let class = uid(&proposed.abstract_syntax);
    if class == classes::VERIFICATION.uid {
        let plain = classes::SYNTAXES.get(..2).unwrap_or_default();
        return match plain
            .iter()
            .find(|s| proposed.transfer_syntaxes.iter().any(|t| uid(t) == s.uid))
        {
            Some(s) => (Reason::Acceptance, s.uid),
            None => (Reason::TransferSyntaxesNotSupported, none),
        };
    }
    if !classes::is_taken(class) {
        return (Reason::AbstractSyntaxNotSupported, none);
    }
    match proposed
        .transfer_syntaxes
        .iter()
        .find_map(|t| classes::SYNTAXES.iter().find(|s| s.uid == uid(t)))
    {
        Some(s) => (Reason::Acceptance, s.uid),
        None => (Reason::TransferSyntaxesNotSupported, none),
    }
}

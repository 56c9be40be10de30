//! What do the two sides say to each other about objects? Commands of PS3.7: echo and store.

use crate::tree::{self, Encoding, Limits, Set};
use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;

pub const STORE: u16 = 0x0001;
pub const ECHO: u16 = 0x0030;
pub const CANCEL: u16 = 0x0FFF;
/// Set in the answer to a request.
pub const ANSWER: u16 = 0x8000;
/// No data set follows the command.
pub const NO_DATA: u16 = 0x0101;

pub const SUCCESS: u16 = 0x0000;
/// The class of the data set is not the class of the command (PS3.4 table B.2-1).
pub const OTHER_CLASS: u16 = 0xA900;
pub const CANNOT_UNDERSTAND: u16 = 0xC000;
pub const OUT_OF_RESOURCES: u16 = 0xA700;
/// PS3.7 annex C.
pub const CLASS_NOT_SUPPORTED: u16 = 0x0122;
pub const UNRECOGNISED_OPERATION: u16 = 0x0211;

/// Elements of a command, more than any has.
const MOST_ELEMENTS: usize = 64;

/// A request or an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Command {
    pub field: u16,
    /// Of the request, or the one that is answered.
    pub message_id: u16,
    pub sop_class: Option<String>,
    pub sop_instance: Option<String>,
    pub has_data: bool,
    /// Of an answer.
    pub status: Option<u16>,
}

impl Command {
    /// Reads a command set (always implicit little-endian); `None` where it is none.
    pub fn read(bytes: &[u8]) -> Option<Command> {
        let limits = Limits {
            depth: 1,
            elements: MOST_ELEMENTS,
            inflated_bytes: 0,
        };
        let set = tree::data_set(bytes, Encoding::IMPLICIT, &limits).ok()?;
        let field = set.u16(tags::COMMAND_FIELD)?;
        let message_id = if field & ANSWER == 0 {
            set.u16(tags::MESSAGE_ID)
        } else {
            set.u16(tags::MESSAGE_ID_BEING_RESPONDED_TO)
        };
        Some(Command {
            field,
            message_id: message_id.or((field == CANCEL).then_some(0))?,
            sop_class: set.uid(tags::AFFECTED_SOP_CLASS_UID),
            sop_instance: set.uid(tags::AFFECTED_SOP_INSTANCE_UID),
            has_data: set.u16(tags::COMMAND_DATA_SET_TYPE)? != NO_DATA,
            status: set.u16(tags::STATUS),
        })
    }

    pub fn write(&self) -> Vec<u8> {
        let mut set = Set::default();
        let answer = self.field & ANSWER != 0;
        if let Some(uid) = &self.sop_class {
            set.put_text(tags::AFFECTED_SOP_CLASS_UID, VR::UI, uid);
        }
        set.put_u16(tags::COMMAND_FIELD, self.field);
        set.put_u16(
            if answer {
                tags::MESSAGE_ID_BEING_RESPONDED_TO
            } else {
                tags::MESSAGE_ID
            },
            self.message_id,
        );
        if self.field == STORE {
            set.put_u16(tags::PRIORITY, 0);
        }
        set.put_u16(
            tags::COMMAND_DATA_SET_TYPE,
            if self.has_data { 0 } else { NO_DATA },
        );
        if let Some(status) = self.status {
            set.put_u16(tags::STATUS, status);
        }
        if let Some(uid) = &self.sop_instance {
            set.put_text(tags::AFFECTED_SOP_INSTANCE_UID, VR::UI, uid);
        }
        let rest = tree::write_data_set(&set, Encoding::IMPLICIT);
        let mut length = Set::default();
        length.put(tree::Element {
            tag: Tag(0, 0),
            vr: VR::UL,
            value: tree::Value::Bytes((rest.len() as u32).to_le_bytes().to_vec().into()),
        });
        let mut out = tree::write_data_set(&length, Encoding::IMPLICIT);
        out.extend(rest);
        out
    }

    /// The answer to this request.
    pub fn answer(&self, status: u16) -> Command {
        Command {
            field: self.field | ANSWER,
            has_data: false,
            status: Some(status),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_comes_back_from_its_bytes() {
        let store = Command {
            field: STORE,
            message_id: 7,
            sop_class: Some("1.2.840.10008.5.1.4.1.1.7".into()),
            sop_instance: Some("2.25.1".into()),
            has_data: true,
            status: None,
        };
        assert_eq!(Command::read(&store.write()), Some(store.clone()));
        let answer = store.answer(SUCCESS);
        assert_eq!(Command::read(&answer.write()), Some(answer));
    }

    #[test]
    fn rubbish_is_no_command() {
        for bad in [&b""[..], b"\x00\x00\x00\x01", &[0xFF; 40]] {
            assert_eq!(Command::read(bad), None);
        }
    }
}

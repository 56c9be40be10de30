//! Text values in the character set that the object names (PS3.3 C.12.1.1.2).

use super::Set;
use dicom_core::Tag;
use dicom_dictionary_std::tags;
use dicom_encoding::text::{SpecificCharacterSet, TextCodec};

impl Set<'_> {
    /// The first value as text, without padding; `None` where there is none.
    ///
    /// What the named character set cannot decode is read as far as it is plain letters.
    pub fn text(&self, tag: Tag) -> Option<String> {
        let whole = self.whole_text(tag)?;
        let first = whole.split('\\').next()?.trim_matches(['\0', ' ']);
        (!first.is_empty()).then(|| first.to_owned())
    }

    /// All values with their separators.
    pub fn whole_text(&self, tag: Tag) -> Option<String> {
        let bytes = self.bytes(tag)?;
        let bytes = bytes.get(..bytes.len().min(65_536))?;
        let text = match self.character_set() {
            _ if bytes.is_ascii() => String::from_utf8_lossy(bytes).into_owned(),
            Some(set) => set
                .decode(bytes)
                .unwrap_or_else(|_| String::from_utf8_lossy(bytes).into_owned()),
            None => String::from_utf8_lossy(bytes).into_owned(),
        };
        let text: String = text
            .trim_matches(['\0', ' '])
            .chars()
            .filter(|c| !c.is_control())
            .collect();
        (!text.is_empty()).then_some(text)
    }

    fn character_set(&self) -> Option<SpecificCharacterSet> {
        let named = String::from_utf8_lossy(self.bytes(tags::SPECIFIC_CHARACTER_SET)?).into_owned();
        named
            .split('\\')
            .map(|n| n.trim_matches(['\0', ' ']))
            .find(|n| !n.is_empty())
            .and_then(SpecificCharacterSet::from_code)
    }

    /// An identifier of objects, checked for its form.
    pub fn uid(&self, tag: Tag) -> Option<String> {
        self.text(tag).filter(|u| crate::uids::is_uid(u))
    }
}

//! Which codes of the loaded lists are offered at a field while one types.

use super::lists::ListKind;
use super::mould::Region;
use crate::domain::values::arch::Arch;

/// What of the lists stands to be chosen from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfferedCodes {
    Moulds(Arch, Region),
    /// The names of the guides of this kind.
    GuideNames(ListKind),
    /// The tabs of the guide that the prescription names, or of all of this kind.
    Tabs(ListKind),
}

use OfferedCodes::{GuideNames, Moulds, Tabs};

const OFFERED: &[(&str, OfferedCodes)] = &[
    ("anterior.upper_mould", Moulds(Arch::Upper, Region::Front)),
    ("anterior.lower_mould", Moulds(Arch::Lower, Region::Front)),
    ("posterior.upper_mould", Moulds(Arch::Upper, Region::Back)),
    ("posterior.lower_mould", Moulds(Arch::Lower, Region::Back)),
    ("shade.guide", GuideNames(ListKind::ToothGuide)),
    ("shade.tab", Tabs(ListKind::ToothGuide)),
    ("shade.posterior_tab", Tabs(ListKind::ToothGuide)),
    ("spare.tooth_shade", Tabs(ListKind::ToothGuide)),
    ("base_shade.guide", GuideNames(ListKind::BaseGuide)),
    ("base_shade.code", Tabs(ListKind::BaseGuide)),
];

/// What is offered at the field with this key; none where its words are anybody’s own.
pub fn offered_at(key: &str) -> Option<OfferedCodes> {
    let found = OFFERED.iter().find(|(own, _)| *own == key);
    found.map(|(_, offered)| *offered)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::all_fields;

    #[test]
    fn codes_are_offered_at_fields_that_are_there() {
        for (key, offered) in OFFERED {
            assert!(all_fields().any(|one| one.key == *key), "{key}");
            assert_eq!(offered_at(key), Some(*offered), "{key}");
        }
        assert_eq!(offered_at("remarks.remarks"), None);
    }
}

//! Two people in one draft: whose text stands, and how nobody's is lost.
//!
//! A writer sends the fields he or she sees, with the version they were read at. A field counts as
//! written when its text differs from the text of that version. If nobody else has written the field
//! since, the new text stands; if somebody has, theirs stands and the new text is laid conflicts, shown to
//! both until one of them chooses.

use std::collections::BTreeMap;

/// Form key to text as typed.
pub type Fields = BTreeMap<String, String>;

/// What becomes of the fields that one writer sent.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Merge {
    /// Fields whose new text stands.
    pub taken: Fields,
    /// Fields that somebody else has written meanwhile: the new text, laid conflicts.
    pub conflicts: Fields,
}

impl Merge {
    /// Whether there is nothing to write.
    pub fn is_empty(&self) -> bool {
        self.taken.is_empty() && self.conflicts.is_empty()
    }
}

/// Merges `sent` into `current`; `base` is the draft as the writer had read it. Fields not sent are not
/// touched; an absent field and an empty one are the same.
pub fn merge(base: &Fields, current: &Fields, sent: &Fields) -> Merge {
    fn text<'a>(fields: &'a Fields, key: &str) -> &'a str {
        fields.get(key).map_or("", String::as_str)
    }
    let mut merge = Merge::default();
    for (key, mine) in sent {
        let (was, is) = (text(base, key), text(current, key));
        if mine == was || mine == is {
            continue;
        }
        let into = if is == was {
            &mut merge.taken
        } else {
            &mut merge.conflicts
        };
        into.insert(key.clone(), mine.clone());
    }
    merge
}

/// Lays the taken texts over the draft; a field emptied is a field removed.
pub fn apply(current: &mut Fields, taken: &Fields) {
    for (key, text) in taken {
        if text.is_empty() {
            current.remove(key);
        } else {
            current.insert(key.clone(), text.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn fields(pairs: &[(&str, &str)]) -> Fields {
        pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect()
    }

    #[test]
    fn each_case_of_two_writers() {
        let base = fields(&[("shade", "K2"), ("note", "old")]);
        // (what stands now, what I send, taken, laid conflicts)
        let table = [
            (
                &[("shade", "K2")][..],
                &[("shade", "K3")][..],
                &[("shade", "K3")][..],
                &[][..],
            ),
            (&[("shade", "K9")], &[("shade", "K2")], &[], &[]),
            (
                &[("shade", "K9")],
                &[("shade", "K3")],
                &[],
                &[("shade", "K3")],
            ),
            (&[("shade", "K9")], &[("shade", "K9")], &[], &[]),
            (&[("shade", "K2")], &[("shade", "")], &[("shade", "")], &[]),
            (&[], &[("shade", "K3")], &[], &[("shade", "K3")]),
            (
                &[("note", "old")],
                &[("mould", "oval")],
                &[("mould", "oval")],
                &[],
            ),
        ];
        for (current, sent, taken, conflicts) in table {
            let merge = merge(&base, &fields(current), &fields(sent));
            assert_eq!(
                (merge.taken, merge.conflicts),
                (fields(taken), fields(conflicts)),
                "{current:?} {sent:?}"
            );
        }
    }

    fn some_fields() -> impl Strategy<Value = Fields> {
        prop::collection::btree_map("[a-d]", "[xyz]{0,2}", 0..4)
    }

    proptest! {
        #[test]
        fn no_text_that_somebody_wrote_is_lost(base in some_fields(), current in some_fields(), sent in some_fields()) {
            let merge = merge(&base, &current, &sent);
            let mut after = current.clone();
            apply(&mut after, &merge.taken);
            for (key, mine) in &sent {
                let written = *mine != base.get(key).cloned().unwrap_or_default();
                let stands = *mine == after.get(key).cloned().unwrap_or_default();
                prop_assert!(!written || stands || merge.conflicts.get(key) == Some(mine));
            }
            for (key, theirs) in &current {
                let overwritten = after.get(key) != Some(theirs);
                let they_wrote = base.get(key) != Some(theirs);
                prop_assert!(!(overwritten && they_wrote && !theirs.is_empty()) );
            }
        }
    }
}

//! Set letters: which upper and lower denture of a case belong together.
//!
//! A patient may have several sets at once, worn, kept as the spare, or given up, and in a glass of water
//! they look alike. The letter follows from the order of registration alone, so a label printed today and
//! one printed in a year say the same: a denture joins the first set of its own kind in which its arch is
//! still free, and otherwise begins the next letter. A denture made anew for the same arch therefore never
//! has the letter of the one that it replaces. What is not worn has no letter.

use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::values::ids::Tag;

/// The letter of the set that an item belongs to: A for the first, after Z comes AA.
/// `items` are a case's items in the order of registration.
pub fn set_letter(items: &[Item], tag: &Tag) -> Option<String> {
    let mut sets: Vec<(ItemKind, Vec<&Item>)> = Vec::new();
    for item in items.iter().filter(|item| item.kind.is_denture()) {
        let place = sets.iter().position(|(kind, set)| {
            *kind == item.kind && set.iter().all(|other| other.arch != item.arch)
        });
        match place.and_then(|place| sets.get_mut(place)) {
            Some((_, set)) => set.push(item),
            None => sets.push((item.kind, vec![item])),
        }
    }
    sets.iter()
        .position(|(_, set)| set.iter().any(|item| item.tag == *tag))
        .map(letters)
}

/// 0 is A, 25 is Z, 26 is AA.
fn letters(number: usize) -> String {
    let (before, last) = (number / 26, number % 26);
    let letter = char::from(b'A' + u8::try_from(last).unwrap_or_default());
    match before.checked_sub(1) {
        None => letter.to_string(),
        Some(before) => format!("{}{letter}", letters(before)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::values::arch::Arch::{self, Lower, Upper};
    use crate::domain::values::ids::CaseNumber;
    use ItemKind::{BiteRecord, Duplicate, FinalDenture, Provisional};

    fn items(kinds: &[(ItemKind, Option<Arch>)]) -> Vec<Item> {
        let case = (0..32)
            .find_map(|n| CaseNumber::from_random([n; 7]))
            .unwrap();
        let tags = (0_u8..=255).filter_map(|n| Tag::from_random([n / 32, n, 3, 4, 5, 6, 7]));
        kinds
            .iter()
            .zip(tags)
            .map(|(&(kind, arch), tag)| Item {
                tag,
                case: case.clone(),
                kind,
                arch,
                note: String::new(),
                pieces: 1,
                borrowed: false,
            })
            .collect()
    }

    fn letters_of(kinds: &[(ItemKind, Option<Arch>)]) -> Vec<String> {
        let items = items(kinds);
        items
            .iter()
            .map(|item| set_letter(&items, &item.tag).unwrap_or("-".into()))
            .collect()
    }

    #[test]
    fn upper_and_lower_of_one_kind_are_a_set_and_other_kinds_are_other_sets() {
        let letters = letters_of(&[
            (Provisional, Some(Upper)),
            (BiteRecord, None),
            (Duplicate, Some(Lower)),
            (Provisional, Some(Lower)),
            (Duplicate, Some(Upper)),
            (FinalDenture, Some(Upper)),
        ]);
        assert_eq!(letters, ["A", "-", "B", "A", "B", "C"]);
    }

    #[test]
    fn a_denture_made_again_has_a_letter_of_its_own_and_old_letters_never_change() {
        let kinds = [
            (FinalDenture, Some(Upper)),
            (FinalDenture, Some(Lower)),
            (FinalDenture, Some(Upper)),
            (Duplicate, Some(Upper)),
            (FinalDenture, Some(Lower)),
        ];
        assert_eq!(letters_of(&kinds), ["A", "A", "B", "C", "B"]);
        for count in 0..kinds.len() {
            assert_eq!(
                letters_of(&kinds[..count]),
                letters_of(&kinds)[..count].to_vec()
            );
        }
    }

    #[test]
    fn letters_go_on_after_z() {
        let table = [
            (0, "A"),
            (25, "Z"),
            (26, "AA"),
            (51, "AZ"),
            (52, "BA"),
            (702, "AAA"),
        ];
        for (number, text) in table {
            assert_eq!(letters(number), text);
        }
    }
}

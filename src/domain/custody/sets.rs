//! Sets: which upper and lower denture of a case belong together.
//!
//! A patient may have several sets at once, worn, kept as the spare, or given up, and in a glass of water
//! they look alike. The place in the row follows from the order of registration alone, so a label printed today and
//! one printed in a year say the same: a denture joins the first set of its own kind in which its arch is
//! still free, and otherwise begins the next set. A denture made again for the same arch is therefore never in
//! the set of the one that it replaces. What is not worn is in none. Sets are counted and not lettered: A to D are
//! the groups of a shade guide in everybody's head.

use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::values::ids::Tag;

/// The set that an item belongs to: `First set`, `Second set`. An old denture is no set of the patient's any more; it
/// keeps its place in the row, so that the labels of the others stay true.
/// `items` are a case's items in the order of registration.
pub fn set_name(items: &[Item], tag: &Tag) -> Option<String> {
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
        .position(|(kind, set)| {
            *kind != ItemKind::OldDenture && set.iter().any(|item| item.tag == *tag)
        })
        .map(|place| format!("{} set", ordinal(place)))
}

/// 0 is the first.
fn ordinal(number: usize) -> String {
    const NAMED: [&str; 6] = ["First", "Second", "Third", "Fourth", "Fifth", "Sixth"];
    match NAMED.get(number) {
        Some(name) => (*name).to_owned(),
        None => {
            let count = number + 1;
            let end = match (count % 10, count % 100) {
                (_, 11..=13) => "th",
                (1, _) => "st",
                (2, _) => "nd",
                (3, _) => "rd",
                _ => "th",
            };
            format!("{count}{end}")
        }
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

    fn names_of(kinds: &[(ItemKind, Option<Arch>)]) -> Vec<String> {
        let items = items(kinds);
        items
            .iter()
            .map(|item| {
                set_name(&items, &item.tag).map_or("-".to_owned(), |name| name.replace(" set", ""))
            })
            .collect()
    }

    #[test]
    fn upper_and_lower_of_one_kind_are_a_set_and_other_kinds_are_other_sets() {
        let names = names_of(&[
            (Provisional, Some(Upper)),
            (BiteRecord, None),
            (Duplicate, Some(Lower)),
            (Provisional, Some(Lower)),
            (Duplicate, Some(Upper)),
            (FinalDenture, Some(Upper)),
        ]);
        assert_eq!(names, ["First", "-", "Second", "First", "Second", "Third"]);
    }

    #[test]
    fn an_old_denture_is_no_set_and_the_others_keep_their_numbers() {
        let names = names_of(&[
            (Provisional, Some(Upper)),
            (ItemKind::OldDenture, Some(Upper)),
            (FinalDenture, Some(Upper)),
        ]);
        assert_eq!(names, ["First", "-", "Third"]);
    }

    #[test]
    fn a_denture_made_again_is_of_a_set_of_its_own_and_old_ones_never_change() {
        let kinds = [
            (FinalDenture, Some(Upper)),
            (FinalDenture, Some(Lower)),
            (FinalDenture, Some(Upper)),
            (Duplicate, Some(Upper)),
            (FinalDenture, Some(Lower)),
        ];
        assert_eq!(
            names_of(&kinds),
            ["First", "First", "Second", "Third", "Second"]
        );
        for count in 0..kinds.len() {
            assert_eq!(
                names_of(&kinds[..count]),
                names_of(&kinds)[..count].to_vec()
            );
        }
    }

    #[test]
    fn l7_sets_are_counted_and_go_on_after_the_sixth() {
        let table = [
            (0, "First"),
            (5, "Sixth"),
            (6, "7th"),
            (10, "11th"),
            (12, "13th"),
            (20, "21st"),
            (21, "22nd"),
            (22, "23rd"),
            (110, "111th"),
        ];
        for (number, text) in table {
            assert_eq!(ordinal(number), text);
        }
    }
}

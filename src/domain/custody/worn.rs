//! What goes into a mouth and comes out of it, as it happens.

use super::item::Item;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;

/// One item goes in or comes out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Turn {
    In(Tag, Moment),
    Out(Tag, Moment),
}

/// One stretch of time in which an item was worn; `to` is open while it still is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worn {
    pub arch: Arch,
    pub tag: Tag,
    pub from: Moment,
    pub to: Option<Moment>,
}

/// Every stretch of wearing, in the order it began. An item without an arch is worn in none.
pub fn line(items: &[Item], turns: &[Turn]) -> Vec<Worn> {
    let arch_of = |tag: &Tag| Item::of(items, tag)?.arch;
    let mut line: Vec<Worn> = Vec::new();
    for turn in turns {
        match turn {
            Turn::In(tag, at) => line.extend(arch_of(tag).map(|arch| Worn {
                arch,
                tag: tag.clone(),
                from: *at,
                to: None,
            })),
            Turn::Out(tag, at) => line
                .iter_mut()
                .filter(|worn| worn.tag == *tag && worn.to.is_none())
                .for_each(|worn| worn.to = Some(*at)),
        }
    }
    line
}

/// The item worn in `arch` at the end of the line.
pub fn worn_in(line: &[Worn], arch: Arch) -> Option<&Tag> {
    line.iter()
        .find(|worn| worn.arch == arch && worn.to.is_none())
        .map(|worn| &worn.tag)
}

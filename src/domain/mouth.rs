//! What the patient wears in each arch, now and over time, drawn from the events.

use super::arch::Arch;
use super::custody::{Event, What};
use super::ids::Tag;
use super::item::Item;
use super::moment::Moment;

/// One stretch of time in which an item was worn; `to` is open while it still is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worn {
    pub arch: Arch,
    pub tag: Tag,
    pub from: Moment,
    pub to: Option<Moment>,
}

/// Every stretch of wearing, in the order it began.
pub fn fold(items: &[Item], events: &[Event]) -> Vec<Worn> {
    let arch_of = |tag: &Tag| {
        items
            .iter()
            .find(|item| item.tag == *tag)
            .and_then(|item| item.arch)
    };
    let mut line: Vec<Worn> = Vec::new();
    let end = |line: &mut Vec<Worn>, tag: &Tag, at: Moment| {
        for worn in line
            .iter_mut()
            .filter(|worn| worn.tag == *tag && worn.to.is_none())
        {
            worn.to = Some(at);
        }
    };
    for event in events {
        let begun = match &event.what {
            What::Registered {
                tag, worn: true, ..
            } => Some(tag),
            What::Fitted { tag, instead_of } => {
                if let Some(out) = instead_of {
                    end(&mut line, out, event.at);
                }
                Some(tag)
            }
            What::TakenOut { tag, .. } => {
                end(&mut line, tag, event.at);
                None
            }
            _ => None,
        };
        if let Some((tag, arch)) = begun.and_then(|tag| arch_of(tag).map(|arch| (tag, arch))) {
            line.push(Worn {
                arch,
                tag: tag.clone(),
                from: event.at,
                to: None,
            });
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

//! What a page offers to record about one item: each kind says for itself what it asks for.

use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::Scope;
use crate::domain::form::{FieldSpec, Raw};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{EventId, Tag};

/// The item that an action would be about, in its case as it stands.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    pub tag: &'a Tag,
    pub scope: Scope<'a>,
    pub case: &'a CaseState,
    /// An entry about the item, where there is one.
    pub entry: Option<&'a EventId>,
    /// An entry about the item that can be withdrawn, with the word of its kind.
    pub mistake: Option<(&'a EventId, &'static str)>,
}

/// A kind of event that is recorded about one item, by a form on the item's page.
pub trait ItemAction: Sized {
    /// The action's word in the form.
    const ACTION: &'static str;
    const LABEL: &'static str;
    /// A sentence below the label.
    const HINT: &'static str;
    const FIELDS: &'static [FieldSpec];
    /// What the password under it signs; empty where nobody signs.
    const MEANS: &'static str = "";
    /// Whether it may be entered later, from paper.
    const FROM_PAPER: bool = true;
    /// Whether nothing can happen to the item afterwards.
    const ENDS: bool = false;

    /// The event as typed, if nothing is wrong with it.
    fn typed(tag: &Tag, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Self>;

    /// The event as somebody would fill it in well: what stands against this one stands against every one.
    fn example(about: &Subject<'_>) -> Self;
}

/// An action of any kind.
#[derive(Debug)]
pub struct Action<W> {
    pub word: &'static str,
    pub label: &'static str,
    pub hint: &'static str,
    pub fields: &'static [FieldSpec],
    pub means: &'static str,
    pub from_paper: bool,
    pub ends_the_item: bool,
    /// See [`ItemAction::typed`].
    pub typed: fn(&Tag, &Raw, &mut Vec<Fault>) -> Option<W>,
    /// See [`ItemAction::example`].
    pub example: fn(&Subject<'_>) -> W,
}

impl<W> Action<W> {
    /// The action of one kind.
    pub const fn of<K: ItemAction + Into<W>>() -> Action<W> {
        Action {
            word: K::ACTION,
            label: K::LABEL,
            hint: K::HINT,
            fields: K::FIELDS,
            means: K::MEANS,
            from_paper: K::FROM_PAPER,
            ends_the_item: K::ENDS,
            typed: |tag, raw, faults| K::typed(tag, raw, faults).map(Into::into),
            example: |about| K::example(about).into(),
        }
    }
}

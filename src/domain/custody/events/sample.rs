//! What the sample of a kind is made from. Each kind of event gives its own sample, filled in as somebody would fill it
//! in well: what stands against that one stands against every one.

use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::proposal::Scope;
use crate::domain::custody::signature::{Exception, Signed};
use crate::domain::people::access::{Permission, may};
use crate::domain::people::party::{Actor, Side};
use crate::domain::values::moment::Moment;

/// What stands in a sample where a text is needed; no rule hangs on what it says.
pub const SAMPLE_TEXT: &str = "said in words";

/// Whoever would make an entry, when, and the case as it stands before it.
#[derive(Debug, Clone, Copy)]
pub struct SampleContext<'a> {
    pub scope: Scope<'a>,
    pub case: &'a CaseState,
    pub by: &'a Actor,
    pub at: Moment,
}

impl SampleContext<'_> {
    /// The side that acts; a stranger is refused whichever it is.
    pub fn side(&self) -> Side {
        self.scope.side(self.by).unwrap_or(Side::Office)
    }

    /// Whoever may sign fills one in where a rule asks for it, and nobody else can.
    pub fn exception(&self) -> Option<Exception> {
        may(self.by.role, Permission::Sign).then(|| Exception {
            name: self.by.name.clone(),
            licence: String::new(),
            reason: SAMPLE_TEXT.to_owned(),
        })
    }

    /// The signature of whoever acts.
    pub fn signed(&self) -> Signed {
        Signed {
            name: self.by.name.clone(),
            licence: String::new(),
            meaning: String::new(),
        }
    }
}

//! What pages read of a case at the bench beside its steps.

use super::case_work::CaseWork;
use super::{App, Person};
use crate::domain::custody::What;
use crate::domain::custody::bench::{
    BenchMeasure, BenchStep, Instruction, Mounting, instructions, is_measured_in,
};
use crate::domain::values::arch::{Arch, Arches};

/// How soon after an entry a word that is scanned again is mostly the card read twice.
const MOMENTS_MS: i64 = 60_000;

impl CaseWork {
    /// The step that this person has entered here moments ago, with its arches; none where that was longer ago, or
    /// somebody else has entered one since.
    pub fn just_entered(&self, app: &App, person: &Person) -> Option<(BenchStep, Arches)> {
        let since = app.outside.now_ms() - MOMENTS_MS;
        let mut newest = self.events.iter().rev();
        let (event, worked) = newest.find_map(|event| match &event.what {
            What::Worked(worked) => Some((event, worked)),
            _ => None,
        })?;
        let is_own = event.by.account == person.account.id;
        (is_own && event.entered_at.unix_ms >= since).then_some((worked.step, worked.arches))
    }

    /// What the prescription in force says of the mounting; nothing where none is signed.
    pub fn prescribed_mounting(&self) -> Mounting {
        let newest = self.signed.newest();
        newest.map_or_else(Mounting::default, |(_, document)| {
            Mounting::prescribed(&document.prescription)
        })
    }

    /// On what the casts stand otherwise than the prescription in force says, by the newest entry that says it.
    pub fn mounted_otherwise(&self) -> Vec<String> {
        let mut entries = self.state.bench.iter().rev();
        let mounting = entries.find_map(|entry| entry.mounting);
        let prescribed = self.prescribed_mounting();
        mounting.map_or_else(Vec::new, |one| one.otherwise(&prescribed))
    }

    /// What the prescription in force says of a step beside its numbers.
    pub fn instructions_at(&self, step: BenchStep, arches: &[Arch]) -> Vec<Instruction> {
        let newest = self.signed.newest();
        newest.map_or_else(Vec::new, |(_, document)| {
            instructions(&document.prescription, document.numbering, (step, arches))
        })
    }

    /// Whether something is measured at a step in what is ordered for these arches.
    pub fn is_measured(&self, measure: BenchMeasure, (step, arches): (BenchStep, &[Arch])) -> bool {
        is_measured_in(measure, step, (&self.ordered.bench, arches))
    }
}

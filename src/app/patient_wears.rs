//! What a patient wears, by the newest word of any of the patient's cases.

use super::custody_words::worn_words;
use super::{App, AppError, Person, see_case};
use crate::domain::custody::case::Case;
use crate::domain::custody::mouth::{self, Wears};
use crate::domain::values::arch::Arch;
use crate::domain::values::moment::Moment;
use std::collections::BTreeMap;

/// A sentence for each arch that any of these cases treats.
pub async fn worn(app: &App, person: &Person, cases: &[Case]) -> Result<Vec<String>, AppError> {
    let mut newest: BTreeMap<Arch, (Option<Moment>, String)> = BTreeMap::new();
    for case in cases {
        let view = see_case::see(app, person, &case.number).await?;
        let work = &view.work;
        for &arch in case.arches.treated() {
            let stretch = mouth::worn_now(&work.items, &work.state, arch);
            let is_empty = !matches!(stretch.wears, Wears::Item(_));
            let teeth = work.teeth_in(arch).filter(|_| is_empty);
            let words = match teeth {
                Some(teeth) => teeth.shown().to_owned(),
                None => worn_words(work, &stretch.wears),
            };
            let entry = newest.entry(arch).or_insert((None, words.clone()));
            if stretch.from.map(|at| at.unix_ms) > entry.0.map(|at| at.unix_ms) {
                *entry = (stretch.from, words);
            }
        }
    }
    Ok(newest.into_iter().map(sentence).collect())
}

fn sentence((arch, (since, words)): (Arch, (Option<Moment>, String))) -> String {
    let since = since.map_or_else(String::new, |at| format!(" since {at}"));
    let name = match arch {
        Arch::Upper => "Upper",
        Arch::Lower => "Lower",
    };
    format!("{name}: {words}{since}.")
}

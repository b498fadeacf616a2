//! What a patient wears, by the newest word of any of the patient's cases.

use super::custody_words::worn_words;
use super::{App, AppError, Person, see_case};
use crate::domain::custody::case::Case;
use crate::domain::custody::mouth::{self, Wears};
use crate::domain::values::arch::Arch;
use crate::domain::values::moment::Moment;
use crate::store::cases;
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

/// Other cases of a patient that are looked through: the newest.
const OTHERS_MOST: usize = 5;

/// What other cases of the same patient say is worn in the arches of this one, for the office. One mouth may stand in
/// two cases, and each tells of its own things only.
pub async fn elsewhere(app: &App, person: &Person, this: &Case) -> Result<Vec<String>, AppError> {
    if person.party_id() != &this.office {
        return Ok(Vec::new());
    }
    let mut conn = app.store.read().await?;
    let cases = cases::cases_of_patient(&mut conn, &this.patient).await?;
    drop(conn);
    let mut sentences = Vec::new();
    let others = cases.iter().filter(|case| case.number != this.number);
    for case in others.take(OTHERS_MOST) {
        let view = see_case::see(app, person, &case.number).await?;
        let work = &view.work;
        for &arch in this.arches.treated() {
            let stretch = mouth::worn_now(&work.items, &work.state, arch);
            let Wears::Item(_) = stretch.wears else {
                continue;
            };
            let words = worn_words(work, &stretch.wears);
            let since = since_words(stretch.from);
            sentences.push(format!(
                "Case {} says of the {} arch: {words}{since}.",
                case.number,
                arch.shown()
            ));
        }
    }
    Ok(sentences)
}

/// " since 2026-03-02 …"; empty where nobody knows.
fn since_words(since: Option<Moment>) -> String {
    since.map_or_else(String::new, |at| format!(" since {at}"))
}

fn sentence((arch, (since, words)): (Arch, (Option<Moment>, String))) -> String {
    let since = since_words(since);
    let name = match arch {
        Arch::Upper => "Upper",
        Arch::Lower => "Lower",
    };
    format!("{name}: {words}{since}.")
}

//! Whether rows that the record says are there, counted at a start: a case, a card or a handoff that somebody has taken away
//! is asked for by nobody who does not know of it.

use super::{App, AppError};
use crate::store::counted::{Counted, OtherHouses, differences, of_other_houses};
use std::sync::{Mutex, PoisonError};

/// What was found at the last count; nothing where all is as the record says, or nobody has counted.
#[derive(Debug, Default)]
pub(super) struct CountedRows(Mutex<Option<String>>);

/// Counts, and says in the log what differs.
///
/// # Errors
/// If the database does not answer.
pub async fn look(app: &App) -> Result<(), AppError> {
    let mut conn = app.store.read_at_once().await?;
    let found = differences(&mut conn).await?;
    let others = of_other_houses(&mut conn).await?;
    drop(conn);
    let words = words(&found, others);
    if let Some(words) = &words {
        tracing::error!("{words}");
    }
    // After a panic too: it is written in one step.
    let mut kept = app.counted.0.lock().unwrap_or_else(PoisonError::into_inner);
    *kept = words;
    Ok(())
}

/// What differed at the last count, in words.
pub fn found(app: &App) -> Option<String> {
    let kept = app.counted.0.lock().unwrap_or_else(PoisonError::into_inner);
    kept.clone()
}

fn words(found: &[Counted], others: OtherHouses) -> Option<String> {
    let mut said: Vec<String> = found.iter().map(one).collect();
    for (many, what) in [
        (others.cases, "cases"),
        (others.cards, "patients’ cards"),
        (others.passed, "pieces of work passed on"),
    ] {
        if many > 0 {
            said.push(format!(
                "{many} {what} under another house than the record says"
            ));
        }
    }
    if others.of_other_patients > 0 {
        said.push(format!(
            "{} cases for a patient of another office",
            others.of_other_patients
        ));
    }
    (!said.is_empty()).then(|| {
        format!(
            "What is stored is not what the record says: {}. Somebody has changed it past this program: look at the \
             database with “vestibule check”.",
            said.join("; ")
        )
    })
}

fn one(counted: &Counted) -> String {
    let Counted {
        what,
        rows,
        recorded,
    } = counted;
    format!("{rows} {what} instead of {recorded}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_is_said_and_nothing_else() {
        assert_eq!(words(&[], OtherHouses::default()), None);
        let cases = Counted {
            what: "cases",
            rows: 11,
            recorded: 12,
        };
        let others = OtherHouses {
            cases: 2,
            cards: 1,
            of_other_patients: 3,
            passed: 4,
        };
        for (found, others, said) in [
            (
                vec![cases],
                OtherHouses::default(),
                "says: 11 cases instead of 12. Somebody",
            ),
            (vec![], others, "says: 2 cases under another house"),
            (vec![], others, "1 patients’ cards under another house"),
            (vec![], others, "4 pieces of work passed on under another"),
            (vec![], others, "3 cases for a patient of another office"),
        ] {
            let words = words(&found, others).unwrap();
            assert!(words.contains(said), "{words}");
        }
    }
}

//! The frame of a command on a case: it is loaded before, and saved after, in the same transaction.

use super::{Answer, earlier, finish};
use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person, PostKey};
use crate::domain::values::ids::CaseNumber;
use crate::store::{Tx, retry};

/// The case that a command is about: by its number, or as it was seen before the turn to write came.
#[derive(Clone, Copy)]
pub(in crate::app) enum OnCase<'a> {
    Numbered(&'a CaseNumber),
    Seen(&'a CaseWork),
}

impl<'a> From<&'a CaseNumber> for OnCase<'a> {
    fn from(number: &'a CaseNumber) -> OnCase<'a> {
        OnCase::Numbered(number)
    }
}

impl<'a> From<&'a CaseWork> for OnCase<'a> {
    fn from(seen: &'a CaseWork) -> OnCase<'a> {
        OnCase::Seen(seen)
    }
}

/// A command on a case of this person's party; any other does not exist, not even for the look at the
/// earlier answer. `decide` appends what it has decided, and the case is saved with what the lists show of it
/// and of its handoffs.
pub(in crate::app) async fn run_on_case<'a, A, F, Fut>(
    app: &App,
    person: &Person,
    case: impl Into<OnCase<'a>>,
    key: &PostKey,
    decide: F,
) -> Result<A, AppError>
where
    A: Answer,
    F: Fn(CaseWork, Tx) -> Fut + Send + Sync,
    Fut: Future<Output = Result<(CaseWork, Tx, A), AppError>> + Send,
{
    let case = case.into();
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let work = match case {
            OnCase::Numbered(number) => CaseWork::load(tx.conn(), person, number).await?,
            OnCase::Seen(seen) => CaseWork::as_seen(tx.conn(), person, seen).await?,
        };
        if let Some(earlier) = earlier(app, &mut tx, person, key).await? {
            return A::from_noted(earlier);
        }
        // On the heap: the futures of commands are large, and a thread has little room for them.
        let (mut work, mut tx, answer) = Box::pin(decide(work, tx)).await?;
        work.save(app, &mut tx).await?;
        finish(app, tx, person, key, &answer.noted()).await?;
        Ok(answer)
    })
    .await
}

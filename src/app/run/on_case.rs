//! The frame of a command on a case: it is loaded before, and saved after, in the same transaction.

use super::{Answer, earlier, finish};
use crate::app::case_work::CaseWork;
use crate::app::entry::Late;
use crate::app::recorded::reference::hold_person;
use crate::app::{App, AppError, Person, PostKey};
use crate::domain::custody::What;
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::store::{Tx, retry};

/// The case that a command is about: by its number, or as it was seen before the turn to write came.
#[derive(Clone, Copy)]
pub(in crate::app) enum OnCase<'a> {
    Numbered(&'a CaseNumber),
    Seen(&'a CaseWork),
    /// The case of which this entry passes work on to the house of whoever acts.
    PassedTo(&'a EventId),
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
    let done = retry(|| async {
        let mut tx = app.store.begin().await?;
        let work = match case {
            OnCase::Numbered(number) => CaseWork::load(app, tx.conn(), person, number).await?,
            OnCase::PassedTo(pass) => CaseWork::passed_to(app, tx.conn(), person, pass).await?.0,
            OnCase::Seen(seen) => CaseWork::as_seen(app, tx.conn(), person, seen).await?,
        };
        if let Some(earlier) = earlier(app, &mut tx, person, key).await? {
            return A::from_noted(earlier);
        }
        hold_person(app, tx.conn(), person).await?;
        work.hold(app, tx.conn()).await?;
        // On the heap: the futures of commands are large, and a thread has little room for them.
        let (mut work, mut tx, answer) = Box::pin(decide(work, tx)).await?;
        work.save(app, &mut tx).await?;
        finish(app, tx, person, key, &answer.noted()).await?;
        Ok(answer)
    })
    .await;
    // What stands against it may be an entry of this moment whose commit has not come back: nobody is told of it, and
    // no page is drawn without it, before it is on the disk.
    if matches!(done, Err(AppError::Refused(_) | AppError::Conflict(_))) {
        app.store.kept_so_far().await;
    }
    done
}

/// A command on a case that is one entry: `what` decides it, in the transaction. `late` is when it happened, where
/// it is copied from paper.
pub(in crate::app) async fn enter_on_case<'a>(
    app: &App,
    person: &Person,
    case: impl Into<OnCase<'a>>,
    key: &PostKey,
    late: Option<&Late>,
    what: impl Fn(&CaseWork) -> Result<What, AppError> + Send + Sync,
) -> Result<(), AppError> {
    let id = EventId::new(app.outside.identity()?);
    run_on_case(app, person, case, key, |mut work, mut tx| async {
        let what = what(&work)?;
        work.append(app, &mut tx, person, &id, what, late).await?;
        Ok((work, tx, ()))
    })
    .await
}

//! The frame of every command that writes: one transaction, made again where the database asks for it, and one
//! answer for one post.
//!
//! What the frame promises: an attempt that fails leaves nothing behind; a post that arrives twice, by a double
//! click or after a lost answer, is carried out once and answered twice, whatever has become of the matter
//! since; and nobody is told of what is not on the disk. What it asks: identifiers are drawn and passwords
//! confirmed before it, since the work may be done several times and has to come out the same. The work takes
//! the transaction and hands it back: one that ends with an error drops it, and with it all that it has written.

pub(super) mod on_case;

use super::recorded::reference::hold_person;
use super::{App, AppError, Person, PostKey};
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, PartyId, PatientCode, Tag};
use crate::store::{Store, StoreError, Tx, people, retry};

/// What a command led to, as it is noted under the key of its post and told to the second of two clicks.
pub(in crate::app) trait Answer: Sized + Send + Sync {
    fn noted(&self) -> String;
    fn from_noted(text: String) -> Result<Self, AppError>;
}

/// Done, and there is nothing else to say.
impl Answer for () {
    fn noted(&self) -> String {
        "done".to_owned()
    }

    fn from_noted(_: String) -> Result<(), AppError> {
        Ok(())
    }
}

impl Answer for String {
    fn noted(&self) -> String {
        self.clone()
    }

    fn from_noted(text: String) -> Result<String, AppError> {
        Ok(text)
    }
}

impl Answer for HandoffId {
    fn noted(&self) -> String {
        self.to_string()
    }

    fn from_noted(text: String) -> Result<HandoffId, AppError> {
        Ok(HandoffId::new(text))
    }
}

impl Answer for PartyId {
    fn noted(&self) -> String {
        self.to_string()
    }

    fn from_noted(text: String) -> Result<PartyId, AppError> {
        Ok(PartyId::new(text))
    }
}

impl Answer for EventId {
    fn noted(&self) -> String {
        self.to_string()
    }

    fn from_noted(text: String) -> Result<EventId, AppError> {
        Ok(EventId::new(text))
    }
}

impl Answer for i64 {
    fn noted(&self) -> String {
        self.to_string()
    }

    fn from_noted(text: String) -> Result<i64, AppError> {
        text.parse().map_err(unreadable)
    }
}

macro_rules! answered_by_a_code {
    ($($code:ty),+) => {$(
        impl Answer for $code {
            fn noted(&self) -> String {
                self.as_str().to_owned()
            }

            fn from_noted(text: String) -> Result<$code, AppError> {
                <$code>::parse(&text).map_err(unreadable)
            }
        }
    )+};
}

answered_by_a_code!(CaseNumber, PatientCode, Tag);

fn unreadable(why: impl std::fmt::Display) -> AppError {
    AppError::Inner(format!("the outcome of an earlier post: {why}"))
}

/// A write without a key: doing it twice is doing it once, or the second is refused by what it finds.
pub(super) async fn write<A, F, Fut>(app: &App, work: F) -> Result<A, AppError>
where
    A: Send,
    F: Fn(Tx) -> Fut + Send + Sync,
    Fut: Future<Output = Result<(Tx, A), AppError>> + Send,
{
    write_in(&app.store, work).await
}

/// The same for whoever has the store alone.
pub(super) async fn write_in<A, F, Fut>(store: &Store, work: F) -> Result<A, AppError>
where
    A: Send,
    F: Fn(Tx) -> Fut + Send + Sync,
    Fut: Future<Output = Result<(Tx, A), AppError>> + Send,
{
    retry(|| async {
        let (tx, done) = work(store.begin().await?).await?;
        tx.commit().await?;
        Ok(done)
    })
    .await
}

/// A command that is about no case: looks for the earlier answer, lets `work` decide and write, and notes
/// what came of it.
pub(super) async fn run<A, F, Fut>(
    app: &App,
    person: &Person,
    key: &PostKey,
    work: F,
) -> Result<A, AppError>
where
    A: Answer,
    F: Fn(Tx) -> Fut + Send + Sync,
    Fut: Future<Output = Result<(Tx, A), AppError>> + Send,
{
    retry(|| async {
        let mut tx = app.store.begin().await?;
        if let Some(earlier) = earlier(app, &mut tx, person, key).await? {
            return A::from_noted(earlier);
        }
        hold_person(app, tx.conn(), person).await?;
        let (tx, answer) = Box::pin(work(tx)).await?;
        finish(app, tx, person, key, &answer.noted()).await?;
        Ok(answer)
    })
    .await
}

/// A command whose answer nobody can be told a second time: `work` hears of the earlier one, and what it
/// answers takes its place.
pub(super) async fn run_again<F, Fut>(
    app: &App,
    person: &Person,
    key: &PostKey,
    work: F,
) -> Result<(), AppError>
where
    F: Fn(Tx, Option<String>) -> Fut + Send + Sync,
    Fut: Future<Output = Result<(Tx, String), AppError>> + Send,
{
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let earlier = earlier(app, &mut tx, person, key).await?;
        let is_first = earlier.is_none();
        hold_person(app, tx.conn(), person).await?;
        let (mut tx, answer) = work(tx, earlier).await?;
        if is_first {
            return Ok(finish(app, tx, person, key, &answer).await?);
        }
        people::change_outcome(&mut tx, &person.account.id, key.as_str(), &answer).await?;
        Ok(tx.commit().await?)
    })
    .await
}

/// What an earlier post of the same form led to, if there was one. The second of two clicks is the one
/// whose answer is seen, so it too is told only of what is on the disk: until the first one's commit has
/// come back, the attempt is made again.
async fn earlier(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    key: &PostKey,
) -> Result<Option<String>, StoreError> {
    let (who, key) = (&person.account.id, key.as_str());
    let outcome = people::outcome_of(tx.conn(), who, key).await?;
    if outcome.is_some() {
        let mut kept = app.store.read().await?;
        if people::outcome_of(&mut kept, who, key).await?.is_none() {
            return Err(StoreError::Again);
        }
    }
    Ok(outcome)
}

/// Notes the outcome under the post's key and commits.
async fn finish(
    app: &App,
    mut tx: Tx,
    person: &Person,
    key: &PostKey,
    outcome: &str,
) -> Result<(), StoreError> {
    let now = app.outside.now_ms();
    match people::note_outcome(&mut tx, &person.account.id, key.as_str(), outcome, now).await {
        // The same post is under way elsewhere and was faster: the next attempt finds its outcome.
        Err(error) if error.is_duplicate() => return Err(StoreError::Again),
        done => done?,
    }
    tx.commit().await
}

#[cfg(test)]
mod tests {
    use super::*;

    fn again<A: Answer>(answer: &A) -> A {
        A::from_noted(answer.noted()).unwrap()
    }

    #[test]
    fn an_answer_is_told_again_as_it_was_noted() {
        let tag = (0..32)
            .find_map(|byte| Tag::from_random([byte; 7]))
            .unwrap();
        assert_eq!(again(&tag), tag);
        assert_eq!(
            (again(&7_i64), again(&"a b".to_owned())),
            (7, "a b".to_owned())
        );
        // What commands of before have noted, for whom being done is all that there is to tell.
        assert!(<() as Answer>::from_noted("loaded".to_owned()).is_ok());
        assert!(i64::from_noted("seven".to_owned()).is_err());
        assert!(CaseNumber::from_noted("nothing".to_owned()).is_err());
    }
}

//! The record looked up, and held against what this program knows of it: an index, or a server, may leave a leaf out.
//!
//! A program that only looks knows nothing beforehand, and is answered as the database answers.

use super::database::Store;
use super::error::StoreError;
use super::head::{head, signed_as};
use super::known_leaves::By;
use super::nodes;
use super::record::{self, LeafRow};
use crate::domain::values::ids::CaseNumber;
use crate::record::hash::Hash;
use crate::record::tree::{NodePlan, root_plan};
use sqlx::AnyConnection;

impl Store {
    /// The leaves of a case, in order.
    ///
    /// # Errors
    /// As of all of these: if the database leaves one out that its record has, or finds another under what it was asked.
    pub async fn leaves_of(
        &self,
        conn: &mut AnyConnection,
        case: &CaseNumber,
    ) -> Result<Vec<LeafRow>, StoreError> {
        self.leaves_owned_by(conn, case.as_str()).await
    }

    /// The leaves of a case, or of a row of reference data, in order.
    pub async fn leaves_owned_by(
        &self,
        conn: &mut AnyConnection,
        owner: &str,
    ) -> Result<Vec<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = self.legible(record::leaves_owned_by(conn, owner).await)?;
        let numbers: Vec<u64> = found.iter().map(|leaf| leaf.number).collect();
        self.hold_found(conn, By::Owner(owner), before, &numbers)
            .await?;
        Ok(found)
    }

    /// The newest leaf of a row of reference data.
    pub async fn newest_owned_by(
        &self,
        conn: &mut AnyConnection,
        owner: &str,
    ) -> Result<Option<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = self.legible(record::newest_owned_by(conn, owner).await)?;
        let number = found.as_ref().map(|leaf| leaf.number);
        let trust = self.trust();
        if !trust.is_newest(owner, before, number) {
            let before = self.seen_of(conn, before).await?;
            trust.hold_newest(owner, before, number)?;
        }
        self.refuse_beyond(conn, before, number.as_slice()).await?;
        Ok(found)
    }

    /// The leaf about one row.
    pub async fn leaf_about(
        &self,
        conn: &mut AnyConnection,
        kind: &str,
        about: &str,
    ) -> Result<Option<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = self.legible(record::leaf_about(conn, kind, about).await)?;
        let number = Vec::from_iter(found.as_ref().map(|leaf| leaf.number));
        self.hold_found(conn, By::About(kind, about), before, &number)
            .await?;
        Ok(found)
    }

    /// The leaves of one kind, in order: of kinds of which there are few.
    pub async fn leaves_of_kind(
        &self,
        conn: &mut AnyConnection,
        kind: &str,
    ) -> Result<Vec<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = self.legible(record::leaves_of_kind(conn, kind).await)?;
        let numbers: Vec<u64> = found.iter().map(|leaf| leaf.number).collect();
        self.hold_found(conn, By::Kind(kind), before, &numbers)
            .await?;
        Ok(found)
    }

    /// The numbers of a case's leaves, with the kind and the key of what each is about.
    pub async fn numbers_of(
        &self,
        conn: &mut AnyConnection,
        case: &CaseNumber,
    ) -> Result<Vec<(String, String, u64)>, StoreError> {
        let before = self.trust().known();
        let found = self.legible(record::numbers_of(conn, case).await)?;
        let numbers: Vec<u64> = found.iter().map(|(.., number)| *number).collect();
        self.hold_found(conn, By::Owner(case.as_str()), before, &numbers)
            .await?;
        Ok(found)
    }

    /// The hashes that a proof wants. Where they cannot be made since a leaf is missing, that leaf is named.
    pub async fn hashes(
        &self,
        conn: &mut AnyConnection,
        plan: &NodePlan,
    ) -> Result<Vec<Hash>, StoreError> {
        let why = match nodes::hashes(conn, plan).await {
            Err(why @ StoreError::Row { .. }) => why,
            other => return other,
        };
        let size = head(conn).await?.frontier.size();
        self.trust().refuse_missing(conn, plan, size).await?;
        Err(why)
    }

    /// The root of the first `size` leaves, in the same way.
    pub async fn root_at(&self, conn: &mut AnyConnection, size: u64) -> Result<Hash, StoreError> {
        let root = self.hashes(conn, &root_plan(size)).await?.pop();
        root.ok_or_else(|| StoreError::row("tree_node", size, "no root"))
    }

    /// What was read of leaves. Where a value among them is of another kind than this program writes, the record is another
    /// one: what looks at all leaves finds it too, and later.
    fn legible<T>(&self, found: Result<T, StoreError>) -> Result<T, StoreError> {
        let trust = self.trust();
        match found {
            // A program that only looks names every fault by itself.
            Err(why) if why.is_of_a_value() && trust.known_frontier().is_some() => {
                Err(trust.note_illegible())
            }
            found => found,
        }
    }

    async fn hold_found(
        &self,
        conn: &mut AnyConnection,
        by: By<'_>,
        before: u64,
        found: &[u64],
    ) -> Result<(), StoreError> {
        let trust = self.trust();
        if !trust.is_as_known(by, before, found) {
            let before = self.seen_of(conn, before).await?;
            trust.hold_found(by, before, found)?;
        }
        self.refuse_beyond(conn, before, found).await
    }

    /// How many of the leaves that are known a lookup on this connection has to find. The memory and the connection may be of
    /// two moments: where the memory is behind, it says nothing of what came later, and whoever enters or prints takes that
    /// in first; where it is ahead, the connection sees fewer, up to its own head. The key has to have signed that head then,
    /// and the database, asked now, must not be set back to it.
    async fn seen_of(&self, conn: &mut AnyConnection, before: u64) -> Result<u64, StoreError> {
        let seen = match head(conn).await {
            Err(StoreError::Row { .. }) => return Ok(before),
            other => other?,
        };
        let size = seen.frontier.size();
        if size >= before || signed_as(&seen, self.key()).is_err() {
            return Ok(before);
        }
        let now = match self.head_now().await {
            Err(StoreError::Row { .. }) => return Ok(before),
            other => other?,
        };
        match now.frontier.size() >= before {
            true => Ok(size),
            false => Ok(before),
        }
    }

    /// Refuses a leaf beyond the end that the head says, which nobody with the key has appended. The head is read after the
    /// leaves, and comes with them from whoever appends: so a leaf that another program has added is never beyond it.
    async fn refuse_beyond(
        &self,
        conn: &mut AnyConnection,
        before: u64,
        found: &[u64],
    ) -> Result<(), StoreError> {
        let trust = self.trust();
        if trust.known_frontier().is_none() || found.iter().all(|number| *number < before) {
            return Ok(());
        }
        let size = match head(conn).await {
            // What is wrong with the head itself is asked for by whoever writes.
            Err(StoreError::Row { .. }) => return Ok(()),
            other => other?.frontier.size(),
        };
        trust.refuse_beyond(size, found)
    }
}

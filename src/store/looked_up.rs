//! The record looked up, and held against what this program knows of it: an index, or a server, may leave a leaf out.
//!
//! A program that only looks knows nothing beforehand, and is answered as the database answers.

use super::database::Store;
use super::error::StoreError;
use super::known_leaves::By;
use super::record::{self, LeafRow};
use crate::domain::values::ids::CaseNumber;
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

    /// The leaves of a case, or of a row beside the cases, in order.
    pub async fn leaves_owned_by(
        &self,
        conn: &mut AnyConnection,
        owner: &str,
    ) -> Result<Vec<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = record::leaves_owned_by(conn, owner).await?;
        let numbers: Vec<u64> = found.iter().map(|leaf| leaf.number).collect();
        self.trust()
            .hold_found(By::Owner(owner), before, &numbers)?;
        Ok(found)
    }

    /// The newest leaf of a row beside the cases.
    pub async fn newest_owned_by(
        &self,
        conn: &mut AnyConnection,
        owner: &str,
    ) -> Result<Option<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = record::newest_owned_by(conn, owner).await?;
        let number = found.as_ref().map(|leaf| leaf.number);
        self.trust().hold_newest(owner, before, number)?;
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
        let found = record::leaf_about(conn, kind, about).await?;
        let number = Vec::from_iter(found.as_ref().map(|leaf| leaf.number));
        self.trust()
            .hold_found(By::About(kind, about), before, &number)?;
        Ok(found)
    }

    /// The leaves of one kind, in order: of kinds of which there are few.
    pub async fn leaves_of_kind(
        &self,
        conn: &mut AnyConnection,
        kind: &str,
    ) -> Result<Vec<LeafRow>, StoreError> {
        let before = self.trust().known();
        let found = record::leaves_of_kind(conn, kind).await?;
        let numbers: Vec<u64> = found.iter().map(|leaf| leaf.number).collect();
        self.trust().hold_found(By::Kind(kind), before, &numbers)?;
        Ok(found)
    }

    /// The numbers of a case's leaves, with the kind and the key of what each is about.
    pub async fn numbers_of(
        &self,
        conn: &mut AnyConnection,
        case: &CaseNumber,
    ) -> Result<Vec<(String, String, u64)>, StoreError> {
        let before = self.trust().known();
        let found = record::numbers_of(conn, case).await?;
        let numbers: Vec<u64> = found.iter().map(|(.., number)| *number).collect();
        self.trust()
            .hold_found(By::Owner(case.as_str()), before, &numbers)?;
        Ok(found)
    }
}

//! Hashing and checking passwords: argon2id, 19 MiB, two passes, one lane, the headline minimum of the
//! OWASP Password Storage Cheat Sheet (2026).

use super::hashing::{HashingQueue, HashingTurn};
use super::{App, AppError};
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};

const MEMORY_KIB: u32 = 19_456;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// The hash of no password: checked when a sign-in name does not exist, so that the answer takes as long.
const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHRzb21lc2FsdA$\
                      dCtUFVQ3bFVBSvIBNxr0IeeaL3Zy5iYJJ4q1VAl5H2s";

fn hasher() -> Result<Argon2<'static>, AppError> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).map_err(inner)?;
    Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
}

fn inner(error: impl std::fmt::Display) -> AppError {
    AppError::Inner(format!("password hashing: {error}"))
}

/// Runs costly work off the request threads.
async fn off_thread<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, AppError> + Send + 'static,
) -> Result<T, AppError> {
    tokio::task::spawn_blocking(work).await.map_err(inner)?
}

impl App {
    /// The PHC text of a new password's hash.
    pub(super) async fn hash_password(&self, password: &str) -> Result<String, AppError> {
        let salt = self.outside.salt()?;
        let password = password.to_owned();
        let _turn = self.hashing.turn(HashingQueue::SignedIn).await?;
        off_thread(move || {
            Ok(hasher()?
                .hash_password_with_salt(password.as_bytes(), &salt)
                .map_err(inner)?
                .to_string())
        })
        .await
    }
}

impl HashingTurn<'_> {
    /// Whether `password` fits `hash`; without a hash the same work is done and the answer is no.
    pub(super) async fn password_fits(
        &self,
        password: &str,
        hash: Option<&str>,
    ) -> Result<bool, AppError> {
        let (password, known) = (password.to_owned(), hash.is_some());
        let hash = hash.unwrap_or(NOBODY).to_owned();
        off_thread(move || {
            let parsed = PasswordHash::new(&hash).map_err(inner)?;
            let fits = hasher()?
                .verify_password(password.as_bytes(), &parsed)
                .is_ok();
            Ok(fits && known)
        })
        .await
    }
}

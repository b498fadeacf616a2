//! An invented scenario, made through the same deeds that people do.
use super::{App, AppError};
/// A demo account with its fresh password.
#[derive(Debug, Clone)]
pub struct DemoAccount { pub login: String, pub password: String, pub what: String }
pub async fn fill(_app: &App, _more: u32) -> Result<Vec<DemoAccount>, AppError> { Ok(Vec::new()) }

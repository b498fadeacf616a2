//! The work slip of a case as a file, and the cases that there are.

use super::place::{at_home, new_file, open_to_read, refuse_without_upgrade};
use super::terminal::say;
use crate::app::App;
use crate::app::print_sheet::slip_for;
use crate::app::see_case::list_lines;
use crate::cli;
use anyhow::{Context, Result};
use std::path::PathBuf;

/// Prints one line for each case.
pub async fn list(data: cli::Data) -> Result<()> {
    let app = opened(data).await?;
    say(&list_lines(&app).await?.join("\n"))
}

/// Writes the slip of a revision; of the newest where none is named.
pub async fn write(
    case: Option<String>,
    out: Option<PathBuf>,
    revision: Option<i64>,
    paper: Option<&str>,
    as_printed: bool,
    data: cli::Data,
) -> Result<()> {
    let out = out.map(|out| new_file(out, &data)).transpose()?;
    let app = opened(data).await?;
    let (case, out) = (case.context("no case number")?, out.context("no --out")?);
    let bytes = slip_for(&app, &case, revision, paper, as_printed).await?;
    out.write(&bytes)
}

async fn opened(data: cli::Data) -> Result<App> {
    let app = at_home(open_to_read(data).await?);
    refuse_without_upgrade(&app).await?;
    Ok(app)
}

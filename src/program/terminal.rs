//! What is said and asked at the terminal.

use crate::app::AppError;
use crate::record::words::PaperRoot;
use anyhow::{Context, Result};
use std::io::{IsTerminal, Write};

pub fn say(text: &str) -> Result<()> {
    writeln!(std::io::stdout(), "{text}").context("cannot write to the terminal")
}

/// What stands beside a field of a page is a sentence of its own at the terminal.
pub fn in_words(error: AppError) -> anyhow::Error {
    match error {
        AppError::Invalid(faults) => {
            let sentences = faults.into_iter().map(|fault| fault.message);
            anyhow::Error::msg(sentences.collect::<Vec<_>>().join(" "))
        }
        other => other.into(),
    }
}

/// A size and root as typed.
pub fn paper_root(typed: Option<&str>) -> Result<Option<PaperRoot>> {
    Ok(typed.map(PaperRoot::parse).transpose()?)
}

/// A password, typed unseen at a terminal, or the first line of standard input.
pub fn password() -> Result<String> {
    if std::io::stdin().is_terminal() {
        return rpassword::prompt_password("Password: ").context("cannot read the password");
    }
    let mut line = String::new();
    std::io::stdin()
        .read_line(&mut line)
        .context("cannot read the password")?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

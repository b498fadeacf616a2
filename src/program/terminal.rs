//! What is said and asked at the terminal.

use crate::app::AppError;
use crate::domain::form::is_unreadable;
use crate::record::words::PaperRoot;
use anyhow::{Context, Result};
use std::io::{IsTerminal, Write};

/// Writes a text and the end of its line.
pub fn say(text: &str) -> Result<()> {
    writeln!(std::io::stdout(), "{}", readable(text)).context("cannot write to the terminal")
}

/// A text in which others may have written, as it can be read: what would move the cursor, hide what stands before or turn
/// it round is shown by its number.
pub fn readable(text: &str) -> String {
    escaped(text, |c| is_unreadable(c) && !matches!(c, '\n' | '\t'))
}

/// The same for what may not pass for a line of ours, as a name of somebody else's file.
pub fn readable_line(text: &str) -> String {
    escaped(text, is_unreadable)
}

fn escaped(text: &str, is_so: impl Fn(char) -> bool) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        match is_so(c) {
            true => shown.extend(c.escape_default()),
            false => shown.push(c),
        }
    }
    shown
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_others_have_written_hides_no_line_at_the_terminal() {
        assert_eq!(readable("fits\tCœur\nnew"), "fits\tCœur\nnew");
        assert_eq!(readable("a\u{1b}[2Kb\rc"), "a\\u{1b}[2Kb\\rc");
        assert_eq!(readable("\u{202e}txt"), "\\u{202e}txt");
        assert_eq!(readable_line("x\nEverything fits."), "x\\nEverything fits.");
    }
}

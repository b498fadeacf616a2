//! What is said of a command line that cannot be followed: our own sentences, since those of the library that reads it
//! blame, and repeat what the language says of a number.

use super::terminal::readable;
use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::error::Error as _;
use std::io::Write;
use std::process::ExitCode;

/// How a program ends that was not told well what to do: 2, as the shell's own commands do.
const NOT_UNDERSTOOD: u8 = 2;

/// Prints help or version where they were asked for, and otherwise what is wrong, how the command is typed, and where
/// more is said.
pub fn refuse(error: &Error) -> ExitCode {
    let Some(wrong) = sentence(error) else {
        // A terminal that is gone cannot be told.
        let _unheard = error.print();
        return match error.use_stderr() {
            true => ExitCode::from(NOT_UNDERSTOOD),
            false => ExitCode::SUCCESS,
        };
    };
    let usage = text(error, ContextKind::Usage);
    let usage = usage.map_or_else(String::new, |usage| format!("{}\n", usage.trim_end()));
    let said = readable(&format!(
        "vestibule: {wrong}\n{usage}With --help after the command it says what it takes."
    ));
    let _unheard = writeln!(std::io::stderr(), "{said}");
    ExitCode::from(NOT_UNDERSTOOD)
}

/// What is wrong, in a sentence; none where help or version was asked for, or nothing at all.
fn sentence(error: &Error) -> Option<String> {
    let option = text(error, ContextKind::InvalidArg).unwrap_or_default();
    Some(match error.kind() {
        ErrorKind::DisplayHelp
        | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
        | ErrorKind::DisplayVersion => return None,
        ErrorKind::ValueValidation => {
            let why = error.source().map(ToString::to_string);
            format!("{option}: {}.", why.unwrap_or_default())
        }
        ErrorKind::InvalidValue => format!("{option} needs a value after it."),
        ErrorKind::UnknownArgument => {
            let near = near(error, ContextKind::SuggestedArg);
            format!("“{option}” is nothing that this command takes.{near}")
        }
        ErrorKind::InvalidSubcommand => {
            let named = text(error, ContextKind::InvalidSubcommand).unwrap_or_default();
            let near = near(error, ContextKind::SuggestedSubcommand);
            format!("there is no command “{named}”.{near}")
        }
        ErrorKind::MissingRequiredArgument => format!("still needed: {option}."),
        ErrorKind::ArgumentConflict => {
            match text(error, ContextKind::PriorArg).filter(|prior| *prior != option) {
                Some(prior) => format!("{option} does not go together with {prior}."),
                None => format!("{option} is given twice."),
            }
        }
        ErrorKind::InvalidUtf8 => "what was typed is no text in UTF-8.".to_owned(),
        _ => "this is not how the command is typed.".to_owned(),
    })
}

/// The name that is nearest to the one typed, as a question; empty where none is near.
fn near(error: &Error, kind: ContextKind) -> String {
    let nearest = match error.get(kind) {
        Some(ContextValue::String(one)) => Some(one),
        // The nearest is the last.
        Some(ContextValue::Strings(several)) => several.last(),
        _ => None,
    };
    nearest.map_or_else(String::new, |near| format!(" Is {near} meant?"))
}

/// What the library knows of this kind, several joined by commas.
fn text(error: &Error, kind: ContextKind) -> Option<String> {
    match error.get(kind)? {
        ContextValue::String(one) => Some(one.clone()),
        ContextValue::Strings(several) => Some(several.join(", ")),
        ContextValue::StyledStr(styled) => Some(styled.to_string()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::Cli;
    use clap::Parser;

    fn said(words: &[&str]) -> Option<String> {
        let all = ["vestibule"].iter().chain(words).copied();
        sentence(&Cli::try_parse_from(all).unwrap_err())
    }

    #[test]
    fn what_is_typed_wrong_is_told_in_our_own_sentences() {
        let table: [(&[&str], &str); 11] = [
            (
                &["serve", "--listen", "foo"],
                "--listen <ADDRESS:PORT>: “foo” is no address with a port, such as 127.0.0.1:8080 or [::1]:8080.",
            ),
            (
                &["serve", "--connections", "x"],
                "--connections <N>: “x” is no whole number from 0 on.",
            ),
            (
                &["demo", "--more-cases", "-1"],
                "--more-cases <N>: “-1” is no whole number from 0 on.",
            ),
            (
                &["slip", "--list", "--revision", "-3"],
                "--revision <N>: “-3” is no whole number from 0 on.",
            ),
            (
                &["serve", "--proxy", "here"],
                "--proxy <ADDRESS>: \"here\" is no address, such as 192.0.2.1 or 172.18.0.0/16.",
            ),
            (
                &["serve", "--listen"],
                "--listen <ADDRESS:PORT> needs a value after it.",
            ),
            (
                &["serve", "--lisen", "x"],
                "“--lisen” is nothing that this command takes. Is --listen meant?",
            ),
            (
                &["serve", "now"],
                "“now” is nothing that this command takes.",
            ),
            (&["sreve"], "there is no command “sreve”. Is serve meant?"),
            (&["backup"], "still needed: --to <FILE>."),
            (
                &["serve", "--listen", "[::1]:1", "--listen", "[::1]:2"],
                "--listen <ADDRESS:PORT> is given twice.",
            ),
        ];
        for (words, sentence) in table {
            assert_eq!(said(words).as_deref(), Some(sentence), "{words:?}");
        }
        // Which of the two is named first hangs on the library.
        let plain = ["serve", "--behind-tls-proxy", "--allow-plain-http"];
        let both = said(&plain).unwrap();
        assert!(both.contains(" does not go together with "), "{both}");
        assert!(
            plain[1..].iter().all(|option| both.contains(option)),
            "{both}"
        );
        for asked in [&["--help"][..], &["--version"], &["serve", "--help"], &[]] {
            assert_eq!(said(asked), None, "{asked:?}");
        }
    }
}

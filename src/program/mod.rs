//! The program: reads the command line, does what it asks, and says how it went.
//!
//! It lies in the library, so that the many asynchronous functions that it calls are compiled with the rest, in parallel,
//! and not once more with the executable.

mod copies;
mod place;
mod proof;
mod serving;
mod slip;
mod terminal;
mod typed;
mod upkeep;

use crate::app::security::SECURITY;
use crate::cli::{Cli, Command};
use crate::clock::{self, Outside};
use anyhow::Result;
use clap::Parser;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::filter::{FilterExt, filter_fn};
use tracing_subscriber::layer::{Layer, SubscriberExt};
use tracing_subscriber::util::SubscriberInitExt;

/// Runs what the command line asks for.
#[tokio::main]
pub async fn main() -> ExitCode {
    // Whatever is written here is about patients, or signs for them: nobody else on this machine reads it.
    rustix::process::umask(rustix::fs::Mode::RWXG | rustix::fs::Mode::RWXO);
    begin_log();
    let typed = match Cli::try_parse() {
        Ok(typed) => typed,
        Err(error) => return typed::refuse(&error),
    };
    match run(typed.command).await {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // A terminal that is gone cannot be told.
            let said = terminal::readable(&format!("{error:#}"));
            let _unheard = writeln!(std::io::stderr(), "vestibule: {said}");
            ExitCode::FAILURE
        }
    }
}

/// Two parts: what is of use in running it, by the filter in `RUST_LOG`; and who came in and who was turned away, which
/// no filter takes out.
fn begin_log() {
    let of_use = EnvFilter::try_from_default_env().unwrap_or_else(|_| "info,sqlx=warn".into());
    let is_security = |about: &tracing::Metadata<'_>| about.target() == SECURITY;
    // Colours are for a terminal: in a file they would stand between a word and its value.
    let in_colour = std::io::stderr().is_terminal();
    let lines = tracing_subscriber::fmt::layer().with_writer(std::io::stderr);
    let other = lines.with_ansi(in_colour);
    let lines = tracing_subscriber::fmt::layer().with_writer(std::io::stderr);
    let security = lines.with_ansi(in_colour);
    tracing_subscriber::registry()
        .with(other.with_filter(of_use.and(filter_fn(move |about| !is_security(about)))))
        .with(security.with_filter(filter_fn(is_security)))
        .init();
}

async fn run(command: Command) -> Result<()> {
    clock::refuse_wrong(Outside::system().now_ms())?;
    match command {
        Command::Setup { data, listen } => {
            listen.check()?;
            upkeep::setup(data, &listen).await
        }
        Command::Serve {
            data,
            listen,
            law,
            warn_free,
        } => {
            listen.check()?;
            serving::serve_data(data, &listen, &law, warn_free).await
        }
        Command::Demo {
            data,
            listen,
            more_cases,
            fill_only,
        } => {
            listen.check()?;
            serving::start_demo(data, &listen, more_cases, fill_only).await
        }
        Command::Upgrade { yes, data } => upkeep::upgrade(yes, data).await,
        Command::Restore {
            reason,
            login,
            data,
        } => upkeep::restore(reason, login, data).await,
        Command::Clock {
            reason,
            login,
            data,
        } => upkeep::go_on_by_the_clock(reason, login, data).await,
        Command::WayBack {
            yes,
            login,
            reason,
            address,
            data,
        } => upkeep::way_back(yes, (&login, &reason), &address, data).await,
        Command::Backup { to, data } => copies::backup(&to, data).await,
        Command::Check { paper, tree, data } => copies::check(paper.as_deref(), tree, data).await,
        Command::Prove {
            case,
            out,
            paper,
            data,
        } => proof::write_proof(&case, &out, paper.as_deref(), data).await,
        Command::Verify { folder, key, paper } => {
            proof::verify(&folder, key.as_deref(), paper.as_deref())
        }
        Command::Slip {
            case,
            out,
            list,
            revision,
            paper,
            as_printed,
            data,
        } => {
            let paper = paper.as_deref();
            match list {
                true => slip::list(data).await,
                false => slip::write(case, out, revision, paper, as_printed, data).await,
            }
        }
    }
}

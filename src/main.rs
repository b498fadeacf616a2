//! Parses the command line, starts, serves, and stops cleanly.

use anyhow::{Context, Result};
use axum_server::Handle;
use axum_server::tls_rustls::RustlsConfig;
use clap::Parser;
use std::io::Write;
use std::net::SocketAddr;
use std::process::ExitCode;
use std::time::Duration;
use vestibule::app::{App, Settings, demo, manage};
use vestibule::cli::{self, Cli, Command, Listen};
use vestibule::clock::Outside;
use vestibule::domain::legal::Profiles;
use vestibule::store::Store;
use vestibule::web;

#[tokio::main]
async fn main() -> ExitCode {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_env_filter(
            tracing_subscriber::EnvFilter::try_from_default_env()
                .unwrap_or_else(|_| "info,sqlx=warn".into()),
        )
        .init();
    match run(Cli::parse().command).await {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // A terminal that is gone cannot be told.
            let _unheard = writeln!(std::io::stderr(), "vestibule: {error:#}");
            ExitCode::FAILURE
        }
    }
}

async fn run(command: Command) -> Result<()> {
    match command {
        Command::Setup { data, address } => setup(data, &address).await,
        Command::Serve { data, listen, law } => {
            listen.check()?;
            let profiles = law.read().map_err(anyhow::Error::msg)?;
            let store = open(&database(data)?).await?;
            serve(store, &listen, profiles, None).await
        }
        Command::Demo {
            data,
            listen,
            more_cases,
            fill_only,
        } => {
            listen.check()?;
            start_demo(data, &listen, more_cases, fill_only).await
        }
        Command::Slip {
            case,
            out,
            list,
            revision,
            paper,
            data,
        } => {
            let store = open(&database(data)?).await?;
            let app = app(store, "http://127.0.0.1".to_owned(), false, None);
            if list {
                return say(&vestibule::app::see_case::list_lines(&app).await?.join("\n"));
            }
            let (case, out) = (case.context("no case number")?, out.context("no --out")?);
            let bytes =
                vestibule::app::see_case::slip_for(&app, &case, revision, paper.as_deref()).await?;
            std::fs::write(&out, bytes).with_context(|| format!("cannot write {}", out.display()))
        }
    }
}

fn say(text: &str) -> Result<()> {
    writeln!(std::io::stdout(), "{text}").context("cannot write to the terminal")
}

/// The database address; the folder is made if it is not there, readable by its owner only.
fn database(data: cli::Data) -> Result<String> {
    match data.database {
        Some(address) => Ok(address),
        None => database_folder(&data.data),
    }
}

fn database_folder(folder: &std::path::Path) -> Result<String> {
    use std::os::unix::fs::DirBuilderExt;
    std::fs::DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    Ok(cli::database_in(folder))
}

async fn open(address: &str) -> Result<Store> {
    Store::open(address)
        .await
        .context("cannot open the database")
}

fn app(store: Store, address: String, over_tls: bool, notice: Option<String>) -> App {
    App::new(
        store,
        Outside::system(),
        Settings {
            over_tls,
            address,
            notice,
        },
    )
}

async fn setup(data: cli::Data, address: &str) -> Result<()> {
    cli::check_address(address)?;
    let store = open(&database(data)?).await?;
    let app = app(store, address.trim_end_matches('/').to_owned(), false, None);
    let path = manage::first_link(&app).await?;
    say(&format!(
        "Open this link in a browser within two days. It makes the first administrator, and works once:\n{}{path}\n\
         Then run `vestibule serve` with the same database.",
        app.settings.address
    ))
}

async fn start_demo(
    data: cli::DemoData,
    listen: &Listen,
    more_cases: u32,
    fill_only: bool,
) -> Result<()> {
    let address = match (data.database, data.data) {
        (Some(address), _) => address,
        (None, Some(folder)) => database_folder(&folder)?,
        (None, None) => database_folder(
            &std::env::temp_dir().join(format!("vestibule-demo-{}", std::process::id())),
        )?,
    };
    let store = open(&address).await?;
    let app = app(
        store.clone(),
        listen.public_address(listen.listen),
        listen.over_tls(),
        None,
    );
    let accounts = demo::fill(&app, more_cases).await?;
    say("Demo accounts, with passwords made for this run:")?;
    for account in accounts {
        say(&format!(
            "  {:<14} {}   {}",
            account.login, account.password, account.what
        ))?;
    }
    if fill_only {
        return Ok(());
    }
    serve(
        store,
        listen,
        Profiles::built_in(),
        Some("Demonstration: people, cases, shades and moulds here are invented.".to_owned()),
    )
    .await
}

async fn serve(
    store: Store,
    listen: &Listen,
    profiles: Profiles,
    notice: Option<String>,
) -> Result<()> {
    let listener = std::net::TcpListener::bind(listen.listen)
        .with_context(|| format!("cannot listen on {}", listen.listen))?;
    listener.set_nonblocking(true)?;
    let bound = listener.local_addr()?;
    let address = listen.public_address(bound);
    let app = app(store.clone(), address.clone(), listen.over_tls(), notice);
    let router = web::router(app.with_profiles(profiles));
    say(&format!("Vestibule answers at {address}"))?;
    let handle = Handle::new();
    tokio::spawn(stop_on_signal(handle.clone()));
    let service = router.into_make_service();
    match (&listen.tls_cert, &listen.tls_key) {
        (Some(cert), Some(key)) => {
            let tls = RustlsConfig::from_pem_file(cert, key)
                .await
                .context("cannot read the TLS certificate or key")?;
            axum_server::from_tcp_rustls(listener, tls)?
                .handle(handle)
                .serve(service)
                .await?;
        }
        _ => {
            axum_server::from_tcp(listener)?
                .handle(handle)
                .serve(service)
                .await?
        }
    }
    store.close().await;
    Ok(())
}

/// Ends on Ctrl-C or SIGTERM: requests under way get ten seconds.
async fn stop_on_signal(handle: Handle<SocketAddr>) {
    use tokio::signal::unix::{SignalKind, signal};
    let Ok(mut terminate) = signal(SignalKind::terminate()) else {
        return;
    };
    tokio::select! {
        _ = terminate.recv() => {}
        _ = tokio::signal::ctrl_c() => {}
    }
    handle.graceful_shutdown(Some(Duration::from_secs(10)));
}

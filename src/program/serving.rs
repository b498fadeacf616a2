//! Serves, until it is told to stop.

use super::place::{app, open, open_comparing, refuse_without_upgrade};
use super::terminal::say;
use crate::app::{
    App, clock_doubt, counted, demo, laid, look_through, manage, pictures, redraw, resume, watching,
};
use crate::cli::{self, Listen};
use crate::domain::law::profile::Profiles;
use crate::store::{Compare, Store};
use crate::web;
use anyhow::{Context, Result};
use axum_server::Handle;
use std::net::SocketAddr;
use std::time::Duration;

/// Fills a database with the cases of the demonstration, and serves it unless it was only to be filled.
pub async fn start_demo(
    data: cli::DemoData,
    listen: &Listen,
    more_cases: u32,
    fill_only: bool,
) -> Result<()> {
    let folder = data.data.unwrap_or_else(|| {
        std::env::temp_dir().join(format!("vestibule-demo-{}", std::process::id()))
    });
    let store = open(cli::Data {
        data: folder,
        named: data.named,
    })
    .await?;
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
        store.close().await;
        return Ok(());
    }
    let notice = "Demonstration: people, cases, shades and moulds here are invented.";
    let options = ServeOptions {
        profiles: Profiles::built_in(),
        notice: Some(notice.to_owned()),
        warn_free: cli::WARN_FREE_MB,
    };
    serve(store, listen, options).await
}

/// Serves what lies there, under these laws.
pub async fn serve_data(
    data: cli::Data,
    listen: &Listen,
    law: &cli::Law,
    warn_free: u64,
) -> Result<()> {
    let options = ServeOptions {
        profiles: law.read().map_err(anyhow::Error::msg)?,
        notice: None,
        warn_free,
    };
    let store = open_comparing(data, Compare::Beside).await?;
    serve(store, listen, options).await
}

/// What a server was told at its start, beside where to listen.
struct ServeOptions {
    profiles: Profiles,
    notice: Option<String>,
    warn_free: u64,
}

/// Entries that are dated ahead of the clock, said at a start: later, somebody finds out with a patient in the chair.
async fn warn_of_the_clock(app: &App) -> Result<()> {
    clock_doubt::ahead(app, &mut *app.store.read_at_once().await?).await?;
    Ok(())
}

/// A folder of pictures and scans that is not there, said at a start: later, somebody finds out who needs a picture.
async fn warn_of_the_folder(app: &App) -> Result<()> {
    let mut conn = app.store.read().await?;
    if let Some(folder) = app.store.shelf().missing(&mut conn).await? {
        tracing::warn!("{}", pictures::missing_words(&folder));
    }
    Ok(())
}

/// Sets right what was left half done, and serves until it is told to stop.
async fn serve(store: Store, listen: &Listen, options: ServeOptions) -> Result<()> {
    let listener = std::net::TcpListener::bind(listen.listen)
        .with_context(|| format!("cannot listen on {}", listen.listen))?;
    listener.set_nonblocking(true)?;
    let bound = listener.local_addr()?;
    let address = listen.public_address(bound);
    let app = app(
        store.clone(),
        address.clone(),
        listen.over_tls(),
        options.notice,
    );
    refuse_without_upgrade(&app).await?;
    resume::open_again(&app).await?;
    redraw::redraw(&app).await?;
    pictures::take_away(&app).await?;
    laid::sweep(&app).await?;
    warn_of_the_clock(&app).await?;
    warn_of_the_folder(&app).await?;
    counted::look(&app).await?;
    let app = app.with_profiles(options.profiles);
    let app = app.with_free_warning(options.warn_free);
    let proxies = listen.proxies();
    let router = web::router_behind(app.clone(), proxies.clone());
    say(&format!("Vestibule answers at {address}"))?;
    if manage::is_empty(&app).await? {
        say(
            "Nobody has an account here yet: open the link that `vestibule setup` has printed, under this address.",
        )?;
    }
    let (caps, fewer) = listen.caps();
    for warning in fewer.into_iter().chain(warnings(&proxies)) {
        tracing::warn!("{warning}");
    }
    let handle = Handle::new();
    let outside = app.outside.clone();
    tokio::spawn(look_through::keep_looking(
        app.clone(),
        look_through::Pace::default(),
    ));
    tokio::spawn(stop_on_signal(app, handle.clone()));
    let how = web::Listening {
        caps,
        proxies,
        outside,
        tls: listen.tls(),
    };
    web::serve(listener, router, how, handle)
        .await
        .context("cannot serve: is it the TLS certificate or key?")?;
    store.close().await;
    Ok(())
}

/// What an operator may not know of how this program was started.
fn warnings(proxies: &web::Proxies) -> Vec<String> {
    let mut said = Vec::new();
    if rustix::process::geteuid().is_root() {
        said.push(
            "This runs as root: whoever breaks into it has the whole machine. Run it as a user of its own.".to_owned(),
        );
    }
    if std::env::args().any(|word| cli::names_a_password(&word)) {
        said.push(
            "A password stands on the command line, where everybody on this machine can read it: give the address in \
             the environment variable VESTIBULE_DATABASE instead."
                .to_owned(),
        );
    }
    if proxies.is_hidden {
        said.push(
            "No proxy is named, so nobody's address is known and no limit of one address holds: say --proxy ADDRESS."
                .to_owned(),
        );
    }
    said
}

/// Ends on Ctrl-C or SIGTERM: requests under way get ten seconds.
async fn stop_on_signal(app: App, handle: Handle<SocketAddr>) {
    use tokio::signal::unix::{SignalKind, signal};
    let Ok(mut terminate) = signal(SignalKind::terminate()) else {
        return;
    };
    tokio::select! {
        _ = terminate.recv() => {}
        _ = tokio::signal::ctrl_c() => {}
    }
    watching::end(&app);
    handle.graceful_shutdown(Some(Duration::from_secs(10)));
}

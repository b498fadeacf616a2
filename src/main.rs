//! Parses the command line, starts, serves, and stops cleanly.

use anyhow::{Context, Result, bail};
use axum_server::Handle;
use clap::Parser;
use std::io::{IsTerminal, Write};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::filter::{FilterExt, filter_fn};
use tracing_subscriber::layer::{Layer, SubscriberExt};
use tracing_subscriber::util::SubscriberInitExt;
use vestibule::app::back_up::{self, Copied};
use vestibule::app::security::SECURITY;
use vestibule::app::watching;
use vestibule::app::{
    App, AppError, Settings, clock_doubt, demo, examine, let_in, manage, prove, redraw, resume,
};
use vestibule::cli::{self, Cli, Command, Listen};
use vestibule::clock::{self, Outside};
use vestibule::domain::law::profile::Profiles;
use vestibule::domain::values::moment::Moment;
use vestibule::keyring;
use vestibule::record::bundle::{self, Verdict};
use vestibule::record::key::{Signer, Verifier};
use vestibule::record::words::{PaperRoot, printed};
use vestibule::store::{LastSigned, Store};
use vestibule::web;

/// Many short texts and a few large blocks on many threads: the allocator of the C library keeps what it has
/// once taken, six times as much as this one.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[tokio::main]
async fn main() -> ExitCode {
    // Whatever is written here is about patients, or signs for them: nobody else on this machine reads it.
    rustix::process::umask(rustix::fs::Mode::RWXG | rustix::fs::Mode::RWXO);
    begin_log();
    match run(Cli::parse().command).await {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // A terminal that is gone cannot be told.
            let _unheard = writeln!(std::io::stderr(), "vestibule: {error:#}");
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
            setup(data, &listen).await
        }
        Command::Serve {
            data,
            listen,
            law,
            warn_free,
        } => {
            listen.check()?;
            let told = Told {
                profiles: law.read().map_err(anyhow::Error::msg)?,
                notice: None,
                warn_free,
            };
            serve(open(data).await?, &listen, told).await
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
        Command::Upgrade { yes, data } => upgrade(yes, data).await,
        Command::Restore {
            reason,
            login,
            data,
        } => restore(reason, login, data).await,
        Command::Clock {
            reason,
            login,
            data,
        } => go_on_by_the_clock(reason, login, data).await,
        Command::WayBack {
            yes,
            login,
            reason,
            address,
            data,
        } => way_back(yes, (&login, &reason), &address, data).await,
        Command::Backup { to, data } => backup(&to, data).await,
        Command::Check { paper, tree, data } => check(paper.as_deref(), tree, data).await,
        Command::Prove {
            case,
            out,
            paper,
            data,
        } => prove(&case, &out, paper.as_deref(), data).await,
        Command::Verify { folder, key, paper } => verify(&folder, key.as_deref(), paper.as_deref()),
        Command::Slip {
            case,
            out,
            list,
            revision,
            paper,
            data,
        } => {
            let store = open(data).await?;
            let app = at_home(store);
            refuse_without_upgrade(&app).await?;
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

/// A size and root as typed.
fn paper_root(typed: Option<&str>) -> Result<Option<PaperRoot>> {
    Ok(typed.map(PaperRoot::parse).transpose()?)
}

/// Where a database and its key lie.
struct Place {
    address: String,
    key_file: PathBuf,
    last: LastSigned,
}

impl Place {
    fn of(data: cli::Data) -> Place {
        let key_file = data.key.unwrap_or_else(|| data.data.join(cli::KEY_FILE));
        Place {
            address: data
                .database
                .unwrap_or_else(|| cli::database_in(&data.data)),
            last: LastSigned::beside(&key_file),
            key_file,
        }
    }

    /// The key, which has to be there.
    fn key(&self) -> Result<Signer> {
        keyring::read(&self.key_file)
            .with_context(|| format!("with the key file {}", self.key_file.display()))?
            .with_context(|| format!("there is no key file {}", self.key_file.display()))
    }
}

/// For whoever sits at the machine itself, where its clock is looked at.
fn at_home(store: Store) -> App {
    let app = app(store, "http://127.0.0.1".to_owned(), false, None);
    clock_doubt::trust(&app);
    app
}

/// The database as it is, for looking at it.
async fn look_at(data: cli::Data) -> Result<App> {
    let place = Place::of(data);
    let store = Store::look_at(&place.address, place.key()?, Some(place.last))
        .await
        .context("cannot open the database")?;
    Ok(at_home(store))
}

/// Rows of an earlier version become entries only where somebody asks for it: what is not in the record may also
/// have been put in by somebody else.
async fn refuse_without_upgrade(app: &App) -> Result<()> {
    if resume::wants_upgrade(app).await? {
        bail!(
            "this database is of an earlier version: it holds rows that are not in the record. Make a backup of it, \
             then take them in with `vestibule upgrade`"
        );
    }
    Ok(())
}

async fn upgrade(yes: bool, data: cli::Data) -> Result<()> {
    let place = Place::of(data);
    let key = place.key()?;
    if let Some((_, signed)) = place.last.read(key.verifier())? {
        bail!(
            "nothing is to be taken in: {} says that this key has signed {} entries",
            place.last.path().display(),
            signed.size
        );
    }
    if !yes {
        return say(&format!(
            "This would bring the tables in the database up to date, enter in the record what an earlier version has \
             not, and begin {}. Make a backup of the database first, look at it with `vestibule check`, then say \
             `vestibule upgrade --yes`.",
            place.last.path().display()
        ));
    }
    let store = Store::open(&place.address, key)
        .await
        .context("cannot open the database")?;
    let app = at_home(store);
    let (before, after) = resume::upgrade(&app, &place.last).await?;
    app.store.close().await;
    say(&format!(
        "Taken in: the record had {before} entries, and has {after}. Keep {} with the key.",
        place.last.path().display()
    ))
}

async fn restore(reason: String, login: String, data: cli::Data) -> Result<()> {
    let place = Place::of(data);
    let looked = Store::look_at(&place.address, place.key()?, Some(place.last.clone()))
        .await
        .context("cannot open the database")?;
    let lack = looked.lack().await?;
    looked.close().await;
    let Some(lack) = lack else {
        bail!("nothing is to be restored: the database holds all that its key has signed");
    };
    if !lack.may_be_restored() {
        bail!("{lack}");
    }
    let asked = resume::Restore {
        login,
        password: password()?,
        reason,
    };
    let store = Store::open(&place.address, place.key()?)
        .await
        .context("cannot open the database")?;
    let app = at_home(store);
    let done = resume::restore(&app, &lack, &place.last, &asked).await;
    app.store.close().await;
    done.map_err(in_words)?;
    say(&format!(
        "Gone on with the database as it is. It is entered in the record, and everybody sees the alarm until an \
         administrator clears it. What was wrong: {lack}"
    ))
}

async fn go_on_by_the_clock(reason: String, login: String, data: cli::Data) -> Result<()> {
    let place = Place::of(data);
    place.key()?;
    let app = at_home(open_at(&place).await?);
    let asked = resume::Restore {
        login,
        password: password()?,
        reason,
    };
    let done = resume::go_on_by_the_clock(&app, &asked).await;
    app.store.close().await;
    let newest = Moment::new(done.map_err(in_words)?, 0);
    say(&format!(
        "Entered in the record: what is dated up to {newest} was dated by a clock that was ahead. It stays as it is, and \
         the work goes on by the clock of now."
    ))
}

async fn backup(to: &std::path::Path, data: cli::Data) -> Result<()> {
    if data
        .database
        .as_ref()
        .is_some_and(|address| !address.starts_with("sqlite:"))
    {
        bail!("{}", on_server(to));
    }
    let place = Place::of(data);
    let store = Store::look_at(&place.address, place.key()?, Some(place.last.clone()))
        .await
        .context("cannot open the database")?;
    let app = at_home(store);
    let copied = back_up::back_up(&app, to).await?;
    app.store.close().await;
    match copied {
        Copied::Faulty { examined, left } => {
            for fault in &examined.faults {
                say(&format!("wrong: {}", fault.sentence))?;
            }
            bail!(
                "the copy was looked through and is not in order, and so most likely is the database: see `vestibule \
                 check`. The copy is left as {}",
                left.display()
            )
        }
        Copied::Whole {
            examined,
            bytes,
            sha256,
        } => {
            let root = examined.root.as_ref().map(printed).unwrap_or_default();
            say(&format!(
                "Copied and looked through: {} leaves, {} cases, {bytes} bytes. Everything fits.\n{}:{root}\n\
                 {sha256}  {}\n{}",
                examined.leaves,
                examined.cases,
                examined.leaves,
                to.display(),
                kept_with_a_backup(&place)
            ))
        }
    }
}

/// What a copy of the database does not have in it, and what becomes of that.
fn kept_with_a_backup(place: &Place) -> String {
    format!(
        "The key is not in it. Without the key no copy can be opened: keep a copy of {} in another place than the \
         backups, where nobody else reads it. It is secret: whoever has it signs in the name of this record.\n\
         {} is not in it either. Leave it where it is. After a loss, put the backup back beside the newest one that is \
         left; if none is left, put none there. Either way an administrator goes on with `vestibule restore`.",
        place.key_file.display(),
        place.last.path().display()
    )
}

/// How a server's database is backed up, by its own tools.
fn on_server(to: &std::path::Path) -> String {
    let file = to.display();
    format!(
        "a PostgreSQL database is copied by its own tools, and nothing was written. With its address in \
         VESTIBULE_DATABASE, and in COPY that of an empty database to try the copy in:\n\
         \x20 pg_dump --format=custom --file='{file}' \"$VESTIBULE_DATABASE\"\n\
         \x20 pg_restore --exit-on-error --no-owner --dbname=\"$COPY\" '{file}'\n\
         \x20 vestibule check --database \"$COPY\" --key record.key\n\
         \x20 sha256sum '{file}'\n\
         The dump may be made while the program serves. The check of the copy names what was signed after the dump \
         as missing, and nothing else. The key is not in the dump: keep a copy of it in another place. It is secret"
    )
}

/// What stands beside a field of a page is a sentence of its own at the terminal.
fn in_words(error: AppError) -> anyhow::Error {
    match error {
        AppError::Invalid(faults) => {
            let sentences = faults.into_iter().map(|fault| fault.message);
            anyhow::Error::msg(sentences.collect::<Vec<_>>().join(" "))
        }
        other => other.into(),
    }
}

/// A password, typed unseen at a terminal, or the first line of standard input.
fn password() -> Result<String> {
    if std::io::stdin().is_terminal() {
        return rpassword::prompt_password("Password: ").context("cannot read the password");
    }
    let mut line = String::new();
    std::io::stdin()
        .read_line(&mut line)
        .context("cannot read the password")?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

async fn check(paper: Option<&str>, tree: bool, data: cli::Data) -> Result<()> {
    let paper = paper_root(paper)?;
    let app = look_at(data).await?;
    let examined = if tree {
        examine::examine_tree(&app, paper.as_ref()).await?
    } else {
        examine::examine(&app, paper.as_ref()).await?
    };
    let of_rows = format!(
        ", {} cases, {} events, {} rows beside them, {} erased texts",
        examined.cases, examined.events, examined.beside, examined.erased
    );
    say(&format!(
        "{} leaves{}, {} kept checkpoints; key {}",
        examined.leaves,
        if tree { "" } else { &of_rows },
        examined.witnessed,
        app.store.key()
    ))?;
    if let Some(root) = &examined.root {
        say(&format!("{}:{}", examined.leaves, printed(root)))?;
    }
    if let Some(sentence) = &examined.paper {
        say(sentence)?;
    }
    for fault in &examined.faults {
        say(&format!("wrong: {}", fault.sentence))?;
    }
    match examined.first() {
        None if tree => say(
            "The leaves, their tree and its root fit. What the leaves stand for was not looked at.",
        ),
        None => say("Everything fits."),
        Some(first) => match first.leaf {
            Some(leaf) => bail!("the first wrong leaf is {leaf}: {}", first.sentence),
            None => bail!("{}", first.sentence),
        },
    }
}

async fn prove(
    case: &str,
    out: &std::path::Path,
    paper: Option<&str>,
    data: cli::Data,
) -> Result<()> {
    let paper = paper_root(paper)?;
    let app = look_at(data).await?;
    let case = vestibule::app::see_case::case_named(&app, case).await?;
    let files = prove::bundle(&app, &case, paper.as_ref()).await?;
    std::fs::create_dir(out)
        .with_context(|| format!("cannot make the folder {}", out.display()))?;
    for (name, bytes) in &files {
        std::fs::write(out.join(name), bytes).with_context(|| format!("cannot write {name}"))?;
    }
    say(&format!(
        "{} files in {}. Check them with: vestibule verify {} --key '{}'",
        files.len(),
        out.display(),
        out.display(),
        app.store.key()
    ))
}

fn verify(folder: &std::path::Path, vkey: Option<&str>, paper: Option<&str>) -> Result<()> {
    let paper = paper_root(paper)?;
    let key = vkey.map(Verifier::parse).transpose()?;
    let mut files = bundle::Files::new();
    let entries = std::fs::read_dir(folder)
        .with_context(|| format!("cannot read the folder {}", folder.display()))?;
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        files.insert(name, std::fs::read(entry.path())?);
    }
    let report = bundle::verify(&files, key.as_ref(), paper.as_ref());
    for line in &report.lines {
        let mark = match line.verdict {
            Verdict::Fits => "fits ",
            Verdict::Fault => "WRONG",
            Verdict::NotChecked => "-    ",
        };
        say(&format!("{mark} {}: {}", line.file, line.sentence))?;
    }
    match report.first_fault() {
        None => say("Everything fits."),
        Some(line) => bail!("{}: {}", line.file, line.sentence),
    }
}

fn say(text: &str) -> Result<()> {
    writeln!(std::io::stdout(), "{text}").context("cannot write to the terminal")
}

/// The database that is meant, opened. The folder is made if it is not there, readable by its owner only.
async fn open(data: cli::Data) -> Result<Store> {
    if data.database.is_none() {
        make_folder(&data.data)?;
    }
    open_at(&Place::of(data)).await
}

fn make_folder(folder: &std::path::Path) -> Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    std::fs::DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))
}

/// A key is made with the first use of a database, and only then.
async fn open_at(place: &Place) -> Result<Store> {
    let doing = || format!("with the key file {}", place.key_file.display());
    if let Some(key) = keyring::read(&place.key_file).with_context(doing)? {
        let store = Store::open_signed(&place.address, key, place.last.clone()).await;
        return store.context("cannot open the database");
    }
    if place.last.path().exists() && !place.last.is_untouched() {
        bail!(
            "cannot open the database without its key file {}: put it back. {} says that a key was here",
            place.key_file.display(),
            place.last.path().display()
        );
    }
    let made = keyring::new_key(&Outside::system())?;
    // Whether another key has signed here is said before this one is written.
    let unsigned = Store::open(&place.address, made.key.clone())
        .await
        .with_context(|| {
            format!(
                "cannot open the database without its key file {}",
                place.key_file.display()
            )
        })?;
    unsigned.close().await;
    if let Some(folder) = place
        .key_file
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        std::fs::create_dir_all(folder).with_context(doing)?;
    }
    // In this order: a key without the file would be asked for it for ever.
    place.last.begin(&made.key).with_context(doing)?;
    made.write(&place.key_file).with_context(doing)?;
    let store = Store::open_signed(&place.address, made.key, place.last.clone()).await;
    store.context("cannot open the database")
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

/// Takes what `serve` takes, so that the link is the one under which it will answer.
async fn setup(data: cli::Data, listen: &Listen) -> Result<()> {
    let store = open(data).await?;
    let app = app(store, listen.public_address(listen.listen), false, None);
    let path = manage::first_link(&app).await?;
    say(&format!(
        "1. Serve it: {}\n2. Open this link in a browser within two days. It makes the first administrator, and works \
         once:\n{}{path}",
        serve_words(),
        app.settings.address
    ))
}

/// The command that serves what this one has set up: the same words, but for those that name a password.
fn serve_words() -> String {
    let words: Vec<String> = std::env::args().collect();
    if words
        .iter()
        .any(|word| cli::names_a_password(word) || word.contains(char::is_whitespace))
    {
        return "`vestibule serve` with the same options".to_owned();
    }
    let words = words.iter().map(|word| match word.as_str() {
        "setup" => "serve",
        word => word,
    });
    words.collect::<Vec<_>>().join(" ")
}

async fn way_back(
    yes: bool,
    (login, reason): (&str, &str),
    address: &str,
    data: cli::Data,
) -> Result<()> {
    cli::check_address(address)?;
    let place = Place::of(data);
    place.key()?;
    if !yes {
        return say(&format!(
            "This would make void what links for a new password {login} has, and make one by which whoever opens it \
             chooses the password of {login} and is an administrator. It is entered in the record with its reason, and \
             every administrator is told. If another administrator can sign in, let him or her make the link instead: \
             on the page of people. Otherwise say --yes."
        ));
    }
    let app = app(
        open_at(&place).await?,
        address.trim_end_matches('/').to_owned(),
        false,
        None,
    );
    clock_doubt::trust(&app);
    refuse_without_upgrade(&app).await?;
    let done = let_in::way_back_at_the_machine(&app, login, reason).await;
    app.store.close().await;
    let path = done.map_err(in_words)?;
    say(&format!(
        "Open this link in a browser within two days. {login} chooses a new password by it, and it works once:\n{}{path}\n\
         It is entered in the record, and every administrator is told.",
        app.settings.address
    ))
}

async fn start_demo(
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
        database: data.database,
        key: data.key,
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
    let told = Told {
        profiles: Profiles::built_in(),
        notice: Some(notice.to_owned()),
        warn_free: cli::WARN_FREE_MB,
    };
    serve(store, listen, told).await
}

/// What a server was told at its start, beside where to listen.
struct Told {
    profiles: Profiles,
    notice: Option<String>,
    warn_free: u64,
}

/// Entries that are dated ahead of the clock, said at a start: later, somebody finds out with a patient in the chair.
async fn warn_of_the_clock(app: &App) -> Result<()> {
    let mut conn = app.store.read().await?;
    if let Some(newest) = clock_doubt::ahead(app, &mut conn).await? {
        tracing::warn!("{}", clock_doubt::words_ahead(app, newest));
    }
    Ok(())
}

async fn serve(store: Store, listen: &Listen, told: Told) -> Result<()> {
    let listener = std::net::TcpListener::bind(listen.listen)
        .with_context(|| format!("cannot listen on {}", listen.listen))?;
    listener.set_nonblocking(true)?;
    let bound = listener.local_addr()?;
    let address = listen.public_address(bound);
    let app = app(
        store.clone(),
        address.clone(),
        listen.over_tls(),
        told.notice,
    );
    refuse_without_upgrade(&app).await?;
    redraw::redraw(&app).await?;
    warn_of_the_clock(&app).await?;
    let app = app.with_profiles(told.profiles);
    let app = app.with_free_warning(told.warn_free);
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
    tokio::spawn(stop_on_signal(app, handle.clone()));
    let how = web::Listening {
        caps,
        proxies,
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

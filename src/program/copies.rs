//! A copy of the database, and whether one is in order.

use super::place::{DataPlace, at_home, open_read_only};
use super::terminal::{paper_root, say};
use crate::app::back_up::{self, Copied};
use crate::app::examine::{self, Examined};
use crate::cli;
use crate::record::words::printed;
use crate::store::Store;
use anyhow::{Context, Result, bail};

/// Copies a database that is a file, looks the copy through, and says what it holds.
pub async fn backup(to: &std::path::Path, data: cli::Data) -> Result<()> {
    let address = data.named.database.as_ref();
    if address.is_some_and(|address| !address.starts_with("sqlite:")) {
        bail!("{}", on_server(to));
    }
    let place = DataPlace::of(data);
    place.refuse_own_name(to)?;
    let store = Store::open_read_only(&place.address, place.key()?, Some(place.last.clone()))
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
            notes(&examined)?;
            if place.lies_beside(to) {
                say(
                    "note: the copy lies among the files of the installation, and is lost with them: move it, with what \
                     belongs to it, to another disk.",
                )?;
            }
            say(&format!(
                "Copied and looked through: {} leaves, {} cases, {} pictures, {} scans, {bytes} bytes. Everything fits.\n{}:{root}\n\
                 {sha256}  {}\n{}",
                examined.leaves,
                examined.cases,
                examined.pictures,
                examined.scans,
                examined.leaves,
                to.display(),
                kept_with_a_backup(&place)
            ))
        }
    }
}

/// What is no fault, and has to be known.
fn notes(examined: &Examined) -> Result<()> {
    for remark in &examined.remarks {
        say(&format!("note: {remark}."))?;
    }
    Ok(())
}

/// What a copy of the database does not have in it, and what becomes of that.
fn kept_with_a_backup(place: &DataPlace) -> String {
    let last = place.last.path().display();
    let beside = match place.last.path().exists() {
        true => format!(
            "{last} is not in it either. Leave it where it is. After a loss, put the backup back beside the newest one \
             that is left; if none is left, put none there. Either way an administrator goes on with `vestibule restore`."
        ),
        false => format!(
            "There is no {last}. Look for it: the program starts only with it, or after `vestibule restore`."
        ),
    };
    format!(
        "Its pictures and scans, if there are any, lie in the folder beside it of the same name with .pictures at its end: the two \
         belong together.\n\
         The key is not in it. Without the key no copy can be opened: keep a copy of {} in another place than the \
         backups, where nobody else reads it. It is secret: whoever has it signs in the name of this record.\n{beside}",
        place.key_file.display()
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

const OF_AN_EARLIER_VERSION: &str = "note: this database is of an earlier version, and is looked at as it is. The next start brings its tables up to \
     date, after `vestibule upgrade` where it asks for that: what is said of the tables below may be nothing else.";

/// Looks a database through, and says what is wrong with it.
pub async fn check(paper: Option<&str>, tree: bool, data: cli::Data) -> Result<()> {
    let paper = paper_root(paper)?;
    let app = open_read_only(data).await?;
    let mut conn = app.store.read().await?;
    // What cannot be asked is named below.
    let is_of_now = app.store.is_of_now(&mut conn).await.unwrap_or(true);
    drop(conn);
    if !is_of_now {
        say(OF_AN_EARLIER_VERSION)?;
    }
    let examined = if tree {
        examine::examine_tree(&app, paper.as_ref()).await?
    } else {
        examine::examine(&app, paper.as_ref()).await?
    };
    let of_rows = format!(
        ", {} cases, {} events, {} rows beside them, {} erased texts, {} pictures, {} scans",
        examined.cases,
        examined.events,
        examined.beside,
        examined.erased,
        examined.pictures,
        examined.scans
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
    notes(&examined)?;
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

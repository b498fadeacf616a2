//! The commands of whoever runs the program: the first link, an earlier version's rows, going on after a loss.

use super::place::{DataPlace, app, at_home, open, open_at, refuse_without_upgrade};
use super::terminal::{in_words, password, say};
use crate::app::resume::{self, BeforeUpgrade};
use crate::app::{clock_doubt, let_in, manage};
use crate::cli::{self, Listen};
use crate::domain::values::moment::Moment;
use crate::store::Store;
use anyhow::{Context, Result, bail};

/// Enters in the record what an earlier version kept outside of it.
pub async fn upgrade(yes: bool, data: cli::Data) -> Result<()> {
    let place = DataPlace::of(data);
    let key = place.key()?;
    if let Some((_, signed)) = place.last.read(key.verifier())? {
        bail!(
            "nothing is to be taken in: {} says that this key has signed {} entries",
            place.last.path().display(),
            signed.size
        );
    }
    // An older copy of the same version would else be entered in a record without anybody's password.
    let before = match Store::open_read_only(&place.address, place.key()?, None).await {
        Ok(opened) => {
            let before = BeforeUpgrade::of(&opened).await;
            opened.close().await;
            before.map_err(in_words)?
        }
        Err(_) => BeforeUpgrade::default(),
    };
    if before.is_backfilled {
        bail!(
            "nothing is to be taken in: the rows of this database are in its record already, and {} is not there. \
             Put that file back. If it is lost, an administrator can go on with `vestibule restore`, which is entered \
             in the record and raises an alarm",
            place.last.path().display()
        );
    }
    if before.was_emptied {
        bail!(
            "nothing is taken in: {} in this database would be signed now, and its tables are those of this version, which \
             enters whatever it writes in the record. No earlier version leaves that: somebody has emptied the record. Put \
             the database back as it was, or a backup of it, with its {}",
            before.words(),
            place.last.path().display()
        );
    }
    if !yes {
        return say(&format!(
            "This would bring the tables in the database up to date, enter in the record what an earlier version has \
             not, and begin {}. It would sign now what stands in {}: look whether that is what you expect. Make a backup \
             of the database first, look at it with `vestibule check`, then say `vestibule upgrade --yes`.",
            place.last.path().display(),
            before.words()
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

/// Goes on with a database that is older than what was signed, by an administrator’s word.
pub async fn restore(reason: String, login: String, data: cli::Data) -> Result<()> {
    let place = DataPlace::of(data);
    let opened = Store::open_read_only(&place.address, place.key()?, Some(place.last.clone()))
        .await
        .context("cannot open the database")?;
    let lack = opened.lack().await?;
    let damaged = opened.damage(&mut *opened.read().await?).await?;
    opened.close().await;
    if damaged > 0 {
        bail!(
            "the database file is damaged (places found wrong: {damaged}). Nothing is gone on with it: put a backup of it back beside {}, and \
             then say `vestibule restore`",
            place.last.path().display()
        );
    }
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

/// Goes on where the clock was in doubt, by an administrator’s word that it is right now.
pub async fn go_on_by_the_clock(reason: String, login: String, data: cli::Data) -> Result<()> {
    let place = DataPlace::of(data);
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

/// Takes what `serve` takes, so that the link is the one under which it will answer.
pub async fn setup(data: cli::Data, listen: &Listen) -> Result<()> {
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

/// Makes the link by which an administrator chooses a new password; without a yes, says only what that would do.
pub async fn way_back(
    yes: bool,
    (login, reason): (&str, &str),
    address: &str,
    data: cli::Data,
) -> Result<()> {
    cli::check_address(address)?;
    let place = DataPlace::of(data);
    let key = place.key()?;
    if !yes {
        let store = Store::open_read_only(&place.address, key, Some(place.last.clone()))
            .await
            .context("cannot open the database")?;
        let looking = at_home(store);
        let found = let_in::administrator_named(&looking, login).await;
        looking.store.close().await;
        found.map_err(in_words)?;
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

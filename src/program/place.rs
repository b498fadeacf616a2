//! Where a database, its key and the newest signed state lie, and how they are opened.

use crate::app::{App, Settings, clock_doubt, resume};
use crate::cli;
use crate::clock::Outside;
use crate::keyring;
use crate::record::key::Signer;
use crate::store::ended_file::EndedFile;
use crate::store::{Compare, LastSigned, Store, file_of};
use anyhow::{Context, Result, bail};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// Where a database and its key lie.
pub struct DataPlace {
    pub address: String,
    pub key_file: PathBuf,
    pub last: LastSigned,
}

impl DataPlace {
    pub fn of(data: cli::Data) -> DataPlace {
        let named = data.named;
        let key_file = named.key.unwrap_or_else(|| data.data.join(cli::KEY_FILE));
        DataPlace {
            address: named
                .database
                .unwrap_or_else(|| cli::database_in(&data.data)),
            last: LastSigned::beside(&key_file),
            key_file,
        }
    }

    /// The key, which has to be there.
    pub fn key(&self) -> Result<Signer> {
        keyring::read(&self.key_file)
            .with_context(|| format!("with the key file {}", self.key_file.display()))?
            .with_context(|| format!("there is no key file {}", self.key_file.display()))
    }

    /// Whether a file would lie in the folder of the database or of the key.
    pub fn lies_beside(&self, path: &Path) -> bool {
        let own = [file_of(&self.address), Some(self.key_file.clone())];
        let mut own = own.iter().flatten().filter_map(|file| folder_of(file));
        folder_of(path).is_some_and(|wanted| own.any(|folder| folder == wanted))
    }

    /// Whether a name is one of the installation's own, whether such a file is there at the moment or not.
    fn is_own(&self, path: &Path) -> bool {
        let last = &self.last;
        let mut own = vec![
            self.key_file.clone(),
            last.path().to_owned(),
            last.new_path(),
        ];
        own.push(EndedFile::beside(last.path()).path().to_owned());
        own.extend(file_of(&self.address));
        let place = |file: &Path| (folder_of(file), file.file_name().map(OsStr::to_owned));
        let wanted = place(path);
        own.iter()
            .flat_map(|file| names_of(file))
            .any(|file| place(&file) == wanted)
    }

    /// Refuses to make a copy under a name that the installation would write over.
    ///
    /// # Errors
    /// With what to do.
    pub fn refuse_own_name(&self, copy: &Path) -> Result<()> {
        match names_of(copy).iter().any(|path| self.is_own(path)) {
            true => bail!(
                "{} is a name of the installation's own: give the copy another one",
                copy.display()
            ),
            false => Ok(()),
        }
    }
}

/// A file with all that is written beside it under its name: the log and the pictures of a database, and the same of a copy
/// of it that is not done.
fn names_of(file: &Path) -> Vec<PathBuf> {
    const BESIDE: [&str; 5] = ["", "-wal", "-shm", "-journal", ".pictures"];
    let undone = with_tail(file, ".part");
    let of = |file: &Path| BESIDE.map(|tail| with_tail(file, tail));
    [of(file), of(&undone)].concat()
}

fn with_tail(path: &Path, tail: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(tail);
    PathBuf::from(name)
}

/// The folder that a file lies in; none where there is no such folder.
fn folder_of(path: &Path) -> Option<PathBuf> {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new(".")).canonicalize().ok()
}

/// A file that is not there yet, and that is none of the installation's.
pub struct NewFile(PathBuf);

/// What is written into is never a file that is there, and nothing is written beside the database and the key.
pub fn new_file(path: PathBuf, data: &cli::Data) -> Result<NewFile> {
    let place = DataPlace::of(data.clone());
    if path.symlink_metadata().is_ok() {
        bail!(
            "{} is there already: name a file that is not there",
            path.display()
        );
    }
    let is_in_data = |folder: PathBuf| data.data.canonicalize().is_ok_and(|data| data == folder);
    if place.lies_beside(&path) || folder_of(&path).is_some_and(is_in_data) {
        bail!(
            "{} would lie among the files of the installation: name a file in another folder",
            path.display()
        );
    }
    Ok(NewFile(path))
}

impl NewFile {
    /// Writes it; whoever has made it meanwhile keeps his own.
    pub fn write(&self, bytes: &[u8]) -> Result<()> {
        use std::io::Write;
        let doing = || format!("cannot write {}", self.0.display());
        let mut file = std::fs::File::create_new(&self.0).with_context(doing)?;
        file.write_all(bytes).with_context(doing)
    }
}

/// For whoever sits at the machine itself, where its clock is looked at.
pub fn at_home(store: Store) -> App {
    let app = app(store, "http://127.0.0.1".to_owned(), false, None);
    clock_doubt::trust(&app);
    app
}

/// The database as it is, for looking at it.
pub async fn open_read_only(data: cli::Data) -> Result<App> {
    let place = DataPlace::of(data);
    let store = Store::open_read_only(&place.address, place.key()?, Some(place.last))
        .await
        .context("cannot open the database")?;
    Ok(at_home(store))
}

/// The database that is meant, opened. The folder is made if it is not there, readable by its owner only.
pub async fn open(data: cli::Data) -> Result<Store> {
    open_comparing(data, Compare::First).await
}

/// The same, saying when its leaves are compared with what they are found under.
pub async fn open_comparing(data: cli::Data, compare: Compare) -> Result<Store> {
    if data.named.database.is_none() {
        make_folder(&data.data)?;
    }
    open_place(&DataPlace::of(data), compare).await
}

fn make_folder(folder: &std::path::Path) -> Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    std::fs::DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))
}

/// The database that is meant, for reading what stands in it: nothing is written, so that a folder that can only be
/// read will do. One of an earlier version is opened as ever.
pub async fn open_to_read(data: cli::Data) -> Result<Store> {
    let place = DataPlace::of(data);
    if !place.key_file.exists() {
        bail!("there is no key file {}", place.key_file.display());
    }
    let opened = Store::open_to_read(&place.address, place.key()?, place.last.clone())
        .await
        .context("cannot open the database")?;
    match opened {
        Some(store) => Ok(store),
        None => open_at(&place).await,
    }
}

/// What others on this machine may do with the files, a sentence each: what is told about patients lies in them.
pub fn open_to_others(place: &DataPlace) -> Vec<String> {
    use std::os::unix::fs::PermissionsExt;
    let Some(file) = file_of(&place.address) else {
        return Vec::new();
    };
    let folder = file
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new(".")).to_owned();
    let mode = |path: &Path| std::fs::metadata(path).map_or(0, |found| found.permissions().mode());
    // A folder that others may not enter keeps them from what lies in it.
    let is_entered = mode(&folder) & 0o011 != 0;
    let mut said = Vec::new();
    let of_file = mode(&file) & 0o777;
    if of_file & 0o066 != 0 && is_entered {
        said.push(format!(
            "others on this machine may read or change {} (its mode is {of_file:o}): take that right from them with \
             `chmod 600`",
            file.display()
        ));
    }
    let of_folder = mode(&folder) & 0o1777;
    if of_folder & 0o022 != 0 {
        said.push(format!(
            "others on this machine may put files into {} and take them away (its mode is {of_folder:o}): take that \
             right from them with `chmod 700`",
            folder.display()
        ));
    }
    said
}

/// A key is made with the first use of a database, and only then.
pub async fn open_at(place: &DataPlace) -> Result<Store> {
    open_place(place, Compare::First).await
}

async fn open_place(place: &DataPlace, compare: Compare) -> Result<Store> {
    let open = |key| {
        let last = place.last.clone();
        Store::open_comparing(&place.address, key, last, compare)
    };
    let doing = || format!("with the key file {}", place.key_file.display());
    for warning in open_to_others(place) {
        tracing::warn!("{warning}");
    }
    if let Some(key) = keyring::read(&place.key_file).with_context(doing)? {
        return open(key).await.context("cannot open the database");
    }
    if place.last.path().exists() && !place.last.is_untouched() {
        bail!(
            "cannot open the database without its key file {}: put it back. {} says that a key was here",
            place.key_file.display(),
            place.last.path().display()
        );
    }
    let folder = place.key_file.parent();
    let folder = folder.filter(|folder| !folder.as_os_str().is_empty());
    if let Some(folder) = folder {
        std::fs::create_dir_all(folder).with_context(doing)?;
    }
    // Of two first starts at once, the second waits here, and finds the key that the first has made.
    let turn = std::fs::File::open(folder.unwrap_or(Path::new("."))).with_context(doing)?;
    turn.lock().with_context(doing)?;
    if let Some(key) = keyring::read(&place.key_file).with_context(doing)? {
        drop(turn);
        return open(key).await.context("cannot open the database");
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
    // In this order: a key without the file would be asked for it for ever.
    place.last.begin(&made.key).with_context(doing)?;
    made.write(&place.key_file).with_context(doing)?;
    drop(turn);
    open(made.key).await.context("cannot open the database")
}

/// The program over an open database, with the clock and the chance of this machine.
pub fn app(store: Store, address: String, over_tls: bool, notice: Option<String>) -> App {
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

/// Rows of an earlier version become entries only where somebody asks for it: what is not in the record may also
/// have been put in by somebody else.
pub async fn refuse_without_upgrade(app: &App) -> Result<()> {
    if resume::wants_upgrade(app).await? {
        bail!(
            "this database is of an earlier version: it holds rows that are not in the record. Make a backup of it, \
             then take them in with `vestibule upgrade`"
        );
    }
    Ok(())
}

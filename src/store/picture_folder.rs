//! The folder beside a database's file that holds the bytes of its pictures and scans: one file each, named by its case and
//! by the SHA-256 of its bytes. A file is on the disk before the entry that names it is, and a note of it before the
//! file: killed at any moment, the program leaves a file that no entry names, which the next start takes away, and never an
//! entry without its bytes.

use crate::files::open_regular;
use std::fs::{DirBuilder, File};
use std::io::{self, Read, Write};
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};

/// A picture is found by its case and the hash of its bytes.
type CaseAndHash = (String, String);

const ENDING_OF_PICTURES: &str = ".jpg";
/// What a file is called behind its hash, for whoever looks into the folder: the hash alone finds it.
const ENDINGS: [&str; 3] = [ENDING_OF_PICTURES, ".stl", ".ply"];
/// What is half written ends so.
const PART: &str = ".part";
/// No picture and no scan that this program writes is longer.
const MOST: u64 = 64 * 1024 * 1024;

/// The folder, whether it is there yet or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureFolder(PathBuf);

impl PictureFolder {
    /// `name.pictures` beside the file `name` of a database.
    pub fn of(database: &Path) -> PictureFolder {
        let mut name = database.as_os_str().to_owned();
        name.push(".pictures");
        PictureFolder(PathBuf::from(name))
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    /// The file of this hash, whatever it is called behind it; where there is none, it would be that of a picture.
    fn file(&self, case: &str, hash: &str) -> PathBuf {
        let named = |ending: &str| self.0.join(format!("{case}.{hash}{ending}"));
        let mut all = ENDINGS.into_iter().map(named);
        all.find(|path| path.exists())
            .unwrap_or_else(|| named(ENDING_OF_PICTURES))
    }

    /// Comes back when the bytes are on the disk, under their name. Two that write the same at once do not meet before
    /// that.
    ///
    /// # Errors
    /// If the folder is not there or the file cannot be written; then there is no such file.
    pub fn write(&self, case: &str, hash: &str, bytes: &[u8]) -> io::Result<()> {
        match self.write_once(case, hash, bytes) {
            // Another program that begins on this folder may have taken what was half written for a leaving.
            Err(why) if why.kind() == io::ErrorKind::NotFound && self.is_there() => {
                self.write_once(case, hash, bytes)
            }
            done => done,
        }
    }

    fn write_once(&self, case: &str, hash: &str, bytes: &[u8]) -> io::Result<()> {
        let name = self.0.join(format!("{case}.{hash}{}", ending_of(bytes)));
        // Whoever may read it is its owner alone; dropped on the way, it is gone.
        let mut part = tempfile::Builder::new()
            .prefix(&beginning_of_part(case, hash))
            .suffix(PART)
            .tempfile_in(&self.0)?;
        part.write_all(bytes)?;
        part.as_file().sync_all()?;
        part.persist(&name).map_err(|failed| failed.error)?;
        self.sync()
    }

    /// Whether a file of this hash is there, as long as it should be.
    pub fn has(&self, case: &str, hash: &str, length: u64) -> bool {
        let found = std::fs::metadata(self.file(case, hash));
        found.is_ok_and(|file| file.len() == length)
    }

    /// Takes away what is half written of these.
    ///
    /// # Errors
    /// If something of it is there still.
    pub fn remove_parts(&self, of: &[CaseAndHash]) -> io::Result<()> {
        let beginnings: Vec<String> = of
            .iter()
            .map(|(case, hash)| beginning_of_part(case, hash))
            .collect();
        let mut names = self.list()?.1;
        names.retain(|name| name.ends_with(PART));
        names.retain(|name| beginnings.iter().any(|one| name.starts_with(one)));
        for name in names {
            std::fs::remove_file(self.0.join(name))?;
        }
        Ok(())
    }

    /// The bytes of a picture, if they are there.
    ///
    /// # Errors
    /// If the file is there and cannot be read, or is far longer than any picture or scan.
    pub fn read(&self, case: &str, hash: &str) -> io::Result<Option<Vec<u8>>> {
        let file = match open_regular(&self.file(case, hash)) {
            Ok(file) => file,
            Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(why) => return Err(why),
        };
        let mut bytes = Vec::new();
        file.take(MOST + 1).read_to_end(&mut bytes)?;
        match bytes.len() as u64 > MOST {
            true => Err(io::Error::other(
                "it is far longer than any picture or scan",
            )),
            false => Ok(Some(bytes)),
        }
    }

    /// Takes a picture away for good; one that is not there is no error.
    ///
    /// # Errors
    /// If it is there still.
    pub fn remove(&self, case: &str, hash: &str) -> io::Result<()> {
        match std::fs::remove_file(self.file(case, hash)) {
            Ok(()) => self.sync(),
            Err(why) if why.kind() == io::ErrorKind::NotFound => Ok(()),
            Err(why) => Err(why),
        }
    }

    /// Case and hash of every picture, and the names of all else that lies there.
    ///
    /// # Errors
    /// If the folder is there and cannot be read.
    pub fn list(&self) -> io::Result<(Vec<CaseAndHash>, Vec<String>)> {
        let (mut pictures, mut others) = (Vec::new(), Vec::new());
        let entries = match std::fs::read_dir(&self.0) {
            Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok((pictures, others)),
            entries => entries?,
        };
        for entry in entries {
            let name = entry?.file_name().to_string_lossy().into_owned();
            let mut endings = ENDINGS.iter();
            let parts = endings.find_map(|ending| name.strip_suffix(ending)?.split_once('.'));
            match parts {
                Some((case, hash)) => pictures.push((case.to_owned(), hash.to_owned())),
                None => others.push(name),
            }
        }
        pictures.sort();
        others.sort();
        Ok((pictures, others))
    }

    /// Copies what `other` does not have yet, each file whole on the disk.
    ///
    /// # Errors
    /// If one of them cannot be read or written.
    pub fn copy_into(&self, other: &PictureFolder) -> io::Result<()> {
        if self.is_there() {
            other.make()?;
        }
        for (case, hash) in self.list()?.0 {
            if other.file(&case, &hash).exists() {
                continue;
            }
            // One that was erased since the folder was read is none.
            if let Some(bytes) = self.read(&case, &hash)? {
                other.write(&case, &hash, &bytes)?;
            }
        }
        Ok(())
    }

    /// Whether nothing lies there that this program has not written, whole or in part.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn has_nothing_else(&self) -> io::Result<bool> {
        let (_, others) = self.list()?;
        Ok(others.iter().all(|name| name.ends_with(PART)))
    }

    /// Removes what is left of a copy that was broken off.
    ///
    /// # Errors
    /// If something of it is there still.
    pub fn remove_all(&self) -> io::Result<()> {
        match std::fs::remove_dir_all(&self.0) {
            Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
            _ => Ok(()),
        }
    }

    /// Gives the folder, if there is one, the name that belongs to another database's file.
    ///
    /// # Errors
    /// If there is something under that name.
    pub fn rename(&self, to: &PictureFolder) -> io::Result<()> {
        match self.0.exists() {
            true => std::fs::rename(&self.0, &to.0),
            false => Ok(()),
        }
    }

    /// Whether there is such a folder.
    pub fn is_there(&self) -> bool {
        self.0.is_dir()
    }

    /// Makes the folder, for the first file that lies in it.
    ///
    /// # Errors
    /// If it cannot be made.
    pub fn make(&self) -> io::Result<()> {
        if self.0.is_dir() {
            return Ok(());
        }
        let made = DirBuilder::new()
            .recursive(true)
            .mode(0o700)
            .create(&self.0);
        made?;
        let beside = self.0.parent().filter(|path| !path.as_os_str().is_empty());
        File::open(beside.unwrap_or(Path::new(".")))?.sync_all()
    }

    /// A name is only there, or gone, for good once the folder is on the disk as well.
    fn sync(&self) -> io::Result<()> {
        File::open(&self.0)?.sync_all()
    }
}

/// What a file that is half written begins with; a word that nothing else has stands behind it.
fn beginning_of_part(case: &str, hash: &str) -> String {
    format!("{case}.{hash}.")
}

/// By what the bytes begin with: JPEG as ITU-T T.81 has it, and the first line of a PLY.
fn ending_of(bytes: &[u8]) -> &'static str {
    let [picture, stl, ply] = ENDINGS;
    if bytes.starts_with(b"ply\n") {
        ply
    } else if bytes.starts_with(&[0xff, 0xd8]) {
        picture
    } else {
        stl
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_listed_copied_and_removed() {
        let place = tempfile::tempdir().unwrap();
        let folder = PictureFolder::of(&place.path().join("a.sqlite"));
        assert_eq!(folder.list().unwrap(), (Vec::new(), Vec::new()));
        assert_eq!(folder.read("C1", "ab").unwrap(), None);
        assert!(folder.write("C1", "ab", b"one").is_err(), "no folder yet");
        folder.make().unwrap();
        folder.write("C1", "ab", b"\xff\xd8one").unwrap();
        folder.write("C1", "ab", b"\xff\xd8two").unwrap();
        folder.write("C2", "cd", b"ply\nthree").unwrap();
        folder.write("C2", "ee", b"binary STL").unwrap();
        for name in ["C1.ab.jpg", "C2.cd.ply", "C2.ee.stl"] {
            assert!(folder.path().join(name).is_file(), "{name}");
        }
        folder.remove("C2", "ee").unwrap();
        std::fs::write(folder.path().join("C3.ef.part"), "cut off").unwrap();
        assert_eq!(folder.read("C1", "ab").unwrap().unwrap(), b"\xff\xd8two");
        let pair = |case: &str, hash: &str| (case.to_owned(), hash.to_owned());
        let (pictures, others) = folder.list().unwrap();
        assert_eq!(pictures, [pair("C1", "ab"), pair("C2", "cd")]);
        assert_eq!(others, ["C3.ef.part"]);
        let copy = PictureFolder::of(&place.path().join("b.sqlite"));
        folder.copy_into(&copy).unwrap();
        assert_eq!(copy.list().unwrap(), (pictures, Vec::new()));
        folder.remove("C1", "ab").unwrap();
        folder.remove("C1", "ab").unwrap();
        assert_eq!(folder.list().unwrap().0, [pair("C2", "cd")]);
        copy.remove_all().unwrap();
        copy.remove_all().unwrap();
        assert!(!copy.path().exists());
    }

    #[test]
    fn the_same_written_by_many_at_once_is_whole_and_what_is_half_written_goes_with_its_note() {
        let place = tempfile::tempdir().unwrap();
        let folder = PictureFolder::of(&place.path().join("a.sqlite"));
        folder.make().unwrap();
        let bytes: Vec<u8> = (0..=u8::MAX).cycle().take(300_000).collect();
        std::thread::scope(|all| {
            for _ in 0..8 {
                all.spawn(|| folder.write("C1", "ab", &bytes).unwrap());
            }
        });
        assert_eq!(folder.read("C1", "ab").unwrap().unwrap(), bytes);
        assert!(folder.has("C1", "ab", 300_000) && !folder.has("C1", "ab", 299_999));
        assert!(!folder.has("C2", "ab", 300_000));
        assert_eq!(folder.list().unwrap().1, [""; 0]);
        for half in ["C1.ab.Xy1.part", "C1.abc.Xy1.part", "C1.ab.notes"] {
            std::fs::write(folder.path().join(half), "cut off").unwrap();
        }
        let key = ("C1".to_owned(), "ab".to_owned());
        folder.remove_parts(&[key]).unwrap();
        let left = folder.list().unwrap().1;
        assert_eq!(left, ["C1.ab.notes", "C1.abc.Xy1.part"]);
        assert!(folder.has("C1", "ab", 300_000), "it is whole");
    }
}

//! The file beside the key that says what was ended: sessions until they would have ended by themselves, devices, codes
//! and addresses for good. A head, and a line for each, all of one length; a line is written over one that is over.
//!
//! The programs of one machine share it, and it outlives them. Where it is not there, cannot be read or has no more room,
//! it says that whatever session began before has ended. While it is emptied, each line of what was ended for good stays at
//! its place, so that a program that is killed meanwhile loses none. A second file that is renamed would do the same, but
//! would need room on a full disk, and the lock of the programs is on this one.

use crate::files::{open_regular, refuse_other_than_file};
use std::fs::{File, OpenOptions};
use std::io;
use std::os::unix::fs::{FileExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

/// Lines behind the head; a bench changes hands some fifty times a day (common practice, no source), so that this is
/// enough for several hundred people.
pub const MOST: usize = 20_000;
/// Bytes of a line: a hash and until when, or the head. A line that is cut off is one that nobody was told of.
const LINE: usize = 80;

/// What was ended, and until when that is of use; none where nothing is written, or nothing that can be read.
type Line = Option<(String, i64)>;

/// What began before is over; how often the file was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EndedHead {
    pub none_before_ms: i64,
    writes: u64,
}

/// The file, wherever it lies.
#[derive(Debug, Clone)]
pub struct EndedFile(PathBuf);

impl EndedFile {
    /// `record.ended` beside `record.last`.
    pub fn beside(last: &Path) -> EndedFile {
        EndedFile(last.with_extension("ended"))
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    /// The head of the file, which begins here where there is none.
    ///
    /// # Errors
    /// If it cannot be read or written.
    pub fn head(&self, now_ms: i64) -> io::Result<EndedHead> {
        let head = match open_regular(&self.0) {
            Ok(file) => read_head(&file)?,
            Err(why) if why.kind() == io::ErrorKind::NotFound => None,
            Err(why) => return Err(why),
        };
        match head {
            Some(head) if head.none_before_ms <= now_ms => Ok(head),
            _ => begin(&self.0, now_ms),
        }
    }

    /// What was ended, and until when that is of use.
    ///
    /// # Errors
    /// If the file cannot be read.
    pub fn all(&self) -> io::Result<Vec<(String, i64)>> {
        let lines = lines_of(&open_regular(&self.0)?)?;
        Ok(lines.into_iter().flatten().collect())
    }

    /// Writes down what was ended, each with until when that is of use. Comes back when all of it is on the disk.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn write(&self, ended: &[(String, i64)], now_ms: i64) -> io::Result<()> {
        write(&self.0, ended, now_ms)
    }
}

fn read_head(file: &File) -> io::Result<Option<EndedHead>> {
    Ok(read_line(file, 0)?.and_then(|line| head_of(&line)))
}

/// Whether it is no session, which would end within a day.
pub fn is_for_good(ends_ms: i64, now_ms: i64) -> bool {
    ends_ms - now_ms > 24 * 60 * 60_000
}

/// The file, which nobody else writes until it is closed.
fn locked(path: &Path) -> io::Result<File> {
    refuse_other_than_file(path)?;
    let file = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .mode(0o600)
        .open(path)?;
    file.lock()?;
    Ok(file)
}

/// Begins the file where there is none, or none that can be read: what is of before has ended.
fn begin(path: &Path, now_ms: i64) -> io::Result<EndedHead> {
    let file = locked(path)?;
    match read_head(&file)? {
        Some(head) if head.none_before_ms <= now_ms => Ok(head),
        // A clock that was ahead has written it: else nobody could come in until that day.
        Some(head) => write_head(&file, now_ms, head.writes + 1),
        // Of a head that was cut off the lines behind it are left.
        None => {
            let head = empty(&file, &mut lines_of(&file)?, now_ms, 0)?;
            sync_folder(path)?;
            Ok(head)
        }
    }
}

/// A new file is only there for good once its folder is on the disk as well.
fn sync_folder(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|path| !path.as_os_str().is_empty());
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()
}

/// Writes each where there is room, over one that would have ended by itself.
fn write(path: &Path, ended: &[(String, i64)], now_ms: i64) -> io::Result<()> {
    begin(path, now_ms)?;
    let file = locked(path)?;
    let Some(mut head) = read_head(&file)? else {
        return Err(io::ErrorKind::InvalidData.into());
    };
    let mut lines = lines_of(&file)?;
    for (hash, ends_ms) in ended {
        let is_over = |line: &Line| {
            line.as_ref()
                .is_none_or(|(other, ends)| *ends <= now_ms || other == hash)
        };
        let free = place_of(&lines, is_over).or_else(|| soonest_of_many(&lines, now_ms));
        let place = match free {
            Some(place) => place,
            None => {
                head = empty(&file, &mut lines, now_ms, head.writes + 1)?;
                place_of(&lines, is_over).unwrap_or_default()
            }
        };
        write_line(&file, place + 1, &format!("{hash} {ends_ms}"))?;
        let line = Some((hash.clone(), *ends_ms));
        match lines.get_mut(place) {
            Some(over) => *over = line,
            None => lines.push(line),
        }
    }
    write_head(&file, head.none_before_ms, head.writes + 1)?;
    Ok(())
}

/// Where a line can be written: over one that is over, or behind the last; none where the file is full.
fn place_of(lines: &[Line], is_over: impl Fn(&Line) -> bool) -> Option<usize> {
    let over = lines.iter().position(is_over);
    over.or(Some(lines.len()).filter(|next| *next < MOST))
}

/// The line of what was ended for good longest ago, where most lines are of such: ending every session would make little
/// room then, and would do so again with each line that follows.
fn soonest_of_many(lines: &[Line], now_ms: i64) -> Option<usize> {
    let all = lines.iter().enumerate();
    let ends = all.filter_map(|(place, line)| Some((place, line.as_ref()?.1)));
    first_of_many(ends, now_ms)
}

/// Of lines with until when each is of use: that of what was ended for good longest ago, where they are more than half of
/// what is kept.
pub fn first_of_many<T>(lines: impl Iterator<Item = (T, i64)>, now_ms: i64) -> Option<T> {
    let for_good: Vec<(T, i64)> = lines
        .filter(|(_, ends_ms)| is_for_good(*ends_ms, now_ms))
        .collect();
    let is_most = for_good.len() > MOST / 2;
    let first = for_good.into_iter().min_by_key(|(_, ends_ms)| *ends_ms);
    first.filter(|_| is_most).map(|(line, _)| line)
}

/// Ends every session of before. The head says so first, and is on the disk before a line of theirs makes room. The file
/// is of its full length then, so that a full disk keeps nobody from leaving.
fn empty(
    file: &File,
    lines: &mut [Line],
    none_before_ms: i64,
    writes: u64,
) -> io::Result<EndedHead> {
    let head = write_head(file, none_before_ms, writes)?;
    drop_sessions(lines, none_before_ms);
    file.write_all_at(&bytes_of(lines), LINE as u64)?;
    file.sync_all()?;
    Ok(head)
}

/// Leaves of the lines what was ended for good, each at its place.
fn drop_sessions(lines: &mut [Line], now_ms: i64) {
    for line in lines.iter_mut() {
        *line = line.take().filter(|(_, ends)| is_for_good(*ends, now_ms));
    }
}

/// The lines as they stand behind the head, with the room for all that may follow.
fn bytes_of(lines: &[Line]) -> Vec<u8> {
    let text = |line: &Line| match line {
        Some((hash, ends)) => format!("{hash} {ends}"),
        None => String::new(),
    };
    let mut bytes: Vec<u8> = lines.iter().flat_map(|one| line_of(&text(one))).collect();
    bytes.resize(LINE * MOST, 0);
    bytes
}

fn write_head(file: &File, none_before_ms: i64, writes: u64) -> io::Result<EndedHead> {
    write_line(file, 0, &format!("ended {none_before_ms} {writes}"))?;
    file.sync_data()?;
    Ok(EndedHead {
        none_before_ms,
        writes,
    })
}

fn line_of(text: &str) -> Vec<u8> {
    let mut line = text.as_bytes().to_vec();
    line.resize(LINE - 1, b' ');
    line.push(b'\n');
    line
}

fn write_line(file: &File, place: usize, text: &str) -> io::Result<()> {
    file.write_all_at(&line_of(text), (place * LINE) as u64)
}

/// The line at this place; none where the file ends before.
fn read_line(file: &File, place: usize) -> io::Result<Option<String>> {
    let mut line = [0; LINE];
    match file.read_exact_at(&mut line, (place * LINE) as u64) {
        Ok(()) => Ok(Some(String::from_utf8_lossy(&line).into_owned())),
        Err(why) if why.kind() == io::ErrorKind::UnexpectedEof => Ok(None),
        Err(why) => Err(why),
    }
}

fn head_of(line: &str) -> Option<EndedHead> {
    let mut words = line.strip_prefix("ended ")?.split_whitespace();
    let (none_before_ms, writes) = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
    Some(EndedHead {
        none_before_ms,
        writes,
    })
}

/// The lines behind the head up to the first that was never written; none for one that cannot be read.
fn lines_of(file: &File) -> io::Result<Vec<Line>> {
    let mut bytes = vec![0; LINE * MOST];
    let mut length = 0;
    while let Some(rest) = bytes.get_mut(length..).filter(|rest| !rest.is_empty()) {
        match file.read_at(rest, (LINE + length) as u64)? {
            0 => break,
            more => length += more,
        }
    }
    bytes.truncate(length);
    let written = bytes
        .chunks(LINE)
        .take_while(|line| line.first().is_some_and(|byte| *byte != 0));
    let session = |line: &[u8]| {
        let text = String::from_utf8_lossy(line);
        let (hash, ends) = text.trim().split_once(' ')?;
        Some((hash.to_owned(), ends.parse().ok()?))
    };
    Ok(written.map(session).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn in_a_folder() -> (tempfile::TempDir, EndedFile) {
        let folder = tempfile::tempdir().unwrap();
        let file = EndedFile::beside(&folder.path().join("record.last"));
        (folder, file)
    }

    fn names(file: &EndedFile) -> Vec<String> {
        let all = file.all().unwrap();
        all.into_iter().map(|(name, _)| name).collect()
    }

    #[test]
    fn r25_the_place_of_what_is_over_is_used_again_and_the_file_keeps_its_length() {
        let (_folder, file) = in_a_folder();
        assert_eq!(file.head(100).unwrap().none_before_ms, 100);
        file.write(&[("a".to_owned(), 210)], 100).unwrap();
        file.write(&[("b".to_owned(), 220)], 105).unwrap();
        let length = std::fs::metadata(file.path()).unwrap().len();
        let before = file.head(200).unwrap();
        assert_eq!(names(&file), ["a", "b"]);
        file.write(&[("c".to_owned(), 330)], 212).unwrap();
        assert_eq!(names(&file), ["c", "b"]);
        assert_ne!(file.head(212).unwrap(), before);
        assert_eq!(file.head(212).unwrap().none_before_ms, 100);
        assert_eq!(std::fs::metadata(file.path()).unwrap().len(), length);
    }

    #[test]
    fn r25_a_file_that_is_taken_away_or_damaged_or_full_ends_what_is_of_before() {
        let (_folder, file) = in_a_folder();
        file.write(&[("a".to_owned(), 900)], 100).unwrap();
        std::fs::remove_file(file.path()).unwrap();
        assert_eq!(file.head(200).unwrap().none_before_ms, 200);
        std::fs::write(file.path(), "nothing of ours").unwrap();
        assert_eq!(file.head(300).unwrap().none_before_ms, 300);
        fill(&file);
        file.write(&[("b".to_owned(), 900)], 400).unwrap();
        assert_eq!(file.head(400).unwrap().none_before_ms, 400);
        assert_eq!(names(&file), ["b", "a-device", "a-code"]);
        // What a clock that was ahead has begun keeps nobody outside.
        std::fs::remove_file(file.path()).unwrap();
        assert_eq!(file.head(LONG).unwrap().none_before_ms, LONG);
        assert_eq!(file.head(500).unwrap().none_before_ms, 500);
    }

    const LONG: i64 = 365 * 24 * 60 * 60_000;

    /// Sessions that end at 900, and among them a device and a code that were ended for good.
    fn fill(file: &EndedFile) {
        file.head(300).unwrap();
        let written = locked(file.path()).unwrap();
        for number in 1..=MOST {
            let line = match number {
                700 => format!("a-device {LONG}"),
                MOST => format!("a-code {LONG}"),
                _ => format!("hash{number} 900"),
            };
            write_line(&written, number, &line).unwrap();
        }
    }

    fn are_for_good(file: &EndedFile) -> bool {
        let names = names(file);
        ["a-device", "a-code"]
            .iter()
            .all(|kept| names.iter().any(|name| name == kept))
    }

    #[test]
    fn what_was_ended_for_good_stays_wherever_emptying_the_file_is_cut_off() {
        // Inside the first lines, inside the device's own, behind it, inside the last.
        let cuts = [0, 1, LINE, 699 * LINE + 7, 700 * LINE, LINE * MOST - 3];
        for cut in cuts {
            let (_folder, file) = in_a_folder();
            fill(&file);
            let written = locked(file.path()).unwrap();
            // The head is on the disk, and of the lines what lies before the cut.
            write_head(&written, 400, 9).unwrap();
            let mut lines = lines_of(&written).unwrap();
            drop_sessions(&mut lines, 400);
            let bytes = bytes_of(&lines);
            let before = bytes.get(..cut).unwrap();
            written.write_all_at(before, LINE as u64).unwrap();
            drop(written);
            assert!(are_for_good(&file), "{cut}");
            assert_eq!(file.head(410).unwrap().none_before_ms, 400, "{cut}");
            // Whoever comes next finds room, and they stay.
            file.write(&[("b".to_owned(), 900)], 410).unwrap();
            assert!(are_for_good(&file), "{cut}");
            assert!(names(&file).contains(&"b".to_owned()), "{cut}");
        }
    }

    #[test]
    fn a_head_that_is_cut_off_ends_the_sessions_and_forgets_nothing_that_was_ended_for_good() {
        let (_folder, file) = in_a_folder();
        fill(&file);
        let written = locked(file.path()).unwrap();
        written.write_all_at(b"ended 40\0\0\0\0", 0).unwrap();
        drop(written);
        assert_eq!(file.head(500).unwrap().none_before_ms, 500);
        assert!(are_for_good(&file));
        assert_eq!(names(&file).len(), 2);
    }

    #[test]
    fn where_most_was_ended_for_good_the_first_of_that_makes_room_and_nobody_is_signed_out() {
        for (sessions, ends_all) in [(0, false), (MOST / 2 - 1, false), (MOST / 2, true)] {
            let (_folder, file) = in_a_folder();
            file.head(300).unwrap();
            let written = locked(file.path()).unwrap();
            for number in 1..=MOST {
                let line = match number > MOST - sessions {
                    true => format!("session{number} 900"),
                    false => format!("device{number} {}", LONG + i64::from(number != 5)),
                };
                write_line(&written, number, &line).unwrap();
            }
            drop(written);
            file.write(&[("b".to_owned(), LONG)], 400).unwrap();
            let names = names(&file);
            let has = |name: &str| names.iter().any(|one| one == name);
            assert!(has("b"), "{sessions}");
            assert_eq!(has("device5"), ends_all, "{sessions}");
            let none_before_ms = if ends_all { 400 } else { 300 };
            assert_eq!(file.head(400).unwrap().none_before_ms, none_before_ms);
            assert_eq!(names.len() == MOST, !ends_all, "{sessions}");
        }
    }
}

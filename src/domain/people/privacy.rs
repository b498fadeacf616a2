//! Notices in free text what points at a person: a name with a title, a date of birth, a telephone
//! number, an e-mail address.
//!
//! These are warnings and never refusals: a text can look personal and not be. They look at form only;
//! no list of names is kept. Dates of the work, measurements, tooth numbers and our own codes pass.

mod telephone;

use crate::domain::values::figures::with_plain_digits;
use crate::domain::values::words_of;
use std::collections::BTreeMap;

words_of! {
    /// What a piece of text looks like.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Personal {
        Name = "a person’s name",
        BirthDate = "a date of birth",
        Telephone = "a telephone number",
        Email = "an e-mail address",
    }
}

/// One place in a text that looks personal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// The words that caused it, as typed, with the figures of other scripts in ASCII.
    pub found: String,
    pub kind: Personal,
}

impl Warning {
    /// For the page, beside the field.
    pub fn sentence(&self) -> String {
        format!(
            "“{}” looks like {}. Prescriptions name patients by code only: take it out, unless it is something else.",
            self.found,
            self.kind.shown()
        )
    }
}

/// Everything in the text that looks personal, in the order of kinds.
pub fn personal_data_warnings(text: &str) -> Vec<Warning> {
    // A birth date is one in whichever figures it is written.
    let text = with_plain_digits(text);
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut warnings = names(&words);
    warnings.extend(turned_names(&words));
    warnings.extend(births(&words));
    warnings.extend(telephone::telephones(&words));
    warnings.extend(emails(&words));
    warnings
}

/// The same for the free-text fields of a typed form, with the form key of each.
pub fn in_fields(
    typed: &BTreeMap<String, String>,
    is_free_text: impl Fn(&str) -> bool,
) -> Vec<(String, Warning)> {
    let free = typed.iter().filter(|(key, _)| is_free_text(key));
    free.flat_map(|(key, text)| {
        personal_data_warnings(text)
            .into_iter()
            .map(|warning| (key.clone(), warning))
    })
    .collect()
}

fn warn(kind: Personal, found: &[&str]) -> Warning {
    let found = found.join(" ");
    Warning {
        found: found.trim_end_matches([',', ';', '.', ')', ':']).to_owned(),
        kind,
    }
}

/// Titles in English, German, French, Spanish and Italian, in small letters and without the point.
const TITLES: &[&str] = &[
    "mr", "mrs", "ms", "miss", "mx", "dr", "prof", "herr", "herrn", "frau", "fr", "hr", "monsieur",
    "madame", "mme", "mlle", "sr", "sra", "srta", "señor", "señora", "sig", "sig.ra", "signor",
    "signora",
];

/// Words before a colon that announce a name.
const NAME_LABELS: &[&str] = &["surname", "lastname", "firstname", "nom", "apellido"];

/// Words before a colon after which a name may stand, or a sentence: two capitals make it a name.
const PERSON_LABELS: &[&str] = &["name", "patient", "patientin"];

fn names(words: &[&str]) -> Vec<Warning> {
    let name_at = |place: usize, word: &&str| {
        let length = announced_words(word);
        let name = words
            .get(place + 1..place + 1 + length)
            .filter(|_| length > 0)?;
        let found = words.get(place..=place + length)?;
        name.iter()
            .all(|word| starts_capital(word))
            .then(|| warn(Personal::Name, found))
    };
    words
        .iter()
        .enumerate()
        .filter_map(|(place, word)| name_at(place, word))
        .collect()
}

/// Words of the trade that stand one after the other with a comma between them, in small letters: no surname.
const NO_SURNAMES: &[&str] = &[
    "upper",
    "lower",
    "maxilla",
    "mandible",
    "left",
    "right",
    "front",
    "back",
    "anterior",
    "posterior",
    "centric",
    "protrusive",
    "lateral",
    "smile",
    "rest",
    "bite",
    "wax",
    "cast",
    "model",
    "pattern",
    "denture",
    "dentures",
    "crown",
    "bridge",
    "clasp",
    "base",
    "tray",
    "teeth",
    "tooth",
    "shade",
    "mould",
    "mold",
    "acrylic",
    "resin",
    "metal",
    "titanium",
    "stone",
    "plaster",
    "gypsum",
    "alginate",
    "silicone",
    "impression",
    "photo",
    "picture",
    "scan",
    "before",
    "after",
    "yes",
    "no",
    "none",
    "please",
    "thanks",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "oberkiefer",
    "unterkiefer",
    "links",
    "rechts",
    "vorne",
    "hinten",
    "abdruck",
    "modell",
    "prothese",
    "biss",
    "bitte",
];

/// A surname, a comma, a first name: at the beginning of the text or of a sentence, where a list of the trade would begin
/// with a word of the trade.
fn turned_names(words: &[&str]) -> Vec<Warning> {
    let is_begin = |place: usize| {
        let before = place.checked_sub(1).and_then(|place| words.get(place));
        before.is_none_or(|word| word.ends_with(['.', ';', ':', '!', '?', '–', '-', '/']))
    };
    let bare = |word: &str| {
        let bare = word.trim_matches(|c: char| !c.is_alphabetic());
        let small = bare.to_lowercase();
        let is_name = bare
            .chars()
            .all(|c| c.is_alphabetic() || ['-', '’', '\''].contains(&c));
        let is_shout = bare.chars().count() < 3 && bare.chars().all(char::is_uppercase);
        is_name && !is_shout && starts_capital(word) && !NO_SURNAMES.contains(&small.as_str())
    };
    let pair_at = |place: usize| {
        let (surname, given) = (words.get(place)?, words.get(place + 1)?);
        let is_pair = surname.ends_with(',') && bare(surname) && bare(given) && is_begin(place);
        is_pair.then(|| warn(Personal::Name, &[surname, given]))
    };
    (0..words.len()).filter_map(pair_at).collect()
}

/// How many capitalised words must follow this one to make a name; 0 where it announces none.
fn announced_words(word: &str) -> usize {
    let word = word.trim_start_matches(['(', '"', '“', ',']);
    let label = word.strip_suffix(':').map(str::to_lowercase);
    let listed = |labels: &[&str]| {
        label
            .as_deref()
            .is_some_and(|label| labels.contains(&label))
    };
    // A small "ms" is milliseconds and a small "fr" may be anything: titles begin with a capital.
    let title = word.starts_with(char::is_uppercase)
        && TITLES.contains(&word.trim_end_matches('.').to_lowercase().as_str());
    if word == "M." || title || listed(NAME_LABELS) {
        1
    } else if listed(PERSON_LABELS) {
        2
    } else {
        0
    }
}

fn starts_capital(word: &str) -> bool {
    let mut letters = word.chars().skip_while(|c| !c.is_alphanumeric());
    letters.next().is_some_and(char::is_uppercase)
        && word.chars().filter(|c| c.is_alphabetic()).count() >= 2
        && !word.chars().any(|c| c.is_ascii_digit())
}

/// Words that announce a birth; the date follows within three words.
const BIRTH_WORDS: &[&str] = &[
    "born",
    "dob",
    "d.o.b",
    "birth",
    "birthday",
    "birthdate",
    "geboren",
    "geb",
    "geburtsdatum",
    "né",
    "née",
    "naissance",
    "nacido",
    "nacida",
    "nacimiento",
    "nato",
    "nata",
    "nascita",
];

/// A work date lies in our own time; a full date before this year is somebody's.
const OLDEST_WORK_YEAR: u16 = 2010;

fn births(words: &[&str]) -> Vec<Warning> {
    let mut found = Vec::new();
    let mut after = 0;
    for (place, word) in words.iter().enumerate() {
        let plain = word
            .trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase();
        let announced = BIRTH_WORDS.contains(&plain.as_str());
        let next = words
            .iter()
            .enumerate()
            .skip(place + 1)
            .take(3)
            .find(|(_, word)| holds_year(word));
        if let (true, Some((end, _))) = (announced, next) {
            found.push(warn(
                Personal::BirthDate,
                words.get(place..=end).unwrap_or_default(),
            ));
            after = end + 1;
        } else if place >= after && is_old_date(word) {
            found.push(warn(Personal::BirthDate, &[word]));
        }
    }
    found
}

/// A whole date with its century, too long ago to be one of the work. Three short numbers alone may be
/// anything.
fn is_old_date(word: &str) -> bool {
    let with_century = word
        .split(|c: char| !c.is_ascii_digit())
        .any(|part| part.len() == 4);
    with_century && date_year(word).is_some_and(|year| (1900..OLDEST_WORK_YEAR).contains(&year))
}

/// A word that is a year or a date.
fn holds_year(word: &str) -> bool {
    let word = word.trim_matches(|c: char| !c.is_ascii_digit());
    date_year(word).is_some()
        || (word.len() == 4
            && word
                .parse()
                .is_ok_and(|year: u16| (1900..2200).contains(&year)))
}

/// The year of a word that is a whole date: `1948-03-12`, `12.3.1948`, `3/12/48`.
fn date_year(word: &str) -> Option<u16> {
    let word = word.trim_matches(|c: char| !c.is_ascii_digit());
    let parts: Vec<&str> = word.split(['-', '.', '/']).collect();
    let [first, second, third] = parts.as_slice() else {
        return None;
    };
    let (year, month, day) = if first.len() == 4 {
        (first, second, third)
    } else {
        (third, second, first)
    };
    let number = |part: &str| {
        part.parse::<u16>()
            .ok()
            .filter(|_| part.len() <= 4 && !part.starts_with('+'))
    };
    let (year, month, day) = (number(year), number(month)?, number(day)?);
    // Offices write day and month in either order; both fit where both are within a month and a year.
    let in_calendar = (1..=31).contains(&month) && (1..=31).contains(&day) && month.min(day) <= 12;
    match year {
        Some(year) if in_calendar && year >= 1900 => Some(year),
        Some(year) if in_calendar && (30..=99).contains(&year) => Some(1900 + year),
        _ => None,
    }
}

fn emails(words: &[&str]) -> Vec<Warning> {
    let looks_like_address = |word: &&&str| {
        let word = word.trim_matches(|c: char| !c.is_alphanumeric());
        word.split_once('@').is_some_and(|(local, host)| {
            let dotted = host
                .split_once('.')
                .is_some_and(|(name, end)| !name.is_empty() && end.len() >= 2);
            !local.is_empty() && dotted && !host.contains('@')
        })
    };
    words
        .iter()
        .filter(looks_like_address)
        .map(|word| warn(Personal::Email, &[word]))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn kinds(text: &str) -> Vec<Personal> {
        personal_data_warnings(text)
            .into_iter()
            .map(|warning| warning.kind)
            .collect()
    }

    #[test]
    fn what_points_at_a_person_is_noticed() {
        use Personal::{BirthDate, Email, Name, Telephone};
        for (text, kind) in [
            ("Mr Smith wants it lighter", Name),
            ("ask Mrs. O'Neill", Name),
            ("please tell Ms Ågren", Name),
            ("as Dr. House said", Name),
            ("für Herrn Müller", Name),
            ("Frau Weiß kommt am Montag", Name),
            ("M. Dupont préfère la teinte claire", Name),
            ("Mme Lefèvre", Name),
            ("Sra. García", Name),
            ("(Sr. López)", Name),
            ("MRS SMITH", Name),
            ("Patient: Anna Berg", Name),
            ("surname: Berg", Name),
            ("Müller, Anna", Name),
            ("O’Neill, Mary: before the fit", Name),
            ("upper cast. Berg-Weiß, Anna", Name),
            ("MÜLLER, ANNA", Name),
            ("(Müller, Anna)", Name),
            ("born 1948", BirthDate),
            ("dob 12/03/1948", BirthDate),
            ("D.O.B.: 1948-03-12", BirthDate),
            ("date of birth is 3.12.48", BirthDate),
            ("geb. 12.03.1948", BirthDate),
            ("née le 12 1948", BirthDate),
            ("12.03.1948", BirthDate),
            ("see file 1948-03-12", BirthDate),
            ("call 555-123-4567", Telephone),
            ("(020) 7946 0018", Telephone),
            ("+49 30 1234567", Telephone),
            ("+4930123456", Telephone),
            ("06 12 34 56 78", Telephone),
            ("030/1234567 after six", Telephone),
            ("Tel. 12345", Telephone),
            ("phone no. 55 123", Telephone),
            ("call 555-0123 or write", Telephone),
            ("anna@example.org", Email),
            ("mail to <a.b@mail.example.com>.", Email),
        ] {
            assert_eq!(kinds(text), [kind], "{text}");
        }
    }

    #[test]
    fn what_belongs_to_the_work_passes() {
        for text in [
            "",
            "Open 3 mm at the incisors, keep the midline.",
            "C4K-7M9-2XQ",
            "tag T7A-0K3-9QZ in box 2",
            "in hand by 2026-03-02, insertion 2026-03-09",
            "2026-03-02 2026-03-09",
            "seen 2.3.2026 and 5/3/2026",
            "11 12 13 21 22 23 (ISO 3950)",
            "35 36 37 38 45 46 47 48",
            "11, 12, 13, 21",
            "angles 10-20-30 and teeth 12/14/33",
            "widths 8,5 6,5 7,5 8,5",
            "Patient: Wants them lighter.",
            "Mould name: Alpine",
            "widths 8.5 6.5 7.5 8.5 6.5 7.5",
            "rest 66-68, occlusal 62-65 mm",
            "shade L 72.35 a 1.20 b 18.45",
            "disinfected 1:100 for 10 minutes at 14:05",
            "lot 1234567",
            "120-130 degrees, 2-4 mm",
            "exposure 15 ms Right side",
            "Miss a little less of the border",
            "M 3 and m. masseter",
            "Upper, Lower",
            "Wax, Acrylic",
            "Oberkiefer, Frontansicht",
            "Before, After",
            "cast of Upper, Right side",
            "Smile, mouth open",
            "Mould A25, B20",
            "OK, Ja",
            "9 h at 74 C, then 1.5 h",
            "dr mouth mr x",
            "email the lab @ noon",
            "aged between 70 and 79",
            "new-born crack near 14",
            "45 CFR 164.514",
        ] {
            assert_eq!(personal_data_warnings(text), [], "{text}");
        }
    }

    #[test]
    fn a_birth_date_is_one_in_whichever_figures() {
        for text in ["born ١٢.٣.١٩٤٨", "geb. １２.３.１９４８", "۱۹۴۸-۰۳-۱۲"]
        {
            assert_eq!(kinds(text), [Personal::BirthDate], "{text}");
        }
        assert_eq!(kinds("٦٥ mm, tooth ١٤, until ٢٠٢٦-٠٣-١٢"), []);
    }

    #[test]
    fn a_warning_quotes_what_it_found() {
        let warnings = personal_data_warnings(
            "Ask Mrs. Brown, born 12.3.1948, tel. (020) 7946 0018; b@example.com.",
        );
        let found: Vec<&str> = warnings
            .iter()
            .map(|warning| warning.found.as_str())
            .collect();
        assert_eq!(
            found,
            [
                "Mrs. Brown",
                "born 12.3.1948",
                "(020) 7946 0018",
                "b@example.com"
            ]
        );
        assert_eq!(
            personal_data_warnings("born 1948")
                .first()
                .map(Warning::sentence)
                .as_deref(),
            Some(
                "“born 1948” looks like a date of birth. Prescriptions name patients by code only: take it out, unless it is something else."
            )
        );
    }

    proptest! {
        #[test]
        fn no_text_panics_and_every_warning_quotes_something(text in ".*") {
            for warning in personal_data_warnings(&text) {
                prop_assert!(!warning.found.is_empty());
            }
        }

        #[test]
        fn work_dates_and_measures_never_warn(year in 2010_u16..2100, month in 1_u8..=12, day in 1_u8..=28, mm in 0_u32..10_000) {
            let text = format!("by {year}-{month:02}-{day:02}, {}.{:02} mm", mm / 100, mm % 100);
            prop_assert_eq!(personal_data_warnings(&text), []);
        }
    }
}

//! Telephone numbers, told from dates, measurements, tooth numbers and lot numbers by their form.

use super::{Personal, Warning, date_year, warn};
use crate::domain::values::tooth::Tooth;

/// Words before a number that say it is a telephone's.
const TELEPHONE_WORDS: &[&str] = &[
    "tel",
    "phone",
    "telephone",
    "mobile",
    "cell",
    "fax",
    "telefon",
    "handy",
    "téléphone",
    "teléfono",
    "whatsapp",
];

/// Every telephone number among the words.
pub(super) fn telephones(words: &[&str]) -> Vec<Warning> {
    let mut found = Vec::new();
    let mut run: Vec<&str> = Vec::new();
    let mut announced = false;
    for word in words {
        let ends = word.ends_with([',', ';', ')']) && !word.starts_with('(');
        if is_dialled(word) {
            run.push(word);
            if !ends {
                continue;
            }
        }
        found.extend(telephone(&run, announced));
        // "Tel: 123456" and "tel. no. 123456": the word before the number counts, one may stand between.
        announced = is_telephone_word(word) || (announced && run.is_empty() && word.len() <= 3);
        run.clear();
    }
    found.extend(telephone(&run, announced));
    found
}

fn is_telephone_word(word: &str) -> bool {
    let plain = word
        .trim_matches(|c: char| !c.is_alphanumeric())
        .to_lowercase();
    TELEPHONE_WORDS.contains(&plain.as_str())
}

/// Digits and what stands between the digits of a telephone number, and no date.
fn is_dialled(word: &str) -> bool {
    let word = word.trim_end_matches([',', ';', '.']);
    let signs_only = word
        .chars()
        .all(|c| c.is_ascii_digit() || "+-./()\u{2013}\u{2011}".contains(c));
    signs_only && !word.is_empty() && date_year(word).is_none()
}

fn telephone(run: &[&str], announced: bool) -> Option<Warning> {
    let text = run.join(" ");
    let groups: Vec<&str> = text
        .split(|c: char| !c.is_ascii_digit())
        .filter(|group| !group.is_empty())
        .collect();
    let digits: usize = groups.iter().map(|group| group.len()).sum();
    let first_is_zero = groups
        .first()
        .is_some_and(|group| group.starts_with('0') && group.len() > 1);
    let international = text.starts_with('+') && digits >= 7;
    let long_group = groups.iter().any(|group| group.len() >= 3);
    // A whole number without any separator may be a lot number: it takes nine digits to be suspected.
    let least = if groups.len() > 1 || first_is_zero || international {
        7
    } else {
        9
    };
    // E.164 numbers have at most 15 digits.
    let plausible =
        (least..=15).contains(&digits) && (first_is_zero || international || long_group);
    let measured = run.iter().all(|word| is_measure(word)) || is_tooth_list(&groups);
    let is_number = if announced {
        (5..=15).contains(&digits)
    } else {
        plausible && !measured
    };
    is_number.then(|| warn(Personal::Telephone, run))
}

/// A decimal number such as `8.5` or a range such as `2-4` or `120-130`.
fn is_measure(word: &str) -> bool {
    let word = word
        .trim_start_matches(['+', '-', '('])
        .trim_end_matches([',', ';', ')', '.']);
    let parts: Vec<&str> = word.split(['.', '-', '/', '\u{2013}']).collect();
    match parts.as_slice() {
        [whole] => whole.len() <= 3 && !(whole.starts_with('0') && whole.len() > 1),
        [first, second] => {
            first.len() <= 3 && second.len() <= 3 && !(first.starts_with('0') && first.len() > 1)
        }
        _ => false,
    }
}

fn is_tooth_list(groups: &[&str]) -> bool {
    groups.iter().all(|group| {
        let number = group.parse().unwrap_or(0);
        group.len() <= 2
            && !group.starts_with('0')
            && (Tooth::from_iso(number).is_some() || Tooth::from_universal(number).is_some())
    })
}

//! The entries of a case as rows of its custody sheet: things are called by their numbers in the table of items, and
//! what one person did in one go, or over a day in one way, is one line, so that the sheet can be read.

use super::case_work::CaseWork;
use crate::domain::custody::events::{Disinfected, Moved};
use crate::domain::custody::fit::{FitFound, FitVerdict};
use crate::domain::custody::{Description, Event, What, describe_as};
use crate::domain::values::ids::{AccountId, Tag};
use crate::domain::values::moment::Moment;
use crate::domain::values::words::{capitalised, one_after_the_other};
use crate::papers::custody_sheet::CustodyRow;
use time::Date;

/// What stands before the number of an item while rows are made. The sign behind it nobody can have typed
/// (`check_readable`), so that words that merely read like a number are taken for none; no row has it at its end.
const MARK: &str = "no. \u{1}";
const SIGN: &str = "\u{1}";

/// An entry with what it may be told together with.
struct DescribedEvent<'a> {
    /// When it was written down, and when it happened.
    entered: Moment,
    at: Moment,
    by: String,
    what: String,
    details: String,
    /// None for what stands alone.
    together: Option<Together<'a>>,
    /// What of it differs among those.
    own: String,
}

/// Equal of the entries that are told in one line.
#[derive(PartialEq, Eq)]
enum Together<'a> {
    /// What one person registered in one minute.
    Registered(&'a AccountId, i64),
    /// Moves of one person on one day.
    Moved(&'a AccountId, Date),
    /// Disinfections of one person in one minute, in one way: agent, dilution, minutes, and whether it was rinsed.
    Disinfected(&'a AccountId, i64, (&'a str, &'a str, u32, bool)),
}

impl Together<'_> {
    fn of(event: &Event) -> Option<Together<'_>> {
        if event.is_late() || event.paper.is_some() {
            return None;
        }
        let by = &event.by.account;
        let minute = event.at.unix_ms.div_euclid(60_000);
        match &event.what {
            What::Registered(_) => Some(Together::Registered(by, minute)),
            What::Moved(_) => Some(Together::Moved(by, event.at.date())),
            What::Disinfected(one) => {
                let way = (
                    one.agent.as_str(),
                    one.dilution.as_str(),
                    one.minutes,
                    one.rinsed,
                );
                Some(Together::Disinfected(by, minute, way))
            }
            _ => None,
        }
    }
}

/// The rows, oldest first, with what was signed and acknowledged among them; `numbers` are those of the items.
pub fn rows(
    work: &CaseWork,
    numbers: &[(usize, Tag)],
    signed: Vec<(Moment, Description)>,
) -> Vec<CustodyRow> {
    let named = |tag: &Tag| {
        let found = numbers.iter().find(|(_, one)| one == tag);
        found.map_or_else(|| tag.to_string(), |(number, _)| format!("{MARK}{number}"))
    };
    let described = work.events.iter().map(|event| {
        let description = describe_as(&named, &work.state, event);
        let stands = work.state.withdrawn_on(&event.id).is_none();
        DescribedEvent {
            entered: event.entered_at,
            at: event.at,
            by: event.by.name.clone(),
            what: capitalised(&description.what),
            own: own(event, &named, &description),
            details: gathered(&on_paper(event, &description.details)),
            together: Together::of(event).filter(|_| stands),
        }
    });
    let signed = signed.into_iter().map(|(at, description)| DescribedEvent {
        entered: at,
        at,
        by: description.name,
        what: description.what,
        details: one_after_the_other(&description.details),
        together: None,
        own: String::new(),
    });
    let mut all: Vec<DescribedEvent<'_>> = described.chain(signed).collect();
    all.sort_by_key(|one| one.entered.unix_ms);
    let mut groups: Vec<Vec<&DescribedEvent<'_>>> = Vec::new();
    for one in &all {
        let last = groups.last_mut().filter(|group| {
            let first = group.first();
            one.together.is_some() && first.is_some_and(|first| first.together == one.together)
        });
        match last {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    groups.iter().filter_map(|group| of_group(group)).collect()
}

/// What an entry adds to the line that tells it with others.
fn own(event: &Event, named: &dyn Fn(&Tag) -> String, description: &Description) -> String {
    match &event.what {
        What::Moved(Moved { tag, to }) => {
            format!("{} {to} ({})", named(tag), event.at.clock())
        }
        What::Registered(one) => {
            let mut words = description.details.clone();
            if one.worn {
                words.insert(0, "in the patient’s mouth".to_owned());
            }
            match words.is_empty() {
                true => named(&one.tag),
                false => format!("{} ({})", named(&one.tag), words.join("; ")),
            }
        }
        What::Disinfected(Disinfected { tag, .. }) => named(tag),
        _ => String::new(),
    }
}

/// The details that the paper has of an entry.
fn on_paper(event: &Event, details: &[String]) -> Vec<String> {
    match &event.what {
        What::FitChecked(check) => not_as_asked(&check.found, details),
        _ => details.to_vec(),
    }
}

/// Of what was found only that which is not as asked, or was read otherwise: how many are as asked is said before it, and
/// the page tells each.
fn not_as_asked(found: &[FitFound], details: &[String]) -> Vec<String> {
    let is_plain =
        |one: &&FitFound| one.verdict == FitVerdict::AsAsked && !one.contradicts_its_readings();
    let as_asked: Vec<String> = found.iter().filter(is_plain).map(FitFound::words).collect();
    let told = details.iter().filter(|detail| !as_asked.contains(detail));
    told.cloned().collect()
}

/// Details as one text: what is said of several things in the same words is said once.
fn gathered(details: &[String]) -> String {
    let mut described: Vec<(Vec<&str>, &str)> = Vec::new();
    for detail in details {
        let (thing, words) = match detail.split_once(": ") {
            Some((thing, words)) if thing.starts_with(MARK) => (thing, words),
            None if detail.starts_with(MARK) => (detail.as_str(), ""),
            _ => ("", detail.as_str()),
        };
        let same = described
            .iter_mut()
            .find(|(things, one)| !thing.is_empty() && !things.is_empty() && *one == words);
        match (same, thing) {
            (Some((things, _)), _) => things.push(thing),
            (None, "") => described.push((Vec::new(), words)),
            (None, _) => described.push((vec![thing], words)),
        }
    }
    let line = |(things, words): (Vec<&str>, &str)| match (things.is_empty(), words) {
        (true, _) => words.to_owned(),
        (false, "") => things.join(", "),
        (false, _) => format!("{}: {words}", things.join(", ")),
    };
    one_after_the_other(described.into_iter().map(line))
}

fn of_group(group: &[&DescribedEvent<'_>]) -> Option<CustodyRow> {
    let first = group.first()?;
    let all: Vec<&str> = group
        .iter()
        .map(|described| described.own.as_str())
        .collect();
    let all = all.join(", ");
    let together = first.together.as_ref().filter(|_| group.len() > 1);
    let is_grouped = matches!(together, Some(Together::Registered(..)));
    let what = match together {
        None => first.what.clone(),
        Some(Together::Moved(..)) => format!("Put: {all}"),
        Some(Together::Registered(..)) => format!("Registered: {all}"),
        Some(Together::Disinfected(..)) => format!("Disinfected: {all}"),
    };
    Some(CustodyRow {
        day: format!("{} {}", first.at.day(), first.at.offset()),
        clock: first.at.clock(),
        what: numbers_in_short(&what),
        by: first.by.clone(),
        details: if is_grouped {
            String::new()
        } else {
            numbers_in_short(&first.details)
        },
    })
}

/// “no. 1, no. 3, no. 4, no. 5” as “no. 1, 3 to 5”, where these are numbers of items.
fn numbers_in_short(text: &str) -> String {
    let mut short = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(MARK) {
        short.push_str(before);
        let (mut numbers, mut after) = (Vec::new(), after);
        loop {
            let end = after.find(|c: char| !c.is_ascii_digit());
            let (digits, tail) = after.split_at(end.unwrap_or(after.len()));
            let Ok(number) = digits.parse::<usize>() else {
                break;
            };
            numbers.push(number);
            after = tail;
            // What is said of one thing alone ends the row of numbers.
            match tail
                .strip_prefix(", ")
                .and_then(|next| next.strip_prefix(MARK))
            {
                Some(next) => after = next,
                None => break,
            }
        }
        short.push_str(MARK);
        short.push_str(&in_short(&numbers));
        rest = after;
    }
    short.push_str(rest);
    short.replace(SIGN, "")
}

/// Numbers in their order, three and more that follow each other as a stretch.
fn in_short(numbers: &[usize]) -> String {
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for &number in numbers {
        match stretches.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => stretches.push((number, number)),
        }
    }
    let words = stretches
        .into_iter()
        .map(|(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first}, {last}"),
            _ => format!("{first} to {last}"),
        });
    words.collect::<Vec<_>>().join(", ")
}

/// Everybody who made an entry, with role and house, in the order of their first one.
pub fn people(work: &CaseWork) -> String {
    let mut people: Vec<String> = Vec::new();
    for event in &work.events {
        let by = &event.by;
        let one = format!("{}, {}, {}", by.name, by.role.shown(), by.party_name);
        if !people.contains(&one) {
            people.push(one);
        }
    }
    people.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::fit::FitValue;
    use crate::domain::trade::conformity::Decided;

    #[test]
    fn c14_of_a_check_the_paper_names_what_is_not_as_asked() {
        let unread = FitFound::unread;
        let contrary = FitFound {
            decided: Some(Decided::Reject),
            ..unread(FitValue::Ovd, FitVerdict::AsAsked)
        };
        let found = [
            unread(FitValue::Borders, FitVerdict::AsAsked),
            unread(FitValue::Shade, FitVerdict::NotAsAsked),
            unread(FitValue::Midline, FitVerdict::CannotTell),
            contrary,
        ];
        let mut details: Vec<String> = found.iter().map(FitFound::words).collect();
        details.push("a step too dark".to_owned());
        let told = not_as_asked(&found, &details);
        assert_eq!(told, details[1..]);
    }

    #[test]
    fn c14_numbers_that_follow_each_other_are_a_stretch() {
        for (long, short) in [
            ("#1, #3, #4, #5: sound", "no. 1, 3 to 5: sound"),
            ("#1, #2. Parcel 1: no seal", "no. 1, 2. Parcel 1: no seal"),
            (
                "Put: #7 oven 2 (09:42), #8 shelf 4",
                "Put: no. 7 oven 2 (09:42), no. 8 shelf 4",
            ),
            ("#10", "no. 10"),
            ("made by #, #x", "made by no. , no. x"),
            ("", ""),
            // What somebody has typed stays as it is.
            (
                "#1: like no. 1, no. 2, no. 3",
                "no. 1: like no. 1, no. 2, no. 3",
            ),
        ] {
            assert_eq!(numbers_in_short(&long.replace('#', MARK)), short);
        }
    }

    #[test]
    fn c14_typed_words_that_read_like_a_number_are_gathered_with_no_item() {
        let details = ["#1: sound", "no. 3: sound", "#2: sound", "no. 4"];
        let details = details.map(|one| one.replace('#', MARK));
        assert_eq!(
            numbers_in_short(&gathered(&details)),
            "no. 1, 2: sound. no. 3: sound. no. 4"
        );
    }
}

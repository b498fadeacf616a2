//! Days as a file for calendars: RFC 5545, one event of a whole day each. Lines end with CRLF and are folded at 75
//! octets (section 3.1), texts are escaped (section 3.3.11).

use super::moment::Moment;
use time::Date;

/// Octets of a line, without its end.
const LINE: usize = 75;

/// A day that something is on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayEvent {
    /// The same for the same thing in every file.
    pub uid: String,
    pub day: Date,
    pub summary: String,
    /// When it was said, by the record.
    pub said: Moment,
    /// Grows when the day is moved.
    pub sequence: i64,
    /// It is off: a calendar that has it strikes it out.
    pub is_off: bool,
    /// Where it is read.
    pub url: String,
}

/// A text as a value.
fn escaped(text: &str) -> String {
    let mut all = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\\' | ';' | ',' => all.extend(['\\', letter]),
            '\n' => all.push_str("\\n"),
            letter if letter.is_control() => {}
            letter => all.push(letter),
        }
    }
    all
}

/// Adds a line, folded: what goes on begins with a space, and no letter is cut in two.
fn push(file: &mut String, name: &str, value: &str) {
    let mut room = LINE;
    for letter in format!("{name}:{value}").chars() {
        if letter.len_utf8() > room {
            file.push_str("\r\n ");
            room = LINE - 1;
        }
        room -= letter.len_utf8();
        file.push(letter);
    }
    file.push_str("\r\n");
}

fn day(date: Date) -> String {
    format!(
        "{:04}{:02}{:02}",
        date.year(),
        u8::from(date.month()),
        date.day()
    )
}

/// `20260302T080000Z`
fn utc(at: Moment) -> String {
    let at = Moment::new(at.unix_ms, 0);
    let clock = at.rfc3339();
    let seconds = clock.get(17..19).unwrap_or("00");
    format!(
        "{}T{}{seconds}Z",
        day(at.date()),
        at.clock().replace(':', "")
    )
}

/// The whole file.
pub fn file(events: &[DayEvent]) -> String {
    calendar(&[], events)
}

/// The same for a program that reads it again and again: with a name for its list of calendars, a word about what is
/// left out, and how often it is worth asking (RFC 7986, sections 5.1, 5.2 and 5.7).
pub fn feed(name: &str, left_out: &str, events: &[DayEvent]) -> String {
    let (name, left_out) = (escaped(name), escaped(left_out));
    let mut more = vec![
        ("NAME", name.as_str()),
        ("REFRESH-INTERVAL;VALUE=DURATION", "PT1H"),
    ];
    if !left_out.is_empty() {
        more.push(("DESCRIPTION", &left_out));
    }
    calendar(&more, events)
}

fn calendar(more: &[(&str, &str)], events: &[DayEvent]) -> String {
    let mut file = String::new();
    let fixed = [
        ("BEGIN", "VCALENDAR"),
        ("VERSION", "2.0"),
        ("PRODID", "-//Vestibule//Dates//EN"),
        ("CALSCALE", "GREGORIAN"),
    ];
    for (name, value) in fixed.iter().chain(more) {
        push(&mut file, name, value);
    }
    for event in events {
        push(&mut file, "BEGIN", "VEVENT");
        push(&mut file, "UID", &escaped(&event.uid));
        push(&mut file, "DTSTAMP", &utc(event.said));
        push(&mut file, "SEQUENCE", &event.sequence.to_string());
        push(&mut file, "DTSTART;VALUE=DATE", &day(event.day));
        push(&mut file, "SUMMARY", &escaped(&event.summary));
        push(&mut file, "URL", &event.url.replace(char::is_control, ""));
        push(&mut file, "TRANSP", "TRANSPARENT");
        if event.is_off {
            push(&mut file, "STATUS", "CANCELLED");
        }
        push(&mut file, "END", "VEVENT");
    }
    push(&mut file, "END", "VCALENDAR");
    file
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use time::macros::date;

    fn event(summary: &str) -> DayEvent {
        DayEvent {
            uid: "CGN9EY7Y3-due@0123abcd".to_owned(),
            day: date!(2026 - 11 - 12),
            summary: summary.to_owned(),
            said: Moment::new(1_772_438_400_000, 60),
            sequence: 2,
            is_off: false,
            url: "https://vestibule.test/cases/CGN9EY7Y3/dates".to_owned(),
        }
    }

    #[test]
    fn a_day_is_written_as_the_standard_says() {
        // RFC 5545: escaping in section 3.3.11, the date in 3.3.4, the moment in UTC in 3.3.5. 1772438400 s is
        // 2026-03-02 08:00 UTC.
        let text = file(&[event("Due; case C, \\ lab\nKiln")]);
        let lines: Vec<&str> = text.split("\r\n").collect();
        assert_eq!(lines[0], "BEGIN:VCALENDAR");
        assert!(
            lines.contains(&"SUMMARY:Due\\; case C\\, \\\\ lab\\nKiln"),
            "{text}"
        );
        assert!(lines.contains(&"DTSTART;VALUE=DATE:20261112"));
        assert!(lines.contains(&"DTSTAMP:20260302T080000Z"));
        assert!(text.ends_with("END:VEVENT\r\nEND:VCALENDAR\r\n"));
    }

    #[test]
    fn a_long_line_is_folded_at_75_octets_and_no_letter_is_cut() {
        let long = "Zahnärztliches Laboratorium “Ziegelhof” ".repeat(6);
        let text = file(&[event(&long)]);
        assert!(text.split("\r\n").all(|line| line.len() <= 75));
        assert!(text.contains(&format!("\r\nSUMMARY:{}", &long[..10])));
        assert!(text.replace("\r\n ", "").contains(long.as_str()));
    }

    #[test]
    fn a_feed_says_its_name_and_what_is_left_out_before_its_events() {
        // RFC 7986: NAME in section 5.1, DESCRIPTION of a calendar in 5.2, REFRESH-INTERVAL in 5.7.
        let text = feed("Days; of a house", "", &[event("Due")]);
        assert!(text.contains(
            "\r\nNAME:Days\\; of a house\r\nREFRESH-INTERVAL;VALUE=DURATION:PT1H\r\nBEGIN:VEVENT"
        ));
        assert!(!text.contains("DESCRIPTION"));
        let text = feed("Days", "More, later", &[]);
        assert!(text.contains("\r\nDESCRIPTION:More\\, later\r\nEND:VCALENDAR\r\n"));
        assert!(!file(&[event("Due")]).contains("NAME:"));
    }

    proptest! {
        #[test]
        fn every_text_is_folded_and_read_back(summary in "\\PC{0,200}") {
            let text = file(&[event(&summary)]);
            prop_assert!(text.split("\r\n").all(|line| line.len() <= 75));
            prop_assert!(!text.replace("\r\n", "").contains(['\r', '\n']));
            let unfolded = text.replace("\r\n ", "");
            let line = unfolded.split("\r\n").find_map(|line| line.strip_prefix("SUMMARY:"));
            let mut read = String::new();
            let mut letters = line.expect("a summary").chars();
            while let Some(letter) = letters.next() {
                read.extend(if letter == '\\' { letters.next() } else { Some(letter) });
            }
            let kept: String = summary.chars().filter(|letter| !letter.is_control()).collect();
            prop_assert_eq!(read, kept);
        }
    }
}

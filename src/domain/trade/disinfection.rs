//! What a disinfectant, a bath or heat does to the material that it is used on.
//!
//! A name on a bottle is read for the class of its agent. What a product does stands in its maker's sheet: a name
//! that tells no class gives no answer here.

use super::substances::{Family, MaterialKind, entry, read};
use crate::domain::values::evidence::Source;

/// The longest name and the longest dilution that are taken, wherever they are typed: what is written where it was
/// done, the prescription reads whole.
pub const AGENT_MOST: usize = 500;

/// Acrylic is kept cooler than this.
pub const WARM_CELSIUS: i64 = 60;
/// Wax and alginate are kept cooler than this.
pub const WAX_CELSIUS: i64 = 40;
/// The longest that a guideline lets a denture lie in hypochlorite, in minutes.
pub const BLEACH_MINUTES: i64 = 10;

/// What alcohol does to acrylic.
pub const ALCOHOL: Source = Source::published(
    "Regis 2009, discs of acrylic, in vitro: 30 days in 42 % ethanol halved the hardness, up to 19 % did nothing; a wipe is far shorter, and crazing after one is from memory",
);
/// What heat does to acrylic.
pub const HEAT: Source = Source::published(
    "Felton 2011, prosthodontists’ guideline: a denture is never put into boiling water; in vitro, water of 100 °C took 6 to 13 % of the hardness; the border of 60 °C is from memory",
);
/// What hypochlorite does to metal.
pub const BLEACH_ON_METAL: Source = Source::published(
    "College of Denturists of Ontario, asepsis table: not on dentures with metal; in vitro, cobalt-chromium was rougher after 90 baths of 0.05 %, and one bath was not tested",
);
/// How long a denture may lie in hypochlorite.
pub const BLEACH_TIME: Source = Source::published(
    "Felton 2011, prosthodontists’ guideline: at most 10 minutes in hypochlorite",
);

/// The agents that a text names, as materials of the table.
pub fn agents(text: &str) -> Vec<MaterialKind> {
    let named = read(text).materials.into_iter();
    named
        .filter(|material| entry(*material).family == Family::Agent)
        .collect()
}

/// What cleans or is tried at home and does not disinfect a thing between an office and a lab: words, and what is
/// lacking. Centers for Disease Control and Prevention 2003, dental laboratory section, as restated: a hospital
/// disinfectant with a tuberculocidal claim. Microwaves: JAOS 2011;19(5), 650 W for 6 minutes altered a resilient liner
/// severely; the rest, and what is said of light, is from memory.
const NO_DISINFECTANT: &[(&[&str], &str)] = &[
    (
        &["vinegar", "acetic"],
        "vinegar has no claim of a hospital disinfectant",
    ),
    (
        &["soap", "detergent", "toothpaste"],
        "soap cleans and does not disinfect",
    ),
    (
        &["uv", "uvc", "ultraviolet"],
        "ultraviolet light does not reach undercuts and the tissue side",
    ),
    (
        &["microwave", "microwaved", "microwaves"],
        "a microwave can distort acrylic, spoils a soft lining and is never used with metal",
    ),
];

/// Why what a text names is no disinfectant, where it names nothing that is one.
pub fn no_disinfectant(text: &str) -> Option<&'static str> {
    if !agents(text).is_empty() {
        return None;
    }
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|sign: char| !sign.is_alphanumeric()).collect();
    // What stands with a disinfectant of whatever name went before it or came after.
    if words.iter().any(|word| word.starts_with("disinfect")) {
        return None;
    }
    let is_named = |names: &[&str]| words.iter().any(|word| names.contains(word));
    let found = NO_DISINFECTANT.iter().find(|(names, _)| is_named(names));
    found.map(|(_, why)| *why)
}

/// Ways of heating that are named without a number, with the temperature that they stand for.
const NAMED_HEAT: &[(&str, i64)] = &[
    ("boiling", 100),
    ("boiled", 100),
    ("autoclave", 121),
    ("autoclaved", 121),
    ("steam", 121),
    // The programme of a washer-disinfector: 90 °C for a minute and 80 °C for ten are the same by ISO 15883-1.
    ("thermal", 90),
    ("thermally", 90),
    ("washer", 90),
];

/// The highest temperature that a text names, in whole °C.
pub fn hottest(text: &str) -> Option<i64> {
    let lower = text.to_lowercase();
    let mut found: Vec<i64> = Vec::new();
    let mut before = "";
    for word in lower.split(|sign: char| !sign.is_alphanumeric()) {
        let named = NAMED_HEAT.iter().find(|(name, _)| *name == word);
        let is_denied = matches!(before, "no" | "not" | "never" | "without");
        found.extend(named.filter(|_| !is_denied).map(|(_, celsius)| *celsius));
        if !word.is_empty() {
            before = word;
        }
    }
    found.extend(degrees(&lower));
    found.into_iter().max()
}

/// Numbers with a unit of temperature behind them: `93 °C`, `93C`, `200 F`, `93 degrees`.
fn degrees(lower: &str) -> Vec<i64> {
    let signs: Vec<char> = lower.chars().collect();
    let mut found = Vec::new();
    let mut place = 0;
    while place < signs.len() {
        let digits: String = signs
            .iter()
            .skip(place)
            .take_while(|sign| sign.is_ascii_digit())
            .collect();
        if digits.is_empty() {
            place += 1;
            continue;
        }
        place += digits.len();
        // "93.5 °C": the part behind the point belongs to the number.
        let behind: String = signs.iter().skip(place).collect();
        let behind = behind
            .strip_prefix(['.', ','])
            .map_or(behind.as_str(), |rest| {
                rest.trim_start_matches(|sign: char| sign.is_ascii_digit())
            });
        let number: Option<i64> = digits.parse().ok().filter(|number| *number <= 500);
        found.extend(number.and_then(|number| celsius(number, behind)));
    }
    found
}

fn celsius(number: i64, behind: &str) -> Option<i64> {
    let rest = behind.trim_start();
    let rest = rest
        .strip_prefix('°')
        .or_else(|| rest.strip_prefix("degrees"))
        .or_else(|| rest.strip_prefix("deg"));
    let is_marked = rest.is_some();
    let rest = rest.unwrap_or(behind).trim_start();
    let letters: String = rest
        .chars()
        .take_while(|sign| sign.is_alphabetic())
        .collect();
    match letters.as_str() {
        "c" | "celsius" => Some(number),
        "f" | "fahrenheit" => Some((number - 32) * 5 / 9),
        // A bare "93°" of a bath is one of Celsius.
        _ if is_marked => Some(number),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn p15_the_temperature_of_a_bath_is_read_from_its_words() {
        for (text, wanted) in [
            ("hot water 93 °C", Some(93)),
            ("water, 93C", Some(93)),
            ("93.5 °C for 10 min", Some(93)),
            ("at 93 degrees", Some(93)),
            ("200 °F", Some(93)),
            ("boiling water", Some(100)),
            ("never boiling", None),
            ("washer-disinfector", Some(90)),
            ("surface disinfectant, 10 min", None),
            ("2 % for 10 min at 45 °C, then 70 °C", Some(70)),
            ("1:100", None),
            ("5 cc", None),
        ] {
            assert_eq!(hottest(text), wanted, "{text}");
        }
    }

    #[test]
    fn p15_a_bottle_is_read_for_its_class() {
        assert_eq!(
            agents("Isopropyl alcohol 70 %"),
            [MaterialKind::AlcoholAgent]
        );
        assert_eq!(agents("NaOCl 0.5 %"), [MaterialKind::Hypochlorite]);
        assert_eq!(
            agents("household bleach 1:10"),
            [MaterialKind::Hypochlorite]
        );
        assert_eq!(agents("alcohol-free wipes"), []);
        assert_eq!(agents("surface disinfectant, green label"), []);
    }

    #[test]
    fn what_is_no_disinfectant_is_told_unless_one_stands_beside_it() {
        for (text, is_told) in [
            ("vinegar 1:1", true),
            ("UV-C box", true),
            ("microwave 650 W", true),
            ("dish soap", true),
            ("soap, then hypochlorite", false),
            ("disinfectant soap, grey label", false),
            ("surface disinfectant, green label", false),
            ("green spray", false),
        ] {
            assert_eq!(no_disinfectant(text).is_some(), is_told, "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".*") {
            let _hottest = hottest(&text);
            let _agents = agents(&text);
        }
    }
}

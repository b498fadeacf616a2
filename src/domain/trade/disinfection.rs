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

/// What hypochlorite gives off beside other agents.
pub const NEVER_MIXED: Source = Source::published(
    "Centers for Disease Control and Prevention, cleaning with bleach: never mixed with another cleaner; chlorine from acids and chloramine from ammonia, from memory",
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

/// Words that name no agent, alone or together: "none", "n/a", "rinsed under tap water".
const NO_AGENT: &[&str] = &[
    "none",
    "nothing",
    "nil",
    "no",
    "not",
    "never",
    "yes",
    "ok",
    "done",
    "yet",
    "na",
    "n",
    "a",
    "disinfected",
    "disinfection",
    "rinsed",
    "rinse",
    "rinsing",
    "wiped",
    "wipe",
    "washed",
    "cleaned",
    "clean",
    "brushed",
    "dried",
    "dry",
    "air",
    "water",
    "tap",
    "running",
    "flowing",
    "plain",
    "cold",
    "warm",
    "lukewarm",
    "hot",
    "distilled",
    "sterile",
    "saline",
    "with",
    "under",
    "in",
    "and",
    "only",
    "just",
    "the",
    "off",
    "out",
    "at",
    "for",
    "min",
    "minutes",
    "c",
    "f",
];

/// From here on heat disinfects by itself, given its time: A0 is counted from 65 °C (ISO 15883-1, from memory).
const HEAT_DISINFECTS: i64 = 65;

fn words_of(lower: &str) -> Vec<&str> {
    let words = lower.split(|sign: char| !sign.is_alphanumeric());
    words.filter(|word| !word.is_empty()).collect()
}

/// Why what a text names is no disinfectant, where it names nothing that is one.
pub fn no_disinfectant(text: &str) -> Option<&'static str> {
    // What is not filled in is asked for as missing.
    if text.trim().is_empty() || hottest(text).is_some_and(|celsius| celsius >= HEAT_DISINFECTS) {
        return None;
    }
    let lower = text.to_lowercase();
    let words = words_of(&lower);
    let is_count = |word: &str| word.chars().all(|sign| sign.is_numeric());
    if words
        .iter()
        .all(|word| is_count(word) || NO_AGENT.contains(word))
    {
        let is_water = words.iter().any(|word| matches!(*word, "water" | "saline"));
        return Some(if is_water {
            "water rinses and does not disinfect"
        } else {
            "no disinfectant is named"
        });
    }
    let agents = agents(text);
    if agents.iter().any(|agent| *agent != MaterialKind::Tablets) {
        return None;
    }
    // What stands with a disinfectant of whatever name went before it or came after.
    if words.iter().any(|word| word.starts_with("disinfect")) {
        return None;
    }
    let is_named = |names: &[&str]| words.iter().any(|word| names.contains(word));
    let found = NO_DISINFECTANT.iter().find(|(names, _)| is_named(names));
    let is_tablet = !agents.is_empty();
    found
        .map(|(_, why)| *why)
        .or(is_tablet.then_some("cleansing tablets clean and do not disinfect"))
}

/// Words for what reacts with hypochlorite and is no agent of the table.
const ACIDS: &[&str] = &["vinegar", "acetic", "acid", "acids", "citric", "descaler"];
const AMMONIA: &[&str] = &["ammonia", "ammonium"];
const PEROXIDE: &[&str] = &["peroxide", "peracetic"];

/// What comes of two agents that a text names together and that are never mixed. A text with an "or" names one of two.
pub fn mixed(text: &str) -> Option<&'static str> {
    let lower = text.to_lowercase();
    let words = words_of(&lower);
    if words.contains(&"or") {
        return None;
    }
    let named = agents(text);
    let has = |agent: MaterialKind| named.contains(&agent);
    let is_written = |names: &[&str]| words.iter().any(|word| names.contains(word));
    let has_peroxide = has(MaterialKind::PeroxideAgent) || is_written(PEROXIDE);
    if has(MaterialKind::Hypochlorite) {
        return if is_written(ACIDS) {
            Some("hypochlorite and an acid stand together, and they give off chlorine")
        } else if has(MaterialKind::QuaternaryAgent) || is_written(AMMONIA) {
            Some(
                "hypochlorite and ammonia or an ammonium compound stand together, and they give off chloramine",
            )
        } else if has_peroxide {
            Some("hypochlorite and a peroxide stand together: they break each other down and foam")
        } else if named.len() > 1 {
            Some("hypochlorite and another agent stand together, and they may give off gas")
        } else {
            None
        };
    }
    let has_vinegar = is_written(&["vinegar", "acetic"]);
    (has_peroxide && has_vinegar && !words.contains(&"peracetic"))
        .then_some("a peroxide and vinegar stand together, and they make an acid that burns")
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
    // "Autoclave 134": the number of the programme beside its word is that of its heat.
    let programme = programme(&lower);
    if programme.is_some() {
        found.retain(|celsius| *celsius != STEAM);
    }
    found.extend(programme);
    found.extend(degrees(&lower));
    found.into_iter().max()
}

/// The lower of the two programmes of a steam steriliser, 121 and 134 °C (EN 285, from memory).
const STEAM: i64 = 121;

/// The number without a unit right behind a word for steam, where it can be the heat of its programme.
fn programme(lower: &str) -> Option<i64> {
    let words = words_of(lower);
    let is_steam = |word: &str| matches!(word, "autoclave" | "autoclaved" | "steam" | "at");
    let has_steam = words
        .iter()
        .any(|word| matches!(*word, "autoclave" | "autoclaved" | "steam"));
    let pairs = words.windows(2);
    let mut numbers = pairs.filter_map(|pair| match pair {
        [before, number] if is_steam(before) => number.parse::<i64>().ok(),
        _ => None,
    });
    numbers.find(|number| has_steam && (100..=150).contains(number))
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
            ("autoclave 134", Some(134)),
            ("steam at 134, 3 min", Some(134)),
            ("autoclave", Some(121)),
            ("autoclave 18 min", Some(121)),
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
        for (text, is_stated) in [
            ("vinegar 1:1", true),
            ("UV-C box", true),
            ("microwave 650 W", true),
            ("dish soap", true),
            ("soap, then hypochlorite", false),
            ("disinfectant soap, grey label", false),
            ("surface disinfectant, green label", false),
            ("green spray", false),
            ("water", true),
            ("Tap water, 2 min", true),
            ("none", true),
            ("Nothing", true),
            ("not done", true),
            ("not disinfected", true),
            ("n/a", true),
            ("rinsed", true),
            ("wiped", true),
            ("-", true),
            ("?", true),
            ("yes", true),
            ("cleansing tablets", true),
            ("water, 60 °C", true),
            ("water, 93 °C for 10 min", false),
            ("bleach in water 1:10", false),
            ("", false),
        ] {
            assert_eq!(no_disinfectant(text).is_some(), is_stated, "{text}");
        }
    }

    /// Centers for Disease Control and Prevention, cleaning with bleach, from memory.
    #[test]
    fn what_is_never_mixed_is_told() {
        for (text, gas) in [
            ("bleach and vinegar", "chlorine"),
            ("bleach + acid", "chlorine"),
            ("chlorine and ammonia", "chloramine"),
            ("quaternary + bleach", "chloramine"),
            ("hypochlorite then peroxide", "peroxide"),
            ("bleach, then isopropyl alcohol", "gas"),
            ("hydrogen peroxide with vinegar", "burns"),
        ] {
            assert!(mixed(text).is_some_and(|said| said.contains(gas)), "{text}");
        }
        for text in [
            "bleach 1:10",
            "soap, then hypochlorite",
            "bleach or isopropyl alcohol",
            "peracetic acid",
            "quaternary ammonium with alcohol",
            "vinegar 1:1",
        ] {
            assert_eq!(mixed(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".*") {
            let _hottest = hottest(&text);
            let _agents = agents(&text);
            let _none = no_disinfectant(&text);
            let _mixed = mixed(&text);
        }
    }
}

//! Denture marking.

use super::criteria::lacks;
use super::input::{Input, no, yes};
use super::reasons::MARK_BRINGS_BACK;
use super::rule::{Hit, Rule, at, caution, when};
use super::sources::{MARKING, OWN_RULE, PRACTICE, SETS};
use crate::domain::prescription::{MarkAnswer, MarkCarries, MarkPlace, SpareArch};
use crate::domain::values::arch::Arch;
use time::Date;

/// The rules about marking, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution("criterion-24-marking", unsaid, MARK_BRINGS_BACK, MARKING),
    caution(
        "marking-not-offered",
        not_offered,
        MARK_BRINGS_BACK,
        MARKING,
    ),
    caution(
        "marking-answer-unsaid",
        answer,
        "A mark is made with the patient’s consent, and a refusal is recorded.",
        MARKING,
    ),
    caution(
        "mark-without-text",
        text,
        "The lab cannot invent what to write.",
        PRACTICE,
    ),
    caution(
        "mark-without-place",
        place,
        "Where the mark lies decides whether it shows, and whether it can be ground away.",
        PRACTICE,
    ),
    caution(
        "mark-on-another-jaw",
        another_jaw,
        "The lab cannot mark a denture that it does not make.",
        PRACTICE,
    ),
    caution(
        "mark-text-though-declined",
        declined,
        "The patient said no, and the lab would mark the denture.",
        MARKING,
    ),
    caution(
        "sets-not-told-apart",
        sets,
        "Spare and final look alike for years: a letter or a year tells them apart.",
        SETS,
    ),
    caution(
        "mark-of-another-set",
        other_set,
        "A mark that counts the sets otherwise brings the wrong one to the mouth.",
        OWN_RULE,
    ),
    caution(
        "mark-year-unlikely",
        year,
        "A wrong year makes the newer set look like the older one.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    let wrong = lacks(input, 24) && input.rx.marking.offered.is_none();
    when(
        wrong,
        "marking.offered",
        "It is not said whether a mark was offered to the patient.",
    )
}

fn not_offered(input: &Input<'_>) -> Option<Hit> {
    let wrong = lacks(input, 24) && no(input.rx.marking.offered);
    when(
        wrong,
        "marking.offered",
        "A mark was not offered to the patient.",
    )
}

fn answer(input: &Input<'_>) -> Option<Hit> {
    let wrong =
        lacks(input, 24) && yes(input.rx.marking.offered) && input.rx.marking.answer.is_none();
    when(
        wrong,
        "marking.answer",
        "A mark was offered, and the patient’s answer is not given.",
    )
}

fn is_accepted(input: &Input<'_>) -> bool {
    input.rx.marking.answer == Some(MarkAnswer::Accepted)
}

fn text(input: &Input<'_>) -> Option<Hit> {
    let marking = &input.rx.marking;
    let is_by_hand = matches!(
        marking.carries,
        Some(MarkCarries::NameByHand | MarkCarries::InitialsByHand)
    );
    let wrong = is_accepted(input) && marking.text.is_none() && !is_by_hand;
    when(
        wrong,
        "marking.text",
        "A mark is accepted, and its text is not given.",
    )
}

fn place(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_accepted(input) && input.rx.marking.place.is_none();
    when(
        wrong,
        "marking.place",
        "A mark is accepted, and its place is not given.",
    )
}

fn another_jaw(input: &Input<'_>) -> Option<Hit> {
    let arch = input.single_arch().filter(|_| is_accepted(input))?;
    let place = input.rx.marking.place?;
    let wrong = match place {
        MarkPlace::PosteriorPalate => arch == Arch::Lower,
        MarkPlace::LingualFlange => arch == Arch::Upper,
        MarkPlace::BothDentures => true,
        MarkPlace::BuccalFlange => false,
    };
    wrong.then(|| {
        at(
            "marking.place",
            format!(
                "Only the {} is ordered, and the mark is to lie at “{}”.",
                arch.shown(),
                place.shown()
            ),
        )
    })?
}

fn declined(input: &Input<'_>) -> Option<Hit> {
    let wrong =
        input.rx.marking.answer == Some(MarkAnswer::Declined) && input.rx.marking.text.is_some();
    when(
        wrong,
        "marking.text",
        "The patient declined a mark, and a text for it is given.",
    )
}

fn sets(input: &Input<'_>) -> Option<Hit> {
    let marking = &input.rx.marking;
    let spare = input
        .rx
        .spare
        .arch
        .is_some_and(|arch| arch != SpareArch::None);
    let wrong =
        spare && is_accepted(input) && marking.set_letter.is_none() && marking.year.is_none();
    when(
        wrong,
        "marking.set_letter",
        "A spare is wanted, and neither the set nor the year tells the sets apart.",
    )
}

/// Which of several sets a text names: "1st", "2nd set".
fn set_in(text: &str) -> Option<u8> {
    const NAMED: [(&str, u8); 8] = [
        ("1st", 1),
        ("first", 1),
        ("2nd", 2),
        ("second", 2),
        ("3rd", 3),
        ("third", 3),
        ("4th", 4),
        ("fourth", 4),
    ];
    let lower = text.to_lowercase();
    let words = lower.split(|sign: char| !sign.is_alphanumeric());
    let mut found = words.filter_map(|word| NAMED.iter().find(|(name, _)| *name == word));
    found.next().map(|(_, number)| *number)
}

fn other_set(input: &Input<'_>) -> Option<Hit> {
    let marking = &input.rx.marking;
    let (text, letter) = (marking.text.as_ref()?, marking.set_letter.as_ref()?);
    let (stated, set) = (set_in(text.as_str())?, set_in(letter.as_str())?);
    (stated != set && is_accepted(input)).then(|| {
        at(
            "marking.set_letter",
            format!(
                "The text of the mark is “{}”, and the set “{}”.",
                text.as_str(),
                letter.as_str()
            ),
        )
    })?
}

fn year(input: &Input<'_>) -> Option<Hit> {
    let year = input.rx.marking.year?.get();
    let now = i64::from(Date::year(input.setting.today));
    let wrong = !(now..=now + 1).contains(&year);
    wrong.then(|| {
        at(
            "marking.year",
            format!("The year of the mark is {year}, and it is {now}."),
        )
    })?
}

//! Tooth shade and base shade.

use super::criteria::lacks;
use super::input::{Input, no, yes};
use super::reasons::OTHER_GUIDE;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{BERRY, LIGHT, OWN_RULE, PRACTICE};
use super::stages::other_shade;
use crate::domain::custody::item::ItemKind;
use crate::domain::form::Text;
use crate::domain::prescription::{Light, PatternSource, Shade, ShadeSource};

/// Lightness outside of which a number is no tooth.
const TOOTH_LIGHTNESS: std::ops::RangeInclusive<i64> = 5_000..=9_500;

/// The rules about tooth shade and base shade, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "criterion-10-tooth-shade",
        tooth,
        "The shade is among the two things most often missing; the work waits for it.",
        BERRY,
    ),
    caution("shade-without-guide", guide, OTHER_GUIDE, PRACTICE),
    caution(
        "shade-without-light",
        light,
        "Incandescent or fluorescent light shifts a shade further than anybody accepts.",
        LIGHT,
    ),
    caution(
        "shade-under-coloured-light",
        coloured,
        "Under this light the tab that fits is another one than by day.",
        LIGHT,
    ),
    caution(
        "shade-from-two-sources",
        two,
        "The lab sees two shades and has to guess which one is meant.",
        PRACTICE,
    ),
    caution(
        "shade-as-on-no-pattern",
        no_pattern,
        "There is no pattern from which to take the shade.",
        PRACTICE,
    ),
    caution(
        "shade-declined",
        declined,
        "Teeth in a shade that the patient did not approve come back.",
        PRACTICE,
    ),
    caution(
        "shade-changed-after-approval",
        changed,
        "The patient has seen the shade of before, and not this one.",
        OWN_RULE,
    ),
    remark(
        "shade-approval-unsaid",
        approval,
        "Whether the patient saw the shade is worth a line.",
        PRACTICE,
    ),
    caution(
        "shade-tab-not-listed",
        tab,
        "A tab that is said to be in the box and is not in the list is missed by nobody.",
        PRACTICE,
    ),
    caution(
        "shade-tab-enclosed-and-denied",
        tab_denied,
        "The lab looks for the tab, or leaves it in the box.",
        PRACTICE,
    ),
    caution(
        "shade-measured-by-eye",
        instrument,
        "Color numbers are worth what the instrument’s own light makes them.",
        PRACTICE,
    ),
    caution(
        "shade-lightness-unusual",
        lightness,
        "No tooth is that dark or that light: a digit has slipped.",
        PRACTICE,
    ),
    caution(
        "criterion-13-base-shade",
        base,
        "Gum that is too pink or too pale shows as soon as the lip moves.",
        PRACTICE,
    ),
    caution(
        "base-shade-without-guide",
        base_guide,
        OTHER_GUIDE,
        PRACTICE,
    ),
];

fn tooth(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 10) {
        return None;
    }
    if input.rx.shade.source == Some(ShadeSource::Measured) {
        return at(
            "shade.lightness",
            "A measured shade is announced, and L*, a* and b* are not all given.",
        );
    }
    at("shade.tab", "No tooth shade is given.")
}

fn by_tab(input: &Input<'_>) -> bool {
    input.rx.shade.tab.is_some() && matches!(input.rx.shade.source, None | Some(ShadeSource::Tab))
}

fn guide(input: &Input<'_>) -> Option<Hit> {
    let wrong = by_tab(input) && input.rx.shade.guide.is_none();
    wrong.then(|| {
        let tab = input
            .rx
            .shade
            .tab
            .as_ref()
            .map(|tab| tab.as_str())
            .unwrap_or_default();
        at(
            "shade.guide",
            format!("The shade “{tab}” is given without the guide it belongs to."),
        )
    })?
}

fn light(input: &Input<'_>) -> Option<Hit> {
    let wrong = by_tab(input) && input.rx.shade.light.is_none();
    when(
        wrong,
        "shade.light",
        "The light under which the shade was taken is not named.",
    )
}

fn coloured(input: &Input<'_>) -> Option<Hit> {
    let light = input.rx.shade.light?;
    let wrong = by_tab(input) && matches!(light, Light::Fluorescent | Light::Incandescent);
    wrong.then(|| {
        at(
            "shade.light",
            format!("The shade was taken under: {}.", light.shown()),
        )
    })?
}

fn two(input: &Input<'_>) -> Option<Hit> {
    let shade = &input.rx.shade;
    let wrong = shade.source == Some(ShadeSource::Pattern) && shade.tab.is_some();
    when(
        wrong,
        "shade.source",
        "The shade is to be as on the pattern, and a tab is named too.",
    )
}

fn no_pattern(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.shade.source == Some(ShadeSource::Pattern)
        && input.rx.pattern.source == Some(PatternSource::None);
    when(
        wrong,
        "shade.source",
        "The shade is to be as on the pattern, and there is none.",
    )
}

fn declined(input: &Input<'_>) -> Option<Hit> {
    when(
        no(input.rx.shade.approved),
        "shade.approved",
        "The patient has not approved the shade.",
    )
}

/// A shade by its tab, or by its numbers.
fn named(shade: &Shade) -> String {
    let guide = shade.guide.as_ref().map(Text::as_str);
    let tab = shade.tab.as_ref().map(Text::as_str);
    let behind = shade.posterior_tab.as_ref().map(Text::as_str);
    let behind = behind.map(|tab| format!("behind {tab}"));
    let numbers = [shade.lightness, shade.a, shade.b].into_iter().flatten();
    let numbers = numbers.map(|number| number.to_string());
    let words = [guide, tab].into_iter().flatten().map(str::to_owned);
    let all: Vec<String> = words.chain(behind).chain(numbers).collect();
    all.join(" ")
}

/// A shade that differs from that of the revision before, with the approval of before.
fn changed(input: &Input<'_>) -> Option<Hit> {
    let (shade, before) = (&input.rx.shade, &input.setting.previous.as_ref()?.shade);
    let is_of_before = yes(shade.approved) && yes(before.approved) && shade.date == before.date;
    let (now, then) = (named(shade), named(before));
    // Of a try-in that is finished in another shade the finish itself is asked.
    let is_asked = other_shade(input).is_some();
    let wrong = is_of_before && !then.is_empty() && now != then && !is_asked;
    wrong.then(|| {
        at(
            "shade.approved",
            format!("The shade was “{then}” and is “{now}” in this revision; the patient’s approval and its day are those of before."),
        )
    })?
}

fn approval(input: &Input<'_>) -> Option<Hit> {
    let wrong = by_tab(input) && input.rx.shade.approved.is_none();
    when(
        wrong,
        "shade.approved",
        "Whether the patient approved the shade is not given.",
    )
}

fn tab(input: &Input<'_>) -> Option<Hit> {
    let shade = &input.rx.shade;
    let listed = shade
        .tab_item
        .as_ref()
        .is_some_and(|tag| input.reaches_lab(tag));
    let wrong = yes(shade.tab_enclosed) && input.lists_enclosures() && !listed;
    when(
        wrong,
        "shade.tab_item",
        "The shade tab is said to be enclosed, and it is not in the list of what is enclosed.",
    )
}

fn tab_denied(input: &Input<'_>) -> Option<Hit> {
    let mut sent = input.enclosed_items();
    let is_sent = sent.any(|(_, item)| item.kind == ItemKind::ShadeTab);
    when(
        no(input.rx.shade.tab_enclosed) && is_sent,
        "shade.tab_enclosed",
        "The tab is said not to be enclosed, and a shade tab is in the list of what is enclosed.",
    )
}

fn instrument(input: &Input<'_>) -> Option<Hit> {
    let shade = &input.rx.shade;
    let wrong =
        shade.source == Some(ShadeSource::Measured) && shade.light != Some(Light::Instrument);
    when(
        wrong,
        "shade.light",
        "A measured shade is given, and the light is not the instrument’s own.",
    )
}

fn lightness(input: &Input<'_>) -> Option<Hit> {
    let lightness = input.rx.shade.lightness?;
    (!TOOTH_LIGHTNESS.contains(&lightness.hundredths())).then(|| {
        at(
            "shade.lightness",
            format!("L* {lightness} is given for the teeth; 50 to 95 covers nearly all."),
        )
    })?
}

fn base(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 13),
        "base_shade.code",
        "No base shade is given.",
    )
}

fn base_guide(input: &Input<'_>) -> Option<Hit> {
    let shade = &input.rx.base_shade;
    let code = shade.code.as_ref()?;
    let wrong = shade.guide.is_none();
    wrong.then(|| {
        at(
            "base_shade.guide",
            format!(
                "The base shade “{}” is given without the guide it belongs to.",
                code.as_str()
            ),
        )
    })?
}

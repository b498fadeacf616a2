//! Codes of moulds and tabs against the lists that lab and office have loaded.
//!
//! Remarks only: a list may be behind the drawer, and whoever wrote the code may know better.

use super::input::Input;
use super::rule::{Hit, Rule, at, remark};
use super::sources::PRACTICE;
use crate::domain::form::Text;
use crate::domain::trade::lists::{ListKind, MouldList};
use crate::domain::trade::mould::Region;
use crate::domain::values::arch::Arch;

/// The rules about codes against the loaded lists, in the order of their findings.
pub const RULES: &[Rule] = &[
    remark(
        "mould-not-in-the-labs-list",
        unknown_mould,
        "What the lab does not keep it has to order, or to ask about.",
        PRACTICE,
    ),
    remark(
        "mould-out-of-stock",
        out_of_stock,
        "Ordering the teeth takes days that the date wanted may not have.",
        PRACTICE,
    ),
    remark(
        "tab-not-in-the-guide",
        unknown_tab,
        "A code with a slip of the pen is another colour, or none.",
        PRACTICE,
    ),
];

/// A mould that is named, and the place it is for.
struct Named<'a> {
    key: &'static str,
    arch: Arch,
    region: Region,
    code: &'a str,
}

fn moulds<'a>(input: &Input<'a>) -> Vec<Named<'a>> {
    let (front, back) = (&input.rx.anterior, &input.rx.posterior);
    let (upper, lower) = (Arch::Upper, Arch::Lower);
    let all = [
        (
            "anterior.upper_mould",
            upper,
            Region::Front,
            &front.upper_mould,
        ),
        (
            "anterior.lower_mould",
            lower,
            Region::Front,
            &front.lower_mould,
        ),
        (
            "posterior.upper_mould",
            upper,
            Region::Back,
            &back.upper_mould,
        ),
        (
            "posterior.lower_mould",
            lower,
            Region::Back,
            &back.lower_mould,
        ),
    ];
    all.into_iter()
        .filter_map(|(key, arch, region, code)| {
            Some(Named {
                key,
                arch,
                region,
                code: code.as_ref()?.as_str(),
            })
        })
        .collect()
}

/// "“Otter 9” for upper front teeth"
fn words(named: &Named<'_>) -> String {
    let (arch, region) = (named.arch.shown(), named.region.shown());
    format!("“{}” for {arch} {region}", named.code)
}

/// The moulds of which `wrong` holds, at the first of them.
fn hit(
    input: &Input<'_>,
    wrong: impl Fn(&MouldList, &Named<'_>) -> bool,
    sentence: impl Fn(&str, &str) -> String,
) -> Option<Hit> {
    let list = input.setting.lists.moulds.as_deref()?;
    let mut named = moulds(input);
    named.retain(|one| wrong(list, one));
    let key = named.first()?.key;
    let words: Vec<String> = named.iter().map(words).collect();
    at(key, sentence(&words.join(", "), &list.source()))
}

fn unknown_mould(input: &Input<'_>) -> Option<Hit> {
    hit(
        input,
        |list, one| list.find(one.code, one.arch, one.region).is_none(),
        |words, list| format!("Not in {list}: {words}."),
    )
}

fn out_of_stock(input: &Input<'_>) -> Option<Hit> {
    hit(
        input,
        |list, one| {
            let found = list.find(one.code, one.arch, one.region);
            found.is_some_and(|mould| mould.stock == Some(0))
        },
        |words, list| format!("None in stock by {list}: {words}."),
    )
}

fn unknown_tab(input: &Input<'_>) -> Option<Hit> {
    let (shade, base) = (&input.rx.shade, &input.rx.base_shade);
    let (teeth, gum) = (ListKind::ToothGuide, ListKind::BaseGuide);
    [
        ("shade.tab", teeth, &shade.guide, &shade.tab),
        (
            "shade.posterior_tab",
            teeth,
            &shade.guide,
            &shade.posterior_tab,
        ),
        ("base_shade.code", gum, &base.guide, &base.code),
    ]
    .into_iter()
    .find_map(|(key, kind, guide, tab)| {
        let (name, tab) = (guide.as_ref().map(Text::as_str)?, tab.as_ref()?.as_str());
        let guide = input.setting.lists.guide(kind, name)?;
        if guide.find(tab).is_some() {
            return None;
        }
        at(key, format!("“{tab}” is not a tab of {}.", guide.source()))
    })
}

//! What the disinfectant, its time or its warmth does to the thing it was used on.

use super::exclusions::names_metal;
use super::input::{Input, rows_named, rows_where, yes};
use super::parts_named::metal_part;
use super::rule::{Hit, Rule, at, caution};
use super::sources::{
    ALCOHOL_ON_RESIN, ASEPSIS, BLEACH_MINUTES_SOURCE, BLEACH_STRENGTH, CDC, HOT_WATER,
    METAL_IN_BLEACH, MIXED, PEROXIDE_ON_SOFT, PRACTICE,
};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::form::Text;
use crate::domain::prescription::{Enclosed, RecordMaterial, Stage, SurfaceMaterial};
use crate::domain::trade::disinfection::{
    BLEACH_MINUTES, WARM_CELSIUS, WAX_CELSIUS, agents, hottest, mixed, no_disinfectant,
};
use crate::domain::trade::substances::MaterialKind;

/// The rules about baths and heat, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "glutaraldehyde-or-phenol-on-a-denture",
        phenol,
        "Glutaraldehyde and phenols stay in the base and burn the mucosa.",
        ASEPSIS,
    ),
    caution(
        "alcohol-on-acrylic",
        alcohol,
        "Alcohol crazes acrylic and hardens a soft lining; it dries before it disinfects.",
        ALCOHOL_ON_RESIN,
    ),
    caution(
        "peroxide-on-a-soft-surface",
        peroxide_on_soft,
        "Peroxide roughens and hardens a conditioner or soft lining: what it recorded is another surface.",
        PEROXIDE_ON_SOFT,
    ),
    caution(
        "agent-is-no-disinfectant",
        no_agent,
        "What comes from a mouth is disinfected before it changes hands: by an agent with a claim, for its time.",
        CDC,
    ),
    caution(
        "agents-mixed",
        mixed_agents,
        "Two agents together can give off gas, and leave nothing that disinfects. Never mix them: one agent, rinsed off, for its time.",
        MIXED,
    ),
    caution(
        "bleach-on-metal",
        bleach_on_metal,
        "Hypochlorite pits metal.",
        METAL_IN_BLEACH,
    ),
    caution(
        "denture-long-in-bleach",
        long_in_bleach,
        "Hypochlorite whitens and weakens a base that lies in it.",
        BLEACH_MINUTES_SOURCE,
    ),
    caution(
        "bleach-on-a-denture-strong",
        strong_bleach,
        "Strong hypochlorite whitens and weakens a base within minutes.",
        BLEACH_STRENGTH,
    ),
    caution(
        "record-in-great-heat",
        hot_record,
        "Silicone, resin and shade tabs change form or color in steam and hot water.",
        PRACTICE,
    ),
    caution(
        "denture-in-hot-water",
        hot_denture,
        "Acrylic softens and springs back into another form: the fit is checked before anything is copied from it.",
        HOT_WATER,
    ),
    caution(
        "wax-in-warm-water",
        warm_wax,
        "Wax and alginate change their form in warm water: what was recorded is gone.",
        HOT_WATER,
    ),
];

/// The enclosed things with their row, of which `wrong` holds; a sentence behind their names.
fn in_items(
    input: &Input<'_>,
    field: &str,
    wrong: impl Fn(&Item, &Enclosed) -> bool,
    said: impl Fn(&Enclosed) -> String,
) -> Option<Hit> {
    let rows: Vec<usize> = input
        .enclosed_items()
        .filter(|(row, item)| {
            input
                .enclosed()
                .get(*row)
                .is_some_and(|enclosed| wrong(item, enclosed))
        })
        .map(|(row, _)| row)
        .collect();
    let first = *rows.first()?;
    let said = said(input.enclosed().get(first)?);
    at(
        format!("enclosed.{first}.{field}"),
        format!("{}: {said}", rows_named("Enclosed item", &rows)),
    )
}

fn is_in(enclosed: &Enclosed, agent: MaterialKind) -> bool {
    let text = enclosed
        .agent
        .as_ref()
        .map(Text::as_str)
        .unwrap_or_default();
    agents(text).contains(&agent)
}

fn phenol(input: &Input<'_>) -> Option<Hit> {
    let wrong = |item: &Item, enclosed: &Enclosed| {
        item.kind.is_denture()
            && (is_in(enclosed, MaterialKind::GlutaraldehydeBath)
                || is_in(enclosed, MaterialKind::Phenolic))
    };
    in_items(input, "agent", wrong, |_| {
        "a denture was in glutaraldehyde or a phenol.".to_owned()
    })
}

fn alcohol(input: &Input<'_>) -> Option<Hit> {
    let wrong = |item: &Item, enclosed: &Enclosed| {
        item.kind.is_denture() && is_in(enclosed, MaterialKind::AlcoholAgent)
    };
    let is_lined = input.rx.impression.material == Some(SurfaceMaterial::Conditioner)
        || yes(input.rx.base.soft_liner);
    in_items(input, "agent", wrong, |_| match is_lined {
        true => "a denture with a soft surface was in alcohol.".to_owned(),
        false => "a denture was in alcohol.".to_owned(),
    })
}

fn peroxide_on_soft(input: &Input<'_>) -> Option<Hit> {
    let is_lined = input.rx.impression.material == Some(SurfaceMaterial::Conditioner);
    let wrong = |item: &Item, enclosed: &Enclosed| {
        is_lined
            && item.kind.is_denture()
            && [MaterialKind::PeroxideAgent, MaterialKind::Tablets]
                .into_iter()
                .any(|agent| is_in(enclosed, agent))
    };
    in_items(input, "agent", wrong, |_| {
        "a denture with a soft surface was in a peroxide or in cleansing tablets.".to_owned()
    })
}

fn no_agent(input: &Input<'_>) -> Option<Hit> {
    let lacks = |enclosed: &Enclosed| {
        let text = enclosed.agent.as_ref().map(Text::as_str);
        no_disinfectant(text.unwrap_or_default())
    };
    let wrong =
        |item: &Item, row: &Enclosed| item.kind.needs_disinfection() && lacks(row).is_some();
    in_items(input, "agent", wrong, |row| {
        format!("{}.", lacks(row).unwrap_or_default())
    })
}

fn mixed_agents(input: &Input<'_>) -> Option<Hit> {
    let mixes = |enclosed: &Enclosed| {
        let texts = [&enclosed.agent, &enclosed.dilution].into_iter().flatten();
        let texts: Vec<&str> = texts.map(Text::as_str).collect();
        mixed(&texts.join(", "))
    };
    let rows: Vec<usize> = rows_where(input.enclosed(), |row| mixes(row).is_some());
    let first = *rows.first()?;
    let said = input.enclosed().get(first).and_then(mixes)?;
    at(
        format!("enclosed.{first}.agent"),
        format!("{}: {said}.", rows_named("Enclosed item", &rows)),
    )
}

/// Stages in which the denture that is sent is the one that the base of the order is about.
const WORKED_ON: &[Stage] = &[
    Stage::Reline,
    Stage::Rebase,
    Stage::Repair,
    Stage::Remount,
    Stage::Reset,
];

/// Whether a thing is of metal, or has metal in it.
fn holds_metal(input: &Input<'_>, item: &Item, enclosed: &Enclosed) -> bool {
    let descriptions = [&enclosed.what, &enclosed.condition, &enclosed.note];
    let descriptions = descriptions.into_iter().flatten().map(Text::as_str);
    if descriptions.chain([item.note.as_str()]).any(names_metal) {
        return true;
    }
    match item.kind {
        ItemKind::FacebowRecord | ItemKind::ImplantParts => true,
        ItemKind::FinalDenture | ItemKind::TryIn => metal_part(input).is_some(),
        kind => {
            let is_the_work = !input.pieces().is_empty() && input.reaches(WORKED_ON);
            kind.is_denture() && is_the_work && metal_part(input).is_some()
        }
    }
}

fn bleach_on_metal(input: &Input<'_>) -> Option<Hit> {
    let wrong = |item: &Item, enclosed: &Enclosed| {
        is_in(enclosed, MaterialKind::Hypochlorite) && holds_metal(input, item, enclosed)
    };
    in_items(input, "agent", wrong, |_| {
        "metal was in hypochlorite.".to_owned()
    })
}

fn long_in_bleach(input: &Input<'_>) -> Option<Hit> {
    let wrong = |item: &Item, enclosed: &Enclosed| {
        item.kind.is_denture()
            && is_in(enclosed, MaterialKind::Hypochlorite)
            && enclosed
                .minutes
                .is_some_and(|minutes| minutes.get() > BLEACH_MINUTES)
    };
    in_items(input, "minutes", wrong, |enclosed| {
        let minutes = enclosed.minutes.map_or(0, |minutes| minutes.get());
        format!(
            "a denture was in hypochlorite for {minutes} min; {BLEACH_MINUTES} min are the most that is advised."
        )
    })
}

/// Household bleach is thinned to a tenth at the least before a denture lies in it.
const LEAST_WATER: u32 = 9;

/// How a bleach is thinned, where that is less than to a tenth: "1:1", "undiluted".
fn strong(enclosed: &Enclosed) -> Option<String> {
    let texts = [&enclosed.dilution, &enclosed.agent].into_iter().flatten();
    texts.map(Text::as_str).find_map(|text| {
        let lower = text.to_lowercase();
        let mut words = lower.split(|sign: char| !(sign.is_alphanumeric() || sign == ':'));
        let parts = |word: &&str| {
            let (one, water) = word.split_once(':')?;
            let (one, water): (u32, u32) = (one.parse().ok()?, water.parse().ok()?);
            Some(one > 0 && water < one.saturating_mul(LEAST_WATER))
        };
        let is_strong =
            |word: &&str| matches!(*word, "undiluted" | "neat") || parts(word) == Some(true);
        words.find(is_strong).map(str::to_owned)
    })
}

fn strong_bleach(input: &Input<'_>) -> Option<Hit> {
    let is_bleach = |enclosed: &Enclosed| {
        let text = enclosed.agent.as_ref().map(Text::as_str);
        text.is_some_and(|text| text.to_lowercase().contains("bleach"))
    };
    let wrong = |item: &Item, enclosed: &Enclosed| {
        item.kind.is_denture()
            && is_bleach(enclosed)
            && is_in(enclosed, MaterialKind::Hypochlorite)
            && strong(enclosed).is_some()
    };
    in_items(input, "dilution", wrong, |enclosed| {
        let how = strong(enclosed).unwrap_or_default();
        format!("a denture was in bleach, {how}; 1:10 is the strongest that is used.")
    })
}

/// A record, an impression or a tab that was hotter than what it is of bears. Wax and alginate are asked about by
/// themselves, and a fork of metal is sterilised.
fn hot_record(input: &Input<'_>) -> Option<Hit> {
    let is_one = |kind: ItemKind| {
        matches!(
            kind,
            ItemKind::BiteRecord | ItemKind::Impression | ItemKind::ShadeTab
        )
    };
    let wrong = |item: &Item, enclosed: &Enclosed| {
        is_one(item.kind) && !is_soft(input, item.kind) && is_above(enclosed, WARM_CELSIUS)
    };
    in_items(input, "agent", wrong, |row| {
        heated(row, "a record, an impression or a shade tab", WARM_CELSIUS)
    })
}

/// The highest temperature that stands in the row.
fn celsius(enclosed: &Enclosed) -> Option<i64> {
    let texts = [
        &enclosed.agent,
        &enclosed.dilution,
        &enclosed.note,
        &enclosed.condition,
    ];
    let texts = texts.into_iter().flatten();
    texts.filter_map(|text| hottest(text.as_str())).max()
}

fn is_above(enclosed: &Enclosed, border: i64) -> bool {
    celsius(enclosed).is_some_and(|celsius| celsius > border)
}

fn heated(enclosed: &Enclosed, thing: &str, border: i64) -> String {
    let celsius = celsius(enclosed).unwrap_or(border);
    format!("{thing} was at about {celsius} °C; more than {border} °C changes it.")
}

fn hot_denture(input: &Input<'_>) -> Option<Hit> {
    let wrong = |item: &Item, enclosed: &Enclosed| {
        item.kind.is_denture() && is_above(enclosed, WARM_CELSIUS)
    };
    in_items(input, "agent", wrong, |row| {
        heated(row, "a denture of acrylic", WARM_CELSIUS)
    })
}

/// Whether a thing is of wax or alginate.
fn is_soft(input: &Input<'_>, kind: ItemKind) -> bool {
    let (jaw, surface) = (input.rx.jaw.material, input.rx.impression.material);
    match kind {
        ItemKind::Rims | ItemKind::TryIn => true,
        ItemKind::BiteRecord => jaw == Some(RecordMaterial::Wax),
        ItemKind::Impression => {
            matches!(
                surface,
                Some(SurfaceMaterial::Wax | SurfaceMaterial::Alginate)
            )
        }
        _ => false,
    }
}

fn warm_wax(input: &Input<'_>) -> Option<Hit> {
    let wrong = |item: &Item, enclosed: &Enclosed| {
        is_soft(input, item.kind) && is_above(enclosed, WAX_CELSIUS)
    };
    in_items(input, "agent", wrong, |row| {
        heated(row, "wax or alginate", WAX_CELSIUS)
    })
}

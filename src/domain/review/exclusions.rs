//! What a patient is to be kept from, looked for as a substance in everything that is ordered, sent or worn.
//!
//! A stop only where something is named that holds it; where nothing is named, or only some products hold it, a
//! question. Nothing here says that a patient bears a material.

use super::input::{Input, yes};
use super::parts_named::{Contact, NamedPart, RESIN, parts, wears_duplicate};
use super::rule::{Hit, Rule, at, caution, remark, stop};
use super::sources::{HOLDINGS, OWN_RULE};
use crate::domain::form::Text;
use crate::domain::prescription::{BaseAndProcess, BaseMaterial, Strengthening};
use crate::domain::trade::substances::{
    Excluded, Family, Holding, KeptFrom, MaterialKind, Substance, denied_in, entry, holding_said,
    is_asked_about, is_white, mentions, metal_beyond, names_word, not_to_be_used, warned_of,
    without_exceptions,
};

const DEFER: &str = "This can hurt the patient. The maker’s safety sheet and the patient’s physician decide; that nothing else is found here proves nothing.";

/// The rules about substances to be avoided, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "methacrylate-excluded-and-cold-cured",
        |input| held(input, Topic::Methacrylate),
        DEFER,
        HOLDINGS,
    ),
    caution(
        "methacrylate-excluded-and-resin",
        |input| possible(input, Topic::Methacrylate),
        DEFER,
        HOLDINGS,
    ),
    stop(
        "alloy-holds-what-is-excluded",
        |input| held(input, Topic::Metal),
        DEFER,
        HOLDINGS,
    ),
    caution(
        "alloy-may-hold-what-is-excluded",
        alloy_possible,
        DEFER,
        HOLDINGS,
    ),
    caution("alloy-unnamed", alloy_unnamed, DEFER, HOLDINGS),
    stop(
        "eugenol-excluded-and-used",
        |input| held(input, Topic::Eugenol),
        DEFER,
        HOLDINGS,
    ),
    caution(
        "eugenol-excluded-and-possible",
        eugenol_possible,
        DEFER,
        HOLDINGS,
    ),
    stop(
        "dyes-excluded-and-ordered",
        |input| held(input, Topic::Dye),
        DEFER,
        HOLDINGS,
    ),
    stop(
        "peroxide-excluded-and-cold-cured",
        |input| held(input, Topic::Peroxide),
        DEFER,
        HOLDINGS,
    ),
    caution(
        "peroxide-excluded-and-cured",
        |input| possible(input, Topic::Peroxide),
        DEFER,
        HOLDINGS,
    ),
    stop(
        "excluded-substance-held",
        |input| held(input, Topic::Other),
        DEFER,
        HOLDINGS,
    ),
    caution(
        "excluded-substance-possible",
        // Fibres and stains told of in a note are asked about like the rest.
        |input| possible(input, Topic::Other).or_else(|| possible(input, Topic::Dye)),
        DEFER,
        HOLDINGS,
    ),
    remark(
        "excluded-substance-in-some-products",
        in_some_products,
        DEFER,
        HOLDINGS,
    ),
    stop("excluded-substance-named", named, DEFER, OWN_RULE),
    caution("excluded-substance-told", mention, DEFER, OWN_RULE),
    caution("material-not-known", not_known, DEFER, OWN_RULE),
    caution(
        "allergy-told-and-not-listed",
        unlisted_mention,
        DEFER,
        OWN_RULE,
    ),
    caution(
        "refused-in-a-text-and-ordered",
        refused_in_a_text,
        DEFER,
        OWN_RULE,
    ),
    caution(
        "excluded-substance-unknown",
        unknown_substance,
        DEFER,
        OWN_RULE,
    ),
];

/// Substances that are asked about together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Topic {
    Methacrylate,
    Metal,
    Eugenol,
    Dye,
    Peroxide,
    Other,
}

fn topic(substance: Substance) -> Topic {
    match substance {
        Substance::Monomer | Substance::Methacrylates => Topic::Methacrylate,
        one if one.is_metal() => Topic::Metal,
        Substance::Eugenol => Topic::Eugenol,
        Substance::Dye => Topic::Dye,
        Substance::Peroxide | Substance::Hydroquinone => Topic::Peroxide,
        _ => Topic::Other,
    }
}

/// How much it weighs that a substance is, or may be, in a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Weight {
    /// Something is named that holds it.
    Held,
    /// Something is named that holds it, and the patient has had it in the mouth: no order undoes that.
    Taken,
    /// Something is named that holds it, and it was worn and is out of the mouth.
    Removed,
    /// Something is named of which some products hold it.
    Possible,
    /// Nothing is named that would answer.
    Unnamed,
    /// Some products hold it, and it touches the mouth for minutes.
    Slight,
    /// It is said to be borne.
    Borne,
}

impl Weight {
    /// Whether what is named holds it, whatever may still be done about that.
    fn is_certain(self) -> bool {
        matches!(self, Weight::Held | Weight::Taken | Weight::Removed)
    }
}

/// A substance to be avoided in a part of the work.
struct Exposure {
    key: String,
    what: String,
    material: MaterialKind,
    substance: Substance,
    weight: Weight,
}

/// What card and prescription say is to be avoided.
fn excluded(input: &Input<'_>) -> Excluded {
    let mut excluded = Excluded::default();
    if let Some(patient) = input.patient() {
        let ticked = [
            (patient.no_methacrylate, &[Substance::Monomer] as &[_]),
            (patient.no_nickel, &[Substance::Nickel]),
            (
                patient.no_cobalt_chromium,
                &[Substance::Cobalt, Substance::Chromium],
            ),
            (patient.no_eugenol, &[Substance::Eugenol]),
            (patient.no_latex, &[Substance::Latex]),
            (patient.no_dyes, &[Substance::Dye]),
            (
                patient.no_peroxide,
                &[Substance::Peroxide, Substance::Hydroquinone],
            ),
        ];
        for (_, substances) in ticked.iter().filter(|(answer, _)| yes(*answer)) {
            substances.iter().for_each(|one| excluded.add(*one));
        }
    }
    for (_, kept) in kept_from(input) {
        let here = kept.excluded;
        here.substances.iter().for_each(|one| excluded.add(*one));
        excluded.borne.extend(here.borne);
        excluded.only = excluded.only.or(here.only);
        let unknown = here.unknown.into_iter();
        unknown.for_each(|word| excluded.add_unknown(word));
    }
    excluded
}

/// What the texts of card and prescription keep away, with their keys.
fn kept_from(input: &Input<'_>) -> [(&'static str, KeptFrom); 2] {
    [
        ("patient.no_other", KeptFrom::by_card(no_other(input))),
        ("base.without", KeptFrom::by_prescription(without(input))),
    ]
}

/// Words for a part of a base that a field orders, with the key of that field where it does.
const PARTS: &[(&str, PartOrdered)] = &[
    ("mesh", |base| {
        let is_it = base.strengthening == Some(Strengthening::MetalMesh);
        is_it.then_some("base.strengthening")
    }),
    ("bar", |base| {
        let is_it = base.strengthening == Some(Strengthening::Bar);
        is_it.then_some("base.strengthening")
    }),
    ("liner", liner_ordered),
    ("lining", liner_ordered),
];

type PartOrdered = fn(&BaseAndProcess) -> Option<&'static str>;

fn liner_ordered(base: &BaseAndProcess) -> Option<&'static str> {
    yes(base.soft_liner).then_some("base.soft_liner")
}

/// Words of what is not to be used, in small letters.
fn words_without(input: &Input<'_>) -> Vec<String> {
    let lower = wanted_without(input).to_lowercase();
    let words = lower.split(|sign: char| !sign.is_alphanumeric());
    words.map(str::to_owned).collect()
}

/// A part that is not to be used in this work and is ordered.
fn unwanted_part(input: &Input<'_>) -> Option<Hit> {
    let words = words_without(input);
    // "Nickel-chromium mesh" keeps no other mesh away.
    let is_of_material = !not_to_be_used(&wanted_without(input)).0.is_empty();
    let mut parts = PARTS.iter().filter(|_| !is_of_material);
    let (word, key) = parts.find_map(|(word, ordered)| {
        let is_named = words.iter().any(|one| one == word);
        Some((word, ordered(&input.rx.base).filter(|_| is_named)?))
    })?;
    at(
        key,
        format!("“{word}” is not to be used in this work, and it is ordered."),
    )
}

/// What is not to be used, without what is said to be borne.
fn wanted_without(input: &Input<'_>) -> String {
    without_exceptions(without(input)).0
}

fn without<'a>(input: &Input<'a>) -> &'a str {
    let text = input.rx.base.without.as_ref();
    text.map(Text::as_str).unwrap_or_default()
}

fn no_other<'a>(input: &Input<'a>) -> &'a str {
    let card = input.patient();
    let card = card.and_then(|patient| patient.no_other.as_ref());
    card.map(Text::as_str).unwrap_or_default()
}

/// Materials that card or prescription do not want in this work, whatever they hold.
fn not_used(input: &Input<'_>) -> Vec<MaterialKind> {
    let kept = kept_from(input).into_iter();
    kept.flat_map(|(_, kept)| kept.materials).collect()
}

/// Whether the base is of acrylic, or of what is not said.
fn is_acrylic_base(input: &Input<'_>) -> bool {
    let other = [BaseMaterial::Polyamide, BaseMaterial::MetalBase];
    !input
        .rx
        .base
        .material
        .is_some_and(|base| other.contains(&base))
}

fn weigh(
    part: &NamedPart<'_>,
    material: MaterialKind,
    substance: Substance,
    is_acrylic_base: bool,
) -> Option<Weight> {
    let entry = entry(material);
    // What may still hold a little is asked about, and stops nothing.
    let holding = holding_said(&part.free_of, material, substance)?;
    let is_white = is_white(material, substance);
    match (part.contact, holding) {
        (_, Holding::Trace) => None,
        // The white of the base is said, and asks for no reason.
        (Contact::Worn, _) if is_white => Some(Weight::Slight),
        (Contact::Taken, Holding::Certain) => Some(Weight::Taken),
        (Contact::Removed, Holding::Certain) => Some(Weight::Removed),
        (Contact::Removed, Holding::May) => Some(Weight::Slight),
        // What is asked about wherever it stands; where the kind is not said, that is.
        (_, Holding::May) if !entry.is_general && is_asked_about(material, substance) => {
            Some(Weight::Possible)
        }
        // Prose tells of much that is not ordered: it asks, and never stops.
        (Contact::Mention, Holding::Certain) if !entry.is_general => Some(Weight::Possible),
        // A clasp or a paste of which prose does not say what it is.
        (Contact::Mention, holding) if entry.is_general && is_open_in_prose(entry.family) => {
            let is_certain = holding == Holding::Certain;
            Some(if is_certain {
                Weight::Possible
            } else {
                Weight::Unnamed
            })
        }
        // The base is asked about where it is chosen; beside one of no acrylic, an acrylic of which the cure is not said.
        (Contact::Mention, _) if material == MaterialKind::Acrylic && !is_acrylic_base => {
            Some(Weight::Unnamed)
        }
        // An alloy that is named by its kind goes in, whatever the place in which it is told of.
        (Contact::Mention, Holding::May) if entry.family == Family::Alloy && !entry.is_general => {
            Some(Weight::Possible)
        }
        (Contact::Mention, _) => None,
        (_, Holding::May) if entry.is_general => Some(Weight::Unnamed),
        (Contact::Worn | Contact::Brief | Contact::BathOfWorn, Holding::Certain) => {
            Some(Weight::Held)
        }
        (Contact::BathOfOther, Holding::Certain) | (Contact::Worn, Holding::May) => {
            Some(Weight::Possible)
        }
        (
            Contact::Brief | Contact::Taken | Contact::BathOfWorn | Contact::BathOfOther,
            Holding::May,
        ) => Some(Weight::Slight),
    }
}

/// Materials whose general word in prose leaves a question: the base is asked about where it is chosen.
fn is_open_in_prose(family: Family) -> bool {
    matches!(family, Family::Alloy | Family::Impression)
}

/// Every part in which an excluded substance is or may be. What a part certainly holds of a topic goes before what
/// else of the topic it may hold: one cause, one finding.
fn exposures(input: &Input<'_>) -> Vec<Exposure> {
    let excluded = excluded(input);
    let mut found = exposures_to(input, &excluded.substances);
    for one in found
        .iter_mut()
        .filter(|one| one.substance == Substance::Metal)
    {
        one.weight = weight_of_borne(one, &excluded.borne);
    }
    found.retain(|one| one.weight != Weight::Borne);
    found
}

/// An alloy of what is borne, and of nothing else, is no exposure, and of one that may hold more its maker is asked.
fn weight_of_borne(exposure: &Exposure, borne: &[Substance]) -> Weight {
    let entry = entry(exposure.material);
    // "Wire" may be of what is borne: which alloy it is, is asked.
    let may_be_it = borne
        .iter()
        .any(|one| entry.holding(*one) == Some(Holding::May));
    match metal_beyond(exposure.material, borne) {
        None => Weight::Borne,
        Some(_) if entry.is_general && may_be_it => Weight::Unnamed,
        Some(Holding::Certain) => exposure.weight,
        Some(_) => Weight::Possible,
    }
}

/// The same for these substances.
fn exposures_to(input: &Input<'_>, substances: &[Substance]) -> Vec<Exposure> {
    if substances.is_empty() {
        return Vec::new();
    }
    let is_acrylic = is_acrylic_base(input);
    let mut found = Vec::new();
    for part in parts(input) {
        for &material in &part.materials {
            let mut of_material: Vec<Exposure> = substances
                .iter()
                .filter_map(|&substance| {
                    Some(Exposure {
                        key: part.key.clone(),
                        what: part.what.clone(),
                        material,
                        substance,
                        weight: weigh(&part, material, substance, is_acrylic)?,
                    })
                })
                .collect();
            let held: Vec<Topic> = of_material
                .iter()
                .filter(|one| one.weight.is_certain())
                .map(|one| topic(one.substance))
                .collect();
            of_material
                .retain(|one| one.weight.is_certain() || !held.contains(&topic(one.substance)));
            found.extend(of_material);
        }
    }
    found
}

/// Each once, with "and" before the last.
fn listed_words(words: impl Iterator<Item = String>) -> String {
    let mut list: Vec<String> = Vec::new();
    for word in words {
        if !list.contains(&word) {
            list.push(word);
        }
    }
    match list.split_last() {
        Some((last, before)) if !before.is_empty() => {
            format!("{} and {last}", before.join(", "))
        }
        _ => list.concat(),
    }
}

/// The exposures of a topic and weight as one finding, at the first of them.
fn hit(input: &Input<'_>, wanted: Topic, weight: Weight, said: &str) -> Option<Hit> {
    let mut found = exposures(input);
    found.retain(|one| topic(one.substance) == wanted && one.weight == weight);
    let first = found.first()?;
    let substances = listed_words(found.iter().map(|one| one.substance.shown().to_owned()));
    let places = listed_words(found.iter().map(|one| match weight {
        Weight::Unnamed => one.what.clone(),
        _ => format!("{} ({})", one.what, one.material.shown()),
    }));
    let sources = found
        .iter()
        .map(|one| entry(one.material).source.to_owned());
    let mut sources: Vec<String> = sources.collect();
    sources.dedup();
    let hit = at(
        first.key.clone(),
        format!("To be avoided: {substances}. {said}: {places}."),
    )?;
    Some(hit.from(sources.join("; ")))
}

const POSSIBLE: &str = "What is named here may hold it; ask the maker";

/// Nothing that is written now takes it back: the finding says what can still be done.
const TAKEN: &str = "Taken already with what holds it: look at the mucosa and ask how it was borne, see that nothing of it is left, and take the next one with another material";

/// The same of what was worn.
const REMOVED: &str =
    "It was worn, and is out: look at the mucosa, and see that it does not go in again";

/// The way on from what the patient wears.
const WORN: &str = " The duplicate is in the mouth: make another of a material that the patient bears, fit it, and sign then.";

fn held(input: &Input<'_>, topic: Topic) -> Option<Hit> {
    let hit = hit(input, topic, Weight::Held, "What is named here holds it")?;
    let way_on = match hit.key == RESIN && wears_duplicate(input) {
        true => WORN,
        false => "",
    };
    Some(Hit {
        sentence: format!("{}{way_on}", hit.sentence),
        ..hit
    })
}

/// Something is named that may hold it, and beside it what is not named at all.
fn possible(input: &Input<'_>, topic: Topic) -> Option<Hit> {
    const UNNAMED: &str = "Which material this is to be is not given; name it, and ask its maker";
    let named = hit(input, topic, Weight::Possible, POSSIBLE);
    let unnamed = hit(input, topic, Weight::Unnamed, UNNAMED);
    let taken = hit(input, topic, Weight::Taken, TAKEN);
    let removed = hit(input, topic, Weight::Removed, REMOVED);
    both(both(taken, removed), both(named, unnamed))
}

/// Two findings as one, at the place of the first: one hides nothing of the other.
fn both(first: Option<Hit>, second: Option<Hit>) -> Option<Hit> {
    match (first, second) {
        (Some(first), Some(second)) => {
            // What is to be avoided is said once.
            let rest = second
                .sentence
                .split_once(". ")
                .map_or("", |(_, rest)| rest);
            let sentence = format!("{} {rest}", first.sentence);
            Some(Hit { sentence, ..first })
        }
        (first, second) => first.or(second),
    }
}

fn alloy_possible(input: &Input<'_>) -> Option<Hit> {
    let removed = hit(input, Topic::Metal, Weight::Removed, REMOVED);
    both(
        removed,
        hit(input, Topic::Metal, Weight::Possible, POSSIBLE),
    )
}

fn alloy_unnamed(input: &Input<'_>) -> Option<Hit> {
    // A text that names the metal itself is a finding of its own.
    let is_named = literal(input).is_some_and(|(topic, ..)| topic == Some(Topic::Metal));
    let hit = hit(
        input,
        Topic::Metal,
        Weight::Unnamed,
        "Which alloy is meant is not given; name it, and ask its maker",
    )?;
    let is_of_metal =
        |mention: Mention| mention.topic == Some(Topic::Metal) && mention.key == hit.key;
    (!is_named && !mention_of(input).is_some_and(is_of_metal)).then_some(hit)
}

fn eugenol_possible(input: &Input<'_>) -> Option<Hit> {
    const UNNAMED: &str = "Whether these hold it is not given; ask the maker";
    let unnamed = hit(input, Topic::Eugenol, Weight::Unnamed, UNNAMED);
    let possible = hit(input, Topic::Eugenol, Weight::Possible, POSSIBLE);
    let taken = hit(input, Topic::Eugenol, Weight::Taken, TAKEN);
    both(taken, both(unnamed, possible))
}

fn in_some_products(input: &Input<'_>) -> Option<Hit> {
    const SOME: &str = "Some products of what is named here hold it";
    [
        Topic::Other,
        Topic::Methacrylate,
        Topic::Metal,
        Topic::Eugenol,
        Topic::Dye,
        Topic::Peroxide,
    ]
    .into_iter()
    .find_map(|topic| hit(input, topic, Weight::Slight, SOME))
}

/// A text among the materials that names what is to be avoided, where no material of the table says so already.
fn literal(input: &Input<'_>) -> Option<(Option<Topic>, String, String)> {
    let excluded = excluded(input);
    if excluded.is_empty() {
        return None;
    }
    let exposures = exposures(input);
    let is_said = |substance: Substance, key: &str| {
        exposures.iter().any(|one| {
            topic(one.substance) == topic(substance)
                && (one.weight.is_certain() || (one.key == key && one.weight != Weight::Unnamed))
        })
    };
    parts(input).into_iter().find_map(|part| {
        let is_ordered = !matches!(part.contact, Contact::Mention | Contact::Removed);
        let text = part.text.filter(|_| is_ordered)?;
        let known = excluded.substances.iter();
        // In a bath "peroxide" alone is that of hydrogen.
        let is_bath = matches!(part.contact, Contact::BathOfWorn | Contact::BathOfOther);
        let is_other =
            |one: Substance| is_bath && one == Substance::Peroxide && !names_word(text, "benzoyl");
        let mut known = known
            .filter(|one| mentions(text, **one) && !is_said(**one, &part.key) && !is_other(**one));
        if let Some(substance) = known.next() {
            return Some((
                Some(topic(*substance)),
                part.key,
                substance.shown().to_owned(),
            ));
        }
        let word = excluded
            .unknown
            .iter()
            .find(|word| names_word(text, word))?;
        Some((None, part.key, word.clone()))
    })
}

/// A material that is not to be used, where it is ordered.
fn unwanted(input: &Input<'_>) -> Option<(String, String)> {
    let not_used = not_used(input);
    if not_used.is_empty() {
        return None;
    }
    parts(input).into_iter().find_map(|part| {
        let mut materials = part.materials.iter();
        let found = materials.find(|one| not_used.contains(one))?;
        let is_ordered = !matches!(part.contact, Contact::Mention | Contact::Removed);
        is_ordered.then(|| (part.key.clone(), found.shown().to_owned()))
    })
}

fn mention(input: &Input<'_>) -> Option<Hit> {
    let mention = mention_of(input)?;
    at(
        mention.key,
        format!(
            "“{}” is to be avoided, and {} tells of it.",
            mention.word, mention.what
        ),
    )
}

/// An allergy that a text tells of and the card does not list, with what of the work it is in.
fn unlisted_mention(input: &Input<'_>) -> Option<Hit> {
    const HANDLING: &str = "patient.handling";
    let listed = excluded(input);
    let has_it = |one: Substance| {
        let same = |other: &&Substance| match topic(one) {
            Topic::Metal | Topic::Other => **other == one || **other == Substance::Metal,
            of => topic(**other) == of,
        };
        listed.substances.iter().any(|other| same(&other))
    };
    let card = input
        .patient()
        .and_then(|patient| patient.handling.as_ref());
    let card = card.map(|text| (HANDLING, "Other handling needs", text.as_str()));
    let texts = input
        .texts()
        .iter()
        .filter(|one| one.field != "base.without");
    let texts = texts.map(|one| (one.key.as_str(), one.title, one.text.as_str()));
    let (key, title, missing, names) =
        card.into_iter()
            .chain(texts)
            .find_map(|(key, title, text)| {
                let warned = warned_of(text);
                let mut missing = warned.substances.clone();
                missing.retain(|one| !has_it(*one));
                let is_bare = warned.substances.is_empty() && listed.is_empty();
                let materials = warned.materials.iter().filter(|_| is_bare);
                let names = missing.iter().map(|one| one.shown().to_owned());
                let names = listed_words(names.chain(materials.map(|one| one.shown().to_owned())));
                let is_stated = !names.is_empty() || is_bare && warned.is_of_allergy;
                is_stated.then_some((key, title, missing, names))
            })?;
    let to = match names.as_str() {
        "" => String::new(),
        names => format!(" to {names}"),
    };
    let held = exposures_to(input, &missing).into_iter();
    let held = held.filter(|one| one.weight != Weight::Slight);
    let held = listed_words(held.map(|one| one.what));
    let held = match held.as_str() {
        "" => String::new(),
        held => format!(" What is named here holds it, or may: {held}."),
    };
    at(
        key.to_owned(),
        format!(
            "The text under “{title}” tells of an allergy or a reaction{to}, and the patient’s card does not list it.{held}"
        ),
    )
}

/// A substance that a text refuses ("no nickel please", "nickel-free") and that something ordered certainly holds.
fn refused_in_a_text(input: &Input<'_>) -> Option<Hit> {
    let listed = excluded(input).substances;
    let is_asked = |one: &Substance| {
        let is_of_worn = matches!(
            topic(*one),
            Topic::Metal | Topic::Methacrylate | Topic::Eugenol
        );
        is_of_worn && *one != Substance::Metal && !listed.contains(one)
    };
    let texts = input.texts().iter();
    let mut texts = texts.filter(|one| !is_of_materials(one.field));
    texts.find_map(|one| {
        let (mut refused, warned) = (denied_in(&one.text), warned_of(&one.text).substances);
        // What is told as an allergy is a finding of its own.
        refused.retain(|one| is_asked(one) && !warned.contains(one));
        let held = exposures_to(input, &refused).into_iter();
        let held: Vec<Exposure> = held
            .filter(|other| other.weight.is_certain() && other.key != one.key)
            .collect();
        let names = listed_words(held.iter().map(|other| other.substance.shown().to_owned()));
        let places = listed_words(held.into_iter().map(|other| other.what));
        (!places.is_empty()).then(|| {
            at(
                one.key.clone(),
                format!(
                    "The text under “{}” asks for no {names}, but the order contains it: {places}.",
                    one.title
                ),
            )
        })?
    })
}

/// Whether a field names the materials of its own part: what it is free of says nothing of another.
fn is_of_materials(field: &str) -> bool {
    const OWN: &[&str] = &[
        "base.without",
        "base.product",
        "duplicate.resin",
        "enclosed.#.agent",
        "pieces.#.description",
        "pieces.#.materials",
        "spare.note",
    ];
    OWN.contains(&field)
}

/// What is to be avoided, as prose names it.
struct Mention {
    topic: Option<Topic>,
    key: String,
    what: String,
    word: String,
}

/// Prose that names what is to be avoided, where no material of the table says so already.
fn mention_of(input: &Input<'_>) -> Option<Mention> {
    let (excluded, not_used) = (excluded(input), not_used(input));
    if excluded.is_empty() && not_used.is_empty() {
        return None;
    }
    let exposures = exposures(input);
    let is_said = |substance: Substance, key: &str| {
        let same = |one: &Exposure| one.key == key && topic(one.substance) == topic(substance);
        let mut named = exposures.iter().filter(|one| one.weight != Weight::Unnamed);
        named.any(same)
    };
    let all = parts(input).into_iter();
    all.filter(|part| part.contact == Contact::Mention)
        .find_map(|part| {
            let text = part.text?;
            let mut known = excluded.substances.iter();
            let known = known.find(|one| mentions(text, **one) && !is_said(**one, &part.key));
            let mut materials = part.materials.iter();
            let material = materials.find(|one| not_used.contains(one));
            let mut words = excluded.unknown.iter();
            let word = known
                .map(|one| one.shown().to_owned())
                .or_else(|| material.map(|one| one.shown().to_owned()))
                .or_else(|| words.find(|word| names_word(text, word)).cloned())?;
            Some(Mention {
                topic: known.map(|one| topic(*one)),
                key: part.key,
                what: part.what,
                word,
            })
        })
}

fn named(input: &Input<'_>) -> Option<Hit> {
    let of_words = || literal(input).map(|(_, key, word)| (key, word));
    let Some((key, word)) = of_words().or_else(|| unwanted(input)) else {
        return unwanted_part(input);
    };
    at(
        key,
        format!("“{word}” is to be avoided, and it stands among the materials."),
    )
}

/// Substances that disinfectants hold: for others the name of a bath says nothing.
const IN_BATHS: &[Substance] = &[
    Substance::Alcohol,
    Substance::Chlorhexidine,
    Substance::Iodine,
    Substance::Glutaraldehyde,
    Substance::Phenol,
    Substance::Quaternary,
    Substance::Persulfate,
    Substance::Fragrance,
    Substance::Formaldehyde,
    Substance::Aldehydes,
    Substance::Chlorine,
];

fn not_known(input: &Input<'_>) -> Option<Hit> {
    let excluded = excluded(input);
    if excluded.is_empty() {
        return None;
    }
    let of_baths = !excluded.unknown.is_empty()
        || excluded.substances.iter().any(|one| IN_BATHS.contains(one));
    let mut found: Vec<(String, String)> = Vec::new();
    for part in parts(input) {
        let is_bath = matches!(part.contact, Contact::BathOfWorn | Contact::BathOfOther);
        if part.contact != Contact::Mention && (!is_bath || of_baths) {
            found.extend(
                part.unknown
                    .iter()
                    .map(|name| (part.key.clone(), format!("“{name}”"))),
            );
        }
    }
    let (key, _) = found.first()?;
    let names = listed_words(found.iter().map(|(_, name)| name.clone()));
    let hold = if names.contains(" and ") {
        "hold"
    } else {
        "holds"
    };
    let only = excluded.only.as_ref();
    let substances = excluded.substances.iter();
    // Metals are a part of "everything but titanium".
    let substances = substances.filter(|one| only.is_none() || **one != Substance::Metal);
    let avoided = listed_words(
        substances
            .map(|one| one.shown().to_owned())
            .chain(excluded.unknown.iter().cloned())
            .chain(only.map(|only| format!("everything but {only}"))),
    );
    at(
        key.clone(),
        format!("To be avoided: {avoided}. What {names} {hold} is not known here: ask the maker."),
    )
}

fn unknown_substance(input: &Input<'_>) -> Option<Hit> {
    let found = kept_from(input).into_iter().find_map(|(key, kept)| {
        let mut unknown = kept.excluded.unknown;
        // A part of the base is looked for as what it is.
        let is_part = |word: &String| word == "soft" || PARTS.iter().any(|(part, _)| part == word);
        unknown.retain(|word| key != "base.without" || !is_part(word));
        (!unknown.is_empty()).then_some((key, unknown))
    });
    let Some((key, words)) = found else {
        return tolerates_only(input).or_else(|| names_nothing(input));
    };
    let words = listed_words(words.into_iter().map(|word| format!("“{word}”")));
    at(
        key,
        format!(
            "To be avoided: {words}. In which materials that is found is not known here, so nothing but the word itself was looked for: ask the makers."
        ),
    )
}

/// A card that says what alone is borne: what else there is nobody can look for.
fn tolerates_only(input: &Input<'_>) -> Option<Hit> {
    let mut kept = kept_from(input).into_iter();
    let (key, excluded, only) = kept.find_map(|(key, kept)| {
        let only = kept.excluded.only.clone()?;
        Some((key, kept.excluded, only))
    })?;
    let sought = match excluded.substances.contains(&Substance::Metal) {
        true => "Other metals were looked for here, and other materials were not",
        false => "Nothing else that may be meant was looked for here",
    };
    at(
        key,
        format!(
            "Only “{only}” is said to be tolerated. {sought}: write what is to be avoided, by its name."
        ),
    )
}

/// A phrase of the card, or all that is not to be used, that names no substance.
fn names_nothing(input: &Input<'_>) -> Option<Hit> {
    let texts = [
        ("patient.no_other", no_other(input)),
        ("base.without", without(input)),
    ];
    let (key, open) = texts.into_iter().find_map(|(key, text)| {
        let mut excluded = Excluded::default();
        excluded.add_text(text);
        // "Cold-cured base" is a material.
        let is_material = !not_to_be_used(text).0.is_empty();
        let open = excluded.open.first().filter(|_| !is_material)?;
        Some((key, open.clone()))
    })?;
    at(
        key,
        format!(
            "To be avoided: “{open}”. That names no substance and no material, so nothing was looked for: say which is meant."
        ),
    )
}

/// Whether the card or the prescription excludes residual methacrylate or methacrylates altogether.
pub fn excludes_methacrylate(input: &Input<'_>) -> bool {
    let excluded = excluded(input).substances;
    excluded
        .iter()
        .any(|one| topic(*one) == Topic::Methacrylate)
}

/// Whether they exclude a metal.
pub fn excludes_metal(input: &Input<'_>) -> bool {
    let excluded = excluded(input).substances;
    excluded.iter().any(|one| topic(*one) == Topic::Metal)
}

/// Whether a text names a metal.
pub fn names_metal(text: &str) -> bool {
    let named = crate::domain::trade::substances::read(text);
    named
        .materials
        .iter()
        .any(|material| entry(*material).family == Family::Alloy)
}

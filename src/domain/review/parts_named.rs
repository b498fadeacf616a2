//! Everything in a prescription that names a material, with how long it touches the patient.

use super::courses::asks_at;
use super::input::{BOTH, Input, yes};
use crate::domain::custody::State;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::form::{Day, LongText, Text};
use crate::domain::people::party::Side;
use crate::domain::prescription::{
    Alloy, BaseMaterial, Duplicate, Flask, Piece, Process, RecordMaterial, RimBase, SpareArch,
    SpareTeeth, Stage, Strengthening, SurfaceMaterial, ToothMaterial,
};
use crate::domain::trade::substances::{
    Family, MaterialKind, MaterialsNamed, Substance, entry, phrases, read, read_prose,
};
use crate::domain::values::ids::Tag;
use MaterialKind as M;

/// How a part touches the patient.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contact {
    /// Day and night.
    Worn,
    /// For minutes: an impression, a record, a tray, a try-in.
    Brief,
    /// For minutes that are over: an impression or a record that is taken.
    Taken,
    /// Day and night until it came out of the mouth.
    Removed,
    /// A disinfectant on what is worn.
    BathOfWorn,
    /// A disinfectant on what touches the mouth for minutes.
    BathOfOther,
    /// Told in prose, ordered or not.
    Mention,
}

/// A part of the work and the materials that are named for it.
pub struct NamedPart<'a> {
    /// The form key that names it.
    pub key: String,
    /// In words: "the upper piece".
    pub what: String,
    /// How it touches the patient.
    pub contact: Contact,
    /// Those that are known here.
    pub materials: Vec<MaterialKind>,
    /// What is named and not known here.
    pub unknown: Vec<String>,
    /// What a material of it is said to be free of.
    pub free_of: Vec<(MaterialKind, Substance)>,
    /// The words themselves, where it is a text.
    pub text: Option<&'a str>,
}

impl<'a> NamedPart<'a> {
    fn chosen(key: &str, what: &str, contact: Contact, material: MaterialKind) -> NamedPart<'a> {
        NamedPart {
            key: key.to_owned(),
            what: what.to_owned(),
            contact,
            materials: vec![material],
            unknown: Vec::new(),
            free_of: Vec::new(),
            text: None,
        }
    }

    /// A text that names materials; what it names and is not known is asked about.
    fn named(key: impl Into<String>, what: &str, contact: Contact, text: &'a str) -> NamedPart<'a> {
        let MaterialsNamed {
            materials,
            unknown,
            free_of,
        } = read(text);
        NamedPart {
            key: key.into(),
            what: what.to_owned(),
            contact,
            materials,
            unknown,
            free_of,
            text: Some(text),
        }
    }

    /// A text that names materials among other things.
    fn described(
        key: impl Into<String>,
        what: &str,
        contact: Contact,
        text: &'a str,
    ) -> NamedPart<'a> {
        NamedPart {
            unknown: Vec::new(),
            ..NamedPart::named(key, what, contact, text)
        }
    }

    fn names_an_alloy(&self) -> bool {
        self.materials.iter().any(|material| {
            let entry = entry(*material);
            entry.family == Family::Alloy && !entry.is_general
        })
    }

    fn drop_all(&mut self, answered: &[MaterialKind]) {
        self.materials
            .retain(|material| !answered.contains(material));
    }
}

/// Every part, in the order of the visit.
pub fn parts<'a>(input: &'a Input<'a>) -> Vec<NamedPart<'a>> {
    let mut all = pieces(input);
    all.extend(duplicate(input));
    all.extend(records(input));
    all.extend(teeth(input));
    all.extend(gum(input));
    all.extend(base(input));
    all.extend(liner(input, &all));
    all.extend(metal(input, &all));
    all.extend(spare(input));
    all.extend(baths(input));
    all.extend(stored(input));
    let described = prose(input, &all);
    all.extend(described);
    answer_by_alloy(input, &mut all);
    answer_by_base(input, &mut all);
    all
}

/// A mesh of which the alloy is named elsewhere is not asked about again. The alloy of the base says nothing of a clasp, a
/// wire or the housing of an attachment; that of the same piece does.
fn answer_by_alloy(input: &Input<'_>, all: &mut [NamedPart<'_>]) {
    let is_said = alloy_of(input.rx.base.alloy).is_some();
    let rows: Vec<String> = all
        .iter()
        .filter(|part| part.key.starts_with("pieces.") && part.names_an_alloy())
        .filter_map(|part| part.key.rsplit_once('.').map(|(row, _)| row.to_owned()))
        .collect();
    for part in all {
        let row = part.key.rsplit_once('.').map(|(row, _)| row);
        if row.is_some_and(|row| rows.iter().any(|one| one == row)) {
            part.drop_all(&[M::AnyMetal, M::AnyWire]);
        } else if is_said {
            part.drop_all(&[M::AnyMetal]);
        }
    }
}

/// A piece of which only "acrylic" is said is of the base that is chosen, where that is an acrylic and no other resin
/// stands beside it; a duplicate is made in its own way.
fn answer_by_base(input: &Input<'_>, all: &mut [NamedPart<'_>]) {
    let pieces = input.pieces();
    let of_acrylic = |kind: MaterialKind| entry(kind).holding(Substance::Methacrylates).is_some();
    let chosen = input.rx.base.material.and_then(base_of);
    if !chosen.is_some_and(of_acrylic) {
        return;
    }
    for part in all {
        let row = part
            .key
            .strip_prefix("pieces.")
            .and_then(|rest| rest.split_once('.'));
        let row = row.and_then(|(row, _)| row.parse::<usize>().ok());
        let piece = row.and_then(|row| pieces.get(row));
        let is_resin = |kind: &MaterialKind| entry(*kind).family == Family::Resin;
        let is_alone = part.materials.iter().filter(|one| is_resin(one)).count() == 1;
        if is_alone && piece.is_some_and(|piece| piece.stage != Some(Stage::Duplicate)) {
            part.drop_all(&[M::Acrylic]);
        }
    }
}

/// Whether a piece only touches the mouth for a try.
fn is_tried_only(piece: &Piece) -> bool {
    matches!(
        piece.stage,
        Some(Stage::Tray | Stage::Rims | Stage::Mount | Stage::SetUp | Stage::TryIn | Stage::Reset)
    )
}

fn pieces<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    let mut found = Vec::new();
    for (row, piece) in input.pieces().iter().enumerate() {
        let contact = match is_tried_only(piece) {
            true => Contact::Brief,
            false => Contact::Worn,
        };
        let what = match piece.arch {
            Some(arch) => format!("the {} piece", arch.shown()),
            None => format!("piece {}", row + 1),
        };
        let materials = piece.materials.as_ref().map(Text::as_str);
        let materials = materials
            .map(|text| NamedPart::named(format!("pieces.{row}.materials"), &what, contact, text));
        let description = piece.description.as_ref().map(Text::as_str);
        let description = description.map(|text| {
            NamedPart::described(format!("pieces.{row}.description"), &what, contact, text)
        });
        for part in materials.into_iter().chain(description) {
            match contact {
                Contact::Worn => found.extend(without_its_tray(part)),
                _ => found.push(part),
            }
        }
    }
    found
}

/// A denture that is worn, and apart from it what is told of the tray of its impression, which is not: "from an impression
/// in an acrylic custom tray".
fn without_its_tray(part: NamedPart<'_>) -> Vec<NamedPart<'_>> {
    let text = part.text.unwrap_or_default();
    let is_of_tray = |phrase: &String| {
        let mut words = phrase.split(|sign: char| !sign.is_alphanumeric());
        words.any(|word| ["tray", "trays"].contains(&word.to_lowercase().as_str()))
    };
    // "Heat-cured resin from an impression in an acrylic tray" is two things.
    let text = text.replace(" from ", ", from ");
    let (of_tray, own): (Vec<String>, Vec<String>) =
        phrases(&text).into_iter().partition(is_of_tray);
    if of_tray.is_empty() {
        return vec![part];
    }
    let tray = read(&of_tray.join(", "));
    let tray = NamedPart {
        key: part.key.clone(),
        what: "what is told of the tray".to_owned(),
        contact: Contact::Mention,
        materials: tray.materials,
        unknown: Vec::new(),
        free_of: tray.free_of,
        text: None,
    };
    let own = read(&own.join(", "));
    let worn = NamedPart {
        materials: own.materials,
        free_of: own.free_of,
        ..part
    };
    vec![worn, tray]
}

/// Where the resin of the duplicate is named.
pub const RESIN: &str = "duplicate.resin";

/// Whether the patient wears a duplicate that the office has made.
pub fn wears_duplicate(input: &Input<'_>) -> bool {
    let is_it = |tag: &Tag| {
        let state = input.state(tag);
        input.kind(tag) == Some(ItemKind::Duplicate)
            && state.is_none_or(|state| state.home == Side::Office)
    };
    let mut worn = BOTH.into_iter().filter_map(|arch| input.setting.worn(arch));
    worn.any(is_it)
}

/// Whether the duplicates that are named, or else all that the office has made, were worn and are out of the mouth. One
/// that was not worn yet goes in.
fn is_duplicate_out(input: &Input<'_>) -> bool {
    let made = &input.rx.duplicate;
    let named: Vec<&Tag> = [&made.upper_item, &made.lower_item]
        .into_iter()
        .flatten()
        .collect();
    let is_it = |item: &&Item| match named.as_slice() {
        [] => item.kind == ItemKind::Duplicate,
        named => named.contains(&&item.tag),
    };
    let items = input.setting.items.iter().filter(is_it);
    let mut states = items.filter_map(|item| input.state(&item.tag)).peekable();
    let is_out = |state: &State| !state.worn && (state.was_taken_out || !state.is_there());
    !wears_duplicate(input) && states.peek().is_some() && states.all(is_out)
}

fn duplicate<'a>(input: &'a Input<'a>) -> Vec<NamedPart<'a>> {
    const WHAT: &str = "the duplicate made at the office";
    const KEY: &str = RESIN;
    let duplicate = &input.rx.duplicate;
    // What is worn is of something, whether anything is written of it or not.
    let is_asked = wears_duplicate(input) && asks_at(&input.courses, input.rx, KEY);
    if *duplicate == Duplicate::default() && !is_asked {
        return Vec::new();
    }
    let contact = match is_duplicate_out(input) {
        true => Contact::Removed,
        false => Contact::Worn,
    };
    let made = match (&duplicate.resin, duplicate.flask) {
        (Some(resin), _) => {
            let mut part = NamedPart::named(KEY, WHAT, contact, resin.as_str());
            // A resin that is only called one cures somehow.
            if part.materials.is_empty() && part.unknown.is_empty() {
                part.materials.push(M::Acrylic);
            }
            part
        }
        (None, Some(Flask::Milled)) => NamedPart::chosen(KEY, WHAT, contact, M::Milled),
        (None, Some(Flask::Printed)) => NamedPart::chosen(KEY, WHAT, contact, M::Printed),
        (None, _) => NamedPart::chosen(KEY, WHAT, contact, M::Acrylic),
    };
    vec![made]
}

fn records<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    let mut found = Vec::new();
    let record = input.rx.jaw.material.and_then(|material| match material {
        RecordMaterial::Silicone => Some(M::Silicone),
        RecordMaterial::Polyether => Some(M::Polyether),
        RecordMaterial::BisAcryl => Some(M::BisAcryl),
        RecordMaterial::Zoe => Some(M::ZincOxideEugenol),
        RecordMaterial::Wax => Some(M::Wax),
        RecordMaterial::Plaster => Some(M::Gypsum),
        RecordMaterial::Resin => Some(M::Acrylic),
        RecordMaterial::Other => None,
    });
    let contact = match is_record_taken(input) {
        true => Contact::Taken,
        false => Contact::Brief,
    };
    found.extend(
        record.map(|one| NamedPart::chosen("jaw.material", "the bite record", contact, one)),
    );
    let surface = input
        .rx
        .impression
        .material
        .and_then(|material| match material {
            SurfaceMaterial::Conditioner => Some((Contact::Worn, M::Conditioner)),
            SurfaceMaterial::HardReline => Some((Contact::Worn, M::HardReline)),
            SurfaceMaterial::Silicone => Some((Contact::Brief, M::Silicone)),
            SurfaceMaterial::Polyether => Some((Contact::Brief, M::Polyether)),
            SurfaceMaterial::Zoe => Some((Contact::Brief, M::ZincOxideEugenol)),
            SurfaceMaterial::Wax => Some((Contact::Brief, M::Wax)),
            SurfaceMaterial::Alginate => Some((Contact::Brief, M::Alginate)),
            SurfaceMaterial::Other => None,
        });
    found.extend(surface.map(|(contact, one)| {
        let contact = match contact {
            Contact::Brief if is_surface_taken(input) => Contact::Taken,
            contact => contact,
        };
        NamedPart::chosen("impression.material", "the tissue surface", contact, one)
    }));
    let tray = input.rx.impression.tray.as_ref().map(Text::as_str);
    found.extend(
        tray.map(|text| NamedPart::described("impression.tray", "the tray", Contact::Brief, text)),
    );
    found.extend(rim_base(input));
    found
}

/// Whether the bite record is there already: it has its day, or is a thing of the case.
fn is_record_taken(input: &Input<'_>) -> bool {
    let jaw = &input.rx.jaw;
    let is_thing = |tag| input.kind(tag) == Some(ItemKind::BiteRecord);
    is_over(input, jaw.taken_on) || jaw.item.as_ref().is_some_and(is_thing)
}

/// Whether the tissue surface has left the mouth already.
fn is_surface_taken(input: &Input<'_>) -> bool {
    let is_impression = |(_, item): (usize, &Item)| item.kind == ItemKind::Impression;
    is_over(input, input.rx.impression.removed_on) || input.enclosed_items().any(is_impression)
}

fn is_over(input: &Input<'_>, day: Option<Day>) -> bool {
    day.is_some_and(|day| day.date() <= input.setting.today)
}

fn rim_base<'a>(input: &Input<'a>) -> Option<NamedPart<'a>> {
    let material = match input.rx.rims.base? {
        RimBase::LightCured => M::LightCured,
        RimBase::HeatCured => M::HeatCured,
        RimBase::ColdCured => M::ColdCured,
        RimBase::Wax => M::Wax,
        RimBase::Shellac => return None,
    };
    Some(NamedPart::chosen(
        "rims.base",
        "the base of the rims",
        Contact::Brief,
        material,
    ))
}

fn teeth_of(material: ToothMaterial) -> MaterialKind {
    match material {
        ToothMaterial::Resin | ToothMaterial::CrossLinked => M::AcrylicTeeth,
        ToothMaterial::Composite => M::CompositeTeeth,
        ToothMaterial::Porcelain => M::PorcelainTeeth,
        ToothMaterial::Milled => M::Milled,
        ToothMaterial::Printed => M::Printed,
    }
}

fn teeth<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    let (front, back) = (input.rx.anterior.material, input.rx.posterior.material);
    let part =
        |key, what, material| NamedPart::chosen(key, what, Contact::Worn, teeth_of(material));
    let front = front.map(|material| part("anterior.material", "the front teeth", material));
    // Pins of metal are in front teeth only.
    let back = back.filter(|material| *material != ToothMaterial::Porcelain);
    let back = back.map(|material| part("posterior.material", "the back teeth", material));
    front.into_iter().chain(back).collect()
}

fn gum<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    let shade = &input.rx.base_shade;
    let mut found = Vec::new();
    if yes(shade.fibres) {
        found.push(NamedPart::chosen(
            "base_shade.fibres",
            "the base",
            Contact::Worn,
            M::ColouredFibres,
        ));
    }
    // The code of a shade names no material but the fibres in it.
    let code = shade.code.as_ref().map(Text::as_str).unwrap_or_default();
    let is_veined = read(code).materials.contains(&M::ColouredFibres);
    found.extend(is_veined.then(|| {
        NamedPart::chosen(
            "base_shade.code",
            "the base",
            Contact::Worn,
            M::ColouredFibres,
        )
    }));
    let texts = [
        (
            "base_shade.characterisation",
            "the base",
            shade.characterisation.as_ref().map(LongText::as_str),
        ),
        (
            "spare.characterisation",
            "the spare",
            input.rx.spare.characterisation.as_ref().map(Text::as_str),
        ),
    ];
    for (key, what, text) in texts {
        found.extend(text.map(|text| characterised(key, what, text)));
    }
    found
}

/// Stains, where it says so; else whether a colour is meant is a question, unless each phrase of the text says that
/// there is none.
fn characterised<'a>(key: &str, what: &str, text: &'a str) -> NamedPart<'a> {
    let mut part = NamedPart::described(key, what, Contact::Worn, text);
    let said = phrases(text);
    let is_none = said
        .first()
        .is_some_and(|first| first_word(first) == "none");
    if part.materials.is_empty() && !is_none && !said.iter().all(|phrase| is_plain(phrase)) {
        part.materials.push(M::AnyColour);
    }
    part
}

fn first_word(text: &str) -> String {
    let words = text.split(|sign: char| !sign.is_alphanumeric());
    let mut words = words.filter(|word| !word.is_empty());
    words.next().unwrap_or_default().to_lowercase()
}

/// Whether a phrase says that nothing is coloured, or says nothing.
fn is_plain(phrase: &str) -> bool {
    let mut words = phrase.split(|sign: char| !sign.is_alphanumeric());
    let first = first_word(phrase);
    matches!(first.as_str(), "" | "no" | "without" | "not")
        || words.any(|word| word.eq_ignore_ascii_case("plain"))
}

/// The part of the base that is of metal, in words.
pub fn metal_part(input: &Input<'_>) -> Option<&'static str> {
    let base = &input.rx.base;
    if base.material == Some(BaseMaterial::MetalBase) {
        return Some("a metal base");
    }
    if yes(base.metal_palate) {
        return Some("a metal palate");
    }
    match base.strengthening {
        Some(Strengthening::MetalMesh) => Some("a metal mesh"),
        Some(Strengthening::Bar) => Some("a bar"),
        _ => None,
    }
}

/// Whether the alloy of a metal part stands with a piece or with the base.
pub fn names_alloy<'a>(input: &'a Input<'a>) -> bool {
    let mut all = pieces(input);
    all.extend(base(input));
    let note = input.rx.base.note.as_ref().map(LongText::as_str);
    all.extend(note.map(|text| NamedPart::described("base.note", "", Contact::Mention, text)));
    all.iter().any(NamedPart::names_an_alloy)
}

/// The material of a base; none where it is of metal, which has its alloy, or is told in words.
fn base_of(material: BaseMaterial) -> Option<MaterialKind> {
    match material {
        BaseMaterial::HeatCured => Some(M::HeatCured),
        BaseMaterial::HighImpact => Some(M::HighImpact),
        BaseMaterial::ColdCured => Some(M::ColdCured),
        BaseMaterial::Milled => Some(M::Milled),
        BaseMaterial::Printed => Some(M::Printed),
        BaseMaterial::Polyamide => Some(M::Polyamide),
        BaseMaterial::MetalBase | BaseMaterial::Other => None,
    }
}

fn base<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    let base = &input.rx.base;
    let mut found = Vec::new();
    let material = match (base.material, base.process) {
        (
            None
            | Some(BaseMaterial::HeatCured | BaseMaterial::HighImpact | BaseMaterial::ColdCured),
            Some(Process::Pour),
        ) => Some(M::Pour),
        (material, _) => material.and_then(base_of),
    };
    let key = if base.material.is_some() {
        "base.material"
    } else {
        "base.process"
    };
    found.extend(material.map(|one| NamedPart::chosen(key, "the base", Contact::Worn, one)));
    let product = base.product.as_ref().map(Text::as_str);
    found.extend(
        product.map(|text| NamedPart::named("base.product", "the base", Contact::Worn, text)),
    );
    let is_fibre = base.strengthening == Some(Strengthening::GlassFibre);
    found.extend(is_fibre.then(|| {
        NamedPart::chosen(
            "base.strengthening",
            "the strengthening",
            Contact::Worn,
            M::GlassFibre,
        )
    }));
    found
}

/// A soft liner, by what its note or a piece says of it. The conditioner in which the tissue surface was taken is none.
fn liner<'a>(input: &Input<'a>, others: &[NamedPart<'_>]) -> Option<NamedPart<'a>> {
    let base = &input.rx.base;
    if !yes(base.soft_liner) {
        return None;
    }
    let is_liner = |material: &MaterialKind| entry(*material).family == Family::Liner;
    let note = base
        .soft_liner_note
        .as_ref()
        .map(Text::as_str)
        .unwrap_or_default();
    let mut part = NamedPart::described(
        "base.soft_liner_note",
        "the soft liner",
        Contact::Worn,
        note,
    );
    if part.materials.contains(&M::Silicone) {
        part.materials.push(M::SoftSilicone);
    }
    if part.materials.contains(&M::Acrylic) {
        part.materials.push(M::SoftAcrylic);
    }
    part.materials
        .retain(|one| *one != M::Silicone && *one != M::Acrylic);
    let said_elsewhere = others
        .iter()
        .filter(|one| one.text.is_some())
        .flat_map(|one| &one.materials)
        .any(|material| is_liner(material) && !entry(*material).is_general);
    if !part.materials.iter().any(is_liner) && !said_elsewhere {
        part.materials.push(M::SoftLiner);
    }
    Some(part)
}

fn alloy_of(alloy: Option<Alloy>) -> Option<MaterialKind> {
    match alloy? {
        Alloy::CoCr => Some(M::CobaltChromium),
        Alloy::NiCr => Some(M::NickelChromium),
        Alloy::CoCrNi => Some(M::CobaltChromiumNickel),
        Alloy::Steel => Some(M::Steel),
        Alloy::NickelFreeSteel => Some(M::NickelFreeSteel),
        Alloy::Titanium => Some(M::Titanium),
        Alloy::TitaniumAlloy => Some(M::TitaniumAlloy),
        Alloy::Gold => Some(M::Gold),
        Alloy::Palladium => Some(M::Palladium),
        Alloy::Other | Alloy::NoneNamed => None,
    }
}

/// The metal parts with their alloy, or as metal of which nobody has said which.
fn metal<'a>(input: &Input<'a>, others: &[NamedPart<'_>]) -> Option<NamedPart<'a>> {
    let alloy = input.rx.base.alloy;
    if let Some(material) = alloy_of(alloy) {
        return Some(NamedPart::chosen(
            "base.alloy",
            "the metal parts",
            Contact::Worn,
            material,
        ));
    }
    let part = metal_part(input);
    let part = part.or(alloy.map(|_| "the metal parts"))?;
    let is_said = others.iter().any(NamedPart::names_an_alloy);
    (!is_said).then(|| NamedPart::chosen("base.alloy", part, Contact::Worn, M::AnyMetal))
}

/// The spare: by its own base, or by that of the order where the order is the copy itself.
fn spare<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    const WHAT: &str = "the spare";
    let spare = &input.rx.spare;
    if matches!(spare.arch, None | Some(SpareArch::None)) {
        return Vec::new();
    }
    let is_the_order = !input.pieces().is_empty() && input.reaches(&[Stage::Duplicate]);
    let material = match spare.base {
        Some(material) => base_of(material),
        None if is_the_order || spare_is_described(input) => None,
        None => Some(M::Acrylic),
    };
    let mut found: Vec<NamedPart<'_>> = Vec::new();
    found.extend(material.map(|one| NamedPart::chosen("spare.base", WHAT, Contact::Worn, one)));
    let metal =
        spare.base == Some(BaseMaterial::MetalBase) && alloy_of(input.rx.base.alloy).is_none();
    found.extend(metal.then(|| NamedPart::chosen("spare.base", WHAT, Contact::Worn, M::AnyMetal)));
    found.extend(spare_teeth(input, material));
    let note = spare.note.as_ref().map(LongText::as_str);
    found.extend(note.map(|text| NamedPart::described("spare.note", WHAT, Contact::Worn, text)));
    found
}

/// The teeth of the spare: a second set of denture teeth, or tooth-coloured resin, which is that of the base where this
/// is an acrylic, and else one of which the cure is not said.
fn spare_teeth<'a>(input: &Input<'a>, base: Option<MaterialKind>) -> Option<NamedPart<'a>> {
    let is_acrylic = |kind: MaterialKind| entry(kind).holding(Substance::Methacrylates).is_some();
    let is_stated = |text: &str| {
        let mut named = read(text).materials.into_iter();
        named.any(|kind| entry(kind).family == Family::Resin && is_acrylic(kind))
    };
    let chosen = input.rx.anterior.material.or(input.rx.posterior.material);
    let material = match input.rx.spare.teeth? {
        SpareTeeth::DentureTeeth => chosen.is_none().then_some(M::AcrylicTeeth)?,
        SpareTeeth::Resin if base.is_some_and(is_acrylic) => return None,
        SpareTeeth::Resin => M::Acrylic,
    };
    let pieces = input.pieces().iter();
    let copies = pieces.filter(|piece| piece.stage == Some(Stage::Duplicate));
    let copies = copies.filter_map(|piece| piece.materials.as_ref());
    let spare = &input.rx.spare;
    let note = spare.note.as_ref().map(LongText::as_str);
    let resin = input.rx.duplicate.resin.as_ref();
    let mut texts = copies.chain(resin).map(Text::as_str).chain(note);
    let is_open = spare.base.is_none() && material == M::Acrylic;
    let is_said = is_open && texts.any(is_stated);
    (!is_said).then(|| {
        NamedPart::chosen(
            "spare.teeth",
            "the teeth of the spare",
            Contact::Worn,
            material,
        )
    })
}

/// The spare that the duplicate worn meanwhile becomes is of the duplicate's resin.
fn spare_is_described(input: &Input<'_>) -> bool {
    let names_a_resin = |text: &str| {
        let named = read(text);
        let mut materials = named.materials.iter().map(|material| entry(*material));
        materials.any(|entry| entry.family == Family::Resin && !entry.is_general)
    };
    let note = input.rx.spare.note.as_ref().map(LongText::as_str);
    let is_of_the_office = input.rx.duplicate.resin.is_some();
    is_of_the_office || note.is_some_and(names_a_resin)
}

fn baths<'a>(input: &Input<'a>) -> Vec<NamedPart<'a>> {
    let mut found = Vec::new();
    for (row, enclosed) in input.enclosed().iter().enumerate() {
        let kind = enclosed.tag.as_ref().and_then(|tag| input.kind(tag));
        let contact = match kind {
            Some(kind) if kind.is_denture() => Contact::BathOfWorn,
            Some(
                ItemKind::TryIn
                | ItemKind::Rims
                | ItemKind::BiteRecord
                | ItemKind::FacebowRecord
                | ItemKind::Impression,
            ) => Contact::BathOfOther,
            _ => continue,
        };
        let what = format!("the disinfectant of enclosed item {}", row + 1);
        let agent = enclosed.agent.as_ref().map(Text::as_str);
        found.extend(
            agent.map(|text| {
                NamedPart::named(format!("enclosed.{row}.agent"), &what, contact, text)
            }),
        );
    }
    found
}

/// What the spare lies in from day to day.
fn stored<'a>(input: &Input<'a>) -> Option<NamedPart<'a>> {
    if matches!(input.rx.spare.arch, None | Some(SpareArch::None)) {
        return None;
    }
    let text = input.rx.spare.stored.as_ref()?.as_str();
    Some(NamedPart::described(
        "spare.stored",
        "what the spare is kept in",
        Contact::BathOfWorn,
        text,
    ))
}

/// Free texts that name no material of this work, each with the reason.
pub const NOT_READ: &[(&str, &str)] = &[
    ("order.earlier_case", "a number"),
    ("order.remake_reason", "what was wrong with earlier work"),
    ("duplicate.made_by", "a person’s function"),
    ("scans.#.file", "the name of a file"),
    ("facebow.record_id", "a mark on a record"),
    ("shade.guide", "the name of a guide"),
    ("shade.tab", "a code of a guide"),
    ("shade.posterior_tab", "a code of a guide"),
    ("base_shade.guide", "the name of a guide"),
    (
        "base_shade.code",
        "a code of a guide, which is read for its fibers alone",
    ),
    ("spare.tooth_shade", "a code of a guide"),
    ("base.without", "what is to be avoided itself"),
    ("marking.set_letter", "the number of a set"),
    (
        "enclosed.#.condition",
        "how a thing looks that was made before",
    ),
    ("enclosed.#.by", "a person’s function"),
    ("returns.#.what", "what goes back to the office"),
    ("returns.#.note", "what goes back to the office"),
    ("remarks.call_before", "what is not to be done unasked"),
];

/// Every other text, in which a material may be told of.
fn prose<'a>(input: &'a Input<'a>, read: &[NamedPart<'_>]) -> Vec<NamedPart<'a>> {
    let is_read = |key: &str| {
        read.iter()
            .any(|part| part.text.is_some() && part.key == key)
    };
    let is_left = |field: &str| NOT_READ.iter().any(|(key, _)| *key == field);
    let texts = input.texts().iter();
    texts
        .filter(|one| !is_left(one.field) && !is_read(&one.key))
        .map(|one| {
            let named = read_prose(&one.text);
            NamedPart {
                key: one.key.clone(),
                what: format!("the text under “{}”", one.title),
                contact: Contact::Mention,
                materials: named.materials,
                unknown: Vec::new(),
                free_of: named.free_of,
                text: Some(one.text.as_str()),
            }
        })
        .collect()
}

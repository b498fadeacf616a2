//! Orders that most prescriptions are not: an immediate denture, and a copy made from files.

use super::input::{BOTH, Input, no, rows_named, rows_where, words, yes};
use super::reasons::{ANY_TOOTH, TOOTH_TWICE};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{CAST_TRIM, FILES, OWN_RULE, PRACTICE};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{ADD_AGAIN, FileFacts, FiledScan, box_words};
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::{
    CastCutter, Course, ExtractedWhen, Extraction, FileFormat, FileUnits, JoinedBy, ScanFile,
    ScanShows, Stage,
};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::Tooth;
use crate::domain::values::words::counted;

/// A full arch of a complete denture.
const FULL_ARCH: i64 = 14;
/// A socket is cut no deeper than this without reduction of the bone. From memory of articles on cast trimming.
const DEEP: Mm = Mm::from_hundredths(300);
/// The most that is cut toward palate or tongue. A teaching text on immediate dentures.
const DEEP_INSIDE: Mm = Mm::from_hundredths(200);

/// The rules about immediate dentures and about files, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "extraction-list-missing",
        list_missing,
        "The lab cuts off the cast what it believes is extracted; a tooth cut off by mistake cannot be put back.",
        PRACTICE,
    ),
    caution(
        "immediate-off-the-card",
        off_card,
        "A denture is immediate where teeth stand until it goes in; otherwise it is another kind of work.",
        PRACTICE,
    ),
    stop(
        "jaw-with-the-teeth-unsaid",
        single_for_both,
        "A single denture is made for one jaw, against the teeth of the other.",
        PRACTICE,
    ),
    stop(
        "extraction-without-tooth",
        tooth_unsaid,
        ANY_TOOTH,
        PRACTICE,
    ),
    stop("extraction-twice", twice, TOOTH_TWICE, PRACTICE),
    caution(
        "extraction-in-another-jaw",
        another_jaw,
        "No denture is ordered that would replace the tooth.",
        PRACTICE,
    ),
    caution(
        "extraction-when-unsaid",
        when_unsaid,
        "A tooth that stays for now may not be cut off the cast.",
        PRACTICE,
    ),
    stop(
        "cast-trim-unsaid",
        trim_unsaid,
        "Teeth stand on the cast where the denture is to be made.",
        PRACTICE,
    ),
    caution(
        "cast-trim-irreversible",
        irreversible,
        "What is cut off a cast cannot be put back: keep a cast that is not cut.",
        CAST_TRIM,
    ),
    caution(
        "cast-trim-deep",
        deep,
        "A cast cut deeper than the bone is reduced gives a denture that does not go to place.",
        CAST_TRIM,
    ),
    caution(
        "uncut-cast-unrecorded",
        unrecorded,
        "Without a picture of the uncut cast nobody knows afterwards what stood there.",
        PRACTICE,
    ),
    caution(
        "extraction-after-the-denture",
        stays_behind,
        "A denture of the whole arch does not go in over a tooth that still stands.",
        PRACTICE,
    ),
    caution(
        "cast-left-with-teeth",
        uncut,
        "A denture made over a tooth on the cast does not go in where the tooth is gone.",
        PRACTICE,
    ),
    caution(
        "cut-cast-not-sent",
        cut_and_not_sent,
        "The lab pours an impression with every tooth that stood in the mouth: what was cut was another cast.",
        PRACTICE,
    ),
    caution(
        "bone-reduced-without-clear-copy",
        no_clear_copy,
        "Bone is reduced until the clear copy no longer blanches the mucosa; without it nobody sees where it presses.",
        PRACTICE,
    ),
    remark(
        "try-in-before-extraction",
        tried_early,
        "Where front teeth still stand, a try-in shows the back teeth and the height alone.",
        PRACTICE,
    ),
    caution(
        "scan-unnamed",
        unnamed,
        "A file that is not named is not missed.",
        PRACTICE,
    ),
    stop(
        "scan-units-unknown",
        units,
        "A denture read in inches is twenty-five times too large, and one read in millimeters that is written in inches vanishes.",
        FILES,
    ),
    caution(
        "scan-units-not-stated",
        units_not_stated,
        "One width measured on the thing itself shows the unit.",
        FILES,
    ),
    caution(
        "scans-in-two-units",
        two_units,
        "Files that meet in one bite are of one size: one of them would be read twenty-five times too large or too small.",
        FILES,
    ),
    stop(
        "scan-size-of-no-jaw",
        odd_size,
        "A file read in another unit is a denture for nobody: what is milled from it is thrown away.",
        OWN_RULE,
    ),
    caution(
        "scan-width-off-its-file",
        width_outside,
        "A width that is measured on the thing cannot be larger than the file that shows it.",
        OWN_RULE,
    ),
    caution(
        "scans-of-one-jaw-twice",
        whole_twice,
        "Of two files that show one denture all round the lab takes one, and nobody says which.",
        OWN_RULE,
    ),
    caution(
        "scan-width-of-no-jaw",
        odd_width,
        "A width that no jaw has tells of another place, or of another unit.",
        OWN_RULE,
    ),
    stop(
        "scans-of-the-jaws-not-joined",
        not_joined,
        "Two files that do not know of each other have no bite.",
        OWN_RULE,
    ),
    stop(
        "scan-of-a-jaw-missing",
        jaw_missing,
        "A copy is made from the thing itself or from a file that shows it.",
        OWN_RULE,
    ),
    caution(
        "scan-before-last-correction",
        before_correction,
        "The file shows the denture as it was before it was corrected.",
        OWN_RULE,
    ),
    caution(
        "scan-not-looked-at",
        not_inspected,
        "Holes and exchanged sides are seen by whoever opens the file, best before it is sent.",
        PRACTICE,
    ),
    remark(
        "scan-without-fingerprint",
        no_hash,
        "The SHA-256 shows that the file which arrives is the one that was sent.",
        OWN_RULE,
    ),
    stop(
        "scan-off-its-item",
        off_its_item,
        "One of the two is another file.",
        OWN_RULE,
    ),
    caution(
        "scan-named-otherwise",
        named_otherwise,
        "The lab looks for a file by its name and opens it by its format.",
        OWN_RULE,
    ),
    caution(
        "scan-twice",
        scan_twice,
        "Each row is one file that shows one thing; of two rows for one file one was meant for another.",
        OWN_RULE,
    ),
];

/// Stages at whose end the teeth of the arch are gone from the cast.
const WITHOUT_TEETH: &[Stage] = &[Stage::SetUp, Stage::TryIn, Stage::Reset, Stage::Process];

/// Whether a denture is ordered for an arch.
fn is_made(input: &Input<'_>, arch: Arch) -> bool {
    let mut pieces = input.pieces().iter();
    pieces.any(|piece| {
        let stage = piece.stage;
        piece.arch == Some(arch) && stage.is_some_and(|stage| WITHOUT_TEETH.contains(&stage))
    })
}

/// Whether a denture is ordered for an arch in which natural teeth stand.
fn is_immediate(input: &Input<'_>, arch: Arch) -> bool {
    is_made(input, arch) && input.setting.has_natural_teeth(arch)
}

/// Whether an immediate denture is ordered by the kind of work, whatever the card says.
fn is_called_immediate(input: &Input<'_>) -> bool {
    let is_made = || BOTH.into_iter().any(|arch| is_made(input, arch));
    input.rx.order.course == Some(Course::Immediate) && is_made()
}

/// An immediate denture for jaws of which the card does not say that teeth stand there.
fn off_card(input: &Input<'_>) -> Option<Hit> {
    if !is_called_immediate(input) {
        return None;
    }
    let teeth = |arch: Arch| input.patient().and_then(|card| card.teeth(arch));
    let stands = |arch: Arch| {
        input.setting.has_natural_teeth(arch) || teeth(arch) == Some(OwnTeeth::Natural)
    };
    let is_listed = |arch: Arch| {
        let mut rows = extractions(input).iter();
        rows.any(|row| row.tooth.is_some_and(|tooth| tooth.arch() == arch))
    };
    // What is listed tells where teeth stand while the card is silent.
    let is_known = |arch: &Arch| stands(*arch) || (teeth(*arch).is_none() && is_listed(*arch));
    let made: Vec<Arch> = BOTH
        .into_iter()
        .filter(|arch| is_made(input, *arch))
        .collect();
    // Each jaw is asked about by itself; that one is without teeth by the card is no fault where they stand in the other.
    let is_unsaid = |arch: &&Arch| teeth(**arch).is_none() && !is_known(arch);
    let unsaid = made.iter().find(is_unsaid);
    let none_stand = || made.first().filter(|_| !made.iter().any(is_known));
    let arch = unsaid.or_else(none_stand)?;
    let said = match unsaid {
        Some(_) => "whether natural teeth stand there is not on the patient’s card",
        None => "by the patient’s card no natural teeth stand there",
    };
    at(
        format!("patient.teeth_{}", arch.word()),
        format!(
            "An immediate denture is ordered for the {} jaw, and {said}.",
            arch.shown()
        ),
    )
}

/// A single denture ordered for both jaws, while the card does not say in which of them the teeth stand.
fn single_for_both(input: &Input<'_>) -> Option<Hit> {
    let has_teeth = |arch: Arch| {
        let own = input.patient().and_then(|card| card.teeth(arch));
        input.setting.has_natural_teeth(arch)
            || matches!(own, Some(OwnTeeth::Natural | OwnTeeth::Implants))
    };
    let is_open = |arch: Arch| is_made(input, arch) && !has_teeth(arch);
    let is_single = input.rx.order.course == Some(Course::Single);
    let wrong = is_single && BOTH.into_iter().all(is_open);
    when(
        wrong,
        "patient.teeth_lower",
        "A single denture against teeth is ordered for both jaws, and which jaw has the teeth is not on the patient’s card.",
    )
}

fn extractions<'a>(input: &Input<'a>) -> &'a [Extraction] {
    &input.rx.cast_trim.extractions
}

fn list_missing(input: &Input<'_>) -> Option<Hit> {
    let is_listed = |arch: Arch| {
        let mut rows = extractions(input).iter();
        rows.any(|row| row.tooth.is_none_or(|tooth| tooth.arch() == arch))
    };
    let arch = BOTH
        .into_iter()
        .find(|arch| is_immediate(input, *arch) && !is_listed(*arch));
    if let Some(arch) = arch {
        return at(
            "extractions.0.tooth",
            format!(
                "Natural teeth stand in the {} jaw, a denture is ordered for it, and no tooth is listed as extracted.",
                arch.shown()
            ),
        );
    }
    let sentence = if is_called_immediate(input) {
        "An immediate denture is ordered, and no tooth is listed as extracted."
    } else if input.rx.cast_trim.by == Some(CastCutter::Lab) {
        "The lab is to cut teeth off the cast, and none is listed."
    } else {
        return None;
    };
    when(
        extractions(input).is_empty(),
        "extractions.0.tooth",
        sentence,
    )
}

/// A hit at the first row for which `wrong` holds; the sentence names all of them.
fn in_extractions(
    input: &Input<'_>,
    field: &str,
    wrong: impl Fn(&Extraction) -> bool,
    said: &str,
) -> Option<Hit> {
    let rows = rows_where(extractions(input), wrong);
    let row = rows.first()?;
    at(
        format!("extractions.{row}.{field}"),
        format!("{}: {said}", rows_named("Extraction", &rows)),
    )
}

fn tooth_unsaid(input: &Input<'_>) -> Option<Hit> {
    in_extractions(
        input,
        "tooth",
        |row| row.tooth.is_none(),
        "which tooth is not given.",
    )
}

fn twice(input: &Input<'_>) -> Option<Hit> {
    let rows = extractions(input);
    let (place, tooth) = rows.iter().enumerate().find_map(|(place, row)| {
        let tooth = row.tooth?;
        let is_before = rows
            .iter()
            .take(place)
            .any(|before| before.tooth == Some(tooth));
        is_before.then_some((place, tooth))
    })?;
    at(
        format!("extractions.{place}.tooth"),
        format!(
            "The {} stands twice in the list of what is extracted.",
            tooth.words()
        ),
    )
}

fn another_jaw(input: &Input<'_>) -> Option<Hit> {
    in_extractions(
        input,
        "tooth",
        |row| row.tooth.is_some_and(|tooth| !input.orders(tooth.arch())),
        "it stands in a jaw for which nothing is ordered.",
    )
}

fn when_unsaid(input: &Input<'_>) -> Option<Hit> {
    in_extractions(
        input,
        "when",
        |row| row.when.is_none(),
        "when it is extracted is not given.",
    )
}

/// Rows of teeth that are gone when the denture goes in, yet stand on the cast.
fn to_cut(input: &Input<'_>) -> usize {
    let rows = extractions(input).iter();
    rows.filter(|row| row.when != Some(ExtractedWhen::Later))
        .count()
}

fn trim_unsaid(input: &Input<'_>) -> Option<Hit> {
    let is_immediate =
        is_called_immediate(input) || BOTH.into_iter().any(|arch| is_immediate(input, arch));
    let wrong = input.rx.cast_trim.by.is_none() && (is_immediate || to_cut(input) > 0);
    when(
        wrong,
        "cast_trim.by",
        "Who cuts the teeth to be extracted off the cast is not given.",
    )
}

fn irreversible(input: &Input<'_>) -> Option<Hit> {
    let trim = &input.rx.cast_trim;
    if trim.by != Some(CastCutter::Lab) || to_cut(input) == 0 {
        return None;
    }
    let depth = match trim.facial_mm {
        Some(depth) => format!("{depth} mm deep toward lip and cheek"),
        None => "how deep is not given".to_owned(),
    };
    let key = if trim.facial_mm.is_some() {
        "cast_trim.by"
    } else {
        "cast_trim.facial_mm"
    };
    let teeth = match to_cut(input) {
        1 => "1 tooth".to_owned(),
        count => format!("{count} teeth"),
    };
    at(
        key,
        format!("The lab is to cut {teeth} off the cast, {depth}."),
    )
}

fn deep(input: &Input<'_>) -> Option<Hit> {
    let trim = &input.rx.cast_trim;
    if let Some(depth) = trim.palatal_mm.filter(|depth| *depth > DEEP_INSIDE) {
        return at(
            "cast_trim.palatal_mm",
            format!(
                "The cast is to be cut {depth} mm deep toward palate or tongue; 2 mm are the most that is taught."
            ),
        );
    }
    let depth = trim.facial_mm?;
    (depth > DEEP && !yes(trim.bone)).then(|| {
        at(
            "cast_trim.facial_mm",
            format!("The cast is to be cut {depth} mm deep, and the bone is not to be reduced."),
        )
    })?
}

fn unrecorded(input: &Input<'_>) -> Option<Hit> {
    let trim = &input.rx.cast_trim;
    let wrong = trim.by == Some(CastCutter::Lab) && (trim.photo.is_none() || no(trim.photo));
    when(
        wrong,
        "cast_trim.photo",
        "The lab is to cut the cast, and a photograph of it before is not asked for.",
    )
}

/// Whether a denture of this arch goes in as it comes back.
fn goes_in(input: &Input<'_>, arch: Arch) -> bool {
    let mut pieces = input.pieces().iter();
    pieces.any(|piece| piece.arch == Some(arch) && piece.stage == Some(Stage::Process))
}

/// Whether every tooth of the arch is ordered: a denture of fewer teeth may leave room for one that stays.
fn is_whole(input: &Input<'_>, arch: Arch) -> bool {
    let teeth = &input.rx.posterior;
    let count = match arch {
        Arch::Upper => teeth.teeth_upper,
        Arch::Lower => teeth.teeth_lower,
    };
    teeth.left_out.is_none() && count.is_some_and(|count| count.get() >= FULL_ARCH)
}

fn stays_behind(input: &Input<'_>) -> Option<Hit> {
    let is_in_the_way = |row: &Extraction| {
        let arch = row.tooth.map(|tooth| tooth.arch());
        row.when == Some(ExtractedWhen::Later)
            && arch.is_some_and(|arch| goes_in(input, arch) && is_whole(input, arch))
    };
    in_extractions(
        input,
        "when",
        is_in_the_way,
        "the tooth stays for now, and a denture of the whole arch is to go in.",
    )
}

fn uncut(input: &Input<'_>) -> Option<Hit> {
    let is_on_the_cast = |row: &&Extraction| {
        let is_out = matches!(
            row.when,
            Some(ExtractedWhen::AtInsertion | ExtractedWhen::AlreadyOut)
        );
        is_out && row.tooth.is_some_and(|tooth| goes_in(input, tooth.arch()))
    };
    let teeth = extractions(input).iter().filter(is_on_the_cast).count();
    let wrong = teeth > 0 && input.rx.cast_trim.by == Some(CastCutter::Nobody);
    let teeth = match teeth {
        1 => "1 tooth that is out when the denture goes in stands".to_owned(),
        more => format!("{more} teeth that are out when the denture goes in stand"),
    };
    when(
        wrong,
        "cast_trim.by",
        &format!("The cast stays as it is, and {teeth} on it."),
    )
}

/// Teeth that the dentist has cut off a cast, while the lab gets an impression of the jaw and no cast of it.
fn cut_and_not_sent(input: &Input<'_>) -> Option<Hit> {
    if input.rx.cast_trim.by != Some(CastCutter::Dentist) || !input.lists_enclosures() {
        return None;
    }
    let is_cut = |arch: Arch| {
        let stands = |row: &Extraction| {
            let is_now = row.when != Some(ExtractedWhen::Later);
            is_now && row.tooth.is_some_and(|tooth| tooth.arch() == arch)
        };
        extractions(input).iter().any(stands)
    };
    let comes = |kind: ItemKind, arch: Arch| {
        let is_it = |item: &&Item| item.kind == kind && item.arch.is_none_or(|own| own == arch);
        let mut things = input.setting.items.iter().filter(is_it);
        things.any(|item| input.reaches_lab(&item.tag))
    };
    // What stands in the list by its words alone may be the cast.
    let is_unnamed = input.enclosed().iter().any(|row| row.tag.is_none());
    let is_poured = |arch: &Arch| {
        is_cut(*arch)
            && comes(ItemKind::Impression, *arch)
            && !comes(ItemKind::Cast, *arch)
            && !is_unnamed
    };
    let arch = BOTH.into_iter().find(is_poured)?;
    at(
        "cast_trim.by",
        format!(
            "The dentist has cut the teeth off the cast, and of the {} jaw an impression is sent and no cast.",
            arch.shown()
        ),
    )
}

fn no_clear_copy(input: &Input<'_>) -> Option<Hit> {
    let trim = &input.rx.cast_trim;
    when(
        yes(trim.bone) && !yes(trim.stent),
        "cast_trim.stent",
        "Bone is to be reduced, and no clear copy of the fitting surface is ordered.",
    )
}

fn tried_early(input: &Input<'_>) -> Option<Hit> {
    let is_tried = |arch: Arch| {
        let mut pieces = input.pieces().iter();
        pieces.any(|piece| piece.arch == Some(arch) && piece.stage == Some(Stage::TryIn))
    };
    let stands = |row: &Extraction| {
        let is_front = |tooth: Tooth| tooth.is_anterior() && is_tried(tooth.arch());
        let is_there = matches!(
            row.when,
            Some(ExtractedWhen::AtInsertion | ExtractedWhen::Later)
        );
        is_there && row.tooth.is_some_and(is_front)
    };
    in_extractions(
        input,
        "tooth",
        stands,
        "a front tooth still stands, and a try-in is ordered.",
    )
}

fn scans<'a>(input: &Input<'a>) -> &'a [ScanFile] {
    &input.rx.scan_set.scans
}

/// A hit at the first file for which `wrong` holds; the sentence names all of them.
fn in_scans(
    input: &Input<'_>,
    field: &str,
    wrong: impl Fn(&ScanFile) -> bool,
    said: &str,
) -> Option<Hit> {
    let rows = rows_where(scans(input), wrong);
    let row = rows.first()?;
    at(
        format!("scans.{row}.{field}"),
        format!("{}: {said}", rows_named("File", &rows)),
    )
}

fn unnamed(input: &Input<'_>) -> Option<Hit> {
    in_scans(
        input,
        "file",
        |scan| scan.tag.is_none() && scan.file.is_none(),
        "neither a tag nor a file name stands there.",
    )
}

/// Whether a file holds a form, whose numbers need a unit; a 3MF file names its own.
fn is_form(scan: &ScanFile) -> bool {
    !is_picture(scan) && scan.format != Some(FileFormat::ThreeMf)
}

fn is_picture(scan: &ScanFile) -> bool {
    scan.shows == Some(ScanShows::ShadePhoto)
        || matches!(scan.format, Some(FileFormat::Png | FileFormat::Jpeg))
}

fn units_of(input: &Input<'_>, scan: &ScanFile) -> Option<FileUnits> {
    let of_item = || input.file(scan.tag.as_ref()?)?.units;
    scan.units.or_else(of_item)
}

fn units(input: &Input<'_>) -> Option<Hit> {
    in_scans(
        input,
        "units",
        |scan| {
            let units = units_of(input, scan);
            is_form(scan) && matches!(units, None | Some(FileUnits::Unknown))
        },
        "in which unit it is written is not known.",
    )
}

fn units_not_stated(input: &Input<'_>) -> Option<Hit> {
    let is_checked = input.rx.scan_set.width_checked_mm.is_some();
    in_scans(
        input,
        "units",
        |scan| {
            let is_open = units_of(input, scan) == Some(FileUnits::NoneStated);
            is_form(scan) && is_open && !is_checked
        },
        "no unit is stated, and no width was measured to tell it by.",
    )
}

/// Files of one set with different units.
fn two_units(input: &Input<'_>) -> Option<Hit> {
    let is_known = |units: &FileUnits| !matches!(units, FileUnits::Unknown | FileUnits::NoneStated);
    let stated = scans(input).iter().enumerate();
    let stated = stated.filter(|(_, scan)| is_form(scan));
    let mut stated =
        stated.filter_map(|(row, scan)| Some((row, units_of(input, scan).filter(is_known)?)));
    let (first, of_first) = stated.next()?;
    let (row, units) = stated.find(|(_, units)| *units != of_first)?;
    at(
        format!("scans.{row}.units"),
        format!(
            "File {} is in {}, and file {} in {}.",
            first + 1,
            of_first.shown(),
            row + 1,
            units.shown()
        ),
    )
}

/// Whether a file shows a jaw or a denture, by which its size can be judged.
fn shows_a_jaw(scan: &ScanFile) -> bool {
    use ScanShows as S;
    let is_jaw = |shows| {
        matches!(
            shows,
            S::UpperWhole
                | S::UpperFitting
                | S::LowerWhole
                | S::LowerFitting
                | S::InOcclusion
                | S::Opposing
        )
    };
    scan.shows.is_some_and(is_jaw) && !is_picture(scan)
}

/// A file as it is kept here: the box of its bytes is known.
fn kept_scan<'a>(input: &Input<'a>, scan: &ScanFile) -> Option<&'a FiledScan> {
    let of_item = || input.file(scan.tag.as_ref()?)?.sha256.as_ref();
    let hash = scan.sha256.as_ref().or_else(of_item)?;
    let mut filed = input.setting.scans.iter();
    filed.find(|one| one.hash == hash.as_str())
}

/// The unit that a 3MF names stands above what is said beside it.
const EXPORT_AGAIN: &str =
    "a 3MF names its own unit: export it again in the unit it was scanned in, and add that.";

fn odd_size(input: &Input<'_>) -> Option<Hit> {
    let mut rows = scans(input).iter().enumerate();
    rows.find_map(|(row, scan)| {
        let kept = kept_scan(input, scan).filter(|_| shows_a_jaw(scan))?;
        let off = kept.size_off()?;
        let what_to_do = match scan.format {
            Some(FileFormat::ThreeMf) => EXPORT_AGAIN,
            _ => ADD_AGAIN,
        };
        at(
            format!("scans.{row}.units"),
            format!("File {}: {off}; {what_to_do}", row + 1),
        )
    })
}

/// A width in the mouth's measure against the boxes of the files that show the whole.
fn width_outside(input: &Input<'_>) -> Option<Hit> {
    let width = input.rx.scan_set.width_checked_mm?;
    let width_um = u128::try_from(width.hundredths()).ok()? * 10;
    let mut rows = scans(input).iter().enumerate();
    let (row, kept) = rows.find_map(|(row, scan)| {
        let is_whole = matches!(
            scan.shows,
            Some(ScanShows::UpperWhole | ScanShows::LowerWhole)
        );
        let kept = kept_scan(input, scan).filter(|kept| is_whole && !kept.is_odd_size())?;
        // From corner to corner, however it lies in its box.
        let square = |side: u64| u128::from(side) * u128::from(side);
        let corner: u128 = kept.box_um.into_iter().map(square).sum();
        (width_um * width_um > corner).then_some((row, kept))
    })?;
    at(
        "scan_set.width_checked_mm",
        format!(
            "{width} mm were measured over the first molars, and file {} is {}.",
            row + 1,
            box_words(kept.box_um)
        ),
    )
}

fn whole_twice(input: &Input<'_>) -> Option<Hit> {
    [ScanShows::UpperWhole, ScanShows::LowerWhole]
        .into_iter()
        .find_map(|shows| {
            let rows = rows_where(scans(input), |scan| {
                scan.shows == Some(shows) && is_form(scan)
            });
            let row = rows.get(1)?;
            at(
                format!("scans.{row}.shows"),
                format!(
                    "{}: each is “{}”.",
                    rows_named("File", &rows),
                    shows.shown()
                ),
            )
        })
}

/// From cheek to cheek over the first molars of a denture. Common practice, no source.
const WIDTHS_OF_A_JAW: std::ops::RangeInclusive<i64> = 4_000..=7_000;

fn odd_width(input: &Input<'_>) -> Option<Hit> {
    let width = input.rx.scan_set.width_checked_mm?;
    (!WIDTHS_OF_A_JAW.contains(&width.hundredths())).then(|| {
        at(
            "scan_set.width_checked_mm",
            format!("{width} mm were measured over the first molars; about 45 to 65 mm are usual."),
        )
    })?
}

fn not_joined(input: &Input<'_>) -> Option<Hit> {
    let shows = |wanted: &[ScanShows]| {
        let mut files = scans(input).iter();
        files.any(|scan| scan.shows.is_some_and(|shows| wanted.contains(&shows)))
    };
    let upper = shows(&[ScanShows::UpperWhole, ScanShows::UpperFitting]);
    let lower = shows(&[
        ScanShows::LowerWhole,
        ScanShows::LowerFitting,
        ScanShows::Opposing,
    ]);
    let is_joined = match input.rx.scan_set.joined_by {
        Some(JoinedBy::InOcclusion) => shows(&[ScanShows::InOcclusion]),
        Some(JoinedBy::BiteScan) => true,
        Some(JoinedBy::NotJoined) | None => false,
    };
    when(
        upper && lower && !is_joined,
        "scan_set.joined_by",
        "Files of both jaws are listed, and how the lower is found to the upper is not given, or the file that shows it is missing.",
    )
}

fn jaw_missing(input: &Input<'_>) -> Option<Hit> {
    if scans(input).is_empty() || !input.has_pattern() || !input.copies() {
        return None;
    }
    let arch = BOTH.into_iter().find(|arch| {
        let pattern = match arch {
            Arch::Upper => &input.rx.pattern.upper_item,
            Arch::Lower => &input.rx.pattern.lower_item,
        };
        let is_sent = pattern.as_ref().is_some_and(|tag| input.reaches_lab(tag));
        input.orders(*arch) && !is_sent && !input.is_scanned(*arch)
    })?;
    at(
        "scans.0.shows",
        format!(
            "The {} denture is to be copied from files, and none shows it all round.",
            arch.shown()
        ),
    )
}

fn before_correction(input: &Input<'_>) -> Option<Hit> {
    let corrected = input.rx.pattern.last_corrected?;
    let is_early = |scan: &ScanFile| scan.on.is_some_and(|on| on < corrected) && !is_picture(scan);
    let rows = rows_where(scans(input), is_early);
    let row = rows.first()?;
    let on = scans(input).get(*row)?.on?;
    at(
        format!("scans.{row}.on"),
        format!(
            "{}: scanned {} before the pattern was last corrected.",
            rows_named("File", &rows),
            counted((corrected.date() - on.date()).whole_days(), "day")
        ),
    )
}

fn not_inspected(input: &Input<'_>) -> Option<Hit> {
    in_scans(
        input,
        "looked_at",
        |scan| !yes(scan.looked_at),
        "it is not said to have been looked at after export.",
    )
}

fn no_hash(input: &Input<'_>) -> Option<Hit> {
    let of_item = |scan: &ScanFile| input.file(scan.tag.as_ref()?)?.sha256.clone();
    in_scans(
        input,
        "sha256",
        |scan| scan.sha256.is_none() && of_item(scan).is_none(),
        "no SHA-256 stands there.",
    )
}

/// What the prescription says of a file against what stands with its item.
fn off_its_item(input: &Input<'_>) -> Option<Hit> {
    beside_its_item(input, |scan, file| {
        let hash = matches!((&scan.sha256, &file.sha256), (Some(one), Some(other)) if one != other);
        let units = matches!((scan.units, file.units), (Some(one), Some(other)) if one != other);
        let units = units.then_some(("units", "unit"));
        hash.then_some(("sha256", "SHA-256")).or(units)
    })
}

fn named_otherwise(input: &Input<'_>) -> Option<Hit> {
    beside_its_item(input, |scan, file| {
        let format = matches!((scan.format, file.format), (Some(one), Some(other)) if one != other);
        let (name, other) = (words(&scan.file), file.name.trim().to_lowercase());
        let is_other = !name.is_empty() && !other.is_empty() && name != other;
        let name = is_other.then_some(("file", "name"));
        name.or(format.then_some(("format", "format")))
    })
}

/// A hit at the first file of which a field differs from what stands with its item.
fn beside_its_item(
    input: &Input<'_>,
    differs: impl Fn(&ScanFile, &FileFacts) -> Option<(&'static str, &'static str)>,
) -> Option<Hit> {
    scans(input).iter().enumerate().find_map(|(row, scan)| {
        let tag = scan.tag.as_ref()?;
        let (field, what) = differs(scan, input.file(tag)?)?;
        at(
            format!("scans.{row}.{field}"),
            format!(
                "File {}: its {what} is not the one that stands with {tag}.",
                row + 1
            ),
        )
    })
}

fn scan_twice(input: &Input<'_>) -> Option<Hit> {
    let all = scans(input);
    let same = |one: &ScanFile, other: &ScanFile| {
        let tag = one.tag.is_some() && one.tag == other.tag;
        (tag, one.sha256.is_some() && one.sha256 == other.sha256)
    };
    let mut rows = all.iter().enumerate();
    rows.find_map(|(row, scan)| {
        let mut before = all.iter().take(row).map(|before| same(scan, before));
        let (tag, _) = before.find(|(tag, hash)| *tag || *hash)?;
        let (field, what) = if tag {
            ("tag", "tag")
        } else {
            ("sha256", "SHA-256")
        };
        at(
            format!("scans.{row}.{field}"),
            format!("File {}: an earlier row has the same {what}.", row + 1),
        )
    })
}

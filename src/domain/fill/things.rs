//! Which thing goes along in which kind of work. Common practice, no source.

use crate::domain::custody::item::ItemKind;
use crate::domain::prescription::Course;

/// Whether a thing of this kind that stands at the office goes to the lab in this course. What the patient wears
/// meanwhile and old dentures stay; a file is listed as a file.
pub fn goes_along(course: Course, kind: ItemKind) -> bool {
    use Course as C;
    use ItemKind as K;
    if course == C::Everything {
        return !matches!(kind, K::Duplicate | K::OldDenture | K::Scan);
    }
    let has_teeth_set = matches!(
        course,
        C::Copy | C::SetUp | C::Immediate | C::Single | C::Everything
    );
    match kind {
        K::Provisional => matches!(
            course,
            C::Copy | C::Single | C::Duplicate | C::Reline | C::Repair
        ),
        K::FinalDenture => {
            matches!(course, C::Duplicate | C::Reline | C::Repair | C::Remount)
        }
        K::Duplicate => matches!(course, C::Reline | C::Repair),
        K::BiteRecord => has_teeth_set || matches!(course, C::Reset | C::Reline | C::Remount),
        K::FacebowRecord => has_teeth_set || matches!(course, C::DigitalCopy | C::Remount),
        K::ProtrusiveRecord => has_teeth_set || course == C::Remount,
        K::Impression => matches!(
            course,
            C::Tray | C::Rims | C::Immediate | C::Single | C::Reline | C::Repair
        ),
        K::Rims => matches!(course, C::SetUp | C::Single),
        K::TryIn => matches!(course, C::Reset | C::Finish | C::Single),
        K::Cast => matches!(
            course,
            C::Tray | C::Rims | C::SetUp | C::Reset | C::Finish | C::Immediate | C::Single
        ),
        K::RemountCast => course == C::Remount,
        K::LabIndex => matches!(course, C::SetUp | C::Reset | C::Finish | C::Remount),
        K::ShadeTab => has_teeth_set || matches!(course, C::DigitalCopy | C::Duplicate | C::Repair),
        K::TeethCard => has_teeth_set || matches!(course, C::Reset | C::Repair),
        K::ImplantParts => matches!(course, C::Single | C::Reline | C::Repair),
        K::Photograph => {
            has_teeth_set || matches!(course, C::DigitalCopy | C::Reset | C::Duplicate)
        }
        K::OldDenture | K::Scan | K::ClearTemplate | K::Other => false,
    }
}

/// The kind of thing that a course follows; none where it follows none.
pub fn followed(course: Course) -> Option<ItemKind> {
    match course {
        Course::Copy | Course::DigitalCopy | Course::Single => Some(ItemKind::Provisional),
        Course::Reset | Course::Finish => Some(ItemKind::TryIn),
        _ => None,
    }
}

//! What forms and addresses carry along beside the fields of a command: each key is spelled here, and templates and
//! handlers take it from here.

use crate::app::PostKey;
use crate::app::print_labels::ChosenItems;

/// The case at whose bench something is scanned.
pub const AT: &str = "at";
/// The state of a draft that the page shows.
pub const BASE: &str = "base";
/// Says that things were chosen, though it may be none.
pub const CHOSEN: &str = ChosenItems::CHOSEN;
/// The kind of work whose set of things is shown.
pub const COURSE: &str = "course";
/// The field of a draft that two people have written.
pub const FIELD: &str = "field";
/// That a picture or a scan is for the lab, or is not any more.
pub const FOR_LAB: &str = "marked_for_lab";
/// The entry of which notice is taken.
pub const HALTED_BY: &str = "halted_by";
/// Where somebody wanted to go before signing in.
pub const NEXT: &str = "next";
/// What alone a list shows.
pub const ONLY: &str = "only";
/// Size and root as a paper says them.
pub const PAPER: &str = "paper";
/// Tells a post from every other.
pub const POST_KEY: &str = PostKey::FIELD;
/// The ticks that the page at the bench had asked for.
pub const SCAN_ASKED: &str = "scan_asked";
/// What stood in a field before it was scanned into.
pub const SCAN_BEFORE: &str = "scan_before";
/// The fields that a scan at the bench goes into.
pub const SCAN_INTO: &str = "scan_into";
/// What was scanned and leads away from what is typed: the same once more leads there.
pub const SCAN_LEFT: &str = "scan_left";
/// That the draft is to be given up for good.
pub const SURE: &str = "sure";
/// Whether the text of the other writer is taken.
pub const TAKE: &str = "take";
/// Who had opened the page: at a bench another may stand there by now.
pub const SHOWN_TO: &str = "shown_to";

//! The lists that the two houses load: the lab its moulds and its days, the office its shade guides, each house
//! the days on which it is closed.
//!
//! Each load is a version; the newest is in force, and an older one stays to be looked at. Reading is
//! strict (`table`). A code on a prescription that is not in a list is never refused, only remarked on: the
//! list may be behind the drawer.

use crate::domain::form::choice_field;
use crate::domain::people::party::Side;
use crate::domain::trade::calendar::OpenDays;
use crate::domain::trade::colour::{Guide, Tab};
use crate::domain::trade::house_days::{self, ClosedDay, HouseDays, LabDays, StepDays};
use crate::domain::trade::mould::{self, Mould, Region};
use crate::domain::trade::steps::WorkUnderWay;
use crate::domain::values::arch::Arch;
use crate::domain::values::words_of;
use std::sync::Arc;

words_of! {
    /// What a list is of. Tabs for teeth and tabs for the base are kept apart: nobody wants a gum colour
    /// ranked for a tooth.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum ListKind {
        Moulds = "mould list",
        ToothGuide = "tooth shade guide",
        BaseGuide = "base shade guide",
        ClosedDays = "closed days",
        LabDays = "lab days",
    }
}

choice_field!(ListKind);

impl ListKind {
    /// The kinds that an office names, and keeps several of.
    pub const GUIDES: &[(&str, &str)] = &[
        (ListKind::ToothGuide.word(), ListKind::ToothGuide.shown()),
        (ListKind::BaseGuide.word(), ListKind::BaseGuide.shown()),
    ];

    /// The house that keeps such lists; `None` where both do.
    pub fn kept_by(self) -> Option<Side> {
        match self {
            ListKind::Moulds | ListKind::LabDays => Some(Side::Lab),
            ListKind::ToothGuide | ListKind::BaseGuide => Some(Side::Office),
            ListKind::ClosedDays => None,
        }
    }

    /// Whether an office names it and keeps several; of the others a house has one.
    pub fn is_guide(self) -> bool {
        matches!(self, ListKind::ToothGuide | ListKind::BaseGuide)
    }

    /// The columns with what stands in them, in their order.
    pub fn columns(self) -> &'static [(&'static str, &'static str)] {
        match self {
            ListKind::Moulds => &MOULD_COLUMNS,
            ListKind::ToothGuide | ListKind::BaseGuide => &TAB_COLUMNS,
            ListKind::ClosedDays => &CLOSED_COLUMNS,
            ListKind::LabDays => &LAB_DAYS_COLUMNS,
        }
    }

    /// A small list of this kind, invented.
    pub fn example(self) -> &'static str {
        match self {
            ListKind::Moulds => {
                "code,arch,region,width,width_basis,length,form,cusp_angle,stock\n\
                 Otter 7,upper,front,51,curve,10.5,ovoid,,3\n\
                 Otter P2,lower,back,33.5,caliper,,,20,0\n"
            }
            ListKind::ToothGuide => "tab,L,a,b\nbirch 4,71.5,1.2,18\nbirch 5,69.8,1.6,19.4\n",
            ListKind::BaseGuide => {
                "tab,L,a,b\nheather 1,58.2,19.5,10.1\nheather 2,54.6,22.3,11.4\n"
            }
            ListKind::ClosedDays => {
                "day,what\nsaturday,\nsunday,\n2026-12-25,holiday\nafter 16:00,last parcel and last wish of the day\n"
            }
            ListKind::LabDays => "step,days,course\nset_up,4,\nset_up,6,single\nway_back,1,\n",
        }
    }

    /// Reads the text of such a list that is to be loaded.
    ///
    /// # Errors
    /// A sentence for each line that is not clear.
    pub fn take(self, text: &str) -> Result<Entries, Vec<String>> {
        match self {
            ListKind::LabDays => house_days::take_lab_days(text).map(Entries::Days),
            other => other.read(text),
        }
    }

    /// Reads the text of such a list that was loaded, maybe by an earlier version.
    ///
    /// # Errors
    /// A sentence for each line that is not clear.
    pub fn read(self, text: &str) -> Result<Entries, Vec<String>> {
        match self {
            ListKind::Moulds => mould::parse(text).map(Entries::Moulds),
            ListKind::ToothGuide | ListKind::BaseGuide => Guide::parse(text).map(Entries::Tabs),
            ListKind::ClosedDays => house_days::read_closed(text).map(Entries::Closed),
            ListKind::LabDays => house_days::read_lab_days(text).map(Entries::Days),
        }
    }
}

const MOULD_COLUMNS: [(&str, &str); 9] = [
    ("code", "the lab’s own code, as it is to be ordered"),
    ("arch", "upper or lower"),
    (
        "region",
        "front (the six) or back (the posterior teeth of one side)",
    ),
    ("width", "of those teeth together, mm"),
    (
        "width_basis",
        "caliper (straight) or curve (flexible ruler, along the curve)",
    ),
    (
        "length",
        "of the central incisor or of the posterior crowns, mm; may be empty",
    ),
    (
        "form",
        "square, tapering, ovoid, square_tapering or square_ovoid; may be empty",
    ),
    ("cusp_angle", "degrees; may be empty"),
    (
        "stock",
        "cards in the drawer, a whole number; empty where the lab does not say",
    ),
];

const CLOSED_COLUMNS: [(&str, &str); 2] = [
    (
        "day",
        "a weekday such as sunday, or a day such as 2026-12-25; every weekday that is closed stands in the list. “after 16:00” is the latest hour at which a parcel or a request still counts for that day. “chair wednesday” or “chair 2026-12-24”: open for parcels, and nobody is treated",
    ),
    ("what", "what the day is; may be empty"),
];

const LAB_DAYS_COLUMNS: [(&str, &str); 3] = [
    (
        "step",
        "tray, rims, mount, set_up, try_in, reset, process, duplicate, reline, rebase, repair or remount; way_there and way_back for the days on the way",
    ),
    (
        "days",
        "working days, a whole number; process counts from an approved set-up",
    ),
    (
        "course",
        "the kind of work that the days are for, such as copy, single, immediate or finish; empty for every other. The column may be left out",
    ),
];

const TAB_COLUMNS: [(&str, &str); 4] = [
    ("tab", "the tab’s code, as it is to be written"),
    (
        "L",
        "CIELAB lightness as the office measured the tab, 0 to 100",
    ),
    ("a", "CIELAB a*, -128 to 128"),
    ("b", "CIELAB b*, -128 to 128"),
];

/// What a list holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Entries {
    Moulds(Vec<Mould>),
    Tabs(Guide),
    Closed(Vec<ClosedDay>),
    Days(Vec<StepDays>),
}

impl Entries {
    /// The headings over [`Entries::cells`].
    pub fn heading(&self) -> &'static [&'static str] {
        match self {
            Entries::Moulds(_) => &[
                "Code",
                "Arch",
                "Teeth",
                "Width, mm",
                "Measured by",
                "Length, mm",
                "Form",
                "Cusp angle, °",
                "Stock",
            ],
            Entries::Tabs(_) => &["Tab", "L*", "a*", "b*"],
            Entries::Closed(_) => &["Closed on", "What"],
            Entries::Days(_) => &["Step", "Working days", "Kind of work"],
        }
    }

    pub fn count(&self) -> usize {
        match self {
            Entries::Moulds(moulds) => moulds.len(),
            Entries::Tabs(guide) => guide.tabs().len(),
            Entries::Closed(days) => days.len(),
            Entries::Days(steps) => steps.len(),
        }
    }

    /// Back to a text that reads as the same, with decimal points, and guarded against spreadsheets that
    /// take a code for a formula.
    pub fn write(&self) -> String {
        match self {
            Entries::Moulds(moulds) => mould::write(moulds),
            Entries::Tabs(guide) => guide.write(),
            Entries::Closed(days) => house_days::write_closed(days),
            Entries::Days(steps) => house_days::write_lab_days(steps),
        }
    }

    /// What whoever has loaded it would hardly expect; none for most.
    pub fn caution(&self) -> Option<&'static str> {
        match self {
            Entries::Closed(days) => house_days::open_all_week(days),
            _ => None,
        }
    }

    /// Rows of the table from `first` on, at most `most`.
    pub fn cells(&self, first: usize, most: usize) -> Vec<Vec<String>> {
        match self {
            Entries::Moulds(moulds) => {
                let part = moulds.iter().skip(first).take(most);
                part.map(|mould| mould::cells(mould).to_vec()).collect()
            }
            Entries::Tabs(guide) => {
                let part = guide.tabs().iter().skip(first).take(most);
                part.map(|tab| tab.cells().to_vec()).collect()
            }
            Entries::Closed(days) => {
                let part = days.iter().skip(first).take(most);
                part.map(|day| day.cells().to_vec()).collect()
            }
            Entries::Days(steps) => {
                let part = steps.iter().skip(first).take(most);
                part.map(|step| step.cells().to_vec()).collect()
            }
        }
    }
}

/// A lab's list in force.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldList {
    pub version: i64,
    pub moulds: Vec<Mould>,
}

impl MouldList {
    /// How a hint names it.
    pub fn source(&self) -> String {
        format!("the lab’s mould list, version {}", self.version)
    }

    /// The codes for one place in the mouth, in the order of the list.
    pub fn codes(&self, arch: Arch, region: Region) -> impl Iterator<Item = &str> {
        let here = move |mould: &&Mould| mould.arch == arch && mould.region == region;
        self.moulds
            .iter()
            .filter(here)
            .map(|mould| mould.code.as_str())
    }

    /// All moulds of this code, but for capitals, each for its place in the mouth.
    pub fn called(&self, code: &str) -> Vec<&Mould> {
        let small = code.trim().to_lowercase();
        let moulds = self.moulds.iter();
        moulds
            .filter(|mould| mould.code.to_lowercase() == small)
            .collect()
    }

    /// The mould that a prescription names for one place in the mouth.
    pub fn find(&self, code: &str, arch: Arch, region: Region) -> Option<&Mould> {
        let here = self
            .moulds
            .iter()
            .filter(|mould| mould.arch == arch && mould.region == region);
        by_code(here, |mould| &mould.code, code)
    }
}

/// An office's guide in force.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedGuide {
    pub kind: ListKind,
    pub name: String,
    pub version: i64,
    pub guide: Guide,
}

impl NamedGuide {
    /// How a hint names it.
    pub fn source(&self) -> String {
        format!("the office’s guide {}, version {}", self.name, self.version)
    }

    pub fn find(&self, code: &str) -> Option<&Tab> {
        by_code(self.guide.tabs().iter(), |tab| &tab.code, code)
    }
}

/// The entry of this code: written the same, or else but for capitals.
fn by_code<'a, T: 'a>(
    entries: impl Iterator<Item = &'a T> + Clone,
    code_of: impl Fn(&T) -> &String,
    code: &str,
) -> Option<&'a T> {
    let same = entries.clone().find(|entry| code_of(entry) == code);
    same.or_else(|| {
        let small = code.to_lowercase();
        entries
            .into_iter()
            .find(|entry| code_of(entry).to_lowercase() == small)
    })
}

/// The lists that stand around a case: its lab's moulds and days, its office's guides, the closed days of both.
/// Shared, because they are read
/// once for each version and looked at with every key.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lists {
    /// `None` where the lab has loaded none, or has taken it out of use.
    pub moulds: Option<Arc<MouldList>>,
    pub guides: Arc<Vec<NamedGuide>>,
    /// When office and lab are closed; `None` where a house has loaded nothing.
    pub office_days: Option<Arc<HouseDays>>,
    pub lab_closed: Option<Arc<HouseDays>>,
    /// The working days that the lab takes.
    pub lab_days: Option<Arc<LabDays>>,
    /// The work of the case that is under way, with the day of its plan; none before anything is on its way.
    pub under_way: Option<WorkUnderWay>,
}

/// The open days of a house: Monday to Friday where it has loaded none of its own.
fn open_days(own: &Option<Arc<HouseDays>>) -> OpenDays {
    own.as_deref()
        .map_or_else(|| OpenDays::weekdays([]), |days| days.open.clone())
}

impl Lists {
    /// When the office is open.
    pub fn office_open(&self) -> OpenDays {
        open_days(&self.office_days)
    }

    /// When the lab is open.
    pub fn lab_open(&self) -> OpenDays {
        open_days(&self.lab_closed)
    }

    /// Which days are counted with, for a hint.
    pub fn days_words(&self) -> &'static str {
        match (&self.office_days, &self.lab_closed) {
            (Some(_), Some(_)) => "by the closed days of both sides",
            (Some(_), None) => {
                "by the office’s closed days; the lab’s are taken as Saturday and Sunday"
            }
            (None, Some(_)) => {
                "by the lab’s closed days; the office’s are taken as Saturday and Sunday"
            }
            (None, None) => "Monday to Friday; neither side has loaded its closed days",
        }
    }

    /// The guides of one kind, by name.
    pub fn guides_of(&self, kind: ListKind) -> impl Iterator<Item = &NamedGuide> + Clone {
        self.guides.iter().filter(move |guide| guide.kind == kind)
    }

    /// The guide that a prescription names.
    pub fn guide(&self, kind: ListKind, name: &str) -> Option<&NamedGuide> {
        by_code(self.guides_of(kind), |guide| &guide.name, name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moulds(text: &str) -> MouldList {
        let moulds = mould::parse(text).expect("list");
        MouldList { version: 1, moulds }
    }

    #[test]
    fn every_kind_reads_its_own_example_and_writes_it_back() {
        for kind in ListKind::ALL {
            let entries = kind.read(kind.example()).expect("the example");
            assert_eq!(entries.write(), kind.example(), "{kind:?}");
            let count = kind.example().lines().count() - 1;
            assert_eq!(entries.count(), count);
            let names: Vec<&str> = kind.columns().iter().map(|(name, _)| *name).collect();
            assert!(kind.example().starts_with(&names.join(",")));
            let cells = entries.cells(1, 9);
            assert_eq!((cells.len(), cells[0].len()), (count - 1, names.len()));
        }
    }

    #[test]
    fn a_code_is_found_for_its_own_place_and_but_for_capitals() {
        let list = moulds(
            "code,arch,region,width,width_basis,length,form,cusp_angle,stock\n\
             a1,upper,front,46,curve,,,,\n\
             A1,upper,front,48,curve,,,,\n\
             Otter,lower,back,30,caliper,,,,\n",
        );
        let width = |code, arch, region| list.find(code, arch, region).map(|found| found.width.mm);
        assert_eq!(width("A1", Arch::Upper, Region::Front), Some(48.0));
        assert_eq!(width("a1", Arch::Upper, Region::Front), Some(46.0));
        assert_eq!(width("OTTER", Arch::Lower, Region::Back), Some(30.0));
        assert_eq!(width("Otter", Arch::Upper, Region::Back), None);
        assert_eq!(width("Otter 2", Arch::Lower, Region::Back), None);
        let codes: Vec<&str> = list.codes(Arch::Upper, Region::Front).collect();
        assert_eq!(codes, ["a1", "A1"]);
        assert_eq!(list.called(" OTTER").len(), 1);
        assert_eq!(list.called("a1").len(), 2);
        assert!(list.called("Otter 2").is_empty() && list.called("").is_empty());
    }

    #[test]
    fn a_guide_is_found_by_kind_and_name() {
        let guide = |kind: ListKind, name: &str| NamedGuide {
            kind,
            name: name.to_owned(),
            version: 1,
            guide: Guide::parse("tab,L,a,b\nx,70,1,2\n").expect("guide"),
        };
        let lists = Lists {
            guides: Arc::new(vec![
                guide(ListKind::ToothGuide, "Hillside"),
                guide(ListKind::BaseGuide, "Moor"),
            ]),
            ..Lists::default()
        };
        assert!(lists.guide(ListKind::ToothGuide, "hillside").is_some());
        assert!(lists.guide(ListKind::BaseGuide, "Hillside").is_none());
        assert!(lists.guide(ListKind::ToothGuide, "").is_none());
        assert_eq!(lists.guides_of(ListKind::BaseGuide).count(), 1);
    }
}

//! The steps of the lab's work, and the lab days of each: by the lab's own days where it names the stage, else by those
//! that one laboratory has published, else by common practice.

use super::calendar::{LAB_DAYS_SOURCE, usual_lab_days};
use super::house_days::LabDays;
use super::plan::LabTask;
use crate::domain::prescription::{Course, PatternSource, Prescription, Stage};
use crate::domain::review::courses::course_of_piece;
use crate::domain::values::arch::Arch;
use crate::domain::values::words::lowered;
use time::Date;

/// Where the days of a stage are known from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The lab's own list.
    Own,
    Published,
    Practice,
}

impl Basis {
    /// As a table names it.
    pub fn words(self, own: Option<&LabDays>) -> String {
        match (self, own) {
            (Basis::Own, Some(own)) => own.source(),
            (Basis::Own, None) => "the lab’s own days".to_owned(),
            (Basis::Published, _) => LAB_DAYS_SOURCE.to_string(),
            (Basis::Practice, _) => "common practice, no source".to_owned(),
        }
    }
}

/// What a step of the lab is, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Craft {
    Pour,
    Mount,
    SetUp,
    Cure,
    Finish,
}

/// A step of a stage, its words and its share of the days.
type Part = (Craft, &'static str, u32);

/// The steps of a stage: common practice, no source. The shares of set-up and finish add up to the published days.
fn parts(stage: Stage, by: By) -> &'static [Part] {
    // One step, as it is one at the bench: nothing is poured and mounted, and the program that aligns the files sets up.
    const DIGITAL_SET_UP: &[Part] = &[(Craft::SetUp, "Align the files, set up the teeth", 4)];
    match (stage, by) {
        (Stage::Tray, _) => &[
            (Craft::Pour, "Pour the cast", 1),
            (Craft::Finish, "Make the tray", 1),
        ],
        (Stage::Rims, _) => &[
            (Craft::Pour, "Pour the casts", 1),
            (Craft::Finish, "Bases and rims", 1),
        ],
        (Stage::Mount, _) => &[(Craft::Mount, "Pour, mount", 1)],
        (Stage::SetUp | Stage::TryIn, By::Files) => DIGITAL_SET_UP,
        (Stage::SetUp | Stage::TryIn, By::Pattern) => &[
            (Craft::Pour, "Pour the casts", 1),
            (Craft::Mount, "Matrix, mount", 1),
            (Craft::SetUp, "Set up the teeth", 2),
        ],
        (Stage::SetUp | Stage::TryIn, By::Casts | By::NewRecord) => &[
            (Craft::Pour, "Pour the casts", 1),
            (Craft::Mount, "Mount", 1),
            (Craft::SetUp, "Set up the teeth", 2),
        ],
        (Stage::SetUp | Stage::TryIn, By::Bases) => &[
            (Craft::Mount, "Mount", 1),
            (Craft::SetUp, "Set up the teeth", 3),
        ],
        (Stage::Reset, By::NewRecord) => &[
            (Craft::Mount, "Mount to the new record", 1),
            (Craft::SetUp, "Reset the teeth", 1),
        ],
        (Stage::Reset, _) => &[(Craft::SetUp, "Reset the teeth", 1)],
        (Stage::Process, By::Files) => &[
            (Craft::Cure, "Mill or print, bond", 2),
            (Craft::Finish, "Finish, measure", 1),
        ],
        (Stage::Process, _) => &[
            (Craft::Cure, "Flask, cure, remount", 2),
            (Craft::Finish, "Finish, measure", 1),
        ],
        (Stage::Duplicate, _) => &[(Craft::Finish, "Duplicate", 1)],
        (Stage::Reline, _) => &[(Craft::Finish, "Reline", 1)],
        (Stage::Rebase, _) => &[
            (Craft::Cure, "Flask, cure", 1),
            (Craft::Finish, "Finish", 1),
        ],
        (Stage::Repair, _) => &[(Craft::Finish, "Repair", 1)],
        (Stage::Remount, _) => &[(Craft::Finish, "Remount, adjust", 1)],
    }
}

/// What the lab works from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Pattern,
    Casts,
    Files,
    /// The casts stand there since the bases were made.
    Bases,
    /// A try-in whose height was refused.
    NewRecord,
}

impl By {
    /// Of a piece of this course.
    fn of(rx: &Prescription, course: Option<Course>) -> By {
        let has_pattern = !matches!(rx.pattern.source, None | Some(PatternSource::None));
        match (rx.order.course, course) {
            (Some(Course::DigitalCopy), _) => By::Files,
            (_, Some(Course::Reset)) if rx.approval.refuses_height() => By::NewRecord,
            (_, Some(Course::SetUp)) if !has_pattern => By::Bases,
            _ if has_pattern => By::Pattern,
            _ => By::Casts,
        }
    }
}

/// The stages that a piece goes through until it comes back: what is processed was set up before, but for an
/// approved try-in.
fn stages_of(stage: Stage, is_tried_in: bool) -> Vec<Stage> {
    match stage {
        Stage::Process if !is_tried_in => vec![Stage::SetUp, Stage::Process],
        stage => vec![stage],
    }
}

/// The days of a stage, and where they are known from.
fn days_of(
    (stage, by): (Stage, By),
    course: Option<Course>,
    own: Option<&LabDays>,
) -> (u32, Basis) {
    // A stage of no day, in a list that was loaded earlier, is counted as if the lab had said nothing.
    if let Some(days) = own
        .and_then(|own| own.stage(stage, course))
        .filter(|days| *days > 0)
    {
        return (days, Basis::Own);
    }
    match usual_lab_days(stage) {
        Some(days) => (days, Basis::Published),
        None => {
            let usual = parts(stage, by).iter();
            (usual.map(|(_, _, share)| share).sum(), Basis::Practice)
        }
    }
}

/// The stages of one piece with their days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chain {
    /// The arch of the piece; none where the order does not say it.
    pub arch: Option<Arch>,
    pub stages: Vec<(Stage, u32, Basis)>,
    by: By,
}

impl Chain {
    /// All its lab days.
    pub fn days(&self) -> u32 {
        let days = self.stages.iter().map(|(_, days, _)| *days);
        days.fold(0, u32::saturating_add)
    }

    /// Whether somebody has said how long each of its stages takes.
    pub fn is_known(&self) -> bool {
        let mut stages = self.stages.iter();
        stages.all(|(_, _, basis)| *basis != Basis::Practice)
    }

    /// "4 for “set-up” and 3 for “process and finish”"
    pub fn words(&self) -> String {
        let stages = self.stages.iter();
        let words = stages.map(|(stage, days, _)| format!("{days} for “{}”", stage.shown()));
        words.collect::<Vec<_>>().join(" and ")
    }

    /// Its steps, each with what it ends with.
    pub fn tasks(&self) -> Vec<(Craft, LabTask)> {
        let stages = self.stages.iter();
        stages
            .flat_map(|(stage, days, _)| split(parts(*stage, self.by), *days))
            .collect()
    }
}

/// The days of a stage over its steps, each at least one, by their shares; steps that have no day of their own are one.
fn split(parts: &[Part], days: u32) -> Vec<(Craft, LabTask)> {
    let count = u32::try_from(parts.len()).unwrap_or(u32::MAX);
    if days < count {
        let words = parts
            .iter()
            .enumerate()
            .map(|(place, (_, words, _))| match place {
                0 => (*words).to_owned(),
                _ => lowered(words),
            });
        let words = words.collect::<Vec<_>>().join(", ");
        let last = parts
            .last()
            .map(|(craft, _, _)| (*craft, LabTask { words, days }));
        return last.into_iter().collect();
    }
    let mut own = vec![1_u32; parts.len()];
    for _ in count..days {
        // The one that has least of its share; of these the greater one.
        let shares = parts.iter().map(|(_, _, share)| *share).zip(&mut own);
        let neediest = shares
            .max_by_key(|(share, has)| (share.saturating_mul(1_000) / (**has).max(1), *share));
        if let Some((_, has)) = neediest {
            *has += 1;
        }
    }
    let tasks = parts.iter().zip(own);
    tasks
        .map(|((craft, words, _), days)| {
            let words = (*words).to_owned();
            (*craft, LabTask { words, days })
        })
        .collect()
}

/// Work that the lab has begun, or that is on its way there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkUnderWay {
    /// The first day on which it can be in the dentist's hands, by the plan of the case.
    pub in_hands: Date,
    /// What its pieces go through.
    pub chains: Vec<Chain>,
}

/// What each piece of an order goes through; pieces without a stage are left out.
pub fn chains(rx: &Prescription, own: Option<&LabDays>) -> Vec<Chain> {
    let is_tried_in = rx.pattern.source == Some(PatternSource::TryIn);
    let pieces = rx.order.pieces.iter();
    let staged = pieces.filter_map(|piece| {
        let course = course_of_piece(rx, piece);
        Some((piece.arch, piece.stage?, course))
    });
    staged
        .map(|(arch, stage, course)| {
            let by = By::of(rx, course);
            let stages = stages_of(stage, is_tried_in).into_iter();
            let stages = stages.map(|stage| {
                let (days, basis) = days_of((stage, by), course, own);
                (stage, days, basis)
            });
            Chain {
                arch,
                stages: stages.collect(),
                by,
            }
        })
        .collect()
}

/// What the piece goes through that takes longest, of all or of those for one arch.
pub fn longest(rx: &Prescription, own: Option<&LabDays>, arch: Option<Arch>) -> Option<Chain> {
    let is_of_it = |chain: &Chain| arch.is_none() || chain.arch.is_none() || chain.arch == arch;
    let chains = chains(rx, own).into_iter().filter(is_of_it);
    chains.reduce(|one, other| match other.days() > one.days() {
        true => other,
        false => one,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::Piece;
    use crate::domain::trade::house_days::read_lab_days;

    fn order(stage: Stage, source: Option<PatternSource>) -> Prescription {
        let mut rx = Prescription::default();
        rx.order.pieces.push(Piece {
            stage: Some(stage),
            ..Piece::default()
        });
        rx.pattern.source = source;
        rx
    }

    fn own(text: &str) -> LabDays {
        LabDays {
            version: 2,
            steps: read_lab_days(text).expect("days"),
        }
    }

    fn described(chain: &Chain) -> String {
        let tasks = chain.tasks().into_iter();
        let words = tasks.map(|(_, task)| format!("{} {}", task.words, task.days));
        words.collect::<Vec<_>>().join("; ")
    }

    #[test]
    fn a_copy_of_a_pattern_takes_the_published_days_in_their_steps() {
        // 4 lab days for the set-up and 3 to finish: the calendar of one US laboratory; the split is common practice.
        let chain = longest(
            &order(Stage::Process, Some(PatternSource::Provisional)),
            None,
            None,
        );
        let chain = chain.expect("a chain");
        assert_eq!(
            described(&chain),
            "Pour the casts 1; Matrix, mount 1; Set up the teeth 2; Flask, cure, remount 2; Finish, measure 1"
        );
        assert_eq!((chain.days(), chain.is_known()), (7, true));
        assert_eq!(
            chain.words(),
            "4 for “set-up” and 3 for “process and finish”"
        );
        let tried_in = longest(
            &order(Stage::Process, Some(PatternSource::TryIn)),
            None,
            None,
        );
        let tried_in = tried_in.expect("a chain");
        assert_eq!(
            described(&tried_in),
            "Flask, cure, remount 2; Finish, measure 1"
        );
    }

    /// Common practice, no source: each step of the plan is one that the bench asks too.
    #[test]
    fn a_copy_from_files_goes_through_the_steps_that_its_bench_asks() {
        let mut rx = order(Stage::Process, Some(PatternSource::Provisional));
        rx.order.course = Some(Course::DigitalCopy);
        let chain = longest(&rx, None, None).expect("a chain");
        assert_eq!(
            described(&chain),
            "Align the files, set up the teeth 4; Mill or print, bond 2; Finish, measure 1"
        );
        let crafts: Vec<Craft> = chain.tasks().into_iter().map(|(craft, _)| craft).collect();
        assert_eq!(crafts, [Craft::SetUp, Craft::Cure, Craft::Finish]);
    }

    /// Common practice, no source: for a set-up the casts stand there since the rims were made, and a refused height begins with
    /// a new mounting, at the bench and in the plan.
    #[test]
    fn a_set_up_pours_nothing_and_a_reset_to_a_new_record_mounts_first() {
        let described_of =
            |rx: &Prescription| described(&longest(rx, None, None).expect("a chain"));
        assert_eq!(
            described_of(&order(Stage::TryIn, None)),
            "Mount 1; Set up the teeth 3"
        );
        let mut reset = order(Stage::Reset, Some(PatternSource::TryIn));
        assert_eq!(described_of(&reset), "Reset the teeth 1");
        reset.approval.height = Some(crate::domain::form::YesNo::No);
        assert_eq!(
            described_of(&reset),
            "Mount to the new record 1; Reset the teeth 1"
        );
        // What is made from casts alone has them poured.
        let mut single = order(Stage::Process, None);
        single.order.course = Some(Course::Single);
        assert!(described_of(&single).starts_with("Pour the casts 1; Mount 1"));
    }

    #[test]
    fn the_labs_own_days_go_first_and_none_is_lost_in_their_steps() {
        let rx = order(Stage::SetUp, None);
        let table = [
            (1, "Mount, set up the teeth 1"),
            (2, "Mount 1; Set up the teeth 1"),
            (3, "Mount 1; Set up the teeth 2"),
            (5, "Mount 1; Set up the teeth 4"),
        ];
        for (days, words) in table {
            let own = own(&format!("step,days\nset_up,{days}\n"));
            let chain = longest(&rx, Some(&own), None).expect("a chain");
            assert_eq!(described(&chain), words);
            assert_eq!(chain.stages, [(Stage::SetUp, days, Basis::Own)]);
        }
        for stage in Stage::ALL {
            for days in 1..=60 {
                let own = own(&format!("step,days\n{},{days}\n", stage.word()));
                let chain = longest(&order(*stage, Some(PatternSource::TryIn)), Some(&own), None);
                let tasks = chain.expect("a chain").tasks();
                let sum: u32 = tasks.iter().map(|(_, task)| task.days).sum();
                assert_eq!(sum, days, "{stage:?}");
                assert!(tasks.iter().all(|(_, task)| task.days > 0));
                assert!(tasks.is_sorted_by_key(|(craft, _)| *craft));
            }
        }
    }

    #[test]
    fn a_kind_of_work_goes_by_the_days_that_the_lab_names_for_it() {
        let own = own("step,days,course\nset_up,4,\nset_up,9,single\nprocess,3,\n");
        let mut rx = order(Stage::Process, None);
        let days = |rx: &Prescription| longest(rx, Some(&own), None).expect("a chain").days();
        assert_eq!(days(&rx), 7);
        rx.order.course = Some(Course::Single);
        assert_eq!(days(&rx), 12);
    }

    #[test]
    fn what_nobody_has_published_is_said_to_be_practice() {
        let chain = longest(&order(Stage::Reline, None), None, None).expect("a chain");
        assert_eq!(
            (described(&chain).as_str(), chain.is_known()),
            ("Reline 1", false)
        );
        assert_eq!(Basis::Practice.words(None), "common practice, no source");
        assert!(longest(&Prescription::default(), None, None).is_none());
    }
}

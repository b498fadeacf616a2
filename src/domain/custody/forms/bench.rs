//! The pan and the technician of a case, what was done at the bench, and what of it was a mistake.

use super::from_paper::FromPaper;
use super::shared::{TEXT_MOST, without_unit};
use crate::domain::custody::bench::{
    BenchMeasure, BenchStep, MeasuredValue, MountedPart, Mounting, PAN_MOST, TimerButton, UsedLot,
};
use crate::domain::form::{
    Day, FieldSet, Form, Kind, Raw, command, long, number, rows_with, text, whole,
};
use crate::domain::prescription::{ArticulatorClass, ReferencePlane};
use crate::domain::values::arch::Arches;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{AccountId, EventId, TimerId};
use crate::domain::values::measure::{Decimal, Minutes};

command! {
    /// Where the case stands, and whose it is.
    AssignForm;
    pan: String = text(PAN_MOST), "Pan", "As it stands on it. Empty where it has none.";
    technician: Option<AccountId> = Kind::Listed, "Technician", "Empty where it is nobody's.";
    mine: bool = Kind::Tick, "I take it over", "";
    assign_shown: String = Kind::Hidden, "", "";
}

command! {
    /// A step that was done.
    StepForm;
    bench_step: BenchStep = Kind::Hidden, "", "", needed "Choose the step.";
    bench_arches: Arches = Arches::KIND, "For which arch", "", needed "Choose the arch.";
    bench_revision: i64 = Kind::Hidden, "", "";
    bench_anyway: bool = Kind::Tick, "Enter it all the same", "";
    bench_left_out: bool = Kind::Tick, "That is done, here or elsewhere", "";
    bench_sure: bool = Kind::Tick, "It is right as it stands here", "";
    bench_running: bool = Kind::Tick, "It is done: what still runs is stopped", "";
    bench_shown: String = Kind::Hidden, "", "";
    avoided_why: String = text(TEXT_MOST), "Reason for using it although it is to be avoided", "";
    no_photo: String = text(TEXT_MOST), "Without a picture: why", "";
    keep_until: Option<Day> = Kind::Date, "Keep matrix and casts until", "Empty where nothing is said.";
    instrument: Option<ArticulatorClass> = ArticulatorClass::KIND, "Articulator it stands in", "";
    mounted_plane: Option<ReferencePlane> = ReferencePlane::KIND, "Plane it was mounted to", "";
    step_picture: Option<EventId> = Kind::Listed, "Picture", "One of the case that shows it.";
    worked_minutes: Option<u32> = whole(1, 1440, "min"), "Minutes worked", "For the lab alone.";
    bench_note: String = long(TEXT_MOST), "Note", "Nothing that names anybody.";
}

/// What a timer can be set to, in hundredths of a minute: from a second to two days.
const TIMER_MINUTES: Kind = Kind::Number {
    min: 2,
    max: 288_000,
};

command! {
    /// A timer that is started: the minutes, and which button was touched.
    StartTimerForm;
    timer_minutes: Option<Minutes> = TIMER_MINUTES, "Minutes by the maker’s sheet", "";
    timer_arches: Option<Arches> = Arches::KIND, "Which arch is timed", "";
    timer_another: bool = Kind::Tick, "It is another one: both run", "";
    timer_step: BenchStep = Kind::Hidden, "", "", needed "Choose the step.";
    timer: Option<TimerButton> = Kind::Hidden, "", "";
}

command! {
    /// A timer that is stopped, or was started by mistake.
    TimerForm;
    timer_id: TimerId = Kind::Hidden, "", "", needed "Choose the timer.";
}

command! {
    /// One measured value.
    MeasuredForm;
    measured: Option<Decimal> = number(-90, 3000), "Measured", "";
    measured_again: Option<Decimal> = number(-90, 3000), "Measured again", "", key "again";
    measured_third: Option<Decimal> = number(-90, 3000), "Measured a third time", "", key "third";
}

command! {
    /// One material that went into the work.
    UsedForm;
    material: String = text(80), "Material", "";
    lot: String = text(40), "Lot", "";
}

command! {
    /// A material and lot as it was used last.
    AgainForm;
    take: bool = Kind::Tick, "The same lot", "", key "again";
}

command! {
    /// An entry of the bench that was a mistake.
    UndoForm;
    undone: EventId = Kind::Hidden, "", "", needed "Choose the entry.";
    undone_why: String = text(TEXT_MOST), "What the mistake was", "", needed "Say what the mistake was.";
}

/// In place of a step: nothing is done again.
pub const NOTHING_AGAIN: &str = "nothing";

command! {
    /// What of the work is done again for the revision in force.
    CarryForm;
    again_from: String = Kind::Listed, "What is done again", "", needed "Say whether anything is done again.";
    carry_arches: Arches = Arches::KIND, "Of which arch", "", needed "Choose the arch.";
    carry_revision: i64 = Kind::Hidden, "", "";
}

/// A step as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkForm {
    pub step: BenchStep,
    pub arches: Arches,
    /// The revision that the page showed.
    pub revision: i64,
    /// Though the arch lacks something, or is in the mouth.
    pub anyway: bool,
    /// Though what goes before it is not entered.
    pub left_out: bool,
    /// Though a reading is far from what is prescribed, or it was mounted otherwise.
    pub sure: bool,
    /// Though a timer of it still runs.
    pub running: bool,
    /// The newest entry of the step that the page showed; empty where it showed none.
    pub shown: String,
    /// Why something goes in that the patient is to be kept from.
    pub avoided_why: String,
    /// Why the cast is flasked without a picture.
    pub no_photo: String,
    /// Until when matrix and casts are kept; asked at the end of the work.
    pub keep_until: Option<Day>,
    /// On what the casts were mounted; asked of mounting.
    pub mounting: Option<Mounting>,
    /// A picture of the case that shows it.
    pub picture: Option<EventId>,
    pub minutes: Option<u32>,
    pub note: String,
    pub readings: Vec<MeasuredValue>,
    pub used: Vec<UsedLot>,
    /// The key of the field of each material of these.
    pub used_at: Vec<String>,
    /// Keys of what was used last and is used again.
    pub again: Vec<String>,
    pub from_paper: Option<FromPaper>,
}

fn readings(raw: &Raw, faults: &mut Vec<Fault>) -> Vec<MeasuredValue> {
    let mut readings = Vec::new();
    for &measure in BenchMeasure::ALL {
        let under = format!("m.{}.", measure.word());
        let bare = without_unit(raw, &under, measure.unit());
        let mut wrong = Vec::new();
        let form = MeasuredForm::read_under(&bare, &under, &mut wrong);
        // What is a number, and no measured one at all, is told the limits of its own measure.
        for fault in &mut wrong {
            let typed = bare.get(&fault.key);
            if typed.is_some_and(|typed| Decimal::parse(typed).is_ok()) {
                fault.message = measure.limits_words();
            }
        }
        faults.append(&mut wrong);
        let Some(form) = form else { continue };
        let rows = [
            (MeasuredForm::measured(), form.measured),
            (MeasuredForm::measured_again(), form.measured_again),
            (MeasuredForm::measured_third(), form.measured_third),
        ];
        let (least, most) = measure.limits();
        for (spec, value) in rows {
            if value.is_some_and(|value| !(least..=most).contains(&value.hundredths())) {
                let key = format!("{under}{}", spec.key);
                faults.push(Fault::new(key, measure.limits_words()));
            }
        }
        // Whichever boxes they stand in, the first number is the first reading.
        let mut read = rows.iter().filter_map(|(_, value)| *value);
        let Some(value) = read.next() else { continue };
        readings.push(MeasuredValue {
            measure,
            value,
            again: read.next(),
            third: read.next(),
        });
    }
    readings
}

/// What was typed, each with the key of the field of its material.
fn used(raw: &Raw, faults: &mut Vec<Fault>) -> (Vec<String>, Vec<UsedLot>) {
    let (mut keys, mut used) = (Vec::new(), Vec::new());
    for row in rows_with(raw, UsedForm::material().key) {
        let under = format!("{row}.");
        let Some(form) = UsedForm::read_under(raw, &under, faults) else {
            continue;
        };
        let key = format!("{under}{}", UsedForm::material().key);
        if form.material.is_empty() && !form.lot.is_empty() {
            faults.push(Fault::new(key, "Name the material of this lot."));
        } else if !form.material.is_empty() {
            keys.push(key);
            used.push(UsedLot {
                material: form.material,
                lot: form.lot,
            });
        }
    }
    (keys, used)
}

impl WorkForm {
    /// What is asked of readings, beside their fields: by what is prescribed, and where nothing is.
    pub fn doubts(&self, prescribed: impl Fn(BenchMeasure) -> Option<Decimal>) -> Vec<Fault> {
        let fields = [
            MeasuredForm::measured().key,
            MeasuredForm::measured_again().key,
            MeasuredForm::measured_third().key,
        ];
        let of = |reading: &MeasuredValue| {
            let wanted = prescribed(reading.measure);
            let read = reading.all().into_iter().zip(fields);
            let doubts = read.filter_map(|(value, field)| {
                let message = reading.measure.doubt(wanted, value)?;
                let key = format!("m.{}.{field}", reading.measure.word());
                Some(Fault::new(key, message))
            });
            doubts.collect::<Vec<_>>()
        };
        self.readings.iter().flat_map(of).collect()
    }

    /// What is asked where the casts were mounted otherwise than is prescribed, beside its fields.
    pub fn mounting_doubts(&self, prescribed: &Mounting) -> Vec<Fault> {
        // At another step it is refused.
        let mounting = self.mounting.filter(|_| self.step == BenchStep::Mounted);
        let doubts = mounting.into_iter();
        let doubts = doubts.flat_map(|one| one.doubts(prescribed));
        let fault = |(part, message): (MountedPart, String)| {
            let field = match part {
                MountedPart::Instrument => StepForm::instrument(),
                MountedPart::Plane => StepForm::mounted_plane(),
            };
            Fault::new(field.key, message)
        };
        doubts.map(fault).collect()
    }
}

impl Form for WorkForm {
    fn field_sets() -> Vec<FieldSet> {
        let rows = |under, fields| FieldSet { under, fields };
        vec![
            FieldSet::once(StepForm::FIELDS),
            rows("m.#.", MeasuredForm::FIELDS),
            rows("used.#.", UsedForm::FIELDS),
            rows("last.#.", AgainForm::FIELDS),
            FromPaper::FIELDS,
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<WorkForm> {
        let form = StepForm::read(raw, faults);
        let (readings, (used_at, used)) = (readings(raw, faults), used(raw, faults));
        let key = AgainForm::take().key;
        let is_ticked = |row: &&str| {
            raw.get(&format!("{row}.{key}"))
                .is_some_and(|tick| tick == "yes")
        };
        let again = rows_with(raw, key).filter(is_ticked);
        let again = again
            .filter_map(|row| row.strip_prefix("last."))
            .map(str::to_owned);
        let (again, from_paper) = (again.collect(), FromPaper::read(raw, faults));
        let form = form?;
        Some(WorkForm {
            step: form.bench_step,
            arches: form.bench_arches,
            revision: form.bench_revision,
            anyway: form.bench_anyway,
            left_out: form.bench_left_out,
            sure: form.bench_sure,
            running: form.bench_running,
            shown: form.bench_shown,
            avoided_why: form.avoided_why,
            no_photo: form.no_photo,
            keep_until: form.keep_until,
            mounting: Mounting::of(form.instrument, form.mounted_plane),
            picture: form.step_picture,
            minutes: form.worked_minutes,
            note: form.bench_note,
            readings,
            used,
            used_at,
            again,
            from_paper,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is typed for a measure, read.
    fn read(key: &str, typed: &str) -> Result<String, Vec<Fault>> {
        let raw = Raw::from([(format!("m.{key}.measured"), typed.to_owned())]);
        let mut faults = Vec::new();
        let readings = readings(&raw, &mut faults);
        match (readings.first(), faults.is_empty()) {
            (Some(one), true) => Ok(one.words()),
            _ => Err(faults),
        }
    }

    #[test]
    fn the_unit_that_stands_behind_the_field_may_be_typed_and_no_other() {
        for (key, typed, described) in [
            ("ovd", "67,2 mm", "OVD 67.2 mm"),
            ("ovd", "67.2MM", "OVD 67.2 mm"),
            ("condylar_left", "30°", "Condylar, left 30°"),
            ("cure_degrees", "74 °C", "Cure, temperature 74 °C"),
            ("cure_minutes", "540 min", "Cure, time 540 min"),
            ("plane_pad", "50 %", "Plane on the pad 50 %"),
        ] {
            assert_eq!(read(key, typed).as_deref(), Ok(described), "{typed}");
        }
        // What is far out is told the limits of its own measure, in its unit.
        for (key, typed, told) in [
            ("ovd", "-60", "From 0 to 150 mm."),
            ("ovd", "-5", "From 0 to 150 mm."),
            ("ovd", "6600", "From 0 to 150 mm."),
            ("condylar_left", "-95", "From -90 to 90°."),
            ("plane_pad", "9000", "From 0 to 100 %."),
        ] {
            let faults = read(key, typed).unwrap_err();
            let told_of: Vec<&str> = faults.iter().map(|one| one.message.as_str()).collect();
            assert_eq!(told_of, [told], "{typed}");
        }
        for (key, typed) in [
            ("ovd", "6.72 cm"),
            ("ovd", "mm"),
            ("ovd", "-5"),
            ("condylar_left", "30 mm"),
        ] {
            assert!(read(key, typed).is_err(), "{typed}");
        }
    }
}

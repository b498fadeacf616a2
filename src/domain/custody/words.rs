//! An event in words: the same for office and lab, on screen and on paper.

use super::event::{Event, Exception, Made, Outcome, Parcel, ParcelFound, Signed, What};
use super::purpose::purpose_words;
use super::rules::place_words;
use super::state::Holder;
use crate::domain::custody::item::Item;
use crate::domain::values::ids::Tag;

/// One entry of the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Description {
    /// Date, time and offset.
    pub when: String,
    pub who: String,
    pub what: String,
    pub details: Vec<String>,
    /// Written down after it had happened.
    pub late: bool,
}

/// Tells an event.
pub fn describe(items: &[Item], event: &Event) -> Description {
    let named = |tag: &Tag| match items.iter().find(|item| item.tag == *tag) {
        Some(item) => format!("{} {tag}", item.title()),
        None => tag.to_string(),
    };
    let (what, mut details) = sentence(&event.what, &named);
    let is_late = event.is_late();
    if is_late {
        details.push(format!("Late entry, written down on {}.", event.entered_at));
    }
    if let Some(name) = &event.paper {
        details.push(format!("Copied from paper; the name on it: {name}."));
    }
    details.retain(|detail| !detail.is_empty());
    Description {
        when: event.at.to_string(),
        who: format!(
            "{}, {}, {}",
            event.by.name,
            event.by.role.shown(),
            event.by.party_name
        ),
        what,
        details,
        late: is_late,
    }
}

fn sentence(what: &What, named: &dyn Fn(&Tag) -> String) -> (String, Vec<String>) {
    match what {
        What::Registered {
            tag,
            place,
            worn,
            note,
            pieces,
            made,
            due_back,
        } => {
            let place = if *worn {
                "in the patient's mouth"
            } else {
                place_words(Holder::of(*place))
            };
            (
                format!("{} registered, {place}", named(tag)),
                [
                    vec![note.clone(), pieces.map_or_else(String::new, pieces_words)],
                    made.as_ref()
                        .map(|made| made_words(made, named))
                        .unwrap_or_default(),
                    vec![
                        due_back
                            .as_ref()
                            .map_or_else(String::new, |day| format!("Lent, due back on {day}")),
                    ],
                ]
                .concat(),
            )
        }
        What::Disinfected {
            tag,
            agent,
            dilution,
            minutes,
            rinsed,
        } => {
            let rinsed = if *rinsed { "rinsed" } else { "not rinsed" };
            let detail = format!(
                "{agent}{}, {minutes} min, {rinsed}",
                prefixed(", ", dilution)
            );
            (format!("{} disinfected", named(tag)), vec![detail])
        }
        What::Released {
            items,
            to,
            carrier,
            tracking,
            purpose_code,
            purpose,
            seal,
            exception,
            parcels,
            ..
        } => {
            let in_box = |number: u32| {
                if parcels.len() > 1 {
                    format!(", box {number} of {}", parcels.len())
                } else {
                    String::new()
                }
            };
            let mut details: Vec<String> = items
                .iter()
                .map(|sent| {
                    format!(
                        "{}{}{}{}",
                        named(&sent.tag),
                        prefixed(", ", &sent.pieces.map_or_else(String::new, pieces_words)),
                        in_box(sent.parcel()),
                        prefixed(": ", &sent.condition)
                    )
                })
                .collect();
            details.extend(
                (1..)
                    .zip(parcels)
                    .map(|(number, parcel)| parcel_words(number, parcel)),
            );
            details.push(format!(
                "Carrier: {carrier}{}{}",
                prefixed(", reference ", tracking),
                prefixed(", seal ", seal)
            ));
            details.push(prefixed("Why: ", &purpose_words(*purpose_code, purpose)));
            details.push(exception_words(exception.as_ref()));
            (format!("Handed over to the {}", to.word()), details)
        }
        What::Received {
            place,
            items,
            unannounced,
            parcels,
            foreign,
            ..
        } => {
            let mut details: Vec<String> = parcels.iter().map(found_words).collect();
            details.extend(items.iter().map(|found| {
                let mark = match (found.outcome, found.marked_disinfected) {
                    (Outcome::Missing, _) => "",
                    (_, true) => ", marked as disinfected",
                    (_, false) => ", no mark of disinfection",
                };
                format!(
                    "{}: {}{}{mark}{}",
                    named(&found.tag),
                    found.outcome.shown(),
                    prefixed(", ", &found.pieces.map_or_else(String::new, pieces_words)),
                    prefixed(". ", &found.note)
                )
            }));
            details.push(prefixed("The code on what was not announced: ", foreign));
            details.push(prefixed("Also in the box, not announced: ", unannounced));
            (
                format!("Received {}", place_words(Holder::of(*place))),
                details,
            )
        }
        What::Fitted {
            tag,
            instead_of,
            uncleaned,
        } => {
            let out = instead_of.iter();
            let mut details: Vec<String> =
                out.map(|out| format!("{} taken out", named(out))).collect();
            if *uncleaned {
                details.push(
                    "It had come from the lab, and went in without being disinfected again"
                        .to_owned(),
                );
            }
            (format!("{} fitted", named(tag)), details)
        }
        What::TakenOut { tag, exception } => (
            format!("{} taken out, nothing put in", named(tag)),
            vec![exception_words(exception.as_ref())],
        ),
        What::Given { tag, spare } => (
            format!("{} given to the patient as the spare", named(tag)),
            spare.as_ref().map_or_else(Vec::new, |spare| {
                let water = if spare.in_water {
                    "in water"
                } else {
                    "not in water"
                };
                vec![format!(
                    "Marked: {}. Kept: {}, {water}. Keeper: {}.",
                    spare.mark, spare.place, spare.keeper
                )]
            }),
        ),
        What::GivenBack { tag, pieces } => (
            format!("{} given back to the patient", named(tag)),
            vec![pieces_words(*pieces)],
        ),
        What::Voided {
            items,
            reason,
            signed,
            ..
        } => {
            let mut details: Vec<String> = items.iter().map(named).collect();
            details.push(format!("Why: {reason}"));
            details.push(signed_words(signed));
            ("Handoff taken back, it never left".to_owned(), details)
        }
        What::Settled {
            trouble,
            tag,
            reason,
            done,
            signed,
            not_packed,
            ..
        } => {
            let about = tag
                .as_ref()
                .map_or_else(String::new, |tag| format!("{}: ", named(tag)));
            (
                format!("Settled: {about}{}", trouble.shown()),
                vec![
                    format!("How it came about: {reason}"),
                    format!("What is done: {done}"),
                    if *not_packed {
                        "It was never packed, and is with those who sent it.".to_owned()
                    } else {
                        String::new()
                    },
                    signed_words(signed),
                ],
            )
        }
        What::Moved { tag, to } => (format!("{} put: {to}", named(tag)), Vec::new()),
        What::Closed {
            items,
            note,
            signed,
        } => {
            let mut details: Vec<String> = items
                .iter()
                .map(|one| format!("{}: {}", named(&one.tag), one.disposition.shown()))
                .collect();
            details.push(note.clone());
            details.push(signed_words(signed));
            ("Case closed".to_owned(), details)
        }
        What::Reopened { reason } => ("Case opened again".to_owned(), vec![reason.clone()]),
        What::BroughtBack { tag } => (
            format!("{} brought back by the patient", named(tag)),
            Vec::new(),
        ),
        What::UsedUp {
            tag,
            into,
            into_item,
        } => (
            format!("{} used up", named(tag)),
            vec![
                into.clone(),
                into_item
                    .as_ref()
                    .map_or_else(String::new, |item| format!("Into {}", named(item))),
            ],
        ),
        What::Withheld { tag, consent, kept } => {
            let consent = if *consent {
                "With the patient's consent"
            } else {
                "Without the patient's consent"
            };
            (
                format!("{} kept back from the patient", named(tag)),
                vec![format!("{consent}{}", prefixed(", ", kept))],
            )
        }
        What::Destroyed { tag, how, consent } => (
            format!("{} destroyed", named(tag)),
            vec![
                how.clone(),
                if *consent {
                    "With the patient's consent".to_owned()
                } else {
                    String::new()
                },
            ],
        ),
        What::WrittenOff { tag, how, signed } => (
            format!("{} written off as lost", named(tag)),
            vec![
                how.clone(),
                signed.as_ref().map_or_else(String::new, signed_words),
            ],
        ),
        What::Corrected { note, .. } => (
            "Correction of an earlier entry".to_owned(),
            vec![note.clone()],
        ),
        What::Erased { texts, why, signed } => (
            match texts.len() {
                1 => "A text of an earlier entry erased".to_owned(),
                many => format!("{many} texts of earlier entries erased"),
            },
            vec![format!("Because {}", why.shown()), signed_words(signed)],
        ),
    }
}

fn prefixed(prefix: &str, text: &str) -> String {
    if text.trim().is_empty() {
        String::new()
    } else {
        format!("{prefix}{text}")
    }
}

fn pieces_words(pieces: u32) -> String {
    match pieces {
        1 => "1 piece".to_owned(),
        many => format!("{many} pieces"),
    }
}

fn made_words(made: &Made, named: &dyn Fn(&Tag) -> String) -> Vec<String> {
    let from: Vec<String> = made.from.iter().map(named).collect();
    let pot = made
        .pot_minutes
        .map_or_else(String::new, |minutes| format!("{minutes} min in the pot"));
    vec![
        prefixed("Made from ", &from.join(", ")),
        prefixed("How: ", &made.how),
        prefixed(
            "Material: ",
            &format!("{}{}", made.material, prefixed(", lot ", &made.lot)),
        ),
        pot,
        prefixed("Made by ", &made.maker),
    ]
}

fn parcel_words(number: u32, parcel: &Parcel) -> String {
    let mut words = vec![match parcel.seal.as_str() {
        "" => "no seal".to_owned(),
        seal => format!("seal {seal}"),
    }];
    if parcel.moist_bag {
        words.push("moist in a sealed bag".to_owned());
    }
    if parcel.hard_box {
        words.push("in a hard box".to_owned());
    }
    if !parcel.note.is_empty() {
        words.push(parcel.note.clone());
    }
    format!("Box {number}: {}", words.join(", "))
}

fn found_words(found: &ParcelFound) -> String {
    format!(
        "Box {}: {}{}",
        found.parcel,
        found.seal.shown(),
        prefixed(", read as ", &found.number)
    )
}

fn signed_words(signed: &Signed) -> String {
    format!(
        "Signed by {}{}: {}",
        signed.name,
        prefixed(", licence ", &signed.licence),
        signed.meaning
    )
}

fn exception_words(exception: Option<&Exception>) -> String {
    exception.map_or_else(String::new, |exception| {
        format!(
            "Exception signed by {}, licence {}: {}",
            exception.name, exception.licence, exception.reason
        )
    })
}

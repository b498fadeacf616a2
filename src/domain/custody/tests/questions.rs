//! Questions of one house to the other, and telephone calls.

use super::*;
use CustodyRule::{F, Form, J, K, Question as Waiting, Right};
use Side::{Lab, Office};

fn asked(from: Side, text: &str, waits: bool) -> What {
    What::Asked(Asked {
        matter: Matter::Unclear,
        from,
        section: Some("vertical".to_owned()),
        line: None,
        item: None,
        step: None,
        revision: 1,
        text: text.to_owned(),
        waits,
        picture: None,
    })
}

fn answered(question: &EventId, text: &str) -> What {
    What::Answered(Answered {
        question: question.clone(),
        text: text.to_owned(),
        taken_back: false,
        picture: None,
        revision_follows: false,
    })
}

fn promised(question: &EventId, text: &str) -> What {
    let mut what = answered(question, text);
    if let What::Answered(one) = &mut what {
        one.revision_follows = true;
    }
    what
}

fn taken_back(question: &EventId) -> What {
    What::Answered(Answered {
        question: question.clone(),
        text: String::new(),
        taken_back: true,
        picture: None,
        revision_follows: false,
    })
}

fn telephoned(from: Side, question: Option<&EventId>) -> What {
    What::Telephoned(Telephoned {
        from,
        with: "D. S.".to_owned(),
        text: "keep the height of the pattern".to_owned(),
        question: question.cloned(),
        section: None,
        item: None,
        picture: None,
        changes: false,
    })
}

fn confirmed(call: &EventId) -> What {
    What::Confirmed(Confirmed {
        event: call.clone(),
        is_so: true,
        note: String::new(),
        changes: false,
        none_needed: false,
    })
}

fn not_so(call: &EventId, note: &str) -> What {
    What::Confirmed(Confirmed {
        event: call.clone(),
        is_so: false,
        note: note.to_owned(),
        changes: false,
        none_needed: false,
    })
}

fn last_question(world: &World) -> EventId {
    let case = world.case_state();
    case.questions.last().unwrap().event.clone()
}

fn tasks(world: &World) -> Vec<String> {
    let waiting = world.stands().waiting_for;
    waiting.iter().map(ToString::to_string).collect()
}

/// What stands at the bench beside the prescription.
fn beside(world: &World) -> Vec<(&'static str, String)> {
    let case = world.case_state();
    let words = |one: &SaidToLab<'_>| match one {
        SaidToLab::Answer(_, reply) => ("answer", reply.text.clone()),
        SaidToLab::Told(question) => ("told", question.text.clone()),
        SaidToLab::Call(call) if call.is_open() => ("open call", call.text.clone()),
        SaidToLab::Call(call) => ("call", call.text.clone()),
    };
    case.said_to_lab().iter().map(words).collect()
}

#[test]
fn what_was_said_is_read_at_the_bench_and_nothing_that_counts_for_nothing() {
    const CALL: &str = "keep the height of the pattern";
    let mut world = at_the_lab();
    assert_eq!(beside(&world), []);
    // What is open says nothing yet, nor does what was taken back; what the lab was asked it knows itself.
    world.does(&tom(), asked(Lab, "which height?", false));
    let question = last_question(&world);
    world.does(&anna(), asked(Office, "which stone?", false));
    let own = last_question(&world);
    world.does(&tom(), answered(&own, "type 3"));
    assert_eq!(beside(&world), []);
    world.does(&dora(), answered(&question, "64 mm"));
    world.does(&tom(), asked(Lab, "never mind", false));
    let question = last_question(&world);
    world.does(&tom(), taken_back(&question));
    let answer = ("answer", "64 mm".to_owned());
    assert_eq!(beside(&world), std::slice::from_ref(&answer));
    let What::Asked(told) = asked(Office, "it lifts in yawning", false) else {
        unreachable!("it is told");
    };
    let told = What::Asked(Asked {
        matter: Matter::PatientSays,
        ..told
    });
    world.does(&anna(), told);
    let told = ("told", "it lifts in yawning".to_owned());
    assert_eq!(beside(&world), [told.clone(), answer.clone()]);
    // A call is marked until the other side confirms it, and is gone where it was not so.
    world.does(&tom(), telephoned(Lab, None));
    let call = world.case_state().calls.last().unwrap().event.clone();
    assert_eq!(beside(&world)[0], ("open call", CALL.to_owned()));
    world.does(&anna(), confirmed(&call));
    assert_eq!(beside(&world), [("call", CALL.to_owned()), told, answer]);
    world.does(&anna(), telephoned(Office, None));
    let call = world.case_state().calls.last().unwrap().event.clone();
    assert_eq!(beside(&world).len(), 4);
    world.does(&tom(), not_so(&call, "it was another case"));
    assert_eq!(beside(&world).len(), 3);
}

/// When each house was answered, as the lists tell it: office and lab, by minutes since the first entry.
fn told(world: &World) -> [Option<i64>; 2] {
    let ordered = Ordered {
        revision: 1,
        ..Ordered::default()
    };
    let agenda = super::to_do::drawn(world, &ordered, 1).agenda;
    [agenda.office, agenda.lab].map(|on| on.answered_ms)
}

#[test]
fn that_an_answer_has_come_is_told_to_whoever_asked_until_that_house_goes_on() {
    let mut world = at_the_lab();
    assert_eq!(told(&world), [None, None]);
    world.does(&tom(), asked(Lab, "which height?", false));
    assert_eq!(told(&world), [None, None]);
    let question = last_question(&world);
    world.does(&dora(), answered(&question, "64 mm"));
    let at = world.now_ms;
    assert_eq!(told(&world), [None, Some(at)]);
    // What the other house does later hides no answer, and any entry of one's own takes it off.
    world.does(&dora(), asked(Office, "which stone?", false));
    assert_eq!(told(&world), [None, Some(at)]);
    let question = last_question(&world);
    world.does(&tom(), answered(&question, "type 3"));
    assert_eq!(told(&world), [Some(world.now_ms), None]);
    // Whoever takes a question back has heard nothing, and a call is confirmed.
    world.does(&tom(), asked(Lab, "and the midline?", false));
    let question = last_question(&world);
    world.does(&tom(), taken_back(&question));
    assert_eq!(told(&world)[1], None);
    world.does(&tom(), asked(Lab, "and the plane?", false));
    let question = last_question(&world);
    world.does(&dora(), telephoned(Office, Some(&question)));
    assert_eq!(told(&world), [None, None]);
}

#[test]
fn the_lab_asks_the_office_answers_once_and_the_work_that_waited_goes_on() {
    let mut world = at_the_lab();
    let made = registered("try-in upper", Lab, false);
    // A part of the prescription says what is meant; without one, or where it is something else, words do.
    world.expect(&tom(), &asked(Lab, " ", true), &[]);
    for (matter, section) in [
        (Matter::Unclear, None),
        (Matter::Other, Some("vertical".to_owned())),
    ] {
        let What::Asked(one) = asked(Lab, " ", true) else {
            unreachable!("it is a question");
        };
        let bare = What::Asked(Asked {
            matter,
            section,
            ..one
        });
        world.expect(&tom(), &bare, &[(Form, "")]);
    }
    // What contradicts something else is two: the other one is pointed at too, or written.
    for (text, item, refused) in [
        (" ", None, true),
        (" ", Some(tag("bite")), false),
        ("the height on the sheet", None, false),
    ] {
        let What::Asked(one) = asked(Lab, text, true) else {
            unreachable!("it is a question");
        };
        let against = What::Asked(Asked {
            matter: Matter::Contradicts,
            item,
            step: None,
            ..one
        });
        let expected: &[(CustodyRule, &str)] = if refused { &[(Form, "")] } else { &[] };
        world.expect(&tom(), &against, expected);
    }
    world.expect(&tom(), &asked(Office, "how", false), &[(Right, "")]);
    world.expect(&anna(), &asked(Office, "how", true), &[(Form, "")]);
    world.does(&tom(), asked(Lab, "which height holds", true));
    let question = last_question(&world);
    world.expect(&tom(), &made, &[(Waiting, "")]);
    assert_eq!(tasks(&world), ["the office: answer a question"]);
    let held = world.stands().held.unwrap();
    assert_eq!(
        held.to_string(),
        "A question waits for the answer of the office"
    );
    // Nobody answers his own question, and what is asked is answered in words.
    world.expect(&tom(), &answered(&question, "66"), &[(Right, "")]);
    world.expect(&anna(), &answered(&question, " "), &[(Form, "")]);
    world.expect(&anna(), &taken_back(&question), &[(Right, "")]);
    world.does(&anna(), answered(&question, "66 mm"));
    world.expect(&tom(), &made, &[]);
    world.expect(&dora(), &answered(&question, "67 mm"), &[(F, "")]);
    world.expect(
        &dora(),
        &answered(&EventId::new("no such"), "x"),
        &[(J, "")],
    );
    assert_eq!(tasks(&world), ["the lab: make the work and hand it back"]);
    assert!(world.stands().held.is_none());
}

#[test]
fn what_does_not_wait_holds_nothing_and_can_be_taken_back() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "is there a photograph", false));
    let question = last_question(&world);
    world.expect(&tom(), &registered("try-in upper", Lab, false), &[]);
    assert!(world.stands().held.is_none());
    let both = [
        "the office: answer a question",
        "the lab: make the work and hand it back",
    ];
    assert_eq!(tasks(&world), both);
    world.does(&mara(), taken_back(&question));
    assert_eq!(tasks(&world), both[1..]);
    world.does(&anna(), asked(Office, "does Thursday do", false));
    assert_eq!(tasks(&world)[0], "the lab: answer a question");
}

#[test]
fn c5_a_question_in_cancelled_work_asks_for_nothing_and_stands_against_no_closing() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "which height holds", true));
    let question = last_question(&world);
    let asks = |world: &World| -> Vec<&'static str> {
        let (context, case) = (world.context(), world.case_state());
        let ordered = Ordered::default();
        let standing = standing(&context, &case, &ordered, 0);
        let today = time::macros::date!(2026 - 03 - 02);
        let all = waits(&context, &case, &ordered, &standing, today);
        all.into_iter().map(|one| one.to_do).collect()
    };
    let undecided = |world: &World| {
        let all = dispositions(&world.context().scope(), &world.case_state());
        let all = all.err().unwrap_or_default();
        all.into_iter()
            .any(|one| one.contains("nothing is answered"))
    };
    assert!(asks(&world).contains(&"answer it") && undecided(&world));
    let away = away_from_the_office(&world.context().scope(), &world.case_state());
    let back = |tag| Fated {
        consent: None,
        tag,
        fate: Fate::ComesBack,
    };
    world.does(
        &dora(),
        What::Cancelled(Cancelled {
            reason: "another treatment is chosen".to_owned(),
            items: away.into_iter().map(back).collect(),
            signed: under("dora"),
        }),
    );
    assert!(!asks(&world).contains(&"answer it") && !undecided(&world));
    assert!(!tasks(&world).iter().any(|one| one.contains("answer")));
    // It can be answered all the same; and where the work goes on, it is asked again.
    world.expect(&anna(), &answered(&question, "66 mm"), &[]);
    world.does(
        &dora(),
        What::WentOn(WentOn {
            reason: "the patient is well again".to_owned(),
            signed: under("dora"),
        }),
    );
    assert!(asks(&world).contains(&"answer it") && undecided(&world));
}

#[test]
fn a_question_about_a_thing_is_about_one_of_this_case() {
    let world = at_the_lab();
    let about = |thing: &str| {
        let What::Asked(asked) = asked(Lab, "is it keyed", false) else {
            unreachable!("a question is made")
        };
        What::Asked(Asked {
            item: Some(tag(thing)),
            step: None,
            ..asked
        })
    };
    world.expect(&tom(), &about("bite"), &[]);
    world.expect(&tom(), &about("foreign"), &[(K, "foreign")]);
}

#[test]
fn a_question_and_its_answer_show_pictures_of_the_case() {
    let mut world = at_the_lab();
    let shows = |question: Option<&EventId>| {
        What::Pictured(Pictured {
            shows: PictureOf::Other,
            item: None,
            hash: "ab".repeat(32),
            length: 9,
            width: 4,
            height: 3,
            caption: String::new(),
            for_lab: false,
            question: question.cloned(),
        })
    };
    let with = |what: What, picture: &EventId| match what {
        What::Asked(asked) => What::Asked(Asked {
            picture: Some(picture.clone()),
            ..asked
        }),
        What::Answered(answered) => What::Answered(Answered {
            picture: Some(picture.clone()),
            ..answered
        }),
        What::Telephoned(call) => What::Telephoned(Telephoned {
            picture: Some(picture.clone()),
            ..call
        }),
        other => other,
    };
    let strange = EventId::new("no such entry");
    let ask = asked(Lab, "is this the border", false);
    world.expect(&tom(), &with(ask.clone(), &strange), &[(J, "")]);
    world.expect(&tom(), &shows(Some(&strange)), &[(J, "")]);
    world.does(&tom(), shows(None));
    let first = world.events.last().unwrap().id.clone();
    // An entry that is no picture is none.
    let begun = world.events.first().unwrap().id.clone();
    world.expect(&tom(), &with(ask.clone(), &begun), &[(J, "")]);
    world.does(&tom(), with(ask, &first));
    let question = last_question(&world);
    // Another one is added to it, by either house, and one goes with the answer.
    world.expect(&anna(), &shows(Some(&question)), &[]);
    world.does(&tom(), shows(Some(&question)));
    let second = world.events.last().unwrap().id.clone();
    let answer = answered(&question, "to the line");
    world.expect(&anna(), &with(answer.clone(), &strange), &[(J, "")]);
    world.does(&anna(), with(answer, &first));
    let case = world.case_state();
    let shown = &case.question(&question).unwrap().pictures;
    assert_eq!(shown, &[first, second.clone()]);
    // A call has one too, and what it answers is shown with it.
    world.does(&tom(), asked(Lab, "and here", false));
    let question = last_question(&world);
    let call = telephoned(Lab, Some(&question));
    world.expect(&tom(), &with(call.clone(), &strange), &[(J, "")]);
    world.does(&tom(), with(call, &second));
    let case = world.case_state();
    assert_eq!(case.calls[0].picture.as_ref(), Some(&second));
    assert_eq!(case.question(&question).unwrap().pictures, [second]);
}

#[test]
fn a_call_answers_and_stays_marked_until_the_other_house_confirms_it() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "which height holds", true));
    let question = last_question(&world);
    world.expect(&tom(), &telephoned(Office, None), &[(Right, "")]);
    world.does(&tom(), telephoned(Lab, Some(&question)));
    world.expect(&tom(), &registered("try-in upper", Lab, false), &[]);
    let call = world.case_state().calls[0].event.clone();
    assert_eq!(
        tasks(&world),
        [
            "the lab: make the work and hand it back",
            "the office: confirm what was said on the telephone"
        ]
    );
    world.expect(&mara(), &confirmed(&call), &[(Right, "")]);
    world.does(&anna(), confirmed(&call));
    world.expect(&dora(), &confirmed(&call), &[(F, "")]);
    assert_eq!(tasks(&world), ["the lab: make the work and hand it back"]);
    // A second call about what is answered answers nothing.
    world.expect(&tom(), &telephoned(Lab, Some(&question)), &[(F, "")]);
}

#[test]
fn a_call_that_was_not_so_answers_nothing_and_its_own_house_can_take_it_back() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "which height holds", true));
    let question = last_question(&world);
    let made = registered("try-in upper", Lab, false);
    let call = |world: &World| world.case_state().calls.last().unwrap().event.clone();
    world.does(&tom(), telephoned(Lab, Some(&question)));
    let first = call(&world);
    world.expect(&anna(), &not_so(&first, " "), &[(Form, "")]);
    world.does(&anna(), not_so(&first, "63 was said"));
    // The question is open again, and the work waits again.
    world.expect(&tom(), &made, &[(Waiting, "")]);
    world.expect(&anna(), &confirmed(&first), &[(F, "")]);
    assert_eq!(tasks(&world), ["the office: answer a question"]);
    world.does(&tom(), telephoned(Lab, Some(&question)));
    world.does(&mara(), not_so(&call(&world), ""));
    world.expect(&tom(), &made, &[(Waiting, "")]);
}

#[test]
fn nothing_is_closed_over_a_question_or_a_call() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "which height holds", false));
    world.does(&tom(), telephoned(Lab, None));
    let state = world.case_state();
    let undecided = dispositions(&world.context().scope(), &state).unwrap_err();
    let of = |words: &str| undecided.iter().filter(|one| one.contains(words)).count();
    assert_eq!((of("nothing is answered"), of("whether it was so")), (1, 1));
}

#[test]
fn a_listed_thing_that_was_registered_by_mistake_is_missed() {
    let mut world = at_the_lab();
    let mut ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        ..Ordered::default()
    };
    ordered.enclosed.push(tag("provisional upper"));
    let how = |world: &World, ordered: &Ordered| {
        let lacks = lacking(ordered, &world.items, &world.case_state());
        lacks.into_iter().map(|one| one.how).collect::<Vec<_>>()
    };
    assert_eq!(how(&world, &ordered), [NotCome::Stays]);
    let mut case = world.case_state();
    case.change(&tag("provisional upper"), |state| {
        state.gone = Some(Gone::Mistaken);
    });
    let lacks = lacking(&ordered, &world.items, &case);
    assert_eq!(lacks[0].how, NotCome::Mistaken);
    world.now_ms += MINUTE_MS;
}

#[test]
fn what_work_waits_for_is_read_first_and_nothing_waits_once_it_is_given_up() {
    let mut world = at_the_lab();
    for (text, waits) in [("first", false), ("second", true), ("third", false)] {
        world.does(&tom(), asked(Lab, text, waits));
    }
    let case = world.case_state();
    let open = case.open_in_order();
    let texts: Vec<&str> = open.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(texts, ["second", "first", "third"]);
    let waited_for = |case: &CaseState| {
        let waited = open.iter().map(|one| case.is_waited_for(one));
        waited.collect::<Vec<bool>>()
    };
    assert_eq!(case.work_over(), None);
    assert_eq!(waited_for(&case), [true, false, false]);
    let closed = CaseState {
        closed: true,
        ..case.clone()
    };
    assert_eq!(closed.work_over(), Some(WorkOver::Closed));
    assert_eq!(waited_for(&closed), [false, false, false]);
    let since = Moment::new(world.now_ms, 60);
    for (halt, over) in [
        (Halt::Stopped, None),
        (Halt::Paused, None),
        (Halt::Cancelled, Some(WorkOver::Cancelled(since))),
    ] {
        let still = CaseState {
            standstill: Some(Standstill {
                halt,
                event: EventId::new("halt"),
                since,
                began: since,
                by: "dora".to_owned(),
                reason: "so".to_owned(),
                heeded: None,
                items: Vec::new(),
            }),
            ..case.clone()
        };
        assert_eq!(still.work_over(), over, "{halt:?}");
        assert_eq!(waited_for(&still)[0], over.is_none(), "{halt:?}");
    }
}

#[test]
fn only_what_is_open_takes_a_word() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "which height holds", false));
    let question = last_question(&world);
    world.does(&tom(), telephoned(Lab, None));
    let call = world.case_state().calls.last().unwrap().event.clone();
    let open = |world: &World| {
        let case = world.case_state();
        let takes_pictures = case.question(&question).unwrap().takes_pictures();
        let takes_words = case.awaits_answer(&question);
        (takes_words, takes_pictures, case.awaits_verdict(&call))
    };
    assert_eq!(open(&world), (true, true, true));
    world.does(&anna(), answered(&question, "66"));
    world.does(&anna(), confirmed(&call));
    assert_eq!(open(&world), (false, false, false));
    let nobodys = EventId::new("nobody's");
    let case = world.case_state();
    assert!(!case.awaits_answer(&nobodys) && !case.awaits_verdict(&nobodys));
    assert!(!case.awaits_reply(&nobodys));
}

#[test]
fn what_waits_goes_on_waiting_for_the_revision_that_an_answer_promises() {
    let mut world = at_the_lab();
    world.does(&tom(), asked(Lab, "66 or 63?", true));
    let question = last_question(&world);
    let made = registered("try-in upper", Lab, false);
    world.expect(&tom(), &made, &[(Waiting, "")]);
    // Only the office changes a prescription.
    world.does(&anna(), promised(&question, "63, the revision follows"));
    let case = world.case_state();
    assert_eq!(case.promised_revisions().count(), 1);
    assert!(case.waits_for_answer().is_some());
    world.expect(&tom(), &made, &[(Waiting, "")]);
    let sentences = allow(
        &world.context(),
        &made,
        &tom(),
        Moment::new(world.now_ms + MINUTE_MS, 60),
    );
    assert!(sentences[0].sentence.contains("63, the revision follows"));
    let first = "the office: sign the revision that was promised, or answer that none is needed";
    assert_eq!(tasks(&world), [first]);
    assert_eq!(
        world.stands().held.map(|held| held.to_string()).as_deref(),
        Some("A revision is promised, and the work waits for it")
    );
    // Signed, or not needed after all: one answer ends it.
    world.does(&dora(), answered(&question, "Revision 2 is signed."));
    assert_eq!(world.case_state().promised_revisions().count(), 0);
    world.expect(&tom(), &made, &[]);
    world.expect(&anna(), &promised(&question, "again"), &[(F, "")]);
    // The lab answers, and promises no revision.
    world.does(&anna(), asked(Office, "which lot?", false));
    let own = last_question(&world);
    world.expect(&tom(), &promised(&own, "lot 4"), &[(Right, "")]);
    world.does(&tom(), answered(&own, "lot 4"));
    assert_eq!(world.case_state().open_questions().count(), 0);
}

/// Common practice, no source: a revision that was signed after the call knows of it, one that was signed before does not.
#[test]
fn a_call_against_the_signed_text_waits_for_the_next_revision_or_a_reason() {
    let mut world = at_the_lab();
    let What::Telephoned(call) = telephoned(Lab, None) else {
        unreachable!()
    };
    let before = Moment::new(world.now_ms, 60);
    world.now_ms += 60_000;
    let changes = Telephoned {
        changes: true,
        ..call
    };
    world.does(&tom(), changes.into());
    let id = world.events.last().unwrap().id.clone();
    let to_write = |world: &World, since| {
        let ordered = Ordered {
            since,
            ..Ordered::default()
        };
        world.case_state().calls_to_write(&ordered).count()
    };
    assert_eq!(to_write(&world, Some(before)), 0);
    let none_needed = |note: &str| {
        What::Confirmed(Confirmed {
            event: id.clone(),
            is_so: true,
            note: note.to_owned(),
            changes: false,
            none_needed: true,
        })
    };
    // Nothing is waited for before both have said it.
    world.expect(&dora(), &none_needed("as it is"), &[(F, "")]);
    world.does(&dora(), confirmed(&id));
    assert_eq!(to_write(&world, None), 0);
    assert_eq!(to_write(&world, Some(before)), 1);
    let later = Moment::new(world.now_ms + 60_000, 60);
    assert_eq!(to_write(&world, Some(later)), 0);
    world.expect(&tom(), &none_needed("as it is"), &[(Right, "")]);
    world.expect(&dora(), &none_needed(" "), &[(Form, "")]);
    world.does(&dora(), none_needed("as it is"));
    assert_eq!(to_write(&world, Some(before)), 0);
    world.expect(&dora(), &none_needed("as it is"), &[(F, "")]);
}

/// Common practice, no source: the signed text decides, so what was agreed about a part is written when that part says
/// otherwise; another part says nothing of it.
#[test]
fn a_call_about_a_part_waits_until_that_part_is_signed_otherwise() {
    use crate::domain::custody::ordered::PartsSigned;
    let mut world = at_the_lab();
    let first = Moment::new(world.now_ms, 60);
    let at = |minute: i64| Moment::new(first.unix_ms + minute * MINUTE_MS, 60);
    let signed = |later: &[(i64, &'static str)]| {
        let before = PartsSigned {
            since: first,
            parts: vec!["vertical", "remarks"],
        };
        let later = later.iter().map(|(minute, part)| PartsSigned {
            since: at(*minute),
            parts: vec![*part],
        });
        let parts: Vec<PartsSigned> = std::iter::once(before).chain(later).collect();
        Ordered {
            since: parts.last().map(|one| one.since),
            parts,
            ..Ordered::default()
        }
    };
    let call = |section: Option<&str>| {
        What::Telephoned(Telephoned {
            from: Lab,
            with: "D. S.".to_owned(),
            text: "2 mm less".to_owned(),
            question: None,
            section: section.map(str::to_owned),
            item: None,
            picture: None,
            changes: true,
        })
    };
    world.now_ms = at(10).unix_ms;
    world.does(&tom(), call(Some("vertical")));
    let id = world.events.last().unwrap().id.clone();
    let parts = |world: &World, ordered: &Ordered| {
        let calls = world.case_state().unwritten_calls(ordered);
        calls.into_iter().map(|one| one.part).collect::<Vec<_>>()
    };
    let height_alone = [Some("vertical".to_owned())];
    let to_write =
        |world: &World, ordered: &Ordered| world.case_state().calls_to_write(ordered).count();
    let [none, remarks, height, both] = [
        signed(&[]),
        signed(&[(600, "remarks")]),
        signed(&[(600, "vertical")]),
        signed(&[(600, "remarks"), (601, "vertical")]),
    ];
    // One house alone has said it: whoever signs is asked, and nobody waits.
    assert_eq!(parts(&world, &none), height_alone);
    assert_eq!(to_write(&world, &none), 0);
    // Confirmed after a revision that leaves the part as it was.
    world.now_ms = at(700).unix_ms;
    world.does(&dora(), confirmed(&id));
    for (ordered, waits) in [(&none, 1), (&remarks, 1), (&height, 0), (&both, 0)] {
        assert_eq!(to_write(&world, ordered), waits, "{:?}", ordered.parts);
        assert_eq!(parts(&world, ordered).len(), waits, "{:?}", ordered.parts);
    }
    // What was said before anything was signed, the first revision knows of.
    let early = Ordered {
        since: Some(at(20)),
        parts: vec![PartsSigned {
            since: at(20),
            parts: vec!["vertical", "remarks"],
        }],
        ..Ordered::default()
    };
    assert_eq!(to_write(&world, &early), 0);
    let none_needed = What::Confirmed(Confirmed {
        event: id.clone(),
        is_so: true,
        note: "as it is".to_owned(),
        changes: false,
        none_needed: true,
    });
    world.does(&dora(), none_needed);
    assert_eq!(to_write(&world, &remarks), 0);
    assert_eq!(parts(&world, &remarks), []);
    // A call about no part: a revision knows of it that is signed after the office has confirmed it. Whoever signs is asked
    // once.
    world.now_ms = at(800).unix_ms;
    world.does(&tom(), call(None));
    assert_eq!(parts(&world, &signed(&[(700, "remarks")])), [None]);
    assert_eq!(parts(&world, &signed(&[(850, "remarks")])), []);
    let id = world.events.last().unwrap().id.clone();
    world.now_ms = at(900).unix_ms;
    world.does(&dora(), confirmed(&id));
    assert_eq!(to_write(&world, &signed(&[(850, "remarks")])), 1);
    assert_eq!(to_write(&world, &signed(&[(1_000, "remarks")])), 0);
    assert_eq!(parts(&world, &signed(&[])), [None]);
    assert_eq!(parts(&world, &signed(&[(1_000, "remarks")])), []);
}

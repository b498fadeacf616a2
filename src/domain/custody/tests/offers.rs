//! A page offers what would be allowed, and nothing else.

use super::super::case_actions::{CaseAction, case_actions};
use super::super::offers::StepKind;
use super::walk::{Move, any_arches, moves};
use super::*;
use crate::domain::form::{Kind, Raw};
use crate::domain::people::access::{Permission, may};
use crate::domain::values::ids::HandoffId;
use proptest::prelude::*;
use strum::IntoEnumIterator;

/// The example of an action about an item, or of a step of the case, is what the rules are asked about.
fn subject<'a>(
    context: &Context<'a>,
    case: &'a CaseState,
    tag: &'a Tag,
    mistake: Option<&'a Event>,
) -> Subject<'a> {
    let mut events = context.events.iter();
    Subject {
        tag,
        scope: context.scope(),
        case,
        entry: events
            .find(|event| event.what.tags().contains(&tag))
            .map(|event| &event.id),
        mistake: mistake.map(|event| (&event.id, event.what.word())),
    }
}

/// Whether an action about an item is offered, by the kind of event that it makes.
fn is_offered(offers: &Offers<'_>, tag: &Tag, what: &What) -> bool {
    let (context, case) = offers.case();
    let about = subject(&context, case, tag, None);
    let mut actions = offers.about(tag).into_iter();
    actions.any(|action| (action.example)(&about).word() == what.word())
}

/// Whether everything that an event would do is offered by the pages that it is entered from.
fn is_all_offered(offers: &Offers<'_>, what: &What) -> bool {
    let (_, case) = offers.case();
    match what {
        What::Released(Released { items, .. }) => {
            let mut tags = items.iter().map(|sent| &sent.tag);
            tags.all(|tag| offers.to_hand_over().iter().any(|item| item.tag == *tag))
        }
        What::Received(Received { handoff, .. }) => {
            let awaited = offers.to_receive();
            awaited.iter().any(|one| one.id == *handoff)
        }
        What::PickedUp(PickedUp { handoff, .. }) => {
            let packed = offers.to_pick_up();
            packed.iter().any(|one| one.id == *handoff)
        }
        What::Voided(Voided { handoff, .. }) => {
            let handoff = case.handoff(handoff);
            handoff.is_some_and(|one| offers.has(CaseStep::TakeBack(one)))
        }
        What::Resolved(Resolved { hold, .. }) => {
            offers.to_resolve().iter().any(|one| one.id == *hold)
        }
        What::Fitted(Fitted { tag, .. }) => {
            let mut arches = offers.arches().into_iter();
            arches.any(|arch| offers.to_fit(arch).iter().any(|item| item.tag == *tag))
        }
        What::TakenOut(TakenOut { tag, .. }) => {
            let mut arches = offers.arches().into_iter();
            arches.any(|arch| offers.to_take_out(arch).as_ref() == Some(tag))
        }
        What::Registered(_) => offers.has(CaseStep::Register),
        What::Closed(_) => offers.has(CaseStep::Close),
        What::Reopened(_) => offers.has(CaseStep::Reopen),
        What::KeptLonger(one) => offers.has(match one.ends {
            false => CaseStep::KeepLonger,
            true => CaseStep::KeepNoLonger,
        }),
        What::Stopped(_) => offers.has(CaseStep::Stop),
        What::Paused(_) => offers.has(CaseStep::Pause),
        What::WentOn(_) => offers.has(CaseStep::GoOn),
        What::Cancelled(_) => offers.has(CaseStep::Cancel),
        What::Heeded(_) => offers.has(CaseStep::Heed),
        What::Asked(_) => offers.has(CaseStep::Ask),
        What::Answered(Answered {
            question,
            taken_back,
            ..
        }) => {
            let question = case.question(question).unwrap();
            offers.has(match taken_back {
                true => CaseStep::TakeBackQuestion(question),
                false => CaseStep::Answer(question),
            })
        }
        What::Telephoned(_) => offers.has(CaseStep::Telephone),
        What::Confirmed(Confirmed { event, .. }) => {
            let call = case.call(event).unwrap();
            let steps = [
                CaseStep::Confirm(call),
                CaseStep::LeaveUnwritten(call),
                CaseStep::TakeBackCall(call),
            ];
            steps.into_iter().any(|step| offers.has(step))
        }
        What::Promised(_) => offers.has(CaseStep::Promise),
        What::DayAnswered(_) => {
            let mut named = case.promise.iter();
            named.any(|one| offers.has(CaseStep::AnswerDay(one)))
        }
        What::PassedOn(PassedOn {
            items, instead_of, ..
        }) => match instead_of {
            Some(id) => {
                let earlier = case.pass(id);
                earlier.is_some_and(|one| offers.has(CaseStep::PassAgain(one)))
            }
            None => {
                let open = offers.to_pass_on();
                let is_open = |tag: &Tag| open.iter().any(|item| item.tag == *tag);
                items.iter().all(is_open)
            }
        },
        What::PassAnswered(PassAnswered { pass, .. }) => {
            let pass = case.pass(pass);
            pass.is_some_and(|one| offers.has(CaseStep::AnswerPass(one)))
        }
        What::PassMoved(PassMoved {
            pass, leg, items, ..
        }) => {
            let pass = case.pass(pass).unwrap();
            let open = offers.to_move(pass, *leg);
            items.iter().all(|found| open.contains(&&found.tag))
        }
        What::PassEnded(PassEnded { pass, .. }) => {
            let pass = case.pass(pass);
            pass.is_some_and(|one| offers.has(CaseStep::EndPass(one)))
        }
        What::PassAsked(PassAsked { pass, .. }) => {
            let pass = case.pass(pass);
            pass.is_some_and(|one| offers.has(CaseStep::AskPass(one)))
        }
        What::PassReplied(PassReplied {
            question,
            taken_back,
            ..
        }) => {
            let (_, question) = case.pass_question(question).unwrap();
            offers.has(match taken_back {
                true => CaseStep::TakeBackPass(question),
                false => CaseStep::ReplyPass(question),
            })
        }
        What::Pictured(_) => offers.has(CaseStep::AddPicture),
        What::ScanFiled(_) => offers.has(CaseStep::AddScan),
        What::MarkedForLab(MarkedForLab { event, .. }) => {
            let scan = case.scans.iter().find(|one| one.event == *event);
            let steps = [
                case.picture(event).map(CaseStep::MarkPicture),
                scan.map(CaseStep::MarkScan),
            ];
            steps.into_iter().flatten().any(|step| offers.has(step))
        }
        What::Assigned(_) => offers.has(CaseStep::Assign),
        What::Worked(Worked { arches, .. }) => offers.has(CaseStep::Bench(*arches)),
        What::CarriedOver(CarriedOver {
            revision, arches, ..
        }) => {
            let mut bench = case.bench.iter();
            bench.any(|one| {
                let is_it = one.revision < *revision && one.arches.shared_with(*arches).0.is_some();
                is_it && offers.has(CaseStep::CarryOver(one))
            })
        }
        What::FitChecked(_) => offers.has(CaseStep::CheckFit),
        What::FollowedUp(FollowedUp { arches, .. }) => offers.has(CaseStep::FollowUp(*arches)),
        What::ShareAnswered(ShareAnswered { event, .. }) => {
            let mut entries = case.follow_ups.iter();
            entries.any(|one| one.event == *event && offers.has(CaseStep::AnswerShare(one)))
        }
        What::Undone(Undone { event, .. }) => {
            let bench = case
                .bench
                .iter()
                .map(|one| (&one.event, CaseStep::UndoBench(one)));
            let fits = case
                .fits
                .iter()
                .map(|one| (&one.event, CaseStep::UndoFit(one)));
            let checks = case.follow_ups.iter();
            let checks = checks.map(|one| (&one.event, CaseStep::UndoFollowUp(one)));
            let mut entries = bench.chain(fits).chain(checks);
            entries.any(|(id, step)| id == event && offers.has(step))
        }
        What::Withdrawn(Withdrawn {
            tag, event, was, ..
        }) => {
            let mut entries = offers.to_withdraw(tag).into_iter();
            was.is_none() || entries.any(|one| one.id == *event)
        }
        other => other
            .tags()
            .into_iter()
            .all(|tag| is_offered(offers, tag, other)),
    }
}

/// Whatever is let through was offered.
fn was_offered(world: &World, one: Move) -> bool {
    let (what, by, at) = one.proposal(world);
    if !allow(&world.context(), &what, &by, at).is_empty() {
        return true;
    }
    let case = world.case_state();
    is_all_offered(&Offers::new(world.context(), &case, &by, at), &what)
}

/// Whether the entries of a step go through one after the other, each asked of all events.
fn goes_through(
    world: &World,
    offers: &Offers<'_>,
    step: CaseStep<'_>,
    by: &Actor,
    at: Moment,
) -> bool {
    let mut world = world.clone();
    world.items.extend(offers.new_item(step));
    offers.example(step).into_iter().all(|what| {
        let is_allowed = allow(&world.context(), &what, by, at).is_empty();
        world.append(by, what, at);
        is_allowed
    })
}

/// What stands behind an action of the case: the steps of which one at least has to go through.
fn steps_of<'a>(action: &'a CaseAction, offers: &Offers<'a>, tags: &'a [Tag]) -> Vec<CaseStep<'a>> {
    let (_, case) = offers.case();
    match action {
        CaseAction::ResolveHold => {
            let resolve = case.holds.iter().map(CaseStep::Resolve);
            let found = case.holds.iter().map(CaseStep::FoundHere);
            resolve.chain(found).collect()
        }
        CaseAction::Receive(id) => case
            .handoff(id)
            .map(CaseStep::Receive)
            .into_iter()
            .collect(),
        CaseAction::PickUp(id) => case.handoff(id).map(CaseStep::PickUp).into_iter().collect(),
        CaseAction::RegisterItem => vec![CaseStep::Register],
        CaseAction::Several => tags.iter().map(CaseStep::Put).collect(),
        CaseAction::ChangeMouth => {
            let fit = tags.iter().map(CaseStep::Fit);
            fit.chain(tags.iter().map(CaseStep::TakeOut)).collect()
        }
        CaseAction::Release => tags.iter().map(CaseStep::HandOver).collect(),
        CaseAction::Heed => vec![CaseStep::Heed],
        CaseAction::Halt => vec![
            CaseStep::Stop,
            CaseStep::Pause,
            CaseStep::GoOn,
            CaseStep::Cancel,
        ],
        CaseAction::Answer => {
            let answers = case.questions.iter().map(CaseStep::Answer);
            let by_second = case.pass_questions();
            answers
                .chain(by_second.map(|(_, one)| CaseStep::ReplyPass(one)))
                .chain(case.calls.iter().map(CaseStep::Confirm))
                .collect()
        }
        CaseAction::AnswerDay => case.promise.iter().map(CaseStep::AnswerDay).collect(),
        CaseAction::AnswerPass => case.passes.iter().map(CaseStep::AnswerPass).collect(),
        CaseAction::PassOn => passing_steps(case, tags),
        CaseAction::AnswerShare => case.follow_ups.iter().map(CaseStep::AnswerShare).collect(),
        CaseAction::Ask => vec![CaseStep::Ask],
        CaseAction::CheckFit => vec![CaseStep::CheckFit],
        CaseAction::FollowUp => {
            let arches = offers.case().0.arches.treated().iter();
            arches
                .map(|arch| CaseStep::FollowUp((*arch).into()))
                .collect()
        }
        CaseAction::Close => vec![CaseStep::Close],
        CaseAction::Reopen => vec![CaseStep::Reopen],
        CaseAction::Write(_) | CaseAction::Reported | CaseAction::Moulds | CaseAction::History => {
            Vec::new()
        }
    }
}

/// Every stretch of the way of every item, with every second laboratory.
fn pass_moves<'a>(case: &'a CaseState, tags: &'a [Tag]) -> Vec<CaseStep<'a>> {
    let legs = case
        .passes
        .iter()
        .flat_map(|pass| PassLeg::ALL.iter().map(move |leg| (pass, *leg)));
    let moves = legs.flat_map(|(pass, leg)| {
        tags.iter()
            .map(move |tag| CaseStep::PassMove(pass, leg, tag))
    });
    moves.collect()
}

/// What passing work on comes to, but for the word of the office.
fn passing_steps<'a>(case: &'a CaseState, tags: &'a [Tag]) -> Vec<CaseStep<'a>> {
    use StepKind::{EndPass, PassAgain, PassMove, PassOn};
    let kinds = [PassOn, PassAgain, EndPass, PassMove].into_iter();
    kinds
        .flat_map(|kind| steps_of_kind(kind, case, tags))
        .collect()
}

/// The steps of one kind that there are in this world, whether anybody could take them or not.
fn steps_of_kind<'a>(kind: StepKind, case: &'a CaseState, tags: &'a [Tag]) -> Vec<CaseStep<'a>> {
    fn each<'a, T>(
        all: impl IntoIterator<Item = T>,
        step: impl Fn(T) -> CaseStep<'a>,
    ) -> Vec<CaseStep<'a>> {
        all.into_iter().map(step).collect()
    }
    let by_second = || case.pass_questions().map(|(_, one)| one);
    match kind {
        StepKind::HandOver => each(tags, CaseStep::HandOver),
        StepKind::Receive => each(&case.handoffs, CaseStep::Receive),
        StepKind::PickUp => each(&case.handoffs, CaseStep::PickUp),
        StepKind::TakeBack => each(&case.handoffs, CaseStep::TakeBack),
        StepKind::Register => vec![CaseStep::Register],
        StepKind::Put => each(tags, CaseStep::Put),
        StepKind::Fit => each(tags, CaseStep::Fit),
        StepKind::TakeOut => each(tags, CaseStep::TakeOut),
        StepKind::Resolve => each(&case.holds, CaseStep::Resolve),
        StepKind::FoundHere => each(&case.holds, CaseStep::FoundHere),
        StepKind::Stop => vec![CaseStep::Stop],
        StepKind::Pause => vec![CaseStep::Pause],
        StepKind::GoOn => vec![CaseStep::GoOn],
        StepKind::Cancel => vec![CaseStep::Cancel],
        StepKind::Heed => vec![CaseStep::Heed],
        StepKind::Ask => vec![CaseStep::Ask],
        StepKind::Answer => each(&case.questions, CaseStep::Answer),
        StepKind::TakeBackQuestion => each(&case.questions, CaseStep::TakeBackQuestion),
        StepKind::Telephone => vec![CaseStep::Telephone],
        StepKind::Confirm => each(&case.calls, CaseStep::Confirm),
        StepKind::LeaveUnwritten => each(&case.calls, CaseStep::LeaveUnwritten),
        StepKind::TakeBackCall => each(&case.calls, CaseStep::TakeBackCall),
        StepKind::Promise => vec![CaseStep::Promise],
        StepKind::AnswerDay => each(&case.promise, CaseStep::AnswerDay),
        StepKind::Assign => vec![CaseStep::Assign],
        StepKind::Bench => each(Arches::ALL, |arches| CaseStep::Bench(*arches)),
        StepKind::CheckFit => vec![CaseStep::CheckFit],
        StepKind::UndoBench => each(&case.bench, CaseStep::UndoBench),
        StepKind::CarryOver => each(&case.bench, CaseStep::CarryOver),
        StepKind::UndoFit => each(&case.fits, CaseStep::UndoFit),
        StepKind::AddPicture => vec![CaseStep::AddPicture],
        StepKind::AddScan => vec![CaseStep::AddScan],
        StepKind::MarkPicture => each(&case.pictures, CaseStep::MarkPicture),
        StepKind::MarkScan => each(&case.scans, CaseStep::MarkScan),
        StepKind::FollowUp => each(Arches::ALL, |arches| CaseStep::FollowUp(*arches)),
        StepKind::AnswerShare => each(&case.follow_ups, CaseStep::AnswerShare),
        StepKind::UndoFollowUp => each(&case.follow_ups, CaseStep::UndoFollowUp),
        StepKind::PassOn => each(tags, CaseStep::PassOn),
        StepKind::PassAgain => each(&case.passes, CaseStep::PassAgain),
        StepKind::AnswerPass => each(&case.passes, CaseStep::AnswerPass),
        StepKind::PassMove => pass_moves(case, tags),
        StepKind::EndPass => each(&case.passes, CaseStep::EndPass),
        StepKind::AskPass => each(&case.passes, CaseStep::AskPass),
        StepKind::ReplyPass => each(by_second(), CaseStep::ReplyPass),
        StepKind::TakeBackPass => each(by_second(), CaseStep::TakeBackPass),
        StepKind::Close => vec![CaseStep::Close],
        StepKind::Reopen => vec![CaseStep::Reopen],
        StepKind::KeepLonger => vec![CaseStep::KeepLonger],
        StepKind::KeepNoLonger => vec![CaseStep::KeepNoLonger],
    }
}

/// All steps there are in this world.
fn all_steps<'a>(case: &'a CaseState, tags: &'a [Tag]) -> Vec<CaseStep<'a>> {
    let kinds = StepKind::iter();
    kinds
        .flat_map(|kind| steps_of_kind(kind, case, tags))
        .collect()
}

/// Everything that is offered to somebody goes through, and nothing else would.
fn check_offers(world: &World, by: &Actor) -> Result<(), TestCaseError> {
    let at = Moment::new(world.now_ms + 50 * MINUTE_MS, 60);
    let (context, case) = (world.context(), world.case_state());
    let offers = Offers::new(context, &case, by, at);
    let tags: Vec<Tag> = world.items.iter().map(|item| item.tag.clone()).collect();
    for tag in &tags {
        for action in ACTIONS {
            if action.word == Withdrawn::ACTION {
                continue;
            }
            let what = (action.example)(&subject(&context, &case, tag, None));
            let stands_against = allow(&context, &what, by, at);
            prop_assert_eq!(is_offered(&offers, tag, &what), stands_against.is_empty());
        }
        // Each entry that could be withdrawn is offered, and none besides; and the action where there is one.
        let allowed = world.events.iter().rev().filter(|event| {
            let about = subject(&context, &case, tag, Some(event));
            allow(&context, &Withdrawn::example(&about).into(), by, at).is_empty()
        });
        let allowed: Vec<&Event> = allowed.collect();
        prop_assert_eq!(&offers.to_withdraw(tag), &allowed);
        let mut actions = offers.about(tag).into_iter();
        let has_action = actions.any(|action| action.word == Withdrawn::ACTION);
        prop_assert_eq!(has_action, !allowed.is_empty());
    }
    for step in all_steps(&case, &tags) {
        let is_offered = offers.has(step);
        prop_assert_eq!(
            is_offered,
            goes_through(world, &offers, step, by, at),
            "{:?}",
            step
        );
        let is_second = match step {
            CaseStep::PassMove(pass, leg, _) => pass.is_for(by) && leg.is_of_second_lab(),
            CaseStep::AskPass(pass) => pass.is_for(by),
            CaseStep::TakeBackPass(question) => {
                let found = case.pass_question(&question.event);
                found.is_some_and(|(pass, _)| pass.is_for(by))
            }
            _ => false,
        };
        prop_assert!(!is_offered || is_second || context.scope().side(by).is_some());
    }
    let handoffs = case.handoffs.iter();
    let mut known: Vec<CaseAction> = handoffs
        .flat_map(|one| {
            [
                CaseAction::Receive(one.id.clone()),
                CaseAction::PickUp(one.id.clone()),
            ]
        })
        .collect();
    known.extend([
        CaseAction::ResolveHold,
        CaseAction::RegisterItem,
        CaseAction::Several,
        CaseAction::ChangeMouth,
        CaseAction::Release,
        CaseAction::Heed,
        CaseAction::Answer,
        CaseAction::AnswerDay,
        CaseAction::AnswerPass,
        CaseAction::PassOn,
        CaseAction::AnswerShare,
        CaseAction::Ask,
        CaseAction::CheckFit,
        CaseAction::FollowUp,
        CaseAction::Halt,
        CaseAction::Close,
        CaseAction::Reopen,
    ]);
    let is_open = |action: &CaseAction| {
        let steps = steps_of(action, &offers, &tags);
        let mut steps = steps.iter();
        steps.any(|step| goes_through(world, &offers, *step, by, at))
    };
    let open: Vec<CaseAction> = known.iter().filter(|one| is_open(one)).cloned().collect();
    for (is_drafted, revision) in [(false, 0), (true, 0), (true, 1), (false, 1)] {
        let actions = case_actions(&offers, is_drafted, revision);
        prop_assert_eq!(actions.is_empty(), context.scope().side(by).is_none());
        // The main one is the first of them.
        for action in known.iter().chain(&actions) {
            let is_allowed = match action {
                CaseAction::Write(_) | CaseAction::Reported => {
                    may(by.role, Permission::PrepareCases) && !case.closed
                }
                CaseAction::Moulds | CaseAction::History => true,
                // The people of the second laboratory have a page of their own.
                CaseAction::PassOn if context.scope().side(by).is_none() => false,
                CaseAction::PassOn if !case.passes.is_empty() => open.contains(action),
                // Nothing is ordered: what stands still all the same may go on.
                CaseAction::Halt if revision == 0 => {
                    goes_through(world, &offers, CaseStep::GoOn, by, at)
                }
                CaseAction::Halt | CaseAction::CheckFit | CaseAction::PassOn => {
                    revision > 0 && open.contains(action)
                }
                CaseAction::AnswerDay => {
                    case.named_day(revision).is_some() && open.contains(action)
                }
                other => open.contains(other),
            };
            prop_assert_eq!(actions.contains(action), is_allowed, "{:?}", action);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn what_is_allowed_was_offered_and_what_is_offered_is_allowed(
        arches in any_arches(),
        has_begun in any::<bool>(),
        moves in moves(60),
    ) {
        let bare = World::bare(arches);
        let mut world = if has_begun { World { arches, ..World::begun() } } else { bare };
        for (place, one) in moves.into_iter().enumerate() {
            prop_assert!(was_offered(&world, one), "{:?}", one.proposal(&world).0);
            world.propose(one);
            // A page is read at any time, by anybody.
            if place % 20 == 0 {
                let everybody = everybody();
                check_offers(&world, &everybody[place % everybody.len()])?;
            }
        }
        for by in everybody() {
            check_offers(&world, &by)?;
        }
    }
}

#[test]
fn the_main_action_of_a_case_is_the_likeliest_of_those_that_are_allowed() {
    let main = |world: &World, by: &Actor, revision: i64| {
        let (case, at) = (
            world.case_state(),
            Moment::new(world.now_ms + MINUTE_MS, 60),
        );
        let offers = Offers::new(world.context(), &case, by, at);
        case_actions(&offers, false, revision).into_iter().next()
    };
    let mut world = World::bare(Arches::Upper);
    // Nothing is here to be handed over or fitted.
    assert_eq!(main(&world, &anna(), 1), Some(CaseAction::RegisterItem));
    assert_eq!(main(&world, &tom(), 1), Some(CaseAction::RegisterItem));
    world.does(&dora(), registered("provisional upper", Side::Office, true));
    world.does(&dora(), registered("duplicate upper", Side::Office, false));
    world.does(&anna(), registered("bite", Side::Office, false));
    assert_eq!(main(&world, &anna(), 1), Some(CaseAction::Release));
    world.sends(&anna(), "handoff 1", &["bite"]);
    assert_eq!(
        main(&world, &tom(), 1),
        Some(CaseAction::Receive(HandoffId::new("handoff 1")))
    );
    let broken = received(
        "handoff 1",
        Side::Lab,
        &[found("bite", Outcome::Damaged, true)],
    );
    world.does(&tom(), broken);
    assert_eq!(main(&world, &anna(), 1), Some(CaseAction::ResolveHold));
    assert_eq!(main(&world, &tom(), 1), Some(CaseAction::Release));
    world.resolves_all();
    assert_eq!(main(&world, &anna(), 1), Some(CaseAction::ChangeMouth));
    assert_eq!(
        main(&world, &actor("sven", Role::Dentist, "southgate"), 1),
        None
    );
}

#[test]
fn an_arch_offers_what_can_go_in_and_taking_out_to_whoever_signs_for_it() {
    let mut world = World::bare(Arches::Upper);
    for thing in ["provisional upper", "provisional lower"] {
        world.does(&dora(), registered(thing, Side::Office, true));
    }
    for thing in ["duplicate upper", "old upper", "bite"] {
        world.does(&dora(), registered(thing, Side::Office, false));
    }
    world.does(&tom(), registered("final upper", Side::Lab, false));
    let offered = |world: &World, by: &Actor, arch: Arch| {
        let (case, at) = (
            world.case_state(),
            Moment::new(world.now_ms + MINUTE_MS, 60),
        );
        let offers = Offers::new(world.context(), &case, by, at);
        let fit = offers.to_fit(arch).into_iter();
        let fit: Vec<&str> = fit.map(|item| name(&item.tag)).collect();
        (fit, offers.to_take_out(arch).is_some())
    };
    assert_eq!(
        offered(&world, &dora(), Arch::Upper),
        (vec!["duplicate upper"], true)
    );
    // An arch that stays empty is the dentist's to sign for; one that nothing is made for, nobody's.
    assert_eq!(
        offered(&world, &anna(), Arch::Upper),
        (vec!["duplicate upper"], false)
    );
    assert_eq!(offered(&world, &anna(), Arch::Lower), (vec![], true));
    assert_eq!(offered(&world, &tom(), Arch::Upper), (vec![], false));
    // What came without a mark of disinfection can go in, with the disinfection entered in the same step.
    world.sends(&tom(), "handoff 1", &["final upper"]);
    let unmarked = received(
        "handoff 1",
        Side::Office,
        &[found("final upper", Outcome::Sound, false)],
    );
    world.does(&anna(), unmarked);
    let both = vec!["duplicate upper", "final upper"];
    assert_eq!(offered(&world, &anna(), Arch::Upper), (both, false));
}

#[test]
fn what_the_patient_has_at_home_can_go_in_and_is_entered_as_brought_back_in_the_same_step() {
    let mut world = World::begun();
    world.sends(&tom(), "h1", &["final upper"]);
    world.takes(&anna(), "h1", &["final upper"]);
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    world.does(&anna(), disinfected("duplicate upper"));
    world.does(&dora(), given("duplicate upper"));
    let case = world.case_state();
    let at = Moment::new(world.now_ms + MINUTE_MS, 60);
    let offers = Offers::new(world.context(), &case, &dora(), at);
    let fit: Vec<&str> = (offers.to_fit(Arch::Upper).into_iter())
        .map(|item| name(&item.tag))
        .collect();
    assert!(fit.contains(&"duplicate upper"), "{fit:?}");
    let spare = tag("duplicate upper");
    let entries = offers.example(CaseStep::Fit(&spare));
    let words: Vec<&str> = entries.iter().map(What::word).collect();
    assert_eq!(words, ["brought_back", "disinfected", "fitted"]);
    // Alone it is not fitted: nobody has said that it is here.
    let alone = fitted("duplicate upper", Some("final upper"));
    world.expect(&dora(), &alone, &[(CustodyRule::A, "duplicate upper")]);
    for what in entries {
        world.does(&dora(), what);
    }
    assert_eq!(world.worn(Arch::Upper), Some("duplicate upper"));
    assert!(!world.state("duplicate upper").spare);
    // An old denture that somebody took home is never offered.
    let (case, at) = (world.case_state(), Moment::new(world.now_ms, 60));
    let offers = Offers::new(world.context(), &case, &dora(), at);
    let mut fit = offers.to_fit(Arch::Upper).into_iter();
    assert!(fit.all(|item| item.kind != ItemKind::OldDenture));
}

#[test]
fn a_provisional_without_cover_is_offered_for_handing_over_to_the_dentist_alone() {
    let mut world = World::bare(Arches::Upper);
    world.does(
        &dora(),
        registered("provisional upper", Side::Office, false),
    );
    world.does(&dora(), registered("photograph", Side::Office, false));
    let offered = |world: &World, by: &Actor| {
        let (case, at) = (
            world.case_state(),
            Moment::new(world.now_ms + MINUTE_MS, 60),
        );
        let offers = Offers::new(world.context(), &case, by, at);
        let items = offers.to_hand_over().into_iter();
        let items: Vec<&str> = items.map(|item| name(&item.tag)).collect();
        (items, offers.needs_exception())
    };
    let both = vec!["provisional upper", "photograph"];
    assert_eq!(offered(&world, &dora()), (both.clone(), true));
    assert_eq!(offered(&world, &anna()), (vec!["photograph"], false));
    assert_eq!(offered(&world, &mara()), (vec![], false));
    // The duplicate in the mouth covers it: it leaves as everything does.
    world.does(&dora(), registered("duplicate upper", Side::Office, true));
    for by in [dora(), anna()] {
        assert_eq!(offered(&world, &by), (both.clone(), false));
    }
}

#[test]
fn every_action_names_its_fields_once_and_is_empty_handed_only_where_nothing_is_asked() {
    for action in ACTIONS {
        let mut keys: Vec<&str> = action.fields.iter().map(|spec| spec.key).collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count, "{}", action.word);
        let mut faults = Vec::new();
        let read = (action.typed)(&tag("bite"), &Raw::new(), &mut faults);
        let needed = action.fields.iter().filter(|spec| !spec.needed.is_empty());
        assert_eq!(faults.len(), needed.count(), "{}", action.word);
        assert_eq!(read.is_some(), faults.is_empty(), "{}", action.word);
    }
}

/// Every box filled in: whatever a field offers is read.
#[test]
fn everything_that_an_action_offers_to_choose_is_taken() {
    for action in ACTIONS {
        for spec in action.fields {
            let Kind::Choice(listed) = spec.kind else {
                continue;
            };
            let read = |word: &str| {
                let raw = Raw::from([(spec.key.to_owned(), word.to_owned())]);
                let mut faults = Vec::new();
                (action.typed)(&tag("bite"), &raw, &mut faults);
                !faults.iter().any(|fault| fault.key == spec.key)
            };
            for (word, _) in listed {
                assert!(read(word), "{} {}", spec.key, word);
            }
            assert!(!read("no such word"), "{}", spec.key);
        }
    }
}

#[test]
fn a_worn_denture_is_adjusted_at_the_office_and_the_height_is_told_in_millimetres() {
    let mut world = World::bare(Arches::Upper);
    world.does(&dora(), registered("provisional upper", Side::Office, true));
    world.does(&dora(), registered("bite", Side::Office, false));
    let adjusted = |thing: &str, done| What::Adjusted(Adjusted::of(tag(thing), done));
    let (upper, rounded) = ("provisional upper", Adjustment::EdgeRounded);
    world.expect(&anna(), &adjusted(upper, rounded), &[]);
    world.expect(
        &tom(),
        &adjusted(upper, rounded),
        &[(CustodyRule::Right, "")],
    );
    world.expect(
        &anna(),
        &adjusted("bite", rounded),
        &[(CustodyRule::Form, "bite")],
    );
    for done in [Adjustment::BiteRaised, Adjustment::Other] {
        world.expect(
            &anna(),
            &adjusted(upper, done),
            &[(CustodyRule::Form, upper)],
        );
    }
    let mut raised = adjusted(upper, Adjustment::BiteRaised);
    if let What::Adjusted(entry) = &mut raised {
        entry.mm = crate::domain::values::measure::Mm::parse("2").ok();
        entry.complaint = Some(6);
        "chews well".clone_into(&mut entry.said);
    }
    let before = world.state(upper).answers;
    world.does(&dora(), raised);
    let description = describe(&world.items, world.events.last().unwrap());
    assert!(
        description.what.ends_with("adjusted: bite raised"),
        "{}",
        description.what
    );
    assert_eq!(
        description.details,
        [
            "2 mm",
            "Because of: Looks old, sore corners of the mouth, weak bite",
            "The patient said: chews well"
        ]
    );
    assert_eq!(world.state(upper).answers, before);
}

#[test]
fn what_the_password_signs_bears_the_signature_and_what_ends_an_item_says_so() {
    let world = World::begun();
    let (context, case, thing) = (world.context(), world.case_state(), tag("bite"));
    let about = subject(&context, &case, &thing, world.events.last());
    for action in ACTIONS {
        let mut what = (action.example)(&about);
        assert_eq!(
            what.ends_its_item(),
            action.ends_the_item,
            "{}",
            action.word
        );
        let unsigned = what.clone();
        what.sign_under(under("dora"));
        assert_eq!(
            what != unsigned,
            !action.means.is_empty(),
            "{}",
            action.word
        );
    }
}

//! Pages ask the case in hand by its methods. What is folded from its entries is read by rules and use cases: so a page
//! decides nothing by it, and what it shows is asked for by a name.

use crate::{Line, program};

/// Whether a line reads a field named `state`, as the folded state of a case is; a method of that name is none.
fn reads_state(text: &str) -> bool {
    text.match_indices(".state").any(|(at, word)| {
        let next = text[at + word.len()..].chars().next();
        next.is_none_or(|sign| !sign.is_alphanumeric() && !['_', '('].contains(&sign))
    })
}

/// Whether a line takes a case apart, or names what is folded from its entries.
fn takes_apart(text: &str) -> bool {
    let mut patterns = text.split("CaseWork {").skip(1);
    text.contains("CaseState") || patterns.any(|rest| !rest.trim().is_empty())
}

fn is_broken(line: &Line) -> bool {
    line.room() == "web" && (reads_state(&line.text) || takes_apart(&line.text))
}

#[test]
fn pages_read_a_case_by_its_methods() {
    let program = program();
    let pages = program.iter().filter(|line| line.room() == "web");
    let asked = pages.filter(|line| line.text.contains("work."));
    assert!(asked.count() > 150, "the pages of a case were read");
    let broken = program.iter().filter(|line| is_broken(line));
    let broken: Vec<String> = broken.map(Line::at).collect();
    assert!(
        broken.is_empty(),
        "a page asks a method of `CaseWork` (app/case_shown.rs), and a rule behind it decides:\n{}",
        broken.join("\n")
    );
}

/// The reading itself: each way around the methods is seen, and what is none is not.
#[test]
fn a_way_around_the_methods_is_seen() {
    for (text, broken) in [
        ("let open = work.state.questions.iter();", true),
        ("let state = &input.view.work.state;", true),
        ("            .state", true),
        ("lineage(&view.work.state, &item.tag)", true),
        ("let CaseWork { state, .. } = work;", true),
        ("fn over(case: &CaseState) -> bool {", true),
        ("fn work_of(view: &CaseView) -> &CaseWork {", false),
        ("work.stands_still() || page.state_words.is_empty()", false),
        ("handoff.state()", false),
    ] {
        let line = |file: &str| Line {
            file: file.to_owned(),
            number: 1,
            text: text.to_owned(),
        };
        assert_eq!(is_broken(&line("web/questions/page.rs")), broken, "{text}");
        assert!(!is_broken(&line("app/questions.rs")), "{text}");
    }
}

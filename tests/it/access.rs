//! Everything by keyboard, a name for everything, and less motion where it is wished for.
//!
//! The limits come from outside: WCAG 2.1.1 (everything by keyboard), 2.1.2 (no trap), 2.4.3 (the
//! focus goes down the page), 2.4.7 (it is seen), 4.1.2 (name and role for a screen reader).

use crate::screens::invented;
use crate::visitor::{HIGH, Spoken, Visitor, WITHIN};
use egui::Key;
use egui::accesskit::Role;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tautline::clock;
use tautline::engine::{AskFor, Ending, PauseReason};
use tautline::protocol::Rating;
use tautline::units::Span;
use tautline::window::{Ended, RigScreen, Screenful, Screens, Show};
use tautline::words::Told;

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("access").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn focusable(visitor: &Visitor) -> Vec<Spoken> {
    visitor.spoken.iter().filter(|spoken| spoken.focusable).cloned().collect()
}

fn all_named(visitor: &Visitor, page: &str) {
    let things = focusable(visitor);
    assert!(!things.is_empty(), "{page} has nothing that takes the focus");
    for thing in things {
        assert!(!thing.name.is_empty(), "{page}: {thing:?} has no name");
    }
    let pictures = visitor.spoken.iter().filter(|spoken| spoken.role == Role::Image);
    for picture in pictures {
        assert!(picture.name.len() > 10, "{page}: a picture without words: {picture:?}");
    }
    let heads = visitor.spoken.iter().filter(|spoken| spoken.role == Role::Heading).count();
    assert_eq!(heads, 1, "{page} has one title");
}

/// Tab comes to each thing, changes the picture each time, and goes down the page.
fn tab_goes_round(visitor: &mut Visitor, page: &str) {
    let wanted: BTreeSet<u64> = focusable(visitor).iter().map(|spoken| spoken.id).collect();
    let began = visitor.context.memory(|memory| memory.focused()).is_some();
    let mut reached = Vec::new();
    for _ in 0..wanted.len() + 2 {
        visitor.picture = Some(String::new());
        visitor.settle();
        let before = visitor.picture.clone();
        visitor.press(Key::Tab);
        let alone = wanted.len() == 1 && !reached.is_empty();
        assert!(alone || visitor.picture != before, "{page}: the focus is not seen");
        visitor.picture = None;
        if let Some(id) = visitor.context.memory(|memory| memory.focused()) {
            reached.push(id.value());
        }
    }
    let seen: BTreeSet<u64> = reached.iter().copied().collect();
    let missed = focusable(visitor).into_iter().filter(|spoken| !seen.contains(&spoken.id));
    let missed: Vec<_> = missed.map(|spoken| spoken.name).collect();
    assert!(missed.is_empty(), "{page}: Tab does not come to {missed:?}");
    // What goes back stands in the foot, behind everything else.
    let back = visitor.spoken.iter().find(|spoken| spoken.name == "Back").map(|spoken| spoken.id);
    if let (false, Some(back)) = (began, back) {
        let at = reached.iter().position(|id| *id == back);
        assert_eq!(at, Some(wanted.len() - 1), "{page}: the foot comes before the page");
    }
    if let Some(focused) = visitor.context.memory(|memory| memory.focused()) {
        visitor.context.memory_mut(|memory| memory.surrender_focus(focused));
    }
    visitor.settle();
}

fn look(visitor: &mut Visitor, page: &str) {
    all_named(visitor, page);
    tab_goes_round(visitor, page);
}

#[test]
fn every_page_of_the_way_has_names_and_is_gone_through_by_tab() {
    let mut visitor = Visitor::over(folder("way"), HIGH);
    look(&mut visitor, "caution");
    visitor.click("I have read this");
    look(&mut visitor, "feel");
    visitor.click("Leave them out");
    look(&mut visitor, "questions");
    visitor.click("More questions");
    // So high that all of them are whole in it.
    visitor.size = [1600.0, 9000.0];
    visitor.settle();
    look(&mut visitor, "more questions");
    visitor.click("1   Is there a large difference between a light and a firm hold?");
    visitor.type_in("Heron");
    look(&mut visitor, "player");
    visitor.click("Go on");
    all_named(&visitor, "agreement");
    for _ in 0..5 {
        visitor.press(Key::Enter);
    }
    all_named(&visitor, "agreement, at its end");
    // Back leads to the answers as they were, and on again.
    visitor.click("Back");
    visitor.is_at("A few questions first");
    visitor.press(Key::Enter);
    visitor.is_at("Your own agreement");
    visitor.press(Key::Enter);
    look(&mut visitor, "rig");
    visitor.click("Go on without a check");
    look(&mut visitor, "holds");
    visitor.click("Try it for ten seconds");
    look(&mut visitor, "practice");
    visitor.click("Start the ten seconds");
    assert!(visitor.says("Keep it"), "{}", visitor.all());
    all_named(&visitor, "practice under way");
    visitor.click("Enough, I let go");
    visitor.click("Back to the holds");
    visitor.click("Go on");
    visitor.until("of 10 such sessions");
    look(&mut visitor, "plan");
    for page in ["Sessions and players", "Tables from elsewhere", "Settings"] {
        visitor.click(page);
        look(&mut visitor, page);
    }
}

#[test]
fn every_screen_of_a_session_has_names_and_the_focus_follows_the_mark() {
    let mut visitor = Visitor::over(folder("session"), HIGH);
    let until = clock::now() + Span::from_s(600);
    let items = vec![Rating::Tension, Rating::Discomfort, Rating::Fatigue];
    let told = Told { what: "no room".to_owned(), place: None, mend: "make room".to_owned() };
    let ended = Ended {
        ending: Ending::Complete,
        sentence: None,
        folder: PathBuf::from("data/heron-abcd/invented"),
        report: None,
    };
    let screens = [
        ("first start", Show::FirstStart),
        ("expectation", Show::Ask(AskFor::Expectation)),
        ("card", Show::Ask(AskFor::Card { block: 1 })),
        ("ratings", Show::Ask(AskFor::Ratings { items, block: 2 })),
        ("pause", Show::Ask(AskFor::Pause { why: PauseReason::Asked })),
        ("stop", Show::Ask(AskFor::Pause { why: PauseReason::StopAsked })),
        ("notice", Show::Notice(told)),
        ("end", Show::Ended(ended)),
        ("rig", Show::Rig(RigScreen::Start)),
        ("rig, asked", Show::Rig(RigScreen::Ask)),
    ];
    let rest = AskFor::Rest { until, next: 1, standing: false, looked: false };
    for (name, show) in screens.into_iter().chain([("rest", Show::Ask(rest))]) {
        visitor.house.begin(Screenful { show, facts: invented::facts() }, clock::now());
        visitor.settle();
        if name != "rest" {
            all_named(&visitor, name);
            // The button of a rest is shut; elsewhere the mark has the focus from the start.
            let focused = visitor.context.memory(|memory| memory.focused());
            let known = visitor.spoken.iter().any(|s| Some(s.id) == focused.map(|id| id.value()));
            assert!(known, "{name}: nothing that is on the page has the focus");
        }
    }
}

/// Two things move by themselves: the bars of a rest and of a practice, once a second, and the
/// cursor of a text field. The setting stops them.
#[test]
fn less_motion_leaves_out_bars_and_the_blinking_cursor() {
    for reduced in [false, true] {
        let folder = folder(if reduced { "still" } else { "moving" });
        let text = format!("caution_read = true\nreduced_motion = {reduced}\n");
        std::fs::write(folder.join("settings.toml"), text).unwrap();
        let mut visitor = Visitor::over(folder, HIGH);
        visitor.click("1   Is there a large difference between a light and a firm hold?");
        assert!(visitor.context.text_edit_focused());
        // While a plan is worked out the window looks every 100 ms.
        let until = clock::now() + WITHIN;
        while visitor.repaint_in <= Duration::from_millis(100) {
            assert!(clock::now() < until, "the plan was never worked out");
            clock::wait(clock::now() + Span::from_ms(50));
            visitor.frame(vec![]);
        }
        assert_eq!(visitor.repaint_in == Duration::MAX, reduced, "{:?}", visitor.repaint_in);
        let until = clock::now() + Span::from_s(600);
        let rest = AskFor::Rest { until, next: 1, standing: false, looked: false };
        let show = Show::Ask(rest);
        visitor.house.begin(Screenful { show, facts: invented::facts() }, clock::now());
        visitor.settle();
        let bar = visitor.spoken.iter().any(|spoken| spoken.role == Role::ProgressIndicator);
        assert_eq!(bar, !reduced);
        assert!(visitor.says("Next hold"), "{}", visitor.all());
    }
}

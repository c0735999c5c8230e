//! The screens of the rig check: what they say, and which key ends them how.

use super::{DESKTOP, Player, SMALL};
use egui::Key;
use tautline::engine;
use tautline::rig::Saved;
use tautline::rig::asked::{Answer, Question};
use tautline::rig::live::{Progress, SoFar, Step};
use tautline::window::{Reply, RigReply, RigScreen, Show};

fn show(screen: RigScreen) -> Show {
    Show::Rig(screen)
}

fn live(step: Step) -> (RigScreen, Progress) {
    let progress = Progress::default();
    (RigScreen::Live { step, progress: progress.clone() }, progress)
}

fn saved() -> Box<Saved> {
    let profile = crate::rig::profile("2026-03-02T07:00:00Z");
    let path = "data/rigs/20260302T070000Z-rig.json".into();
    Box::new(Saved { path, name: "x".to_owned(), profile })
}

#[test]
fn each_screen_stands_on_a_small_window_and_f10_ends_the_check() {
    let screens = [
        RigScreen::Start,
        RigScreen::Ask,
        live(Step::Eight).0,
        live(Step::Slide).0,
        live(Step::Click).0,
        RigScreen::Found(saved()),
        RigScreen::Film,
    ];
    for screen in screens {
        for size in [SMALL, DESKTOP] {
            let mut player = Player::at(show(screen.clone()), size);
            assert!(player.all().len() > 40, "{screen:?}: {}", player.all());
            let ended = player.press(Key::F10);
            assert_eq!(ended, Some(Reply::Key(engine::Key::Stop)), "{screen:?}");
        }
    }
}

#[test]
fn before_anything_flickers_there_is_a_caution() {
    for screen in [RigScreen::Start, RigScreen::Film] {
        let mut player = Player::at(show(screen), DESKTOP);
        assert!(player.says("flickering") && player.says("licensed clinician"));
        assert_eq!(player.press(Key::Enter), Some(Reply::Rig(RigReply::Done)));
    }
}

#[test]
fn the_questions_take_three_answers_each() {
    let mut player = Player::at(show(RigScreen::Ask), DESKTOP);
    assert!(player.says("Don't know"));
    // Yes to the first, don't know to the second, no to the rest.
    let keys = [
        [Key::ArrowRight, Key::Enter].as_slice(),
        &[Key::ArrowRight, Key::ArrowRight, Key::Enter],
        &[Key::Enter; 5],
    ]
    .concat();
    let Some(Reply::Rig(RigReply::Asked(answers))) = player.type_in(&keys) else {
        panic!("no answers")
    };
    let given: Vec<Answer> = answers.iter().map(|answered| answered.answer).collect();
    assert_eq!(given[..3], [Answer::Yes, Answer::Unknown, Answer::No]);
    assert_eq!(answers.len(), Question::ALL.len());
    let mut player = Player::at(show(RigScreen::Ask), DESKTOP);
    assert_eq!(player.press(Key::Escape), Some(Reply::Rig(RigReply::Skipped)));
}

#[test]
fn a_live_step_goes_on_only_once_enough_was_seen() {
    for step in Step::ALL {
        let (screen, progress) = live(step);
        let mut player = Player::at(show(screen), DESKTOP);
        assert_eq!(player.press(Key::Enter), None, "{step:?}");
        assert!(!player.says("Enough"));
        progress.say(SoFar { enough: true, rate_hz: Some(1000.0), ..SoFar::default() });
        player.frame(vec![]);
        assert!(player.says("Enough"), "{step:?}: {}", player.all());
        assert_eq!(player.press(Key::Enter), Some(Reply::Rig(RigReply::Done)));
    }
    let mut player = Player::at(show(live(Step::Click).0), DESKTOP);
    assert_eq!(player.press(Key::Escape), Some(Reply::Rig(RigReply::Skipped)));
}

#[test]
fn a_live_screen_changes_at_most_four_times_a_second() {
    // Text that counts on; no part of it is large, and a change of digits is no flash.
    let mut player = Player::at(show(live(Step::Eight).0), DESKTOP);
    // Once it has settled.
    player.frame(vec![]);
    assert!(player.repaint_in.as_millis() >= 250, "{:?}", player.repaint_in);
}

#[test]
fn the_rulers_length_is_chosen_by_keys_or_by_a_click() {
    let (screen, progress) = live(Step::Slide);
    let mut player = Player::at(show(screen), DESKTOP);
    let is = |cm: f64| (progress.length_cm() - cm).abs() < 1e-9;
    assert!(is(20.0));
    player.press(Key::ArrowRight);
    assert!(is(30.0));
    player.press(Key::ArrowRight);
    assert!(is(30.0));
    player.click("10 cm");
    assert!(is(10.0));
}

#[test]
fn what_was_found_begins_with_what_is_worth_mending() {
    let mut player = Player::at(show(RigScreen::Found(saved())), DESKTOP);
    let all = player.all();
    let at = |part: &str| all.find(part).unwrap_or_else(|| panic!("no `{part}` in {all}"));
    assert!(at("Worth mending") < at("To mend it: mend it.") && at("To mend") < at("As it should"));
    assert!(all.contains("20260302T070000Z-rig.json"));
    assert_eq!(player.press(Key::Enter), Some(Reply::Rig(RigReply::Done)));
}

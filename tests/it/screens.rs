//! The untimed screens without a window: keys in, replies and texts out.
//!
//! egui runs headless; nothing is painted. The limits come from outside: WCAG 2.3.1 (no more than
//! three changes a second) and 1.4.3 (contrast of text at least 4.5:1).

#[path = "../probe/invented.rs"]
pub(crate) mod invented;
mod rig;

use crate::visitor::{Text, click, stroke, texts};
use egui::{Context, Event, Key, RawInput, Rect, ViewportId, pos2};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tautline::app::Sheets;
use tautline::engine::{self, Answer, AskFor, Ending, PauseReason};
use tautline::protocol::{Foreperiod, Rating};
use tautline::scene::Side;
use tautline::tasks::{
    Choice, ChoiceBy, Emergence, GoNoGo, Map, Onset, Pointing, Pursuit, Steadiness, Tapping,
    TaskKind, Vigilance,
};
use tautline::units::{Nanos, Span};
use tautline::window::{Age, Ended, Facts, FirstStart, Reply, Screenful, Screens, Show};
use tautline::words::Told;

const START: Nanos = Nanos(1_000_000_000_000);
/// 1280x720 at 200 %.
const SMALL: [f32; 2] = [640.0, 360.0];
const DESKTOP: [f32; 2] = [1920.0, 1080.0];

/// A screen without a window.
struct Player {
    context: Context,
    sheets: Sheets,
    size: [f32; 2],
    now: Nanos,
    texts: Vec<Text>,
    /// The shapes of the last frame, as text.
    picture: String,
    repaint_in: Duration,
}

impl Player {
    fn at(show: Show, size: [f32; 2]) -> Player {
        Player::told(show, invented::facts(), size)
    }

    fn told(show: Show, facts: Facts, size: [f32; 2]) -> Player {
        let mut sheets = Sheets::default();
        sheets.begin(Screenful { show, facts }, START);
        let mut player = Player {
            context: Context::default(),
            sheets,
            size,
            now: START,
            texts: Vec::new(),
            picture: String::new(),
            repaint_in: Duration::MAX,
        };
        // egui settles a layout within two frames.
        player.frame(vec![]);
        player.frame(vec![]);
        player
    }

    fn frame(&mut self, events: Vec<Event>) -> Option<Reply> {
        let screen_rect = Some(Rect::from_min_size(pos2(0.0, 0.0), self.size.into()));
        let input = RawInput { screen_rect, events, focused: true, ..RawInput::default() };
        let mut reply = None;
        let output = self.context.run_ui(input, |ui| {
            let said = self.sheets.show(ui, self.now);
            reply = reply.take().or(said);
        });
        self.texts = texts(&output.shapes);
        self.picture = format!("{:?}", output.shapes);
        self.repaint_in = output.viewport_output[&ViewportId::ROOT].repaint_delay;
        output.drop_without_applying_deltas();
        reply
    }

    /// Presses one key, as a window would tell it, and draws on until the layout has settled.
    fn press(&mut self, key: Key) -> Option<Reply> {
        let first = self.frame(stroke(key));
        first.or_else(|| self.frame(vec![]))
    }

    /// Presses `keys` in turn; no reply may come before the last one.
    fn type_in(&mut self, keys: &[Key]) -> Option<Reply> {
        let (last, before) = keys.split_last().expect("a key");
        for key in before {
            assert_eq!(self.press(*key), None, "too early, at {key:?}");
        }
        self.press(*last)
    }

    fn says(&self, part: &str) -> bool {
        self.all().contains(part)
    }

    fn all(&self) -> String {
        self.texts.iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join("\n")
    }

    /// Clicks the middle of the text that says `what`.
    fn click(&mut self, what: &str) -> Option<Reply> {
        let text = self.texts.iter().find(|text| text.text == what).expect("the text is drawn");
        let [moved, down, up] = click(text.rect.center()).map(|events| self.frame(events));
        moved.or(down).or(up).or_else(|| self.frame(vec![]))
    }
}

fn rest(standing: bool) -> Show {
    Show::Ask(AskFor::Rest { until: START + Span::from_s(20), next: 1, standing, looked: false })
}

fn ratings() -> Show {
    let items = vec![Rating::Tension, Rating::Discomfort, Rating::Fatigue];
    Show::Ask(AskFor::Ratings { items, block: 2 })
}

fn ended(ending: Ending) -> Show {
    Show::Ended(Ended {
        ending,
        sentence: Some("INVENTED: no clear difference.".to_owned()),
        folder: PathBuf::from("data/heron-abcd/invented"),
        report: None,
    })
}

fn every_screen() -> Vec<Show> {
    let mut all = vec![
        Show::FirstStart,
        Show::Ask(AskFor::Expectation),
        Show::Ask(AskFor::Card { block: 0 }),
        Show::Ask(AskFor::Card { block: 1 }),
        Show::Ask(AskFor::Card { block: 5 }),
        ratings(),
        rest(false),
        rest(true),
        Show::Notice(Told {
            what: "the folder cannot be written".to_owned(),
            place: Some("data/heron-abcd".to_owned()),
            mend: "make room on the disk".to_owned(),
        }),
    ];
    let whys = [
        PauseReason::Asked,
        PauseReason::FocusLost,
        PauseReason::Unplugged,
        PauseReason::DisplayLost,
        PauseReason::Stalled,
        PauseReason::ClockJump,
    ];
    all.extend(whys.map(|why| Show::Ask(AskFor::Pause { why })));
    let endings =
        [Ending::Complete, Ending::Stopped, Ending::Discomfort, Ending::TimeUp, Ending::Settled];
    all.extend(endings.map(ended));
    all
}

/// Every text of every screen and of every step that Enter, or a yes, leads to.
fn every_text() -> String {
    let mut all = String::new();
    for show in every_screen() {
        let mut player = Player::at(show, DESKTOP);
        player.now += Span::from_s(30);
        for _ in 0..8 {
            all += &player.all();
            if player.press(Key::Enter).is_some() {
                break;
            }
        }
    }
    let ways = [
        // Yes to hand and flashing, 18 or older; then on to the agreement.
        &[Key::ArrowRight, Key::Enter, Key::Enter, Key::ArrowRight, Key::Enter, Key::Enter][..],
        // Under 18, no guardian.
        &[Key::Enter, Key::Enter, Key::Enter, Key::ArrowRight, Key::Enter, Key::Enter][..],
    ];
    for way in ways {
        let mut player = Player::at(Show::FirstStart, DESKTOP);
        player.press(Key::Enter);
        for key in way.iter().chain(&[Key::Enter]) {
            player.press(*key);
            all += &player.all();
        }
    }
    let mut player = Player::at(Show::Ask(AskFor::Card { block: 0 }), DESKTOP);
    player.press(Key::F10);
    all + &player.all()
}

fn go_on() -> Option<Reply> {
    Some(Reply::Answer(Answer::GoOn))
}

#[test]
fn enter_alone_gets_through_the_first_start() {
    let mut player = Player::at(Show::FirstStart, DESKTOP);
    // The caution, four questions, the button, the agreement.
    let end = player.type_in(&[Key::Enter; 7]);
    let agreed = FirstStart { agreed: true, light_only: false, age: Age::Adult };
    assert_eq!(end, Some(Reply::FirstStart(agreed)));
}

#[test]
fn no_question_is_answered_beforehand() {
    let mut player = Player::at(Show::FirstStart, DESKTOP);
    player.press(Key::Enter);
    // Going down without an answer never reaches the button.
    for _ in 0..6 {
        assert_eq!(player.press(Key::ArrowDown), None);
    }
    assert_eq!(player.press(Key::Enter), None);
    assert!(player.says("recent injury"), "still on the questions");
    assert_eq!(player.click("Go on"), None);
    assert!(player.says("recent injury"), "the button is closed");
}

#[test]
fn a_yes_leads_to_a_clinician_and_to_light_holds_only() {
    for (question, flashing) in [(0, false), (1, false), (2, true)] {
        let mut player = Player::at(Show::FirstStart, DESKTOP);
        player.press(Key::Enter);
        for row in 0..4 {
            if row == question {
                player.press(Key::ArrowRight);
            }
            player.press(Key::Enter);
        }
        player.press(Key::Enter);
        assert!(player.says("ask a licensed clinician first"), "{}", player.all());
        assert_eq!(player.says("seizures or flashing"), flashing);
        assert!(player.says("only light holds"), "{}", player.all());
        // The first line leaves for today; the second goes on with light holds.
        assert_eq!(player.type_in(&[Key::ArrowDown, Key::Enter]), None);
        let end = player.press(Key::Enter);
        let agreed = FirstStart { agreed: true, light_only: true, age: Age::Adult };
        assert_eq!(end, Some(Reply::FirstStart(agreed)));
    }
}

#[test]
fn under_18_a_guardian_has_to_agree() {
    let way = [Key::Enter, Key::Enter, Key::Enter, Key::Enter, Key::ArrowRight, Key::Enter];
    let mut alone = Player::at(Show::FirstStart, DESKTOP);
    for key in way {
        assert_eq!(alone.press(key), None);
    }
    assert!(alone.says("parent or guardian agreed"), "{}", alone.all());
    // No; the button; then the page that ends it.
    let end = alone.type_in(&[Key::Enter, Key::Enter, Key::Enter]);
    let not = FirstStart { agreed: false, light_only: false, age: Age::Young };
    assert_eq!(end, Some(Reply::FirstStart(not)));

    let mut both = Player::at(Show::FirstStart, DESKTOP);
    for key in way {
        assert_eq!(both.press(key), None);
    }
    let end = both.type_in(&[Key::ArrowRight, Key::Enter, Key::Enter, Key::Enter]);
    let agreed = FirstStart { agreed: true, light_only: false, age: Age::Young };
    assert_eq!(end, Some(Reply::FirstStart(agreed)));
}

#[test]
fn changing_the_age_takes_the_guardian_away_again() {
    let mut player = Player::at(Show::FirstStart, DESKTOP);
    for key in [Key::Enter, Key::Enter, Key::Enter, Key::Enter, Key::ArrowRight, Key::Enter] {
        player.press(key);
    }
    assert!(player.says("guardian"));
    player.press(Key::ArrowUp);
    player.press(Key::ArrowLeft);
    assert!(!player.says("guardian"), "{}", player.all());
    // The button, then the agreement.
    assert_eq!(player.press(Key::Enter), None);
    assert!(player.says("own agreement"), "{}", player.all());
}

#[test]
fn who_does_not_agree_starts_no_session() {
    let mut player = Player::at(Show::FirstStart, DESKTOP);
    assert_eq!(player.type_in(&[Key::Enter; 6]), None);
    assert!(player.says("This session is for Heron."), "{}", player.all());
    let end = player.type_in(&[Key::ArrowDown, Key::Enter]);
    let not = FirstStart { agreed: false, light_only: false, age: Age::Adult };
    assert_eq!(end, Some(Reply::FirstStart(not)));
}

#[test]
fn an_expectation_is_a_hold_and_a_number() {
    let mut player = Player::at(Show::Ask(AskFor::Expectation), DESKTOP);
    let no_idea = Answer::Expected { faster: None, sure: 0 };
    assert_eq!(player.press(Key::Enter), Some(Reply::Answer(no_idea)));

    let mut player = Player::at(Show::Ask(AskFor::Expectation), DESKTOP);
    let way = [Key::ArrowDown, Key::ArrowDown, Key::Enter, Key::Num7, Key::Enter, Key::Enter];
    let firm = Answer::Expected { faster: Some(1), sure: 7 };
    assert_eq!(player.type_in(&way), Some(Reply::Answer(firm)));

    let mut player = Player::at(Show::Ask(AskFor::Expectation), DESKTOP);
    let back = [Key::ArrowDown, Key::Enter, Key::Escape, Key::Enter];
    let no_idea = Answer::Expected { faster: None, sure: 0 };
    assert_eq!(player.type_in(&back), Some(Reply::Answer(no_idea)), "Esc goes back to the list");
}

#[test]
fn ratings_by_arrows_digits_and_mouse() {
    let rated = |tension, discomfort, fatigue| {
        let all = vec![
            (Rating::Tension, tension),
            (Rating::Discomfort, discomfort),
            (Rating::Fatigue, fatigue),
        ];
        Some(Reply::Answer(Answer::Rated(all)))
    };
    let mut player = Player::at(ratings(), DESKTOP);
    assert_eq!(player.type_in(&[Key::Enter; 4]), rated(0, 0, 0));

    let mut player = Player::at(ratings(), DESKTOP);
    let right = Key::ArrowRight;
    let way = [right, right, right, Key::Enter, Key::Num4, Key::Enter, right, Key::Enter];
    assert_eq!(player.type_in(&way), None);
    // Back up to the second row, to the end of the scale and one further: 10 at most.
    player.press(Key::ArrowUp);
    player.press(Key::ArrowUp);
    for _ in 0..12 {
        player.press(right);
    }
    player.press(Key::ArrowDown);
    player.press(Key::ArrowDown);
    assert_eq!(player.press(Key::Enter), rated(3, 10, 1));

    let mut player = Player::at(ratings(), DESKTOP);
    // The first "5" drawn is that of the first row.
    assert_eq!(player.click("5"), None);
    assert_eq!(player.type_in(&[Key::Enter, Key::Enter]), None);
    assert_eq!(player.click("Go on"), rated(5, 0, 0));
}

#[test]
fn a_rest_has_a_floor() {
    for standing in [false, true] {
        let mut player = Player::at(rest(standing), DESKTOP);
        assert!(player.says("0:20"), "{}", player.all());
        assert!(player.says("Next hold: Firm claw"));
        assert_eq!(player.press(Key::Enter), None);
        assert_eq!(player.click("Go on"), None);
        player.now = START + Span(19_999_999_999);
        assert_eq!(player.press(Key::Enter), None);
        assert!(player.says("0:01"));
        player.now = START + Span::from_s(20);
        assert_eq!(player.press(Key::Enter), go_on());
    }
}

#[test]
fn cards_pauses_notices_and_the_end_go_on_by_enter() {
    for show in every_screen() {
        let goes_on = matches!(
            show,
            Show::Ask(AskFor::Card { .. } | AskFor::Pause { .. })
                | Show::Notice(_)
                | Show::Ended(_)
        );
        if goes_on {
            let mut player = Player::at(show.clone(), SMALL);
            assert_eq!(player.press(Key::Enter), go_on(), "{show:?}");
        }
    }
}

#[test]
fn a_pause_offers_three_ways() {
    let pause = || Show::Ask(AskFor::Pause { why: PauseReason::Asked });
    assert_eq!(Player::at(pause(), DESKTOP).press(Key::Escape), go_on());
    let hurts = Player::at(pause(), DESKTOP).type_in(&[Key::ArrowDown, Key::Enter]);
    assert_eq!(hurts, Some(Reply::Key(engine::Key::Hurts)));
    let mut player = Player::at(pause(), DESKTOP);
    assert_eq!(player.type_in(&[Key::ArrowDown, Key::ArrowDown, Key::Enter]), None);
    assert!(player.says("What was done is kept"), "asks once more: {}", player.all());
    let stop = player.type_in(&[Key::ArrowDown, Key::Enter]);
    assert_eq!(stop, Some(Reply::Key(engine::Key::Stop)));
}

#[test]
fn the_stop_key_of_a_block_leads_to_the_question_and_back_to_a_pause() {
    let asked = || Show::Ask(AskFor::Pause { why: PauseReason::StopAsked });
    let mut player = Player::at(asked(), DESKTOP);
    assert!(player.says("Stop the session here?"), "{}", player.all());
    assert_eq!(player.press(Key::Enter), None, "Enter alone stops nothing");
    assert!(player.says("Paused"), "{}", player.all());
    let stop = Player::at(asked(), DESKTOP).type_in(&[Key::ArrowDown, Key::Enter]);
    assert_eq!(stop, Some(Reply::Key(engine::Key::Stop)));
}

#[test]
fn stop_and_hurts_are_reachable_from_every_screen_of_a_session() {
    for show in every_screen() {
        let Show::Ask(_) = show else { continue };
        let hurts = Player::at(show.clone(), DESKTOP).press(Key::H);
        assert_eq!(hurts, Some(Reply::Key(engine::Key::Hurts)), "{show:?}");
        let mut player = Player::at(show.clone(), DESKTOP);
        assert!(player.says("F10 stop"), "{show:?} names the keys: {}", player.all());
        let stop = player.type_in(&[Key::F10, Key::ArrowDown, Key::Enter]);
        assert_eq!(stop, Some(Reply::Key(engine::Key::Stop)), "{show:?}");
        // Enter alone goes back to the screen.
        let mut back = Player::at(show.clone(), DESKTOP);
        let before = back.all();
        assert_eq!(back.type_in(&[Key::F10, Key::Enter]), None, "{show:?}");
        assert_eq!(back.all(), before, "{show:?}");
    }
}

#[test]
fn the_card_tells_the_hold_the_task_and_the_cautions() {
    let card = Player::at(Show::Ask(AskFor::Card { block: 1 }), DESKTOP);
    for part in [
        "Block 2 of 6",
        "Firm claw",
        "Close thumb and ring finger",
        "about 3 to 4 of 10, never the strongest",
        "press the left button at once",
        "Some waits are empty",
        "4 presses to warm up, then 20.",
        "do not half-press",
        "Letting go between presses is allowed",
        "Timing on this computer is coarse",
        "Esc pause",
    ] {
        assert!(card.says(part), "`{part}` is missing in: {}", card.all());
    }
    // Which source stamps a press is for the record and the last screen.
    assert!(!card.says("/dev/input"), "{}", card.all());
    let end = Player::at(ended(Ending::Complete), DESKTOP);
    assert!(end.says("/dev/input cannot be read"), "{}", end.all());
}

#[test]
fn the_card_tells_each_task() {
    let same = Choice::of_two(Map::Same, 60.0);
    let crossed = Choice::of_two(Map::Crossed, 60.0);
    let emergence = Emergence::at(200.0);
    let pointing = Pointing::at(80.0);
    let onset = Onset { travel_counts: 60.0 };
    let go_no_go = GoNoGo { withhold_share: 0.25, go_notch: Side::Right };
    let by = ChoiceBy::Movement { travel_counts: 60.0 };
    let four = Choice { alternatives: 4, by, ..same };
    for (task, part) in [
        (TaskKind::Choice(same), "left shape, left button"),
        (TaskKind::Choice(crossed), "left shape, right button"),
        (TaskKind::Emergence(emergence), "slide out from behind it"),
        (TaskKind::Pointing(pointing), "until the chevron is on it"),
        (TaskKind::Onset(onset), "in any direction"),
        (TaskKind::GoNoGo(go_no_go), "Notch right: press the left button"),
        (TaskKind::Choice(four), "one of 4 places"),
        (TaskKind::Steadiness(Steadiness { run_s: 8.0 }), "for 8 seconds"),
        (TaskKind::Tapping(Tapping { run_s: 10.0 }), "for 10 seconds"),
        (TaskKind::Pursuit(Pursuit { run_s: 20.0, reach_mm: 60.0 }), "to and fro for 20"),
        (TaskKind::Vigilance(Vigilance {}), "for a long time"),
    ] {
        let mut facts = invented::facts();
        Arc::make_mut(&mut facts.protocol).task = task;
        for size in [SMALL, DESKTOP] {
            let show = Show::Ask(AskFor::Card { block: 0 });
            let card = Player::told(show, facts.clone(), size);
            assert!(card.says(part), "`{part}` is missing in: {}", card.all());
            let outside = card.texts.iter().find(|text| text.rect.right() > size[0]);
            assert!(outside.is_none_or(|text| panic!("`{}` is cut off", text.text)));
        }
    }
}

#[test]
fn a_task_without_empty_waits_does_not_speak_of_them() {
    let mut facts = invented::facts();
    Arc::make_mut(&mut facts.protocol).foreperiod =
        Foreperiod::Uniform { min_ms: 700.0, max_ms: 2000.0, catch_share: 0.0 };
    let card = Player::told(Show::Ask(AskFor::Card { block: 0 }), facts, DESKTOP);
    assert!(!card.says("waits are empty"), "{}", card.all());
}

#[test]
fn the_cautions_stand_before_the_first_session() {
    let caution = Player::at(Show::FirstStart, DESKTOP);
    for part in [
        "flashing or flickering",
        "licensed clinician",
        "Pain, numbness or tingling",
        "Not a medical device",
        "health-and-safety rules",
        "never the strongest",
        "stop at any time",
    ] {
        assert!(caution.says(part), "`{part}` is missing in: {}", caution.all());
    }
}

#[test]
fn simulated_data_say_so_on_every_screen() {
    for show in every_screen() {
        assert!(!Player::at(show.clone(), SMALL).says("SIMULATED"), "{show:?}");
        let facts = Facts { simulated: true, ..invented::facts() };
        assert!(Player::told(show.clone(), facts, SMALL).says("SIMULATED"), "{show:?}");
    }
}

#[test]
fn words_that_must_not_stand_on_a_screen() {
    let all = every_text().to_lowercase();
    assert!(all.contains("guardian") && all.contains("seizures"), "the texts were collected");
    let words: Vec<&str> = all.split(|c: char| !c.is_alphabetic()).collect();
    let forbidden = [
        // No strongest grip.
        "maximum maximal hardest death crush",
        // No claim on health.
        "prevent prevents treat treats cause causes cure cures heal heals",
        // No contest, no running result.
        "score rank league percentile streak playlist routine scenario best average",
    ];
    for word in forbidden.iter().flat_map(|line| line.split(' ')) {
        assert!(!words.contains(&word), "`{word}` stands on a screen");
    }
}

#[test]
fn every_text_fits_a_small_window_at_twice_the_scale() {
    for show in every_screen() {
        for size in [SMALL, [1280.0, 720.0], DESKTOP, [1080.0, 1920.0], [3840.0, 2160.0]] {
            let mut player = Player::at(show.clone(), size);
            for _ in 0..8 {
                for Text { text, rect } in &player.texts {
                    let inside = rect.left() >= 0.0 && rect.right() <= size[0];
                    assert!(inside, "{show:?} at {size:?}: `{text}` at {rect:?}");
                }
                if player.press(Key::Enter).is_some() {
                    break;
                }
            }
        }
    }
}

#[test]
fn what_enter_does_is_always_in_view() {
    let labels = ["Go on", "Start the block", "Close", "A number in each row"];
    for show in every_screen() {
        let player = Player::at(show.clone(), SMALL);
        let foot = |text: &&Text| {
            labels.contains(&text.text.as_str()) || text.text.contains("Enter takes")
        };
        let rect = player.texts.iter().find(foot).expect("a button or its keys").rect;
        assert!(rect.top() > 0.0 && rect.bottom() < SMALL[1], "{show:?}: {rect:?}");
    }
}

/// WCAG 2.3.1: nothing changes more than three times a second. Screens stand still by themselves;
/// a rest changes once a second.
#[test]
fn screens_stand_still() {
    for show in every_screen() {
        let resting = matches!(show, Show::Ask(AskFor::Rest { .. }));
        let mut player = Player::at(show.clone(), DESKTOP);
        let mut changes = 0;
        let mut before = player.all();
        let picture = player.picture.clone();
        // Three seconds, 20 looks a second.
        for step in 1..=60 {
            player.now = START + Span::from_ms(50 * step);
            player.frame(vec![]);
            if resting {
                changes += usize::from(player.all() != before);
                before = player.all();
            } else {
                assert_eq!(player.picture, picture, "{show:?} at step {step}");
            }
        }
        assert!(changes <= 3, "{show:?}: {changes} changes in three seconds");
        if resting {
            let second = Duration::from_millis(1100);
            assert!(player.repaint_in <= second, "{show:?} asks for its next second");
            assert!(changes >= 2, "{show:?} counts down");
        } else {
            assert_eq!(player.repaint_in, Duration::MAX, "{show:?} waits for events");
        }
    }
}

/// WCAG 2.x relative luminance of an sRGB grey, 0 to 1.
fn luminance(grey: f64) -> f64 {
    if grey <= 0.040_45 { grey / 12.92 } else { ((grey + 0.055) / 1.055).powf(2.4) }
}

#[test]
fn a_screen_is_told_from_the_field_and_is_near_to_it() {
    let page = f64::from(tautline::app::PAGE.r()) / 255.0;
    let field = tautline::scene::FIELD_GREY;
    // At least 60 of 255 grey levels apart: no doubt for whoever looks at a corner.
    assert!((page - field).abs() > 60.0 / 255.0);
    // The step from field to screen is smaller than to a white page.
    let step = (luminance(page) - luminance(field)).abs();
    assert!(step < (luminance(1.0) - luminance(field)).abs() / 2.0, "{step}");
}

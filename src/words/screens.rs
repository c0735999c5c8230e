//! The sentences of the untimed screens, in the plain words.
//!
//! Texts only, and small functions that put a number or a name into one. Which of them is shown
//! when is decided in `app/`. No sentence promises health, names a strongest grip, or tells a
//! result while a session runs; `tests/it/screens.rs` looks for words that must not stand here.

/// Marks simulated data, on every screen.
pub const SIMULATED: &str = "SIMULATED PLAYER";

// Keys and buttons that all screens share.

/// On the button that goes on.
pub const GO_ON: &str = "Go on";
/// Beside the button that goes on.
pub const ENTER: &str = "Enter";
/// Keys of a session's screens.
pub const KEYS_SESSION: &str = "F10 stop   ·   H my hand hurts";
/// Keys of a list.
pub const KEYS_LIST: &str = "Up and Down choose   ·   Enter takes the marked line";
/// Keys of a page of questions.
pub const KEYS_QUESTIONS: &str = "Left and Right choose   ·   Enter answers and goes on";
/// Keys of a page of scales.
pub const KEYS_SCALES: &str = "Left and Right choose   ·   Enter takes the marked number";
/// Keys of a second step.
pub const KEYS_BACK: &str = "Esc goes back";
/// Keys of a page that is longer than the window.
pub const KEYS_SCROLL: &str = "Up and Down scroll";

/// A cell's name for a screen reader: what is asked, and this answer.
pub fn named(question: &str, answer: &str) -> String {
    format!("{question} {answer}")
}

/// "no" of a question.
pub const NO: &str = "No";
/// "yes" of a question.
pub const YES: &str = "Yes";

// The caution.

/// The title of the window while a screen of this title is on show.
pub fn window_title(screen: &str) -> String {
    format!("{screen} \u{2013} {}", super::guide::PROGRAM)
}

/// Title of the caution.
pub const CAUTION_TITLE: &str = "Before you start";
/// The caution, a heading and a text each.
pub const CAUTION: [[&str; 2]; 4] = [
    [
        "Your eyes",
        "Shapes come and go on a grey field; no part of the screen changes more than three times a \
         second. If flashing or flickering pictures ever troubled you, do not start: ask a licensed \
         clinician first.",
    ],
    [
        "Your hand",
        "Hold the mouse gently. Firm means about 3 to 4 of 10, never the strongest. Pain, numbness \
         or tingling: stop, and see a licensed clinician.",
    ],
    [
        "What this is not",
        "Not a medical device. Times of presses say nothing about your health, or about fitness to \
         drive or work. Your local health-and-safety rules come first.",
    ],
    ["Stopping", "You may stop at any time, without a reason. What was done is kept."],
];

// The questions of the first start.

/// Title of the questions.
pub const QUESTIONS_TITLE: &str = "A few questions first";
/// Below that title.
pub const QUESTIONS_NOTE: &str = "Your answers are not stored.";
/// Question on the hand.
pub const ASK_HAND: &str = "Pain, numbness, or a recent injury or surgery of hand or arm?";
/// Question on the heart.
pub const ASK_HEART: &str = "High blood pressure or heart trouble?";
/// Question on seizures.
pub const ASK_FLASHING: &str = "Seizures, or trouble with flashing pictures?";
/// Question on the age.
pub const ASK_AGE: &str = "How old are you?";
/// An age band.
pub const AGE_ADULT: &str = "18 or older";
/// An age band.
pub const AGE_YOUNG: &str = "Under 18";
/// Question on the guardian.
pub const ASK_GUARDIAN: &str = "Under 18: has a parent or guardian agreed to this?";

/// Title of the advice after a yes.
pub const ADVICE_TITLE: &str = "Please ask a licensed clinician first";
/// The advice after a yes to hand or heart.
pub const ADVICE_HOLDS: &str = "You answered yes to a question about hand, arm or heart. Until a licensed clinician has agreed, \
     only light holds are offered here.";
/// The advice after a yes to seizures or flashing.
pub const ADVICE_FLASHING: &str = "You answered yes to the question about seizures or flashing. Shapes appear suddenly here; \
     please do not start before a licensed clinician has agreed. After that, only light holds are \
     offered.";
/// First answer to the advice.
pub const ADVICE_LEAVE: &str = "Leave it for today";
/// Second answer to the advice.
pub const ADVICE_AGREED: &str = "A clinician has agreed: go on, with light holds";
/// Second answer to the advice where flashing is not in question.
pub const ADVICE_LIGHT: &str = "Go on, with light holds only";

/// Title where a guardian has not agreed.
pub const GUARDIAN_TITLE: &str = "Not today";
/// Text where a guardian has not agreed.
pub const GUARDIAN_TEXT: &str =
    "Under 18, a parent or guardian has to agree first. Please come back together.";

/// Title of the player's own agreement.
pub const AGREEMENT_TITLE: &str = "Your own agreement";
/// Whom the agreement is from.
pub fn agreement_for(player: &str) -> String {
    format!("This session is for {player}.")
}
/// Text of the agreement.
pub const AGREEMENT_TEXT: &str = "I sit at the mouse myself and take part because I want to. I know \
     that I can pause with Esc, stop with F10, and say with H that my hand hurts.";
/// It is given.
pub const AGREE: &str = "I agree";
/// It is not given.
pub const DISAGREE: &str = "Not now";

// The expectation.

/// Title of the expectation.
pub const EXPECTATION_TITLE: &str = "What do you expect?";
/// Why it is asked.
pub const EXPECTATION_NOTE: &str = "Which hold do you think is faster? What one expects can change how one presses, so it is kept \
     beside the result.";
/// No opinion.
pub const NO_OPINION: &str = "I have no idea";
/// Which hold was chosen.
pub fn expected_faster(hold: &str) -> String {
    format!("You think that this one is faster: {hold}")
}
/// How sure.
pub const HOW_SURE: &str = "How sure are you?";
/// 0 of that scale.
pub const SURE_LOW: &str = "a guess";
/// 10 of that scale.
pub const SURE_HIGH: &str = "certain";

// The instruction card.

/// Which block of how many.
pub fn block_of(block: usize, blocks: usize) -> String {
    format!("Block {block} of {blocks}")
}

/// About how long it will still take.
pub fn minutes_left(minutes: f64) -> String {
    if minutes < 1.5 {
        "about a minute left".to_owned()
    } else {
        format!("about {minutes:.0} minutes left")
    }
}

/// A hold's name, from its id: `firm-claw` is "Firm claw".
pub fn hold_name(id: &str) -> String {
    let mut letters = id.chars();
    let first = letters.next().map(|c| c.to_ascii_uppercase());
    first.into_iter().chain(letters.map(|c| if c == '-' || c == '_' { ' ' } else { c })).collect()
}

/// A grip.
pub const GRIP_PALM: &str = "Palm grip: the palm rests on the mouse.";
/// A grip.
pub const GRIP_CLAW: &str = "Claw grip: the fingers are arched.";
/// A grip.
pub const GRIP_FINGERTIP: &str = "Fingertip grip: only the fingertips touch.";
/// A grip.
pub const GRIP_MIXED: &str = "A grip between palm, claw and fingertip.";

/// How firmly.
pub const TENSION_LIGHT: &str = "Light: only as firm as you need to keep it.";
/// How firmly.
pub const TENSION_SHAPED: &str = "Shaped: fingers curled closer, without squeezing.";
/// How firmly.
pub const TENSION_FIRM: &str = "Firm: about 3 to 4 of 10, never the strongest.";

/// Heading of the words to follow.
pub const CARD_HOLD: &str = "Hold";
/// Heading of the task.
pub const CARD_TASK: &str = "Task";
/// What always holds.
pub const CARD_FINGER: &str =
    "Rest the finger; do not half-press. Letting go between presses is allowed.";
/// On a partner.
pub const CARD_PARTNER: &str = "Your partner decides when it comes: with a gamepad button, a second \
     mouse named at the start, or the space bar. Look at the screen, not at your partner.";
/// The picture of the task, for a screen reader.
pub const SAMPLE: &str = "In small: the field during the wait, then the field with what appears.";
/// On empty waits.
pub const CARD_EMPTY_WAITS: &str =
    "Some waits are empty: then nothing appears, and you do nothing.";

/// The task `simple`.
pub const TASK_SIMPLE: &str =
    "Look at the open square. When the blue shape appears in it, press the left button at once.";
/// The task `onset`.
pub const TASK_ONSET: &str = "Look at the open square. When the blue shape appears in it, move the mouse at once, in any \
     direction; press nothing. Keep the mouse still until it appears.";
/// The task `go_no_go`, for where the notch is of the shape that asks for a press.
pub fn task_go_no_go(go: &str, withhold: &str) -> String {
    format!(
        "A blue shape with a notch appears in the open square. Notch {go}: press the left button at \
         once. Notch {withhold}: press nothing."
    )
}
/// A side of the notch.
pub const NOTCH_UP: &str = "above";
/// A side of the notch.
pub const NOTCH_DOWN: &str = "below";
/// A side of the notch.
pub const NOTCH_LEFT: &str = "left";
/// A side of the notch.
pub const NOTCH_RIGHT: &str = "right";
/// The task `choice`, three buttons as the places.
pub const TASK_CHOICE_THREE_SAME: &str = "A blue shape appears on the left, on the right or above. Press the button of that place: \
     left, right, or the wheel for above.";
/// The task `choice`, three buttons, left and right crossed.
pub const TASK_CHOICE_THREE_CROSSED: &str = "A blue shape appears on the left, on the right or above. Left shape: right button; right \
     shape: left button; above: the wheel.";
/// The task `choice`, by a movement towards the target.
pub fn task_choice_towards(places: u16) -> String {
    format!(
        "A blue shape appears in one of {places} places around the middle. Move the mouse towards it \
         at once; press nothing. Keep the mouse still until it appears."
    )
}
/// The task `choice`, by a movement away from the target.
pub fn task_choice_away(places: u16) -> String {
    format!(
        "A blue shape appears in one of {places} places around the middle. Move the mouse straight \
         away from it at once; press nothing. Keep the mouse still until it appears."
    )
}
/// The task `choice`, buttons as the sides.
pub const TASK_CHOICE_SAME: &str = "A blue shape appears on the left or on the right. Press the button of that side: left shape, \
     left button; right shape, right button.";
/// The task `choice`, buttons crossed.
pub const TASK_CHOICE_CROSSED: &str = "A blue shape appears on the left or on the right. Press the button of the other side: left \
     shape, right button; right shape, left button.";
/// The task `emergence`.
pub const TASK_EMERGENCE: &str = "Aim at the edge of the slab. When a blue shape starts to slide out from behind it, press the \
     left button at once.";
/// The task `pointing`.
pub const TASK_POINTING: &str = "A blue shape appears away from the middle. Turn to it with the mouse until the chevron is on \
     it, then press the left button. Keep the mouse still until it appears.";

/// The task `steadiness`.
pub fn task_steadiness(seconds: f64) -> String {
    format!(
        "A blue shape appears under the chevron. Keep the mouse as still as you can for {seconds} \
         seconds, so that the chevron stays on it; press nothing."
    )
}
/// The task `tapping`.
pub fn task_tapping(seconds: f64) -> String {
    format!(
        "When the blue shape appears, tap the left button as often as you comfortably can, for \
         {seconds} seconds, until it goes away. Stop if it hurts."
    )
}
/// The task `pursuit`.
pub fn task_pursuit(seconds: f64) -> String {
    format!(
        "A blue shape goes to and fro for {seconds} seconds. Turn with the mouse so that the chevron \
         stays on it; press nothing."
    )
}
/// The task `vigilance`.
pub const TASK_VIGILANCE: &str = "Look at the open square, for a long time. Whenever the blue shape appears in it, press the left \
     button at once.";

/// How many trials of a set time a block has.
pub fn runs(main: usize, warm_up: usize) -> String {
    match warm_up {
        0 => format!("{main} times."),
        1 => format!("Once to warm up, then {main} times."),
        _ => format!("{warm_up} times to warm up, then {main} times."),
    }
}

/// How many movements a block has.
pub fn movements(main: usize, warm_up: usize) -> String {
    match warm_up {
        0 => format!("{main} movements."),
        1 => format!("1 movement to warm up, then {main}."),
        _ => format!("{warm_up} movements to warm up, then {main}."),
    }
}

/// How many targets a block has, of which some are to be left alone.
pub fn targets(main: usize, warm_up: usize) -> String {
    match warm_up {
        0 => format!("{main} shapes."),
        1 => format!("1 shape to warm up, then {main}."),
        _ => format!("{warm_up} shapes to warm up, then {main}."),
    }
}

/// How many presses a block has.
pub fn presses(main: usize, warm_up: usize) -> String {
    match warm_up {
        0 => format!("{main} presses."),
        1 => format!("1 press to warm up, then {main}."),
        _ => format!("{warm_up} presses to warm up, then {main}."),
    }
}

/// How many presses there are to feel the task.
pub fn presses_to_feel(presses: usize) -> String {
    format!("{presses} presses; nothing of them is kept.")
}

/// On the button that starts a block.
pub const START_BLOCK: &str = "Start the block";
/// Keys during a block.
pub const KEYS_IN_BLOCK: &str = "In the block:   Esc pause   ·   F10 stop   ·   H my hand hurts";

// Ratings.

/// Title of the ratings.
pub const RATINGS_TITLE: &str = "How was that?";
/// Title of the ratings before the first block.
pub const RATINGS_TITLE_BEFORE: &str = "How is it now?";
/// A rating: question, word at 0, word at 10.
pub const RATE_TENSION: [&str; 3] = ["How firmly did you hold the mouse?", "hardly", "very firmly"];
/// A rating: question, word at 0, word at 10.
pub const RATE_DISCOMFORT: [&str; 3] = ["Discomfort in hand or arm?", "none", "very strong"];
/// A rating: question, word at 0, word at 10.
pub const RATE_FATIGUE: [&str; 3] = ["How tired are you?", "fresh", "worn out"];
/// Button of the ratings, while one is open.
pub const RATE_ALL: &str = "A number in each row";

// Rests.

/// Title of a rest.
pub const REST_TITLE: &str = "Rest";
/// Text of a rest.
pub const REST_TEXT: &str = "Let go of the mouse and open your hand.";
/// Title of a break away from the desk.
pub const BREAK_TITLE: &str = "Stand up";
/// Text of a break away from the desk.
pub const BREAK_TEXT: &str = "Leave the chair, walk a few steps, look into the distance.";
/// The rest is not over.
pub const REST_WAIT: &str = "The button opens when the time is up.";
/// The rest is over.
pub const REST_OVER: &str = "The rest is over. Take longer if you like.";
/// Minutes and seconds.
pub fn time_left(seconds: u64) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}
/// What remains, for a screen reader.
pub fn rest_left(seconds: u64) -> String {
    format!("{} of the rest remain", time_left(seconds))
}
/// What comes after the rest.
pub fn comes_next(hold: &str) -> String {
    format!("Next hold: {hold}")
}

// Pauses and stopping.

/// Title of a pause.
pub const PAUSE_TITLE: &str = "Paused";
/// Why: the player asked.
pub const PAUSE_ASKED: &str = "You paused. The trial that was open comes again.";
/// Why: the focus went away.
pub const PAUSE_FOCUS: &str =
    "Another window came to the front. The trial that was open comes again.";
/// Why: the mouse went away.
pub const PAUSE_UNPLUGGED: &str = "The mouse is gone. Plug it in again, then go on.";
/// Why: the display went away.
pub const PAUSE_DISPLAY: &str =
    "The display was lost. It is back now; the trial that was open comes again.";
/// Why: a source stood still.
pub const PAUSE_STALLED: &str =
    "The computer was too busy to time presses. Close other programs, then go on.";
/// Why: the clock jumped.
pub const PAUSE_CLOCK: &str = "The computer was asleep. The trial that was open comes again.";
/// In the list of a pause.
pub const PAUSE_HURTS: &str = "My hand hurts: end this block";
/// In the list of a pause.
pub const PAUSE_STOP: &str = "Stop the session";
/// Keys of a pause.
pub const KEYS_PAUSE: &str =
    "Up and Down choose   ·   Enter takes the marked line   ·   Esc goes on";

/// Title of the question whether to stop.
pub const STOP_TITLE: &str = "Stop the session here?";
/// Text of that question.
pub const STOP_TEXT: &str = "What was done is kept, and you may take it up again later.";
/// It goes on.
pub const STOP_NO: &str = "No, go back";
/// It stops.
pub const STOP_YES: &str = "Yes, stop here";

// The end.

/// Title of the end.
pub const END_TITLE: &str = "Thank you";
/// Every block was run.
pub const END_COMPLETE: &str = "The session is complete.";
/// The player stopped.
pub const END_STOPPED: &str = "The session was stopped. What was done is kept.";
/// Two stops for discomfort.
pub const END_DISCOMFORT: &str = "Enough for today: your hand needs rest. If pain, numbness or tingling stays, see a licensed \
     clinician.";
/// The time was used up.
pub const END_TIME_UP: &str = "The time of this session is used up. What was done is kept.";
/// A planned look settled it.
pub const END_SETTLED: &str = "A planned look has settled it: the session ends here, as planned.";
/// On a rest: a planned look was taken and did not settle it. No number is told.
pub const LOOK_GOES_ON: &str = "A planned look was taken: the session goes on.";
/// Heading of the sentence.
pub const END_FINDING: &str = "What was found";
/// Heading of the folder.
pub const END_FILES: &str = "Where the files lie";
/// Heading of the sources.
pub const SOURCES: &str = "This machine";
/// On the button that closes the window.
pub const CLOSE: &str = "Close";

/// Title of a notice that carries an error.
pub const TROUBLE_TITLE: &str = "Something is in the way";
/// Heading of how to mend it.
pub const TROUBLE_MEND: &str = "What you can do";
/// An error's line as a sentence: a capital in front, a full stop behind.
pub fn sentence(line: &str) -> String {
    let mut letters = line.chars();
    let first = letters.next().map(|c| c.to_ascii_uppercase());
    let end = if line.ends_with(['.', '!', '?']) { None } else { Some('.') };
    first.into_iter().chain(letters).chain(end).collect()
}
/// Where it is.
pub fn trouble_place(place: &str) -> String {
    format!("In {place}")
}

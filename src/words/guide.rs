//! The sentences of the pages outside a session, in the plain words.
//!
//! Texts only, and small functions that put a number or a name into one. Which of them is shown
//! when is decided in `app/guide`. No sentence promises health, names a strongest grip, ranks
//! anybody, or blames a hand; tests look for words that must not stand here.

/// Name of the program in the window's title.
pub const PROGRAM: &str = "Tautline";

// Buttons and places that many pages share.

/// Goes on.
pub const GO_ON: &str = "Go on";
/// Goes back.
pub const BACK: &str = "Back";
/// Leaves the program.
pub const LEAVE: &str = "Quit";
/// Something is being worked out.
pub const WORKING: &str = "Working it out \u{2026}";
/// Does not wait for it.
pub const STOP_WAITING: &str = "Stop waiting";
/// What was just done.
pub fn just_now(done: &str) -> String {
    format!("Just now: {done}")
}
/// Takes a notice away.
pub const SEEN: &str = "I have seen it";
/// Which step of how many.
pub fn step_of(step: usize, steps: usize) -> String {
    format!("Step {step} of {steps}")
}
/// What to call a plan that has no file yet, in errors.
pub const THIS_PLAN: &str = "this plan";
/// A fault of a plan.
pub fn fault(what: &str, mend: &str) -> String {
    format!("{}: {mend}.", super::screens::sentence(what).trim_end_matches('.'))
}

// Titles of pages, the time each takes, and their names in the head of a page.

/// The caution.
pub const CAUTION_TITLE: &str = "Before you start";
/// The unscored presses.
pub const FEEL_PAGE: &str = "Ten presses, to feel it";
/// The questions.
pub const QUESTION_TITLE: &str = "What do you want to know?";
/// The player.
pub const PLAYER_TITLE: &str = "Who plays?";
/// The agreement.
pub const AGREEMENT_TITLE: &str = "A few questions first";
/// The rig.
pub const RIG_TITLE: &str = "Your display, mouse and computer";
/// The holds.
pub const HOLDS_TITLE: &str = "The holds";
/// The practice.
pub const PRACTICE_TITLE: &str = "Try this hold";
/// The plan.
pub const PLAN_TITLE: &str = "The plan";
/// The findings.
pub const FINDINGS_TITLE: &str = "What was found";
/// Showing it.
pub const SHOW_TITLE: &str = "Show it to others";
/// The history.
pub const HISTORY_TITLE: &str = "Sessions over the weeks";
/// Tables.
pub const TABLES_TITLE: &str = "Times measured elsewhere";
/// Settings.
pub const SETTINGS_TITLE: &str = "Settings";

/// Time of a page.
pub const HALF_A_MINUTE: &str = "takes half a minute";
/// Time of a page.
pub const A_MINUTE: &str = "takes about a minute";
/// Time of a page.
pub const TWO_MINUTES: &str = "takes about two minutes";
/// Time of a page.
pub const AS_LONG_AS_YOU_LIKE: &str = "take as long as you like";

/// In the head: the questions.
pub const MENU_QUESTION: &str = "Questions";
/// In the head: the history.
pub const MENU_HISTORY: &str = "Sessions and players";
/// In the head: tables.
pub const MENU_TABLES: &str = "Tables from elsewhere";
/// In the head: settings.
pub const MENU_SETTINGS: &str = "Settings";

// The caution and the unscored presses.

/// On the button below the caution.
pub const CAUTION_READ: &str = "I have read this";
/// What comes.
pub const FEEL_TEXT: &str = "Hold the mouse as you usually do. Ten shapes will come, one after the other; it takes about half a minute.";
/// What becomes of it.
pub const FEEL_NOTE: &str = "These presses are only for you to feel the task: nothing of them is kept. Esc pauses, F10 \
     stops, H says that your hand hurts.";
/// Starts it.
pub const FEEL_START: &str = "Start the ten presses";
/// Leaves it out.
pub const FEEL_SKIP: &str = "Leave them out";
/// Id of the hold of those presses.
pub const FEEL_HOLD_ID: &str = "your-usual-hold";
/// Words of that hold.
pub const FEEL_HOLD: &str = "Hold the mouse as you usually do, without squeezing.";
/// Title while they run.
pub const FEEL_TITLE: &str = "Ten presses, to feel it";
/// They are over.
pub const FELT: &str = "That was the task. Nothing of it was kept.";

// The questions.

/// Above the questions.
pub const QUESTION_NOTE: &str = "New here? Take the first: it is the shortest. Each question is a plan that is ready to run; its holds \
     and its length can be changed on the way.";
/// Above those made here.
pub const QUESTION_OWN: &str = "Made here";
/// Shows the others too.
pub const QUESTIONS_MORE: &str = "More questions";
/// Hides the others again.
pub const QUESTIONS_FEWER: &str = "Fewer questions";
/// Heading.
pub const QUESTIONS_CHOOSE: &str = "Choosing, and holding back";
/// Heading.
pub const QUESTIONS_STEPS_OUT: &str = "Someone steps out";
/// Heading.
pub const QUESTIONS_MOVE: &str = "Moving, aiming and keeping still";
/// Heading.
pub const QUESTIONS_KEEP_UP: &str = "Keeping it up";
/// Below the questions.
pub const QUESTION_KEYS: &str =
    "Its number takes a question   \u{b7}   Tab and the arrow keys move, Enter or Space takes";
/// A question with its number, which is also its key.
pub fn numbered(number: usize, question: &str) -> String {
    format!("{number}   {question}")
}
/// What a question takes.
pub fn question_facts(minutes: f64, holds: usize, firm_minutes: f64) -> String {
    let firm = if firm_minutes > 0.0 {
        format!(", at most {firm_minutes:.0} of them under a firm hold")
    } else {
        String::new()
    };
    format!("{holds} holds, about {minutes:.0} minutes{firm}")
}

// The player.

/// Why a nickname.
pub const PLAYER_TEXT: &str = "Give a nickname. It stays on this computer; a session's folder knows the player by a short code alone.";
/// Label of the field.
pub const PLAYER_FIELD: &str = "Nickname";
/// Above those known.
pub const PLAYER_KNOWN: &str = "Players on this computer";
/// Nothing is typed yet.
pub const PLAYER_NEEDED: &str = "A nickname is needed.";
/// For coaches.
pub const PLAYER_NOTE: &str =
    "A coach can have several players. Each one agrees on screen, at the mouse.";
/// The player did not go on.
pub const NOT_STARTED: &str = "No session was started. You may come back at any time.";
/// Only light holds are offered.
pub const ONLY_LIGHT: &str =
    "Only light holds are offered: grips are compared instead of tensions.";

// The rig.

/// Above what is known.
pub const RIG_STATE: &str = "Where it stands";
/// It was not checked.
pub const RIG_NOT_CHECKED: &str = "Not checked yet on this computer.";
/// It was checked.
pub fn rig_checked(profile: &str) -> String {
    format!("Checked before, and the last session found it as it was. (Profile {profile}.)")
}
/// It was checked, and is another now.
pub fn rig_changed(profile: &str) -> String {
    format!("The last session found something else than the check before it (profile {profile}):")
}
/// Starts the check.
pub const RIG_CHECK: &str = "Check them now";
/// Starts it once more.
pub const RIG_AGAIN: &str = "Check them again";
/// Beside the button.
pub const RIG_LASTS: &str = "About a minute. Single steps can be passed over with Esc.";
/// It is done.
pub const RIG_DONE: &str = "The check is done and its profile is kept.";
/// It was ended before its end.
pub const RIG_ENDED: &str = "The check was ended before its end: nothing of it was kept.";
/// What it is for.
pub const RIG_TEXT: &str = "A short check asks a few questions, listens to how your mouse reports and clicks, and watches what \
     your display does with each picture. Every session measures its display again before the first \
     press, and says so if something has changed since.";
/// What helps.
pub const RIG_NOTE: &str = "Before you go on: plug the mouse in directly, close recorders and downloads, and sit as you usually sit.";
/// Goes on without it.
pub const RIG_PASS: &str = "Go on without a check";

// The holds.

/// Above the cards.
pub const HOLDS_NOTE: &str = "Rest the finger; do not half-press. Firm means about 3 to 4 of 10, never the strongest. The \
     drawings show where the hand touches; the dots are the places.";
/// Heading of a card.
pub fn hold_number(number: usize) -> String {
    format!("Hold {number}")
}
/// The hold that the others are compared with.
pub const HOLD_REFERENCE: &str = "the others are compared with this one";
/// Label of the grips.
pub const GRIP: &str = "Grip";
/// A grip.
pub const PALM: &str = "Palm";
/// A grip.
pub const CLAW: &str = "Claw";
/// A grip.
pub const FINGERTIP: &str = "Fingertip";
/// A grip.
pub const MIXED: &str = "Between";
/// Label of the tensions.
pub const TENSION: &str = "Tension";
/// A tension.
pub const LIGHT: &str = "Light";
/// A tension.
pub const SHAPED: &str = "Shaped";
/// A tension.
pub const FIRM: &str = "Firm";
/// Words of a light hold.
pub const SAY_LIGHT: &str = "Hold the mouse only as firmly as you need to keep it.";
/// Words of a shaped hold.
pub const SAY_SHAPED: &str = "Your usual grip with the fingers curled closer, without squeezing.";
/// Words of a firm hold.
pub const SAY_FIRM: &str =
    "Hold the mouse firmly, about 3 to 4 of 10. Let go between presses if you like.";
/// Words of another hold.
pub const SAY_OTHER: &str = "Hold the mouse as agreed.";
/// Label of the words.
pub const HOLD_WORDS: &str = "Words to follow, shown before each block";
/// Practises it.
pub const HOLD_PRACTISE: &str = "Try it for ten seconds";
/// Compares the others with it.
pub const HOLD_COMPARE_WITH: &str = "Compare the others with this one";
/// Takes it out.
pub const HOLD_REMOVE: &str = "Take it out";
/// Adds one.
pub const HOLD_ADD: &str = "Add a hold";
/// A drawing.
pub const PALM_SIDE: &str =
    "Palm grip from the side: the palm rests on the mouse, the fingers lie along it.";
/// A drawing.
pub const CLAW_SIDE: &str =
    "Claw grip from the side: the fingers are arched, the heel of the hand touches the rear.";
/// A drawing.
pub const FINGERTIP_SIDE: &str =
    "Fingertip grip from the side: only the fingertips touch, the palm hangs behind the mouse.";
/// A drawing.
pub const PALM_ABOVE: &str = "Palm grip from above.";
/// A drawing.
pub const CLAW_ABOVE: &str = "Claw grip from above.";
/// A drawing.
pub const FINGERTIP_ABOVE: &str = "Fingertip grip from above.";

/// Above the caution of a practice.
pub const PRACTICE_CARE: &str = "Care";
/// Caution of a light or shaped hold.
pub const PRACTICE_GENTLE: &str =
    "Gently. Pain, numbness or tingling: let go, and see a licensed clinician.";
/// Caution of a firm hold.
pub const PRACTICE_FIRM: &str = "Firm is about 3 to 4 of 10, never the strongest. Open the hand afterwards. Pain, numbness or \
     tingling: let go at once, and see a licensed clinician.";
/// What to do.
pub const PRACTICE_TEXT: &str =
    "Take the mouse in this hold, start, and keep the hold for ten seconds.";
/// Starts it.
pub const PRACTICE_START: &str = "Start the ten seconds";
/// Starts it once more.
pub const PRACTICE_AGAIN: &str = "Ten seconds more";
/// Time left.
pub fn practice_left(seconds: f64) -> String {
    format!("Keep it: {seconds:.0} s left")
}
/// It is over.
pub const PRACTICE_OVER: &str = "Enough. Let go of the mouse and open your hand.";
/// Breaks it off.
pub const PRACTICE_ENOUGH: &str = "Enough, I let go";
/// Back to the holds.
pub const PRACTICE_DONE: &str = "Back to the holds";

// The plan.

/// Slider.
pub const PLAN_CYCLES: &str = "Cycles: how often each hold comes";
/// Slider.
pub const PLAN_TRIALS: &str = "Presses in a block";
/// Choice.
pub const PLAN_MATTERS: &str = "Least gain that matters to you";
/// One of them.
pub fn whole_ms(ms: i64) -> String {
    format!("{ms} ms")
}
/// Heading.
pub const PLAN_TAKES: &str = "What it takes";
/// Minutes and presses.
pub fn plan_minutes(minutes: f64, presses: usize) -> String {
    format!("About {minutes:.0} minutes, rests included; {presses} presses.")
}
/// Under a firm hold.
pub fn plan_firm(minutes: f64, presses: usize) -> String {
    if presses == 0 {
        "No firm hold is in it.".to_owned()
    } else {
        format!(
            "Of these at most {minutes:.1} minutes under a firm hold (hatched); {presses} presses."
        )
    }
}
/// Waits.
pub fn plan_waits(wait_ms: f64, empty: f64) -> String {
    format!("A wait lasts {:.1} s on average; about {empty:.0} waits are empty.", wait_ms / 1e3)
}
/// The bar, for a screen reader.
pub fn plan_bar(minutes: f64, firm: f64) -> String {
    format!("{minutes:.0} minutes in all, at most {firm:.0} of them under a firm hold")
}
/// Heading.
pub const PLAN_CLEAR: &str = "Can this plan give a clear answer?";
/// Half-width.
pub fn plan_give(half_width_ms: f64) -> String {
    format!("It would tell two holds apart to within give or take {half_width_ms:.0} ms.")
}
/// How many of ten.
pub fn plan_ten(of_ten: usize) -> String {
    format!("{of_ten} of 10 such sessions would give a clear answer")
}
/// The judgement.
pub fn plan_judged(share: f64, difference_ms: f64) -> String {
    let judged = if share >= 0.8 {
        "That is a plan that can answer your question"
    } else if share >= 0.5 {
        "It may answer your question, or leave it open"
    } else {
        "It will probably leave your question open: take more cycles, or spread it over more days"
    };
    format!("{judged}, if the holds truly differ by {difference_ms:.0} ms.")
}
/// Still at it.
pub fn plan_so_far(simulations: u32) -> String {
    format!("From {simulations} simulated sessions so far.")
}
/// Where it comes from.
pub const PLAN_CLEAR_NOTE: &str = "From simulated sessions of an invented usual player. It says what such a plan can show, not what \
     you will find.";
/// The scale, for a screen reader.
pub fn plan_scale(difference_ms: f64, half_width_ms: f64, matters_ms: f64) -> String {
    format!(
        "A true difference of {difference_ms:.0} ms would be seen give or take {half_width_ms:.0} ms; \
         up to {matters_ms:.0} ms it is too close to matter."
    )
}
/// Below the scale.
pub const PLAN_SCALE_NOTE: &str = "The dot is the true difference that is simulated, the bar what such a session would give; inside \
     the lighter band a difference is too close to matter.";
/// Over days.
pub const PLAN_DAYS: &str = "It may be spread over days: run the same plan again another day, and all its sessions are read \
     together under Sessions and players.";
/// Heading of a fault.
pub const PLAN_FAULT: &str = "This plan cannot run yet";
/// Beside the shut button.
pub const PLAN_FAULTY: &str = "The plan has to be mended first.";
/// Starts the session.
pub const PLAN_START: &str = "Start the session";
/// Starts it in spite of a warning.
pub const PLAN_START_ALL_THE_SAME: &str = "Start all the same";
/// Beside the button.
pub const PLAN_STARTS: &str = "You will be asked what you expect, then the first block begins.";
/// A second firm session on a day.
pub const SECOND_FIRM: &str = "This would be a second session with firm holds on one day: better leave it for tomorrow. If you \
     are sure, start again.";

// Ends of sessions.

/// Every block was run.
pub const ENDED_COMPLETE: &str = "Thank you. The session is complete.";
/// A planned look settled it.
pub const ENDED_SETTLED: &str =
    "Thank you. A planned look settled the question: no more blocks are needed.";
/// It was stopped.
pub const ENDED_STOPPED: &str = "The session was stopped. What was done is kept, and it can be taken up again below. What it \
     found so far is not shown unasked: knowing it can change how one goes on.";
/// Enough for the day.
pub const ENDED_DISCOMFORT: &str = super::screens::END_DISCOMFORT;
/// The time was up.
pub const ENDED_TIME_UP: &str = "The time of this session is used up. What was done is kept.";

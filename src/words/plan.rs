//! Sentences about plans: the player they were tried on, the smallest that meets a wish, what is
//! refused.

/// The player is the usual one.
pub fn usual_player() -> String {
    "Tried on a usual player of round figures (practice, drift, blocks that differ, early presses \
     and slow ones). With sessions of your own: --from FOLDER."
        .to_owned()
}

/// The player is taken from sessions.
pub fn own_player(sessions: usize, blocks: usize, times: usize, block_sd_ms: f64) -> String {
    let sessions = counted(sessions, "session");
    let few = if blocks < 20 { "; from so few blocks that is a rough figure" } else { "" };
    format!(
        "Tried on a player like you in {sessions} ({blocks} blocks, {times} presses): your blocks \
         differ by about {block_sd_ms:.0} ms beside what single presses explain{few}."
    )
}

/// The smallest plan that meets the wish.
pub fn smallest(
    cycles: usize,
    trials: usize,
    minutes: f64,
    firm_minutes: f64,
    share: f64,
    wish: f64,
) -> String {
    let firm = if firm_minutes > 0.0 {
        format!(", at most {firm_minutes:.1} of them under a firm hold")
    } else {
        String::new()
    };
    format!(
        "The smallest plan that gives a clear answer in {} of 10 sessions: {cycles} cycles of \
         {trials} trials, about {minutes:.0} minutes{firm} ({}).",
        tenths(wish),
        percent(share)
    )
}

/// No plan of the grid meets the wish.
pub fn none_meets(wish: f64, best: Option<(usize, usize, f64)>) -> String {
    let least = format!("None of these plans gives a clear answer in {} of 10", tenths(wish));
    match best {
        Some((cycles, trials, share)) => format!(
            "{least}; the surest is {cycles} cycles of {trials} trials, {}. Plan for a larger \
             difference, or for several sessions.",
            percent(share)
        ),
        None => format!("{least}: none of them may be run."),
    }
}

/// What more cycles and more trials buy, under the table; shares of 1 for a minute.
pub fn trade(by_cycles: f64, by_trials: f64) -> String {
    format!(
        "On average over these plans a minute spent on more cycles adds {:.1} in 100 to the chance \
         of a clear answer, one spent on more trials a block {:.1}.",
        by_cycles * 100.0,
        by_trials * 100.0
    )
}

/// How sure the shares are.
pub fn give_or_take(simulations: u32, most_share_error: f64) -> String {
    format!(
        "Each share comes from {simulations} simulated sessions: give or take {:.0} in 100.",
        (2.0 * most_share_error * 100.0).ceil()
    )
}

/// Why a plan is not offered, for a table.
pub fn refused_sets(set: usize) -> String {
    format!("no whole sets of {set}")
}

/// Why a plan is not offered.
pub fn refused_too_few(least: usize) -> String {
    format!("too few: {least} cycles at least")
}

/// Why a plan is not offered.
pub const REFUSED_NO_ORDER: &str = "no order tells the holds from the trend";

/// Why a plan is not offered.
pub fn refused_firm_block(seconds: f64) -> String {
    format!("a firm block of {seconds:.0} s is too long")
}

/// Why a plan is not offered.
pub fn refused_firm_minutes(minutes: f64) -> String {
    format!("{minutes:.1} firm minutes are too many")
}

/// Why a plan is not offered.
pub fn refused_too_long(minutes: f64) -> String {
    format!("{minutes:.0} minutes are too long")
}

/// Planning was stopped by the player.
pub const STOPPED: &str = "stopped; nothing was written";

/// `1 session`, `2 sessions`.
fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// A share as tenths: 8 for 0.8, 8.5 for 0.85.
fn tenths(share: f64) -> String {
    let tenths = (share * 100.0).round() / 10.0;
    format!("{tenths}")
}

/// How many cycles are run on average, where looks may end a session early.
pub fn looks(mean_cycles: f64, of: usize) -> String {
    format!(
        "Planned looks may end it early: on average after {mean_cycles:.1} of {of} cycles, and only \
         at a look."
    )
}

/// What a plot of plans shows, and its axes.
pub mod plot {
    /// Along the plot.
    pub const MINUTES: &str = "minutes, rests included";
    /// Up the plot.
    pub const CLEAR: &str = "sessions with a clear answer, %";

    /// For those who cannot see it.
    pub fn says(difference_ms: f64, plans: usize) -> String {
        format!(
            "Chance of a clear answer against minutes, for {plans} plans and a true difference of \
             {difference_ms} ms."
        )
    }

    /// Above the plot.
    pub fn title(difference_ms: f64) -> String {
        format!("If the true difference is {difference_ms} ms")
    }

    /// A line's name.
    pub fn trials(trials: usize) -> String {
        format!("{trials} trials a block")
    }

    /// Under the plot.
    pub const KEY: &str = "The figure at each mark is its number of cycles.";

    /// The wish's line.
    pub fn wish(share: f64) -> String {
        format!("wished for: {:.0} %", share * 100.0)
    }
}

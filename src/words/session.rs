//! What is said around a session: where presses and pictures are timed, what a plan can show.

use super::Told;

/// Where presses come from, and why not from a better source: for the screen and the report.
pub fn input_source(chosen: &str, better: Option<(&str, &str)>) -> String {
    let from = match chosen {
        "evdev" => "Presses are stamped by the kernel.",
        "xinput" => {
            "Presses are stamped as the X server's raw events arrive (give or take 0.3 ms)."
        }
        "window" => "Presses come through the window and are coarse (give or take 5 ms).",
        "raw_input" => "Presses are stamped as raw input arrives.",
        "wayland_pointer" => "Presses are stamped by the compositor (give or take 0.3 ms).",
        _ => "Presses are stamped as they arrive.",
    };
    match better {
        Some((source, why)) => {
            format!("{from} Not by {source}: {why}. `tautline devices` says how to mend it.")
        }
        None => from.to_owned(),
    }
}

/// When a picture is taken to have been seen, and whether vsync holds.
pub fn display_source(clock: &str, sd_ms: f64, vsync: &str) -> String {
    let by = match clock {
        "present_complete" => "Pictures are timed by the X server's own report",
        "damage" => "Pictures are timed by when the X server drew them",
        "wayland_feedback" => "Pictures are timed by the compositor's report",
        "dxgi_statistics" => "Pictures are timed by the system's frame statistics",
        "present_wait" => "Pictures are timed by the driver",
        "vblank_phase" => "Pictures are timed by the display's refresh",
        _ => "When a picture was seen is an estimate",
    };
    let vsync = match vsync {
        "locked" => "Vsync holds.",
        "unlocked" => "Vsync does not hold.",
        "unsteady" => "Vsync is unsteady.",
        "variable" => "The refresh is variable.",
        _ => "Whether vsync holds cannot be told.",
    };
    format!("{by} (give or take {sd_ms:.1} ms). {vsync}")
}

/// The two sentences of the apparatus on one screen.
pub fn sources(input: &str, display: &str) -> String {
    format!("{input} {display}")
}

/// The card's one line on the apparatus: what it was is in the record, whole.
pub const fn timing(coarse: bool, changed: bool) -> &'static str {
    match (changed, coarse) {
        (true, _) => {
            "Display, mouse or computer are not what they were before; the record says what has changed."
        }
        (false, true) => {
            "Timing on this computer is coarse: small differences take more presses to show."
        }
        (false, false) => "",
    }
}

/// Holds other than light ones are not offered to this player.
pub fn light_holds_only() -> Told {
    Told {
        what: "this session asks for holds that are not light".to_owned(),
        place: None,
        mend:
            "ask a licensed clinician first; until then only protocols with light holds are offered"
                .to_owned(),
    }
}

/// A second session with firm holds is warned against.
pub const SECOND_FIRM_TODAY: &str =
    "a second session with firm holds on one day: better leave it for tomorrow";

/// A long session with firm holds is not for a player under 18.
pub fn not_under_18() -> Told {
    Told {
        what: "a long session with firm holds is not for players under 18".to_owned(),
        place: None,
        mend: "choose a shorter one, or one with light holds".to_owned(),
    }
}

/// What a re-randomisation test can tell under a design.
pub fn attainable(p: Option<f64>, confidence: f64) -> String {
    let limit = 1.0 - confidence;
    match p {
        None => "By the order alone: no randomisation test is possible with this order.".to_owned(),
        Some(p) if p <= limit => {
            format!("By the order alone: the smallest p that this plan can reach is {}.", share(p))
        }
        Some(p) => format!(
            "By the order alone: the smallest p that this plan can reach is {}, above {}; write more \
             cycles if that matters to you.",
            share(p),
            share(limit)
        ),
    }
}

/// Why nothing is said of what a plan can show.
pub fn no_outlook(measure: &str) -> String {
    format!(
        "What it can show is not simulated: how much {measure} varies from trial to trial is not \
         known here before it was measured."
    )
}

/// What a plan can show.
pub fn outlook(
    difference_ms: f64,
    clear_share: f64,
    half_width_ms: f64,
    least_gain_ms: f64,
) -> String {
    let in_ten = match (clear_share * 10.0).round() {
        n if n <= 0.0 => "fewer than 1 in 10 sessions like this give".to_owned(),
        n if n >= 10.0 => "nearly every session like this gives".to_owned(),
        1.0 => "about 1 in 10 sessions like this gives".to_owned(),
        n => format!("about {n:.0} in 10 sessions like this give"),
    };
    format!(
        "Can this plan give a clear answer? If the true difference is {difference_ms} ms, {in_ten} \
         one. A difference comes with give or take {half_width_ms:.0} ms; the least gain that matters \
         is {least_gain_ms} ms."
    )
}

/// A small share with two digits that tell something.
fn share(p: f64) -> String {
    if p < 0.001 { "under 0.001".to_owned() } else { format!("{p:.3}") }
}

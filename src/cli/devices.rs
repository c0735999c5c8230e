//! `devices`: mice and displays as the program sees them, and why not better.

use super::out::{Failure, say};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline devices          mice (for --mouse), displays (for --display), and the best source
  tautline devices --json")]
pub(super) struct Arguments {
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[cfg(feature = "window")]
pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let input = crate::input::survey();
    let displays = crate::display::survey::outputs();
    if arguments.json {
        super::out::say_json(&serde_json::json!({
            "format": 1,
            "input": input,
            "displays": displays,
        }))?;
        return Ok(ExitCode::SUCCESS);
    }
    say("mice")?;
    for mouse in &input.mice {
        say(&format!(
            "  {:<16} {} (by {})",
            mouse.info.ident,
            mouse.info.name,
            mouse.source.name()
        ))?;
    }
    if input.mice.is_empty() {
        say("  none seen")?;
    }
    say("input sources, the best first")?;
    for source in &input.sources {
        match &source.refused {
            None => say(&format!("  {:<10} can be used", source.choice.name()))?,
            Some(refused) => {
                say(&format!("  {:<10} no: {}", source.choice.name(), refused.why))?;
                say(&format!("  {:<10} {}", "", refused.mend))?;
            }
        }
    }
    say(&format!("a session would use: {}", input.chosen.name()))?;
    say("displays")?;
    if displays.is_empty() {
        say("  none told of (X11's RandR is asked)")?;
    }
    for output in &displays {
        let rate = output.rate_hz.map_or("rate not told".to_owned(), |hz| format!("{hz:.2} Hz"));
        let size =
            output.px_per_mm.map_or("size not told".to_owned(), |n| format!("{n:.2} px a mm"));
        say(&format!(
            "  {:<12} {}x{} px, {rate}, {size}{}",
            output.id,
            output.size.width,
            output.size.height,
            if output.primary { ", primary" } else { "" },
        ))?;
    }
    Ok(ExitCode::SUCCESS)
}

#[cfg(not(feature = "window"))]
pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    if arguments.json {
        let none: [&str; 0] = [];
        super::out::say_json(&serde_json::json!({ "format": 1, "input": null, "displays": none }))?;
    } else {
        say("this build has no window: it sees no mice and no displays")?;
    }
    Ok(ExitCode::SUCCESS)
}

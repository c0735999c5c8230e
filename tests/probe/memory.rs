//! How often a frame asks for memory, by thread, and for the thread that presents by who asked.
//!
//! Rust's side alone: what the driver's own C code asks for does not pass through this allocator.

use std::collections::BTreeMap;

use tautline::clock;
use tautline::display::{Screen, Seen};
use tautline::units::Span;

use crate::by_thread::{self, ByThread};
use crate::counting::{self, Counting};

#[global_allocator]
static ALLOCATOR: ByThread<Counting> = ByThread(Counting);

/// Who may have asked, by the crate that stands deepest in a trace.
const CRATES: [&str; 9] = [
    "x11rb",
    "wayland_client",
    "wayland_backend",
    "gpu_allocator",
    "wgpu_hal",
    "wgpu_core",
    "wgpu",
    "tautline",
    "display",
];
/// Every so many calls are looked at; no divisor of what a frame asks for as a rule.
const EACH: u64 = 97;

/// Counts over ten seconds of frames.
pub(crate) fn count(mut screen: Screen) {
    crate::drive(&mut screen, clock::now() + Span::from_ms(2000), |_| {});
    let before = by_thread::calls_by_name();
    let own = counting::calls();
    let frames = shown(&mut screen);
    let own = counting::calls() - own;
    let after = by_thread::calls_by_name();
    println!("| thread | calls for memory a frame, over {frames} frames |");
    println!("| --- | --- |");
    println!("| the one that presents | {:.2} |", own as f64 / frames as f64);
    for (name, calls) in after {
        let calls = calls - before.get(&name).copied().unwrap_or(0);
        println!("| {name} | {:.2} |", calls as f64 / frames as f64);
    }
    counting::trace_each(EACH);
    let traced = shown(&mut screen);
    counting::trace_each(0);
    let mut by_crate: BTreeMap<&str, u64> = BTreeMap::new();
    let mut ours: BTreeMap<String, u64> = BTreeMap::new();
    for trace in counting::take_traces() {
        let text = trace.to_string();
        let (who, line) = asked(&text);
        *by_crate.entry(who).or_default() += EACH;
        if matches!(who, "tautline" | "display") {
            *ours.entry(line.to_owned()).or_default() += EACH;
        }
    }
    println!("\n| asked by, on the thread that presents | calls a frame, by every {EACH}th |");
    println!("| --- | --- |");
    for (who, calls) in by_crate {
        println!("| {who} | {:.2} |", calls as f64 / traced as f64);
    }
    for (line, calls) in ours {
        println!("our own: {line}: {calls} in {traced} frames");
    }
    drop(screen.finish());
}

/// Frames shown in ten seconds.
fn shown(screen: &mut Screen) -> u64 {
    let mut frames = 0;
    crate::drive(screen, clock::now() + Span::from_ms(10_000), |seen| {
        frames += u64::from(matches!(seen, Seen::Shown { .. }));
    });
    frames.max(1)
}

/// The crate that called, and the line of the trace that names it.
fn asked(trace: &str) -> (&'static str, &str) {
    for line in trace.lines() {
        let Some((_, name)) = line.trim().split_once(": ") else { continue };
        let own = CRATES.iter().find(|&&of| {
            // `<wgpu_hal::vulkan::Queue as ...>` and `wgpu_hal::vulkan::...` alike.
            name.trim_start_matches(['<', '&']).strip_prefix(of).is_some_and(|rest| {
                rest.starts_with("::")
                    && !rest.starts_with("::by_thread")
                    && !rest.starts_with("::counting")
            })
        });
        if let Some(&of) = own {
            return (of, name);
        }
    }
    ("other", "")
}

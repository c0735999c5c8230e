//! What the record says of the computer and of the moment: no host, user or serial name.

use crate::clock;
use crate::record::{Machine, Start};
use crate::units::Nanos;
use sha2::{Digest, Sha256};

/// The computer.
pub fn machine() -> Machine {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    Machine { os: os(), cpu: cpu(), cores }
}

/// The moment at which a segment starts, whose monotonic reading is `at`.
pub fn start(at: Nanos) -> Start {
    let utc = clock::utc();
    Start {
        boot: boot(utc, clock::now()),
        utc,
        local_offset_s: clock::local_offset_s(utc),
        clock: at,
    }
}

fn os() -> String {
    match release() {
        Some(release) => format!("{} {release}", std::env::consts::OS),
        None => std::env::consts::OS.to_owned(),
    }
}

#[cfg(not(all(windows, feature = "window")))]
fn release() -> Option<String> {
    first_line("/proc/sys/kernel/osrelease")
}

/// Windows is named without its version; what stands in for it is another system.
#[cfg(all(windows, feature = "window"))]
fn release() -> Option<String> {
    crate::input::wine_version().map(|version| format!("(wine {version})"))
}

fn cpu() -> String {
    let text = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = text.lines().find_map(|line| line.strip_prefix("model name"));
    let model = model.map(|rest| rest.trim_start_matches([' ', '\t', ':']).to_owned());
    // Windows has no such file and tells its programs so.
    let model = model.or_else(|| std::env::var("PROCESSOR_IDENTIFIER").ok());
    model.unwrap_or_else(|| std::env::consts::ARCH.to_owned())
}

/// Equal for two segments of one start of the computer, and says nothing else: a short hash.
///
/// Where the system has no number for its start, the minute in which the monotonic clock began
/// stands for it. A wall clock that was set meanwhile makes one start look like two, never two
/// like one.
fn boot(utc: jiff::Timestamp, now: Nanos) -> String {
    const MINUTE_MS: i64 = 60_000;
    let began_ms = utc.as_millisecond() - now.0 / 1_000_000;
    let minute = (began_ms + MINUTE_MS / 2).div_euclid(MINUTE_MS);
    let id = first_line("/proc/sys/kernel/random/boot_id");
    let id = id.unwrap_or_else(|| format!("clock began at minute {minute}"));
    let digest = Sha256::digest(id.as_bytes());
    digest.iter().take(6).map(|byte| format!("{byte:02x}")).collect()
}

/// A file that some systems have and others do not: nothing where it cannot be read.
fn first_line(path: &str) -> Option<String> {
    let text = std::fs::read_to_string(path).ok()?;
    Some(text.lines().next()?.trim().to_owned())
}

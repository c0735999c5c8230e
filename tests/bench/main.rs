//! The comparison that the documents quote: the program's click times and the plain loop's, each
//! minus the robot's truth, in turn on one screen. Prints a Markdown table and judges the bars.
//!
//! Figures of different runs cannot be compared on a shared machine, so both are always played in
//! the same run, alternating. Build everything with `--release` first; time bars are for that.

#[cfg(target_os = "linux")]
mod bars;
#[cfg(target_os = "linux")]
mod figures;
#[cfg(target_os = "linux")]
mod load;
#[cfg(target_os = "linux")]
mod plain;
#[cfg(target_os = "linux")]
mod runs;
#[cfg(target_os = "linux")]
#[path = "../it/support/mod.rs"]
mod support;

#[cfg(target_os = "linux")]
fn main() -> std::process::ExitCode {
    use clap::Parser as _;
    if std::env::args().nth(1).is_some_and(|word| word == load::WORD) {
        load::be_busy();
        return std::process::ExitCode::SUCCESS;
    }
    runs::run(&runs::Options::parse())
}

#[cfg(not(target_os = "linux"))]
fn main() {}

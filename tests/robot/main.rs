//! The robot player: a process of its own that sees a program only through the X server and
//! answers what it sees a known time later, by XTEST.
//!
//! It knows nothing of the program it plays: no pipe, no file, no shared stamp. What it wrote down
//! (its truth) is compared afterwards with what the program wrote down. It runs on X11 only.

#[cfg(target_os = "linux")]
mod error;
#[cfg(target_os = "linux")]
mod eye;
#[cfg(target_os = "linux")]
mod hand;
#[cfg(target_os = "linux")]
mod places;
#[cfg(target_os = "linux")]
mod play;
#[cfg(target_os = "linux")]
mod pointing;
#[cfg(target_os = "linux")]
mod truth;

#[cfg(target_os = "linux")]
fn main() -> std::process::ExitCode {
    use clap::Parser as _;
    let options = play::Options::parse();
    match play::Player::new(options).and_then(play::Player::play) {
        Ok(watch) => {
            #[expect(clippy::print_stderr, reason = "what the robot achieved, for whoever ran it")]
            {
                eprintln!("{watch}");
            }
            std::process::ExitCode::SUCCESS
        }
        Err(error) => {
            #[expect(clippy::print_stderr, reason = "why the robot stopped")]
            {
                eprintln!("robot: {error}");
            }
            std::process::ExitCode::FAILURE
        }
    }
}

#[cfg(not(target_os = "linux"))]
fn main() {}

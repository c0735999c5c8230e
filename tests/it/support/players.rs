//! Starts the robot beside a program on one screen and waits for both.
//!
//! Each run has a time limit; a program that outlives it is ended and the run counts as failed.

use super::matching::Told;
use super::session::{self, Session};
use super::truth::{self, Seen};
use super::xserver::XServer;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tautline::clock;
use tautline::units::Span;

/// Beside the robot's truth: how closely it watched.
pub(crate) const ROBOT_SAID: &str = "robot.txt";

/// Where the built programs lie: `target/PROFILE`.
#[derive(Debug, Clone)]
pub(crate) struct Programs {
    pub(crate) folder: PathBuf,
}

impl Programs {
    /// A program built as an example.
    ///
    /// # Panics
    /// When it was not built.
    pub(crate) fn example(&self, name: &str) -> PathBuf {
        let path = self.folder.join("examples").join(name);
        assert!(path.exists(), "{} is not built: cargo build --examples", path.display());
        path
    }

    fn tautline(&self) -> PathBuf {
        self.folder.join("tautline")
    }
}

/// What the robot is to do.
#[derive(Debug, Clone)]
pub(crate) struct Play {
    /// The robot's name of the task.
    pub(crate) task: String,
    /// Seed of the program's and of the robot's draws.
    pub(crate) seed: u64,
    /// Longest time for the whole, s.
    pub(crate) at_most_s: i64,
}

/// A session that a robot played.
#[derive(Debug)]
pub(crate) struct Played {
    /// What the robot did.
    pub(crate) truth: Vec<Seen>,
    /// What the program wrote.
    pub(crate) session: Session,
}

/// Plays a whole session of `protocol` with the real program; its data lie in `folder`.
///
/// # Panics
/// When the program fails, prints no session folder, or does not end in time.
pub(crate) fn session(
    programs: &Programs,
    screen: &XServer,
    protocol: &Path,
    folder: &Path,
    play: &Play,
) -> Played {
    fs::create_dir_all(folder).expect("a folder for the data");
    let printed = folder.join("stdout.txt");
    let stdout = fs::File::create(&printed).expect("a file for what it prints");
    let mut command = on_screen(&programs.tautline(), screen);
    command.arg("run").arg(protocol).args(["--player", "robot", "--window", "1280x720"]);
    command.args(["--input", "xinput", "--seed", &play.seed.to_string()]);
    command.arg("--data").arg(folder.join("data")).stdout(stdout);
    let truth = beside(programs, screen, &mut command, &folder.join("truth.csv"), play);
    let printed = fs::read_to_string(printed).expect("what it printed");
    let session = printed.lines().next().expect("the session's folder on the first line");
    Played { truth, session: session::read(Path::new(session)) }
}

/// What a client without a session folder timed, beside the robot's truth.
#[derive(Debug)]
pub(crate) struct Timed {
    /// What the robot did.
    pub(crate) truth: Vec<Seen>,
    /// What the client wrote.
    pub(crate) told: Vec<Told>,
}

/// `program` with its window on `screen`.
pub(crate) fn on_screen(program: &Path, screen: &XServer) -> Command {
    let mut command = Command::new(program);
    // A Wayland session of whoever runs this must not draw the window away.
    command.env("DISPLAY", screen.display()).env_remove("WAYLAND_DISPLAY").stdin(Stdio::null());
    command
}

/// Runs `program` with a robot beside it; the robot's truth.
///
/// # Panics
/// When either fails or does not end in time.
pub(crate) fn beside(
    programs: &Programs,
    screen: &XServer,
    program: &mut Command,
    truth: &Path,
    play: &Play,
) -> Vec<Seen> {
    let mut child = Running::start(program, truth.with_file_name("stderr.txt"));
    let mut robot = robot(programs, screen, truth, play, child.child.id(), None);
    // Without a robot the program would wait until its limit: why is told below.
    let until = clock::now() + Span::from_s(play.at_most_s);
    while child.is_running() && !robot.has_failed() && clock::now() < until {
        clock::wait(clock::now() + Span::from_ms(50));
    }
    if !robot.has_failed() {
        let limit_s = play.at_most_s;
        assert!(clock::now() < until, "the program did not end within {limit_s} s");
        child.ended("the program", 60);
    }
    robot.ended("the robot", 30);
    truth::read(truth)
}

/// Starts the robot. It plays until the process `until` has ended or it has done all its `presses`.
///
/// # Panics
/// When it was not built.
pub(crate) fn robot(
    programs: &Programs,
    screen: &XServer,
    truth: &Path,
    play: &Play,
    until: u32,
    presses: Option<u32>,
) -> Running {
    let mut robot = Command::new(programs.example("robot"));
    robot.args(["--display", screen.display(), "--task", &play.task]);
    robot.args(["--seed", &play.seed.to_string(), "--at-most-s", &play.at_most_s.to_string()]);
    robot.args(["--until-pid-exits", &until.to_string()]).arg("--out").arg(truth);
    if let Some(presses) = presses {
        robot.args(["--presses", &presses.to_string()]);
    }
    Running::start(&mut robot, truth.with_file_name(ROBOT_SAID))
}

/// A process that does not outlive this value; what it says on stderr is kept in a file.
pub(crate) struct Running {
    child: Child,
    said: PathBuf,
}

impl Running {
    /// Starts it; what it says on stderr goes to `said`.
    ///
    /// # Panics
    /// When it does not start.
    fn start(command: &mut Command, said: PathBuf) -> Running {
        let file = fs::File::create(&said).expect("a file for what it says");
        let child = command.stderr(file).spawn();
        let child = child.unwrap_or_else(|error| panic!("{command:?} does not start: {error}"));
        Running { child, said }
    }

    fn is_running(&mut self) -> bool {
        self.child.try_wait().expect("it is our own child").is_none()
    }

    /// Whether it has come to a bad end.
    pub(crate) fn has_failed(&mut self) -> bool {
        let status = self.child.try_wait().expect("it is our own child");
        status.is_some_and(|status| !status.success())
    }

    /// Whether it runs, and what it has said.
    pub(crate) fn state(&mut self) -> String {
        let status = self.child.try_wait().expect("it is our own child");
        let runs = status.map_or_else(|| "runs".to_owned(), |status| format!("ended, {status}"));
        format!("{runs}; {}", fs::read_to_string(&self.said).expect("what it said"))
    }

    /// Waits for its end.
    ///
    /// # Panics
    /// When it failed or did not end in time.
    pub(crate) fn ended(&mut self, who: &str, within_s: i64) {
        let until = clock::now() + Span::from_s(within_s);
        let said = || fs::read_to_string(&self.said).expect("what it said");
        loop {
            if let Some(status) = self.child.try_wait().expect("it is our own child") {
                assert!(status.success(), "{who} ended with {status}:\n{}", said());
                return;
            }
            assert!(clock::now() < until, "{who} did not end within {within_s} s:\n{}", said());
            clock::wait(clock::now() + Span::from_ms(50));
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // Already ended is what is wanted: neither answer says more.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

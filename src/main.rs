//! Starts the command line and returns its exit code. No logic.

fn main() -> std::process::ExitCode {
    tautline::cli::main()
}

//! A file that another program holds for a moment is tried again.
//!
//! On Windows whoever has a file open can keep others from renaming or opening it: a scanner or an
//! indexer does so for a moment after each write, a spreadsheet for as long as it shows the sheet.
//! The first is waited for, the second told.

use std::io;
use std::time::Duration;

/// How often it is tried, and how long is waited in between: two seconds in all. Common practice, no
/// source.
const TRIES: u32 = 20;
const BETWEEN: Duration = Duration::from_millis(100);

/// Does `attempt` again while another program holds the file, for two seconds at most.
///
/// # Errors
/// What the system said at last.
pub(crate) fn patiently<T>(attempt: impl FnMut() -> io::Result<T>) -> io::Result<T> {
    tried(attempt, may_be_held, BETWEEN)
}

fn tried<T>(
    mut attempt: impl FnMut() -> io::Result<T>,
    may_be_held: impl Fn(&io::Error) -> bool,
    between: Duration,
) -> io::Result<T> {
    let mut left = TRIES;
    loop {
        left -= 1;
        match attempt() {
            Err(error) if left > 0 && may_be_held(&error) => std::thread::sleep(between),
            done => return done,
        }
    }
}

/// Whether another program may hold the file. Windows also says "access denied" where a file is
/// open, in a rename onto it; elsewhere an open file is in nobody's way.
fn may_be_held(error: &io::Error) -> bool {
    const ACCESS_DENIED: i32 = 5;
    cfg!(windows)
        && (crate::words::held_elsewhere(error).is_some()
            || error.raw_os_error() == Some(ACCESS_DENIED))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(counted: &mut u32) -> io::Error {
        *counted += 1;
        io::Error::from(io::ErrorKind::PermissionDenied)
    }

    #[test]
    fn a_file_that_is_free_again_is_taken_and_one_that_stays_held_is_told() {
        let mut counted = 0;
        let soon = tried(
            || if counted < 3 { Err(refused(&mut counted)) } else { Ok("done") },
            |_| true,
            Duration::ZERO,
        );
        assert_eq!((soon.unwrap(), counted), ("done", 3));
        let mut counted = 0;
        let never = tried(|| Err::<(), _>(refused(&mut counted)), |_| true, Duration::ZERO);
        assert_eq!(never.unwrap_err().kind(), io::ErrorKind::PermissionDenied);
        assert_eq!(counted, TRIES);
    }

    #[test]
    fn other_errors_are_not_tried_again() {
        let mut counted = 0;
        let other = tried(|| Err::<(), _>(refused(&mut counted)), |_| false, Duration::ZERO);
        assert!(other.is_err());
        assert_eq!(counted, 1);
    }
}

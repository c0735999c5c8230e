//! Waiting for descriptors, and being told when a file comes into a folder: what std has no face for.

use super::source::Ended;
use crate::units::Span;
use std::fs::File;
use std::io::{self, Read};
use std::os::fd::{AsRawFd, FromRawFd, RawFd};

/// What [`poll`] must know to wait until `file` can be read.
pub(crate) fn wait_for(file: &impl AsRawFd) -> libc::pollfd {
    libc::pollfd { fd: file.as_raw_fd(), events: libc::POLLIN, revents: 0 }
}

/// Waits until one of `waits` has something, at most `longest`.
#[expect(unsafe_code, reason = "poll has no safe face in std")]
pub(crate) fn poll(waits: &mut [libc::pollfd], longest: Span) -> Result<(), Ended> {
    let count = libc::nfds_t::try_from(waits.len()).expect("a few descriptors");
    let ms = libc::c_int::try_from(longest.0 / 1_000_000).expect("at most 20 ms");
    // SAFETY: pointer and length are those of one slice, which the kernel writes `revents` into.
    let code = unsafe { libc::poll(waits.as_mut_ptr(), count, ms) };
    if code >= 0 {
        return Ok(());
    }
    let error = io::Error::last_os_error();
    if error.kind() == io::ErrorKind::Interrupted {
        waits.iter_mut().for_each(|wait| wait.revents = 0);
        return Ok(());
    }
    Err(Ended { what: "waiting for input", detail: error.to_string() })
}

/// Can be read when a file comes into a folder or its permissions change.
#[derive(Debug)]
pub(crate) struct Watch(File);

impl Watch {
    /// `None` where the system grants none.
    #[expect(unsafe_code, reason = "inotify has no safe face in std")]
    pub(crate) fn of(folder: &str) -> Option<Watch> {
        let path = std::ffi::CString::new(folder).expect("a path of ours, without a zero byte");
        // SAFETY: takes flags only.
        let fd = unsafe { libc::inotify_init1(libc::IN_NONBLOCK | libc::IN_CLOEXEC) };
        if fd < 0 {
            return None;
        }
        // SAFETY: the descriptor was just made and belongs to nobody else.
        let file = unsafe { File::from_raw_fd(fd) };
        let wishes = libc::IN_CREATE | libc::IN_ATTRIB | libc::IN_MOVED_TO;
        // SAFETY: the descriptor is open and the path ends on a zero byte.
        let code = unsafe { libc::inotify_add_watch(fd, path.as_ptr(), wishes) };
        (code >= 0).then_some(Watch(file))
    }

    /// Empties it: the folder is looked at whole.
    pub(crate) fn forget_what_it_told(&mut self) -> Result<(), Ended> {
        let mut bytes = [0_u8; 4_096];
        loop {
            match self.0.read(&mut bytes) {
                Ok(_) => {}
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => return Ok(()),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => {
                    return Err(Ended { what: "watching for mice", detail: error.to_string() });
                }
            }
        }
    }
}

impl AsRawFd for Watch {
    fn as_raw_fd(&self) -> RawFd {
        self.0.as_raw_fd()
    }
}

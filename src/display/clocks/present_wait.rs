//! Vulkan's present_wait: a thread asks the driver to wait until a present is on the screen, and
//! stamps its own waking.
//!
//! For drivers that tell nothing else. A stamp is late by what the waking takes. Its frames have to
//! be whole refreshes apart: a driver that comes back at once, or when the picture was only taken,
//! does not tell when it was seen. Not yet run on a driver that offers it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread::JoinHandle;

use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::{self, Bell};
use crate::display::Gpu;
use crate::display::refusal::Refusal;
use crate::display::vulkan::{self, Waited, Waiter};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// A thread's waking: 0.3 ms, as for the other stamps at receipt.
const WAKE_SD: Span = Span(300_000);
/// A swapchain that is to end has to wait for so long at most.
const SLICE: Span = Span(5_000_000);
/// Without anything to wait for the thread looks so often whether it should end.
const LOOK: Span = Span(20_000_000);
/// Far more than one frame can cause.
const RING: usize = 64;

/// A present that is on the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shown {
    number: u64,
    t: Nanos,
}

/// Waits for presents on a thread of its own.
#[derive(Debug)]
pub(super) struct PresentWait {
    ring: rtrb::Consumer<Shown>,
    waiting: Option<(Armed, Option<u64>)>,
    extras: u32,
    asked: Arc<Asked>,
    wake: Bell,
    thread: Option<JoinHandle<()>>,
}

#[derive(Debug, Default)]
struct Asked {
    /// The number to wait for; 0: none.
    number: AtomicU64,
    quit: AtomicBool,
}

impl PresentWait {
    /// Where the device was opened with both extensions.
    pub(super) fn open(gpu: &Gpu, bell: Bell) -> Result<PresentWait, Refusal> {
        let not_there = |reason: String| Refusal::NotThere { reason };
        let waiter = Waiter::of(&gpu.device).ok_or_else(|| {
            not_there("the driver does not offer VK_KHR_present_id and VK_KHR_present_wait".into())
        })?;
        let (push, ring) = rtrb::RingBuffer::new(RING);
        let asked = Arc::new(Asked::default());
        let told = Arc::clone(&asked);
        let thread = std::thread::Builder::new()
            .name("present-wait".to_owned())
            .spawn(move || wait(&waiter, &told, push, &bell))
            .map_err(|source| not_there(format!("no thread to wait with: {source}")))?;
        let wake = Bell::of(thread.thread());
        Ok(PresentWait { ring, waiting: None, extras: 0, asked, wake, thread: Some(thread) })
    }
}

/// Waits for one number after the other.
fn wait(waiter: &Waiter, asked: &Asked, mut push: rtrb::Producer<Shown>, bell: &Bell) {
    let mut done = 0;
    while !asked.quit.load(Ordering::Acquire) {
        let number = asked.number.load(Ordering::Acquire);
        if number == 0 || number == done {
            clock::wait(clock::now() + LOOK);
            continue;
        }
        match waiter.wait(number, SLICE) {
            Waited::Shown => {
                let t = clock::now();
                done = number;
                // A full ring loses the newest: that frame then counts as not told of.
                if push.push(Shown { number, t }).is_ok() {
                    bell.ring();
                }
            }
            Waited::NotYet => {}
            Waited::Never => done = number,
        }
    }
}

impl PresentationClock for PresentWait {
    fn source(&self) -> StampSource {
        StampSource::PresentWait
    }

    fn nature(&self) -> Nature {
        Nature::Waking
    }

    fn sd(&self) -> Span {
        WAKE_SD
    }

    fn rings(&self) -> bool {
        true
    }

    fn armed(&mut self, armed: &Armed) {
        while self.ring.pop().is_ok() {
            self.extras += 1;
        }
        self.waiting = Some((armed.clone(), None));
    }

    fn presented(&mut self, _: Nanos) {
        // The present that was numbered last is the one that this thread has just made.
        let number = vulkan::last_present();
        if let Some((_, waited_for)) = &mut self.waiting {
            *waited_for = Some(number);
            self.asked.number.store(number, Ordering::Release);
            self.wake.ring();
        }
    }

    fn stamps(&mut self, _: &Gpu, _: Nanos) -> Option<Fate> {
        while let Ok(shown) = self.ring.pop() {
            let ours = |(_, number): &mut (Armed, Option<u64>)| *number == Some(shown.number);
            let Some((armed, _)) = self.waiting.take_if(ours) else {
                self.extras += 1;
                continue;
            };
            let stamp = Stamp { t: shown.t, source: StampSource::PresentWait, sd: WAKE_SD };
            return Some(Fate { frame: armed.frame, stamp: Some(stamp) });
        }
        None
    }

    fn extras(&mut self) -> u32 {
        std::mem::take(&mut self.extras)
    }

    fn forget(&mut self) {
        self.asked.number.store(0, Ordering::Release);
        while self.ring.pop().is_ok() {}
        self.waiting = None;
        self.extras = 0;
    }
}

impl Drop for PresentWait {
    fn drop(&mut self) {
        self.asked.quit.store(true, Ordering::Release);
        self.wake.ring();
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to end.
            drop(thread.join());
        }
    }
}

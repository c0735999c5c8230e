//! An allocator that counts for each thread, and can be asked by another: which thread asked for
//! memory, and how often, between two readings.

use std::alloc::{GlobalAlloc, Layout};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicI32, AtomicU64, AtomicUsize, Ordering};

/// More threads than a program here starts; those beyond share the last place.
const PLACES: usize = 256;

static CALLS: [AtomicU64; PLACES] = [const { AtomicU64::new(0) }; PLACES];
static THREADS: [AtomicI32; PLACES] = [const { AtomicI32::new(0) }; PLACES];
static TAKEN: AtomicUsize = AtomicUsize::new(0);

thread_local! {
    static PLACE: Cell<Option<usize>> = const { Cell::new(None) };
}

/// Another allocator, counted by thread.
pub(crate) struct ByThread<A>(pub(crate) A);

#[expect(unsafe_code, reason = "the kernel's number of a thread has no safe face in std")]
fn note() {
    let place = PLACE.try_with(|place| {
        place.get().unwrap_or_else(|| {
            let free = TAKEN.fetch_add(1, Ordering::Relaxed).min(PLACES - 1);
            // SAFETY: asks for a number; cannot fail.
            THREADS[free].store(unsafe { libc::gettid() }, Ordering::Relaxed);
            place.set(Some(free));
            free
        })
    });
    // A thread that is ending is not counted any more.
    if let Ok(place) = place {
        CALLS[place].fetch_add(1, Ordering::Relaxed);
    }
}

/// Calls for memory so far, by the names of the threads that are alive (some share a name).
pub(crate) fn calls_by_name() -> BTreeMap<String, u64> {
    let mut by_name = BTreeMap::new();
    for (thread, calls) in THREADS.iter().zip(&CALLS) {
        let number = thread.load(Ordering::Relaxed);
        if let Ok(name) = std::fs::read_to_string(format!("/proc/self/task/{number}/comm")) {
            *by_name.entry(name.trim().to_owned()).or_default() += calls.load(Ordering::Relaxed);
        }
    }
    by_name
}

#[expect(unsafe_code, reason = "an allocator is unsafe by its nature")]
// SAFETY: every call goes to the other allocator with what it was given; counting beside it asks for
// no memory.
unsafe impl<A: GlobalAlloc> GlobalAlloc for ByThread<A> {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        note();
        // SAFETY: as the caller promises.
        unsafe { self.0.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        note();
        // SAFETY: as the caller promises.
        unsafe { self.0.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        // SAFETY: as the caller promises.
        unsafe { self.0.dealloc(at, layout) }
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        note();
        // SAFETY: as the caller promises.
        unsafe { self.0.realloc(at, layout, size) }
    }
}

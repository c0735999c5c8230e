//! An allocator that counts, for each thread apart, and can tell from where.
//!
//! Numbers are of the calling thread alone, so that what other threads do changes nothing. Where the
//! calls are traced, what the tracing itself allocates is not counted.

use std::alloc::{GlobalAlloc, Layout, System};
use std::backtrace::Backtrace;
use std::cell::{Cell, RefCell};

/// The system's allocator, counted.
pub(crate) struct Counting;

thread_local! {
    static CALLS: Cell<u64> = const { Cell::new(0) };
    static LIVE: Cell<i64> = const { Cell::new(0) };
    static TRACED: Cell<u64> = const { Cell::new(0) };
    static BUSY: Cell<bool> = const { Cell::new(false) };
    static TRACES: RefCell<Vec<Backtrace>> = const { RefCell::new(Vec::new()) };
}

/// Calls for memory by this thread since it started: new pieces, and pieces that were made larger.
pub(crate) fn calls() -> u64 {
    CALLS.get()
}

/// Bytes that this thread holds: asked for and not given back by it. What another thread gives back
/// for it still counts.
pub(crate) fn live_bytes() -> i64 {
    LIVE.get()
}

/// Keeps from where each `nth` call comes; 0: from none. Looking back takes its time, so that a
/// program which is timed stands only a few.
pub(crate) fn trace_each(nth: u64) {
    TRACED.set(nth);
}

/// What was kept.
pub(crate) fn take_traces() -> Vec<Backtrace> {
    TRACES.take()
}

fn note() {
    // A thread that is ending has no cells any more, and nobody asks it.
    let busy = BUSY.try_with(|busy| busy.replace(true)).unwrap_or(true);
    if busy {
        return;
    }
    let calls = CALLS.try_with(|calls| {
        calls.set(calls.get() + 1);
        calls.get()
    });
    let nth = TRACED.try_with(Cell::get);
    if let (Ok(calls), Ok(nth @ 1..)) = (calls, nth)
        && calls.is_multiple_of(nth)
    {
        let trace = Backtrace::force_capture();
        let _ending = TRACES.try_with(|traces| traces.borrow_mut().push(trace));
    }
    let _ending = BUSY.try_with(|busy| busy.set(false));
}

/// Counts bytes that came, or went.
fn hold(before: usize, after: usize) {
    let more = i64::try_from(after).unwrap_or(0) - i64::try_from(before).unwrap_or(0);
    let _ending = LIVE.try_with(|live| live.set(live.get() + more));
}

#[expect(unsafe_code, reason = "an allocator is unsafe by its nature")]
// SAFETY: every call goes to the system's allocator with what it was given; counting beside it uses
// cells of this thread that need no memory themselves.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        note();
        hold(0, layout.size());
        // SAFETY: as the caller promises.
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        note();
        hold(0, layout.size());
        // SAFETY: as the caller promises.
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        hold(layout.size(), 0);
        // SAFETY: as the caller promises.
        unsafe { System.dealloc(at, layout) }
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        note();
        hold(layout.size(), size);
        // SAFETY: as the caller promises.
        unsafe { System.realloc(at, layout, size) }
    }
}

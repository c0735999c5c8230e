//! Other work beside the comparison: a busy process on each core, so that the stamps are tried
//! where threads wake late.

use std::io::Read;
use std::process::{Child, Command, Stdio};

/// The word that makes this program a busy process instead of the bench.
pub(crate) const WORD: &str = "be-busy";

/// Busy processes; they end with this value, and by themselves should the bench die.
pub(crate) struct Load {
    busy: Vec<Child>,
}

impl Load {
    /// One a core.
    pub(crate) fn on_each_core() -> Load {
        let cores = std::thread::available_parallelism().expect("the system tells its cores").get();
        let own = std::env::current_exe().expect("the system tells where this program lies");
        let busy = (0..cores).map(|_| {
            Command::new(&own).arg(WORD).stdin(Stdio::piped()).spawn().expect("a busy process")
        });
        Load { busy: busy.collect() }
    }

    /// How many.
    pub(crate) fn processes(&self) -> usize {
        self.busy.len()
    }
}

impl Drop for Load {
    fn drop(&mut self) {
        for child in &mut self.busy {
            // Its end is what is wanted: an error says that it has ended already.
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

/// Spins until the other end of the standard input is gone.
pub(crate) fn be_busy() {
    let spin = || {
        let mut number = 1u64;
        loop {
            number = std::hint::black_box(number.wrapping_mul(6_364_136_223_846_793_005) | 1);
        }
    };
    let busy = std::thread::Builder::new().name("busy".to_owned()).spawn(spin);
    drop(busy.expect("a thread"));
    // Nothing is ever written; an error is an end as well.
    let _ = std::io::stdin().read_to_end(&mut Vec::new());
}

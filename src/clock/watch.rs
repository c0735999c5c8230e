//! Notices that a thread stood still, or that the clock did: pure, the readings come in.
//!
//! Knows no session: who watches decides what a stall means. Invariant: what was planned (a sleep) is
//! no stall, however long.

use crate::units::{Nanos, Span};

/// Watches one thread, which tells it of every turn and of how long it means to sleep.
#[derive(Debug, Clone)]
pub struct StallWatch {
    limit: Span,
    /// When the next turn is due at the latest; `None` while nothing is watched.
    due: Option<Nanos>,
}

impl StallWatch {
    /// Stalls up to `limit` are let pass.
    pub const fn new(limit: Span) -> StallWatch {
        StallWatch { limit, due: None }
    }

    /// The thread is awake at `now`: by how much it is late, if that is more than the limit. From here
    /// on it works, and is due again at once.
    pub fn awake(&mut self, now: Nanos) -> Option<Span> {
        let due = self.due.replace(now)?;
        let late = now - due;
        (late > self.limit).then_some(late)
    }

    /// The thread goes to sleep until `until` at the latest.
    pub fn sleeps(&mut self, until: Nanos) {
        self.due = self.due.map(|due| due.max(until));
    }

    /// What passes from here to the next turn is nobody's fault.
    pub fn rest(&mut self) {
        self.due = None;
    }
}

/// Watches a clock that stands still while the machine is suspended against one that does not.
#[derive(Debug, Clone)]
pub struct JumpWatch {
    limit: Span,
    ahead: Option<Span>,
}

impl JumpWatch {
    /// Differences up to `limit` are the readings' own.
    pub const fn new(limit: Span) -> JumpWatch {
        JumpWatch { limit, ahead: None }
    }

    /// The watched clock is `ahead` of the other now (`None`: there is no other here): how far it
    /// has jumped since the last look, if it has.
    pub fn look(&mut self, ahead: Option<Span>) -> Option<Span> {
        let ahead = ahead?;
        let before = self.ahead.replace(ahead)?;
        let by = before - ahead;
        (by.max(-by) > self.limit).then_some(by)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MS: i64 = 1_000_000;

    fn at(ms: i64) -> Nanos {
        Nanos(ms * MS)
    }

    #[test]
    fn a_planned_sleep_is_no_stall_and_a_late_waking_is() {
        let mut watch = StallWatch::new(Span::from_ms(100));
        assert_eq!(watch.awake(at(5_000)), None, "nothing came before");
        watch.sleeps(at(5_500));
        assert_eq!(watch.awake(at(5_600)), None, "late by the limit");
        watch.sleeps(at(5_620));
        assert_eq!(watch.awake(at(5_721)), Some(Span::from_ms(101)));
        assert_eq!(watch.awake(at(5_722)), None, "told once");
    }

    #[test]
    fn work_that_takes_too_long_is_a_stall_and_a_rest_is_none() {
        let mut watch = StallWatch::new(Span::from_ms(100));
        watch.awake(at(0));
        // No sleep in between.
        assert_eq!(watch.awake(at(130)), Some(Span::from_ms(130)));
        watch.rest();
        assert_eq!(watch.awake(at(9_000)), None);
        // A bell may wake it long before the sleep's end.
        watch.sleeps(at(9_500));
        assert_eq!(watch.awake(at(9_001)), None);
        assert_eq!(watch.awake(at(9_050)), None);
    }

    #[test]
    fn a_suspend_is_told_once_with_its_length() {
        let mut watch = JumpWatch::new(Span::from_ms(50));
        let mut look = |ms| watch.look(Some(Span::from_ms(ms)));
        assert_eq!(look(0), None);
        // Readings wander by parts of a millisecond.
        assert_eq!(look(-1), None);
        // Seven seconds that the monotonic clock did not count.
        assert_eq!(look(-7_001), Some(Span::from_ms(7_000)));
        assert_eq!(look(-7_001), None);
        assert_eq!(watch.look(None), None, "no such clock");
    }
}

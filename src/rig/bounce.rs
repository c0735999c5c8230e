//! Whether a click closes its switch once: presses that follow a release too soon to be a finger's.
//!
//! Pure: moments in, counts out. What the mouse's own firmware holds back to hide a bounce cannot
//! be seen from here.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::analysis::proportion;
use crate::units::{Button, Nanos, Span};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// A press sooner than this after the release before is no finger's. Common practice, no source:
/// the fastest fingers tap some ten times a second, which leaves about this long between contacts.
pub const CHATTER: Span = Span::from_ms(50);
/// Fewer clicks say nothing about a switch that bounces now and then. Common practice, no source.
pub const FEWEST_CLICKS: usize = 10;

/// A button went down or up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Edge {
    /// When.
    pub t: Nanos,
    /// Which.
    pub button: Button,
    /// Down, or up.
    pub down: bool,
}

/// The clicks, judged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Clicks {
    /// Clicks of a finger: presses that are no bounce.
    pub clicks: usize,
    /// Presses that came too soon after a release.
    pub bounces: usize,
    /// Bounces a click, upper end of a 95 % interval (Wilson), 0 to 1.
    pub at_most_share: f64,
    /// Shortest time between a release and the next press, ms.
    pub shortest_open_ms: Option<f64>,
    /// Shortest time that the switch stayed closed, ms.
    pub shortest_closed_ms: Option<f64>,
}

/// Judges the edges of all buttons of one mouse, in order of time; `None` without a press.
pub fn judge(edges: &[Edge]) -> Option<Clicks> {
    let (mut clicks, mut bounces) = (0, 0);
    let mut open: Option<Span> = None;
    let mut closed: Option<Span> = None;
    let shorter = |before: Option<Span>, now: Span| {
        Some(before.map_or(now, |before| if now.0 < before.0 { now } else { before }))
    };
    for (index, edge) in edges.iter().enumerate() {
        let before = edges[..index].iter().rev().find(|other| other.button == edge.button);
        let since = before.map(|before| (edge.t - before.t, before.down));
        match (edge.down, since) {
            (true, Some((since, false))) => {
                open = shorter(open, since);
                if since.0 < CHATTER.0 {
                    bounces += 1;
                } else {
                    clicks += 1;
                }
            }
            // The release before it was not heard: a click all the same.
            (true, Some((_, true)) | None) => clicks += 1,
            (false, Some((since, true))) => closed = shorter(closed, since),
            (false, Some((_, false)) | None) => {}
        }
    }
    if clicks == 0 {
        return None;
    }
    let at_most = proportion::wilson(bounces.min(clicks), clicks, 0.95);
    Some(Clicks {
        clicks,
        bounces,
        at_most_share: at_most.map_or(1.0, |interval| interval.high),
        shortest_open_ms: open.map(Span::ms),
        shortest_closed_ms: closed.map(Span::ms),
    })
}

/// What the clicks mean.
pub fn finding(clicks: Option<Clicks>) -> Finding {
    let topic = Topic::Bounce;
    match clicks {
        Some(Clicks { clicks, bounces, .. }) if bounces > 0 => Finding {
            topic,
            grade: Grade::Mend,
            what: words::bounces(bounces, clicks),
            matters: Matters::Trials,
            mend: Some(words::bounces_mend().to_owned()),
        },
        Some(Clicks { clicks, at_most_share, .. }) if clicks >= FEWEST_CLICKS => {
            Finding::good(topic, words::no_bounces(clicks, at_most_share), Matters::No)
        }
        few => {
            let clicks = few.map_or(0, |few| few.clicks);
            let mend = words::clicks_again(FEWEST_CLICKS);
            Finding::not_told(topic, words::too_few_clicks(clicks), Some(mend))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edges(list: &[(i64, bool)]) -> Vec<Edge> {
        let edge = |&(ms, down)| Edge { t: Nanos(ms * 1_000_000), button: Button::Left, down };
        list.iter().map(edge).collect()
    }

    /// `n` clean clicks, 300 ms apart, 80 ms long.
    fn clean(n: i64) -> Vec<(i64, bool)> {
        (0..n).flat_map(|k| [(k * 300, true), (k * 300 + 80, false)]).collect()
    }

    #[test]
    fn clean_clicks_are_clean() {
        let judged = judge(&edges(&clean(20))).unwrap();
        assert_eq!((judged.clicks, judged.bounces), (20, 0));
        assert_eq!(judged.shortest_open_ms, Some(220.0));
        assert_eq!(judged.shortest_closed_ms, Some(80.0));
        // Wilson, 0 of 20: 0.1611 (Newcombe 1998, table I, as in `proportion`).
        assert!((judged.at_most_share - 0.1611).abs() < 1e-3);
        assert_eq!(finding(Some(judged)).grade, Grade::Good);
    }

    #[test]
    fn a_bounce_at_the_press_and_one_at_the_release_are_counted() {
        let mut list = clean(10);
        // Contact opens for 2 ms just after the press, and closes once more after the release.
        list.extend([(3000, true), (3004, false), (3006, true), (3080, false)]);
        list.extend([(3600, true), (3680, false), (3690, true), (3693, false)]);
        let judged = judge(&edges(&list)).unwrap();
        assert_eq!((judged.clicks, judged.bounces), (12, 2));
        assert_eq!(judged.shortest_open_ms, Some(2.0));
        let told = finding(Some(judged));
        assert_eq!((told.grade, told.matters), (Grade::Mend, Matters::Trials));
    }

    #[test]
    fn quick_tapping_is_no_bounce_and_the_limit_is_50_ms() {
        // Ten taps a second: 45 ms closed, 55 ms open.
        let taps: Vec<_> = (0..20).flat_map(|k| [(k * 100, true), (k * 100 + 45, false)]).collect();
        assert_eq!(judge(&edges(&taps)).unwrap().bounces, 0);
        let at = |open: i64| judge(&edges(&[(0, true), (50, false), (50 + open, true)])).unwrap();
        assert_eq!((at(50).bounces, at(49).bounces), (0, 1));
    }

    #[test]
    fn buttons_do_not_bounce_into_each_other() {
        let mut both = edges(&clean(2));
        both.push(Edge { t: Nanos(385_000_000), button: Button::Right, down: true });
        assert_eq!(judge(&both).unwrap().bounces, 0);
    }

    #[test]
    fn few_clicks_or_none_are_not_judged() {
        assert_eq!(judge(&[]), None);
        assert_eq!(finding(None).grade, Grade::NotTold);
        assert_eq!(finding(judge(&edges(&clean(3)))).grade, Grade::NotTold);
    }
}

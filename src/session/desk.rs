//! The one door between the runner and the world, real or virtual.
//!
//! A desk is a merged, non-blocking source of events with a surface to show scenes on and someone
//! who answers questions. The runner asks nothing else of it.

use crate::engine::{AskFor, Event};
use crate::scene::Scene;
use crate::units::Nanos;

/// A screen, a hand and a questionnaire.
pub trait Desk {
    /// Now, on the desk's own clock.
    fn now(&self) -> Nanos;

    /// Shows `scene` from the next frame on, again and again, until told otherwise. Each frame is
    /// answered by [`Event::Shown`] or [`Event::NotShown`] with the scene's id.
    fn show(&mut self, scene: Scene);

    /// Hands the surface to an untimed screen; its answer comes as [`Event::Answered`].
    fn ask(&mut self, ask: &AskFor);

    /// The next event, waiting at most until `until`; [`Event::Tick`] when nothing came by then.
    /// Even without `until` a tick comes at least each 20 ms; a moment that has passed (something
    /// still has to settle) gives a tick a millisecond after the last one, so that time goes on.
    fn next(&mut self, until: Option<Nanos>) -> Event;

    /// What the display reports of itself, where that has changed since the last call (at first:
    /// since the record was opened). Asked at the end of a block and of the session.
    fn display_changed(&mut self) -> Option<serde_json::Value> {
        None
    }

    /// What the input has counted so far and the record is to have, by its name there. Asked when
    /// the display is.
    fn input_counted(&mut self) -> Option<(&'static str, serde_json::Value)> {
        None
    }
}

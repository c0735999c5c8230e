//! Numbers the scenes of a session and keeps the one that is waiting to be shown.

use crate::scene::{Marks, Notice, Place, Scene, SceneId};

/// Gives each new picture its number; the latest not yet handed out replaces an older one, since
/// only the newest is worth a frame.
#[derive(Debug, Clone, Default)]
pub(super) struct Scenes {
    last: u64,
    waiting: Option<Scene>,
}

impl Scenes {
    /// A new picture of marks.
    pub(super) fn show(&mut self, marks: Marks, view: Option<Place>) -> SceneId {
        self.put(marks, None, view)
    }

    /// The empty field with a word on it, or with none.
    pub(super) fn field(&mut self, notice: Option<Notice>) -> SceneId {
        self.put(Marks::NONE, notice, None)
    }

    /// The picture that has not been handed out yet.
    pub(super) fn take(&mut self) -> Option<Scene> {
        self.waiting.take()
    }

    fn put(&mut self, marks: Marks, notice: Option<Notice>, view: Option<Place>) -> SceneId {
        self.last += 1;
        let id = SceneId(self.last);
        self.waiting = Some(Scene { id, marks, notice, view });
        id
    }
}

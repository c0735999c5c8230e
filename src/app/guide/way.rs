//! The way through: which page comes next, and which one Back leads to.
//!
//! Pure: no page is drawn here and no file is known. Going back never loses what was typed, since
//! the draft does not stand here.

/// A page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Place {
    /// The short caution.
    Caution,
    /// Ten unscored presses, to feel the task.
    Feel,
    /// What do you want to know?
    Question,
    /// Who plays.
    Player,
    /// The questions and the player's own agreement.
    Agreement,
    /// The apparatus.
    Rig,
    /// The holds that are compared.
    Holds,
    /// A short timed practice of one hold.
    Practice,
    /// Minutes, and what the plan can show.
    Plan,
    /// What was found.
    Findings,
    /// Ways to show it to others.
    Show,
    /// A player's sessions over weeks.
    History,
    /// Times measured elsewhere.
    Tables,
    /// Settings.
    Settings,
}

/// What the next page depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Known {
    /// The caution was read, in this run or an earlier one.
    pub(super) caution_read: bool,
    /// The player chosen has agreed on screen, in this run or before an earlier session.
    pub(super) agreed: bool,
    /// The rig was checked as it is now.
    pub(super) rig_checked: bool,
}

/// Where the player is, and the pages that led there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Way {
    trail: Vec<Place>,
}

impl Way {
    /// The first page.
    pub(super) fn new(known: &Known) -> Way {
        let first = if known.caution_read { Place::Question } else { Place::Caution };
        Way { trail: vec![first] }
    }

    /// The page on show.
    pub(super) fn here(&self) -> Place {
        self.trail.last().copied().unwrap_or(Place::Question)
    }

    /// Whether a table dropped on the window is taken: not before the caution was passed.
    pub(super) fn takes_tables(&self) -> bool {
        !matches!(self.here(), Place::Caution | Place::Feel | Place::Agreement)
    }

    /// Whether there is a page to go back to.
    pub(super) fn can_go_back(&self) -> bool {
        self.trail.len() > 1
    }

    /// Whether the page on show was come to from `place`.
    pub(super) fn led_by(&self, place: Place) -> bool {
        let before = self.trail.len().checked_sub(2).and_then(|at| self.trail.get(at));
        before == Some(&place)
    }

    /// Back to the page before.
    pub(super) fn back(&mut self) {
        if self.can_go_back() {
            self.trail.pop();
        }
    }

    /// To `place`. A page that is on the trail already is gone back to, so that the trail never
    /// holds one twice.
    pub(super) fn go(&mut self, place: Place) {
        if let Some(at) = self.trail.iter().position(|passed| *passed == place) {
            self.trail.truncate(at + 1);
        } else {
            self.trail.push(place);
        }
    }

    /// Takes a page that is done for good off the trail: Back does not lead there again.
    pub(super) fn leave_out(&mut self, place: Place) {
        if self.can_go_back() {
            self.trail.retain(|passed| *passed != place);
        }
    }

    /// To the next page of the guided way, if there is one.
    pub(super) fn on(&mut self, known: &Known) {
        if let Some(place) = next(self.here(), known) {
            self.go(place);
        }
    }

    /// After a session: its findings, and from there back to the questions.
    pub(super) fn after_session(&mut self) {
        self.trail = vec![Place::Question, Place::Findings];
    }

    /// After a session that was stopped: the sessions, where it can be taken up again.
    pub(super) fn after_stop(&mut self) {
        self.trail = vec![Place::Question, Place::History];
    }

    /// To the questions, where the way starts.
    pub(super) fn home(&mut self) {
        self.trail = vec![Place::Question];
    }
}

/// The next page of the guided way. The plan is its last page before the session itself.
pub(super) const fn next(here: Place, known: &Known) -> Option<Place> {
    match here {
        Place::Caution => Some(Place::Feel),
        Place::Feel => Some(Place::Question),
        Place::Question => Some(Place::Player),
        Place::Player if !known.agreed => Some(Place::Agreement),
        Place::Player | Place::Agreement if !known.rig_checked => Some(Place::Rig),
        Place::Player | Place::Agreement | Place::Rig => Some(Place::Holds),
        Place::Holds => Some(Place::Plan),
        Place::Practice => Some(Place::Holds),
        Place::Findings => Some(Place::History),
        Place::Plan | Place::Show | Place::History | Place::Tables | Place::Settings => None,
    }
}

/// How many steps the guided way has, session and findings included.
pub(super) const STEPS: usize = 7;

/// The step that a page belongs to, from 1; none beside the way.
pub(super) const fn step(place: Place) -> Option<usize> {
    match place {
        Place::Question => Some(1),
        Place::Player | Place::Agreement => Some(2),
        Place::Rig => Some(3),
        Place::Holds | Place::Practice => Some(4),
        Place::Plan => Some(5),
        // 6 is the session.
        Place::Findings => Some(7),
        Place::Caution
        | Place::Feel
        | Place::Show
        | Place::History
        | Place::Tables
        | Place::Settings => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Known, Place, Way, next, step};

    /// Every page.
    const ALL: [Place; 14] = [
        Place::Caution,
        Place::Feel,
        Place::Question,
        Place::Player,
        Place::Agreement,
        Place::Rig,
        Place::Holds,
        Place::Practice,
        Place::Plan,
        Place::Findings,
        Place::Show,
        Place::History,
        Place::Tables,
        Place::Settings,
    ];

    fn walk(known: &Known) -> Vec<Place> {
        let mut way = Way::new(known);
        let mut seen = vec![way.here()];
        while next(way.here(), known).is_some() {
            way.on(known);
            seen.push(way.here());
            assert!(seen.len() < 20, "the way does not end: {seen:?}");
        }
        seen
    }

    #[test]
    fn the_first_time_every_step_comes() {
        use Place::{Agreement, Caution, Feel, Holds, Plan, Player, Question, Rig};
        let first = walk(&Known::default());
        assert_eq!(first, [Caution, Feel, Question, Player, Agreement, Rig, Holds, Plan]);
        let known = Known { caution_read: true, agreed: true, rig_checked: true };
        assert_eq!(walk(&known), [Question, Player, Holds, Plan]);
    }

    #[test]
    fn back_undoes_every_step_and_stops_at_the_first_page() {
        let known = Known::default();
        let mut way = Way::new(&known);
        let seen = walk(&known);
        for _ in 1..seen.len() {
            way.on(&known);
        }
        for place in seen.iter().rev() {
            assert_eq!(way.here(), *place);
            way.back();
        }
        assert_eq!((way.here(), way.can_go_back()), (Place::Caution, false));
    }

    #[test]
    fn no_page_is_twice_on_the_trail_wherever_one_goes() {
        let mut way = Way::new(&Known { caution_read: true, ..Known::default() });
        for first in ALL {
            for second in ALL {
                way.go(first);
                way.go(second);
                let mut back = 0;
                while way.can_go_back() {
                    way.back();
                    back += 1;
                }
                assert!(back <= ALL.len());
                assert_eq!(way.here(), Place::Question);
            }
        }
    }

    #[test]
    fn an_agreement_that_was_given_is_not_asked_on_the_way_back() {
        let mut way = Way::new(&Known::default());
        for place in [Place::Question, Place::Player, Place::Agreement] {
            way.go(place);
        }
        way.leave_out(Place::Agreement);
        way.on(&Known { agreed: true, ..Known::default() });
        assert_eq!(way.here(), Place::Rig);
        way.back();
        assert_eq!(way.here(), Place::Player);
    }

    #[test]
    fn after_a_session_back_leads_to_the_questions() {
        let mut way = Way::new(&Known::default());
        way.go(Place::Plan);
        way.after_session();
        assert_eq!((way.here(), step(way.here())), (Place::Findings, Some(7)));
        way.back();
        assert_eq!(way.here(), Place::Question);
    }
}

//! What the player has chosen and typed on the way: the question, the holds, the plan.
//!
//! Values alone. A question is a protocol, shipped or made here; as long as nothing in it is
//! changed, its file is kept word for word, and a changed one is written anew and goes through the
//! same checker as every other file.

use super::told;
use crate::protocol::{
    self, Condition, Grip, Order, Protocol, ProtocolError, Tension, shipped, williams_rows,
};
use crate::sitting::Source;
use crate::words::guide as words;

/// Most holds in one plan: each takes its own blocks, and more make a session that nobody finishes.
pub(super) const MOST_HOLDS: usize = 4;

/// A question that can be chosen.
#[derive(Debug, Clone)]
pub(super) struct Question {
    /// Its protocol and file.
    pub(super) source: Source,
    /// Whether it was made here.
    pub(super) own: bool,
}

/// The shipped questions.
pub(super) fn shipped_questions() -> Vec<Question> {
    let read = |shipped: &shipped::Shipped| {
        let protocol = protocol::read(shipped.text, shipped.id).ok()?;
        let source = Source { protocol, text: shipped.text.to_owned() };
        Some(Question { source, own: false })
    };
    shipped::shipped().iter().filter_map(read).collect()
}

/// A plan on its way.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    /// The question it began with.
    from: Source,
    /// The protocol as it is now.
    pub(super) protocol: Protocol,
}

impl Draft {
    /// The question as it is, its target as strong as `contrast_share` where that is set.
    pub(super) fn new(from: Source, contrast_share: Option<f64>) -> Draft {
        let mut protocol = from.protocol.clone();
        if let Some(share) = contrast_share {
            protocol.stimulus.contrast_share = share;
        }
        Draft { from, protocol }
    }

    /// Whether it differs from the question it began with.
    pub(super) fn changed(&self) -> bool {
        self.protocol != self.from.protocol
    }

    /// Whether it began with this very question.
    pub(super) fn began_with(&self, source: &Source) -> bool {
        self.from.text == source.text
    }

    /// Id of the question it began with.
    pub(super) fn began_as(&self) -> &str {
        &self.from.protocol.id
    }

    /// The protocol with its file; a changed one under an id that no other in `taken` has.
    ///
    /// # Errors
    /// What the checker finds in a changed one.
    pub(super) fn source(
        &self,
        taken: impl Fn(&str) -> bool,
    ) -> Result<Source, Vec<ProtocolError>> {
        if !self.changed() {
            return Ok(self.from.clone());
        }
        let mut protocol = self.protocol.clone();
        let stem = self.from.protocol.id.split("-own-").next().unwrap_or_default();
        let mut number = 1;
        protocol.id = loop {
            let id = format!("{stem}-own-{number}");
            if !taken(&id) {
                break id;
            }
            number += 1;
        };
        let text = protocol::write(&protocol);
        let protocol = protocol::read(&text, &format!("{}.toml", protocol.id))?;
        Ok(Source { protocol, text })
    }

    /// What the checker finds in it as it is now.
    pub(super) fn faults(&self) -> Vec<ProtocolError> {
        let text = protocol::write(&self.protocol);
        protocol::read(&text, words::THIS_PLAN).err().unwrap_or_default()
    }

    /// Sets grip and tension of the hold `index`; its words follow unless they were the player's own.
    pub(super) fn set_hold(&mut self, index: usize, grip: Grip, tension: Tension) {
        let was_reference = self.protocol.reference() == index;
        let Some(condition) = self.protocol.conditions.get_mut(index) else { return };
        if (condition.grip, condition.tension) == (grip, tension) {
            return;
        }
        let usual = told::say(condition.tension);
        let shipped = self.from.protocol.conditions.iter().any(|c| c.say == condition.say);
        if condition.say == usual || shipped || condition.say.trim().is_empty() {
            condition.say = told::say(tension).to_owned();
        }
        (condition.grip, condition.tension) = (grip, tension);
        self.name_hold(index);
        if was_reference {
            self.compare_with(index);
        }
    }

    /// Makes the hold `index` the one that the others are compared with.
    pub(super) fn compare_with(&mut self, index: usize) {
        if let Some(condition) = self.protocol.conditions.get(index) {
            self.protocol.design.reference.clone_from(&condition.id);
        }
    }

    /// Adds a hold that none of the others is, light first.
    pub(super) fn add_hold(&mut self) {
        if self.protocol.conditions.len() >= MOST_HOLDS {
            return;
        }
        let known = &self.protocol.conditions;
        let free = [Tension::Light, Tension::Shaped, Tension::Firm]
            .into_iter()
            .flat_map(|tension| {
                [Grip::Claw, Grip::Palm, Grip::Fingertip].map(|grip| (grip, tension))
            })
            .find(|(grip, tension)| {
                !known.iter().any(|c| (c.grip, c.tension) == (*grip, *tension))
            });
        let (grip, tension) = free.unwrap_or((Grip::Mixed, Tension::Light));
        let say = told::say(tension).to_owned();
        self.protocol.conditions.push(Condition { id: String::new(), grip, tension, say });
        self.name_hold(self.protocol.conditions.len() - 1);
        self.fit_order();
    }

    /// Takes the hold `index` out; two stay.
    pub(super) fn remove_hold(&mut self, index: usize) {
        let conditions = &mut self.protocol.conditions;
        if conditions.len() <= 2 || index >= conditions.len() {
            return;
        }
        conditions.remove(index);
        if !conditions.iter().any(|c| c.id == self.protocol.design.reference) {
            self.compare_with(0);
        }
        self.fit_order();
    }

    /// Makes every hold light. Holds that would then be the same get other grips.
    pub(super) fn all_light(&mut self) {
        let grips = [Grip::Claw, Grip::Palm, Grip::Fingertip, Grip::Mixed];
        for index in 0..self.protocol.conditions.len() {
            let grip = self.protocol.conditions[index].grip;
            let used =
                |grip: Grip| self.protocol.conditions[..index].iter().any(|c| c.grip == grip);
            let grip = if used(grip) { grips.into_iter().find(|g| !used(*g)) } else { Some(grip) };
            if let Some(grip) = grip {
                self.set_hold(index, grip, Tension::Light);
            }
        }
    }

    /// How far apart the cycles are that the order allows: whole Williams sets, pairs of mirrored
    /// cycles.
    pub(super) fn cycles_step(&self) -> usize {
        match self.protocol.design.order {
            Order::Williams => williams_rows(self.protocol.conditions.len()).len(),
            Order::Mirrored => 2,
            Order::Shuffled | Order::Fixed => 1,
        }
    }

    /// Sets the cycles, rounded to what the order allows.
    pub(super) fn set_cycles(&mut self, cycles: usize) {
        let step = self.cycles_step().max(1);
        let sets = (cycles + step / 2) / step;
        self.protocol.design.cycles = sets.max(1) * step;
        self.fit_break();
    }

    /// Two holds are shuffled, more use Williams sets where a set fits.
    fn fit_order(&mut self) {
        self.protocol.design.order =
            if self.protocol.conditions.len() == 2 { Order::Shuffled } else { Order::Williams };
        self.set_cycles(self.protocol.design.cycles);
    }

    /// A standing break after the last block would never come.
    fn fit_break(&mut self) {
        let blocks = self.protocol.design.cycles * self.protocol.conditions.len();
        if self.protocol.rest.standing_break.is_some_and(|b| b.after_block >= blocks) {
            self.protocol.rest.standing_break = None;
        }
    }

    fn name_hold(&mut self, index: usize) {
        let conditions = &self.protocol.conditions;
        let Some(condition) = conditions.get(index) else { return };
        let stem = told::hold_id(condition.grip, condition.tension);
        let taken =
            |id: &str| conditions.iter().enumerate().any(|(other, c)| other != index && c.id == id);
        let mut id = stem.clone();
        let mut number = 2;
        while taken(&id) {
            id = format!("{stem}-{number}");
            number += 1;
        }
        self.protocol.conditions[index].id = id;
    }
}

#[cfg(test)]
mod tests {
    use super::{Draft, MOST_HOLDS, shipped_questions};
    use crate::protocol::{self, Grip, Tension, shipped};

    fn drafts() -> impl Iterator<Item = Draft> {
        shipped_questions().into_iter().map(|question| Draft::new(question.source, None))
    }

    #[test]
    fn every_shipped_protocol_is_a_question_and_stays_word_for_word() {
        assert_eq!(drafts().count(), shipped::shipped().len());
        for (draft, shipped) in drafts().zip(shipped::shipped()) {
            assert!(!draft.changed());
            assert_eq!(draft.source(|_| false).unwrap().text, shipped.text);
        }
    }

    /// What was made on screen passes the checker and comes back from its file.
    #[test]
    fn holds_changed_on_screen_make_a_file_that_reads_back() {
        for mut draft in drafts() {
            let holds = draft.protocol.conditions.len();
            draft.set_hold(0, Grip::Palm, Tension::Light);
            draft.set_hold(1, Grip::Palm, Tension::Shaped);
            draft.compare_with(1);
            assert_eq!(draft.protocol.reference(), 1);
            let source = draft.source(|id| id.ends_with("-own-1")).unwrap();
            assert!(source.protocol.id.ends_with("-own-2"), "{}", source.protocol.id);
            let again = protocol::read(&source.text, "own").unwrap();
            assert_eq!(again, source.protocol);
            assert_eq!(again.conditions.len(), holds);
            assert_eq!(again.conditions[1].id, "shaped-palm");
            assert_eq!(again.design.reference, "shaped-palm");
        }
    }

    #[test]
    fn holds_added_and_taken_out_stay_distinct_and_whole() {
        let mut draft = drafts().next().unwrap();
        for _ in 0..6 {
            draft.add_hold();
        }
        assert_eq!(draft.protocol.conditions.len(), MOST_HOLDS);
        assert!(draft.faults().is_empty(), "{:?}", draft.faults());
        for _ in 0..6 {
            draft.remove_hold(0);
        }
        assert_eq!(draft.protocol.conditions.len(), 2);
        assert!(draft.faults().is_empty(), "{:?}", draft.faults());
        let reference = &draft.protocol.design.reference;
        assert!(draft.protocol.conditions.iter().any(|c| &c.id == reference));
    }

    #[test]
    fn the_players_own_words_stay_when_the_tension_changes() {
        let mut draft = drafts().next().unwrap();
        draft.set_hold(0, Grip::Claw, Tension::Shaped);
        assert!(draft.protocol.conditions[0].say.contains("curled"));
        draft.protocol.conditions[0].say = "As my coach said.".to_owned();
        draft.set_hold(0, Grip::Claw, Tension::Light);
        assert_eq!(draft.protocol.conditions[0].say, "As my coach said.");
    }

    #[test]
    fn light_holds_alone_are_all_light_and_all_different() {
        for mut draft in drafts() {
            draft.all_light();
            let holds = &draft.protocol.conditions;
            assert!(holds.iter().all(|c| c.tension == Tension::Light));
            for (i, hold) in holds.iter().enumerate() {
                assert!(holds[..i].iter().all(|other| other.grip != hold.grip));
            }
            assert!(draft.faults().is_empty(), "{:?}", draft.faults());
        }
    }

    #[test]
    fn cycles_come_in_whole_sets() {
        for mut draft in drafts() {
            for cycles in [1, 5, 7, 13] {
                draft.set_cycles(cycles);
                assert_eq!(draft.protocol.design.cycles % draft.cycles_step().max(1), 0);
            }
        }
    }
}

//! Who does what: the player's mouse answers, a partner's mouse, gamepad or key ends the wait.
//!
//! Decides by device alone, never by time. What belongs to nobody is dropped: a third mouse on the
//! desk neither answers nor ends a wait.

use crate::engine::{Device, Event};
use crate::input::{DeviceInfo, InputEvent, PadEvent, PadKey};
use crate::units::{Button, DeviceId, MotionUnit};

/// A gamepad's number in the record: the mice have the small ones.
const FIRST_PAD: u16 = 1_000;

/// What the command line said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wishes {
    /// The only mouse that answers; `None`: every one but the partner's.
    pub mouse: Option<String>,
    /// The mouse whose presses end the wait.
    pub partner_mouse: Option<String>,
    /// Whether a gamepad's buttons answer a trial; else they end the wait.
    pub gamepad_answers: bool,
    /// Whether a wait is ended by a partner at all.
    pub partner: bool,
}

impl Wishes {
    /// Whether gamepads are of any use.
    pub fn want_gamepads(&self) -> bool {
        self.partner || self.gamepad_answers
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Player,
    Partner,
    Nobody,
}

/// The roles of the devices that have spoken.
#[derive(Debug)]
pub(super) struct Roles {
    wishes: Wishes,
    mice: Vec<(DeviceId, Role)>,
    pads: Vec<u8>,
}

impl Roles {
    pub(super) fn new(wishes: Wishes) -> Roles {
        Roles { wishes, mice: Vec::with_capacity(16), pads: Vec::with_capacity(16) }
    }

    /// Takes in a mouse that speaks for the first time; whether the engine is to know of it.
    pub(super) fn learn(&mut self, info: &DeviceInfo) -> bool {
        let is = |wanted: &Option<String>| {
            wanted.as_ref().is_some_and(|wanted| *wanted == info.ident || *wanted == info.name)
        };
        let role = if is(&self.wishes.partner_mouse) {
            Role::Partner
        } else if self.wishes.mouse.is_none() || is(&self.wishes.mouse) {
            Role::Player
        } else {
            Role::Nobody
        };
        if !self.mice.iter().any(|(known, _)| *known == info.id) {
            self.mice.push((info.id, role));
        }
        role == Role::Player
    }

    fn role(&self, device: DeviceId) -> Role {
        let known = self.mice.iter().find(|(known, _)| *known == device);
        known.map_or(Role::Player, |(_, role)| *role)
    }

    /// What the engine is told of a mouse's event.
    pub(super) fn of_mouse(&self, event: InputEvent) -> Option<Event> {
        let role = event.device().map_or(Role::Player, |device| self.role(device));
        match (role, event) {
            (Role::Player, event) => Some(super::desk::told(event)),
            (Role::Partner, InputEvent::Press { stamp, .. }) => Some(Event::Cue { stamp }),
            (Role::Partner | Role::Nobody, _) => None,
        }
    }

    /// What the engine is told of a gamepad's event: with its device, when that speaks first.
    pub(super) fn of_pad(&mut self, event: PadEvent) -> [Option<Event>; 2] {
        let answers = self.wishes.gamepad_answers;
        match event {
            PadEvent::Press { pad, button, stamp } if answers => {
                let told = button_of(button).map(|button| Event::Press {
                    device: pad_device(pad),
                    button,
                    stamp,
                });
                [told.as_ref().and_then(|_| self.pad_first_speaks(pad)), told]
            }
            PadEvent::Release { pad, button, stamp } if answers => {
                let device = pad_device(pad);
                [None, button_of(button).map(|button| Event::Release { device, button, stamp })]
            }
            PadEvent::Press { stamp, .. } => [None, Some(Event::Cue { stamp })],
            PadEvent::Release { .. } | PadEvent::Trigger { .. } => [None, None],
        }
    }

    fn pad_first_speaks(&mut self, pad: u8) -> Option<Event> {
        if self.pads.contains(&pad) {
            return None;
        }
        self.pads.push(pad);
        Some(Event::Device(Device {
            id: pad_device(pad),
            name: format!("gamepad {}", u16::from(pad) + 1),
            // It has no motion: what is asked of counts stays blank.
            unit: MotionUnit::Normalised,
            steps_per_count: 1,
            report_interval: None,
        }))
    }
}

fn pad_device(pad: u8) -> DeviceId {
    DeviceId(FIRST_PAD + u16::from(pad))
}

/// The mouse button that a gamepad's stands for.
fn button_of(key: PadKey) -> Option<Button> {
    match key {
        PadKey::Left => Some(Button::Left),
        PadKey::Right => Some(Button::Right),
        PadKey::Middle => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Nanos, Span, Stamp, StampSource};

    fn stamp(t_ns: i64) -> Stamp {
        Stamp { t: Nanos(t_ns), source: StampSource::Evdev, sd: Span(50_000) }
    }

    fn mouse(number: u16, ident: &str) -> DeviceInfo {
        DeviceInfo {
            id: DeviceId(number),
            name: format!("an invented mouse {number}"),
            unit: MotionUnit::Counts,
            steps_per_count: 1,
            report_interval: None,
            ident: ident.to_owned(),
        }
    }

    fn press(number: u16) -> InputEvent {
        InputEvent::Press { device: DeviceId(number), button: Button::Left, stamp: stamp(7) }
    }

    #[test]
    fn the_partners_mouse_ends_the_wait_and_a_third_one_does_nothing() {
        let mut roles = Roles::new(Wishes {
            mouse: Some("1111:0001".to_owned()),
            partner_mouse: Some("1111:0002".to_owned()),
            partner: true,
            ..Wishes::default()
        });
        let known = [(0, "1111:0001"), (1, "1111:0002"), (2, "1111:0003")]
            .map(|(number, ident)| roles.learn(&mouse(number, ident)));
        assert_eq!(known, [true, false, false]);
        assert!(matches!(roles.of_mouse(press(0)), Some(Event::Press { .. })));
        assert_eq!(roles.of_mouse(press(1)), Some(Event::Cue { stamp: stamp(7) }));
        assert_eq!(roles.of_mouse(press(2)), None);
        let motion = InputEvent::Motion { device: DeviceId(1), dx: 1, dy: 0, stamp: stamp(8) };
        assert_eq!(roles.of_mouse(motion), None, "the partner's hand is not the player's");
        let gap = InputEvent::Gap { lost: 1, t: Nanos(9) };
        assert!(matches!(roles.of_mouse(gap), Some(Event::Gap { .. })), "it may be the player's");
    }

    #[test]
    fn without_a_named_mouse_every_one_answers() {
        let mut roles = Roles::new(Wishes::default());
        assert!(roles.learn(&mouse(0, "1111:0001")) && roles.learn(&mouse(1, "1111:0002")));
        assert!(matches!(roles.of_mouse(press(1)), Some(Event::Press { .. })));
    }

    #[test]
    fn a_gamepad_cues_or_answers_and_introduces_itself_once() {
        let down = |button| PadEvent::Press { pad: 1, button, stamp: stamp(3) };
        let mut cues = Roles::new(Wishes { partner: true, ..Wishes::default() });
        assert_eq!(cues.of_pad(down(PadKey::Right)), [None, Some(Event::Cue { stamp: stamp(3) })]);
        let mut answers = Roles::new(Wishes { gamepad_answers: true, ..Wishes::default() });
        let [device, told] = answers.of_pad(down(PadKey::Left));
        assert!(matches!(device, Some(Event::Device(Device { id: DeviceId(1001), .. }))));
        let device = DeviceId(1001);
        let wanted = Event::Press { device, button: Button::Left, stamp: stamp(3) };
        assert_eq!(told, Some(wanted));
        assert_eq!(answers.of_pad(down(PadKey::Left))[0], None);
        assert_eq!(answers.of_pad(down(PadKey::Middle)), [None, None], "start answers nothing");
    }
}

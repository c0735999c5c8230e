//! The real desk: merges the screen's stamps, the mouse's events and the player's answers into the
//! one stream that the engine is fed.
//!
//! One wait: the thread's own bell, which every producer rings after it has pushed. Nothing that
//! does not come can hang it: it wakes at least each 20 ms, and a source that falls behind shows in
//! `settled`.

use super::roles::{Roles, Wishes};
use crate::clock::{self, JumpWatch, StallWatch};
use crate::display::{Screen, Seen, Stage};
use crate::engine::{Answer, AskFor, Begin, Device, Event, Key};
use crate::input::force::{Calibration, ForceAxis};
use crate::input::{DeviceInfo, Gamepads, Hands, InputEvent, WINDOW_SD, WindowFeed};
use crate::protocol;
use crate::scene::Scene;
use crate::session::Desk;
use crate::units::{DeviceId, Nanos, Span, Stamp, StampSource};
use crate::window::{Facts, FromMain, MainHandle, Mode, MouseFrom, Reply, Screenful, Show};
use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, TryRecvError};

/// The longest sleep.
const TICK_EACH: Span = Span::from_ms(20);
/// The longest sleep while an untimed screen is up: nothing is timed then, and a ring wakes it.
const IDLE_TICK_EACH: Span = Span::from_ms(250);
/// Ticks are at least this far apart.
const LEAST_TICK: Span = Span::from_ms(1);
/// When this thread itself takes this much longer than it meant to, asleep or at work, the machine
/// stood still. Common practice, no source.
const OWN_STALL: Span = Span::from_ms(150);
/// No machine is suspended for less, and no two readings of clocks differ by as much.
const LEAST_SUSPEND: Span = Span::from_ms(100);
/// A source further behind than this stands still.
const STILL: Span = Span::from_ms(250);
/// It is opened anew at most this often.
const RESTART_EACH: Span = Span::from_s(2);
/// Events that one turn can hold without allocating.
const QUEUE: usize = 1_024;

/// What a real desk is made of.
pub struct Parts {
    /// A screen that has earned its clock, with the surface.
    pub screen: Screen,
    /// The main thread.
    pub main: MainHandle,
    /// What the main thread tells.
    pub from_main: Receiver<FromMain>,
    /// The mouse.
    pub hands: Hands,
    /// Where the window's own events go, if they are the source.
    pub feed: Option<WindowFeed>,
    /// Gamepads, where they are of use.
    pub gamepads: Option<Gamepads>,
    /// The force axis and the player's scale on it, where there is one.
    pub force: Option<(ForceAxis, Calibration)>,
    /// Whose press is an answer and whose a cue.
    pub wishes: Wishes,
    /// What the untimed screens may say.
    pub facts: Facts,
    /// The first event.
    pub begin: Begin,
}

/// Where the surface is.
enum Surface {
    /// The screen draws on it.
    Drawing(Screen),
    /// Back from an untimed screen; drawn on again with the next scene.
    Idle(Screen, Box<Stage>),
    /// An untimed screen is up.
    Lent(Screen),
    /// Lost for good: the window is gone.
    Gone,
}

/// The real desk.
pub struct LiveDesk {
    surface: Surface,
    main: MainHandle,
    from_main: Receiver<FromMain>,
    hands: Hands,
    feed: Option<WindowFeed>,
    gamepads: Option<Gamepads>,
    force: Option<(ForceAxis, Calibration)>,
    roles: Roles,
    facts: Facts,
    queue: VecDeque<Event>,
    /// Whether the window has the focus.
    focused: bool,
    /// Devices whose measured report interval the engine has been told of.
    intervals_told: Vec<DeviceId>,
    /// Clocks that took over and stand in the record already.
    took_over_told: usize,
    last_tick: Nanos,
    /// When the mouse source was last opened anew.
    restarted: Option<Nanos>,
    stalls: StallWatch,
    jumps: JumpWatch,
}

impl LiveDesk {
    /// A desk whose first event is `begin`.
    pub fn new(parts: Parts) -> LiveDesk {
        let Parts { screen, main, from_main, hands, feed, gamepads, force, wishes, facts, begin } =
            parts;
        let mut queue = VecDeque::with_capacity(QUEUE);
        queue.push_back(Event::Begin(begin));
        let surface = Surface::Drawing(screen);
        LiveDesk {
            surface,
            main,
            from_main,
            hands,
            feed,
            gamepads,
            force,
            roles: Roles::new(wishes),
            facts,
            queue,
            focused: true,
            intervals_told: Vec::new(),
            took_over_told: 0,
            last_tick: clock::now(),
            restarted: None,
            stalls: StallWatch::new(OWN_STALL),
            jumps: JumpWatch::new(LEAST_SUSPEND),
        }
    }

    /// The stage, to show the last screens on, and what the main thread goes on telling.
    pub fn into_stage(self) -> Option<(Stage, Receiver<FromMain>)> {
        match self.surface {
            Surface::Drawing(screen) => screen.finish().map(|stage| (stage, self.from_main)),
            Surface::Idle(_, stage) => Some((*stage, self.from_main)),
            Surface::Lent(_) | Surface::Gone => None,
        }
    }

    /// What the hands were, for the record.
    pub fn hands(&self) -> &Hands {
        &self.hands
    }

    fn hear_main(&mut self) {
        loop {
            match self.from_main.try_recv() {
                Ok(message) => self.on_main(message),
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => {
                    // The event loop is gone: what was done is kept.
                    if !matches!(self.surface, Surface::Gone) {
                        self.surface = Surface::Gone;
                        let t = clock::now();
                        self.queue.push_back(Event::Key { key: Key::Stop, t });
                    }
                    return;
                }
            }
        }
    }

    fn on_main(&mut self, message: FromMain) {
        match message {
            FromMain::Returned { stage, reply, t } => {
                if let Surface::Lent(screen) = std::mem::replace(&mut self.surface, Surface::Gone) {
                    self.surface = Surface::Idle(screen, stage);
                }
                self.queue.push_back(match reply {
                    Reply::Answer(answer) => Event::Answered { answer, t },
                    Reply::Key(key) => Event::Key { key, t },
                    // Asked for outside a session only; as an answer they fit no question, and
                    // the question is put again.
                    Reply::FirstStart(_) | Reply::Rig(_) | Reply::Home => {
                        Event::Answered { answer: Answer::GoOn, t }
                    }
                });
            }
            FromMain::Key { key, t } => self.queue.push_back(Event::Key { key, t }),
            FromMain::Cue { t } => {
                let stamp = Stamp { t, source: StampSource::Window, sd: WINDOW_SD };
                self.queue.push_back(Event::Cue { stamp });
            }
            FromMain::Focus { focused, t } => {
                self.focused = focused;
                if matches!(self.surface, Surface::Drawing(_)) {
                    self.hands.set_focused(focused);
                }
                self.queue.push_back(Event::Focus { focused, t });
            }
            FromMain::CloseAsked => {
                // A screen that is up tells of it itself.
                if matches!(self.surface, Surface::Drawing(_) | Surface::Idle(..)) {
                    let t = clock::now();
                    self.queue.push_back(Event::Key { key: Key::Stop, t });
                }
            }
            FromMain::Resized { .. } => {
                // The canvas is fixed for a segment; the screen notices an outdated surface itself.
            }
            FromMain::MouseButton { button, pressed, .. } => {
                if let Some(feed) = &mut self.feed {
                    if pressed { feed.press(button) } else { feed.release(button) }
                }
            }
            FromMain::MouseMotion { dx_px, dy_px, .. } => {
                if let Some(feed) = &mut self.feed {
                    feed.motion(dx_px, dy_px);
                }
            }
        }
    }

    fn hear_hands(&mut self) {
        if let Some(feed) = &mut self.feed {
            feed.idle();
        }
        while let Some(event) = self.hands.next() {
            for info in self.hands.new_devices() {
                if self.roles.learn(&info) {
                    self.queue.push_back(Event::Device(device(info)));
                }
            }
            self.queue.extend(self.roles.of_mouse(event));
        }
    }

    /// A gamepad counts only during a block of a window that has the focus.
    fn hear_gamepads(&mut self) {
        let Some(gamepads) = &mut self.gamepads else { return };
        let counts = self.focused && matches!(self.surface, Surface::Drawing(_));
        while let Some(event) = gamepads.take() {
            if counts {
                self.queue.extend(self.roles.of_pad(event).into_iter().flatten());
            }
        }
    }

    /// The force of the hold: kept during a block, shown on the card before it.
    fn hear_force(&mut self) {
        let Some((axis, scale)) = &mut self.force else { return };
        let counts = matches!(self.surface, Surface::Drawing(_));
        while let Some(reading) = axis.take() {
            let share = scale.share(reading.raw);
            if let Some(now) = &self.facts.force {
                now.set(share);
            }
            if counts {
                self.queue.push_back(Event::Force { share, stamp: reading.stamp });
            }
        }
    }

    /// Report intervals that have become known; told between blocks, not during one.
    fn tell_intervals(&mut self) {
        for info in self.hands.devices() {
            if info.report_interval.is_some() && !self.intervals_told.contains(&info.id) {
                self.intervals_told.push(info.id);
                self.queue.push_back(Event::Device(device(info)));
            }
        }
    }

    fn look(&mut self, now: Nanos) {
        let Surface::Drawing(screen) = &mut self.surface else { return };
        while let Some(seen) = screen.poll(now) {
            self.queue.push_back(shown(seen));
        }
    }

    /// Takes the surface back for a block.
    fn draw_again(&mut self, mut screen: Screen, stage: Stage, scene: Scene) -> Surface {
        let mouse = match self.feed {
            Some(_) => MouseFrom::Window,
            None => MouseFrom::Elsewhere,
        };
        self.main.set_mode(Mode::Trials(mouse));
        // Making the surface ready is no stall, however long it takes.
        self.stalls.rest();
        if screen.take_back(stage).is_err() {
            // The device did not come back: what was done is kept, and the session ends.
            let t = clock::now();
            self.queue.push_back(Event::DisplayLost { t });
            self.queue.push_back(Event::Key { key: Key::Stop, t });
            return Surface::Gone;
        }
        self.hands.set_focused(self.focused);
        screen.set_scene(scene);
        Surface::Drawing(screen)
    }

    /// Nothing is older than this any more, from the mouse or from the screen.
    fn settled(&self) -> Nanos {
        match &self.surface {
            Surface::Drawing(screen) => self.hands.settled().min(screen.settled()),
            Surface::Idle(..) | Surface::Lent(_) | Surface::Gone => self.hands.settled(),
        }
    }

    /// A mouse source that has fallen behind is opened anew. The engine hears of it by the tick that
    /// is about to be told (the trial is void), and if it stays behind, the session pauses.
    fn restart_if_still(&mut self, now: Nanos) {
        let drawing = matches!(self.surface, Surface::Drawing(_));
        let due = self.restarted.is_none_or(|last| now - last > RESTART_EACH);
        if drawing && due && now - self.hands.settled() > STILL {
            self.restarted = Some(now);
            // Refused: it stays behind, which is what the engine pauses for.
            let _still_behind = self.hands.restart();
        }
    }

    /// Whether this thread stood still, or the machine was suspended, since it was last here. Told
    /// before what was heard meanwhile, so that it is told of the trial it happened in.
    fn watch(&mut self, now: Nanos) {
        if let Some(by) = self.jumps.look(clock::ahead_of_unsuspended()) {
            self.queue.push_back(Event::ClockJump { by, t: now });
        }
        let late = self.stalls.awake(now);
        if !matches!(self.surface, Surface::Drawing(_)) {
            self.stalls.rest();
        } else if let Some(late) = late {
            self.queue.push_back(Event::Stalled { late, t: now });
        }
    }
}

impl Desk for LiveDesk {
    fn now(&self) -> Nanos {
        clock::now()
    }

    fn show(&mut self, scene: Scene) {
        self.surface = match std::mem::replace(&mut self.surface, Surface::Gone) {
            Surface::Idle(screen, stage) => self.draw_again(screen, *stage, scene),
            Surface::Drawing(mut screen) => {
                screen.set_scene(scene);
                Surface::Drawing(screen)
            }
            lent_or_gone @ (Surface::Lent(_) | Surface::Gone) => lent_or_gone,
        };
    }

    fn ask(&mut self, ask: &AskFor) {
        let (screen, stage) = match std::mem::replace(&mut self.surface, Surface::Gone) {
            Surface::Drawing(mut screen) => match screen.lend() {
                Some(stage) => (screen, stage),
                None => return,
            },
            Surface::Idle(screen, stage) => (screen, *stage),
            lent_or_gone @ (Surface::Lent(_) | Surface::Gone) => {
                self.surface = lent_or_gone;
                return;
            }
        };
        // What is pressed on an untimed screen is no answer to a trial.
        self.hands.set_focused(false);
        self.tell_intervals();
        if let Some(block) = first_block_left(ask) {
            self.facts.minutes_left = Some(protocol::minutes_from(&self.facts.protocol, block));
        }
        let show = Show::Ask(ask.clone());
        self.main.lend(stage, Screenful { show, facts: self.facts.clone() });
        self.surface = Surface::Lent(screen);
    }

    fn display_changed(&mut self) -> Option<serde_json::Value> {
        let screen = match &self.surface {
            Surface::Drawing(screen) | Surface::Idle(screen, _) | Surface::Lent(screen) => screen,
            Surface::Gone => return None,
        };
        let took_over = screen.report().clock.took_over.len();
        let told = std::mem::replace(&mut self.took_over_told, took_over);
        (told < took_over).then(|| serde_json::json!(screen.report()))
    }

    fn input_counted(&mut self) -> Option<(&'static str, serde_json::Value)> {
        let [wake_ups, most_reports] = self.hands.shared_wake_ups();
        let counted = serde_json::json!({ "wake_ups": wake_ups, "most_reports": most_reports });
        (wake_ups > 0).then_some(("shared_wake_ups", counted))
    }

    fn next(&mut self, until: Option<Nanos>) -> Event {
        let asked_at = clock::now();
        let longest = match self.surface {
            Surface::Drawing(_) => TICK_EACH,
            Surface::Idle(..) | Surface::Lent(_) | Surface::Gone => IDLE_TICK_EACH,
        };
        let limit = until
            .unwrap_or(asked_at + longest)
            .min(asked_at + longest)
            .max(self.last_tick + LEAST_TICK);
        loop {
            let now = clock::now();
            self.watch(now);
            self.hear_main();
            self.hear_hands();
            self.hear_gamepads();
            self.hear_force();
            self.look(now);
            if let Some(event) = self.queue.pop_front() {
                return event;
            }
            if now >= limit {
                self.last_tick = now;
                let settled = self.settled().min(now);
                self.restart_if_still(now);
                return Event::Tick { now, settled };
            }
            let wake = match &self.surface {
                Surface::Drawing(screen) => limit.min(screen.wake_at()),
                Surface::Idle(..) | Surface::Lent(_) | Surface::Gone => limit,
            };
            self.stalls.sleeps(wake);
            clock::wait(wake);
        }
    }
}

/// The first block (index) that is still to be run at this screen; a pause does not tell.
fn first_block_left(ask: &AskFor) -> Option<usize> {
    match ask {
        AskFor::Card { block } => Some(*block),
        AskFor::Ratings { block, .. } => Some(block + 1),
        AskFor::Rest { next, .. } => Some(*next),
        AskFor::Expectation | AskFor::Pause { .. } => None,
    }
}

fn device(info: DeviceInfo) -> Device {
    let DeviceInfo { id, name, unit, steps_per_count, report_interval, .. } = info;
    Device { id, name, unit, steps_per_count, report_interval }
}

/// What the engine is told of an event of the player's own mouse.
pub(super) fn told(event: InputEvent) -> Event {
    match event {
        InputEvent::Press { device, button, stamp } => Event::Press { device, button, stamp },
        InputEvent::Release { device, button, stamp } => Event::Release { device, button, stamp },
        InputEvent::Motion { device, dx, dy, stamp } => Event::Motion { device, dx, dy, stamp },
        InputEvent::Gap { lost, t } => Event::Gap { lost, t },
        InputEvent::Stalled { late, since } => Event::Stalled { late, t: since + late },
        InputEvent::Unplugged { device, t } => Event::Unplugged { device, t },
        InputEvent::Replugged { device, t } => Event::Replugged { device, t },
    }
}

fn shown(seen: Seen) -> Event {
    match seen {
        Seen::Shown { scene, frame, stamp, missed, late } => {
            Event::Shown { scene, frame, stamp, missed, late }
        }
        Seen::NotShown { scene, frame, t } => Event::NotShown { scene, frame, t },
        Seen::Lost { t } => Event::DisplayLost { t },
        Seen::Back { t } => Event::DisplayBack { t },
        Seen::Fallback { source, t } => Event::ClockFallback { source, t },
    }
}

//! The real desk: merges the screen's stamps, the mouse's events and the player's answers into the
//! one stream that the engine is fed.
//!
//! One wait: the thread's own bell, which every producer rings after it has pushed. Nothing that
//! does not come can hang it: it wakes at least each 20 ms, and a source that falls behind shows in
//! `settled`.

use crate::clock;
use crate::display::{Screen, Seen, Stage};
use crate::engine::{Answer, AskFor, Begin, Device, Event, Key};
use crate::input::{DeviceInfo, Hands, InputEvent, WindowFeed};
use crate::protocol;
use crate::scene::Scene;
use crate::session::Desk;
use crate::units::{DeviceId, Nanos, Span};
use crate::window::{Facts, FromMain, MainHandle, Mode, MouseFrom, Reply, Screenful, Show};
use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, TryRecvError};

/// The longest sleep.
const TICK_EACH: Span = Span::from_ms(20);
/// The longest sleep while an untimed screen is up: nothing is timed then, and a ring wakes it.
const IDLE_TICK_EACH: Span = Span::from_ms(250);
/// Ticks are at least this far apart.
const LEAST_TICK: Span = Span::from_ms(1);
/// When this thread itself comes back this late from a sleep, the machine stood still.
const OWN_STALL: Span = Span::from_ms(150);
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
    facts: Facts,
    queue: VecDeque<Event>,
    /// Whether the window has the focus.
    focused: bool,
    /// Devices whose measured report interval the engine has been told of.
    intervals_told: Vec<DeviceId>,
    last_tick: Nanos,
    /// When the mouse source was last opened anew.
    restarted: Option<Nanos>,
    /// When this thread meant to wake up.
    meant_to_wake: Option<Nanos>,
}

impl LiveDesk {
    /// A desk whose first event is `begin`.
    pub fn new(parts: Parts) -> LiveDesk {
        let Parts { screen, main, from_main, hands, feed, facts, begin } = parts;
        let mut queue = VecDeque::with_capacity(QUEUE);
        queue.push_back(Event::Begin(begin));
        let surface = Surface::Drawing(screen);
        LiveDesk {
            surface,
            main,
            from_main,
            hands,
            feed,
            facts,
            queue,
            focused: true,
            intervals_told: Vec::new(),
            last_tick: clock::now(),
            restarted: None,
            meant_to_wake: None,
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
                    // Outside a session only; as an answer it fits no question, and
                    // the question is put again.
                    Reply::FirstStart(_) | Reply::Home => {
                        Event::Answered { answer: Answer::GoOn, t }
                    }
                });
            }
            FromMain::Key { key, t } => self.queue.push_back(Event::Key { key, t }),
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
                self.queue.push_back(Event::Device(device(info)));
            }
            self.queue.push_back(told(event));
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

    /// When the sleep lasted far longer than it was meant to, the machine stood still.
    fn watch_own_sleep(&mut self, now: Nanos) {
        let Some(meant) = self.meant_to_wake.take() else { return };
        let late = now - meant;
        if late > OWN_STALL && matches!(self.surface, Surface::Drawing(_)) {
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
            self.watch_own_sleep(now);
            self.hear_main();
            self.hear_hands();
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
            self.meant_to_wake = Some(wake);
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

fn told(event: InputEvent) -> Event {
    match event {
        InputEvent::Press { device, button, stamp } => Event::Press { device, button, stamp },
        InputEvent::Release { device, button, stamp } => Event::Release { device, button, stamp },
        InputEvent::Motion { device, dx, dy, stamp } => Event::Motion { device, dx, dy, stamp },
        InputEvent::Gap { lost, t } => Event::Gap { lost, t },
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

//! The pages outside a session without a window: clicks and keys in, wishes, files and texts out.
//!
//! egui runs headless; what a page says is read from the shapes it draws, what a screen reader would
//! say from the tree it is given. Used by the tests and by the program that paints every page.

use egui::accesskit::{Action, Node, NodeId, Role, TreeUpdate};
use egui::epaint::ClippedShape;
use egui::{
    Context, Event, FullOutput, Key, Modifiers, Pos2, RawInput, Rect, Shape, ViewportId, pos2,
};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::Duration;
use tautline::app::{House, Options, Stagehand, Wished};
use tautline::clock;
use tautline::input::InputChoice;
use tautline::units::{Nanos, Span};
use tautline::window::{Reply, Screens};

/// So high that every page is whole in it.
pub(crate) const HIGH: [f32; 2] = [1600.0, 4200.0];
/// Long work on a machine that does much else at the time.
pub(crate) const WITHIN: Span = Span::from_s(900);

/// A text on a page, and where.
pub(crate) struct Text {
    pub(crate) text: String,
    pub(crate) rect: Rect,
}

/// What a screen reader is told of one thing on a page.
#[derive(Debug, Clone)]
pub(crate) struct Spoken {
    /// egui's number for it.
    pub(crate) id: u64,
    pub(crate) role: Role,
    /// Its name: a label of its own, or that of the text it is labelled by.
    pub(crate) name: String,
    /// Whether the focus can come to it.
    pub(crate) focusable: bool,
}

/// The pages without a window, and the other end of them.
pub(crate) struct Visitor {
    pub(crate) context: Context,
    pub(crate) house: House,
    pub(crate) stagehand: Stagehand,
    /// Where the settings and the data folder lie.
    pub(crate) folder: PathBuf,
    /// Of the window, points.
    pub(crate) size: [f32; 2],
    /// Pixels of a point.
    pub(crate) scale: f32,
    pub(crate) texts: Vec<Text>,
    /// What a screen reader would read out of the last frame.
    pub(crate) labels: BTreeSet<String>,
    /// The same, thing by thing.
    pub(crate) spoken: Vec<Spoken>,
    /// The shapes of the last frame as text, where they are asked for.
    pub(crate) picture: Option<String>,
    pub(crate) title: String,
    pub(crate) repaint_in: Duration,
    replied: bool,
    /// Takes each frame.
    paint: Paint,
}

/// Takes a frame that egui has laid out.
pub(crate) type Paint = Box<dyn FnMut(&Context, FullOutput)>;

impl Visitor {
    /// The pages over `folder`; frames are laid out and forgotten.
    pub(crate) fn over(folder: PathBuf, size: [f32; 2]) -> Visitor {
        Visitor::painted(folder, size, Box::new(|_, output| output.drop_without_applying_deltas()))
    }

    /// The same, each frame given to `paint`.
    pub(crate) fn painted(folder: PathBuf, size: [f32; 2], paint: Paint) -> Visitor {
        let options = Options {
            size: None,
            data: Some(folder.join("data")),
            input: InputChoice::Auto,
            mouse: None,
            settings: Some(folder.join("settings.toml")),
        };
        let (mut house, stagehand) = House::build(&options).unwrap_or_else(|trouble| {
            panic!("{trouble:?}");
        });
        house.home(Nanos(0));
        let context = Context::default();
        context.enable_accesskit();
        let mut visitor = Visitor {
            context,
            house,
            stagehand,
            folder,
            size,
            scale: 1.0,
            texts: Vec::new(),
            labels: BTreeSet::new(),
            spoken: Vec::new(),
            picture: None,
            title: String::new(),
            repaint_in: Duration::MAX,
            replied: false,
            paint,
        };
        visitor.settle();
        visitor
    }

    pub(crate) fn frame(&mut self, events: Vec<Event>) {
        let screen_rect = Some(Rect::from_min_size(pos2(0.0, 0.0), self.size.into()));
        let mut input = RawInput { screen_rect, events, focused: true, ..RawInput::default() };
        let root = input.viewports.entry(ViewportId::ROOT).or_default();
        root.native_pixels_per_point = Some(self.scale);
        let mut reply = None;
        let now = clock::now();
        let output = self.context.run_ui(input, |ui| {
            let said = self.house.show(ui, now);
            reply = reply.take().or(said);
        });
        self.replied |= reply == Some(Reply::Home);
        self.texts = texts(&output.shapes);
        if let Some(picture) = &mut self.picture {
            *picture = format!("{:?}", output.shapes);
        }
        if let Some(update) = &output.platform_output.accesskit_update {
            self.spoken = spoken(update);
            self.labels = update
                .nodes
                .iter()
                .filter_map(|(_, node)| node.label())
                .map(str::to_owned)
                .collect();
        }
        let root = &output.viewport_output[&ViewportId::ROOT];
        self.repaint_in = root.repaint_delay;
        for command in &root.commands {
            if let egui::ViewportCommand::Title(title) = command {
                self.title.clone_from(title);
            }
        }
        (self.paint)(&self.context, output);
    }

    /// egui settles a layout within a few frames.
    pub(crate) fn settle(&mut self) {
        for _ in 0..3 {
            self.frame(vec![]);
        }
    }

    pub(crate) fn press(&mut self, key: Key) {
        self.frame(stroke(key));
        self.settle();
    }

    /// The name of what has the focus.
    pub(crate) fn focused(&self) -> Option<&str> {
        let id = self.context.memory(|memory| memory.focused())?.value();
        self.spoken.iter().find(|spoken| spoken.id == id).map(|spoken| spoken.name.as_str())
    }

    pub(crate) fn type_in(&mut self, text: &str) {
        self.frame(vec![Event::Text(text.to_owned())]);
        self.settle();
    }

    pub(crate) fn all(&self) -> String {
        self.texts.iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join("\n")
    }

    pub(crate) fn says(&self, part: &str) -> bool {
        self.texts.iter().any(|text| text.text.contains(part))
    }

    /// Clicks the text that says `what`, or a chosen cell of that name.
    pub(crate) fn click(&mut self, what: &str) {
        let chosen = format!("\u{2022} {what}");
        let text = self.texts.iter().find(|text| text.text == what || text.text == chosen);
        let Some(text) = text else { panic!("`{what}` is not on this page:\n{}", self.all()) };
        click(text.rect.center()).into_iter().for_each(|events| self.frame(events));
        self.settle();
    }

    /// Draws on until the page says `part`.
    pub(crate) fn until(&mut self, part: &str) {
        let until = clock::now() + WITHIN;
        while !self.says(part) {
            assert!(clock::now() < until, "`{part}` never came:\n{}", self.all());
            clock::wait(clock::now() + Span::from_ms(50));
            self.frame(vec![]);
        }
        self.settle();
    }

    pub(crate) fn wished(&mut self) -> Option<Wished> {
        let wished = self.stagehand.wished();
        assert_eq!(self.replied, wished.is_some(), "a reply and a wish come together");
        self.replied = false;
        wished
    }

    pub(crate) fn is_at(&self, title: &str) {
        let page = self.title.split(" \u{2013} ").next().unwrap_or_default();
        assert_eq!(page, title, "the page says:\n{}", self.all());
    }
}

/// What a screen reader is told, thing by thing.
pub(crate) fn spoken(update: &TreeUpdate) -> Vec<Spoken> {
    // Plain texts have their words as their value.
    let own = |node: &Node| node.label().or(node.value()).unwrap_or_default().trim().to_owned();
    let name_of = |node: &Node| {
        let by = node.labelled_by().iter().filter_map(|id| {
            update.nodes.iter().find(|(other, _)| other == id).map(|(_, label)| own(label))
        });
        let said = node.label().unwrap_or_default().trim().to_owned();
        if said.is_empty() { by.collect::<Vec<_>>().join(" ") } else { said }
    };
    let one = |(id, node): &(NodeId, Node)| Spoken {
        id: id.0,
        role: node.role(),
        name: name_of(node),
        focusable: node.supports_action(Action::Focus) && !node.is_disabled(),
    };
    update.nodes.iter().map(one).collect()
}

/// The texts that a frame draws.
pub(crate) fn texts(shapes: &[ClippedShape]) -> Vec<Text> {
    let mut found = Vec::new();
    shapes.iter().for_each(|clipped| collect(&clipped.shape, &mut found));
    found
}

/// A key pressed and let go, as a window tells it.
pub(crate) fn stroke(key: Key) -> Vec<Event> {
    let event = |pressed| Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    vec![event(true), event(false)]
}

/// The frames of a click at `pos`.
pub(crate) fn click(pos: Pos2) -> [Vec<Event>; 3] {
    let button = |pressed| Event::PointerButton {
        pos,
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    [vec![Event::PointerMoved(pos)], vec![button(true)], vec![button(false)]]
}

fn collect(shape: &Shape, texts: &mut Vec<Text>) {
    match shape {
        Shape::Text(text) => {
            let rect = text.visual_bounding_rect();
            texts.push(Text { text: text.galley.text().to_owned(), rect });
        }
        Shape::Vec(shapes) => shapes.iter().for_each(|shape| collect(shape, texts)),
        _ => {}
    }
}

//! The pages outside a session without a window: clicks and keys in, wishes, files and texts out.
//!
//! egui runs headless. The limits come from outside: WCAG 2.1.1 (everything by keyboard), 2.3.1 (no
//! more than three changes a second) and 4.1.2 (names for a screen reader).

use egui::{Context, Event, Key, Modifiers, RawInput, Rect, Shape, ViewportId, pos2};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tautline::app::{House, Options, Stagehand, Wished};
use tautline::clock;
use tautline::engine::Ending;
use tautline::input::InputChoice;
use tautline::units::{Nanos, Span};
use tautline::window::{Reply, Screens};

/// 1280x720 at 200 %.
const SMALL: [f32; 2] = [640.0, 360.0];
/// So high that every page is whole in it.
const HIGH: [f32; 2] = [1600.0, 4200.0];
/// Long work on a machine that does much else at the time.
const WITHIN: Span = Span::from_s(240);

struct Text {
    text: String,
    rect: Rect,
}

/// The pages without a window, and the other end of them.
struct Visitor {
    context: Context,
    house: House,
    stagehand: Stagehand,
    folder: PathBuf,
    size: [f32; 2],
    texts: Vec<Text>,
    /// What a screen reader would read out of the last frame.
    labels: BTreeSet<String>,
    title: String,
    repaint_in: Duration,
    replied: bool,
}

impl Visitor {
    fn new(name: &str, size: [f32; 2]) -> Visitor {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("guide").join(name);
        if folder.exists() {
            std::fs::remove_dir_all(&folder).unwrap();
        }
        std::fs::create_dir_all(&folder).unwrap();
        Visitor::again(folder, size)
    }

    /// Starts the program anew over the same folder.
    fn again(folder: PathBuf, size: [f32; 2]) -> Visitor {
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
            texts: Vec::new(),
            labels: BTreeSet::new(),
            title: String::new(),
            repaint_in: Duration::MAX,
            replied: false,
        };
        visitor.settle();
        visitor
    }

    fn frame(&mut self, events: Vec<Event>) {
        let screen_rect = Some(Rect::from_min_size(pos2(0.0, 0.0), self.size.into()));
        let input = RawInput { screen_rect, events, focused: true, ..RawInput::default() };
        let mut reply = None;
        let now = clock::now();
        let output = self.context.run_ui(input, |ui| {
            let said = self.house.show(ui, now);
            reply = reply.take().or(said);
        });
        self.replied |= reply == Some(Reply::Home);
        self.texts.clear();
        for clipped in &output.shapes {
            collect(&clipped.shape, &mut self.texts);
        }
        if let Some(update) = &output.platform_output.accesskit_update {
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
        output.drop_without_applying_deltas();
    }

    /// egui settles a layout within a few frames.
    fn settle(&mut self) {
        for _ in 0..3 {
            self.frame(vec![]);
        }
    }

    fn press(&mut self, key: Key) {
        let event = |pressed| Event::Key {
            key,
            physical_key: None,
            pressed,
            repeat: false,
            modifiers: Modifiers::NONE,
        };
        self.frame(vec![event(true), event(false)]);
        self.settle();
    }

    fn type_in(&mut self, text: &str) {
        self.frame(vec![Event::Text(text.to_owned())]);
        self.settle();
    }

    fn all(&self) -> String {
        self.texts.iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join("\n")
    }

    fn says(&self, part: &str) -> bool {
        self.texts.iter().any(|text| text.text.contains(part))
    }

    /// Clicks the text that says `what`, or a chosen cell of that name.
    fn click(&mut self, what: &str) {
        let chosen = format!("\u{2022} {what}");
        let text = self.texts.iter().find(|text| text.text == what || text.text == chosen);
        let Some(text) = text else { panic!("`{what}` is not on this page:\n{}", self.all()) };
        let pos = text.rect.center();
        let button = |pressed| Event::PointerButton {
            pos,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        };
        self.frame(vec![Event::PointerMoved(pos)]);
        self.frame(vec![button(true)]);
        self.frame(vec![button(false)]);
        self.settle();
    }

    /// Draws on until the page says `part`.
    fn until(&mut self, part: &str) {
        let until = clock::now() + WITHIN;
        while !self.says(part) {
            assert!(clock::now() < until, "`{part}` never came:\n{}", self.all());
            clock::wait(clock::now() + Span::from_ms(50));
            self.frame(vec![]);
        }
        self.settle();
    }

    fn wished(&mut self) -> Option<Wished> {
        let wished = self.stagehand.wished();
        assert_eq!(self.replied, wished.is_some(), "a reply and a wish come together");
        self.replied = false;
        wished
    }

    fn is_at(&self, title: &str) {
        let page = self.title.split(" \u{2013} ").next().unwrap_or_default();
        assert_eq!(page, title, "the page says:\n{}", self.all());
    }
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

const QUESTION: &str = "1   Is there a large difference between a light and a firm hold?";

/// From the first start to the page of the plan; the pages that were seen.
fn to_the_plan(visitor: &mut Visitor) -> Vec<String> {
    let mut seen = vec![visitor.all()];
    visitor.is_at("Before you start");
    visitor.click("I have read this");
    visitor.is_at("Ten presses, to feel it");
    seen.push(visitor.all());
    visitor.click("Start the ten presses");
    assert_eq!(visitor.wished(), Some(Wished::Feel));
    visitor.stagehand.felt();
    visitor.house.home(clock::now());
    visitor.settle();
    visitor.is_at("What do you want to know?");
    seen.push(visitor.all());
    visitor.click(QUESTION);
    visitor.is_at("Who plays?");
    assert!(visitor.context.text_edit_focused(), "the nickname can be typed at once");
    visitor.type_in("Heron");
    seen.push(visitor.all());
    visitor.click("Go on");
    visitor.is_at("A few questions first");
    seen.push(visitor.all());
    // No to each question, 18 or older, and the agreement.
    for _ in 0..4 {
        visitor.press(Key::Enter);
    }
    visitor.press(Key::Enter);
    seen.push(visitor.all());
    visitor.press(Key::Enter);
    visitor.is_at("Your display, mouse and computer");
    seen.push(visitor.all());
    visitor.click("Go on without a check");
    visitor.is_at("The holds");
    seen.push(visitor.all());
    visitor.click("Go on");
    visitor.is_at("The plan");
    visitor.until("of 10 such sessions");
    seen.push(visitor.all());
    seen
}

/// A session of a simulated player in the visitor's data folder.
fn rehearsed(visitor: &Visitor, seed: &str) -> PathBuf {
    let data = visitor.folder.join("data");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_tautline"))
        .args(["rehearse", "first-look", "--seed", seed, "--data"])
        .arg(&data)
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
    PathBuf::from(String::from_utf8(done.stdout).unwrap().trim())
}

#[test]
fn the_first_start_leads_to_a_session_and_its_findings() {
    let mut visitor = Visitor::new("first", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Start the session");
    assert_eq!(visitor.wished(), Some(Wished::Session), "{}", visitor.all());
    let settings = std::fs::read_to_string(visitor.folder.join("settings.toml")).unwrap();
    assert!(settings.contains("caution_read = true"), "{settings}");
    let folder = rehearsed(&visitor, "5");
    visitor.stagehand.ended(folder.clone(), Ending::Complete);
    visitor.house.home(clock::now());
    visitor.settle();
    visitor.is_at("What was found");
    visitor.until("What you expected");
    assert!(visitor.says("Simulated"), "{}", visitor.all());
    assert!(folder.join("findings/report.html").exists());
    visitor.click("Copy the sentence");
    assert!(visitor.says("The sentence was copied."));
    visitor.click("Show it to others");
    visitor.is_at("Show it to others");
    assert!(visitor.says("Median") && visitor.says("Mean"));
    visitor.click("Make the frames");
    visitor.until("frames lie in");
    assert!(folder.join("findings/frames/frame-0001.png").exists());
    visitor.click("Back");
    visitor.is_at("What was found");
    visitor.click("Sessions and players");
    visitor.until("What is due next");
    visitor.click("Everybody");
    visitor.until("SIMULATED PLAYER");
    visitor.click("Erase");
    visitor.click("No, keep it");
    assert!(folder.exists());
    visitor.click("Erase");
    visitor.click("Yes, erase it");
    visitor.until("It was erased.");
    assert!(!folder.exists());
}

#[test]
fn back_loses_nothing_that_was_typed_and_a_second_start_asks_less() {
    let mut visitor = Visitor::new("back", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Back");
    visitor.is_at("The holds");
    visitor.click("Back");
    visitor.click("Back");
    // The agreement was given: it is left out on the way back and forth.
    visitor.is_at("Who plays?");
    assert!(visitor.says("Heron"));
    visitor.click("Go on");
    visitor.is_at("The holds");
    let folder = visitor.folder.clone();
    drop(visitor);
    let visitor = Visitor::again(folder, HIGH);
    visitor.is_at("What do you want to know?");
}

#[test]
fn a_plan_changed_on_screen_is_kept_as_a_file_that_the_command_line_reads() {
    let mut visitor = Visitor::new("own", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Back");
    // Both holds have the same rows of cells; the first of a name belongs to the first hold.
    visitor.click("Palm");
    visitor.click("Shaped");
    assert!(visitor.says("Shaped palm"), "{}", visitor.all());
    visitor.click("Go on");
    visitor.click("10 ms");
    visitor.until("of 10 such sessions");
    visitor.click("Start the session");
    assert_eq!(visitor.wished(), Some(Wished::Session), "{}", visitor.all());
    let file = visitor.folder.join("data/protocols/first-look-own-1.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let protocol = tautline::protocol::read(&text, "own").unwrap_or_else(|f| panic!("{f:?}"));
    assert_eq!(protocol.conditions[0].id, "shaped-palm");
    assert!(protocol.conditions[0].say.contains("curled"));
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_tautline"))
        .args(["plan", "--simulations", "50"])
        .arg(&file)
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
}

#[test]
fn a_table_is_shown_mapped_and_worked_out() {
    let mut visitor = Visitor::new("table", HIGH);
    visitor.click("I have read this");
    visitor.click("Leave them out");
    visitor.click("Tables from elsewhere");
    // Invented: the second hold is 12 ms faster, and blocks differ by whole steps.
    let mut rows = "grip,round,rt_ms\n".to_owned();
    for cycle in 0..6 {
        for press in 0..6 {
            let step = (cycle * 3 + press * 7) % 11;
            rows += &format!("open,{cycle},{}\nclosed,{cycle},{}\n", 240 + step, 228 + step);
        }
    }
    let copy = visitor.folder.join("times.csv");
    std::fs::write(&copy, rows).unwrap();
    while !visitor.context.text_edit_focused() {
        visitor.press(Key::Tab);
    }
    visitor.type_in(copy.to_str().unwrap());
    assert!(visitor.says("What each column is taken for"), "{}", visitor.all());
    visitor.click("Work it out");
    visitor.until("What was found");
    visitor.until("Open the report");
    assert!(visitor.folder.join("times-findings/report.html").exists());
}

#[test]
fn everything_is_reached_by_keyboard_and_has_a_name() {
    let mut visitor = Visitor::new("keys", [1280.0, 720.0]);
    visitor.press(Key::Enter);
    visitor.is_at("Ten presses, to feel it");
    visitor.press(Key::Escape);
    visitor.is_at("Before you start");
    visitor.press(Key::Enter);
    // The head's button, the foot's two, and the one that leaves the presses out.
    for _ in 0..4 {
        visitor.press(Key::Tab);
    }
    visitor.press(Key::Space);
    visitor.is_at("What do you want to know?");
    for label in [QUESTION, "Sessions and players", "Settings", "Leave", "Back"] {
        let named = visitor.labels.iter().any(|known| known == label);
        assert!(named, "`{label}` has no name: {:?}", visitor.labels);
    }
}

#[test]
fn every_text_fits_a_small_window_at_twice_the_scale() {
    for (name, size) in [("small", SMALL), ("medium", [1280.0, 720.0])] {
        let mut visitor = Visitor::new(name, HIGH);
        visitor.click("I have read this");
        visitor.click("Leave them out");
        visitor.size = size;
        visitor.settle();
        for page in ["Settings", "Tables from elsewhere", "Sessions and players"] {
            visitor.size = HIGH;
            visitor.settle();
            visitor.click(page);
            visitor.size = size;
            visitor.settle();
            for Text { text, rect } in visitor.texts.iter().filter(|t| !t.text.is_empty()) {
                let inside = rect.left() >= 0.0 && rect.right() <= size[0];
                assert!(inside, "{page} at {size:?}: `{text}` at {rect:?}");
            }
        }
    }
}

#[test]
fn words_that_must_not_stand_on_a_page_and_pages_that_stand_still() {
    let mut visitor = Visitor::new("words", HIGH);
    let all = to_the_plan(&mut visitor).join("\n").to_lowercase();
    let words: Vec<&str> = all.split(|c: char| !c.is_alphabetic()).collect();
    let forbidden = [
        "maximum maximal hardest death crush",
        "prevent prevents treat treats cause causes cure cures heal heals",
        "score rank league percentile streak playlist routine scenario best",
    ];
    for word in forbidden.iter().flat_map(|line| line.split(' ')) {
        assert!(!words.contains(&word), "`{word}` stands on a page");
    }
    // Once the plan is worked out nothing is drawn again by itself.
    let until = clock::now() + WITHIN;
    while visitor.repaint_in != Duration::MAX {
        assert!(clock::now() < until, "the page never came to rest");
        clock::wait(clock::now() + Span::from_ms(50));
        visitor.frame(vec![]);
    }
}

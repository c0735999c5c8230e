//! Pages as README shows them: painted anew by the software renderer and laid beside its pictures, with a tolerance.
//!
//! `UPDATE_EXPECT=1` writes README's pictures anew; look at them before they are kept.

use crate::studio::Studio;
use crate::visitor::{HIGH, Visitor};
use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use tiny_skia::Pixmap;

const SIZE_PX: [u32; 2] = [1280, 720];
/// A channel that is off by no more is rounding of another driver.
const CHANNEL_OFF: u8 = 24;
/// Share of pixels that may be off by more: the edges of letters. A line of text that moved is several times that.
const PIXELS_OFF: f64 = 0.003;

#[test]
fn the_pages_look_as_readme_shows_them() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures");
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    let studio = Rc::new(RefCell::new(Studio::open()));
    let eye = Rc::clone(&studio);
    let paint = Box::new(move |_: &egui::Context, output| eye.borrow_mut().keep(output));
    let mut visitor = Visitor::painted(folder.clone(), HIGH, paint);
    let look = |visitor: &mut Visitor, name: &str| {
        #[expect(clippy::cast_precision_loss, reason = "small numbers")]
        let size = SIZE_PX.map(|px| px as f32);
        visitor.size = size;
        visitor.settle();
        let painted = folder.join(format!("{name}.png"));
        studio.borrow_mut().photograph(&visitor.context, SIZE_PX, 1.0, &painted);
        compare(name, &painted);
        visitor.size = HIGH;
        visitor.settle();
    };
    visitor.click("I have read this");
    visitor.click("Leave them out");
    look(&mut visitor, "questions");
    visitor.click("1   Is there a large difference between a light and a firm hold?");
    visitor.type_in("Heron");
    visitor.click("Go on");
    for _ in 0..6 {
        visitor.press(egui::Key::Enter);
    }
    visitor.click("Go on without a check");
    look(&mut visitor, "holds");
    visitor.click("Go on");
    visitor.until("of 10 such sessions");
    look(&mut visitor, "plan");
}

fn compare(name: &str, painted: &Path) {
    let kept: PathBuf =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("docs/pictures/{name}.png"));
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        std::fs::copy(painted, &kept).unwrap();
        return;
    }
    let [new, old] = [painted, &kept].map(|path| Pixmap::load_png(path).unwrap());
    assert_eq!([new.width(), new.height()], [old.width(), old.height()], "{name}");
    let pixels = new.data().chunks_exact(4).zip(old.data().chunks_exact(4));
    let off = pixels.filter(|(n, o)| n.iter().zip(*o).any(|(n, o)| n.abs_diff(*o) > CHANNEL_OFF));
    let share = off.count() as f64 / f64::from(new.width() * new.height());
    assert!(
        share < PIXELS_OFF,
        "{name}: {:.2} % of the picture is another; look at {} and {}",
        100.0 * share,
        painted.display(),
        kept.display()
    );
}

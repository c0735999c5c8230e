//! The mice that the Linux kernel tells of, readable or not, by sysfs.
//!
//! Opens no device: names and capabilities are for everyone, so that a mouse which may not be read
//! can still be named with what to do about it. A device that also reports absolute positions (pad,
//! tablet, touchscreen, a virtual machine's pointer) is none, nor is one that is a keyboard as well.

use super::choice::Reason;
use super::devices::Identity;
use std::fs;
use std::path::{Path, PathBuf};

/// Opens mice, and nothing else, to whoever sits at the machine. Its file must sort before
/// 73-seat-late.rules, which acts on the tag.
pub const UDEV_RULE: &str = r#"SUBSYSTEM=="input", KERNEL=="event*", ENV{ID_INPUT_MOUSE}=="1", ENV{ID_INPUT_KEYBOARD}!="1", TAG+="uaccess""#;

/// The folder of the device files.
pub(crate) const NODES: &str = "/dev/input";
const CLASS: &str = "/sys/class/input";

// linux/input-event-codes.h
const REL_X: usize = 0;
const REL_Y: usize = 1;
const ABS_X: usize = 0;
const ABS_Y: usize = 1;
const ABS_MT_POSITION_X: usize = 0x35;
const BTN_LEFT: usize = 0x110;
const BTN_TOOL_PEN: usize = 0x140;
const BTN_TOUCH: usize = 0x14a;
/// KEY_ESC to KEY_S: whoever has them all is a keyboard, as udev's input_id judges it too.
const KEYBOARD: std::ops::RangeInclusive<usize> = 1..=31;

/// What a device can say, as the kernel lists it: hexadecimal words of 64 bits, the highest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Capabilities<'a> {
    /// `capabilities/key`.
    pub key: &'a str,
    /// `capabilities/rel`.
    pub rel: &'a str,
    /// `capabilities/abs`.
    pub abs: &'a str,
}

impl Capabilities<'_> {
    /// Whether it is a mouse: moves by x and y, has a left button, tells no absolute position, and is
    /// no keyboard as well (whose keys would then be read too).
    pub fn is_mouse(&self) -> bool {
        has(self.rel, REL_X)
            && has(self.rel, REL_Y)
            && has(self.key, BTN_LEFT)
            && !KEYBOARD.into_iter().all(|key| has(self.key, key))
            && !has(self.abs, ABS_X)
            && !has(self.abs, ABS_Y)
            && !has(self.abs, ABS_MT_POSITION_X)
    }
}

impl Capabilities<'_> {
    /// The lowest absolute axis of a device that may be a force sensor: one to three axes, and no
    /// mouse, keyboard, pad, tablet or touchscreen, which have buttons or touch of their own.
    pub fn sensor_axis(&self) -> Option<u16> {
        const MOST_AXES: usize = 3;
        let axes: Vec<usize> = (0..ABS_MT_POSITION_X).filter(|bit| has(self.abs, *bit)).collect();
        let touches = [BTN_LEFT, BTN_TOOL_PEN, BTN_TOUCH].iter().any(|key| has(self.key, *key));
        let keyboard = KEYBOARD.into_iter().all(|key| has(self.key, key));
        let sensor = (1..=MOST_AXES).contains(&axes.len()) && !touches && !keyboard;
        let lowest = axes.first().filter(|_| sensor && !has(self.abs, ABS_MT_POSITION_X));
        lowest.and_then(|axis| u16::try_from(*axis).ok())
    }
}

/// A device that may be a force sensor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Axes {
    /// Its device file.
    pub(crate) node: PathBuf,
    /// Product name.
    pub(crate) name: String,
    /// Vendor and product number.
    pub(crate) ident: String,
    /// Its lowest axis.
    pub(crate) lowest: u16,
}

/// The devices that may be force sensors; none where nothing can be listed.
pub(crate) fn axes() -> Vec<Axes> {
    let Ok(entries) = fs::read_dir(CLASS) else { return Vec::new() };
    let mut list: Vec<Axes> = entries
        .filter_map(Result::ok)
        .filter(|entry| entry.file_name().to_string_lossy().starts_with("event"))
        .filter_map(|entry| {
            let class = entry.path();
            let read = |name: &str| {
                let text = fs::read_to_string(class.join("device").join(name)).ok()?;
                Some(text.trim().to_owned())
            };
            let (key, rel) = (read("capabilities/key")?, read("capabilities/rel")?);
            let abs = read("capabilities/abs")?;
            let lowest = Capabilities { key: &key, rel: &rel, abs: &abs }.sensor_axis()?;
            Some(Axes {
                node: Path::new(NODES).join(class.file_name()?),
                name: read("name")?,
                ident: format!("{}:{}", read("id/vendor")?, read("id/product")?),
                lowest,
            })
        })
        .collect();
    list.sort_by(|a, b| a.node.cmp(&b.node));
    list
}

/// Whether bit number `bit` is set in the kernel's words.
fn has(words: &str, bit: usize) -> bool {
    words
        .split_whitespace()
        .rev()
        .nth(bit / 64)
        .and_then(|word| u64::from_str_radix(word, 16).ok())
        .is_some_and(|word| word >> (bit % 64) & 1 == 1)
}

/// A mouse, whether or not it may be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct KernelMouse {
    /// Its device file.
    pub(crate) node: PathBuf,
    /// Who it is.
    pub(crate) identity: Identity,
}

/// All mice, by the place they are plugged in.
pub(crate) fn mice() -> Result<Vec<KernelMouse>, Reason> {
    let unreadable = |path: &str| {
        let path = PathBuf::from(path);
        move |source| Reason::NoFolder { path, source }
    };
    fs::metadata(NODES).map_err(unreadable(NODES))?;
    let mut mice: Vec<KernelMouse> = fs::read_dir(CLASS)
        .map_err(unreadable(CLASS))?
        // An entry that fails has gone while the folder was read.
        .filter_map(Result::ok)
        .filter(|entry| entry.file_name().to_string_lossy().starts_with("event"))
        .filter_map(|entry| mouse(&entry.path()))
        .collect();
    mice.sort_by(|a, b| (&a.identity.place, &a.node).cmp(&(&b.identity.place, &b.node)));
    Ok(mice)
}

fn mouse(class: &Path) -> Option<KernelMouse> {
    // A device may go while it is looked at: what cannot be read is then not there.
    let read = |name: &str| {
        fs::read_to_string(class.join("device").join(name)).ok().map(|text| text.trim().to_owned())
    };
    let (key, rel) = (read("capabilities/key")?, read("capabilities/rel")?);
    let abs = read("capabilities/abs")?;
    if !(Capabilities { key: &key, rel: &rel, abs: &abs }).is_mouse() {
        return None;
    }
    let node = Path::new(NODES).join(class.file_name()?);
    let place = read("phys").filter(|phys| !phys.is_empty());
    Some(KernelMouse {
        identity: Identity {
            name: read("name")?,
            model: format!("{}:{}", read("id/vendor")?, read("id/product")?),
            serial: read("uniq").filter(|uniq| !uniq.is_empty()),
            place: place.unwrap_or_else(|| node.display().to_string()),
        },
        node,
    })
}

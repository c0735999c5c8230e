//! What goes into the packages agrees with the program.

use std::fs;
use std::path::{Path, PathBuf};

fn packaging(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("packaging").join(path)
}

fn text(path: &str) -> String {
    let path = packaging(path);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[cfg(all(feature = "window", target_os = "linux"))]
#[test]
fn the_udev_rule_is_the_one_that_the_program_advises() {
    let rule = text("linux/70-tautline-mouse.rules");
    let lines: Vec<&str> = rule.lines().filter(|line| !line.starts_with('#')).collect();
    assert_eq!(lines, [tautline::input::UDEV_RULE]);
}

#[test]
fn the_icon_for_windows_holds_the_four_pictures_as_they_are() {
    let ico = fs::read(packaging("icon/tautline.ico")).unwrap();
    let u16_at = |at: usize| u16::from_le_bytes(ico[at..at + 2].try_into().unwrap());
    let u32_at = |at: usize| u32::from_le_bytes(ico[at..at + 4].try_into().unwrap()) as usize;
    // ICONDIR: reserved, 1 for icons, how many; then ICONDIRENTRY of 16 bytes each.
    assert_eq!([u16_at(0), u16_at(2), u16_at(4)], [0, 1, 4]);
    for (index, side) in [16, 32, 48, 256].into_iter().enumerate() {
        let entry = 6 + 16 * index;
        let [length, offset] = [u32_at(entry + 8), u32_at(entry + 12)];
        let png = fs::read(packaging(&format!("icon/tautline-{side}.png"))).unwrap();
        assert_eq!(ico[offset..offset + length], png, "{side} px");
        // The width in the PNG's header chunk, and 0 for 256 in the entry.
        let width = u32::from_be_bytes(png[16..20].try_into().unwrap());
        assert_eq!((width, u32::from(ico[entry])), (side, side % 256));
    }
}

#[test]
fn the_desktop_entry_starts_the_program_and_names_the_icon() {
    let entry = text("linux/tautline.desktop");
    let value = |key: &str| {
        let found = entry.lines().find_map(|line| line.strip_prefix(&format!("{key}=")));
        found.unwrap_or_else(|| panic!("no {key}")).to_owned()
    };
    assert_eq!(value("Exec"), "tautline");
    assert_eq!(value("Icon"), "tautline");
    assert_eq!(value("Terminal"), "false");
}

#[test]
fn no_package_is_made_of_what_stands_under_tests() {
    for script in ["make-linux", "make-windows", "common.sh"] {
        for line in text(script).lines().filter(|line| !line.trim_start().starts_with('#')) {
            assert!(!line.contains("tests/"), "{script}: {line}");
            let builds = line.contains("cargo build");
            assert!(!builds || line.contains("--bin tautline"), "{script}: {line}");
        }
    }
}

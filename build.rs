//! For Windows only: the icon, the manifest and the version go into the program.
//!
//! With mingw by its `windres`; where that is missing (a mere check of the types) the program is
//! whole, but has no icon, and a double click shows a console for a moment.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

/// Of the GNU binutils for mingw.
const WINDRES: &str = "x86_64-w64-mingw32-windres";

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=packaging/windows/tautline.manifest");
    println!("cargo::rerun-if-changed=packaging/icon/tautline.ico");
    if env::var("CARGO_CFG_TARGET_OS").as_deref() != Ok("windows") {
        return;
    }
    let root = PathBuf::from(env::var("CARGO_MANIFEST_DIR").expect("cargo sets it"));
    let out = PathBuf::from(env::var("OUT_DIR").expect("cargo sets it"));
    let manifest = root.join("packaging/windows/tautline.manifest");
    if env::var("CARGO_CFG_TARGET_ENV").as_deref() == Ok("msvc") {
        println!("cargo::rustc-link-arg-bins=/MANIFEST:EMBED");
        println!("cargo::rustc-link-arg-bins=/MANIFESTINPUT:{}", manifest.display());
        return;
    }
    match resource(&out, &manifest, &root.join("packaging/icon/tautline.ico")) {
        Ok(object) => println!("cargo::rustc-link-arg-bins={}", object.display()),
        Err(why) => println!("cargo::warning=no icon and no manifest in the program: {why}"),
    }
}

/// Compiles the resources into an object for the linker.
fn resource(out: &Path, manifest: &Path, icon: &Path) -> Result<PathBuf, String> {
    let version = env::var("CARGO_PKG_VERSION").expect("cargo sets it");
    let numbers = version.split('.').collect::<Vec<_>>().join(",");
    // In resource scripts a backslash starts an escape.
    let quoted = |path: &Path| path.display().to_string().replace('\\', "/");
    let script = format!(
        r#"1 ICON "{icon}"
1 24 "{manifest}"
1 VERSIONINFO
FILEVERSION {numbers},0
PRODUCTVERSION {numbers},0
BEGIN
  BLOCK "StringFileInfo"
  BEGIN
    BLOCK "040904b0"
    BEGIN
      VALUE "FileDescription", "Tautline: compares ways of holding a mouse"
      VALUE "FileVersion", "{version}"
      VALUE "LegalCopyright", "MIT OR Apache-2.0"
      VALUE "OriginalFilename", "tautline.exe"
      VALUE "ProductName", "Tautline"
      VALUE "ProductVersion", "{version}"
    END
  END
  BLOCK "VarFileInfo"
  BEGIN
    VALUE "Translation", 0x409, 1200
  END
END
"#,
        icon = quoted(icon),
        manifest = quoted(manifest),
    );
    let (source, object) = (out.join("tautline.rc"), out.join("tautline-resources.o"));
    fs::write(&source, script).map_err(|error| format!("{}: {error}", source.display()))?;
    let done = Command::new(WINDRES)
        .arg("--output-format=coff")
        .arg("-o")
        .arg(&object)
        .arg(&source)
        .output()
        .map_err(|error| format!("{WINDRES}: {error}"))?;
    if done.status.success() {
        Ok(object)
    } else {
        Err(format!("{WINDRES}: {}", String::from_utf8_lossy(&done.stderr).trim()))
    }
}

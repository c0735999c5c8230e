//! The command line as typed: the built program, its two streams and its exit code.
//!
//! Each test has folders of its own; nobody's home, settings or screen is touched.

mod answers;
mod errors;
mod explored;
mod help;
mod looks;
mod plans;
mod rig;
mod sessions;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A place for one test: data, settings and home lie in it.
struct Desk {
    folder: PathBuf,
}

/// What a command did.
struct Done {
    code: i32,
    out: String,
    err: String,
}

impl Desk {
    /// An empty place of this name.
    fn new(name: &str) -> Desk {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("cli").join(name);
        if folder.exists() {
            std::fs::remove_dir_all(&folder).unwrap();
        }
        std::fs::create_dir_all(&folder).unwrap();
        Desk { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Runs `tautline` in this place with these words, `DATA` standing for the data folder.
    fn type_in(&self, line: &str) -> Done {
        let data = self.path("data");
        let words = line.split_whitespace().map(|word| match word {
            "DATA" => data.to_str().unwrap().to_owned(),
            word => word.to_owned(),
        });
        self.call(&words.collect::<Vec<_>>())
    }

    /// The same with the words given one by one.
    fn call<Word: AsRef<std::ffi::OsStr>>(&self, words: &[Word]) -> Done {
        Done::of(&self.command().args(words).output().unwrap())
    }

    fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tautline"));
        command
            .current_dir(&self.folder)
            .env("HOME", &self.folder)
            .stdin(std::process::Stdio::null());
        for name in
            ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET", "XDG_DATA_HOME", "XDG_CONFIG_HOME"]
        {
            command.env_remove(name);
        }
        command
    }

    /// Rehearses and gives the folders printed.
    fn rehearse(&self, line: &str) -> Vec<PathBuf> {
        let done = self.type_in(&format!("rehearse {line} --data DATA"));
        assert_eq!((done.code, done.err.as_str()), (0, ""));
        done.out.lines().map(PathBuf::from).collect()
    }
}

impl Done {
    fn of(output: &Output) -> Done {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        Done {
            code: output.status.code().expect("it was not killed"),
            out: text(&output.stdout),
            err: text(&output.stderr),
        }
    }

    /// The one JSON object on stdout.
    fn json(&self) -> serde_json::Value {
        assert_eq!(self.code, 0, "{}", self.err);
        serde_json::from_str(&self.out).unwrap()
    }

    /// What could not be done, as three lines on stderr: what, where, how to mend it.
    fn fault(&self) -> Vec<&str> {
        assert_eq!((self.code, self.out.as_str()), (1, ""), "{}", self.err);
        let lines: Vec<&str> = self.err.lines().collect();
        let form = lines.len() == 3
            && lines[0].starts_with("error: ")
            && lines[1].starts_with("  in ")
            && lines[2].starts_with("  ");
        assert!(form, "not what, where and how:\n{}", self.err);
        lines
    }
}

/// Every file under `folder`, with its bytes.
fn bytes_of(folder: &Path) -> std::collections::BTreeMap<PathBuf, Vec<u8>> {
    let mut found = std::collections::BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(bytes_of(&path));
        } else {
            let bytes = std::fs::read(&path).unwrap();
            found.insert(path, bytes);
        }
    }
    found
}

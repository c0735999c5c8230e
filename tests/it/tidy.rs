//! Who may import whom, and that each file says what it is: read from the table in DEVELOPERS.md.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Importable by all.
const BY_ALL: [&str; 2] = ["units", "words"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<_> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            into.push(path);
        }
    }
}

/// The part that a file belongs to: `session/live` before `session`.
fn part_of(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).unwrap().to_str().unwrap().to_owned();
    if inside.starts_with("session/live") {
        return "session/live".to_owned();
    }
    inside.split('/').next().unwrap().trim_end_matches(".rs").to_owned()
}

fn table() -> BTreeMap<String, BTreeSet<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let section = text.split("## Who may import whom").nth(1).unwrap();
    let section = section.split("\n## ").next().unwrap();
    let quoted = |cell: &str| -> Vec<String> {
        cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    };
    section
        .lines()
        .filter(|line| line.starts_with("| `"))
        .map(|line| {
            let cells: Vec<_> = line.trim_matches('|').split('|').collect();
            (quoted(cells[0])[0].clone(), quoted(cells[1]).into_iter().collect())
        })
        .collect()
}

/// The parts named by `crate::NAME` and `crate::{NAME, ...}` in code.
fn imports(text: &str) -> BTreeSet<String> {
    let code: String = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n");
    let mut found = BTreeSet::new();
    for after in code.split("crate::").skip(1) {
        if let Some(list) = after.strip_prefix('{') {
            let list = list.split("};").next().unwrap();
            let mut depth = 0;
            let mut name = String::new();
            for letter in list.chars() {
                match letter {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    ',' if depth == 0 => {
                        found.insert(head(&name));
                        name.clear();
                        continue;
                    }
                    _ => {}
                }
                if depth == 0 {
                    name.push(letter);
                }
            }
            found.insert(head(&name));
        } else {
            found.insert(head(after));
        }
    }
    found.retain(|name| !name.is_empty());
    found
}

fn head(path: &str) -> String {
    path.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

#[test]
fn each_part_imports_only_what_the_table_allows() {
    let table = table();
    let mut files = Vec::new();
    sources(&root().join("src"), &mut files);
    let mut faults = Vec::new();
    for file in &files {
        let part = part_of(file);
        if part == "lib" || part == "main" {
            continue;
        }
        let allowed = table.get(&part).unwrap_or_else(|| panic!("no row for `{part}`"));
        for import in imports(&fs::read_to_string(file).unwrap()) {
            let own = part.split('/').next() == Some(import.as_str());
            if !own && !allowed.contains(&import) && !BY_ALL.contains(&import.as_str()) {
                faults.push(format!("{}: crate::{import}", file.display()));
            }
        }
    }
    assert!(faults.is_empty(), "not allowed by DEVELOPERS.md:\n{}", faults.join("\n"));
}

#[test]
fn each_file_begins_by_saying_what_it_is_for() {
    let mut files = Vec::new();
    for folder in ["src", "tests", "benches"] {
        let folder = root().join(folder);
        if folder.exists() {
            sources(&folder, &mut files);
        }
    }
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        assert!(text.starts_with("//!"), "{} does not begin with //!", file.display());
    }
}

#[test]
fn an_import_in_braces_is_seen() {
    let found = imports(
        "use crate::{units::Nanos, engine::{Event, Action}, scene};\nlet x = crate::clock::now();",
    );
    let names: Vec<_> = found.iter().map(String::as_str).collect();
    assert_eq!(names, ["clock", "engine", "scene", "units"]);
}

//! `protocols`: lists the shipped protocols, prints one, or prints the schema of the files.

use super::out::{Failure, say, say_json};
use crate::protocol;
use crate::sitting::source;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline protocols                       ids and titles
  tautline protocols three-holds > my.toml a copy to change
  tautline protocols --schema > tautline.schema.json
                                           for an editor that completes and checks")]
pub(super) struct Arguments {
    /// Print this shipped protocol's file
    id: Option<String>,
    /// Print the JSON Schema of protocol files
    #[arg(long, conflicts_with = "id")]
    schema: bool,
    /// As JSON
    #[arg(long, conflicts_with_all = ["id", "schema"])]
    json: bool,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    if arguments.schema {
        say_json(&protocol::json_schema())?;
    } else if let Some(id) = &arguments.id {
        say(source::load(id)?.text.trim_end())?;
    } else {
        let mut list = Vec::new();
        for shipped in protocol::shipped::shipped() {
            let protocol = source::load(shipped.id)?.protocol;
            if !arguments.json {
                say(&format!("{:<24} {}", shipped.id, protocol.title))?;
            }
            list.push(serde_json::json!({ "id": shipped.id, "title": protocol.title, "question": protocol.question }));
        }
        if arguments.json {
            say_json(&serde_json::Value::Array(list))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

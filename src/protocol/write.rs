//! Writes a protocol as the file that the reader takes back to the very same protocol.
//!
//! For protocols made on screen. Every key is written, in the order of a well-kept file, so that
//! the file says all that holds. A text is a TOML string, whatever it contains.

use super::{
    Condition, Family, Foreperiod, Grip, OnsetRule, Order, Protocol, Rating, Statistic, Tension,
};
use crate::tasks::{ChoiceBy, Levels, Map, Sides, TaskKind, side_name};
use std::fmt::Display;

/// The file of `protocol`.
pub fn write(protocol: &Protocol) -> String {
    let mut page = Page::default();
    page.text("id", &protocol.id);
    page.text("title", &protocol.title);
    page.text("question", &protocol.question);
    for condition in &protocol.conditions {
        hold(&mut page, condition);
    }
    design(&mut page, protocol);
    task(&mut page, protocol);
    page.table("stimulus");
    page.number("size_mm", protocol.stimulus.size_mm);
    page.number("contrast_share", protocol.stimulus.contrast_share);
    foreperiod(&mut page, &protocol.foreperiod);
    page.table("rest");
    page.number("min_s", protocol.rest.min_s);
    page.value("every_blocks", protocol.rest.every_blocks);
    if let Some(standing) = protocol.rest.standing_break {
        page.table("rest.standing_break");
        page.value("after_block", standing.after_block);
        page.number("min_s", standing.min_s);
    }
    page.table("ask");
    page.ratings("before", &protocol.ask.before);
    page.ratings("after_block", &protocol.ask.after_block);
    page.ratings("after_cycle", &protocol.ask.after_cycle);
    rules(&mut page, protocol);
    page.0
}

fn hold(page: &mut Page, condition: &Condition) {
    page.0.push_str("\n[[condition]]\n");
    page.text("id", &condition.id);
    page.text(
        "grip",
        match condition.grip {
            Grip::Palm => "palm",
            Grip::Claw => "claw",
            Grip::Fingertip => "fingertip",
            Grip::Mixed => "mixed",
            Grip::Other => "other",
        },
    );
    page.text(
        "tension",
        match condition.tension {
            Tension::Light => "light",
            Tension::Shaped => "shaped",
            Tension::Firm => "firm",
            Tension::Other => "other",
        },
    );
    page.text("say", &condition.say);
}

fn design(page: &mut Page, protocol: &Protocol) {
    let design = &protocol.design;
    page.table("design");
    page.text(
        "order",
        match design.order {
            Order::Williams => "williams",
            Order::Mirrored => "mirrored",
            Order::Shuffled => "shuffled",
            Order::Fixed => "fixed",
        },
    );
    page.value("cycles", design.cycles);
    page.value("trials", design.trials);
    page.value("warm_up", design.warm_up);
    page.value("warm_up_later", design.warm_up_later);
    page.text("reference", &design.reference);
}

fn task(page: &mut Page, protocol: &Protocol) {
    page.table("task");
    page.text("kind", protocol.task.name());
    match protocol.task {
        TaskKind::Simple(_) | TaskKind::Vigilance(_) => {}
        TaskKind::Onset(onset) => page.number("travel_counts", onset.travel_counts),
        TaskKind::GoNoGo(go_no_go) => {
            page.number("withhold_share", go_no_go.withhold_share);
            page.text("go_notch", side_name(go_no_go.go_notch));
        }
        TaskKind::Choice(choice) => {
            let map = match choice.map {
                Map::Same => "same",
                Map::Crossed => "crossed",
            };
            page.text("map", map);
            page.number("eccentricity_mm", choice.eccentricity_mm);
            page.value("alternatives", choice.alternatives);
            match choice.by {
                ChoiceBy::Buttons => page.text("answer", "buttons"),
                ChoiceBy::Movement { travel_counts } => {
                    page.text("answer", "movement");
                    page.number("travel_counts", travel_counts);
                }
            }
        }
        TaskKind::Emergence(emergence) => {
            page.levels("speed_mm_s", &emergence.speed_mm_s);
            let sides = match emergence.sides {
                Sides::Both => "both",
                Sides::Left => "left",
                Sides::Right => "right",
            };
            page.text("sides", sides);
            page.number("out_share", emergence.out_share);
        }
        TaskKind::Pointing(pointing) => {
            page.levels("distance_mm", &pointing.distance_mm);
            if let Some(sizes_mm) = &pointing.sizes_mm {
                page.levels("sizes_mm", sizes_mm);
            }
        }
        TaskKind::Steadiness(steadiness) => page.number("run_s", steadiness.run_s),
        TaskKind::Tapping(tapping) => page.number("run_s", tapping.run_s),
        TaskKind::Pursuit(pursuit) => {
            page.number("run_s", pursuit.run_s);
            page.number("reach_mm", pursuit.reach_mm);
        }
    }
    page.number("respond_within_ms", protocol.respond_within_ms);
}

fn foreperiod(page: &mut Page, law: &Foreperiod) {
    page.table("foreperiod");
    match *law {
        Foreperiod::Exponential { min_ms, mean_ms, max_ms } => {
            page.text("law", "exponential");
            page.number("min_ms", min_ms);
            page.number("mean_ms", mean_ms);
            page.number("max_ms", max_ms);
        }
        Foreperiod::Uniform { min_ms, max_ms, catch_share } => {
            page.text("law", "uniform");
            page.number("min_ms", min_ms);
            page.number("max_ms", max_ms);
            page.number("catch_share", catch_share);
        }
        Foreperiod::Fixed { ms, catch_share } => {
            page.text("law", "fixed");
            page.number("ms", ms);
            page.number("catch_share", catch_share);
        }
        Foreperiod::Partner { min_ms, mean_ms, max_ms } => {
            page.text("law", "partner");
            page.number("min_ms", min_ms);
            page.number("mean_ms", mean_ms);
            page.number("max_ms", max_ms);
        }
    }
}

fn rules(page: &mut Page, protocol: &Protocol) {
    page.table("motion");
    page.text(
        "onset",
        match protocol.motion.onset {
            OnsetRule::First => "first",
            OnsetRule::FivePercent => "5pct",
            OnsetRule::Fit => "fit",
        },
    );
    page.number("low_pass_hz", protocol.motion.low_pass_hz);
    page.number("least_counts", protocol.motion.least_counts);
    let rules = &protocol.analysis;
    page.table("analysis");
    page.text("measure", rules.measure.name());
    page.text(
        "statistic",
        match rules.statistic {
            Statistic::TrimmedMean => "trimmed_mean",
            Statistic::Median => "median",
            Statistic::Mean => "mean",
        },
    );
    page.text(
        "family",
        match rules.family {
            Family::Reference => "reference",
            Family::All => "all",
        },
    );
    page.number("confidence", rules.confidence);
    let smallest = match rules.measure.unit() {
        "ms" => "smallest_change_ms",
        _ => "smallest_change",
    };
    page.number(smallest, rules.smallest_change_ms);
    page.number("anticipation_ms", rules.anticipation_ms);
    page.number("lapse_ms", rules.lapse_ms);
    if !protocol.design.looks.is_empty() {
        let looks: Vec<String> = protocol.design.looks.iter().map(usize::to_string).collect();
        page.value("looks", format!("[{}]", looks.join(", ")));
    }
    page.table("care");
    page.value("discomfort_limit", protocol.care.discomfort_limit);
    page.number("longest_minutes", protocol.care.longest_minutes);
    page.number("firm_minutes_at_most", protocol.care.firm_minutes_at_most);
}

#[derive(Default)]
struct Page(String);

impl Page {
    fn table(&mut self, name: &str) {
        self.0 += &format!("\n[{name}]\n");
    }

    fn value(&mut self, key: &str, value: impl Display) {
        self.0 += &format!("{key} = {value}\n");
    }

    /// The shortest digits that read back as the same number.
    fn number(&mut self, key: &str, number: f64) {
        self.value(key, toml::Value::Float(number));
    }

    /// One number, or a list of them.
    fn levels(&mut self, key: &str, levels: &Levels) {
        match levels.values() {
            [one] => self.number(key, *one),
            several => {
                let numbers = several.iter().map(|number| toml::Value::Float(*number));
                self.value(key, toml::Value::Array(numbers.collect()));
            }
        }
    }

    fn text(&mut self, key: &str, text: &str) {
        self.value(key, toml::Value::String(text.to_owned()));
    }

    fn ratings(&mut self, key: &str, ratings: &[Rating]) {
        let names = ratings.iter().map(|rating| toml::Value::String(rating.name().to_owned()));
        self.value(key, toml::Value::Array(names.collect()));
    }
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::protocol::{Foreperiod, Order};
    use crate::protocol::{read, shipped::shipped};

    #[test]
    fn every_shipped_protocol_comes_back_as_it_was() {
        for shipped in shipped() {
            let protocol = read(shipped.text, shipped.id).unwrap();
            let text = write(&protocol);
            let again =
                read(&text, "written").unwrap_or_else(|faults| panic!("{faults:?}\n{text}"));
            assert_eq!(again, protocol, "{text}");
        }
    }

    #[test]
    fn other_laws_and_awkward_texts_come_back() {
        let mut protocol = read(shipped()[0].text, "first").unwrap();
        protocol.title = "a \"quoted\" \\ title\nof two lines, # no comment".to_owned();
        protocol.conditions[0].say = "'''".to_owned();
        protocol.design.order = Order::Mirrored;
        for law in [
            Foreperiod::Uniform { min_ms: 700.0, max_ms: 1900.5, catch_share: 0.1 },
            Foreperiod::Fixed { ms: 1000.0, catch_share: 0.0 },
            Foreperiod::Partner { min_ms: 700.0, mean_ms: 900.0, max_ms: 12_000.0 },
        ] {
            protocol.foreperiod = law;
            let text = write(&protocol);
            let again =
                read(&text, "written").unwrap_or_else(|faults| panic!("{faults:?}\n{text}"));
            assert_eq!(again, protocol, "{text}");
        }
    }
}

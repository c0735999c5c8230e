//! What the computer tells of itself that can make times wrong or trials late: its clock, how its
//! processor's speed is governed, mains or battery, and what else it does.
//!
//! Read from Linux's own files under a root that tests replace; no host, user or serial name is
//! among them. Elsewhere nothing is asked, and the findings say so.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Load a core above which other programs are in the way. Common practice, no source.
const BUSY: f64 = 0.5;

/// What was told; blank where nobody tells.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Computer {
    /// The kernel's clock (`tsc`, `hpet`, ..).
    pub clock_source: Option<String>,
    /// Governors of the processors, and how many each governs.
    pub governors: BTreeMap<String, usize>,
    /// Whether it runs on its battery.
    pub on_battery: Option<bool>,
    /// Runnable threads over the last minute.
    pub load: Option<f64>,
    /// Logical cores.
    pub cores: usize,
    /// Whether it is a virtual machine.
    pub virtual_machine: Option<bool>,
}

/// Reads what Linux tells under `root` (`/` for real).
pub fn read(root: &Path, cores: usize) -> Computer {
    Computer {
        clock_source: word(
            &root.join("sys/devices/system/clocksource/clocksource0/current_clocksource"),
        ),
        governors: governors(&root.join("sys/devices/system/cpu")),
        on_battery: on_battery(&root.join("sys/class/power_supply")),
        load: word(&root.join("proc/loadavg")).and_then(|text| text.parse().ok()),
        cores,
        virtual_machine: fs::read_to_string(root.join("proc/cpuinfo"))
            .ok()
            .map(|text| text.split_whitespace().any(|flag| flag == "hypervisor")),
    }
}

/// First word of a file that some systems have and others do not.
fn word(path: &Path) -> Option<String> {
    let text = fs::read_to_string(path).ok()?;
    text.split_whitespace().next().map(str::to_owned)
}

/// Folders inside `path`; none where there is no such folder.
fn folders(path: &Path) -> Vec<std::path::PathBuf> {
    let entries = fs::read_dir(path).into_iter().flatten();
    entries.filter_map(Result::ok).map(|entry| entry.path()).collect()
}

fn governors(cpus: &Path) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for cpu in folders(cpus) {
        if let Some(governor) = word(&cpu.join("cpufreq/scaling_governor")) {
            *found.entry(governor).or_default() += 1;
        }
    }
    found
}

/// On battery when the computer's own battery discharges and no mains is on line. A mouse's or a
/// headset's battery (scope `Device`) is not the computer's.
fn on_battery(supplies: &Path) -> Option<bool> {
    let (mut mains, mut discharging, mut told) = (false, false, false);
    for supply in folders(supplies) {
        if word(&supply.join("scope")).is_some_and(|scope| scope == "Device") {
            continue;
        }
        match word(&supply.join("type")).as_deref() {
            Some("Mains" | "USB") => {
                told = true;
                mains |= word(&supply.join("online")).is_some_and(|online| online == "1");
            }
            Some("Battery") => {
                told = true;
                discharging |=
                    word(&supply.join("status")).is_some_and(|status| status == "Discharging");
            }
            _ => {}
        }
    }
    told.then_some(discharging && !mains)
}

/// What it means.
pub fn findings(computer: &Computer) -> Vec<Finding> {
    vec![clock(computer), governor(computer), power(computer), load(computer)]
}

fn clock(computer: &Computer) -> Finding {
    let topic = Topic::ClockSource;
    match computer.clock_source.as_deref() {
        None => Finding::not_told(topic, words::clock_untold().to_owned(), None),
        // It ticks with the scheduler: 1 to 10 ms steps.
        Some(name @ "jiffies") => Finding {
            topic,
            grade: Grade::Mend,
            what: words::clock_coarse(name),
            matters: Matters::Spread { sd_ms: 10.0 / 12.0_f64.sqrt() },
            mend: Some(words::clock_mend().to_owned()),
        },
        // Read over a bus, about a microsecond each: no error that a reaction time could show.
        Some(name @ ("hpet" | "acpi_pm")) => Finding {
            topic,
            grade: Grade::Note,
            what: words::clock_slow(name),
            matters: Matters::No,
            mend: None,
        },
        Some(name) => {
            let what = words::clock_good(name, computer.virtual_machine == Some(true));
            Finding::good(topic, what, Matters::No)
        }
    }
}

fn governor(computer: &Computer) -> Finding {
    let topic = Topic::Governor;
    let names: Vec<&str> = computer.governors.keys().map(String::as_str).collect();
    match names[..] {
        [] => Finding::not_told(topic, words::governor_untold().to_owned(), None),
        ["performance"] => Finding::good(topic, words::governor(&names), Matters::No),
        _ => Finding {
            topic,
            grade: Grade::Note,
            what: words::governor(&names),
            matters: Matters::Trials,
            mend: Some(words::governor_mend().to_owned()),
        },
    }
}

fn power(computer: &Computer) -> Finding {
    let topic = Topic::Power;
    match computer.on_battery {
        None => Finding::not_told(topic, words::power_untold().to_owned(), None),
        Some(false) => Finding::good(topic, words::on_mains().to_owned(), Matters::No),
        Some(true) => Finding {
            topic,
            grade: Grade::Mend,
            what: words::on_battery().to_owned(),
            matters: Matters::Trials,
            mend: Some(words::on_battery_mend().to_owned()),
        },
    }
}

fn load(computer: &Computer) -> Finding {
    let topic = Topic::Load;
    let Some(load) = computer.load else {
        return Finding::not_told(topic, words::load_untold().to_owned(), None);
    };
    let what = words::load(load, computer.cores);
    if load <= BUSY * computer.cores.max(1) as f64 {
        return Finding::good(topic, what, Matters::No);
    }
    let mend = Some(words::load_mend().to_owned());
    Finding { topic, grade: Grade::Mend, what, matters: Matters::Trials, mend }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of its own that is gone afterwards.
    struct Root(std::path::PathBuf);

    impl Root {
        fn new(name: &str) -> Root {
            let path = std::env::temp_dir().join(format!("tautline-{name}-{}", std::process::id()));
            fs::create_dir_all(&path).unwrap();
            Root(path)
        }

        fn put(&self, file: &str, text: &str) {
            let path = self.0.join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
    }

    impl Drop for Root {
        fn drop(&mut self) {
            drop(fs::remove_dir_all(&self.0));
        }
    }

    #[test]
    fn a_laptop_on_its_battery_is_read() {
        let root = Root::new("laptop");
        root.put("sys/devices/system/clocksource/clocksource0/current_clocksource", "tsc\n");
        for cpu in 0..4 {
            root.put(
                &format!("sys/devices/system/cpu/cpu{cpu}/cpufreq/scaling_governor"),
                "powersave\n",
            );
        }
        root.put("sys/class/power_supply/AC/type", "Mains\n");
        root.put("sys/class/power_supply/AC/online", "0\n");
        root.put("sys/class/power_supply/BAT0/type", "Battery\n");
        root.put("sys/class/power_supply/BAT0/status", "Discharging\n");
        root.put("proc/loadavg", "3.10 1.60 1.01 2/300 4711\n");
        root.put("proc/cpuinfo", "model name : x\nflags : fpu sse2\n");
        let computer = read(&root.0, 4);
        assert_eq!(computer.clock_source.as_deref(), Some("tsc"));
        assert_eq!(computer.governors, BTreeMap::from([("powersave".to_owned(), 4)]));
        assert_eq!(computer.on_battery, Some(true));
        assert_eq!(computer.load, Some(3.10));
        assert_eq!(computer.virtual_machine, Some(false));
        let grades: Vec<Grade> = findings(&computer).iter().map(|f| f.grade).collect();
        assert_eq!(grades, [Grade::Good, Grade::Note, Grade::Mend, Grade::Mend]);
    }

    #[test]
    fn a_wireless_mouses_battery_is_not_the_computers() {
        let root = Root::new("mouse-battery");
        root.put("sys/class/power_supply/AC/type", "Mains\n");
        root.put("sys/class/power_supply/AC/online", "1\n");
        root.put("sys/class/power_supply/hid-1/type", "Battery\n");
        root.put("sys/class/power_supply/hid-1/scope", "Device\n");
        root.put("sys/class/power_supply/hid-1/status", "Discharging\n");
        assert_eq!(read(&root.0, 4).on_battery, Some(false));
    }

    #[test]
    fn where_nobody_tells_nothing_is_claimed() {
        let root = Root::new("nothing");
        let computer = read(&root.0, 2);
        assert_eq!(computer, Computer { cores: 2, ..Computer::default() });
        assert!(findings(&computer).iter().all(|f| f.grade == Grade::NotTold));
    }
}

//! findings.json, the report and the pictures: whole, by themselves, and claiming nothing.

use super::invented::{protocol, session};
use serde_json::Value;
use std::path::PathBuf;
use tautline::findings::files::{write_all, write_pictures};
use tautline::findings::input::{RatingFacts, RigNote};
use tautline::findings::json::FindingsJson;
use tautline::findings::picture::{Naming, PictureShape, as_png, as_svg};
use tautline::findings::{Findings, report, work_out};
use tautline::protocol::Family;
use tautline::record::{Flag, Outcome};
use tiny_skia::Pixmap;

/// Three holds with doubts of many kinds.
fn busy() -> Findings {
    let mut protocol = protocol(3, 6);
    protocol.analysis.family = Family::All;
    let mut data = session(protocol, &[0.0, -12.0, 0.0], 5);
    data.ratings = vec![RatingFacts { position: 2, item: "discomfort".to_owned(), value: 3 }];
    for (index, trial) in data.trials.iter_mut().enumerate() {
        match index % 29 {
            3 => trial.outcome = Outcome::Wrong,
            7 => trial.outcome = Outcome::Anticipation,
            11 => trial.flags.set(Flag::LateFrame),
            13 => trial.click_ms = Some(620.0),
            17 if index > 300 => trial.outcome = Outcome::Miss,
            _ => {}
        }
    }
    work_out(vec![data]).unwrap()
}

fn quiet() -> Findings {
    work_out(vec![session(protocol(2, 8), &[0.0, -12.0], 7)]).unwrap()
}

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("findings").join(name)
}

#[test]
fn the_object_has_the_promised_fields() {
    let json: Value = serde_json::from_str(&FindingsJson::of(&busy()).text()).unwrap();
    let has = |value: &Value, names: &[&str]| {
        for name in names {
            assert!(value.get(name).is_some(), "{name} is missing");
        }
    };
    has(&json, &["format", "analysis_version", "simulated", "sessions", "measure", "family"]);
    has(&json, &["confidence", "sentence", "conditions", "pairs"]);
    assert_eq!((json["measure"].as_str(), json["family"].as_str()), (Some("click"), Some("all")));
    let conditions = json["conditions"].as_array().unwrap();
    assert_eq!(conditions.len(), 3);
    has(&conditions[0], &["id", "trials", "excluded", "mean_ms", "median_ms", "trimmed_mean_ms"]);
    has(&conditions[0], &["sd_ms", "error_share", "slope_ms_per_10min"]);
    has(&conditions[0]["slope_ms_per_10min"], &["estimate", "low", "high"]);
    let pairs = json["pairs"].as_array().unwrap();
    assert_eq!(pairs.len(), 3);
    has(&pairs[0], &["a", "b", "difference_ms", "low_ms", "high_ms", "low_single_ms"]);
    has(&pairs[0], &["high_single_ms", "df", "p_t", "p_adjusted", "p_randomization"]);
    has(&pairs[0], &["attainable_p", "equivalence", "chance_a_faster"]);
    has(&pairs[0], &["chance_a_faster_by_enough", "verdict"]);
    has(&pairs[0]["equivalence"], &["low", "high"]);
}

#[test]
fn the_report_stands_by_itself() {
    let html = report::html(&busy());
    for outside in ["<script", "<link", "<img", "@import", "url(", " src=", " href="] {
        assert!(!html.contains(outside), "the report holds {outside}");
    }
    // The one address is the name of SVG's own namespace, which is never fetched.
    let addresses: Vec<_> = html.match_indices("://").map(|(i, _)| &html[i - 4..i + 10]).collect();
    assert!(addresses.iter().all(|a| *a == "http://www.w3.org"[..14].to_owned()), "{addresses:?}");
    assert!(html.contains("Simulated: a program invented these presses"));
    assert!(html.contains("not a medical device"));
}

#[test]
fn what_comes_from_files_is_escaped() {
    let mut data = session(protocol(2, 4), &[0.0, 0.0], 9);
    data.protocol.title = "<script>x</script>".to_owned();
    data.protocol.question = "a & <b>".to_owned();
    data.protocol.conditions[0].id = "\"><svg onload=x>".to_owned();
    data.rig.notes.push(RigNote { name: "<i>".to_owned(), value: "</table>'".to_owned() });
    let html = report::html(&work_out(vec![data]).unwrap());
    assert!(!html.contains("<script") && !html.contains("<svg onload") && !html.contains("<i>"));
    assert!(html.contains("a &amp; &lt;b&gt;") && html.contains("&lt;/table&gt;&#39;"));
}

#[test]
fn nothing_is_claimed_about_health() {
    let sources = [
        report::html(&busy()),
        report::html(&quiet()),
        include_str!("../../../src/words/findings.rs").to_owned(),
    ];
    let claims = ["prevent", "treat", "cause", "cure", "heal", "injur", "safer", "diagnos"];
    for text in sources {
        let text = text.to_lowercase();
        for word in text.split(|c: char| !c.is_alphabetic()) {
            // "health" is said once, to say that nothing is claimed about it; "because" is no claim.
            let allowed = word.starts_with("health") || word == "because";
            let claim = claims.iter().any(|claim| word.starts_with(claim));
            assert!(allowed || !claim, "a claim: {word}");
        }
    }
}

#[test]
fn pictures_have_their_sizes_and_ink() {
    for shape in PictureShape::ALL {
        let picture =
            Pixmap::decode_png(&as_png(&quiet(), shape, Naming::Nobody).unwrap()).unwrap();
        let size = (picture.width(), picture.height());
        match shape {
            PictureShape::Wide => assert_eq!(size, (1920, 1080)),
            PictureShape::Tall => assert_eq!(size, (1080, 1920)),
        }
        let paper = picture.pixel(2, 2).unwrap();
        let inked = picture.pixels().iter().filter(|pixel| **pixel != paper).count();
        assert!(inked > picture.pixels().len() / 50, "{inked} pixels of ink");
        // Nothing runs over the edge.
        let rows = 0..picture.height();
        assert!(rows.clone().all(|y| picture.pixel(picture.width() - 20, y) == Some(paper)));
    }
}

#[test]
fn a_name_stands_on_a_picture_only_when_asked() {
    let said = |naming| {
        let drawing = tautline::findings::picture::draw(&quiet(), PictureShape::Wide, naming);
        format!("{:?}", drawing.items)
    };
    assert!(!said(Naming::Nobody).to_lowercase().contains("heron"));
    assert!(said(Naming::Player("Heron")).contains("Heron"));
    assert!(said(Naming::Nobody).contains("Simulated"));
    let svg = as_svg(&quiet(), PictureShape::Wide, Naming::Nobody);
    assert!(svg.starts_with("<svg ") && svg.contains("<path d=\"M") && !svg.contains("<text"));
}

#[test]
fn all_files_are_written_and_can_be_written_again() {
    for (name, findings) in [("busy", busy()), ("quiet", quiet())] {
        let folder = folder(name);
        let written = write_all(&findings, &folder).unwrap();
        let again = write_all(&findings, &folder).unwrap();
        assert_eq!((written.files.len(), &written), (6, &again));
        assert!(written.files.iter().all(|file| file.metadata().unwrap().len() > 500));
        assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 6, "no half file is left");
    }
    let file = folder("quiet").join("findings.json");
    assert!(write_pictures(&quiet(), &file, Naming::Nobody).is_err(), "a file is no folder");
}

//! A coach's view: the sessions of several players over weeks, without a window.

use crate::guide::{rehearsed, visitor};
use crate::visitor::HIGH;
use crate::weeks;
use std::path::PathBuf;

#[test]
fn sessions_over_weeks_are_charted_and_only_players_who_agreed_stand_beside_one_another() {
    let mut visitor = visitor("weeks", HIGH);
    visitor.click("I have read this");
    visitor.click("Leave them out");
    visitor.click("Sessions and players");
    visitor.until("The first session: choose a question.");
    assert!(visitor.says("from two players on"), "{}", visitor.all());
    let kept = visitor.folder.join("rehearsed");
    let sources: Vec<PathBuf> = ["11", "12", "13", "14", "15"]
        .iter()
        .map(|seed| {
            let from = rehearsed(&visitor, seed);
            let to = kept.join(from.file_name().unwrap()).with_extension(seed);
            std::fs::create_dir_all(&kept).unwrap();
            std::fs::rename(&from, &to).unwrap();
            to
        })
        .collect();
    let data = visitor.folder.join("data");
    weeks::put(&data, &sources, &weeks::THREE);
    visitor.click("Settings");
    visitor.click("Sessions and players");
    visitor.until("Heron (invented): A check four weeks after the last session, from ");
    visitor.until("Otter (invented): The last session was on ");
    assert!(!visitor.says("from two players on"), "{}", visitor.all());
    let beside = |name: &str| {
        let times = format!("{name}: ");
        let all = visitor.texts.iter().map(|text| text.text.as_str());
        all.filter(|text| text.starts_with(&times) && text.contains("Light ")).count()
    };
    assert_eq!(beside("Heron (invented)"), 1, "{}", visitor.all());
    assert_eq!(beside("Otter (invented)"), 1, "{}", visitor.all());
    assert_eq!(beside("Wren (invented)"), 0, "{}", visitor.all());
    visitor.click("Heron (invented)");
    visitor.until("Typical times, session by session");
    assert!(visitor.says("Dashed: the limits"), "{}", visitor.all());
    assert!(!visitor.all().contains("Otter (invented): "), "{}", visitor.all());
    let charted = visitor.labels.iter().filter(|label| label.matches(" ms").count() == 5).count();
    assert_eq!(charted, 2, "a chart of five sessions for each hold: {:?}", visitor.labels);
    visitor.click("What its sessions found together");
    visitor.until("What you expected");
    assert!(!visitor.says("Simulated"), "{}", visitor.all());
}

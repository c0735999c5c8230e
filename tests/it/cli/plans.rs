//! Plans side by side, by command: the grid, the wish, the plot, the player's own sessions, the stop.

use super::Desk;

#[test]
fn the_grid_tells_of_each_plan_and_names_the_smallest_that_meets_the_wish() {
    let desk = Desk::new("plan-grid");
    let line = "plan two-holds --cycles 3,6,10 --trials 8,16 --wish 0.5 --simulations 100 --json";
    let told = desk.type_in(line).json();
    let plans = told["grid"]["plans"].as_array().unwrap();
    assert_eq!(plans.len(), 6);
    assert_eq!(plans[0]["refused"], "too few: 4 cycles at least");
    let sound: Vec<_> = plans.iter().filter(|plan| plan.get("refused").is_none()).collect();
    assert_eq!(sound.len(), 4);
    let smallest = &told["grid"]["smallest"];
    let of = |plan: &&&serde_json::Value| {
        plan["cycles"] == smallest["cycles"] && plan["trials"] == smallest["trials"]
    };
    let chosen = sound.iter().find(of).expect("it is one of them");
    let minutes = |plan: &serde_json::Value| plan["minutes"].as_f64().unwrap();
    let share = |plan: &serde_json::Value| plan["clear_answer_share"].as_f64().unwrap();
    assert!(share(chosen) >= 0.5);
    for plan in &sound {
        assert!(share(plan) < 0.5 || minutes(plan) >= minutes(chosen), "{plan} is shorter");
    }
}

#[test]
fn the_plot_is_an_svg_file_of_its_own() {
    let desk = Desk::new("plan-plot");
    let done = desk.type_in(
        "plan two-holds --cycles 6,8 --trials 8,12 --simulations 50 --wish 0.9 --out plans.svg",
    );
    assert_eq!(done.code, 0, "{}", done.err);
    assert!(done.out.contains("clear  power  give or take"), "{}", done.out);
    assert!(done.err.contains("simulating: 100 %") || done.err.contains("simulating:"));
    let svg = std::fs::read_to_string(desk.path("plans.svg")).unwrap();
    assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"));
    let fault = desk
        .type_in("plan two-holds --cycles 6 --trials 8 --simulations 50 --out nowhere/plans.svg");
    assert_eq!(fault.code, 1);
    assert!(fault.err.contains("the plot cannot be written"), "{}", fault.err);
}

#[test]
fn the_players_own_sessions_give_the_player_that_is_simulated() {
    let desk = Desk::new("plan-own");
    let folders = desk.rehearse("two-holds --seed 1 --sessions 3");
    let mut words = vec!["plan", "two-holds", "--simulations", "50", "--json", "--from"];
    words.extend(folders.iter().map(|folder| folder.to_str().unwrap()));
    let told = desk.call(&words).json();
    let player = told["player"].as_str().unwrap();
    assert!(player.starts_with("Tried on a player like you in 3 sessions"), "{player}");
    // One short session says too little.
    let text = desk.type_in("protocols two-holds").out;
    let text: String = text
        .lines()
        .map(|line| if line.starts_with("cycles = ") { "cycles = 4" } else { line })
        .map(|line| if line.starts_with("trials = ") { "trials = 5" } else { line })
        .map(|line| format!("{line}\n"))
        .collect();
    std::fs::write(desk.path("short.toml"), text).unwrap();
    let short = desk.rehearse("./short.toml --seed 1").remove(0);
    let told = desk.call(&["plan", "two-holds", "--from", short.to_str().unwrap()]);
    assert!(told.code == 0 || told.err.contains("too few"), "{}", told.err);
}

/// However long the plan would take, Ctrl-C ends it with a word and its own exit code.
#[cfg(unix)]
#[test]
fn ctrl_c_ends_a_long_plan_with_a_word() {
    use std::io::{BufRead, BufReader, Read};
    use std::process::{Command, Stdio};
    let desk = Desk::new("plan-stop");
    let words = "plan three-holds --grid --simulations 3000 --difference 12 --out never.svg";
    let mut child = desk
        .command()
        .args(words.split_whitespace())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut err = BufReader::new(child.stderr.take().unwrap());
    // Once it tells of its progress it hears the signal.
    let mut line = String::new();
    while !line.starts_with("simulating: ") {
        line.clear();
        assert!(err.read_line(&mut line).unwrap() > 0, "it ended before it was stopped");
    }
    let sent = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(sent.success());
    let mut rest = String::new();
    err.read_to_string(&mut rest).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(130), "{rest}");
    assert!(rest.trim_end().ends_with("stopped; nothing was written"), "{rest}");
    assert!(!desk.path("never.svg").exists());
}

//! Tables measured elsewhere: from their text to the findings, checked against values that other
//! programs worked out from the same data, and against the texts of errors.

use tautline::exchange::{Asked, Mapping, TableError, Unit, read};
use tautline::findings::input::SessionData;
use tautline::findings::json::FindingsJson;
use tautline::findings::{Findings, elsewhere, files, report, work_out};
use tautline::protocol::Statistic;
use tautline::words::Tell;

fn file(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn asked(columns: &[&str]) -> Asked {
    let columns = columns.iter().map(|text| Mapping::parse(text).unwrap()).collect();
    Asked { columns, ..Asked::default() }
}

fn sessions(text: &str, asked: &Asked) -> Vec<SessionData> {
    read(text.as_bytes(), "times.csv", asked).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn found(bytes: &[u8], asked: &Asked) -> Findings {
    let sessions = read(bytes, "times.csv", asked).unwrap_or_else(|faults| panic!("{faults:?}"));
    work_out(sessions).unwrap()
}

fn told(text: &str, asked: &Asked) -> String {
    let faults: Vec<TableError> = read(text.as_bytes(), "times.csv", asked).unwrap_err();
    let told: Vec<String> = faults.iter().map(|fault| fault.tell().to_string()).collect();
    told.join("\n")
}

fn times(sessions: &[SessionData]) -> Vec<f64> {
    sessions.iter().flat_map(|s| &s.trials).filter_map(|trial| trial.click_ms).collect()
}

fn near(got: f64, expected: f64, relative: f64) {
    assert!((got - expected).abs() <= relative * expected.abs(), "{got} is not {expected}");
}

/// tests/data/checks/frames.toml, cases `one_end` and `both_ends` at 120 a second: scipy 1.17.1.
const ONE_END_SD_MS: f64 = 2.405_626_121_623_441;
const BOTH_ENDS_SD_MS: f64 = 3.402_069_087_198_859;

#[test]
fn frames_become_milliseconds_and_their_doubt_enters_the_error_budget() {
    let at_120 = |columns: &[&str]| Asked { frames_per_second: Some(120.0), ..asked(columns) };
    // 25.2 frames at 120 a second are 210 ms (common practice, no source).
    let text = "hold,cycle,frames\nlight,1,25.2\nfirm,1,24\n";
    let one = sessions(text, &at_120(&[]));
    near(times(&one)[0], 210.0, 1e-12);
    near(times(&one)[1], 200.0, 1e-12);
    near(one[0].trials[0].rt_sd_ms.unwrap(), ONE_END_SD_MS, 1e-12);
    let text = "hold,cycle,start_frame,end_frame\nlight,1,100,125.2\nfirm,1,1000,1024\n";
    let both = sessions(text, &at_120(&[]));
    near(times(&both)[0], 210.0, 1e-9);
    near(both[0].trials[0].rt_sd_ms.unwrap(), BOTH_ENDS_SD_MS, 1e-12);
    let findings = work_out(both).unwrap();
    let json = FindingsJson::of(&findings);
    near(json.table.unwrap().single_time_sd_ms.unwrap(), BOTH_ENDS_SD_MS, 1e-12);
    let said = "A single time is known only to about 3.4 ms (standard deviation), because it was \
                seen in frames of 8.3 ms.";
    assert!(json.warnings.iter().any(|warning| warning == said), "{:?}", json.warnings);
    assert!(report::html(&findings).contains("3.402 ms (frame/\u{221a}6, 120 frames a second)"));
}

#[test]
fn times_may_be_in_ms_or_s_and_say_so_by_name_by_size_or_by_hand() {
    let of = |header: &str, cell: &str, asked: &Asked| {
        let text = format!("hold,cycle,{header}\nlight,1,{cell}\nfirm,1,{cell}\n");
        times(&sessions(&text, asked))[0]
    };
    near(of("rt_ms", "210.5", &asked(&[])), 210.5, 1e-12);
    near(of("RT (s)", "0.2105", &asked(&[])), 210.5, 1e-12);
    near(of("rt", "210.5", &asked(&[])), 210.5, 1e-12);
    near(of("rt", "0.2105", &asked(&[])), 210.5, 1e-12);
    near(of("rt", "50", &Asked { unit: Some(Unit::Ms), ..asked(&[]) }), 50.0, 1e-12);
    near(of("what", "0.2105", &asked(&["time=what"])), 210.5, 1e-12);
}

#[test]
fn every_delimiter_and_the_decimal_comma_give_the_same_sessions() {
    let commas = "hold,cycle,order,rt_ms\nlight,1,1,210.5\nfirm,1,2,198.25\nlight,2,4,\n\
                  firm,2,3,201\n";
    let same = |text: &str| {
        let mut read = sessions(text, &asked(&[]));
        let first = sessions(commas, &asked(&[]));
        for (session, other) in read.iter_mut().zip(&first) {
            session.origin = other.origin.clone();
        }
        assert_eq!(read, first);
    };
    same(&commas.replace(',', "\t"));
    same(&commas.replace(',', ";").replace('.', ","));
    same(&format!("\u{feff}{}", commas.replace('\n', "\r\n")));
    same(&commas.replace("210.5", "\"210,5\"").replace("198.25", "\"198,25\""));
}

/// tests/data/checks/open_data.toml, case `audio_visual`: scipy 1.17.1 `ttest_rel`.
#[test]
fn one_time_a_person_and_condition_gives_the_paired_t_test() {
    let asked = asked(&["condition=Stimulus", "cycle=Subject", "player="]);
    let findings = found(&file("tests/data/open/audio_visual.csv"), &asked);
    assert_eq!(findings.blocks.len(), 72);
    // Two times below 100 ms stay out of the declared comparison; here everything is in.
    let fit = findings.pairs_everything_in[0].fit.unwrap();
    near(fit.difference, -72.961_472_222_222_21, 1e-9);
    near(fit.difference / fit.standard_error, -6.799_212_300_121_672, 1e-9);
    near(fit.df, 35.0, 0.0);
    near(fit.p_t, 6.949_080_596_346_079e-8, 1e-7);
    assert_eq!(findings.holds[0].excluded, 2);
}

/// tests/data/checks/open_data.toml, case `stroop_subset`: pandas 3.1.1 medians, scipy 1.17.1
/// `ttest_rel`.
#[test]
fn medians_of_right_answers_give_the_paired_t_test() {
    let columns = ["condition=congruency", "cycle=pno", "player="];
    let asked = Asked { statistic: Statistic::Median, ..asked(&columns) };
    let bytes = file("tests/data/open/stroop_subset.csv");
    let findings = found(&bytes, &asked);
    let entered: usize = findings.holds.iter().map(|hold| hold.times_ms.len()).sum();
    assert_eq!(entered, 3749);
    let pair = &findings.pairs[0];
    let sign = if findings.holds[pair.a].id == "congruent" { -1.0 } else { 1.0 };
    let fit = pair.fit.unwrap();
    near(sign * fit.difference, 115.083_333_333_333_33, 1e-9);
    near(sign * fit.difference / fit.standard_error, 5.220_126_660_923_375, 1e-9);
    near(fit.df, 11.0, 0.0);
}

#[test]
fn the_invented_table_of_the_docs_gives_all_forms_and_no_p_by_redrawing() {
    let asked = Asked { frames_per_second: Some(120.0), ..asked(&[]) };
    let findings = found(&file("docs/invented-table.csv"), &asked);
    let json = FindingsJson::of(&findings);
    assert!(
        json.sentence.starts_with("Firm answered 12 ms sooner than light"),
        "{}",
        json.sentence
    );
    let pairs = || json.pairs.iter().chain(&json.pairs_without_exclusions);
    assert_eq!(pairs().count(), 2);
    assert!(pairs().all(|pair| pair.p_randomization.is_none() && pair.attainable_p.is_none()));
    assert!(pairs().all(|pair| pair.difference_ms.is_some()));
    assert!(json.table.unwrap().order_known);
    let folder = std::env::temp_dir().join(format!("tautline-table-{}", std::process::id()));
    let written = files::write_all(&findings, &folder).unwrap();
    assert_eq!(written.files.len(), 6);
    let html = std::fs::read_to_string(&written.report).unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    for line in elsewhere::not_known(elsewhere::facts(&findings.sessions).unwrap()) {
        assert!(html.contains(&line), "the report does not say: {line}");
    }
    for claim in [
        "first sight",
        "declared before the first block",
        "draw rule",
        "vsync",
        "clicked",
        "0 %</td>",
    ] {
        assert!(!html.contains(claim), "the report says `{claim}`, which nobody knows");
    }
}

/// Blocks of 8 trials, `level` ms and a little scatter, each hold where `order` says.
fn table(order: &[&str]) -> String {
    let mut text = "hold,block,rt_ms\n".to_owned();
    for (block, hold) in order.iter().enumerate() {
        for trial in 0..8_usize {
            let level = if *hold == "firm" { 200 } else { 240 };
            let ms = level + (trial * 37 + block * 11) % 13;
            text += &format!("{hold},{},{ms}\n", block + 1);
        }
    }
    text
}

#[test]
fn where_each_hold_was_one_lump_there_is_no_verdict() {
    let in_turn = ["light", "firm", "firm", "light", "light", "firm", "firm", "light"];
    let findings = found(table(&in_turn).as_bytes(), &asked(&[]));
    assert_eq!(findings.pairs[0].verdict.name(), "b_faster_by_enough");
    let lumps = ["light", "light", "light", "light", "firm", "firm", "firm", "firm"];
    let findings = found(table(&lumps).as_bytes(), &asked(&[]));
    let json = FindingsJson::of(&findings);
    assert_eq!(json.pairs[0].verdict, "withheld");
    assert_eq!(json.pairs[0].difference_ms, None);
    assert!(json.sentence.contains("each hold was one lump of trials"), "{}", json.sentence);
    assert!(json.warnings[0].contains("may be practice or tiredness"), "{:?}", json.warnings);
    assert!(json.table.unwrap().one_lump);
    // A lump a hold on each of five days, in no known order: degrees of freedom, and still lumps.
    let mut days = "hold,day,rt_ms\n".to_owned();
    for day in 1..=5_usize {
        days += &format!("light,{day},{}\nfirm,{day},{}\n", 240 + day * 11 % 13, 200 + day * 7 % 5);
    }
    let json = FindingsJson::of(&found(days.as_bytes(), &asked(&[])));
    assert_eq!(json.pairs[0].verdict, "withheld");
    assert_eq!(json.pairs_without_exclusions[0].difference_ms, None);
    // Neither a block nor a cycle column: the same.
    let bare = "hold,rt_ms\nlight,240\nlight,244\nfirm,200\nfirm,204\n";
    let json = FindingsJson::of(&found(bare.as_bytes(), &asked(&[])));
    assert_eq!(json.pairs[0].verdict, "withheld");
    assert!(json.sentence.contains("each hold was one lump of trials"), "{}", json.sentence);
}

#[test]
fn the_same_order_in_every_cycle_gives_no_verdict() {
    let fixed = ["light", "firm", "light", "firm", "light", "firm", "light", "firm"];
    let json = FindingsJson::of(&found(table(&fixed).as_bytes(), &asked(&[])));
    assert_eq!(json.pairs[0].verdict, "withheld");
    assert!(json.sentence.contains("the order of the blocks was fixed"), "{}", json.sentence);
}

#[test]
fn an_unknown_order_is_said_and_no_trend_is_taken_out() {
    let text = "hold,cycle,rt_ms\nlight,1,240\nfirm,1,200\nlight,2,250\nfirm,2,214\nlight,3,236\n\
                firm,3,190\nlight,4,241\nfirm,4,204\n";
    let findings = found(text.as_bytes(), &asked(&[]));
    let json = FindingsJson::of(&findings);
    // Differences 40, 36, 46, 37: mean 39.75, df 3, by hand.
    near(json.pairs[0].difference_ms.unwrap(), 39.75, 1e-12);
    near(json.pairs[0].df.unwrap(), 3.0, 0.0);
    assert!(json.warnings[0].starts_with("Nothing says in which order"), "{:?}", json.warnings);
    assert!(!json.table.unwrap().order_known);
}

#[test]
fn sessions_of_one_player_are_taken_together_and_of_several_one_is_chosen() {
    let mut text = "player,session,hold,block,rt_ms\n".to_owned();
    for player in ["heron", "egret"] {
        for session in ["1", "2"] {
            for (block, hold) in ["light", "firm", "firm", "light"].iter().enumerate() {
                let ms = 200 + 7 * block + if player == "heron" { 0 } else { 50 };
                text += &format!("{player},{session},{hold},{},{ms}\n", block + 1);
            }
        }
    }
    expect_test::expect![[r"
        error: the table has 2 players, and findings are of one
          in times.csv, column `player`
          choose one with --player NAME: heron, egret"]]
    .assert_eq(&told(&text, &asked(&[])));
    let egret = Asked { player: Some("egret".to_owned()), ..asked(&[]) };
    let sessions = sessions(&text, &egret);
    assert_eq!(sessions.len(), 2);
    assert_eq!(sessions[1].name, "times.csv, session 2");
    assert!(times(&sessions).iter().all(|ms| *ms >= 250.0));
    assert_eq!(work_out(sessions).unwrap().blocks.len(), 8);
}

#[test]
fn all_faults_are_told_at_once_with_line_column_and_mend() {
    let text = "hold;cycle;right;rt_ms\nlight;1;1;210,5\n;1;1;198,2\nfirm;2;maybe;fast\n\
                firm;2;1;-1\nfirm;3;1\n";
    let with_right = asked(&["correct=right"]);
    expect_test::expect![[r#"
        error: the cell is empty
          in times.csv:3, column `hold`
          fill it, or take the row out
        error: `maybe` is neither yes nor no
          in times.csv:4, column `right`
          write 1 or 0, yes or no, true or false
        error: `fast` is no number
          in times.csv:4, column `rt_ms`
          write a plain number without unit and thousands marks; leave it empty where there is none
        error: a time of -1 cannot be
          in times.csv:5, column `rt_ms`
          leave the cell empty where there was no answer, or one before the stimulus
        error: the row has 3 cells, the first line 4
          in times.csv:6
          give each row the cells of the first line; put text that holds the delimiter in quotes"#]]
    .assert_eq(&told(text, &with_right));
    expect_test::expect![[r#"
        error: there is no column `c`
          in times.csv:1
          write --column cycle= with one of: a, b
        error: no column is named like a condition
          in times.csv:1
          name it with --column condition=HEADER; the table has: a, b
        error: no column is named like a time
          in times.csv:1
          name it with --column time=HEADER, or --column start=HEADER --column end=HEADER for two frames; the table has: a, b"#]].assert_eq(&told("a,b\n1,2\n", &asked(&["cycle=c"])));
    expect_test::expect![[r#"
        error: nothing says in which unit the times are (half of them are below 24.5)
          in times.csv, column `rt`
          say it: --unit ms, --unit s, or --frames-per-second N"#]]
    .assert_eq(&told("hold,cycle,rt\nlight,1,25\nfirm,1,24\n", &asked(&[])));
    expect_test::expect![[r#"
        error: `1,250` may be a decimal or a thousand
          in times.csv:2, column `rt`
          write the column without thousands marks, or its decimals with a dot"#]]
    .assert_eq(&told("hold;cycle;rt\nlight;1;1,250\nfirm;1;1,240\n", &asked(&[])));
    expect_test::expect![[r#"
        error: the end frame 5 does not come after the start frame 5
          in times.csv:2, column `end`
          look at the two frames; leave the end empty where there was no answer"#]]
    .assert_eq(&told("hold,cycle,start,end\nlight,1,5,5\nfirm,1,1,30\n", &{
        Asked { frames_per_second: Some(120.0), ..asked(&[]) }
    }));
    expect_test::expect![[r#"
        error: the first line names one column only
          in times.csv:1
          part the columns by commas, semicolons or tabs"#]]
    .assert_eq(&told("hold\nlight\n", &asked(&[])));
    expect_test::expect![[r#"
        error: the table has no rows
          in times.csv
          give a file with a first line of column names and a row for each trial"#]]
    .assert_eq(&told("", &asked(&[])));
}

#[test]
fn bytes_that_are_no_text_are_told_with_their_line() {
    let faults = read(b"hold,rt\nlight,200\n\xff,3\n", "times.csv", &asked(&[])).unwrap_err();
    assert_eq!(faults[0].line, Some(3));
}

proptest::proptest! {
    /// Whatever stands in a table: faults, never a panic.
    #[test]
    fn any_cells_give_findings_or_faults(
        cells in proptest::collection::vec(
            proptest::sample::select(vec![
                "light", "firm", "1", "210,5", "1,250", "0.2", "NA", "", "\"", "\n", "1e308", "\u{b5}",
            ]),
            0..40,
        ),
        delimiter in proptest::sample::select(vec![",", ";", "\t"]),
    ) {
        let rows: Vec<String> = cells.chunks(3).map(|row| row.join(delimiter)).collect();
        let header = ["hold", "cycle", "rt"].join(delimiter);
        let text = format!("{header}\n{}\n", rows.join("\n"));
        match read(text.as_bytes(), "times.csv", &asked(&[])) {
            Ok(sessions) => drop(work_out(sessions).unwrap()),
            Err(faults) => proptest::prop_assert!(!faults.is_empty()),
        }
    }

    /// A table without faults always gives findings, however odd its plan; every row is in a block
    /// once, and nothing is known by re-drawing.
    #[test]
    fn any_plan_gives_findings(
        rows in proptest::collection::vec((0..3_usize, 1..4_u8, 1..4_u8, 90..700_u16), 2..60),
        header in proptest::sample::select(vec!["cycle,session", "block,session", "session,cycle",
            "cycle,block", "order,session", "unknown,session", "unknown,unsaid"]),
    ) {
        let mut text = format!("hold,{header},rt_ms\n");
        for (hold, first, second, ms) in &rows {
            let hold = ["light", "firm", "shaped"][*hold];
            text += &format!("{hold},{first},{second},{ms}\n");
        }
        let several = rows.iter().any(|row| row.0 != rows[0].0);
        let read = read(text.as_bytes(), "times.csv", &asked(&[]));
        proptest::prop_assert_eq!(read.is_ok(), several);
        let Ok(sessions) = read else { return Ok(()) };
        let findings = work_out(sessions).unwrap();
        let seen: usize = findings.blocks.iter().map(|block| block.seen).sum();
        proptest::prop_assert_eq!(seen, rows.len());
        let json = FindingsJson::of(&findings);
        proptest::prop_assert!(json.pairs.iter().all(|pair| pair.p_randomization.is_none()));
        proptest::prop_assert!(report::html(&findings).contains("What cannot be known"));
    }
}

/// Found by random cells: 10^308 s is no number of milliseconds.
#[test]
fn a_number_beyond_all_measure_is_told() {
    let text = "hold,time_s\nlight,0.2\nfirm,1e308\nlight,0.2\n";
    let told = told(text, &asked(&["condition=hold"]));
    assert!(told.contains("1e308") && told.contains("times.csv:3"), "{told}");
}

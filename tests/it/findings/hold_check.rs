//! Whether the holds were held, from ratings, from a force axis, and from nothing.

use super::invented::{protocol, session};
use tautline::findings::hold_check::ToldBy;
use tautline::findings::input::{RatingFacts, SessionData};
use tautline::findings::json::FindingsJson;
use tautline::findings::report;
use tautline::findings::spoil::Spoiler;
use tautline::findings::work_out;
use tautline::protocol::Tension;

/// A session whose blocks were rated: hold 0 by `light`, the others by `firm`, with one to add.
fn rated(light: u8, firm: u8) -> SessionData {
    let mut protocol = protocol(2, 6);
    protocol.conditions[1].tension = Tension::Firm;
    let mut data = session(protocol, &[0.0, -12.0], 5);
    data.ratings = data
        .blocks
        .iter()
        .map(|block| RatingFacts {
            position: block.position,
            item: "tension".to_owned(),
            value: if block.condition == 0 { light } else { firm },
        })
        .collect();
    data
}

fn not_held(data: &SessionData) -> Vec<Spoiler> {
    let findings = work_out(vec![data.clone()]).unwrap();
    let own = |spoiler: &Spoiler| matches!(spoiler, Spoiler::NotHeldApart { .. });
    findings.spoilers.into_iter().filter(own).collect()
}

#[test]
fn holds_that_were_rated_apart_raise_no_doubt() {
    let data = rated(1, 4);
    assert_eq!(not_held(&data), []);
    let findings = work_out(vec![data]).unwrap();
    let json = FindingsJson::of(&findings).hold_check.unwrap();
    assert_eq!(json.told_by, ToldBy::Rating);
    assert_eq!((json.pairs[0].held, json.pairs[0].difference), (Some(true), Some(3.0)));
    let html = report::html(&findings);
    assert!(html.contains("Were the holds held?") && html.contains("told apart"));
}

#[test]
fn holds_that_were_rated_alike_are_a_doubt_that_names_the_blocks() {
    let doubts = not_held(&rated(3, 3));
    let [Spoiler::NotHeldApart { blocks, difference, .. }] = &doubts[..] else {
        panic!("{doubts:?}");
    };
    assert_eq!((blocks.len(), *difference), (6, 0.0));
    // One block in which it was not the firmer is named and tolerated.
    let mut data = rated(1, 4);
    let firm = data.blocks.iter().find(|block| block.condition == 1).unwrap().position;
    let own = data.ratings.iter_mut().find(|rating| rating.position == firm).unwrap();
    own.value = 1;
    assert_eq!(not_held(&data), []);
    let json = FindingsJson::of(&work_out(vec![data]).unwrap()).hold_check.unwrap();
    assert_eq!(json.pairs[0].blocks_not_apart, [(1, firm)]);
}

#[test]
fn a_force_axis_comes_before_the_rating() {
    let mut data = rated(1, 8);
    let firm: Vec<usize> =
        data.blocks.iter().filter(|b| b.condition == 1).map(|b| b.position).collect();
    for trial in &mut data.trials {
        let more = if firm.contains(&trial.position) { 0.01 } else { 0.0 };
        trial.hand.force_share = Some(0.2 + more);
    }
    let doubts = not_held(&data);
    assert!(
        matches!(&doubts[..], [Spoiler::NotHeldApart { told_by: ToldBy::Force, .. }]),
        "{doubts:?}"
    );
}

#[test]
fn without_ratings_and_force_nothing_is_claimed() {
    let mut data = rated(1, 4);
    data.ratings.clear();
    assert_eq!(not_held(&data), []);
    let findings = work_out(vec![data]).unwrap();
    assert_eq!(findings.hold_check.as_ref().unwrap().told_by, ToldBy::Nothing);
    assert!(report::html(&findings).contains("nothing tells"));
}

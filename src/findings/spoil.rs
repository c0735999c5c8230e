//! What may spoil a finding: doubts with their numbers, each with a way to mend it.
//!
//! Typed, so that a screen can mark them and a test can count them; the sentences stand in
//! `words`. A doubt never changes the verdict.

use super::ANALYSIS_VERSION;
use super::compare::{Findings, Hold, share};
use super::elsewhere;
use super::enter::{LeftOut, Unused};
use super::hold_check::{PairCheck, ToldBy};
use super::input::Ended;
use super::looks;
use crate::analysis::{Pair, Verdict};
use crate::protocol::{Order, Rating, Statistic, rules_hash};
use crate::words::findings as words;

/// A difference of shares between holds that is worth a word. Common practice, no source.
const SHARE_GAP: f64 = 0.05;

/// Errors of all trials that are worth a word. Common practice, no source.
const ERROR_SHARE: f64 = 0.1;

/// Late frames among the trials that entered that are worth a word. Common practice, no source.
const LATE_SHARE: f64 = 0.02;

/// An error of a single time from which the clock is called coarse, ms: about half a frame at
/// 240 a second. Common practice, no source.
const COARSE_SD_MS: f64 = 2.0;

/// How sure an expectation must be to be called strong, of 10. Common practice, no source.
const STRONG: u8 = 7;

/// A doubt.
#[derive(Debug, Clone, PartialEq)]
pub enum Spoiler {
    /// The order was fixed beforehand by hand.
    FixedOrder,
    /// Of a table: in every session each hold was one lump of trials.
    OneLump,
    /// Of a table: nothing says in which order the blocks came.
    OrderUnknown,
    /// Of a table: times in whole frames.
    CountedInFrames {
        /// Standard deviation of a single time's error, ms.
        sd_ms: f64,
        /// Frames a second.
        per_second: f64,
    },
    /// The rules used here are not those that were frozen before the first block.
    OtherRules {
        /// Which session.
        session: String,
    },
    /// The session ended before its plan.
    Partial {
        /// Which session.
        session: String,
        /// Blocks with at least half of their trials.
        done: usize,
        /// Blocks planned.
        planned: usize,
        /// Why.
        ended: Ended,
    },
    /// The session ended early because a planned look settled it.
    EndedAtLook {
        /// After which cycle.
        cycle: usize,
        /// Cycles planned.
        of: usize,
        /// Confidence of the intervals there, 0 to 1.
        confidence: f64,
    },
    /// A pair's p by re-randomisation says otherwise than its interval.
    RandomisationDisagrees {
        /// Hold a.
        a: String,
        /// Hold b.
        b: String,
        /// The p by re-randomisation.
        p: f64,
        /// The p of t.
        p_t: f64,
    },
    /// Blocks that take no part.
    BlocksLeftOut {
        /// With fewer than half of their trials: places in their session.
        too_few: Vec<String>,
        /// With so many misses that one would be averaged.
        missed: Vec<String>,
    },
    /// One hold loses more trials than another.
    LeftOutDiffer(Shares),
    /// One hold presses early more often than another.
    EarlyDiffer(Shares),
    /// One hold errs more often than another.
    ErrorsDiffer(Shares),
    /// Many errors everywhere.
    ManyErrors {
        /// Of all trials, 0 to 1.
        share: f64,
    },
    /// A hold hurt.
    Discomfort {
        /// Which.
        hold: String,
        /// The highest rating of a block, of 10.
        highest: u8,
        /// The protocol's limit.
        limit: u8,
    },
    /// Two holds were not held apart.
    NotHeldApart {
        /// The hold declared firmer.
        firmer: String,
        /// The other.
        lighter: String,
        /// What tells.
        told_by: ToldBy,
        /// Mean of firmer minus lighter: of 10, or share of a comfortable strong grip.
        difference: f64,
        /// Places of the blocks that were not the firmer.
        blocks: Vec<String>,
    },
    /// A hold became slower or faster within the session.
    Slope {
        /// Which.
        hold: String,
        /// ms per 10 minutes.
        per_10min_ms: f64,
        /// Lower end.
        low_ms: f64,
        /// Upper end.
        high_ms: f64,
    },
    /// Vsync did not hold, or nobody can tell.
    Vsync {
        /// How it was judged.
        judged: String,
    },
    /// Sessions taken together were not all made on the same rig.
    RigChanged {
        /// The session before which it changed.
        session: String,
        /// What changed, a line each.
        changes: Vec<String>,
    },
    /// Trials whose onset frame came late.
    LateFrames {
        /// How many entered.
        count: usize,
        /// Of how many.
        of: usize,
    },
    /// The error of a single time is large.
    CoarseClock {
        /// Median standard deviation of a time's error, ms.
        sd_ms: f64,
        /// Where the onset came from.
        source: String,
    },
    /// The player was sure beforehand.
    Expectation {
        /// Which hold.
        hold: String,
        /// How sure, of 10.
        sure: u8,
    },
    /// Under `mean`, misses count as the response limit.
    MissesAveraged {
        /// How many.
        count: usize,
        /// The limit, ms.
        limit_ms: f64,
    },
    /// Without exclusions the verdict would be another one.
    ExclusionsDecide {
        /// Hold a.
        a: String,
        /// Hold b.
        b: String,
        /// The difference with everything in, ms.
        difference_ms: f64,
    },
}

/// The hold with the largest and the one with the smallest share.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    /// Where it is most frequent.
    pub most: String,
    /// How frequent, 0 to 1.
    pub most_share: f64,
    /// Where it is least frequent.
    pub least: String,
    /// How frequent, 0 to 1.
    pub least_share: f64,
}

/// Every doubt, the gravest first.
pub fn spoilers(findings: &Findings) -> Vec<Spoiler> {
    let mut list = Vec::new();
    list.extend(order(findings));
    list.extend(other_rules(findings));
    list.extend(partial(findings));
    list.extend(looks::spoiler(findings));
    list.extend(disagreements(findings));
    list.extend(blocks_left_out(findings));
    list.extend(exclusions(findings));
    list.extend(errors(findings));
    list.extend(player(findings));
    list.extend(not_held(findings));
    list.extend(slopes(findings));
    list.extend(rig(findings));
    list
}

fn order(findings: &Findings) -> Option<Spoiler> {
    let fixed = findings.protocol().design.order == Order::Fixed;
    match elsewhere::facts(&findings.sessions) {
        Some(table) if table.one_lump => Some(Spoiler::OneLump),
        Some(table) if elsewhere::order_is_unknown(table) => Some(Spoiler::OrderUnknown),
        Some(_) | None => fixed.then_some(Spoiler::FixedOrder),
    }
}

fn other_rules(findings: &Findings) -> Vec<Spoiler> {
    let hash = rules_hash(findings.protocol(), ANALYSIS_VERSION);
    let differ = findings.sessions.iter().filter(|session| session.rules_hash != hash);
    differ.map(|session| Spoiler::OtherRules { session: session.name.clone() }).collect()
}

fn partial(findings: &Findings) -> Vec<Spoiler> {
    let cut = |(index, session): (usize, &super::input::SessionData)| {
        let own = || findings.blocks.iter().filter(move |block| block.session == index);
        let done = own().filter(|block| 2 * block.seen >= block.planned).count();
        let planned = own().count();
        (!matches!(session.ended, Ended::Complete | Ended::Settled)).then(|| Spoiler::Partial {
            session: session.name.clone(),
            done,
            planned,
            ended: session.ended,
        })
    };
    findings.sessions.iter().enumerate().filter_map(cut).collect()
}

/// Said only where the design could have given so small a p at all.
fn disagreements(findings: &Findings) -> Vec<Spoiler> {
    let alpha = 1.0 - findings.protocol().analysis.confidence;
    let disagree = |pair: &Pair| {
        let (fit, p, attainable) = (pair.fit?, pair.p_randomization?, pair.attainable_p?);
        let apart = attainable <= alpha && (p <= alpha) != (fit.p_t <= alpha);
        apart.then(|| Spoiler::RandomisationDisagrees {
            a: name(findings, pair.a),
            b: name(findings, pair.b),
            p,
            p_t: fit.p_t,
        })
    };
    findings.pairs.iter().filter_map(disagree).collect()
}

fn blocks_left_out(findings: &Findings) -> Option<Spoiler> {
    let several = findings.sessions.len() > 1;
    let named = |why: Unused| -> Vec<String> {
        let own = findings.blocks.iter().filter(|block| block.unused() == Some(why));
        own.map(|block| {
            let hold = name(findings, block.condition);
            if several {
                format!("{} of session {} ({hold})", block.position, block.session + 1)
            } else {
                format!("{} ({hold})", block.position)
            }
        })
        .collect()
    };
    let (too_few, missed) = (named(Unused::TooFew), named(Unused::MissAveraged));
    let any = !too_few.is_empty() || !missed.is_empty();
    any.then_some(Spoiler::BlocksLeftOut { too_few, missed })
}

fn exclusions(findings: &Findings) -> Vec<Spoiler> {
    let mut list: Vec<Spoiler> = Vec::new();
    list.extend(gap(findings, Hold::excluded_share).map(Spoiler::LeftOutDiffer));
    for (pair, everything_in) in findings.pairs.iter().zip(&findings.pairs_everything_in) {
        let differ = side(pair.verdict) != side(everything_in.verdict);
        if let (true, Some(fit)) = (differ, everything_in.fit) {
            list.push(Spoiler::ExclusionsDecide {
                a: name(findings, pair.a),
                b: name(findings, pair.b),
                difference_ms: fit.difference,
            });
        }
    }
    list
}

/// Which way a verdict points: what a reader would act on.
fn side(verdict: Verdict) -> i8 {
    match verdict {
        Verdict::AFasterByEnough | Verdict::AFasterTooLittle | Verdict::AFasterSizeOpen => -1,
        Verdict::BFasterByEnough | Verdict::BFasterTooLittle | Verdict::BFasterSizeOpen => 1,
        Verdict::NoDifferenceThatMatters | Verdict::Open | Verdict::Withheld => 0,
    }
}

fn errors(findings: &Findings) -> Vec<Spoiler> {
    let mut list: Vec<Spoiler> = Vec::new();
    list.extend(gap(findings, Hold::early_share).map(Spoiler::EarlyDiffer));
    let error_share = |hold: &Hold| hold.error_share.unwrap_or(0.0);
    list.extend(gap(findings, error_share).map(Spoiler::ErrorsDiffer));
    let trials: usize = findings.holds.iter().map(|hold| hold.trials).sum();
    let wrong =
        |hold: &Hold| hold.misses + hold.left_out.get(&LeftOut::Wrong).copied().unwrap_or(0);
    let all = share(findings.holds.iter().map(wrong).sum(), trials);
    if all > ERROR_SHARE {
        list.push(Spoiler::ManyErrors { share: all });
    }
    let misses: usize = findings.holds.iter().map(|hold| hold.misses).sum();
    let protocol = findings.protocol();
    if protocol.analysis.statistic == Statistic::Mean && misses > 0 {
        let limit_ms = protocol.respond_within_ms;
        list.push(Spoiler::MissesAveraged { count: misses, limit_ms });
    }
    list
}

/// The holds with the largest and the smallest share, where they are worth a word apart.
fn gap(findings: &Findings, share_of: impl Fn(&Hold) -> f64) -> Option<Shares> {
    let seen = || findings.holds.iter().filter(|hold| hold.trials > 0);
    let by = |a: &&Hold, b: &&Hold| share_of(a).total_cmp(&share_of(b));
    let (most, least) = (seen().max_by(by)?, seen().min_by(by)?);
    let (most_share, least_share) = (share_of(most), share_of(least));
    (most_share - least_share > SHARE_GAP).then(|| Shares {
        most: name(findings, most.condition),
        most_share,
        least: name(findings, least.condition),
        least_share,
    })
}

fn player(findings: &Findings) -> Vec<Spoiler> {
    let mut list = Vec::new();
    let limit = findings.protocol().care.discomfort_limit;
    for hold in &findings.holds {
        let ratings = findings.sessions.iter().flat_map(|session| {
            let of_hold = move |position: usize| {
                session
                    .blocks
                    .iter()
                    .any(|b| b.position == position && b.condition == hold.condition)
            };
            let hurt = session.ratings.iter().filter(|r| r.item == Rating::Discomfort.name());
            hurt.filter(move |r| of_hold(r.position)).map(|r| r.value)
        });
        // Half the limit and above is worth a word; the limit itself ended the block.
        if let Some(highest) = ratings.max().filter(|highest| 2 * highest >= limit) {
            list.push(Spoiler::Discomfort { hold: name(findings, hold.condition), highest, limit });
        }
    }
    let sure = findings.sessions.iter().filter_map(|session| {
        let expectation = session.expectation?;
        Some((expectation.faster?, expectation.sure)).filter(|(_, sure)| *sure >= STRONG)
    });
    if let Some((hold, sure)) = sure.max_by_key(|(_, sure)| *sure) {
        list.push(Spoiler::Expectation { hold: name(findings, hold), sure });
    }
    list
}

/// The holds that the rating, or a force axis, does not tell apart.
fn not_held(findings: &Findings) -> Vec<Spoiler> {
    let Some(check) = &findings.hold_check else { return Vec::new() };
    let several = findings.sessions.len() > 1;
    let place = |(session, position): &(usize, usize)| {
        if several {
            format!("{position} of session {}", session + 1)
        } else {
            position.to_string()
        }
    };
    let failed = |pair: &PairCheck| {
        let apart = pair.apart.as_ref()?;
        (apart.held() == Some(false)).then(|| Spoiler::NotHeldApart {
            firmer: name(findings, pair.firmer),
            lighter: name(findings, pair.lighter),
            told_by: check.told_by,
            difference: apart.difference,
            blocks: apart.not_apart.iter().map(place).collect(),
        })
    };
    check.pairs.iter().filter_map(failed).collect()
}

fn slopes(findings: &Findings) -> Vec<Spoiler> {
    let moving = |hold: &Hold| {
        let slope = hold.trend.as_ref()?.per_10min_ms;
        (slope.low > 0.0 || slope.high < 0.0).then(|| Spoiler::Slope {
            hold: name(findings, hold.condition),
            per_10min_ms: slope.estimate,
            low_ms: slope.low,
            high_ms: slope.high,
        })
    };
    findings.holds.iter().filter_map(moving).collect()
}

fn rig(findings: &Findings) -> Vec<Spoiler> {
    let mut list = Vec::new();
    if findings.simulated() {
        return list;
    }
    if let Some(table) = elsewhere::facts(&findings.sessions) {
        list.extend(table.frames.map(|frames| Spoiler::CountedInFrames {
            sd_ms: frames.sd_ms,
            per_second: frames.per_second,
        }));
        return list;
    }
    let judged = findings.sessions.iter().filter_map(|session| session.rig.vsync_judged.as_deref());
    if let Some(judged) = judged.into_iter().find(|judged| *judged != "locked") {
        list.push(Spoiler::Vsync { judged: judged.to_owned() });
    }
    // Before the first of them it does not matter.
    let later = findings.sessions.iter().skip(1).filter(|later| !later.rig.changed.is_empty());
    list.extend(later.map(|later| Spoiler::RigChanged {
        session: later.name.clone(),
        changes: later.rig.changed.clone(),
    }));
    let count: usize = findings.holds.iter().map(|hold| hold.late_entered).sum();
    let of: usize = findings.holds.iter().map(|hold| hold.trials - hold.excluded).sum();
    if share(count, of) > LATE_SHARE {
        list.push(Spoiler::LateFrames { count, of });
    }
    let trials = || findings.sessions.iter().flat_map(|session| &session.trials);
    let sds: Vec<f64> = trials().filter_map(|trial| trial.rt_sd_ms).collect();
    let sd_ms = crate::analysis::describe::median(&sds);
    if let Some(sd_ms) = sd_ms.filter(|sd_ms| *sd_ms > COARSE_SD_MS) {
        let source = trials().find_map(|trial| trial.shown_source);
        let source = source.map_or("an unknown clock", |source| source.name()).to_owned();
        list.push(Spoiler::CoarseClock { sd_ms, source });
    }
    list
}

fn name(findings: &Findings, condition: usize) -> String {
    words::hold(&findings.holds[condition].id)
}

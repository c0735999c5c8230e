//! The verdict in a sentence, what may spoil it, and what would settle it.
//!
//! Picks the sentence and rounds the numbers; the sentences themselves stand in `words`.

use super::compare::Findings;
use super::cost::{Measured, Sure, costs_of};
use super::elsewhere;
use super::hold_check::ToldBy;
use super::input::Ended;
use super::settle::{Settle, Shows};
use super::spoil::{Shares, Spoiler};
use crate::analysis::{Pair, Verdict};
use crate::protocol::{Measure, Order};
use crate::words::costs;
use crate::words::findings::{self as words, Doubt, Faster, Ms};
use crate::words::{explored, tables};

/// How clear a verdict is, 0 the clearest.
pub const fn clarity(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::AFasterByEnough | Verdict::BFasterByEnough => 0,
        Verdict::AFasterTooLittle
        | Verdict::BFasterTooLittle
        | Verdict::NoDifferenceThatMatters => 1,
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen => 2,
        Verdict::Open => 3,
        Verdict::Withheld => 4,
    }
}

/// The first sentence: of several comparisons the clearest.
pub fn headline(findings: &Findings) -> String {
    let Some(&first) = findings.clearest_first().first() else {
        return words::nothing_to_compare().to_owned();
    };
    let pair = &findings.pairs[first];
    let sentence = of_pair(findings, pair);
    let said = if findings.pairs.len() > 1 && clarity(pair.verdict) < clarity(Verdict::Open) {
        words::clearest_of(findings.pairs.len(), &sentence)
    } else {
        sentence
    };
    marked(findings, said)
}

/// A sentence with its mark, where the rules are not the frozen ones.
fn marked(findings: &Findings, sentence: String) -> String {
    if findings.explored.is_some() { explored::sentence(&sentence) } else { sentence }
}

/// The sentences of all pairs but the first, in order of clarity.
pub fn others(findings: &Findings) -> Vec<String> {
    let order = findings.clearest_first();
    let of = |index: usize| marked(findings, of_pair(findings, &findings.pairs[index]));
    order.iter().skip(1).map(|&index| of(index)).collect()
}

/// The sentence of one pair, with what its faster hold costs.
pub fn of_pair(findings: &Findings, pair: &Pair) -> String {
    let sentence = verdict_of(findings, pair);
    let index = findings.pairs.iter().position(|other| (other.a, other.b) == (pair.a, pair.b));
    let costs = index.map_or_else(Vec::new, |index| costs_of(findings, index));
    let named = |wanted: Sure| -> Vec<costs::Cost> {
        costs.iter().filter(|c| c.sure == wanted).map(|c| cost_word(c.measured)).collect()
    };
    costs::with_costs(&sentence, &named(Sure::Sure), &named(Sure::Perhaps))
}

/// The word of a cost.
pub const fn cost_word(measured: Measured) -> costs::Cost {
    match measured {
        Measured::Errors => costs::Cost::Errors,
        Measured::Early => costs::Cost::Early,
        Measured::Throughput => costs::Cost::Throughput,
        Measured::SmallShakes => costs::Cost::SmallShakes,
        Measured::Discomfort => costs::Cost::Discomfort,
    }
}

/// The faster and the slower hold of a pair; nothing where the verdict names none.
pub fn faster_first(findings: &Findings, index: usize) -> Option<(String, String)> {
    let pair = &findings.pairs[index];
    let (a, b) = (hold(findings, pair.a), hold(findings, pair.b));
    match pair.verdict {
        Verdict::AFasterByEnough | Verdict::AFasterTooLittle | Verdict::AFasterSizeOpen => {
            Some((a, b))
        }
        Verdict::BFasterByEnough | Verdict::BFasterTooLittle | Verdict::BFasterSizeOpen => {
            Some((b, a))
        }
        Verdict::NoDifferenceThatMatters | Verdict::Open | Verdict::Withheld => None,
    }
}

/// The verdict in a sentence.
fn verdict_of(findings: &Findings, pair: &Pair) -> String {
    let rules = &findings.protocol().analysis;
    let (a, b) = (hold(findings, pair.a), hold(findings, pair.b));
    let table = elsewhere::facts(&findings.sessions);
    let Some(fit) = pair.fit.filter(|_| pair.verdict != Verdict::Withheld) else {
        return if table.is_some_and(|table| table.one_lump) {
            tables::withheld_one_lump(&a, &b)
        } else if table.is_some_and(elsewhere::order_is_unknown) {
            words::withheld_not_estimable(&a, &b)
        } else if findings.protocol().design.order == Order::Fixed {
            words::withheld_fixed_order(&a, &b)
        } else {
            words::withheld_not_estimable(&a, &b)
        };
    };
    let give = (fit.high - fit.low) / 2.0;
    let a_sooner = fit.difference < 0.0;
    let (faster, slower) = if a_sooner { (&a, &b) } else { (&b, &a) };
    let said = Faster {
        faster,
        slower,
        did: did(findings),
        by: Ms::rounded_with(fit.difference.abs(), give),
        give: Ms::rounded_with(give, give),
        enough: Ms::plain(rules.smallest_change_ms),
    };
    match pair.verdict {
        Verdict::AFasterByEnough | Verdict::BFasterByEnough => words::by_enough(&said),
        Verdict::AFasterTooLittle | Verdict::BFasterTooLittle => words::too_little(&said),
        Verdict::NoDifferenceThatMatters => words::no_difference_that_matters(&said),
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen => words::size_open(&said),
        Verdict::Open => words::open(&said),
        Verdict::Withheld => words::withheld_not_estimable(&a, &b),
    }
}

/// What was done.
pub(super) fn did(findings: &Findings) -> words::Did {
    match findings.protocol().analysis.measure {
        Measure::Click if elsewhere::facts(&findings.sessions).is_some() => words::Did::Answered,
        Measure::Click => words::Did::Clicked,
        Measure::Onset => words::Did::BeganToMove,
        Measure::TapInterval => words::Did::Tapped,
        Measure::TrackError => words::Did::Followed,
        Measure::Stillness => words::Did::KeptStill,
    }
}

/// What would settle the pairs that are open, a sentence each, the clearest pair first.
pub fn settling(findings: &Findings) -> Vec<String> {
    let several = findings.pairs.len() > 1;
    let order = findings.clearest_first();
    let told = order.into_iter().filter_map(|index| {
        let settle = findings.settles.get(index).copied().flatten()?;
        let pair = &findings.pairs[index];
        let (a, b) = (hold(findings, pair.a), hold(findings, pair.b));
        let which = several.then_some((a.as_str(), b.as_str()));
        Some(match settle {
            Settle::MoreCycles { more, shows } => {
                let shows = match shows {
                    Shows::WhichIsFaster if did(findings).is_of_time() => {
                        words::Shows::WhichIsFaster
                    }
                    Shows::WhichIsFaster => words::Shows::WhichIsBetter,
                    Shows::ThatItMatters => words::Shows::ThatItMatters,
                    Shows::ThatItIsTooSmall => words::Shows::ThatItIsTooSmall,
                };
                words::more_cycles(which, more, shows)
            }
            Settle::OutOfReach { tried } => words::out_of_reach(which, tried),
        })
    });
    told.collect()
}

/// The doubts in words, the gravest first.
pub fn doubts(findings: &Findings) -> Vec<Doubt> {
    findings.spoilers.iter().map(|spoiler| doubt(did(findings), spoiler)).collect()
}

/// One doubt in words.
pub fn doubt(did: words::Did, spoiler: &Spoiler) -> Doubt {
    match spoiler {
        Spoiler::FixedOrder => words::fixed_order(),
        Spoiler::OneLump => tables::one_lump(),
        Spoiler::OrderUnknown => tables::order_unknown(),
        Spoiler::CountedInFrames { sd_ms, per_second } => {
            tables::counted_in_frames(*sd_ms, *per_second)
        }
        Spoiler::OtherRules { session } => words::other_rules(session),
        Spoiler::Partial { session, done, planned, ended: Ended::Discomfort } => {
            words::ended_for_discomfort(session, *done, *planned)
        }
        Spoiler::Partial { session, done, planned, ended } => {
            words::partial(session, *done, *planned, ended_how(*ended))
        }
        Spoiler::EndedAtLook { cycle, of, confidence } => {
            words::ended_at_look(*cycle, *of, *confidence)
        }
        Spoiler::RandomisationDisagrees { a, b, p, p_t } => {
            words::randomisation_disagrees(a, b, *p, *p_t)
        }
        Spoiler::BlocksLeftOut { too_few, missed } => words::blocks_left_out(too_few, missed),
        Spoiler::LeftOutDiffer(shares) => with(shares, words::left_out_differ),
        Spoiler::EarlyDiffer(shares) => with(shares, words::early_differ),
        Spoiler::ErrorsDiffer(shares) => with(shares, words::errors_differ),
        Spoiler::ManyErrors { share } => words::many_errors(*share),
        Spoiler::Discomfort { hold, highest, limit } => words::discomfort(hold, *highest, *limit),
        Spoiler::NotHeldApart { firmer, lighter, told_by, difference, blocks } => {
            words::not_held_apart(&words::NotHeld {
                firmer,
                lighter,
                by_force: *told_by == ToldBy::Force,
                difference: *difference,
                blocks,
            })
        }
        Spoiler::Slope { hold, per_10min_ms, low_ms, high_ms } => {
            words::slope(did, hold, *per_10min_ms, *low_ms, *high_ms)
        }
        Spoiler::Vsync { judged } => words::vsync(judged),
        Spoiler::RigChanged { session, changes } => words::rig_changed(session, changes),
        Spoiler::LateFrames { count, of } => words::late_frames(*count, *of),
        Spoiler::CoarseClock { sd_ms, source } => words::coarse_clock(*sd_ms, source),
        Spoiler::Expectation { hold, sure } => words::expectation(hold, *sure),
        Spoiler::MissesAveraged { count, limit_ms } => words::misses_averaged(*count, *limit_ms),
        Spoiler::ExclusionsDecide { a, b, difference_ms } => {
            words::exclusions_decide(did, a, b, *difference_ms)
        }
    }
}

fn with(shares: &Shares, tell: fn(&words::Apart) -> Doubt) -> Doubt {
    tell(&words::Apart {
        most: &shares.most,
        most_share: shares.most_share,
        least: &shares.least,
        least_share: shares.least_share,
    })
}

/// How a session ended, in words.
pub const fn ended_how(ended: Ended) -> &'static str {
    match ended {
        Ended::Complete => "every block was run",
        Ended::Stopped => "the player stopped it",
        Ended::Discomfort => "it was closed after two stops for discomfort",
        Ended::TimeUp => "the time allowed was used up",
        Ended::Settled => "a planned look settled it",
        Ended::BrokenOff => "it was broken off",
    }
}

fn hold(findings: &Findings, condition: usize) -> String {
    words::hold(&findings.holds[condition].id)
}

//! A paragraph on the methods, in the words of a paper, ready to quote; and notes on the second
//! opinions.

/// What the paragraph is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Methods<'a> {
    /// Whether a program invented the presses.
    pub simulated: bool,
    /// Sessions.
    pub sessions: usize,
    /// Players.
    pub players: usize,
    /// Ids of the holds.
    pub holds: Vec<&'a str>,
    /// Cycles of a session.
    pub cycles: usize,
    /// Main trials of a block.
    pub trials: usize,
    /// How the order was drawn.
    pub order: &'a str,
    /// What was asked of the player: simple, choice, ...
    pub task: &'a str,
    /// The measure.
    pub measure: &'a str,
    /// The block statistic.
    pub statistic: &'a str,
    /// Main trials seen, and how many of them stayed out.
    pub seen: usize,
    /// Those that stayed out.
    pub excluded: usize,
    /// Blocks that took part.
    pub blocks: usize,
    /// Residual degrees of freedom, where there is a model.
    pub df: Option<f64>,
    /// Whether all pairs were compared, or each hold with a reference.
    pub all_pairs: bool,
    /// Confidence as a per cent figure.
    pub confidence: &'a str,
    /// The least difference that matters, ms.
    pub enough_ms: f64,
    /// Orders in the re-randomisation test, where there is one.
    pub randomised: bool,
    /// Version of the program.
    pub version: &'a str,
    /// Number of the analysis.
    pub analysis: u32,
}

/// The paragraph.
pub fn paragraph(m: &Methods) -> String {
    let who = match (m.players, m.sessions) {
        (1, 1) => "One player took part in one session".to_owned(),
        (1, sessions) => format!("One player took part in {sessions} sessions"),
        (players, sessions) => format!("{players} players took part in {sessions} sessions"),
    };
    let who = if m.simulated {
        format!("The data are simulated: a program invented the presses. {who}")
    } else {
        who
    };
    let compared = match (m.players, m.all_pairs) {
        (1, true) => "all pairs were compared with Tukey-type simultaneous",
        (1, false) => "each hold was compared with the reference by Dunnett-type simultaneous",
        (_, true) => "all pairs were compared with Bonferroni-adjusted",
        (_, false) => "each hold was compared with the reference by Bonferroni-adjusted",
    };
    let model = if m.players == 1 {
        let df =
            m.df.map_or_else(String::new, |df| format!(" ({df:.0} residual degrees of freedom)"));
        format!(
            "Block statistics were analysed by ordinary least squares with effects of hold and \
             cycle and a linear trend in block position within each session{df}"
        )
    } else {
        "Differences of block statistics within cycles were analysed by a linear mixed model \
         (REML) with random intercepts of player and, where players had several, session, and a \
         fixed effect of the distance in position; degrees of freedom by Satterthwaite, at most the \
         number of players less one"
            .to_owned()
    };
    let p = if m.randomised {
        " Beside the t tests, p values were obtained by re-randomisation under the rule that drew \
         the order, with the contrast's t as the statistic."
    } else {
        ""
    };
    format!(
        "{who} of a {} task, holding the mouse in {} ways ({}), each held for {} blocks of {} main \
         trials; order of the blocks: {}. The measure was {}. Of {} main trials, {} were excluded by \
         rules declared beforehand; each block was summarised by its {}, and {} blocks entered. \
         {model}; {compared} {} % intervals. Equivalence was judged by two one-sided tests at 5 % each \
         within \u{b1}{} ms, the smallest change declared worthwhile.{p} Tautline {}, analysis {}.",
        m.task,
        m.holds.len(),
        m.holds.join(", "),
        m.cycles,
        m.trials,
        m.order,
        m.measure,
        m.seen,
        m.excluded,
        m.statistic,
        m.blocks,
        m.confidence.trim_end_matches(" %"),
        m.enough_ms,
        m.version,
        m.analysis,
    )
}

/// Over the second opinions.
pub const SECOND: &str = "The same question by other methods. None of them changes the verdict. Hodges and Lehmann: \
    the middle of the differences within cycles. Mixed model: single trials, holds and trend fixed, cycle \
    and block random, degrees of freedom by Satterthwaite; misses have no time and stay out. d_z: mean \
    difference within cycles over its sd; d_av: over the mean of both holds' sds.";

/// Under the plot of the shift function.
pub const SHIFT_CAPTION: &str = "How far apart two holds are among the quick presses (left) and among the slow (right), \
    by Harrell and Davis's deciles. Below zero the first hold is sooner. Bars, from ten blocks a hold on, \
    come from drawing whole blocks again and again.";

/// Under the reciprobit plot.
pub const RECIPROBIT_CAPTION: &str = "Times whose promptness, one divided by the time, is normal lie on the straight line \
    (Carpenter and Williams 1995). Quick presses above the line are guesses or another, faster path.";

/// Under the table of laws.
pub const LAWS_NOTE: &str = "Ex-Gaussian law by maximum likelihood: mu and sigma of its normal part, tau of its slow \
    tail, in ms. Intervals, from ten blocks a hold on and where every draw has a fit, by drawing whole blocks. A law describes a shape; \
    its parts are no parts of the mind.";

/// Over the code.
pub const CODE: &str = "Both programs need nothing but this session's trials.csv and print the differences with their \
    standard errors, degrees of freedom, unadjusted intervals and p values, as above. Run them inside \
    the session's folder.";

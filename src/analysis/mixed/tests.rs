//! Balanced layouts whose answers are plain arithmetic, and what has no model.

use super::*;

/// Balanced blocks in cycles: REML is the analysis of variance (Searle, Casella & McCulloch 1992,
/// Variance Components, ch. 4), and a contrast within cycles has its error from the blocks.
#[test]
fn nested_and_balanced_is_the_analysis_of_variance() {
    let (cycles, holds, trials) = (5_u32, 2_u32, 4_u32);
    let cycle_level = [3.0, -4.0, 6.0, -1.0, -5.0];
    let block_level = [2.0, -3.0, -1.0, 4.0, 0.5, -2.0, 3.0, 1.0, -4.0, 2.5];
    let within = [1.0, -2.0, 0.5, 0.7];
    let (mut y, mut one, mut hold, mut cycle, mut block) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for c in 0..cycles {
        for h in 0..holds {
            let b = c * holds + h;
            for t in 0..trials {
                let sign = if b % 3 == 0 { -1.0 } else { 1.0 };
                y.push(
                    200.0 - 8.0 * f64::from(h)
                        + cycle_level[c as usize]
                        + block_level[b as usize]
                        + sign * within[t as usize],
                );
                one.push(1.0);
                hold.push(f64::from(h));
                cycle.push(c);
                block.push(b);
            }
        }
    }
    let terms = [Term::intercept(cycle), Term::intercept(block)];
    let mixed =
        Mixed::new(&y, &[one, hold], &terms, Likelihood::Restricted).expect("a sound layout");
    let fit = mixed.fit().expect("a top");
    // By hand: differences of block means within cycles.
    let mean = |b: u32| {
        let own: Vec<f64> = (0..trials).map(|t| y[(b * trials + t) as usize]).collect();
        own.iter().sum::<f64>() / f64::from(trials)
    };
    let d: Vec<f64> = (0..cycles).map(|c| mean(2 * c + 1) - mean(2 * c)).collect();
    let centre = d.iter().sum::<f64>() / 5.0;
    let se = (d.iter().map(|x| (x - centre).powi(2)).sum::<f64>() / 4.0 / 5.0).sqrt();
    let got = fit.contrast(&[0.0, 1.0]);
    assert!((got.estimate - centre).abs() < 1e-9, "{got:?} {centre}");
    assert!((got.standard_error - se).abs() < 1e-6, "{got:?} {se}");
    assert!((got.df.expect("fixed alone") - 4.0).abs() < 1e-3, "{got:?}");
    // Residual mean square: within blocks, (4 - 1) x 10 df.
    let squares: f64 = (0..cycles * holds)
        .flat_map(|b| (0..trials).map(move |t| (b, t)))
        .map(|(b, t)| (y[(b * trials + t) as usize] - mean(b)).powi(2))
        .sum();
    assert!((fit.sigma - (squares / 30.0).sqrt()).abs() < 1e-6);
}

/// Crossed and complete: the item means' contrast does not care about the players.
#[test]
fn crossed_and_complete_is_two_way() {
    let (players, items) = (6_u32, 4_u32);
    let value = |p: u32, i: u32| {
        let wobble = [0.3, -0.8, 0.5, 1.1, -0.4, -0.7, 0.9][((3 * p + 5 * i + p * i) % 7) as usize];
        100.0 + 7.0 * f64::from(p % 4) - 3.0 * f64::from(i * i % 5) + wobble
    };
    let cells: Vec<(u32, u32)> =
        (0..players).flat_map(|p| (0..items).map(move |i| (p, i))).collect();
    let y: Vec<f64> = cells.iter().map(|&(p, i)| value(p, i)).collect();
    let terms = [
        Term::intercept(cells.iter().map(|c| c.0).collect()),
        Term::intercept(cells.iter().map(|c| c.1).collect()),
    ];
    let fit = Mixed::new(&y, &[vec![1.0; 24]], &terms, Likelihood::Restricted)
        .and_then(Mixed::fit)
        .expect("a sound layout");
    // Two-way analysis of variance without interaction.
    let grand = y.iter().sum::<f64>() / 24.0;
    let by_player: Vec<f64> =
        (0..players).map(|p| (0..items).map(|i| value(p, i)).sum::<f64>() / 4.0).collect();
    let by_item: Vec<f64> =
        (0..items).map(|i| (0..players).map(|p| value(p, i)).sum::<f64>() / 6.0).collect();
    let residual: f64 = cells
        .iter()
        .map(|&(p, i)| (value(p, i) - by_player[p as usize] - by_item[i as usize] + grand).powi(2))
        .sum();
    let ms = residual / 15.0;
    let ms_players = 4.0 * by_player.iter().map(|m| (m - grand).powi(2)).sum::<f64>() / 5.0;
    let ms_items = 6.0 * by_item.iter().map(|m| (m - grand).powi(2)).sum::<f64>() / 3.0;
    assert!((fit.sigma * fit.sigma - ms).abs() < 1e-5 * ms);
    assert!((fit.covariances[0][(0, 0)] - (ms_players - ms) / 4.0).abs() < 1e-4);
    assert!((fit.covariances[1][(0, 0)] - (ms_items - ms) / 6.0).abs() < 1e-4);
    assert!((fit.fixed[0] - grand).abs() < 1e-9);
}

#[test]
fn no_variance_between_levels_is_an_answer() {
    // Level means are all equal: the variance between them is 0, and nothing panics.
    let y = [1.0, 2.0, 3.0, 3.0, 2.0, 1.0, 2.0, 1.0, 3.0];
    let terms = [Term::intercept(vec![0, 0, 0, 1, 1, 1, 2, 2, 2])];
    let mixed = Mixed::new(&y, &[vec![1.0; 9]], &terms, Likelihood::Restricted);
    let fit = mixed.and_then(Mixed::fit).expect("an edge is an answer");
    assert!(fit.covariances[0][(0, 0)] < 1e-6, "{:?}", fit.covariances);
    let got = fit.contrast(&[1.0]);
    assert!((got.standard_error - (0.75_f64 / 9.0).sqrt()).abs() < 1e-5, "{got:?}");
    assert!((got.df.expect("fixed alone") - 8.0).abs() < 1e-6);
}

#[test]
fn what_has_no_model() {
    let new = |y: &[f64], fixed: &[Vec<f64>], level: Vec<u32>| {
        Mixed::new(y, fixed, &[Term::intercept(level)], Likelihood::Restricted).and_then(Mixed::fit)
    };
    let ones = vec![1.0; 4];
    let told = |y: &[f64], fixed: &[Vec<f64>], level: Vec<u32>| {
        new(y, fixed, level).expect_err("no model")
    };
    let levels = vec![0, 0, 1, 1];
    assert_eq!(told(&[1.0], &[vec![1.0]], vec![0]), MixedError::TooFew { rows: 1, fixed: 1 });
    assert_eq!(told(&[5.0; 4], std::slice::from_ref(&ones), levels.clone()), MixedError::NoSpread);
    assert_eq!(
        told(&[1.0, 2.0, 3.0, 5.0], &[ones.clone(), vec![2.0; 4]], levels.clone()),
        MixedError::Rank
    );
    assert_eq!(
        told(&[1.0, 2.0, 3.0, 5.0], std::slice::from_ref(&ones), vec![0, 1, 2, 3]),
        MixedError::TooManyLevels { term: 0, levels: 4, rows: 4 }
    );
    assert_eq!(
        told(&[1.0, f64::NAN, 3.0, 5.0], std::slice::from_ref(&ones), levels.clone()),
        MixedError::NotFinite { row: 1 }
    );
    assert_eq!(
        told(&[1.0, 2.0, 3.0, 5.0], &[vec![1.0; 3]], levels),
        MixedError::Lengths { length: 3, rows: 4 }
    );
}

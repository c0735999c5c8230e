//! Families of differences: Dunnett, Tukey's studentized range, repeated measures.

use super::super::checks::{Case, walk};
use super::{SPEC, matched, paired, unmatched};
use nalgebra::DMatrix;
use std::collections::BTreeMap;
use tautline::analysis::adjust;
use tautline::analysis::max_t::{self, Observed};
use tautline::analysis::simultaneous::MaxT;
use tautline::analysis::{CompareSpec, Family, Redraws, compare};

#[test]
fn several_p_values() {
    walk("multiple", &[], |case| {
        if case.id() == "max_t_sign_flip" {
            sign_flips(case);
            return true;
        }
        if matches!(case.id(), "benjamini_hochberg_1995" | "unsorted_with_ties") {
            adjusted(case);
            return true;
        }
        if case.id() != "dunnett" {
            return false;
        }
        let samples = ["control", "drug_a", "drug_b"].map(|key| case.list(key));
        let rows = unmatched(&samples.each_ref().map(Vec::as_slice));
        let spec = CompareSpec { family: Family::Reference(0), ..SPEC };
        let pairs = compare(&rows, 3, &spec, Redraws::None).unwrap();
        let fits: Vec<_> = pairs.iter().map(|pair| pair.fit.unwrap()).collect();
        // Ours is control - drug, theirs drug - control.
        let t: Vec<f64> = fits.iter().map(|fit| -fit.difference / fit.standard_error).collect();
        case.expect_list("t", &t);
        case.expect("df", fits[0].df);
        case.expect_list("p", &fits.iter().map(|fit| fit.p_adjusted).collect::<Vec<_>>());
        case.expect_list("p_scipy", &fits.iter().map(|fit| fit.p_adjusted).collect::<Vec<_>>());
        true
    });
}

/// Every pattern of signs of the rows: counts and p of the largest |t|.
fn sign_flips(case: &Case) {
    let rows = case.table("differences");
    let n = rows.len() as f64;
    let t = |signs: u32| -> Vec<f64> {
        (0..rows[0].len())
            .map(|k| {
                let flipped = |(i, row): (usize, &Vec<f64>)| {
                    if signs >> i & 1 == 1 { -row[k] } else { row[k] }
                };
                let d: Vec<f64> = rows.iter().enumerate().map(flipped).collect();
                let mean = d.iter().sum::<f64>() / n;
                let squares: f64 = d.iter().map(|x| (x - mean).powi(2)).sum();
                mean / (squares / (n - 1.0) / n).sqrt()
            })
            .collect()
    };
    let observed = t(0);
    case.expect_list("t", &observed);
    let mut family = max_t::MaxT::new(&observed);
    for signs in 0..1 << rows.len() {
        family.count(&t(signs));
    }
    case.expect("n_total", family.redraws() as f64);
    let p = family.p(Observed::Among);
    let counts = |p: &[f64]| p.iter().map(|p| p * 512.0).collect::<Vec<f64>>();
    case.expect_list("n_raw", &counts(&p.alone));
    case.expect_list("n_single_step", &counts(&p.single_step));
    case.expect_list("p_single_step", &p.single_step);
    case.expect_list("p_step_down", &p.step_down);
}

/// Holm, Hochberg, Benjamini-Hochberg, and how many each rejects at 5 %.
fn adjusted(case: &Case) {
    let p = case.list("p");
    case.expect_list("holm", &adjust::holm(&p));
    let (hochberg, bh) = (adjust::hochberg(&p), adjust::benjamini_hochberg(&p));
    case.expect_list("hochberg", &hochberg);
    case.expect_list("bh", &bh);
    if case.id() == "benjamini_hochberg_1995" {
        let rejected = |p: &[f64]| p.iter().filter(|&&p| p <= 0.05).count() as f64;
        case.expect("rejected_hochberg_05", rejected(&hochberg));
        case.expect("rejected_bh_05", rejected(&bh));
    }
}

#[test]
fn repeated_measures() {
    let spheres = (
        "pairs are compared, and no F of many conditions is corrected",
        ["rm_1way_md_11_5"].as_slice(),
    );
    walk("anova", &[spheres], |case| {
        match case.id() {
            "friedman_rounding" => nemenyi(case, 3, 0.0),
            // Three dimensions are summed over fixed directions: 4 digits.
            "friedman_ties" => nemenyi(case, 4, 1.5e-4),
            "rm_2way_md_12_1" => {
                let fit = noise(case);
                case.expect("F_noise", (fit.difference / fit.standard_error).powi(2));
                case.expect("p_noise", fit.p_t);
            }
            "published_md_12_5" => {
                let fit = noise(case);
                case.expect("F_noise", (fit.difference / fit.standard_error).powi(2));
            }
            _ => return false,
        }
        true
    });
}

/// Nemenyi's p: Tukey's range of mean ranks without end of degrees of freedom.
fn nemenyi(case: &Case, k: usize, own_rel: f64) {
    let subjects = case.table("table").len() as f64;
    let ranks = case.expected("mean_ranks");
    let pairs: Vec<(usize, usize)> = (0..k).flat_map(|a| (a + 1..k).map(move |b| (a, b))).collect();
    let one = |x: usize, y: usize| f64::from(u8::from(x == y));
    let correlation = DMatrix::from_fn(pairs.len(), pairs.len(), |i, j| {
        let ((a, b), (c, d)) = (pairs[i], pairs[j]);
        (one(a, c) - one(a, d) - one(b, c) + one(b, d)) / 2.0
    });
    let family = MaxT::new(&correlation, 1e7);
    let se = (k as f64 * (k as f64 + 1.0) / (6.0 * subjects)).sqrt();
    let p: Vec<f64> = pairs.iter().map(|&(a, b)| family.p((ranks[a] - ranks[b]) / se)).collect();
    case.within("nemenyi_p", &p, own_rel);
}

/// Noise present against absent, over the subjects' means of the three angles.
fn noise(case: &Case) -> tautline::analysis::PairFit {
    let mut means: BTreeMap<(String, String), Vec<f64>> = BTreeMap::new();
    for row in case.sheet().rows() {
        let key = (row.at("noise").to_owned(), row.at("id").to_owned());
        means.entry(key).or_default().push(row.at("rt").parse().unwrap());
    }
    let of = |noise: &str| -> Vec<f64> {
        means
            .iter()
            .filter(|((kind, _), _)| kind == noise)
            .map(|(_, rts)| rts.iter().sum::<f64>() / rts.len() as f64)
            .collect()
    };
    paired(&of("present"), &of("absent")).fit.unwrap()
}

/// Every pair of three matched conditions against the paired interval of the pooled residual:
/// the same differences, wider together than alone.
#[test]
fn a_family_is_wider_than_its_pairs() {
    let a = [214.2, 231.7, 198.5, 205.9, 246.3, 187.4];
    let b = [219.8, 229.4, 207.6, 213.3, 258.9, 190.1];
    let c = [222.8, 209.1, 260.6, 195.3, 217.7, 238.2];
    let rows = matched(&[&a, &b, &c]);
    for pair in compare(&rows, 3, &SPEC, Redraws::None).unwrap() {
        let fit = pair.fit.unwrap();
        assert!((fit.df - 10.0).abs() < 1e-12, "no trend to take one away");
        // Tukey's q(0.95; 3, 10) by the double integral of the studentized range (trapezoids, 400
        // x 240), over sqrt 2; Student's 2.228139.
        let together = (fit.high - fit.difference) / fit.standard_error;
        assert!((together - 3.876_777 / 2.0_f64.sqrt()).abs() < 1e-5, "{together}");
        let alone = (fit.high_single - fit.difference) / fit.standard_error;
        assert!((alone - 2.228_139).abs() < 1e-5);
    }
}

//! Mixed models of the sleep study against lme4, lmerTest, nlme and the printed fit.

use super::super::checks::{Case, walk};
use tautline::analysis::mixed::{Fit, Likelihood, Mixed, Term};
use tautline::analysis::{slope, student};

#[test]
fn mixed_models() {
    let left = ["intercept_ar1_reml", "intercept_ar1_ml", "slope_ar1_reml"];
    let left = (
        "neighbouring trials are met by blocks, not by residuals that follow each other",
        left.as_slice(),
    );
    walk("mixed", &[left], |case| {
        let study = Study::of(case);
        match case.id() {
            "slope_reml" => fitted(case, &study.fit(&study.slopes(), Likelihood::Restricted)),
            "slope_ml" => fitted(case, &study.fit(&study.slopes(), Likelihood::Full)),
            "intercept_reml" => {
                fitted(case, &study.fit(&study.intercepts(), Likelihood::Restricted));
            }
            "intercept_ml" => fitted(case, &study.fit(&study.intercepts(), Likelihood::Full)),
            "published_fm1" => printed(case, &study.fit(&study.slopes(), Likelihood::Restricted)),
            "uncorrelated_reml" => {
                let apart = [
                    Term::intercept(study.subject.clone()),
                    Term::slope_alone(study.subject.clone(), study.days.clone()),
                ];
                let fit = study.fit(&apart, Likelihood::Restricted);
                case.expect_list("fixed", &fit.fixed);
                case.expect("sigma", fit.sigma);
                case.expect("sd_intercept", fit.covariances[0][(0, 0)].sqrt());
                case.expect("sd_slope", fit.covariances[1][(0, 0)].sqrt());
                case.expect("deviance_or_reml_criterion", -2.0 * fit.log_likelihood);
            }
            "lrt_slope" => {
                let slopes = study.fit(&study.slopes(), Likelihood::Full);
                let ratio = slopes.against(&study.fit(&study.intercepts(), Likelihood::Full));
                case.expect("chisq", ratio.chi_squared);
                case.expect("df", ratio.df as f64);
                case.expect("p", ratio.p);
            }
            "satterthwaite" => {
                let fit = study.fit(&study.slopes(), Likelihood::Restricted);
                let both = [[1.0, 0.0], [0.0, 1.0]].map(|weights| fit.contrast(&weights));
                let df = both.map(|e| e.df.unwrap());
                case.expect_list("df", &df);
                let t = both.map(|e| e.estimate / e.standard_error);
                case.expect_list("t", &t);
                case.expect_list("p", &[0, 1].map(|i| student::two_sided_p(t[i], df[i])));
            }
            "kenward_roger" => {
                // Ours are Satterthwaite's. Every subject has every day, and there the two are one.
                let fit = study.fit(&study.slopes(), Likelihood::Restricted);
                case.expect("df_days", fit.contrast(&[0.0, 1.0]).df.unwrap());
            }
            "criterion_at_theta" => {
                for (key, likelihood) in
                    [("reml", Likelihood::Restricted), ("ml", Likelihood::Full)]
                {
                    let mixed = study.model(&study.slopes(), likelihood);
                    let at = |theta: &Vec<f64>| mixed.criterion(theta).unwrap();
                    let got: Vec<f64> = case.table("theta").iter().map(at).collect();
                    case.expect_list(key, &got);
                }
            }
            "per_subject_ols" => {
                let line = |subject: u32| {
                    let own = |column: &[f64]| -> Vec<f64> {
                        let rows = study.subject.iter().zip(column);
                        rows.filter(|row| *row.0 == subject).map(|row| *row.1).collect()
                    };
                    slope::line(&own(&study.days), &own(&study.reaction)).unwrap()
                };
                let lines: Vec<_> = (0..18).map(line).collect();
                let intercepts: Vec<f64> = lines.iter().map(|line| line.intercept).collect();
                case.expect_list("intercept", &intercepts);
                case.expect_list("slope", &lines.iter().map(|line| line.slope).collect::<Vec<_>>());
            }
            _ => return false,
        }
        true
    });
}

/// Subjects in the order of the file, numbered from 0.
struct Study {
    reaction: Vec<f64>,
    days: Vec<f64>,
    subject: Vec<u32>,
}

impl Study {
    fn of(case: &Case) -> Study {
        let sheet = case.sheet();
        let mut names: Vec<String> = Vec::new();
        let subject = sheet.rows().map(|row| {
            let name = row.at("Subject").to_owned();
            let place = names.iter().position(|other| *other == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            });
            u32::try_from(place).unwrap()
        });
        let subject = subject.collect();
        Study { reaction: sheet.column("Reaction"), days: sheet.column("Days"), subject }
    }

    fn slopes(&self) -> [Term; 1] {
        [Term::slope(self.subject.clone(), self.days.clone())]
    }

    fn intercepts(&self) -> [Term; 1] {
        [Term::intercept(self.subject.clone())]
    }

    fn model(&self, terms: &[Term], likelihood: Likelihood) -> Mixed {
        let fixed = [vec![1.0; self.days.len()], self.days.clone()];
        Mixed::new(&self.reaction, &fixed, terms, likelihood).unwrap()
    }

    fn fit(&self, terms: &[Term], likelihood: Likelihood) -> Fit {
        self.model(terms, likelihood).fit().unwrap()
    }
}

fn fitted(case: &Case, fit: &Fit) {
    case.expect_list("fixed", &fit.fixed);
    let v = &fit.fixed_covariance;
    case.expect_list("fixed_se", &[v[(0, 0)].sqrt(), v[(1, 1)].sqrt()]);
    case.expect_list("fixed_cov", &[v[(0, 0)], v[(0, 1)], v[(1, 0)], v[(1, 1)]]);
    case.expect("sigma", fit.sigma);
    case.expect("loglik", fit.log_likelihood);
    case.expect("deviance_or_reml_criterion", -2.0 * fit.log_likelihood);
    case.expect("aic", fit.aic());
    case.expect("bic", fit.bic());
    case.expect_list("theta", &fit.theta);
    let effect = |e: usize| fit.effects[0].iter().map(|level| level[e]).collect::<Vec<f64>>();
    case.expect_list("blup_intercept", &effect(0));
    let c = &fit.covariances[0];
    case.expect("sd_intercept", c[(0, 0)].sqrt());
    if c.nrows() == 2 {
        case.expect("sd_slope", c[(1, 1)].sqrt());
        case.expect("cov", c[(0, 1)]);
        case.expect("cor", c[(0, 1)] / (c[(0, 0)] * c[(1, 1)]).sqrt());
        case.expect_list("blup_slope", &effect(1));
    }
}

fn printed(case: &Case, fit: &Fit) {
    let (v, c) = (&fit.fixed_covariance, &fit.covariances[0]);
    case.expect_list("fixed", &fit.fixed);
    case.expect_list("fixed_se", &[v[(0, 0)].sqrt(), v[(1, 1)].sqrt()]);
    case.expect("sd_intercept", c[(0, 0)].sqrt());
    case.expect("sd_slope", c[(1, 1)].sqrt());
    case.expect("cor", c[(0, 1)] / (c[(0, 0)] * c[(1, 1)]).sqrt());
    case.expect("sigma", fit.sigma);
    case.expect("reml_criterion", -2.0 * fit.log_likelihood);
    case.expect("fixed_cor", v[(0, 1)] / (v[(0, 0)] * v[(1, 1)]).sqrt());
}

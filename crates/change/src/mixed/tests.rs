use super::*;

/// Six batches of dyestuff, five samples each: Davies and Goldsmith, Statistical Methods in Research and
/// Production, 4th edition 1972, table 6.1. Between-batch 1764.05, within 2451.25 are the variance analysis's
/// own estimates, which restricted likelihood equals in a balanced table.
#[test]
fn the_dyestuff_batches_give_the_textbook_variances() {
    let batches = [
        [1545, 1440, 1440, 1520, 1580],
        [1540, 1555, 1490, 1560, 1495],
        [1595, 1550, 1605, 1510, 1560],
        [1445, 1440, 1595, 1465, 1545],
        [1595, 1630, 1515, 1635, 1625],
        [1520, 1455, 1450, 1480, 1445],
    ];
    let mut data = Data::default();
    for (group, batch) in batches.iter().enumerate() {
        for v in batch {
            data.response.push(f64::from(*v));
            data.fixed.push(vec![1.0]);
            data.random.push(vec![1.0]);
            data.group.push(group as u64);
        }
    }
    let fit = fit(&data, Likelihood::Restricted).expect("a full table");
    assert!((fit.fixed[0] - 1527.5).abs() < 1e-8, "{fit:?}");
    assert!((fit.residual_variance - 2451.25).abs() < 1e-6, "{fit:?}");
    assert!(
        (fit.random_covariance[0][0] - 1764.05).abs() < 1e-6,
        "{fit:?}"
    );
    let standard_error = ((1764.05 + 2451.25 / 5.0) / 6.0f64).sqrt();
    assert!((fit.standard_errors()[0] - standard_error).abs() < 1e-8);
    assert!(!fit.on_boundary);
}

fn table(rows: &[(f64, f64, u64)]) -> Data {
    let mut data = Data::default();
    for (y, t, group) in rows {
        data.response.push(*y);
        data.fixed.push(vec![1.0, *t]);
        data.random.push(vec![1.0]);
        data.group.push(*group);
    }
    data
}

fn invented() -> Vec<(f64, f64, u64)> {
    let slips = [
        0.3, -0.7, 1.1, 0.2, -0.4, 0.9, -1.2, 0.5, 0.1, -0.6, 0.8, -0.2,
    ];
    let shifts = [1.5, -0.8, -1.9, 1.2];
    (0..12)
        .map(|i| {
            let g = i / 3;
            let t = g as f64 * 0.7;
            (20.0 - 1.1 * t + shifts[g] + slips[i], t, g as u64)
        })
        .collect()
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-8 * (1.0 + b.abs()), "{a} and {b}");
}

#[test]
fn names_of_groups_and_the_order_of_rows_do_not_matter() {
    let rows = invented();
    let mut other: Vec<(f64, f64, u64)> = rows.iter().map(|r| (r.0, r.1, 900 - 7 * r.2)).collect();
    other.reverse();
    let (a, b) = (
        fit(&table(&rows), Likelihood::Restricted).expect("a fit"),
        fit(&table(&other), Likelihood::Restricted).expect("a fit"),
    );
    close(a.fixed[1], b.fixed[1]);
    close(a.random_covariance[0][0], b.random_covariance[0][0]);
    close(a.log_likelihood, b.log_likelihood);
}

#[test]
fn another_unit_scales_the_answer_and_nothing_else() {
    let rows = invented();
    let scaled: Vec<(f64, f64, u64)> = rows
        .iter()
        .map(|r| (1e3 * r.0 + 5e5, r.1 * 365.25, r.2))
        .collect();
    for likelihood in [Likelihood::Restricted, Likelihood::Full] {
        let (a, b) = (
            fit(&table(&rows), likelihood).expect("a fit"),
            fit(&table(&scaled), likelihood).expect("a fit"),
        );
        close(a.fixed[1] * 1e3 / 365.25, b.fixed[1]);
        close(a.random_covariance[0][0], b.random_covariance[0][0] / 1e6);
        close(a.residual_variance, b.residual_variance / 1e6);
    }
}

/// Balanced: what restricted likelihood gives inside is the variance analysis's own answer, and full likelihood
/// is never higher in variance.
#[test]
fn full_likelihood_gives_the_smaller_variance() {
    let restricted = fit(&table(&invented()), Likelihood::Restricted).expect("a fit");
    let full = fit(&table(&invented()), Likelihood::Full).expect("a fit");
    assert!(full.random_covariance[0][0] < restricted.random_covariance[0][0]);
    assert!(restricted.gradient < 1e-8 && full.gradient < 1e-8);
}

/// Groups whose means differ less than their own spread explains: the variance is zero and the answer is that of
/// least squares.
#[test]
fn groups_that_do_not_differ_give_a_variance_of_zero_and_least_squares() {
    let rows: Vec<(f64, f64, u64)> = (0..20)
        .map(|i| {
            let (g, k) = (i / 5, i % 5);
            let y = [-2.0, 1.5, 0.3, -0.9, 1.1][k];
            (y, 0.2 * g as f64 + 0.05 * k as f64, g as u64)
        })
        .collect();
    let fit = fit(&table(&rows), Likelihood::Restricted).expect("a fit");
    assert!(fit.on_boundary);
    assert_eq!(fit.random_covariance[0][0], 0.0);
    let (t, y): (Vec<f64>, Vec<f64>) = rows.iter().map(|r| (r.1, r.0)).unzip();
    let (mt, my) = (t.iter().sum::<f64>() / 20.0, y.iter().sum::<f64>() / 20.0);
    let s: f64 = t.iter().map(|v| (v - mt).powi(2)).sum();
    let slope = t
        .iter()
        .zip(&y)
        .map(|(a, b)| (a - mt) * (b - my))
        .sum::<f64>()
        / s;
    close(fit.fixed[1], slope);
}

#[test]
fn what_cannot_be_fitted_is_refused_with_a_sentence() {
    let fault = |d: &Data| {
        fit(d, Likelihood::Restricted)
            .expect_err("a broken table")
            .to_string()
    };
    let good = table(&invented());
    assert!(fault(&Data::default()).contains("found 0 observations"));
    let mut d = good.clone();
    d.group.pop();
    assert!(fault(&d).contains("expected as many of each"));
    let mut d = good.clone();
    d.response[3] = f64::NAN;
    assert!(fault(&d).contains("row 4"));
    let mut d = good.clone();
    d.fixed[2].pop();
    assert!(fault(&d).contains("row 3 has 1 columns"));
    let mut d = good.clone();
    d.group = vec![1; 12];
    assert!(fault(&d).contains("found 1 groups"));
    let mut d = good.clone();
    d.group = (0..12).collect();
    assert!(fault(&d).contains("cannot be told from the rest"));
    let mut d = good.clone();
    for x in &mut d.fixed {
        x[1] = 2.0;
    }
    assert!(fault(&d).contains("depend on one another"));
    let mut d = good.clone();
    for z in &mut d.random {
        *z = vec![1.0, 2.0, 3.0];
    }
    assert!(fault(&d).contains("found 3 random columns"));
    let mut d = good.clone();
    for (y, x) in d.response.iter_mut().zip(&d.fixed) {
        *y = 3.0 + 2.0 * x[1];
    }
    assert!(fault(&d).contains("no error to judge by"));
    let mut d = good;
    for (y, g) in d.response.iter_mut().zip(&d.group) {
        *y = [3.0, 7.0, -2.0, 4.0][*g as usize];
    }
    assert!(fault(&d).contains("no error to judge by"), "{}", fault(&d));
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]

    #[test]
    fn no_table_brings_it_down(
        rows in proptest::collection::vec((proptest::num::f64::ANY, -1e3..1e3f64, 0u64..4, proptest::num::f64::ANY), 0..14),
        two in proptest::bool::ANY,
    ) {
        let mut data = Data::default();
        for (y, t, g, z) in rows {
            data.response.push(y);
            data.fixed.push(vec![1.0, t]);
            data.random.push(if two { vec![1.0, z] } else { vec![1.0] });
            data.group.push(g);
        }
        if let Ok(f) = fit(&data, Likelihood::Restricted) {
            proptest::prop_assert!(f.residual_variance > 0.0 && f.log_likelihood.is_finite());
        }
    }

    #[test]
    fn a_fit_is_never_less_likely_than_no_random_part(
        ys in proptest::collection::vec(-5.0..5.0f64, 12), two in proptest::bool::ANY,
    ) {
        let mut data = table(&invented());
        for (i, y) in ys.iter().enumerate() {
            data.response[i] = *y;
            data.fixed[i][1] = i as f64 * 0.3;
            if two {
                data.random[i] = vec![1.0, i as f64 * 0.3];
            }
        }
        let f = fit(&data, Likelihood::Full).expect("a fit");
        // Least squares: −n/2 (1 + log 2π RSS/n).
        let n = 12.0;
        let t: Vec<f64> = (0..12).map(|i| i as f64 * 0.3).collect();
        let (mt, my) = (t.iter().sum::<f64>() / n, ys.iter().sum::<f64>() / n);
        let s: f64 = t.iter().map(|v| (v - mt).powi(2)).sum();
        let slope = t.iter().zip(&ys).map(|(a, b)| (a - mt) * (b - my)).sum::<f64>() / s;
        let rss: f64 = t.iter().zip(&ys).map(|(a, b)| (b - my - slope * (a - mt)).powi(2)).sum();
        let plain = -0.5 * n * (1.0 + (2.0 * std::f64::consts::PI * rss / n).ln());
        proptest::prop_assert!(f.log_likelihood >= plain - 1e-9, "{} and {plain}", f.log_likelihood);
    }
}

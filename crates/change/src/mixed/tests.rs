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

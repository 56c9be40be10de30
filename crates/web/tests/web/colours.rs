//! Do the pages' colours meet WCAG 2.2 AA in both lights?

use std::collections::BTreeMap;

const TOKENS: &str = include_str!("../../ui/styles/tokens.css");

/// The colours of one block, from its selector to its closing brace.
fn block(selector: &str) -> BTreeMap<&'static str, [f64; 3]> {
    let start = TOKENS
        .find(selector)
        .unwrap_or_else(|| panic!("no {selector}"));
    let body = TOKENS[start..].split('}').next().unwrap();
    body.lines()
        .filter_map(|line| {
            let (name, value) = line.trim().strip_prefix("--")?.split_once(": #")?;
            let hex = value.trim_end_matches(';');
            let part =
                |i: usize| f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            Some((name, [part(0), part(2), part(4)]))
        })
        .collect()
}

/// WCAG 2.2, 'relative luminance' and 'contrast ratio'.
fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let light = |c: [f64; 3]| {
        let [r, g, b] = c.map(|v| {
            if v <= 0.04045 {
                v / 12.92
            } else {
                ((v + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let (a, b) = (light(a), light(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn colour_pairs_meet_the_contrast_they_need() {
    // Success criterion 1.4.3 asks 4.5 for words, 1.4.11 asks 3 for the edges of inputs and for shapes.
    let pairs = [
        (
            "ink",
            &[
                "paper",
                "card",
                "well",
                "accent-soft",
                "attention-soft",
                "alarm-soft",
            ][..],
            4.5,
        ),
        ("quiet", &["paper", "card", "well"], 4.5),
        ("accent", &["paper", "card", "well"], 4.5),
        ("attention", &["paper", "card", "attention-soft"], 4.5),
        ("alarm", &["paper", "card", "alarm-soft"], 4.5),
        ("accent-ink", &["accent"], 4.5),
        ("edge", &["paper", "card"], 3.0),
    ];
    let day = block(":root {");
    for light in [
        day.clone(),
        block(":root[data-theme=\"dark\"]"),
        block(":root:not([data-theme=\"light\"])"),
    ] {
        for (ink, grounds, least) in pairs {
            for ground in grounds {
                let found = contrast(light[ink], light[ground]);
                assert!(
                    found >= least,
                    "{ink} on {ground}: {found:.2}, expected {least}"
                );
            }
        }
    }
    for ink in ["film-ink", "film-quiet"] {
        assert!(contrast(day[ink], day["film"]) >= 4.5, "{ink}");
    }
}

#[test]
fn both_ways_into_the_dark_have_the_same_colours() {
    assert_eq!(
        block(":root[data-theme=\"dark\"]"),
        block(":root:not([data-theme=\"light\"])")
    );
}

#[test]
fn black_on_white_has_the_contrast_that_the_guideline_names() {
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
}

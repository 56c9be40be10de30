"""Holds the readings, their errors and the agreement figures against numpy and scipy.

    cargo run -p reading --example cases > cases.json
    python checks/reading/second.py cases.json

Values must agree to rounding. Standard errors are compared with a Monte Carlo of 200,000 draws of
everything the reading claims to cover (points, floor, scale, turned foot); that tells a standard
deviation to 0.16 %, and the first-order error leaves out a little on short lines. Prints the largest
differences and fails beyond the stated tolerances.
"""

import json
import sys

import numpy as np
from scipy import stats

import measures as m

DRAWS = 200_000
VALUE_TOLERANCE = 1e-9
# Lines whose direction is uncertain by 10° and more leave a few percent to the second order.
ERROR_TOLERANCE = 0.04
# Readings that carry the note about a short line are only promised to be approximate.
ROUGH_TOLERANCE = 0.25
# The quantiles of F and t are found to about 1e-9 on both sides.
AGREEMENT_TOLERANCE = 1e-6


def spread(case, rng):
    """Root mean square of truth minus reading by Monte Carlo, by measure."""
    view = case["points"]["view"]
    names, at, covariance = m.film_mm(case)
    exact = m.read(view, names, at)
    root = np.linalg.cholesky(covariance)
    slips = np.einsum("nij,dnj->dni", root, rng.standard_normal((DRAWS, len(names), 2)))
    drawn = m.frame(view, {n: at[i] + slips[:, i] for i, n in enumerate(names)})
    tilt = np.radians(rng.standard_normal(DRAWS) * m.EDGE_TILT_SD_DEG)
    yaw = np.radians(rng.standard_normal(DRAWS) * case["film"]["yaw_sd_deg"])
    scale = 1.0 + case["film"]["scale"]["relative_standard_error"] * rng.standard_normal(DRAWS)
    turned = {n: q / np.stack([np.cos(yaw), np.ones(DRAWS)], -1) for n, q in drawn.items()}
    c, s = np.cos(tilt), np.sin(tilt)
    tilted = {
        n: np.stack([c * q[:, 0] - s * q[:, 1], s * q[:, 0] + c * q[:, 1]], -1)
        for n, q in drawn.items()
    }
    straight = m.READ[view](drawn)
    with_turn = m.READ[view](turned)
    with_tilt = m.READ[view](tilted)
    out = {}
    for key, value in exact.items():
        if key in m.TURNED:
            values = with_turn[key]
        elif key in m.AGAINST_EDGE:
            values = with_tilt[key]
        else:
            values = straight[key]
        if key in m.LENGTHS:
            values = values * scale
        out[key] = float(np.sqrt(np.mean((values - value) ** 2)))
    return exact, out


def check_readings(cases):
    rng = np.random.default_rng(1)
    worst = {"value": (0.0, ""), "error": (0.0, ""), "error of short lines": (0.0, "")}
    count = 0
    for i, case in enumerate(cases):
        exact, errors = spread(case, rng)
        found = {r["measure"]: r for r in case["readings"]}
        if set(found) != set(exact):
            sys.exit(f"case {i}: read {sorted(found)}, expected {sorted(exact)}")
        for key, reading in found.items():
            estimate = reading["estimate"]
            rough = any("short against" in note for note in reading["notes"])
            kind = "error of short lines" if rough else "error"
            for what, miss in (
                ("value", abs(estimate["value"] - exact[key])),
                (kind, abs(estimate["standard_error"] / errors[key] - 1.0)),
            ):
                if miss > worst[what][0]:
                    worst[what] = (miss, f"{key}, case {i}")
            count += 1
    print(f"{count} readings of {len(cases)} point sets")
    for what, (miss, where) in worst.items():
        share = "" if what == "value" else " (share of the Monte Carlo error)"
        print(f"  largest difference of {what}: {miss:.3g}{share}  [{where}]")
    return (
        worst["value"][0] <= VALUE_TOLERANCE
        and worst["error"][0] <= ERROR_TOLERANCE
        and worst["error of short lines"][0] <= ROUGH_TOLERANCE
    )


def icc(table):
    """Shrout and Fleiss 1979, intervals of McGraw and Wong 1996."""
    n, k = table.shape
    grand = table.mean()
    rows, columns = table.mean(axis=1), table.mean(axis=0)
    msb = k * np.sum((rows - grand) ** 2) / (n - 1)
    msw = np.sum((table - rows[:, None]) ** 2) / (n * (k - 1))
    msj = n * np.sum((columns - grand) ** 2) / (k - 1)
    mse = np.sum((table - rows[:, None] - columns + grand) ** 2) / ((n - 1) * (k - 1))

    def f(a, b):
        return stats.f.ppf(0.975, a, b)

    def ratio(below, df):
        value = msb / below
        ends = value, value / f(n - 1, df), value * f(df, n - 1)
        return [(e - 1) / (e + k - 1) for e in ends]

    two = (msb - mse) / (msb + (k - 1) * mse + k * (msj - mse) / n)
    a = k * two / (n * (1 - two))
    b = 1 + k * two * (n - 1) / (n * (1 - two))
    v = (a * msj + b * mse) ** 2 / (
        (a * msj) ** 2 / (k - 1) + (b * mse) ** 2 / ((n - 1) * (k - 1))
    )
    low, high = f(n - 1, v), f(v, n - 1)
    rest = k * msj + (k * n - k - n) * mse
    single = {
        "one_way": ratio(msw, n * (k - 1)),
        "agreement": [
            two,
            n * (msb - low * mse) / (low * rest + n * msb),
            n * (high * msb - mse) / (rest + n * high * msb),
        ],
        "consistency": ratio(mse, (n - 1) * (k - 1)),
    }
    average = {form: [k * r / (1 + (k - 1) * r) for r in ends] for form, ends in single.items()}
    sem = {
        "agreement": np.sqrt(max((msj - mse) / n, 0.0) + mse),
        "consistency": np.sqrt(mse),
    }
    return {"single": single, "average": average}, sem


def pairs(a, b):
    n = len(a)
    d = a - b
    t = stats.t.ppf(0.975, n - 1)
    sd = d.std(ddof=1)
    ba = {
        "bias": d.mean(),
        "standard_deviation": sd,
        "bias_interval": [d.mean() - t * sd / np.sqrt(n), d.mean() + t * sd / np.sqrt(n)],
        "limits": [d.mean() - stats.norm.ppf(0.975) * sd, d.mean() + stats.norm.ppf(0.975) * sd],
    }
    covariance = np.cov(a, b, ddof=0)
    ccc = 2 * covariance[0, 1] / (covariance[0, 0] + covariance[1, 1] + (a.mean() - b.mean()) ** 2)
    lin = {"value": ccc, "correlation": stats.pearsonr(a, b).statistic}
    repeat = {"within_subject_sd": np.sqrt(np.mean(d**2) / 2)}
    return ba, lin, repeat


def check_agreement(tables):
    worst = (0.0, "")

    def compare(name, found, expected):
        nonlocal worst
        miss = float(np.max(np.abs(np.asarray(found, float) - np.asarray(expected, float))))
        if not miss <= worst[0]:
            worst = (miss, name)

    for case in tables:
        table = np.array(case["table"])
        forms, sem = icc(table)
        for use, by_form in forms.items():
            for form, ends in by_form.items():
                found = case["icc"][use][form]
                compare(f"icc {use} {form}", [found[e] for e in ("value", "lower", "upper")], ends)
        for key, value in sem.items():
            compare(f"sem {key}", case["sem"][key], value)
        names = ("bland_altman", "lin_ccc", "repeatability")
        for name, expected in zip(names, pairs(table[:, 0], table[:, 1])):
            for key, value in expected.items():
                compare(f"{name} {key}", case[name][key], value)
    print(f"{len(tables)} tables of agreement")
    print(f"  largest difference: {worst[0]:.3g}  [{worst[1]}]")
    return worst[0] <= AGREEMENT_TOLERANCE


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        data = json.load(file)
    good = [check_readings(data["cases"]), check_agreement(data["agreement"])]
    if not all(good):
        sys.exit("readings and second implementation differ by more than the tolerance")
    print("within tolerance")


if __name__ == "__main__":
    main()

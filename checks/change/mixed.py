"""Holds mixed models, rates and verdicts against statsmodels and scipy.

    cargo run -p change --example change_cases > cases.json
    python checks/change/mixed.py cases.json

Models: statsmodels' own fit stops at about 1e-5, so its optimum is polished to the root of its own score. Where
a variance runs to zero its likelihood loses digits (it takes the inverse of a singular covariance): there the
same likelihood is searched with one column along a direction, or without any. Fixed effects, their standard
errors, the variances and the log-likelihood must agree to 1e-6, relative; parts of a covariance are held
against its largest part, as one of them may be zero.
Rates: restricted likelihood with known error variances by dense matrices and a scalar search. Prints the
largest differences and fails beyond the tolerance.
"""

import json
import sys
import warnings

import numpy as np
import statsmodels.api as sm
from scipy import optimize, stats
from statsmodels.regression.mixed_linear_model import MixedLMParams

TOLERANCE = 1e-6


def packed(model, l):
    """Parameters of statsmodels from the lower factor of the covariance over the residual variance."""
    q = model.k_re
    root = np.zeros((q, q))
    root[np.tril_indices(q)] = l
    cov = root @ root.T
    return MixedLMParams.from_components(fe_params=np.zeros(model.k_fe), cov_re=cov, vcomp=np.zeros(0))


def log_likelihood(model, l):
    return model.loglike(packed(model, l))


def score(model, l):
    params = packed(model, l)
    params.fe_params, _ = model.get_fe_params(params.cov_re, params.vcomp)
    return np.asarray(model.score_sqrt(params, calc_fe=False)[1])[: len(l)]


def model_of(y, x, groups, z, reml):
    model = sm.MixedLM(y, x, groups=groups, exog_re=z)
    model.reml = reml
    # What its own fit would set.
    model._cov_sing, model.cov_pen, model.fe_pen, model._freepat = 0, None, None, None
    return model


def own_optimum(model):
    """Where statsmodels' own fit stops, as the lower factor; its gradient steps fail on some boundaries."""
    for method in ("lbfgs", "bfgs"):
        try:
            first = model.fit(reml=model.reml, method=method, maxiter=500, do_cov=False)
            root = np.linalg.cholesky(first.cov_re / first.scale + 1e-12 * np.eye(model.k_re))
            return root[np.tril_indices(model.k_re)]
        except np.linalg.LinAlgError:
            model = model_of(model.endog, model.exog, model.groups, model.exog_re, model.reml)
    return np.eye(model.k_re)[np.tril_indices(model.k_re)]


def inside(model):
    """The factor where the score is zero, or None where a variance runs to zero."""
    if model.k_re == 1:
        grid = np.logspace(-3, 3, 25)
        slopes = [score(model, [g])[0] for g in grid]
        tops = [
            optimize.brentq(lambda g: score(model, [g])[0], grid[i], grid[i + 1], xtol=1e-15, rtol=1e-14)
            for i in range(len(grid) - 1)
            if slopes[i] > 0 > slopes[i + 1]
        ]
        return np.array([max(tops, key=lambda g: log_likelihood(model, [g]))]) if tops else None
    try:
        found = optimize.root(lambda l: score(model, l), own_optimum(model), tol=1e-14).x
    except np.linalg.LinAlgError:
        return None
    return found if min(abs(found[0]), abs(found[2])) > 1e-3 and np.max(np.abs(score(model, found))) < 1e-6 else None


def answer(model, l):
    """Fixed effects, their standard errors, covariance, residual variance and log-likelihood at a factor."""
    params = packed(model, l)
    fe, _ = model.get_fe_params(params.cov_re, params.vcomp)
    scale = model.get_scale(fe, params.cov_re, params.vcomp)
    full = MixedLMParams.from_components(fe_params=fe, cov_re=params.cov_re, vcomp=params.vcomp)
    hessian, _ = model.hessian(full)
    errors = np.sqrt(np.diag(np.linalg.inv(-hessian[: model.k_fe, : model.k_fe])))
    return fe, errors, params.cov_re * scale, scale, log_likelihood(model, l)


def without(y, x, q, reml):
    """No random part: ordinary least squares, with the restricted likelihood of the same form."""
    fit = sm.OLS(y, x).fit()
    n, p = x.shape
    if not reml:
        return fit.params, fit.bse * np.sqrt((n - p) / n), np.zeros((q, q)), fit.ssr / n, fit.llf
    m = n - p
    top = -0.5 * (m * (1 + np.log(2 * np.pi * fit.ssr / m)) + np.linalg.slogdet(x.T @ x)[1])
    return fit.params, fit.bse, np.zeros((q, q)), fit.scale, top


def one_column(y, x, groups, z, reml):
    model = model_of(y, x, groups, z, reml)
    found = inside(model)
    plain = without(y, x, 1, reml)
    if found is None:
        return plain
    best = answer(model, found)
    return best if best[4] > plain[4] else plain


def along(y, x, groups, z, reml):
    """A covariance of rank one: one column along a direction, which is searched outside statsmodels."""

    def top(angle):
        return one_column(y, x, groups, z @ [[np.cos(angle)], [np.sin(angle)]], reml)

    grid = np.linspace(0, np.pi, 13)[:-1]
    best = grid[np.argmax([top(a)[4] for a in grid])]

    # The root of a derivative tells the direction to 1e-10, the top of the likelihood alone to 1e-8.
    def slope(angle):
        h = 1e-4
        steps = [top(angle + k * h)[4] for k in (-2, -1, 1, 2)]
        return (steps[0] - 8 * steps[1] + 8 * steps[2] - steps[3]) / (12 * h)

    step = grid[1]
    near = optimize.minimize_scalar(lambda a: -top(a)[4], bounds=(best - step, best + step), method="bounded").x
    angle = optimize.newton(slope, near, tol=1e-11, maxiter=30)
    fe, errors, variance, scale, likelihood = top(angle)
    v = np.array([[np.cos(angle)], [np.sin(angle)]])
    return fe, errors, variance[0, 0] * (v @ v.T), scale, likelihood


def reference(data, reml):
    y, x, z = (np.array(data[k]) for k in ("response", "fixed", "random"))
    groups = np.array(data["group"])
    if z.shape[1] == 1:
        return one_column(y, x, groups, z, reml)
    model = model_of(y, x, groups, z, reml)
    found = inside(model)
    return along(y, x, groups, z, reml) if found is None else answer(model, found)


def model_misses(case):
    fit = case["fit"]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fe, errors, theirs, scale, likelihood = reference(case["data"], fit["likelihood"] == "restricted")
    ours = np.array(fit["random_covariance"])
    # A zero stands over the residual variance.
    size = np.abs(theirs).max() or scale
    # Fixed effects over the larger of themselves and their standard error: one may be zero.
    return {
        "fixed effects": np.max(np.abs(np.array(fit["fixed"]) - fe) / np.maximum(np.abs(fe), errors)),
        "standard errors": np.max(np.abs(np.array(case["standard_errors"]) / errors - 1)),
        "random covariance": np.max(np.abs(ours - theirs)) / size,
        "residual variance": abs(fit["residual_variance"] / scale - 1),
        "log-likelihood": abs(fit["log_likelihood"] / likelihood - 1),
    }, float(likelihood - fit["log_likelihood"])


def rate_miss(case):
    rows, out = case["readings"], case["rate"]
    days = sorted({r["days"] for r in rows})
    t = np.array(days) / 365.25
    of = [[r for r in rows if r["days"] == d] for d in days]
    y = np.array([np.mean([r["value"] for r in rs]) for rs in of])
    own = np.array([np.mean([r["standard_error"] ** 2 for r in rs]) for rs in of])
    v = np.maximum(case["within_sd"] ** 2 / np.array([len(rs) for rs in of]), own)
    x = np.column_stack([np.ones_like(t), t])

    def solved(tau2):
        w = np.diag(1 / (tau2 + v))
        inverse = np.linalg.inv(x.T @ w @ x)
        beta = inverse @ x.T @ w @ y
        r = y - x @ beta
        return beta, inverse, float(r @ w @ r)

    def deviance(tau2):
        _, inverse, q = solved(tau2)
        return np.sum(np.log(tau2 + v)) - np.linalg.slogdet(inverse)[1] + q

    grid = np.concatenate([[0.0], np.logspace(-8, 4, 400)])
    at = int(np.argmin([deviance(g) for g in grid]))
    tau2 = 0.0
    if at > 0:
        ends = (grid[at - 1], grid[at + 1])
        tau2 = optimize.minimize_scalar(deviance, bounds=ends, method="bounded", options={"xatol": 1e-12}).x
    beta, inverse, q = solved(tau2)
    k = len(days)
    scatter = stats.t.ppf(0.975, k - 2) * np.sqrt(q / (k - 2) * inverse[1, 1])
    known = stats.t.ppf(0.975, case["films"]) * np.sqrt(solved(0.0)[1][1, 1])
    half = max(scatter, known)
    expected = np.array([beta[1], beta[1] - half, beta[1] + half, np.sqrt(tau2)])
    found = np.array([out["per_year"], *out["interval_95"], out["visit_sd"]])
    return float(np.max(np.abs(found - expected)) / half)


def verdict_miss(case):
    out, n = case["verdict"], case["films"]
    sd = np.sqrt(2) * case["within_sd"]
    smallest = stats.t.ppf(0.975, n) * sd
    beyond = stats.t.cdf((-case["size"] - case["change"]) / sd, n) + stats.t.sf((case["size"] - case["change"]) / sd, n)
    changed = out["kind"]["verdict"] == "changed"
    if changed != (abs(case["change"]) > smallest):
        return float("inf")
    return max(abs(out["smallest_shown"] / smallest - 1), abs(out["probability_larger"] - beyond))


def main():
    cases = json.load(open(sys.argv[1], encoding="utf-8"))
    worst, failed = {}, 0
    for case in cases["models"]:
        if "fault" in case:
            print(f"  {case['name']}: refused ({case['fault']})")
            failed += 1
            continue
        misses, gain = model_misses(case)
        kind = case["fit"]["likelihood"]
        edge = ", on the boundary" if case["fit"]["on_boundary"] else ""
        print(f"  {case['name']}, {kind}{edge}: " + ", ".join(f"{k} {v:.1e}" for k, v in misses.items()) + f"; theirs higher by {gain:.1e}")
        for what, miss in misses.items():
            if not miss <= worst.get(what, (-1.0, ""))[0]:
                worst[what] = (float(miss), f"{case['name']}, {kind}")
    print(f"{len(cases['models'])} models")
    for what, (miss, where) in worst.items():
        print(f"  largest difference of {what}: {miss:.3g} [{where}]")
    for what, misses in (
        ("rates", [rate_miss(c) for c in cases["rates"]]),
        ("verdicts", [verdict_miss(c) for c in cases["verdicts"]]),
    ):
        worst[what] = (max(misses), "")
        print(f"{len(misses)} {what}\n  largest difference of {what}: {max(misses):.3g}")
    if failed or not all(miss <= TOLERANCE for miss, _ in worst.values()):
        sys.exit(1)


if __name__ == "__main__":
    main()

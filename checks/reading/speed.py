"""Times a vectorised numpy Monte Carlo of the same readings, to hold against ours.

    cargo run -p reading --example speed > ours.json
    cargo run -p reading --example cases -- 200 > cases.json
    python checks/reading/speed.py cases.json ours.json [OUT.json]

1,000 draws for each point set, all measures of the view, mean and standard deviation of each: what
somebody would write who has no derivatives. numpy times 200 sets of a view and the time is scaled to the
100,000 sets that ours really goes through; it may take several sets in one go, and the fastest way is
the one that counts. The draws cover the points only, which is the least that a reading's error holds.
"""

import json
import os
import sys
import time

# One thread on both sides.
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np

import measures as m

DRAWS = 1_000


def monte_carlo(view, names, at, root, rng):
    """Mean and standard deviation of every measure, for all sets of the batch at once."""
    z = rng.standard_normal((at.shape[0], DRAWS, *at.shape[1:]))
    # Lower triangular root of each covariance, written out: faster than a general product.
    slip = np.empty_like(z)
    slip[..., 0] = root[:, None, :, 0, 0] * z[..., 0]
    slip[..., 1] = root[:, None, :, 1, 0] * z[..., 0] + root[:, None, :, 1, 1] * z[..., 1]
    values = m.read(view, names, at[:, None] + slip)
    return {key: (v.mean(axis=1), v.std(axis=1)) for key, v in values.items()}


def seconds_per_set(view, cases):
    names = m.film_mm(cases[0])[0]
    at = np.array([m.film_mm(c)[1] for c in cases])
    root = np.linalg.cholesky(np.array([m.film_mm(c)[2] for c in cases]))
    best = (np.inf, 0)
    for batch in (1, 5, 20):
        rng = np.random.default_rng(3)
        monte_carlo(view, names, at[:batch], root[:batch], rng)
        for _ in range(3):
            start = time.perf_counter()
            for i in range(0, len(cases), batch):
                monte_carlo(view, names, at[i : i + batch], root[i : i + batch], rng)
            best = min(best, ((time.perf_counter() - start) / len(cases), batch))
    return best


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        cases = json.load(file)["cases"]
    with open(sys.argv[2], encoding="utf-8") as file:
        ours = json.load(file)
    out = []
    for row in ours:
        view = row["view"]
        mine = [c for c in cases if c["points"]["view"] == view]
        reference, batch = seconds_per_set(view, mine)
        ours_s = row["set_us"]["best"] * 1e-6
        out.append(
            {
                "view": view,
                "measures": row["measures"],
                "sets": row["sets"],
                "ours_s": ours_s * row["sets"],
                "reference_s": reference * row["sets"],
                "reference_timed_sets": len(mine),
                "reference_batch": batch,
                "ratio": reference / ours_s,
                "sheet_us": row["sheet_us"]["best"],
            }
        )
        print(
            f"{view}: {row['sets']} sets x {row['measures']} measures: ours {out[-1]['ours_s']:.2f} s, "
            f"numpy {out[-1]['reference_s']:.0f} s (scaled from {len(mine)} sets, {batch} in one go), "
            f"ratio {out[-1]['ratio']:.0f}; one sheet {out[-1]['sheet_us']:.1f} us"
        )
    ours_s, reference_s = (sum(r[k] for r in out) for k in ("ours_s", "reference_s"))
    print(f"all views: ratio {reference_s / ours_s:.0f}")
    if len(sys.argv) > 3:
        with open(sys.argv[3], "w", encoding="utf-8") as file:
            json.dump({"views": out, "ratio": reference_s / ours_s}, file, indent=1)


if __name__ == "__main__":
    main()

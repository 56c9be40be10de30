"""Factors and solves the matrices of `solve_speed` with CHOLMOD (as shipped by cvxopt), on one thread.

    cargo run -p fem --example solve_speed FOLDER > FOLDER/ours.txt
    python checks/fem/cholmod_speed.py FOLDER [SUMMARY.json]

CHOLMOD gets the matrix twice: to order itself (its default), and in our order of elimination. Times are of the
processor, not of the wall, so that a busy machine does not decide. The residual is the largest
|A x - b| / (|A| |x| + |b|) over the equations, of its solution and of the one in the file.
"""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import json
import resource
import sys
import time
from pathlib import Path

import numpy
from cvxopt import cholmod, matrix, spmatrix
from scipy import sparse


def read(path):
    raw = numpy.fromfile(path, dtype="<u8")
    n, entries = int(raw[0]), int(raw[1])
    start = raw[2 : n + 3].astype(numpy.int64)
    rows = raw[n + 3 : n + 3 + entries].astype(numpy.int64)
    numbers = raw[n + 3 + entries :].view("<f8")
    values, side, found = numbers[:entries], numbers[entries : entries + n], numbers[entries + n : entries + 2 * n]
    lower = sparse.csc_matrix((values, rows, start), shape=(n, n))
    return n, lower, side, found


def residual(lower, side, found):
    whole = lower + sparse.tril(lower, -1).T
    size = abs(whole) @ numpy.abs(found) + numpy.abs(side)
    return float(numpy.max(numpy.abs(whole @ found - side) / size))


def timed(action):
    wall, cpu = time.perf_counter(), time.process_time()
    result = action()
    return result, time.process_time() - cpu, time.perf_counter() - wall


def main(folder, summary=None):
    cholmod.options["supernodal"] = 2
    rows = []
    paths = sorted(Path(folder).glob("curved-plate-*.bin"), key=lambda p: int(p.stem.split("-")[-1]))
    # The smallest one first, untimed, as in our program: no time goes into bringing the library from the disk.
    # Then it five times, as there.
    for turn, path in enumerate([*paths[:1], *paths[:1] * 4, *paths]):
        n, lower, side, found = read(path)
        coordinates = lower.tocoo()
        whole = spmatrix(matrix(coordinates.data), matrix(coordinates.row.astype(int)), matrix(coordinates.col.astype(int)), (n, n))
        if turn == 0:
            cholmod.linsolve(whole, matrix(side))
            continue
        ours_off = residual(lower, side, found)
        print(f"{path.name}: {n} unknowns; residual of our solution {ours_off:.1e}")
        for name, order in (("own order", None), ("our order", matrix(list(range(n)), (n, 1)))):
            symbolic = (lambda: cholmod.symbolic(whole)) if order is None else (lambda: cholmod.symbolic(whole, p=order))
            factor, plan_cpu, _ = timed(symbolic)
            _, first_cpu, first_wall = timed(lambda: cholmod.numeric(whole, factor))
            _, again_cpu, again_wall = timed(lambda: cholmod.numeric(whole, factor))
            answer = matrix(side)
            _, solve_cpu, _ = timed(lambda: cholmod.solve(factor, answer))
            theirs = numpy.array(answer).ravel()
            apart = float(numpy.max(numpy.abs(theirs - found)) / numpy.max(numpy.abs(found)))
            off = residual(lower, side, theirs)
            print(
                f"  CHOLMOD, {name}: plan {plan_cpu:.3f} s, factor {first_cpu:.3f} s (again {again_cpu:.3f} s, "
                f"wall {again_wall:.3f} s), solve {solve_cpu:.4f} s, residual {off:.1e}, "
                f"solutions apart by {apart:.1e}"
            )
            rows.append({
                "file": path.name, "unknowns": n, "order": name, "plan_s": plan_cpu, "factor_s": first_cpu, "again_s": again_cpu,
                "solve_s": solve_cpu, "residual": off, "our_residual": ours_off, "apart": apart,
            })
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB (reading and numpy included)")
    if summary:
        Path(summary).write_text(json.dumps(rows), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:3])

"""Six hundred walks of ten people over a pressure plate, through the crate's example.

    python checks/print/jiku.py EXAMPLE

The recordings (Pataky and others, 2008; 63 x 33 cells, 500 frames a second) come with the package jiku-data 0.1.16,
which is under the GPL: pip fetches it when this runs, only its data files are opened, and nothing of it is kept or
shipped. The package names neither unit nor pitch; values are taken as they are, cells as squares of 5.08 mm (from
memory, unconfirmed). Ratios do not hang on either.

Printed: what was refused, and for each index the spread within a person beside the spread between people, and the
people in order. Walks are at three speeds, so the spread within a person holds the speed's effect too.
"""

import collections
import json
import re
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import h5py
import numpy as np

PACKAGE = "jiku-data==0.1.16"
PEOPLE, WALKS, EVERY, PITCH = 10, 60, 10, "5.08"


def text(walk):
    """One frame in ten, blank lines between; decimals are not needed."""
    frames = walk[:, :, ::EVERY]
    last = np.flatnonzero(frames.any(axis=(0, 1)))
    frames = frames[:, :, : (last[-1] + 1 if len(last) else 1)]
    rows = [[";".join(map(str, row)) for row in frames[:, :, k]] for k in range(frames.shape[2])]
    return "\n\n".join("\n".join(grid) for grid in rows)


def main(example):
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        subprocess.run([sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", str(folder), PACKAGE], check=True)
        with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
            names = [n for n in wheel.namelist() if re.search(r"SpeedPP2DS/data_y/subj\d+\.h5$", n)]
            wheel.extractall(folder, names)
        rows = []
        for person, name in enumerate(sorted(names)):
            files = []
            with h5py.File(folder / name) as walks:
                for k, key in enumerate(sorted(walks)):
                    file = folder / f"{person:02}-{k:02}.csv"
                    file.write_text(text(walks[key][...]))
                    files.append(str(file))
            done = subprocess.run([example, PITCH, PITCH, "-", *files], capture_output=True, text=True, check=False)
            if done.returncode:
                sys.exit(f"the example failed: {done.stderr[-800:]}")
            rows += [(person, json.loads(line)) for line in done.stdout.splitlines()]
    refused = collections.Counter(row["refused"] for _, row in rows if "refused" in row)
    many = sum(len(row["feet"]) != 1 for _, row in rows if "feet" in row)
    print(f"walks: {len(rows)}, refused: {sum(refused.values())}, not one foot: {many}")
    for sentence, count in refused.items():
        print(f"  {count} x {sentence}")
    doubts = collections.Counter(d for _, row in rows for foot in row.get("feet", []) for d in foot["doubts"])
    print(f"doubts: {dict(doubts)}")
    sides = [collections.Counter(row["feet"][0]["side"] for p, row in rows if p == q and row.get("feet")) for q in range(PEOPLE)]
    print(f"sides told: {[dict(s) for s in sides]}")
    sure = [(p, row["feet"][0]["side"]) for p, row in rows if row.get("feet") and not {"side-unsure", "direction-unsure"} & set(row["feet"][0]["doubts"])]
    usual = [s.most_common(1)[0][0] if s else None for s in sides]
    print(f"sides told surely: {len(sure)}, of them against the person's usual one: {sum(s != usual[p] for p, s in sure)}")
    for index in ["arch_index", "chippaux_smirak", "staheli_index", "excursion_index", "foot_length"]:
        values = [[row["feet"][0][index][0] for p, row in rows if p == q and row.get("feet") and index in row["feet"][0]] for q in range(PEOPLE)]
        full = [v for v in values if len(v) > 1]
        if len(full) < 2:
            print(f"{index}: too few values")
            continue
        within = float(np.sqrt(np.mean([np.var(v, ddof=1) for v in full])))
        between = float(np.std([np.mean(v) for v in full], ddof=1))
        order = sorted((float(np.mean(v)), q) for q, v in enumerate(values) if v)
        print(f"{index}: {sum(map(len, values))} values, within a person {within:.4f}, between people {between:.4f}, ratio {between / within:.2f}")
        print("  lowest first: " + ", ".join(f"person {q} {m:.3f}" for m, q in order))
    return 0 if len(rows) == PEOPLE * WALKS and not refused else 1


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("found no path; expected that of the example read_grids")
    sys.exit(main(sys.argv[1]))

"""Marker files (C3D) in two other readers, both ways.

    python checks/motion/c3d_files.py

Files written by the example `motion_c3d` in every byte order, as whole and as floating numbers, are read by the
packages c3d and ezc3d; files written by c3d and by ezc3d are read by `motion_c3d`. Prints FIGURE rows.
"""

import json
import os
import subprocess
import tempfile
import warnings
from pathlib import Path

import c3d
import ezc3d
import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug"
OURS = str(TARGET / "examples" / "motion_c3d")


def say(name, value, unit, goal, holds, **more):
    print("FIGURE " + json.dumps({"name": name, "value": value, "unit": unit, "goal": goal, "holds": bool(holds), "more": more}))


def places_of(rows):
    """Markers by frames by three; not a number where a place is missing."""
    return np.array([[p if p is not None else [np.nan] * 3 for p in marker] for marker in rows], float)


def by_c3d(path):
    with path.open("rb") as file:
        reader = c3d.Reader(file)
        frames = [points.copy() for _, points, _ in reader.read_frames()]
        labels = [label.strip() for label in reader.point_labels]
        rate = reader.point_rate
    points = np.array(frames)
    places = points[:, :, :3].astype(float)
    places[points[:, :, 3] < 0] = np.nan
    return labels, rate, places.transpose(1, 0, 2)


def by_ezc3d(path):
    file = ezc3d.c3d(str(path))
    labels = [label.strip() for label in file["parameters"]["POINT"]["LABELS"]["value"]]
    rate = float(file["parameters"]["POINT"]["RATE"]["value"][0])
    places = np.array(file["data"]["points"][:3], float).transpose(1, 2, 0)
    missing = np.array(file["data"]["meta_points"]["residuals"][0]) < 0
    places[missing] = np.nan
    return labels, rate, places


def by_ours(path):
    done = subprocess.run([OURS, "read", str(path)], capture_output=True, text=True, check=True)
    read = json.loads(done.stdout)
    return read["labels"], read["rate"], places_of(read["places"])


def furthest(one, other):
    """Greatest distance; without end where one misses a place that the other has."""
    if one.shape != other.shape or (np.isnan(one) != np.isnan(other)).any():
        return float("inf")
    return float(np.nanmax(np.abs(one - other)))


def written_by_us(folder):
    subprocess.run([OURS, "write", str(folder)], check=True)
    truth = json.loads((folder / "places.json").read_text())
    places = places_of(truth["places"])
    for name, reader in [("c3d", by_c3d), ("ezc3d", by_ezc3d)]:
        worst, read, left = 0.0, 0, []
        for path in sorted(folder.glob("*.c3d")):
            try:
                labels, rate, theirs = reader(path)
            except Exception as error:  # what it does not read is told, not hidden
                left.append(f"{path.name}: {type(error).__name__}")
                continue
            same = labels == truth["labels"] and rate == truth["rate"]
            # Whole numbers stand for twentieths of a millimetre.
            allowed = 0.0261 if "whole" in path.name else 1e-3
            gap = furthest(places, theirs) / allowed if same else float("inf")
            worst, read = max(worst, gap), read + 1
        say(f"marker files of ours read by {name}, worst distance over what the form allows", worst, "ratio", "<= 1", worst <= 1 and read > 0,
            files=read, not_read_by_it=left)


def written_by_them(folder):
    lot = np.random.default_rng(11)
    places = lot.uniform(-900, 900, (5, 80, 3)).astype(np.float32)
    missing = lot.random((5, 80)) < 0.1
    labels = ["RHEE", "RHEU", "RLEG", "RCAL", "RMT2"]
    expected = places.astype(float)
    expected[missing] = np.nan

    path = folder / "by-c3d.c3d"
    writer = c3d.Writer(point_rate=120, analog_rate=0)
    writer.set_point_labels(labels)
    for frame in range(80):
        rows = np.zeros((5, 5), np.float32)
        rows[:, :3] = places[:, frame]
        rows[missing[:, frame], 3] = -1
        writer.add_frames([(rows, np.array([[]]))])
    with path.open("wb") as file:
        writer.write(file)
    compare("c3d", path, labels, 120.0, expected)

    path = folder / "by-ezc3d.c3d"
    new = ezc3d.c3d()
    new["parameters"]["POINT"]["RATE"]["value"] = [120]
    new["parameters"]["POINT"]["LABELS"]["value"] = tuple(labels)
    points = np.ones((4, 5, 80))
    points[:3] = places.transpose(2, 0, 1)
    points[:3, missing] = np.nan
    new["data"]["points"] = points
    new.write(str(path))
    compare("ezc3d", path, labels, 120.0, expected)


def compare(name, path, labels, rate, expected):
    ours_labels, ours_rate, ours = by_ours(path)
    gap = furthest(expected, ours) if ours_labels == labels and ours_rate == rate else float("inf")
    say(f"marker files written by {name} and read by us, worst distance", gap, "mm", "< 0.001", gap < 1e-3)


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    with tempfile.TemporaryDirectory() as folder:
        written_by_us(Path(folder))
        written_by_them(Path(folder))

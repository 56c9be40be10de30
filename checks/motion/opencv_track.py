"""The same points through the same frames with another library's Lucas-Kanade tracker.

    python checks/motion/opencv_track.py [FRAMES]

Runs the example `motion_speed`, which draws a clip of an invented leg at 1920 x 1080, follows four points in it and
writes the grey frames, its places, single bare steps and the true places. OpenCV then follows the same four points
through the same frames, in the same run. Prints FIGURE rows (agreement) and BENCH rows (speed). Neither reading nor
drawing the frames is in the times.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import cv2
import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug"
WINDOW = dict(winSize=(21, 21), maxLevel=2, criteria=(cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 20, 0.003))


def say(kind, name, value, unit, goal, holds, **more):
    print(f"{kind} " + json.dumps({"name": name, "value": value, "unit": unit, "goal": goal, "holds": bool(holds), **more}))


def main():
    wanted = sys.argv[1] if len(sys.argv) > 1 else "600"
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run([str(TARGET / "examples" / "motion_speed"), folder, wanted], capture_output=True, text=True, check=True)
        ours = json.loads(done.stdout)
        path = Path(folder) / "frames.grey"
        head = path.open("rb").readline()
        _, width, height, _ = head.split()
        width, height = int(width), int(height)
        frames = np.memmap(path, np.uint8, "r", len(head)).reshape(-1, height, width)
        held = [np.ascontiguousarray(f) for f in frames]
        track = json.loads((Path(folder) / "track.json").read_text())
    places = np.array(track["places"], float)
    truth = np.array(track["truth"], float)
    bare = np.array(track["bare"], float)
    seconds = min(followed(held, places[0])[1] for _ in range(2))
    theirs, _ = followed(held, places[0])
    steps = single_steps(held, places)

    step_gap = np.linalg.norm(steps - bare, axis=2)
    value = float(np.nanmedian(step_gap))
    say("FIGURE", "single steps of a followed point against OpenCV, median distance", value, "pixels", "< 0.1", value < 0.1,
        more={"steps": int(np.isfinite(step_gap).sum()), "p95": float(np.nanpercentile(step_gap, 95))})
    gap = np.linalg.norm(places - theirs, axis=2)
    value = float(np.nanmedian(gap))
    say("FIGURE", "places through a whole clip against OpenCV, median distance", value, "pixels", "< 0.1", value < 0.1,
        more={"places": int(np.isfinite(gap).sum()), "p95": float(np.nanpercentile(gap, 95)),
              "ours_to_truth_rms": rms(places, truth), "opencv_to_truth_rms": rms(theirs, truth),
              "ours_across_the_leg_rms": rms(places[:, :, :1], truth[:, :, :1]), "opencv_across_the_leg_rms": rms(theirs[:, :, :1], truth[:, :, :1])})
    per_second, reference = ours["per_second"], len(held) / seconds
    say("BENCH", "four points and the background through 1920 x 1080 against OpenCV's four points", per_second, "frames/s",
        ">= 300 and >= 1x", per_second >= 300 and per_second >= reference, ours=per_second, reference=reference,
        ratio=per_second / reference,
        more={"frames": len(held), "opencv": cv2.__version__,
              "opencv_threads": cv2.getNumThreads(),
              "ours_also": "the way back, the first look, 32 corners of the background"})


def rms(a, b):
    return float(np.sqrt(np.nanmean(np.sum((a - b) ** 2, axis=2))))


def followed(frames, start):
    """Frame to frame, as the library's own examples do."""
    points = start.astype(np.float32).reshape(-1, 1, 2)
    out = [start]
    spent = time.perf_counter()
    for before, now in zip(frames, frames[1:]):
        points, good, _ = cv2.calcOpticalFlowPyrLK(before, now, points, None, **WINDOW)
        out.append(np.where(good == 1, points[:, 0], np.nan))
    return np.array(out), time.perf_counter() - spent


def single_steps(frames, places):
    """One step each from our own places: like against like."""
    out = []
    for before, now, at in zip(frames, frames[1:], places):
        points = at.astype(np.float32).reshape(-1, 1, 2)
        seen = np.isfinite(at).all(axis=1)
        to, good, _ = cv2.calcOpticalFlowPyrLK(before, now, np.nan_to_num(points), None, **WINDOW)
        out.append(np.where((good == 1) & seen[:, None], to[:, 0], np.nan))
    return np.array(out)


if __name__ == "__main__":
    main()

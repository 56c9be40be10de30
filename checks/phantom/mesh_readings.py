"""Readings of films drawn from bone meshes, worked out again from the points in space.

    cargo run -p phantom --example compare_bones -- MESHES FOLDER > table.json
    python checks/phantom/mesh_readings.py FOLDER [--json FILE]

Takes from `*.truth.json` only how each film was taken and where its points lie in space, throws them on the
detector with its own code, and reads every measure with `checks/reading/measures.py`. What the project read
from the points on its film must be the same, and a measure is read exactly when all of its points are there.
Prints each reading beside the published band of grown feet; whether it is plausible is for the reader.
"""

import argparse
import json
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "reading"))
import measures as m

# In degrees, millimetres, percent or as a ratio. Both sides are arithmetic on the same points in double
# precision; only the film's scale goes through the DICOM file's decimal strings, which keep ten digits and
# more of it: 1e-8 mm of a foot. A hundred times that; a wrong axis, sign or distance lies far beyond.
TOLERANCE = 1e-6


def unit(v):
    return v / np.linalg.norm(v)


def detector(film):
    """Way of the beam, the film's directions (outwards or forward, and up) and the detector's normal.

    World: x forward, y up, z to the person's right. The first direction is the view's own, not the film's
    right, so that both sides of the body read alike.
    """
    forward, up, right = np.eye(3)
    out = right if film["side"] == "right" else -right
    tilt = np.radians(film["beam_angle_deg"])
    if film["view"] == "dorsoplantar":
        # From above, leaning back towards the heel; the detector lies on the floor.
        return -np.cos(tilt) * up - np.sin(tilt) * forward, out, forward, -up
    # From the outer side, from behind or from in front, falling towards the floor; the detector is square to it.
    level = {"lateral": -out, "hindfoot-alignment": forward, "ankle-front": -forward}[film["view"]]
    ray = np.cos(tilt) * level - np.sin(tilt) * up
    across = forward if film["view"] == "lateral" else out
    return ray, across, unit(up - (up @ ray) * ray), ray


def cast(film):
    """Points on the film in millimetres of the size of life: x forward or outwards, y up or to the toes."""
    ray, x, y, normal = detector(film)
    far, near = film["source_to_detector_mm"], film["object_to_detector_mm"]
    aim = np.array(film["aim_mm"])
    # The foot is turned about the upright axis through the aim, toes to the outer side.
    turn = np.radians(film["foot_rotation_deg"]) * (1 if film["side"] == "right" else -1)
    turned = np.array([[np.cos(turn), 0, -np.sin(turn)], [0, 1, 0], [np.sin(turn), 0, np.cos(turn)]])
    source, plate = aim - (far - near) * ray, aim + near * ray
    out = {}
    for name, at in film["points_mm"].items():
        way = aim + turned @ (np.array(at) - aim) - source
        hit = source + way * ((plate - source) @ normal) / (way @ normal) - plate
        out[name] = np.array([hit @ x, hit @ y]) * (far - near) / far
    return out


def levelled(points):
    """Lateral points over the floor, heights from it."""
    back, front = points["floor_back"], points["floor_front"]
    along = unit(front - back)
    over = np.array([-along[1], along[0]])
    return {n: np.array([(q - back) @ along, (q - back) @ over]) for n, q in points.items()}


class Points(dict):
    """A point that is not there is no number, and neither is what rests on it."""

    def __missing__(self, name):
        return np.array([np.nan, np.nan])


def worked_out(film, points):
    values = m.READ[film["view"]](Points(levelled(points) if film["view"] == "lateral" else points))
    return {key: float(value) for key, value in values.items() if np.isfinite(value)}


def shift_left(film, points):
    """Largest distance between both projections in film pixels, apart from where the detector stands."""
    enlarged = film["magnification"] / film["detector_spacing_mm"]
    # The film's x runs to its right: that is forward or outwards on a right foot, but outwards in front.
    flip = (film["side"] == "left") != (film["view"] == "ankle-front")
    ours = np.array([points[n] * enlarged * [-1 if flip else 1, -1] for n in sorted(points)])
    theirs = np.array([film["points_px"][n] for n in sorted(points)])
    miss = theirs - ours
    return float(np.abs(miss - miss.mean(axis=0)).max())


def band(row):
    if not row["band"]:
        return "-"
    low, high = row["band"]["lower"], row["band"]["upper"]
    return f"{'' if low is None else f'{low:g}'} to {'' if high is None else f'{high:g}'}"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--json", type=Path)
    arguments = parser.parse_args()
    films = sorted(arguments.folder.glob("*.truth.json"))
    if not films:
        sys.exit(f"found no *.truth.json in {arguments.folder}; run compare_bones with it as OUT")
    summary = []
    for path in films:
        film = json.loads(path.read_text())
        name = path.name.removesuffix(".truth.json")
        sheet = json.loads(path.with_name(f"{name}.readings.json").read_text())
        points = cast(film)
        values = worked_out(film, points)
        read = {row["measure"]: row for row in sheet["read"]}
        refused = {row["measure"]: row["sentence"] for row in sheet["refused"]}
        print(f"{name}: {len(points)} points, {len(read)} measures read, {len(refused)} refused")
        for key, row in read.items():
            again = values.get(key, float("nan"))
            print(
                f"  {key:22}{row['value']:9.2f} {row['unit']:5} again {again:9.2f}   "
                f"published: {band(row)}, {row['place']}"
            )
        for key, sentence in refused.items():
            print(f"  {key:22}{sentence}")
        differences = {
            key: {"unit": row["unit"], "difference": abs(row["value"] - values[key])}
            for key, row in read.items()
            if key in values
        }
        summary.append(
            {
                "film": name,
                "points": len(points),
                "read": len(read),
                "refused": len(refused),
                # Read without all points, or refused with all of them.
                "wrongly_read": sorted(set(read) - set(values)),
                "wrongly_refused": sorted(set(values) - set(read)),
                "without_sentence": sorted(k for k, s in refused.items() if not s.startswith("not read: ")),
                "not_answered": sorted(set(m.READ[film["view"]](Points())) - set(read) - set(refused)),
                "differences": differences,
                "projection_px": shift_left(film, points),
            }
        )
    worst = max((d["difference"] for s in summary for d in s["differences"].values()), default=float("inf"))
    print(f"largest difference of a reading: {worst:.3g}")
    if arguments.json:
        arguments.json.write_text(json.dumps(summary))
    wrong = any(s[k] for s in summary for k in ("wrongly_read", "wrongly_refused", "without_sentence", "not_answered"))
    if not worst <= TOLERANCE or wrong:
        sys.exit("readings and what the points in space give differ")
    print("within tolerance")


if __name__ == "__main__":
    main()

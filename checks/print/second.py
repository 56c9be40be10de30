"""A second implementation of what masks and levels are, in scikit-image, on sheets of the example `print_cases`.

    python checks/print/second.py FOLDER

For each case the example wrote the worked values, the level, the cells of each foot and what was read. Here: Otsu's
threshold by skimage.filters.threshold_otsu; parts by skimage.measure.label (connected by sides); areas by counting
cells and by the area of skimage's own contour at the level; length and greatest breadth along the same axis from the
cells' centres.

Tolerances: the threshold to one bin of 256, for both take bins from least to greatest value but skimage gives a bin's
middle as `values >` it; the number of cells of each foot exactly; the area of the contour to 0.05 %, for skimage
walks the same straight edges between cells but does not fill small holes (they are filled here first); lengths and
breadths to 1.2 cells, for centres of cells lie half a cell within the outline on either side.
"""

import json
import sys
from pathlib import Path

import numpy as np
from scipy import ndimage
from skimage import filters, measure


def shoelace(ring):
    x, y = ring[:, 1], ring[:, 0]
    return 0.5 * float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))


def main(folder):
    folder = Path(folder)
    worst = {"threshold, bins": 0.0, "cells of a foot": 0.0, "area, share": 0.0, "length, cells": 0.0, "heel's breadth, cells": 0.0}
    cases = sorted(folder.glob("*.json"))
    for case in cases:
        told = json.loads(case.read_text())
        values = np.fromfile(case.with_suffix(".f32"), dtype="<f4").reshape(told["height"], told["width"])
        span = (float(values.max()) - float(values.min())) / 256
        theirs = filters.threshold_otsu(values.astype(np.float64), nbins=256)
        worst["threshold, bins"] = max(worst["threshold, bins"], abs(theirs - told["otsu"]) / span)
        low, high = values[values <= theirs].mean(dtype=np.float64), values[values > theirs].mean(dtype=np.float64)
        worst["threshold, bins"] = max(worst["threshold, bins"], abs(0.5 * (low + high) - told["level"]) / span)
        inside = values < told["level"]
        labels = measure.label(inside, connectivity=1)
        for foot in told["feet"]:
            numbers = {labels[round(y), round(x)] for x, y in foot["seeds"]}
            mask = np.isin(labels, list(numbers))
            worst["cells of a foot"] = max(worst["cells of a foot"], abs(int(mask.sum()) - foot["cells"]))
            # Everything but the foot becomes ground, and so do its small holes become print.
            alone = np.where(mask | (labels == 0), values, 255.0)
            holes = ndimage.binary_fill_holes(mask) & ~mask
            alone[holes] = values[mask].mean()
            area = abs(sum(shoelace(r) for r in measure.find_contours(alone.astype(np.float64), told["level"])))
            worst["area, share"] = max(worst["area, share"], abs(area / foot["area_cells"] - 1))
            y, x = np.nonzero(mask)
            (hx, hy), (tx, ty) = foot["axis"]
            along = np.array([tx - hx, ty - hy]) / np.hypot(tx - hx, ty - hy)
            u = (x - hx) * along[0] + (y - hy) * along[1]
            v = (y - hy) * along[0] - (x - hx) * along[1]
            worst["length, cells"] = max(worst["length, cells"], abs(u.max() - u.min() + 1 - foot["length_cells"]))
            heel = u < u.min() + 0.25 * foot["toeless_cells"]
            breadth = max(np.ptp(v[heel & (np.abs(u - at) < 0.75)]) + 1 for at in np.arange(u.min() + 2, u[heel].max(), 1.0))
            worst["heel's breadth, cells"] = max(worst["heel's breadth, cells"], abs(breadth - foot["heel_cells"]))
    limits = {"threshold, bins": 1.0, "cells of a foot": 0, "area, share": 5e-4, "length, cells": 1.2, "heel's breadth, cells": 1.5}
    bad = [what for what, miss in worst.items() if miss > limits[what]]
    print(f"cases: {len(cases)}")
    for what, miss in worst.items():
        print(f"largest difference of {what}: {miss:.6g} (allowed {limits[what]:g})")
    return 1 if bad or not cases else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("found no folder; expected that of the example print_cases")
    sys.exit(main(sys.argv[1]))

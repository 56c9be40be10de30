"""The way from a scan file to a mended, aligned surface and on to a thick, watertight shell, with the fast functions
of trimesh, scipy and manifold3d; to be held against this project's own.

    python checks/surface/pipeline_speed.py FILE [--runs N] [--json OUT] [--plain]

The same job, in the same steps: load the STL, merge vertices, drop doubled and degenerate faces, keep the foot of
all pieces, close small holes, make the winding agree, smooth (Taubin), align by principal axes and the ground,
simplify to the same number of triangles (quadric edge collapse of fast-simplification, which trimesh calls).
What this pipeline does not do and ours does: telling side, ends and unit, spikes, points, checking the deviation.
With --plain every step is the library's own function, also the one that makes the winding agree, which takes a
minute; without it that step is written anew here, which is more than a user of the library has.

Then the shell as a workshop script makes one: the sole as heights over a grid (the lowest vertex of each
cell, which is quicker than rays), two sheets and a rim as one solid
of manifold3d, cut to an outline and joined with a post by booleans.
"""

import argparse
import json
import sys
import time

import manifold3d
import numpy as np
import trimesh
import trimesh.smoothing
from scipy import ndimage, sparse


class Clock:
    """Seconds of each step."""

    def __init__(self):
        self.steps, self.last = {}, time.perf_counter()
        self.began = time.process_time()

    def processor(self):
        return time.process_time() - self.began

    def lap(self, name):
        now = time.perf_counter()
        self.steps[name] = now - self.last
        self.last = now


def agree(mesh):
    """Faces of one component turned alike. trimesh's own repair walks a graph in Python and takes a minute; this is
    the same walk through scipy, and what each face must do told by doubling along the tree."""
    pairs, edges = mesh.face_adjacency, mesh.face_adjacency_edges

    def ahead(faces):
        corners = mesh.faces[faces]
        at = (corners == edges[:, :1]).argmax(axis=1)
        rows = np.arange(len(corners))
        return corners[rows, (at + 1) % 3] == edges[:, 1]

    same = ahead(pairs[:, 0]) == ahead(pairs[:, 1])
    count = len(mesh.faces)
    # 1: agree, 2: one must be turned.
    graph = sparse.coo_matrix((np.where(same, 2, 1), (pairs[:, 0], pairs[:, 1])), shape=(count, count)).tocsr()
    graph = graph + graph.T
    _, before = sparse.csgraph.breadth_first_order(graph, 0, directed=False)
    root = before < 0
    before = np.where(root, np.arange(count), before)
    turned = np.zeros(count, bool)
    own = np.flatnonzero(~root)
    turned[own] = np.asarray(graph[own, before[own]]).ravel() == 2
    while True:
        # The root is never turned, so that it may be counted again and again.
        turned = turned ^ turned[before]
        further = before[before]
        if (further == before).all():
            break
        before = further
    faces = mesh.faces.copy()
    faces[turned] = faces[turned][:, ::-1]
    mesh.faces = faces
    if mesh.volume < 0:
        mesh.invert()


def surface(path, triangles, plain):
    clock = Clock()
    mesh = trimesh.load(path, process=False)
    clock.lap("load")
    mesh.merge_vertices()
    mesh.update_faces(mesh.unique_faces() & mesh.nondegenerate_faces())
    clock.lap("merge and drop")
    labels = trimesh.graph.connected_component_labels(mesh.face_adjacency, node_count=len(mesh.faces))
    pieces = np.argsort(np.bincount(labels))[::-1]
    # The plate may have more area but is flat.
    for piece in pieces[:3]:
        own = labels == piece
        points = mesh.triangles_center[own]
        spread = np.linalg.eigvalsh(np.cov(points[:: max(1, len(points) // 5000)].T))
        if spread[0] > 0.0016 * spread[1]:
            break
    mesh.update_faces(own)
    mesh.remove_unreferenced_vertices()
    clock.lap("pieces")
    if plain:
        trimesh.repair.fix_winding(mesh)
        trimesh.repair.fix_inversion(mesh)
    else:
        agree(mesh)
    clock.lap("winding")
    mesh.fill_holes()
    clock.lap("holes")
    trimesh.smoothing.filter_taubin(mesh, iterations=8)
    clock.lap("smooth")
    vertices = mesh.vertices - mesh.vertices.mean(axis=0)
    _, axes = np.linalg.eigh(np.cov(vertices[::20].T))
    axes = axes[:, ::-1]
    axes[:, 2] = np.cross(axes[:, 0], axes[:, 1])
    vertices = vertices @ axes
    # The ground: the plane of the three lowest regions, told by the sole's flatter side.
    if np.quantile(vertices[:, 2], 0.02) + np.quantile(vertices[:, 2], 0.98) < 0:
        vertices[:, 1:] *= -1
    low = vertices[:, 2] < np.quantile(vertices[:, 2], 0.05)
    normal = np.linalg.svd(vertices[low] - vertices[low].mean(axis=0), full_matrices=False)[2][2]
    normal *= np.sign(normal[2])
    turn = trimesh.geometry.align_vectors(normal, [0, 0, 1])[:3, :3]
    vertices = vertices @ turn.T
    vertices -= [vertices[:, 0].min(), 0, vertices[:, 2].min()]
    mesh.vertices = vertices
    clock.lap("align")
    simple = mesh.simplify_quadric_decimation(face_count=triangles)
    clock.lap("simplify")
    return simple, clock


def shell(path, step=0.5, thickness=3.0):
    """From an aligned surface in the foot frame (x forward, z up) to one solid with a post."""
    mesh = trimesh.load(path)
    clock = Clock()
    v = mesh.vertices
    length = v[:, 0].max()
    low = v[v[:, 2] < 0.2 * length]
    x = np.arange(2.0, 0.72 * length, step)
    y = np.arange(low[:, 1].min() + 2.0, low[:, 1].max() - 2.0, step)
    # The lowest vertex of each cell, holes filled by the nearest, smoothed.
    i = ((low[:, 0] - x[0]) / step).astype(int)
    j = ((low[:, 1] - y[0]) / step).astype(int)
    inside = (i >= 0) & (j >= 0) & (i < len(x)) & (j < len(y))
    heights = np.full((len(x), len(y)), np.inf)
    np.minimum.at(heights, (i[inside], j[inside]), low[inside, 2])
    missing = ~np.isfinite(heights)
    nearest = ndimage.distance_transform_edt(missing, return_distances=False, return_indices=True)
    heights = ndimage.gaussian_filter(heights[tuple(nearest)], 2.0)
    clock.lap("sole")
    nx, ny = heights.shape
    gx, gy = np.meshgrid(x, y, indexing="ij")
    dx, dy = np.gradient(heights, step)
    normal = np.stack([dx, dy, -np.ones_like(heights)], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    top = np.stack([gx, gy, heights], axis=-1).reshape(-1, 3)
    bottom = top + thickness * normal.reshape(-1, 3)
    number = np.arange(nx * ny).reshape(nx, ny)
    a, b, c, d = number[:-1, :-1].ravel(), number[1:, :-1].ravel(), number[1:, 1:].ravel(), number[:-1, 1:].ravel()
    upper = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    rim = np.concatenate([number[:, 0], number[-1, 1:], number[-2::-1, -1], number[0, -2:0:-1]])
    after = np.roll(rim, -1)
    n = nx * ny
    sides = np.concatenate([np.stack([rim, rim + n, after + n], 1), np.stack([rim, after + n, after], 1)])
    faces = np.concatenate([upper, upper[:, ::-1] + n, sides]).astype(np.uint64)
    body = manifold3d.Manifold(manifold3d.Mesh64(np.concatenate([top, bottom]), faces))
    clock.lap("thickened")
    along = np.linspace(0, 1, 60)
    half = (0.5 * (y[-1] - y[0]) - 1.0) * (0.72 + 0.28 * np.sin(np.pi * np.clip(along * 1.1, 0, 1) / 2))
    middle = 0.5 * (y[0] + y[-1])
    px = x[0] + 1.0 + along * (x[-1] - x[0] - 2.0)
    outline = np.concatenate([np.stack([px, middle - half], 1), np.stack([px[::-1], middle + half[::-1]], 1)])
    bar = manifold3d.CrossSection([outline]).extrude(120.0).translate([0, 0, -40.0])
    cut = body ^ bar
    post = manifold3d.Manifold.cube([55.0, float(y[-1] - y[0]) * 0.7, 12.0]).translate([5.0, float(middle - 0.35 * (y[-1] - y[0])), -8.0])
    # The post ends at the shell: what lies above its sole is taken away.
    above = body.translate([0, 0, 0]).hull()
    joined = cut + (post - above)
    written = joined.to_mesh64()
    clock.lap("cut, post, join")
    sound = joined.status() == manifold3d.Error.NoError and joined.volume() > 0
    return {"triangles": len(written.tri_verts), "sound": bool(sound), "volume_mm3": joined.volume()}, clock


def told(stage, out, clock, what):
    seconds = sum(clock.steps.values())
    out[stage].append({"seconds": seconds, "processor_s": clock.processor(), "steps": clock.steps, **what})
    print(stage, f"{seconds:.2f} s", {k: round(s, 2) for k, s in clock.steps.items()}, what)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("file")
    parser.add_argument("--triangles", type=int, default=60_000)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--aligned", help="an aligned surface in the foot frame, for the second stage")
    parser.add_argument("--json")
    parser.add_argument("--plain", action="store_true")
    options = parser.parse_args()
    out = {"surface": [], "shell": []}
    for _ in range(options.runs):
        simple, clock = surface(options.file, options.triangles, options.plain)
        told("surface", out, clock, {"triangles": len(simple.faces)})
        if options.aligned:
            what, clock = shell(options.aligned)
            told("shell", out, clock, what)
    if options.json:
        with open(options.json, "w") as file:
            json.dump(out, file)
    sys.exit(0)


if __name__ == "__main__":
    main()

"""Surfaces written by the crate `mesh`, read by trimesh and manifold3d, and the other way round.

    python checks/mesh/mesh_check.py path/to/the/example/samples [--json FILE]

Written here: every STL and 3MF must come out watertight, wound alike, outward, of the same triangles, volume,
area, components and genus; manifold3d must take it without fault (NoError) and find the same volume and genus.
Read here: the same solids as trimesh writes them, in every format that it has in common with the crate.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import manifold3d
import numpy as np
import trimesh

# Files hold 32-bit numbers: seven digits of each coordinate, and a volume is a sum over thousands of them.
VOLUME = 1e-5


def said(example, *arguments):
    done = subprocess.run([example, *arguments], capture_output=True, text=True, check=False)
    if done.returncode:
        sys.exit(f"the example 'samples' failed: {done.stderr.strip()}")
    return [json.loads(line) for line in done.stdout.splitlines()]


def loaded(path):
    """One mesh; an STL's corners are joined where they agree exactly, a 3MF's are taken as they are."""
    scene = trimesh.load_scene(path, process=path.suffix == ".stl")
    return scene.to_mesh()


def solid(mesh):
    """The same surface as manifold3d takes it: only what is already a two-manifold passes without fault."""
    taken = manifold3d.Mesh64(np.asarray(mesh.vertices, float), np.asarray(mesh.faces, np.uint64))
    return manifold3d.Manifold(taken)


def near(a, b, tolerance=VOLUME):
    return abs(a - b) <= tolerance * abs(b)


def faults_of(mesh, row):
    """What of one surface is not as it was said to be."""
    faults = []

    def must(what, holds):
        if not holds:
            faults.append(what)

    must("watertight", mesh.is_watertight)
    must("winding", mesh.is_winding_consistent)
    must("outward", mesh.volume > 0)
    must("triangles", len(mesh.faces) == row["triangles"])
    must("vertices", len(mesh.vertices) == row["vertices"])
    must(f"volume {mesh.volume} for {row['volume']}", near(mesh.volume, row["volume"]))
    must(f"area {mesh.area} for {row['area']}", near(mesh.area, row["area"]))
    must("components", mesh.body_count == row["components"])
    must("genus", row["components"] - mesh.euler_number / 2 == row["genus"])
    body = solid(mesh)
    must(f"manifold3d says {body.status()}", body.status() == manifold3d.Error.NoError)
    must(f"manifold3d's volume {body.volume()}", near(body.volume(), row["volume"]))
    # Told of all parts together by manifold3d: 1 - characteristic / 2.
    must(f"manifold3d's genus {body.genus()}", body.genus() == row["genus"] - row["components"] + 1)
    return faults


def written(example, folder):
    rows = []
    for row in said(example, str(folder)):
        mesh = loaded(Path(row["file"]))
        faults = faults_of(mesh, row)
        if row["faults"]:
            faults.append("the crate's own check")
        rows.append({"file": Path(row["file"]).name, "way": "written", "triangles": row["triangles"], "volume_ratio": mesh.volume / row["volume"], "faults": faults})
    return rows


def read_back(example, folder):
    torus = trimesh.creation.torus(30, 7, major_sections=90, minor_sections=40)
    torus.apply_transform(trimesh.transformations.rotation_matrix(0.7, [1, 2, 3], [4, 5, 6]))
    ball = trimesh.creation.icosphere(4, 12)
    ball.apply_translation([80, 3, 1])
    given = trimesh.util.concatenate([torus, ball])
    files = {}
    for name, form, more in (("b.stl", "stl", {}), ("t.stl", "stl_ascii", {}), ("a.obj", "obj", {}), ("b.ply", "ply", {}), ("t.ply", "ply", {"encoding": "ascii"}), ("a.3mf", "3mf", {})):
        path = folder / name
        exported = given.export(file_type=form, **more)
        path.write_bytes(exported if isinstance(exported, bytes) else exported.encode())
        files[str(path)] = name
    rows = []
    for row in said(example, "--read", *files):
        faults = []
        for what, holds in (
            ("triangles", row["triangles"] == len(given.faces)),
            ("vertices", row["vertices"] == len(given.vertices)),
            ("components", row["components"] == 2),
            ("genus", row["genus"] == 1),
            ("volume", row["volume"] is not None and near(row["volume"], given.volume)),
            ("area", near(row["area"], given.area)),
            ("faults", row["faults"] == 0),
        ):
            if not holds:
                faults.append(what)
        rows.append({"file": f"{files[row['file']]} ({row['format']})", "way": "read", "triangles": row["triangles"], "volume_ratio": (row["volume"] or 0) / given.volume, "faults": faults})
    return rows


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("example")
    parser.add_argument("--json")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        rows = written(options.example, Path(folder)) + read_back(options.example, Path(folder))
    for row in rows:
        print(f"{row['way']:8} {row['file']:32} {row['triangles']:7} triangles, volume {row['volume_ratio']:.9f}, {', '.join(row['faults']) or 'sound'}")
    bad = sum(bool(row["faults"]) for row in rows)
    print(f"{len(rows)} files, {bad} with faults")
    if options.json:
        Path(options.json).write_text(json.dumps(rows))
    sys.exit(bad > 0)


if __name__ == "__main__":
    main()

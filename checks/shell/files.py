"""Device files, read by trimesh and manifold3d.

    python checks/shell/files.py FOLDER...

Each folder holds what `tiebeam shell` wrote for one scan. Every STL must be watertight, wound alike, outward, and
taken by manifold3d without fault with the same volume; the 3MF must hold bodies of the same volumes, named, in
millimetres, with a material and a colour each. Prints one JSON line for each folder.
"""

import json
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import manifold3d
import numpy as np
import trimesh

# STL holds 32-bit numbers: seven digits of each coordinate.
VOLUME = 1e-5
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


def faults_of(mesh, name):
    faults = []
    if not mesh.is_watertight:
        faults.append(f"{name}: not watertight")
    if not mesh.is_winding_consistent:
        faults.append(f"{name}: not wound alike")
    if not mesh.volume > 0:
        faults.append(f"{name}: volume {mesh.volume}")
    taken = manifold3d.Manifold(manifold3d.Mesh64(np.asarray(mesh.vertices, float), np.asarray(mesh.faces, np.uint64)))
    if taken.status() != manifold3d.Error.NoError:
        faults.append(f"{name}: {taken.status()}")
    elif abs(taken.volume() - mesh.volume) > VOLUME * abs(mesh.volume):
        faults.append(f"{name}: volume {taken.volume()} for {mesh.volume}")
    return faults


def three_mf(path):
    """Unit, and for each body its name, whether it has a material with a colour, and its mesh."""
    with zipfile.ZipFile(path) as archive:
        name = next(n for n in archive.namelist() if n.endswith(".model"))
        model = ElementTree.fromstring(archive.read(name))
    materials = {}
    for base in model.iter(f"{CORE}basematerials"):
        materials[base.get("id")] = [(m.get("name"), m.get("displaycolor")) for m in base]
    bodies = []
    for thing in model.iter(f"{CORE}object"):
        mesh = thing.find(f"{CORE}mesh")
        if mesh is None:
            continue
        corners = np.array([[float(v.get(k)) for k in "xyz"] for v in mesh.iter(f"{CORE}vertex")])
        faces = np.array([[int(t.get(k)) for k in ("v1", "v2", "v3")] for t in mesh.iter(f"{CORE}triangle")])
        made_of = materials.get(thing.get("pid"), [])
        bodies.append((thing.get("name"), bool(made_of and made_of[0][0] and made_of[0][1]), trimesh.Trimesh(corners, faces, process=False)))
    return model.get("unit"), bodies


def main():
    for folder in map(Path, sys.argv[1:]):
        faults, volumes = [], {}
        files = sorted(folder.glob("*.stl"))
        for path in files:
            if path.stem == "scan":
                continue
            mesh = trimesh.load_mesh(path)
            faults += faults_of(mesh, path.name)
            volumes[path.stem] = mesh.volume
        unit, bodies = three_mf(folder / "device.3mf")
        if unit != "millimeter":
            faults.append(f"device.3mf: unit {unit}")
        for name, has_material, mesh in bodies:
            faults += faults_of(mesh, f"device.3mf, {name}")
            if not name or not has_material:
                faults.append(f"device.3mf, {name}: no name or material")
            if not any(abs(mesh.volume - v) <= 1e-4 * v for v in volumes.values()):
                faults.append(f"device.3mf, {name}: no STL has its volume {mesh.volume}")
        if not bodies:
            faults.append("device.3mf: no body")
        print(json.dumps({"folder": folder.name, "files": len(volumes) + 1, "bodies": len(bodies), "faults": faults}))


main()

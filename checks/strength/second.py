"""Holds a shell on the bench (case L4, clamped) against scikit-fem's solid elements, which know nothing of shells.

    cargo run -p strength --example bench_shell > bench.json
    python checks/strength/second.py bench.json

The same mid-surface is given its wall: every triangle becomes a prism of three tetrahedra with quadratic
displacement (scikit-fem's ElementTetP2), one layer through the wall, no plate or shell theory anywhere.
Clamped nodes are clamped through the wall; the stamp's force goes half to each face.

Tolerance 2 %, on the stamp's way and anywhere: the shell's flat triangles and the solid's straight-sided prisms see the curved wall a little
differently, a clamp through the wall also stops it from thinning, and both nets are finite.
"""

import json
import sys

import numpy as np
from cvxopt import cholmod, matrix, spmatrix
from scipy.sparse import tril
from skfem import Basis, BilinearForm, ElementTetP2, ElementVector, MeshTet
from skfem.helpers import ddot, eye, sym_grad, trace

TOLERANCE = 0.02

def wall(case):
    """Corners of the solid (underside first, then foot's side) and its tetrahedra."""
    middle = np.array(case["middle"])
    half = np.array(case["down"]) * (np.array(case["thickness"])[:, None] / 2)
    n = len(middle)
    corners = np.vstack([middle + half, middle - half])
    tets = []
    for t in case["triangles"]:
        # Split by the order of the numbers: neighbours cut their common wall alike.
        a, b, c = sorted(t)
        tets += [(a, b, c, a + n), (b, c, a + n, b + n), (c, a + n, b + n, c + n)]
    tets = np.array(tets)
    p = corners[tets]
    turned = np.einsum("ti,ti->t", np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]), p[:, 3] - p[:, 0]) < 0
    tets[turned] = tets[turned][:, [1, 0, 2, 3]]
    return corners, tets


def stiffness(modulus, poisson):
    lame = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
    shear = modulus / (2 * (1 + poisson))

    @BilinearForm
    def elastic(u, v, _):
        strain = sym_grad(u)
        return ddot(2 * shear * strain + eye(lame * trace(strain), 3), sym_grad(v))

    return elastic


def solve(k, force):
    lower = tril(k).tocoo()
    whole = spmatrix(matrix(lower.data), matrix(lower.row.astype(int)), matrix(lower.col.astype(int)), k.shape)
    side = matrix(force)
    cholmod.linsolve(whole, side)
    return np.array(side).ravel()


def main():
    with open(sys.argv[1]) as file:
        case = json.load(file)
    corners, tets = wall(case)
    basis = Basis(MeshTet(np.ascontiguousarray(corners.T), np.ascontiguousarray(tets.T)), ElementVector(ElementTetP2()))
    k = stiffness(case["modulus_mpa"], case["poisson"]).assemble(basis)
    n = len(case["middle"])
    force = np.zeros(basis.N)
    pressed = np.array(case["force"])
    for face in (0, n):
        for axis in range(3):
            force[basis.nodal_dofs[axis, face : face + n]] += pressed[:, axis] / 2
    clamped = np.zeros(len(corners), bool)
    held = np.array(case["held"])
    clamped[held] = clamped[held + n] = True
    fixed = np.zeros(basis.N, bool)
    fixed[basis.nodal_dofs[:, clamped]] = True
    fixed[basis.edge_dofs[:, clamped[basis.mesh.edges].all(axis=0)]] = True
    u = np.zeros(basis.N)
    u[~fixed] = solve(k[~fixed][:, ~fixed], force[~fixed])
    u = u[basis.nodal_dofs].T
    free = ~fixed
    ours = np.array(case["motion"])
    theirs = (u[:n] + u[n : 2 * n]) / 2
    way = lambda m: (pressed * m).sum() / np.abs(pressed[:, 2]).sum()
    size = np.linalg.norm(theirs, axis=1).max()
    print(f"{6 * n} shell unknowns, {free.sum()} solid unknowns")
    print(f"stamp's way: shell {way(ours):.4f} mm, solid {way(theirs):.4f} mm, ratio {way(ours) / way(theirs):.4f}")
    worst = np.linalg.norm(ours - theirs, axis=1).max() / size
    print(f"largest motion {size:.4f} mm; largest difference anywhere {100 * worst:.2f} % of it")
    bad = abs(way(ours) / way(theirs) - 1) > TOLERANCE or worst > TOLERANCE
    print("outside the tolerance" if bad else f"within {100 * TOLERANCE:.0f} %")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()

"""Solves a shell written by `fem`'s example `curved_mesh` again, as a three-dimensional solid.

    cargo run -p fem --example curved_mesh FILE
    python checks/fem/second.py FILE [TOLERANCE]

Nothing of the shell element is used: every triangle becomes a wedge through the whole thickness, with places
and thickness linear and displacement quadratic in all three directions (18 nodes, no turns), from the
equations of elasticity in space. The file's text form is told in the example.

Tolerance 0.01 of the largest shift, at the example's usual fineness: a shell leaves out squeeze through the
thickness and holds its clamp otherwise than a solid does, both of the order of the square of thickness over
width (3 to 4 on 80), and each mesh has its own error. Seen: apart by 1.73 % at fineness 8, 0.64 % at 16, 0.52 %
at 24.
"""

import sys

import numpy
from cvxopt import cholmod, matrix, spmatrix

# Corners, then middles of the sides 0-1, 1-2, 2-0.
SIDES = [(0, 1), (1, 2), (2, 0)]


def read(path):
    with open(path, encoding="ascii") as file:
        first = file.readline().split()
        nodes, triangles = int(first[0]), int(first[1])
        modulus, poisson = float(first[2]), float(first[3])
        of_nodes = numpy.array([[float(x) for x in file.readline().split()] for _ in range(nodes)])
        of_triangles = numpy.array([[float(x) for x in file.readline().split()] for _ in range(triangles)])
    return {
        "modulus": modulus,
        "poisson": poisson,
        "place": of_nodes[:, 0:3],
        "normal": of_nodes[:, 3:6],
        "thickness": of_nodes[:, 6],
        "held": of_nodes[:, 7] > 0.5,
        "shift": of_nodes[:, 8:11],
        "triangles": of_triangles[:, 0:3].astype(int),
        "traction": of_triangles[:, 3:6],
    }


def triangle_shapes(a, b):
    """Quadratic functions on a triangle and their slopes by a and b."""
    c = 1 - a - b
    value = numpy.array([c * (2 * c - 1), a * (2 * a - 1), b * (2 * b - 1), 4 * c * a, 4 * a * b, 4 * b * c])
    by_a = numpy.array([1 - 4 * c, 4 * a - 1, 0, 4 * (c - a), 4 * b, -4 * b])
    by_b = numpy.array([1 - 4 * c, 0, 4 * b - 1, -4 * a, 4 * a, 4 * (c - b)])
    return value, by_a, by_b


def line_shapes(z):
    """Quadratic functions on -1, 0, 1 and their slopes."""
    return (
        numpy.array([z * (z - 1) / 2, 1 - z * z, z * (z + 1) / 2]),
        numpy.array([z - 0.5, -2 * z, z + 0.5]),
    )


# Six points on the triangle (exact to degree four), three through the thickness.
A, B = 0.445948490915965, 0.091576213509771
TRIANGLE_POINTS = [
    (A, A, 0.223381589678011), (1 - 2 * A, A, 0.223381589678011), (A, 1 - 2 * A, 0.223381589678011),
    (B, B, 0.109951743655322), (1 - 2 * B, B, 0.109951743655322), (B, 1 - 2 * B, 0.109951743655322),
]
LINE_POINTS = [(-numpy.sqrt(0.6), 5 / 9), (0.0, 8 / 9), (numpy.sqrt(0.6), 5 / 9)]


def solve(shell):
    place, triangles = shell["place"], shell["triangles"]
    count = len(place)
    ends = numpy.sort(numpy.concatenate([triangles[:, list(side)] for side in SIDES]), axis=1)
    edges, which = numpy.unique(ends, axis=0, return_inverse=True)
    which = which.reshape(3, len(triangles)).T + count
    held = numpy.concatenate([shell["held"], shell["held"][edges].all(axis=1)])
    flat = len(held)
    in_plane = numpy.hstack([triangles, which])
    # Node numbers: layer (bottom, middle, top) after layer.
    numbers = numpy.stack([in_plane + layer * flat for layer in range(3)], axis=1).reshape(len(triangles), 18)

    modulus, nu = shell["modulus"], shell["poisson"]
    lame, shear = modulus * nu / ((1 + nu) * (1 - 2 * nu)), modulus / (2 * (1 + nu))
    stiff = numpy.diag([2 * shear] * 3 + [shear] * 3)
    stiff[:3, :3] += lame

    corners = place[triangles]
    arms = shell["normal"][triangles] * (shell["thickness"][triangles] / 2)[:, :, None]
    elements = len(triangles)
    local = numpy.zeros((elements, 54, 54))
    for a, b, triangle_weight in TRIANGLE_POINTS:
        value, by_a, by_b = triangle_shapes(a, b)
        linear = numpy.array([1 - a - b, a, b])
        for z, line_weight in LINE_POINTS:
            through, by_z = line_shapes(z)
            spread = corners + z * arms
            slopes = numpy.stack(
                [spread[:, 1] - spread[:, 0], spread[:, 2] - spread[:, 0], numpy.einsum("c,ecx->ex", linear, arms)],
                axis=2,
            )
            size = numpy.linalg.det(slopes)
            back = numpy.linalg.inv(slopes)
            reference = numpy.stack(
                [numpy.outer(through, by_a).ravel(), numpy.outer(through, by_b).ravel(), numpy.outer(by_z, value).ravel()]
            )
            gradient = numpy.einsum("rn,erx->enx", reference, back)
            strain = numpy.zeros((elements, 6, 18, 3))
            for axis in range(3):
                strain[:, axis, :, axis] = gradient[:, :, axis]
            for row, (p, q) in enumerate([(1, 2), (2, 0), (0, 1)], start=3):
                strain[:, row, :, p] = gradient[:, :, q]
                strain[:, row, :, q] = gradient[:, :, p]
            strain = strain.reshape(elements, 6, 54)
            weight = triangle_weight / 2 * line_weight * numpy.abs(size)
            local += numpy.einsum("e,eia,ij,ejb->eab", weight, strain, stiff, strain, optimize=True)

    freedoms = (3 * numbers[:, :, None] + numpy.arange(3)).reshape(elements, 54)
    free = numpy.repeat(~numpy.tile(held, 3), 3)
    equation = numpy.cumsum(free) - 1
    rows = numpy.repeat(freedoms, 54, axis=1).ravel()
    columns = numpy.tile(freedoms, (1, 54)).ravel()
    keep = free[rows] & free[columns] & (equation[rows] >= equation[columns])
    total = int(free.sum())
    whole = spmatrix(
        matrix(local.ravel()[keep]),
        matrix(equation[rows[keep]].astype(int)),
        matrix(equation[columns[keep]].astype(int)),
        (total, total),
    )
    # A constant traction goes in equal thirds to the middles of the sides, in the middle layer.
    area = numpy.linalg.norm(numpy.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    load = numpy.zeros((3 * flat, 3))
    for side in range(3):
        numpy.add.at(load, which[:, side] + flat, shell["traction"] * area[:, None] / 3)
    side = matrix(load.ravel()[free])
    cholmod.linsolve(whole, side)
    moved = numpy.zeros(9 * flat)
    moved[free] = numpy.array(side).ravel()
    return moved.reshape(3 * flat, 3)[flat : flat + count], total


def main(path, tolerance=0.01):
    shell = read(path)
    solid, unknowns = solve(shell)
    largest = numpy.max(numpy.linalg.norm(solid, axis=1))
    apart = numpy.linalg.norm(solid - shell["shift"], axis=1)
    print(
        f"{path}: solid of {unknowns} unknowns, largest shift {largest:.6f}; shell apart by at most "
        f"{numpy.max(apart) / largest:.2%} and {numpy.sqrt(numpy.mean(apart**2)) / largest:.2%} (root mean square) "
        f"of it, {tolerance:.0%} allowed"
    )
    return 0 if numpy.max(apart) <= tolerance * largest else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], *[float(text) for text in sys.argv[2:3]]))

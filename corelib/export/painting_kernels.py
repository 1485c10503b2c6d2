"""The kernel that fills triangles into a picture's depth and shade: a plain z-buffer."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel

Points = NDArray[np.float64]
Buffer = NDArray[np.float32]


@kernel("void(float64[:, ::1], Array(int32, 2, 'C', True), float64[::1], float32[:, ::1], float32[:, ::1])")
def fill_triangles(
    points: Points, faces: NDArray[np.int32], light: Points, depth: Buffer, shade: Buffer
) -> None:
    """Fill triangles into `depth` (larger is nearer) and `shade` (0 to 1); `points` are x px, y px, depth.

    A pixel belongs to a triangle if its centre does. `light` is a unit vector in picture space, y down.
    """
    rows, columns = depth.shape
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        ax, ay, az = points[a, 0], points[a, 1], points[a, 2]
        ux, uy, uz = points[b, 0] - ax, points[b, 1] - ay, points[b, 2] - az
        vx, vy, vz = points[c, 0] - ax, points[c, 1] - ay, points[c, 2] - az
        nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        if nz == 0.0:
            continue
        length = math.sqrt(nx * nx + ny * ny + nz * nz)
        turn = 1.0 if nz > 0.0 else -1.0
        lit = turn * (nx * light[0] + ny * light[1] + nz * light[2]) / length
        tone = 0.30 + 0.70 * max(0.0, lit)
        low_x = max(0, math.ceil(min(ax, ax + ux, ax + vx) - 0.5))
        high_x = min(columns - 1, math.floor(max(ax, ax + ux, ax + vx) - 0.5))
        low_y = max(0, math.ceil(min(ay, ay + uy, ay + vy) - 0.5))
        high_y = min(rows - 1, math.floor(max(ay, ay + uy, ay + vy) - 0.5))
        for row in range(low_y, high_y + 1):
            py = row + 0.5 - ay
            for column in range(low_x, high_x + 1):
                px = column + 0.5 - ax
                beta = (px * vy - py * vx) / nz
                gamma = (ux * py - uy * px) / nz
                if beta >= -1e-9 and gamma >= -1e-9 and beta + gamma <= 1.0 + 1e-9:
                    z = az + beta * uz + gamma * vz
                    if z > depth[row, column]:
                        depth[row, column] = z
                        shade[row, column] = tone

"""What a general boundary-element library says of a driver on a closed box and on an open panel.

`python -m tests.reference.boundary_elements` works the figures of `BOX_DB` and `PANEL_DB` out anew with bempp-cl (Galerkin
boundary elements for the Helmholtz equation, extra `test`) and prints them; a first run takes minutes, as the library is
compiled then. Box: rigid, velocity on a patch of the front of 40 mm, Neumann problem by the direct equation, elements of 25 mm.
Panel: thin and rigid, the same velocity on both sides, jump of pressure by the hypersingular operator, 18 by 26 cells
that narrow towards the edges. The figures are the pressure far away on the axis of the patch, in dB re the same patch in a
boundless baffle.
"""

from __future__ import annotations

import sys
from typing import Any

import numpy as np

C = 343.215
PATCH_M = 0.02
BOX_M, PANEL_M = (0.2, 0.35, 0.25), (0.3, 0.5)
BOX_PLACES = ((0.02, 0.08), (0.0, -0.05))
PANEL_PLACES = ((0.0, 0.0), (0.075, 0.15), (0.12, 0.0), (0.1, 0.2))
BOX_HZ = (60.0, 120.0, 250.0, 500.0, 800.0, 1200.0, 1800.0)
PANEL_HZ = (100.0, 250.0, 500.0, 800.0, 1200.0)


def _grid(corners: list[Any], cells: list[tuple[int, ...]]) -> Any:
    import bempp_cl.api as library

    library.DEFAULT_DEVICE_INTERFACE = "numba"
    return library.Grid(np.array(corners, dtype=np.float64).T, np.array(cells).T)


def _steps(length: float, count: int, crowded: bool) -> np.ndarray:
    """From -length/2 to length/2, crowded towards the ends where a jump of pressure goes with the root of the distance."""
    turn = np.linspace(-np.pi / 2, np.pi / 2, count + 1)
    return length / 2 * np.sin(turn) if crowded else np.linspace(-length / 2, length / 2, count + 1)


def panel_grid(width: float, height: float, across: int, up: int) -> Any:
    """A thin rectangle in z = 0."""
    x, y = _steps(width, across, True), _steps(height, up, True)
    cells = []
    for row in range(up):
        for column in range(across):
            a = row * (across + 1) + column
            cells += [(a, a + 1, a + across + 2), (a, a + across + 2, a + across + 1)]
    return _grid([(i, j, 0.0) for j in y for i in x], cells)


def box_grid(size: tuple[float, float, float], element: float) -> Any:
    """A closed box whose front lies in z = 0, normals outwards."""
    width, height, _ = size
    x, y, z = np.eye(3) * size
    corner = np.array([-width / 2, -height / 2, 0.0])
    sides = [
        (corner, x, y),
        (corner - z, y, x),
        (corner + x - z, y, z),
        (corner - z, z, y),
        (corner + y - z, z, x),
        (corner - z, x, z),
    ]
    number: dict[tuple[float, ...], int] = {}
    cells = []
    for origin, u, v in sides:
        across, up = (max(2, round(float(np.linalg.norm(one)) / element)) for one in (u, v))
        at = {
            (i, j): number.setdefault(tuple(np.round(origin + u * i / across + v * j / up, 9)), len(number))
            for j in range(up + 1)
            for i in range(across + 1)
        }
        for j in range(up):
            for i in range(across):
                a, b, c, d = at[i, j], at[i + 1, j], at[i, j + 1], at[i + 1, j + 1]
                cells += [(a, b, d), (a, d, c)]
    return _grid(list(number), cells)


def _patch(grid: Any, x: float, y: float) -> tuple[np.ndarray, np.ndarray]:
    """Unit volume velocity over the elements of the front next to a place, and their middle."""
    middle = grid.centroids
    inside = (np.abs(middle[:, 2]) < 1e-9) & (np.hypot(middle[:, 0] - x, middle[:, 1] - y) < PATCH_M)
    area = grid.volumes[inside]
    return np.where(inside, 1.0 / area.sum(), 0.0).astype(np.complex128), (area @ middle[inside]) / area.sum()


FAR_M = 50.0


def panel_db(frequency_hz: float, x: float, y: float, grid: Any) -> float:
    """Level on the axis of an open panel (dB)."""
    import bempp_cl.api as library
    from bempp_cl.api.operators.boundary import helmholtz as boundary
    from bempp_cl.api.operators.potential import helmholtz as potential

    k = 2 * np.pi * frequency_hz / C
    space = library.function_space(grid, "P", 1, include_boundary_dofs=False)
    velocity, middle = _patch(grid, x, y)
    given = library.GridFunction(library.function_space(grid, "DP", 0), coefficients=velocity)
    matrix = boundary.hypersingular(space, space, space, k).weak_form().to_dense()
    jump = library.GridFunction(space, coefficients=np.linalg.solve(matrix, -np.asarray(given.projections(space))))
    point = np.array([[middle[0]], [middle[1]], [FAR_M]])
    return float(20 * np.log10(abs((potential.double_layer(space, point, k) * jump)[0, 0]) * 2 * np.pi * FAR_M))


def box_db(frequency_hz: float, x: float, y: float, grid: Any) -> float:
    """Level on the axis of a closed box (dB)."""
    import bempp_cl.api as library
    from bempp_cl.api.operators.boundary import helmholtz as boundary
    from bempp_cl.api.operators.potential import helmholtz as potential

    k = 2 * np.pi * frequency_hz / C
    linear, constant = library.function_space(grid, "P", 1), library.function_space(grid, "DP", 0)
    velocity, middle = _patch(grid, x, y)
    given = library.GridFunction(constant, coefficients=velocity)
    identity = library.operators.boundary.sparse.identity(linear, linear, linear)
    left = 0.5 * identity - boundary.double_layer(linear, linear, linear, k)
    right = -boundary.single_layer(constant, linear, linear, k) * given
    surface = library.linalg.gmres(left, right, tol=1e-6)[0]
    point = np.array([[middle[0]], [middle[1]], [FAR_M]])
    far = potential.double_layer(linear, point, k) * surface - potential.single_layer(constant, point, k) * given
    return float(20 * np.log10(abs(far[0, 0]) * 2 * np.pi * FAR_M))


def main() -> None:
    """Print both tables."""
    panel = panel_grid(*PANEL_M, 18, 26)
    for hz in PANEL_HZ:
        print("panel", hz, [round(panel_db(hz, *place, panel), 2) for place in PANEL_PLACES], flush=True)
    box = box_grid(BOX_M, 0.025)
    for hz in BOX_HZ:
        print("box", hz, [round(box_db(hz, *place, box), 2) for place in BOX_PLACES], flush=True)


if __name__ == "__main__":
    sys.exit(main())

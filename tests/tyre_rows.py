"""Published load-inflation rows of tyres, single fitment, which the laws are held against."""

import numpy as np

from steelyard.estimate import Array

PSI, LB = 0.45359237 * 9.80665 / 0.0254**2, 0.45359237
ROWS = {
    # tyre maker's table reproduced in a 1990 motor-home specification sheet (brand withheld),
    # single fitment
    "LT235/85R16": (
        [35, 40, 45, 50, 55, 60, 65, 70, 75, 80],
        [1700, 1870, 2030, 2205, 2335, 2485, 2623, 2765, 2905, 3042],
    ),
    # a tyre maker's trailer tyre chart quoted in a boat owners' forum; 65 psi row also on a
    # size page. At 80 psi the chart prints 2840 lb; 2830 lb (from memory; load index 117 is
    # 2833 lb) is shipped, being the smaller
    "ST225/75R15": ([35, 50, 65, 80], [1760, 2150, 2540, 2830]),
    # a tyre maker's trailer tyre chart quoted in a boat owners' forum
    "ST205/75R15": ([35, 50, 65], [1480, 1820, 2150]),
    # a tyre maker's trailer tyre chart quoted in a boat owners' forum
    "ST175/80R13": ([35, 50], [1100, 1360]),
    # a tyre maker's trailer tyre chart quoted in a boat owners' forum
    "ST185/80R13": ([35, 50], [1200, 1480]),
    # a tyre maker's trailer tyre chart quoted in a boat owners' forum
    "ST235/80R16": ([35, 50, 65, 80], [2090, 2600, 3000, 3420]),
    # a published load-inflation chart for flotation sizes (site withheld)
    "31x10.50R15LT": ([25, 30, 35, 40, 45, 50], [1400, 1595, 1765, 1945, 2100, 2270]),
}
"""By size: pressures, psi, and loads, lb."""


def published(size: str) -> tuple[Array, Array]:
    """Pressures, Pa, and loads, kg, of a size, both rising."""
    pressures, loads = ROWS[size]
    return np.array(pressures) * PSI, np.array(loads) * LB

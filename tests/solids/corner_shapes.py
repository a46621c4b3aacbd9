"""The shapes of cranks whose corners are solved in the solid: Sobol points over a box of ratios.

Ratios to the pin diameter; half of the webs square at their ends, the others rounded, up to the
half circle and the disc. Needs numpy and scipy only, so that the tests ask each stored row for it.
"""

from functools import cache

import numpy as np
from scipy.stats import qmc

# a little wider than what the library answers for, so that its edge is not the table's edge
BOX = {
    "overlap": (-1.25, 0.53),
    "web_thickness": (0.33, 1.15),
    "web_width": (1.08, 3.1),
    "pin_fillet": (0.019, 0.148),
    "journal_fillet": (0.019, 0.148),
    "journal_diameter": (0.77, 1.85),
}
RATIOS = [*BOX, "web_reach", "web_corner"]
MOST = 2**12  # shapes
COVER = 0.02  # of the pin diameter: least metal beyond a fillet


def shape(number):
    """Ratios of the Sobol point of that number: RATIOS in order, or None where no web fits."""
    u = _points()[number]
    low, high = np.array(list(BOX.values())).T
    values = low + (high - low) * u[:6]
    values[3:5] = low[3:5] * (high[3:5] / low[3:5]) ** u[3:5]
    s, w, _, rp, rj, j = values
    need = max(0.5 + rp, j / 2 + rj) + COVER
    least = max(BOX["web_width"][0], 2 * need)
    if least > BOX["web_width"][1] or w < 0.6 * (rp + rj) + 0.1:
        return None
    b = least + (BOX["web_width"][1] - least) * u[2]
    reach = need + (b / 2 - need) * min(1.0, 1.5 * u[6])
    corner = 0.0 if u[7] < 0.5 else 2 * (u[7] - 0.5) * b / 2
    values[2] = b
    throw = (1 + j) / 2 - s
    if u[7] > 0.85 and b > throw + 2 * need:  # a disc about the middle of the web
        reach, corner = (b - throw) / 2, b / 2
    while corner > 0 and not _covers(throw, b, reach, corner, need):
        corner = 0.0 if corner < 0.05 * b else 0.9 * corner
    return dict(zip(RATIOS, [*values, reach, corner], strict=False))


@cache
def _points():
    return qmc.Sobol(8, seed=23).random(MOST)


def _covers(throw, width, reach, corner, need):
    """Whether the rounded web has metal all round both fillets."""
    corner = min(corner, (throw + 2 * reach) / 2)
    turn = np.linspace(0, np.pi, 181)
    for axis in (0.0, throw):
        y, z = axis + need * np.cos(turn), need * np.sin(turn)
        beyond = np.maximum(0, np.maximum(-reach + corner - y, y - throw - reach + corner))
        out = np.maximum(0, z - width / 2 + corner)
        if np.any(np.hypot(beyond, out) > corner + 1e-9):
            return False
    return True

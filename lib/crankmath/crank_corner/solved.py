"""Stress factors of a crank's own two fillets at a web, from stored solid finite elements.

The table ``data/crank_corner.csv`` is made by tests/solids/crank_corner_table.py; here it is
interpolated by a Gaussian process in the logarithms, whose lengths stand in
``data/crank_corner_fit.csv`` (tests/solids/fit_crank_corner.py).
"""

import csv
import warnings
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, cached_property
from importlib.resources import files

import numpy as np

from ..threads import one_thread
from ..units import OutOfRangeWarning, magnitude
from .surrogate import Surrogate, Together

# ratios to the pin diameter that the table answers for; overlap as in the crank rule
BOX = {
    "overlap": (-1.2, 0.5),
    "web_thickness": (0.35, 1.1),
    "web_width": (1.1, 3.0),
    "pin_fillet": (0.02, 0.14),
    "journal_fillet": (0.02, 0.14),
    "journal_diameter": (0.8, 1.8),
}
# lower and upper, those of web_reach and web_corner over half the web_width at the end
LIMITS = np.array([*BOX.values(), (0.5, 1.0), (0.0, 1.0)]).T[:, :, None]
OUTSIDE = ("overlap", *(f"{name} over pin_diameter" for name in list(BOX)[1:])) + tuple(
    f"{name} over half the web_width" for name in ("web_reach", "web_corner")
)
ENDS = LIMITS.copy()  # as the interpolation sees them: all but overlap, reach, corner by logarithm
ENDS[:, 1:6] = np.log(LIMITS[:, 1:6])
CASES = ("bending", "three_point", "tangential", "torsion")
PLACES = ("pin", "journal")
NAMES = [f"{place}_{case}" for case in CASES for place in PLACES]  # in the table
HALF_JOURNAL = 1.2  # web to the bearing's middle in the table, over the journal diameter
MESH = 0.015  # relative uncertainty of one solved row: mesh and reading, see the generator
# relative error of rows left out and predicted from the others (root mean square), rounded up
LEFT_OUT = {
    "pin_bending": 0.02,
    "journal_bending": 0.025,
    "pin_three_point": 0.02,
    "journal_three_point": 0.025,
    "pin_tangential": 0.015,
    "journal_tangential": 0.02,
    "pin_torsion": 0.01,
    "journal_torsion": 0.015,
}


@dataclass(frozen=True)
class Corner:
    """Factors of the two fillets at a web: floats, or arrays of one shape.

    Nominal stresses, F the force on a whole throw, Q = F / 2 the share of one web:
    bending M / (B W^2 / 6), M in the throw's plane at the web's middle; radial Q / (B W);
    torsion T / (pi d^3 / 16) of the fillet's own pin or journal, as a shear stress;
    tangential M / (pi d^3 / 32), M across the throw's plane at the web's middle.
    ``uncertainty``: relative, one standard deviation, by factor's name; a radial factor's is that
    of the stress under a radial force. ``out_of_range``: a sentence for each ratio outside.
    """

    pin_bending: float
    journal_bending: float
    pin_radial: float
    journal_radial: float
    pin_torsion: float
    journal_torsion: float
    pin_tangential: float
    journal_tangential: float
    out_of_range: tuple
    _spread: Callable = field(repr=False, compare=False)

    @cached_property
    def uncertainty(self):
        """Relative, worked out when it is asked for: most of the time that a corner takes."""
        return self._spread()


def factors(
    pin_diameter,
    journal_diameter,
    throw,
    web_thickness,
    web_width,
    pin_fillet,
    journal_fillet,
    web_reach=None,
    web_corner=None,
):
    """Stress factors of a web's pin and journal fillet, solved in the solid.

    A radial force between two bearings makes the stress
    bending * M / (B W^2 / 6) + radial * Q / (B W) at each fillet, as in IACS UR M53;
    a radial factor below 0 relieves the corner. The tangential factor contains the torque
    Q * throw that the journal passes on to the web; torsion is torque that goes through the pin.

    Parameters
    ----------
    pin_diameter, journal_diameter, throw, web_thickness, web_width : Quantity [length]
    pin_fillet, journal_fillet : Quantity [length]
        Arrays broadcast.
    web_reach : Quantity, optional [length]
        How far the web extends beyond either axis; default half the width.
    web_corner : Quantity, optional [length]
        Radius of the web's corners; default 0, a square bar. Half the width: a round end.

    Warns
    -----
    OutOfRangeWarning
        A ratio lies outside the solved shapes. It is held at the limit, or, where the factor
        rises toward the limit, the rise is continued.

    Notes
    -----
    Basis: fitted data, solid finite elements of tests/solids. One throw alone between bearings
    that stand with their middles 1.2 journal diameters from the web; pin 1.2 diameters long.
    The next throw beyond a main of half a diameter or more changes a peak by -1.8 to +1.0 %.
    Rows left out and predicted from the others: 1 to 2.5 % (root mean square), see LEFT_OUT.
    Sixty shapes solved after the fit: 0.7 to 1.4 %, the worst 7.2 %.
    """
    given = {
        "pin_diameter": pin_diameter,
        "journal_diameter": journal_diameter,
        "throw": throw,
        "web_thickness": web_thickness,
        "web_width": web_width,
        "pin_fillet": pin_fillet,
        "journal_fillet": journal_fillet,
    }
    sizes = [magnitude(value, "mm", name, above=0) for name, value in given.items()]
    width = sizes[4]
    reach = width / 2 if web_reach is None else magnitude(web_reach, "mm", "web_reach", above=0)
    corner = 0.0 if web_corner is None else magnitude(web_corner, "mm", "web_corner", least=0)
    parts = np.array(np.broadcast_arrays(*sizes, reach, corner))
    shape, parts = parts.shape[1:], parts.reshape(len(parts), -1)
    journal, throw, *parts, reach, corner = parts[1:] / parts[0]
    ratios = np.array([(1 + journal) / 2 - throw, *parts, journal])
    if max(throw.max(), ratios[[1, 2, 5]].max()) > 1e3 or ratios[1:].min() < 1e-4:
        raise ValueError(
            "the sizes of pin, journal, throw, web and fillets lie too far apart for one crank: "
            "check their units"
        )
    shapes = Shapes(ratios, reach, corner)
    if shapes.outside:
        warnings.warn("; ".join(shapes.outside), OutOfRangeWarning, stacklevel=2)

    def shaped(found):
        return {
            name: values.reshape(shape) if shape else float(values[0])
            for name, values in found.items()
        }

    return Corner(
        **shaped(shapes.factors()),
        out_of_range=tuple(shapes.outside),
        _spread=lambda: shaped(shapes.spreads(slice(None))),
    )


class Shapes:
    """Webs by their ratios, and the interpolation at each: held inside the box, and beyond it."""

    def __init__(self, ratios, reach, corner):
        self.outside, self.beyond = outside(ratios, reach, corner), None
        self.held = np.clip(ratios, *LIMITS[:, :6])
        self.held[2] = np.maximum(self.held[2], 2 * _need(self.held))
        self.points = scaled(self.held, reach, corner)
        self.values, self.near = together().values(self.points)
        if self.outside:
            beyond = scaled(ratios, reach, corner) - self.points
            # overlap is no logarithm: a throw ten times as long is not the tenth power of the rise
            beyond[:, 0] = np.sign(beyond[:, 0]) * np.log1p(abs(beyond[:, 0]))
            rise = together().slopes(self.points, self.near) * beyond
            self.values, self.beyond = self.values + np.maximum(rise, 0.0).sum(axis=2), beyond

    def factors(self):
        """The factors by name, a radial one out of the throw that the table holds bent."""
        value = dict(zip(NAMES, np.exp(self.values), strict=True))
        arm = 6 * (HALF_JOURNAL * self.held[5] + self.held[1] / 2) / self.held[1]
        for place in PLACES:
            bent = value.pop(f"{place}_three_point") - value[f"{place}_bending"]
            value[f"{place}_radial"] = bent * arm
        return value

    def spreads(self, at, away=None):
        """Relative uncertainties by factor's name at some points, wider the farther outside these,
        or the points ``away``, lie."""
        found = np.hypot(together().spreads(self.points[at], self.near[:, at]), MESH)
        if self.beyond is not None:
            found *= 1 + 2 * abs(self.beyond[at if away is None else away]).sum(axis=1)
        named = (name.replace("three_point", "radial") for name in NAMES)
        return dict(zip(named, found, strict=True))


def outside(ratios, reach, corner):
    """A sentence for each ratio that lies outside the solved shapes, naming the farthest."""
    values = np.vstack([ratios, 2 * reach / ratios[2], 2 * corner / ratios[2]])
    away = np.maximum(LIMITS[0] - values, values - LIMITS[1])
    found = []
    for k in np.flatnonzero(away.max(axis=1) > 1e-9):
        words, (low, high) = OUTSIDE[k], LIMITS[:, k, 0]
        worst = values[k, np.argmax(away[k])]
        found.append(f"{words} is {worst:.3g}, solved shapes have {low:g} to {high:g}")
    if np.any(ratios[2] / 2 < _need(np.clip(ratios, *LIMITS[:, :6])) * (1 - 1e-9)):
        found.append("web_width does not cover pin and journal with their fillets")
    return found


def _need(ratios):
    """Half of the least web width that covers pin and journal with their fillets."""
    return np.maximum(0.5 + ratios[3], ratios[5] / 2 + ratios[4])


def scaled(ratios, reach, corner):
    """Points of the interpolation, each ratio mapped to -1 ... 1 over its range, (points, 8).

    Reach and corner count in half widths and are held at 0.5 to 1 and 0 to 1: their influence
    is a few percent at most.
    """
    half = ratios[2] / 2
    values = np.vstack([ratios[:1], np.log(ratios[1:]), reach / half, corner / half])
    low, high = ENDS
    values[6:] = np.clip(values[6:], low[6:], high[6:])
    return ((2 * values - low - high) / (high - low)).T


def _rows(name):
    with (files("crankmath") / "data" / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


@cache
def table():
    """Points and, by name, the logarithms of the solved factors."""
    rows = _rows("crank_corner.csv")
    columns = {
        key: np.array([float(row[key]) for row in rows])
        for key in (*BOX, "web_reach", "web_corner", *NAMES)
    }
    ratios = np.array([columns[key] for key in BOX])
    points = scaled(ratios, columns["web_reach"], columns["web_corner"])
    return points, {name: np.log(columns[name]) for name in NAMES}


@cache
def surrogates():
    points, logs = table()
    found = {}
    with one_thread():
        for row in _rows("crank_corner_fit.csv"):
            lengths = [float(row[key]) for key in (*BOX, "web_reach", "web_corner")]
            found[row["factor"]] = Surrogate.through(
                points,
                logs[row["factor"]],
                *(float(row[key]) for key in ("curved", "rough", "noise")),
                lengths,
            )
    return found


@cache
def together():
    """All surrogates at once, in the order of NAMES."""
    return Together([surrogates()[name] for name in NAMES])

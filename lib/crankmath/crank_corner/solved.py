"""Stress factors of a crank's own two fillets at a web, from stored solid finite elements.

The table ``data/crank_corner.csv`` is made by tests/solids/crank_corner_table.py; here it is
interpolated by a Gaussian process in the logarithms, whose lengths stand in
``data/crank_corner_fit.csv`` (tests/solids/fit_crank_corner.py).
"""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..threads import one_thread
from ..units import OutOfRangeWarning, magnitude
from .surrogate import Surrogate

# ratios to the pin diameter that the table answers for; overlap as in the crank rule
BOX = {
    "overlap": (-1.2, 0.5),
    "web_thickness": (0.35, 1.1),
    "web_width": (1.1, 3.0),
    "pin_fillet": (0.02, 0.14),
    "journal_fillet": (0.02, 0.14),
    "journal_diameter": (0.8, 1.8),
}
CASES = ("bending", "three_point", "tangential", "torsion")
PLACES = ("pin", "journal")
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
    uncertainty: dict
    out_of_range: tuple


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
        How far the web goes on beyond either axis; default half the width.
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
    Rows left out and predicted from the others: 1 to 2.5 % (root mean square), see LEFT_OUT.
    Sixty shapes solved after the fit: 0.7 to 1.6 %, the worst 7.7 %.
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
    pin, *sizes = np.broadcast_arrays(*sizes, reach, corner)
    journal, throw, thick, width, pin_arc, journal_arc, reach, corner = (s / pin for s in sizes)
    if (
        np.any(np.array([journal, throw, thick, width]) > 1e3)
        or min(np.min(pin_arc), np.min(journal_arc), np.min(journal), np.min(thick), np.min(width))
        < 1e-4
    ):
        raise ValueError(
            "the sizes of pin, journal, throw, web and fillets lie too far apart for one crank: "
            "check their units"
        )
    ratios = np.array([(1 + journal) / 2 - throw, thick, width, pin_arc, journal_arc, journal])
    answer, spread, outside = _of_ratios(
        ratios.reshape(6, -1), *(np.ravel(part) for part in (reach, corner))
    )
    if outside:
        warnings.warn("; ".join(outside), OutOfRangeWarning, stacklevel=2)

    def shaped(values):
        return float(values[0]) if pin.ndim == 0 else values.reshape(pin.shape)

    return Corner(
        **{name: shaped(values) for name, values in answer.items()},
        uncertainty={name: shaped(values) for name, values in spread.items()},
        out_of_range=tuple(outside),
    )


def _of_ratios(ratios, reach, corner):
    """Factors, relative uncertainties by name, and what is outside; ratios in the BOX's order."""
    held, outside = ratios.copy(), []
    for k, (name, (low, high)) in enumerate(BOX.items()):
        held[k] = np.clip(ratios[k], low, high)
        _note(outside, name if k == 0 else f"{name} over pin_diameter", ratios[k], low, high)
    need = np.maximum(0.5 + held[3], held[5] / 2 + held[4])
    if np.any(ratios[2] / 2 < need * (1 - 1e-9)):
        outside.append("web_width does not cover pin and journal with their fillets")
    held[2] = np.maximum(held[2], 2 * need)
    _note(outside, "web_reach over half the web_width", 2 * reach / ratios[2], 0.5, 1.0)
    _note(outside, "web_corner over half the web_width", 2 * corner / ratios[2], 0.0, 1.0)
    points = scaled(held, reach, corner)
    beyond = scaled(ratios, reach, corner) - points
    # overlap is no logarithm: a throw ten times as long is not the tenth power of the rise
    beyond[:, 0] = np.sign(beyond[:, 0]) * np.log1p(abs(beyond[:, 0]))
    logs, spreads = {}, {}
    for name, surrogate in surrogates().items():
        logs[name], spread = surrogate.value_and_spread(points)
        spreads[name] = np.hypot(spread, MESH)
        if outside:
            rise = np.maximum(surrogate.slope(points) * beyond, 0.0)
            logs[name] += rise.sum(axis=1)
            spreads[name] *= 1 + 2 * abs(beyond).sum(axis=1)
    value = {name: np.exp(log) for name, log in logs.items()}
    # the radial force's part of the bent throw that the table holds
    arm = 6 * (HALF_JOURNAL * held[5] + held[1] / 2) / held[1]
    found, spread = {}, {}
    for case in ("bending", "radial", "torsion", "tangential"):
        for place in PLACES:
            name, source = f"{place}_{case}", f"{place}_{case}"
            if case == "radial":
                source = f"{place}_three_point"
                found[name] = (value[source] - value[f"{place}_bending"]) * arm
            else:
                found[name] = value[source]
            spread[name] = spreads[source]
    return found, spread, outside


def _note(outside, name, values, low, high):
    """Append a sentence where a value lies outside, naming the farthest."""
    away = np.maximum(low - values, values - high)
    if away.max() > 1e-9:
        worst = values[np.argmax(away)]
        outside.append(f"{name} is {worst:.3g}, solved shapes have {low:g} to {high:g}")


def scaled(ratios, reach, corner):
    """Points of the interpolation, each ratio mapped to -1 ... 1 over its range, (points, 8).

    Reach and corner count in half widths and are held at 0.5 to 1 and 0 to 1: their influence
    is a few percent at most.
    """
    columns = []
    for value, (name, (low, high)) in zip(ratios, BOX.items(), strict=False):
        if name != "overlap":
            value, low, high = np.log(value), np.log(low), np.log(high)
        columns.append((2 * value - low - high) / (high - low))
    half = ratios[2] / 2
    columns.append(4 * np.clip(reach / half, 0.5, 1.0) - 3)
    columns.append(2 * np.clip(corner / half, 0.0, 1.0) - 1)
    return np.array(columns).T


def _rows(name):
    with (files("crankmath") / "data" / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


@cache
def table():
    """Points and, by name, the logarithms of the solved factors."""
    rows = _rows("crank_corner.csv")
    names = [f"{place}_{case}" for case in CASES for place in PLACES]
    columns = {
        key: np.array([float(row[key]) for row in rows])
        for key in (*BOX, "web_reach", "web_corner", *names)
    }
    ratios = np.array([columns[key] for key in BOX])
    points = scaled(ratios, columns["web_reach"], columns["web_corner"])
    return points, {name: np.log(columns[name]) for name in names}


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

"""Pin and main fillets of seven throws against solid finite elements, crank_corner_solid.csv.

Quarter throws, 10-node tetrahedra, fillets at 5 to 9 elements a quarter arc; peaks 1 to 3 % high.
"""

import csv
import warnings
from pathlib import Path

import numpy as np
import pytest

from crankmath import fillets, service
from crankmath.crank import Crank, steels
from crankmath.job.checks.strength import SAFE
from crankmath.service import strength
from crankmath.units import OutOfRangeWarning, Quantity

with (Path(__file__).parent / "crank_corner_solid.csv").open(encoding="utf-8") as lines:
    SHAPES = {
        row.pop("crank"): {name: float(value) for name, value in row.items()}
        for row in csv.DictReader(lines)
    }
NO_SPREAD = {"load_spread": 0, "strength_spread": 0}
CASES = [(name, kind) for name in SHAPES for kind in ("pin", "main")]


def web_stress_of_1000_newton(shape):
    """M/(B W^2/6) and Q/(B W) [MPa] at the web's middle; half the force on each bearing."""
    thick, wide = shape["web_thickness"], shape["web_width"]
    arm = shape["half_main_length"] + thick / 2
    return 6 * 500 * arm / (wide * thick**2), 500 / (wide * thick)


def crank_of(shape, name):
    main = {
        "diameter": shape["main_diameter"],
        "length": 2 * shape["half_main_length"],
        "fillet": shape["main_fillet"],
    }
    throw = {
        "radius": shape["throw"],
        "angle_deg": 0,
        "fillet": shape["pin_fillet"],
        **{
            part: shape[part]
            for part in ("pin_diameter", "pin_length", "web_thickness", "web_width", "web_reach")
        },
    }
    return Crank.from_dict(
        {"name": name, "units": "mm", "steel": "C45", "journals": [main, main], "throws": [throw]}
    )


def judged(crank, push, **more):
    """A liquid pump's push in half of the turn, or a steady one where it has no angle."""
    rod = 5 * crank.throws[0].radius
    loads = service.turn_loads(crank, service.Cylinder(rod, *push), Quantity(0.0, "rpm"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        return loads, strength.check_strength(crank, loads, **more)


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_a_swinging_radial_force_makes_the_solids_stress(name, kind):
    """A steady push presses and pulls the pin with 1000 N in turn: the stress at the dead centers
    is the solid's, as fatigue feels it; what comes across the throw later can only add."""
    shape = SHAPES[name]
    _, result = judged(crank_of(shape, name), [Quantity(1000.0, "N")], **NO_SPREAD)
    corner = {"pin": "pin 1, left fillet", "main": "main 1, right fillet"}[kind]
    one = next(section for section in result.sections if section.place.name == corner)
    share = fillets.notch_sensitivity(
        "bending", steels.find("C45").tensile_strength, Quantity(shape[f"{kind}_fillet"], "mm")
    )
    nominal = sum(web_stress_of_1000_newton(shape)[: 1 if kind == "pin" else 2])
    felt = nominal + share * (shape[f"radial_1000N_{kind}_MPa"] - nominal)
    assert one.alternating.m_as("MPa") > 0.95 * felt
    assert one.low <= one.endurance_limit.m_as("MPa") / felt


def solid_safety(shape, kind, loads, limit, ultimate, share):
    """Goodman around a fillet from the solid's own peaks: radial and tangential force by cosine and
    sine, and torque through the pin, all as normal stress felt by q; no factor of the library."""
    peak = {
        case: shape[f"{column}_{kind}_MPa"] / 1000
        for case, column in (
            ("radial", "radial_1000N"),
            ("tangential", "tangential_1000N"),
            ("torque", "torque_1000N_times_throw"),
        )
    }
    radial, tangential = (part.m_as("N")[0] for part in (loads.radial, loads.tangential))
    safeties = []
    for angle in np.radians(range(0, 180, 15)):
        for sign in (1, -1):  # the torque's diagonal stress helps at one side of the corner
            course = (
                np.cos(angle) * peak["radial"] * radial
                + np.sin(angle) * peak["tangential"] * tangential
                + sign * abs(np.sin(angle)) * peak["torque"] * tangential
            )
            half, mean = np.ptp(course) / 2, abs(course.max() + course.min()) / 2
            # of a peak fatigue feels 1 + q (K - 1) over K, with K at least 2 here
            felt = 1 - (1 - share) / 2
            safeties.append(1 / (felt * (half / limit + mean / ultimate)))
    return min(safeties)


@pytest.mark.parametrize("name", SHAPES)
def test_where_the_job_first_says_fine_the_solid_has_a_fifth_to_spare(name):
    """Low end 1.5 at 99 % reliability; a liquid pump presses in half of the turn."""
    shape = SHAPES[name]
    crank = crank_of(shape, name)
    angle = Quantity(np.arange(0.0, 360.0, 5.0), "deg")
    pressing = Quantity(np.where(angle.magnitude < 180, 0.0, 1000.0), "N")
    steel = steels.find("C45")
    _, once = judged(crank, (pressing, angle), reliability=0.99)
    push = pressing * once.weakest.low / SAFE  # Goodman goes as one over the load
    loads, result = judged(crank, (push, angle), reliability=0.99)
    assert result.weakest.low == pytest.approx(SAFE, rel=1e-6)
    for kind in ("pin", "main"):
        limit = next(
            one.endurance_limit
            for one in result.sections
            if one.place.kind == kind and one.place.corner
        )
        share = fillets.notch_sensitivity(
            "bending", steel.tensile_strength, Quantity(shape[f"{kind}_fillet"], "mm")
        )
        found = solid_safety(
            shape, kind, loads, limit.m_as("MPa"), steel.tensile_strength.m_as("MPa"), share
        )
        assert found >= 1.2

"""Pin and main fillets of seven throws against solid finite elements, crank_corner_solid.csv.

Quarter throws, 10-node tetrahedra, fillets at 5 to 9 elements a quarter arc; peaks 1 to 3 % high.
"""

import csv
import warnings
from pathlib import Path

import pytest

from crankmath import fillets, service
from crankmath.crank import Crank, steels
from crankmath.fillets.crank_rule import held_factors
from crankmath.service import strength
from crankmath.service.crank_sections import SOLID_OVER_RULE
from crankmath.units import OutOfRangeWarning, Quantity

with (Path(__file__).parent / "crank_corner_solid.csv").open(encoding="utf-8") as lines:
    SHAPES = {
        row.pop("crank"): {name: float(value) for name, value in row.items()}
        for row in csv.DictReader(lines)
    }
CASES = [(name, kind) for name in SHAPES for kind in ("pin", "main")]


def web_stress_of_1000_newton(shape):
    """M/(B W^2/6) and Q/(B W) [MPa] at the web's middle; half the force on each bearing."""
    thick, wide = shape["web_thickness"], shape["web_width"]
    arm = shape["half_main_length"] + thick / 2
    return 6 * 500 * arm / (wide * thick**2), 500 / (wide * thick)


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_the_solids_lie_in_the_stated_range_of_the_rule(name, kind):
    shape = SHAPES[name]
    bent, pushed = web_stress_of_1000_newton(shape)
    found = held_factors(
        kind,
        shape["pin_diameter"],
        shape["main_diameter"],
        shape["throw"],
        shape["web_thickness"],
        shape["web_width"],
        shape[f"{kind}_fillet"],
    )
    # what counts of a wide web is less than all of it
    bent *= shape["web_width"] / found.width
    pushed *= shape["web_width"] / found.width
    ratio = shape[f"radial_1000N_{kind}_MPa"] / (found.bending * bent + found.radial * pushed)
    least, _, most = SOLID_OVER_RULE[kind]
    assert least <= ratio <= most


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_the_low_end_promises_no_more_than_the_solid(name, kind):
    """The radial force swings between plus and minus 1000 N; no spread but the model's own."""
    shape = SHAPES[name]
    main = {
        "diameter": shape["main_diameter"],
        "length": 2 * shape["half_main_length"],
        "fillet": shape["main_fillet"],
    }
    crank = Crank.from_dict(
        {
            "name": name,
            "units": "mm",
            "steel": "C45",
            "journals": [main, main],
            "throws": [
                {
                    "radius": shape["throw"],
                    "angle_deg": 0,
                    "pin_diameter": shape["pin_diameter"],
                    "pin_length": shape["pin_length"],
                    "fillet": shape["pin_fillet"],
                    "web_thickness": shape["web_thickness"],
                    "web_width": shape["web_width"],
                    "web_reach": shape["web_reach"],
                }
            ],
        }
    )
    rod = Quantity(5 * shape["throw"], "mm")
    loads = service.turn_loads(
        crank, service.Cylinder(rod, Quantity(1000.0, "N")), Quantity(0.0, "rpm")
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        result = strength.check_strength(
            crank, loads, load_spread=0, notch_spread=0, strength_spread=0
        )
    corner = {"pin": "pin 1, left fillet", "main": "main 1, right fillet"}[kind]
    one = next(section for section in result.sections if section.place.name == corner)
    share = fillets.notch_sensitivity(
        "bending", steels.find("C45").tensile_strength, Quantity(shape[f"{kind}_fillet"], "mm")
    )
    nominal = sum(web_stress_of_1000_newton(shape)[: 1 if kind == "pin" else 2])
    felt = nominal + share * (shape[f"radial_1000N_{kind}_MPa"] - nominal)
    assert one.low <= one.endurance_limit.m_as("MPa") / felt

"""Every steel has every value, and every value its source."""

import pytest

from crankmath.crank import steels


@pytest.mark.parametrize("name", steels.NAMES)
def test_records_are_whole(name):
    steel = steels.find(name.lower())
    for prop in steels.UNITS:
        assert getattr(steel, prop) > 0
        assert steel.source(prop)
    assert steel.yield_strength < steel.tensile_strength
    assert steel.machinability_base == "AISI 1212 = 100 %"


def test_steels_of_the_example_cranks_and_more():
    assert {"1018", "1045", "C45", "1144", "4140", "42CrMo4", "12L14", "S275", "S355"} <= set(
        steels.NAMES
    )


@pytest.mark.parametrize("name", ["oak", "", None, 4140, "EN24", "cast iron"])
def test_unknown_steel_lists_the_known_and_says_what_to_do(name):
    with pytest.raises(ValueError, match="write one of 1018.*nearest.*yield strength.*cast iron"):
        steels.find(name)


def test_unknown_property():
    with pytest.raises(ValueError, match="^name must be one of"):
        steels.find("C45").source("color")

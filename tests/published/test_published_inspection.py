"""Uncertainty, vees and runout against print; each check carries its source and why its tolerance."""

import re

import numpy as np
import pytest
from printed import expected, rows

from crankmath import inspection
from crankmath.inspection import uncertainty
from crankmath.units import Quantity


def nm(value):
    return Quantity(value, "nm")


def per_degree(value):
    return Quantity(value, "1/delta_degC")


# GUM (JCGM 100:2008) Annex H.1: an end gauge of 50 mm compared with a standard


def end_gauge(
    standard,
    difference,
    d0,
    d1,
    d2,
    expansion,
    warmth,
    swing,
    warmth_difference,
    expansion_difference,
):
    length = standard + difference + d0 + d1 + d2
    return length - standard * (
        expansion_difference * (warmth + swing) + expansion * warmth_difference
    )


GAUGE = [
    uncertainty.source("standard", nm(50_000_623.0), standard=nm(25), degrees_of_freedom=18),
    uncertainty.source("difference", nm(215.0), standard=nm(0)),
    uncertainty.source("d0", nm(0.0), standard=nm(5.8), degrees_of_freedom=24),
    uncertainty.source("d1", nm(0.0), standard=nm(3.9), degrees_of_freedom=5),
    uncertainty.source("d2", nm(0.0), standard=nm(6.7), degrees_of_freedom=8),
    uncertainty.source("expansion", per_degree(11.5e-6), half_width=per_degree(2e-6)),
    uncertainty.source(
        "warmth", Quantity(-0.1, "delta_degC"), standard=Quantity(0.2, "delta_degC")
    ),
    uncertainty.source(
        "swing",
        Quantity(0.0, "delta_degC"),
        half_width=Quantity(0.5, "delta_degC"),
        shape="arcsine",
    ),
    uncertainty.source(
        "warmth_difference",
        Quantity(0.0, "delta_degC"),
        half_width=Quantity(0.05, "delta_degC"),
        degrees_of_freedom=2,
    ),
    uncertainty.source(
        "expansion_difference", per_degree(0.0), half_width=per_degree(1e-6), degrees_of_freedom=50
    ),
]


@pytest.fixture(scope="module")
def gauge():
    return uncertainty.combine(end_gauge, GAUGE, confidence=0.99)


def test_gauge_length_and_uncertainty(gauge):
    """METRO-22, METRO-23: print rounds to 1 nm; the length of METRO-22 is 50 000 838 nm printed without its last two digits."""
    assert gauge.value.m_as("nm") == pytest.approx(50_000_838, abs=0.5)
    assert round(gauge.value.m_as("nm"), -2) == expected("METRO-22")
    assert gauge.standard.m_as("nm") == pytest.approx(expected("METRO-23"), abs=0.5)


@pytest.mark.parametrize(
    ("identity", "name"),
    [
        ("METRO-24", "standard"),
        ("METRO-25", "warmth_difference"),
        ("METRO-26", "d2"),
        ("METRO-27", "d0"),
        ("METRO-28", "d1"),
        ("METRO-29", "expansion_difference"),
    ],
)
def test_gauge_components(gauge, identity, name):
    assert gauge.components[name].m_as("nm") == pytest.approx(expected(identity), rel=1e-3)


def test_gauge_expanded_uncertainty(gauge):
    """METRO-31, from memory: 16 degrees of freedom, factor 2.92, U99 = 93 nm (print rounds the factor and u before it multiplies)."""
    assert int(gauge.degrees_of_freedom) == 16
    assert gauge.coverage_factor == pytest.approx(2.92, abs=0.005)
    assert gauge.expanded.m_as("nm") == pytest.approx(expected("METRO-31"), abs=1)


def test_gauge_by_monte_carlo():
    """METRO-30: second-order terms raise u to 34 nm. JCGM 101, 9.5, from memory: 36 nm, 99 % of 50 000 745 to 932 nm,
    with Student's distribution for sources of few degrees of freedom; shapes there are a little wider than ours, hence 2 nm."""
    endless = [
        uncertainty.Source(part.name, part.value, part.standard, part.shape) for part in GAUGE
    ]
    second_order = uncertainty.monte_carlo(end_gauge, endless, confidence=0.99, draws=300_000)
    assert second_order.standard.m_as("nm") == pytest.approx(expected("METRO-30"), abs=0.5)
    drawn = uncertainty.monte_carlo(end_gauge, GAUGE, confidence=0.99, draws=300_000)
    assert drawn.standard.m_as("nm") == pytest.approx(36, abs=1)
    assert drawn.low.m_as("nm") - 50e6 == pytest.approx(745, abs=2)
    assert drawn.high.m_as("nm") - 50e6 == pytest.approx(932, abs=2)


# Vees and runout


def test_tir_is_twice_the_eccentricity():
    """METRO-01."""
    turn = np.arange(0, 360, 30.0)
    fit = inspection.fit_runout(
        Quantity(turn, "deg"), Quantity(0.010 * np.cos(np.radians(turn)), "mm")
    )
    assert fit.tir.m_as("mm") == pytest.approx(expected("METRO-01"))


@pytest.mark.parametrize("row", rows("METRO", range(2, 22)))
def test_vee_factors(row):
    """Summit method, factors derived apart from ours when the reference was made, checked there by simulation."""
    lobes, vee = (
        float(part) for part in re.search(r"n=(\d+) lobes; vee (\d+) deg", row["inputs"]).groups()
    )
    assert inspection.vee_factor(int(lobes), Quantity(vee, "deg")) == pytest.approx(
        float(row["expected"]), rel=1e-5, abs=1e-9
    )

"""Uncertainty of a sum and the verdict: hand sums, the two routes beside each other, simulated measurements, bad input. Print is in published/."""

import numpy as np
import pint
import pytest

from crankmath.inspection import pin_heights, uncertainty
from crankmath.units import Quantity

DRAWS = 2000


def um(value):
    return Quantity(value, "um")


def mm(value):
    return Quantity(value, "mm")


def throw_model(top, bottom, gauge, rise):
    return pin_heights.throw_from_heights(
        top + gauge, bottom, rise=rise, expansion=Quantity(11.5e-6, "1/delta_degC")
    )


SOURCES = [
    uncertainty.source("top", mm(117.0), standard=um(4.0), degrees_of_freedom=4),
    uncertainty.source("bottom", mm(81.0), standard=um(4.0), degrees_of_freedom=4),
    uncertainty.tool_source("height gauge 0.02 mm", "gauge"),
    uncertainty.tool_source("temperature of the work", "rise"),
]


def test_budget_of_a_throw_by_hand():
    """Slopes 1/2, 1/2, 1/2 and 18 mm x 11.5e-6 per degree; half widths over root three."""
    found = uncertainty.combine(throw_model, SOURCES)
    parts = {
        "top": 2.0,
        "bottom": 2.0,
        "gauge": 15 / np.sqrt(3),
        "rise": 18000 * 11.5e-6 * 2 / np.sqrt(3),
    }
    for name, size in parts.items():
        assert found.components[name].m_as("um") == pytest.approx(size, rel=1e-4), name
    total = np.sqrt(sum(size**2 for size in parts.values()))
    assert found.standard.m_as("um") == pytest.approx(total, rel=1e-4)
    assert found.degrees_of_freedom == pytest.approx(total**4 / (2 * 2.0**4 / 4), rel=1e-3)
    assert sum(found.shares.values()) == pytest.approx(1)
    assert found.value.m_as("mm") == pytest.approx(18)


def test_a_source_that_is_exact_takes_no_part():
    """A gauge known to nothing off, found in four readings, neither adds nor takes degrees of freedom."""
    exact = uncertainty.source("gauge", mm(0.0), standard=um(0.0), degrees_of_freedom=1)
    size = uncertainty.source("size", mm(20.0), standard=um(2.0), degrees_of_freedom=9)
    found = uncertainty.combine(lambda size, gauge: size + gauge, [size, exact])
    assert found.degrees_of_freedom == pytest.approx(9)
    assert found.shares == {"size": pytest.approx(1), "gauge": 0}
    assert found.standard.m_as("um") == pytest.approx(2)


def test_monte_carlo_agrees_with_the_law_where_it_should():
    """JCGM 101, clause 8: a nearly straight sum, so both routes agree; Student's spread is wider by 2 per root of 4/(4-2)."""
    law = uncertainty.combine(throw_model, SOURCES)
    drawn = uncertainty.monte_carlo(throw_model, SOURCES, draws=200_000)
    wider = np.sqrt(law.standard.m_as("um") ** 2 + 2 * 2.0**2 * (4 / 2 - 1))
    assert drawn.standard.m_as("um") == pytest.approx(wider, rel=0.02)
    assert drawn.value.m_as("mm") == pytest.approx(18, abs=1e-4)
    assert drawn == uncertainty.monte_carlo(throw_model, SOURCES, draws=200_000)
    assert (drawn.high - drawn.low).m_as("um") == pytest.approx(
        2 * law.expanded.m_as("um"), rel=0.12
    )  # rectangular: ends nearer than a normal's


@pytest.mark.parametrize("shape", ["rectangular", "triangular", "arcsine"])
def test_shapes_have_the_spread_they_claim(shape):
    part = uncertainty.source("x", mm(1.0), half_width=um(10), shape=shape)
    drawn = uncertainty.monte_carlo(lambda x: x, [part])
    assert drawn.standard.m_as("um") == pytest.approx(part.standard.m_as("um"), rel=0.01)
    assert (drawn.high - drawn.low).m_as("um") < 20


def test_stated_uncertainty_of_a_throw_holds():
    """200 simulated measurements with the errors the budget names; chance scatter of the share is 1.5 %."""
    random = np.random.default_rng(4)
    held = 0
    for _ in range(200):
        tops, bottoms = 117 + random.normal(0, 0.009, 5), 81 + random.normal(0, 0.009, 5)
        gauge, rise = random.normal(0, 0.004), random.normal(0, 1.0)
        grown = 18 * 11.5e-6 * rise
        sources = [
            uncertainty.source(
                "top",
                mm(tops.mean() + grown + gauge),
                standard=mm(tops.std(ddof=1) / 5**0.5),
                degrees_of_freedom=4,
            ),
            uncertainty.source(
                "bottom",
                mm(bottoms.mean() - grown),
                standard=mm(bottoms.std(ddof=1) / 5**0.5),
                degrees_of_freedom=4,
            ),
            uncertainty.source("gauge", mm(0.0), standard=mm(0.004)),
            uncertainty.source(
                "rise", Quantity(0.0, "delta_degC"), standard=Quantity(1.0, "delta_degC")
            ),
        ]
        found = uncertainty.combine(throw_model, sources)
        held += abs(found.value - mm(18)) <= found.expanded
    assert held / 200 == pytest.approx(0.95, abs=0.045)


def test_models_and_sources_that_do_not_fit_are_refused():
    x = uncertainty.source("x", mm(1.0), standard=um(1))
    for model, parts in (
        (lambda y: y, [x]),
        (lambda x, y: x, [x]),
        (lambda x: x, [x, x]),
        (lambda: mm(1), []),
    ):
        with pytest.raises(ValueError, match="^(model|sources)"):
            uncertainty.combine(model, parts)
    with pytest.raises(ValueError, match="^sources: at least one"):
        uncertainty.combine(lambda x: x, [uncertainty.source("x", mm(1.0), standard=um(0))])
    assert (
        uncertainty.combine(lambda x: x, x).expanded
        == uncertainty.combine(lambda x: x, [x]).expanded
    )
    for wrong in (5, [5]):
        with pytest.raises(TypeError, match=r"^sources(\[0\])? has to be a Source"):
            uncertainty.combine(lambda x: x, wrong)
    with pytest.raises(ValueError, match="either half_width or standard"):
        uncertainty.source("x", mm(1.0))
    with pytest.raises(ValueError, match="shape must be"):
        uncertainty.source("x", mm(1.0), half_width=um(1), shape="square")
    with pytest.raises(pint.DimensionalityError, match="^x.standard"):
        uncertainty.source("x", mm(1.0), standard=Quantity(1, "kg"))
    with pytest.raises(TypeError, match="^x"):
        uncertainty.source("x", 1.0, standard=um(1))
    with pytest.raises(ValueError, match="^tool must be one of"):
        uncertainty.tool_source("eye", "x")
    with pytest.raises(ValueError, match="^confidence"):
        uncertainty.combine(lambda x: x, [x], confidence=1.5)


def test_seeds_and_units_that_make_no_sense_are_refused():
    x = uncertainty.source("x", mm(1.0), standard=um(1))
    for seed in (-1, 1.5, "one", np.nan):
        with pytest.raises(ValueError, match="^seed"):
            uncertainty.monte_carlo(lambda x: x, [x], seed=seed)
    for unit in ("furlong per", 3, "pump"):
        with pytest.raises(ValueError, match="^unit .* is not known"):
            uncertainty.with_uncertainty(mm(1), um(1), unit)


def test_absolute_temperature_has_a_difference_as_its_uncertainty():
    room = uncertainty.source("room", Quantity(23.0, "degC"), half_width=Quantity(2, "delta_degC"))
    found = uncertainty.combine(lambda room: room, [room])
    assert found.value.m_as("degC") == pytest.approx(23)
    assert found.standard.m_as("delta_degC") == pytest.approx(2 / np.sqrt(3))


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (0.0, "in"),
        (16.9, "in"),
        (17.1, "cannot tell"),
        (20.0, "cannot tell"),
        (22.9, "cannot tell"),
        (23.1, "out"),
        (-23.1, "out"),
        (-18.0, "cannot tell"),
    ],
)
def test_verdict_of_two_limits(value, word):
    found = uncertainty.verdict(um(value), um(3), lower=um(-20), upper=um(20))
    assert found.word == word and str(found).startswith(word)


def test_verdict_of_one_limit_and_its_errors():
    assert uncertainty.verdict(mm(0.010), um(2), upper=Quantity(0.5, "thousandth")).word == "in"
    assert (
        "no value could pass"
        in uncertainty.verdict(um(0), um(30), lower=um(-20), upper=um(20)).sentence
    )
    for wrong in ({}, {"lower": um(5), "upper": um(1)}):
        with pytest.raises(ValueError, match="^(verdict|lower)"):
            uncertainty.verdict(um(1), um(1), **wrong)
    with pytest.raises(TypeError, match="^value"):
        uncertainty.verdict(1, um(1), upper=um(2))
    with pytest.raises(pint.DimensionalityError, match="^upper"):
        uncertainty.verdict(um(1), um(1), upper=Quantity(1, "kg"))


def test_few_wrong_verdicts_in_many_draws():
    """A part just out of tolerance is called in by chance in at most 2.5 % of measurements, and the other way round."""
    random = np.random.default_rng(6)
    measured = 20.001 + random.normal(0, 1.5, DRAWS)
    words = [uncertainty.verdict(um(value), um(2 * 1.5), upper=um(20)).word for value in measured]
    assert words.count("in") / DRAWS < 0.035
    assert words.count("out") / DRAWS < 0.035


@pytest.mark.parametrize(
    ("value", "expanded", "unit", "text"),
    [
        (um(10.2345), um(1.684), None, "10.2 ± 1.7 µm"),
        (mm(17.9961), um(12.7), None, "17.996 ± 0.013 mm"),
        (um(-0.04), um(2.66), None, "0.0 ± 2.7 µm"),
        (um(254), um(25.4), "thousandth", "10.0 ± 1.0 thou"),
        (um(1234), um(321), None, "1230 ± 320 µm"),
        (um(5), um(0), None, "5 µm ± 0"),
    ],
)
def test_text_of_a_value_and_its_uncertainty(value, expanded, unit, text):
    """GUM 7.2.6: two digits of the uncertainty, the value to the same place; rounded by hand."""
    assert uncertainty.with_uncertainty(value, expanded, unit) == text
    if expanded.magnitude:
        with pytest.raises(ValueError, match="^expanded"):
            uncertainty.with_uncertainty(value, -expanded, unit)

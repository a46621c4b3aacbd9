"""Every trap of units and typed text, each with its own test."""

import re

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath import cutting
from crankmath.typed import read_answer, read_quantity
from crankmath.units import Quantity, as_text, magnitude, number, ureg

LENGTHS = ("mm", "in", "thousandth")


@pytest.mark.parametrize(
    ("text", "millimeters"),
    [  # worked by hand from 1 in = 25.4 mm
        ("0,25 mm", 0.25),
        ("0.25 mm", 0.25),
        ("3/4 in", 19.05),
        ("1-1/8 in", 28.575),
        ("1 1/8 in", 28.575),
        ('0.002"', 0.0508),
        ("18 mm", 18),
        ("18mm", 18),
        ("2 thou", 0.0508),
        ("+5 mm", 5),
        (",5 mm", 0.5),
        ("1234,5 mm", 1234.5),
        ("0,250 mm", 0.25),
        ("1e-2 mm", 0.01),
        (" 12 mm ", 12),
        ("12\u00a0mm", 12),
        ("¾ in", 19.05),
        ("1¾ in", 44.45),
        ("1 ¾ in", 44.45),
        ("3 / 4 in", 19.05),
        ("5 IN", 127),
        ("5 MM", 5),
        ("2 mil", 0.0508),
        ("5 Mm", 5),
    ],
)
def test_text_is_read_as_a_workshop_writes_it(text, millimeters):
    assert read_quantity(text, LENGTHS).m_as("mm") == pytest.approx(millimeters, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("1,234", ValueError, "1.234 or 1234"),
        ("1,234 mm", ValueError, "1.234 or 1234"),
        ("1,234,567 mm", ValueError, "mean"),
        ("1.234,5 mm", ValueError, "more than one decimal mark"),
        ("abc", ValueError, "no number"),
        ("", ValueError, "empty"),
        ("-5 mm", ValueError, "above zero"),
        ("0 mm", ValueError, "above zero"),
        ("5", TypeError, "needs a unit"),
        ("5 mm2", pint.DimensionalityError, "length"),
        ("5 mm²", pint.DimensionalityError, "length"),
        ("5 furlong", ValueError, "not used here"),
        ("5 banana", ValueError, "not a unit known"),
        ("1/0 in", ValueError, "divides by zero"),
        ("nan mm", ValueError, "no number"),
        ("1e999 mm", ValueError, "finite"),
        ("5 __import__('os')", ValueError, "not a unit"),
        ("1 234 mm", ValueError, "two numbers"),
        ("1" * 61 + " mm", ValueError, "too long"),
        ("5 lb", pint.DimensionalityError, "length"),
        ("5 mm mm mm mm mm mm mm mm mm mm mm mm mm mm mm mm", ValueError, "unit"),
    ],
)
def test_what_cannot_be_read_is_said(text, kind, words):
    with pytest.raises(kind, match=words) as caught:
        read_quantity(text, LENGTHS, "diameter", above=0)
    assert str(caught.value).startswith("diameter")


def test_a_turn_stays_a_turn():
    # by hand: 20000 mm/min over 78.54 mm per turn; the naive unit sum is 2 pi too small
    naive = (Quantity(20, "m/min") / (np.pi * Quantity(25, "mm"))).to("rpm")
    ours = cutting.spindle_speed(Quantity(20, "m/min"), Quantity(25, "mm"))
    assert ours.m_as("rpm") == pytest.approx(254.648, abs=0.001)
    assert (ours / naive).m_as("dimensionless") == pytest.approx(2 * np.pi)


@pytest.mark.parametrize("quantity", ["4 Hz", "4 1/s", "4 1/min"])
def test_hertz_is_never_rpm(quantity):
    with pytest.raises(ValueError, match="spindle_speed has to say what turns"):
        cutting.surface_speed(Quantity(quantity), Quantity(25, "mm"))


@pytest.mark.parametrize(
    ("quantity", "rpm"), [("4 turn/s", 240), ("6.283185307 rad/s", 60), ("360 degree/s", 60)]
)
def test_other_turning_units_are_read(quantity, rpm):
    assert magnitude(Quantity(quantity), "rpm", "n") == pytest.approx(rpm)


def test_pound_mass_and_pound_force():
    assert read_quantity("1 lbf", ("N", "lbf")).m_as("N") == pytest.approx(4.4482216)  # NIST SP 811
    assert read_quantity("1 lb", ("kg", "lb")).m_as("kg") == pytest.approx(
        0.45359237
    )  # NIST SP 811
    with pytest.raises(pint.DimensionalityError, match="force"):
        read_quantity("1 lb", ("N", "lbf"))


def test_a_typed_rpm_in_any_dress():
    for text in (
        "250 rpm",
        "250 RPM",
        "250 rev/min",
        "250 1/min",
        "250 r/min",
        "250 turns per minute",  # as lesson 04 prints it
        "250 Turns a minute",
        "250 revolutions/min",
        "250 rev / min",
        "250 U/min",  # Umdrehungen, on German lathes; read as another kind before
        "250 min⁻¹",  # as ISO 80000-3 has it
        "250 min^-1",
        "250 /min",
        "250 r.p.m.",
        "250 RPM.",
    ):
        assert read_quantity(text, ("rpm",)).m_as("rpm") == pytest.approx(250)


def test_stress_and_torque_as_people_type_them():
    assert read_quantity("79.6 Mpa", ("MPa",)).m_as("MPa") == pytest.approx(79.6)
    torque = ("N*m", "N*mm")
    for text in ("39.5 N-m", "39500 Nmm", "39500 N mm", "39.5 Nm"):
        assert read_quantity(text, torque).m_as("N*m") == pytest.approx(39.5), text


def test_temperature_rise():
    assert read_quantity(as_text(Quantity(5.0, "delta_degC")), ("delta_degC",)).m_as(
        "kelvin"
    ) == pytest.approx(5)
    assert read_quantity("9 °F", ("delta_degC", "delta_degF")).m_as("kelvin") == pytest.approx(5)
    assert read_quantity("10 °C", ("delta_degC",)).m_as("kelvin") == pytest.approx(10)
    with pytest.raises(pint.OffsetUnitCalculusError):
        Quantity(20, "degC") * 2


@pytest.mark.parametrize("value", [25, "25 mm", None, np.array([1.0])])
def test_missing_unit_says_what_to_write(value):
    with pytest.raises(TypeError, match=r"diameter needs a unit: write Quantity\(25, 'mm'\)"):
        magnitude(value, "mm", "diameter")


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, [1.0, np.nan], []])
def test_not_finite_or_empty_is_named(value):
    with pytest.raises(ValueError, match="^diameter"):
        magnitude(Quantity(value, "mm"), "mm", "diameter")


def test_wrong_kind_is_one_sentence():
    with pytest.raises(
        pint.DimensionalityError, match="^diameter should be a length; 20 mm² is another kind"
    ):
        magnitude(Quantity(20, "mm**2"), "mm", "diameter")


def test_an_array_of_the_wrong_kind_is_one_sentence():
    with pytest.raises(
        pint.DimensionalityError,
        match="^diameter should be a length; an array in mm² is another kind",
    ):
        magnitude(Quantity([20.0, 30.0], "mm**2"), "mm", "diameter")


@pytest.mark.parametrize("value", ["x", None, np.nan, [], Quantity(1, "mm")])
def test_plain_number_is_checked(value):
    with pytest.raises((ValueError, pint.DimensionalityError), match="^passes"):
        number(value, "passes")


@pytest.mark.parametrize(
    ("quantity", "unit", "text"),
    [
        (Quantity(254.647, "rpm"), None, "254.6 rpm"),
        (Quantity(0.75, "in"), "mm", "19.05 mm"),
        (Quantity(-5.0, "mm"), None, "−5 mm"),
        (Quantity(0.0, "mm"), None, "0 mm"),
        (Quantity(2, "thousandth"), None, "2 thou"),
        (Quantity(99999.6, "N"), None, "100000 N"),
    ],
)
def test_rounded_text(quantity, unit, text):
    assert as_text(quantity, unit) == text


@given(st.floats(0.001, 9999), st.sampled_from(["mm", "in"]))
def test_text_reads_back(size, unit):
    text = as_text(Quantity(size, unit), digits=6)
    assert read_quantity(text, LENGTHS).m_as(unit) == pytest.approx(size, rel=1e-5)


@given(st.text(max_size=30))
def test_any_text_gives_a_quantity_or_a_sentence(text):
    try:
        quantity = read_quantity(text, LENGTHS, "diameter", above=0)
    except (ValueError, TypeError, pint.DimensionalityError) as error:
        assert str(error).startswith("diameter")
    else:
        assert quantity.check("[length]") and quantity.magnitude > 0


def test_one_registry():
    assert Quantity(1, "mm")._REGISTRY is ureg


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        (Quantity(20, "degC"), "delta_degC"),
        (Quantity(68, "degF"), "delta_degC"),
        (Quantity(20, "delta_degC"), "degC"),
        (Quantity(9, "delta_degF"), "degC"),
    ],
)
def test_a_difference_is_not_a_temperature(value, unit):
    with pytest.raises(ValueError, match=f"rise should be a .*write it in {unit}"):
        magnitude(value, unit, "rise")


def test_a_kelvin_serves_both():
    assert magnitude(Quantity(293.15, "K"), "degC", "shop") == pytest.approx(20)
    assert magnitude(Quantity(5, "K"), "delta_degC", "rise") == 5
    assert magnitude(Quantity(9, "delta_degF"), "delta_degC", "rise") == pytest.approx(5)


def test_one_value_where_one_is_wanted():
    assert magnitude(Quantity(5, "mm"), "mm", "throw", one=True) == 5
    assert number(0.3, "share", one=True) == 0.3
    with pytest.raises(ValueError, match="throw takes one value, not 2"):
        magnitude(Quantity([5, 6], "mm"), "mm", "throw", one=True)
    with pytest.raises(ValueError, match="share takes one value, not 1"):
        number([0.3], "share", one=True)


@pytest.mark.parametrize("typed", ["20 C", "20 °C", "20 deg C", "20 degrees C", "20 degC", "20C"])
def test_warmth_as_people_write_it(typed):
    """Alone, C is pint's coulomb; a field of temperatures takes it for what people mean, a difference where it wants one."""
    assert read_quantity(typed, ("degC", "degF")).m_as("kelvin") == pytest.approx(293.15)
    assert read_quantity(typed, "delta_degC").m_as("kelvin") == pytest.approx(20)
    with pytest.raises(pint.DimensionalityError):
        read_quantity(typed, "mm")
    with pytest.raises(ValueError, match="°F is not used here; write it in °C"):
        read_quantity("68 °F", "degC")


@pytest.mark.parametrize(
    "written",
    [
        "2 N·m",
        "2 N·mm",
        "2 lbf·ft",
        "2 lbf·in",
        "3 oz·in",
        "4 psi·ft/min",
        "3 MPa·m/s",
        "5 g·mm",
        "1 kg·m²",
    ],
)
def test_units_in_the_order_of_the_trade(written):
    """The force stands first, and what is written can be read back."""
    unit = written.split(" ")[1].replace("·", "*").replace("²", "**2")
    assert as_text(read_quantity(written, unit)) == written


def test_two_values_that_differ_are_asked_back():
    with pytest.raises(ValueError, match="two values that are not the same size"):
        read_quantity("1407 N (400 lbf)", ("N", "lbf"))
    with pytest.raises(ValueError, match="size with a spread"):  # a field drops nothing in silence
        read_quantity("25 mm ± 0.1", LENGTHS)
    with pytest.raises(pint.DimensionalityError, match="as a force write lbf"):
        read_quantity("316 lb", ("N", "lbf"))


@pytest.mark.parametrize(
    ("text", "units", "size"),
    [  # sizes in the first unit, by hand from NIST SP 811: 1 lbf = 4.4482216 N, 1 in = 25.4 mm
        ("1244 Newton", ("N",), 1244),
        ("820 Newtons", ("N",), 820),
        ("12.8 Microns", ("um", "mm"), 12.8),
        ("12.8 Micrometer", ("um", "mm"), 12.8),
        ("139 Watt", ("W",), 139),
        ("0.187 HP", ("W", "hp"), 139.446),  # 1 hp = 745.6999 W
        ("76 Gram", ("g", "kg"), 76),
        ("235 Degrees", ("deg",), 235),
        ("6.65 ft-lb", ("N*m", "ft*lbf"), 9.01619),  # 1 ft lbf = 1.355818 N m
        ("6.65 lb-ft", ("N*m", "ft*lbf"), 9.01619),
        ("6.65 ft lb", ("N*m", "ft*lbf"), 9.01619),
        ("79.8 in-lb", ("N*m", "ft*lbf"), 9.01619),  # twelve times as many
        ("0.000055 in", ("um", "mm", "thousandth"), 1.397),
        ("5 tenths", ("um", "in"), 12.7),
        ("80 K", ("delta_degC",), 80),
        ("53.9 N/mm^2", ("MPa", "kpsi"), 53.9),
        ("7814 psi", ("MPa", "kpsi"), 53.8756),  # 1 psi = 6.894757 kPa
        ("582 cc", ("mm**3",), 582000),
        ("582 ml", ("mm**3",), 582000),
        ("4.1 rad", ("deg",), 234.913),  # 180/pi degrees
        ("4868 s", ("min",), 81.1333),
        ("140.7 daN", ("N",), 1407),
        ("143.5 kgf", ("N",), 1407.254),  # 1 kgf = 9.80665 N
        ("= 47.8 µm", ("um",), 47.8),
        ("F = 335 N", ("N",), 335),
        ("≈ 3.5 µm", ("um",), 3.5),
        ("about 4.7 µm", ("um",), 4.7),
        ("etwa 85 MPa", ("MPa",), 85),
        ("rund 85 MPa", ("MPa",), 85),
        ("Ungefähr 85 MPa", ("MPa",), 85),
        ("(85.0 MPa)", ("MPa",), 85),
        ("[ about 85,0 MPa ]", ("MPa",), 85),
        ("(85.0) MPa", ("MPa",), 85),
        ("(85 ± 1 MPa)", ("MPa",), 85),
        ("(1407 N)", ("lbf", "N"), 316.306),  # 1 lbf is 4.448222 N
        ("1 h 11 min", ("min", "hour"), 71),
        ("1h11min", ("min", "hour"), 71),
        ("etwa 1 hour and 11 minutes.", ("min", "hour"), 71),
        ("2 hrs, 5,5 min", ("min", "hour"), 125.5),
        ("28 min 30 s", ("min", "hour"), 28.5),
        ("1 hr 11 min 30 sec", ("min", "hour"), 71.5),
        ("1 h 11 min (71 min)", ("min", "hour"), 71),
        ("71 min = 1 h 11 min", ("hour", "min"), 71 / 60),
        ("1 ft 3 in", ("in", "mm"), 15),
        ("8.12 µm +/- 1", ("um",), 8.12),
        ("8.12 µm ± 1 µm", ("um",), 8.12),
        ("8.12 ± 0.05 µm", ("um",), 8.12),
        ("1.41·10³ N", ("N",), 1410),
        ("1.41 x 10^3 N", ("N",), 1410),
        ("1.4×10⁻² mm", ("mm",), 0.014),
        ("1407 (N)", ("N",), 1407),
        ("1407 [N]", ("N",), 1407),
        ("1407 N = 316 lbf", ("N", "lbf"), 1407),
        ("1407 N (316 lbf)", ("N", "lbf"), 1407),
        ("1-1/8 in", ("mm",), 28.575),
        ("150 N / mm^2", ("MPa", "kpsi"), 150),
        ("150 MN/m²", ("MPa", "kpsi"), 150),
        ("150 mpa", ("MPa", "kpsi"), 150),
        ("7814 lbf/in²", ("MPa", "kpsi"), 53.8756),
        ("0.4 KN", ("N", "kN"), 400),
        ("0.4 kn", ("N", "kN"), 400),  # no knots in a shop
        ("5 µ", ("um",), 5),
        ("0.5 thou.", ("um", "in"), 12.7),
        ("12.8 microns.", ("um",), 12.8),
        ("5 µm!", ("um",), 5),
        ("2 cu. in.", ("cm**3", "in**3"), 32.774128),  # 2.54 cm cubed is 16.387064
        ("6.9 pct", ("percent",), 6.9),
        ("6.9 per cent", ("percent",), 6.9),
        ("771 Hertz", ("Hz", "kHz"), 771),
        ("771 hz", ("Hz", "kHz"), 771),
        ("235º", ("deg",), 235),
    ],
)
def test_an_answer_is_read_in_the_words_of_the_trade(text, units, size):
    assert read_answer(text, units).m_as(units[0]) == pytest.approx(size, rel=1e-5)


@pytest.mark.parametrize(
    ("units", "symbols"),
    [
        (("delta_degC", "delta_degF"), ("°C", "°F")),
        (("um", "mm", "thousandth"), ("µm", "mm", "thou")),
        (("cm**3", "mm**3", "liter", "in**3"), ("cm³", "mm³", "l", "in³")),
        (("percent",), ("%",)),
        (("N*m", "ft*lbf"), ("N·m", "lbf·ft")),
        (("N/um",), ("N/µm",)),
        (("min", "hour"), ("min", "h")),
    ],
)
def test_units_are_named_by_the_symbols_they_are_printed_with(units, symbols):
    """In every refusal of a typed answer; and what is named can be typed."""
    for text in ("", "5", "x", "2 3", "5 furlong²", "5 flurbs", "5 N*mm/s", "7e99 " + symbols[0]):
        with pytest.raises((ValueError, TypeError, pint.DimensionalityError)) as error:
            read_answer(text, units)
        said = re.sub("“.*?”", "", str(error.value))
        assert not re.search(r"delta|\*|\b(um|percent|thousandth|liter|hour)\b", said), said
        assert symbols[0] in said, said
    with pytest.raises(ValueError) as error:
        read_answer("5 flurbs", units)
    assert f"({', '.join(symbols)})" in str(error.value)
    for unit, symbol in zip(units, symbols, strict=True):
        assert read_quantity(f"5 {symbol}", units) == Quantity(5.0, unit)


@pytest.mark.parametrize(
    "text",
    [
        "1 h 61 min",  # an hour more, or a slip of the pen
        "1.5 h 10 min",
        "1 h 11",
        "11 min 1 h",
        "1 min 1 h",
        "1 h 11 mm",
        "(85 min) 12 h",
        "(85 min",
        "((85 min) (90 min))",
    ],
)
def test_two_units_that_are_no_one_size_are_not_read(text):
    with pytest.raises(ValueError, match="not a unit known here|no number found|two numbers"):
        read_answer(text, ("min", "hour"))


@pytest.mark.parametrize(
    ("text", "units"),
    [("4 rad", ("percent",)), ("5 J", ("N*m",)), ("5 furlong", ("mm",)), ("4 Hz", ("rpm",))],
)
def test_an_answer_of_another_sort_is_not_read(text, units):
    with pytest.raises(ValueError, match="not used here"):
        read_answer(text, units)

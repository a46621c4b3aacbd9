"""Squeeze, spacers and radial give against 3-D solid finite elements, whose values and origin are in reference_squeeze.json.

No published solution of a squeezed crank was found; a general-purpose solid mesh is the outside check. The frame's eight
constants, and the two of a dent, were fitted to ``family`` and the two sharp cranks at their finest mesh. Held out: the misfit tables, the
two-throw cranks, the example cranks with their fillets, spacers off the axis, and the crank named ``overlap``.
"""

import json
import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from crankmath import deflection
from crankmath.crank import Crank, Journal, Throw
from crankmath.frame import frame
from crankmath.spacers import Spacer, squeeze
from crankmath.units import OutOfRangeWarning, Quantity

REFERENCE = json.loads(
    (Path(__file__).parent / "reference_squeeze.json").read_text(encoding="utf-8")
)
FAMILY = REFERENCE["family"]


def mm(value):
    return Quantity(float(value), "mm")


def sharp(crank):
    """The crank with no fillets, as the references of that name have it."""
    none = mm(0)
    return replace(
        crank,
        journals=tuple(replace(journal, fillet=none) for journal in crank.journals),
        throws=tuple(replace(throw, fillet=none) for throw in crank.throws),
    )


def of_sizes(sizes, angles=(0.0,), between=0.0):
    """Crank of the reference's short names: dj, dp, Lp, tw, w, reach, e, Lj and fillets rj, rp."""
    ends = (sizes["dj"], sizes.get("djr", sizes["dj"]))
    journals = [Journal(mm(ends[index > 0]), mm(sizes["Lj"]), mm(sizes["rj"])) for index in (0, 1)]
    journals[1:1] = [Journal(mm(sizes["dj"]), mm(between), mm(sizes["rj"]))] * (len(angles) - 1)
    throws = [
        Throw(
            mm(sizes["e"]),
            Quantity(angle, "deg"),
            mm(sizes["dp"]),
            mm(sizes["Lp"]),
            mm(sizes["rp"]),
            mm(sizes["tw"]),
            mm(sizes["w"]),
            mm(sizes["reach"]),
        )
        for angle in angles
    ]
    return Crank("reference", "mm", "C45", tuple(journals), tuple(throws))


def unit(name):
    """Length and force unit of a sharp reference."""
    length, force = REFERENCE["sharp"][name]["unit"].split(",")
    return length, force


@pytest.mark.parametrize("mesh", ["edge_0p06", "extrapolated", "edge_0p10"])
@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_closure_and_slope_of_the_examples(name, mesh):
    """2 %, the acceptance of the project; the meshes themselves differ by 2 %."""
    length, force = unit(name)
    found = squeeze(sharp(Crank.load(name)), Quantity(1, force))
    values = REFERENCE["sharp"][name]
    assert found.closure.m_as(length)[0] == pytest.approx(values["gap0|Rx"][mesh], rel=0.02)
    assert abs(found.slope.m_as("rad")[0, 0]) == pytest.approx(values["theta_P"][mesh], rel=0.02)


@pytest.mark.parametrize("name", FAMILY)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_family(name):
    """5 % is the acceptance; 2.5 % is what the fit keeps."""
    values = FAMILY[name]
    crank = of_sizes(values["sizes"])
    found = squeeze(crank, Quantity(1, "N"))
    if "closure" in values:
        assert found.closure.m_as("mm")[0] == pytest.approx(values["closure"], rel=0.025)
    assert abs(found.slope.m_as("rad")[0, 0]) == pytest.approx(values["slope"], rel=0.025)
    for where, kind in ((deflection_place(crank), "pin"), (mm(values["place"]), "main")):
        for angle, word in ((0.0, "in"), (90.0, "across")):
            give = deflection.radial_compliance(crank, where, Quantity(angle, "deg"))
            assert give.m_as("mm/N") == pytest.approx(values[f"{kind}_{word}"], rel=0.025)


def deflection_place(crank):
    pin = crank.segments[2]
    return mm(pin.start + pin.length / 2)


@pytest.mark.parametrize("name", [name for name in FAMILY if "own" in FAMILY[name]])
def test_give_of_a_pressed_gap(name):
    """A pair of forces on the reference's disc in the gap: closing by bending, dimple and dent; what the spacer's own force meets. 3 %."""
    values = FAMILY[name]
    crank = of_sizes(values["sizes"])
    force, radius, modulus = 100.0, values["sizes"]["rs"], Quantity(206e3, "MPa")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        bar = values["sizes"]["Lp"] / (modulus.m_as("MPa") * np.pi * radius**2)
        # with no thrust, this misfit makes the reference's force; hence force is what is compared
        misfit = mm(force * (values["own"] + bar))
        found = squeeze(crank, Quantity(0, "N"), Spacer(0, misfit, mm(2 * radius), modulus=modulus))
    assert found.spacer_force.m_as("N")[0] == pytest.approx(force, rel=0.03)
    assert -found.closure.m_as("mm")[0] == pytest.approx(force * values["own"], rel=0.03)
    assert abs(found.slope.m_as("rad")[0, 0]) == pytest.approx(
        force * values["slope_spacer"], rel=0.05
    )


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_misfit_table(name):
    """1.5 um of runout at every row is the acceptance; 0.8 um is kept. Closure to 0.3 um, force to 3 % of the thrust."""
    length, force = unit(name)
    table, crank = REFERENCE["misfit"][name], sharp(Crank.load(name))
    scale = table["delta_unit"]
    for misfit, spacer_force, closure, runout in table["rows"]:
        spacer = Spacer(
            0, Quantity(misfit * scale, length), Quantity(2 * table["spacer_radius"], length)
        )
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutOfRangeWarning)
            found = squeeze(crank, Quantity(table["thrust"], force), spacer)
        place = Quantity(table["place"], length)
        signed = -2 * found.offset(place)[0]
        assert signed.m_as("um") == pytest.approx(
            Quantity(runout * scale, length).m_as("um"), abs=0.8
        )
        assert found.runout(place).m_as("um") == pytest.approx(abs(signed.m_as("um")))
        assert found.closure.m_as("um")[0] == pytest.approx(
            Quantity(closure * scale, length).m_as("um"), abs=0.3
        )
        assert found.spacer_force.m_as(force)[0] == pytest.approx(
            spacer_force, abs=0.03 * table["thrust"]
        )


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_misfit_without_runout(name):
    """The misfit that leaves no runout, between the rows: within 0.15 um of 3-D."""
    length, force = unit(name)
    table, crank = REFERENCE["misfit"][name], sharp(Crank.load(name))
    misfits = np.array([0.0, 2.0])
    readings = [
        squeeze(
            crank,
            Quantity(table["thrust"], force),
            Spacer(
                0,
                Quantity(misfit * table["delta_unit"], length),
                Quantity(2 * table["spacer_radius"], length),
            ),
        )
        .offset(Quantity(table["place"], length))
        .magnitude[0]
        for misfit in misfits
    ]
    zero = Quantity(
        (misfits[0] * readings[1] - misfits[1] * readings[0])
        / (readings[1] - readings[0])
        * table["delta_unit"],
        length,
    )
    assert zero.m_as("um") == pytest.approx(
        Quantity(table["zero_runout_misfit"] * table["delta_unit"], length).m_as("um"), abs=0.15
    )


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_radial_give_by_angle(name):
    """4 % is the acceptance, 2 % is kept; pin at its middle and main at the reference's ring beside the web."""
    length, force = unit(name)
    crank = sharp(Crank.load(name))
    place = Quantity(REFERENCE["misfit"][name]["place"], length)
    for angle, values in REFERENCE["radial_by_angle"][name].items():
        for where, value in zip(("pin", place), values, strict=True):
            give = deflection.radial_compliance(crank, where, Quantity(float(angle), "deg"))
            assert give.m_as(f"{length}/{force}") == pytest.approx(value, rel=0.02)


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_soft_direction_and_out_of_round(name):
    """Design notes: 1.8 um per 100 N on the pin of pump. The pin gives most across the throw, the main in its plane."""
    length, force = unit(name)
    crank = sharp(Crank.load(name))
    place = Quantity(REFERENCE["misfit"][name]["place"], length)
    for where, key, soft in (("pin", "pin0", 90.0), (place, "J04", 0.0)):
        assert deflection.soft_direction(crank, where).m_as("deg") == pytest.approx(soft, abs=1e-6)
        give = [REFERENCE["sharp"][name][f"{key}{axis}|{key}{axis}"]["edge_0p06"] for axis in "yz"]
        expected = Quantity(2 * abs(give[0] - give[1]) * 100, f"{length}/{force}") * Quantity(
            1, "N"
        )
        # a small difference of two gives: 1 % of each is allowed, which may be a third of it
        slack = Quantity(0.02 * sum(give) * 100, f"{length}/{force}") * Quantity(1, "N")
        assert deflection.out_of_round(crank, where, Quantity(100, "N")).m_as(
            "um"
        ) == pytest.approx(expected.m_as("um"), abs=slack.m_as("um"))
    if name == "pump":
        assert deflection.out_of_round(crank, "pin", Quantity(100, "N")).m_as(
            "um"
        ) == pytest.approx(1.8, abs=0.15)


@pytest.mark.parametrize("angle", [0, 180])
def test_two_throws(angle):
    """5 % is the acceptance; 2.5 % of the largest runout is kept; where two spacers leave a tenth of it, 10 % of that."""
    values = REFERENCE["two_throws"][f"0_{angle}"]
    sizes = FAMILY["thin"]["sizes"] | {"tw": 14.0, "rs": 7.0}  # pump's, sharp
    crank = of_sizes(sizes, (0.0, float(angle)), 22.5)
    places, thrust = mm(1) * np.array(values["places"]), Quantity(1, "kN")
    rod = [Spacer(throw, mm(0), mm(14)) for throw in (0, 1)]
    for spacers, key in ((None, "none"), (rod[0], "one"), (rod, "both")):
        found = squeeze(crank, thrust, spacers)
        offset = -found.offset(places).m_as("mm")[:, 0]
        theirs = np.array(values[key])
        assert offset == pytest.approx(
            theirs, abs=(0.1 if key == "both" else 0.025) * np.abs(theirs).max()
        )
        if key == "none":
            assert found.closure.m_as("mm") == pytest.approx(
                1e3 * np.array(values["closure"]), rel=0.02
            )
        else:
            assert found.spacer_force.m_as("N") == pytest.approx(
                np.array(values[f"force_{key}"])[: len(found.spacer_force)], rel=0.01
            )


@pytest.mark.parametrize("name", ["compressor", "organ"])
def test_examples_with_their_fillets(name):
    """Held out of the fit: two throws opposite, three at 120 degrees, real fillets. Runout within 1.5 % of its largest, closure 2 %."""
    values, crank = REFERENCE["examples"][name], Crank.load(name)
    found = squeeze(crank, Quantity(1, "N"))
    assert found.closure.m_as("mm") == pytest.approx(np.array(values["closure"]), rel=0.02)
    theirs = np.array([values["thrust_y"], values["thrust_z"]]).T
    ours = -found.offset(mm(1) * np.array(values["places"])).m_as("mm")
    assert ours == pytest.approx(theirs, abs=0.015 * np.linalg.norm(theirs, axis=1).max())
    built = frame.build(crank)
    rows, _ = built.gaps([(throw, 0.0, 0.0) for throw in range(len(crank.throws))])
    for row, y, z in zip(rows, values["gap_y"], values["gap_z"], strict=True):
        theirs = np.array([y, z]).T
        moved = built.response(built.places(values["places"]), row)[:, 1:3]
        assert moved == pytest.approx(theirs, abs=0.02 * np.linalg.norm(theirs, axis=1).max())
    for throw, (in_y, both, in_z) in enumerate(values["pin"]):
        for angle, value in ((0, in_y), (90, in_z), (45, (in_y + in_z) / 2 + both)):
            give = deflection.radial_compliance(crank, ("pin", throw), Quantity(angle, "deg"))
            assert give.m_as("mm/N") == pytest.approx(value, rel=0.025)


def test_spacers_off_the_axis():
    """Held out: gap closed and pressed at four places, pump, sharp. Cross gives within 2 %, own gives with their dents within 6 %, tilt 6 %."""
    values = REFERENCE["offset_spacer"]
    crank = sharp(Crank.load("pump"))
    built = frame.build(crank)
    rows, give = built.gaps([(0, along, across) for along, across in values["places"]])
    assert -rows @ built.compliance @ built.thrust == pytest.approx(
        np.array(values["closing"]), rel=0.02
    )
    theirs, off = np.array(values["give"]), ~np.eye(len(rows), dtype=bool)
    assert give[off] == pytest.approx(theirs[off], rel=0.02)
    moved = built.places([43.264894]).rows[0, 1:3] @ built.compliance @ rows.T
    assert moved[0] == pytest.approx(np.array(values["main_y"]), rel=0.03)
    assert moved[1] == pytest.approx(np.array(values["main_z"]), rel=0.06, abs=1e-8)
    diameter = mm(2 * values["radius"])
    for number, (along, across) in enumerate(values["places"]):
        bar = 22.0 / (206e3 * np.pi * values["radius"] ** 2)
        spacer = Spacer(
            0, mm(50 * (theirs[number, number] + bar)), diameter, along=mm(along), across=mm(across)
        )
        assert squeeze(crank, Quantity(0, "N"), spacer).spacer_force.m_as("N")[0] == pytest.approx(
            50, rel=0.06
        )

"""Frame of a crank against PyNiteFEA, closed forms, statics and symmetry. Checks against 3-D solids are in published/."""

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pint
import pytest
from printed import ROWS

from crankmath.crank import EXAMPLES, Crank
from crankmath.frame import beams, frame
from crankmath.units import OutOfRangeWarning, Quantity


def mm(value):
    return Quantity(value, "mm")


def closures(built, throws):
    rows, _ = built.gaps([(throw, 0.0, 0.0) for throw in range(throws)])
    return -rows @ built.compliance @ built.thrust


def pynite(crank, stations, on_webs=None):
    """The center-line Euler frame in PyNiteFEA, laid out from the crank's sizes apart from ours.

    Stations are places on axes; on_webs gives, by throw, shares of the way from the main axis to the pin where its webs have nodes.
    """
    from Pynite import FEModel3D

    model, modulus = FEModel3D(), 206e3
    model.add_material("steel", modulus, modulus / 2 / 1.29, 0.29, 0)
    joints = {}

    def node(*place):
        key = tuple(round(value, 9) for value in place)
        if key not in joints:
            joints[key] = f"n{len(joints)}"
            model.add_node(joints[key], *key)
        return joints[key]

    def member(one, other, section):
        name = f"m{len(model.members)}"
        model.add_member(name, one, other, "steel", section)

    def round_bar(places, y, z, diameter, name):
        if name not in model.sections:
            second = np.pi * diameter**4 / 64
            model.add_section(name, np.pi * diameter**2 / 4, second, second, 2 * second)
        for a, b in zip(places, places[1:], strict=False):
            member(node(a, y, z), node(b, y, z), name)

    x, marks, grip = 0.0, [], 0.15 * crank.journals[0].length.m_as("mm")
    for index, journal in enumerate(crank.journals):
        length = journal.length.m_as("mm")
        before = crank.throws[index - 1].web_thickness.m_as("mm") / 2 if index else 0.0
        after = (
            crank.throws[index].web_thickness.m_as("mm") / 2 if index < len(crank.throws) else 0.0
        )
        ends = [x - before, x + length + after]
        inside = [s for s in stations if ends[0] < s < ends[1]] + ([grip] if index == 0 else [])
        round_bar(sorted(ends + inside), 0, 0, journal.diameter.m_as("mm"), f"j{index}")
        x += length
        if index == len(crank.throws):
            break
        throw = crank.throws[index]
        sizes = {
            key: getattr(throw, key).m_as("mm")
            for key in ("radius", "pin_diameter", "pin_length", "web_thickness", "web_width")
        }
        angle = throw.angle.m_as("rad")
        y, z = (round(sizes["radius"] * share, 9) for share in (np.cos(angle), np.sin(angle)))
        thick, wide = sizes["web_thickness"], sizes["web_width"]
        left, right = x + thick / 2, x + 1.5 * thick + sizes["pin_length"]
        middle = (left + right) / 2
        long, short = max(wide, thick), min(wide, thick)
        torsion = long * short**3 * (1 / 3 - 0.21 * short / long * (1 - short**4 / 12 / long**4))
        # PyNite turns a member's own axes by a rule of its own: webs along Y keep local z across, others are turned by hand
        name = f"w{index}"
        model.add_section(name, wide * thick, thick * wide**3 / 12, wide * thick**3 / 12, torsion)
        shares = [0.0, *(on_webs or {}).get(index, ()), 1.0]
        for at in (left, right):
            for near, far in pairwise(shares):
                piece = f"{name}-{at:.6f}-{near:.6f}"
                model.add_member(
                    piece,
                    node(at, near * y, near * z),
                    node(at, far * y, far * z),
                    "steel",
                    name,
                    rotation=0.0,
                )
                _turn_web(model, piece, name)
        round_bar([left, middle, right], y, z, sizes["pin_diameter"], f"p{index}")
        marks.append((node(left, 0, 0), node(right, 0, 0), node(middle, y, z)))
        x += 2 * thick + sizes["pin_length"]
    model.def_support(node(0, 0, 0), True, True, True, False, False, False)
    model.def_support(node(x, 0, 0), False, True, True, False, False, False)
    model.def_support(node(grip, 0, 0), False, False, False, True, False, False)
    return model, node, marks, x


def _turn_web(model, member, section):
    """Turn a member about itself until the section's z axis lies across the crank, so that Iz bends in the throw's plane."""
    part = model.members[member]
    for degrees in range(0, 360, 90):
        part.rotation = float(degrees)
        if abs(part.T()[1, 0]) > 1 - 1e-9:  # local y along the crank
            return
    raise AssertionError(section)


def displacements(model, forces):
    for name, direction, value in forces:
        model.add_node_load(name, direction, value)
    model.analyze_linear(check_statics=False)
    found = {
        name: np.array([node.DX["Combo 1"], node.DY["Combo 1"], node.DZ["Combo 1"]])
        for name, node in model.nodes.items()
    }
    for node in model.nodes.values():
        node.NodeLoads.clear()
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_plain_frame_agrees_with_pynite(name):
    """Second program, same center-line Euler beams: to 6 digits, at nodes and inside beams."""
    crank = Crank.load(name)
    built = frame.build(crank, plain=True, modulus=Quantity(206, "GPa"))
    stations = [
        built.segments[0].length * 0.6,
        built.segments[-1].start + 0.3 * built.segments[-1].length,
    ]
    model, node, marks, total = pynite(crank, stations)
    pressed = displacements(model, [(node(total, 0, 0), "FX", -1.0)])
    theirs = [pressed[left][0] - pressed[right][0] for left, right, _ in marks]
    assert closures(built, len(marks)) == pytest.approx(theirs, rel=1e-6)
    ours = built.response(built.places(stations), built.thrust)[:, :3]
    assert ours == pytest.approx(
        np.array([pressed[node(at, 0, 0)] for at in stations]), rel=1e-6, abs=1e-12
    )
    pins = [piece.start + piece.length / 2 for piece in built.segments if piece.kind == "pin"]
    own = built.own_compliance(built.places(stations + pins))
    for number, name_there in enumerate(
        [node(at, 0, 0) for at in stations] + [mark[2] for mark in marks]
    ):
        for axis in range(3):
            moved = displacements(model, [(name_there, f"F{'XYZ'[axis]}", 1.0)])[name_there]
            assert own[number, :, axis] == pytest.approx(moved, rel=1e-6, abs=1e-11)


def portal(**changes):
    """Reference BEAM-06: arms 10 long of 16 x 5, a back of 12 and diameter 10, E 205 GPa, webs taken at their middle planes."""
    sizes = {
        "radius": mm(10.0),
        "pin_length": mm(7.0),
        "pin_diameter": mm(10.0),
        "web_thickness": mm(5.0),
        "web_width": mm(16.0),
        "web_reach": mm(8.0),
        "fillet": mm(0.0),
    } | changes
    crank = Crank.load("pump").with_throw(
        0, pin_diameter=mm(10.0), web_width=mm(30.0), web_reach=mm(15.0)
    )
    crank = replace(
        crank, journals=tuple(replace(journal, diameter=mm(10.0)) for journal in crank.journals)
    )
    return crank.with_throw(0, **sizes)


def test_closed_form_portal():
    """BEAM-06, BEAM-10: closure 0.0160912 mm at 500 N by Castigliano and by an independent frame solve; tolerance its digits."""
    built = frame.build(portal(), plain=True, modulus=Quantity(205, "GPa"))
    assert 500 * closures(built, 1)[0] == pytest.approx(
        float(ROWS["BEAM-06"]["expected"]), rel=1e-5
    )
    # BEAM-07, the share of web bending: what goes when the web is 560 times as wide
    stiff = frame.build(portal(web_width=mm(9000.0)), plain=True, modulus=Quantity(205, "GPa"))
    assert 1 - closures(stiff, 1)[0] / closures(built, 1)[0] == pytest.approx(
        float(ROWS["BEAM-07"]["expected"]), rel=5e-3
    )


@pytest.mark.parametrize("row", ["BEAM-01", "BEAM-02"])
def test_clamped_beams_give_the_simple_beam_of_the_table(row):
    """A bar on two centers: two Euler beams of our own stiffness, joined at the load."""
    values = [float(text) for text in re.findall(r"=(\d+)", ROWS[row]["inputs"])]
    force, modulus = values[0], 205e3
    left, whole, diameter = (
        (values[1], values[2], values[3])
        if row == "BEAM-02"
        else (values[1] / 2, values[1], values[2])
    )
    length = np.array([left, whole - left])
    second = np.pi * diameter**4 / 64
    rigidity = np.tile([1.0, 1.0, modulus * second, modulus * second], (2, 1))
    parts = beams.stiffness(rigidity, length, np.zeros((2, 2)))
    pick = [1, 5, 7, 11]
    matrix = np.zeros((6, 6))
    for number in (0, 1):
        at = np.arange(4) + 2 * number
        matrix[np.ix_(at, at)] += parts[number][np.ix_(pick, pick)]
    free = [1, 2, 3, 5]
    moved = np.linalg.solve(matrix[np.ix_(free, free)], [0, force, 0, 0])
    assert moved[1] == pytest.approx(float(ROWS[row]["expected"]), rel=1e-5)


def test_clamped_compliance_of_the_table():
    """Standard table, both ends clamped, load at the middle: F L^3 / (192 E I); with shear F L / (4 k G A) more."""
    length, bend, shear_give = 80.0, 3e8, 2e-7
    give = beams.clamped_compliance(
        length, np.array([1e6, 1e7, bend, bend]), shear_give, 40.0, 40.0
    )
    assert give == pytest.approx(
        [length / 4e6, length / 4e7] + [length**3 / (192 * bend) + length * shear_give / 4] * 2
    )


@pytest.mark.parametrize("plain", [True, False])
@pytest.mark.parametrize("name", EXAMPLES)
def test_rigid_motions_need_no_force(name, plain):
    built = frame.build(Crank.load(name), plain=plain)
    size = len(built.stiffness)
    for axis in range(3):
        motion = np.zeros(size)
        motion[axis::6] = 1
        assert np.abs(built.stiffness @ motion).max() < 1e-9 * np.abs(built.stiffness).max()
    assert (
        np.linalg.matrix_rank(built.stiffness, tol=1e-9 * np.abs(built.stiffness).max()) == size - 6
    )
    assert built.compliance == pytest.approx(
        built.compliance.T, rel=1e-6, abs=1e-9 * np.abs(built.compliance).max()
    )


@pytest.mark.parametrize("angle", [0, 37, 120, 180])
def test_turning_a_throw_turns_its_answer(angle):
    base, turned = (
        frame.build(Crank.load("pump").with_throw(0, angle=Quantity(value, "deg")))
        for value in (0, angle)
    )
    assert closures(turned, 1) == pytest.approx(closures(base, 1), rel=1e-9)
    spin = np.radians(angle)
    turn = np.array([[1, 0, 0], [0, np.cos(spin), -np.sin(spin)], [0, np.sin(spin), np.cos(spin)]])
    at = [20.0, 44.0, 70.0]
    expected = turn @ base.own_compliance(base.places(at)) @ turn.T
    assert turned.own_compliance(turned.places(at)) == pytest.approx(expected, rel=1e-8, abs=1e-13)


def test_either_end_mirrors_the_other():
    left, right = (frame.build(Crank.load("organ"), driven=side) for side in ("left", "right"))
    mirrored = replace(
        Crank.load("organ"),
        journals=Crank.load("organ").journals[::-1],
        throws=Crank.load("organ").throws[::-1],
    )
    total = left.segments[-1].end
    at = np.linspace(1.0, total - 1.0, 23)
    other = frame.build(mirrored)
    assert closures(right, 3) == pytest.approx(closures(left, 3), rel=1e-8)
    assert right.own_compliance(right.places(at))[:, 1:, 1:] == pytest.approx(
        other.own_compliance(other.places(total - at))[:, 1:, 1:], rel=1e-7
    )


def test_axis_is_smooth_where_beams_meet():
    """The driver's node splits the first main; nothing may jump there, nor at a web's face."""
    built = frame.build(Crank.load("pump"))
    for seam in (0.15 * 45, 45 + 0.232 * 20 - 0.77 * 1.5):
        own = built.own_compliance(built.places([seam - 1e-7, seam + 1e-7]))
        assert own[0] == pytest.approx(own[1], rel=1e-6, abs=1e-12)


def test_slender_cranks_tend_to_the_plain_frame():
    """The corrections are end effects: with lengths 40 times the diameters they and shear go, within 5 %."""
    slender = Crank.load("pump").with_throw(0, radius=mm(800.0), pin_length=mm(800.0), fillet=mm(0))
    slender = replace(
        slender,
        journals=tuple(
            replace(journal, length=mm(800.0), fillet=mm(0)) for journal in slender.journals
        ),
    )
    plain, full = frame.build(slender, plain=True), frame.build(slender)
    assert closures(full, 1) == pytest.approx(closures(plain, 1), rel=0.05)
    at = [400.0, 800 + 14 + 400.0]
    assert full.own_compliance(full.places(at)) == pytest.approx(
        plain.own_compliance(plain.places(at)), rel=0.05, abs=1e-6
    )


def test_sizes_scale():
    """Twice the size gives half the give: elasticity has no length of its own."""
    crank = Crank.load("organ")
    double = Crank.from_dict(_scaled(crank.to_dict(), 2))
    assert closures(frame.build(double), 3) == pytest.approx(
        closures(frame.build(crank), 3) / 2, rel=1e-8
    )


def _scaled(data, factor):
    keep = {"angle_deg"}
    return data | {
        group: [
            {key: value if key in keep else value * factor for key, value in table.items()}
            for table in data[group]
        ]
        for group in ("journals", "throws")
    }


def test_held_on_the_pin_axis_drives_less_twist():
    """A push across the throw, in line with both centers, makes no torque at the driver: less give than between main centers."""
    crank = Crank.load("pump")
    main, pin = frame.build(crank), frame.build(crank, held=0)
    at = [70.0]
    assert (
        pin.own_compliance(pin.places(at))[0, 2, 2] < main.own_compliance(main.places(at))[0, 2, 2]
    )
    # in the throw's plane no torque arises either way: only where the centers stand along it changes nothing
    assert pin.own_compliance(pin.places(at))[0, 1, 1] == pytest.approx(
        main.own_compliance(main.places(at))[0, 1, 1], rel=1e-9
    )


def test_a_frame_is_built_once():
    assert frame.build(Crank.load("pump")) is frame.build(Crank.load("pump"))
    assert frame.build(Crank.load("pump")) is not frame.build(Crank.load("pump"), driven="right")


@pytest.mark.parametrize(
    ("arguments", "kind", "words"),
    [
        ({"driven": "middle"}, ValueError, "^driven"),
        ({"held": 1}, ValueError, "^held"),
        ({"held": True}, ValueError, "^held"),
        ({"modulus": 206}, TypeError, "^modulus"),
        ({"modulus": Quantity(1, "N")}, pint.DimensionalityError, "^modulus"),
        ({"modulus": Quantity(0, "GPa")}, ValueError, "^modulus"),
    ],
)
def test_bad_input_is_named(arguments, kind, words):
    with pytest.raises(kind, match=words):
        frame.build(Crank.load("pump"), **arguments)


def test_unknown_steel_is_named():
    with pytest.raises(ValueError, match="oak"):
        frame.build(replace(Crank.load("pump"), steel="oak"))


def test_a_web_without_bending_length_is_said():
    """Pin and journal overlap so far that nothing of the web is left to bend."""
    with pytest.warns(OutOfRangeWarning, match="throw 1"):
        frame.build(Crank.load("pump").with_throw(0, radius=mm(4.0)))

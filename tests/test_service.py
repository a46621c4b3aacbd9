"""Loads on a running crank: statics, energy, a second program for the beams, bad input. Checks against print are in published/."""

from functools import partial

import numpy as np
import pint
import pytest
from test_frame import displacements, pynite

from crankmath import service
from crankmath.crank import EXAMPLES, Crank
from crankmath.frame import frame
from crankmath.service import strength, supports
from crankmath.units import Quantity

ANGLES = Quantity(np.arange(0.0, 360.0, 2.0), "deg")
STILL = Quantity(0.0, "rpm")


def cylinder(force=1000.0, direction=0.0, **more):
    push = service.piston_force(
        service.pump_pressure(ANGLES, Quantity(1.0, "MPa")),
        Quantity(np.sqrt(4 * force / np.pi), "mm"),
    )
    return service.Cylinder(
        Quantity(90, "mm"), push, ANGLES, direction=Quantity(direction, "deg"), **more
    )


def loads(name="pump", speed=STILL, crank=None, **more):
    crank = crank or Crank.load(name)
    return crank, service.turn_loads(crank, [cylinder() for _ in crank.throws], speed, **more)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("model", service.BEARING_MODELS)
@pytest.mark.parametrize("output", ["left", "right"])
def test_forces_and_moments_balance(name, model, output):
    crank, found = loads(
        name,
        Quantity(300, "rpm"),
        model=model,
        output=output,
        pulls=[
            service.Pull(Quantity(3, "mm"), Quantity(200, "N")),
            service.Pull(Quantity(0, "mm"), Quantity(50, "N")),  # at the very end
        ],
    )
    force, moment = found.internal([crank.length.m_as("mm") + 1, 0, 0])
    assert np.abs(force).max() < 1e-6
    assert np.abs(moment[1:]).max() < 1e-4
    left_over = 0 if output == "left" else 1000 * found.torque.m_as("N*m")
    assert moment[0] == pytest.approx(left_over * np.ones(120), abs=1e-6)


def test_work_of_the_piston_is_work_of_the_torque():
    """Over a turn the pressure's work, delivery pressure times swept volume, goes through the torque; inertia takes nothing."""
    crank, found = loads(speed=Quantity(900, "rpm"), crank=Crank.load("pump"), points=3600)
    fast = service.turn_loads(
        crank, cylinder(moving_mass=Quantity(0.4, "kg")), Quantity(900, "rpm"), points=3600
    )
    by_pressure = -1000 * 0.036  # N over a stroke of 36 mm, taken out of the crank
    for one in (found, fast):
        # the step of pressure at the dead centers is spread over 2 degrees of the table: there the torque is near nothing
        assert 2 * np.pi * one.mean_torque.m_as("N*m") == pytest.approx(by_pressure, rel=2e-3)
    assert np.abs(fast.torque.m_as("N*m") - found.torque.m_as("N*m")).max() > 0.3


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_two_bearings_need_no_frame(name):
    (_, by_hand), (_, by_frame) = (
        loads(name, model=model, pulls=service.Pull(Quantity(2, "mm"), Quantity(300, "N")))
        for model in service.BEARING_MODELS
    )
    assert by_frame.bearing_force.m_as("N") == pytest.approx(
        by_hand.bearing_force.m_as("N"), abs=1e-6
    )


def carried(crank, found, step):
    """The center-line frame in PyNiteFEA on its bearings, driven at the right end, under the pins' forces at one step of the turn: (model, reactions, end)."""
    stands = found.bearing_position.m_as("mm")
    model, node, marks, total = pynite(crank, stands)
    for support in model.nodes.values():
        model.def_support(support.name)
    model.def_support(node(0, 0, 0), support_DX=True)
    model.def_support(node(total, 0, 0), support_RX=True)
    for at in stands:
        model.def_support(node(at, 0, 0), support_DY=True, support_DZ=True)
    displacements(
        model,
        [
            (mark[2], direction, float(value))
            for mark, force in zip(marks, found._forces[:, :, step], strict=False)
            for direction, value in zip(("FX", "FY", "FZ"), force, strict=True)
        ],
    )
    bearing = [model.nodes[node(at, 0, 0)] for at in stands]
    return (
        model,
        np.array([[one.RxnFY["Combo 1"], one.RxnFZ["Combo 1"]] for one in bearing]),
        model.nodes[node(total, 0, 0)],
    )


@pytest.mark.parametrize("step", [7, 40])
def test_three_bearings_against_a_general_frame_program(step, monkeypatch):
    """Bearing forces of the two-throw crank on three rigid bearings: PyNiteFEA, another assembly and solver."""
    monkeypatch.setattr(
        frame, "build", partial(frame.build, plain=True, modulus=Quantity(206.0, "GPa"))
    )
    crank, found = loads("compressor", model="continuous")
    _, reactions, _ = carried(crank, found, step)
    assert found.bearing_force.m_as("N")[:, :, step] == pytest.approx(
        reactions, abs=1e-6 * np.abs(reactions).max()
    )


@pytest.mark.parametrize("step", [7, 85])
def test_moments_inside_against_a_general_frame_program(step):
    """Bending and torsion in the middle of pin and in front of a web: PyNiteFEA's member forces."""
    crank, found = loads("pump")
    model, reactions, end = carried(crank, found, step)
    assert found.bearing_force.m_as("N")[:, :, step] == pytest.approx(reactions, abs=1e-6)
    assert abs(end.RxnMX["Combo 1"]) == pytest.approx(
        abs(1000 * found.torque.m_as("N*m")[step]), rel=1e-6
    )
    pin = [piece for piece in crank.segments if piece.kind == "pin"][0]
    middle = pin.start + pin.length / 2
    arriving = [
        one
        for one in model.members.values()
        if abs(one.j_node.X - middle) < 1e-9 and one.i_node.Y == one.j_node.Y
    ][0]
    _, moment = found.internal([middle - 1e-9, 18.0, 0.0])
    length = arriving.L()
    theirs = [
        abs(arriving.torque(length, "Combo 1")),
        abs(arriving.moment("My", length, "Combo 1")),
        abs(arriving.moment("Mz", length, "Combo 1")),
    ]
    assert theirs == pytest.approx(np.abs(moment[:, step]), rel=1e-6, abs=1e-3)


def test_many_cuts_at_once():
    crank, found = loads("compressor", Quantity(300, "rpm"), output="left")
    cuts = np.array([[3.0, 0, 0], [47.0, 2.0, 1.0], [80.0, -14.0, 0.5]])
    force, moment = found.internal(cuts)
    for number, cut in enumerate(cuts):
        alone = found.internal(cut)
        assert force[number] == pytest.approx(alone[0]) and moment[number] == pytest.approx(
            alone[1]
        )


def test_throws_push_on_the_axes_that_turn_with_the_crank():
    """A cylinder and its crank turned together see the same forces."""
    crank = Crank.load("pump")
    turned = crank.with_throw(angle=Quantity(70.0, "deg"))
    here, there = (
        service.turn_loads(one, cylinder(direction=angle), STILL)
        for one, angle in ((crank, 0.0), (turned, 70.0))
    )
    assert there.tangential.m_as("N") == pytest.approx(here.tangential.m_as("N"), abs=1e-9)
    rotation = np.array(
        [
            [np.cos(np.radians(70)), -np.sin(np.radians(70))],
            [np.sin(np.radians(70)), np.cos(np.radians(70))],
        ]
    )
    assert there.bearing_force.m_as("N") == pytest.approx(
        np.einsum("ij,bjt->bit", rotation, here.bearing_force.m_as("N")), abs=1e-9
    )


def test_turning_mass_flings_outward():
    crank = Crank.load("pump")
    idle = service.Cylinder(
        Quantity(90, "mm"), Quantity(0.0, "N"), turning_mass=Quantity(0.5, "kg")
    )
    found = service.turn_loads(crank, idle, Quantity(600, "rpm"))
    expected = 0.5 * 0.018 * (600 * 2 * np.pi / 60) ** 2 / 2  # m r w^2, half on each bearing
    assert found.bearing_force.m_as("N")[:, 0] == pytest.approx(-expected * np.ones((2, 120)))


def test_indicator_diagram_closes_and_keeps_its_bounds():
    sizes = Quantity(14, "mm"), Quantity(60, "mm")
    low, high = Quantity(0.0, "MPa"), Quantity(0.6, "MPa")
    found = service.compressor_pressure(ANGLES, low, high, 0.05, *sizes).m_as("MPa")
    assert found.min() == pytest.approx(0, abs=1e-12)
    assert found.max() == pytest.approx(0.6)
    # isothermal work of an ideal compressor without clearance: p1 V1 ln(p2/p1), through the torque
    fine = Quantity(np.linspace(0, 360, 7201)[:-1], "deg")
    pressure = service.compressor_pressure(fine, low, high, 1e-6, *sizes, exponent=1.0)
    push = service.piston_force(pressure, Quantity(40, "mm"))
    torque = service.rod_forces(fine, push, *sizes)[1].m_as("N") * 0.014
    swept = np.pi / 4 * 0.04**2 * 0.028
    net = 0.1013e6 * swept * np.log(0.7013 / 0.1013)
    assert -torque.mean() * 2 * np.pi == pytest.approx(net, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "kind", "words"),
    [
        ({"cylinders": []}, ValueError, "cylinders"),
        ({"speed": 300}, TypeError, "speed"),
        ({"speed": Quantity(5, "Hz")}, ValueError, "speed"),
        ({"output": "up"}, ValueError, "output"),
        ({"model": "guess"}, ValueError, "model"),
        ({"points": 3}, ValueError, "points"),
        ({"bearings": Quantity(np.array([1.0, 2.0]), "mm")}, ValueError, "bearings"),
        ({"pulls": service.Pull(Quantity(500, "mm"), Quantity(1, "N"))}, ValueError, "position"),
        ({"pulls": service.Pull(Quantity(60, "mm"), Quantity(1, "N"))}, ValueError, "on no main"),
        (
            {"pulls": service.Pull(Quantity(5, "mm"), Quantity(1, "kg"))},
            pint.DimensionalityError,
            "force",
        ),
        (
            {"cylinders": service.Cylinder(Quantity(90, "mm"), Quantity(np.ones(4), "N"))},
            ValueError,
            "angle",
        ),
        (
            {"cylinders": service.Cylinder(Quantity(10, "mm"), Quantity(1.0, "N"))},
            ValueError,
            "rod_length",
        ),
    ],
)
def test_bad_input_names_the_argument(change, kind, words):
    with pytest.raises(kind, match=words):
        service.turn_loads(Crank.load("pump"), **{"cylinders": cylinder(), "speed": STILL} | change)


# supports


def test_bearings_stand_on_their_mains():
    """The pump's mains run from 0 to 45 and from 95 to 140 mm."""
    crank = Crank.load("pump")
    assert supports.positions(crank, None) == pytest.approx([22.5, 117.5])
    assert supports.positions(crank, Quantity([0, 140], "mm")) == pytest.approx([0, 140])
    for wrong in ([45.1, 117], [20, 94.9], [20], [20, 60, 117]):
        with pytest.raises(ValueError, match="bearings must be 2 positions from the left end"):
            supports.positions(crank, Quantity(wrong, "mm"))


def test_bearings_that_do_not_touch_are_named_from_one_on():
    stands = np.array([10.0, 50.0, 90.0])
    assert supports.touching(stands, ()).tolist() == [True, True, True]
    assert supports.touching(stands, 2).tolist() == [True, False, True]
    assert supports.touching(stands, [3]).tolist() == [True, True, False]
    for wrong in (0, 4, True, [1.5]):
        with pytest.raises(ValueError, match="numbers of bearings, 1 to 3 from the left"):
            supports.touching(stands, wrong)
    with pytest.raises(ValueError, match="fewer than two bearings"):
        supports.touching(stands, [1, 2])


def test_a_load_hangs_on_the_two_bearings_beside_it():
    """100 N at a quarter of a span: 75 and 25 on its ends; overhung by half a span 150 and -50."""
    stands, force = np.array([0.0, 40.0, 120.0]), np.array([[[100.0]]])

    def held(place):
        return supports.adjacent(stands, np.array([[place, 0, 0]]), force)[:, 0, 0]

    assert held(10.0) == pytest.approx([-75, -25, 0])
    assert held(60.0) == pytest.approx([0, -75, -25])
    assert held(160.0) == pytest.approx([0, 50, -150])
    assert held(-20.0) == pytest.approx([-150, 50, 0])
    assert held(40.0).sum() == pytest.approx(-100) and held(40.0)[1] == pytest.approx(-100)


def test_sections_stand_where_their_throws_do():
    """Throws of 1/2 in at 0, 120 and 240 deg, mains of 5/8 and pins of 1/2 in, so from 5/16 to 1/4
    in from the axis: where both overlap a web is looked at halfway, 9/32 in toward the throw. All of
    a pin stand on its axis, 1/2 in out; of a main on the main axis.
    """
    found = strength.places(Crank.load("organ"))
    for kind, out in (("web", 9 / 32), ("pin", 1 / 2)):
        for throw in range(3):
            way = np.radians(120 * throw)
            wanted = np.array([np.cos(way), np.sin(way)]) * 25.4 * out
            here = [one for one in found if one.kind == kind and one.index == throw]
            assert len(here) >= 3
            for one in here:
                assert one.center[1:] == pytest.approx(wanted, abs=1e-6)
    assert all(one.center[1:] == (0, 0) for one in found if one.kind == "main")

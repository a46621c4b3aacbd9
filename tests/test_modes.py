"""Modes of a crank from its frame: against solid finite elements, against the give at rest, against one weight on a spring."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from crankmath import deflection
from crankmath.chatter import modes
from crankmath.chatter.modes import Mode
from crankmath.crank import EXAMPLES, Crank
from crankmath.deflection import Setup
from crankmath.spacers import Spacer
from crankmath.units import OutOfRangeWarning, Quantity

pytestmark = pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")

# First frequencies [Hz] of solid models made apart from the library: 8-node bricks with incompatible modes on a voxel mesh of
# 1 to 2 mm, corners sharp, the faces at both ends pinned in their mean as centers pin them, twist held at the left end.
SOLID = {
    ("pump", "main"): (1122, 1176, 2419),
    ("pump", 0): (1125, 1154, 1912, 2368),
    ("bellows", "main"): (1031, 1106, 2610),
    ("bellows", 0): (1028, 1077, 2048, 2543),
    ("compressor", 0): (560, 571, 1300, 1847),
    ("organ", 1): (357, 370, 890, 1200, 1433),
}


def sharp(name):
    crank, none = Crank.load(name), Quantity(0.0, "mm")
    for number in range(len(crank.throws)):
        crank = crank.with_throw(number, fillet=none)
    return replace(
        crank, journals=tuple(replace(journal, fillet=none) for journal in crank.journals)
    )


@pytest.mark.parametrize(("name", "held"), SOLID)
def test_frequencies_of_a_solid(name, held):
    """The two that bend the work within 4 %, the next within 15 %: there it twists, and a voxel's corners soften a shaft in twist."""
    solid = np.array(SOLID[name, held])
    ours = modes._compliances(sharp(name), ("journal", 0), 0.0, Setup(held=held))[0][: len(solid)]
    assert np.allclose(ours[:2] / solid[:2], 1, atol=0.04)
    assert np.allclose(ours / solid, 1, atol=0.15)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize(
    "springs",
    [
        {},
        {
            "left_center": Quantity(40, "N/um"),
            "right_center": Quantity(25, "N/um"),
            "driver": Quantity(9e3, "N*m/rad"),
        },
    ],
)
def test_gives_add_up_to_the_give_at_rest(name, springs):
    crank = Crank.load(name)
    for number in range(len(crank.throws)):
        setup = Setup(held=number, **springs)
        for angle in (0, 70):
            direction = Quantity(angle, "deg")
            found = modes.work_modes(crank, ("pin", number), 0.03, direction, setup)
            at_rest = 1e6 * modes.plain_receptance(modes.plain_modes(found), 0.0).real
            assert at_rest == pytest.approx(
                deflection.radial_compliance(crank, ("pin", number), direction, setup).m_as("um/N"),
                rel=1e-6,
            )


def test_spacers_stiffen_the_other_throws():
    crank = Crank.load("organ")
    packs = tuple(Spacer(throw, Quantity(0.0, "mm"), Quantity(8.0, "mm")) for throw in (0, 2))
    bare, packed = (
        modes.work_modes(crank, ("pin", 1), 0.03, setup=Setup(held=1, spacers=spacers))
        for spacers in ((), packs)
    )
    at_rest = sum(1 / mode.stiffness.m_as("N/um") for mode in packed)
    stiff = Setup(held=1, spacers=packs)
    soft = deflection.soft_direction(crank, ("pin", 1), stiff)
    assert at_rest == pytest.approx(
        deflection.radial_compliance(crank, ("pin", 1), soft, stiff).m_as("um/N"), rel=1e-6
    )
    assert min(mode.frequency for mode in packed) > min(mode.frequency for mode in bare)


def test_one_weight_on_soft_centers():
    """Centers so soft that the crank hardly bends: the middle of `pump` moves as its mass on two springs."""
    crank, spring = Crank.load("pump"), 100.0  # N/mm each
    setup = Setup(left_center=Quantity(spring, "N/mm"), right_center=Quantity(spring, "N/mm"))
    found = modes.work_modes(crank, Quantity(70.0, "mm"), 0.03, Quantity(0, "deg"), setup)[0]
    # 7850 kg/m3: mains 2 x 28274 mm2/2..., by hand: pi/4 20^2 90 + pi/4 18^2 22 + 2 x 14 x 28 x (18 + 28) mm3
    mass = 7.85e-6 * (np.pi / 4 * 400 * 90 + np.pi / 4 * 324 * 22 + 2 * 14 * 28 * 46)
    assert found.frequency.m_as("Hz") == pytest.approx(
        np.sqrt(2 * spring * 1e3 / mass) / (2 * np.pi), rel=0.01
    )
    assert found.stiffness.m_as("N/mm") == pytest.approx(2 * spring, rel=0.02)


def test_soft_driver_twists():
    """Driver so soft that the crank only rocks about its centers: f = sqrt(k/J)/2 pi, J about the main axis by hand."""
    crank, spring = Crank.load("pump"), 10.0  # N m/rad
    found = modes.work_modes(
        crank, ("pin", 0), 0.03, Quantity(90, "deg"), Setup(driver=Quantity(spring, "N*m/rad"))
    )[0]
    rho, main, pin, web = 7.85e-6, np.pi / 4 * 400 * 90, np.pi / 4 * 324 * 22, 2 * 14 * 28 * 46
    inertia = (
        rho
        * (main * 400 / 8 + pin * (324 / 8 + 18**2) + web * ((28**2 + 46**2) / 12 + 9**2))
        * 1e-6
    )
    assert found.frequency.m_as("Hz") == pytest.approx(
        np.sqrt(spring / inertia) / (2 * np.pi), rel=0.005
    )


def test_bad_modes_and_setups_are_named():
    crank = Crank.load("pump")
    with pytest.raises(ValueError, match="^setup.tool has no mass"):
        modes.work_modes(crank, ("pin", 0), 0.03, setup=Setup(tool=Quantity(20, "N/um")))
    with pytest.raises(ValueError, match="^damping_ratio must be below 1"):
        modes.work_modes(crank, ("pin", 0), 3)
    with pytest.raises(TypeError, match="^angle"):
        modes.work_modes(crank, ("pin", 0), 0.03, 90)
    with pytest.raises(ValueError, match="^modes is empty"):
        modes.plain_modes(())
    with pytest.raises(TypeError, match=r"^modes\[0\] has to be a Mode"):
        modes.plain_modes((3,))
    assert modes.plain_modes(Mode(Quantity(100, "Hz"), Quantity(1, "N/um"), 0.03)).shape == (1, 4)
    assert issubclass(OutOfRangeWarning, UserWarning)


def test_slices_of_a_round_weigh_and_turn_as_it_does():
    """Ø20 x 30 mm: m = rho pi d^2 L/4, m d^2/8 about its axis, m d^2/16 + m L^2/12 across it."""
    places, weights = modes._rod(
        SimpleNamespace(start=10.0, length=30.0), 7.85e-6, 20.0,
        lambda x: np.broadcast_to(np.asarray(x)[:, None, None], (len(x), 6, 1)),
    )  # fmt: skip
    mass = 7.85e-6 * np.pi * 100 * 30
    by_way = weights.reshape(3, 6)
    for way, whole in enumerate((1, 1, 1, 400 / 8, 400 / 16, 400 / 16)):
        assert by_way[:, way].sum() == pytest.approx(mass * whole)
    x = places.reshape(3, 6)[:, 1]
    assert by_way[:, 1] @ x == pytest.approx(25 * mass)
    assert by_way[:, 1] @ (x - 25) ** 2 == pytest.approx(mass * 30**2 / 12)


def test_two_points_weigh_and_turn_as_a_web_does():
    """The pump's web, 18 + 2 x 14 long, 28 wide and 14 thick, its middle 9 mm from the main."""
    throw = Crank.load("pump").throws[0]
    main = np.zeros((6, 1))
    pin = np.array([[0.0], [18.0], [0.0], [1.0], [1.0], [1.0]])  # its place, and a turn
    rows, weights = modes._web(throw, 7.85e-6, main, pin)
    mass = 7.85e-6 * 46 * 28 * 14
    out, each = rows[[1, 4], 0], weights[[1, 4]]
    assert each.sum() == pytest.approx(mass) and each @ out == pytest.approx(9 * mass)
    assert each @ (out - 9) ** 2 == pytest.approx(mass * 46**2 / 12)
    # rotary inertia about the axis, about its length and across it; the turn is half of the pin's
    assert weights[6:] == pytest.approx(mass * np.array([28**2, 28**2 + 14**2, 14**2]) / 12)
    assert rows[6:, 0] == pytest.approx([0.5, 0.5, 0.5])


@pytest.mark.parametrize(("share", "good"), [(1, True), (-1, True), (1.05, False), (-1.05, False)])
def test_a_mode_s_share_is_none_beyond_one(share, good):
    mode = Mode(Quantity(250, "Hz"), Quantity(20, "N/um"), 0.04, share)
    if good:
        assert modes.plain_modes([mode])[0].tolist() == [250, 2e7, 0.04, share]
    else:
        with pytest.raises(ValueError, match=r"modes\[0\].share"):
            modes.plain_modes([mode])


def test_bodies_are_both_then_the_tool_then_the_work():
    """The tool's mode stands first, however many the work has; a rigid direction has none."""
    tool, bend, twist = "tool", "bend", "twist"
    assert modes.bodies((tool, bend, twist)) == (
        (tool, bend, twist),
        (tool,),
        (bend, twist),
    )
    assert modes.bodies(()) == ((), (), ())

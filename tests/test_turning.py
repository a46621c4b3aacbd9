"""Chatter of a turning tool with a nose, against a cut followed through time and hand sums."""

from functools import partial
from itertools import product

import numpy as np
import pytest

from crankmath.chatter import Mode, limiting_width, turning
from crankmath.crank import Crank
from crankmath.forces import edge
from crankmath.lathe import load_lathe
from crankmath.units import Quantity

MM = Quantity(1.0, "mm")
DEG = Quantity(1.0, "deg")
WAVES, POINTS, RAYS = (
    3.75,
    60,
    120,
)  # waves in a turn: the worst phase of one mode is three quarters
TURNS = 24
TUNED = (0.975, 1.0, 1.025)  # speeds about the worst, of which the worst counts


def in_time(cases):
    """Growth of the vibration over a turn, many cuts at once, surfaces followed ray by ray.

    Each case is (nose, depth, feed, approach [deg], stiffness (radial, axial) [N/m], damping,
    frequency that it chatters with [Hz], natural frequency (radial, axial), K [Pa], facing),
    lengths in mm. The tool is a round nose with a straight edge; what it cuts lies between its own
    place now, its place a turn ago one feed back, and the surface of the last pass. The force of
    each piece of edge is K times its area, square to the edge. Nothing of the library is used.
    """
    nose, depth, feed, approach = (np.array([case[k] for case in cases]) for k in range(4))
    nose, depth, feed = nose / 1e3, depth / 1e3, feed / 1e3
    approach = np.radians(approach)
    stiffness = np.array([case[4] for case in cases])
    damping = np.array([case[5] for case in cases])[:, None]
    chatters = np.array([case[6] for case in cases])
    natural = 2 * np.pi * np.array([case[7] for case in cases])
    slope = np.array([case[8] for case in cases])
    facing = np.array([case[9] for case in cases])
    step = 1 / (chatters * POINTS)
    turn = int(round(WAVES * POINTS))
    angle = np.linspace(-0.6, 1, RAYS + 1)[None, :] * approach[:, None]
    angle = (angle[:, 1:] + angle[:, :-1]) / 2
    width = 1.6 * approach / RAYS
    sine, cosine = np.sin(angle), np.cos(angle)
    # exact stepping of each oscillator under a force that is steady over a step
    decay = damping * natural
    ringing = natural * np.sqrt(1 - damping**2)
    fade = np.exp(-decay * step[:, None])
    c, s = np.cos(ringing * step[:, None]), np.sin(ringing * step[:, None])
    position, speed = np.zeros((len(cases), 2)), np.zeros((len(cases), 2))
    rng = np.random.default_rng(3)
    past = rng.normal(size=(turn, len(cases), 2)) * 1e-9
    past[:, stiffness > 1e15] = 0
    corner = nose * (1 - np.cos(approach))

    def force(now, then):
        """Radial and axial force of tool places (out of the work, along the feed)."""
        y, x = -now[:, 0], now[:, 1]
        far = feed + x - then[:, 1]  # from last turn's nose to this one's
        up = y + then[:, 0]
        # along a ray from the nose's middle, last turn's disc is left at the larger root
        middle = far[:, None] * sine - up[:, None] * cosine
        apart = (far**2 + up**2)[:, None]
        left = -middle + np.sqrt(np.maximum(middle**2 - apart + (nose**2)[:, None], 0))
        # beyond the end of its arc last turn's tool is its straight edge
        down, level = np.sin(approach)[:, None], np.cos(approach)[:, None]
        away = (left * sine + far[:, None]) * level + (up[:, None] - left * cosine) * down
        line = (nose - far * down[:, 0] + up * level[:, 0])[:, None]
        left = np.where(away > 0, line / np.maximum(sine * down + cosine * level, 1e-9), left)
        with np.errstate(divide="ignore"):
            surface = np.where(
                cosine > 1e-9, (nose + y - depth)[:, None] / np.maximum(cosine, 1e-9), -1.0
            )
        start = np.clip(np.maximum(left, surface), 0, nose[:, None])
        area = (nose[:, None] ** 2 - start**2) / 2 * width[:, None]
        radial, axial = (slope * np.sum(area * part, axis=1) for part in (cosine, sine))
        straight = np.maximum(depth - corner - y, 0) / np.sin(approach)
        thick = far * np.sin(approach) - up * np.cos(approach)
        # at the top the chip ends at the last pass's surface, square to the edge sooner than the
        # edge
        slant = np.tan(approach)
        whole = np.where(
            straight * slant > thick,
            straight * thick - thick**2 / 2 / slant,
            straight**2 * slant / 2,
        )
        radial += slope * whole * np.cos(approach)
        axial += slope * whole * np.sin(approach)
        return np.stack([radial, axial], axis=1)

    def loads(now, then):
        swap = facing[:, None]
        given = np.where(swap, now[:, ::-1], now), np.where(swap, then[:, ::-1], then)
        found = force(*given)
        return np.where(swap, found[:, ::-1], found)

    steady = loads(np.zeros_like(position), np.zeros_like(position))
    before, sizes = np.zeros_like(position), []
    for _ in range(TURNS):
        size = 0.0
        for place in range(turn):
            now = loads(position, past[place]) - steady
            past[place] = position
            pushed = -(1.5 * now - 0.5 * before) / stiffness
            before = now
            away = position - pushed
            drift = (speed + decay * away) / ringing
            position = pushed + fade * (away * c + drift * s)
            speed = fade * (speed * c - (decay * drift + ringing * away) * s)
            size = size + np.sum(position**2, axis=1)
        sizes.append(np.sqrt(size))
    return (sizes[-1] / sizes[TURNS // 3]) ** (1 / (TURNS - 1 - TURNS // 3))


def points():
    """Forty cuts: noses, depths, feeds, approach angles, and the direction that yields."""
    rng = np.random.default_rng(21)
    found = []
    for number in range(40):
        nose = (0.2, 0.4, 0.8)[number % 3]
        depth = float(np.exp(rng.uniform(np.log(0.03), np.log(1.5))))
        feed = float(rng.choice([0.04, 0.08, 0.12]))
        approach = (90.0, 75.0, 60.0)[number // 3 % 3]
        yields = ("radial", "axial", "both", "facing")[number % 4]
        found.append((nose, depth, feed, approach, yields))
    return found


def test_forty_cuts_followed_through_time():
    """5 % below the limit every cut dies down, 5 % above it grows: K is scaled to stand there."""
    cases, rows = [], []
    stiff, damping = 2e7, 0.04
    for nose, depth, feed, approach, yields in points():
        radial = Mode(Quantity(200, "Hz"), Quantity(stiff, "N/m"), damping)
        axial = Mode(
            Quantity(200 if yields == "facing" else 330, "Hz"), Quantity(stiff, "N/m"), damping
        )
        wall = Mode(Quantity(200, "Hz"), Quantity(1e16, "N/m"), damping)
        modes = {
            "radial": ((radial,), (wall,)),
            "axial": ((wall,), (axial,)),
            "both": ((radial,), (axial,)),
            "facing": ((radial,), (axial,)),
        }[yields]
        cut = turning._Cut(
            "facing" if yields == "facing" else "along",
            feed,
            np.radians(approach),
            turning.plain_modes(modes[0]),
            turning.plain_modes(modes[1]),
            0.0,
        )
        low, high = 1e7, 1e13  # K at which this cut just chatters
        for _ in range(60):
            slope = np.sqrt(low * high)
            times, frequency, _ = cut.quiet_times(depth, nose, slope, 1.0)
            low, high = (slope, high) if times > 1 else (low, slope)
        for share, tuned in product((0.95, 1.05), TUNED):
            cases.append(
                (
                    nose,
                    depth,
                    feed,
                    approach,
                    [mode[0].stiffness.m_as("N/m") for mode in modes],
                    damping,
                    tuned * frequency,
                    [mode[0].frequency.m_as("Hz") for mode in modes],
                    share * slope,
                    yields == "facing",
                )
            )
        rows.append((nose, depth, feed, approach, yields))
    growth = in_time(cases).reshape(-1, 2, len(TUNED)).max(axis=2)
    for r, g in zip(rows, growth, strict=False):
        print(r, g.round(3))
    wrong = [
        (row, pair) for row, pair in zip(rows, growth, strict=True) if not pair[0] < 1 < pair[1]
    ]
    assert not wrong, wrong


def limit(
    depth=0.2,
    nose=0.4,
    feed=0.06,
    operation="along",
    axial=True,
    steel="C45",
    stiffness=20,
    **more,
):
    """Limit of a cut between a radial mode of 20 N/um and an axial one of 30, damping 4 %."""
    radial = Mode(Quantity(250, "Hz"), Quantity(stiffness, "N/um"), 0.04)
    along = Mode(Quantity(300, "Hz"), Quantity(30, "N/um"), 0.04)
    return turning.turning_limit(
        steel,
        operation,
        depth * MM,
        feed * MM,
        (radial,),
        (along,) if axial else (),
        nose_radius=nose * MM,
        **more,
    )


def test_a_straight_edge_and_its_strip_by_hand():
    """2 mm deep at 60 deg: 2/sin 60 of edge, its normal 60 deg off the work's radius; the strip of
    the last pass's surface is a feed of 0.1 wide and moves square to the work alone.
    """
    normal = np.array([0.5, np.sqrt(0.75)])
    shape = edge._shape(2.0, 0.1, 0.0, np.pi / 3)
    meets, strip = edge.regenerating_edge(shape, 2.0, 0.1)
    assert meets == pytest.approx(2 / np.sqrt(0.75) * np.outer(normal, normal))
    assert strip == pytest.approx(np.outer(0.1 * normal, [1, 0]))


def test_plunged_edge_is_the_plain_formula():
    """b = 2 k zeta (1 + zeta)/K of the radial mode, K with all of the thrust, chip squeezed."""
    found = limit(1.0, operation="plunging", feed=0.1)
    # 2220 0.1^-0.14 x 0.86 x 1.3 x 0.559 = 1914 MPa; 2 x 20000 x 0.04 x 1.04 / 1914 = 0.869 mm
    assert found.specific_force.m_as("MPa") == pytest.approx(1915, rel=2e-3)
    assert found.deepest.m_as("mm") == pytest.approx(0.869, rel=2e-3)
    plain = limiting_width(Quantity(20, "N/um"), 0.04, found.specific_force)
    assert found.deepest.m_as("mm") == pytest.approx(plain.m_as("mm"), rel=1e-3)
    assert found.share == pytest.approx(1 / plain.m_as("mm"), rel=1e-3)


def test_square_edge_is_held_by_the_axial_stiffness():
    """No nose, 90 deg: a radial movement changes no thickness, so only the axial mode counts."""
    found = limit(1.0, nose=0.0, feed=0.1)
    axial = limiting_width(Quantity(30, "N/um"), 0.04, found.specific_force)
    assert found.direction == "axial"
    assert found.deepest.m_as("mm") == pytest.approx(axial.m_as("mm"), rel=0.02)
    assert np.isinf(limit(1.0, nose=0.0, feed=0.1, axial=False).deepest.magnitude)


def test_facing_swaps_the_directions():
    shallow = limit(0.05, nose=0.8), limit(0.05, nose=0.8, operation="facing")
    assert [one.direction for one in shallow] == ["radial", "axial"]
    assert shallow[1].share == pytest.approx(shallow[0].share * 20 / 30, rel=0.05)


def test_remedies_help():
    """A smaller nose, a narrower edge, a slower cut: each does what it says."""
    with_rubbing = {
        "cutting_speed": Quantity(30, "m/min"),
        "process_damping": Quantity(2e4, "N/m"),
    }
    loud = limit(0.4, nose=0.8, stiffness=8, **with_rubbing)
    assert loud.share > 1
    said = {remedy.change: remedy for remedy in loud.remedies}
    smaller = limit(0.4, stiffness=8, nose=said["smaller nose"].value.m_as("mm"), **with_rubbing)
    assert smaller.share < loud.share
    assert smaller.share == pytest.approx(said["smaller nose"].share, rel=1e-6)
    assert limit(0.97 * loud.deepest.m_as("mm"), nose=0.8, stiffness=8, **with_rubbing).share < 1
    assert 0 < loud.quiet_speed.m_as("m/min") < 30
    wide = limit(3.0, operation="plunging", **with_rubbing)
    assert [remedy.change for remedy in wide.remedies][0] == "relieved edge"


@pytest.mark.parametrize(
    ("depth", "nose", "most"), [(0.05, 0.8, 0.075), (0.2, 1.2, 0.3), (0.53, 0.8, 0.795)]
)
def test_a_nose_is_at_most_one_and_a_half_times_the_depth(depth, nose, most):
    """The insert makers' rule, from memory: the depth at least two thirds of the nose."""
    found = limit(depth, nose=nose, stiffness=2)
    said = {remedy.change: remedy for remedy in found.remedies}
    assert said["nose at most"].value.m_as("mm") == pytest.approx(most)
    assert said["nose at most"].share == pytest.approx(limit(depth, nose=most, stiffness=2).share)
    deeper = limit(0.54, nose=0.8, stiffness=2)
    assert "nose at most" not in {remedy.change for remedy in deeper.remedies}


def test_the_nose_advised_is_the_largest_that_is_quiet():
    """Of 0.8, 0.4 and 0.2 mm, two thirds of the limit at most; the smallest where none is."""
    advised = set()
    for stiffness in (3, 5, 8, 12, 14, 17):
        found = limit(0.2, nose=1.2, stiffness=stiffness)
        said = {remedy.change: remedy.value.m_as("mm") for remedy in found.remedies}
        noses = (0.8, 0.4, 0.2)
        quiet = [one for one in noses if limit(0.2, nose=one, stiffness=stiffness).share <= 2 / 3]
        if said:
            assert said["smaller nose"] == pytest.approx(quiet[0] if quiet else 0.2)
            advised.add(said["smaller nose"])
    assert len(advised) > 1


@pytest.mark.parametrize("depth", [0.05, 0.2, 0.6, 2.0, 4.0])
@pytest.mark.parametrize("nose", [0.2, 0.4, 0.8, 1.2])
def test_no_remedy_makes_it_worse(depth, nose):
    """Deeper than the nose a smaller nose turns the cut toward the soft side: it is not advised."""
    found = limit(depth, nose=nose, stiffness=8)
    assert all(remedy.share < found.share for remedy in found.remedies)


def test_nothing_improves_when_things_get_worse():
    """Deeper, larger nose, softer, less damped, faster past the rubbing: never a smaller share."""
    shares = [limit(depth, nose=0.8).share for depth in (0.03, 0.06, 0.12, 0.3, 0.6, 1.2)]
    assert np.all(np.diff(shares) > 0)
    noses = [limit(0.2, nose=nose).share for nose in (0.2, 0.4, 0.8)]
    assert np.all(np.diff(noses) > 0)
    speeds = [
        limit(
            0.5,
            nose=0.8,
            cutting_speed=Quantity(v, "m/min"),
            process_damping=Quantity(1e5, "N/m"),
        )
        for v in (10, 20, 40)
    ]
    # a faster cut has a little less force, and much less rubbing
    assert np.all(np.diff([one.share for one in speeds]) > 0)


def test_axial_modes_add_up_to_the_thrust_compliance():
    """At the right-hand end they are what the whole crank shortens by for a newton of thrust."""
    crank = Crank.load("pump")
    from crankmath.frame import frame

    built = frame.build(crank)
    end = Quantity(crank.length.m_as("mm") - 1e-6, "mm")
    found = turning.work_modes(crank, end, 0.03, axial=True)
    whole = float(built.thrust @ built.compliance @ built.thrust)
    assert sum(1 / mode.stiffness.m_as("N/mm") for mode in found) == pytest.approx(whole, rel=1e-3)


def test_lathe_of_the_school():
    lathe = load_lathe()
    radial, axial = turning.machine_modes(Crank.load("pump"), ("pin", 0), lathe, held=0)
    assert radial[0].stiffness == lathe.tool_stiffness
    assert axial[0].stiffness == lathe.tool_axial_stiffness
    shallow = edge.edge_in_cut(0.05 * MM, 0.06 * MM, 0.8 * MM, 95 * DEG)
    assert shallow.radial_length.m_as("mm") == pytest.approx(0.3084, abs=1e-3)


def test_more_damping_is_never_nearer_to_chatter():
    """Where chatter begins within a step of the frequencies looked at, a parabola through it fell
    below zero, which read as chatter in any cut.
    """
    size = partial(Quantity, units="mm")
    for approach in (54.0, 70.0, 90.0):
        found = []
        for damping in np.linspace(0.02, 0.06, 81):
            radial = Mode(Quantity(750.0, "Hz"), Quantity(25.0, "N/um"), damping)
            axial = Mode(Quantity(250.0, "Hz"), Quantity(20.0, "N/um"), damping)
            limit = turning.turning_limit(
                *("C45", "along", size(0.05), size(0.036), (radial,), (axial,)),
                nose_radius=size(0.2),
                approach_angle=Quantity(approach, "deg"),
                cutting_speed=Quantity(22.91, "m/min"),
                process_damping=Quantity(1e5, "N/m"),
            )
            found.append(limit.share)
        assert np.all(np.isfinite(found))
        assert np.all(np.diff(found) <= 0.01 * np.array(found[:-1]))

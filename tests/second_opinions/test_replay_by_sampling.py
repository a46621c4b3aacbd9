"""Check of the replay: plans written by hand pass, slips of 0.1 mm are found at their size.

Expected volumes are closed formulas worked in the comments, or trimesh's solids of revolution.
"""

import copy
import math

import numpy as np
import pytest
import trimesh
from replay_by_sampling import Block, Round, replay

from crankmath.crank import Crank

SHAFT = [Round(0, 30, 10, corners=(0, 2)), Round(30, 50, 15), Round(50, 90, 8, corners=(1, 0))]


def shaft_plan():
    """A stepped shaft from a round bar of 32 mm, 94 mm long, 2 mm faced off each end."""
    ends = [{"kind": "end", "x": 2, "keep": "right"}, {"kind": "end", "x": 92, "keep": "left"}]
    return {
        "bar": {"shape": "round", "sizes": [32.0], "length": 94.0},
        "steps": [
            {"name": "face", "held": {"on": "bench", "axis": None}, "cuts": ends},
            {"name": "rough", "held": {"on": "centers", "axis": [0, 0]}, "cuts": [turn(2, 92, 15)]},
            {
                "name": "finish",
                "held": {"on": "centers", "axis": [0, 0]},
                "cuts": [turn(2, 32, 10, corners=(0, 2)), turn(52, 92, 8, corners=(1, 0))],
            },
        ],
    }


def turn(x0, x1, radius, axis=(0, 0), corners=(0, 0)):
    return {
        "kind": "turn",
        "x": [x0, x1],
        "axis": list(axis),
        "radius": radius,
        "corners": list(corners),
    }


def plane(x0, x1, normal, offset):
    return {"kind": "plane", "x": [x0, x1], "normal": list(normal), "offset": offset}


def pump_plan():
    """The pump from a round bar of 60 mm, 146 mm long, written down from its drawing.

    45 + 14 + 22 + 14 + 45 = 140 mm with 3 mm to face off each end: faces of the webs at 48, 62,
    84 and 98 mm. The throw of 18 mm is halved by the bar's axis: main at y = -9, pin at y = 9, ends
    of the webs at 9 + 14 = 23 and -23, sides at 14 and -14.
    """
    return {
        "bar": {"shape": "round", "sizes": [60.0], "length": 146.0},
        "steps": [
            {
                "name": "face",
                "held": {"on": "bench", "axis": None},
                "cuts": [
                    {"kind": "end", "x": 3, "keep": "right"},
                    {"kind": "end", "x": 143, "keep": "left"},
                ],
            },
            {
                "name": "mill the webs",
                "held": {"on": "mill", "axis": None},
                "cuts": [
                    plane(48, 98, (1, 0), 23),
                    plane(48, 98, (-1, 0), 23),
                    plane(48, 98, (0, 1), 14),
                    plane(48, 98, (0, -1), 14),
                ],
            },
            {
                "name": "turn the pin",
                "held": {"on": "centers", "axis": [9, 0]},
                "cuts": [
                    turn(62, 84, 9.3, (9, 0), (1.5, 1.5)),
                    turn(62, 84, 9, (9, 0), (1.5, 1.5)),
                ],
            },
            {
                "name": "turn the journals",
                "held": {"on": "centers", "axis": [-9, 0]},
                "cuts": [
                    turn(3, 48, 10, (-9, 0), (0, 1.5)),
                    turn(98, 143, 10, (-9, 0), (1.5, 0)),
                ],
            },
        ],
    }


def ring(radius, fillet):
    """Volume of a fillet's ring: area (1 - pi/4) r^2 of the corner, 2 pi times its center's radius.

    The center lies (10 - 3 pi)/(12 - 3 pi) r from the wall (Pappus; the corner is a square less a
    quarter of a circle, whose center lies 4 r/(3 pi) from its straight sides).
    """
    center = (10 - 3 * math.pi) / (12 - 3 * math.pi) * fillet
    return 2 * math.pi * (radius + center) * (1 - math.pi / 4) * fillet**2


def plan_of(crank):
    """A plan for any crank: a round bar about the main axis, webs by outline, then turned."""
    throws, segments = crank.throws, crank.segments
    bar = 2 * crank.swing_radius.m_as("mm") + 2
    webs, rounds = [], []
    for segment in segments:
        x = [segment.start + 1, segment.end + 1]
        if segment.kind == "journal":
            journal = crank.journals[segment.index]
            fillet = journal.fillet.m_as("mm")
            corners = (
                0 if segment.index == 0 else fillet,
                0 if segment.index == len(throws) else fillet,
            )
            rounds.append(turn(*x, journal.diameter.m_as("mm") / 2, corners=corners))
            continue
        throw = throws[segment.index]
        way = np.exp(1j * (throw.angle.m_as("rad") - throws[0].angle.m_as("rad")))
        offset, fillet = throw.radius.m_as("mm"), throw.fillet.m_as("mm")
        if segment.kind == "pin":
            axis = (offset * way.real, offset * way.imag)
            rounds.append(turn(*x, throw.pin_diameter.m_as("mm") / 2, axis, (fillet, fillet)))
        else:
            reach, half = throw.web_reach.m_as("mm"), throw.web_width.m_as("mm") / 2
            corners = [-reach - 1j * half, offset + reach - 1j * half]
            corners = [way * one for one in (*corners, *[c.conjugate() for c in corners[::-1]])]
            points = [[one.real, one.imag] for one in corners]
            webs.append({"kind": "outline", "x": x, "points": points})
    ends = [
        {"kind": "end", "x": 1, "keep": "right"},
        {"kind": "end", "x": segments[-1].end + 1, "keep": "left"},
    ]
    return {
        "bar": {"shape": "round", "sizes": [bar], "length": segments[-1].end + 2},
        "steps": [
            {"name": name, "cuts": cuts}
            for name, cuts in zip("ABC", (ends, webs, rounds), strict=False)
        ],
    }


@pytest.fixture(scope="module")
def pump():
    return Crank.load("pump")


def test_stepped_shaft_passes_and_its_volumes_are_those_of_trimesh():
    result = replay(shaft_plan(), SHAFT)
    assert result.is_finished(1e-9)
    assert result.remaining == pytest.approx(0, abs=1e-6)
    assert result.missing == pytest.approx(0, abs=1e-6)
    assert result.x == 2 and result.axis == (0, 0)
    bend = np.linspace(0, math.pi / 2, 200)
    outline = [(0, 0), (10, 0)]
    # fillet of 2: center of the arc at radius 12 and x 28; of 1: at radius 9 and x 51
    outline += [(12 - 2 * math.cos(a), 28 + 2 * math.sin(a)) for a in bend]
    outline += [(15, 30), (15, 50)]
    outline += [(9 - math.cos(a), 51 - math.sin(a)) for a in bend[::-1]]
    outline += [(8, 90), (0, 90)]
    # middles of 24 slices a fillet: 0.14 % less than its ring, which is 0.2 % of the shaft
    solid = trimesh.creation.revolve(outline, sections=720)
    assert result.finished == pytest.approx(solid.volume, rel=1e-5)


def test_each_step_of_the_shaft_removes_what_the_formula_says():
    faced, roughed, finished = (volume for _, volume in replay(shaft_plan(), SHAFT).removed)
    assert faced == pytest.approx(math.pi * 16**2 * 4, rel=3e-5)
    assert roughed == pytest.approx(math.pi * (16**2 - 15**2) * 90, rel=3e-5)
    turned = math.pi * ((15**2 - 10**2) * 30 + (15**2 - 8**2) * 40)
    assert finished == pytest.approx(turned - ring(10, 2) - ring(8, 1), rel=3e-5)


def test_pump_passes(pump):
    result = replay(pump_plan(), pump)
    assert result.is_finished(1e-9)
    assert result.remaining_share < 1e-9 and result.missing_share < 1e-9
    assert result.x == 3 and result.axis == (-9, 0)


def test_volume_of_the_pump_is_that_of_the_formula(pump):
    volume = 2 * math.pi * 10**2 * 45 + math.pi * 9**2 * 22 + 2 * 14 * 28 * 46
    volume += 2 * ring(10, 1.5) + 2 * ring(9, 1.5)
    assert replay(pump_plan(), pump).finished == pytest.approx(volume, rel=2e-5)


@pytest.mark.parametrize("name", ["pump", "bellows", "compressor", "organ"])
def test_every_example_passes_with_its_throws_turned(name):
    crank = Crank.load(name)
    result = replay(plan_of(crank), crank)
    assert result.deepest.depth < 1e-9
    assert result.remaining_share < 1e-9 and result.missing_share < 1e-9


def slip(step, cut, **changes):
    plan = pump_plan()
    plan["steps"][step]["cuts"][cut].update(copy.deepcopy(changes))
    return plan


# The pin's turning cut ends 0.1 mm into the web: what is lost is the web's section over 0.1 mm less
# the pin's, 0.1 (28 * 46 - 81 pi); the fillet's ring has only moved. As much is left if it stops
# 0.1 mm short.
SHOULDER = 0.1 * (28 * 46 - math.pi * 9**2)


def tube(inner, outer, length):
    return math.pi * (outer**2 - inner**2) * length


@pytest.mark.parametrize(
    ("plan", "remaining", "missing", "depth", "between"),
    [
        # main journal 10.1 instead of 10, fillet with it
        (
            slip(3, 1, radius=10.1),
            tube(10, 10.1, 45) + ring(10.1, 1.5) - ring(10, 1.5),
            0,
            0.1,
            (98, 143),
        ),
        (
            slip(2, 1, radius=8.9),
            0,
            tube(8.9, 9, 22) + 2 * ring(9, 1.5) - 2 * ring(8.9, 1.5),
            0.1,
            (62, 84),
        ),
        (slip(2, 1, x=[62, 84.1]), 0, SHOULDER, 0.1, (83.9, 84.1)),
        # a web's side, over both webs; between them the pin is turned afterward
        (slip(1, 2, offset=14.1), 0.1 * 46 * 28, 0, 0.1, (48, 98)),
        (slip(1, 0, offset=22.9), 0, 0.1 * 28 * 28, 0.1, (48, 98)),
        # a corner of 1.4 for 1.5: the arcs differ most at 45 degrees, by 0.1 (sqrt 2 - 1)
        (
            slip(2, 1, corners=[1.5, 1.4]),
            0,
            ring(9, 1.5) - ring(9, 1.4),
            0.1 * (math.sqrt(2) - 1),
            (82.5, 84),
        ),
        (slip(0, 1, x=142.9), 0, tube(0, 10, 0.1), 0.1, (142.9, 143)),
    ],
)
def test_slips_of_a_tenth_are_found_at_their_size(pump, plan, remaining, missing, depth, between):
    result = replay(plan, pump)
    assert result.remaining == pytest.approx(remaining, rel=2e-3, abs=1e-6)
    assert result.missing == pytest.approx(missing, rel=2e-3, abs=1e-6)
    assert result.deepest.depth == pytest.approx(depth, rel=0.01)
    assert between[0] - 1e-9 <= result.deepest.x <= between[1] + 1e-9
    assert not result.is_finished()


def test_pin_turned_about_a_wrong_axis_leaves_one_crescent_and_lacks_the_other(pump):
    """Two circles of radius R, centers d apart, share 2 R^2 acos(d/2R) - d/2 sqrt(4 R^2 - d^2)."""
    plan = slip(2, 1, axis=[9, 0.1])
    plan["steps"][2]["cuts"].pop(0)
    result = replay(plan, pump)

    def crescent(radius, d=0.1):
        shared = 2 * radius**2 * math.acos(d / 2 / radius)
        return math.pi * radius**2 - shared + d / 2 * math.sqrt(4 * radius**2 - d**2)

    # along the 19 mm between the fillets; in each fillet the radius lies between 9 and 10.5
    least, most = (19 * crescent(9) + 3 * crescent(one) for one in (9, 10.5))
    assert least < result.remaining < most
    assert least < result.missing < most
    assert result.too_proud.depth == pytest.approx(0.1, rel=1e-3)
    assert result.too_deep.depth == pytest.approx(0.1, rel=1e-3)


def test_right_end_faced_a_tenth_long_leaves_a_disc_of_the_bar(pump):
    """Beyond the journals' turning the bar stands whole: its far rim is 30 + 9 - 10 mm outside."""
    result = replay(slip(0, 1, x=143.1), pump)
    assert result.remaining == pytest.approx(math.pi * 30**2 * 0.1, rel=1e-4)
    assert result.too_proud.depth == pytest.approx(29, rel=1e-4)
    assert result.too_proud.x >= 143


def test_pin_never_turned_is_deepest_in_the_middle_between_the_webs(pump):
    """22 mm between the webs; the block's far side is more than 11 mm from the pin."""
    plan = pump_plan()
    del plan["steps"][2]
    result = replay(plan, pump)
    volume = (28 * 46 - math.pi * 9**2) * 22 - 2 * ring(9, 1.5)
    assert result.remaining == pytest.approx(volume, rel=1e-4)
    assert result.too_proud.depth == pytest.approx(11, rel=1e-6)
    assert result.too_proud.x == pytest.approx(73)


def test_bar_too_thin_lacks_the_corners_of_the_webs(pump):
    """A web's corner is sqrt(23^2 + 14^2) from the bar's axis; the bar ends at 26."""
    plan = pump_plan()
    plan["bar"]["sizes"] = [52.0]
    result = replay(plan, pump)
    assert result.remaining == pytest.approx(0, abs=1e-6)
    assert result.too_deep.depth == pytest.approx(math.hypot(23, 14) - 26, abs=result.chord)


def test_slip_of_the_finishing_cut_of_a_shaft_is_found_at_its_size():
    plan = shaft_plan()
    plan["steps"][2]["cuts"][1]["radius"] = 8.1
    result = replay(plan, SHAFT)
    volume = tube(8, 8.1, 40) + ring(8.1, 1) - ring(8, 1)
    assert result.remaining == pytest.approx(volume, rel=1e-4)
    assert result.missing == pytest.approx(0, abs=1e-6)
    assert result.deepest.depth == pytest.approx(0.1, rel=1e-4)


def test_throws_to_the_wrong_side_are_found():
    """The organ's throws at 120 and 240 deg changed over: the pins' axes lie far apart."""
    crank = Crank.load("organ")
    plan = plan_of(crank)
    for cut in plan["steps"][1]["cuts"]:
        cut["points"] = [[y, -z] for y, z in cut["points"][::-1]]
    for cut in plan["steps"][2]["cuts"]:
        cut["axis"][1] *= -1
    result = replay(plan, crank, vertices=180, steps=6)
    assert result.remaining_share > 0.1 and result.missing_share > 0.1
    assert result.deepest.depth > 5


def test_a_fillet_wider_than_its_web_ends_at_the_web():
    """A journal of 20 mm with a fillet of 3 on a web only 22 wide: no metal beside the web."""
    web = Block(30, 40, ((-11, -11), (11, -11), (11, 11), (-11, 11)))
    shaft = [Round(0, 30, 10, corners=(0, 3)), web, Round(40, 60, 10)]
    plan = {
        "bar": {"shape": "square", "sizes": [24], "length": 60},
        "steps": [
            {"cuts": [turn(0, 30, 10, corners=(0, 3)), turn(40, 60, 10)]},
            {"cuts": [plane(30, 40, normal, 11) for normal in ((1, 0), (-1, 0), (0, 1), (0, -1))]},
        ],
    }
    left = replay(plan, shaft)
    assert left.remaining > 1  # milled only over the web: the ring hangs over beside it
    for cut in plan["steps"][1]["cuts"]:
        cut["x"] = [27, 40]
    assert replay(plan, shaft).is_finished(1e-9)


@pytest.mark.parametrize(
    ("cut", "message"),
    [
        ({"kind": "drill", "x": [0, 1]}, "drill"),
        ({"kind": "end", "x": 3, "keep": "both"}, "both"),
        (turn(5, 4, 3), "smaller x"),
        (turn(4, 5, -3), "radius"),
        (plane(4, 5, (1, 1), 3), "length 1"),
        (
            {"kind": "outline", "x": [4, 5], "points": [[0, 0], [4, 0], [1, 1], [0, 4]]},
            "convex",
        ),
    ],
)
def test_a_cut_outside_the_format_is_refused_by_name(cut, message):
    plan = shaft_plan()
    plan["steps"][0]["cuts"].append(cut)
    with pytest.raises(ValueError, match=message):
        replay(plan, SHAFT)

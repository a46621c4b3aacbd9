"""Bar, centers, holes, errors and locked-in stress: against shapely, sectionproperties and sums by hand; bad input."""

import itertools
from dataclasses import replace

import numpy as np
import pint
import pytest
import shapely
from scipy.spatial.transform import Rotation
from shapely import affinity

from crankmath.blank import bar, center_holes, layout, locked_in_stress
from crankmath.crank import EXAMPLES, Crank, steels
from crankmath.cutting import speeds
from crankmath.lathe import load_lathe
from crankmath.units import Quantity

OWN = {
    "well bucket": """name = "well bucket"\nunits = "mm"\nsteel = "S355"
[[journals]]\ndiameter = 25\nlength = 60\nfillet = 2
[[journals]]\ndiameter = 25\nlength = 60\nfillet = 2
[[throws]]\nradius = 30\nangle_deg = 35\npin_diameter = 24\npin_length = 30\nfillet = 2\nweb_thickness = 18\nweb_width = 36\nweb_reach = 17
""",
    "fan": """name = "fan"\nunits = "in"\nsteel = "1018"
[[journals]]\ndiameter = 0.5\nlength = 1.25\nfillet = 0.03
[[journals]]\ndiameter = 0.4375\nlength = 0.5\nfillet = 0.03
[[journals]]\ndiameter = 0.5\nlength = 1.25\nfillet = 0.03
[[throws]]\nradius = 0.4\nangle_deg = 10\npin_diameter = 0.4\npin_length = 0.5\nfillet = 0.03\nweb_thickness = 0.25\nweb_width = 0.6\nweb_reach = 0.3
[[throws]]\nradius = 0.55\nangle_deg = 100\npin_diameter = 0.375\npin_length = 0.4\nfillet = 0.03\nweb_thickness = 0.25\nweb_width = 0.7\nweb_reach = 0.28
""",
    "four hammers": """name = "four hammers"\nunits = "mm"\nsteel = "1144"
"""
    + "[[journals]]\ndiameter = 12\nlength = 14\nfillet = 0.8\n" * 5
    + "".join(
        f"[[throws]]\nradius = 9\nangle_deg = {angle}\npin_diameter = 11\npin_length = 12\nfillet = 0.8\n"
        "web_thickness = 6\nweb_width = 16\nweb_reach = 8\n"
        for angle in (0, 180, 180, 0)
    ),
}
ALL = [*EXAMPLES, *OWN]
PUMP = Crank.load("pump")


@pytest.fixture(scope="module")
def load(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cranks")
    for name, text in OWN.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return lambda name: Crank.load(name if name in EXAMPLES else folder / f"{name}.toml")


def outline(crank):
    """Union of all webs, pins and mains, built by rotating boxes and buffering points: nothing of ours in it."""
    parts = [
        shapely.Point(0, 0).buffer(journal.diameter.m_as("mm") / 2, 64)
        for journal in crank.journals
    ]
    for throw in crank.throws:
        radius, reach, half, angle = (
            getattr(throw, name).m_as(unit)
            for name, unit in (
                ("radius", "mm"),
                ("web_reach", "mm"),
                ("web_width", "mm"),
                ("angle", "deg"),
            )
        )
        web = shapely.box(-half / 2, -reach, half / 2, radius + reach)
        pin = shapely.Point(0, radius).buffer(throw.pin_diameter.m_as("mm") / 2, 64)
        parts += [affinity.rotate(part, angle, origin=(0, 0)) for part in (web, pin)]
    return shapely.union_all(parts)


def section(found):
    """The bar as a shapely polygon about the main axis."""
    half_x, half_y = found.width.m_as("mm") / 2, found.height.m_as("mm") / 2
    here = (
        shapely.Point(0, 0).buffer(half_x, 512)
        if found.shape == "round"
        else shapely.box(-half_x, -half_y, half_x, half_y)
    )
    turned = affinity.rotate(here, found.turn.m_as("deg"), origin=(0, 0))
    return affinity.translate(turned, found.middle_x.m_as("mm"), found.middle_y.m_as("mm"))


def bare(crank, shape):
    return bar.smallest_bar(crank, shape, Quantity(0, "mm"), Quantity(0, "mm"), Quantity(0, "mm/m"))


@pytest.mark.parametrize("name", ALL)
def test_round_bar_is_the_smallest_circle(load, name):
    """shapely's minimum bounding circle of the union; its polygon of the circle is 1e-3 short at most."""
    crank = load(name)
    found, circle = bare(crank, "round"), shapely.minimum_bounding_radius(outline(crank))
    assert found.width.m_as("mm") / 2 == pytest.approx(circle, rel=1e-9)
    assert section(found).buffer(1e-3).contains(outline(crank))


@pytest.mark.parametrize("name", ALL)
def test_flat_bar_is_the_smallest_rectangle(load, name):
    crank = load(name)
    found, rectangle = bare(crank, "flat"), shapely.minimum_rotated_rectangle(outline(crank))
    assert (found.width * found.height).m_as("mm**2") == pytest.approx(rectangle.area, rel=1e-6)
    assert section(found).buffer(1e-6).contains(outline(crank))


@pytest.mark.parametrize("name", ALL)
def test_square_bar_is_the_smallest_square(load, name):
    """No turn out of 1801 gives a smaller box; the box of the best of them is at most 0.05 degrees worse."""
    crank = load(name)
    found, hull = bare(crank, "square"), shapely.convex_hull(outline(crank))
    sides = []
    for turn in np.linspace(0, 90, 1801):
        low_x, low_y, high_x, high_y = affinity.rotate(hull, -turn, origin=(0, 0)).bounds
        sides.append(max(high_x - low_x, high_y - low_y))
    assert found.width == found.height
    assert min(sides) * (1 - 1e-3) <= found.width.m_as("mm") <= min(sides) * (1 + 1e-9)
    assert section(found).buffer(1e-6).contains(outline(crank))


def test_a_long_throw_stands_corner_to_corner_in_a_square_by_hand():
    """Webs 28 by 60 + 28 = 88: upright the square has 88, at 45 degrees (88 + 28)/sqrt 2 = 82.02, the middle 30 above the main axis."""
    found = bare(PUMP.with_throw(0, radius=Quantity(60, "mm")), "square")
    assert found.width.m_as("mm") == pytest.approx(116 / np.sqrt(2))
    assert found.turn.m_as("deg") == pytest.approx(45)
    assert (found.middle_x.m_as("mm"), found.middle_y.m_as("mm")) == pytest.approx(
        (0, 30), abs=1e-9
    )


@pytest.mark.parametrize("radii", list(itertools.product((20, 45, 70), (15, 33))))
@pytest.mark.parametrize("between", [40, 77, 130])
def test_square_for_uneven_throws(radii, between):
    """Two throws of any size and angle, where the square is often bounded by corners and not by a side: fine scan by shapely."""
    crank = (
        Crank.load("compressor")
        .with_throw(0, radius=Quantity(radii[0], "mm"))
        .with_throw(1, radius=Quantity(radii[1], "mm"), angle=Quantity(between, "deg"))
    )
    found, hull = bare(crank, "square"), shapely.convex_hull(outline(crank))
    boxes = np.array(
        [affinity.rotate(hull, -turn, origin=(0, 0)).bounds for turn in np.linspace(0, 90, 1801)]
    )
    least = (boxes[:, 2:] - boxes[:, :2]).max(axis=1).min()
    assert least * (1 - 1e-3) <= found.width.m_as("mm") <= least * (1 + 1e-9)
    assert section(found).buffer(1e-6).contains(outline(crank))


@pytest.mark.parametrize(("name", "shape"), list(itertools.product(ALL, bar.SHAPES)))
def test_allowances_leave_metal_all_around(load, name, shape):
    """The union grown by allowance and bow still lies inside; grown by a hundredth more it does not."""
    crank = load(name)
    found = bar.smallest_bar(crank, shape, Quantity(2, "mm"), straightness=Quantity(1, "mm/m"))
    assert found.bow.m_as("mm") == pytest.approx(found.length.m_as("mm") / 1000)
    assert found.length.m_as("mm") == pytest.approx(crank.length.m_as("mm") + 2 * (2 + 10))
    grown = 2 + found.bow.m_as("mm")
    part = outline(crank)
    assert section(found).buffer(2e-3).contains(part.buffer(grown, 64))
    assert not section(found).contains(part.buffer(grown + 0.02, 64))


@pytest.mark.parametrize(
    ("name", "shape", "end"), list(itertools.product(ALL, bar.SHAPES, layout.ENDS))
)
def test_every_coordinate_by_a_second_way(load, name, shape, end):
    """Each center as a point in space, the bar turned flat and the end looked at by rotation matrices of scipy."""
    crank = load(name)
    found = bar.smallest_bar(crank, shape)
    sheet = layout.center_layout(crank, found, end)
    flat = Rotation.from_euler("z", -found.turn.m_as("deg"), degrees=True)
    look = Rotation.from_euler(
        "y", 180 if end == "left" else 0, degrees=True
    )  # walk around to the other end
    middle = np.array([found.middle_x.m_as("mm"), found.middle_y.m_as("mm"), 0])
    axes = [np.zeros(3)] + [
        Rotation.from_euler("z", throw.angle.m_as("deg"), degrees=True).apply(
            [0, throw.radius.m_as("mm"), 0]
        )
        for throw in crank.throws
    ]
    whole = affinity.rotate(
        affinity.translate(section(found), -middle[0], -middle[1]),
        -found.turn.m_as("deg"),
        origin=(0, 0),
    )
    if end == "left":
        whole = affinity.scale(whole, -1, 1, origin=(0, 0))
    for point in sheet.points:
        place = axes[0] if point.name == "main" else axes[1 + point.throws[0]]
        x, y, _ = look.apply(flat.apply(place - middle))
        left, bottom, _, _ = whole.bounds
        assert point.from_middle_x.m_as("mm") == pytest.approx(x, abs=1e-6)
        assert point.from_middle_y.m_as("mm") == pytest.approx(y, abs=1e-6)
        assert point.from_left.m_as("mm") == pytest.approx(x - left, abs=1e-6)
        assert point.from_bottom.m_as("mm") == pytest.approx(y - bottom, abs=1e-6)
        assert point.clear.m_as("mm") == pytest.approx(
            whole.exterior.distance(shapely.Point(x, y)), abs=2e-4
        )
        assert point.swing.m_as("mm") == pytest.approx(
            shapely.hausdorff_distance(shapely.Point(x, y), whole.exterior), abs=2e-4
        )


def test_throws_on_one_axis_share_a_center(load):
    crank = load("four hammers")
    points = layout.center_layout(crank, bar.smallest_bar(crank)).points
    assert [(point.name, point.throws) for point in points] == [
        ("main", ()),
        ("pin 1", (0, 3)),
        ("pin 2", (1, 2)),
    ]


def test_pump_by_hand():
    """Webs 28 by 18 + 2*14 = 46: diagonal 53.852; 140 + 23 long; D = 53.852 + 2(1.5 + bow).

    Normalized C45 is black bar, 4 mm/m: bow 0.652, D = 58.156. Drawn 1045, 1.5 mm/m: 0.2445 and 57.341.
    """
    drawn = bar.smallest_bar(replace(PUMP, steel="1045"))
    assert drawn.width.m_as("mm") == pytest.approx(57.341, abs=1e-3)
    found = bar.smallest_bar(PUMP)
    assert found.width.m_as("mm") == pytest.approx(58.156, abs=1e-3)
    assert (found.middle_x.m_as("mm"), found.middle_y.m_as("mm")) == pytest.approx((0, 9))
    assert bar.stock_bar(found).width.m_as("mm") == 60
    assert bar.stock_bar(found, "in").width.m_as("in") == 2.375


def test_left_end_is_the_mirror():
    crank = Crank.load("organ")
    found = bar.smallest_bar(crank)
    right, left = (
        layout.center_layout(crank, found, end).find("pin 2") for end in ("right", "left")
    )
    assert right.from_middle_x.m_as("mm") == pytest.approx(
        -12.7 * np.sin(np.radians(120))
    )  # counterclockwise from the top: to the left
    assert left.from_middle_x == -right.from_middle_x
    assert left.from_middle_y == right.from_middle_y


@pytest.mark.parametrize(
    ("name", "reference"), list(itertools.product(ALL, ("edges", "middle", "main")))
)
def test_handwheels_arrive_from_below(load, name, reference):
    """Play the table through with backlash: whatever the wheels did before, the table ends at the center."""
    crank, lead, lost = load(name), 2.0, 0.25
    sheet = layout.center_layout(crank, bar.smallest_bar(crank))
    moves = layout.handwheel_moves(sheet, reference, Quantity(lead, "mm"), Quantity(lost, "mm"))
    assert sorted(move.name for move in moves) == sorted(point.name for point in sheet.points)
    table = np.array([-500.0, -500.0])
    wheel = table.copy()
    for move in moves:
        for target in ((move.approach_x, move.approach_y), (move.x, move.y)):
            wheel = np.array([place.m_as("mm") for place in target])
            table = np.minimum(
                np.maximum(table, wheel), wheel + lost
            )  # follows up at once, down only past the backlash
        np.testing.assert_allclose(table, wheel, atol=1e-9)
        for place, turns, rest in (
            (move.x, move.turns_x, move.rest_x),
            (move.y, move.turns_y, move.rest_y),
        ):
            assert place.m_as("mm") == pytest.approx(turns * lead + rest.m_as("mm"), abs=1e-8)
            assert 0 <= rest.m_as("mm") < lead
        wanted, zero = sheet.find(move.name), sheet.points[0]
        at = {
            "edges": wanted.from_left,
            "middle": wanted.from_middle_x,
            "main": wanted.from_middle_x - zero.from_middle_x,
        }[reference]
        assert move.x.m_as("mm") == pytest.approx(at.m_as("mm"), abs=1e-8)


def test_numbers_of_the_handwheels_from_each_zero():
    """Pump in a Ø60 bar: the main 9 below the middle, the pin 9 above; edges 30 away. Dials of 2 mm
    a turn, 0.1 lost, each place come to from 0.3 below; x, alike for both, stays locked.
    """
    stock = bar.stock_bar(bar.smallest_bar(PUMP))
    sheet = layout.center_layout(PUMP, stock)
    places = {"middle": (0, -9, 9), "edges": (30, 21, 39), "main": (0, 0, 18)}
    for reference, (x, *heights) in places.items():
        moves = layout.handwheel_moves(sheet, reference, Quantity(2, "mm"), Quantity(0.1, "mm"))
        assert [one.name for one in moves] == ["main", "pin 1"]
        assert [one.x.m_as("mm") for one in moves] == [x, x]
        assert [one.y.m_as("mm") for one in moves] == heights
        assert [one.approach_x.m_as("mm") - x for one in moves] == pytest.approx([-0.3, 0])
        below = [one.approach_y.m_as("mm") for one in moves]
        assert below == pytest.approx([high - 0.3 for high in heights])
        turns = [divmod(high, 2) for high in heights]
        assert [(one.turns_y, one.rest_y.m_as("mm")) for one in moves] == turns
        assert all((one.turns_x, one.rest_x.m_as("mm")) == divmod(x, 2) for one in moves)


ZERO = Quantity([0.0, 0.0], "mm")


def test_five_hundredths_outward_at_both_ends():
    """Throw 18.05, no phase, no slope."""
    found = layout.pin_axis(PUMP, 0, Quantity([0.05, 0], "mm"), Quantity([0.05, 0], "mm"))
    assert found.throw_error.m_as("mm") == pytest.approx(0.05)
    assert (found.phase_error.magnitude, found.misalignment.magnitude) == (0, 0)


def test_five_hundredths_across_at_one_end_by_hand():
    """Bar 163, pin in its middle: half of 0.05 at the pin, 0.025/18 rad = 0.0796 degrees; 0.05/163 = 0.3067 mm/m skew.

    Over the 22 mm of the pin that takes 6.75 um of the bearing's clearance.
    """
    found = layout.pin_axis(PUMP, 0, Quantity([0, 0.05], "mm"), ZERO, Quantity(163, "mm"))
    assert found.phase_error.m_as("deg") == pytest.approx(0.0796, abs=5e-5)
    assert found.twist.m_as("deg") == pytest.approx(np.degrees(0.05 / 18), rel=1e-4)
    assert found.skew.m_as("mm/m") == pytest.approx(0.3067, abs=1e-4)
    assert found.tilt.m_as("mm/m") == 0
    assert found.takes_clearance.m_as("um") == pytest.approx(6.75, abs=0.01)


def test_a_tenth_of_a_degree_between_the_ends_by_hand():
    """18 mm * 0.1 deg = 0.031416 mm at the right end: 0.05 degrees at mid pin, skew 0.031416/163 = 0.19274 mm/m, 4.24 um over the pin."""
    found = layout.pin_axis(PUMP, 0, ZERO, ZERO, Quantity(163, "mm"), Quantity(0.1, "deg"))
    assert found.phase_error.m_as("deg") == pytest.approx(0.05, abs=1e-6)
    assert found.twist.m_as("deg") == pytest.approx(0.1)
    assert found.skew.m_as("mm/m") == pytest.approx(0.19274, abs=1e-5)
    assert found.takes_clearance.m_as("um") == pytest.approx(4.24, abs=0.005)
    assert abs(found.throw_error.m_as("mm")) < 1e-5


def test_pin_near_the_left_end_feels_the_left_error_more():
    """Compressor: pin 1 has its middle at 40 + 10 + 8 of 172: shares 114/172 and 58/172."""
    found = layout.pin_axis(Crank.load("compressor"), 0, ZERO, Quantity([0.1, 0], "mm"))
    assert found.throw_error.m_as("mm") == pytest.approx(0.1 * 114 / 172)
    assert found.tilt.m_as("mm/m") == pytest.approx(-1000 * 0.1 / 172)


def test_swing_over_bed_and_carriage():
    sheet = layout.center_layout(PUMP, bar.smallest_bar(PUMP))
    for check in layout.swing_check(sheet):
        reach = 58.156 / 2 + 9
        assert check.swing.m_as("mm") == pytest.approx(reach, abs=1e-3)
        assert check.over_bed.m_as("mm") == pytest.approx(90 - reach, abs=1e-3)
        assert check.over_carriage.m_as("mm") == pytest.approx(55 - reach, abs=1e-3)
    tight = layout.swing_check(sheet, load_lathe(), Quantity(70, "mm"))
    assert tight[0].over_carriage.magnitude < 0
    longer = layout.center_layout(PUMP, bar.smallest_bar(PUMP, center_end=Quantity(120, "mm")))
    with pytest.raises(ValueError, match="^bar is longer than the 350 mm"):
        layout.swing_check(longer)


def test_counterweight_against_the_lever_law():
    """Steel 7850 kg/m3, Ø57.341 by 163: 3.304 kg, 9 mm off; at 60 mm 0.4957 kg."""
    drawn = bar.smallest_bar(PUMP, straightness=Quantity(1.5, "mm/m"))
    sheet = layout.center_layout(PUMP, drawn)
    found = layout.turning_balance(sheet, "pin 1", steels.find("C45").density, Quantity(60, "mm"))
    assert found.mass.m_as("kg") == pytest.approx(3.3043, abs=1e-3)
    assert found.offset.m_as("mm") == pytest.approx(9)
    assert found.counterweight.m_as("kg") == pytest.approx(0.4957, abs=2e-4)
    assert speeds.unbalanced_speed_limit(found.mass, found.offset, Quantity(60, "N")).m_as(
        "rpm"
    ) == pytest.approx(429, abs=1)


@pytest.mark.parametrize("name", ALL)
def test_holes_have_room_by_shapely(load, name):
    crank = load(name)
    found = bar.smallest_bar(crank, "flat")
    sheet = layout.center_layout(crank, found)
    hole = center_holes.center_hole(min(found.width, found.height))
    mouths = [
        shapely.Point(p.from_middle_x.m_as("mm"), p.from_middle_y.m_as("mm")).buffer(
            hole.mouth.m_as("mm") / 2, 256
        )
        for p in sheet.points
    ]
    edge = shapely.box(
        *(sign * side.m_as("mm") / 2 for sign in (-1, 1) for side in (found.width, found.height))
    ).exterior
    for index, room in enumerate(center_holes.hole_room(sheet, hole)):
        assert room.to_edge.m_as("mm") == pytest.approx(mouths[index].distance(edge), abs=1e-3)
        assert room.to_next.m_as("mm") == pytest.approx(
            min(mouths[index].distance(other) for other in mouths if other is not mouths[index]),
            abs=1e-3,
        )
        assert room.fits == (min(room.to_edge, room.to_next).m_as("mm") >= 1)


def test_mouths_that_cut_into_each_other_do_not_fit():
    short = PUMP.with_throw(0, radius=Quantity(5, "mm"))
    sheet = layout.center_layout(short, bar.smallest_bar(short))
    rooms = center_holes.hole_room(sheet, center_holes.center_hole(Quantity(60, "mm")))
    assert not any(room.fits for room in rooms)
    assert rooms[0].to_next.m_as("mm") == pytest.approx(5 - 8.5)


def test_thrust_asks_for_a_larger_hole():
    """2000 N on the ring between Ø4.25 and Ø2: 2000 / (pi/4 (18.0625 - 4)) = 181 MPa; the next, Ø5.3 and Ø2.5, 117; Ø6.7 and Ø3.15, 72.8."""
    light, heavy = (
        center_holes.center_hole(Quantity(15, "mm"), Quantity(thrust, "N"))
        for thrust in (500, 2000)
    )
    assert (light.name, heavy.name) == ("A2/4.25", "A3.15/6.7")
    assert heavy.pressure.m_as("MPa") == pytest.approx(72.8, abs=0.1)
    with pytest.raises(ValueError, match="^thrust of 1000000 N"):
        center_holes.center_hole(Quantity(15, "mm"), Quantity(1e6, "N"))
    with pytest.raises(ValueError, match="^work_diameter must lie"):
        center_holes.center_hole(Quantity(0.1, "in"), standard="ASME")
    assert center_holes.center_hole(Quantity(0.75, "in"), standard="ASME").name == "No. 3"


@pytest.mark.parametrize("name", ALL)
def test_throw_plate_holds_bore_and_mouths_by_shapely(load, name):
    crank = load(name)
    hole, bore, wall = (
        center_holes.center_hole(Quantity(10, "mm")),
        Quantity(8, "mm"),
        Quantity(3, "mm"),
    )
    plate = center_holes.throw_plate(crank, hole, bore, wall)
    walls = [shapely.Point(0, 0).buffer(4 + 3, 128)]
    walls += [
        affinity.rotate(
            shapely.Point(0, t.radius.m_as("mm")).buffer(hole.mouth.m_as("mm") / 2 + 3, 128),
            t.angle.m_as("deg"),
            origin=(0, 0),
        )
        for t in crank.throws
    ]
    assert (
        shapely.Point(0, 0)
        .buffer(plate.diameter.m_as("mm") / 2 + 1e-2, 512)
        .contains(shapely.union_all(walls))
    )
    assert plate.diameter.m_as("mm") / 2 == pytest.approx(
        max(shapely.hausdorff_distance(shapely.Point(0, 0), part.exterior) for part in walls),
        abs=1e-2,
    )
    if len(crank.throws) == 1:
        low_x, low_y, high_x, high_y = affinity.rotate(
            shapely.union_all(walls), -crank.throws[0].angle.m_as("deg"), origin=(0, 0)
        ).bounds
        assert (plate.lug_width.m_as("mm"), plate.lug_length.m_as("mm")) == pytest.approx(
            (high_x - low_x, high_y - low_y), abs=1e-2
        )


CUTS = [
    ("round", {"flat_depth": 6}),
    ("round", {"flat_depth": 30}),
    ("square", {"flat_depth": 12}),
    ("flat", {"flat_depth": 5}),
    ("round", {"pin_diameter": 18, "pin_x": 3, "pin_y": 9}),
    ("flat", {"pin_diameter": 18, "pin_y": 9}),
]


@pytest.mark.parametrize(("shape", "cut"), CUTS)
def test_left_section_against_sectionproperties(shape, cut):
    """Mesh of the polygon; within 0.1 %, the polygon of 256 sides lies that much inside its circle (1e-4) or less."""
    pytest.importorskip("cytriangle", reason="the mesher has no wheel for this Python")
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry

    found = bar.smallest_bar(PUMP, shape)
    half_x, half_y = found.width.m_as("mm") / 2, found.height.m_as("mm") / 2
    whole = (
        shapely.Point(0, 0).buffer(half_x, 64)
        if shape == "round"
        else shapely.box(-half_x, -half_y, half_x, half_y)
    )
    if "flat_depth" in cut:
        left = whole.intersection(shapely.box(-100, -100, 100, half_y - cut["flat_depth"]))
    else:
        left = shapely.Point(cut.get("pin_x", 0), cut["pin_y"]).buffer(cut["pin_diameter"] / 2, 64)
    mesh = Geometry(left).create_mesh(mesh_sizes=[30])
    meshed = Section(mesh)
    meshed.calculate_geometric_properties()
    ours = locked_in_stress.left_section(
        found, **{name: Quantity(size, "mm") for name, size in cut.items()}
    )
    ixx, iyy, ixy = meshed.get_ic()
    middle = meshed.get_c()
    assert ours.area.m_as("mm**2") == pytest.approx(meshed.get_area(), rel=1e-3)
    assert (ours.middle_x.m_as("mm"), ours.middle_y.m_as("mm")) == pytest.approx(middle, abs=2e-3)
    assert ours.second_moment_x.m_as("mm**4") == pytest.approx(ixx, rel=2e-3)
    assert ours.second_moment_y.m_as("mm**4") == pytest.approx(iyy, rel=2e-3)
    assert ours.second_moment_xy.m_as("mm**4") == 0  # each is alike to both sides of y
    assert ixy == pytest.approx(0, abs=1e-3 * ixx)


STRESS, MODULUS = Quantity(100, "MPa"), Quantity(206, "GPa")


@pytest.mark.parametrize("shape", bar.SHAPES)
def test_profile_is_in_balance_and_one_at_the_skin(shape):
    """Summed over a fine even grid that knows nothing of ours: force below 0.3 % of skin stress times area, no moment."""
    found = bar.smallest_bar(PUMP, shape)
    half_x, half_y = found.width.m_as("mm") / 2, found.height.m_as("mm") / 2
    x, y = np.meshgrid(*((np.arange(400) + 0.5) / 200 * half - half for half in (half_x, half_y)))
    inside = np.hypot(x, y) < half_x if shape == "round" else np.full(x.shape, True)
    stress = locked_in_stress.stress_profile(
        found, STRESS, Quantity(x[inside], "mm"), Quantity(y[inside], "mm")
    ).m_as("MPa")
    assert abs(stress.mean()) < 0.3
    assert abs((stress * y[inside]).mean()) < 0.3
    assert locked_in_stress.stress_profile(
        found, STRESS, Quantity(0, "mm"), Quantity(half_y, "mm")
    ).m_as("MPa") == pytest.approx(100)
    assert (
        locked_in_stress.stress_profile(found, STRESS, Quantity(0, "mm"), Quantity(0, "mm")).m_as(
            "MPa"
        )
        < 0
    )
    with pytest.raises(ValueError, match="^x and y lie outside"):
        locked_in_stress.stress_profile(
            found, STRESS, Quantity(0, "mm"), Quantity(half_y + 1, "mm")
        )


@pytest.mark.parametrize("diameter", [6, 18, 30])
def test_curvature_of_a_pin_by_hand(diameter):
    """Round bar, sigma = s(2 rho^2/R^2 - 1): over a disc at c, M = s 4 c I / R^2, so kappa = 4 c s / (E R^2), whatever the disc."""
    found = bar.smallest_bar(PUMP)
    radius = found.width.m_as("mm") / 2
    free = locked_in_stress.release(
        found, STRESS, MODULUS, pin_diameter=Quantity(diameter, "mm"), pin_y=Quantity(9, "mm")
    )
    assert free.curvature_y.m_as("1/mm") == pytest.approx(
        4 * 9 * 100 / (206000 * radius**2), rel=1e-9
    )
    assert abs(free.curvature_x.m_as("1/mm")) < 1e-15
    mean = 100 * (2 * (81 + diameter**2 / 8) / radius**2 - 1)
    assert free.strain == pytest.approx(-mean / 206000, rel=1e-9)


def test_flat_by_a_second_integration():
    """scipy's adaptive double integral of the segment left."""
    from scipy.integrate import dblquad

    found = bar.smallest_bar(PUMP)
    radius = found.width.m_as("mm") / 2
    top = radius - 10

    def over(quantity):
        return dblquad(
            lambda x, y: quantity(x, y),
            -radius,
            top,
            lambda y: -np.sqrt(radius**2 - y**2),
            lambda y: np.sqrt(radius**2 - y**2),
            epsabs=1e-3,
        )[0]

    area, first = over(lambda x, y: 1.0), over(lambda x, y: y)
    middle = first / area
    second = over(lambda x, y: (y - middle) ** 2)
    moment = over(lambda x, y: 100 * (2 * (x * x + y * y) / radius**2 - 1) * (y - middle))
    free = locked_in_stress.release(found, STRESS, MODULUS, flat_depth=Quantity(10, "mm"))
    assert free.curvature_y.m_as("1/mm") == pytest.approx(moment / (206000 * second), rel=1e-6)
    assert free.curvature_y.magnitude < 0  # skin in tension gone: the ends turn away from the cut


@pytest.mark.parametrize("shape", bar.SHAPES)
@pytest.mark.parametrize("depth", [3, 11, 27])
def test_strips_against_a_plain_grid(shape, depth):
    """Stress of ``stress_profile`` summed over small squares of what is left: 800 a side; the edge of the cut lies half a square off at most, 2 % of the least depth."""
    found = bar.smallest_bar(Crank.load("compressor"), shape)
    half_x, half_y = found.width.m_as("mm") / 2, found.height.m_as("mm") / 2
    x, y = np.meshgrid(*((np.arange(800) + 0.5) / 400 * half - half for half in (half_x, half_y)))
    left = (y < half_y - depth) & (np.hypot(x, y) < half_x if shape == "round" else True)
    x, y = x[left], y[left]
    stress = locked_in_stress.stress_profile(
        found, STRESS, Quantity(x, "mm"), Quantity(y, "mm")
    ).m_as("MPa")
    eta = y - y.mean()
    free = locked_in_stress.release(found, STRESS, MODULUS, flat_depth=Quantity(depth, "mm"))
    assert free.curvature_y.m_as("1/mm") == pytest.approx(
        (stress * eta).sum() / (206000 * (eta**2).sum()), rel=0.02
    )
    assert free.strain == pytest.approx(-stress.mean() / 206000, abs=0.005 * 100 / 206000)


def test_nothing_cut_sets_nothing_free():
    for shape in bar.SHAPES:
        free = locked_in_stress.release(
            bar.smallest_bar(PUMP, shape), STRESS, MODULUS, flat_depth=Quantity(0, "mm")
        )
        assert abs(free.curvature_y.m_as("1/mm")) < 1e-12
        assert abs(free.strain) < 1e-12


@pytest.mark.parametrize(
    ("cut", "length", "start"), [(100, 100, 0), (22, 163, 70.5), (30, 200, 20), (10, 100, 90)]
)
def test_bow_against_integrating_the_curvature_twice(cut, length, start):
    z = np.linspace(0, length, 200_001)
    curvature = np.where((z >= start) & (z <= start + cut), 1e-5, 0.0)
    slope = np.concatenate([[0], np.cumsum((curvature[1:] + curvature[:-1]) / 2 * np.diff(z))])
    height = np.concatenate([[0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(z))])
    height -= height[-1] * z / length
    wanted = -np.interp(start + cut / 2, z, height)
    found = locked_in_stress.bow(
        Quantity(1e-5, "1/mm"), Quantity(cut, "mm"), Quantity(length, "mm"), Quantity(start, "mm")
    )
    assert found.m_as("mm") == pytest.approx(wanted, rel=1e-3)


def test_bow_over_the_whole_bar_is_the_arc():
    assert locked_in_stress.bow(Quantity(1e-5, "1/mm"), Quantity(400, "mm")).m_as(
        "mm"
    ) == pytest.approx(1e-5 * 400**2 / 8)


def test_bow_has_the_scatter_of_the_stress():
    cut = {"pin_diameter": Quantity(18, "mm"), "pin_y": Quantity(9, "mm")}
    low, usual, high = locked_in_stress.bow_with_scatter(
        bar.smallest_bar(PUMP), "1144", Quantity(22, "mm"), Quantity(163, "mm"), **cut
    )
    assert 0 < low < usual < high
    stresses = locked_in_stress.surface_stress("1144")
    assert (high / low).magnitude == pytest.approx((stresses[2] / stresses[0]).magnitude)
    relieved = locked_in_stress.bow_with_scatter(
        bar.smallest_bar(PUMP),
        "1144",
        Quantity(22, "mm"),
        Quantity(163, "mm"),
        condition="stress relieved",
        **cut,
    )
    assert relieved[1] < usual
    for name in steels.NAMES:
        assert len(locked_in_stress.surface_stress(name)) == 3


FOUND = bar.smallest_bar(PUMP)
SHEET = layout.center_layout(PUMP, FOUND)
HOLE = center_holes.center_hole(Quantity(57, "mm"))
CALLS = {
    "smallest_bar": (
        bar.smallest_bar,
        {"crank": PUMP, "allowance": Quantity(1, "mm"), "center_end": Quantity(5, "mm")},
        {"crank"},
    ),
    "handwheel_moves": (
        layout.handwheel_moves,
        {"layout": SHEET, "lead": Quantity(2, "mm"), "backlash": Quantity(0.1, "mm")},
        {"layout"},
    ),
    "pin_axis": (
        layout.pin_axis,
        {
            "crank": PUMP,
            "index": 0,
            "right_error": ZERO,
            "left_error": ZERO,
            "bar_length": Quantity(150, "mm"),
        },
        {"crank", "index"},
    ),
    "swing_check": (
        layout.swing_check,
        {"layout": SHEET, "swing_over_carriage": Quantity(110, "mm")},
        {"layout"},
    ),
    "turning_balance": (
        layout.turning_balance,
        {
            "layout": SHEET,
            "name": "main",
            "density": Quantity(7850, "kg/m**3"),
            "radius": Quantity(60, "mm"),
        },
        {"layout", "name"},
    ),
    "center_hole": (
        center_holes.center_hole,
        {
            "work_diameter": Quantity(20, "mm"),
            "thrust": Quantity(100, "N"),
            "allowed_pressure": Quantity(50, "MPa"),
        },
        set(),
    ),
    "hole_room": (
        center_holes.hole_room,
        {"layout": SHEET, "hole": HOLE, "least_wall": Quantity(1, "mm")},
        {"layout", "hole"},
    ),
    "throw_plate": (
        center_holes.throw_plate,
        {"crank": PUMP, "hole": HOLE, "bore": Quantity(12, "mm"), "wall": Quantity(4, "mm")},
        {"crank", "hole"},
    ),
    "release": (
        locked_in_stress.release,
        {
            "bar": FOUND,
            "surface": STRESS,
            "elastic_modulus": MODULUS,
            "flat_depth": Quantity(3, "mm"),
        },
        {"bar"},
    ),
    "bow": (
        locked_in_stress.bow,
        {"curvature": Quantity(1e-5, "1/mm"), "cut_length": Quantity(20, "mm")},
        set(),
    ),
}
EACH = [
    pytest.param(call, given, name, id=f"{label}-{name}")
    for label, (call, given, plain) in CALLS.items()
    for name in given
    if name not in plain
]


@pytest.mark.parametrize(("call", "given", "name"), EACH)
@pytest.mark.parametrize(
    ("bad", "kind"), [(25, TypeError), (Quantity(1, "candela"), pint.DimensionalityError)]
)
def test_units_are_asked_for(call, given, name, bad, kind):
    with pytest.raises(kind, match=f"^{name}"):
        call(**given | {name: bad})


@pytest.mark.parametrize(("call", "given", "name"), EACH)
def test_numbers_have_to_be_finite(call, given, name):
    with pytest.raises(ValueError, match=f"^{name}"):
        call(**given | {name: given[name] * np.nan})


@pytest.mark.parametrize(
    ("call", "start"),
    [
        (lambda: bar.smallest_bar(PUMP, "hexagon"), "shape must be one of round, square, flat"),
        (
            lambda: bar.smallest_bar(PUMP, allowance=Quantity(-1, "mm")),
            "allowance must be at least 0",
        ),
        (lambda: bar.stock_bar(FOUND, "ft"), "unit must be"),
        (
            lambda: bar.stock_bar(bar.smallest_bar(PUMP.with_throw(0, radius=Quantity(300, "mm")))),
            "bar of .* is larger",
        ),
        (lambda: layout.center_layout(PUMP, FOUND, "top"), "end must be one of right, left"),
        (lambda: SHEET.find("pin 2"), "name must be one of main, pin 1"),
        (lambda: layout.handwheel_moves(SHEET, "corner"), "reference must be"),
        (lambda: layout.pin_axis(PUMP, 1, ZERO, ZERO), "index must be from 0 to 0"),
        (
            lambda: layout.pin_axis(PUMP, 0, Quantity(0.1, "mm"), ZERO),
            "right_error takes two lengths",
        ),
        (
            lambda: layout.pin_axis(PUMP, 0, ZERO, ZERO, Quantity(100, "mm")),
            "bar_length is shorter",
        ),
        (
            lambda: center_holes.center_hole(Quantity(20, "mm"), standard="JIS"),
            "standard must be one of ISO, ASME",
        ),
        (lambda: center_holes.throw_plate(PUMP, HOLE, Quantity(34, "mm")), "bore reaches into"),
        (lambda: locked_in_stress.left_section(FOUND), "flat_depth or pin_diameter"),
        (
            lambda: locked_in_stress.left_section(FOUND, flat_depth=Quantity(60, "mm")),
            "flat_depth takes the whole bar",
        ),
        (
            lambda: locked_in_stress.left_section(
                FOUND, pin_diameter=Quantity(20, "mm"), pin_y=Quantity(25, "mm")
            ),
            "pin_diameter has to",
        ),
        (lambda: locked_in_stress.surface_stress("1018", "polished"), "condition must be one of"),
        (
            lambda: locked_in_stress.bow(
                Quantity(1, "1/m"), Quantity(20, "mm"), Quantity(10, "mm")
            ),
            "cut_length does not fit",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, start):
    with pytest.raises(ValueError, match=f"^{start}"):
        call()


def test_long_mains_bow_together():
    """The review's crank, integrated apart: mains of 80 mm, 1144, bar of 60 mm: 306 um at worst with
    mains and pin roughed; the plan has its webs cut too. One piece had 232: fine at 250."""
    from dataclasses import replace

    from crankmath.job import Job
    from crankmath.job.report import check_job

    pump = Crank.load("pump")
    mains = tuple(replace(main, length=Quantity(80.0, "mm")) for main in pump.journals)
    crank = replace(pump, name="long mains", steel="1144", journals=mains)
    found = check_job(Job(crank).typed("bar_size", "60 mm")).find("locked_in")
    assert found.verdict == "look" and found.number("largest after") == "Rough the mains"
    assert found.number("bow, high").m_as("um") == pytest.approx(306, rel=0.05)


# ---- bounds and sums by hand


def test_black_bar_may_be_off_by_its_size():
    """EN 10060, table 1, from memory: smallest and largest size of each row."""
    rows = ((10, 15, 0.4), (16, 25, 0.5), (26, 35, 0.6), (36, 50, 0.8), (52, 80, 1.0), (85, 100, 1.3),
            (105, 120, 1.5), (125, 160, 2.0), (165, 200, 2.5))  # fmt: skip
    for low, high, wanted in rows:
        for one in (low, high):
            assert next(off for size, off in bar.BLACK_OFF if one <= size) == wanted


def test_a_pin_between_errors_of_both_ends_as_complex_numbers():
    """Out along the throw is real; the pin's middle stands 70 of the crank's 140 and 15 of stub along
    170. All errors large, so that none hides behind another.
    """
    left, right = complex(18 - 0.1, 0.4), complex(18 + 0.3, -0.2) * np.exp(1j * np.radians(2.0))
    found = layout.pin_axis(
        PUMP, 0, Quantity([0.3, -0.2], "mm"), Quantity([-0.1, 0.4], "mm"), Quantity(170, "mm"),
        Quantity(2.0, "deg"),
    )  # fmt: skip
    here, slope = left + (right - left) * 85 / 170, (right - left) / 170
    assert found.throw.m_as("mm") == pytest.approx(abs(here))
    assert found.throw_error.m_as("mm") == pytest.approx(abs(here) - 18)
    assert found.phase_error.m_as("deg") == pytest.approx(np.degrees(np.angle(here)))
    assert found.twist.m_as("deg") == pytest.approx(np.degrees(np.angle(right) - np.angle(left)))
    assert found.tilt.m_as("mm/mm") == pytest.approx(slope.real)
    assert found.skew.m_as("mm/mm") == pytest.approx(slope.imag)
    assert found.misalignment.m_as("mm/mm") == pytest.approx(abs(slope))
    assert found.takes_clearance.m_as("mm") == pytest.approx(22 * abs(slope))
    even = layout.pin_axis(PUMP, 0, ZERO, ZERO, Quantity(140, "mm"))
    assert even.throw.m_as("mm") == 18, "a bar just as long as the crank"


def test_a_bar_that_just_goes_between_the_centers_goes():
    """140 and twice 1.5 to face and 103.5 of stub: 350 mm, as the school's lathe takes."""
    long = bar.smallest_bar(PUMP, center_end=Quantity(103.5, "mm"))
    assert long.length.m_as("mm") == 350
    assert len(layout.swing_check(layout.center_layout(PUMP, long))) == 2
    longer = replace(long, length=Quantity(350.1, "mm"))
    with pytest.raises(ValueError, match="^bar is longer"):
        layout.swing_check(layout.center_layout(PUMP, longer))


def test_a_square_bar_weighs_its_sides():
    """50 x 50 x 163 of 7850 kg/m3: 3.1989 kg, its middle 9 off the main: 28.79 kg mm, at 60 0.48."""
    found = replace(
        bar.smallest_bar(PUMP, "square"), width=Quantity(50, "mm"), height=Quantity(50, "mm")
    )
    sheet = layout.center_layout(PUMP, found)
    balance = layout.turning_balance(sheet, "main", Quantity(7850, "kg/m**3"), Quantity(60, "mm"))
    assert balance.mass.m_as("kg") == pytest.approx(7.85e-6 * 50 * 50 * 163)
    assert balance.offset.m_as("mm") == pytest.approx(9)
    assert balance.counterweight.m_as("kg") == pytest.approx(7.85e-6 * 50 * 50 * 163 * 9 / 60)


@pytest.mark.parametrize("angle", [0.0, 30.0, 120.0, 215.0])
def test_an_unturned_bar_lies_square_to_the_throw(angle):
    """Webs 28 by 46, 1 to machine: 30 by 48 or 48 by 30, or 48 square, about a middle 9 out along the
    throw; zero is up, and angles count counterclockwise.
    """
    crank = PUMP.with_throw(0, angle=Quantity(angle, "deg"))
    way = np.radians(angle)
    for shape, sizes in (("square", {48.0}), ("flat", {30.0, 48.0})):
        found = bar.smallest_bar(
            crank, shape, Quantity(1, "mm"), Quantity(0, "mm"), Quantity(0, "mm/m"), turned=False
        )
        assert found.turn.m_as("deg") == pytest.approx(angle % 90)
        wide, high = (side.m_as("mm") for side in (found.width, found.height))
        assert sorted({round(wide, 9), round(high, 9)}) == sorted(sizes)
        if shape == "flat":  # width lies along turn, across the throw where that is a half turn off
            across = abs(np.cos(np.radians(found.turn.m_as("deg")) - way)) > 0.5
            assert (wide, high) == pytest.approx((30, 48) if across else (48, 30))
        middle = found.middle_x.m_as("mm"), found.middle_y.m_as("mm")
        assert middle == pytest.approx((-9 * np.sin(way), 9 * np.cos(way)), abs=1e-9)


def test_smallest_circles_by_hand_and_by_shapely():
    """A right or blunt triangle has it over its longest side, a sharp one through its corners: sides
    of 6 about 6/sqrt 3. Any scatter as shapely has it.
    """
    for corners, middle, radius in (
        ([(0, 0), (6, 0), (0, 8)], (3, 4), 5.0), ([(0, 0), (10, 0), (5, 1)], (5, 0), 5.0),
        ([(0, 0), (6, 0), (3, 27**0.5)], (3, 3**0.5), 12**0.5), ([(1, 1), (4, 5)], (2.5, 3), 2.5),
        ([(0, 0), (2, 0), (4, 0), (1, 0)], (2, 0), 2.0),
    ):  # fmt: skip
        found, size = bar.smallest_circle(np.array(corners, float))
        assert (*found, size) == pytest.approx((*middle, radius))
    chance = np.random.default_rng(5)
    for _ in range(20):
        points = chance.normal(size=(chance.integers(3, 9), 2)) * [30, chance.uniform(1, 30)]
        _, size = bar.smallest_circle(points)
        assert size == pytest.approx(shapely.minimum_bounding_radius(shapely.MultiPoint(points)))
    for bad in (
        [[1.0, 2.0]],
        [[1.0, 2.0], [1.0, 2.0]],
        [[1, 2, 3], [4, 5, 6]],
        [[0, 0], [1, np.nan]],
    ):
        with pytest.raises(ValueError, match="^points have to be"):
            bar.smallest_circle(bad)


def test_a_bar_just_of_a_stock_size_is_that_size():
    for unit, shape, side, wanted in (
        ("mm", "round", 60.0, 60), ("mm", "round", 60.01, 65), ("in", "round", 2.5, 2.5),
        ("mm", "square", 100.0, 100), ("in", "flat", 0.5, 0.5), ("in", "flat", 0.51, 0.625),
    ):  # fmt: skip
        size = Quantity(side, unit)
        found = bar.stock_bar(replace(bar.smallest_bar(PUMP, shape), width=size, height=size), unit)
        assert found.width.m_as(unit) == found.height.m_as(unit) == wanted


# ---- center holes


def test_a_center_hole_by_the_table_s_bounds():
    """ISO 6411 by shaft diameter, over the one to the other; ASME in inches."""
    for standard, unit, rows in (
        ("ISO", "mm", ((0.5, "A1/2.12"), (8, "A1/2.12"), (8.01, "A1.6/3.35"), (80, "A4/8.5"),
                       (80.1, "A6.3/13.2"), (300, "A10/21.2"))),
        ("ASME", "in", ((0.19, "No. 2"), (0.3125, "No. 2"), (0.32, "No. 3"), (1, "No. 3"), (4, "No. 5"))),
    ):  # fmt: skip
        for size, name in rows:
            assert center_holes.center_hole(Quantity(size, unit), standard=standard).name == name
    for size, standard in ((300.1, "ISO"), (0.1875 * 25.4, "ASME"), (4.001 * 25.4, "ASME")):
        with pytest.raises(ValueError, match="^work_diameter must lie in the table"):
            center_holes.center_hole(Quantity(size, "mm"), standard=standard)


def test_a_hole_bears_up_to_its_pressure_and_its_cone_is_60_degrees():
    """A4/8.5: a ring of pi/4 (72.25 - 16) = 44.18 mm2; its cone is 2.25 tan 60 deep, 3.897."""
    work, ring = Quantity(60, "mm"), np.pi / 4 * (8.5**2 - 4**2)
    hole = center_holes.center_hole(work, Quantity(1000, "N"))
    assert hole.pressure.m_as("MPa") == pytest.approx(1000 / ring)
    assert hole.cone_depth.m_as("mm") == pytest.approx(2.25 * 3**0.5)
    for share, name in ((1.0, "A4/8.5"), (1.001, "A4/8.5"), (0.999, "A6.3/13.2")):
        found = center_holes.center_hole(
            work, Quantity(1000, "N"), allowed_pressure=hole.pressure * share
        )
        assert found.name == name


def throw_in_60(radius):
    """Centers of the pump with another throw in a bar of Ø60, its axes alike off the middle."""
    crank = PUMP.with_throw(0, radius=Quantity(radius, "mm"))
    stock = replace(bar.smallest_bar(crank), width=Quantity(60, "mm"), height=Quantity(60, "mm"))
    return layout.center_layout(crank, stock)


def test_a_wall_as_thick_as_wanted_is_enough():
    """Mouths of 8.5 with 18 between them leave 9.5; 24 apart 13.75 are left to the edge: 30 - 12 -
    4.25.
    """
    hole = center_holes.center_hole(Quantity(60, "mm"))
    for radius, wall in ((18.0, 9.5), (24.0, 13.75)):
        for wanted, fits in ((wall, True), (wall + 0.01, False)):
            rooms = center_holes.hole_room(throw_in_60(radius), hole, Quantity(wanted, "mm"))
            assert [room.fits for room in rooms] == [fits, fits]


def test_a_smaller_hole_where_the_throw_is_short():
    """9 between the axes: mouths of 8.5 leave 0.5, of 6.7 leave 2.3; at 7 those of 5.3 leave 1.7, and
    bear 100 MPa on pi/4 (28.09 - 6.25) = 17.15 mm2, not more.
    """
    for radius, name in ((9.5, "A4/8.5"), (9.0, "A3.15/6.7"), (7.0, "A2.5/5.3")):
        assert center_holes.hole_with_room(throw_in_60(radius)).name == name
    borne = 100 * np.pi / 4 * (5.3**2 - 2.5**2)
    assert (
        center_holes.hole_with_room(throw_in_60(7.0), Quantity(borne - 0.1, "N")).name[:4] == "A2.5"
    )
    with pytest.raises(ValueError, match="^layout has no room"):
        center_holes.hole_with_room(throw_in_60(7.0), Quantity(borne + 0.1, "N"))


def test_a_throw_plate_by_hand():
    """18 out, a mouth of 8.5, a bore of 12, walls of 5: 2 (18 + 4.25 + 5) across, a lug 18 + 6 + 4.25
    + 10 long and 22 wide, as thick as the hole's 7.4 and a wall. A bore of 27.5 just leaves the mouth.
    """
    hole = center_holes.center_hole(Quantity(60, "mm"))
    plate = center_holes.throw_plate(PUMP, hole, Quantity(12, "mm"), Quantity(5, "mm"))
    sizes = [plate.diameter, plate.lug_length, plate.lug_width, plate.thickness]
    assert [size.m_as("mm") for size in sizes] == pytest.approx([54.5, 38.25, 22, 12.4])
    slim = center_holes.throw_plate(PUMP, hole, Quantity(4, "mm"), Quantity(5, "mm"))
    assert slim.lug_width.m_as("mm") == pytest.approx(18.5)
    center_holes.throw_plate(PUMP, hole, Quantity(27.5, "mm"))
    with pytest.raises(ValueError, match="^bore reaches into"):
        center_holes.throw_plate(PUMP, hole, Quantity(27.6, "mm"))


# ---- locked-in stress


@pytest.mark.parametrize("shape", ["square", "flat"])
def test_a_pin_aside_in_a_square_bar_by_rings(shape):
    """The stress of the profile summed over 200 rings of 720 places each: a moment both ways."""
    found = bar.smallest_bar(PUMP, shape)
    x, y, radius = 4.0, -7.0, 8.0
    rho = (np.arange(200) + 0.5) / 200 * radius
    turn = np.arange(720) * 2 * np.pi / 720
    out_x, out_y = rho[:, None] * np.cos(turn), rho[:, None] * np.sin(turn)
    area = np.broadcast_to(rho[:, None] * radius / 200 * 2 * np.pi / 720, out_x.shape)
    stress = locked_in_stress.stress_profile(
        found, STRESS, Quantity(x + out_x, "mm"), Quantity(y + out_y, "mm")
    ).m_as("MPa")
    second = np.pi * (2 * radius) ** 4 / 64
    at = {
        "pin_diameter": Quantity(16, "mm"),
        "pin_x": Quantity(x, "mm"),
        "pin_y": Quantity(y, "mm"),
    }
    free = locked_in_stress.release(found, STRESS, MODULUS, **at)
    wanted = [(stress * area * out).sum() / (206000 * second) for out in (out_y, out_x)]
    curved = [free.curvature_y.m_as("1/mm"), free.curvature_x.m_as("1/mm")]
    assert curved == pytest.approx(wanted, rel=2e-3)
    mean = (stress * area).sum() / (np.pi * radius**2)
    assert free.strain == pytest.approx(-mean / 206000, abs=1e-3 * 100 / 206000)
    # without sign both ways together, over an even length L^2 / 8
    steel = steels.find("C45")
    low, usual, high = locked_in_stress.bow_with_scatter(found, "C45", Quantity(100, "mm"), **at)
    modulus = steel.elastic_modulus.m_as("MPa")
    for bow, skin in zip((low, usual, high), locked_in_stress.surface_stress("C45"), strict=True):
        bend = np.hypot(*curved) * 206000 / modulus * (skin.m_as("MPa") / 100)
        assert bow.m_as("mm") == pytest.approx(bend * 100**2 / 8)


def test_what_is_left_may_touch_the_skin_and_no_more():
    """A round of 12 at 6 from the skin of any bar; all of it cut away is refused."""
    for shape in bar.SHAPES:
        found = bar.smallest_bar(PUMP, shape)
        sides = [side.m_as("mm") / 2 for side in (found.width, found.height)]
        for x, y in ((0.0, sides[1] - 6), (-(sides[0] - 6), 0.0)):
            at = {"pin_x": Quantity(x, "mm"), "pin_y": Quantity(y, "mm")}
            left = locked_in_stress.left_section(found, pin_diameter=Quantity(12, "mm"), **at)
            assert left.area.m_as("mm**2") == pytest.approx(36 * np.pi)
            with pytest.raises(ValueError, match="^pin_diameter has to"):
                locked_in_stress.left_section(found, pin_diameter=Quantity(12.1, "mm"), **at)
        with pytest.raises(ValueError, match="^flat_depth takes"):
            locked_in_stress.left_section(found, flat_depth=found.height)
        with pytest.raises(ValueError, match="^pin_diameter has to"):
            locked_in_stress.left_section(found, pin_diameter=Quantity(0, "mm"))
    with pytest.raises(ValueError, match="give one of the two"):
        locked_in_stress.left_section(
            FOUND, flat_depth=Quantity(1, "mm"), pin_diameter=Quantity(1, "mm")
        )
    cut, bend = Quantity(20, "mm"), Quantity(1e-4, "1/mm")
    assert locked_in_stress.bow(bend, cut, cut, Quantity(0, "mm")).m_as("mm") == pytest.approx(5e-3)
    with pytest.raises(ValueError, match="^cut_length does not fit"):
        locked_in_stress.bow(bend, cut, Quantity(30, "mm"), Quantity(10.1, "mm"))

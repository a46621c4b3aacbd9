"""What the plan decides, by hand on stubs: jaws, bolts, drills of the centers, depths, the bar."""

from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import dist, hypot, pi
from types import SimpleNamespace as Stub

import pytest

from crankmath.blank import bar
from crankmath.crank import Crank
from crankmath.forces import drive, edge
from crankmath.job import Job
from crankmath.units import Quantity
from crankmath.workpiece import make_plan, release
from crankmath.workpiece.placing import alone
from crankmath.workpiece.planning import rules
from crankmath.workpiece.planning.ending import BOLTS, Ending
from crankmath.workpiece.planning.mill_steps import Milling
from crankmath.workpiece.planning.milling import _wall, block, stock_for
from crankmath.workpiece.planning.order import _Order
from crankmath.workpiece.sections import disc
from crankmath.workpiece.work import Flare, Piece, Work

PUMP, MAIN = Crank.load("pump"), (0.0, 0.0)


def mm(value):
    return Quantity(value, "mm")


@pytest.fixture(scope="module")
def plan():
    return make_plan(Job.load("pump"))


# the work as it stands

STEPS = Work(
    (
        Piece(0.0, 10.0, disc(MAIN, 10.0)),
        Piece(10.0, 30.0, disc((4.0, 3.0), 6.0)),
        Piece(30.0, 40.0, disc(MAIN, 8.0)),
    )
)


def test_mass_and_middle_of_three_disks():
    """1000 pi, 720 pi and 640 pi mm3, their middles at 5, 20 and 35; only the second off the axis."""
    volumes = [1000 * pi, 720 * pi, 640 * pi]
    total = sum(volumes)
    x, y, z = STEPS.center()
    assert STEPS.volume() == pytest.approx(total) and STEPS.mass(7.85e-6) == pytest.approx(
        7.85e-6 * total
    )
    assert x * total == pytest.approx(
        sum(v * at for v, at in zip(volumes, (5, 20, 35), strict=True))
    )
    assert (y * total, z * total) == pytest.approx((4 * 720 * pi, 3 * 720 * pi))
    about = STEPS.unbalance((1.0, -2.0), 1e-3)
    assert about == pytest.approx((1e-3 * (2880 * pi - total), 1e-3 * (2160 * pi + 2 * total)))


def test_what_swings_and_what_a_tool_meets():
    """About the main axis the second disk reaches 5 + 6 and is whole to 6 - 5; about its own the
    first one reaches 10 + 5 and the third 8 + 5.
    """
    assert STEPS.swing(MAIN) == 11 and STEPS.swing((4.0, 3.0)) == 15
    assert STEPS.swing((4.0, 3.0), 10.0, 30.0) == 6 and STEPS.swing((4.0, 3.0), 12.0, 35.0) == 13
    assert STEPS.swing(MAIN, 50.0, 60.0) == 0 == STEPS.whole_ring(MAIN, 50.0, 60.0)
    assert STEPS.whole_ring(MAIN, 0.0, 40.0) == pytest.approx(1)
    assert STEPS.whole_ring(MAIN, 0.0, 10.0) == 10
    assert STEPS.first_contact(MAIN, 5.0, 28.0) == (11, 19.0)
    assert STEPS.first_contact(MAIN, 50.0, 60.0) == (0, 50.0)
    assert STEPS.reach_needed((4.0, 3.0), 5.0, 10.0, 30.0) == 15 - 5
    assert STEPS.reach_needed((4.0, 3.0), 5.0, 0.0, 30.0) == 13 - 5
    assert STEPS.reach_needed(MAIN, 5.0, 0.0, 40.0) == -5, "nothing stands beside it"
    assert STEPS.share(MAIN, 9.0, 50.0) == 0 and STEPS.share(MAIN, 9.0, 5.0) == 1
    assert STEPS.at(40.5) is None and STEPS.at(40.0).area == pytest.approx(64 * pi)


# jaws, bolts, holes


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        (21.5, 21.5, ("In the lathe hold the other end main",)),
        (21.4, 21.5, ("Main 1 has no 20 mm ", "main 3 in soft jaws", "Face the right end on the mill")),
        (21.5, 21.4, ("Main 3 has no 20 mm ", "main 1 in soft jaws", "Face the left end on the mill")),
        (21.4, 21.4, ("Neither end main", "Face both ends on the mill")),
    ],
)  # fmt: skip
def test_jaws_hold_a_main_by_its_diameter(first, last, told):
    """Ø20 with a fillet of 1.5: 20 of it straight from 21.5 on. A main in the jaws lets the other
    end be faced.
    """
    mains = [
        Stub(length=mm(length), fillet=mm(1.5), diameter=mm(20.0)) for length in (first, 9.0, last)
    ]
    text = Ending._hold(Stub(crank=Stub(journals=mains), units="mm"))
    assert text.startswith(told[0]) and all(part in text for part in told)


@pytest.mark.parametrize("radius", [40.0, 30.0, 24.0, 20.0, 18.0, 9.0])
@pytest.mark.parametrize("axes", [{(-9.0, 0.0)}, {(-9.0, 0.0), (5.0, 9.0)}])
def test_a_bolt_stands_where_its_arm_is_longest(radius, axes):
    """Every place on the grid, one after another: 2 mm of metal around the hole, to the edge and to
    the mouths of the centers; the largest bolt that finds one. The grid is a twelfth of the bar's
    radius, in whole millimeters.
    """
    centers = ((-9.0, 0.0), (9.0, 0.0), (5.0, 9.0))
    step = max(round(radius / 12), 1)
    grid = range(-int(radius / step) * step, int(radius) + 1, step)
    wanted = None
    for size, name in BOLTS["mm"]:
        room = size / 2 + 2
        fit = [
            min(dist(point, axis) for axis in axes)
            for point in product(grid, grid)
            if radius - hypot(*point) >= room - 1e-9
            and all(dist(point, center) - 8.5 / 2 >= room - 1e-9 for center in centers)
        ]
        if fit:
            wanted = name, max(fit), size
            break
    placed = Stub(bar_section=disc(MAIN, radius), main=centers[0], pins=centers[1:])
    name, place, size = Ending._bolt(
        Stub(placed=placed, units="mm", center_hole=Stub(mouth=mm(8.5))), axes
    )
    if wanted is None:
        assert (name, place, size) == ("", None, 0.0)
        return
    assert (name, size) == (wanted[0], wanted[2])
    assert min(dist(place, axis) for axis in axes) == pytest.approx(wanted[1])
    assert radius - hypot(*place) >= size / 2 + 2 - 1e-9


def test_bolts_are_named_by_their_diameters():
    """M8 is 8 mm, 3/8 in 9.525; number 8 is 0.060 and eight times 0.013 in (ASME B1.1)."""
    for size, name in BOLTS["mm"]:
        assert name == f"M{size:g}"
    for size, name in BOLTS["in"]:
        text = name.removesuffix(" in")
        inches = 0.060 + 0.013 * int(text[4:]) if text.startswith("No. ") else float(Fraction(text))
        assert size == pytest.approx(25.4 * inches)
    for rows in BOLTS.values():
        assert [size for size, _ in rows] == sorted((size for size, _ in rows), reverse=True)


def test_what_stays_of_the_main_centers():
    """A hole 8 deep, its cone 5: nothing of it in a stub of 8, else the pilot, else the cone too."""
    hole = Stub(least_depth=mm(8.0), cone_depth=mm(5.0))
    kept = {8.0: ("nothing", 0), 7.5: ("pilot", 0.5), 5.0: ("pilot", 3), 4.5: ("cone", 0.5)}
    for stub, (what, deep) in kept.items():
        found = rules.kept_of_mains(hole, mm(stub))
        assert (found[0], found[1].m_as("mm")) == (what, deep)


# fillets, walls, what is beside a web


def test_a_fillet_may_reach_the_skin_of_the_bar_and_the_bar_both_centers():
    """A bar of Ø20, a pin of 9 with a fillet of 1 on its axis; 350 between the lathe's centers."""

    def unfit(fillet=1.0, right=350.0):
        placed = Stub(
            rounds={("pin", 0): (9.0, fillet)}, bar_section=disc(MAIN, 10.0),
            axis=lambda kind, index: MAIN, faced=(0.0, right),
        )  # fmt: skip
        job = {"between_centers": mm(350.0)}
        order = Stub(placed=placed, lathe={"between_centers": 350.0}, job=job, units="mm")
        return list(_Order._unfit(order))

    assert unfit() == []
    (told,) = unfit(fillet=1.01)
    assert told.startswith("the fillet of pin 1 sticks out of the bar")
    (told,) = unfit(right=350.1)
    assert told.startswith("the bar is longer than the 350 mm between")


def test_an_outline_runs_past_its_web_as_far_as_a_wall_stands():
    """The pump's web from 45 to 59, 28 wide, 14 beyond its axes: a round and its fillet may reach 14
    out of either. 2 mm stand on the walls of the pin, 3 on the main's.
    """
    stock = {("journal", 0): 3.0, ("pin", 0): 2.0}

    def walls(crank):
        placed = alone(crank)
        main, _web, pin, *_ = placed.segments
        return [_wall(placed, 0, lambda *at: stock[at], beside) for beside in (main, pin)]

    assert walls(PUMP) == [3, 2]
    pin = PUMP.throws[0]
    slim = {"pin_diameter": mm(18.0), "fillet": mm(1.5)}  # 9 + 1.5 = 10.5
    for width, reach, wanted in (
        (21.0, 14.0, 2),
        (20.9, 14.0, 0),
        (28.0, 10.5, 2),
        (28.0, 10.4, 0),
    ):
        changed = {"web_width": mm(width), "web_reach": mm(reach)} | slim
        main = replace(PUMP.journals[0], diameter=mm(14.0), fillet=mm(0.5))
        crank = replace(PUMP, journals=(main, main), throws=(replace(pin, **changed),))
        assert walls(crank) == [3, wanted]
    # no wall where two of them would leave a millimeter or less of a pin of 5
    for length, wanted in ((5.0, 0), (5.1, 2)):
        short = replace(PUMP, throws=(replace(pin, pin_length=mm(length)),))
        assert walls(short)[1] == wanted


@pytest.mark.parametrize(("units", "clear"), [("mm", 3.0), ("in", 3.81)])
def test_an_indicator_reads_clear_of_the_fillet(units, clear):
    """Fillets of 1.5 and a millimeter, or 0.05 in, more: 3 mm, or 2.77 up to 3.81 (0.15 in). A main
    of 4 between two webs is read once, in its middle.
    """
    segments = [
        ("journal", 0, 0.0, 45.0), ("web", 0, 45.0, 50.0), ("pin", 0, 50.0, 60.0),
        ("web", 0, 60.0, 65.0), ("journal", 1, 65.0, 69.0), ("web", 1, 69.0, 74.0),
        ("pin", 1, 74.0, 84.0), ("web", 1, 84.0, 89.0), ("journal", 2, 89.0, 120.0),
    ]  # fmt: skip
    placed = Stub(
        segments=segments,
        rounds={("journal", at): (10.0, 1.5) for at in range(3)},
        walled=lambda kind, at: (at > 0, at < 2),
    )
    found = _Order._beside_webs(Stub(placed=placed, units=units))
    assert found == (
        ("main 1", pytest.approx(45 - clear)), ("main 2", 67.0), ("main 3", pytest.approx(89 + clear)),
    )  # fmt: skip


def test_a_spacer_is_gripped_from_half_its_throw_aside():
    """Pins 10 and 5 out, in line: an arm of 5 grips both; one 5.1 out no longer that of the other;
    a pin on the same axis does not at all, one opposite does.
    """

    def aside(*pins):
        order = Stub(placed=Stub(pins=tuple((out, 0.0) for out in pins), main=MAIN))
        return [_Order._aside(order, *pair) for pair in ((0, 1), (1, 0))]

    assert aside(10.0, 5.0) == [True, True] and aside(10.0, 5.1) == [False, True]
    assert aside(10.0, 10.0) == [False, False] and aside(10.0, -10.0) == [True, True]


# the bar, the wheel, depths


def test_the_bar_at_hand_is_taken_where_it_holds_the_crank():
    """Ø58.16 are wanted: 58.2 at hand do, 58.1 do not, and of the list it is 60. Of a flat bar one
    side may be at hand and the other from the list.
    """
    job = Job.load("pump")
    least = rules.smallest_bar(job)
    taken = [rules.bar_for(one, least) for one in (job, job.typed("bar_size", "58.2 mm"))]
    assert [(one.width.m_as("mm"), one.height.m_as("mm")) for one in taken] == [
        (60, 60),
        (58.2,) * 2,
    ]
    with pytest.raises(ValueError, match="too small"):
        rules.bar_for(job.typed("bar_size", "58.1 mm"), least)
    flat = job.typed("bar_shape", "flat")
    least = rules.smallest_bar(flat)
    listed = bar.stock_bar(least, "mm")
    wide = rules.bar_for(flat.typed("bar_size", "77 mm"), least)
    assert (wide.width.m_as("mm"), wide.height) == (77, listed.height)
    high = rules.bar_for(flat.typed("bar_height", "78 mm"), least)
    assert (high.width, high.height.m_as("mm")) == (listed.width, 78)
    assert rules.size_of_bar(wide, "mm").startswith("77 mm × ")
    both = flat.typed("bar_size", "77 mm").typed("bar_height", "78 mm")
    assert rules.size_of_bar(rules.bar_for(both, least), "mm") == "77 mm × 78 mm"


def test_a_wheel_leaves_the_rest_of_the_last_main_to_its_bearing():
    """Mains of 45 with one fillet of 1.5: 43.5, less 20 of a key on the last; without a wheel, or with
    one that is clamped on, all of it.
    """
    job = Job.load("pump")
    key = job.typed("fixing", "a key").typed("fixing_length", "20 mm")
    found = [rules.straight(key, at).m_as("mm") for at in (0, 1)]
    assert found == [43.5, 23.5]
    bare = [
        rules.straight(job.typed("fixing", "a clamp, the main stays whole"), at).m_as("mm")
        for at in (0, 1)
    ]
    assert bare == [43.5, 43.5]
    middle = rules.straight(Job.load("compressor"), 1)
    main = Job.load("compressor").crank.journals[1]
    assert middle == main.length - main.fillet - main.fillet


def test_a_wheel_reaches_to_the_fillet_and_a_pin_keeps_its_own_diameter_of_metal():
    job = Job.load("pump").typed("fixing", "a cross pin").typed("fixing_hole", "6 mm")
    for length, words in (
        ("43.5 mm", None), ("43.6 mm", "in the fillet"), ("45 mm", "in the fillet"),
        ("45.1 mm", "past the last main"), ("12 mm", None), ("11.9 mm", "leaves too little"),
    ):  # fmt: skip
        asked = job.typed("fixing_length", length)
        if words is None:
            assert rules.fixing_reach(asked) == asked["fixing_length"]
            continue
        with pytest.raises(ValueError, match=words):
            rules.fixing_reach(asked)
    keyed = job.typed("fixing", "a key").typed("fixing_length", "11.9 mm")
    assert rules.fixing_reach(keyed).m_as("mm") == 11.9, "a keyseat has no hole"
    assert rules.fixing_reach(Job.load("pump")) == PUMP.journals[-1].diameter


@pytest.mark.parametrize(
    ("fixing", "length", "told"),
    [
        # a hole of 5/32 in twice is 0.3125 in; "0.312 in or more" was refused again
        ("a cross pin", "0.312 in", "0.313 in"),
        # the last main of 2 in less its fillet of 1/16 is 1.9375 in; "1.94 in or less" was refused
        ("a key", "1.94 in", "1.93 in"),
    ],
)
def test_a_wheels_reach_that_is_told_is_taken(fixing, length, told):
    job = Job.load("bellows").typed("fixing", fixing).typed("fixing_length", length)
    with pytest.raises(ValueError, match=f", {length}, .*write {told} or") as said:
        rules.fixing_reach(job)
    assert "0.312 in or more" not in str(said.value)
    assert rules.fixing_reach(job.typed("fixing_length", told)).m_as("in") == float(told[:-3])


@pytest.mark.parametrize("tool", ["HSS", "coated carbide"])
def test_what_helps_on_a_fast_lathe_is_said_in_the_readers_language(tool, monkeypatch):
    monkeypatch.setattr(rules, "_", lambda words: "я" * len(words))
    job = {"tool": tool}
    assert set(rules.slower(job, Stub(work="finish"))) == {"я"}


ROW = Stub(rpm=100.0, diameter=40.0, surface_speed_m_min=pi * 4, depth=1.0, place="pin 1")


def force_at(job, depth):
    """Cutting force [N] of a pass, as the depth of one is chosen by it."""
    speed = Quantity(ROW.surface_speed_m_min, "m/min")
    found = edge.turning_forces(
        job.crank.steel, mm(depth), cutting_speed=speed, **rules.rough_tool(job)
    )
    return found.upper.cutting.m_as("N")


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_a_pass_is_as_deep_as_the_work_bears_in_lines_of_the_dial():
    """A stress that grows with the force: half the yield strength at 0.5 is borne there, a trifle
    more asks for the next line of 0.05; never under 0.1, nor over the 1 that was asked for.
    """
    job = Job.load("pump").typed("power", "5 kW").typed("rough_depth", "1 mm")
    bears = 0.5 * rules.yield_strength(job).m_as("MPa")

    def depth(deepest, more=1.0):
        at = force_at(job, deepest)
        return rules.rough_depth(job, [ROW], lambda cutting, passive: more * bears * cutting / at)

    assert depth(0.5) == pytest.approx(0.5) and depth(0.5, 1.0001) == pytest.approx(0.45)
    assert depth(0.62) == pytest.approx(0.6) and depth(1.2) == 1.0
    assert depth(0.01) == pytest.approx(0.1)
    assert rules.rough_depth(job, [ROW]) == 1.0 == rules.rough_depth(job, [])


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_the_row_that_asks_for_most_of_what_is_left_stalls():
    """Force times speed in watts, beside what the drive leaves at the spindle's speed: of two rows
    the one that asks for the larger share; none where each just goes.
    """
    job = Job.load("pump").typed("rough_depth", "1 mm")
    left = drive.power_at_edge(job.lathe, Quantity(100.0, "rpm")).m_as("W")

    def row(share):
        low, high = 1e-4, 500.0
        for _ in range(60):  # the force grows with the depth
            middle = (low * high) ** 0.5
            power = force_at(job, middle) * ROW.surface_speed_m_min / 60
            low, high = (middle, high) if power < share * left else (low, middle)
        return Stub(**vars(ROW) | {"depth": low})

    over, far, under = row(1.01), row(1.5), row(0.99)
    found, asked, rest = rules.stalled(job, [over, far, under])
    assert found is far and rest.m_as("W") == pytest.approx(left)
    assert asked.m_as("W") == pytest.approx(1.5 * left, rel=1e-6)
    assert rules.stalled(job, [under]) is None is rules.stalled(job, [])
    assert rules.stalled(job, [under, over])[0] is over


def test_a_plan_without_a_cut_has_no_room_to_spend(plan):
    """Nothing turns and nothing is milled: no bound above, and below only the web's corner."""
    under, over = replace(plan, steps=()).bar_off
    assert over == 0 and under >= plan.bar_off[0]


def test_what_drives_pushes_where_it_stands(plan):
    """A bolt at its place in the end face, a dog's tail where the counterweight is bolted on; the
    counterweight balances mass times offset at that radius.
    """
    for step in (one for one in plan.steps if one.driven):
        y, z = step.axis
        wanted = (
            hypot(plan.bolt[0] - y, plan.bolt[1] - z)
            if step.driven.by == "bolt"
            else plan.counterweight_radius
        )
        assert plan.arm(step) == pytest.approx(wanted)
        moments = [
            hypot(*work.unbalance(step.axis, plan.density))
            for work in (plan.at(step), plan.after(step))
        ]
        assert plan.counterweight(step) * plan.counterweight_radius == pytest.approx(max(moments))
        # pulls m e w^2 as much as the stand bears
        most, rpm = plan.unbalance(step)
        pull = most / 1000 * (2 * pi * rpm / 60) ** 2
        assert pull == pytest.approx(plan.lathe["unbalance_force"])


def test_skin_beside_a_slot_is_skin_as_well(plan):
    """Opposite the slot the bar is still round: skin from face to face, until the mains are roughed."""
    assert "mill" in [step.key for step in plan.steps]
    for key in ("mill", "webs"):
        assert plan.skin(key) == ((1.5, 161.5),)
    assert plan.skin("saw") == ((0.0, 163.0),)


# cuts by hand


def cuts_of(plan, key):
    return {cut.place: cut for cut in plan.steps[plan.number(key)].cuts}


def test_turning_cuts_of_the_pump_by_hand(plan):
    """Behind 11.5 of face and stub: main 1 to 56.5, webs of 14, the pin from 70.5 to 92.5, main 2 from
    106.5 to 151.5. A quarter stays on round, walls and fillets of 1.5; at the shaft's ends no wall
    stands.
    """
    rough = cuts_of(plan, "rough_pin_1") | cuts_of(plan, "rough_mains")
    fine = cuts_of(plan, "finish_pin_1") | cuts_of(plan, "finish_mains")
    for place, ends, axis, radius in (
        ("pin 1", (70.5, 92.5), (9.0, 0.0), 9), ("main 1", (11.5, 56.5), (-9.0, 0.0), 10),
        ("main 2", (106.5, 151.5), (-9.0, 0.0), 10),
    ):  # fmt: skip
        walls = (place != "main 1", place != "main 2")
        left = [0.25 * wall for wall in walls]
        one, last = rough[place], fine[place]
        assert (one.x0, one.x1) == pytest.approx((ends[0] + left[0], ends[1] - left[1]))
        assert (last.x0, last.x1) == pytest.approx(ends)
        assert one.axis == last.axis == pytest.approx(axis)
        assert (one.radius, last.radius) == (radius + 0.25, radius)
        assert one.corners == tuple(1.25 * wall for wall in walls)
        assert last.corners == tuple(1.5 * wall for wall in walls)
        assert (one.stock, last.stock) == (0.25, 0.0)


def test_rounded_webs_are_turned_about_both_their_axes():
    """The compressor's webs end on circles as far out as throw and reach: about pin 2 its own two,
    about the mains all four, each as wide as the web.
    """
    job = Job.load("compressor").typed("web_outline", "rounded")
    made = make_plan(job)
    throw = job.crank.throws[0]
    far = (throw.radius + throw.web_reach).m_as("mm")
    webs = [(index, x0, x1) for kind, index, x0, x1 in made.placed.segments if kind == "web"]
    for key, wanted in (
        ("rough_pin_2", webs[2:]),
        ("rough_pin_1", webs[:2]),
        ("rough_mains", webs),
    ):
        step = made.steps[made.number(key)]
        cuts = [cut for cut in step.cuts if cut.place.startswith("web")]
        assert [(int(cut.place[4:]) - 1, cut.x0, cut.x1) for cut in cuts] == [
            (index, pytest.approx(x0), pytest.approx(x1)) for index, x0, x1 in wanted
        ]
        assert [cut.radius for cut in cuts] == pytest.approx([far] * len(cuts))
        assert not any(cut.stock or any(cut.corners) for cut in cuts)
        axis = made.placed.main if key == "rough_mains" else made.placed.pins[int(key[-1]) - 1]
        assert all(cut.axis == pytest.approx(axis) for cut in cuts)


def test_a_square_about_a_pin_by_hand(plan):
    """The pump's pin at +9 in its bar: a millimeter beyond its 9 all around is 1 below the bar's
    middle, 19 above it, 10 to either side; walls of a millimeter. Of a pin of 3 a millimeter is left
    to mill, of 2.9 not enough.
    """
    placed, bar_ = plan.placed, plan.after("face")
    cuts, slots = block(placed, bar_, "pin", 0, "square", 1.0, 0.25)
    assert {cut.normal: cut.offset for cut in cuts} == {
        (-1.0, 0.0): 1.0, (1.0, 0.0): 19.0, (0.0, 1.0): 10.0, (0.0, -1.0): 10.0,
    }  # fmt: skip
    assert {(cut.x0, cut.x1, cut.stock, cut.place) for cut in cuts} == {(71.5, 91.5, 1.0, "pin 1")}
    assert [slot.depth for slot in slots] == [30 - cut.offset for cut in cuts]
    main, _ = block(placed, bar_, "journal", 1, "square", 1.0, 0.25)
    assert {(cut.x0, cut.x1) for cut in main} == {(107.5, 151.5)}
    assert sorted(cut.offset for cut in main) == [2.0, 11.0, 11.0, 20.0]
    for length, many in ((3.0, 1), (2.9, 0)):
        throw = replace(PUMP.throws[0], pin_length=mm(length), fillet=mm(0.5))
        short = make_plan(Job(replace(PUMP, throws=(throw,))).typed("milled", "nothing"))
        found, _ = block(short.placed, short.after("face"), "pin", 0, "slot", 1.0, 0.25)
        assert len(found) == many


def test_stock_stays_clear_of_a_large_fillet():
    """A square corner at s from pin and wall may stand in the finishing stock's fillet of R - f: its
    distance sqrt 2 (R - s) from the fillet's middle is at most R - f. R 4, f 0.25: 4 - 2.652 = 1.348.
    """
    made = Stub(rounds={("pin", 0): (9.0, 4.0)}, roomy=alone(PUMP).roomy)
    assert stock_for(made, "pin", 0, 1.0, 0.25) == pytest.approx(1.35)
    left = stock_for(made, "pin", 0, 1.0, 0.25)
    assert 2**0.5 * (4 - left) <= 4 - 0.25 < 2**0.5 * (4 - left + 0.01)
    assert stock_for(made, "pin", 0, 2.0, 0.25) == 2 and stock_for(made, "pin", 0, 1.0, 5.0) == 5
    made.rounds = {("pin", 0): (9.0, 0.2)}
    assert stock_for(made, "pin", 0, 0.1, 0.1) == pytest.approx(0.13)  # 0.2 - 0.0707


def test_a_cut_open_fillet_by_slices():
    """Volume and its moments of a fillet that a flat has cut, its wall left or right: by 4,000 slices."""
    section = disc((3.0, 4.0), 11.5).below_line((0.6, 0.8), 8.0)
    for wall in (0.0, 1.5):
        piece = Piece(0.0, 1.5, section, (Flare(3.0, 4.0, 10.0, 1.5, wall),))
        sums, many = [0.0] * 4, 4000
        for number in range(many):
            x = (number + 0.5) * 1.5 / many
            area, y, z = piece.at(x).firsts
            for at, value in enumerate((area, area * x, y, z)):
                sums[at] += value * 1.5 / many
        assert piece.moments == pytest.approx(sums, rel=1e-4)


def test_work_with_one_slender_place_bows_by_it_alone():
    """Ø60 of full bar but for 100 in its middle, a round of 20 at 9 off the axis: it bends by 4 c/(E
    R^2) for each megapascal, straight on both sides. The middle moves k (100^2 - 50^2)/2 out of the
    tangent's line, half of it from either side: 3750 k.
    """
    stock = replace(bar.smallest_bar(PUMP), width=mm(60.0), height=mm(60.0))
    full, thin = disc(MAIN, 30.0), disc((5.4, 7.2), 10.0)
    work = Work((Piece(0.0, 50.0, full), Piece(50.0, 150.0, thin), Piece(150.0, 200.0, full)))
    off, x = release.bow(work, stock, 0.0, 206000.0)
    assert x == pytest.approx(100)
    assert off == pytest.approx(4 * 9 / (206000 * 30**2) * 3750, rel=1e-6)
    # beside the left end it bows as well, its largest no longer in its own middle
    side = Work((Piece(0.0, 100.0, thin), Piece(100.0, 200.0, full)))
    off, x = release.bow(side, stock, 0.0, 206000.0)
    # y = k (x^2 / 2 - 75 x) on the thin part; its slope is zero at 75
    assert x == pytest.approx(75) and off == pytest.approx(4 * 9 / (206000 * 900) * 75**2 / 2)


def test_a_place_is_asked_for_its_speed_between_its_walls():
    """A millimeter of stock on each wall, and a hundredth of it: between 1.01 and 18.99 of a place of
    20. At 70 rpm 10 m/min are Ø45; blows count for all that is not whole.
    """

    def fast(wall, x1=20.0, limit=1000.0, slow=10.0):
        pieces = Piece(0.0, wall, disc(MAIN, 60.0)), Piece(wall, x1, disc(MAIN, 20.0))
        mill = Stub(
            placed=Stub(segments=[("web", 0, 0.0, x1), ("pin", 0, 0.0, x1)], axis=lambda *at: MAIN),
            stock=1.0, milled=Work(pieces), gears=(70.0, 130.0), _limit=lambda work, axis: limit,
            table=lambda operation, broken: slow,
        )  # fmt: skip
        return list(Milling._fast(mill))

    assert fast(1.0) == [] and fast(1.05) == [("pin", 0)] and fast(1.0, slow=7.0) == [("pin", 0)]
    # the stand bears 70 rpm with its share of 0.85 of the pull, sqrt(0.85) of the speed
    assert fast(1.0, limit=70 / 0.85**0.5 + 0.01) == []
    assert fast(1.0, limit=70 / 0.85**0.5 - 0.01) == [("pin", 0)]
    assert fast(0.5, x1=2.02, limit=1.0) == [], "all of it is stock of the walls"
    assert fast(0.5, x1=2.03, limit=1.0) == [("pin", 0)]


@pytest.mark.parametrize("name", ["pump", "compressor", "organ"])
def test_flats_of_a_square_stand_alike_about_their_pin(name):
    """Radius and stock from the pin's axis on all four sides, at every angle of the throw; a dial's
    division more at most.
    """
    made = make_plan(Job.load(name).typed("milled", "squares in the gaps"))
    sides = {}
    for cut in next(step for step in made.steps if step.key == "mill").cuts:
        y, z = made.placed.axis("pin", int(cut.place.split()[1]) - 1)
        off = (cut.offset - cut.normal[0] * y - cut.normal[1] * z) / hypot(*cut.normal)
        sides.setdefault(cut.place, []).append(off)
    assert len(sides) == len(made.placed.webs)
    for place, off in sides.items():
        radius = made.placed.rounds["pin", int(place.split()[1]) - 1][0]
        stock = 1.0 if name != "organ" else 25.4 * 0.04
        assert len(off) == 4 and off == pytest.approx([radius + stock] * 4, abs=0.03), place

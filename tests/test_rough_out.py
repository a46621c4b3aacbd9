"""Volumes against shapely and trimesh, passes, corner stock, times, bad input."""

import numpy as np
import pint
import pytest
from crankmath import crank, cutting, rough_out
from crankmath.units import OutOfRangeWarning, Quantity
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, affinity, box, minimum_bounding_radius
from shapely.ops import unary_union

BARS = {"pump": Quantity(60, "mm"), "bellows": Quantity(2.0, "in"), "compressor": Quantity(60, "mm"), "organ": Quantity(2.25, "in")}
FINE = 1024  # corners of a shapely circle in a quarter turn: area within 1e-6
MM = Quantity(1.0, "mm")


def disc(radius, center=(0, 0)):
    return Point(center).buffer(radius, quad_segs=FINE)


def web_outline(throw):
    reach, along, half = (value.m_as("mm") for value in (throw.web_reach, throw.radius, throw.web_width / 2))
    return affinity.rotate(box(-reach, -half, along + reach, half), throw.angle.m_as("deg"), origin=(0, 0))


def pin_axis(throw):
    angle = throw.angle.m_as("rad")
    return throw.radius.m_as("mm") * np.array([np.cos(angle), np.sin(angle)])


@pytest.mark.parametrize("name", crank.EXAMPLES)
def test_regions_fill_the_bar_and_leave_the_crank(name):
    """All slices add up to the bar; what stays is the crank's volume, each slice's section from shapely, fillets by turning
    their section with Pappus's rule on a shapely polygon."""
    part = crank.Crank.load(name)
    found = rough_out.regions(part, BARS[name])
    bar = np.pi / 4 * BARS[name].m_as("mm") ** 2 * part.length.m_as("mm")
    assert sum(region.bar.m_as("mm**3") for region in found) == pytest.approx(bar)
    for region in found:
        assert (region.bar - region.kept).m_as("mm**3") == pytest.approx(region.removed.m_as("mm**3"))
        length = region.length.m_as("mm")
        if region.kind == "web":
            assert region.kept.m_as("mm**3") == pytest.approx(web_outline(part.throws[region.index]).area * length)
            continue
        piece = part.journals[region.index] if region.kind == "journal" else part.throws[region.index]
        radius = (piece.diameter if region.kind == "journal" else piece.pin_diameter).m_as("mm") / 2
        fillet = piece.fillet.m_as("mm")
        corner = box(0, 0, fillet, fillet).difference(disc(fillet, (fillet, fillet)))
        rings = 1 if region.kind == "journal" and region.index in (0, len(part.journals) - 1) else 2
        solid = disc(radius).area * length + rings * corner.area * 2 * np.pi * (radius + corner.centroid.y)
        assert region.kept.m_as("mm**3") == pytest.approx(solid, rel=1e-6)


@pytest.mark.parametrize("name", crank.EXAMPLES)
def test_interrupted_part_is_what_no_whole_ring_holds(name):
    part, center = crank.Crank.load(name), np.array([3.0, -2.0])
    bar = disc(0.65 * BARS[name].m_as("mm"), center)
    for region in rough_out.regions(part, 1.3 * BARS[name], Quantity(center, "mm")):
        if region.kind == "web":
            continue
        axis = np.zeros(2) if region.kind == "journal" else pin_axis(part.throws[region.index])
        ring = bar.exterior.distance(Point(axis))  # radius of the largest whole ring
        broken = bar.difference(disc(ring, axis)).area * region.length.m_as("mm")
        assert region.interrupted.m_as("mm**3") == pytest.approx(broken, rel=1e-4)
        assert region.offset.m_as("mm") == pytest.approx(np.linalg.norm(center - axis))


def test_pump_against_a_solid():
    """trimesh: blocks and cylinders put together; sharp corners, so a crank without fillets."""
    trimesh = pytest.importorskip("trimesh")
    part = crank.Crank.load("pump").with_throw(0, fillet=Quantity(0, "mm"))
    volume = 0.0
    for region in rough_out.regions(part, BARS["pump"]):
        length = region.length.m_as("mm")
        if region.kind == "web":
            solid = trimesh.creation.box((18 + 2 * 14, 28, length))
        elif region.kind == "pin":
            solid = trimesh.creation.cylinder(9, length, sections=2000)
        else:
            continue  # the journals keep their fillets
        volume += solid.volume
        assert region.kept.m_as("mm**3") == pytest.approx(solid.volume, rel=1e-5)
    assert volume > 4e4


@pytest.mark.parametrize("name", crank.EXAMPLES)
def test_least_bar_is_the_smallest_circle(name):
    part = crank.Crank.load(name)
    least = 2 * minimum_bounding_radius(unary_union([web_outline(throw) for throw in part.throws]))
    rough_out.regions(part, Quantity(least * 1.0001, "mm"))
    with pytest.raises(ValueError, match="^bar_diameter is too small"):
        rough_out.regions(part, Quantity(least * 0.9999, "mm"))


@given(st.floats(-2, 2), st.floats(-2, 2), st.floats(0.01, 3), st.floats(0.01, 3))
def test_disc_in_rectangle(left, bottom, width, height):
    ours = rough_out._disc_in_rectangle(1.0, left, left + width, bottom, bottom + height)
    assert ours == pytest.approx(disc(1.0).intersection(box(left, bottom, left + width, bottom + height)).area, abs=1e-6)


@pytest.mark.parametrize("name", crank.EXAMPLES)
@pytest.mark.parametrize("shape", rough_out.SHAPES)
@pytest.mark.parametrize("allowance", [1.0, 2.5])
def test_gap_block_against_shapely(name, shape, allowance):
    part, radius = crank.Crank.load(name), BARS[name].m_as("mm") / 2
    middle, _ = rough_out.smallest_circle(rough_out._web_corners(part))
    for index, throw in enumerate(part.throws):
        found = rough_out.gap_block(part, BARS[name], index, Quantity(allowance, "mm"), shape)
        half, along = throw.pin_diameter.m_as("mm") / 2 + allowance, throw.radius.m_as("mm")
        keep = box(along - half, -half, along + half, half) if shape == "square" else box(along - half, -500, 500, 500)
        keep = affinity.rotate(keep, throw.angle.m_as("deg"), origin=(0, 0))
        bar = disc(radius, middle)
        milled = bar.difference(keep).area * (throw.pin_length.m_as("mm") - 2 * allowance)
        assert found.milled.m_as("mm**3") == pytest.approx(milled, rel=1e-5)
        left = np.array(bar.intersection(keep).exterior.coords)
        assert found.swing.m_as("mm") == pytest.approx(np.linalg.norm(left - pin_axis(throw), axis=1).max(), rel=1e-5)
        removed = next(r for r in rough_out.regions(part, BARS[name]) if r.kind == "pin" and r.index == index).removed
        assert (found.milled + found.left).m_as("mm**3") == pytest.approx(removed.m_as("mm**3"))
        assert found.saved == pytest.approx((found.milled / removed).m_as("dimensionless"))


def test_gap_floor_is_the_chord():
    # pump in a Ø60 bar: bar axis 9 from the main axis, floor at 18 - 9 - 2 = 7, so 2 from the bar's axis: 2 sqrt(30^2 - 2^2)
    found = rough_out.gap_block(crank.Crank.load("pump"), BARS["pump"])
    assert found.floor.m_as("mm") == pytest.approx(2 * np.sqrt(900 - 4)) and found.slot_width.m_as("mm") == pytest.approx(18)


@pytest.mark.parametrize(("width", "hole", "ligament", "count"), [(18, 6, 0.5, 3), (18, 5, 0.5, 4), (18, 5, 0.0, 4), (6, 6, 0.5, 1)])
def test_chain_of_holes(width, hole, ligament, count):
    """Number counted on paper; section of the joined holes from shapely."""
    found = rough_out.chain_of_holes(width * MM, 60 * MM, hole * MM, ligament * MM)
    pitch = found.pitch.m_as("mm")
    holes = unary_union([disc(hole / 2, (place * pitch, 0)) for place in range(found.holes)])
    assert found.holes == count and (count - 1) * pitch + hole == pytest.approx(width)
    assert found.drilled_volume.m_as("mm**3") == pytest.approx(holes.area * 60, rel=1e-5)
    assert pitch <= hole + ligament + 1e-9 and found.drilled_length.m_as("mm") == pytest.approx(60 * count)


@given(st.floats(11, 80), st.floats(0.2, 4), st.integers(1, 4))
def test_passes_take_all_and_no_more(start, deepest, finishing):
    plan = rough_out.pass_plan(start * MM, 10 * MM, deepest * MM, 0.25 * MM, finishing)
    path = np.concatenate([[start], plan.roughing.m_as("mm"), plan.finishing.m_as("mm")])
    depths = -np.diff(path) / 2
    assert path[-1] == pytest.approx(10) and np.all(depths > 0) and plan.passes == len(depths)
    rough = depths[: plan.roughing.size]
    assert np.allclose(rough, plan.rough_depth.m_as("mm")) and np.all(rough <= deepest * (1 + 1e-9))
    assert np.allclose(depths[plan.roughing.size :], 0.25 / finishing)


def test_little_stock_goes_in_finishing_passes():
    with pytest.warns(OutOfRangeWarning, match="finish_allowance"):
        plan = rough_out.pass_plan(10.4 * MM, 10 * MM, MM, 0.25 * MM)
    assert plan.roughing.size == 0 and plan.finish_depth.m_as("mm") == pytest.approx(0.2)


def test_corner_stops_stay_off_the_fillet():
    """Every square corner left at a stop lies just the allowance from the finished fillet, measured with shapely."""
    fillet, allowance, heights = 1.5, 0.3, np.array([0.3, 0.6, 1.0, 1.4, 1.5, 3.0])
    stops = rough_out.corner_stops(heights * MM, fillet * MM, allowance * MM).m_as("mm")
    metal = unary_union([box(-9, -9, 9, 0), box(-9, -9, 0, 9), box(0, 0, fillet, fillet).difference(disc(fillet, (fillet, fillet)))])
    gaps = [metal.distance(Point(x, y)) for x, y in zip(stops, heights, strict=True)]
    assert np.allclose(gaps, allowance, atol=1e-6)


@pytest.mark.parametrize(("nose", "spoiled"), [(0.8, False), (0.4, True), (0.0, True), (1.5, False)])
def test_corner_stock_against_shapely(nose, spoiled):
    fillet, allowance, wide = 1.5, 0.3, 1.8
    corner = lambda radius, inset: unary_union([  # noqa: E731
        box(0, 0, wide, inset), box(0, 0, inset, wide),
        box(inset, inset, inset + radius, inset + radius).difference(disc(radius, (inset + radius, inset + radius))) if radius else box(0, 0, 0, 0),
    ])  # fmt: skip
    if spoiled:
        with pytest.warns(OutOfRangeWarning, match="cuts into the fillet"):
            found = rough_out.corner_stock(fillet * MM, nose * MM, allowance * MM)
    else:
        found = rough_out.corner_stock(fillet * MM, nose * MM, allowance * MM)
    finished, roughed = corner(fillet, 0), corner(nose, allowance)
    assert finished.difference(roughed.buffer(1e-6)).area > 1e-4 if spoiled else finished.difference(roughed.buffer(1e-6)).area < 1e-4
    assert found.area.m_as("mm**2") == pytest.approx(roughed.area - finished.area, abs=1e-5)
    if not spoiled:
        middle = np.array([1, 1]) * (fillet - fillet / np.sqrt(2))
        ray = LineString([middle, middle + 1.0])
        assert found.middle.m_as("mm") == pytest.approx(ray.intersection(roughed).length, abs=1e-5)


@pytest.mark.parametrize("radius", [5.0, 22.0, 30.0, 37.0, 45.0])
def test_share_of_a_turn_in_an_eccentric_bar(radius):
    angle = np.linspace(0, 2 * np.pi, 200001)[:-1]
    inside = np.hypot(radius * np.cos(angle) - 9, radius * np.sin(angle)) <= 30
    assert rough_out.bar_share(radius * MM, 60 * MM, 9 * MM) == pytest.approx(inside.mean(), abs=2e-5)
    assert rough_out.bar_share(radius * MM, 60 * MM, 0 * MM) == (1 if radius < 30 else 0.5 if radius == 30 else 0)


@pytest.mark.parametrize("name", crank.EXAMPLES)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")  # slow speeds for tough steel: said elsewhere
def test_operations_by_their_own_turns(name):
    part, lathe = crank.Crank.load(name), cutting.load_lathe()
    found = rough_out.operations(part, BARS[name])
    names = [operation.name for operation in found]
    assert sum("rough" in n for n in names) == len(part.journals) + len(part.throws)
    assert len(set(names)) == len(names)
    assert sum("face" in n for n in names) == 4 * len(part.throws)
    steps = lathe.gear_table.m_as("rpm")
    for operation in found:
        assert operation.slowest.m_as("rpm") in steps and operation.fastest.m_as("rpm") in steps
        verb, *rest = operation.name.split()
        if verb != "face":
            kind, number = rest
            run = part.journals[int(number) - 1].length if kind == "main" else part.throws[int(number) - 1].pin_length
            feed = rough_out.USUAL["rough_feed" if verb == "rough" else "finish_feed"]
            turns = run.m_as("mm") / feed * operation.passes
            assert turns / operation.fastest.m_as("rpm") <= operation.time.m_as("min") * (1 + 1e-9)
            assert operation.time.m_as("min") <= turns / operation.slowest.m_as("rpm") * (1 + 1e-9)
        assert 0 < operation.share <= 1


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_milling_saves_time_and_a_small_motor_costs_it():
    part = crank.Crank.load("pump")

    def total(**options):
        return sum(operation.time.m_as("min") for operation in rough_out.operations(part, BARS["pump"], **options))

    assert total(milled="square") < total(milled="slot") < total()
    weak = cutting.Lathe("weak", *(getattr(cutting.load_lathe(), name) for name in ("center_height", "between_centers")),
                         Quantity(60, "W"), cutting.load_lathe().gear_table, cutting.load_lathe().unbalance_force)  # fmt: skip
    slow = rough_out.operations(part, BARS["pump"], weak)
    assert total(lathe=weak) > total() and "motor" in slow[0].limits
    assert rough_out.operations(part, BARS["pump"], milled="square")[2].share is None


def test_shares_come_from_the_web_and_the_bar():
    part = crank.Crank.load("pump")
    found = {operation.name: operation for operation in rough_out.operations(part, BARS["pump"])}
    swing = np.hypot(18 + 14, 14)  # the corner strikes: half the web's width over the swing, one end only
    assert found["face left web of throw 1 at main 1"].share == pytest.approx(np.arcsin(14 / swing) / np.pi)
    assert found["finish pin 1"].limits == ("unbalance",) and found["finish pin 1"].slowest.m_as("rpm") == 400


@pytest.mark.parametrize("tilt", [0.2, -0.2, 1.0])
def test_wide_edge_leaves_a_saw_tooth(tilt):
    """Profile drawn point by point; mean height over its middle line is Ra."""
    place = np.linspace(0, 0.5, 100001)
    profile = 1000 * place * np.tan(np.radians(abs(tilt)))
    peak, mean = rough_out.wide_tool_roughness(0.5 * MM, Quantity(tilt, "deg"), 3 * MM)
    assert peak.m_as("um") == pytest.approx(np.ptp(profile)) and mean.m_as("um") == pytest.approx(np.mean(abs(profile - profile.mean())), rel=1e-4)


@given(st.floats(0.1, 5), st.floats(0.2, 2))
def test_feed_and_finish_are_inverse(mean, nose):
    feed = rough_out.feed_for_roughness(Quantity(mean, "um"), nose * MM)
    assert cutting.ideal_roughness(feed, nose * MM)[1].m_as("um") == pytest.approx(mean)


CALLS = [
    (rough_out.regions, {"bar_diameter": 60 * MM}, {"crank": crank.Crank.load("pump")}),
    (rough_out.gap_block, {"bar_diameter": 60 * MM, "allowance": 2 * MM}, {"crank": crank.Crank.load("pump")}),
    (rough_out.chain_of_holes, {"slot_width": 18 * MM, "floor": 60 * MM, "hole_diameter": 6 * MM, "ligament": 0.5 * MM}, {}),
    (rough_out.pass_plan, {"start_diameter": 30 * MM, "final_diameter": 20 * MM, "rough_depth": MM, "finish_allowance": 0.2 * MM}, {}),
    (rough_out.corner_stops, {"height": MM, "fillet": 1.5 * MM, "allowance": 0.2 * MM}, {}),
    (rough_out.corner_stock, {"fillet": 1.5 * MM, "nose_radius": 0.8 * MM, "allowance": 0.3 * MM}, {}),
    (rough_out.bar_share, {"radius": 30 * MM, "bar_diameter": 60 * MM, "offset": 9 * MM}, {}),
    (rough_out.operations, {"bar_diameter": 60 * MM, "rough_depth": MM, "rough_feed": 0.1 * MM, "finish_allowance": 0.2 * MM, "finish_feed": 0.05 * MM},
     {"crank": crank.Crank.load("pump")}),
    (rough_out.wide_tool_roughness, {"feed": 0.5 * MM, "tilt": Quantity(0.2, "deg"), "edge_width": 3 * MM}, {}),
    (rough_out.feed_for_roughness, {"mean_roughness": Quantity(1.6, "um"), "nose_radius": 0.8 * MM}, {}),
]  # fmt: skip


@pytest.mark.parametrize(("function", "arguments", "fixed", "name"),
                         [pytest.param(f, a, x, name, id=f"{f.__name__}-{name}") for f, a, x in CALLS for name in a])  # fmt: skip
@pytest.mark.parametrize(("factor", "kind"), [(None, TypeError), ("kind", pint.DimensionalityError), (-1e4, ValueError), (np.nan, ValueError)])
def test_bad_input_is_named(function, arguments, fixed, name, factor, kind):
    value = arguments[name]
    bad = value.magnitude if factor is None else Quantity(1, "candela") if factor == "kind" else factor * value
    with pytest.raises(kind, match=f"^{name}"):
        function(**fixed, **arguments | {name: bad})


@pytest.mark.parametrize(
    ("call", "words"),
    [(lambda c: rough_out.gap_block(c, 60 * MM, 1), "^throw"), (lambda c: rough_out.gap_block(c, 60 * MM, shape="oval"), "^shape"),
     (lambda c: rough_out.gap_block(c, 60 * MM, allowance=11 * MM), "^allowance leaves no slot"),
     (lambda c: rough_out.regions(c, 60 * MM, 3 * MM), "^bar_center"), (lambda c: rough_out.operations(c, 60 * MM, milled="oval"), "^shape"),
     (lambda c: rough_out.chain_of_holes(5 * MM, 60 * MM, 6 * MM), "^hole_diameter"), (lambda c: rough_out.pass_plan(MM, MM, MM, MM), "^start_diameter"),
     (lambda c: rough_out.pass_plan(2 * MM, MM, MM, MM, 1.5), "^finish_passes"), (lambda c: rough_out.corner_stops(MM, MM, MM), "^allowance"),
     (lambda c: rough_out.corner_stops(0.1 * MM, MM, 0.2 * MM), "^height"),
     (lambda c: rough_out.wide_tool_roughness(4 * MM, Quantity(1, "deg"), 3 * MM), "^feed")],
)  # fmt: skip
def test_what_cannot_be_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call(crank.Crank.load("pump"))

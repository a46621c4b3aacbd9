"""Volumes against shapely and trimesh, milling and chain drilling, bad input."""

import numpy as np
import pytest
from shapely import Point, affinity, box, minimum_bounding_radius
from shapely.ops import unary_union

from crankmath.blank import bar
from crankmath.crank import crank
from crankmath.cutting import rough_out
from crankmath.units import Quantity

BARS = {
    "pump": Quantity(60, "mm"),
    "bellows": Quantity(2.0, "in"),
    "compressor": Quantity(60, "mm"),
    "organ": Quantity(2.25, "in"),
}
FINE = 1024  # corners of a shapely circle in a quarter turn: area within 1e-6
MM = Quantity(1.0, "mm")


def disc(radius, center=(0, 0)):
    return Point(center).buffer(radius, quad_segs=FINE)


def turned(shape, throw):
    """From the throw's own frame, x along it, to the end face, where a throw of angle zero points up."""
    return affinity.rotate(shape, throw.angle.m_as("deg") + 90, origin=(0, 0))


def web_outline(throw):
    reach, along, half = (
        value.m_as("mm") for value in (throw.web_reach, throw.radius, throw.web_width / 2)
    )
    return turned(box(-reach, -half, along + reach, half), throw)


def pin_axis(throw):
    return np.array(turned(Point(throw.radius.m_as("mm"), 0), throw).coords[0])


def outline(part, given):
    """Outline of the bar, drawn in shapely."""
    if isinstance(given, bar.Bar):
        middle = [given.middle_x.m_as("mm"), given.middle_y.m_as("mm")]
        wide, high = given.width.m_as("mm") / 2, given.height.m_as("mm") / 2
        return affinity.translate(
            affinity.rotate(box(-wide, -high, wide, high), given.turn.m_as("deg"), origin=(0, 0)),
            *middle,
        )
    webs = np.concatenate(
        [np.array(web_outline(throw).exterior.coords)[:4] for throw in part.throws]
    )
    return disc(given.m_as("mm") / 2, bar.smallest_circle(webs)[0])


def stock(name, form):
    return BARS[name] if form == "round" else bar.smallest_bar(crank.Crank.load(name), form)


EACH = pytest.mark.parametrize(
    ("name", "form"), [(name, form) for name in crank.EXAMPLES for form in bar.SHAPES]
)


@EACH
def test_regions_fill_the_bar_and_leave_the_crank(name, form):
    """All slices add up to the bar; what stays is the crank's volume, each slice's section from shapely, fillets by turning
    their section with Pappus's rule on a shapely polygon."""
    part, given = crank.Crank.load(name), stock(name, form)
    found = rough_out.regions(part, given)
    whole = outline(part, given).area * part.length.m_as("mm")
    assert sum(region.bar.m_as("mm**3") for region in found) == pytest.approx(whole, rel=1e-5)
    for region in found:
        assert (region.bar - region.kept).m_as("mm**3") == pytest.approx(
            region.removed.m_as("mm**3")
        )
        length = region.length.m_as("mm")
        if region.kind == "web":
            assert region.kept.m_as("mm**3") == pytest.approx(
                web_outline(part.throws[region.index]).area * length
            )
            continue
        piece = (
            part.journals[region.index] if region.kind == "journal" else part.throws[region.index]
        )
        radius = (piece.diameter if region.kind == "journal" else piece.pin_diameter).m_as("mm") / 2
        fillet = piece.fillet.m_as("mm")
        corner = box(0, 0, fillet, fillet).difference(disc(fillet, (fillet, fillet)))
        rings = 1 if region.kind == "journal" and region.index in (0, len(part.journals) - 1) else 2
        solid = disc(radius).area * length + rings * corner.area * 2 * np.pi * (
            radius + corner.centroid.y
        )
        assert region.kept.m_as("mm**3") == pytest.approx(solid, rel=1e-6)


@EACH
def test_interrupted_part_is_what_no_whole_ring_holds(name, form):
    part, given = crank.Crank.load(name), stock(name, form)
    solid = outline(part, given)
    for region in rough_out.regions(part, given):
        if region.kind == "web":
            assert region.interrupted == region.removed
            continue
        axis = np.zeros(2) if region.kind == "journal" else pin_axis(part.throws[region.index])
        ring = solid.exterior.distance(Point(axis))  # radius of the largest whole ring
        broken = solid.difference(disc(ring, axis)).area * region.length.m_as("mm")
        assert region.interrupted.m_as("mm**3") == pytest.approx(
            broken, rel=1e-4, abs=1e-5 * region.bar.m_as("mm**3")
        )
        assert region.whole.m_as("mm") == pytest.approx(ring, rel=1e-5)
        assert region.swing.m_as("mm") == pytest.approx(
            np.linalg.norm(np.array(solid.exterior.coords) - axis, axis=1).max(), rel=1e-5
        )
        assert region.offset.m_as("mm") == pytest.approx(
            np.linalg.norm(np.array(solid.centroid.coords[0]) - axis), abs=1e-4
        )


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
    with pytest.raises(ValueError, match="^bar is too small"):
        rough_out.regions(part, Quantity(least * 0.9999, "mm"))


@EACH
@pytest.mark.parametrize("shape", rough_out.SHAPES)
@pytest.mark.parametrize("allowance", [1.0, 2.5])
def test_milled_gap_against_shapely(name, form, shape, allowance):
    part, given = crank.Crank.load(name), stock(name, form)
    solid = outline(part, given)
    for index, throw in enumerate(part.throws):
        found = rough_out.milled_block(part, given, "pin", index, Quantity(allowance, "mm"), shape)
        half, along = throw.pin_diameter.m_as("mm") / 2 + allowance, throw.radius.m_as("mm")
        keep = (
            box(along - half, -half, along + half, half)
            if shape == "square"
            else box(along - half, -500, 500, 500)
        )
        keep = turned(keep, throw)
        milled = solid.difference(keep).area * (throw.pin_length.m_as("mm") - 2 * allowance)
        assert found.milled.m_as("mm**3") == pytest.approx(milled, rel=1e-5)
        left = np.array(solid.intersection(keep).exterior.coords)
        assert found.swing.m_as("mm") == pytest.approx(
            np.linalg.norm(left - pin_axis(throw), axis=1).max(), rel=1e-5
        )
        floor = turned(box(along - half, -500, along - half + 1e-7, 500), throw).intersection(solid)
        assert found.floor.m_as("mm") == pytest.approx(floor.area / 1e-7, rel=1e-3)
        removed = next(
            r for r in rough_out.regions(part, given) if r.kind == "pin" and r.index == index
        ).removed
        assert (found.milled + found.left).m_as("mm**3") == pytest.approx(removed.m_as("mm**3"))
        assert found.saved == pytest.approx((found.milled / removed).m_as("dimensionless"))


@EACH
def test_milled_main_against_shapely(name, form):
    part, given = crank.Crank.load(name), stock(name, form)
    solid = outline(part, given)
    for index, journal in enumerate(part.journals):
        found = rough_out.milled_block(part, given, "journal", index, 1.5 * MM)
        half = journal.diameter.m_as("mm") / 2 + 1.5
        keep = turned(box(-half, -half, half, half), part.throws[min(index, len(part.throws) - 1)])
        walls = 1 if index in (0, len(part.journals) - 1) else 2
        milled = solid.difference(keep).area * (journal.length.m_as("mm") - 1.5 * walls)
        assert found.milled.m_as("mm**3") == pytest.approx(milled, rel=1e-5)
        assert found.swing.m_as("mm") == pytest.approx(
            np.linalg.norm(np.array(solid.intersection(keep).exterior.coords), axis=1).max(),
            rel=1e-5,
        )


def test_gap_floor_is_the_chord():
    # pump in a Ø60 bar: bar axis 9 from the main axis, floor at 18 - 9 - 2 = 7, so 2 from the bar's axis: 2 sqrt(30^2 - 2^2)
    found = rough_out.milled_block(crank.Crank.load("pump"), BARS["pump"], "pin", 0, 2 * MM, "slot")
    assert found.floor.m_as("mm") == pytest.approx(2 * np.sqrt(900 - 4)) and found.slot_width.m_as(
        "mm"
    ) == pytest.approx(18)


@pytest.mark.parametrize(
    ("width", "hole", "ligament", "count"),
    [(18, 6, 0.5, 2), (18, 5.5, 0.5, 3), (18, 5, 0.0, 3), (6, 6, 0.5, 1), (11, 6, 0.5, 1)],
)
def test_chain_of_holes(width, hole, ligament, count):
    """Number counted on paper; section of the joined holes from shapely."""
    found = rough_out.chain_of_holes(width * MM, 60 * MM, hole * MM, ligament * MM)
    pitch = found.pitch.m_as("mm")
    holes = unary_union([disc(hole / 2, (place * pitch, 0)) for place in range(found.holes)])
    assert found.holes == count
    assert count == 1 or (count - 1) * pitch + hole == pytest.approx(width)
    assert found.drilled_volume.m_as("mm**3") == pytest.approx(holes.area * 60, rel=1e-5)
    assert (count == 1 or pitch >= hole + ligament - 1e-9) and found.drilled_length.m_as(
        "mm"
    ) == pytest.approx(60 * count)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda c: rough_out.milled_block(c, 60 * MM, index=1), "^index"),
        (lambda c: rough_out.milled_block(c, 60 * MM, shape="oval"), "^shape"),
        (lambda c: rough_out.milled_block(c, 60 * MM, "web"), "^kind"),
        (lambda c: rough_out.milled_block(c, 60 * MM, "journal", shape="slot"), "^shape"),
        (
            lambda c: rough_out.milled_block(c, 60 * MM, allowance=11 * MM),
            "^allowance leaves nothing",
        ),
        (
            lambda c: rough_out.regions(c, bar.smallest_bar(crank.Crank.load("bellows"))),
            "^bar does not hold",
        ),
        (lambda c: rough_out.regions(c, Quantity([60.0, 70.0], "mm")), "^bar takes one value"),
        (lambda c: rough_out.chain_of_holes(5 * MM, 60 * MM, 6 * MM), "^hole_diameter"),
    ],
)
def test_what_cannot_be_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call(crank.Crank.load("pump"))


def test_a_chain_stands_half_a_hole_outside_its_floor():
    """Holes that just touch the floor leave teeth as high as their radius between them."""
    found = rough_out.chain_of_holes(18 * MM, 60 * MM, 5.5 * MM)
    assert found.below_floor.m_as("mm") == found.teeth.m_as("mm") == 2.75

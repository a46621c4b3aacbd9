"""A view in space: its prisms against the exact sections of the work, its pixels and its turning against sums by hand."""

import json

import numpy as np
import pytest

from crankbook.pictures import scene, space, space_still
from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.workpiece import make_plan
from crankmath.workpiece.placing import alone
from crankmath.workpiece.sections import disc, polygon


def area(ring):
    y, z = ring.T
    return (y @ np.roll(z, -1) - z @ np.roll(y, -1)) / 2


@pytest.mark.parametrize(("name", "step"), [("compressor", 10), ("organ", 6), ("bellows", 3)])
def test_prisms_are_the_work_at_each_step(name, step):
    """Every corner lies on the exact section, every corner of the section is one of the ring's, and the
    chords of arcs take off less than 0.3 % of the volume."""
    plan = make_plan(Job.load(name))
    for work in (plan.works[step], plan.works[-1]):
        found = space.prisms(work.pieces)
        for prism in found:
            section = work.at((prism.low + prism.high) / 2)
            middle = np.array(section.centroid)
            for point in prism.ring[::5]:
                assert section.away(point) < 1e-6
                assert not section.holds(point + 1e-3 * (point - middle))
            for side in section.sides:
                assert np.hypot(*(prism.ring - side[:2]).T).min() < 1e-6
        assert min(prism.low for prism in found) == work.x0
        assert max(prism.high for prism in found) == work.x1
        volume = sum((prism.high - prism.low) * area(prism.ring) for prism in found)
        assert volume == pytest.approx(work.volume(), rel=3e-3)


def test_the_finished_pump_by_its_drawing():
    """Throw 18, webs 14 thick, 28 wide, 14 past each axis; pin Ø18, mains Ø20: sizes of the part's file."""
    crank = Crank.load("pump")
    found = space.prisms(alone(crank).finished().pieces)
    throw = crank.throws[0]
    reach = throw.web_reach.m_as("mm")
    webs = [one for one in found if len(one.ring) == 4]
    assert len(webs) == 2
    for web in webs:
        assert web.high - web.low == pytest.approx(throw.web_thickness.m_as("mm"))
        least, most = web.ring.min(axis=0), web.ring.max(axis=0)
        assert least == pytest.approx([-reach, -throw.web_width.m_as("mm") / 2])
        assert most == pytest.approx([18 + reach, throw.web_width.m_as("mm") / 2])
    rounds = [one for one in found if len(one.ring) > 4 and one.high - one.low > 5]
    sizes = [np.hypot(*(one.ring - one.ring.mean(axis=0)).T).mean() * 2 for one in rounds]
    assert sizes == pytest.approx([20, 18, 20], rel=1e-6)
    assert rounds[1].ring.mean(axis=0) == pytest.approx([18, 0], abs=1e-9)


def test_what_is_seen_by_hand():
    """Straight from the front x goes right and y up; a quarter turn shows the right-hand end, from above z goes down."""
    front, end, above = (space.sight(view) for view in ((0, 0), (-90, 0), (0, 90)))
    assert front == pytest.approx(np.eye(3))
    assert end[2] == pytest.approx([1, 0, 0]) and end[0] == pytest.approx([0, 0, -1], abs=1e-12)
    assert above[1] == pytest.approx([0, 0, -1], abs=1e-12)
    for view in ((-32, 22), (140, -50)):
        assert space.sight(view) @ space.sight(view).T == pytest.approx(np.eye(3))


def two_blocks(opacity=1.0):
    """A red block of 10 before a blue one of 30, from the front; 40 mm are as wide as the picture."""
    near = space.Prism(-5, 5, np.array([(-5, 10), (5, 10), (5, 20), (-5, 20)]))
    far = space.Prism(-15, 15, np.array([(-15, -20), (15, -20), (15, -10), (-15, -10)]))
    bodies = space.Body((near,), "#ff0000", opacity), space.Body((far,), "#0000ff")
    behind = space.Trace(np.array([(-20, 0, -30), (20, 0, -30)]), "#00ff00")
    holds = space.box_corners((-20, -20, -20), (20, 20, 20))
    return space.Space(bodies, "two blocks", holds, (behind,), turned=(0.0, 0.0))


def test_the_nearest_face_is_seen_and_sizes_are_true():
    image = space_still.picture(two_blocks(), 400, 400)
    red, blue = image[..., 0] > 0.4, image[..., 2] > 0.4
    assert red.sum() == pytest.approx((10 * 9.5) ** 2, rel=0.06)  # 0.95 of 400 px are 40 mm
    assert (red | blue).sum() == pytest.approx((30 * 9.5) ** 2, rel=0.06)
    assert red[200, 200] and not blue[200, 200]
    assert image[200, 20, 1] > 0.9 and image[20, 20, 3] == 0  # the line; nothing at all
    assert 0.2 < image[200, 100:300, 1].max() < 0.9  # behind the blocks it is faint
    seen_through = space_still.picture(two_blocks(0.4), 400, 400)[230, 230]
    assert seen_through[2] > seen_through[0] > 0.2


def test_what_has_to_fit_fits_at_every_view():
    """A long bar off its middle: around it where the view begins, and inside the picture however it is turned."""
    bar = space.box_corners((10, -5, -5), (210, 25, 5))
    shown = space.Space((), "bar", bar)
    first = (bar - shown.middle) @ space.sight(shown.turned).T
    assert first.max(axis=0) == pytest.approx(-first.min(axis=0))
    for view in ((0, 0), (-90, 0), (-32, 22), (45, 80)):
        scale = space.scale_of(shown, view, 500, 300)
        seen = scale * np.abs((bar - shown.middle) @ space.sight(view).T)
        assert seen[:, 0].max() <= 250 and seen[:, 1].max() <= 150
        assert scale <= space.scale_of(shown, shown.turned, 500, 300) * (1 + 1e-12)


def test_a_body_moves_as_its_rows_say():
    """A quarter turn takes y to z; then it is shifted."""
    assert space.moved(np.array([(3.0, 2.0, 0.0)]), (np.pi / 2, 1.0, 5.0))[0] == pytest.approx(
        [3, 1, 7]
    )
    body = space.Body((), moves=np.array([(0.0, 0, 0), (2.0, 10, 0), (4.0, 0, 0)]))
    assert space.move_at(body, 0.25) == pytest.approx((1, 5, 0))
    assert space.move_at(body, 7) == pytest.approx((4, 0, 0))


def test_page_and_figure_get_the_same():
    shown = space.on_page(two_blocks())
    assert np.frombuffer(shown["rows"], np.float32).reshape(-1, 4)[:, 2].tolist() == [4, 4]
    assert len(np.frombuffer(shown["rings"], np.float32)) == 16
    json.dumps({name: value for name, value in shown.items() if name not in ("rings", "rows")})
    figure, axes = scene.blank(width=4, height=4, places=((0, 0, 1, 1),))
    axes.set_axis_off()
    scene.add(figure, [two_blocks()])
    figure.canvas.draw()
    drawn = np.asarray(figure.canvas.buffer_rgba())
    upper, lower = drawn[150, 100], drawn[390, 200]
    assert upper[2] > 100 and upper[0] < 50 and lower[:3].min() == 255


@pytest.mark.parametrize(
    ("section", "points"),
    [(disc((3.0, 4.0), 10.0), 40), (polygon([(0, 0), (4, 0), (4, 2), (0, 2)]), 4)],
)
def test_rings_have_no_point_twice(section, points):
    ring = space.ring(section)
    assert len(ring) == points and area(ring) > 0
    assert np.hypot(*(ring - np.roll(ring, 1, axis=0)).T).min() > 1e-3

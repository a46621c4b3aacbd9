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
    assert [one["prisms"] for one in shown["bodies"]] == [1, 1] and shown["axes"] == 0
    assert shown["traces"][0]["points"] == [-20, 0, -30, 20, 0, -30]
    low, high, count, edges = np.frombuffer(shown["rows"], np.float32).reshape(-1, 4)[1]
    assert (low, high, count, edges) == (-15, 15, 4, 3), "both ends of four corners show"
    for ends, told in (((True, False), 1), ((False, True), 2), ((False, False), 0)):
        prism = space.Prism(0, 1, np.array([(0.0, 0), (1, 0), (0, 1)]), ends)
        told_of = space.on_page(space.Space((space.Body((prism,)),), "", prism.vertices))
        assert np.frombuffer(told_of["rows"], np.float32)[3] == told
    fine = np.array([(1 / 3, 0.1234567, 200 / 3)] * 2)
    view = space.Space(two_blocks().bodies, "", fine, (space.Trace(fine, "#000000"),))
    sent = space.on_page(view)
    assert sent["holds"] == pytest.approx(fine.ravel(), abs=0.0051)
    assert sent["traces"][0]["points"] == pytest.approx(fine.ravel(), abs=0.00051)
    moves = np.array([(1 / 3, 2 / 3, 200 / 3)] * 2)
    body = space.Body(two_blocks().bodies[0].prisms, moves=moves)
    sent = space.on_page(space.Space((body,), "", fine))["bodies"][0]["moves"]
    assert sent == pytest.approx(moves.ravel(), abs=0.0000051)
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


RED = np.array([1.0, 0.2, 0.1])


def filled(points, size=(40, 30), depth=None, opacity=1.0, normal=(0.0, 0.0, 1.0), under=None):
    """Pixels after one face, and what of them it covers."""
    pixels = under or space_still.Pixels(*size)
    z = np.zeros(len(points)) if depth is None else depth
    before = pixels.color.copy()
    pixels.face(np.column_stack([points, z]), np.array(normal), RED, opacity)
    return pixels, (pixels.color != before).any(axis=2)


@pytest.mark.parametrize("seed", range(12))
def test_a_face_covers_the_pixels_whose_middles_lie_in_it(seed):
    """Triangles at random, some reaching out of the picture, against the sign of three cross products."""
    corners = np.random.default_rng(seed).uniform((-15, -12), (55, 42), (3, 2))
    _, covered = filled(corners)
    middle = np.stack(np.meshgrid(np.arange(40) + 0.5, np.arange(30) + 0.5), axis=-1)
    sides = []
    for (x, y), (right, down) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        sides.append((right - x) * (middle[..., 1] - y) - (down - y) * (middle[..., 0] - x))
    assert (covered == (np.all(np.array(sides) > 0, 0) | np.all(np.array(sides) < 0, 0))).all()


def test_faces_side_by_side_leave_no_seam():
    """A square with its corners on middles of pixels has those too; one between two rows of middles has none."""
    _, covered = filled([(10.5, 5.5), (20.5, 5.5), (20.5, 15.5), (10.5, 15.5)])
    assert np.argwhere(covered).min(axis=0).tolist() == [5, 10]
    assert np.argwhere(covered).max(axis=0).tolist() == [15, 20] and covered.sum() == 11 * 11
    _, covered = filled([(10, 5.6), (20, 5.6), (20, 6.4), (10, 6.4)])
    assert not covered.any()
    for outside in ((0, -9), (0, 99), (-99, 0), (99, 0)):
        assert not filled(np.add([(0, 1), (5, 1), (5, 8)], outside))[1].any()
    assert filled([(-9, -9), (99, -9), (99, 99), (-9, 99)])[1].all(), "one larger than the picture"


def test_a_tilted_face_is_as_deep_as_its_plane_at_each_pixel():
    """z = 3 + 0.5 x - 0.25 y, whose normal toward the eye is (-0.5, 0.25, 1)."""
    corners = np.array([(4, 3), (36, 6), (30, 27), (6, 20)], float)
    depth = 3 + 0.5 * corners[:, 0] - 0.25 * corners[:, 1]
    pixels, covered = filled(corners, depth=depth, normal=(-0.5, 0.25, 1.0))
    y, x = np.nonzero(covered)
    assert pixels.depth[y, x] == pytest.approx(3 + 0.5 * (x + 0.5) - 0.25 * (y + 0.5), abs=1e-5)
    assert (pixels.depth[~covered] < -1e8).all()


def test_what_lies_behind_is_hidden_and_seen_through_what_is_not_solid():
    """A pale pane before a wall mixes by its share and hides nothing after it; behind the wall it is not seen."""
    square = [(5, 5), (25, 5), (25, 25), (5, 25)]
    wall, _ = filled(square, depth=np.full(4, 10.0))
    wall.color[10, 10] = (0.2, 0.4, 0.6, 1)
    pane, covered = filled(square, depth=np.full(4, 20.0), opacity=0.25, under=wall)
    assert covered[10, 10]
    assert pane.color[10, 10] == pytest.approx(
        [*(0.25 * RED + 0.75 * np.array([0.2, 0.4, 0.6])), 1]
    )
    assert pane.depth[10, 10] == 10, "a later face between the two is still drawn"
    assert not filled(square, depth=np.full(4, 9.0), under=pane)[1].any()
    # of two walls the nearer is seen, by however little
    filled(square, depth=np.full(4, 10.05), under=pane)
    assert pane.depth[10, 10] == pytest.approx(10.05)
    # a pane that lies in the wall's own plane does not flicker through
    assert not filled(square, depth=np.full(4, 10.5), opacity=0.25, under=pane)[1].any()


def drawn_line(size=1, hidden=0.0, dash=(), wall=None, points=((2.0, 10.5), (35.0, 10.5))):
    pixels = space_still.Pixels(40, 30)
    if wall is not None:
        filled([(15, 5), (25, 5), (25, 25), (15, 25)], depth=np.full(4, wall), under=pixels)
    before = pixels.color.copy()
    line = np.column_stack([np.array(points, float), np.zeros(len(points))])
    pixels.line(line, (0.0, 0.0, 1.0), size, hidden, dash)
    return pixels, (pixels.color != before).any(axis=2)


def test_a_line_is_drawn_from_end_to_end_as_wide_as_asked():
    _, drawn = drawn_line()
    assert np.argwhere(drawn).tolist() == [[10, x] for x in range(2, 36)]
    _, drawn = drawn_line(size=3)
    assert drawn.sum() == 3 * 36 and drawn[10:13, 2:38].all()
    _, steep = drawn_line(points=((5.5, 2.5), (8.5, 25.5)))
    assert steep.any(axis=1)[2:26].all() and steep.sum() == 24, "no gap where it is steep"
    assert (steep[2, 5], steep[25, 8]) == (True, True)
    _, out = drawn_line(points=((-20.0, 10.5), (90.0, 10.5)), size=2)
    assert out[10:12].any(axis=0)[:39].all() and not out[12:].any()
    for corner in ((0.5, 0.5), (38.5, 0.5), (0.5, 28.5), (38.5, 28.5)):
        assert drawn_line(points=(corner, corner))[1].sum() == 1, "to the rim"


def test_dashes_run_on_over_corners():
    """Six on, four off, along two sides of 15 and 15: off from 6 to 10, from 16 to 20 and from 26 on."""
    _, drawn = drawn_line(dash=(6.0, 4.0), points=((5.0, 5.5), (20.0, 5.5), (20.0, 20.5)))
    assert np.flatnonzero(drawn[5, :20]).tolist() == [*range(5, 11), *range(15, 20)]
    down = set(np.flatnonzero(drawn[:, 20]))  # the corner is at 15 of the run, row 5.5
    assert {11, 12, 13, 14, 15} < down and not down & {7, 8, 9, 17, 18, 19}


def test_a_line_behind_a_body_is_faint_and_broken_or_not_there():
    """Before the wall whole; in its own plane still drawn; behind it not at all, or mixed over 5 of 9 pixels."""
    behind = slice(15, 25)
    assert drawn_line(wall=-9.0)[1][10, behind].all()
    assert drawn_line(wall=1.0)[1][10, behind].all(), "an edge of the wall itself"
    assert not drawn_line(wall=2.0)[1][10, behind].any()
    pixels, drawn = drawn_line(wall=2.0, hidden=0.25)
    places = np.arange(15, 25)
    assert drawn[10, behind].tolist() == [bool((x - 2 + 0.5) % 9 < 5) for x in places]
    faint = pixels.color[10, places[drawn[10, behind]][0]]
    assert faint == pytest.approx([*(0.25 * np.array([0, 0, 1]) + 0.75 * RED), 1])
    assert drawn[10, 2:15].all() and drawn[10, 25:35].all()


def test_a_face_is_the_brighter_the_more_it_turns_to_the_light():
    """The light comes from the right, above and the eye, 3 to 6 to 7.4: 1.05 of its color straight to it, 0.45 away from it."""
    toward = np.array([0.3, 0.6, 0.74]) / np.sqrt(0.3**2 + 0.6**2 + 0.74**2)
    color = np.array([0x80, 0x40, 0x20]) / 255
    assert space_still.shaded("#804020", toward) == pytest.approx(1.05 * color)
    assert space_still.shaded("#804020", -toward) == pytest.approx(0.45 * color)
    aside = np.array([0.6, -0.3, 0.0]) / np.hypot(0.6, 0.3)
    assert space_still.shaded("#804020", aside) == pytest.approx(0.45 * color)
    tilted = (toward + aside) / np.sqrt(2)
    assert space_still.shaded("#804020", tilted) == pytest.approx((0.45 + 0.6 / 2**0.5) * color)
    assert space_still.shaded("#ffffff", toward).tolist() == [1, 1, 1]


def test_edges_show_where_two_sides_meet_at_an_angle():
    """A drum of forty sides shows the circles of its ends alone, a square bar its four edges too; what is seen through, none."""
    turn = np.linspace(0, 2 * np.pi, 41)[:-1]
    drum = space.Prism(-20, 20, 10 * np.column_stack([np.cos(turn), np.sin(turn)]))
    square = space.Prism(-20, 20, 10 * np.array([(1, 1), (-1, 1), (-1, -1), (1, -1.0)]))
    holds = space.box_corners((-20, -20, -20), (20, 20, 20))

    def dark(prism, opacity=1.0):
        view = space.Space(
            (space.Body((prism,), "#ffffff", opacity),), "", holds, turned=(0.0, 45.0)
        )
        image = space_still.picture(view, 400, 400)
        return (image[..., :3].max(axis=2) < 0.2) & (image[..., 3] > 0.5)

    middle = slice(150, 250)
    assert not dark(drum)[:, middle].any() and dark(drum).any()
    assert dark(square)[:, 200].sum() == 3, "upper rim, ridge, lower rim"
    assert not dark(square, 0.5).any()
    plain = space.Prism(-20, 20, drum.ring, (False, False))
    assert not dark(plain).any()
    left = dark(space.Prism(-20, 20, drum.ring, (True, False)))
    assert left[:, :100].any() and not left[:, 300:].any()


def test_words_stand_at_their_places_in_the_view():
    """Seen straight from the front, 40 mm are as wide as 0.95 of the axes; anchors as they are named."""
    view = two_blocks()
    words = tuple(
        space.Word((x, y, 5.0), anchor, "#123456", anchor)
        for x, y, anchor in ((10, 0, "start"), (0, -10, "middle"), (-20, 20, "end"))
    )
    view = space.Space(view.bodies, "", view.holds, (), words, turned=(0.0, 0.0))
    figure, axes = scene.blank(width=4, height=4, places=((0, 0, 1, 1),))
    scene.add(figure, [view])
    found = {one.get_text(): one for one in axes.texts}
    for (x, y, _), anchor in ((one.point, one.anchor) for one in words):
        assert found[anchor].xy == pytest.approx((0.5 + 0.95 * x / 40, 0.5 + 0.95 * y / 40))
        assert (
            found[anchor].get_ha() == {"start": "left", "middle": "center", "end": "right"}[anchor]
        )
        assert found[anchor].get_color() == "#123456"


def test_a_sharper_picture_has_lines_as_wide_on_paper():
    """Twice the pixels: a trace of 2 is two pixels wide and then four."""
    trace = space.Trace(np.array([(-20, 0, 20), (20, 0, 20)]), "#00ff00", 2.0)
    holds = space.box_corners((-20, -20, -20), (20, 20, 20))
    view = space.Space((), "", holds, (trace,), turned=(0.0, 0.0))
    for size, sharp, wide in ((200, 1.0, 2), (400, 2.0, 4)):
        image = space_still.picture(view, size, size, sharp)
        assert (image[:, size // 2, 1] > 0.9).sum() == wide
        assert abs(np.flatnonzero(image[:, size // 2, 1] > 0.9)[0] - size / 2) <= 1


def test_an_upright_body_stands_along_y_with_rings_of_z_and_x():
    """A board 2 wide along x and 30 deep along z, from y 5 to 15: from the front a post 2 wide, 10 high."""
    ring = np.array([(-15, -1), (15, -1), (15, 1), (-15, 1)], float)
    board = space.Body((space.Prism(5, 15, ring),), "#ff0000", upright=True)
    holds = space.box_corners((-20, -20, -20), (20, 20, 20))
    image = space_still.picture(space.Space((board,), "", holds, turned=(0.0, 0.0)), 400, 400)
    seen = np.argwhere(image[..., 3] > 0.5)
    (top, left), (foot, right) = seen.min(axis=0), seen.max(axis=0)
    assert (right - left + 1, foot - top + 1) == pytest.approx((2 * 9.5, 10 * 9.5), abs=1.5)
    assert (top, left) == pytest.approx((200 - 15 * 9.5, 200 - 9.5), abs=1.5)


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_slices_of_a_fillet_follow_its_arc(name):
    """By hand, h = r - sqrt(r^2 - (r - x)^2) a distance x off the wall: a slice is off by at most 0.3 r."""
    crank = Crank.load(name)
    pieces = alone(crank).finished().pieces
    flared = [(piece, some) for piece, some in zip(pieces, space.prisms_by_piece(pieces), strict=True)
              if piece.flares]  # fmt: skip
    assert flared
    for piece, some in flared:
        flare = piece.flares[-1]
        assert some[0].low == pytest.approx(min(piece.x0, some[0].low))
        for prism in some:
            radius = np.hypot(*(prism.ring - flare[:2]).T).max()
            for x in (prism.low, prism.high):
                away = min(abs(x - flare.wall) / flare.corner, 1.0)
                rise = flare.corner * (1 - np.sqrt(1 - (1 - away) ** 2))
                assert abs(flare.radius + rise - radius) < 0.3 * flare.corner
        ends = sorted(x for prism in some for x in (prism.low, prism.high))
        assert (ends[0], ends[-1]) == pytest.approx((piece.x0, piece.x1))
        assert ends[1:-1:2] == pytest.approx(ends[2::2]), "without a gap"

"""Pictures of the work at a step: every item at its place, by hand on a bar with one pin turned."""

import re
from math import cos, hypot, radians, sin, sqrt
from types import SimpleNamespace

import pytest

from crankbook.sheet.work_picture import _outline, section_view, side_view
from crankmath.workpiece.cuts import End, Turn
from crankmath.workpiece.plan import Step
from crankmath.workpiece.sections import Section, disc, polygon
from crankmath.workpiece.work import Flare, Piece, Work

AXIS = (0.0, 0.0)
GRAY, DASHED, WHITE = ('fill="#c9c9c9"', 'stroke-dasharray="0.8 0.6"', 'stroke-width="0.35"')


def planned(pieces, *steps, faced=10.0, pins=((8.0, 0.0), (-8.0, 0.0))):
    """A plan of steps on a bar, as far as pictures ask."""
    works = [Work(tuple(pieces))]
    for step in steps:
        work = works[-1]
        for cut in step.cuts:
            work = cut.applied(work)
        works.append(work)
    placed = SimpleNamespace(
        main=AXIS, pins=pins, faced=(faced, 150.0), bar_section=disc(AXIS, 20.0),
        span=lambda kind, throw: {"pin": ((40.0, 60.0), (90.0, 110.0))}[kind][throw],
    )  # fmt: skip
    return SimpleNamespace(works=works, steps=steps, placed=placed)


def bar(x0=10.0, x1=165.0, radius=20.0):
    return [Piece(x0, x1, disc(AXIS, radius))]


PIN = Step("rough_pin_1", "", "centers", (8.0, 0.0), (Turn(40.0, 60.0, (8.0, 0.0), 10.0),))


def boxes(view, style):
    """Corners of every rectangle of a style."""
    found = []
    for text in re.findall(rf'<polygon points="([^"]+)" [^>]*{re.escape(style)}', view):
        corners = [tuple(map(float, pair.split(","))) for pair in text.split()]
        for (x, y), (v, w) in zip(corners, corners[1:] + corners[:1], strict=True):
            assert x == v or y == w, "sides lie along and across"
        (left, right), (top, low) = (sorted({one[at] for one in corners}) for at in (0, 1))
        assert len(set(corners)) == 4
        found.append((left, right, top, low))
    return found


def lines(view, width):
    """(x1, y1, x2, y2) of lines of a width, in order."""
    pattern = rf'<line x1="(\S+)" y1="(\S+)" x2="(\S+)" y2="(\S+)" [^>]*stroke-width="{width}"'
    return [tuple(map(float, found)) for found in re.findall(pattern, view)]


def size(view):
    """Width and height that a picture says twice."""
    wide, high = map(float, re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', view).groups())
    assert f'viewBox="0 0 {wide:.1f} {high:.1f}"' in view
    return wide, high


def test_the_side_of_a_turned_pin_is_drawn_to_its_places():
    """155 mm on 62 mm of paper, 0.4 to one, the bar's skin 2 mm from the edge; the pin of radius 10,
    8 mm above the axis: from 12 to 20 − 18 below the skin.
    """
    view = str(side_view(planned(bar(), PIN), 0, "mm"))
    assert boxes(view, DASHED) == [(2, 64, 2, 18)]
    assert boxes(view, GRAY) == [
        (2, 14, 2, 18),
        (14, 22, pytest.approx(2 + 0.4 * 2), pytest.approx(2 + 0.4 * 22)),
        (22, 64, 2, 18),
    ]
    # on its own centers alone: from edge to edge of the bar and 2 mm past it
    assert lines(view, 0.18) == [(0, 6.8, 66, 6.8)] and 'stroke-dasharray="3 0.7 0.6 0.7"' in view
    assert lines(view, 0.15) == [(14, 18, 14, 19.2), (22, 18, 22, 19.2)]
    assert lines(view, 0.12) == [(14, 19.2, 14, 20.2), (22, 19.2, 22, 20.2)]
    told = re.findall(r"translate\((\S+) (\S+)\) rotate\(-90\)\".+?>([^<]+)</text>", view)
    assert told == [("14.80", "20.90", "30"), ("22.80", "20.90", "50")]  # letters 2.1 high
    assert re.findall(r'<path d="M(\S+) (\S+)v', view) == [("2.00", "18.00")]  # the datum
    wide, high = size(view)
    assert wide == 64 + 2 + 1, "a millimeter beside the axis"
    assert 0 < high - (20.9 + 2 * 0.556 * 2.1) < 1, "Arial's digits are 0.556 of their height wide"
    assert 'aria-label="side of the work, step 1"' in view


def test_a_short_bar_is_as_high_as_the_paper_and_places_are_read_in_the_jobs_units():
    """40 mm on 20 mm of paper; 20 and 45.4 mm from the datum, 10 mm inside the bar."""
    cut = Turn(30.0, 55.4, AXIS, 15.0)
    step = Step("rough_mains", "", "centers", AXIS, (cut,))
    view = str(side_view(planned(bar(0.0, 100.0), step), 0, "in"))
    assert boxes(view, DASHED) == [(2, 52, 2, 22)]
    assert boxes(view, GRAY)[1] == (17, pytest.approx(29.7), 4.5, 19.5)
    assert re.findall(r">([^<]+)</text>", view) == ["0.7874", "1.7874"]
    assert re.findall(r'<path d="M(\S+) (\S+)v', view) == [("7.00", "22.00")]
    wide, high = size(view)
    assert wide == 55 and 0 < high - (24.9 + 5.5 * 0.556 * 2.1) < 2


def test_marks_too_close_for_their_letters_stand_apart_and_the_picture_grows():
    """Places 1 mm, 0.4 of paper, from each other at the bar's right end: letters are 2.1 high."""
    cuts = (Turn(161.0, 162.0, AXIS, 15.0), Turn(163.0, 164.0, AXIS, 15.0))
    view = str(side_view(planned(bar(), Step("", "", "centers", AXIS, cuts)), 0, "mm"))
    assert [one[0] for one in lines(view, 0.15)] == pytest.approx([62.4, 62.8, 63.2, 63.6])
    feet = [one[2] for one in lines(view, 0.12)]
    assert feet[0] == 62.4
    assert all(2.1 < after - one < 2.6 for one, after in zip(feet, feet[1:], strict=False))
    assert size(view)[0] == pytest.approx(feet[-1] + 3, abs=0.06)


def test_a_milled_step_shows_every_axis_and_a_step_without_cuts_the_work_alone():
    milled = Step("mill", "", "mill", None, (Turn(40.0, 60.0, AXIS, 15.0),))
    plain = Step("rest", "", "bench")
    plan = planned(bar(), Step("saw", "", "bench"), milled, plain)
    view = str(side_view(plan, 1, "mm"))
    assert sorted(one[1] for one in lines(view, 0.18)) == pytest.approx([6.8, 10, 13.2])
    assert 'stroke-dasharray="3 0.7 0.6 0.7"' not in view and view.count('"0.4 0.8"') == 3
    assert boxes(view, GRAY)[1][2:] == (4, 16)
    after = str(side_view(plan, 2, "mm"))
    assert len(boxes(after, GRAY)) == 3 and not boxes(after, DASHED)
    assert "step 3" in after and size(after) == (67, pytest.approx(18 + 3.4))


def test_a_place_that_two_cuts_share_is_told_once_and_an_end_has_one():
    cuts = (End(20.0, "right"), Turn(20.0, 40.0, AXIS, 15.0), Turn(40.0, 60.0, AXIS, 12.0))
    view = str(side_view(planned(bar(), Step("ends", "", "centers", AXIS, cuts)), 0, "mm"))
    assert re.findall(r">([^<]+)</text>", view) == ["10", "30", "50"]


@pytest.mark.parametrize(("faced", "shown"), [(9.0, False), (10.0, True), (11.0, True)])
def test_the_triangle_stands_where_the_datums_face_is_still_there(faced, shown):
    view = str(side_view(planned(bar(), PIN, faced=faced), 0, "mm"))
    assert ("<path" in view) == shown


def test_spacers_lie_in_their_gaps_about_the_axis_of_the_mains():
    """3 mm of work either side of the axis, which is 10 mm down on the paper."""
    step = Step("finish_mains", "", "centers", AXIS, fitted=(0, 1))
    view = str(side_view(planned(bar(), step), 0, "mm"))
    assert boxes(view, WHITE) == [(14, 22, 8.8, 11.2), (34, 42, 8.8, 11.2)]


def test_a_fillet_is_drawn_as_high_as_it_is_in_its_middle():
    """R 5 mm from its wall: half way 5 − √(5² − 2.5²) = 0.67 mm over the round."""
    flared = Piece(40.0, 45.0, disc(AXIS, 15.0), (Flare(0.0, 0.0, 10.0, 5.0, 40.0),))
    pieces = [Piece(10.0, 40.0, disc(AXIS, 20.0)), flared, Piece(45.0, 165.0, disc(AXIS, 10.0))]
    view = str(side_view(planned(pieces, Step("rest", "", "bench")), 0, "mm"))
    left, right, top, low = boxes(view, GRAY)[1]
    assert (left, right) == (14, 16)
    high = 0.4 * (10 + 5 - sqrt(5**2 - 2.5**2))
    assert (top, low) == pytest.approx((10 - high, 10 + high), abs=0.006)


def crosses(view):
    """Middle of every cross of a section, by its words."""
    pattern = r'd="M(\S+) (\S+)h2M(\S+) (\S+)v2" .+?/><text x="(\S+)" y="(\S+)" .+?>([^<]+)</text>'
    found = {}
    for x, y, across, up, right, above, word in re.findall(pattern, view):
        middle = float(x) + 1, float(y)
        assert (float(across), float(up) + 1) == pytest.approx(middle)
        beside = float(right) - middle[0], middle[1] - float(above)
        assert beside == pytest.approx((0.7, 0.6)), "words stand above their cross to the right"
        found[word] = middle
    return found


def about(view, style):
    """Middle and radii of a round's outline."""
    (text,) = re.findall(rf'<polygon points="([^"]+)" [^>]*{re.escape(style)}', view)
    places = [tuple(map(float, pair.split(","))) for pair in text.split()]
    xs, ys = zip(*places, strict=True)
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return middle, [hypot(x - middle[0], y - middle[1]) for x, y in places]


def test_a_section_stands_in_the_middle_of_the_first_cut_about_the_bars_axis():
    """A bar of radius 20 that is 18 where the cut's middle lies; about the pin's centers, 8 mm up, it
    swings 28: 36 mm from the bar's axis are 9 mm of paper, one to a quarter.
    """
    pieces = [Piece(10.0, 48.0, disc(AXIS, 20.0)), Piece(48.0, 165.0, disc(AXIS, 18.0))]
    view = str(section_view(planned(pieces, PIN), 0))
    assert size(view) == (20, 20)
    middle, reach = about(view, DASHED)
    assert middle == pytest.approx((10, 10)) and reach == pytest.approx([4.5] * 120, abs=0.01)
    middle, reach = about(view, GRAY)
    assert middle == pytest.approx((10, 8)) and reach == pytest.approx([2.5] * 120, abs=0.01)
    assert view.index(DASHED) < view.index(GRAY), "what stays lies on what goes"
    swing = re.search(r'<circle cx="(\S+)" cy="(\S+)" r="(\S+)"', view).groups()
    assert tuple(map(float, swing)) == (10, 8, 7)
    assert crosses(view) == {"M": (10, 10), "1": (10, 8), "2": (10, 12)}
    assert 'aria-label="section where step 1 cuts first"' in view


def test_across_is_to_the_left_and_a_mill_swings_nothing():
    """Seen from the tailstock; a bar of radius 20 is 9 mm of paper, a pin 10 mm across 4.5."""
    step = Step("mill", "", "mill", None, (End(165.0, "left"), Turn(40.0, 60.0, AXIS, 15.0)))
    pins = ((0.0, 10.0), (10.0, 0.0), (0.0, 10.0 + 1e-8))
    plan = planned(bar(), Step("saw", "", "bench"), step, pins=pins)
    view = str(section_view(plan, 1))
    assert crosses(view) == {"M": (10, 10), "1, 3": (5.5, 10), "2": (10, 5.5)}
    assert "<circle" not in view
    assert about(view, GRAY)[1] == pytest.approx([0.45 * 15] * 120, abs=0.01)
    assert (
        section_view(planned(bar(), Step("ends", "", "mill", None, (End(20, "right"),))), 0) == ""
    )


@pytest.mark.parametrize(
    "section",
    [
        polygon([(2, -40), (6, -40), (6, 60), (2, 60)]),
        Section(((3.0, 4.0, 6.0), (5.0, 7.0, 6.0)), ((0.6, 0.8, 9.5),)),
    ],
)
def test_an_outline_goes_round_its_middle_in_steps_of_three_degrees(section):
    """Every corner lies in its direction from the middle, on one side and inside of all others."""
    (y, z), points = section.centroid, _outline(section)
    assert len(points) == 120
    for number, (v, w) in enumerate(points):
        far, turn = hypot(v - y, w - z), radians(3 * number)
        assert (v - y, w - z) == pytest.approx((far * cos(turn), far * sin(turn)), abs=1e-9)
        over = [v * ny + w * nz - d for ny, nz, d in section.lines]
        over += [hypot(v - dy, w - dz) - radius for dy, dz, radius in section.discs]
        assert max(over) == pytest.approx(0, abs=1e-9)

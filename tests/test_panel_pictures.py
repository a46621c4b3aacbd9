"""Pictures of panels as they open: alike in both systems of units, and a prediction on the scale of what it is compared with."""

import re

import numpy as np
import pytest

from crankbook.lesson import predict
from crankbook.lessons import modules
from crankbook.pictures.scene import PURPLE, Curve

pytestmark = pytest.mark.usefixtures("own_folder")


SCENES = {name: module.SCENE for name, module in modules().items() if hasattr(module, "SCENE")}
# mm to in, um to thou, N*m to ft*lbf, MPa to kpsi; round numbers of an axis may be off by 2.5 %
FACTORS = (1, 25.4, 0.0254, 1.3558, 6.8948)
# what chooses its own round scale in each system is off by at most so much of the picture
APART = {"lesson_04": 0.055, "lesson_06": 0.045, "lesson_08": 0.17, "lesson_09": 0.055, "lesson_14": 0.025, "lesson_16": 0.02}  # fmt: skip


def opened(scene, units):
    """Paper, items and finding of a panel as it opens."""
    controls = scene.controls() if callable(scene.controls) else scene.controls
    values = {one.name: one.value for one in controls}
    return scene.paper(units), *scene.items(units, **values)


@pytest.mark.parametrize("name", SCENES)
def test_a_panel_looks_alike_in_both_systems(name):
    """The same items at the same places of the picture, on axes that reach as far."""
    both = [opened(SCENES[name], units) for units in ("mm", "in")]
    for axes, inch in zip(*(paper.axes for paper, *_ in both), strict=True):
        for far, other in zip(axes.axis(), inch.axis(), strict=True):
            alike = any(abs(far - one * other) <= 0.025 * abs(far) for one in FACTORS)
            assert alike or inch.get_yscale() == "log", (far, other)
    places = []
    for paper, items, _ in both:
        items = [one for one in items if one.kind in ("line", "marker", "text")]
        across = [paper.axes[one.axes].transData.transform(one.points()) for one in items]
        places.append([one / paper.bbox.size for one in across])
    assert len(places[0]) == len(places[1]) > 0
    for here, there in zip(*places, strict=True):
        seen = ((here > 0) & (here < 1)).all(axis=1)
        assert abs(here - there)[seen].max(initial=0) <= APART.get(name, 0.012)


def up(item):
    return np.ravel(item.y)[0]


def marker(axes, number=0):
    return lambda items: [up(one) for one in items if one.kind == "marker" and one.axes == axes][
        number
    ]


def itself(size):
    """The axis is numbered: what a guess of this size shows there."""
    return lambda items: size


def tall(item):
    return np.ptp(item.y)


def apart(items):
    """Largest and smallest diameter of lesson 06 at the place chosen."""
    high, low = (one.y for one in items if one.kind == "marker" and one.axes == 1)
    return high - low


def tightest(items):
    """Lower end of the fit's bar in lesson 13."""
    return next(one.y.min() for one in items if one.kind == "line" and one.x.min() > 2.4)


def whole_bar(items):
    return max(one.x.max() for one in items if one.kind == "line" and one.axes == 1 and one.fill)


def ring(items):
    return max(tall(one) for one in items if one.kind == "line" and one.axes == 0 and one.fill)


# lesson, question, guess and its unit, how far the guess is drawn, and what else is drawn how far, saying what
DRAWN = [
    ("01", "01 quarter turn", 20, "mm", up, itself(100), 36),  # % of the pump's stroke
    ("02", "02 smallest bar", 50, "mm", tall, ring, 60),  # the bar is drawn round
    ("04", "04 spindle speed", 300, "rpm", up, marker(0), 397.9),  # 25 m/min at 20 mm
    ("05", "05 minutes", 90, "min", lambda one: one.x[0], whole_bar, r"cuts for (\d+) min"),
    ("06", "06 out of round", 5, "um", tall, apart, r"large and ([\d.]+) µm out of round"),
    ("07", "07 limiting width", 3, "mm", up, marker(1), 6),
    ("08", "08 misfit runout", 8, "um", up, marker(1), r"run out ([\d.]+) µm"),
    ("09", "09 thrust", 50, "N", up, itself(1), 1),
    ("10", "10 peak stress", 130, "MPa", up, marker(2), r"100 MPa become (\d+) MPa"),
    ("11", "11 torque", 5, "N*m", up, itself(1), 1),
    ("12", "12 vee reading", 12, "um", up, itself(1), 2),  # half of it either way
    ("13", "13 tightest", 12, "um", up, tightest, r"tightest pair has (\d+) µm"),
    ("14", "14 shaking force", 12, "N", lambda one: one.x.max(), marker(1), r"shakes with ([\d.]+)"),
    ("16", "16 chip", 6.4, "um", up, itself(0.5), 20),  # the axes' ends are 20
]  # fmt: skip


@pytest.mark.parametrize(
    ("lesson", "asked", "guess", "unit", "far", "other", "says"),
    DRAWN,
    ids=lambda one: str(one)[:2],
)
def test_a_prediction_lies_on_the_pictures_scale(lesson, asked, guess, unit, far, other, says):
    predict(asked, f"{guess} {unit}", (unit,))
    paper, items, finding = opened(SCENES[f"lesson_{lesson}"], "mm")
    size = float(re.search(says, str(finding))[1]) if isinstance(says, str) else says
    words = next(one for one in items if "your prediction" in getattr(one, "text", ""))
    drawn = [one for one in items if getattr(one, "color", "") == PURPLE and one.kind != "text"]
    drawn = [one for one in drawn if one.axes == words.axes and getattr(one, "dash", "dotted")]
    shown = far(drawn[0]) / other(items)
    assert shown == pytest.approx(guess / size, rel=2e-3 if size is says else 0.05)
    assert words.color == PURPLE
    low, high = paper.axes[words.axes].get_xlim()
    assert low <= words.x <= high
    if (
        isinstance(drawn[0], Curve) and np.ptp(drawn[0].y) == 0
    ):  # a line across, and its label on it
        assert words.y == pytest.approx(drawn[0].y[0], abs=0.04)
        assert drawn[0].x.min() <= low + 0.75 * (high - low)

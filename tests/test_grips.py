"""What the reader drags: each grip says the value where it stands, and its point comes to where it is dragged."""

import pytest

from crankbook.lesson.panel import Choice
from crankbook.lessons import modules

pytestmark = pytest.mark.usefixtures("own_folder")

SCENES = {name: module.SCENE for name, module in modules().items() if hasattr(module, "SCENE")}
DRAGGED = ("lesson_01", "lesson_02", "lesson_03", "lesson_05", "lesson_06", "lesson_07",
           "lesson_08", "lesson_13", "lesson_14", "lesson_16")  # fmt: skip
# the rounded nose pushes by itself: the arrow of a narrow cut lags behind the hand
SLOW = {"width": 0.7}


def held(panel, axes):
    """Points with grips: (number of the point, grip, its place along the axis, the axis' ends)."""
    found = []
    points = [one for one in panel.items if one.kind == "marker"]
    for number, point in enumerate(points):
        for grip in point.grips:
            name, along, factor, offset = grip.control, grip.along, grip.factor, grip.offset
            of = axes[point.axes]
            ends = of.get_xlim() if along == "x" else of.get_ylim()
            log = (of.get_xscale() if along == "x" else of.get_yscale()) == "log"
            found.append((number, name, along, factor, offset, getattr(point, along), ends, log))
    return found


def states(panel):
    """The panel as it opens, at each preset, and a third of the way along every slider."""
    yield
    for preset in panel.presets:
        panel.receive({"type": "preset", "name": preset})
        yield
    for control in panel.controls.values():
        if not isinstance(control, Choice):
            low, high, step = control.scale(panel.units)[1:]
            third = low + step * round((high - low) / 3 / step)
            panel.receive({"type": "set", "values": {control.name: third}})
    yield


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", DRAGGED)
def test_a_point_says_its_value_and_follows_the_hand(name, units):
    panel, seen = SCENES[name].panel(), set()
    if units == "in":
        panel.receive({"type": "units"})
    axes = panel.paper(units).axes
    for _state in states(panel):
        if panel.frame["problem"]:
            continue
        for number, control, _along, factor, offset, at, (low, high), log in held(panel, axes):
            before = {key: one["value"] for key, one in panel.frame["values"].items()}
            _unit, least, most, step = panel.controls[control].scale(units)
            assert offset + factor * at == pytest.approx(before[control], rel=2e-3, abs=step / 30)
            followed = []
            for share in (0.004, -0.004):  # up and down: a chart may change its scale on one side
                to = at * (high / low) ** share if log else at + share * (high - low)
                value = offset + factor * to
                if not least <= value <= most:
                    continue
                panel.receive({"type": "set", "values": {control: value}})
                here = [one[5] for one in held(panel, axes) if one[:2] == (number, control)]
                followed += [(one - at) / (to - at) for one in here]
                panel.receive({"type": "set", "values": before})
            if followed:
                seen.add(control)
                behind = min(followed, key=lambda one: abs(one - 1))
                assert behind == pytest.approx(1, abs=SLOW.get(control, 0.1)), (control, followed)
    assert seen, "something can be dragged"

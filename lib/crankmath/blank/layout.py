"""Marking out the blank: centers, what their errors do, the order of the mill's handwheels, swing.

Coordinates are those of an end face of the bar: x to the right, y up, as seen when looking at that
end, in mm. A throw of angle zero points up. Seen from the right-hand (tailstock) end angles count
counterclockwise; the left-hand end is its mirror.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import counted, one_of, takes
from ..crank import Crank
from ..lathe import Lathe, load_lathe
from ..tables import settings
from ..units import Quantity, as_text
from .bar import Bar, pin_places, section_axes

ENDS = ("right", "left")
REFERENCES = ("edges", "middle", "main")
NO_ANGLE = Quantity(0.0, "deg")


@dataclass(frozen=True)
class CenterPoint:
    """One center on an end face, in the bar's own axes; ``clear`` is from it to the bar's edge."""

    name: str
    throws: tuple[int, ...]
    from_middle_x: Quantity
    from_middle_y: Quantity
    from_left: Quantity
    from_bottom: Quantity
    clear: Quantity
    swing: Quantity


@dataclass(frozen=True)
class CenterLayout:
    """Centers of one end face, the main axis first."""

    bar: Bar
    end: str
    points: tuple[CenterPoint, ...]

    def find(self, name):
        """Center of that name."""
        for point in self.points:
            if point.name == name:
                return point
        raise ValueError(
            f"name must be one of {', '.join(point.name for point in self.points)}, not {name!r}"
        )


@dataclass(frozen=True)
class HandwheelMove:
    """One center to drill: where to come from and stop, full turns and rest of each handwheel."""

    name: str
    approach_x: Quantity
    approach_y: Quantity
    x: Quantity
    y: Quantity
    turns_x: int
    rest_x: Quantity
    turns_y: int
    rest_y: Quantity


@dataclass(frozen=True)
class PinAxis:
    """Where errors of the centers put a pin's axis.

    ``throw`` and ``phase_error`` at the middle of the pin; ``twist`` is the phase at the right-hand
    end less that at the left. ``tilt`` (in the plane of the throw) and ``skew`` (across it) are
    slopes against the main axis, ``misalignment`` both together, ``takes_clearance`` that slope
    over the length of the pin.
    """

    throw: Quantity
    throw_error: Quantity
    phase_error: Quantity
    twist: Quantity
    tilt: Quantity
    skew: Quantity
    misalignment: Quantity
    takes_clearance: Quantity


@dataclass(frozen=True)
class SwingCheck:
    """Room while the bar turns on a center, over bed and carriage; negative where it strikes."""

    name: str
    swing: Quantity
    over_bed: Quantity
    over_carriage: Quantity


@dataclass(frozen=True)
class TurningBalance:
    """The bar off its center: mass, offset of its middle, weight that balances it at a radius."""

    mass: Quantity
    offset: Quantity
    counterweight: Quantity


def handwheel_lead(unit="mm"):
    """Table travel for one turn of the night school's handwheel, its dials in a unit, mm or in.

    Basis: assumed values of the scenario; read your own mill's dial.
    """
    one_of(unit, ("mm", "in"), "unit")
    return Quantity(float(settings("workshop")[f"handwheel_lead_{unit}"]), unit)


@takes(crank=Crank, bar=Bar, end=ENDS)
def center_layout(crank, bar, end="right"):
    """Centers of an end face, from the bar's middle and from its left and bottom edges.

    The main axis, then one center for each pin axis; throws that share an axis share a center.
    ``clear`` is negative for a center outside the bar; ``swing`` is the farthest the bar reaches
    from the center. ``end`` is "right" (tailstock) or "left" (headstock), each as seen when looking
    at it. Basis: derived. The left-hand end is the mirror of the right-hand end: x changes its
    sign, y stays. Marking both ends alike puts the pins on a slant. On a round bar, left edge and
    bottom are its tangents.
    """
    middle, turn = (
        np.array([bar.middle_x.m_as("mm"), bar.middle_y.m_as("mm")]),
        bar.turn.m_as("rad"),
    )
    axes = section_axes(turn)
    groups = {"main": (np.zeros(2), ())}
    for index, place in enumerate(pin_places(crank).magnitude):
        same = next(
            (
                name
                for name, (other, _) in groups.items()
                if name != "main" and np.hypot(*(place - other)) < 1e-6
            ),
            f"pin {index + 1}",
        )
        groups[same] = place, (*groups.get(same, (place, ()))[1], index)
    half = np.array([bar.width.m_as("mm"), bar.height.m_as("mm")]) / 2
    points = []
    for name, (place, throws) in groups.items():
        x, y = np.round(axes @ (place - middle), 9)
        x = (-x if end == "left" else x) + 0.0  # no minus zero on the sheet
        y = y + 0.0
        off = np.hypot(x, y)
        clear = half[0] - off if bar.shape == "round" else (half - np.abs((x, y))).min()
        swing = half[0] + off if bar.shape == "round" else np.hypot(*(half + np.abs((x, y))))
        sizes = (x, y, x + half[0], y + half[1], clear, swing)
        points.append(CenterPoint(name, throws, *(Quantity(float(size), "mm") for size in sizes)))
    return CenterLayout(bar, end, tuple(points))


@takes(layout=CenterLayout, reference=REFERENCES, lead="mm > 0, one", backlash="mm >= 0, one")
def handwheel_moves(layout, reference="edges", lead=None, backlash=None):
    r"""Moves of a mill to the centers, each from the same side so that backlash cannot enter.

    .. math:: x = k\,p + \Delta, \quad k = \lfloor x/p \rfloor

    Ordered by growing x, then growing y. An approach equal to its place means that this handwheel
    stays locked. ``reference`` is the zero of both dials: "edges" (left and bottom), "middle" of
    the bar, or the "main" center. ``lead`` p is the travel for one turn of a handwheel,
    ``backlash`` its lost motion, by default those of the night school's mill; each hole is
    approached from three times as far below.
    Basis: derived; ending every move in the direction of growing numbers is common practice, no
    source.
    """
    turn = handwheel_lead().m_as("mm") if lead is None else lead
    lost = float(settings("workshop")["backlash_mm"]) if backlash is None else backlash
    fields = (
        ("from_left", "from_bottom") if reference == "edges" else ("from_middle_x", "from_middle_y")
    )
    places = np.array(
        [[getattr(point, field).m_as("mm") for field in fields] for point in layout.points]
    )
    places = np.round(places - (places[0] if reference == "main" else 0), 9) + 0.0
    moves, last = [], (None, None)
    for place, name in sorted(
        zip(places.tolist(), [point.name for point in layout.points], strict=True)
    ):
        approach = [
            here if here == before else here - 3 * lost
            for here, before in zip(place, last, strict=True)
        ]
        whole = [int(np.floor(here / turn + 1e-9)) for here in place]
        rest = [max(0.0, here - count * turn) for here, count in zip(place, whole, strict=True)]
        lengths = [Quantity(value, "mm") for value in (*approach, *place, *rest)]
        moves.append(HandwheelMove(name, *lengths[:4], whole[0], lengths[4], whole[1], lengths[5]))
        last = place
    return tuple(moves)


@takes(
    crank=Crank,
    right_error="mm",
    left_error="mm",
    bar_length="mm > 0, one",
    end_turn="deg, one",
)
def pin_axis(crank, index, right_error, left_error, bar_length=None, end_turn=NO_ANGLE):
    r"""Axis of one pin where the center positions at the two ends have errors.

    .. math:: \vec e(z) = \vec e_L + (\vec e_R - \vec e_L)\frac{z}{L}, \quad
        \Delta\varphi = \arctan\frac{e_t}{r + e_r}

    ``index`` counts throws from zero. ``right_error`` and ``left_error`` are two lengths each, pin
    center against main center, found less wanted: outward along the throw, then across it,
    counterclockwise as seen from the right-hand end (clockwise when looking at the left-hand end).
    ``bar_length`` is between the two faces that carry the centers, by default the crank's own;
    ``end_turn`` how far the right-hand end was drilled turned against the left, counterclockwise.
    Basis: derived, exact for a straight line between the centers. The bar is taken to stick out
    evenly beyond the crank.
    """
    index = counted(index, crank.throws, "index")
    plain, errors = crank.plain, []
    radius, turn = plain.throws[index].radius, end_turn * np.pi / 180
    for name, error in (("left_error", left_error), ("right_error", right_error)):
        pair = np.asarray(error)
        if pair.shape[:1] != (2,):
            raise ValueError(f"{name} takes two lengths, along the throw and across it")
        errors.append(pair)
    length = plain.length if bar_length is None else bar_length
    stub = (length - plain.length) / 2
    if stub < -1e-9:
        raise ValueError("bar_length is shorter than the crank; write a longer bar_length")
    pin = plain.pins[index]
    # the right-hand pattern turned as a whole: its pin center, with its error, about the main one
    out, across = radius + errors[1][0], errors[1][1]
    right = np.array(
        [out * np.cos(turn) - across * np.sin(turn), out * np.sin(turn) + across * np.cos(turn)]
    )
    left = np.array([radius + errors[0][0], errors[0][1]])
    here = left + (right - left) * (stub + pin.middle) / length
    slope = (right - left) / length
    phases = [np.degrees(np.arctan2(place[1], place[0])) for place in (left, here, right)]
    throw, steep = np.hypot(*here), np.hypot(*slope)
    return PinAxis(
        Quantity(throw, "mm"),
        Quantity(throw - radius, "mm"),
        Quantity(phases[1], "deg"),
        Quantity(phases[2] - phases[0], "deg"),
        *(Quantity(1000 * value, "mm/m") for value in (slope[0], slope[1], steep)),
        Quantity(1000 * steep * pin.length, "um"),
    )


@takes(layout=CenterLayout, lathe=Lathe, swing_over_carriage="mm > 0, one")
def swing_check(layout, lathe=None, swing_over_carriage=None):
    """Room between the swinging bar and the lathe, for each center it is turned on.

    ``swing_over_carriage`` is the diameter that passes over the cross slide; it and the lathe are
    by default the night school's. Refused for a bar longer than the lathe takes between its
    centers.
    Basis: derived. A dog, a driving plate or a counterweight swings wider than the bar: turn the
    spindle by hand once before starting.
    """
    lathe = load_lathe() if lathe is None else lathe
    if layout.bar.length > lathe.between_centers:
        raise ValueError(
            f"bar is longer than the {as_text(lathe.between_centers)} between centers of the "
            f"{lathe.name}; shorten it"
        )
    height = lathe.center_height.m_as("mm")
    assumed = 2 * lathe.center_height_over_carriage.m_as("mm")
    carriage = (assumed if swing_over_carriage is None else swing_over_carriage) / 2
    reaches = [(point.name, point.swing.m_as("mm")) for point in layout.points]
    return tuple(
        SwingCheck(
            name, *(Quantity(size, "mm") for size in (reach, height - reach, carriage - reach))
        )
        for name, reach in reaches
    )


@takes(layout=CenterLayout, density="kg/mm**3 > 0, one", radius="mm > 0, one")
def turning_balance(layout, name, density, radius):
    """Weight that balances the bar while it turns on a center off its middle: m_c = m e / r_c.

    ``name`` is that of the center, ``density`` the bar's, ``steels.find(...).density``; ``radius``
    r_c is where the weight sits on the faceplate or lug, opposite the bar's middle.
    Basis: derived, for the whole bar before metal is removed: weigh again as it grows lighter. A
    weight at one end only leaves a couple that still shakes the lathe. Bolt weights on so that they
    cannot fly; guard them; start slow.
    """
    bar, point = layout.bar, layout.find(name)
    sides = bar.width.m_as("mm") * bar.height.m_as("mm")
    mass = density * sides * (np.pi / 4 if bar.shape == "round" else 1) * bar.length.m_as("mm")
    offset = float(np.hypot(point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")))
    return TurningBalance(
        Quantity(mass, "kg"), Quantity(offset, "mm"), Quantity(mass * offset / radius, "kg")
    )

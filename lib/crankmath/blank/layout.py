"""Marking out the blank: center positions, what their errors do, the order of the mill's handwheels, swing.

Coordinates are those of an end face of the bar: x to the right, y up, as seen when looking at that end,
lengths inside in millimeters. A throw of angle zero points up. Seen from the right-hand (tailstock) end angles count
counterclockwise; the left-hand end is its mirror.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..checks import counted, made
from ..crank import Crank
from ..lathe import Lathe, load_lathe
from ..units import Quantity, as_text, magnitude
from .bar import Bar, pin_places, section_axes

ENDS = ("right", "left")


@dataclass(frozen=True)
class CenterPoint:
    """One center on an end face, in the bar's own axes; ``clear`` is the bar's edge less the center."""

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
    """One center to drill: where to come from, where to stop, and full turns and rest of each handwheel."""

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

    ``throw`` and ``phase_error`` at the middle of the pin; ``twist`` is the phase at the right-hand end less that at
    the left. ``tilt`` (in the plane of the throw) and ``skew`` (across it) are slopes against the main axis,
    ``misalignment`` both together, ``takes_clearance`` that slope over the length of the pin.
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
    """Room left while the bar turns on one center: over the bed, over the carriage; negative where it strikes."""

    name: str
    swing: Quantity
    over_bed: Quantity
    over_carriage: Quantity


@dataclass(frozen=True)
class TurningBalance:
    """The bar off its center: mass, offset of its middle, and the weight that balances it at a radius."""

    mass: Quantity
    offset: Quantity
    counterweight: Quantity


def handwheel_lead(unit="mm"):
    """Table travel for one turn of the night school's handwheel, with metric or inch dials.

    Parameters
    ----------
    unit : str
        "mm" or "in".

    Returns
    -------
    Quantity [length]

    Raises
    ------
    ValueError
        Another unit.

    Notes
    -----
    Basis: assumed values of the scenario; read your own mill's dial.
    """
    if unit not in ("mm", "in"):
        raise ValueError(f'unit must be "mm" or "in", not {unit!r}')
    return Quantity(float(_workshop()[f"handwheel_lead_{unit}"]), unit)


@cache
def _workshop():
    return tomllib.loads(
        (files("crankmath") / "data" / "workshop.toml").read_text(encoding="utf-8")
    )


def center_layout(crank, bar, end="right"):
    """Where the centers go on an end face: from the bar's middle and from its left and bottom edges.

    Parameters
    ----------
    crank : crank.Crank
    bar : Bar
    end : str
        "right" (tailstock) or "left" (headstock), each as seen when looking at that end.

    Returns
    -------
    CenterLayout
        The main axis, then one center for each pin axis; throws that share an axis share a center. ``clear`` is
        negative for a center outside the bar; ``swing`` is the farthest the bar reaches from the center.

    Raises
    ------
    ValueError
        Unknown end.

    Notes
    -----
    Basis: derived. The left-hand end is the mirror of the right-hand end: x changes its sign, y stays. Marking both ends
    alike puts the pins on a slant. On a round bar, left edge and bottom are its tangents.
    """
    if end not in ENDS:
        raise ValueError(f"end must be one of {', '.join(ENDS)}, not {end!r}")
    made(bar, Bar, "bar")
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


def handwheel_moves(layout, reference="edges", lead=None, backlash=None):
    r"""Order in which a mill visits the centers, each from the same side so that backlash cannot enter.

    .. math:: x = k\,p + \Delta, \quad k = \lfloor x/p \rfloor

    Parameters
    ----------
    layout : CenterLayout
    reference : str
        Zero of both dials: "edges" (left and bottom), "middle" of the bar, or the "main" center.
    lead : Quantity [length], optional
        Travel for one turn of a handwheel, p; the night school's mill without it.
    backlash : Quantity [length], optional
        Lost motion of the handwheels; each hole is approached from three times as far below.

    Returns
    -------
    tuple of HandwheelMove
        By growing x, then growing y. An approach equal to its place means: that handwheel stays locked.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind or below zero; unknown reference.

    Notes
    -----
    Basis: derived; ending every move in the direction of growing numbers is common practice, no source.
    """
    turn = magnitude(handwheel_lead() if lead is None else lead, "mm", "lead", above=0, one=True)
    lost = magnitude(
        Quantity(_workshop()["backlash_mm"], "mm") if backlash is None else backlash,
        "mm",
        "backlash",
        least=0,
        one=True,
    )
    if reference not in ("edges", "middle", "main"):
        raise ValueError(f"reference must be edges, middle or main, not {reference!r}")
    fields = (
        ("from_left", "from_bottom") if reference == "edges" else ("from_middle_x", "from_middle_y")
    )
    places = np.array(
        [
            [getattr(point, field).m_as("mm") for field in fields]
            for point in made(layout, CenterLayout, "layout").points
        ]
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


def pin_axis(crank, index, right_error, left_error, bar_length=None, end_turn=Quantity(0.0, "deg")):
    r"""What errors of the center positions at the two ends do to one pin.

    .. math:: \vec e(z) = \vec e_L + (\vec e_R - \vec e_L)\frac{z}{L}, \quad \Delta\varphi = \arctan\frac{e_t}{r + e_r}

    Parameters
    ----------
    crank : crank.Crank
    index : int
        Throw, counted from zero.
    right_error, left_error : Quantity [length] of two numbers
        Pin center against main center at each end, found less wanted: outward along the throw, then across it,
        counterclockwise as seen from the right-hand end (clockwise when looking at the left-hand end).
    bar_length : Quantity [length], optional
        Between the two faces that carry the centers; the crank's own length without it.
    end_turn : Quantity [angle]
        By how much the right-hand end was drilled turned against the left, counterclockwise.

    Returns
    -------
    PinAxis

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is of the wrong kind; no such throw; not two numbers; a bar shorter than the crank.

    Notes
    -----
    Basis: derived, exact for a straight line between the centers. The bar is taken to stick out evenly beyond the crank.
    """
    index = counted(index, made(crank, Crank, "crank").throws, "index")
    radius = crank.throws[index].radius.m_as("mm")
    errors = []
    for name, error in (("left_error", left_error), ("right_error", right_error)):
        pair = np.asarray(magnitude(error, "mm", name))
        if pair.shape[:1] != (2,):
            raise ValueError(f"{name} takes two lengths, along the throw and across it")
        errors.append(pair)
    turn = magnitude(end_turn, "deg", "end_turn", one=True) * np.pi / 180
    length = (
        crank.length.m_as("mm")
        if bar_length is None
        else magnitude(bar_length, "mm", "bar_length", above=0, one=True)
    )
    stub = (length - crank.length.m_as("mm")) / 2
    if stub < -1e-9:
        raise ValueError("bar_length is shorter than the crank; write a longer bar_length")
    pin = next(piece for piece in crank.segments() if piece.kind == "pin" and piece.index == index)
    # the right-hand pattern turned as a whole: its pin center, with its own error, about the main center
    out, across = radius + errors[1][0], errors[1][1]
    right = np.array(
        [out * np.cos(turn) - across * np.sin(turn), out * np.sin(turn) + across * np.cos(turn)]
    )
    left = np.array([radius + errors[0][0], errors[0][1]])
    here = left + (right - left) * (stub + pin.start + pin.length / 2) / length
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


def swing_check(layout, lathe=None, swing_over_carriage=None):
    """Room between the swinging bar and the lathe, for each center it is turned on.

    Parameters
    ----------
    layout : CenterLayout
    lathe : Lathe, optional
        The night school's without it.
    swing_over_carriage : Quantity [length], optional
        Diameter that passes over the cross slide; the night school's without it.

    Returns
    -------
    tuple of SwingCheck

    Raises
    ------
    ValueError
        The bar is longer than the lathe takes between its centers.
    TypeError, pint.DimensionalityError
        The swing lacks its unit or is of the wrong kind.

    Notes
    -----
    Basis: derived. A dog, a driving plate or a counterweight swings wider than the bar: turn the spindle by hand once before starting.
    """
    lathe = load_lathe() if lathe is None else made(lathe, Lathe, "lathe")
    if made(layout, CenterLayout, "layout").bar.length > lathe.between_centers:
        raise ValueError(
            f"bar is longer than the {as_text(lathe.between_centers)} between centers of the {lathe.name}; shorten it"
        )
    height = lathe.center_height.m_as("mm")
    assumed = 2 * lathe.center_height_over_carriage
    carriage = (
        magnitude(
            assumed if swing_over_carriage is None else swing_over_carriage,
            "mm",
            "swing_over_carriage",
            above=0,
            one=True,
        )
        / 2
    )
    reaches = [(point.name, point.swing.m_as("mm")) for point in layout.points]
    return tuple(
        SwingCheck(
            name, *(Quantity(size, "mm") for size in (reach, height - reach, carriage - reach))
        )
        for name, reach in reaches
    )


def turning_balance(layout, name, density, radius):
    r"""Weight that balances the bar while it turns on a center off its middle.

    .. math:: m_c = m\, e / r_c

    Parameters
    ----------
    layout : CenterLayout
    name : str
        The center it turns on.
    density : Quantity [mass/volume]
        Of the bar's steel, ``steels.find(...).density``.
    radius : Quantity [length]
        Where the weight sits on the faceplate or lug, opposite the bar's middle.

    Returns
    -------
    TurningBalance

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero; no such center.

    Notes
    -----
    Basis: derived, for the whole bar before metal is removed: weigh again as it grows lighter. A weight at one end only
    leaves a couple that still shakes the lathe. Bolt weights on so that they cannot fly; guard them; start slow.
    """
    bar, point = made(layout, CenterLayout, "layout").bar, layout.find(name)
    sides = (
        bar.width.m_as("mm") * bar.height.m_as("mm") * (np.pi / 4 if bar.shape == "round" else 1)
    )
    mass = (
        magnitude(density, "kg/mm**3", "density", above=0, one=True) * sides * bar.length.m_as("mm")
    )
    offset = float(np.hypot(point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")))
    counterweight = mass * offset / magnitude(radius, "mm", "radius", above=0, one=True)
    return TurningBalance(
        Quantity(mass, "kg"), Quantity(offset, "mm"), Quantity(counterweight, "kg")
    )

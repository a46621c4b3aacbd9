"""The bar a lesson works with: from the shelf around a crank, both end faces marked out, its center
hole chosen."""

from dataclasses import dataclass

from crankmath.blank import layout
from crankmath.blank.bar import Bar, stock_bar
from crankmath.blank.center_holes import CenterHole, hole_with_room
from crankmath.job import Job
from crankmath.language import _
from crankmath.units import as_text
from crankmath.workpiece.planning import rules

_kept: dict = {}


@dataclass(frozen=True)
class Blank:
    """A crank's bar marked out: both end faces, the center hole that has room or None, and the
    sentence why not."""

    bar: Bar
    right: layout.CenterLayout
    left: layout.CenterLayout
    hole: CenterHole | None
    problem: str


def needed_bar(crank, shape="round"):
    """Smallest bar of a shape that holds a crank with what its job starts from, as the sheet says;
    a square or flat one may be turned about its axis.
    """
    return rules.smallest_turned_bar(Job(crank, {"bar_shape": shape}))


def blank_for(crank, shape="round"):
    """Bar from the shelf for a crank, marked out; the bare smallest bar where no size of the list
    is large enough.

    - ``shape``: One of ``bar.SHAPES``.
    """
    known = _kept.get((crank.name, shape))
    if known and known[0] is crank:
        return known[1]
    bar, problem = needed_bar(crank, shape), ""
    try:
        bar = stock_bar(bar, crank.units)
    except ValueError:
        problem = _("larger than any size of the list: ask for a forging or a turned blank")
    right, left = (layout.center_layout(crank, bar, end) for end in layout.ENDS)
    try:
        hole = hole_with_room(right, standard="ISO" if crank.units == "mm" else "ASME")
    except ValueError as error:
        hole, problem = None, problem or str(error).partition(":")[0]
    _kept[crank.name, shape] = crank, Blank(bar, right, left, hole, problem)
    return _kept[crank.name, shape][1]


def bar_words(bar, unit):
    """Size of a bar in words."""
    size = (
        f"Ø{as_text(bar.width, unit)}"
        if bar.shape == "round"
        else f"{as_text(bar.width, unit).split()[0]} × {as_text(bar.height, unit)}"
    )
    return _("{shape} bar {size}").format(shape=_(bar.shape), size=size)

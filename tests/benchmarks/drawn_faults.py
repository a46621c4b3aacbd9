"""Faults drawn as likely as the table of causes has them, for ``simulate.Hidden``."""

import numpy as np

from crankmath.inspection.diagnosis.signatures.causes import DOG_ASIDE
from crankmath.inspection.diagnosis.signatures.likelihoods import usual_table
from crankmath.inspection.diagnosis.signatures.stations import pin_axes, throw_vectors
from crankmath.inspection.diagnosis.signatures.traces import usual_bow

LONGEST = 100  # um; a spacer so much too long would not go in


def places_of(cause, crank, making, rows):
    """Places where a cause can be, as ``Hidden`` takes them; empty where it cannot be with this
    crank and these rows.
    """
    throws, axes = list(range(len(crank.throws))), pin_axes(throw_vectors(crank))
    if cause in ("spacer too long", "spacer loose"):
        return [spacer.throw for spacer in making.spacers]
    if cause in ("pin thrust too high", "stress released"):
        return throws
    if cause == "center out of place":
        places = [("pin", throw) for throw in axes]
        places += [("main", 0)] if len(axes) > 1 else []
        return [(place, end) for place in places for end in ("left", "right")]
    if cause.startswith("center worn"):
        return ["left", "right"]
    if cause == "seat or vee":
        return [0, 1] if any(row.on[0] == "vees" for row in rows) else []
    if cause == "dial slip":
        return sorted({row.place for row in rows if row.kind == "dial"})
    if cause == "chatter":
        return sorted({row.place for row in rows if row.kind in ("dial", "diameter")})
    if cause == "ends turned" and len(axes) < 2:
        return []
    return [None]


def drawn_fault(cause, crank, making, rows, random, table=None):
    """A fault of a cause: its place and a size that could have happened."""
    row = (table or usual_table())[cause]
    places = places_of(cause, crank, making, rows)
    where = places[random.integers(len(places))]
    size = row.median * row.spread ** random.standard_normal()
    around = np.exp(2j * np.pi * random.random())
    if cause in ("thrust too high", "spacer loose"):
        size *= making.thrust.m_as("N")
    elif cause == "pin thrust too high":
        size *= making.pin_thrust.m_as("N")
    elif cause == "stress released":
        size = max(size * usual_bow(crank)[where], 5.0 * size / row.median) * around
    elif cause in ("center out of place", "center worn at cut", "center worn now", "live center"):
        size = size * around
    elif cause == "dog pulls":
        toward = around
        if making.dog_angle is not None:
            toward = 1j * np.exp(1j * making.dog_angle.m_as("rad"))
        size = size * toward * (1 + 1j * DOG_ASIDE * random.standard_normal())
    elif cause in ("ends turned", "tailstock set over", "seat or vee", "dial slip"):
        size *= random.choice([-1, 1])
    elif cause == "spacer too long":
        size = min(size, LONGEST)
    return cause, where, size


def where_named(cause, where):
    """The place of a drawn fault as a hypothesis names it."""
    if where is None:
        return ""
    if cause in ("spacer too long", "spacer loose", "stress released"):
        return f"throw {where + 1}"
    if cause == "pin thrust too high":
        return f"pin {where + 1}"
    if cause == "center out of place":
        (kind, number), end = where
        return f"{f'pin {number + 1}' if kind == 'pin' else 'the mains'} {end}"
    if cause == "seat or vee":
        return f"main {1 if where == 0 else 'last'}"
    if cause in ("dial slip", "chatter"):
        return f"{where[0]} {where[1] + 1}"
    return where

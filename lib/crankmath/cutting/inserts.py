"""Carbide inserts that home lathes use: nose, approach angle, depth, feed, advice for blows."""

from dataclasses import dataclass

from ..tables import rows
from ..units import Quantity


@dataclass(frozen=True)
class Insert:
    """A carbide insert by its ISO 1832 code, with the cuts it is made for."""

    code: str
    approach_angle: Quantity
    nose_radius: Quantity
    least_depth: Quantity
    most_depth: Quantity
    least_feed: Quantity
    most_feed: Quantity
    use: str
    source: str


def usual_inserts():
    """Usual home inserts, smallest nose first within a shape, as a tuple of :class:`Insert`.

    In blows take a tough coated grade with a honed edge, a nose of 0.4 mm or more, a feed no less
    than 0.1 mm, no coolant (heat and cold crack it) and 0.7 of the speed. Where that comes to less
    than some 60 m/min steel builds up on it: high-speed steel lasts longer.
    Basis: from memory, codes by ISO 1832; the maker's box takes precedence.
    """
    return tuple(
        Insert(
            row["code"],
            Quantity(float(row["approach_angle"]), "deg"),
            *(
                Quantity(float(row[key]), "mm")
                for key in (
                    "nose_radius",
                    "least_depth",
                    "most_depth",
                    "least_feed",
                    "most_feed",
                )
            ),
            row["use"],
            row["source"],
        )
        for row in rows("inserts")
    )

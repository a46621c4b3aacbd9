"""A wide edge against the same edge relieved in its middle, so that two narrow edges cut."""

from dataclasses import dataclass

from ..units import Quantity, magnitude
from . import limits


@dataclass(frozen=True)
class ToolComparison:
    """A wide edge beside the same edge relieved in its middle; margins are limit over width, above 1 is quiet."""

    limit: Quantity
    wide: Quantity
    relieved: Quantity
    wide_margin: float
    relieved_margin: float
    least_relief: Quantity

    def __str__(self):
        def words(margin):
            return "quiet" if margin > 1 else "sings"

        return (
            f"limit {self.limit.m_as('mm'):.2f} mm of edge; full edge {self.wide.m_as('mm'):.2f} mm: {words(self.wide_margin)}; "
            f"relieved, {self.relieved.m_as('mm'):.2f} mm in the cut: {words(self.relieved_margin)}"
        )


def compare_tools(
    modes, specific_force, edge_width, relief_width, process_damping=None, cutting_speed=None
):
    """A wide edge against the same edge relieved in its middle so that two narrow edges cut.

    Both narrow edges cut when the tool is plunged, so their sum counts; traversed along the pin, only the leading
    one does, and the middle goes with it.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    edge_width : Quantity, scalar [length]
        The whole edge.
    relief_width : Quantity, scalar [length]
        Ground away in the middle.
    process_damping, cutting_speed : Quantity, scalar, optional
        As for ``chatter.critical_width``.

    Returns
    -------
    ToolComparison
        ``least_relief`` brings the plunged tool just to the limit.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a relief as wide as the edge.

    Notes
    -----
    Basis: derived, as ``chatter.critical_width``: limits at any spindle speed. Both edges are taken to move alike, which
    holds for a stiff short pin; one that tilts under the tool does not halve the trouble.
    """
    limit = limits.critical_width(modes, specific_force, process_damping, cutting_speed).width.m_as(
        "mm"
    )
    whole, middle = (
        magnitude(edge_width, "mm", "edge_width", above=0),
        magnitude(relief_width, "mm", "relief_width", least=0),
    )
    if middle >= whole:
        raise ValueError("relief_width must be below edge_width: something has to be left to cut")
    left = whole - middle
    return ToolComparison(
        *(Quantity(value, "mm") for value in (limit, whole, left)),
        limit / whole,
        limit / left,
        Quantity(max(whole - limit, 0.0), "mm"),
    )

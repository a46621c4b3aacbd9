"""How the crank was made, as far as its errors depend on it: thrust, spacers, supports, what runout
is allowed.
"""

from dataclasses import dataclass, field

import numpy as np

from ...language import _
from ...lathe import load_lathe
from ...spacers import Spacer
from ...units import Quantity, magnitude
from ..runout_budgets import usual_runout
from ..uncertainty import tool_division, tool_half_width

NONE = Quantity(0.0, "mm")


@dataclass(frozen=True)
class Making:
    """How the crank was made.

    ``thrust`` of the tailstock on the mains, ``pin_thrust`` on a pin's centers, without spacers in
    that gap. ``spacers`` are those that should have been in while the mains were cut, as long as
    their gaps. ``center_stiffness`` is that of one center, sideways, by default the tailstock's of
    the school's lathe. ``dog_angle`` is the mark of the work at which the dog's tail stood, where
    it is known. ``allowed_runout`` is an indicator reading on the mains, and as far as a pin may
    stand askew over its length. ``pin_runout`` is a reading on a pin's own centers beyond which its
    throw is off by too much; None where nobody says it. ``stock`` is what the mains may still lose
    in diameter inside their tolerance. ``division`` and ``indicator`` are the dial's division and
    its largest error, where readings name none.
    """

    thrust: Quantity = Quantity(400.0, "N")
    pin_thrust: Quantity = Quantity(400.0, "N")
    spacers: tuple = ()
    center_stiffness: Quantity = field(default_factory=lambda: load_lathe().tailstock_stiffness)
    dog_angle: Quantity | None = None
    spindle_speed: Quantity | None = None
    allowed_runout: Quantity = field(default_factory=usual_runout)
    pin_runout: Quantity | None = None
    stock: Quantity = Quantity(13.0, "um")
    division: Quantity = tool_division("lever indicator 0.002 mm")
    indicator: Quantity = tool_half_width("lever indicator 0.002 mm")


def making_of(crank, job=None, **changes):
    """Making of a job, or of the usual way (a spacer in every throw that takes one) by default.

    - ``changes``: Fields of ``Making``.

    Basis: assumed values of the job's questions; a spacer of the largest diameter beside the pin.
    """
    if job is not None:
        if not hasattr(job, "assumed"):
            raise TypeError(
                _("job has to be a Job: write Job.load(...), not {job}").format(job=repr(job)[:60])
            )
        usual = {
            "thrust": job["thrust"],
            "pin_thrust": job["thrust"],
            "center_stiffness": job["tailstock_stiffness"],
            "allowed_runout": job["allowed_runout"],
            "pin_runout": job["throw_tolerance"],  # half for its centers, half on them: shown twice
            "division": tool_division(job["indicator"]),
            "indicator": tool_half_width(job["indicator"]),
            "spacers": () if job["spacers"] == "none" else usual_spacers(crank),
        }
    else:
        usual = {"spacers": usual_spacers(crank), "allowed_runout": usual_runout(crank.units)}
    found = Making(**(usual | changes))
    magnitude(found.thrust, "N", "thrust", least=0, one=True)
    magnitude(found.pin_thrust, "N", "pin_thrust", least=0, one=True)
    magnitude(found.allowed_runout, "um", "allowed_runout", above=0, one=True)
    return found


def usual_spacers(crank):
    """A spacer in each throw that has room for one on the main axis, as long as its gap."""
    found = []
    for index, throw in enumerate(crank.plain.throws):
        room = min(
            2 * (throw.radius - throw.pin_diameter / 2 - throw.fillet),
            2 * throw.web_reach,
            throw.web_width,
        )
        size = np.floor(room * (1 + 1e-9))
        if size >= 3:
            found.append(Spacer(index, NONE, Quantity(float(size), "mm")))
    return tuple(found)

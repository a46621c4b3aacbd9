"""Check of the motion: stroke and rod."""

from ...crank import motion
from ...language import _
from ...units import Quantity
from ...wording import figures
from ..fields import CYLINDER
from ..verdicts import Found, Number, check, shown

SHORTEST_ROD = 3.0  # throws; own choice: below it the harmonics left out pass 2 % of the force


@check("motion")
def check_motion(work):
    rod, units = work.rod_length, work.units
    longest = max(throw.radius for throw in work.crank.throws)
    if rod <= longest:
        return Found(
            "not fine",
            _(
                "A rod of {rod} is not longer than the throw of {longest}: the crank cannot turn "
                "around."
            ).format(rod=shown(rod, "length", units), longest=shown(longest, "length", units)),
        )
    strokes = [motion.dead_centers(throw.radius, rod).stroke for throw in work.crank.throws]
    ratio = (rod / longest).m_as("dimensionless")
    late = motion.position_error(
        Quantity(90.0, "deg"), longest, rod, phase_error=work.job["phase_tolerance"]
    )
    numbers = [
        Number(_("stroke of throw {number}").format(number=n), stroke, "length")
        for n, stroke in enumerate(strokes, 1)
    ]
    numbers += [
        Number(_("rod over throw"), ratio, "plain"),
        Number(
            _("shift of the piston a quarter turn from dead center by the angle allowed"),
            abs(late),
            "fine",
        ),
    ]
    if work.job["machine"] in CYLINDER[1]:
        numbers.append(
            Number(
                _("swept volume, each throw"),
                motion.swept_volume(work.job["bore"], longest, rod),
                "volume",
            )
        )
    short = ratio < SHORTEST_ROD
    words = (
        _("a short rod: side force and second-order shaking are large")
        if short
        else _("long enough to run smoothly")
    )
    return Found(
        "look" if short else "fine",
        _("Stroke {strokes}; the rod is {ratio} throws, {words}.").format(
            strokes=shown(max(strokes), "length", units), ratio=figures(ratio), words=words
        ),
        tuple(numbers),
    )

"""Check of the heat that cuts leave in the work, and of the thrust that it adds."""

from dataclasses import dataclass

import numpy as np

from ...crank import Crank
from ...cutting import speeds
from ...heat import cooling, expansion, heat_input, warming
from ...language import _
from ...units import Quantity
from ...workpiece.passes import Passes
from ..pressed import Pressed
from ..verdicts import Found, Number, check, shown

END = 19  # moment of the warming at which the pass ends
# finite volumes in each piece of the warmed crank: beside 48 of them its growth is within 0.2 %,
# the rise of a piece within 1 %
CELLS = 8


@dataclass(frozen=True)
class Warmed:
    """A last pass that warms the finished crank: its step under the thrust, its minutes, the
    ``piece`` that it cuts, the heat that it makes; the crank warmed by it, heat by formula, and by
    one ten times as long; the thrust that a degree adds with the spacers of its step.

    The pass ends at the twentieth moment.
    """

    crank: Crank
    stage: Pressed
    passes: Passes
    minutes: Quantity
    piece: tuple
    made: heat_input.CuttingHeat
    course: warming.Warming
    per_degree: Quantity

    @property
    def grown(self):
        """Mean rise [K] by which the crank would grow as much, at each moment."""
        crank, degree = self.crank, Quantity(1.0, "delta_degC")
        even = expansion.growth(crank.length, degree, crank.steel)
        return self.course.growth.m_as("um") / even.m_as("um")

    @property
    def risen(self):
        """Mean rises at the end of the pass, by rule and by formula."""
        by_rule = (self.made.rule_heat / self.made.shear_heat).m_as("dimensionless")
        return [Quantity(float(self.grown[END] * one), "delta_degC") for one in (by_rule, 1.0)]

    @property
    def added(self):
        """Thrust that they add, by rule and by formula."""
        return [Quantity(float((self.per_degree * one).m_as("N")), "N") for one in self.risen]

    @property
    def share(self):
        """Thrust added over what may be added."""
        room = self.stage.room.m_as("N")
        return self.added[1].m_as("N") / room if room else np.inf


def _warmed(work, kind, places, cut_of):
    """The pass that lasts longest of some kind of turning, as its step then stands."""
    job, found = work.job, []
    for stage in work.pressed:
        for one in stage.step.passes:
            name, number = one.place.split()[-2:]
            if one.work != kind or name not in places:
                continue
            piece = "journal" if name == "main" else "pin", int(number) - 1
            parts, size = ("journals", "length") if name == "main" else ("throws", "pin_length")
            long = getattr(getattr(work.crank, parts)[piece[1]], size)
            minutes = speeds.cutting_time(long, Quantity(one.feed, "mm"), one.speeds[1])
            found.append((minutes, one, piece, stage))
    if not found:
        return None
    minutes, longest, piece, stage = max(found, key=lambda one: one[0])
    cut = cut_of(longest)
    made = heat_input.cutting_heat(cut.force, cut.speed, cut.layer, work.crank.steel)
    ends = np.append(np.arange(1, END + 2) / (END + 1), np.linspace(1.2, 10, 45))
    film = cooling.coolant(job["cooling"]).film
    moments = Quantity(ends * minutes.m_as("min"), "min")
    course = warming.warm(work.crank, made.shear_heat, moments, piece, film, cells=CELLS)
    packs = tuple(one for one in work.fitted if one.throw in stage.step.fitted)
    per_degree = expansion.thrust_per_degree(work.crank, packs, thrust=stage.thrust)
    return Warmed(work.crank, stage, longest, minutes, piece, made, course, per_degree)


@check("heat")
def check_heat(work):
    """The last roughing pass, no spacer in, and that of the mains, with the spacers in."""
    hottest = max(work.rough_cuts, key=lambda cut: cut.power)
    found = (
        _warmed(work, "rough", ("main", "pin"), lambda _unused: hottest),
        _warmed(work, "finish", ("main",), lambda one: work.last_cuts[one.place]),
    )
    worse, *others = sorted((one for one in found if one), key=lambda one: -one.share)
    units, stage, (kind, index) = work.units, worse.stage, worse.piece
    risen, added, allowed, course = worse.risen, worse.added, stage.room, worse.course
    grown = worse.grown * worse.per_degree.m_as("N/delta_degC")
    minutes = warming.time_reached(course.time, grown, allowed.m_as("N"))
    pin = kind == "pin"
    part = work.crank.throws[index].pin_diameter if pin else work.crank.journals[index].diameter
    warmest = Quantity(float(course.rise_of(kind, index).m_as("delta_degC")[END]), "delta_degC")
    large = expansion.hot_measuring_error(part, work.crank.steel, warmest)
    throws = len(work.crank.throws)
    beside = min(index, throws - 1) * 2 if pin else min(max(2 * index - 1, 0), 2 * throws - 1)
    web = Quantity(float(course.rise_of("web", beside).m_as("delta_degC")[END]), "delta_degC")
    numbers = [
        Number(_("operation"), worse.passes.name, "word"),
        Number(_("minutes of its last pass"), worse.minutes, "time"),
        Number(_("power of the cut"), worse.made.power, "power"),
        Number(_("heat into the work, rule"), worse.made.rule_heat, "power"),
        Number(_("heat into the work, formula"), worse.made.shear_heat, "power"),
        Number(_("thrust added by each degree"), worse.per_degree, "per degree"),
        Number(_("mean rise in one pass, rule"), risen[0], "rise"),
        Number(_("mean rise in one pass, formula"), risen[1], "rise"),
        Number(_("thrust added in one pass, rule"), added[0], "force"),
        Number(_("thrust added in one pass, formula"), added[1], "force"),
        Number(_("thrust that may be added"), allowed, "force"),
        Number(_("minutes until then, formula"), minutes, "time"),
        Number(_("rise where it is cut, formula"), warmest, "rise"),
        Number(_("reads too large while that warm"), large, "fine"),
        Number(_("rise of the web beside it, formula"), web, "rise"),
    ]
    for one in others:
        numbers += [
            Number(
                _("{name}: thrust added by each degree").format(name=one.passes.name),
                one.per_degree,
                "per degree",
            ),
            Number(
                _("{name}: thrust added in one pass").format(name=one.passes.name),
                one.added[1],
                "force",
            ),
            Number(
                _("{name}: thrust that may be added").format(name=one.passes.name),
                one.stage.room,
                "force",
            ),
        ]
    packed = _("with its spacers in") if stage.step.fitted else _("with no spacer in")
    words = _(
        "The last pass of “{name}”, {packed}, {minutes} long, warms the crank by {risen} to "
        "{risen_most} and adds {added} to {added_most} of thrust between rigid centers"
    ).format(
        name=worse.passes.name,
        packed=packed,
        minutes=shown(worse.minutes, "time", units, 2),
        risen=shown(risen[0], "rise", units, 2),
        risen_most=shown(risen[1], "rise", units, 2),
        added=shown(added[0], "force", units, 2),
        added_most=shown(added[1], "force", units, 2),
    )
    kept = _("never below {ends}").format(ends=stage.ends(units)[0])
    cold = _("Measure cold: just cut it may read {large} too large.").format(
        large=shown(large, "fine", units, 2)
    )
    if added[1] <= allowed:
        return Found(
            "fine",
            _(
                "{words}; {allowed} may be added. Ease the tailstock between passes, {kept}. {cold}"
            ).format(words=words, allowed=shown(allowed, "force", units, 2), kept=kept, cold=cold),
            tuple(numbers),
        )
    if allowed.magnitude == 0:
        unknown = _(" and what is not known of the spacers") if work.fitted else ""
        return Found(
            "look",
            _(
                "{words}; squeeze{unknown} may have spent the runout already, or the thrust what "
                "the center bears: ease the tailstock all the time, {kept}, or use a spring-loaded "
                "center. {cold}"
            ).format(words=words, unknown=unknown, kept=kept, cold=cold),
            tuple(numbers),
        )
    return Found(
        "look",
        _(
            "{words}; {allowed} may be added, reached after {minutes} in the cut: stop the spindle "
            "and ease the tailstock by then, {kept}, or use a spring-loaded center. {cold}"
        ).format(
            words=words,
            allowed=shown(allowed, "force", units, 2),
            minutes=shown(minutes, "time", units, 2),
            kept=kept,
            cold=cold,
        ),
        tuple(numbers),
    )

"""The order of work: how a job becomes a plan, step by step, each number worked out for the work as
it then stands.
"""

from dataclasses import replace
from functools import partial
from math import ceil, dist

from ...crank import steels
from ...language import _, spoken
from ...units import Quantity
from ...wording import ERRORS, said_of, shown
from .. import shifts
from ..cuts import End
from ..holding import agreement
from ..placing import place
from ..plan import Plan, least_left, sawn_bar
from . import milling, rules
from .mill_steps import Milling
from .words import words

# least arm of a thrust on a pin's axis about another pin, over that pin's throw, that grips its
# spacer: own choice; the job asks how much thrust that takes
GRIPPED = 0.5


def make_plan(job):
    """Plan of a job: its bar and its steps in order, from the saw to the inspected crank.

    Parameters
    ----------
    job : job.Job

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        The bar is too small or no size of the list, or no stub is left for the pin centers.

    Notes
    -----
    Basis: derived; speeds by ``cutting.speed_for`` and the job's gear table. The order is common
    practice, no source, each reason beside its step.
    """
    if not hasattr(job, "answers"):
        raise TypeError(f"job has to be a Job, not {str(job)[:60]!r}; see job.Job.load")
    return _Order(job).plan()


class _Order(Milling):
    """Builds the steps, and keeps the work as it stands."""

    def __init__(self, job):
        self.job, self.crank, self.units, self.steps = job, job.crank, job.units, []
        self.bolt, self.bolt_size = None, 0.0
        self.stock_bar = rules.bar_for(job, rules.smallest_bar(job))
        stub = job["center_end"].m_as("mm")
        if stub <= 0:
            raise ValueError(
                _(
                    "Full bar left at each end must be above zero, since the pin centers stand in "
                    "it: write for example 10 mm"
                )
            )
        self.placed = place(
            self.crank,
            self.stock_bar,
            job["bar_allowance"].m_as("mm"),
            stub,
            job["web_outline"],
        )
        self.gears = sorted(job["gear_table"])
        self.table = partial(shifts.table_speed, self.crank.steel, job["tool"], job["hardness"])
        self.finish = job["finish_allowance"].m_as("mm")
        self.chain = job["slot_method"] != "milled"
        self.stock = milling.STOCKS[self.units][self.chain]
        self.work, self.fitted = sawn_bar(self.placed), ()
        self.borne = {}  # depth [mm] of roughing that drive and crank bear, by place
        self.density = steels.find(self.crank.steel).density.m_as("kg/mm**3")
        self.lathe = {
            "center_height": job["center_height"].m_as("mm"),
            "between_centers": job["between_centers"].m_as("mm"),
            "swing_over_carriage": job["swing_over_carriage"].m_as("mm"),
            "slide_reach": job["slide_reach"].m_as("mm"),
            "unbalance_force": job["unbalance_force"].m_as("N"),
        }

    def plan(self):
        """All steps, one after another."""
        self._begin()
        shapes, early = self._shapes()
        if shapes:
            self._mill(shapes)
        if early:
            self._webs()
        pins = list(range(len(self.crank.throws)))[::-1]  # from the tailstock end
        square = any(kind == "journal" for kind, _unused in shapes)
        why = words()["rough_pin"]["why_milled" if square else "why"]
        for index in pins:
            self.turn(f"rough_pin_{index + 1}", "rough_pin", [("pin", index)], rough=True, why=why)
        mains = [("journal", index) for index in range(len(self.crank.journals))][::-1]
        self.turn("rough_mains", "rough_mains", mains, rough=True)
        if self.steps[-1].key == "rough_mains":
            self.steps[-1] = replace(self.steps[-1], marks=self._beside_webs())
        if not early:
            self._webs()
        self._rest()
        packed, made = self._packed(), ()
        for index in pins:
            self.fitted = tuple(one for one in made if self._aside(one, index))
            idle = [one for one in made if one not in self.fitted]
            pack = ""
            if idle:
                pack = _(
                    " Leave out the spacer of {places}: in line with this pin the thrust does not "
                    "grip it."
                ).format(places=", ".join(spoken(f"pin {one + 1}") for one in idle))
            if index in packed and index and self._aside(index, index - 1):
                pack += _(" Pack the finished gap with its spacer before the next pin.")
            self.turn(f"finish_pin_{index + 1}", "finish_pin", [("pin", index)], pack=pack)
            if index in packed:
                self._plain(
                    "spacer",
                    key=f"spacer_{index + 1}",
                    place=f"pin {index + 1}",
                    diameter=shown(rules.spacer_diameter(self.job), "length", self.units),
                    half=shown(self.job["allowed_runout"] / 2, "fine", self.units, 2),
                )
                made = tuple(sorted((*made, index)))
        self.fitted = made
        self.turn(
            "finish_mains",
            "finish_mains",
            mains,
            packed=_("spacers in, ") if self.fitted else "",
            unpacked=_(", take the spacers out, each marked for its throw") if self.fitted else "",
            seat=self._seat(),
        )
        self.fitted = ()
        self._end()
        self._bolted()
        weight, steps = self.job["counterweight_radius"].m_as("mm"), tuple(self.steps)
        return Plan(
            *(self.stock_bar, self.placed, steps, self.lathe, self.agreed, weight),
            *(self.bolt, self.bolt_size),
        )

    def _aside(self, throw, turned):
        """Whether the thrust on a pin's axis closes another throw's gap and so grips its spacer."""
        arm = dist(self.placed.pins[throw], self.placed.pins[turned])
        return arm >= GRIPPED * dist(self.placed.pins[throw], self.placed.main)

    def _begin(self):
        placed, job = self.placed, self.job
        mass = Quantity(self.work.mass(self.density), "kg")
        self._plain(
            "saw",
            bar=rules.size_of_bar(self.stock_bar, self.units),
            steel=self.crank.steel,
            length=self.size(placed.bar["length"]),
            mass=shown(mass, "mass", self.units),
            lift=words()["saw"]["hoist" if mass > rules.ONE_PERSON else "lift"],
            trouble=tuple(self._unfit()),
        )
        left, right = placed.faced
        cuts = (
            (End(left, "right", 0.0, _("left face")), End(right, "left", 0.0, _("right face")))
            if left > 0
            else ()
        )
        self._plain("face", on="mill", cuts=cuts, length=self.size(right - left))
        self.agreed = agreement(
            placed, job["allowed_runout"].m_as("mm"), job["phase_tolerance"].m_as("deg")
        )
        self._centers()

    def _unfit(self):
        """What the bar cannot give: it is too long for the lathe, or a fillet wider than its web
        stands out of it.
        """
        placed = self.placed
        for (kind, index), (radius, fillet) in placed.rounds.items():
            if radius + fillet > placed.bar_section.whole_ring(placed.axis(kind, index)) + 1e-6:
                told = _("the fillet of {name} sticks out of the bar: take a larger bar")
                yield told.format(name=spoken(milling.name_of(kind, index)))
        if self.placed.faced[1] - self.placed.faced[0] <= self.lathe["between_centers"]:
            return
        most = shown(self.job["between_centers"], "length", self.units)
        yield _("the bar is longer than the {most} between the lathe's centers").format(most=most)

    def _centers(self):
        tight = min(self.agreed, key=lambda one: one.together)
        span = "100 mm" if self.units == "mm" else "4 in"
        strip = min(one.strip for one in self.agreed) * (1 if self.units == "mm" else 1.016)
        allowed, phases = self.job["throw_tolerance"], [one.across for one in self.agreed]
        limits = (
            _("each pin center from its main center within ±{allowed}").format(
                allowed=shown(allowed, "length", self.units)
            ),
            _(
                "the errors of both ends differ by at most {together}, along the throw and across "
                "it by at most {each} each"
            ).format(together=self.fine(tight.together), each=self.fine(tight.each)),
            _("over {span} of a strip or side the indicator changes by at most {strip}").format(
                span=span, strip=self.fine(strip)
            ),
        )
        if phases[0] is not None:
            limits += (
                _("off across its throw by at most {phases}, the mean of both ends").format(
                    phases=self.fine(min(phases))
                ),
            )
        axes = {"main": self.placed.main} | {
            f"pin {number}": axis for number, axis in enumerate(self.placed.pins, 1)
        }
        numbers = tuple(
            (name, ", ".join(self.place(part) for part in axis)) for name, axis in axes.items()
        )
        texts = words()["centers"]
        shape = "angle_round" if self.placed.bar["shape"] == "round" else "angle_flat"
        try:
            one = self.center_hole
            hole, trouble, stub = f"{one.standard} {one.name}", (), self.job["center_end"]
            mouth, depth = (
                shown(size, "length", self.units) for size in (one.mouth, one.least_depth)
            )
            deep = _(", until the mouth is Ø{mouth} and the hole {depth} deep or more,").format(
                mouth=mouth, depth=depth
            )
            if (least := rules.least_stub(one)) > stub:
                long = self.length(stub.m_as("mm"))
                trouble = (
                    _(
                        "the pin centers' holes, {depth} deep, come out of stubs {stub} long: "
                        "leave {least} of full bar at each end"
                    ).format(depth=depth, stub=long, least=shown(least, "length", self.units)),
                )
        except ERRORS as error:
            hole, deep, trouble = _("the"), "", (said_of(error),)
        self._plain(
            "centers",
            on="mill",
            limits=limits,
            numbers=numbers,
            trouble=trouble,
            hole=hole,
            deep=deep,
            angle=texts[shape],
        )

    def _rest(self):
        marks = self._beside_webs()
        self._plain(
            "rest",
            on="centers",
            marks=marks,
            places=", ".join(self.datum(x) for _unused, x in marks),
            left=self.length(least_left(self.placed, self.steps, self.finish)),
        )
        self.steps[-1] = replace(
            self.steps[-1], axis=tuple(map(self.placed.fine, self.placed.main))
        )

    def _beside_webs(self):
        """Where an indicator reads a main beside a web: clear of the fillet, by name and place."""
        least, step = (1.0, 1.0) if self.units == "mm" else (1.27, 1.27)
        found = []
        for kind, index, x0, x1 in self.placed.segments:
            if kind == "journal":
                clear = ceil((self.placed.rounds[kind, index][1] + least) / step) * step
                at = min(clear, (x1 - x0) / 2)
                walls = self.placed.walled(kind, index)
                places = [x for x, wall in zip((x0 + at, x1 - at), walls, strict=True) if wall]
                found += [(f"main {index + 1}", x) for x in dict.fromkeys(places)]
        return tuple(found)

    def _packed(self):
        try:
            return {one.throw for one in rules.spacers(self.job)}
        except ERRORS:  # the check of the spacers says why
            return set()

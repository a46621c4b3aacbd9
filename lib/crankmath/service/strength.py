"""Will the crank last: safety factors of pins, webs and mains against a fatigue crack.

The result is an estimate, for learning and for a first size. It is never a
certificate: pressure vessels, rotating machines and anything whose break can
hurt someone belong to local codes and licensed practice.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..checks import made, takes
from ..crank import Crank, steels
from ..language import _
from ..units import Quantity, as_text, magnitude, number, ureg
from ..wording import capital, figures
from . import fatigue
from .corners import stress_of_notches
from .crank_sections import (
    Place,
    places,
    round_stress,
    section_stress,
    stress_of_places,
    web_stress,
)
from .loads import TurnLoads

__all__ = [
    "ACROSS_THE_GRAIN",
    "LOAD_SPREAD",
    "NO_CERTIFICATE",
    "STRENGTH_SPREAD",
    "Place",
    "SectionSafety",
    "StrengthResult",
    "check_strength",
    "places",
    "round_stress",
    "section_stress",
    "summary",
    "web_stress",
]
NO_CERTIFICATE = (
    "An estimate for learning, never a certificate: local codes and licensed practice take "
    "precedence."
)
# two standard deviations, as shares: of the load common practice, no source; of the endurance limit
# twice the 8 % that Marin's reliability factor rests on. That of a corner's factors is solved.
LOAD_SPREAD, STRENGTH_SPREAD = 0.10, 2 * fatigue.SCATTER
# sulfide stringers lie along a bar, and a web cut from it is stressed across them: endurance limit
# across the grain over that along it, from memory 0.7 to 0.85 in resulfurized and leaded bar
ACROSS_THE_GRAIN = {"1144": 0.7, "12L14": 0.7}
MEGAPASCAL = ureg.Unit("MPa")


@dataclass(frozen=True)
class SectionSafety:
    """Stress and safety of one section at its worst point, a fillet's with its solved corner.

    ``low`` and ``high`` are the range by the spread of load, notch and strength. ``shoulder`` and
    ``crank_rule`` are the safety factors that print has for a fillet, as a round shoulder and by
    the crank rule; None for other sections, and no part of ``safety``.
    """

    place: Place
    safety: float
    low: float
    high: float
    yield_safety: float
    by_criterion: dict
    shoulder: float | None
    crank_rule: float | None
    _stress: tuple  # half range and mean, notch in [MPa]
    _nominal: tuple  # half range and mean of bending, then of torsion [MPa]
    _limit: float  # [MPa]

    @property
    def alternating(self):
        """Half range of the von Mises stress, notch in."""
        return Quantity(self._stress[0], MEGAPASCAL)

    @property
    def mean(self):
        """Mean of the von Mises stress, notch in."""
        return Quantity(self._stress[1], MEGAPASCAL)

    @property
    def bending_alternating(self):
        """Half range of the nominal bending stress."""
        return Quantity(self._nominal[0], MEGAPASCAL)

    @property
    def bending_mean(self):
        """Mean of the nominal bending stress."""
        return Quantity(self._nominal[1], MEGAPASCAL)

    @property
    def endurance_limit(self):
        """Of the steel in this section's size and finish."""
        return Quantity(self._limit, MEGAPASCAL)

    @property
    def ranged(self):
        """Safety with its range, in words."""
        return _("{safety} ({low} to {high})").format(
            safety=figures(self.safety), low=figures(self.low), high=figures(self.high)
        )

    @property
    def printed(self):
        """What print says of a fillet, in words; nothing for any other section."""
        if self.crank_rule is None:
            return ""
        held = _(" held at its range") if self.place.rule.note else ""
        return _(
            "print says {shoulder} as a round shoulder, {crank_rule} by the crank rule{held}"
        ).format(shoulder=figures(self.shoulder), crank_rule=figures(self.crank_rule), held=held)

    def __str__(self):
        words = "".join(f"; {part}" for part in (self.place.note, self.printed) if part)
        return f"{self.place.name}: {self.ranged}{words}; yield {figures(self.yield_safety)}"


@dataclass(frozen=True)
class StrengthResult:
    """All sections, the weakest first."""

    sections: tuple
    criterion: str
    edition: str
    grain: str = ""

    @property
    def weakest(self):
        """Section whose range reaches lowest; every verdict goes by it."""
        return self.sections[0]

    @property
    def verdict(self):
        """What the ranges and the first turn come to, in words."""
        if min(one.yield_safety for one in self.sections) < 1:
            return _("By this sum it yields in the first turn.")
        low = self.weakest.low
        if low < 1:
            return _("By this sum it may crack: the range reaches down to {low}.").format(
                low=figures(low)
            )
        return _("By this sum every range lies above 1.")

    def __str__(self):
        one = self.weakest
        if not np.isfinite(one.safety):
            return f"No load, no stress. {NO_CERTIFICATE}"
        note = f" ({one.place.note})" if one.place.note else ""
        printed = f" {capital(one.printed)}." if one.printed else ""
        grain = f" {self.grain}" if self.grain else ""
        return (
            f"Weakest is {one.place.name}: safety factor {figures(one.safety)}, by the spread of "
            f"load, notch and strength {figures(one.low)} to {figures(one.high)}{note} "
            f"({self.criterion}, edition {self.edition}); against yielding "
            f"{figures(one.yield_safety)}.{printed}{grain} {self.verdict} {NO_CERTIFICATE}"
        )


@takes(
    crank=Crank,
    loads=TurnLoads,
    criterion=tuple(fatigue.CRITERIA),
    load_spread="number >= 0",
    strength_spread="number >= 0",
)
def check_strength(
    crank,
    loads,
    criterion="goodman",
    finish="machined",
    edition="11",
    reliability=0.5,
    temperature=None,
    ultimate_strength=None,
    yield_strength=None,
    kt_source="tipton",
    load_spread=LOAD_SPREAD,
    strength_spread=STRENGTH_SPREAD,
    looked_at=None,
):
    """Safety factor of every section against a fatigue crack, with its range, and against yielding.

    At each point of a section the bending and the shear stress have a half range and a mean over
    the turn; Kf and Kfs multiply both, von Mises joins them, the criterion judges. The worst point
    counts. A fillet's factors are those of the crank's own corner, on the stresses of its web, pin
    or main.

    - ``finish``, ``edition``, ``reliability``, ``temperature``: As for ``fatigue.endurance_limit``.
    - ``ultimate_strength``, ``yield_strength``: Default that of the crank's steel.
    - ``kt_source``: As for ``crank_sections.places``.
    - ``load_spread``, ``strength_spread``: Two standard deviations of the load and of the endurance
      limit, as shares.
    - ``looked_at``: ``places`` for this crank, worked out before, for many loads on one crank or
      with weak spots (``weak_spots``) added.

    Basis: standard. Source: Shigley, 9th ed., sec. 6-14 (combined loading: Kf on mean stress too,
    load factor of bending) on nominal stresses by statics; a fillet's factors solved in the solid,
    its stress by ``corners.stress_of_notches``. Half ranges of bending and shear count as if they
    came together, which is on the safe side. The spreads of load and strength and twice the
    corner's own ``uncertainty`` join as the root of the sum of squares, each felt by working the
    sum again. In fillets and webs of resulfurized or leaded bar ACROSS_THE_GRAIN joins the low end.
    """
    steel = steels.find(crank.steel)
    ultimate = steel.tensile_strength if ultimate_strength is None else ultimate_strength
    strong = steel.yield_strength if yield_strength is None else yield_strength
    spreads = (load_spread, strength_spread)
    if max(spreads) >= 1:
        raise ValueError(
            "load_spread and strength_spread are shares below 1; write 0.1 for ten percent"
        )
    plain = (
        magnitude(ultimate, "MPa", "ultimate_strength", above=0),
        magnitude(strong, "MPa", "yield_strength", above=0),
    )
    looked_at, limits = looked_at or places(crank, ultimate, kt_source), {}
    for size in {_effective_diameter(place) for place in looked_at}:
        limits[size] = fatigue.endurance_limit(
            ultimate,
            Quantity(size, "mm"),
            "bending",
            finish,
            reliability,
            temperature,
            edition=edition,
        ).limit.m_as("MPa")
    across = ACROSS_THE_GRAIN.get(crank.steel, 1.0)
    notched, sections = [place for place in looked_at if place.corner], []
    own, rule = {}, {}
    if notched:
        strengths = _strengths(notched, limits, plain)
        centers = [place.center for place in notched]
        unsure = np.array([[place.corner.uncertainty] for place in notched])
        corner, printed = (
            [
                _over_the_turn(part)
                for part in stress_of_notches(
                    crank, loads, [getattr(place, model) for place in notched], centers
                )
            ]
            for model in ("corner", "rule")
        )
        names = [place.name for place in notched]
        judged = _judge(*corner, strengths, criterion, spreads, unsure, across)
        own = dict(zip(names, judged, strict=True))
        least = _safety(_joined(*printed), strengths, criterion).min(axis=1)
        rule = dict(zip(names, least.tolist(), strict=True))
    for kinds in (("pin", "main"), ("web",)):
        group = [place for place in looked_at if place.kind in kinds]
        normal, shear = (_over_the_turn(part) for part in stress_of_places(crank, loads, group))
        factors = np.array([(place.bending_factor, place.torsion_factor) for place in group])
        bent, twisted = factors.T[:, :, None]
        strengths = _strengths(group, limits, plain)
        judged = _judge(
            [bent * part for part in normal],
            [twisted * part for part in shear],
            strengths,
            criterion,
            spreads,
            across=across if kinds == ("web",) else 1.0,
        )
        nominal = _joined(normal, shear)
        with np.errstate(divide="ignore"):
            yielding = (plain[1] / (nominal[0] + nominal[1])).min(axis=1)
        for row, (place, round_one) in enumerate(zip(group, judged, strict=True)):
            at = round_one.point
            counts = own.get(place.name, round_one)
            sections.append(
                SectionSafety(
                    place,
                    *counts[:3],
                    float(yielding[row]),
                    counts.rules,
                    round_one.safety if place.corner else None,
                    rule.get(place.name),
                    counts.stress,
                    tuple(float(part[row, at]) for part in (*normal, *shear)),
                    float(strengths[0][row, 0]),
                )
            )
    grain = _(
        "A web of {steel} is stressed across its sulfides: the low end takes {across:g} of its "
        "endurance limit, from memory."
    ).format(steel=crank.steel, across=across)
    return StrengthResult(
        # of two alike to six digits the first along the crank leads, whatever the units' last bit
        tuple(
            sorted(sections, key=lambda one: (float(f"{one.low:.6g}"), float(f"{one.safety:.6g}")))
        ),
        criterion,
        str(edition),
        grain if across < 1 else "",
    )


def _effective_diameter(place):
    """Diameter for the size factor; a rectangle's is that of equal highly stressed area."""
    if len(place.sizes) == 1:
        return place.sizes[0]
    return 0.808 * np.sqrt(place.sizes[0] * place.sizes[1])


def _strengths(group, limits, plain):
    """Endurance limit of each place, ultimate and yield strength [MPa]."""
    return np.array([[limits[_effective_diameter(place)]] for place in group]), *plain


def _over_the_turn(stress):
    """Half range and middle over the turn; what is rounding only is nothing."""
    high, low = stress.max(axis=-1), stress.min(axis=-1)
    return tuple(
        np.where(np.abs(part) < 1e-9, 0.0, part) for part in ((high - low) / 2, (high + low) / 2)
    )


class _Judged(NamedTuple):
    safety: float
    low: float
    high: float
    point: int
    stress: tuple
    rules: dict


def _joined(normal, shear):
    """Half range and mean of the von Mises stress."""
    return [np.hypot(bent, np.sqrt(3) * twist) for bent, twist in zip(normal, shear, strict=True)]


def _safety(stress, strengths, rule, load=1.0, strength=1.0):
    return np.asarray(
        fatigue.safety_of_numbers(
            load * stress[0], load * stress[1], strength * strengths[0], *strengths[1:], rule
        )
    )


def _judge(normal, shear, strengths, criterion, spreads, unsure=0.0, across=1.0):
    """Safety with its range, worst point, stress and every criterion's safety of each place.

    - ``normal``, ``shear``: half range and mean, axes (place, point); unsure: relative, of the
      notch;
    - ``across``: share of the endurance limit across the grain, in the low end alone.
    """
    stress = _joined(normal, shear)
    every = _safety(stress, strengths, criterion)
    worst, value = every.argmin(axis=1), every.min(axis=1)
    low, high = np.zeros_like(value), np.zeros_like(value)
    load, strong = spreads
    varied = [
        [{"load": 1 + load}, {"load": 1 - load}],
        [{"load": 1 + unsure}, {"load": 1 - unsure}],
        [{"strength": 1 - strong}, {"strength": 1 + strong}],
        [{"strength": across}],
    ]
    with np.errstate(invalid="ignore"):
        for changes in varied:
            moved = [_safety(stress, strengths, criterion, **one).min(axis=1) for one in changes]
            apart = np.log(np.array(moved) / value)
            low += np.minimum(apart.min(axis=0), 0) ** 2
            high += np.maximum(apart.max(axis=0), 0) ** 2
    low, high = (
        np.where(np.isfinite(value), value * np.exp(sign * np.sqrt(part)), np.inf)
        for sign, part in ((-1, low), (1, high))
    )
    rules = {rule: _safety(stress, strengths, rule).min(axis=1) for rule in fatigue.CRITERIA}
    return [
        _Judged(
            *(float(part[row]) for part in (value, low, high)),
            int(at),
            tuple(float(part[row, at]) for part in stress),
            {rule: float(found[row]) for rule, found in rules.items()},
        )
        for row, at in enumerate(worst)
    ]


def summary(result, count=5):
    """The weakest sections as lines of text, the verdict first.

    - ``result``: Of ``check_strength``.
    - ``count``: Sections named. Basis: derived.
    """
    made(result, StrengthResult, "result")
    lines = [str(result)]
    for one in result.sections[: int(number(count, "count", least=1))]:
        lines.append(
            f"{one}; alternating {as_text(one.alternating, 'MPa', 3)}, "
            f"mean {as_text(one.mean, 'MPa', 3)}"
        )
    return "\n".join(lines)

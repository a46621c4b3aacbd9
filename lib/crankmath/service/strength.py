"""Will the crank last: the safety factor of its pins, webs and mains against a fatigue crack, with its range.

The result is an estimate, for learning and for a first size. It is never a
certificate: pressure vessels, rotating machines and anything whose break can
hurt someone belong to local codes and licensed practice.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import made
from ..crank import Crank, steels
from ..units import Quantity, as_text, magnitude, number, ureg
from . import fatigue
from .crank_sections import (
    Place,
    RuleNotch,
    places,
    round_stress,
    rule_stress_of_places,
    section_stress,
    stress_of_places,
    web_stress,
)
from .loads import TurnLoads

__all__ = [
    "LOAD_SPREAD",
    "NOTCH_SPREAD",
    "NO_CERTIFICATE",
    "STRENGTH_SPREAD",
    "Opinion",
    "Place",
    "RuleNotch",
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
    "An estimate for learning, never a certificate: local codes and licensed practice go before."
)
# two standard deviations, as shares: of the load and of the stress concentration common practice, no source;
# of the endurance limit twice the 8 % that Marin's reliability factor rests on
LOAD_SPREAD, NOTCH_SPREAD, STRENGTH_SPREAD = 0.10, 0.10, 2 * fatigue.SCATTER
FELT = ("load", "notch", "strength")
MEGAPASCAL = ureg.Unit("MPa")


@dataclass(frozen=True)
class Opinion:
    """What one model of a section says: safety factor, its range by the spread of load, notch and strength, von Mises stresses."""

    safety: float
    low: float
    high: float
    _stress: tuple  # half range and mean [MPa]

    @property
    def alternating(self):
        """Half range of the von Mises stress, notch in."""
        return Quantity(self._stress[0], MEGAPASCAL)

    @property
    def mean(self):
        """Mean of the von Mises stress, notch in."""
        return Quantity(self._stress[1], MEGAPASCAL)

    def __str__(self):
        return f"{self.safety:.2g} ({self.low:.2g} to {self.high:.2g})"


@dataclass(frozen=True)
class SectionSafety:
    """Stress and safety of one section at its worst point.

    ``shoulder`` takes a fillet as that of a round shoulder, ``crank_rule`` goes by the crank rule
    and is None away from fillets. ``safety`` is the smaller of the two; ``low`` and ``high`` span
    both ranges.
    """

    place: Place
    safety: float
    low: float
    high: float
    yield_safety: float
    by_criterion: dict
    shoulder: Opinion
    crank_rule: Opinion | None
    _nominal: tuple  # half range and mean of bending, then of torsion [MPa]
    _limit: float  # [MPa]

    @property
    def governing(self):
        """The opinion with the smaller safety factor."""
        return min(
            (one for one in (self.shoulder, self.crank_rule) if one), key=lambda one: one.safety
        )

    @property
    def alternating(self):
        """Half range of the von Mises stress, notch in, by the governing opinion."""
        return self.governing.alternating

    @property
    def mean(self):
        """Mean of the von Mises stress, notch in, by the governing opinion."""
        return self.governing.mean

    @property
    def bending_alternating(self):
        """Half range of the nominal bending stress."""
        return Quantity(self._nominal[0], MEGAPASCAL)

    @property
    def bending_mean(self):
        """Mean of the nominal bending stress."""
        return Quantity(self._nominal[1], MEGAPASCAL)

    @property
    def torsion_alternating(self):
        """Half range of the nominal shear stress."""
        return Quantity(self._nominal[2], MEGAPASCAL)

    @property
    def torsion_mean(self):
        """Mean of the nominal shear stress."""
        return Quantity(self._nominal[3], MEGAPASCAL)

    @property
    def endurance_limit(self):
        """Of the steel in this section's size and finish."""
        return Quantity(self._limit, MEGAPASCAL)

    @property
    def both(self):
        """The two opinions on a fillet in words; nothing for any other section."""
        if self.crank_rule is None:
            return ""
        note = f" ({self.place.note})" if self.place.note else ""
        return (
            f"as a shoulder {self.shoulder.safety:.2g}, "
            f"by the crank rule {self.crank_rule.safety:.2g}{note}"
        )

    def __str__(self):
        words = f"; {self.both}" if self.both else ""
        return f"{self.place.name}: {self.safety:.2g} ({self.low:.2g} to {self.high:.2g}){words}; yield {self.yield_safety:.2g}"


@dataclass(frozen=True)
class StrengthResult:
    """All sections, the weakest first."""

    sections: tuple
    criterion: str
    edition: str

    @property
    def weakest(self):
        """Section whose range reaches lowest; every verdict goes by it."""
        return self.sections[0]

    @property
    def verdict(self):
        """What the ranges and the first turn come to, in words."""
        if min(one.yield_safety for one in self.sections) < 1:
            return "By this sum it yields in the first turn."
        low = self.weakest.low
        if low < 1:
            return f"By this sum it may crack: the range reaches down to {low:.2g}."
        return "By this sum every range lies above 1."

    def __str__(self):
        one = self.weakest
        if not np.isfinite(one.safety):
            return f"No load, no stress. {NO_CERTIFICATE}"
        both = f" ({one.both})" if one.both else ""
        return (
            f"Weakest is the {one.place.name}: safety factor {one.safety:.2g}{both}, by the spread of load, notch, strength and model "
            f"{one.low:.2g} to {one.high:.2g} ({self.criterion}, edition {self.edition}); against yielding {one.yield_safety:.2g}. "
            f"{self.verdict} {NO_CERTIFICATE}"
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
    notch_spread=NOTCH_SPREAD,
    strength_spread=STRENGTH_SPREAD,
    looked_at=None,
):
    """Safety factor of every section against a fatigue crack, with its range, and against yielding.

    At each point of a section the bending and the shear stress have a half range and a mean over the
    turn; Kf and Kfs multiply both, von Mises joins them, the criterion judges. The worst point counts.
    A fillet is judged a second time by the crank rule's factors, on the web's stress.

    Parameters
    ----------
    crank : Crank
    loads : service.TurnLoads
    criterion : one of ``fatigue.CRITERIA``
    finish, edition, reliability, temperature
        As for ``fatigue.endurance_limit``.
    ultimate_strength, yield_strength : Quantity, scalars [stress], optional
        Of the crank's steel without them.
    kt_source : "tipton", "pilkey" or "roark"
        As for ``crank_sections.places``.
    load_spread, notch_spread, strength_spread : float
        Two standard deviations of the load, of Kt - 1 and of the endurance limit, as shares.
    looked_at : sequence of Place, optional
        Of ``places`` for this crank, worked out before; for many loads on one crank.

    Returns
    -------
    StrengthResult

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, share or word.

    Warns
    -----
    OutOfRangeWarning
        A fillet, size or strength outside the range of its fit.

    Notes
    -----
    Basis: standard. Source: Shigley, 9th ed., sec. 6-14 (combined loading: Kf on mean stress too, load
    factor of bending) on nominal stresses by statics; second opinion on fillets IACS UR M53's factors,
    bending and radial force added as there. Half ranges of bending and shear count as if they
    came together, which is on the safe side. A model's range joins the three spreads, and of the
    crank rule the solids' least and most share of it, as the root of the sum of squares, each felt
    by working the whole sum again; where two models judge, the range spans both.
    """
    made(crank, Crank, "crank")
    made(loads, TurnLoads, "loads")
    steel = steels.find(crank.steel)
    ultimate = steel.tensile_strength if ultimate_strength is None else ultimate_strength
    strong = steel.yield_strength if yield_strength is None else yield_strength
    spreads = [
        number(value, name, least=0)
        for name, value in (
            ("load_spread", load_spread),
            ("notch_spread", notch_spread),
            ("strength_spread", strength_spread),
        )
    ]
    if max(spreads) >= 1:
        raise ValueError(
            "load_spread, notch_spread and strength_spread are shares below 1; write 0.1 for ten percent"
        )
    if criterion not in fatigue.CRITERIA:
        raise ValueError(
            f"criterion must be one of {', '.join(fatigue.CRITERIA)}, not {criterion!r}"
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
    ruled, sections = {}, []
    corners = [place for place in looked_at if place.rule]
    if corners:
        bending, radial, torsion = (
            _over_the_turn(part[:, None]) for part in rule_stress_of_places(crank, loads, corners)
        )
        bent, pushed, twisted = (
            np.array([getattr(place.rule, load) for place in corners])[:, None]
            for load in ("bending", "radial", "torsion")
        )
        least, taken, most = (
            [(bent[..., share], *bending), (pushed[..., share], *radial)] for share in range(3)
        )
        judged = _judge(
            taken,
            (twisted, *torsion),
            _strengths(corners, limits, plain),
            criterion,
            spreads,
            (least, most),
        )
        ruled = dict(zip((place.name for place in corners), judged, strict=True))
    for kinds in (("pin", "main"), ("web",)):
        group = [place for place in looked_at if place.kind in kinds]
        normal, shear = (_over_the_turn(part) for part in stress_of_places(crank, loads, group))
        factors = np.array([(place.bending_factor, place.torsion_factor) for place in group])[
            :, :, None
        ]
        strengths = _strengths(group, limits, plain)
        judged = _judge(
            [(factors[:, 0], *normal)], (factors[:, 1], *shear), strengths, criterion, spreads
        )
        nominal = [np.hypot(normal[part], np.sqrt(3) * shear[part]) for part in (0, 1)]
        with np.errstate(divide="ignore"):
            yielding = (plain[1] / (nominal[0] + nominal[1])).min(axis=1)
        for row, (place, own) in enumerate(zip(group, judged, strict=True)):
            at = own[1]
            shown = tuple(float(part[row, at]) for part in (*normal, *shear))
            sections.append(
                _section(
                    place,
                    shown,
                    own,
                    ruled.get(place.name),
                    float(strengths[0][row, 0]),
                    float(yielding[row]),
                )
            )
    return StrengthResult(
        tuple(sorted(sections, key=lambda one: (one.low, one.safety))), criterion, str(edition)
    )


def _effective_diameter(place):
    """Diameter for the size factor; a rectangle's is that of equal highly stressed area, 0.808 sqrt(t w)."""
    return (
        place.sizes[0]
        if len(place.sizes) == 1
        else 0.808 * np.sqrt(place.sizes[0] * place.sizes[1])
    )


def _strengths(group, limits, plain):
    """Endurance limit of each place, ultimate and yield strength [MPa]."""
    return np.array([[limits[_effective_diameter(place)]] for place in group]), *plain


def _over_the_turn(stress):
    """Half range and middle over the turn; what is rounding only is nothing."""
    high, low = stress.max(axis=-1), stress.min(axis=-1)
    return tuple(
        np.where(np.abs(part) < 1e-9, 0.0, part) for part in ((high - low) / 2, (high + low) / 2)
    )


def _judge(normals, shear, strengths, criterion, spreads, bounds=()):
    """An ``Opinion``, its worst point and its safety by every criterion for each place.

    ``normals`` and ``shear`` hold (factor, half range, mean), axes (place, point); normal stresses
    add up. ``bounds`` hold other normals that the model allows.
    """

    def joined(part, notch=1.0, normals=normals):
        bent = sum((1 + notch * (one[0] - 1)) * np.abs(one[part]) for one in normals)
        return np.hypot(bent, np.sqrt(3) * (1 + notch * (shear[0] - 1)) * shear[part])

    def safety(rule, load=1.0, notch=1.0, strength=1.0, normals=normals):
        return np.asarray(
            fatigue.safety_of_numbers(
                load * joined(1, notch, normals),
                load * joined(2, notch, normals),
                strength * strengths[0],
                *strengths[1:],
                rule,
            )
        )

    every = safety(criterion)
    worst, value = every.argmin(axis=1), every.min(axis=1)
    low, high = np.zeros_like(value), np.zeros_like(value)
    varied = [
        [{name: 1 + sign * spread} for sign in (1, -1)]
        for name, spread in zip(FELT, spreads, strict=True)
    ] + [[{"normals": bound} for bound in bounds]] * bool(bounds)
    with np.errstate(invalid="ignore"):
        for changes in varied:
            felt = np.log([safety(criterion, **one).min(axis=1) / value for one in changes])
            low, high = (
                low + np.minimum(felt.min(axis=0), 0) ** 2,
                high + np.maximum(felt.max(axis=0), 0) ** 2,
            )
    low, high = (
        np.where(np.isfinite(value), value * np.exp(sign * np.sqrt(part)), np.inf)
        for sign, part in ((-1, low), (1, high))
    )
    stress, rules = (
        (joined(1), joined(2)),
        {rule: safety(rule).min(axis=1) for rule in fatigue.CRITERIA},
    )
    return [
        (
            Opinion(
                float(value[row]),
                float(low[row]),
                float(high[row]),
                tuple(float(part[row, at]) for part in stress),
            ),
            int(at),
            {rule: float(found[row]) for rule, found in rules.items()},
        )
        for row, at in enumerate(worst)
    ]


def _section(place, nominal, own, ruled, limit, yielding):
    """Join what the models say of a place."""
    opinions = [one[0] for one in (own, ruled) if one]
    rules = {rule: min(one[2][rule] for one in (own, ruled) if one) for rule in fatigue.CRITERIA}
    return SectionSafety(
        place,
        min(one.safety for one in opinions),
        min(one.low for one in opinions),
        max(one.high for one in opinions),
        yielding,
        rules,
        own[0],
        ruled[0] if ruled else None,
        nominal,
        limit,
    )


def summary(result, count=5):
    """The weakest sections as lines of text, the verdict first.

    Parameters
    ----------
    result : StrengthResult
    count : int

    Returns
    -------
    str

    Raises
    ------
    ValueError
        ``count`` is below one.

    Notes
    -----
    Basis: derived.
    """
    made(result, StrengthResult, "result")
    lines = [str(result)]
    for one in result.sections[: int(number(count, "count", least=1))]:
        lines.append(
            f"{one}; alternating {as_text(one.alternating, 'MPa', 3)}, mean {as_text(one.mean, 'MPa', 3)}"
        )
    return "\n".join(lines)

"""From what was measured back to what caused it."""

from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.special import chdtrc

from ...checks import made
from ...crank import Crank
from ...language import _, marked
from ...units import Quantity, as_text
from .limits import place_runouts
from .making import making_of
from .measured import Measured
from .next_measurement import best, proposals
from .signatures.causes import SECOND_FAULT
from .weighing.evidence import NONE, NOTHING, WIDENED, Weighed, Weigher
from .weighing.model import Model
from .weighing.posterior import heaviest, size_of

PLAIN_VERDICT = marked("nothing out of the ordinary")
SURE = 0.95  # chance from which a cause stands alone
AT_WORK = 0.97  # chance of a cause, alone or with another, from which it is found
TOGETHER = 0.97  # chance that those not told apart have together
LEAST_SHARE = 1 / 60  # of the first one's chance; a cause below is left out of them
LEAST_AT_WORK, MOST_AT_WORK = 0.05, 4  # chance and number of causes named as at work in a report
PLAIN = (
    1.25  # times likelier than any cause, nothing out of the ordinary is the verdict: own choice
)
MISFIT_RISK = 1e-5  # chance below which readings do not fit a cause
INCH = {
    "um": "thousandth",
    "N": "lbf",
    "delta_degC": "delta_degF",
}  # units of sizes on an inch crank
COUNTED = {"um": "um", "N": "N", "delta_degC": "delta_degC", "deg": "deg"}


@dataclass(frozen=True)
class FoundCause:
    """A cause, or two at once: chance, and for each its size, the size's expanded uncertainty (95
    %) and direction.

    Each of ``directions`` is the mark of the crank toward which a cause points, None where it has
    none.
    """

    causes: tuple
    places: tuple
    label: str
    chance: float
    sizes: tuple
    uncertainties: tuple
    directions: tuple
    numbers: tuple = field(repr=False)


@dataclass(frozen=True)
class Diagnosis:
    """Causes ranked by their chance.

    ``verdict`` is "found" where the first one's causes are sure to be at work, alone or with
    another, else "not told apart", "none of these", "no cause stands out", or "nothing out of the
    ordinary" where besides no place is over what is allowed and none cannot be told.
    ``runouts`` are those of the places that were read, on what is allowed.
    ``not_told_apart`` holds the causes between which the readings do not decide; one where it
    stands alone. ``fit`` is the chance of so large a residual under the first cause.
    """

    crank: Crank
    measured: Measured
    verdict: str
    causes: tuple
    not_told_apart: tuple
    chance_nothing: float
    chance_none: float
    fit: float
    weigher: Weigher = field(repr=False)
    weighed: Weighed = field(repr=False)
    runouts: tuple = ()

    @property
    def over(self):
        """Places over what is allowed with their whole uncertainty."""
        return tuple(one for one in self.runouts if one.verdict == "out")

    @property
    def first(self):
        """The cause with the highest chance, or None where no cause is named."""
        return self.causes[0] if self.causes else None

    @cached_property
    def at_work(self):
        """Label and chance of each cause to be at work, alone or with another, likeliest first."""
        hypotheses, found = self.weigher.model.hypotheses, _at_work(self.weighed.chances)
        return tuple((hypotheses[one].label, chance) for one, chance in found.most_common())

    @property
    def settled(self):
        """Whether one answer is sure, so that no measurement is missing."""
        alone = self.verdict == "found" and len(self.not_told_apart) == 1
        return alone or self.chance_nothing >= SURE

    @cached_property
    def next_measurements(self):
        """Measurements that could be made next, the most telling first."""
        model = self.weigher.model
        offers = list(proposals(self.crank, model.making, self.measured.rows))
        rows = model.rows + tuple(row for offer in offers for row in offer.rows)
        wide = self.weigher.wider(rows)
        chosen, values = self.weigher.chosen, self.measured.values
        more = model.misplaced(values)[np.ix_(chosen, chosen)]
        return tuple(best(wide, chosen, model.zeroed(values)[chosen], more, self.parts, offers))

    @property
    def next_measurement(self):
        """The one measurement that would tell best, or None where one cause stands alone."""
        return self.next_measurements[0] if self.next_measurements else None

    @cached_property
    def parts(self):
        """Heaviest parts of the mixture behind the chances."""
        return heaviest(self.weigher, self.weighed)

    @property
    def misread(self):
        """Rows whose readings count for little, since those beside them say otherwise."""
        return self.weigher.model.misread(self.measured.values)

    def chance_of(self, cause, place=None):
        """Chance that a cause is at work, alone or with another."""
        total = 0.0
        for name, chance in self.weighed.chances.items():
            total += chance * any(
                self.weigher.model.hypotheses[one].cause == cause
                and (place is None or self.weigher.model.hypotheses[one].where == place)
                for one in name
                if one >= 0
            )
        return total

    def __str__(self):
        return report(self)


def find_causes(
    crank,
    readings,
    job=None,
    *,
    making=None,
    table=None,
    everyday=None,
    second=SECOND_FAULT,
    weigher=None,
):
    """Causes of what was measured on a crank, ranked, and what to measure next.

    Parameters
    ----------
    crank : Crank
    readings : Measured
        Of ``dial_readings``, ``diameters``, ``heights`` and the others joined by +, or of
        ``read_table``.
    job : Job, optional
        Where thrust, spacers and the allowed runout come from; the usual way by default.
    making : Making, optional
        The same in full, in place of a job.
    table : dict, optional
        Chances and sizes, from ``changed_table``.
    everyday : Everyday, optional
        Ordinary errors.
    second : float
        Chance that another cause is at work beside the first, one in five by default; 0.95 where
        something was left after one cause was put right, 0 weighs no two at once.

    Raises
    ------
    ValueError
        Fewer than three readings; ``second`` below 0, or 1 and more.

    Notes
    -----
    Basis: derived; evidence of linearized signatures of the library's models, with chances and
    sizes of ``data/causes.csv`` (common practice, no source).
    """
    made(crank, Crank, "crank")
    made(readings, Measured, "readings")
    if len(readings) < 3:
        why = f" ({readings.damaged[0]})" if readings.damaged else ""
        raise ValueError(
            _(
                "readings: three readings or more are needed to look for a cause, not {count}"
            ).format(count=len(readings))
            + why
        )
    if weigher is None:
        way = making_of(crank, job) if making is None else making
        weigher = weigher_of(crank, way, readings.rows, table, everyday, second)
    weighed = weigher.weigh(readings.values)
    runouts = place_runouts(readings, weigher.model.making)
    return _diagnosis(crank, readings, weigher, weighed, runouts)


def weigher_of(crank, making, rows, table=None, everyday=None, second=SECOND_FAULT):
    """What weighs readings of these rows; keep it to weigh many sets of the same rows."""
    if not 0 <= second < 1:
        raise ValueError(
            _("second: a chance from 0 to below 1, such as 0.2, not {second!r}").format(
                second=second
            )
        )
    return Weigher(Model(crank, making, rows, table, everyday), second)


def _at_work(chances):
    """Chance of each hypothesis by its number, alone or with another."""
    total = Counter()
    for name, chance in chances.items():
        total.update(dict.fromkeys((one for one in name if one >= 0), chance))
    return total


def _diagnosis(crank, readings, weigher, weighed, runouts=()):
    parts = heaviest(weigher, weighed)
    named = [
        (name, chance) for name, chance in weighed.chances.items() if name not in (NOTHING, NONE)
    ]
    spare = max(len(weigher.chosen) - weigher.model.free, 1)
    fit = max((chdtrc(spare, part.fit) for part in parts if part.hypothesis != NONE), default=0.0)
    none, nothing = weighed.chances[NONE], weighed.chances[NOTHING]
    causes = tuple(_found(weigher, parts, name, chance) for name, chance in named if chance > 1e-4)
    together, total = [], 0.0
    for one in causes:
        if together and (total >= TOGETHER or one.chance < LEAST_SHARE * causes[0].chance):
            break
        together.append(one)
        total += one.chance
    if none > 0.5 or fit < MISFIT_RISK:
        verdict = marked("none of these")
    elif not causes or nothing > PLAIN * causes[0].chance:
        within = all(one.verdict == "in" for one in runouts)
        verdict = PLAIN_VERDICT if within else marked("no cause stands out")
    elif min(_at_work(weighed.chances)[one] for one in causes[0].numbers) >= AT_WORK:
        verdict = "found"
        together = together[:1] if causes[0].chance >= SURE else together
    else:
        verdict = marked("not told apart")
    return Diagnosis(
        crank,
        readings,
        verdict,
        causes,
        tuple(together),
        nothing,
        none,
        float(fit),
        weigher,
        weighed,
        runouts,
    )


def _found(weigher, parts, name, chance):
    all_hypotheses = weigher.model.hypotheses
    hypotheses = [all_hypotheses[number] for number in name]
    own = [part for part in parts if part.hypothesis == name]
    sizes, spreads, directions = [], [], []
    for number, one in zip(name, hypotheses, strict=True):
        mean, along, _unused = size_of(weigher, own, number)
        unit = one.unit if one.unit in COUNTED else "um"
        sizes.append(Quantity(float(abs(mean)) if one.directed else float(mean.real), unit))
        spreads.append(Quantity(1.96 * WIDENED * np.sqrt(max(along, 0.0)), unit))
        directions.append(
            Quantity(float(np.degrees(np.angle(mean)) % 360), "deg") if one.directed else None
        )
    return FoundCause(
        tuple(one.cause for one in hypotheses),
        tuple(one.where for one in hypotheses),
        ", and ".join(one.label for one in hypotheses),
        chance,
        tuple(sizes),
        tuple(spreads),
        tuple(directions),
        name,
    )


def report(found, most=5):
    """Ranking, verdict and next measurement in words."""
    lines = [
        _("Not read: {sentence}").format(sentence=sentence) for sentence in found.measured.damaged
    ]
    lines += _limits(found)
    for one in found.causes[:most]:
        if one.chance < 0.005:
            break
        lines.append(f"{100 * one.chance:5.1f} %  {one.label}{_sizes(one, found.crank.units)}")
    lines.append(
        _(
            "{chance_nothing:5.1f} %  ordinary errors alone\n{chance_none:5.1f} %  none of these"
        ).format(chance_nothing=100 * found.chance_nothing, chance_none=100 * found.chance_none)
    )
    likely = [one for one in found.at_work[:MOST_AT_WORK] if one[1] >= LEAST_AT_WORK]
    if likely:
        names = "; ".join(f"{label} {100 * chance:.0f} %" for label, chance in likely)
        lines.append(_("At work, alone or with another: {names}.").format(names=names))
    if found.verdict == "not told apart" and len(found.not_told_apart) > 1:
        names = "; ".join(one.label for one in found.not_told_apart)
        lines.append(_("These readings cannot tell apart: {names}.").format(names=names))
    if not found.settled and found.next_measurement:
        proposal = found.next_measurement
        lines.append(
            _(
                "Measure next: {words} (the true cause then stands first with a chance of "
                "{expected:.0f} %). In the table: {written}."
            ).format(
                words=proposal.words, expected=100 * proposal.expected, written=proposal.written
            )
        )
    if found.verdict == "none of these":
        lines.append(
            _(
                "No cause of the table leaves such readings: look for a wrong unit, a slip of the "
                "pen, a wrong place or mark."
            )
        )
    lines += [
        _(
            "Taken as misread, to judge by its neighbors: {place} {number} at the {angle:g} deg "
            "mark, {at} from the left end. Read it again."
        ).format(
            place=_(row.place[0]),
            number=row.place[1] + 1,
            angle=row.angle,
            at=as_text(Quantity(row.at, "mm"), found.crank.units),
        )
        for row in found.misread
    ]
    return "\n".join(lines)


def _limits(found):
    """The verdict, places over what is allowed first; then each place, read with the dial."""
    over = [one for one in found.runouts if one.verdict == "out"]
    if over:
        yield _("Verdict: {places} over what is allowed; {verdict}.").format(
            places=", ".join(one.name for one in over), verdict=_(found.verdict)
        )
    else:
        yield _("Verdict: {verdict}.").format(verdict=_(found.verdict))
    for one in over:
        yield _("Over what is allowed: {words}.").format(words=one.words(found.crank.units))
    for one in found.runouts:
        if one.verdict == "cannot tell":
            yield _("Cannot tell whether within what is allowed: {words}; {why}.").format(
                words=one.words(found.crank.units), why=one.why
            )
    within = [one.name for one in found.runouts if one.verdict == "in"]
    if within:
        yield _("Within what is allowed: {places}.").format(places=", ".join(within))


def _sizes(one, units):
    said = []
    for cause, size, spread, direction in zip(
        one.causes, one.sizes, one.uncertainties, one.directions, strict=True
    ):
        if cause in ("chatter", "dial slip") or size.magnitude == 0:
            continue
        shown = [inch for metric, inch in INCH.items() if size.is_compatible_with(metric)]
        unit = shown[0] if shown and units == "in" else None
        words = f"{as_text(size, unit, digits=2)} ± {as_text(spread, unit, digits=2)}"
        if direction is not None:
            words += _(" toward {direction:.0f} deg").format(direction=direction.m_as("deg"))
        said.append(words)
    return f" ({'; '.join(said)})" if said else ""

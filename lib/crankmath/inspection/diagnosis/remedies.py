"""How to save the part: what each way of mending it would leave, with its uncertainty, and what it
costs in metal.
"""

import csv
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

import numpy as np

from ... import deflection
from ...crank import steels
from ...language import _, spoken
from ...units import Quantity, as_text
from ...wording import capital
from .diagnose import PLAIN_VERDICT, SURE
from .weighing.evidence import NONE, WIDENED
from .weighing.model import axis_rows
from .weighing.posterior import futures

DRAWN = 600
SCRAPED = 4.0  # um; how true a center is moved by scraping or lapping, one deviation: own choice
GOOD, WORTH = (
    0.85,
    0.5,
)  # chance of keeping within the allowed runout: good; below it not worth the work
SPARE = 5.0  # um of diameter left to clean up: common practice, no source
PRESSED = (
    0.35  # share of a bow by which pressing may miss, one deviation: common practice, no source
)
MOST_SET = 0.3  # of the deflection at yield; a bow above it is not pressed out
NOT_IN_PART = ("warm when measured", "center worn now", "seat or vee", "dial slip")
SQUEEZES = ("spacer too long", "spacer loose", "thrust too high", "warm when cut")
SET_UP = {
    "thrust too high": _("press with the thrust of the plan, or fit a spacer in every throw"),
    "warm when cut": _("let it cool before the last cut and set the tailstock again"),
    "center worn at cut": _("clean the center and its hole, lap the hole, dress the center"),
    "live center": _("true the live center in place; do not take the work off before the last cut"),
    "dog pulls": _("drive with a two-tailed dog, and take a lighter last cut"),
    "stress released": _("relieve the stress, or let it rest after roughing, before the last cut"),
    "push-off barrel": _("take lighter cuts and two passes at the same setting"),
    "push-off hourglass": _("draw the quill in, lock it, take lighter cuts, two at one setting"),
    "uneven stiffness": _("take lighter cuts with a sharp tool and two passes at the same setting"),
    "chatter": _("change the spindle speed, narrow the cut, draw tool and quill in"),
}


@dataclass(frozen=True)
class Remedy:
    """A way to mend the crank: ``runout`` to expect afterward on the mains, and 95 % stay below
    ``at_most``.

    ``chance`` is that of keeping within the allowed runout. ``action`` names what is done to
    the part: "leave", "move centers" (with the complex moves at the left and right end, um), "turn
    again", "turn pin", "press" or "scrap".
    """

    words: str
    runout: Quantity
    at_most: Quantity
    chance: float
    action: tuple = field(repr=False)


@cache
def usual_undersizes(unit):
    """Usual undersizes of bearing shells [mm]; common practice, no source."""
    with (files("crankmath") / "data" / "undersizes.csv").open(encoding="utf-8") as lines:
        rows = {row["unit"]: row["undersizes"] for row in csv.DictReader(lines)}
    return tuple(Quantity(float(size), unit).m_as("mm") for size in rows[unit].split())


class Bench:
    """The crank of a diagnosis as it truly is, as far as the readings say: drawn axes of its mains
    and pins.
    """

    def __init__(self, found, generator=None):
        self.found, self.crank = found, found.crank
        self.making = found.weigher.model.making
        self.random = generator or np.random.default_rng(16)
        rows = axis_rows(self.crank)
        model, chosen = found.weigher.model, found.weigher.chosen
        wide = found.weigher.wider(model.rows + rows)
        values, here = found.measured.values, np.arange(len(rows)) + len(model.rows)
        more = model.misplaced(values)[np.ix_(chosen, chosen)]
        parts = [part for part in found.parts if part.hypothesis != NONE]
        ahead = futures(wide, chosen, here, model.zeroed(values)[chosen], parts, more)
        chance = np.array([one.chance for one in ahead])
        counts = self.random.multinomial(DRAWN, chance / chance.sum())
        base = wide.base[here]
        self.axes = np.concatenate(
            [
                self._drawn(base + one.mean, one.covariance, count)
                for one, count in zip(ahead, counts, strict=True)
            ]
        )
        self.fresh = self._drawn(base, wide.ordinary[np.ix_(here, here)], DRAWN)
        self.main = np.array([row.place[0] == "main" for row in rows[::2]])
        self.pin = np.array([-1 if row.place[0] == "main" else row.place[1] for row in rows[::2]])
        self.x = np.array([row.at for row in rows[::2]])
        self.share = self.x / self.crank.segments[-1].end

    def _drawn(self, mean, covariance, count):
        """Complex axes drawn about a mean, wider than the model has it by what the trial shows."""
        root = np.linalg.cholesky(covariance + 1e-6 * np.eye(len(mean)))
        pairs = mean + WIDENED * (self.random.standard_normal((count, len(mean))) @ root.T)
        return pairs[:, 0::2] + 1j * pairs[:, 1::2]

    def runout(self, axes):
        """Indicator reading on the worst place of the mains [um], for each drawn crank."""
        return 2 * np.abs(axes[:, self.main]).max(axis=1)

    def remedy(self, words, runout, action):
        """Remedy with what is to be expected of drawn readings."""
        most = float(np.quantile(runout, 0.95))
        allowed = self.making.allowed_runout.m_as("um")
        kept = float(np.mean(runout <= allowed))
        return Remedy(
            _(
                "{words} Then expect {runout} of runout, at most {most} (95 %); it keeps within "
                "{allowed} with a chance of {kept:.0f} %."
            ).format(
                words=words,
                runout=self.said(np.median(runout)),
                most=self.said(most),
                allowed=self.said(allowed),
                kept=100 * kept,
            ),
            Quantity(float(np.median(runout)), "um"),
            Quantity(most, "um"),
            kept,
            action,
        )

    def said(self, micrometers):
        """A length in the crank's workshop unit, in words."""
        unit = "um" if self.crank.units == "mm" else "thousandth"
        return as_text(Quantity(float(micrometers), "um"), unit, digits=2)


def remedies(found):
    """Ways to mend the crank of a diagnosis: those likely to keep within the allowed runout first,
    the least work first; none where no cause could leave such readings.

    Basis: derived; drawn from what the readings leave open, the process by its everyday errors. How
    true centers are moved and bows pressed out: common practice, no source.
    """
    if not any(part.chance for part in found.parts if part.hypothesis != NONE):
        return ()
    bench = Bench(found)
    if found.verdict == PLAIN_VERDICT:  # nothing to mend on the mains
        return (*_left(bench), *_pins(bench))
    ways = [*_left(bench), *_moved(bench), *_pressed(bench), *_turned(bench), *_pins(bench)]
    measuring = _measuring(found) >= WORTH
    # no part is given up that was measured and is not over what is allowed
    given_up = not measuring and (bool(found.over) or not found.runouts)
    if given_up and max(way.chance for way in ways) < WORTH:
        ways.append(
            Remedy(
                _(
                    "Scrap, unless a larger runout is acceptable: no repair keeps it within "
                    "{allowed_runout}."
                ).format(allowed_runout=bench.said(bench.making.allowed_runout.m_as("um"))),
                ways[0].runout,
                ways[0].at_most,
                0.0,
                ("scrap",),
            )
        )
    first = "leave" if measuring else ""  # nobody turns a crank for an error of the dial
    return tuple(sorted(ways, key=lambda way: (way.action[0] != first, -min(way.chance, GOOD))))


def _mark(offset):
    """Mark toward which a complex offset points [deg]."""
    return np.degrees(np.angle(offset)) % 360


def _causes(bench):
    return set(bench.found.first.causes) if bench.found.first else set()


def _measuring(found):
    """Chance that what is at work lies in the measuring, and nothing in the part."""
    return sum(one.chance for one in found.causes if set(one.causes) <= set(NOT_IN_PART))


def _left(bench):
    """Leave the part: where the error was in the measuring, or what there is can be borne."""
    chance = _measuring(bench.found)
    if chance >= SURE:
        words = _(
            "Leave the part: the error was in the measuring; put that right and read it again."
        )
    elif chance >= WORTH:
        words = _(
            "Leave the part until it is measured again: the error may lie in the measuring "
            "({chance:.0f} %)."
        ).format(chance=100 * chance)
    else:
        words = _("Leave the part as it is.")
    yield bench.remedy(words, bench.runout(bench.axes), ("leave",))


def _moved(bench):
    """Move the main centers onto the line that the mains now run about."""
    mean = bench.axes.mean(axis=0)
    moves = _nearest_line(bench.share[bench.main], mean[bench.main])
    if 2 * np.abs(moves).max() < 4:
        return
    scraped = SCRAPED * (
        bench.random.standard_normal((DRAWN, 2)) + 1j * bench.random.standard_normal((DRAWN, 2))
    )
    shares = np.stack([1 - bench.share, bench.share])
    after = bench.axes - (moves + scraped) @ shares
    said = [
        _("the {end} one by {move} toward the {mark:.0f} deg mark").format(
            end=_(end), move=bench.said(abs(move)), mark=_mark(move)
        )
        for end, move in zip(("left", "right"), moves, strict=True)
        if abs(move) > 1
    ]
    if np.median(bench.runout(after)) > 0.8 * np.median(bench.runout(bench.axes)):
        return
    yield bench.remedy(
        _("Move the main centers by scraping or lapping, {said}.").format(said=" and ".join(said)),
        bench.runout(after),
        ("move centers", complex(moves[0]), complex(moves[1])),
    )


def _nearest_line(share, axis):
    """Ends of the straight line of least largest distance from an axis, by Lawson's weights."""
    lines = np.stack([1 - share, share], axis=1).astype(complex)
    weight = np.full(len(share), 1 / len(share))
    for _unused in range(60):
        root = np.sqrt(weight)
        ends = np.linalg.lstsq(lines * root[:, None], axis * root, rcond=None)[0]
        left = np.abs(axis - lines @ ends)
        if left.sum() < 1e-12:
            break
        weight = weight * left
        weight /= weight.sum()
    return ends


def _turned(bench):
    """Turn the mains again, the cause put right: from the radius what the axis is off, then the
    next undersize.
    """
    off = bench.runout(bench.axes)
    needed = float(np.quantile(off, 0.95)) + SPARE  # in diameter: twice the largest offset
    if needed <= SPARE + 4:
        return
    stock, unit = bench.making.stock.m_as("um"), bench.crank.units
    cause = _put_right(bench)
    steps = usual_undersizes(unit)
    if needed <= stock:
        words = _(
            "{cause}turn the mains again: take {needed} from the radius; of the {stock} of "
            "diameter that size and tolerance leave, {left} stay."
        ).format(
            cause=cause,
            needed=bench.said(needed / 2),
            stock=bench.said(stock),
            left=bench.said(stock - needed),
        )
    else:
        step = next((one for one in steps if 1e3 * one >= needed), None)
        smallest = min(part.diameter for part in bench.crank.journals)
        if step is None or step > 0.1 * smallest.m_as("mm"):
            return
        size = Quantity(smallest.m_as(unit) - Quantity(step, "mm").m_as(unit), unit)
        words = _(
            "{cause}turn the mains again: {needed} from the radius is more than their tolerance "
            "holds, so turn them to the next usual undersize, {size}, and fit bearings of that "
            "undersize (a bushing bored to it, or undersize shells)."
        ).format(cause=cause, needed=bench.said(needed / 2), size=as_text(size, digits=5))
    words = capital(words)
    yield bench.remedy(words, bench.runout(bench.fresh), ("turn again", needed))


def _put_right(bench):
    """What is put right before the last cut is taken again."""
    first = bench.found.first
    if first is None or max(chance for _unused, chance in bench.found.at_work) < WORTH:
        return _("find what caused it and put that right; then ")
    said = []
    for cause, place, size in zip(first.causes, first.places, first.sizes, strict=True):
        if cause == "spacer too long":
            throw = bench.crank.throws[int(place.split()[1]) - 1]
            said.append(
                _(
                    "shorten the spacer of {place} by {size}, to its free gap ({pin_length} by the "
                    "drawing)"
                ).format(
                    place=spoken(place),
                    size=bench.said(size.m_as("um")),
                    pin_length=as_text(throw.pin_length, bench.crank.units),
                )
            )
        elif cause == "spacer loose":
            throw = bench.crank.throws[int(place.split()[1]) - 1]
            said.append(
                _(
                    "fit a spacer in {place} as long as its free gap ({pin_length} by the drawing, "
                    "measured by feel)"
                ).format(
                    place=spoken(place), pin_length=as_text(throw.pin_length, bench.crank.units)
                )
            )
        elif cause == "tailstock set over":
            side = _("away from the tool") if size.magnitude > 0 else _("toward the tool")
            said.append(
                _("set the tailstock back by {size}, {side}").format(
                    size=bench.said(abs(size.m_as("um"))), side=side
                )
            )
        elif cause in SET_UP:
            said.append(SET_UP[cause])
    return _("{said}; then ").format(said="; ".join(said)) if said else ""


def _pressed(bench):
    """Straighten by pressing on the throw with the outer mains in vees."""
    causes = _causes(bench)
    if not causes & {"stress released", *SQUEEZES} or len(bench.crank.throws) != 1:
        return
    off = bench.axes[:, bench.main]
    bow = off[:, np.abs(off.mean(axis=0)).argmax()]
    mean = bow.mean()
    if abs(mean) < 4:
        return
    sizes, throw = bench.crank.plain, bench.crank.plain.throws[0]
    steel = steels.find(bench.crank.steel)
    soft = deflection.radial_compliance(
        bench.crank, "pin", Quantity(float(np.degrees(np.angle(mean))), "deg")
    ).m_as("um/N")
    pin = next(piece for piece in sizes.segments if piece.kind == "pin")
    length = sizes.segments[-1].end
    middle = pin.start + pin.length / 2
    arm = middle * (length - middle) / length  # moment for a newton, held at the ends
    weakest = min(throw.pin_diameter, *(part.diameter for part in sizes.journals))
    load = steel.yield_strength.m_as("MPa") * np.pi * weakest**3 / 32 / arm
    at_yield = soft * load
    if abs(mean) > MOST_SET * at_yield:
        return
    missed = 1 + PRESSED * bench.random.standard_normal(DRAWN)
    shape = bench.axes.mean(axis=0) / mean
    after = bench.axes - (mean * missed)[:, None] * shape[None, :]
    toward = _mark(-mean)
    yield bench.remedy(
        _(
            "Straighten by pressing: ends on blocks, press the pin toward the {toward:.0f} deg "
            "mark. It begins to yield near {load} at {at_yield} of deflection; go on in small "
            "steps until it keeps a set of {mean} when let go. Guard against flying pieces, look "
            "for cracks in the fillets with dye, and expect some of it to come back with use; do "
            "not press a crank on which lives depend."
        ).format(
            toward=toward,
            load=as_text(Quantity(load, "N"), digits=2),
            at_yield=bench.said(at_yield),
            mean=bench.said(abs(mean)),
        ),
        bench.runout(after),
        ("press", complex(mean)),
    )


def _pins(bench):
    """Turn a pin true to the mains."""
    for throw, part in enumerate(bench.crank.throws):
        here = bench.pin == throw
        off = bench.axes[:, here]
        skew = np.abs(off - off.mean(axis=1, keepdims=True)).max(axis=1)
        own = np.abs(off.mean(axis=0) - off.mean()).max()
        if own < 8:
            continue
        needed = 2 * float(np.quantile(skew, 0.95)) + SPARE
        unit = bench.crank.units
        step = next((one for one in usual_undersizes(unit) if 1e3 * one >= needed), None)
        if step is None or step > 0.1 * part.pin_diameter.m_as("mm"):
            continue
        size = Quantity(part.pin_diameter.m_as(unit) - Quantity(step, "mm").m_as(unit), unit)
        shift = off.mean()
        yield bench.remedy(
            _(
                "Pin {throw} stands askew by {own} over its length: correct its centers and turn "
                "it true to the mains, to the next usual undersize, {size} (it takes {needed} of "
                "diameter); its throw stays {shift} off toward the {mark:.0f} deg mark. "
                "This corrects the pin, not the mains."
            ).format(
                throw=throw + 1,
                own=bench.said(2 * own),
                size=as_text(size, digits=5),
                needed=bench.said(needed),
                shift=bench.said(abs(shift)),
                mark=_mark(shift),
            ),
            bench.runout(bench.axes),
            ("turn pin", throw),
        )

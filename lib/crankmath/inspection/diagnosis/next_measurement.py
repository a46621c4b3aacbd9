"""Which measurement would tell best between causes that the readings do not tell apart."""

from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_triangular
from scipy.special import logsumexp

from .measured import Row
from .signatures.stations import vee_mains
from .weighing.evidence import NONE
from .weighing.posterior import futures

DRAWN = 160  # imagined results of each measurement
TURNS = tuple(float(turn) for turn in range(0, 360, 30))
NEAR = 0.02  # expected chance of naming it right that a quicker measurement may fall short by


class Proposal(NamedTuple):
    """A measurement that could be made next.

    ``expected`` is the chance that its result lets the true cause stand first, ``minutes`` a rough
    time.
    """

    words: str
    rows: tuple
    minutes: float
    expected: float = 0.0


def proposals(crank, making, rows):
    """Measurements that could be made next on a crank of which ``rows`` were measured.

    Basis: common practice, no source; the minutes are guesses to choose between equals.
    """
    dials = [row for row in rows if row.kind == "dial" and not row.state]
    seen = {(row.kind, row.place, row.on[0]) for row in rows if not row.state}
    mains = [("main", main) for main in range(len(crank.journals))]
    for main in mains:
        name = f"main {main[1] + 1}"
        for side, at in _ends(crank, main).items():
            if not any(abs(row.at - at) < 2 for row in dials if row.place == main):
                yield Proposal(
                    f"read {name} near its {side} end, on the main centers",
                    _turned("dial", main, at, ("main",)),
                    6,
                )
    for state, words, minutes in (
        ("again", "set the dial up again and read {} again", 6),
        ("cleaned", "clean the centers and their holes, then read {} again", 12),
        ("cold", "read {} again when the crank is as cold as the shop", 90),
    ):
        for place in dict.fromkeys(row.place for row in dials):
            row = next(one for one in dials if one.place == place)
            yield Proposal(
                words.format(f"{place[0]} {place[1] + 1}"),
                _turned("dial", place, row.at, row.on, state),
                minutes,
            )
    for place in mains:
        if ("diameter", place, "main") not in seen:
            yield Proposal(
                f"measure diameters along {place[0]} {place[1] + 1}, "
                "at three places and three angles",
                _diameters(crank, place),
                10,
            )
    if all(("diameter", place, "main") in seen for place in mains):
        yield Proposal(
            "measure diameters along all mains again, at five places and three angles",
            sum((_diameters(crank, place, 5, "again") for place in mains), ()),
            20,
        )
    for throw in range(len(crank.throws)):
        pin = ("pin", throw)
        if ("dial", pin, "pin") not in seen:
            yield Proposal(
                f"read pin {throw + 1} at both ends, on its own centers",
                sum(
                    (_turned("dial", pin, at, ("pin", throw)) for at in _ends(crank, pin).values()),
                    (),
                ),
                15,
            )
        if ("diameter", pin, "main") not in seen:
            yield Proposal(
                f"measure diameters along pin {throw + 1}, at three places and three angles",
                _diameters(crank, pin),
                10,
            )
        for on, words in ((("vees", 90.0), "in vee blocks"), (("main",), "on the main centers")):
            again = ("height", pin, on[0]) in seen
            if not again or on[0] == "vees":
                yield Proposal(
                    f"measure heights over both ends of pin {throw + 1}{' again' * again}, "
                    f"{words}, in four positions",
                    _heights(crank, throw, on, "again" if again else ""),
                    20,
                )
    if ("dial", vee_mains(crank)[0], "vees") not in seen:
        yield Proposal(
            "read both outer mains beside their vee blocks",
            sum(
                (
                    _turned("dial", main, at, ("vees", 90.0))
                    for main in vee_mains(crank)
                    for at in list(_ends(crank, main).values())[:1]
                ),
                (),
            ),
            15,
        )
    yield from _checks(crank, making, {(row.kind, row.place, row.end) for row in rows})


def _checks(crank, making, seen):
    for spacer in making.spacers:
        place = ("throw", spacer.throw)
        if ("spacer", place, "") not in seen:
            yield Proposal(
                f"measure the spacer of throw {spacer.throw + 1} against its free gap",
                (Row("spacer", place),),
                8,
            )
    if ("thrust", ("main", 0), "") not in seen:
        yield Proposal(
            "set the tailstock as for the last cut on the mains and measure its thrust",
            (Row("thrust", ("main", 0)),),
            15,
        )
    if ("warmth", ("main", 0), "") not in seen:
        yield Proposal(
            "feel the crank against the shop with a thermometer, as it was measured",
            (Row("warmth", ("main", 0)),),
            4,
        )
    if ("center", ("main", 0), "") not in seen:
        yield Proposal(
            "read the cone of the live center with the dial, the spindle turned by hand",
            tuple(Row("center", ("main", 0), angle=turn) for turn in TURNS[::2]),
            5,
        )
    for throw in range(len(crank.throws)):
        if ("thrust", ("pin", throw), "") not in seen:
            yield Proposal(
                f"set the tailstock as for the last cut on pin {throw + 1} and measure its thrust",
                (Row("thrust", ("pin", throw)),),
                15,
            )
    for kind, count in (("pin", len(crank.throws)), ("main", 1)):
        for number in range(count):
            for end in ("left", "right"):
                if ("hole", (kind, number), end) not in seen:
                    yield Proposal(
                        f"measure where the center hole of {kind} {number + 1} stands on the {end} "
                        "end face",
                        tuple(
                            Row("hole", (kind, number), angle=turn, end=end) for turn in (0.0, 90.0)
                        ),
                        25,
                    )


def _ends(crank, place):
    """Places near both ends of a main or pin that a dial reaches [mm]."""
    kind = {"main": "journal", "pin": "pin"}[place[0]]
    piece = next(one for one in crank.segments if (one.kind, one.index) == (kind, place[1]))
    room = min(4.0, piece.length / 5)
    return {"left": piece.start + room, "right": piece.end - room}


def _turned(kind, place, at, on, state=""):
    return tuple(Row(kind, place, at, turn, on, state) for turn in TURNS)


def _diameters(crank, place, count=3, state=""):
    return tuple(
        Row("diameter", place, float(at), turn, state=state)
        for at in np.linspace(*_ends(crank, place).values(), count)
        for turn in (0.0, 60.0, 120.0)
    )


def _heights(crank, throw, on, state=""):
    own = crank.throws[throw].angle.m_as("deg")
    return tuple(
        Row("height", ("pin", throw), at, own + turn, on, state)
        for at in _ends(crank, ("pin", throw)).values()
        for turn in (0.0, 90.0, 180.0, 270.0)
    )


def best(wide, measured, seen, more, parts, offers):
    """The offers with the chance each leaves the truth first, the most telling first.

    ``wide`` models the measured rows and those of all offers, in that order; ``seen`` are the
    departures of the rows numbered ``measured``, ``more`` their covariance beyond the ordinary one.
    """
    parts = [part for part in parts if part.hypothesis != NONE]
    if not parts or not offers:
        return []
    start = len(wide.rows) - sum(len(offer.rows) for offer in offers)
    wanted = np.arange(start, len(wide.rows))
    ahead = futures(wide, measured, wanted, seen, parts, more)
    chance = np.array([one.chance for one in ahead])
    chance = chance / chance.sum()
    names = {}
    owner = np.array([names.setdefault(one.hypothesis, len(names)) for one in ahead])
    generator = np.random.default_rng(24)
    drawn, place, found = generator.choice(len(ahead), DRAWN, p=chance), 0, []
    for offer in offers:
        here = slice(place, place + len(offer.rows))
        place += len(offer.rows)
        after = _after(ahead, here, chance, drawn, generator)
        by_cause = np.zeros((len(names), DRAWN))
        np.add.at(by_cause, owner, after.T)
        found.append(offer._replace(expected=float(by_cause.max(axis=0).mean())))
    top = max(one.expected for one in found) - NEAR
    return sorted(
        found,
        key=lambda one: (one.expected < top, one.minutes if one.expected >= top else -one.expected),
    )


def _after(ahead, here, chance, drawn, generator):
    """Chances of the parts after imagined results, one row a result."""
    means = np.array([one.mean[here] for one in ahead])
    small = 1e-9 * np.eye(means.shape[1])
    roots = [np.linalg.cholesky(one.covariance[here, here] + small) for one in ahead]
    dice = generator.standard_normal((len(drawn), means.shape[1]))
    results = np.array(
        [means[part] + roots[part] @ one for part, one in zip(drawn, dice, strict=True)]
    )
    logs = np.empty((len(drawn), len(ahead)))
    for number, root in enumerate(roots):
        left = solve_triangular(root, (results - means[number]).T, lower=True)
        logs[:, number] = -0.5 * (left**2).sum(axis=0) - np.log(np.diag(root)).sum()
    logs += np.log(chance)
    return np.exp(logs - logsumexp(logs, axis=1, keepdims=True))

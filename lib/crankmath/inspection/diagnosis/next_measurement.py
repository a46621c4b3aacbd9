"""Which measurement would tell best between causes that the readings do not tell apart."""

from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_triangular
from scipy.special import logsumexp

from ...language import _
from .measured import Row
from .signatures.stations import vee_mains
from .signatures.traces import PULL
from .weighing.evidence import NONE, NOTHING
from .weighing.posterior import futures

DRAWN = 160  # imagined results of each measurement
TURNS = tuple(float(turn) for turn in range(0, 360, 30))
NEAR = 0.1  # share of the best one's gain that a quicker measurement may fall short by: own choice
DOUBT = 0.04  # of the worth of an offer: two chances, each drawn to 0.02


class Proposal(NamedTuple):
    """A measurement that could be made next.

    ``expected`` is the chance that its result lets the true cause stand first, ``minutes`` a rough
    time.
    """

    words: str
    rows: tuple
    minutes: float
    expected: float = 0.0

    @property
    def written(self):
        """Kind and places as the table of readings names them."""
        kinds = {}
        for row in self.rows:
            places = kinds.setdefault(
                (row.kind, _(", after {state}").format(state=row.state) * bool(row.state)), {}
            )
            places[f"{_said(row.place)} {row.end}".strip()] = True
        return "; ".join(
            _("kind {kind}, place {places}{after}").format(
                kind=kind, places=_listed(list(places)), after=after
            )
            for (kind, after), places in kinds.items()
        )


def proposals(crank, making, rows):
    """Measurements that could be made next on a crank of which ``rows`` were measured; what is done
    at one setting is one of them.

    Basis: common practice, no source; the minutes are guesses to choose between equals.
    """
    seen = set(rows)
    offers = *_readings(crank, rows), *_sizes(crank, rows), *_checks(crank, making, rows)
    for offer in offers:
        left = tuple(row for row in offer.rows if row not in seen)
        if left:
            yield offer._replace(rows=left)


def _readings(crank, rows):
    """Offers with the dial."""
    mains = [("main", main) for main in range(len(crank.journals))]
    dials = [row for row in rows if row.kind == "dial" and not row.state]
    for main in mains:
        for side, at in _ends(crank, main).items():
            if not any(abs(row.at - at) < 2 for row in dials if row.place == main):
                yield Proposal(
                    _("read {main} near its {side} end, on the main centers").format(
                        main=_said(main), side=side
                    ),
                    _turned("dial", main, at, ("main",)),
                    6,
                )
    series = {row.series: row for row in dials}.values()
    places = dict.fromkeys(row.place for row in series)
    for place in places:
        own = [row for row in series if row.place == place]
        yield Proposal(
            _("set the dial up again and read {place} again").format(place=_said(place)),
            _again(own, "again"),
            6 * len(own),
        )
    first = [next(row for row in series if row.place == place) for place in places]
    if first:
        yield Proposal(
            _("read {first} again when the crank is as cold as the shop").format(
                first=_all_said(first)
            ),
            _again(first, "cold"),
            90 + 6 * len(first),
        )
    for throw in range(len(crank.throws)):
        pin = ("pin", throw)
        if not any(row.place == pin for row in dials):
            yield Proposal(
                _("read {pin} at both ends, on its own centers").format(pin=_said(pin)),
                sum((_turned("dial", pin, at, pin) for at in _ends(crank, pin).values()), ()),
                15,
            )
    yield Proposal(
        _("read both outer mains beside their vee blocks"),
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


def _sizes(crank, rows):
    """Offers with micrometer and height gauge."""
    seen = {(row.kind, row.place, row.on[0]) for row in rows if not row.state}
    mains = [("main", main) for main in range(len(crank.journals))]
    pins = [("pin", throw) for throw in range(len(crank.throws))]
    for places in (mains, pins):
        name = (
            _("all {places}s").format(places=places[0][0]) if len(places) > 1 else _said(places[0])
        )
        new = [one for one in places if ("diameter", one, "main") not in seen]
        count, state, words = (
            (3, "", _("three places")) if new else (5, _("again"), _("five places"))
        )
        yield Proposal(
            _("measure diameters along {name}{new}, at {words} and three angles").format(
                name=name, new=" again" * (not new), words=words
            ),
            sum((_diameters(crank, one, count, state) for one in new or places), ()),
            4 + 4 * len(places),
        )
    ends = _("over both ends of each pin") if len(pins) > 1 else _("over both ends of pin 1")
    for on, words in ((("vees", 90.0), _("in vee blocks")), (("main",), _("on the main centers"))):
        new = [one for one in pins if ("height", one, on[0]) not in seen]
        if new or on[0] == "vees":
            yield Proposal(
                _("measure heights {ends}{new}, {words}, in four positions").format(
                    ends=ends, new=" again" * (not new), words=words
                ),
                sum(
                    (_heights(crank, one[1], on, "" if new else "again") for one in new or pins), ()
                ),
                10 + 10 * len(pins),
            )


def _checks(crank, making, rows):
    """Offers that look at a cause itself; what was looked at already is not named again."""
    main, pins = ("main", 0), [("pin", throw) for throw in range(len(crank.throws))]

    def left(*wanted):
        return [row for row in wanted if row not in rows]

    if spacers := left(*(Row("spacer", ("throw", one.throw)) for one in making.spacers)):
        one = len(spacers) == 1
        names = _listed([str(row.place[1] + 1) for row in spacers])
        yield Proposal(
            _("measure the spacer{size} of throw{size} {names} against {words}").format(
                size="s" * (not one),
                names=names,
                words=_("its free gap") if one else _("their free gaps"),
            ),
            tuple(spacers),
            5 + 3 * len(spacers),
        )
    if thrusts := left(*(Row("thrust", place) for place in (main, *pins))):
        named = _all_said(row for row in thrusts if row.place in pins)
        cuts = [_("the last cut on the mains")] * (thrusts[0].place == main) + [named] * bool(named)
        yield Proposal(
            _("set the tailstock as for {cuts}, and measure its thrust{value}").format(
                cuts=_(", then as for ").join(cuts), value=_(" each time") * (len(thrusts) > 1)
            ),
            tuple(thrusts),
            5 + 10 * len(thrusts),
        )
    yield Proposal(
        _("read with a thermometer how much warmer than the shop the crank is, as it was measured"),
        (Row("warmth", main),),
        4,
    )
    cone = left(*(Row("center", main, angle=turn) for turn in TURNS[::2]))
    look, minutes = [], 5 * bool(cone)
    if cone:
        look.append(_("read the cone of the live center with the dial, the spindle turned by hand"))
        yield Proposal(look[0], tuple(cone), minutes)
    # with the crank out of the lathe, the cone is read before what else is done there
    dials = (row for row in rows if row.kind == "dial" and row.on == ("main",) and not row.state)
    read = {row.series: row for row in dials}
    outer = sorted(read.values(), key=lambda row: row.at)
    outer = list(dict.fromkeys([*outer[:1], *outer[-1:]]))
    if cleaned := left(*_again(outer, "cleaned")):
        words = _("clean the centers and their holes and read {outer} again").format(
            outer=_all_said(outer)
        )
        time = minutes + 6 + 6 * len(outer)
        yield Proposal("; then ".join([*look, words]), (*cone, *cleaned), time)
    bar = left(Row("test bar", main))
    ends = left(*(Row("yield", main, end=end) for end in ("left", "right")))
    pull = "45 lbf" if crank.units == "in" else f"{PULL:.0f} N"
    words = []
    if bar:
        words.append(
            _("run the dial along a test bar between the centers, the tailstock as it stood")
        )
    if ends:
        words.append(
            _(
                "pull the test bar aside beside the {end} center by {pull} with a spring balance, "
                "the spindle still, and read how far it yields"
            ).format(end=_listed([row.end for row in ends]), pull=pull)
        )
    if words:
        yield Proposal("; then ".join([*look, *words]), (*cone, *bar, *ends), minutes + 18)
    wanted = [
        Row("hole", hole, angle=turn, end=end)
        for end in ("left", "right")
        for hole in (*pins, main)
        for turn in (0.0, 90.0)
    ]
    if holes := left(*wanted):
        places = list(dict.fromkeys(f"{_said(row.place)} {row.end}" for row in holes))
        which = _(" of {places}").format(places=_listed(places)) * (len(holes) < len(wanted))
        yield Proposal(
            _(
                "measure where the center holes{which} stand on the end faces, with the height "
                "gauge, the outer mains in vee blocks"
            ).format(which=which),
            tuple(holes),
            15 + 5 * len(places),
        )


def _said(place):
    return f"{place[0]} {place[1] + 1}"


def _all_said(rows):
    return _listed(list(dict.fromkeys(_said(row.place) for row in rows)))


def _listed(names):
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def _again(rows, state):
    """The dial set up again as for each of these rows, a whole turn."""
    return sum((_turned("dial", row.place, row.at, row.on, state) for row in rows), ())


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
    drawn = np.searchsorted(np.cumsum(chance), (np.arange(DRAWN) + 0.5) / DRAWN)
    causes = [number for name, number in names.items() if name != NOTHING]
    drawn, place, found, worth = np.minimum(drawn, len(ahead) - 1), 0, [], []
    for offer in offers:
        here = slice(place, place + len(offer.rows))
        place += len(offer.rows)
        after = _after(ahead, here, chance, drawn, generator)
        by_cause = np.zeros((len(names), DRAWN))
        np.add.at(by_cause, owner, after.T)
        found.append(offer._replace(expected=float(by_cause.max(axis=0).mean())))
        worth.append(_worth(by_cause, causes))
    now = _worth(np.bincount(owner, chance)[:, None], causes)
    least = max(worth) - max(NEAR * (max(worth) - now), DOUBT)
    ranks = [
        (value < least, one.minutes if value >= least else -value)
        for one, value in zip(found, worth, strict=True)
    ]
    return [found[place] for place in sorted(range(len(found)), key=ranks.__getitem__)]


def _worth(by_cause, causes):
    """Chance that the first answer is true, “nothing out of the ordinary” among the answers, plus
    chance that the first cause is: whether there is a cause and which it is both count.
    """
    first = by_cause.max(axis=0).mean()
    return float(first + by_cause[causes].max(axis=0, initial=0.0).mean())


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

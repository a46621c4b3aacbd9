"""What the diagnosis weighs, by hand: chances and sizes of every cause by the log-normal law, what is
noticed by counting it, the evidence by plain Gaussian densities of every part, and what is told of
a measurement before it is made by integrals.
"""

from collections import Counter, defaultdict
from dataclasses import fields, replace
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pytest
from drawn_faults import places_of, where_named
from scipy.integrate import quad
from scipy.stats import lognorm, multivariate_normal, norm
from scipy.stats import t as student_t

from crankmath import deflection, heat, spacers
from crankmath.crank import Crank
from crankmath.inspection.diagnosis import (
    Everyday,
    Measured,
    diagnose,
    find_causes,
    making_of,
    next_measurement,
    simulate,
    usual_table,
    weigher_of,
)
from crankmath.inspection.diagnosis.measured import Row, middle_of
from crankmath.inspection.diagnosis.next_measurement import DOUBT, NEAR, Proposal, best, proposals
from crankmath.inspection.diagnosis.remedies import Bench
from crankmath.inspection.diagnosis.signatures import causes
from crankmath.inspection.diagnosis.signatures.background import everyday_states, scatter
from crankmath.inspection.diagnosis.signatures.causes import Hypothesis
from crankmath.inspection.diagnosis.signatures.noticed import drawn
from crankmath.inspection.diagnosis.signatures.stations import Stations, nominal
from crankmath.inspection.diagnosis.signatures.traces import Traces
from crankmath.inspection.diagnosis.simulate import Hidden
from crankmath.inspection.diagnosis.weighing import evidence, model
from crankmath.inspection.diagnosis.weighing.model import Model, axis_rows
from crankmath.units import Quantity

PUMP, ORGAN = Crank.load("pump"), Crank.load("organ")
FOURTHS = (0.0, 90.0, 180.0, 270.0)
MAIN, MAIN_1 = ("main",), ("main", 0)
SIGNED = ("ends turned", "tailstock set over")  # either way
ALONG = (
    "spacer too long", "spacer loose", "thrust too high", "pin thrust too high", "warm when cut",
    "warm when measured", "uneven stiffness", "push-off barrel", "push-off hourglass", *SIGNED,
)  # fmt: skip


def rows_on(place, at, on=MAIN, kind="dial", state="", turns=FOURTHS):
    return tuple(Row(kind, place, at, turn, on, state) for turn in turns)


def in_line():
    """The compressor with both pins on one axis."""
    crank = Crank.load("compressor")
    one, other = crank.throws
    return replace(crank, throws=(one, replace(other, angle=one.angle)))


def told(crank):
    """Some of every gauge; dials of main 1 twice, the second time after the centers were cleaned."""
    pin, last = ("pin", 0), ("main", len(crank.journals) - 1)
    rows = rows_on(MAIN_1, 12.0, turns=(0, 60, 120, 180, 240, 300)) + rows_on(MAIN_1, 20.0)
    rows += rows_on(last, middle_of(crank, last), turns=(0, 60, 120, 180, 240, 300))
    rows += rows_on(MAIN_1, 20.0, state="cleaned", turns=(0, 90, 180))
    for place in (MAIN_1, last):
        rows += rows_on(place, middle_of(crank, place), kind="diameter", turns=(0, 60, 120))
    for throw in range(len(crank.throws)):
        place = ("pin", throw)
        rows += rows_on(place, middle_of(crank, place), place)
        rows += rows_on(place, middle_of(crank, place), ("vees", 90.0), "height")
    rows += (Row("spacer", ("throw", 0)), Row("thrust", MAIN_1), Row("thrust", pin))
    return (*rows, *(Row("center", MAIN_1, angle=turn) for turn in FOURTHS))


def made(crank, **changes):
    """Thrusts that differ, so that one cannot pass for the other."""
    return making_of(crank, thrust=Quantity(500, "N"), pin_thrust=Quantity(300, "N"), **changes)


@pytest.fixture(
    scope="module", params=[(PUMP, None), (ORGAN, Quantity(70.0, "deg"))], ids=("pump", "organ")
)
def modeled(request):
    crank, mark = request.param
    rows = told(crank)
    more = rows_on(MAIN_1, 5.0) + rows_on(("main", 1), middle_of(crank, ("main", 1)))
    return Model(crank, made(crank, dog_angle=mark), rows + more, measured=len(rows))


def parts_of(modeled):
    """Parts of each hypothesis."""
    found = defaultdict(list)
    for part in modeled.components:
        found[modeled.hypotheses[part.hypothesis]].append(part)
    return found


# chances and sizes


def sizes_of(cause, making):
    """The log-normal law of a cause's size, by the table."""
    row = usual_table()[cause]
    unit = {"spacer loose": 500.0, "thrust too high": 500.0, "pin thrust too high": 300.0}
    return lognorm(np.log(row.spread), scale=row.median * unit.get(cause, 1.0))


def ends_of(part):
    """Least and largest size of a cell: evenly spread, its deviation is half of it over root 3."""
    half = np.sqrt(3) * abs(part.size_columns[0])
    return abs(part.size) - half, abs(part.size) + half


def test_cells_of_a_size_join_and_have_the_chance_of_the_log_normal_law(modeled):
    named = Counter()
    for one, parts in parts_of(modeled).items():
        if one.cause not in ALONG and not (one.cause == "dog pulls" and parts[0].size):
            continue
        named[one.cause] += 1
        law, signs = sizes_of(one.cause, modeled.making), (-1, 1) if one.cause in SIGNED else (1,)
        for sign in signs:
            if one.cause == "dog pulls":
                mine = parts
            else:
                mine = [part for part in parts if np.sign(part.size.real) == sign]
            ends = np.array(sorted(ends_of(part) for part in mine))
            assert ends[1:, 0] == pytest.approx(ends[:-1, 1])
            assert law.cdf(ends[0, 0]) < 1e-3 and law.sf(ends[-1, 1]) < 1e-3
            mine = sorted(mine, key=lambda part: abs(part.size))
            found = np.array([part.weight / part.share for part in mine])
            wanted = np.diff(law.cdf(ends), axis=1)[:, 0]
            assert found / found.sum() == pytest.approx(wanted / wanted.sum())
        assert len(parts) == len(mine) * len(signs)
    assert set(named) >= set(ALONG) - {"ends turned"}
    throws = len(modeled.crank.throws)
    assert named["pin thrust too high"] == throws and named["spacer loose"] == throws


def chances_of(one, parts, making):
    """Chance of each part of a hypothesis beside the others, before anything is noticed."""
    if one.cause in ALONG or (one.cause == "dog pulls" and parts[0].size):
        ends = np.array([ends_of(part) for part in parts])
        law = sizes_of(one.cause, making)
        return (law.cdf(ends[:, 1]) - law.cdf(ends[:, 0])) / (1 + (one.cause in SIGNED))
    if one.cause == "dial slip":
        return np.full(len(parts), 1 / len(parts))
    if one.cause == "chatter":
        return np.array([chance for chance, _ in causes.CHATTER_SIZES])
    return np.array([chance for chance, _ in causes.RINGS])


def test_a_part_weighs_by_its_share_of_what_is_noticed(modeled):
    """By Bayes: of a fault that was noticed the part has chance times share over the sum of them all,
    the mean over the cause's places; a cause that is noticed once in fifty counts half.
    """
    of_cause = defaultdict(list)
    for one, parts in parts_of(modeled).items():
        chances = chances_of(one, parts, modeled.making)
        of_cause[one.cause].append((parts, chances))
    for cause, places in of_cause.items():
        shares = [chances @ [part.share for part in parts] for parts, chances in places]
        for parts, chances in places:
            found = [part.weight for part in parts]
            seen = chances * [part.share for part in parts]
            assert found == pytest.approx(seen / (np.mean(shares) + causes.RARELY), rel=1e-6), cause
    assert len(of_cause) == 20 - (len(modeled.crank.throws) == 1)


def swing(values):
    return max(values) - min(values)


def test_what_is_noticed_is_counted(modeled):
    """Twenty micrometers on any one main or pin (twice the allowed ten; 0.4 thou are 10.16), twelve
    between diameters, a hundred between heights; neither what is read for the cause's sake nor what is not yet read.
    """
    places, rows = defaultdict(list), told(modeled.crank)
    for line, row in enumerate(rows):
        if row.kind == "dial" and not row.state:
            places["dial", row.place].append(line)
        elif row.kind in ("diameter", "height"):
            places[row.kind, None].append(line)
    allowed = 10.16 if modeled.crank.units == "in" else 10.0
    least = {"dial": 2 * allowed, "diameter": 12.0, "height": 100.0}
    for part in modeled.components:
        count = 0
        for dice in drawn(part.columns.shape[1]).T:
            seen = [part.mean[k] + sum(part.columns[k] * dice) for k in range(len(rows))]
            count += any(
                swing([seen[k] for k in lines]) >= least[kind]
                for (kind, _), lines in places.items()
            )
        heavy = modeled.hypotheses[part.hypothesis].cause == "chatter" and part.size.real > 4.0
        assert part.share == pytest.approx(1 if heavy else count / 48, abs=1e-3)


# columns of what goes with a cause


def ring_sizes(cause, unit=1.0):
    """Deviations of a size of free direction: half of all lie within s sqrt(2 ln 2)."""
    row = usual_table()[cause]
    return [
        unit * row.median * row.spread**power / np.sqrt(2 * np.log(2)) for _, power in causes.RINGS
    ]


def reads(rows, wanted):
    """Array of a reading for each row."""
    return np.array([wanted(row) for row in rows])


def lobes_of(row, order):
    turn = order * np.radians(row.angle)
    return np.cos(turn), np.sin(turn)


def test_a_live_center_moves_every_pin_by_itself(modeled):
    """Mains toward 0 and 90 degrees together, as the cone reads; each pin was put back at its own
    mark: nothing else moves with it. What is off at the left end is less to the right.
    """
    length, rows = modeled.crank.segments[-1].end, modeled.rows
    parts = next(found for one, found in parts_of(modeled).items() if one.cause == "live center")
    for part, size in zip(parts, ring_sizes("live center"), strict=True):
        wanted = []
        for way in (0, 1):
            wanted.append(
                reads(rows, lambda row, way=way: lobes_of(row, 1)[way] * (
                    row.kind == "center"
                    or (row.kind == "dial" and row.place[0] == "main") * (1 - row.at / length)
                ))
            )  # fmt: skip
        for pin in range(len(modeled.crank.throws)):
            for way in (0, 1):
                wanted.append(
                    reads(rows, lambda row, way=way, pin=pin: lobes_of(row, 1)[way] * (
                        row.kind == "dial" and row.place == ("pin", pin)
                    ) * (1 - row.at / length))
                )  # fmt: skip
        # heights on vees: the axis of the pin and of both mains that lie in them
        plain = [k for k, row in enumerate(rows) if row.kind not in ("height",)]
        assert part.columns[plain] == pytest.approx(size * np.array(wanted).T[plain], abs=1e-9)
        assert part.size_columns == pytest.approx([size, 1j * size] + [0] * (len(wanted) - 2))


@pytest.mark.parametrize("end", ["left", "right"])
@pytest.mark.parametrize("during", ["at cut", "now"])
def test_a_worn_center_leaves_lobes_beside_its_offset(modeled, end, during):
    """Its offset toward 0 and toward 90 degrees and two and three lobes of 0.35 of it, all by the
    share of the length; at the cut on mains wherever they are read, now until the center is cleaned.
    """
    length, rows = modeled.crank.segments[-1].end, modeled.rows
    parts = parts_of(modeled)
    parts = next(
        found for one, found in parts.items()
        if one.cause == f"center worn {during}" and one.where == end
    )  # fmt: skip

    def share(row):
        here = row.kind == "dial" and row.place[0] == "main"
        if during == "now" and row.state == "cleaned":
            here = False
        return here * (row.at / length if end == "right" else 1 - row.at / length)

    plain = [k for k, row in enumerate(rows) if row.kind not in ("height", "diameter")]
    for part, size in zip(parts, ring_sizes(f"center worn {during}"), strict=True):
        wanted = [
            size * (1.0 if order == 1 else 0.35)
            * reads(rows, lambda row, order=order, way=way: share(row) * lobes_of(row, order)[way])
            for order in (1, 2, 3)
            for way in (0, 1)
        ]  # fmt: skip
        assert part.columns[plain] == pytest.approx(np.array(wanted).T[plain], abs=1e-9)
        across = [k for k, row in enumerate(rows) if row.kind == "diameter"]
        if during == "at cut":  # two lobes change a diameter twice, what is off it does not
            on = reads(rows, lambda row: row.at / length if end == "right" else 1 - row.at / length)
            on *= [row.place[0] == "main" for row in rows]
            two = 0.7 * size * on * reads(rows, lambda row: lobes_of(row, 2)[0])
            assert part.columns[across, 2] == pytest.approx(two[across])
        assert not part.columns[across][:, [0, 1, 4, 5]].any()


def test_dirt_under_a_vee_lifts_heights_and_turns_with_the_work(modeled):
    """By the lever of the two vees, which lie in the middle of the outer mains."""
    crank, rows = modeled.crank, modeled.rows
    vees = [middle_of(crank, ("main", main)) for main in (0, len(crank.journals) - 1)]
    found = [parts for one, parts in parts_of(modeled).items() if one.cause == "seat or vee"]
    assert len(found) == 2
    for side, parts in enumerate(found):

        def lever(row, side=side):
            far = (row.at - vees[0]) / (vees[1] - vees[0])
            return (row.on[0] == "vees") * (far if side else 1 - far)

        for part, size in zip(parts, ring_sizes("seat or vee"), strict=True):
            wanted = [size * reads(rows, lever)]
            wanted += [
                0.35 * size
                * reads(rows, lambda row, order=order, way=way: lever(row) * lobes_of(row, order)[way])
                for order in (2, 3)
                for way in (0, 1)
            ]  # fmt: skip
            assert part.columns == pytest.approx(np.array(wanted).T, abs=1e-9)
            assert part.size_columns == pytest.approx([size, 0, 0, 0, 0])


def test_only_what_was_read_in_vees_or_with_a_dial_was_spoiled_there():
    """What is read later makes no new cause: no vee was in use, no dial on the pin, no micrometer."""
    rows, more = rows_on(MAIN_1, 20.0), rows_on(("pin", 0), 70.0, ("vees", 90.0), "height")
    more += rows_on(("pin", 0), 70.0, ("pin", 0)) + rows_on(("main", 1), 100.0, kind="diameter")
    for count, named in ((4, {(MAIN_1,)}), (8, {(MAIN_1,), (0,), (1,)})):
        found = Model(PUMP, made(PUMP), rows + more, measured=count).hypotheses
        spoiled = ("seat or vee", "dial slip", "chatter")
        assert {one.detail for one in found if one.cause in spoiled} == named


def test_a_dial_slips_between_two_readings_of_a_setting(modeled):
    """After two readings at the soonest, before the last two: six readings have three such places;
    from there on all of that setting are higher.
    """
    row = usual_table()["dial slip"]
    for one, parts in parts_of(modeled).items():
        if one.cause == "dial slip":
            settings = defaultdict(list)
            for line, each in enumerate(told(modeled.crank)):
                if each.kind == "dial" and each.place == one.detail[0]:
                    settings[each.at, each.state].append(line)
            wanted = {
                tuple(lines[first:])
                for lines in settings.values()
                for first in range(len(lines))
                if first >= 2 and len(lines) - first >= 2
            }
            assert {tuple(np.flatnonzero(part.columns[:, 0])) for part in parts} == wanted
            assert len(parts) == len(wanted) and not any(part.mean.any() for part in parts)
            steps = {round(value, 6) for part in parts for value in part.columns[:, 0] if value}
            assert steps == {round(row.median * row.spread, 6)}
            assert all(part.size_columns == row.median * row.spread for part in parts)


def test_chatter_shakes_every_reading_of_its_place_alone(modeled):
    row = usual_table()["chatter"]
    for one, parts in parts_of(modeled).items():
        if one.cause == "chatter":
            hit = [
                line for line, each in enumerate(modeled.rows)
                if each.place == one.detail[0] and each.kind in ("dial", "diameter")
            ]  # fmt: skip
            for part, (_, power) in zip(parts, causes.CHATTER_SIZES, strict=True):
                shaken = part.columns @ part.columns.T
                wanted = np.zeros(len(modeled.rows))
                wanted[hit] = (row.median * row.spread**power) ** 2
                assert shaken == pytest.approx(np.diag(wanted))
                assert part.size == pytest.approx(np.sqrt(wanted.max()))


# evidence


WEIGHED = (
    rows_on(MAIN_1, 12.0, turns=(0, 60, 120, 180, 240, 300))
    + rows_on(("main", 1), 100.0, turns=(0, 60, 120, 180, 240, 300))
    + rows_on(("pin", 0), 70.0, ("vees", 90.0), "height")
    + rows_on(("main", 1), 100.0, kind="diameter", turns=(0, 60, 120))
    + (Row("spacer", ("throw", 0)), Row("marks", MAIN_1, 22.5), Row("marks", ("pin", 0), 70.0))
)


@pytest.fixture
def weighed(monkeypatch):
    """Readings of 21 rows and counted marks on main 1, weighed as they are: nobody asks whether it
    would be noticed, and all pairs are looked at.
    """
    monkeypatch.setattr(evidence, "LIGHT", -1.0)
    monkeypatch.setattr(evidence, "LEADING", 1000)
    weigher = weigher_of(PUMP, made(PUMP), WEIGHED)
    modeled, dice = weigher.model, np.random.default_rng(8)
    values = modeled.base + modeled.nominal + 4 * dice.standard_normal(len(WEIGHED))
    values[:12] += 14 * np.cos(np.radians([row.angle for row in WEIGHED[:12]]))
    values[-2:] = 24.0, 0.0
    return weigher, values, weigher.weigh(values)


def departures(modeled, values):
    """Readings less those of the usual crank, each setting of dial or height gauge about its mean."""
    away = values - modeled.nominal - modeled.base
    for lines in (range(6), range(6, 12), range(12, 16)):
        away[list(lines)] -= np.mean(away[list(lines)])
    return away[:-2]


def chance_of_marks(one):
    """Chance of 24 marks on main 1 and none on the pin: nine in ten with chatter, one in a hundred
    without.
    """
    here = one.detail[0] if one.cause == "chatter" else None
    seen = 0.9 if here == MAIN_1 else 0.01
    unseen = 0.1 if here == ("pin", 0) else 0.99
    return seen * unseen


def test_every_part_is_weighed_by_its_gaussian_density(weighed):
    """Alone or two together, nothing and none of these: density of the readings where the normal
    numbers are free, to the power stated, times the chances of the table. All of them are one.
    """
    weigher, values, found = weighed
    modeled, away = weigher.model, departures(weigher.model, values)
    plain = (modeled.ordinary + modeled.misplaced(values))[:-2, :-2]
    nothing = multivariate_normal(cov=plain).logpdf(away) + np.log(0.01 * 0.99)
    broad = plain + modeled.unknown()[:-2, :-2]
    none = multivariate_normal(cov=broad).logpdf(away) + np.log(0.01 * 0.99)
    wanted = evidence.TEMPER * (none - nothing)
    wanted += np.log(evidence.NONE_CHANCE / evidence.NOTHING_CHANCE)
    assert found.log_weights[-1] - found.log_weights[-2] == pytest.approx(wanted)
    assert np.exp(found.log_weights).sum() == pytest.approx(1)
    alone = len(modeled.components)
    assert [part for part in found.parts if len(part) == 1] == [
        found.parts[k] for k in range(alone)
    ]
    dice, chosen = np.random.default_rng(3), list(range(0, alone, 5))
    chosen += dice.integers(alone, len(found.parts), 150).tolist()
    for number in chosen:
        parts = [modeled.components[one] for one in found.parts[number]]
        hypotheses = [modeled.hypotheses[part.hypothesis] for part in parts]
        spread = sum((part.columns @ part.columns.T)[:-2, :-2] for part in parts)
        mean = sum(part.mean[:-2] for part in parts)
        density = multivariate_normal(mean, plain + spread).logpdf(away)
        density += np.log(max(chance_of_marks(one) for one in hypotheses))
        chances = [one.chance * part.weight for one, part in zip(hypotheses, parts, strict=True)]
        wanted = evidence.TEMPER * (density - nothing)
        wanted += np.log(np.prod(chances) / evidence.NOTHING_CHANCE)
        wanted += (len(parts) - 1) * weigher.second
        got = found.log_weights[number] - found.log_weights[-2]
        assert got == pytest.approx(wanted, abs=1e-5), hypotheses


def together(one, other):
    """Whether two faults can both be: by hand, of a crank of one throw."""
    barred = ({"spacer too long", "spacer loose"}, {"push-off barrel", "push-off hourglass"})
    return one != other and {one.cause, other.cause} not in barred


def test_all_pairs_together_have_the_chance_of_a_second_fault(weighed):
    """Of cranks with a fault one in five has two: each pair has the product of its chances times one
    number, and all of them a quarter of what one fault alone has.
    """
    weigher, _, found = weighed
    modeled = weigher.model
    chances = np.zeros(len(modeled.hypotheses))
    for part in modeled.components:
        chances[part.hypothesis] += part.weight * modeled.hypotheses[part.hypothesis].chance
    pairs = [
        (one, other) for one, other in combinations(range(len(chances)), 2)
        if together(modeled.hypotheses[one], modeled.hypotheses[other])
    ]  # fmt: skip
    two = np.exp(weigher.second) * sum(chances[one] * chances[other] for one, other in pairs)
    assert two / (two + chances.sum()) == pytest.approx(0.2)
    assert {name for name in found.chances if len(name) == 2} == set(pairs)
    counts = Counter(part.hypothesis for part in modeled.components)
    both = sum(counts[one] * counts[other] for one, other in pairs)
    assert len(found.parts) == len(modeled.components) + both == len(set(found.parts))


def test_the_chance_of_a_pair_is_that_of_its_parts(weighed):
    weigher, _, found = weighed
    named = Counter()
    for part, weight in zip(found.parts, found.log_weights, strict=False):
        name = tuple(sorted(weigher.model.components[one].hypothesis for one in part))
        named[name] += np.exp(weight)
    named[()], named[-1,] = np.exp(found.log_weights[-2:])
    assert found.chances == pytest.approx(dict(named))
    assert list(found.chances.values()) == sorted(found.chances.values(), reverse=True)


def test_only_pairs_with_a_leading_cause_are_weighed(weighed, monkeypatch):
    """Of the eight causes with the best part; none is left out that has one of them."""
    weigher, values, every = weighed
    monkeypatch.setattr(evidence, "LEADING", 8)
    found, heaviest = weigher.weigh(values), {}
    for part, weight in zip(every.parts, every.log_weights, strict=False):
        if len(part) == 1:
            name = weigher.model.components[part[0]].hypothesis
            heaviest[name] = max(weight, heaviest.get(name, -np.inf))
    leading = set(sorted(heaviest, key=heaviest.get)[-8:])
    kept = {name for name in every.chances if len(name) < 2 or leading & set(name)}
    assert set(found.chances) == kept and len(kept) < len(every.chances)


def test_a_heavy_part_is_weighed_by_what_of_it_would_be_noticed(weighed, monkeypatch):
    """The chances are those of noticed faults: by Bayes a part that the readings say to be noticed for
    certain weighs one over its share. Counted over the 48 draws, of normal numbers as the readings
    leave them, by the textbook's sums, and an even one more.
    """
    weigher, values, before = weighed
    modeled, away = weigher.model, departures(weigher.model, values)
    monkeypatch.setattr(evidence, "LIGHT", 4.0)
    after = weigher.weigh(values)
    plain = np.linalg.inv((modeled.ordinary + modeled.misplaced(values))[:-2, :-2])
    heavy = before.log_weights[:-2] > before.log_weights.max() - 4.0
    change = (after.log_weights - before.log_weights) - (after.log_weights - before.log_weights)[-2]
    assert change[:-2][~heavy] == pytest.approx(0, abs=1e-9) and change[-1] == pytest.approx(0)
    assert 5 < heavy.sum() < len(heavy) / 4
    for number in np.flatnonzero(heavy):
        parts = [modeled.components[one] for one in before.parts[number]]
        columns = np.hstack([part.columns for part in parts])
        left = away - sum(part.mean for part in parts)[:-2]
        known = columns[:-2].T @ plain @ columns[:-2] + np.eye(columns.shape[1])
        mean = np.linalg.solve(known, columns[:-2].T @ plain @ left)
        root = np.linalg.cholesky(np.linalg.inv(known))
        numbers = mean[:, None] + evidence.WIDENED * root @ drawn(len(mean))
        seen, start = np.ones(48, bool), 0
        for part in parts:
            count = part.columns.shape[1]
            trace = part.mean[:, None] + part.columns @ numbers[start : start + count]
            swings = [np.ptp(trace[lines], axis=0) for lines in (range(6), range(6, 12))]
            mine = (np.max(swings, axis=0) >= 20) | (np.ptp(trace[12:16], axis=0) >= 100)
            seen &= mine | (np.ptp(trace[16:19], axis=0) >= 12) | part.seen
            start += count
        share = np.prod([part.share for part in parts])
        assert change[number] == pytest.approx(np.log((seen.sum() / share + 1) / 49), abs=1e-6)


def test_an_unknown_error_has_waves_of_any_mark_and_single_readings(weighed):
    """A wave of deviation s toward any mark: between two readings s squared cos of what is between
    them; another setting of the dial has its own.
    """
    modeled = weighed[0].model
    found, turns = modeled.unknown(), np.radians([row.angle for row in WEIGHED[:12]])
    waves = np.zeros((12, 12))
    for order, size in enumerate(model.UNKNOWN_WAVES, 1):
        unit = size * np.array([np.cos(order * turns), np.sin(order * turns)])
        waves += unit.T @ unit
    waves[:6, 6:] = waves[6:, :6] = 0
    single = [model.UNKNOWN["dial"]] * 12 + [model.UNKNOWN["height"]] * 4
    single += [model.UNKNOWN["diameter"]] * 3
    assert found[:19, :19] == pytest.approx(np.diag(np.square(single)) + np.pad(waves, (0, 7)))
    assert found[19, 19] == pytest.approx((model.UNKNOWN_OTHER * modeled.own[19]) ** 2)


def test_marks_a_little_off_move_a_dial_by_its_slope():
    """20 um of one lobe over 12 marks: at each the slope of 20 cos is 20 sin a radian; each mark is
    off by itself, all of a setting together, and a second setting by itself.
    """
    turns = np.arange(0.0, 360.0, 30.0)
    rows = rows_on(MAIN_1, 12.0, turns=turns) + rows_on(MAIN_1, 30.0, turns=turns)
    modeled = Model(PUMP, made(PUMP), rows)
    slopes = np.radians(20 * np.sin(np.radians(turns)))
    values = 20 * np.cos(np.radians(np.tile(turns, 2)))
    each, every = Everyday().dial_mark, Everyday().dial_zero_mark
    wanted = each**2 * np.diag(slopes**2) + every**2 * np.outer(slopes, slopes)
    found = modeled.misplaced(values)
    assert found[:12, :12] == pytest.approx(wanted) and found[12:, 12:] == pytest.approx(wanted)
    assert not found[:12, 12:].any()


def test_the_ordinary_crank_is_all_its_ordinary_errors(weighed):
    """Covariances of what is independent add: states of the work, zeros and marks of a setting, and
    each reading's own scatter.
    """
    modeled = weighed[0].model
    wanted = np.diag(np.square(scatter(WEIGHED, Everyday(), 500.0)))
    for state in everyday_states(modeled.traces, Everyday()).values():
        seen = modeled.traces.stations.matrix() @ state
        wanted += np.outer(seen, seen)
    for lines in (range(6), range(6, 12), range(12, 16)):
        zero = 1000.0 * np.isin(np.arange(len(WEIGHED)), lines)
        wanted += np.outer(zero, zero)
    for line, turn in zip(range(12, 16), FOURTHS, strict=True):  # a height falls by 18 sin a radian
        wanted[line, line] += (Everyday().mark * 18e3 * np.radians(np.sin(np.radians(turn)))) ** 2
    assert modeled.ordinary == pytest.approx(wanted, rel=1e-6, abs=1e-6)


# ordinary errors


def test_each_reading_scatters_by_its_own_gauge():
    kinds = {
        "dial": "dial", "center": "dial", "diameter": "micrometer", "height": "height_gauge",
        "spacer": "spacer_check", "hole": "hole_check", "test bar": "bar_check",
        "yield": "yield_check", "warmth": "warmth_check", "warmth at cut": "warmth_felt",
    }  # fmt: skip
    sizes = {one.name: 2.0 + place for place, one in enumerate(fields(Everyday))}
    everyday = Everyday(**sizes)
    rows = [Row(kind, MAIN_1) for kind in kinds]
    assert scatter(rows, everyday, 500.0).tolist() == [sizes[name] for name in kinds.values()]
    thrust = scatter([Row("thrust", MAIN_1)], everyday, 500.0)  # a share of the thrust
    assert thrust.tolist() == [500.0 * sizes["thrust_check"]]
    wide = everyday.widened(1.5)
    assert [getattr(wide, name) for name in sizes] == [1.5 * size for size in sizes.values()]


def test_an_ordinary_error_twice_as_large_leaves_twice_as_much_of_its_own():
    """Every field of Everyday moves the states it names and no other, in proportion; a thrust set by
    feel by its factor.
    """
    rows = (*told(ORGAN), Row("yield", MAIN_1, end="left"))
    traces = Traces(ORGAN, made(ORGAN), Stations(ORGAN, rows))
    plain, moved = everyday_states(traces, Everyday()), {}
    for one in fields(Everyday):
        size = getattr(Everyday(), one.name)
        states = everyday_states(traces, replace(Everyday(), **{one.name: 2 * size}))
        assert list(states) == list(plain)
        for name, state in states.items():
            if not np.allclose(state, plain[name], atol=1e-12):
                times = 2.0
                if one.name == "thrust":  # exp(2 x 0.5) - 1 over exp(2 x 0.25) - 1
                    times = (np.e - 1) / (np.exp(0.5) - 1)
                abs_tol = 0.02 * abs(state).max() if "misfit" in name else 1e-9
                assert state == pytest.approx(times * plain[name], abs=abs_tol), name
                moved.setdefault(one.name, set()).add(name)
    both, ends = ("y", "z"), ("left", "right")
    pieces = [f"main {k}" for k in range(4)] + [f"pin {k}" for k in range(3)]
    pieces = [one for one in pieces if one not in ("main 1", "main 2")]  # nothing is read on these
    wanted = {
        "size_aimed": {f"size {one}" for one in pieces},
        "taper": {"taper main 0"},  # all else is read in its middle
        "lobes": {f"lobes {k} {one} {part}" for k in (2, 3) for one in pieces for part in both},
        "center": {f"{way} on {end} {part}" for way in ("cut", "read") for end in ends
                   for part in both}
        | {f"read on pin {k} {part}" for k in range(3) for part in both}
        | {f"center {part}" for part in both},
        "misfit": {f"misfit {k}" for k in range(3)},
        "thrust": {"thrust"} | {f"pin thrust {k}" for k in range(3)},
        "hole": {f"hole {place} {end} {part}" for place in ("main 0", "pin 0", "pin 1", "pin 2")
                 for end in ends for part in both},
        "end_turned": {"ends turned"}, "set_over": {"set over"},
        "warmth": {"warm when cut", "warm when measured"},
        "bow": {f"bow {k} {part}" for k in range(3) for part in both},
        "force": {"force", "force on soft centers"}, "yielding": {"yielding"},
        "vee": {"lift 0", "lift 1"},
        "seat": {f"seat {side} {k} {part}" for side in (0, 1) for k in (2, 3) for part in both},
    }  # fmt: skip
    assert set(moved) == set(wanted)
    for name, states in wanted.items():
        assert moved[name] == states, name


# what to measure next


def futures_of(means, deviation=1.0, chances=None):
    """What each cause says of readings to come: independent, of one deviation."""
    means = np.array(means, float)
    chances = np.full(len(means), 1 / len(means)) if chances is None else chances
    spread = deviation**2 * np.eye(means.shape[1])
    return [
        SimpleNamespace(chance=chance, hypothesis=(place,), mean=mean, covariance=spread)
        for place, (chance, mean) in enumerate(zip(chances, means, strict=True))
    ]


def ranked(monkeypatch, ahead, minutes, counts=None):
    """Offers of so many rows and minutes each, by their number, as they are ranked."""
    counts = counts or [1] * len(minutes)
    offers = [
        Proposal(str(place), (None,) * count, each)
        for place, (count, each) in enumerate(zip(counts, minutes, strict=True))
    ]
    wide = SimpleNamespace(rows=(None,) * (2 + sum(counts)))
    asked = []

    def futures(model, measured, wanted, *rest):
        asked.append((model, list(measured), list(wanted)))
        return ahead

    monkeypatch.setattr(next_measurement, "futures", futures)
    parts = [SimpleNamespace(hypothesis=one.hypothesis) for one in ahead]
    found = best(wide, [0, 1], None, None, parts, offers)
    assert asked == [(wide, [0, 1], list(range(2, 2 + sum(counts))))]
    return {int(one.words): one.expected for one in found}


@pytest.mark.parametrize("apart", [0.5, 2.0, 6.0])
@pytest.mark.parametrize("chances", [(0.5, 0.5), (0.3, 0.7), (0.9, 0.1), (0.25, 0.45, 0.3)])
def test_the_chance_that_the_truth_stands_first_is_an_integral(apart, chances, monkeypatch):
    """Whoever names the likeliest cause is right where its density is the highest: the integral of
    the highest, here of one reading of deviation 2; a reading that all causes say alike tells
    nothing. Stated to 0.02, one deviation.
    """
    means = [[0.0, 2 * apart * place] for place in range(len(chances))]
    found = ranked(monkeypatch, futures_of(means, 2.0, chances), [5, 5])

    def highest(x):
        return max(
            chance * norm.pdf(x, mean, 2.0)
            for chance, (_, mean) in zip(chances, means, strict=True)
        )

    wanted, _ = quad(highest, -20, 50, limit=400, points=[mean for _, mean in means])
    assert found[0] == pytest.approx(max(chances), abs=1e-9)
    assert found[1] == pytest.approx(wanted, abs=0.04)


def test_several_readings_of_one_offer_are_told_together(monkeypatch):
    """Four readings of deviation 1 that are each 1 apart tell as one of deviation 1 that is 2 apart:
    of two causes alike likely the normal law at 1 is right, 0.841; one reading alone at 1/2, 0.691.
    """
    means = [[0.0] * 5, [1.0] * 5]
    found = ranked(monkeypatch, futures_of(means), [5, 5], [4, 1])
    assert found[0] == pytest.approx(norm.cdf(1.0), abs=0.05)
    assert found[1] == pytest.approx(norm.cdf(0.5), abs=0.05)


def test_causes_of_several_parts_are_one_cause(monkeypatch):
    """Of three parts alike two are of one cause: telling these apart tells nothing."""
    ahead = futures_of([[0, 0, 0], [9, 0, 0], [0, 9, 0]])
    ahead[1].hypothesis = ahead[0].hypothesis
    found = ranked(monkeypatch, ahead, [5, 5, 5])
    assert found == pytest.approx({0: 2 / 3, 1: 1, 2: 2 / 3}, abs=0.01)  # of 160


@pytest.mark.parametrize(
    ("causes_told", "alike", "quick_first"),
    [
        # twenty alike: worth 2/20 before, 2 with all told; each one not told apart takes 2/20
        (20, 2, True),
        (20, 3, False),
        # two alike: worth 1 before and 2 after
        (2, 2, False),
    ],
)
def test_the_quicker_of_two_measurements_that_tell_nearly_as_much(
    causes_told, alike, quick_first, monkeypatch
):
    """One tells all causes apart in 90 minutes, the other all but some in 5: quicker comes first where
    it falls short by a tenth of what is gained, or by what chance may feign.
    """
    slow = 100.0 * np.arange(causes_told)
    quick = 100.0 * np.maximum(np.arange(causes_told), alike - 1)
    loss = 2 * (alike - 1) / causes_told
    assert (loss < max(NEAR * (2 - 2 / causes_told), DOUBT)) == quick_first
    found = ranked(monkeypatch, futures_of(np.transpose([slow, quick, 0 * slow])), [90, 5, 1])
    assert list(found) == ([1, 0, 2] if quick_first else [0, 1, 2])
    assert found[1] == pytest.approx(1 - loss / 2, abs=0.01)
    assert found[2] == pytest.approx(1 / causes_told)


def test_nothing_out_of_the_ordinary_alone_is_worth_its_own_chance():
    """Where no cause is left there is none to be first; where there is, the highest of them."""
    assert next_measurement._worth(np.array([[1.0]]), []) == 1.0
    some = next_measurement._worth(np.array([[0.95], [0.03], [0.02]]), [1, 2])
    assert some == pytest.approx(0.98)


@pytest.mark.parametrize(("crank", "length"), [(PUMP, 140.0), (ORGAN, ORGAN.segments[-1].end)])
def test_a_main_read_within_two_millimeters_of_its_end_is_not_read_there_again(crank, length):
    """Places 4 mm from the ends of a main, on short ones a fifth of it."""
    for main, piece in enumerate(one for one in crank.segments if one.kind == "journal"):
        room = min(4.0, piece.length / 5)
        for side, at, inward in (
            ("left", piece.start + room, 1), ("right", piece.end - room, -1),
        ):  # fmt: skip
            for off, again in ((0.0, False), (1.9, False), (2.1, True)):
                place = ("main", main)
                rows = rows_on(place, at + inward * off)
                words = f"read main {main + 1} near its {side} end"
                offers = [one.words for one in proposals(crank, making_of(crank), rows)]
                assert any(words in one for one in offers) == again
                other = rows_on(("main", (main + 1) % 2), at)
                offers = [one.words for one in proposals(crank, making_of(crank), other)]
                assert any(words in one for one in offers)
                cold = rows_on(place, at, state="cold")
                offers = [one.words for one in proposals(crank, making_of(crank), cold)]
                assert any(words in one for one in offers)


def test_what_is_read_again_takes_its_settings_times():
    """Six minutes a setting; 90 more until it is cold, one setting of each main or pin read."""
    rows = rows_on(MAIN_1, 12.0) + rows_on(MAIN_1, 30.0) + rows_on(("main", 1), 100.0)
    found = {one.words: one for one in proposals(PUMP, making_of(PUMP), rows)}
    again = found["set the dial up again and read main 1 again"]
    assert again.minutes == 12 and len(again.rows) == 24
    assert {row.at for row in again.rows} == {12.0, 30.0}
    assert found["set the dial up again and read main 2 again"].minutes == 6
    cold = found["read main 1 and main 2 again when the crank is as cold as the shop"]
    assert cold.minutes == 90 + 12
    assert {(row.at, row.state) for row in cold.rows} == {(12.0, "cold"), (100.0, "cold")}
    one = next(o for o in proposals(PUMP, making_of(PUMP), rows[:4]) if "as cold" in o.words)
    assert one.minutes == 96


# what a hidden crank reads


class Even:
    """Random numbers that are known: every normal one, every even one, every one of Student's."""

    def __init__(self, normal=0.0, even=0.25, student=0.0):
        self.normal, self.even, self.student = normal, even, student

    def standard_normal(self, count=None):
        return self.normal if count is None else np.full(count, self.normal)

    def standard_t(self, freedom, count):
        self.freedom = freedom
        return np.full(count, self.student)

    def random(self):
        return self.even

    def integers(self, low, high):
        return low


class Known(dict):
    """Numbers of a hidden crank: those given, and none of what else is ordinary."""

    def __contains__(self, name):
        return True

    def __missing__(self, name):
        return 0.0


def hidden(crank, *faults, normal=0.0, even=0.25, student=0.0, kept=None, **latent):
    known = Known({name.replace("_", " "): size for name, size in latent.items()})
    dice = Even(normal, even, student)
    return Hidden(crank, made(crank), faults, known, dice, {} if kept is None else kept)


def exact(true, rows):
    """What is there to be read, no mark off and no gauge's scatter, zero or rounding."""
    stations = true.traces(rows)[0].stations
    return stations.matrix() @ true.state(rows) + nominal(true.crank, rows)


READ = (*told(PUMP), Row("warmth", MAIN_1), Row("test bar", MAIN_1))
WORN = ("center worn at cut", "left", 333.3 + 100j)


def test_gauges_are_read_to_their_division():
    """Dial, cone and micrometer to a micrometer, heights to ten; checks as they are."""
    true = hidden(PUMP, WORN)
    there, found = exact(true, READ), true.measure(READ).values
    division = {"dial": 1, "center": 1, "diameter": 1, "height": 10}
    for row, one, value in zip(READ, there, found, strict=True):
        step = division.get(row.kind)
        assert value == (pytest.approx(step * round(one / step)) if step else pytest.approx(one))
    assert any(abs(one - round(one)) > 0.2 for one in there)


def test_a_gauge_scatters_by_its_share_and_has_its_own_zero():
    """One of Student's numbers of five degrees of freedom over their deviation, by four fifths of the
    scatter assumed; a zero of 100 um a setting where there is one to set.
    """
    student = hidden(PUMP, WORN, student=3.0)
    own = scatter(READ, Everyday(), 500.0)
    off = student.measure(READ).values - exact(student, READ)
    assert student.random.freedom == 5
    division = {"dial": 1, "center": 1, "diameter": 1, "height": 10}
    wanted = 3.0 * 0.8 * own / student_t(5).std()
    for row, one, size in zip(READ, off, wanted, strict=True):
        assert one == pytest.approx(size, abs=division.get(row.kind, 0) / 2 + 1e-6)
    flat = (*rows_on(MAIN_1, 12.0, turns=(0.0,)), *READ[-2:])  # nothing of a mark a little off
    zeroed = hidden(PUMP, normal=0.37).measure(flat).values - exact(hidden(PUMP), flat)
    assert zeroed == pytest.approx([37, 0, 0], abs=0.6)


class Rising(Even):
    """Normal numbers one after the other: 0.1, 0.2 and so on, of which rows get none."""

    def standard_normal(self, count=None):
        if count is not None:
            return np.zeros(count)
        self.normal += 0.1
        return self.normal


def test_marks_are_off_together_in_a_setting():
    """A number is drawn for each reading, and the first of a setting counts: the first setting's mark
    is off by 0.26 deg, the second's by 0.78; the pin's two marks under the height gauge by 0.15 and
    0.21 deg, each for both ends. Then each setting's zero is drawn alike.
    """
    rows = rows_on(MAIN_1, 12.0, turns=(60, 90)) + rows_on(MAIN_1, 30.0, turns=(60, 90))
    rows += tuple(
        Row("height", ("pin", 0), x, turn, ("vees", 90.0)) for turn in (90, 270) for x in (62, 78)
    )
    true = Hidden(PUMP, made(PUMP), (WORN,), Known(), Rising(), {})
    found = true.measure(rows).values
    turns = np.array([60, 90, 60, 90, 90, 90, 270, 270.0])
    turns[:4] += simulate.SERIES_MARK_ERROR * np.array([0.1, 0.1, 0.3, 0.3])
    turns[4:] += 1.2 * Everyday().mark * np.array([0.5, 0.5, 0.7, 0.7])
    stations = true.traces(rows)[0].stations
    wanted = stations.matrix(turns) @ true.state(rows) + nominal(PUMP, rows, turns)
    wanted += 100 * np.array([0.9, 0.9, 1.1, 1.1, 1.3, 1.3, 1.3, 1.3])
    assert found == pytest.approx(wanted, abs=5.01)
    assert found[:4] == pytest.approx(wanted[:4], abs=0.51)
    each = hidden(PUMP, WORN, normal=0.5).measure(rows[:2]).values - 50  # and each mark by itself
    there = hidden(PUMP, WORN)
    off = turns[:2] - simulate.SERIES_MARK_ERROR * 0.1
    off += 0.5 * (simulate.MARK_ERROR + simulate.SERIES_MARK_ERROR)
    there = there.traces(rows[:2])[0].stations.matrix(off) @ there.state(rows[:2])
    assert each == pytest.approx(there, abs=0.51)


def test_marks_of_chatter_are_seen_nine_times_in_ten():
    rows = (Row("marks", MAIN_1, 22.5), Row("marks", ("pin", 0), 70.0))
    for even, seen in ((0.005, (8, 8)), (0.02, (8, 0)), (0.89, (8, 0)), (0.91, (0, 0))):
        true = Hidden(PUMP, made(PUMP), (("chatter", MAIN_1, 5.0),), {}, Even(even=even), {})
        assert tuple(true._marks(row.place) for row in rows) == seen
        assert tuple(true.measure(rows).values) == seen  # the same crank each time


@pytest.mark.parametrize("crank", [PUMP, ORGAN], ids=("pump", "organ"))
def test_each_ordinary_error_is_added_by_its_own_number(crank):
    """Two of one and none of all others: twice its deviation. A thrust set by feel is its factor, a
    spacer as long as it is; the give of the work is off by its share in all that bends.
    """
    rows, kept = (*told(crank), Row("yield", MAIN_1, end="left")), {}
    traces, everyday = hidden(crank, kept=kept).traces(rows)
    usual = hidden(crank, kept=kept).state(rows)
    for name, state in everyday.items():
        if name.startswith(("thrust", "misfit", "pin thrust")):
            continue
        found = hidden(crank, kept=kept, **{name: 2.0}).state(rows)
        assert found - usual == pytest.approx(2 * state, abs=1e-6), name
    squeezed = {
        "thrust": traces.squeezed(500 * np.exp(0.5), {}) - traces.squeezed(500, {}),
        "misfit 0": traces.squeezed(500, {0: 4.0}) - traces.squeezed(500, {}),
        "pin thrust 0": traces.pin_squeezed(0, 300 * np.exp(0.5) - 300),
    }
    for name, state in squeezed.items():
        found = hidden(crank, kept=kept, **{name: 2.0}).state(rows)
        assert found - usual == pytest.approx(state, abs=1e-6), name
    axis = slice(0, 7 * len(traces.stations.keys))
    bends = traces.squeezed(500, {})
    for throw in range(len(crank.throws)):
        bends = bends + traces.pin_squeezed(throw, 300)
    for fault, state in {
        ("push-off barrel", None, 100.0): traces.pushed(100.0, False, True),
        ("push-off hourglass", None, 100.0): traces.pushed(100.0, True, True),
        ("uneven stiffness", None, 100.0): traces.pushed(100.0, False, False),
        ("dog pulls", None, 100j): traces.dog(100j),
        ("stress released", 0, 20j): 0 * bends,
    }.items():
        soft, firm = (
            hidden(crank, fault, kept=kept, compliance=one).state(rows) for one in (0.05, 0.0)
        )
        assert (soft - firm)[axis] == pytest.approx(0.05 * (bends + state)[axis], abs=1e-9)
        assert (soft - firm)[axis.stop :] == pytest.approx(0, abs=1e-9)


def test_what_goes_with_a_fault_is_drawn_by_its_size():
    """Lobes of a worn center 0.35 of its offset either way; each pin put back on a live center at any
    angle, between no and twice its error aside; dirt 0.35 of what lifts the vee.
    """
    rows, kept = told(ORGAN), {}

    def left(*fault):
        one, none = (
            Hidden(ORGAN, made(ORGAN), some, {"compliance": 0.0}, Even(0.5, 0.25), kept)
            for some in ((fault,), ())
        )
        return one.state(rows, ordinary=False) - none.state(rows, ordinary=False)

    traces = hidden(ORGAN, kept=kept).traces(rows)[0]
    two = 0.35 * 20 * (0.5 + 0.5j)
    for cause, during in (("center worn at cut", "cut"), ("center worn now", "now")):
        wanted = traces.center_off("right", 20j, two, two, during)
        assert left(cause, "right", 20j) == pytest.approx(wanted)
    aside = 2 * 20 * 1j * np.sin(np.pi / 4)
    assert left("live center", None, 20j) == pytest.approx(traces.live_center(20j, [aside] * 3))
    for side in (0, 1):
        dirt = {f"seat {side} {order} {part}": 0.35 * 20 * 0.5 for order in (2, 3) for part in "yz"}
        wanted = traces.stations.vector(**dirt, **{f"lift {side}": -20.0})
        assert left("seat or vee", side, -20.0) == pytest.approx(wanted)


@pytest.mark.parametrize("crank", [PUMP, ORGAN, in_line()], ids=("pump", "organ", "in line"))
def test_every_place_of_a_cause_has_its_hypothesis(crank):
    """Where a fault can be drawn is where it is looked for, by the same name."""
    rows = told(crank)
    looked = defaultdict(dict)
    for one in Model(crank, made(crank), rows).hypotheses:
        looked[one.cause][one.detail] = one.where
    for cause in usual_table():
        drawn_at = {}
        for place in places_of(cause, crank, made(crank), rows):
            name = where_named(cause, place)
            name = name.replace("main last", f"main {len(crank.journals)}")
            detail = place if cause == "center out of place" else (place,)
            drawn_at[() if place is None else detail] = name
        assert looked[cause] == drawn_at, cause


# traces by another way


@pytest.mark.parametrize("name", ["pump", "compressor", "organ"])
def test_a_push_off_follows_the_tensor_of_give(name):
    """What gives c toward 0, 45 and 90 degrees gives toward 20 what a tensor does: the mean and a
    second lobe. Diameters miss twice the mean; a cutting force twice as large, square to the passive
    one, turns the lobe by arctan 2 and makes it root 5 as large.
    """
    crank = Crank.load(name)
    making, turn = made(crank), 20.0
    places = [(("main", 0), 0.7), (("main", 1), 0.4)]
    places += [(("pin", throw), 0.3) for throw in range(len(crank.throws))]
    for place, share in places:
        kind = {"main": "journal", "pin": "pin"}[place[0]]
        piece = next(p for p in crank.segments if (p.kind, p.index) == (kind, place[1]))
        at = piece.start + share * piece.length
        on = MAIN if place[0] == "main" else place
        rows = rows_on(place, at, on, turns=(turn, turn + 90, turn + 45, turn + 135))
        rows += rows_on(place, at, kind="diameter", turns=(0.0, 90.0))
        traces = Traces(crank, making, Stations(crank, rows))
        held = "main" if place[0] == "main" else place[1]
        for soft in (False, True):
            found = traces.stations.matrix() @ traces.pushed(100.0, soft)
            centers = making.center_stiffness if soft else None
            setup = deflection.Setup(
                held=held, left_center=centers, right_center=centers,
                spacers=tuple(one for one in making.spacers if one.throw != held),
            )  # fmt: skip
            give = [
                deflection.radial_compliance(
                    crank, Quantity(at, "mm"), Quantity(one, "deg"), setup
                ).m_as("um/N")
                for one in (turn, turn + 90, turn + 45, turn + 135)
            ]
            assert give[0] + give[1] == pytest.approx(give[2] + give[3])
            along, across = 50 * (give[0] - give[1]), 50 * (give[2] - give[3])
            # at the mark under the tool the passive force leaves the lobe's cosine; the cutting
            # force, twice it, the lobe an eighth of a turn on
            wanted = [along + 2 * across, -along - 2 * across, across - 2 * along]
            assert found[:4] == pytest.approx([*wanted, 2 * along - across], abs=1e-9)
            assert found[4:].mean() == pytest.approx(100 * (give[0] + give[1]))


@pytest.mark.parametrize("name", ["pump", "compressor", "organ"])
def test_a_pin_is_squeezed_on_its_own_centers(name):
    """Its own gap empty, spacers in the others; nothing is left on mains or on other pins."""
    crank = Crank.load(name)
    rows = tuple(
        Row("dial", ("pin", piece.index), piece.start + share * piece.length, turn,
            ("pin", piece.index))
        for piece in crank.segments if piece.kind == "pin"
        for share in (0.2, 0.8) for turn in (0.0, 90.0)
    )  # fmt: skip
    making = made(crank)
    traces = Traces(crank, making, Stations(crank, rows))
    for throw in range(len(crank.throws)):
        found = traces.stations.matrix() @ traces.pin_squeezed(throw, 300.0)
        fitted = [one for one in making.spacers if one.throw != throw]
        squeezed = spacers.squeeze(crank, Quantity(300, "N"), fitted, held=throw)
        at = sorted({row.at for row in rows if row.place == ("pin", throw)})
        wanted = np.zeros(len(rows))
        wanted[4 * throw : 4 * throw + 4] = squeezed.offset(Quantity(at, "mm")).m_as("um").ravel()
        assert found == pytest.approx(wanted, rel=1e-6, abs=1e-9) and abs(found).max() > 1


@pytest.mark.parametrize("crank", [PUMP, ORGAN], ids=("pump", "organ"))
def test_warm_work_presses_against_its_centers(crank):
    """Cut with spacers in, which warm with it: thrust by degree adds to the tailstock's. Measured
    without them: bent while it is read, so the other way, on main centers and on a pin's.
    """
    pin = ("pin", 0)
    rows = rows_on(MAIN_1, 12.0) + rows_on(MAIN_1, 12.0, state="cold")
    rows += rows_on(pin, middle_of(crank, pin), pin) + rows_on(MAIN_1, 12.0, ("vees", 90.0))
    making = made(crank)
    traces = Traces(crank, making, Stations(crank, rows))
    packed, bare = (
        heat.thrust_per_degree(crank, fitted, machine_stiffness=making.center_stiffness)
        for fitted in (making.spacers, ())
    )
    degrees = Quantity(10.0, "delta_degC")
    cut = traces.stations.matrix() @ traces.warm_cut(10.0)
    more = spacers.squeeze(crank, making.thrust + packed * degrees, making.spacers)
    less = spacers.squeeze(crank, making.thrust, making.spacers)
    at = Quantity(12.0, "mm")
    y, z = (more.offset(at) - less.offset(at)).m_as("um")
    assert cut[:8] == pytest.approx([y, z, -y, -z] * 2)
    now = traces.stations.matrix() @ traces.warm_now(10.0)
    y, z = spacers.squeeze(crank, bare * degrees).offset(at).m_as("um")
    assert now[:8] == pytest.approx([-y, -z, y, z, 0, 0, 0, 0]) and abs(y) > 0.5
    at = Quantity(middle_of(crank, pin), "mm")
    y, z = spacers.squeeze(crank, bare * degrees, held=0).offset(at).m_as("um")
    assert now[8:] == pytest.approx([-y, -z, y, z, 0, 0, 0, 0], abs=1e-9) and abs(y) > 1


@pytest.mark.parametrize(
    ("sizes", "wanted"),
    [
        # throw 18, pin 18, fillet 1.5: 2 (18 - 9 - 1.5) = 15 mm from the axis to the pin's fillet
        ({}, 15),
        ({"pin_diameter": 19.1}, 13),  # 13.9
        ({"radius": 30.0, "web_width": 50.0}, 28),
        ({"radius": 30.0, "web_width": 50.0, "web_reach": 12.3}, 24),
        ({"radius": 30.0, "web_width": 25.5}, 25),
        ({"radius": 12.0}, 3),
        ({"radius": 11.9}, None),
    ],
)
def test_a_spacer_is_as_thick_as_its_throw_has_room(sizes, wanted):
    """The least of twice the way to the pin's fillet, twice the web's reach and its width."""
    crank = PUMP.with_throw(**{name: Quantity(size, "mm") for name, size in sizes.items()})
    found = making_of(crank).spacers
    assert [one.diameter.m_as("mm") for one in found] == ([wanted] if wanted else [])
    assert all(one.throw == 0 and one.misfit.m_as("um") == 0 for one in found)


@pytest.mark.parametrize(("off", "named"), [(11.9, False), (12.1, True), (-12.1, True)])
def test_a_reading_is_misread_from_six_scatters_on(off, named):
    """Twelve marks on a true main, one 2 um a deviation: the waves through the others miss a reading
    by its own error. Where the dial climbs by 2 um a mark's scatter it may be root 2 times as much.
    """
    rows = rows_on(MAIN_1, 12.0, turns=np.arange(0.0, 360.0, 30.0))
    everyday = replace(Everyday(), dial=2.0, dial_mark=2.0)
    modeled = Model(PUMP, made(PUMP), rows, everyday=everyday)
    values = np.zeros(12)
    values[3] = off
    assert modeled.misread(values) == ((rows[3],) if named else ())
    climbs = np.degrees(1.0) * np.cos(np.radians(np.arange(0.0, 360.0, 30.0)))  # 1 um/deg at 90
    for times, missed in ((0.99, False), (1.01, True)):
        values = climbs.copy()
        values[3] += times * 6 * np.hypot(2.0, 2.0)
        assert (modeled.misread(values) == (rows[3],)) == missed


@pytest.mark.parametrize("crank", [PUMP, ORGAN], ids=("pump", "organ"))
def test_what_is_advised_first_is_read_where_and_how_it_says(crank):
    """Every offer's rows, nothing measured yet: whole turns of twelve marks 4 mm from the ends (a
    fifth of a short piece), three places and angles of a micrometer, four marks of a height from the
    pin's own on, the cone at six marks.
    """
    throws = range(len(crank.throws))

    def ends(place):
        kind = {"main": "journal", "pin": "pin"}[place[0]]
        piece = next(p for p in crank.segments if (p.kind, p.index) == (kind, place[1]))
        room = min(4.0, piece.length / 5)
        return piece.start + room, piece.end - room

    turns = [30.0 * k for k in range(12)]
    mains, pins = [("main", k) for k in range(len(throws) + 1)], [("pin", k) for k in throws]
    wanted = [rows_on(place, at, turns=turns) for place in mains for at in ends(place)]
    wanted += [
        sum((rows_on(place, at, place, turns=turns) for at in ends(place)), ()) for place in pins
    ]
    outer = (mains[0], mains[-1])
    wanted += [sum((rows_on(one, ends(one)[0], ("vees", 90.0), turns=turns) for one in outer), ())]
    for places in (mains, pins):
        spots = [(one, at) for one in places for at in (*ends(one), sum(ends(one)) / 2)]
        wanted += [
            sum((rows_on(one, at, kind="diameter", turns=(0, 60, 120)) for one, at in spots), ())
        ]
    for on in (("vees", 90.0), MAIN):
        wanted += [
            tuple(
                Row("height", pin, at, crank.throws[pin[1]].angle.m_as("deg") + turn, on)
                for pin in pins for at in ends(pin) for turn in FOURTHS
            )
        ]  # fmt: skip
    cone = tuple(Row("center", MAIN_1, angle=turn) for turn in range(0, 360, 60))
    bar = (Row("test bar", MAIN_1), *(Row("yield", MAIN_1, end=one) for one in ("left", "right")))
    holes = tuple(
        Row("hole", place, angle=turn, end=end)
        for place in (MAIN_1, *pins) for turn in (0.0, 90.0) for end in ("left", "right")
    )  # fmt: skip
    wanted += [tuple(Row("spacer", ("throw", k)) for k in throws)]
    wanted += [tuple(Row("thrust", place) for place in (MAIN_1, *pins))]
    wanted += [(Row("warmth", MAIN_1),), cone, (*cone, *bar), holes]

    def set_of(rows):
        return {replace(row, at=round(row.at, 6), angle=float(row.angle)) for row in rows}

    found = list(proposals(crank, making_of(crank), ()))
    assert [set_of(offer.rows) for offer in found] == [set_of(rows) for rows in wanted]
    assert all(len(offer.rows) == len(set(offer.rows)) for offer in found)


def test_causes_that_scatter_differently_are_told_apart_by_how_far_off_it_is(monkeypatch):
    """Of one mean, deviations of 1 and 5; and two readings that go together (0.9) told apart by their
    difference: 1 up and 1 down are root 20 deviations, half of them each side.
    """
    ahead = futures_of([[0.0], [0.0]])
    ahead[1].covariance = np.array([[25.0]])
    found = ranked(monkeypatch, ahead, [5])

    def highest(x):
        return max(norm.pdf(x) / 2, norm.pdf(x, 0, 5) / 2)

    assert found[0] == pytest.approx(2 * quad(highest, 0, 60, limit=400)[0], abs=0.04)
    ahead = futures_of([[0.0, 0.0], [0.4, -0.4]])
    for one in ahead:
        one.covariance = np.array([[1.0, 0.9], [0.9, 1.0]])
    found = ranked(monkeypatch, ahead, [5], [2])
    assert found[0] == pytest.approx(norm.cdf(0.4 * np.sqrt(20) / 2), abs=0.05)


# what is said of a cause


def test_a_size_is_said_with_its_sign_or_its_direction(monkeypatch):
    """3 - 4i: of free direction 5 toward 360 - 53.13 degrees, else 3 and no direction; 1.96 deviations
    of 2, widened. A unit that is none of the workshop's is micrometers.
    """
    asked = []

    def size_of(weigher, parts, number):
        asked.append(([part.hypothesis for part in parts], number))
        return 3 - 4j, 4.0, 9.0

    monkeypatch.setattr(diagnose, "size_of", size_of)
    names = [
        Hypothesis("chatter", "main 1", "chatter on main 1", 6.0, "um"),
        Hypothesis("dog pulls", "", "dog pulls", 4.0, "N", True),
        Hypothesis("stress released", "throw 1", "stress", 4.0, "usual bow", True),
    ]
    weigher = SimpleNamespace(model=SimpleNamespace(hypotheses=names))
    parts = [SimpleNamespace(hypothesis=one) for one in ((0, 1), (1,), (0, 1), (2,))]
    found = diagnose._found(weigher, parts, (0, 1), 0.3)
    assert asked == [([(0, 1), (0, 1)], 0), ([(0, 1), (0, 1)], 1)]
    assert [one.magnitude for one in found.sizes] == pytest.approx([3, 5])
    assert [one.units for one in found.sizes] == [Quantity(1, unit).units for unit in ("um", "N")]
    spreads = [one.magnitude for one in found.uncertainties]
    assert spreads == pytest.approx([norm.ppf(0.975) * evidence.WIDENED * 2] * 2, rel=1e-4)
    assert found.directions[0] is None
    assert found.directions[1].m_as("deg") == pytest.approx(306.87, abs=0.01)
    assert (found.causes, found.places) == (("chatter", "dog pulls"), ("main 1", ""))
    assert (found.label, found.chance) == ("chatter on main 1, and dog pulls", 0.3)
    (size,) = diagnose._found(weigher, parts, (2,), 0.1).sizes
    assert size.units == Quantity(1, "um").units


def test_axes_are_drawn_as_the_readings_leave_them():
    """Of 600 cranks mean and deviation of the mixture by the textbook: part by part its mean, its
    covariance widened; a new crank has the ordinary ones. One deviation of the mean is a 24th.
    """
    rows = rows_on(MAIN_1, 12.0) + rows_on(MAIN_1, 40.0) + rows_on(("main", 1), 100.0)
    making = made(PUMP)
    weigher = weigher_of(PUMP, making, rows, second=0)
    traces = weigher.model.traces
    values = weigher.model.base + weigher.model.matrix @ traces.center_off("left", 25j)
    found = find_causes(PUMP, Measured(rows, values), weigher=weigher)
    bench, axes = Bench(found), axis_rows(PUMP)
    wide = Model(PUMP, making, rows + axes, measured=len(rows))
    seen, ahead = slice(0, len(rows)), slice(len(rows), None)
    known = wide.ordinary.copy()
    known[seen, seen] += weigher.model.misplaced(values)
    away = values - wide.base[seen]
    for lines in (range(4), range(4, 8), range(8, 12)):
        away[list(lines)] -= np.mean(away[list(lines)])
    chances, means, spreads = [], [], []
    for part in found.parts:
        if part.hypothesis == evidence.NONE:
            continue
        own = [wide.components[one] for one in part.components]
        columns = np.hstack([one.columns for one in own]) if own else np.zeros((len(known), 0))
        mean, whole = (
            sum(one.mean for one in own) + np.zeros(len(known)),
            known + columns @ columns.T,
        )
        pull = whole[ahead, seen] @ np.linalg.inv(whole[seen, seen])
        chances.append(part.chance)
        means.append(wide.base[ahead] + mean[ahead] + pull @ (away - mean[seen]))
        spreads.append(whole[ahead, ahead] - pull @ whole[seen, ahead])
    chances = np.array(chances) / sum(chances)
    middle = chances @ means
    off = np.array(means) - middle
    spread = evidence.WIDENED**2 * np.einsum("p,pij->ij", chances, spreads)
    spread += (off * chances[:, None]).T @ off
    base, usual = wide.base[ahead], evidence.WIDENED**2 * wide.ordinary[ahead, ahead]
    for drawn_axes, mean, around in ((bench.axes, middle, spread), (bench.fresh, base, usual)):
        assert drawn_axes.shape == (600, 9)
        pairs = np.stack([drawn_axes.real, drawn_axes.imag], axis=-1).reshape(600, 18)
        deviation = np.sqrt(np.diag(around))
        assert np.all(abs(pairs.mean(axis=0) - mean) < 5 * deviation / np.sqrt(600))
        assert pairs.std(axis=0) == pytest.approx(deviation, rel=0.15, abs=1e-3)
        apart = pairs[:, 0] - pairs[:, 4]
        wanted = around[0, 0] + around[4, 4] - 2 * around[0, 4]
        assert apart.std() == pytest.approx(np.sqrt(wanted), rel=0.15)
    pieces = [one for one in PUMP.segments if one.kind != "web"]
    at = [one.start + share * one.length for one in pieces for share in (0, 0.5, 1)]
    assert bench.share == pytest.approx(np.array(at) / 140)
    assert bench.main.tolist() == [True] * 3 + [False] * 3 + [True] * 3
    assert bench.pin.tolist() == [-1] * 3 + [0] * 3 + [-1] * 3
    worst = [2 * max(abs(one[k]) for k in (0, 1, 2, 6, 7, 8)) for one in bench.axes]
    assert bench.runout(bench.axes) == pytest.approx(worst)


def test_pins_in_one_line_share_their_centers():
    """Two throws at one angle: one axis, so one center at each end for both; no pattern to turn, and
    nothing that the mains could be off against but it.
    """
    crank = in_line()
    both = Model(crank, made(crank), told(crank)).hypotheses
    names = [one.where for one in both if one.cause == "center out of place"]
    assert names == ["pin 1 left", "pin 1 right"]
    assert sum(one.chance for one in both if one.cause == "center out of place") == pytest.approx(
        usual_table()["center out of place"].chance
    )
    length = crank.segments[-1].end
    rows = [Row("height", ("pin", throw), length / 4, 0.0, MAIN) for throw in (0, 1)]
    rows += [Row("hole", ("pin", throw), angle=90.0, end="left") for throw in (0, 1)]
    traces = Traces(crank, made(crank), Stations(crank, rows))
    for throw in (0, 1):
        found = traces.stations.matrix() @ traces.hole(("pin", throw), "left", 40 + 12j)
        assert found == pytest.approx([30, 30, 12, 12])
    states = everyday_states(traces, Everyday())
    assert [name for name in states if "hole pin" in name and name.endswith("y")] == [
        "hole pin 0 left y", "hole pin 0 right y",
    ]  # fmt: skip


@pytest.mark.parametrize("crank", [PUMP, ORGAN, in_line()], ids=("pump", "organ", "in line"))
def test_a_true_crank_is_what_a_hidden_one_without_faults_reads(crank):
    """Squeezed as it was meant to be, on centers of half the tailstock's give, a pin on its own."""
    rows = (*told(crank), *(Row("yield", MAIN_1, end=end) for end in ("left", "right")))
    modeled = Model(crank, made(crank), rows)
    assert modeled.base + modeled.nominal == pytest.approx(exact(hidden(crank), rows))
    way = 0.5 * 200.0 / made(crank).center_stiffness.m_as("N/um")
    assert modeled.base[-2:] == pytest.approx([way, way])


@pytest.mark.parametrize("throw", [0, 1, 2])
def test_a_bow_bends_its_own_throw_alone(throw):
    """Even bends between a and c, ends held: left of them x (1 - m / L), right of them m (L - x) / L,
    m their middle; between them by the integral of both, which is highest somewhere there.
    """
    length = ORGAN.segments[-1].end
    webs = [one for one in ORGAN.segments if one.kind == "web" and one.index == throw]
    a, c = webs[0].start, webs[1].end
    middle, x = (a + c) / 2, np.linspace(a, c, 2001)
    below, above = (x**2 - a**2) / 2, length * (c - x) - (c**2 - x**2) / 2
    highest = (((length - x) * below + x * above) / (length * (c - a))).max()
    at = {("main", main): middle_of(ORGAN, ("main", main)) for main in range(4)}
    rows = tuple(Row("dial", place, x, turn) for place, x in at.items() for turn in (0.0, 90.0))
    traces = Traces(ORGAN, made(ORGAN), Stations(ORGAN, rows))
    found = traces.stations.matrix() @ traces.bowed(throw, 30 - 12j)
    shape = [
        x * (1 - middle / length) if main <= throw else middle * (1 - x / length)
        for (_, main), x in at.items()
    ]
    wanted = np.outer(np.array(shape) / highest, [30, -12]).ravel()
    assert found == pytest.approx(wanted, rel=5e-3)  # of 41 bends


def test_an_ordinary_error_toward_90_degrees_is_the_one_toward_0_turned():
    """A quarter of a turn on, at the next of four marks: two centers at the cut and two now, four
    holes read, three bows, the pin read and the cone.
    """
    rows = rows_on(MAIN_1, 20.0) + rows_on(MAIN_1, 20.0, ("vees", 60.0))
    rows += rows_on(("pin", 1), 100.0, ("pin", 1)) + rows_on(("pin", 0), 54.0, kind="height")
    rows += tuple(
        Row("hole", place, angle=turn, end=end)
        for place in (MAIN_1, ("pin", 0)) for end in ("left", "right") for turn in FOURTHS
    ) + tuple(Row("center", MAIN_1, angle=turn) for turn in FOURTHS)  # fmt: skip
    traces = Traces(ORGAN, made(ORGAN), Stations(ORGAN, rows))
    states, turned = everyday_states(traces, Everyday()), 0
    for name, state in states.items():
        if not name.endswith(" y") or name.startswith(("lobes", "seat")):
            continue
        along, across = (
            (traces.stations.matrix() @ one).reshape(-1, 4)
            for one in (state, states[name[:-1] + "z"])
        )
        assert across == pytest.approx(np.roll(along, 1, axis=1), abs=1e-9), name
        turned += bool(along.any())
    assert turned == 2 + 2 + 4 + 3 + 1 + 1


def test_what_may_be_allowed_is_above_nothing():
    fine = Quantity(0.05, "um")
    assert making_of(PUMP, allowed_runout=fine, thrust=Quantity(0, "N")).allowed_runout == fine
    with pytest.raises(ValueError, match="allowed_runout"):
        making_of(PUMP, allowed_runout=Quantity(0, "um"))
    for name in ("thrust", "pin_thrust"):
        with pytest.raises(ValueError, match=name):
            making_of(PUMP, **{name: Quantity(-1, "N")})

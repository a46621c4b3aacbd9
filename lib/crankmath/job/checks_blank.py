"""Checks of the blank: motion, bar, locked-in stress, centers, swing."""

from ..blank import center_holes, layout, locked_in_stress
from ..crank import motion
from ..units import Quantity
from .verdicts import Found, Number, by_share, check, said_of, shown, worst
from ..workpiece.rules import size_of_bar

SHORTEST_ROD = 3.0  # throws; own choice: below it the harmonics left out pass 2 % of the force
CLEAR = Quantity(3.0, "mm")  # a hand's care between swinging bar and lathe: own choice


@check("motion")
def check_motion(work):
    rod, units = work.rod_length, work.units
    strokes = [motion.dead_centers(throw.radius, rod).stroke for throw in work.crank.throws]
    longest = max(throw.radius for throw in work.crank.throws)
    ratio = (rod / longest).m_as("dimensionless")
    late = motion.position_error(
        Quantity(90.0, "deg"), longest, rod, phase_error=work.job["phase_tolerance"]
    )
    numbers = [
        Number(f"stroke of throw {n}", stroke, "length") for n, stroke in enumerate(strokes, 1)
    ]
    numbers += [
        Number("rod over throw", ratio, "plain"),
        Number("shift of the piston at half turn by the angle allowed", abs(late), "fine"),
    ]
    if work.job["machine"] in ("liquid pump", "air compressor"):
        numbers.append(
            Number(
                "swept volume, each throw",
                motion.swept_volume(work.job["bore"], longest, rod),
                "volume",
            )
        )
    short = ratio < SHORTEST_ROD
    words = (
        "a short rod: side force and second-order shaking are large"
        if short
        else "long enough to run smoothly"
    )
    return Found(
        "look" if short else "fine",
        f"Stroke {shown(max(strokes), 'length', units)}; the rod is {ratio:.2g} throws, {words}.",
        tuple(numbers),
    )


@check("bar")
def check_bar(work):
    least, units = work.smallest_bar, work.units
    need = f"The crank needs a {least.shape} bar of {size_of_bar(least, units)} × {shown(least.length, 'length', units)}"
    numbers = [
        Number("least width", least.width, "length"),
        Number("least height", least.height, "length"),
        Number("length", least.length, "length"),
        Number("bow of the bar inside these", least.bow, "length"),
    ]
    own = work.job["bar_size"] is not None
    try:
        one = work.bar
    except ValueError as error:
        return Found(
            "not fine" if own else "cannot tell", f"{need}. {said_of(error)}", tuple(numbers)
        )
    spare = min((one.width - least.width) / 2, (one.height - least.height) / 2)
    mass = work.swung["main"].mass
    numbers += [
        Number("width of the bar", one.width, "length"),
        Number("height of the bar", one.height, "length"),
        Number("spare all around", spare, "length"),
        Number("mass of the bar", mass, "mass"),
    ]
    kept = "Yours" if own else "The next usual size,"
    return Found(
        "fine",
        f"{need}. {kept} {size_of_bar(one, units)} leaves {shown(spare, 'length', units, 2)} more all around and weighs "
        f"{shown(mass, 'mass', units)}.",
        tuple(numbers),
        () if own else (f"the bar is in stock as {size_of_bar(one, units)}: sizes from memory",),
    )


@check("locked_in")
def check_locked_in(work):
    one, allowed = work.bar, work.job["finish_allowance"]
    stages = {name: _rounds(work, kinds) for name, kinds in LOCKED_IN_STAGES.items()}
    bows = {
        name: locked_in_stress.bow_of_pieces(one, work.crank.steel, pieces)
        for name, pieces in stages.items()
    }
    where = max(bows, key=lambda name: bows[name][2])
    low, usual, high = bows[where]
    verdict, words = "fine", "less than what is left for finishing even where the stress is high"
    if high > allowed:
        verdict, words = (
            "look",
            (
                f"and at worst {shown(high, 'fine', work.units, 2)}, more than is left for finishing: "
                "rough all over, let it rest, true the centers, then finish"
            ),
        )
    return Found(
        verdict,
        f"Turning {where} out of the bar usually bows it {shown(usual, 'fine', work.units, 2)}, {words}.",
        (
            Number("place", where, "word"),
            Number("bow, low", low, "fine"),
            Number("bow, usual", usual, "fine"),
            Number("bow, high", high, "fine"),
            Number("bow with all roughed, high", bows["mains and pins"][2], "fine"),
            Number("left for finishing", allowed, "length"),
        ),
        (
            f"stress locked in {work.steel.condition} bar: shares of the yield strength, from memory",
        ),
    )


LOCKED_IN_STAGES = {
    "the mains": ("journal",),
    "the pins": ("pin",),
    "mains and pins": ("journal", "pin"),
}


def _rounds(work, kinds):
    """Rounds turned out of the bar: start, length, diameter and place in its section."""
    stub = (work.bar.length - work.crank.length) / 2
    points = {point.name: point for point in work.layouts[0].points}
    found = []
    for piece in work.crank.segments():
        if piece.kind not in kinds:
            continue
        main = piece.kind == "journal"
        part = (work.crank.journals if main else work.crank.throws)[piece.index]
        point = points["main" if main else work.center_of_pin[piece.index]]
        found.append(
            (
                Quantity(piece.start, "mm") + stub,
                Quantity(piece.length, "mm"),
                part.diameter if main else part.pin_diameter,
                point.from_middle_x,
                point.from_middle_y,
            )
        )
    return found


@check("centers")
def check_centers(work):
    units = work.units
    try:
        hole = work.hole
    except ValueError as error:
        return Found("not fine" if "thrust" in str(error) else "cannot tell", said_of(error))
    rooms = center_holes.hole_room(work.layouts[0], hole)
    edge, beside = min(one.to_edge for one in rooms), min(one.to_next for one in rooms)
    numbers = (
        Number("center hole", f"{hole.standard} {hole.name}", "word"),
        Number("pilot drill", hole.drill, "length"),
        Number("mouth", hole.mouth, "length"),
        Number("least depth", hole.least_depth, "length"),
        Number("pressure on the cone", hole.pressure, "stress"),
        Number("allowed pressure", work.allowed_pressure, "stress"),
        Number("metal to the bar's edge", edge, "length"),
        Number("metal to the next hole", beside, "length"),
    )
    assumed = (
        f"a center that {work.job['center']} bears {shown(work.allowed_pressure, 'stress', units)}: assumed, no source",
    )
    bad = [one.name for one in rooms if not one.fits]
    if bad:
        return Found(
            "not fine",
            f"The center hole of {', '.join(bad)} has no room on the end face ({shown(edge, 'length', units, 2)} to the edge, "
            f"{shown(beside, 'length', units, 2)} to the next): take a larger bar, smaller centers, or throw plates on the ends.",
            numbers,
            assumed,
        )
    return Found(
        "fine",
        f"{'Both' if len(rooms) == 2 else f'All {len(rooms)}'} centers have room on both ends; {hole.standard} {hole.name} holes, "
        f"{shown(hole.mouth, 'length', units)} across, bear the thrust at {shown(hole.pressure, 'stress', units)}.",
        numbers,
        assumed,
    )


@check("swing")
def check_swing(work):
    units, lathe = work.units, work.job.lathe
    if work.bar.length > lathe.between_centers:
        long = (
            Number("bar's length", work.bar.length, "length"),
            Number("most between centers", lathe.between_centers, "length"),
        )
        return Found(
            "not fine",
            f"The bar of {shown(work.bar.length, 'length', units)} is longer than the {shown(lathe.between_centers, 'length', units)} "
            f"between centers of the {lathe.name}.",
            long,
        )
    checks = layout.swing_check(work.layouts[0], lathe, work.job["swing_over_carriage"])
    bed, carriage = (
        min(checks, key=lambda one: one.over_bed),
        min(checks, key=lambda one: one.over_carriage),
    )
    numbers = tuple(Number(f"swing about {one.name}", one.swing, "length") for one in checks) + (
        Number("room over the bed", bed.over_bed, "length"),
        Number("room over the carriage", carriage.over_carriage, "length"),
        Number("room along the bed", lathe.between_centers - work.bar.length, "length"),
    )
    verdict = worst(
        *(
            by_share(-room.m_as("mm"), -CLEAR.m_as("mm"), 0.0)
            for room in (bed.over_bed, carriage.over_carriage)
        )
    )
    if verdict == "not fine":
        on, room = ("bed", bed) if bed.over_bed.magnitude < 0 else ("carriage", carriage)
        short = abs(room.over_bed if on == "bed" else room.over_carriage)
        return Found(
            verdict,
            f"Turned on the center of {room.name} the bar strikes the {on}: {shown(short, 'length', units, 2)} too wide.",
            numbers,
        )
    return Found(
        verdict,
        f"The bar swings clear: {shown(bed.over_bed, 'length', units, 3)} over the bed and "
        f"{shown(carriage.over_carriage, 'length', units, 3)} over the carriage. Turn it once by hand all the same.",
        numbers,
    )


BLANK = (check_motion, check_bar, check_locked_in, check_centers, check_swing)

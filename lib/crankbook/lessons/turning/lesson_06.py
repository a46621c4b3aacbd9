"""Lesson 06, feel the cutting force: its panel and its three questions."""

import warnings
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from crankmath import deflection
from crankmath.cutting import speeds
from crankmath.forces import drive, edge, kienzle, power
from crankmath.language import _, listed, marked
from crankmath.units import OutOfRangeWarning, Quantity, as_text
from crankmath.wording import ERRORS, capital

from ...lesson import own, own_lathe
from ...lesson.exercise import check_gap, prediction
from ...lesson.finding import Finding, answering
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.crank_drawing import shape
from ...pictures.turning import cut_profile
from .cutting_questions import lobed_diameter as lobed_diameter
from .cutting_questions import main_force as main_force
from .cutting_questions import motor_power as motor_power
from .plan_in_space import workings_of

TOOLS = {
    marked("sharp, fed along"): ("sharp", "turning"),
    marked("worn, fed along"): ("worn", "turning"),
    marked("sharp, plunged straight in"): ("sharp", "grooving"),
}
NOSE = Quantity(0.4, "mm")  # of the tool fed along
PLACES = {marked("main beside the web"): ("journal", 0), marked("first pin"): ("pin", 0)}
NEWTON, WHOLE_TURN = Quantity(1.0, "N"), Quantity(360.0, "deg")
# the heavy cut that sets a picture's scale
REFERENCE = Quantity(1.5, "mm"), Quantity(0.12, "mm"), "sharp, fed along"
PRESETS = {
    name: {"width": Quantity(width, "mm"), "feed": Quantity(feed, "mm"), "tool": tool}
    for name, width, feed, tool in (
        (_("Finishing"), 0.25, 0.06, "sharp, fed along"),
        (_("Roughing"), 1.5, 0.12, "sharp, fed along"),
        (_("Worn edge"), 1.5, 0.12, "worn, fed along"),
        (_("Form tool"), 4.0, 0.03, "sharp, plunged straight in"),
    )
}


def controls():
    """The panel's controls; its list of work begins with the reader's own crank."""
    names = own.names()
    works = tuple(f"{name}, {place}" for name in names for place in PLACES)
    first = works[0] if own.is_own(names[0]) else "pump, main beside the web"
    return (
        Control(
            "width",
            _("Depth of cut, or width plunged"),
            ("mm", 0.05, 6, 0.05),
            ("in", 0.002, 0.24, 0.002),
            Quantity(1.0, "mm"),
            ("um",),
        ),
        Control(
            "feed",
            _("Feed f a turn"),
            ("mm", 0.02, 0.3, 0.005),
            ("in", 0.0008, 0.012, 0.0002),
            Quantity(0.12, "mm"),
            ("um",),
        ),
        Choice("work", _("Crank and place"), works, first),
        Choice("tool", _("Tool"), tuple(TOOLS), next(iter(TOOLS))),
        Control(
            "turn",
            _("Work turned under the tool by"),
            ("deg", 0, 360, 2),
            ("deg", 0, 360, 2),
            WHOLE_TURN,
            plays=60,
        ),
    )


@cache
def table_speed(steel):
    """The tables' cutting speed for roughing a steel with high-speed steel."""
    return speeds.speed_for(steel).speed


def cut_forces(steel, width, feed, tool="sharp, fed along"):
    """Force of a cut, edge square to the work, at the tables' speed, as ``forces.Components``.

    ``width`` is the depth of cut, or the edge's width where it is plunged; ``feed`` a turn is the
    chip's thickness; ``tool`` one of ``TOOLS``. A cut shallower than the nose pushes more squarely
    away.
    Basis: ``forces``; below 0.1 mm of chip the upper bound of ``forces.thin_chip_force``.
    """
    wear, operation = TOOLS[tool]
    corrections = {"wear": wear, "operation": operation, "cutting_speed": table_speed(steel)}
    share = None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        if feed < Quantity(kienzle.THICKNESS_RANGE[0], "mm"):
            main = (kienzle.thin_chip_force(steel, feed, **corrections)[1] * width * feed).to("N")
        else:
            main = kienzle.cutting_force(steel, width, feed, **corrections)
        if operation == "turning":
            share = edge.edge_in_cut(width, feed, NOSE).passive_share
    return kienzle.force_components(main, operation, passive_share=share)


def setup(place):
    """How the work is held: a pin is turned with the centers on its own axis."""
    return deflection.Setup(held=place[1] if place[0] == "pin" else "main")


def shape_errors(crank, place, parts):
    """Mean error in diameter, out-of-round [um], and direction [deg] of the largest diameter.

    ``place`` is ("journal", 0) or ("pin", 0), ``parts`` the ``forces.Components`` there.
    Basis: ``deflection``; rigid centers, driven at the left, a pin on centers of its own.
    """
    held = setup(place)
    return (
        deflection.size_error(crank, place, parts.passive, held),
        deflection.out_of_round(crank, place, parts.passive, parts.cutting, held),
        deflection.large_direction(crank, place, parts.passive, parts.cutting, held),
    )


def _compliances(crank):
    """What one newton does to a crank; it stays with the crank.

    At each of ``PLACES`` the mean error in diameter and the out-of-round [um] and the soft
    direction [deg]; the same two along every main and pin, at shares of the length; the crank in
    outline; and the force of the heavy cut.
    """
    kept = vars(crank)
    if "_cut_compliances" not in kept:
        length, along = crank.length.m_as("mm"), []
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutOfRangeWarning)
            for piece in crank.segments:
                if piece.kind != "web":
                    x = np.linspace(piece.start, piece.end, 9)
                    held = setup((piece.kind, piece.index))
                    inside = Quantity(np.clip(x, piece.start + 1e-6, piece.end - 1e-6), "mm")
                    along.append(
                        (
                            x / length,
                            deflection.size_error(crank, inside, NEWTON, held).m_as("um"),
                            deflection.out_of_round(crank, inside, NEWTON, setup=held).m_as("um"),
                        )
                    )
            at = {
                place: (
                    deflection.size_error(crank, place, NEWTON, setup(place)).m_as("um"),
                    deflection.out_of_round(crank, place, NEWTON, setup=setup(place)).m_as("um"),
                    deflection.soft_direction(crank, place, setup(place)).m_as("deg"),
                )
                for place in PLACES.values()
            }
        part, heavy = shape(crank), cut_forces(crank.steel, *REFERENCE)
        kept["_cut_compliances"] = at, along, _outline(part), part, heavy
    return kept["_cut_compliances"]


def _outline(part):
    """The crank from the side, as shares of its length and of its height."""
    rows, length = part.sides, part.length
    bottom, top = min(row[2] for row in rows), max(row[3] for row in rows)
    high = top - bottom
    return [(a / length, b / length, *((y - bottom) / high for y in ys)) for a, b, *ys in rows]


def items(units, width, feed, work, tool, turn=WHOLE_TURN):
    """What moves in end view and chart, and the finding; ``turn`` is what is cut of a turn."""
    name, where = work.split(", ", 1)
    crank, place = own.load(name), PLACES[where]
    shown, per, load = ("µm", 1.0, "N") if units == "mm" else ("thou", 1 / 25.4, "lbf")
    parts = cut_forces(crank.steel, width, feed, tool)
    at, along, outline, part, heavy = _compliances(crank)
    size, lobes, soft = at[place]
    push, drag = parts.passive.m_as("N"), parts.cutting.m_as("N")
    pull, hard = np.hypot(push, drag), np.hypot(heavy.passive.m_as("N"), heavy.cutting.m_as("N"))
    mean, apart, turned = size * push, lobes * pull, turn.m_as("rad")
    large = (soft - np.degrees(np.arctan2(drag, push)) / 2) % 180
    pieces = [
        (x, per * (size * push - lobes * pull / 2), per * (size * push + lobes * pull / 2))
        for x, size, lobes in along
    ]
    usual = (
        1.4 * per * max(size.max() for _unused, size, _unused in along) * heavy.passive.m_as("N")
    )
    scale = cut_profile.round_scale(max(usual, *(high.max() for *_unused, high in pieces)))
    piece = next(piece for piece in crank.segments if (piece.kind, piece.index) == place)
    x = piece.end if place[0] == "journal" else piece.start + piece.length / 2
    x /= crank.length.m_as("mm")
    drawn = cut_profile.profile_items(
        apart,
        np.radians(large),
        max(row[1] for row in at.values()) * hard,
        1e3 * place_diameter(crank, where).m_as("mm"),
        turned,
        cut_profile.throw_items(part, None if place[0] == "journal" else place[1], turned),
    )
    words = [as_text(one, load, 3) for one in (parts.passive, parts.cutting)]
    drawn += cut_profile.force_items(push / hard, drag / hard, *words, width.m_as(units))
    drawn += cut_profile.along_items(
        pieces, outline, scale, shown, (x, per * (mean - apart / 2), per * (mean + apart / 2))
    )
    asked, errors = planned(name, where, width, feed, tool, parts), (mean, apart, large)
    finding = _finding(crank, where, width, feed, tool, parts, errors, asked, units)
    if turn < WHOLE_TURN:
        swings = np.array([np.cos(np.pi - 2 * (turned + np.radians(large))), -1, 1])
        now, least, most = (f"{per * one:.3g}" for one in mean / 2 + apart / 4 * swings)
        said = _("Turned by {turn:.0f}°, the work gives way by {now} {unit}; ").format(
            turn=turn.m_as("deg"), now=now, unit=shown
        )
        said += _("over a turn by {least} to {most}.").format(least=least, most=most)
        finding = replace(finding, lines=(*finding.lines, said))
    guess = prediction("06 out of round", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        said = (f"{per * size:.2g} {shown}" for size in (guess.m_as("um"), apart))
        finding = answering(finding, *said, name)
        drawn += cut_profile.prediction_items(per * guess.m_as("um"), per * mean, scale, x)
    return drawn, own_lathe.marked(finding)


def _finding(crank, where, width, feed, tool, parts, errors, asked, units):
    length, push, small = ("mm", "N", "um") if units == "mm" else ("in", "lbf", "thousandth")
    lean = (errors[2] + 90) % 180 - 90  # its line has two ends; the nearer one to the throw
    side = _("ahead of") if lean > 0 else _("behind")
    large, apart = (as_text(Quantity(one, "um"), small, 2) for one in errors[:2])
    word = _("wide") if TOOLS[tool][1] == "grooving" else _("deep")
    up, away = (as_text(one, push, 3) for one in (parts.cutting, parts.passive))
    along = (
        _(" and along with {feed}").format(feed=as_text(parts.feed, push, 3))
        if parts.feed.magnitude
        else ""
    )
    begun = ""
    if asked and asked.nose is not None:
        begun = _(", from Ø{diameter}").format(diameter=as_text(asked.diameter, length, 3))
    thin = feed < Quantity(kienzle.THICKNESS_RANGE[0], "mm")
    lines = [
        _("{name}, {where}, {tool}: {width} {word} at {feed} a turn{begun}.").format(
            name=capital(crank.name),
            where=_(where),
            tool=listed(tool),
            width=as_text(width, length),
            word=word,
            feed=as_text(feed, length),
            begun=begun,
        ),
        _("The tool drags the work up with {up}, pushes it away with {away}{along}.").format(
            up=up, away=away, along=along
        ),
        _driven(asked, units),
        _("The largest diameter lies {lean:.0f}° {side} the throw as it turns.").format(
            lean=abs(lean), side=side
        ),
    ]
    if thin:
        lines.append(_("The chip is thin: these forces are upper bounds."))
    if asked and asked.stalls:
        lines.insert(
            0,
            _("Otherwise it would come out {large} large and {apart} out of round.").format(
                large=large, apart=apart
            ),
        )
        return Finding(_("The drive stalls: take less depth or feed."), "not fine", tuple(lines))
    return Finding(
        _("It comes out {large} large and {apart} out of round.").format(large=large, apart=apart),
        "",
        tuple(lines),
    )


def place_diameter(crank, where):
    """Finished diameter at one of ``PLACES``."""
    kind, index = PLACES[where]
    return crank.journals[index].diameter if kind == "journal" else crank.throws[index].pin_diameter


@dataclass(frozen=True)
class Driven:
    """What a cut to size asks of the drive, at the plan's speed for the diameter where it begins.

    ``nose`` is None where the tool is plunged: the force is then that of :func:`cut_forces`.
    """

    diameter: Quantity
    step: Quantity
    nose: Quantity | None
    force: Quantity
    needed: Quantity
    left: Quantity
    torque_left: Quantity

    @property
    def torque(self):
        """Torque that the cut asks of the spindle."""
        return drive.drive_torque(self.force, self.diameter)

    @property
    def stalls(self):
        """Whether it asks more power than is left."""
        return self.needed > self.left


def planned(name, where, width, feed, tool, parts):
    """What a cut asks of the drive, as the checks of a job count it; None where it has no plan.

    A tool fed along has the job's nose and edge; a plunged one ends on the finished diameter.
    """
    wear, operation = TOOLS[tool]
    kind, index = PLACES[where]
    place = f"{'main' if kind == 'journal' else 'pin'} {index + 1}"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        try:
            work = workings_of(name)
            if operation == "turning":
                cut = work.cut_to_size(place, width, feed=feed, wear=wear)
                at, asked = (cut.diameter, cut.spindle_speed, cut.nose, cut.force), cut.power
            else:
                row = work.row_to_size(place, 0 * width, "rough")[1]
                diameter, step = Quantity(row.diameter, "mm"), Quantity(row.rpm, "rpm")
                at = diameter, step, None, parts.cutting
                speed = Quantity(row.surface_speed_m_min, "m/min")
                asked = kienzle.cutting_power(parts.cutting, speed)
        except ERRORS:
            return None
    lathe = work.job.lathe
    left = drive.power_at_edge(lathe, at[1]), drive.torque_at_spindle(lathe, at[1])
    return Driven(*at, asked, *left)


def _driven(cut, units):
    """What a ``Driven`` asks and what is left, in words."""
    if cut is None:
        return _("Its plan has no speed for this cut.")
    length, push, watt, twist = (
        ("mm", "N", "W", "N*m") if units == "mm" else ("in", "lbf", "hp", "lbf*ft")
    )
    words = {
        "step": as_text(cut.step, "rpm", 3),
        "needed": as_text(cut.needed, watt, 3),
        "left": as_text(cut.left, watt, 3),
        "asked": as_text(cut.torque, twist, 2),
        "torque": as_text(cut.torque_left, twist, 2),
    }
    if cut.nose is None:
        said = _("At {step} it takes {needed} of {left} left at the edge, {asked} of {torque}.")
        return said.format(**words)
    return _(
        "At {step} a nose of {nose} makes the drag {force}: {needed} of {left} left, {asked} of "
        "{torque}."
    ).format(nose=as_text(cut.nose, length, 2), force=as_text(cut.force, push, 3), **words)


def paper(units, projector=False):
    """What does not move: end view and chart."""
    return cut_profile.profile_paper(projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


def beside_handbook(steel, feed=Quantity(0.3, "mm")):
    """Specific force by Kienzle beside the handbook's power constant, same feed, sharp tools.

    Basis: ``forces.specific_cutting_force`` and ``power.power_constant``; 1000 MPa are 1 kW s/cm3.
    """
    ours = kienzle.specific_cutting_force(steel, feed).m_as("GPa")
    printed = power.power_constant(steel).value.m_as("kW*s/cm**3") * power.feed_factor(feed)
    apart = 100 * (ours / printed - 1)
    return _(
        "{steel:8s} Kienzle {ours:.2f}, handbook {printed:.2f} kW s/cm3: {apart:+.0f} %"
    ).format(steel=steel, ours=ours, printed=printed, apart=apart)


def check_gaps(crank, my_force, my_difference):
    """Check the gaps: force and out-of-round beside the web, 1 mm deep, 0.12 mm a turn, sharp."""
    parts = cut_forces(crank.steel, Quantity(1.0, "mm"), Quantity(0.12, "mm"))
    swing = shape_errors(crank, PLACES["main beside the web"], parts)[1]
    radial = deflection.out_of_round(crank, ("journal", 0), parts.passive)
    slips = {
        "that is the force that pushes the work away": parts.passive,
        "that is the force along the work": parts.feed,
    }
    check_gap("Cutting force", parts.cutting, ("N", "lbf"), my_force, slips, 0.02, "my_force")
    slips = {
        "is that the difference of radii?": swing / 2,
        "does only the push away count?": radial,
    }
    units = ("um", "thousandth", "mm")
    check_gap("Out of round", swing, units, my_difference, slips, 0.04, "my_difference")

"""Check of the balance."""

import numpy as np

from ...balance import grades, shaking, static_balance
from ...crank.mass import mass_properties, throw_unbalance
from ...language import _
from ...units import Quantity
from ...workpiece.planning import rules
from ..fields import BANKS
from ..verdicts import Found, Number, by_share, check, shown, tidied

# ISO 21940-11 puts a softly mounted crank drive at G 630, a bolted one at G 250
COARSER = 2.5


@check("balance")
def check_balance(work):
    job, units, crank = work.job, work.units, work.crank
    masses = mass_properties(crank)
    rods, (turning, moving) = len(work.banks_of(0)), rules.held_on_pins(job)
    arms = _each([throw.radius.m_as("mm") for throw in crank.throws], "mm")
    own = throw_unbalance(crank)
    with_rods = own + (turning * arms).to("g*mm")
    plan = work.counterweights
    fitted = job["counterweights"] != "none"
    # a share of the moving mass is meant to be left; the grade is asked of what is left beside it
    left = plan.wanted - plan.given if fitted else with_rods
    at_mains, _unused = grades.unbalance_at_mains(crank, left)
    even = grades.inherently_balanced(crank)
    kind = f"crank drive, inherently {'balanced' if even else 'unbalanced'}, {job['mounting']}"
    grade = grades.balance_grade(kind)
    allowed = grades.permissible_unbalance(masses.mass, job["crank_speed"], grade)
    ratio = float((at_mains / (allowed * _plane_shares(crank, masses))).m_as("dimensionless").max())
    shakes = _shakes(work, with_rods - plan.given if fitted else with_rods, rods)
    rotating, wanted = own.max(), plan.wanted.max()
    most = _spun(with_rods.max() + (moving * arms).max(), job["crank_speed"])
    pair = tuple(tidied(size, rotating) for size in at_mains)
    which = _("with counterweights") if fitted else _("no counterweights")
    numbers = [
        Number(_("mass of the crank"), masses.mass, "mass"),
        Number(_("unbalance of one throw, as drawn"), rotating, "unbalance"),
        Number(
            _("unbalance of the whole crank"), tidied(masses.unbalance_size, rotating), "unbalance"
        ),
        Number(_("grade G for it"), grade, "plain"),
        Number(_("unbalance that the grade allows"), allowed, "unbalance"),
        Number(_("unbalance at the left main, {which}").format(which=which), pair[0], "unbalance"),
        Number(_("unbalance at the right main, {which}").format(which=which), pair[1], "unbalance"),
        Number(_("counterweight's mass times radius, each throw"), wanted, "unbalance"),
        Number(
            _("shaking force, once a turn, {which}").format(which=which),
            tidied(shakes.largest(1), most),
            "force",
        ),
        Number(_("shaking force, twice a turn"), tidied(shakes.largest(2), most), "force"),
        Number(
            _("shaking couple, once a turn, {which}").format(which=which),
            tidied(shakes.largest(1, "couple"), most * crank.length),
            "torque",
        ),
    ]
    verdict = by_share(ratio, 1.0, COARSER)
    ends = _(" and ").join(shown(size, "unbalance", units) for size in pair)
    told = _("{ends} at the two end mains, {ratio:.0f} % of what G {grade:g} allows there").format(
        ends=ends, ratio=100 * ratio, grade=grade
    )
    if fitted:
        size, all_of = (shown(one, "unbalance", units) for one in (plan.given.max(), wanted))
        held = _("what turns and {balance_share:.0f} % of the moving mass").format(
            balance_share=100 * job["balance_share"]
        )
        if plan.enough:
            words = _("Counterweights of {size} opposite each throw balance {held}").format(
                size=size, held=held
            )
        else:
            words = _(
                "Counterweights of {size} opposite each throw are the most that half disks within "
                "the webs' swing have room for; {all_of} would balance {held}"
            ).format(size=size, all_of=all_of, held=held)
        words += _("; that leaves {told}").format(told=told)
        if not plan.enough and ratio > 1:
            words += _(": make them thicker or wider, or of heavier metal")
        stood = masses.mass + plan.mass.sum() + rules.stand_ins(job).sum()
        least = static_balance.least_found_unbalance(stood)
        numbers.append(Number(_("least unbalance that clean knife edges show"), least, "unbalance"))
        words += _("; knife edges show no less than {least}, and never a couple").format(
            least=shown(least, "unbalance", units)
        )
    else:
        words = _("As drawn, with the rods' big ends: {told}").format(told=told)
        if ratio > 1:
            words += _(
                "; counterweights of {wanted} opposite each throw balance that and "
                "{balance_share:.0f} % of the moving mass"
            ).format(
                wanted=shown(wanted, "unbalance", units), balance_share=100 * job["balance_share"]
            )
    assumed = [
        words_of
        for key, words_of in (
            ("moving_mass", _("mass that moves along the stroke, assumed")),
            ("rotating_mass", _("mass of a rod that turns with its pin, assumed")),
        )
        if key not in job.given
    ]
    return Found(verdict, f"{words}.", tuple(numbers), tuple(assumed))


def _plane_shares(crank, masses):
    """Share of the permissible unbalance in the plane of each end main, by its distance (ISO
    21940-11)."""
    long = crank.length
    first, last = crank.journals[0].length / 2, long - crank.journals[-1].length / 2
    left = ((last - masses.center[0]) / (last - first)).m_as("dimensionless")
    return np.array([left, 1 - left])


def _shakes(work, left, rods):
    """Shaking forces and couples of all cylinders, each in its bank; about the middle of the
    pins."""
    job, throws = work.job, work.crank.throws
    pins = [piece for piece in work.crank.segments if piece.kind == "pin"]
    along = np.array([piece.start + piece.length / 2 for piece in pins])
    of = np.repeat(np.arange(len(throws)), rods)
    bank = np.arange(len(of)) % 2 * (0.0 if job["banks"] == BANKS[0] else 1.0)
    return shaking.shaking_forces(
        job["moving_mass"],
        _each([throw.radius.m_as("mm") for throw in throws], "mm")[of],
        work.rod_length,
        job["crank_speed"],
        _each([throw.angle.m_as("deg") for throw in throws], "deg")[of],
        _each(along - (along[0] + along[-1]) / 2, "mm")[of],
        bank * job["bank_angle"],
        turning_unbalance=left[of] / rods,
    )


def _spun(unbalance, speed):
    """Force of an unbalance at a speed, U omega squared."""
    return (unbalance * Quantity(speed.m_as("rpm") * np.pi / 30, "1/s") ** 2).to("N")


def _each(values, unit):
    return Quantity(np.array(values), unit)

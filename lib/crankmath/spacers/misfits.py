"""How long a spacer may be, and what of the allowed runout misfit, squeeze and warming spend."""

from dataclasses import dataclass
from itertools import product

import numpy as np

from ..checks import takes
from ..crank import Crank
from ..units import Quantity, magnitude, ureg
from ..wording import shown
from .spacer_plan import listed, misfits_of, plan_for

MICROMETER = ureg.Unit("um")
SCANNED = 41  # misfits or thrusts tried before a limit is refined


def _fine(size, crank):
    """A runout [mm] in the units of a crank."""
    return shown(Quantity(size, "mm"), "fine", crank.units)


@takes(crank=Crank, thrust="N >= 0, one", misfit="mm", gives="um")
def runout_for_misfit(crank, thrust, spacer, misfit, others=(), held="main", solid=()):
    """Largest runout of any turned piece after release, for each misfit of a spacer.

    ``spacer`` is one, or several that share the misfit; its own is not used. ``others`` keep their
    own. ``held`` and ``solid`` are those of ``squeeze``. Basis: fitted data; as ``squeeze``.
    """
    reading = _reading_of_misfit(crank, thrust, spacer, others, held, solid)[0]
    found = 1e3 * reading(np.ravel(misfit)).reshape(np.shape(misfit))
    return float(found) if found.ndim == 0 else found


@takes(crank=Crank, thrust="N >= 0, one", allowed_runout="mm > 0, one", gives=("um", "um"))
def misfit_limits(crank, thrust, allowed_runout, spacer, others=(), held="main", solid=()):
    """Shortest and longest misfit that keep a spacer's crank within the allowed runout.

    ``spacer`` is one, or several that share the misfit; its own is not used. ``others`` keep their
    own. ``held`` and ``solid`` are those of ``squeeze``. The shortest is minus infinity where the
    crank stays within the runout with this spacer left out. Refused where no misfit keeps within
    it; the message says the least that can be had.
    Basis: fitted data; as ``squeeze``. The range about the least reading, which is looked for in 41
    steps before it is refined. To write the limits down see :func:`whole_steps`.
    """
    from scipy.optimize import brentq

    allowed = allowed_runout
    reading, touch, scale = _reading_of_misfit(crank, thrust, spacer, others, held, solid)
    tried, readings, bottom = _lowest(reading, touch, scale, allowed)
    lowest, least = int(readings.argmin()), reading(bottom)
    if least > allowed:
        raise ValueError(
            f"allowed_runout of {_fine(allowed, crank)} cannot be kept with any misfit: the least "
            f"is {_fine(least, crank)}; allow more, press less, or pack the other throws"
        )

    def crossing(outside):
        return brentq(lambda misfit: reading(misfit) - allowed, bottom, outside, xtol=1e-12)

    longest = crossing(tried[lowest + 1 :][readings[lowest + 1 :] > allowed][0])
    too_short = tried[:lowest][readings[:lowest] > allowed]
    shortest = crossing(too_short[-1]) if too_short.size else -np.inf
    return 1e3 * shortest, 1e3 * longest


@takes(crank=Crank, thrust="N >= 0, one", gives="um")
def best_misfit(crank, thrust, spacer, others=(), held="main", solid=()):
    """Misfit of a spacer that leaves the least runout.

    ``spacer`` is one, or several that share the misfit; its own is not used. ``others`` keep their
    own. ``held`` and ``solid`` are those of ``squeeze``. Basis: fitted data; as ``misfit_limits``.
    """
    reading, touch, scale = _reading_of_misfit(crank, thrust, spacer, others, held, solid)
    return 1e3 * _lowest(reading, touch, scale, 0.0)[2]


@takes(crank=Crank, thrust="N >= 0, one", longest="mm, one", gives="um")
def gripped_misfit(crank, thrust, spacers, longest, held="main", solid=()):
    """Shortest misfit at which each spacer is gripped while the others are longest.

    The misfits of spacers are not used; ``longest`` is the most that one is off. ``held`` and
    ``solid`` are those of ``squeeze``. Minus infinity where one a millimeter shorter than longest
    is still gripped. A spacer that is not gripped flies out of a turning crank.
    Basis: fitted data; as ``squeeze``. Gripped is one that bears a tenth of what it bears when it
    is as long as its gap, own choice.
    """
    plan = plan_for(crank, _some(listed(spacers), "spacers"), held, solid)

    def lacks(short):
        return _grip_lacks(plan, thrust, longest - short, longest)

    return 1e3 * (longest - first_past(lacks, 0.0, 1e-3, 1.0, 2))


@takes(crank=Crank, shortest="mm, one", longest="mm, one", most="N > 0, one", gives="N")
def gripping_thrust(crank, spacers, shortest, longest, most, held="main", solid=()):
    """Least thrust from which a spacer of the shortest misfit is gripped, the others longest.

    ``most`` is the largest thrust looked at, and the answer where none grips; ``spacers``, ``held``
    and ``solid`` are those of ``gripped_misfit``. Basis: fitted data; as there.
    """
    from scipy.optimize import brentq

    plan = plan_for(crank, _some(listed(spacers), "spacers"), held, solid)

    def lacks(thrust):
        return _grip_lacks(plan, thrust, shortest, longest)

    if lacks(0.0) <= 0:
        return 0.0
    return brentq(lacks, 0.0, most) if lacks(most) < 0 else most


def _grip_lacks(plan, thrust, shortest, longest):
    """Force that the worst of some spacers lacks to be gripped, itself the shortest."""
    own = np.eye(len(plan.compliance), dtype=bool)
    tried = [plan.forces(thrust, np.where(row, shortest, longest)) for row in own]
    return float((plan.grip(thrust) - np.diag(tried)).max())


def _lowest(reading, touch, scale, allowed):
    """Misfits from the first touch to where the reading passes what is allowed and that of a loose
    spacer, their readings, and the misfit of the least.
    """
    from scipy.optimize import minimize_scalar

    loose, high = reading(touch), touch + scale
    while reading(high) <= max(allowed, loose):
        high = touch + 2 * (high - touch)
    tried = np.linspace(touch, high, SCANNED)
    readings = reading(tried)
    lowest = int(readings.argmin())
    best = minimize_scalar(
        reading,
        bounds=(tried[max(lowest - 1, 0)], tried[lowest + 1]),
        method="bounded",
        options={"xatol": 1e-9 * (high - touch)},
    )
    return tried, readings, float(best.x) if best.fun < readings[lowest] else tried[lowest]


@takes(longest="um", step="um > 0, one", gives=("um", "um"))
def whole_steps(shortest, longest, step):
    """Limits of misfit in whole steps, rounded inward, as they may be written down.

    ``shortest`` [length] and ``longest`` are those of ``misfit_limits``; ``step`` is what your
    measure resolves. A shortest of minus infinity stays. Refused where no whole step lies between
    them.
    Basis: derived.
    """
    if not np.array_equal(getattr(shortest, "magnitude", 0), -np.inf):
        shortest = magnitude(shortest, "um", "shortest")
    else:
        shortest = -np.inf
    low = step * np.ceil(np.asarray(shortest) / step - 1e-9)
    high = step * np.floor(np.asarray(longest) / step + 1e-9)
    if np.any(low > high):
        raise ValueError(
            f"step of {step:g} um is wider than the window from {np.min(shortest):.3g} to "
            f"{np.max(longest):.3g} um; write a finer step"
        )
    return low, high


@dataclass(frozen=True)
class SqueezeBudget:
    """What of an allowed runout each cause spends, as indicator readings after release [um].

    ``squeeze`` is left with the spacers as they are; ``misfit`` the worst with their uncertainty,
    ``heat`` the worst while warming adds thrust, ``together`` the worst of all at once.
    ``thrust_left`` is the thrust that may be added with the misfits at their worst [N]: infinite
    where no thrust spends the budget, zero where it is spent already; ``thrust_eased`` likewise
    what may be taken off, at most all. ``misfit_left`` is how far each spacer may be off from its
    misfit, its own way, before warming [um], infinite where a millimeter is not too much.
    """

    allowed: Quantity
    squeeze: Quantity
    misfit: Quantity
    heat: Quantity
    together: Quantity
    thrust_left: Quantity
    thrust_eased: Quantity
    misfit_left: Quantity

    @property
    def left(self):
        """Runout that is left to spend; negative where it is overspent [um]."""
        return self.allowed - self.together

    @property
    def within(self):
        return bool(self.together <= self.allowed)


@takes(
    crank=Crank,
    thrust="N >= 0, one",
    allowed_runout="mm > 0, one",
    misfit_uncertainty="mm >= 0, one",
    added_thrust="N >= 0, one",
)
def squeeze_budget(
    crank,
    thrust,
    allowed_runout,
    spacers=None,
    misfit_uncertainty=Quantity(0.0, "mm"),  # noqa: B008
    added_thrust=Quantity(0.0, "N"),  # noqa: B008
    held="main",
    solid=(),
):
    """One allowed runout shared by squeeze, misfit of the spacers and thrust added by warming.

    ``spacers`` keep their own misfits, each known to plus or minus ``misfit_uncertainty``,
    independently; ``added_thrust`` is what warming adds. ``held`` and ``solid`` are those of
    ``squeeze``. The thrust left is "inf" where no thrust reaches the allowed runout.
    Basis: fitted data; as ``squeeze``. Each corner of the misfits is tried, at both thrusts and
    between them.
    """
    spacers = listed(spacers)
    plan, misfits = plan_for(crank, spacers, held, solid), misfits_of(spacers)
    corners = [
        misfits + misfit_uncertainty * np.array(signs)
        for signs in product((-1.0, 0.0, 1.0), repeat=len(spacers))
    ]

    def worst(some, forces):
        return max(plan.reading(one, plan.forces(one, each)) for each in some for one in forces)

    def warmer(more):
        return worst(corners, [thrust + more])

    def eased(less):
        return worst(corners, [thrust - less])

    def off_by(size):
        ways = product((-size, size), repeat=len(spacers))
        return worst([misfits + np.array(way) for way in ways], [thrust])

    warming = np.linspace(thrust, thrust + added_thrust, 5 if added_thrust else 1)
    spent = (
        worst([misfits], [thrust]),
        worst(corners, [thrust]),
        worst([misfits], warming),
        worst(corners, warming),
    )
    return SqueezeBudget(
        *(Quantity(1e3 * one, MICROMETER) for one in (allowed_runout, *spent)),
        Quantity(first_past(warmer, allowed_runout, 1.0, 1e9, SCANNED), "N"),
        Quantity(min(first_past(eased, allowed_runout, 1.0, thrust, 11), thrust), "N"),
        Quantity(1e3 * first_past(off_by, allowed_runout, 1e-3, 1.0, 2), MICROMETER),
    )


def first_past(reading, allowed, step, most, scanned):
    """Size at which a reading first passes what is allowed, infinite where it does not up to
    ``most``; looked for in steps that double, the last of them at ``scanned`` places.
    """
    from scipy.optimize import brentq

    if reading(0.0) > allowed:
        return 0.0
    while reading(step) <= allowed:
        if step >= most:
            return np.inf
        step = min(2 * step, most)
    tried = np.linspace(0.0, step, scanned)
    past = next(place for place, size in enumerate(tried) if reading(size) > allowed)
    return brentq(lambda size: reading(size) - allowed, *tried[past - 1 : past + 1], xtol=1e-7)


def _some(spacers, name):
    if not spacers:
        raise ValueError(f"{name} is empty: write at least one Spacer")
    return spacers


def _reading_of_misfit(crank, thrust, spacer, others, held, solid):
    """Reading [mm] of the shared misfit [mm], the misfit where a spacer first touches, a scale."""
    moving, fixed = _some(listed(spacer), "spacer"), listed(others)
    plan, kept = plan_for(crank, moving + fixed, held, solid), misfits_of(fixed)
    closing = plan.closing[: len(moving)]

    def forces(value):
        return plan.forces(thrust, np.concatenate([np.full(len(moving), value), kept]))

    def reading(value):
        some = [forces(one) for one in value] if np.ndim(value) else forces(value)
        return plan.reading(thrust, np.array(some))

    # no moving spacer bears yet where its misfit and the closure by thrust and the others cancel
    alone = plan.compliance[: len(moving), len(moving) :] @ forces(-1e3)[len(moving) :]
    touch = float(np.min(alone - closing * thrust))
    return reading, touch, float(np.abs(closing).max()) * max(thrust, 1.0)

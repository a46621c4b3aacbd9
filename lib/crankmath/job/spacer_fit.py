"""The spacers of a job: how long they may be, what their uncertainty uses up, which thrust they are
for.
"""

from dataclasses import replace

from ..spacers import (
    best_misfit,
    gripped_misfit,
    gripping_thrust,
    misfit_limits,
    squeeze,
    squeeze_budget,
)
from ..units import Quantity
from ..wording import ERRORS
from ..workpiece.planning import rules
from .once import worked

LAPPED = Quantity(1.0, "um")  # how near to what is aimed at a spacer is lapped: own choice
SPENT = 0.85  # of the runout, by spacers; the rest is for a thrust that changes: own choice


class SpacerWorkings:
    """What checks share of a job's spacers, each part worked out when first asked for."""

    @worked
    def spacer_diameter(self):
        """Diameter asked for, or the largest whole one that has room."""
        return rules.spacer_diameter(self.job)

    @worked
    def fitted(self):
        """Spacers as long as their gaps."""
        return rules.spacers(self.job)

    def fitted_in(self, step):
        """Of them those that stand in their gaps at a step of the plan."""
        return tuple(one for one in self.fitted if one.throw in step.fitted)

    @worked
    def empty_squeeze(self):
        """Squeeze between centers without spacers."""
        return squeeze(self.crank, self.job["thrust"])

    @worked
    def packed_squeeze(self):
        """Squeeze with the spacers as long as their gaps."""
        return squeeze(self.crank, self.job["thrust"], self.fitted)

    @worked
    def spacer_thrust(self):
        """Thrust that spacers are fitted for: as given, or more where the mains ask for it."""
        given = self.job["thrust"]
        try:
            return max(given, self.held["finish_mains"][0] or given)
        except ERRORS:
            return given

    @worked
    def misfit_limits(self):
        """Shortest and longest misfit, all spacers alike."""
        return misfit_limits(
            self.crank, self.spacer_thrust, self.job["allowed_runout"], self.fitted
        )

    @worked
    def needless(self):
        """Whether the mains need no spacers under the least thrust that holds the work while they
        are finished; not where nobody knows it.
        """
        try:
            least = self.held["finish_mains"][0]
            return squeeze(self.crank, least).largest_runout <= self.job["allowed_runout"]
        except ERRORS:
            return False

    @worked
    def aimed_misfit(self):
        """That of the least runout, whatever is allowed; none where no spacer can be fitted."""
        try:
            return best_misfit(self.crank, self.spacer_thrust, self.fitted)
        except ERRORS:
            return Quantity(0.0, "um")

    @worked
    def budget(self):
        """What squeeze and each spacer's uncertainty use up of the runout, and leave to warming."""
        return self._budget(self.job["spacer_doubt"])

    def _budget(self, off):
        packs = tuple(replace(one, misfit=self.aimed_misfit) for one in self.fitted)
        allowed = self.job["allowed_runout"]
        return squeeze_budget(self.crank, self.spacer_thrust, allowed, packs, off)

    @worked
    def accepted_misfit(self):
        """Least and most misfit that a spacer may truly have, about the one to aim at; none that
        the thrust does not grip.
        """
        each = self._misfit_each
        return max(self.aimed_misfit - each, self.gripped_misfit), self.aimed_misfit + each

    @worked
    def read_misfit(self):
        """Least and most misfit that a spacer may read: the accepted ones less what its length is
        known to; None where that leaves nothing.
        """
        (low, high), known = self.accepted_misfit, self.job["spacer_doubt"]
        return (low + known, high - known) if high - low >= 2 * known else None

    @property
    def _misfit_each(self):
        """How far each spacer may be off the one to aim at, its own way: what its length is known
        to and what lapping leaves, or less where the runout asks for it.
        """
        return min(self.job["spacer_doubt"] + LAPPED, SPENT * self.budget.misfit_left)

    @worked
    def thrust_band(self):
        """Least and most thrust that keep the mains within the runout, whichever spacer is
        accepted.
        """
        found = self._budget(self._misfit_each)
        return self.spacer_thrust - found.thrust_eased, self.spacer_thrust + found.thrust_left

    @worked
    def gripped_misfit(self):
        """Misfit from which the thrust grips each spacer, the others as long as is accepted."""
        longest = self.aimed_misfit + self._misfit_each
        return gripped_misfit(self.crank, self.spacer_thrust, self.fitted, longest)

    def gripping_thrust(self, packs, most, held="main"):
        """Thrust from which the shortest of some spacers that is accepted is gripped."""
        return gripping_thrust(self.crank, packs, *self.accepted_misfit, most, held)

"""Every check of a job, in working order."""

from .balance import check_balance
from .bearings import check_bearings, check_fits
from .blank import check_bar, check_centers, check_locked_in, check_swing
from .cutting import check_chatter, check_force, check_roundness
from .heat import check_heat
from .motion import check_motion
from .proof import check_runout, check_sizes, check_throw
from .speeds import check_passes, check_speeds
from .squeeze import check_hold, check_spacers, check_squeeze
from .strength import check_fillets, check_strength
from .tool import check_corner, check_tool

CHECKS = (
    *(check_motion, check_bar, check_locked_in, check_centers, check_swing),
    *(check_speeds, check_passes, check_force, check_roundness, check_chatter),
    *(check_tool, check_corner, check_hold, check_squeeze, check_spacers, check_heat),
    *(check_fillets, check_strength, check_fits, check_bearings, check_balance),
    *(check_runout, check_throw, check_sizes),
)

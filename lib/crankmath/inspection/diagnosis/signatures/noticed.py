"""What a fault has to leave before anybody looks for its cause."""

import numpy as np

# largest less smallest reading that somebody notices, um: runout of a main or pin as a multiple of
# the allowed one, diameters and heights as they are. Own choice
TIMES_ALLOWED, DIAMETERS_NOTICED, HEIGHTS_NOTICED = 2.0, 12.0, 100.0
DRAWN = 48


def noticed(rows, readings, allowed_runout):
    """Whether each column of readings [um] of rows would be noticed, zeros taken off."""
    groups = {}
    for line, row in enumerate(rows):
        if row.kind == "dial":
            groups.setdefault((TIMES_ALLOWED * allowed_runout, row.place), []).append(line)
        elif row.kind in ("diameter", "height"):
            least = DIAMETERS_NOTICED if row.kind == "diameter" else HEIGHTS_NOTICED
            groups.setdefault((least, row.kind), []).append(line)
    found = np.zeros(readings.shape[1], bool)
    for (least, _), lines in groups.items():
        found |= np.ptp(readings[lines], axis=0) >= least
    return found


def share_noticed(rows, component, allowed_runout):
    """Share of a component's sizes that would be noticed in rows, drawn, always the same."""
    dice = np.random.default_rng(24).standard_normal((component.columns.shape[1], DRAWN))
    count = len(rows)
    readings = component.mean[:count, None] + component.columns[:count] @ dice
    return float(noticed(rows, readings, allowed_runout).mean())

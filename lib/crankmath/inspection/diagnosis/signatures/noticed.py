"""What a fault has to leave before anybody looks for its cause."""

import numpy as np

# largest less smallest reading that somebody notices, um: runout of a main or pin as a multiple of
# the allowed one, diameters and heights as they are. Own choice
TIMES_ALLOWED, DIAMETERS_NOTICED, HEIGHTS_NOTICED = 2.0, 12.0, 100.0
CHATTER_NOTICED = 4.0  # um; so heavy, its marks are seen whatever the readings: own choice
DRAWN = 48


class Notice:
    """What would be noticed in the readings of some rows, zeros taken off, for an allowed runout
    [um].

    Rows read again to find the cause do not count: by then something had been noticed.
    """

    def __init__(self, rows, allowed_runout):
        self.count, groups = len(rows), {}
        for line, row in enumerate(rows):
            if row.state:
                continue
            if row.kind == "dial":
                groups.setdefault((TIMES_ALLOWED * allowed_runout, row.place), []).append(line)
            elif row.kind in ("diameter", "height"):
                least = DIAMETERS_NOTICED if row.kind == "diameter" else HEIGHTS_NOTICED
                groups.setdefault((least, row.kind), []).append(line)
        self.groups = [(least, np.array(lines)) for (least, _), lines in groups.items()]

    def of(self, readings):
        """Whether each column of readings [um] would be noticed."""
        found = np.zeros(readings.shape[1], bool)
        for least, lines in self.groups:
            found |= np.ptp(readings[lines], axis=0) >= least
        return found

    def of_sizes(self, component, numbers):
        """Whether a component would be noticed with each column of its normal numbers."""
        if component.seen:
            return np.ones(numbers.shape[1], bool)
        readings = component.columns[: self.count] @ numbers
        return self.of(component.mean[: self.count, None] + readings)


def drawn(count):
    """Columns of ``count`` normal numbers each, always the same."""
    return np.random.default_rng(24).standard_normal((count, DRAWN))

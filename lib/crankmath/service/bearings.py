"""What the crank runs in: pressure and pv of bushings, rating life of rolling bearings."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..tables import rows
from ..units import OutOfRangeWarning, Quantity, as_text

LIFE_EXPONENTS = {"ball": 3.0, "roller": 10.0 / 3.0}
HEAVIEST = 0.5  # of the dynamic load rating: above it the life law is not vouched for
LIMITS = {row["material"]: row for row in rows("bushing_limits")}
BUSHING_MATERIALS = tuple(LIMITS)


@dataclass(frozen=True)
class BushingCheck:
    """Pressure, sliding speed and their product, and the limits of the material.

    A limit that no source prints is None. ``safety`` is the least of limit over value.
    """

    pressure: Quantity
    speed: Quantity
    pressure_speed: Quantity
    pressure_limit: Quantity | None
    speed_limit: Quantity | None
    pressure_speed_limit: Quantity | None
    safety: float
    source: str

    @property
    def limited_by(self):
        """ "pressure", "speed" or "pressure times speed", whichever is nearest its limit."""
        pairs = {
            "pressure": (self.pressure, self.pressure_limit),
            "speed": (self.speed, self.speed_limit),
            "pressure times speed": (self.pressure_speed, self.pressure_speed_limit),
        }
        shares = {
            kind: (value / limit).m_as("dimensionless")
            for kind, (value, limit) in pairs.items()
            if limit is not None
        }
        return max(shares, key=shares.get)

    def __str__(self):
        word = "within" if self.safety >= 1 else "NOT within"
        return (
            f"at most {as_text(self.pressure, 'MPa', 3)}, at {as_text(self.speed, 'm/s', 3)}, "
            f"pv of the mean load {as_text(self.pressure_speed, 'MPa*m/s', 3)}: "
            f"{word} the limits ({self.source}). "
            "A first guess, no certificate: the maker's data take precedence."
        )


@dataclass(frozen=True)
class RatingLife:
    """Basic rating life: what nine of ten like bearings reach before flaking."""

    turns: Quantity
    hours: Quantity
    load: Quantity


@takes(force="N >= 0", diameter="mm > 0", length="mm > 0", gives="MPa")
def bearing_pressure(force, diameter, length):
    """Mean pressure on a bearing's projected area, p = F / (d L).

    - ``length``: Without the fillets, which bear nothing.

    Basis: derived.
    """
    return force / (diameter * length)


@takes(diameter="mm > 0", speed="rpm >= 0", gives="m/s")
def sliding_speed(diameter, speed):
    """Speed of the shaft's surface in its bushing, v = pi d n.

    - ``speed``: Of the shaft against the bushing; a rod's swing adds to that of its pin.

    Basis: derived.
    """
    return np.pi * diameter * speed / 60000


@takes(force="N >= 0", material=BUSHING_MATERIALS, peak_force="N >= 0")
def check_bushing(force, diameter, length, speed, material, peak_force=None):
    """Pressure and pv of a bushing beside what its material is said to bear.

    - ``force``: Over a turn; its mean makes the heat, so it goes into pv.
    - ``diameter``, ``length`` [mm], ``speed`` [rpm]: As for ``bearing_pressure`` and
      ``sliding_speed``.
    - ``material``: One of ``bearings.BUSHING_MATERIALS``.
    - ``peak_force``: For the pressure; default the largest of ``force``.

    Basis: handbook table, ``data/bushing_limits.csv``, each row with its source. Limits differ
    between makers by a factor of two and hold for a straight, hard, well-oiled shaft.
    """
    row = LIMITS[material]
    peak = np.max(force) if peak_force is None else peak_force
    pressure, mean = (
        bearing_pressure(Quantity(float(load), "N"), diameter, length)
        for load in (peak, np.mean(force))
    )
    sliding = sliding_speed(diameter, speed)
    product = (mean * sliding).to("MPa*m/s")
    columns = ("pressure_mpa", "MPa"), ("speed_m_s", "m/s"), ("pressure_speed_mpa_m_s", "MPa*m/s")
    limits = [Quantity(float(row[key]), unit) if row[key] else None for key, unit in columns]
    shares = [
        (value / limit).m_as("dimensionless")
        for value, limit in zip((pressure, sliding, product), limits, strict=True)
        if limit is not None
    ]
    safety = 1 / max(shares) if max(shares) > 0 else np.inf
    return BushingCheck(pressure, sliding, product, *limits, float(safety), row["source"])


@takes(force="N >= 0", kind=tuple(LIFE_EXPONENTS), gives="N")
def equivalent_load(force, kind="ball"):
    """Steady load that wears a rolling bearing as one does that varies over the turn.

    P = (mean of F^p)^(1/p), p = 3 for balls, 10/3 for rollers.

    - ``force``: At even steps of the turn.
    - ``kind``: "ball" or "roller".

    Basis: standard; the life law of ISO 281 summed over the turn (linear damage), radial load
    alone.
    """
    power = LIFE_EXPONENTS[kind]
    return float(np.mean(np.asarray(force) ** power) ** (1 / power))


@takes(dynamic_rating="N > 0", load="N > 0", speed="rpm > 0", kind=tuple(LIFE_EXPONENTS))
def rating_life(dynamic_rating, load, speed, kind="ball"):
    """Basic rating life of a rolling bearing, L10 = (C/P)^p million turns.

    - ``dynamic_rating``: C, from the maker's table.
    - ``load``: P, the equivalent load; of a purely radial load on a deep-groove bearing the load
      itself.
    - ``kind``: "ball" or "roller".

    Basis: standard. Source: ISO 281, basic rating life at 90 % reliability, as bearing makers print
    it; the limit P <= C/2, past which it warns, is from memory. Dirt, oil, a bent seat and a load
    that reverses are not in it.
    """
    rating, carried = np.asarray(dynamic_rating), np.asarray(load)
    if np.any(carried > HEAVIEST * rating * (1 + 1e-9)):
        warnings.warn(
            "load passes half the dynamic rating: the life law is not made for that, "
            "take a larger bearing",
            OutOfRangeWarning,
            stacklevel=3,
        )
    turns = 1e6 * (rating / carried) ** LIFE_EXPONENTS[kind]
    hours = turns / (60 * np.asarray(speed))
    return RatingLife(
        Quantity(turns[()], "turn"), Quantity(hours[()], "hour"), Quantity(carried[()], "N")
    )

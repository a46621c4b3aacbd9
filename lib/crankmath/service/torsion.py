"""How a crank twists: stiffness of its throws, natural frequencies, resonance with the load."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import made, takes
from ..crank import Crank, steels
from ..frame import frame
from ..units import TURNING, Quantity, as_text, magnitude, number
from .loads import Cylinder

METHODS = ("frame", "ker wilson", "carter")
NOTHING = Quantity(0.0, "kg*m**2")
CLOSE = 0.2  # of the natural frequency; common practice, no source
ORDERS = 12  # harmonics of the turn that are looked at; common practice, no source
# of the torque's largest harmonic: smaller ones are left out; common practice, no source
FAINT = 0.05


class ResonanceWarning(UserWarning):
    """A harmonic of the load comes near a natural frequency at the running speed."""


@dataclass(frozen=True)
class TorsionalModes:
    """Natural frequencies of twist, lowest first; ``shape`` has a row a mode, largest swing 1.

    The first of a free train is the turning itself, at no frequency.
    """

    frequency: Quantity
    shape: np.ndarray
    inertia: Quantity
    stiffness: Quantity

    @property
    def first(self):
        """Lowest frequency that twists the shaft."""
        return self.frequency[1]


@dataclass(frozen=True)
class Resonance:
    """A harmonic of the turn, the speed where it meets a mode, and how far the running speed is."""

    order: float
    mode: int
    critical_speed: Quantity
    margin: float

    def __str__(self):
        side = "below" if self.margin < 0 else "above"
        return (
            f"harmonic {self.order:g} meets mode {self.mode} at "
            f"{as_text(self.critical_speed, 'rpm', 3)}: "
            f"the crank runs {100 * abs(self.margin):.0f} % {side}"
        )


@takes(crank=Crank, method=METHODS, gives="N*m/rad")
def section_stiffness(crank, method="frame"):
    """Torsional stiffness from each throw's pin to the next, one value a journal.

    An end one counts from the middle of its bearing. "frame" twists the crank's beam frame: pins
    and journals twist, webs bend in the plane of turning. Ker Wilson and Carter print the length
    of a plain shaft of diameter D that twists as much as a throw:
    Ker Wilson: Le/D^4 = (Lj + 0.4 Dj)/Dj^4 + (Lp + 0.4 Dp)/Dp^4 + (e - 0.2 (Dj + Dp))/(t w^3);
    Carter: Le/D^4 = (Lj + 0.8 t)/Dj^4 + 0.75 Lp/Dp^4 + 1.5 e/(t w^3).

    - ``method``: One of METHODS.

    Basis: fitted data. The frame's corrections were fitted in bending and squeeze, not twist; the
    two printed formulas are from memory and made for engines. They differ by up to some 25 % in
    stiffness, half of that in frequency. Bearings that hold the mains make a throw stiffer.
    """
    if method == "frame":
        compliance = np.diff(_twist_under_torque(crank))
    else:
        modulus = steels.find(crank.steel).elastic_modulus.m_as("MPa")
        compliance = 32 * 2 * (1 + frame.POISSON) / (np.pi * modulus) * _equal_shaft(crank, method)
    return 1 / compliance / 1000


@takes(crank=Crank, torque="N*m", method=METHODS, gives="deg")
def twist(crank, torque, method="frame"):
    """Angle that a torque passed through the whole crank twists it, section by section.

    Sections and method as in ``section_stiffness``.
    Basis: fitted data; as ``section_stiffness``.
    """
    return np.degrees(torque / section_stiffness.plain(crank, method))


def _twist_under_torque(crank):
    """Twist of the end bearings' middles and the pins between, for a unit torque [1/(N mm)]."""
    built = frame.build(crank)
    end = built.segments[-1].end
    middles = [piece.start + piece.length / 2 for piece in built.segments if piece.kind == "pin"]
    first, last = built.segments[0], built.segments[-1]
    places = built.places([first.start + first.length / 2, *middles, last.start + last.length / 2])
    torque = built.places([end]).rows[0, 3]
    return built.response(places, torque)[:, 3]


def _equal_shaft(crank, method):
    """Length over fourth power of diameter of each section's equal plain shaft [1/mm^3]."""
    last = len(crank.journals) - 1
    total = np.empty(last + 1)
    for index, journal in enumerate(crank.journals):
        throws = [crank.throws[i] for i in (index - 1, index) if 0 <= i < last]
        main = journal.diameter.m_as("mm")
        length = journal.length.m_as("mm") / (2 if index in (0, last) else 1)
        halves = 0.0
        for throw in throws:
            radius, pin, pin_length, thickness, width = (
                part.m_as("mm")
                for part in (
                    throw.radius,
                    throw.pin_diameter,
                    throw.pin_length,
                    throw.web_thickness,
                    throw.web_width,
                )
            )
            if method == "carter":
                length += 0.4 * thickness
                halves += 0.75 * pin_length / 2 / pin**4 + 0.75 * radius / (thickness * width**3)
            else:
                length += 0.2 * main
                halves += (pin_length / 2 + 0.2 * pin) / pin**4 + max(
                    radius - 0.2 * (main + pin), 0
                ) / 2 / (thickness * width**3)
        total[index] = length / main**4 + halves
    return total


def throw_inertia(crank, cylinders=None):
    """Moment of inertia of each throw about the main axis, with what moves on it.

    - ``cylinders``: None, or one ``service.Cylinder`` a throw, its turning mass without the crank's
      own pin and webs, which are counted here. All that turns counts, and half of what
      reciprocates.

    Basis: derived; square web ends, half of each neighboring main. Half the moving mass at the
    throw is its mean over a turn.
    """
    made(crank, Crank, "crank")
    density = steels.find(crank.steel).density.m_as("kg/mm**3")
    if isinstance(cylinders, Cylinder):
        cylinders = (cylinders,)
    cylinders = [None] * len(crank.throws) if cylinders is None else list(cylinders)
    if len(cylinders) != len(crank.throws):
        raise ValueError(
            f"cylinders: this crank has {len(crank.throws)} throws, not {len(cylinders)}; "
            "write one Cylinder a throw"
        )
    mains = [
        density * np.pi * main.length.m_as("mm") * main.diameter.m_as("mm") ** 4 / 32
        for main in crank.journals
    ]
    found = []
    for index, (throw, cylinder) in enumerate(zip(crank.throws, cylinders, strict=True)):
        radius, pin, length, thickness, width, reach = (
            part.m_as("mm")
            for part in (
                throw.radius,
                throw.pin_diameter,
                throw.pin_length,
                throw.web_thickness,
                throw.web_width,
                throw.web_reach,
            )
        )
        height = radius + 2 * reach
        web = density * thickness * width * height * ((height**2 + width**2) / 12 + radius**2 / 4)
        stub = density * np.pi / 4 * pin**2 * length * (radius**2 + pin**2 / 8)
        added = 0.0
        if cylinder is not None:
            added = cylinder.turning_mass.m_as("kg") + cylinder.moving_mass.m_as("kg") / 2
        found.append(2 * web + stub + (mains[index] + mains[index + 1]) / 2 + added * radius**2)
    return Quantity(np.array(found) / 1e6, "kg*m**2")


@takes(inertia="kg*m**2 > 0", stiffness="N*m/rad > 0")
def torsional_modes(inertia, stiffness):
    """Natural frequencies of disks on a shaft that is free to turn: det(K - w^2 J) = 0.

    K is the chain of the shafts between the disks, one fewer than these.
    Basis: derived; no damping, shafts without mass. A symmetric eigenvalue problem; Holzer's table
    (``holzer``) reaches the same by trial.
    """
    disks, shafts = np.atleast_1d(inertia), np.atleast_1d(stiffness)
    if len(disks) < 2 or len(shafts) != len(disks) - 1:
        raise ValueError(
            "stiffness must have one value fewer than inertia, and inertia at least two; "
            f"not {len(shafts)} and {len(disks)}"
        )
    chain = np.diff(np.eye(len(disks)), axis=0)
    root = 1 / np.sqrt(disks)
    squares, vectors = np.linalg.eigh(root[:, None] * (chain.T @ (shafts[:, None] * chain)) * root)
    # the free turning comes out as rounding of either sign
    squares[0] = 0.0
    shape = (root[:, None] * vectors).T
    shape = shape / shape[np.arange(len(shape)), np.abs(shape).argmax(axis=1)][:, None]
    return TorsionalModes(
        Quantity(np.sqrt(squares) / (2 * np.pi), "Hz"),
        shape,
        Quantity(disks, "kg*m**2"),
        Quantity(shafts, "N*m/rad"),
    )


@takes(inertia="kg*m**2 > 0", stiffness="N*m/rad > 0", gives=(None, "N*m"))
def holzer(inertia, stiffness, frequency):
    """Holzer's table: swing of every disk, and the torque left over at the last, for a unit swing.

    - ``frequency`` [Hz]: At a natural one nothing is left over; the unit swing is the first disk's.

    Basis: derived. Source of the table's form: Thomson, Theory of Vibration, sec. 12.4.
    """
    disks, shafts = np.atleast_1d(inertia), np.atleast_1d(stiffness)
    # pint lets a radian and a turn pass for one: 2 pi is put in here, so the frequency is in cycles
    square = (2 * np.pi * _cycles(frequency)) ** 2
    swing, torque = [1.0], square * disks[0]
    for shaft, disk in zip(shafts, disks[1:], strict=True):
        swing.append(swing[-1] - torque / shaft)
        torque += square * disk * swing[-1]
    return np.array(swing), float(torque)


def _cycles(frequency):
    if any(name in TURNING for name, _ in getattr(frequency, "unit_items", tuple)()):
        raise ValueError(
            f"frequency has to be in hertz, cycles a second, not in {frequency.units}; "
            "write it in Hz"
        )
    return magnitude(frequency, "Hz", "frequency", least=0)


@takes(
    crank=Crank,
    left_inertia="kg*m**2 >= 0, one",
    right_inertia="kg*m**2 >= 0, one",
    method=METHODS,
)
def crank_modes(crank, cylinders=None, left_inertia=NOTHING, right_inertia=NOTHING, method="frame"):
    """Natural frequencies of twist of a crank with what is fixed to its ends.

    - ``cylinders``: As for ``throw_inertia``.
    - ``left_inertia``, ``right_inertia``: Of a flywheel or pulley at the middle of the end bearing.
    - ``method``: As for ``section_stiffness``.

    Basis: derived on ``section_stiffness`` and ``throw_inertia``. A flywheel carried out beyond the
    bearing, on a key or a taper, is softer and lowers the frequency.
    """
    disks = list(throw_inertia(crank, cylinders).m_as("kg*m**2"))
    shafts = list(section_stiffness.plain(crank, method))
    disks = [left_inertia] * bool(left_inertia) + disks + [right_inertia] * bool(right_inertia)
    shafts = shafts[not left_inertia : len(shafts) - (not right_inertia)]
    if len(disks) < 2:
        raise ValueError(
            "left_inertia and right_inertia are both zero: one throw alone has nothing to twist "
            "against; write that of a flywheel"
        )
    return torsional_modes.plain(np.array(disks), np.array(shafts))


@takes(torque="N*m", turns=(1, 2), gives="N*m")
def torque_harmonics(torque, orders=ORDERS, turns=1):
    """Sizes of the harmonics of a torque, from the first on.

    - ``torque``: At even steps, as ``TurnLoads.torque``.
    - ``orders``: Harmonics of the turn looked at.
    - ``turns``: That the torque spans; with two, as of a four-stroke engine, the half orders stand
      between: 0.5, 1, 1.5 and so on.

    Basis: derived; Fourier series.
    """
    course = np.atleast_1d(torque)
    most = turns * int(number(orders, "orders", least=1, most=1000, one=True))
    if len(course) <= 2 * most:
        raise ValueError(
            f"torque has {len(course)} values; {most} harmonics need at least {2 * most + 1}"
        )
    return 2 * np.abs(np.fft.rfft(course))[1 : most + 1] / len(course)


@takes(modes=TorsionalModes, speed="rpm > 0, one", close="number > 0", turns=(1, 2))
def resonances(modes, speed, orders=ORDERS, close=CLOSE, torque=None, turns=1):
    """Harmonics of the turn that come near a natural frequency at a running speed, nearest first.

    Harmonic i of the load swings i times a turn: critical speed = f / i. Warns of the nearest.

    - ``orders``: Harmonics of the turn looked at, from the first.
    - ``close``: How near counts, as a share of the critical speed.
    - ``torque``: As for ``torque_harmonics``, over so many turns; harmonics below a twentieth of
      its largest are left out. By default every harmonic counts.
    - ``turns``: With two the half orders count as well.

    Basis: derived; 12 harmonics, 20 % and a twentieth are common practice, no source. How strongly
    it swings depends on damping, which is not in it. A mode with a still point at a throw takes
    little from it.
    """
    most = turns * int(number(orders, "orders", least=1, most=1000, one=True))
    sizes = np.ones(most)
    if torque is not None:
        sizes = torque_harmonics(torque, most // turns, turns).m_as("N*m")
    driven = [
        step / turns
        for step, size in enumerate(sizes, 1)
        if size > 0 and size >= FAINT * sizes.max()
    ]
    found = []
    for mode, frequency in enumerate(modes.frequency.m_as("Hz")[1:], 1):
        for order in driven:
            critical = 60 * frequency / order
            off = float(speed / critical - 1)
            if abs(off) <= close:
                found.append(Resonance(order, mode, Quantity(critical, "rpm"), off))
    found.sort(key=lambda one: abs(one.margin))
    if found:
        warnings.warn(
            f"{found[0]}; change the speed, the flywheel or the crank",
            ResonanceWarning,
            stacklevel=3,
        )
    return found

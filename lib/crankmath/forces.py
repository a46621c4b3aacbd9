"""Cutting force, its components, power, shear-plane models, and what the drive has to carry."""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from . import steels
from .units import OutOfRangeWarning, Quantity, magnitude, number

THICKNESS_RANGE = (0.1, 0.63)  # mm, the printed columns that Kienzle's constants were checked against
SPEED_RANGE = (20.0, 100.0)  # m/min
RAKE_RANGE = (-20.0, 30.0)  # deg
RUBBING_SHARE = 0.25  # of the edge radius; a thinner layer is pressed aside: from memory, published values 0.2 to 0.4
WEAR = ("sharp", "worn", "blunt")
OPERATIONS = ("turning", "grooving")


@dataclass(frozen=True)
class Components:
    """The three parts of the force on the tool: along the speed, along the feed, square to the finished surface."""

    cutting: Quantity
    feed: Quantity
    passive: Quantity

    @property
    def resultant(self):
        """The three added as arrows."""
        return (self.cutting**2 + self.feed**2 + self.passive**2) ** 0.5


@dataclass(frozen=True)
class PowerConstant:
    """A handbook's power for a rate of removal, with the row it comes from."""

    value: Quantity
    inch_value: Quantity
    material: str
    hardness: str
    source: str


@cache
def _table(name):
    with (files("crankmath") / "data" / f"{name}.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


@cache
def _corrections():
    return {row["name"]: float(row["value"]) for row in _table("force_corrections")}


def _warn(text):
    warnings.warn(text, OutOfRangeWarning, stacklevel=3)


def _warn_outside(value, limits, text):
    slack = 1e-9 * max(np.abs(limits))
    if np.any(np.asarray(value) < limits[0] - slack) or np.any(np.asarray(value) > limits[1] + slack):
        warnings.warn(text, OutOfRangeWarning, stacklevel=3)


def _word(value, words, name):
    if value not in words:
        raise ValueError(f"{name} must be one of {', '.join(words)}, not {value!r}")
    return value


def chip_section(depth, feed, approach_angle=None):
    r"""Width and thickness of the layer one turn cuts away, before it becomes a chip.

    .. math:: b = a / \sin\kappa, \quad h = f \sin\kappa

    Parameters
    ----------
    depth : Quantity [length]
        Depth of cut a, on the radius.
    feed : Quantity [length], per turn
    approach_angle : Quantity [angle], optional
        Angle kappa between the edge and the direction of feed, above 0 and up to 90 deg; 90 deg without it.

    Returns
    -------
    tuple of Quantity [mm]
        Width b and thickness h. A form tool plunged straight in has its edge's length for b and the feed for h.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; sharp nose. With a nose radius near the depth the layer is thinner than this.
    """
    across, along = magnitude(depth, "mm", "depth", above=0), magnitude(feed, "mm", "feed", above=0)
    angle = 90.0 if approach_angle is None else magnitude(approach_angle, "deg", "approach_angle", above=0)
    number(angle, "approach_angle in degrees", most=90)
    sine = np.sin(np.radians(angle))
    return Quantity(across / sine, "mm"), Quantity(along * sine, "mm")


def specific_cutting_force(steel, chip_thickness, *, rake=None, cutting_speed=None, wear="sharp", operation="turning"):
    r"""Cutting force over the section of the layer cut, by Kienzle.

    .. math:: k_c = k_{c1.1} \left(\frac{h}{1\,\mathrm{mm}}\right)^{-m_c} K_\gamma K_v K_w K_s

    with :math:`K_\gamma = 1 - (\gamma - 6°)/100°` and :math:`K_v = 2.023\,(v\,/\,(\mathrm{m/min}))^{-0.153}`.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    chip_thickness : Quantity [length], scalar or array
        Thickness h of the layer; see :func:`chip_section`.
    rake : Quantity [angle], optional
        Rake of the tool across its edge (``tool_form.rake_across_edge``); 6 deg without it, at which the constants hold.
    cutting_speed : Quantity [length/time], optional
        Speed of a high-speed-steel tool; without it no correction (the constants belong to about 100 m/min).
    wear : str
        "sharp" (1), "worn" (1.3) or "blunt" (1.5).
    operation : str
        "turning", or "grooving" (1.3) where the chip is squeezed between walls: plunging, parting, a wide form tool.

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; an unknown steel, wear or operation.

    Notes
    -----
    Basis: fitted data; Kienzle's k_c1.1 and m_c with their sources in ``steels``, range 0.1 to 0.63 mm; rake and wear
    from Dietrich/Tschaetsch, 11th ed.; speed and chip squeeze from memory (``data/force_corrections.csv``). Outside a
    range the result is given with an ``OutOfRangeWarning``. Below 0.1 mm see :func:`thin_chip_force`.
    """
    thickness = magnitude(chip_thickness, "mm", "chip_thickness", above=0)
    factor = _correction(rake, cutting_speed, wear, operation)
    _warn_outside(thickness, THICKNESS_RANGE, "chip_thickness is outside 0.1 to 0.63 mm, where the constants were checked"
                  "; thinner chips push harder than this says: see thin_chip_force")  # fmt: skip
    return Quantity(_kienzle(steel, thickness) * factor, "MPa")


def _kienzle(steel, thickness):
    """Plain k_c [MPa] at a thickness [mm], without corrections or range check."""
    record = steels.find(steel)
    return record.specific_force.m_as("MPa") * np.asarray(thickness) ** -record.thickness_exponent


def _correction(rake, cutting_speed, wear, operation):
    """Product of the corrections, each range checked."""
    known = _corrections()
    factor = known[_word(wear, WEAR, "wear")] * known[_word(operation, OPERATIONS, "operation")]
    if rake is not None:
        angle = magnitude(rake, "deg", "rake")
        if np.any(np.abs(angle) >= 90):
            raise ValueError(f"rake must lie between -90 and 90 deg, not {angle}; write for example 12 deg")
        _warn_outside(angle, RAKE_RANGE, "rake is outside -20 to 30 deg, where one percent a degree was found")
        factor = factor * (1 - known["rake_per_degree"] * (angle - known["base_rake"]))
    if cutting_speed is not None:
        speed = magnitude(cutting_speed, "m/min", "cutting_speed", above=0)
        _warn_outside(speed, SPEED_RANGE, "cutting_speed is outside 20 to 100 m/min, where the speed correction was fitted")
        factor = factor * known["speed_constant"] * np.asarray(speed) ** -known["speed_exponent"]
    return factor


def cutting_force(steel, width, chip_thickness, **corrections):
    r"""Main cutting force, along the cutting speed, by Kienzle.

    .. math:: F_c = b\,h\,k_c(h)

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    width : Quantity [length], scalar or array
        Length b of edge in the cut.
    chip_thickness : Quantity [length], scalar or array; broadcasts
        Thickness h of the layer.
    **corrections
        ``rake``, ``cutting_speed``, ``wear``, ``operation`` of :func:`specific_cutting_force`.

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`specific_cutting_force`.

    Notes
    -----
    Basis: fitted data, as :func:`specific_cutting_force`.
    """
    across = magnitude(width, "mm", "width", above=0)
    pressure = specific_cutting_force(steel, chip_thickness, **corrections).m_as("MPa")
    return Quantity(across * magnitude(chip_thickness, "mm", "chip_thickness") * pressure, "N")


def thin_chip_force(steel, chip_thickness, edge_radius=None):
    r"""Lower and upper specific cutting force of a chip thinner than Kienzle's constants cover.

    The lower one draws Kienzle's line on. The upper one goes on straight from 0.1 mm, so that a force on
    the edge alone is left where the chip vanishes: :math:`k_c = k_{0.1}\,(1 - m_c + m_c\,h_{0.1}/h)`.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    chip_thickness : Quantity [length], scalar or array
        At most 0.1 mm.
    edge_radius : Quantity [length], optional
        Roundness of the edge: about 10 um fresh from a fine wheel and stone (from memory); 10 um without it.

    Returns
    -------
    tuple of Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible. A layer thinner than a quarter of the edge
        radius is refused: the tool rubs there (the quarter from memory).

    Notes
    -----
    Basis: derived bracket, not a measurement; that specific force grows faster than the law at thin chips, because of
    the edge's roundness, is published (Kim, Lee, Sin, J. Mater. Process. Technol. 86, 1999). Below the edge radius an
    ``OutOfRangeWarning`` is given, for there even the upper one may be passed.
    """
    thickness = magnitude(chip_thickness, "mm", "chip_thickness", above=0)
    roundness = 0.01 if edge_radius is None else magnitude(edge_radius, "mm", "edge_radius", above=0)
    start = THICKNESS_RANGE[0]
    if np.any(np.asarray(thickness) > start * (1 + 1e-9)):
        raise ValueError(f"chip_thickness must be at most {start} mm here; for thicker chips use specific_cutting_force")
    if np.any(np.asarray(thickness) < RUBBING_SHARE * np.asarray(roundness)):
        raise ValueError("chip_thickness is below a quarter of edge_radius: the edge rubs and cuts no chip; feed more or hone the edge")
    if np.any(np.asarray(thickness) < roundness):
        _warn("chip_thickness is below edge_radius: the force may pass the upper value")
    slope = steels.find(steel).thickness_exponent
    upper = _kienzle(steel, start) * (1 - slope + slope * start / np.asarray(thickness))
    return Quantity(_kienzle(steel, thickness), "MPa"), Quantity(upper, "MPa")


def force_components(cutting_force, operation="turning", feed_share=None, passive_share=None):
    r"""Feed and passive force beside a main cutting force.

    .. math:: F_f = 0.5\,F_c, \quad F_p = 0.25\,F_c

    and, for a tool plunged straight in, :math:`F_f = 0`, :math:`F_p = \sqrt{0.5^2 + 0.25^2}\,F_c`.

    Parameters
    ----------
    cutting_force : Quantity [force]
    operation : str
        "turning", or "grooving" for a plunge: all of the thrust then bends the work.
    feed_share, passive_share : float, optional
        Own shares, for example measured ones.

    Returns
    -------
    Components [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: rule of thumb printed in Cutting Tool Engineering (Calculated Forces When Turning), which itself calls it
    rough; for carbide. The plunge's share is derived from it by turning the thrust square to the axis. A nose radius
    above the depth, a small rake or a blunt edge raise the passive share, to 1 and beyond (from memory).
    """
    newtons = magnitude(cutting_force, "N", "cutting_force", least=0)
    known = _corrections()
    shares = known["feed_share"], known["passive_share"]
    if _word(operation, OPERATIONS, "operation") == "grooving":
        shares = 0.0, float(np.hypot(*shares))
    feed = number(shares[0] if feed_share is None else feed_share, "feed_share", least=0)
    passive = number(shares[1] if passive_share is None else passive_share, "passive_share", least=0)
    return Components(Quantity(newtons, "N"), Quantity(newtons * feed, "N"), Quantity(newtons * passive, "N"))


def cutting_power(force, cutting_speed):
    r"""Power at the tool's edge.

    .. math:: P = F_c\,v

    Parameters
    ----------
    force : Quantity [force]
        Main cutting force.
    cutting_speed : Quantity [length/time]; broadcasts

    Returns
    -------
    Quantity [W]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is below zero.

    Notes
    -----
    Basis: derived. The motor gives this over the lathe's efficiency; the feed's share is below one percent.
    """
    return Quantity(magnitude(force, "N", "force", least=0) * magnitude(cutting_speed, "m/s", "cutting_speed", least=0), "W")


def power_limited_width(power, steel, chip_thickness, cutting_speed, efficiency=0.75, **corrections):
    r"""Widest cut a motor drives.

    .. math:: b = \frac{\eta P}{v\,h\,k_c(h)}

    Parameters
    ----------
    power : Quantity [power]
        What the motor's plate gives.
    steel : str
    chip_thickness : Quantity [length]
    cutting_speed : Quantity [length/time]
        Also corrects the force, as in :func:`specific_cutting_force`.
    efficiency : float
        Share of the motor's power that reaches the edge; 0.75 for a geared head (from memory; a public program quotes 0.8).
    **corrections
        ``rake``, ``wear``, ``operation`` of :func:`specific_cutting_force`.

    Returns
    -------
    Quantity [mm]
        Length of edge; with a square-on edge the depth of cut.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`specific_cutting_force`; efficiency above 1.

    Notes
    -----
    Basis: derived, with Kienzle's force. A steady cut: at a blow the belt and the flywheel help, the gears suffer.
    """
    watts = magnitude(power, "W", "power", above=0) * number(efficiency, "efficiency", above=0, most=1)
    one_millimeter = cutting_force(steel, Quantity(1.0, "mm"), chip_thickness, cutting_speed=cutting_speed, **corrections)
    return Quantity(watts / cutting_power(one_millimeter, cutting_speed).m_as("W"), "mm")


def power_constant(steel, hardness=None):
    """The handbook's power constant of a steel: power for a rate of removal with a sharp tool.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    hardness : float, optional
        Brinell hardness; the steel's own without it.

    Returns
    -------
    PowerConstant

    Raises
    ------
    ValueError
        Unknown steel, or a hardness no row of the table holds.

    Notes
    -----
    Basis: handbook table; Machinery's Handbook, 31st ed., p. 1147, table 1b. 1 kW s/cm3 equals 1000 N/mm2 of specific
    cutting force at a feed of 0.30 mm (see :func:`feed_factor`).
    """
    record = steels.find(steel)
    brinell = number(record.hardness if hardness is None else hardness, "hardness", above=0)
    for row in _table("power_constants"):
        low, high = float(row["hardness_low"]), float(row["hardness_high"])
        if record.speed_group in row["speed_groups"].split() and low <= brinell <= high:
            return PowerConstant(Quantity(float(row["value"]), "kW*s/cm**3"), Quantity(float(row["inch_value"]), "hp*min/in**3"),
                                 row["material"], f"{low:g} to {high:g} HB", row["source"])  # fmt: skip
    raise ValueError(f"hardness {brinell:g} HB is outside the power table for {steel}; write a value the table holds")


def feed_factor(feed):
    """Factor of the handbook's power constant for a feed; 1 at 0.30 mm a turn.

    Parameters
    ----------
    feed : Quantity [length], per turn, scalar or array

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        The feed lacks its unit, is of the wrong kind, or lies outside the table's 0.02 to 1.0 mm.

    Notes
    -----
    Basis: handbook table, Machinery's Handbook, feed factors for power constants, FROM MEMORY; straight between rows.
    """
    step = magnitude(feed, "mm", "feed", above=0)
    feeds, factors = (np.array([float(row[key]) for row in _table("feed_factors")]) for key in ("feed", "value"))
    if np.any(np.asarray(step) < feeds[0] * (1 - 1e-9)) or np.any(np.asarray(step) > feeds[-1] * (1 + 1e-9)):
        raise ValueError(f"feed must lie between {feeds[0]:g} and {feeds[-1]:g} mm, where the table ends")
    return number(np.interp(step, feeds, factors), "feed_factor")


def handbook_power(steel, removal_rate, feed, hardness=None, wear_factor=1.3):
    r"""Power at the tool's edge by the handbook's constants.

    .. math:: P = K_p\,C\,W\,Q

    Parameters
    ----------
    steel : str
    removal_rate : Quantity [length^3/time]
        From ``cutting.removal_rate``.
    feed : Quantity [length], per turn
    hardness : float, optional
        Brinell hardness; the steel's own without it.
    wear_factor : float
        W; 1.1 finishing, 1.3 usual roughing, 1.6 to 2 heavy roughing (from memory); 1 for a sharp tool.

    Returns
    -------
    Quantity [W]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is outside the tables.

    Notes
    -----
    Basis: handbook table, as :func:`power_constant` and :func:`feed_factor`.
    """
    rate = magnitude(removal_rate, "cm**3/s", "removal_rate", least=0)
    constant = power_constant(steel, hardness).value.m_as("W*s/cm**3")
    return Quantity(constant * feed_factor(feed) * number(wear_factor, "wear_factor", least=1) * rate, "W")


def _angle(value, name, least, most):
    """Plain radians of an angle that has to lie between two numbers of degrees."""
    degrees = magnitude(value, "deg", name)
    if np.any(np.asarray(degrees) <= least) or np.any(np.asarray(degrees) >= most):
        raise ValueError(f"{name} must lie between {least} and {most} deg, not {degrees}; write another angle in deg")
    return np.radians(degrees)


def shear_angle(rake, friction_angle, model="merchant", machining_constant=None):
    r"""Angle of the plane on which the chip shears, foretold from friction.

    Merchant: :math:`\phi = (C + \alpha - \lambda)/2` with C = 90 deg; Lee and Shaffer: :math:`\phi = 45° + \alpha - \lambda`.

    Parameters
    ----------
    rake : Quantity [angle]
    friction_angle : Quantity [angle]
        lambda, whose tangent is the coefficient of friction of chip on tool.
    model : str
        "merchant" or "lee-shaffer".
    machining_constant : Quantity [angle], optional
        C of Merchant's second solution, a property of the steel (about 70 deg); 90 deg without it.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or leaves no shear plane.

    Notes
    -----
    Basis: derived. Ghosh and Mallik, Manufacturing Science, Ex. 4.3 and 4.4, work it. Tests on steel scatter by 5 to 10 deg.
    """
    slope, friction = _angle(rake, "rake", -45, 60), _angle(friction_angle, "friction_angle", 0, 90)
    if _word(model, ("merchant", "lee-shaffer"), "model") == "merchant":
        constant = np.pi / 2 if machining_constant is None else _angle(machining_constant, "machining_constant", 0, 180)
        plane = (constant + slope - friction) / 2
    else:
        plane = np.pi / 4 + slope - friction
    if np.any(np.asarray(plane) <= 0):
        raise ValueError("friction_angle is so large that this model finds no shear plane; write a smaller one or more rake")
    return Quantity(np.degrees(plane), "deg")


def measured_shear_angle(rake, layer_thickness, chip_thickness):
    r"""Shear angle from a chip measured with the micrometer.

    .. math:: \tan\phi = \frac{r\cos\alpha}{1 - r\sin\alpha}, \quad r = h/h_{chip}

    Parameters
    ----------
    rake : Quantity [angle]
    layer_thickness, chip_thickness : Quantity [length]
        Before cutting (the feed, with a square-on edge) and of the chip.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; Ghosh and Mallik, Ex. 4.1. A chip thinner than its layer is told with an ``OutOfRangeWarning``.
    """
    slope = _angle(rake, "rake", -45, 60)
    ratio = np.asarray(magnitude(layer_thickness, "mm", "layer_thickness", above=0)) / magnitude(
        chip_thickness, "mm", "chip_thickness", above=0)  # fmt: skip
    if np.any(ratio > 1):
        _warn("chip_thickness is below layer_thickness: steel is not known to do that; measure again")
    return Quantity(np.degrees(np.arctan2(ratio * np.cos(slope), 1 - ratio * np.sin(slope))), "deg")


def shear_strain(rake, shear_angle):
    r"""Shear strain of the chip.

    .. math:: \gamma = \cot\phi + \tan(\phi - \alpha)

    Parameters
    ----------
    rake, shear_angle : Quantity [angle]

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; Ghosh and Mallik, Ex. 4.1.
    """
    slope, plane = _angle(rake, "rake", -45, 60), _angle(shear_angle, "shear_angle", 0, 90)
    return number(1 / np.tan(plane) + np.tan(plane - slope), "shear_strain")


def shear_plane_force(shear_strength, width, chip_thickness, rake, friction_angle, shear_angle):
    r"""Cutting and thrust force of a chip sheared on one plane.

    .. math:: F_c = \frac{\tau b h \cos(\lambda-\alpha)}{\sin\phi\cos(\phi+\lambda-\alpha)}, \quad F_t = F_c\tan(\lambda-\alpha)

    Parameters
    ----------
    shear_strength : Quantity [stress]
        Of the steel as it is being sheared, about its ultimate shear strength.
    width, chip_thickness : Quantity [length]
        Of the layer cut.
    rake, friction_angle, shear_angle : Quantity [angle]

    Returns
    -------
    tuple of Quantity [N]
        Along the speed, and square to it pressing the tool away.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived (Merchant's circle); Ghosh and Mallik, Ex. 4.3 and 4.4. The edge's own force is left out: see :func:`thin_chip_force`.
    """
    stress = magnitude(shear_strength, "MPa", "shear_strength", above=0)
    area = magnitude(width, "mm", "width", above=0) * magnitude(chip_thickness, "mm", "chip_thickness", above=0)
    tilt = _angle(friction_angle, "friction_angle", 0, 90) - _angle(rake, "rake", -45, 60)
    plane = _angle(shear_angle, "shear_angle", 0, 90)
    if np.any(np.cos(plane + tilt) <= 0):
        raise ValueError("shear_angle, friction_angle and rake together leave no resultant that shears the chip; check them")
    resultant = stress * area / np.sin(plane) / np.cos(plane + tilt)
    return Quantity(resultant * np.cos(tilt), "N"), Quantity(resultant * np.sin(tilt), "N")


def drive_torque(cutting_force, diameter):
    r"""Torque the spindle gives to a cut at a diameter.

    .. math:: T = F_c\,d/2

    Parameters
    ----------
    cutting_force : Quantity [force]
    diameter : Quantity [length]
        At the edge, about the axis of rotation; for the end of a web twice its swing radius.

    Returns
    -------
    Quantity [N m]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived.
    """
    return Quantity(magnitude(cutting_force, "N", "cutting_force", least=0) * magnitude(diameter, "m", "diameter", above=0) / 2, "N*m")


def center_friction_torque(thrust, large_diameter, small_diameter=None, friction=0.15, included_angle=None):
    r"""Torque of friction on a center: what a dead center takes from the drive, or a driving one gives without a dog.

    .. math:: T = \frac{\mu P}{\sin(\theta/2)}\,\frac{1}{3}\,\frac{D^3 - d^3}{D^2 - d^2}

    Parameters
    ----------
    thrust : Quantity [force]
        Axial force between the centers, with the feed force where it presses this way.
    large_diameter, small_diameter : Quantity [length]
        Mouth of the center hole, and its drilled hole (zero without it).
    friction : float
        Coefficient: 0.15 greased (a reference chart prints 0.15 to 0.20 for greased iron), 0.6 to 0.8 clean and dry.
    included_angle : Quantity [angle], optional
        Of the center; 60 deg without it.

    Returns
    -------
    Quantity [N m]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived, even pressure on the cone; a run-in center has up to a quarter less.
    """
    push = magnitude(thrust, "N", "thrust", least=0) * number(friction, "friction", least=0, most=2)
    large = magnitude(large_diameter, "m", "large_diameter", above=0)
    small = 0.0 if small_diameter is None else magnitude(small_diameter, "m", "small_diameter", least=0)
    half = np.pi / 6 if included_angle is None else _angle(included_angle, "included_angle", 0, 180.0001) / 2
    if np.any(np.asarray(small) >= large):
        raise ValueError("small_diameter must be below large_diameter: the cone has to bear on something")
    return Quantity(push / np.sin(half) * (large**3 - small**3) / (large**2 - small**2) / 3, "N*m")


def dog_force(torque, radius, friction_torque=None):
    r"""Force between the dog's tail and its driving pin.

    .. math:: F = (T + T_{center}) / r

    Parameters
    ----------
    torque : Quantity [torque]
        Of the cut, from :func:`drive_torque`.
    radius : Quantity [length]
        From the axis to where pin and tail touch.
    friction_torque : Quantity [torque], optional
        Of the dead center at the other end, from :func:`center_friction_torque`.

    Returns
    -------
    Quantity [N]
        A dog with one tail pushes the work aside with this force too, and the direction turns with the work; two
        tails on an evening driver do not.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived.
    """
    total = magnitude(torque, "N*m", "torque", least=0)
    total = total + (0.0 if friction_torque is None else magnitude(friction_torque, "N*m", "friction_torque", least=0))
    return Quantity(total / magnitude(radius, "m", "radius", above=0), "N")

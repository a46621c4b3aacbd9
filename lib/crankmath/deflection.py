"""How far the work gives under the cut: size error along the work, out-of-round, what repeated passes leave."""

from dataclasses import dataclass

import numpy as np

from .checks import made
from .crank import Crank
from .frame import frame
from .spacers.spacer_plan import bearing_gaps
from .units import Quantity, magnitude, number, ureg

COMPLIANCE, MICROMETER, RADIAN = (ureg.Unit(unit) for unit in ("um/N", "um", "rad"))


@dataclass(frozen=True)
class Setup:
    """How the work is held and what carries the tool; each stiffness left out is rigid.

    ``held`` is "main" for turning mains, or a throw (from zero) whose pin axis
    the centers stand on. ``driven`` is the end with the driver.
    ``left_center`` and ``right_center`` are sideways stiffnesses [force/length],
    ``driver`` is the driver's against twist [torque/angle], ``tool`` that of
    tool, post and slides together [force/length]. ``spacers`` are taken as
    bearing all the time.
    """

    held: str | int = "main"
    driven: str = "left"
    left_center: Quantity | None = None
    right_center: Quantity | None = None
    driver: Quantity | None = None
    tool: Quantity | None = None
    spacers: tuple = ()


RIGID = Setup()


def radial_compliance(crank, where, angle, setup=RIGID):
    """Deflection of the work per newton at the tool, in the direction it is pushed.

    Parameters
    ----------
    crank : Crank
    where : Quantity, scalar or array [length], or a word
        Distance from the crank's left end; along a pin the pin is meant. Or
        "pin" or "journal", or ("pin", 1), ("journal", 2) counted from zero: the
        middle of a pin or inner main, the web's face on an end main.
    angle : Quantity, scalar or array [angle]
        Direction of the push about the main axis, as a throw's angle is measured.
    setup : Setup

    Returns
    -------
    Quantity [um/N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values, a place that is not on the crank, no such pin or journal.

    Notes
    -----
    Basis: fitted data; the corrected beam frame of ``frame.build``, beside 3-D
    solids 3 % on the example cranks. Springs of centers, driver and tool are
    added exactly: the supports are statically determinate.
    """
    direction = magnitude(angle, "rad", "angle")
    place = _place(crank, where)
    tensor = _tensor(crank, place, setup)
    pushed = np.stack([np.cos(direction), np.sin(direction)], axis=-1)
    found = 1e3 * np.einsum("...i,...ij,...j->...", pushed, tensor, pushed)
    return Quantity(float(found) if np.ndim(found) == 0 else found, COMPLIANCE)


def out_of_round(crank, where, force, tangential_force=None, setup=RIGID):
    """Largest less smallest diameter that the work's uneven stiffness cuts: two lobes a turn.

    While the work turns, its compliance under the steady push swings twice a
    turn between its two principal values c1 > c2: the diameters differ by
    2 (c1 - c2) F. A tangential force adds at right angles: F = sqrt(Fr^2 + Ft^2).

    Parameters
    ----------
    crank, where, setup
        As for ``radial_compliance``.
    force : Quantity, scalar or array [force]
        Radial, steady.
    tangential_force : Quantity, optional [force]

    Returns
    -------
    Quantity [um]
        The difference of diameters. Roundness as a difference of radii is half of it.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``radial_compliance``; a negative force.

    Notes
    -----
    Basis: fitted data; as ``radial_compliance``. The change of force with
    depth is left out: it rounds the work a little.
    """
    push = magnitude(force, "N", "force", least=0)
    if tangential_force is not None:
        push = np.hypot(push, magnitude(tangential_force, "N", "tangential_force", least=0))
    low, high = np.moveaxis(np.linalg.eigvalsh(_tensor(crank, _place(crank, where), setup)), -1, 0)
    found = 2e3 * (high - low) * push
    return Quantity(float(found) if np.ndim(found) == 0 else found, MICROMETER)


def soft_direction(crank, where, setup=RIGID):
    """Direction in which the work gives most, from 0 to 180 degrees: there a radial push alone cuts it large.

    Parameters
    ----------
    crank, where, setup
        As for ``radial_compliance``.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``radial_compliance``.

    Notes
    -----
    Basis: fitted data; as ``radial_compliance``. For a cut with its tangential force see ``large_direction``.
    """
    tensor = _tensor(crank, _place(crank, where), setup)
    angle = (
        np.degrees(np.arctan2(2 * tensor[..., 0, 1], tensor[..., 0, 0] - tensor[..., 1, 1]) / 2)
        % 180
    )
    return Quantity(float(angle) if np.ndim(angle) == 0 else angle, "deg")


def large_direction(crank, where, force, tangential_force=None, setup=RIGID, turning="forward"):
    r"""Direction in which the work is cut largest, from 0 to 180 degrees.

    .. math:: \psi = s - \frac{1}{2}\arctan\frac{F_t}{F_r}

    s is the soft direction. The tangential force drags the work along, so the largest diameter stands up to 45
    degrees behind it.

    Parameters
    ----------
    crank, where, setup
        As for ``radial_compliance``.
    force : Quantity, scalar or array [force]
        Radial, steady.
    tangential_force : Quantity, optional [force]
        The cutting force; the work moves down past a tool at the front.
    turning : str
        "forward", counterclockwise seen from the tailstock, or "reverse".

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``radial_compliance``; a negative force; another word for the turning.

    Notes
    -----
    Basis: derived from ``radial_compliance``'s tensor: n.C(F_r n + F_t t) with t along the turning.
    """
    if turning not in ("forward", "reverse"):
        raise ValueError(f'turning must be "forward" or "reverse", not {turning!r}')
    push = magnitude(force, "N", "force", least=0)
    drag = (
        0.0
        if tangential_force is None
        else magnitude(tangential_force, "N", "tangential_force", least=0)
    )
    behind = np.degrees(np.arctan2(drag, push)) / 2 * (1 if turning == "forward" else -1)
    found = (soft_direction(crank, where, setup).m_as("deg") - behind) % 180
    return Quantity(float(found) if np.ndim(found) == 0 else found, "deg")


def size_error(crank, where, force, setup=RIGID):
    """How much too large the work is cut in diameter, on the mean of a turn: twice the give of work, centers and tool.

    Parameters
    ----------
    crank, where, setup
        As for ``radial_compliance``.
    force : Quantity, scalar or array [force]
        Radial, where the cut is taken.

    Returns
    -------
    Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``radial_compliance``; a negative force.

    Notes
    -----
    Basis: fitted data; as ``radial_compliance``. What is the same all along is
    taken out by the dial; what changes along the work is taper and barrel.
    """
    push = magnitude(force, "N", "force", least=0)
    found = 1e3 * np.trace(_tensor(crank, _place(crank, where), setup), axis1=-2, axis2=-1) * push
    return Quantity(float(found) if np.ndim(found) == 0 else found, MICROMETER)


def _place(crank, where):
    """Distances from the left end [mm]."""
    made(crank, Crank, "crank")
    if isinstance(where, str | tuple):
        kind, index = (where, 0) if isinstance(where, str) else (tuple(where) + (0,))[:2]
        for piece in crank.segments:
            if (piece.kind, piece.index) == (kind, index) and kind != "web":
                end = {0: 1.0, len(crank.throws): 0.0}.get(index, 0.5) if kind == "journal" else 0.5
                return piece.start + end * piece.length
        raise ValueError(
            f'where must be a distance, "pin", "journal", or ("pin", 0) counted from zero; this crank has no {where!r}'
        )
    place = magnitude(where, "mm", "where", least=0)
    total = crank.segments[-1].end
    if np.any(place > total * (1 + 1e-9)):
        raise ValueError(
            f"where must be on the crank, at most {total:.6g} mm from its left end; write it in mm"
        )
    return place


def _tensor(crank, place, setup):
    """Compliance of places toward 0 and 90 degrees, 2 by 2 each [mm/N]."""
    made(setup, Setup, "setup")
    built = frame.build(crank, held=setup.held, driven=setup.driven)
    flat = np.ravel(np.asarray(place, float))
    points = built.places(flat)
    tensor = built.own_compliance(points)[:, 1:, 1:]
    if setup.spacers:
        rows, give = bearing_gaps(crank, setup.spacers, built)
        opened = points.rows[:, 1:3] @ built.compliance @ rows.T
        tensor -= np.einsum("pis,st,pjt->pij", opened, np.linalg.inv(give), opened)
    total = built.segments[-1].end
    for name, share in (("left_center", 1 - flat / total), ("right_center", flat / total)):
        stiffness = getattr(setup, name)
        if stiffness is not None:
            tensor += (
                (share**2)[:, None, None]
                * np.eye(2)
                / magnitude(stiffness, "N/mm", name, above=0, one=True)
            )
    if setup.driver is not None:
        arm = built.start[points.beam, 1:] - built.center
        turned = np.stack([-arm[:, 1], arm[:, 0]], axis=1)
        tensor += (
            turned[:, :, None]
            * turned[:, None, :]
            / magnitude(setup.driver, "N*mm/rad", "driver", above=0, one=True)
        )
    if setup.tool is not None:
        tensor += np.eye(2) / magnitude(setup.tool, "N/mm", "tool", above=0, one=True)
    return tensor.reshape(np.shape(place) + (2, 2))


def repeated_pass_error(first_error, work_stiffness, cutting_stiffness, passes):
    """Error left after passes at the same setting: each leaves the share k_c / (k + k_c) of the one before.

    Parameters
    ----------
    first_error : Quantity, scalar or array [length]
        Error in radius before the passes.
    work_stiffness : Quantity [force/length]
        Of work, centers and tool together.
    cutting_stiffness : Quantity [force/length]
        Radial force per depth of cut: specific force times width, times the radial share.
    passes : int or array

    Returns
    -------
    Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values.

    Notes
    -----
    Basis: derived; force in proportion to depth. Below the least chip thickness a worn
    edge rubs, and the error stays.
    """
    before = magnitude(first_error, "um", "first_error")
    stiff = magnitude(work_stiffness, "N/mm", "work_stiffness", above=0)
    cut = magnitude(cutting_stiffness, "N/mm", "cutting_stiffness", least=0)
    return Quantity(before * (cut / (stiff + cut)) ** number(passes, "passes", least=0), MICROMETER)

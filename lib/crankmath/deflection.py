"""Deflection of the work under the cut: size error along it, out-of-round, what passes leave."""

from dataclasses import dataclass

import numpy as np

from .checks import made, takes
from .crank import Crank
from .frame import frame
from .spacers.spacer_plan import bearing_gaps
from .units import Quantity, magnitude


@dataclass(frozen=True)
class Setup:
    """How the work is held and what carries the tool; each stiffness left out is rigid.

    ``held`` is "main" for turning mains, or a throw (from zero) whose pin axis the centers stand
    on. ``driven`` is the end with the driver. ``left_center`` and ``right_center`` are sideways
    stiffnesses [force/length], ``driver`` is the driver's against twist [torque/angle], ``tool``
    that of tool, post and slides together [force/length]. ``spacers`` are taken as bearing all the
    time.
    """

    held: str | int = "main"
    driven: str = "left"
    left_center: Quantity | None = None
    right_center: Quantity | None = None
    driver: Quantity | None = None
    tool: Quantity | None = None
    spacers: tuple = ()


RIGID = Setup()


@takes(crank=Crank, angle="rad", gives="um/N")
def radial_compliance(crank, where, angle, setup=RIGID):
    """Deflection of the work per newton at the tool, in the direction it is pushed.

    ``where`` is a distance [length] from the crank's left end, along a pin the pin's; or "pin",
    "journal", ("pin", 1), ("journal", 2) counted from zero: the middle of a pin or inner main, the
    web's face on an end main. ``angle`` is the direction of the push about the main axis, as a
    throw's angle is measured; ``setup`` how the work is held.
    Basis: fitted data; the corrected beam frame of ``frame.build``, beside 3-D solids 3 % on the
    example cranks. Springs of centers, driver and tool are added exactly: the supports are
    statically determinate.
    """
    pushed = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    tensor = _tensor(crank, where, setup)
    return _plain(1e3 * np.einsum("...i,...ij,...j->...", pushed, tensor, pushed))


@takes(crank=Crank, force="N >= 0", tangential_force="N >= 0", gives="um")
def out_of_round(crank, where, force, tangential_force=None, setup=RIGID):
    """Largest less smallest diameter that the work's uneven stiffness cuts: two lobes a turn.

    While the work turns, its compliance under the steady push swings twice a turn between its two
    principal values c1 > c2: the diameters differ by 2 (c1 - c2) F. The radial force and a
    tangential one add at right angles: F = sqrt(Fr^2 + Ft^2). ``where`` and ``setup`` as for
    ``radial_compliance``. Roundness as a difference of radii is half of it.
    Basis: fitted data; as ``radial_compliance``. The change of force with depth is left out: it
    rounds the work a little.
    """
    push = force if tangential_force is None else np.hypot(force, tangential_force)
    low, high = np.moveaxis(np.linalg.eigvalsh(_tensor(crank, where, setup)), -1, 0)
    return _plain(2e3 * (high - low) * push)


@takes(crank=Crank, gives="deg")
def soft_direction(crank, where, setup=RIGID):
    """Direction of the work's largest compliance, from 0 to 180 degrees.

    A radial push alone cuts the work largest there. ``where`` and ``setup`` as for
    ``radial_compliance``.
    Basis: fitted data; as ``radial_compliance``. For a cut with its tangential force see
    ``large_direction``.
    """
    tensor = _tensor(crank, where, setup)
    twice = np.arctan2(2 * tensor[..., 0, 1], tensor[..., 0, 0] - tensor[..., 1, 1])
    return _plain(np.degrees(twice / 2) % 180)


@takes(
    crank=Crank,
    force="N >= 0",
    tangential_force="N >= 0",
    turning=("forward", "reverse"),
    gives="deg",
)
def large_direction(crank, where, force, tangential_force=None, setup=RIGID, turning="forward"):
    r"""Direction in which the work is cut largest, from 0 to 180 degrees.

    .. math:: \psi = s - \frac{1}{2}\arctan\frac{F_t}{F_r}

    s is the soft direction. The tangential force, the cutting force that moves the work down past a
    tool at the front, drags it along, so the largest diameter stands up to 45 degrees behind s.
    ``force`` is the steady radial one; ``turning`` is "forward", counterclockwise seen from the
    tailstock, or "reverse"; ``where`` and ``setup`` as for ``radial_compliance``.
    Basis: derived from ``radial_compliance``'s tensor: n.C(F_r n + F_t t) with t along the turning.
    """
    drag = 0.0 if tangential_force is None else tangential_force
    behind = np.degrees(np.arctan2(drag, force)) / 2 * (1 if turning == "forward" else -1)
    return _plain((soft_direction.plain(crank, where, setup) - behind) % 180)


@takes(crank=Crank, force="N >= 0", gives="um")
def size_error(crank, where, force, setup=RIGID):
    """Error of the diameter, plus where too large, as a mean over a turn: twice the deflection.

    ``force`` is the radial one where the cut is taken; ``where`` and ``setup`` as for
    ``radial_compliance``.
    Basis: fitted data; as ``radial_compliance``. What is the same all along is taken out by the
    dial; what changes along the work is taper and barrel.
    """
    tensor = _tensor(crank, where, setup)
    return _plain(1e3 * np.trace(tensor, axis1=-2, axis2=-1) * force)


@takes(
    first_error="um",
    work_stiffness="N/mm > 0",
    cutting_stiffness="N/mm >= 0",
    passes="number >= 0",
    gives="um",
)
def repeated_pass_error(first_error, work_stiffness, cutting_stiffness, passes):
    """Error in radius left after passes at one setting: each leaves k_c / (k + k_c) of the last.

    ``work_stiffness`` k is that of work, centers and tool together, ``cutting_stiffness`` k_c the
    radial force per depth of cut: specific force times width, times the radial fraction.
    Basis: derived; force in proportion to depth. Below the least chip thickness a worn edge rubs,
    and the error stays.
    """
    left = cutting_stiffness / (work_stiffness + cutting_stiffness)
    return first_error * left**passes


def _plain(found):
    return float(found) if np.ndim(found) == 0 else found


def _place(crank, where):
    """Distances from the left end [mm]."""
    plain = crank.plain
    if isinstance(where, str | tuple):
        kind, index = (where, 0) if isinstance(where, str) else (tuple(where) + (0,))[:2]
        for piece in plain.rounds:
            if (piece.kind, piece.index) == (kind, index):
                # an end main is loaded at its web
                return {plain.mains[0]: piece.end, plain.mains[-1]: piece.start}.get(
                    piece, piece.middle
                )
        raise ValueError(
            'where must be a distance, "pin", "journal", or ("pin", 0) counted from zero; '
            f"this crank has no {where!r}"
        )
    place = magnitude(where, "mm", "where", least=0)
    if np.any(place > plain.length * (1 + 1e-9)):
        raise ValueError(
            f"where must be on the crank, at most {plain.length:.6g} mm from its left end; "
            "write it in mm"
        )
    return place


def _tensor(crank, where, setup):
    """Compliance of places toward 0 and 90 degrees, 2 by 2 each [mm/N]."""
    made(setup, Setup, "setup")
    place, total = _place(crank, where), crank.plain.length
    built = frame.build(crank, held=setup.held, driven=setup.driven)
    flat = np.ravel(np.asarray(place, float))
    points = built.places(flat)
    tensor = built.own_compliance(points)[:, 1:, 1:]
    if setup.spacers:
        rows, compliance = bearing_gaps(crank, setup.spacers, built)
        opened = points.rows[:, 1:3] @ built.compliance @ rows.T
        tensor -= np.einsum("pis,st,pjt->pij", opened, np.linalg.inv(compliance), opened)
    for name, share in (("left_center", 1 - flat / total), ("right_center", flat / total)):
        if (stiffness := _stiffness(setup, name, "N/mm")) is not None:
            tensor += (share**2)[:, None, None] * np.eye(2) / stiffness
    if (stiffness := _stiffness(setup, "driver", "N*mm/rad")) is not None:
        arm = built.start[points.beam, 1:] - built.center
        turned = np.stack([-arm[:, 1], arm[:, 0]], axis=1)
        tensor += turned[:, :, None] * turned[:, None, :] / stiffness
    if (stiffness := _stiffness(setup, "tool", "N/mm")) is not None:
        tensor += np.eye(2) / stiffness
    return tensor.reshape(np.shape(place) + (2, 2))


def _stiffness(setup, name, unit):
    value = getattr(setup, name)
    return None if value is None else magnitude(value, unit, name, above=0, one=True)

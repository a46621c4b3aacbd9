"""The right object at the door: a crank, a bar, a result, or an error that says how one is made."""

import operator

HOW_MADE = {
    "Crank": 'Crank.load("pump")',
    "Bar": "bar.smallest_bar(crank)",
    "CenterLayout": "layout.center_layout(crank, bar)",
    "Steel": 'steels.find("C45")',
    "Lathe": "load_lathe()",
    "TurnLoads": "service.turn_loads(crank, cylinders, speed)",
    "Runout": "inspection.fit_runout(angle, reading)",
    "Warming": "warming.warm(crank, heat, time)",
    "CenterHole": "center_holes.center_hole(work_diameter)",
    "TorsionalModes": "torsion.crank_modes(crank)",
    "Limits": 'fits.limits(size, "k6")',
    "Cylinder": "service.Cylinder(rod_length, push)",
    "Mode": "Mode(frequency, stiffness, damping_ratio)",
    "Spacer": "Spacer(throw, misfit, diameter)",
    "Place": "strength.places(crank)[0]",
    "StrengthResult": "strength.check_strength(crank, loads)",
}


def made(value, kind, name):
    """The value itself if it is the part or result that is wanted, or an error that says how to make one.

    Parameters
    ----------
    value : object
    kind : class or tuple of them
    name : str
        Argument name used in the message.

    Returns
    -------
    object
        ``value``.

    Raises
    ------
    TypeError
        It is something else.

    Notes
    -----
    Basis: derived.
    """
    if not isinstance(value, kind):
        wanted = (
            " or ".join(one.__name__ for one in kind) if isinstance(kind, tuple) else kind.__name__
        )
        raise TypeError(
            f"{name} has to be a {wanted}: write {HOW_MADE.get(wanted, f'{wanted}(...)')}, not {repr(value)[:60]}"
        )
    return value


def several(values, kind, name):
    """One part or a row of parts as a tuple, each checked like :func:`made`.

    Parameters
    ----------
    values : object, or list or tuple of them
    kind : class
    name : str
        Argument name used in the message.

    Returns
    -------
    tuple

    Raises
    ------
    TypeError
        One of them is something else.

    Notes
    -----
    Basis: derived.
    """
    if not isinstance(values, (list, tuple)):
        return (made(values, kind, name),)
    return tuple(made(value, kind, f"{name}[{place}]") for place, value in enumerate(values))


def counted(value, row, name):
    """A place in a row, counted from zero as Python counts.

    Parameters
    ----------
    value : int
    row : sequence
        What is counted, for example ``crank.throws``.
    name : str
        Argument name used in the message.

    Returns
    -------
    int

    Raises
    ------
    ValueError
        No whole number, or none of the row's places.

    Notes
    -----
    Basis: derived.
    """
    try:
        place = operator.index(value)
    except TypeError:
        place = -1
    if isinstance(value, bool) or place not in range(len(row)):
        raise ValueError(
            f"{name} must be from 0 to {len(row) - 1}, counted from zero, not {repr(value)[:40]}"
        )
    return place

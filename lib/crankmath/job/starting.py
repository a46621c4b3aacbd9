"""What the answers of a job start from, and where each comes from."""

from functools import cache

from ..blank import layout
from ..lathe import load_lathe
from ..tables import settings
from ..units import as_text
from .fields import BY_KEY, FIELDS


@cache
def starting_texts(name="all", units="mm"):
    """What each answer starts from: (text, where it comes from) by key.

    Parameters
    ----------
    name : str
        An example crank; any other name gets the answers that hold for all.
    units : "mm" or "in"
        Round sizes of the one or the other.

    Returns
    -------
    dict

    Notes
    -----
    Basis: assumed values of our example machines, each marked; the lathe is ``load_lathe()``.
    """
    stored, shop = settings("job_defaults"), settings("workshop")
    lathe, assumed = load_lathe(), "night school's lathe, assumed"
    texts = {
        "lathe_name": (lathe.name, assumed),
        "center_height": (as_text(lathe.center_height), assumed),
        "between_centers": (as_text(lathe.between_centers), assumed),
        "power": (as_text(lathe.power), assumed),
        "swing_over_carriage": (as_text(2 * lathe.center_height_over_carriage), assumed),
        "handwheel_lead": (as_text(layout.handwheel_lead(units)), "night school's mill, assumed"),
        "backlash": (f"{shop['backlash_mm']:g} mm", "night school's mill, assumed"),
        "gear_table": (" ".join(f"{step:g}" for step in lathe.gear_table.m_as("rpm")), assumed),
        "unbalance_force": (
            as_text(lathe.unbalance_force),
            f"{assumed}: go up one step at a time to find your own",
        ),
    }
    for group in ("all", *(("inch",) if units == "in" else ()), name):
        texts |= {key: tuple(pair) for key, pair in stored.get(group, {}).items()}
    return {field.key: texts[field.key] for field in FIELDS}


def starting_answers(name="all", units="mm"):
    """Answers read from :func:`starting_texts`."""
    return {key: BY_KEY[key].read(text) for key, (text, _) in starting_texts(name, units).items()}

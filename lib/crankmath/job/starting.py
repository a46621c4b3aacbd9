"""What the answers of a job start from, and where each comes from."""

from functools import cache

from ..blank import layout
from ..lathe import load_lathe
from ..tables import settings
from ..units import as_text
from .fields import BY_KEY, FIELDS
from .of_lathe import answers_of

MEASURE = {  # how to find out, of the lathe's answers
    "efficiency": "geared head, from memory",
    "unbalance_force": "go up one step at a time to find your own",
    "headstock_stiffness": "push the center sideways with a known force and read a dial",
    "tailstock_stiffness": "push the center sideways with a known force and read a dial",
    "axial_stiffness": "press a center with a known force and read a dial",
    "tool_stiffness": "hang a weight on the tool post and read a dial",
    "tool_axial_stiffness": "push the tool post along the bed and read a dial",
    "tool_frequency": "tap the tool post and record the ring",
    "tool_axial_frequency": "tap the tool post along the bed and record the ring",
    "damping_ratio": "usual 0.02 to 0.05 (from memory): tap the work and record the ring",
    "process_damping": "2e4 to 2.5e5 N/m (from memory): measured by where chatter stops",
}


@cache
def starting_texts(name="all", units="mm"):
    """What each answer starts from: (text, where it comes from) by key.

    name is an example crank; any other name gets the answers that hold for all. units "mm" or "in"
    asks for round sizes of the one or the other.
    Basis: assumed values of our example machines, each marked; the lathe is ``load_lathe()``.
    """
    stored, shop = settings("job_defaults"), settings("workshop")
    lathe, assumed = answers_of(load_lathe()), "night school's lathe, assumed"
    texts = {key: (BY_KEY[key].shown(value, "mm"), assumed) for key, value in lathe.items()}
    texts |= {key: (texts[key][0], f"{assumed}: {how}") for key, how in MEASURE.items()}
    texts |= {
        "handwheel_lead": (as_text(layout.handwheel_lead(units)), "night school's mill, assumed"),
        "backlash": (f"{shop['backlash_mm']:g} mm", "night school's mill, assumed"),
    }
    for group in ("all", *(("inch",) if units == "in" else ()), name):
        texts |= {key: tuple(pair) for key, pair in stored.get(group, {}).items()}
    return {field.key: texts[field.key] for field in FIELDS}


def starting_answers(name="all", units="mm"):
    """Answers read from :func:`starting_texts`."""
    return {key: BY_KEY[key].read(text) for key, (text, _) in starting_texts(name, units).items()}

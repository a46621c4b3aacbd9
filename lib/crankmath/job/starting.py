"""What the answers of a job start from: assumed ones with their source, a lathe's, and files of
earlier sheets."""

from functools import cache

from ..blank import layout
from ..language import _
from ..lathe import KEYS, Lathe, attribute, load_lathe
from ..tables import settings
from ..units import Quantity, as_text
from .fields import BY_KEY, FIELDS

ATTRIBUTES = {  # answers of a job by the lathe's attributes, where their names differ
    "name": "lathe_name",
    "center_height_over_carriage": "swing_over_carriage",
}
ROWS = {"gear_table": "rpm", "feeds": "mm"}


def key_of(key):
    """Key of a job's answer by a key of the lathe's file."""
    return ATTRIBUTES.get(attribute(key), attribute(key))


ANSWERS = frozenset(map(key_of, KEYS))


def answers_of(lathe, known_only=False):
    """Answers of a job that a lathe gives; known_only leaves out what its file did not give."""
    found = {}
    for name in map(attribute, KEYS):
        if known_only and name in lathe.assumed:
            continue
        value = getattr(lathe, name)
        if name in ROWS:
            value = tuple(value.m_as(ROWS[name]).tolist())
        elif name == "center_height_over_carriage":
            value = 2 * value
        found[ATTRIBUTES.get(name, name)] = value
    return found


def lathe_of(job):
    """The lathe that a job's answers describe."""
    values, assumed = {}, []
    for name in map(attribute, KEYS):
        key = ATTRIBUTES.get(name, name)
        value = job[key]
        if name in ROWS:
            value = Quantity(list(value), ROWS[name])
        elif name == "center_height_over_carriage":
            value = value / 2
        values[name] = value
        if key not in job.given:
            assumed.append(name)
    return Lathe(**values, assumed=tuple(sorted(assumed)))


MEASURE = {  # how to find out, of the lathe's answers
    "efficiency": _("geared head, from memory"),
    "unbalance_force": _("go up one step at a time to find your own"),
    "headstock_stiffness": _("push the center sideways with a known force and read a dial"),
    "tailstock_stiffness": _("push the center sideways with a known force and read a dial"),
    "axial_stiffness": _("press a center with a known force and read a dial"),
    "tool_stiffness": _("hang a weight on the tool post and read a dial"),
    "tool_axial_stiffness": _("push the tool post along the bed and read a dial"),
    "tool_frequency": _("tap the tool post and record the ring"),
    "tool_axial_frequency": _("tap the tool post along the bed and record the ring"),
    "damping_ratio": _("usual 0.02 to 0.05 (from memory): tap the work and record the ring"),
    "process_damping": _("2e4 to 2.5e5 N/m (from memory): measured by where chatter stops"),
}

NEWER = (  # questions that files of earlier sheets do not answer: they start as usual
    *("dog_width", "dog_wall", "dog_screw", "slot_method", "chain_drill", "web_outline"),
    *("rotating_mass", "bearing_series", "bearing_play", "counterweights", "banks", "bank_angle"),
    *("drive", "base_speed", "feeds", "headstock_stiffness", "tailstock_stiffness"),
    *("axial_stiffness", "tool_axial_stiffness", "tool_frequency", "tool_axial_frequency"),
    *("process_damping", "slide_reach", "tool", "rough_nose", "approach_angle", "hardness"),
    *("tool_stiffness", "damping_ratio", "peak_pressure", "compression_ratio"),
    *("fixing", "fixing_length", "fixing_hole"),
)
SCHOOL = ("tool_stiffness", "damping_ratio")  # that earlier sheets assumed of another lathe


@cache
def starting_texts(name="all", units="mm"):
    """What each answer starts from: (text, where it comes from) by key.

    ``name`` is an example crank; any other name gets the answers that hold for all. ``units`` "mm"
    or "in" asks for round sizes of the one or the other.
    Basis: assumed values of our example machines, each marked; the lathe is ``load_lathe()``.
    """
    stored, shop = settings("job_defaults"), settings("workshop")
    lathe, assumed = answers_of(load_lathe()), _("night school's lathe, assumed")
    texts = {key: (BY_KEY[key].shown(value, "mm"), assumed) for key, value in lathe.items()}
    texts |= {key: (texts[key][0], f"{assumed}: {how}") for key, how in MEASURE.items()}
    texts |= {
        "handwheel_lead": (
            as_text(layout.handwheel_lead(units)),
            _("night school's mill, assumed"),
        ),
        "backlash": (f"{shop['backlash_mm']:g} mm", _("night school's mill, assumed")),
    }
    groups = ("all", *(("inch",) if units == "in" else ()), name)
    for group in dict.fromkeys(groups):  # the later ones count, "all" never twice
        texts |= {key: (text, _(basis)) for key, (text, basis) in stored.get(group, {}).items()}
    return {field.key: texts[field.key] for field in FIELDS}


def starting_answers(name="all", units="mm"):
    """Answers read from :func:`starting_texts`."""
    return {
        key: BY_KEY[key].read(text) for key, (text, _unused) in starting_texts(name, units).items()
    }


def up_to_date(answers, given):
    """Answers of a file and the keys typed, earlier questions turned into those of today.

    One stiffness for both centers becomes that of each; one nose for all tools becomes that of
    each. What such a file only assumed of the lathe is left out, so that it starts as usual: there
    is one lathe.
    """
    answers, given = dict(answers), list(given)
    if "center_stiffness" in answers:
        both = answers.pop("center_stiffness")
        if "center_stiffness" in given:
            given.remove("center_stiffness")
            for key in ("headstock_stiffness", "tailstock_stiffness"):
                answers.setdefault(key, both)
                given.append(key)
        for key in SCHOOL:
            if key not in given:
                answers.pop(key, None)
    if "rough_nose" not in answers and "nose_radius" in answers:
        answers["rough_nose"] = answers["nose_radius"]
        if "nose_radius" in given:
            given.append("rough_nose")
    return answers, given

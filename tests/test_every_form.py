"""The forms of crank, job and readings under hundreds of messages in any order: no error, fields always whole, and what is refused is told."""

import os
import random
import warnings

import pytest
from calls import ODD

from crankbook.forms.crank_form import CrankForm
from crankbook.forms.job_form import TAKEN, VARIANT, JobForm
from crankbook.forms.readings_form import CHOICES, ReadingsForm
from crankmath.crank import steels
from crankmath.job.fields import FIELDS
from crankmath.units import OutOfRangeWarning

pytestmark = pytest.mark.usefixtures("own_folder")
MESSAGES = 500 if int(os.environ.get("SWEEP", "40")) >= 200 else 40
TEXTS = [
    *ODD,
    "1 mm",
    "5 mm",
    "0.01 mm",
    "500 mm",
    "20",
    "1/2 in",
    '3/4"',
    "1e-9 mm",
    "10 um",
    "50 N",
    "100 lbf",
    "2 kN",
    "300 rpm",
    "0.5",
    "90 deg",
    "C45",
    "1 2 3 4",
    "3",
]
LINES = [
    "0 0.01",
    "90 0",
    "180 -5",
    "270 1 mm",
    "a b",
    "1,2",
    "0;1",
    "0\t1",
    "",
    "1e9 1e9",
    "nan nan",
    "0 0\n0 0\n0 0",
    "1",
    "1 2 3 4 5",
    "0 0.01 mm\n90 0\n180 -0.01\n270 0",
    "\n".join(f"{3 * turn} {turn % 7} um" for turn in range(120)),
]


def crank_message(form, source):
    fields = [
        form.spec["name"],
        *(field for group in form.spec["groups"] for field in group["fields"]),
    ]
    return source.choices(
        [
            {"type": "edit", "key": source.choice(fields)["key"], "text": source.choice(TEXTS)},
            {"type": "edit", "key": "units", "text": source.choice(["mm", "in", "cm", ""])},
            {"type": "edit", "key": "steel", "text": source.choice([*steels.NAMES, "cheese"])},
            {"type": "start", "name": source.choice(form.spec["starts"])},
            {"type": "add"},
            {"type": "remove", "index": source.choice([0, 1, 5, -1])},
            {"type": "back"},
            {"type": "save"},
        ],
        [75, 5, 5, 3, 4, 3, 3, 2],
    )[0]


def job_message(form, source):
    field, (key, _, options) = source.choice(FIELDS), source.choice(VARIANT)
    return source.choices(
        [
            {"type": "edit", "key": field.key, "text": source.choice([*field.options] or TEXTS)},
            {"type": "edit", "key": field.key, "text": source.choice(TEXTS)},
            {"type": "variant", "key": key, "text": source.choice([*options, *TEXTS])},
            {"type": "back"},
            {"type": "anew"},
            {"type": "sheet"},
        ],
        [60, 20, 10, 4, 3, 3],
    )[0]


def readings_message(form, source):
    key = source.choice([name for name in form.entry if name != "text"])
    return source.choices(
        [
            {
                "type": "edit",
                "field": "text",
                "text": "\n".join(source.choices(LINES, k=source.randrange(1, 6))),
            },
            {"type": "edit", "field": key, "text": source.choice([*CHOICES.get(key, TEXTS)])},
            {"type": "place", "name": source.choice(form.spec["places"])},
            {"type": "again"},
        ],
        [50, 40, 7, 3],
    )[0]


@pytest.mark.parametrize(
    ("make", "message"),
    [(CrankForm, crank_message), (JobForm, job_message), (ReadingsForm, readings_message)],
    ids=lambda one: one.__name__,
)
def test_no_message_breaks_a_form(make, message):
    form, source = make(), random.Random(make.__name__)
    for _ in range(MESSAGES):
        sent = message(form, source)
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            warnings.simplefilter("ignore", OutOfRangeWarning)
            form.receive(sent)
        refused = getattr(form, "refused", None) or getattr(form, "problems", {})
        assert all(isinstance(words, str) and " " in words for words in refused.values()), (
            sent,
            refused,
        )
        if make is JobForm:
            shown = {
                field["key"]: field for group in form.spec["groups"] for field in group["fields"]
            }
            assert shown.pop(TAKEN)["options"] and form.found["rows"], sent
            assert set(shown) == {field.key for field in FIELDS}, sent
            assert all(shown[key]["text"] == form.typed[key] for key in form.refused), (
                "what was typed is gone"
            )
    assert make().spec.keys() == form.spec.keys()  # what was kept opens again

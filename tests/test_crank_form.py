"""The form of a crank's sizes: what is typed, what is taken, what is kept, what is saved; edits by lines of text."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankbook.forms import crank_words
from crankbook.forms.crank_form import CrankForm
from crankbook.lesson import own
from crankmath.crank import EXAMPLES, Crank
from crankmath.units import Quantity

PUMP = Crank.load("pump")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "work"))
    return tmp_path / "work"


def fields(form):
    """What the page shows, by its spoken name."""
    shown = {one["spoken"]: one for group in form.spec["groups"] for one in group["fields"]}
    return {"name": form.spec["name"], **shown}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_size_has_a_field_in_the_cranks_units(name):
    crank = Crank.load(name)
    shown = fields(CrankForm(crank))
    assert len(shown) == 1 + 3 * len(crank.journals) + 8 * len(crank.throws)
    for number, journal in enumerate(crank.journals, 1):
        assert (
            shown[f"main {number} diameter"]["text"]
            == f"{journal.diameter.magnitude:g} {crank.units}"
        )
    for number, throw in enumerate(crank.throws, 1):
        assert (
            shown[f"throw {number} radius"]["text"] == f"{throw.radius.magnitude:g} {crank.units}"
        )
        assert shown[f"throw {number} angle"]["text"] == f"{throw.angle.magnitude:g}°"


def test_a_typed_size_is_taken_said_and_passed_on():
    form, heard = CrankForm(PUMP), []
    form.on_change(heard.append)
    assert form.set("throw 1 radius", "3/4 in") == "throw 1 radius read as 19.05 mm."
    assert form.crank.throws[0].radius.m_as("mm") == pytest.approx(19.05)
    assert heard == [form.crank]
    assert fields(form)["throw 1 radius"]["text"] == "3/4 in"  # as typed
    assert fields(form)["throw 1 radius"]["note"] == "read as 19.05 mm"
    assert "throw 1 of 19.05 mm at 0°" in form.picture["alt"]


@pytest.mark.parametrize(("units", "wanted"), [("mm", 20.0), ("in", 508.0)])
def test_a_bare_number_is_read_in_the_cranks_units_and_says_so(units, wanted):
    form = CrankForm(Crank.load("pump" if units == "mm" else "bellows"))
    form.set("main 1 length", "20")
    assert form.crank.journals[0].length.m_as("mm") == wanted
    assert fields(form)["main 1 length"]["note"] == f"read as 20 {units}"


def test_a_text_that_is_no_size_marks_its_field_and_nothing_else():
    form = CrankForm(PUMP)
    form.set("throw 1 radius", "eighteen")
    form.set("main 2 length", "50 mm")
    shown = fields(form)
    assert shown["throw 1 radius"]["text"] == "eighteen"
    assert shown["throw 1 radius"]["problem"].startswith("throw 1 radius: no number found")
    assert [name for name, one in shown.items() if one["problem"]] == ["throw 1 radius"]
    assert form.crank.throws == PUMP.throws
    assert form.crank.journals[1].length.m_as("mm") == 50
    assert form.spec["waiting"]
    form.set("throw 1 radius", "18,5")
    assert form.crank.throws[0].radius.m_as("mm") == 18.5
    assert not form.spec["waiting"]


def test_an_impossible_size_waits_until_the_others_make_room():
    """A pin of 30 needs a web 30 wide that reaches 15: each of three edits waits or is taken as soon as it can be."""
    form = CrankForm(PUMP)
    form.set("throw 1 pin diameter", "30 mm")
    assert fields(form)["throw 1 pin diameter"]["problem"].startswith(
        "throw 1 pin diameter is larger than throw 1 web width"
    )
    form.set("throw 1 web width", "32 mm")
    assert fields(form)["throw 1 pin diameter"]["problem"].startswith(
        "throw 1 pin diameter sticks out past throw 1 web reach"
    )
    assert form.crank.throws[0].pin_diameter.m_as("mm") == 18
    form.set("throw 1 web reach", "16 mm")
    assert form.crank.throws[0].pin_diameter.m_as("mm") == 30
    assert not any(one["problem"] for one in fields(form).values())


def test_an_edit_that_breaks_what_stands_is_marked_where_it_was_typed():
    """The crank's check names the pin; the field at fault is the web just typed."""
    form = CrankForm(PUMP)
    form.set("throw 1 pin diameter", "20 mm")
    form.set("throw 1 web width", "19 mm")
    problems = {name: one["problem"] for name, one in fields(form).items() if one["problem"]}
    assert list(problems) == ["throw 1 web width"]
    assert problems["throw 1 web width"].startswith(
        "main 1 diameter is larger than throw 1 web width"
    )
    assert form.crank.throws[0].web_width.m_as("mm") == 28
    assert form.crank.throws[0].pin_diameter.m_as("mm") == 20


def test_units_convert_and_never_relabel():
    form = CrankForm(PUMP)
    form.set("main 1 length", "500000")  # too long to be: waits, in millimeters
    form.set("units", "in")
    assert form.crank.units == "in"
    assert form.crank.throws == PUMP.throws
    shown = fields(form)
    assert shown["throw 1 radius"]["text"] == "0.708661 in"
    assert shown["main 1 length"]["text"] == "500000 mm"
    form.set("units", "mm")
    assert fields(form)["throw 1 radius"]["text"] == "18 mm"
    assert form.crank == PUMP
    form.receive({"type": "edit", "key": "units", "text": "furlong"})
    assert form.status == "units must be mm or in, not “furlong”"
    assert form.crank == PUMP


def test_name_and_steel():
    form = CrankForm(PUMP)
    form.set("name", "garden pump")
    form.set("steel", "s355")
    assert (form.crank.name, form.crank.steel) == ("garden pump", "S355")
    form.set("name", "x" * 31)
    assert "1 to 30 characters, not 31" in fields(form)["name"]["problem"]
    form.set("steel", "cheese")
    assert "steel 'cheese' is not known" in form.status
    assert (form.crank.name, form.crank.steel) == ("garden pump", "S355")


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_throw_added_and_removed_again(name):
    crank = Crank.load(name)
    form = CrankForm(crank)
    form.receive({"type": "add"})
    count = len(crank.throws) + 1
    assert len(form.crank.throws) == count
    assert (form.crank.throws[-1].angle - crank.throws[-1].angle).m_as(
        "deg"
    ) % 360 == pytest.approx(180)
    assert form.crank.journals[-1] == crank.journals[-1]
    assert form.spec["throws"] == count
    form.receive({"type": "remove", "index": count - 1})
    assert form.crank == crank


def test_removing_each_throw_keeps_the_ends():
    organ = Crank.load("organ")
    for index in range(3):
        form = CrankForm(organ)
        form.receive({"type": "remove", "index": index})
        assert form.crank.throws == tuple(
            throw for number, throw in enumerate(organ.throws) if number != index
        )
        assert (form.crank.journals[0], form.crank.journals[-1]) == (
            organ.journals[0],
            organ.journals[-1],
        )
        assert form.status == f"Throw {index + 1} removed."
    form = CrankForm(PUMP)
    form.receive({"type": "remove", "index": 0})
    assert form.status == "Not done: throw 1 is the only one; a crank needs at least one."
    assert form.crank == PUMP


def test_what_waits_moves_along_with_its_throw():
    form = CrankForm(Crank.load("organ"))
    form.set("throw 3 radius", "half an inch")
    form.set("main 4 length", "long")
    form.set("throw 1 pin length", "short")
    form.receive({"type": "add"})
    problems = {name for name, one in fields(form).items() if one["problem"]}
    assert problems == {"throw 3 radius", "main 5 length", "throw 1 pin length"}
    form.receive({"type": "remove", "index": 0})
    shown = fields(form)
    assert {name: one["text"] for name, one in shown.items() if one["problem"]} == {
        "throw 2 radius": "half an inch",
        "main 4 length": "long",
    }
    form.receive({"type": "back"})
    assert not any(one["problem"] for one in fields(form).values())
    assert fields(form)["throw 2 radius"]["text"] == "0.5 in"


def test_no_more_throws_than_the_form_takes(monkeypatch):
    monkeypatch.setattr(crank_words, "MOST_THROWS", 2)
    form = CrankForm(PUMP)
    for _ in range(3):
        form.receive({"type": "add"})
    assert len(form.crank.throws) == 2
    assert form.status.startswith("Not done: throws are at most 2")


def test_save_writes_the_readers_own_part_and_says_where(folder):
    form = CrankForm(PUMP)
    form.set("throw 1 radius", "20 mm")
    form.set("name", "garden pump")
    form.receive({"type": "save"})
    assert form.status.startswith(f"Saved as {folder / 'my-cranks' / 'garden-pump.toml'}.")
    assert own.load(own.names()[0]) == form.crank
    assert form.spec["starts"][0] == own.names()[0]
    assert CrankForm().crank == form.crank  # a new form begins with it


def test_what_is_not_taken_is_not_saved(folder):
    form = CrankForm(PUMP)
    form.set("throw 1 radius", "minus one")
    form.receive({"type": "save"})
    assert form.status.startswith("Not saved: throw 1 radius: no number found")
    assert not own.own_names()
    assert fields(form)["throw 1 radius"]["text"] == "minus one"


def test_a_folder_that_cannot_be_written_is_told(folder):
    folder.mkdir(parents=True)
    (folder / "my-cranks").write_text("a file stands where the folder belongs")
    form = CrankForm(PUMP)
    form.receive({"type": "save"})
    assert form.status.startswith(f"Not saved: {folder / 'my-cranks'} cannot be written (")


def test_a_damaged_own_file_does_not_stop_the_form(folder, capsys):
    folder.mkdir()
    (folder / "my-crank.toml").write_text("name = 3")
    assert CrankForm().crank == crank_words.start_from(PUMP)
    assert "my-crank.toml, is left out" in capsys.readouterr().out


@pytest.mark.parametrize("name", EXAMPLES)
def test_start_from_an_example_under_a_name_of_ones_own(name):
    form = CrankForm(PUMP)
    form.set("throw 1 radius", "nothing")
    form.receive({"type": "start", "name": name})
    assert form.crank.name == f"my {name}"
    assert (form.crank.throws, form.crank.units) == (
        Crank.load(name).throws,
        Crank.load(name).units,
    )
    assert not form.spec["waiting"]
    form.receive({"type": "start", "name": "nowhere"})
    assert form.status.startswith("Not loaded: your own crank, nowhere, is gone")
    assert form.crank.name == f"my {name}"


def test_the_drawing_is_told_in_words():
    """Sizes of the organ's table, by eye."""
    alt = CrankForm(Crank.load("organ")).picture["alt"]
    assert alt.startswith("organ, 12L14, 8.1 in long")
    for part in (
        "Ø0.625 in × 1.5 in",
        "throw 2 of 0.5 in at 120°",
        "throw 3 of 0.5 in at 240°",
        "webs 0.35 in thick and 0.9 in wide",
    ):
        assert part in alt


@given(
    st.lists(
        st.tuples(
            st.sampled_from(crank_words.keys(Crank.load("compressor"))),
            st.text(max_size=12)
            | st.sampled_from(
                [
                    "0",
                    "-3",
                    "1e9",
                    "5 mm",
                    "0.6 in",
                    "90",
                    "12 kg",
                    "1,234",
                    "9" * 70,
                    "inf",
                    "nan",
                    "3/0",
                    "⅜ in",
                ]
            ),
        ),
        max_size=6,
    )
)
def test_whatever_is_typed_the_crank_can_exist_and_no_text_is_lost(edits):
    """Any row of edits: the crank is valid (its own check ran), each refused text stays in its field with a sentence."""
    crank, typed = Crank.load("compressor"), dict(edits)
    new, refused = crank_words.take(crank, typed)
    assert Crank.from_dict(new.to_dict())
    for key, text in typed.items():
        if key in refused:
            assert len(refused[key]) > 10
        else:
            assert getattr(getattr(new, key[0])[key[1]], key[2]) == crank_words.read(
                key, text, "mm"
            )


def test_places_are_named_as_they_are_found():
    for name in EXAMPLES:
        crank = Crank.load(name)
        for key in crank_words.keys(crank):
            assert crank_words.find(crank, crank_words.words(key)) == [key]
    assert crank_words.find(Crank.load("organ"), "Journals  diameter") == [
        ("journals", index, "diameter") for index in range(4)
    ]
    with pytest.raises(
        ValueError, match="^“throw 4 radius” is not a size of this crank with 3 throws"
    ):
        crank_words.find(Crank.load("organ"), "throw 4 radius")


def test_edits_by_lines_of_text(capsys):
    crank = crank_words.edited(
        PUMP,
        """
        name: garden pump
        throw 1 radius: 20 mm
        throws web width = 1-1/4 in
        throw 1 pin diameter: 40 mm
        throw 2 radius: 9 mm
        just words
    """,
    )
    assert (crank.name, crank.throws[0].radius, crank.throws[0].pin_diameter) == (
        "garden pump",
        Quantity(20, "mm"),
        PUMP.throws[0].pin_diameter,
    )
    said = capsys.readouterr().out.splitlines()
    assert "throw 1 web width: 31.75 mm" in said
    assert [line.split(";")[0] for line in said if line.startswith("Not taken")] == [
        "Not taken: “throw 2 radius” is not a size of this crank with 1 throw",
        "Not taken: “just words” has no colon",
        "Not taken: throw 1 pin diameter is larger than throw 1 web width",
    ]


def test_throws_are_added_and_removed_by_lines(capsys):
    crank = crank_words.edited(PUMP, "add a throw\nthrow 2 angle: 90\nmain 2 length: 15")
    assert [throw.angle.m_as("deg") for throw in crank.throws] == [0, 90]
    assert crank.journals[1].length.m_as("mm") == 15
    assert crank_words.edited(crank, "remove throw 1").throws[0].angle.m_as("deg") == 90
    assert crank_words.edited(crank, "remove throw 7") == crank
    assert "Not taken: throw 7 is not there: this crank has 2" in capsys.readouterr().out


@pytest.mark.parametrize(("old", "new"), list(itertools.permutations(("mm", "in"))))
def test_units_by_a_line_of_text_convert(old, new, capsys):
    crank = Crank.load("pump" if old == "mm" else "bellows")
    other = crank_words.edited(crank, f"units: {new}")
    assert other.units == new
    assert other.throws == crank.throws


def test_what_is_refused_is_said_in_the_cranks_own_units_and_ends_once():
    inch, radius = Crank.load("bellows"), ("throws", 0, "radius")
    said = {
        text: crank_words.take(inch, {radius: text})[1][radius] for text in ("3/4 kg", "0", "900")
    }
    assert "should be a length; 0.75 kg is another" in said["3/4 kg"]
    assert said["0"] == "throw 1 radius must be above zero, not 0 in; write a larger value"
    form = CrankForm(inch)
    form.receive({"type": "edit", "key": list(radius), "text": "900"})
    assert "right unit? The drawing" in form.status, form.status


def test_a_note_stands_only_where_a_size_was_read_otherwise():
    """As the form writes it, nothing is to be told; what is refused has its problem; what was not typed, neither."""
    form = CrankForm(PUMP)
    form.set("throw 1 radius", "18 mm")
    assert fields(form)["throw 1 radius"]["note"] == ""
    form.set("throw 1 radius", " 18 mm ")
    assert fields(form)["throw 1 radius"]["note"] == ""
    form.set("throw 1 radius", "18.0 mm")
    assert fields(form)["throw 1 radius"]["note"] == "read as 18 mm"
    form.set("throw 1 pin diameter", "wide")
    shown = fields(form)["throw 1 pin diameter"]
    assert shown["problem"] and shown["note"] == "" and shown["text"] == "wide"


def test_a_throw_is_added_as_a_copy_of_the_last_turned_over():
    """Between the two a main as long as it is thick, and never shorter than both its fillets; then a copy of the last inner one."""
    one = crank_words.with_throw_added(PUMP)
    inner = one.journals[1]
    assert (inner.length, inner.diameter) == (
        PUMP.journals[-1].diameter,
        PUMP.journals[-1].diameter,
    )
    assert one.throws[1].angle.m_as("deg") == 180 and one.throws[1].radius == PUMP.throws[0].radius
    assert one.journals[0] == PUMP.journals[0] and one.journals[2] == PUMP.journals[-1]
    round_ = replace(
        PUMP, journals=(PUMP.journals[0], replace(PUMP.journals[1], fillet=Quantity(12, "mm")))
    )
    assert crank_words.with_throw_added(round_).journals[1].length.m_as("mm") == 24
    more = crank_words.with_throw_added(Crank.load("organ"))
    assert more.journals[-2] == Crank.load("organ").journals[-2] == more.journals[-3]
    assert (
        more.throws[-1].angle.m_as("deg")
        == (Crank.load("organ").throws[-1].angle.m_as("deg") + 180) % 360
    )

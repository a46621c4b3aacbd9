"""Each student's questions as a package of QTI 2.2, the open standard of 1EdTech that school
platforms read: an item with a numeric answer for every question, a test for every student.
"""

import io
import xml.etree.ElementTree as ElementTree
import zipfile

from crankmath.files import make_folder, write_whole
from crankmath.units import unit_text

from ...csv_tables import version_name
from ...lesson.exercise import room
from ...workspace import work_folder
from .. import course
from ..inch_questions import in_inches
from ..roll import INSTRUCTOR, required_class
from ..sets import files_of

QTI = "http://www.imsglobal.org/xsd/imsqti_v2p2"
PACKAGE = "http://www.imsglobal.org/xsd/imscp_v1p1"
SCHEMA = "http://www.w3.org/2001/XMLSchema-instance"
PLACES = {
    QTI: "http://www.imsglobal.org/xsd/qti/qtiv2p2/imsqti_v2p2.xsd",
    PACKAGE: "http://www.imsglobal.org/xsd/qti/qtiv2p2/qtiv2p2_imscpv1p2_v1p0.xsd",
}


def root(space, name, **attributes):
    """The outermost element of a file, which says where its published schema is found."""
    more = {f"{{{SCHEMA}}}schemaLocation": f"{space} {PLACES[space]}"}
    return ElementTree.Element(f"{{{space}}}{name}", {**attributes, **more})


def add(parent, name, text=None, **attributes):
    """A child of an element, in its namespace."""
    space = parent.tag.partition("}")[0] + "}"
    child = ElementTree.SubElement(parent, space + name, attributes)
    child.text = text
    return child


def as_bytes(element):
    """An XML file."""
    space = element.tag[1:].partition("}")[0]
    ElementTree.register_namespace("", space)
    ElementTree.register_namespace("xsi", SCHEMA)
    ElementTree.indent(element)
    return ElementTree.tostring(element, encoding="utf-8", xml_declaration=True)


def number(value):
    return f"{value:.12g}"


def equal(parent, below, above, name, text=None, **attributes):
    """An element that holds where the response lies within two distances of a value.

    QTI's two distances are how far the second value, the response, may lie below and above the
    first.
    """
    distances = f"{number(below)} {number(above)}"
    found = add(parent, "equal", toleranceMode="absolute", tolerance=distances)
    add(found, name, text, **attributes)
    add(found, "variable", identifier="RESPONSE")


def outcome(parent, score, feedback):
    """Set score and feedback in a branch of the response's processing."""
    for name, kind, value in (
        ("SCORE", "float", score),
        ("FEEDBACK", "identifier", feedback),
    ):
        add(add(parent, "setOutcomeValue", identifier=name), "baseValue", value, baseType=kind)


def item(identifier, title, question):
    """A question as an assessment item: a number in the unit that it names; feedback as on
    paper."""
    unit = question.units[0]
    whole = root(
        QTI,
        "assessmentItem",
        identifier=identifier,
        title=title,
        adaptive="false",
        timeDependent="false",
    )
    kind = {"cardinality": "single", "baseType": "float"}
    asked = add(whole, "responseDeclaration", identifier="RESPONSE", **kind)
    add(add(asked, "correctResponse"), "value", number(question.key.m_as(unit)))
    for name, start in (("SCORE", "0"), ("MAXSCORE", "1")):
        declared = add(whole, "outcomeDeclaration", identifier=name, **kind)
        add(add(declared, "defaultValue"), "value", start)
    kind["baseType"] = "identifier"
    add(whole, "outcomeDeclaration", identifier="FEEDBACK", **kind)
    body = add(add(whole, "itemBody"), "div")
    add(body, "p", question.words)
    line = add(body, "p", f"Type the number alone; its unit: {unit_text(unit)}. ")
    add(line, "textEntryInteraction", responseIdentifier="RESPONSE", expectedLength="12")
    branches = add(add(whole, "responseProcessing"), "responseCondition")
    right = add(branches, "responseIf")
    equal(right, *room(question, unit), "correct", identifier="RESPONSE")
    outcome(right, "1", "RIGHT")
    said = {"RIGHT": "Right."}
    for place, (ask, value) in enumerate(question.slips.items(), 1):
        slip = value.m_as(unit)
        near = question.tolerance * abs(slip)
        branch = add(branches, "responseElseIf")
        equal(branch, near, near, "baseValue", number(slip), baseType="float")
        outcome(branch, "0", f"SLIP{place}")
        said[f"SLIP{place}"] = f"Not yet: {ask}"
    outcome(add(branches, "responseElse"), "0", "OTHER")
    said["OTHER"] = "Not yet."
    for name, words in said.items():
        shown = add(
            whole, "modalFeedback", outcomeIdentifier="FEEDBACK", identifier=name, showHide="show"
        )
        add(shown, "p", words)
    return whole


def test(identifier, title, items):
    """A student's questions as an assessment test; its score is the number of right answers.

    Feedback is asked for: without that a platform shows none after an item's only try.
    """
    whole = root(QTI, "assessmentTest", identifier=identifier, title=title)
    add(
        whole,
        "outcomeDeclaration",
        identifier="SCORE",
        cardinality="single",
        baseType="float",
        normalMinimum="0",
        normalMaximum=str(len(items)),
    )
    part = add(
        whole,
        "testPart",
        identifier="PART",
        navigationMode="nonlinear",
        submissionMode="individual",
    )
    add(part, "itemSessionControl", showFeedback="true")
    section = add(part, "assessmentSection", identifier="SECTION", title=title, visible="true")
    for name in items:
        add(section, "assessmentItemRef", identifier=name, href=f"{name}.xml")
    scored = add(add(whole, "outcomeProcessing"), "setOutcomeValue", identifier="SCORE")
    add(add(scored, "sum"), "testVariables", variableIdentifier="SCORE")
    return whole


def manifest(identifier, tests):
    """The list of a package's files. tests: {test's name: [its items' names]}."""
    whole = root(PACKAGE, "manifest", identifier=identifier)
    about = add(whole, "metadata")
    add(about, "schema", "QTIv2.2 Package")
    add(about, "schemaversion", "1.0.0")
    add(whole, "organizations")
    listed = add(whole, "resources")
    for name, items in tests.items():
        one = add(listed, "resource", identifier=name, type="imsqti_test_xmlv2p2")
        one.set("href", f"{name}.xml")
        add(one, "file", href=f"{name}.xml")
        for item_name in items:
            add(one, "dependency", identifierref=item_name)
        for item_name in items:
            place = f"{item_name}.xml"
            one = add(listed, "resource", identifier=item_name, type="imsqti_item_xmlv2p2")
            one.set("href", place)
            add(one, "file", href=place)
    return whole


def package(school_class, lesson, version=1):
    """Files of a lesson's package, {name: bytes}; empty where the lesson has no exercises.

    A test is titled with the student's name and, where the school has one, the ID, so that a
    platform can hand each to its student.
    """
    files, tests = {}, {}
    makers = course.exercises(lesson)
    called = files_of(lesson, version)
    for place, label in school_class.students:
        names = {}
        for name, maker in makers.items():
            full = version_name(name, version)
            question = school_class.question(full, maker, label)
            shown = in_inches(question) if school_class.units_of(called) == "in" else question
            identifier = f"E{full.replace(' ', '-')}-S{place:02d}"
            names[identifier] = item(identifier, f"Question {full}", shown)
        identifier = f"T{called}-S{place:02d}"
        who = f"{label} ({identity})" if (identity := school_class.id_of(label)) else label
        whole = test(identifier, f"{lesson.number} {lesson.title}: {who}", names)
        tests[identifier] = list(names)
        files |= {f"{one}.xml": as_bytes(element) for one, element in names.items()}
        files[f"{identifier}.xml"] = as_bytes(whole)
    if not makers:
        return {}
    return {"imsmanifest.xml": as_bytes(manifest(f"M{lesson.number}", tests)), **files}


def zipped(files):
    """Files as one archive, the same bytes for the same content."""
    store = io.BytesIO()
    with zipfile.ZipFile(store, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return store.getvalue()


def main(arguments):
    """``crankmath export [--lesson NN] [--version N] [--out DIR]``."""
    parser = course.asks(
        "export",
        "Each student's questions as QTI 2.2 files for the school's own platform.",
        "folder of the class; default my-work/class",
    )
    parser.add_argument(
        "--version", type=int, choices=range(1, 10), default=1, metavar="N", help="as of the sheets"
    )
    given = parser.parse_args(arguments)
    folder = given.out or work_folder() / "class"

    def write():
        lessons = course.chosen(given.lesson)
        school_class = required_class(folder)
        place = folder / INSTRUCTOR / "qti"
        make_folder(place)
        for lesson in lessons:
            if files := package(school_class, lesson, given.version):
                called = version_name(lesson.number, given.version).replace(" ", "-")
                write_whole(place / f"questions-{called}.zip", zipped(files))
                print(place / f"questions-{called}.zip", flush=True)

    if not course.went_well(write, "Nothing was exported."):
        return 1
    print("They hold the answers: load them as the instructor, and open each test to its student.")
    return 0

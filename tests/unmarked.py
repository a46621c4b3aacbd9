"""Where a text stands in the code unmarked though a reader is shown it: the rules, by syntax tree.

A text is a constant with two words in it, or an f-string with one word. It is marked inside ``_``,
``ngettext`` or ``marked``. Everything else that may hold words is a rule below; what no rule can
tell is an exception by its own words, with the reason.
"""

import ast
import re
from pathlib import Path

LIB = Path(__file__).parents[1] / "lib"
PARTS = (
    *("crankbook/lessons", "crankbook/pictures", "crankbook/lesson", "crankbook/forms"),
    *("crankbook/sheet", "crankmath/job", "crankmath/workpiece", "crankmath/inspection/diagnosis"),
)
MODULES = (
    *("crankmath/wording.py", "crankmath/inspection/readings.py"),
    *("crankmath/inspection/reading_lines.py", "crankmath/crank_corner/held.py"),
)
INNER = (  # causes by name, and sums over them; what is said of them stands beside
    *("diagnosis/simulate.py", "diagnosis/measured.py", "diagnosis/weighing/"),
    *("diagnosis/signatures/", "workpiece/replay.py"),  # the replay proves a plan, in tests
)
MARKS = ("_", "ngettext", "marked", "spoken", "listed")
# calls whose texts are names, keys, patterns, markup or a programmer's, not a reader's
CALLS = {
    *("Quantity", "takes", "open", "getattr", "setattr", "hasattr", "isinstance", "check"),
    *("prediction", "full_scale", "shared_scale", "once", "given", "set_aside", "_new", "Markup"),
    *("script", "TypeError", "RuntimeError", "made", "_same_keys", "tool_source", "Draft"),
    *("pasted", "Row", "cell", "_bar", "ArgumentParser"),
}
METHODS = {
    *("m_as", "to", "compile", "sub", "findall", "search", "match", "fullmatch", "split", "rsplit"),
    *("partition", "rpartition", "startswith", "endswith", "removeprefix", "removesuffix"),
    *("replace", "strip", "get", "pop", "setdefault", "index", "count", "write", "writerow", "tag"),
    *("add_argument",),
}
KEYWORDS = {"key", "kind", "prog", "model", "used_with", "textcoords", "xycoords", "default"}
TWO_WORDS = re.compile(r"[^\W\d_]{2,}[,.:;]? +\(?[^\W\d_]")
A_WORD = re.compile(r"(?<![\w.\-/#&=])[^\W\d_]{2,}(?![\w(\-=/])")
MARKUP = re.compile(r"[<>{]|^[\w-]+: ?[\w#-]+;|stroke|transform|\bpx\b|^https?:|\.\w{2,5}$")
UNITS = {
    *("mm", "in", "um", "lbf", "rpm", "deg", "kN", "MPa", "thou", "kW", "Hz", "kg", "lb", "min"),
    *("hp", "ft", "kpsi", "thousandth", "cos", "sin"),
}
EXCEPTED = {
    "crank pin": "a duty of fits.running_clearance",
    "facing a web": "a kind of cut of the speed tables",
    "offset points": "what matplotlib calls them",
    "11 in space": "key of what is kept",
    **dict.fromkeys(
        ("crankmath job", "crankmath job form", "crankmath job sheet"), "format of a file"
    ),
    "whole lathe": "key of a field",
    "supported on": "a column of a file of readings",
    **dict.fromkeys(("move centers", "turn again", "turn pin"), "a kind of remedy"),
    **dict.fromkeys(("not yet", "could not be read", "not answered"), "how an answer is kept"),
    **dict.fromkeys(("a unit of another kind", "no unit"), "a kind of slip, kept"),
    "{}/worked twin": "seed of a draw",
    "no draw keeps the wrong paths apart: the question needs wider ranges": "a programmer's",
    **dict.fromkeys(("main {}{}{}", "pin {}{}{}"), "under which readings are kept"),
}
PLACE = re.compile(  # a place or a cause as code keeps it, for ``spoken`` to show
    r"(?:\{\}, )?(pin|main|web|throw|crank|my|axes|rough|\{\}) ?\{\}(s| \{\})*|\{\}s?,? ?\{\}s?"
)


def parents(tree):
    """Every node with the one above it as ``up``."""
    for node in ast.walk(tree):
        for child in ast.iter_child_nodes(node):
            child.up = node


def above(node):
    """The nodes above one, the nearest first."""
    while node := getattr(node, "up", None):
        yield node


def called(node):
    """Name of what a call calls."""
    name = node.func
    return getattr(name, "id", getattr(name, "attr", ""))


def words_of(node):
    """Text of a constant or a template, its places as {}."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "".join(one.value if isinstance(one, ast.Constant) else "{}" for one in node.values)


def has_words(node):
    """Whether a reader would read words in it."""
    text = words_of(node)
    words = set(A_WORD.findall(text.replace("{}", " "))) - UNITS
    return bool(words) and (isinstance(node, ast.JoinedStr) or bool(TWO_WORDS.search(text)))


def is_key(node):
    """Compared, looked up, a default, or a dict's key."""
    up = node.up
    if isinstance(up, (ast.Tuple, ast.List, ast.Set)) and isinstance(up.up, ast.Compare):
        return True
    if isinstance(up, ast.Dict):
        return node in up.keys
    kinds = ast.Compare, ast.Subscript, ast.arguments, ast.MatchValue
    return isinstance(up, kinds) and node is not getattr(up, "value", None)


def of_exercise(node):
    """In a question, its slips and hints: the lesson's prose, which is not in the catalog."""
    functions = [one for one in above(node) if isinstance(one, ast.FunctionDef)]
    if not functions:
        return False
    top = functions[-1]
    made = {called(one) for one in ast.walk(top) if isinstance(one, ast.Call)}
    return top.name.startswith("check_") or bool(made & {"Question", "check_gap"})


def of_call(node):
    """An argument of a call, or a keyword, that takes no words for a reader."""
    for up in above(node):
        if isinstance(up, ast.keyword) and up.arg in KEYWORDS:
            return True
        if isinstance(up, ast.Call):
            method = isinstance(up.func, ast.Attribute)
            return called(up) in (CALLS | METHODS if method else CALLS)
        if isinstance(up, (ast.stmt, ast.IfExp)):
            return False
    return False


def is_marked(node):
    """Inside a call that puts it into the reader's language, or of one whose words are."""
    return any(isinstance(up, ast.Call) and called(up) in MARKS for up in above(node))


def modules():
    """The modules whose words are in the catalog."""
    found = [path for part in PARTS for path in sorted((LIB / part).rglob("*.py"))]
    found += [LIB / name for name in MODULES]
    return [path for path in found if not any(one in path.as_posix() for one in INNER)]


def marked_in(trees):
    """Words that stand in ``marked`` somewhere: an option named again is that one."""
    return {
        node.args[0].value
        for tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and called(node) == "marked"
        and isinstance(node.args[0], ast.Constant)
    }


def left_unmarked(tree, known=()):
    """Texts of a module that no rule lets stand as they are: (line, words)."""
    parents(tree)
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, (ast.Constant, ast.JoinedStr)) or not has_words(node):
            continue
        text = words_of(node)
        last = re.sub(r"^\{\}, ", "", text).rpartition(", ")[2]  # behind a crank's name
        if not (
            isinstance(node.up, (ast.Expr, ast.JoinedStr))  # a docstring, a piece of a template
            or {text, last} & (set(known) | set(EXCEPTED))
            or PLACE.fullmatch(text)
            or MARKUP.search(text.replace("{}", ""))
            or is_marked(node)
            or is_key(node)
            or of_call(node)
            or of_exercise(node)
        ):
            found.append((node.lineno, text))
    return found

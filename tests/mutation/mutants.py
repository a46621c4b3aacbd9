"""Candidates of single mutations, by area: operators, comparisons, constants, cells of tables."""

import ast
import csv
import io
import random
import re
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).parents[2]
AREAS = {  # folders under lib/, and those left out of them
    "physics": (["crankmath"], ["crankmath/job", "crankmath/data"]),
    "job": (["crankmath/job"], []),
    "sheet": (["crankbook/sheet"], []),
    "class": (["crankbook/classroom"], []),
    "lessons": (["crankbook/lesson", "crankbook/lessons", "crankbook/forms"], []),
    "pictures": (["crankbook/pictures"], []),
}
OPERATORS = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult,
}
COMPARISONS = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
# functions whose arguments may change places
EITHER_WAY = {"max", "min", "maximum", "minimum", "hypot", "dist"}
NUMBER = re.compile(r"(?<![\w.+-])-?\d+(?:\.\d+)?(?:e[+-]?\d+)?(?![\w.])")


@dataclass(frozen=True)
class Mutant:
    """One change of one file: the text from start to end becomes ``new``."""

    area: str
    file: str  # from the top folder
    line: int
    kind: str
    start: int
    end: int
    old: str
    new: str

    @property
    def name(self):
        return f"{self.file}:{self.line}:{self.start} {self.old} => {self.new}"

    def applied(self, text):
        return text[: self.start] + self.new + text[self.end :]


def files_of(area):
    """Files of an area, in order."""
    folders, without = AREAS[area]
    return sorted(
        path
        for folder in folders
        for path in (TOP / "lib" / folder).rglob("*")
        if path.suffix == ".py" and not any((TOP / "lib" / one) in path.parents for one in without)
    )


def candidates(area):
    """All mutants of an area."""
    found = []
    for path in files_of(area):
        name, text = str(path.relative_to(TOP)), path.read_text(encoding="utf-8")
        found += [Mutant(area, name, *piece) for piece in changes(text)]
    return found


def draw(area, number, seed, under=""):
    """Mutants of files ``under`` a folder drawn at random: a file first, by the root of its length,
    then a place in it.

    So a table of two thousand solved rows does not hide one of six printed ones.
    """
    chance, by_file = random.Random(f"{area} {seed}"), {}
    for one in candidates(area):
        if one.file.startswith(under):
            by_file.setdefault(one.file, []).append(one)
    names, chosen = sorted(by_file), {}
    weights = [len(by_file[name]) ** 0.5 for name in names]
    while len(chosen) < min(number, sum(map(len, by_file.values()))):
        one = chance.choice(by_file[chance.choices(names, weights)[0]])
        chosen[one.name] = one
    return list(chosen.values())


def run_by_import(text, line):
    """Whether a line runs once, when its module is read: it stands in no function's body."""
    return not any(
        node.body[0].lineno <= line <= node.end_lineno
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    )


def statement(text, line):
    """Lines of the statement that a line stands in; of a head with a body, the head's."""
    found = range(line, line + 1)
    for node in ast.walk(ast.parse(text)):
        if (
            isinstance(node, ast.stmt | ast.ExceptHandler)
            and node.lineno <= line <= node.end_lineno
        ):
            body = getattr(node, "body", None)
            end = body[0].lineno - 1 if body else node.end_lineno
            if line <= max(end, node.lineno):
                found = range(node.lineno, max(end, node.lineno) + 1)
    return found


def tenth(text):
    """A written number with a tenth more, with as many decimals, or one step of the last digit."""
    mantissa, *exponent = text.split("e")
    decimals = len(mantissa.partition(".")[2])
    more = f"{float(mantissa) * 1.1:.{decimals}f}"
    if float(more) == float(mantissa):
        step = 10.0**-decimals
        more = f"{float(mantissa) + (step if float(mantissa) >= 0 else -step):.{decimals}f}"
    return "e".join([more, *exponent])


def cells(text, suffix=".csv"):
    """Numbers of a table's cells, but not of its sources, heads and remarks."""
    if suffix == ".toml":
        return _settings(text)
    found, at, keys = [], 0, None
    for number, line in enumerate(text.splitlines(keepends=True), 1):
        if line.strip() and not line.startswith("#"):
            if keys is None:
                keys = next(csv.reader([line]))
            else:
                for key, start, end in _spans(line, keys):
                    if key not in ("source", "basis", "origin", "range", "name", "label", "use"):
                        for one in NUMBER.finditer(line[start:end]):
                            a, b = at + start + one.start(), at + start + one.end()
                            found.append((number, "cell", a, b, text[a:b], tenth(text[a:b])))
        at += len(line)
    return found


def _spans(line, keys):
    """Column, start and end of each cell of a line."""
    start, place, quoted = 0, 0, False
    for at, letter in enumerate(line.rstrip("\n") + ","):
        quoted ^= letter == '"'
        if letter == "," and not quoted:
            yield keys[place], start, at
            start, place = at + 1, place + 1


def _settings(text):
    found, at = [], 0
    for number, line in enumerate(text.splitlines(keepends=True), 1):
        value = re.match(r"\s*[\w.]+\s*=\s*(\[.*?\]|[^#\"]+|\"[^\"]*\")", line)
        if value and not re.match(r"(title|lesson|formula|source|range|name)\b", line):
            start, end = value.span(1)
            if value[1].startswith('["'):  # a start and where it comes from: the start alone
                end = start + value[1].index('"', 2)
            for one in NUMBER.finditer(line[start:end].replace('"', " ")):
                a, b = at + start + one.start(), at + start + one.end()
                found.append((number, "cell", a, b, text[a:b], tenth(text[a:b])))
        at += len(line)
    return found


def changes(text):
    """Places of a Python file and what they become."""
    tree = ast.parse(text)
    starts = [0]
    for line in io.StringIO(text, newline=""):
        starts.append(starts[-1] + len(line))
    lines = text.splitlines(keepends=True)

    def at(line, column):  # the parser counts bytes
        return starts[line - 1] + len(lines[line - 1].encode()[:column].decode())

    found = []
    skipped = {
        id(inner) for node in ast.walk(tree) for part in _left_out(node) for inner in ast.walk(part)
    }
    compared = {
        id(side)
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare)
        for side in (node.left, *node.comparators)
    }
    for node in ast.walk(tree):
        if id(node) in skipped or not hasattr(node, "col_offset"):
            continue
        for kind, new in _mutated(node, id(node) in compared):
            start, end = at(node.lineno, node.col_offset), at(node.end_lineno, node.end_col_offset)
            new = f"({ast.unparse(ast.fix_missing_locations(new))})"
            found.append((node.lineno, kind, start, end, text[start:end], new))
    return found


def _left_out(node):
    """Parts with nothing to notice: annotations, what text a string shows, the start of a script, slacks."""
    if isinstance(node, ast.AnnAssign | ast.arg) and node.annotation:
        yield node.annotation
    if isinstance(node, ast.JoinedStr):
        yield node
    if isinstance(node, ast.If) and "__main__" in ast.unparse(node.test):
        yield node
    match node:
        case ast.BinOp(left, ast.Add() | ast.Sub(), right):
            yield from filter(_slack, (left, right))
        case ast.Compare(left, _, others):
            yield from filter(_slack, (left, *others))


def _slack(node):
    """Whether a node is the room that is left for the last digits, as 1e-9: a tenth of it is none."""
    match node:
        case ast.UnaryOp(ast.USub(), ast.Constant(value)) | ast.Constant(value):
            return (
                isinstance(value, float) and 0 < value <= 1e-6 and f"{value:e}"[0:8] == "1.000000"
            )
    return False


def _mutated(node, compared):
    """Kind and changed copy of a node, which may be a side of a comparison."""
    match node:
        case ast.BinOp(left, op, right) if type(op) in OPERATORS and not _text(left, right):
            yield type(op).__name__, ast.BinOp(left, OPERATORS[type(op)](), right)
        case ast.Compare(left, [op, *more], right) if type(op) in COMPARISONS:
            others = COMPARISONS[type(op)]
            # where there is slack no number stands on the bound: only the other way around
            for other in others[-1:] if any(map(_slack, ast.walk(node))) else others:
                yield "compare", ast.Compare(left, [other(), *more], right)
        case ast.BoolOp(ast.And(), values):
            yield "and", ast.BoolOp(ast.Or(), values)
        case ast.BoolOp(ast.Or(), values):
            yield "or", ast.BoolOp(ast.And(), values)
        case ast.UnaryOp(ast.Not() | ast.USub(), operand):
            yield "dropped", operand
        case ast.Constant(value) if type(value) is int and compared:  # counts are whole
            yield "constant", ast.Constant(value + 1)
        case ast.Constant(value) if type(value) in (int, float):
            yield "constant", ast.Constant(1.1 * value if value else 0.1)
        case ast.Call(func, [one, other, *more], keywords) if (
            not isinstance(one, ast.Starred)
            and ast.dump(one) != ast.dump(other)
            and _name(func) not in EITHER_WAY
        ):
            yield "swapped", ast.Call(func, [other, one, *more], keywords)


def _name(func):
    return getattr(func, "attr", getattr(func, "id", ""))


def _text(*nodes):
    return any(
        isinstance(n, ast.JoinedStr) or isinstance(getattr(n, "value", 0), str) for n in nodes
    )

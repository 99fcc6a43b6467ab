"""What the source says of itself, as written: imports, names, patches, lengths.

import-linter sees the layers; this looks inside them, and at imports for types alone as well. What
offends today stands in a list that may only shrink: whoever mends an offender takes it out.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

import pytest
from pages import ROOT

LONGEST = 350
SAYS_NOTHING = re.compile(r"(^|_)(utils?|helpers?|managers?|common|misc|stuff)(_|$)")

PATCHES = {
    "physics.flow_curve",
    "workshop.answer",
}


def read() -> dict[str, str]:
    """Source of each module of the package, by its name below the package."""
    package = ROOT / "configurator"
    sources = {}
    for path in sorted(package.rglob("*.py")):
        parts = path.relative_to(package).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        sources[name] = path.read_text(encoding="utf-8")
    return sources


SOURCES = read()

Nodes = Sequence[ast.AST]


def nodes_of(text: str) -> Nodes:
    """Everything that stands in a source, whatever it stands in."""
    return list(ast.walk(ast.parse(text)))


@pytest.fixture(scope="module")
def written() -> dict[str, Nodes]:
    """The package, parsed once."""
    return {name: nodes_of(text) for name, text in SOURCES.items()}


def imported(nodes: Nodes, modules: Iterable[str]) -> set[str]:
    """Modules of the package that a module imports anywhere: late and for types as well."""
    named: set[str] = set()
    for node in nodes:
        if isinstance(node, ast.ImportFrom):
            named |= {str(node.module), *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Import):
            named |= {alias.name for alias in node.names}
    below = {name.removeprefix("configurator.") for name in named}
    return below.intersection(modules) - {""}


def in_circles(imports: Mapping[str, set[str]]) -> set[str]:
    """Modules from which imports lead back to themselves."""
    found = set()
    for start in imports:
        seen: set[str] = set()
        waiting = [start]
        while waiting:
            fresh = imports[waiting.pop()] - seen
            seen |= fresh
            waiting += fresh
        if start in seen:
            found.add(start)
    return found


def named_twice(modules: Mapping[str, Nodes]) -> set[str]:
    """Class names that stand for classes of more than one place."""
    places: dict[str, list[str]] = defaultdict(list)
    for module, nodes in modules.items():
        for node in nodes:
            if isinstance(node, ast.ClassDef):
                places[node.name].append(module)
    return {name for name, where in places.items() if len(where) > 1}


def _attributes_of(node: ast.AST) -> str:
    """What the attributes of which are reached for as a dictionary; empty if none are."""
    if isinstance(node, ast.Attribute) and node.attr == "__dict__":
        return ast.unparse(node.value)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "vars":
        return ast.unparse(node.args[0]) if node.args else ""
    return ""


def patches(nodes: Nodes) -> Iterator[str]:
    """Places that write an attribute by its name, as text.

    An object may forget what itself has kept (`self.__dict__.pop`), and a frozen one may settle its
    own fields as it is made (`object.__setattr__(self, ...)`).
    """
    for node in nodes:
        written = isinstance(node, ast.Subscript) and not isinstance(node.ctx, ast.Load)
        if written and _attributes_of(node.value):
            yield ast.unparse(node)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner, deed = _attributes_of(node.func.value), node.func.attr
            forgets = owner not in {"", "self"} and deed in {"pop", "clear"}
            settles = deed == "__setattr__" and ast.unparse(node.args[0]) != "self"
            if forgets or settles or (owner and deed in {"update", "setdefault"}):
                yield ast.unparse(node)
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in {"setattr", "delattr"}:
            yield ast.unparse(node)


def only(found: set[str], listed: set[str]) -> None:
    """Hold what offends to its list, both ways."""
    assert not found - listed, "offends"
    assert not listed - found, "offends no more: take it out of the list, which may only shrink"


def test_no_imports_lead_in_a_circle_not_even_those_for_types(written) -> None:
    imports = {name: imported(nodes, SOURCES) for name, nodes in written.items()}

    assert len(imports) > 200
    assert "rules.frame" in imports["workshop.answering"]
    assert not in_circles(imports)


def test_a_class_name_stands_for_one_class(written) -> None:
    assert not named_twice(written)


def test_no_attribute_is_patched_by_name_from_outside(written) -> None:
    only({name for name, nodes in written.items() if any(patches(nodes))}, PATCHES)


def test_a_module_is_short_enough_to_read() -> None:
    long = {name for name, text in SOURCES.items() if len(text.splitlines()) > LONGEST}

    assert not long


def test_a_module_is_named_for_what_it_holds() -> None:
    assert not {name for name in SOURCES for part in name.split(".") if SAYS_NOTHING.search(part)}


def test_a_circle_would_be_seen_also_one_for_types() -> None:
    texts = {
        "a": "if TYPE_CHECKING:\n    from configurator.b import B",
        "b": "def late():\n    from configurator import c",
        "c": "import configurator.a",
        "d": "from configurator.a import A",
    }
    imports = {name: imported(nodes_of(text), texts) for name, text in texts.items()}

    assert in_circles(imports) == {"a", "b", "c"}


def test_a_second_class_of_a_name_would_be_seen() -> None:
    texts = {"a": "class Part: ...\nclass Own: ...", "b": "def f():\n    class Part: ..."}

    assert named_twice({name: nodes_of(text) for name, text in texts.items()}) == {"Part"}


@pytest.mark.parametrize(
    ("code", "seen"),
    [
        ("vars(side)['slip'] = 1", True),
        ("side.__dict__['slip'] = 1", True),
        ("del vars(side)['slip']", True),
        ("vars(side).update(known)", True),
        ("side.__dict__.pop('slip')", True),
        ("object.__setattr__(side, 'slip', 1)", True),
        ("setattr(side, name, 1)", True),
        ("vars(self)['slip'] = 1", True),
        ("self.__dict__.pop('slip')", False),
        ("object.__setattr__(self, 'slip', 1)", False),
        ("kept = vars(side)['slip']", False),
        ("known.update(other)", False),
    ],
)
def test_a_patch_would_be_seen(code, seen):
    assert any(patches(nodes_of(code))) == seen


def test_a_list_of_offenders_may_only_shrink() -> None:
    only({"a"}, {"a"})
    with pytest.raises(AssertionError, match="take it out"):
        only({"a"}, {"a", "b"})
    with pytest.raises(AssertionError, match="offends"):
        only({"a", "b"}, {"a"})


@pytest.mark.parametrize("name", ["utils", "cli.helpers", "rule_manager", "common"])
def test_a_name_that_says_nothing_would_be_seen(name: str) -> None:
    assert any(SAYS_NOTHING.search(part) for part in name.split("."))

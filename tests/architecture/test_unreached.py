"""All that is written is reached from the program or from the public names.

`vulture`, which the pipeline runs, goes by names alone: what only a dead function calls, or what
shares its name with something alive, passes it. Here names are followed through the imports. Both
take the same exceptions, `.ci/kept.py`.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_LIST = (ROOT / ".ci/kept.py").read_text(encoding="utf-8")
KEPT = set(re.findall(r"^(?:_\.)?(\w+)$", _LIST, re.MULTILINE))
KEPT_MODULES = set(re.findall(r"^(configurator\.[\w.]+)$", _LIST, re.MULTILINE))

STARTS = {("configurator.cli.main", "main"), ("configurator", "_HOMES")}
"""Where the program and those who import it come in."""

INERT = {
    "property",
    "cached_property",
    "staticmethod",
    "classmethod",
    "dataclass",
    "contextmanager",
}
INERT |= {"lru_cache", "cache", "overload", "abstractmethod", "total_ordering", "runtime_checkable"}
"""Decorators that call nothing by themselves; any other hands the function to somebody."""

OWN_BASES = {
    "Protocol",
    "NamedTuple",
    "Generic",
    "Enum",
    "IntEnum",
    "StrEnum",
    "BaseModel",
    "object",
}
"""Bases from outside that call no method of theirs by name."""

Key = tuple[str, str]
Def = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef


@dataclass
class Written:
    """One definition: what it says, and for a class its methods."""

    nodes: list[ast.AST]
    methods: dict[str, list[ast.AST]] = field(default_factory=lambda: defaultdict(list))
    handed: bool = False
    foreign: bool = False


def name_of(node: ast.expr) -> str:
    """The last name of a dotted, called or subscripted expression."""
    while isinstance(node, ast.Call | ast.Subscript):
        node = node.func if isinstance(node, ast.Call) else node.value
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def is_handed(node: ast.AST) -> bool:
    decorators = getattr(node, "decorator_list", [])
    return any(name_of(each) not in INERT for each in decorators)


def imported(tree: ast.AST) -> dict[str, Key]:
    """What each imported name is called where it is written."""
    return {
        alias.asname or alias.name: (node.module or "", alias.name)
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }


class Source:
    """The package as definitions, and the names that each module knows."""

    def __init__(self, package: Path) -> None:
        self.written: dict[Key, Written] = {}
        self.imports: dict[str, dict[str, Key]] = {}
        self.bodies: list[tuple[str, ast.AST]] = []
        for path in sorted(package.rglob("*.py")):
            module = ".".join(path.relative_to(package.parent).with_suffix("").parts)
            module = module.removesuffix(".__init__")
            tree = ast.parse(path.read_text(encoding="utf-8"))
            self.imports[module] = imported(tree)
            for node in tree.body:
                self._note(module, node)

    def _note(self, module: str, node: ast.stmt) -> None:
        if isinstance(node, Def):
            found = self.written.setdefault((module, node.name), Written([]))
            found.handed |= is_handed(node)
            if not isinstance(node, ast.ClassDef):
                found.nodes.append(node)
                return
            found.foreign = any(self._is_foreign(module, base) for base in node.bases)
            found.nodes += [*node.bases, *node.keywords, *node.decorator_list]
            for part in node.body:
                if isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef):
                    found.methods[part.name].append(part)
                else:
                    found.nodes.append(part)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            for target in node.targets if isinstance(node, ast.Assign) else [node.target]:
                for each in ast.walk(target):
                    if isinstance(each, ast.Name):
                        self.written.setdefault((module, each.id), Written([])).nodes.append(node)
        elif not isinstance(node, ast.Import | ast.ImportFrom):
            self.bodies.append((module, node))

    def _is_foreign(self, module: str, base: ast.expr) -> bool:
        name = name_of(base)
        key = self.resolved(module, name)
        if key in self.written:
            return self.written[key].foreign
        return name not in OWN_BASES

    def resolved(self, module: str, name: str) -> Key:
        """Where a name that a module uses is written."""
        while (module, name) not in self.written and name in self.imports.get(module, {}):
            module, name = self.imports[module][name]
        return module, name


class Reached:
    """What the starts lead to."""

    def __init__(self, source: Source, starts: Iterable[Key]) -> None:
        self.source = source
        self.keys: set[Key] = set()
        self.methods: set[tuple[Key, str]] = set()
        self.said: set[str] = set()
        for module, node in source.bodies:
            self._read(module, node)
        for key in starts:
            self._reach(key)
        while self._methods():
            pass

    def _reach(self, key: Key) -> None:
        if key in self.keys or key not in self.source.written:
            return
        self.keys.add(key)
        for node in self.source.written[key].nodes:
            self._read(key[0], node)

    def _methods(self) -> bool:
        """Reach the methods of reached classes whose names are said; True if there were any."""
        found = [
            (key, name)
            for key in self.keys
            for name, nodes in self.source.written[key].methods.items()
            if (key, name) not in self.methods
            and (
                self.source.written[key].foreign
                or name.startswith("__")
                or name in self.said
                or any(map(is_handed, nodes))
            )
        ]
        for key, name in found:
            self.methods.add((key, name))
            for node in self.source.written[key].methods[name]:
                self._read(key[0], node)
        return bool(found)

    def _read(self, module: str, node: ast.AST) -> None:
        own, here = set(_own_names(node)), imported(node)
        for each in ast.walk(node):
            if isinstance(each, ast.Name) and each.id not in own:
                self._reach(self.source.resolved(*here.get(each.id, (module, each.id))))
            elif isinstance(each, ast.Attribute):
                self.said.add(each.attr)
                if isinstance(each.value, ast.Name):
                    held = ".".join(self.source.resolved(module, each.value.id))
                    self._reach(self.source.resolved(held, each.attr))
            elif isinstance(each, ast.Constant) and isinstance(each.value, str):
                self.said.add(each.value)
                self._reach(tuple(each.value.rsplit(".", 1)) if "." in each.value else ("", ""))


def _own_names(node: ast.AST) -> Iterator[str]:
    """Arguments and variables of a function: they hide what the module calls so."""
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
        for each in ast.walk(node):
            if isinstance(each, ast.arg):
                yield each.arg
            elif isinstance(each, ast.Name) and isinstance(each.ctx, ast.Store):
                yield each.id


def unreached(package: Path, kept: set[str]) -> list[str]:
    source = Source(package)
    handed = {key for key, found in source.written.items() if found.handed and not found.methods}
    public = {
        (f"configurator.{home}", name)
        for home, name in _homes(source.written.get(("configurator", "_HOMES")))
    }
    named = {key for key in source.written if key[1] in kept or key[0] in KEPT_MODULES}
    reached = Reached(source, STARTS | handed | public | named)
    missed = [
        f"{key[0]}.{key[1]}"
        for key in source.written
        if key not in reached.keys and not key[1].startswith("__")
    ]
    missed += [
        f"{key[0]}.{key[1]}.{name}"
        for key in reached.keys
        for name in source.written[key].methods
        if (key, name) not in reached.methods and name not in kept and key[0] not in KEPT_MODULES
    ]
    return sorted(missed)


def _homes(written: Written | None) -> Iterator[tuple[str, str]]:
    if written is not None:
        (node,) = written.nodes
        for name, home in ast.literal_eval(node.value).items():  # type: ignore[attr-defined]
            yield home, name


def test_nothing_is_written_that_nothing_reaches() -> None:
    assert unreached(ROOT / "configurator", KEPT) == []


def test_what_only_the_dead_call_is_found_and_what_is_handed_over_is_not(tmp_path: Path) -> None:
    package = tmp_path / "configurator"
    (package / "cli").mkdir(parents=True)
    (package / "__init__.py").write_text('_HOMES = {"asked": "parts"}\n', encoding="utf-8")
    (package / "cli" / "main.py").write_text(
        "from configurator.parts import Part\n\n\ndef main():\n    return Part().used()\n",
        encoding="utf-8",
    )
    (package / "parts.py").write_text(
        "import click\n\n\ndef asked(): ...\n\n\n@click.command()\ndef handed(): ...\n\n\n"
        "def lone():\n    return chained()\n\n\ndef chained():\n    lone = 1\n    return lone\n\n\n"
        "class Part:\n    def used(self): ...\n    def left(self): ...\n",
        encoding="utf-8",
    )

    found = unreached(package, set())

    module = "configurator.parts"
    assert found == [f"{module}.Part.left", f"{module}.chained", f"{module}.lone"]
    assert unreached(package, {"lone", "left"}) == []

"""The law of the house: which room may import which (docs/decisions/0001-rooms.md)."""

import ast
import sys
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parents[1] / "src" / "resile"
ROOMS = {"compute", "readers", "specifications", "judge", "report", "storage"}
FLOORS = {
    "errors": set(),
    "units": {"errors"},
    "version": set(),
    "records": {"errors", "units"},
    **{room: {"errors", "units", "records"} for room in ROOMS},
    "workflows": {"errors", "units", "records", "version", *ROOMS},
    "interfaces": {"errors", "units", "records", "version", "workflows"},
    "__init__": {"errors", "units", "records", "version", "workflows"},
    "__main__": {"interfaces"},
}
FOREIGN = {"compute": {"numpy", "scipy"}, "judge": set(), "records": set(), "errors": set(), "units": set()}
MODULES = sorted(PACKAGE.rglob("*.py"))


def is_type_checking(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


def imports_of(tree: ast.AST, *, types_too: bool) -> set[str]:
    """Full dotted names a module imports; imports for type checkers only when asked."""
    found: set[str] = set()
    for node in ast.iter_child_nodes(tree):
        if is_type_checking(node) and not types_too:
            continue
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
        else:
            found |= imports_of(node, types_too=types_too)
    return found


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def told(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def room(path: Path) -> str:
    """Room, or module beside the rooms, that a file belongs to."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def room_of(dotted: str) -> str:
    parts = dotted.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def test_a_module_imports_only_from_the_floors_below_it() -> None:
    wrong = [
        f"{told(path)} imports {name}"
        for path in MODULES
        for name in imports_of(tree_of(path), types_too=True)
        if name.startswith("resile.") and room_of(name) not in FLOORS[room(path)] | {room(path)}
    ]
    assert not wrong


def test_inner_rooms_keep_to_their_foreign_libraries() -> None:
    wrong = [
        f"{told(path)} imports {name}"
        for path in MODULES
        if room(path) in FOREIGN
        for name in imports_of(tree_of(path), types_too=False)
        if name.split(".")[0] not in {"resile", *sys.stdlib_module_names, *FOREIGN[room(path)]}
    ]
    assert not wrong


def test_no_module_imports_itself_in_a_circle_not_even_for_types() -> None:
    graph: dict[str, set[str]] = {}
    names = {
        ".".join(("resile", *p.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__"): p
        for p in MODULES
    }
    for name, path in names.items():
        found = imports_of(tree_of(path), types_too=True)
        graph[name] = {m for f in found for m in (f, f.rpartition(".")[0]) if m in names and m != name}
    done: set[str] = set()

    def walk(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, f"circle: {' -> '.join((*trail, name))}"
        if name in done:
            return
        for target in graph[name]:
            walk(target, (*trail, name))
        done.add(name)

    for name in graph:
        walk(name, ())

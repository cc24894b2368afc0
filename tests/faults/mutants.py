"""A sample of small defects put into the code one at a time, each to be noticed by a test.

`PYTHONPATH=tests python -m faults.mutants --count 400 --seed 1 [--survivors FILE]` draws that many from the
rows, the entries, the guide, the guards and the visit (`TREES`), and runs for each the tests beside them
(`TESTS`), its own room's first, until one fails. It prints the share that was killed, file by file, and lists
what no test noticed as `file:line before -> after`; 1 where less than `WANTED` per cent was killed. `--file`
takes the defects of the files whose path has that text in it. Half an hour on two cores.

The defects: a comparison made another (`==` `!=`, `<` `<=`, `in` `not in`, `is` `is not`), a condition or an
operand negated or left out, `and` for `or`, a constant made another (`True` `False`, a number off by one, a
text with one letter more), `+` for `-`, what is returned left out, a filter negated or left out, a statement
removed, an argument left out. Not touched: documentation, annotations, imports, decorators, assertions, what
is for the type checker alone, and the only assignment of a name, without which nothing runs. A defect that
changes nothing that anybody can see is not left out: it is listed with the rest.

How: the rooms that do not rest on the one with the defect are imported once, with pytest, and each defect is
tried in a fork, where its module alone is compiled from the changed tree. Nothing on disk is touched. A fork
that takes longer than `LIMIT_S` hangs, and counts as killed. Before all, a fork without a defect must pass.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from types import CodeType, ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src"
TREES = (
    "asleft/face/rows",
    "asleft/face/entries.py",
    "asleft/guide",
    "asleft/sequence/guards.py",
    "asleft/visit",
)
TESTS = (
    "tests/face",
    "tests/guide",
    "tests/session",
    "tests/sequence",
    "tests/checks/test_holds.py",
    "tests/visit",
)
"""The tests that have to notice, the quickest first; those of a defect's own room come before the others."""
WANTED = 90
LIMIT_S = 180.0
_PASSED, _NO_TESTS, _OURS = 0, 5, 70
"""Exit codes of pytest where all passed and where it found no tests, and of a fork that broke by itself."""
_DIFFERENT: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}


Place = tuple[tuple[str, int | None], ...]
Make = Callable[[Any], Any]


@dataclass(frozen=True)
class Mutant:
    """One defect: where it is, what stood there and stands there now, and what makes it of the node there."""

    path: str
    line: int
    what: str
    before: str
    after: str
    place: Place
    make: Make

    @property
    def told(self) -> str:
        """`file:line before -> after`."""
        return f"{self.path}:{self.line}  {self.what}: {self.before} -> {self.after}"

    @property
    def code(self) -> CodeType:
        """The file with it."""
        tree = ast.parse((SOURCE / self.path).read_text("utf-8"))
        _put(tree, self.place, self.make(_at(tree, self.place)))
        return compile(ast.fix_missing_locations(tree), str(SOURCE / self.path), "exec")


# ---- the defects of a file


def mutants(path: str) -> Iterator[Mutant]:
    """Every defect that is known for a file, in the order of its lines."""
    tree = ast.parse((SOURCE / path).read_text("utf-8"))
    stored = Counter(n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store))
    for place, node in _places(tree):
        if isinstance(node, ast.Assign) and all(
            isinstance(n, ast.Name) and stored[n.id] == 1 for n in node.targets
        ):
            continue
        for what, make in _changes(node):
            new, before = make(copy.deepcopy(node)), _text(node)
            if new is not None and (after := _text(new)) != before:
                yield Mutant(path, _line(node), what, before, after, place, make)


def _line(node: ast.AST) -> int:
    return next((n.lineno for n in ast.walk(node) if hasattr(n, "lineno")), 1)


def _places(node: ast.AST, at: Place = ()) -> Iterator[tuple[Place, ast.AST]]:
    """Every node that may have a defect, and the way to it."""
    yield at, node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_params", "bases"):
            continue
        children = value if isinstance(value, list) else [value]
        for n, child in enumerate(children):
            if isinstance(child, ast.AST) and not _spared(child):
                yield from _places(child, (*at, (name, n if isinstance(value, list) else None)))


def _spared(node: ast.AST) -> bool:
    """Whether nothing in it is code that a test could notice."""
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Assert():
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.Expr(value=ast.Constant(value=str())):
            return True
        case ast.Assign(targets=[ast.Name(id="__all__")]):
            return True
        case _:
            return False


def _changes(node: ast.AST) -> Iterator[tuple[str, Make]]:
    """The defects that a node may have: what each is, and what makes it of a copy of the node."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in _DIFFERENT:
            yield "comparison", lambda n: _with(n, ops=[_DIFFERENT[type(n.ops[0])]()])
        case ast.BoolOp():
            yield "and/or", lambda n: _with(n, op=ast.Or() if isinstance(n.op, ast.And) else ast.And())
            yield "operand negated", lambda n: _with(n, values=[_not(n.values[0]), *n.values[1:]])
            yield (
                "operand dropped",
                lambda n: n.values[0] if len(n.values) == 2 else _with(n, values=n.values[:-1]),
            )
        case ast.UnaryOp(op=ast.Not()):
            yield "negation dropped", lambda n: n.operand
        case ast.BinOp(op=ast.Add() | ast.Sub()):
            yield "sign", lambda n: _with(n, op=ast.Sub() if isinstance(n.op, ast.Add) else ast.Add())
        case ast.BinOp(op=ast.BitOr() | ast.BitAnd()):
            yield "sets", lambda n: _with(n, op=ast.BitAnd() if isinstance(n.op, ast.BitOr) else ast.BitOr())
        case ast.Constant(value=bool()):
            yield "constant", lambda n: _with(n, value=not n.value)
        case ast.Constant(value=float()):
            yield "constant", lambda n: _with(n, value=n.value + 1.0)
        case ast.Constant(value=int()):
            yield "off by one", lambda n: _with(n, value=n.value + 1)
        case ast.Constant(value=str()):
            yield "text", lambda n: _with(n, value=f"{n.value}x" if n.value.strip() else "x")
        case ast.If() | ast.While() | ast.IfExp():
            yield "condition negated", lambda n: _with(n, test=_not(n.test))
            if isinstance(node, ast.IfExp):
                yield "condition dropped", lambda n: n.body
    match node:
        case ast.comprehension(ifs=[_, *_]):
            yield "filter dropped", lambda n: _with(n, ifs=n.ifs[:-1])
            yield "filter negated", lambda n: _with(n, ifs=[_not(n.ifs[0]), *n.ifs[1:]])
        case ast.Return(value=ast.expr()):
            yield "return value", lambda n: None if _is_none(n.value) else _with(n, value=ast.Constant(None))
        case ast.Expr(value=ast.Yield() | ast.YieldFrom() | ast.Call()):
            yield "statement removed", lambda n: ast.Pass()
        case ast.Assign() | ast.AugAssign() | ast.Delete() | ast.Continue() | ast.Break() | ast.Raise():
            yield "statement removed", lambda n: ast.Pass()
        case ast.Call(args=[*args], keywords=[*keywords]):
            if args:
                yield "argument dropped", lambda n: _with(n, args=n.args[:-1])
            for at in range(len(keywords)):
                yield (
                    "argument dropped",
                    lambda n, at=at: _with(n, keywords=[k for m, k in enumerate(n.keywords) if m != at]),
                )
        case ast.match_case(guard=ast.expr()):
            yield "guard dropped", lambda n: _with(n, guard=None)


def _with(node: Any, **parts: Any) -> Any:
    new = copy.copy(node)
    for name, value in parts.items():
        setattr(new, name, value)
    return new


def _not(node: ast.expr) -> ast.expr:
    return ast.UnaryOp(op=ast.Not(), operand=node)


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _text(node: Any) -> str:
    if isinstance(node, ast.match_case | ast.comprehension):
        return " ".join(
            ast.unparse(part) for part in ast.iter_child_nodes(node) if isinstance(part, ast.expr)
        )
    return ast.unparse(node).splitlines()[0][:110]


def _at(tree: ast.AST, place: Place) -> Any:
    node: Any = tree
    for name, n in place:
        node = getattr(node, name) if n is None else getattr(node, name)[n]
    return node


def _put(tree: ast.AST, place: Place, new: Any) -> None:
    (name, n), holder = place[-1], _at(tree, place[:-1])
    if n is None:
        setattr(holder, name, new)
    else:
        getattr(holder, name)[n] = new


# ---- the rooms that a defect does not touch


def _modules() -> Iterator[str]:
    for path in sorted((SOURCE / "asleft").rglob("*.py")):
        parts = path.relative_to(SOURCE).with_suffix("").parts
        yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _room(module: str) -> str:
    """`asleft.face.rows.row` is in the room asleft.face; a room is imported anew as a whole."""
    return ".".join(module.split(".")[:2])


def _imports(module: str) -> Iterator[str]:
    """The rooms that a module imports when it runs, wherever in it."""
    path = SOURCE / Path(*module.split("."))
    path = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    waiting: list[ast.AST] = [ast.parse(path.read_text("utf-8"))]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            continue
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("asleft"):
            yield from (_room(f"{node.module}.{name.name}") for name in node.names)
        elif isinstance(node, ast.Import):
            yield from (_room(name.name) for name in node.names if name.name.startswith("asleft"))
        waiting.extend(ast.iter_child_nodes(node))


def resting(on: str) -> frozenset[str]:
    """The room itself and every room that rests on it, at once or through others."""
    above: dict[str, set[str]] = {}
    for module in _modules():
        for room in _imports(module):
            above.setdefault(room, set()).add(_room(module))
    found, waiting = {on}, [on]
    while waiting:
        for room in above.get(waiting.pop(), ()):
            if room not in found:
                found.add(room)
                waiting.append(room)
    return frozenset(found)


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from a changed tree."""

    def __init__(self, name: str, path: Path, code: CodeType) -> None:
        self._name, self._path, self._code = name, path, code

    def find_spec(
        self, fullname: str, path: Any, target: Any = None
    ) -> importlib.machinery.ModuleSpec | None:
        """A spec for that module alone."""
        if fullname != self._name:
            return None
        folder = [str(self._path.parent)] if self._path.name == "__init__.py" else None
        spec = importlib.util.spec_from_loader(
            fullname, self, origin=str(self._path), is_package=bool(folder)
        )
        assert spec is not None
        spec.submodule_search_locations, spec.has_location = folder, True
        return spec

    def exec_module(self, module: ModuleType) -> None:
        """Run the changed code."""
        exec(self._code, module.__dict__)


# ---- running the tests


def warm(room: str) -> None:
    """Import what the tests need from elsewhere, and every room that does not rest on this one."""
    above = resting(room)
    for module in _modules():
        if _room(module) not in above and module != "asleft.__main__":
            importlib.import_module(module)
    importlib.import_module("textual.app")


def _forget(rooms: frozenset[str]) -> None:
    """Have these rooms imported anew when they are wanted."""
    for name in [m for m in sys.modules if _room(m) in rooms]:
        del sys.modules[name]
        parent, _, last = name.rpartition(".")
        if parent in sys.modules and hasattr(sys.modules[parent], last):
            delattr(sys.modules[parent], last)


def tests_for(path: str) -> list[str]:
    """The tests in the order in which they run for a defect of a file."""
    own = f"tests/{Path(path).parts[1]}"
    return sorted(TESTS, key=lambda test: not test.startswith(own))


def run(mutant: Mutant | None, path: str, folder: str) -> int:
    """In a fork: the exit code of the tests with this defect."""
    name = ".".join(Path(path).with_suffix("").parts).removesuffix(".__init__")
    _forget(resting(_room(name)))
    if mutant is not None:
        sys.meta_path.insert(0, _Changed(name, SOURCE / path, mutant.code))
    args = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", f"--basetemp={folder}/t"]
    # One folder after the other: most defects are noticed before the others would have been collected.
    codes = (int(pytest.main([*args, tests])) for tests in tests_for(path))
    return next((code for code in codes if code != _PASSED), _PASSED)


def fork(mutant: Mutant | None, path: str, folder: str, log: Path | None = None) -> int:
    """Try a defect in a process of its own; its number."""
    sys.stdout.flush()
    pid = os.fork()
    if pid:
        return pid
    code = _OURS
    try:
        os.chdir(ROOT)
        os.setsid()
        out = os.open(log or os.devnull, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, 1)
        os.dup2(out, 2)
        code = run(mutant, path, folder)
    finally:
        if sys.exc_info()[0] is not None:
            traceback.print_exc()
        os._exit(code)


@dataclass
class Tried:
    """What came of one defect."""

    mutant: Mutant
    killed: bool
    seconds: float


def try_all(chosen: Sequence[Mutant], workers: int) -> Iterator[Tried]:
    """Try defects of one room, so many at a time."""
    waiting, running = list(reversed(chosen)), dict[int, tuple[Mutant, float, Any]]()
    while waiting or running:
        while waiting and len(running) < workers:
            mutant, folder = waiting.pop(), tempfile.TemporaryDirectory()
            running[fork(mutant, mutant.path, folder.name)] = (mutant, time.monotonic(), folder)
        pid, status = os.waitpid(-1, os.WNOHANG)
        if pid in running:
            mutant, began, folder = running.pop(pid)
            folder.cleanup()
            code = os.waitstatus_to_exitcode(status)
            if code in (_NO_TESTS, _OURS):
                raise RuntimeError(f"pytest gave {code} for {mutant.told}")
            yield Tried(mutant, code != _PASSED, time.monotonic() - began)
            continue
        for late in [p for p, (_, began, _) in running.items() if time.monotonic() - began > LIMIT_S]:
            os.killpg(late, signal.SIGKILL)
        time.sleep(0.02)


def _in_own_process(chosen: Sequence[Mutant], room: str, workers: int) -> list[Tried]:
    """Warm a process for a room, prove that it passes without a defect, and try that room's defects in it."""
    warm(room)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log"
        began = time.monotonic()
        pid = fork(None, chosen[0].path, folder, log)
        _, status = os.waitpid(pid, 0)
        if os.waitstatus_to_exitcode(status) != _PASSED:
            raise RuntimeError(f"without a defect the tests fail:\n{log.read_text()[-3000:]}")
        print(f"{room}: the tests pass in {time.monotonic() - began:.0f} s", flush=True)
    tried = []
    for one in try_all(chosen, workers):
        tried.append(one)
        if not one.killed:
            print(f"  {len(tried):4} of {len(chosen)}: survived  {one.mutant.told}", flush=True)
    return tried


def every(files: str) -> list[Mutant]:
    """Every defect of the files that are covered."""
    paths = [p for tree in TREES for p in sorted((SOURCE / tree).rglob("*.py")) or [SOURCE / tree]]
    names = [str(path.relative_to(SOURCE)) for path in paths]
    return [mutant for name in names if files in name for mutant in mutants(name)]


def main(argv: Sequence[str] | None = None) -> int:
    """Draw, try and tell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--file", default="", help="only files whose path has this text in it")
    parser.add_argument("--survivors", type=Path, help="write what no test noticed here")
    told = parser.parse_args(argv)
    known = every(told.file)
    chosen = Random(told.seed).sample(known, min(told.count, len(known)))
    began, tried = time.monotonic(), list[Tried]()
    for room in sorted({_room(m.path.replace("/", ".")) for m in chosen}):
        mine = [m for m in chosen if m.path.startswith(room.replace(".", "/"))]
        tried += _in_own_process(mine, room, told.workers)
    return report(tried, len(known), time.monotonic() - began, told.survivors)


def report(tried: Sequence[Tried], known: int, seconds: float, survivors: Path | None) -> int:
    """Tell what was killed, file by file."""
    of, killed = Counter(t.mutant.path for t in tried), Counter(t.mutant.path for t in tried if t.killed)
    for path in sorted(of):
        print(f"{killed[path]:4} of {of[path]:4} killed  {path}")
    share = 100.0 * sum(killed.values()) / max(1, len(tried))
    print(
        f"{sum(killed.values())} of {len(tried)} killed, {share:.1f} %; {known} known; {seconds / 60:.1f} min"
    )
    left = sorted((t.mutant.path, t.mutant.line, t.mutant.told) for t in tried if not t.killed)
    if survivors:
        survivors.write_text("".join(f"{line}\n" for *_, line in left), "utf-8")
    return 0 if share >= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())

"""Where things stand in a TOML text."""

from __future__ import annotations

from typing import Any

import pytest
import tomli
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.equipment.errors import Path
from asleft.equipment.positions import Positions
from equipment.sample import place

TEXT = '''\
# comment with [brackets] and "quotes"
top = 1   # a = 2
"quo\\u0074ed key" = 'lit # eral'
a.b.c = "dotted"
list = [ 1, "two # ]", # comment ]
  [3, 4],
  { x = 5, y.z = [6] },
]
multi = """
[not.a.table]
k = \\"""v" """
plain = \'\'\'
[[neither]] \'\'\'
when = 1979-05-27 07:32:00 # date

[table]
inner = true
[table.sub]
deep = -1.5

[[many]]
n = 1
  [[many.nested]]
  m = 11
  [[many.nested]]
  m = 12
[[many]]
n = 2
[many.alone]
q = 3
[[ many . nested ]]
m = 21
'''

PLACES: list[tuple[Path, str, int, str, int]] = [
    # path, mark and count of the key, mark and count of the value
    (("top",), "top", 1, "1 ", 1),
    (("quoted key",), '"quo\\u0', 1, "'lit", 1),
    (("a", "b", "c"), "a.b.c", 1, '"dotted"', 1),
    (("a", "b"), "a.b.c", 1, "a.b.c", 1),
    (("list",), "list", 1, "[ 1", 1),
    (("list", 1), '"two', 1, '"two', 1),
    (("list", 2, 1), "4]", 1, "4]", 1),
    (("list", 3), "{ x", 1, "{ x", 1),
    (("list", 3, "x"), "x = 5", 1, "5,", 1),
    (("list", 3, "y", "z"), "y.z", 1, "[6]", 1),
    (("list", 3, "y", "z", 0), "6]", 1, "6]", 1),
    (("multi",), "multi", 1, '"""', 1),
    (("plain",), "plain", 1, "'''", 1),
    (("when",), "when", 1, "1979", 1),
    (("table",), "[table]", 1, "[table]", 1),
    (("table", "inner"), "inner", 1, "true", 1),
    (("table", "sub", "deep"), "deep", 1, "-1.5", 1),
    (("many", 0), "[[many]]", 1, "[[many]]", 1),
    (("many", 1), "[[many]]", 2, "[[many]]", 2),
    (("many", 0, "nested", 1, "m"), "m = 12", 1, "12", 1),
    (("many", 1, "alone", "q"), "q = 3", 1, "3\n[[ many", 1),
    (("many", 1, "nested", 0), "[[ many", 1, "[[ many", 1),
    (("many", 1, "nested", 0, "m"), "m = 21", 1, "21", 1),
    (("many", 1, "nested", 0, "absent"), "[[ many", 1, "[[ many", 1),
    (("nowhere", 3), "#", 1, "#", 1),
]


@pytest.mark.parametrize(("path", "key", "key_nth", "value", "value_nth"), PLACES)
def test_keys_and_values_are_found(path: Path, key: str, key_nth: int, value: str, value_nth: int) -> None:
    """Strings, comments, dotted keys, nested lists and tables do not mislead the count."""
    tomli.loads(TEXT)
    places = Positions(TEXT, [path])
    assert places.key(path) == place(TEXT, key, key_nth)
    assert places.value(path) == place(TEXT, value, value_nth)


def test_many_wanted_paths_are_found_as_one_is() -> None:
    """Asking for several changes nothing."""
    places = Positions(TEXT, [path for path, *_ in PLACES])
    assert all(places.value(path) == Positions(TEXT, [path]).value(path) for path, *_ in PLACES)


def test_a_list_too_deep_is_passed_over() -> None:
    """What is nested out of all reason has the place of what is around it; what follows is found."""
    text = "a = " + "[" * 300 + "'x'" + "]" * 300 + "\nb = 2\n"
    places = Positions(text, [("a", *[0] * 299), ("b",)])
    assert places.value(("a", *[0] * 299)).line == 1
    assert places.value(("b",)) == (2, 5)


_KEYS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=6)
_LEAVES = st.integers(-9, 9) | st.booleans() | st.text(st.characters(codec="utf-8"), max_size=8)
_TREES = st.dictionaries(
    _KEYS,
    st.recursive(
        _LEAVES,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=3),
        max_leaves=10,
    ),
    max_size=4,
)


def _leaves(value: Any, path: Path = ()) -> list[tuple[Path, Any]]:
    if isinstance(value, dict):
        return [leaf for key, inner in value.items() for leaf in _leaves(inner, (*path, key))]
    if isinstance(value, list):
        return [leaf for index, inner in enumerate(value) for leaf in _leaves(inner, (*path, index))]
    return [(path, value)]


@settings(deadline=None)
@given(_TREES, st.booleans())
def test_at_every_place_stands_the_value(tree: dict[str, Any], multiline: bool) -> None:
    """Whatever a writer of TOML writes, the place of each value is where that value can be read."""
    text = tomli_w.dumps(tree, multiline_strings=multiline)
    read = tomli.loads(text)
    leaves = _leaves(read)
    places = Positions(text, [path for path, _ in leaves])
    lines = text.split("\n")
    for path, value in leaves:
        line, column = places.value(path)
        rest = "\n".join([lines[line - 1][column - 1 :], *lines[line:]])
        assert _first_value(rest) == value


def _first_value(text: str) -> Any:
    ends = sorted({i for i, sign in enumerate(text) if sign in ",]}\n"} | {len(text)})
    for end in ends:
        try:
            return tomli.loads(f"k = {text[:end]}")["k"]
        except tomli.TOMLDecodeError:
            continue
    raise AssertionError(text)

"""A tail is torn only if it could be the beginning of the very next event."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from asleft.journal import Chain, classify

START = '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "A"\nkind = '
ENTERED = START + '"entered"\nfield = "f"\ntyped = "t"\n'
SEALED = START + '"sealed"\nof = 1\nsignature = '


def tail(header: bytes, text: str | bytes) -> Chain:
    return classify(header + (text if isinstance(text, bytes) else text.encode())).chain


@pytest.mark.parametrize(
    "text",
    [
        "\n",
        "\n[[ev",
        "\n[[event]]\nn",
        '\n[[event]]\nn = 1\nat = "2031-04-3',
        '\n[[event]]\nn = 1\nat = "2031-0',
        '\n[[event]]\nn = 1\nat = "2031-05-04T2',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00.',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00.123456',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "x\\',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "x\\u202',
        START + '"r',
        START + '"resumed"',
        START + '"resumed"\nl',
        START + '"resumed"\nv',
        ENTERED + "value = ",
        ENTERED + "value = -",
        ENTERED + "value = 1.",
        ENTERED + "value = 1e",
        ENTERED + "value = 1e+2",
        ENTERED + "value = tr",
        ENTERED + 'value = "tr',
        ENTERED + "value = 1\nreadings = [",
        ENTERED + "value = 1\nreadings = [1.5",
        ENTERED + "value = 1\nreadings = [1.5,",
        ENTERED + "value = 1\nreadings = [1.5, ",
        ENTERED + "value = 1\nreadings = [1.5, 2.0]",
        ENTERED + 'value = 1\ninstrument = "m"\nverdicts = []',
        SEALED + '["a, b", "',
        SEALED + '["a, b"',
        SEALED + '["a, b",',
        SEALED + '["a, b"]',
        SEALED + '["]", "\\u',
    ],
)
def test_a_beginning_is_torn(header: bytes, text: str) -> None:
    assert tail(header, text) is Chain.TORN


@pytest.mark.parametrize(
    "text",
    [
        "\n\n",
        "\n[event]",
        "\n[[event]]\nn = 2\n",
        "\n[[event]]\nat",
        '\n[[event]]\nn = 1\nat = "2031-13',
        '\n[[event]]\nn = 1\nat = "2031-02-3',
        '\n[[event]]\nn = 1\nat = "2031-05-04 ',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00.1234567',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = \'x',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "x\\e',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "x\\u0041',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "\u202e',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "\t',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "x" ',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby =  "x"\n',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "\\u0041"\n',
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = """',
        START + '"x',
        START + '"guessed"\n',
        START + '"resumed"\nk',
        START + '"resumed"\nlink = "zz',
        START + '"resumed"\nlink = "' + "0" * 64,
        START + '"resumed"\nlink = "' + "0" * 64 + '"\n',
        START + '"resumed"\nstate',
        START + '"powered"\nlink',
        START + '"powered"\nstate = "m',
        ENTERED + "unit",
        ENTERED + "value = n",
        ENTERED + "value = 01",
        ENTERED + "value = +1",
        ENTERED + "value = 1.50\n",
        ENTERED + 'value = 1\ninstrument = "m"\nunit',
        ENTERED + "value = 1\nreadings = [ ",
        ENTERED + "value = 1\nreadings = [1.5,2",
        ENTERED + "value = 1\nreadings = [,",
        ENTERED + "value = 1\nreadings = [1.50, 2",
        ENTERED + 'value = 1\nreadings = ["',
        ENTERED + "value = 1\nreadings = [true, ",
        SEALED + "[1",
        SEALED + '["a" ',
        SEALED + '["a","b',
        SEALED + "[\n",
        START + '"retracted"\nof = -',
        "\n[[event]]\nn = 1\n\xff",
    ],
)
def test_what_could_not_have_been_begun_here_is_broken(header: bytes, text: str) -> None:
    data = text.encode("latin-1") if text.endswith("\xff") else text.encode()
    assert tail(header, data) is Chain.BROKEN


def test_a_character_cut_in_two_is_torn_inside_a_string_only(header: bytes) -> None:
    fire = "🔥".encode()
    by = b'\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = '
    for size in range(1, len(fire)):
        assert tail(header, by + b'"x' + fire[:size]) is Chain.TORN
        assert tail(header, by + b'"x"' + fire[:size]) is Chain.BROKEN
        assert tail(header, by + b'"x\\' + fire[:size]) is Chain.BROKEN
        assert tail(header, by + fire[:size]) is Chain.BROKEN
        assert tail(header, START.encode() + b'"' + fire[:size]) is Chain.BROKEN
        assert tail(header, b"\n" + fire[:size]) is Chain.BROKEN


@pytest.mark.parametrize(
    "edit",
    [
        lambda h: h.replace(b"mode", b"mood")[:80],
        lambda h: h[:60] + b"\x00",
        lambda h: h[: h.index(b"[equipment]")] + b"[[event]]\n",
        lambda h: h[: h.index(b"lines")] + b"lines = [1",
        lambda h: h[: h.index(b"lines")] + b"lines = [\n    1",
        lambda h: h[: h.index(b"[chain]")] + b'[chain]\nlink = "00',
    ],
)
def test_a_header_that_could_not_have_been_begun_is_broken(
    header: bytes, edit: Callable[[bytes], bytes]
) -> None:
    contents = classify(edit(header))
    assert contents.chain is Chain.BROKEN
    assert "ine " in contents.trouble

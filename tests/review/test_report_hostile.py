"""Reports of sessions whose texts try to be markup: they stay text, in the page and in its pictures."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import html5lib
import pytest

import hostile
from asleft.drill.technician import Stuck, headless
from asleft.equipment.library import shipped, units
from asleft.journal import classify, event_bytes, header_bytes
from asleft.line.report import run
from asleft.unattended import begin
from review.sessions import session
from shared import kept_once
from support import ROOT

AT = "2031-05-04T09:00:00Z"

MARKUP = {
    "script": "<script>alert(1)</script>",
    "image": "<img src=x onerror=a()>",
    "out of an attribute": '" onload="a()" x="',
    "out of the other": "' style='x:url(//a)' '",
    "end of data": "]]><svg onload=a()>",
    "end of the title": "</title></desc></svg><a>",
    "entity": "&lt;b&gt;&amp;&#60;i&#62;",
    "named entity": "&quot;&nbsp;&bogus;",
    "comment": "<!-- --><!DOCTYPE x>",
    "template": "{{ 7*7 }}{% raw %}",
    "address": "https://a.example/x",
    "data": "data:text/html,<b>x",
    "style": "</style><style>*{x:y}",
    "base": "<base href=//a.example>",
    "frame": "<iframe srcdoc=x></iframe>",
    "apostrophes": "\\'\\\" `${a}`",
    "backslashes": "\\u0000 \\x3cb\\x3e \\0",
    "arabic": "قاطع التيار",
    "stacked": "Z" + "\u0351\u036b\u0343\u036a" * 5 + "A",
}
"""Text that a person or a maker may write, and that would act if it stood on a page as it is."""
_TAGS = (
    "html head meta title style body header main section nav article p h1 h2 h3 ul li a b i em strong small"
    " span bdi dl div dt dd table caption thead tbody tr th td figure figcaption pre code wbr"
    " svg desc g rect line polyline polygon circle text clippath"
)
_ATTRIBUTES = (
    "lang charset name content http-equiv class id scope colspan data-label href aria-label aria-labelledby"
    " role viewbox font-size font-family font-weight stroke-linejoin x y x1 y1 x2 y2 cx cy r width height"
    " points fill fill-opacity stroke stroke-width stroke-dasharray text-anchor clip-path paint-order"
)
TAGS, ATTRIBUTES = frozenset(_TAGS.split()), frozenset(_ATTRIBUTES.split())
TOLD_ONE_BY_ONE = 4
"""So many odd events a report names before it counts the rest."""
HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
POLICY = "default-src 'none'; style-src 'unsafe-inline'"


class Seen(HTMLParser):
    """Every element and attribute of a page, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.other: list[str] = []
        self.text = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_comment(self, data: str) -> None:
        self.other.append(data)

    def handle_decl(self, decl: str) -> None:
        self.other.append(decl)

    def handle_pi(self, data: str) -> None:
        self.other.append(data)


def pictures(page: str) -> Iterator[ElementTree.Element]:
    """The pictures of a page, each read as XML."""
    for part in re.findall(r"<svg .*?</svg>", page, re.DOTALL):
        yield ElementTree.fromstring(part)


def sound(page: str) -> Seen:
    """Hold a page against all that it must never have."""
    html5lib.HTMLParser(strict=True).parse(page)
    seen = Seen(page)
    assert seen.tags <= TAGS, seen.tags - TAGS
    assert {name for name, _ in seen.attributes} <= ATTRIBUTES
    assert seen.other == ["DOCTYPE html"]
    for name, value in seen.attributes:
        assert not name.startswith("on")
        assert name != "href" or re.fullmatch("#[a-z]+", value)
        assert not re.search(r"url\((?!#[a-z-]+\))", value)
    assert page.count("<style>") == page.count("</style>") == 1
    css = page[page.index("<style>") : page.index("</style>")]
    assert "url(" not in css
    assert "@import" not in css
    assert ("http-equiv", "Content-Security-Policy") in seen.attributes
    assert ("content", POLICY) in seen.attributes
    ids = [value for name, value in seen.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    assert {value[1:] for name, value in seen.attributes if name == "href"} <= set(ids)
    for picture in pictures(page):
        labels = {str(part.get("id")) for part in picture if part.tag in ("title", "desc")}
        assert set(str(picture.get("aria-labelledby")).split()) == labels
        assert {part.tag.lower() for part in picture.iter()} <= TAGS
        assert {name.lower() for part in picture.iter() for name in part.attrib} <= ATTRIBUTES
    odd = {c for c in page if c != "\n" and unicodedata.category(c) in HIDDEN}
    assert not odd, odd
    return seen


def reported(path: Path, folder: Path, **options: object) -> str:
    """The page of a session."""
    assert run([path], out=folder / "page.html", **options) in (0, 1)  # type: ignore[arg-type]
    return (folder / "page.html").read_text("utf-8")


@pytest.fixture(scope="module", params=["brinmere-staithe-60", "marrowby-linnet-30", "osmere-corrie-24"])
def visit(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A whole visit to a unit every free string of which is markup, with a site and notes that are too."""
    folder = tmp_path_factory.mktemp("hostile")
    unit, away = request.param, folder / "played"
    name, data = kept_once(f"visit of markup {unit}", lambda: _played(unit, away))
    (folder / name).write_bytes(data)
    return folder / name


def _played(unit_id: str, folder: Path) -> tuple[str, bytes]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(hostile, "VISIBLE", MARKUP)
        unit, _ = hostile.hostile_unit((shipped() / f"{unit_id}.toml").read_text("utf-8"))
    job = begin(folder, unit, 2)
    with suppress(Stuck):
        headless(job.visit, job.rig, most_acts=400)
    for text in MARKUP.values():
        job.visit.enter("note", text)
    job.visit.enter("identity.site", "".join(MARKUP.values())[:300])
    job.visit.enter("identity.technician", MARKUP["script"])
    job.visit.enter("broke:EL-1", MARKUP["image"])
    job.close()
    return job.visit.path.name, job.visit.path.read_bytes()


@pytest.mark.parametrize("system", ["ip", "si"])
def test_markup_of_a_visit_is_text_on_its_page(visit: Path, system: str, tmp_path: Path) -> None:
    """No element and no attribute but ours, and the notes are there to read, letter by letter."""
    seen = sound(reported(visit, tmp_path, system=system))
    for name, text in MARKUP.items():
        if name != "stacked":
            assert text in seen.text


def test_pictures_of_hostile_names_are_pictures(visit: Path, tmp_path: Path) -> None:
    """Fan tables at least are drawn, with a title and a description."""
    found = list(pictures(reported(visit, tmp_path)))
    assert found
    for picture in found:
        assert picture.find("title") is not None
        assert picture.find("desc") is not None


def test_names_that_are_markup_are_left_out_too(visit: Path, tmp_path: Path) -> None:
    """Of the technician and of the site."""
    seen = sound(reported(visit, tmp_path, names_out=True))
    assert MARKUP["script"] not in seen.text


def test_a_message_of_a_hostile_visit_is_harmless(visit: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its lines are its own."""
    assert run([visit], text=True) == 0
    out = capsys.readouterr().out
    assert len(out.splitlines()) <= 20
    assert not [c for c in out if c != "\n" and unicodedata.category(c) in HIDDEN]


@pytest.mark.parametrize("names_out", [False, True])
def test_a_session_that_somebody_else_wrote_does_nothing(names_out: bool, tmp_path: Path) -> None:
    """Whole by its chain, all its words full of what acts on a reader's eyes, a terminal or a browser."""
    equipment = (shipped() / f"{units()[0].id}.toml").read_text("utf-8")
    texts = [
        *hostile.ACTING.values(),
        *hostile.VISIBLE.values(),
        *MARKUP.values(),
        hostile.LONG,
        "\\x00",
        "]]>",
    ]
    worst = "\u202e\0" + "".join(MARKUP.values())
    data = header_bytes(
        id=f"../{worst}",
        mode="job",
        app=worst,
        rules=worst,
        opened_by=worst,
        follows=worst,
        equipment_text=equipment,
    )
    events: list[dict[str, object]] = []
    for text in texts:
        events += [
            {"kind": "noted", "text": text},
            {"kind": "noted", "text": text, "mends": text},
            {"kind": "noted", "text": text, "broke": text},
            {"kind": "entered", "field": "identity.site", "typed": f"{text} x", "value": f"{text} x"},
            {"kind": "entered", "field": "identity.model", "typed": f"{text} x", "value": text},
            {"kind": "waived", "id": text, "subject": text, "why": text},
            {"kind": "reviewed", "outcome": "accepted", "why": text},
        ]
    events += [{"kind": "retracted", "of": 1, "why": worst}, {"kind": "signed", "outcome": "commissioned"}]
    for n, event in enumerate(events, 1):
        data += event_bytes(classify(data).link, {"n": n, "at": AT, "by": texts[n % len(texts)], **event})[0]
    path = tmp_path / "visit.toml"
    path.write_bytes(data)
    out = tmp_path / "out"
    assert run([path], out=out, names_out=names_out) == 0
    assert run([path], out=out, names_out=names_out) == 0, "our own report is known again"
    (page,) = out.iterdir()
    assert re.fullmatch(r"[A-Za-z0-9-]+\.html", page.name)
    sound(page.read_text("utf-8"))


@pytest.mark.parametrize("keys", [("outcome",), ("mends", "broke")], ids=" and ".join)
def test_what_no_program_wrote_is_named_on_a_harmless_page(keys: tuple[str, ...], tmp_path: Path) -> None:
    """Words that no review can have, and notes that are two things at once, early in a visit."""
    kind = {"kind": "reviewed", "why": "x"} if "outcome" in keys else {"kind": "noted", "text": "x"}
    texts = (*hostile.ACTING.values(), *MARKUP.values())
    odd = [{"at": AT, "by": "A", **kind, **dict.fromkeys(keys, text)} for text in texts]
    for first in range(0, len(odd), TOLD_ONE_BY_ONE):
        some = odd[first : first + TOLD_ONE_BY_ONE]
        path = tmp_path / "visit.toml"
        path.write_bytes(session(lambda events, some=some: [*events[:12], *some]))
        assert run([path], out=tmp_path / "page.html") == 1
        seen = sound((tmp_path / "page.html").read_text("utf-8"))
        for n in range(13, 13 + len(some)):
            assert f"Event {n} cannot be what this program wrote" in seen.text
        assert "Orchard Foot 2" in seen.text


@pytest.mark.parametrize(
    "sample", sorted((ROOT / "sessions").glob("*.toml")), ids=lambda path: path.stem[:20]
)
def test_a_page_of_an_ordinary_visit_asks_for_nothing(sample: Path, tmp_path: Path) -> None:
    """It is HTML without an error, and no address of any other place is in it."""
    page = reported(sample, tmp_path)
    sound(page)
    assert not re.search("https?:", page, re.IGNORECASE)

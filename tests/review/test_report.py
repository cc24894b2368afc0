"""The report of a visit: what stands on the page, what is left out, where it goes, and its twenty lines."""

from __future__ import annotations

import re
import shutil
from functools import cache
from hashlib import sha256
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from asleft.drill.technician import act
from asleft.equipment.library import find
from asleft.line.reading import read_session
from asleft.line.report import run
from asleft.review.report import session_of
from asleft.review.report.safe import Safe
from asleft.review.report.words import figure
from asleft.unattended import begin
from played import UNIT, blocks, session_file
from support import ROOT

SAMPLES = sorted((ROOT / "sessions").glob("*.toml"))


@cache
def failing() -> bytes:
    """A visit with a failed hold, a waiver, a breach, a remark with a name, and something taken back."""
    with TemporaryDirectory() as folder:
        job = begin(Path(folder), find(UNIT), 2)
        visit = job.visit
        while not visit.view.next.enter.startswith("sign"):
            visit.submit(*act(visit.view, job.rig))
        who = visit.view.state.text("identity.technician")
        site = visit.view.state.text("identity.site")
        visit.enter("identity.model", "another one")
        visit.enter("note", f"{who} was let in by the owner of {site}.")
        visit.enter("note", "A slip.")
        visit.enter(f"retract:{visit.view.state.last_n}", "It was the other house.")
        visit.enter("broke:EL-1", "Reached inside with power on.")
        wrong = [f for f in visit.view.findings if f.failed and f.severity == "correct"]
        for finding in wrong[:1]:
            visit.enter(f"waive:{finding.id}/{finding.subject}", "The owner wants it so.")
        visit.enter("electrical.line.l1_l2", "216.5 V")
        job.close()
        return visit.path.read_bytes()


@pytest.fixture
def failed(tmp_path: Path) -> Path:
    """That visit as a file."""
    path = tmp_path / "failed.toml"
    path.write_bytes(failing())
    return path


def told(path: Path) -> str:
    """The words of a page, without elements."""
    text = re.sub(r"<style>.*?</style>", " ", path.read_text("utf-8"), flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", text.replace("<wbr>", ""))).split())


def made(path: Path, folder: Path, **options: object) -> Path:
    """The page of a file, in a folder that holds nothing else of its name."""
    assert run([path], out=folder / "page.html", **options) in (0, 1)  # type: ignore[arg-type]
    return folder / "page.html"


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem[:20])
def test_a_page_says_all_that_the_visit_was(sample: Path, tmp_path: Path) -> None:
    """Job, outcome, every field entered, every setting, every finding that applies, and the digest."""
    view = read_session(sample).view
    assert view is not None
    text = told(made(sample, tmp_path))
    signature = view.state.signature
    assert signature is not None
    assert f"Commissioned, signed by {signature.by}" in text
    assert "whole: every byte is verified" in text
    assert sha256(sample.read_bytes()).hexdigest() in text.replace(" ", "")
    assert str(view.state.text("identity.site")) in text
    for id, field in view.ledger.fields.items():
        if view.state.entries.get(id):
            assert field.label in text, id
    for setting, address in view.equipment.by_address():
        assert setting.label in text
        assert next(a.label for a in view.equipment.address if a.id == address) in text
    for finding in view.findings:
        assert finding.id in text
        if finding.verdict != "not applicable" and finding.margin is not None and finding.value is not None:
            margin = "temperature_difference" if finding.kind == "temperature" else finding.kind
            assert figure(finding.margin, margin, "ip") in text
            assert finding.source in text


def test_a_time_that_a_reading_brought_stands_beside_it(tmp_path: Path) -> None:
    """In an invented visit: minutes 2 to 10 of all heat, by the virtual unit's clock."""
    path = session_file(tmp_path)
    page = told(made(path, tmp_path))
    brought = re.findall(r'^read_at = "(.*)"$', path.read_text("utf-8"), re.M)
    assert len(brought) == 9
    assert all(f"read {at} by a file of readings or a rig" in page for at in brought)


def test_the_parts_come_in_the_order_in_which_they_are_looked_for(failed: Path, tmp_path: Path) -> None:
    """Outcome first, proof last."""
    page = made(failed, tmp_path).read_text("utf-8")
    heads = re.findall(r'<h2 id="([a-z]+)">', page)
    parts = ["job", "entered", "settings", "findings", "waivers", "charts", "working", "cautions", "chain"]
    assert heads == [*parts, "verify"]


def test_what_failed_comes_first_with_its_working(failed: Path, tmp_path: Path) -> None:
    """The worst finding leads; its figures, what to do and its working are told, and why it was waived."""
    view = read_session(failed).view
    assert view is not None
    text = told(made(failed, tmp_path))
    listing = text[text.index("Findings by today") : text.index("Waivers and remarks", 3000)]
    assert listing.index("FAIL") < listing.index("✓ pass")
    working = text[text.index("Working of what failed") :]
    fails = [finding for finding in view.findings if finding.failed]
    assert fails
    for finding in fails:
        assert " ".join(finding.text.split()) in working
        assert " ".join(finding.working.split()) in working
    near = [finding for finding in view.findings if finding.verdict == "conditional pass"]
    for finding in near:
        assert finding.probability is not None
        assert f"{1 - finding.probability:.2f}" in listing
    assert "The owner wants it so." in text or not view.state.waivers
    assert "Reached inside with power on." in text
    assert "It was the other house." in text
    assert "no longer: something was entered after the signature" in text or "Not signed" in text


@pytest.mark.parametrize("file", ["failed", *(path.name for path in SAMPLES)])
def test_names_are_left_out_wherever_they_stand(
    file: str, failed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of persons and of the site, in the page, in its name and in the message, and it says so."""
    path = failed if file == "failed" else ROOT / "sessions" / file
    view = read_session(path).view
    assert view is not None
    names = [str(view.state.text("identity.technician")), str(view.state.text("identity.site"))]
    folder = tmp_path / "out"
    assert run([path], out=folder, names_out=True) == 0
    (page,) = folder.iterdir()
    text = told(page)
    assert "were left out" in text
    for name in (*names, names[1].replace(" ", "-"), *names[0].split()):
        assert not re.search(rf"\b{name}\b", f"{page.name} {page.read_text('utf-8')}", re.IGNORECASE), name
    assert run([path], text=True, names_out=True) == 0
    lines = capsys.readouterr().out.splitlines()[1:]
    assert not [line for line in lines for name in names if name in line]
    if file == "failed":
        assert "[name left out] was let in by the owner of [site left out]." in text


def test_a_name_is_found_however_it_is_written() -> None:
    """Its words parted otherwise, in capitals, a part of it alone; not inside other words."""
    safe = Safe(["Will Ash", "Bo"], ["12 Mill Lane"])
    assert safe("will  ASH at 12-mill-lane: Ash") == "[name left out] at [site left out]: [name left out]"
    assert safe("It will do; bottom, Bo.") == "It will do; bottom, [name left out]."
    assert safe("Smash the ash") == "Smash the ash"
    assert Safe(["left", "name"])("left name") == "[name left out] [name left out]"


@pytest.mark.parametrize("file", ["failed", *(path.name for path in SAMPLES)])
@pytest.mark.parametrize("system", ["ip", "si"])
def test_a_message_has_twenty_lines(
    file: str, system: str, failed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At most, of at most a hundred characters, and the digest of the record is the last."""
    path = failed if file == "failed" else ROOT / "sessions" / file
    assert run([path], text=True, system=system) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 20
    assert max(map(len, lines)) <= 100
    assert lines[-1].endswith(sha256(path.read_bytes()).hexdigest())


def test_the_same_file_gives_the_same_bytes(failed: Path, tmp_path: Path) -> None:
    """No clock and no chance is in it."""
    first = made(failed, tmp_path).read_bytes()
    assert made(failed, tmp_path).read_bytes() == first


def test_units_are_those_that_were_asked_for(tmp_path: Path) -> None:
    """In SI no inch and no degree Fahrenheit is a unit of any table; what was typed stays as it was typed."""
    page = made(SAMPLES[0], tmp_path, system="si").read_text("utf-8")
    shown = re.sub(r"<small>typed [^<]*</small>|<style>.*?</style>", "", page, flags=re.DOTALL)
    findings = shown[shown.index('id="findings"') : shown.index('id="waivers"')]
    assert "Pa" in findings
    for unit in ("in. w.c.", "°F", "cfm", "Btu/h"):
        assert not re.search(rf'data-label="(Margin|Limits)">[^<]*{re.escape(unit)}', findings)


def test_a_damaged_file_is_told_as_far_as_it_is_verified(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In words at the top; the exit code says that something is wrong, in both forms."""
    whole = session_file(tmp_path).read_bytes()
    parts = blocks(whole)
    torn, broken, lost = (tmp_path / f"{name}.toml" for name in ("torn", "broken", "lost"))
    torn.write_bytes(whole + b"\n[[event]]\nn = ")
    broken.write_bytes(b"".join(parts[:40]) + parts[40].replace(b"n = 40", b"n = 41") + b"".join(parts[41:]))
    lost.write_bytes(parts[0].replace(b'app = "asleft', b'app = "ASLEFT') + b"".join(parts[1:]))
    for file, words in (
        (torn, f"TORN. The last entry, from line {whole.count(10) + 2}"),
        (broken, "What follows is verified up to event 39"),
        (lost, "Nothing in the file could be verified"),
    ):
        assert run([file], out=tmp_path / "out") == 1
        text = told(tmp_path / "out" / f"{file.stem}.html")
        assert words in text[:1500]
        assert run([file], text=True) == 1
        lines = capsys.readouterr().out.splitlines()
        assert len(lines) <= 21
        assert words[:30] in "\n".join(lines)


def test_what_is_no_session_is_refused_and_the_others_are_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One sentence a file, and 2 at the end."""
    (tmp_path / "list.toml").write_text("a = 1\n")
    out = tmp_path / "out"
    assert run([tmp_path / "list.toml", tmp_path / "none.toml", *SAMPLES], out=out) == 2
    said = capsys.readouterr()
    assert len(said.err.splitlines()) == 2
    assert sorted(page.stem for page in out.iterdir()) == [sample.stem for sample in SAMPLES]
    assert len(said.out.splitlines()) == len(SAMPLES)


def test_only_a_report_of_the_same_session_is_ever_replaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither another file, nor the session itself, nor the report of another visit."""
    mine = tmp_path / "mine.html"
    mine.write_text("<p>mine</p>")
    assert run([SAMPLES[0]], out=mine) == 2
    assert mine.read_text() == "<p>mine</p>"
    copy = tmp_path / "visit.html"
    shutil.copy(SAMPLES[0], copy)
    assert run([copy], out=copy) == 2
    assert copy.read_bytes() == SAMPLES[0].read_bytes()
    place = tmp_path / "page.html"
    assert run([SAMPLES[0]], out=place) == 0
    assert run([SAMPLES[1]], out=place) == 2
    assert run([SAMPLES[0]], out=place, names_out=True) == 0
    assert session_of(place.read_text("utf-8")[:2000]) is not None
    assert "name another place with --out" in capsys.readouterr().err
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".report")]


def test_two_files_of_one_name_give_two_pages(tmp_path: Path) -> None:
    """In the current folder unless told otherwise; neither is lost."""
    for n, sample in enumerate(SAMPLES[:2]):
        (tmp_path / str(n)).mkdir()
        shutil.copy(sample, tmp_path / str(n) / "visit.toml")
    out = tmp_path / "out"
    assert run([tmp_path / "0" / "visit.toml", tmp_path / "1" / "visit.toml"], out=out) == 0
    assert sorted(page.name for page in out.iterdir()) == ["visit-2.html", "visit.html"]


def test_without_a_place_it_goes_into_the_current_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Under the name of the session."""
    monkeypatch.chdir(tmp_path)
    assert run([SAMPLES[0]]) == 0
    assert [page.name for page in tmp_path.iterdir()] == [f"{SAMPLES[0].stem}.html"]


def test_a_message_goes_nowhere_but_to_the_terminal(tmp_path: Path) -> None:
    """A place for it is refused, and nothing is written."""
    assert run([SAMPLES[0]], text=True, out=tmp_path / "x.html") == 2
    assert not list(tmp_path.iterdir())

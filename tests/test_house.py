"""The rules of the house that no single room can keep."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import tomli

ROOT = Path(__file__).parent.parent
SOURCES = sorted((ROOT / "src" / "asleft").rglob("*.py"))
CORE = ("quantity", "tables", "calc", "session", "installation", "sequence", "checks", "guide", "charts")


def _modules_after(statement: str) -> set[str]:
    code = f"{statement}\nimport sys\nprint(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize("room", CORE)
def test_a_core_room_loads_without_screen_units_or_models(room: str) -> None:
    """The core starts fast and pure: no textual, no pint, no pydantic behind it."""
    names = [
        "asleft." + ".".join(p.relative_to(ROOT / "src" / "asleft").with_suffix("").parts)
        for p in SOURCES
        if p.relative_to(ROOT / "src" / "asleft").parts[0] == room
    ]
    assert names
    loaded = _modules_after("\n".join(f"import {n.removesuffix('.__init__')}" for n in names))
    assert not loaded & {"textual", "pint", "pydantic", "rich"}


def test_the_commands_load_without_screen_units_or_models() -> None:
    """Nothing heavy stands between typing a command and its first line."""
    assert not _modules_after("import asleft.cli") & {"textual", "pint", "pydantic", "rich"}


@pytest.mark.parametrize("room", CORE)
def test_a_core_room_has_no_clock_no_random_and_no_files_of_its_own(room: str) -> None:
    """They are handed in, so that the same events always give the same findings."""
    banned = re.compile(r"^\s*(import|from) (time|random|datetime|os|socket|secrets|uuid|tempfile)\b", re.M)
    for path in (ROOT / "src" / "asleft" / room).rglob("*.py"):
        assert not banned.search(path.read_text("utf-8")), path


def test_no_code_names_a_unit_a_maker_or_a_setting() -> None:
    """Units differ by data alone."""
    words: set[str] = set()
    for path in (ROOT / "equipment").glob("*.toml"):
        data = tomli.loads(path.read_text("utf-8"))
        if "unit" in data:
            words |= {data["unit"]["id"], data["unit"]["maker"], data["unit"]["model"]}
            words |= {
                s["id"]
                for s in data.get("setting", ())
                if "-" in s["id"] or any(c.isdigit() for c in s["id"])
            }
    assert words
    roles = set(
        re.findall(r'^    "([a-z-]+)",$', (ROOT / "src/asleft/equipment/model.py").read_text("utf-8"), re.M)
    )
    for path in SOURCES:
        text = path.read_text("utf-8")
        assert not [w for w in words - roles if f'"{w}"' in text], path


def test_the_top_level_holds_only_what_belongs_there() -> None:
    """README, DEVELOPERS, pyproject and six folders; all else starts with a dot."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in listed.splitlines()}
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "src",
        "tests",
        "equipment",
        "sessions",
        "screenshots",
    }
    assert {t for t in top if not t.startswith(".")} <= allowed


def test_ci_runs_the_test_command_that_readme_gives() -> None:
    """What a stranger is told to run is what is checked."""
    readme = (ROOT / "README.md").read_text("utf-8")
    commands = re.findall(r"^python3 -m venv .*$", readme, re.M)
    assert len(commands) == 2
    assert commands[1] in (ROOT / ".ci" / "run").read_text("utf-8").splitlines()


def test_every_picture_is_shown_and_every_link_leads_somewhere() -> None:
    """The README pages, as somebody reads them in the repository."""
    led: set[Path] = set()
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "screenshots" / "README.md"):
        links = re.findall(r"\]\(([^)#]+)\)", page.read_text("utf-8"))
        led |= {(page.parent / link).resolve() for link in links if "://" not in link}
    assert not [path for path in led if not path.exists()]
    assert {path.resolve() for path in (ROOT / "screenshots").glob("*.svg")} <= led

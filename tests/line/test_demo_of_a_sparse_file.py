"""A demo of a file in which a figure is left out says, at its end, why the unit was not commissioned."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from asleft.cli import main
from drill.test_any_unit import KIT, LEAST

SECOND = LEAST[LEAST.index("[[blower.tier]]") :].replace('id = "t"', 'id = "u"')
SPARSE = {
    "two tiers and no topic": (LEAST + SECOND, "a topic of role blower-tier would."),
    "two tiers, a kit and no topic": (
        LEAST.replace("[[supply]]", KIT + "[[supply]]", 1) + SECOND,
        "a topic of role blower-tier would.",
    ),
    "a kit, no highest leaving air": (
        LEAST.replace("[[supply]]", KIT.partition("[limits]")[0] + "[[supply]]", 1),
        "The maker gives no highest leaving-air temperature with kit k.",
    ),
}


@pytest.mark.parametrize("case", SPARSE)
def test_a_demo_that_is_not_commissioned_says_why(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In its line of text, and as `why` in JSON; exit 1."""
    text, why = SPARSE[case]
    path = tmp_path / "mote.toml"
    path.write_text(text, "utf-8")
    demo = ["demo", "--unattended", "--headless", "--equipment", str(path), "--out", str(tmp_path / "out")]
    assert main(demo) == 1
    assert why in capsys.readouterr().out.partition("  not commissioned: ")[2]
    assert main([*demo, "--json"]) == 1
    (played,) = json.loads(capsys.readouterr().out)["sessions"]
    assert played["outcome"] == "not commissioned"
    assert played["why"].endswith(why)


def test_a_demo_that_is_commissioned_says_no_more(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing stands in the way."""
    path = tmp_path / "mote.toml"
    path.write_text(LEAST, "utf-8")
    demo = ["demo", "--unattended", "--headless", "--equipment", str(path), "--out", str(tmp_path / "out")]
    assert main(demo) == 0
    assert capsys.readouterr().out.rstrip().endswith("  commissioned")

"""The settings file: changed whole or not at all, comments kept, nothing of a person's thrown away."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
import tomli

from asleft.journal import lock
from asleft.settings import NotSaved, SettingError, load, settings_file, update, whole

MINE = """# My own words.
units = "ip"   # at home

# which one?
[instruments]
# the good one
meter = 'meter-corwen'
"""


def test_nothing_there_is_no_error(own_home: Path) -> None:
    """And asking does not make it."""
    loaded = load()
    assert (loaded.there, loaded.errors, loaded.notice) == (False, (), "")
    assert loaded.file == own_home / "settings.toml" == settings_file()
    assert not own_home.exists()


def test_what_is_saved_is_read_again() -> None:
    """In a new file, by any TOML reader."""
    update({"technician": 'Ada "A" Cole\\', "instruments.meter": "meter-corwen", "keys.row(-1)": "k"})
    update({"units": "si", "technician": "Ø"})
    assert tomli.loads(settings_file().read_text("utf-8")) == {
        "technician": "Ø",
        "units": "si",
        "instruments": {"meter": "meter-corwen"},
        "keys": {"row(-1)": "k"},
    }
    assert load().settings.technician == "Ø"


def test_comments_and_order_of_a_file_edited_by_hand_survive() -> None:
    """Only the lines that change are touched; a forgotten setting takes its line along."""
    settings_file().parent.mkdir()
    settings_file().write_text(MINE)
    assert update({"units": "si", "instruments.clamp": "clamp-corwen", "technician": "Ada"}).kept is None
    assert settings_file().read_text() == (
        '# My own words.\nunits = "si"   # at home\ntechnician = "Ada"\n\n# which one?\n[instruments]\n'
        '# the good one\nmeter = "meter-corwen"\nclamp = "clamp-corwen"\n'
    ).replace('"meter-corwen"', "'meter-corwen'")
    update({"units": "", "keys.next": "f12"})
    text = settings_file().read_text()
    assert "# which one?" in text
    assert "units" not in text
    assert text.endswith('\n[keys]\nnext = "f12"\n')


@pytest.mark.parametrize(
    "text",
    [
        'technician = """Ada"""\n',
        'instruments = { meter = "meter-corwen" }\n',
        'instruments.meter = "meter-corwen"\n',
        '"units" = "ip"\nkeys.next = "f12"',
    ],
)
def test_a_file_in_another_style_ends_up_right_and_what_it_was_is_kept(text: str) -> None:
    """Where single lines cannot simply be changed, the file is written anew beside the old one."""
    settings_file().parent.mkdir()
    settings_file().write_text(text)
    before = load()
    assert before.errors == ()
    saved = update({"technician": "Bea", "instruments.meter": "x", "keys.next": "f11"})
    after = load()
    assert after.errors == ()
    assert after.settings == saved.settings
    assert [after.settings.get(k) for k in ("technician", "instruments.meter", "keys.next")] == [
        "Bea",
        "x",
        "f11",
    ]
    assert after.settings.units == before.settings.units
    if saved.kept:
        assert saved.kept.read_text() == text


def test_a_broken_file_stays_until_settings_are_saved_and_then_beside_them() -> None:
    """Told in one sentence; what was right in it is kept; a second one does not push out the first."""
    settings_file().parent.mkdir()
    settings_file().write_text('technician = "Ada"\nunits = "metric"\n')
    loaded = load()
    assert loaded.settings.technician == "Ada"
    assert loaded.notice.startswith(
        f'{settings_file()}:2: units: found "metric", expected one of: auto, ip, si'
    )
    assert loaded.notice.count("\n") == 0
    assert settings_file().read_text() == 'technician = "Ada"\nunits = "metric"\n'
    with pytest.raises(NotSaved, match="something wrong in it"):
        update({"code": "other"}, mend=False)
    saved = update({"code": "other"})
    assert saved.kept is not None
    assert saved.kept.read_text() == 'technician = "Ada"\nunits = "metric"\n'
    assert dict(load().settings.every()) == {"technician": "Ada", "code": "other"}
    settings_file().write_text("no toml")
    again = update({"code": "other"})
    assert again.kept is not None
    assert (again.kept.name, again.kept.read_text()) == ("settings.toml.old-2", "no toml")


def test_a_wrong_change_changes_nothing() -> None:
    """All of it or nothing."""
    with pytest.raises(SettingError, match="theme"):
        update({"technician": "Ada", "theme": "pink"})
    assert not settings_file().exists()


def test_a_folder_that_may_not_be_written_says_so(read_only: Path) -> None:
    """In one sentence, and what is there stays."""
    with pytest.raises(NotSaved, match="could not be saved"):
        update({"units": "si"})
    assert load().settings.technician == "Ada"


def test_a_folder_in_whose_place_a_file_stands_says_so(own_home: Path) -> None:
    """Reading it is an error to be told; saving is refused."""
    own_home.parent.mkdir(exist_ok=True)
    own_home.write_text("x")
    assert "not a directory" in load().notice
    with pytest.raises(NotSaved, match="could not be saved"):
        update({"units": "si"})
    assert own_home.read_text() == "x"


@pytest.mark.parametrize("operation", ["write", "fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_whole(operation: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever step fails, nothing half written takes its place or is left about."""
    update({"units": "si"})
    before = settings_file().read_bytes()

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, operation, full)
        with pytest.raises(NotSaved, match="no space left on device"):
            update({"units": "ip"})
    assert settings_file().read_bytes() == before
    names = sorted(path.name for path in settings_file().parent.iterdir())
    assert names == [".settings.toml.lock", "settings.toml"]


def test_a_link_to_a_file_elsewhere_stays_a_link(tmp_path: Path) -> None:
    """Who keeps settings under version control goes on doing so; its mode stays too."""
    real = tmp_path / "kept" / "asleft.toml"
    real.parent.mkdir()
    real.write_text('units = "ip"\n')
    real.chmod(0o600)
    settings_file().parent.mkdir()
    settings_file().symlink_to(real)
    update({"units": "si"})
    assert settings_file().is_symlink()
    assert real.read_text() == 'units = "si"\n'
    assert stat.S_IMODE(real.stat().st_mode) == 0o600


def test_another_program_that_never_lets_go_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """It waits a moment, then tells."""
    monkeypatch.setattr(whole, "WAIT_S", 0.05)
    settings_file().parent.mkdir()
    held = os.open(settings_file().with_name(".settings.toml.lock"), os.O_RDWR | os.O_CREAT)
    assert lock.take(held)
    with pytest.raises(NotSaved, match="Another program"):
        update({"units": "si"})
    os.close(held)
    update({"units": "si"})


def test_many_writers_at_once_lose_nothing(own_home: Path) -> None:
    """Each sets its own key again and again; at the end all stand, and the file was never half written."""
    code = (
        "import sys\nfrom asleft.settings import update, load\n"
        "for n in range(15):\n"
        "    update({sys.argv[1]: f'x{n}'})\n"
        "    assert not load().errors\n"
        "    assert load().settings.said(sys.argv[1]) == f'x{n}'\n"
    )
    env = {**os.environ, "ASLEFT_HOME": str(own_home), "PYTHONPATH": ":".join(filter(None, sys.path))}
    keys = ["technician", "instruments.meter", "instruments.clamp", "keys.next"]
    writers = [subprocess.Popen([sys.executable, "-c", code, key], env=env) for key in keys]
    assert [writer.wait() for writer in writers] == [0, 0, 0, 0]
    assert [load().settings.said(key) for key in keys] == ["x14"] * 4
    assert sorted(p.name for p in own_home.iterdir()) == [".settings.toml.lock", "settings.toml"]


def test_one_variable_moves_all_that_is_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Settings, sessions, equipment, drafts; `~` is home; empty it counts as not set."""
    from asleft.settings import config_folder, equipment_folder, sessions_folder, state_folder

    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    monkeypatch.setenv("ASLEFT_HOME", "~/mine")
    mine = tmp_path / "mine"
    assert (config_folder(), state_folder()) == (mine, mine)
    assert (sessions_folder(), equipment_folder()) == (mine / "sessions", mine / "equipment")
    monkeypatch.setenv("ASLEFT_HOME", "")
    assert config_folder() != mine
    assert config_folder().name == "asleft"

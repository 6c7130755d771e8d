"""The module against the program: `HOOPWRIGHT=PROGRAM PYTHONPATH=crates/python/src python -m pytest crates/python/tests`.

SOLVED names a folder with vary.toml, solved into out/vary there; without it the study is solved anew.
"""

import os
import pathlib
import re
import signal
import subprocess
import sys
import time
import tomllib

import hoopwright
import pytest
from hoopwright._case import toml

PROJECT = pathlib.Path(__file__).parents[3]
TEXT = (PROJECT / "examples/01_road_holds.toml").read_text(encoding="utf-8")
QUICK = {"contact": {"friction": 0}, "limits": {"criterion": "off-centre release"}}


def tables():
    return tomllib.loads(TEXT) | QUICK


@pytest.fixture(scope="session")
def assessment():
    return hoopwright.assess(tables())


def test_versions_are_one():
    cargo = tomllib.loads((PROJECT / "Cargo.toml").read_text(encoding="utf-8"))
    assert hoopwright.__version__ == cargo["workspace"]["package"]["version"]


def test_tables_become_the_same_case():
    study = tables() | {"vary": {"bead.stiffness": {"from": "300 kN", "to": "500 kN", "count": 3}, "spokes.count": [24, 28]}}
    assert tomllib.loads(toml(study)) == study


def test_an_answer_is_typed(assessment):
    document = assessment.json
    release = assessment.without_friction.off_centre_release
    assert release.bar == 10 * document["retention_frictionless"]["off_centre_release_mpa"] and not release.lower_bound
    assert assessment.verdict == tuple(document["verdict"]) and assessment.kept == (assessment.verdict == ("holds",))
    assert assessment.required_pressure_bar == pytest.approx(7.5)
    assert assessment.bead_tension_n == document["bead"]["tension_n"]


def test_a_path_is_a_frame(assessment):
    frame = assessment.frame()
    assert list(frame["pressure_mpa"]) == assessment.json["path"]["pressure_mpa"] and len(frame) > 20


@pytest.mark.parametrize("case", ["text", "path"])
def test_a_fault_has_its_place(case, tmp_path):
    text = TEXT.replace('"5 bar"', '"5 bra"')
    path = tmp_path / "wrong.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(hoopwright.CaseError, match="unknown unit") as told:
        hoopwright.assess(text if case == "text" else path)
    (fault,) = told.value.faults
    line = 1 + text[: text.index('"5 bra"')].count("\n")
    assert (fault.line, fault.column) == (line, 9) and fault.file.endswith("wrong.toml" if case == "path" else "case.toml")
    assert fault.remedy == 'did you mean "bar"?'


def test_a_file_that_is_missing_is_told():
    with pytest.raises(hoopwright.CaseError, match="cannot read missing.toml"):
        hoopwright.assess("missing.toml")


def test_a_study_is_a_frame(tmp_path):
    solved = os.environ.get("SOLVED")
    case = pathlib.Path(solved, "vary.toml") if solved else tables() | {"vary": {"rim.seat_diameter": ["621.5 mm"]}}
    study = hoopwright.vary(case, out=pathlib.Path(solved, "out/vary") if solved else tmp_path)
    rows = study.json["rows"]
    for library in ("pandas", "polars"):
        frame = study.frame(library)
        assert list(frame["off_centre_release [bar]"]) == [row["numbers"]["off_centre_release"] for row in rows]


def test_another_program_is_refused(tmp_path, monkeypatch):
    other = tmp_path / "hoopwright"
    other.write_text("#!/bin/sh\necho hoopwright 9.9.9\n", encoding="utf-8")
    other.chmod(0o755)
    monkeypatch.setenv("HOOPWRIGHT", str(other))
    with pytest.raises(hoopwright.ProgramError, match=re.escape("9.9.9")):
        hoopwright.program()


def test_no_answer_is_an_error(tmp_path, monkeypatch):
    other = tmp_path / "hoopwright"
    other.write_text(f'#!/bin/sh\n[ "$1" = --version ] && echo hoopwright {hoopwright.__version__} && exit\nexit 3\n', encoding="utf-8")
    other.chmod(0o755)
    monkeypatch.setenv("HOOPWRIGHT", str(other))
    with pytest.raises(hoopwright.NoAnswerError, match="neither a release nor a hold"):
        hoopwright.assess("case.toml")


def test_an_interrupt_ends_the_program(tmp_path):
    other = tmp_path / "hoopwright"
    note = tmp_path / "pid"
    words = f'#!/bin/sh\n[ "$1" = --version ] && echo hoopwright {hoopwright.__version__} && exit\necho $$ >{note}\nexec sleep 60\n'
    other.write_text(words, encoding="utf-8")
    other.chmod(0o755)
    caller = subprocess.Popen(
        [sys.executable, "-c", "import hoopwright; hoopwright.assess('case.toml')"],
        env=os.environ | {"HOOPWRIGHT": str(other)},
        stderr=subprocess.DEVNULL,
    )
    end = time.monotonic() + 20
    while not (note.exists() and note.read_text().strip()) and time.monotonic() < end:
        time.sleep(0.05)
    caller.send_signal(signal.SIGINT)
    caller.wait(20)
    with pytest.raises(ProcessLookupError):
        os.kill(int(note.read_text()), 0)

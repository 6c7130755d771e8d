"""The commands as functions. Each runs the program in a process of its own and waits for it."""

import os
import pathlib
import tempfile
from collections.abc import Sequence

from ._case import Case, case_file
from ._program import run
from ._results import Assessment, Study

Folder = str | os.PathLike[str]


def assess(case: Case, *, out: Folder | None = None, progress: bool = False) -> Assessment:
    """Whether a tyre stays on a rim. `case`: path, text of a case (with line breaks), or tables; `out`: folder for all files.

    Raises CaseError for wrong input and NoAnswerError where no equilibrium was found.
    """
    folder = [] if out is None else ["--out", os.path.abspath(out)]
    with case_file(case) as (name, place):
        document, code = run(["assess", name, *folder], "hoopwright/assessment/1", folder=place, progress=progress)
    return Assessment(document, code == 0)


def vary(case: Case, *, out: Folder | None = None, threads: int | None = None, progress: bool = False) -> Study:
    """The case over the values of its table vary. Rows without an answer stay in the table and set the exit code 3."""
    with case_file(case) as (name, place):
        return _study("vary", [name], place, out, threads, progress, partial=True)


def map(case: Case, *, out: Folder | None = None, threads: int | None = None, progress: bool = False) -> Study:
    """The case over the two inputs of its table map. Exit code 1 if no point keeps every limit."""
    with case_file(case) as (name, place):
        return _study("map", [name], place, out, threads, progress, partial=False)


def pairs(tyres: Folder, rims: Folder, *, out: Folder | None = None, threads: int | None = None, progress: bool = False) -> Study:
    """Which tyre of a table may go on which rim. Pairs without an answer stay in the table and set the exit code 3."""
    return _study("pairs", [os.fspath(tyres), os.fspath(rims)], None, out, threads, progress, partial=True)


def _study(
    command: str, names: Sequence[str], place: str | None, out: Folder | None, threads: int | None, progress: bool, *, partial: bool
) -> Study:
    with tempfile.TemporaryDirectory() as unnamed:
        folder = os.path.abspath(unnamed if out is None else out)
        limit = [] if threads is None else ["--threads", str(threads)]
        arguments = [command, *names, "--out", folder, *limit]
        document, code = run(arguments, f"hoopwright/{command}/1", folder=place, progress=progress, partial=partial)
        return Study(document, code, pathlib.Path(folder, f"{command}.parquet").read_bytes())

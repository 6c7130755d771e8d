"""Finds the program and runs it."""

import functools
import json
import os
import pathlib
import shutil
import subprocess
import sys
import sysconfig
import threading
from collections.abc import Sequence
from typing import IO, Any

from .errors import CaseError, HoopwrightError, NoAnswerError, ProgramError

VERSION = "0.1.0"
_LONGEST_STOP = 5.0


def program() -> pathlib.Path:
    """The program: what HOOPWRIGHT names, else that of this environment, else the one on the path."""
    named = os.environ.get("HOOPWRIGHT")
    found = named or shutil.which("hoopwright", path=sysconfig.get_path("scripts")) or shutil.which("hoopwright")
    if found is None:
        raise ProgramError("the program hoopwright was not found: install the wheel, or name the program by HOOPWRIGHT")
    path = pathlib.Path(found).resolve()
    _check_version(path)
    return path


@functools.cache
def _check_version(path: pathlib.Path) -> None:
    try:
        run = subprocess.run([path, "--version"], capture_output=True, text=True, check=False)
    except OSError as error:
        raise ProgramError(f"{path} does not run: {error}") from error
    if run.stdout.split() != ["hoopwright", VERSION]:
        raise ProgramError(f"{path} is {run.stdout.strip()!r}, this module belongs to hoopwright {VERSION}: install both from one wheel")


def run(arguments: Sequence[str], schema: str, *, folder: str | None, progress: bool, partial: bool = False) -> tuple[Any, int]:
    """Runs a command with --json: its document and exit code, 0 or 1 (3 too where `partial`). Raises for all others.

    The program is ended when this is interrupted.
    """
    talk = [] if progress else ["--quiet"]
    child = subprocess.Popen(
        [program(), *arguments, "--json", *talk], cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert child.stdout is not None and child.stderr is not None
    said: list[str] = []
    reader = threading.Thread(target=_listen, args=(child.stderr, said, progress), daemon=True)
    reader.start()
    try:
        printed = child.stdout.read()
        code = child.wait()
    except BaseException:
        _stop(child)
        raise
    reader.join()
    text = "".join(said).strip()
    if code not in (0, 1) and not (partial and code == 3):
        raise _error(code, text)
    return _document(printed, schema), code


def _listen(stream: IO[bytes], said: list[str], progress: bool) -> None:
    for line in stream:
        words = line.decode(errors="replace")
        said.append(words)
        if progress:
            sys.stderr.write(words)


def _stop(child: subprocess.Popen[bytes]) -> None:
    child.terminate()
    try:
        child.wait(_LONGEST_STOP)
    except subprocess.TimeoutExpired:
        child.kill()
        child.wait()


def _error(code: int, text: str) -> HoopwrightError:
    if code == 2:
        return CaseError(text)
    if code == 3:
        return NoAnswerError(text or "no equilibrium was found: this is neither a release nor a hold")
    return ProgramError(text or f"the program ended with code {code}")


def _document(printed: bytes, schema: str) -> Any:
    document = json.loads(printed)
    # The same document in the same major version: a minor one adds keys.
    if str(document.get("schema")).partition(".")[0] != schema:
        raise ProgramError(f"the program gives {document.get('schema')!r}, this module reads {schema!r}: install both from one wheel")
    return document

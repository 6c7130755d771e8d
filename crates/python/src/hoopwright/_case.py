"""A case as a file: a path as it is, a text or tables in a folder that lives as long as the run."""

import contextlib
import json
import os
import pathlib
import tempfile
from collections.abc import Iterator, Mapping
from typing import Any

Case = str | os.PathLike[str] | Mapping[str, Any]


@contextlib.contextmanager
def case_file(case: Case) -> Iterator[tuple[str, str | None]]:
    """Name of the case's file, and the folder to run in. A string with a line break is the text of a case, any other one a path."""
    if isinstance(case, Mapping):
        text = toml(case)
    elif isinstance(case, str) and "\n" in case:
        text = case
    else:
        yield os.fspath(case), None
        return
    with tempfile.TemporaryDirectory() as folder:
        pathlib.Path(folder, "case.toml").write_text(text, encoding="utf-8")
        yield "case.toml", folder


def toml(tables: Mapping[str, Any]) -> str:
    """Tables as the text of a case file. Keys without a table come first, as TOML asks for."""
    plain = {key: value for key, value in tables.items() if not isinstance(value, Mapping)}
    lines = [f"{json.dumps(key)} = {_value(value)}" for key, value in plain.items()]
    for name, table in tables.items():
        if isinstance(table, Mapping):
            lines += ["", f"[{json.dumps(name)}]", *(f"{json.dumps(key)} = {_value(value)}" for key, value in table.items())]
    return "\n".join(lines) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, bool | str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(inner) for inner in value) + "]"
    raise TypeError(f"a case holds texts, numbers, lists and tables, and no {type(value).__name__}")

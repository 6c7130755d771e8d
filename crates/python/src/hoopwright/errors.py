"""What goes wrong, as exceptions that carry the program's own text."""

import re
from dataclasses import dataclass

_PLACE = re.compile(r"^(?P<file>.*), line (?P<line>\d+), column (?P<column>\d+)$")


@dataclass(frozen=True)
class Fault:
    """One fault of a case or table. `line` and `column` count from 1; they are None where the program names a row or a file alone."""

    fault: str
    where: str
    remedy: str
    file: str | None = None
    line: int | None = None
    column: int | None = None


class HoopwrightError(Exception):
    """Every error of this module; `text` is what the program wrote."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


class CaseError(HoopwrightError):
    """Exit code 2: an argument or input is wrong, or a file cannot be read or written. `faults` lists all that were told."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.faults = faults(text)


class NoAnswerError(HoopwrightError):
    """Exit code 3: no equilibrium was found. This is neither a release nor a hold."""


class ProgramError(HoopwrightError):
    """The program did not run to its end, is missing, or is of another version than this module."""


def faults(text: str) -> tuple[Fault, ...]:
    """Faults in the program's text: blocks of lines with a label in the first eight columns."""
    return tuple(_fault(block) for block in re.split(r"\n\s*\n", text) if "Fault   " in block)


def _fault(block: str) -> Fault:
    parts: dict[str, str] = {}
    label = ""
    for line in block.splitlines():
        head, words = line[:8].strip(), line[8:].strip()
        if head:
            label = head
            parts[label] = words
        elif label:
            parts[label] += f" {words}"
    where = parts.get("Where", "")
    place = _PLACE.match(where)
    fault = Fault(parts.get("Fault", ""), where, parts.get("Remedy", ""))
    if place is None:
        return fault
    return Fault(fault.fault, where, fault.remedy, place["file"], int(place["line"]), int(place["column"]))

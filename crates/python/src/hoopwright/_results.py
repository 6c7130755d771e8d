"""Results with types. A pressure that was not reached is a lower bound, and says so."""

import io
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Pressure:
    """A gauge pressure, bar. With `lower_bound` it was not reached: the true one lies above."""

    bar: float
    lower_bound: bool


def _pressure(value: dict[str, Any], name: str) -> Pressure | None:
    for key, bound in ((f"{name}_mpa", False), (f"{name}_above_mpa", True)):
        if value.get(key) is not None:
            return Pressure(10.0 * value[key], bound)
    return None


@dataclass(frozen=True)
class Retention:
    """The four retention pressures at one friction; None where it is not known."""

    first_lift: Pressure | None
    local_release: Pressure | None
    off_centre_release: Pressure | None
    uniform_blow_off: Pressure | None


def _retention(value: dict[str, Any]) -> Retention:
    names = ("first_lift", "local_release", "off_centre_release", "uniform_blow_off")
    return Retention(*(_pressure(value, name) for name in names))


@dataclass(frozen=True)
class Assessment:
    """Answer of `assess`. `json` is the whole document, with units in its keys."""

    json: dict[str, Any]
    kept: bool
    """Whether every stated limit is kept."""

    @property
    def verdict(self) -> tuple[str, ...]:
        """The findings, as the program words them."""
        return tuple(self.json["verdict"])

    @property
    def with_friction(self) -> Retention:
        """At the friction of the case."""
        return _retention(self.json["retention"])

    @property
    def without_friction(self) -> Retention:
        """At friction zero."""
        return _retention(self.json["retention_frictionless"])

    @property
    def required_pressure_bar(self) -> float:
        """Test factor times rated pressure."""
        return float(10.0 * self.json["required_pressure_mpa"])

    @property
    def allowed_pressure(self) -> Pressure | None:
        """Highest rated pressure that keeps every limit."""
        value = self.json["allowed_pressure_mpa"]
        return None if value is None else Pressure(10.0 * value, self.json["allowed_pressure"]["lower_bound"])

    @property
    def bead_tension_n(self) -> float | None:
        """At rated pressure; None where that was not reached."""
        bead = self.json["bead"]
        return None if bead is None else float(bead["tension_n"])

    def frame(self, *, friction: bool = True) -> Any:
        """The path from fit to release as a pandas data frame, a row a point; units in the heads."""
        path = self.json["path" if friction else "path_frictionless"]
        return _pandas().DataFrame({name: values for name, values in path.items() if isinstance(values, list)})


@dataclass(frozen=True)
class Study:
    """Answer of `vary`, `map` or `pairs`. `only_exceeded` in a row of `json` names the pressures that are lower bounds."""

    json: dict[str, Any]
    exit_code: int
    """3 where some row has no answer, 1 where some row does not keep a limit, else 0."""
    parquet: bytes

    def frame(self, library: str = "pandas") -> Any:
        """The table as a data frame of pandas or polars; units in the heads."""
        if library == "polars":
            import polars

            return polars.read_parquet(io.BytesIO(self.parquet))
        if library != "pandas":
            raise ValueError(f"{library!r} is neither 'pandas' nor 'polars'")
        return _pandas().read_parquet(io.BytesIO(self.parquet))


def _pandas() -> Any:
    try:
        import pandas
    except ImportError as error:
        raise ImportError("data frames need pandas: pip install 'hoopwright[frames]'") from error
    return pandas

"""Plan file's text to Plan: every key known, every word one that would do, or the line that is wrong."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from pixel2make.errors import PlanError, QuantityError
from pixel2make.plan.lines import key_lines
from pixel2make.plan.model import PLAN_VERSION, SIZE_EDGES, Plan, PlanSize, PlanView
from pixel2make.quantity import parse_length

__all__ = ["parse_plan", "words_that_would_do"]

_TOP = ("plan_version", "kind", "sprite", "size", "view", "regions", "box", "choices")
_SPRITE = ("file", "sha256", "frame", "region", "cell")
_VIEW = ("kind", "cover_corners", "thickness", "strip")
_BOX = ("at", "feature")
_NEAR = 4
"""How many near words a message names at most before the whole list would be clearer."""


def parse_plan(text: str, *, view_kinds: Iterable[str]) -> Plan:
    """Check a plan's text and freeze it.

    Which regions, features and choices exist depends on the sprite and the kind of object; those
    words are checked when the plan is applied. Everything else is checked here.

    Parameters
    ----------
    text : str
        The file, TOML 1.0.
    view_kinds : iterable of str
        Words allowed for ``view.kind``.

    Raises
    ------
    PlanError
        One line that begins with "line N: " where the fault has a line.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PlanError(f"is not valid TOML: {error}; mend that line or make a new plan") from error
    return _Reader(data, key_lines(text)).plan(tuple(view_kinds))


def words_that_would_do(word: str, known: Iterable[str]) -> str:
    """The near words where there are some, else all of them.

    >>> words_that_would_do("clsp", ("clasp", "cover", "strap"))
    'did you mean clasp? Words that would do: clasp, cover, strap'
    """
    known = list(known)
    near = difflib.get_close_matches(str(word), known, n=_NEAR, cutoff=0.6)
    listing = f"ords that would do: {', '.join(known)}"
    return f"did you mean {' or '.join(near)}? W{listing}" if near else f"w{listing}"


class _Reader:
    """Walks the parsed TOML; every complaint carries its line."""

    def __init__(self, data: Mapping[str, Any], lines: Mapping[str, int]) -> None:
        self.data = data
        self.lines = lines

    def plan(self, view_kinds: tuple[str, ...]) -> Plan:
        self.known_keys(self.data, _TOP, "")
        version = self.get(self.data, "plan_version", int, "", required=True)
        if version != PLAN_VERSION:
            self.fail("plan_version", f"plan_version is {PLAN_VERSION} here, not {version}; make a new plan")
        sprite = self.table("sprite", _SPRITE, required=True)
        return Plan(
            kind=self.get(self.data, "kind", str, "", required=True),
            sprite_file=self.get(sprite, "file", str, "sprite", required=True),
            sha256=self.get(sprite, "sha256", str, "sprite", required=True),
            frame=self.frame(sprite),
            region=self.whole_numbers(sprite, "region", "sprite"),
            cell=self.whole_numbers(sprite, "cell", "sprite"),
            size=self.size(),
            view=self.view(view_kinds),
            regions=self.words("regions"),
            boxes=self.boxes(),
            choices=self.words("choices", numbers_too=True),
            lines=self.lines,
        )

    def fail(self, path: str, message: str) -> None:
        line = self.lines.get(path) or self.lines.get(path.rsplit(".", 1)[0])
        raise PlanError(f"line {line}: {message}" if line else message)

    def known_keys(self, table: Mapping[str, Any], known: tuple[str, ...], path: str) -> None:
        for key in table:
            if key not in known:
                full = f"{path}.{key}" if path else key
                full = full if full in self.lines or f"{full}[0]" not in self.lines else f"{full}[0]"
                where = f" in [{path}]" if path else ""
                self.fail(full, f"there is no key {key!r}{where}; {words_that_would_do(key, known)}")

    def table(self, name: str, known: tuple[str, ...], *, required: bool = False) -> Mapping[str, Any]:
        table = self.data.get(name)
        if table is None:
            if required:
                raise PlanError(f"the table [{name}] is missing; make a new plan")
            return {}
        if not isinstance(table, dict):
            self.fail(name, f"{name} is a table; write [{name}] and its keys below")
        self.known_keys(table, known, name)
        return dict(table)

    def get(
        self, table: Mapping[str, Any], key: str, kind: type, path: str, *, required: bool = False
    ) -> Any:
        full = f"{path}.{key}" if path else key
        if key not in table:
            if required:
                self.fail(full, f"the key {full} is missing; make a new plan or add it")
            return None
        value = table[key]
        if not isinstance(value, kind) or isinstance(value, bool):
            word = {str: 'text in quotes, such as "300mm"', int: "a whole number"}[kind]
            self.fail(full, f"{full} is {word}")
        return value

    def frame(self, sprite: Mapping[str, Any]) -> int:
        frame = self.get(sprite, "frame", int, "sprite")
        if frame is not None and frame < 0:
            self.fail("sprite.frame", "sprite.frame counts from 0")
        return frame or 0

    def whole_numbers(
        self, table: Mapping[str, Any], key: str, path: str
    ) -> tuple[int, int, int, int] | None:
        if key not in table:
            return None
        numbers = table[key]
        good = isinstance(numbers, list) and len(numbers) == 4
        if not good or not all(type(n) is int and n >= 0 for n in numbers):
            self.fail(f"{path}.{key}", f"{path}.{key} is four whole numbers, such as [0, 0, 32, 32]")
        return tuple(numbers)

    def size(self) -> PlanSize | None:
        table = self.table("size", SIZE_EDGES)
        if len(table) > 1:
            second = list(table)[1]
            self.fail(f"size.{second}", f"[size] gives {' and '.join(table)}; keep one of them")
        for edge in table:
            text = self.get(table, edge, str, "size")
            try:
                return PlanSize(edge, parse_length(text), text)
            except QuantityError as error:
                self.fail(f"size.{edge}", f"size.{edge}: {error}")
        return None

    def view(self, view_kinds: tuple[str, ...]) -> PlanView | None:
        if "view" not in self.data:
            return None
        table = self.table("view", _VIEW)
        kind = self.get(table, "kind", str, "view", required=True)
        if kind not in view_kinds:
            self.fail("view.kind", f"there is no view {kind!r}; {words_that_would_do(kind, view_kinds)}")
        corners = table.get("cover_corners")
        if not (isinstance(corners, list) and len(corners) == 4 and all(map(_is_point, corners))):
            self.fail("view.cover_corners", "view.cover_corners is four points, such as [[2, 3], ...]")
        thickness, strip = (self.vector(table, key) for key in ("thickness", "strip"))
        if strip is not None and (kind != "front_with_edges" or thickness is None):
            self.fail(
                "view.strip",
                "view.strip is the second strip beside a flat cover; it needs kind = "
                '"front_with_edges" and the first strip as thickness',
            )
        points = tuple((float(x), float(y)) for x, y in corners)  # type: ignore[union-attr]
        return PlanView(kind, points, thickness, strip)  # type: ignore[arg-type]

    def vector(self, table: Mapping[str, Any], key: str) -> tuple[float, float] | None:
        value = table.get(key)
        if value is None:
            return None
        if not _is_point(value):
            self.fail(f"view.{key}", f"view.{key} is one drawn vector, such as [4, 2]")
        return float(value[0]), float(value[1])

    def words(self, name: str, *, numbers_too: bool = False) -> tuple[tuple[str, str], ...]:
        table = self.data.get(name, {})
        if not isinstance(table, dict):
            self.fail(name, f"{name} is a table; write [{name}] and its keys below")
        pairs: list[tuple[str, str]] = []
        for key, value in _flat(table):
            is_number = numbers_too and isinstance(value, int | float) and not isinstance(value, bool)
            if not isinstance(value, str) and not is_number:
                self.fail(f"{name}.{key}", f"{name}.{key} is a word in quotes")
            if key in dict(pairs):
                self.fail(f"{name}.{key}", f"{name}.{key} stands twice; keep one of the two lines")
            pairs.append((key, str(value)))
        return tuple(pairs)

    def boxes(self) -> tuple[tuple[int, int, int, int, str], ...]:
        boxes = self.data.get("box", [])
        if not isinstance(boxes, list):
            self.fail("box", "box is a list of tables; write [[box]] and its keys below")
        found = []
        for index, box in enumerate(boxes):
            path = f"box[{index}]"
            self.known_keys(box, _BOX, path)
            at = self.whole_numbers(box, "at", path)
            if at is None or at[2] < 1 or at[3] < 1:
                self.fail(f"{path}.at", "a box says where: at = [x, y, width, height] in native pixels")
            feature = self.get(box, "feature", str, path, required=True)
            found.append((*at, feature))  # type: ignore[misc]
        return tuple(found)


def _is_point(value: object) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(v, int | float) and not isinstance(v, bool) and math.isfinite(v) for v in value)
    )


def _flat(table: Mapping[str, Any], prefix: str = "") -> Iterable[tuple[str, Any]]:
    """Keys with dots, quoted or not, come out alike: r7.cover and "r7.cover" are one name."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}", value

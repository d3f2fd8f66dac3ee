"""A second plan run on the same sprite: what the maker wrote stays, what is missing is added."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pixel2make.plan.model import PlanSize

__all__ = ["merge_plan", "moved_plan"]


def merge_plan(
    old_text: str, fresh_text: str, *, win: tuple[str, ...] = (), answers: Mapping[str, str] | None = None
) -> tuple[str, tuple[str, ...]]:
    """Put a fresh plan's missing keys into an old plan.

    Values, comments and order of the old plan stay. Where the fresh plan says otherwise, the old
    value stays too and is reported, so that nothing is overwritten silently.

    Parameters
    ----------
    old_text, fresh_text : str
        Valid plans of the same sprite.
    win : tuple of str
        Tables of the fresh plan that replace the old ones, such as ("size",) when the size was
        given on the command line.
    answers : mapping of str to str, optional
        Choices that were given beside the plan; they replace the old ones.

    Returns
    -------
    text : str
    kept : tuple of str
        One sentence for each value that differs from what is read now.
    """
    import tomlkit

    old = tomlkit.parse(old_text)
    fresh = tomlkit.parse(fresh_text)
    kept: list[str] = []
    for name in win:
        if name in fresh and name in old:
            old[name] = fresh[name]
    for key, answer in (answers or {}).items():
        if "choices" in old:
            table: Any = old["choices"]
            table[key] = answer
    for name, value in fresh.items():
        if name not in old:
            if old_text and not str(old.as_string()).endswith("\n"):
                old.add(tomlkit.nl())
            old[name] = value
        elif isinstance(value, dict):
            _merge_table(old[name], value, name, kept)
        elif old[name] != value:
            kept.append(_sentence(name, old[name], value))
    return old.as_string(), tuple(kept)


def moved_plan(text: str, *, sprite_file: str, size: PlanSize, choices: Mapping[str, str]) -> str:
    """The same plan for a copy of its sprite elsewhere, with the size that was used.

    Parameters
    ----------
    text : str
        A valid plan.
    sprite_file : str
        Where the copy lies, seen from the plan's new place.
    size : PlanSize
    choices : mapping of str to str
        Answers that were given beside the plan.
    """
    import tomlkit

    plan = tomlkit.parse(text)
    sprite: Any = plan["sprite"]
    sprite["file"] = sprite_file
    if "size" not in plan:
        plan["size"] = tomlkit.table()
    table: Any = plan["size"]
    for edge in [edge for edge in table if edge != size.edge]:
        table.remove(edge)
    table[size.edge] = size.text
    if choices and "choices" not in plan:
        plan["choices"] = tomlkit.table()
    for key, answer in choices.items():
        plan["choices"][key] = answer
    return plan.as_string()


def _merge_table(old: Any, fresh: Any, path: str, kept: list[str]) -> None:
    unquoted = set(_dotted(old))
    for key, value in fresh.items():
        if key not in old:
            # r7.cover without quotes is the same name to us, though not to TOML.
            if key in unquoted:
                continue
            # A size names one edge only: the maker's own edge stands for the missing key.
            if path == "size" and len(old):
                continue
            old[key] = value
        elif isinstance(value, dict) and isinstance(old[key], dict):
            _merge_table(old[key], value, f"{path}.{key}", kept)
        elif old[key] != value:
            kept.append(_sentence(f"{path}.{key}", old[key], value))


def _dotted(table: Any, prefix: str = "") -> Iterator[str]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _dotted(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}"


def _sentence(path: str, old: Any, fresh: Any) -> str:
    return f"{path} stays {_plain(old)} (read now: {_plain(fresh)})"


def _plain(value: Any) -> str:
    return str(value.unwrap() if hasattr(value, "unwrap") else value)

"""What of a plan differs from what the sprite says by itself, and so is the maker's word."""

from __future__ import annotations

from collections.abc import Iterable

from pixel2make.errors import PlanError
from pixel2make.plan.model import Plan, PlanView
from pixel2make.plan.read import words_that_would_do
from pixel2make.reading.model import Overrides, Reading, View

__all__ = ["overrides_of"]

_SAME_PX = 0.02
"""The plan writes two decimals, so corners closer than this are the ones that were read."""


def overrides_of(plan: Plan, fresh: Reading, *, vocabulary: Iterable[str]) -> Overrides:
    """The maker's changes in a plan, against a fresh reading of the same sprite.

    Parameters
    ----------
    plan : Plan
    fresh : Reading
        Of the plan's sprite, without overrides.
    vocabulary : iterable of str
        Feature words of the plan's kind.

    Raises
    ------
    PlanError
        For a region or a feature that does not exist, with its line and the words that would do.
    """
    words = tuple(vocabulary)
    view = _pinned(plan, fresh)
    choice = dict(plan.choices).get("proportions")
    names = [proportions.name for proportions in fresh.proportions]
    changed = choice is not None and bool(names) and choice != names[0]
    return Overrides(
        view=view,
        features=tuple(_features(plan, fresh, words, view_changed=view is not None)),
        boxes=tuple(_boxes(plan, fresh, words)),
        proportions=choice if changed else None,
    )


def _pinned(plan: Plan, fresh: Reading) -> View | None:
    if plan.view is None or _same(plan.view, fresh.view):
        return None
    own = plan.view
    corners_as_read = _close(own.cover_corners, fresh.view.cover_corners_px)
    strips_as_read = _same_strips(own, fresh.view)
    if own.kind != fresh.view.kind and corners_as_read and strips_as_read:
        for other in fresh.alternatives:
            if other.kind == own.kind:
                return _by_maker(other)
        raise PlanError(
            f"{plan.place('view.kind')}view.kind is now {own.kind!r}, but no runner-up is of that kind; "
            "give its cover_corners and thickness as well"
        )
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = own.cover_corners
    # Four corners of a parallelogram carry one point too many: the mean of both edge pairs is taken.
    width = ((x1 - x0 + x2 - x3) / 2, (y1 - y0 + y2 - y3) / 2)
    height = ((x3 - x0 + x2 - x1) / 2, (y3 - y0 + y2 - y1) / 2)
    if abs(width[0] * height[1] - width[1] * height[0]) < 1:
        raise PlanError(
            f"{plan.place('view.cover_corners')}the cover's corners enclose less than one pixel; "
            "give head-spine, head-fore-edge, tail-fore-edge, tail-spine"
        )
    origin = (
        (x0 + x1 + x2 + x3) / 4 - (width[0] + height[0]) / 2,
        (y0 + y1 + y2 + y3) / 4 - (width[1] + height[1]) / 2,
    )
    return View(
        own.kind,
        1.0,
        origin,
        width,
        height,
        own.thickness,
        why=("The plan says so.",),
        score=1.0,
        strip_px=own.strip,
    )


def _by_maker(view: View) -> View:
    from dataclasses import replace

    return replace(view, confidence=1.0, why=(*view.why, "The plan says so."))


def _same(own: PlanView, view: View) -> bool:
    return (
        own.kind == view.kind and _close(own.cover_corners, view.cover_corners_px) and _same_strips(own, view)
    )


def _same_strips(own: PlanView, view: View) -> bool:
    pairs = ((own.thickness, view.thickness_px), (own.strip, view.strip_px))
    return all(
        (one is None and two is None) or (one is not None and two is not None and _close([one], [two]))
        for one, two in pairs
    )


def _close(a: Iterable[Iterable[float]], b: Iterable[Iterable[float]]) -> bool:
    return all(
        abs(p - q) <= _SAME_PX for pa, pb in zip(a, b, strict=True) for p, q in zip(pa, pb, strict=True)
    )


def _features(
    plan: Plan, fresh: Reading, words: tuple[str, ...], *, view_changed: bool
) -> Iterable[tuple[str, str]]:
    as_read: dict[str, set[str]] = {}
    for patch in fresh.patches:
        as_read.setdefault(patch.name, set()).add(patch.feature)
        as_read.setdefault(f"r{patch.region}", set()).add(patch.feature)
    for name, feature in plan.regions:
        place = plan.place(f"regions.{name}")
        if feature not in words:
            raise PlanError(
                f"{place}{name}: there is no feature {feature!r}; {words_that_would_do(feature, words)}"
            )
        if name not in as_read:
            # Under another view the same region is cut into other faces; lines left over from
            # the view that was read first are then no mistake of the maker's.
            if view_changed and name.split(".")[0] in as_read:
                continue
            known = [patch.name for patch in fresh.patches if patch.region]
            raise PlanError(f"{place}there is no region {name!r}; {words_that_would_do(name, known)}")
        if as_read[name] != {feature}:
            yield name, feature


def _boxes(plan: Plan, fresh: Reading, words: tuple[str, ...]) -> Iterable[tuple[int, int, int, int, str]]:
    rows, columns = fresh.regions.sprite.shape
    for index, (x, y, w, h, feature) in enumerate(plan.boxes):
        if feature not in words:
            place = plan.place(f"box[{index}].feature")
            raise PlanError(f"{place}there is no feature {feature!r}; {words_that_would_do(feature, words)}")
        if x + w > columns or y + h > rows:
            place = plan.place(f"box[{index}].at")
            raise PlanError(
                f"{place}the box [{x}, {y}, {w}, {h}] reaches beyond the sprite's {columns} x {rows} pixels"
            )
        yield x, y, w, h, feature

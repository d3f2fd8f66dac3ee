"""What is made, of what, in which order: the tables that are read at the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pixel2make.design.model import Design, Step
from pixel2make.pack.amounts import amount_in
from pixel2make.pack.order import bench_words, order_words, schedule
from pixel2make.pack.report.blocks import table
from pixel2make.pack.report.markup import Content, Markup, join, tag
from pixel2make.pack.report.words import ORIGINS, digits, interval, mass, plain
from pixel2make.quantity import Dimension, in_units

__all__ = ["cautions", "dimension_table", "material_table", "order_list", "part_table", "warnings"]

BAR_REACH = 0.5
"""The bar of an interval spans half the value either way; what is wider runs off its ends."""
_BAR_PX = 60


def warnings(design: Design) -> Markup:
    """What the checks have to say, each once."""
    said = list(dict.fromkeys((*design.warnings, *(finding.sentence for finding in design.findings))))
    if not said:
        return tag("p", "The checks of this design found nothing that needs a warning.")
    return tag(
        "ul",
        *(tag("li", in_units(sentence, design.units, apart=True)) for sentence in said),
        class_="warnings",
    )


def _cautions(design: Design) -> dict[str, list[Step]]:
    found: dict[str, list[Step]] = {}
    for step in design.steps:
        for caution in step.cautions:
            found.setdefault(caution, []).append(step)
    return found


def cautions(design: Design) -> Markup:
    """Every caution once, with the steps that it goes with."""
    found = _cautions(design)
    if not found:
        return Markup("")
    items = (
        tag(
            "li",
            _emphasised(text),
            " ",
            tag("span", "Steps ", _links(steps), class_="refs") if steps else None,
            id=f"caution-{i}",
        )
        for i, (text, steps) in enumerate(found.items(), 1)
    )
    last = tag(
        "p",
        "Follow the safety data sheet of every material and the manual of every machine; where mains "
        "electricity is touched, follow the local code and leave it to licensed practice.",
    )
    return join(tag("ol", *items, class_="cautions"), last)


def _emphasised(text: str) -> Markup:
    """What the caution is about stands out: the words before its first colon."""
    head, colon, rest = text.partition(":")
    return join(tag("strong", head + colon), rest) if colon else join(text)


def _links(steps: Sequence[Step]) -> Markup:
    links: list[Content] = []
    for step in steps:
        links += [", " if links else "", tag("a", str(step.order), href=f"#step-{step.order}")]
    return join(*links)


def dimension_table(design: Design) -> Markup:
    """Every dimension with what the pixels or the rule allow and where it comes from."""
    units = design.units
    ranked = sorted(design.dimensions, key=lambda d: list(ORIGINS).index(d.origin))
    rows = [
        (
            plain(d.name),
            digits(d.value_mm, units),
            interval(d, units),
            _bar(d),
            tag(
                "span",
                tag("span", ORIGINS[d.origin][0], class_=f"key key-{d.origin}"),
                " ",
                d.origin,
                class_="origin",
            ),
            in_units("; ".join(part for part in (d.rule, d.source) if part), units),
        )
        for d in ranked
    ]
    keys: list[Content] = []
    for letter, words in ORIGINS.values():
        keys += [tag("b", letter), f" {words}. "]
    note = join(
        *keys,
        "Low to high is what the pixels allow; a value without it is chosen, not measured. The bar shows "
        "the same as a share of the value, half of it either way.",
    )
    head = (
        "Dimension",
        units,
        "low to high",
        tag("span", "spread", class_="visually-hidden"),
        "from",
        "rule and source",
    )
    return table(
        "Dimensions of the closed object and its parts",
        head,
        rows,
        numeric=(1, 2),
        note=note,
        class_="dimensions",
    )


def _bar(dimension: Dimension) -> Markup | None:
    """The interval as a line over a scale; it says nothing that the columns beside it do not."""
    value = dimension.value_mm
    if dimension.low_mm == dimension.high_mm or value <= 0:
        return None
    half = _BAR_PX / 2
    low, high = (
        half * (1 + max(-1.0, min(1.0, (end / value - 1) / BAR_REACH)))
        for end in (dimension.low_mm, dimension.high_mm)
    )
    data = f"M{low:.1f} 5H{high:.1f}M{half} 1V9"
    return tag(
        "svg",
        tag("path", d=f"M0 5H{_BAR_PX}", class_="rail"),
        tag("path", d=data, class_="spread"),
        viewBox=f"-1 0 {_BAR_PX + 2} 10",
        class_="bar",
        aria_hidden="true",
    )


def part_table(design: Design, files: Mapping[str, Sequence[str]]) -> Markup:
    """Pieces to cut or make, with their size, grain, mass and where they are drawn."""
    units = design.units
    grams = dict(design.mass_g)
    rows = [
        (
            plain(part.name),
            str(part.quantity),
            plain(part.material),
            digits(part.thickness_mm, units),
            f"{digits(part.size_mm[0], units)} × {digits(part.size_mm[1], units)}",
            f"along the {part.grain}" if part.grain else "any",
            mass(grams[part.name]) if part.name in grams else "",
            _file_links(files.get(part.name, ())),
        )
        for part in design.parts
    ]
    head = (
        "Part",
        "pieces",
        "material",
        f"thick {units}",
        f"width × height {units}",
        "grain",
        "mass",
        "files",
    )
    total = f"All together about {mass(design.total_mass_g)}. A size is that of the piece's bounding box."
    return table("Parts", head, rows, numeric=(1, 3, 4, 6), note=total, class_="parts")


def _file_links(paths: Sequence[str]) -> Markup:
    links: list[Content] = []
    for path in sorted(set(paths)):
        links += [", " if links else "", tag("a", path.rpartition("/")[2], href=path)]
    return join(*links)


def material_table(design: Design) -> Markup:
    """What to buy."""
    rows = []
    for material in design.materials:
        amount, unit = amount_in(*material.to_buy, design.units)
        rows.append(
            (
                in_units(material.name, design.units),
                f"{_amount(amount)}\u00a0{unit}",
                in_units(material.allowance, design.units),
                in_units(material.origin, design.units),
            )
        )
    head = ("Material", "to buy", "allowance for waste", "counted from")
    return table("Materials", head, rows, numeric=(1,), class_="materials")


def _amount(value: float) -> str:
    """Two decimals, or two digits of what is less than that.

    >>> _amount(18.0), _amount(0.004321), _amount(2.75)
    ('18', '0.0043', '2.75')
    """
    text = f"{value:.2f}" if value >= 0.1 or value == 0 else f"{float(f'{value:.2g}'):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def order_list(design: Design) -> Markup:
    """The steps to tick off, with waits and cautions; the steps that hold up the others are marked."""
    if not design.steps:
        return Markup("")
    plan = schedule(design.steps)
    number = {step.name: step.order for step in design.steps}
    numbers = {text: i for i, text in enumerate(_cautions(design), 1)}
    items = []
    for step in design.steps:
        is_critical = step.name in plan.critical
        facts: list[Content] = []
        if step.waits_for:
            facts.append(f"after {', '.join(str(number[name]) for name in step.waits_for)}")
        if step.bench_minutes:
            facts.append(bench_words(step.bench_minutes))
        if step.wait_hours:
            facts.append(tag("b", f"then wait {_hours(step.wait_hours)}"))
        if step.name in plan.meanwhile:
            facts.append(f"meanwhile {', '.join(str(number[name]) for name in plan.meanwhile[step.name])}")
        if step.cautions:
            marks: list[Content] = []
            for text in step.cautions:
                name = text.partition(":")[0].rstrip(".")
                marks += [
                    "; " if marks else "! ",
                    tag("a", f"{name[0].lower()}{name[1:]}", href=f"#caution-{numbers[text]}"),
                ]
            facts.append(tag("span", *marks, class_="mind"))
        name = f"do-{step.order}"
        items.append(
            tag(
                "li",
                tag("input", type="checkbox", id=name),
                tag(
                    "label",
                    tag("span", str(step.order), class_="no"),
                    " ",
                    step.name,
                    " *" if is_critical else None,
                    for_=name,
                ),
                tag("p", *_parted(facts), class_="facts") if facts else None,
                id=f"step-{step.order}",
            )
        )
    intro = f"{order_words(plan, design.steps)} Steps marked * hold up the others."
    return join(tag("p", intro), tag("ol", *items, class_="steps", role="list"))


def _parted(facts: Sequence[Content]) -> list[Content]:
    parted: list[Content] = []
    for fact in facts:
        parted += [" · " if parted else "", fact]
    return parted


def _hours(hours: float) -> str:
    return f"{hours:g}\u00a0hour{'' if hours == 1 else 's'}"

"""What painting and gilding run into: found on the stencils and leaf as they will be cut and laid."""

from __future__ import annotations

from collections.abc import Iterator

from pixel2make.design.finishing import finishing_of
from pixel2make.design.model import Design, Finding
from pixel2make.errors import DesignError
from pixel2make.pack.gilding import gilding_findings
from pixel2make.pack.stencil_checks import stencil_findings
from pixel2make.pack.stencils import ADHESIVE, bridged

__all__ = ["flat_findings", "with_flat_findings"]


def with_flat_findings(design: Design) -> Design:
    """The design with these findings among its own, each sentence also a warning.

    Apart from the checks of the design itself since bridges and leaf take longer to lay than all else.
    """
    return design.noting(flat_findings(design))


def flat_findings(design: Design) -> Iterator[Finding]:
    """Places too narrow or too sharp for the tool, weak stencils, leaf on strips that are too narrow."""
    answers = finishing_of(design.taken)
    gilding = gilding_findings(design)
    # Too narrow to gild is too narrow to cut, most times: the stricter limit says it once.
    told = {(finding.subject, finding.measured_mm) for finding in gilding}
    for area in design.areas:
        sheet = answers.stencil_sheet
        try:
            bridged(design, area.name, sheet_material=sheet, order=answers.coats)
        except DesignError as error:
            sheet = ADHESIVE
            name = area.name.replace("_", " ")
            sentence = f"{name[:1].upper()}{name[1:]}: {error}. It is drawn for an adhesive mask."
            yield Finding("stencil-falls-apart", area.name, sentence)
        for finding in stencil_findings(
            design, area.name, sheet_material=sheet, process=answers.tool, order=answers.coats
        ):
            if finding.code != "narrow-place" or (finding.subject, finding.measured_mm) not in told:
                yield finding
    yield from gilding

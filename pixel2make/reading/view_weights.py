"""How much each piece of evidence weighs, found by likelihood on drawn books of known truth.

The weights are those of a conditional logit model: of all boxes that fit an outline, the chance of one
is proportional to exp(sum of weight * evidence). They were fitted on the tuning styles only.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["EVIDENCE_WEIGHTS"]

EVIDENCE_WEIGHTS: Mapping[str, float] = {
    "missing": -6.51,
    "excess": -16.44,
    "strip": -1.92,
    "two_strips": -5.41,
    "slanted": 2.60,
    "gain": 14.55,
    "gain_rooted": 1.75,
    "spread_gain": -0.00,
    "step_at_edges": 2.22,
    "material_at_edges": -2.04,
    "line_at_edges": 7.49,
    "step_within": -5.75,
    "material_within": -0.33,
    "line_within": -0.08,
    "ridge_step": -1.81,
    "ridge_material": -1.85,
    "ridge_line": 6.26,
    "weak_edge": -3.77,
    "weak_material": -0.10,
    "paper_cover": -0.28,
    "paper_best": 1.60,
    "paper_other": -0.29,
    "paper_edge": 1.80,
    "alike_best": 0.06,
    "alike_other": 0.18,
    "neither": -0.89,
    "cover_share": 9.84,
    "chroma_cover": 4.85,
    "thick": -1.36,
    "thin_side": -25.25,
    "aspect": -0.48,
    "sine": 0.76,
    "level_cover": 0.48,
    "t_level": -0.37,
    "t_upright": 1.44,
    "t_up": -0.84,
    "t_steep": -1.13,
    "size": -2.65,
    "paper_p": 0.0,
    "paper_q": 0.0,
    "alike_p": 0.0,
    "alike_q": 0.0,
    "seen_p": 0.0,
    "seen_q": 0.0,
}

"""The room that a page leaves for transfers, and the longest part that goes on it."""

from __future__ import annotations

from livery.describe.entries.description import DescriptionModel
from livery.make.nest.packing import Media
from livery.paper_sizes import PAPERS_MM

MARGIN_MM = 8.0
"""What a printer leaves at the edges of a page, in millimetres (common practice: 3 to 6, and some
to spare). Larger, and less goes on a page; smaller, and an edge is not printed."""
FOOT_MM = 22.0
"""Kept at the foot of a page for the bar and the patches, in millimetres (chosen: both with their
words). Larger, and less goes on a page."""


def printed_paper(model: DescriptionModel) -> tuple[float, float]:
    """Return the width and height of the paper that transfers are printed on."""
    return PAPERS_MM[printed_paper_name(model)]


def printed_paper_name(model: DescriptionModel) -> str:
    """Return the name of the paper that transfers are printed on."""
    return model.transfer.paper or model.job.paper


def printable_room(model: DescriptionModel) -> Media:
    """Return the room on a page above its foot, the page's height along it."""
    width, height = printed_paper(model)
    return Media(f"{printed_paper_name(model)} paper", width, height - FOOT_MM, MARGIN_MM)


def longest_printed(model: DescriptionModel) -> float:
    """Return the longest part whose film edge still fits the paper's height."""
    height = printed_paper(model)[1] - FOOT_MM - 2.0 * MARGIN_MM
    return height - 2.0 * model.transfer.edge.mm - SLACK_MM


SLACK_MM = 0.5
"""A strip that is not quite level takes so much more, in millimetres (chosen). Larger, and lining
is parted that would go on a page whole."""

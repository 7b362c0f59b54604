"""The pieces that a report is made of, as data: readings, tables, pictures and sections."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import final


class Standing(StrEnum):
    """How a figure stands to its limit, in the words that are shown."""

    PASSES = "passes"
    FAILS = "does not pass"
    UNKNOWN = "not known"
    PLAIN = ""


def standing(passes: bool | None) -> Standing:  # noqa: FBT001 - one flag, and it is the question
    """Turn yes, no or unknown into a standing.

    Parameters
    ----------
    passes : bool or None
        None when it is not known.

    Returns
    -------
    Standing
        Never `PLAIN`.
    """
    if passes is None:
        return Standing.UNKNOWN
    return Standing.PASSES if passes else Standing.FAILS


@final
@dataclass(frozen=True)
class Reading:
    """One figure with its unit and limit.

    Attributes
    ----------
    label : str
        What it is.
    value, unit : str
        As shown; `value` may be "not known".
    limit : str
        Such as "at most 45 A"; empty when there is none.
    standing : Standing
        How it stands to the limit.
    spread : str
        Such as "+/- 0.4", in the same unit; empty when there is none.
    """

    label: str
    value: str
    unit: str = ""
    limit: str = ""
    standing: Standing = Standing.PLAIN
    spread: str = ""

    @property
    def text(self) -> str:
        """Value, spread and unit in one."""
        return " ".join(part for part in (self.value, self.spread, self.unit) if part)


@final
@dataclass(frozen=True)
class TableRow:
    """One row of a table; the first cell names it."""

    cells: tuple[str, ...]
    standing: Standing = Standing.PLAIN


@final
@dataclass(frozen=True)
class Table:
    """Figures that belong together.

    Attributes
    ----------
    caption : str
        A sentence.
    columns : tuple of str
        Head of each column.
    rows : tuple of TableRow
        Each with as many cells as there are columns.
    judged : bool
        Whether the rows have a standing, which then is shown as one more column.
    folded : bool
        Whether a reader has to ask for it (only where a medium can fold).
    states : bool
        Whether the columns from the third on are states of the craft, of which a reader can pick
        one to compare with the second (only where a medium can do so).
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]
    judged: bool = False
    folded: bool = False
    states: bool = False


@final
@dataclass(frozen=True)
class Picture:
    """A picture by its key, with the words that go with it.

    Attributes
    ----------
    key : str
        What `sim.report.pictures` draws it by.
    caption : str
        What is drawn.
    finding : str
        What is to be seen in it, as a sentence; also read aloud in place of the picture.
    folded : bool
        Whether a reader has to ask for it (only where a medium can fold).
    """

    key: str
    caption: str
    finding: str
    folded: bool = False


@final
@dataclass(frozen=True)
class Section:
    """The answer to one of the six questions.

    Attributes
    ----------
    key, question : str
        Short name and question.
    standing : Standing
        Whether the craft passes this question.
    answer : str
        The answer in plain words, one to three sentences.
    remedy : str
        What the builder should do; empty when nothing.
    readings : tuple of Reading
        Figures with their limits.
    tables : tuple of Table
        Figures that come in rows.
    pictures : tuple of Picture
        In the order shown.
    assumptions : tuple of str
        What the answer rests on.
    provenance : tuple of str
        Where its data come from.
    spread : tuple of str
        How unsure its figures are.
    defaults : Table or None
        Values that the builder did not write and that this answer uses.
    cautions : tuple of str
        What to beware of.
    """

    key: str
    question: str
    standing: Standing
    answer: str
    remedy: str = ""
    readings: tuple[Reading, ...] = ()
    tables: tuple[Table, ...] = ()
    pictures: tuple[Picture, ...] = ()
    assumptions: tuple[str, ...] = ()
    provenance: tuple[str, ...] = ()
    spread: tuple[str, ...] = ()
    defaults: Table | None = None
    cautions: tuple[str, ...] = ()


@final
@dataclass(frozen=True)
class FieldCard:
    """What to take along, on one page.

    Attributes
    ----------
    title, verdict : str
        Of the craft.
    wind : tuple of Reading
        The limit, in every unit.
    before_power, first_hop, call_off, cautions : tuple of str
        Lists to go through.
    hover : tuple of Reading
        What hover should show.
    """

    title: str
    verdict: str
    wind: tuple[Reading, ...]
    before_power: tuple[str, ...]
    hover: tuple[Reading, ...]
    first_hop: tuple[str, ...]
    call_off: tuple[str, ...]
    cautions: tuple[str, ...]


@final
@dataclass(frozen=True)
class ReportContent:
    """Everything that is shown of a check.

    Attributes
    ----------
    title : str
        Name of the craft.
    subtitle : str
        Layout, mass and scenario.
    verdict : str
        As a sentence.
    passes : bool
        Whether the craft passes.
    warnings : tuple of str
        What looks odd in the files.
    sections : tuple of Section
        The six answers in order.
    card : FieldCard
        The page to take along.
    not_modelled : tuple of str
        Named simplifications.
    disclaimer : str
        What this result is, and who decides.
    identity : tuple of Reading
        What was computed from what: digests, seed, version.
    """

    title: str
    subtitle: str
    verdict: str
    passes: bool
    warnings: tuple[str, ...]
    sections: tuple[Section, ...]
    card: FieldCard
    not_modelled: tuple[str, ...]
    disclaimer: str
    identity: tuple[Reading, ...] = field(default=())

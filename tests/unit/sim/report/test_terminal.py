"""The report in a terminal: 80 columns, colour only where it is wanted, all answers there."""

from __future__ import annotations

import io

import pytest

from sim.report.content import report_content
from sim.report.mass_ledger import ledger_text
from sim.report.terminal import WIDTH, make_console, printable, report_text


class Screen(io.StringIO):
    """A text stream that says it is a terminal."""

    def isatty(self):
        """Say so."""
        return True


@pytest.fixture(autouse=True)
def plain_environment(monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


@pytest.mark.parametrize("which", ["result", "too_heavy", "unstable", "reversed_pitch"])
def test_piped_text_has_80_columns_and_no_colour(which, request):
    content = report_content(request.getfixturevalue(which))
    text = report_text(content, make_console(io.StringIO()))
    assert "\x1b" not in text
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    assert all(line == line.rstrip() for line in text.splitlines())
    words = " ".join(text.split())
    for section in content.sections:
        assert section.question in words
        assert " ".join(section.answer.split()) in words
        assert section.standing.value in words
    assert words.count(content.verdict) == 2


def test_every_reading_is_printed(result):
    content = report_content(result)
    text = report_text(content, make_console(io.StringIO()))
    for section in content.sections:
        for reading in section.readings:
            assert reading.text in text


def test_colour_on_a_terminal_unless_told_not_to(result, monkeypatch):
    content = report_content(result)
    assert "\x1b[" in report_text(content, make_console(Screen()))
    monkeypatch.setenv("NO_COLOR", "1")
    text = report_text(content, make_console(Screen()))
    assert "\x1b[3" not in text
    assert "passes" in text


def test_a_name_cannot_steer_the_terminal(renamed):
    text = report_text(
        report_content(renamed("\x1b[31mred [bold]x[/bold] :smile:\n")), make_console(io.StringIO())
    )
    assert "\x1b" not in text
    assert "?[31mred [bold]x[/bold] :smile:?" in text


def test_printable_keeps_letters_of_all_scripts():
    assert printable("Qualle \N{SNOWMAN} \N{CJK UNIFIED IDEOGRAPH-6C34}") == "Qualle \u2603 \u6c34"
    assert printable("a\tb\x07") == "a?b?"


def test_the_mass_ledger_sums_up(result):
    text = ledger_text(result.craft, result.mass, make_console(io.StringIO()))
    rows = text.splitlines()[2:]
    rows = rows[: rows.index("")]
    grams = {line[:22].strip(): float(line[22:].split()[0]) for line in rows}
    whole = grams.pop("whole craft")
    assert sum(grams.values()) == pytest.approx(whole, abs=0.5 * len(grams) + 0.5)
    assert "Mass: 2.810 +/- 0.044 kg" in text
    assert max(len(line) for line in text.splitlines()) <= WIDTH

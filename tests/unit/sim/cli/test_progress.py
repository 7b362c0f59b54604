"""Progress: a bar on a terminal, a plain line now and then elsewhere, a word on the first run."""

from __future__ import annotations

import io
import threading

import pytest

from sim.cli import progress as shown
from sim.cli.progress import FIRST_RUN, left_words, showing_progress


class Screen(io.StringIO):
    """A text stream that says it is a terminal."""

    def isatty(self):
        """Say so."""
        return True


@pytest.fixture
def compiled_before(monkeypatch):
    monkeypatch.setattr("sim.numerics.compile.is_compiled_before", lambda: True)


def test_a_plain_line_now_and_then(compiled_before, monkeypatch):
    monkeypatch.setattr(shown, "EVERY_S", 0.01)
    stream = io.StringIO()
    with showing_progress(stream) as progress:
        progress("flying 38 flights", 0.25)
        for _ in range(500):
            if "flying" in stream.getvalue():
                break
            threading.Event().wait(0.01)
    lines = stream.getvalue().splitlines()
    assert lines
    assert lines[-1].endswith("s: flying 38 flights, 25 %")
    assert "\x1b" not in stream.getvalue()
    assert threading.active_count() == len(threading.enumerate())
    assert not [t for t in threading.enumerate() if t.name.startswith("write_now_and_then")]


@pytest.mark.parametrize(
    ("first", "now", "said"),
    [
        ((5.0, 0.0), (15.0, 0.25), ", about 30 s left"),
        ((5.0, 0.5), (65.0, 0.6), ", about 4 min left"),
        ((5.0, 0.5), (5.0, 0.5), ""),
        ((5.0, 0.0), (15.0, 0.0), ""),
    ],
)
def test_the_time_left_goes_by_the_time_taken(first, now, said):
    """A quarter in 10 s leaves 30 s; a tenth a minute leaves 4 min; what was done before the first
    word, such as flights found in a folder, does not count.
    """
    assert left_words(first, now) == said


def test_nothing_is_written_about_a_short_computation(compiled_before):
    stream = io.StringIO()
    with showing_progress(stream) as progress:
        progress("mass, power and rotors", None)
    assert stream.getvalue() == ""


def test_the_line_writer_ends_with_an_error_too(compiled_before):
    before = threading.active_count()
    with pytest.raises(ZeroDivisionError), showing_progress(io.StringIO()):
        raise ZeroDivisionError
    assert threading.active_count() == before


def test_a_bar_on_a_terminal(compiled_before, monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    stream = Screen()
    with showing_progress(stream) as progress:
        progress("flying [bold]38[/bold] flights", 0.5)
        progress("margins", None)
    assert "\x1b" in stream.getvalue()


def test_the_first_run_is_told(monkeypatch):
    monkeypatch.setattr("sim.numerics.compile.is_compiled_before", lambda: False)
    stream = io.StringIO()
    with showing_progress(stream):
        pass
    assert stream.getvalue().strip() == FIRST_RUN
    assert "compiling takes about a minute" in FIRST_RUN

"""The command `new`: a dozen questions, and a commented craft file from the answers."""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.spec.questions import Question

BACK: Final = "<"
_LOOK_S: Final = 0.2


@click.command(short_help="Ask a dozen questions and write a first craft file.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--answers",
    type=click.Path(path_type=Path),
    default=None,
    help="Take the answers from this YAML file and ask nothing; what it leaves out is as offered.",
)
def new(craft: Path, answers: Path | None) -> None:
    """Ask what is known of a craft and write it, with guesses for the rest, to the file CRAFT.

    Enter takes the answer offered in brackets, '<' goes back a question. The file is written at the
    end and not before; an existing file is left alone.
    """
    _refuse_target(craft)
    from sim.spec.first_craft import checked, craft_file_text  # noqa: PLC0415

    if answers is not None:
        given = _from_file(answers)
    else:
        with _hearing_ctrl_c():
            given = _from_person(craft)
    text = craft_file_text(given)
    loaded = checked(text)
    _write(text, craft)
    click.echo(f"Written: {craft}")
    for warning in loaded.warnings:
        click.echo(f"Note: {warning}")
    click.echo("Every line marked GUESS wants your own number. Next:")
    click.echo(f"  gustworthy check {craft}")


@contextmanager
def _hearing_ctrl_c() -> Iterator[None]:
    """Look for Ctrl-C now and then while a line is waited for.

    One that comes just before the wait begins would else be heard only after the line.
    """
    if not hasattr(signal, "setitimer"):
        yield
        return
    before = signal.signal(signal.SIGALRM, lambda *_: None)
    signal.setitimer(signal.ITIMER_REAL, _LOOK_S, _LOOK_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def _refuse_target(craft: Path) -> None:
    """Refuse before the first question what cannot be written at the end."""
    if craft.exists():
        raise InputFaults((Fault(str(craft), 0, 0, "exists already; name a new file"),))
    if craft.suffix not in {".yaml", ".yml"}:
        raise InputFaults((Fault(str(craft), 0, 0, "a craft file's name ends in .yaml"),))
    folder = craft.absolute().parent
    if not folder.is_dir():
        raise InputFaults((Fault(str(folder), 0, 0, "is no folder"),))
    if not os.access(folder, os.W_OK | os.X_OK):
        raise InputFaults((Fault(str(folder), 0, 0, "nothing can be written into this folder"),))


def _write(text: str, craft: Path) -> None:
    """Write to a temporary name in the same folder, then move it without replacing a file."""
    handle, name = tempfile.mkstemp(dir=craft.absolute().parent, prefix=f".{craft.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).chmod(0o644)
        try:
            os.link(name, craft)
        except FileExistsError:
            raise InputFaults((Fault(str(craft), 0, 0, "exists already"),)) from None
    finally:
        Path(name).unlink()


def _from_file(path: Path) -> dict[str, str]:
    """Read answers; every fault at once."""
    from sim.spec.load import read_bytes, read_document  # noqa: PLC0415
    from sim.spec.questions import QUESTIONS, asked  # noqa: PLC0415
    from sim.spec.strict import nearest_word  # noqa: PLC0415

    document = read_document(read_bytes(path), str(path))
    document.raise_if_faulty()
    data = document.data if isinstance(document.data, dict) else {}
    keys = [question.key for question in QUESTIONS]
    faults: list[str] = []
    for key in data:
        if key not in keys:
            near = nearest_word(key, keys)
            hint = f"; did you mean '{near}'?" if near else f"; use {', '.join(keys)}"
            faults.append(f"no question '{key}'{hint}")
    answers: dict[str, str] = {}
    for question in QUESTIONS:
        if question not in asked(answers):
            if question.key in data:
                faults.append(f"{question.key}: not asked with these answers")
            continue
        text = _plain(data[question.key]) if question.key in data else question.offer(answers)
        refused = question.refusal(text)
        if refused is not None:
            faults.append(f"{question.key}: {refused}")
            text = question.offer(answers)
        answers[question.key] = text
    if faults:
        raise InputFaults(tuple(Fault(str(path), 0, 0, fault) for fault in faults))
    return answers


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value).strip()


def _from_person(craft: Path) -> dict[str, str]:
    """Ask every question that applies, then show the answers and let any be changed."""
    from sim.spec.questions import asked  # noqa: PLC0415

    click.echo(f"A dozen questions, then {craft} is written; nothing is written before.")
    click.echo(f"Enter takes what stands in brackets, '{BACK}' goes back, Ctrl-C stops.\n")
    answers: dict[str, str] = {}
    at = 0
    while at < len(asked(answers)):
        at = _ask(asked(answers), at, answers)
    while True:
        questions = asked(answers)
        unanswered = [i for i, one in enumerate(questions) if one.key not in answers]
        if unanswered:
            _ask(questions, unanswered[0], answers)
            continue
        wanted = {question.key: answers[question.key] for question in questions}
        change = _review(questions, wanted)
        if change is None:
            return wanted
        _ask(questions, change, answers)


def _ask(questions: tuple[Question, ...], at: int, answers: dict[str, str]) -> int:
    """Ask one question until its answer can be used; give the number of the next."""
    question = questions[at]
    offered = answers.get(question.key, question.offer(answers))
    click.echo(f"{at + 1}. {question.asks}")
    if question.choices:
        click.echo(f"   One of: {', '.join(question.choices)}")
    click.echo(f"   Offered because: {question.why(answers)}.")
    while True:
        text = str(click.prompt("  ", default=offered, prompt_suffix=" ")).strip()
        if text == BACK:
            return max(at - 1, 0)
        refused = question.refusal(text)
        if refused is None:
            answers[question.key] = text
            return at + 1
        click.echo(f"   {refused}")


def _review(questions: tuple[Question, ...], answers: dict[str, str]) -> int | None:
    """Show all answers; give the number of the one to change, or None when all are right."""
    click.echo("\nYour answers:")
    for number, question in enumerate(questions, 1):
        click.echo(f"{number:3}. {question.asks:.<62.62} {answers[question.key]}")
    while True:
        text = str(
            click.prompt("Write the file? Enter to write, or the number to change", default="write")
        ).strip()
        if text == "write":
            return None
        if text.isascii() and text.isdigit() and 1 <= int(text) <= len(questions):
            return int(text) - 1
        click.echo(f"   write a number from 1 to {len(questions)}, or press Enter")

"""The questions that make a first craft file: what is asked, what is offered, and why."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, final

from sim.spec.cloth_table import cloth_table
from sim.spec.units import UnitError, format_quantity, parse_quantity

Answers = Mapping[str, str]
"""What was answered so far, as text, by key of the question."""

NONE: Final = "none"
LONGEST_NAME: Final = 80
_RHO: Final = 1.2
_G: Final = 9.81
_DISC_LOAD_N_M2: Final = 110.0
_NOT_PRINTABLE: Final = re.compile(r"[\x00-\x1f\x7f]")


@final
@dataclass(frozen=True)
class Question:
    """One question.

    Attributes
    ----------
    key : str
        Name of the answer.
    asks : str
        The question itself.
    offer : callable
        Gives the answer offered, from the answers so far.
    why : callable
        Gives the reason for that offer, in a sentence.
    kind : str
        Kind of quantity, see `sim.spec.unit_table`; `text` or `choice` otherwise.
    choices : tuple of str
        Allowed words of a choice.
    least, most : float
        Range of a quantity, SI units.
    needs : str or None
        Key of the question on which it hangs whether this one is asked.
    applies : callable
        Whether it is asked, once that one is answered.
    """

    key: str
    asks: str
    offer: Callable[[Answers], str]
    why: Callable[[Answers], str]
    kind: str
    choices: tuple[str, ...] = ()
    least: float = 0.0
    most: float = math.inf
    needs: str | None = None
    applies: Callable[[Answers], bool] = lambda _: True

    def refusal(self, text: str) -> str | None:
        """Say why an answer cannot be used.

        Parameters
        ----------
        text : str
            What was answered.

        Returns
        -------
        str or None
            None when it can be.
        """
        if self.kind == "text":
            if not text.strip() or len(text) > LONGEST_NAME or _NOT_PRINTABLE.search(text):
                return f"write 1 to {LONGEST_NAME} characters on one line"
            return None
        if self.kind == "choice":
            if text in self.choices:
                return None
            return f"write one of: {', '.join(self.choices)}"
        try:
            value = parse_quantity(text, self.kind)
        except UnitError as problem:
            return str(problem)
        if not self.least <= value <= self.most:
            low = format_quantity(self.least, self.kind)
            return f"must be from {low} to {format_quantity(self.most, self.kind)}"
        return None


def value_of(answers: Answers, key: str, kind: str) -> float:
    """Give an answer in SI units.

    Parameters
    ----------
    answers : mapping
        As answered.
    key, kind : str
        Which, and what kind of quantity.

    Returns
    -------
    float
        In the SI unit of the kind.
    """
    return parse_quantity(answers[key], kind)


def rotor_count(answers: Answers) -> int:
    """Give the number of rotors of the layout answered."""
    return 2 if answers["layout"] == "bicopter" else 3


def guessed_mass_kg(answers: Answers) -> float:
    """Give the whole mass [kg] from what is answered, rotors and pack by rule of thumb."""
    mass = value_of(answers, "frame_mass", "mass")
    if answers["head"] == "yes":
        mass += value_of(answers, "head_mass", "mass")
    return 1.6 * mass + 0.3


def disc_load_power_w(answers: Answers) -> float:
    """Give the ideal hover power [W] of the guessed mass: T sqrt(T / (2 rho A)) a rotor.

    Momentum theory; real propellers of this size take about twice as much.
    """
    count = rotor_count(answers)
    area = math.pi / 4.0 * value_of(answers, "propeller_diameter", "length") ** 2
    thrust = guessed_mass_kg(answers) * _G / count
    return count * thrust * math.sqrt(thrust / (2.0 * _RHO * area))


def _inches(metres: float) -> str:
    return f"{round(metres / 0.0254 * 2.0) / 2.0:g} in"


def _centimetres(metres: float) -> str:
    return f"{round(metres * 100.0):g} cm"


def _grams(kilograms: float) -> str:
    return f"{round(kilograms * 100.0) * 10:g} g"


def _diameter_offer(answers: Answers) -> str:
    """Give a diameter [in] that loads the discs with about 110 N/m2, not wider than fits."""
    area = guessed_mass_kg(answers) * _G / rotor_count(answers) / _DISC_LOAD_N_M2
    most = 0.8 * value_of(answers, "span", "length")
    return _inches(min(max(math.sqrt(4.0 * area / math.pi), 0.15), most))


def _speed_constant_offer(answers: Answers) -> str:
    """Give a speed constant [rpm/V] so that hover needs about 70 % of full speed.

    Thrust 0.1 rho n^2 D^4 in hover, and a motor under load turning at 75 % of its free speed.
    """
    diameter = value_of(answers, "propeller_diameter", "length")
    thrust = guessed_mass_kg(answers) * _G / rotor_count(answers)
    turns = math.sqrt(thrust / (0.1 * _RHO * diameter**4))
    volts = 3.7 * int(answers["cells"])
    return f"{round(60.0 * turns / (0.7 * 0.75 * volts) / 10.0) * 10:g} rpm/V"


def _capacity_offer(answers: Answers) -> str:
    """Give a capacity [Ah] for eight minutes of hover at twice the ideal power, a fifth left."""
    energy_wh = 2.0 * disc_load_power_w(answers) * 8.0 / 60.0 / 0.8
    return f"{max(round(energy_wh / (3.7 * int(answers['cells'])) * 5.0) / 5.0, 1.0):g} Ah"


def _has_head(answers: Answers) -> bool:
    return answers["head"] == "yes"


def _has_fabric(answers: Answers) -> bool:
    return answers["fabric"] != NONE


def _rim_offer(answers: Answers) -> str:
    """Give a rim that stays 3 cm clear of the inner edges of the discs, 15 cm at least."""
    half = value_of(answers, "span", "length") / 2.0
    inner = half - value_of(answers, "propeller_diameter", "length") / 2.0
    return _centimetres(max(inner - 0.03, 0.10))


QUESTIONS: Final[tuple[Question, ...]] = (
    Question(
        "name",
        "What is it called?",
        lambda _: "My lantern",
        lambda _: "it stands on every page of the report",
        "text",
    ),
    Question(
        "layout",
        "Two tilting rotors (bicopter), or three with a tilting tail (tricopter)?",
        lambda _: "bicopter",
        lambda _: "two are lighter; three keep pitch when the head is heavy",
        "choice",
        ("bicopter", "tricopter"),
    ),
    Question(
        "span",
        "How far apart are the left and right rotor, hub to hub?",
        lambda _: "90 cm",
        lambda _: "room for propellers and for fabric between them",
        "length",
        least=0.1,
        most=5.0,
    ),
    Question(
        "frame_mass",
        "What does the frame weigh, with legs and everything not asked for below?",
        lambda _: "900 g",
        lambda _: "put it on a scale; a bamboo frame of this size weighs about so much",
        "mass",
        least=0.02,
        most=50.0,
    ),
    Question(
        "head",
        "Is there a head, a heavy part on top?",
        lambda _: "yes",
        lambda _: "it decides whether the craft stays upright",
        "choice",
        ("yes", "no"),
    ),
    Question(
        "head_mass",
        "What does the head weigh?",
        lambda _: "450 g",
        lambda _: "papier-mache of 40 cm across weighs about so much",
        "mass",
        least=0.001,
        most=50.0,
        needs="head",
        applies=_has_head,
    ),
    Question(
        "head_width",
        "How wide is the head?",
        lambda _: "40 cm",
        lambda _: "the wind pushes on it",
        "length",
        least=0.01,
        most=3.0,
        needs="head",
        applies=_has_head,
    ),
    Question(
        "head_height",
        "How high is its middle above the rotors' hubs? (below: a negative height)",
        lambda _: "17 cm",
        lambda _: "low heads fly better",
        "length",
        least=-5.0,
        most=5.0,
        needs="head",
        applies=_has_head,
    ),
    Question(
        "propeller_diameter",
        "How large are the propellers across?",
        _diameter_offer,
        lambda _: (
            f"loads the discs with about {_DISC_LOAD_N_M2:g} N/m2, as far as they fit; wider ones"
            " hover longer but follow more slowly"
        ),
        "length",
        least=0.05,
        most=1.5,
    ),
    Question(
        "propeller_pitch",
        "What pitch do they have?",
        lambda answers: _inches(0.4 * value_of(answers, "propeller_diameter", "length")),
        lambda _: "four tenths of the diameter suits hovering",
        "length",
        least=0.01,
        most=1.0,
    ),
    Question(
        "cells",
        "How many cells has the pack, in series?",
        lambda _: "4",
        lambda _: "four lithium polymer cells give 14.8 V",
        "choice",
        tuple(str(count) for count in range(1, 15)),
    ),
    Question(
        "speed_constant",
        "What is the motors' speed constant?",
        _speed_constant_offer,
        lambda _: "so that hovering needs about seven tenths of full speed, half of full thrust",
        "speed_constant",
        least=1.0,
        most=2000.0,
    ),
    Question(
        "capacity",
        "What is the pack's capacity?",
        _capacity_offer,
        lambda _: "about eight minutes of hover with a fifth left over",
        "charge",
        least=360.0,
        most=360_000.0,
    ),
    Question(
        "pack_height",
        "How far below the hubs does the pack hang?",
        lambda answers: "30 cm" if answers["layout"] == "bicopter" else "10 cm",
        lambda answers: (
            "two tilting rotors can only pitch a craft whose weight hangs well below them"
            if answers["layout"] == "bicopter"
            else "low enough to balance the head"
        ),
        "length",
        least=-2.0,
        most=3.0,
    ),
    Question(
        "fabric",
        "What fabric hangs on it?",
        lambda _: "skirt",
        lambda _: "a closed ring of cloth; a cape is open, ribbons are separate strips",
        "choice",
        (NONE, "skirt", "cape", "ribbons"),
    ),
    Question(
        "cloth",
        "Which cloth?",
        lambda _: "organza",
        lambda _: "light and open, so that wash and wind pass through",
        "choice",
        tuple(cloth_table()),
        needs="fabric",
        applies=_has_fabric,
    ),
    Question(
        "cloth_length",
        "How long does it hang?",
        lambda _: "60 cm",
        lambda _: "longer cloth catches more wind",
        "length",
        least=0.05,
        most=5.0,
        needs="fabric",
        applies=_has_fabric,
    ),
    Question(
        "rim_radius",
        "What radius has the ring that it hangs from?",
        _rim_offer,
        lambda _: "keeps the cloth inside the rotors' inner edges",
        "length",
        least=0.03,
        most=3.0,
        needs="fabric",
        applies=_has_fabric,
    ),
)


def asked(answers: Answers) -> tuple[Question, ...]:
    """Give the questions that apply, as far as the answers tell.

    Parameters
    ----------
    answers : mapping
        As answered so far.

    Returns
    -------
    tuple of Question
        In order.
    """
    return tuple(
        question
        for question in QUESTIONS
        if question.needs is None or (question.needs in answers and question.applies(answers))
    )

"""Tasks, persons and limits that cannot be flown are refused, each at its line, all at once."""

import pytest

from sim.errors import InputFaults
from sim.spec import load_scenario

HEAD = "name: Bad\nduration: 60 s\n"


def faults(tmp_path, text):
    path = tmp_path / "bad.yaml"
    path.write_text(HEAD + text)
    with pytest.raises(InputFaults) as caught:
        load_scenario(path)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("start: hover\ntask:\n  - {at: 0 s, do: take_off, height: 2 m}\n", "cannot take off"),
        (
            "start: ground\ntask:\n  - {at: 0 s, do: hold}\n",
            "needs take_off as its first step",
        ),
        (
            "start: ground\ntask:\n  - {at: 0 s, do: take_off, height: 2 m}\n"
            "  - {at: 9 s, do: take_off, height: 2 m}\n",
            "it is in the air",
        ),
        (
            "start: hover\ntask:\n  - {at: 0 s, do: land}\n"
            "  - {at: 9 s, do: turn, heading: east}\n",
            "cannot turn: it is on the ground",
        ),
        ("task:\n  - {at: 0 s, do: pass_by, north: 1 m, east: 2 m}\n", "pass_by needs 'speed'"),
        ("task:\n  - {at: 0 s, do: hold, speed: 2 m/s}\n", "hold takes no 'speed'"),
        ("pilot: position_hold\nperson: {delay: 0.3 s}\n", "no person flies"),
        ("pilot: practised\nperson: {delay: 3 s}\n", "delay"),
        ("limits: {touchdown: -1 m/s}\n", "touchdown"),
        ("pilot: practiced\n", "practised"),
    ],
)
def test_each_fault_is_told_in_words(tmp_path, text, words):
    assert words in faults(tmp_path, text)


def test_several_faults_are_told_at_once(tmp_path):
    told = faults(
        tmp_path,
        "start: hover\ntask:\n  - {at: 0 s, do: stand}\n  - {at: 70 s, do: hold}\n"
        "limits: {saturation_share: 130 %}\n",
    )
    for words in ("cannot stand", "when the flight is over", "saturation_share"):
        assert words in told


def test_landing_and_taking_off_again_is_a_task(tmp_path):
    path = tmp_path / "twice.yaml"
    path.write_text(
        HEAD + "start: ground\ntask:\n  - {at: 0 s, do: stand}\n"
        "  - {at: 1 s, do: take_off, height: 1 m}\n  - {at: 9 s, do: land}\n"
        "  - {at: 20 s, do: stand}\n  - {at: 25 s, do: take_off, height: 1 m}\n"
    )
    assert len(load_scenario(path).spec.task) == 5

"""The neck of a craft file: a word or a section, its faults with their place, its defaults."""

import math
from pathlib import Path

import pytest

from sim.errors import InputFaults
from sim.spec import craft_from_bytes
from sim.spec.neck import HingedNeck

ROOT = Path(__file__).parents[4]
TEXT = (ROOT / "airframes/jellyfish_bicopter.yaml").read_text(encoding="utf-8")
SECTION = (
    "{pivot: {up: 10 cm}, roll: {stiffness: 2 N m/rad},"
    " pitch: {stiffness: {value: 3 N m/rad, plus_minus: 10 %}, damping: 0.02 N m s/rad,"
    " stop: 20 deg}}"
)


def with_neck(neck, *changes):
    assert TEXT.count("neck: rigid") == 1
    text = TEXT.replace("neck: rigid", f"neck: {neck}")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return craft_from_bytes(text.encode(), "craft.yaml")


def faults_of(neck, *changes):
    with pytest.raises(InputFaults) as caught:
        with_neck(neck, *changes)
    return caught.value.faults


def test_the_word_stands_for_a_rigid_neck():
    assert with_neck("rigid").spec.head.neck == "rigid"


def test_a_section_is_a_hinge():
    neck = with_neck(SECTION).spec.head.neck
    assert isinstance(neck, HingedNeck)
    assert neck.pivot.body_m == pytest.approx((0.0, 0.0, -0.1))
    assert neck.pitch.stiffness_n_m_rad.plus_minus == pytest.approx(0.3)
    assert neck.pitch.stop_rad == pytest.approx(math.radians(20.0))


def test_what_is_left_out_is_listed():
    listed = {entry.path: entry.value for entry in with_neck(SECTION).defaults}
    assert listed["head.neck.roll.stop"] == "30 deg"
    assert listed["head.neck.roll.damping"].startswith("5 % of critical")
    assert "head.neck.pitch.stop" not in listed


@pytest.mark.parametrize(
    ("neck", "words"),
    [
        ("rigd", "did you mean 'rigid'?, or a section with pivot, roll, pitch"),
        ("loose", "use rigid, or a section with pivot, roll, pitch"),
        ("[1]", "use rigid, or a section with pivot, roll, pitch"),
        (SECTION.replace("pivot", "pivto"), "head.neck.pivto: is not a known key here; did you"),
        (SECTION.replace("2 N m/rad", "2 N m"), "a torque per angle, such as '1.5 N m/rad'"),
        (SECTION.replace("20 deg", "200 deg"), "must be at most 90 deg, got 200 deg"),
        ("{pivot: {up: 3 cm}, roll: {stiffness: 1 N m/rad}}", "head.neck.pitch: is missing"),
    ],
)
def test_a_faulty_neck_is_one_fault(neck, words):
    (fault,) = faults_of(neck)
    assert words in fault.what
    assert fault.line == TEXT[: TEXT.index("neck: rigid")].count("\n") + 1


def test_a_hinge_with_nothing_on_it_is_refused():
    (fault,) = faults_of(SECTION, ("mass: {value: 450 g, plus_minus: 40 g}", "mass: 0 g"))
    assert "must be more than 0 kg on a neck that bends" in fault.what


def test_a_neck_too_soft_for_its_head_is_warned_of():
    """k must be above m g h."""
    soft = SECTION.replace("stiffness: 2 N m/rad", "stiffness: 0.01 N m/rad")
    (warning,) = with_neck(soft).warnings
    assert "too soft in roll" in warning
    assert with_neck(SECTION).warnings == ()


def test_fabric_above_the_pivot_of_a_neck_is_warned_of():
    """It hangs from the frame, whatever the head does."""
    raised = ("place: {up: -18 cm}\n  fullness", "place: {up: 14 cm}\n  fullness")
    (warning,) = with_neck(SECTION, raised).warnings
    assert "rim of 'drape' stands 4 cm above the pivot" in warning
    assert "does not nod with the head" in warning
    assert with_neck("rigid", raised).warnings == ()

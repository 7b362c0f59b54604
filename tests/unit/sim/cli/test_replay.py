"""The command `replay`: its page, its films, and what it refuses before it flies."""

from __future__ import annotations

import shutil

import numpy as np
import pytest
from PIL import Image

from sim.cli import main as entry
from sim.report.replay.film import FRAMES_PER_S


@pytest.fixture(scope="module")
def asked(repository):
    """Give arguments of the shortest flight there is: 6 s of a craft without fabric."""
    craft = repository / "airframes/bare_bicopter.yaml"
    breeze = repository / "tests/demo/short_breeze.yaml"
    return ["replay", str(craft), "--scenario", str(breeze), "--flight", "0"]


def test_a_gif_has_a_frame_for_every_fifth_of_a_second_and_moves(asked, tmp_path, capsys):
    page, film = tmp_path / "page.html", tmp_path / "film.gif"
    assert entry.run([*asked, "--out", str(page), "--gif", str(film)]) == 0
    shown = capsys.readouterr().out
    assert f"Page: {page}" in shown
    assert f"Film: {film}" in shown
    assert sorted(path.name for path in tmp_path.iterdir()) == ["film.gif", "page.html"]
    with Image.open(film) as frames:
        assert frames.n_frames == pytest.approx(6.0 * FRAMES_PER_S, abs=1)
        assert frames.info["duration"] == 1000 // FRAMES_PER_S
        seen = []
        for number in (0, frames.n_frames - 1):
            frames.seek(number)
            seen.append(np.asarray(frames.convert("L")).astype(int))
    assert np.abs(seen[1] - seen[0]).max() > 100


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="ffmpeg is not on this machine")
def test_an_mp4_is_written_whole(asked, tmp_path, capsys):
    page, film = tmp_path / "page.html", tmp_path / "film.mp4"
    assert entry.run([*asked, "--out", str(page), "--mp4", str(film)]) == 0
    assert f"Film: {film}" in capsys.readouterr().out
    assert film.read_bytes()[4:8] == b"ftyp"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["film.mp4", "page.html"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--mp4", "film.mp4"], "needs the program ffmpeg"),
        (["--gif", "film.mp4"], "ends in .gif"),
        (["--mp4", "film.gif"], "ends in .mp4"),
        (["--gif", "."], "is a folder"),
        (["--wind", "fast"], "--wind"),
        (["--wind", "900 m/s"], "must be at most 60 m/s"),
        (["--from", "nowhere"], "--from"),
    ],
)
def test_what_cannot_be_shown_is_refused_before_flying(
    asked, tmp_path, capsys, monkeypatch, arguments, words
):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    assert entry.run([*asked, *arguments]) == 2
    assert words in " ".join(capsys.readouterr().err.split())
    assert list(tmp_path.iterdir()) == []

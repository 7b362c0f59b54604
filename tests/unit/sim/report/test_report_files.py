"""Files of a report are whole or not there."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sim.report import files
from sim.report.files import write_files, write_whole


def test_all_files_are_written_into_a_new_folder(result, tmp_path):
    written = write_files(result, tmp_path / "deep" / "report")
    assert written.page.read_text("utf-8").startswith("<!doctype html>")
    assert json.loads(written.result.read_text("utf-8"))["passes"] is True
    assert "field card" in written.card.read_text("utf-8")
    assert sorted(path.name for path in written.page.parent.iterdir()) == [
        "field-card.html",
        "report.html",
        "result.json",
    ]


def test_nothing_is_left_when_a_page_cannot_be_made(result, tmp_path, monkeypatch):
    def fail(_result):
        message = "no page today"
        raise RuntimeError(message)

    monkeypatch.setattr(files, "page_text", fail)
    with pytest.raises(RuntimeError, match="no page today"):
        write_files(result, tmp_path / "report")
    assert not (tmp_path / "report").exists()


def test_a_write_cut_short_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "result.json"
    write_whole(path, "old")

    def fail(_number):
        message = "disk full"
        raise OSError(message)

    monkeypatch.setattr(files.os, "fsync", fail)
    with pytest.raises(OSError, match="disk full"):
        write_whole(path, "new")
    assert path.read_text("utf-8") == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["result.json"]


def test_a_file_is_replaced_in_one_go(tmp_path, monkeypatch):
    seen = []
    replace = Path.replace

    def watch(self, target):
        seen.append((self.name, self.read_text("utf-8"), Path(target).exists()))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", watch)
    write_whole(tmp_path / "report.html", "whole")
    ((name, text, existed),) = seen
    assert name != "report.html"
    assert (text, existed) == ("whole", False)
    assert (tmp_path / "report.html").read_text("utf-8") == "whole"

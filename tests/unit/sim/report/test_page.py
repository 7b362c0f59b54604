"""The page: one file, nothing fetched, nothing run but scripts of ours, every name escaped."""

from __future__ import annotations

import base64
import hashlib
import re
from html.parser import HTMLParser

import pytest

from sim.report.content import report_content
from sim.report.page import card_text, page_text

EVIL = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&{{ 7*7 }}"


class Outline(HTMLParser):
    """Note elements, attributes and the text of a page."""

    def __init__(self):
        super().__init__()
        self.elements = []
        self.headings = []
        self.words = []
        self.inside = []

    def handle_starttag(self, tag, attrs):
        """Note an element."""
        self.elements.append((tag, dict(attrs)))
        self.inside.append(tag)
        if tag == "h2":
            self.headings.append("")

    def handle_endtag(self, tag):
        """Leave an element, and those inside it that have no end."""
        while self.inside and self.inside.pop() != tag:
            pass

    def handle_data(self, data):
        """Note text that is shown."""
        if not {"style", "script"} & set(self.inside):
            self.words.append(data)
        if "h2" in self.inside:
            self.headings[-1] += data


def outline(text):
    parser = Outline()
    parser.feed(text)
    return parser


@pytest.fixture(scope="module")
def page(result):
    return page_text(result)


def test_the_same_result_gives_the_same_page(result, page):
    assert page_text(result) == page


def test_the_page_asks_for_nothing(page):
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    hashes = [base64.b64encode(hashlib.sha256(one.encode()).digest()).decode() for one in scripts]
    allowed = " ".join(f"'sha256-{one}'" for one in hashes)
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)[1]
    assert f"default-src 'none'; script-src {allowed};" in policy.replace("&#39;", "'")
    addresses = set(re.findall(r"(?:https?:)?//[\w.]+[^\s\"'<)]*", page))
    assert addresses <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
    tags = {tag for tag, _ in outline(page).elements}
    assert not tags & {"link", "iframe", "object", "embed", "img", "image", "form"}
    assert not re.search(r"@import|url\((?!#)", page)


def test_every_link_leads_to_a_place_on_the_page(page):
    elements = outline(page).elements
    names = {attributes["id"] for _, attributes in elements if "id" in attributes}
    targets = {a["href"] for tag, a in elements if tag == "a"}
    assert targets
    assert all(target.startswith("#") and target[1:] in names for target in targets)
    assert len(names) == len([a for _, a in elements if "id" in a]), "an identifier is used twice"


def test_six_questions_and_the_card_stand_in_order(page, result):
    headings = [" ".join(text.split()) for text in outline(page).headings]
    places = [
        next(i for i, heading in enumerate(headings) if section.question in heading)
        for section in report_content(result).sections
    ]
    assert places == sorted(places)
    assert headings[-1] == result.craft.spec.name


def test_the_page_shows_all_that_the_content_holds(page, result):
    words = " ".join(" ".join(outline(page).words).split())
    for section in report_content(result).sections:
        assert section.answer in words
        for reading in section.readings:
            assert reading.label in words
            assert reading.text in words
        for text in (*section.assumptions, *section.provenance, *section.spread):
            assert text in words
        assert section.defaults is None or section.defaults.rows[0].cells[0] in words


def test_a_name_with_markup_is_shown_as_text(renamed):
    text = page_text(renamed(EVIL))
    parsed = outline(text)
    assert [tag for tag, _ in parsed.elements].count("script") == 1
    assert not [a for _, a in parsed.elements if any(k.startswith("on") for k in a)]
    words = "".join(parsed.words)
    assert words.count(EVIL) >= 3
    assert "49" not in words[words.index("alert(2)") :][:20]


def test_pictures_carry_their_finding(page, result):
    labels = [a["aria-label"] for tag, a in outline(page).elements if tag == "svg"]
    findings = [p.finding for s in report_content(result).sections for p in s.pictures]
    assert len(labels) == len(findings)
    for label, finding in zip(labels, findings, strict=True):
        assert label.endswith(finding)


def test_a_standing_is_a_word_and_not_a_colour_alone(page, too_heavy):
    text = page_text(too_heavy)
    assert 'class="badge fails">does not pass<' in text
    assert 'class="badge unknown">not known<' in text
    assert 'class="badge passes">passes<' in page


def test_the_card_prints_on_its_own_page(page):
    assert re.search(r"@media print \{\s*#card \{ page: card; break-before: page;", page)


def test_the_card_alone_shows_what_the_card_on_the_page_shows(result, page):
    alone = card_text(result)
    assert "<script" not in alone
    words = " ".join(" ".join(outline(alone).words).split())
    card = " ".join(" ".join(outline(page[page.index('<section id="card"') :]).words).split())
    assert len(card) > 500
    assert words.endswith(card)

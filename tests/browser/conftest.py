"""A real browser without a network, for pages that open from disk."""

import os
import shutil

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="needs the package playwright")

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = (
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="session")
def browser():
    """Give Chromium as it is installed on this machine; skip where there is none, but not on CI."""
    program = next(filter(None, map(shutil.which, BROWSERS)), None)
    if program is None:
        reason = f"no browser on this machine; looked for {', '.join(BROWSERS)}"
        if os.environ.get("CI", "").lower() in {"1", "true"}:
            pytest.fail(reason)
        pytest.skip(reason)
    with playwright.sync_playwright() as play:
        started = play.chromium.launch(executable_path=program, args=list(FLAGS))
        yield started
        started.close()


class Visit:
    """A page in a context without a network, with what it said and asked for."""

    def __init__(self, browser, path, **more):
        self.context = browser.new_context(offline=True, **more)
        self.page = self.context.new_page()
        self.told, self.asked = [], []
        self.page.on("console", self._note)
        self.page.on("pageerror", lambda error: self.told.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(path.as_uri())

    def _note(self, message):
        if message.type in {"error", "warning"}:
            self.told.append(message.text)

    def fetched(self):
        """Give what was asked for beside the file itself and data inside it."""
        return [url for url in self.asked if not url.startswith(("file:", "data:", "blob:"))]


@pytest.fixture
def visit(browser):
    opened = []

    def go(path, **more):
        opened.append(Visit(browser, path, **more))
        return opened[-1]

    yield go
    for one in opened:
        one.context.close()

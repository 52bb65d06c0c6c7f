"""When a page has come to rest: told from what it and the server say to each other."""

import time
from urllib.parse import urlsplit

from playwright.sync_api import Page
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

RESTS_WITHIN = 60.0
"""Seconds; a step takes less than one, and far more where both processors are busy."""

_DRAWN = """() => {
  const app = document.querySelector('[data-testid="stApp"]');
  return app !== null
    && app.dataset.testScriptState === 'notRunning'
    && app.dataset.testConnectionState === 'CONNECTED'
    && document.querySelector('[data-stale="true"], [data-testid="stSkeleton"]') === null;
}"""

# A tap reaches the server some moments later: past what the page had still to do, and one timer.
_A_MOMENT = """() => new Promise(done =>
  requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 40))))"""


class Runs:
    """Runs of the script asked for and finished, counted from the messages of one browser page.

    A tap that changes something asks for a run; a run that ends 'early' is followed by another
    one. So the page rests when the last request was taken up and the run after it ended for good.
    What it shows is right once nothing on it is left from the run before.
    """

    def __init__(self, page: Page):
        self._page = page
        self._waiting = True  # asked for, and not taken up yet
        self._running = True
        self.hosts: set[str] = set()
        page.on("request", lambda request: self.hosts.add(urlsplit(request.url).netloc))
        page.on("websocket", self._opened)

    def _opened(self, socket) -> None:
        self.hosts.add(urlsplit(socket.url).netloc)
        self._waiting = self._running = True
        socket.on("framesent", self._sent)
        socket.on("framereceived", self._received)

    def _sent(self, frame) -> None:
        if isinstance(frame, bytes) and BackMsg.FromString(frame).HasField("rerun_script"):
            self._waiting = True

    def _received(self, frame) -> None:
        if not isinstance(frame, bytes):
            return
        message = ForwardMsg.FromString(frame)
        if message.HasField("new_session"):
            self._waiting, self._running = False, True
        elif message.HasField("script_finished"):
            self._running = message.script_finished == ForwardMsg.FINISHED_EARLY_FOR_RERUN

    def ask_again(self) -> None:
        """Another page is about to be loaded: what was counted is over."""
        self._waiting = self._running = True

    def rest(self, within: float = RESTS_WITHIN) -> None:
        """Wait until nothing runs and everything is drawn; a page that never rests is a failure."""
        end = time.monotonic() + within
        quiet = 0
        while quiet < 2:
            if time.monotonic() > end:
                state = f"asked: {self._waiting}, running: {self._running}"
                raise AssertionError(f"{self._page.url} did not come to rest ({state})")
            self._page.evaluate(_A_MOMENT)
            still = not (self._waiting or self._running) and self._page.evaluate(_DRAWN)
            quiet = quiet + 1 if still else 0

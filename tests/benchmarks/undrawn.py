"""A person at the app whose screen is not drawn: the same messages to and from the server.

The browsers of twenty people do not stand on the server's processors in the field. Here a person
is a websocket that speaks what the page of a browser speaks: it opens a visit, reads every message
until the run is over, and taps one of the buttons that were sent. The server cannot tell it from a
browser and has the same work with it.
"""

import asyncio
import random
import re

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection, connect

_ANSWER = re.compile(r"-\d+_\d+_.+(?<!_unknown)(?<!_aside)(?<!_cannot)(?<!_enter)(?<!_reason)$")
_OVER = (ForwardMsg.FINISHED_SUCCESSFULLY, ForwardMsg.FINISHED_WITH_COMPILE_ERROR)

TOO_LONG = 60.0
"""Seconds until a run that does not end is an error."""


class Undrawn:
    """One person's page of a visit.

    Parameters
    ----------
    url : str
        Where the app answers, without a slash at the end.

    Examples
    --------
    ``async with Undrawn(url) as page: await page.open(3); await page.tap(dice)``
    """

    def __init__(self, url: str):
        self._url = url.replace("http://", "ws://") + "/_stcore/stream"
        self._line: ClientConnection | None = None
        self._kept: dict[str, ForwardMsg] = {}
        self._page = ""
        self._query = ""
        self._answers: list[str] = []

    async def __aenter__(self) -> "Undrawn":
        self._line = await connect(
            self._url, subprotocols=["streamlit"], max_size=None, compression=None
        )
        return self

    async def __aexit__(self, *_) -> None:
        await self._line.close()

    async def open(self, visit: int) -> None:
        """Load the page of a visit."""
        self._query = f"visit={visit}"
        await self._run(name="visit")

    async def tap(self, dice: random.Random) -> bool:
        """Tap an answer that means no danger, and wait for all that follows; False where there is
        none to tap."""
        if not self._answers:
            return False
        await self._run(button=dice.choice(sorted(self._answers)))
        return True

    async def _run(self, name: str = "", button: str = "") -> None:
        message = BackMsg()
        asked = message.rerun_script
        asked.query_string, asked.page_script_hash, asked.page_name = self._query, self._page, name
        if button:
            asked.widget_states.widgets.add(id=button, trigger_value=True)
        await self._line.send(message.SerializeToString())
        async with asyncio.timeout(TOO_LONG):
            while not self._taken_in(await self._message()):
                pass

    async def _message(self) -> ForwardMsg:
        """The next message; one that was sent before comes as its name alone."""
        message = ForwardMsg.FromString(await self._line.recv())
        if message.WhichOneof("type") == "ref_hash":
            return self._kept[message.ref_hash]
        if message.metadata.cacheable:
            self._kept[message.hash] = message
        return message

    def _taken_in(self, message: ForwardMsg) -> bool:
        """Whether the run is over with this message."""
        kind = message.WhichOneof("type")
        if kind == "new_session":
            self._answers = []
        elif kind == "navigation":
            self._page = message.navigation.page_script_hash
        elif kind == "page_info_changed":
            self._query = message.page_info_changed.query_string
        elif kind == "delta" and message.delta.new_element.WhichOneof("type") == "button":
            button = message.delta.new_element.button
            if _ANSWER.search(button.id) and "danger sign" not in button.label:
                self._answers.append(button.id)
        elif kind == "delta" and message.delta.new_element.WhichOneof("type") == "exception":
            raise RuntimeError(message.delta.new_element.exception.message)
        return kind == "script_finished" and message.script_finished in _OVER

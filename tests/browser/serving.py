"""The app as README starts it: a server of its own, on a free port and a database of its own."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).parents[2]

UP_WITHIN = 90.0
"""Seconds; a start takes four, and far more where both processors are busy with other tests."""


class Server:
    """One running app.

    Parameters
    ----------
    folder : Path
        Where its database and its log are written; both outlive a kill.

    Attributes
    ----------
    url : str
        Where it answers, without a slash at the end.
    database : str
        The database URL, for a test that reads what was stored.
    """

    def __init__(self, folder: Path):
        self._folder = folder
        self._port = _free_port()
        self._process: subprocess.Popen | None = None
        self.url = f"http://localhost:{self._port}"
        self.database = f"sqlite:///{folder / 'visits.db'}"

    def start(self) -> "Server":
        """Start it and wait until it says that it is well."""
        command = (
            *(sys.executable, "-m", "streamlit", "run", "app.py"),
            *("--server.headless", "true", "--server.port", str(self._port)),
        )
        with (self._folder / "server.log").open("ab") as log:
            self._process = subprocess.Popen(
                command, cwd=ROOT, env=os.environ | {"SIGHTPORT_DATABASE": self.database},
                stdin=subprocess.DEVNULL, stdout=log, stderr=log,
            )  # fmt: skip
        end = time.monotonic() + UP_WITHIN
        while not self._well():
            if self._process.poll() is not None or time.monotonic() > end:
                self.kill()
                raise RuntimeError(f"the app did not start:\n{self.log()}")
            time.sleep(0.1)
        return self

    def _well(self) -> bool:
        try:
            with urllib.request.urlopen(f"{self.url}/_stcore/health", timeout=5) as answer:
                return answer.status == 200
        except (urllib.error.URLError, OSError):
            return False

    def kill(self) -> None:
        """End it as a power cut would: no chance to write anything."""
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def log(self) -> str:
        """What it has written so far."""
        return (self._folder / "server.log").read_text(encoding="utf-8", errors="replace")


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("localhost", 0))
        return free.getsockname()[1]

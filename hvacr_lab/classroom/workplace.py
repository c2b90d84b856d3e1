"""JupyterLab on one class: this machine only, own settings, no questions about news."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hvacr_lab.errors import LabError, OutOfRange

HOST, FIRST_PORT, PORTS = "127.0.0.1", 8888, 50
_PATIENCE_SECONDS = 90.0
_PAGE_FILE = Path("labconfig") / "page_config.json"
_PAGE = {"disabledExtensions": {"@jupyterlab/apputils-extension:announcements": True}}  # asks about news and updates


@dataclass(frozen=True, slots=True)
class Workplace:
    """A running JupyterLab.

    Parameters
    ----------
    port : int
    token : str, who knows it may use the server
    process : its process
    """

    port: int
    token: str
    process: subprocess.Popen[bytes]

    def address(self, page: str = "lab") -> str:
        """Where to point the browser."""
        return f"http://{HOST}:{self.port}/{page}?token={self.token}"


@contextlib.contextmanager
def open_workplace(root: Path, *, port: int | None = None, browser: bool = True) -> Iterator[Workplace]:
    """Start JupyterLab on a class folder; it ends with the block.

    Parameters
    ----------
    root : Path of the class folder
    port : int, or None for the first free one from 8888 on
    browser : bool, open the page in the browser

    Yields
    ------
    Workplace, once it answers

    Raises
    ------
    LabError : the port is taken, or JupyterLab does not start
    """
    token = secrets.token_urlsafe(24)
    workplace_port = _free_port(port)
    environment = _environment(root, _settings(root, workplace_port, browser)) | {"JUPYTER_TOKEN": token}
    log = root / ".jupyter" / "jupyterlab.log"
    with log.open("wb") as output:
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "jupyterlab"],
            cwd=root,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,  # Ctrl-C reaches this command, which then ends the server in order
        )
        workplace = Workplace(workplace_port, token, process)
        try:
            _wait(workplace, log)
            yield workplace
        finally:
            process.terminate()
            try:
                process.wait(timeout=15)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()


def _settings(root: Path, port: int, browser: bool) -> dict[str, Any]:
    """JupyterLab's settings for a class."""
    return {
        "ServerApp": {
            "ip": HOST,
            "port": port,
            "port_retries": 0,
            "root_dir": str(root),
            "open_browser": browser,
            "allow_root": True,  # containers often have no other account; the command says so
            "log_level": "WARN",
        },
        # other accounts of this machine could read what runs in a kernel
        "KernelManager": {"transport_encryption": "required"},
    }


def _environment(root: Path, settings: dict[str, Any]) -> dict[str, str]:
    """Write the settings into the class's own folder for them, and point Jupyter there."""
    home = root / ".jupyter"
    places = {
        "JUPYTER_CONFIG_DIR": home / "config",
        "JUPYTER_DATA_DIR": home / "data",
        "JUPYTER_RUNTIME_DIR": home / "runtime",
        "IPYTHONDIR": home / "ipython",
    }
    for folder in places.values():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    config = places["JUPYTER_CONFIG_DIR"]
    (config / "labconfig").mkdir(exist_ok=True)
    for file, values in ((config / "jupyter_server_config.json", settings), (config / _PAGE_FILE, _PAGE)):
        file.write_text(json.dumps(values, indent=1) + "\n", encoding="utf-8")
    path = str(Path(sys.executable).parent) + os.pathsep + os.environ.get("PATH", os.defpath)
    return os.environ | {name: str(folder) for name, folder in places.items()} | {"PATH": path}


def _free_port(wanted: int | None) -> int:
    """The wanted port, or the first free one."""
    if wanted is not None and not 1 <= wanted <= 65535:
        raise OutOfRange("port", wanted, "", low=1, high=65535)
    for port in (wanted,) if wanted is not None else range(FIRST_PORT, FIRST_PORT + PORTS):
        with socket.socket() as probe, contextlib.suppress(OSError):
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((HOST, port))
            return port
    taken = f"Port {wanted} is" if wanted is not None else f"Ports {FIRST_PORT} to {FIRST_PORT + PORTS - 1} are"
    raise LabError(f"{taken} taken. Give another one: --port 9000")


def _wait(workplace: Workplace, log: Path) -> None:
    """Until the server answers, or has given up."""
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))  # a proxy cannot reach this machine's inside
    deadline = time.monotonic() + _PATIENCE_SECONDS
    while time.monotonic() < deadline:
        if workplace.process.poll() is not None:
            break
        with contextlib.suppress(urllib.error.URLError, OSError):
            direct.open(workplace.address("api/status"), timeout=5).close()
            return
        time.sleep(0.2)
    said = log.read_text(encoding="utf-8", errors="replace").strip().splitlines()
    raise LabError(f"JupyterLab does not start: {said[-1] if said else 'it says nothing'}. The whole log: {log}")

"""The drawing and the typesetting engine, asked once for the same thing in a run of the tests.

Half of the time of the tests went into the same pictures of the same invented samples. Both engines are
foreign, and what they give hangs on nothing but what they are given; so the answers are kept in a folder that
the processes of one run share, and is removed at its end. That the same question has the same answer is
itself proved in ``tests/report``, where the engines are always asked, as they are in the nightly proofs.
"""

import hashlib
import importlib
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

ENGINES = (("vl_convert", "vegalite_to_svg"), ("typst", "compile"))
FOLDER = "pictures-of-this-run"
ALWAYS_ASKED = Path(__file__).parent / "report"
_asked_anew = False


def shared_folder(factory: pytest.TempPathFactory, config: pytest.Config) -> Path:
    """Where processes that run side by side find what another one drew."""
    own = factory.getbasetemp()
    return (own.parent if hasattr(config, "workerinput") else own) / FOLDER


def kept(folder: Path, name: str, engine: Callable[..., Any]) -> Callable[..., Any]:
    """Give an engine that remembers its answers; a refusal is not remembered."""

    def asked(question: Any, **words: Any) -> Any:
        if _asked_anew:
            return engine(question, **words)
        # Fonts have no words of their own; which they are is told by the other arguments.
        told = {key: value for key, value in words.items() if key != "font_paths"}
        digest = hashlib.sha256(repr((name, question, sorted(told.items()))).encode()).hexdigest()
        file = folder / digest
        if file.is_file():
            content = file.read_bytes()
            return content if name == "compile" else content.decode("utf-8")
        answer = engine(question, **words)
        folder.mkdir(parents=True, exist_ok=True)
        part = file.with_suffix(f".{os.getpid()}-{id(answer)}")
        part.write_bytes(answer if isinstance(answer, bytes) else answer.encode("utf-8"))
        part.replace(file)
        return answer

    return asked


@pytest.fixture(scope="session", autouse=True)
def engines_asked_once(
    tmp_path_factory: pytest.TempPathFactory, pytestconfig: pytest.Config
) -> Iterator[None]:
    """Let the engines remember, unless the nightly proofs are run."""
    if "nightly" in (pytestconfig.getoption("-m") or ""):
        yield
        return
    folder = shared_folder(tmp_path_factory, pytestconfig)
    with pytest.MonkeyPatch.context() as patch:
        for module, name in ENGINES:
            try:
                engine = importlib.import_module(module)
            except ImportError:
                continue
            patch.setattr(engine, name, kept(folder, name, getattr(engine, name)))
        yield
    if not hasattr(pytestconfig, "workerinput"):
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(autouse=True)
def engines_asked_in_their_own_room(request: pytest.FixtureRequest) -> Iterator[None]:
    """Ask the engines anew in the tests of reports."""
    global _asked_anew
    _asked_anew = ALWAYS_ASKED in request.path.parents
    yield

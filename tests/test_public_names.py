"""What ``import resile`` promises."""

import subprocess
import sys

import resile


def test_every_public_name_can_be_had() -> None:
    for name in resile.__all__:
        assert getattr(resile, name) is not None
    assert set(resile._HOMES) | {"__version__"} == set(resile.__all__)


def test_importing_the_package_or_asking_its_version_loads_no_heavy_library() -> None:
    heavy = "{'numpy', 'scipy', 'rich', 'pydantic', 'typst', 'vl_convert', 'xlsxwriter', 'orjson', 'jinja2'}"
    script = (
        "import sys, resile, resile.interfaces.cli.commands\n"
        f"found = {heavy} & set(sys.modules)\n"
        "assert not found, found\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)

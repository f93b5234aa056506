"""Make the generated parts of this folder: the commands, and the example of the JSON.

It also makes the list of numbers that change, which `resile recompute` tells, from the changelog.

Run ``python docs/reference/make_reference.py`` after a command or a key has changed;
``tests/docs/test_generated.py`` tells when it is needed.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
COMMANDS = HERE / "commands.md"
JSON_PAGE = HERE / "json.md"
CHANGELOG = HERE.parents[1] / "CHANGELOG.md"
NUMBERS_THAT_CHANGE = HERE.parents[1] / "src/resile/workflows/laboratory/record/numbers_that_change.toml"
MARKS = ("<!-- example: made by make_reference.py -->", "<!-- end of example -->")
HEAD = """# Commands

Made from the program by `python docs/reference/make_reference.py`. In a terminal: `resile COMMAND --help`.

Exit codes: 0 done · 1 the answer is "does not comply" · 2 the input is bad · 3 not found · 70 our fault.
Refusals are one sentence on standard error.
"""


def commands_page() -> str:
    """Give the page of all commands."""
    import typer.main

    from resile.interfaces.cli.commands import app

    group: Any = typer.main.get_command(app)
    parts = [HEAD, section("resile", group)]
    parts += sections("resile", group)
    return "\n".join(parts)


def sections(before: str, group: Any) -> list[str]:
    """Give the section of each command of a group, and of the commands of the groups inside it."""
    parts = []
    for name, command in group.commands.items():
        parts.append(section(f"{before} {name}", command))
        if hasattr(command, "commands"):
            parts += sections(f"{before} {name}", command)
    return parts


def section(title: str, command: Any) -> str:
    """Give heading, description and parameters of one command."""
    lines = [f"## {title}", "", " ".join((command.help or "").split()), ""]
    arguments = [p for p in command.params if p.param_type_name == "argument"]
    options = [
        p for p in command.params if p.param_type_name == "option" and not p.hidden and p.name != "help"
    ]
    if arguments:
        lines += ["| argument | meaning | default |", "|---|---|---|"]
        lines += [
            f"| `{argument.name}` | {cell(argument.help)} | {default(argument)} |" for argument in arguments
        ]
        lines.append("")
    if options:
        lines += ["| option | meaning | default |", "|---|---|---|"]
        lines += [f"| {names(option)} | {cell(option.help)} | {default(option)} |" for option in options]
        lines.append("")
    return "\n".join(lines)


def names(option: Any) -> str:
    """Give the spellings of an option, the long one first."""
    spellings = [*sorted(option.opts, key=len, reverse=True), *option.secondary_opts]
    return ", ".join(f"`{name}`" for name in spellings)


def default(parameter: Any) -> str:
    """Give the default of a parameter in words."""
    if parameter.required:
        return "needed"
    value = parameter.default
    is_set = isinstance(value, str | int | float | Path) and not isinstance(value, bool)
    return f"`{value}`" if is_set and str(value) else ""


def cell(text: str | None) -> str:
    """Give a help text as one cell of a table."""
    return " ".join((text or "").split()).replace("|", "\\|")


def json_example() -> str:
    """Give what ``resile reduce --json`` prints for the exact Burgers case, shortened for the page."""
    from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
    from resile.compute.rheology.models.simulation import simulate_creep_recovery
    from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
    from resile.judge.findings import judge_measures
    from resile.report.machine.records import run_to_json
    from resile.specifications.creep_recovery import load_finding_rules, load_programme

    columns = simulate_creep_recovery(BurgersModel(0.5, 50.0, (KelvinElement(2.0, 4.0),)), load_programme())
    (run,) = reduce_creep_recovery(
        columns["time_s"],
        columns["stress_kpa"],
        columns["strain"],
        temperature_c=64.0,
        programme=load_programme(),
    )
    content = run_to_json(replace(run, findings=judge_measures(run.measures, load_finding_rules())))
    for level in content["levels"]:
        level["cycles"] = level["cycles"][:1]
    return json.dumps({"runs": [shortened(content)], "errors": []}, indent=2, ensure_ascii=False)


def shortened(content: Any) -> Any:
    """Give a tree with its numbers cut to six significant digits, so that every machine prints the same."""
    if isinstance(content, dict):
        return {key: shortened(value) for key, value in content.items()}
    if isinstance(content, list):
        return [shortened(value) for value in content]
    if isinstance(content, float):
        return 0.0 if abs(content) < 1e-6 else float(f"{content:.6g}")
    return content


def with_example(text: str) -> str:
    """Give the page of the JSON with its example made anew."""
    pattern = re.compile(f"({re.escape(MARKS[0])}\n).*?({re.escape(MARKS[1])})", re.DOTALL)
    example = json_example()
    return pattern.sub(lambda found: f"{found[1]}\n```json\n{example}\n```\n\n{found[2]}", text)


def schema_text(kind: str) -> str:
    """Give the JSON Schema of a kind of file as it is published."""
    from resile.workflows.schemas import schema_of

    return f"{json.dumps(schema_of(kind), indent=2, ensure_ascii=False)}\n"


def keys_page(kind: str, title: str, opening: str) -> str:
    """Give a page of keys made from a schema: one table for the file, one for each block inside it."""
    from resile.workflows.schemas import schema_of

    schema = schema_of(kind)
    lines = [f"# {title}", "", opening, "", f"JSON Schema: [{kind}](schemas/{kind}.schema.json).", ""]
    lines += keys_table(schema)
    for name, part in schema.get("$defs", {}).items():
        if "properties" not in part:
            continue
        used = [key for key, entry in schema["properties"].items() if name in json.dumps(entry)]
        used += [
            f"{one.removesuffix('Table').removesuffix('Model').casefold()}.{key}"
            for one, other in schema["$defs"].items()
            for key, entry in other.get("properties", {}).items()
            if f'/{name}"' in json.dumps(entry)
        ]
        single = [key for key in used if schema["properties"].get(key, {}).get("$ref", "").endswith(name)]
        heads = [f"`[{key}]`" if key in single else f"`[[{key}]]`" for key in used]
        lines += [f"## {' and '.join(heads)}", "", *keys_table(part)]
    return "\n".join(lines)


def keys_table(part: dict[str, Any]) -> list[str]:
    """Give the keys of one table of a file."""
    rows = ["| key | needed | meaning |", "|---|---|---|"]
    for key, entry in part["properties"].items():
        needed = "yes" if key in part.get("required", []) else ""
        rows.append(f"| `{key}` | {needed} | {cell(entry.get('description', ''))} |")
    return [*rows, ""]


SCHEMAS = HERE / "schemas"
KEY_PAGES = {
    "laboratory-settings.md": (
        "laboratory",
        "Laboratory settings",
        "The file `laboratory.toml`, named with `resile report --laboratory` "
        "([how](../how-to/issue-a-certificate.md)). Made from the program by "
        "`python docs/reference/make_reference.py`. `logo` is an SVG or PNG beside the file.",
    ),
    "sampling-plans.md": (
        "sampling-plan",
        "Sampling plans",
        "How often lots are sampled, and when that changes: a file under "
        "`specifications/sampling_plans`, or one of "
        "your own, named by its path ([how](../how-to/sample-production.md)). A folder of own files is "
        "named in "
        "`RESILE_SPECIFICATIONS`. Made from the program by `python docs/reference/make_reference.py`.",
    ),
    "bench-books.md": (
        "bench-book",
        "Bench books",
        "Residues, tests, tolerances and hazards for `resile plan` and `resile form`: a file under "
        "`specifications/plans`, or one of your own (`--book FILE`). Made from the program by "
        "`python docs/reference/make_reference.py`.",
    ),
    "blend-books.md": (
        "blend-book",
        "Blend books",
        "Components, trial blends and what the blend is for: one TOML file, and tables beside it, for "
        "`resile blend` ([how](../how-to/formulate-a-blend.md)). `resile blend start` writes one to begin "
        "from. Made from the program by `python "
        "docs/reference/make_reference.py`. Unknown keys are refused, with the nearest known one; "
        "everything that is wrong is told at once.\n\nA **table of shares** has one trial blend a row, "
        "and a column for each component, headed with its name: percent by mass, ratios (`[ratio]`) or "
        "masses (`[g]`, `[kg]`), which are divided by their sum. Shares that miss 100 % by more than 0.2 "
        "are refused. `hot storage h` and `hot storage °C` may stand beside them. **Results** are any "
        "[table of results](tables.md), matched by the names of blends and components; both may stand in "
        "one table, or on sheets of one workbook.",
    ),
}


def numbers_that_change() -> str:
    """Give what stands under "Numbers that change" in the changelog, as data the package can read."""
    lines = ["# Made from CHANGELOG.md by docs/reference/make_reference.py; do not edit.", ""]
    versions = re.split(r"^## \[(.+?)\].*$", CHANGELOG.read_text(encoding="utf-8"), flags=re.MULTILINE)
    for version, content in zip(versions[1::2], versions[2::2], strict=True):
        part = re.search(r"^### Numbers that change$(.*?)(?=^### |\Z)", content, re.MULTILINE | re.DOTALL)
        for entry in re.split(r"^- ", part[1] if part else "", flags=re.MULTILINE)[1:]:
            text = " ".join(re.sub(r"\[([^]]+)\]\([^)]+\)", r"\1", entry).split())
            number = "" if version == "Unreleased" else version
            lines += ["[[change]]", f"version = {json.dumps(number)}"]
            lines += [f"text = {json.dumps(text, ensure_ascii=False)}", ""]
    return "\n".join(lines)


def main() -> None:
    """Write the pages."""
    from resile.workflows.schemas import KINDS

    SCHEMAS.mkdir(exist_ok=True)
    for kind in KINDS:
        (SCHEMAS / f"{kind}.schema.json").write_text(schema_text(kind), encoding="utf-8")
    for name, parts in KEY_PAGES.items():
        (HERE / name).write_text(keys_page(*parts), encoding="utf-8")
    NUMBERS_THAT_CHANGE.write_text(numbers_that_change(), encoding="utf-8")
    COMMANDS.write_text(commands_page(), encoding="utf-8")
    JSON_PAGE.write_text(with_example(JSON_PAGE.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()

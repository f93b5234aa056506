"""Commands on models of one binder."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.commands.records import Records
from resile.interfaces.cli.layout_options import with_layout_options

Pages = Annotated[
    list[Path] | None,
    typer.Option(
        "--page",
        help="Also write the page to a .html or .pdf file, or its first picture to .svg; may be repeated.",
        show_default=False,
    ),
]
Day = Annotated[
    str | None,
    typer.Option("--date", help="Date on the page, YYYY-MM-DD; today where not given.", show_default=False),
]

model = typer.Typer(
    name="model",
    no_args_is_help=True,
    help="Fit models to the tests of one binder, and say what follows from them.",
)


@model.command("creep")
@with_layout_options
def creep(
    files: Records,
    how: dict[str, Any],
    kind: Annotated[
        str,
        typer.Option(
            help="chosen (Kelvin elements by an information criterion), burgers, kelvin or fractional."
        ),
    ] = "chosen",
    elements: Annotated[
        int | None,
        typer.Option(
            min=1, max=8, help="Kelvin elements; with chosen, the most that are tried.", show_default=False
        ),
    ] = None,
    probability: Annotated[
        float, typer.Option(min=0.5, max=0.999, help="Probability of the intervals.")
    ] = 0.95,
    json: Json = False,
    page: Pages = None,
    date: Day = None,
    jobs: Annotated[int, typer.Option(min=1, help="Processes to share many files among.")] = 1,
) -> None:
    """Fit springs and dashpots to creep-recovery records: which part of Jnr is flow, which still recovers.

    All cycles are fitted at once, with what earlier pushes left.
    """
    from resile.interfaces.cli.modelling import run_model_creep

    run_model_creep(
        files,
        how=how,
        as_json=json,
        pages=page or [],
        jobs=jobs,
        date=date,
        kind=kind,
        elements=elements,
        probability=probability,
    )


@model.command("programme")
@with_layout_options
def programme(
    record: Annotated[
        Path,
        typer.Argument(help="Creep-recovery record the model is fitted to.", show_default=False),
    ],
    steps: Annotated[
        Path,
        typer.Argument(
            help="Table of steps (.csv, .xlsx, .toml): duration (s), stress (kPa), temperature (°C).",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    kind: Annotated[
        str, typer.Option(help="Model: chosen, burgers, kelvin or fractional, as in model creep.")
    ] = "chosen",
    elements: Annotated[
        int | None, typer.Option(min=1, max=8, help="Kelvin elements.", show_default=False)
    ] = None,
    shift_slope: Annotated[
        float | None,
        typer.Option(
            help="Shift with temperature, stated: by how much log aT falls for each degree warmer.",
            show_default=False,
        ),
    ] = None,
    shift_record: Annotated[
        Path | None,
        typer.Option(
            help="Shift from Jnr of a second creep-recovery record at another temperature.",
            show_default=False,
        ),
    ] = None,
    shift_sweep: Annotated[
        list[Path] | None,
        typer.Option(
            help="Shift from the master curve of these frequency sweeps; may be repeated.", show_default=False
        ),
    ] = None,
    page: Pages = None,
    csv: Annotated[
        Path | None,
        typer.Option(help="Also write strain over time to this .csv file.", show_default=False),
    ] = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Ask the model of a record for its strain under steps of stress and temperature.

    A model's answer, not a measurement. A step at another temperature needs a shift, which is never assumed.
    """
    from resile.interfaces.cli.modelling import run_programme

    run_programme(
        record,
        steps,
        shift={"per_c": shift_slope, "second": shift_record, "sweeps": shift_sweep or ()},
        pages=[*(page or []), *([csv] if csv else [])],
        how=how,
        date=date,
        as_json=json,
        kind=kind,
        elements=elements,
    )


@model.command("damage")
@with_layout_options
def damage(
    file: Annotated[
        Path,
        typer.Argument(
            help="Record of a linear amplitude sweep: frequency part and amplitude part.",
            metavar="FILE",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    exponent: Annotated[
        str,
        typer.Option(
            help="Convention of the damage exponent that leads: inverse-slope (1/m) or "
            "one-plus-inverse-slope (1 + 1/m). The other is shown too."
        ),
    ] = "inverse-slope",
    slope: Annotated[
        float | None,
        typer.Option(
            help="Slope m of log G' against log frequency, where the file has no frequency part.",
            show_default=False,
        ),
    ] = None,
    strain: Annotated[
        list[float] | None,
        typer.Option(
            help="Strain amplitude (%) for which cycles to failure are asked; may be repeated; 2.5 and 5 "
            "where not given.",
            show_default=False,
        ),
    ] = None,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Give damage, fatigue law and cycles to failure of linear amplitude sweeps, with intervals."""
    from resile.interfaces.cli.modelling import run_damage

    run_damage(
        file,
        convention=exponent,
        slope=slope,
        strains=strain,
        pages=page or [],
        date=date,
        how=how,
        as_json=json,
    )


@model.command("traffic")
@with_layout_options
def traffic(
    sites: Annotated[
        Path,
        typer.Argument(
            help="Table of sites (.csv, .xlsx, .toml); the site needs latitude and a daily weather record.",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    binders: Annotated[
        Path | None,
        typer.Argument(
            help="List of binders (.toml, .csv, .xlsx) with results of Jnr, best at two temperatures.",
            show_default=False,
            metavar="[RANGE]",
        ),
    ] = None,
    record: Annotated[
        list[str] | None,
        typer.Option(
            help="Creep-recovery record of a binder, NAME=FILE: its model is followed. May be repeated, "
            "also for one binder at several temperatures.",
            metavar="NAME=FILE",
            show_default=False,
        ),
    ] = None,
    binder_kind: Annotated[
        list[str] | None,
        typer.Option(
            help="Kind of a binder recorded at one temperature, NAME=KIND: unmodified, sbs-modified or "
            "unknown; gives its change with temperature. May be repeated.",
            metavar="NAME=KIND",
            show_default=False,
        ),
    ] = None,
    site: Annotated[str, typer.Option(help="Name of the site, where the table holds several.")] = "",
    reference: Annotated[
        str,
        typer.Option(
            help="Binder the others are compared with; the first recorded, else the first of the list, where "
            "not given."
        ),
    ] = "",
    stress_kpa: Annotated[
        float, typer.Option(help="Shear stress of a pulse in the binder, 0.1 to 3.2 kPa.")
    ] = 3.2,
    speed_kmh: Annotated[
        float | None,
        typer.Option(help="Speed of the wheels, km/h; that of the site where not given.", show_default=False),
    ] = None,
    loaded_length_m: Annotated[
        float, typer.Option(help="Length over which a wheel is felt, m: duration is length over speed.")
    ] = 0.25,
    rest_s: Annotated[
        float | None,
        typer.Option(
            help="Rest from axle to axle, s; evenly spread over the hour where not given.", show_default=False
        ),
    ] = None,
    axles_per_hour: Annotated[
        int | None,
        typer.Option(
            help="Axles in an hour; from the axle loads of the site where not given.", show_default=False
        ),
    ] = None,
    within_c: Annotated[
        float,
        typer.Option(help="Days count whose air maximum lies within this of the mean hottest week (°C)."),
    ] = 10.0,
    pavement_model: Annotated[
        str, typer.Option("--model", help="Pavement model of the highs: ltpp or shrp.")
    ] = "ltpp",
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Compare binders under a train of load pulses on a site: a relative index, never the depth of a rut."""
    from resile.interfaces.cli.modelling import run_traffic

    run_traffic(
        sites,
        binders,
        site=site,
        records=record or [],
        kinds=binder_kind or [],
        how=how,
        asked={
            "reference": reference,
            "stress_kpa": stress_kpa,
            "speed_kmh": speed_kmh,
            "loaded_length_m": loaded_length_m,
            "rest_s": rest_s,
            "axles_per_hour": axles_per_hour,
            "within_c": within_c,
            "model": pavement_model,
        },
        pages=page or [],
        date=date,
        as_json=json,
    )


@model.command("sweep")
@with_layout_options
def sweep(
    files: Annotated[
        list[Path],
        typer.Argument(
            help="Records of frequency sweeps at several temperatures, or folders of them.",
            metavar="FILE...",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    shape: Annotated[str, typer.Option(help="Shape over frequency: CA, CAM or 2S2P1D.")] = "CA",
    shift: Annotated[
        str, typer.Option(help="Shift with temperature: free, WLF, Arrhenius or Kaelble.")
    ] = "WLF",
    reference_temperature: Annotated[
        float | None,
        typer.Option(
            help="Reference temperature (°C); that of the middle isotherm where not given.",
            show_default=False,
        ),
    ] = None,
    glassy_modulus: Annotated[
        float | None,
        typer.Option(help="Glassy modulus in shear (MPa); 1000 where not given.", show_default=False),
    ] = None,
    fit_glassy_modulus: Annotated[
        bool, typer.Option("--fit-glassy-modulus", help="Fit the glassy modulus too.")
    ] = False,
    join: Annotated[
        bool,
        typer.Option("--join", help="All sweeps are of one binder in one state: make one curve of them."),
    ] = False,
    only: Annotated[
        str, typer.Option(help="Take only the runs whose name holds this text.", show_default=False)
    ] = "",
    jobs: Annotated[int, typer.Option(min=1, help="Processes to share the fits among.")] = 1,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Join frequency sweeps to a master curve: modulus and phase angle fitted together, with intervals."""
    from resile.interfaces.cli.modelling import run_sweep

    run_sweep(
        files,
        choices={
            "shape": shape,
            "shift": shift,
            "reference_c": reference_temperature,
            "glassy_modulus_mpa": glassy_modulus,
            "fit_glassy_modulus": fit_glassy_modulus,
        },
        join=join,
        only=only,
        jobs=jobs,
        pages=page or [],
        date=date,
        how=how,
        as_json=json,
    )

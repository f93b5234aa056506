"""How sweeps become a master curve: what a person chooses, checked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.compute.rheology.master_curve.forms.shapes import GLASSY_MODULUS_KPA
from resile.errors import InputError
from resile.records.models.master_curve import CurveShape, CurveShift

_HIGHEST_GLASSY_KPA, _LOWEST_GLASSY_KPA = 1e7, 1e5


@dataclass(frozen=True, slots=True)
class CurveSettings:
    """How sweeps become a curve.

    Attributes
    ----------
    shape, shift : CurveShape, CurveShift
        By name.
    reference_c : float or None
        Reference temperature [°C]; None for that of the middle isotherm.
    glassy_modulus_kpa : float or None
        Glassy modulus in shear [kPa]; None to fit it.
    modulus_weight_decades, phase_weight_deg : float
        Misfit that counts as one, of ``log10 |G*|`` [decades] and of the phase angle [°].
    """

    shape: CurveShape = CurveShape.CA
    shift: CurveShift = CurveShift.WLF
    reference_c: float | None = None
    glassy_modulus_kpa: float | None = GLASSY_MODULUS_KPA
    modulus_weight_decades: float = 0.02
    phase_weight_deg: float = 1.0


def curve_settings(
    *,
    shape: str = CurveShape.CA,
    shift: str = CurveShift.WLF,
    reference_c: float | None = None,
    glassy_modulus_mpa: float | None = None,
    fit_glassy_modulus: bool = False,
) -> CurveSettings:
    """Make settings of what a person typed.

    Parameters
    ----------
    shape, shift : str
        Names, in capitals or not.
    reference_c : float or None
        Reference temperature [°C].
    glassy_modulus_mpa : float or None
        Glassy modulus in shear [MPa]; None for 1000.
    fit_glassy_modulus : bool
        Fit it in place of taking it as given.

    Returns
    -------
    CurveSettings

    Raises
    ------
    InputError
        Where a name is not known or a number out of range.
    """
    if fit_glassy_modulus and glassy_modulus_mpa is not None:
        raise InputError("glassy modulus: give one, or have it fitted, not both")
    glassy = GLASSY_MODULUS_KPA if glassy_modulus_mpa is None else 1000.0 * glassy_modulus_mpa
    if not _LOWEST_GLASSY_KPA <= glassy <= _HIGHEST_GLASSY_KPA:
        raise InputError(f"glassy modulus: {glassy / 1000.0:g} MPa found; 100 to 10000 MPa is needed")
    if reference_c is not None and not -80.0 <= reference_c <= 200.0:
        raise InputError(f"reference temperature: {reference_c:g} °C found; -80 to 200 °C is needed")
    return CurveSettings(
        shape=CurveShape(_named(shape, tuple(CurveShape), "shape")),
        shift=CurveShift(_named(shift, tuple(CurveShift), "shift")),
        reference_c=reference_c,
        glassy_modulus_kpa=None if fit_glassy_modulus else glassy,
    )


def _named(found: str, known: Sequence[str], words: str) -> str:
    for name in known:
        if name.casefold() == found.strip().casefold():
            return name
    raise InputError(f"{words} '{found}' is not known; {', '.join(known[:-1])} or {known[-1]} is needed")

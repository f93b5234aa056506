"""An interlaboratory study: what the laboratories found, and the precision that follows."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyTable:
    """Results of a study as they were handed in.

    Attributes
    ----------
    laboratories, materials : tuple of str
        Their names, in the order of the table.
    results : tuple of tuple of tuple of float
        ``results[material][laboratory]``: replicates of one laboratory on one material; empty where it has
        none.
    title : str
        What was compared.
    quantity, unit : str
        Name from the glossary (empty where it is none of them), and the unit of the results.
    file : str
        SHA-256 of the file; empty where there is none.
    remarks : tuple of str
        What was taken for what while it was read.
    """

    laboratories: tuple[str, ...]
    materials: tuple[str, ...]
    results: tuple[tuple[tuple[float, ...], ...], ...]
    title: str = ""
    quantity: str = ""
    unit: str = ""
    file: str = ""
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.results) != len(self.materials):
            raise ValueError("a study needs one row of cells for every material")
        if any(len(row) != len(self.laboratories) for row in self.results):
            raise ValueError("a study needs one cell for every laboratory")


@dataclass(frozen=True, slots=True, kw_only=True)
class CellStatistics:
    """One laboratory on one material.

    Attributes
    ----------
    laboratory : str
        Its name.
    values : tuple of float
        Its replicates.
    mean : float
        Of the replicates.
    standard_deviation : float or None
        Of the replicates; None for a single one.
    h, k : float or None
        Consistency of the mean with the other laboratories, and of the scatter; None where it has no meaning.
    k_critical : float or None
        Critical value of k for as many results as this laboratory has.
    h_beyond, k_beyond : bool
        True beyond the critical value.
    """

    laboratory: str
    values: tuple[float, ...]
    mean: float
    standard_deviation: float | None = None
    h: float | None = None
    k: float | None = None
    k_critical: float | None = None
    h_beyond: bool = False
    k_beyond: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialStatistics:
    """Precision found on one material.

    Attributes
    ----------
    material : str
        Its name.
    cells : tuple of CellStatistics
        Laboratories that tested it.
    replicates : float
        Results a laboratory; the average of ISO 5725-2 where they differ.
    balanced : bool
        True where all laboratories have the same number of results.
    mean : float
        Average of the cell means; weighed by the number of results where they differ.
    cell_mean_deviation : float
        Standard deviation of the cell means.
    repeatability : float
        Standard deviation within laboratories, sr.
    between_laboratories : float
        Standard deviation between laboratories, sL; zero where the estimate was negative.
    reproducibility_raw, reproducibility : float
        Standard deviation sR by the formula, and with the floor: at least sr.
    repeatability_limit, reproducibility_limit : float
        r and R: difference of two results that 95 of 100 pairs keep to.
    h_critical, k_critical : float or None
        Critical values of h and k; of k only where all have the same number of results.
    cochran, cochran_critical : float or None
        Largest variance over the sum of variances, and its critical value; None where laboratories have
        different numbers of results or single ones.
    cochran_laboratory : str
        Laboratory of the largest variance.
    grubbs_high, grubbs_low, grubbs_critical : float or None
        Largest and smallest cell mean, in standard deviations of the cell means from their average, and the
        critical value.
    """

    material: str
    cells: tuple[CellStatistics, ...]
    replicates: float
    balanced: bool
    mean: float
    cell_mean_deviation: float
    repeatability: float
    between_laboratories: float
    reproducibility_raw: float
    reproducibility: float
    repeatability_limit: float
    reproducibility_limit: float
    h_critical: float | None = None
    k_critical: float | None = None
    cochran: float | None = None
    cochran_critical: float | None = None
    cochran_laboratory: str = ""
    grubbs_high: float | None = None
    grubbs_low: float | None = None
    grubbs_critical: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InterlaboratoryStudy:
    """A study worked out.

    Attributes
    ----------
    table : StudyTable
        What it rests on.
    materials : tuple of MaterialStatistics
        One a material, in the order of the table.
    range_multiplier : float
        Standard deviations in r and R.
    findings : tuple of Finding
        What is worth a look before the precision is used.
    """

    table: StudyTable
    materials: tuple[MaterialStatistics, ...]
    range_multiplier: float
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class WinsorStep:
    """One step of Algorithm A.

    Attributes
    ----------
    location, scale : float
        Robust mean x* and robust standard deviation s* after the step.
    """

    location: float
    scale: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RobustMean:
    """Robust mean and standard deviation of the results of a round.

    Attributes
    ----------
    count : int
        Results.
    location, scale : float
        x* and s* by Algorithm A.
    location_standard : float
        Standard uncertainty of x*: 1.25 s*/sqrt(count).
    steps : tuple of WinsorStep
        From the start (median, 1.483 MAD) to the end.
    converged : bool
        True where neither moves any more within the stated tolerance.
    mean, standard_deviation : float
        Ordinary mean and standard deviation, to compare.
    median, scaled_deviation : float
        Median, and 1.483 times the median absolute deviation.
    normalised_quartile_range : float
        0.7413 times the distance of the quartiles.
    pulled_in : tuple of int
        Places of the results that were pulled in to x* ± 1.5 s* at the end.
    """

    count: int
    location: float
    scale: float
    location_standard: float
    steps: tuple[WinsorStep, ...]
    converged: bool
    mean: float
    standard_deviation: float
    median: float
    scaled_deviation: float
    normalised_quartile_range: float
    pulled_in: tuple[int, ...] = ()

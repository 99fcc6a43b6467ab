"""How long a test keeps a laboratory busy, and how long one waits for it.

Common practice, no source: figures to put tests in order by, not to plan a day with.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Effort:
    """What a test takes.

    Attributes
    ----------
    method : str
        What is done.
    hours : float
        Work at the bench. [h]
    wait : float
        From the start to the result. [h]
    """

    method: str
    hours: float
    wait: float


EFFORTS: dict[str, Effort] = {
    "flow": Effort("flow curve on a rotational rheometer", 2.0, 4.0),
    "shear_rate": Effort("flow curve on a rotational rheometer", 2.0, 4.0),
    "index": Effort("flow curve on a rotational rheometer", 2.0, 4.0),
    "activation_energy": Effort("viscosity at two temperatures", 2.0, 4.0),
    "warm": Effort("viscosity at two temperatures", 2.0, 4.0),
    "batch_spread": Effort("viscosity of three batches", 3.0, 24.0),
    "mixed_viscosity": Effort("viscosity of the fresh mix", 1.0, 2.0),
    "density": Effort("pycnometer", 0.5, 1.0),
    "d50": Effort("laser diffraction or sieving", 1.0, 24.0),
    "d99": Effort("laser diffraction or sieving", 1.0, 24.0),
    "volume_fraction": Effort("burning off the organic share", 1.5, 24.0),
    "mohs": Effort("a question to the maker", 0.25, 48.0),
    "shape": Effort("microscope", 0.5, 1.0),
    "crush_pressure": Effort("density before and after pressing", 2.0, 8.0),
    "bulk_modulus": Effort("weighing shots after a stop", 1.5, 4.0),
    "ratio_tolerance": Effort("a question to the maker", 0.25, 48.0),
    "constituents": Effort("safety data sheet, then soaking stator and seal", 3.0, 170.0),
    "complete": Effort("soaking stator and seal in the product", 3.0, 170.0),
    "mass_fraction": Effort("safety data sheet", 0.25, 1.0),
    "flash_point": Effort("safety data sheet", 0.25, 1.0),
    "definition": Effort("pot life at the stated temperature", 1.5, 4.0),
    "value": Effort("pot life at the stated temperature", 1.5, 4.0),
    "yield_stress": Effort("flow curve on a rotational rheometer", 2.0, 4.0),
}
"""By the last key of the field that a test settles."""

SOAK = Effort("soaking the part for 168 h", 2.0, 170.0)
"""What settles a contact that nobody has tested."""

USUAL = Effort("a test of its own", 2.0, 24.0)
"""Where no usual test is known here."""


def effort_for(field: str, *, contact: bool = False) -> Effort:
    """What it takes to settle a field of a material, or a contact.

    Examples
    --------
    >>> effort_for("component.filler.d99").hours
    1.0
    """
    if contact:
        return SOAK
    key = field.rpartition(".")[2]
    return EFFORTS.get(key, USUAL)

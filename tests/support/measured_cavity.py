"""What the shop would keep of a trial that measured one cavity of the shipped catalog."""

from configurator.workshop.head_record import HeadRecord

MEASURED = HeadRecord(
    trial="0123456789ab",
    date="2026-05-04",
    material="lid-sealant",
    side="",
    cavity="h4-0.8-4s",
    stator="epdm-l",
    rigid=False,
    verdict="accept",
    displacement_ml=0.5,
    displacement_half_ml=0.01,
    slip_ml_min=0.1,
    slip_shows=True,
    pressure_bar=5.0,
    opening_bar=1.0,
    speed_rpm=60.0,
    temperature_c=23.0,
)
"""An invented trial of one shipped cavity."""

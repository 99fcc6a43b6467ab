"""Joints of the mixers of the shipped catalog: all stated, and some pairs do not go together."""

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.catalog.parts import Mixing, Outlet, Size


def test_every_shipped_mixer_states_joints_that_some_head_and_some_tip_have():
    folder = shipped_folder()
    catalog = load_catalog(folder / "generic", substances=folder / "substances")
    sizes = [part for part in catalog.slot("size") if isinstance(part, Size)]
    tips = [part for part in catalog.slot("outlet") if isinstance(part, Outlet)]
    mixers = [
        part for part in catalog.slot("mixing") if isinstance(part, Mixing) and part.kind != "none"
    ]

    for mixer in mixers:
        heads = [size.name for size in sizes if mixer.joint in size.joints]
        outlets = [tip.name for tip in tips if tip.joint == mixer.tip_joint]
        assert heads, mixer.name
        assert 0 < len(outlets) < len(tips), mixer.name
    assert any(mixer.joint not in size.joints for mixer in mixers for size in sizes)

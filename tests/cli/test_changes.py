"""What a screening says of changes since an earlier run."""

from __future__ import annotations

from pathlib import Path

import pytest
from result_files import numbered, row, written

from configurator.cli.changes import check_against, tell_changes
from configurator.cli.main import run
from configurator.errors import InputError, UsageError


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    was = [row(), row(name="Oil", material_name="oil")]
    now = [row(state="ruled out", builds=0, catalog_sha256="9" * 12)]
    return (
        written(tmp_path / "earlier.csv", numbered(was)),
        written(tmp_path / "now.csv", numbered(now)),
    )


def test_without_a_file_changed_rows_are_printed_and_the_summary_is_told(files, capsys) -> None:
    data = tell_changes(*files, "csv", ["pour"], None)
    out, err = capsys.readouterr()

    assert out.startswith("worse: paste for pour")
    assert "gone: oil for pour" in out
    assert err.splitlines()[0].endswith("2 rows: 1 worse, 1 gone")
    assert data["counts"]["worse"] == 1


def test_with_a_file_every_row_goes_there_and_nothing_is_printed(files, tmp_path, capsys) -> None:
    path = tmp_path / "changes.csv"
    tell_changes(*files, "csv", ["pour"], path)
    out, err = capsys.readouterr()

    assert out == ""
    assert "because of the catalog: 1 worse" in err
    assert len(path.read_text(encoding="utf-8").splitlines()) == 3


def test_options_without_meaning_are_refused_before_the_work(files, tmp_path) -> None:
    earlier, now = files
    check_against(None, None, None, force=False)
    check_against(earlier, None, now, force=False)
    with pytest.raises(UsageError, match="--against"):
        check_against(None, tmp_path / "c.csv", now, force=False)
    with pytest.raises(UsageError, match="--out"):
        check_against(earlier, None, None, force=False)
    with pytest.raises(UsageError, match=r"\.csv"):
        check_against(earlier, tmp_path / "c.xls", now, force=False)
    there = tmp_path / "there.csv"
    there.touch()
    with pytest.raises(InputError, match="--force"):
        check_against(earlier, there, now, force=False)
    with pytest.raises(InputError, match="no such file"):
        check_against(tmp_path / "none.csv", None, now, force=False)


def test_a_list_under_another_name_with_a_row_above_changes_no_row_that_cannot_be_read(
    tmp_path, capsys
) -> None:
    head, sound = "name,trigger,viscosity,at\n", "Oil,none,1 Pa*s,23 degC\n"
    (tmp_path / "a.csv").write_text(head + sound + "Slip,none,ten,23 degC\n")
    (tmp_path / "b.csv").write_text(
        head + sound.replace("Oil", "Other") + sound + "Slip,none,ten,23 degC\n"
    )
    first, then = tmp_path / "first.csv", tmp_path / "then.csv"
    process = ["--process", "plug-grease", "--fail-on", "never"]

    assert run(["screen", str(tmp_path / "a.csv"), *process, "--out", str(first)]) == 0
    asked = ["screen", str(tmp_path / "b.csv"), *process, "--out", str(then)]
    assert run([*asked, "--against", str(first)]) == 0
    told = capsys.readouterr().err
    assert "1 new, 2 same" in told

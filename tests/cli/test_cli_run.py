"""``wheelgeo run`` as somebody types it."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from wheelgeo.drawing import plots
from wheelgeo_cli.common import grouped

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
BOX = DESIGNS / "box-wheel.toml"


def broken(tmp_path, old, new):
    text = BOX.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "wheel.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*-wheel.toml")), ids=lambda p: p.stem)
def test_sheet_of_every_design(type_it, path):
    code, out, err = type_it("run", path)
    assert (code, err) == (0, "")
    for words in (
        "Needed at the", "pull at rest", "Full speed in", "first critical", "bore true to",
    ):  # fmt: skip
        assert words in out
    assert not re.search(r"\b(nan|inf)\b", out)
    assert "Assumed, because the file does not say:" in out


def test_json_is_one_document_and_nothing_else(type_it):
    code, out, err = type_it("run", BOX, "--json")
    assert (code, err) == (0, "")
    facts = json.loads(out)
    assert {"tension", "load", "start", "spindle", "balance", "rim"} <= set(facts)


def test_sheet_and_document_agree(type_it):
    facts = json.loads(type_it("run", BOX, "--json")[1])
    sheet = type_it("run", BOX)[1]
    assert f"{facts['load']['force_n']:.1f} N" in sheet
    assert f"Full speed in {facts['start']['time_s']:.1f} s" in sheet
    assert grouped(facts["spindle"]["cop"][0]["critical_rpm"][0]) + " rpm" in sheet
    for band in facts["tension"]:
        assert f"{band['rest_n']:.2f} N" in sheet


def test_a_wheel_that_slips_is_told_so(type_it, tmp_path):
    path = broken(tmp_path, 'stretch = "1 %"', 'stretch = "0.1 %"')
    code, out, _ = type_it("run", path)
    assert code == 0
    assert re.search(r"FAULT\s+slip", out)
    assert "does not come up to speed" in " ".join(out.split())
    code, out, _ = type_it("check", path)
    assert code == 1
    assert "slip" in out


def test_a_pull_that_is_not_known(type_it, tmp_path):
    path = broken(tmp_path, 'slip = "1 %"', 'slip = "1 %"\ntension = { weight = "300 g" }')
    text = path.read_text(encoding="utf-8").replace('stretch = "1 %"', "", 1)
    path.write_text(text, encoding="utf-8")
    code, out, _ = type_it("run", path)
    assert code == 0
    assert "cannot be computed" in " ".join(out.split())
    facts = json.loads(type_it("run", path, "--json")[1])
    assert facts["load"]["torque_nm"] is None


def test_plots(type_it, tmp_path):
    folder = tmp_path / "plots"
    code, out, _ = type_it("run", BOX, "--plot", folder)
    assert code == 0
    drawn = sorted(p.name for p in folder.iterdir())
    assert drawn == ["critical-speed.png", "start.png"]
    assert all(p.read_bytes().startswith(b"\x89PNG") for p in folder.iterdir())
    assert "Drawn:" in out


def test_plots_are_the_same_each_time(type_it, tmp_path):
    for name in ("a", "b"):
        type_it("run", BOX, "--plot", tmp_path / name)
    for file in ("critical-speed.png", "start.png"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


def test_an_interrupt_while_it_draws_leaves_no_folder(type_it, tmp_path, monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(plots, "_whirl", interrupted)
    assert type_it("run", BOX, "--plot", tmp_path / "plots") == (130, "", "")
    assert list(tmp_path.iterdir()) == []


def test_a_plot_that_cannot_be_written_leaves_no_folder(type_it, tmp_path, monkeypatch):
    monkeypatch.setattr(plots, "START_FILE", "x" * 300)
    code, out, err = type_it("run", BOX, "--plot", tmp_path / "new" / "plots")
    assert (code, out) == (2, "")
    assert "cannot" in err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made(type_it, tmp_path):
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    code, out, err = type_it("run", BOX, "--plot", tmp_path / "taken")
    assert code == 2
    assert out == ""
    assert "taken" in err


def test_a_file_at_fault(type_it, tmp_path):
    code, out, err = type_it("run", broken(tmp_path, "diameter = 8", "diametre = 8"))
    assert (code, out) == (2, "")
    assert "diameter" in err
    assert "Traceback" not in err


def test_solving_needs_no_heavy_library():
    # speeds alone must not wait for what the start and the spindle need
    code = (
        "import sys; from pathlib import Path; from wheelgeo.design.reader import read_design;"
        "from wheelgeo.check.report import check_design;"
        f"check_design(read_design(Path({str(BOX)!r})));"
        "sys.exit('scipy' in sys.modules or 'matplotlib' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

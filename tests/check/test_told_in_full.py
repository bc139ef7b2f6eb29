"""What findings and remedies say in inches is turned from lengths that nobody has rounded."""

import json

import pytest

import wheelgeo
from wheelgeo.check.finding import advice
from wheelgeo.design.library import design_text, shipped_designs
from wheelgeo.drive.slides import take_up
from wheelgeo.units import in_inches
from wheelgeo.units.in_full import full
from wheelgeo.units.written import told_in


def test_a_remedy_says_its_lengths_as_a_finding_does():
    says = advice(f"make it {full(19.45, 0)} mm wider")(None)
    with pytest.raises(StopIteration) as ended:
        next(says)
    assert told_in(ended.value.value.says, "in/64") == "make it 49/64 in wider"


@pytest.mark.parametrize("name", shipped_designs())
def test_what_a_band_grows_reads_as_elsewhere_and_no_length_is_told_in_full(name):
    answer = wheelgeo.read(design_text(name)).check()
    for finding in (f for f in answer.findings if f.rule == "no-take-up"):
        grows = take_up(answer.solution, finding.where.split('"')[1]).growth_mm
        assert f"grows by some {in_inches(grows)} in its" in told_in(finding.says, "in/64")
    assert "~" not in json.dumps(answer.to_json(), ensure_ascii=False)

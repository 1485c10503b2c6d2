"""Every figure opens to its inputs: the formula's text, evaluated from them, gives the figure."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.estimate.box import estimate_job
from corelib.estimate.formula import evaluate, names_in
from corelib.estimate.lines import Line, total
from tests.estimate.made import block_estimate


def test_each_line_is_its_formula():
    box = block_estimate()
    job = estimate_job([box, block_estimate(box=1)])
    lines = (*box.lines, *job.lines, *box.core_kg.values())
    assert len(lines) > 80
    for line in lines:
        assert set(names_in(line.formula)) <= set(line.inputs), line.code
        assert evaluate(line.formula, line.inputs) == pytest.approx(line.value, rel=1e-12, abs=1e-12), (
            line.code
        )


def test_lines_that_read_other_lines_read_their_values():
    box = block_estimate()
    values = {line.code: line.value for line in box.lines}
    shared = [
        (line.code, name) for line in box.lines for name in line.inputs if name in values and not line.parts
    ]
    assert len(shared) > 30
    for line in box.lines:
        for name, value in line.inputs.items():
            if name in values:
                assert value == values[name], (line.code, name)


def test_job_lines_are_sums_of_their_boxes():
    boxes = [block_estimate(box=number) for number in range(3)]
    for line in estimate_job(boxes).lines:
        assert line.value == math.fsum(part.value for part in line.parts)


@given(st.lists(st.floats(-1e6, 1e6), max_size=20))
def test_total_adds_exactly_in_any_order(values):
    parts = [Line(f"part_{n}", value, "kg", "given") for n, value in enumerate(values)]
    line = total("sum", "kg", parts)
    assert line.value == total("sum", "kg", reversed(parts)).value == math.fsum(values)


def test_total_refuses_mixed_units():
    with pytest.raises(ValueError, match="not all in kg"):
        total("sum", "kg", [Line("a", 1.0, "kg", ""), Line("b", 1.0, "L", "")])


def test_profile_fields_name_what_went_in():
    box = block_estimate()
    assert box.printed.binder_drawn_kg.profile_fields == tuple(
        sorted(box.printed.binder_drawn_kg.profile_fields)
    )
    assert "binder.density_g_cm3" in box.printed.binder_drawn_kg.profile_fields


def test_formula_refuses_what_is_no_arithmetic():
    for text in ("__import__('os')", "a ** 2", "a if b else c", "'text'", "open(a)"):
        with pytest.raises(ValueError, match="not part of a formula"):
            evaluate(text, {"a": 1.0, "b": 1.0, "c": 1.0})


def test_document_is_plain():
    document = block_estimate().time.build_s.document()
    assert document["code"] == "build_s"
    assert [part["code"] for part in document["parts"]] == ["warm_up_s", "printing_s"]

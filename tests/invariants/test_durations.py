"""A job done within its stated durations never needs more than its sheet says."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.invariants.made_up import Case, cases
from tests.invariants.test_missing import levels

FEW = settings(max_examples=12, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
#: Of a planned time.
QUICK, SLOW = 2 / 3, 3 / 2


def _lasting(case: Case, times: list[list[float]]) -> Case:
    def change(other: Case) -> None:
        for step, span in zip(other.job["step"], times, strict=True):
            step["duration"] = [f"{minutes:.6f} min" for minutes in span]

    return case.changed(change)


@FEW
@given(cases(), st.data())
def test_what_is_done_between_the_ends_asks_for_no_more(case: Case, data: st.DataObject) -> None:
    """Each step anywhere between its ends, or at one of them, whatever the others do."""
    planned = [float(str(step["duration"]).split()[0]) for step in case.job["step"]]
    pace = st.one_of(st.sampled_from((QUICK, 1.0, SLOW)), st.floats(QUICK, SLOW))
    paces = [data.draw(pace) for _ in planned]
    stated = levels(_lasting(case, [[t * QUICK, t * SLOW] for t in planned]).assess())
    done = levels(_lasting(case, [[t * p, t * p] for t, p in zip(planned, paces, strict=True)]).assess())
    for key, level in done.items():
        assert stated.get(key, -1) >= level, (key, paces)

"""Every quantity at the ends of what its schema allows: an answer or a refusal with a position, in bounded time."""

from __future__ import annotations

import pytest
from bounds import every_bound
from trial import TooSlowError, outcome

from dossier.buildfile.fields import every_field


@pytest.mark.long
def test_bounds_are_found() -> None:
    """The sweep reaches most quantities of the format; the rest have no bounds or stand in no build of ours."""
    bounded = {".".join(path) for path, field in every_field().items() if field.bounds}
    reached = {one.field for one in every_bound()}
    assert len(reached & bounded) > 0.9 * len(bounded)


@pytest.mark.long
def test_every_bound() -> None:
    """At its lowest and its highest value every quantity is refused at its line, or the build computes."""
    failures = []
    for one in every_bound():
        try:
            outcome(one.text, whole=False)
        except (Exception, TooSlowError) as problem:  # all of them are shown
            failures.append(f"{one.name}: {type(problem).__name__}: {problem}")
    assert not failures, "\n".join(failures)

"""Mutants of valid build files, counted: an answer or a refusal with a position, quickly, in bounded memory."""

from __future__ import annotations

import multiprocessing
import resource
import sys
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mutants import NUMBERS, SCALARS, UNITS, mutants, single_cases
from trial import outcome, tally

from dossier.buildfile.starters import STARTERS

FEW = 60
MANY = 20_000
SHARES = 8  # parts of the long run, each with its own seed
MOST_MEMORY = 700  # MB of a process after its share
_MB = 1024 if sys.platform == "linux" else 1024 * 1024  # ru_maxrss counts kB on Linux, bytes elsewhere


def share(seed: int) -> tuple[Counter[str], list[tuple[str, bytes]], float]:
    """One part of the long run in its own process: counts, failures, and the most memory it took [MB]."""
    counts, failures = tally(mutants(MANY // SHARES, seed))
    return counts, failures, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / _MB


def shown(failures: list[tuple[str, bytes]]) -> str:
    """The failures by kind, and the first mutant of each in full."""
    first: dict[str, bytes] = {}
    for problem, text in failures:
        first.setdefault(problem, text)
    return "\n\n".join(f"{problem}\n{text.decode('utf-8', 'replace')}" for problem, text in first.items())


@pytest.mark.parametrize("text", single_cases(), ids=lambda text: text[:40].replace("\n", " "))
@pytest.mark.sweep(7)
def test_seeds_are_valid(text: str) -> None:
    """What mutants come from computes: otherwise they would only try the reader."""
    assert outcome(text.encode()) == "computed"


def test_few_mutants() -> None:
    """A few mutants with a fixed seed: no traceback, none over five seconds; some compute, most are refused."""
    counts, failures = tally(mutants(FEW, seed=20261))
    assert not failures, shown(failures)
    assert counts["computed"] >= FEW // 20
    assert counts["refused"] >= FEW // 4


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.sampled_from(single_cases()),
    st.floats(0, 1, exclude_max=True),
    st.one_of(
        st.sampled_from(SCALARS),
        st.tuples(st.sampled_from(NUMBERS), st.sampled_from(UNITS)).map(" ".join),
        st.text(max_size=30),
    ),
)
def test_one_line_replaced(text: str, where: float, value: str) -> None:
    """Any one value may be any text: the build is refused where it stands, or computed."""
    lines = text.split("\n")
    at = int(where * len(lines))
    lines[at] = f"{lines[at].partition(':')[0]}: {value}"
    outcome("\n".join(lines).encode("utf-8", "replace"))


@pytest.mark.endurance
def test_many_mutants() -> None:
    """Twenty thousand mutants on two cores: no traceback, no hang, memory bounded."""
    with multiprocessing.get_context("spawn").Pool(2, maxtasksperchild=1) as pool:
        parts = pool.map(share, range(SHARES), chunksize=1)
    failures = [failure for _, found, _ in parts for failure in found]
    counts = sum((part[0] for part in parts), Counter())
    print(f"\nmutants: {dict(counts)}; most memory {max(part[2] for part in parts):.0f} MB")
    assert not failures, shown(failures)
    assert counts.total() == MANY
    assert max(part[2] for part in parts) < MOST_MEMORY


def test_starters_are_known() -> None:
    """Every starting point is among the seeds."""
    assert len(single_cases()) > len(STARTERS)

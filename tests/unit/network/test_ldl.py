"""The sparse factorisation against dense linear algebra."""

import random

import numpy as np
import pytest

from electrical.core.network.ldl import (
    Factor,
    Pattern,
    analyse,
    factorise,
    pattern_of,
    solve_in_place,
)

Pairs = dict[tuple[int, int], float]


def conductances(seed: int, size: int) -> tuple[Pairs, list[float]]:
    """A connected random net with some conductance to ground at each unknown."""
    rng = random.Random(seed)
    pairs = {(rng.randrange(k), k): 10 ** rng.uniform(-2, 4) for k in range(1, size)}
    for _ in range(size // 2):
        one, other = sorted(rng.sample(range(size), 2))
        pairs[one, other] = 10 ** rng.uniform(-2, 4)
    return pairs, [10 ** rng.uniform(-3, 2) for _ in range(size)]


def dense(pairs: Pairs, ground: list[float]) -> np.ndarray:
    matrix = np.diag(np.array(ground))
    for (one, other), siemens in pairs.items():
        matrix[one, one] += siemens
        matrix[other, other] += siemens
        matrix[one, other] -= siemens
        matrix[other, one] -= siemens
    return matrix


def sparse(pattern: Pattern, matrix: np.ndarray, pairs: Pairs) -> Factor | int:
    diagonal = [0.0] * pattern.size
    values = [0.0] * len(pattern.rows)
    for unknown, place in enumerate(pattern.position):
        diagonal[place] = float(matrix[unknown, unknown])
    for one, other in pairs:
        values[pattern.entry(one, other)] = float(matrix[one, other])
    return factorise(pattern, diagonal, values)


@pytest.mark.parametrize("seed", range(20))
def test_solution_is_that_of_dense_algebra(seed: int) -> None:
    size = 2 + 3 * seed
    pairs, ground = conductances(seed, size)
    matrix = dense(pairs, ground)
    pattern = analyse(size, pairs)
    factor = sparse(pattern, matrix, pairs)
    assert isinstance(factor, Factor)
    wanted = np.random.default_rng(seed).normal(size=size)
    rhs = [0.0] * size
    for unknown, place in enumerate(pattern.position):
        rhs[place] = float((matrix @ wanted)[unknown])
    found = solve_in_place(factor, rhs)
    by_unknown = [found[place] for place in pattern.position]
    assert by_unknown == pytest.approx(wanted, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("seed", range(10))
def test_pivots_are_above_zero_just_when_the_matrix_is_positive_definite(seed: int) -> None:
    pairs, ground = conductances(seed, 12)
    matrix = dense(pairs, ground)
    least = float(np.linalg.eigvalsh(matrix)[0])
    for shift, is_definite in ((0.5 * least, True), (1.5 * least, False)):
        factor = sparse(analyse(12, pairs), matrix - shift * np.eye(12), pairs)
        assert isinstance(factor, Factor) is is_definite


def test_a_chain_and_a_star_have_no_fill() -> None:
    chain = [(k, k + 1) for k in range(30)]
    star = [(0, k) for k in range(1, 31)]
    assert len(analyse(31, chain).rows) == 30
    assert len(analyse(31, star).rows) == 30


def test_nothing_to_solve_is_solved() -> None:
    factor = factorise(analyse(0, []), [], [])
    assert isinstance(factor, Factor)
    assert solve_in_place(factor, []) == []


def test_a_pattern_is_worked_out_once() -> None:
    pairs = ((0, 1), (1, 2), (2, 3), (3, 0))
    assert pattern_of(4, pairs) is pattern_of(4, tuple(pairs))

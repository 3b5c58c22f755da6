from __future__ import annotations

import numpy as np
import pytest

from livery.colour.mixing.products import product


@pytest.mark.parametrize("shape", [(5,), (0, 5), (1, 5), (63, 5), (64, 5), (129, 5), (3, 70, 5)])
def test_the_same_as_the_plain_product(shape: tuple[int, ...]) -> None:
    rng = np.random.default_rng(1)
    tall, small = rng.normal(size=shape), rng.normal(size=(5, 3))
    assert product(tall, small) == pytest.approx(tall @ small, abs=1e-12)
    assert product(tall, small).shape == (*shape[:-1], 3)

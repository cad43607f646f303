"""Gamma regression against published fits of the clotting times.

Data: P. McCullagh & J. A. Nelder, Generalized Linear Models, 2nd ed. (1989), pp. 300-302.
"""

import numpy as np
import pytest

from estimator.record.backtest.rivals import learn_gamma


def test_clotting_times_with_a_log_link(published):
    """Published run of GLM.jl's tests: 5.50322528, -0.60191618, deviance .16260829; settled further: 5.5032302, -0.6019177."""
    t = published("clotting")
    u, y = np.log(t["u"]), t["lot1"]
    fit = learn_gamma(u, y, link="log")
    means = fit.means(u)
    deviance = 2 * float(((y - means) / means - np.log(y / means)).sum())

    assert fit.coefficients == pytest.approx([5.5032302, -0.6019177], abs=1e-7)
    assert fit.coefficients == pytest.approx([5.50322528, -0.60191618], abs=1e-5)
    assert fit.standard_errors == pytest.approx([0.1903, 0.05531], abs=5e-5)
    assert deviance == pytest.approx(0.16260829, abs=1e-8)
    assert fit.dispersion == pytest.approx(0.0243544, abs=1e-6)

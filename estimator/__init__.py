"""estimator: how long the next board will honestly take, from a workshop's own log."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from estimator.regress.regressor import HoursRegressor
    from estimator.shop import Shop

__all__ = ["HoursRegressor", "Shop"]
__version__ = "0.2.0"


def __getattr__(name: str) -> Any:
    """The public names, imported when first asked for (PEP 562), so that start-up stays quick."""
    if name == "Shop":
        from estimator.shop import Shop

        return Shop
    if name == "HoursRegressor":
        from estimator.regress.regressor import HoursRegressor

        return HoursRegressor
    raise AttributeError(f"module 'estimator' has no attribute {name!r}")

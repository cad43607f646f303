"""One thread of linear algebra each, in two processes on two cores; and no test fails because a machine is busy."""

import os

from hypothesis import HealthCheck, settings

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(name, "1")
os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")

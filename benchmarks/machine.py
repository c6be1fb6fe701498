"""What a time was taken on, and how: medians of repeats, garbage collection off."""

import gc
import os
import platform
from collections.abc import Callable
from statistics import median
from time import perf_counter, process_time

import numpy as np


def facts() -> list[str]:
    """Python, NumPy, the linear algebra kernel, cores and what else keeps them busy."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return [
        f"Python {platform.python_version()}, NumPy {np.__version__}, Numba {_numba()}",
        f"linear algebra: {_kernel()}",
        f"{platform.system()} {platform.machine()}, {cores} cores, load {os.getloadavg()[0]:.2f}",
    ]


def seconds(run: Callable[[], object], repeats: int = 15) -> float:
    """Median wall time of `run` once warm, s."""
    run()
    return median(_once(run) for _ in range(repeats))


def _once(run: Callable[[], object]) -> float:
    gc.collect()
    gc.disable()
    start = perf_counter()
    run()
    found = perf_counter() - start
    gc.enable()
    return found


def work(run: Callable[[], object]) -> float:
    """s of the processor alone: what a server needs, whoever else is busy."""
    start = process_time()
    run()
    return process_time() - start


def _numba() -> str:
    try:
        import numba
    except ImportError:
        return "absent"
    return str(numba.__version__)


def _kernel() -> str:
    try:
        from threadpoolctl import threadpool_info
    except ImportError:
        return "unknown (threadpoolctl absent)"
    pools = threadpool_info()
    found = [
        f"{pool['internal_api']} {pool.get('version')} {pool.get('architecture', '')}"
        f" x{pool['num_threads']}"
        for pool in pools
        if pool["user_api"] == "blas"
    ]
    return ", ".join(found) or "unknown"

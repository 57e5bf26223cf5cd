"""What this machine's arithmetic can do: the limit that a kernel's time is held against.

Each kernel below works through a block that stays in the nearest cache, on 64-bit numbers, compiled the same
way as ours (numba), but told to use the processor's widest registers. The limit of a piece of work is the
longer of two times, as if multiply-adds and the divider overlapped without a gap: no real code reaches it, so
the share printed is rather too low than too high.
"""

import functools
import json
import math
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import asdict
from typing import Final

import llvmlite.binding
import numba
import numpy as np
import numpy.typing as npt

from benchmarks.harness import REPOSITORY, Limit, seconds_of

BLOCK: Final = 1024
"""Numbers per thread: 8 KiB, a quarter of the smallest first-level cache in use."""
FUSED_PER_NUMBER: Final = 32
ROUNDS: Final = 20_000
REPEATS: Final = 7

Block = npt.NDArray[np.float64]


@numba.njit(cache=True, fastmath={"contract"}, parallel=True)
def _fused(blocks: Block, rounds: int) -> float:
    """Two chains of 16 dependent multiply-adds on each number, many numbers at once; a row for each thread.

    Two chains, because with one the compiler keeps too few going to hide the time each takes.
    """
    for row in numba.prange(blocks.shape[0]):
        block = blocks[row]
        for _ in range(rounds):
            for i in range(block.shape[0]):
                x = block[i]
                y, z = x, 0.5 * x
                for _ in range(FUSED_PER_NUMBER // 2):
                    y = y * x + 0.25
                    z = z * x + 0.125
                block[i] = y - z
    return blocks[0, 0]  # type: ignore[no-any-return]


@numba.njit(cache=True, parallel=True)
def _divisions(blocks: Block, rounds: int) -> float:
    for row in numba.prange(blocks.shape[0]):
        block = blocks[row]
        for _ in range(rounds):
            for i in range(block.shape[0]):
                block[i] = 1.5 / block[i]
    return blocks[0, 0]  # type: ignore[no-any-return]


@numba.njit(cache=True, parallel=True)
def _roots(blocks: Block, rounds: int) -> float:
    for row in numba.prange(blocks.shape[0]):
        block = blocks[row]
        for _ in range(rounds):
            for i in range(block.shape[0]):
                block[i] = math.sqrt(block[i])
    return blocks[0, 0]  # type: ignore[no-any-return]


def _best(kernel: Callable[[Block, int], float], cores: int, rounds: int) -> float:
    blocks = np.full((cores, BLOCK), 0.5)
    kernel(blocks, 1)
    return min(seconds_of(lambda: kernel(blocks, rounds)) for _ in range(REPEATS))


def measured_here(cores: int) -> Limit:
    """Measure multiply-adds, divisions and square roots on so many cores at once, in this process."""
    numba.set_num_threads(cores)
    each = cores * BLOCK * ROUNDS
    return Limit(
        cores=cores,
        fused=_best(_fused, cores, ROUNDS) / (each * FUSED_PER_NUMBER),
        division=_best(_divisions, cores, ROUNDS) / each,
        root=_best(_roots, cores, ROUNDS) / each,
    )


def widest_registers() -> dict[str, str]:
    """Settings under which the compiler uses the widest registers.

    It keeps to half of them on processors that once slowed down for the full width; the limit of the
    machine is with all of it.
    """
    features = llvmlite.binding.get_host_cpu_features()
    if not features.get("avx512f"):
        return {}
    switched = [f"{'+' if present else '-'}{feature}" for feature, present in features.items()]
    return {
        "NUMBA_CPU_NAME": llvmlite.binding.get_host_cpu_name(),
        "NUMBA_CPU_FEATURES": ",".join([*switched, "-prefer-256-bit"]),
    }


@functools.cache
def machine_limit(cores: int) -> Limit:
    """The machine's limit on so many cores, measured in a process of its own (some three seconds)."""
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.machine", str(cores)],
        cwd=REPOSITORY,
        env={**os.environ, **widest_registers()},
        stdout=subprocess.PIPE,
        check=True,
    )
    return Limit(**json.loads(done.stdout))


if __name__ == "__main__":
    print(json.dumps(asdict(measured_here(int(sys.argv[1])))))

"""Spoilt files into every reader of a file from outside, counted.

Run by ``PYTHONPATH=. python tests/bench/report_fuzz.py --inputs 100000``. Each input is a sound
file with some places written over, by its own seed: ``--first N --inputs 1`` reads input N again.
"""

import argparse
import random
import resource
import time
import traceback
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from rules.harmless import harmless
from tests.profiles.test_hostile_files import FRAGMENTS, READERS, REFUSED
from tests.support.hostile import is_harmless

LONGEST_S = 2.0
NAMES = tuple(READERS)


def spoilt(seed: int) -> tuple[str, bytes]:
    """Return the reader of a seed and the content that it is given."""
    rng = random.Random(seed)
    name = NAMES[seed % len(NAMES)]
    sound = READERS[name][0]
    data = sound if isinstance(sound, bytes) else sound.encode()
    for _ in range(rng.randint(1, 4)):
        at = rng.randint(0, len(data))
        new = rng.choice(FRAGMENTS) if rng.random() < 0.6 else rng.randbytes(rng.randint(0, 6))
        data = data[:at] + new + data[at + rng.randint(0, 12) :]
    return name, data


def main() -> None:
    """Read inputs and report."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--first", type=int, default=0)
    ask.add_argument("--inputs", type=int, default=2000)
    told = ask.parse_args()
    found: Counter[str] = Counter()
    longest = 0.0
    with TemporaryDirectory() as folder:
        for seed in range(told.first, told.first + told.inputs):
            name, content = spoilt(seed)
            path = Path(folder) / "file.x"
            path.write_bytes(content)
            begun = time.process_time()
            try:
                READERS[name][1](path)
                found["read"] += 1
            except REFUSED as error:
                found["refused"] += 1
                found["raw"] += not is_harmless(harmless(str(error)))
            except Exception:
                found["tracebacks"] += 1
                print(f"input {seed}, {name}:\n{traceback.format_exc()}", flush=True)
            took = time.process_time() - begun
            longest = max(longest, took)
            found["over 2 s"] += took > LONGEST_S
            found["changed"] += path.read_bytes() != content
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    told_of = ("read", "refused", "tracebacks", "over 2 s", "changed", "raw")
    print(", ".join(f"{found[one]} {one}" for one in told_of))
    print(f"the longest took {longest:.2f} s of CPU; the most memory was {most:.0f} MB")


if __name__ == "__main__":
    main()

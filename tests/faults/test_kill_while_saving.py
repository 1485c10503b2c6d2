"""Kills a process at random moments while it saves: no file is ever a mix, no acknowledged save is lost."""

import os
import random
import signal
import subprocess
import sys
import time

import pytest

SAVER = """
import sys
from pathlib import Path
from corelib.files import write_atomic
target = Path(sys.argv[1])
number = 0
while True:
    number += 1
    write_atomic(target, (f"{number} " * 20_000).encode())
    print(number, flush=True)
"""
KILLS = int(os.environ.get("CORESTOW_KILLS", "5"))


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is a POSIX signal")
def test_a_killed_save_leaves_one_whole_version(tmp_path):
    moments = random.Random(20261125)
    target = tmp_path / "job.json"
    for _ in range(KILLS):
        process = subprocess.Popen([sys.executable, "-c", SAVER, str(target)], stdout=subprocess.PIPE)
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(moments.uniform(0, 0.05))
        process.send_signal(signal.SIGKILL)
        rest = process.communicate()[0].split()
        acknowledged = int(rest[-1]) if rest else 1
        numbers = target.read_text(encoding="utf-8").split()
        assert len(numbers) == 20_000
        assert set(numbers) in ({str(acknowledged)}, {str(acknowledged + 1)})

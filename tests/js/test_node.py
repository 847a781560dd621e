import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent


@pytest.mark.skipif(
    shutil.which("node") is None,
    reason="Node.js is not installed; the browser tests run the same modules",
)
def test_the_phones_modules_pass_their_own_tests():
    run = subprocess.run(
        ["node", "--test", *map(str, HERE.glob("*.test.mjs"))],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )

    assert run.returncode == 0, run.stdout + run.stderr

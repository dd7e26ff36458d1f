"""Reading sheets is quick, and who reads none does not wait for the grammar."""

from __future__ import annotations

import subprocess
import sys
import time

from steadypoint.circuit import arrangement, read_sheet, write_sheet


def test_import_of_circuit_loads_no_lark():
    code = "import sys, steadypoint.circuit as c; c.arrangements(); print('lark' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_sheet_reads_in_milliseconds():
    sheet = arrangement("cascode").sheet
    read_sheet(sheet)
    best = min(_seconds(read_sheet, sheet) for _ in range(20))
    # Measured 1.1 ms on a machine of two shared cores; the bound leaves room for a busy one.
    assert best < 0.010


def test_a_long_sheet_stays_linear():
    lines = ["VCC = 9 V"]
    lines += [f"from VCC through R{i} 1k, R{i}b 2k to ground" for i in range(1, 1001)]
    circuit = read_sheet("\n".join(lines))
    assert len(circuit.parts) == 2001
    assert _seconds(read_sheet, "\n".join(lines)) < 2.0
    assert _seconds(write_sheet, circuit) < 1.0


def _seconds(function, argument) -> float:
    start = time.process_time()
    function(argument)
    return time.process_time() - start

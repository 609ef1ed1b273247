"""The runs of `cargo xtask bench loss` by SciPy: reads bands with the engine's time and a sample of their runs as JSON Lines, solves
each run of the sample again by DOP853 at the solver's own default limits (as quick as it is), compares every answer, and then the
time of one run. Exit code 1 when an answer differs.
"""

import json
import sys
import time

from drops import solve

GOAL = {"ms": 200.0, "ratio": 500.0}

failed = False
print("| band | ms for all runs | goal 200 | us a run | SciPy, us a run | times faster | goal 500 |")
print("|---|---|---|---|---|---|---|")
for line in sys.stdin:
    band = json.loads(line)
    if not band["sample"]:
        print(f"| {band['name']} | {band['ms']:.0f} | | {band['ms'] * 1e3 / band['runs']:.1f} | | | |")
        continue
    for case in band["sample"][:3]:
        solve(case, tight_limits=False)
    began = time.perf_counter()
    answers = [solve(case, tight_limits=False) for case in band["sample"]]
    theirs = (time.perf_counter() - began) / len(answers) * 1e6
    for case, answer in zip(band["sample"], answers):
        # By its own limits SciPy is not nearer than some millimetres.
        if abs(answer["fall"] - case["fall"]) > 0.02 * max(1.0, case["fall"]):
            failed = True
            print(f"DIFFERS: {case['fall']} m, SciPy {answer['fall']} m: {case}")
    ours = band["ms"] * 1e3 / band["runs"]
    ratio = theirs / ours
    print(
        f"| {band['name']} | {band['ms']:.0f} | {'met' if band['ms'] <= GOAL['ms'] else 'NOT met'} | {ours:.1f} | {theirs:.0f} "
        f"| {ratio:.0f} | {'met' if ratio >= GOAL['ratio'] else 'NOT met'} |"
    )
sys.exit(1 if failed else 0)

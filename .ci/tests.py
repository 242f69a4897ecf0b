"""Reads `go test -json` from stdin: prints what failed, packages with their time and the slowest tests.

Exit status 1 where a test failed or, with POINTUP_NO_SKIP set, where one was skipped that is not named
in it: a check that did not run is none. Names in POINTUP_NO_SKIP are of tests that run elsewhere.
"""
import json
import os
import sys

says, failed, skipped, packages, tests = {}, [], [], [], []
for line in sys.stdin:
    try:
        event = json.loads(line)
    except json.JSONDecodeError:
        print(line, end="")
        continue
    action, name = event["Action"], (event.get("Package", ""), event.get("Test", ""))
    if action == "output":
        says.setdefault(name, []).append(event["Output"])
    elif action == "build-output":
        print(event["Output"], end="")
    elif action in ("pass", "fail", "skip"):
        if action == "fail":
            failed.append(name)
        if action == "skip" and name[1]:
            skipped.append(name)
        if name[1]:
            tests.append((event["Elapsed"], *name))
        else:
            packages.append((event.get("Elapsed", 0), name[0], action))
            print(f"{action:5} {event.get('Elapsed', 0):7.1f} s  {name[0]}", flush=True)

print("slowest:")
for seconds, package, test in sorted((t for t in tests if "/" not in t[2]), reverse=True)[:12]:
    print(f"      {seconds:7.1f} s  {package} {test}")
for name in failed:
    print("FAILED", *name)
    print("".join(says.get(name, [])), end="")
elsewhere = os.environ.get("POINTUP_NO_SKIP")
refused = [] if elsewhere is None else [s for s in skipped if s[1] not in elsewhere.split()]
for name in skipped:
    print("not run" if name in refused else "skipped", *name)
    print("".join(says.get(name, [])), end="")
sys.exit(1 if failed or refused or not packages else 0)

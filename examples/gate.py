#!/usr/bin/env python3
"""Posts a layout and conditions to HeatSpread and gates on the verdict.

    gate.py LAYOUT.json CONDITIONS.json [--service URL] [--pitch MM] [--hottest LAYER]

Exit code 0: within all limits; 1: over a limit; 2: no solution (the faults are printed).
Needs Python 3.9; numpy only for --hottest, which reads the temperatures themselves. An API key is taken from HEATSPREAD_KEY.
"""
import argparse
import io
import json
import os
import sys
import time
import urllib.error
import urllib.request


def call(service, path, body=None, prefer=None):
    """Status, headers and body of one request; a problem is no exception here."""
    headers = {"Accept": "application/json, */*"}
    if os.environ.get("HEATSPREAD_KEY"):
        headers["Authorization"] = "Bearer " + os.environ["HEATSPREAD_KEY"]
    if body is not None:
        headers["Content-Type"] = "application/json"
    if prefer:
        headers["Prefer"] = prefer
    request = urllib.request.Request(service + path, data=None if body is None else json.dumps(body).encode(), headers=headers)
    try:
        with urllib.request.urlopen(request) as answer:
            return answer.status, answer.headers, answer.read()
    except urllib.error.HTTPError as fault:
        return fault.code, fault.headers, fault.read()


def solve(service, request):
    """Waits as long as it takes: a busy service is asked again, a long solve looked after at its place."""
    while True:
        status, headers, content = call(service, "/v1/solutions", request, prefer="respond-async, wait=20")
        if status != 429:
            break
        time.sleep(int(headers.get("Retry-After", "2")))
    answer = json.loads(content)
    while status in (200, 202) and answer.get("state") in ("queued", "running"):
        time.sleep(0.5)
        status, _, content = call(service, "/v1/solutions/" + answer["id"])
        answer = json.loads(content)
    return answer


def main():
    arguments = argparse.ArgumentParser(description="Gates on the verdict of HeatSpread.")
    arguments.add_argument("layout")
    arguments.add_argument("conditions")
    arguments.add_argument("--service", default="http://127.0.0.1:5080")
    arguments.add_argument("--pitch", type=float, help="pitch of the grid, mm; without it the service chooses")
    arguments.add_argument("--hottest", metavar="LAYER", help="tell the hottest cell of a layer, from its array")
    given = arguments.parse_args()
    with open(given.layout, encoding="utf-8") as layout, open(given.conditions, encoding="utf-8") as conditions:
        request = {"layout": json.load(layout), "conditions": json.load(conditions)}
    if given.pitch:
        request["grid"] = {"pitchMm": given.pitch}

    answer = solve(given.service, request)
    if answer.get("state") != "solved":
        problem = answer.get("problem") or answer
        print(problem.get("detail"), file=sys.stderr)
        for fault in problem.get("errors", []):
            print(f"  {fault['pointer']}: {fault['detail']}", file=sys.stderr)
        return 2

    for part in answer["parts"]:
        limit = part["limitCelsius"]
        print(f"{part['id']:8} {part['maxCelsius']:7.1f} °C" + (f"  limit {limit:g} °C" if limit is not None else ""))
    if given.hottest:
        import numpy
        _, _, content = call(given.service, f"/v1/solutions/{answer['id']}/layers/{given.hottest}.npy")
        celsius = numpy.load(io.BytesIO(content))
        row, column = numpy.unravel_index(numpy.nanargmax(celsius), celsius.shape)
        grid = next(layer["grid"] for layer in answer["layers"] if layer["name"] == given.hottest)
        x, y = (grid["origin"][k] + (index + 0.5) * grid["pitchMm"][k] for k, index in enumerate((column, row)))
        print(f"{given.hottest} is hottest at x = {x:.2f} mm, y = {y:.2f} mm: {celsius[row, column]:.1f} °C")
    for reason in answer["verdict"]["reasons"]:
        print(reason)
    print("pass" if answer["verdict"]["pass"] else "fail")
    return 0 if answer["verdict"]["pass"] else 1


if __name__ == "__main__":
    sys.exit(main())

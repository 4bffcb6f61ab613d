#!/usr/bin/python3
"""Integrals of products of piecewise-linear spectra by SciPy, for comparison.

Repeat with Debian's python3-scipy:

    apt-get install python3-scipy
    /usr/bin/python3 spectral/testdata/compare_integrals.py > spectral/testdata/integrals.json
    go test ./spectral -run SciPy

Each case holds its own knots, so the comparison needs nothing else. SciPy's
adaptive quadrature (QUADPACK) is run between neighbouring knots of the union
of the grids on numpy.interp of each spectrum; nothing is shared with the Go
code but the definition. The numbers of the pseudo-random cases come from a
linear congruential generator, so the file is the same on every machine but
for rounding.
"""
import json
import sys

import numpy
import scipy
from scipy.integrate import quad

state = 1


def rnd():
    global state
    state = (1103515245 * state + 12345) % 2**31
    return state / 2**31


def grid(lo, hi, n):
    return [lo + (hi - lo) * i / (n - 1) for i in range(n)]


def rough(lo, hi, n):
    """An irregular grid with values; knots rounded to 1/1000 nm."""
    nm = sorted({round(lo + (hi - lo) * rnd(), 3) for _ in range(n)} | {lo, hi})
    return {"nm": nm, "value": [round(rnd(), 6) for _ in nm]}


def on(nm, f):
    return {"nm": nm, "value": [f(x) for x in nm]}


PAN = {
    "nm": [380, 400, 420, 450, 480, 500, 530, 560, 590, 620, 640, 650, 660, 680],
    "value": [0, .70, .95, 1, .70, .50, .60, .70, .75, .80, .70, .45, .20, 0],
}


def edge(x, l0, w):
    return 0.90 / (1 + numpy.exp(-(x - l0) / w))


def lamp(x):
    return 100 * (560 / x) ** 5 * numpy.expm1(1.435e7 / (2848 * 560)) / numpy.expm1(1.435e7 / (2848 * x))


CASES = [
    ("one spectrum", [PAN]),
    ("film and lamp at 5 nm", [on(grid(380, 780, 81), lamp), PAN]),
    ("film, lamp at 5 nm, red filter at 10 nm", [on(grid(380, 780, 81), lamp), PAN, on(grid(380, 780, 41), lambda x: edge(x, 590, 4))]),
    ("film, lamp at 5 nm, sharp filter at 0.7 nm", [on(grid(380, 780, 81), lamp), PAN, on(grid(379, 709, 472), lambda x: edge(x, 560, 1.5))]),
    ("81, 43 and 471 knots", [on(grid(380, 780, 81), lamp), on(grid(370, 727, 43), lambda x: 0.5 + 0.4 * numpy.sin(x / 37)), on(grid(365.3, 788, 471), lambda x: edge(x, 610, 4))]),
    ("two stacked filters and a patch", [on(grid(380, 780, 81), lamp), PAN, on(grid(380, 780, 81), lambda x: edge(x, 530, 4)), on(grid(380, 780, 401), lambda x: edge(x, 560, 4)), rough(350, 800, 20)]),
] + [("irregular %d" % i, [rough(350 + 3 * i, 700 + i, 11 + 7 * i + 5 * k) for k in range(1 + i % 6)]) for i in range(12)]


def integral(spectra, weight, lo, hi):
    knots = sorted({lo, hi} | {x for s in spectra for x in s["nm"] if lo < x < hi})

    def f(x):
        p = weight(x)
        for s in spectra:
            p *= numpy.interp(x, s["nm"], s["value"])
        return p

    return sum(quad(f, a, b, epsabs=0, epsrel=1e-13, limit=200)[0] for a, b in zip(knots, knots[1:]))


out = []
for name, spectra in CASES:
    spectra = [{"nm": [float(x) for x in s["nm"]], "value": [float(v) for v in s["value"]]} for s in spectra]
    lo = max(s["nm"][0] for s in spectra)
    hi = min(s["nm"][-1] for s in spectra)
    i0 = integral(spectra, lambda x: 1, lo, hi)
    i1 = integral(spectra, lambda x: x, lo, hi)
    im = integral(spectra, lambda x: 1 / x, lo, hi)
    il = integral(spectra, lambda x: numpy.log(x) / x, lo, hi)
    out.append({
        "name": name, "spectra": spectra, "integral": i0, "centroid": i1 / i0,
        "pivot": (i1 / im) ** 0.5, "log_centroid": float(numpy.exp(il / im)),
    })

json.dump({
    "tool": "scipy %s, numpy %s (Debian), integrate.quad between knots" % (scipy.__version__, numpy.__version__),
    "cases": out,
}, sys.stdout)
print()

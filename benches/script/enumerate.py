"""What a skilled user would write for an evening: every product of one pair with up to two neighbours, landed on every
frequency in use. Arithmetic only: no levels, no law, no paths, nothing about who is keyed with whom.

Reads JSON from standard input:

    {"order": 7, "first_hz": [...], "second_hz": [...], "in_use_hz": [...], "within_hz": 8000, "pairs": 3}

and writes, as JSON, how many pairs it looked at, how many products that were, how many landed, and the seconds taken on
the clock and of the processor.
Pairs are taken evenly from all of them.
"""

import itertools
import json
import sys
import time

import numpy as np


def coefficients(signals, order):
    """Every set of non-zero coefficients with at most `order` in all; of a set and its negative only one."""
    steps = [c for c in range(-order, order + 1) if c]
    found = [
        one
        for one in itertools.product(steps, repeat=signals)
        if 2 <= sum(map(abs, one)) <= order and one[0] > 0
    ]
    return np.array(found, dtype=np.int64)


def plans(order, others):
    """What is combined: coefficients, and the neighbours' frequencies that take part, by columns."""
    pairs = np.array(list(itertools.combinations(others, 2)), dtype=np.int64)
    one = others[:, None]
    for own in (1, 2):
        yield own, coefficients(own, order), np.zeros((1, 0), dtype=np.int64)
        yield own, coefficients(own + 1, order), one
        yield own, coefficients(own + 2, order), pairs


def landed(own, plan, targets, within):
    """How many products of a pair there are, and how many of them land."""
    count = hits = 0
    for used, terms, others in plan:
        for legs in itertools.combinations(own, used):
            mine = terms[:, :used] @ np.array(legs, dtype=np.int64)
            products = np.abs(mine[:, None] + terms[:, used:] @ others.T).ravel()
            place = np.searchsorted(targets, products)
            below = products - targets[np.maximum(place - 1, 0)]
            above = targets[np.minimum(place, len(targets) - 1)] - products
            near = np.minimum(np.abs(below), np.abs(above))
            count += products.size
            hits += int((near <= within).sum())
    return count, hits


def main():
    asked = json.load(sys.stdin)
    others = np.unique(np.array(asked["in_use_hz"], dtype=np.int64))
    pairs = list(itertools.product(asked["first_hz"], asked["second_hz"]))
    step = max(1, len(pairs) // asked["pairs"])
    chosen = pairs[::step][: asked["pairs"]]
    plan = list(plans(asked["order"], others))
    begun, worked = time.perf_counter(), time.process_time()
    count = hits = 0
    for pair in chosen:
        targets = np.unique(np.concatenate([others, np.array(pair, dtype=np.int64)]))
        more = landed(pair, plan, targets, asked["within_hz"])
        count, hits = count + more[0], hits + more[1]
    told = {
        "pairs": len(chosen),
        "products": count,
        "landed": hits,
        "seconds": time.perf_counter() - begun,
        "processor_seconds": time.process_time() - worked,
    }
    json.dump(told, sys.stdout)


main()

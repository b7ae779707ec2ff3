#!/usr/bin/env python3
"""Tries small changes of the program and sees whether a test notices. See README.md beside this file."""

import argparse
import collections
import hashlib
import json
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
OUTCOMES = HERE / "outcomes.txt"
STAGES = "physics law scene net emissions responses encounter checks search".split()
SEED = "20261130"
GIVEN_UP = 60  # seconds of processor time for one test where nothing is changed


class Work:
    """The folder in which all is built and remembered; nothing of it is part of the project."""

    def __init__(self, folder):
        self.folder = Path(folder).resolve()
        self.tree = self.folder / "tree"
        self.folder.mkdir(parents=True, exist_ok=True)

    def load(self, name, default):
        path = self.folder / name
        return json.loads(path.read_text()) if path.exists() else default

    def save(self, name, value):
        draft = self.folder / (name + ".part")
        draft.write_text(json.dumps(value))
        draft.replace(self.folder / name)

    def note(self, line):
        with open(self.folder / "tried.jsonl", "a") as log:
            log.write(json.dumps(line) + "\n")

    def log(self):
        path = self.folder / "tried.jsonl"
        return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


# What can be changed


def listed(cargo_mutants):
    """Every change, with a name that outlives lines that move, in the order in which they are tried."""
    files = ["src/{%s}/**" % ",".join(STAGES), "src/encounter.rs"]
    command = [cargo_mutants, "mutants", "--list", "--json"] + [part for file in files for part in ("-f", file)]
    text = subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True).stdout
    seen = collections.Counter()
    changes = []
    for one in sorted(json.loads(text), key=lambda one: (one["file"], one["span"]["start"]["line"], one["span"]["start"]["column"])):
        what = one["name"].split(": ", 1)[1]
        seen[one["file"], what] += 1
        key = f"{one['file']}: {what} #{seen[one['file'], what]}"
        changes.append(
            {
                "key": key,
                "file": one["file"],
                "line": one["span"]["start"]["line"],
                "column": one["span"]["start"]["column"],
                "genre": one["genre"],
                "replacement": one["replacement"].replace("\n", " "),
                "returns": (one.get("function") or {}).get("return_type") or "",
                "order": hashlib.sha256((SEED + key).encode()).hexdigest()[:8],
            }
        )
    for number, change in enumerate(changes):
        change["number"] = number
    return changes


# The copy


def copied(work, changes):
    """Lays out the copy with all of these changes in it. Only what differs is written, so that little is built again."""
    stage = work.folder / "stage"
    shutil.rmtree(stage, ignore_errors=True)
    names = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True
    ).stdout.splitlines()
    names = [name for name in names if not name.startswith("tests/mutants/") and (ROOT / name).is_file()]
    for name in names:
        (stage / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, stage / name)
    lines = ["\t".join(str(one[key]) for key in "number file genre line column replacement".split()) for one in changes]
    switch = work.folder / "switch" / "debug" / "quietpair-switch"
    done = subprocess.run([switch], cwd=stage, input="\n".join(lines), check=True, stdout=subprocess.PIPE, text=True)
    shutil.copy2(HERE / "mutant.rs", stage / "src/mutant.rs")
    top = stage / "src/lib.rs"
    top.write_text(top.read_text().replace("\npub mod topic;", "\n#![allow(warnings, arithmetic_overflow, unconditional_panic)]\nmod mutant;\n\npub mod topic;", 1))
    for path in (path for path in stage.rglob("*") if path.is_file()):
        there = work.tree / path.relative_to(stage)
        if not there.exists() or there.read_bytes() != path.read_bytes():
            there.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(path, there)
    for path in [path for path in work.tree.rglob("*") if path.is_file()]:
        if not (stage / path.relative_to(work.tree)).exists():
            path.unlink()
    return {int(number) for number in done.stdout.split()}


def cargo(work, *arguments):
    """The messages of a run of cargo in the copy."""
    env = dict(os.environ, CARGO_TARGET_DIR=str(work.folder / "target"), CARGO_INCREMENTAL="0")
    done = subprocess.run(
        ["cargo", *arguments, "-j1", "--message-format=json"], cwd=work.tree, env=env, stdout=subprocess.PIPE, text=True
    )
    messages = [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]
    return done.returncode, messages


def blamed(work, message):
    """The changes that a complaint of the compiler is about: those whose text it points into, else all of those lines."""
    for spans in ([one for one in message["spans"] if one["is_primary"]], message["spans"]):
        found, near = set(), set()
        for span in spans:
            while span.get("expansion"):  # inside a macro: where it was called
                span = span["expansion"]["span"]
            if not (work.tree / span["file_name"]).is_file():
                continue
            text = (work.tree / span["file_name"]).read_bytes()
            low, high = span["byte_start"], span["byte_end"]
            for match in re.finditer(rb"/\*<(\d+)\*/.*?/\*>\*/", text, re.S):
                if match.start() <= low and high <= match.end():
                    found.add(int(match[1]))
            begin, end = text.rfind(b"\n", 0, low) + 1, text.find(b"\n", high)
            near |= {int(number) for number in re.findall(rb"/\*<(\d+)\*/", text[begin:end])}
            near |= {int(number) for number in re.findall(rb"off\((\d+)\)", text[begin:end])}
        if found:
            return found
    return near


def build(work, options):
    env = dict(os.environ, CARGO_TARGET_DIR=str(work.folder / "switch"))
    subprocess.run(["cargo", "build", "-j1", "-q"], cwd=HERE / "switch", env=env, check=True)
    changes = listed(options.cargo_mutants)
    # What a function that returns `impl …` gives has one type only.
    dropped = {one["key"]: "one type" for one in changes if "impl " in one["returns"] and one["genre"] == "FnValue"}
    dropped |= {key: why for key, why in work.load("dropped.json", {}).items()}
    by_number = {one["number"]: one for one in changes}
    while True:
        for number in copied(work, [one for one in changes if dropped.get(one["key"], "fixed") == "fixed"]):
            dropped[by_number[number]["key"]] = "fixed"
        code, messages = cargo(work, "check", "--lib")
        if code == 0:
            break
        errors = [one["message"] for one in messages if one.get("reason") == "compiler-message"]
        guilty = {number for error in errors if error["level"] == "error" for number in blamed(work, error)}
        fresh = {by_number[number]["key"] for number in guilty} - set(dropped)
        print(f"{len(fresh)} do not compile")
        if not fresh:
            sys.exit("\n".join(error["rendered"] for error in errors if error["level"] == "error"))
        dropped |= dict.fromkeys(fresh, "does not compile")
        work.save("dropped.json", dropped)
    code, messages = cargo(work, "test", "--no-run", "--lib", "--bins", "--tests")
    if code:
        sys.exit("\n".join(one["message"]["rendered"] for one in messages if one.get("reason") == "compiler-message"))
    # Under another name, so that building again does not disturb a run.
    shelf = work.folder / "tests" / "deps"
    shelf.mkdir(parents=True, exist_ok=True)
    binaries = {}
    for one in messages:
        if one.get("reason") == "compiler-artifact" and one["executable"] and one["profile"]["test"]:
            built = Path(one["executable"])
            named = shelf / f"{built.name}-{built.stat().st_mtime_ns}"
            if not named.exists():
                os.link(built, named)
            binaries[one["target"]["kind"][0] + " " + one["target"]["name"]] = str(named)
    for old in shelf.iterdir():
        if str(old) not in binaries.values() and time.time() - old.stat().st_mtime > 6 * 3600:
            old.unlink()
    work.save("dropped.json", dropped)
    # Tests note what they come by as numbers, and another list has other numbers.
    if [one["key"] for one in work.load("changes.json", [])] != [one["key"] for one in changes]:
        work.save("tests.json", {})
    work.save("changes.json", changes)
    work.save("binaries.json", binaries)
    print(collections.Counter(dropped.get(one["key"], "can be tried") for one in changes))


# Running tests


def bounded(cpu):
    def limits():
        resource.setrlimit(resource.RLIMIT_CPU, (int(cpu) + 1, int(cpu) + 1))
        resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    return limits


def run(work, exe, names, cpu, **extra):
    """Runs these tests of one binary: whether all passed, the last one that began, the processor time."""
    env = dict(os.environ, RUST_TEST_THREADS="1", RAYON_NUM_THREADS="1", INSTA_UPDATE="no", **extra)
    env.update(CARGO_MANIFEST_DIR=str(work.tree), RUST_BACKTRACE="0")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    process = subprocess.Popen(
        [exe, "--exact", *names],
        cwd=work.tree, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        text=True, errors="replace", start_new_session=True, preexec_fn=bounded(cpu),
    )
    try:
        out, _ = process.communicate(timeout=cpu * 4 + 10)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        out, _ = process.communicate()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    begun = re.findall(r"^test (\S+)(?: - should panic)? \.\.\. ?(?!ok)", out, re.M)
    without_end = process.returncode in (-signal.SIGKILL, -signal.SIGXCPU)
    return process.returncode == 0, begun[-1] if begun else "", spent, without_end


def reach(work, options):
    """Notes for each test that is not known yet how long it takes and which changes it comes by."""
    tests = work.load("tests.json", {})
    binaries = work.load("binaries.json", {})
    new = []
    for binary, exe in binaries.items():
        out = subprocess.run([exe, "--list", "--format", "terse"], cwd=work.tree, stdout=subprocess.PIPE, text=True).stdout
        ignored = subprocess.run(
            [exe, "--list", "--format", "terse", "--ignored"], cwd=work.tree, stdout=subprocess.PIPE, text=True
        ).stdout.splitlines()
        names = [line for line in out.splitlines() if line.endswith(": test") and line not in ignored]
        new += [(binary, exe, line[: -len(": test")]) for line in names]
    known = {f"{binary}/{name}" for binary, _, name in new}
    changed = [key for key in tests if options.again and re.search(options.again, key)]
    if changed:
        work.note({"changed": changed})
    tests = {key: one for key, one in tests.items() if key in known and key not in changed}
    new = [one for one in new if f"{one[0]}/{one[2]}" not in tests and re.search(options.only, f"{one[0]}/{one[2]}")]
    path = work.folder / "reached.txt"
    for index, (binary, exe, name) in enumerate(new):
        for stop in ({"MUTANT_STOP": "1"}, {}):
            path.unlink(missing_ok=True)
            passed, _, spent, _ = run(work, exe, [name], options.longest, MUTANT_REACHED=str(path), **stop)
            if passed:
                break
        reached = sorted({int(line) for line in path.read_text().split()}) if path.exists() else []
        tests[f"{binary}/{name}"] = {
            "binary": binary, "name": name, "time": spent, "passed": passed, "stop": bool(stop), "reached": reached,
        }
        if not passed or spent > 5:
            print(f"{'failed' if not passed else 'slow'} {spent:.1f} s {binary}/{name}", flush=True)
        if index % 100 == 99:
            work.save("tests.json", tests)
    work.save("tests.json", tests)
    good = [one for one in tests.values() if one["passed"]]
    print(f"{len(good)} of {len(tests)} tests can be used, together {sum(one['time'] for one in good):.0f} s")


# Trying


class Judge:
    """Tries a change by the tests that reach it, those first that are quick and catch much."""

    def __init__(self, work):
        self.work = work
        self.binaries = work.load("binaries.json", {})
        self.tests = {key: one for key, one in work.load("tests.json", {}).items() if one["passed"]}
        self.reaching = collections.defaultdict(list)
        for key, one in self.tests.items():
            for number in one["reached"]:
                self.reaching[number].append(key)
        self.caught, self.asked = collections.Counter(), collections.Counter()
        self.state = {}
        self.digests = {}
        for line in work.log():
            self.learn(line)
        # What only a test caught that is there no more has to be tried again.
        for one in self.state.values():
            if one["outcome"] == "caught" and one["by"] not in self.tests:
                one["outcome"] = "open"

    def learn(self, line):
        if "changed" in line:  # what these tests let pass then says nothing of now
            for one in self.state.values():
                one["passed"] = [test for test in one["passed"] if test not in line["changed"]]
            return
        file = line["key"].split(":")[0]
        # Of a file as it was, only what catches much there is worth knowing.
        if line["digest"] == self.digest(file):
            old = self.state.get(line["key"], {"passed": []})
            line = dict(line, passed=sorted(set(old["passed"]) | set(line["passed"])))
            self.state[line["key"]] = line
        for test in line["passed"]:
            self.asked[test] += 1
            self.asked[test, file] += 1
        if line.get("by"):
            for key in (line["by"], (line["by"], file)):
                self.asked[key] += 1
                self.caught[key] += 1

    def digest(self, file):
        if file not in self.digests:
            self.digests[file] = digest(file)
        return self.digests[file]

    def cost(self, key, file):
        chance = (6 * self.caught[key, file] + self.caught[key] + 0.3) / (6 * self.asked[key, file] + self.asked[key] + 6)
        module = "::".join(file.removeprefix("src/").removesuffix(".rs").removesuffix("/mod").split("/")) + "::tests"
        if key.startswith(f"lib/{module}") or f"lib quietpair/{module}" in key:
            chance = max(chance, 0.3)
        return (self.tests[key]["time"] + 0.004) / chance

    def left(self, change):
        passed = set(self.state.get(change["key"], {"passed": []})["passed"])
        return [key for key in self.reaching[change["number"]] if key not in passed]

    def attempt(self, change, most):
        """One line for the log: what came of the tests that fit into this much processor time."""
        line = {"key": change["key"], "digest": self.digest(change["file"]), "passed": [], "outcome": "survives"}
        if not self.reaching[change["number"]]:
            return dict(line, outcome="not reached")
        order = sorted(self.left(change), key=lambda key: self.cost(key, change["file"]))
        spent = 0.0
        while order:
            room = min(max(0.15, spent), most)
            batch, total = [], 0.0
            while order and (not batch or total + self.tests[order[0]]["time"] <= room):
                batch.append(order.pop(0))
                total += self.tests[batch[-1]]["time"] + 0.004
            # The last batch may take more than is left, so that one strong slow test has its turn.
            if spent >= most or total > 3 * most:
                return dict(line, outcome="open")
            groups = collections.defaultdict(list)
            for key in batch:
                groups[self.tests[key]["binary"], self.tests[key]["stop"]].append(key)
            for (binary, stop), keys in groups.items():
                limit = max(5, 10 * sum(self.tests[key]["time"] for key in keys))
                names = [self.tests[key]["name"] for key in keys]
                extra = {"MUTANT": str(change["number"])} | ({"MUTANT_STOP": "1"} if stop else {})
                passed, last, took, without_end = run(self.work, self.binaries[binary], names, limit, **extra)
                spent += took
                if not passed:
                    by = f"{binary}/{last}"
                    return dict(line, outcome="caught", by=by if by in self.tests else keys[0], endless=without_end)
                line["passed"] += keys
        return line


def tryable(work):
    dropped = work.load("dropped.json", {})
    return sorted((one for one in work.load("changes.json", []) if one["key"] not in dropped), key=lambda one: one["order"])


def settled(now, before):
    if before and before[0] == "without effect":
        return True
    return now["outcome"] == "caught" if now else bool(before and before[0] == "caught")


def attempt_all(work, options):
    judge = Judge(work)
    files = kept()
    end = time.time() + 60 * options.minutes
    tally = collections.Counter()
    # What was never tried comes first, then what new tests may catch, then what is open.
    def turn(change):
        state = judge.state.get(change["key"])
        is_open = state is not None and state["outcome"] == "open" and "by" not in state
        return (state is not None, is_open, change["order"])

    for change in sorted(tryable(work), key=turn):
        if time.time() > end:
            break
        old = judge.state.get(change["key"])
        if not change["key"].startswith(options.only or "") or settled(old, known(change, files)):
            continue
        if old and not judge.left(change):
            continue
        line = judge.attempt(change, options.most)
        judge.learn(line)
        work.note(line)
        tally[line["outcome"]] += 1
        if sum(tally.values()) % 200 == 0:
            print(dict(tally), flush=True)
    print(dict(tally))


def again(work, options):
    """Whether the tests that caught changes still do; what they let pass now is open."""
    judge = Judge(work)
    end = time.time() + 60 * options.minutes
    tally = collections.Counter()
    for change in tryable(work):
        state = judge.state.get(change["key"], {})
        if state.get("outcome") != "caught" or not re.search(options.by, state["by"]) or time.time() > end:
            continue
        one = judge.tests[state["by"]]
        extra = {"MUTANT": str(change["number"])} | ({"MUTANT_STOP": "1"} if one["stop"] else {})
        passed, *_ = run(work, judge.binaries[one["binary"]], [one["name"]], max(5, 10 * one["time"]), **extra)
        tally["passes now" if passed else "caught again"] += 1
        if passed:
            work.note({"key": change["key"], "digest": state["digest"], "passed": [state["by"]], "outcome": "open"})
    print(dict(tally))


def show(work, options):
    """Changes whose name holds a text, where they stand, and what came of them; with --test, whether those tests catch them."""
    judge = Judge(work)
    for change in tryable(work):
        state = judge.state.get(change["key"], {"outcome": "not tried", "passed": []})
        if not all(word in f"{change['key']} {state['outcome']}" for word in options.words):
            continue
        print(f"{change['number']} {change['file']}:{change['line']}:{change['column']} {change['key'].split(': ')[1]}")
        print(f"    {state['outcome']} {state.get('by', '')} by {len(state['passed'])} of {len(judge.reaching[change['number']])} tests")
        if options.test:
            for key in judge.reaching[change["number"]]:
                if options.test in key:
                    one = judge.tests[key]
                    passed, *_ = run(work, judge.binaries[one["binary"]], [one["name"]], 60, MUTANT=str(change["number"]))
                    print(f"    {'passes' if passed else 'CATCHES'} {key}")


# What is kept

HEAD = """\
# What came of the changes, by file: how far they were tried in their order, how many were caught, and by name all that were not.
# Written by `try.py keep`. What is without effect, and why (in brackets), is written by hand and stays.
"""


def digest(file):
    """Of a file as the changes see it: without its tests."""
    path = ROOT / file
    text = path.read_text() if path.exists() else ""
    return hashlib.sha256(text.split("#[cfg(test)]")[0].rstrip().encode()).hexdigest()[:8]


def kept():
    """The outcomes of last time: by file its digest, how far it was tried, how many were caught, and the rest by name."""
    files, now = {}, None
    for line in OUTCOMES.read_text().splitlines() if OUTCOMES.exists() else []:
        if head := re.match(r"(src/\S+) (\w+): to (\w+), (\d+) caught", line):
            now = files[head[1]] = {"digest": head[2], "to": head[3], "caught": int(head[4]), "rest": {}}
        elif entry := re.match(r"  ([a-z ]+): (.*? #\d+)(?: \((.*)\))?$", line):
            now["rest"][entry[2]] = (entry[1], entry[3] or "")
    return files


def known(change, files):
    """What came of a change last time, where its file is as it was then."""
    file = files.get(change["file"])
    if not file or file["digest"] != digest(change["file"]) or change["order"] > file["to"]:
        return None
    return file["rest"].get(change["key"].split(": ", 1)[1], ("caught", ""))


def keep(work, options):
    """Writes the outcomes, and prints the table of the documentation."""
    files = kept()
    state = Judge(work).state
    stages = collections.defaultdict(collections.Counter)
    by_file = collections.defaultdict(list)
    for change in work.load("changes.json", []):
        stages[stage_of(change)]["listed"] += 1
    for change in tryable(work):
        stages[stage_of(change)]["can be tried"] += 1
        by_file[change["file"]].append(change)
    text = HEAD
    for file, changes in sorted(by_file.items()):
        caught, to, rest, is_cut = 0, "00000000", [], False
        for change in changes:
            before = known(change, files)
            now = state.get(change["key"])
            # By hand it is said of a name, which may well outlive the file as it was.
            said = files.get(file, {"rest": {}})["rest"].get(change["key"].split(": ", 1)[1])
            is_cut = is_cut or not (now or before or said and said[0] == "without effect")
            if is_cut:
                # Beyond what was tried only what was said by hand stays.
                if said and said[0] == "without effect":
                    rest.append(f"  {said[0]}: {change['key'].split(': ', 1)[1]} ({said[1]})\n")
                continue
            if now and now["outcome"] == "caught":
                outcome = ("caught", "")
            elif said and said[0] == "without effect":
                outcome = said
            elif now:
                outcome = (now["outcome"], said[1] if said else "")
            else:
                outcome = before
            to = change["order"]
            stages[stage_of(change)]["tried"] += 1
            stages[stage_of(change)][outcome[0]] += 1
            caught += outcome[0] == "caught"
            if outcome[0] != "caught":
                why = f" ({outcome[1]})" if outcome[1] else ""
                rest.append(f"  {outcome[0]}: {change['key'].split(': ', 1)[1]}{why}\n")
        if not is_cut:
            to = "ffffffff"
        text += f"{file} {digest(file)}: to {to}, {caught} caught\n" + "".join(sorted(rest))
    OUTCOMES.write_text(text)
    columns = ["listed", "can be tried", "tried", "caught", "without effect", "survives", "not reached", "open"]
    print("| stage | " + " | ".join(columns) + " |\n" + "| --- " * (len(columns) + 1) + "|")
    total = sum(stages.values(), collections.Counter())
    for name, counts in [(f"`{stage}`", stages[stage]) for stage in STAGES] + [("all", total)]:
        print(f"| {name} | " + " | ".join(str(counts[column]) for column in columns) + " |")


def stage_of(change):
    return change["file"].split("/")[1].removesuffix(".rs")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    work = os.path.join(tempfile.gettempdir(), "quietpair-mutants")
    parser.add_argument("--work", default=work, help="folder in which all is built and remembered")
    commands = parser.add_subparsers(required=True, dest="command")
    command = commands.add_parser("build", help="list the changes and build all of them into one copy")
    command.add_argument("--cargo-mutants", default="cargo-mutants", help="the program that lists them")
    command.set_defaults(run=build)
    command = commands.add_parser("reach", help="run each test that is new once, and note what it comes by")
    command.add_argument("--only", default="", help="tests whose name, as `test scenarios/name`, fits this pattern")
    command.add_argument("--again", help="forget what is known of tests whose name fits this pattern")
    command.add_argument("--longest", type=float, default=15, help="seconds of processor time a test may take")
    command.set_defaults(run=reach)
    command = commands.add_parser("try", help="try changes until the time is over")
    command.add_argument("--minutes", type=float, default=60)
    command.add_argument("--most", type=float, default=2, help="seconds of tests for one change; what more would need stays open")
    command.add_argument("--only", help="files that begin with this")
    command.set_defaults(run=attempt_all)
    command = commands.add_parser("again", help="ask the tests that caught changes once more")
    command.add_argument("--by", default="", help="tests whose name fits this pattern")
    command.add_argument("--minutes", type=float, default=60)
    command.set_defaults(run=again)
    command = commands.add_parser("show", help="what came of changes whose name or outcome holds these words")
    command.add_argument("words", nargs="+")
    command.add_argument("--test", help="run those tests that reach it and whose name holds this")
    command.set_defaults(run=show)
    command = commands.add_parser("keep", help="write outcomes.txt and print the table of docs/testing.md")
    command.set_defaults(run=keep)
    options = parser.parse_args()
    options.run(Work(options.work), options)


main()
